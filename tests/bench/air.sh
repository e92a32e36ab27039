#!/bin/sh
# air.sh [LINES] - how long wy-air takes for monthly means over a large book, next to wc -l of it.
# The answer is compared with awk's before anything is measured. Ratios are printed, no limit is
# set: they are of this machine. LINES is 6000000 without it.
set -eu
cd "$(dirname "$0")/../.."
runs=7
. tests/bench/common.sh
lines=${1:-6000000}
book=$dir/air-$lines.wy

# Place, month, n, means; awk sums in floating point, so its last digits are its own.
by_awk() {
	awk '{
		split($5, t, "="); split($6, r, "="); k = $4 "\t" substr($1, 1, 7)
		n[k]++; temp[k] += t[2] + 0; rh[k] += r[2] + 0
	} END { for (k in n) printf "%s\t%d\t%.9f\t%.9f\n", k, n[k], temp[k] / n[k], rh[k] / n[k] }' "$1" | LC_ALL=C sort
}

# The same rows, and means that differ by less than a thousandth of the last digit written.
must_agree() {
	paste "$1" "$2" | awk -F'\t' '
		function far(a, b) { return a - b > 1e-6 || b - a > 1e-6 }
		$1 != $6 || $2 != $7 || $3 != $8 || far($4, $9) || far($5, $10) { print "they differ: " $0; bad = 1 }
		END { exit bad || NR == 0 }'
}

if [ ! -s "$book" ] || [ "$(wc -l <"$book")" != "$lines" ]; then
	awk -v lines="$lines" -f tests/bench/air.awk >"$book"
fi
by_awk "$book" >"$dir/awk.tsv"
for jobs in 1 3; do
	"$bin/wy-air" -H tests/cases/air/house.yaml -w $jobs "$book" 2>/dev/null |
		awk -F'\t' -v OFS='\t' 'NR > 1 { print $1, $2, $3, $5, $10 }' >"$dir/air.tsv"
	must_agree "$dir/awk.tsv" "$dir/air.tsv"
done
echo "wy-air: $(wc -l <"$dir/awk.tsv") means of temperature and humidity over $lines lines ($(($(wc -c <"$book") / 1000000)) MB), as awk finds them"
best 'wc -l' wc -l "$book"
best 'wy-air --of=temp,rh --workers=1' "$bin/wy-air" -H tests/cases/air/house.yaml --of=temp,rh -w 1 "$book"
best 'wy-air --workers=1 (with EMC and bands)' "$bin/wy-air" -H tests/cases/air/house.yaml -w 1 "$book"
best 'wy-air (all cores)' "$bin/wy-air" -H tests/cases/air/house.yaml "$book"
runs=1
for other in mawk gawk; do
	! command -v $other >/dev/null || best "$other, the same means" $other '{ split($5, t, "="); split($6, r, "="); k = $4 "\t" substr($1, 1, 7)
		n[k]++; temp[k] += t[2]; rh[k] += r[2] } END { for (k in n) print k, n[k], temp[k] / n[k], rh[k] / n[k] }' "$book"
done
