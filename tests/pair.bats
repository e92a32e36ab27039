# wy-pair: a small bench worked out by hand; what is best beside all ways there are; orders, numbered pieces, entries for the
# book; the sample works' unrested handles, with the time constant and the moistures that it was made from. The assignment
# itself is held beside lpSolve and a textbook in tests/outside/assignment.bats.

load lib/common
load lib/terminal

setup() {
	at_root
	C=tests/cases/pair
	H="-H $C/house.yaml"
	S="-H samples/house.yaml"
	book=$(echo samples/book/*.wy)
	export WITHY_TODAY=2026-03-11
}

# rows WHAT WANT COMMAND...: the rows of a tsv answer, fields joined by spaces, empty ones as -, blanks within as _
rows() {
	local what=$1 want=$2
	shift 2
	status 0 "$@" --as=tsv --no-header
	awk -F '\t' '{ for (i = 1; i <= NF; i++) { gsub(/ /, "_", $i); printf "%s%s", $i == "" ? "-" : $i, i < NF ? " " : "\n" } }' "$T/out" >"$T/got"
	printf '%s\n' "$want" | diff - "$T/got" >"$T/diff" || fail "$what: $(cat "$T/diff")"
}

@test "pair: handles of a type that fits, but without a good reading, are to be measured" {
	printf '%s\n' '2026-03-01 tally L001 at=shop form=blade type=S6 grade=1 count=2 found=2' \
		'2026-03-01 tally H001 at=shop form=handle type=HJ count=3 found=3' '2026-03-01 tally H002 at=shop form=handle type=HS count=3 found=3' \
		'2026-03-02 probe L001 at=shop mc=9% wood=20C' '2026-03-02 probe H002 at=shop mc=9% wood=20C' >"$T/unread.wy"
	status 1 wy-pair $H "$T/unread.wy" --left --columns=part,piece,why,advice --as=tsv --no-header
	tr '\t ' ' _' <"$T/out" | diff - <(echo 'blade L001 none_to_pair no_handle_that_fits_its_type_has_a_good_reading;_measure_those
handle H001 not_read not_read_as_a_handle_outside_a_kiln;_measure_it
handle H002 no_type_fits no_blade_here_is_of_a_type_that_it_fits') || fail "not read"
	sed -i 's/probe H002/probe H001/' "$T/unread.wy"
	rows 'read' '2' wy-pair $H "$T/unread.wy" --pairs --columns=pairs
	report
}

# The EMC of 20 C and 55 % is 10.101296 % (facts of the Wood Handbook's formula, FPL-GTR-282, eq. 4-5). H2, read at 13 % ten days
# before the last reading of the air, follows with ten days: 10.1013 + 2.8987 exp(-1) = 11.1677. C1 is at 9.4 %; H2 is within
# a point of it when 10.1013 + 1.0664 exp(-n/10) is at most 10.4, after 12.7 days. Gaps: 38 mm times 0.0020 times the points.
@test "pair: a small bench, worked out by hand" {
	rows 'pairs' '2 C1 1 9.4000 - H1 9.9000 - 0.5000 0.0380 10
1 C3 1 9.0000 - H1 9.9000 - 0.9000 0.0684 9' \
		wy-pair $H "$C/small.wy" --pairs --columns=pairs,blade,grade,blade_mc_pct,blade_air,handle,handle_mc_pct,handle_air,apart_pct,gap_mm,read_days
	rows 'left over' 'blade C2 2 11.5000 lot too_wet J1 -1.6000 -0.1216 - -
blade C4 2 - lot off_scale - - - - -
blade C5 1 - lot old_reading - - - - -
handle H2 2 11.1677 lot too_wet C1 1.7677 0.1343 13 cane
handle H3 1 - - not_read - - - - -
handle H4 1 10.0562 lot spare - - - - -
handle J1 1 9.9000 lot too_dry C2 -1.6000 -0.1216 - -' \
		wy-pair $H "$C/small.wy" --left --columns=part,piece,count,mc_pct,source,why,nearest,apart_pct,gap_mm,rest_days,rest_at
	status 0 wy-pair $H "$C/small.wy" --as=text
	for words in '^On 2026-03-11, 8 blades and 8 handles make 3 pairs. They are at most 0.9 points apart, and the widest gap foretold is 0.07 mm. 5 blades and 5 handles are left over.' \
		'1.8 points above C1, the nearest blade; rest it about 13 days in the air of cane' 'last read on 2026-01-10, 60 days ago; measure it' \
		'Time constants of the wood: cane (handles) 10 days, house.' 'Measure blade and handle once more before you glue them.' 'the limit is 1\.'; do
		tr '\n' ' ' <"$T/out" | tr -s ' ' | grep -q "${words#^}" || fail "no '$words' in the text"
	done
	# other limits: a gap of 0.05 mm is 0.66 points; 2 points let H2 in
	rows 'a gap' '2 C1 H1' wy-pair $H "$C/small.wy" --pairs --most-gap=0.05mm --columns=pairs,blade,handle
	rows 'the gap refuses' 'C3 gap H1 0.9000 0.0684' sh -c 'wy-pair "$@" | grep gap' sh $H "$C/small.wy" --left --most-gap=0.05mm --columns=piece,why,nearest,apart_pct,gap_mm
	status 0 wy-pair $H "$C/small.wy" --most-apart=2% --left --columns=piece,why --no-header
	! grep -qE '^(H2|J1|C2).*too' "$T/out" || fail '--most-apart=2%: still refused'
	status 0 wy-pair $H "$C/small.wy" --read-within=90 --pairs --columns=blade --no-header
	grep -qx C5 "$T/out" || fail '--read-within=90: C5 is still too old'
	rows 'only new readings' 'C1 old_reading' sh -c 'wy-pair "$@" | grep C1; true' sh $H "$C/small.wy" --left --read-within=3 --columns=piece,why
	report
}

@test "pair: the gap is that of wy-reckon" {
	status 0 wy-pair $H "$C/small.wy" --as=json --pairs
	jq -r '.[] | [.blade_mc_pct, .handle_mc_pct, .gap_mm] | @tsv' "$T/out" >"$T/pairs"
	[ "$(wc -l <"$T/pairs")" = 2 ] || fail 'not two pairs'
	while read -r blade handle gap; do
		want=$(wy-reckon splice $H --as=tsv --no-header width=38mm handle="$handle%" handleto="$blade%" blade="$blade%" | awk -F '\t' '$1 == "gap" { print $2 }')
		awk -v a="$want" -v b="$gap" 'BEGIN { exit !(a != "" && (a - b) ^ 2 < 1e-9) }' || fail "$blade, $handle: $gap, not $want"
	done <"$T/pairs"
	# a published worked example is in tests/reckon.bats; the same here: 12 % into 9 %, 38 mm, 0.0020: 0.228 mm
	printf '%s\n' '2026-03-01 buy C1 form=blade count=SH:1 into=shop' '2026-03-02 grade C1 at=shop count=1:1' '2026-03-01 buy H1 form=handle count=HS:1 into=shop' \
		'2026-03-10 probe C1 at=shop mc=9%' '2026-03-10 probe H1 at=shop mc=12%' >"$T/b.wy"
	rows 'the worked example' '0.2280' wy-pair $H "$T/b.wy" --most-apart=5% --pairs --columns=gap_mm
	report
}

@test "pair: the pairs are the best of all ways there are" {
	local seed options apart least most count
	for seed in 3 14 159 2653 58979 323846 2643383 27950288; do
		awk -v n=6 -v seed=$seed -f tests/lib/bench.awk >"$T/b.wy"
		sed -nE 's/.* judge ([CH])([0-9]+\/[0-9]+) .*mass=([0-9]+)g mc=([0-9.]+)%.*/\1 \1\2 \4 \3/p' "$T/b.wy" | sed 's/^C/blade/; s/^H/handle/' >"$T/bench"
		for options in '40 0 0 0' '1 0 0 0' '1.5 1800 1900 0' '40 1750 1950 3' '2 0 0 2' '0.3 0 0 4'; do
			read -r apart least most count <<<"$options"
			want=$(awk -v apart="$apart" -v least="$least" -v most="$most" -v count="$count" -f tests/lib/pair_best.awk "$T/bench")
			set --
			[ "$most" = 0 ] || set -- "--mass=${least}g..${most}g"
			[ "$count" = 0 ] || set -- "$@" "--count=$count"
			wy-pair --on 2026-03-02 --most-apart="$apart%" "$@" --pairs --no-header --columns=pairs,apart_pct,mass_g "$T/b.wy" >"$T/out" || true
			got=$(awk -F '\t' -v least="$least" -v most="$most" 'function abs(x) { return x < 0 ? -x : x }
				{ d = int(abs($2) * 10 + 0.5); n += $1; q += d * d; g += most ? int(abs($3 - (least + most) / 2)) : 0 } END { print n + 0, q + 0, g + 0 }' "$T/out")
			[ "$got" = "$want" ] || fail "seed $seed, $options: $got, not $want"
		done
	done
	# all were not alike
	wy-pair --on 2026-03-02 --most-apart=1.5% --mass=1800g..1900g --pairs --no-header "$T/b.wy" >"$T/a" || true
	wy-pair --on 2026-03-02 --most-apart=1.5% --pairs --no-header "$T/b.wy" | cmp -s - "$T/a" && fail 'a range of masses changes nothing'
	report
}

@test "pair: an order's open bats, and no more" {
	# of four SH/1 one was made for it and another sold for it
	rows 'pairs for an order' 'O-1 2 C1 1 H1
O-1 2 C1 2 H1' wy-pair $H --order=O-1 "$C/orders.wy" --pairs --columns=order,pairs,blade,grade,handle
	rows 'left over' 'C1 4 1 enough
C1 1 2 enough
H1 2 - spare' wy-pair $H --order=O-1 "$C/orders.wy" --left --columns=piece,count,grade,why
	status 0 wy-pair $H --order=O-1 "$C/orders.wy" --as=text
	grep -q "^O-1 still needs 4 bats. On 2026-03-11, 9 blades and 6 handles make 4 pairs." "$T/out" || fail "$(head -n 2 "$T/out")"
	tr '\n' ' ' <"$T/out" | grep -q "O-1 asks for bats of .*; foretold by wy-weigh" || fail 'no word of the mass'
	rows 'on an earlier day' '3 1
2 2' wy-pair $H --order=O-1 --on 2026-03-03 "$C/orders.wy" --pairs --columns=pairs,grade
	# what is in the shop is taken before what has to be fetched
	rows 'to fetch' '4 H1 shop
2 H1 shop
1 H2 cane' wy-pair $H --count=7 --handles=cane,H1 "$C/orders.wy" --pairs --columns=pairs,handle,handle_at
	sed 's/ H1 / H3 /; s/=H1 /=H3 /' "$C/orders.wy" >"$T/b.wy"
	rows 'to fetch, whichever name is first' 'H3 shop
H3 shop' wy-pair $H --order=O-1 --handles=cane,H3 "$T/b.wy" --pairs --columns=handle,handle_at
	rows 'by kind' '3 C1 1' wy-pair $H --type=SH --grade=1 --count=3 "$C/orders.wy" --pairs --columns=pairs,blade,grade
	# exits, and what they say
	while IFS='|' read -r want words call; do
		# shellcheck disable=SC2086
		status "$want" wy-pair $H $call "$C/orders.wy" || true
		tr '\n' ' ' <"$T/err" | cat - "$T/out" | grep -qF -e "$words" || fail "$call: no '$words': $(cat "$T/err")"
	done <<'END'
2|is not for bats, so it needs no handles|--order=O-2
2|the book has no order 'O-33' by |--order=O-33
2|--order says which blades and how many|--order=O-1 --grade=1
1|O-3 still needs 1 bat. On 2026-03-11, 0 blades and 6 handles make no pair.|--order=O-3 --as=text
2|perhaps shop?|--blades=shpo
2|--handles: 'H9' is not a place, a lot or a piece|--handles=H9
2|an empty word|--blades=shop,
2|perhaps SH?|--type=SHH
2|write it as 1%|--most-apart=1
2|write it as 0.1mm|--most-gap=wide
2|write it as 1850g..1950g|--mass=1850g
2|--make needs --maker=WHO|--make
2|go with --make|--maker=fz
2|cannot be combined|--pairs --left
2|perhaps fz?|--make --maker=fx
2|does not end in a number|--make --maker=fz --first=Bx
END
	report
}

# C1/01 was judged twice, the later counts; C1/02 has no reading of its own; C1/03 and H1/04 are in B1. Of C2, two of three have
# numbers and each is the only one or not of its grade.
@test "pair: numbered pieces are themselves only where none can be another, or where they are named" {
	local P="wy-pair --on 2026-03-05 $C/numbered.wy"
	rows 'left to the book' 'C1/01 1600.000000 9.1000 piece H1/03 300.000000
C1/02 1700.000000 9.7000 lot H1/02 310.000000
C2 - 8.9500 lot H1/01 290.000000' $P --grade=1 --blades=C1,C2 --pairs --columns=blade,blade_mass_g,blade_mc_pct,blade_source,handle,handle_mass_g
	# of grade 2 there is one, and it has a number
	rows 'the only one' 'C2/02 8.9000 piece' $P --grade=2 --pairs --columns=blade,blade_mc_pct,blade_source
	rows 'named' 'C2/01 1
C2/02 2' $P --blades=C2/02,C2/01 --handles=H1/01,H1/02 --pairs --columns=blade,grade
	rows 'a mass is wanted' 'C1/01 H1/03 1900.000000' $P --blades=C1,C2 --mass=1895g..1905g --pairs --columns=blade,handle,mass_g
	rows 'why not' 'C1/02 mass
C2 not_weighed
C2/02 not_weighed
H1/01 not_weighed
H1/02 mass' $P --blades=C1,C2 --mass=1895g..1905g --left --columns=piece,why
	rows 'named and not there' 'C1/03 in_bat
C1/09 not_there
C2/03 type_unknown
C3/1 type_unknown' $P --blades=C1/09,C1/02,C1/01,C1/03,C2/01,C2/03,C3/1 --handles=H1/01,H1/02,H1/03 --left --columns=piece,why
	report
}

@test "pair: the entries for the book are tidy, add up, and the answer after them knows of them" {
	local call
	for call in "--order=O-1" "--type=SH --handles=cane,shop" "--count=1"; do
		# shellcheck disable=SC2086
		status 0 wy-pair $H $call --make --maker=fz "$C/orders.wy"
		cp "$T/out" "$T/new.wy"
		wy-tidy "$T/new.wy" | cmp - "$T/new.wy" >&2 || fail "$call: not tidy"
		wy-check $H "$C/orders.wy" "$T/new.wy" >"$T/found" 2>&1
		! grep -E ': (error|warning):' "$T/found" || fail "$call: $(grep -E ': (error|warning):' "$T/found")"
	done
	# ids go on from the highest, as wide as the widest: B0099, though the last was B7
	status 0 wy-pair $H --order=O-1 --handles=cane --make --maker=fz "$C/orders.wy"
	cat >"$T/want" <<'END'
2026-03-11       move    H2     at=cane type=HS count=4 into=shop by=fz
2026-03-11       make    B0100  blade=C1 handle=H2 at=shop type=SH grade=1 for=O-1 by=fz
2026-03-11       make    B0101  blade=C1 handle=H2 at=shop type=SH grade=1 for=O-1 by=fz
2026-03-11       make    B0102  blade=C1 handle=H2 at=shop type=SH grade=2 for=O-1 by=fz
2026-03-11       make    B0103  blade=C1 handle=H2 at=shop type=SH grade=2 for=O-1 by=fz
END
	same "$T/want" 'the entries'
	cat "$C/orders.wy" "$T/want" >"$T/b.wy"
	status 1 wy-pair $H --order=O-1 --as=text "$T/b.wy"
	grep -q '^O-1 needs no more bats' "$T/out" || fail "$(head -n 1 "$T/out")"
	# the first id, and another shop
	status 0 wy-pair $H --count=2 --make --maker=fz --first=X-009 --shop=st --blades=st --handles=shop "$C/orders.wy"
	tr -s ' ' <"$T/out" | cut -d ' ' -f 2-4 >"$T/got"
	printf '%s\n' 'move H1 at=shop' 'make X-009 blade=C2' 'make X-010 blade=C2' | diff - "$T/got" >&2 || fail 'another first id'
	# numbered pieces by their numbers; nothing to go on from
	status 0 wy-pair $H --on 2026-03-05 --blades=C1 --make --maker=fz "$C/numbered.wy"
	grep -q 'make    B2     blade=C1/01 handle=H1/01 at=shop' "$T/out" || fail "$(cat "$T/out")"
	status 2 wy-pair $H --make --maker=mk --as=json "$C/small.wy"
	grep -q -- "--as has no form for them; leave --as out" "$T/err" || fail "lines as json: $(cat "$T/err")"
	status 2 wy-pair $H --make --maker=fz "$C/small.wy"
	grep -q 'write the first one.s id as --first=B0001' "$T/err" || fail "$(cat "$T/err")"
	status 2 wy-pair --make --maker=fz "$C/orders.wy"
	grep -q 'write --shop=PLACE' "$T/err" || fail "$(cat "$T/err")"
	report
}

# samples/README.md: handles of H034, which had not rested, went into bats in April and May 2027. truth/parameters.tsv: handles in
# the cane room follow their air by 0.022 a day, which is a time constant of 45.5 days.
@test "pair: the handles that had not rested are refused on those days, with the days that they need" {
	local day n=0
	for day in $(grep -h ' make .*handle=H034' $book | cut -c 1-10 | sort -u); do
		case $day in 2027-0[45]-*) ;; *) continue ;; esac
		n=$((n + 1))
		# the blades that were in the shop before the bats of that day were made
		wy-pair $S --on "$day" --handles=shop,cane --blades=store,shop --as=json $book >"$T/out" || fail "$day: status $?"
		jq -e 'all(.pairs[]; .handle != "H034")' "$T/out" >/dev/null || fail "$day: H034 is in a pair"
		jq -e '[.left[] | select(.piece == "H034")] | length > 0 and all(.why == "too wet" and .apart_pct > 1 and .rest_days > 14 and .rest_at == "cane")' "$T/out" >/dev/null ||
			fail "$day: $(jq -c '.left[] | select(.piece == "H034")' "$T/out")"
	done
	[ "$n" -ge 6 ] || fail "only $n days"
	# the days that are foretold end between the last monthly reading that refuses it and the first that does not
	for day in 2027-04-22 2027-05-19 2027-06-15; do
		rest=$(wy-pair $S --on $day --handles=cane --blades=store/r1 --left --as=json $book | jq '[.[] | select(.piece == "H034") | .rest_days] | max')
		until=$(date -u -d "$day + $rest days" +%F)
		[[ $until > 2027-06-20 && $until < 2027-08-11 ]] || fail "$day: $rest days, until $until"
	done
	status 0 wy-pair $S --on 2027-08-12 --handles=H034 --blades=store/r1 --as=json $book
	jq -e '.pairs | length > 0 and all(.apart_pct <= 1)' "$T/out" >/dev/null || fail 'in August it is still refused'
	report
}

@test "pair: the time constant of the cane room is found from readings, near the true one" {
	local day low high lag
	want=$(awk -F '\t' '$3 == "k_handle" { print 1 / $4 }' samples/truth/parameters.tsv)
	for day in 2027-04-22 2027-06-30 2027-12-31; do
		status 0 wy-pair $S --on $day --handles=cane --blades=store --as=text $book
		tr '\n' ' ' <"$T/out" | sed -nE 's/.*cane \(handles\) ([0-9]+) days, read \(([0-9]+) to ([0-9]+)\).*/\1 \2 \3/p' >"$T/lag"
		lag= low= high=
		read -r lag low high <"$T/lag" || [ "$lag" ] || fail "$day: no time constant"
		awk -v lag="$lag" -v low="$low" -v high="$high" -v want="$want" 'BEGIN { exit !(low <= want && want <= high && lag > want * 0.8 && lag < want * 1.25) }' ||
			fail "$day: $lag ($low to $high), not $want"
	done
	report
}

@test "pair: the order of lines and files does not show" {
	awk -v seed=5 -v times=2 -v out="$T/b" -f tests/lib/shuffle.awk "$C/numbered.wy"
	for n in 1 2; do
		head -n 9 "$T/b.$n" >"$T/one"
		tail -n +10 "$T/b.$n" >"$T/two"
		wy-pair $H --on 2026-03-05 "$T/two" "$T/one" >"$T/got"
		wy-pair $H --on 2026-03-05 "$C/numbered.wy" | diff - "$T/got" >&2 || fail "order $n"
	done
	# shellcheck disable=SC2002
	cat $book | sort -r >"$T/back.wy"
	wy-pair $S --on 2027-04-22 --blades=store,shop --handles=cane,shop "$T/back.wy" >"$T/got"
	# shellcheck disable=SC2086
	wy-pair $S --on 2027-04-22 --blades=store,shop --handles=cane,shop $book | cmp - "$T/got" >&2 || fail 'the sample book backwards'
	report
}

@test "pair: on a terminal each answer fits 80 columns" {
	export WITHY_TODAY=2027-04-22
	for call in "" "--blades=store --handles=shop,cane" "--order=O-382 --blades=store --handles=cane,shop" "--blades=C013/19,C013/20,shop" "--left" "--mass=1850g..1950g"; do
		# shellcheck disable=SC2086
		on_terminal 80 wy-pair $S $call $book || true
		wide=$(LC_ALL=C.UTF-8 awk 'length($0) > 80 { n++ } END { print n + 0 }' "$T/screen")
		[ "$wide" = 0 ] || fail "$call: $wide lines wider than 80"
		[ "$(wc -l <"$T/screen")" -gt 6 ] || fail "$call: no answer"
	done
	WITHY_TODAY=2026-03-05 on_terminal 80 wy-pair $H "$C/numbered.wy" || fail 'numbered'
	[ "$(LC_ALL=C.UTF-8 awk 'length($0) > 80' "$T/screen" | wc -l)" = 0 ] || fail 'numbered: too wide'
	report
}

@test "pair: nothing to pair, nothing to read, and books that do not add up" {
	: >"$T/empty.wy"
	status 1 wy-pair $H --as=text "$T/empty.wy"
	grep -q 'On 2026-03-11, 0 blades and 0 handles make no pair' "$T/out" || fail "empty: $(cat "$T/out")"
	status 1 wy-pair --as=text <"$T/empty.wy"
	# no handle in the shop: where they are
	printf '%s\n' '2026-03-01 buy H1 form=handle count=HS:7 into=cane' '2026-03-01 buy H2 form=handle count=HS:2 into=st' >"$T/b.wy"
	status 1 wy-pair $H --as=text "$T/b.wy"
	tr '\n' ' ' <"$T/out" | grep -q 'No handle is here; 9 handles elsewhere: write --handles=cane, for example' || fail "$(cat "$T/out")"
	printf '%s\n' '2026-03-01 make B1 blade=C1 handle=H1 at=shop' >>"$T/b.wy"
	status 1 wy-pair $H "$T/b.wy"
	grep -q 'error' "$T/err" || fail 'a book that does not add up'
	echo 'nonsense' >>"$T/b.wy"
	status 1 wy-pair $H "$T/b.wy"
	[ ! -s "$T/out" ] || fail 'a line that cannot be read, and an answer'
	status 2 wy-pair $H "$T/none.wy"
	status 2 wy-pair --count=0 "$T/empty.wy"
	# lots without end
	printf '%s\n' '2026-03-01 buy C1 form=blade count=SH:1000000000 into=shop' '2026-03-02 grade C1 at=shop count=1:1000000000' \
		'2026-03-01 buy H1 form=handle count=HS:999999999 into=shop' '2026-03-10 probe C1 at=shop mc=9%' '2026-03-10 probe H1 at=shop mc=9%' >"$T/b.wy"
	rows 'a thousand million' '999999999' wy-pair $H "$T/b.wy" --pairs --columns=pairs
	rows 'and all but one stay' '5' wy-pair $H "$T/b.wy" --count=5 --pairs --columns=pairs
	report
}

# heavy_book: the pairs of tests/cases/weigh, whose handles were weighed: 300 g each; four weighed blades and four handles are on the bench
heavy_book() {
	sed -E 's/ handle=H1 / handle=H1\/0@ /; s/count=HS:9/count=HS:30/' tests/cases/weigh/small.wy | grep -v ' order ' | awk '{ if (/ make B/) { match($0, /make B[0-9]/); sub(/@/, substr($0, RSTART + 6, 1)) } print }'
	for i in 1 2 3 4 5 6 7 8; do echo "2026-01-10 judge H1/0$i mass=300g mc=9.0%"; done
	echo '2026-02-09 probe L1 at=store mc=9.2%
2026-02-10 buy L2 form=blade count=SH:4 into=shop
2026-02-10 grade L2 at=shop count=1:4
2026-02-11 judge L2/01 grade=1 mass=1500g mc=9.0%
2026-02-11 judge L2/02 grade=1 mass=1520g mc=9.3%
2026-02-11 judge L2/03 grade=1 mass=1545g mc=9.1%
2026-02-11 judge L2/04 grade=1 mass=1570g mc=9.6%
2026-02-12 judge H1/11 mass=320g mc=9.1%
2026-02-12 judge H1/12 mass=290g mc=9.2%
2026-02-12 judge H1/13 mass=305g mc=9.5%
2026-02-12 judge H1/14 mass=281g mc=9.0%
2026-02-12 order O-9 count=SH/1:4 mass=1060g..1075g to=velmor'
}

@test "pair: an order's mass is that of the bat: what cannot have it is refused, and of the rest most land" {
	local b h P
	heavy_book >"$T/b.wy"
	P="wy-pair --on 2026-02-14 --order O-9"
	wy-check "$T/b.wy" >"$T/out" 2>&1 || fail "the book: $(head -n 3 "$T/out")"
	# each two by themselves: what they land with, or that they are refused
	for b in 1 2 3 4; do
		for h in 1 2 3 4; do
			$P --blades=L2/0$b --handles=H1/1$h --pairs --no-header --columns=finished_g,lands,apart_pct "$T/b.wy" >"$T/one" || [ $? = 1 ] || fail "$b $h"
			echo "$b $h $(tr '\t' ' ' <"$T/one")"
		done
	done >"$T/each"
	awk 'NF > 2 { n++ } END { exit n < 6 || n > 14 }' "$T/each" || fail "too few or too many may go together: $(cat "$T/each")"
	# the handle's part is gram for gram, and the blade's is wy-weigh's line: a + b x blank, for a handle of 300 g
	wy-weigh --on 2026-02-14 --stock --as=json "$T/b.wy" | jq -r '.[] | select(.piece | startswith("L2/")) | "\(.piece) \(.finished_g)"' >"$T/line" || fail 'no line'
	awk 'FNR == NR { sub("L2/0", "", $1); line[$1] = $2; next } BEGIN { m[1] = 20; m[2] = -10; m[3] = 5; m[4] = -19 } NF > 2 { n++; d = $3 - line[$1] - m[$2]; if (d ^ 2 > 1e-6) { print; bad = 1 } } END { exit bad || n < 6 }' "$T/line" "$T/each" >"$T/bad" ||
		fail "not the line: $(cat "$T/bad" "$T/line" "$T/each")"
	# the best of all 24 orders: as many pairs as can be, then the least that miss, in thousandths, then the least squares of moisture
	awk 'NF > 2 { ok[$1, $2] = 1; miss[$1, $2] = int(1000 * (1 - $4) + 0.5); step = int(10 * ($5 < 0 ? -$5 : $5) + 0.5); square[$1, $2] = step * step }
		END { for (a = 1; a <= 4; a++) for (b = 1; b <= 4; b++) for (c = 1; c <= 4; c++) { d = 10 - a - b - c
			if (a == b || a == c || b == c) continue
			n = 4 * 0; m = q = 0; p[1] = a; p[2] = b; p[3] = c; p[4] = d
			for (i = 1; i <= 4; i++) if (ok[i, p[i]]) { n++; m += miss[i, p[i]]; q += square[i, p[i]] }
			cost = -n * 1e9 + m * 1e4 + q
			if (!any || cost < best) { any = 1; best = cost; say = n " " m " " q } } print say }' "$T/each" >"$T/want"
	$P --blades=L2/01,L2/02,L2/03,L2/04 --handles=H1/11,H1/12,H1/13,H1/14 --pairs --no-header --columns=lands,apart_pct "$T/b.wy" >"$T/out" || fail 'no pairs'
	awk '{ n++; m += int(1000 * (1 - $1) + 0.5); step = int(10 * ($2 < 0 ? -$2 : $2) + 0.5); q += step * step } END { print n, m, q }' "$T/out" >"$T/got"
	diff "$T/want" "$T/got" >"$T/diff" || fail "not the best: $(cat "$T/diff")"
	# what is refused says why, and what would do: with that handle it goes together
	$P --blades=L2/04 --handles=H1/11 --left --as=json "$T/b.wy" | jq -r '.[] | select(.why == "mass") | .advice' | head -n 1 >"$T/advice"
	grep -qE '^a bat of it and H1/11 would weigh about [0-9]+ g, and hardly less than [0-9]+ g: too heavy for 1060g..1075g; a handle about [0-9]+ g lighter would do, or a blade of [0-9]+ to [0-9]+ g$' "$T/advice" || fail "advice: $(cat "$T/advice")"
	h=$(sed -E 's/.*a handle about ([0-9]+) g lighter.*/\1/' "$T/advice")
	sed "s/judge H1\/11 mass=320g/judge H1\/11 mass=$((320 - h))g/" "$T/b.wy" >"$T/lighter.wy"
	$P --blades=L2/04 --handles=H1/11 --pairs --no-header --columns=finished_g "$T/lighter.wy" >"$T/out" || fail 'a lighter handle does not do'
	# bats are weighed in steps of 5 g: 1077 g rounds to 1075 g
	awk '{ exit $1 < 1060 || $1 > 1077.5 }' "$T/out" || fail "lighter: $(cat "$T/out")"
	# blades that were not weighed may go together, with the chance of their kind
	$P --blades=store --handles=H1/11 --pairs --no-header --columns=finished_g,lands "$T/b.wy" >"$T/out" || fail 'no pair'
	awk -F'\t' '{ exit !($1 == "" && $2 > 0 && $2 < 1) }' "$T/out" || fail "not weighed: $(cat "$T/out")"
	report
}
