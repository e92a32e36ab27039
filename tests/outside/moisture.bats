# Moisture of wood against EN 13183-1 and worked examples; moisture.c names the sources.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "moisture: EN 13183-1, kiln samples, masses, published meter rules, movement" {
	"${WITHY_BIN:-build/bin}/../outside/moisture"
}
