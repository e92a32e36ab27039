# What the mutants of tests/fuzz found once stays mended, and a short run of it finds nothing. A long one:
# sh tests/fuzz/run.sh 900 SEED.

load lib/common

setup() {
	at_root
	export bin FUZZ_KEEP="$T/failed"
}

@test "fuzz: some hundred mutants of every kind of input" {
	sh tests/fuzz/run.sh 100 1 300 >"$T/told" || { cat "$T/told"; false; }
	grep -q '^300 mutants, 0 failed$' "$T/told" || { cat "$T/told"; false; }
}

@test "fuzz: a tool that fails is found, and the command that repeats it is printed" {
	mkdir "$T/failed"
	echo "book tests/cases/example/book.wy -" >"$T/sources"
	cat >"$T/calls" <<-'END'
		book kill -SEGV $$
		book exit 3
		book echo half an answer; exit 2
		book kill -XCPU $$
		book echo half an answer; echo "#! incomplete"; exit 2
		book exec "$bin"/wy-check "$1"
	END
	build/fuzz/fuzz 100 1 30 "$T/failed" 0 "$T/sources" "$T/calls" >"$T/told" && fail "nothing is found"
	for what in 'ended by signal 11: .*kill' 'status 3: .*exit 3' 'status 2 and an output .*exit 2' 'takes too long .*XCPU'; do
		grep -q "^$what" "$T/told" || fail "not found: $what"
	done
	grep -q 'incomplete\|wy-check' "$T/told" && fail "found where nothing is"
	ls "$T"/failed/1-*.book >/dev/null || fail "nothing is kept"
	report
}

@test "fuzz: what holds of every book holds of those that once failed" {
	n=0
	while read -r what file mate; do
		n=$((n + 1))
		sh tests/fuzz/holds.sh "$what" "tests/fuzz/found/$file" "$mate" 2>"$T/err" || fail "$what $file: $(cat "$T/err")"
	done <tests/fuzz/found/list
	[ "$n" -ge 5 ]
	report
}
