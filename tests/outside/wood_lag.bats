# needs: R
# How often the interval of the lag of wood holds the truth, for pieces that R draws.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "the interval of the lag of wood holds the truth as often as it says" {
	Rscript --vanilla tests/outside/wood_lag.R >"$BATS_TEST_TMPDIR/wood_lag.tsv"
	"${WITHY_BIN:-build/bin}/../outside/wood_lag" <"$BATS_TEST_TMPDIR/wood_lag.tsv"
}
