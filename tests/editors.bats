# once: the editors are what is tested
# needs: editors
# Each editor file in its real editor, without a screen: what is coloured how, what is offered, and
# where the checker's messages lead.

load lib/common

setup() {
	at_root
	root=$PWD
	work=$BATS_TEST_TMPDIR
	export LC_ALL=C.UTF-8
}

# in_vim SCRIPT: runs tests/editors/SCRIPT with our files alone, and prints what it found wrong.
in_vim() {
	export BOOKS SCRIPT=$root/tests/editors/$1 FAILED=$work/failed
	rm -f "$FAILED"
	HOME=$work timeout 30 vim -u tests/editors/run.vim -i NONE -n -es -c 'call Run()' </dev/null >"$work/vim.out" 2>&1
	[ -e "$FAILED" ] || { cat "$work/vim.out"; return 1; }
	cat "$FAILED"
	[ ! -s "$FAILED" ]
}

@test "vim: every part of a line has its colour, and an unknown word is an error" {
	in_vim syntax.vim
}

@test "vim: nothing in a book of half a year is shown as an error, the works' own words not either" {
	BOOKS=samples/book/2026a.wy in_vim book.vim
}

books() { # what plugin.vim opens
	export BOOKS="$work/books, 100% of it's"
	mkdir "$BOOKS"
	cd "$BOOKS"
	touch house.yaml
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
		[ "$1:$4" = "--events:$BOOKS/house.yaml" ] && printf 'event\tfield\tuse\ttype\tform\twords\thelp\npolish\tcloth\tmay\tid\t\t\twhat it was rubbed with\npolish\t\tabout\tid\t\tbat\tit is rubbed\n' && exit
		[ "$1:$2:$3" = "-H:$BOOKS/house.yaml:bad.wy" ] || { echo "wy-check: not asked rightly: $*"; exit 2; }
		echo "bad.wy:1:12: error: 'seel' is not a known event; perhaps 'seal'? -- event-unknown" >&2
		echo "bad.wy:3:22: warning: text: with a colon; mend it -- some-rule" >&2
		echo "bad.wy:3:1: note: a note -- other-rule"
		echo "wy-check: a line without a place"
		exit 1
	END
	chmod +x "$work/bin/wy-check"
	PATH="$work/bin:$PATH"
	printf '1\t12\te\t.seel. is not a known event; perhaps .seal.* -- event-unknown$\n3\t22\tw\t^text: with a colon; mend it\n3\t1\tn\t^a note\n' >"$BOOKS/bad.expect"
	OWN_EVENT=polish OWN_FIELD=cloth in_vim plugin.vim
}

@test "vim: the same with the checker itself" {
	books
	cp samples/house.yaml "$BOOKS/house.yaml"
	printf '%s\n' '2026-03-05 seel L061 with=wax' '2026-04-21 buy C014 form=cleft count=SH:40 into=yard/b2' >"$BOOKS/bad.wy"
	printf '%s' '2026-04-22 probe C014 at=yard/b2 mc=23.5%' >>"$BOOKS/bad.wy"
	printf '1\t12\te\tperhaps .seal.* -- event-unknown$\n3\t34\tn\t -- uncorrected$\n3\t42\tw\t -- line-end-missing$\n' >"$BOOKS/bad.expect"
	OWN_EVENT=clean OWN_FIELD=text in_vim plugin.vim
}

# nano_opens FILE: nano on a screen of its own, with our file alone; waits for it.
nano_opens() {
	echo "include \"${nanorc:-$root/editors/nano/withy.nanorc}\"" >"$work/nanorc"
	screen=$work/screen
	cd "$(dirname "$1")"
	tmux -S "$work/tmux" -f /dev/null new-session -d -x 150 -y 30 "TERM=screen-256color nano --rcfile='$work/nanorc' $(basename "$1")"
	cd "$root"
	screen_has "Read "
}

screen_has() { # waits until the screen has the text and stands still
	for ((i = 0; i < 100; i++)); do
		sleep 0.1
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

@test "vim: the corpus of all editors, folding by day, indent, abbreviations and the help page" {
	in_vim tokens.vim
}

# opens_bad: a book in $work of which three lines are wrong
opens_bad() {
	export WORK=$work HOME=$work
	printf 'works: T\n' >"$work/house.yaml"
	printf '%s\n' '2026-03-05 seel L061 with=wax' '2026-03-03 buy L061 form=cleft count=SH:18 into=yard/b1' \
		'2026-03-05 seal L061 wth=wax' '2026-07-07 judge L061/01 grade=1 mass=1.3 by=jo' >"$work/bad.wy"
}

@test "Emacs: the mode compiles without a warning" {
	cp editors/emacs/withy-mode.el "$work"
	cd "$work"
	emacs --batch -Q --eval '(setq byte-compile-error-on-warn t)' -f batch-byte-compile withy-mode.el
}

@test "Emacs: the corpus and a book of half a year, Imenu, completion, Flymake with the checker's three messages" {
	opens_bad
	timeout 120 emacs --batch -Q -l tests/editors/emacs.el
}

@test "VS Code: the corpus and a book of half a year in its engine, and the client with the server" {
	opens_bad
	timeout 120 node tests/editors/vscode.js
}

@test "VS Code: the problem matcher, the snippets, and the package" {
	opens_bad
	wy-check -H "$work/house.yaml" "$work/bad.wy" >"$work/messages" 2>/dev/null || true
	node -e '
		const fs = require("fs"), path = require("path"), root = "editors/vscode/";
		const p = JSON.parse(fs.readFileSync(root + "package.json")).contributes.problemMatchers[0].pattern;
		const found = fs.readFileSync(process.argv[1], "utf8").trim().split("\n").map(l => new RegExp(p.regexp).exec(l));
		const said = found.map(m => [path.basename(m[p.file]), m[p.line], m[p.column], m[p.severity], m[p.code]].join(" ")).join(", ");
		if (said !== "bad.wy 1 12 error event-unknown, bad.wy 3 22 error field-unknown, bad.wy 4 39 error unit-missing") throw new Error(said);
		const snippets = JSON.parse(fs.readFileSync(root + "snippets/withy.json"));
		if (!snippets.cleave || !snippets.air || Object.keys(snippets).length < 40) throw new Error(Object.keys(snippets).join(" "));
	' "$work/messages"
	sh editors/vscode/pack.sh "$work/withy.vsix"
	# as `make install` leaves it: without the licence's text above it
	mkdir -p "$work/there/editors" "$work/there/spec"
	cp -R editors/vscode "$work/there/editors"
	cp spec/house.schema.json "$work/there/spec"
	sh "$work/there/editors/vscode/pack.sh" "$work/there/withy.vsix"
	[ -s "$work/there/withy.vsix" ]
	python3 - "$work/withy.vsix" <<-'END'
		import json, sys, zipfile
		pack = zipfile.ZipFile(sys.argv[1])
		names = set(pack.namelist())
		about = json.loads(pack.read('extension/package.json'))
		files = ['extension.vsixmanifest', '[Content_Types].xml']
		c = about['contributes']
		files += ['extension/' + f.lstrip('./') for f in [about['main'], c['languages'][0]['configuration'], c['grammars'][0]['path'],
		          c['snippets'][0]['path'], c['yamlValidation'][0]['url'], './connection.js']]
		assert not [f for f in files if f not in names], names
		json.loads(pack.read('extension/house.schema.json'))
	END
}

@test "Kate: the corpus and a book of half a year in its engine" {
	timeout 60 node tests/editors/kate.js "$work/kate"
}

@test "GtkSourceView: the corpus and a book of half a year in its engine" {
	timeout 60 /usr/bin/python3 tests/editors/gtksourceview.py
}

micro_shows() { # micro_shows SYNTAX: on a screen of its own
	mkdir -p "$work/micro/syntax" "$work/micro/colorschemes"
	cp "$1" "$work/micro/syntax/withy.yaml"
	node tests/editors/micro.js --scheme >"$work/micro/colorschemes/tests.micro"
	node tests/editors/micro.js --book >"$work/colours.wy"
	echo '{"colorscheme":"tests","ruler":false,"cursorline":false}' >"$work/micro/settings.json"
	screen=$work/screen
	tmux -S "$work/tmux" -f /dev/null new-session -d -x 150 -y 30 "TERM=screen-256color micro -config-dir '$work/micro' '$work/colours.wy'"
	screen_has "$(tail -n 1 "$work/colours.wy" | cut -c 12-16)"
	node tests/editors/micro.js "$screen"
}

@test "micro: the corpus on its screen" {
	micro_shows editors/micro/withy.yaml
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
	printf '# withy 1\n2026-03-05 seal L061 with=wax\n2026-03-05 seel L061 with=wax\n' >"$work/bad.wy"
	nano_opens "$work/bad.wy"
	tmux -S "$work/tmux" send-keys M-b
	screen_has "'seel' is not a known event; perhaps 'seal'? -- event-unknown"
	[ "$(tmux -S "$work/tmux" display-message -p '#{cursor_x},#{cursor_y}')" = 11,3 ]
}

with_own_words() { # with_own_words FILE: the editor file with the words of the test's house file
	sh editors/house/words.sh -H tests/cases/editors/own.yaml "editors/$1"
}

@test "the works' own events and fields: in the engines of Kate, GtkSourceView and VS Code" {
	mkdir "$work/gtk"
	with_own_words kate/withy.xml >"$work/own.xml"
	with_own_words gtksourceview/withy.lang >"$work/gtk/withy.lang"
	with_own_words vscode/syntaxes/withy.tmLanguage.json >"$work/own.json"
	timeout 60 node tests/editors/kate.js "$work/kate" "$work/own.xml"
	timeout 60 /usr/bin/python3 tests/editors/gtksourceview.py "$work/gtk"
	timeout 60 node tests/editors/vscode.js "$work/own.json"
	sh editors/vscode/pack.sh -H tests/cases/editors/own.yaml "$work/own.vsix"
	python3 -c 'import sys, zipfile
sys.stdout.buffer.write(zipfile.ZipFile(sys.argv[1]).read("extension/syntaxes/withy.tmLanguage.json"))' "$work/own.vsix" | cmp - "$work/own.json"
}

@test "the works' own events and fields: on the screens of micro and nano" {
	with_own_words micro/withy.yaml >"$work/own.micro"
	CORPUS=own micro_shows "$work/own.micro"
	tmux -S "$work/tmux" kill-server
	with_own_words nano/withy.nanorc >"$work/own.nanorc"
	OWN=1 node tests/editors/nano.js --book >"$work/own.wy"
	nanorc=$work/own.nanorc nano_opens "$work/own.wy"
	OWN=1 node tests/editors/nano.js "$screen"
	! grep -iE 'mistake|error' "$screen" || false
}

@test "the works' own events and fields: a file without the lists, a house file with a fault, wrong use" {
	status 1 sh editors/house/words.sh -H tests/cases/editors/own.yaml Makefile
	grep -q 'Makefile does not have the events and fields of this wy-check' "$T/err"
	printf 'works: [\n' >"$work/bad.yaml"
	status 2 sh editors/house/words.sh -H "$work/bad.yaml" editors/nano/withy.nanorc
	[ ! -s "$T/out" ] && grep -q 'bad.yaml' "$T/err"
	status 2 sh editors/house/words.sh
	# without own words it is the file itself
	sh editors/house/words.sh -H /dev/null editors/nano/withy.nanorc | cmp - editors/nano/withy.nanorc
}

@test "what install.sh puts in place it takes away, and nothing else" {
	mkdir -p "$work/prefix/share/nano"
	touch "$work/prefix/share/nano/other.nanorc"
	sh editors/install.sh "$work/prefix"
	for file in vim/vimfiles/syntax/withy.vim vim/vimfiles/indent/withy.vim vim/vimfiles/doc/withy.txt emacs/site-lisp/withy-mode.el \
		org.kde.syntax-highlighting/syntax/withy.xml gtksourceview-4/language-specs/withy.lang withy/editors/micro/withy.yaml \
		nvim/site/autoload/withy.vim nano/withy.nanorc bash-completion/completions/wy-pick \
		zsh/site-functions/_withy fish/vendor_completions.d/wy-jot.fish; do
		[ -s "$work/prefix/share/$file" ] || { echo "$file is not there"; return 1; }
	done
	sh editors/install.sh --remove "$work/prefix"
	[ "$(find "$work/prefix" ! -type d)" = "$work/prefix/share/nano/other.nanorc" ]
}
