#!/bin/sh
# start.sh - how long a filter takes to start with the sample's house file, next to mawk 'BEGIN{}', and
# how long a house file with every key takes to read.
set -eu
cd "$(dirname "$0")/../.."
. tests/bench/common.sh
printf '2026-06-09 air north temp=20C\n' >"$dir/one.wy"
[ "$("$bin/wy-pick" -H samples/house.yaml event=air "$dir/one.wy")" = "$(cat "$dir/one.wy")" ]
mawk=$("$dir/best" 60 mawk 'BEGIN{}' | cut -d ' ' -f 1)
for tool in wy-check wy-pick wy-air; do
	case $tool in
	wy-pick) set -- event=air ;;
	*) set -- ;;
	esac
	took=$("$dir/best" 60 "$bin/$tool" "$@" -H samples/house.yaml "$dir/one.wy" 2>/dev/null | cut -d ' ' -f 1)
	echo "$tool $took $mawk" | awk '{ printf "%-9s starts in %.2f ms, %.2f times mawk\n", $1, $2 * 1000, $2 / $3 }'
done
build/unit/house --time spec/house.example.yaml
