# wy-air: what it counts, its options and how it ends. That any cut of a book merges to the same
# answer is in group.bats; the EMC's own figures are in tests/outside.

bats_require_minimum_version 1.5.0

setup() {
	cd "$BATS_TEST_DIRNAME/.." || return
	bin=${WITHY_BIN:-$PWD/build/bin}
	PATH="$bin:$PATH"
	T=$BATS_TEST_TMPDIR
	C=tests/cases/air/book.wy
	H=tests/cases/air/house.yaml
	unset WITHY_HOUSE
}

status() {
	want=$1
	shift
	got=0
	"$@" >"$T/out" 2>"$T/err" || got=$?
	[ "$got" = "$want" ] || { echo "$*: status $got, not $want"; cat "$T/err"; return 1; }
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

@test "air: extrapolation is told, and only then" {
	status 0 wy-air -H "$H" "$C"
	[ "$(cat "$T/err")" = "wy-air: Some EMCs are beyond the published table (-1.1 to 132.2 C, 5 to 95 %), so they are extrapolated" ]
	status 0 wy-air -H "$H" --as=text "$C"
	[ ! -s "$T/err" ]
	grep -q '^Some EMCs are beyond' "$T/out"
	grep ' store/r1 ' "$C" >"$T/store.wy"
	status 0 wy-air -H "$H" "$T/store.wy"
	[ ! -s "$T/err" ]
	# no EMC at all: too cold, too hot
	printf '2026-01-01 air north temp=-41C rh=50%%\n2026-01-01 air north temp=133C rh=50%%\n' >"$T/far.wy"
	status 0 wy-air -H "$H" "$T/far.wy"
	[ "$(cell north emc_n)$(cell north emc_mean_pct)" = 0 ]
	[ "$(cell north rh_n)" = 2 ]
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
	--by=colour|--by knows place, month, day and not 'colour'
	--by=place,|--by knows place, month, day and not ''
	--by=place,place|--by has place twice
	--by=month,day|month or day and not both
	--of=heat|--of knows temp, rh, emc and not 'heat'
	--from=2026-05-01 --to=2026-04-01|--from=2026-05-01 is after --to=2026-04-01
	--from=yesterday|--from
	--jobs=0|--jobs
	--partial --as=json|--partial writes tsv only
	--merge -b|--merge reads states, and --book a book
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
	grep -q '1 line left out' "$T/err"
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
