# wy-cost: what small books come to, worked out by hand; that no cent appears or vanishes on random books, in
# every stage; that the sample works' lines, added up by awk, are where the tables say; that no order of lines
# shows. Money itself is held by tests/unit/money.c, the cost formulas by tests/outside/inventory.c.

load lib/common
load lib/terminal

setup() {
	at_root
	C=tests/cases/cost
	H=$C/house.yaml
	R=$C/random.yaml
	S='-H samples/house.yaml -b --on 2027-12-31'
}

# cost WHAT OPTIONS...: the answer of $T/b.wy or, with a word that ends in .wy, of that book, to $T/out
cost() { wy-cost -H $H --on 2026-12-31 --as=tsv "$@" >"$T/out" 2>"$T/err"; }

# is WHAT: standard input is $T/out
is() { diff - "$T/out" >"$T/diff" || fail "$1: $(head -n 8 "$T/diff")"; }

@test "cost: a hundred clefts: what each blade cost, by hand" {
	# timber 1250.00 EUR at 0.80 is 1000.00; 10 of 100 split, so 100.00 is a loss and 900.00 is over 30 x 2 + 60 x 1;
	# haulage 50.00: 45.00 and 5.00, by piece; power 90.00: 81.00 and 9.00, by piece.
	cost --by=grade --columns=grade,blades,each,cost,timber,drying,losses $C/little.wy
	is 'by grade' <<-'END'
		grade	blades	each	cost	timber	drying	losses
		1	30	18.22	546.67	465.00	27.00	54.67
		2	60	9.89	593.33	480.00	54.00	59.33
		all	90	12.67	1140.00	945.00	81.00	114.00
	END
	# 20 of the 60 were sold, with a third of 593.33
	cost --stock --by=lot,grade --columns=lot,grade,pieces,value $C/little.wy
	is 'in stock' <<-'END'
		lot	grade	pieces	value
		C001	1	30	546.67
		C001	2	40	395.55
		all	all	70	942.22
	END
	cost --charges --columns=charge,kiln,days,pieces,load_share,cost,each,energy_kwh,energy_each_kwh $C/little.wy
	is 'the charge' <<-'END'
		charge	kiln	days	pieces	load_share	cost	each	energy_kwh	energy_each_kwh
		K26-05	north	22	100	0.5	90.00	0.90	300.0000	3
	END
	cost --lines-of=C001 --columns=line,event,kind,paid,rate,rate_day,rate_age_days,cost,here $C/little.wy
	is 'its lines' <<-'END'
		line	event	kind	paid	rate	rate_day	rate_age_days	cost	here
		little.wy:2	buy	timber	1250.00EUR	0.8GBP	2026-03-02	1	1000.00	1000.00
		little.wy:3	cost	haulage	50.00GBP				50.00	50.00
		little.wy:6	cost	power	90.00GBP				90.00	90.00
	END
	report
}

@test "cost: a bat that came back and got a new handle, by hand" {
	# the tree's 60.00 and 3.00 of haulage are on two of three clefts: 42.00 own, 21.00 lost; by worth 2 to 1 for the
	# timber. A handle is 5.00, and the bat has two of them on it.
	cost --by=grade --columns=grade,each,timber,losses $C/bat.wy
	is 'its blade' <<-'END'
		grade	each	timber	losses
		1	41.50	27.67	13.83
		2	21.50	14.33	7.17
		all	31.50	42.00	21.00
	END
	cost --stock --columns=stage,pieces,value $C/bat.wy
	is 'the stock' <<-'END'
		stage	pieces	value
		blades	1	21.50
		handles	2	10.00
		bats	1	51.50
		all	4	83.00
	END
	cost --since=2026-03-10 --columns=stage,opening,in,passed,out,lost,closing,counted $C/bat.wy
	grep -v 'waiting\|wood\|work\|stage' "$T/out" | sort >"$T/rows" && mv "$T/rows" "$T/out"
	is 'the account' <<-'END'
		all	36.50	46.50	0.00	0.00	0.00	83.00	83.00
		bats	0.00	46.50	5.00	0.00	0.00	51.50	51.50
		blades	21.50	0.00	0.00	0.00	0.00	21.50	21.50
		handles	15.00	0.00	-5.00	0.00	0.00	10.00	10.00
	END
	status 0 wy-cost -H $H --on 2026-12-31 --lines-of=B0001 --as=text $C/bat.wy
	head -n 1 "$T/out" | grep -q '^B0001 cost 51.50 GBP, its share of 3 lines. 1 line about it is not spread over pieces.$' || fail "$(head -n 1 "$T/out")"
	status 0 wy-cost -H $H --on 2026-03-15 --since 2026-03-01 --columns=stage,out $C/bat.wy
	grep -q '^all	46.50$' "$T/out" || fail "sold with 46.50: $(cat "$T/out")"
	report
}

@test "cost: the gradings of a lot on one day are one joint product, however many lines they have" {
	sed 's/^2026-07-04 .*/2026-07-04 08:00 grade C001 at=bench count=1:30 into=store\n2026-07-04 09:00 grade C001 at=bench count=2:60 into=store/' $C/little.wy >"$T/b.wy"
	cost --by=grade $C/little.wy && cp "$T/out" "$T/one"
	cost --by=grade "$T/b.wy"
	same "$T/one" 'two lines of one day'
	# on two days each has its own share by piece
	sed -i 's/^2026-07-04 09:00/2026-07-05/' "$T/b.wy"
	cost --by=grade --columns=grade,each "$T/b.wy"
	is 'two days' <<-'END'
		grade	each
		1	12.67
		2	12.67
		all	12.67
	END
	# blades that leave on the same day have been divided by worth before
	sed 's/^2026-07-04 /2026-07-04 08:00 /; s/^2026-08-20 /2026-07-04 10:00 /' $C/little.wy >"$T/b.wy"
	cost --stock --by=grade --columns=grade,pieces,value "$T/b.wy"
	is 'sold on the day' <<-'END'
		grade	pieces	value
		1	30	546.67
		2	40	395.55
		all	70	942.22
	END
	# a blade that is graded again keeps its cost
	{ cat $C/little.wy; echo '2026-07-09 grade C001 at=store grade=1 count=1:29,2:1'; } >"$T/b.wy"
	cost --stock --on 2026-07-10 --by=grade --columns=grade,pieces,value "$T/b.wy"
	is 'graded again' <<-'END'
		grade	pieces	value
		1	29	528.44
		2	61	611.56
		all	90	1140.00
	END
	report
}

@test "cost: by what the grades were sold for; without a worth, by piece and with a note" {
	{ cat $C/little.wy; echo '2026-08-21 sell C001 at=store grade=1 count=1 price=60.00GBP to=tern'; } >"$T/b.wy"
	# grade 2 sold at 20.00, grade 1 at 60.00: 900.00 over 30 x 3 + 60
	cost --by-sales --by=grade --columns=grade,timber "$T/b.wy"
	is 'by sales' <<-'END'
		grade	timber
		1	555.00
		2	390.00
		all	945.00
	END
	status 0 wy-cost -H $H --on 2026-12-31 --by-sales --as=text $C/little.wy
	grep -q '^joint costs of 90 blades are divided by piece, because one of their grades has no sale that names it$' "$T/out" || fail "$(tail -n 3 "$T/out")"
	sed 's/, worth: .2, 1.//' $H >"$T/house.yaml"
	status 0 wy-cost -H "$T/house.yaml" --on 2026-12-31 --by=grade --as=text $C/little.wy
	grep -q 'because the house file gives no worth for one of their grades$' "$T/out" || fail "$(tail -n 3 "$T/out")"
	grep -q '^1  *30  12.67 ' "$T/out" && grep -q '^2  *60  12.67 ' "$T/out" || fail "not by piece: $(cat "$T/out")"
	report
}

@test "cost: a period is divided by months and days, and what is still to come waits" {
	cat >"$T/b.wy" <<-'END'
		2026-01-01 buy C001 form=cleft count=SH:10 price=10.00GBP into=yard
		2026-01-01 buy C002 form=cleft count=SH:10 price=10.00GBP into=yard
		2026-01-31 move C001 at=yard count=10 into=store
		2026-01-05 cost store kind=service price=59.00GBP over=2026-02-01..2026-03-31
		2026-03-01 move C002 at=yard count=10 into=store
	END
	# 59 days: 28.00 of February on C001 alone; 31.00 of March on twenty pieces
	cost --stock --on 2026-04-30 --by=lot --columns=lot,value "$T/b.wy"
	is 'both months' <<-'END'
		lot	value
		C001	53.50
		C002	25.50
		all	79.00
	END
	cost --stock --on 2026-02-14 --by=lot --columns=lot,value "$T/b.wy"
	is 'fourteen days' <<-'END'
		lot	value
		waiting	45.00
		C001	24.00
		C002	10.00
		all	79.00
	END
	# the closing of a month is the opening of the next one
	for method in fifo mean; do
		cost --method=$method --since=2026-02-01 --on 2026-02-28 --columns=stage,closing --no-header "$T/b.wy" && cp "$T/out" "$T/closing"
		cost --method=$method --since=2026-03-01 --on 2026-04-30 --columns=stage,opening --no-header "$T/b.wy"
		same "$T/closing" "$method: the opening"
	done
	# a month in which nothing was there goes on the others when the period is over
	sed -i 's/2026-01-31 move/2026-03-01 move/' "$T/b.wy"
	cost --stock --on 2026-04-30 --by=lot --columns=lot,value "$T/b.wy"
	is 'an idle month' <<-'END'
		lot	value
		C001	39.50
		C002	39.50
		all	79.00
	END
	report
}

@test "cost: trees and parcels, culled clefts, a lot of two trees" {
	cat >"$T/b.wy" <<-'END'
		2026-02-01 cost P12 kind=timber price=120.00GBP
		2026-03-01 fell T061 parcel=P12
		2026-03-01 fell T062 parcel=P12 price=30.00GBP
		2026-03-02 cleave L061 tree=T061 count=SH:6 into=yard
		2026-03-03 cleave L062 tree=T062 count=SH:2 cull=shake:2 into=yard
		2026-03-04 cleave L061 tree=T062 count=SH:2 into=yard
	END
	# the parcel: 10.00 for each of 12 clefts, 2 of them culled, so 100.00 and 20.00 over the ten that are left; T062: 2 of L061's 8 pieces, and 4 of L062's of which 2 are culled.
	# A piece of L061 is to a quarter of T062, so its 30.00 is over 8 x 1/4 + 4 = 6 clefts.
	cost --stock --by=lot --columns=lot,pieces,value "$T/b.wy"
	is 'by lot' <<-'END'
		lot	pieces	value
		L061	8	111.00
		L062	2	39.00
		all	10	150.00
	END
	report
}

@test "cost: everything culled, no price, costs that find no piece, credits that exceed the cost" {
	cat >"$T/b.wy" <<-'END'
		2026-03-02 buy C001 form=cleft count=SH:3 price=10.00GBP from=alder into=yard
		2026-03-05 scrap C001 at=yard cull=stain:3
	END
	cost --since=2026-01-01 --columns=stage,in,lost,closing "$T/b.wy"
	grep -q '^all	10.00	10.00	0.00$' "$T/out" || fail "all culled: $(cat "$T/out")"
	status 1 wy-cost -H $H --on 2026-12-31 --as=text "$T/b.wy"
	grep -q '^No blade was graded up to 2026-12-31\.$' "$T/out" || fail "no blade: $(cat "$T/out")"
	# a later bill for what is gone is lost at once
	echo '2026-04-05 cost C001 kind=haulage price=5.01GBP' >>"$T/b.wy"
	cost --kinds --columns=kind,spent,waiting,lost "$T/b.wy"
	grep -q '^haulage	5.01	0.00	5.01$' "$T/out" || fail "a late bill: $(cat "$T/out")"
	# nothing has a price
	printf '2026-03-02 tally L001 at=store form=blade type=SH grade=1 count=4 found=4\n' >"$T/b.wy"
	status 0 wy-cost -H $H --on 2026-12-31 --stock "$T/b.wy"
	grep -q 'all	4	GBP	0.00	0.00$' "$T/out" || fail "no price: $(cat "$T/out")"
	status 1 wy-cost -H $H --on 2026-12-31 --as=text "$T/b.wy"
	status 1 wy-cost -H $H --on 2026-12-31 --kinds "$T/b.wy"
	# blades whose wood has no price are left out where others have one
	{ cat $C/little.wy; echo '2026-03-02 tally L001 at=store form=blade type=SH grade=1 count=4 found=4'; } >"$T/b.wy"
	cost --by=lot --columns=lot,blades,each,without_price "$T/b.wy"
	is 'without a price' <<-'END'
		lot	blades	each	without_price
		C001	90	12.67	0
		all	90	12.67	4
	END
	# nowhere is no subject of the book; an order is a cost of selling; a kind the house does not list is by piece
	{ cat $C/little.wy; cat <<-'END'
		2026-09-01 cost nowhere kind=haulage price=7.00GBP
		2026-09-01 cost O-1 kind=power price=8.00GBP
		2026-08-01 order O-1 count=SH:1
		2026-09-01 cost C001 kind=unlisted price=9.00GBP
		2026-09-02 credit C001 from=alder price=2000.00GBP
	END
	} >"$T/b.wy"
	cost --kinds --columns=kind,use,spent,waiting,in_stock,sold,lost,unspread "$T/b.wy"
	is 'kinds' <<-'END'
		kind	use	spent	waiting	in_stock	sold	lost	unspread
		credit	timber	-2000.00	0.00	-1666.67	-333.33	0.00	0.00
		haulage	timber	50.00	0.00	38.89	11.11	0.00	0.00
		haulage	other	7.00	7.00	0.00	0.00	0.00	0.00
		power	drying	90.00	0.00	70.00	20.00	0.00	0.00
		power	other	8.00	0.00	0.00	0.00	0.00	8.00
		timber	timber	1000.00	0.00	833.33	166.67	0.00	0.00
		unlisted	timber	9.00	0.00	7.00	2.00	0.00	0.00
		all		-836.00	7.00	-717.45	-133.55	0.00	8.00
	END
	# what a blade cost is then below zero, and has no shares
	cost --columns=blades,cost,timber_share "$T/b.wy"
	is 'a negative cost' <<-'END'
		blades	cost	timber_share
		90	-851.00	
	END
	report
}

@test "cost: a missing rate is named, and the line that the message gives puts it right" {
	grep -v ' rate ' $C/little.wy >"$T/b.wy"
	status 1 wy-cost -H $H --on 2026-12-31 "$T/b.wy"
	[ ! -s "$T/out" ] || fail 'an answer without a rate'
	grep -q "^$T/b.wy:1:51: error: the price in EUR cannot be converted: no EUR rate in GBP on or before 2026-03-03; add a line with the right rate, such as 2026-03-03 rate EUR is=1.25GBP$" "$T/err" ||
		fail "$(cat "$T/err")"
	sed -n 's/.*such as //p' "$T/err" >>"$T/b.wy"
	status 0 wy-cost -H $H --on 2026-12-31 "$T/b.wy"
	status 0 wy-check -H $H "$T/b.wy"
	# the latest on or before the day counts, not a later one; one message for a currency
	printf '%s\n' '2026-03-02 rate EUR is=0.5GBP' '2026-03-03 09:00 rate EUR is=0.6GBP' '2026-03-03 08:00 rate EUR is=0.9GBP' '2026-03-04 rate EUR is=0.7GBP' >"$T/r.wy"
	grep -v ' rate ' $C/little.wy | cat - "$T/r.wy" >"$T/b.wy"
	cost --lines-of=C001 --columns=kind,cost,rate_day "$T/b.wy"
	grep -q '^timber	750.00	2026-03-03$' "$T/out" || fail "the latest: $(cat "$T/out")"
	{ cat $C/little.wy; printf '2026-05-0%d cost C001 kind=haulage price=100JPY\n' 1 2 3; } >"$T/b.wy"
	status 1 wy-cost -H $H --on 2026-12-31 "$T/b.wy"
	[ "$(wc -l <"$T/err")" = 1 ] || fail "said more than once: $(cat "$T/err")"
	# what does not fit is said, and not reckoned with
	{ cat $C/little.wy; printf '%s\n' '2026-05-01 rate JPY is=999999999GBP' '2026-05-01 cost C001 kind=haulage price=1000000000000JPY'; } >"$T/b.wy"
	status 1 wy-cost -H $H --on 2026-12-31 "$T/b.wy"
	grep -q 'b.wy:11:41: error: with this price in JPY the costs of the book add up to more than 10^17 minor units; ' "$T/err" || fail "$(cat "$T/err")"
	# no house file: one currency will do, two will not
	grep -v ' rate \| buy ' $C/little.wy >"$T/b.wy"
	echo '2026-03-03 buy C001 form=cleft count=SH:100 price=1000.00GBP from=alder into=yard' >>"$T/b.wy"
	status 0 wy-cost --on 2026-12-31 --columns=blades,currency,cost --no-header "$T/b.wy"
	[ "$(cat "$T/out")" = "90	GBP	1140.00" ] || fail "no house: $(cat "$T/out")"
	status 1 wy-cost --on 2026-12-31 $C/little.wy
	grep -q 'prices in several currencies, and no house file says which is the works' "$T/err" || fail "$(cat "$T/err")"
	# a currency that there is not is a line that cannot be read
	printf '2026-05-01 cost C001 kind=haulage price=1.00QQQ\n' >"$T/b.wy"
	status 1 wy-cost -H $H "$T/b.wy"
	grep -q 'currency-unknown' "$T/err" || fail "$(cat "$T/err")"
	report
}

@test "cost: first-in, first-out and the weighted mean of a pool, against IAS 2's definitions" {
	# 1,000 at 10.00, 300 at 9.50, 200 at 9.70, 400 at 9.60, of which 1,400 are sold (tests/outside/inventory.c)
	cat >"$T/b.wy" <<-'END'
		2026-01-01 buy H1 form=handle count=HS:1000 price=10000.00GBP into=cane
		2026-01-05 buy H2 form=handle count=HS:300 price=2850.00GBP into=cane
		2026-01-11 buy H3 form=handle count=HS:200 price=1940.00GBP into=cane
		2026-01-20 buy H4 form=handle count=HS:400 price=3840.00GBP into=cane
		2026-01-21 pool H9 lot=H1:1000,H2:300,H3:200,H4:400 at=cane
		2026-01-31 sell H9 at=cane count=1400 to=tern
	END
	for method in fifo:4810.00 mean:4902.63; do
		cost --stock --method=${method%:*} --columns=pieces,value "$T/b.wy"
		tail -n 1 "$T/out" | grep -qx "500	${method#*:}" || fail "$method: $(cat "$T/out")"
	done
	report
}

@test "cost: pieces of a pool, and of several charges, are labelled as shares" {
	cat >"$T/b.wy" <<-'END'
		2026-03-01 buy C001 form=cleft count=SH:10 price=10.00GBP from=alder into=yard
		2026-03-01 buy C002 form=cleft count=SH:10 price=20.00GBP from=brook into=yard
		2026-03-02 load K26-01 kiln=north lot=C001 at=yard count=5
		2026-03-20 unload K26-01 count=5 into=bench
		2026-03-21 load K26-02 kiln=north lot=C001 at=yard count=5
		2026-04-20 unload K26-02 count=5 into=bench
		2026-04-21 plane C001 at=bench count=4
		2026-04-22 grade C001 at=bench form=blade count=2:4 into=store
	END
	cost --by=charge --columns=charge,blades,shared "$T/b.wy"
	is 'a part of a batch of two charges' <<-'END'
		charge	blades	shared
		K26-01	4	4
		all	4	4
	END
	cost --by=lot --columns=lot,shared "$T/b.wy"
	is 'its lot is known' <<-'END'
		lot	shared
		C001	0
		all	0
	END
	# all of a batch has the charges that it has
	sed -i 's/count=4$/count=10/; s/count=2:4/count=2:10/' "$T/b.wy"
	cost --by=charge --columns=charge,blades,shared "$T/b.wy"
	is 'a whole batch' <<-'END'
		charge	blades	shared
		K26-01	5	0
		K26-02	5	0
		all	10	0
	END
	cat >"$T/b.wy" <<-'END'
		2026-03-01 buy C001 form=blade count=SH:10 price=10.00GBP from=alder into=bench
		2026-03-02 buy C002 form=blade count=SH:10 price=20.00GBP from=brook into=bench
		2026-03-02 buy C003 form=blade count=SH:10 price=30.00GBP from=brook into=bench
		2026-03-03 pool M1 lot=C001:10,C002:10 at=bench
		2026-03-03 pool M2 lot=C003:10 at=bench
		2026-03-04 grade M1 at=bench count=1:5 into=store
		2026-03-04 grade M2 at=bench count=1:5 into=store
	END
	cost --by=supplier --columns=supplier,blades,each,shared "$T/b.wy"
	is 'a pool' <<-'END'
		supplier	blades	each	shared
		alder	5	1.00	5
		brook	5	3.00	0
		all	10	2.00	5
	END
	report
}

# holds BOOK SINCE WHAT: every stage adds up and is what its pieces have on them; the tables agree
holds() {
	local method since
	for method in fifo mean; do
		for since in 1999-01-01 "$2"; do
			wy-cost -H $R --on 2099-12-31 --method=$method --since=$since --as=tsv "$1" >"$T/account" 2>"$T/err" || true
			awk -F '\t' '
			NR == 1 { for (i = 1; i <= NF; i++) col[$i] = i; next }
			{
				sum = $col["opening"] + $col["in"] + $col["passed"] - $col["out"] - $col["lost"] - $col["closing"]
				if (sum > 0.001 || sum < -0.001 || $col["closing"] != $col["counted"]) { print "does not add up: " $0; bad = 1 }
				for (i = col["opening"]; i <= col["counted"]; i++) if ($col["stage"] == "all") all[i] = $i; else total[i] += $i
				rows++
			}
			END {
				for (i in all) if (all[i] - total[i] > 0.001 || total[i] - all[i] > 0.001) { print "column " i; bad = 1 }
				exit bad || rows != 7 || all[col["passed"]] != 0
			}' "$T/account" >"$T/bad" || fail "$3 $method $since: $(head -n 3 "$T/bad") $(head -n 2 "$T/err")"
		done
		closing=$(tail -n 1 "$T/account" | cut -f 10)
		for by in stage lot,type,grade,place supplier,charge,month; do
			value=$(wy-cost -H $R --on 2099-12-31 --method=$method --stock --by=$by --columns=value --no-header --as=tsv "$1" 2>/dev/null | tail -n 1 || true)
			[ "${value:-0.00}" = "$closing" ] || fail "$3 $method by $by: $value, not $closing"
		done
		{ wy-cost -H $R --on 2099-12-31 --method=$method --kinds --as=tsv "$1" 2>/dev/null || true; } | awk -F '\t' -v closing="$closing" '
			NR > 1 { rest = $5 - $6 - $7 - $8 - $9 - $10; if (rest > 0.001 || rest < -0.001) { print; bad = 1 } last = $6 + $7 }
			END { rest = last - closing; exit bad || rest > 0.001 || rest < -0.001 }' >"$T/bad" || fail "$3 $method: kinds: $(cat "$T/bad")"
	done
}

@test "cost: random books: opening + in + passed - out - lost = closing in every stage, to the cent" {
	for seed in $(seq 1 12); do
		awk -v seed="$seed" -v events=300 -v out="$T" -f tests/lib/random.awk
		python3 tests/oracles/cost_random.py "$seed" <"$T/book.wy" >"$T/b.wy"
		holds "$T/b.wy" "$(grep '^[0-9]' "$T/book.wy" | sed -n '150s/ .*//p')" "seed $seed"
		# what was spent, added up from the lines
		awk -v own=NZD -f tests/oracles/cost_spent.awk "$T/b.wy" >"$T/want"
		wy-cost -H $R --on 2099-12-31 --kinds --columns=kind,spent --no-header --as=tsv "$T/b.wy" |
			awk -F '\t' '{ sum[$1] += $2 } END { for (k in sum) if (k != "all") printf "%s\t%.2f\n", k, sum[k] | "LC_ALL=C sort"; close("LC_ALL=C sort"); printf "all\t%.2f\n", sum["all"] }' >"$T/got"
		cmp -s "$T/want" "$T/got" || fail "seed $seed: spent: $(diff "$T/want" "$T/got" | head -n 6)"
	done
	report
}

@test "cost: random books with mistakes add up too, and no order of lines shows" {
	python3 tests/oracles/book_random.py 5 40 >"$T/books"
	csplit -s -z -f "$T/part." -n 4 --suppress-matched "$T/books" '/^%%$/' '{*}'
	n=0
	for part in "$T"/part.*; do
		n=$((n + 1))
		python3 tests/oracles/cost_random.py "$n" <"$part" >"$T/b.wy"
		holds "$T/b.wy" 2026-06-20 "book $n"
		awk -v seed=5 -v times=1 -v out="$T/s" -f tests/lib/shuffle.awk "$T/b.wy"
		for call in "--by lot,grade,charge" "--stock --method mean --by lot,grade" "--since 2026-06-20" "--kinds" "--charges" "--stock --by-sales --by lot,grade"; do
			# shellcheck disable=SC2086
			wy-cost -H $R --on 2099-12-31 $call "$T/b.wy" >"$T/1" 2>/dev/null || true
			# shellcheck disable=SC2086
			wy-cost -H $R --on 2099-12-31 $call "$T/s.1" >"$T/2" 2>/dev/null || true
			cmp -s "$T/1" "$T/2" || fail "book $n: $call: the order of the lines shows"
		done
	done
	[ "$n" = 40 ] || fail "$n books"
	report
}

@test "cost: the sample works: what the lines add up to is on pieces, sold, lost, waiting or not spread" {
	awk -v own=NZD -f tests/oracles/cost_spent.awk samples/book/*.wy >"$T/want"
	# shellcheck disable=SC2086
	wy-cost $S --kinds --as=tsv >"$T/kinds"
	awk -F '\t' 'NR > 1 { sum[$2] += $5 } END { for (k in sum) if (k != "all") printf "%s\t%.2f\n", k, sum[k] | "LC_ALL=C sort"; close("LC_ALL=C sort"); printf "all\t%.2f\n", sum["all"] }' "$T/kinds" >"$T/got"
	cmp -s "$T/want" "$T/got" || fail "$(diff "$T/want" "$T/got")"
	awk -F '\t' 'NR > 1 { rest = $5 - $6 - $7 - $8 - $9 - $10; if (rest > 0.001 || rest < -0.001) bad = 1 } END { exit bad || NR < 8 }' "$T/kinds" || fail 'the kinds do not add up'
	# a lot all of whose wood became blades: the blades cost what its lines put on it
	for lot in C014 C015 C016; do
		# shellcheck disable=SC2086
		lines=$(wy-cost $S --lines-of $lot --columns=here --no-header --as=tsv | awk '{ sum += $1 } END { printf "%.2f", sum }')
		# shellcheck disable=SC2086
		blades=$(wy-cost $S --by lot --columns=lot,cost --no-header --as=tsv | sed -n "s/^$lot	//p")
		[ "$lines" = "$blades" ] || fail "$lot: lines $lines, blades $blades"
	done
	report
}

@test "cost: the sample works: the closing of every month is the opening of the next, in every stage" {
	for method in fifo mean; do
		for month in 2026-02 2026-06 2026-11 2027-01 2027-05 2027-09; do
			last=$(date -d "$month-01 + 1 month - 1 day" +%F) next=$(date -d "$month-01 + 1 month" +%F)
			wy-cost -H samples/house.yaml -b --method=$method --on "$last" --since "$month-01" --columns=closing --no-header --as=tsv | tail -n 1 >"$T/closing"
			wy-cost -H samples/house.yaml -b --method=$method --on 2027-12-31 --since "$next" --columns=opening --no-header --as=tsv | tail -n 1 >"$T/opening"
			cmp -s "$T/closing" "$T/opening" || fail "$method $month: closing $(cat "$T/closing"), opening $(cat "$T/opening")"
		done
	done
	report
}

@test "cost: the forms, and statuses of wrong use" {
	for form in text tsv csv json md html; do
		for view in "--by grade" --stock "--since 2026-07-01" --kinds --charges "--lines-of C001"; do
			# shellcheck disable=SC2086
			status 0 wy-cost -H $H --on 2026-12-31 --as=$form $view $C/little.wy
			[ "$(wc -c <"$T/out")" -gt 60 ] || fail "$form $view: $(cat "$T/out")"
			[ $form != json ] || jq -e 'type == "array" and length > 0' "$T/out" >/dev/null || fail "$view: no json"
		done
	done
	status 0 wy-cost -H $H --on 2026-12-31 --as=tsv <$C/little.wy
	for wrong in "--stock --kinds" "--since 2026-01-01 --charges" "--lines-of C001 --by lot" "--stock --from 2026-01-01" "--by colour" "--method lifo" \
		"--from 2026-02-01 --to 2026-01-01" "--since 2027-01-01" "--columns=colour"; do
		# shellcheck disable=SC2086
		status 2 wy-cost -H $H --on 2026-12-31 $wrong $C/little.wy
	done
	status 1 wy-cost -H $H --on 2026-12-31 --lines-of C999 $C/little.wy
	status 1 wy-cost -H $H --on 2026-12-31 /dev/null
	# a book that does not add up gets its answer, and status 1
	{ cat $C/little.wy; echo '2026-09-01 sell C001 at=store grade=1 count=31 to=tern'; } >"$T/b.wy"
	status 1 wy-cost -H $H --on 2026-12-31 "$T/b.wy"
	grep -q '1140.00' "$T/out" || fail 'no answer'
	report
}

@test "cost: every answer fits a terminal of 80 columns, in one table" {
	for view in "" "--by supplier,grade" "--by tree,parcel" "--by type,grade,charge" --stock "--stock --by form,type,grade" "--since 2027-01-01" --kinds --charges \
		"--lines-of C014" "--lines-of P14" "--lines-of B0463" "--lines-of south"; do
		# shellcheck disable=SC2086
		on_terminal 80 wy-cost $S $view || fail "$view: status $?"
		fits 80 "$view"
	done
	report
}

# Two probes that lost 10 and 12 points: 11, give or take Student's 97.5 % point for one degree of freedom, 12.706, times sqrt(2) / sqrt(2).
@test "cost: the points that a charge lost have their interval, and say if a meter was beyond its scale" {
	printf '%s\n' '2026-01-01 buy L1 form=cleft count=SH:30 into=yard from=alder' '2026-02-01 load K1 kiln=north lot=L1 at=yard count=30' \
		'2026-02-01 10:00 probe K1 in=a:L1/SH,b:L1/SH mc=a:24.0%,b:26.0%' '2026-02-20 10:00 probe K1 mc=a:14.0%,b:14.0%' '2026-03-01 unload K1 count=30 into=bench' >"$T/b.wy"
	points() { wy-cost --charges --on 2026-03-31 --no-header --columns=weeks,removed_points,removed_error_points,removed_above "$1" | awk -F '\t' '{ printf "%s %s %.3f %s\n", $1, $2, $3, $4 }'; }
	[ "$(points "$T/b.wy")" = "4 11 12.706 no" ] || fail "$(points "$T/b.wy")"
	sed 's/b:26.0%/b:30%+/' "$T/b.wy" >"$T/above.wy"
	[ "$(points "$T/above.wy" | cut -d ' ' -f 4)" = yes ] || fail "above: $(points "$T/above.wy")"
	wy-cost --charges --on 2026-03-31 --as text "$T/above.wy" | grep -q "^more points went, as a first reading was beyond the meter's scale: K1$" || fail 'no note'
	# one probe has no interval, none has no points
	sed 's/,b:[^ ]*//g' "$T/b.wy" >"$T/one.wy"
	[ "$(points "$T/one.wy")" = "4 10 0.000 no" ] && [ -z "$(wy-cost --charges --on 2026-03-31 --no-header --columns=removed_error_points "$T/one.wy")" ] || fail "one: $(points "$T/one.wy")"
	grep -v probe "$T/b.wy" >"$T/none.wy"
	[ -z "$(wy-cost --charges --on 2026-03-31 --no-header --columns=removed_points "$T/none.wy")" ] || fail "none: $(points "$T/none.wy")"
	# the dearest charge is named where there are several
	wy-cost -H samples/house.yaml -b --on 2027-12-31 --charges --as text | tr '\n' ' ' | grep -q 'Dearest was K27-06: 1.38 NZD a piece, with 220 pieces in it\.' || fail 'no dearest charge'
	report
}

@test "cost: the lines of a charge are those that dried its pieces, and add up to its cost" {
	# what was paid for the wood is of the lot, before the loading or after it; the kiln's 20.00 are on two charges of ten pieces
	cat >"$T/b.wy" <<-'END'
	2026-07-01 buy L1 from=brook form=cleft count=SH:10 into=yard price=100.00GBP
	2026-07-01 buy L2 from=brook form=cleft count=SH:10 into=yard price=100.00GBP
	2026-07-02 load K1 kiln=north lot=L1 at=yard count=10
	2026-07-11 unload K1 count=10 into=bench
	2026-07-12 load K2 kiln=north lot=L2 at=yard count=10
	2026-07-21 unload K2 count=10 into=bench
	2026-07-22 cost K1 kind=power price=10.00GBP
	2026-07-23 credit L1 from=brook price=20.00GBP
	2026-07-24 cost L1 kind=haulage price=5.00GBP
	2026-07-31 cost north kind=power price=20.00GBP over=2026-07-01..2026-07-31
	END
	cost --lines-of=K1 --columns=event,subject,kind,here "$T/b.wy"
	is 'of the charge' <<-'END'
		event	subject	kind	here
		cost	K1	power	10.00
		cost	north	power	10.00
	END
	cost --lines-of=L1 --columns=event,subject,kind,here "$T/b.wy"
	is 'of the lot' <<-'END'
		event	subject	kind	here
		buy	L1	timber	100.00
		cost	K1	power	10.00
		credit	L1	credit	-20.00
		cost	L1	haulage	5.00
		cost	north	power	10.00
	END
	cost --lines-of=K1 --as=text "$T/b.wy"
	head -n 1 "$T/out" | grep -q '^2 lines put 20.00 GBP on the pieces of K1 for drying them\.$' || fail "$(head -n 1 "$T/out")"
	# so are those of the sample charges
	wy-cost $S --charges --columns=charge,cost --no-header --as=tsv | while read -r charge sum; do
		[ "$(wy-cost $S --lines-of $charge --columns=here --no-header --as=tsv | awk '{ sum += $1 } END { printf "%.2f", sum }')" = "${sum:-0.00}" ] || echo "$charge $sum"
	done >"$T/other"
	[ ! -s "$T/other" ] || fail "$(cat "$T/other")"
	report
}

@test "cost: a probe that was moved or put in late does not change how many points a charge lost" {
	local head='2026-01-01 buy L1 form=cleft count=SH:30 into=yard
2026-02-01 08:00 load K1 kiln=north lot=L1 at=yard count=30
2026-02-01 10:00 probe K1 in=a:L1/SH,b:L1/SH mc=a:25.0%,b:25.0%' tail='2026-03-01 09:00 unload K1 count=30 into=bench
2026-03-02 cost K1 kind=power energy=320kWh price=160.00GBP'
	# points WANT [SED]: of a book with standard input between loading and unloading
	points() {
		{ echo "$head"; cat; echo "$tail"; } | sed "${2:-}" >"$T/b.wy"
		cost --charges --no-header --columns=removed_points,removed_error_points,cost_point "$T/b.wy"
		[ "$(awk -F '\t' '{ printf "%.6g %s %.6g", $1, $2 == "" ? "-" : sprintf("%.4f", $2), $3 }' "$T/out")" = "$1" ] || fail "$1: $(cat "$T/out" "$T/err")"
	}
	# every piece goes from 25 to 9; b is moved to another piece at 17, which is read at once, or four days later
	points '16 0.0000 10' <<-'END'
		2026-02-11 10:00 probe K1 mc=a:17.0%,b:17.0%
		2026-02-11 11:00 probe K1 out=b in=b:L1/SH mc=b:17.0%
		2026-02-28 10:00 probe K1 mc=a:9.0%,b:9.0%
	END
	points '16 0.0000 10' <<-'END'
		2026-02-11 10:00 probe K1 mc=a:17.0%,b:17.0%
		2026-02-11 11:00 probe K1 out=b in=b:L1/SH
		2026-02-15 10:00 probe K1 mc=a:15.0%,b:16.0%
		2026-02-28 10:00 probe K1 mc=a:9.0%,b:10.0%
	END
	# c is put in at 13
	points '16 0.0000 10' <<-'END'
		2026-02-15 10:00 probe K1 mc=a:13.0%,b:13.0%
		2026-02-15 11:00 probe K1 in=c:L1/SH mc=c:13.0%
		2026-02-28 10:00 probe K1 mc=a:9.0%,b:9.0%,c:9.0%
	END
	# b came out at 15 and its piece with it: it lost 10, and a 16; t of one degree of freedom is 12.7062 (tables), times 3
	points '13 38.1186 12.3077' <<-'END'
		2026-02-20 10:00 probe K1 mc=a:12.0%,b:15.0%
		2026-02-20 11:00 probe K1 out=b
		2026-02-28 10:00 probe K1 mc=a:9.0%
	END
	# b was not read any more after 17, in its piece or another, and stayed in: as a from there on
	points '16 0.0000 10' <<-'END'
		2026-02-11 10:00 probe K1 mc=a:17.0%,b:17.0%
		2026-02-28 10:00 probe K1 mc=a:9.0%,b:-
	END
	points '16 0.0000 10' <<-'END'
		2026-02-11 10:00 probe K1 mc=a:17.0%,b:17.0%
		2026-02-11 11:00 probe K1 out=b in=b:L1/SH
		2026-02-28 10:00 probe K1 mc=a:9.0%
	END
	# the only probe was moved at 16, and its next piece was read first at 14: 9, 2 between the pieces, 5
	points '16 - 10' 's/,b:[^ ]*//g' <<-'END'
		2026-02-11 10:00 probe K1 mc=a:16.0%
		2026-02-11 11:00 probe K1 out=a in=a:L1/SH
		2026-02-13 10:00 probe K1 mc=a:14.0%
		2026-02-28 10:00 probe K1 mc=a:9.0%
	END
	# a was read once in its first piece, and b only late: 2 between the pieces of a, 14 later, b the last 4 of them: as good as one probe
	points '16 - 10' 's/^\(.*in=a:L1.SH\),b:L1.SH mc=.*/\1 mc=a:25.0%/' <<-'END'
		2026-02-03 11:00 probe K1 out=a in=a:L1/SH
		2026-02-05 10:00 probe K1 mc=a:23.0%
		2026-02-15 10:00 probe K1 in=b:L1/SH mc=a:13.0%,b:14.0%
		2026-02-28 10:00 probe K1 mc=a:9.0%,b:10.0%
	END
	report
}

@test "cost: a bat that is moved keeps the money of its handle apart" {
	cat >"$T/bat.wy" <<-'END'
	2026-01-01 buy L1 form=blade count=SH:2 price=100.00NZD into=shop
	2026-01-01 buy H1 form=handle count=cane:3 price=15.00NZD into=shop
	2026-01-04 grade L1 at=shop count=1:2
	2026-01-05 make B1 blade=L1 handle=H1 at=shop
	END
	call="--on 2026-01-31 --by form,place --columns=form,place,blades,cost --as=tsv"
	status 0 wy-cost $call "$T/bat.wy"
	sed 's/^bat\tshop/bat\tstore/' "$T/out" >"$T/want"
	grep -q '^bat.store.1.50.00$' "$T/want" || fail "at once: $(cat "$T/want")"
	echo '2026-01-06 move B1 at=shop into=store' >>"$T/bat.wy"
	status 0 wy-cost $call "$T/bat.wy"
	same "$T/want" "moved"
	report
}

@test "cost: a bat is one piece of its blade's lot, with its handle's money" {
	# a blade is 10.00, a handle 5.00: two bats, and of the handles two are left
	cat >"$T/bats.wy" <<-'END'
	2026-07-01 tally L1 at=shop form=blade type=SH grade=1 count=4 found=4 price=40.00GBP
	2026-07-01 tally H1 at=shop form=handle type=HS count=4 found=4 price=20.00GBP
	2026-07-02 make B1 blade=L1 handle=H1 at=shop
	2026-07-02 make B2 blade=L1 handle=H1 at=shop
	END
	for method in fifo mean; do
		cost --stock --method=$method --by=lot,form --columns=lot,form,pieces,value,each "$T/bats.wy"
		is "by lot and form, $method" <<-'END'
			lot	form	pieces	value	each
			H1	handle	2	10.00	5.00
			L1	blade	2	20.00	10.00
			L1	bat	2	30.00	15.00
			all	all	6	60.00	10.00
		END
	done
	report
}

@test "cost: the price of a piece that was found in a pool is for all pieces of the pool" {
	# 14.00 over 10, 3 and the one found: 1.00 on each
	cat >"$T/pool.wy" <<-'END'
	2026-07-01 tally L1 at=store form=blade type=SH grade=1 count=10 found=10 price=100.00GBP
	2026-07-01 tally L2 at=store form=blade type=SH grade=1 count=3 found=3 price=60.00GBP
	2026-07-02 pool P1 lot=L1:10,L2:3 at=store
	2026-07-03 tally P1 at=store count=14 found=1 price=14.00GBP
	END
	cost --stock --by=lot --columns=lot,pieces,value "$T/pool.wy"
	is 'the stock' <<-'END'
		lot	pieces	value
		L1	10	110.00
		L2	3	63.00
		P1	1	1.00
		all	14	174.00
	END
	cost --by=lot --columns=lot,blades,cost,without_price "$T/pool.wy"
	is 'the blades' <<-'END'
		lot	blades	cost	without_price
		L1	10	110.00	0
		L2	3	63.00	0
		P1	1	1.00	0
		all	14	174.00	0
	END
	cost --lines-of=P1 --columns=event,subject,cost,here "$T/pool.wy"
	is 'its lines' <<-'END'
		event	subject	cost	here
		tally	L1	100.00	
		tally	L2	60.00	
		tally	P1	14.00	14.00
	END
	report
}
