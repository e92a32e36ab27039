# wy-tidy: what it prints, judges and replaces. The form of lines and their order are held on random
# books by tests/unit/tidy.c, replacing files among other writers by tests/unit/atomic_write.c.

load lib/common

setup() {
	at_root
}

hasty() {
	printf '%s\n' '# withy 1' \
		'2026-07-20 09:00 air store/r1 meter=hyg1 rh=54% temp=19.50C by=mk' \
		'2026-07-14 seal L062 by=jo with=wax # ends done twice ' >"$1"
}

tidied() {
	printf '%s\n' '# withy 1' \
		'2026-07-14       seal    L062   with=wax by=jo   # ends done twice' \
		'2026-07-20 09:00 air     store/r1 temp=19.50C rh=54% meter=hyg1 by=mk' >"$1"
}

@test "tidy: golden books, each tidy when tidied, from a file, a pipe and with --no-sort" {
	bad=0 n=0
	for file in tests/cases/tidy/*.wy; do
		n=$((n + 1))
		want=0
		grep -q unreadable "$file" && want=1
		status $want wy-tidy "$file" || bad=1
		cmp "$T/out" "${file%.wy}.want" || { diff "$T/out" "${file%.wy}.want"; bad=1; }
		cp "$T/out" "$T/once"
		status $want wy-tidy <"$file" || bad=1
		cmp "$T/out" "$T/once" || bad=1
		status $want wy-tidy "$T/once" || bad=1
		cmp "$T/out" "$T/once" || bad=1
		status $want wy-tidy --no-sort "$T/once" || bad=1
		cmp "$T/out" "$T/once" || bad=1
		status $want wy-tidy --untidy "$T/once" || bad=1
		status 1 wy-tidy --untidy "$file" || bad=1
		wy-tidy --no-sort "$file" 2>/dev/null | sort >"$T/unsorted" || true
		sort "$T/once" | cmp - "$T/unsorted" || bad=1
	done
	[ "$n" -ge 4 ] && [ "$bad" = 0 ]
}

@test "tidy: byte-order mark, CR LF and a missing end are mended" {
	bad=0
	tidied "$T/want"
	for how in '1s/^/\xef\xbb\xbf/' 's/$/\r/' '1s/^/\xef\xbb\xbf/;s/$/\r/'; do
		hasty "$T/a"
		sed -i "$how" "$T/a"
		status 0 wy-tidy "$T/a" || bad=1
		cmp "$T/out" "$T/want" || bad=1
		[ ! -s "$T/err" ] || { echo "it complains of what it mends"; bad=1; }
		status 0 wy-tidy --no-sort "$T/a" || bad=1
		[ ! -s "$T/err" ] || { echo "it complains of what it mends"; bad=1; }
		grep -q "$(printf '[\r\xef]')" "$T/out" && bad=1
	done
	head -c -1 "$T/want" >"$T/cut"
	for flag in '' --no-sort; do
		status 0 wy-tidy $flag "$T/cut" || bad=1
		cmp "$T/out" "$T/want" || bad=1
		grep -q 'line-end-missing' "$T/err" || { echo "the cut end is not told"; bad=1; }
	done
	[ "$bad" = 0 ]
}

@test "tidy: lines that cannot be read are reported with their place and left unchanged" {
	bad=0
	printf '2026-02-02 seal b\n2026-02-30  seal  L061\n# r\nx\000y\nno book\377\n2026-01-01 seal a\n#! incomplete\n' >"$T/a"
	printf '2026-02-02       seal    b\n2026-02-30  seal  L061\n# r\nx\000y\nno book\377\n2026-01-01       seal    a\n#! incomplete\n' >"$T/want"
	for flag in '' --no-sort; do
		status 1 wy-tidy $flag "$T/a" || bad=1
		cmp "$T/out" "$T/want" || bad=1
		for place in 2:1 4:2 5:8 7:1; do
			grep -q "^$T/a:$place: error: " "$T/err" || { echo "nothing about $place"; bad=1; }
		done
		[ "$(grep -c ': error: ' "$T/err")" -ge 4 ] || bad=1
		grep -q '4 lines could not be read' "$T/err" || { cat "$T/err"; bad=1; }
	done
	status 1 wy-tidy -r "$T/a"
	cmp "$T/a" "$T/want"
	[ "$bad" = 0 ]
}

@test "tidy: several files make one book; --untidy and --changes judge each" {
	printf '2026-02-02       seal    b\n' >"$T/a"
	printf '2026-01-01       seal    a\n' >"$T/b"
	status 0 wy-tidy "$T/a" - <"$T/b"
	cat "$T/b" "$T/a" | cmp - "$T/out"
	status 0 wy-tidy --untidy "$T/a" "$T/b"
	cat "$T/a" "$T/b" >"$T/c"
	status 1 wy-tidy --untidy "$T/a" "$T/c" "$T/b"
	[ ! -s "$T/out" ]
	[ "$(cat "$T/err")" = "wy-tidy: $T/c: line 1 is not tidy" ]
	status 0 wy-tidy --untidy --no-sort "$T/c"
}

@test "tidy: the diff is what patch and git make the tidy file of" {
	bad=0
	for file in tests/cases/tidy/*.wy; do
		for end in '' cut; do
			cp "$file" "$T/a.wy"
			[ -z "$end" ] || head -c -1 "$file" >"$T/a.wy"
			wy-tidy "$T/a.wy" >"$T/want" 2>/dev/null || true
			(cd "$T" && wy-tidy --changes a.wy >diff 2>/dev/null) && bad=1
			(cd "$T" && cp a.wy b.wy && patch -s --binary -p0 -o got a.wy <diff && cmp got want) || { echo "$file $end"; bad=1; }
			(cd "$T" && rm -rf g && mkdir g && cp a.wy g && cd g && git apply -p0 --whitespace=nowarn ../diff && cmp a.wy ../want) || { echo "git: $file $end"; bad=1; }
		done
	done
	[ "$bad" = 0 ]
	tidied "$T/t"
	status 0 wy-tidy --changes "$T/t"
	[ ! -s "$T/out" ]
	hasty "$T/h"
	status 1 wy-tidy --changes <"$T/h"
	head -n 2 "$T/out" | grep -c 'standard input' | grep -qx 2
}

@test "tidy: a file is replaced at once, with its mode, through links, or left alone" {
	tidied "$T/want"
	hasty "$T/a"
	chmod 640 "$T/a"
	ln -s a "$T/link"
	ln "$T/a" "$T/hard"
	status 0 wy-tidy --replace "$T/link"
	cmp "$T/a" "$T/want"
	[ -L "$T/link" ] && [ "$(stat -c %a "$T/a")" = 640 ]
	[ ! "$T/hard" -ef "$T/a" ]
	grep -q '^2026-07-14 seal L062 by=jo' "$T/hard"
	inode=$(stat -c %i "$T/a")
	touch -d 2026-01-01 "$T/a"
	status 0 wy-tidy -r "$T/a"
	[ "$(stat -c %i.%Y "$T/a")" = "$inode.$(date -d 2026-01-01 +%s)" ]
	find "$T" -name '.wy-*' | grep . && return 1
	hasty "$T/b"
	hasty "$T/c"
	status 2 wy-tidy -r "$T/b" "$T/none" "$T" "$T/c"
	cmp "$T/b" "$T/want"
	cmp "$T/c" "$T/want"
	[ "$(grep -c 'was not changed: ' "$T/err")" = 2 ]
	: >"$T/empty"
	status 0 wy-tidy -r "$T/empty"
	[ ! -s "$T/empty" ]
}

@test "tidy: the works' own events and fields are known through its house file" {
	printf 'works: W\nevents:\n  soak: {subject: [lot], needs: [hours], help: put in water}\nfields:\n  hours: {type: span, help: how long}\n' >"$T/house.yaml"
	printf '2026-01-02 soak L1 by=mk hours=3h doc=7\n' >"$T/a"
	status 0 wy-tidy -H "$T/house.yaml" "$T/a"
	[ "$(cat "$T/out")" = '2026-01-02       soak    L1     hours=3h doc=7 by=mk' ]
	(cd "$T" && status 0 wy-tidy a)
	(cd / && status 1 wy-tidy "$T/a")
	cmp "$T/out" "$T/a"
}

# A case of each kind that the rule corrects, then some that it leaves: without a `want`.
@test "tidy: --fix makes the exact corrections of each rule that has them, and no others" {
	"$bin/wy-check" --about | awk '/^[a-z-]+: / { sub(/:.*/, ""); rule = $0 } /wy-tidy --fix:/ { print rule }' | sort >"$T/rules"
	: >"$T/tried"
	while IFS='|' read -r rule was want; do
		printf "$was\n" >"$T/a.wy"
		printf "${want:-$was}\n" >"$T/want"
		cp "$T/a.wy" "$T/before"
		got=0
		wy-tidy -H /dev/null --fix="$rule" "$T/a.wy" >"$T/diff" 2>"$T/err" || got=$?
		[ $got = 1 ] || fail "$rule: $was: status $got"
		cmp -s "$T/a.wy" "$T/before" || fail "$rule: $was: the file was changed"
		[ -s "$T/diff" ] || [ -z "$want" ] || fail "$rule: $was: no diff"
		[ -z "$want" ] || patch -s --binary -o "$T/patched" "$T/a.wy" <"$T/diff" || fail "$rule: patch"
		[ -z "$want" ] || cmp -s "$T/patched" "$T/want" || fail "$rule: $was: $(cat "$T/patched")"
		wy-tidy -H /dev/null --fix="$rule" -r "$T/a.wy" >"$T/out" 2>"$T/err" || true
		cmp -s "$T/a.wy" "$T/want" || fail "$rule: $was: $(cat "$T/a.wy")"
		[ ! -s "$T/out" ] || fail "$rule: -r prints"
		[ -z "$want" ] || status 0 wy-check -H /dev/null --by-line --level=byte-order-mark=error --level=carriage-return=error "$T/a.wy" || fail "$was: $(cat "$T/out")"
		[ -z "$want" ] || echo "$rule" >>"$T/tried"
	done <<-'END'
		byte-order-mark|\xef\xbb\xbf2026-03-05 seal L061|2026-03-05 seal L061
		carriage-return|2026-03-05 seal  L061\r|2026-03-05 seal  L061
		date-malformed|25.3.2026 seal L061|2026-03-25 seal L061
		date-malformed|2026/3/5 seal L061|2026-03-05 seal L061
		date-malformed|2026-03-05 order O1 to=x count=3 due=15-12-2026|2026-03-05 order O1 to=x count=3 due=2026-12-15
		date-malformed|5.3.2026 seal L061
		date-malformed|31.2.2026 seal L061
		time-malformed|2026-03-05 9:30 seal L061|2026-03-05 09:30 seal L061
		time-malformed|2026-03-05 0930 seal L061|2026-03-05 09:30 seal L061
		time-malformed|2026-03-05 24:00 seal L061
		time-malformed|2026-03-05 930 seal L061
		field-malformed|2026-03-05 seal L061 with = wax by=mk|2026-03-05 seal L061 with=wax by=mk
		field-malformed|2026-03-05 seal L061 with= wax # x = y|2026-03-05 seal L061 with=wax # x = y
		field-malformed|2026-03-02 buy L061 form=cleft count=SH:18, S6:2 into=y|2026-03-02 buy L061 form=cleft count=SH:18,S6:2 into=y
		field-malformed|2026-03-05 note L061 text= all is "well" by=mk|2026-03-05 note L061 text="all is \\"well\\"" by=mk
		field-malformed|2026-03-05 note L061 text=all is well
		quote-escape|2026-03-05 note L061 text="a\\b\\c"|2026-03-05 note L061 text="a\\\\b\\\\c"
		text-unquoted|2026-03-05 note L061 text=a(b)|2026-03-05 note L061 text="a(b)"
		number-malformed|2026-03-05 air north temp=20,5C|2026-03-05 air north temp=20.5C
		number-malformed|2026-03-05 air north temp=2.05e1C|2026-03-05 air north temp=20.5C
		number-malformed|2026-03-05 finish B1 mass=1,250g
		number-malformed|2026-03-05 sell B1 to=x price=$12.50
		number-malformed|2026-03-05 probe L061 mc=14,5%% meter=pin2
		unit-missing|2026-03-05 air north rh=54|2026-03-05 air north rh=54%%
		unit-missing|2026-03-05 probe L061 mc=9.3,9.6%%,9.1|2026-03-05 probe L061 mc=9.3%%,9.6%%,9.1%%
		unit-missing|2026-03-05 air north rh=0.54
		unit-missing|2026-03-05 air north temp=20
		unit-unknown|2026-03-05 air north temp=20°c|2026-03-05 air north temp=20C
		unit-unknown|2026-03-05 finish B1 mass=1.2Kg|2026-03-05 finish B1 mass=1.2kg
		unit-unknown|2026-03-05 air north temp=293K
		money-places|2026-03-05 sell B1 to=x price=12.5EUR|2026-03-05 sell B1 to=x price=12.50EUR
		money-places|2026-03-05 sell B1 to=x price=12.505EUR
		all|25.3.2026 9:30 air north temp = 20,5C rh=54|2026-03-25 09:30 air north temp=20.5C rh=54%%
	END
	sort -u "$T/tried" | grep -vx all | diff "$T/rules" - || fail 'a rule has no case here (<), or no words in spec/rules.yaml (>)'
	[ "$(wc -l <"$T/rules")" -ge 11 ] || fail "only $(cat "$T/rules")"
	report
}

@test "tidy: --fix leaves form, order and what it was not asked for, and says what it cannot do" {
	printf '\xef\xbb\xbf2026-03-06 9:30 seal   L1\r\n\r\n2026-03-05 seal L061 with = wax\r\n# x ' >"$T/a.wy"
	printf '\xef\xbb\xbf2026-03-06 09:30 seal   L1\r\n\r\n2026-03-05 seal L061 with = wax\r\n# x ' >"$T/want"
	status 1 wy-tidy -H /dev/null -r -f time-malformed "$T/a.wy"
	cmp -s "$T/a.wy" "$T/want" || fail "$(cat -A "$T/a.wy")"
	grep -q '3:22: error: .*field-malformed' "$T/err" || fail "$(cat "$T/err")"
	status 0 wy-tidy -H /dev/null -r --fix=field-malformed,byte-order-mark --fix carriage-return "$T/a.wy"
	printf '2026-03-06 09:30 seal   L1\n\n2026-03-05 seal L061 with=wax\n# x ' | cmp -s - "$T/a.wy" || fail "$(cat -A "$T/a.wy")"
	status 0 wy-tidy -H /dev/null --fix=all "$T/a.wy"
	[ ! -s "$T/out" ] || fail 'a diff of nothing'
	status 2 wy-tidy --fix=tme-malformed "$T/a.wy"
	grep -q 'perhaps time-malformed' "$T/err" || fail "$(cat "$T/err")"
	status 2 wy-tidy --fix "$T/a.wy"
	grep -qF 'write --fix=all FILE' "$T/err" || fail "a file in place of rules: $(cat "$T/err")"
	status 2 wy-tidy --fix=nope "$T/a.wy"
	grep -qF "unknown rule 'nope'; wy-check --rules lists the rules" "$T/err" || fail "where the rules are listed: $(cat "$T/err")"
	status 2 wy-tidy --fix= "$T/a.wy"
	grep -qF 'names no rule' "$T/err" || fail "no rule: $(cat "$T/err")"
	status 2 wy-tidy --fix=stock-short "$T/a.wy"
	grep -q 'wy-check --about stock-short' "$T/err" || fail "$(cat "$T/err")"
	status 2 wy-tidy --fix=all --changes "$T/a.wy"
	status 2 wy-tidy --fix=all --no-sort "$T/a.wy"
	page_examples tools/wy-tidy.1 hasty.wy sheet.wy
	report
}

@test "tidy: bad input and bad output do not pass for good" {
	bad=0
	tidied "$T/t"
	status 2 wy-tidy "$T/none" || bad=1
	status 2 wy-tidy "$T" || bad=1
	status 2 wy-tidy -r || bad=1
	status 2 wy-tidy -r - <"$T/t" || bad=1
	status 2 wy-tidy -r --untidy "$T/t" || bad=1
	status 2 wy-tidy --sort || bad=1
	for flag in '' --no-sort --changes; do
		hasty "$T/h"
		got=0
		wy-tidy $flag "$T/h" >/dev/full 2>"$T/err" || got=$?
		[ $got = 2 ] && grep -q 'cannot write' "$T/err" || { echo "full disk: $got"; bad=1; }
		got=0
		wy-tidy $flag "$T/h" >&- 2>"$T/err" || got=$?
		[ $got = 2 ] || { echo "closed output: $got"; bad=1; }
		status 0 wy-tidy $flag /dev/null || bad=1
		[ ! -s "$T/out" ] || bad=1
	done
	for n in 1 2 3 4 5 6 7 8 9; do cat "$T/h"; done >"$T/long"
	cp "$T/long" "$T/before"
	(ulimit -f 1; wy-tidy -r "$T/long" 2>"$T/err") && got=0 || got=$?
	[ $got = 2 ] && grep -q 'was not changed: File too large' "$T/err" || { echo "a file that may not grow: $got, $(cat "$T/err")"; bad=1; }
	cmp "$T/long" "$T/before" || bad=1
	mkfifo "$T/fifo"
	cat "$T/h" >"$T/fifo" &
	status 0 wy-tidy "$T/fifo" || bad=1
	cmp "$T/out" "$T/t" || bad=1
	# a line that is longer than any block
	head -c 1000000 /dev/zero | tr '\0' x >"$T/long"
	printf '\n2026-01-01 seal a\n' >>"$T/long"
	status 1 wy-tidy "$T/long" || bad=1
	[ "$(wc -c <"$T/out")" = 1000028 ] || bad=1
	cat "$T/h" "$T/long" >"$T/long2"
	status 2 wy-tidy --no-sort "$T/long2" || bad=1
	[ "$(tail -n 1 "$T/out")" = '#! incomplete' ] || bad=1
	[ "$bad" = 0 ]
}

@test "tidy: the page's example is what comes out, and the page is clean" {
	mandoc -T lint -W warning tools/wy-tidy.1
	sed -n '/^\$ cat hasty/,/^\$ wy-tidy/p' tools/wy-tidy.1 | grep '^2026' >"$T/hasty.wy"
	sed -n '/^\$ wy-tidy hasty/,/^\.Ed/p' tools/wy-tidy.1 | grep '^2026' >"$T/want"
	[ -s "$T/want" ]
	wy-tidy "$T/hasty.wy" | cmp - "$T/want"
	wy-tidy --help | grep -q 'canonical'
	# every option of the help page is on the page
	wy-tidy --help-options | cut -f 1 | sed 's/^--//' | while read -r name; do
		grep -q "Fl -$name" tools/wy-tidy.1 || { echo "no $name on the page"; exit 1; }
	done
}
