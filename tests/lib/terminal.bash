# terminal.bash - answers as a person reads them: on a terminal of so many columns (util-linux's script).
# Loaded by `load lib/terminal`, after lib/common.

# on_terminal WIDTH COMMAND...: runs it on such a terminal, its output in $T/screen; returns its exit status
on_terminal() {
	local width=$1
	shift
	printf '%q ' "$@" >"$T/call"
	WIDTH=$width SHELL=/bin/sh script -qec 'stty cols "$WIDTH" rows 50 && . '"$(printf %q "$T/call")" /dev/null </dev/null >"$T/raw" 2>&1
	local got=$?
	tr -d '\r' <"$T/raw" >"$T/screen"
	return $got
}

# fits WIDTH WHAT [LINES]: no line of the screen is wider, and it has more than so many (2). A table in parts has a blank line between its rows;
# an answer here is a finding, one table and notes at most.
fits() {
	local wide blank
	wide=$(LC_ALL=C.UTF-8 awk -v width="$1" 'length($0) > width { n++ } END { print n + 0 }' "$T/screen")
	blank=$(grep -c '^$' "$T/screen" || true)
	[ "$wide" = 0 ] || fail "$2: $wide lines wider than $1"
	[ "$blank" -le 2 ] || fail "$2: a table in parts"
	[ "$(wc -l <"$T/screen")" -gt "${3:-2}" ] || fail "$2: no answer: $(cat "$T/screen")"
}
