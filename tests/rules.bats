# Every rule's own examples (spec/rules.yaml), against spec/house.example.yaml.

load lib/common

setup() {
	at_root
	house=spec/house.example.yaml
	"${bin%/bin}/unit/diag" "$T" >"$T/list"
}

# What the examples of a clause are checked with: the first five are about parts of books.
# The example house has its own level for some rules; here each counts as by default.
flags() { # flags RULE CLAUSE LEVEL
	echo "--level=$1=$3"
	case $2 in [2-5].*) echo --by-line ;; esac
	case $1 in closed-changed) echo "--before $T/closed-changed.right.wy" ;; esac
}

@test "rules: each wrong example breaks its rule at its place, and no other" {
	bad= n=0
	while IFS=$'\t' read -r rule clause level at; do
		n=$((n + 1))
		want=0
		[ "$level" = error ] && want=1
		"$bin/wy-check" -H $house $(flags "$rule" "$clause" "$level") "$T/$rule.wrong.wy" >"$T/out" 2>"$T/err" && status=0 || status=$?
		[ "$status" = $want ] || bad="$bad
$rule: status $status, not $want: $(cat "$T/err")"
		[ "$(wc -l <"$T/out")" = 1 ] || bad="$bad
$rule: $(cat "$T/out")"
		grep -q ":$at: $level: .* -- $rule$" "$T/out" || bad="$bad
$rule, not at $at: $(cat "$T/out")"
	done <"$T/list"
	[ "$n" -gt 100 ]
	[ -z "$bad" ] || { echo "$bad"; false; }
}

@test "rules: each right example is a whole book that breaks no rule" {
	bad= n=0
	while IFS=$'\t' read -r rule clause level at; do
		n=$((n + 1))
		"$bin/wy-check" -H $house "$T/$rule.right.wy" >"$T/out" 2>"$T/err" && status=0 || status=$?
		[ "$status" = 0 ] && [ ! -s "$T/out" ] || bad="$bad
$rule: status $status: $(cat "$T/out" "$T/err")"
	done <"$T/list"
	[ "$n" -gt 100 ]
	[ -z "$bad" ] || { echo "$bad"; false; }
}

@test "rules: the clause that each names is in book.5" {
	bad= n=0
	while IFS=$'\t' read -r rule clause level at; do
		n=$((n + 1))
		grep -qx "\.It $clause" spec/book.5 || bad="$bad
$rule names clause $clause"
	done <"$T/list"
	[ "$n" -gt 100 ]
	[ -z "$bad" ] || { echo "$bad"; false; }
}
