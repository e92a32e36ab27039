# needs: editors
# The language server: conversations with a scripted client, random edits compared with wy-check, abuse; and the two clients
# that are in Debian, Emacs's and Neovim's.

load lib/common

setup() {
	at_root
	root=$PWD
	export LC_ALL=C.UTF-8 HOME=$T WORK=$T WITHY_TODAY=2026-07-03
	unset XDG_DATA_HOME XDG_CONFIG_HOME
}

@test "a conversation: every request has the answer that was worked out for it" {
	cp tests/cases/serve/*.wy tests/cases/serve/house.yaml "$T"
	timeout 120 python3 tests/serve/talk.py "$T" >"$T/out" || fail "status $?"
	same tests/cases/serve/talk.expect talk
	report
}

@test "after random edits the findings are those of wy-check, and the formatting that of wy-tidy" {
	for seed in 11 12; do
		timeout 300 python3 tests/serve/same.py $seed 100 >"$T/out" 2>&1 || fail "seed $seed: $(cat "$T/out")"
		grep -qx '20 comparisons alike' "$T/out" || fail "seed $seed: $(cat "$T/out")"
	done
	report
}

@test "what is no message, what comes at the wrong time, and what is cancelled has the error of the protocol" {
	timeout 120 python3 tests/serve/rude.py >"$T/out" 2>&1 || fail "$(cat "$T/out")"
	report
}

@test "random messages: every request is answered, and nothing crashes" {
	cd "$T" || return
	for seed in 1 2 3; do
		timeout 120 python3 "$root/tests/serve/fuzz.py" $seed 1000 >out 2>&1 || fail "seed $seed: $(cat out)"
	done
	report
}

@test "a line of its own is judged at once, before the whole book" {
	cd "$T" || return
	cat >push.py <<-'END'
		import sys
		sys.path.insert(0, sys.argv[1])
		from client import Client
		c = Client(pulls=False, options=['--idle', '60000'], capabilities={'textDocument': {}})
		text = '2026-03-02 buy L061 form=cleft count=SH:18 into=yard/b1\n'
		c.open('a.wy', text)
		c.replace('a.wy', 1, 0, 0, '2026-03-05 seel L061 with=wax\n')
		assert [f['code'] for f in c.pushed('a.wy')] == ['event-unknown'], c.notes
		c.replace('a.wy', 1, 13, 15, 'al')
		c.replace('a.wy', 2, 0, 0, '2026-03-06 scrap L061 at=yard/b1 cull=knot:19\n')
		assert c.pushed('a.wy') == []
		sys.exit(c.end())
	END
	timeout 60 python3 push.py "$root/tests/serve" >out 2>&1 || fail "$(cat out)"
	report
}

bad_book() { # four lines, of which three are wrong
	printf 'works: T\n' >"$T/house.yaml"
	printf '%s\n' '2026-03-05 seel L061 with=wax' '2026-03-03 buy L061 form=cleft count=SH:18 into=yard/b1' \
		'2026-03-05 seal L061 wth=wax' '2026-07-07 judge L061/01 grade=1 mass=1.3 by=jo' >"$T/bad.wy"
}

@test "Emacs's client: messages, completion, definition, rename, formatting" {
	bad_book
	WITH=eglot timeout 120 emacs --batch -l tests/editors/emacs.el >"$T/out" 2>"$T/err" || fail "$(cat "$T/out" "$T/err")"
	report
}

@test "Neovim's client: messages that follow the keys, completion, definition, hover, rename, formatting" {
	bad_book
	FAILED=$T/failed timeout 120 nvim --headless -u NONE -i NONE -n --cmd 'set runtimepath^=editors/vim | filetype plugin on' \
		-c 'luafile tests/editors/neovim.lua' >"$T/out" 2>&1 || fail "$(cat "$T/out")"
	[ "$(cat "$T/failed")" = "" ] || fail "$(cat "$T/failed")"
	report
}

@test "options, and what is wrong use" {
	status 0 wy-serve --help
	grep -q 'language server' "$T/out" || fail "--help"
	status 2 wy-serve book.wy
	status 2 wy-serve --idle=x
	status 1 wy-serve </dev/null
	page_options tools/wy-serve.1
	report
}
