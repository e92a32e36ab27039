# wy-yield: that every piece is in one step, that all rows add up for every key, on books that
# tests/lib/random.awk counts by itself, on the walked-through book and on the sample works; that no
# order of lines shows; and what the small books of tests/cases/yield come to, worked out by hand.
# The shares are held by tests/unit/stages.c, where lots are from by tests/unit/provenance.c.

load lib/common
load lib/terminal

setup() {
	at_root
	C=tests/cases/yield
	E=tests/cases/example
	R=tests/cases/stock/random.yaml
}

keys="tree parcel supplier lot month charge type tree,type supplier,month charge,type,lot"

# balanced WHAT: every row of $T/out adds up, nothing is less than none, the rows of all keys are the
# sums of the others, and what crossed comes to nothing over them. The share columns are within 0 and 1.
balanced() {
	awk -F '\t' -v OFS='\t' '
	NR == 1 { for (i = 1; i <= NF; i++) col[$i] = i; since = "since" in col
		first = since ? col["start"] : col["in"]; keys = col["step"] - 2 - since; next }
	{
		came = $col["in"] + $col["found"] + $col["crossed"] + $col["back"] + (since ? $col["start"] : 0)
		if (came != $col["out"] + $col["culled"] + $col["still"]) { print "does not add up: " $0; bad = 1 }
		for (i = first; i <= col["still"]; i++)
			if (i != col["crossed"] && i != col["back"] && $i < 0) { print "less than none: " $0; bad = 1 }
		if ($col["yield"] != "" && !($col["yield_low"] <= $col["yield"] && $col["yield"] <= $col["yield_high"] &&
			$col["yield_low"] >= 0 && $col["yield_high"] <= 1)) { print "shares: " $0; bad = 1 }
		# once no piece is left, the yield is what wy-yield(1) defines
		gone = $col["out"] + $col["culled"]
		if ($col["step"] != "all" && gone > 0 && !$col["still"] && ($col["yield"] - $col["out"] / gone) ^ 2 > 1e-18) { print "yield: " $0; bad = 1 }
		if ($col["step"] != "all" && !gone && $col["yield"] != "") { print "yield of none: " $0; bad = 1 }
		all = keys < 1 || $(2 + since) == "all"
		for (i = first; i <= col["still"]; i++) { if (all) total[$col["step"], i] += $i; else sum[$col["step"], i] += $i }
		if (all && $col["crossed"]) { print "crossed over all: " $0; bad = 1 }
		rows++
	}
	END {
		for (k in sum) { split(k, part, SUBSEP); if (part[2] != col["crossed"] && sum[k] != total[k]) { print "sum of " part[1] ", column " part[2] ": " sum[k] ", not " total[k]; bad = 1 }
			if (part[2] == col["crossed"] && sum[k] != 0) { print "crossed in " part[1]; bad = 1 } }
		exit bad || !rows
	}' "$T/out" >"$T/unbalanced" || fail "$1: $(head -n 3 "$T/unbalanced")"
}

@test "yield: golden answers, from a file, from standard input and in every form" {
	for args in $C/*.args; do
		while IFS='|' read -r name house book options; do
			# shellcheck disable=SC2086
			status 0 wy-yield ${house:+-H "$house"} $options "$book"
			same "$C/$name.want" "$name"
			# shellcheck disable=SC2086
			status 0 wy-yield ${house:+-H "$house"} $options <"$book"
			same "$C/$name.want" "$name from standard input"
		done <"$args"
	done
	[ "$(ls $C/*.want | wc -l)" -ge 14 ] || fail "too few golden answers"
	report
}

@test "yield: random books: each step and each loss as their maker counted them" {
	for seed in $(seq 1 30); do
		awk -v seed="$seed" -v events=300 -v out="$T" -f tests/lib/random.awk
		status 0 wy-yield -H $R --on 2099-12-31 "$T/book.wy"
		balanced "seed $seed"
		tail -n +2 "$T/out" | cut -f 2-9 | LC_ALL=C sort >"$T/got"
		LC_ALL=C sort "$T/steps" | cmp -s - "$T/got" || fail "seed $seed: $(LC_ALL=C sort "$T/steps" | diff - "$T/got" | head -n 6)"
		status 0 wy-yield -H $R --on 2099-12-31 --losses --no-header "$T/book.wy"
		cut -f 2-4 "$T/out" | grep -v '^all' | LC_ALL=C sort >"$T/got"
		LC_ALL=C sort "$T/losses" | cmp -s - "$T/got" || fail "seed $seed, losses: $(LC_ALL=C sort "$T/losses" | diff - "$T/got" | head -n 6)"
	done
	report
}

@test "yield: rows add up for every key, with pools apart and shared, and give the same wholes" {
	for seed in $(seq 31 36) example samples; do
		case $seed in
		example) book=$E/book.wy house=$E/house.yaml ;;
		samples) book=$(echo samples/book/*.wy) house=samples/house.yaml ;;
		*)
			awk -v seed="$seed" -v events=300 -v out="$T" -f tests/lib/random.awk
			book=$T/book.wy house=$R
			;;
		esac
		# shellcheck disable=SC2086
		wy-yield -H "$house" --on 2099-12-31 --no-header $book | cut -f 2-9 >"$T/whole"
		for by in $keys; do
			for how in "" --apportion --handles; do
				# shellcheck disable=SC2086
				status 0 wy-yield -H "$house" --on 2099-12-31 --by "$by" $how $book
				balanced "$seed $by $how"
				[ "$how" = --handles ] && continue
				awk -F '\t' '$2 == "all"' "$T/out" | awk -F '\t' -v OFS='\t' -v keys="$by" -v how="$how" '{
					n = split(keys, k, ","); at = n + 2; if (how == "" && keys ~ /tree|parcel|supplier|lot|month/) at++
					print $at, $(at + 1), $(at + 2), $(at + 3), $(at + 4), $(at + 5), $(at + 6), $(at + 7) }' >"$T/total"
				cmp -s "$T/total" "$T/whole" || fail "$seed $by $how: $(diff "$T/total" "$T/whole" | head -n 4)"
			done
		done
	done
	report
}

@test "yield: by lot it is what the stock's audit says, lot by lot" {
	for seed in $(seq 41 55) samples; do
		book=$T/book.wy house=$R
		if [ "$seed" = samples ]; then
			cat samples/book/*.wy >"$T/book.wy"
			house=samples/house.yaml
		else
			awk -v seed="$seed" -v events=300 -v out="$T" -f tests/lib/random.awk
		fi
		wy-stock -H $house --on 2099-12-31 --audit --no-header "$book" >"$T/audit"
		status 0 wy-yield -H $house --on 2099-12-31 --by lot --no-header "$book"
		# a bat counts with its blade's lot; lot in found crossed culled still
		awk -F '\t' 'FILENAME ~ /book/ { n = split($0, w, / +/); for (i = 1; i <= n; i++) if (w[i] == "make") for (k = i; k <= n; k++)
				if (w[k] ~ /^blade=/) { b = substr(w[k], 7); sub(/\/.*/, "", b); of[w[i + 1]] = b }; 
				for (i = 2; i <= n; i++) if (w[i] == "form=handle" && w[i - 2] == "buy" || w[i] == "form=handle" && w[i - 3] == "tally") handle[w[i - 1]] = handle[w[i - 2]] = 1; next }
			handle[$2] { next }
			{ l = $2 in of ? of[$2] : $2; seen[l]
			  if (!($2 in of)) { in_[l] += $3; crossed[l] += $5 - $6 } found[l] += $4; culled[l] += $8; still[l] += $10 }
			END { for (l in seen) if (in_[l] || found[l] || crossed[l] || culled[l] || still[l]) print l "\t" in_[l] + 0 "\t" found[l] + 0 "\t" crossed[l] + 0 "\t" culled[l] + 0 "\t" still[l] + 0 }' \
			"$book" "$T/audit" | LC_ALL=C sort >"$T/want"
		awk -F '\t' '$4 == "all" && $2 != "all" && ($5 || $6 || $7 || $10 || $11) { print $2 "\t" $5 "\t" $6 "\t" $7 "\t" $10 "\t" $11 }' "$T/out" | LC_ALL=C sort >"$T/got"
		cmp -s "$T/want" "$T/got" || fail "$seed: $(diff "$T/want" "$T/got" | head -n 6)"
		[ "$(wc -l <"$T/got")" -gt 5 ] || fail "$seed: few lots"
	done
	report
}

@test "yield: no order of lines or files shows, whatever the key" {
	for seed in 61 62 63 example; do
		book=$T/book.wy house=$R
		if [ $seed = example ]; then
			cp $E/book.wy "$T/book.wy"
			house=$E/house.yaml
		else
			awk -v seed=$seed -v events=300 -v out="$T" -f tests/lib/random.awk
		fi
		rm -f "$T"/s.* "$T"/part.*
		awk -v seed=3 -v times=2 -v out="$T/s" -f tests/lib/shuffle.awk "$book"
		split -n l/3 "$T/s.2" "$T/part."
		for by in tree lot,type charge month,supplier; do
			for how in "" --apportion --losses; do
				wy-yield -H $house --on 2099-12-31 --by "$by" $how "$book" >"$T/want" || fail "$seed $by $how"
				for files in "$T/s.1" "$T/part.ac $T/part.aa $T/part.ab"; do
					# shellcheck disable=SC2086
					status 0 wy-yield -H $house --on 2099-12-31 --by "$by" $how $files
					same "$T/want" "$seed $by $how"
				done
			done
		done
	done
	report
}

# Of alder's 20 clefts 2 were culled while they waited, and of the 11 on the line that loads them 1; none of koethe's 8 is left in the
# yard. The interval is Wilson's of as many pieces as went on or were culled (NIST/SEMATECH e-Handbook 7.2.4.1).
@test "yield: by supplier, the yield and its interval are what the page defines" {
	cat >"$T/b.wy" <<-'END'
	2026-01-05 buy L1 from=alder form=cleft count=SH:20 into=yard
	2026-01-06 scrap L1 at=yard cull=stain:2
	2026-01-10 load K1 kiln=north lot=L1 at=yard count=10 cull=split:1
	2026-01-05 buy L2 from=koethe form=cleft count=SH:8 into=yard
	2026-01-10 load K1 kiln=north lot=L2 at=yard count=7 cull=split:1
	END
	(cd "$T" && wy-yield --by=supplier --on=2026-02-01 --as=tsv b.wy) >"$T/out"
	bad=0
	while read -r row share n; do
		awk -F'\t' -v row="$row" -v p="$share" -v n="$n" 'BEGIN { split(p, part, "x"); p = 1; for (i = 1; i in part; i++) { split(part[i], of, "/"); p *= of[1] / of[2] } }
			$2 "," $4 == row { z = 1.959963984540054; zz = z * z / n; half = sqrt((p * (1 - p) + zz / 4) * zz)
				low = p > 0 ? (p + zz / 2 - half) / (1 + zz) : 0; high = p < 1 ? (p + zz / 2 + half) / (1 + zz) : 1
				found = ($13 - p) ^ 2 < 1e-18 && ($14 - low) ^ 2 < 1e-18 && ($15 - high) ^ 2 < 1e-18 }
			END { exit !found }' "$T/out" || { echo "$row: $(grep "${row%,*}.*${row#*,}" "$T/out")"; bad=1; }
	done <<-'END'
	alder,yard 18/20x10/11 13
	koethe,yard 7/8 8
	all,yard 26/28x17/19 21
	koethe,buy 8/8 8
	END
	[ "$bad" = 0 ]
}

@test "yield: periods follow one another, and lots part by the day on which they came in" {
	for seed in 71 72 73 74 75; do
		awk -v seed=$seed -v events=300 -v out="$T" -f tests/lib/random.awk
		: >"$T/periods"
		still=
		for days in 2026-01-01..2026-03-31 2026-04-01..2026-07-15 2026-07-16..2099-12-31; do
			status 0 wy-yield -H $R --since "${days%..*}" --on "${days#*..}" "$T/book.wy"
			balanced "seed $seed $days"
			# step start still
			awk -F '\t' 'NR > 1 && $3 != "all" && $4 { print $3, $4 }' "$T/out" >"$T/start"
			[ -z "$still" ] || cmp -s "$T/start" "$T/still" || fail "seed $seed $days: $(diff "$T/start" "$T/still" | head -n 4)"
			awk -F '\t' 'NR > 1 && $3 != "all" && $11 { print $3, $11 }' "$T/out" >"$T/still"
			still=1
			tail -n +2 "$T/out" | cut -f 3,5-10 >>"$T/periods"
		done
		wy-yield -H $R --on 2099-12-31 --no-header "$T/book.wy" | cut -f 2-8 | LC_ALL=C sort >"$T/want"
		awk -F '\t' -v OFS='\t' '{ seen[$1]; for (i = 2; i <= 7; i++) n[$1, i] += $i }
			END { for (s in seen) print s, n[s, 2], n[s, 3], n[s, 4], n[s, 5], n[s, 6], n[s, 7] }' "$T/periods" | LC_ALL=C sort >"$T/got"
		cmp -s "$T/want" "$T/got" || fail "seed $seed, periods: $(diff "$T/want" "$T/got" | head -n 6)"
		# cohorts
		for part in "--to 2026-03-31" "--from 2026-04-01 --to 2026-06-30" "--from 2026-07-01"; do
			# shellcheck disable=SC2086
			wy-yield -H $R --on 2099-12-31 --no-header $part "$T/book.wy" >"$T/out" || fail "seed $seed $part"
			cut -f 2-9 "$T/out"
		done | awk -F '\t' -v OFS='\t' '{ seen[$1]; for (i = 2; i <= 8; i++) n[$1, i] += $i }
			END { for (s in seen) print s, n[s, 2], n[s, 3], n[s, 4], n[s, 5], n[s, 6], n[s, 7], n[s, 8] }' | LC_ALL=C sort >"$T/got"
		wy-yield -H $R --on 2099-12-31 --no-header "$T/book.wy" | cut -f 2-9 | LC_ALL=C sort | cmp -s - "$T/got" ||
			fail "seed $seed: the cohorts do not make the whole"
	done
	report
}

@test "yield: charges of the sample works hold what their lines say" {
	wy-yield -H samples/house.yaml --on 2099-12-31 --by charge --no-header samples/book/*.wy |
		awk -F '\t' '$3 == "kiln" && $2 != "all" { print $2, $4 + $7, $8, $9 }' >"$T/got"
	# by another hand: what the load, unload and oven lines add up to
	cat samples/book/*.wy | awk '
		function sum(s,    n, k, p, t) { sub(/^[a-z]*=/, "", s); n = split(s, p, ","); for (k = 1; k <= n; k++) { sub(/.*:/, "", p[k]); t += p[k] }; return t }
		{ e = $2 ~ /:/ ? 3 : 2; if ($e !~ /^(load|unload|oven)$/) next
		  for (i = e + 2; i <= NF && $i != "#"; i++) { if ($i ~ /^count=/) n[$e, $(e + 1)] += sum($i); if ($i ~ /^cull=/ && $e != "load") c[$(e + 1)] += sum($i) }
		  seen[$(e + 1)] }
		END { for (k in seen) print k, n["load", k] + 0, n["unload", k] + 0, c[k] + 0 }' | LC_ALL=C sort >"$T/want"
	[ "$(wc -l <"$T/want")" = 17 ]
	cmp "$T/got" "$T/want"
}

@test "yield: the odds of loss that the sample works was made with are found again" {
	for by in parcel supplier; do
		wy-yield -H samples/house.yaml --on 2027-12-31 --by $by --apportion --no-header samples/book/*.wy |
			awk -F '\t' -v OFS='\t' '{ print "step", $2, $3, $8, $9 }'
		wy-yield -H samples/house.yaml --on 2027-12-31 --by $by --apportion --losses --no-header samples/book/*.wy |
			awk -F '\t' -v OFS='\t' '$4 == "test" { print "test", $2, $3, $5 }'
	done >"$T/found"
	# a share's distance from its odds in standard deviations; test pieces are not lost by chance
	awk -F '\t' 'FILENAME ~ /parameters/ { if ($1 == "cull") odds[$2, $3] = $4; next }
		$1 == "test" { test[$2, $3] = $4; next }
		{ out[$2, $3] = $4; culled[$2, $3] = $5 }
		END {
			for (k in out) {
				split(k, part, SUBSEP); p = odds[part[1], part[2] == "kiln" ? "unload" : part[2]]
				if (!p) continue
				c = culled[k] - test[k]; n = out[k] + c; z = (c - n * p) / sqrt(n * p * (1 - p)); seen++
				if (z > 3.3 || z < -3.3) { print part[1], part[2] ": " c " of " n " lost, odds " p ", z " z; bad = 1 }
			}
			print seen " shares"; exit bad || seen < 22
		}' samples/truth/parameters.tsv "$T/found"
}

@test "yield: after a mistake it still answers, adds up, and says so" {
	for seed in 81 82 83 84 85 86; do
		awk -v seed=$seed -v events=200 -v out="$T" -f tests/lib/random.awk
		awk -v seed=$seed 'NR % 37 != seed % 37' "$T/book.wy" >"$T/gaps.wy"
		got=0
		wy-yield -H $R --on 2099-12-31 --by charge "$T/gaps.wy" >"$T/out" 2>"$T/err" || got=$?
		[ $got = 1 ] && grep -q ': error: ' "$T/err" || fail "seed $seed: status $got over a book with gaps"
		balanced "seed $seed with gaps"
	done
	# a lot that never came in is in no cohort
	echo '2026-03-01 move L9 at=yard form=cleft type=SH count=3 into=bench' >"$T/never.wy"
	status 1 wy-yield --on 2099-12-31 "$T/never.wy"
	[ "$(wc -l <"$T/out")" = 1 ] || fail "a lot that never came in has pieces"
	status 1 wy-yield --on 2099-12-31 --from 2026-01-01 "$T/never.wy"
	[ "$(wc -l <"$T/out")" = 1 ] || fail "a lot that never came in has come in since January"
	report
}

@test "yield: every exit status, and options that do not go together" {
	status 0 wy-yield --on 2026-12-31 $C/ways.wy
	status 1 wy-yield --on 2026-12-31 /dev/null
	[ "$(wc -l <"$T/out")" = 1 ] || fail "rows of an empty book"
	status 1 wy-yield --on 2025-12-31 $C/ways.wy
	status 1 wy-yield --on 2026-12-31 --from 2026-12-01 $C/ways.wy
	status 1 wy-yield --on 2026-01-01 --losses $C/ways.wy
	{ cat $C/ways.wy; echo '2026-03-04 sell'; } >"$T/bad.wy"
	status 1 wy-yield --on 2026-12-31 "$T/bad.wy"
	[ ! -s "$T/out" ] || fail "an answer over a line that could not be read"
	status 1 wy-yield --on 2026-12-31 --without-bad "$T/bad.wy"
	cp "$T/out" "$T/left"
	status 0 wy-yield --on 2026-12-31 $C/ways.wy
	same "$T/left" "--without-bad"
	for wrong in "--by colour" "--by tree,tree" "--by ,tree" "--losses --through" "--from 2026-02-01 --to 2026-01-01" "--since today" "--since 2026-05-02 --on 2026-05-01" \
		"--from 2026-02-30" "--as tab" "--nonsense"; do
		# shellcheck disable=SC2086
		status 2 wy-yield $wrong $C/ways.wy
		[ ! -s "$T/out" ] && [ -s "$T/err" ] || fail "$wrong: no message, or an answer"
	done
	status 2 wy-yield "$T/none.wy"
	status 2 wy-yield "$T"
	report
}

@test "yield: the page's examples come out, it is clean, and it has every option" {
	mandoc -T lint -W warning tools/wy-yield.1
	sed -n '/^\$ cat pool.wy/,/^\$ wy-yield/p' tools/wy-yield.1 | grep '^2026' >"$T/pool.wy"
	sed -n '/^\$ wy-yield/,/^\.Ed/p' tools/wy-yield.1 | grep -v '^\.Ed' >"$T/page"
	[ "$(grep -c '^\$' "$T/page")" = 3 ]
	(cd "$T" && sed -n 's/^\$ //p' page | while read -r call; do echo "\$ $call"; sh -c "$call"; done) >"$T/got"
	cmp "$T/page" "$T/got" || diff "$T/page" "$T/got"
	wy-yield --help-options | cut -f 1 | sed 's/^--//' >"$T/options"
	[ "$(wc -l <"$T/options")" -ge 15 ]
	while read -r name; do
		grep -q "Fl -$name" tools/wy-yield.1 || fail "no --$name on the page"
	done <"$T/options"
	report
}

@test "yield: every answer fits a terminal of 80 columns, in one table" {
	n=0
	for by in "" tree supplier,month lot,type,charge parcel,supplier,lot,month tree,parcel,supplier,lot,month,charge,type; do
		for how in "" --losses --through --handles --apportion "--since=2027-06-01" "--since=2027-06-01 --through" "--since=2027-06-01 --losses"; do
			# shellcheck disable=SC2086
			on_terminal 80 wy-yield -H samples/house.yaml -b --on 2027-12-31 ${by:+--by=$by} $how || fail "$by $how: status $?"
			fits 80 "$by $how"
			n=$((n + 1))
		done
	done
	[ $n = 48 ] || fail "$n modes"
	report
}

# finding ARGUMENTS...: the sentences above the table, on one line
finding() { wy-yield "$@" --as=text | sed '/^$/,$d' | tr '\n' ' ' | sed 's/ $//'; }

@test "yield: what is shown adds up in every row, and the finding is the last row" {
	for args in "" "--by supplier" "--since 2027-06-01"; do
		# shellcheck disable=SC2086
		wy-yield -H samples/house.yaml -b --on 2027-12-31 $args --as=text >"$T/out"
		awk '/^$/ { part++ } part == 1' "$T/out" | sed 1d | awk -v args="$args" 'NR == 1 { gsub(/went on/, "out"); gsub(/waiting/, "still"); gsub(/in all/, "all_"); gsub(/at the start/, "start"); for (i = 1; i <= NF; i++) at[$i] = i; next }
			{ n++; all = $at["all_"]; if ($at["out"] + $at["culled"] + $at["still"] != all) { print args ": " $0; bad = 1 } } END { exit bad || n < 5 }' || fail "$args: $(cat "$T/out")"
		[ "$(sed -nE 's/^Of ([0-9]+) pieces.*/\1/p' "$T/out")" = "$(wy-yield -H samples/house.yaml -b --on 2027-12-31 $args --columns=pieces --no-header | tail -n 1)" ] ||
			fail "$args: the finding is not the last row: $(head -n 1 "$T/out")"
	done
	report
}

@test "yield: steps with as many culls are all named" {
	printf '%s\n' '2026-01-01 cleave L1 tree=T1 count=SH:90 cull=knot:2 into=yard' '2026-02-01 load K1 kiln=north lot=L1 at=yard count=90' \
		'2026-03-01 unload K1 count=88 cull=split:2 into=bench' >"$T/b.wy"
	finding --on 2026-03-31 "$T/b.wy" | grep -q ' The most culls of a step, 2, are in cleave (of 92) and kiln (of 90)\.$' || fail "$(finding --on 2026-03-31 "$T/b.wy")"
	report
}

@test "yield: the finding says how many got to the end, and where most were culled" {
	cat >"$T/b.wy" <<-'END'
	2026-01-01 cleave L1 tree=T1 count=SH:90 cull=knot:10 into=yard
	2026-02-01 load K1 kiln=north lot=L1 at=yard count=90
	2026-03-01 unload K1 count=60 cull=split:20,warp:10 into=bench
	2026-03-02 sell L1 count=30 to=lund
	END
	got=$(finding --on 2026-03-31 "$T/b.wy")
	# by hand: 30 of 90 is 33 %; Wilson's interval of it 24.5 to 43.6 %
	[ "$got" = "Of 100 pieces that came in up to 2026-03-31, 30 (30 %) were sold, 40 (40 %) were culled and 30 (30 %) are still there. The step with the most culls is kiln: 30 of 90 (33 %, 95 % interval 24 to 44 %)." ] || fail "$got"
	# of all keys together it is the same, whatever the rows are
	[ "$(finding --on 2026-03-31 --by tree,lot "$T/b.wy")" = "$got" ] || fail "by tree and lot: $(finding --on 2026-03-31 --by tree,lot "$T/b.wy")"
	got=$(finding --on 2026-03-31 --losses --by lot "$T/b.wy")
	[ "$got" = "40 pieces were culled. The most frequent cause in one step is split in kiln: 20 of 90 (22 %, 95 % interval 15 to 32 %)." ] || fail "$got"
	[ "$(finding --on 2025-03-31 "$T/b.wy")" = "No piece came in, went on or was culled on these days." ] || fail "nothing: $(finding --on 2025-03-31 "$T/b.wy")"
	[ "$(finding --on 2026-03-31 --since 2026-03-02 --losses "$T/b.wy")" = "No piece was culled on these days." ] || fail "no losses"
	got=$(finding --on 2026-03-31 --since 2026-03-02 "$T/b.wy")
	[ "$got" = "Of 60 pieces there on 2026-03-02 or come in up to 2026-03-31, 30 (50 %) were sold, 0 were culled and 30 (50 %) are still there." ] || fail "$got"
	report
}

@test "yield: the page's examples for a works' own book give an answer on the sample book" {
	sed -n '/^\.Ed/,$p' tools/wy-yield.1 | awk '/^\.Bd/ { on = 1; next } /^\.Ed/ { on = 0 } on' | sed 's/>stock.html//' >"$T/calls"
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

# Without keys the stages hold one cell a step; with keys one for each lot, charge or type. The row of all keys is the same.
@test "yield: the rows of all pieces are the same, whichever keys are asked for beside them" {
	export WITHY_TODAY=2027-12-31
	for options in '' --since=2026-09-01 --apportion --handles --through; do
		# shellcheck disable=SC2086
		wy-yield -H samples/house.yaml --as=tsv $options samples/book/*.wy | sed 's/\t[^\t]*$//' >"$T/all"
		[ "$(wc -l <"$T/all")" -gt 2 ] || fail "$options: no rows"
		for by in lot supplier charge type charge,type; do
			# shellcheck disable=SC2086
			wy-yield -H samples/house.yaml --as=tsv $options --by=$by samples/book/*.wy >"$T/by"
			# (what is a share depends on the keys: the last column)
			awk -F '\t' -v OFS='\t' -v key="${by%%,*}" -v all="$T/all" 'BEGIN { getline head <all; n = split(head, name); print head }
				NR == 1 { for (i = 1; i <= NF; i++) col[$i] = i; next }
				$col[key] == "all" { for (i = 1; i <= n; i++) printf "%s%s", $col[name[i]], i < n ? OFS : ORS }' "$T/by" >"$T/of-keys"
			cmp -s "$T/all" "$T/of-keys" || fail "$options --by=$by: $(diff "$T/all" "$T/of-keys" | head -n 4)"
		done
	done
	# Losses are added up, and so are those of the rows of all keys.
	losses() {
		wy-yield -H samples/house.yaml --as=tsv --losses ${2:+--by="$2"} $1 samples/book/*.wy | awk -F '\t' -v key="${2%%,*}" -v all="$3" '
			NR == 1 { for (i = 1; i <= NF; i++) col[$i] = i; next }
			!key || ($col[key] == "all") == all { n[$col["step"] " " $col["cause"]] += $col["count"] }
			END { for (k in n) print k, n[k] }' | sort
	}
	for since in '' --since=2027-01-01; do
		losses "$since" '' 0 >"$T/all"
		[ "$(wc -l <"$T/all")" -gt 10 ] || fail "$since: no losses"
		for by in lot supplier charge type charge,type; do
			for all in 0 1; do
				losses "$since" $by $all | cmp -s - "$T/all" || fail "$since: other losses by $by, $all"
			done
		done
	done
	report
}
