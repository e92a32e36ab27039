# needs: tmux
# The form of wy-jot --ask on a terminal: what it asks, completion and editing, and that Esc leaves nothing behind.

load lib/common

setup() {
	at_root
	unset WITHY_PERSON LOGNAME
	cp -R samples/house.yaml samples/book "$T"
	cd "$T" || return
	last=book/2027b.wy
	cp "$last" before.wy
	printf 'PS1="\\$?> "\nexport WITHY_TODAY=2028-01-02\nunset HISTFILE LOGNAME\ncd %q\n' "$T" >bashrc
	INPUTRC=/dev/null tmux -S "$T/tmux" -f /dev/null new-session -d -x 100 -y 45 "PATH='$PATH' TERM=screen-256color bash --noprofile --rcfile '$T/bashrc' -i"
	shows '^0>'
}

teardown() { [ ! -S "$T/tmux" ] || tmux -S "$T/tmux" kill-server; }

# shows PATTERN: waits until the last line of the screen that is not empty matches
shows() {
	for ((i = 0; i < 200; i++)); do
		tmux -S "$T/tmux" capture-pane -p >screen
		if grep . screen | tail -n 1 | grep -q -- "$1"; then return 0; fi
		sleep 0.03
	done
	echo "the screen does not end in $1: $(grep . screen | tail -n 8)"
	return 1
}

keys() { tmux -S "$T/tmux" send-keys "$@"; }

# answer TEXT PATTERN: types it with Enter, and waits for the next question
answer() {
	keys -l "$1"
	keys Enter
	shows "$2"
}

# refused TEXT MESSAGE QUESTION: types it with Enter, and waits for the message and the same question with the answer
refused() {
	keys -l "$1"
	keys Enter
	for ((i = 0; i < 200; i++)); do
		tmux -S "$T/tmux" capture-pane -p | grep -q -- "$2" && break
		sleep 0.03
	done
	shows "$3"
	grep -q -- "$2" screen || fail "$1: no '$2': $(cat screen)"
	keys C-u
}

start() {
	keys C-l
	answer 'wy-jot -i --by=mk' '^event:'
}

@test "form: it asks for each probe that is in, shows the line, and writes it" {
	start
	answer probe '^about:'
	grep -q '^  K27-09, ' screen || fail "no charges are offered: $(cat screen)"
	answer K27-09 'reading of probe a in D009, - for none:$'
	answer 12 'probe b in D009'
	answer 11.5 'probe c in D009'
	answer 10.9 'probe d in D009'
	answer - '^more, as FIELD=VALUE, or nothing:$'
	answer wood=20 '^more,'
	answer '' '^write it, yes or no:$'
	cmp "$last" before.wy || fail 'it is written before the person says so'
	answer yes '^0>'
	[ "$(tail -n 1 "$last")" = '2028-01-02       probe   K27-09 mc=a:12%,b:11.5%,c:10.9%,d:- wood=20C by=mk' ] || fail "$(tail -n 1 "$last")"
	report
}

@test "form: Esc at any question leaves, with status 1 and nothing behind" {
	n=0
	for steps in 0 1 2 3 4; do
		start
		[ $steps -lt 1 ] || answer seal '^about:'
		[ $steps -lt 2 ] || answer L104 '^with, the sealant'
		[ $steps -lt 3 ] || answer wax '^more,'
		[ $steps -lt 4 ] || answer '' '^write it,'
		keys -l 'half'
		shows half
		keys Escape
		shows '^1>' || break
		n=$((n + 1))
		cmp -s "$last" before.wy || fail "after $steps answers: the book was changed"
		[ -z "$(find . -name '.wy-*')" ] || fail "after $steps answers: a file is left"
	done
	[ "$n" = 5 ] || fail "only $n"
	start
	keys C-d
	shows '^1>'
	keys -l 'stty -a | grep -c " icanon"'
	keys Enter
	shows '^0>'
	grep -qx 1 screen || fail "the terminal is left in another state: $(cat screen)"
	report
}

@test "form: Tab completes one choice and shows several; arrows and line keys edit" {
	start
	keys -l gr
	keys Tab
	shows '^event: grade$'
	keys Enter
	shows '^about:'
	keys -l M27-
	keys Tab
	shows 'M27-'
	grep -q 'M27-08' screen || fail "no choices: $(cat screen)"
	keys -l 8
	keys Enter
	shows '^at, where'
	keys -l ore/r1
	keys C-a
	keys -l s
	keys Right
	keys Left
	keys -l t
	shows ': store/r1$' || fail 'an arrow key leaves or does not move'
	keys Enter
	shows 'LASS:$'
	keys Escape
	shows '^1>'
	cmp "$last" before.wy
	report
}

@test "form: an answer that cannot stand is asked for again, with the checker's message" {
	start
	answer seal '^about:'
	refused L999 "^wy-jot: the book has no lot 'L999'; perhaps L099? -- id-unknown" '^about: L999$'
	refused K27-09 'id-other' '^about: K27-09$'
	answer L104 '^with,'
	refused w/x 'id-malformed' '^with, .*: w/x$'
	answer wax '^more,'
	refused by=nobody 'person-unknown' '^more, .*: by=nobody$'
	refused colour=red "'colour=' is not a field here" '^more, .*: colour=red$'
	answer '' '^write it,'
	answer yes '^0>'
	[ "$(tail -n 1 "$last")" = '2028-01-02       seal    L104   with=wax by=mk' ] || fail "$(tail -n 1 "$last")"
	start
	answer probe '^about:'
	answer K27-09 'reading of probe a in D009'
	refused wet 'number-malformed' 'reading of probe a in D009, - for none: wet$'
	answer - 'probe b in D009'
	keys C-d
	shows '^1>'
	report
}

@test "form: a refused entry is shown with the checker's message, and asked for again with its answers" {
	start
	answer scrap '^about:'
	answer D009 '^cull,'
	answer knot:9 '^more,'
	answer '' '^event: scrap$'
	grep -q "entry:1:26: error: more than one batch of D009" screen || fail "$(cat screen)"
	answer '' '^about: D009$'
	answer '' '^cull, .*: knot:9$'
	answer '' '^more,'
	answer type=S5 '^more,'
	answer '' '^write it,'
	answer no '^event: scrap$'
	answer '' '^about: D009$'
	answer '' '^cull,'
	answer '' '^more, .*: type=S5$'
	answer '' '^more,'
	answer '' '^write it,'
	answer yes '^0>'
	[ "$(tail -n 1 "$last")" = '2028-01-02       scrap   D009   type=S5 cull=knot:9 by=mk' ] || fail "$(tail -n 1 "$last")"
	report
}
