#!/bin/sh
# folders.sh [--remove] ROOT [FOLDER...] - makes folders below ROOT, for make install, and keeps in
# ROOT/share/withy/folders which of them were not there before.
#
# With --remove it takes that list, and removes those of its folders that are empty.
set -eu
remove=
if [ "${1:-}" = --remove ]; then
	remove=1
	shift
fi
[ $# -ge 1 ] || { echo 'usage: folders.sh [--remove] ROOT [FOLDER...]' >&2; exit 2; }
root=$1
shift
list=$root/share/withy/folders

# make FOLDER: it and those above it, up to ROOT; the outer ones come first in the list
make() {
	if [ -d "$root/$1" ]; then return; fi
	case $1 in
	*/*) make "${1%/*}" ;;
	esac
	install -d -m 755 "$root/$1"
	made="$made$1
"
}

made=
if [ -z "$remove" ]; then
	for folder in share/withy "$@"; do
		make "$folder"
	done
	printf %s "$made" >>"$list"
elif [ -f "$list" ]; then
	made=$(sed '1!G;h;$!d' "$list") # backwards
	rm -f "$list"
	printf '%s\n' "$made" | while IFS= read -r folder; do
		[ -z "$folder" ] || rmdir "$root/$folder" 2>/dev/null || :
	done
fi
