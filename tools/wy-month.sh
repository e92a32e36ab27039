#!/bin/sh
# wy-month - the month of the works on one page. It only puts the other filters together.
set -u
LC_ALL=C
export LC_ALL

usage='wy-month - the month of the works on one page

usage: wy-month [--month YYYY-MM] [-H FILE] [-b | FILE...]

options:
      --month=YYYY-MM  which month; without it the last one that is over
  -H, --house=FILE     the house file; else $WITHY_HOUSE, else house.yaml here
                       or in the nearest folder above
  -b, --book           read the book that the house file names
  -h, --help           print this page
      --version        print the version

exit status:
  0  done
  1  done, but the book has errors
  2  wrong use, or something could not be read or written

example:
  wy-month -b --month 2027-12 | less        the month of a works whose house.yaml is here'

wrong() {
	echo "wy-month: $*" >&2
	exit 2
}

# ---- options

month= house= book=
while [ $# -gt 0 ]; do
	case $1 in
	--month=* | --house=*)
		option=${1%%=*} value=${1#*=}
		shift
		set -- "$option" "$value" "$@"
		continue
		;;
	--month)
		[ $# -gt 1 ] || wrong "--month needs a month, YYYY-MM"
		month=$2
		shift
		;;
	-H | --house)
		[ $# -gt 1 ] || wrong "$1 needs a file"
		house=$2
		shift
		;;
	-b | --book) book=-b ;;
	-h | --help)
		echo "$usage" || exit 2
		exit 0
		;;
	--version)
		echo 'wy-month @VERSION@' || exit 2
		exit 0
		;;
	--help-options)
		printf -- '--month\t\ttext\tYYYY-MM\twhich month\n--house\t-H\ttext\tFILE\tthe house file\n--book\t-b\tflag\t\tread the book that the house file names\n' || exit 2
		exit 0
		;;
	--)
		shift
		break
		;;
	-?*) wrong "there is no option $1; see wy-month --help" ;;
	*) break ;;
	esac
	shift
done

# The month before this day's, as the day of the answer says.
last_month() {
	today=${WITHY_TODAY:-$(date +%Y-%m-%d)}
	echo "$today" | awk -F- '{ y = $1; m = $2 - 1; if (m == 0) { m = 12; y-- } printf "%04d-%02d\n", y, m }'
}

: "${month:=$(last_month)}"
case $month in
[0-9][0-9][0-9][0-9]-0[1-9] | [0-9][0-9][0-9][0-9]-1[0-2]) ;;
*) wrong "'$month' is no month; write it as 2027-12" ;;
esac
first=$month-01
last=$(echo "$month" | awk -F- '{
	split("31 28 31 30 31 30 31 31 30 31 30 31", days, " ")
	leap = $1 % 4 == 0 && ($1 % 100 != 0 || $1 % 400 == 0)
	printf "%s-%02d\n", $0, days[$2 + 0] + ($2 == 2 && leap) }')

scratch=$(mktemp -d) || wrong "cannot make a folder for what is kept on the way"
trap 'rm -rf "$scratch"' EXIT
trap 'exit 2' HUP INT TERM

# Every filter reads the book anew, so what comes on standard input is kept first.
if [ -z "$book" ] && [ $# -eq 0 ]; then
	cat >"$scratch/book.wy" || wrong "cannot keep standard input"
	set -- "$scratch/book.wy"
fi
if [ -n "$house" ]; then
	WITHY_HOUSE=$house
	export WITHY_HOUSE
fi

# ---- composing

# answer FILTER ARGUMENTS...: its table as TSV; what it has to say goes to $scratch/said. A wrong
# use or an unreadable file ends the page.
files=$scratch/files
for file in "$@"; do printf '%s\n' "$file"; done >"$files"
answer() {
	filter=$1
	shift
	while IFS= read -r file; do set -- "$@" "$file"; done <"$files"
	# shellcheck disable=SC2086
	"$filter" "$@" $book --as=tsv 2>>"$scratch/said"
	status=$?
	[ $status -le 1 ] || {
		cat "$scratch/said" >&2
		kill -TERM $$
	}
	return $status
}

# Lines a table up for reading: words to the left, numbers to the right; shares as per cent.
lined_up() {
	awk -F'\t' '
		NR == 1 { for (i = 1; i <= NF; i++) { name[i] = $i; share[i] = $i ~ /share|^yield/; sub(/_share/, "_%", $i); sub(/^share/, "%", $i) } n = NF }
		{
			for (i = 1; i <= n; i++) {
				text = $i
				if (NR > 1 && text ~ /^-?[0-9]+\.[0-9]+$/) text = share[i] ? sprintf("%.1f", text * 100) : sprintf("%.1f", text)
				if (text == "") text = "-"
				if (NR > 1 && text !~ /^-?[0-9.]*$/) words[i] = 1
				cell[NR, i] = text
				if (length(text) > wide[i]) wide[i] = length(text)
			}
		}
		END {
			for (r = 1; r <= NR; r++) {
				line = " "
				for (i = 1; i <= n; i++) line = line sprintf(words[i] ? " %-" wide[i] "s" : " %" wide[i] "s", cell[r, i])
				sub(/ +$/, "", line)
				print line
			}
			if (NR < 2) print "  nothing"
		}'
}

# columns NAME...: these columns of a TSV table, in this order.
columns() {
	awk -F'\t' -v want="$*" '
		NR == 1 { n = split(want, name, " "); for (i = 1; i <= NF; i++) at[$i] = i }
		{ for (i = 1; i <= n; i++) printf "%s%s", $at[name[i]], i < n ? "\t" : "\n" }'
}

# where COLUMN TEST: the rows whose column passes (an awk comparison of v), and the header.
where() {
	awk -F'\t' -v name="$1" 'NR == 1 { for (i = 1; i <= NF; i++) if ($i == name) at = i; print; next } { v = $at } '"$2"
}

title() { printf '\n%s\n' "$1"; }

# ---- the page

works=$(sed -n 's/^works: *//p' "${WITHY_HOUSE:-house.yaml}" 2>/dev/null | sed 's/[ ]*#.*//; s/^"\(.*\)"$/\1/' | head -n 1)
printf '%s%s\n' "${works:+$works, }" "$month"

answer wy-check --quiet >"$scratch/check"
has_errors=$?

title 'Pieces: what there was, what came and went, what there is'
answer wy-stock --since "$first" --on "$last" | columns form type start in found returned made culled sold used end | lined_up

title 'Kilns: charges that were in one this month'
answer wy-yield --by charge --since "$first" --on "$last" | where step 'v == "kiln"' | where charge 'v != ""' |
	columns charge start in out culled still median_days | lined_up

title 'Moisture: the last readings of the charges emptied this month'
answer wy-moist --by charge --last --from "$first" --to "$last" |
	columns charge n_pieces mc_mean_pct mc_sd_pct mc_wettest_pct mc_driest_pct in_band_share in_band_low in_band_high | lined_up

title 'Grades: this month, and the twelve months before'
answer wy-grade --by type --from "$first" --to "$last" --baseline 12 |
	columns type grade count of share share_low share_high baseline_of baseline_share | lined_up

title 'Losses: by step and cause'
answer wy-yield --losses --since "$first" --on "$last" | columns step cause count share | lined_up

title 'Stock: graded blades, handles and bats'
answer wy-stock --by form,type,grade --on "$last" | where form 'v != "cleft"' | columns form type grade count oldest_days | lined_up

title 'Orders: what is still to come'
answer wy-stock --orders --on "$last" | columns due order to form type grade open in_stock to_make short | lined_up

title 'Rooms: the air, and the moisture that wood settles at in it'
answer wy-air --by place --from "$first" --to "$last" |
	columns place n temp_mean_c rh_mean_pct rh_in_band_share emc_mean_pct emc_min_pct emc_max_pct emc_in_target_share | lined_up

title 'To look at'
{
	answer wy-stock --orders --on "$last" | where short 'v > 0' | columns short type grade order due |
		awk -F'\t' 'NR > 1 { printf "  %s of %s%s short for %s%s\n", $1, $2, $3 == "" ? "" : " grade " $3, $4, $5 == "" ? "" : ", due " $5 }'
	answer wy-air --by place --from "$first" --to "$last" | columns place emc_in_target_share emc_mean_pct |
		awk -F'\t' 'NR > 1 && $2 != "" && $2 < 0.9 { printf "  %s: its air is in the target for %.0f %% of the readings; wood there settles at %.1f %%\n", $1, $2 * 100, $3 }'
	answer wy-yield --by charge --on "$last" | where step 'v == "kiln"' | columns charge still |
		awk -F'\t' 'NR > 1 && $1 != "" && $2 > 0 { printf "  %s still holds %d pieces\n", $1, $2 }'
	awk -F'\t' -v month="$month" 'NR == 1 { for (i = 1; i <= NF; i++) at[$i] = i; next }
		$at["level"] != "note" { printf "  %s:%s: %s; %s\n", $at["file"], $at["line"], $at["text"], $at["mend"] }' "$scratch/check" | tail -n 12
} >"$scratch/look"
if [ -s "$scratch/look" ]; then cat "$scratch/look"; else echo '  nothing'; fi

cat <<'END'

EMC is good to about 1 point. Probes tell of their own pieces, not of the whole charge.
Before a kiln is opened or entered, and before wood that held probes goes to a machine, the
makers' instructions, the local rules and a qualified person decide.
END
# What could not be written was seen by printf and cat; a lost page must not look like a good one.
[ $has_errors -eq 0 ] || exit 1
