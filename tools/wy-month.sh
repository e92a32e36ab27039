#!/bin/sh
# wy-month - the month of the works on one page; wy-month(1). It only puts the other filters together:
# all of them answer first, each into a file, then the page is made of the files, then it is printed.
set -u
unset CDPATH
LC_ALL=C
export LC_ALL

usage='wy-month - the month of the works on one page

usage: wy-month [--month=YYYY-MM] [options] [FILE...]

options:
      --month=YYYY-MM  which month; else the one before $WITHY_TODAY, or today
  -H, --house=FILE     the house file; else $WITHY_HOUSE, else house.yaml here
                       or in the nearest folder above
  -b, --book           read the book that the house file names
      --without-bad    leave out lines that cannot be read, and exit 1
  -h, --help           print this page
      --version        print the version

exit status:
  0  done
  1  the book has errors; over lines that cannot be read there is no page
  2  usage error, or something could not be read or written

example:
  wy-month -b --month 2027-12 | less
  the month of a works whose house.yaml is here'

wrong() {
	printf 'wy-month: %s\n' "$*" >&2
	exit 2
}

# quoted TEXT: as a word for eval, whatever is in it.
quoted() { printf '%s\n' "$1" | sed "s/'/'\\\\''/g; 1s/^/ '/; \$s/\$/'/"; }

# ---- options

operands=''
month='' house='' book='' without=''
while [ $# -gt 0 ]; do
	case $1 in
	--month=* | --house=*)
		option=${1%%=*} value=${1#*=}
		shift
		set -- "$option" "$value" "$@"
		continue
		;;
	-H?*)
		value=${1#-H}
		shift
		set -- -H "$value" "$@"
		continue
		;;
	--month | -H | --house)
		[ $# -gt 1 ] || wrong "$1 needs a value; see wy-month --help"
		case $1 in
		--month) month=$2 ;;
		*) house=$2 ;;
		esac
		shift
		;;
	-b | --book) book=-b ;;
	--without-bad) without=--without-bad ;;
	-h | --help)
		printf '%s\n' "$usage" || exit 2
		exit 0
		;;
	--version)
		echo 'wy-month (Withy) @VERSION@' || exit 2
		exit 0
		;;
	--help-options)
		printf '%s\t%s\t%s\t%s\t%s\n' --month '' text YYYY-MM 'which month' --house -H text FILE 'the house file' \
			--book -b flag '' 'read the book that the house file names' \
			--without-bad '' flag '' 'leave out lines that cannot be read, and exit 1' \
			--help -h flag '' 'print this page' --version '' flag '' 'print the version' || exit 2
		exit 0
		;;
	--)
		shift
		break
		;;
	-?*) wrong "there is no option $1; see wy-month --help" ;;
	*) operands="$operands$(quoted "$1")" ;;
	esac
	shift
done
eval "set -- $operands \"\$@\""

# The tools that came with this one go before others of their name.
here=$(dirname -- "$0")
if [ -h "$0" ]; then here=$(dirname -- "$(readlink -f -- "$0")"); fi
here=$(cd -- "$here" && pwd) || here=
if [ -n "$here" ] && [ -x "$here/wy-stock" ]; then PATH=$here:$PATH; fi
for tool in awk sed sort cut cat wc mktemp wy-air wy-check wy-dry wy-grade wy-moist wy-pick wy-stock wy-yield; do
	command -v "$tool" >/dev/null || wrong "$tool is not there; the page is made with it"
done

# ---- the month

if [ -z "$month" ]; then
	today=${WITHY_TODAY:-$(date +%Y-%m-%d)}
	case $today in
	[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]) ;;
	*) wrong "WITHY_TODAY=$today is no day; write it as YYYY-MM-DD" ;;
	esac
	month=$(echo "$today" | awk -F- '{ y = $1; m = $2 - 1; if (m == 0) { m = 12; y-- } printf "%04d-%02d\n", y, m }')
fi
case $month in
[0-9][0-9][0-9][0-9]-0[1-9] | [0-9][0-9][0-9][0-9]-1[0-2]) ;;
*) wrong "'$month' is no month; write it as 2027-12" ;;
esac
first=$month-01
last=$(echo "$month" | awk -F- '{
	split("31 28 31 30 31 30 31 31 30 31 30 31", days, " ")
	leap = $1 % 4 == 0 && ($1 % 100 != 0 || $1 % 400 == 0)
	printf "%s-%02d\n", $0, days[$2 + 0] + ($2 == 2 && leap) }')

# ---- what is read

umask 077
scratch=$(mktemp -d) || wrong 'cannot make a folder for what is kept on the way'
trap 'rm -rf "$scratch"' EXIT
trap 'exit 129' HUP
trap 'exit 130' INT
trap 'exit 143' TERM

[ -z "$house" ] || WITHY_HOUSE=$house
[ -z "${WITHY_HOUSE:-}" ] || export WITHY_HOUSE
[ $# -gt 0 ] || [ -n "$book" ] || set -- -

# keep FILE NUMBER: copies what can be read only once, for every filter reads the book anew.
keep() {
	kept=$scratch/$2.wy
	if [ "$1" = - ]; then
		if [ -t 0 ]; then echo 'wy-month: reading standard input; -b reads the book that the house file names' >&2; fi
		cat >"$kept" || wrong 'cannot keep standard input'
		printf '%s\tstandard input\n' "$kept" >>"$scratch/kept"
	else
		cat -- "$1" >"$kept" || wrong "cannot keep $1"
		printf '%s\t%s\n' "$kept" "$1" >>"$scratch/kept"
	fi
}

# $operands: from here on what the filters read, as words of the shell.
operands='' number=0
: >"$scratch/kept"
for file in "$@"; do
	number=$((number + 1))
	if [ "$file" = - ] || { [ -e "$file" ] && [ ! -f "$file" ] && [ ! -d "$file" ]; }; then
		keep "$file" $number
		file=$kept
	fi
	operands="$operands$(quoted "$file")"
done

# told: what the filters had to say, with the names that the user knows.
told() {
	awk -F'\t' 'FILENAME ~ /kept$/ { name[$1] = $2; next }
		{ for (k in name) if ((at = index($0, k))) $0 = substr($0, 1, at - 1) name[k] substr($0, at + length(k)); print }' \
		"$scratch/kept" "$scratch/said" >&2
}

# ask ANSWER FILTER OPTIONS...: the filter's table as $scratch/ANSWER. One that cannot answer ends it.
ask() {
	answer=$scratch/$1
	shift
	status=0 leave=$without
	[ "$1" != wy-check ] || leave=
	eval "\"\$@\" $book $leave --as=tsv -- $operands" >"$answer" 2>"$scratch/said" || status=$?
	if [ $status -gt 1 ] || [ ! -s "$answer" ]; then
		told
		[ $status -eq 1 ] || wrong "no page, for $1 ended with status $status"
		echo 'wy-month: no page; correct these lines, or use --without-bad' >&2
		exit 1
	fi
	return $status
}

# An answer of 1 is "nothing", or that the book has errors, which the checker's says.
ask check wy-check
has_errors=$?
ask flow wy-stock --since "$first" --on "$last"
ask stock wy-stock --by form,type,grade --on "$last"
ask orders wy-stock --orders --on "$last"
ask kilns wy-yield --by charge --since "$first" --on "$last"
ask losses wy-yield --losses --since "$first" --on "$last"
ask dry wy-dry --on "$last"
ask moist wy-moist --by charge --to "$last"
ask wood wy-moist --by place,part --from "$first" --to "$last"
ask grades wy-grade --by type --from "$first" --to "$last" --baseline 12
ask air wy-air --by place --from "$first" --to "$last"
ask rooms wy-air --by place --to "$last"
# pick ANSWER CONDITION: such entries up to the last day, if there are any.
pick() {
	eval "wy-pick \"\$2\" date=..$last $book $without -- $operands" >"$scratch/$1" 2>"$scratch/said" || [ $? -eq 1 ] || {
		told
		exit 2
	}
}
pick meters event=meter
pick loads event=load

# ---- making tables of them

# NAMES is awk's start for all of these: the columns of a table by their names.
NAMES='BEGIN { FS = OFS = "\t" } FNR == 1 { split("", at); for (i = 1; i <= NF; i++) at[$i] = i }'

# columns ANSWER COLUMN=TITLE...: these columns under these titles; $where picks rows.
where=1
columns() {
	answer=$scratch/$1
	shift
	awk -v want="$*" "$NAMES"'
		FNR == 1 {
			n = split(want, pair, " ")
			for (i = 1; i <= n; i++) { split(pair[i], part, "="); column[i] = at[part[1]]; title = part[2]; gsub(/_/, " ", title)
				if (!column[i]) { print "no column " part[1] | "cat >&2"; failed = 1; exit }
				printf "%s%s", title, i < n ? OFS : "\n" }
			next
		}
		'"$where"' { for (i = 1; i <= n; i++) printf "%s%s", $column[i], i < n ? OFS : "\n" }
		END { exit failed }' "$answer"
}

# Lines a table up for reading: words to the left, numbers to the right. A column whose title ends in %
# is a share, and is shown in per cent.
lined_up() {
	awk -F'\t' '
		NR == 1 { n = NF; for (i = 1; i <= n; i++) { share[i] = $i ~ /%$/; broken[i] = $i ~ /^(mean|sd|driest|wettest|temp|humidity|EMC|least|most)$/ } }
		{
			for (i = 1; i <= n; i++) {
				cell[NR, i] = $i
				if (NR == 1 || $i == "") continue
				if ($i !~ /^-?[0-9]+([.][0-9]+)?(e-?[0-9]+)?$/) words[i] = 1
				else if ($i ~ /[.e]/) broken[i] = 1
			}
		}
		END {
			if (NR < 2) { print "  nothing"; exit }
			for (r = 1; r <= NR; r++)
				for (i = 1; i <= n; i++) {
					text = cell[r, i]
					if (text == "" && r > 1) text = "-"
					else if (r > 1 && !words[i] && (share[i] || broken[i])) text = sprintf("%.1f", share[i] ? text * 100 : text)
					cell[r, i] = text
					if (length(text) > wide[i]) wide[i] = length(text)
				}
			for (r = 1; r <= NR; r++) {
				line = " "
				for (i = 1; i <= n; i++) line = line sprintf(words[i] ? "  %-" wide[i] "s" : "  %" wide[i] "s", cell[r, i])
				sub(/ +$/, "", line)
				print substr(line, 2)
			}
		}'
}

# The stock: a row for each form and type, a column for each grade.
by_grade() {
	awk "$NAMES"'
		FNR == 1 { next }
		{
			row = $at["form"] OFS $at["type"]; grade = $at["grade"]; n = $at["count"] + 0
			if (!(row in all)) { rows[++nrows] = row; oldest[row] = 0 }
			if (grade == "") grade = "no grade"
			if (!(grade in known)) { known[grade] = 1; if (grade != "no grade") grades[++ngrades] = grade }
			count[row, grade] += n; all[row] += n
			if ($at["oldest_days"] + 0 > oldest[row]) oldest[row] = $at["oldest_days"] + 0
		}
		END {
			for (g = 2; g <= ngrades; g++)
				for (h = g; h > 1 && (grades[h] "") < (grades[h - 1] ""); h--) { swap = grades[h]; grades[h] = grades[h - 1]; grades[h - 1] = swap }
			if ("no grade" in known) grades[++ngrades] = "no grade"
			line = "form" OFS "type"
			for (g = 1; g <= ngrades; g++) line = line OFS grades[g]
			print line OFS "all" OFS "oldest, days"
			for (r = 1; r <= nrows; r++) {
				line = rows[r]
				for (g = 1; g <= ngrades; g++) line = line OFS count[rows[r], grades[g]]
				print line OFS all[rows[r]] OFS oldest[rows[r]]
			}
		}' "$scratch/stock"
}

# Grades: of this month with the 95 % interval, and of the months before.
mix() {
	awk "$NAMES"'
		function percent(share) { return share == "" ? "" : sprintf("%.1f", share * 100) }
		FNR == 1 { print "type", "grade", "blades", "of", "share", "95 % interval", "before", "of", ""; next }
		$at["of"] == 0 { next }
		{
			low = percent($at["share_low"])
			differs = $at["baseline_of"] > 0 && ($at["baseline_share"] < $at["share_low"] || $at["baseline_share"] > $at["share_high"])
			print $at["type"], $at["grade"], $at["count"], $at["of"], percent($at["share"]),
				low == "" ? "" : low ".." percent($at["share_high"]), percent($at["baseline_share"]), $at["baseline_of"], differs ? "differs" : " "
		}' "$scratch/grades"
}

# The charges that held pieces this month: their pieces, and what their probes showed last.
pieces_dried() {
	awk "$NAMES"'
		FNR == 1 { print "charge", "before", "loaded", "out", "lost", "still in", "median days"; next }
		$at["step"] == "kiln" && $at["charge"] != "" && $at["charge"] != "all" {
			print $at["charge"], $at["start"], $at["in"] + $at["back"] + $at["crossed"] + $at["found"], $at["out"], $at["culled"], $at["still"], $at["median_days"]
		}' "$scratch/kilns"
}

moisture() {
	awk "$NAMES"'
		function percent(share) { return sprintf("%.1f", share * 100) }
		FILENAME ~ /kilns$/ { if ($at["step"] == "kiln" && $at["charge"] != "all") { here[$at["charge"]] = 1; still[$at["charge"]] = $at["still"] } next }
		FNR == 1 { print "charge", "", "probes", "mean", "sd", "driest", "wettest", "in band, %", "95 % interval", "last read"; next }
		$at["charge"] != "" && $at["charge"] in here {
			print $at["charge"], (still[$at["charge"]] > 0 ? "in the kiln" : "emptied"), $at["n_pieces"], $at["mc_mean_pct"], $at["mc_sd_pct"],
				$at["driest_pct"], $at["wettest_pct"], $at["share_in_band"],
				$at["share_low"] == "" ? "" : percent($at["share_low"]) ".." percent($at["share_high"]), $at["last"]
		}' "$scratch/kilns" "$scratch/moist"
}

# Wood read in the rooms this month; not in charges.
wood() {
	awk "$NAMES"'
		FILENAME ~ /moist$/ { charge[$at["charge"]] = 1; next }
		FNR == 1 { print "place", "wood", "pieces", "mean", "driest", "wettest", "in the target, %", "95 % interval"; next }
		$at["place"] != "" && !($at["place"] in charge) {
			print $at["place"], $at["part"], $at["n_pieces"], $at["mc_mean_pct"], $at["driest_pct"], $at["wettest_pct"], $at["share_in_band"],
				$at["share_low"] == "" ? "" : sprintf("%.1f..%.1f", $at["share_low"] * 100, $at["share_high"] * 100)
		}' "$scratch/moist" "$scratch/wood"
}

# ---- what needs attention, the gravest first

# The checker's findings, each with the day of its line. Mistakes stand whatever their day; of warnings
# those of this month, probes that may still be in the wood, and instruments that are still overdue.
findings() {
	awk -v month="$month" -v last="$last" -v check="$scratch/check" "$NAMES"'
		function day_of(file, line,   text, n) {
			if (!(file in read)) {
				n = 0
				while ((getline text <file) > 0) day[file, ++n] = substr(text, 1, 10)
				close(file)
				read[file] = 1
			}
			return day[file, line]
		}
		FILENAME ~ /kept$/ { name[$1] = $2; next }
		FILENAME ~ /meters$/ { split($0, word, " "); meter = word[2] ~ /^[0-9]/ ? word[4] : word[3]; if (word[1] > checked[meter]) checked[meter] = word[1]; next }
		FNR == 1 { next }
		{
			when = day_of($at["file"], $at["line"]); rule = $at["rule"]; level = $at["level"]
			split($at["text"], word, " ")
			if (when !~ /^[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]$/) when = ""
			tell = level == "error" || level == "warning" && (when == "" || substr(when, 1, 7) == month)
			if (level == "warning" && when != "" && when <= last)
				tell = tell || rule == "probe-left-in" || rule == "meter-overdue" && checked[word[1]] < when
			if (rule == "meter-overdue" && checked[word[1]] >= when) tell = 0
			if (!tell) next
			file = $at["file"] in name ? name[$at["file"]] : $at["file"]
			said = file ":" $at["line"] ": " $at["text"] "; " $at["mend"]
			if (level != "error") print "2", when, said
			else if (++errors <= 12) print "1", sprintf("%02d", errors), said
		}
		END { if (errors > 12) print "1", "~", "and " errors - 12 " more mistakes; wy-check tells them all" }' \
		"$scratch/kept" "$scratch/meters" "$scratch/check" | sort -s -t '	' -k 1,2 | cut -f 3-
}

# DRY starts awk on what is said of the open charges, two tables one after the other.
DRY='BEGIN { FS = OFS = "\t" }
	/^# / { part = substr($0, 3); header = 1; next }
	NF < 2 { next }
	header { split("", at); for (i = 1; i <= NF; i++) at[$i] = i; header = 0; next }'

charges_open() {
	awk "$DRY"'
		part == "charges" {
			printf "%s: %s", $at["charge"], $at["verdict"]
			if ($at["wettest_pct"] != "") printf "; probes %.1f to %.1f %% on %s", $at["driest_pct"], $at["wettest_pct"], $at["read_on"]
			if ($at["ready_90_from"] != "" && $at["ready_90_to"] != "") printf "; ready between %s and %s (90 %%)", $at["ready_90_from"], $at["ready_90_to"]
			else if ($at["ready_90_from"] != "") printf "; ready on %s at the earliest (90 %%)", $at["ready_90_from"]
			print ""
		}' "$scratch/dry"
	reasons warning
}

# reasons SIDE: what speaks against a charge, or warns of it; probes of which the same is said together.
reasons() {
	awk -v side="$1" "$DRY"'
		part != "reasons" || $at["side"] != side { next }
		{
			text = $at["text"]; probe = ""
			if (text ~ /^probe [^ ]+ /) { split(text, word, " "); probe = word[2]; sub(/^probe [^ ]+ /, "", text) }
			key = $at["charge"] OFS text
			if (!(key in seen)) { seen[key] = ++n; charge[n] = $at["charge"]; said[n] = text }
			k = seen[key]
			if (probe != "") { probes[k] = probes[k] (probes[k] == "" ? "" : ", ") probe; many[k]++ }
		}
		END { for (k = 1; k <= n; k++) print charge[k] ": " (many[k] ? (many[k] > 1 ? "each of probes " : "probe ") probes[k] " " : "") said[k] }' "$scratch/dry"
}

against() { reasons against; }

# The open charges on the last day.
open_charges() {
	awk "$DRY"'
		function range(from, to) { return from == "" || from == to ? from : from ".." (substr(from, 1, 4) == substr(to, 1, 4) ? substr(to, 6) : to) }
		BEGIN { print "charge", "kiln", "day", "pieces", "verdict", "ready on", "50 %", "90 %" }
		part == "charges" {
			print $at["charge"], $at["kiln"], $at["day"], $at["pieces"], $at["verdict"], $at["ready_on"],
				range($at["ready_50_from"], $at["ready_50_to"]), range($at["ready_90_from"], $at["ready_90_to"])
		}' "$scratch/dry"
}

charges_out() {
	awk "$NAMES"'
		FILENAME ~ /moist$/ { c = $at["charge"]; judged[c] = $at["n_judged"]; share[c] = $at["share_in_band"]; driest[c] = $at["driest"]; wettest[c] = $at["wettest"]
			low[c] = $at["driest_pct"]; high[c] = $at["wettest_pct"]; next }
		FNR > 1 && $at["step"] == "kiln" && $at["charge"] != "" && $at["charge"] != "all" && $at["still"] == 0 && $at["out"] > 0 {
			c = $at["charge"]
			if (!(c in judged)) print c ": was emptied, and no reading of it is in the book"
			else if (judged[c] > 0 && share[c] < 1)
				printf "%s: was emptied with %d of %d probes out of the band; wettest %.1f %% (%s), driest %.1f %% (%s)\n",
					c, judged[c] - share[c] * judged[c] + 0.5, judged[c], high[c], wettest[c], low[c], driest[c]
		}' "$scratch/moist" "$scratch/kilns"
}

# Not kilns, whose air is led from damp to dry: what is to be said of it is said of their charges.
rooms() {
	awk "$NAMES"'
		FILENAME ~ /loads$/ { if (match($0, / kiln=[^ ]+/)) kiln[substr($0, RSTART + 6, RLENGTH - 6)] = 1; next }
		FNR == 1 || $at["place"] in kiln { next }
		FILENAME ~ /air$/ { now[$at["place"]] = 1; target = $at["emc_in_target_share"]
			if (target != "" && target < 0.9)
				printf "%s: its air was in the target for %.0f %% of the readings; wood settles at %.1f %% there (%.1f to %.1f)\n",
					$at["place"], target * 100, $at["emc_mean_pct"], $at["emc_min_pct"], $at["emc_max_pct"]
			next }
		$at["emc_in_target_share"] != "" && !($at["place"] in now) { print $at["place"] ": its air was not read this month" }' "$scratch/loads" "$scratch/air" "$scratch/rooms"
}

# Orders that lack something, or that are late: a line for each, in the order in which they fall due.
orders() {
	awk -v last="$last" "$NAMES"'
		FNR == 1 { next }
		{
			order = $at["order"]; due = $at["due"]; late = due != "" && due <= last
			if (!late && $at["short"] + 0 == 0) next
			if (!(order in head)) {
				list[++n] = order
				head[order] = order ($at["to"] == "" ? "" : " for " $at["to"]) (due == "" ? "" : late ? ", WAS DUE " due : ", due " due) ": "
			}
			what[order] = what[order] (what[order] == "" ? "" : ", ") $at["open"] " " $at["type"] ($at["grade"] == "" ? "" : " grade " $at["grade"]) " " $at["form"] \
				($at["short"] + 0 == 0 ? " (all there)" : $at["short"] == $at["open"] ? " (none there)" : " (" $at["short"] " short)")
		}
		END { for (i = 1; i <= n; i++) print head[list[i]] what[list[i]] }' "$scratch/orders"
}

shifts() {
	awk "$NAMES"'
		FNR > 1 && $at["of"] >= 30 && $at["baseline_of"] >= 30 && ($at["baseline_share"] < $at["share_low"] || $at["baseline_share"] > $at["share_high"]) {
			printf "%s %s: %.1f %% of the %d blades (95 %% interval %.1f to %.1f), but %.1f %% in the twelve months before\n",
				$at["type"], $at["grade"] == "culled" ? "culled" : "grade " $at["grade"], $at["share"] * 100, $at["of"],
				$at["share_low"] * 100, $at["share_high"] * 100, $at["baseline_share"] * 100
		}' "$scratch/grades"
}

# ---- the page

works() {
	file=${WITHY_HOUSE:-} folder=$(pwd)
	while [ -z "$file" ]; do
		if [ -f "$folder/house.yaml" ]; then file=$folder/house.yaml; fi
		[ "$folder" != / ] || break
		folder=$(dirname -- "$folder")
	done
	[ -z "$file" ] || sed -n '/^works:/{s/^works:[ 	]*//; s/[ 	]#.*//; s/[ 	]*$//; s/^"\(.*\)"$/\1/; s/^'"'"'\(.*\)'"'"'$/\1/; p; q; }' "$file"
}

month_name() {
	echo "$month" | awk -F- '{ split("January February March April May June July August September October November December", name, " "); print name[$2 + 0], $1 }'
}

title() { printf '\n%s\n' "$1" >>"$scratch/page"; }

# put FUNCTION...: its table, lined up; each step is looked at.
put() {
	"$@" >"$scratch/table" && lined_up <"$scratch/table" >>"$scratch/page" || wrong "no page, for $1 failed"
}

# heed FUNCTION: its lines, folded, each with a mark before it.
heed() {
	"$1" >"$scratch/lines" && awk '{
		line = "  - "; room = 98
		n = split($0, word, " ")
		for (i = 1; i <= n; i++) {
			if (length(line) + length(word[i]) > room && line !~ /^ *-? *$/) { sub(/ $/, "", line); print line; line = "    " }
			line = line word[i] " "
		}
		sub(/ $/, "", line); print line }' "$scratch/lines" >>"$scratch/page" || wrong "no page, for $1 failed"
}

name=$(works)
printf '%s%s\n' "${name:+$name, }" "$(month_name)" >"$scratch/page" || exit 2

title 'Needs attention'
before=$(wc -l <"$scratch/page")
for part in findings charges_open charges_out orders rooms shifts; do heed $part; done
[ "$before" -ne "$(wc -l <"$scratch/page")" ] || echo '  nothing' >>"$scratch/page"

title 'Pieces: what there was, what came and went, what there is'
put columns flow form=form type=type start=start in=in found=found returned=returned made=made culled=lost sold=sold used=used end=end

title 'Charges that were in a kiln this month: pieces'
put pieces_dried

title 'Their moisture in %, by the last reading of each probe'
put moisture

title "Charges in the kilns on $last"
put open_charges
heed against

title 'Grades, in %: this month, and the twelve months before'
put mix

title 'Losses: where and why'
where='$at["step"] != "all"'
put columns losses step=step cause=cause count=pieces share=of_those_there,_%
where=1

title 'Stock at the end of the month'
put by_grade

title 'Orders that are open'
put columns orders due=due order=order to=for form=form type=type grade=grade open=open in_stock=in_stock to_make=to_make short=short

title 'Rooms: temperature in C, humidity in %, and the moisture in % that wood settles at in such air (EMC)'
put columns air place=place n=readings temp_mean_c=temp rh_mean_pct=humidity rh_in_band_share=in_band,_% \
	emc_mean_pct=EMC emc_min_pct=least emc_max_pct=most emc_in_target_share=in_target,_%

title 'Wood that was read in the rooms: moisture in %'
put wood

cat >>"$scratch/page" <<'END' || exit 2

EMC is good to about 1 point. Probes tell of their own pieces, not of the whole charge.
Before a kiln is opened or entered, and before wood that held probes goes to a machine, the
makers' instructions, the local rules and a qualified person decide.
END
cat "$scratch/page" || wrong 'the page could not be written in full'
exit $has_errors
