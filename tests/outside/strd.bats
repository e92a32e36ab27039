# Means and deviations against NIST's certified values; strd.c names the sources.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "statistics: NIST StRD univariate sets, Wilson intervals, largest remainders" {
	"${WITHY_BIN:-build/bin}/../outside/strd" tests/outside/data
}
