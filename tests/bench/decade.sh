#!/bin/sh
# decade.sh - how long the answers on the history of wood take for ten years of a book, at 100,000 and at 1,000,000 lines:
# each alone, all one after another, and all at the same time. The ratio is to `wc -l` of the same book. Memory is that of
# the largest process: it follows lots, bats and pieces, not lines (memory.sh). That the book is consistent, and that the same bats came back
# as its lines say, is checked first. decade.awk describes the book.
set -eu
cd "$(dirname "$0")/../.."
runs=3
. tests/bench/common.sh
on=2035-12-31
open=2035-06-15

# The commands, one a line, of which $book and $house are the shell's.
answers() {
	for answer in 'wy-yield --on=$on' 'wy-grade --agreement --claims' 'wy-cost --on=$on' \
		'wy-trace --on=$on B010635' 'wy-returns --on=$on'; do
		echo "$answer"
	done
}

command_of() {
	echo "$bin/$1" | sed "s|\$on|$on|; s|\$| -H $house|"
}

measure() {
	works=$1
	house=$dir/decade-$works.yaml
	book=$dir/decade-$works.wy
	decade_book "$works"
	"$bin/wy-check" -H "$house" -q "$book" >"$dir/check.out" 2>&1
	[ "$("$bin/wy-returns" -H "$house" --on=$on --by=cause --as=tsv --no-header --columns=came_back "$book" | awk '{ n += $1 } END { print n }')" = \
		"$(grep -c ' return ' "$book")" ]
	echo "ten years: $(wc -l <"$book") lines, $(grep -c ' make ' "$book") bats, $(($(wc -c <"$book") / 1000000)) MB"
	first=
	best 'wc -l' wc -l "$book"
	answers >"$dir/answers"
	after=: beside=
	while read -r answer; do
		run="$(command_of "$answer") $book"
		best "$(echo "$answer" | sed 's/ --on=[^ ]*//')" $run
		after="$after; $run"
		beside="$beside $run &"
	done <"$dir/answers"
	best 'all, one after another' sh -c "$after"
	best 'all at the same time' sh -c "$beside wait"
	for more in 'wy-grade --agreement' 'wy-grade --claims' 'wy-cost --on=$on --stock --method=mean' 'wy-cost --on=$on --kinds' 'wy-trace --on=$on --sharing B010635' \
		'wy-trace --on=$on --dossier --every' 'wy-trace --on=$on --dry --under=9%' 'wy-returns --on=$on --by=handle' \
		'wy-yield --on=$on --losses --by=lot'; do
		best "$(echo "$more" | sed 's/ --on=[^ ]*//')" $(command_of "$more") "$book"
	done
	# What is open, with charges that nobody unloaded for years. Status 1 is an answer too.
	for more in "wy-dry --on=$open" "wy-stock --on=$open --orders" "wy-due --on=$open" "wy-month --month=${open%-*}"; do
		best "$(echo "$more" | sed 's/ --on=[^ ]*//')" sh -c '"$@" || [ "$?" = 1 ]' sh $(command_of "$more") "$book"
	done
}

measure 4
measure 43
