# wy-pick: what it passes on and how it ends. Which entries a condition finds is held by
# tests/unit/select.c.

load lib/common

setup() {
	at_root
	C=tests/cases/pick/book.wy
}

@test "pick: the lines are passed on byte for byte, in their order, whatever the layout" {
	bad=0
	# each condition, and the same found by grep on the bytes
	while IFS='|' read -r words pattern; do
		eval "set -- $words"
		status 0 wy-pick "$@" "$C" || bad=1
		grep -E "$pattern" "$C" | cmp - "$T/out" || { echo "$words"; bad=1; }
		status 0 wy-pick "$@" <"$C" || bad=1
		grep -E "$pattern" "$C" | cmp - "$T/out" || bad=1
	done <<-'END'
	event=probe|^[^#]*[[:blank:]]probe 
	'event=air,set'|^[^#]* (air|set) 
	by=mk|^[^#]* by=mk
	'line~"'|^2.*"
	date=2026-07|^2026-07
	END
	[ "$bad" = 0 ]
	status 0 wy-pick "$C"
	grep -vE '^ *(#|$)' "$C" | cmp - "$T/out"
	status 0 wy-pick --keep-remarks "$C"
	cmp "$T/out" "$C"
}

@test "pick: all, any, inverted, counted, located" {
	status 0 wy-pick -n event=probe by=mk "$C"
	[ "$(cat "$T/out")" = 2 ]
	status 0 wy-pick --number --any event=probe by=mk "$C"
	[ "$(cat "$T/out")" = 6 ]
	status 0 wy-pick -no event=probe "$C"
	[ "$(cat "$T/out")" = 8 ]
	status 1 wy-pick -n date=1999 "$C"
	[ "$(cat "$T/out")" = 0 ]
	status 1 wy-pick date=1999 "$C"
	[ ! -s "$T/out" ]
	status 0 wy-pick -l event=oven "$C" - <"$C"
	n=$(grep -n ' oven ' "$C" | cut -d: -f1)
	line=$(grep ' oven ' "$C")
	printf '%s:%s:%s\nstandard input:%s:%s\n' "$C" "$n" "$line" "$n" "$line" | cmp - "$T/out"
}

@test "pick: what is picked is a book again, and picking again changes nothing" {
	wy-pick mc=10%.. "$C" >"$T/one"
	wy-pick mc=10%.. <"$T/one" | cmp - "$T/one"
	[ -s "$T/one" ]
	wy-pick event=probe "$C" >"$T/a"
	wy-pick except:event=probe "$C" >"$T/b"
	cat "$T/a" "$T/b" | sort >"$T/both"
	wy-pick "$C" | sort | cmp - "$T/both"
	wy-pick -o event=probe "$C" | cmp - "$T/b"
}

@test "pick: CR LF comes out as LF, a byte-order mark does not come out" {
	sed 's/$/\r/;1s/^/\xef\xbb\xbf/' "$C" >"$T/crlf"
	status 0 wy-pick -k "$T/crlf"
	cmp "$T/out" "$C"
	grep -q 'byte-order' "$T/err" && grep -q 'CR LF' "$T/err"
}

@test "pick: a line that cannot be read is never passed over in silence" {
	printf '2026-02-02 seal b\nno\000book\n2026-02-03 seal a\n' >"$T/a"
	status 1 wy-pick event=seal "$T/a"
	printf '2026-02-02 seal b\n2026-02-03 seal a\n#! incomplete\n' | cmp - "$T/out"
	grep -q "^$T/a:2:3: error: " "$T/err"
	grep -q '1 line could not be read' "$T/err"
	# and who reads that notices
	cp "$T/out" "$T/cut"
	status 1 wy-pick "$T/cut"
	grep -q ':3:1: error: .* -- incomplete' "$T/err"
	status 1 wy-pick --without-bad event=seal "$T/a"
	printf '2026-02-02 seal b\n2026-02-03 seal a\n' | cmp - "$T/out"
	grep -q '1 line could not be read and is left out' "$T/err"
	status 1 wy-pick -n "$T/a"
	[ ! -s "$T/out" ]
	status 1 wy-pick -n --without-bad "$T/a"
	[ "$(cat "$T/out")" = 2 ]
	head -c 1000000 /dev/zero | tr '\0' x >>"$T/a"
	status 1 wy-pick --without-bad "$T/a"
	grep -q ":4:1: error: .* -- line-over-limit" "$T/err"
}

@test "pick: wrong use is status 2 and says what is right" {
	bad=0
	while IFS='|' read -r words message; do
		eval "set -- $words"
		status 2 wy-pick "$@" "$C" || bad=1
		[ ! -s "$T/out" ] || bad=1
		grep -qF -- "$message" "$T/err" || { echo "$words:"; cat "$T/err"; bad=1; }
	done <<-'END'
	evnt=probe|perhaps event=?
	event=prob|perhaps probe?
	mass=2.7|has no unit; write one of g, kg, lb, oz
	'by~m(k'|missing closing parenthesis, at its byte 4
	book.txt|cannot read book.txt
	-n -l|leave out --locate
	--exact|--exact
	END
	[ "$bad" = 0 ]
	status 2 wy-pick "$T"
	echo 2026-03-05 note L061 text=aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa >"$T/slow"
	cat "$C" "$T/slow" >"$T/b"
	status 2 wy-pick -a by=mk 'text~^(a+)+\d$' "$T/b"
	grep -q "b:$(wc -l <"$T/b"): the pattern '^(a+)+\\\\d\$' takes too many steps" "$T/err"
	[ "$(tail -n 1 "$T/out")" = '#! incomplete' ]
	sed -n 's/.*\(b:[0-9]*: \)/\1/p' "$T/err" >"$T/want"
	# the same is said where lines are counted on several cores, of the first of them
	for i in 1 2 3 4 5 6 7 8 9 10 11 12 13 14; do sed "/^#/!s/\$/   # $i/" samples/book/*.wy; done >"$T/long"
	cat "$T/b" "$T/long" "$T/slow" >"$T/c" && mv "$T/c" "$T/b"
	for n in 1 3; do
		status 2 wy-pick -w $n -n -a by=mk 'text~^(a+)+\d$' "$T/b"
		[ ! -s "$T/out" ]
		sed -n 's/.*\(b:[0-9]*: \)/\1/p' "$T/err" | cmp - "$T/want"
	done
}

@test "pick: lines come out at once when asked, and lost output is reported" {
	mkfifo "$T/in" "$T/fifo"
	wy-pick --at-once event=seal <"$T/in" >"$T/fifo" &
	exec 7>"$T/in" 8<"$T/fifo"
	echo '2026-02-02 seal b' >&7
	line=
	read -r -t 5 line <&8
	[ "$line" = '2026-02-02 seal b' ]
	exec 7>&- 8<&-
	wait
	got=0
	wy-pick "$C" >/dev/full 2>"$T/err" || got=$?
	[ $got = 2 ] && grep -q 'cannot write' "$T/err"
	got=0
	wy-pick "$C" >&- 2>"$T/err" || got=$?
	[ $got = 2 ]
	for i in 1 2 3 4 5 6 7 8 9; do cat "$C" "$C" "$C" "$C" "$C" "$C" "$C" "$C" "$C" "$C" "$C" "$C"; done >"$T/much"
	for i in 1 2 3 4 5 6 7 8 9; do cat "$T/much"; done | wy-pick 2>"$T/err" | head -n 1 >"$T/out"
	[ "$(wc -l <"$T/out")" = 1 ] && [ ! -s "$T/err" ]
	status 1 wy-pick </dev/null
	mkdir "$T/d"
	cp "$C" "$T/d/a=b"
	(cd "$T/d" && wy-pick event=oven ./a=b) | grep -c oven | grep -qx 1
}

@test "pick: the works' own fields, and the book that the house names" {
	printf 'works: W\nbook: [w.wy]\nevents:\n  soak: {subject: [lot], needs: [hours], help: put in water}\nfields:\n  hours: {type: span, help: how long}\n' >"$T/house.yaml"
	printf '2026-01-02 soak L1 by=mk hours=3h\n2026-01-03 soak L1 by=mk hours=2d\n' >"$T/w.wy"
	status 0 wy-pick -b -H "$T/house.yaml" hours=1d..
	[ "$(cat "$T/out")" = '2026-01-03 soak L1 by=mk hours=2d' ]
	(cd "$T" && wy-pick event=soak w.wy) | cmp - "$T/w.wy"
}

@test "pick: the page is clean, its examples run, and it has every option" {
	mandoc -T lint -W warning tools/wy-pick.1
	bad=0 n=0
	cp "$C" "$T/book.wy"
	while read -r command; do
		n=$((n + 1))
		(cd "$T" && eval "$command" >example 2>&1) || { echo "$command"; cat "$T/example"; bad=1; }
	done <<-END
	$(sed -n 's/^\.Dl //p' tools/wy-pick.1)
	END
	[ "$n" = 4 ] && [ "$bad" = 0 ]
	wy-pick --help-options | cut -f 1 | sed 's/^--//' | while read -r name; do
		grep -q "Fl -$name" tools/wy-pick.1 || { echo "no $name on the page"; exit 1; }
	done
}
