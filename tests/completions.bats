# needs: shells
# Completion in the real bash, zsh and fish, from what install.sh installs. All shells have the rows of
# editors/completions.txt: what is typed, and what is there after a tab; a blank at the end is shown as _.

load lib/common

# A sanitized program completes the same words: only fish, which needs no screen, is asked again.
setup() {
	at_root
	work=$T
	screen=$work/screen
	export LC_ALL=C.UTF-8
	sh editors/install.sh "$work/prefix"
	mkdir -p "$work/place/years"
	cp -R samples/house.yaml samples/book "$work/place"
	rm -rf "$work/place/years"
	mv "$work/place/book" "$work/place/years"
	sed -i 's|book/|years/|g' "$work/place/house.yaml"
	touch "$work/place/book.wy" "$work/place/other.txt" "$work/place/map.yml" "$work/place/a b.wy"
	rows=$PWD/tests/editors/completions.txt
}

teardown() { [ ! -S "$work/tmux" ] || tmux -S "$work/tmux" kill-server; }

# opens COMMAND: a shell on a screen of its own
opens() {
	tmux -S "$work/tmux" -f /dev/null new-session -d -x 400 -y 40 "$1"
	prompt_is '^>$'
}

# prompt_is PATTERN: waits until the last line of the screen that is not empty matches
prompt_is() {
	for ((i = 0; i < 200; i++)); do
		tmux -S "$work/tmux" capture-pane -p >"$screen"
		if grep . "$screen" | tail -n 1 | grep -q "$1"; then return 0; fi
		sleep 0.03
	done
}

# completes LINE: what the line is after a tab. The @ is typed after it to see when it is done, and to keep the blanks
# at the end.
completes() {
	tmux -S "$work/tmux" send-keys -l "$1"
	tmux -S "$work/tmux" send-keys Tab
	tmux -S "$work/tmux" send-keys -l @
	prompt_is '^>.*@$'
	sed -n 's/^> \(.*\)@$/\1/p' "$screen" | tail -n 1
	tmux -S "$work/tmux" send-keys C-u C-l
	prompt_is '^>$'
}

# Every row on the screen of the shell that is open.
all_rows() {
	n=0
	while IFS='|' read -r typed want; do
		n=$((n + 1))
		got=$(completes "$typed" && echo .)
		got=${got%??}
		[ "$got" = "$(printf %s "$want" | tr _ ' ')" ] || fail "$typed: [$got], not [$want]"
	done <"$rows"
	[ "$n" -ge 54 ] || fail "only $n rows"
	report
}

@test "completion: bash" {
	case $bin in */san/*) return ;; esac
	printf 'set enable-bracketed-paste off\nset bell-style none\n' >"$work/inputrc"
	cat >"$work/bashrc" <<-END
		PS1='> ' PATH='$PATH' XDG_DATA_DIRS='$work/prefix/share'
		export WITHY_TODAY=2026-07-01
		unset HISTFILE LOGNAME
		. /usr/share/bash-completion/bash_completion
		cd '$work/place'
	END
	opens "INPUTRC='$work/inputrc' TERM=screen-256color bash --noprofile --rcfile '$work/bashrc' -i"
	all_rows
}

@test "completion: zsh" {
	case $bin in */san/*) return ;; esac
	mkdir "$work/zdot"
	cat >"$work/zdot/.zshrc" <<-END
		PROMPT='> ' PATH='$PATH'
		fpath=('$work/prefix/share/zsh/site-functions' \$fpath)
		autoload -Uz compinit
		compinit -u -d '$work/zdot/dump'
		setopt no_beep no_auto_list no_auto_menu
		export WITHY_TODAY=2026-07-01
		unset HISTFILE LOGNAME
		bindkey -e
		bindkey '^U' kill-whole-line
		cd '$work/place'
	END
	opens "ZDOTDIR='$work/zdot' TERM=screen-256color zsh -d -i"
	all_rows
}

# What fish offers for a line goes without a screen. One candidate is what a tab would write.
@test "completion: fish" {
	cat >"$work/rows.fish" <<-'END'
		source $argv[1]
		cd $argv[2]
		while read -l row
		    set -l cells (string split '|' -- $row)
		    printf '%s|%s\n' $row (complete -C $cells[1] | string replace -r '\t.*' '' | string join '|')
		end
	END
	HOME=$work XDG_DATA_DIRS="$work/prefix/share:/usr/share" WITHY_TODAY=2026-07-01 \
		fish -N "$work/rows.fish" "$work/prefix/share/fish/vendor_completions.d/wy-jot.fish" "$work/place" <"$rows" >"$work/got"
	n=0
	while IFS='|' read -r typed want one others; do
		n=$((n + 1))
		last=${typed##* }
		word=${want%_}
		word=${word#"${typed% *} "}
		word=${word//\\/}
		if [ "$want" = "$typed" ]; then
			[ -n "$others" ] || [[ $one != "$last"* ]] || fail "$typed: [$one] is offered"
		elif [ "$one" != "$word" ] || [ -n "$others" ]; then
			fail "$typed: [$one|$others], not [$word]"
		fi
	done <"$work/got"
	[ "$n" -ge 54 ] || fail "only $n rows"
	report
}
