# wy-month: the page, what needs attention, whatever shell and awk make it, and how it ends.

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

# a folder with what the page is made with, and no other tool; without those that are named
tools_without() {
	rm -rf "$T/few"
	mkdir "$T/few"
	for tool in awk cat cut date dirname mktemp readlink rm sed sort tail sh wc; do
		ln -s "$(command -v $tool)" "$T/few/$tool"
	done
	for tool in "$bin"/wy-*; do ln -s "$tool" "$T/few/"; done
	for tool in "$@"; do rm "$T/few/$tool"; done
}

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
	section Rooms | grep -q '^  cane  *31  *21.0  *49.4  *100.0  *9.1  *8.6  *9.5  *100.0$'
}

@test "month: an empty month, and one before the book" {
	status 0 wy-month -H "$EH" "$E" --month 2025-02
	[ "$(head -n 1 "$T/out")" = 'Waiora Bats, February 2025' ]
	[ "$(grep -c '^  nothing$' "$T/out")" = 11 ] || { cat "$T/out"; false; }
	grep -q '2025-02-28' "$T/out"
	status 0 wy-month -H "$EH" "$E" --month 2028-02
	section 'Charges in the kilns on 2028-02-29' | grep -q nothing
	: >"$T/empty.wy"
	status 0 wy-month -H "$EH" "$T/empty.wy" --month 2028-02
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

@test "month: what needs attention" {
	bad=0
	{
		cat "$E"
		echo '2028-02-01 load K28-01 kiln=north lot=C021 at=yard/b2 count=60 by=mk'
		echo '2028-02-01 12:00 probe K28-01 in=a:C021/SH,b:C021/SH mc=a:24.0%,b:22.0% wood=20C meter=pin2 by=mk'
		echo '2028-02-10 air store/r1 temp=20C rh=70% meter=hyg1 by=mk'
		echo '2028-02-11 order O-900 count=SH/1:999,SH/2:1 due=2028-02-20 to=harbour-cc'
		echo '2028-02-12 order O-901 count=S6/1:7 to=lund-bats'
		echo '2028-02-13 load K28-02 kiln=south lot=C021 at=yard/b2 count=20 by=mk'
		echo '2028-02-13 12:00 probe K28-02 in=a:C021/SH mc=a:24.0% wood=20C meter=pin2 by=mk'
		echo '2028-02-27 unload K28-02 count=20 into=bench by=mk'
	} >"$T/b.wy"
	status 0 wy-month -H "$EH" "$T/b.wy" --month 2028-02 || bad=1
	points >"$T/look"
	while IFS= read -r want; do
		grep -q -- "$want" "$T/look" || { echo "no: $want"; bad=1; }
	done <<-'END'
	b.wy:[0-9]*: the last pieces that can hold probe a of K28-02 are unloaded.*metal in wood
	pin2 .*; check it against a reference
	hyg1 .*; check it against a reference
	K28-01: .*22.0 to 24.0 % on 2028-02-01
	K28-02: emptied with 1 of 1 probes out of the band; wettest 24.0 %
	O-900 for harbour-cc, WAS DUE 2028-02-20: 999 SH grade 1 bat ([0-9]* short), 1 SH grade 2 bat (all in stock)
	O-901 for lund-bats: 7 S6 grade 1 bat (none in stock)
	store/r1: the air was in the target in 0 % of the readings; wood equilibrates at 13.1 % there
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

@test "month: a kiln is no room to hold its target, and an open range has one end" {
	cat >"$T/house.yaml" <<-'END'
	places:
	  yard: {kind: yard}
	  k: {kind: kiln, target: 9..11%}
	  store: {kind: store, target: 9..11%}
	meters: {pin: {kind: pin, trust: 6..40%}}
	ready: {target: 10%, band: 9..11%}
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
	grep -q '  - C1: not ready; probes .*; ready on 20[0-9-]* at the earliest (90 %)$' <(points) || fail "$(points)"
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

@test "month: any shell and any awk make the same page" {
	status 0 wy-month -H "$EH" "$E" --month 2026-07
	mv "$T/out" "$T/want"
	bad=0 n=0
	for shell in dash bash 'busybox sh' ksh mksh yash zsh; do
		command -v ${shell%% *} >/dev/null || continue
		n=$((n + 1))
		$shell "$bin/wy-month" -H "$EH" "$E" --month 2026-07 | cmp "$T/want" - || { echo "$shell"; bad=1; }
	done
	[ "$n" -ge 2 ]
	n=0
	for awk in mawk gawk original-awk 'busybox awk'; do
		command -v ${awk%% *} >/dev/null || continue
		n=$((n + 1))
		mkdir "$T/awk$n"
		printf '#!/bin/sh\nexec %s "$@"\n' "$awk" >"$T/awk$n/awk"
		chmod 755 "$T/awk$n/awk"
		PATH="$T/awk$n:$PATH" wy-month -H "$EH" "$E" --month 2026-07 | cmp "$T/want" - || { echo "$awk"; bad=1; }
	done
	[ "$n" -ge 1 ]
	for locale in C.UTF-8 de_DE.UTF-8; do
		LC_ALL=$locale wy-month -H "$EH" "$E" --month 2026-07 2>/dev/null | cmp "$T/want" - || bad=1
	done
	[ "$bad" = 0 ]
}

@test "month: its sister tools are found beside it" {
	status 0 wy-month -H "$EH" "$E" --month 2026-07
	mv "$T/out" "$T/want"
	tools_without wy-month wy-stock wy-air
	bad=0
	# not in PATH at all; by a link from elsewhere; other tools of these names first in PATH
	PATH="$T/few" "$bin/wy-month" -H "$EH" "$E" --month 2026-07 >"$T/out" || bad=1
	cmp "$T/want" "$T/out" || bad=1
	ln -s "$bin/wy-month" "$T/link"
	PATH="$T/few" "$T/link" -H "$EH" "$E" --month 2026-07 >"$T/out" || bad=1
	cmp "$T/want" "$T/out" || bad=1
	printf '#!/bin/sh\nexit 3\n' >"$T/few/wy-stock"
	chmod 755 "$T/few/wy-stock"
	PATH="$T/few:$PATH" "$bin/wy-month" -H "$EH" "$E" --month 2026-07 >"$T/out" || bad=1
	cmp "$T/want" "$T/out" || bad=1
	[ "$bad" = 0 ]
}

@test "month: a tool that is missing or fails is 2, and there is no half page" {
	bad=0
	cp "$bin/wy-month" "$T/wy-month"
	for tool in awk sed cut mktemp wy-air wy-check wy-dry wy-grade wy-moist wy-pick wy-stock wy-yield; do
		tools_without $tool
		status 2 env PATH="$T/few" "$T/few/sh" "$T/wy-month" -H "$EH" "$E" --month 2026-07 || bad=1
		[ ! -s "$T/out" ] || { echo "without $tool: a page"; bad=1; }
		grep -q "$tool" "$T/err" || { echo "without $tool: $(cat "$T/err")"; bad=1; }
		case $tool in wy-*) ;; *) continue ;; esac
		for end in 'exit 2' 'exit 70' 'kill -9 $$'; do
			printf '#!/bin/sh\necho "half	of	it"\necho "lost my way" >&2\n%s\n' "$end" >"$T/few/$tool"
			chmod 755 "$T/few/$tool"
			ln -sf "$(command -v sh)" "$T/few/sh"
			status 2 env PATH="$T/few" "$T/few/sh" "$T/wy-month" -H "$EH" "$E" --month 2026-07 || bad=1
			[ ! -s "$T/out" ] || { echo "$tool, $end: a page"; bad=1; }
			grep -q "lost my way" "$T/err" || { echo "$tool, $end: $(cat "$T/err")"; bad=1; }
		done
	done
	# a filter whose columns are not those that the page is made of
	tools_without wy-air
	printf '#!/bin/sh\nprintf "place\\tnothing\\n"\n' >"$T/few/wy-air"
	chmod 755 "$T/few/wy-air"
	status 2 env PATH="$T/few" "$T/few/sh" "$T/wy-month" -H "$EH" "$E" --month 2026-07 || bad=1
	[ ! -s "$T/out" ] || bad=1
	[ "$bad" = 0 ]
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
	--month|--month needs
	-H|-H needs
	--house|--house needs
	--nonsense|--nonsense is not a valid option
	-z $E|-z is not a valid option
	-H $EH $E --nonsense|--nonsense is not a valid option
	-H $EH no-such.wy|no-such.wy
	-H $EH tests|tests
	-H no-such.yaml $E|no-such.yaml
	END
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
	[ "$(wc -l <"$T/out")" = 6 ]
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
	# no place for the answers
	status 2 env TMPDIR="$T/none" wy-month -H "$EH" "$E" --month 2026-07 || bad=1
	[ "$bad" = 0 ]
}

@test "month: a signal leaves no files" {
	bad=0
	mkfifo "$T/fifo"
	for signal in HUP INT TERM; do
		(trap - INT; exec env --default-signal=HUP,INT,TERM wy-month -H "$EH" --month 2026-07 <"$T/fifo" >"$T/out" 2>"$T/err") &
		pid=$!
		exec 7>"$T/fifo"
		for i in $(seq 100); do
			[ -z "$(ls -A "$T/tmp")" ] || break
			sleep 0.05
		done
		[ -n "$(ls -A "$T/tmp")" ] || { echo "$signal: it never began"; bad=1; }
		kill -$signal $pid
		exec 7>&-
		got=0
		wait $pid || got=$?
		[ "$got" -gt 128 ] || { echo "$signal: status $got"; bad=1; }
		[ ! -s "$T/out" ] || { echo "$signal: a page"; bad=1; }
		[ -z "$(ls -A "$T/tmp")" ] || { echo "$signal: files are left"; bad=1; }
	done
	[ "$bad" = 0 ]
}
