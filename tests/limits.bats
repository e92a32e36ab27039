# Books that no works would write take no more than their size in time, and a long book no more memory
# than a short one where the answer does not need it.

load lib/common

setup() {
	at_root
	export WITHY_TODAY=2099-12-31 WITHY_HOUSE="$T/house.yaml"
	printf 'works: W\nclock: UTC\n' >"$WITHY_HOUSE"
}

@test "limits: no square of the sorts, places, lots, labels, orders or lines of a day" {
	while read -r kind n; do
		awk -v kind="$kind" -v n="$n" -f tests/lib/limits.awk >"$T/book.wy"
		[ -s "$T/book.wy" ] || fail "$kind: no book"
		while read -r call; do
			# seconds of the processor, so that a busy machine does not show; linear takes under one
			# shellcheck disable=SC2086
			(ulimit -t 10; exec "$bin"/$call "$T/book.wy" >/dev/null 2>&1) && status=0 || status=$?
			[ "$status" -le 1 ] || fail "$call: status $status on $n of $kind"
		done <<-'END'
			wy-check
			wy-stock --orders
			wy-yield --by tree --apportion
			wy-grade
		END
	done <<-'END'
		sorts-of-a-place 130000
		sorts-of-a-lot 130000
		places-of-a-lot 90000
		lots-through-a-charge 40000
		grades-of-a-lot 50000
		day-without-pieces 60000
		day-the-wrong-way-round 60000
		days-that-never-add-up 10000
		loads-of-a-charge 20000
		pools-of-pools 30000
		orders-stated-anew 60000
		orders 40000
		series-of-probes 1000
		probes-in-lots 40000
		probes-of-a-day 40000
		pools-of-two-pools 3000
		charges-left 50000
		kilns 40000
		settings-of-a-day 60000
		lots-of-a-pool 40000
		labels 40
		items 60
		fields 20
	END
	report
}

@test "limits: a line of very many mistakes of one kind is reported once" {
	awk -v kind=fields -v n=3 -f tests/lib/limits.awk >"$T/book.wy"
	wy-check "$T/book.wy" >"$T/out" && fail "no errors"
	[ "$(wc -l <"$T/out")" -eq 3 ] || fail "$(head -n 5 "$T/out")"
	grep -q "^$T/book.wy:2:25: error: 'by' is on this line 13000 times; .* -- field-twice$" "$T/out" || fail "$(head -n 5 "$T/out")"
	report
}

@test "limits: sums of the largest counts are exact" {
	awk 'BEGIN {
		for (j = 1; j <= 3000; j++) items = items (j > 1 ? "," : "") "S" j ":1000000000"
		print "2026-01-01 fell T parcel=P site=s from=x"
		for (i = 0; i < 50; i++) print "2026-01-02 cleave L" i " tree=T count=" items " cull=knot:999999999 into=a"
		for (i = 0; i < 50; i++) print "2026-01-03 plane L" i " at=a type=S7 count=S:999999997 cull=knot:3 into=b"
		for (i = 0; i < 50; i++) print "2026-01-04 grade L" i " at=b count=1:999999000,2:997 into=c"
	}' >"$T/book.wy"
	# 50 * 3000 * 10^9 and 50 * 999999999 came; 10^9 of each lot were planed
	for want in "wy-check -q|" "wy-stock --by form|blade 49999999850" "wy-stock --by form|cleft 149950000000000" \
		"wy-yield|cleave 150049999999950 150000000000000 49999999950" "wy-yield|all 150049999999950 50000000100 149999999999850" \
		"wy-grade --by parcel|P 1 49999950000 49999999850" "wy-grade --by parcel|P 2 49850 49999999850"; do
		# shellcheck disable=SC2086
		status 0 ${want%%|*} "$T/book.wy" || continue
		awk -v want="${want#*|}" 'BEGIN { n = split(want, word, " ") } {
			for (at = i = 1; i <= NF && at <= n; i++) at += $i "" == word[at]
			found = found || at > n
		} END { exit !found && n }' "$T/out" || fail "$want: $(head -n 20 "$T/out" | cut -c 1-200)"
	done
	report
}

# Pieces are found another way once a lot has very many sorts; that must not show.
@test "limits: one lot of many sorts changes nothing for the others" {
	for seed in 3 4 5; do
		mkdir -p "$T/$seed"
		awk -v seed="$seed" -v events=400 -v out="$T/$seed" -f tests/lib/random.awk
		{
			awk 'BEGIN { for (i = 0; i < 300; i++) print "1999-12-31 08:00 tally ZZ at=zz form=handle type=z" i " count=2 found=2"
				for (i = 0; i < 300; i++) print "1999-12-31 09:00 scrap ZZ type=z" i " cull=zz:2" }'
			cat "$T/$seed/book.wy"
			echo '2001-09-09 move nothing-of-it at=yard count=3 into=store'
		} >"$T/many.wy"
		for call in "wy-stock --by place,form,type,grade,lot" "wy-yield --by lot" "wy-yield --losses" "wy-stock --audit"; do
			# shellcheck disable=SC2086
			"$bin"/$call -H tests/cases/stock/random.yaml "$T/$seed/book.wy" | grep -v 'zz\|ZZ' >"$T/few" || fail "$call: nothing"
			# shellcheck disable=SC2086
			"$bin"/$call -H tests/cases/stock/random.yaml "$T/many.wy" 2>"$T/err" | grep -v 'zz\|ZZ' >"$T/many" || true
			cmp "$T/few" "$T/many" || fail "$seed: $call"
			grep -q 'nothing-of-it' "$T/err" || fail "$seed: $call: the fault is not told"
		done
	done
	report
}

@test "limits: a charge that nobody unloaded costs no more the later it is asked about" {
	# K27-09 is in its kiln at the end of the book; its readings end in December 2027
	wy-dry -H samples/house.yaml --on 2126-01-01 samples/book/*.wy | grep -q "^2126-01-01.K27-09" || fail "K27-09 is not open"
	for on in 2126-01-01 9999-12-31; do
		for call in wy-dry wy-due "wy-dry --curve" "wy-dry --rates" "wy-dry --next-reading" "wy-stock --orders" wy-plan; do
			# seconds of the processor: one is enough, and 7000 years step by step take hundreds
			# shellcheck disable=SC2086
			(ulimit -t 20; exec "$bin"/$call -H samples/house.yaml --on=$on samples/book/*.wy >"$T/out" 2>"$T/err") && status=0 || status=$?
			[ "$status" -le 1 ] && [ -s "$T/out" ] && [ "$(wc -l <"$T/out")" -lt 20000 ] || fail "$call --on=$on: status $status"
		done
	done
	report
}

# One lot that goes to and fro, and the air of its places: so many lines of each.
to_and_fro() {
	awk -v n="$1" 'function date(i) { return sprintf("%04d-%02d-%02d", 2000 + int(i / 336), int(i / 28) % 12 + 1, i % 28 + 1) }
	BEGIN {
		print date(0) " buy L form=cleft count=SH:900000 into=p0 from=x"
		print date(0) " buy M form=cleft count=SH:9 into=p0 from=x"
		print date(0) " order O1 form=cleft count=SH:900000 to=x"
		print date(0) " load K0 kiln=k0 lot=M at=p0 count=9"
		print date(0) " probe K0 in=a:M/SH,b:M/SH"
		for (i = 0; i < n; i++) {
			at = date(1 + int(i / 10)) " 0" i % 10 ":00"
			print at " move L at=p" i % 2 " count=9 into=p" 1 - i % 2 " by=mk"
			print at " air p" i % 2 " temp=" i % 30 ".5C rh=" 40 + i % 50 "% meter=h1 by=mk"
			print at " probe K0 mc=a:" 10 + i % 20 ".5%,b:12% wood=20C meter=pin2"
			print at " sell L at=p0 count=1 price=1.00NZD to=x for=O1"
		}
	}'
}

# A book of one lot, in order and with its halves changed round. Kept in memory, its lines would take half as much again.
@test "limits: memory follows the pieces and ids, not the lines" {
	case $bin in */san/*) return 0 ;; esac # a sanitizer needs more addresses than the limit
	to_and_fro 1000 >"$T/short.wy"
	to_and_fro 300000 >"$T/long.wy"
	half=$(($(wc -l <"$T/long.wy") / 2))
	{ tail -n +$((half + 1)) "$T/long.wy"; head -n "$half" "$T/long.wy"; } >"$T/turned.wy"
	while read -r kb call; do
		for book in short long turned; do
			# shellcheck disable=SC2086
			(ulimit -v "$kb"; exec "$bin"/$call "$T/$book.wy" >"$T/$book.out" 2>"$T/err") && status=0 || status=$?
			[ "$status" -le 1 ] || fail "$call: status $status of the $book book: $(head -n 1 "$T/err")"
		done
		[ "$call" = wy-check ] || [ -s "$T/long.out" ] || fail "$call: no answer"
		cmp "$T/long.out" "$T/turned.out" || fail "$call: another answer of another order"
	done <<-'END'
		90000 wy-check
		24000 wy-stock
		24000 wy-yield
	END
	report
}

@test "limits: lines that cannot be held in a temporary file are an error, and no answer" {
	to_and_fro 60000 >"$T/long.wy"
	mkdir "$T/folder"
	for call in wy-check wy-stock wy-yield; do
		TMPDIR=$T/none "$bin"/$call "$T/long.wy" >"$T/out" 2>"$T/err" && status=0 || status=$?
		[ "$status" = 2 ] && [ ! -s "$T/out" ] || fail "$call: status $status without the folder"
		grep -qx "$call: cannot hold the lines of the book in a temporary file: No such file or directory; set TMPDIR to a folder with more space" "$T/err" || fail "$call: $(cat "$T/err")"
		(ulimit -f 1000; TMPDIR=$T/folder exec "$bin"/$call "$T/long.wy" >"$T/out" 2>"$T/err") && status=0 || status=$?
		[ "$status" = 2 ] && [ ! -s "$T/out" ] || fail "$call: status $status with a full disk"
		grep -q "cannot hold the lines of the book in a temporary file: File too large" "$T/err" || fail "$call: $(cat "$T/err")"
		TMPDIR=$T/folder "$bin"/$call "$T/long.wy" >"$T/out" 2>"$T/err" && status=0 || status=$?
		[ "$status" = 0 ] || fail "$call: status $status with space: $(cat "$T/err")"
		[ "$call" = wy-check ] || [ -s "$T/out" ] || fail "$call: no answer"
	done
	[ -z "$(ls -A "$T/folder")" ] || fail "left behind: $(ls "$T/folder")"
	report
}
