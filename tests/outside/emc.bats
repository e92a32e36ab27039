# EMC against the published table and worked values; emc.c names the sources.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "EMC: 342 cells of the Wood Handbook, 88 computed values, 21 worked ones, both printed sets" {
	"${WITHY_BIN:-build/bin}/../outside/emc" tests/outside/data
}
