# wy-stock: what it prints, in which order of lines and days, and what it tells of a book that does
# not add up. The order of a day is held against brute force by tests/unit/stock.c; orders against
# the stock by tests/unit/orders.c as well. Counts are held against those of tests/lib/random.awk.

load lib/common
load lib/terminal

setup() {
	at_root
	C=tests/cases/stock
	E=tests/cases/example
}

# errors N WHAT: so many errors were told
errors() { [ "$(grep -c ': error: ' "$T/err")" = "$1" ] || fail "$2: not $1 errors but: $(cat "$T/err")"; }

@test "stock: golden answers, each from a file, from standard input and in every form" {
	for args in $C/*.args; do
		while IFS='|' read -r name house book options; do
			# shellcheck disable=SC2086
			status 0 wy-stock ${house:+-H "$house"} $options "$book"
			same "$C/$name.want" "$name"
			# shellcheck disable=SC2086
			status 0 wy-stock ${house:+-H "$house"} $options <"$book"
			same "$C/$name.want" "$name from standard input"
		done <"$args"
	done
	[ "$(ls $C/*.want | wc -l)" -ge 12 ] || fail "too few golden answers"
	report
}

@test "stock: the walked-through book comes out byte for byte under 300 shufflings of its lines" {
	awk -v seed=20260301 -v times=300 -v out="$T/shuffled" -f tests/lib/shuffle.awk $E/book.wy
	for what in "" "--audit" "--orders --on 2026-11-30" "--since 2026-07-01"; do
		# shellcheck disable=SC2086
		wy-stock --on 2028-03-01 -H $E/house.yaml $what $E/book.wy >"$T/want"
		[ "$(wc -l <"$T/want")" -gt 2 ] || fail "no answer to shuffle"
		most=300
		[ -z "$what" ] || most=20
		for i in $(seq $most); do
			# shellcheck disable=SC2086
			wy-stock --on 2028-03-01 -H $E/house.yaml $what "$T/shuffled.$i" >>"$T/got" 2>>"$T/told" || fail "$what $i"
			cat "$T/want" >>"$T/wanted"
		done
		cmp "$T/got" "$T/wanted" || fail "$what: some shuffling changes the answer"
		rm "$T/got" "$T/wanted"
	done
	awk -v seed=20260302 -v times=30 -v out="$T/shuffled" -f tests/lib/shuffle.awk $C/orders.wy
	for i in $(seq 30); do
		status 0 wy-stock --on 2026-03-31 --orders "$T/shuffled.$i"
		same $C/orders.want "orders, shuffling $i"
	done
	cmp -s "$T/shuffled.1" "$T/shuffled.2" && fail "the lines were not shuffled"
	[ ! -s "$T/told" ] || fail "$(head -n 3 "$T/told")"
	report
}

@test "stock: a bat that came back is promised only after it is finished again" {
	local book="$T/back.wy" want
	cat >"$book" <<-'END'
	2026-01-02       tally   L1     at=shop form=blade type=SH grade=1 count=2 found=2
	2026-01-02       tally   H1     at=shop form=handle type=HS count=2 found=2
	2026-02-01       make    B1     blade=L1 handle=H1 at=shop
	2026-02-02       finish  B1     mass=2lb9oz
	2026-02-03       sell    B1     to=lund
	2026-02-10       return  B1     cause=splice-loose from=lund into=shop
	2026-02-11       order   O-1    count=SH/1:2 to=harbour
	2026-02-20       finish  B1     mass=2lb9oz
	END
	for want in "2026-02-12 0 1 1" "2026-02-20 1 1 0"; do
		set -- $want
		status 0 wy-stock --on "$1" --orders --as=tsv --no-header "$book"
		[ "$(cut -f 12-14 "$T/out")" = "$(printf '%s\t%s\t%s' "$2" "$3" "$4")" ] || fail "$1: $(cat "$T/out")"
	done
	report
}

# Counted by hand, line by line: the first column is the day on which the answer is asked.
@test "stock: blades come back from whom they were sold to, a bat gets a handle, weighed pieces are their class" {
	cat >"$T/book.wy" <<-'END'
	2026-08-20 tally    L061  at=store form=blade type=SH grade=1 count=9 found=9 since=2025-06-30 from=hale
	2026-08-21 grade    L061  at=store grade=1 count=SH/1/light:4,SH/1/heavy:5
	2026-08-22 tally    H031  at=shop form=handle type=HS count=4 found=4
	2026-10-02 sell     L061  at=store class=light count=3 to=tern
	2026-10-03 sell     L061  at=store class=heavy count=2 to=gull
	2026-10-05 issue    L061  at=store class=light count=1 into=shop
	2026-10-06 make     B0413 blade=L061 handle=H031 at=shop
	2026-10-08 rehandle B0413 handle=H031 at=shop cull=splice:1
	2027-02-11 return   L061  form=blade type=SH grade=1 count=2 cause=soft from=tern into=store
	2027-02-12 return   L061  class=heavy count=1 cause=soft into=back
	END
	while read -r day by want; do
		status 0 wy-stock --on "$day" --by "$by" --as=tsv --no-header "$T/book.wy"
		[ "$(cut -f 2- "$T/out" | sed 's/\t/,/g' | tr '\n' ' ')" = "$want " ] || fail "$day $by: $(cat "$T/out")"
	done <<-'END'
	2026-08-20 form,grade,class blade,1,,9,416
	2026-08-21 form,grade,class blade,1,heavy,5,417 blade,1,light,4,417
	2026-10-06 place,form,class shop,handle,,3,45 shop,bat,light,1,0 store,blade,heavy,3,463
	2026-10-08 place,form,class shop,handle,,2,47 shop,bat,light,1,2 store,blade,heavy,3,465
	2027-02-11 place,form,class shop,handle,,2,173 shop,bat,light,1,128 store,blade,heavy,3,591 store,blade,light,2,591
	2027-02-12 place,form,class back,blade,heavy,1,592 shop,handle,,2,174 shop,bat,light,1,129 store,blade,heavy,3,592 store,blade,light,2,592
	END
	# in, found, pooled in, pooled out, into bats, culled, sold, still there
	status 0 wy-stock --on 2027-03-01 --audit --as=tsv --no-header "$T/book.wy"
	[ "$(cut -f 2-11 "$T/out" | tr '\t\n' ', ')" = "B0413,1,0,0,0,0,0,0,1,yes H031,0,4,0,0,1,1,0,2,yes L061,0,9,0,0,1,0,2,6,yes " ] || fail "$(cat "$T/out")"
	# start + in + found + returned + made - culled - sold - used = end
	status 0 wy-stock --on 2027-03-01 --since 2026-10-07 --as=tsv --no-header "$T/book.wy"
	[ "$(cut -f 3-13 "$T/out" | tr '\t\n' ', ')" = "blade,SH,3,0,0,3,0,0,0,0,6 handle,HS,3,0,0,0,1,1,0,1,2 bat,SH,1,0,0,0,0,0,0,0,1 " ] || fail "$(cat "$T/out")"
	# the old handle is a loss of its lot
	status 0 wy-yield --on 2027-03-01 --handles --losses --by lot --as=tsv --no-header "$T/book.wy"
	grep -q "H031.*splice.*1" "$T/out" || fail "$(cat "$T/out")"
	report
}

@test "stock: no more comes back than a party has, and no handle goes into a bat that is not there" {
	while IFS='|' read -r rule line; do
		{
			cat <<-'END'
			2026-08-20 tally    L061  at=store form=blade type=SH grade=1 count=9 found=9
			2026-08-20 tally    B0413 at=store form=bat type=SH grade=1 count=1 found=1
			2026-08-22 tally    H031  at=shop form=handle type=HS count=4 found=4
			2026-10-02 sell     L061  at=store count=3 to=tern
			2026-10-03 sell     L061  at=store count=2 to=gull
			2027-02-11 return   L061  form=blade count=2 cause=soft from=tern into=store
			END
			echo "2027-02-12 $line"
		} >"$T/book.wy"
		wy-check --level=uncorrected=none "$T/book.wy" >"$T/out" 2>"$T/err" || true
		[ "$(sed 's/.* -- //' "$T/out")" = "$rule" ] || fail "$line: $(cat "$T/out")"
	done <<-'END'
	|return L061 count=1 cause=soft from=tern into=store
	|return L061 count=2 cause=soft from=gull into=store
	return-short|return L061 count=2 cause=soft from=tern into=store
	return-short|return L061 count=1 cause=soft from=rook into=store
	return-short|return L061 type=S6 count=1 cause=soft from=tern into=store
	stock-ambiguous|return L061 count=1 cause=soft into=store
	count-missing|return L061 cause=soft from=tern into=store
	bat-not-sold|return B0413 cause=soft from=tern into=store
	|rehandle B0413 handle=H031 at=store cull=splice:0 # intended stock-absent,rehandle-cull: the handle is at the shop
	stock-absent|rehandle B0413 handle=H031 at=store cull=splice:1
	stock-absent|rehandle B0413 handle=H031 at=shop cull=splice:1
	rehandle-cull|rehandle B0413 handle=H031 at=shop cull=splice:2 # intended stock-absent: the bat is in the store
	END
	report
}

@test "stock: grades and classes come in the order of the house file" {
	cat >"$T/house.yaml" <<-'END'
	clock: UTC
	grades:
	  - {scheme: old, from: 2020-01-01, list: [zinc, alum]}
	  - {scheme: new, from: 2026-01-01, list: [top, fine, club, butterfly]}
	classes: {light: {mass: 1..1.2kg}, heavy: {mass: 1.2..2kg}}
	types: {SH: {}}
	END
	cat >"$T/book.wy" <<-'END'
	2025-03-01 tally L0 at=store form=blade type=SH count=zinc:2,alum:3 found=5
	2026-03-01 tally L1 at=store form=blade type=SH count=20 found=20
	2026-03-02 grade L1 at=store count=SH/club/heavy:3,SH/top/light:4,SH/butterfly/heavy:5,SH/fine/light:3,SH/fine/heavy:3
	2026-03-03 order O-1 count=12 form=blade
	2026-03-03 order O-2 form=blade count=top:4
	END
	status 0 wy-stock -H "$T/house.yaml" --on 2026-04-01 --by grade,class --as=tsv --no-header "$T/book.wy"
	[ "$(cut -f 2-4 "$T/out" | tr '\t\n' ', ')" = ",,2 top,light,4 fine,light,3 fine,heavy,3 club,heavy,3 butterfly,heavy,5 zinc,,2 alum,,3 " ] || fail "$(cat "$T/out")"
	# Who asks for any grade gets the last ones, so that the best are left for who asks for them.
	status 0 wy-stock -H "$T/house.yaml" --on 2026-04-01 --orders --as=tsv --no-header "$T/book.wy"
	[ "$(cut -f 2,14 "$T/out" | tr '\t\n' ', ')" = "O-1,0 O-2,0 " ] || fail "$(cat "$T/out")"
	echo '2026-03-05 grade L1 at=store grade=fine class=heavy count=top:1,club:1,butterfly:1' >>"$T/book.wy"
	echo '2026-03-06 grade L1 at=store grade=top class=light count=fine:1' >>"$T/book.wy"
	status 0 wy-grade -H "$T/house.yaml" --regrades --by was --as=tsv --no-header "$T/book.wy"
	[ "$(cut -f 1,2 "$T/out" | tr '\t\n' ', ')" = "top,fine fine,top fine,club fine,butterfly " ] || fail "$(cat "$T/out")"
	report
}

@test "stock: random books give what their maker counted, in any order of lines and files" {
	for seed in $(seq 1 30); do
		awk -v seed="$seed" -v events=250 -v out="$T" -f tests/lib/random.awk
		status 0 wy-stock -H $C/random.yaml --on 2099-12-31 --by place,form,type,grade,lot --no-header "$T/book.wy" || continue
		cut -f 2-7 "$T/out" | LC_ALL=C sort >"$T/got"
		LC_ALL=C sort "$T/stock" | cmp -s - "$T/got" || fail "seed $seed: $(LC_ALL=C sort "$T/stock" | diff - "$T/got" | head -n 4)"
		cp "$T/out" "$T/once"
		awk -v seed="$seed" -v times=3 -v out="$T/s" -f tests/lib/shuffle.awk "$T/book.wy"
		split -n l/4 "$T/s.3" "$T/part."
		for files in "$T/s.1" "$T/s.2" "$T/part.ac $T/part.aa $T/part.ad $T/part.ab"; do
			# shellcheck disable=SC2086
			status 0 wy-stock -H $C/random.yaml --on 2099-12-31 --by place,form,type,grade,lot --no-header $files
			same "$T/once" "seed $seed shuffled"
		done
	done
	report
}

@test "stock: pieces are conserved: every lot of random books adds up, on every day" {
	for seed in $(seq 1 12); do
		awk -v seed="$seed" -v events=250 -v out="$T" -f tests/lib/random.awk
		for day in 2026-02-01 2026-05-01 2026-08-01 2099-12-31; do
			status 0 wy-stock -H $C/random.yaml --on $day --audit --no-header "$T/book.wy" || continue
			# by the columns, not by what the last one says
			awk -F '\t' '$3 + $4 + $5 != $6 + $7 + $8 + $9 + $10 || $11 != "yes" { print; bad = 1 } $10 < 0 { bad = 1 }
				{ in_ += $5; out += $6 } END { exit bad || in_ != out || !NR }' "$T/out" || fail "seed $seed $day"
			cut -f 2,10 "$T/out" | awk -F '\t' '$2 > 0' | LC_ALL=C sort >"$T/there"
			wy-stock -H $C/random.yaml --on $day --by lot --no-header "$T/book.wy" | cut -f 2,3 | LC_ALL=C sort |
				cmp -s - "$T/there" || fail "seed $seed $day: the stock is not what the audit says is there"
		done
		# what happened from a day on leads from the one stock to the other
		status 0 wy-stock -H $C/random.yaml --since 2026-05-02 --on 2026-08-01 --no-header "$T/book.wy"
		awk -F '\t' '$5 + $6 + $7 + $8 + $9 != $10 + $11 + $12 + $13 { print; bad = 1 } END { exit bad || !NR }' "$T/out" ||
			fail "seed $seed: --since does not add up"
		cut -f 3,4,5 "$T/out" | awk -F '\t' '$3' >"$T/start"
		cut -f 3,4,13 "$T/out" | awk -F '\t' '$3' >"$T/end"
		wy-stock -H $C/random.yaml --on 2026-05-01 --by form,type --no-header "$T/book.wy" | cut -f 2-4 | cmp -s - "$T/start" ||
			fail "seed $seed: start is not the stock of the day before"
		wy-stock -H $C/random.yaml --on 2026-08-01 --by form,type --no-header "$T/book.wy" | cut -f 2-4 | cmp -s - "$T/end" ||
			fail "seed $seed: end is not the stock of the last day"
	done
	report
}

@test "stock: the sample works has what its maker counted, at the end of every half year" {
	for day in 2026-06-30 2026-12-31 2027-06-30 2027-12-31; do
		status 0 wy-stock -H samples/house.yaml --on $day --by lot,form,type,grade,place --no-header samples/book/*.wy
		cut -f 1-7 "$T/out" | LC_ALL=C sort >"$T/got"
		awk -F '\t' -v OFS='\t' -v day=$day '$1 == day { for (i = 2; i <= 6; i++) if ($i == "-") $i = ""; print }' samples/truth/stock.tsv |
			LC_ALL=C sort >"$T/want"
		[ "$(wc -l <"$T/want")" -gt 50 ] && cmp -s "$T/want" "$T/got" || fail "$day: $(diff "$T/want" "$T/got" | head -n 6)"
	done
	report
}

@test "stock: every choice of keys gives the same pieces, in columns and rows as they were asked" {
	total=$(wy-stock -H $E/house.yaml --on 2028-03-01 --by '' --no-header $E/book.wy | cut -f 2)
	[ "$total" = 543 ] || fail "the total is $total"
	n=0
	for a in place form type grade lot; do
		for b in '' ,place ,form ,type ,grade ,lot; do
			case $b in ,$a) continue ;; esac
			n=$((n + 1))
			status 0 wy-stock -H $E/house.yaml --on 2028-03-01 --by $a$b $E/book.wy || continue
			[ "$(head -n 1 "$T/out")" = "$(printf 'as_of,%s,count,oldest_days' $a$b | tr , '\t')" ] || fail "$a$b: columns"
			awk -F '\t' -v want="$total" 'NR > 1 { sum += $(NF - 1) } END { exit sum != want }' "$T/out" || fail "$a$b: the sum"
			columns=$(printf %s "$a$b" | tr -cd , | wc -c)
			tail -n +2 "$T/out" | cut -f 2-$((columns + 2)) >"$T/keys"
			[ -z "$(LC_ALL=C sort "$T/keys" | uniq -d)" ] || fail "$a$b: a key has two rows"
			case $a$b in
			*form*) ;;
			*) LC_ALL=C sort -t "$(printf '\t')" -k 1,1 -k 2,2 "$T/keys" | cmp -s - "$T/keys" || fail "$a$b: not sorted" ;;
			esac
		done
	done
	[ $n = 25 ] || fail "$n choices"
	wy-stock -H $E/house.yaml --on 2026-09-30 --by form $E/book.wy | cut -f 2 | tr '\n' ' ' >"$T/forms"
	[ "$(cat "$T/forms")" = 'form cleft blade handle bat ' ] || fail "forms: $(cat "$T/forms")"
	report
}

@test "stock: one mistake is one diagnostic, whichever count of the walked-through book is off by one" {
	one=0 n=0
	for line in $(seq 1 "$(wc -l <$E/book.wy)"); do
		awk -v line="$line" 'NR == line && match($0, /count=([A-Z0-9\/]+:)?[0-9]+/) {
			head = substr($0, 1, RSTART + RLENGTH - 1); match(head, /[0-9]+$/)
			$0 = substr(head, 1, RSTART - 1) substr(head, RSTART) + 1 substr($0, length(head) + 1)
			changed = 1 } { print } END { exit !changed }' $E/book.wy >"$T/book.wy" || continue
		n=$((n + 1)) got=0
		wy-stock -H $E/house.yaml --on 2029-01-01 "$T/book.wy" >"$T/out" 2>"$T/err" || got=$?
		told=$(grep -c ': error: ' "$T/err" || true)
		[ "$told" -le 1 ] && [ "$got" = "$told" ] || fail "line $line: status $got, $(cat "$T/err")"
		[ -s "$T/out" ] || fail "line $line: no answer"
		one=$((one + told))
	done
	[ $n -ge 60 ] && [ $one -ge 45 ] || fail "$n lines changed, $one told"
	report
}

@test "stock: doubtful lots, picks that are not clear, counts that are wrong: reported once, with the pieces in the book" {
	status 1 wy-stock --on 2026-12-31 $C/doubt.wy
	errors 1 doubt
	grep -q "^$C/doubt.wy:8:42: error: this line needs 9 of C001 cleft at bench.*5 later lines.* -- stock-short$" "$T/err" || fail "doubt: $(cat "$T/err")"
	status 1 wy-stock --on 2026-12-31 --audit $C/doubt.wy
	grep -q '	C001	.*	no$' "$T/out" && grep -q '	C002	.*	no$' "$T/out" || fail "audit: $(cat "$T/out")"
	status 1 wy-stock --on 2026-12-31 $C/ambiguous.wy
	errors 1 ambiguous
	for part in ':3:48: error: ' '3 S6 clefts at yard' '10 SH clefts at yard' '1 later line' ' -- stock-ambiguous'; do
		grep -qF "$part" "$T/err" || fail "ambiguous: no '$part' in $(cat "$T/err")"
	done
	! grep -q "at shed" "$T/err" || fail "ambiguous: tells of pieces that do not fit: $(cat "$T/err")"
	# the later day of a mistake has not come
	status 0 wy-stock --on 2026-03-20 $C/doubt.wy
	[ ! -s "$T/err" ] || fail "a line of tomorrow was told: $(cat "$T/err")"
	report
}

@test "stock: days whose lines must be put in order, the doubled hour, and times with offsets" {
	awk -v seed=5 -v times=40 -v out="$T/days" -f tests/lib/shuffle.awk $C/days.wy
	for i in $(seq 40); do
		status 0 wy-stock --on 2026-12-31 "$T/days.$i"
		same $C/days.want "days, shuffling $i"
	done
	# another order of the times would do: that is said
	printf '%s\n' '2026-03-01 buy L1 form=blade count=SH:5 into=a' '2026-03-02 09:00 move L1 at=b count=5 into=c' \
		'2026-03-02 10:00 move L1 at=a count=5 into=b' >"$T/wrong.wy"
	status 1 wy-stock --on 2026-12-31 "$T/wrong.wy"
	grep -q ':2:.* -- stock-order' "$T/err" || fail "times to blame: $(cat "$T/err")"
	# Auckland, 5 April 2026: the hour from two comes twice; a bare time is its second pass
	printf 'works: W\nclock: Pacific/Auckland\n' >"$T/house.yaml"
	printf '%s\n' '2026-04-01 buy L1 form=blade count=SH:5 into=a' '2026-04-05 02:40+13:00 move L1 at=a count=5 into=b' \
		'2026-04-05 02:20 move L1 at=b count=5 into=c' '2026-04-05 02:50+12:00 move L1 at=c count=5 into=d' >"$T/dst.wy"
	status 0 wy-stock -H "$T/house.yaml" --on 2026-12-31 --by place "$T/dst.wy"
	[ "$(tail -n 1 "$T/out" | cut -f 2,3)" = "d	5" ] || fail "doubled hour: $(cat "$T/out")"
	sed 's/02:40+13:00/02:40/' "$T/dst.wy" >"$T/dst2.wy"
	status 1 wy-stock -H "$T/house.yaml" --on 2026-12-31 "$T/dst2.wy"
	grep -q ' -- stock-order' "$T/err" || fail "doubled hour without its offset: $(cat "$T/err")"
	# on a clock of UTC the two offsets tell the order
	printf '%s\n' '2026-06-01 buy L1 form=blade count=SH:5 into=a' '2026-06-02 09:00+02:00 move L1 at=a count=5 into=b' \
		'2026-06-02 08:30Z move L1 at=b count=5 into=c' >"$T/offset.wy"
	status 0 wy-stock --on 2026-12-31 "$T/offset.wy"
	sed 's/08:30Z/08:30+02:00/' "$T/offset.wy" >"$T/offset2.wy"
	status 1 wy-stock --on 2026-12-31 "$T/offset2.wy"
	report
}

@test "stock: the day of the answer: --on, WITHY_TODAY, a day before anything" {
	status 0 wy-stock --on 2026-03-01 $C/days.wy
	cut -f 1 "$T/out" | sed 1d | grep -vq '^2026-03-01$' && fail "as_of is not the day"
	cp "$T/out" "$T/want"
	WITHY_TODAY=2026-03-01 status 0 wy-stock $C/days.wy
	same "$T/want" WITHY_TODAY
	WITHY_TODAY=2027-01-01 status 0 wy-stock --on 2026-03-01 $C/days.wy
	same "$T/want" "--on before WITHY_TODAY"
	status 1 wy-stock --on 2026-02-28 $C/days.wy
	[ "$(wc -l <"$T/out")" = 1 ] || fail "pieces before they came in"
	report
}

@test "stock: every exit status, and options that do not go together" {
	status 0 wy-stock --on 2026-12-31 $C/days.wy
	status 1 wy-stock --on 2026-12-31 /dev/null
	[ "$(cat "$T/out")" = "as_of	place	form	type	grade	count	oldest_days" ] || fail "an empty book: $(cat "$T/out")"
	status 1 wy-stock --on 2026-03-01 --orders $C/days.wy
	status 1 wy-stock --on 2026-03-01 --since 2026-03-01 /dev/null
	{ cat $C/days.wy; echo '2026-03-04 sell'; } >"$T/bad.wy"
	status 1 wy-stock --on 2026-12-31 "$T/bad.wy"
	[ ! -s "$T/out" ] || fail "an answer over a line that could not be read"
	status 1 wy-stock --on 2026-12-31 --without-bad "$T/bad.wy"
	same $C/days.want "--without-bad"
	grep -q '1 line skipped' "$T/err" || fail "--without-bad: $(cat "$T/err")"
	for wrong in "--by colour" "--by type,type" "--by type," "--orders --audit" "--orders --by type" "--audit --by type" \
		"--since 2026-01-01 --by type" "--since 2026-01-01 --orders" "--since 2026-13-01" "--since 2026-05-02 --on 2026-05-01" "--on yesterday" "--as tab" "--nonsense"; do
		# shellcheck disable=SC2086
		status 2 wy-stock $wrong $C/days.wy
		[ ! -s "$T/out" ] && [ -s "$T/err" ] || fail "$wrong: no message, or an answer"
	done
	grep -q 'perhaps ' <(wy-stock --by grades $C/days.wy 2>&1) || fail "no help with --by grades"
	status 2 wy-stock "$T/none.wy"
	status 2 wy-stock "$T"
	printf 'places: [' >"$T/h.yaml"
	status 2 wy-stock -H "$T/h.yaml" $C/days.wy
	report
}

@test "stock: the page's examples come out, it is clean, and it has every option" {
	mandoc -T lint -W warning tools/wy-stock.1
	sed -n '/^\$ cat little.wy/,/^\$ wy-stock/p' tools/wy-stock.1 | grep '^2026' >"$T/little.wy"
	sed -n '/^\$ wy-stock/,/^\.Ed/p' tools/wy-stock.1 | grep -v '^\.Ed' >"$T/page"
	[ "$(grep -c '^\$' "$T/page")" = 2 ]
	(cd "$T" && sed -n 's/^\$ //p' page | while read -r call; do echo "\$ $call"; sh -c "$call"; done) >"$T/got"
	cmp "$T/page" "$T/got" || diff "$T/page" "$T/got"
	wy-stock --help-options | cut -f 1 | sed 's/^--//' >"$T/options"
	[ "$(wc -l <"$T/options")" -ge 10 ]
	while read -r name; do
		grep -q "Fl -$name" tools/wy-stock.1 || fail "no --$name on the page"
	done <"$T/options"
	report
}

# The sample book is as large as the book of a works is; its ids are as long.
@test "stock: every answer fits a terminal of 80 columns, in one table" {
	n=0
	while read -r mode; do
		# shellcheck disable=SC2086
		on_terminal 80 wy-stock -H samples/house.yaml -b --on 2027-12-31 $mode || fail "$mode: status $?"
		fits 80 "$mode"
		n=$((n + 1))
	done <<-END
		
		--by=place,form,type,grade,lot
		--by=lot,grade,place
		--by=type,form
		--by=
		--orders
		--audit
		--since=2027-01-01
		--since=2026-01-01
	END
	[ $n = 9 ] || fail "$n modes"
	# the check itself: what is too wide, and what is in parts, is seen
	on_terminal 40 wy-stock -H samples/house.yaml -b --on 2027-12-31 --audit
	(fits 80 parts; [ -n "$failures" ]) || fail "a table in parts is not seen"
	(fits 30 wide; [ -n "$failures" ]) || fail "a wide line is not seen"
	report
}

# finding ARGUMENTS...: the sentences above the table, on one line
finding() { wy-stock "$@" --as=text | sed '/^$/,$d' | tr '\n' ' ' | sed 's/ $//'; }

@test "stock: the finding says how many are where, what is late and short, and what does not add up" {
	is() {
		local want=$1
		shift
		[ "$(finding "$@")" = "$want" ] || fail "$*: $(finding "$@")"
	}
	is "On 2026-12-31 there are 5 pieces in 3 places; the most, 3, are at annex. The oldest has been a blade for 305 days, and is at annex." --on 2026-12-31 $C/days.wy
	is "On 2026-02-28 there are 0 pieces in stock." --on 2026-02-28 $C/days.wy
	printf '2026-03-01 buy L1 form=cleft count=SH:1 into=yard\n' >"$T/one.wy"
	is "On 2026-03-02 there is 1 piece at yard. The oldest has been a cleft for 1 day, and is at yard." --on 2026-03-02 "$T/one.wy"
	is "On 2026-03-02, no order is open." --on 2026-03-02 --orders "$T/one.wy"
	printf '2026-03-01 order O-%s form=cleft count=%s due=%s\n' 1 S5:2 2026-03-01 2 SH:1 2026-03-02 >>"$T/one.wy"
	is "On 2026-03-02, 2 orders are open, for 3 pieces; 1 of them is late. 2 pieces are short: 2 clefts S5." --on 2026-03-02 --orders "$T/one.wy"
	is "Everything adds up: 1 lot." --on 2026-03-02 --audit "$T/one.wy"
	is "From 2026-03-02 to 2026-03-03, the stock went from 1 to 1 piece: 0 came in, were found or came back, 0 were sold, 0 were culled." --since 2026-03-02 --on 2026-03-03 "$T/one.wy"
	got=$(finding --on 2026-12-31 --audit $C/doubt.wy 2>"$T/err" || true)
	[ "$got" = "2 of 2 lots do not add up: C001, C002." ] || fail "doubt: $got"
	# the four figures of a period are all that changes the stock
	for days in "2026-05-02 2026-08-01" "2027-01-01 2027-12-31" "2026-01-01 2027-12-31"; do
		set -- $days
		finding -H samples/house.yaml -b --since "$1" --on "$2" >"$T/said"
		sed 's/.*went from \([0-9]*\) to \([0-9]*\) pieces: \([0-9]*\) .* back, \([0-9]*\) were sold, \([0-9]*\) were culled, and \([0-9]*\) .*/\1 \2 \3 \4 \5 \6/' "$T/said" |
			awk '{ exit NF != 6 || $1 + $3 - $4 - $5 - $6 != $2 }' || fail "$days: $(cat "$T/said")"
	done
	report
}

@test "stock: the page's examples for a works' own book give an answer on the sample book" {
	sed -n '/^\.Ed/,$p' tools/wy-stock.1 | awk '/^\.Bd/ { on = 1; next } /^\.Ed/ { on = 0 } on' | sed 's/>stock.html//' >"$T/calls"
	n=0
	while IFS= read -r call; do
		while case $call in *'|') true ;; *) false ;; esac; do read -r more && call="$call $more"; done
		case $call in *"grep '^no'"*) want=1 ;; *) want=0 ;; esac   # every lot of the samples adds up
		(cd samples && status $want bash -o pipefail -c "export WITHY_TODAY=2027-12-31; $call") || fail "$call"
		[ $want = 1 ] || [ "$(wc -l <"$T/out")" -ge 3 ] || fail "$call: no answer"
		n=$((n + 1))
	done <"$T/calls"
	[ $n -ge 2 ] || fail "$n calls"
	report
}
