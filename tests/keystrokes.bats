# once: the keys are the same
# needs: vim
# How many keys ten common entries take: typed as a line, with wy-jot, in its form, and with the completion of Vim. Each way is
# driven key by key in the real shell, form and editor, and must give the same line. The table is in editors/README.md.

load lib/common

setup() {
	at_root
	case $bin in */san/*) return ;; esac
	rows=$PWD/tests/editors/keystrokes.txt
	root=$PWD
	day=2027-12-06
	cd "$T" || return
	sed 's/^book:.*/book: [book.wy]/' "$root/samples/house.yaml" >house.yaml
	cat >jot.yaml <<-END
		mk: {probe: {meter: pin2}}
		hn: {grade: {into: store/r1}}
		fz: {make: {at: shop}, finish: {into: store/bats}}
		jo: {order: {form: blade}}
	END
	# the sample book up to that morning; the charge that was loaded the day after is in the kiln
	{
		cat "$root"/samples/book/*.wy | awk -v day=$day '/^#/ || $1 < day'
		cat "$root"/samples/book/*.wy | awk '$1 == "2027-12-07" && / K27-09 / && / load | in=/ { $1 = "2027-12-05"; print }'
		echo "$day 07:30 air cane temp=20.2C rh=47.7% meter=log3"
	} >book.wy
	cp book.wy morning.wy
}

teardown() { [ ! -S "$T/tmux" ] || tmux -S "$T/tmux" kill-server; }

prompt() {
	for ((i = 0; i < 300; i++)); do
		tmux -S "$T/tmux" capture-pane -p >screen
		if grep . screen | tail -n 1 | grep -q '^[0-9]*>$'; then return 0; fi
		sleep 0.02
	done
}

# types TEXT...: each with Enter; adds to $keys how many keys that is
types() {
	local text
	for text; do
		[ -z "$text" ] || tmux -S "$T/tmux" send-keys -l -- "$text"
		tmux -S "$T/tmux" send-keys Enter
		keys=$((keys + ${#text} + 1))
	done
}

# in_shell PERSON: a shell on a screen, in which nothing was typed
in_shell() {
	tmux -S "$T/tmux" send-keys -l " export WITHY_PERSON=$1; clear"
	tmux -S "$T/tmux" send-keys Enter
	prompt
}

# line_is WANT WHAT: the last line of the book, single blanks between its words
line_is() {
	prompt
	[ "$(tail -n 1 book.wy | tr -s ' ')" = "$day $1" ] || fail "$2: $(tail -n 1 book.wy), not $1: $(grep . screen | tail -n 6)"
}

@test "keystrokes: ten entries by four ways; wy-jot takes at most half of plain typing; the table is in the README" {
	case $bin in */san/*) return ;; esac
	printf 'PS1="\\$?> "\nexport WITHY_TODAY=%s\nunset HISTFILE LOGNAME\ncd %q\n' $day "$T" >bashrc
	tmux -S "$T/tmux" -f /dev/null new-session -d -x 150 -y 50 "INPUTRC=/dev/null PATH='$PATH' TERM=screen-256color bash --noprofile --rcfile '$T/bashrc' -i"
	prompt
	grep -v '^#' "$rows" >list
	while IFS='|' read -r who line words form; do
		in_shell "$who"
		keys=0
		types "wy-jot $words"
		line_is "$line" "wy-jot $words"
		echo "$keys" >>jot.count
		echo "$((${#day} + 1 + ${#line} + 1))" >>plain.count
		echo "$day $line" >>lines
	done <list
	cp morning.wy book.wy
	while IFS='|' read -r who line words form; do
		in_shell "$who"
		keys=0
		IFS=';' read -ra answers <<<"$form"
		types 'wy-jot -i' "${answers[@]}"
		line_is "$line" "the form: $form"
		echo "$keys" >>form.count
	done <list
	tail -n 1500 morning.wy >vim.wy
	BOOK=$T/vim.wy LINES=$T/lines COUNTS=$T/vim.count SCRIPT=$root/tests/editors/keystrokes.vim FAILED=$T/failed \
		HOME=$T env -C "$root" timeout 100 vim -u tests/editors/run.vim -i NONE -n -es -c 'call Run()' </dev/null >vim.out 2>&1 || true
	[ ! -s failed ] || fail "vim: $(head -n 5 failed)"
	cut -d'|' -f 2 list | cut -d' ' -f 1 | paste -d' ' - plain.count jot.count form.count vim.count | awk '
		{ printf "| `%s` | %d | %d | %d | %d |\n", $1, $2, $3, $4, $5
		  for (i = 2; i <= 5; i++) sum[i] += $i
		  if (2 * $3 > $2) print "more than half: " $1 >"wide" }
		END { printf "| all ten | %d | %d | %d | %d |\n", sum[2], sum[3], sum[4], sum[5] }' >table
	[ ! -e wide ] || fail "$(cat wide)"
	[ "$(wc -l <table)" = 11 ] || fail "$(wc -l <table) rows"
	grep -A 10 '^| `air` | [0-9]' "$root/editors/README.md" >readme || true
	cmp -s readme table || fail "editors/README.md does not have this table: $(cat table)"
	report
}
