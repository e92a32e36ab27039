# wy-moist: which readings count, how they are corrected, its options and how it ends. That any cut
# of a book merges to the same answer is in group.bats; the formulas are in tests/outside/moisture.c.

load lib/common
load lib/screen

setup() {
	at_root
	C=tests/cases/moist/book.wy
	H=tests/cases/moist/house.yaml
}

# cell ROW COLUMN: one cell of $T/out; ROW is how the row starts, its cells parted by a comma
cell() {
	awk -F'\t' -v row="$1" -v name="$2" '
		NR == 1 { for (i = 1; i <= NF; i++) if ($i == name) at = i; next }
		{ line = $0 "\t"; gsub("\t", ",", line) }
		index(line, row ",") == 1 { print at ? $at : "no column " name; found = 1 }
		END { if (!found) print "no row " row }' "$T/out"
}

# cells: reads rows `ROW|COLUMN|WANTED` and names each that differs
cells() {
	wrong=0
	while IFS='|' read -r row column want; do
		got=$(cell "$row" "$column")
		[ "$got" = "$want" ] || { echo "$row $column: '$got', not '$want'"; wrong=1; }
	done
	[ "$wrong" = 0 ]
}

# The house takes one point off for each 10 C above 20, and from July has the line 0.5 + 0.95 x.
@test "moist: every column, reckoned by hand" {
	status 0 wy-moist -H "$H" "$C"
	[ "$(wc -l <"$T/out")" = 9 ]
	# a 10.2 - 1 of two on one day, b 11.5 - 1, c 10.4 - 1; two at random of the 12th are past; the oven's piece is gone
	cells <<-'END'
	K1,blade|n_readings|13
	K1,blade|n_unread|1
	K1,blade|n_pieces|3
	K1,blade|n_above|0
	K1,blade|mc_mean_pct|9.7
	K1,blade|mc_sd_pct|0.7
	K1,blade|driest_pct|9.2
	K1,blade|driest|K1 a 2026-06-28
	K1,blade|wettest_pct|10.5
	K1,blade|wettest|K1 b 2026-06-28
	K1,blade|n_judged|3
	K1,blade|share_in_band|0.6666666666666666
	K1,blade|last|2026-06-28
	K1,blade|rule|pin2: 1 points per 10 C above 20 C
	yard/b1,blade|n_readings|3
	yard/b1,blade|n_unread|1
	yard/b1,blade|n_pieces|3
	yard/b1,blade|n_above|1
	yard/b1,blade|mc_mean_pct|24
	yard/b1,blade|wettest_pct|30
	yard/b1,blade|wettest|L1 at yard/b1 2026-04-22 or above
	yard/b1,blade|n_judged|0
	yard/b1,blade|share_in_band|
	yard/b1,blade|share_low|
	store/r1,blade|n_readings|5
	store/r1,blade|n_pieces|3
	store/r1,blade|wettest_pct|11.9
	store/r1,blade|last|2026-10-01
	cane,handle|n_pieces|4
	cane,handle|n_below|1
	cane,handle|driest_pct|6
	cane,handle|driest|H1 at cane 2026-08-03 or below
	cane,handle|n_judged|4
	cane,handle|share_in_band|0.75
	shop,blade|n_readings|2
	shop,blade|n_pieces|1
	shop,blade|n_uncorrected|1
	shop,blade|mc_mean_pct|12
	shop,blade|rule|uncorrected
	shop,handle|n_doubtful|1
	shop,handle|n_judged|0
	,blade|n_pieces|2
	,blade|wettest|L1/02 2026-07-08
	,blade|wettest_pct|10
	,handle|driest|B1 handle 2027-02-12
	END
	# Wilson's interval for 2 of 3, z = 1.96 (NIST/SEMATECH e-Handbook 7.2.4.1)
	[ "$(cell K1,blade share_low | cut -c1-6) $(cell K1,blade share_high | cut -c1-6)" = "0.2076 0.9385" ]
}

@test "moist: a probe that is put into another lot is a piece of that one" {
	status 0 wy-moist -H "$H" --by=lot,charge "$C"
	cells <<-'END'
	L2,K1|n_readings|2
	L2,K1|n_unread|1
	L2,K1|n_pieces|0
	L2,K1|wettest|
	L2,K1|mc_mean_pct|
	L1,K1|n_pieces|3
	L1,K1|n_readings|9
	,K1|n_readings|2
	,K1|n_pieces|0
	H2,|n_pieces|4
	END
	# a blade judged, made into a bat and read again in it is one piece
	status 0 wy-moist -H "$H" --by=part "$C"
	grep -vE 'L1/01|make|probe B1' "$C" >"$T/less.wy"
	pieces=$(cell blade n_pieces)
	status 0 wy-moist -H "$H" --by=part "$T/less.wy"
	[ "$(cell blade n_pieces)" = $((pieces - 2)) ]
	# a lot that handles of bats were taken from is one of handles
	printf '%s\n' '2026-01-01 probe H7 at=cane mc=9%' '2026-02-01 make B7 blade=L7 handle=H7/03 at=shop' >"$T/handles.wy"
	status 0 wy-moist -H "$H" --by=lot,part "$T/handles.wy"
	[ "$(cut -f1,2 "$T/out" | tr '\t\n' ' ;')" = "lot part;H7 handle;" ]
	# untimed, a probe goes in at noon; before that it is in the first lot there is
	printf '%s\n' '2026-01-01 load K9 kiln=north lot=L8 at=yard/b1 count=1' '2026-01-02 probe K9 in=a:L8/SH' \
		'2026-01-02 09:00 probe K9 mc=a:20%' '2026-01-03 probe K9 in=a:L9/SH' '2026-01-03 09:00 probe K9 mc=a:19%' \
		'2026-01-03 13:00 probe K9 mc=a:18%' >"$T/noon.wy"
	status 0 wy-moist -H "$H" --by=lot "$T/noon.wy"
	[ "$(cut -f1,9 "$T/out" | tr '\t\n' ' ;')" = "lot mc_mean_pct;L8 ;L9 18;" ]
	status 0 wy-moist -H "$H" --by=lot --to=2026-01-02 "$T/noon.wy"
	[ "$(cut -f1,9 "$T/out" | tr '\t\n' ' ;')" = "lot mc_mean_pct;L8 20;" ]
	# b was 17 % in L1 and 9 % in L2, where it is now
	printf '%s\n' '2026-07-02 09:00 probe K1 in=a:L1/SH,b:L1/SH mc=a:25%,b:25% wood=20C meter=pin2' \
		'2026-07-12 09:00 probe K1 mc=a:17%,b:17% wood=20C meter=pin2' '2026-07-12 10:00 probe K1 out=b in=b:L2/SH mc=b:17% wood=20C meter=pin2' \
		'2026-08-02 09:00 probe K1 mc=a:9%,b:9% wood=20C meter=pin2' '2026-08-03 09:00 probe K1 out=a,b' >"$T/moved.wy"
	for by in charge lot charge,lot; do
		wy-moist -H "$H" --by=$by --as=json "$T/moved.wy" >"$T/$by"
		jq -c '[.[] | [.lot, .n_readings, .n_pieces, .mc_mean_pct]]' "$T/$by"
	done >"$T/got"
	printf '%s\n' '[[null,7,2,9.05]]' '[["L1",5,1,9.05],["L2",2,1,9.05]]' '[["L1",5,1,9.05],["L2",2,1,9.05]]' | diff - "$T/got"
}

# Whatever the rows are of, they share out the same pieces; those of months are shared out month by month.
@test "moist: every grouping counts the same pieces" {
	shared_out 20000 >"$T/many.wy"
	wrong=0
	while read -r options keys; do
		want=
		for by in $keys; do
			# shellcheck disable=SC2086
			got=$(wy-moist -H "$H" ${options#-} --by="$by" --as=json "$T/many.wy" 2>/dev/null |
				jq -c '[map(.n_readings), map(.n_pieces), map(.n_judged), map(.n_doubtful)] | map(add)')
			[ "${want:=$got}" = "$got" ] || { echo "$options $by: $got, not $want"; wrong=1; }
		done
	done <<-'END'
	- charge lot place part charge,lot place,lot charge,part place,charge,lot,part
	--all charge lot place part charge,lot place,lot charge,part place,charge,lot,part
	- month charge,month lot,month place,charge,lot,part,month
	- day charge,lot,day place,part,day
	END
	[ "$wrong" = 0 ]
}

@test "moist: --all, months and days, --from and --to" {
	status 0 wy-moist -H "$H" --all --by=charge,month "$C"
	cells <<-'END'
	K1,2026-06|n_readings|13
	K1,2026-06|n_pieces|6
	K1,2026-06|n_above|1
	K1,2026-06|n_judged|13
	K1,2026-06|share_low|
	K1,2026-06|driest_pct|9
	K1,2026-06|rule|oven; pin2: 1 points per 10 C above 20 C
	,2026-07|n_pieces|2
	,2026-07|n_uncorrected|1
	END
	# 24, 22, 17, 18, 13, 14, 15, 12.5, 9, 10.5, 9.4, 9.2
	[ "$(cell K1,2026-06 mc_mean_pct | cut -c1-7)" = 14.4666 ]
	status 0 wy-moist -H "$H" --by=charge --to=2026-06-12 "$C"
	cells <<-'END'
	K1|n_pieces|5
	K1|n_above|1
	K1|mc_mean_pct|20.25
	K1|last|2026-06-12
	END
	status 0 wy-moist -H "$H" --by=place,day --from=2026-09-01 "$C"
	[ "$(cut -f1-3 "$T/out" | tr '\t\n' ' ;')" = "place day n_readings; 2027-02-12 2;store/r1 2026-09-01 2;store/r1 2026-10-01 3;" ]
	status 1 wy-moist -H "$H" --from=2028-01-01 "$C"
	[ "$(wc -l <"$T/out")" = 1 ]
}

@test "moist: judged pieces of the sample works are those that awk finds" {
	cat samples/book/2026*.wy >"$T/book.wy"
	# before the works' own line: 0.9 points off for each 10 C above 20, the last of each piece
	awk '$3 == "judge" && / mc=[0-9.]+%/ && / wood=/ && $1 < "2026-12-01" {
		m = w = $0; sub(/.* mc=/, "", m); sub(/.* wood=/, "", w)
		k = $4; if ($1 $2 >= at[k]) { at[k] = $1 $2; mc[k] = m - 0.09 * (w - 20); lot[k] = k; sub(/\/.*/, "", lot[k]) }
	} END { for (k in mc) { n[lot[k]]++; sum[lot[k]] += mc[k] } for (l in n) printf "%s\t%d\t%.6f\n", l, n[l], sum[l] / n[l] }' "$T/book.wy" |
		LC_ALL=C sort >"$T/want"
	[ "$(wc -l <"$T/want")" -gt 5 ]
	wy-pick -H samples/house.yaml event=judge "$T/book.wy" | wy-moist -H samples/house.yaml --by=lot --to=2026-11-30 |
		awk -F'\t' 'NR > 1 && $7 == 0 { printf "%s\t%d\t%.6f\n", $1, $4, $9 }' | cmp - "$T/want"
}

# near: as cells, each to within half of the wanted figure's last place
near() {
	wrong=0
	while IFS='|' read -r row column want; do
		got=$(cell "$row" "$column")
		awk -v got="$got" -v want="$want" 'BEGIN {
			places = index(want, ".") ? length(want) - index(want, ".") : 0
			d = got - want; exit !(got ~ /^-?[0-9]/ && d * d <= (0.5001 / 10 ^ places) ^ 2) }' ||
			{ echo "$row $column: '$got', not '$want'"; wrong=1; }
	done
	[ "$wrong" = 0 ]
}

# 8 9 10 11: mean 9.5, sd sqrt(5/3) = 1.290994. Of four pieces at 90/95: k1 4.161933, k2 5.368071
# (ISO 16269-6), the mean within 1.591223 sd (t table: NIST/SEMATECH 1.3.6.7.2, 3.182446 / 2), 5.23 %
# sure that their ends cover 90 % (1 - 4 * 0.9^3 + 3 * 0.9^4).
@test "moist: drying quality, its limits and what four pieces assure" {
	V=tests/cases/moist/views.wy
	status 0 wy-moist -H "$H" --quality --by=lot --share=90% --sure=95% "$V"
	near <<-'END'
	L1|target_pct|9
	L1|mc_mean_pct|9.5
	L1|mean_low_pct|7.445740
	L1|mean_high_pct|11.554260
	L1|share_above_pct|4.12697
	L1|share_below_pct|14.87303
	L1|share_low_pct|2.56985
	L1|share_high_pct|16.43015
	L1|free_sure|0.0523
	L1|piece_least_pct|6.3
	L1|piece_most_pct|11.7
	END
	cells <<-'END'
	L1|verdict|within
	L1|why|mean of 4 within 8.0..10.0; 4 of 4 within 6.3..11.7
	L1|limits|EN 14298, those of the mean from memory
	L2|verdict|unjudged
	L2|why|it has no target; --target says one
	L2|share_assured|
	END
	# EN 14298, as quoted: 8 % has 7.0-9.0 for the mean and 5.6-10.4 for pieces; 12 % 10.5-13.5; 16 % 13.5-18.0
	status 0 wy-moist -H "$H" --quality --by=lot --target=8% "$V"
	cells <<-'END'
	L2|verdict|outside
	L2|why|mean of 4 within 7.0..9.0; 2 of 4 within 5.6..10.4
	L2|limits|EN 14298
	L3|verdict|outside
	L3|why|1 off the meter's scale, so the mean is not known; 0 of 2 within 5.6..10.4
	L3|mean_low_pct|
	END
	wrong=0
	while read -r target least most first last from; do
		status 0 wy-moist -H "$H" --quality --by=lot --target="$target" "$V"
		near <<-END || wrong=1
		L1|mean_least_pct|$least
		L1|mean_most_pct|$most
		L1|piece_least_pct|$first
		L1|piece_most_pct|$last
		END
		[ "$(cell L1 limits)" = "EN 14298$from" ] || { echo "$target: $(cell L1 limits)"; wrong=1; }
	done <<-'END'
	12% 10.5 13.5 8.4 15.6
	16% 13.5 18.0 11.2 20.8
	14% 12.0 16.0 9.8 18.2 , those of the mean from memory
	END
	status 0 wy-moist -H "$H" --quality --by=lot --target=25% "$V"
	[ "$(cell L1 why)" = "no limits for this target" ]
	# 93.5 % of 31 is 28.985, of 30 28.05, of 200 187
	while read -r n out said; do
		awk -v n="$n" -v out="$out" 'BEGIN { printf "2026-01-05 probe L1 at=shop mc="
			for (i = 1; i <= n; i++) printf "%s%s", (i > 1 ? "," : ""), (i > n - out ? "10.5%" : "8.0%")
			print " wood=20C meter=pin2" }' >"$T/n.wy"
		status 0 wy-moist -H "$H" --quality --by=lot --target=8% "$T/n.wy"
		[ "$(cell L1 verdict)" = "$said" ] || { echo "$out of $n: $(cell L1 verdict)"; wrong=1; }
	done <<-'END'
	31 2 within
	30 2 outside
	200 13 within
	200 14 outside
	END
	[ "$wrong" = 0 ]
}

@test "moist: readings that agree assure no more than a meter can" {
	printf '2026-07-0%s judge C1/0%s mc=10.0%%\n' 1 1 1 2 >"$T/two.wy"
	status 0 wy-moist -H "$H" --quality --by=lot --target=8% --share=90% --sure=95% "$T/two.wy"
	# t(0.975, 1) = 12.7062 and, of n = 2, k2 = 31.0922 (ISO 16269-6, Annex F), by 0.3 points
	cells <<-'END'
	C1|mc_sd_pct|0
	END
	awk -F'\t' 'NR == 1 { for (i = 1; i <= NF; i++) at[$i] = i; next }
		function off(name, want) { if (($at[name] - want) ^ 2 > 1e-10) { print name ": " $at[name] ", not " want; bad = 1 } }
		{ off("mean_low_pct", 10 - 12.7062 * 0.3 / sqrt(2)); off("share_high_pct", 10 + 31.09222 * 0.3) }
		END { exit bad }' "$T/out"
}

# sample N OUT: a book with N pieces taken at random, OUT of them out of the band 8..10 %
sample() {
	awk -v n="$1" -v out="$2" 'BEGIN { printf "2026-01-05 probe L1 at=store/r1 mc="
		for (i = 1; i <= n; i++) printf "%s%s", (i > 1 ? "," : ""), (i > n - out ? "10.5%" : "9.0%")
		print " wood=20C meter=pin2" }'
}

# 29 46 61 76 89 103 show 90 % at 95 % with 0 to 5 out (1 - 0.9^29 = 0.953; binomial). Clopper and Pearson:
# none of n: 1 - 0.05^(1/n). 3 of 50 0.012548588 and 0.165481947; 4 of 20 at 90 % 0.071354 and 0.401028 (NIST/SEMATECH 7.2.4.1).
@test "moist: how many to read after the kiln, and the verdict on a sample" {
	wrong=0
	sample 29 0 >"$T/n.wy"
	wy-moist -H "$H" --plan --share=90% --sure=95% --as=json "$T/n.wy" >"$T/out"
	[ "$(jq -c '[.plan[].read]' "$T/out")" = "[29,46,61,76,89,103]" ]
	while read -r n out share sure verdict more low high; do
		sample "$n" "$out" >"$T/n.wy"
		wy-moist -H "$H" --plan --by=lot --share="$share" --sure="$sure" --as=json "$T/n.wy" >"$T/out"
		got=$(jq -r '.taken[0] | "\(.verdict | sub(" "; "~")) \(.more) \(.share_out_low * 1e6 | round) \(.share_out_high * 1e6 | round)"' "$T/out")
		case $got in
		"$verdict $more $low $high") ;;
		*) echo "$out of $n: $got"; wrong=1 ;;
		esac
	done <<-'END'
	29 0 90% 95% shown 0 0 98145
	28 0 90% 95% not~shown 1 0 101466
	50 3 90% 97.5% not~shown 35 12549 165482
	20 4 95% 95% refuted 161 71354 401028
	END
	# probes and judged pieces are no sample; what may or may not lie in the band leaves it unjudged
	printf '%s\n' '2026-01-05 probe L1 at=store/r1 mc=a:9.0%,9%+ wood=20C meter=pin2' '2026-01-06 judge L1/01 grade=1 mc=9.0% wood=20C meter=pin2' >"$T/n.wy"
	wy-moist -H "$H" --plan --by=lot --as=json "$T/n.wy" >"$T/out" || wrong=1
	got=$(jq -c '.taken[0] | [.n_at_random, .n_others, .n_untold, .verdict]' "$T/out")
	[ "$got" = '[0,2,1,"no sample"]' ] || { echo "$got"; wrong=1; }
	[ "$wrong" = 0 ]
}

# In pieces 2, 3, 1: mean 2, sd 1, t(0.95, 2) = 2.919986. Of two samples of three with variance 1: 4
# degrees of freedom, t(0.95, 4) = 2.131847, error sqrt(2/3) (t table: NIST/SEMATECH 1.3.6.7.2).
@test "moist: shell and core, clefts and blades" {
	V=tests/cases/moist/views.wy
	status 0 wy-moist -H "$H" --depth --by=charge,lot "$V"
	near <<-'END'
	K2,L4,20|less_shell_pct|2
	K2,L4,20|less_shell_low_pct|0.314146
	K2,L4,20|less_shell_high_pct|3.685854
	K2,L4,20|n_pairs|3
	,L5,20|less_shell_pct|-2
	,L5,20|less_shell_low_pct|-3.740646
	,L5,20|less_shell_high_pct|-0.259354
	,L5,20|n_pairs|0
	END
	cells <<-'END'
	K2,L4,20|meaning|core wetter: it still dries inside
	K2,L4,10|meaning|too few pieces to decide
	K2,L4,5|meaning|
	,L5,20|meaning|shell wetter: it has taken up water, or was conditioned
	END
	[ "$(wc -l <"$T/out")" = 6 ]
	wy-moist -H "$H" --depth --as=text "$V" | grep -q '^Left out because they have no depth: 15\.$'
	# the order of the lines does not matter, nor whether it came by way of a state
	tac "$V" | wy-moist -H "$H" --depth --by=charge,lot | cmp - "$T/out"
	wy-moist -H "$H" --partial "$V" | wy-moist -H "$H" --merge --depth --by=charge,lot | cmp - "$T/out"
	status 1 wy-moist -H "$H" --depth "$C"
	status 0 wy-moist -H "$H" --planing "$V"
	near <<-'END'
	L6|n_clefts|3
	L6|clefts_mean_pct|9
	L6|n_blades|3
	L6|blades_mean_pct|11
	L6|change_pct|2
	L6|change_low_pct|0.259354
	L6|change_high_pct|3.740646
	L6|n_unsaid|1
	END
}

# The house file of the sample works says what its sixteen tests of 2026 gave: a 0.66, b 0.922, sd 0.24.
@test "moist: the line of a meter from its oven tests" {
	status 0 wy-moist -H samples/house.yaml --calibrate --to=2026-12-01 samples/book/2026*.wy
	near <<-'END'
	pin2|n_pairs|16
	pin2|a|0.66
	pin2|b|0.922
	pin2|sd_pct|0.24
	pin2|least_pct|10
	pin2|most_pct|19
	END
	cells <<-'END'
	pin2|first|2026-01-21
	pin2|last|2026-11-19
	pin2|own|- {date: 2026-11-19, a: 0.658, b: 0.9224, pairs: 16, sd: 0.24, span: 10.2..18.8%, middle: 13.7%, b-error: 0.0276}
	END
	# by hand: 8 10 12 and 9 11 11 give b 4/8, a 31/3 - 5, residuals -1/3 2/3 -1/3, sd sqrt(2/3), errors
	# sqrt(2/3) / sqrt(8) and sqrt(2/3) sqrt(1/3 + 100/8), of the line sqrt(2/3) sqrt(1/3 + 0 or 4/8); a of the second was read in wood at 30 C, a point high
	cat >"$T/oven.wy" <<-'END'
	2026-08-01 oven L1 mc=8.0% wood=20C meter=pin2 wet=109g dry=100g cull=test:1
	2026-08-02 oven L1 mc=b:30%+,a:11.0%,c:30%+ wood=30C meter=pin2 wet=a:111g,b:111g,c:140g dry=a:100g,b:100g,c:100g cull=test:3
	2026-08-03 oven L1 mc=12.0% wood=20C meter=pin2 wet=111g dry=100g cull=test:1
	2026-08-04 oven L1 mc=12.0% meter=pin2 wet=111g dry=100g cull=test:1
	2026-08-05 oven L1 mc=12.0% wood=20C meter=pin2/cane wet=111g dry=100g cull=test:1
	END
	status 0 wy-moist -H "$H" --calibrate "$T/oven.wy"
	near <<-'END'
	pin2|n_pairs|3
	pin2|n_left_out|3
	pin2|n_lacking|7
	pin2|a|5.333333
	pin2|b|0.5
	pin2|sd_pct|0.816497
	pin2|b_error|0.288675
	pin2|a_error|2.924988
	pin2|middle_pct|10
	pin2|middle_error_pct|0.471405
	pin2|least_error_pct|0.745356
	pin2|most_error_pct|0.745356
	pin2/cane|n_pairs|1
	pin2/cane|n_lacking|9
	END
	cells <<-'END'
	pin2|own|
	pin2/cane|a|
	END
	# what it prints is a line that the house file takes
	own=$(wy-moist -H samples/house.yaml --calibrate --to=2026-12-01 --no-header samples/book/2026*.wy | cut -f18)
	awk -v own="$own" '/date: 2026-12-01/ { print "      " own; next } { print }' samples/house.yaml >"$T/house.yaml"
	grep -qF 'b: 0.9224' "$T/house.yaml"
	wy-moist -H "$T/house.yaml" --to=2027-01-31 --by=part samples/book/*.wy >"$T/out"
	grep -q '0.9224 x reading' "$T/out"
	status 1 wy-moist -H "$H" --calibrate tests/cases/moist/views.wy
}

# A line without a slope error of 16 pairs, sd 0.4, so a standard error of 0.1 everywhere, with 14 degrees of freedom:
# t(0.95, 14) = 1.76131, t(0.975, 14) = 2.144787 (t table: NIST/SEMATECH 1.3.6.7.2).
@test "moist: the error of the meter's own line is in every interval and verdict" {
	sed 's/own: .*/own: [{from: 2026-01-01, date: 2026-01-01, a: 0, b: 1, pairs: 16, sd: 0.4, span: 9..18%, middle: 12%, b-error: 0}]/' "$H" >"$T/house.yaml"
	grep -q 'b-error' "$T/house.yaml"
	book() { printf '2026-01-05 probe L1 at=store/r1 mc=%s wood=20C meter=pin2\n' "$1" >"$T/n.wy"; }
	# the mean 9.5 of four, sd 1.290994: variances 5/12 with 3 degrees of freedom and 0.01 with 14, by Satterthwaite 3.14534
	book 8.0%,9.0%,10.0%,11.0%
	status 0 wy-moist -H "$T/house.yaml" --quality --by=lot "$T/n.wy"
	near <<-'END'
	L1|mc_mean_pct|9.5
	L1|line_error_pct|0.176131
	L1|n_beyond|1
	L1|mean_beyond_pct|0
	END
	# R: qt(0.95, 3.14534) = 2.309686
	near <<-END
	L1|mean_high_pct|$(awk 'BEGIN { printf "%.5f", 9.5 + 2.309686 * sqrt(5 / 12 + 0.01) }')
	END
	# limits of the mean 8 to 10, line off by 0.176: each mean, the verdict and the reason
	while IFS='|' read -r mc verdict why; do
		book "$mc"
		status 0 wy-moist -H "$T/house.yaml" --quality --by=lot "$T/n.wy"
		[ "$(cell L1 verdict)" = "$verdict" ] || fail "$mc: $(cell L1 verdict), not $verdict"
		cell L1 why | grep -q -- "$why" || fail "$mc: $(cell L1 why)"
	done <<-'END'
		9.8%,9.8%|within|^mean of 2 within 8.0..10.0; 2 of 2 within 6.3..11.7$
		9.9%,9.9%|doubtful|another if the meter's line is off by 0.18$
		10.1%,10.1%|doubtful|mean of 2 above
		10.2%,10.2%|outside|mean of 2 above
		8.1%,8.1%|doubtful|off by 0.18; mean 0.9 below the pairs of the line$
		7.8%,7.8%|outside|; mean 1.2 below the pairs of the line$
		19.5%,19.5%|outside|; mean 1.5 above the pairs of the line$
	END
	status 0 wy-moist -H "$T/house.yaml" --quality --by=lot --as=text "$T/n.wy"
	grep -q '^pin2: 2 readings lie beyond the pairs of its line (9.0 to 18.0 %), up to 19.5 %\. .*Take pairs there' "$T/out" || fail 'no caution'
	# a line of one pair says next to nothing, and an open span is written as one
	while IFS='|' read -r line verdict note; do
		sed "s/own: .*/own: [{from: 2026-01-01, date: 2026-01-01, a: 0, b: 1, $line}]/" "$H" >"$T/odd.yaml"
		book 9.5%,9.5%
		wy-moist -H "$T/odd.yaml" --quality --by=lot --as=text "$T/n.wy" >"$T/out" 2>"$T/err" || fail "$line: status $?"
		grep -q "^L1 .* $verdict " "$T/out" && grep -qF "$note" "$T/out" || fail "$line: $(cat "$T/out")"
	done <<-'END'
		pairs: 0, sd: 0.4|doubtful|if the meter's line is off by 2.53
		pairs: 12, sd: 0.4, span: ..9%|within|beyond the pairs of its line (up to 9.0 %), up to 9.5 %.
		pairs: 12, sd: 0.4, span: 9.7%..|within|beyond the pairs of its line (from 9.7 %), down to 9.5 %.
	END
	# share in band 8 to 10: one of two at 9.9 and 10.1, or both, or none; Wilson of 0 of 2 and 2 of 2
	book 9.9%,10.1%
	status 0 wy-moist -H "$T/house.yaml" --by=lot "$T/n.wy"
	near <<-'END'
	L1|share_in_band|0.5
	L1|share_low|0
	L1|share_high|1
	END
	# of 29 at random all in the band show 90 % at 95 %, but not those that a line may put out of it
	mc=$(yes 9.5% | head -n 29 | paste -sd,)
	for end in '9.5%|shown|0' '9.9%|doubtful|29'; do
		book "$(echo "$mc" | sed "s/9.5%/${end%%|*}/g")"
		wy-moist -H "$T/house.yaml" --plan --by=lot --share=90% --sure=95% --as=json "$T/n.wy" >"$T/out"
		got=$(jq -r '.taken[0] | "\(.verdict) \(.more > 0) \(.share_out_high < 0.1)"' "$T/out")
		case $end in
		*shown*) want='shown false true' ;;
		*) want='doubtful true false' ;;
		esac
		[ "$got" = "$want" ] || fail "$end: $got"
	done
	# a difference by one line is off by the slope alone: 2 points by a slope of 1 with an error of 0.05
	V=tests/cases/moist/views.wy
	wy-moist -H "$T/house.yaml" --depth --by=charge,lot "$V" >"$T/out"
	near <<-'END'
	K2,L4,20|less_shell_low_pct|0.314146
	END
	sed 's/b-error: 0}/b-error: 0.05}/' "$T/house.yaml" >"$T/slope.yaml"
	wy-moist -H "$T/slope.yaml" --depth --by=charge,lot "$V" >"$T/out"
	near <<-END
	K2,L4,20|less_shell_low_pct|$(awk 'BEGIN { printf "%.6f", 2 - sqrt((2 - 0.314146) ^ 2 + (1.76131 * 0.05 * 2) ^ 2) }')
	END
	report
}

@test "moist: without a house nothing is corrected or judged" {
	(cd "$T" && wy-moist --by=charge "$OLDPWD/$C") >"$T/out"
	cells <<-'END'
	K1|n_uncorrected|3
	K1|mc_mean_pct|10.7
	K1|n_judged|0
	K1|rule|uncorrected
	END
}

@test "moist: the clock's doubled hour is its second pass, and an offset says which" {
	sed 's/^works:/clock: Pacific\/Auckland\n&/' "$H" >"$T/house.yaml"
	printf '%s\n' '2026-04-05 02:30+13:00 probe K9 in=a:L8/SH mc=a:20%' '2026-04-05 02:10 probe K9 mc=a:19%' \
		'2026-04-05 02:40+13:00 probe K9 mc=a:21%' >"$T/autumn.wy"
	status 0 wy-moist -H "$T/house.yaml" --by=charge "$T/autumn.wy"
	[ "$(cell K9 mc_mean_pct)" = 19 ]
}

@test "moist: every form of the answer" {
	for form in text tsv csv json md html; do
		status 0 wy-moist -H "$H" --all-columns --as=$form "$C"
		grep -q 'K1 a' "$T/out"
	done
	[ "$(wy-moist -H "$H" --as=json --by=part "$C" | jq -c '[.[] | [.part, .n_readings]]')" = '[["blade",27],["handle",7]]' ]
}

@test "moist: wrong use, bad lines, damaged states" {
	bad=0
	while IFS='|' read -r words said; do
		# shellcheck disable=SC2086
		status 2 wy-moist -H "$H" $words "$C" || bad=1
		grep -qF -- "$said" "$T/err" || { echo "$words: $(cat "$T/err")"; bad=1; }
		[ ! -s "$T/out" ] || { echo "$words: an answer"; bad=1; }
	done <<-'END'
	--by=tree|--by accepts place, charge, lot, part, month, day, but not 'tree'
	--by=month,day|month or day, but not both
	--merge|this is not a state
	--quality --plan|choose one
	--all --depth|--all counts readings
	--calibrate --by=lot|leave out --by
	--calibrate --partial|give --calibrate the book instead
	--target=8%|--target needs --quality
	--sure=90%|need --quality, --plan, --depth or --planing
	--quality --target=8|--target='8' is not a moisture content; write --target=8%
	--quality --target=0%|--target='0%' is not a moisture content
	--quality --share=100%|--share=100% must be above 0% and below 100%; no sample can show all
	--quality --sure=often|--sure='often' is not a proportion; write a per cent value such as 90%
	--plan --sure=50%|confidence above 50%, such as --sure=90%
	END
	{ cat "$C"; echo '2026-04-30 10:00 probe K1 mc=a:10'; } >"$T/bad.wy"
	status 1 wy-moist -H "$H" "$T/bad.wy" || bad=1
	[ ! -s "$T/out" ] || bad=1
	status 1 wy-moist -H "$H" --without-bad --by=charge "$T/bad.wy" || bad=1
	[ "$(cell K1 n_readings)" = 13 ] || bad=1
	wy-moist -H "$H" --partial "$C" >"$T/a.state"
	sed '/^reading/s/ [0-9]* \([0-9]*\) 0 0\t/ x \1 0 0\t/' "$T/a.state" >"$T/b.state"
	status 2 wy-moist -H "$H" --merge "$T/b.state" || bad=1
	[ ! -s "$T/out" ] || bad=1
	# a state serves any keys and days
	wy-moist -H "$H" --by=lot,month --to=2026-07-31 "$C" >"$T/want"
	wy-moist -H "$H" --by=lot,month --to=2026-07-31 --merge "$T/a.state" | cmp - "$T/want" || bad=1
	sed 's/per10C: 1.0/per10C: 1.6/' "$H" >"$T/house.yaml"
	status 2 wy-moist -H "$T/house.yaml" --merge "$T/a.state" || bad=1
	grep -q 'use the same options and house file' "$T/err" || bad=1
	[ "$bad" = 0 ]
}

# many N: N readings of ten probes of one charge, at as many moments
many() {
	awk -v n="$1" 'BEGIN {
		print "2026-01-01 load K1 kiln=north lot=L1 at=yard/b1 count=30"
		for (i = 0; i < n; i++)
			printf "%04d-%02d-%02d %02d:%02d:%02d probe K1 mc=p%d:%.1f%% wood=20C meter=pin2\n", 2000 + int(i / 6720) % 20,
				1 + int(i / 560) % 12, 1 + int(i / 20) % 28, i % 20, int(i / 134400), i % 60, i % 10, 7 + i % 200 / 10
	}'
}

# Thousands of readings of each probe or three times as many: memory follows the probes. No clock is looked at.
@test "moist: a longer book takes no more memory, and a probe more does" {
	${CC:-cc} -O2 -o "$T/best" tests/bench/best.c
	# the sanitizer keeps what was freed for a while, which is not the program's
	ASAN_OPTIONS=${ASAN_OPTIONS:+$ASAN_OPTIONS:}quarantine_size_mb=0
	export ASAN_OPTIONS
	# each is worth all workers
	many 100000 >"$T/short.wy"
	many 300000 >"$T/long.wy"
	wrong=0
	while read -r call; do
		# shellcheck disable=SC2086
		short=$("$T/best" 1 "$bin/wy-moist" -H "$H" $call "$T/short.wy") && long=$("$T/best" 1 "$bin/wy-moist" -H "$H" $call "$T/long.wy") ||
			{ echo "$call: no answer"; wrong=1; }
		# seconds, KB, seconds of the processor
		read -r _ short _ <<<"$short"
		read -r _ long _ <<<"$long"
		# a page may be one of two megabytes
		[ "$long" -le $((short + 3072)) ] || { echo "$call: $short KB, of three times the lines $long KB"; wrong=1; }
	done <<-'END'
	--workers=1
	--all
	--by=lot,part
	--by=charge,month --workers=3
	--plan
	--planing
	END
	# the measure sees what is held: here each reading is of a lot of its own
	awk '{ sub(/probe K1 mc=p[0-9]*:/, "probe X" NR " mc=") } { print }' "$T/long.wy" >"$T/lots.wy"
	read -r _ lots _ <<<"$("$T/best" 1 "$bin/wy-moist" -H "$H" --by=lot "$T/lots.wy")"
	[ "$lots" -gt $((long + 4096)) ] || { echo "300000 lots: $lots KB"; wrong=1; }
	[ "$wrong" = 0 ]
}

# Charges with probes and with samples at random, lots read at random and piece by piece, bats and their blades, in a book of
# so many readings that several threads share them out.
shared_out() {
	awk -v lines="$1" 'BEGIN {
		for (c = 0; c < 40; c++) {
			print "2026-01-01 load K" c " kiln=north lot=L" c " at=yard/b1 count=30"
			print "2026-01-01 probe K" c " in=a:L" c "/SH,b:L" c + 1 "/SH"
			print "2026-02-01 make B" c " blade=L" c "/7 handle=H" c % 3 "/" c " at=store/bats mc=blade:9.1%,handle:8." c % 10 "% wood=20C meter=pin2"
		}
		for (i = 0; i < lines; i++) {
			j = int(i / 5); k = j * 7 % 40; day = sprintf("2026-%02d-%02d", 2 + i % 9, 1 + i % 28); mc = 7 + i * 13 % 170 / 10
			rest = "% wood=" 18 + i % 5 "C meter=pin" 1 + i % 2 (i % 11 || i % 5 == 4 ? "" : " depth=" 5 + i % 3 * 10 "mm")
			if (i % 5 == 0) printf "%s %02d:%02d probe K%d mc=%s:%.1f%s\n", day, i % 24, i % 60, k, i % 2 ? "a" : "b", mc, rest
			else if (i % 5 == 1) printf "%s %02d:%02d probe K%d mc=%.1f%s\n", day, i % 24, i % 60, k, mc, rest
			else if (i % 5 == 2) printf "%s probe L%d at=store/r%d mc=%.1f%s\n", day, k, i % 3, mc, rest
			else if (i % 5 == 3) printf "%s probe B%d at=store/bats mc=%s:%.1f%s\n", day, k, i % 2 ? "blade" : "handle", mc, rest
			else printf "%s judge L%d/%d grade=G1 mc=%.1f%s\n", day, k, j % 30, mc, rest
		}
	}'
}

@test "moist: how many threads share the readings out does not show" {
	shared_out 100000 >"$T/many.wy"
	wrong=0
	while read -r call; do
		# shellcheck disable=SC2086
		wy-moist -H "$H" -w 1 $call "$T/many.wy" >"$T/one" 2>"$T/err" || { echo "$call: $(head -n 1 "$T/err")"; wrong=1; }
		[ "$(wc -l <"$T/one")" -gt 2 ]
		# shellcheck disable=SC2086
		wy-moist -H "$H" -w 3 $call "$T/many.wy" 2>/dev/null | cmp - "$T/one" || { echo "$call: 3 threads"; wrong=1; }
	done <<-'END'
	--by=place,part
	--by=lot,month
	--all --by=part
	--quality --target=9% --by=lot,part
	--depth
	--planing
	END
	wy-moist -H "$H" --by=charge --as=text "$T/many.wy" 2>/dev/null >"$T/one"
	# by way of states, whose readings come in an order of their own
	for n in 0 1 2; do awk -v n=$n 'NR % 3 == n' "$T/many.wy" | wy-moist -H "$H" --partial --by=charge >"$T/$n.part"; done
	wy-moist -H "$H" -w 1 --by=charge --merge --as=text "$T"/[012].part 2>/dev/null | cmp - "$T/one"
	[ "$wrong" = 0 ]
}

@test "moist: without room for a temporary file there is no answer" {
	many 20000 >"$T/many.wy"
	got=0
	# the book is open as the fourth; there is none for a fifth
	sh -c 'exec 3>&-; ulimit -n 4; exec "$@"' sh wy-moist -H "$H" --workers=1 "$T/many.wy" >"$T/out" 2>"$T/err" || got=$?
	[ "$got" = 2 ]
	[ ! -s "$T/out" ]
	grep -q 'cannot hold the readings in a temporary file: ' "$T/err"
	# a book of a works needs none
	sh -c 'exec 3>&-; ulimit -n 4; exec "$@"' sh wy-moist -H "$H" --workers=1 "$C" >"$T/out"
}

# Readings of one piece at one moment that differ in their correction or day alone; and means of many
# pieces, whose last digits would show in which order they were added.
@test "moist: the order of lines does not show where readings tie" {
	awk 'BEGIN {
		print "2026-05-01 load K1 kiln=north lot=L1 at=yard/b1 count=30"
		for (i = 0; i < 40; i++) {
			printf "2026-05-%02d probe K1 mc=p%d:%.1f%% depth=5mm wood=%dC meter=pin2\n", 2 + i % 9, i, 9 + i * 7 % 31 / 10, 20 + i % 3
			printf "2026-06-%02d probe K1 mc=p%d:%.1f%% depth=20mm wood=%dC meter=pin2\n", 2 + i % 9, i, 9 + i * 11 % 37 / 10, 20 + i % 5
		}
		print "2026-07-01 probe K1 mc=p1:12.0% meter=cap1 depth=20mm"
		print "2026-07-01 probe K1 mc=p1:12.0% wood=20C meter=pin2 depth=20mm"
		print "2026-07-01 probe K1 mc=p1:12.0% depth=20mm"
		print "2026-07-02 12:00+13:00 probe K1 mc=p2:11.0% wood=20C meter=pin2"
		print "2026-07-01 23:00Z probe K1 mc=p2:11.0% wood=20C meter=pin2"
	}' >"$T/ties.wy"
	awk -v seed=1 -v times=6 -v out="$T/mixed" -f tests/lib/shuffle.awk "$T/ties.wy"
	wrong=0
	while read -r call; do
		# shellcheck disable=SC2086
		status 0 wy-moist -H "$H" $call "$T/ties.wy" || wrong=1
		cp "$T/out" "$T/want"
		for i in 1 2 3 4 5 6; do
			# shellcheck disable=SC2086
			wy-moist -H "$H" $call "$T/mixed.$i" | cmp - "$T/want" || { echo "$call: order $i"; wrong=1; }
		done
	done <<-'END'
	--by=charge
	--by=lot,part
	--depth --by=charge
	--depth --by=place,part
	--plan --by=lot
	--quality --by=day
	END
	[ "$wrong" = 0 ]
}

@test "moist: the examples of the page run" {
	mkdir "$T/works"
	cp "$C" "$H" "$T/works"
	grep '^\.Dl ' tools/wy-moist.1 | sed 's/^\.Dl //; s/\\e/\\/g; s/\\(dq/"/g' >"$T/examples"
	[ "$(wc -l <"$T/examples")" = 4 ]
	bad=0
	while IFS= read -r example; do
		(cd "$T/works" && sh -c "$example") >"$T/out" 2>"$T/err" || { echo "$example: $(cat "$T/err")"; bad=1; }
		[ "$(wc -l <"$T/out")" -gt 1 ] || { echo "$example: no answer"; bad=1; }
	done <"$T/examples"
	[ "$bad" = 0 ]
}

@test "moist: every answer on the sample book fits a terminal of 80 columns" {
	cd samples
	while read -r call; do
		fits "wy-moist -b $call"
	done <<-'END'

	--by=charge
	--by=lot,part
	--by=charge,lot,month
	--by=charge,lot,part,day
	--by=place,charge,lot,part,day
	--all
	--all --by=place,lot,month
	--quality
	--quality --by=charge,lot --target=9%
	--quality --by=lot,month
	--plan
	--plan --by=lot,part,month --share=80%
	--depth
	--depth --by=charge,month
	--planing
	--planing --by=lot,part
	--calibrate
	END
	report
}

@test "moist: a mean without the readings off the scale has their number beside it" {
	printf '%s\n' '2026-06-01 probe L1 at=yard mc=30%+,22%,24% wood=20C meter=pin2' '2026-06-02 probe L2 at=yard mc=20% wood=20C meter=pin2' >"$T/off.wy"
	wy-moist --by lot --as=text "$T/off.wy" >"$T/out"
	grep -q '^lot  *pieces  *above scale  *mean, %' "$T/out" || fail "$(cat "$T/out")"
	grep -qE '^L1 +3 +1 ' "$T/out" || fail "$(cat "$T/out")"
	grep -q '^Above or below scale: readings such as 30%+' "$T/out" || fail "no note"
	grep -v L1 "$T/off.wy" >"$T/on.wy"
	wy-moist --by lot --as=text "$T/on.wy" >"$T/out"
	grep -q 'scale' "$T/out" && fail "a sign without cause: $(cat "$T/out")"
	report
}

@test "moist: an answer for reading begins with its finding" {
	V=tests/cases/moist/views.wy
	while IFS='|' read -r call said; do
		# shellcheck disable=SC2086
		wy-moist -H "$H" $call --as=text >"$T/out" || fail "$call: status"
		grep -qxF -- "$said" "$T/out" || fail "$call: $(head -n 2 "$T/out")"
		# shellcheck disable=SC2086
		wy-moist -H "$H" $call --as=tsv | grep -qF -- "$said" && fail "$call: tsv has a finding"
		# shellcheck disable=SC2086
		wy-moist -H "$H" $call --as=html | grep -qF -- "<p class=\"finding\">$said" || fail "$call: html has none"
	done <<-END
	--by=charge --from=2026-06-28 --to=2026-06-30 $C|9.7 % on average, 9.2 to 10.5 %; 2 of 3 pieces in the band (21 to 94 % of all, with 95 % confidence); read from 2026-06-28 to 2026-06-30.
	--by=part $C|9 of 13 pieces in the band; read up to 2027-02-12.
	--all --by=charge --to=2026-06-12 $C|0 of 5 readings in the band; read up to 2026-06-12.
	--quality --by=lot $V|1 of 6 rows within the limits; 1 outside, 4 not judged.
	--plan $V|Read 22 pieces taken at random: if none is out of band, at least 90 % of all conform, with 90 % confidence.
	--depth $V|The core is wetter than the shell in 1 of 2 comparisons.
	--planing $V|Blades are wetter than their clefts in 1 of 1 comparison, drier in 0.
	--calibrate -H samples/house.yaml --to=2026-12-01 samples/book/2026a.wy samples/book/2026b.wy|pin2: MC = 0.66 + 0.922 x reading, good to 0.24 points for a piece (one standard deviation), from 16 pairs; the line itself to 0.06 at 13.7 % and 0.15 at its worse end.
	END
	report
}
