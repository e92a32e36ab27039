#!/bin/sh
# trace.sh [LINES] - how long wy-trace and wy-returns take for a book of that length with bats, next to the stock alone
# (wy-stock). That a bat's wood is all of its lot, and that the returns are those of the lines, is checked first.
set -eu
cd "$(dirname "$0")/../.."
runs=3
. tests/bench/common.sh
lines=${1:-1000000}
book=$dir/bats-$lines.wy
on=2099-12-31

# Every fourth lot that is issued becomes bats, four of a handle lot of forty; a hundredth come back a year later.
[ -s "$book" ] || awk -v lines="$lines" -f tests/bench/book.awk | LC_ALL=C sort -s -k 1,1 | awk '
	{ print }
	/ issue / && ++n % 4 == 0 {
		h = sprintf("H%05d", int(n / 40))
		if (n % 40 == 0 || n == 4)
			print $1 " buy " h " form=handle count=HS:50 into=shop from=rattan"
		for (i = 1; i <= 4; i++) {
			b = sprintf("B%06d", n * 4 + i)
			print $1 " make " b " blade=" $3 " handle=" h " at=shop by=jo"
			print $1 " sell " b " to=velmor"
			if ((n + i) % 97 == 0)
				print substr($1, 1, 4) + 1 substr($1, 5, 4) "28 return " b " cause=soft into=shop"
		}
	}' >"$book"
bat=$(awk '/ make / && ++n == 900 { print $3; exit }' "$book")
lot=$(awk -v bat="$bat" '$2 == "make" && $3 == bat { sub(/blade=/, "", $4); print $4; exit }' "$book")
[ "$("$bin/wy-trace" --on $on --dossier --no-header --columns=lot "$bat" "$book" | head -n 1)" = "$lot" ]
[ "$("$bin/wy-returns" --on $on --by cause --no-header --columns=came_back "$book")" = "$(grep -c ' return ' "$book")" ]
echo "wy-trace, wy-returns: $(wc -l <"$book") lines, $(grep -c ' make ' "$book") bats, $(($(wc -c <"$book") / 1000000)) MB"
bytes=$(wc -c <"$book")
best 'wc -l' wc -l "$book"
best 'wy-stock' "$bin/wy-stock" --on $on "$book"
best "wy-trace $bat" "$bin/wy-trace" --on $on "$bat" "$book"
best "wy-trace --sharing $bat" "$bin/wy-trace" --on $on --sharing "$bat" "$book"
best 'wy-trace --dossier --every' "$bin/wy-trace" --on $on --dossier --every "$book"
best 'wy-trace --dry' "$bin/wy-trace" --on $on --dry --under=9% "$book"
best 'wy-returns' "$bin/wy-returns" --on $on "$book"
