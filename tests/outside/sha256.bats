# SHA-256 and Base64 against the examples of their standards; sha256.c names them.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "sha256: FIPS 180-2 and RFC 4648" {
	"${WITHY_BIN:-build/bin}/../outside/sha256"
}
