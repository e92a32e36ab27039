# needs: mandoc
# Every manual page is sound.

@test "pages: mandoc has nothing to say against any of them" {
	cd "$BATS_TEST_DIRNAME/.."
	bad=0 n=0
	for page in tools/*.[17] spec/*.[57]; do
		n=$((n + 1))
		mandoc -T lint -W warning "$page" || bad=1
	done
	[ "$n" -ge 8 ] && [ "$bad" = 0 ]
}
