# needs: R
# The statistics of wy-returns beside R and beside published examples.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "rates, trends, many comparisons and ranks beside R and published examples" {
	Rscript --vanilla tests/outside/returns.R >"$BATS_TEST_TMPDIR/returns.tsv"
	"${WITHY_BIN:-build/bin}/../outside/returns" <"$BATS_TEST_TMPDIR/returns.tsv"
}
