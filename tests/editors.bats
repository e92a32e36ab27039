# needs: editors
# Each editor file in its real editor, without a screen: what is coloured how, what is offered, and
# where the checker's messages lead.

bats_require_minimum_version 1.5.0

setup() {
	cd "$BATS_TEST_DIRNAME/.." || return
	root=$PWD
	PATH="$PWD/build/bin:$PATH"
	work=$BATS_TEST_TMPDIR
	unset WITHY_HOUSE WITHY_TODAY
	export LC_ALL=C.UTF-8
}

# in_vim SCRIPT: runs tests/editors/SCRIPT with our files alone, and prints what it found wrong.
in_vim() {
	export SCRIPT=$root/tests/editors/$1 FAILED=$work/failed
	rm -f "$FAILED"
	HOME=$work timeout 30 vim -u tests/editors/run.vim -i NONE -n -es -c 'call Run()' </dev/null >"$work/vim.out" 2>&1
	[ -e "$FAILED" ] || { cat "$work/vim.out"; return 1; }
	cat "$FAILED"
	[ ! -s "$FAILED" ]
}

@test "vim: every part of a line has its colour, and what is no word is an error" {
	in_vim syntax.vim
}

books() { # what plugin.vim opens
	export BOOKS=$work/books
	mkdir "$BOOKS"
	cd "$BOOKS"
	echo '2026-03-05 seal L061' >named.wy
	printf '# withy 1\n2026-03-05 seal L061\n' | tee first-line >first-line.txt
	printf '# withy is a word\n' >remark.txt
	printf '2026-03-05 seel L061 with=wax\n\n2026-03-05 seal L061 wth=wax\n' >bad.wy
	cd "$root"
}

@test "vim: detection, completion with the works' own words, and :make on messages of every level" {
	books
	mkdir "$work/bin"
	cat >"$work/bin/wy-check" <<-'END'
		#!/bin/sh
		[ "$1" = --events ] && printf 'polish\tcloth\tmay\tid\t\t\twhat it was rubbed with\npolish\t\tabout\tid\t\tbat\tit is rubbed\n' && exit
		case $* in *bad.wy) ;; *) echo "wy-check: not asked for bad.wy: $*"; exit 2 ;; esac
		echo "bad.wy:1:12: error: there is no event 'seel'; did you mean 'seal'? [event-unknown]" >&2
		echo "bad.wy:3:22: warning: text: with a colon; mend it [some-rule]" >&2
		echo "bad.wy:3:1: note: a note [other-rule]"
		echo "wy-check: a line without a place"
		exit 1
	END
	chmod +x "$work/bin/wy-check"
	PATH="$work/bin:$PATH"
	printf '1\t12\te\tno event .*did you mean .seal.* \\[event-unknown\\]$\n3\t22\tw\t^text: with a colon; mend it\n3\t1\tn\t^a note\n' >"$BOOKS/bad.expect"
	OWN_EVENT=polish OWN_FIELD=cloth in_vim plugin.vim
}

# nano_opens FILE: nano on a screen of its own, with our file alone; waits for it.
nano_opens() {
	echo "include \"$root/editors/nano/withy.nanorc\"" >"$work/nanorc"
	screen=$work/screen
	cd "$(dirname "$1")"
	tmux -S "$work/tmux" -f /dev/null new-session -d -x 150 -y 30 "TERM=screen-256color nano --rcfile='$work/nanorc' $(basename "$1")"
	cd "$root"
	screen_has "Read "
}

screen_has() { # waits until the screen has the text and stands still
	for _ in 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20 21 22 23 24 25; do
		sleep 0.2
		tmux -S "$work/tmux" capture-pane -e -p >"$screen.now"
		if grep -qF -- "$1" "$screen.now" && cmp -s "$screen.now" "$screen"; then return 0; fi
		mv "$screen.now" "$screen"
	done
	cat "$screen"
	return 1
}

teardown() {
	[ ! -S "$work/tmux" ] || tmux -S "$work/tmux" kill-server
}

@test "nano: takes the file without complaint, and colours every part of a line" {
	node tests/editors/nano.js --book >"$work/colours.wy"
	nano_opens "$work/colours.wy"
	node tests/editors/nano.js "$screen"
	# nano tells on its first screen what it does not like in a file of its own
	! grep -iE 'mistake|error' "$screen" || false
}

@test "nano: knows a book by its first line as well" {
	printf '# withy 1\n2026-03-05 seal L061\n' >"$work/colours"
	nano_opens "$work/colours"
	grep -q "$(printf '\033\\[32m *seal')" "$screen"
}

@test "nano: its linter runs the checker and goes to what is wrong" {
	mkdir "$work/bin"
	printf '#!/bin/sh\necho "$1:3:12: error: there is no event; did you mean [event-unknown]"\nexit 1\n' >"$work/bin/wy-check"
	chmod +x "$work/bin/wy-check"
	PATH="$work/bin:$PATH"
	printf '# withy 1\n2026-03-05 seal L061\n2026-03-05 seel L061\n' >"$work/bad.wy"
	nano_opens "$work/bad.wy"
	tmux -S "$work/tmux" send-keys M-b
	screen_has 'there is no event; did you mean [event-unknown]'
	[ "$(tmux -S "$work/tmux" display-message -p '#{cursor_x},#{cursor_y}')" = 11,3 ]
}
