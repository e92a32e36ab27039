# wy-dry --score: what was seen of past charges, and how the forecasts and plain rivals are judged by it.

load lib/common

setup() {
	at_root
	H=$T/house.yaml
	house 'target: 9%, band: 8..10.2%, readings: 2'
}

dry() { wy-dry -H "$H" --as=tsv "$@"; }

house() { # house RULE
	cat >"$T/house.yaml" <<-END
	works: Test
	clock: Z
	places:
	  yd: {kind: yard}
	  k: {kind: kiln, capacity: 200}
	  k2: {kind: kiln, capacity: 200}
	  b: {kind: bench}
	types: {SH: {form: blade}}
	meters: {pin: {kind: pin, reference: 20C, per10C: 1, rule: made up}}
	ready: {$1}
	END
}

# charge ID LOADED EMPTIED KILN, and on standard input lines "DAY[ HH:MM] READINGS"; DAY is after that of loading.
# The probes a and b are put in on the day of loading.
charge() {
	TZ=UTC awk -v id="$1" -v loaded="$2" -v emptied="$3" -v kiln="$4" '
		function date(day) { return strftime("%Y-%m-%d", mktime(start) + 86400 * day + 43200, 1) }
		BEGIN {
			start = loaded " 00 00 00"; gsub("-", " ", start)
			print "2026-01-01 buy L" id " form=cleft count=SH:100 into=yd"
			print loaded " 08:00 load " id " kiln=" kiln " lot=L" id " at=yd count=100"
			print loaded " 09:00 set " kiln " temp=30C rh=40%"
			print loaded " 10:00 probe " id " in=a:L" id "/SH,b:L" id "/SH"
		}
		{ time = $2 ~ /^[0-9]+:/ ? $2 : "12:00"; what = $0; sub(/^[0-9]+ ([0-9]+:[0-9]+ )?/, "", what)
			print date($1) " " time " probe " id " " what " wood=20C meter=pin" }
		END { if (emptied != "-") print date(emptied) " 18:00 unload " id " count=100 into=b" }'
}

# Cells of a table: cells TABLE COLUMN... <tsv, a line a row
cells() {
	local table=$1
	shift
	awk -F '\t' -v table="# $table" -v wanted="$*" '/^# / { on = index($0, table) == 1; next } !on || !NF { next }
		$1 == "as_of" { for (i = 1; i <= NF; i++) at[$i] = i; n = split(wanted, w, " "); next }
		{ row = ""; for (i = 1; i <= n; i++) { if (!(w[i] in at)) { print "no column " w[i]; exit } row = row (i > 1 ? " " : "") ($at[w[i]] == "" ? "-" : $at[w[i]]) } print row }'
}

# A piece that loses a point a day from $1 on: on day $3 it is at $1 - $3. line START FIRST LAST
line() { awk -v m="$1" -v from="$2" -v to="$3" 'BEGIN { for (d = from; d <= to; d++) printf "%d mc=a:%.1f%%,b:%.1f%%\n", d, m - d, m - d }'; }

@test "score: between which days the rule began to hold, of each kind of charge" {
	want=
	take() { # take ID WANTED EMPTIED READINGS...; wanted: not yet, holds, after, by, outcome
		month=$((month + 1))
		want="$want$1 $2
"
		printf '%s\n' "${@:4}" | charge "$1" "2026-$(printf %02d $month)-02" "$3" k >>"$T/book.wy"
	}
	month=0
	# Read every day: 12 % on day 2; the second reading in the band on day 4.
	take daily '2 4 3 4 held' 5 '0 mc=a:16%,b:15%' '1 mc=a:14%,b:13%' '2 mc=a:12%,b:11%' '3 mc=a:10.1%,b:9.9%' '4 mc=a:10%,b:9.8%'
	# Read every week: not before day 9 (in the band from 8 on), and not after 15 (the day after that of the reading).
	take weekly '7 21 8 15 held' 22 '0 mc=a:16%,b:15%' '7 mc=a:12%,b:11%' '14 mc=a:10%,b:9%' '21 mc=a:9.5%,b:9%'
	# Both readings on one day: it held as it was read, and no later.
	take twice '9 10 9 10 held' 12 '0 mc=a:16%,b:15%' '9 mc=a:12%,b:11%' '10 08:00 mc=a:10%,b:9%' '10 20:30 mc=a:9.9%,b:9%'
	# A reading of one probe says nothing of the other.
	take alone '7 23 8 21 held' 24 '0 mc=a:16%,b:15%' '7 mc=a:12%,b:11%' '14 mc=b:9.5%' '20 mc=a:10%,b:9%' '23 mc=a:9.5%,b:9%'
	# But one that is out of the band says that it does not hold.
	take other '14 23 15 21 held' 24 '0 mc=a:16%,b:15%' '7 mc=a:12%,b:11%' '14 mc=b:10.5%' '20 mc=a:10%,b:9%' '23 mc=a:9.5%,b:9%'
	# Emptied before: nobody saw it hold.
	take early '7 - 7 - emptied before' 10 '0 mc=a:16%,b:15%' '7 mc=a:12%,b:11%'
	take once '7 - 8 - emptied before' 10 '0 mc=a:16%,b:15%' '7 mc=a:12%,b:11%' '10 mc=a:10%,b:9%'
	# A wet probe came out, and nothing took its place; a dry one may; and another may take its place.
	take out '7 - 7 - probe taken out' 12 '0 mc=a:16%,b:15%' '7 out=a mc=a:12%,b:10%' '10 mc=b:9.8%' '11 mc=b:9.6%'
	take dry '7 12 8 11 held' 13 '0 mc=a:16%,b:15%' '7 mc=a:12%,b:10.4%' '9 out=b mc=b:9.9%' '10 mc=a:9.8%' '12 mc=a:9.6%'
	take in '7 12 8 11 held' 13 '0 mc=a:16%,b:15%' '7 out=a in=c:Lin/SH mc=a:12%,b:10%,c:13%' '10 mc=b:9.8%,c:9.9%' '12 mc=b:9.6%,c:9.4%'
	# In the band from the first reading on; without a reading; too dry and off the scale.
	take first '- 1 - 1 held' 3 '0 mc=a:10%,b:10%' '1 mc=a:9.9%,b:9.8%'
	take low '4 7 5 7 held' 8 '0 mc=a:6%-,b:9%' '4 mc=a:7.5%,b:9%' '6 mc=a:8.2%,b:9%' '7 mc=a:8.4%,b:9%'
	charge none 2027-02-02 9 k </dev/null >>"$T/book.wy"
	dry --score --each --on 2027-12-31 "$T/book.wy" >"$T/out" || true
	cells seen charge loaded not_yet_on holds_on after_days by_days outcome <"$T/out" | TZ=UTC awk '
		function days(from, to) { if (to == "-") return "-"; gsub("-", " ", from); gsub("-", " ", to); return (mktime(to " 00 00 00") - mktime(from " 00 00 00")) / 86400 }
		{ loaded = $2; seen = days(loaded, $3) " " days(loaded, $4); $2 = seen; $3 = $4 = ""; gsub(/  +/, " "); print }' >"$T/seen"
	{ printf %s "$want"; echo 'none - - - - not read'; } >"$T/want"
	diff "$T/want" "$T/seen"
	# They are told by name, too.
	wy-dry -H "$H" --score --as=text --on 2027-12-31 "$T/book.wy" >"$T/out"
	grep -qx 'early, once were emptied before the rule was seen to hold.' "$T/out" || fail "early: $(tail -n 4 "$T/out")"
	grep -qx 'out was not followed to the end: a probe was taken out that broke the rule.' "$T/out" || fail "out: $(tail -n 4 "$T/out")"
	report
}

@test "score: a rule with hold or share, and one that the spread breaks" {
	printf '%s\n' '0 mc=a:16%,b:15%' '7 mc=a:12%,b:11%' '14 mc=a:10%,b:9.2%' '17 mc=a:9.5%,b:9%' '21 mc=a:9.2%,b:8.9%' | charge K1 2026-01-02 22 k >"$T/book.wy"
	bad=0
	while read -r rule want; do
		house "target: 9%, band: 8..10.2%, ${rule%%=*}: ${rule#*=}"
		dry --score --each --on 2026-12-31 "$T/book.wy" >"$T/out" || true
		got=$(cells seen not_yet_on holds_on after_days by_days <"$T/out")
		[ "$got" = "$want" ] || { echo "$rule: $got, not $want"; bad=1; }
	done <<-END
	readings=1 2026-01-09 2026-01-16 7 14
	hold=3d 2026-01-09 2026-01-19 10 17
	hold=5d 2026-01-09 2026-01-23 12 19
	spread=0.6% 2026-01-16 2026-01-19 14 17
	rate=0.2% 2026-01-16 2026-01-19 14 17
	share=1% 2026-01-09 2026-01-16 7 14
	share=50% 2026-01-23 - 21 -
	END
	[ $bad = 0 ]
}

# K1 took 20 days; K2 loses a point a day from 35.1 % on, so that it holds on day 26 for the first time: 6 days later.
known() {
	line 29.1 0 22 | charge K1 2026-02-02 23 k
	line 35.1 0 27 | charge K2 2026-03-02 28 k
}

@test "score: a book with a known answer: the plain rivals by hand" {
	known >"$T/book.wy"
	dry --score --each --on 2026-12-31 "$T/book.wy" >"$T/each"
	[ "$(cells seen charge after_days by_days <"$T/each" | tr '\n' ' ')" = 'K1 19 20 K2 25 26 ' ]
	# Every day from 1 to 25 was read.
	[ "$(cells forecasts charge day <"$T/each")" = "$(for d in $(seq 25); do echo "K2 $d"; done)" ]
	# The line comes to 10.2 % after 24.9 days, and the second reading is a day later. EMC of 30 C and 40 %: the last k.
	emc=$(wy-reckon emc temp=30C rh=40% --as=tsv | awk -F '\t' '$1 == "emc" { print $2 }')
	cells forecasts day after_days by_days past_median_days past_median_crps_days past_mean_days line_days last_k_days <"$T/each" | awk -v emc="$emc" '
		function near(a, b) { return a - b < 1e-6 && b - a < 1e-6 }
		{ m = 35.1 - $1; k = log((m + 1 - emc) / (m - emc)); last = $1 + log((m - emc) / (10.2 - emc)) / k + 1; if (m <= 10.2 || last < $1 + 1) last = $1 + 1
			past = $1 < 20 ? 20 - $1 : 1
			if (!near($2, 25 - $1) || !near($3, 26 - $1) || !near($4, past) || !near($5, 26 - $1 - past) || !near($6, past) ||
				!near($7, $1 < 25 ? 25.9 - $1 : 1) || !near($8, last - $1)) { bad = 1; print; print past, last - $1 } }
		END { exit bad || NR != 25 }'
	dry --score --on 2026-12-31 "$T/book.wy" >"$T/out"
	# 6 days off on each of the days that have a row; on all 25 days 19 times 6, then 5, 4, 3, 2, 1 and 0 at the end.
	cells errors day by forecasts error_days late_days crps_days error_low_days >"$T/got" <"$T/out"
	bad=0
	for row in '3 past mean 1 6 -6 6 -' '7 past median 1 6 -6 6 -' '14 past mean 1 6 -6 6 -' 'all past mean 25 5.16 -5.16 5.16 -'; do
		grep -qx -- "$row" "$T/got" || { echo "no row: $row"; bad=1; }
	done
	[ $bad = 0 ] || { cat "$T/got"; false; }
	cells errors day by error_days <"$T/out" | awk '$1 != "all" && $2 == "line" { n++; if ($3 < 0.0999999 || $3 > 0.1000001) bad = 1 } END { exit bad || n != 3 }'
	# That it holds was seen on day 26 itself: the part of each range of the forecast as read that held is 0 or 1.
	cells forecasts seen_held_90 <"$T/each" | sort -u | grep -vx '[01]' && { cat "$T/each"; false; }
	# None of the past median's ranges held on those days: Wilson's interval for 0 of 1 is 0 to 79.3 % (R: prop.test(0, 1, correct = FALSE)).
	cells calibration day by charges held_50_pct held_90_pct held_90_low_pct held_90_high_pct <"$T/out" |
		awk '$1 == 7 && $3 == "median" { found = $4 == 1 && $5 == 0 && $6 == 0 && $7 == 0 && $8 > 79.3 && $8 < 79.4 } END { exit !found }'
	cells ranges day by width_50_days missed_50 undecided_50 open_50_pct <"$T/out" | grep -qx '7 past median 1 1 0 0'
}

@test "score: the order of the lines changes not one byte, and what comes after a charge nothing of it" {
	known >"$T/book.wy"
	for each in '' --each; do
		dry --score $each --on 2026-12-31 "$T/book.wy" >"$T/want"
		sort -R --random-source=samples/house.yaml "$T/book.wy" | dry --score $each --on 2026-12-31 >"$T/out"
		same "$T/want" "$each"
	done
	# A third charge afterwards: the rows of the second are as they were.
	cells forecasts charge date day after_days by_days ready_days crps_days past_median_days last_k_days <"$T/want" >"$T/second"
	{ cat "$T/book.wy"; line 25.1 0 19 | charge K3 2026-05-02 20 k2; } | dry --score --each --on 2026-12-31 >"$T/out"
	cells forecasts charge date day after_days by_days ready_days crps_days past_median_days last_k_days <"$T/out" | grep '^K2 ' | diff "$T/second" -
	[ "$(cells forecasts charge <"$T/out" | uniq -c | tr -s ' ' | tr '\n' ';')" = ' 25 K2; 15 K3;' ]
	report
}

@test "score: the tables agree with each other and with every forecast" {
	H=samples/house.yaml
	dry --score --each --on 2027-12-31 -b >"$T/each"
	dry --score --on 2027-12-31 -b >"$T/score"
	n=$(cells forecasts charge <"$T/each" | wc -l)
	[ "$n" -gt 120 ]
	of() { cells forecasts charge day held_50 held_90 crps_days ready_days after_days by_days <"$T/each"; }
	cells calibration day kiln by forecasts held_50_pct held_90_pct <"$T/score" >"$T/cal"
	cells errors day kiln by forecasts error_days crps_days <"$T/score" >"$T/err"
	cells pit day_3 day_7 day_14 all_days <"$T/score" >"$T/pit"
	for day in 3 7 14 all; do
		of | awk -v day="$day" 'day == "all" || $2 == day { n++; a += $3; b += $4; c += $5; r = $6 == "-" ? 121 : $6; if ($6 == "-" || r > 121) r = 121
			e += r < $7 + 1 ? $7 + 1 - r : $8 != "-" && r > $8 ? r - $8 : 0 } END { printf "%d %.6f %.6f %.6f %.6f\n", n, 100 * a / n, 100 * b / n, e / n, c / n }' >"$T/want"
		{ awk -v day="$day" '$1 == day && $2 == "-" && $3 == "forecast" { printf "%d %.6f %.6f ", $4, $5, $6 }' "$T/cal"
			awk -v day="$day" '$1 == day && $2 == "-" && $3 == "forecast" { printf "%.6f %.6f\n", $5, $6 }' "$T/err"; } >"$T/got"
		diff "$T/want" "$T/got" || fail "day $day"
	done
	# The histogram has each forecast once; the kilns have all of them.
	awk -v n="$n" '{ for (i = 1; i <= 4; i++) sum[i] += $i } END { off = sum[4] - n; exit NR != 10 || off > 1e-6 || off < -1e-6 || sum[1] < 10 }' "$T/pit" || fail "histogram: $(cat "$T/pit")"
	[ "$(awk '$2 != "-" && $3 == "forecast" { n += $4 } END { print n }' "$T/cal")" = "$n" ] || fail 'kilns'
	[ "$(awk '$1 == "all" { print $2 }' "$T/err" | uniq | tr '\n' ' ')" = '- north south ' ] || fail 'groups'
	# An interval holds its own figure.
	cells calibration held_50_low_pct held_50_pct held_50_high_pct <"$T/score" | awk '!($1 <= $2 && $2 <= $3 && $1 >= 0 && $3 <= 100)' | grep . && fail 'an interval of a share'
	cells errors error_low_days error_days error_high_days crps_low_days crps_days crps_high_days <"$T/score" |
		awk '!($1 <= $2 && $2 <= $3 && $4 <= $5 && $5 <= $6 && $1 >= 0 && $4 >= 0)' | grep . && fail 'an interval of an error'
	report
}

@test "score: the sample works: ranges that hold, errors below every rival" {
	H=samples/house.yaml
	dry --score --on 2027-12-31 -b >"$T/score"
	cells calibration day kiln by forecasts held_50_low_pct held_50_high_pct held_90_high_pct <"$T/score" |
		awk '$1 == "all" && $2 == "-" && $3 == "forecast" { seen = 1; bad = $4 < 120 || $5 > 50 || $6 < 50 || $7 < 90; print } END { exit !seen || bad }'
	cells errors day kiln by error_days crps_days crps_more_days crps_more_low_days <"$T/score" | awk '$1 != "all" || $2 != "-" { next }
		{ n++; error = $(NF - 3); crps = $(NF - 2) } $3 == "forecast" { mine = error; best = crps; next } $3 == "as" { next } error <= mine || crps <= best { bad = 1; print } END { exit bad || n != 6 }'
}

@test "score: the forecasts are those that were given on the day, ranges too" {
	H=samples/house.yaml
	dry --score --each --on 2027-12-31 -b >"$T/each"
	n=0
	for pick in 'K26-05 14' 'K26-07 7' 'K27-03 3' 'K27-07 21'; do
		set -- $pick
		cells forecasts charge day date ready_days ready_50_low_days ready_50_high_days ready_90_low_days ready_90_high_days <"$T/each" | grep "^$1 $2 " >"$T/row"
		read -r _ _ date days low50 high50 low90 high90 <"$T/row"
		awk -v day="$date" '/^#/ || $1 <= day' samples/book/*.wy | dry --on "$date" >"$T/then"
		on() { if [ "$1" = - ]; then echo -; else date -u -d "$date + $1 days" +%F; fi; }
		[ "$(cells charges charge ready_days ready_50_from ready_50_to ready_90_from ready_90_to <"$T/then" | grep "^$1 ")" = \
			"$1 $days $(on "$low50") $(on "$high50") $(on "$low90") $(on "$high90")" ] || fail "$pick: $(cat "$T/row"): $(cells charges charge ready_days ready_50_from ready_50_to ready_90_from ready_90_to <"$T/then" | grep "^$1 ")"
		n=$((n + 1))
	done
	[ $n = 4 ]
	report
}

@test "score: books that have nothing to judge say why, and end with 1" {
	judged() { # judged WORDS: of the book on standard input
		cat >"$T/book.wy"
		for each in '' --each; do
			status 1 wy-dry -H "$H" --score $each --as=text --on 2026-12-31 "$T/book.wy" || true
			grep -q "$1" "$T/out" || fail "$1: $(cat "$T/out")"
			status 1 wy-dry -H "$H" --score $each --as=json --on 2026-12-31 "$T/book.wy" || true
			jq -e 'type == "object" and (map(length) | add >= 0)' "$T/out" >"$T/json" || fail "$1: no json"
		done
	}
	none='No forecast can be scored: that takes a charge that was read before it was ready'
	judged "$none" </dev/null
	# One charge alone; one that is still open; two of which none was seen to hold; one that was in the band from the start.
	known | grep -v 'K2\|set k' | judged "$none"
	{ line 29.1 0 22 | charge K1 2026-02-02 23 k; line 29.1 0 10 | charge K2 2026-12-02 - k; } | judged "$none"
	{ line 29.1 0 10 | charge K1 2026-02-02 11 k; line 29.1 0 10 | charge K2 2026-03-02 11 k; } | judged "$none"
	{ line 29.1 0 22 | charge K1 2026-02-02 23 k; printf '%s\n' '0 mc=a:9%,b:9%' '1 mc=a:9%,b:9%' | charge K2 2026-03-02 3 k; } | judged "$none"
	# The earlier one was not over yet.
	{ line 29.1 0 22 | charge K1 2026-02-02 120 k; line 29.1 0 22 | charge K2 2026-03-02 23 k2; } | judged "$none"
	sed -i '/^ready/d' "$T/house.yaml"
	known | judged 'The house file has no ready rule, so there is nothing to score.'
	report
}

@test "score: one charge that was never seen to hold is judged by what is known of it" {
	{ line 29.1 0 22 | charge K1 2026-02-02 23 k; line 45.1 0 30 | charge K2 2026-03-02 31 k; } >"$T/book.wy"
	dry --score --on 2026-12-31 "$T/book.wy" >"$T/out"
	# The past said 20 days; on day 30 it was not so yet: 31 at least, 11 more.
	cells errors day by error_days late_days crps_days <"$T/out" >"$T/got"
	grep -qx '7 past mean 11 -11 11' "$T/got" && grep -qx '7 past median 11 -11 11' "$T/got" || { cat "$T/got"; false; }
	[ "$(cells ranges day by missed_90 undecided_90 <"$T/out" | grep '^14 past')" = '14 past median 1 0' ]
	wy-dry -H "$H" --score --as=text --on 2026-12-31 "$T/book.wy" | grep -qx 'K2 was emptied before the rule was seen to hold.'
}

@test "score: on a terminal it fits 80 columns, and the answer comes first" {
	for each in '' --each; do
		script -qec "stty cols 80; wy-dry -H samples/house.yaml -b --on 2027-12-31 --score $each 2>/dev/null" /dev/null | tr -d '\r' >"$T/out"
		sed -n 1p "$T/out" | grep -q '^The ready date was [0-9.]* days off on average' || fail "$each: $(head -n 1 "$T/out")"
		awk 'length > 80 { print; wide = 1 } END { exit wide }' "$T/out" || fail "$each: too wide"
		# No table is cut in parts, which have their leading columns again.
		[ "$(grep -cE '^(day  kiln|charge  |from   to)' "$T/out")" = "$(grep -cE '^(calibration|ranges|errors|pit|seen|forecasts)(:|$)' "$T/out")" ] || fail "$each: in parts"
	done
	report
}
