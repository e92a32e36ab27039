#!/bin/sh
# pair.sh [N] - how long wy-pair takes for N numbered blades and as many handles (500), next to reading their book (wy-check).
# That the pairs are as good as the sorted ones, which are the best where nothing is barred, is checked first.
set -eu
cd "$(dirname "$0")/../.."
runs=5
. tests/bench/common.sh
n=${1:-500}
book=$dir/bench-$n.wy
on=2026-03-02

[ -s "$book" ] || awk -v n="$n" -f tests/lib/bench.awk >"$book"
for part in C H; do
	sed -nE "s/.* judge $part.* mc=([0-9.]+)%.*/\1/p" "$book" | sort -n >"$dir/$part"
done
best=$(paste "$dir/C" "$dir/H" | awk '{ d = ($1 - $2) * 10; s += int(d * d + 0.5) } END { print s }')
got=$("$bin/wy-pair" --on $on --pairs --no-header --columns=apart_pct "$book" | awk '{ d = $1 * 10; s += int(d * d + 0.5) } END { print s }')
[ "$got" = "$best" ]
echo "wy-pair: $n blades and $n handles"
best 'wc -l' wc -l "$book"
best 'wy-check' "$bin/wy-check" -q "$book"
best 'wy-pair' "$bin/wy-pair" --on $on "$book"
best 'wy-pair, within a point' "$bin/wy-pair" --on $on --most-apart=1% "$book"
best 'wy-pair, of a mass' "$bin/wy-pair" --on $on --most-apart=1% --mass=1750g..1950g "$book"
best 'wy-pair, 50 pairs' "$bin/wy-pair" --on $on --most-apart=0.2% --count=50 "$book"
