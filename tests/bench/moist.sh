#!/bin/sh
# moist.sh [LINES] - how long wy-moist takes, and how much memory, for two books of so many lines: that of a
# works of LINES lines (thousands of charges and pieces), and one of a few hundred charges whose probes
# are read again and again. Next to wc -l of it. What it answers by charge is compared with awk's first.
# The figures are of this machine; no limit is set.
set -eu
cd "$(dirname "$0")/../.."
runs=5
. tests/bench/common.sh
lines=${1:-1000000}
works=$dir/book-$lines.wy
probes=$dir/probes-$lines.wy
house=$dir/moist.yaml

make_probes() { # 300 charges of three probes, read in turn
	awk -v lines="$1" 'BEGIN {
		for (c = 0; c < 300; c++) {
			print "2000-01-01 load K" c " kiln=north lot=L" c " at=yard/b1 count=30"
			print "2000-01-01 probe K" c " in=a:L" c "/SH,b:L" c "/SH,c:L" c "/SH"
		}
		for (i = 600; i < lines; i++) {
			k = int(i / 300)
			printf "%04d-%02d-%02d %02d:%02d:%02d probe K%d mc=%s:%.1f%% wood=26C meter=pin2\n", 2000 + int(k / 8640) % 100,
				1 + int(k / 720) % 12, 1 + int(k / 25.71) % 28, k % 24, i % 60, int(i / 60) % 60, i % 300,
				substr("abc", 1 + k % 3, 1), 7 + (k * 7 + i) % 230 / 10
		}
	}'
}

# Readings of each charge, and pieces: as many probes as were read.
by_awk() {
	awk '$2 ~ /:/ { $2 = ""; $0 = $0 } $2 == "probe" && match($0, / mc=[a-z0-9]+:/) {
		n[$3]++
		if (!seen[$3, substr($0, RSTART, RLENGTH)]++) pieces[$3]++
	} END { for (k in n) printf "%s\t%d\t%d\n", k, n[k], pieces[k] }' "$1" | LC_ALL=C sort
}

measure() { # measure BOOK
	by_awk "$1" >"$dir/awk.tsv"
	for call in '' --all '--workers=3'; do
		# shellcheck disable=SC2086
		"$bin/wy-moist" -H "$house" --by=charge $call "$1" | awk -F'\t' -v OFS='\t' 'NR > 1 && $1 != "" { print $1, $2, $4 }' | cmp - "$dir/awk.tsv"
	done
	echo "wy-moist: $(wc -l <"$dir/awk.tsv") charges over $(wc -l <"$1") lines ($(($(wc -c <"$1") / 1000000)) MB), as awk finds them"
	first=
	best 'wc -l' wc -l "$1"
	best 'wy-moist --workers=1' "$bin/wy-moist" -H "$house" --workers=1 "$1"
	for call in '' --all --by=charge --by=month --planing; do
		# shellcheck disable=SC2086
		best "wy-moist $call" "$bin/wy-moist" -H "$house" $call "$1"
	done
}

printf '%s\n' 'works: Bench' 'meters:' '  pin2: {kind: pin, reference: 20C, per10C: 0.9}' >"$house"
if [ ! -s "$works" ] || [ "$(wc -l <"$works")" -lt "$lines" ]; then
	awk -v lines="$lines" -f tests/bench/book.awk | LC_ALL=C sort -s -k 1,1 >"$works"
fi
if [ ! -s "$probes" ] || [ "$(wc -l <"$probes")" != "$lines" ]; then
	make_probes "$lines" >"$probes"
fi
measure "$works"
measure "$probes"
