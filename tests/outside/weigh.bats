# needs: R
# The statistics of wy-weigh beside R and beside NIST's certified values.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "lines, analysis of covariance, residuals and drift beside R and NIST's Norris and Pontius" {
	Rscript --vanilla tests/outside/weigh.R tests/outside/data >"$BATS_TEST_TMPDIR/weigh.tsv"
	"${WITHY_BIN:-build/bin}/../outside/weigh" tests/outside/data <"$BATS_TEST_TMPDIR/weigh.tsv"
}
