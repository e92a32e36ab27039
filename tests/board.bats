# wy-board: the pages, each like the filter that it comes from, the folder that they are in, and how it ends.

load lib/common

setup() {
	at_root
	S=samples/house.yaml
	export WITHY_TODAY=2027-12-31
}

# board: the sample works' in $T/board
board() { status "${1:-0}" wy-board -H "$S" -b "$T/board"; }

# words FILE: the rows of its tables, and its points, without markup
words() { awk -f tests/lib/month_html.awk "$1"; }

@test "board: the pages are those of the other filters" {
	board
	grep -qE "^$T/board/index.html: [0-9]+ pages: [0-9]+ written, 0 unchanged, 0 removed$" "$T/out" || fail "$(cat "$T/out")"
	for page in index due charges stock rooms find charge-K27-09 of-C016 of-K27-07 of-T104; do [ -s "$T/board/$page.html" ] || fail "no $page.html"; done
	# the month and the charge have the same words; links and the way to the other pages are the board's
	wy-month -H "$S" -b --month 2027-12 --as=html | awk -f tests/lib/month_html.awk >"$T/want"
	words "$T/board/index.html" | diff "$T/want" - >"$T/diff" || fail "index.html: $(head -n 5 "$T/diff")"
	wy-month -H "$S" -b --charge K27-09 --as=html | awk -f tests/lib/month_html.awk >"$T/want"
	words "$T/board/charge-K27-09.html" | diff "$T/want" - >"$T/diff" || fail "the charge: $(head -n 5 "$T/diff")"
	wy-due -H "$S" -b --as=html | sed -n '/<tbody>/,/<\/tbody>/p' | sed 's/<[^>]*>/ /g' >"$T/want" || :
	sed -n '/<tbody>/,/<\/tbody>/p' "$T/board/due.html" | sed 's/<[^>]*>/ /g' | tr -s ' ' | diff <(tr -s ' ' <"$T/want") - >"$T/diff" || fail "due: $(head -n 5 "$T/diff")"
	[ "$(wc -l <"$T/want")" -ge 6 ] || fail 'nothing is due'
	[ "$(grep -o 'Before you open or enter a kiln' "$T/board/due.html" | wc -l)" = 1 ] || fail 'the caution is not there once'
	report
}

# One run asks for the origin of every id after another: none may have something of the one before.
@test "board: the origin of an id is what wy-trace prints" {
	board
	n=0
	for file in $(ls "$T/board" | grep '^of-' | awk 'NR % 12 == 1') of-C016.html of-K27-07.html of-H032.html; do
		id=${file#of-}
		id=${id%.html}
		n=$((n + 1))
		# the words of all rows, without headings, notes, hyphens and spaces
		wy-trace -H "$S" -b "$id" --as=text | tr -s ' ' | sed 's/ -\( -\)*\( \|$\)/ /g; s/ -\( \|$\)/ /g; s/^- //; s/ *$//' | sort >"$T/want"
		sed -n '/<tbody>/,/<\/tbody>/p' "$T/board/$file" | sed 's/<[^>]*>/ /g; s/&#39;/'"'"'/g; s/&gt;/>/g; s/&lt;/</g; s/&amp;/\&/g' |
			tr -s ' ' | sed 's/^ //; s/ *$//' | grep . | sort >"$T/got"
		comm -13 "$T/want" "$T/got" >"$T/more"
		[ ! -s "$T/more" ] || fail "$id: not in the answer of wy-trace: $(head -n 3 "$T/more")"
		# what is left of the answer is its headings, titles, notes and findings
		[ -s "$T/got" ] || fail "$id: nothing"
		[ -z "$(comm -23 "$T/want" "$T/got" | grep -E '^[0-9]{4}-[0-9]{2}-[0-9]{2} ')" ] || fail "$id: left out: $(comm -23 "$T/want" "$T/got" | grep -E '^[0-9]{4}-' | head -n 2)"
	done
	[ "$n" -ge 40 ] || fail "only $n ids"
	report
}

@test "board: every link leads to a page, and every id of the index has one" {
	board
	cd "$T/board"
	grep -oh 'href="[^"#]*"' ./*.html | sed 's/href="//; s/"$//' | sort -u >"$T/links"
	[ "$(wc -l <"$T/links")" -ge 400 ] || fail "only $(wc -l <"$T/links") links"
	while IFS= read -r to; do [ -f "$to" ] || fail "no page: $to"; done <"$T/links"
	for page in of-*.html; do grep -q "href=\"$page\"" find.html || fail "$page is not in the index"; done
	grep -q '<a href="charge-K27-09.html">K27-09</a>' index.html || fail 'an open charge does not lead to its page'
	grep -q '<a href="of-K27-07.html">K27-07</a>' of-C016.html || fail 'a past charge does not lead to its origin'
	report
}

@test "board: only what changed is written, and only pages of before are removed" {
	board
	mkdir "$T/was"
	cp -p "$T/board"/*.html "$T/was"
	echo mine >"$T/board/mine.html"
	touch -d 2020-01-01 "$T/board"/*.html
	board
	grep -q ' 0 written, [0-9]* unchanged, 0 removed$' "$T/out" || fail "$(cat "$T/out")"
	[ -z "$(find "$T/board" -name '*.html' -newermt 2020-01-02)" ] || fail 'a page that is the same was written'
	# a page that somebody spoilt is written again, another is not
	echo spoilt >"$T/board/due.html"
	rm "$T/board/of-C016.html"
	board
	grep -q ' 2 written, ' "$T/out" || fail "$(cat "$T/out")"
	cmp "$T/was/due.html" "$T/board/due.html" || fail 'it is still spoilt'
	# the charge is emptied: its page goes, somebody's own stays
	{ cat samples/book/*.wy; for kind in S5:60 S6:108 SH:827; do echo "2027-12-31 unload K27-09 type=${kind%:*} count=${kind#*:} into=bench by=mk"; done; } >"$T/b.wy"
	wy-board -H "$S" "$T/board" "$T/b.wy" >"$T/out" 2>"$T/err" || :
	grep -q ' 1 removed$' "$T/out" || fail "$(cat "$T/out" "$T/err")"
	[ ! -e "$T/board/charge-K27-09.html" ] || fail 'the page of a charge that is out is still there'
	[ "$(cat "$T/board/mine.html")" = mine ] || fail 'a page of somebody else is gone'
	# nothing else is left in the folder
	[ "$(ls -A "$T/board" | grep -v '\.html$')" = .pages ] || fail "$(ls -A "$T/board" | grep -v '\.html$')"
	report
}

@test "board: files of others are never replaced, and a list that leads elsewhere removes nothing" {
	mkdir "$T/board"
	echo mine >"$T/board/index.html"
	board 2
	grep -q "board/index.html is there and was not written by this command; move it away, or name another folder" "$T/err" || fail "$(cat "$T/err")"
	[ "$(ls -A "$T/board")" = index.html ] || fail "files: $(ls -A "$T/board")"
	[ "$(cat "$T/board/index.html")" = mine ] || fail 'it is gone'
	rm "$T/board/index.html"
	echo keep >"$T/keep"
	echo keep >"$T/board/.keep"
	printf '../keep\n%s\n.keep\n\n' "$T/keep" >"$T/board/.pages"
	board
	[ -f "$T/keep" ] && [ -f "$T/board/.keep" ] || fail 'a file that is no page was removed'
	# a link that has the name of a page is replaced, not followed
	rm "$T/board/due.html"
	ln -s "$T/keep" "$T/board/due.html"
	board
	[ "$(cat "$T/keep")" = keep ] || fail 'a link was followed'
	[ ! -L "$T/board/due.html" ] || fail 'a link is still there'
	# a name that no file can have is passed over; a page that cannot be removed is reported, and the list does not grow
	printf '%0300d.html\n' 0 >>"$T/board/.pages"
	board
	mkdir "$T/board/of-Z.html"
	echo of-Z.html >>"$T/board/.pages"
	board 2
	grep -q 'cannot remove .*of-Z.html' "$T/err" || fail "$(cat "$T/err")"
	cp "$T/board/.pages" "$T/pages"
	board 2
	cmp -s "$T/board/.pages" "$T/pages" || fail "the list grows to $(wc -l <"$T/board/.pages") lines"
	report
}

# What people write is text on a page, whatever it looks like.
@test "board: notes with markup, quotes, emoji and other directions are text" {
	printf '%s\n' '2026-01-05 buy a_B form=cleft count=SH:20 into=yard/b1' \
		"2026-01-06 note a_B text=\"<script>alert('1')</script> & שלום 🏏 x\"" >"$T/b.wy"
	wy-board -H "$S" "$T/board" --on 2026-01-31 "$T/b.wy" >"$T/out" 2>"$T/err" || :
	page=$T/board/of-a_B.html
	grep -qF "&lt;script&gt;alert(&#39;1&#39;)&lt;/script&gt; &amp; שלום 🏏 x</td>" "$page" || fail "$(cat "$T/err"; grep -n שלום "$page")"
	grep שלום "$page" | grep -q '<td class="words" dir="auto">' || fail 'no direction of its own'
	grep -q '<li><a href="of-a_B.html">a_B, lot</a>' "$T/board/find.html" || fail "$(grep -o '<li><a href="of.*' "$T/board/find.html")"
	report
}

@test "board: an empty book, bad lines, a full disk, wrong use" {
	status 1 wy-board -H "$S" "$T/empty" /dev/null
	grep -q 'the book has no entries' "$T/empty/index.html" || fail 'an empty book looks well'
	printf '2026-01-05 buy L1 form=cleft count=two into=yard/b1\n' >"$T/bad.wy"
	status 1 wy-board -H "$S" "$T/bad" "$T/bad.wy"
	[ ! -e "$T/bad" ] || fail 'pages of a line that cannot be read'
	status 2 wy-board
	grep -q 'name the folder for the pages' "$T/err" || fail "$(cat "$T/err")"
	status 2 wy-board -H "$S" "$T/no/such/folder" /dev/null
	grep -q "cannot make the folder $T/no/such/folder" "$T/err" || fail "$(cat "$T/err")"
	: >"$T/file"
	status 2 wy-board -H "$S" "$T/file" /dev/null
	grep -q 'cannot open the folder' "$T/err" || fail "$(cat "$T/err")"
	got=0
	wy-board -H "$S" -b "$T/full" >/dev/full 2>"$T/err" || got=$?
	[ "$got" = 2 ] || fail "a full disk: $got"
	status 0 wy-board -q -H "$S" -b "$T/quiet"
	[ ! -s "$T/out" ] || fail "it is not quiet: $(cat "$T/out")"
	report
}

# Two runs at once, as of a hook and cron, leave whole pages.
@test "board: runs at the same time wait for each other" {
	for i in 1 2 3; do wy-board -q -H "$S" -b "$T/board" & done
	wait
	board
	grep -q ' 0 written, ' "$T/out" || fail "$(cat "$T/out")"
	report
}
