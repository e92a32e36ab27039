# Saturation, dew point and wet bulb; psychrometry.c names the sources.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "psychrometry: 626 values of psychrolib, ASHRAE's table, the WMO's dew point, depressions" {
	"${WITHY_BIN:-build/bin}/../outside/psychrometry" tests/outside/data
}
