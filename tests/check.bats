# wy-check: statuses, forms, levels, exceptions, context. Each rule's own examples are in rules.bats.

load lib/common
load lib/terminal

setup() {
	at_root
	export WITHY_HOUSE=samples/house.yaml
	bad=0
	# One of each: an error of the line, one of the house, a warning, a note, in a line with letters
	# that are two and four bytes long.
	cat >"$T/book.wy" <<-'END'
	2026-06-09 10:00 air     north  temp=24K meter=hyg1
	2026-06-09 10:05 air     nort   temp=24C meter=hyg1
	2026-06-09       set     south  stage=dry temp=28C
	2026-06-10       note    store/r1 text="Māia 🌳 sah nach" by=nobody
	2026-06-11       probe   north  mc=9.4%
	END
}

# is STATUS COMMAND...: the same, and goes on
is() { status "$@" || bad=1; }

@test "check: statuses" {
	is 0 wy-check samples/book/*.wy
	is 0 wy-check -b
	is 1 wy-check "$T/book.wy"
	is 1 wy-check <"$T/book.wy"
	is 2 wy-check "$T/none.wy"
	is 2 wy-check --level=no-such-rule=none "$T/book.wy"
	is 2 wy-check --level=id-unknown=loud "$T/book.wy"
	is 2 wy-check --about no-such-rule
	is 0 wy-check --about
	is 0 wy-check --rules
	is 0 wy-check --events
	is 1 wy-check -q "$T/book.wy"
	[ ! -s "$T/out" ]
	[ "$bad" = 0 ]
}

@test "check: each diagnostic has its place, its rule and its mend; the sum is printed" {
	wy-check "$T/book.wy" >"$T/out" 2>"$T/err" || true
	grep -q "^$T/book.wy:1:40: error: .*; .* -- unit-unknown$" "$T/out"
	grep -q "^$T/book.wy:2:26: error: .*perhaps north.* -- place-unknown$" "$T/out"
	grep -q "^$T/book.wy:4:65: error: .* -- person-unknown$" "$T/out"
	! grep -vE '^[^:]+:[0-9]+:[0-9]+: (error|warning|note): .+; .+ -- [a-z-]+$' "$T/out" || false
	grep -qE '^[0-9]+ errors?, [0-9]+ warnings?, [0-9]+ notes? in 5 lines$' "$T/err"
}

@test "check: the forms say the same" {
	wy-check "$T/book.wy" 2>/dev/null | sed -E 's/^[^:]*:([0-9]+):([0-9]+): ([a-z]+): .* -- ([a-z-]+)$/\1 \2 \3 \4/' >"$T/text"
	wy-check --as=tsv "$T/book.wy" 2>/dev/null | awk -F'\t' 'NR > 1 { print $2, $3, $5, $6 }' >"$T/tsv"
	wy-check --as=json "$T/book.wy" 2>/dev/null | jq -r '.[] | "\(.line) \(.column) \(.level) \(.rule)"' >"$T/json"
	cmp "$T/text" "$T/tsv"
	cmp "$T/text" "$T/json"
	[ "$(wc -l <"$T/text")" -ge 3 ]
}

@test "check: SARIF is valid by the standard's schema, its columns count characters and its paths are URIs" {
	[ -d tests/oracles/node_modules/ajv-draft-04 ] || [ -z "$WITHY_QUICK" ] || skip "the npm packages are not installed (quick run)"
	mkdir "$T/a folder"
	cp "$T/book.wy" "$T/a folder/bük.wy"
	(cd "$T" && WITHY_HOUSE=$OLDPWD/samples/house.yaml wy-check --as=sarif "a folder/bük.wy") >"$T/log.sarif" 2>/dev/null || true
	node tests/oracles/sarif.js "$T/log.sarif" >"$T/results"
	grep -qP '^a%20folder/b%C3%BCk.wy\t1\t40\terror\tunit-unknown$' "$T/results"
	# The 65th byte of the line is its 62nd UTF-16 unit, which is what the log says that it counts.
	awk -F'\t' '$5 == "person-unknown" { exit $3 != 62 }' "$T/results"
	grep -q '"columnKind":"utf16CodeUnits"' "$T/log.sarif"
	sed 's/"version":"2.1.0"/"version":"3"/' "$T/log.sarif" >"$T/wrong.sarif"
	! node tests/oracles/sarif.js "$T/wrong.sarif" >"$T/why" || false
	wy-check --as=sarif samples/mistakes.wy >"$T/log.sarif" 2>/dev/null || true
	node tests/oracles/sarif.js "$T/log.sarif" >"$T/results"
	[ "$(wc -l <"$T/results")" -gt 15 ]
}

@test "check: levels marked on request, in no colour, never against NO_COLOR" {
	wy-check --level=place-unknown=note --level=person-unknown=warning "$T/book.wy" >"$T/plain" 2>/dev/null || true
	wy-check --level=place-unknown=note --level=person-unknown=warning --marks=yes "$T/book.wy" >"$T/out" 2>/dev/null || true
	grep -q ": $(printf '\033\[7merror\033\[0m'): .* -- unit-unknown$" "$T/out"
	grep -q ": $(printf '\033\[4mwarning\033\[0m'): .* -- person-unknown$" "$T/out"
	grep -q ': note: .* -- place-unknown$' "$T/out"
	[ "$(grep -o "$(printf '\033')\[[0-9;]*m" "$T/out" | sort -u | tr -d '\033\n')" = '[0m[4m[7m' ]
	sed "s/$(printf '\033')\[[0-9;]*m//g" "$T/out" | cmp - "$T/plain"
	NO_COLOR=1 wy-check --level=place-unknown=note --level=person-unknown=warning "$T/book.wy" 2>/dev/null | cmp - "$T/plain"
}

@test "check: levels by the house and by option" {
	is 0 wy-check --level=unit-unknown=warning --level=place-unknown=none --level=person-unknown=note --level=subject-malformed=none \
		--level=id-unknown=note "$T/book.wy"
	grep -q ': note: .* -- person-unknown' "$T/out"
	! grep -q 'place-unknown' "$T/out" || false
	sed '$a rules: {place-unknown: warning}' samples/house.yaml | sed '/^rules:/{x;s/^/x/;/^xx/{x;d};x}' >"$T/house.yaml"
	cp "$T/book.wy" "$T/b.wy"
	wy-check -H "$T/house.yaml" "$T/b.wy" >"$T/out" 2>"$T/err" || true
	grep -q ': warning: .* -- place-unknown' "$T/out" || { cat "$T/out" "$T/err"; false; }
	[ "$bad" = 0 ]
}

@test "check: an exception silences its line alone, needs a reason, and is reported when it does nothing" {
	cat >"$T/intended.wy" <<-'END'
	2026-06-09 air nort temp=24C   # intended place-unknown: the new kiln has no name yet
	2026-06-09 air sout temp=24C
	2026-06-09 air north temp=25C  # intended place-unknown: nothing is wrong here
	2026-06-09 air soth temp=24C   # intended place-unknown
	2026-06-09 air suth temp=24C   # intended plase-unknown: a slip
	END
	wy-check "$T/intended.wy" >"$T/out" 2>/dev/null || true
	sed -E 's/^[^:]*:([0-9]+):.* -- ([a-z-]+)$/\1 \2/' "$T/out" >"$T/got"
	! grep -q '^1 ' "$T/got" || false
	grep -qx '2 place-unknown' "$T/got"
	grep -q '^3 suppression-unused' "$T/got"
	grep -q '^4 suppression-reason' "$T/got"
	grep -q '^5 suppression-unknown' "$T/got"
}

@test "check: a part of a book is judged against the rest of it" {
	head -n 1500 samples/book/2026a.wy >"$T/first.wy"
	tail -n +1501 samples/book/2026a.wy >"$T/rest.wy"
	is 1 wy-check "$T/rest.wy"
	is 0 wy-check --against="$T/first.wy" "$T/rest.wy"
	is 0 wy-check --by-line "$T/rest.wy"
	[ "$bad" = 0 ]
}

@test "check: one mistake, one diagnostic; a wrong count is reported once, with the lines that depend on it" {
	sed '0,/cleave .*count=SH:/s//&1/' samples/book/2026a.wy >"$T/wrong.wy"
	! cmp -s "$T/wrong.wy" samples/book/2026a.wy || false
	wy-check "$T/wrong.wy" samples/book/2026b.wy samples/book/2027a.wy samples/book/2027b.wy >"$T/out" 2>/dev/null || true
	[ "$(grep -c ': error: ' "$T/out")" -le 1 ]
}

@test "check: the mistakes kept with the samples are each found" {
	wy-check --against=samples/book/2026a.wy --against=samples/book/2026b.wy --against=samples/book/2027a.wy \
		--against=samples/book/2027b.wy samples/mistakes.wy >"$T/out" 2>/dev/null || true
	[ "$(cut -d: -f2 "$T/out" | sort -u | wc -l)" -ge 20 ]
}

# Each line is a slip and its correction. It gets one message, and the corrected line none.
@test "check: slips in values, dates, rates and instruments, one message each, and the fix passes" {
	cat >"$T/rest.wy" <<-'END'
	2026-03-01       rate   GBP   is=2.2140NZD
	2026-03-02       fell   T061  girth=142cm
	2026-03-03       cleave L061  tree=T061 count=SH:18 into=yard/b1
	2026-04-01       rate   GBP   is=2.2140NZD
	2026-04-02       meter  pin2  true=9.2% read=9.1%
	2026-04-02       meter  hyg1  true=55.1% read=54.8%
	2026-06-01       rate   GBP   is=2.1990NZD
	2026-06-02       tally  L055  at=shop form=blade type=S6 grade=1 count=4 found=4
	2026-06-02       tally  H031  at=shop form=handle type=HS count=4 found=4
	2026-06-02       tally  H032  at=shop form=handle type=HJ count=4 found=4
	2026-06-02       tally  B0413 at=shop form=bat type=SH grade=1 count=1 found=1
	2026-06-03 10:00 air    store/r1 temp=19.0C rh=52% meter=hyg1
	END
	n=0
	while IFS='|' read -r rule wrong right; do
		n=$((n + 1))
		for line in "$wrong" "$right"; do
			{ cat "$T/rest.wy"; printf '%b\n' "$line"; } >"$T/book.wy"
			wy-check -H spec/house.example.yaml "$T/book.wy" >"$T/got" 2>"$T/err" || true
			want=
			[ "$line" = "$right" ] || want=$rule
			[ "$(sed 's/.* -- //' "$T/got")" = "$want" ] || fail "$line: $(cat "$T/got" "$T/err")"
		done
	done <<-'END'
	implausible|2026-06-09 judge L055/01 grade=1 mass=1410kg|2026-06-09 judge L055/01 grade=1 mass=1410g
	implausible|2026-06-09 judge L055/01 grade=1 mass=0.41g|2026-06-09 judge L055/01 grade=1 mass=0.41kg
	implausible|2026-06-09 finish B0413 at=shop mass=29kg|2026-06-09 finish B0413 at=shop mass=29oz
	implausible|2026-06-09 finish B0413 at=shop mass=1176kg|2026-06-09 finish B0413 at=shop mass=1176g
	implausible|2026-06-09 oven L061 at=yard/b1 wet=182kg dry=161g cull=test:1|2026-06-09 oven L061 at=yard/b1 wet=182g dry=161g cull=test:1
	implausible|2026-06-09 oven L061 at=yard/b1 wet=182kg dry=161kg cull=test:1|2026-06-09 oven L061 at=yard/b1 wet=182g dry=161g cull=test:1
	oven-masses|2026-06-09 oven L061 at=yard/b1 wet=182g dry=161kg cull=test:1|2026-06-09 oven L061 at=yard/b1 wet=182g dry=161g cull=test:1
	implausible|2026-06-09 weigh B0413 mass=29kg|2026-06-09 weigh B0413 mass=29oz
	implausible|2026-06-09 weigh B0413 mass=1100g,20g|2026-06-09 weigh B0413 mass=1100g,1120g
	implausible|2026-06-09 weigh B0413 mass=29kg\n2026-06-10 weigh L061 mass=40kg|2026-06-10 weigh L061 mass=40kg
	number-out-of-range|2026-06-09 rate GBP is=0NZD|2026-06-09 rate GBP is=2.2NZD
	bat-buyer|2026-06-09 sell B0413 to=walk-in\n2026-06-20 return B0413 cause=splice-loose from=harbour-cc into=shop|2026-06-09 sell B0413 to=walk-in\n2026-06-20 return B0413 cause=splice-loose from=walk-in into=shop
	implausible|2026-06-09 weigh L055 at=shop type=SH form=blade mass=a:2.4kg|2026-06-09 weigh L055 at=shop type=SH form=blade mass=a:2.0kg
	implausible|2026-06-09 weigh L061 at=yard/b1 type=SH mass=a:62kg|2026-06-09 weigh L061 at=yard/b1 type=SH mass=a:6.2kg
	implausible|2026-06-09 air store/r1 temp=60C|2026-06-09 air store/r1 temp=60F
	implausible|2026-06-09 air store/r1 rh=5%|2026-06-09 air store/r1 rh=50%
	implausible|2026-06-09 air north temp=190C|2026-06-09 air north temp=19C
	implausible|2026-03-09 fell T062 girth=162mm|2026-03-09 fell T062 girth=162cm
	date-far|2062-06-09 set north stage=dry|2026-06-09 set north stage=dry
	date-far|1926-06-09 air north temp=24C|2026-06-09 air north temp=24C
	order-due|2026-06-09 order O-311 count=SH/1:4 due=2025-09-01|2026-06-09 order O-311 count=SH/1:4 due=2026-09-01
	order-due|2026-06-09 order O-311 count=SH/1:4 due=2026-06-08|2026-06-09 order O-311 count=SH/1:4 due=2026-06-20\n2026-07-09 order O-311 count=SH/1:6 due=2026-06-20
	rate-far|2026-05-01 rate GBP is=22.140NZD|2026-05-01 rate GBP is=2.2140NZD
	rate-far|2026-07-01 rate GBP is=0.2140NZD|2026-07-01 rate GBP is=2.140NZD
	rate-far|2026-02-01 rate GBP is=221.40NZD|2026-02-01 rate GBP is=2.2140NZD
	number-malformed|2026-06-09 finish B0413 at=shop mass=1lb17oz|2026-06-09 finish B0413 at=shop mass=2lb1oz
	number-malformed|2026-06-09 finish B0413 at=shop mass=2.5lb2oz|2026-06-09 finish B0413 at=shop mass=2lb10oz
	number-malformed|2026-06-09 air north temp=2.4e1C|2026-06-09 air north temp=24C
	number-malformed|2026-06-09 move L061 at=yard/b1 count=1.8e1 into=yard/b2|2026-06-09 move L061 at=yard/b1 count=18 into=yard/b2
	number-malformed|2026-06-09 cost L061 kind=timber price=4.8e2NZD|2026-06-09 cost L061 kind=timber price=480.00NZD
	make-label|2026-06-09 make B0414 blade=L055 handle=H032 at=shop mc=a:9.1%,handle:9.2% wood=18C meter=pin2|2026-06-09 make B0414 blade=L055 handle=H032 at=shop mc=blade:9.1%,handle:9.2% wood=18C meter=pin2
	make-label|2026-06-09 make B0414 blade=L055 handle=H032 at=shop mc=9.1% wood=18C meter=pin2|2026-06-09 make B0414 blade=L055 handle=H032 at=shop mc=blade:9.1% wood=18C meter=pin2
	make-fits|2026-06-09 make B0414 blade=L055 handle=H031 at=shop|2026-06-09 make B0414 blade=L055 handle=H032 at=shop
	make-fits|2026-06-09 rehandle B0413 handle=H032 at=shop cull=splice:1|2026-06-09 rehandle B0413 handle=H031 at=shop cull=splice:1
	reading-twice|2026-06-03 10:00 air store/r1 temp=19.6C rh=52% meter=hyg1|2026-06-03 10:10 air store/r1 temp=19.6C rh=52% meter=hyg1
	line-twice|2026-06-03 10:00 air store/r1 rh=52% temp=19C meter=hyg1|2026-06-03 10:20 air store/r1 rh=52% temp=19C meter=hyg1
	implausible|2026-06-09 judge L055/01 class=light mass=1300kg|2026-06-09 judge L055/01 class=light mass=1300g
	implausible|2026-06-09 order O-311 count=SH/1:4 mass=2lb8oz..29lb|2026-06-09 order O-311 count=SH/1:4 mass=2lb8oz..
	implausible|2026-06-09 order O-311 form=bat count=SH/1:4 mass=5kg|2026-06-09 order O-311 form=cleft count=SH:4 mass=5kg
	implausible|2026-06-09 order O-311 count=SH/1:4 mass=2050g|2026-06-09 order O-311 form=blade count=SH/1:4 mass=2050g
	label-missing|2026-06-09 scrap L055 at=shop cull=split|2026-06-09 scrap L055 at=shop cull=split:1
	unit-missing|2026-06-09 fell T062 girth=4ft6|2026-06-09 fell T062 girth=4ft6in
	number-malformed|2026-06-09 fell T062 girth=4ft6cm|2026-06-09 fell T062 girth=4ft6in
	number-malformed|2026-06-09 finish B0413 at=shop mass=2lb9g|2026-06-09 finish B0413 at=shop mass=2lb9oz
	party-unknown|2026-06-09 sell L055 at=shop count=2 to=harbor-cc\n2026-06-10 return L055 count=1 from=harbour-cc cause=soft into=shop|2026-06-09 sell L055 at=shop count=2 to=harbour-cc\n2026-06-10 return L055 count=1 from=harbour-cc cause=soft into=shop
	party-unknown|2026-06-09 sell L055 at=shop count=2 to=harbour-cc\n2026-06-10 return L055 count=1 from=harbor-cc cause=soft into=shop|2026-06-09 sell L055 at=shop count=2 to=harbour-cc\n2026-06-10 return L055 count=1 from=harbour-cc cause=soft into=shop
	class-mass|2026-06-09 judge L055/01 class=heavy mass=1410g|2026-06-09 judge L055/01 class=middle mass=1410g
	END
	[ "$n" = 47 ] || fail "$n slips"
	# An instrument that no line ever checks.
	sed -e '/meter  hyg1/d' "$T/rest.wy" >"$T/book.wy"
	wy-check -H spec/house.example.yaml "$T/book.wy" >"$T/got" 2>"$T/err" || true
	[ "$(sed 's/.* -- //' "$T/got")" = meter-unchecked ] || fail "$(cat "$T/got")"
	report
}

@test "check: the house may widen its plausible limits, and without a house the defaults hold" {
	printf '2026-06-03 fell T1 girth=162mm\n2026-06-04 fell T2\n2035-06-03 fell T3\n' >"$T/book.wy"
	env -u WITHY_HOUSE wy-check "$T/book.wy" >"$T/got" 2>"$T/err" || true
	[ "$(sed 's/.* -- //' "$T/got" | tr '\n' ' ')" = "implausible date-far " ] || fail "$(cat "$T/got" "$T/err")"
	printf 'plausible: {girth: 10..500cm, years: 9}\n' >"$T/house.yaml"
	wy-check -H "$T/house.yaml" "$T/book.wy" >"$T/got" 2>"$T/err" || true
	[ ! -s "$T/got" ] || fail "$(cat "$T/got")"
	report
}

# One mistake of each rule, every rule with ids of its own, in one book. A line that is too long
# stands there as @LONG@; closed-changed is told against the book without its one line.
@test "check: a book with one mistake of each rule gets one diagnostic each" {
	export LC_ALL=C
	awk '$0 == "@LONG@" { for (i = 0; i < 65537; i++) printf "#"; print ""; next } 1' tests/cases/check/every-rule.wy | head -c -1 >"$T/every-rule.wy"
	grep -av '^2026-07-11 air north rh=70%$' "$T/every-rule.wy" >"$T/before.wy"
	got=0
	(cd "$T" && wy-check -H "$OLDPWD/spec/house.example.yaml" --before=before.wy every-rule.wy) >"$T/out" 2>"$T/err" || got=$?
	[ "$got" = 1 ]
	cmp "$T/out" tests/cases/check/every-rule.diag
	wy-check -H spec/house.example.yaml --rules --as=tsv --no-header | cut -f 1 | sort >"$T/rules"
	sed -E 's/.* -- ([a-z0-9-]+)$/\1/' "$T/out" | sort | cmp - "$T/rules"
}

# Nothing depends on the order of lines or files: what is told of each line stays the same.
@test "check: shuffled lines and files give the same report" {
	{ cat samples/book/2026a.wy; sed 1,4d samples/mistakes.wy; } | grep -v '^#' >"$T/all.wy"
	told() { wy-check "$@" 2>/dev/null | while IFS=: read -r file line rest; do echo "${rest#*: } $(sed -n "${line}p" "$file")"; done | sed -E 's/^.* -- ([a-z-]+) /\1 /' | sort; }
	told "$T/all.wy" >"$T/want"
	[ "$(wc -l <"$T/want")" -gt 15 ]
	for seed in 1 2 3 4 5; do
		shuf --random-source=<(yes $seed) "$T/all.wy" >"$T/shuffled.wy"
		told "$T/shuffled.wy" | cmp - "$T/want" || bad=1
		split -n l/3 "$T/shuffled.wy" "$T/part."
		told "$T/part.ac" "$T/part.aa" "$T/part.ab" | cmp - "$T/want" || bad=1
	done
	[ "$bad" = 0 ]
}

@test "check: closed days against the book as it was" {
	house=spec/house.example.yaml
	printf '%s\n' '2026-06-10 set north stage=dry temp=28C' '2026-12-10 air north rh=70%' >"$T/old.wy"
	is 0 wy-check -H $house --before="$T/old.wy" "$T/old.wy"
	printf '%s\n' '2026-12-11 air north rh=71%' '2026-06-10 set north temp=28.0C stage=dry  # a remark' >"$T/new.wy"
	is 0 wy-check -H $house --before="$T/old.wy" "$T/new.wy"
	printf '%s\n' '2026-06-10 set north stage=dry temp=29C' >"$T/new.wy"
	is 1 wy-check -H $house --before="$T/old.wy" "$T/new.wy"
	[ "$(cut -d: -f 2,3 "$T/out" | tr '\n' ' ')" = '1:1 1:1 ' ]
	grep -q "^$T/new.wy:.*was not in the book before.* -- closed-changed$" "$T/out"
	grep -q "^$T/old.wy:.*is no longer in the book.* -- closed-changed$" "$T/out"
	is 1 wy-check -H $house --before=- "$T/new.wy" <"$T/old.wy"
	is 2 wy-check -H $house --before=- <"$T/old.wy"
	sed '/^closed:/d' $house >"$T/house.yaml"
	is 2 wy-check -H "$T/house.yaml" --before="$T/old.wy" "$T/new.wy"
	[ "$bad" = 0 ]
}

@test "check: a context is not reported on, but unreadable lines of it are counted" {
	printf '2026-03-02 fell T061\n2026-03-02 fell\n' >"$T/rest.wy"
	printf '2026-03-05 cleave L061 tree=T061 count=SH:18 into=yard/b1\n' >"$T/part.wy"
	is 1 wy-check -H spec/house.example.yaml "$T/part.wy"
	is 0 wy-check -H spec/house.example.yaml --against="$T/rest.wy" "$T/part.wy"
	grep -qx 'wy-check: 1 line of the books given with --against could not be read' "$T/err"
	[ "$bad" = 0 ]
}

@test "check: probes on days with untimed lines, in whatever order they are written" {
	start='2026-04-21 buy C014 form=cleft count=SH:40 into=yard/b2
2026-06-09 load K26-05 kiln=north lot=C014 at=yard/b2 count=40'
	probes() { # probes WANT LINE...: the rules that are broken
		local want=$1
		shift
		{ echo "$start"; printf '%s\n' "$@"; } >"$T/probes.wy"
		wy-check -H spec/house.example.yaml --level=uncorrected=none "$T/probes.wy" 2>/dev/null | sed -E 's/.* -- ([a-z-]+)$/\1/' | tr '\n' ' ' >"$T/out"
		[ "$(cat "$T/out")" = "$want" ] || { echo "$*: $(cat "$T/out"), not $want"; bad=1; }
	}
	probes '' '2026-06-10 probe K26-05 mc=a:20%' '2026-06-10 probe K26-05 in=a:C014/SH'
	probes '' '2026-06-10 08:00 probe K26-05 mc=a:20%' '2026-06-10 probe K26-05 in=a:C014/SH'
	probes '' '2026-06-10 probe K26-05 in=a:C014/SH' '2026-06-11 probe K26-05 out=a mc=a:20%' '2026-06-11 07:00 probe K26-05 mc=a:21%'
	probes '' '2026-06-10 probe K26-05 in=a:C014/SH mc=a:20%' '2026-06-11 probe K26-05 out=a' '2026-06-11 probe K26-05 in=a:C014/SH' '2026-06-12 probe K26-05 mc=a:19%'
	probes '' '2026-06-10 probe K26-05 in=a:C014/SH mc=a:20%' '2026-06-11 probe K26-05 out=a in=a:C014/SH mc=a:20%'
	probes 'probe-not-in ' '2026-06-10 probe K26-05 mc=a:20%' '2026-06-11 probe K26-05 mc=a:19%' '2026-06-12 probe K26-05 out=a'
	probes 'probe-not-in ' '2026-06-10 09:00 probe K26-05 in=a:C014/SH' '2026-06-10 08:00 probe K26-05 mc=a:20%'
	probes 'probe-in-again ' '2026-06-10 probe K26-05 in=a:C014/SH' '2026-06-11 probe K26-05 in=a:C014/SH' '2026-06-12 probe K26-05 out=a'
	probes 'probe-not-in ' '2026-06-10 probe K26-05 in=a:C014/SH' '2026-06-11 probe K26-05 out=a' '2026-06-12 probe K26-05 out=a'
	probes 'probe-left-in ' '2026-06-10 probe K26-05 in=a:C014/SH,b:C014' '2026-06-20 unload K26-05 count=40 into=bench' '2026-06-21 probe K26-05 out=a,b'
	probes '' '2026-06-10 probe K26-05 in=a:C014/SH' '2026-06-20 unload K26-05 count=39 into=bench'
	probes '' '2026-06-10 probe K26-05 in=a:C014/SH' '2026-06-19 pool M26-05 lot=C014:40 at=K26-05' '2026-06-20 unload K26-05 count=39 into=bench'
	probes 'probe-left-in ' '2026-06-10 probe K26-05 in=a:C014/SH' '2026-06-19 pool M26-05 lot=C014:40 at=K26-05' '2026-06-20 unload K26-05 count=40 into=bench'
	[ "$bad" = 0 ]
}

@test "check: of an unknown id it says how such a thing comes in" {
	printf '2026-03-01 sell X001 to=walk-in\n2026-03-01 unload K1 count=2 into=store/r1\n' >"$T/new.wy"
	status 1 wy-check "$T/new.wy"
	cat "$T/out" "$T/err" >"$T/said"
	for want in "the book has no lot or bat 'X001'; add the line that brings it in: cleave, buy, pool, make or a tally with found= -- id-unknown" \
		"the book has no charge 'K1'; add the line that brings it in: load -- id-unknown"; do
		grep -qF -- "$want" "$T/said" || fail "$(cat "$T/said")"
	done
	report
}

@test "check: options that do not go together, and names that there are not" {
	is 2 wy-check --about --rules
	is 2 wy-check --events no-such-event
	is 2 wy-check --rules --as=sarif
	is 2 wy-check --level=id-unknown "$T/book.wy"
	is 2 wy-check - - <"$T/book.wy"
	is 0 wy-check --events load probe
	[ "$(cut -f 1 "$T/out" | sort -u | tr '\n' ' ')" = 'event load probe ' ]
	is 0 wy-check --about stock-short
	grep -q '^stock-short: error, clause 6.3 of book(5)$' "$T/out"
	[ "$bad" = 0 ]
}

@test "check: one slip in a line's words is reported once, with a correction" {
	cat >"$T/slips.wy" <<-'END'
	2026-01-15 seal L1 with = wax by=jo
	2026-01-15 note L1 text=a text without marks by=jo
	2026-01-15 seal L1 with=wax twice over   # remark
	2026-01-15 SEAL L1 with=wax
	2026-01-15 seal L1 WITH=wax
	2026-01-15 probe L1 at=bench mc=9.3,9.6
	2026-01-15 air bench temp=20
	2026-01-15 air bench rh=50K
	2026-01-15 order O1 count=SH:2 mass=1100-1200g
	2026-01-15 order O2 count=SH:2 mass=2lb8oz-2lb10oz
	2026-01-15 order O3 count=SH:two
	2026-01-15 order O4 count=SH:2 price=£12.50
	2026-01-15 seal L1 quite-another=1
	2026-01-15 probe L1 at=bench mc=a:9,4% meter=pin2
	2026-01-15 probe L1 at=bench mc=a:9.2,b:9,4,c:9.1 meter=pin2
	END
	cat >"$T/want" <<-'END'
	1:20 'with = wax' is not written as FIELD=VALUE; put no spaces around =: with=wax -- field-malformed
	2:27 'text without marks' is not written as FIELD=VALUE; put the text in quotation marks: text="a text without marks"; or make it a comment: # text without marks -- field-malformed
	3:29 'twice over' is not written as FIELD=VALUE; an id has no spaces: with=wax-twice-over; or make it a comment: # twice over -- field-malformed
	4:12 'SEAL' is not a known event; perhaps 'seal'? -- event-unknown
	5:20 'WITH' is not a known field; perhaps with=? -- field-unknown
	6:33 mc=9.3,9.6 has no unit; write 9.3%,9.6% -- unit-missing
	7:27 temp=20 has no unit; write 20C or 20F -- unit-missing
	8:27 'K' is not a valid unit for 'rh'; use % -- unit-unknown
	9:37 '1100-1200g' is not a mass; write the range as 1100..1200g -- number-malformed
	10:37 '2lb8oz-2lb10oz' is not a mass; write the range as 2lb8oz..2lb10oz -- number-malformed
	11:30 'two' is not a whole number; write digits -- number-malformed
	12:38 '£12.50' is not an amount of money with its ISO 4217 code; write 12.50NZD -- number-malformed
	13:20 'quite-another' is not a known field; seal takes with=, by=, doc= -- field-unknown
	14:35 '9,4%' is not a moisture content in %; write decimals with a point: 9.4% -- number-malformed
	15:35 mc=a:9.2,b:9,4,c:9.1 has no unit; write a:9.2%,b:9.4%,c:9.1% -- unit-missing
	END
	wy-check --by-line "$T/slips.wy" 2>/dev/null | sed "s|^$T/slips.wy:||; s|: error: | |" >"$T/out" || true
	diff "$T/want" "$T/out"
}

@test "check: where several sorts fit, those are named and no other" {
	cat >"$T/sorts.wy" <<-'END'
	2026-03-02 fell T901
	2026-03-03 cleave L901 tree=T901 count=SH:9,S6:8,HA:7 into=yard/b1
	2026-03-04 move L901 at=yard/b1 type=HA count=7 into=yard/b2
	2026-03-05 sell L901 at=yard/b1 type=SH count=2 to=velmor-cc
	2026-03-06 move L901 at=yard/b1 count=3 into=yard/b3
	END
	wy-check "$T/sorts.wy" >"$T/out" 2>/dev/null || true
	grep -q 'more than one batch of L901 at yard/b1 matches; .*; the book has 8 S6 clefts at yard/b1, 7 SH clefts at yard/b1 -- stock-ambiguous$' "$T/out"
}

# The advice is typed as it stands, and the line then passes.
@test "check: where several batches match, the fields to add are those that tell them apart" {
	local line want more n=0
	unset WITHY_HOUSE
	while IFS='|' read -r line want more; do
		printf '%s\n' '2026-07-01 buy L001 form=cleft count=SH:10 into=yard/a' '2026-07-01 buy L002 form=cleft count=SH:10 into=yard/a' \
			'2026-07-02 move L001 at=yard/a count=4 into=yard/b' '2026-07-02 load K-1 kiln=east lot=L001 at=yard/a count=5' \
			'2026-07-02 load K-1 kiln=east lot=L002 at=yard/a count=5' \
			'2026-07-01 buy L003 form=blade count=SH/1:5,SH/2:5,S6/1:5 into=shop' '2026-07-01 buy L004 form=blade count=SH/1:5,S6/2:5 into=shop' \
			'2026-07-01 buy L005 form=blade count=SH:9 into=shop' '2026-07-02 sell L005 at=shop count=3 to=club' \
			'2026-07-02 sell L005 at=shop count=3 to=counter' '2026-07-01 buy L006 form=cleft count=SH/1:5,SH/2:5 into=yard/a' >"$T/apart.wy"
		cp "$T/apart.wy" "$T/mended.wy"
		echo "2026-07-20 $line" >>"$T/apart.wy"
		wy-check --level=uncorrected=none "$T/apart.wy" >"$T/out" 2>&1 || true
		grep -q "more than one batch of $want, so that only one matches; the book has .* -- stock-ambiguous\$" "$T/out" || fail "$line: $(cat "$T/out")"
		echo "2026-07-20 $line $more" >>"$T/mended.wy"
		wy-check --level=uncorrected=none "$T/mended.wy" >"$T/out" 2>&1 || true
		! grep -q ' error: ' "$T/out" || fail "$line $more: $(cat "$T/out")"
		n=$((n + 1))
	done <<-'END'
	scrap L001 cull=knot:1|L001 at any place matches; add at=|at=yard/b
	scrap L001 form=cleft type=SH grade=- class=- cull=knot:1|L001 cleft SH ungraded at any place matches; add at=|at=yard/b
	unload K-1 type=SH count=5 into=bench|SH pieces at K-1 matches; add lot=|lot=L002
	unload K-1 count=5 into=bench|pieces at K-1 matches; add lot=|lot=L002
	return L005 count=2 cause=weight into=shop|L005 that was sold matches; add from=|from=club
	scrap L003 cull=knot:1|L003 at any place matches; add type= and grade=|type=SH grade=2
	scrap L004 at=shop cull=knot:1|L004 at shop matches; add type= or grade=|grade=2
	move L003 at=shop type=SH count=1 into=bench|L003 SH at shop matches; add grade=|grade=1
	END
	[ "$n" = 8 ] || fail "$n lines"
	# plane takes no grade=: the pieces get a lot of their own
	echo '2026-07-20 plane L006 at=yard/a count=2' >>"$T/apart.wy"
	wy-check "$T/apart.wy" >"$T/out" 2>&1 || true
	grep -q 'L006 cleft at yard/a matches; add a pool line that gives the pieces meant a lot of their own, so' "$T/out" || fail "plane: $(cat "$T/out")"
	report
}

@test "check: a tally that does not add up counts what it found" {
	printf '%s\n' '2026-07-01 tally L001 at=shop form=blade type=SH count=30 found=30' \
		'2026-07-02 tally L001 at=shop form=blade type=SH count=30 found=30' \
		'2026-07-02 tally L002 at=shop form=blade type=SH count=30 found=28' >"$T/tally.wy"
	wy-check "$T/tally.wy" >"$T/out" 2>&1 || true
	grep -qF ':2:50: error: count plus cull is 30, but the book has 30 of L001 blade SH at shop, and found=30 would make that 60; ' "$T/out"
	grep -qF ':3:50: error: count plus cull is 30, but the book has 0 of L002 blade SH at shop, and found=28 would make that 28; ' "$T/out"
}

@test "check: a load line that fits two sizes is one mistake, at its lot" {
	printf '%s\n' '2026-01-14 buy L1 form=cleft count=SH:30,S6:4 from=alder into=yard/b1' \
		'2026-02-02 08:00 load K26-01 kiln=north lot=L1 at=yard/b1 count=34' \
		'2026-02-02 09:30 probe K26-01 in=a:L1/SH mc=a:27% wood=14C meter=pin2' \
		'2026-02-27 08:00 probe K26-01 out=a' \
		'2026-02-27 09:00 unload K26-01 lot=L1 type=SH count=30 into=bench' \
		'2026-02-27 09:05 unload K26-01 lot=L1 type=S6 count=4 into=bench' \
		'2026-02-27 09:20 set north stage=off' >"$T/two.wy"
	is 1 wy-check "$T/two.wy"
	[ "$(grep -c ': error: \|: warning: ' "$T/out")" = 1 ]
	grep -q ':2:45: error: .* -- stock-ambiguous$' "$T/out"
	[ "$bad" = 0 ]
}

# One word of the example is made wrong; what that breaks elsewhere is not reported too.
@test "check: one mistake is one message, wherever in the book its consequences are" {
	book=tests/cases/example/book.wy house=tests/cases/example/house.yaml bad=0 n=0
	messages() { wy-check -H $house --as=tsv --no-header "$1" 2>/dev/null | cut -f 2,6,7 | sort; }
	messages $book >"$T/before"
	while IFS='|' read -r line from to rule; do
		n=$((n + 1))
		sed "${line}s#$from#$to#" $book >"$T/b.wy"
		! cmp -s $book "$T/b.wy" || { echo "line $line has no $from"; bad=1; }
		messages "$T/b.wy" | comm -13 "$T/before" - >"$T/new"
		[ "$(cut -f 2 "$T/new")" = "$rule" ] || { echo "line $line, $to:"; cat "$T/new"; bad=1; }
	done <<-'END'
		35|K26-05|K26-059|id-unknown
		35|2026|2025|id-too-early
		35|24.5%|24,5%|number-malformed
		39|by=mk|byx=mk|field-unknown
		42|out=c|out=c9|probe-not-in
		79|M26-05|M26-059|id-unknown
		79|store/r1|store/r19|place-unknown
		82|2026|2025|id-too-early
		82|at=shop|at=shop9|place-unknown
		29|kiln=north|kiln=north9|kiln-unknown
		103|K26-09|K26-099|stock-absent
		50|M26-05|M26-059|id-unknown
		58|at=bench|at=bench9|place-unknown
		15|rate|rateq|event-unknown
		89|harbour-cc|harbour-cc9|party-unknown
	END
	[ "$n" = 15 ] && [ "$bad" = 0 ]
}

# A message shows the value that was meant, in the works' own currency.
@test "check: messages about values show the corrected value in the works' words" {
	printf 'works: W\ncurrency: JPY\ntypes: {SX: {name: Extra}}\ncauses: {cull: [worm]}\n' >"$T/house.yaml"
	cat >"$T/values.wy" <<-'END'
	2026-03-02 cost P12 kind=timber price=¥480
	2026-03-02 cost P12 kind=timber price=480.50€
	2026-03-02 cost P12 kind=timber price=GBP480,5
	2026-03-02 cost P12 kind=timber price=some
	2026-04-21 rate GBP is=2,2140JPY
	2026-06-09 air north temp=21,5C
	2026-06-09 air north temp=21
	2026-05-11 scrap L061 at=yard/b2 cull=1 by=jo
	2026-06-10 probe K1 in=L1 mc=9%
	END
	wy-check --by-line -H "$T/house.yaml" "$T/values.wy" 2>/dev/null | sed -E 's/^[^:]*:([0-9]+):.*(write .*|such as .*) -- .*/\1 \2/' >"$T/out" || true
	cat >"$T/want" <<-'END'
	1 write 480JPY
	2 such as 240JPY
	3 write decimals with a point: 480.50GBP
	4 such as 240JPY
	5 write decimals with a point: 2.2140JPY
	6 write decimals with a point: 21.5C
	7 write 21C or 21F
	8 such as worm:1
	9 such as a:L061/SX
	END
	sed -E -i 's/^([0-9]+) write .*(such as .*)/\1 \2/' "$T/out"
	diff "$T/want" "$T/out"
}

# What is written after "write", a colon or in a list of choices is typed in place of the mistake, and passes.
@test "check: what a message proposes passes when it is typed" {
	n=0
	while IFS='|' read -r wrong right; do
		n=$((n + 1))
		echo "2026-03-05 $wrong" >"$T/wrong.wy"
		wy-check --by-line "$T/wrong.wy" >"$T/out" 2>/dev/null && fail "passes: $wrong"
		[ "$(wc -l <"$T/out")" = 1 ] || fail "$wrong: $(cat "$T/out")"
		part=$(echo "$right" | grep -oE '(with|text|mc|mass|due|over|girth)=("[^"]*"|[^ ]*)')
		! grep -qE 'write( ,| or|  )' "$T/out" || fail "a choice is empty: $(cat "$T/out")"
		grep -qF -- "${part#*=}" "$T/out" || fail "$wrong: does not propose ${part#*=}: $(cat "$T/out")"
		echo "2026-03-05 $right" >"$T/right.wy"
		wy-check --by-line "$T/right.wy" >"$T/out" 2>/dev/null || fail "does not pass: $right: $(cat "$T/out")"
	done <<-'END'
		seal L061 with=wax twice|seal L061 with=wax-twice
		seal L061 with = wax|seal L061 with=wax
		seal L061 with= wax|seal L061 with=wax
		note store/r1 text=new racks|note store/r1 text="new racks"
		note store/r1 text= new racks|note store/r1 text="new racks"
		probe L061 at=cane mc=9.3%, 9.6% wood=22C meter=pin2|probe L061 at=cane mc=9.3%,9.6% wood=22C meter=pin2
		probe L061 at=cane mc=9.3,9.6,9.1 wood=22C meter=pin2|probe L061 at=cane mc=9.3%,9.6%,9.1% wood=22C meter=pin2
		probe K26-01 mc=a:9.3,b:9.6%,c:- wood=22C meter=pin2|probe K26-01 mc=a:9.3%,b:9.6%,c:- wood=22C meter=pin2
		judge L061/01 mass=1.62 by=mk|judge L061/01 mass=1.62kg by=mk
		fell T061 girth=4ft6|fell T061 girth=4ft6in
		judge L061/01 mass=2lb9|judge L061/01 mass=2lb9oz
		judge L061/01 mass=2.7 by=mk|judge L061/01 mass=2lb7oz by=mk
		order O-401 count=SH/1:2 due=15-12-2026 to=kowelin|order O-401 count=SH/1:2 due=2026-12-15 to=kowelin
		order O-401 count=SH/1:2 due=5/12/2026 to=kowelin|order O-401 count=SH/1:2 due=2026-12-05 to=kowelin
		order O-401 count=SH/1:2 due=2026-3-5 to=kowelin|order O-401 count=SH/1:2 due=2026-03-05 to=kowelin
		cost O-401 kind=power price=1.00NZD over=15-10-2026..31-10-2026|cost O-401 kind=power price=1.00NZD over=2026-10-15..2026-10-31
	END
	[ "$n" = 16 ]
	echo '2026-03-05 note store/r1 text=new racks "of" oak' >"$T/wrong.wy"
	wy-check --by-line "$T/wrong.wy" >"$T/out" 2>/dev/null || true
	grep -qF 'text="new racks \"of\" oak"' "$T/out" || fail "$(cat "$T/out")"
	for date in 15.3.2026 15/3/2026 2026/3/15; do
		echo "$date seal L061 with=wax" >"$T/wrong.wy"
		wy-check --by-line "$T/wrong.wy" >"$T/out" 2>/dev/null || true
		grep -q 'write 2026-03-15 -- date-malformed$' "$T/out" || fail "$(cat "$T/out")"
	done
	report
}

# A line of the sample book with its date or its words changed, and what the message must say.
@test "check: a wrong date is reported with the day that fits" {
	cat samples/book/*.wy >"$T/book.wy"
	n=0
	while IFS='|' read -r line change rule says; do
		n=$((n + 1))
		at=$(grep -n -m1 -E "$line" "$T/book.wy" | cut -d: -f1)
		sed "${at}$change" "$T/book.wy" >"$T/wrong.wy"
		! cmp -s "$T/book.wy" "$T/wrong.wy" || fail "nothing is changed: $line"
		wy-check --level=order-overissued=none "$T/wrong.wy" >"$T/out" 2>/dev/null || true
		[ "$(sed 's/.* -- //' "$T/out" | sort -u)" = "$rule" ] || fail "$line $change: $(cat "$T/out")"
		grep -qF -- "$says" "$T/out" || fail "$change: $(cat "$T/out")"
	done <<-'END'
		^2027-02-19 .*plane  |s/^2027-02/2027-01/|stock-absent|C013 comes to bench only on 2027-02-18;
		^2027-02-22 .*grade  |s/^2027-02/2027-01/|stock-absent|C013 comes to bench only on 2027-02-19;
		^2027-02-02 .*probe  |s/^2027/2028/|probe-not-in|it was taken out on 2027-02-18; correct one of the dates
		^2027-02-02 .*probe  |s/mc=a/mc=e/|probe-not-in|its probes are a, b, c and d; correct the label, or write in=e:C013/SH
		^2026-01-13 .*probe  .*in=a|s/^2026-01/2026-03/|probe-not-in|it is put in on 2026-03-13; correct one of the dates
		^2026-02-10 .*probe  .*out=|s/^2026/2027/|probe-left-in|the probe is taken out only on 2027-02-10;
		^2026-10-08 .*oven  |s/^2026-10/2026-11/|kiln-off-full|correct the date of the line that takes pieces out on 2026-11-08;
	END
	[ "$n" = 7 ]
	report
}

# What follows from a mistake elsewhere in the two years is not reported too.
@test "check: one mistake in the sample book is one message" {
	cat samples/book/*.wy >"$T/book.wy"
	n=0
	while IFS='|' read -r line change rule; do
		n=$((n + 1))
		at=$(grep -n -m1 -E "$line" "$T/book.wy" | cut -d: -f1)
		sed "${at}$change" "$T/book.wy" >"$T/wrong.wy"
		! cmp -s "$T/book.wy" "$T/wrong.wy" || fail "nothing is changed: $line"
		wy-check --level=order-overissued=none "$T/wrong.wy" >"$T/out" 2>/dev/null || true
		[ "$(sed 's/.* -- //' "$T/out")" = "$rule" ] || fail "$line $change: $(cat "$T/out")"
	done <<-'END'
		^2027-02-09 .*load  .*K27-02|s/lot=D007/lot=K-01/|id-unknown
		^2027-02-09 .*load  .*K27-02|s/lot=D007/lot=K27-02/|id-other
		^2027-02-18 .*unload  .*K27-01|s/K27-01/K27-77/|id-unknown
		 fell    T083|s/T083/T0839/|id-pattern
		 make    B0561|s/B0561/B05619/|id-pattern
		 order   O-320|s/O-320/O-3209/|id-pattern
		 move    L094|s/L094/L0949/|id-unknown
		 meter   log1|s/log1/log19/|meter-unknown
		 buy     C013|s/SH:960/SH:9600/|claimed-sum
		 buy     H032|s/H032/H0329/|id-unknown
		 scrap   C011|s/^2026/2025/|id-too-early
		 sell    D006 .*EUR|s/^202[67]/2025/|id-too-early
		 oven    K26-07 lot=M26-07|s/lot=M26-07/lot=Q26-07/|id-unknown
		 unload  K26-03 lot=C010 type=S6|s/type=S6/type=HA/|stock-absent
		 cost    K26-05|s/K26-05/K26-059/|id-unknown
	END
	[ "$n" = 15 ]
	report
}

@test "check: a comment that a message proposes works where the line has one already" {
	printf '%s\n' '2026-01-14 buy L1 form=cleft count=SH:30 from=alder into=yard/b1' \
		'2026-02-02 08:00 load K26-01 kiln=north lot=L1 at=yard/b1 count=30' \
		'2026-02-27 09:20 set north stage=off # until the fan is back' >"$T/off.wy"
	wy-check "$T/off.wy" >"$T/out" 2>/dev/null || true
	grep -q "north is switched off while 30 pieces of K26-01 are still in it; .*start the line's comment with the reason, such as .# intended kiln-off-full: fan repair. -- kiln-off-full$" "$T/out" || fail "$(cat "$T/out")"
	sed '3s/# /# intended kiln-off-full: fan repair, /' "$T/off.wy" >"$T/intended.wy"
	status 0 wy-check "$T/intended.wy"
	[ ! -s "$T/out" ] || fail "$(cat "$T/out")"
	report
}

@test "check: on a terminal a long message goes on in indented lines, and the sum comes last" {
	{ cat "$T/book.wy"; echo '2026-06-11 note store/r1 text="Ōtāhuhu 🌳 Ōtāhuhu 🌳" by=nobodyofthatnameinthisworksatall to=nobody'; } >"$T/b.wy"
	for width in 80 100 400; do
		on_terminal $width wy-check "$T/b.wy" && fail 'status 0'
		[ "$(tail -n 1 "$T/screen" | grep -c ' in 6 lines$')" = 1 ] || fail "$width: the sum is not last: $(cat "$T/screen")"
		sed -i "s/$(printf '\033')\[[0-9;]*m//g" "$T/screen"
		LC_ALL=C.UTF-8 awk -v width=$width 'length($0) > width { exit 1 }' "$T/screen" || fail "$width: too wide: $(cat "$T/screen")"
		# The same words, without the line breaks.
		sed '$d' "$T/screen" | awk '/^    / { sub(/^    /, " "); line = line $0; next } NR > 1 { print line } { line = $0 } END { print line }' >"$T/joined"
		wy-check "$T/b.wy" 2>/dev/null | cmp - "$T/joined" || fail "$width: other words"
	done
	grep -q '^    ' "$T/screen" && fail 'wrapped though it is wide'
	WITHY_HOUSE=$PWD/samples/house.yaml wy-check "$T/b.wy" >"$T/both" 2>&1 || true
	tail -n 1 "$T/both" | grep -q ' in 6 lines$' || fail 'the sum is not last in one file'
	report
}

@test "check: the lists fit a terminal of 80 columns" {
	unset WITHY_HOUSE
	bad=0
	for mode in --rules --events "--events probe" "--about stock-short"; do
		(cd samples && script -qec "stty cols 80; $bin/wy-check $mode" /dev/null) | tr -d '\r' >"$T/out"
		[ "$(wc -l <"$T/out")" -gt 8 ] || { echo "$mode: $(cat "$T/out")"; bad=1; }
		awk -v mode="$mode" 'length($0) > 80 { print mode ": " $0; bad = 1 } END { exit bad }' "$T/out" || bad=1
		[ "$(grep -cE '^(rule|event)  ' "$T/out")" -le 1 ] || { echo "$mode is in parts"; bad=1; }
	done
	[ "$bad" = 0 ]
}

@test "check: named columns make the diagnostics a table, and an unknown name is refused" {
	printf '2026-03-05 seel L061 with=wax\n' >"$T/b.wy"
	status 1 wy-check --columns=rule,line "$T/b.wy" || fail 'status'
	[ "$(cat "$T/out")" = "$(printf 'rule\tline\nevent-unknown\t1')" ] || fail "$(cat "$T/out")"
	status 1 wy-check --as=text --columns=line,rule "$T/b.wy" || fail 'status as text'
	grep -q '^ *1  event-unknown$' "$T/out" || fail "$(cat "$T/out")"
	status 2 wy-check --columns=rul "$T/b.wy" || fail 'an unknown name'
	grep -q "perhaps rule" "$T/err" || fail "$(cat "$T/err")"
	report
}

@test "check: an id whose pattern takes too many steps is an error that says so" {
	printf 'works: X\nids:\n  tree: "(?:(?:A|B|C|AB)*)*[DE]"\n' >"$T/house.yaml"
	awk 'BEGIN { printf "2026-03-02 fell "; for (i = 0; i < 3000; i++) printf "AB"; print "" }' >"$T/book.wy"
	status 1 wy-check -H "$T/house.yaml" "$T/book.wy"
	[ "$(wc -l <"$T/out")" = 1 ] || fail "$(cut -c 1-200 "$T/out")"
	grep -q '(the search takes too many steps; make the pattern simpler)' "$T/out" || fail "$(tail -c 300 "$T/out")"
	report
}
