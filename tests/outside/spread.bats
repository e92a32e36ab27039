# needs: R
# Shares of lots that differ by more than chance, beside R; how often their intervals hold the truth.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "shares of lots that differ by more than chance, beside R" {
	Rscript --vanilla tests/outside/spread.R >"$BATS_TEST_TMPDIR/spread.tsv"
	"${WITHY_BIN:-build/bin}/../outside/spread" <"$BATS_TEST_TMPDIR/spread.tsv"
}
