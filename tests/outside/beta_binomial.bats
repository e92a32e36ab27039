# needs: R
# The beta-binomial distribution, by which numbers of graded pieces are foretold, beside R.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "beta-binomial masses, tails and quantiles beside R" {
	Rscript --vanilla tests/outside/beta_binomial.R >"$BATS_TEST_TMPDIR/beta_binomial.tsv"
	"${WITHY_BIN:-build/bin}/../outside/beta_binomial" <"$BATS_TEST_TMPDIR/beta_binomial.tsv"
}
