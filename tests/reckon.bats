# wy-reckon: the words it takes, what it refuses, its forms. The figures' sources are in tests/outside.

load lib/common
load lib/screen

setup() {
	at_root
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
	depression temp=20C depression=5C|rh|4|58.9225|%
	depression temp=68F depression=9F|rh|4|58.9225|%
	depression temp=20C depression=5C coefficient=0.000662|rh|2|58.58|%
	equalize temp=40C target=10%|emc|6|8.000000|%
	movement size=38mm from=12% to=9% coefficient=0.0020|movement|6|-0.228000|mm
	movement size=38mm from=9% to=12% coefficient=0.0020|movement|6|0.228000|mm
	movement size=4in from=12% to=9% coefficient=0.00308|movement|6|-0.036960|in
	movement size=100mm from=12% to=9% shrinkage=8.7%|movement|4|-0.9236|mm
	splice width=38mm handle=12% handleto=9% blade=9% bladeto=9% cane=0.0020 willow=0.00112|gap|6|0.228000|mm
	splice width=38mm handle=12% handleto=9% blade=9% cane=0.0020|gap|6|0.228000|mm
	splice width=38mm handle=12% handleto=9% blade=10% bladeto=9% cane=0.0020 willow=0.00112|gap|6|0.185440|mm
	splice width=3.8cm handle=9% handleto=12% blade=9% cane=0.0020 willow=0.00112|gap|6|-0.022800|cm
	drying from=28% to=10% emc=8% k=0.1189|time|1|19.4|d
	drying from=28% to=10% emc=8% then=22% after=3d|time|3|19.367|d
	drying from=28% to=10% emc=8% then=22% after=72h|time|3|19.367|d
	tolerance n=4 cover=90% sure=95%|k1|6|4.161933|
	tolerance n=43 cover=90% sure=99%|k1|6|1.873954|
	tolerance n=2 cover=90% sure=99.9%|k1|4|1030.3361|
	tolerance n=2 cover=99% sure=99.8%|k1|4|928.1146|
	tolerance n=2 cover=50% sure=50%|k1|6|0.000000|
	tolerance n=4 sure=95% mean=9% sd=0.186287% low=8% high=10%|share|3|90.000|%
	tolerance n=4 sure=95% mean=9% sd=0.240273% low=8%|share|3|90.000|%
	tolerance n=4 sure=95% mean=9% sd=0.240273% high=10%|share|3|90.000|%
	tolerance n=4 sure=95% mean=11% sd=0.2% low=8% high=10%|share|3|0.000|%
	sample cover=90% sure=95%|pieces|0|29|
	sample cover=90% sure=95% bad=5|pieces|0|103|
	sample cover=90% sure=95% all=3500|pieces|0|29|
	sample cover=90% sure=95% all=34|pieces|0|18|
	share k=3 n=50 sure=95%|share|6|0.060000|
	convert 2lb9.5oz to=g|mass|7|1176.5052097|g
	convert value=-40C to=F|temperature|1|-40.0|F
	END
	[ "$bad" = 0 ]
}

# Each row: the words, then all rows of the answer, to three places.
@test "reckon: the figures behind an answer are below it" {
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
	depression temp=68F depression=9F|rh=58.923% emc=10.799% wet_bulb=15.000C
	equalize temp=40C target=10%|emc=8.000% rh=45.994% wet_bulb=29.343C depression=10.657C
	movement size=38mm from=12% to=9% coefficient=0.0020|movement=-0.228mm size=37.772mm coefficient=0.002
	splice width=38mm handle=12% handleto=9% blade=10% bladeto=9% cane=0.0020 willow=0.00112|gap=0.185mm handle_movement=-0.228mm blade_movement=-0.043mm cane=0.002 willow=0.001
	splice width=38mm handle=12% handleto=9% blade=9% cane=0.0020|gap=0.228mm handle_movement=-0.228mm blade_movement=0.000mm cane=0.002 willow=0.000
	drying from=28% to=10% emc=8% then=22% after=3d|time=19.367d left=16.367d k=0.1191/d
	drying from=28% to=22.5% emc=8% then=22% after=3d|time=2.705d left=0.000d k=0.1191/d
	tolerance n=4 cover=90% sure=95% mean=9% sd=0.5%|k1=4.162 k2=5.368 low=6.316% high=11.684% low_alone=6.919% high_alone=11.081%
	sample cover=90% sure=95% bad=1|pieces=46.000 one_end=29.000 both_ends=46.000
	share k=3 n=50 sure=95%|share=0.060 lower=0.013 upper=0.165 lower_alone=0.017 upper_alone=0.148 wilson_lower=0.021 wilson_upper=0.162
	share k=0 n=4 sure=95% all=3500|share=0.000 lower=0.000 upper=0.602 lower_alone=0.000 upper_alone=0.527 fewest=0.000 most=2107.000
	share k=34 n=34 sure=95% all=34|share=1.000 lower=1.000 upper=1.000 lower_alone=1.000 upper_alone=1.000 fewest=34.000 most=34.000
	correct reading=12% wood=30C reference=20C per10C=0.9 a=0.4 b=0.95|mc=10.945% reading=12.000% wood=30.000C reference=20.000C per10C=0.900% a=0.400% b=0.950
	END
	[ "$bad" = 0 ]
}

# Each row: the words, then a piece of what must be said on standard error; nothing may be answered.
@test "reckon: what is wrong is reported, with a correction" {
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
	convert 2kg to=C|'kg' is not a unit of value; write one of C, F
	convert 2kg to=stone|to=stone is not a unit; write one of %, C, F, g, kg, lb
	emc temp=20K rh=55%|'K' is not a unit of temp; write one of C, F
	emc temp=20C rh=110%|rh=110% is out of range; write a value between 0% and 100%
	emc temp=20.0000000000000001C rh=50%|has more than 15 digits
	emc temp=warm rh=50%|'warm' is not a valid temperature for temp
	convert 1m3 to=ft|'1m3' is not a valid length for value; write one number
	emc temp= rh=50%|'' is not a valid temperature for temp
	emc temp=20C rh=30%+|'30%+' is not a valid humidity for rh
	emc tmp=20C rh=55%|'tmp' is not a word of emc; perhaps temp?
	emc temp=20C temp=21C rh=55%|temp is given twice
	emc temp=20C|missing: rh, as in rh=55%; or wetbulb, as in wetbulb=15C
	mc|missing: wet and dry, as in wet=182.4g dry=80.0g; or wetbasis
	emc temp=20C rh=55% wetbulb=15C|do not go together
	emc 20C rh=55%|'20C' has no name; write temp=20C
	emx temp=20C|perhaps emc?
	temp=20C rh=55%|name a quantity before temp=20C, as in emc temp=20C rh=55%
	-- |name a quantity; --list prints all of them
	emc temp=150C rh=55%|does not hold at 150 C; its range is -40 to 132.5 C
	rh temp=20C emc=30%|no air of 20 C keeps wood at 30 %: at 100 % humidity it equilibrates at 28.8 %
	rh temp=150C emc=9%|does not hold at 150 C
	rh temp=20C wetbulb=21C|cannot be above the dry bulb
	rh temp=20C wetbulb=-1C|a wick below 0 C is frozen
	rh temp=20C wetbulb=1C|is the wick dry
	rh temp=120C wetbulb=90C|water boils
	rh temp=20C wetbulb=15C coefficient=0|coefficient must be above 0
	wetbulb temp=2C rh=20%|the wet bulb would be below 0 C
	dewpoint temp=20C rh=0%|no dew point
	mc wet=70g dry=80g|lighter than dry=80g: are they swapped?
	mc wet=70g dry=0g|dry=0g must be above 0: it is the oven-dry mass
	mc wetbasis=100%|wetbasis=100% must be below 100%
	ovendry mass=0g mc=10%|mass=0g must be above 0
	mass mass=0g mc=10% to=9%|mass=0g must be above 0
	correct reading=12% wood=30C reference=20C per10C=x|'x' is not a valid number for per10C
	correct reading=12% wood=30C reference=20C per10C=0.9 b=.9|'.9' is not a valid number for b
	correct reading=12% wood=30C reference=20C per10C=0.9 b=5%|'5%' is not a valid number for b
	correct reading=12% wood=30C reference=20C per10C=0.9 b=0.9500000000000000|is not a valid number for b
	correct reading=1% wood=90C reference=20C per10C=1.6|which is below 0; check the reading and the rule
	depression temp=20C depression=5|depression=5 has no unit; write 5C or 5F
	depression temp=20C depression=-5C|is below 0; write the dry bulb less the wet bulb
	depression temp=20C depression=5K|write 5C or 9F, which are the same
	depression temp=20C depression=19C|is the wick dry
	depression temp=20C depression=21C|a wick below 0 C is frozen
	equalize temp=40C target=2%|must be above that
	equalize temp=40C target=40%|no air of 40 C keeps wood at 38 %
	equalize temp=120C target=4%|water boils
	movement size=38mm from=45% to=9% coefficient=0.002|write from=30%
	movement size=38mm from=12% to=31% coefficient=0.002|write to=30%
	movement size=0mm from=12% to=9% coefficient=0.002|size=0mm must be above 0
	movement size=38mm from=12% to=9% coefficient=0|a coefficient of movement must be above 0 and below 0.1
	movement size=38mm from=12% to=9% coefficient=2|a coefficient of movement must be above 0 and below 0.1
	movement size=38mm from=12% to=9% shrinkage=100%|a coefficient of movement must be above 0 and below 0.1
	movement size=38mm from=12% to=9% wood=willow direction=sideways|direction=sideways is not a direction
	movement size=38mm from=12% to=9%|missing: coefficient, as in coefficient=0.00308; or shrinkage
	splice width=38mm handle=12% handleto=9% blade=9%|no gap can be calculated without a coefficient of the cane: no reliable one is published
	splice width=38mm handle=12% handleto=9% blade=9%|measure it: mark a line across the splice end of ten handles
	splice width=38mm handle=12% handleto=9% blade=9% willow=0.00112|no gap can be calculated
	splice width=38mm handle=12% handleto=9% blade=10% bladeto=9% cane=0.002|the blade moves too
	splice width=38mm handle=12% handleto=9% blade=9% cane=0 willow=0.001|a coefficient of movement must be above 0 and below 0.1
	splice width=38mm handle=12% handleto=9% blade=9% cane=0.002 willow=0|a coefficient of movement must be above 0 and below 0.1
	splice width=0mm handle=12% handleto=9% blade=9% cane=0.002|width=0mm must be above 0
	splice width=38mm handle=35% handleto=9% blade=9% cane=0.002|write handle=30%
	drying from=28% to=8% emc=8% k=0.1|to=8% is never reached in air with an EMC of 8%; use drier air
	drying from=28% to=7% emc=8% k=0.1|is never reached
	drying from=8% to=7% emc=8% k=0.1|from=8% is not above the air's EMC of 8%: wood does not dry in that air
	drying from=28% to=29% emc=8% k=0.1|to=29% is above from=28%; write a lower moisture
	drying from=28% to=10% emc=8% k=0|k=0 must be above 0
	drying from=28% to=10% emc=8% k=-1|k=-1 must be above 0
	drying from=28% to=10% emc=8% then=28% after=3d|they give no rate
	drying from=28% to=10% emc=8% then=8% after=3d|they give no rate
	drying from=28% to=10% emc=8% then=22% after=0d|after=0d must be above 0
	drying from=28% to=10% emc=8% then=22% after=3|after=3 has no unit; write 3h, 3d or 3w
	tolerance n=1 cover=90% sure=95%|n=1 must be at least 2
	tolerance n=4.5 cover=90% sure=95%|'4.5' is not a valid count for n; write one whole number
	tolerance n=4 cover=100% sure=95%|cover=100% must be above 0% and below 100%; no sample can show all
	tolerance n=4 cover=90% sure=0%|sure=0% must be above 0%
	tolerance n=4 cover=90 sure=95%|cover=90 has no unit; write 90%
	tolerance n=4 cover=90% sure=95% mean=9%|missing: sd, as in sd=0.3%
	tolerance n=4 cover=90% sure=95% mean=9% sd=0|sd=0 must be above 0
	tolerance n=4 sure=95% mean=9% sd=0.3|needs low= or high=
	tolerance n=4 sure=95% mean=9% sd=0.3 low=10% high=8%|low=10% is not below high=8%
	sample cover=99.99999% sure=95%|no sample can show all
	sample cover=99.9999% sure=99.9999% bad=999999|no practical sample can show that
	sample cover=90% sure=95% all=10 bad=2|conforms with that many out of band
	sample cover=90% sure=95% all=0|all=0 must be at least 1
	share k=5 n=4 sure=95%|k=5 is above n=4
	share k=0 n=0 sure=95%|n=0 must be at least 1
	share k=3 n=50 sure=95% all=49|all=49 is below n=50; the lot includes the sample
	share k=3 n=50 sure=100%|no sample can show all
	share k=3 n=1000001 sure=95%|n=1000001 is too large; at most 1000000 pieces are possible
	share k=3 n=50 sure=95% all=1000001|is too large; at most 1000000 pieces
	sample cover=90% sure=95% all=1000001|is too large; at most 1000000 pieces
	tolerance n=1000001 cover=90% sure=95%|is too large; at most 1000000 pieces
	tolerance n=1000001 sure=95% mean=9% sd=0.3 low=8%|is too large; at most 1000000 pieces
	emc temp=20C rh=55% --prefix=a_|--prefix needs a table, as in temp=@COLUMN
	emc temp=20C rh=55% --as=pdf|pdf
	END
	[ "$bad" = 0 ]
}

@test "reckon: everything wrong is reported at once" {
	run -2 wy-reckon emc tmp=20C hr=55% hr=50%
	[ "${#lines[@]}" = 3 ]
	run -2 wy-reckon emc temp=20 rh=55
	[ "${#lines[@]}" = 2 ]
}

# A caution is a note for readers, and a message on standard error for machines.
@test "reckon: extrapolations and doubtful readings are reported in every form" {
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
	dewpoint temp=70C rh=50%|the constants of the dew point hold from -45 to 60 C
	movement size=38mm from=5.9% to=9% coefficient=0.002|the movement is published for moistures of 6 to 14 %
	movement size=38mm from=14.1% to=9% coefficient=0.002|the movement is published for moistures of 6 to 14 %
	splice width=38mm handle=20% handleto=9% blade=9% cane=0.0020 willow=0.00112|the movement is published
	splice width=38mm handle=12% handleto=9% blade=15% bladeto=9% cane=0.0020 willow=0.00112|the movement is published
	drying from=31% to=10% emc=8% k=0.1|above the fibre saturation point, about 30 %
	correct reading=31% wood=20C reference=20C per10C=0.9|a reading of 31 % is outside the trusted range
	correct reading=6% wood=20C reference=20C per10C=0.9|a reading of 6 % is outside the trusted range
	END
	[ "$bad" = 0 ]
	for words in 'emc temp=20C rh=55%' 'movement size=38mm from=6% to=14% coefficient=0.002' 'drying from=30% to=10% emc=8% k=0.1'; do
		[ -z "$(wy-reckon $words 2>&1 >/dev/null)" ] || { echo "$words"; bad=1; }
	done
	[ "$bad" = 0 ]
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
	wood:
	  willow: {forms: [cleft, blade], constants: [{of: radial, value: 0.00112, by: handbook, source: a table}, {of: tangential, value: 0.00308, by: handbook, source: a table}]}
	  cane: {forms: [handle], constants: [{of: radial, value: 0.0019, by: own, source: bench book}]}
	splice: {most-apart: 3%, most-gap: 0.3mm}
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
	grep -qx "Rule of the house file: 0.9 points per 10 C above 20 C, then 0.4 + 0.95 x reading (the maker's leaflet)." "$BATS_TEST_TMPDIR/out"
}

@test "reckon: movement and the splice by the house's constants" {
	house
	bad=0
	while IFS='|' read -r words want; do
		got=$(wy-reckon $words --as=tsv --no-header 2>&1 | awk -F'\t' '{ printf "%s%s=%.4f", (NR > 1 ? " " : ""), $1, $2 }')
		[ "$got" = "$want" ] || { echo "$words: $got, not $want"; bad=1; }
	done <<-END
	movement size=100mm from=12% to=9% wood=willow direction=tangential|movement=-0.9240 size=99.0760 coefficient=0.0031
	movement size=100mm from=12% to=9% wood=willow direction=radial|movement=-0.3360 size=99.6640 coefficient=0.0011
	splice width=38mm handle=12% handleto=9% blade=10% bladeto=9%|gap=0.1740 handle_movement=-0.2166 blade_movement=-0.0426 cane=0.0019 willow=0.0011
	splice width=38mm handle=12% handleto=9% blade=10% bladeto=9% cane=0.0020|gap=0.1854 handle_movement=-0.2280 blade_movement=-0.0426 cane=0.0020 willow=0.0011
	END
	while IFS='|' read -r status words said; do
		got=0
		wy-reckon $words >"$BATS_TEST_TMPDIR/out" 2>"$BATS_TEST_TMPDIR/err" || got=$?
		[ "$got" = "$status" ] && grep -qF -- "$said" "$BATS_TEST_TMPDIR/err" && continue
		echo "$words: status $got, '$(cat "$BATS_TEST_TMPDIR/err")', not '$said'"
		bad=1
	done <<-END
	2|movement size=100mm from=12% to=9% wood=wilow direction=radial|has no wood 'wilow'; perhaps willow?
	2|movement size=100mm from=12% to=9% wood=cane direction=axial|has no axial coefficient of 'cane'
	0|splice width=38mm handle=13.5% handleto=9% blade=9%|the gap is wider than the 0.3 mm that the house file allows
	0|splice width=38mm handle=13% handleto=12% blade=9%|handle and blade are 4 points apart, more than the 3
	END
	[ "$bad" = 0 ]
	[ -z "$(wy-reckon splice width=38mm handle=12% handleto=9% blade=9% 2>&1 >/dev/null)" ]
	wy-reckon splice width=38mm handle=12% handleto=9% blade=9% --as=text | grep -qx 'cane, radial: 0.0019 a point, measured by the works (bench book).'
}

@test "reckon: what the house file cannot answer is refused, what it doubts is reported" {
	house
	bad=0
	while IFS='|' read -r status words said; do
		got=0
		wy-reckon correct $words >"$BATS_TEST_TMPDIR/out" 2>"$BATS_TEST_TMPDIR/err" || got=$?
		[ "$got" = "$status" ] && grep -qF -- "$said" "$BATS_TEST_TMPDIR/err" && continue
		echo "$words: status $got, '$(cat "$BATS_TEST_TMPDIR/err")', not '$said'"
		bad=1
	done <<-END
	2|reading=12% wood=30C meter=pen2|has no meter 'pen2'; perhaps pin2?
	2|reading=12% wood=30C meter=pin2/oak|has no meter setting 'pin2/oak'
	2|reading=12% wood=30C meter=hyg1|does not read the moisture of wood
	2|reading=12% wood=30C meter=pin3|has no rule for 'pin3'
	2|reading=12% wood=30C meter=cap1 --on 2026-04-30|has no rule for 'cap1'
	2|reading=12% wood=30C meter=pin2 -H $BATS_TEST_TMPDIR/none.yaml|none.yaml
	0|reading=7.9% wood=20C meter=pin2 --on 2026-04-30|is outside the trusted range of 8 to 25 %
	0|reading=22% wood=20C meter=pin2 --on 2026-05-01|is outside the span of the meter's own line
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

# `$ cat FILE` shows a file, `$ wy-...` is run beside it.
@test "reckon: the page's examples print what it says" {
	awk -v dir="$BATS_TEST_TMPDIR" '
		/^\$ cat / { file = dir "/" $3; printf "" >file; on = 1; next }
		/^\$ wy-/ { n++; print substr($0, 3) >(dir "/cmd." n); file = dir "/want." n; printf "" >file; on = 1; next }
		/^\.Ed/ { on = 0 }
		on { print >file }
		END { print n >(dir "/count") }' tools/wy-reckon.1
	n=$(cat "$BATS_TEST_TMPDIR/count")
	[ "$n" -ge 10 ]
	mandoc -T lint -W warning tools/wy-reckon.1
	cd "$BATS_TEST_TMPDIR"
	for i in $(seq "$n"); do
		sh "cmd.$i" >"got.$i" 2>>told || true
		diff "want.$i" "got.$i"
	done
	[ "$(cat told)" = "wy-reckon emc: 1 of 3 rows has no answer: line 3: rh_pct is empty" ]
}

# ---- tables

# Each row: the words, the table in and the table out with , for a tab and ; for a line end.
@test "reckon: a table in, the same table with columns out" {
	bad=0
	while IFS='|' read -r words in want; do
		printf '%s' "$in" | tr ',;' '\t\n' >"$BATS_TEST_TMPDIR/in"
		got=$(wy-reckon $words <"$BATS_TEST_TMPDIR/in" | tr '\t\n' ',;')
		[ "$got" = "$want" ] || { echo "$words: $got, not $want"; bad=1; }
	done <<-END
	ovendry mass=@m_g mc=@mc_pct|id,m_g,mc_pct;a,110,10;b,220.5,5;|id,m_g,mc_pct,oven_dry_mass_g,water_g;a,110,10,100,10;b,220.5,5,210,10.5;
	ovendry mass=@m_kg mc=10%|m_kg;1.1;|m_kg,oven_dry_mass_kg,water_kg;1.1,1,0.1;
	ovendry mass=@m:kg mc=@w:%|m,w;1.1,10;|m,w,oven_dry_mass_kg,water_kg;1.1,10,1,0.1;
	ovendry mass=@m mc=@w|m,w;1.1kg,10%;550g,10%;|m,w,oven_dry_mass_g,water_g;1.1kg,10%,1000,100;550g,10%,500,50;
	convert @m_lb to=oz|m_lb;2lb12oz;5.5lb;5.5;32oz;|m_lb,mass_oz;2lb12oz,44;5.5lb,88;5.5,88;32oz,32;
	wetbasis mc=@mc_pct --prefix=x_|mc_pct;25;|mc_pct,x_wet_basis_pct;25,20;
	wetbasis mc=@mc_pct --no-header|mc_pct;25;|25,20;
	wetbasis mc=@mc_pct|mc_pct;2.5e1;2.50000000000000000e+01;  25 ;|mc_pct,wet_basis_pct;2.5e1,20;2.50000000000000000e+01,20;  25 ,20;
	wetbasis mc=@mc_pct|mc_pct;|mc_pct,wet_basis_pct;
	wetbasis mc=@a:b|a:b;25%;|a:b,wet_basis_pct;25%,20;
	convert @m_g to=kg|m_g;1500;|m_g,mass_kg;1500,1.5;
	convert value=@t_c to=F|t_c;-40;20;|t_c,temperature_f;-40,-40;20,68;
	convert @t:F to=C|t;212;|t,temperature_c;212,100;
	drying from=@a_pct to=13% emc=8% then=13% after=@after_days|a_pct,after_days;18,10;|a_pct,after_days,time_days,left_days,k_per_day;18,10,10,0,0.06931471805599453;
	share k=@k n=@n sure=95% all=@all|k,n,all;4,4,4;|k,n,all,share,lower,upper,lower_alone,upper_alone,fewest,most;4,4,4,1,1,1,1,1,4,4;
	splice width=38mm handle=@h_pct handleto=9% blade=9% cane=0.0020|h_pct;9;|h_pct,gap_mm,handle_movement_mm,blade_movement_mm,cane,willow;9,0,0,0,0.002,;
	correct reading=@r_pct wood=@w_c reference=20C per10C=@p|r_pct,w_c,p;12,30,1;|r_pct,w_c,p,mc_pct,reading_pct,wood_c,reference_c,per10c_pct,a_pct,b;12,30,1,11,12,30,20,1,0,1;
	END
	[ "$bad" = 0 ]
}
@test "reckon: a CSV stays one: quotes, line ends, byte-order mark" {
	printf '\357\273\277"mc, pct:",note,mc_pct\r\n1,"a ""b"", c",25\r\n2,"two\nlines",25%%\r\n3,,' >"$BATS_TEST_TMPDIR/in"
	printf '\357\273\277"mc, pct:",note,mc_pct,wet_basis_pct\r\n1,"a ""b"", c",25,20\r\n2,"two\nlines",25%%,20\r\n3,,,\r\n' >"$BATS_TEST_TMPDIR/want"
	status=0
	wy-reckon wetbasis mc=@mc_pct <"$BATS_TEST_TMPDIR/in" >"$BATS_TEST_TMPDIR/out" 2>"$BATS_TEST_TMPDIR/err" || status=$?
	[ "$status" = 1 ]
	cmp "$BATS_TEST_TMPDIR/out" "$BATS_TEST_TMPDIR/want"
	[ "$(cat "$BATS_TEST_TMPDIR/err")" = "wy-reckon wetbasis: 1 of 3 rows has no answer: line 5: mc_pct is empty" ]
}

# Each row: the words, the table (as above), the status, what is said.
@test "reckon: what is wrong with a table is said, rows without an answer are counted" {
	bad=0
	house
	while IFS='|' read -r words in want said; do
		status=0
		printf '%s' "$in" | tr ',;' '\t\n' | wy-reckon $words >"$BATS_TEST_TMPDIR/out" 2>"$BATS_TEST_TMPDIR/err" || status=$?
		[ "$status" = "$want" ] && grep -qF -- "$said" "$BATS_TEST_TMPDIR/err" && continue
		echo "$words: status $status, '$(cat "$BATS_TEST_TMPDIR/err")', not $want '$said'"
		bad=1
	done <<-END
	emc temp=@temp_k rh=50%|temp_c;20;|2|the table has no column 'temp_k'; perhaps temp_c?
	emc temp=@t_c rh=@t_c|t_c;20;|2|the name of the column 't_c' ends in the unit C, which is not a unit of rh; give the unit: rh=@t_c:%
	emc temp=@t:K rh=50%|t;20;|2|'K' is not a unit of temp; write one of C, F
	emc temp=@t:g rh=50%|t;20;|2|'g' is not a unit of temp; write one of C, F
	emc temp=@t_c rh=50%|t_c,t_c;20,21;|2|the table has more than one column 't_c'
	emc temp=@t_c rh=50%|t_c,emc_pct;20,9;|2|the table already has a column 'emc_pct'; --prefix=TEXT
	emc temp=@t_c rh=50|t_c;20;|2|rh=50 has no unit; write 50%
	emc temp=@t_c rh=50%||2|standard input has no table
	emc temp=@t_c|t_c;20;|2|missing: rh
	emc temp=@t_c rh=50% --as=csv|t_c;20;|2|leave out --as
	convert @m_g to=@u|m_g,u;20,kg;|2|cannot change from row to row
	emc temp=@t_c rh=50%|t_c,a;20,1;21;|2|standard input:3: the line has 1 cell, the header row has 2
	emc temp=@t_c rh=50%|t_c;20;#! incomplete;|2|standard input:3: the table ends here with '#! incomplete'
	emc temp=@t_c rh=@rh_pct|t_c,rh_pct;20,50;20,;20,110;|1|2 of 3 rows have no answer; the first is line 3: rh_pct is empty
	emc temp=@t_c rh=50%|t_c;20;warm;|1|1 of 2 rows has no answer: line 3: 'warm' is not a valid temperature for temp
	emc temp=@t rh=50%|t;20;|1|temp=20 has no unit; write 20C or 20F; or give the unit of the column, as in temp=@t:UNIT
	emc temp=@t_c rh=50%|t_c;20.5.5;-70;1e99;0x20;|1|4 of 4 rows have no answer; the first is line 2: '20.5.5C' is not a valid temperature
	drying from=@m_pct to=10% emc=8% k=0.1|m_pct;28;8;|1|line 3: from=8% is not above the air's EMC of 8%
	emc temp=@t_c rh=50%|t_c;-20;20;-21;|0|2 of 3 rows need caution; the first is line 2: this lies outside the published table
	correct reading=@r_pct wood=@w_c meter=@m|r_pct,w_c,m;12,20,pin2;12,20,pen2;|1|line 3: $BATS_TEST_TMPDIR/house.yaml has no meter 'pen2'; perhaps pin2?
	correct reading=@r_pct wood=@w_c meter=@m|r_pct,w_c,m;12,20,pin2;40,20,pin2;|0|1 of 2 rows needs caution: line 3: a reading of 40 % is outside the trusted range
	END
	[ "$bad" = 0 ]
}

@test "reckon: a table that cannot be finished ends with a line that says so" {
	printf 't_c\ta\n20\t1\n21\n22\t1\n' >"$BATS_TEST_TMPDIR/in"
	run -2 --separate-stderr wy-reckon emc temp=@t_c rh=50% <"$BATS_TEST_TMPDIR/in"
	[ "${#lines[@]}" = 3 ]
	[ "${lines[2]}" = '#! incomplete' ]
	[[ "${lines[1]}" = 20* ]]
	status=0
	wy-reckon emc temp=@t_c rh=50% </ >"$BATS_TEST_TMPDIR/out" 2>"$BATS_TEST_TMPDIR/err" || status=$?
	[ "$status" = 2 ]
	grep -q 'cannot read standard input' "$BATS_TEST_TMPDIR/err"
}

# What each way answers alone, it answers for a table whose only row bears the same values.
@test "reckon: every way gives a table the same figures" {
	bad=0
	house
	wy-reckon --list --no-header | cut -f1,2 | tr -d '[]' | tr '\t' ' ' | grep -v '^convert' >"$BATS_TEST_TMPDIR/ways"
	[ "$(wc -l <"$BATS_TEST_TMPDIR/ways")" -ge 30 ]
	while read -r quantity words; do
		bound=
		for word in $words; do bound="$bound ${word%%=*}=@in-${word%%=*}"; done
		{
			echo "$words" | sed 's/=[^ ]*//g; s/\([^ ]*\)/in-\1/g' | tr ' ' '\t'
			echo "$words" | sed 's/[^ ]*=//g' | tr ' ' '\t'
		} >"$BATS_TEST_TMPDIR/in"
		wy-reckon $quantity $bound <"$BATS_TEST_TMPDIR/in" 2>/dev/null | tail -n 1 | cut -f"$(($(echo "$words" | wc -w) + 1))-" | tr '\t' '\n' >"$BATS_TEST_TMPDIR/table"
		wy-reckon $quantity $words --as=tsv --no-header 2>/dev/null | cut -f2 >"$BATS_TEST_TMPDIR/alone"
		[ -s "$BATS_TEST_TMPDIR/alone" ] && awk 'NR == FNR { want[FNR] = $1; n = FNR; next }
			{ d = $1 - want[FNR]; if (d < 0) d = -d; if ($1 == "" || d > 1e-9 * (1 + (want[FNR] < 0 ? -want[FNR] : want[FNR]))) exit 1; m = FNR }
			END { if (m != n) exit 1 }' "$BATS_TEST_TMPDIR/alone" "$BATS_TEST_TMPDIR/table" && continue
		echo "$quantity $words"
		bad=1
	done <"$BATS_TEST_TMPDIR/ways"
	[ "$bad" = 0 ]
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

# Every way, by the samples of the list; and the list itself, of which the words are the last column.
@test "reckon: every answer fits a terminal of 80 columns, and has a finding where the table does not say it all" {
	T=$BATS_TEST_TMPDIR
	failures=
	house
	wy-reckon --list --no-header | cut -f1,2 | tr -d '[]' | tr '\t' ' ' >"$T/ways"
	[ "$(wc -l <"$T/ways")" -ge 30 ]
	while read -r words; do
		fits "wy-reckon $words"
		# shellcheck disable=SC2086
		case $words in
		"rh temp=20C wetbulb="* | convert*) ;;
		*) wy-reckon $words --as=html 2>/dev/null | grep -q '^<p class="finding">[A-Z].*\.</p>$' || fail "$words: no finding" ;;
		esac
		# shellcheck disable=SC2086
		[ "$(wy-reckon $words --as=tsv 2>/dev/null | cut -f1 | head -n 1)" = quantity ] || fail "$words: tsv begins with another line"
	done <"$T/ways"
	fits "wy-reckon --list"
	report
}

@test "reckon: a finding has the figures of its answer" {
	failures=
	house
	while IFS='|' read -r words said; do
		# shellcheck disable=SC2086
		got=$(wy-reckon $words --as=text | head -n 1)
		[ "$got" = "$said" ] || fail "$words: $got"
	done <<-'END'
	emc temp=20C rh=55%|Wood equilibrates at 10.1 % in air of 20.0 C and 55 % humidity.
	rh temp=20C emc=9%|Air of 20.0 C keeps wood at 9 % if its humidity is 48 %.
	ovendry mass=110g mc=10%|The piece holds 10.0 g of water and weighs 100.0 g oven-dry.
	mass mass=4lb mc=10% to=9%|The piece then weighs 3.964 lb, less by 0.036 lb.
	movement size=38mm from=12% to=9% coefficient=0.0020|The wood shrinks by 0.228 mm, to 37.772 mm.
	splice width=38mm handle=12% handleto=9% blade=10% bladeto=9% cane=0.0020 willow=0.00112|The joint opens by 0.185 mm; the handle shrinks by 0.228 mm.
	splice width=3.8cm handle=9% handleto=12% blade=9% cane=0.0020 willow=0.00112|The handle presses on the joint by 0.023 cm; the handle swells by 0.023 cm.
	drying from=28% to=10% emc=8% then=22% after=3d|Drying from 28 to 10 % takes about 19.4 days; 16.4 of them are left.
	equalize temp=40C target=10%|Set a wet bulb of 29.3 C, 10.7 C below the dry bulb; the EMC is then 8 %.
	tolerance n=4 cover=90% sure=95% mean=9% sd=0.5%|At least 90 % of all pieces lie between 6.3 and 11.7 %, with 95 % confidence.
	tolerance n=4 sure=95% mean=9% sd=0.24% low=8% high=10%|At least 79 % of all pieces lie in the band, with 95 % confidence.
	sample cover=90% sure=95% bad=1|Measure 46 pieces taken at random. If at most 1 is out of band, at least 90 % of all conform, with 95 % confidence.
	share k=3 n=50 sure=95%|The proportion in all pieces lies between 1.3 and 16.5 %, with 95 % confidence.
	correct reading=12% wood=30C meter=pin2 --on=2026-05-01|The wood is at 10.9 % after correction.
	END
	report
}
