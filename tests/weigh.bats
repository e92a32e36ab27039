# wy-weigh: a small book whose line, ranges and chances are worked out by hand; the sample works' line found again beside its
# truth and beside least squares by awk; lines by type; what a blank without a line gets; every form and exit status. The
# statistics themselves are held beside R and NIST in tests/outside/weigh.bats.

load lib/common
load lib/terminal

setup() {
	at_root
	C=tests/cases/weigh
	S="-H samples/house.yaml"
	book=$(echo samples/book/*.wy)
	export WITHY_TODAY=2026-12-31
}

# near WHAT WANT GOT WITHIN: two numbers
near() {
	awk -v a="$2" -v b="$3" -v w="$4" 'BEGIN { d = a - b; exit !(a != "" && b != "" && d <= w && d >= -w) }' || fail "$1: $3, not $2"
}

# got FILTER: of the last json answer, by jq
got() { jq -r "$1" "$T/out"; }

@test "weigh: the line, ranges and chances of a small book, worked out by hand" {
	status 0 wy-weigh --as=json "$C/small.wy"
	# residuals of +5 -5 -5 +5 +5 -5 -5 +5 are orthogonal to 1 and to the blanks: rss 200, 6 degrees of freedom
	near 'a' 300 "$(got '.[0].a_g')" 1e-9
	near 'b' 0.5 "$(got '.[0].b')" 1e-12
	near 'sd' 5.773502691896 "$(got '.[0].sd_g')" 1e-9
	# sxx = 2 * (5^2 + 15^2 + 25^2 + 35^2) = 4200; error of b = sd / sqrt(4200)
	near 'error of b' 0.0890870806375 "$(got '.[0].b_error')" 1e-9
	# at the mean, 1535: 1067.5, error sd * sqrt(1 + 1/8) = 6.123724; Student's t of 0.95 with 6 is 1.943180 (printed tables)
	near 'finished' 1067.5 "$(got '.[0].finished_g')" 1e-9
	near 'at least' 1055.600500 "$(got '.[0].low_g')" 1e-5
	near 'at most' 1079.399500 "$(got '.[0].high_g')" 1e-5
	# all of ten: t of 0.995 with 6 is 3.707428
	near 'all of ten' 1090.203267 "$(got '.[0].ten_high_g')" 1e-5
	# the mean of ten: sd * sqrt(1/8 + 1/10) = 2.738613
	near 'the mean of ten' 1072.821618 "$(got '.[0].mean_of_ten_high_g')" 1e-5
	status 0 wy-weigh --mass 1060g..1070g --as=json "$C/small.wy"
	# all bats weigh whole fives of grams, so 1057.5 to 1072.5 rounds into the range: pt(5/6.1237, 6) - pt(-10/6.1237, 6) by R
	near 'chance' 0.700497290674 "$(got '.pieces[0].chance')" 1e-9
	[ "$(got '.pieces | map(.piece) | join(" ")')" = 'L1/09 L1/10' ] || fail 'pieces'
	# 20 graded, 8 gone by their numbers: 12 are there, and so is each of the two
	[ "$(got '.pieces | map(.there) | join(" ")')" = '1 1' ] || fail 'there'
	[ "$(got '.pieces[1] | [.grade, .where, .by] | join(" ")')" = '1 store all' ] || fail 'the first opinion, the place, the line'
	[ "$(got '.lots | map([.lot, .pieces, .basis]) | .[0] | join(" ")')" = 'L1 10 10 blanks' ] || fail 'lots'
	near 'expected of the others' "$(got '.lots[0].chance * 10')" "$(got '.lots[0].expected')" 1e-9
	status 0 wy-weigh --order O-1 --as=text "$C/small.wy"
	grep -q '^2 weighed blades may be in stock; by the counts of their lots about 2 are. About 0.71 should finish within 1060g..1070g.' "$T/out" || fail "$(head -n 1 "$T/out")"
	grep -q 'Order O-1 wants 2 pieces.' "$T/out" || fail 'the order'
	report
}

# Two pieces leave without a number: of the 10 that may have, 8 are left, so that a numbered one is there by 8 of 10.
@test "weigh: a piece whose lot is sold in part is there with a chance" {
	{ cat "$C/small.wy"; echo '2026-03-01 sell L1 at=store grade=1 count=3 to=velmor'; } >"$T/book.wy"
	status 0 wy-weigh --mass 1060g..1070g --as=json "$T/book.wy"
	[ "$(got '.pieces | map(.there) | join(" ")')" = '0.75 0.75' ] || fail "there: $(got '.pieces | map(.there)')"
	near 'the others' 7.5 "$(got '.lots[0].pieces')" 1e-9
	echo '2026-03-02 return L1 cause=soft count=3 into=store from=velmor' >>"$T/book.wy"
	status 0 wy-weigh --mass 1060g..1070g --as=json "$T/book.wy"
	[ "$(got '.pieces | map(.there) | join(" ")')" = '1 1' ] || fail "came back: $(got '.pieces | map(.there)')"
	# graded again as 2: a piece that was judged 1 may be one of them
	sed '$d' "$T/book.wy" | sed '$d' >"$T/again.wy"
	echo '2026-03-01 grade L1 at=store grade=1 count=2:3' >>"$T/again.wy"
	status 0 wy-weigh --mass 1060g..1070g --grade 1 --as=json "$T/again.wy"
	[ "$(got '.pieces | map(.there) | join(" ")')" = '0.75 0.75' ] || fail "graded again: $(got '.pieces | map(.there)')"
	# all gone
	echo '2026-04-01 scrap L1 at=store grade=1 cull=short:9' >>"$T/again.wy"
	status 1 wy-weigh --mass 1060g..1070g --grade 1 --as=text "$T/again.wy"
	grep -q '^0 weighed blades' "$T/out" || fail "$(head -n 1 "$T/out")"
	report
}

# samples/truth: finished = 372 + 0.505 x the blank at 10 %, and a scatter of 20 g, which weighing to half ounces makes 20.4 g.
@test "weigh: the sample works' line is found again within its intervals" {
	export WITHY_TODAY=2027-12-31
	truth() { awk -v k="$1" '$1 == "finish" && $3 == k { print $4 }' samples/truth/parameters.tsv; }
	status 0 wy-weigh $S --mc 10% --as=json $book
	jq -e --argjson a "$(truth a)" --argjson b "$(truth b)" '.[] | select(.type == "all") | . as $r |
		((.b - $b) / .b_error | fabs) < 2.01 and ((.finished_g - $a - $b * .blank_g) / (.sd_g / (.pairs | sqrt)) | fabs) < 2.01' "$T/out" >/dev/null ||
		fail "the line: $(cat "$T/out")"
	# chi-square with 48 degrees of freedom: 95 % from 30.75 to 69.02 (R's qchisq)
	jq -e '.[] | select(.type == "all") | 48 * (.sd_g / 20.4 * (.sd_g / 20.4)) | . > 30.75 and . < 69.02' "$T/out" >/dev/null || fail 'the scatter'
	# the pairs by awk from the lines, which it reads twice; and their line
	status 0 wy-weigh $S --mc 10% --pairs --as=tsv --no-header --columns=bat,piece,blank_g,finished_g $book
	cp "$T/out" "$T/pairs"
	cat samples/book/*.wy samples/book/*.wy | awk '{ for (i = 2; i < NF && $i !~ /^[a-z]+$/; i++); e = $i; id = $(i + 1) }
		e == "judge" { seen[id] = 1 } e == "make" && match($0, /blade=[^ ]*/) { b = substr($0, RSTART + 6, RLENGTH - 6); if (b in seen) of[id] = b }
		e == "finish" && id in of && /mass=/ { pair[id] = of[id] } END { for (id in pair) print id "\t" pair[id] }' | LC_ALL=C sort >"$T/want"
	cut -f 1,2 "$T/pairs" | LC_ALL=C sort | diff "$T/want" - >&2 || fail 'the pairs'
	awk -F '\t' '{ n++; x += $3; y += $4; xx += $3 * $3; xy += $3 * $4 } END { b = (xy - x * y / n) / (xx - x * x / n); printf "%.9f\n", b }' "$T/pairs" >"$T/b"
	status 0 wy-weigh $S --mc 10% --as=json $book
	near 'b by awk' "$(cat "$T/b")" "$(got '.[] | select(.type == "all") | .b')" 1e-6
	report
}

# One works in which S6 blanks lose 60 g more than SH ones, one in which nothing differs: twelve pairs of each.
@test "weigh: types get lines of their own where they differ" {
	make_book() {
		awk -v less="$1" -v slope="$2" 'BEGIN { srand(4); print "2026-01-01 buy L1 form=blade count=SH:12,S6:13 into=shop\n2026-01-01 buy H1 form=handle count=HS:30 into=shop"
			print "2026-01-02 grade L1 at=shop type=SH count=1:12\n2026-01-02 grade L1 at=shop type=S6 count=2:13"
			for (i = 1; i <= 24; i++) { s = i > 12; m = s ? 1160 + 9 * (i - 12) : 1540 + 11 * i; e = 4 * (rand() - 0.5)
				printf "2026-01-03 judge L1/%02d grade=%d mass=%dg\n", i, s + 1, m
				printf "2026-01-04 make B%02d blade=L1/%02d handle=H1 type=%s at=shop\n", i, i, s ? "S6" : "SH"
				printf "2026-01-05 finish B%02d mass=%.1fg shape=%s\n", i, (s ? 300 - less + (0.5 + slope) * m : 300 + 0.5 * m) + e, i % 2 ? "low" : "high" } }'
	}
	make_book 60 0 >"$T/levels.wy"
	make_book 60 0.2 >"$T/slopes.wy"
	make_book 0 0 >"$T/alike.wy"
	for name in 'levels|Each type has its own level with one slope, because the levels differ (F = ' 'slopes|Each type has its own line, because the slopes differ (F = ' 'alike|One line serves every type: neither slopes'; do
		status 0 wy-weigh --as=text "$T/${name%%|*}.wy"
		tr '\n' ' ' <"$T/out" | grep -qF "${name#*|}" || fail "${name%%|*}: $(head -n 3 "$T/out")"
	done
	status 0 wy-weigh --as=json "$T/levels.wy"
	[ "$(got 'map([.type, .pairs, .by] | join(" ")) | join(", ")')" = 'S6 12 own, SH 12 own, all 24 all' ] || fail "rows: $(cat "$T/out")"
	near 'the levels' 60 "$(got '(.[1].a_g - .[0].a_g)')" 8
	status 0 wy-weigh --by shape --as=json "$T/alike.wy"
	[ "$(got 'map(.shape) | join(" ")')" = 'high low all' ] || fail "shapes: $(cat "$T/out")"
	# a blank of a type with too few pairs is foretold within the masses of the pairs only
	{ cat "$T/alike.wy"; printf '2026-02-01 buy L2 form=blade count=HA:3 into=shop\n2026-02-01 grade L2 at=shop count=1:3\n2026-02-02 judge L2/1 mass=1500g\n2026-02-02 judge L2/2 mass=1000g\n'; } >"$T/beyond.wy"
	status 0 wy-weigh --mass 1000g..1100g --type HA --as=json "$T/beyond.wy"
	[ "$(got '.pieces | map([.piece, .by, .chance != null] | join(" ")) | join(", ")')" = 'L2/1 all true, L2/2 beyond false' ] || fail "beyond: $(cat "$T/out")"
	[ "$(got '.lots[0] | [.pieces, .chance, .basis_kind] | map(tostring) | join(" ")')" = '1 null none' ] || fail "a type with no basis: $(cat "$T/out")"
	status 0 wy-weigh --mass 1000g..1100g --type HA --as=text "$T/beyond.wy"
	tr '\n' ' ' <"$T/out" | grep -q 'For about 2 no chance can be given: too few pairs.' || fail "$(head -n 3 "$T/out")"
	report
}

@test "weigh: a far bat, a person and a depth are found among the residuals" {
	awk 'BEGIN { srand(9); print "2026-01-01 buy L1 form=blade count=SH:40 into=shop\n2026-01-01 buy H1 form=handle count=HS:40 into=shop\n2026-01-02 grade L1 at=shop count=1:40"
		for (i = 1; i <= 40; i++) { m = 1500 + 7 * i; d = 60 + (i * 7) % 5; printf "2026-01-03 judge L1/%02d mass=%dg\n2026-01-04 make B%02d blade=L1/%02d handle=H1 at=shop\n", i, m, i, i
			printf "2026-02-%02d finish B%02d mass=%.1fg depth=%dmm by=%s\n", i % 28 + 1, i, 300 + 0.5 * m + 6 * (d - 62) + 8 * (rand() - 0.5) + (i == 17 ? 90 : 0), d, i % 3 ? "mk" : "jo" } }' >"$T/book.wy"
	status 0 wy-weigh --residuals --as=text "$T/book.wy"
	tr '\n' ' ' <"$T/out" | grep -q 'B17 of L1/17 is [0-9]*g too heavy' || fail "the far bat: $(head -n 3 "$T/out")"
	# a blank that was written ten times too heavy is found by what the others foretell, though its own line runs through it
	sed 's/judge L1\/20 mass=1640g/judge L1\/20 mass=16400g/' "$T/book.wy" >"$T/slip.wy"
	status 0 wy-weigh --residuals --as=text "$T/slip.wy"
	tr '\n' ' ' <"$T/out" | grep -q 'B20 of L1/20 is [0-9]*g too light for what the others foretell' || fail "the slip: $(head -n 3 "$T/out")"
	# with a house file that says what a blade can weigh the pair is left out
	printf 'types:\n  SH: {form: blade, mass: 1300..2000g}\n  HS: {form: handle}\n' >"$T/house.yaml"
	status 0 wy-weigh -H "$T/house.yaml" --as=text "$T/slip.wy"
	grep -q '^1 pair left out, whose blank or bat has a mass' "$T/out" || fail "left out: $(tail -n 3 "$T/out")"
	grep -q '^SH  *39 ' "$T/out" || fail 'the others'
	grep -v 'B17 ' "$T/book.wy" >"$T/without.wy"
	status 0 wy-weigh --residuals --as=json "$T/without.wy"
	jq -e '[.[] | select(.p_adjusted < 0.05) | .what] == ["depth"]' "$T/out" >/dev/null || fail "the depth: $(cat "$T/out")"
	near 'its effect' 6 "$(got '.[] | select(.what == "depth") | .effect_value')" 1
	status 0 wy-weigh --residuals --as=text "$T/without.wy"
	grep -q 'too heavy\|too light' "$T/out" && fail 'a far bat where there is none'
	report
}

# The figures are R's: lm() of 0, 0.5, 1.1, 1.4 on the years before 31 December 2026, confint().
@test "weigh: the drift of a balance" {
	status 0 wy-weigh --scales --as=json "$C/small.wy"
	[ "$(got 'map([.balance, .weight_g, .checks] | join(" ")) | join(", ")')" = 's1 907.1847 1, s1 1000 4' ] || fail "rows: $(cat "$T/out")"
	near 'drift' 1.925664759 "$(got '.[1].year_g')" 1e-8
	near 'at least' 1.17127198 "$(got '.[1].year_low_g')" 1e-7
	near 'at most' 2.68005753 "$(got '.[1].year_high_g')" 1e-7
	near 'now' 1.946785490 "$(got '.[1].now_g')" 1e-8
	[ "$(got '.[0].year_g')" = null ] || fail 'a drift of one check'
	status 0 wy-weigh --scales --as=text "$C/small.wy"
	tr '\n' ' ' <"$T/out" | grep -q '^s1 at 1000 g drifts by +1.93 g a year (95 % interval +1.17 to +2.68) and is off by +1.95 g now' || fail "$(head -n 2 "$T/out")"
	status 1 wy-weigh --scales --as=text $S $book
	grep -q 'No line checks a balance' "$T/out" || fail 'no balance'
	# a check in the wrong kind of unit is refused; a mass is no offset of the air
	printf '2026-01-02 meter s1 true=1000g read=12%%\n' >"$T/bad.wy"
	status 1 wy-check "$T/bad.wy"
	grep -q 'a reading of 12% cannot be checked against 1000g' "$T/out" || fail "$(cat "$T/out")"
	report
}

@test "weigh: the histogram counts every weighed bat once" {
	export WITHY_TODAY=2027-12-31
	bats=$(cat samples/book/*.wy | grep ' finish ' | grep -c 'mass=')
	for bin in 1oz 0.5oz 25g 3oz; do
		[ "$(wy-weigh $S --histogram --bin $bin --no-header --columns=bats $book | awk '{ n += $1 } END { print n }')" = "$bats" ] || fail "$bin"
	done
	# ounces by awk: of SH from 2 lb 11 oz to under 2 lb 12 oz
	status 0 wy-weigh $S --histogram --as=json $book
	want=$(cat samples/book/*.wy | grep ' finish ' | grep -E 'mass=2lb11(\.5)?oz' | grep -c 'length=8[45].mm')
	[ "$(got '.[] | select(.type == "SH" and .from == "2lb11oz") | .bats')" = "$want" ] || fail "2lb11oz: $want"
	got '.[] | .from, .to' | grep -E 'lb1[6-9]|lb[2-9][0-9]' && fail 'sixteen ounces'
	status 0 wy-weigh $S --histogram --type HA --as=json $book
	[ "$(got '.[].type' | sort -u)" = HA ] || fail 'one type'
	# whole half ounces are on the ends of their steps, and none falls below
	wy-weigh $S --histogram --bin 0.5oz --no-header --columns=from,bats $book | awk '$1 ~ /^2lb10.5oz/ { n += $2 } END { print n }' >"$T/half"
	[ "$(cat "$T/half")" = "$(cat samples/book/*.wy | grep ' finish ' | grep -c 'mass=2lb10.5oz')" ] || fail "half an ounce: $(cat "$T/half")"
	report
}

@test "weigh: the sample book's pieces add up to the stock" {
	export WITHY_TODAY=2027-12-31
	for ask in "--type SH" "--type SH --grade 2" "--type HA --grade 3" ""; do
		# shellcheck disable=SC2086
		status 0 wy-weigh $S --mass 2lb8oz..2lb10oz --as=json $ask $book
		type=$(echo "$ask" | sed -n 's/.*--type \([^ ]*\).*/\1/p') grade=$(echo "$ask" | sed -n 's/.*--grade \([^ ]*\).*/\1/p')
		want=$(wy-stock $S --by form,type,grade --as=json $book | jq --arg t "$type" --arg g "$grade" '[.[] | select(.form == "blade" and ($t == "" or .type == $t) and ($g == "" or .grade == $g)) | .count] | add')
		near "$ask" "$want" "$(got '([.pieces[].there] | add) + ([.lots[].pieces] | add)')" 1e-6
		jq -e '[.pieces[].there, .pieces[].chance, .lots[].chance] | all(. == null or (. >= 0 and . <= 1))' "$T/out" >/dev/null || fail "$ask: a chance beyond 0 to 1"
		# pieces that a bat was made of are not there
		got '.pieces[].piece' | sort >"$T/listed"
		grep -ho 'blade=[^ ]*/[^ ]*' samples/book/*.wy | cut -c 7- | sort | comm -12 - "$T/listed" | grep -q . && fail "$ask: a made blade is listed"
	done
	report
}

@test "weigh: on a terminal each answer fits 80 columns" {
	export WITHY_TODAY=2027-12-31
	for call in "" "--by class" "--by shape" "--mass 2lb8oz..2lb10oz" "--mass 2lb8oz.. --type SH --grade 1" "--order O-430" "--stock" "--residuals" "--pairs" "--histogram"; do
		# shellcheck disable=SC2086
		on_terminal 80 wy-weigh $S $call $book || fail "$call: status $?"
		wide=$(LC_ALL=C.UTF-8 awk 'length($0) > 80 { n++ } END { print n + 0 }' "$T/screen")
		[ "$wide" = 0 ] || fail "$call: $wide lines wider than 80"
		[ "$(wc -l <"$T/screen")" -gt 5 ] || fail "$call: no answer"
		# a table in parts names its rows twice
		[ "$(grep -c '^piece  ' "$T/screen")" -le 1 ] || fail "$call: a table in parts"
	done
	on_terminal 80 wy-weigh --scales "$C/small.wy" || fail 'scales'
	[ "$(awk 'length($0) > 80' "$T/screen" | wc -l)" = 0 ] || fail 'scales: wide'
	report
}

@test "weigh: neither the order of lines nor that of files shows" {
	grep -v '^#' "$C/small.wy" >"$T/book.wy"
	awk -v seed=5 -v times=6 -v out="$T/s" -f tests/lib/shuffle.awk "$T/book.wy"
	for call in "" "--mass 1060g..1070g" "--stock" "--residuals" "--pairs" "--scales" "--histogram"; do
		# shellcheck disable=SC2086
		wy-weigh $call "$T/book.wy" >"$T/want"
		for n in 1 2 3 4 5 6; do
			# shellcheck disable=SC2086
			wy-weigh $call "$T/s.$n" | cmp -s - "$T/want" || fail "'$call': another order, another answer"
		done
	done
	export WITHY_TODAY=2027-12-31
	for call in "" "--mass 2lb8oz..2lb10oz" "--residuals" "--histogram" "--by class"; do
		# shellcheck disable=SC2086
		wy-weigh $S $call $book >"$T/want"
		tac samples/book/2027b.wy >"$T/d.wy"
		# shellcheck disable=SC2086
		wy-weigh $S $call "$T/d.wy" samples/book/2027a.wy samples/book/2026b.wy samples/book/2026a.wy | cmp -s - "$T/want" || fail "'$call': the order of files"
	done
	report
}

@test "weigh: exit statuses and messages; every form; odd books" {
	printf '2026-03-05 seal L061 with=wax\n' >"$T/none.wy"
	head -n 12 "$C/small.wy" >"$T/few.wy"
	while IFS='|' read -r want call say; do
		# shellcheck disable=SC2086
		status "$want" wy-weigh $call
		cat "$T/err" "$T/out" | grep -qF -e "$say" || fail "$call: $(cat "$T/err" "$T/out")"
	done <<-END
		1|--as=text $T/none.wy|0 pairs of a weighed blank and its finished bat; a line needs 8.
		1|--mass=2lb9oz --as=text -H samples/house.yaml /dev/null|0 weighed blades in stock that could finish at 2lb9oz.
		1|--mass=..2lb9oz --as=text -H samples/house.yaml /dev/null|could finish at 2lb9oz or less.
		1|--stock --as=text $T/none.wy|No weighed blade is in stock.
		1|--residuals --as=text $T/few.wy|Too few pairs for a line.
		1|--histogram --as=text $T/few.wy|No bat was weighed
		0|--stock --as=text $T/few.wy|8 weighed blades may be in stock; by the counts of their lots about 8 are
		0|--mass=1kg.. --as=text $T/few.wy|For about 20 no chance can be given
		0|--mass=..1090g --as=tsv --no-header --columns=piece,by $C/small.wy|L1/09	all
		0|--mc=12% --as=text $S $book|blanks are at 12.0 % moisture
		0|--order=O-1 --on=2026-02-20 $C/small.wy|L1/09
		2|--order=O-1 --on=2026-02-19 $C/small.wy|the book has no order 'O-1' by 2026-02-19; check the ID and --on
		2|--order=O-9 $C/small.wy|the book has no order 'O-9'
		2|--order=O-2 $C/small.wy|does not ask for a mass
		2|--mass=2lb8 $C/small.wy|write it as 2lb8oz..2lb10oz
		2|--mass=2lb16oz $C/small.wy|write it as 2lb8oz..2lb10oz
		2|--mass=2lb10oz..2lb8oz $C/small.wy|write it as 2lb8oz..2lb10oz
		2|--mass=1100 $C/small.wy|write it as 2lb8oz..2lb10oz
		2|--mc=9 $C/small.wy|write it as 9%
		2|--histogram --bin=0g $C/small.wy|write it as 1oz
		2|--bin=1oz $C/small.wy|--histogram
		2|--histogram --scales $C/small.wy|give one of them
		2|--by=weight $C/small.wy|weight
		2|$S --type=SJ $book|perhaps S
		2|$S --grade=9 $book|--grade '9' is not in the house file
		2|$S --class=heavi $book|perhaps heavy?
		2|$T/missing.wy|cannot read
		2|--columns=nothing $C/small.wy|nothing
	END
	for form in text tsv csv md html json; do
		status 0 wy-weigh --mass 1060g..1070g --as=$form "$C/small.wy"
		cp "$T/out" "$T/want"
		status 0 wy-weigh --mass 1060g..1070g --as=$form <"$C/small.wy"
		same "$T/want" "$form from standard input"
	done
	report
}

# The checks of s1 at 1000 g: errors 0, 0.5, 1.1 and 1.4 g after 0, 90, 181 and 273 days of 2026.
@test "weigh: masses are corrected by the drift of the balance that the house file names, and by no other" {
	grep -v 'meter s1 true=2lb' tests/cases/weigh/small.wy >"$T/b.wy"
	# one weight of 1 kg: the blanks are read in January, before and after its first check, the bats in February
	printf 'works: Small\nmeters: {s1: {kind: balance, weighs: [blade, bat]}}\n' >"$T/h.yaml"
	status 0 wy-weigh -H "$T/h.yaml" --on 2026-12-31 --pairs --as=tsv --no-header --columns=bat,blank_g,finished_g "$T/b.wy"
	sort "$T/out" >"$T/got"
	# by another way: the least-squares line through the four checks by sums, in days
	awk 'BEGIN { n = split("0 90 181 273", x, " "); split("0 0.5 1.1 1.4", y, " "); for (i = 1; i <= n; i++) { sx += x[i]; sy += y[i]; sxx += x[i] ^ 2; sxy += x[i] * y[i] }
			b = (n * sxy - sx * sy) / (n * sxx - sx ^ 2); a = (sy - b * sx) / n
			for (i = 1; i <= 8; i++) { split("1055 1050 1055 1070 1075 1070 1075 1090", m, " ")
				printf "B%d\t%.6f\t%.6f\n", i, (1490 + 10 * i) / (1 + (a + b * 5) / 1000), m[i] / (1 + (a + b * (29 + i)) / 1000) } }' >"$T/want"
	awk -F'\t' 'FNR == NR { blank[$1] = $2; bat[$1] = $3; next } { n++; if (($2 - blank[$1]) ^ 2 > 1e-9 || ($3 - bat[$1]) ^ 2 > 1e-9) { print; bad = 1 } } END { exit bad || n != 8 }' "$T/want" "$T/got" >"$T/bad" ||
		fail "not the line: $(cat "$T/bad" "$T/want")"
	status 0 wy-weigh -H "$T/h.yaml" --on 2026-12-31 --as=text "$T/b.wy"
	tr '\n' ' ' <"$T/out" | grep -qE 'corrected by the drift of their balance: [0-9]+ weighings of blades by [-+][0-9.]+ to [-+][0-9.]+ g \(s1\); 8 weighings of bats .*; --as-weighed leaves it out' || fail "no word of it: $(cat "$T/out")"
	# before the first check the error is that of its day, after the last that of the last: dated far off, no more is taken off
	sed 's/^2026-02-0\(.\) finish/2027-12-0\1 finish/' "$T/b.wy" >"$T/late.wy"
	status 0 wy-weigh -H "$T/h.yaml" --on 2027-12-31 --pairs --as=tsv --no-header --columns=finished_g "$T/late.wy"
	awk '{ if ($1 < 1048.3) bad = 1 } END { exit bad }' "$T/out" || fail "drawn on: $(cat "$T/out")"
	# as written: without the key, with the option, of another form, of two balances, and without a drift
	wy-weigh --on 2026-12-31 --pairs --as=tsv "$T/b.wy" >"$T/plain"
	wy-weigh -H "$T/h.yaml" --on 2026-12-31 --pairs --as=tsv --as-weighed "$T/b.wy" | cmp -s - "$T/plain" || fail '--as-weighed'
	printf 'works: Small\nmeters: {s1: {kind: balance, weighs: [blade, bat]}, s3: {kind: balance, weighs: [blade, bat]}}\n' >"$T/two.yaml"
	wy-weigh -H "$T/two.yaml" --on 2026-12-31 --pairs --as=tsv "$T/b.wy" | cmp -s - "$T/plain" || fail 'two balances'
	printf 'works: Small\nmeters: {s1: {kind: balance, weighs: [handle]}}\n' >"$T/handle.yaml"
	wy-weigh -H "$T/handle.yaml" --on 2026-12-31 --pairs --as=tsv "$T/b.wy" | cmp -s - "$T/plain" || fail 'another form'
	sed 's/read=1000.5g/read=1000.6g/; s/read=1001.1g/read=999.5g/; s/read=1001.4g/read=1000.2g/' "$T/b.wy" >"$T/still.wy"
	wy-weigh -H "$T/h.yaml" --on 2026-12-31 --pairs --as=tsv "$T/still.wy" | cmp -s - "$T/plain" || fail 'no drift'
	printf 'works: Small\nmeters: {s1: {kind: pin, weighs: [blade]}}\n' >"$T/wrong.yaml"
	status 0 wy-weigh -H "$T/wrong.yaml" "$T/b.wy"
	grep -q "the meter 's1' weighs pieces, but is no balance; set its kind to balance, or remove weighs:" "$T/err" || fail "wrong: $(cat "$T/err")"
	report
}
