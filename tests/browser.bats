# once: the pages of sanitized tools are the same
# needs: chromium fonts-dejavu-core fonts-dejavu-extra fonts-noto-color-emoji poppler-utils npm
# The pages of HTML in a real browser: pictures beside the stored ones, paper, rules of access, keyboard, links.
#
# To renew the pictures: `sh tests/browser/renew.sh`. Then look at every changed one.

load lib/common

setup_file() {
	sh "$BATS_TEST_DIRNAME/browser/pages.sh" "$BATS_FILE_TMPDIR/works"
	node "$BATS_TEST_DIRNAME/browser/browser.js" "$BATS_FILE_TMPDIR/works" >"$BATS_FILE_TMPDIR/found" 2>&1 || :
}

setup() { at_root; }

# holds SUBJECT LEAST: nothing is wrong with it, and at least so much of it was looked at
holds() {
	! grep "^$1: \|^browser: " "$BATS_FILE_TMPDIR/found" || return 1
	n=$(sed -n "s/^$1 checked //p" "$BATS_FILE_TMPDIR/found")
	[ "${n:-0}" -ge "$2" ] || { echo "$1: only ${n:-0} of $2 checked"; cat "$BATS_FILE_TMPDIR/found"; return 1; }
}

@test "browser: the pages look as they did, on a desk, a phone, in the dark, on paper" { holds pictures 8; }
@test "browser: the month prints on two sheets of A4, and every word of it can be found" { holds paper 500; }
@test "browser: no page is wider than its screen" { holds width 42; }
@test "browser: axe-core finds no violation" { holds access 150; }
@test "browser: the keyboard reaches everything, and shows where it is" { holds keyboard 60; }
@test "browser: the index finds an id, and is whole without a script" { holds find 400; }
@test "browser: every link of the board works" { holds links 45; }
@test "browser: no message, and nothing is fetched" { holds quiet 30; }
