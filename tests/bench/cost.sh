#!/bin/sh
# cost.sh [LINES] - how long wy-cost takes for a consistent book in which every tree, and the power of every
# charge, has a price, beside wy-stock and wy-yield of it. That its account adds up is checked first.
set -eu
cd "$(dirname "$0")/../.."
runs=3
. tests/bench/common.sh
lines=${1:-1000000}
book=$dir/cost-$lines.wy

cat >"$dir/cost.yaml" <<-'END'
works: Bench
currency: NZD
costs: {timber: by-worth, power: by-piece-day}
grades:
  - {scheme: "2000", list: ["1", "2", "3", "4"], worth: [96, 61, 37, 19]}
END
[ -s "$book" ] || awk -v lines="$lines" -f tests/bench/book.awk | awk '
	{ print }
	/ fell / { print $1 " cost " $3 " kind=timber price=" 200 + ++n % 97 ".37NZD" }
	/ unload / && !($3 in seen) { seen[$3]; print $1 " cost " $3 " kind=power energy=900kWh price=" 100 + n % 31 ".11NZD" }' |
	LC_ALL=C sort -s -k 1,1 >"$book"
"$bin/wy-cost" -H "$dir/cost.yaml" --on 2099-12-31 --since 1999-01-01 --columns=closing,counted --no-header "$book" |
	awk '$1 != $2 { exit 1 } END { exit NR != 7 }'
first=
best "wc -l ($(wc -l <"$book") lines)" wc -l "$book"
best "wy-stock" "$bin/wy-stock" -H "$dir/cost.yaml" --on 2099-12-31 "$book"
best "wy-yield" "$bin/wy-yield" -H "$dir/cost.yaml" --on 2099-12-31 "$book"
best "wy-cost --by grade" "$bin/wy-cost" -H "$dir/cost.yaml" --on 2099-12-31 --by grade "$book"
best "wy-cost --stock --method mean" "$bin/wy-cost" -H "$dir/cost.yaml" --on 2099-12-31 --stock --method mean "$book"
best "wy-cost --kinds" "$bin/wy-cost" -H "$dir/cost.yaml" --on 2099-12-31 --kinds "$book"
