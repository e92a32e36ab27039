# needs: perl
# wy-intake --loggers: a box of exports in one command, each to the place of its logger; and warnings of
# readings that are not plausible.

load lib/common

setup() {
	at_root
	W=$PWD/tests/lib/workbook.pl
	cd "$T" || return
	cat >house.yaml <<-'EOF'
	works: Test works
	places:
	  kiln1: {kind: kiln, capacity: 100}
	  store/r1: {kind: store}
	  store/r2: {kind: store}
	  cane: {kind: store}
	  shop: {kind: shop}
	meters:
	  log1: {kind: hygrometer}
	loggers:
	  - {serial: "20931875", mapping: maps/room.yaml, place: store/r1, meter: log1}
	  - {serial: "20931", mapping: maps/room.yaml, place: store/r2}
	  - {serial: Cane room, mapping: maps/sheet.yaml, place: cane}
	  - {serial: kiln-7, mapping: maps/lines.yaml, place: kiln1}
	  - {serial: "Temp, shop", mapping: maps/shop.yaml}
	EOF
	mkdir maps box
	map 'header-has: time' ':ss' >maps/room.yaml
	map 'header-rows: 1' ':ss' >maps/sheet.yaml
	map 'header-rows: 1' ':ss' >maps/lines.yaml
	cat >maps/shop.yaml <<-'EOF'
	time: {column: time, form: "YYYY-MM-DD hh:mm"}
	entries:
	  - {event: air, subject: shop, temp: {column: "Temp, shop", unit: C}}
	EOF
	: >book.wy
}

# map FILE-KEYS SECONDS: a mapping without a subject
map() {
	cat <<-EOF
	file: {$1}
	time: {column: time, form: "YYYY-MM-DD hh:mm[$2]"}
	entries:
	  - event: air
	    temp: {column: temp_C, unit: C}
	    rh: {column: rh, unit: "%"}
	EOF
}

box() {
	printf 'Exported by hand;20931875;\ntime,temp_C,rh\n2026-06-09 14:00,20.5,51\n2026-06-09 14:10,20.6,50.5\n' >box/a.csv
	printf 'time,temp_C,rh\n2026-06-09 14:00,18.5,52\n' >box/20931-june.csv
	printf 's:time\ts:temp_C\ts:rh\nn1:46182.583333333336\tn:17.5\tn:53\n' | perl "$W" 'box/Cane room 2026.xlsx'
	printf '{"device":"kiln-7","time":"2026-06-09 14:00:00","temp_C":38.5,"rh":70}\n' >box/data.jsonl
	printf 'time,"Temp, shop"\n2026-06-09 14:00,19.5\n2026-06-09 14:10,x\n' >box/export.csv
}

@test "loggers: a box of exports goes to its places in one command, with a table of what went where" {
	box
	status 1 wy-intake -q --loggers --into book.wy --report tsv box/*
	cat >want.tsv <<-'EOF'
	file	logger	place	mapping	rows	entries	in_book	unreadable
	box/20931-june.csv	20931	store/r2	maps/room.yaml	2	1	0	0
	box/Cane room 2026.xlsx	Cane room	cane	maps/sheet.yaml	2	1	0	0
	box/a.csv	20931875	store/r1	maps/room.yaml	4	2	0	0
	box/data.jsonl	kiln-7	kiln1	maps/lines.yaml	1	1	0	0
	box/export.csv	Temp, shop		maps/shop.yaml	3	1	0	1
	EOF
	same want.tsv "the table"
	cat >want.wy <<-'EOF'
	2026-06-09 14:00 air store/r2 temp=18.5C rh=52%
	2026-06-09 14:00 air cane temp=17.5C rh=53%
	2026-06-09 14:00 air store/r1 temp=20.5C rh=51% meter=log1
	2026-06-09 14:10 air store/r1 temp=20.6C rh=50.5% meter=log1
	2026-06-09 14:00 air kiln1 temp=38.5C rh=70%
	2026-06-09 14:00 air shop temp=19.5C
	EOF
	diff book.wy want.wy || fail "the book differs"
	wy-check book.wy >out 2>&1 || fail "the book is not clean: $(cat out)"
	rm box/export.csv
	status 0 wy-intake -q -l --into book.wy box/*
	diff book.wy want.wy || fail "the second time changed the book"
	grep -q '^box/a.csv *20931875 *store/r1 *maps/room.yaml *4 *0 *2 *0$' out || fail "the table: $(cat out)"
	status 0 wy-intake -q -l box/*
	head -n 5 want.wy | cmp - out || fail "standard output: $(cat out)"
	grep -q '^box/a.csv *20931875 ' err || fail "no table on standard error"
	cd box && status 0 wy-intake -q -l a.csv || fail "from another directory: $(cat "$T/err")"
	report
}

@test "loggers: an unknown one is an error with the line to add, which passes when it is added" {
	box
	mkdir more
	printf 'Serial number: QX-4471 (rev 2)\ntime,temp_C,rh\n2026-06-09 14:00,20.5,51\n' >more/x.csv
	printf 'time,temp_C,rh\n2026-06-09 14:00,20.5,51\n' >more/attic.csv
	sed -i '/place: kiln1/d' house.yaml
	cp house.yaml before.yaml
	for name in x attic; do
		cp before.yaml house.yaml
		status 2 wy-intake -q --loggers --into book.wy box/a.csv "more/$name.csv"
		[ ! -s book.wy ] || fail "$name: some lines were appended"
		grep -q "^more/$name.csv:1:1: error: no logger of house.yaml is named in it; add this line to .loggers., with its own place and mapping: - {serial: " err || fail "$(cat err)"
		line=$(sed -n 's/^more.*mapping: - /- /p' err)
		awk -v line="  $line" '{ print } /^loggers:/ { print line }' before.yaml >house.yaml
		status 0 wy-intake -q --loggers "more/$name.csv" || fail "$name: the line does not pass: $line: $(cat err)"
		grep -q "^2026-06-09 14:00 air kiln1 " out || fail "$name: not at the first place without a logger: $(cat out)"
	done
	grep -q 'serial: "attic"' house.yaml || fail "not found by the file's name"
	report
}

@test "loggers: what cannot be decided or does not fit is an error, and nothing is taken in" {
	box
	cases() {
		cat <<-'EOF'
		printf 'Cane room, kiln-7\ntime,temp_C,rh\n' >box/a.csv|box/a.csv:1:1: error: two loggers are named in it: `Cane room` and `kiln-7`; take it in alone, with its --map
		mv box/a.csv box/209318750.csv; sed -i 1d box/209318750.csv|box/209318750.csv:1:1: error: no logger of house.yaml is named in it
		rm box/a.csv; ln -s none.csv box/a.csv|box/a.csv:1:1: error: it cannot be read: No such file or directory
		sed -i 's/, place: cane//' house.yaml|maps/sheet.yaml:4:5: error: the entry has no `subject`; add it, such as `subject: store`, or give the logger a `place`
		sed -i 's/shop.yaml/shop.yaml, place: shop/' house.yaml|maps/shop.yaml:3:5: error: every entry has its own `subject`; remove it, or remove `place` of the logger
		rm maps/lines.yaml|cannot read maps/lines.yaml: No such file
		sed -i '/serial/d; s/loggers:/loggers: []/' house.yaml|the house file has no loggers; list the works' loggers in the house file as `loggers`
		rm house.yaml|--loggers requires a house file
		sed -i 's/place: cane/place: canes/' house.yaml|house.yaml:13:58: error: 'canes' is not a known place; perhaps 'cane'? -- house-id-unknown
		sed -i 's/meter: log1/meter: log2/' house.yaml|house.yaml:11:75: error: 'log2' is not a known meter
		sed -i 's/serial: kiln-7/serial: "20931"/' house.yaml|the logger '20931' is listed twice; remove one of the two -- house-id-twice
		sed -i 's/serial: kiln-7/serial: k/' house.yaml|'k' is too short to find a logger by
		EOF
	}
	cp -r . ../start
	n=0
	while IFS='|' read -r change want; do
		n=$((n + 1))
		rm -rf ../case
		cp -r ../start ../case
		cd ../case || return
		eval "$change"
		wy-intake -q --loggers --into book.wy box/*.csv >out 2>err && got=0 || got=$?
		[ "$got" = 2 ] || fail "$change: status $got"
		grep -qF -- "$want" err || fail "$change: $(cat err)"
		[ ! -s book.wy ] || fail "$change: lines were appended"
	done < <(cases)
	cd "$T"
	for use in '--loggers' '--loggers -' '--loggers -m maps/room.yaml box/a.csv' '--loggers --guess box/a.csv' '--loggers --join box/a.csv box/b.csv'; do
		# shellcheck disable=SC2086
		status 2 wy-intake $use </dev/null || true
	done
	[ "$n" = 12 ] || fail "$n cases"
	report
}

# air PLACE: rows `time temp rh` of standard input as an export, taken in for that place
air() {
	{ echo time,temp_C,rh; cat; } >air.csv
	sed "s|event: air|event: air\n    subject: $1|" maps/lines.yaml >air.yaml
	wy-intake --map air.yaml air.csv >out 2>err && got=0 || got=$?
	[ "$got" = 0 ] || fail "$1: status $got: $(cat err)"
	sed -n '/: warning: .* -- [^c]/p' err >warned # the steps of a clock are of another test
}

warns() { grep -qF -- "$1" warned || fail "no warning '$1': $(cat warned)"; }
counts() { [ "$(wc -l <warned)" = "$1" ] || fail "$(wc -l <warned) warnings, not $1: $(cat warned)"; }

@test "plausible: a store at 60 C, a jump and a stuck value are warned of once each, with their line" {
	printf '2026-06-09 %02d:00,%s,50\n' 1 20 2 25 3 29 4 20 | air store/r1
	counts 0
	printf '2026-06-09 %02d:00,%s,50\n' 1 44 2 52 3 60 4 52 5 44 6 50 | air store/r1
	counts 2
	warns 'air.csv:3:1: warning: store/r1: temp=52C is outside what is plausible here, -20..45C; is it the sensor, the unit, or the place? -- implausible'
	warns 'air.csv:7:1: warning: store/r1: temp=50C is outside'
	printf '2026-06-09 %02d:00,%s,50\n' 1 44 2 52 3 60 4 70 | air kiln1
	counts 0
	printf '2026-06-09 %02d:00,20,%s\n' 1 50 2 4.9 3 5 | air kiln1
	counts 1
	warns 'air.csv:3:1: warning: kiln1: rh=4.9% is outside what is plausible here, 10..100%'
	printf '2026-06-09 %02d:%02d,%s,%s\n' 1 0 20 50 1 10 30 90 1 20 40.1 49.9 4 0 20 90 | air store/r1
	counts 2
	warns 'air.csv:4:1: warning: store/r1: temp=40.1C was 30C 10 min before; was the instrument moved? -- jump'
	warns 'air.csv:4:1: warning: store/r1: rh=49.9% was 90% 10 min before; was the instrument moved? -- jump'
	printf '2026-06-09 %02d:%02d,%s,50\n' 1 20 40.1 1 10 30 1 0 15 | air store/r1 # the newest first
	counts 2
	warns 'temp=15C was 30C 10 min later'
	# 49 hours of one humidity; the temperature moves
	awk 'BEGIN { for (i = 0; i < 60; i++) printf "2026-06-%02d %02d:00,%d,%d\n", 9 + int(i / 24), i % 24, 15 + i % 3, i < 50 ? 50 : i }' | air store/r1
	counts 1
	warns 'air.csv:51:1: warning: store/r1: rh=50% has not changed for 2 d 1 h, since line 2; does the sensor still work? -- stuck'
	# the same value on both sides of a gap of a month shows nothing
	printf '2026-%02d-09 01:00,20,50\n' 5 6 7 8 9 | air store/r1
	counts 0
	report
}

@test "plausible: the limits are the house's, and without a house only what no kiln has is warned of" {
	printf 'plausible: {room-temp: 10..30C, rh: 30..70%%, temp-jump: 2, rh-jump: 5, stuck: 24h}\n' >>house.yaml
	printf '2026-06-09 %02d:00,%s,%s\n' 1 30 50 2 30.1 70.1 3 28 75 | air store/r1
	counts 4
	warns 'temp=30.1C is outside what is plausible here, 10..30C'
	warns 'rh=70.1% is outside what is plausible here, 30..70%'
	warns 'temp=28C was 30.1C 1 h before'
	warns 'rh=70.1% was 50% 1 h before'
	awk 'BEGIN { for (i = 0; i < 27; i++) printf "2026-06-%02d %02d:00,%d,50\n", 9 + int(i / 24), i % 24, 15 + i % 2 }' | air store/r1
	counts 1
	warns 'air.csv:27:1: warning: store/r1: rh=50% has not changed for 1 d 1 h'
	rm house.yaml
	printf '2026-06-09 %02d:00,%s,50\n' 1 20 2 60 3 20 | air store/r1
	counts 0
	printf '2026-06-09 %02d:00,%s,50\n' 1 20 2 111 3 20 | air store/r1
	counts 1
	report
}
