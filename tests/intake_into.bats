# wy-intake --into: a book gets all of an export or nothing, whoever else appends and whatever ends the
# program; and what every filter does when it is cut off in the middle of its output.

load lib/common

setup() {
	at_root
	cd "$T" || return
	cat >map.yaml <<-'EOF'
	time: {column: time, form: "YYYY-MM-DD hh:mm"}
	entries:
	  - event: air
	    subject: north
	    temp: {column: temp_C, unit: C}
	    rh: {column: rh, unit: "%"}
	EOF
	: >book.wy
}

# readings DAY N [MONTH]: an export of N readings, one a minute
readings() {
	awk -v day="$1" -v n="$2" -v month="${3:-06}" 'BEGIN {
		print "time,temp_C,rh"
		for (i = 0; i < n; i++)
			printf "2026-%s-%02d %02d:%02d,%d.%d,%d\n", month, day + int(i / 1440), int(i / 60) % 24, i % 60, 20 + i % 3, i % 10, 50 + i % 7
	}'
}

take() { wy-intake --map map.yaml --into book.wy "$@"; }

@test "into: entries are appended, and the same export again changes nothing and ends in 0" {
	readings 1 100 >a.csv
	printf '2026-05-31 seal L061 with=wax' >book.wy # without a final newline
	status 0 take a.csv
	[ ! -s out ] || fail "something went to standard output"
	grep -q '100 entries appended to book.wy' err || fail "it does not say how many: $(tail -n 1 err)"
	[ "$(wc -l <book.wy)" = 101 ] && head -n 1 book.wy | grep -q '^2026-05-31 seal L061 with=wax$' || fail "not 101 whole lines"
	wy-intake --map map.yaml a.csv 2>/dev/null | cmp - <(tail -n +2 book.wy) || fail "not the lines of standard output"
	cp book.wy once.wy
	before=$(stat -c '%i %y' book.wy)
	status 0 take a.csv
	cmp book.wy once.wy || fail "the second time changed the book"
	[ "$before" = "$(stat -c '%i %y' book.wy)" ] || fail "the second time wrote the file again"
	grep -q 'nothing to append to book.wy' err || fail "it does not say that there is nothing: $(tail -n 1 err)"
	readings 1 130 >longer.csv
	status 0 take longer.csv
	[ "$(wc -l <book.wy)" = 131 ] || fail "a longer export added $(($(wc -l <book.wy) - 101)) lines, not 30"
	report
}

@test "into: entries without a measured field are appended once, too" {
	cat >house.yaml <<-'EOF'
	works: Test
	places: {kiln1: {kind: kiln, capacity: 5}}
	events: {clean: {subject: kiln, help: filters are cleaned, takes: [text]}}
	EOF
	printf 'time: {column: 1, form: "YYYY-MM-DD hh:mm"}\nentries: [{event: clean, subject: kiln1, text: {column: 2}}]\n' >clean.yaml
	printf 'time,what\n2026-06-09 14:00,filter\n2026-06-09 15:00,drain\n' >clean.csv
	for i in 1 2; do
		status 0 wy-intake --map clean.yaml --into book.wy clean.csv
		[ "$(wc -l <book.wy)" = 2 ] || fail "$i: $(cat book.wy err)"
	done
	printf '2026-06-09 16:00,drain\n' >>clean.csv
	status 0 wy-intake --map clean.yaml --into book.wy clean.csv
	grep -q '1 entry appended' err && [ "$(wc -l <book.wy)" = 3 ] || fail "a third: $(cat book.wy err)"
	report
}

@test "into: a row that cannot be read is reported, and the others are appended" {
	readings 1 5 | sed 's/20\.0/broken/' >a.csv
	printf 'nonsense,1,2\n' >>a.csv
	status 1 take a.csv
	[ "$(wc -l <book.wy)" = 5 ] || fail "$(wc -l <book.wy) lines, not 5"
	report
}

@test "into: what cannot be appended leaves the book as it was, with one message that says what to do" {
	readings 1 5 >a.csv
	status 2 wy-intake --map map.yaml --into new.wy a.csv
	grep -q 'new.wy: it does not exist; for a new book create it first: touch new.wy' err || fail "new: $(cat err)"
	touch new.wy
	status 0 wy-intake --map map.yaml --into new.wy a.csv # the fix passes
	mkdir folder
	status 2 wy-intake --map map.yaml --into folder a.csv
	grep -q 'not a regular file' err || fail "folder: $(cat err)"
	status 2 wy-intake --map map.yaml --into - a.csv
	printf '2026-05-31 seal L061 wth=wax\n' >book.wy
	cp book.wy was.wy
	status 1 take a.csv
	grep -q '^book.wy:1:22: error: ' err || fail "a line that cannot be read: $(cat err)"
	cmp book.wy was.wy || fail "the book with a bad line was changed"
	: >book.wy
	sed 's/temp_C/other/' a.csv >b.csv
	status 2 take a.csv b.csv
	status 2 take a.csv none.csv
	[ ! -s book.wy ] || fail "an intake that failed at its second file left lines"
	report
}

@test "into: a report that cannot be written is a failure, and nothing is appended" {
	readings 1 5 >a.csv
	take a.csv 2>/dev/full && got=0 || got=$?
	[ "$got" = 2 ] || fail "--into: status $got"
	[ ! -s book.wy ] || fail "lines were appended without a report"
	for form in text tsv; do
		wy-intake --map map.yaml --report=$form a.csv >out 2>/dev/full && got=0 || got=$?
		[ "$got" = 2 ] || fail "$form: status $got"
		[ "$(tail -n 1 out)" = '#! incomplete' ] || [ ! -s out ] || fail "$form: no mark"
	done
	report
}

@test "into: of twenty that append at once, none loses a line" {
	for i in $(seq 20); do readings "$i" 40 >"$i.csv"; done
	for i in $(seq 20); do
		wy-intake -q --map map.yaml --into book.wy "$i.csv" 2>"$i.err" || echo "$i: $?" >>failed &
	done
	wait
	[ ! -e failed ] || fail "$(cat failed) $(cat [0-9]*.err)"
	for i in $(seq 20); do wy-intake -q --map map.yaml "$i.csv" 2>/dev/null; done | sort >want
	sort book.wy | cmp - want || fail "$(wc -l <book.wy) lines, not 800"
	report
}

@test "into: twenty that append one export add it once" {
	readings 1 40 >a.csv
	for i in $(seq 20); do take a.csv 2>/dev/null || echo "$i: $?" >>failed & done
	wait
	[ ! -e failed ] && [ "$(sort -u book.wy | wc -l)" = 40 ] && [ "$(wc -l <book.wy)" = 40 ]
}

@test "into: kill -9 and kill -TERM leave the book old or new, and the next run can go on" {
	readings 1 4000 >a.csv
	readings 1 1000 05 >b.csv
	wy-intake -q --map map.yaml --into book.wy b.csv 2>/dev/null
	cp book.wy old.wy
	take a.csv 2>/dev/null
	cp book.wy new.wy
	old=0 new=0
	for signal in KILL TERM; do
		for delay in 0 0.002 0.004 0.006 0.008 0.010 0.012 0.015 0.020 0.030 0.040; do
			cp old.wy book.wy
			wy-intake --map map.yaml --into book.wy a.csv 2>/dev/null &
			sleep "$delay"
			kill -s "$signal" $! 2>/dev/null || true
			wait $! 2>/dev/null || true
			if cmp -s book.wy old.wy; then old=$((old + 1)); elif cmp -s book.wy new.wy; then new=$((new + 1)); else
				fail "$signal after $delay s: neither the old book nor the new one"
			fi
			[ "$signal" = KILL ] || [ -z "$(ls -A | grep '^\.wy-')" ] || fail "$signal after $delay s: a copy is left"
			rm -f .wy-*
			take a.csv 2>/dev/null || fail "$signal after $delay s: the next run fails"
			cmp -s book.wy new.wy || fail "$signal after $delay s: the next run does not complete the book"
		done
	done
	echo "$old old, $new new"
	report
}

@test "into: an export that becomes shorter while it is read ends in 2, and no cut reading passes" {
	readings 1 40000 >a.csv
	for way in a.csv -; do
		readings 1 40000 >a.csv
		mkfifo fifo
		wy-intake -q --map map.yaml "$way" <a.csv >fifo 2>err &
		pid=$!
		exec 7<fifo
		head -c 1 <&7 >out      # it has written: it waits now, with most of the file not read
		truncate -s 600001 a.csv
		cat <&7 >>out
		exec 7<&-
		wait $pid && got=0 || got=$?
		[ "$got" = 2 ] || fail "$way: status $got"
		grep -q 'it became shorter while it was read' err || fail "$way: $(cat err)"
		[ "$(tail -n 1 out)" = '#! incomplete' ] || fail "$way: no mark"
		sed '$d' out | grep -vxE '2026-06-[0-9]{2} [0-9:]{5} air north temp=2[0-2]\.[0-9]C rh=5[0-6]%' && fail "$way: a cut line"
		rm fifo
	done
	report
}

@test "into: SIGTERM, SIGINT and SIGHUP end a filter's output with the mark, on a line of its own" {
	mkdir -p books
	readings 1 30000 >a.csv
	wy-intake -q --map map.yaml a.csv 2>/dev/null >books/air.wy
	for signal in TERM INT HUP; do
		for call in "wy-intake -q --map map.yaml -" "wy-tidy --no-sort" "wy-pick event=air"; do
			case $call in wy-intake*) input=a.csv ;; *) input=books/air.wy ;; esac
			rm -f fifo
			mkfifo fifo
			# shellcheck disable=SC2086
			env --default-signal=INT,TERM,HUP $call <fifo >out 2>/dev/null &
			pid=$!
			exec 8>fifo
			cat $input 2>/dev/null >&8         # the end is held back: the filter waits for more
			sleep 0.1
			kill -s $signal $pid
			wait $pid && got=0 || got=$?
			exec 8>&-
			[ "$got" = $((128 + $(kill -l $signal))) ] || fail "$call: SIG$signal: status $got"
			[ ! -s out ] || [ "$(tail -n 1 out)" = '#! incomplete' ] || fail "$call: SIG$signal: the output ends in: $(tail -n 1 out)"
			case $call in wy-intake*) [ -s out ] || fail "$call: nothing was written" ;; esac
		done
	done
	report
}

@test "into: a filter that waits for its reader is ended by a signal; an ignored signal stays ignored" {
	readings 1 30000 >a.csv
	mkfifo fifo
	wy-intake -q --map map.yaml a.csv >fifo 2>/dev/null &
	pid=$!
	exec 7<fifo
	head -c 1 <&7 >/dev/null
	sleep 0.1
	kill -TERM $pid
	( sleep 5; kill -9 $pid ) 2>/dev/null &
	watch=$!
	wait $pid && got=0 || got=$?
	kill $watch 2>/dev/null || true
	[ "$got" = 143 ] || fail "status $got"
	exec 7<&-
	(trap '' TERM; cat a.csv; sleep 0.3) | (trap '' TERM; exec wy-intake -q --map map.yaml - >out 2>/dev/null) &
	sleep 0.1
	kill -TERM $!
	wait $! && got=0 || got=$?
	[ "$got" = 0 ] && [ "$(wc -l <out)" = 30000 ] || fail "ignored: status $got, $(wc -l <out) lines"
	report
}

@test "into: a book with a line that cannot be read stays as it is, and the status is 1" {
	readings 1 3 >a.csv
	n=0
	for bad in '2026-06-09 air north te' '#! incomplete' 'time,temp_C,rh' '# \377'; do
		n=$((n + 1))
		printf "$bad\n" >book.wy
		cp book.wy before.wy
		status 1 take a.csv
		[ ! -s out ] || fail "$bad: something went to standard output"
		grep -q '^book.wy:1:' err || fail "$bad: no place is named: $(cat err)"
		cmp book.wy before.wy || fail "$bad: the book is changed"
	done
	[ "$n" = 4 ]
	report
}
