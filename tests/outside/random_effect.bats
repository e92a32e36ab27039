# needs: R
# The mean of things that differ, beside R and published results.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "the mean of things that differ, beside R" {
	Rscript --vanilla tests/outside/random_effect.R >"$BATS_TEST_TMPDIR/random_effect.tsv"
	"${WITHY_BIN:-build/bin}/../outside/random_effect" <"$BATS_TEST_TMPDIR/random_effect.tsv"
}
