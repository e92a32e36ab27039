# wy-flat: typed tables, the normalised form, SQL. The exact factors of units are from the
# International Yard and Pound agreement of 1959 (1 lb = 453.59237 g, 1 in = 25.4 mm, 16 oz and
# 12 in to the pound and the foot) and the definition of the degree Fahrenheit.

load lib/common
load lib/terminal

setup() {
	at_root
	C=tests/cases/flat
	V=$C/4-values.wy
}

@test "flat: golden tables, a row an entry and a row an item, and the normalised form" {
	bad=0 n=0
	for golden in "$C"/4-values.*; do
		case $golden in
		*.wy) continue ;;
		*.jsonl) set -- ;;
		*.long.tsv) set -- --long ;;
		*.tsv) event=${golden#*4-values.}; set -- "${event%.tsv}" ;;
		esac
		n=$((n + 1))
		status 0 wy-flat "$@" "$V" || bad=1
		cmp "$T/out" "$golden" || { diff "$T/out" "$golden"; bad=1; }
		status 0 wy-flat "$@" <"$V" || bad=1
		cmp "$T/out" "$golden" || bad=1
	done
	[ "$n" -ge 8 ] && [ "$bad" = 0 ]
}

# Each line: what was written, and what it came out as in the base unit.
pairs() {
	wy-flat --long --no-header "$1" | awk -F'\t' '
	$13 !~ /^(g|mm|C)$/ { next }
	$9 != "range" { print $15, $10; next }
	{ split($15, end, /\.\./) }
	end[1] != "" { print end[1], $11 }
	end[2] != "" { print end[2], $12 }'
}

@test "flat: numbers are what was written, by the exact factors" {
	pairs "$V" >"$T/pairs"
	[ "$(wc -l <"$T/pairs")" -ge 14 ]
	grep -q '^33F ' "$T/pairs" && grep -q '^4ft8in ' "$T/pairs"
	awk '
	BEGIN { f["g"] = 1; f["kg"] = 1000; f["lb"] = 453.59237; f["oz"] = 453.59237 / 16
		f["mm"] = 1; f["cm"] = 10; f["m"] = 1000; f["in"] = 25.4; f["ft"] = 304.8; f["C"] = 1 }
	{
		v = 0
		for (s = $1; match(s, /^-?[0-9.]+[A-Za-z]+/); s = substr(s, RLENGTH + 1)) {
			part = substr(s, 1, RLENGTH)
			n = part + 0
			sub(/^[-0-9.]+/, "", part)
			if (part == "F") v = (n - 32) * 5 / 9
			else if (part in f) v += n * f[part]
			else { print "no factor: " part; bad = 1 }
		}
		off = v - $2
		if (s != "" || off > 0.00005 || off < -0.00005) { print $1 " is " v ", not " $2; bad = 1 }
	}
	END { exit bad }' "$T/pairs"
}

@test "flat: what was written comes back out of the normalised form" {
	for book in "$V" tests/cases/pick/book.wy tests/cases/tidy/3.1-columns.want; do
		wy-flat "$book" | jq -r '
			[.date, (.time // empty), .event, .subject]
			+ [.fields | to_entries[] | .key + "=" + ([.value[] | (if .label then .label + ":" else "" end) + .written] | join(","))]
			| join(" ")' >"$T/back"
		# times as the form has them; the remark off; single blanks
		wy-tidy --no-sort "$book" | grep -v '^ *#' | grep . | sed -E '
			s/   #.*$//
			s/^(.{10}) ([0-9:]{5}) /\1 \2:00 /
			s/^(.{10} [0-9:]{5})([Z+-][0-9:]*) /\1:00 /
			s/^(.{10} [0-9:]{8})[Z+-][0-9:]* /\1 /' | sed -E ':a; s/^([^"]*[^ ])  +/\1 /; ta' >"$T/lines"
		[ -s "$T/lines" ]
		diff "$T/back" "$T/lines"
	done
}

@test "flat: JSON, SQL and TSV say the same" {
	wy-flat "$V" | jq -r '. as $e | .fields | to_entries[] | .key as $k | .value[]
		| [$e.line, $e.date, $e.event, $e.subject, $k, (.label // ""), .mark, .written] | map(tostring) | join("\u0001")' >"$T/json"
	{ wy-flat --schema; wy-flat --as=sql "$V"; } | sqlite3 "$T/db"
	sqlite3 -separator "$(printf '\001')" "$T/db" "select line, date, event, subject, field, coalesce(label, ''), mark, written
		from items where field is not null" >"$T/sql"
	diff "$T/json" "$T/sql"
	[ "$(wc -l <"$T/sql")" -gt 50 ]
	# each event's table as TSV has it, but for texts, which TSV escapes
	bad=0 n=0
	for event in tally fell rate buy cost meter order pool probe oven judge sell cleave seal; do
		n=$((n + 1))
		wy-flat "$event" -l --as=tsv "$V" >"$T/tsv"
		sqlite3 -header -separator "$(printf '\t')" "$T/db" "select * from \"$event\"" | cut -f 2- >"$T/table"
		diff "$T/tsv" "$T/table" || { echo "$event"; bad=1; }
	done
	[ "$n" = 14 ] && [ "$bad" = 0 ]
	[ "$(sqlite3 "$T/db" "select text from note where line = 23")" = "$(printf '%s' 'room "re-lined", c:\dry, 5 < 6 & '\''so'\'' #2')" ]
	[ "$(sqlite3 "$T/db" "select remark from note where line = 23")" = 'Māia: "gut"' ]
	# every table of the vocabulary is there, and one event's alone
	[ "$(sqlite3 "$T/db" .tables | wc -w)" = "$(($(sed '1,/^events:/d' spec/vocabulary.yaml | grep -cE '^  [a-z]+:$') + 1))" ]
	wy-flat --schema oven | grep -c '^CREATE' | grep -qx 1
	wy-flat --schema --long | grep '^CREATE' | grep -q '"items"'
}

@test "flat: forms, and what each takes" {
	bad=0
	for form in text tsv csv json md html; do
		status 0 wy-flat probe --as=$form "$V" || bad=1
		grep -q 'mc_written' "$T/out" || bad=1
		status 2 wy-flat --as=$form "$V" || bad=1
		grep -q 'name an event' "$T/err" || bad=1
		status 2 wy-flat --schema --as=$form || bad=1
		status 0 wy-flat probe --as=$form --no-header "$V" || bad=1
		want=1
		case $form in json | md) want=0 ;; esac # which cannot do without
		got=0
		grep -q mc_written "$T/out" || got=$?
		[ "$got" = "$want" ] || { echo "$form: --no-header"; bad=1; }
	done
	wy-flat probe --as=json "$V" | jq -e '.[0].wood_c == -3.5 and .[0].mc_pct == null and .[0].line == 17' >"$T/jq" || bad=1
	wy-flat --long --as=json "$V" | jq -e 'map(select(.field == null)) | length == 1' >"$T/jq" || bad=1
	status 0 wy-flat probe --as=jsonl "$V"
	grep '"event":"probe"' "$C/4-values.jsonl" | cmp - "$T/out" || bad=1
	status 2 wy-flat --long --as=jsonl "$V" || bad=1
	status 2 wy-flat --schema "$V" || bad=1
	status 2 wy-flat --as=xml "$V" || bad=1
	status 2 wy-flat prob "$V" || bad=1
	grep -q ".prob. is not an event and not a file; perhaps probe?" "$T/err" || { cat "$T/err"; bad=1; }
	status 2 wy-flat probe "$T" || bad=1
	[ "$bad" = 0 ]
}

@test "flat: the first operand is an event, or a file when there is no such event" {
	mkdir "$T/d"
	cp "$V" "$T/d/oven"
	cd "$T/d"
	got=$(wy-flat oven ./oven 2>"$T/err" | wc -l)
	[ "$got" = 2 ]
	grep -q "for the file, write ./oven" "$T/err"
	got=$(wy-flat oven <oven 2>/dev/null | wc -l)
	[ "$got" = 2 ]
	wy-flat -l ./oven | head -n 1 | grep -q '^{"file":"./oven","line":3,'
	wy-flat -l oven ./oven - <oven | awk -F'\t' '{ print $(NF - 1) }' | tr '\n' ' ' | grep -qx 'file ./oven standard input '
}

@test "flat: nothing is printed over a line that cannot be read" {
	bad=0
	sed '5s/fell/fall/' "$V" >"$T/a"
	for words in '' probe --long --as=sql 'probe --as=csv'; do
		status 1 wy-flat $words "$T/a" || bad=1
		[ ! -s "$T/out" ] || { echo "$words printed"; bad=1; }
		grep -q "a:5:.*'fall' is not a known event" "$T/err" || bad=1
		wy-flat $words "$V" >"$T/all"
		status 1 wy-flat $words --without-bad "$T/a" || bad=1
		[ -s "$T/out" ] || bad=1
		grep -q '1 line skipped' "$T/err" || bad=1
	done
	status 1 wy-flat --without-bad "$T/a"
	grep -v '"line":5,' "$C/4-values.jsonl" | cmp - "$T/out" || bad=1
	cat "$V" >"$T/cut"
	echo '#! incomplete' >>"$T/cut"
	status 1 wy-flat "$T/cut" || bad=1
	[ ! -s "$T/out" ] || bad=1
	[ "$bad" = 0 ]
}

@test "flat: more than memory should hold comes out whole, or not at all" {
	times_8() { cat "$1" "$1" "$1" "$1" "$1" "$1" "$1" "$1" >"$2"; }
	cut -d, -f 2- "$C/4-values.jsonl" >"$T/j1"
	cp "$V" "$T/b1"
	for kind in j b; do
		times_8 "$T/${kind}1" "$T/${kind}8"
		times_8 "$T/${kind}8" "$T/${kind}64"
		times_8 "$T/${kind}64" "$T/${kind}512"
		times_8 "$T/${kind}512" "$T/${kind}4096"
	done
	wy-flat "$T/b4096" >"$T/out"
	[ "$(wc -c <"$T/out")" -gt 20000000 ]
	cut -d, -f 2- "$T/out" | cmp - "$T/j4096"
	[ "$(tail -n 1 "$T/out" | jq .line)" = $((4096 * 25)) ]
	wy-flat --long "$T/b512" | wc -l | grep -qx "$((512 * ($(wc -l <"$C/4-values.long.tsv") - 1) + 1))"
	echo nonsense >>"$T/b4096"
	status 1 wy-flat "$T/b4096"
	[ ! -s "$T/out" ]
}

@test "flat: empty books, lost output" {
	bad=0
	status 0 wy-flat </dev/null || bad=1
	[ ! -s "$T/out" ] || bad=1
	status 0 wy-flat probe </dev/null || bad=1
	[ "$(wc -l <"$T/out")" = 1 ] || bad=1
	for words in '' probe --long --as=sql; do
		for how in '>/dev/full' '>&-'; do
			got=0
			eval "wy-flat $words $V $how 2>$T/err" || got=$?
			[ $got = 2 ] && grep -q 'cannot write' "$T/err" || { echo "$words $how: $got"; bad=1; }
		done
	done
	got=0
	wy-flat --schema >/dev/full 2>"$T/err" || got=$?
	[ $got = 2 ] || bad=1
	[ "$bad" = 0 ]
}

@test "flat: the works' own words have columns and tables; two of one name are refused" {
	house() { printf 'works: W\nfields:\n  %s: {type: span, help: how long}\n  turned-by: {type: id, help: who}\n  b: {type: moisture, beyond: true, help: b}\nevents:\n  hot-soak: {subject: [lot], needs: [%s], takes: [turned-by, b], help: put in water}\n' "$1" "$1" >"$T/house.yaml"; }
	house soak-time
	printf '2026-01-02 hot-soak L1 soak-time=2d turned-by=mk b=30%%+ by=jo\n' >"$T/a"
	printf 'date\ttime\tutc_offset_min\tevent\tsubject\tsoak_time_h\tturned_by\tb_pct\tb_written\tdoc\tby\tremark\tline\n2026-01-02\t\t\thot-soak\tL1\t48\tmk\t\t30%%+\t\tjo\t\t1\n' >"$T/want"
	(cd "$T" && wy-flat hot-soak a) | diff - "$T/want"
	{ wy-flat --schema -H "$T/house.yaml"; wy-flat --as=sql -H "$T/house.yaml" "$T/a"; } | sqlite3 "$T/db"
	[ "$(sqlite3 "$T/db" 'select soak_time_h from hot_soak')" = 48 ]
	printf 'works: W\nfields:\n  a-b: {type: id, help: one}\n  A_b: {type: id, help: two}\nevents:\n  soak: {subject: [lot], takes: [a-b, A_b], help: put in water}\n' >"$T/house.yaml"
	status 2 wy-flat -H "$T/house.yaml" soak /dev/null
	grep -q 'two columns would be called' "$T/err"
	status 2 wy-flat -H "$T/house.yaml" --schema
	printf 'works: W\nevents:\n  Items: {subject: [lot], help: put in water}\n' >"$T/house.yaml"
	status 2 wy-flat -H "$T/house.yaml" --schema
	grep -q 'two tables would be called' "$T/err"
}

@test "flat: the page is clean, its examples run, and it has every option" {
	mandoc -T lint -W warning tools/wy-flat.1
	wy-flat --help-options | cut -f 1 | sed 's/^--//' | while read -r name; do
		grep -q "Fl -$name" tools/wy-flat.1 || { echo "no $name on the page"; exit 1; }
	done
	sed -n '/^\$ cat probe/,/^\$ wy-flat/p' tools/wy-flat.1 | grep '^2026' >"$T/probe.wy"
	sed -n '/^\$ wy-flat/,/^\.Ed/p' tools/wy-flat.1 | grep -v '^[$.]' >"$T/want"
	cp "$V" "$T/book.wy"
	cd "$T"
	wy-flat --long --columns=field,item,label,mark,value,low,unit,written probe.wy | diff - want
	bad=0 n=0
	while read -r command; do
		n=$((n + 1))
		eval "$command" >example 2>&1 || { echo "$command"; cat example; bad=1; }
	done <<-END
	$(sed -n 's/^\.Dl //p' "$BATS_TEST_DIRNAME/../tools/wy-flat.1")
	END
	[ "$n" = 3 ] && [ "$bad" = 0 ]
	[ "$(sqlite3 works.db 'select count(*) from probe')" = 1 ]
}

@test "flat: the items fit a terminal of 80 columns, in one table" {
	script -qec "stty cols 80; wy-flat --long -H tests/cases/example/house.yaml tests/cases/example/book.wy" /dev/null | tr -d '\r' >"$T/out"
	[ "$(wc -l <"$T/out")" -gt 300 ]
	[ "$(grep -c '^date  ' "$T/out")" = 1 ]
	awk 'length($0) > 80 { print; bad = 1 } END { exit bad }' "$T/out"
}

# Every event that the sample book has, on a terminal: one table, no line wider, the date first; all columns on request.
@test "flat: an event's table on a terminal fits 80 columns, in one part" {
	n=0
	for event in $(cut -c1-30 samples/book/*.wy | grep -oE '^[0-9-]{10} +([0-9:+]+ +)?[a-z]+' | awk '{ print $NF }' | sort -u); do
		n=$((n + 1))
		on_terminal 80 wy-flat -H samples/house.yaml --as=text "$event" samples/book/*.wy || continue
		fits 80 "$event" 1
		grep -q '^date ' "$T/screen" || fail "$event: $(head -n 1 "$T/screen")"
	done
	[ "$n" -ge 15 ] || fail "only $n events"
	on_terminal 80 wy-flat -H samples/house.yaml --as=text --all-columns probe samples/book/2027b.wy
	[ "$(grep -c '^$' "$T/screen")" -ge 3 ] || fail 'all columns are not shown'
	report
}
