#!/bin/sh
# deb.sh VERSION FOLDER - makes the Debian packages in FOLDER, from a release: the tools (withy) and the library
# (libwithy-dev). tools/deb/debian has what Debian's own tools read; here it is put where they look for it.
#
# Objects that FOLDER has from before are used again where nothing changed.
set -eu
version=$1
mkdir -p "$2"
folder=$(cd "$2" && pwd)
cd "$(dirname "$0")/../.."
for tool in dpkg-buildpackage dh; do
	command -v $tool >/dev/null 2>&1 || { echo "deb.sh: $tool is missing; install dpkg-dev and debhelper" >&2; exit 1; }
done
sh tools/deb/dist.sh "$version" "$folder" >/dev/null
rm -rf "$folder/new" "$folder"/*.deb
mkdir -p "$folder/new" "$folder/withy-$version"
tar -x -z -f "$folder/withy-$version.tar.gz" -C "$folder/new"
# Only files that differ are replaced, so that make compiles only what they concern.
(cd "$folder/withy-$version" && find . -type f ! -path './build/*' ! -path './debian/*') | while IFS= read -r file; do
	[ -f "$folder/new/withy-$version/$file" ] || rm "$folder/withy-$version/$file"
done
(cd "$folder/new/withy-$version" && find . -type f) | while IFS= read -r file; do
	cmp -s "$folder/new/withy-$version/$file" "$folder/withy-$version/$file" && continue
	mkdir -p "$folder/withy-$version/${file%/*}"
	cp "$folder/new/withy-$version/$file" "$folder/withy-$version/$file"
done
rm -rf "$folder/new" "$folder/withy-$version/debian"
cp -R tools/deb/debian "$folder/withy-$version/debian"
cd "$folder/withy-$version"
unset MAKEFLAGS MAKEOVERRIDES MFLAGS
dpkg-buildpackage -b -nc -us -uc -j2 >"$folder/log" 2>&1 || { tail -n 40 "$folder/log" >&2; exit 1; }
cd "$folder"
sha256sum ./*.deb | sed 's|\./||' | tee SHA256SUMS
