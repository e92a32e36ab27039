#!/bin/sh
# probes.sh - one charge with 250 and with 1,000 probes, in the midst of its drying: four times the work.
set -eu
cd "$(dirname "$0")/../.."
. tests/bench/common.sh
runs=2
cat >"$dir/probes.yaml" <<-END
	works: Test
	clock: Z
	places:
	  yd: {kind: yard}
	  k: {kind: kiln, capacity: 5000}
	types: {SH: {form: blade}}
	meters: {pin: {kind: pin, reference: 20C, per10C: 1, rule: made up}}
	ready: {target: 9%}
END
for ask in --rates --all; do
	for probes in 250 1000; do
		awk -v probes=$probes -v days=15 -f tests/lib/probes.awk >"$dir/probes.wy"
		best "wy-dry $ask, $probes probes" "$bin/wy-dry" -H "$dir/probes.yaml" $ask --on 2026-01-16 "$dir/probes.wy"
	done
done
