# needs: R
# The error of a meter's own line beside R, and how often the intervals of a lot hold the truth with it.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "the error of a meter's own line, beside R" {
	Rscript --vanilla tests/outside/line_error.R >"$BATS_TEST_TMPDIR/line_error.tsv"
	"${WITHY_BIN:-build/bin}/../outside/line_error" <"$BATS_TEST_TMPDIR/line_error.tsv"
}
