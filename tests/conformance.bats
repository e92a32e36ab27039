# The conformance suite, tests/cases/conformance: what any implementation of book(5) must do. Its
# README.md says what a case consists of; here its questions are put to the tools of this project.

load lib/common

setup() {
	at_root
	suite=tests/cases/conformance
}

# judged PART LEAST...: no failure in that part of the suite, and at least so much done
judged() {
	local part=$1 done
	shift
	bash tests/lib/conformance.sh "$part" "$bin" "$T" >"$T/told"
	done=$(tail -n 1 "$T/told" | grep -oE '[0-9]+' || true)
	for least; do
		[ "$(head -n 1 <<<"$done")" -ge "$least" ] || fail "$part: $(tail -n 1 "$T/told"), of at least $*"
		done=$(sed 1d <<<"$done")
	done
	[ "$(wc -l <"$T/told")" = 1 ] || fail "$(sed '$d' "$T/told")"
	report
}

@test "conformance: lines and their normalised form" {
	n=0
	for book in "$suite"/valid/*.wy; do
		n=$((n + 1))
		status 0 "$bin/wy-flat" -H spec/house.example.yaml --as=jsonl "$book" || continue
		same "${book%.wy}.jsonl" "$book"
	done
	[ "$n" -gt 15 ] || fail "only $n cases"
	report
}

@test "conformance: books that break one rule, the rule and its place" {
	judged invalid 114
}

@test "conformance: whole books, their verdict, their stock and what else follows" {
	judged books 110 93
}

# Design rule 1: the same lines in up to twenty other orders.
@test "conformance: the order of lines changes neither verdict nor stock" {
	judged orders 109 1100
}

@test "conformance: every rule has a case, and every section of the clauses a clean book" {
	"$bin/wy-check" --rules --as=tsv --no-header --columns=rule >"$T/rules"
	cat "$suite"/*/*.diag | sed 's/.* //' | sort -u >"$T/had"
	for rule in $(cat "$T/rules"); do
		grep -qx "$rule" "$T/had" || fail "no case of $rule"
	done
	for rule in $(cat "$T/had"); do
		grep -qx "$rule" "$T/rules" || fail "there is no rule $rule"
	done
	for section in 6 7 8 9 10 11 12 13 14; do
		clean=0
		for book in "$suite"/books/"$section".*.wy; do
			[ -s "${book%.wy}.diag" ] || clean=$((clean + 1))
		done
		[ "$clean" -ge 2 ] || fail "section $section has $clean clean books"
	done
	for file in "$suite"/*/*; do
		clause=$(basename "$file" | grep -oE '^[0-9]+\.[0-9]+')
		grep -qx "\.It $clause" spec/book.5 || fail "$file: there is no clause $clause"
		[ -f "${file%.*}.wy" ] || [ -f "${file%.*.*}.wy" ] || fail "$file belongs to no book"
	done
	report
}
