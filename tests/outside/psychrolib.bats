# needs: npm
# The carried figures of psychrometry.bats are what the npm package psychrolib says.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "psychrometry: the carried figures are psychrolib's own" {
	node tests/oracles/psychrolib.js >"$BATS_TEST_TMPDIR/psychrolib.tsv"
	cmp "$BATS_TEST_TMPDIR/psychrolib.tsv" tests/outside/data/psychrolib.tsv
}
