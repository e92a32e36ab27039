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

# page_examples PAGE BOOK...: every example of the manual page that shows its output prints just that. Each BOOK is a file that an
# example prints with `cat`. Sets $examples to how many there are.
page_examples() {
	local page=$1 name tool book
	name=${page##*/}
	tool=${name%.1}
	mandoc -T lint -W warning "$page" || fail "$page: mandoc finds faults"
	shift
	for book; do
		awk -v call="\$ cat $book" '$0 == call { on = 1; next } /^\$ / { on = 0 } on' "$page" >"$T/$book"
		[ -s "$T/$book" ] || fail "$page: no $book"
	done
	sed -n "/^\\$ $tool/,/^\\.Ed/p" "$page" | grep -v '^\.Ed' >"$T/page"
	examples=$(grep -c '^\$' "$T/page")
	(cd "$T" && sed -n 's/^\$ //p' page | while read -r call; do echo "\$ $call"; sh -c "$call" || :; done) >"$T/got"
	cmp -s "$T/page" "$T/got" || fail "$page: $(diff "$T/page" "$T/got")"
}

# page_options PAGE: the page has every option of its tool. Sets $options to how many there are.
page_options() {
	local page=$1 name tool
	name=${page##*/}
	tool=${name%.1}
	"$tool" --help-options | cut -f 1 | sed 's/^--//' >"$T/options"
	options=$(wc -l <"$T/options")
	while read -r name; do
		grep -q "Fl -$name" "$page" || fail "no --$name on $page"
	done <"$T/options"
}

# page_calls PAGE: the page's last examples, for a works' own book, give an answer on the sample book. Sets $calls to how many.
page_calls() {
	local call more want
	sed -n '/^\.Ed/,$p' "$1" | awk '/^\.Bd/ { on = 1; next } /^\.Ed/ { on = 0 } on' | sed 's/>stock.html//' >"$T/calls"
	calls=0
	while IFS= read -r call; do
		while case $call in *'|') true ;; *) false ;; esac; do read -r more && call="$call $more"; done
		case $call in *"grep '^no'"*) want=1 ;; *) want=0 ;; esac   # every lot of the samples adds up
		(cd samples && status $want bash -o pipefail -c "export WITHY_TODAY=2027-12-31; $call") || fail "$call"
		[ $want = 1 ] || [ "$(wc -l <"$T/out")" -ge 3 ] || fail "$call: no answer"
		calls=$((calls + 1))
	done <"$T/calls"
}
