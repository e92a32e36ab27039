# Drying curves measured by others, beside R's figures; drying.c names the sources.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "drying: curves measured by others, fitted as R fits them" {
	"${WITHY_BIN:-build/bin}/../outside/drying" tests/outside/data
}
