#!/bin/sh
# dist.sh VERSION FOLDER - makes the release: FOLDER/withy-VERSION.tar.gz and its checksum beside it.
#
# The files are those that git knows, as they are now; in an unpacked release, all of it. Names are sorted, owners
# are the same for all, modes but for which can be run, and the time is that of the newest entry of the changelog, so
# that the bytes are the same each time.
set -eu
version=$1
mkdir -p "$2"
folder=$(cd "$2" && pwd)
cd "$(dirname "$0")/../.."
name=withy-$version
list=$folder/files
trap 'rm -f "$list" "$folder/$name.tar"' EXIT

if [ -e .git ]; then
	[ -z "$(git status --porcelain)" ] || echo 'dist.sh: there are changes that are not committed; they are in the release' >&2
	git ls-files -z >"$list"
else
	find . -type d \( -name 'build*' -prune -o -name node_modules -prune \) -o -type f -print0 | sed -z 's|^\./||' >"$list"
fi
time=$(sed -n 's/^ -- .*>  //p' tools/deb/debian/changelog | head -n 1)
LC_ALL=C sort -z -o "$list" "$list"
tar --create --file="$folder/$name.tar" --format=ustar --owner=0 --group=0 --numeric-owner --mode=u=rwX,go=rX --mtime="$time" \
	--transform="s|^|$name/|" --no-recursion --null --files-from="$list"
gzip -9nf "$folder/$name.tar"
(cd "$folder" && sha256sum "$name.tar.gz" >"$name.tar.gz.sha256")
cat "$folder/$name.tar.gz.sha256"
