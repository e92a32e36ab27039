# Every system call of every tool failed once, at each of its turns, on a small book: the status tells of it,
# or the answer is the right one. strace does it, and prints which calls there are.
# needs: strace

load lib/common

setup() {
	at_root
	export WITHY_TODAY=2026-03-31
	awk 'NR <= 300' samples/book/2026a.wy >"$T/book.wy"
	sed 's/^book:.*/book: [mine.wy]/' samples/house.yaml >"$T/house.yaml"
	strace -o "$T/log" true || { echo 'strace cannot trace a program here, so nothing can be tested'; return 1; }
}

# One way to call each tool. wy-tidy is called once more, for it also writes files.
calls() {
	for tool in "$bin"/wy-*; do
		[ "$(head -c 2 "$tool")" != '#!' ] || continue # a script: what it calls is here
		case ${tool##*/} in
		wy-serve) ;; # it holds a conversation: serve.bats
		wy-reckon) echo "wy-reckon -H samples/house.yaml emc temp=20C rh=50%" ;;
		wy-intake) echo "wy-intake -H samples/house.yaml --map tests/cases/intake/autumn-hourly.yaml tests/cases/intake/autumn-hourly.csv" ;;
		wy-start) echo "wy-start $T/new" ;;
		wy-board) echo "wy-board -H samples/house.yaml --on=2026-04-01 $T/new $T/book.wy" ;;
		wy-chart) echo "wy-chart grades tests/cases/chart/grades.tsv" ;;
		wy-label) echo "wy-label L061" ;;
		wy-merge) echo "wy-merge -H samples/house.yaml $T/book.wy $T/mine.wy $T/book.wy" ;;
		wy-tidy) printf '%s\n' "wy-tidy -H samples/house.yaml $T/book.wy" "wy-tidy -H samples/house.yaml --replace $T/mine.wy" ;;
		wy-jot) printf '%s\n' "wy-jot -H $T/house.yaml --by=mk 08:00 air cane 20 50" "wy-jot -H $T/house.yaml --by=mk --undo --on=2026-02-09" ;;
		wy-trace) echo "wy-trace -H samples/house.yaml K26-01 $T/book.wy" ;;
		wy-pick) echo "wy-pick -H samples/house.yaml text~a event=note,air $T/book.wy" ;;
		*) echo "${tool##*/} -H samples/house.yaml $T/book.wy" ;;
		esac
	done
}

# The error that each call fails with.
error_of() {
	case $1 in
	write) echo ENOSPC ;;
	mmap | mprotect | mremap | munmap | clone3 | clone) echo ENOMEM ;;
	openat) echo EMFILE ;;
	*) echo EIO ;;
	esac
}

# What a tool leaves in the files that it writes.
fresh() {
	rm -rf "$T/new"
	sed 's/ / \t/2' "$T/book.wy" >"$T/mine.wy"
}

# The calls of a traced run, and how many there are of each. Those are left out that the C library makes
# before a program begins and whose failure the kernel does not report (brk returns the old end).
traced_calls() {
	only='.'
	# The sanitizers make hundreds of calls of their own: then only those that they do not make.
	! nm "$bin/$1" 2>/dev/null | grep -q __asan_init || only='^(fsync|rename|fchmod|fchown|unlink|pread64|ftruncate)$'
	sed -n 's/^[0-9]* *\([a-z][a-z0-9_]*\)(.*/\1/p' "$T/log" | sort | uniq -c | awk -v only="$only" -v tool="$1" '
		# it alone is linked dynamically: the loader maps the libraries
		tool == "wy-label" && /mmap|munmap|mprotect/ { next }
		$2 !~ /^(execve|exit|exit_group|arch_prctl|set_tid_address|set_robust_list|rseq|brk|rt_sigreturn)$/ && $2 ~ only { print $2, $1 }'
}

# judge CALL SYSCALL N: of the run whose status is $got
judge() {
	if [ "$got" -ge 2 ] && [ "$got" != 139 ] && [ "$got" != 124 ]; then
		refused=$((refused + 1))
		[ -s "$T/err" ] || [ "$2" = write ] || fail "$1: $2 $3: status $got without a message"
	elif [ "$got" != "$want" ]; then
		fail "$1: $2 $3: status $got, not $want: $(head -n 1 "$T/err")"
	elif ! cmp -s "$T/out" "$T/right" || ! diff -r "$T/files" "$T/right.files" >/dev/null; then
		fail "$1: $2 $3: status $got with another answer"
	else
		right=$((right + 1))
	fi
}

# Whole files alone: each as it was before, or as it is after.
files_whole() {
	[ ! -e "$T/mine.wy" ] || cmp -s "$T/mine.wy" "$T/before" || cmp -s "$T/mine.wy" "$T/right.files/mine.wy" || fail "$1: $2 $3: half a file"
	# A name that unlink() was kept from removing stays.
	[ "$2" = unlink ] || [ -z "$(find "$T" -name '.wy-*')" ] || fail "$1: $2 $3: a file is left behind"
	rm -f "$T"/.wy-*
}

# run_once COMMAND...: its status in $got, its files in $T/files
run_once() {
	fresh
	"$@" </dev/null >"$T/out" 2>"$T/err" && got=0 || got=$?
	rm -rf "$T/files"
	mkdir "$T/files"
	cp -R $(ls -d "$T/new" "$T/mine.wy" 2>/dev/null) "$T/files"
}

@test "syscalls: each fails at each of its turns, and no wrong answer has a good status" {
	fresh
	cp "$T/mine.wy" "$T/before"
	export ASAN_OPTIONS="${ASAN_OPTIONS:-}:detect_leaks=0"
	printf '%-10s %-9s %9s %9s\n' tool call refused right >"$T/table"
	while read -r call; do
		run_once timeout 60 strace -f -o "$T/log" $call
		want=$got
		rm -rf "$T/right.files"
		mv "$T/files" "$T/right.files"
		mv "$T/out" "$T/right"
		[ "$want" -le 1 ] || fail "$call: status $want: $(head -n 1 "$T/err")"
		while read -r syscall count; do
			refused=0 right=0
			for n in $(seq "$count"); do
				run_once timeout 60 strace -f -qq -o /dev/null -e trace="$syscall" -e inject="$syscall:error=$(error_of "$syscall"):when=$n" $call
				judge "$call" "$syscall" "$n"
				files_whole "$call" "$syscall" "$n"
			done
			printf '%-10s %-12s %6d %9d\n' "${call%% *}" "$syscall" "$refused" "$right" >>"$T/table"
		done < <(traced_calls "${call%% *}")
	done < <(calls)
	sed 's/^/# /' "$T/table" >&3
	[ "$(wc -l <"$T/table")" -gt 2 ]
	report
}

@test "syscalls: a signal while a file is replaced leaves no other file, and the old or the new contents" {
	for at in write fsync fchmod rename; do
		for signal in INT TERM HUP; do
			fresh
			timeout 60 strace -f -qq -o /dev/null -e trace="$at" -e inject="$at:signal=$signal:when=1" \
				wy-tidy -H samples/house.yaml --replace "$T/mine.wy" >"$T/out" 2>"$T/err" && got=0 || got=$?
			[ "$got" -ge 128 ] || fail "$signal at $at: status $got"
			[ -z "$(find "$T" -name '.wy-*')" ] || fail "$signal at $at: a file is left behind"
			wy-tidy -H samples/house.yaml --untidy "$T/mine.wy" || fail "$signal at $at: the replacement was not finished"
		done
	done
	report
}
