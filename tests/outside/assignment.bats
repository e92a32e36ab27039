# needs: R
# The assignment of wy-pair beside published examples and beside lpSolve.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "assignments and transports beside lpSolve, a textbook's example and a closed form" {
	Rscript --vanilla tests/outside/assignment.R >"$BATS_TEST_TMPDIR/assignment.tsv"
	"${WITHY_BIN:-build/bin}/../outside/assignment" <"$BATS_TEST_TMPDIR/assignment.tsv"
}
