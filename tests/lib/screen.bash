# screen.bash - answers of a command line on a terminal, wide and of 80 columns (util-linux's script).
# Loaded by `load lib/screen`, after lib/common.

# screen WIDTH COMMAND...: what a terminal of so many columns shows, to $T/screen
screen() {
	local width=$1
	shift
	script -qec "stty cols $width; $*" /dev/null </dev/null | tr -d '\r' >"$T/screen"
}

# fits CALL: an answer that an 80-column terminal shows without a longer line, and with its table in one part
fits() {
	screen 500 "$@"
	parts=$(grep -c '^$' "$T/screen" || true)
	[ "$(wc -l <"$T/screen")" -gt 1 ] || fail "$*: no answer: $(cat "$T/screen")"
	screen 80 "$@"
	[ "$(wc -L <"$T/screen")" -le 80 ] || fail "$*: a line is $(wc -L <"$T/screen") columns wide"
	[ "$(grep -c '^$' "$T/screen" || true)" = "$parts" ] || fail "$*: its table is in parts"
}
