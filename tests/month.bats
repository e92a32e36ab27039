# wy-month: the page, each of its figures against a filter's answer, what needs attention, and how it ends.

load lib/common

setup() {
	at_root
	S=samples/house.yaml
	E=tests/cases/example/book.wy
	EH=tests/cases/example/house.yaml
	mkdir "$T/tmp"
	export TMPDIR="$T/tmp"
}

teardown() {
	[ -z "$(ls -A "$T/tmp")" ] || { echo "files are left:"; ls -R "$T/tmp"; false; }
}

# section TITLE: the lines below that title in $T/out
section() { awk -v title="$1" '/^$/ { on = 0 } on; index($0, title) == 1 { on = 1 }' "$T/out"; }

# the list of what needs attention, each point on one line
points() { section 'Needs attention' | awk '/^  - / { if (line != "") print line; line = $0; next } { sub(/^ +/, " "); line = line $0 } END { print line }'; }

# ask NAME FILTER...: its answer as tsv; status 1 says that there is nothing, or that the book has errors
ask() {
	local name=$1 got=0
	shift
	"$@" --as=tsv >"$T/answers/$name.tsv" 2>"$T/answers/err" || got=$?
	[ "$got" -le 1 ] || fail "$*: status $got: $(cat "$T/answers/err")"
}

# answers FIRST LAST BOOK...: what the filters answer, as month_figures.awk wants it
answers() {
	local first=$1 last=$2
	shift 2
	mkdir -p "$T/answers"
	ask flow wy-stock "$@" --since="$first" --on="$last"
	ask stock wy-stock "$@" --by=form,type,grade --on="$last"
	ask orders wy-stock "$@" --orders --on="$last"
	ask kilns wy-yield "$@" --by=charge --since="$first" --on="$last"
	ask losses wy-yield "$@" --losses --baseline=12 --since="$first" --on="$last"
	ask dry wy-dry "$@" --on="$last"
	awk -v dir="$T/answers" '/^# / { file = dir "/" $2 ".tsv"; next } NF { print >file }' "$T/answers/dry.tsv"
	ask moist wy-moist "$@" --by=charge --to="$last"
	ask wood wy-moist "$@" --by=place,part --from="$first" --to="$last"
	ask grades wy-grade "$@" --by=type --from="$first" --to="$last" --baseline=12
	ask shift wy-grade "$@" --by=type --from="$first" --to="$last" --baseline=12 --shift
	# blades of an older scheme, which only the months before have, are in rows of their own
	awk -F'\t' 'NR == 1 { for (i = 1; i <= NF; i++) if ($i == "of") of = i } NR == 1 || $of > 0' "$T/answers/grades.tsv" >"$T/grades"
	mv "$T/grades" "$T/answers/grades.tsv"
	ask air wy-air "$@" --timed --by=place --from="$first" --to="$last"
	ask spells wy-air "$@" --spells --from="$first" --to="$last"
	ask check wy-check "$@"
	ask cost wy-cost "$@" --by=supplier --from="$first" --to="$last" --on="$last"
	ask cost_before wy-cost "$@" --by=supplier --from="$((${first%%-*} - 1))-${first#*-}" --to="$(date -d "$first - 1 day" +%F)" --on="$last"
	ask claims wy-grade "$@" --claims --from="$((${first%%-*} - 1))-${first#*-}" --to="$last"
	ask claims_now wy-grade "$@" --claims --from="$first" --to="$last"
	sed -i '1d; /^$/,$d' "$T/answers/claims.tsv" "$T/answers/claims_now.tsv"
	ask bats wy-returns "$@" --bats --on="$last"
	ask by_handle wy-returns "$@" --by=handle --on="$last"
	ask by_charge wy-returns "$@" --by=charge --on="$last"
	ask due wy-due "$@" --on="$last"
}

# figures LAST KILNS BOOK...: every figure of the month that ends on that day is a filter's
figures() {
	local last=$1 kilns=$2
	shift 2
	answers "${last%-*}-01" "$last" "$@"
	wy-month "$@" --month="${last%-*}" >"$T/page" || [ $? = 1 ] || fail "$*: no page"
	wy-month "$@" --month="${last%-*}" --as=html >"$T/html" || [ $? = 1 ] || fail "$*: no page of HTML"
	awk -f tests/lib/month_html.awk "$T/html" >"$T/as_html"
	for look in "$T/as_html" "$T/page"; do
		awk -v dir="$T/answers" -v last="$last" -v kilns=" $kilns " -f tests/lib/month_figures.awk "$look" >"$T/figures" ||
			fail "$* ${last%-*}: $(cat "$T/figures")"
	done
}

# commands PAGE: those that the page names, each once
commands() { sed -n 's/.*<p class="made">\(.*\)<\/p>/\1/p' "$1" | sed 's/<\/code>/\n/g' | sed 's/<code>//; s/&#39;/'"'"'/g; s/&lt;/</g; s/&gt;/>/g; s/&quot;/"/g; s/&amp;/\&/g' | grep . | sort -u; }

# To renew them: `wy-month -H samples/house.yaml -b --month M >FILE`. Then read every changed line.
# samples/month.txt is the page of December 2027.
@test "month: the pages of the sample works" {
	bad=0
	for page in samples/month.txt tests/cases/month/*.txt; do
		month=${page##*/}
		[ "$month" != month.txt ] || month=2027-12.txt
		status 0 wy-month -H "$S" -b --month "${month%.txt}" || bad=1
		diff "$page" "$T/out" || bad=1
		[ ! -s "$T/err" ] || { cat "$T/err"; bad=1; }
		awk 'length > 80 { print "too wide: " $0; bad = 1 } /[ \t]$/ { print "ends in a blank: " $0; bad = 1 } END { exit bad }' "$T/out" || bad=1
	done
	[ "$bad" = 0 ]
}

# The figures of a page against the filters and a count of the lines by awk, not against themselves.
@test "month: figures are those of the book" {
	status 0 wy-month -H "$S" -b --month=2027-12
	# blades sold in December, from the lines: `sell` of a lot that is no bat
	sold=$(awk '/^2027-12/ { e = $2 ~ /^[0-9]/ ? 3 : 2 } /^2027-12/ && $e == "sell" && $(e + 1) !~ /^B/ && /type=SH/ { n = $0; sub(/.*count=/, "", n); sum += n + 0 }
		END { print sum + 0 }' samples/book/2027b.wy)
	[ "$(section "Pieces this" | awk '$1 == "blade" && $2 == "SH" { print $9 }')" = "$sold" ]
	[ "$sold" -gt 0 ]
	# the generator's own count of blades and handles at the end of the year
	awk -F'\t' 'NR == 1 { for (i = 1; i <= NF; i++) at[$i] = i; next } $1 == "2027-12-31" { sum[$at["form"] " " $at["type"]] += $at["count"] }
		END { for (k in sum) print k, sum[k] }' samples/truth/stock.tsv | sort >"$T/want"
	section "Pieces this" | awk 'NR > 1 && $NF > 0 { print $1, $2, $NF }' | sort >"$T/got"
	[ "$(wc -l <"$T/want")" -gt 5 ]
	diff "$T/want" "$T/got"
	# 3 of 35 blades: 8.6 % and Wilson's 3.0 to 22.4 % (by the formula of NIST/SEMATECH e-Handbook 7.2.4.1)
	section Grades | grep -qE '^  SH    1 +3   35 +8.6  3.0..22.4 '
	# Me 9.1 is what the EMC of the rows is; its own figures are in tests/outside
	section Rooms | grep -q '^  cane  *31  *728  *21.0  *49.1  *100.0  *9.1  *8.5  *9.5  *100.0$'
}

# The figures of a section, of a row and a column, are those of the filter's answer: lib/month_figures.awk has
# the rules. The third book is small and has what the sample works lacks.
@test "month: every figure of the page is in the answer of its filter" {
	# a month in which a grade moved
	figures 2027-06-30 'north south' -H "$S" -b
	grep -qE '^  SH    4 .* rose$' "$T/page" || fail 'no grade moved'
	figures 2027-12-31 'north south' -H "$S" -b
	[ "$(tail -n 1 "$T/figures" | cut -d' ' -f1)" -gt 500 ] || fail "only $(cat "$T/figures")"
	# the check itself: a page with one figure changed is refused, whichever it is
	cp "$T/page" "$T/right"
	for n in 3 9 40 77 150 210 260 300 310 320 330 390 440 500 560 600; do
		awk -v n=$n 'FNR == 1 || /^[^ ]/ || /^  (Hours|are over|instruments|Readings|file)/ { print; next } {
			line = $0; out = ""
			while (match(line, /[0-9]+/)) {
				got = substr(line, RSTART, RLENGTH)
				if (++k == n) { sub(/.$/, "", got); got = got (substr(line, RSTART + RLENGTH - 1, 1) + 1) % 10 }
				out = out substr(line, 1, RSTART - 1) got
				line = substr(line, RSTART + RLENGTH)
			}
			print out line }' "$T/right" >"$T/page"
		! cmp -s "$T/right" "$T/page" || fail "figure $n is none"
		! awk -v dir="$T/answers" -v last=2027-12-31 -v kilns=' north south ' -f tests/lib/month_figures.awk "$T/page" >"$T/figures" ||
			fail "nobody saw: $(diff "$T/right" "$T/page")"
	done
	for last in 2026-06-30 2026-10-31 2027-03-31 2027-09-30; do figures $last 'north south' -H "$S" -b; done
	all_kinds >"$T/b.wy"
	figures 2028-02-29 'north south' -H "$EH" "$T/b.wy"
	figures 2026-07-31 'north south' -H "$EH" "$T/b.wy"
	# books that nobody thought of
	for seed in 1 2 3 4; do
		awk -v seed=$seed -v events=300 -v out="$T" -f tests/lib/random.awk
		figures 2026-10-31 '' -H tests/cases/stock/random.yaml "$T/book.wy"
	done
	report
}

@test "month: an empty month, one before the book, and a book without entries" {
	status 0 wy-month -H "$EH" "$E" --month 2025-02
	[ "$(head -n 1 "$T/out")" = 'Waiora Bats, February 2025' ]
	[ "$(grep -c '^  nothing$' "$T/out")" = 13 ] || { cat "$T/out"; false; }
	points | grep -q '^  - the book has no entries of this month; its entries run from 2026-[0-9-]* to 2028-[0-9-]*$' || { points; false; }
	grep -q '2025-02-28' "$T/out"
	status 0 wy-month -H "$EH" "$E" --month 2028-02
	section 'Charges in the kilns on 2028-02-29' | grep -q nothing
	# nobody may take it for a month in which all was well
	for book in '' '\n' '# a remark\n'; do
		printf "$book" >"$T/empty.wy"
		status 1 wy-month -H "$EH" "$T/empty.wy" --month 2028-02
		points | grep -q '^  - the book has no entries; check that the right files were read$' || fail "'$book': $(points)"
	done
	report
}

@test "month: the month before today when none is named" {
	bad=0
	while read -r today title; do
		status 0 env WITHY_TODAY="$today" wy-month -H "$EH" "$E" || bad=1
		[ "$(head -n 1 "$T/out")" = "Waiora Bats, $title" ] || { echo "$today: $(head -n 1 "$T/out")"; bad=1; }
	done <<-'END'
	2027-01-01 December 2026
	2026-08-31 July 2026
	2028-03-29 February 2028
	END
	[ "$bad" = 0 ]
}

@test "month: standard input, pipes, and names with blanks and quotes" {
	bad=0
	status 0 wy-month -H "$EH" "$E" --month 2026-07 || bad=1
	mv "$T/out" "$T/want"
	wy-month -H "$EH" --month 2026-07 <"$E" | cmp "$T/want" - || bad=1
	wy-month --house="$EH" --month=2026-07 - <"$E" | cmp "$T/want" - || bad=1
	wy-month -H "$EH" --month 2026-07 <(cat "$E") | cmp "$T/want" - || bad=1
	mkdir "$T/it's a folder"
	head -n 60 "$E" >"$T/it's a folder/first \"half\".wy"
	tail -n +61 "$E" >"$T/it's a folder/-second \$half\`.wy"
	cp "$EH" "$T/it's a folder/the house.yaml"
	cd "$T/it's a folder"
	wy-month -H 'the house.yaml' --month 2026-07 -- *.wy | cmp "$T/want" - || bad=1
	wy-month -H 'the house.yaml' --month 2026-07 'first "half".wy' -- '-second $half`.wy' | cmp "$T/want" - || bad=1
	[ "$bad" = 0 ]
}

@test "month: the house file of this folder or one above" {
	mkdir -p "$T/works/deep/er"
	cp "$EH" "$E" "$T/works"
	cd "$T/works/deep/er"
	status 0 wy-month -b --month 2026-07
	[ "$(head -n 1 "$T/out")" = 'Waiora Bats, July 2026' ]
	sed -i "s/^works:.*/works: 'Te Aō: \"bats\"'   # the name/" "$T/works/house.yaml"
	status 0 wy-month -b --month 2026-07
	[ "$(head -n 1 "$T/out")" = 'Te Aō: "bats", July 2026' ]
	cd "$T"
	printf '2026-07-01 buy H1 form=handle count=HS:4 into=cane\n' >b.wy
	status 0 wy-month --month 2026-07 b.wy
	[ "$(head -n 1 out)" = 'July 2026' ]
}

# the example's book and what a month can need attention for
all_kinds() {
	cat "$E"
	cat <<-'END'
	2028-02-01 load K28-01 kiln=north lot=C021 at=yard/b2 count=60 by=mk
	2028-02-01 12:00 probe K28-01 in=a:C021/SH,b:C021/SH mc=a:24.0%,b:22.0% wood=20C meter=pin2 by=mk
	2028-02-10 air store/r1 temp=20C rh=70% meter=hyg1 by=mk
	2028-02-10 probe L061 at=store/r1 mc=14.2%,9.1% wood=20C meter=pin2 by=mk
	2028-02-11 order O-900 count=SH/1:999,SH/2:1 due=2028-02-20 to=harbour-cc
	2028-02-12 order O-901 count=S6/1:7 to=lund-bats
	2028-02-13 load K28-02 kiln=south lot=C021 at=yard/b2 count=20 by=mk
	2028-02-13 12:00 probe K28-02 in=a:C021/SH mc=a:24.0% wood=20C meter=pin2 by=mk
	2028-02-27 unload K28-02 count=20 into=bench by=mk
	END
}

@test "month: what needs attention" {
	bad=0
	all_kinds >"$T/b.wy"
	status 0 wy-month -H "$EH" "$T/b.wy" --month 2028-02 || bad=1
	points >"$T/look"
	while IFS= read -r want; do
		grep -q -- "$want" "$T/look" || { echo "no: $want"; bad=1; }
	done <<-'END'
	b.wy:[0-9]*: the last pieces that can hold probe a of K28-02 are unloaded.*metal in wood
	pin2 .*; check it against a reference
	hyg1 .*; check it against a reference
	K28-01: .*; 2 probes in it: 22.0 to 24.0 % on 2028-02-01
	K28-02: emptied with 1 of 1 probes out of the band; wettest 24.0 %
	O-900 for harbour-cc, WAS DUE 2028-02-20: 999 SH grade 1 bats (19 to make, 980 short), 1 SH grade 2 bat (1 to make)
	O-901 for lund-bats: 7 S6 grade 1 bats (none in stock)
	store/r1: 1 reading of the air out of the target, with no other near; wood equilibrates at 13.6 % there (2028-02-10 12:00)
	store/r1, wood for blades: 1 of 2 pieces read out of the target; wettest 1[34].* driest
	cane: no air reading this month
	END
	[ "$bad" = 0 ] || cat "$T/look"
	# a month later: the probe may still be in, the instruments are still overdue
	status 0 wy-month -H "$EH" "$T/b.wy" --month 2028-03 || bad=1
	points >"$T/look"
	grep -q 'probe a of K28-02' "$T/look" || { echo "the probe is forgotten"; bad=1; }
	grep -q '^  - .*: hyg1 ' "$T/look" || { echo "the instrument is forgotten"; bad=1; }
	# both mended
	{ cat "$T/b.wy"; echo '2028-02-26 probe K28-02 out=a by=mk'; echo '2028-03-02 meter hyg1 true=75.3% read=75.0% by=mk'; } >"$T/c.wy"
	status 0 wy-month -H "$EH" "$T/c.wy" --month 2028-03 || bad=1
	points >"$T/look"
	! grep -q 'K28-02 can be\|: hyg1 ' "$T/look" || { cat "$T/look"; bad=1; }
	# a month before: nothing of it
	status 0 wy-month -H "$EH" "$T/b.wy" --month 2028-01 || bad=1
	! grep -q 'K28\|O-90' "$T/out" || bad=1
	[ "$bad" = 0 ]
}

@test "month: a kiln need not hold its target as a room must, and an open range has one end" {
	cat >"$T/house.yaml" <<-'END'
	places:
	  yard: {kind: yard}
	  k: {kind: kiln, target: 9..11%}
	  store: {kind: store, target: 9..11%}
	meters: {pin: {kind: pin, trust: 6..40%}}
	ready: {target: 10%, band: 9..11%, spread: 0.01%}
	END
	cat >"$T/k.wy" <<-'END'
	2026-01-05 buy L1 form=cleft count=SH:20 into=yard
	2026-01-07 air store temp=18C rh=55%
	2026-01-10 08:00 load C1 kiln=k lot=L1 at=yard count=20
	2026-01-10 09:00 probe C1 in=a:L1/SH,b:L1/SH mc=a:24%,b:24% wood=20C meter=pin
	2026-01-10 10:00 air k temp=20C rh=85%
	2026-01-20 09:00 probe C1 mc=a:13%,b:13% wood=20C meter=pin
	END
	status 0 wy-month -H "$T/house.yaml" "$T/k.wy" --month 2026-01 || report
	section 'Their moisture' >"$T/moist"
	grep -q '  13.0  0.0  13.0..13.0 ' "$T/moist" || fail "figures without their decimal: $(cat "$T/moist")"
	! grep -q 'k: the air' "$T/out" || fail "the kiln's damp air is reported: $(cat "$T/out")"
	status 0 wy-month -H "$T/house.yaml" "$T/k.wy" --month 2027-01 || report
	! grep -q 'k: no air' "$T/out" || fail "the kiln's air is missed: $(cat "$T/out")"
	grep -q 'store: no air reading this month' "$T/out" || fail "the store's air is not missed"
	# a year after its last reading nothing is foretold of a charge
	grep -q '  - C1: unknown; 2 probes in it: 13.0 % on 2026-01-20$' <(points) || fail "$(points)"
	status 0 wy-month -H "$T/house.yaml" "$T/k.wy" --month 2026-03 || report
	grep -q '  - C1: not ready; 2 probes in it: 13.0 % on 2026-01-20; ready .*20[0-9-]*.* (90 %)$' <(points) || fail "$(points)"
	report
}

@test "month: the air is corrected by the checks of its instruments, as wy-air says" {
	cat >"$T/house.yaml" <<-'END'
	places:
	  store: {kind: store, target: 9..10%}
	  k: {kind: kiln, target: 9..11%}
	  yard: {kind: yard}
	meters: {hyg: {kind: hygrometer}}
	END
	# RH 52 % at 20 C is in the target as read; the check says that the instrument reads 4 % low
	{
		echo '2026-01-01 meter hyg true=79.0% read=75.0%'
		for day in 05 06 07 08 09 10; do
			echo "2026-01-$day air store temp=20C rh=52% meter=hyg"
			echo "2026-01-$day air k temp=20C rh=80% meter=hyg"
			echo "2026-01-$day air yard temp=5C rh=85% meter=hyg"
		done
	} >"$T/b.wy"
	status 0 wy-month -H "$T/house.yaml" "$T/b.wy" --month 2026-01 || report
	wy-air -H "$T/house.yaml" "$T/b.wy" --by=place --from=2026-01-01 --to=2026-01-31 --as=tsv |
		awk -F'\t' '$1 == "store" && $NF == 1' | grep -q . || fail 'the readings should be in the target as they were read'
	section Rooms | grep -q '^  store  *6  *120  *20.0  *56.0  *-  *10.[2-9]  *10.[2-9]  *10.[2-9]  *0.0$' || fail "$(section Rooms)"
	points | grep -q '^  - store: the air was in the target for 0 % of the known hours; wood equilibrates at 10.[2-9] % there' || fail "$(points)"
	# a place without a target, and a kiln with one, say why
	section Rooms | grep -q '^  No target in the house file: yard.$' || fail "$(section Rooms)"
	section Rooms | tr '\n' ' ' | grep -q "A kiln's air goes from damp to dry, so it is not in the target all the time: *k[.]" || fail "$(section Rooms)"
	! points | grep -q ' k: ' || fail "the kiln needs no attention: $(points)"
	# readings too far apart: how many are out, and of how long nothing is known
	sed '/-0[689] /d; /-10 /d' "$T/b.wy" >"$T/c.wy"
	status 0 wy-month -H "$T/house.yaml" "$T/c.wy" --month 2026-01 || report
	section Rooms | grep -q '^  store  *2  *0  *-  *-  *-  *-  *-  *-  *-$' || fail "$(section Rooms)"
	points | grep -q '^  - store: 2 readings of the air out of the target, with no other near; .* (the last, 2026-01-07 12:00)$' || fail "$(points)"
	figures 2026-01-31 k -H "$T/house.yaml" "$T/b.wy"
	figures 2026-01-31 k -H "$T/house.yaml" "$T/c.wy"
	report
}

@test "month: an order says what is in stock, what is to make and what is short" {
	cat >"$T/house.yaml" <<-'END'
	places: {store: {kind: store}, shop: {kind: shop}}
	END
	cat >"$T/b.wy" <<-'END'
	2026-01-02 tally L1 at=store form=blade type=SH grade=1 count=7 found=7
	2026-01-03 tally L2 at=store form=handle type=HS count=9 found=9
	2026-01-05 order O-1 count=SH/1:7 form=blade due=2026-01-20
	2026-01-06 order O-2 form=blade count=SH/1:3 due=2026-02-20
	2026-01-07 order O-3 form=handle count=HS:4 due=2026-01-31
	2026-01-08 order O-4 form=handle count=HS:8 due=2026-02-28
	END
	status 0 wy-month -H "$T/house.yaml" "$T/b.wy" --month 2026-01 || report
	points >"$T/look"
	while IFS= read -r want; do
		grep -qxF -- "  - $want" "$T/look" || fail "no '$want' in: $(cat "$T/look")"
	done <<-'END'
	O-1, WAS DUE 2026-01-20: 7 SH grade 1 blades (all in stock)
	O-3, due 2026-01-31: 4 HS handles (all in stock)
	O-2, due 2026-02-20: 3 SH grade 1 blades (none in stock)
	O-4, due 2026-02-28: 8 HS handles (5 in stock, 3 short)
	END
	# 1 of 8 bats is there, and blades for the other 7
	cat >"$T/b.wy" <<-'END'
	2026-01-02 tally L1 at=store form=blade type=SH grade=1 count=8 found=8
	2026-01-02 tally L2 at=store form=handle type=HS count=1 found=1
	2026-01-03 issue L1 at=store grade=1 count=1 into=shop
	2026-01-03 issue L2 at=store count=1 into=shop
	2026-01-04 make B1 blade=L1 handle=L2 grade=1 at=shop
	2026-01-05 order O-1 form=bat count=SH/1:8 due=2026-01-20
	END
	status 0 wy-month -H "$T/house.yaml" "$T/b.wy" --month 2026-01 || report
	points | grep -qxF '  - O-1, WAS DUE 2026-01-20: 8 SH grade 1 bats (1 in stock, 7 to make)' || fail "$(cat "$T/out")"
	figures 2026-01-31 '' -H "$T/house.yaml" "$T/b.wy"
	report
}

# A name of a file is bytes; the day of a line in it decides whether its warning is shown.
@test "month: warnings are those of the month in files of any name, and the works' name is any text" {
	mkdir "$T/d"
	{ cat "$E"; echo '2026-05-05 buy C099 form=cleft count=SH:10 claimed=1:4,2:5 from=ash-sons into=yard/b2 by=mk'; } >"$T/b.wy"
	wy-month -H "$EH" "$T/b.wy" --month 2026-05 >"$T/may" || :
	wy-month -H "$EH" "$T/b.wy" --month 2026-07 >"$T/july" || :
	grep -q "supplier's grades" "$T/may" || fail "no warning in May: $(cat "$T/may")"
	! grep -q "supplier's grades" "$T/july" || fail 'the warning of May is in July'
	for name in 'a\b.wy' 'a\nb.wy' $'a\nb.wy' $'a\nb\n' $'\xff\xfe.wy' 'a=b.wy' '=' '-x=1.wy' ' ' $'\t' "it's" '*' '$x' '`x`' $'a\e[31mb'; do
		cp "$T/b.wy" "$T/d/$name"
		for month in may july; do
			(cd "$T/d" && wy-month -H "$BATS_TEST_DIRNAME/../$EH" --month 2026-0$([ $month = may ] && echo 5 || echo 7) -- "$name" >"$T/out") || :
			[ "$(points | wc -l)" = "$(awk '/^$/ { on = 0 } on && /^  - / { n++ } /^Needs/ { on = 1 } END { print n + 0 }' "$T/$month")" ] || fail "$(printf %q "$name"), $month: $(points)"
			[ "$(sed '/^Needs attention/,/^$/d' "$T/out" | cksum)" = "$(sed '/^Needs attention/,/^$/d' "$T/$month" | cksum)" ] || fail "$(printf %q "$name"), $month: another page"
			! LC_ALL=C grep -q $'[\001-\010\013-\037\177]' "$T/out" || fail "$(printf %q "$name"): a control character"
		done
	done
	# and of the works, in each form that YAML has for it
	while IFS='|' read -r written shown; do
		sed "s/^works:.*/works: $written/" "$EH" >"$T/house.yaml"
		status 0 wy-month -H "$T/house.yaml" "$E" --month 2026-07 || continue
		[ "$(head -n 1 "$T/out")" = "$shown, July 2026" ] || fail "$written: $(head -n 1 "$T/out")"
	done <<-'END'
	'O''Neill'|O'Neill
	"Two \\"words\\""|Two "words"
	"R\\u014dkau"|Rōkau
	plain # a remark|plain
	"a # b"|a # b
	END
	report
}

@test "month: errors come first, and the status is 1" {
	bad=0
	sed 's/^2026-07-03 .*plane   L062 .*/&0/' "$E" | sed 's/cull=shake:10/cull=shake:9/' >"$T/b.wy"
	status 1 wy-month -H "$EH" "$T/b.wy" --month 2027-02 || bad=1
	section 'Needs attention' | head -n 1 | grep -q "^  - $T/b.wy:[0-9]*: " || { cat "$T/out"; bad=1; }
	wy-month -H "$EH" --month 2027-02 <"$T/b.wy" >"$T/out" && bad=1
	section 'Needs attention' | head -n 1 | grep -q '^  - standard input:[0-9]*: ' || { head -n 5 "$T/out"; bad=1; }
	# lines that cannot be read: no page, unless they are left out
	{ cat "$E"; echo '2026-07-09 grade C014 at=bench count=two'; } >"$T/b.wy"
	status 1 wy-month -H "$EH" "$T/b.wy" --month 2026-07 || bad=1
	[ ! -s "$T/out" ] || { echo "a page over lines that cannot be read"; bad=1; }
	grep -q "b.wy:149:.*error" "$T/err" || { cat "$T/err"; bad=1; }
	grep -q -e '--without-bad' "$T/err" || bad=1
	wy-month -H "$EH" --month 2026-07 <"$T/b.wy" >"$T/out" 2>"$T/err" && bad=1
	grep -q '^standard input:149:' "$T/err" || { cat "$T/err"; bad=1; }
	status 1 wy-month -H "$EH" "$T/b.wy" --month 2026-07 --without-bad || bad=1
	grep -q 'b.wy:149: ' "$T/out" || bad=1
	# more than a page can hold
	for i in $(seq 30); do echo "2026-07-09 note bench$i text=\"x\""; done | cat "$E" - >"$T/b.wy"
	status 1 wy-month -H "$EH" "$T/b.wy" --month 2026-07 || bad=1
	grep -q 'and 18 more errors; wy-check lists all of them' "$T/out" || { cat "$T/out"; bad=1; }
	[ "$bad" = 0 ]
}

@test "month: a year has the figures of its days, and the year of today ends today" {
	answers 2027-01-01 2027-12-31 -H "$S" -b
	for form in text html; do
		wy-month -H "$S" -b --year=2027 --as=$form >"$T/year" || fail "$form: status $?"
		[ $form = text ] || { awk -f tests/lib/month_html.awk "$T/year" >"$T/text"; mv "$T/text" "$T/year"; }
		sed -i 's/ this year/ this month/; s/of the year$/of the month/' "$T/year"
		awk -v span=4 -v dir="$T/answers" -v last=2027-12-31 -v kilns=' north south ' -f tests/lib/month_figures.awk "$T/year" >"$T/figures" || fail "$form: $(cat "$T/figures")"
		[ "$(tail -n 1 "$T/figures" | cut -d' ' -f1)" -gt 500 ] || fail "$form: $(cat "$T/figures")"
	done
	status 0 env WITHY_TODAY=2027-06-30 wy-month -H "$S" -b --year=2027 || :
	grep -q '^Charges in the kilns on 2027-06-30$' "$T/out" || fail 'the year of today goes past today'
	head -n 1 "$T/out" | grep -qx 'Ōkelvar Bats, 2027, up to 2027-06-30' || fail "$(head -n 1 "$T/out")"
	report
}

@test "month: every command of a page prints an answer" {
	n=0
	for call in "--month=2027-12" "--year=2026" "--charge=K27-09 --month=2027-12" "--charge=K26-01 --month=2027-12" "--charge=K27-09 --month=2027-12 --sheet"; do
		# shellcheck disable=SC2086
		status 0 wy-month -H "$S" -b $call --as=html || continue
		commands "$T/out" >"$T/commands"
		while IFS= read -r command; do
			n=$((n + 1))
			got=0
			bash -c "$command" >"$T/answer" 2>"$T/err" </dev/null || got=$?
			[ "$got" -le 1 ] && [ -s "$T/answer" ] || fail "$call: $command: status $got: $(cat "$T/err")"
		done <"$T/commands"
	done
	[ "$n" -ge 40 ] || fail "only $n commands"
	# a book whose names need quotes
	mkdir "$T/it's"
	cp "$E" "$T/it's/a b&<c.wy"
	status 0 wy-month -H "$EH" "$T/it's/a b&<c.wy" --month 2026-07 --as=html || :
	commands "$T/out" >"$T/commands"
	[ "$(wc -l <"$T/commands")" -ge 14 ] || fail "$(cat "$T/commands")"
	while IFS= read -r command; do
		bash -c "$command" >"$T/answer" 2>"$T/err" </dev/null || [ $? = 1 ] || fail "$command: $(cat "$T/err")"
	done <"$T/commands"
	report
}

@test "month: no id is twice in a page" {
	for call in "--month=2027-12" "--year=2026" "--charge=K27-09 --month=2027-12"; do
		# shellcheck disable=SC2086
		status 0 wy-month -H "$S" -b $call --as=html || continue
		[ "$(grep -o ' id="[^"]*"' "$T/out" | wc -l)" -ge 10 ] || fail "$call: few ids"
		twice=$(grep -o ' id="[^"]*"' "$T/out" | sort | uniq -d)
		[ -z "$twice" ] || fail "$call: $twice"
	done
	report
}

@test "month: the page names the book's commit and the last day that it knows" {
	cp -r "$EH" "$T/house.yaml"
	cp "$E" "$T/b.wy"
	export GIT_CONFIG_GLOBAL=/dev/null GIT_CONFIG_NOSYSTEM=1
	git -C "$T" init -q -b book
	status 0 wy-month -H "$T/house.yaml" "$T/b.wy" --month 2026-07 --as=html || :
	! grep -q 'book at' "$T/out" || fail 'a commit in a repository without one'
	git -C "$T" add b.wy
	git -C "$T" -c user.name=n -c user.email=e@example.invalid commit -qm book
	at=$(git -C "$T" rev-parse HEAD)
	git -C "$T" worktree add -q -b other "$T/elsewhere"
	cp "$T/house.yaml" "$T/elsewhere"
	for look in '' packed detached elsewhere/; do
		case $look in
		packed) git -C "$T" pack-refs --all; look= ;;
		detached) git -C "$T" checkout -q --detach; look= ;;
		esac
		status 0 wy-month -H "$T/house.yaml" "$T/${look}b.wy" --month 2026-07 --as=html || :
		grep -q "<dt>book at</dt><dd>${at:0:10}</dd>" "$T/out" || fail "$look: no commit: $(grep -o 'book at.*' "$T/out" | head -n 1)"
		grep -qF "content:\"data through 2026-07-23, book at ${at:0:10}\"" "$T/out" || fail "$look: not on paper: $(grep -o 'bottom-left.*' "$T/out")"
	done
	status 0 wy-month -H "$T/house.yaml" --month 2026-07 --as=html <"$T/b.wy" || :
	! grep -q 'book at' "$T/out" || fail 'a commit of standard input'
	report
}

# What is in the book is text on the page, whatever it looks like.
@test "month: names with markup, quotes, emoji and other directions are text" {
	cat >"$T/house.yaml" <<-'END'
	works: "<b onclick=x>&amp; \"Ō\" 'k' שלום 🏏"
	places: {k: {kind: kiln}, yard: {kind: yard}, store: {kind: store}}
	types: {SH: {name: short, form: blade}}
	parties: {p: "<script>alert(1)</script>"}
	END
	cat >"$T/b.wy" <<-'END'
	2026-01-05 buy L<i>1 form=cleft count=SH:20 into=yard
	2026-01-06 buy ש-1 form=cleft count=SH:20 into=yard
	2026-01-06 buy 🏏&"1' form=cleft count=SH:20 into=yard
	2026-01-10 order O-<script> count=SH:7 form=blade due=2026-01-20 to=x&y
	END
	wy-month -H "$T/house.yaml" "$T/b.wy" --month 2026-01 --as=html --without-bad >"$T/out" 2>/dev/null || :
	[ "$(grep -c '<h1' "$T/out")" = 1 ] || fail 'no page'
	grep -q '<p class="works" dir="auto">&lt;b onclick=x&gt;&amp;amp; &quot;Ō&quot; &#39;k&#39; שלום 🏏</p>' "$T/out" || fail "$(grep works "$T/out")"
	! grep -qE '<(b onclick|i>|script)' "$T/out" || fail "markup of the book: $(grep -nE '<(b onclick|i>|script)' "$T/out")"
	report
}

@test "month: a page of HTML for no charge, one entry, and two hundred charges" {
	echo '2026-01-05 buy L1 form=cleft count=SH:20 into=yard/b1' >"$T/b.wy"
	status 0 wy-month -H "$EH" "$T/b.wy" --month 2026-01 --as=html || :
	grep -q '<td class="num">20</td>' "$T/out" || fail 'one entry: no figure'
	awk 'BEGIN {
		for (i = 0; i < 200; i++) {
			day = sprintf("2026-01-%02d", 2 + i % 20)
			printf "2026-01-01 buy L%d form=cleft count=SH:20 into=yard/b1\n", i
			printf "%s 08:00 load K%d kiln=%s lot=L%d at=yard/b1 count=20\n", day, i, i % 2 ? "north" : "south", i
			printf "%s 09:00 probe K%d in=a:L%d/SH mc=a:24%% wood=20C meter=pin2\n", day, i, i
			printf "2026-01-28 09:00 probe K%d mc=a:%d%% wood=20C meter=pin2\n", i, 12 + i % 9
		}
	}' >"$T/b.wy"
	wy-month -H "$EH" "$T/b.wy" --month 2026-01 --as=html >"$T/out" 2>"$T/err" || [ $? = 1 ] || fail "$(cat "$T/err")"
	[ "$(sed -n '/id="open"/,/<\/table>/p' "$T/out" | grep -c '^<tr><th scope="row"')" = 200 ] || fail 'not 200 charges'
	[ "$(wc -c <"$T/out")" -lt 600000 ] || fail "$(wc -c <"$T/out") bytes"
	# the sample month is small
	status 0 wy-month -H "$S" -b --month 2027-12 --as=html || :
	[ "$(wc -c <"$T/out")" -lt 300000 ] || fail "the sample month has $(wc -c <"$T/out") bytes"
	report
}

@test "month: a charge's page, and the sheet for its kiln's door" {
	status 0 wy-month -H "$S" -b --charge K27-09 --month 2027-12 --as=html || :
	wy-dry -H "$S" -b --charge K27-09 --on 2027-12-31 --as=tsv >"$T/dry"
	# each reason for and against, and each reading of a probe to a tenth
	awk -F'\t' '/^# reasons/ { on = 1; next } on && NF == 5 && $2 == "K27-09" { print $5 }' "$T/dry" | while IFS= read -r text; do
		grep -qF "$text</span></li>" "$T/out" || echo "no: $text"
	done >"$T/missing"
	[ ! -s "$T/missing" ] || fail "$(cat "$T/missing")"
	wy-dry -H "$S" -b --charge K27-09 --curve --on 2027-12-31 --as=tsv | awk -F'\t' 'NR == 1 { for (i = 1; i <= NF; i++) at[$i] = i; next }
		$at["kind"] == "at" { printf "%s %s %.1f\n", $at["date"], $at["probe"] == "" ? $at["source"] : $at["probe"], $at["mc_pct"] }' | sort >"$T/want"
	sed -n '/id="by-day"/,/<\/table>/p' "$T/out" | sed -n 's/^<tr>\(<th scope="row".*\)<\/tr>/\1/p' | sed 's/<\/t[hd]>/ ;/g; s/<[^>]*>//g' |
		awk -F' ' 'BEGIN { split("a b c d oven", name, " ") } { n = split($0, cell, " ;"); for (i = 2; i < n; i++) if (cell[i] != "") print cell[1], name[i - 1], cell[i] }' | sort >"$T/got"
	[ "$(wc -l <"$T/want")" -ge 20 ] || fail "only $(wc -l <"$T/want") readings"
	cmp -s "$T/want" "$T/got" || fail "$(diff "$T/want" "$T/got")"
	# an emptied one has no next readings; the sheet has rows to write in
	status 0 wy-month -H "$S" -b --charge K26-01 --month 2027-12 --as=html || :
	grep -q 'Charge K26-01' "$T/out" || fail 'no page of a past charge'
	! grep -q 'What to read next' "$T/out" || fail 'a past charge is to be read'
	status 0 wy-month -H "$S" -b --charge K27-09 --month 2027-12 --as=html --sheet || :
	[ "$(sed -n '/id="rows"/,$p' "$T/out" | grep -c '^<tr><td></td>')" = 16 ] || fail 'no rows to write in'
	for probe in a b c d; do grep -q "<th scope=\"col\" class=\"num\">probe $probe</th>" "$T/out" || fail "no column for probe $probe"; done
	report
}

@test "month: in sentences, every figure has its words, and no sign is drawn" {
	status 0 wy-month -H "$S" -b --month 2027-12 --plain || :
	grep -qx 'form blade, type SH, start 1339, in 0, found 1, returned 0, made 35, culled 5, sold 155, used 19, end 1196' "$T/out" || fail "$(grep blade "$T/out")"
	grep -qx 'charge K27-08, state emptied, probes 4, mean 9.0, sd 0.4, driest to wettest 8.4 to 9.4, in band 100, 95 % interval 51 to 100, last read 2027-12-02' "$T/out" ||
		fail "$(grep K27-08 "$T/out")"
	! grep -qE '  |\.\.|^ |▁|─|│' "$T/out" || fail "$(grep -nE '  |\.\.|^ ' "$T/out" | head -n 3)"
	grep -qx 'form blade, type S5, grade 2: 31, grade 3: 38, grade 4: 60, all 129, oldest 427 days' "$T/out" || fail "$(grep 'oldest' "$T/out")"
	# the same figures as in the tables
	for part in 'Pieces this month' 'Open orders'; do
		wy-month -H "$S" -b --month 2027-12 | sed -n "/^$part/,/^\$/p" | grep -E '[0-9]' | grep -oE '[0-9]+' >"$T/tables"
		sed -n "/^$part/,/^\$/p" "$T/out" | grep -oE '[0-9]+' | diff "$T/tables" - >"$T/diff" || fail "$part: $(head -n 5 "$T/diff")"
		[ "$(wc -l <"$T/tables")" -gt 60 ] || fail "$part: $(wc -l <"$T/tables") figures"
	done
	report
}

@test "month: wrong use is 2, and says why" {
	bad=0
	while IFS='|' read -r arguments why; do
		eval "status 2 wy-month $arguments" || bad=1
		grep -q -e "$why" "$T/err" || { echo "$arguments:"; cat "$T/err"; bad=1; }
		[ ! -s "$T/out" ] || { echo "$arguments: a page"; bad=1; }
	done <<-'END'
	--month 2026-13|'2026-13' is not a valid month
	--month 2026-7|is not a valid month; write it as YYYY-MM
	--month July|is not a valid month
	--month|--month requires a value
	-H|--house requires a value
	--house|--house requires a value
	--nonsense|unknown option --nonsense
	-z $E|unknown option -z
	-H $EH $E --nonsense|unknown option --nonsense
	--month 2026-07-01|is not a valid month
	--year 27|'27' is not a valid year; write it as YYYY
	--year 2027 --month 2027-01|--month and --year cannot be combined
	--plain --as=html|leave out --as=html
	--charge K1 -H $EH $E|--charge needs --as=html
	--charge K1 --as=html -H $EH $E|no charge 'K1' was loaded by 
	--charge K26-1 --as=html --month 2026-12 -H $S -b|perhaps K26-01?
	--sheet|--sheet needs --charge
	--charge K1 --as=html --year 2026|leave out --year
	--month 0000-07|is not a valid month
	-H $EH no-such.wy|no-such.wy
	-H $EH tests|tests
	-H no-such.yaml $E|no-such.yaml
	END
	WITHY_TODAY=0001-01-05 status 2 wy-month -H "$EH" "$E" || bad=1
	grep -q 'no month is before the year 1' "$T/err" || { cat "$T/err"; bad=1; }
	WITHY_TODAY=tomorrow status 2 wy-month -H "$EH" "$E" || bad=1
	grep -q 'WITHY_TODAY=tomorrow is not a valid date' "$T/err" || { cat "$T/err"; bad=1; }
	[ "$bad" = 0 ]
}

@test "month: help, version, and options for completion" {
	status 0 wy-month --help
	grep -q '^usage: wy-month ' "$T/out"
	status 0 wy-month -h
	status 0 wy-month --version
	[ "$(cat "$T/out")" = "$(wy-stock --version | sed 's/stock/month/')" ]
	status 0 wy-month --help-options
	[ "$(wc -l <"$T/out")" = 11 ] || { cat "$T/out"; false; }
}

@test "month: a full disk and a closed output are seen" {
	bad=0
	for arguments in "-H $EH $E --month 2026-07" --help --version --help-options; do
		got=0
		wy-month $arguments >/dev/full 2>"$T/err" || got=$?
		[ "$got" = 2 ] || { echo "$arguments, full: $got"; bad=1; }
		got=0
		wy-month $arguments >&- 2>"$T/err" || got=$?
		[ "$got" = 2 ] || { echo "$arguments, closed: $got"; bad=1; }
	done
	[ "$bad" = 0 ]
}
