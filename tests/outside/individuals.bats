# The limits of the picture of charge ends; individuals.c names the source.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "individuals: the worked chart of the e-Handbook" {
	"${WITHY_BIN:-build/bin}/../outside/individuals"
}
