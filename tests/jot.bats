# wy-jot: what is typed in a hurry becomes the right line or a message, and what is acknowledged is in the book once.

load lib/common

setup() {
	at_root
	unset WITHY_PERSON LOGNAME
	cp -R samples/house.yaml samples/book "$T"
	cd "$T" || return
	last=book/2027b.wy
	cp "$last" before.wy
}

# jot WORDS...: on the second day of 2028, by mk
jot() { wy-jot --on=2028-01-02 --by=mk "$@"; }

sanitized() { nm "$bin/wy-jot" 2>/dev/null | grep -q __asan_init; }

unchanged() { cmp -s "$last" before.wy || fail "$1: the book was changed"; }

# Each row: the words, and the line that they become, single blanks between its words.
@test "jot: shortened words, values without a name and what is filled in" {
	n=0
	while IFS='|' read -r typed want; do
		n=$((n + 1))
		eval "set -- $typed"
		status 0 jot --dry "$@" || continue
		got=$(tr -s ' ' <out | paste -sd' ')
		[ "$got" = "$want" ] || fail "$typed: $got"
	done <<-'END'
		probe K27-09 12.0% 11.5% 10.9% -|2028-01-02 probe K27-09 mc=a:12.0%,b:11.5%,c:10.9%,d:- by=mk
		pro K. 12 11.5,10.9 30+|2028-01-02 probe K27-09 mc=a:12%,b:11.5%,c:10.9%,d:30%+ by=mk
		pro K. a:12 c:11|2028-01-02 probe K27-09 mc=a:12%,c:11% by=mk
		probe H035 at=cane 9.3 9.6 w=22 me=pin2/cane|2028-01-02 probe H035 at=cane mc=9.3%,9.6% wood=22C meter=pin2/cane by=mk
		sell B0730,B0733 ve pr=170|2028-01-02 sell B0730 price=170.00NZD to=velmor-cc by=mk 2028-01-02 sell B0733 price=170.00NZD to=velmor-cc by=mk
		sell B0733..B0735 walk|2028-01-02 sell B0733 to=walk-in by=mk 2028-01-02 sell B0734 to=walk-in by=mk 2028-01-02 sell B0735 to=walk-in by=mk
		sell B0733..34 walk pr=99.5|2028-01-02 sell B0733 price=99.50NZD to=walk-in by=mk 2028-01-02 sell B0734 price=99.50NZD to=walk-in by=mk
		08:00 air r1 20.5 51 me=log1|2028-01-02 08:00 air store/r1 temp=20.5C rh=51% meter=log1 by=mk
		air store/r1 51% 69F|2028-01-02 air store/r1 temp=69F rh=51% by=mk
		2027-12-30 air r1 20 50|2027-12-30 air store/r1 temp=20C rh=50% by=mk
		set sou dry 45 60|2028-01-02 set south stage=dry temp=45C rh=60% by=mk
		iss M27-08 r1 5 shop gra=1|2028-01-02 issue M27-08 at=store/r1 grade=1 count=5 into=shop by=mk
		issue M27-08 5 into=shop gra=1|2028-01-02 issue M27-08 at=store/r1 grade=1 count=5 into=shop by=mk
		move M27-08 r2 a=r1 gra=1 cou=2 cul=kn:1|2028-01-02 move M27-08 at=store/r1 grade=1 count=2 cull=knot:1 into=store/r2 by=mk
		tally M27-08 r1 grade=1 17 missing:1|2028-01-02 tally M27-08 at=store/r1 grade=1 count=17 cull=missing:1 by=mk
		fell + par=P15 girth=1420|2028-01-02 fell T105 parcel=P15 girth=1420mm by=mk
		note K. new fan belt|2028-01-02 note K27-09 text="new fan belt" by=mk
		note K. 'it is "new"'|2028-01-02 note K27-09 text="it is \"new\"" by=mk
		seal L104 wax '#' 'the ends'|2028-01-02 seal L104 with=wax by=mk # the ends
		ord + SH/1:6 to=kowe due=2028-04-15|2028-01-02 order O-433 count=SH/1:6 due=2028-04-15 to=kowelin by=mk
		ord + SH/1:6 to=kowe due=+15w|2028-01-02 order O-433 count=SH/1:6 due=2028-04-16 to=kowelin by=mk
		cost K. power 95.5 en=120|2028-01-02 cost K27-09 kind=power energy=120kWh price=95.50NZD by=mk
		meter hyg1 true=75% read=74%|2028-01-02 meter hyg1 true=75% read=74% by=mk
		seal L104 wax by=jo|2028-01-02 seal L104 with=wax by=jo
		judge M27-08/1 2 grains=8 mass=1620|2028-01-02 judge M27-08/1 grade=2 grains=8 mass=1620g by=mk
		finish B0730 2lb10oz 851 107 66 34|2028-01-02 finish B0730 mass=2lb10oz length=851mm width=107mm depth=66mm edge=34mm by=mk
		clean sou text=filters|2028-01-02 clean south text=filters by=mk
		load + J009 nor 5|2028-01-02 load K27-10 kiln=north lot=J009 at=cane count=5 by=mk
		load + nor J009 5|2028-01-02 load K27-10 kiln=north lot=J009 at=cane count=5 by=mk
	END
	[ "$n" = 29 ] || fail "$n rows"
	unchanged dry
	report
}

# The last lines of the sample book, taken off and given as they are: the same lines again.
@test "jot: a full line of a book is an entry and stays as it is" {
	head -n 1700 before.wy >"$last"
	sed -i '/^closed:/d' house.yaml
	tail -n +1701 before.wy >lines.wy
	status 0 wy-jot --on=2027-12-31 - <lines.wy
	tail -n +1701 "$last" >got
	diff lines.wy got >diff.out || fail "$(head -n 6 diff.out)"
	[ "$(wc -l <got)" -ge 400 ] || fail "only $(wc -l <got) lines"
	report
}

# Each row: the words, and a part of the message.
@test "jot: what may be two things, or cannot be, is refused with the choices, and nothing is written" {
	n=0
	while IFS='|' read -r typed want; do
		n=$((n + 1))
		eval "set -- $typed"
		status 1 jot "$@" || true
		[ ! -s out ] || fail "$typed: it prints $(cat out)"
		grep -qF -- "$want" err || fail "$typed: $(cat err)"
		unchanged "$typed"
	done <<-'END'
		se L104|event: 'se' may be seal, sell or set; write more of it
		seel L104|'seel' is not a known event; perhaps seal?
		xyz L104|'xyz' is not a known event; wy-check --events lists the events
		seal|seal needs a subject: lot
		2028-02-30 seal L104|'2028-02-30' is not a valid date
		seal L104 f=x|'f=' is not a field here; write one of with, by or doc
		grade M27-07 r1 2:4 c=x|'c=' may be count, class or cull; write more of it
		move M27-08 store a=r1|into: 'store' may be store/r1, store/r2 or store/bats; write more of it
		sell B0730 t=s|'t=' may be to or type; write more of it
		sell B. walk|subject: 'B.' may be
		sell Q. walk|subject: 'Q.' begins none of
		sell B0735..B0733 walk|is not a range of ids from one to a later one
		sell B0735..K27 walk|is not a range of ids; write it as B0204..B0207
		sell B0735, walk|subject: '' is empty
		probe K. 12 11 10|K27-09 has 4 probes in it: a b c d; give 4 readings in that order, not 3
		probe K27-08 12 11 10|no probe is in K27-08 on that day; write in=a:LOT/TYPE
		air r1 20 50 60|'60' has no field: temp= and rh= of air can go without their names
		air r1 bench|'bench' has no field
		sell L104 12 to=tervane|each takes one value that fits it; write count=12 or price=12
		sell B0735 to=tervane 150|each takes one value that fits it; write price=150
		scrap M27-08 sp:1 gra=1 a=r1|label: 'sp' may be split, speck or splice; write more of it
		seal L999 wax|entry:1:26: error: the book has no lot 'L999'
		sell B0731 kowelu|party-unknown
		issue M27-08 r1 99 shop gra=1|entry:1:53: error: this line needs 99 of M27-08 grade 1
		move + r2|subject: '+' is the next id, which only an event that brings it in can have
	END
	# with nothing to choose from
	wy-start new >/dev/null
	status 1 wy-jot -H new/house.yaml --by=me probe K. 12
	grep -qF "subject: nothing in stock, in a kiln or in the house file begins with 'K'; write it in full" err || fail "an empty book: $(cat err)"
	[ "$n" = 25 ] || fail "$n rows"
	report
}

@test "jot: an entry that spoils another line is refused there; old errors are no hindrance" {
	printf '2027-12-30 note K27-09 text=x by=zz\n' >>"$last"
	cp "$last" before.wy
	status 0 jot seal L104 wax
	! grep -q person-unknown err || fail "an old error is reported: $(cat err)"
	grep -q 'the book has 1 error already' err || fail "nothing is said of old errors: $(cat err)"
	cp before.wy "$last"
	# the count of the last day of the year was right without it
	status 1 wy-jot --by=jo 2027-12-30 scrap M27-08 at=store/r1 grade=1 knot:1
	grep -q '^book/2027b.wy:2099:[0-9]*: error' err || fail "$(cat err)"
	unchanged later
	report
}

@test "jot: a long word is not shown whole" {
	long=$(printf 'x%.0s' {1..90000})
	for words in "$long L104" "seal $long wax" "seal L104 $long=3" "air r1 20 50 $long" "move L104 a=$long. r1 3" "2027-$long seal L104" "seal L104..$long wax" \
		"seal L104 with=$long" "seal L104 wax # $long" "move L104 cou=$long:3"; do
		# shellcheck disable=SC2086
		status 1 jot $words || continue
		[ "$(wc -c <err)" -lt 1500 ] || fail "${words:0:20}: $(wc -c <err) bytes"
	done
	unchanged 'a long word'
	report
}

@test "jot: nothing is added to a closed day, and nothing taken out of one" {
	status 1 wy-jot --by=mk --on=2027-11-30 seal L104 wax
	grep -q '^entry:1:1: error: .*2027-11-30.* -- closed-changed$' err || fail "$(cat err)"
	! grep -q 'restore' err || fail "a new line cannot be restored: $(cat err)"
	status 1 wy-jot --by=mk --on=2027-11-29 --undo
	grep -q '^book/2027b.wy:[0-9]*:1: error: .* -- closed-changed$' err || fail "$(cat err)"
	unchanged 'a closed day'
	report
}

@test "jot: - takes many lines, all or none, and keeps comments" {
	printf '# after lunch\n\n08:00 air r1 20 50\nseal L104 wax # twice\nnote K. text="two words"\n' | status 0 jot -
	tail -n 4 "$last" | tr -s ' ' >got
	printf '%s\n' '# after lunch' '2028-01-02 08:00 air store/r1 temp=20C rh=50% by=mk' \
		'2028-01-02 seal L104 with=wax by=mk # twice' '2028-01-02 note K27-09 text="two words" by=mk' | cmp - got || fail "$(cat got)"
	cp "$last" before.wy
	printf '09:00 air r1 20 50\nseel L104\n' | status 1 jot -
	grep -q '^wy-jot: standard input:2: .seel. is not a known event' err || fail "$(cat err)"
	unchanged 'a bad word'
	printf '09:00 air r1 20 50\nseal L999 wax\n' | status 1 jot -
	grep -q '^entry:2:' err || fail "$(cat err)"
	unchanged 'a bad line'
	{ for i in 1 2 3 4 5 6 7 8 9; do echo "1$i:00 air r1 2$i 50"; done; echo 'seal L999 wax'; } | status 1 jot -
	[ "$(grep -c '^    2028' err)" = 1 ] || fail "lines that are right are shown: $(cat err)"
	printf '' | status 1 jot -
	# what could act on a terminal is written out, in the lines too; of many lines only the wrong ones are shown
	printf 'seal L9\033[31m wax\n' | status 1 jot -
	grep -qF '    2028-01-02 seal L9\x1b[31m with=wax by=mk' err || fail "$(cat -v err)"
	! grep -q "$(printf '\033')" err || fail "an escape on the terminal: $(cat -v err)"
	{ for i in 1 2 3 4 5 6 7 8 9; do echo 'seal L104 wax'; done; echo 'seal L999 wax'; } | status 1 jot -
	[ "$(grep -c '^    2028' err)" = 10 ] || fail "lines that are wrong are left out: $(cat err)"
	report
}

@test "jot: without a day it writes the date and the time of the works' clock" {
	# today may be a day that the sample works has closed
	sed -i '/^closed:/d' house.yaml
	status 0 wy-jot --by=jo --dry air r1 20 50
	grep -qx "$(TZ=Pacific/Auckland date +%F) [0-2][0-9]:[0-5][0-9] air     store/r1 temp=20C rh=50% by=jo" out || fail "$(cat out)"
	status 0 wy-jot --by=jo --dry --no-time air r1 20 50
	grep -q "^$(TZ=Pacific/Auckland date +%F)       air " out || fail "$(cat out)"
	WITHY_TODAY=2028-01-02 status 0 wy-jot --by=jo --dry air r1 20 50
	grep -q '^2028-01-02       air ' out || fail "$(cat out)"
	report
}

@test "jot: who writes is an option, a variable or the login name of the house; nobody is reported" {
	status 0 wy-jot --on=2028-01-02 -n seal L104 wax
	grep -q 'nobody is named' err && ! grep -q 'by=' out || fail "nobody: $(cat out err)"
	WITHY_PERSON=jo status 0 wy-jot --on=2028-01-02 -n seal L104 wax
	grep -q ' by=jo$' out && grep -q 'by=jo (WITHY_PERSON)' err || fail "WITHY_PERSON: $(cat out err)"
	LOGNAME=hn status 0 wy-jot --on=2028-01-02 -n seal L104 wax
	grep -q ' by=hn$' out || fail "LOGNAME: $(cat out err)"
	LOGNAME=root status 0 wy-jot --on=2028-01-02 -n seal L104 wax
	! grep -q 'by=' out || fail "a login that the house lacks: $(cat out)"
	LOGNAME=hn WITHY_PERSON=jo status 0 wy-jot --by=fz --on=2028-01-02 -n seal L104 wax
	grep -q ' by=fz$' out || fail "--by: $(cat out)"
	report
}

@test "jot: jot.yaml gives each person's words, and what is wrong in it is reported with its place" {
	printf 'mk:\n  probe: {meter: pin2}\n  any: {into: r2, meter: hyg1}\njo:\n  sell: {to: walk-in}\n' >jot.yaml
	status 0 jot -n pro K. 12 11 10 9 wood=20
	grep -q 'meter=pin2 by=mk' out && grep -q 'meter=pin2 (jot.yaml)' err || fail "$(cat out err)"
	status 0 jot -n probe K. out=a
	! grep -q meter out || fail "a meter without a reading: $(cat out)"
	status 0 jot -n move M27-08 a=r1 gra=1 cou=2
	grep -q 'into=store/r2' out || fail "$(cat out)"
	status 0 jot -n air r1 20 50 me=log1
	grep -q 'meter=log1' out || fail "typed words go before: $(cat out)"
	status 0 wy-jot --by=jo --on=2028-01-02 -n sell B0730
	grep -q 'to=walk-in by=jo' out || fail "$(cat out)"
	n=0
	while IFS='|' read -r text want; do
		n=$((n + 1))
		printf '%b\n' "$text" >jot.yaml
		status 2 jot -n seal L104 || true
		grep -qF "jot.yaml:$want" err || fail "$text: $(cat err)"
	done <<-'END'
		zz: {any: {at: bench}}|1:1: error: 'zz' is not in people: of the house file
		mk: {prob: {meter: pin2}}|1:6: error: 'prob' is not a known event
		mk: {seal: {meter: pin2}}|1:13: error: 'meter' is not a field of this event
		mk: {any: {wood: 16C}}|1:12: error: 'wood' changes from line to line
		mk: {any: {by: jo}}|1:12: error: 'by' is the person already
		mk: {any: {at: [bench]}}|1:12: error: 'at' needs one word
		mk: bench|1:1: error: 'mk' has no events
		mk: {any: x, any: y}|1:14: error: 
	END
	[ "$n" = 8 ] || fail "$n rows"
	report
}

@test "jot: wood and meter come from the day's own line at the same place only" {
	status 0 jot 08:00 pro K. 12 11 10 9 wood=31 meter=pin2
	status 0 jot -n 16:00 pro K. 12 11 10 9
	grep -q 'wood=31C meter=pin2' out && grep -q 'wood=31C (your line of 08:00)' err || fail "the same charge: $(cat out err)"
	status 0 jot -n 16:00 probe H035 at=cane 9.3
	! grep -q 'wood=\|meter=' out || fail "another place: $(cat out)"
	status 0 wy-jot --on=2028-01-02 --by=jo -n 16:00 pro K. 12 11 10 9
	! grep -q 'wood=\|meter=' out || fail "another person: $(cat out)"
	status 0 wy-jot --on=2028-01-03 --by=mk -n pro K. 12 11 10 9
	! grep -q 'wood=\|meter=' out || fail "another day: $(cat out)"
	report
}

@test "jot: at= is filled in where all such pieces are in one place, and not in a tally" {
	status 0 jot -n issue M27-08 5 into=shop gra=1
	grep -q 'at=store/r1 grade=1 count=5' out && grep -q 'at=store/r1 (all of M27-08 is there)' err || fail "$(cat out err)"
	# of a bat the blade's place: here the handle is not there, which the checker says
	status 1 jot -n make + M27-08 H034 type=SH gra=1
	grep -q 'at=store/r1' err && grep -q 'the book has no H034 at store/r1' err || fail "$(cat err)"
	status 1 jot -n issue C016 5 into=shop
	grep -q "requires at=" err || fail "two places: $(cat err)"
	status 1 jot -n tally M27-08 gra=1 18
	grep -q "requires at=" err || fail "a tally: $(cat err)"
	report
}

@test "jot: --undo takes out the last own entry of the day, under the same conditions" {
	status 0 jot seal L104 wax
	status 0 wy-jot --on=2028-01-02 --by=jo seal L103 wax
	status 0 jot --undo --dry
	grep -q 'L104' out || fail "$(cat out)"
	status 0 jot --undo
	grep -q '^2028-01-02 .*L104' out || fail "it does not show the line: $(cat out)"
	[ "$(tail -n 1 "$last" | tr -s ' ')" = '2028-01-02 seal L103 with=wax by=jo' ] || fail "another line went: $(tail -n 2 "$last")"
	cp "$last" before.wy
	status 1 jot --undo
	grep -q 'has no entry of 2028-01-02 with by=mk' err || fail "$(cat err)"
	unchanged 'nothing of mine'
	# somebody builds on it
	status 0 jot fell T900
	status 0 wy-jot --on=2028-01-02 --by=jo cleave L900 T900 SH:10 into=yard/b1
	cp "$last" before.wy
	status 1 jot --undo
	grep -q "this entry is not taken out" err && grep -q "^book/2027b.wy:$(wc -l <"$last"):.*T900" err || fail "$(cat err)"
	unchanged 'needed by another'
	status 0 wy-jot --on=2028-01-02 --by=jo --undo
	status 0 jot --undo
	# the last line of a file that was cut off; it is printed whole
	printf '2028-01-02 seal L104 with=wax by=mk' >>"$last"
	status 0 jot --undo
	[ "$(wc -l <out)" = 1 ] || fail "no line end: $(cat out)"
	status 2 wy-jot --on=2028-01-02 --undo
	report
}

@test "jot: --into takes another file, with and without a house; what is missing is named" {
	: >mine.wy
	status 0 jot --into=mine.wy seal L104 wax
	[ "$(wc -l <mine.wy)" = 1 ] && unchanged 'another file'
	status 1 jot --into=mine.wy seal L104 wax
	grep -q 'repeats\|line-twice' err || fail "the same again: $(cat err)"
	status 0 jot --into=book/2026a.wy seal L103 wax '# b'
	tail -n 1 book/2026a.wy | grep -q '# b$' || fail "a file of the book"
	: >alone.wy
	cd /
	status 0 wy-jot --on=2028-01-02 --into="$T/alone.wy" fell T001 girth=1420mm
	grep -q 'fell    T001   girth=1420mm' "$T/alone.wy" || fail "no house: $(cat "$T/err")"
	status 2 wy-jot --on=2028-01-02 fell T002
	cd "$T"
	status 2 jot --into=none.wy seal L104 wax
	grep -q 'touch none.wy' err || fail "$(cat err)"
	status 2 jot --into=- seal L104 wax
	for call in '' '--ask x' '--undo x' '--ask --undo' '--complete=entry -' '--complete=nothing x'; do
		# shellcheck disable=SC2086
		status 2 jot $call || true
	done
	status 2 jot --ask </dev/null
	printf '2028-01-01 seal L102 with=wax by=jo' >mine.wy # without its last newline
	status 0 jot --into=mine.wy seal L104 wax
	[ "$(wc -l <mine.wy)" = 2 ] && grep -q '^2028-01-01 seal L102 with=wax by=jo$' mine.wy || fail "$(cat mine.wy)"
	report
}

@test "jot: lines that cannot be shown are not written" {
	jot seal L104 wax >/dev/full 2>err && got=0 || got=$?
	[ "$got" = 2 ] || fail "status $got"
	unchanged 'a full disk'
	(ulimit -f 1; jot seal L104 wax >out 2>err) && got=0 || got=$?
	[ "$got" = 2 ] && grep -q 'nothing was written: File too large' err || fail "status $got where the book may not grow: $(cat err)"
	unchanged 'a book that may not grow'
	jot seal L104 wax >&- 2>err && got=0 || got=$?
	[ "$got" = 2 ] || fail "status $got when standard output is closed"
	report
}

@test "jot: of eight writers at once none loses an entry, and each next id is given once" {
	for i in 1 2 3 4 5 6 7 8; do
		(for k in 1 2 3 4 5; do wy-jot --on=2028-01-02 --by=jo fell + parcel="P$i$k" >"out.$i.$k" 2>"err.$i.$k" || echo "$i $k $?" >>refused; done) &
	done
	wait
	[ ! -e refused ] || fail "refused: $(cat refused err.*)"
	tail -n +$(($(wc -l <before.wy) + 1)) "$last" >new
	[ "$(wc -l <new)" = 40 ] && [ "$(grep -o 'T[0-9]*' new | sort -u | wc -l)" = 40 ] || fail "$(cat new)"
	cat out.* | sort >shown
	sort new | cmp - shown || fail 'other lines are shown than written'
	report
}

# A little book, so that a run is short. wy-tidy sorts it meanwhile, since the days go backwards.
@test "jot: after a thousand kills of eight writers, and of wy-tidy, each acknowledged entry is there once" {
	kills=1000
	! sanitized || kills=48
	gcc -O1 -o kills "$BATS_TEST_DIRNAME/lib/kills.c" -lm
	# in memory, where there is such a file system: a kill leaves to the disk what was written
	ram=$(mktemp -d -p /dev/shm 2>/dev/null || mktemp -d -p "$T")
	mv kills "$ram"
	cd "$ram"
	printf 'works: Test\nbook: [book.wy]\nplaces: {yard: {kind: yard}}\npeople: {jo: Jo}\n' >house.yaml
	echo '2026-01-01 note yard text=first by=jo' >book.wy
	./kills $kills 2 tidied wy-tidy --replace book.wy >tidy.report &
	./kills $kills 8 acknowledged wy-jot --by=jo 2025-06-01 note yard text=@ >jot.report || fail 'the writers failed'
	wait $! || fail 'wy-tidy failed'
	[ "$(sed 's/ killed.*//' jot.report | paste -sd+ | bc)" -ge "$kills" ] || fail "too few kills: $(cat jot.report)"
	! grep -vq ' 0 refused' jot.report || fail "refused: $(cat jot.report)"
	sed -n 's/^2025-06-01       note    yard   text=\([0-9]*-[0-9]*\) by=jo$/\1/p' book.wy | sort >there
	sort acknowledged >sure
	[ "$(wc -l <there)" = "$(sort -u there | wc -l)" ] || fail 'an entry is there twice'
	comm -23 sure there >lost
	[ ! -s lost ] || fail "lost: $(head -n 5 lost)"
	[ "$(($(wc -l <there) + 1))" = "$(wc -l <book.wy)" ] || fail "other lines: $(grep -v text=[0-9]*-[0-9] book.wy)"
	[ "$(wc -l <sure)" -ge $((kills / 20)) ] || fail "only $(wc -l <sure) were acknowledged"
	wy-check -q -b || fail 'the book has errors'
	echo "# $kills kills of each: $(wc -l <sure) acknowledged, $(wc -l <there) there, $(wc -l <tidied) tidied" >&3
	cd "$T"
	rm -rf "$ram"
	report
}

@test "jot: its page has every option" {
	page=$BATS_TEST_DIRNAME/../tools/wy-jot.1
	page_options "$page"
	[ "$options" -ge 8 ] || fail "$options options"
	report
}

@test "jot: --complete offers events, subjects, fields, values and ids" {
	n=0
	while IFS='|' read -r typed want; do
		n=$((n + 1))
		eval "set -- $typed"
		status 0 jot --complete "$@" || true
		cut -f 1 out | grep -qx -- "$want" || fail "$typed: no $want in $(head -n 5 out)"
	done <<-'END'
		entry ''|probe
		entry ''|2028-01-02
		entry 2028-01-02 ''|seal
		entry 08:00 ''|seal
		entry pro ''|K27-09
		entry sell B0730,B|B0730,B0733
		entry air ''|store/r1
		entry grade M27-08 a|at=
		entry grade M27-08 at=s|at=store/r1
		entry grade M27-08 count=|count=SH:
		entry scrap M27-08 cull=sp|cull=split:
		entry scrap M27-08 cull=split:1,|cull=split:1,knot:
		entry sell B0730 to=|to=velmor-cc
		entry issue M27-08 for=O|for=O-432
		entry make + ''|blade=
		entry clean ''|north
		ids|K27-09
		dates|2028-01-01
		to|walk-in
		meter|pin2
	END
	[ "$n" = 20 ] || fail "$n rows"
	jot --complete entry grade M27-08 at=bench '' | grep -q '^at=' && fail 'a field that is there is offered again'
	report
}
