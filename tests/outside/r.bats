# needs: R
# Distributions, intervals, factors and sample sizes beside R's own, computed as the test runs.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "distributions, factors and samples beside R" {
	Rscript --vanilla tests/outside/r.R >"$BATS_TEST_TMPDIR/r.tsv"
	"${WITHY_BIN:-build/bin}/../outside/r" <"$BATS_TEST_TMPDIR/r.tsv"
}
