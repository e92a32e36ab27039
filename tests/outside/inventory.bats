# Cost formulas of the stock: first-in, first-out and the weighted mean; inventory.c names the sources.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "inventory: OpenStax's worked example, IAS 2's definitions" {
	"${WITHY_BIN:-build/bin}/../outside/inventory"
}
