# wy-returns: lives and exposure of a small book, worked out by hand; the sample works' figures counted again by
# awk from the lines; the known fault of its handles; every form and exit status. The statistics themselves are
# held beside R and published examples in tests/outside/returns.bats.

load lib/common
load lib/terminal

setup() {
	at_root
	C=tests/cases/returns
	S="-H samples/house.yaml"
	book=$(echo samples/book/*.wy)
	export WITHY_TODAY=2026-07-10
}

# rows WHAT WANT COMMAND...: the rows of a tsv answer, fields joined by spaces, empty ones as -
rows() {
	local what=$1 want=$2
	shift 2
	status 0 "$@" --as=tsv --no-header
	awk -F '\t' '{ for (i = 1; i <= NF; i++) printf "%s%s", $i == "" ? "-" : $i, i < NF ? " " : "\n" }' "$T/out" >"$T/got"
	printf '%s\n' "$want" | diff - "$T/got" >"$T/diff" || fail "$what: $(cat "$T/diff")"
}

@test "returns: lives, keys and figures of a small book, worked out by hand" {
	rows 'lives' 'B1 2026-04-01 2026-07-10 - H1 K1 L1 P1 hale 8.2 9.2 9.1 9.2 1200
B2 2026-04-01 2026-05-01 splice-loose H2 K1 L1 P1 hale 8.2 13.2 - - -
B3 2026-04-11 2026-05-11 soft H2 K2 C1 - alder 7.6 13.2 - - -
B5 2026-04-21 2026-07-10 - H2 K1_or_K2 C1_or_L1 -_or_P1 alder_or_hale 7.6 13.2 - - -
B2 2026-05-21 2026-07-10 - H2 K1 L1 P1 hale 8.2 13.2 - - -
B3 2026-05-31 2026-07-10 - H1 K2 C1 - alder 7.6 9.2 - - -' \
		sh -c 'wy-returns "$@" | sed "s/ or /_or_/g"' sh "$C/small.wy" --bats --columns=bat,sold,until,cause,handle,charge,lot,parcel,supplier,driest_pct,handle_lot_pct,blade_pct,handle_pct,mass_g
	# days with customers: 100 + 30 + 30 + 80 + 50 + 40 = 330; of H1 100 + 40, of H2 190
	status 0 wy-returns --by handle --as=json "$C/small.wy"
	jq -r '.[] | [.handle, .bats, .came_back, (.bat_months * 365.25 / 12 | round), (.rate_per_100 * 1000 | round)] | join(" ")' "$T/out" >"$T/got"
	# 2 / (190 / 30.4375) * 100 = 32.039
	printf '%s\n' 'H2 4 2 190 32039' 'H1 2 0 140 0' | diff - "$T/got" >&2 || fail 'rates by handle'
	rows 'by cause every bat could come back' 'soft 6 1
splice-loose 6 1' wy-returns --by cause --columns=cause,bats,came_back "$C/small.wy"
	rows 'of one cause' 'K2 2 1
K1 3 0
K1 or K2 1 0' wy-returns --by charge --cause soft --columns=charge,bats,came_back "$C/small.wy"
	rows 'of days' 'H1 1 0
H2 1 0' wy-returns --by handle --from 2026-05-01 --columns=handle,bats,came_back "$C/small.wy"
	# graded on 3 February, made on 5 March: 30 days
	rows 'stored' '0..1 months 6' wy-returns --by stored --columns=stored,bats "$C/small.wy"
	rows 'driest' '7..8 % 3 1
8..9 % 3 1' wy-returns --by driest --columns=driest,bats,came_back "$C/small.wy"
	status 0 wy-returns --by handle --as=text "$C/small.wy"
	grep -q 'not counted: 1 other piece that came back; no bats' "$T/out" || fail 'the blade that came back'
	report
}

# The bats are counted by awk from the lines: sold, back, the days between, by handle lot.
@test "returns: the sample works' rates are what its lines say" {
	export WITHY_TODAY=2027-12-31
	# shellcheck disable=SC2002
	cat $book | sort -s -k 1,1 | awk '
		function day(d) { split(d, p, "-"); y = p[1] - (p[2] < 3); m = (p[2] + 9) % 12; return 365 * y + int(y / 4) - int(y / 100) + int(y / 400) + int((153 * m + 2) / 5) + p[3] }
		{ for (i = 2; i < NF && $i !~ /^[a-z]+$/; i++); e = $i; id = $(i + 1) }
		(e == "make" || e == "rehandle") && match($0, / handle=[^ ]*/) { h[id] = substr($0, RSTART + 8, RLENGTH - 8) }
		e == "sell" && id ~ /^B[0-9]/ { since[id] = day($1); with[id] = h[id]; n[h[id]]++ }
		e == "return" && id in since { x = day($1) - since[id]; days[with[id]] += x ? x : 0.5; back[with[id]]++; delete since[id] }
		END { for (b in since) { x = day("2027-12-31") - since[b]; days[with[b]] += x ? x : 0.5 } for (k in n) printf "%s %d %d %.1f\n", k, n[k], back[k], days[k] }' |
		LC_ALL=C sort >"$T/want"
	status 0 wy-returns $S --by handle --as=json $book
	jq -r '.[] | [.handle, .bats, .came_back, .bat_months * 365.25 / 12] | @tsv' "$T/out" | awk -F '\t' '{ printf "%s %d %d %.1f\n", $1, $2, $3, $4 }' | LC_ALL=C sort >"$T/got"
	[ "$(wc -l <"$T/want")" = 6 ] || fail "not six handle lots"
	cmp "$T/want" "$T/got" >&2 || fail "$(diff "$T/want" "$T/got")"
	# all keys have the same whole
	for key in handle charge lot parcel supplier type grade season month customer driest stored; do
		wy-returns $S --by $key --no-header --columns=bats,came_back,bat_months $book | awk -F '\t' '{ a += $1; b += $2; c += $3 } END { printf "%d %d %.4f\n", a, b, c }' >"$T/$key"
		cmp -s "$T/handle" "$T/$key" || fail "$key: $(cat "$T/$key"), not $(cat "$T/handle")"
	done
	report
}

# Another two years of the sample works, in which more splices came loose. Their handles went into one charge's blades,
# so that its rate is higher too: 6 of 34. Without that handle lot it is 1 of 22.
@test "returns: what goes together with the first difference is compared without it" {
	mkdir "$T/works"
	"$bin/../samples/generate" "$T/works" 1000
	export WITHY_TODAY=2027-12-31
	status 0 wy-returns $S --as=text "$T"/works/book/*.wy
	grep -q '; 9 differ at a false discovery rate of 5 %: handle lot H034 (9 of 32 against 5 of 306, adjusted p under 0.00001); ' "$T/out" || fail "$(grep comparisons "$T/out")"
	grep -q ' Without the bats of handle lot H034 none of the others differs\.$' "$T/out" || fail "$(grep comparisons "$T/out")"
	status 0 wy-returns $S --as=json "$T"/works/book/*.wy
	jq -e '.differences | (.[0] | .value == "H034" and .p_without == null) and ([.[] | select(.value == "K27-01")] | .[0].p < 0.001 and .[0].p_without > 0.05)' \
		"$T/out" >/dev/null || fail "$(jq -c '.differences[0, 2]' "$T/out")"
	# the rates of the charge without that handle lot, counted from the bats
	wy-returns $S --bats --as=tsv "$T"/works/book/*.wy | awk -F'\t' 'NR == 1 { for (i = 1; i <= NF; i++) at[$i] = i; next }
		$at["handle"] != "H034" && $at["charge"] == "K27-01" { n++; back += $at["came_back"] } END { print back + 0, n }' >"$T/counted"
	[ "$(cat "$T/counted")" = "1 22" ] || fail "without H034 $(cat "$T/counted") of K27-01 came back"
	report
}

# samples/README.md: the splices of bats with handles of H034, which had not rested, came loose.
@test "returns: the handles that had not rested are found, and the number of comparisons is said" {
	export WITHY_TODAY=2027-12-31
	status 0 wy-returns $S --cause=splice-loose --as=text $book
	grep -q '1 differs at a false discovery rate of 5 %: handle lot H034 (2 of 20 against 0 of 309, adjusted p 0.031)' "$T/out" || fail "$(head -n 9 "$T/out")"
	grep -q '^24 comparisons of the bats that came back with the others (33 more could not show' "$T/out" || fail 'the number of comparisons'
	status 0 wy-returns $S --cause=splice-loose --by=handle --as=text $book
	grep -q 'By handle, H034 differs from the others: 2 of 20 bats' "$T/out" || fail "$(head -n 3 "$T/out")"
	# five returns in all are too few to show more
	status 0 wy-returns $S --as=text $book
	grep -q 'none is a difference at a false discovery rate of 5 %' "$T/out" || fail "$(grep comparisons "$T/out")"
	# of 60 comparisons the adjusted p is never below p, and rises with it
	status 0 wy-returns $S --as=json $book
	jq -e '.differences | length == 60 and all(.p_adjusted == null or .p_adjusted >= .p) and
		([.[] | select(.p_adjusted != null) | .p_adjusted] | . == sort)' "$T/out" >/dev/null || fail 'adjusted'
	report
}

@test "returns: a trend is told of ordered keys only" {
	export WITHY_TODAY=2027-12-31
	for key in driest stored month grade; do
		status 0 wy-returns $S --by $key --as=text $book
		grep -q 'trend: z = ' "$T/out" || fail "$key: no trend"
	done
	for key in handle charge season cause type; do
		status 0 wy-returns $S --by $key --as=text $book
		! grep -q 'trend' "$T/out" || fail "$key: a trend"
	done
	report
}

@test "returns: on a terminal each answer fits 80 columns" {
	export WITHY_TODAY=2027-12-31
	for call in "" "--cause splice-loose" "--by handle" "--by charge" "--by driest" "--by stored" "--by customer" "--by supplier" "--bats"; do
		# shellcheck disable=SC2086
		on_terminal 80 wy-returns $S $call $book || fail "$call: status $?"
		wide=$(LC_ALL=C.UTF-8 awk 'length($0) > 80 { n++ } END { print n + 0 }' "$T/screen")
		[ "$wide" = 0 ] || fail "$call: $wide lines wider than 80"
		[ "$(wc -l <"$T/screen")" -gt 6 ] || fail "$call: no answer"
	done
	report
}

@test "returns: neither the order of lines nor that of files shows" {
	grep -v '^#' "$C/small.wy" >"$T/book.wy"
	awk -v seed=5 -v times=6 -v out="$T/s" -f tests/lib/shuffle.awk "$T/book.wy"
	for call in "" "--bats" "--by charge" "--by lot"; do
		# shellcheck disable=SC2086
		wy-returns $call "$T/book.wy" >"$T/want"
		for n in 1 2 3 4 5 6; do
			# shellcheck disable=SC2086
			wy-returns $call "$T/s.$n" | cmp -s - "$T/want" || fail "'$call': another order, another answer"
		done
	done
	export WITHY_TODAY=2027-12-31
	wy-returns $S $book >"$T/want"
	tac samples/book/2027b.wy >"$T/d.wy"
	wy-returns $S "$T/d.wy" samples/book/2027a.wy samples/book/2026b.wy samples/book/2026a.wy | cmp -s - "$T/want" || fail 'the order of files'
	report
}

@test "returns: exit statuses and messages; every form; odd books" {
	printf '2026-03-05 seal L061 with=wax\n' >"$T/none.wy"
	printf '2026-03-02 buy B1 form=bat count=SH:1 into=shop\n2026-03-03 sell B1 to=x\n2026-03-03 return B1 cause=soft into=shop\n2026-03-04 sell B1 to=x\n' >"$T/bought.wy"
	printf '2026-03-02 buy B1 form=bat count=SH:1 into=shop\n2026-03-03 sell B1 to=x\n2026-03-04 sell B1 to=x\n' >"$T/off.wy"
	while IFS='|' read -r want call say; do
		# shellcheck disable=SC2086
		status "$want" wy-returns $call
		cat "$T/err" "$T/out" | grep -qF -e "$say" || fail "$call: $(cat "$T/err")"
	done <<-END
		1|--as=text $T/none.wy|No bat was sold.
		1|--by=handle /dev/null|handle
		1|--bats /dev/null|bat
		0|--bats --no-header --columns=bat,until,came_back,lot,handle $T/bought.wy|B1	2026-03-03	1	B1	
		0|--as=text $T/bought.wy|Of 2 bats sold, 1 came back
		1|--as=text $T/off.wy|Of 1 bat sold, 0 came back
		1|--on=2026-03-01 --as=text $C/small.wy|No bat was sold.
		2|--by=weight $C/small.wy|weight
		2|--by=handle --bats $C/small.wy|choose one
		2|--fdr=5 $C/small.wy|write it as 5%
		2|--fdr=0% $C/small.wy|write it as 5%
		0|--fdr=10% --as=text $C/small.wy|false discovery rate of 10 %
		2|$S --cause=splice-lose $C/small.wy|perhaps splice-loose?
		0|--cause=nothing --as=text $C/small.wy|Of 6 bats sold, 0 came back for nothing
		2|--from=2026-02-01 --to=2026-01-01 $C/small.wy|no day lies between them
		2|$T/missing.wy|cannot read
		2|--columns=nothing $C/small.wy|nothing
	END
	for form in text tsv csv md html json; do
		status 0 wy-returns --as=$form "$C/small.wy"
		cp "$T/out" "$T/want"
		status 0 wy-returns --as=$form <"$C/small.wy"
		same "$T/want" "$form from standard input"
	done
	jq -e '.rates and .differences' >/dev/null < <(wy-returns --as=json "$C/small.wy") || fail 'tables of json'
	report
}
