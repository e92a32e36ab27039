#!/bin/sh
# due.sh [LINES] - how long wy-due takes for the sample book on a day with an open charge and on one without, beside
# the filters whose answers it has, and for a large book. That the list is not empty is checked first.
set -eu
cd "$(dirname "$0")/../.."
runs=5
. tests/bench/common.sh
lines=${1:-200000}
book=$dir/book-$lines.wy
samples='-H samples/house.yaml -b --as=tsv'

# Status 1 is an answer too.
measure() {
	what=$1
	shift
	best "$what" sh -c '"$@" || [ "$?" = 1 ]' sh "$@"
}

for day in 2027-09-28 2027-12-31; do
	# shellcheck disable=SC2086
	"$bin/wy-due" $samples --on $day >"$dir/due.out" || [ "$?" = 1 ]
	[ "$(wc -l <"$dir/due.out")" -ge 3 ]
	first=
	# shellcheck disable=SC2086
	for tool in 'wy-stock --orders' 'wy-dry' 'wy-due'; do
		measure "$tool, $day" "$bin"/$tool $samples --on $day
	done
done
[ -s "$book" ] || awk -v lines="$lines" -f tests/bench/book.awk | LC_ALL=C sort -s -k 1,1 >"$book"
last=$(tail -n 1 "$book" | cut -c 1-10)
"$bin/wy-due" --on "$last" --as=tsv "$book" >"$dir/due.out" || [ "$?" = 1 ]
first=
best "wc -l ($(wc -l <"$book") lines)" wc -l "$book"
measure "wy-check" "$bin/wy-check" -q "$book"
measure "wy-due, $last" "$bin/wy-due" --on "$last" "$book"
