# needs: git python3
# wy-merge: what it makes of three versions, with real git and without. More random histories, and odder
# ones, are merged by tests/unit/merge_join.c.

load lib/common

setup() {
	at_root
	git() { command git -c user.name=x -c user.email=x@example.org -c init.defaultBranch=main -c advice.detachedHead=false "$@"; }
	export GIT_CONFIG_NOSYSTEM=1 HOME="$T" GIT_AUTHOR_NAME=x GIT_AUTHOR_EMAIL=x@example.org GIT_COMMITTER_NAME=x GIT_COMMITTER_EMAIL=x@example.org
}

three() { # three BASE OURS THEIRS: the texts as files
	printf "$1" >"$T/base"
	printf "$2" >"$T/ours"
	printf "$3" >"$T/theirs"
}

merged() { # merged STATUS: of the files
	status "$1" wy-merge "$T/base" "$T/ours" "$T/theirs"
}

a='2026-03-05       seal    L061   with=wax\n'
b='2026-03-06       seal    L062   with=wax\n'
c='2026-03-07       seal    L063   with=wax\n'
d='2026-03-08       seal    L064   with=wax\n'
a2='2026-03-05       seal    L061   with=oil\n'
a3='2026-03-05       seal    L061   with=tar\n'

@test "merge: additions, edits and removals of one side are taken, in whichever order the lines are" {
	while IFS='|' read -r base ours theirs want; do
		for turn in '' 1; do
			three "$base" "$ours" "$theirs"
			[ -z "$turn" ] || three "$base" "$theirs" "$ours"
			merged 0
			printf "$want" >"$T/want"
			same "$T/want" "$base, $ours, $theirs $turn"
			[ ! -s "$T/err" ] || fail "$base, $ours, $theirs: $(cat "$T/err")"
		done
	done <<-END
		$a|$a$b|$a$c|$a$b$c
		$a$b|$a2$b|$a$b$c|$a2$b$c
		$a$b$c|$b$c|$a$b|$b
		$a$b$c|$c$b$a|$a2$b$c|$a2$b$c
		$a$b|$b|$b|$b
		|$b|$a|$a$b
		$a|||
		# h\n\n$a|# h\n\n$a$b|# i\n\n$a|# i\n\n$a$b
		$a\n# m\n$b|$a\n# m\n$c$b|$a\n# m\n$b$d|$a\n# m\n$b$c$d
		$a|2026-03-09 seal L061 with=wax\n|$a$b|${b}2026-03-09       seal    L061   with=wax\n
	END
	report
}

@test "merge: the same from both sides is kept once and reported, a like entry twice" {
	three "$a" "$a$b" "$a$b"
	merged 0
	printf "$a$b" >"$T/want"
	same "$T/want" 'the same line'
	grep -q 'both sides wrote this line, and it is kept once: 2026-03-06 ' "$T/err" || fail "$(cat "$T/err")"
	three "$a" "$a$b" "$a$(sed s/wax/oil/ <<<"$b")"
	merged 0
	[ "$(grep -c '2026-03-06 .*L062' "$T/out")" = 2 ] || fail 'two like entries: one is gone'
	grep -q 'both sides added an entry like this one, and both are kept: 2026-03-06 ' "$T/err" || fail "$(cat "$T/err")"
	# one edited it, the other added what it became
	three "$a" "$a2" "$a$a2"
	merged 0
	printf "$a2" >"$T/want"
	same "$T/want" 'an edit and the same addition'
	report
}

@test "merge: what both changed is a conflict with its reason, which wy-check refuses" {
	while IFS='|' read -r base ours theirs reason lines; do
		three "$base" "$ours" "$theirs"
		merged 1
		grep -q "^<<<<<<< ours: $reason\$" "$T/out" || fail "$base, $ours, $theirs: $(cat "$T/out")"
		[ "$(grep -c '^2026' "$T/out")" = "$lines" ] || fail "$base, $ours, $theirs: $(cat "$T/out")"
		grep -q "$T/ours:[0-9]*: conflict: $reason: 2026-03-0" "$T/err" || fail "$(cat "$T/err")"
		cp "$T/out" "$T/book.wy"
		status 1 wy-check -H /dev/null --by-line "$T/book.wy"
		[ "$(grep -c 'error: .* -- merge-mark$' "$T/out")" = 4 ] || fail "$base, $ours, $theirs: $(cat "$T/out")"
		status 1 wy-tidy "$T/book.wy"
		same "$T/book.wy" 'wy-tidy of a conflict'
	done <<-END
		$a|$a2|$a3|edited on both sides|3
		$a|$a2||removed on one side and edited on the other|2
		$a||$a2|removed on one side and edited on the other|2
		|2026-03-05 air north temp=28C\n|2026-03-05 air north temp=82.4F\n|the same entry added on both sides in other words|2
		$a$a2|$a3|$a|changed on both sides, and it is not clear which line became which|4
		$a|2026-03-09 seal L061 with=wax\n|2026-03-10 seal L061 with=wax\n|edited on both sides|3
		$a|2026-03-05 seal L062 with=wax\n$a2|$a2|changed on both sides, and it is not clear which line became which|4
		$a||2026-03-09 seal L061 with=oil\n2026-03-10 seal L061 with=tar\n|changed on both sides, and it is not clear which line became which|3
	END
	[ -z "$failures" ] || report
	three "$a" "$a2" "$a3"
	status 1 wy-merge --mark-size=20 "$T/base" "$T/ours" "$T/theirs"
	grep -q '^<<<<<<<<<<<<<<<<<<<< ours: ' "$T/out" || fail 'no mark of 20'
	status 1 wy-merge --replace --path=book.wy "$T/base" "$T/ours" "$T/theirs"
	grep -q '^=======$' "$T/ours" && [ ! -s "$T/out" ] || fail "not replaced"
	grep -q '^wy-merge: book.wy:1: conflict: ' "$T/err" || fail "$(cat "$T/err")"
	report
}

@test "merge: odd input loses nothing" {
	# byte-order mark, CR LF, no line end
	three "$a" "\xef\xbb\xbf2026-03-05 seal L061 with=wax\r\n" "${a}2026-03-06 seal L062 with=wax"
	merged 0
	printf "$a$b" >"$T/want"
	same "$T/want" 'line ends'
	# lines that cannot be read are merged as text
	three "no date\n$a" "no date\n$a${b}ours 1\n" "a date\n$a"
	merged 0
	printf "a date\n$a${b}ours 1\n" >"$T/want"
	same "$T/want" 'lines that cannot be read'
	three "no date\n" "ours 1\n" "theirs 2\n"
	merged 1
	[ "$(grep -c '^ours 1$\|^theirs 2$\|^no date$' "$T/out")" = 3 ] || fail "$(cat "$T/out")"
	# a conflict of comments: the message has a line of it, not a mark and not an entry below
	three "# b\n# c\n\n$a" "# c\n# b\n\n$a" "# c\n\n$a"
	merged 1
	grep -q "ours:[0-9]*: conflict: .*: # [bc]\$" "$T/err" || fail "comments: $(cat "$T/err")"
	# a conflict from before
	three "$a" "<<<<<<< ours: x\n$a2=======\n$a3>>>>>>> theirs\n" "$a$b"
	merged 0
	[ "$(grep -c '^[<=>]' "$T/out")" = 3 ] && grep -q L062 "$T/out" || fail "$(cat "$T/out")"
	# NULs, very long lines
	{ printf "$a"; head -c 100000 /dev/zero | tr '\0' x; printf '\nx\0y\n'; } >"$T/ours"
	printf "$a" >"$T/base"
	printf "$a$b" >"$T/theirs"
	merged 0
	[ "$(wc -c <"$T/out")" = $((100000 + 1 + 4 + $(printf "$a$b" | wc -c))) ] || fail "long lines: $(wc -c <"$T/out")"
	# comments that both write below
	three "$a# end\n" "$a# end\n$b" "$a# end\n$c"
	merged 0
	printf "$a# end\n$b$c" >"$T/want"
	same "$T/want" 'a comment at the end'
	report
}

@test "merge: wrong use and failing input or output" {
	three "$a" "$a$b" "$a$c"
	status 2 wy-merge
	status 2 wy-merge "$T/base" "$T/ours"
	status 2 wy-merge "$T/base" "$T/ours" "$T/none"
	status 2 wy-merge "$T/none" "$T/ours" "$T/theirs"
	status 2 wy-merge -r "$T/base" "$T/none" "$T/theirs"
	status 2 wy-merge "$T" "$T/ours" "$T/theirs"
	status 2 wy-merge - - "$T/theirs" <"$T/base"
	status 2 wy-merge -r "$T/base" - "$T/theirs" <"$T/ours"
	status 2 wy-merge --mark-size=3 "$T/base" "$T/ours" "$T/theirs"
	printf "$a$b" | cmp - "$T/ours" || fail 'a failure changed ours'
	status 0 wy-merge - "$T/ours" "$T/theirs" <"$T/base"
	got=0
	wy-merge "$T/base" "$T/ours" "$T/theirs" >/dev/full 2>"$T/err" || got=$?
	[ $got = 2 ] || fail "full disk: $got"
	report
}

repository() { # repository FOLDER: an empty one, set up for books
	rm -rf "$1"
	git init -q "$1"
	(cd "$1" && sh "$WITHY_ROOT_HERE/editors/git/install.sh" >/dev/null)
}

# A house with an event of its own, in a folder below the top of the repository.
@test "merge: git merges, rebases and picks by entries, with the house file beside the book" {
	WITHY_ROOT_HERE=$PWD
	repository "$T/r"
	cd "$T/r"
	mkdir works
	printf 'works: W\nbook: [book.wy]\nevents:\n  soak: {subject: [lot], needs: [hours], help: put in water}\nfields:\n  hours: {type: span, help: how long}\n' >works/house.yaml
	printf '2026-03-02 buy L1 form=cleft count=SH:18 into=yard/b1\n2026-03-05 soak L1 hours=3h\n' >works/book.wy
	git add -A && git commit -qm base --no-verify
	git checkout -qb two
	printf '2026-03-06 soak L1 hours=4h by=mk\n' >>works/book.wy
	git commit -qam two --no-verify
	git checkout -q main
	printf '2026-03-04 soak L1 hours=5h by=mk\n' >>works/book.wy
	git commit -qam one --no-verify
	status 0 git merge -q two
	[ "$(sed -n 's/.*soak.*hours=\([345]\).*/\1/p' works/book.wy | tr '\n' ' ')" = '5 3 4 ' ] || fail "$(cat works/book.wy)"
	git reset -q --hard HEAD~1
	git checkout -q two
	status 0 git rebase -q main
	[ "$(grep -c soak works/book.wy)" = 3 ] || fail "rebase: $(cat works/book.wy)"
	# a conflict: git says so, and the book has the marks
	git checkout -q main
	sed -i 's/hours=3h/hours=8h/' works/book.wy && git commit -qam three --no-verify
	git checkout -q two
	sed -i 's/hours=3h/hours=9h/' works/book.wy && git commit -qam four --no-verify
	status 1 git merge -q main
	grep -q '^>>>>>>> theirs' works/book.wy || fail "no marks: $(cat works/book.wy)"
	git status --short | grep -q '^UU works/book.wy' || fail "$(git status --short)"
	report
}

@test "merge: where the driver is absent or fails, nothing passes in silence" {
	WITHY_ROOT_HERE=$PWD
	repository "$T/r"
	cd "$T/r"
	printf "$a$b" >book.wy
	git add -A && git commit -qm base --no-verify
	git checkout -qb two && printf "$a$b$c" >book.wy && git commit -qam two --no-verify
	git checkout -q main && printf "$a$b$d" >book.wy && git commit -qam one --no-verify
	# without it: the marks are an error
	git config --remove-section merge.withy
	status 1 git merge -q two
	status 1 wy-check -H /dev/null --by-line book.wy
	[ "$(grep -c 'merge-mark$' "$T/out")" = 3 ] || fail "$(cat "$T/out")"
	git merge --abort
	# the same line at two places: twice, which is an error too
	git checkout -q two && printf "2026-03-04       seal    L060\n$a$b" >book.wy && git commit -qam x --no-verify
	git checkout -q main && printf "$a${b}2026-03-04       seal    L060\n" >book.wy && git commit -qam y --no-verify
	status 0 git merge -q --no-verify two
	status 1 wy-check -H /dev/null book.wy
	grep -q 'line-twice$' "$T/out" || fail "$(cat "$T/out")"
	git reset -q --hard HEAD~1
	# a tool that is missing, or that fails: by lines, and a conflict in any case
	for bad in 'exit 127' 'exit 2' 'kill -9 $$'; do
		sh "$WITHY_ROOT_HERE/editors/git/install.sh" >/dev/null
		mkdir -p "$T/path"
		printf '#!/bin/sh\n%s\n' "$bad" >"$T/path/wy-merge"
		chmod +x "$T/path/wy-merge"
		PATH="$T/path:$PATH" status 1 git merge -q two
		git status --short | grep -q '^UU book.wy' || fail "$bad: $(git status --short)"
		[ "$(grep -c L060 book.wy)" = 2 ] || fail "$bad: $(cat book.wy)"
		git merge --abort
	done
	# and with it the line is there once
	status 0 git merge -q --no-verify two
	[ "$(grep -c L060 book.wy)" = 1 ] || fail "$(cat book.wy)"
	report
}

@test "merge: thousands of random histories through git: nothing lost, doubled or chosen" {
	[ "${bin##*/san/bin}" ] || return 0
	WITHY_ROOT_HERE=$PWD
	repository "$T/r"
	python3 tests/lib/merge_git.py "$T/r" 2000 20260302 >"$T/told" || fail "it stops: $(tail -n 3 "$T/told")"
	grep -q FAULT "$T/told" && fail "$(grep FAULT "$T/told" | head -n 10)"
	least() { [ "$(sed -n "s/^$1 //p" "$T/told")" -ge "$2" ] || fail "only $(grep "^$1 " "$T/told")"; }
	least merges 8000
	least settled 120000
	least conflicts 1500
	least crossed 660
	report
}

@test "merge: two clones of the sample book, 200 random edits on each, merged both ways" {
	[ "${bin##*/san/bin}" ] || return 0
	WITHY_ROOT_HERE=$PWD
	repository "$T/one"
	mkdir "$T/one/book"
	cp samples/house.yaml "$T/one"
	cp samples/book/*.wy "$T/one/book"
	before=$(grep -h '^20' samples/book/*.wy | wc -l)
	(cd "$T/one" && git add -A && git commit -qm base)
	git clone -q "$T/one" "$T/two"
	(cd "$T/two" && sh "$WITHY_ROOT_HERE/editors/git/install.sh" >/dev/null)
	read -r added both removed < <(python3 tests/lib/merge_clones.py "$T/one" 0 200)
	read -r added2 both2 removed2 < <(python3 tests/lib/merge_clones.py "$T/two" 1 200)
	[ "$both" = 8 ] && [ "$both2" = 8 ] && [ "$((added + removed))" -gt 80 ] || fail "$added $both $removed"
	for clone in one two; do (cd "$T/$clone" && git commit -qam "$clone" --no-verify); done
	(cd "$T/one" && git fetch -q "$T/two" main:two)
	(cd "$T/two" && git fetch -q "$T/one" main:one)
	(cd "$T/one" && status 0 git merge -q two)
	grep -c 'it is kept once' "$T/err" | grep -qx 8 || fail "kept once: $(cat "$T/err")"
	(cd "$T/two" && status 0 git merge -q one)
	diff -r "$T/one/book" "$T/two/book" >/dev/null || fail 'the bytes differ'
	after=$(cat "$T"/one/book/*.wy | grep -c '^20')
	[ "$after" = $((before + added + added2 - both - removed - removed2)) ] || fail "$before + $added + $added2 - $both - $removed - $removed2 is not $after"
	(cd "$T/one" && status 0 wy-check -b)
	(cd "$T/one" && status 0 wy-tidy --untidy book/*.wy)
	report
}

@test "merge: the hook checks what will be committed, and install.sh leaves what is there" {
	WITHY_ROOT_HERE=$PWD
	repository "$T/r"
	cd "$T/r"
	mkdir "works 1"
	printf 'works: W\nbook: [book.wy]\n' >"works 1/house.yaml"
	printf '2026-03-02 buy L1 form=cleft count=SH:18 into=yard/b1\n' >"works 1/book.wy"
	git add -A
	status 0 git commit -qm base
	# an error in a line; then one of the whole book
	printf '2026-02-30 seal L1 with=wax\n' >>"works 1/book.wy"
	git add -A
	status 1 git commit -qm bad
	grep -q 'works 1/book.wy:2:1: error: .*date-impossible' "$T/err" "$T/out" || fail "$(cat "$T/err" "$T/out")"
	sed -i '$d' "works 1/book.wy"
	printf '2026-03-05 seal L9 with=wax\n' >>"works 1/book.wy"
	git add -A
	status 1 git commit -qm bad
	grep -q 'id-unknown' "$T/err" "$T/out" || fail "$(cat "$T/err" "$T/out")"
	# what is in the folder but not in the index does not count, and the other way round
	sed -i 's/L9/L1/' "works 1/book.wy"
	status 1 git commit -qm bad
	git add -A
	printf 'rubbish\n' >>"works 1/book.wy"
	status 0 git commit -qm good
	git checkout -q "works 1/book.wy"
	# a conflict that was added all the same
	printf '<<<<<<< ours\n' >>"works 1/book.wy"
	git add -A
	status 1 git commit -qm marks
	grep -q 'merge-mark' "$T/err" "$T/out" || fail "$(cat "$T/err" "$T/out")"
	# twice is once; a hook of one's own stays; --remove takes only ours
	sh "$WITHY_ROOT_HERE/editors/git/install.sh" >/dev/null
	[ "$(wc -l <.gitattributes)" = 1 ] || fail "$(cat .gitattributes)"
	sh "$WITHY_ROOT_HERE/editors/git/install.sh" --remove
	[ ! -e .git/hooks/pre-commit ] && ! grep -q withy .git/config || fail "left: $(cat .git/config)"
	echo 'exit 0' >.git/hooks/pre-commit
	sh "$WITHY_ROOT_HERE/editors/git/install.sh" >"$T/out" 2>"$T/err"
	grep -q 'there is a hook already' "$T/err" || fail 'it says nothing of the other hook'
	sh "$WITHY_ROOT_HERE/editors/git/install.sh" --remove
	[ "$(cat .git/hooks/pre-commit)" = 'exit 0' ] || fail 'the other hook is gone'
	(cd "$T" && status 2 sh "$WITHY_ROOT_HERE/editors/git/install.sh" 2>/dev/null) || true
	report
}

@test "merge: the parts of a diff have the charge or lot as title" {
	WITHY_ROOT_HERE=$PWD
	repository "$T/r"
	cd "$T/r"
	{
		printf '2026-03-01       load    K26-05 kiln=north lot=L061 at=yard/b1 count=18\n'
		for i in 1 2 3 4 5 6 7 8 9; do printf '2026-03-02 0%d:00 air     north  temp=20C\n' $i; done
		printf '2026-03-03 10:00+13:00 seal    L062   with=wax\n'
		for i in 1 2 3 4 5 6 7 8 9; do printf '2026-03-04 0%d:00 air     north  temp=20C\n' $i; done
	} >book.wy
	git add -A && git commit -qm base --no-verify
	sed -i '/0[89]:00 air/s/20C/21C/' book.wy
	git diff | sed -n 's/^@@.*@@ //p' | tr -s ' ' >"$T/titles"
	printf 'load K26-05\nseal L062\n' | diff - "$T/titles" || fail "$(git diff)"
	report
}

@test "merge: hooks for a hook runner name commands that work" {
	python3 - .pre-commit-hooks.yaml >"$T/hooks" <<-'END' || fail 'it cannot be read'
		import re, sys
		# a list of flat mappings: that is all that is read here
		for block in open(sys.argv[1]).read().split("\n- ")[1:]:
		    keys = dict(re.findall(r"(?m)^\s*([a-z_]+): (.*)$", block))
		    assert keys["language"] == "system" and keys["name"] and re.compile(keys["files"].strip("'")).search("book/2026a.wy")
		    print(keys["entry"], "" if keys.get("pass_filenames") == "false" else "FILE")
	END
	[ "$(wc -l <"$T/hooks")" = 3 ] || fail "$(cat "$T/hooks")"
	cp samples/house.yaml "$T" && cp -R samples/book "$T"
	cd "$T"
	while read -r command; do
		status 0 sh -c "${command/FILE/book/2026a.wy book/2026b.wy}"
	done <"$T/hooks"
	printf '2026-02-30 seal L1\n' >>book/2026a.wy
	while read -r command; do
		status 1 sh -c "${command/FILE/book/2026a.wy book/2026b.wy}"
	done <"$T/hooks"
	report
}

@test "merge: the page's examples are what comes out" {
	page_examples tools/wy-merge.1 base.wy mine.wy yours.wy
	[ "$examples" -ge 1 ] || fail "only $examples examples"
	page_options tools/wy-merge.1
	[ "$options" -ge 4 ] || fail "only $options options"
	report
}
