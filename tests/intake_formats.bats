# needs: perl
# wy-intake reads workbooks (.xlsx, ECMA-376) and JSON Lines (RFC 8259, one object a line) as it reads tables
# of text. The truth of each case is the same readings as CSV. The workbooks are written by
# tests/lib/workbook.pl; the counts of days in them are from the standard (tests/unit/workbook.c).

load lib/common

setup() {
	at_root
	W=$PWD/tests/lib/workbook.pl
	cd "$T" || return
	mapping >map.yaml
	printf 'time,temp_C,rh\n2026-06-09 14:00,23.5,81\n2026-06-09 14:10,23.6,80.5\n' >truth.csv
	mapping | sed 's/:ss"/"/' >truth.yaml
	wy-intake -m truth.yaml truth.csv >truth.wy 2>/dev/null
}

# mapping [KEYS-OF-FILE]: for a table with these headings
mapping() {
	cat <<-EOF
	file: {${1:-missing: none}}
	time: {column: time, form: "YYYY-MM-DD hh:mm:ss"}
	entries:
	  - event: air
	    subject: north
	    temp: {column: temp_C, unit: C}
	    rh: {column: rh, unit: "%"}
	EOF
}

# cells TEXT: \t and \n in it are tabs and line ends
book() { printf "$1" | perl "$W" a.xlsx "${@:2}"; }

HEAD='s:time\ts:temp_C\ts:rh\n'
ROWS='n1:46182.583333333336\tn:23.5\tn:81\nn1:46182.590277777781\tn:23.600000000000001\tn:80.5\n'

# reads WHAT [STATUS]: a.xlsx by map.yaml gives the truth
reads() {
	status "${2:-0}" wy-intake --map map.yaml a.xlsx || true
	same truth.wy "$1"
}

@test "formats: a workbook gives the entries of the same table as text, however it is written" {
	book "$HEAD$ROWS"; reads plain
	grep -q '^a.xlsx:Readings!A1: note: read the cells A1:C3 of this sheet -- sheet$' err || fail "it does not say what was read: $(cat err)"
	tail -n 1 err | grep -q '^3 rows = 2 entries + 1 skipped (heading 1)$' || fail "totals: $(tail -n 1 err)"
	cat a.xlsx | wy-intake --map map.yaml - 2>/dev/null | cmp - truth.wy || fail "through a pipe"
	for key in refs=0 prefix=x method=store; do
		book "$HEAD$ROWS" $key; reads "$key"
	done
	book "${HEAD}n10:44720.583333333336\tn:23.5\tn:81\nn1:44720.590277777781\tn:23.6\tn:80.5\n" date1904=1; reads "days from 1904"
	book "${HEAD}n1:46182.583333333336\tn:23.5\tn4:0.81\nn1:46182.590277777781\tn6:23.6\tn4:0.805\n"; reads "percentages"
	book "${HEAD}d:2026-06-09T14:00:00\tf7:B9*2=23.5\tft:A1=81\nn5:46182.5902777778\tf:1+1=23.6\tn:80.5\n"; reads "formulas and moments as text"
	book "i:time\ti:temp_C\ti:rh\ni:2026-06-09 14:00:00\ti:23.5\ti:81\ni:2026-06-09 14:10:00\ti:23.6\ts:80.5\n"; reads "texts"
	report
}

@test "formats: empty cells and rows, errors, TRUE, formulas without a result: no cell is lost or made up" {
	book "${HEAD}n1:46182.5\tn:23.5\t\n\n@row 6\nn1:46182.51\t\t\nn1:46182.52\te:#N/A\tn:50\nn1:46182.53\te:#DIV/0!\tn:50\nn1:46182.54\tb:1\tn:50\nn1:46182.55\tf:B2*2=\tn:50\nn2:46182\tn:20\tn:50\n@row 20\n\t\t\n"
	status 1 wy-intake --map map.yaml --each a.xlsx || true
	sed -n 's/^a.xlsx://p' err >got
	cat >want <<-'EOF'
	Readings!A1: note: header row -- heading
	Readings!A3: note: blank -- blank
	Readings!A4: note: blank -- blank
	Readings!A5: note: blank -- blank
	Readings!A6: note: no reading -- no-reading
	Readings!B8: error: `#DIV/0!` is not a number; if it means no reading, list it under `missing` -- cell
	Readings!B9: error: `TRUE` is not a number; if it means no reading, list it under `missing` -- cell
	Readings!B10: error: `=B2*2` is not a number; if it means no reading, list it under `missing` -- cell
	Readings!A11: error: `2026-06-09` is not written in the form of the mapping -- unreadable
	EOF
	grep -v -e '-- gap$' -e '-- sheet$' -e '-- clock-shift$' -e '-- interval$' got | diff want - || fail "the notes differ: $(diff want got)"
	grep -q 'A1:C11 of this sheet' got || fail "the range: $(grep sheet got)"
	[ "$(wc -l <out)" = 5 ] || fail "$(wc -l <out) entries, not 5"
	report
}

@test "formats: the sheet and its first cell are the mapping's, and a message says which sheets there are" {
	book "@sheet Notes & more\ns:nothing here\n@sheet Readings\n@row 4\n\tn:7\n\t${HEAD}\t${ROWS//\\nn1/\\n\\tn1}@sheet Hidden hidden\ns:x\n@sheet Chart chart\n"
	status 2 wy-intake --map map.yaml a.xlsx || true
	grep -qF 'a.xlsx:1:1: error: the workbook has 3 sheets: `Notes & more`, `Readings`, `Chart`; name one of them as `sheet` in `file` of the mapping, or with --guess as --sheet' err || fail "$(cat err)"
	mapping 'sheet: Readings, first-cell: B5' >map.yaml
	reads "sheet and first cell"
	grep -q 'a.xlsx:Readings!B5: note: read the cells B5:D7 of this sheet' err || fail "$(cat err)"
	mapping 'sheet: Readings, header-has: time' >map.yaml
	reads "a sheet whose headings are found"
	mapping 'sheet: Reading' >map.yaml
	status 2 wy-intake --map map.yaml a.xlsx || true
	grep -qF 'the workbook has no sheet `Reading`; it has `Notes & more`, `Readings`' err || fail "$(cat err)"
	mapping 'sheet: Chart' >map.yaml
	status 2 wy-intake --map map.yaml a.xlsx || true
	grep -qF 'it is a chart' err || fail "$(cat err)"
	mapping 'sheet: Hidden' >map.yaml
	status 2 wy-intake --map map.yaml a.xlsx || true
	grep -qF 'a.xlsx:Hidden!A1: error: no column has the heading `time`' err || fail "$(cat err)"
	mapping 'sheet: Readings' >map.yaml
	status 2 wy-intake --map map.yaml truth.csv || true
	grep -qF 'the file is not an .xlsx workbook' err || fail "$(cat err)"
	for cell in 5B B0 '"1"' XFE1 ''; do
		mapping "first-cell: $cell" >map.yaml
		status 2 wy-intake --map map.yaml a.xlsx || true
		grep -q "^map.yaml:1:[0-9]*: error: .first-cell. must be" err || fail "first-cell $cell: $(cat err)"
	done
	report
}

@test "formats: numbers get the mapping's decimal mark, columns count from the first cell, two exports are one series" {
	cat >map.yaml <<-'EOF'
	file: {decimal-mark: ",", header-rows: 0, first-cell: B2}
	time: {column: 1, form: "YYYY-MM-DD hh:mm:ss"}
	entries:
	  - {event: air, subject: north, temp: {column: 2, unit: C}, rh: {column: 3, unit: "%"}}
	EOF
	book "s:x\n\t${ROWS//\\nn1/\\n\\tn1}\ti:2026-06-09 14:20:00\ti:24,5\tn:80.25\n"
	printf '2026-06-09 14:20 air north temp=24.5C rh=80.25%%\n' | cat truth.wy - >want
	status 0 wy-intake --map map.yaml a.xlsx a.xlsx || true
	same want "a decimal comma"
	grep -q 'a.xlsx:Readings!B2: note: the reading is a repeat, so it counts once (3 rows, to line 4) -- repeat' err || fail "$(cat err)"
	report
}

# refused WORDS: a.xlsx ends in 2 within 5 s, with one error that has them, and nothing stays in a book
refused() {
	: >book.wy
	timeout 5 wy-intake --map map.yaml --into book.wy a.xlsx >out 2>err && got=0 || got=$?
	[ "$got" = 2 ] || fail "$1: status $got: $(head -n 3 err)"
	[ ! -s book.wy ] || fail "$1: lines were appended"
	[ "$(grep -c ': error: ' err)" = 1 ] && grep -qF -- "$1" err || fail "not '$1': $(head -n 3 err)"
}

@test "formats: a damaged or hostile workbook ends in a clear error" {
	book "$HEAD$ROWS" cut=40; refused 'is not a whole one'
	book "$HEAD$ROWS" doctype=1; refused 'it has a document type'
	for part in _rels/.rels xl/workbook.xml xl/styles.xml xl/sharedStrings.xml xl/_rels/workbook.xml.rels xl/worksheets/part1.xml; do
		book "$HEAD$ROWS" "without=$part"
		case $part in _rels/.rels) refused 'not an .xlsx workbook' ;; *) refused "part $part cannot be read: it is missing" ;; esac
	done
	book "$HEAD@xml <row r=\"9\"><c r=\"A9\"><v>1</c></row>\n"; refused 'part xl/worksheets/part1.xml is damaged in line 2: mismatched tag'
	book "$HEAD@xml <row r=\"9\"><c r=\"A9\" t=\"s\"><v>77</v></c></row>\n"; refused 'Readings!A9: the cell has a shared text that the workbook does not have'
	book "$HEAD@xml <row r=\"9\"><c r=\"B9\"><v>1</v></c><c r=\"A9\"><v>1</v></c></row>\n"; refused 'Readings!C9: the cell here has a name that does not follow'
	book "$HEAD@xml <row r=\"9\"/><row r=\"9\"/>\n"; refused 'Readings!A9: the row after this one has a number that does not follow'
	book "$HEAD@xml <row r=\"1048577\"/>\n"; refused 'a number that does not follow'
	{ printf "$HEAD"; printf '@xml '; awk 'BEGIN { for (i = 0; i < 100; i++) printf "<b>" }'; echo; } | perl "$W" a.xlsx; refused 'nested too deeply'
	{ printf "$HEAD"; printf '@xml <row><c><v>'; head -c 2000000 /dev/zero | tr '\0' 7; echo '</v></c></row>'; } | perl "$W" a.xlsx; refused 'more than 1 MiB of text'
	{ printf "$HEAD"; printf '@xml '; head -c 90000000 /dev/zero | tr '\0' ' '; echo; } | perl "$W" a.xlsx; refused 'unpacks to more than 250 times its size'
	printf 'PK\3\4 and nothing else' >a.xlsx; refused 'is not a whole one'
	{ printf '\320\317\021\340\241\261\032\341'; head -c 5000 /dev/zero; } >a.xlsx; refused 'save it as .xlsx without a password'
	report
}

@test "formats: of a workbook with bytes changed or cut at random, nothing crashes and nothing takes long" {
	book "$HEAD$ROWS"
	cp a.xlsx good.xlsx
	size=$(stat -c %s good.xlsx)
	for i in $(seq 150); do
		cp good.xlsx a.xlsx
		at=$((i * 7919 % size))
		case $((i % 3)) in
		0) truncate -s $at a.xlsx ;;
		*) printf "\\$(printf %o $((i * 37 % 256)))\\377" | dd of=a.xlsx bs=1 seek=$at conv=notrunc status=none ;;
		esac
		timeout 5 wy-intake --map map.yaml a.xlsx >out 2>err && got=0 || got=$?
		[ "$got" -le 2 ] || fail "$i: status $got: $(head -n 2 err)"
		[ "$got" != 0 ] || cmp -s out truth.wy || fail "$i: other entries, with status 0"
	done
	report
}

@test "formats: a row far down and a sheet of many rows take neither time nor memory" {
	book "$HEAD@row 1048575\nn1:46182.583333333336\tn:23.5\tn:81\n"
	status 0 timeout 20 wy-intake --map map.yaml a.xlsx || true
	[ "$(cat out)" = "$(head -n 1 truth.wy)" ] || fail "far down: $(cat out)"
	grep -q 'Readings!A2: note: blank (1048573 rows, to line 1048574) -- blank' err || fail "far down: $(head -n 3 err)"
	{ printf "$HEAD"; awk 'BEGIN { for (i = 0; i < 100000; i++) printf "n1:%.10f\tn:2%d.5\tn:%d\n", 44000 + i / 1440, i % 3, 40 + i % 9 }'; } |
		perl "$W" a.xlsx
	# a sanitized program asks for its shadow of all memory at once
	limit='ulimit -v 60000'
	case $bin in */san/*) limit=: ;; esac
	status 0 bash -c "$limit; exec wy-intake --map map.yaml a.xlsx" || true
	[ "$(wc -l <out)" = 100000 ] || fail "$(wc -l <out) entries, not 100000"
	report
}

@test "formats: JSON Lines give the entries of the same table; keys are headings, and a number keeps its digits" {
	cat >a.jsonl <<-'EOF'
	{"time": "2026-06-09 14:00:00", "temp_C": 23.5, "rh": 81, "note": {"a": [1, 2]}}
	{"rh":"80.5","time":"2026-06-09 14:10:00","temp_C":2.36e1}
	EOF
	status 0 wy-intake --map map.yaml a.jsonl || true
	same truth.wy "JSON Lines"
	{ printf '\357\273\277'; sed 's/$/\r/' a.jsonl; } | wy-intake --map map.yaml - 2>/dev/null | cmp - truth.wy || fail "CRLF and a mark"
	cat >map.yaml <<-'EOF'
	file: {decimal-mark: ","}
	time: {column: t, form: unix}
	entries:
	  - {event: air, subject: north, temp: {column: air.temp, unit: C}, rh: {column: air.rh.1, unit: "%"}}
	EOF
	printf '{"t":1781013600,"air":{"temp":23.50,"rh":[81,7]}}\n\n{"t":1781014200,"air":{"temp":null,"rh":["80,5"]}}\n' >a.jsonl
	status 0 wy-intake --clock Z --map map.yaml a.jsonl || true
	printf '2026-06-09 14:00 air north temp=23.50C rh=81%%\n2026-06-09 14:10 air north rh=80.5%%\n' >want
	same want "nested keys"
	report
}

@test "formats: a line that is not JSON is reported with its place, and the others are read" {
	cat >a.jsonl <<-'EOF'
	{"time":"2026-06-09 14:00:00","temp_C":23.5,"rh":81}
	{"time":"2026-06-09 14:05:00","temp_C":23.5,"rh":}
	{"time":"2026-06-09 14:06:00","temp_C":true,"rh":81}
	{"time":"2026-06-09 14:07:00","temp_C":1,"temp_C":2,"rh":81}
	[1]
	{"time":"2026-06-09 14:10:00","temp_C":23.6,"rh":80.5}
	EOF
	printf '{"time":"2026-06-09 14:20:00","temp_C":23' >>a.jsonl
	status 1 wy-intake --map map.yaml a.jsonl || true
	cat >want <<-'EOF'
	a.jsonl:2:50: error: this is not a JSON value -- unreadable
	a.jsonl:3:40: error: `true` is not a number; if it means no reading, list it under `missing` -- cell
	a.jsonl:4:51: error: the key of this value is in the line twice -- unreadable
	a.jsonl:5:1: error: a line must be one JSON object, which starts with { -- unreadable
	a.jsonl:7:42: error: an object requires , or } here -- unreadable
	EOF
	grep ': error: ' err | diff want - || fail "the errors differ"
	grep -v 14:06 out | cmp - truth.wy || fail "the other lines: $(cat out)"
	: >book.wy
	printf '{"time":"2026-06-09 14:20:00","temp_C":23,"hum":1}\n' >a.jsonl
	status 2 wy-intake --map map.yaml --into book.wy a.jsonl || true
	grep -qF 'a.jsonl:1:1: error: no line has the key `rh`; is this the mapping of another export? -- file' err || fail "$(cat err)"
	[ ! -s book.wy ] || fail "a mapping of another export left lines"
	sed 's/column: rh/column: 3/' map.yaml >number.yaml
	status 2 wy-intake --map number.yaml a.jsonl || true
	grep -qF 'the mapping names column 3, but the file is JSON Lines; name the key instead' err || fail "$(cat err)"
	report
}

@test "formats: a mapping is proposed for a workbook and for JSON Lines, and it reads them" {
	printf '2026-06-09 14:00 air north temp=23.5C rh=81%%\n2026-06-09 14:10 air north temp=23.6C rh=80.5%%\n' >want
	book "s:Room north\n\ns:time\ts:temp (C)\ts:rh (%%)\n$ROWS@sheet Notes hidden\n"
	status 0 wy-intake --guess --subject north a.xlsx || true
	cp out map.yaml
	status 0 wy-intake --map map.yaml a.xlsx || true
	same want "a workbook by its proposal"
	wy-intake --guess --subject north - <a.xlsx 2>/dev/null | sed 1d | cmp - <(sed 1d map.yaml) || fail "another proposal from standard input"
	cat a.xlsx | wy-intake --guess --subject north 2>/dev/null | sed 1d | cmp - <(sed 1d map.yaml) || fail "another proposal through a pipe"
	book "@sheet A\ns:x\n@sheet B: \"2\"\ns:time\ts:temp (C)\ts:rh (%%)\n$ROWS"
	status 2 wy-intake --guess a.xlsx || true
	grep -qF 'cannot read a.xlsx: the workbook has 2 sheets: `A`, `B: "2"`; name one of them' err || fail "$(cat err)"
	status 0 wy-intake --guess --subject north --sheet 'B: "2"' a.xlsx || true
	cp out map.yaml
	status 0 wy-intake --map map.yaml a.xlsx || true
	same want "a sheet by its proposal"
	printf '{"when":"2026-06-09 14:00","air":{"temp (C)":23.5}}\n{"when":"2026-06-09 14:10","air":{"temp (C)":23.6,"rh (%%)":80.5}}\n{"when":"2026-06-09 14:20","air":{"temp (C)":23.7,"rh (%%)":80}}\n' >a.jsonl
	status 0 wy-intake --guess --subject north a.jsonl || true
	cp out map.yaml
	status 0 wy-intake --map map.yaml a.jsonl || true
	printf '2026-06-09 14:00 air north temp=23.5C\n2026-06-09 14:10 air north temp=23.6C rh=80.5%%\n2026-06-09 14:20 air north temp=23.7C rh=80%%\n' >want
	same want "JSON Lines by their proposal"
	book "$HEAD$ROWS" cut=40
	status 2 wy-intake --guess a.xlsx || true
	report
}

@test "formats: a workbook that another program wrote, with days from 1900 and from 1904" {
	mapping 'first-cell: B3' >map.yaml
	for from_1904 in 0 1; do
		perl "${W%/*}/other_workbook.pl" a.xlsx $from_1904
		reads "days from 1904: $from_1904"
		grep -q "a.xlsx:Readings 1!B3: note: read the cells B3:D5 of this sheet" err || fail "$(cat err)"
	done
	report
}
