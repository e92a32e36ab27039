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

files=
for file in tests/*.bats tests/outside/*.bats; do
	[ -f "$file" ] || continue
	if [ -n "$quick" ] && grep -q '^# needs: ' "$file"; then continue; fi
	files="$files $file"
done

build gcc CC=gcc
units build gcc
export WITHY_BIN="$PWD/build/bin" WITHY_ROOT="$PWD"
# shellcheck disable=SC2086
suite plain $files
if [ -z "$quick" ]; then
	build clang CC=clang B=build/clang
	units build/clang clang
	# A filter lives for one run, so what it leaves to the process's end is no leak.
	ASAN_OPTIONS=detect_leaks=0
	export ASAN_OPTIONS
	build sanitized CC=gcc B=build/san CFLAGS='-O1 -g -fsanitize=address,undefined -fno-sanitize-recover=all' \
		LDFLAGS='-fsanitize=address,undefined'
	units build/san sanitized
	WITHY_BIN="$PWD/build/san/bin"
	# shellcheck disable=SC2086
	suite sanitized $files
fi

if [ "$skipped" -gt 0 ]; then
	echo "$passed passed, $failed failed, $skipped skipped"
else
	echo "$passed passed, $failed failed"
fi
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
