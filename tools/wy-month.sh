#!/bin/sh
# wy-month - the month of the works on one page; wy-month(1). The other filters do the work: each of
# them answers into a file first, then the page is made from the files, then it is printed.
set -u
unset CDPATH
LC_ALL=C
export LC_ALL

usage='wy-month - the month of the works on one page

usage: wy-month [--month=YYYY-MM] [options] [FILE...]

options:
      --month=YYYY-MM  the month; default: the month before $WITHY_TODAY or
                       before today
  -H, --house=FILE     the house file; default: $WITHY_HOUSE, then house.yaml
                       in this directory or the nearest one above
  -b, --book           read the book that the house file names
      --without-bad    skip lines that cannot be read; the exit status is 1
  -h, --help           print this page
      --version        print the version

exit status:
  0  done
  1  the book has errors; no page is printed if a line cannot be read
  2  usage error, or something could not be read or written

example:
  wy-month -b --month 2027-12 | less
  the page of December 2027, for the house.yaml of this directory'

wrong() {
	printf 'wy-month: %s\n' "$*" >&2
	exit 2
}

# quoted TEXT: TEXT as one word for eval, with any characters in it.
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
		printf '%s\t%s\t%s\t%s\t%s\n' --month '' text YYYY-MM 'the month' --house -H text FILE 'the house file' \
			--book -b flag '' 'read the book that the house file names' \
			--without-bad '' flag '' 'skip lines that cannot be read; the exit status is 1' \
			--help -h flag '' 'print this page' --version '' flag '' 'print the version' || exit 2
		exit 0
		;;
	--)
		shift
		break
		;;
	-?*) wrong "$1 is not a valid option; see wy-month --help" ;;
	*) operands="$operands$(quoted "$1")" ;;
	esac
	shift
done
eval "set -- $operands \"\$@\""

# The tools in the directory of this one are used before others of the same name.
here=$(dirname -- "$0")
if [ -h "$0" ]; then here=$(dirname -- "$(readlink -f -- "$0")"); fi
here=$(cd -- "$here" && pwd) || here=
if [ -n "$here" ] && [ -x "$here/wy-stock" ]; then PATH=$here:$PATH; fi
for tool in awk sed sort cut cat wc mktemp wy-air wy-check wy-dry wy-grade wy-moist wy-pick wy-stock wy-yield; do
	command -v "$tool" >/dev/null || wrong "$tool is required but is not in PATH; install it or add its directory to PATH"
done

# ---- the month

if [ -z "$month" ]; then
	today=${WITHY_TODAY:-$(date +%Y-%m-%d)}
	case $today in
	[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]) ;;
	*) wrong "WITHY_TODAY=$today is not a valid date; write it as YYYY-MM-DD, such as 2028-01-15" ;;
	esac
	month=$(echo "$today" | awk -F- '{ y = $1; m = $2 - 1; if (m == 0) { m = 12; y-- } printf "%04d-%02d\n", y, m }')
fi
case $month in
[0-9][0-9][0-9][0-9]-0[1-9] | [0-9][0-9][0-9][0-9]-1[0-2]) ;;
*) wrong "'$month' is not a valid month; write it as YYYY-MM, such as 2027-12" ;;
esac
first=$month-01
last=$(echo "$month" | awk -F- '{
	split("31 28 31 30 31 30 31 31 30 31 30 31", days, " ")
	leap = $1 % 4 == 0 && ($1 % 100 != 0 || $1 % 400 == 0)
	printf "%s-%02d\n", $0, days[$2 + 0] + ($2 == 2 && leap) }')

# ---- the input

umask 077
scratch=$(mktemp -d) || wrong 'cannot make a directory for temporary files; check TMPDIR'
trap 'rm -rf "$scratch"' EXIT
trap 'exit 129' HUP
trap 'exit 130' INT
trap 'exit 143' TERM

[ -z "$house" ] || WITHY_HOUSE=$house
[ -z "${WITHY_HOUSE:-}" ] || export WITHY_HOUSE
[ $# -gt 0 ] || [ -n "$book" ] || set -- -

# keep FILE NUMBER: copies a file that can be read only once, because each filter reads the book again.
keep() {
	kept=$scratch/$2.wy
	if [ "$1" = - ]; then
		if [ -t 0 ]; then echo 'wy-month: reading standard input; -b reads the book that the house file names' >&2; fi
		cat >"$kept" || wrong 'cannot copy standard input'
		printf '%s\tstandard input\n' "$kept" >>"$scratch/kept"
	else
		cat -- "$1" >"$kept" || wrong "cannot copy $1"
		printf '%s\t%s\n' "$kept" "$1" >>"$scratch/kept"
	fi
}

# $operands: from here on the files that the filters read, as words for eval.
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

# print_messages: the messages of the filters, with the file names that the user knows.
print_messages() {
	awk -F'\t' 'FILENAME ~ /kept$/ { name[$1] = $2; next }
		{ for (k in name) if ((at = index($0, k))) $0 = substr($0, 1, at - 1) name[k] substr($0, at + length(k)); print }' \
		"$scratch/kept" "$scratch/messages" >&2
}

# ask ANSWER FILTER OPTIONS...: writes the filter's table to $scratch/ANSWER. Exits if the filter failed.
ask() {
	answer=$scratch/$1
	shift
	status=0 leave=$without
	[ "$1" != wy-check ] || leave=
	eval "\"\$@\" $book $leave --as=tsv -- $operands" >"$answer" 2>"$scratch/messages" || status=$?
	if [ $status -gt 1 ] || [ ! -s "$answer" ]; then
		print_messages
		[ $status -eq 1 ] || wrong "no page: $1 ended with status $status"
		echo 'wy-month: no page; correct these lines, or use --without-bad' >&2
		exit 1
	fi
	return $status
}

# Status 1 means "nothing found" or "the book has errors". Only the status of wy-check is used.
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
# pick ANSWER CONDITION: the entries that match, up to the last day; there may be none.
pick() {
	eval "wy-pick \"\$2\" date=..$last $book $without -- $operands" >"$scratch/$1" 2>"$scratch/messages" || [ $? -eq 1 ] || {
		print_messages
		exit 2
	}
}
pick meters event=meter
pick loads event=load

# ---- tables

# NAMES starts these awk programs: at[NAME] is the number of a column.
NAMES='BEGIN { FS = OFS = "\t" } FNR == 1 { split("", at); for (i = 1; i <= NF; i++) at[$i] = i }'

# columns ANSWER COLUMN=HEADING...: these columns with these headings; $where selects rows. In a heading
# _ is a space.
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

# Aligns a table for reading: words to the left, numbers to the right. In a heading | starts a new line.
# A heading that starts with @ has proportions, which are printed in per cent; one that starts with ~ has
# numbers with one decimal.
lined_up() {
	awk -F'\t' '
		NR == 1 {
			n = NF
			for (i = 1; i <= n; i++) {
				share[i] = $i ~ /^@/
				broken[i] = $i ~ /^~/
				sub(/^[@~]/, "", $i)
				lines[i] = split($i, part, "|")
				if (lines[i] > tall) tall = lines[i]
				for (k = 1; k <= lines[i]; k++) {
					heading[i, k] = part[k]
					if (length(part[k]) > wide[i]) wide[i] = length(part[k])
				}
			}
			next
		}
		{
			for (i = 1; i <= n; i++) {
				cell[NR, i] = $i
				if ($i == "") continue
				if ($i !~ /^-?[0-9]+([.][0-9]+)?(e-?[0-9]+)?$/) words[i] = 1
				else if ($i ~ /[.e]/) broken[i] = 1
			}
		}
		function print_row(row,   i, line) {
			for (i = 1; i <= n; i++) line = line sprintf(words[i] ? "  %-" wide[i] "s" : "  %" wide[i] "s", row[i])
			sub(/ +$/, "", line)
			print line
		}
		END {
			if (NR < 2) { print "  nothing"; exit }
			for (r = 2; r <= NR; r++)
				for (i = 1; i <= n; i++) {
					text = cell[r, i]
					if (text == "") text = "-"
					else if (!words[i] && (share[i] || broken[i])) text = sprintf("%.1f", share[i] ? text * 100 : text)
					cell[r, i] = text
					if (length(text) > wide[i]) wide[i] = length(text)
				}
			for (k = 1; k <= tall; k++) {
				for (i = 1; i <= n; i++) row[i] = heading[i, k - tall + lines[i]]
				print_row(row)
			}
			for (r = 2; r <= NR; r++) {
				for (i = 1; i <= n; i++) row[i] = cell[r, i]
				print_row(row)
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
			print line OFS "all" OFS "oldest,|days"
			for (r = 1; r <= nrows; r++) {
				line = rows[r]
				for (g = 1; g <= ngrades; g++) line = line OFS count[rows[r], grades[g]]
				print line OFS all[rows[r]] OFS oldest[rows[r]]
			}
		}' "$scratch/stock"
}

# Grades: this month with the 95 % interval, and the months before.
mix() {
	awk "$NAMES"'
		function percent(share) { return share == "" ? "" : sprintf("%.1f", share * 100) }
		FNR == 1 { print "type", "grade", "blades", "of", "proportion,|%", "95 %|interval", "before,|%", "of", ""; next }
		$at["of"] == 0 { next }
		{
			low = percent($at["share_low"])
			differs = $at["baseline_of"] > 0 && ($at["baseline_share"] < $at["share_low"] || $at["baseline_share"] > $at["share_high"])
			print $at["type"], $at["grade"], $at["count"], $at["of"], percent($at["share"]),
				low == "" ? "" : low ".." percent($at["share_high"]), percent($at["baseline_share"]), $at["baseline_of"], differs ? "differs" : " "
		}' "$scratch/grades"
}

# The charges that held pieces this month: their pieces, and the last readings of their probes.
pieces_dried() {
	awk "$NAMES"'
		FNR == 1 { print "charge", "start", "loaded", "out", "culled", "end", "median,|days"; next }
		$at["step"] == "kiln" && $at["charge"] != "" && $at["charge"] != "all" {
			print $at["charge"], $at["start"], $at["in"] + $at["back"] + $at["crossed"] + $at["found"], $at["out"], $at["culled"], $at["still"], $at["median_days"]
		}' "$scratch/kilns"
}

moisture() {
	awk "$NAMES"'
		function percent(share) { return sprintf("%.0f", share * 100) }
		function range(low, high, form) { return low == "" ? "" : sprintf(form ".." form, low, high) }
		FILENAME ~ /kilns$/ { if ($at["step"] == "kiln" && $at["charge"] != "all") { here[$at["charge"]] = 1; still[$at["charge"]] = $at["still"] } next }
		FNR == 1 { print "charge", "state", "probes", "~mean", "~sd", "driest to|wettest", "in band,|%", "95 %|interval", "last read"; next }
		$at["charge"] != "" && $at["charge"] in here {
			print $at["charge"], (still[$at["charge"]] > 0 ? "in kiln" : "emptied"), $at["n_pieces"], $at["mc_mean_pct"], $at["mc_sd_pct"],
				range($at["driest_pct"], $at["wettest_pct"], "%.1f"), $at["share_in_band"] == "" ? "" : percent($at["share_in_band"]),
				range($at["share_low"] == "" ? "" : $at["share_low"] * 100, $at["share_high"] * 100, "%.0f"), $at["last"]
		}' "$scratch/kilns" "$scratch/moist"
}

# Wood that was read in the rooms this month, outside the charges.
wood() {
	awk "$NAMES"'
		FILENAME ~ /moist$/ { charge[$at["charge"]] = 1; next }
		FNR == 1 { print "place", "wood", "pieces", "~mean", "~driest", "~wettest", "@in target,|%", "95 %|interval"; next }
		$at["place"] != "" && !($at["place"] in charge) {
			print $at["place"], $at["part"], $at["n_pieces"], $at["mc_mean_pct"], $at["driest_pct"], $at["wettest_pct"], $at["share_in_band"],
				$at["share_low"] == "" ? "" : sprintf("%.1f..%.1f", $at["share_low"] * 100, $at["share_high"] * 100)
		}' "$scratch/moist" "$scratch/wood"
}

# ---- the list of what needs attention, the most serious first

# The findings of wy-check, each with the day of its line: all errors; the warnings about lines of this
# month; and, from any day, probes that may still be in the wood and instruments that are still overdue.
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
			shown = level == "error" || level == "warning" && (when == "" || substr(when, 1, 7) == month)
			if (level == "warning" && when != "" && when <= last)
				shown = shown || rule == "probe-left-in" || rule == "meter-overdue" && checked[word[1]] < when
			if (rule == "meter-overdue" && checked[word[1]] >= when) shown = 0
			if (!shown) next
			file = $at["file"] in name ? name[$at["file"]] : $at["file"]
			said = file ":" $at["line"] ": " $at["text"] "; " $at["mend"]
			if (level != "error") print "2", when, said
			else if (++errors <= 12) print "1", sprintf("%02d", errors), said
		}
		END { if (errors > 12) print "1", "~", "and " errors - 12 " more errors; wy-check lists all of them" }' \
		"$scratch/kept" "$scratch/meters" "$scratch/check" | sort -s -t '	' -k 1,2 | cut -f 3-
}

# DRY starts the awk programs for the answer of wy-dry, which is two tables one after the other.
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

# reasons SIDE: the reasons against emptying a charge, or the warnings; probes with the same text share
# a line.
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
		# The year is left out where it is the year of the ready date.
		function short_day(day, year) { return substr(day, 1, 4) == year ? substr(day, 6) : day }
		function range(from, to, ready,   year) {
			year = substr(ready == "" ? "0000" : ready, 1, 4)
			return from == "" || from == to ? short_day(from, year) : short_day(from, year) ".." short_day(to, year)
		}
		BEGIN { print "charge", "kiln", "day", "pieces", "verdict", "ready on", "50 %|interval", "90 %|interval" }
		part == "charges" {
			print $at["charge"], $at["kiln"], $at["day"], $at["pieces"], $at["verdict"], $at["ready_on"],
				range($at["ready_50_from"], $at["ready_50_to"], $at["ready_on"]), range($at["ready_90_from"], $at["ready_90_to"], $at["ready_on"])
		}' "$scratch/dry"
}

charges_out() {
	awk "$NAMES"'
		FILENAME ~ /moist$/ { c = $at["charge"]; judged[c] = $at["n_judged"]; share[c] = $at["share_in_band"]; driest[c] = $at["driest"]; wettest[c] = $at["wettest"]
			low[c] = $at["driest_pct"]; high[c] = $at["wettest_pct"]; next }
		FNR > 1 && $at["step"] == "kiln" && $at["charge"] != "" && $at["charge"] != "all" && $at["still"] == 0 && $at["out"] > 0 {
			c = $at["charge"]
			if (!(c in judged)) print c ": emptied without a reading in the book"
			else if (judged[c] > 0 && share[c] < 1)
				printf "%s: emptied with %d of %d probes out of the band; wettest %.1f %% (%s), driest %.1f %% (%s)\n",
					c, judged[c] - share[c] * judged[c] + 0.5, judged[c], high[c], wettest[c], low[c], driest[c]
		}' "$scratch/moist" "$scratch/kilns"
}

# Rooms with a target. Kilns are left out, because their air goes from damp to dry; see their charges.
rooms() {
	awk "$NAMES"'
		FILENAME ~ /loads$/ { if (match($0, / kiln=[^ ]+/)) kiln[substr($0, RSTART + 6, RLENGTH - 6)] = 1; next }
		FNR == 1 || $at["place"] in kiln { next }
		FILENAME ~ /air$/ { now[$at["place"]] = 1; target = $at["emc_in_target_share"]
			if (target != "" && target < 0.9)
				printf "%s: the air was in the target in %.0f %% of the readings; wood equilibrates at %.1f %% there (%.1f to %.1f)\n",
					$at["place"], target * 100, $at["emc_mean_pct"], $at["emc_min_pct"], $at["emc_max_pct"]
			next }
		$at["emc_in_target_share"] != "" && !($at["place"] in now) { print $at["place"] ": no air reading this month" }' "$scratch/loads" "$scratch/air" "$scratch/rooms"
}

# Orders that are short or late: a line for each, by due date.
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
				($at["short"] + 0 == 0 ? " (all in stock)" : $at["short"] == $at["open"] ? " (none in stock)" : " (" $at["short"] " short)")
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

# put FUNCTION...: its table, aligned.
put() {
	"$@" >"$scratch/table" && lined_up <"$scratch/table" >>"$scratch/page" || wrong "no page: $1 failed"
}

# heed FUNCTION: its lines as a list, folded at 80 columns.
heed() {
	"$1" >"$scratch/lines" && awk '{
		line = "  - "; room = 80
		n = split($0, word, " ")
		for (i = 1; i <= n; i++) {
			if (length(line) + length(word[i]) > room && line !~ /^ *-? *$/) { sub(/ $/, "", line); print line; line = "    " }
			line = line word[i] " "
		}
		sub(/ $/, "", line); print line }' "$scratch/lines" >>"$scratch/page" || wrong "no page: $1 failed"
}

name=$(works)
printf '%s%s\n' "${name:+$name, }" "$(month_name)" >"$scratch/page" || exit 2

title 'Needs attention'
before=$(wc -l <"$scratch/page")
for part in findings charges_open charges_out orders rooms shifts; do heed $part; done
[ "$before" -ne "$(wc -l <"$scratch/page")" ] || echo '  nothing' >>"$scratch/page"

title 'Pieces this month'
put columns flow form=form type=type start=start in=in found=found returned=returned made=made culled=culled sold=sold used=used end=end

title 'Pieces of the charges in a kiln this month'
put pieces_dried

title 'Their moisture content, %: the last reading of each probe'
put moisture

title "Charges in the kilns on $last"
put open_charges
heed against

title 'Grades: this month, and the twelve months before'
put mix

title 'Culled pieces, by step and cause'
where='$at["step"] != "all"'
put columns losses step=step cause=cause count=pieces 'share=@of_pieces|present,_%'
where=1

title 'Stock at the end of the month'
put by_grade

title 'Open orders'
put columns orders due=due order=order to=for form=form type=type grade=grade open=open 'in_stock=in|stock' 'to_make=to|make' short=short

title 'Rooms: their air, and the moisture content at which wood equilibrates (EMC)'
put columns air place=place n=readings 'temp_mean_c=~temp,|C' 'rh_mean_pct=~humidity,|%' 'rh_in_band_share=@in_band,|%' \
	'emc_mean_pct=~EMC,|%' emc_min_pct=~min emc_max_pct=~max 'emc_in_target_share=@in_target,|%'

title 'Wood read in the rooms: moisture content, %'
put wood

cat >>"$scratch/page" <<'END' || exit 2

EMC is good to about 1 point. A probe shows its own piece, not the whole charge.
Before you open or enter a kiln, or machine wood that held probes, follow the
makers' instructions, the local rules and the advice of a qualified person.
END
cat "$scratch/page" || wrong 'the page could not be written in full'
exit $has_errors
