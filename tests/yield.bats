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
		# without a first day, what came back counts once
		wy-yield -H samples/house.yaml -b --on 2027-12-31 $args --columns=pieces,back --no-header | tail -n 1 | awk -v since="$args" '{ print since ~ /since/ ? $1 : $1 - $2 }' >"$T/want"
		sed -nE 's/^Of ([0-9]+) pieces.*/\1/p' "$T/out" | cmp -s - "$T/want" ||
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
	page_calls tools/wy-yield.1
	[ $calls -ge 2 ] || fail "$calls calls"
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

# rows_of COLUMNS ARGUMENTS...: the rows without a header
rows_of() { columns=$1; shift; wy-yield --no-header --as=tsv --columns="$columns" "$@"; }

# Of ten clefts of one day four go on on day 10, two are scrapped on day 15, two go on on day 20 and two wait, since 30 days. By hand:
# 0.6 are left after day 10; of the four that are left on day 20 two go, so that 0.3 are. Without the waiting ones the median were 10.
@test "yield: pieces that wait, and that were culled, count in the days of a step" {
	cat >"$T/b.wy" <<-'END'
	2026-01-01 buy L1 form=cleft count=SH:10 into=yard from=alder
	2026-01-11 load K1 kiln=north lot=L1 at=yard count=4
	2026-01-16 scrap L1 at=yard cull=split:2
	2026-01-21 load K1 kiln=north lot=L1 at=yard count=2
	END
	got=$(rows_of step,median_days,median_low_days,median_high_days,p90_days,batches --step yard --on 2026-01-31 "$T/b.wy")
	[ "$got" = "$(printf 'yard\t20.0\t\t\t\t1')" ] || fail "$got"
	# a second lot, of the same day, is in the same batch; one of another day is another, and then there is an interval
	echo '2026-01-01 buy L2 form=cleft count=SH:1 into=yard from=alder' >>"$T/b.wy"
	[ "$(rows_of batches --step yard --on 2026-01-31 "$T/b.wy")" = 1 ] || fail "two lots of one day"
	# late entry: of the six there on 15 January, culled ones among them, four are at risk on the day on which two go on
	[ "$(rows_of start,median_days --step yard --since 2026-01-15 --on 2026-01-31 "$T/b.wy")" = "$(printf '7\t')" ] || fail "since: $(rows_of start,median_days --step yard --since 2026-01-15 --on 2026-01-31 "$T/b.wy")"
	echo '2026-01-21 load K1 kiln=north lot=L2 at=yard count=1' >>"$T/b.wy"
	[ "$(rows_of start,median_days --step yard --since 2026-01-15 --on 2026-01-31 "$T/b.wy")" = "$(printf '7\t20.0')" ] || fail "since, three of five"
	finding --on 2026-01-31 --days "$T/b.wy" | grep -q 'The slowest step is yard: half of the pieces have gone on by day 20\.$' || fail "$(finding --on 2026-01-31 --days "$T/b.wy")"
	report
}

@test "yield: the days have their interval where pieces came on several days, and are the same in any order" {
	export WITHY_TODAY=2027-12-31
	rows_of step,median_days,median_low_days,median_high_days,p90_days,batches -H samples/house.yaml samples/book/*.wy >"$T/got"
	awk -F '\t' '$1 == "all" || $1 == "cleave" || $1 == "buy" { if ($2 != "" || $6) { print; bad = 1 }; next }
		{ n++; if (!($3 <= $2 && $2 <= $4 && $2 <= $5 && $6 > 10)) { print; bad = 1 } } END { exit bad || n != 7 }' "$T/got" || fail "$(cat "$T/got")"
	# by charge the kiln has one batch each, so no interval, and the days between load and unload
	rows_of charge,median_days,median_low_days -H samples/house.yaml --by charge --step kiln samples/book/*.wy | awk -F '\t' '$1 != "all" && $2 != "" { n++; if ($3 != "" || $2 < 20 || $2 > 50) { print; bad = 1 } } END { exit bad || n != 16 }' ||
		fail "by charge"
	report
}

@test "yield: what is left of the start is said of each step, and of whose wood most is" {
	cat >"$T/b.wy" <<-'END'
	2026-01-01 buy L1 from=alder form=cleft count=SH:90 cull=short:10 into=yard
	2026-01-01 buy L2 from=brook form=cleft count=SH:100 into=yard
	2026-02-01 load K1 kiln=north lot=L1 at=yard count=90
	2026-02-01 load K1 kiln=north lot=L2 at=yard count=100
	2026-03-01 unload K1 lot=L1 count=45 cull=split:45 into=bench
	2026-03-01 unload K1 lot=L2 count=75 cull=split:25 into=bench
	END
	rows_of step,supplier,through --by supplier --on 2026-03-31 "$T/b.wy" | awk -F '\t' '$1 == "kiln" || $1 == "all" { printf "%s %s %.3f\n", $1, $2, $3 }' | sort >"$T/got"
	printf 'all %s\n' 'all 0.600' 'alder 0.450' 'brook 0.750' | sed 's/^all \(.*\)/all \1\nkiln \1/' | sort >"$T/want"
	cmp "$T/got" "$T/want" || fail "$(cat "$T/got")"
	finding --by supplier --on 2026-03-31 "$T/b.wy" | grep -q 'The most so far get through of brook (75 %, 95 % interval 66 to 82 %), the fewest of alder (45 %, 95 % interval 36 to 55 %)\.$' ||
		fail "$(finding --by supplier --on 2026-03-31 "$T/b.wy")"
	# --step leaves out rows and nothing else
	for step in cleave kiln all; do
		rows_of step,supplier,in,out,still,through --by supplier --on 2026-03-31 "$T/b.wy" | awk -F '\t' -v step=$step '$1 == step' >"$T/want"
		wy-yield --no-header --columns=step,supplier,in,out,still,through --by supplier --on 2026-03-31 --step $step "$T/b.wy" | cmp -s - "$T/want" || fail "--step $step"
	done
	report
}

@test "yield: lots and charges that kept their identity are exact, and the others are labelled" {
	export WITHY_TODAY=2027-12-31
	cat >"$T/b.wy" <<-'END'
	2026-01-01 buy L1 form=cleft count=SH:10 into=yard from=alder
	2026-01-01 buy L2 form=cleft count=SH:20 into=yard from=brook
	2026-02-01 load K1 kiln=north lot=L1 at=yard count=10
	2026-02-01 load K1 kiln=north lot=L2 at=yard count=20
	2026-03-01 unload K1 lot=L1 count=9 cull=split:1 into=bench
	2026-03-01 unload K1 lot=L2 count=19 cull=split:1 into=bench
	2026-03-02 pool M1 lot=L1:9,L2:19 at=bench
	2026-03-03 move M1 at=bench count=28 into=bench/2
	2026-03-04 plane M1 at=bench/2 count=SH:27 cull=knot:1 into=bench
	END
	rows_of step,supplier,pieces,shared --by supplier --apportion "$T/b.wy" >"$T/got"
	# all of the pool moved together: that was exact; who the culled one was of is not known
	awk -F '\t' '$2 == "all" && ($1 == "kiln" || $1 == "yard" || $1 == "buy") && $4 { bad = 1 } $2 == "all" && $1 == "plane" { seen = $3 == 28 && $4 == 28 } END { exit bad || !seen }' "$T/got" || fail "pool: $(cat "$T/got")"
	rows_of step,supplier,shared --by supplier "$T/b.wy" | awk -F '\t' '$3 { exit 1 }' || fail "pools apart are exact"
	rows_of step,charge,shared --by charge "$T/b.wy" | awk -F '\t' '$3 { exit 1 }' || fail "one charge is exact"
	# two charges of one lot in one heap
	cat >"$T/c.wy" <<-'END'
	2026-01-01 buy L1 form=cleft count=SH:30 into=yard from=alder
	2026-02-01 load K1 kiln=north lot=L1 at=yard count=10
	2026-02-01 load K2 kiln=south lot=L1 at=yard count=20
	2026-03-01 unload K1 count=10 into=bench
	2026-03-01 unload K2 count=20 into=bench
	2026-03-05 plane L1 at=bench count=20 cull=knot:1
	2026-03-06 plane L1 at=bench count=9
	END
	rows_of charge,step,shared --by charge "$T/c.wy" | awk -F '\t' '$2 == "kiln" && $3 { bad = 1 } $1 == "all" && $2 == "plane" { seen = $3 } END { exit bad || seen != 30 }' || fail "charges: $(rows_of charge,step,shared --by charge "$T/c.wy")"
	wy-yield --by charge --as text "$T/c.wy" | grep -q '^shared: pieces that are out of a heap of several charges' || fail "no note"
	# for every book a label is of no more than the pieces
	for seed in 91 92 93; do
		awk -v seed=$seed -v events=300 -v out="$T" -f tests/lib/random.awk
		for by in tree lot charge supplier,charge; do
			rows_of start,in,found,crossed,back,shared --since 2026-04-01 --on 2099-12-31 -H $R --by $by --apportion "$T/book.wy" >"$T/out"
			awk -F '\t' '{ if ($6 < 0 || $6 > $1 + $2 + $3 + $4 + $5) { print; bad = 1 } n += $6 } END { exit bad }' "$T/out" || fail "$seed $by"
		done
	done
	report
}

# By hand: 10.00 on each of ten; two are scrapped (20.00), whose money the eight carry, 12.50 on each; one of them is culled. In a pool of
# 6 at 12.50 and 6 at 2.00 (12.00 for six), three culled ones have a quarter of all of it: 21.75.
@test "yield: what lost pieces had cost, by hand" {
	cat >"$T/b.wy" <<-'END'
	2026-01-01 buy L1 form=cleft count=SH:10 cull=short:5 into=yard from=alder price=100.00EUR
	2026-01-10 scrap L1 at=yard cull=split:2
	2026-02-01 load K1 kiln=north lot=L1 at=yard count=8
	2026-02-28 cost K1 kind=power price=800.00EUR
	2026-02-27 unload K1 count=7 cull=warp:1 into=bench
	END
	rows_of step,cause,count,currency,cost --losses --on 2026-02-26 "$T/b.wy" | grep -v '^all' >"$T/got"
	printf 'buy\tshort\t5\tEUR\t0.00\nyard\tsplit\t2\tEUR\t20.00\n' | cmp - "$T/got" || fail "$(cat "$T/got")"
	rows_of step,cause,count,currency,cost --losses --on 2026-03-31 "$T/b.wy" | grep '^kiln' >"$T/got"
	printf 'kiln\twarp\t1\tEUR\t12.50\n' | cmp - "$T/got" || fail "$(cat "$T/got")"
	got=$(finding --losses --on 2026-03-31 "$T/b.wy")
	[ "$got" = "8 pieces were culled; the cost on them was 32.50 EUR. The most frequent cause in one step is short in buy: 5 of 15 (33 %, 95 % interval 15 to 58 %). Most money was lost by split in yard: 20.00 EUR." ] || fail "$got"
	rows_of step,cause --losses --rank money --step all --on 2026-03-31 "$T/b.wy" | head -n 1 | grep -q split || fail "--rank money"
	rows_of step,cause --losses --step all --on 2026-03-31 "$T/b.wy" | head -n 1 | grep -q short || fail "--rank pieces"
	cat >"$T/pool.wy" <<-'END'
	2026-01-01 buy L1 form=blade count=SH:6 into=store from=alder price=75.00EUR
	2026-01-01 buy L2 form=blade count=SH:6 into=store from=brook price=12.00EUR
	2026-01-05 pool M1 lot=L1:6,L2:6 at=store
	2026-01-09 scrap M1 at=store cull=split:3
	END
	[ "$(rows_of cost --losses --step grade --on 2026-01-31 "$T/pool.wy")" = 21.75 ] || [ "$(rows_of cost --losses --step all --on 2026-01-31 "$T/pool.wy")" = 37.50 ] || fail "pool: $(wy-yield --losses --on 2026-01-31 "$T/pool.wy")"
	# without a price nothing is said of money; a price without a rate leaves it out, and the counts are there
	sed 's/ price=[^ ]*//' "$T/b.wy" | grep -v ' cost ' >"$T/none.wy"
	rows_of cost --losses --on 2026-03-31 "$T/none.wy" | grep -q . && fail "a cost without a price"
	{ cat "$T/b.wy"; echo '2026-01-02 buy L9 form=cleft count=SH:1 into=yard from=alder price=5.00GBP'; } >"$T/rate.wy"
	status 0 wy-yield --losses --as text --on 2026-03-31 "$T/rate.wy"
	grep -q 'no rate' "$T/out" && ! grep -q 'EUR' "$T/out" || fail "no rate: $(cat "$T/out")"
	report
}

# The log of losses follows the pieces in one way and the costing in another: all keys, and periods that follow each other, give the same wholes.
@test "yield: the money of losses adds up, on random books with prices" {
	# losses SINCE ON ARGUMENTS...: step cause count cost of all keys
	sums() { rows_of step,cause,count,cost --losses "$@" | grep -v '^all' | awk -F '\t' -v OFS='\t' '{ n[$1 OFS $2] += $3; m[$1 OFS $2] += $4 } END { for (k in n) printf "%s\t%d\t%.2f\n", k, n[k], m[k] }' | LC_ALL=C sort; }
	H=tests/cases/cost/random.yaml
	for seed in 11 12 13 14 15 16; do
		awk -v seed=$seed -v events=250 -v out="$T" -f tests/lib/random.awk
		python3 tests/oracles/cost_random.py $seed <"$T/book.wy" >"$T/b.wy"
		sums -H $H --on 2099-12-31 "$T/b.wy" >"$T/whole"
		[ -s "$T/whole" ] || fail "$seed: no losses"
		for by in lot supplier charge type,charge; do
			for how in "" --apportion; do
				# shellcheck disable=SC2086
				rows_of "$by,step,cause,count,cost" -H $H --on 2099-12-31 --losses --by $by $how "$T/b.wy" | awk -F '\t' -v OFS='\t' '$1 != "all" && $(NF - 3) != "all" { k = $(NF - 3) OFS $(NF - 2); n[k] += $(NF - 1); m[k] += $NF }
					END { for (k in n) printf "%s\t%d\t%.2f\n", k, n[k], m[k] }' | LC_ALL=C sort >"$T/got"
				cmp -s "$T/whole" "$T/got" || fail "$seed $by $how: $(diff "$T/whole" "$T/got" | head -n 4)"
			done
		done
		# what a cost is spread over depends on lines that come later, such as more clefts of the tree; a price without such is on its pieces at once
		grep -vE '^[^#]* (cost|credit|fell|cleave) ' "$T/b.wy" >"$T/prices.wy"
		sums -H $H --on 2099-12-31 "$T/prices.wy" >"$T/whole" 2>/dev/null || true
		for days in 2000-01-01..2026-03-31 2026-04-01..2026-06-15 2026-06-16..2099-12-31; do
			sums -H $H --since "${days%..*}" --on "${days#*..}" "$T/prices.wy" 2>/dev/null || true
		done | awk -F '\t' -v OFS='\t' '{ n[$1 OFS $2] += $3; m[$1 OFS $2] += $4 } END { for (k in n) printf "%s\t%d\t%.2f\n", k, n[k], m[k] }' | LC_ALL=C sort >"$T/got"
		cmp -s "$T/whole" "$T/got" || fail "$seed, periods: $(diff "$T/whole" "$T/got" | head -n 4)"
	done
	report
}

@test "yield: the year-end counts of the sample works: what is missing and what was found" {
	cat samples/book/*.wy | awk '{ e = $2 ~ /:/ ? 3 : 2 } $e == "tally" && $1 > "2026-01-01" { for (i = e; i <= NF; i++) { if ($i ~ /^cull=missing:/) { sub(/.*:/, "", $i); missing += $i } if ($i ~ /^found=/) { sub(/.*=/, "", $i); found += $i } } }
		END { print missing, found }' >"$T/want"
	finding -H samples/house.yaml -b --losses --on 2027-12-31 | sed -nE 's/.* In stock counts ([0-9]+) pieces were missing, and ([0-9]+) were found that the book did not have\.$/\1 \2/p' | paste -s >"$T/got"
	cmp "$T/want" "$T/got"
	[ "$(cat "$T/got")" = "7 5" ] || fail "$(cat "$T/got")"
	for year in 2026:5 2027:2; do
		got=$(rows_of count -H samples/house.yaml -b --losses --step store --since "${year%:*}-12-31" --on "${year%:*}-12-31")
		[ "$got" = "${year#*:}" ] || fail "$year: $got"
		finding -H samples/house.yaml -b --losses --since "${year%:*}-12-31" --on "${year%:*}-12-31" | grep -q 'missing in store' || fail "$year: no finding"
	done
	report
}

@test "yield: losses against the months before are those of each month by itself" {
	S="-H samples/house.yaml -b --as tsv --no-header"
	months="2026-11 2026-12 2027-01 2027-02 2027-03 2027-04 2027-05 2027-06 2027-07 2027-08 2027-09 2027-10 2027-11"
	for month in $months; do
		last=$(date -u -d "$month-01 +1 month -1 day" +%F)
		# shellcheck disable=SC2086
		wy-yield $S --losses --since $month-01 --on "$last" --columns=step,cause,count,cost | grep -v '^all' | sed "s/^/$month\t/"
	done >"$T/months"
	awk -F '\t' -v OFS='\t' '{ k = $2 OFS $3; seen[k]; if ($1 == "2027-11") { n[k] = $4; m[k] = $5 } else { b[k] += $4; c[k] += $5 } }
		END { for (k in seen) printf "%s\t%d\t%.2f\t%d\t%.1f\n", k, n[k], m[k], b[k], c[k] / 12 }' "$T/months" | LC_ALL=C sort >"$T/want"
	# shellcheck disable=SC2086
	wy-yield $S --losses --since 2027-11-01 --on 2027-11-30 --baseline 12 --columns=step,cause,count,cost,baseline_count,baseline_cost_month |
		awk -F '\t' '{ printf "%s\t%s\t%d\t%.2f\t%d\t%.1f\n", $1, $2, $3, $4, $5, $6 }' | LC_ALL=C sort >"$T/got"
	# a step that nothing could leave has no row
	grep -vE '^(cleave|buy|yard)' "$T/want" | cmp -s - "$T/got" || fail "$(grep -vE '^(cleave|buy|yard)' "$T/want" | diff - "$T/got")"
	# the pieces on unloading and grading lines of November, by another hand
	awk '{ e = $2 ~ /:/ ? 3 : 2 } $1 ~ /^2027-11/ && $e == "unload" { for (i = e; i <= NF; i++) if ($i ~ /^(count|cull)=/) { n = split(substr($i, index($i, "=") + 1), p, ","); for (k = 1; k <= n; k++) { sub(/.*:/, "", p[k]); all += p[k] } } }
		END { print all }' samples/book/*.wy >"$T/want"
	# shellcheck disable=SC2086
	[ "$(wy-yield $S --losses --since 2027-11-01 --on 2027-11-30 --baseline 12 --columns=step,cause,of | awk -F '\t' '$1 == "kiln" && $2 == "split" { print $3 }')" = "$(cat "$T/want")" ] || fail "of the kiln: not $(cat "$T/want")"
	report
}

@test "yield: a cause that moved is found, and the others are not" {
	# a load, an unload and a grading each month; splits are 2 of 100 but in the last month 12, knots vary around 5
	for m in 01 02 03 04 05 06 07 08 09 10 11 12 13; do
		date=$(date -u -d "2026-01-01 +$((10#$m - 1)) months" +%Y-%m)
		splits=2 knots=$((3 + 10#$m * 7 % 5))
		[ $m = 13 ] && splits=12
		printf '%s\n' "$date-02 buy L$m form=cleft count=SH:100 into=yard from=alder" "$date-03 load K$m kiln=north lot=L$m at=yard count=100" \
			"$date-20 unload K$m count=$((100 - splits)) cull=split:$splits into=bench" "$date-21 plane L$m at=bench count=SH:$((100 - splits - knots)) cull=knot:$knots"
	done >"$T/b.wy"
	rows_of step,cause,count,of,expected,baseline_count,baseline_of,moved --losses --since 2027-01-01 --on 2027-01-31 --baseline 12 "$T/b.wy" >"$T/got"
	printf 'kiln\tsplit\t12\t100\t2\t24\t1200\tmore\n' | cmp -s - <(grep '^kiln' "$T/got") || fail "$(cat "$T/got")"
	grep '^plane' "$T/got" | awk -F '\t' '{ exit $8 != "" }' || fail "knots moved: $(cat "$T/got")"
	finding --losses --since 2027-01-01 --on 2027-01-31 --baseline 12 "$T/b.wy" | grep -q 'More than expected: split in kiln, 12 of 100 (12 %; before 2.0 %)\.$' ||
		fail "$(finding --losses --since 2027-01-01 --on 2027-01-31 --baseline 12 "$T/b.wy")"
	finding --losses --since 2026-12-01 --on 2026-12-31 --baseline 11 "$T/b.wy" | grep -q 'No cause moved' || fail "December moved"
	# nothing before: no range, and no failure
	finding --losses --since 2026-01-01 --on 2026-01-31 --baseline 12 "$T/b.wy" | grep -q 'the 12 months before have no pieces to compare them with' || fail "nothing before"
	rows_of step,expected,moved --losses --since 2026-01-01 --on 2026-01-31 --baseline 12 "$T/b.wy" | awk -F '\t' '$2 $3 != "" { exit 1 } END { exit NR != 2 }' || fail "without a baseline"
	for wrong in "--baseline 12" "--losses --baseline 12" "--losses --baseline 0 --since 2026-05-01" "--rank money" "--days --through" "--losses --days" \
		"--losses --baseline 3 --since 2026-05-01 --step all" "--step market"; do
		# shellcheck disable=SC2086
		status 2 wy-yield --on 2026-12-31 $wrong "$T/b.wy"
		[ ! -s "$T/out" ] && [ -s "$T/err" ] || fail "$wrong: no message, or an answer"
	done
	report
}

# A handle that is taken out of a bat again and culled is not a step of the way.
@test "yield: a handle is through when it went into a bat" {
	status 0 wy-yield -H samples/house.yaml --handles --on 2027-12-31 --as=tsv --columns=step,yield,culled,through samples/book/*.wy
	awk -F'\t' 'BEGIN { way = 1 } $1 == "buy" || $1 == "store" || $1 == "shop" { way *= $2 } $1 == "bat" { seen = $3 > 0 }
		$1 == "all" { exit !(seen && way < 0.99 && $4 > way - 1e-9 && $4 < way + 1e-9) }' "$T/out" || fail "$(cat "$T/out")"
	report
}

@test "yield: a bat that came back, and a handle in place of another, are pieces that came in once" {
	cat >"$T/b.wy" <<-'END'
	2026-07-01 tally L001 at=shop form=blade type=SH grade=1 count=4 found=4
	2026-07-01 tally H001 at=shop form=handle type=HS count=4 found=4
	2026-07-02 make B1 blade=L001 handle=H001 at=shop
	2026-07-02 make B2 blade=L001 handle=H001 at=shop
	2026-07-05 sell B1 to=club
	2026-07-10 return B1 from=club cause=broken into=shop
	2026-07-11 rehandle B1 handle=H001 at=shop cull=test:1
	2026-07-12 sell B1 to=club
	END
	# of 4 blades 1 is in a bat with the club; of 4 handles 2 are in bats and 1 was culled
	got=$(finding --on 2026-07-20 "$T/b.wy")
	[ "$got" = "Of 4 pieces that came in up to 2026-07-20, 1 (25 %) was sold, 0 were culled and 3 (75 %) are still there." ] || fail "$got"
	got=$(finding --handles --on 2026-07-20 "$T/b.wy")
	[ "$got" = "Of 4 pieces that came in up to 2026-07-20, 2 (50 %) are in bats, 1 (25 %) was culled and 1 (25 %) is still there." ] || fail "$got"
	# the row of a bat's old handle has no yield, and no part in the yields so far
	status 0 wy-yield --handles --on 2026-07-20 --step bat --no-header --columns=culled,yield,through "$T/b.wy"
	[ "$(cat "$T/out")" = $'1\t\t' ] || fail "$(cat "$T/out")"
	# in a span of days a bat that was sold before it comes in again
	got=$(finding --on 2026-07-11 --since 2026-07-06 "$T/b.wy")
	[ "$got" = "Of 4 pieces there on 2026-07-06 or come in or back up to 2026-07-11, 0 were sold, 0 were culled and 4 (100 %) are still there." ] || fail "$got"
	report
}
