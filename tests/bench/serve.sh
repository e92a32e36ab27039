#!/bin/sh
# serve.sh [LINES] - a keystroke in a book that is open in an editor: the time from the change to the findings of its
# line and to the completion list; next to wy-check of the whole book, which the server repeats when typing stops.
# That the final findings are those of wy-check is checked first.
set -eu
cd "$(dirname "$0")/../.."
runs=3
. tests/bench/common.sh
lines=${1:-1000000}
book=$dir/book-$lines.wy
[ -s "$book" ] && [ -s "$dir/house.yaml" ] || sh tests/bench/check.sh "$lines" >/dev/null
best 'wy-check' "$bin/wy-check" -H "$dir/house.yaml" -q "$book"
PATH="$(cd "$bin" && pwd):$PATH" python3 -u tests/bench/serve.py "$dir/house.yaml" "$book"
