# wy-intake: exports of every kind become entries, every row is accounted for, and a mapping that
# is proposed works. The exports of tests/cases/intake are invented; beside NAME.csv stand
# NAME.yaml (its mapping), NAME.wy and NAME.told (the entries and the report), NAME.guess (what is proposed)
# and NAME.asks (what is asked); `status` has the two exit statuses of each.

load lib/common

setup() {
	at_root
	C=$PWD/tests/cases/intake
}

has() {
	grep -qF -- "$2" "$1" || { echo "$1 has no: $2"; cat "$1"; return 1; }
}

arguments() {
	[ ! -f "$1.args" ] || cat "$1.args"
}

@test "intake: each export becomes its entries, and every other row is reported" {
	cd "$C"
	bad=0 n=0
	while read -r name want guessed; do
		n=$((n + 1))
		# shellcheck disable=SC2046
		status "$want" wy-intake $(arguments "$name") --map "$name.yaml" "$name.csv" || bad=1
		diff -u "$name.wy" "$T/out" || bad=1
		diff -u "$name.told" "$T/err" || bad=1
	done <status
	[ "$n" -ge 40 ] && [ "$bad" = 0 ]
}

@test "intake: a file read from standard input, and through a pipe, gives the same" {
	cd "$C"
	bad=0
	while read -r name want guessed; do
		# shellcheck disable=SC2046
		status "$want" wy-intake $(arguments "$name") --map "$name.yaml" <"$name.csv" || bad=1
		cmp "$name.wy" "$T/out" || bad=1
		# shellcheck disable=SC2046,SC2002
		cat "$name.csv" | wy-intake $(arguments "$name") --map "$name.yaml" - 2>"$T/err" | cmp "$name.wy" - || bad=1
		sed "s/^$name\.csv:/standard input:/" "$name.told" | cmp - "$T/err" || bad=1
	done <status
	[ "$bad" = 0 ]
}

@test "intake: rows in = rows with entries + skipped, and rows are the file's lines" {
	cd "$C"
	bad=0
	while read -r name want guessed; do
		# quotes, tall-headings: rows of several lines; utf16, lone-cr: lines that awk does not see
		case $name in quotes | tall-headings | utf16 | lone-cr) continue ;; esac
		lines=$(awk 'END { print NR }' "$name.csv")
		tail -n 2 "$name.told" | grep -q '^[0-9]* rows = ' || { echo "$name: no totals"; bad=1; }
		grep '^[0-9]* rows = ' "$name.told" | awk -v lines="$lines" -v name="$name" '{
			rows = $1; skipped = sum = 0; entries = $4
			for (i = 5; i <= NF; i++)
				if ($i == "+") skipped = $(i + 1)
			if (match($0, /skipped \([^)]*\)/)) {
				n = split(substr($0, RSTART, RLENGTH), part, /[ ,()]+/)
				for (i = 3; i <= n; i += 2) sum += part[i]
			}
			if (rows != entries + skipped || sum != skipped || rows != lines) {
				print name ": " $0 " (lines " lines ")"; exit 1
			}
		}' || bad=1
	done <status
	[ "$bad" = 0 ]
}

@test "intake: what comes out is what the book's reader takes" {
	cd "$C"
	cat ./*.wy >"$T/book.wy"
	[ "$(wc -l <"$T/book.wy")" -gt 200 ]
	status 0 wy-tidy "$T/book.wy"
	[ ! -s "$T/err" ] || { cat "$T/err"; false; }
	[ "$(wc -l <"$T/out")" = "$(wc -l <"$T/book.wy")" ]
}

@test "intake: the sample works' exports become a book without an error" {
	for name in cane-room.csv kiln-north.csv yard.tsv; do
		status 0 wy-intake -H samples/house.yaml --map "samples/exports/${name%.*}.map.yaml" "samples/exports/$name"
		cat "$T/out" >>"$T/book.wy"
	done
	[ "$(wc -l <"$T/book.wy")" -gt 1900 ]
	status 0 wy-check -H samples/house.yaml "$T/book.wy"
	has "$T/err" '0 errors, 0 warnings'
	# and as the proposal reads them
	status 0 wy-intake --guess samples/exports/kiln-north.csv
	cp "$T/out" "$T/map.yaml"
	status 0 wy-intake --clock Pacific/Auckland --map "$T/map.yaml" samples/exports/kiln-north.csv
	[ "$(wc -l <"$T/out")" = 576 ]
}

@test "intake: --guess proposes what it should, says how sure it is, and asks where it cannot know" {
	cd "$C"
	bad=0
	while read -r name want guessed; do
		status "$guessed" wy-intake --guess "$name.csv" || bad=1
		diff -u "$name.guess" "$T/out" || bad=1
		if [ -f "$name.asks" ]; then diff -u "$name.asks" "$T/err" || bad=1; else [ ! -s "$T/err" ] || bad=1; fi
	done <status
	[ "$bad" = 0 ]
	# the readings of a date that could be two
	has open-date.asks '05/04/2026 14:00 is 2026-04-05 14:00'
	has open-date.asks '05/04/2026 14:00 is 2026-05-04 14:00'
}

# Without the subject, the instrument and who did it, which nobody can guess.
bare() {
	sed 's/^\([-0-9]* [0-9:+-]* [a-z]*\) [^ ]*/\1 X/; s/^\([-0-9]* [a-z]*\) [^ ]*/\1 X/; s/ meter=[^ ]*//; s/ by=[^ ]*//; s/ X temp/ temp/' "$1"
}

@test "intake: the proposal, unchanged, reads the export as the mapping written by hand does" {
	cd "$C"
	bad=0 n=0
	while read -r name want guessed; do
		[ "$guessed" = 0 ] || continue
		wy-intake --guess "$name.csv" >"$T/map.yaml"
		got=0
		# shellcheck disable=SC2046
		wy-intake $(arguments "$name") --map "$T/map.yaml" "$name.csv" >"$T/out" 2>"$T/err" || got=$?
		[ "$got" != 2 ] || { echo "$name:"; cat "$T/err"; bad=1; }
		[ -s "$T/out" ] || { echo "$name: no entries"; bad=1; }
		case $name in
		# what only the user knows: the zone, the offset, labels, which samples and sensors, notes
		autumn* | spring-skipped | fixed | probes | weigh | sensor-column | notes) continue ;;
		esac
		n=$((n + 1))
		bare "$name.wy" >"$T/a"
		bare "$T/out" >"$T/b"
		diff -u "$T/a" "$T/b" || { echo "$name"; bad=1; }
	done <status
	[ "$n" -ge 28 ] && [ "$bad" = 0 ]
}

@test "intake: --guess uses what the user gives, and names no more than asked" {
	status 0 wy-intake --guess --subject north --meter hyg1 --event air "$C/plain.csv"
	has "$T/out" 'subject: "north"'
	has "$T/out" 'meter: "hyg1"'
	has "$T/out" 'as you said'
	cp "$T/out" "$T/map.yaml"
	status 0 wy-intake --map "$T/map.yaml" "$C/plain.csv"
	cmp "$C/plain.wy" "$T/out"
	status 0 wy-intake -g --event probe --subject K26-05 "$C/sep-line.csv"
	has "$T/out" 'event: probe'
}

@test "intake: temperature and humidity in separate files meet in one entry with --join" {
	cd "$C"
	cat >"$T/want" <<-'END'
	2026-06-09 14:00 air north temp=20.0C rh=50% meter=hyg1
	2026-06-09 14:10 air north temp=20.1C rh=51% meter=hyg1
	2026-06-09 14:20 air north temp=20.2C meter=hyg1
	2026-06-09 14:30 air north rh=53% meter=hyg1
	2026-06-09 14:40 air north temp=20.4C rh=54% meter=hyg1
	END
	status 0 wy-intake --join --map join-temp.yaml --map join-rh.yaml join-temp.csv join-rh.csv
	diff -u "$T/want" "$T/out"
	has "$T/err" '10 rows = 8 rows with entries + 2 skipped (heading 2); 5 entries'
	# the other way round, the fields still stand in the order of the vocabulary
	status 0 wy-intake --join --map join-rh.yaml --map join-temp.yaml join-rh.csv join-temp.csv
	sed 's/ meter=hyg1//' "$T/out" >"$T/a"
	sed 's/ meter=hyg1//' "$T/want" | cmp - "$T/a"
	# what differs does not go into one line
	sed 's/meter: hyg1/meter: hyg2/' join-rh.yaml >"$T/other.yaml"
	status 0 wy-intake --join --map join-temp.yaml --map "$T/other.yaml" join-temp.csv join-rh.csv
	[ "$(wc -l <"$T/out")" = 8 ]
	has "$T/out" '2026-06-09 14:00 air north temp=20.0C meter=hyg1'
	has "$T/out" '2026-06-09 14:00 air north rh=50% meter=hyg2'
	# one behind the other they stay apart
	status 0 wy-intake --map join-temp.yaml join-temp.csv
	[ "$(wc -l <"$T/out")" = 4 ]
}

@test "intake: exports that overlap give each reading once, and unlike ones are warned of" {
	cd "$C"
	status 0 wy-intake --map overlap-1.yaml overlap-1.csv overlap-2.csv
	[ "$(wc -l <"$T/out")" = 17 ]
	[ "$(sort "$T/out" | uniq -d | wc -l)" = 0 ]
	has "$T/err" 'overlap-2.csv:2:1: note: the reading is a repeat, so it counts once (2 rows, to line 3) -- repeat'
	has "$T/err" 'overlap-2.csv:4:1: warning: north has two different readings at 2026-06-09 10:00; both are written -- unlike'
	has "$T/err" '22 rows = 17 entries + 5 skipped (heading 2, repeat 3)'
	# no step of the clock, no gap
	[ "$(grep -cE 'gap|clock' "$T/err")" = 0 ]
	# zeros at the end of a fraction make no other reading
	awk -F , -v OFS=, 'NR > 1 && $2 ~ /[.]/ { $2 = $2 "0" } { print }' overlap-1.csv >"$T/zeros.csv"
	status 0 wy-intake --map overlap-1.yaml overlap-1.csv "$T/zeros.csv"
	has "$T/err" 'heading 2, repeat 12)'
	# in the other order too
	status 0 wy-intake --map overlap-1.yaml overlap-2.csv overlap-1.csv
	[ "$(wc -l <"$T/out")" = 17 ]
	[ "$(grep -cE 'clock-back' "$T/err")" = 0 ]
}

@test "intake: readings that are already in the book are skipped with --against and --book" {
	cd "$C"
	head -n 5 overlap-1.csv >"$T/first.csv"
	status 0 wy-intake --map overlap-1.yaml "$T/first.csv"
	# edited by hand: other order of fields, a remark, a line of something else
	sed 's/ temp=\([^ ]*\) rh=\([^ ]*\)/   rh=\2 temp=\1/; s/$/ by=mk # entered/' "$T/out" >"$T/book.wy"
	echo '2026-06-09 02:00 note north text="x"' >>"$T/book.wy"
	status 0 wy-intake --against "$T/book.wy" --map overlap-1.yaml overlap-1.csv
	[ "$(wc -l <"$T/out")" = 8 ]
	has "$T/err" 'in-book 4'
	printf 'works: Test\nclock: Pacific/Auckland\nbook: [book.wy]\n' >"$T/house.yaml"
	status 0 wy-intake -b -H "$T/house.yaml" --map overlap-1.yaml overlap-1.csv
	[ "$(wc -l <"$T/out")" = 8 ]
	# all of it there: nothing to enter
	status 0 wy-intake --map overlap-1.yaml overlap-1.csv
	cp "$T/out" "$T/whole.wy"
	status 1 wy-intake --against "$T/whole.wy" --map overlap-1.yaml overlap-1.csv
	[ ! -s "$T/out" ]
	has "$T/err" 'no row gave an entry'
	# the doubled hour is known by its instants
	status 0 wy-intake --map autumn.yaml autumn.csv
	cp "$T/out" "$T/autumn.wy"
	status 1 wy-intake --against "$T/autumn.wy" --map autumn.yaml autumn.csv
	has "$T/err" 'in-book 15'
	# a book that cannot be read gives no answer
	echo '2026-06-09 14:00 air' >"$T/bad.wy"
	status 1 wy-intake --against "$T/bad.wy" --map overlap-1.yaml overlap-1.csv
	[ ! -s "$T/out" ]
	# no option is named that the tool does not have
	grep -o -e '--[a-z][a-z-]*' "$T/err" >"$T/named" || true
	wy-intake --help-options | cut -f 1 >"$T/options"
	[ "$(grep -vxFc -f "$T/options" "$T/named")" = 0 ] || { cat "$T/named"; false; }
	has "$T/err" 'correct the errors'
	status 2 wy-intake --against "$T/missing.wy" --map overlap-1.yaml overlap-1.csv
}

@test "intake: the works' clock comes from the house file, from --clock, or from the export" {
	printf 'Time,T (C)\n2026-07-01T00:00:00Z,20\n' >"$T/a.csv"
	printf '%s\n' 'time: {column: Time, form: "YYYY-MM-DDThh:mm:ssOFFSET"}' 'entries:' \
		'  - {event: air, subject: north, temp: {column: "T (C)", unit: C}}' >"$T/a.yaml"
	status 0 wy-intake --map "$T/a.yaml" "$T/a.csv"
	[ "$(cat "$T/out")" = '2026-07-01 00:00Z air north temp=20C' ]
	status 0 wy-intake --clock Pacific/Auckland --map "$T/a.yaml" "$T/a.csv"
	[ "$(cat "$T/out")" = '2026-07-01 12:00 air north temp=20C' ]
	printf 'works: Test\nclock: Asia/Kolkata\n' >"$T/house.yaml"
	status 0 wy-intake -H "$T/house.yaml" --map "$T/a.yaml" "$T/a.csv"
	[ "$(cat "$T/out")" = '2026-07-01 05:30 air north temp=20C' ]
	WITHY_HOUSE=$T/house.yaml status 0 wy-intake --map "$T/a.yaml" "$T/a.csv"
	[ "$(cat "$T/out")" = '2026-07-01 05:30 air north temp=20C' ]
	status 2 wy-intake --clock Nowhere/None --map "$T/a.yaml" "$T/a.csv"
	has "$T/err" 'Nowhere/None'
}

@test "intake: the report as a table, each row by itself, quietly, and with an end to it" {
	cd "$C"
	status 0 wy-intake --report=tsv --map sentinels.yaml sentinels.csv
	[ "$(head -n 1 "$T/err")" = "$(printf 'file\tline\tlast\tcol\tlevel\tkind\trows\ttext')" ]
	[ "$(awk -F '\t' 'NF != 8' "$T/err" | wc -l)" = 0 ]
	[ "$(awk -F '\t' '$6 == "rows" { print $7 }' "$T/err")" = 14 ]
	# the rows told and the rows with entries are all rows
	[ "$(awk -F '\t' 'NR > 1 && $5 != "total" { n += $7 } $6 == "with-entry" { n += $7 } END { print n }' "$T/err")" = 14 ]
	status 0 wy-intake --each --map sentinels.yaml sentinels.csv
	has "$T/err" 'sentinels.csv:8:1: note: no reading -- no-reading'
	has "$T/err" 'sentinels.csv:9:1: note: no reading -- no-reading'
	status 0 wy-intake --quiet --map sentinels.yaml sentinels.csv
	[ "$(wc -l <"$T/err")" = 1 ]
	{ echo 'Time,T (C),RH (%)'; for i in 1 2 3 4 5 6 7 8 9; do for k in 1 2 3 4 5 6 7 8 9; do echo "bad $i$k"; done; done; } >"$T/bad.csv"
	status 1 wy-intake --map overlap-1.yaml "$T/bad.csv"
	[ "$(grep -c 'error:' "$T/err")" = 20 ]
	has "$T/err" '61 more like these; --each lists them all -- unreadable'
	status 1 wy-intake --each --map overlap-1.yaml "$T/bad.csv"
	[ "$(grep -c 'error:' "$T/err")" = 81 ]
}

@test "intake: an invalid mapping is reported with its place, and nothing is read" {
	bad=0 n=0
	while IFS='|' read -r place words yaml; do
		n=$((n + 1))
		printf "$yaml\n" >"$T/map.yaml"
		status 2 wy-intake --map "$T/map.yaml" "$C/plain.csv" || bad=1
		[ ! -s "$T/out" ] || bad=1
		grep -qF "$T/map.yaml:$place: error: " "$T/err" && grep -qF -- "$words" "$T/err" || { echo "want $place $words"; cat "$T/err"; bad=1; }
	done <"$C/mapping-errors.txt"
	[ "$n" -ge 35 ] && [ "$bad" = 0 ]
	status 2 wy-intake --map "$T/none.yaml" "$C/plain.csv"
	has "$T/err" 'cannot read'
}

@test "intake: a file that does not fit its mapping is reported, and the output is ended as incomplete" {
	cd "$C"
	status 2 wy-intake --map plain.yaml kiln-1252.csv
	has "$T/err" 'no column has the heading `time`'
	printf 'time,tem C,rh %%\n' >"$T/near.csv"
	status 2 wy-intake --map plain.yaml "$T/near.csv"
	has "$T/err" 'perhaps `tem C`?'
	printf 'time,temp C,rh %%,temp C\n2026-06-09 14:00,1,2,3\n' >"$T/twice.csv"
	status 2 wy-intake --map plain.yaml "$T/twice.csv"
	has "$T/err" 'several columns have the heading `temp C`'
	# a second file that does not fit, when entries were put already
	status 2 wy-intake --map plain.yaml plain.csv "$T/near.csv"
	[ "$(tail -n 1 "$T/out")" = '#! incomplete' ]
	printf 'a\nb\n' >"$T/none.csv"
	status 2 wy-intake --map sentinels.yaml "$T/none.csv"
	has "$T/err" 'header-has'
	printf 'GMT+1 x\nTime GMT+2,T (C),RH (%%)\n2026-06-09 14:00,1,2\n' >"$T/two.csv"
	printf '%s\n' 'file: {lines-before: 1}' 'time: {column: 1, form: "YYYY-MM-DD hh:mm", clock: header}' 'entries:' \
		'  - {event: air, subject: north, temp: {column: 2, unit: C}}' >"$T/two.yaml"
	status 2 wy-intake --map "$T/two.yaml" "$T/two.csv"
	has "$T/err" 'name two offsets'
	status 2 wy-intake --map "$T/two.yaml" plain.csv
	has "$T/err" 'name no offset'
}

@test "intake: a usage error is reported, and ends with 2" {
	bad=0
	while IFS='|' read -r words text; do
		eval "set -- $words"
		status 2 wy-intake "$@" || bad=1
		has "$T/err" "$text" || bad=1
	done <<-END
	'$C/plain.csv'|--map is required
	--map a --map b '$C/plain.csv'|give one --map for all files
	--join --map a '$C/plain.csv'|--join requires two files
	--guess --map a '$C/plain.csv'|--guess takes one file
	--guess a b|--guess takes one file
	--map '$C/plain.yaml' '$T'|directory
	--map '$C/plain.yaml' '$T/missing'|cannot read
	--guess '$T/missing'|cannot read
	--guess '$T'|directory
	--nonsense|unknown option
	--report=html --map '$C/plain.yaml'|--report
	END
	[ "$bad" = 0 ]
	status 0 wy-intake --help
	has "$T/out" 'wy-intake --guess logger.csv'
	status 0 wy-intake --version
}

@test "intake: the rows add up where the headings are not those of the mapping; a packed file is named as such" {
	cd "$C"
	sed 's/rh %/humidity/' plain.csv >"$T/other.csv"
	status 2 wy-intake --map plain.yaml "$T/other.csv"
	has "$T/err" '1 rows = 0 entries + 1 skipped (heading 1)'
	grep -q ':1:.*error: no column has the heading `rh %`.* -- file$' "$T/err"
	gzip -c plain.csv >"$T/plain.csv.gz"
	zstd -qc plain.csv >"$T/plain.csv.zst"
	for by in gzip zstd; do
		packed=$T/plain.csv.gz
		[ $by = gzip ] || packed=$T/plain.csv.zst
		status 2 wy-intake --map plain.yaml "$packed"
		grep -qF "error: it is packed with $by; unpack it first, with \`$by -dk FILE\` -- file" "$T/err" || fail "$by: $(cat "$T/err")"
		status 2 wy-intake --guess "$packed"
		has "$T/err" "it is packed with $by"
	done
	# and what is said to be typed reads it
	gzip -dkc "$T/plain.csv.gz" >"$T/plain.csv"
	status 0 wy-intake --map plain.yaml "$T/plain.csv"
	cmp plain.wy "$T/out"
	report
}

@test "intake: odd bytes, odd files and lost output" {
	cd "$C"
	# NULs and bytes that are no UTF-8 in a row: told, and the next row is read
	printf 'time,temp C,rh %%\n2026-06-09 14:00,2\0003,81\n2026-06-09 14:10,\377\376,81\n\377\000\n2026-06-09 14:20,20.0,50\n' >"$T/odd.csv"
	status 1 wy-intake --map plain.yaml "$T/odd.csv"
	has "$T/out" '2026-06-09 14:20 air north temp=20.0C rh=50% meter=hyg1'
	[ "$(wc -l <"$T/out")" = 3 ]
	has "$T/err" '\xff'
	# a line of a megabyte, of three, and one of 5,000 cells
	{ head -n 2 plain.csv; head -c 1000000 /dev/zero | tr '\0' 'x'; echo; head -c 3000000 /dev/zero | tr '\0' ','; echo
		head -c 5000 /dev/zero | tr '\0' ','; echo; tail -n 1 plain.csv; } >"$T/long.csv"
	status 1 wy-intake --map plain.yaml "$T/long.csv"
	[ "$(wc -l <"$T/out")" = 2 ]
	has "$T/err" '6 rows = 2 entries + 4 skipped (heading 1, unreadable 3)'
	# no line end at the end; CRLF; nothing; headings alone
	printf '%s' "$(cat plain.csv)" >"$T/end.csv"
	status 0 wy-intake --map plain.yaml "$T/end.csv"
	cmp plain.wy "$T/out"
	sed 's/$/\r/' plain.csv >"$T/crlf.csv"
	status 0 wy-intake --map plain.yaml "$T/crlf.csv"
	cmp plain.wy "$T/out"
	: >"$T/empty.csv"
	status 1 wy-intake --map plain.yaml "$T/empty.csv"
	has "$T/err" '0 rows = 0 entries + 0 skipped'
	status 1 wy-intake --guess "$T/empty.csv"
	has "$T/err" 'the file is empty'
	# a FIFO
	mkfifo "$T/fifo"
	cat plain.csv >"$T/fifo" &
	status 0 wy-intake --map plain.yaml "$T/fifo"
	cmp plain.wy "$T/out"
	wait
	# a byte-order mark, and a byte in a heading that is no UTF-8: the column is told by its number
	printf '\357\273\277time,temp \377 (C),rh %%\n2026-06-09 14:00,20,50\n2026-06-09 15:00,20,51\n' >"$T/bom.csv"
	status 0 wy-intake --guess "$T/bom.csv"
	has "$T/out" 'encoding: utf-8'
	has "$T/out" 'temp: {column: 2, unit: "C"}'
	cp "$T/out" "$T/bom.yaml"
	status 0 wy-intake --map "$T/bom.yaml" "$T/bom.csv"
	# a short form of a date in the midst of long ones is no form with brackets
	printf 'time,temp C\n19.06.2026 23:00,20\n20.06.26,20\n20.06.2026 01:00,20\n' >"$T/mixed.csv"
	status 0 wy-intake --guess "$T/mixed.csv"
	has "$T/out" 'form: "DD.MM.YYYY hh:mm"'
	# guesses on odd bytes end
	for f in "$T/odd.csv" "$T/long.csv" "$T/end.csv"; do
		got=0
		wy-intake --guess "$f" >"$T/out" 2>"$T/err" || got=$?
		[ "$got" -le 1 ]
	done
	head -c 200000 /dev/urandom >"$T/noise"
	got=0
	wy-intake --guess "$T/noise" >"$T/out" 2>"$T/err" || got=$?
	[ "$got" -le 1 ]
	got=0
	wy-intake --map no-headings.yaml "$T/noise" >"$T/out" 2>"$T/err" || got=$?
	[ "$got" = 1 ]
	# a full disk, a closed output
	got=0
	wy-intake --map plain.yaml plain.csv >/dev/full 2>"$T/err" || got=$?
	[ "$got" = 2 ]
	got=0
	wy-intake --map plain.yaml plain.csv >&- 2>"$T/err" || got=$?
	[ "$got" = 2 ]
}

# A sanitized program asks for its shadow of all memory at once.
limit() {
	case ${WITHY_BIN-} in
	*san*) ;;
	*) ulimit -v 60000 ;;
	esac
}

@test "intake: memory does not grow with the rows, except for the check of repeats" {
	awk 'BEGIN {
		print "time,temp C,rh %"
		for (i = 0; i < 300000; i++)
			printf "%04d-%02d-%02d %02d:%02d,%d.%d,%d\n", 2000 + i / 60 / 24 / 336, i / 60 / 24 / 28 % 12 + 1,
				i / 60 / 24 % 28 + 1, i / 60 % 24, i % 60, i % 30, i % 10, i % 90
	}' >"$T/many.csv"
	(
		limit
		wy-intake --map "$C/plain.yaml" "$T/many.csv" >"$T/out" 2>"$T/err"
	)
	has "$T/err" '300001 rows = 300000 entries + 1 skipped'
	(
		limit
		wy-intake --guess "$T/many.csv" >"$T/map.yaml"
	)
	has "$T/map.yaml" 'form: "YYYY-MM-DD hh:mm"'
}

# The page of the format: each example of a mapping is run on the example of an export before it.
@test "intake: the examples of mapping(5) do what the page says" {
	awk -v dir="$T" '
		/^\.\\" export / { out = dir "/" $3 ".csv"; next }
		/^\.\\" mapping / { out = dir "/" $3 ".yaml"; next }
		/^\.\\" entries / { out = dir "/" $3 ".wy"; next }
		/^\.Ed/ { out = "" }
		out && /^\.Bd/ { next }
		out { gsub(/\\e/, "\\"); gsub(/\\\(dq/, "\""); sub(/^\\&/, ""); print >out }
	' spec/mapping.5
	bad=0 n=0
	for map in "$T"/*.yaml; do
		n=$((n + 1))
		name=${map%.yaml}
		got=0
		wy-intake --clock Pacific/Auckland --map "$map" "$name.csv" >"$T/out" 2>"$T/err" || got=$?
		diff -u "$name.wy" "$T/out" || { cat "$T/err"; bad=1; }
		[ "$got" = 0 ] || { echo "$name: $got"; cat "$T/err"; bad=1; }
	done
	[ "$n" -ge 6 ] && [ "$bad" = 0 ]
}

# The page of the tool: its examples run in their order, on exports with the names that they use.
@test "intake: the examples of wy-intake(1) run" {
	awk '/^\.Bd -literal/ { on = 1; next } /^\.Ed/ { on = 0 } on { gsub(/\\e/, "\\"); print }' tools/wy-intake.1 >"$T/commands"
	[ "$(grep -c '^wy-intake ' "$T/commands")" = 5 ]
	mkdir "$T/works"
	cd "$T/works"
	cp "$C/overlap-1.csv" june.csv
	cp "$C/overlap-2.csv" july.csv
	sed '5,8d' june.csv >2026-06.csv
	mkdir exports
	printf 'time,temp (C)\n2026-06-09 14:00,20.5\n' >exports/attic-7.csv
	printf 'time: {column: 1, form: "YYYY-MM-DD hh:mm"}\nentries: [{event: air, temp: {column: 2, unit: C}}]\n' >attic.yaml
	cat >house.yaml <<-'EOF'
	works: Test
	clock: Pacific/Auckland
	places: {attic: {kind: store}}
	meters: {hyg1: {kind: hygrometer}}
	loggers: [{serial: attic-7, mapping: attic.yaml, place: attic}]
	EOF
	EDITOR=true bash -e "$T/commands" >"$T/out" 2>"$T/err" || { cat "$T/err"; false; }
	[ "$(wc -l <book.wy)" = 18 ] && grep -q '^2026-06-09 14:00 air attic temp=20.5C$' book.wy
	grep -q 'without a reading' "$T/out"
	[ "$(grep -v ' -- gap$' "$T/out" | grep -cv -e '^export ' -e '^exports/attic-7.csv ')" = 0 ]
}

@test "intake: every export that deviations.md names is there, and every export is named" {
	cd "$C"
	bad=0
	sed -n '/^## Instrument exports/,$p' "$BATS_TEST_DIRNAME/../spec/deviations.md" | grep '^|' | sed 's/.*| *\([^|]*\) *|$/\1/' |
		grep -o '`[a-z][a-z0-9-]*`' | tr -d '`' | sort -u >"$T/named"
	[ "$(wc -l <"$T/named")" -gt 35 ]
	while read -r name; do
		[ -f "$name.csv" ] || { echo "no export $name"; bad=1; }
	done <"$T/named"
	for f in *.csv; do
		name=${f%.csv}
		case $name in
		# ordinary ones, and what is no deviation
		plain | days | headings-only | no-headings | open-unit | wet-bulb) continue ;;
		esac
		grep -qx "$name" "$T/named" || { echo "$name is not named"; bad=1; }
	done
	[ "$bad" = 0 ]
}

# Outside: the wall clock of Pacific/Auckland, Europe/London, America/St_Johns and Asia/Kathmandu at
# every hour about their changes, by date(1) of the GNU core utilities.
@test "intake: instants become the works' wall clock as date(1) has it" {
	bad=0
	for zone in Pacific/Auckland Europe/London America/St_Johns Asia/Kathmandu; do
		for day in 2026-03-08 2026-03-29 2026-04-04 2026-09-26 2026-10-25 2026-11-01 2045-04-01; do
			for hour in 00 01 02 03 04 06 09 12 13 14 15 18 22 23; do echo "${day}T$hour:30:00Z"; done
		done >"$T/times"
		{ echo 'Time,T (C)'; sed 's/$/,20.0/' "$T/times"; } >"$T/a.csv"
		printf '%s\n' 'time: {column: Time, form: "YYYY-MM-DDThh:mm:ssOFFSET", interval: none}' 'entries:' \
			'  - {event: air, subject: north, temp: {column: "T (C)", unit: C}}' >"$T/a.yaml"
		status 0 wy-intake --clock "$zone" --map "$T/a.yaml" "$T/a.csv" || bad=1
		TZ=$zone date -f "$T/times" '+%Y-%m-%d %H:%M' >"$T/want"
		sed 's/^\([^ ]* [0-9:]*\).*/\1/' "$T/out" | diff "$T/want" - || { echo "$zone"; bad=1; }
		# where an offset is typed, it is date's
		TZ=$zone date -f "$T/times" '+%Y-%m-%d %H:%M%:z' >"$T/want"
		grep -o '^[^ ]* [0-9:]*[+-][0-9:]*' "$T/out" | while read -r line; do
			grep -qxF -- "$line" "$T/want" || { echo "$zone: $line"; exit 1; }
		done || bad=1
	done
	[ "$bad" = 0 ]
}
