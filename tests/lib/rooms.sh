#!/bin/sh
# rooms.sh CHECK [OBJECTS] - holds the tree in this folder against the table of rooms in DEVELOPERS.md.
# Prints each failure on a line of its own; the status is 1 when there is one. OBJECTS is the folder
# of the library's objects, build/lib without it; the generated headers are beside it, in gen/.
#
#	folders   tools/lib holds the folders of the table, and nothing else
#	includes  a file includes headers only of rooms that its row allows, and no private one of another room
#	symbols   an object uses symbols only of rooms that its row allows
#	circles   no two objects use each other's symbols, directly or round about
#	headers   each header compiles alone, with the Makefile's warnings
#	own       a C file includes the header of its name first
#	lengths   a main has at most 250 lines, a function at most 60
#	number    the files of tools/ include 2.2 project headers each at most, on average
set -u
here=$(cd "$(dirname "$0")" && pwd)
check=$1 objects=${2:-build/lib}
export LC_ALL=C

# ROOM and what it may include, one room a line
rooms() {
	awk -F'|' '/^## The rooms/ { on = 1; next } /^## / { on = 0 }
		on && /^\| [a-z]+ \|/ && $2 !~ /^ room $/ { gsub(/[^a-z ]/, "", $4); print $2, $4 }' DEVELOPERS.md
}

check_folders() {
	rooms | awk '{ print $1 }' | sort >"$work/named"
	ls -A tools/lib | sort >"$work/there"
	comm -13 "$work/named" "$work/there" | sed 's/.*/tools\/lib\/& is not in the table/'
	comm -23 "$work/named" "$work/there" | sed 's/.*/the table has the room &, which tools\/lib does not have/'
	for file in tools/lib/*; do
		[ -d "$file" ] || echo "$file is not a folder"
	done
}

check_includes() {
	find tools/lib -name '*.[ch]' | sort | xargs awk -v what=includes -f "$here/rooms.awk" "$work/rooms"
}

check_symbols() {
	find "$objects" -name '*.o' | sort | xargs nm -A -P >"$work/symbols" || echo "nm failed"
	[ -s "$work/symbols" ] || echo "no objects below $objects"
	awk -v what="$1" -v objects="$objects/" -f "$here/rooms.awk" "$work/rooms" "$work/symbols"
}

check_headers() {
	for header in $(find tools/lib -name '*.h' | sort); do
		# shellcheck disable=SC2046
		echo "#include \"${header#tools/lib/}\"" | ${CC:-gcc} -fsyntax-only -x c -std=c11 -D_XOPEN_SOURCE=700 -Werror \
			$(sed -n 's/^WY_WARN = //p' Makefile) -Wno-unused-function -include tools/lib/base/banned.h \
			-iquote tools/lib -iquote "$objects/../gen" - 2>"$work/err" ||
			echo "$header does not compile alone: $(grep -m 1 -E 'error|warning' "$work/err")"
	done
}

check_own() {
	for file in $(find tools/lib -name '*.c' | sort); do
		own=${file#tools/lib/} own=${own%.c}.h
		[ -f "tools/lib/$own" ] || continue
		first=$(grep -m 1 '^#include' "$file")
		[ "$first" = "#include \"$own\"" ] || echo "$file has first $first"
	done
}

check_lengths() {
	find tools -name '*.[ch]' | sort | xargs awk -v main_most=250 -v function_most=60 -v what=lengths -f "$here/rooms.awk" "$work/rooms"
}

check_number() {
	files=$(find tools -name '*.[ch]' | wc -l)
	n=$(find tools -name '*.[ch]' | xargs cat | grep -c '^#include "')
	[ "$((n * 10))" -le "$((files * 22))" ] ||
		echo "$n includes of project headers in the $files files of tools/, more than 2.2 a file"
}

work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT
rooms >"$work/rooms"
[ -s "$work/rooms" ] || echo "no table of rooms in DEVELOPERS.md" >"$work/failures"
case $check in
folders | includes | headers | own | lengths | number) "check_$check" >>"$work/failures" ;;
symbols | circles) check_symbols "$check" >>"$work/failures" ;;
*)
	echo "usage: rooms.sh CHECK [OBJECTS]" >&2
	exit 2
	;;
esac
sort "$work/failures"
[ ! -s "$work/failures" ]
