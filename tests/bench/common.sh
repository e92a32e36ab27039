# common.sh - what the measures share; each reads it from the project's root, and sets `runs`.

dir=build/bench
bin=${WITHY_BIN:-build/bin}
mkdir -p "$dir"
${CC:-cc} -O2 -o "$dir/best" tests/bench/best.c

# best NAME COMMAND...: the best time of $runs and the most memory; also as a ratio to the first that was
# measured since $first was emptied, and, where $bytes says how large the input is, in MB a second.
best() {
	name=$1
	shift
	measured=$("$dir/best" "$runs" "$@")
	: "${first:=${measured% *}}"
	awk -v name="$name" -v s="${measured% *}" -v kb="${measured#* }" -v first="$first" -v bytes="${bytes:-0}" 'BEGIN {
		printf "%-38s %8.4f s %7.2f x wc -l %7.1f MB", name, s, s / first, kb / 1024
		if (bytes > 0)
			printf " %6.0f MB/s", bytes / s / 1e6
		print "" }'
}
