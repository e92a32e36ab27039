# needs: R
# The days that a step took where some still wait, beside R's package survival and published results.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "how long it took where some still wait, beside R" {
	Rscript --vanilla tests/outside/kaplan_meier.R >"$BATS_TEST_TMPDIR/kaplan_meier.tsv"
	"${WITHY_BIN:-build/bin}/../outside/kaplan_meier" <"$BATS_TEST_TMPDIR/kaplan_meier.tsv"
}
