#!/bin/sh
# renew.sh - makes the suite's invalid books anew from the wrong examples of spec/rules.yaml, with
# the diagnostics that wy-check gives them now. Look at what changed before it is kept.
set -eu
cd "$(dirname "$0")"
top=../../..
bin=${WITHY_BIN:-$top/build/bin}
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
rm -rf invalid
mkdir invalid
"$bin/../unit/diag" "$scratch" | while read -r id clause rest; do
	[ -f "$scratch/$id.wrong.wy" ] || continue
	# What was changed on closed days is only seen against an earlier book.
	[ "$id" != closed-changed ] || continue
	cp "$scratch/$id.wrong.wy" "invalid/$clause-$id.wy"
	"$bin/wy-check" -H "$top/spec/house.example.yaml" "invalid/$clause-$id.wy" >"invalid/$clause-$id.diag" 2>/dev/null || true
done
