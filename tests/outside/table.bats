# Every form of a table as independent readers understand it; tests/oracles/table.js names them.

setup() {
	cd "$BATS_TEST_DIRNAME/../.." || return
}

@test "tables: JSON, CSV, HTML, Markdown and 100000 numbers read back by others' readers" {
	[ -d tests/oracles/node_modules/parse5 ] || [ -z "$WITHY_QUICK" ] || skip "the readers are not installed (quick run)"
	node tests/oracles/table.js "${B:-build}/outside/table"
}
