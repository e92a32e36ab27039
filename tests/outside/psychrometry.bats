# Saturation, dew point and wet bulb; psychrometry.c names the sources.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "psychrometry: 626 values of psychrolib, ASHRAE's table, the WMO's dew point, depressions" {
	"${B:-build}/outside/psychrometry" tests/outside/data
}

# The figures that the test above reads are what the package says today.
@test "psychrometry: the carried figures are psychrolib's own" {
	[ -d tests/node_modules/psychrolib ] || [ -z "$WITHY_QUICK" ] || skip "psychrolib is not installed (quick run)"
	(cd tests && node outside/psychrolib.js) >"$BATS_TEST_TMPDIR/psychrolib.tsv"
	cmp "$BATS_TEST_TMPDIR/psychrolib.tsv" tests/outside/data/psychrolib.tsv
}
