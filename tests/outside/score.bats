# needs: R
# The scores of forecasts beside closed forms, integrals and R's survival.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "scores of forecasts, beside R" {
	Rscript --vanilla tests/outside/score.R >"$BATS_TEST_TMPDIR/score.tsv"
	"${WITHY_BIN:-build/bin}/../outside/score" <"$BATS_TEST_TMPDIR/score.tsv"
}
