#!/bin/sh
# run.sh - every measure, one after another. Figures are ratios within one run on one machine; none
# is a limit. What each answers is compared with another way of getting it first.
set -eu
cd "$(dirname "$0")/../.."
for measure in tests/bench/*.sh; do
	case $measure in
	tests/bench/run.sh | tests/bench/common.sh) continue ;;
	esac
	echo "== $(basename "$measure" .sh)"
	sh "$measure"
done
