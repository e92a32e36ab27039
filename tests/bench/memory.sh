#!/bin/sh
# memory.sh [WORKS...] - how much memory the checker and the answers on pieces take, and what it follows. The book of decade.awk is made
# for a few works and for ten times as many, and once more with every reading of air and wood three times. Of each tool: the
# most memory of the three, how much more a million lines without pieces take, how much more a million pieces, and how
# much more a million ids (lots, charges, bats, orders, trees). That the answers of the two larger books say the same of pieces is
# checked first.
set -eu
cd "$(dirname "$0")/../.."
runs=1
. tests/bench/common.sh
few=${1:-4}
many=${2:-43}
on=2035-12-31

# Each reading again a minute later, and again two minutes later.
tripled() {
	awk '
	{ print }
	$3 ~ /^(air|probe)$/ && substr($2, 4, 2) < 58 && !/ (in|out)=/ {
		for (later = 1; later <= 2; later++) {
			line = $0
			at = index(line, $2)
			print substr(line, 1, at + 2) sprintf("%02d", substr($2, 4, 2) + later) substr(line, at + 5)
		}
	}' "$1" | LC_ALL=C sort -s -k 1,1
}

# The lines, the pieces that came in and the ids of a book.
sizes() {
	awk '{
		at = $2 ~ /:/ ? 3 : 2
		if ($at ~ /^(fell|cleave|buy|load|pool|make|order)$/) ids[$(at + 1)]
		if ($at ~ /^(cleave|buy)$/)
			for (i = at + 2; i <= NF; i++)
				if ($i ~ /^(count|cull)=/) {
					n = split(substr($i, index($i, "=") + 1), item, ",")
					for (k = 1; k <= n; k++) pieces += substr(item[k], index(item[k], ":") + 1)
				}
	} END { for (id in ids) n_ids++; print NR, pieces, n_ids }' "$1"
}

for works in "$few" "$many"; do
	decade_book "$works"
done
[ -s "$dir/tripled.wy" ] || tripled "$dir/decade-$many.wy" >"$dir/tripled.wy"
for book in "decade-$few" "decade-$many" tripled; do
	sizes "$dir/$book.wy" >"$dir/$book.sizes"
	echo "$book: $(awk '{ print $1 " lines, " $2 " pieces came in, " $3 " ids" }' "$dir/$book.sizes")"
done
for book in "decade-$many" tripled; do
	"$bin/wy-stock" -H "$dir/decade-$many.yaml" --on=$on --as=tsv "$dir/$book.wy" >"$dir/$book.stock"
done
cmp "$dir/decade-$many.stock" "$dir/tripled.stock"
for call in 'wy-check -q' "wy-stock --on=$on" "wy-yield --on=$on" 'wy-grade --agreement --claims' "wy-cost --on=$on" \
	"wy-trace --on=$on B010635" "wy-returns --on=$on"; do
	for book in "decade-$few" "decade-$many" tripled; do
		works=$many
		[ "$book" != "decade-$few" ] || works=$few
		# shellcheck disable=SC2086
		"$dir/best" 1 "$bin"/$call -H "$dir/decade-$works.yaml" "$dir/$book.wy" | awk '{ printf "%s ", $2 / 1024 }'
		cat "$dir/$book.sizes"
	done | awk -v call="${call%% *}" '
		{ mb[NR] = $1; lines[NR] = $2; pieces[NR] = $3; ids[NR] = $4 }
		END { printf "%-10s %6.1f %6.1f %6.1f MB; for a million lines without pieces %5.1f MB, for a million pieces %6.1f MB, for a million ids %6.1f MB\n",
			call, mb[1], mb[2], mb[3], (mb[3] - mb[2]) / (lines[3] - lines[2]) * 1e6, (mb[2] - mb[1]) / (pieces[2] - pieces[1]) * 1e6,
			(mb[2] - mb[1]) / (ids[2] - ids[1]) * 1e6 }'
done
