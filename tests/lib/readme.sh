#!/bin/sh
# readme.sh FILE - prints FILE with the present output of its console examples. In a block ```console each
# line `$ COMMAND` is run in samples/ (`sh ...` in the root) with the tools of build/bin, and its output
# follows it. To renew README.md: `sh tests/lib/readme.sh README.md >x && mv x README.md`.
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
		# A command that goes on: its lines end in a backslash.
		while [ "${command%\\}" != "$command" ] && IFS= read -r line; do
			printf '%s\n' "$line"
			command=${command%\\}$line
		done
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
