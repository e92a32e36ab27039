#!/bin/sh
# check.sh FOLDER - installs the packages of FOLDER in a fresh Debian system, uses them, and removes them again.
#
# The system is made by debootstrap from the registry that apt on this machine uses. It needs root. What it looks
# for: the installation brings no error, the tools work on a book, and the removal leaves not one file.
set -eu
folder=$(cd "$1" && pwd)
[ "$(id -u)" -eq 0 ] || { echo 'check.sh: root is needed for a system of its own' >&2; exit 1; }
ls "$folder"/withy_*.deb >/dev/null || { echo 'check.sh: make deb first' >&2; exit 1; }
suite=$(. /etc/os-release && echo "$VERSION_CODENAME")
registry=$(apt-get indextargets --format '$(REPO_URI) $(SUITE)' | awk -v suite="$suite" '$2 == suite { print $1; exit }')
root=$folder/root
inside() { chroot "$root" env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin LC_ALL=C.UTF-8 DEBIAN_FRONTEND=noninteractive "$@"; }

if [ ! -f "$root/.made" ]; then
	rm -rf "$root"
	debootstrap --variant=minbase "$suite" "$root" "$registry" >"$folder/debootstrap.log" 2>&1 || { tail "$folder/debootstrap.log" >&2; exit 1; }
	inside apt-get update -q >"$folder/apt.log" 2>&1
	inside apt-get install -y -q --no-install-recommends $(dpkg-deb -f "$folder"/withy_*.deb Depends | sed 's/([^)]*)//g; s/,/ /g; s/|[^ ]*//g') \
		$(dpkg-deb -f "$folder"/libwithy-dev_*.deb Depends | sed 's/([^)]*)//g; s/,/ /g') gcc libc6-dev pkg-config >>"$folder/apt.log" 2>&1 || { tail "$folder/apt.log" >&2; exit 1; }
	touch "$root/.made"
fi
files() { (cd "$root" && find usr etc opt srv -xdev ! -type d | LC_ALL=C sort); }
cp "$folder"/*.deb "$root/tmp"
files >"$folder/before"
inside sh -c 'dpkg -i /tmp/*.deb' >"$folder/install.log" 2>&1 || { cat "$folder/install.log" >&2; exit 1; }
inside sh -c 'cd /tmp && wy-start works >/dev/null && cd works && wy-check -q -b && wy-tidy --untidy *.wy'
printf '#include "time/calendar.h"\n#include "book/vocab.h"\nint main(void) { return day_from_date(2026, 3, 5) == 0; }\n' >"$root/tmp/use.c"
inside sh -c 'cd /tmp && cc use.c -o use $(pkg-config --cflags --libs withy) && ./use'
inside dpkg --purge libwithy-dev withy >"$folder/remove.log" 2>&1 || { cat "$folder/remove.log" >&2; exit 1; }
rm -rf "$root"/tmp/*
files | diff "$folder/before" - || { echo 'check.sh: files differ after the removal' >&2; exit 1; }
echo 'installed, used and removed in a fresh system'
