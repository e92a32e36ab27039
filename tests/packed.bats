# Books that are packed with gzip or zstd: every filter reads them as it reads the plain file, by what they
# are and not by their names; what is cut short, damaged or followed by something else gives no answer.
# The packed files are made by gzip(1) and zstd(1), independent of how they are read.

# needs: zstd

load lib/common

setup() {
	at_root
	export WITHY_HOUSE=samples/house.yaml WITHY_TODAY=2027-12-31
	cat samples/book/*.wy >"$T/book.wy"
}

calls() {
	cat <<-'END'
	wy-pick -n event=air
	wy-pick touches=K27-09
	wy-check
	wy-tidy
	wy-tidy --no-sort
	wy-flat air
	wy-air
	wy-air --gaps
	wy-moist --by=charge
	wy-grade --by=supplier
	wy-stock
	wy-yield
	END
}

# The same book packed in seven ways.
pack_all() {
	gzip -n <"$T/book.wy" >"$T/gzip"
	gzip -1 <"$T/book.wy" >"$T/fast"
	zstd -q <"$T/book.wy" >"$T/zstd"
	zstd -q -19 --no-check <"$T/book.wy" >"$T/slow"
	# members and frames, one after another; pzstd and others put a frame without data first
	for tool in 'gzip -c' 'zstd -qc'; do
		{ head -n 3000 "$T/book.wy" | $tool; : | $tool; tail -n +3001 "$T/book.wy" | $tool; } >"$T/several-${tool%% *}"
	done
	{ printf '\x55\x2a\x4d\x18\x03\x00\x00\x00abc'; cat "$T/zstd"; } >"$T/skipped"
}

@test "packed: every filter answers as over the plain file, from files and standard input" {
	pack_all
	while read -r call; do
		$call "$T/book.wy" >"$T/want" 2>"$T/want.err" || true
		[ -s "$T/want" ] || [ -s "$T/want.err" ] || fail "$call: no answer"
		for kind in gzip fast zstd slow several-gzip several-zstd skipped; do
			$call "$T/$kind" >"$T/out" 2>"$T/err" || true
			cmp -s "$T/out" <(sed "s,$T/book.wy,$T/$kind,g" "$T/want") || fail "$call $kind: differs: $(tail -n 1 "$T/err")"
			cmp -s "$T/err" <(sed "s,$T/book.wy,$T/$kind,g" "$T/want.err") || fail "$call $kind: $(diff "$T/err" "$T/want.err" | head -n 3)"
		done
		for kind in gzip zstd; do
			$call <"$T/$kind" 2>/dev/null | cmp -s - "$T/want" || [[ $call == wy-check* ]] || fail "$call <$kind: differs"
		done
	done < <(calls)
	report
}

@test "packed: with plain files, on any number of workers, and byte by byte from a pipe" {
	pack_all
	head -n 3000 "$T/book.wy" >"$T/a.wy"
	tail -n +3001 "$T/book.wy" | gzip >"$T/b.gz"
	for i in 1 2 3 4 5 6 7 8 9 10 11 12 13 14; do sed "/^#/!s/\$/   # $i/" "$T/book.wy"; done >"$T/long.wy"
	zstd -q "$T/long.wy"
	wy-moist "$T/book.wy" >"$T/want"
	wy-moist "$T/a.wy" "$T/b.gz" | cmp - "$T/want" || fail 'a plain and a packed file'
	wy-moist "$T/long.wy" >"$T/want"
	for n in 1 2 3; do
		wy-moist -w $n "$T/long.wy.zst" | cmp - "$T/want" || fail "$n workers"
	done
	want=$(wy-pick -n <"$T/book.wy")
	for kind in gzip zstd skipped; do
		got=$({ head -c 1 "$T/$kind"; sleep 0.05; tail -c +2 "$T/$kind" | head -c 2; sleep 0.05; tail -c +4 "$T/$kind"; } | wy-pick -n)
		[ "$got" = "$want" ] || fail "$kind byte by byte: $got"
	done
	for tool in gzip 'zstd -q'; do
		: | $tool >"$T/empty"
		wy-pick -n "$T/empty" >"$T/out" || true
		[ "$(cat "$T/out")" = 0 ] || fail "$tool: an empty book"
	done
	report
}

@test "packed: what is cut, damaged or followed by something gives no answer, and says where" {
	pack_all
	size=$(stat -c %s "$T/gzip")
	for kind in gzip zstd; do
		head -c 30000 "$T/$kind" >"$T/cut-$kind"
		head -c 5 "$T/$kind" >"$T/start-$kind"
		head -c -1 "$T/$kind" >"$T/last-$kind"
		{ cat "$T/$kind"; echo '2026-06-09 air north temp=20C'; } >"$T/tail-$kind"
		{ cat "$T/$kind"; head -c 512 /dev/zero; } >"$T/zeros-$kind"
		{ head -c 20000 "$T/$kind"; printf '\xff\x00\xff\x00'; tail -c +20005 "$T/$kind"; } >"$T/hurt-$kind"
	done
	{ cat "$T/gzip"; cat "$T/zstd"; } >"$T/tail-both"
	n=0
	for file in "$T"/{cut,start,last,tail,zeros,hurt}-*; do
		case ${file##*/} in
		cut-*) said='at byte 30000 its packed data ends too early' ;;
		start-*) said='at byte 5 its packed data ends too early' ;;
		last-*) said='at byte [0-9]* its packed data ends too early' ;;
		hurt-*) said='at byte [0-9]* its packed data is found to be damaged' ;;
		*) said="at byte $(stat -c %s "$T/${file##*-}" 2>/dev/null || echo "$size") something else follows its packed data" ;;
		esac
		for call in 'wy-pick' 'wy-pick -n' 'wy-moist' 'wy-moist -w 3' 'wy-stock' 'wy-tidy' 'wy-check' 'wy-flat'; do
			status 2 $call "$file" || true
			grep -q "cannot read $file: $said" "$T/err" || fail "$call ${file##*/}: $(tail -n 1 "$T/err")"
			# wy-pick passes lines on as they come, and says that they are not all; the others print nothing
			[ ! -s "$T/out" ] || { [ "$call" = wy-pick ] && tail -n 1 "$T/out" | grep -qx '#! incomplete'; } || fail "$call ${file##*/}: an answer"
			n=$((n + 1))
		done
		status 2 wy-moist <"$file" || true
		grep -q "cannot read standard input: $said" "$T/err" || fail "<${file##*/}: $(tail -n 1 "$T/err")"
	done
	[ "$n" -ge 96 ] || fail "$n cases"
	zstd -q --long=28 <"$T/book.wy" >"$T/wide"
	status 2 wy-pick "$T/wide" || true
	grep -q 'more than 128 MiB of memory to unpack; pack it again without --long' "$T/err" || fail "a window: $(cat "$T/err")"
	report
}

@test "packed: a tool that writes in place refuses such a book and leaves it as it was" {
	for tool in 'gzip -c' 'zstd -qc'; do
		echo '2026-06-09 air   north temp=20C' | $tool >"$T/book.gz"
		cp "$T/book.gz" "$T/was"
		status 2 wy-tidy --replace "$T/book.gz" || true
		grep -q 'it is packed (gzip or zstd); unpack it first' "$T/err" || fail "wy-tidy, $tool: $(cat "$T/err")"
		status 2 wy-intake --map samples/exports/kiln-north.map.yaml --into "$T/book.gz" samples/exports/kiln-north.csv || true
		grep -q 'it is packed (gzip or zstd); unpack it first' "$T/err" || fail "wy-intake, $tool: $(cat "$T/err")"
		cmp "$T/book.gz" "$T/was" || fail "$tool: it was changed"
		status 1 wy-tidy --changes "$T/book.gz" || true
	done
	report
}

@test "packed: states and the house file are read so too" {
	wy-air --partial "$T/book.wy" | zstd -q >"$T/state"
	wy-air "$T/book.wy" >"$T/want"
	wy-air --merge "$T/state" | cmp - "$T/want" || fail 'a state'
	zstd -q <samples/house.yaml >"$T/house"
	WITHY_HOUSE=$T/house wy-air "$T/book.wy" | cmp - "$T/want" || fail 'the house file'
	head -c 40 "$T/state" >"$T/cut"
	status 2 wy-air --merge "$T/cut" || true
	grep -q 'cut: at byte 40 its packed data ends too early' "$T/err" || fail "a state that is cut: $(cat "$T/err")"
	report
}

@test "packed: memory does not follow the size of a packed book" {
	case $bin in */san/*) return 0 ;; esac # a sanitizer needs more addresses than the limit
	for i in 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20; do cat "$T/book.wy"; done | zstd -q >"$T/big.zst"
	for tool in 'zstd -dc' 'gzip -c'; do
		[ "$tool" = 'zstd -dc' ] || { zstd -dc "$T/big.zst" | gzip -1 >"$T/big.gz" && mv "$T/big.gz" "$T/big.zst"; }
		(ulimit -v 100000; wy-pick -n "$T/big.zst" >"$T/out" 2>"$T/err") || fail "$tool: $(cat "$T/err")"
	done
	report
}
