# once: the build does not depend on the tools that are tested
# The build: hardened programs, the same bytes from any folder, and an installation that goes as it came.

load lib/common

setup() {
	at_root
	MAKEFLAGS=
}

# What the sanitizers need is another link: then the programs of the plain build are looked at.
@test "build: every program is position-independent, with read-only relocations and a stack that is not run" {
	n=0
	for tool in build/bin/wy-*; do
		[ "$(head -c 2 "$tool")" != '#!' ] || continue
		readelf -hldW "$tool" >"$T/elf"
		grep -q 'Type: *DYN (Position-Independent Executable file)' "$T/elf" || fail "$tool: it is not position-independent"
		grep -q ' GNU_RELRO ' "$T/elf" || fail "$tool: no RELRO"
		grep -q '(FLAGS).*BIND_NOW\|FLAGS_1).*NOW' "$T/elf" || fail "$tool: RELRO is not full"
		grep -q 'GNU_STACK .* RW ' "$T/elf" || fail "$tool: the stack can be run"
		! grep -q ' LOAD .* RWE ' "$T/elf" || fail "$tool: a part that can be written and run"
		n=$((n + 1))
	done
	[ "$n" -ge 12 ] || fail "only $n programs"
	report
}

# A program has both where the library's own code does: the C library alone has neither name in these objects.
@test "build: the objects of the library check the stack and the sizes of what they copy" {
	nm -A build/libwithy.a 2>/dev/null >"$T/names" || true
	guarded=$(grep -c ' U __stack_chk_fail$' "$T/names")
	sized=$(grep -c ' U __[a-z]*_chk$' "$T/names")
	[ "$guarded" -ge 30 ] || fail "$guarded objects check the stack"
	[ "$sized" -ge 10 ] || fail "$sized uses of functions that check sizes"
	report
}

@test "build: what a person gives as CFLAGS and LDFLAGS does not take the hardening away" {
	make -n B="$T/b" CFLAGS=-O1 LDFLAGS=-Wl,--as-needed "$T/b/lib/base/text.o" "$T/b/bin/wy-pick" >"$T/commands"
	grep -e '-c -o .*/lib/base/text.o' "$T/commands" >"$T/compile"
	grep -e '-o .*/bin/wy-pick' "$T/commands" >"$T/link"
	for flag in -fPIE -fstack-protector-strong -D_FORTIFY_SOURCE=2 -ffile-prefix-map= -O1; do
		grep -qe "$flag" "$T/compile" || fail "text.o is compiled without $flag"
	done
	for flag in -static-pie relro,-z,now -Wl,--as-needed; do
		grep -qe "$flag" "$T/link" || fail "wy-pick is linked without $flag"
	done
	report
}

# The rooms that wy-tidy needs, without optimization but for what FORTIFY needs, for the time that it takes.
@test "build: a tool is the same bytes when it is built in another folder" {
	for folder in one "another folder's name"; do
		mkdir "$T/$folder"
		cp -R Makefile tools spec samples editors "$T/$folder"
		mkdir -p "$T/$folder/tests"
		make -s -C "$T/$folder" CFLAGS='-Og -g' LIB_SRC="$(echo tools/lib/base/*.c tools/lib/time/*.c tools/lib/math/*.c tools/lib/table/*.c \
			tools/lib/book/*.c tools/lib/house/*.c tools/lib/stock/*.c tools/lib/cli/*.c)" build/bin/wy-tidy || fail "$folder: it is not built"
	done
	cmp "$T/one/build/bin/wy-tidy" "$T/another folder's name/build/bin/wy-tidy" || fail 'the bytes differ'
	! grep -aq "$T" "$T/one/build/bin/wy-tidy" || fail 'the name of the folder is in it'
	report
}

@test "build: make uninstall takes away what make install put there, its folders too, and nothing else" {
	root=$T/root/usr
	mkdir -p "$root/share/man" "$root/share/nano"
	echo mine >"$root/share/nano/own.nanorc"
	find "$T/root" | sort >"$T/before"
	make -s install B=build DESTDIR="$T/root" PREFIX=/usr
	[ -x "$root/bin/wy-check" ] && [ -s "$root/share/man/man1/wy-check.1" ] && [ -s "$root/share/withy/spec/rules.yaml" ] || fail 'it is not installed'
	# every file of the folders that are installed is there, but for templates and headers of one module alone
	for file in tools/wy-*.c; do [ -x "$root/bin/$(basename "$file" .c)" ] || fail "$file: no program"; done
	for file in tools/*.[17] spec/*.[57]; do [ -s "$root/share/man/man${file##*.}/${file##*/}" ] || fail "$file is not installed"; done
	for file in tools/lib/*/*.h; do
		case $file in
		*_internal.h) [ ! -e "$root/include/withy/${file#tools/lib/}" ] || fail "$file is installed" ;;
		*) cmp -s "$file" "$root/include/withy/${file#tools/lib/}" || fail "$file is not installed" ;;
		esac
	done
	while IFS= read -r file; do
		find "$root/share" -type f -name "${file##*/}*" -exec cmp -s "$file" {} \; -print | grep -q . || [ "$file" = editors/completions/fish/withy.fish ] || fail "$file is not installed"
	done < <(find editors/*/ -type f ! -name '*.in' ! -path '*/node_modules/*')
	make -s install B=build DESTDIR="$T/root" PREFIX=/usr
	make -s uninstall B=build DESTDIR="$T/root" PREFIX=/usr
	find "$T/root" | sort | diff "$T/before" - || fail 'after install, install, uninstall'
	make -s install B=build DESTDIR="$T/root" PREFIX=/usr
	echo mine >"$root/share/withy/spec/own.yaml"
	echo mine >"$root/share/withy/own"
	make -s uninstall B=build DESTDIR="$T/root" PREFIX=/usr
	[ "$(find "$T/root" -type f | wc -l)" = 3 ] || fail "a person's files are gone, or others are there: $(find "$T/root" -type f)"
	report
}

@test "build: a program of its own is made with the installed library, as pkg-config says" {
	make -s install B=build DESTDIR="$T/root" PREFIX=/opt/w LIBDIR=lib/there
	cat >"$T/use.c" <<-'END'
		#include "book/diag.h"
		#include "book/parse.h"
		#include "book/vocab.h"
		#include <stdio.h>

		int main(void)
		{
			struct vocab vocab;
			struct diags diags;
			struct parser parser;
			const struct line *l;

			vocab_init(&vocab);
			diags_init(&diags);
			parser_init(&parser, &vocab, &diags);
			l = parse_line(&parser, SLICE("2026-03-05 seal L061 with=wax"), 1, 0);
			printf("%.*s %d\n", (int)l->subject.n, l->subject.p, l->kind == LINE_EVENT);
			return 0;
		}
	END
	export PKG_CONFIG_PATH="$T/root/opt/w/lib/there/pkgconfig" PKG_CONFIG_SYSROOT_DIR="$T/root"
	gcc -std=c11 -Wall -Wextra -Werror -o "$T/use" "$T/use.c" $(pkg-config --cflags --libs withy) || fail 'it is not made'
	[ "$("$T/use")" = 'L061 1' ] || fail "$("$T/use")"
	[ "$(pkg-config --modversion withy)" = "$(sed -n 's/^VERSION = //p' Makefile)" ] || fail 'the version differs'
	unset PKG_CONFIG_PATH PKG_CONFIG_SYSROOT_DIR
	make -s uninstall B=build DESTDIR="$T/root" PREFIX=/opt/w LIBDIR=lib/there
	[ -z "$(find "$T/root" ! -type d)" ] || fail "left: $(find "$T/root" ! -type d)"
	report
}

# The times of the copy differ, and it has no repository.
@test "build: a release is the same bytes each time, also made from itself, and has what git has" {
	make -s dist B="$T/one" 2>/dev/null
	name=withy-$(sed -n 's/^VERSION = //p' Makefile)
	(cd "$T/one/dist" && sha256sum -c --quiet "$name.tar.gz.sha256") || fail 'the checksum'
	tar -x -z -f "$T/one/dist/$name.tar.gz" -C "$T"
	find "$T/$name" -exec touch -d 2030-01-01 {} +
	make -s -C "$T/$name" dist
	cmp "$T/one/dist/$name.tar.gz" "$T/$name/build/dist/$name.tar.gz" || fail 'the bytes differ'
	if [ -e .git ]; then
		git ls-files | sort >"$T/files"
		(cd "$T/$name" && find . -type f ! -path './build/*' | sed 's|^\./||' | sort) | diff "$T/files" - || fail 'other files'
		git ls-files -s | sed -n 's/^100755.*\t//p' | sort >"$T/runs"
		(cd "$T/$name" && find . -type f -perm -100 ! -path './build/*' | sed 's|^\./||' | sort) | diff "$T/runs" - || fail 'other files can be run'
	fi
	# what it is made of is all there: the words are made, and nothing is missing for the rest
	make -s -C "$T/$name" build/gen/vocab_tables.h build/gen/rules_tables.h || fail 'the words are not made'
	make -n -C "$T/$name" all units kept >"$T/plan" || fail 'something is missing for the build'
	[ "$(grep -c ' -c -o build/lib/' "$T/plan")" -gt 300 ] || fail 'the plan of the build is not one'
	[ "$(sed -n '1s/.*(\(.*\)).*/\1/p' tools/deb/debian/changelog)" = "${name#withy-}" ] || fail 'the changelog has another version'
	report
}

@test "build: setup.sh says what it installs, and with which rights, before it does" {
	mkdir "$T/path"
	for name in dpkg-query apt-get sudo; do
		printf '#!/bin/sh\necho "%s $*" >>"%s/log"\n' "$name" "$T" >"$T/path/$name"
	done
	printf '#!/bin/sh\necho 1000\n' >"$T/path/id"
	printf '#!/bin/sh\nexit 0\n' >"$T/path/dpkg-query"
	chmod +x "$T/path"/*
	PATH="$T/path:$PATH" sh tools/setup.sh build 2>"$T/err"
	head -n 1 "$T/err" | grep -q 'installs these Debian packages with apt-get, as root through sudo: gcc make ' || fail "$(cat "$T/err")"
	grep -q '^sudo apt-get update' "$T/log" || fail "sudo is not used"
	printf '#!/bin/sh\necho 0\n' >"$T/path/id"
	PATH="$T/path:$PATH" sh tools/setup.sh build 2>"$T/err"
	head -n 1 "$T/err" | grep -q 'with apt-get, as root: gcc make ' || fail "$(cat "$T/err")"
	report
}
