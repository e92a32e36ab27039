#!/bin/sh
# check.sh [LINES] - how long wy-check takes for a consistent book, in full: typed, words of the house,
# ids, repeats, stock, charges, probes, meters. Next to wc -l of it and to reading it alone (wy-pick).
# That the book is found consistent, and one wrong count in it is found, is checked first.
set -eu
cd "$(dirname "$0")/../.."
runs=5
. tests/bench/common.sh
lines=${1:-1000000}
book=$dir/book-$lines.wy

make_house >"$dir/house.yaml"
[ -s "$book" ] || awk -v lines="$lines" -f tests/bench/book.awk | LC_ALL=C sort -s -k 1,1 >"$book"
"$bin/wy-check" -H "$dir/house.yaml" "$book" >"$dir/check.out" 2>"$dir/check.err"
grep -qx "0 errors, 0 warnings, 0 notes in $(wc -l <"$book") lines" "$dir/check.err"
awk '!done && /count=28 cull=honeycomb:1/ { sub(/count=28/, "count=29"); done = 1 } { print }' "$book" |
	"$bin/wy-check" -H "$dir/house.yaml" >"$dir/check.out" 2>"$dir/check.err" && status=0 || status=$?
[ "$status" = 1 ] && [ "$(wc -l <"$dir/check.out")" = 1 ]
echo "wy-check: $(wc -l <"$book") consistent lines, $(($(wc -c <"$book") / 1000000)) MB"
bytes=$(wc -c <"$book")
best 'wc -l' wc -l "$book"
best 'wy-pick -n (reading alone)' "$bin/wy-pick" -n event=air "$book"
best 'wy-check --by-line' "$bin/wy-check" -H "$dir/house.yaml" -q --by-line "$book"
best 'wy-check' "$bin/wy-check" -H "$dir/house.yaml" -q "$book"
