#!/bin/sh
# readme.sh FILE - prints FILE with the output of its console examples as it is now: in a block
# ```console each line `$ COMMAND` is run in samples/ (`sh ...` at the top) with the tools of
# build/bin, and its output put behind it. `sh tests/lib/readme.sh README.md >x && mv x README.md` renews.
set -u
top=$(cd "$(dirname "$0")/../.." && pwd)
PATH="${WITHY_BIN:-$top/build/bin}:$PATH"
export PATH
unset WITHY_HOUSE
inside=
while IFS= read -r line; do
	case $inside$line in
	'```console') inside=1 ;;
	'1```') inside= ;;
	'1$ '*)
		printf '%s\n' "$line"
		command=${line#'$ '}
		case $command in
		'sh '*) cd "$top" || exit 2 ;;
		*) cd "$top/samples" || exit 2 ;;
		esac
		sh -c "$command" 2>&1
		continue
		;;
	1*) continue ;;
	esac
	printf '%s\n' "$line"
done <"${1:?which file}"
