# The conformance suite, tests/cases/conformance: what any implementation of book(5) must do. Each
# file is named after the clause that it is about. valid/X.wy comes out of the normalised form as
# X.jsonl (wy-flat(1) defines it); invalid/X.wy gets the diagnostics of X.diag.

setup() {
	cd "$BATS_TEST_DIRNAME/cases/conformance" || return
	bin=${WITHY_BIN:-../../../build/bin}
	T=$BATS_TEST_TMPDIR
	unset WITHY_HOUSE
}

@test "conformance: valid books and their normalised form" {
	bad= n=0
	for book in valid/*.wy; do
		n=$((n + 1))
		"$bin/wy-flat" -H ../../../spec/house.example.yaml --as=jsonl "$book" >"$T/out" 2>"$T/err" || bad="$bad $book:$(cat "$T/err")"
		cmp "$T/out" "${book%.wy}.jsonl" || bad="$bad $book"
	done
	[ "$n" -gt 15 ]
	[ -z "$bad" ] || { echo "$bad"; false; }
}

@test "conformance: books that break one rule and their diagnostics" {
	bad= n=0
	for book in invalid/*.wy; do
		n=$((n + 1))
		"$bin/wy-check" -H ../../../spec/house.example.yaml "$book" >"$T/out" 2>"$T/err" && status=0 || status=$?
		[ "$status" -le 1 ] || bad="$bad $book:status-$status"
		cmp "$T/out" "${book%.wy}.diag" || bad="$bad $book"
	done
	[ "$n" -gt 50 ]
	[ -z "$bad" ] || { echo "$bad"; false; }
}
