#!/bin/sh
# score.sh - the backtest of two years of the sample works, and of books with 20 and with 80 past charges of one kiln.
set -eu
cd "$(dirname "$0")/../.."
. tests/bench/common.sh
runs=2
best "wy-dry --score, the sample works" "$bin/wy-dry" -H samples/house.yaml --score --on 2027-12-31 -b
cat >"$dir/score.yaml" <<-END
	works: Test
	clock: Z
	places:
	  yd: {kind: yard}
	  k: {kind: kiln, capacity: 5000}
	  b: {kind: bench}
	types: {SH: {form: blade}}
	meters: {pin: {kind: pin, reference: 20C, per10C: 1, rule: made up}}
	ready: {target: 9%, band: 8..10.2%, readings: 2}
END
for charges in 20 80; do
	awk -v charges=$charges -f tests/bench/charges.awk >"$dir/score.wy"
	best "wy-dry --score, $charges past charges" "$bin/wy-dry" -H "$dir/score.yaml" --score --on 2036-12-31 "$dir/score.wy"
done
