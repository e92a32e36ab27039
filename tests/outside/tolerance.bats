# Tolerance factors, distribution-free bounds, shares and plans; tolerance.c names the sources.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "tolerance: ISO 16269-6, Meeker-Hahn-Escobar, Montgomery-Runger, every row; values computed elsewhere" {
	"${WITHY_BIN:-build/bin}/../outside/tolerance" tests/outside/data
}
