# The colours of the pictures, by a published distance of colours and published matrices of how eyes see; colours.c names the sources.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "colours: 34 published pairs; neighbouring tones are apart for all eyes, in light and dark; texts can be read" {
	"${WITHY_BIN:-build/bin}/../outside/colours"
}
