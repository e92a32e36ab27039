# No input and no lost output makes a tool crash, hang or answer wrongly. Every tool that reads a
# book goes through the same mill; `readers` says how each is called.

load lib/common

setup() {
	at_root
	export WITHY_TODAY=2028-12-31
	book=samples/book/2026a.wy
}

# One way to call each tool that takes a book as its operand or on standard input.
readers() {
	for tool in "$bin"/wy-*; do
		case ${tool##*/} in
		wy-reckon | wy-intake | wy-start | wy-serve | wy-jot | wy-merge | wy-board | wy-chart | wy-label) ;; # suites of their own
		wy-pick) echo "$tool event=air,probe,tally" ;;
		wy-flat) echo "$tool --long" ;;
		wy-trace) echo "$tool K26-01" ;;
		*) echo "$tool" ;;
		esac
	done
}

@test "faults: a full disk and a closed standard output end in status 2 with one message" {
	while read -r call; do
		# shellcheck disable=SC2086
		$call $book -H samples/house.yaml >/dev/full 2>"$T/err" && status=0 || status=$?
		[ "$status" -eq 2 ] || fail "$call: status $status on a full disk"
		grep -q 'cannot write' "$T/err" || fail "$call: no message on a full disk"
		# no file may grow: as a full disk, and not the end by a signal
		# shellcheck disable=SC2086
		(ulimit -f 0; exec $call $book -H samples/house.yaml 2>&1 >"$T/out") | cat >"$T/err"
		status=${PIPESTATUS[0]}
		[ "$status" -eq 2 ] || fail "$call: status $status where no file may grow"
		grep -q 'cannot write.*File too large' "$T/err" || fail "$call: no message where no file may grow"
		# shellcheck disable=SC2086
		$call $book -H samples/house.yaml >&- 2>"$T/err" && status=0 || status=$?
		[ "$status" -eq 2 ] || fail "$call: status $status when standard output is closed"
	done < <(readers)
	report
}

@test "faults: a folder, a missing file and an unreadable house end in status 2" {
	printf 'places: [' >"$T/house.yaml"
	while read -r call; do
		for args in "$T" "$T/none.wy" "-H $T/none.yaml $book" "-H $T/house.yaml $book" "-H $T $book"; do
			# shellcheck disable=SC2086
			timeout 20 $call $args >"$T/out" 2>"$T/err" && status=0 || status=$?
			[ "$status" -eq 2 ] || fail "$call $args: status $status"
			[ -s "$T/err" ] || fail "$call $args: no message"
		done
	done < <(readers)
	report
}

@test "faults: nothing, NULs, bytes that are not UTF-8, a cut-off book: a status, no crash, no answer over bad lines" {
	: >"$T/empty.wy"
	printf '2026-03-05 seal L061 with=\0wax\n' >"$T/nul.wy"
	printf '\377\376a\0b\0' >"$T/utf16.wy"
	printf '2026-03-05 seal L061 with=wax # \374\n' >"$T/latin1.wy"
	{ cat $book; printf '#! incomplete\n'; } >"$T/broken.wy"
	while read -r call; do
		for file in empty nul utf16 latin1 broken; do
			# shellcheck disable=SC2086
			timeout 20 $call -H samples/house.yaml "$T/$file.wy" >"$T/out" 2>"$T/err" && status=0 || status=$?
			[ "$status" -le 1 ] || fail "$call $file: status $status"
			case $file in
			empty) continue ;;
			esac
			[ "$status" -eq 1 ] || fail "$call $file: status 0 over a line that cannot be read"
			case $call in
			*wy-check | *wy-tidy | *wy-pick*) ;;
			*) [ ! -s "$T/out" ] || fail "$call $file: an answer over a line that cannot be read" ;;
			esac
		done
	done < <(readers)
	report
}

@test "faults: a line of 100 MB and a FIFO" {
	head -c 100000000 /dev/zero | tr '\0' x >"$T/long.wy"
	printf '\n2026-03-05 seal L061 with=wax\n' >>"$T/long.wy"
	mkfifo "$T/fifo"
	while read -r call; do
		# shellcheck disable=SC2086
		timeout 60 $call -H samples/house.yaml "$T/long.wy" >"$T/out" 2>"$T/err" && status=0 || status=$?
		[ "$status" -eq 1 ] || fail "$call: status $status for a line of 100 MB"
		grep -q 'line-over-limit' "$T/err" "$T/out" || fail "$call: the long line is not told"
		cat $book >"$T/fifo" &
		# shellcheck disable=SC2086
		timeout 20 $call -H samples/house.yaml "$T/fifo" >"$T/fifo.out" 2>"$T/err" && status=0 || status=$?
		wait
		# shellcheck disable=SC2086
		$call -H samples/house.yaml $book >"$T/file.out" 2>/dev/null && direct=0 || direct=$?
		[ "$status" -eq "$direct" ] || fail "$call: status $status from a FIFO, $direct from the file"
		# the names are not as long, so that a page is folded elsewhere
		sed "s|$T/fifo|FILE|g" "$T/fifo.out" | tr -s '\n ' '  ' >"$T/a"
		sed "s|$book|FILE|g" "$T/file.out" | tr -s '\n ' '  ' >"$T/b"
		cmp "$T/a" "$T/b" >&2 || fail "$call: another answer from a FIFO"
	done < <(readers)
	rm -f "$T/long.wy"
	report
}

# C1 controls and those of direction (Unicode, UAX 9), as they are in UTF-8.
@test "faults: what could act on a terminal is made visible, from the book, the house and the arguments" {
	unsafe='\xc2[\x80-\x9f]|\xd8\x9c|\xe2\x80[\x8e\x8f\xa8-\xae]|\xe2\x81[\xa6-\xa9]|[\x01-\x08\x0b\x0c\x0e-\x1f\x7f]'
	way=$(printf '\342\200\256\342\200\217\330\234\342\201\246')
	bad=$(printf '\302\233\033%s' "$way")
	cat >"$T/book.wy" <<-END
	2026-01-01 buy L1 form=cleft count=SH:100 into=yd$bad
	2026-01-01 buy L${bad}2 form=cleft count=SH:100 into=yd
	2026-01-01 bu$bad L1
	2026-01-${bad}1 buy L1
	2026-01-01 buy L3 fo${bad}rm=cleft count=SH${bad}:100${bad} into=yd # note $bad
	2026-01-02 note L1 text=$way by=x$bad
	2026-01-02 air y$bad temp=20C$bad rh=4$bad%
	2026-01-02 probe K$bad mc=a$bad:20%
	END
	echo "2026-01-02 note L1 text=a$way # $way" >"$T/good.wy"
	sed "s/^works: .*/works: A$way/" samples/house.yaml >"$T/house.yaml"
	printf 'works: T\nrea%s: {}\nplaces:\n  y: {kind: yard%s}\n' "$way" "$way" >"$T/bad.yaml"
	while read -r call; do
		for form in '' --as=tsv --as=csv --as=json --as=sarif --as=md --as=html; do
			for args in "-H $T/house.yaml $T/book.wy" "-H $T/house.yaml --without-bad $T/book.wy" "-H $T/house.yaml $T/good.wy" "-H $T/bad.yaml $T/good.wy" "--no$bad"; do
				# shellcheck disable=SC2086
				$call $form $args >"$T/out" 2>"$T/err" || true
				case $call in
				*wy-pick* | *wy-tidy*) : >"$T/out" ;; # they pass lines on as they are
				esac
				for out in out err; do
					! LC_ALL=C grep -aPq "$unsafe" "$T/$out" || fail "$call $form $args: $(LC_ALL=C grep -aP "$unsafe" "$T/$out" | head -n 1)"
				done
			done
		done
	done < <(readers)
	report
}

@test "faults: a reader that stops early ends a tool without a word" {
	while read -r call; do
		# shellcheck disable=SC2086
		{ $call -H samples/house.yaml samples/book/*.wy 2>"$T/err" && status=0 || status=$?; echo "$status" >"$T/status"; } |
			head -n 1 >/dev/null
		status=$(cat "$T/status")
		[ "$status" -eq 141 ] || [ "$status" -le 1 ] || fail "$call: status $status"
		! grep -q 'cannot write' "$T/err" || fail "$call: $(cat "$T/err")"
	done < <(readers)
	report
}

@test "faults: the locale does not show" {
	while read -r call; do
		# shellcheck disable=SC2086
		$call -H samples/house.yaml $book >"$T/a" 2>&1 || true
		# shellcheck disable=SC2086
		LC_ALL=de_DE.UTF-8 LANG=tr_TR.UTF-8 LC_NUMERIC=de_DE.UTF-8 $call -H samples/house.yaml $book >"$T/b" 2>&1 || true
		cmp -s "$T/a" "$T/b" || fail "$call: another answer in another locale"
	done < <(readers)
	report
}

@test "faults: every tool knows --help and --version, and misuse is status 2" {
	for tool in "$bin"/wy-*; do
		"$tool" --help >"$T/out" 2>"$T/err" || fail "$tool --help: status $?"
		awk 'length($0) > 80 { print; wide = 1 } END { exit wide }' "$T/out" || fail "$tool --help: wider than a page"
		grep -q '^usage: ' "$T/out" || fail "$tool --help: no usage"
		grep -q '^exit status:' "$T/out" || fail "$tool --help: no exit status"
		[ "$("$tool" --version)" != "" ] || fail "$tool --version"
		"$tool" --no-such-option </dev/null >"$T/out" 2>"$T/err" && status=0 || status=$?
		[ "$status" -eq 2 ] || fail "$tool --no-such-option: status $status"
	done
	report
}
