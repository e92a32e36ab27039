# wy-trace --as=dot: Graphviz (graphviz.org) draws it, whatever the ids are.
# needs: graphviz

load lib/common

setup() {
	at_root
	C=tests/cases/trace
	S="-H samples/house.yaml"
	book=$(echo samples/book/*.wy)
	export WITHY_TODAY=2027-12-31
}

@test "trace: Graphviz draws the pedigree, whatever the ids" {
	for call in "B2 $C/mixed.wy" "1-2 $C/mixed.wy" "node $C/mixed.wy" "B0601 $C/pool.wy" "K26-07 $S $book" "M26-07 $S $book" "H034 $S $book"; do
		# shellcheck disable=SC2086
		status 0 wy-trace --as=dot $call
		dot -Tplain "$T/out" >"$T/plain" 2>"$T/err" || fail "$call: $(head -n 2 "$T/err")"
		[ ! -s "$T/err" ] || fail "$call: $(head -n 2 "$T/err")"
		# every node was declared: a name that is only in an edge has no shape but the usual ellipse
		awk '$1 == "node" { n[$2]++ } $1 == "edge" { e++ } END { exit !(e > 0) }' "$T/plain" || fail "$call: no edges"
	done
	status 0 wy-trace --as=dot B2 "$C/mixed.wy"
	dot -Tplain "$T/out" | grep -c '^node' >"$T/got"
	# supplier hale, parcel graph, supplier edge, two trees, one lot, H2, two charges, the bat; six boxes of kin
	echo 16 | cmp - "$T/got" >&2 || fail "nodes: $(cat "$T/got")"
	report
}
