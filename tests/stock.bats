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

# q1 to q3: a lot with two types at one place, a pair's lines, and a day whose move has to come first.
@test "stock: a bat gets a handle that fits, also where its lot has several types at the place" {
	printf '%s\n' 'works: W' 'clock: UTC' 'people: {ann: Ann}' 'types: {SH: {}, S6: {}, HS: {form: handle, fits: [SH]}, HX: {form: handle, fits: [SH, S6]}, HJ: {form: handle, fits: [S6]}}' \
		'places: {shop: {kind: shop}, cane: {kind: store}}' 'grades: [{scheme: one, from: 2025-01-01, list: ["1"]}]' >"$T/house.yaml"
	left() { wy-stock -H "$T/house.yaml" --on 2026-07-05 --by place,form,type --as=tsv --no-header "$@" | awk '$3 == "handle"' | cut -f 2,4,5 | tr '\t\n' ' ;'; }
	opening='2026-07-01 tally L001 at=shop form=blade type=SH grade=1 count=6 found=6
2026-07-01 tally L002 at=shop form=blade type=S6 grade=1 count=6 found=6'
	while IFS='|' read -r book want; do
		{ echo "$opening"; echo "$book" | tr ';' '\n'; } >"$T/book.wy"
		status 0 wy-check -H "$T/house.yaml" "$T/book.wy"
		[ "$(left "$T/book.wy")" = "$want" ] || fail "$book: $(left "$T/book.wy")"
	done <<-'END'
	2026-07-01 buy H1 form=handle count=HS:4,HJ:4 into=shop;2026-07-04 make B1 blade=L001 handle=H1 at=shop|shop HJ 4;shop HS 3;
	2026-07-01 buy H1 form=handle count=HS:4,HJ:4 into=shop;2026-07-04 make B1 blade=L002 handle=H1 at=shop|shop HJ 3;shop HS 4;
	2026-07-01 buy H1 form=handle count=HX:4,HS:4 into=shop;2026-07-04 make B1 blade=L001 handle=H1 at=shop|shop HS 3;shop HX 4;
	2026-07-01 buy H1 form=handle count=HS:4,HJ:4 into=cane;2026-07-02 move H1 type=HJ count=3 into=shop;2026-07-04 move H1 at=cane type=HS count=2 into=shop;2026-07-04 make B1 blade=L001 handle=H1 at=shop;2026-07-04 make B2 blade=L001 handle=H1 at=shop|cane HJ 1;cane HS 2;shop HJ 3;
	2026-07-01 buy H1 form=handle count=HS:1,HX:1 into=shop;2026-07-04 make B1 blade=L001 handle=H1 at=shop;2026-07-04 make B2 blade=L002 handle=H1 at=shop|
	2026-07-01 buy H1 form=handle count=HS:1,HJ:2 into=shop;2026-07-02 make B1 blade=L001 handle=H1 at=shop;2026-07-04 make B2 blade=L002 handle=H1 at=shop;2026-07-05 rehandle B2 handle=H1 at=shop cull=broken:1|
	END
	# what does not fit is still taken where nothing else is, and an error that can be intended
	{ echo "$opening"; printf '%s\n' '2026-07-01 buy H1 form=handle count=HJ:2 into=shop' '2026-07-04 make B1 blade=L001 handle=H1 at=shop' \
		'2026-07-04 make B2 blade=L001 handle=H1 at=shop # intended make-fits: for a child'; } >"$T/book.wy"
	status 1 wy-check -H "$T/house.yaml" "$T/book.wy"
	[ "$(grep -c 'error: ' "$T/out")" = 1 ] && grep -q ':4:17: error: .* -- make-fits$' "$T/out" || fail "misfit: $(cat "$T/out")"
	[ -z "$(left "$T/book.wy")" ] || fail "misfits: $(left "$T/book.wy")"
	# what wy-pair writes holds
	{ echo "$opening"; printf '%s\n' '2026-07-01 tally H1 at=shop form=handle type=HJ count=3 found=3' '2026-07-01 tally H1 at=cane form=handle type=HS count=10 found=10' \
		'2026-07-02 probe L001 at=shop mc=9% wood=20C' '2026-07-02 probe H1 at=cane mc=9.2% wood=20C'; } >"$T/book.wy"
	status 0 wy-pair -H "$T/house.yaml" --on 2026-07-04 --handles=cane,shop --make --count=2 --first=B0001 --maker=ann "$T/book.wy"
	[ "$(grep -c ' make ' "$T/out")" = 2 ] || fail "pair: $(cat "$T/out")"
	cp "$T/out" "$T/made.wy"
	status 0 wy-check -H "$T/house.yaml" "$T/book.wy" "$T/made.wy"
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
	for wrong in "--orders --free" "--cover --value" "--rest --since 2026-01-01" "--changes-of lot" "--changes-of lot=" "--changes-of lot=a,lot=b" \
		"--changes-of age=1" "--changes-of form=blades" "--changes-of ''" "--tallies --by lot" "--by colour" "--by type,type" "--by type," "--orders --audit" "--orders --by type" "--audit --by type" \
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
	page_examples tools/wy-stock.1 little.wy
	[ "$examples" = 5 ] || fail "$examples examples"
	page_options tools/wy-stock.1
	[ "$options" -ge 17 ] || fail "$options options"
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
		--by=age,form
		--by=age,form,type,grade
		--rest
		--moisture
		--value
		--orders
		--free
		--cover
		--tallies
		--changes-of=type=SH,form=blade,grade=1
		--changes-of=type=SH,form=blade,grade=1 --since=2027-11-01
		--audit
		--since=2027-01-01
		--since=2026-01-01
	END
	[ $n = 19 ] || fail "$n modes"
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
	is "On 2026-03-02, 2 orders are open, for 3 pieces; 1 of them is late. 1 is there. 2 pieces are short: 2 clefts S5. Nothing under way is likely to fill them." --on 2026-03-02 --orders "$T/one.wy"
	is "On 2026-03-01, 1 order is open, for 1 piece; none of them is late. It is there." --on 2026-03-01 --orders <(sed '/O-1/d; s/due=2026-03-02/due=2026-03-01/' "$T/one.wy")
	# before the first grading nobody knows what wood becomes; the wood of a type is counted once
	cat >"$T/new.wy" <<-'END'
	2026-07-01 buy L001 form=cleft count=SH:100 into=yard/a
	2026-07-01 buy L002 form=cleft count=S6:7 into=yard/a
	2026-07-02 load K-1 kiln=east lot=L001 at=yard/a count=100
	2026-07-02 load K-1 kiln=east lot=L002 at=yard/a count=7
	2026-07-03 order O-1 form=blade count=SH/1:5,SH/2:3 due=2026-12-15
	2026-07-03 order O-2 form=blade count=HA/1:1 due=2026-12-16
	END
	is "On 2026-07-20, 2 orders are open, for 9 pieces; none of them is late. 0 are there. 9 pieces are short: 5 blades SH/1, 3 blades SH/2, 1 blade HA/1. No blade was graded yet under the grading scheme in force, so that nobody knows how many of them the 100 pieces under way will fill." --on 2026-07-20 --orders "$T/new.wy"
	is "On 2026-07-20, 1 order is open, for 1 piece; none of them is late. 0 are there. 1 piece is short: 1 blade HA/1. Nothing under way is likely to fill them." --on 2026-07-20 --orders <(sed '/O-1/d' "$T/new.wy")
	is "On 2026-07-20, 1 order is open, for 2 pieces; none of them is late. 0 are there. 2 pieces are short: 2 blades. No blade was graded yet under the grading scheme in force, so that nobody knows how many of them the 107 pieces under way will fill." --on 2026-07-20 --orders <(sed '/O-/d' "$T/new.wy"; echo '2026-07-03 order O-1 form=blade count=2 due=2026-12-15')
	is "Everything adds up: 1 lot." --on 2026-03-02 --audit "$T/one.wy"
	is "From 2026-03-02 to 2026-03-03, the stock went from 1 to 1 piece: 0 came in, were found or came back, 0 were sold, 0 were culled." --since 2026-03-02 --on 2026-03-03 "$T/one.wy"
	cat >"$T/two.wy" <<-'END'
	2026-03-01 tally L1 at=shop form=blade type=SH grade=1 count=3 found=3
	2026-03-01 tally H1 at=shop form=handle type=HS count=1 found=1
	2026-03-03 make B1 blade=L1 handle=H1 at=shop
	2026-03-03 sell L1 at=shop count=1 to=club
	2026-03-03 scrap L1 at=shop cull=knot:1
	END
	is "From 2026-03-02 to 2026-03-03, the stock went from 4 to 1 piece: 0 came in, were found or came back, 1 was sold, 1 was culled, and 1 was a handle that went into a bat." --since 2026-03-02 --on 2026-03-03 "$T/two.wy"
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
	page_calls tools/wy-stock.1
	[ "$calls" -ge 8 ] || fail "$calls calls"
	report
}

# what NAME FILE: the column of that name of a tsv answer, without its header
column() { awk -F '\t' -v name="$1" 'NR == 1 { for (i = 1; i <= NF; i++) if ($i == name) at = i; next } { print $at }' "$2"; }

# sum NAME FILE: and its sum, exact to the cent
sum() { column "$1" "$2" | awk '{ sum += $1 * 100 } END { printf "%.0f\n", sum }'; }

@test "stock: what is promised and what is free is what is there, for every kind, and no more is promised than ordered" {
	for day in 2026-06-30 2026-10-31 2027-03-31 2027-06-30 2027-12-31; do
		status 0 wy-stock -H samples/house.yaml --on $day --free --as=tsv samples/book/*.wy
		awk -F '\t' 'NR > 1 && ($5 != $6 + $7 || $6 < 0 || $7 < 0) { print; bad = 1 } END { exit bad || NR < 10 }' "$T/out" || fail "$day: there is not promised and free"
		cp "$T/out" "$T/free"
		promised=$(sum promised "$T/free") there=$(sum there "$T/free")
		wy-stock -H samples/house.yaml --on $day --orders --as=tsv samples/book/*.wy >"$T/orders"
		# of blades for bats of a mass more are promised than will surely have it, but no more than are ordered
		grep -v '\.\.[^\t]*$' "$T/orders" >"$T/exact"
		grep '\.\.[^\t]*$' "$T/orders" | awk -F '\t' '{ low += $12 + $13; high += $11 } END { print low + 0, high + 0 }' >"$T/massed"
		read -r low high <"$T/massed"
		exact=$((($(sum in_stock "$T/exact") + $(sum to_make "$T/exact")) / 100))
		[ $((promised / 100)) -ge $((exact + low)) ] && [ $((promised / 100)) -le $((exact + high)) ] || fail "$day: promised $promised, not $exact and $low to $high"
		awk -F '\t' 'NR > 1 && $11 != $12 + $13 + $14 { bad = 1 } END { exit bad }' "$T/orders" || fail "$day: an order does not add up"
		# all that is in stock, but for bats that came back
		wy-stock -H samples/house.yaml --on $day --by '' --as=tsv samples/book/*.wy >"$T/all"
		back=$(wy-stock -H samples/house.yaml --on $day --free --as=text samples/book/*.wy | sed -n 's/^\([0-9]*\) bats\{0,1\} came back .*/\1/p')
		[ "$there" = "$(($(sum count "$T/all") - 100 * ${back:-0}))" ] || fail "$day: $there there"
	done
	# random books have no orders: all is free
	for seed in 1 2 3; do
		awk -v seed="$seed" -v events=200 -v out="$T" -f tests/lib/random.awk
		status 0 wy-stock -H $C/random.yaml --on 2099-12-31 --free --as=tsv "$T/book.wy"
		[ "$(sum promised "$T/out")" = 0 ] && [ "$(sum free "$T/out")" = "$(sum there "$T/out")" ] || fail "seed $seed"
	done
	report
}

@test "stock: the changes of a bucket end in the stock of the day, on random books and the samples" {
	n=0
	for seed in $(seq 1 8); do
		awk -v seed="$seed" -v events=200 -v out="$T" -f tests/lib/random.awk
		wy-stock -H $C/random.yaml --on 2099-12-31 --by place,form,type,grade,lot --no-header "$T/book.wy" >"$T/stock.tsv"
		awk -F '\t' -v OFS='\t' '{ for (i = 2; i <= 6; i++) if ($i == "") $i = "-"; print }' "$T/stock.tsv" |
			awk -v seed="$seed" 'NR % 7 == seed % 7' >"$T/some"
		while read -r _ place form type grade lot count _; do
			status 0 wy-stock -H $C/random.yaml --on 2099-12-31 --changes-of "place=$place,form=$form,type=$type,grade=$grade,lot=$lot" --as=tsv "$T/book.wy" || continue
			[ "$(column total "$T/out" | tail -n 1)" = "$count" ] || fail "seed $seed $place $form $type $grade $lot: not $count"
			# each row is what the one before it had and what its line did
			awk -F '\t' 'NR > 1 { if (total + $6 - $7 != $8 || ($6 == 0 && $7 == 0)) bad = 1; total = $8 } END { exit bad }' "$T/out" || fail "seed $seed: a row does not follow"
			# the line is in the book, and is of that event
			column line "$T/out" | cut -d : -f 2 | while read -r at; do sed -n "${at}p" "$T/book.wy"; done | awk '{ print ($2 ~ /:/ ? $3 : $2) }' >"$T/events"
			column event "$T/out" | cmp -s - "$T/events" || fail "seed $seed: not the lines"
			n=$((n + 1))
		done <"$T/some"
	done
	[ $n -ge 40 ] || fail "only $n buckets"
	# any choice of keys, and from a day on
	for choice in type=SH form=bat place=store/r1 grade=- lot=C016 form=blade,type=S6,grade=2; do
		status 0 wy-stock -H samples/house.yaml --on 2027-12-31 --changes-of $choice --as=tsv samples/book/*.wy
		last=$(column total "$T/out" | tail -n 1)
		column total "$T/out" >"$T/totals"
		status 0 wy-stock -H samples/house.yaml --on 2027-12-31 --since 2027-10-01 --changes-of $choice --as=tsv samples/book/*.wy
		[ "$(column total "$T/out" | tail -n 1)" = "$last" ] || fail "$choice: --since ends in another total"
		tail -n "$(column total "$T/out" | wc -l)" "$T/totals" | cmp -s - <(column total "$T/out") || fail "$choice: --since has other totals"
	done
	status 1 wy-stock -H samples/house.yaml --on 2027-12-31 --changes-of place=nowhere samples/book/*.wy
	report
}

@test "stock: the value is that of wy-cost to the cent, by every key, and pieces are the same" {
	for day in 2026-03-31 2026-12-31 2027-12-31; do
		wy-cost -H samples/house.yaml --on $day --stock --as=tsv samples/book/*.wy >"$T/cost"
		want=$(awk -F '\t' 'NR > 1 && $2 != "waiting" && $2 != "" && $2 != "all" { sum += $5 * 100 } END { printf "%.0f\n", sum }' "$T/cost")
		[ "$want" -gt 100000 ] || fail "$day: wy-cost has $want"
		pieces=$(wy-stock -H samples/house.yaml --on $day --by '' --no-header samples/book/*.wy | cut -f 2)
		for by in '' place,form,type,grade class age lot,age form,age,grade; do
			status 0 wy-stock -H samples/house.yaml --on $day --by "$by" --value --rest --as=tsv samples/book/*.wy
			[ "$(sum value "$T/out")" = "$want" ] || fail "$day $by: $(sum value "$T/out"), not $want"
			[ "$(sum count "$T/out")" = "${pieces}00" ] || fail "$day $by: $(sum count "$T/out") pieces"
		done
		# by place it is the same row for row
		wy-cost -H samples/house.yaml --on $day --stock --by place,form,type --as=tsv samples/book/*.wy | awk -F '\t' -v OFS='\t' 'NR > 1 && $2 != "waiting" && $2 != "" && $2 != "all" { print $2, $3, $4, $5, $7 }' | LC_ALL=C sort >"$T/rows"
		wy-stock -H samples/house.yaml --on $day --by place,form,type --value --as=tsv samples/book/*.wy | tail -n +2 | cut -f 2-5,8 | LC_ALL=C sort >"$T/ours"
		[ "$(wc -l <"$T/rows")" -ge 6 ] && cmp -s "$T/rows" "$T/ours" || fail "$day: $(diff "$T/rows" "$T/ours" | head -n 4)"
	done
	# a price without a rate: no value, but ages all the same
	printf '2026-03-01 buy L1 form=cleft count=SH:4 price=10.00USD into=yard\n2026-03-01 buy L2 form=cleft count=SH:4 price=10.00EUR into=yard\n' >"$T/two.wy"
	status 1 wy-stock --on 2026-04-01 --value "$T/two.wy"
	[ ! -s "$T/out" ] && grep -q 'two.wy:.*: error: ' "$T/err" || fail "no rate: $(cat "$T/out" "$T/err")"
	status 0 wy-stock --on 2026-04-01 --by age "$T/two.wy"
	report
}

# Worked by hand: 20 blades, of which 5 go on day 100, so that by first-in, first-out the older ones are left fewer.
@test "stock: ages are in the house's bands, the oldest first, and rest counts from the day in the place" {
	printf 'places: {store/r1: {kind: store}, store/r2: {kind: store}, shop: {kind: shop}}\nrests: [{form: blade, at: store, for: 4w}, {form: handle, for: 10d}]\nage-bands: [4, 8]\n' >"$T/house.yaml"
	cat >"$T/book.wy" <<-'END'
	2026-01-01 tally L1 at=store/r1 form=blade type=SH grade=1 count=12 found=12
	2026-02-10 tally L2 at=store/r1 form=blade type=SH grade=1 count=8 found=8
	2026-02-20 move L1 at=store/r1 count=5 into=store/r2
	2026-03-01 sell L1 at=store/r1 count=3 to=tern
	2026-03-02 tally H1 at=store/r1 form=handle type=HS count=2 found=2
	2026-03-08 move L2 at=store/r1 count=1 into=shop
	END
	age() { wy-stock -H "$T/house.yaml" --on "$1" --by age,form --no-header "$T/book.wy" | cut -f 2-4 | tr '\t\n' ', '; }
	# L1 is 63 days old on 2026-03-05, 9 weeks; L2 23 days
	[ "$(age 2026-03-05)" = "8..,blade,9 ..4,blade,8 ..4,handle,2 " ] || fail "bands: $(age 2026-03-05)"
	# 4 weeks to the day are in the band from 4 weeks on
	[ "$(age 2026-03-10)" = "8..,blade,9 4..8,blade,8 ..4,handle,2 " ] || fail "the edge: $(age 2026-03-10)"
	rest() { wy-stock -H "$T/house.yaml" --on "$1" --by place,lot --rest --no-header "$T/book.wy" | cut -f 2-4,6-8 | tr '\t\n' ', '; }
	# L1 in r2 came on 2026-02-20 and is done 28 days later; at the shop no blade has to rest
	[ "$(rest 2026-03-09)" = "shop,L2,1,0,, store/r1,H1,2,2,2,2026-03-12 store/r1,L1,4,4,0, store/r1,L2,7,7,7,2026-03-10 store/r2,L1,5,5,5,2026-03-20 " ] || fail "rest: $(rest 2026-03-09)"
	[ "$(rest 2026-03-20 | tr ' ' '\n' | awk -F , '$5 > 0' | wc -l)" = 0 ] || fail "all have rested: $(rest 2026-03-20)"
	# the sample works: handles of H034 went into bats before they had rested (samples/README.md), and no others were resting then
	wy-stock -H samples/house.yaml --on 2027-04-20 --by form,lot --rest --as=tsv samples/book/*.wy >"$T/hasty"
	[ "$(awk -F '\t' '$2 == "handle" && $7 > 0 { print $3, $7, $8 }' "$T/hasty")" = "H034 102 2027-05-17" ] || fail "$(cat "$T/hasty")"
	# without a house file the bands are 13, 26 and 52 weeks, and nothing must rest
	[ "$(wy-stock --on 2026-04-02 --by age --no-header "$T/book.wy" | cut -f 2,3 | tr '\t\n' ', ')" = "13..26,9 ..13,10 " ] || fail "bands of no house"
	status 0 wy-stock --on 2026-04-02 --rest --as=text "$T/book.wy"
	grep -q 'no rest for any' "$T/out" || fail "no rests: $(cat "$T/out")"
	report
}

# Worked by hand: L1 was read at the bench (12 %), later in the store (10 and 11 %); L2 only in its charge.
@test "stock: the moisture is the last one of the lot in its place, and the air that of the last four weeks" {
	printf 'places: {north: {kind: kiln, capacity: 90}, store: {kind: store}, bench: {kind: bench}}\nmeters: {pin: {kind: pin}, hyg: {kind: hygrometer}}\nintervals: {air: 60d}\n' >"$T/house.yaml"
	cat >"$T/book.wy" <<-'END'
	2026-01-01 tally L1 at=store form=blade type=SH grade=1 count=12 found=12
	2026-01-01 tally L2 at=bench form=cleft type=SH count=8 found=8
	2026-01-02 probe L1 at=store mc=12%,12% wood=20C meter=pin
	2026-01-09 probe L1 at=store mc=10%,11% wood=20C meter=pin
	2026-01-03 load K26-01 kiln=north lot=L2 at=bench count=6
	2026-01-04 probe K26-01 in=a:L2/SH mc=a:20% wood=20C meter=pin
	2026-01-20 12:00 air store temp=20C rh=50% meter=hyg
	2026-02-28 12:00 air store temp=20C rh=50% meter=hyg
	END
	status 0 wy-stock -H "$T/house.yaml" --on 2026-02-15 --by lot,place --moisture --as=tsv "$T/book.wy"
	[ "$(column mc_mean_pct "$T/out" | tr '\n' ' ')" = "10.5 20  " ] || fail "moisture: $(cat "$T/out")"
	[ "$(column read_on "$T/out" | tr '\n' ' ')" = "2026-01-09 2026-01-04  " ] || fail "days: $(cat "$T/out")"
	# the EMC of 20 C and 50 % is 9.2 % (Wood Handbook 2021, Table 4-2: at 21.1 C)
	status 0 wy-stock -H "$T/house.yaml" --on 2026-02-28 --by place --moisture --as=tsv "$T/book.wy"
	awk -F '\t' '$2 == "store" { air = $NF } END { exit !(air > 9.1 && air < 9.3) }' "$T/out" || fail "air: $(cat "$T/out")"
	report
}

# 26 blades in 13 weeks are 2 a week: 40 last for 20 weeks. 52 in 52 weeks are 1 a week: 40 weeks.
@test "stock: the cover is the stock over the rate of use, worked by hand" {
	cat >"$T/book.wy" <<-'END'
	2025-01-01 tally L1 at=store form=blade type=SH grade=1 count=123 found=123
	2025-01-02 issue L1 at=store count=5 into=shop
	2026-01-01 issue L1 at=store count=26 into=shop
	2026-11-01 issue L1 at=store count=20 into=shop
	2026-11-30 sell L1 at=store count=10 to=tern
	2026-12-01 move L1 at=shop count=4 into=store
	2026-12-02 scrap L1 at=store cull=split:22
	END
	status 0 wy-stock --on 2026-12-30 --cover --as=tsv "$T/book.wy"
	[ "$(sed 1d "$T/out" | cut -f 2-9)" = "$(printf 'blade\tSH\t1\t44\t26\t52\t22\t44')" ] || fail "$(cat "$T/out")"
	# a year that is not there yet: the book's 45 days stand in for both periods
	printf '2026-11-16 tally L1 at=store form=blade type=SH grade=1 count=18 found=18\n2026-12-01 sell L1 at=store count=9 to=tern\n' >"$T/young.wy"
	status 0 wy-stock --on 2026-12-30 --cover --as=tsv "$T/young.wy"
	[ "$(sed 1d "$T/out" | cut -f 8,9 | tr '\t' ' ')" = "6.428571428571429 6.428571428571429" ] || fail "young: $(cat "$T/out")"
	status 1 wy-stock --on 2026-12-30 --cover /dev/null
	report
}

# The generator's own count: samples/gen/store.c takes 5 pieces away before the first year-end count; 2 are found in January.
@test "stock: stock-takes have their differences in pieces and money, and what the book had in booked" {
	status 0 wy-stock -H samples/house.yaml --on 2027-12-31 --tallies --as=tsv samples/book/*.wy
	awk -F '\t' 'NR > 1 && ($9 != $10 + $11 - $12 || $13 != $12 - $11 || !$13) { print; bad = 1 } END { exit bad || NR < 8 }' "$T/out" || fail "a row does not add up"
	# the lines themselves, by grep
	cat samples/book/*.wy | awk '$2 == "tally" || $3 == "tally"' | grep -v 'found=\([0-9]*\) .*count=\1\|count=\([0-9]*\) found=\2' | grep -oE 'cull=missing:[0-9]+|found=[0-9]+' |
		awk -F '[:=]' '/cull/ { missing += $3 } /found/ { found += $2 } END { print missing, found }' >"$T/want"
	[ "$(sum missing "$T/out") $(sum found "$T/out")" = "$(awk '{ print $1 * 100, $2 * 100 }' "$T/want")" ] || fail "sums: $(cat "$T/want")"
	# worked by hand: 10 blades that cost 100.00 are 10.00 each
	cat >"$T/book.wy" <<-'END'
	2026-01-01 buy L1 form=blade count=SH:10 price=100.00NZD into=store
	2026-02-01 tally L1 at=store count=8 cull=missing:2
	2026-03-01 tally L1 at=store count=9 found=1
	2026-04-01 tally L1 at=store count=9
	END
	status 0 wy-stock --on 2026-12-31 --tallies --as=tsv "$T/book.wy"
	[ "$(column value "$T/out" | tr '\n' ' ')" = "-20.00 12.50 " ] || fail "money: $(cat "$T/out")"
	status 0 wy-stock --on 2026-12-31 --tallies --since 2026-04-01 --as=text "$T/book.wy"
	grep -q '^On 2026-04-01, 1 count of 9 pieces found no difference.' "$T/out" || fail "$(cat "$T/out")"
	status 1 wy-stock --on 2026-01-31 --tallies "$T/book.wy"
	report
}

# Each charge is asked for three days after it was loaded; what then was graded is known. Of 80 % ranges some 80 % should hold it.
@test "stock: the blades foretold from charges under way are what came, in about 80 of 100 ranges" {
	cat samples/book/*.wy | awk '$2 == "load" || $3 == "load" { id = $2 == "load" ? $3 : $4; if (!(id in day) || $1 < day[id]) day[id] = $1 } END { for (id in day) print id "\t" day[id] }' | LC_ALL=C sort >"$T/loads"
	: >"$T/ranges"
	for at in 6 9 11 13 16; do
		day=$(date -u -d "$(sed -n "${at}p" "$T/loads" | cut -f 2) + 3 days" +%F)
		next=$(date -u -d "$day + 1 day" +%F)
		wy-stock -H samples/house.yaml --on "$day" --free --as=tsv samples/book/*.wy >"$T/free"
		wy-grade -H samples/house.yaml --from "$next" --by charge,type --as=tsv --columns=charge,type,grade,count samples/book/*.wy >"$T/graded"
		awk -F '\t' -v day="$day" 'FILENAME ~ /loads/ { loaded[$1] = $2; next } FILENAME ~ /graded/ { if (loaded[$1] && loaded[$1] <= day) got[$2, $3] += $4; next }
			FNR > 1 && $8 != "" { print got[$3, $4] + 0, $8, $9, $10 }' "$T/loads" "$T/graded" "$T/free" >>"$T/ranges"
	done
	awk '{ n++; in_ += $1 >= $3 && $1 <= $4; got += $1; told += $2 } END { print n, in_ / n, got / told; exit n < 40 || in_ / n < 0.65 || in_ / n > 0.95 || got / told < 0.97 || got / told > 1.1 }' "$T/ranges" >"$T/verdict" || fail "$(cat "$T/verdict")"
	report
}

@test "stock: what is short names the charge that fills it, its chance and its ready day; what is there needs none" {
	status 0 wy-stock -H samples/house.yaml --on 2027-12-31 --orders --as=tsv samples/book/*.wy
	awk -F '\t' 'NR > 1 && ($14 > 0) != ($15 != "") { print; bad = 1 } NR > 1 && $15 != "" && ($18 < 0 || $18 > 1 || $17 > $14 || $20 > $19 || $19 > $21) { print; bad = 1 } END { exit bad }' "$T/out" || fail "a source without need, or out of bounds"
	# the days are those of wy-dry
	wy-dry -H samples/house.yaml --on 2027-12-31 --as=tsv samples/book/*.wy >"$T/dry" || true
	awk -F '\t' 'FILENAME ~ /dry/ && $2 == "K27-09" && NF > 20 { want = $13 " " $18 " " $19 } FILENAME ~ /out/ && $15 == "K27-09" { n++; if ($19 " " $20 " " $21 != want) bad = 1 } END { exit bad || n != 4 }' "$T/dry" "$T/out" || fail "not the days of wy-dry"
	# a day when the wood is out of the kiln: no forecast is needed
	status 0 wy-stock -H samples/house.yaml --on 2027-03-31 --orders --as=text samples/book/*.wy
	grep -q 'K27-02 is ready\.' <(tr '\n' ' ' <"$T/out") || fail "$(head -n 4 "$T/out")"
	# no past, no odds: nothing is named
	printf '2026-01-01 tally L1 at=yard form=cleft type=SH count=9 found=9\n2026-01-02 load K26-01 kiln=north lot=L1 at=yard count=9\n2026-01-03 order O-1 form=blade count=SH/1:2\n' >"$T/new.wy"
	status 0 wy-stock --on 2026-01-05 --orders --as=tsv "$T/new.wy"
	[ "$(sed 1d "$T/out" | cut -f 14-17)" = "$(printf '2\t\t\t')" ] || fail "no past: $(cat "$T/out")"
	# handles and clefts are not made in a kiln
	grep -q . "$T/out" && sed 's/form=blade count=SH\/1:2/form=handle count=HS:2/' "$T/new.wy" >"$T/handle.wy"
	status 0 wy-stock --on 2026-01-05 --orders --as=tsv "$T/handle.wy"
	[ "$(sed 1d "$T/out" | cut -f 14,15)" = "$(printf '2\t')" ] || fail "handles: $(cat "$T/out")"
	report
}

@test "stock: no order of lines or files shows in any answer" {
	awk -v seed=11 -v times=2 -v out="$T/mixed" -f tests/lib/shuffle.awk <(cat samples/book/*.wy)
	split -n l/3 "$T/mixed.2" "$T/third."
	n=0
	while read -r columns mode; do
		# shellcheck disable=SC2086
		wy-stock -H samples/house.yaml --on 2027-12-31 $mode --as=tsv $columns samples/book/*.wy >"$T/want"
		[ "$(wc -l <"$T/want")" -gt 5 ] || fail "$mode: no answer"
		for files in "$T/mixed.1" "$T/third.ac $T/third.aa $T/third.ab"; do
			# shellcheck disable=SC2086
			status 0 wy-stock -H samples/house.yaml --on 2027-12-31 $mode --as=tsv $columns $files
			same "$T/want" "$mode"
		done
		n=$((n + 1))
	done <<-'END'
	--columns=form,type,grade,there,promised,free,coming,coming_80_low,coming_80_high --free
	--columns=order,type,grade,in_stock,to_make,short,charge,likely,chance --orders
	--all-columns --cover
	--all-columns --rest --value --moisture
	--all-columns --by lot,age,grade --value
	--columns=day,place,lot,type,grade,booked,counted,difference,value --tallies
	--columns=day,event,subject,in,out,total,order --changes-of type=SH,grade=1
	--columns=day,event,subject,in,out,total,order --changes-of form=handle
	END
	[ $n = 8 ] || fail "$n answers"
	report
}

# Worked by hand: of 20 blades 10 were 1 and 10 were 2. The works' mean of grade 1 is 10.5 / 21.5, with ten such pieces the mean is
# m = (10 + 10 * 10.5 / 21.5) / 30 = 0.4961, a beta of a = 30 m = 14.8837 and b = 15.1163. Of the two blades that are not graded,
# one or more will be 1 with 1 - b (b + 1) / (30 * 31) = 0.7380, both with a (a + 1) / (30 * 31) = 0.2542.
@test "stock: the chance of an order, and of the next one for the same, is as worked out by hand" {
	cat >"$T/book.wy" <<-'END'
	2026-01-01 tally L1 at=bench form=blade type=SH count=22 found=22
	2026-01-02 grade L1 at=bench count=1:10,2:10 into=store
	2026-01-03 sell L1 at=store grade=1 count=10 to=tern
	2026-01-04 order O-1 form=blade count=SH/1:1 due=2026-03-01
	2026-01-04 order O-2 form=blade count=SH/1:1 due=2026-04-01
	2026-01-04 order O-3 form=blade count=SH/2:11 due=2026-04-01
	2026-01-04 order O-4 form=blade count=S6/1:1 due=2026-05-01
	END
	status 0 wy-stock --on 2026-02-01 --orders --as=tsv "$T/book.wy"
	column chance "$T/out" | awk '{ printf "%.4f ", $1 }' >"$T/chances"
	[ "$(cat "$T/chances")" = "0.7380 0.2542 0.7380 0.0000 " ] || fail "chances: $(cat "$T/chances")"
	[ "$(column likely "$T/out" | tr '\n' ' ')" = "1 0 1  " ] || fail "likely: $(column likely "$T/out")"
	[ "$(column charge "$T/out" | tr '\n' ' ')" = "bench bench bench  " ] || fail "charge: $(column charge "$T/out")"
	[ "$(column ready_on "$T/out" | tr '\n' ' ')" = "2026-02-01 2026-02-01 2026-02-01  " ] || fail "days: $(column ready_on "$T/out")"
	report
}

@test "stock: a chance is cut off and not rounded, and wy-due and wy-plan say the same" {
	for case in "2026-12-01 O-357" "2027-11-30 O-422"; do
		set -- $case
		exact=$(wy-stock -H samples/house.yaml -b --orders --on $1 --as=csv --columns=order,chance | awk -F, -v id=$2 '$1 == id && $2 { print $2; exit }')
		down=$(echo "$exact" | awk '{ print int(100 * $1) }')
		[ "$down" ] || fail "$case has no chance"
		wy-stock -H samples/house.yaml -b --orders --on $1 --as=text | awk -v id=$2 -v down="$down" '$1 == id && $NF == down { found = 1 } END { exit !found }' ||
			fail "$case: $exact, in the text not $down"
		wy-due -H samples/house.yaml -b --on $1 --as=text | tr -s ' \n' '  ' | grep -q "$2 .*with a chance of $down %" || fail "$case: $exact, in wy-due not $down %"
	done
	wy-plan -H samples/house.yaml -b --on 2027-11-30 | grep -q "^# O-422.*, $down % ever" || fail "wy-plan: not $down %"
	report
}
