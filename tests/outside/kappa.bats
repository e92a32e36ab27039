# needs: R
# The agreement of graders beside R and beside published examples.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "kappa of two and of several graders beside R and published examples" {
	Rscript --vanilla tests/outside/kappa.R >"$BATS_TEST_TMPDIR/kappa.tsv"
	"${WITHY_BIN:-build/bin}/../outside/kappa" <"$BATS_TEST_TMPDIR/kappa.tsv"
}
