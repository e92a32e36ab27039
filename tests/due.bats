# wy-due: ten days of the sample works, the other filters' answers beside the list, a small book of every kind of item, whom it is
# for, the calendar by the grammar and by an npm parser, and how it ends.

load lib/common

setup() {
	at_root
	S="-H samples/house.yaml"
	E=tests/cases/example/book.wy
	EH=tests/cases/example/house.yaml
	mkdir "$T/tmp"
	export TMPDIR="$T/tmp"
}

teardown() {
	[ -z "$(ls -A "$T/tmp")" ] || { echo "files are left:"; ls -R "$T/tmp"; false; }
}

# due DAY ARGUMENT...: its answer in $T/out; the status is 1 exactly where something is overdue
due() {
	local got=0 on=$1
	shift
	wy-due --on "$on" "$@" >"$T/out" 2>"$T/err" || got=$?
	[ "$got" -le 1 ] || fail "$*: status $got: $(cat "$T/err")"
	[ ! -s "$T/err" ] || fail "$*: $(cat "$T/err")"
}

# has WANT: a row of $T/out, its first columns joined by blanks, or the line itself
has() { tr '\t' ' ' <"$T/out" | grep -qxF -- "$1" || fail "no '$1' in: $(cat "$T/out")"; }
hasnt() { ! grep -q -- "$1" "$T/out" || fail "'$1' should not be in: $(cat "$T/out")"; }

# What went wrong, by samples/README.md: damp air of store/r1 in February and July 2026 and June 2027; a wet piece at probe b of K26-04;
# the trip of K26-05's compressor; the stuck probe d of K26-08; dry air in the cane room in January 2027; handles of H034
# that had not rested. To renew the rows: DAY by DAY as below. Then read every changed row.
@test "due: on ten days of the sample book what went wrong is listed, and nothing else" {
	days=$(cut -f 1 tests/cases/due/days.tsv | sort -u)
	[ "$(wc -w <<<"$days")" = 10 ]
	for day in $days; do
		due "$day" $S -b --no-header --as=tsv --columns=as_of,urgency,day,kind,finding,subject,place
		grep "^$day" tests/cases/due/days.tsv | diff - "$T/out" >"$T/diff" || fail "$day: $(cat "$T/diff")"
	done
	while IFS='|' read -r day want; do
		due "$day" $S -b --no-header --as=tsv --columns=kind,finding,subject,reason
		grep -qE -- "$want" "$T/out" || fail "$day: no '$want' in: $(cat "$T/out")"
	done <<-'END'
	2026-02-16|room	rh	store/r1	the humidity was above 55 %
	2026-05-20|probe	parts	K26-04	probe b the piece of|probe	parts	K26-04	the piece of probe b
	2026-07-13|charge	stall	K26-05	the mean fell
	2026-07-25|room	rh	store/r1	the humidity was above 55 %
	2026-11-28|probe	stuck	K26-08	probe d has shown
	2027-01-20|room	rh	cane	the humidity was below 42 %
	2027-04-26|handle	early	H034	7 of its handles went into bats
	2027-06-15|room	rh	store/r1	the humidity was above 55 %
	2027-12-31|probe	overdue	K27-09	each of probes a, b, c, d was last read 8.7 days ago
	END
	# 7 handles of H034 are in make lines of that week
	[ "$(grep -hcE '^2027-04-2[0-6].* make .*handle=H034' samples/book/2027a.wy)" = 7 ] || fail 'H034 in the book'
	report
}

# upto DAY FILE...: the lines up to that day
upto() {
	local day=$1
	shift
	cat "$@" | awk -v day="$day" '!/^[0-9]/ || $1 <= day'
}

# compare DAY HOUSE WATCHED: the filters' answers for $T/b.wy, and wy-due's
compare() {
	local day=$1 house=$2 watched=$3
	mkdir -p "$T/answers"
	rm -f "$T"/answers/*
	due "$day" -H "$house" "$T/b.wy" --as=tsv
	cp "$T/out" "$T/answers/due.tsv"
	wy-stock -H "$house" --orders --on "$day" --as=tsv "$T/b.wy" >"$T/answers/orders.tsv" 2>/dev/null || true
	wy-dry -H "$house" --on "$day" --as=tsv "$T/b.wy" 2>/dev/null | awk -v dir="$T/answers" '/^# / { file = dir "/" $2 ".tsv"; next } NF { print >file }'
	wy-air -H "$house" --spells --to "$day" --as=tsv "$T/b.wy" >"$T/answers/spells.tsv" 2>/dev/null || true
	wy-air -H "$house" --outlook --on "$day" --as=tsv "$T/b.wy" >"$T/answers/outlook.tsv" 2>/dev/null || true
	wy-check -H "$house" --as=tsv "$T/b.wy" >"$T/answers/check.tsv" 2>/dev/null || true
	awk -v dir="$T/answers" -v day="$day" -v last="$(date -d "$day +7 days" +%F)" -v recent="$(date -d "$day -1 day" +%F)" -v watched=" $watched " \
		-f tests/lib/due_same.awk >"$T/same" || fail "$(cat "$T/same")"
	compared=$((compared + $(sed -n 's/ things compared$//p' "$T/same")))
}

@test "due: an action is what to do, without remarks about the check" {
	printf 'works: Small Works\ncurrency: EUR\n' >"$T/h.yaml"
	echo '2026-03-01 buy L001 form=cleft count=SH:5 price=100.00GBP into=yard/a' >"$T/rate.wy"
	due 2026-03-05 -H "$T/h.yaml" --no-header --as=tsv --columns=action,reason "$T/rate.wy"
	has "add a line with the right date and rate, such as 2026-01-31 rate GBP is=1.25EUR the price in GBP cannot be converted: no GBP rate in EUR on or before that day (reported once per currency)"
	report
}

@test "due: before the first grading it is not known what wood under way brings, and no order is given up for that" {
	cat >"$T/new.wy" <<-'END'
	2026-07-01 buy L001 form=cleft count=SH:100 into=yard/a
	2026-07-02 load K-1 kiln=east lot=L001 at=yard/a count=100
	2026-07-03 order O-1 form=blade count=SH/1:5,SH/2:3 due=2026-12-15
	2026-07-03 order O-2 form=blade count=HA/1:1 due=2026-12-15
	END
	due 2026-07-20 --no-header --as=tsv --columns=subject,action,fill "$T/new.wy"
	has "O-1 decide when the first blades are graded nobody knows whether the 100 pieces under way bring 5 SH grade 1, 3 SH grade 2, for no blade was graded yet under the grading scheme in force"
	has "O-2 make up what is short, or tell the customer nothing under way brings 1 HA grade 1"
	# when it is late, nobody can wait for that
	due 2026-12-16 --no-header --as=tsv --columns=subject,action,fill "$T/new.wy"
	has "O-1 make up what is short, or tell the customer nobody knows whether the 100 pieces under way bring 5 SH grade 1, 3 SH grade 2, for no blade was graded yet under the grading scheme in force"
	report
}

@test "due: nothing is missed that wy-check, wy-dry, wy-air or wy-stock --orders reports" {
	compared=0
	for day in 2026-02-16 2026-05-20 2026-07-13 2026-07-25 2026-11-28 2027-04-26 2027-06-15 2027-12-31; do
		upto "$day" samples/book/*.wy >"$T/b.wy"
		compare "$day" samples/house.yaml 'store/r1 store/r2 cane'
	done
	[ "$compared" -ge 60 ] || fail "only $compared things compared"
	# a book with errors and warnings of wy-check
	all_kinds >"$T/b.wy"
	compare 2028-03-01 "$EH" 'store/r1 cane'
	[ "$(awk -F'\t' '$5 == "warning"' "$T/answers/check.tsv" | wc -l)" -ge 3 ] || fail "$(cat "$T/answers/check.tsv")"
	# the comparison itself can fail
	sed -i '/probe-left-in/d' "$T/answers/due.tsv"
	! awk -v dir="$T/answers" -v day=2028-03-01 -v last=2028-03-08 -v recent=2028-02-29 -v watched=' store/r1 ' -f tests/lib/due_same.awk >"$T/same" || fail 'a row less is not seen'
	report
}

@test "due: later lines do not show, and neither does the order of lines and files" {
	for day in 2026-07-13 2027-04-26; do
		due "$day" $S --as=csv -b
		cut -d, -f 1-11 "$T/out" >"$T/want"
		upto "$day" samples/book/*.wy | tac >"$T/b.wy"
		due "$day" $S --as=csv "$T/b.wy"
		cut -d, -f 1-11 "$T/out" | diff "$T/want" - >"$T/diff" || fail "$day: $(head -n 4 "$T/diff")"
	done
	due 2026-07-13 $S --as=text samples/book/2026b.wy samples/book/2026a.wy
	grep -q '^[0-9]* entries are dated after this day and not counted.$' "$T/out" || fail "$(tail -n 5 "$T/out")"
	report
}

# the example's book, and what can go wrong
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
	2028-02-20 set north stage=off by=mk
	2028-02-27 unload K28-02 count=20 into=bench by=mk
	2028-02-28 air store/r1 temp=84C rh=50% meter=hyg1 by=mk
	END
}

@test "due: every kind of item, with what to do and its line" {
	all_kinds >"$T/b.wy"
	line() { grep -n -- "$1" "$T/b.wy" | tail -n 1 | cut -d: -f1; }
	due 2028-03-01 -H "$EH" "$T/b.wy" --no-header --as=tsv --columns=urgency,day,kind,finding,subject,line --back=31
	while IFS='|' read -r want pattern; do
		has "$want $(line "$pattern")"
	done <<-'END'
	overdue 2028-02-20 kiln kiln-off-full north|set north stage=off
	overdue 2028-02-27 probe probe-left-in K28-02|unload K28-02
	overdue 2028-02-20 order short O-900|order O-900
	later  order short O-901|order O-901
	today 2028-02-28 book implausible store/r1|temp=84C
	overdue 2028-02-08 probe overdue K28-01|probe K28-01
	today 2028-03-01 wood out-of-target store/r1|probe L061 at=store/r1 mc=14.2
	today 2028-03-01 charge emptied K28-02|unload K28-02
	END
	# both instruments of the example are overdue
	[ "$(grep -c '^overdue.*	instrument	check	' "$T/out")" = 2 ] || fail "$(cat "$T/out")"
	# what was put right is not listed: the kiln set on, the probe taken out, a check, the order met
	{ cat "$T/b.wy"; printf '%s\n' '2028-02-21 set north stage=dry by=mk' '2028-02-26 probe K28-02 out=a by=mk' '2028-02-28 meter hyg1 true=75.3% read=75.0% by=mk' \
		'2028-02-28 order O-900 count=SH/1:0 to=harbour-cc' | sed '/O-900/d'; } >"$T/c.wy"
	due 2028-03-01 -H "$EH" "$T/c.wy" --no-header --as=tsv --columns=kind,finding,subject
	hasnt 'kiln-off-full'
	hasnt 'probe-left-in'
	hasnt 'hyg1'
	# emptied, the kiln needs nothing more
	{ cat "$T/b.wy"; echo '2028-02-29 unload K28-01 count=60 into=bench by=mk'; } >"$T/c.wy"
	due 2028-03-01 -H "$EH" "$T/c.wy" --no-header --as=tsv --columns=kind,finding,subject
	hasnt 'kiln-off-full'
	has 'charge emptied K28-01'
	report
}

@test "due: handles, ages, counts and instruments, each on the day of its limit and the day after" {
	cat >"$T/house.yaml" <<-'END'
	places:
	  store: {kind: store, count-every: 10d}
	  cane: {kind: store}
	  shop: {kind: shop}
	types: {SH: {form: blade}, HS: {form: handle}}
	meters: {m1: {kind: pin, check-every: 30d}, m2: {kind: pin, check-every: 30d}, m3: {kind: pin}}
	rests: [{form: handle, at: [cane], for: 20d}]
	oldest: {blade: 15d}
	intervals: {count: 100d}
	END
	cat >"$T/b.wy" <<-'END'
	2026-03-01 buy L1 form=blade count=SH/1:5 into=store
	2026-03-01 buy H1 form=handle count=HS:9 into=cane
	2026-03-02 meter m1 true=12.0% read=12.1%
	2026-03-03 probe L1 at=store mc=9.0% wood=20C meter=m2
	2026-03-03 probe L1 at=store mc=9.0% wood=20C meter=m3
	END
	row() { due "$1" -H "$T/house.yaml" "$T/b.wy" --no-header --as=tsv --columns=urgency,day,kind,finding,subject --days=5; }
	row 2026-03-05
	[ "$(tr '\t' ' ' <"$T/out")" = 'later 2026-04-02 instrument never m2' ] || fail "5 March: $(cat "$T/out")"
	row 2026-03-06
	has 'soon 2026-03-11 count count store'
	row 2026-03-11
	has 'today 2026-03-11 count count store'
	row 2026-03-12
	has 'overdue 2026-03-11 count count store'
	row 2026-03-16
	hasnt 'stock'
	has 'soon 2026-03-21 handle rested H1'
	row 2026-03-17
	has 'today 2026-03-17 stock old store'
	row 2026-03-21
	hasnt 'handle'
	row 2026-04-01
	has 'today 2026-04-01 instrument check m1'
	row 2026-04-02
	has 'overdue 2026-04-01 instrument check m1'
	has 'today 2026-04-02 instrument never m2'
	hasnt 'm3'
	# counted; empty for a while; in bats on the last day of the rest, and after it
	echo '2026-03-11 tally L1 at=store form=blade type=SH grade=1 count=5' >>"$T/b.wy"
	row 2026-03-12
	hasnt 'count'
	printf '%s\n' '2026-03-13 issue L1 at=store count=5 into=shop' '2026-03-13 move H1 at=cane count=3 into=shop' '2026-03-18 buy L2 form=blade count=SH/1:2 into=store' \
		'2026-03-20 make B1 blade=L1 handle=H1 at=shop' '2026-03-21 make B2 blade=L1 handle=H1 at=shop' >>"$T/b.wy"
	row 2026-03-24
	hasnt 'overdue.*count'
	has 'soon 2026-03-28 count count store'
	has 'overdue 2026-03-20 handle early H1'
	row 2026-03-14
	has 'today 2026-03-14 handle in-shop H1'
	# pieces that a tally finds were counted that day
	echo '2026-03-05 tally L9 at=bay form=blade type=SH grade=1 count=2 found=2' >"$T/found.wy"
	due 2026-06-13 -H "$T/house.yaml" "$T/found.wy" --no-header --as=tsv --columns=urgency,day,finding,subject,reason
	has 'today 2026-06-13 count bay 2 pieces there; last counted on 2026-03-05'
	due 2026-03-24 -H "$T/house.yaml" "$T/b.wy" --no-header --as=tsv --columns=finding,reason
	has 'early 1 of its handles went into a bat on 2026-03-20; the lot came in on 2026-03-01 and must rest for 20 days'
	report
}

@test "due: for whom, how far ahead, and how far back" {
	due 2027-12-31 $S -b --for fz --as=tsv --no-header --columns=subject
	[ ! -s "$T/out" ] || fail "fz: $(cat "$T/out")"
	due 2027-01-20 $S -b --for fz --as=tsv --no-header --columns=subject,who
	[ "$(sort -u "$T/out")" = "$(printf 'cane\tfz')" ] || fail "fz: $(cat "$T/out")"
	due 2027-12-31 $S -b --for jo --as=tsv --no-header --columns=kind,who
	[ "$(sort -u "$T/out" | tr '\t\n' ' ;')" = 'charge mk,jo;kiln mk,jo;order jo;probe mk,jo;' ] || fail "jo: $(cat "$T/out")"
	due 2026-07-25 $S -b --for hn --as=text
	grep -q 'more \(is\|are\) left out: the house file names nobody' <(tr -s '\n ' ' ' <"$T/out") || fail "nobody: $(cat "$T/out")"
	due 2027-12-31 $S -b --days=0 --as=text
	grep -q '^On 2027-12-31, 3 things are overdue, 1 is due today, 3 are to be decided before$' "$T/out" || fail "days=0: $(head -n 2 "$T/out")"
	hasnt 'Within'
	due 2027-12-31 $S -b --days=1 --as=text
	head -n 1 "$T/out" | grep -q '3 things are overdue, 1 is due today, 3 are' || fail "days=1: $(head -n 1 "$T/out")"
	due 2027-12-31 $S -b --days=2 --as=text
	grep -q '^Within 2 days$' "$T/out" || fail "days=2: $(cat "$T/out")"
	# the last day on which a charge was emptied out of the band is looked back to
	all_kinds >"$T/b.wy"
	for back in 3 4; do
		due 2028-03-01 -H "$EH" "$T/b.wy" --back=$back --as=tsv --columns=finding
		[ "$(grep -c emptied "$T/out")" = $((back - 3)) ] || fail "back=$back"
	done
	report
}

@test "due: the status is 1 exactly if something is overdue" {
	printf '%s\n' '2026-01-05 buy L1 form=blade count=SH/1:9 into=store' '2026-01-06 order O-1 form=blade count=SH/1:3 due=2026-01-10' >"$T/b.wy"
	status 0 wy-due --on 2026-01-10 "$T/b.wy" --as=tsv
	[ "$(sed -n 2p "$T/out" | cut -f 2,3,6,8,14)" = "$(printf 'today\t2026-01-10\torder\tO-1\tprepare it')" ] || fail "$(cat "$T/out")"
	status 1 wy-due --on 2026-01-11 "$T/b.wy" --as=tsv
	[ "$(sed -n 2p "$T/out" | cut -f 2,5,14)" = "$(printf 'overdue\t-1\tdeliver it')" ] || fail "$(cat "$T/out")"
	status 0 wy-due --on 2026-01-02 "$T/b.wy" --as=text
	grep -q '^On 2026-01-02, nothing is due[.]$' "$T/out" || fail "$(cat "$T/out")"
	status 0 wy-due --on 2026-01-02 --as=text </dev/null
	WITHY_TODAY=2026-01-11 status 1 wy-due "$T/b.wy"
	status 1 sh -c "wy-due --on 2026-01-11 <'$T/b.wy'"
	# an error of the book is overdue, a warning is not
	echo '2026-01-07 sell L1 at=store type=SH count=99 to=x' >>"$T/b.wy"
	status 1 wy-due --on 2026-01-09 "$T/b.wy" --as=tsv --columns=urgency,kind,finding
	grep -q "^overdue	book	stock-short$" "$T/out" || fail "$(cat "$T/out")"
	# a line that cannot be read
	echo '2026-01-08 sell L1 count=two' >>"$T/b.wy"
	status 1 wy-due --on 2026-01-09 "$T/b.wy" || true
	[ ! -s "$T/out" ] && grep -q ':4:.*number-malformed' "$T/err" && grep -q -e '--without-bad' "$T/err" || fail "$(cat "$T/out" "$T/err")"
	status 1 wy-due --on 2026-01-09 "$T/b.wy" --without-bad --as=tsv
	grep -q '	book	number-malformed	' "$T/out" || fail "$(cat "$T/out")"
	report
}

# calendar DAY ARGUMENT...: as iCalendar in $T/c.ics, sound by the grammar
calendar() {
	due "$@" --as=ics
	cp "$T/out" "$T/c.ics"
	iconv -f UTF-8 -t UTF-8 "$T/c.ics" >"$T/utf8" || fail "$*: not UTF-8"
	LC_ALL=C awk -f tests/lib/ical.awk "$T/c.ics" >"$T/wrong" || fail "$*: $(head -n 3 "$T/wrong")"
}

@test "due: the calendar keeps to RFC 5545, and a parser reads what the table says" {
	[ -d tests/oracles/node_modules/ical.js ] || [ -z "$WITHY_QUICK" ] || skip "the npm packages are not installed (quick run)"
	for day in 2026-07-25 2027-04-26 2027-12-31; do
		calendar "$day" $S -b
		node tests/oracles/ical.js "$T/c.ics" >"$T/events" || fail "$day: $(cat "$T/events")"
		due "$day" $S -b --as=tsv --no-header --columns=urgency,day,last_day,kind,place,subject,action
		awk -F'\t' -v OFS='\t' -v on="$day" '$2 != "" { first = $2 < on ? on : $2; last = $3 == "" || $3 < first ? first : $3
			print first, last, on "T00:00:00Z", $4, $5, ($1 == "overdue" ? "Overdue: " : "") $6 ": " $7 }' "$T/out" >"$T/want"
		cut -f 2-7 "$T/events" | diff "$T/want" - >"$T/diff" || fail "$day: $(head -n 5 "$T/diff")"
		[ "$(wc -l <"$T/want")" -ge 7 ] || fail "$day: few"
	done
	# the reason, the line and the caution are in the description
	grep -q 'each of probes a, b, c, d was last read 8.7 days ago (limit 8)\\nsamples/book/2027b.wy:[0-9]*\\nBefore you open or enter a kiln' "$T/events" ||
		fail "$(cat "$T/events")"
	grep -q '(all in stock)\\nDue since 2027-12-02\\nsamples/book/2027b.wy:900	\?$' "$T/events" || fail "$(cat "$T/events")"
	# a matter keeps its UID on the next day, and has it only once
	cut -f 1,7 "$T/events" | sort >"$T/before"
	calendar 2028-01-01 $S -b
	node tests/oracles/ical.js "$T/c.ics" | cut -f 1,7 | sort | comm -12 "$T/before" - >"$T/both"
	[ "$(wc -l <"$T/both")" -ge 5 ] || fail "the UIDs change: $(cat "$T/before" "$T/both")"
	# the checks can fail
	sed '0,/^SUMMARY:/s//SUMMARY:a;b,c/' "$T/c.ics" >"$T/wrong.ics"
	! LC_ALL=C awk -f tests/lib/ical.awk "$T/wrong.ics" >/dev/null || fail 'an escape that lacks is not seen'
	sed '0,/^END:VEVENT/s///' "$T/c.ics" >"$T/wrong.ics"
	! node tests/oracles/ical.js "$T/wrong.ics" >/dev/null || fail 'the parser takes anything'
	report
}

@test "due: names of any kind are safe in a calendar, and no line is too long" {
	mkdir "$T/d"
	name=$'ā\\b;c,d\n\e[31m'"$(printf 'ōkel%.0s' $(seq 30)).wy"
	printf '%s\n' '2026-01-05 buy L1 form=blade count=SH/1:9 into=store' '2026-01-06 order O-1 form=blade count=SH/1:3 due=2026-01-10' >"$T/d/$name"
	(cd "$T/d" && wy-due --on 2026-01-10 --as=ics -- "$name") >"$T/c.ics"
	LC_ALL=C awk -v want=1 -f tests/lib/ical.awk "$T/c.ics" >"$T/wrong" || fail "$(cat "$T/wrong")"
	! LC_ALL=C grep -q $'[\001-\010\013\014\016-\037\177]' "$T/c.ics" || fail 'a control character'
	[ "$(tr -d '\r' <"$T/c.ics" | awk '/^ / { line = line substr($0, 2); next } { print line; line = $0 }' | grep -c 'āb\|ā\\\\b\\;c\\,d')" = 1 ] || fail "$(cat "$T/c.ics")"
	# without items it is still a calendar; and as the stamps, so the bytes depend on the day alone
	wy-due --on 2026-01-02 --as=ics </dev/null >"$T/c.ics"
	LC_ALL=C awk -v want=0 -f tests/lib/ical.awk "$T/c.ics" || fail 'empty'
	TZ=America/New_York LC_ALL=C wy-due $S -b --on 2027-12-31 --as=ics >"$T/one" || true
	TZ=Asia/Tokyo LC_ALL=C.UTF-8 wy-due $S -b --on 2027-12-31 --as=ics >"$T/two" || true
	cmp "$T/one" "$T/two" || fail 'the surroundings show'
	report
}

@test "due: text of 80 columns, every form, and the columns" {
	for day in 2026-07-25 2027-04-26 2027-12-31; do
		due "$day" $S -b --as=text
		LC_ALL=C.UTF-8 awk 'length > 80 { print "too wide: " $0; bad = 1 } /[ \t]$/ { print "ends in a blank: " $0; bad = 1 } END { exit bad }' "$T/out" >"$T/wide" || fail "$day: $(cat "$T/wide")"
	done
	grep -q '^  2027-12-31  K27-09 in south: read the probes$' "$T/out" || fail "$(cat "$T/out")"
	grep -q '^              mk,jo; samples/book/2027b.wy:[0-9]*$' "$T/out" || fail "$(cat "$T/out")"
	tail -n 2 "$T/out" | grep -q "the local rules and the advice of a qualified person" || fail 'no caution'
	due 2027-12-31 $S -b --as=json
	jq -e '.[0] | .as_of == "2027-12-31" and .days == -32 and .line > 0 and .kind == "order" and .last_day == "2027-11-29"' "$T/out" >/dev/null || fail "$(head -n 2 "$T/out")"
	for form in md html csv; do
		due 2027-12-31 $S -b --as=$form
		grep -q 'K27-09' "$T/out" || fail "$form"
	done
	due 2027-12-31 $S -b --as=text --columns=day,subject
	head -n 4 "$T/out" | grep -q '^day  *subject$' || fail "$(cat "$T/out")"
	report
}

@test "due: wrong use is 2, and says why" {
	while IFS='|' read -r arguments why; do
		eval "status 2 wy-due $arguments" || true
		grep -q -e "$why" "$T/err" || fail "$arguments: $(cat "$T/err")"
		[ ! -s "$T/out" ] || fail "$arguments: an answer"
	done <<-'END'
	--on 2026-02-30|2026-02-30
	--days=-1|--days
	--days=x|--days
	--back=0|--back
	--as=xml|--as
	--as=ics --columns=day $E|--as=ics has no columns
	--as=ics --no-header $E|--as=ics has no columns
	$S -b --for mj|'mj' is not one of the people in the house file; perhaps m
	-H $EH $E --for nobody|see people: there
	--for mk $E|see people: there
	--columns=nonsense --on 2026-01-01 $E|nonsense
	-H no-such.yaml $E|no-such.yaml
	no-such.wy|no-such.wy
	--nonsense|unknown option --nonsense
	END
	for arguments in "$S -b --on 2027-12-31" "$S -b --on 2027-12-31 --as=ics" --help; do
		got=0
		wy-due $arguments >/dev/full 2>"$T/err" || got=$?
		[ "$got" = 2 ] || fail "$arguments, full: $got"
	done
	report
}

@test "due: a charge that fills several items of an order is named once" {
	wy-due -H samples/house.yaml -b --on 2027-11-10 --as=csv --columns=subject,fill | grep '^O-420,' >"$T/fill"
	[ "$(grep -o 'K27-07 (dry ' "$T/fill" | wc -l)" = 1 ] || fail "$(cat "$T/fill")"
	[ "$(grep -o 'with a chance of ' "$T/fill" | wc -l)" = 3 ] || fail "$(cat "$T/fill")"
	report
}
