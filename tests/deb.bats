# once: packages are built from the source
# needs: dpkg-dev debhelper lintian
# The Debian packages: made from a release, without an error of lintian, the same bytes twice, and gone without a trace
# when they are removed. `make deb-check` does the last in a fresh system; here dpkg does it in a folder.

load lib/common

setup() {
	at_root
	MAKEFLAGS=
}

# Without optimization, for the time that it takes. What is compiled stays in build/test/deb.
@test "deb: the packages are made twice with the same bytes, please lintian, and go as they came" {
	folder=$PWD/build/test/deb version=$(sed -n 's/^VERSION = //p' Makefile)
	export DEB_BUILD_OPTIONS=noopt
	sh tools/deb/deb.sh "$version" "$folder" >"$T/first" 2>"$T/err" || { cat "$T/err"; false; }
	sh tools/deb/deb.sh "$version" "$folder" >"$T/second" 2>"$T/err" || { cat "$T/err"; false; }
	diff "$T/first" "$T/second" || fail 'the bytes differ'
	(cd "$folder" && sha256sum -c --quiet SHA256SUMS) || fail 'the checksums'
	lintian --fail-on error "$folder"/*.deb >"$T/lintian" 2>&1 || fail "$(cat "$T/lintian")"
	grep '^E:' "$T/lintian" && fail 'lintian finds errors'
	# a package database of its own
	root=$T/root
	mkdir -p "$root/var/lib/dpkg/info" "$root/var/lib/dpkg/updates" "$root/var/log"
	: >"$root/var/lib/dpkg/status"
	find "$root" ! -path '*/var/*' | sort >"$T/before"
	dpkg() { command dpkg --root="$root" --log="$T/log" --force-depends --force-not-root --force-script-chrootless "$@" >"$T/out" 2>&1; }
	dpkg --install "$folder"/withy_*.deb "$folder"/libwithy-dev_*.deb || fail "$(cat "$T/out")"
	[ "$(printf '25.3.2026 seal L1\n' | "$root/usr/bin/wy-tidy" -H /dev/null -f all | grep -c '^+2026')" = 1 ] || fail 'wy-tidy does not work'
	[ -s "$root/usr/share/man/man1/wy-merge.1.gz" ] && [ -x "$root/usr/share/withy/git/install.sh" ] || fail 'pages or editor files are missing'
	[ -s "$(echo "$root"/usr/lib/*/pkgconfig/withy.pc)" ] && [ -s "$root/usr/include/withy/base/text.h" ] || fail 'the library is missing'
	dpkg --purge libwithy-dev withy || fail "$(cat "$T/out")"
	find "$root" ! -path '*/var/*' | sort | diff "$T/before" - || fail 'files are left'
	report
}
