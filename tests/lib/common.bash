# common.bash - what the suites share: where they stand, how they run a tool, and how they tell what
# failed. Loaded by `load lib/common`; a suite's own setup() calls `at_root` first.

bats_require_minimum_version 1.5.0

# In the project's root, the tools found first, no house file and no day from outside. $T is the
# test's own folder, $bin that of the tools.
at_root() {
	cd "$BATS_TEST_DIRNAME/.." || return
	bin=${WITHY_BIN:-$PWD/build/bin}
	PATH="$bin:$PATH"
	T=$BATS_TEST_TMPDIR
	unset WITHY_HOUSE WITHY_TODAY NO_COLOR
	failures=
}

# fail WORDS...: remembers what failed, so that a test over many cases names every one
fail() { failures="$failures
$*"; }

# report: fails if anything did; the last command of a test that calls `fail`
report() { [ -z "$failures" ] || { echo "$failures"; false; }; }

# status WANT COMMAND...: runs it, its output to $T/out and $T/err, and holds its exit status
status() {
	local want=$1 got=0
	shift
	"$@" >"$T/out" 2>"$T/err" || got=$?
	[ "$got" = "$want" ] && return
	fail "$*: status $got, not $want: $(head -n 2 "$T/err")"
	echo "$*: status $got, not $want"
	cat "$T/err"
	return 1
}

# same FILE WHAT: the last output is that file
same() { cmp -s "$T/out" "$1" || fail "$2: $(diff "$T/out" "$1" | head -n 6)"; }
