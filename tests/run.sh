#!/bin/sh
# run.sh [--quick] - builds Withy and runs every test. The last line is `N passed, N failed`
# (with `, N skipped` where some were), and the status is 1 when one failed.
#
# --quick leaves out what needs more than the build's packages and bats: the other compiler, the
# sanitizers, the editors, the npm oracles.
set -u
cd "$(dirname "$0")/.." || exit 1
quick=
if [ "${1:-}" = --quick ]; then
	quick=1
	WITHY_QUICK=1
	export WITHY_QUICK
fi
log=build/test
if [ -n "$quick" ]; then
	sh tools/setup.sh build && { command -v bats >/dev/null || sh tools/setup.sh tests; } || exit 1
else
	sh tools/setup.sh tests || exit 1
fi
mkdir -p "$log"
passed=0 failed=0 skipped=0

note() { # note NAME STATUS: counts one thing that is not a bats test
	if [ "$2" -eq 0 ]; then
		passed=$((passed + 1))
		echo "ok - $1"
	else
		failed=$((failed + 1))
		echo "not ok - $1"
	fi
}

# build NAME MAKE-ARGUMENTS...: a build without one warning
build() {
	name=$1
	shift
	make -s -j2 "$@" all units kept >"$log/$name.log" 2>&1
	status=$?
	if [ $status -eq 0 ] && grep -q 'warning:' "$log/$name.log"; then status=1; fi
	[ $status -eq 0 ] || tail -n 40 "$log/$name.log"
	note "builds without a warning: $name" $status
}

units() { # units FOLDER NAME
	for unit in "$1"/unit/*; do
		if [ ! -x "$unit" ] || [ ! -f "$unit" ]; then continue; fi
		"$unit" >"$log/unit.log" 2>&1
		status=$?
		[ $status -eq 0 ] || cat "$log/unit.log"
		note "unit $(basename "$unit") ($2)" $status
	done
}

# sanitizers: has them write into files, which no test can redirect, end a program with a status that no
# tool has, and look for leaks. What may be left to the process's end is in tests/lib/leaks.supp.
sanitizers() {
	rm -rf "$log/sanitizer"
	mkdir -p "$log/sanitizer"
	to="exitcode=99:log_path='$PWD/$log/sanitizer/report'"
	export LSAN_OPTIONS="suppressions='$PWD/tests/lib/leaks.supp':print_suppressions=0"
	export UBSAN_OPTIONS="$to" ASAN_OPTIONS="detect_leaks=1:$to"
	printf '#include <stdlib.h>\nstatic void *volatile p;\nint main(void) { p = malloc(7); p = NULL; return 0; }\n' |
		gcc -fsanitize=address -x c -o "$log/leak" - && "$log/leak"
	if [ $? -eq 99 ] && grep -qs 'detected memory leaks' "$log/sanitizer"/*; then
		note "a leak is found" 0
	else
		# It traces the program, which a container may not allow.
		echo "leaks cannot be looked for here: $(cat "$log/sanitizer"/* 2>/dev/null | grep -m 1 LeakSanitizer)"
		skipped=$((skipped + 1))
		export ASAN_OPTIONS="detect_leaks=0:$to"
	fi
	rm -f "$log/sanitizer"/*
}

# reports: what the sanitizers wrote, the first of each kind
reports() {
	grep -h -A 12 'ERROR:\|runtime error:' "$log/sanitizer"/* 2>/dev/null | grep -v '^=*$' | head -n 40
	[ -z "$(ls "$log/sanitizer")" ]
	note "the sanitizers report nothing" $?
}

# suite NAME: every .bats file, counted from the TAP that bats prints
suite() {
	tags=$1
	shift
	bats --tap "$@" >"$log/$tags.tap" 2>&1
	status=$?
	grep -vE '^ok |^1\.\.|^$' "$log/$tags.tap"
	ok=$(grep -cE '^ok [0-9]+' "$log/$tags.tap")
	skip=$(grep -cE '^ok [0-9]+ .*# skip' "$log/$tags.tap")
	bad=$(grep -cE '^not ok [0-9]+' "$log/$tags.tap")
	planned=$(sed -n 's/^1\.\.\([0-9]*\)$/\1/p' "$log/$tags.tap" | head -n 1)
	passed=$((passed + ok - skip))
	skipped=$((skipped + skip))
	failed=$((failed + bad))
	echo "$tags: $((ok - skip)) of ${planned:-0} passed"
	if [ $((status != 0 && bad == 0)) -eq 1 ] || [ $((ok + bad)) -ne "${planned:-0}" ] || [ "${planned:-0}" -eq 0 ]; then
		note "$tags runs to its end" 1
	fi
}

# A suite with a line `# once: REASON` is run with the plain tools alone.
files= again=
for file in tests/*.bats tests/outside/*.bats; do
	[ -f "$file" ] || continue
	if [ -n "$quick" ] && grep -q '^# needs: ' "$file"; then continue; fi
	files="$files $file"
	grep -q '^# once: ' "$file" || again="$again $file"
done

build gcc CC=gcc
units build gcc
export WITHY_BIN="$PWD/build/bin" WITHY_ROOT="$PWD"
# shellcheck disable=SC2086
suite plain $files
if [ -z "$quick" ]; then
	build clang CC=clang B=build/clang
	units build/clang clang
	build sanitized CC=gcc B=build/san LDFLAGS='-fsanitize=address,undefined' \
		CFLAGS='-O1 -g -fno-omit-frame-pointer -fsanitize=address,undefined -fno-sanitize-recover=all'
	sanitizers
	units build/san sanitized
	WITHY_BIN="$PWD/build/san/bin"
	# shellcheck disable=SC2086
	suite sanitized $again
	reports
fi

if [ "$skipped" -gt 0 ]; then
	echo "$passed passed, $failed failed, $skipped skipped"
else
	echo "$passed passed, $failed failed"
fi
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
