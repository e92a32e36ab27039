# Least squares against NIST's certified values; strd_fit.c names the sources.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "fits: NIST StRD, 6 straight sets, six digits at least" {
	"${WITHY_BIN:-build/bin}/../outside/strd_fit" tests/outside/data
}
