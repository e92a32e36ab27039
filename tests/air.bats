# wy-air: what it counts, its options and how it ends. That any cut of a book merges to the same
# answer is in group.bats; the EMC's own figures are in tests/outside.

load lib/common
load lib/screen

setup() {
	at_root
	C=tests/cases/air/book.wy
	H=tests/cases/air/house.yaml
}

# cell ROW-PATTERN COLUMN: one cell of $T/out, found by the names of the columns
cell() {
	awk -F'\t' -v row="$1" -v name="$2" '
		NR == 1 { for (i = 1; i <= NF; i++) if ($i == name) at = i }
		NR > 1 && index($0, row) == 1 { print at ? $at : "no column " name; found = 1 }
		END { if (!found) print "no row " row }' "$T/out"
}

@test "air: every column, reckoned by hand" {
	status 0 wy-air -H "$H" "$C"
	[ "$(wc -l <"$T/out")" = 6 ]
	tab=$(printf '\t')
	bad=0
	# EMCs at 20 C: 30 % and 55 % and so on are facts of the Wood Handbook's equation (tests/outside/emc.c)
	while IFS='|' read -r row column want; do
		got=$(cell "$(echo "$row" | tr ' ' "$tab")" "$column")
		[ "$got" = "$want" ] || { echo "$row $column: '$got', not '$want'"; bad=1; }
	done <<-'END'
	north 2026-03|n|2
	north 2026-03|temp_n|2
	north 2026-03|temp_mean_c|21
	north 2026-03|temp_sd_c|1.414213562373095
	north 2026-03|temp_min_c|20
	north 2026-03|temp_max_c|22
	north 2026-03|rh_mean_pct|55
	north 2026-03|rh_in_band_share|
	north 2026-03|emc_mean_pct|10.1035
	north 2026-03|emc_min_pct|9.2711
	north 2026-03|emc_max_pct|10.9359
	north 2026-04|n|5
	north 2026-04|temp_n|4
	north 2026-04|temp_mean_c|20
	north 2026-04|rh_n|3
	north 2026-04|rh_wetbulb_n|2
	north 2026-04|rh_min_pct|40.5
	north 2026-04|rh_max_pct|100
	north 2026-04|emc_n|3
	store/r1 2026-03|temp_sd_c|
	store/r1 2026-03|rh_in_band_share|1
	store/r1 2026-03|emc_max_pct|10.1013
	store/r1 2026-03|emc_in_target_share|0
	store/r1 2026-04|n|4
	store/r1 2026-04|temp_n|3
	store/r1 2026-04|rh_n|3
	store/r1 2026-04|rh_mean_pct|51
	store/r1 2026-04|rh_in_band_share|0.6666666666666666
	store/r1 2026-04|emc_n|2
	store/r1 2026-04|emc_min_pct|8.4852
	store/r1 2026-04|emc_max_pct|9.2711
	store/r1 2026-04|emc_in_target_share|1
	yard/b1 2026-04|temp_min_c|-2
	END
	[ "$bad" = 0 ]
	# the humidity and the EMC that wy-reckon finds for the same wet bulb
	rh=$(wy-reckon rh temp=20C wetbulb=15C --no-header | awk -F'\t' 'NR == 1 { printf "%.4f", (40.5 + $2 + 100) / 3 }')
	[ "$(cell "north${tab}2026-04" rh_mean_pct | awk '{ printf "%.4f", $1 }')" = "$rh" ]
}

@test "air: --by, --of, --from and --to" {
	status 0 wy-air -H "$H" --by=month --of=rh "$C"
	[ "$(head -n 1 "$T/out" | tr '\t' ' ')" = "month n rh_n rh_mean_pct rh_sd_pct rh_min_pct rh_max_pct rh_wetbulb_n rh_in_band_share" ]
	# the share is over the readings of places that have a band
	[ "$(cell 2026-04 rh_in_band_share)" = 0.6666666666666666 ]
	[ "$(cell 2026-04 n)" = 10 ]
	status 0 wy-air -H "$H" --by=day,place --of=temp "$C"
	[ "$(sed -n 2p "$T/out" | tr '\t' ' ')" = "2026-03-30 north 1 1 20  20 20" ]
	[ "$(wc -l <"$T/out")" = 11 ]
	status 0 wy-air -H "$H" --by=place --from=2026-04-01 --to=2026-04-02 "$C"
	[ "$(cell north n)" = 3 ]
	[ "$(cell store/r1 n)" = 3 ]
	[ "$(wc -l <"$T/out")" = 3 ]
	status 0 wy-air -H "$H" --from=2026-03-31 --to=2026-03-31 "$C"
	[ "$(cut -f1-3 "$T/out" | tr '\t\n' ' ;')" = "place month n;north 2026-03 1;store/r1 2026-03 1;" ]
	status 1 wy-air -H "$H" --from=2027-01-01 "$C"
	[ "$(wc -l <"$T/out")" = 1 ]
}

@test "air: means and extremes of the sample works are those that awk finds" {
	cat samples/book/*.wy >"$T/book.wy"
	status 0 wy-air -H samples/house.yaml --of=temp,rh "$T/book.wy"
	[ "$(wc -l <"$T/out")" -gt 90 ]
	awk '
		{ e = $2 ~ /^[0-9]/ ? 3 : 2 }
		$e != "air" || !/ rh=/ || !/ temp=[-0-9.]+C/ { next }
		{
			t = r = $0; sub(/.* temp=/, "", t); sub(/.* rh=/, "", r); t += 0; r += 0
			k = $(e + 1) "\t" substr($1, 1, 7)
			if (!n[k]++) { lo[k] = hi[k] = t; dry[k] = wet[k] = r }
			sum[k] += t; rh[k] += r
			if (t < lo[k]) lo[k] = t
			if (t > hi[k]) hi[k] = t
			if (r < dry[k]) dry[k] = r
			if (r > wet[k]) wet[k] = r
		}
		END { for (k in n) printf "%s\t%d\t%.6f\t%g\t%g\t%.6f\t%g\t%g\n", k, n[k], sum[k] / n[k], lo[k], hi[k], rh[k] / n[k], dry[k], wet[k] }
	' "$T/book.wy" | LC_ALL=C sort >"$T/want"
	# rows with a wet bulb in them are not awk's to find
	awk -F'\t' 'NR > 1 && $14 == 0 { printf "%s\t%s\t%d\t%.6f\t%g\t%g\t%.6f\t%g\t%g\n", $1, $2, $3, $5, $7, $8, $10, $12, $13 }' "$T/out" |
		LC_ALL=C sort >"$T/got"
	[ "$(wc -l <"$T/got")" -gt 80 ]
	LC_ALL=C comm -23 "$T/got" "$T/want" >"$T/other"
	cat "$T/other"
	[ ! -s "$T/other" ]
}

@test "air: an extrapolation is a warning, and only then" {
	status 0 wy-air -H "$H" "$C"
	[ "$(cat "$T/err")" = "wy-air: Some EMCs lie outside the published table (-1.1 to 132.2 C, 5 to 95 %) and are extrapolated" ]
	status 0 wy-air -H "$H" --as=text "$C"
	[ ! -s "$T/err" ]
	grep -q '^Some EMCs lie outside' "$T/out"
	grep ' store/r1 ' "$C" >"$T/store.wy"
	status 0 wy-air -H "$H" "$T/store.wy"
	[ ! -s "$T/err" ]
	# no EMC at all: too cold, too hot
	printf '2026-01-01 air north temp=-41C rh=50%%\n2026-01-01 air north temp=133C rh=50%%\n' >"$T/far.wy"
	status 0 wy-air -H "$H" "$T/far.wy"
	[ "$(cell north emc_n)$(cell north emc_mean_pct)" = 0 ]
	[ "$(cell north rh_n)" = 2 ]
}

# Each row: the options, and what the note says.
@test "air: a note says that readings are as written where their instrument is known to be off" {
	cat >"$T/off.wy" <<-'END'
	2026-03-01 air r1 temp=20C rh=58% meter=h1
	2026-03-02 meter h1 true=50% read=55%
	2026-03-02 meter h1 true=20C read=20C
	2026-03-03 air r1 temp=20C rh=58% meter=h1
	2026-03-04 air r1 temp=20C rh=58%
	2026-03-05 meter h1 true=50% read=49%
	2026-03-05 meter h1 true=50% read=48%
	2026-03-06 air r1 temp=20C rh=58% meter=h1
	2026-03-07 meter h1 true=50% read=49%
	2026-03-07 air r2 temp=20C rh=58% meter=h1/near
	2026-03-08 meter h1/near true=50% read=53%
	2026-03-08 meter t1 true=20C read=19.5C
	2026-03-08 meter t1 true=50% read=20%
	2026-03-09 air r3 temp=20C wetbulb=15C meter=t1
	2026-03-09 meter h2 true=50% read=20%
	2026-03-10 meter t1 true=20C read=19C
	END
	while IFS='|' read -r options want; do
		# shellcheck disable=SC2086
		wy-air --as=text $options "$T/off.wy" 2>/dev/null >"$T/text" || fail "$options: status $?"
		got=$(sed -n 's/^Readings are as written, but by the checks \(.*\)\. --timed gives the corrected means\.$/\1/p' "$T/text")
		[ "$got" = "$want" ] || fail "$options: '$got', not '$want'"
		for n in 0 1 2; do awk -v n=$n 'NR % 3 == n' "$T/off.wy" | wy-air --partial $options >"$T/$n.part"; done
		wy-air --as=text --merge $options "$T"/[012].part 2>/dev/null | cmp - "$T/text" || fail "$options: in parts"
	done <<-'END'
	|h1 reads between 1.50 % RH low and 5.00 % RH high, h1/near reads 1.00 % RH low, t1 reads 0.50 C low
	--place=r1|h1 reads between 1.50 % RH low and 5.00 % RH high
	--place=r1 --to=2026-03-04|h1 reads 5.00 % RH high
	--place=r1 --from=2026-03-06|h1 reads 1.50 % RH low
	--to=2026-03-01|
	--from=2026-03-04 --to=2026-03-04|
	--of=temp|t1 reads 0.50 C low
	--of=rh --place=r3|
	--of=rh --by=day --place=r2 --place=r3|h1/near reads 1.00 % RH low
	--of=emc --place=r3|t1 reads 0.50 C low
	END
	report
}

@test "air: a house file is not needed" {
	(cd "$T" && wy-air "$OLDPWD/$C") >"$T/out"
	[ "$(cell store/r1 rh_in_band_share)" = "$(printf '\n\n')" ]
	[ "$(cell store/r1 n)" = "$(printf '1\n4')" ]
}

@test "air: every form of the answer" {
	for form in text tsv csv json md html; do
		status 0 wy-air -H "$H" --as=$form "$C"
		grep -q 'store/r1' "$T/out"
	done
	[ "$(wy-air -H "$H" --as=json --by=place "$C" 2>/dev/null | jq -c '[.[] | .n]')" = "[7,5,1]" ]
	[ "$(wy-air -H "$H" --no-header --by=place "$C" 2>/dev/null | cut -f1,2 | tr '\t\n' ' ;')" = "north 7;store/r1 5;yard/b1 1;" ]
}

@test "air: wrong use says what is right" {
	bad=0
	while IFS='|' read -r words said; do
		# shellcheck disable=SC2086
		status 2 wy-air -H "$H" $words "$C" || bad=1
		grep -qF -- "$said" "$T/err" || { echo "$words: $(cat "$T/err")"; bad=1; }
		[ ! -s "$T/out" ] || { echo "$words: an answer"; bad=1; }
	done <<-'END'
	--by=colour|--by accepts place, month, day, but not 'colour'
	--by=place,|--by accepts place, month, day, but not ''
	--by=place,place|--by has place twice
	--by=month,day|month or day, but not both
	--of=heat|--of accepts temp, rh, emc, but not 'heat'
	--from=2026-05-01 --to=2026-04-01|--from=2026-05-01 is after --to=2026-04-01
	--from=yesterday|--from
	--workers=0|--workers
	--partial --as=json|--partial writes only tsv
	--merge -b|--merge reads states and --book reads a book
	END
	[ "$bad" = 0 ]
}

@test "air: nothing found, bad lines, --without-bad" {
	status 1 wy-air -H "$H" /dev/null
	[ "$(head -n 1 "$T/out" | cut -f1-3 | tr '\t' ' ')" = "place month n" ]
	{ cat "$C"; echo '2026-04-30 10:00 air north temp=20 rh=50%'; } >"$T/bad.wy"
	status 1 wy-air -H "$H" "$T/bad.wy"
	[ ! -s "$T/out" ]
	grep -qF "$T/bad.wy:16:33: error:" "$T/err" || { cat "$T/err"; false; }
	status 1 wy-air -H "$H" --without-bad --by=place "$T/bad.wy"
	[ "$(cell north n)" = 7 ]
	grep -q '1 line skipped' "$T/err"
}

@test "air: the examples of the page run" {
	mkdir "$T/works"
	cp "$C" "$H" "$T/works"
	grep '^\.Dl ' tools/wy-air.1 | sed 's/^\.Dl //' >"$T/examples"
	[ "$(wc -l <"$T/examples")" = 6 ]
	bad=0
	while read -r example; do
		(cd "$T/works" && sh -c "$example") >"$T/out" 2>"$T/err" || { echo "$example: $(cat "$T/err")"; bad=1; }
		[ "$(wc -l <"$T/out")" -gt 1 ] || { echo "$example: no answer"; bad=1; }
	done <"$T/examples"
	[ "$bad" = 0 ]
}

# ---- by time

TH=tests/cases/air/time.yaml
TC=tests/cases/air/time.wy

# near GOT WANT: alike to nine places
near() {
	awk -v a="$1" -v b="$2" 'BEGIN { d = a - b; exit !(a != "" && d < 1e-9 && d > -1e-9) }'
}

@test "air by time: means, hours and shares, reckoned by hand" {
	status 0 wy-air -H "$TH" --timed --by=place,day "$TC"
	tab=$(printf '\t')
	bad=0
	# store, 2 March: 6 h at 50, up to 60 and down again in 4 h, 12 h at 50, 2 h from 50 to 57
	# store, 3 March: a gap of 12 h 1 min, then 119 min from 40 to 41 (two readings at 14:00), 6 h from 41 to 46
	# cane, 5 April (25 h): 20 to 22 C in 2.5 h, to 24 in 1 h, to 24.5 in 1/6 h, to 24 in 21 h 20 min
	while IFS='|' read -r row column want; do
		got=$(cell "$(echo "$row" | tr ' ' "$tab")" "$column")
		want=$(awk "BEGIN { printf \"%.15g\", $want }")
		near "$got" "$want" || { echo "$row $column: '$got', not '$want'"; bad=1; }
	done <<-'END'
	store/r1 2026-03-02|n|5
	store/r1 2026-03-02|rh_covered_h|24
	store/r1 2026-03-02|rh_gap_h|0
	store/r1 2026-03-02|rh_mean_pct|(18 * 50 + 4 * 55 + 2 * 53.5) / 24
	store/r1 2026-03-02|rh_max_pct|60
	store/r1 2026-03-02|rh_out_of_band_h|2 + 2 * 2 / 7
	store/r1 2026-03-02|rh_in_band_share|(22 - 4 / 7) / 24
	store/r1 2026-03-02|temp_in_band_h|24
	store/r1 2026-03-03|rh_gap_h|12 + 1 / 60
	store/r1 2026-03-03|rh_covered_h|8 - 1 / 60
	store/r1 2026-03-03|rh_mean_pct|((2 - 1 / 60) * 40.5 + 6 * 43.5) / (8 - 1 / 60)
	store/r1 2026-03-03|rh_in_band_h|6 / 5
	store/r1 2026-03-03|kiln_target_pct|9
	cane 2026-04-05|temp_covered_h|25
	cane 2026-04-05|temp_mean_c|(2.5 * 21 + 23 + 24.25 / 6 + (21 + 1 / 3) * 24.25) / 25
	cane 2026-09-27|temp_covered_h|23
	cane 2026-09-26|temp_gap_h|12
	north 2026-05-01|rh_raw_mean_pct|50
	north 2026-05-06|temp_raw_mean_c|30
	END
	[ "$bad" = 0 ]
	status 0 wy-air -H "$TH" --timed --by=place --from=2026-05-06 --to=2026-05-06 "$TC"
	near "$(cell north temp_mean_c)" "$(awk 'BEGIN { printf "%.15g", 30 - 0.5 / 24 * 8 / 2 }')"
}

@test "air by time: an offset holds from the day of its check on, and --raw leaves it out" {
	# 7:00 on 2 May is before the check of that day; on 3 May +4 and +1 make +2.5, and -0.5 C comes with them
	cat >"$T/hand.wy" <<-'END'
	2026-05-01 08:00 air north temp=30C rh=50%
	2026-05-02 07:00 air north temp=30C rh=52%
	2026-05-03 08:00 air north temp=29.5C rh=52.5%
	2026-05-04 08:00 air north temp=29.5C rh=52.5%
	END
	grep ' north ' "$TC" | grep -v wetbulb | grep -v 05-06 >"$T/book.wy"
	grep ' meter ' "$TC" >>"$T/book.wy"
	# day, and the means of temperature and humidity
	wy-air -H "$TH" --timed --by=day --of=temp,rh "$T/hand.wy" | cut -f1,5,14 >"$T/want"
	wy-air -H "$TH" --timed --by=day --of=temp,rh "$T/book.wy" | cut -f1,5,14 >"$T/got"
	[ "$(wc -l <"$T/got")" = 5 ]
	cmp "$T/got" "$T/want"
	wy-air -H "$TH" --timed --by=day --of=rh --raw "$T/book.wy" >"$T/out"
	[ "$(cell 2026-05-03 rh_mean_pct)" = 50 ]
	[ "$(cell 2026-05-03 rh_raw_mean_pct)" = 50 ]
	wy-air -H "$TH" --timed --as=text "$TC" | grep -qF 'hyg1 +2.00 % RH from 2026-05-02, hyg1 +2.50 % RH from 2026-05-03, hyg1 -0.50 C from 2026-05-03'
}

@test "air by time: spells and gaps, to the byte" {
	for view in spells gaps; do
		wy-air -H "$TH" --$view "$TC" >"$T/got"
		cmp "$T/got" "tests/cases/air/$view.tsv"
	done
	# a spell that reaches into the days asked for is shown whole
	wy-air -H "$TH" --spells --of=rh --from=2026-03-03 "$TC" >"$T/out"
	[ "$(cut -f4 "$T/out" | sed -n 2p)" = '2026-03-02 23:25:43' ]
	[ "$(wc -l <"$T/out")" = 3 ]
}

@test "air by time: a gap of the record is one row, and each quantity's own where they differ" {
	cat >"$T/book.wy" <<-'END'
	2026-03-02 00:00 air store/r1 temp=20C rh=50%
	2026-03-02 06:00 air store/r1 temp=20C rh=50%
	2026-03-03 06:00 air store/r1 temp=20C rh=50%
	2026-03-03 12:00 air store/r1 temp=20C
	2026-03-03 20:00 air store/r1 temp=20C
	2026-03-04 06:00 air store/r1 temp=20C rh=50%
	2026-03-05 06:00 air store/r1 temp=20C
	2026-03-05 12:00 air store/r1 temp=20C rh=50%
	2026-03-05 13:00 air store/r1 temp=20C rh=50%
	END
	cat >"$T/want" <<-'END'
	gap temp,rh 2026-03-02 06:00 2026-03-03 06:00 24
	gap rh 2026-03-03 06:00 2026-03-04 06:00 24
	gap temp 2026-03-04 06:00 2026-03-05 06:00 24
	gap rh 2026-03-04 06:00 2026-03-05 12:00 30
	END
	wy-air -H "$TH" --gaps --no-header "$T/book.wy" | cut -f2-6 | tr '\t' ' ' >"$T/got"
	diff "$T/want" "$T/got"
	# asked of one alone, it is that one's
	[ "$(wy-air -H "$TH" --gaps --no-header --of=temp "$T/book.wy" | cut -f2,3,6 | tr '\t\n' ' ;')" = 'gap temp 24;gap temp 24;' ]
	# silence up to the end that is asked for; not when it is within what is allowed
	[ "$(wy-air -H "$TH" --gaps --no-header --to=2026-03-06 "$T/book.wy" | tail -n 1 | cut -f2-7 | tr '\t' ' ')" = 'ended temp,rh 2026-03-05 13:00 2026-03-07 00:00 35 12' ]
	[ "$(wy-air -H "$TH" --gaps --no-header --to=2026-03-05 "$T/book.wy" | grep -c ended)" = 0 ]
	sed '$d' "$T/book.wy" >"$T/less.wy"
	echo '2026-03-05 13:00 air store/r1 temp=20C' >>"$T/less.wy"
	[ "$(wy-air -H "$TH" --gaps --no-header --to=2026-03-06 "$T/less.wy" | tail -n 2 | cut -f2-6 | tr '\t\n' ' ;')" = 'ended rh 2026-03-05 12:00 2026-03-07 00:00 36;ended temp 2026-03-05 13:00 2026-03-07 00:00 35;' ]
}

@test "air by time: two instruments that differ are not a repeat, and a repeat beside them is recognised" {
	cat >"$T/book.wy" <<-'END'
	2026-03-02 10:00 air store/r1 temp=20C rh=50% meter=hyg1
	2026-03-02 10:00 air store/r1 temp=20C rh=52% meter=log1
	2026-03-02 11:00 air store/r1 temp=20C rh=50% meter=hyg1
	2026-03-02 11:00 air store/r1 temp=20C rh=53% meter=log1
	2026-03-02 12:00 air store/r1 temp=20C rh=50% meter=hyg1
	2026-03-02 12:00 air store/r1 temp=20C rh=51% meter=hyg1
	2026-03-02 12:00 air store/r1 temp=20C rh=56% meter=log1
	2026-03-02 13:00 air store/r1 temp=20C rh=50% meter=hyg1
	2026-03-02 13:00 air store/r1 temp=20C rh=50% meter=log1
	2026-03-02 14:00 air store/r1 temp=20C rh=50% meter=hyg1
	2026-03-02 14:00 air store/r1 temp=20.5C rh=50% meter=log1
	END
	cat >"$T/want" <<-'END'
	meters temp 2026-03-02 14:00 2026-03-02 14:00 2 0.5
	meters rh 2026-03-02 10:00 2026-03-02 11:00 4 3
	repeat rh 2026-03-02 12:00 2026-03-02 12:00 3 6
	END
	for file in "$T/book.wy" "$T/other.wy"; do
		sort -r "$T/book.wy" >"$T/other.wy"
		wy-air -H "$TH" --gaps --no-header "$file" | cut -f2-5,8,9 | tr '\t' ' ' >"$T/got"
		diff "$T/want" "$T/got"
	done
}

@test "air by time: a day without a reading has a row and no figure" {
	cat >"$T/book.wy" <<-'END'
	2026-03-02 12:00 air store/r1 temp=20C rh=50%
	2026-03-02 18:00 air store/r1 temp=21C rh=52%
	2026-03-05 06:00 air store/r1 temp=20C rh=50%
	2026-03-05 18:00 air store/r1 temp=20C rh=50%
	2026-02-27 12:00 air north temp=30C rh=60%
	END
	status 0 wy-air -H "$TH" --timed --by=place,day --of=rh "$T/book.wy"
	[ "$(cut -f2-6,10 "$T/out" | sed 1d | tr '\t\n' ' ;')" = '2026-02-27 1 0 0  ;2026-03-02 2 6 6 51 6;2026-03-03 0 0 24  ;2026-03-04 0 0 24  ;2026-03-05 2 12 6 50 12;' ] || { cat "$T/out"; false; }
	# up to the end that is asked for, whether the place has a reading in these days or not
	status 0 wy-air -H "$TH" --timed --by=place,day --of=rh --from=2026-03-05 --to=2026-03-07 "$T/book.wy"
	[ "$(cut -f1-6 "$T/out" | sed 1d | tr '\t\n' ' ;')" = 'north 2026-03-05 0 0 24 ;north 2026-03-06 0 0 24 ;north 2026-03-07 0 0 24 ;store/r1 2026-03-05 2 12 12 50;store/r1 2026-03-06 0 0 24 ;store/r1 2026-03-07 0 0 24 ;' ] || { cat "$T/out"; false; }
	status 0 wy-air -H "$TH" --timed --by=place,month --of=rh --to=2026-04-30 "$T/book.wy"
	[ "$(cut -f1-5 "$T/out" | grep 04 | tr '\t\n' ' ;')" = 'north 2026-04 0 0 721;store/r1 2026-04 0 0 721;' ] || { cat "$T/out"; false; }
	# covered and not are all hours of the days, of 25 and 23 hours too
	status 0 wy-air -H "$TH" --timed --by=place,day --of=temp --from=2026-04-01 --to=2026-12-31 "$TC"
	awk -F'\t' 'NR > 1 && $1 == "cane" { h = $2 == "2026-04-05" ? 25 : $2 == "2026-09-27" ? 23 : 24; n++
		if ($2 > "2026-04-04" && $4 + $5 != h) { print; bad = 1 } } END { exit bad || n < 200 }' "$T/out"
	# nothing before the record, nor without an end
	status 1 wy-air -H "$TH" --timed --by=place,day --to=2026-02-01 /dev/null
	status 0 wy-air -H "$TH" --timed --by=place,day --from=2026-02-20 --to=2026-02-28 "$T/book.wy"
	[ "$(cut -f1,2 "$T/out" | sed 1d | tr '\t\n' ' ;')" = 'north 2026-02-27;north 2026-02-28;' ]
}

@test "air by time: a clock that was set back, and an hour that it skipped" {
	awk 'BEGIN { for (m = 0; m < 1440; m += 10) printf "2026-03-02 %02d:%02d air cane temp=20C rh=50%%\n", m / 60, m % 60
		for (m = 605; m < 665; m += 10) printf "2026-03-02 %02d:%02d air cane temp=20C rh=50%%\n", m / 60, m % 60 }' >"$T/book.wy"
	echo '2026-09-27 02:30 air cane temp=20C rh=50%' >>"$T/book.wy"
	wy-air -H "$TH" --gaps --without-bad "$T/book.wy" >"$T/out" 2>/dev/null || true
	[ "$(grep clock-back "$T/out" | cut -f4,5,8)" = "2026-03-02 10:00	2026-03-02 11:00	13" ]
	grep -v 09-27 "$T/book.wy" | grep -v '5 air' >"$T/good.wy"
	wy-air -H "$TH" --gaps "$T/good.wy" >"$T/out"
	[ "$(wc -l <"$T/out")" = 1 ]
}

@test "air by time: the order of lines and the number of workers do not show" {
	cat samples/book/*.wy >"$T/book.wy"
	awk -v seed=20261125 -v times=1 -v out="$T/other" -f tests/lib/shuffle.awk "$T/book.wy"
	mv "$T/other.1" "$T/other.wy"
	! cmp -s "$T/book.wy" "$T/other.wy" || false
	for view in --timed "--timed --by=day,place" --spells --gaps "--outlook --on=2027-06-30" "--chart --reference=2026-02-01..2026-03-31"; do
		# shellcheck disable=SC2086
		wy-air -H samples/house.yaml $view -w 1 "$T/book.wy" >"$T/a"
		[ "$(wc -l <"$T/a")" -gt 3 ]
		# shellcheck disable=SC2086
		wy-air -H samples/house.yaml $view -w 3 "$T/other.wy" >"$T/b"
		cmp "$T/a" "$T/b"
	done
}

@test "air by time: days add up to the months and the whole" {
	cat samples/book/*.wy >"$T/book.wy"
	for by in place place,month place,day; do
		wy-air -H samples/house.yaml --timed --by=$by --of=rh "$T/book.wy" |
			awk -F'\t' 'NR == 1 { for (i = 1; i <= NF; i++) at[$i] = i; next }
				{ n += $at["n"]; h += $at["rh_covered_h"]; g += $at["rh_gap_h"]; m += $at["rh_mean_pct"] * $at["rh_covered_h"]; b += $at["rh_in_band_h"] }
				END { printf "%d %.4f %.4f %.3f %.4f\n", n, h, g, m, b }'
	done | sort -u >"$T/sums"
	cat "$T/sums"
	[ "$(wc -l <"$T/sums")" = 1 ]
}

@test "air by time: where the wood is heading" {
	# ten weeks at 50 % and 20 C (EMC 9.2711), then four at 60 (10.9998), a reading every 12 hours, lag 10 days
	awk 'BEGIN { for (h = 0; h <= 100 * 24; h += 12) { d = int(h / 24); m = d < 31 ? 1 : d < 59 ? 2 : d < 90 ? 3 : 4
			k = d - (m > 1 ? 31 : 0) - (m > 2 ? 28 : 0) - (m > 3 ? 31 : 0)
			printf "2026-%02d-%02d %02d:00Z air store/r1 temp=20C rh=%d%%\n", m, k + 1, h % 24, h <= 70 * 24 ? 50 : 60 } }' >"$T/book.wy"
	status 0 wy-air -H "$TH" --outlook --on=2026-04-09 "$T/book.wy"
	# the EMC goes in a straight line over 12 h after day 70, then 660 h at its end; the answer is of the end of
	# 9 April, 12:00Z, and of the last 12 h nothing is known: the wood stays as it is, and less of it is known
	want=$(awk 'BEGIN { a = 9.2711; b = 10.9998; lag = 240; s = (b - a) / 12; mc = b - s * lag + s * lag * exp(-12 / lag)
		printf "%.3f", b + (mc - b) * exp(-660 / lag) }')
	[ "$(cell 2026-04-09 wood_now_pct | awk '{ printf "%.3f", $1 }')" = "$want" ] || { cat "$T/out"; echo "$want"; false; }
	# all of it is from the air, so a point more or less of EMC is a point more or less of wood
	[ "$(cell 2026-04-09 verdict)" = "too wet, may stay so" ]
	awk -v mid="$(cell 2026-04-09 wood_12w_pct)" -v low="$(cell 2026-04-09 wood_12w_low_pct)" -v high="$(cell 2026-04-09 wood_12w_high_pct)" \
		'BEGIN { exit !((mid - low - 1) ^ 2 < 1e-12 && (high - mid - 1) ^ 2 < 1e-12) }' || { cat "$T/out"; false; }
	while IFS='|' read -r target want; do
		sed "s/target: 8..10%/target: $target/" "$TH" >"$T/other.yaml"
		wy-air -H "$T/other.yaml" --outlook --on=2026-04-09 "$T/book.wy" >"$T/a"
		grep -q "	$want	" "$T/a" || { cat "$T/a"; echo "$target: not '$want'"; false; }
	done <<-'END'
		9.5..12.5%|in target, stays
		9.5..11.5%|in target, may leave
		8..9.9%|stays too wet
		12.1..13%|stays too dry
		11.5..13%|too dry, may stay so
		10.9..13%|may come into target
	END
	status 0 wy-air -H "$TH" --outlook --on=2026-04-09 "$T/book.wy"
	[ "$(cell 2026-04-09 room_delivers)" = "no, its band would" ]
	[ "$(cell 2026-04-09 lag_from)" = house ]
	[ "$(cell 2026-04-09 known_share | cut -c1-5)" = 0.951 ]
	[ "$(cell 2026-04-09 as_of)" = 2026-04-09 ]
	near "$(cell 2026-04-09 rh_for_middle_pct)" "$(wy-reckon rh temp=20C emc=9% --no-header --as=tsv | awk -F'\t' 'NR == 1 { print $2 }')"
	# later readings are not looked at
	head -n 100 "$T/book.wy" >"$T/part.wy"
	# a kiln has none, target or not
	sed 's/north: {kind: kiln, capacity: 100}/north: {kind: kiln, capacity: 100, target: 8..10%}/' "$TH" >"$T/kiln.yaml"
	cmp -s "$TH" "$T/kiln.yaml" && return 1
	printf '2026-04-08 10:00 air north temp=30C rh=40%%\n' | cat "$T/book.wy" - >"$T/kiln.wy"
	wy-air -H "$TH" --outlook --on=2026-04-09 "$T/book.wy" >"$T/a"
	wy-air -H "$T/kiln.yaml" --outlook --on=2026-04-09 "$T/kiln.wy" >"$T/b"
	cmp "$T/a" "$T/b"
	wy-air -H "$TH" --outlook --on=2026-02-10 "$T/part.wy" >"$T/a"
	wy-air -H "$TH" --outlook --on=2026-02-10 "$T/book.wy" >"$T/b"
	cmp "$T/a" "$T/b"
}

@test "air by time: wood starts from what it was found to be in the room" {
	# a still air of 20 C and 50 %, whose EMC is 9.2711 (tests/outside/emc.c), and a lag of 10 days; 9 April ends at 12:00Z
	awk 'BEGIN { for (h = 0; h <= 99 * 24; h += 12) { d = int(h / 24); m = d < 31 ? 1 : d < 59 ? 2 : d < 90 ? 3 : 4
			printf "2026-%02d-%02d %02d:00Z air store/r1 temp=20C rh=50%%\n", m, d - (m > 1 ? 31 : 0) - (m > 2 ? 28 : 0) - (m > 3 ? 31 : 0) + 1, h % 24 } }' >"$T/air.wy"
	sed 's/^  log1: .*/&\n  pin2: {kind: pin, reference: 20C, per10C: 0.9, trust: 6..25%}/' "$TH" >"$T/house.yaml"
	cat >"$T/wood.wy" <<-'END'
	2026-03-10 12:00Z probe L1 at=store/r1 mc=20% wood=20C meter=pin2
	2026-03-30 12:00Z probe L1 at=store/r1 mc=12.9%,13.9%,25%+,- wood=30C meter=pin2
	2026-04-04 12:00Z probe L2 at=store/r1 mc=11% wood=20C meter=pin2
	2026-04-08 12:00Z probe L2 at=bench mc=8% wood=20C meter=pin2
	2026-04-08 12:00Z probe L3 at=cane mc=8% wood=20C meter=pin2
	2026-04-10 12:00Z probe L2 at=store/r1 mc=30% wood=20C meter=pin2
	END
	cat "$T/air.wy" "$T/wood.wy" >"$T/book.wy"
	status 0 wy-air -H "$T/house.yaml" --outlook --on=2026-04-09 "$T/book.wy"
	# 12.9 and 13.9 % at 30 C are 12 and 13, ten days ago; 11 five days ago; the last 12 h are not known. What was before is of before, what is off the scale no figure
	[ "$(cell 2026-04-09 start_from) $(cell 2026-04-09 start_first) $(cell 2026-04-09 start_last) $(cell 2026-04-09 start_n)" = 'probed 2026-03-31 2026-04-05 3' ] || { cat "$T/out"; false; }
	near "$(cell 2026-04-09 start_mean_pct)" 12 && near "$(cell 2026-04-09 start_sd_pct)" 1
	want=$(awk 'BEGIN { e = 9.2711; printf "%.3f", e + ((12 - e + 13 - e) * exp(-9.5 / 10) + (11 - e) * exp(-4.5 / 10)) / 3 }')
	[ "$(cell 2026-04-09 wood_now_pct | awk '{ printf "%.3f", $1 }')" = "$want" ] || { cat "$T/out"; echo "$want"; false; }
	[ "$(cell 2026-04-09 wood_by_air_pct | awk '{ printf "%.3f", $1 }')" = 9.271 ]
	[ "$(cell 2026-04-09 verdict)" = 'may come into target' ]
	# a point of EMC, and the mean of three with an sd of 1: t(0.95, 2) = 2.919986; little of it is left after 12 weeks
	want=$(awk 'BEGIN { f = exp(-84 / 10); left = (2 * exp(-9.5 / 10) + exp(-4.5 / 10)) / 3; e = 1 - f * left
		s = 2.919986 / sqrt(3) * left * f; printf "%.6f", sqrt(e * e + s * s) }')
	[ "$(awk -v mid="$(cell 2026-04-09 wood_12w_pct)" -v low="$(cell 2026-04-09 wood_12w_low_pct)" 'BEGIN { printf "%.6f", mid - low }')" = "$want" ] || { cat "$T/out"; echo "$want"; false; }
	near "$(cell 2026-04-09 known_share)" "$(awk 'BEGIN { printf "%.15g", exp(-12 / 240) }')"
	# without a rule they stay as they are, and a note says so
	grep -v 'L2 at=store/r1 mc=30' "$T/book.wy" | sed 's/ wood=[0-9]*C meter=pin2//' >"$T/plain.wy"
	status 0 wy-air -H "$T/house.yaml" --outlook --on=2026-04-09 --as=text "$T/plain.wy"
	grep -qF 'store/r1 (3 of 3)' "$T/out" || { cat "$T/out"; false; }
	# six weeks on nobody has measured: from the air again, and the day says of when
	status 0 wy-air -H "$T/house.yaml" --outlook --on=2026-05-30 "$T/book.wy"
	[ "$(cell 2026-05-30 start_from) $(cell 2026-05-30 start_first) $(cell 2026-05-30 start_n)" = 'air 2026-01-01 ' ] || { cat "$T/out"; false; }
	near "$(cell 2026-05-30 wood_now_pct)" "$(cell 2026-05-30 wood_by_air_pct)"
	# lines in any order, by any number of workers
	sort -r "$T/book.wy" >"$T/other.wy"
	wy-air -H "$T/house.yaml" --outlook --on=2026-04-09 "$T/book.wy" >"$T/a"
	wy-air -H "$T/house.yaml" --outlook --on=2026-04-09 "$T/other.wy" >"$T/b"
	wy-air -H "$T/house.yaml" --outlook --on=2026-04-09 "$T/wood.wy" "$T/air.wy" -w 2 >"$T/c"
	cmp "$T/a" "$T/b"
	cmp "$T/a" "$T/c"
}

@test "air by time: a day outside the chart's limits is marked" {
	awk 'BEGIN { for (d = 1; d <= 31; d++) for (h = 0; h < 24; h += 6)
		printf "2026-03-%02d %02d:00 air store/r1 temp=20C rh=%d%%\n", d, h, d == 28 ? 62 : 50 + d % 2 }' >"$T/book.wy"
	status 0 wy-air -H "$TH" --chart --of=rh --reference=2026-03-01..2026-03-20 "$T/book.wy"
	[ "$(cell "store/r1	rh	2026-03-28" out)" = above ]
	[ "$(cell "store/r1	rh	2026-03-28" ewma_out)" = above ]
	[ "$(cell "store/r1	rh	2026-03-28" baseline_n)" = 20 ]
	[ "$(cell "store/r1	rh	2026-03-10" out)" = no ]
	[ "$(cell "store/r1	rh	2026-03-28" change_out)" = above ]
	[ "$(awk -F'\t' 'NR > 1 && $8 != "no"' "$T/out" | cut -f 3 | tr '\n' ' ')" = '2026-03-27 2026-03-28 ' ] || { cut -f 3-8 "$T/out"; false; }
}

@test "air by time: days that resemble their neighbours are not out for that" {
	status 0 wy-air -H samples/house.yaml -b --chart --of=rh --place=store/r1 --reference=2026-02-01..2026-03-31
	# with limits for independent days 23 of these 59 were outside
	[ "$(awk -F'\t' '$3 <= "2026-03-31" && NR > 1 && $8 != "no"' "$T/out" | wc -l)" = 0 ]
	[ "$(awk -F'\t' '$3 <= "2026-03-31" && NR > 1' "$T/out" | wc -l)" = 59 ]
	# but the room was too damp in July 2026 and June 2027 (samples/README.md)
	[ "$(awk -F'\t' '($3 ~ /^2026-07/ || $3 ~ /^2027-06/) && $16 == "above"' "$T/out" | wc -l)" -ge 10 ]
}

@test "air by time: wrong use says what is right" {
	bad=0
	while IFS='|' read -r words said; do
		# shellcheck disable=SC2086
		status 2 wy-air -H "$TH" $words "$TC" || bad=1
		grep -qF -- "$said" "$T/err" || { echo "$words: $(cat "$T/err")"; bad=1; }
		[ ! -s "$T/out" ] || { echo "$words: an answer"; bad=1; }
	done <<-'END'
	--timed --spells|choose one
	--timed --partial|leave out --partial and --merge
	--raw|--raw needs --timed
	--spells --by=place|--by needs the means
	--chart|as in --chart --reference=2026-01-01..2026-01-31
	--timed --reference=2026-01-01..2026-01-02|--chart and --reference need each other
	--chart --reference=2026-01-05..2026-01-02|is not a range of days; write --reference=2026-01-01..2026-01-31
	--chart --reference=2026-01-05|is not a range of days; write --reference=2026-01-01..2026-01-31
	--chart --reference=2026-01-05.|is not a range of days; write --reference=2026-01-01..2026-01-31
	--timed --on=2026-01-01|--on needs --outlook
	END
	[ "$bad" = 0 ]
	for view in "" --timed --spells --gaps "--outlook --on=2026-12-31"; do
		# shellcheck disable=SC2086
		status 2 wy-air -H "$TH" $view --place=nowhere "$TC" || bad=1
		grep -qF -- "--place=nowhere is not a place of the house file" "$T/err" || bad=1
		[ ! -s "$T/out" ] || { echo "$view: an answer"; bad=1; }
	done
	status 2 wy-air -H "$TH" --timed --place=store/r11 "$TC"
	grep -qF -- "--place=store/r11 is not a place of the house file; perhaps store/r1?" "$T/err"
	# Without a list of places any may have readings.
	status 1 wy-air --place=nowhere "$TC"
	grep -qF "the book has no readings of the air at nowhere" "$T/err"
	[ "$bad" = 0 ]
}

@test "air by time: a missing target is reported, and an empty list of spells is an answer" {
	echo '2026-03-02 08:00 air yard/b1 temp=20C rh=50%' >"$T/book.wy"
	status 1 wy-air -H "$TH" --outlook --on=2026-03-09 "$T/book.wy"
	grep -qF 'no place with readings up to that day has a target' "$T/err"
	[ "$(wc -l <"$T/out")" = 1 ]
	status 1 wy-air -H "$TH" --chart --reference=2026-03-01..2026-03-08 "$T/book.wy"
	grep -qF 'no place has 10 known days in the reference period that differ' "$T/err"
	for view in --spells --gaps; do
		status 0 wy-air -H "$TH" $view "$T/book.wy"
		[ "$(wc -l <"$T/out")" = 1 ]
		[ ! -s "$T/err" ]
		status 1 wy-air -H "$TH" $view /dev/null
	done
	# a place with a target and no EMC yet: its row says that nothing is known
	echo '2026-03-02 08:00 air store/r1 rh=50%' >"$T/book.wy"
	status 0 wy-air -H "$TH" --outlook --on=2026-03-09 "$T/book.wy"
	[ "$(cell 2026-03-09 verdict)$(cell 2026-03-09 start_from)$(cell 2026-03-09 wood_now_pct)" = 'not known' ]
	# many rows go out in pieces, in every form, and are the same rows
	for form in tsv csv json md html text; do
		status 0 wy-air -H samples/house.yaml --timed --by=place,day --of=rh --as=$form samples/book/2026a.wy
		[ "$(grep -c 2026-04-29 "$T/out")" = 6 ] || { echo "$form"; false; }
	done
	[ "$(wy-air -H samples/house.yaml --timed --by=place,day --of=rh --as=json samples/book/2026a.wy | jq length)" = "$(wy-air -H samples/house.yaml --timed --by=place,day --of=rh --no-header samples/book/2026a.wy | wc -l)" ]
}

@test "air by time: the lag of reference pieces is found from their weights" {
	# an air that swings by the month, two pieces that follow it by small steps with a lag of 12 days, weighed every 9
	awk -v truth="$T/truth" 'BEGIN { split("31 28 31 30 31 30", len, " "); m = 1; k = 1; mc[1] = 9; mc[2] = 11; dry[1] = 1300; dry[2] = 1500
		for (d = 0; d < 170; d++) {
			rh = 55 + 12 * sin(d / 8)
			printf "2026-%02d-%02d 12:00 air store/r1 temp=20C rh=%.2f%%\n", m, k, rh
			if (d % 9 == 4)
				printf "2026-%02d-%02d 12:00 weigh store/r1 mass=x:%.2fg,y:%.2fg\n", m, k, dry[1] * (1 + mc[1] / 100), dry[2] * (1 + mc[2] / 100)
			if (d == 166) { print mc[1], mc[2] >truth }
			for (s = 0; s < 96; s++)
				for (i = 1; i <= 2; i++)
					mc[i] += (emc(55 + 12 * sin((d + s / 96) / 8)) - mc[i]) / 96 / 12
			if (++k > len[m]) { k = 1; m++ }
		} }
		# Wood Handbook, equation 4-5 at 20 C
		function emc(rh, h, W, K, a, b) { h = rh / 100; W = 349 + 25.8 + 5.4; K = 0.805 + 0.01472 - 0.001092; a = 6.27 - 0.1876 - 0.1212
			b = 1.91 + 0.814 - 0.1172; return 1800 / W * (K * h / (1 - K * h) + (a * K * h + 2 * a * b * K * K * h * h) / (1 + a * K * h + a * b * K * K * h * h)) }' >"$T/book.wy"
	sed 's/air-every: 12h/air-every: 25h/' "$TH" >"$T/house.yaml"
	status 0 wy-air -H "$T/house.yaml" --outlook --on=2026-06-18 "$T/book.wy"
	[ "$(cell 2026-06-18 lag_from)" = weighed ] || { cat "$T/out"; false; }
	cell 2026-06-18 lag_days | awk '{ exit !($1 > 11.3 && $1 < 12.7) }'
	awk -v mid="$(cell 2026-06-18 lag_days)" -v low="$(cell 2026-06-18 lag_low_days)" -v high="$(cell 2026-06-18 lag_high_days)" \
		'BEGIN { exit !(low > 11 && low < mid && mid < high && high < 13) }' || { cat "$T/out"; false; }
	[ "$(cell 2026-06-18 lag_n) $(cell 2026-06-18 lag_pieces)" = '38 2' ] || { cat "$T/out"; false; }
	# one piece does not show how much pieces differ
	sed 's/,y:.*//' "$T/book.wy" >"$T/one.wy"
	status 0 wy-air -H "$T/house.yaml" --outlook --on=2026-06-18 "$T/one.wy"
	[ "$(cell 2026-06-18 lag_from) $(cell 2026-06-18 lag_pieces) $(cell 2026-06-18 lag_low_days)" = 'weighed 1 ' ] || { cat "$T/out"; false; }
	status 0 wy-air -H "$T/house.yaml" --outlook --on=2026-06-18 "$T/book.wy"
	# and what they were of when they were last weighed is where the wood starts from
	[ "$(cell 2026-06-18 start_from) $(cell 2026-06-18 start_n) $(cell 2026-06-18 start_last)" = 'weighed 2 2026-06-16' ] || { cat "$T/out"; false; }
	cell 2026-06-18 start_mean_pct | awk -v truth="$(cat "$T/truth")" '{ split(truth, mc, " "); off = $1 - (mc[1] + mc[2]) / 2; exit !(off > -0.3 && off < 0.3) }'
	# readings of the wood in the room go before weights
	{ cat "$T/book.wy"; echo '2026-06-17 12:00 probe L1 at=store/r1 mc=10%,11%'; } >"$T/both.wy"
	wy-air -H "$T/house.yaml" --outlook --on=2026-06-18 "$T/both.wy" >"$T/out"
	[ "$(cell 2026-06-18 start_from) $(cell 2026-06-18 start_mean_pct) $(cell 2026-06-18 lag_from)" = 'probed 10.5 weighed' ] || { cat "$T/out"; false; }
	status 0 wy-air -H "$T/house.yaml" --outlook --on=2026-06-18 "$T/book.wy"
	# three weighings each are too few: the house's lag stands
	{ grep ' air ' "$T/book.wy"; grep weigh "$T/book.wy" | head -n 3; } >"$T/few.wy"
	status 0 wy-air -H "$T/house.yaml" --outlook --on=2026-06-18 "$T/few.wy"
	[ "$(cell 2026-06-18 lag_from)$(cell 2026-06-18 lag_days)" = house10 ]
}

@test "air: every answer on the sample book fits a terminal of 80 columns" {
	cd samples
	while read -r call; do
		fits "wy-air -b $call"
	done <<-'END'

	--by=place
	--by=day
	--by=place,day --of=emc
	--by=month,place --of=rh
	--of=temp
	--of=temp,rh --by=place,day
	--timed
	--timed --by=place,day
	--timed --of=temp
	--timed --of=rh --by=place,month
	--timed --of=emc --by=place
	--timed --of=rh,emc --raw
	--spells
	--spells --of=emc --place=store/r1
	--gaps
	--gaps --to=2027-12-31
	--outlook --on=2027-12-31
	--chart --reference=2027-01-01..2027-03-31
	--chart --of=rh --place=cane --reference=2027-01-01..2027-03-31
	END
	report
}

# By hand: the kiln's air is read on the 1st, 10th, 15th, 16th and 30th, and K1 is in from the 12th 08:00.
@test "air: a kiln's gaps count only while it holds a charge" {
	printf '%s\n' 'clock: UTC' 'places: {north: {kind: kiln, capacity: 90}, yard: {kind: yard}, store: {kind: store, target: 8..10%}}' \
		'intervals: {air: 48h, kiln-air: 24h}' >"$T/house.yaml"
	cat >"$T/book.wy" <<-'END'
	2026-01-01 08:00 air    north temp=20C rh=60%
	2026-01-10 08:00 air    north temp=20C rh=60%
	2026-01-12 08:00 load   K1    kiln=north lot=L1 at=yard count=10
	2026-01-15 08:00 air    north temp=24C rh=60%
	2026-01-16 08:00 air    north temp=24C rh=60%
	2026-01-17 12:00 oven   K1    wet=20g dry=15g cull=test:1
	2026-01-19 09:00 unload K1    count=9 into=yard
	2026-01-30 08:00 air    north temp=20C rh=60%
	2026-01-01 08:00 air    store temp=20C rh=60%
	2026-01-10 08:00 air    store temp=20C rh=60%
	END
	while IFS='|' read -r edit want; do
		sed "$edit" "$T/book.wy" >"$T/b.wy"
		wy-air -H "$T/house.yaml" --gaps --no-header "$T/b.wy" | cut -f 1,4-6 | tr '\t\n' ' ;' >"$T/got"
		[ "$(cat "$T/got")" = "${want}store 2026-01-01 08:00 2026-01-10 08:00 216;" ] || fail "$edit: $(cat "$T/got")"
	done <<-'END'
	/^$/d|north 2026-01-12 08:00 2026-01-15 08:00 72;north 2026-01-16 08:00 2026-01-19 09:00 73;
	s/unload K1    count=9/unload K1    count=8/|north 2026-01-12 08:00 2026-01-15 08:00 72;north 2026-01-16 08:00 2026-01-30 08:00 336;
	s/-19 09:00 unload/-19 unload/|north 2026-01-12 08:00 2026-01-15 08:00 72;north 2026-01-16 08:00 2026-01-20 00:00 88;
	s/-19 09:00 unload/-16 18:00 unload/;s/-17 12:00 oven/-16 09:00 oven/|north 2026-01-12 08:00 2026-01-15 08:00 72;
	s/kiln=north/kiln=south/|
	/load /d|north 2026-01-01 08:00 2026-01-10 08:00 216;north 2026-01-10 08:00 2026-01-15 08:00 120;north 2026-01-16 08:00 2026-01-30 08:00 336;
	END
	report
}

@test "air: an answer for reading begins with its finding" {
	cd samples
	while IFS='|' read -r call said; do
		# shellcheck disable=SC2086
		wy-air -b $call --as=text >"$T/out" 2>"$T/err" || fail "$call: $(cat "$T/err")"
		head -n 1 "$T/out" | grep -qF -- "$said" || fail "$call: $(head -n 1 "$T/out")"
		# shellcheck disable=SC2086
		wy-air -b $call --as=tsv 2>/dev/null | grep -qF -- "$said" && fail "$call: tsv has a finding"
		# shellcheck disable=SC2086
		wy-air -b $call --as=html 2>/dev/null | grep 'class="finding"' | grep -qF -- "$said" || fail "$call: html has none"
	done <<-'END'
	--place=store/r1|store/r1 was in its humidity band in 88.5 % of the readings.
	--timed --of=rh --place=store/r1 --by=day|The air was in its humidity band 91.1 % of the time.
	--spells --of=rh --place=store/r2|The air was out of band
	--spells --place=yard/b1|No place with readings has a band in the house file.
	--gaps --place=yard/b1|gaps; the longest is 840.0 h at yard/b1.
	--outlook --place=cane --on=2027-12-31|The wood in cane is at 9.2 % and is heading for 9.1 % (8.1 to 10.1 %). That is within the target, but may be out of it.
	--chart --of=rh --place=cane --reference=2027-01-01..2027-03-31|of 364 daily means are outside the limits.
	END
	report
}

@test "air: of many places the finding names the one least in its band, and the one most" {
	{
		echo 'works: Waiora Bats'
		echo 'clock: UTC'
		echo 'places:'
		for i in 1 2 3 4 5; do echo "  room$i: {kind: store, rh: 45..55%, target: 8..10%}"; done
	} >"$T/house.yaml"
	for i in 1 2 3 4 5; do
		for h in 1 2 3 4 5; do
			[ "$h" -le "$i" ] && rh=50 || rh=70
			echo "2026-03-02 0$h:00 air room$i temp=20C rh=$rh%"
		done
	done >"$T/book.wy"
	status 0 wy-air -H "$T/house.yaml" --by=place --of=rh --as=text "$T/book.wy"
	[ "$(head -n 1 "$T/out")" = 'room1 was in its humidity band in 20.0 % of the readings, the least of 5 places; room5 100.0 %, the most.' ] || { cat "$T/out" "$T/err"; false; }
}
