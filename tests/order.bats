# The order of a day (clauses 6 and 7 of book.5) against a second engine that was written from the book's
# clauses alone: tests/oracles/book_stock.py. Verdict and stock are compared on random books, and each book is
# run again in other orders of its lines.
# needs: python3

load lib/common

setup() {
	at_root
	books="${bin%/bin}/truth/books"
}

# made NUMBER: random books and what the second engine says of them, kept while neither script changes
made() {
	made=build/test/order-$1
	if [ ! -f "$made.want" ] || [ -n "$(find tests/oracles/book_stock.py tests/oracles/book_random.py -newer "$made.want")" ]; then
		mkdir -p build/test
		python3 tests/oracles/book_random.py 7 "$1" >"$made.in"
		python3 tests/oracles/book_stock.py <"$made.in" >"$made.want.new"
		mv "$made.want.new" "$made.want"
	fi
}

@test "order: on random books both engines find the same errors and the same stock, in every order of the lines" {
	number=20000 shuffles=20
	case $bin in */san/*) number=1000 shuffles=5 ;; esac
	made $number
	got=0
	"$books" $shuffles <"$made.in" >"$T/got" || got=$?
	[ "$(grep -c '^book ' "$T/got")" = "$number" ] || fail "$(grep -c '^book ' "$T/got") books and not $number"
	cmp "$made.want" "$T/got" || fail "$(diff "$made.want" "$T/got" | head -n 20)"
	[ "$got" = 0 ] || fail "another order of the lines gives something else: $(grep -B 12 -m 1 '^shuffle' "$T/got")"
	# the books have something to say: errors and none, sold pieces, charges that hold pieces
	awk -v n="$number" '/^book / { clean += bad == 0; bad = 0 } /^error / { bad = 1; errors++ } /^sold / { sold++ } / K[0-9] [0-9]*$/ { held++ } / (light|heavy) / { classes++ }
		END { exit !(clean > n / 3 && errors > n / 4 && sold > n / 20 && held > n / 50 && classes > n / 20) }' "$T/got" || fail "the books are too much alike"
	[ "$(grep -c ' rehandle ' "$made.in")" -gt $((number / 40)) ] || fail "few lines put a new handle in"
	[ "$(grep -c ' return [LMH]' "$made.in")" -gt $((number / 40)) ] || fail "few lines bring back blades or handles"
	report
}
