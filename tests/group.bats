# The filters that answer by groups: however a book is cut, shuffled and shared out, the answer is the
# same to the byte; a state that is damaged or of other options is refused.

load lib/common

setup() {
	at_root
	export WITHY_HOUSE=samples/house.yaml
	export WITHY_TODAY=2028-01-01
}

# One call of each such filter, more than one where options change what is kept.
calls() {
	cat <<-'END'
	wy-air
	wy-air --by=month,place --of=temp,rh --from=2026-03-05
	wy-moist
	wy-moist --by=lot,charge,month --all --to=2027-06-30
	wy-pick -n --others event=air
	END
}

# share_out N: puts the lines of the sample book, by chance, into $T/part.1 to $T/part.N
share_out() {
	rm -f "$T"/part.*
	cat samples/book/*.wy | awk -v n="$1" -v seed="$1" -v t="$T" '
		BEGIN { srand(seed); for (i = 1; i <= n; i++) printf "" >(t "/part." i) }
		{ print >(t "/part." int(rand() * n) + 1) }'
}

@test "group: any way of sharing out a book merges to the answer of one run" {
	bad=0
	cat samples/book/*.wy >"$T/book.wy"
	while read -r call; do
		$call "$T/book.wy" >"$T/whole" 2>/dev/null
		[ "$(wc -c <"$T/whole")" -gt 4 ] || { echo "$call: no answer"; bad=1; }
		$call --partial "$T/book.wy" >"$T/whole.state"
		# the state of an empty book adds nothing
		$call --partial /dev/null >"$T/none"
		$call --merge --partial "$T/none" "$T/whole.state" "$T/none" | cmp - "$T/whole.state" || { echo "$call: an empty book"; bad=1; }
		for n in 2 3 7; do
			share_out $n
			rm -f "$T"/*.part
			for part in "$T"/part.*; do $call --partial "$part" >"$T/${part##*.}.part"; done
			$call --merge "$T"/*.part 2>/dev/null | cmp - "$T/whole" || { echo "$call: merged from $n"; bad=1; }
			# a merge of merges, in another order, and states one behind the other
			$call --merge --partial "$T/2.part" >"$T/left"
			$call --merge --partial $(ls -r "$T"/*.part | grep -v /2.part) >"$T/right"
			cat "$T/right" "$T/left" | $call --merge 2>/dev/null | cmp - "$T/whole" || { echo "$call: merges of $n merged"; bad=1; }
			cat "$T/right" "$T/left" | $call --merge --partial | cmp - "$T/whole.state" || { echo "$call: state of $n"; bad=1; }
		done
	done < <(calls)
	[ "$bad" = 0 ]
}

@test "group: order of lines, order of files and number of workers do not show" {
	bad=0
	# long enough to be cut into chunks: the book again and again, each time a remark longer
	for i in 1 2 3 4 5 6 7 8 9 10 11 12 13 14; do sed "/^#/!s/\$/   # $i/" samples/book/*.wy; done >"$T/long.wy"
	[ "$(wc -c <"$T/long.wy")" -gt 8500000 ]
	share_out 3
	while read -r call; do
		$call samples/book/*.wy >"$T/whole" 2>/dev/null
		$call --workers=1 "$T"/part.3 "$T"/part.1 "$T"/part.2 2>/dev/null | cmp - "$T/whole" || { echo "$call: files"; bad=1; }
		cat samples/book/*.wy | awk 'BEGIN { srand(5) } { print rand() "\t" $0 }' | LC_ALL=C sort | cut -f2- | $call 2>/dev/null | cmp - "$T/whole" || { echo "$call: shuffled"; bad=1; }
		$call -w 1 "$T/long.wy" >"$T/whole" 2>/dev/null
		for n in 2 3 16; do
			$call -w $n "$T/long.wy" 2>/dev/null | cmp - "$T/whole" || { echo "$call: $n workers"; bad=1; }
		done
		$call <"$T/long.wy" 2>/dev/null | cmp - "$T/whole" || { echo "$call: standard input"; bad=1; }
	done < <(calls)
	[ "$bad" = 0 ]
}

@test "group: bad lines are reported alike by any number of workers, with their places" {
	for i in 1 2 3 4 5 6 7 8 9 10 11 12 13 14; do sed "/^#/!s/\$/   # $i/" samples/book/*.wy; done | awk '
		NR % 9973 == 0 { print "2026-02-30 air north temp=20C"; next } NR % 31000 == 0 { $0 = $0 "\r" } { print }' >"$T/bad.wy"
	got=0
	wy-air -w 1 "$T/bad.wy" >"$T/out" 2>"$T/one" || got=$?
	[ "$got" = 1 ]
	[ ! -s "$T/out" ]
	[ "$(grep -c 'bad.wy:[0-9]*:[0-9]*: error' "$T/one")" = 10 ]
	[ "$(grep -c 'carriage-return' "$T/one")" = 1 ]
	grep -q 'bad.wy:9973:1: error' "$T/one"
	for n in 2 3; do
		wy-air -w $n "$T/bad.wy" 2>"$T/more" || true
		cmp "$T/one" "$T/more"
	done
}

@test "group: a state that is not whole, or of other options, is refused" {
	wy-air --partial samples/book/2026a.wy >"$T/a.state"
	wy-air --merge "$T/a.state" >/dev/null 2>&1
	bad=0
	# each row: how it is spoilt, and what is said
	while IFS='|' read -r spoil said; do
		sh -c "$spoil" <"$T/a.state" >"$T/bad.state"
		got=0
		wy-air --merge "$T/a.state" "$T/bad.state" >"$T/out" 2>"$T/err" || got=$?
		[ "$got" = 2 ] || { echo "$spoil: status $got"; bad=1; }
		[ ! -s "$T/out" ] || { echo "$spoil: an answer"; bad=1; }
		grep -q "bad.state: line [0-9]*: .*$said" "$T/err" || { echo "$spoil: $(cat "$T/err")"; bad=1; }
	done <<-'END'
	head -n 20|ends here without its last row
	sed 10d|rows of this state are missing
	sed s/wy-air/wy-moist/|of another filter
	sed '2s/\t1\t/\t9\t/'|another version
	head -c 1000|too few cells
	sed 's/bands=.*$/bands=0/'|too few cells
	sed 's/from=-/from=2026-01-01/'|made with by=place,month from=2026-01-01
	sed '9s/\t\([0-9]*\)\t/\tx\1\t/'|of this row
	END
	[ "$bad" = 0 ]
	got=0
	: >"$T/bad.state"
	wy-air --merge "$T/a.state" "$T/bad.state" >"$T/out" 2>"$T/err" || got=$?
	[ "$got" = 2 ] && [ ! -s "$T/out" ]
	grep -q "bad.state: this is empty, not a state" "$T/err"
	got=0
	wy-air --by=place --merge "$T/a.state" 2>"$T/err" || got=$?
	[ "$got" = 2 ]
	grep -q 'made with by=place,month .* and not with by=place ' "$T/err"
}

@test "group: lines left out are counted through states" {
	{ cat samples/book/2026a.wy; echo '2026-02-30 air north temp=20C'; } >"$T/bad.wy"
	got=0
	wy-air --partial --without-bad "$T/bad.wy" >"$T/a.state" 2>/dev/null || got=$?
	[ "$got" = 1 ]
	wy-air --partial samples/book/2026b.wy >"$T/b.state"
	got=0
	wy-air --merge "$T/a.state" "$T/a.state" "$T/b.state" >"$T/out" 2>"$T/err" || got=$?
	[ "$got" = 1 ]
	grep -q '2 lines skipped when the states were made' "$T/err"
	[ "$(wc -l <"$T/out")" -gt 20 ]
}

@test "group: a table wider than the terminal is divided, and only there" {
	printf '%s\n' '2026-06-09 10:00 air north temp=24C rh=60%' '2026-06-10 10:00 air south temp=24C rh=60%' >"$T/a.wy"
	script -qec "stty cols 80; wy-air --all-columns $T/a.wy" /dev/null </dev/null | tr -d '\r' >"$T/narrow"
	[ "$(grep -c '^place  month' "$T/narrow")" -gt 2 ] || { cat "$T/narrow"; false; }
	[ "$(sed '/^Each reading/,$d' "$T/narrow" | awk 'length > 80' | wc -l)" = 0 ] || { cat "$T/narrow"; false; }
	script -qec "stty cols 500; wy-air --all-columns $T/a.wy" /dev/null </dev/null | tr -d '\r' >"$T/wide"
	[ "$(grep -c '^place  month' "$T/wide")" = 1 ] || { cat "$T/wide"; false; }
	script -qec "stty cols 80; wy-air --all-columns --as=text $T/a.wy >$T/file" /dev/null </dev/null
	cmp "$T/wide" "$T/file"
}
