# wy-moist: which readings count, how they are corrected, its options and how it ends. That any cut
# of a book merges to the same answer is in group.bats; the formulas are in tests/outside/moisture.c.

bats_require_minimum_version 1.5.0

setup() {
	cd "$BATS_TEST_DIRNAME/.." || return
	bin=${WITHY_BIN:-$PWD/build/bin}
	PATH="$bin:$PATH"
	T=$BATS_TEST_TMPDIR
	C=tests/cases/moist/book.wy
	H=tests/cases/moist/house.yaml
	unset WITHY_HOUSE
}

status() {
	want=$1
	shift
	got=0
	"$@" >"$T/out" 2>"$T/err" || got=$?
	[ "$got" = "$want" ] || { echo "$*: status $got, not $want"; cat "$T/err"; return 1; }
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
	shop,blade|n_pieces|2
	shop,blade|n_uncorrected|1
	shop,blade|mc_mean_pct|11
	shop,blade|rule|pin2: 1 points per 10 C above 20 C, then 0.5 + 0.95 x reading; uncorrected
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

@test "moist: a probe that is put into another lot is another piece" {
	status 0 wy-moist -H "$H" --by=lot,charge "$C"
	cells <<-'END'
	L2,K1|n_readings|2
	L2,K1|n_unread|1
	L2,K1|n_pieces|1
	L2,K1|wettest|K1 c 2026-06-09
	L2,K1|mc_mean_pct|22
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
	[ "$(cut -f1,9 "$T/out" | tr '\t\n' ' ;')" = "lot mc_mean_pct;L8 19;L9 18;" ]
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
		status 0 wy-moist -H "$H" --as=$form "$C"
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
	--by=tree|--by knows place, charge, lot, part, month, day and not 'tree'
	--by=month,day|month or day and not both
	--merge|this is no state
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
	grep -q 'give the same options and house file' "$T/err" || bad=1
	[ "$bad" = 0 ]
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
