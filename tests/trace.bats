# wy-trace: the shares of mixed pieces worked out by hand, held against the other direction (what a bat may be
# from is what is listed of it there) and against conservation (what all sources have in a heap is the heap);
# the sample works' known faults; every form and exit status. trace_dot.bats has the drawing.

load lib/common
load lib/terminal

setup() {
	at_root
	C=tests/cases/trace
	S="-H samples/house.yaml"
	book=$(echo samples/book/*.wy)
	export WITHY_TODAY=2027-12-31
}

# cells WHAT TABLE ROWS FIELDS WANT...: fields of some rows of a table of the json in $T/out, a row a line, are those
cells() {
	local what=$1 table=$2 rows=$3 fields=$4
	shift 4
	jq -r ".$table[] | select($rows) | [$fields] | map(. // \"-\") | join(\" \")" "$T/out" >"$T/got"
	printf '%s\n' "$@" | diff - "$T/got" >"$T/diff" || fail "$what: $(head -n 12 "$T/diff")"
}

# In mixed.wy 30 clefts of T2 and 20 of node make one heap. Of its 50, 30 are dried in K1, of which 28 come to
# the store, and 20 in K2, of which 12 do: a piece of the 40 in the store is of K1 with a chance of 28/40 = 70 %.
@test "trace: the shares of a bat of mixed pieces, worked out by hand" {
	status 0 wy-trace --as=json B2 "$C/mixed.wy"
	cells 'its origin' origin true '.part, .share, .tree, .lot, .licence' 'cleft 0.6 T2 1-2 -' 'cleft 0.4 node 1-2 FL-2' 'handle 1 - H2 -'
	# of the 10 that were sold 2 came back; the shares of the 2 bats are those of the heap that they came from
	cells 'what it shares' shares true '.by, .id, .share, .in_stock, .sold, .culled, .bats_sold, .bats_back' 'handle lot H2 1 4 0 0 1 0' \
		'lot 1-2 1 38 8 2 2 1' 'charge K1 0.7 21 5.6 2 1.4 0.7' 'charge K2 0.3 17 2.4 0 0.6 0.3' 'tree T2 0.6 22.8 4.8 1.2 1.2 0.6' \
		'tree node 0.4 15.2 3.2 0.8 0.8 0.4'
	# the yard: 0.4 from 3 March and 0.6 from the 4th, to the 5th: 1.4 days; the store: 0.7 * 38 + 0.3 * 8 = 29
	cells 'its places' places true '.place, .share, .first, .last, .days_mean * 10' 'yd 1 2026-03-03 2026-03-05 14' 'K1 0.7 2026-03-05 2026-04-01 270' \
		'K2 0.3 2026-03-05 2026-05-01 570' 'bn 1 2026-04-01 2026-05-03 20' 'st 1 2026-04-03 2026-05-11 290' 'shop 1 2026-05-11 2026-06-03 20'
	cells 'its handles' way '.part == "handle"' '.first, .event, .what' '2026-05-10 buy -' '2026-05-12 make H1' '2026-06-02 rehandle H2'
	status 0 wy-trace --as=json B1 "$C/mixed.wy"
	cells 'with the handle of a bat that came back and has another now' shares '.id == "H1"' '.bats_sold, .bats_refitted, .bats_back' '1 1 1'
	status 0 wy-trace --as=json B0601 "$C/pool.wy"
	cells 'a pool' origin true '.share, .tree, .lot' '0.6 T061 L061' '0.4 T062 L062' '1 - H07'
	report
}

@test "trace: a numbered blade, a lot, a charge and a tree" {
	status 0 wy-trace --as=json 1-2/07 "$C/mixed.wy"
	cells 'the blade is in B1' way '.event == "judge" or .event == "make"' '.event, .share, .by' 'make 1 -' 'make 1 -' 'judge 1 mk'
	status 1 wy-trace 1-2/08 "$C/mixed.wy"
	status 0 wy-trace --as=json 1-2/09 "$C/mixed.wy"
	cells 'a blade that is in no bat' way '.event == "judge"' '.share, .by, .what' '1 jo 2'
	status 0 wy-trace --as=json 1-2 "$C/mixed.wy"
	cells 'the lot' shares true '.by, .id, .share' 'lot 1-2 1' 'charge K1 0.6' 'charge K2 0.4' 'tree T2 0.6' 'tree node 0.4'
	cells 'blades that were sold and came back' way '.event == "sell" or .event == "return"' '.event, .what, .share' 'sell ostrin 0.2' 'return warp 0.04'
	status 0 wy-trace --as=json K2 "$C/mixed.wy"
	cells 'the charge' origin true '.share, .tree, .pieces' '0.6 T2 30' '0.4 node 20'
	cells 'who is of the charge' shares true '.by, .id, .in_stock' 'charge K2 17'
	status 0 wy-trace --as=json T2 "$C/mixed.wy"
	cells 'the tree' shares true '.by, .id, .in_stock' 'tree T2 22.8'
	status 0 wy-trace --as=json H1 "$C/mixed.wy"
	cells 'a lot of handles' shares true '.by, .id, .in_stock, .culled' 'handle lot H1 3 1'
	report
}

# What was born in a lot is all that there is: over all of these the expected pieces of each heap are its pieces.
@test "trace: what all sources have in a heap is the heap" {
	for seed in 1 2 3 samples; do
		house=tests/cases/stock/random.yaml files=$T/book.wy
		if [ "$seed" = samples ]; then
			house=samples/house.yaml files=$book
		else
			awk -v seed="$seed" -v events=200 -v out="$T" -f tests/lib/random.awk
		fi
		# shellcheck disable=SC2086
		wy-trace -H "$house" --on 2099-12-31 --dossier --every --no-header --columns=lot $files | sort -u >"$T/lots"
		: >"$T/all"
		while read -r lot; do
			# a lot that is bought as bats is no lot of wood
			# shellcheck disable=SC2086
			wy-trace -H "$house" --on 2099-12-31 --sharing --by=lot,handle --no-header --columns=id,lot,part,type,grade,class,state,place_or_party,pieces,expected "$lot" $files \
				2>/dev/null | awk -F '\t' -v lot="$lot" '$1 == lot' >>"$T/all" || true
		done <"$T/lots"
		[ "$(wc -l <"$T/all")" -gt 20 ] || fail "$seed: only $(wc -l <"$T/all") rows"
		# a pool of which a tally found pieces has some of no source, and so have the pools of its pieces
		# shellcheck disable=SC2086
		sort -s -k 1,1 $files | awk 'NR == FNR { source[$1]; next } { for (i = 2; i < NF && $i !~ /^(tally|pool)$/; i++); lot = $(i + 1) }
			$i == "tally" && / found=[1-9]/ && !(lot in source) { bad[lot] }
			$i == "pool" { match($0, / lot=[^ ]*/); n = split(substr($0, RSTART + 5, RLENGTH - 5), part, /[:,]/); for (k = 1; k <= n; k += 2) { if (part[k] in bad) bad[lot]; of[lot] = of[lot] " " part[k] } }
			END { for (turn = 0; turn < 9; turn++) for (l in of) { n = split(of[l], part, " "); for (k = 1; k <= n; k++) if (part[k] in bad) bad[l] } for (l in bad) print l }' "$T/lots" - >"$T/part"
		awk -F '\t' -v seed="$seed" 'NR == FNR { part[$1]; next } $2 in part { next } $3 != "bat" { k = $2 FS $3 FS $4 FS $5 FS $6 FS $7 FS $8; sum[k] += $10; n[k] = $9 }
			END { for (k in sum) if (sum[k] - n[k] > 1e-6 || n[k] - sum[k] > 1e-6) { print seed ": " k ": " sum[k] " of " n[k]; bad = 1 } if (!length(n)) { print seed ": nothing"; bad = 1 } exit bad }' "$T/part" "$T/all" \
			>"$T/bad" || fail "$(head -n 4 "$T/bad")"
	done
	report
}

@test "trace: a bat is from a lot with the chance that the lot's list gives it" {
	wy-trace $S --dossier --every --no-header --columns=lot $book | sort -u >"$T/lots"
	while read -r lot; do
		wy-trace $S --sharing --by=lot --no-header --columns=id,lot,part,expected "$lot" $book | awk -F '\t' -v lot="$lot" '$1 == lot && $3 == "bat"'
	done <"$T/lots" | LC_ALL=C sort >"$T/forth"
	cut -f 2 "$T/forth" | sort -u | awk 'NR % 9 == 1' >"$T/bats"
	[ "$(wc -l <"$T/bats")" -gt 30 ] || fail "only $(wc -l <"$T/bats") bats"
	while read -r bat; do
		wy-trace $S --as=json $bat $book | jq -r --arg bat "$bat" '.origin[] | select(.part != "handle") | [.lot, $bat, "bat", .share] | @tsv'
	done <"$T/bats" | LC_ALL=C sort >"$T/back"
	awk -F '\t' -v OFS='\t' '{ sum[$1 FS $2] += $4 } END { for (k in sum) print k, "bat", sum[k] }' "$T/back" >"$T/lots.back"
	awk -F '\t' 'NR == FNR { share[$1 FS $2] = $4; next } { if (!($1 FS $2 in share) || (share[$1 FS $2] - $4) ^ 2 > 1e-12) { print; bad = 1 } } END { exit bad }' \
		"$T/forth" "$T/lots.back" >"$T/bad" || fail "$(head -n 5 "$T/bad")"
	# and a bat's shares of lots add up to one
	awk -F '\t' '{ sum[$2] += $4 } END { for (b in sum) if ((sum[b] - 1) ^ 2 > 1e-12) { print b, sum[b]; bad = 1 } exit bad }' "$T/back" >"$T/bad" || fail "$(cat "$T/bad")"
	report
}

# samples/README.md: the splices of bats with handles of H034, which had not rested, came loose.
@test "trace: the sample works' faults are found" {
	status 0 wy-trace $S --as=json B0635 $book
	cells 'the handles of its lot' shares '.by == "handle lot"' '.id, .bats_sold, .bats_culled, .bats_back' 'H034 18 2 2'
	cells 'how wet they were' moisture '.of == "handle lot"' '.place, (.last_mean_pct * 10 | round), .last_day' 'cane 124 2027-05-12'
	cells 'the note about them' notes true '.about, .by' 'H034 jo'
	status 0 wy-trace $S --sharing --by=handle --no-header --columns=lot,state,came_back,cause B0635 $book
	grep -q "^B0627	culled	2027-09-24	splice-loose$" "$T/out" || fail 'the other bat with a loose splice'
	[ "$(grep -c '^B' "$T/out")" = 19 ] || fail "not 19 other bats"
	# C014 is Alderquen's
	status 0 wy-trace $S --as=json C014 $book
	cells 'C014' origin true '.supplier, .origin' 'alder GB'
	# pieces under the low end of the ready band, 8 %, and where their lots are
	status 0 wy-trace $S --dry --as=json $book
	[ "$(jq '.pieces | length' "$T/out")" -ge 10 ] || fail 'few dry pieces'
	[ "$(jq '[.pieces[] | select(.driest_pct >= 8)] | length' "$T/out")" = 0 ] || fail 'one that is not dry'
	cells 'a dry blade, its lot and its charges' lots '.lot == "D006"' '.charges, .now' "K26-06 $(wy-stock $S --by place,lot --no-header --columns=place,lot,count $book |
		awk -F '\t' '$2 == "D006" { printf "%s in %s", $3, $1 }'), 28 in bats, 643 sold, 98 culled"
	report
}

# Readings that wy-moist, which does not follow pieces, gives for the place of the dry ones.
@test "trace: the driest reading is wy-moist's" {
	wy-moist $S --all --by lot --as=json $book | jq -r '[.[] | select(.driest_pct != null) | .driest_pct] | min' >"$T/want"
	wy-trace $S --dry --as=json $book | jq -r '.pieces[0].driest_pct' >"$T/got"
	cmp "$T/want" "$T/got" >&2 || fail "driest: $(cat "$T/want" "$T/got")"
	report
}

# The air of a place between two days is wy-air's; a kiln's is that of the charge while it was in it.
@test "trace: the EMC of a place is wy-air's" {
	wy-trace $S --as=json B0635 $book | jq -r '.places[] | select(.emc_mean_pct != null) | [.place, .first, .last, .emc_mean_pct, .emc_low_pct, .emc_high_pct] | @tsv' >"$T/got"
	[ "$(wc -l <"$T/got")" = 2 ] || fail "places: $(cat "$T/got")"
	sed 's/^K26-06/north/' "$T/got" | while IFS="$(printf '\t')" read -r place first last mean low high; do
		wy-air $S --timed --by place --from "$first" --to "$last" --as=json $book |
			jq -r --arg place "$place" '.[] | select(.place == $place) | [.emc_mean_pct, .emc_min_pct, .emc_max_pct] | @tsv' >"$T/air"
		printf '%s\t%s\t%s\n' "$mean" "$low" "$high" | cmp -s - "$T/air" || echo "$place: $mean $low $high, not $(cat "$T/air")"
	done >"$T/bad"
	[ ! -s "$T/bad" ] || fail "$(cat "$T/bad")"
	report
}

@test "trace: on a terminal each answer fits 80 columns, and a bat's history a page" {
	for call in B0635 B0513 "B0635 --sharing --by handle" "--dossier M26-07" "--dossier --every --from 2027-08-01" --dry M26-07 K26-06 T061 H034; do
		# shellcheck disable=SC2086
		on_terminal 80 wy-trace $S $call $book || fail "$call: status $?"
		# the operand comes first
		wide=$(LC_ALL=C.UTF-8 awk 'length($0) > 80 { n++ } END { print n + 0 }' "$T/screen")
		[ "$wide" = 0 ] || fail "$call: $wide lines wider than 80: $(LC_ALL=C.UTF-8 awk 'length($0) > 80' "$T/screen" | head -n 1)"
		[ "$(wc -l <"$T/screen")" -gt 8 ] || fail "$call: no answer: $(cat "$T/screen")"
		[ "$call" != B0635 ] || [ "$(wc -l <"$T/screen")" -le 72 ] || fail "$call: $(wc -l <"$T/screen") lines"
	done
	report
}

@test "trace: what a buyer keeps, and what is missing" {
	status 0 wy-trace --dossier --every --no-header --columns=lot,tree,pieces,supplier,grew_in,licence,missing "$C/pool.wy"
	printf '%s\t%s\t%s\t%s\t%s\t%s\t%s\n' L061 T061 30 hale P12 FL-7 species L062 T062 20 hale P12 '' 'species, licence' H07 '' 9 rattan '' '' 'species, origin' |
		diff - "$T/out" >"$T/diff" || fail "pool: $(cat "$T/diff")"
	status 0 wy-trace $S --dossier --every --as=text $book
	grep -q 'decided by local law' "$T/out" || fail 'no caution'
	status 0 wy-trace $S --dossier --every --from=2027-08-01 --to=2027-09-30 --no-header --columns=lot $book
	printf '%s\n' C016 L103 L104 | cmp - "$T/out" >&2 || fail 'the days of coming in'
	# opening stock says neither supplier nor paper
	status 0 wy-trace $S --dossier --no-header --columns=lot,missing B0405 $book
	printf '%s\t%s\n' N25-07 'supplier, origin, paper' J007 'supplier, origin, paper' | cmp - "$T/out" >&2 || fail "opening stock: $(cat "$T/out")"
	report
}

@test "trace: neither the order of lines nor that of files shows" {
	for id in B2 1-2 K1 "B2 --as=dot" "1-2 --as=dot"; do
		# shellcheck disable=SC2086
		wy-trace --as=json $id "$C/mixed.wy" >"$T/want"
		awk -v seed=5 -v times=8 -v out="$T/s" -f tests/lib/shuffle.awk "$C/mixed.wy"
		for n in 1 2 3 4 5 6 7 8; do
			# shellcheck disable=SC2086
			wy-trace --as=json $id "$T/s.$n" | cmp -s - "$T/want" || fail "$id: another order, another answer"
		done
	done
	for call in B0635 M26-07 "B0635 --sharing" "B0635 --as=dot" "--dry" "--dossier --every"; do
		# shellcheck disable=SC2086
		wy-trace $S $call $book >"$T/want"
		tac samples/book/2026b.wy >"$T/b.wy"
		tac samples/book/2027b.wy >"$T/d.wy"
		# shellcheck disable=SC2086
		wy-trace $S $call "$T/d.wy" samples/book/2027a.wy "$T/b.wy" samples/book/2026a.wy | cmp -s - "$T/want" || fail "$call"
	done
	report
}

@test "trace: a bat of which no line says what it was made of has no blade and no day of making, also with a new handle" {
	cat >"$T/found.wy" <<-'END'
	2026-07-09 tally B900 at=shop form=bat type=SH grade=1 count=1 found=1
	2026-07-10 tally H001 at=shop form=handle type=HS count=3 found=3
	END
	status 0 wy-trace --as=text --on=2026-07-20 B900 "$T/found.wy"
	grep -qxF 'B900 is a bat, SH grade 1; no line says what it was made of. It is in shop, since 2026-07-09.' "$T/out" || fail "$(head -n 1 "$T/out")"
	echo '2026-07-11 rehandle B900 handle=H001 at=shop cull=test:1' >>"$T/found.wy"
	status 0 wy-trace --as=text --on=2026-07-20 B900 "$T/found.wy"
	grep -q '^B900 is a bat, SH grade 1; no line says what it was made of; its handle now is of H001\. ' "$T/out" || fail "$(head -n 1 "$T/out")"
	# made and given another handle on one day, whichever of the two lines is sorted first
	for handle in H001 H002 H003 H004; do
		cat >"$T/made.wy" <<-END
		2026-07-09 tally L001 at=shop form=blade type=SH grade=1 count=1 found=1
		2026-07-09 tally H000 at=shop form=handle type=HS count=1 found=1
		2026-07-09 tally $handle at=shop form=handle type=HS count=1 found=1
		2026-07-10 make B1 blade=L001 handle=H000 at=shop
		2026-07-10 rehandle B1 handle=$handle at=shop cull=test:1
		END
		status 0 wy-trace --as=text --on=2026-07-20 B1 "$T/made.wy"
		grep -q "^B1 is a bat, SH grade 1, made on 2026-07-10 of a blade of L001 and a handle of H000; its handle now is of $handle\\. " "$T/out" ||
			fail "$(head -n 1 "$T/out")"
	done
	report
}

@test "trace: a lot is there since its pieces became it, not since its tree was felled or its parents came in" {
	cat >"$T/lots.wy" <<-'END'
	2026-07-02 fell T002 from=hale
	2026-07-03 cleave L002 tree=T002 count=SH:40 into=yard/a
	2026-07-04 cleave L002 tree=T002 count=SH:2 into=yard/a
	2026-07-05 buy L003 form=cleft count=SH:5 into=yard/a
	2026-07-09 pool P001 lot=L002:42,L003:5 at=yard/a
	END
	for want in "L002 is a lot of 42 pieces, since 2026-07-03." "L003 is a lot of 5 pieces, since 2026-07-05." \
		"P001 is a lot of 47 pieces, since 2026-07-09." "T002 is a tree of 42 clefts, felled on 2026-07-02."; do
		status 0 wy-trace --as=text --on=2026-07-20 "${want%% *}" "$T/lots.wy"
		[[ $(head -n 1 "$T/out") = "$want "* ]] || fail "$want $(head -n 1 "$T/out")"
	done
	report
}

@test "trace: exit statuses and messages" {
	cat >"$T/both.wy" <<-'END'
	2026-03-02 buy X1 form=cleft count=SH:9 into=yd
	2026-03-03 buy L1 form=cleft count=SH:9 into=yd
	2026-03-04 load X1 kiln=ka lot=L1 at=yd count=9
	END
	printf '2026-03-02 fell T1\n2026-03-03 cleave L1 tree=T1 count=9 into=yd\n2026-03-04 scrap L1 at=yd cull=knot:10\n' >"$T/off.wy"
	printf '2026-03-02 fell T1\nbad\n' >"$T/bad.wy"
	while IFS='|' read -r want call say; do
		# shellcheck disable=SC2086
		status "$want" wy-trace $call
		cat "$T/err" "$T/out" | grep -qF -e "$say" || fail "$call: $(cat "$T/err")"
	done <<-END
		1|L2 $T/both.wy|perhaps L1?
		1|l1 $T/both.wy|perhaps L1?
		1|Q-99999 $T/both.wy|check the ID and --on
		2|X1 $T/both.wy|X1 is a lot and a charge; add --kind=lot or --kind=charge
		0|--kind=lot --as=text X1 $T/both.wy|X1 is a lot of 9 pieces
		0|--kind=charge --as=text X1 $T/both.wy|X1 is a charge of 9 pieces, loaded on 2026-03-04
		1|--kind=bat X1 $T/both.wy|X1 is not a bat in this book; leave --kind out
		1|--on=2026-03-01 X1 $T/both.wy|the book has no 'X1' by 2026-03-01
		1|--as=text L1 $T/off.wy|L1 is a lot of 9 pieces
		1|--as=text T1 $T/off.wy|T1 is a tree of 9 clefts, felled on 2026-03-02
		1|T1 $T/bad.wy|so nothing is printed
		1|--without-bad --as=text T1 $T/bad.wy|T1 is a tree of 0 clefts
		2||name the ID
		2|L1 $T/none.wy|cannot read
		2|--by=tree L1 $T/both.wy|--by needs --sharing; add it
		2|--sharing --by=bat L1 $T/both.wy|bat
		2|--under=8% L1 $T/both.wy|--under needs --dry; add it
		2|--every L1 $T/both.wy|--every needs --dossier; add it
		2|--dossier --from=2026-01-01 L1 $T/both.wy|--from needs --dossier --every; add it
		2|--dry --sharing L1 $T/both.wy|choose one
		2|--dry --as=dot|--as=dot draws the pedigree
		2|--dry $T/both.wy|name the floor, such as --under=8%
		2|--dry --under=8 $T/both.wy|write it as --under=8%
		2|--dry --under=0% $T/both.wy|write it as --under=8%
		1|--dry --under=8% --as=text $T/both.wy|No piece was read under 8.0 %.
		2|--as=svg L1 $T/both.wy|svg
		2|--columns=nothing L1 $T/both.wy|nothing
		2|--dossier --every --from=2026-02-01 --to=2026-01-01 $T/both.wy|no day lies between them
	END
	report
}

@test "trace: every form; standard input; an empty book" {
	for form in text tsv csv md html json dot; do
		status 0 wy-trace --as=$form B0601 "$C/pool.wy"
		cp "$T/out" "$T/want"
		status 0 wy-trace --as=$form B0601 <"$C/pool.wy"
		same "$T/want" "$form from standard input"
		status 0 wy-trace --as=$form B0601 - <"$C/pool.wy"
		same "$T/want" "$form from -"
	done
	jq -e '.origin and .way and .places and .moisture and .shares and .notes' >/dev/null < <(wy-trace --as=json B0601 "$C/pool.wy") || fail 'tables of json'
	status 0 wy-trace --dossier --no-header --columns=lot,tree B0601 "$C/pool.wy"
	printf 'L061\tT061\nL062\tT062\nH07\t\n' | cmp - "$T/out" >&2 || fail 'columns'
	status 1 wy-trace B0601 /dev/null
	status 1 wy-trace --dossier --every /dev/null
	report
}
