# wy-reckon: the words it takes, what it refuses, its forms. The figures' sources are in tests/outside.

bats_require_minimum_version 1.5.0

setup() {
	cd "$BATS_TEST_DIRNAME/.." || return
	PATH="${WITHY_BIN:-$PWD/build/bin}:$PATH"
	unset WITHY_HOUSE
}

@test "reckon: the answer is quantity, value, unit, in full figures" {
	printf 'quantity\tvalue\tunit\n' >"$BATS_TEST_TMPDIR/head"
	wy-reckon emc temp=20C rh=55% --as=tsv >"$BATS_TEST_TMPDIR/out"
	head -n 1 "$BATS_TEST_TMPDIR/out" | cmp - "$BATS_TEST_TMPDIR/head"
	[ "$(wc -l <"$BATS_TEST_TMPDIR/out")" = 2 ]
	awk -F'\t' 'NR == 2 { exit !($1 == "emc" && $3 == "%" && sprintf("%.4f", $2) == "10.1013" && length($2) > 12) }' "$BATS_TEST_TMPDIR/out"
	[ "$(wy-reckon rh temp=20C emc=9% | awk -F'\t' '$1 == "rh" { printf "%.5f %s", $2, $3 }')" = "48.29965 %" ]
}

# Each row: the words after wy-reckon, then what the first row of the answer must be, to the places given.
@test "reckon: every quantity, every way" {
	bad=0
	while IFS='|' read -r words name places value unit; do
		got=$(wy-reckon $words --as=tsv --no-header | awk -F'\t' -v p="$places" 'NR == 1 { printf "%s|%.*f|%s", $1, p, $2, $3 }')
		[ "$got" = "$name|$value|$unit" ] || { echo "$words: $got, not $name|$value|$unit"; bad=1; }
	done <<-END
	emc temp=20C rh=55%|emc|4|10.1013|%
	emc rh=55% temp=68F|emc|4|10.1013|%
	emc temp=40C wetbulb=32C|emc|1|9.8|%
	rh temp=20C emc=9%|rh|5|48.29965|%
	rh temp=20C wetbulb=15C|rh|1|58.9|%
	rh temp=20C wetbulb=15C coefficient=0.000662|rh|2|58.58|%
	rh temp=20C wetbulb=15C altitude=1600m|rh|1|61.4|%
	dewpoint temp=20C rh=55%|dew_point|2|10.68|C
	dewpoint temp=20C wetbulb=20C|dew_point|2|20.00|C
	wetbulb temp=20C rh=58.9225%|wet_bulb|3|15.000|C
	wetbulb temp=20C rh=58.5796% coefficient=0.000662|wet_bulb|3|15.000|C
	mc wet=182.4g dry=80.0g|mc|6|128.000000|%
	mc dry=0.08kg wet=182.4g|mc|6|128.000000|%
	mc wetbasis=20%|mc|6|25.000000|%
	wetbasis mc=25%|wet_basis|6|20.000000|%
	ovendry mass=4.230kg mc=126.6%|oven_dry_mass|3|1.867|kg
	mass mass=1800g mc=10% to=11%|mass|2|1816.36|g
	mass mass=4lb mc=10% to=9%|mass|4|3.9636|lb
	correct reading=12% wood=30C reference=20C per10C=0.9%|mc|6|11.100000|%
	correct reading=12% wood=30C reference=20C per10C=0.9|mc|6|11.100000|%
	correct reading=12% wood=86F reference=20C per10C=0.9 a=0.4 b=0.95|mc|6|10.945000|%
	correct reading=12% wood=0C reference=20C per10C=1.5 a=-0.5%|mc|6|14.500000|%
	convert 2lb9.5oz to=g|mass|7|1176.5052097|g
	convert value=-40C to=F|temperature|1|-40.0|F
	END
	[ "$bad" = 0 ]
}

# Each row: the words, then all rows of the answer, to three places.
@test "reckon: what an answer follows from stands below it" {
	bad=0
	while IFS='|' read -r words want; do
		got=$(wy-reckon $words --as=tsv --no-header | awk -F'\t' '{ printf "%s%s=%.3f%s", (NR > 1 ? " " : ""), $1, $2, $3 }')
		[ "$got" = "$want" ] || { echo "$words: $got, not $want"; bad=1; }
	done <<-END
	emc temp=20C wetbulb=15C|emc=10.799% rh=58.923%
	dewpoint temp=20C wetbulb=20C|dew_point=20.000C rh=100.000%
	wetbulb temp=20C rh=58.9225%|wet_bulb=15.000C depression=5.000C
	ovendry mass=110g mc=10%|oven_dry_mass=100.000g water=10.000g
	mass mass=110g mc=10% to=5%|mass=105.000g change=-5.000g
	correct reading=12% wood=30C reference=20C per10C=0.9 a=0.4 b=0.95|mc=10.945% reading=12.000% wood=30.000C reference=20.000C per10C=0.900% a=0.400% b=0.950
	END
	[ "$bad" = 0 ]
}

# Each row: the words, then a piece of what must be said on standard error; nothing may be answered.
@test "reckon: what is wrong is said, with how to mend it" {
	bad=0
	while IFS='|' read -r words said; do
		status=0
		wy-reckon $words >"$BATS_TEST_TMPDIR/out" 2>"$BATS_TEST_TMPDIR/err" || status=$?
		[ "$status" = 2 ] && [ ! -s "$BATS_TEST_TMPDIR/out" ] && grep -qF -- "$said" "$BATS_TEST_TMPDIR/err" && continue
		echo "$words: status $status, '$(cat "$BATS_TEST_TMPDIR/err")', not '$said'"
		bad=1
	done <<-END
	emc temp=20 rh=55%|temp=20 has no unit; write 20C or 20F
	emc temp=20C rh=0.55|rh=0.55 has no unit; write 0.55%
	mc wet=2.7 dry=80g|2.7 lb is not 2 lb 7 oz
	convert 2lb7 to=g|value=2lb7 ends without a unit
	convert 2kg to=C|'kg' is no unit of value; write one of C, F
	convert 2kg to=stone|to=stone is no unit; write one of %, C, F, g, kg, lb
	emc temp=20K rh=55%|'K' is no unit of temp; write one of C, F
	emc temp=20C rh=110%|rh=110% cannot be; it lies between 0% and 100%
	emc temp=20.0000000000000001C rh=50%|has more digits than can be kept
	emc temp=warm rh=50%|'warm' is no value of temp
	emc temp= rh=50%|'' is no value of temp
	emc temp=20C rh=30%+|'30%+' is no value of rh
	emc tmp=20C rh=55%|'tmp' is no word of emc; did you mean temp?
	emc temp=20C temp=21C rh=55%|temp is given twice
	emc temp=20C|lacking: rh, as in rh=55%; or wetbulb, as in wetbulb=15C
	mc|lacking: wet and dry, as in wet=182.4g dry=80.0g; or wetbasis
	emc temp=20C rh=55% wetbulb=15C|do not go together
	emc 20C rh=55%|'20C' has no name; write temp=20C
	emx temp=20C|did you mean emc?
	temp=20C rh=55%|say first what to reckon
	-- |say what to reckon
	emc temp=150C rh=55%|does not hold at 150 C; it serves from -40 to 132.5 C
	rh temp=20C emc=30%|no air of 20 C keeps wood at 30 %: at 100 % humidity it settles at 28.8 %
	rh temp=150C emc=9%|does not hold at 150 C
	rh temp=20C wetbulb=21C|cannot be above the dry bulb
	rh temp=20C wetbulb=-1C|a wick below 0 C is frozen
	rh temp=20C wetbulb=1C|is the wick dry
	rh temp=120C wetbulb=90C|water boils
	rh temp=20C wetbulb=15C coefficient=0|coefficient is above 0
	wetbulb temp=2C rh=20%|the wet bulb would be below 0 C
	dewpoint temp=20C rh=0%|no dew point
	mc wet=70g dry=80g|lighter than dry=80g: are they changed over?
	mc wet=70g dry=0g|without an oven-dry mass
	mc wetbasis=100%|the water is less than the whole
	ovendry mass=0g mc=10%|weighs more than nothing
	mass mass=0g mc=10% to=9%|weighs more than nothing
	correct reading=12% wood=30C reference=20C per10C=x|'x' is no number for per10C
	correct reading=12% wood=30C reference=20C per10C=0.9 b=.9|'.9' is no number for b
	correct reading=12% wood=30C reference=20C per10C=0.9 b=5%|'5%' is no number for b
	correct reading=12% wood=30C reference=20C per10C=0.9 b=0.9500000000000000|is no number for b
	correct reading=1% wood=90C reference=20C per10C=1.6|less water than none
	emc temp=20C rh=55% --as=pdf|pdf
	END
	[ "$bad" = 0 ]
}

@test "reckon: all that is wrong is said at once" {
	run -2 wy-reckon emc tmp=20C hr=55% hr=50%
	[ "${#lines[@]}" = 3 ]
	run -2 wy-reckon emc temp=20 rh=55
	[ "${#lines[@]}" = 2 ]
}

# A caution stands where it is seen: in notes for readers, on standard error for machines.
@test "reckon: extrapolations and doubtful readings are told in every form" {
	bad=0
	while IFS='|' read -r words said; do
		for form in tsv csv json; do
			wy-reckon $words --as=$form 2>&1 >/dev/null | grep -qF "$said" || { echo "$form: $words"; bad=1; }
		done
		for form in text md html; do
			wy-reckon $words --as=$form 2>/dev/null | grep -qF "Caution: $said" || { echo "$form: $words"; bad=1; }
			[ -z "$(wy-reckon $words --as=$form 2>&1 >/dev/null)" ] || { echo "$form said twice: $words"; bad=1; }
		done
	done <<-END
	emc temp=-20C rh=55%|this lies outside the published table
	emc temp=20C rh=96%|this lies outside the published table
	rh temp=20C emc=27%|this lies outside the published table
	dewpoint temp=70C rh=50%|the constants of the dew point
	correct reading=31% wood=20C reference=20C per10C=0.9|a meter is not to be trusted at 31 %
	correct reading=6% wood=20C reference=20C per10C=0.9|a meter is not to be trusted at 6 %
	END
	[ "$bad" = 0 ]
	[ -z "$(wy-reckon emc temp=20C rh=55% 2>&1 >/dev/null)" ]
	wy-reckon emc temp=20C rh=55% --as=text | grep -q 'good to about 1 point'
	wy-reckon convert 1176.5g to=lb --as=text | grep -qx 'That is 2lb9.5oz'
}

# A house with a meter for each case; the day chooses among the lines of the works' own.
house() {
	cat >"$BATS_TEST_TMPDIR/house.yaml" <<-END
	works: Waiora Bats
	clock: Pacific/Auckland
	meters:
	  pin2:
	    {kind: pin, trust: 8..25%, reference: 20C, per10C: 0.9, rule: "the maker's leaflet", settings: {"": willow, cane: cane},
	     own: [{date: 2026-05-01, a: 0.4, b: 0.95, pairs: 12, sd: 0.3, span: 9..20%}, {date: 2026-05-01, from: 2026-08-01, a: 1, b: 0.9, pairs: 14, sd: 0.3}]}
	  pin3: {kind: pin}
	  cap1: {kind: capacitance, own: [{date: 2026-05-01, a: -0.5, b: 1, pairs: 10, sd: 0.4}]}
	  hyg1: {kind: hygrometer}
	END
	export WITHY_HOUSE="$BATS_TEST_TMPDIR/house.yaml"
}

@test "reckon: a reading by the house's rule of the day" {
	house
	bad=0
	while IFS='|' read -r words want; do
		got=$(wy-reckon correct $words --as=tsv --no-header | awk -F'\t' '{ printf "%s%s=%.3f", (NR > 1 ? " " : ""), $1, $2 }')
		[ "$got" = "$want" ] || { echo "$words: $got, not $want"; bad=1; }
	done <<-END
	reading=12% wood=30C meter=pin2 --on 2026-04-30|mc=11.100 reading=12.000 wood=30.000 reference=20.000 per10C=0.900 a=0.000 b=1.000
	reading=12% wood=30C meter=pin2 --on 2026-05-01|mc=10.945 reading=12.000 wood=30.000 reference=20.000 per10C=0.900 a=0.400 b=0.950
	reading=12% wood=30C meter=pin2 --on 2026-08-01|mc=10.990 reading=12.000 wood=30.000 reference=20.000 per10C=0.900 a=1.000 b=0.900
	reading=12% wood=30C meter=pin2/cane --on 2026-08-01|mc=11.100 reading=12.000 wood=30.000 reference=20.000 per10C=0.900 a=0.000 b=1.000
	reading=12% wood=30C meter=cap1 --on 2026-05-01|mc=11.500 reading=12.000 wood=30.000 reference=30.000 per10C=0.000 a=-0.500 b=1.000
	END
	[ "$bad" = 0 ]
	wy-reckon correct reading=12% wood=30C meter=pin2 --on 2026-05-01 --as=text >"$BATS_TEST_TMPDIR/out"
	grep -qx "By the house's rule: 0.9 points per 10 C above 20 C, then 0.4 + 0.95 x reading (the maker's leaflet)." "$BATS_TEST_TMPDIR/out"
}

@test "reckon: what the house cannot answer is refused, what it doubts is told" {
	house
	bad=0
	while IFS='|' read -r status words said; do
		got=0
		wy-reckon correct $words >"$BATS_TEST_TMPDIR/out" 2>"$BATS_TEST_TMPDIR/err" || got=$?
		[ "$got" = "$status" ] && grep -qF -- "$said" "$BATS_TEST_TMPDIR/err" && continue
		echo "$words: status $got, '$(cat "$BATS_TEST_TMPDIR/err")', not '$said'"
		bad=1
	done <<-END
	2|reading=12% wood=30C meter=pen2|has no meter 'pen2'; did you mean pin2?
	2|reading=12% wood=30C meter=pin2/oak|no such setting of a meter: 'pin2/oak'
	2|reading=12% wood=30C meter=hyg1|does not read the moisture of wood
	2|reading=12% wood=30C meter=pin3|gives no rule for 'pin3'
	2|reading=12% wood=30C meter=cap1 --on 2026-04-30|gives no rule for 'cap1'
	2|reading=12% wood=30C meter=pin2 -H $BATS_TEST_TMPDIR/none.yaml|none.yaml
	0|reading=7.9% wood=20C meter=pin2 --on 2026-04-30|it serves from 8 to 25 %
	0|reading=22% wood=20C meter=pin2 --on 2026-05-01|not fitted to readings as far out
	END
	[ "$bad" = 0 ]
	[ -z "$(wy-reckon correct reading=20% wood=20C meter=pin2 --on 2026-05-01 2>&1 >/dev/null)" ]
	echo 'meters: {pin2: {kind: spade}}' >"$WITHY_HOUSE"
	run -2 wy-reckon correct reading=12% wood=30C meter=pin2
	[[ "$output" == *"house.yaml:1:"*error* ]]
}

@test "reckon: every quantity has help with words that work" {
	bad=0
	quantities=$(wy-reckon --list --no-header | cut -f1 | uniq)
	[ "$(echo "$quantities" | wc -l)" -ge 10 ]
	for q in $quantities; do
		wy-reckon $q --help >"$BATS_TEST_TMPDIR/help" || bad=1
		grep -q "^usage: wy-reckon $q " "$BATS_TEST_TMPDIR/help" || { echo "$q: no usage"; bad=1; }
		example=$(sed -n '/^example:/,$p' "$BATS_TEST_TMPDIR/help" | sed -n 2p)
		$example >/dev/null || { echo "$q: '$example' does not work"; bad=1; }
		wy-reckon --help | grep -q "^  $q " || { echo "$q: not in the general help"; bad=1; }
		grep -q "^\.It Cm $q " tools/wy-reckon.1 || { echo "$q: not in the page"; bad=1; }
	done
	[ "$bad" = 0 ]
}

# The list's own samples, the words that can be left out among them.
@test "reckon: every way of the list works" {
	bad=0
	wy-reckon --list --no-header | cut -f1,2 | tr -d '[]' | tr '\t' ' ' >"$BATS_TEST_TMPDIR/ways"
	[ "$(wc -l <"$BATS_TEST_TMPDIR/ways")" -ge 15 ]
	house
	while read -r words; do
		wy-reckon $words >/dev/null || { echo "$words"; bad=1; }
	done <"$BATS_TEST_TMPDIR/ways"
	[ "$bad" = 0 ]
}

@test "reckon: the page's examples print what it says" {
	awk -v dir="$BATS_TEST_TMPDIR" '
		/^\$ wy-/ { n++; print substr($0, 3) >(dir "/cmd." n); printf "" >(dir "/want." n); on = 1; next }
		/^\.Ed/ { on = 0 }
		on { print >(dir "/want." n) }
		END { print n >(dir "/count") }' tools/wy-reckon.1
	n=$(cat "$BATS_TEST_TMPDIR/count")
	[ "$n" -ge 5 ]
	for i in $(seq "$n"); do
		sh "$BATS_TEST_TMPDIR/cmd.$i" >"$BATS_TEST_TMPDIR/got.$i"
		diff "$BATS_TEST_TMPDIR/want.$i" "$BATS_TEST_TMPDIR/got.$i"
	done
	mandoc -T lint -W warning tools/wy-reckon.1
}

@test "reckon: a full disk and a closed output are seen" {
	status=0
	wy-reckon emc temp=20C rh=55% >/dev/full 2>"$BATS_TEST_TMPDIR/err" || status=$?
	[ "$status" = 2 ]
	status=0
	wy-reckon emc temp=20C rh=55% >&- 2>"$BATS_TEST_TMPDIR/err" || status=$?
	[ "$status" = 2 ]
	[ -s "$BATS_TEST_TMPDIR/err" ]
}
