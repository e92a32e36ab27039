# needs: R
# Shares of grades that hold together, their shift, and a grader's drift, beside R and published examples.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "shift of grades and drift of graders beside R and published examples" {
	Rscript --vanilla tests/outside/grade_shift.R >"$BATS_TEST_TMPDIR/shift.tsv"
	"${WITHY_BIN:-build/bin}/../outside/grade_shift" <"$BATS_TEST_TMPDIR/shift.tsv"
}
