# wy-grade: what it counts, by which keys, with what interval, and how it ends.

load lib/common
load lib/terminal

setup() {
	at_root
	C=tests/cases/grade/book.wy
	H=tests/cases/grade/house.yaml
	E=tests/cases/example/book.wy
	EH=tests/cases/example/house.yaml
}

# counts ARGUMENTS... <WANT: the answer without header and intervals, an empty cell as `.`
counts() {
	sed 's/ *#.*//' >"$T/want"
	status 0 wy-grade -H "$H" --no-header "$@" "$C" || return 1
	awk -F'\t' '{ for (i = 1; i <= NF - 5; i++) printf "%s%s", $i == "" ? "." : $i, i < NF - 5 ? " " : "\n" }' "$T/out" |
		diff "$T/want" - || { echo "wy-grade $*"; return 1; }
}

# graded WHO COUNTS...: a book of one lot with these blades, whatever the counts
graded() {
	printf '2026-01-01 tally %s at=bench form=blade type=SH count=%s found=%s\n' "$1" "$2" "$2"
	printf '2026-01-02 grade %s at=bench count=%s into=store\n' "$1" "$3"
}

# cells N: the first N cells of each row behind the header
cells() {
	tail -n +2 "$T/out" | cut -f"1-$1" | tr '\t\n' ' ;'
}

# first_gradings KEY: `KEY grade count` of the book, summed by awk from the grade lines alone
first_gradings() {
	awk -v key="$1" '
		{ e = $2 ~ /^[0-9]/ ? 3 : 2 }
		$e != "grade" || / grade=/ { next }
		{
			sub(/#.*/, ""); k = ""
			for (i = e + 2; i <= NF; i++) {
				n = index($i, "="); name = substr($i, 1, n - 1); value[name] = substr($i, n + 1)
			}
			if (key == "month") k = substr($1, 1, 7)
			else if (key == "lot") k = $(e + 1)
			else k = value["by"]
			m = split(value["count"], part, ","); for (i = 1; i <= m; i++) if (split(part[i], p, ":") == 2) sum[k " " p[1]] += p[2]
			if (/ cull=/) { m = split(value["cull"], part, ","); for (i = 1; i <= m; i++) { split(part[i], p, ":"); sum[k " culled"] += p[2] } }
		}
		END { for (s in sum) print s, sum[s] }' "$2" | LC_ALL=C sort
}

@test "grade: all blades, the best grade first, each by its first grading only" {
	counts <<-'END'
	A1 1 250
	1 18 250
	2 114 250
	3 112 250
	culled 5 250
	END
}

@test "grade: counts are those that the grade lines say" {
	cat samples/book/*.wy >"$T/book.wy"
	bad=0
	for key in month lot grader; do
		first_gradings $key "$E" >"$T/want"
		status 0 wy-grade -H "$EH" --by=$key "$E" || bad=1
		tail -n +2 "$T/out" | cut -f1-3 | tr '\t' ' ' | LC_ALL=C sort | cmp - "$T/want" || { echo "$key, example"; bad=1; }
		first_gradings $key "$T/book.wy" >"$T/want"
		[ "$(wc -l <"$T/want")" -gt 9 ] || bad=1
		wy-grade -H samples/house.yaml --by=$key "$T/book.wy" | tail -n +2 | awk -F'\t' '{ sum[$1 " " $3] += $4 } END { for (s in sum) print s, sum[s] }' | LC_ALL=C sort | # both schemes
			cmp - "$T/want" || { echo "$key, samples"; bad=1; }
	done
	[ "$bad" = 0 ]
	status 0 wy-grade -H "$EH" "$E"
	[ "$(cells 3)" = "1 14 261;2 74 261;3 110 261;4 48 261;culled 15 261;" ]
}

@test "grade: every key, counted by hand" {
	bad=0
	# T1 is L1, T2 is L2, T3 is L3; M1 of L1 and L2, M2 of L3 and C1 are of several trees; C1 of none
	counts --by tree <<-'END' || bad=1
	. 1 2 30
	. 2 27 30
	. culled 1 30
	T1 A1 1 80
	T1 1 8 80
	T1 2 35 80
	T1 3 33 80
	T1 culled 3 80
	T2 1 3 30
	T2 2 12 30
	T2 3 14 30
	T2 culled 1 30
	T3 1 1 50
	T3 2 19 50
	T3 3 30 50
	several 1 4 60
	several 2 21 60
	several 3 35 60
	END
	while read -r keys want; do
		status 0 wy-grade -H "$H" --by "$keys" --wide --no-header "$C" || bad=1
		n=$(($(echo "$keys" | tr -cd , | wc -c) + 2))
		got=$(cut -f "1-$n" "$T/out" | sed 's/^	/.	/; s/		/	.	/' | tr '\t\n' ': ' | sed 's/ $//')
		[ "$got" = "$want" ] || { echo "$keys: $got, not $want"; bad=1; }
	done <<-'END'
	parcel .:30 P1:150 P2:50 several:20
	supplier brook:30 hale:150 rangi:50 several:20
	supplier,parcel brook:.:30 hale:P1:150 rangi:P2:50 several:several:20
	lot C1:30 L1:80 L2:30 L3:50 M1:40 M2:20
	type S6:7 SH:243
	grader .:40 jo:39 mk:171
	month 2026-05:71 2026-06:9 2026-07:30 2026-08:70 2026-09:20 2026-10:50
	charge K1:150 K2:50 several:50
	grader,month .:2026-10:40 jo:2026-06:9 jo:2026-07:30 mk:2026-05:71 mk:2026-08:70 mk:2026-09:20 mk:2026-10:10
	END
	[ "$bad" = 0 ]
}

@test "grade: the same of the example" {
	bad=0
	while IFS="|" read -r key answer; do
		status 0 wy-grade -H "$EH" --by="$key" --wide "$E" || bad=1
		n=$(($(echo "$key" | tr -dc , | wc -c) + 2))
		[ "$(cells $n)" = "$answer" ] || { echo "$key: $(cells $n)"; bad=1; }
	done <<-'END'
	tree| 166;T062 8;T070 34;several 53;
	parcel| 166;P12 61;P13 34;
	supplier|brook 166;hale 95;
	charge|K26-05 181;K26-09 80;
	type|S6 36;SH 225;
	charge,supplier|K26-05 brook 120;K26-05 hale 61;K26-09 brook 46;K26-09 hale 34;
	lot,tree|C014  166;L062 T062 8;L070 T070 34;M26-05 several 53;
	END
	[ "$bad" = 0 ]
}

# A lot in two charges: while its pieces lie apart each knows its own; together they are of several,
# until the heap is used up.
@test "grade: the charge is that of the pieces, not of the lot" {
	{
		echo '2026-01-01 cleave L1 tree=T1 count=SH:90 into=yard'
		for k in 1 2 3; do
			echo "2026-02-0$k load K$k kiln=north lot=L1 at=yard count=30"
		done
		echo '2026-03-01 unload K1 count=30 into=b1'
		echo '2026-03-02 unload K2 count=30 into=b2'
		echo '2026-03-03 plane L1 at=b1 count=30'
		echo '2026-03-03 plane L1 at=b2 count=30'
		echo '2026-03-04 grade L1 at=b1 count=1:30 into=store'
		echo '2026-03-05 move L1 at=b2 form=blade count=20 into=b1'
		echo '2026-03-06 grade L1 at=b1 count=2:10'
		echo '2026-03-07 unload K3 count=30 into=b1'
		echo '2026-03-08 plane L1 at=b1 count=30'
		echo '2026-03-09 grade L1 at=b1 grade=- count=3:39 cull=knot:1 into=store'
		echo '2026-03-10 move L1 at=b2 grade=- count=10 into=b1'
		echo '2026-03-11 grade L1 at=b1 grade=- count=4:10 into=store'
	} >"$T/b.wy"
	status 0 wy-grade --by charge --no-header "$T/b.wy"
	got=$(cut -f 1-4 "$T/out" | tr '\t\n' ':  ')
	[ "$got" = 'K1:1:30:30 K2:2:10:20 K2:4:10:20 several:3:39:40 several:culled:1:40 ' ] || { echo "$got"; false; }
}

# In a pool the charges of the parents meet, in whichever order the line names them.
@test "grade: a pool of wood that was dried and wood that was not is of several charges" {
	for lots in L1:10,L2:10 L2:10,L1:10; do
		cat >"$T/b.wy" <<-END
		2026-01-01 cleave L1 tree=T1 count=SH:10 into=yard
		2026-01-01 cleave L2 tree=T2 count=SH:10 into=bench
		2026-02-01 load K1 kiln=north lot=L1 at=yard count=10
		2026-03-01 unload K1 count=10 into=bench
		2026-03-02 pool M1 lot=$lots at=bench
		2026-03-03 plane M1 at=bench count=20
		2026-03-04 grade M1 at=bench count=1:20 into=store
		END
		status 0 wy-grade --by charge --no-header "$T/b.wy"
		[ "$(cut -f 1-4 "$T/out" | tr '\t' ' ')" = 'several 1 20 20' ]
	done
}

@test "grade: a pool made after the drying is of its parents' charge, if that is one" {
	{
		for lot in L1 L2 L3; do
			charge=K1
			[ $lot != L3 ] || charge=K2
			echo "2026-01-01 fell T$lot parcel=P1 from=hale"
			echo "2026-01-02 cleave $lot tree=T$lot count=SH:10 into=yard/b1"
			echo "2026-01-03 load $charge kiln=north lot=$lot at=yard/b1 count=10"
		done
		echo '2026-02-01 unload K1 lot=L1 count=10 into=bench'
		echo '2026-02-01 unload K1 lot=L2 count=10 into=bench'
		echo '2026-02-02 unload K2 lot=L3 count=10 into=bench'
		echo '2026-02-03 pool M1 lot=L1:5,L2:5 at=bench'
		echo '2026-02-03 pool M2 lot=L2:5,L3:5 at=bench'
		for lot in M1 M2; do
			echo "2026-02-04 plane $lot at=bench count=10"
			echo "2026-02-05 grade $lot at=bench count=1:10 into=store/r1"
		done
	} >"$T/pools.wy"
	status 0 wy-grade -H "$EH" --by=lot,charge,parcel,tree "$T/pools.wy"
	[ "$(cells 6)" = "M1 K1 P1 several 1 10;M2 several P1 several 1 10;" ] || { cells 6; false; }
}

# Newcombe, Statistics in Medicine 17 (1998) 857-872, Table I, score method without correction:
# 81/263 0.2553-0.3662, 15/148 0.0624-0.1605, 0/20 0-0.1611, 1/29 0.0061-0.1718 (from memory); and all of
# them by the formula of NIST/SEMATECH e-Handbook 7.2.4.1 written out in awk.
@test "grade: with fewer than five lots the interval is Wilson's" {
	{
		graded LA 263 1:81,2:182
		graded LB 148 1:15,2:133
		graded LC 29 1:1,2:28
		graded LD 20 2:20
	} >"$T/b.wy"
	status 0 wy-grade -H "$H" --by lot --no-header "$T/b.wy"
	awk -F'\t' '$2 == 1 { printf "%s %.4f %.4f\n", $1, $6, $7 }
		$1 == "LD" { printf "%s %.4f %.4f\n", $1, 1 - $7, 1 - $6 }' "$T/out" >"$T/got"
	diff - "$T/got" <<-'END'
	LA 0.2553 0.3662
	LB 0.0624 0.1605
	LC 0.0061 0.1718
	LD 0.0000 0.1611
	END
	cut -f 3-7 "$T/out" >"$T/all"
	[ "$(wc -l <"$T/all")" = 7 ]
	awk -F'\t' 'function off(a, b) { return a - b > 1e-12 || b - a > 1e-12 }
		{
			k = $1; n = $2; p = k / n; z = 1.959963984540054
			mid = p + z * z / (2 * n); half = z * sqrt(p * (1 - p) / n + z * z / (4 * n * n)); by = 1 + z * z / n
			if (off($3, p) || off($4, (mid - half) / by) || off($5, (mid + half) / by)) { print "not so:", $0; bad = 1 }
		}
		END { exit bad }' "$T/all"
}

# truth/parameters.tsv has the odds that the sample book was drawn from. A 95 % interval should hold
# the truth 19 times in 20. The lots of one supplier have the same odds here, so those that allow for the
# differences between lots hold it more often.
@test "grade: the sample works' true odds lie in the intervals about as often as they should" {
	for span in '2024 --to 2027-06-30' '2027 --from 2027-07-01'; do
		set -- $span
		scheme=$1
		shift
		wy-grade -H samples/house.yaml -b --by lot,supplier,parcel --no-header "$@" | sed "s/^/$scheme	/"
	done >"$T/out"
	awk -F'\t' '
		FNR == NR && $1 == "grade" && $2 == 2027 { stricter = $4; next }
		FNR == NR && $1 == "grade" { odds[$2, $3] = $4; next }
		FNR == NR && $1 == "cull" && $3 == "grade" { cull[$2] = $4; next }
		FNR == NR || $3 == "several" || $3 $4 == "" { next }
		{
			from = $4 != "" ? $4 : $3
			like = $2 == "C014" ? "koethe" : from   # samples/README.md: it grades like the other supplier
			one = odds[like, 1]; moved = $1 == 2027 ? stricter * one : 0
			p = $5 == 1 ? one - moved : $5 == 2 ? odds[like, 2] + moved : odds[like, $5]
			p = $5 == "culled" ? cull[from] : (1 - cull[from]) * p
			n++; held += p >= $9 && p <= $10
		}
		END { print held, n; exit !(n >= 80 && held / n > 0.93) }' samples/truth/parameters.tsv "$T/out"
}

# A 95 % interval of such wood should hold the share of all wood 19 times in 20. By chance alone (Wilson's
# interval of the counts) it did so in 35 % to 61 % of the lots for grades 1, 2, 4 and culled.
@test "grade: the intervals of lots, charges and months hold the share of all about as often as they should" {
	for key in lot charge month; do
		wy-grade -H samples/house.yaml -b --no-header | sed "s/^/all	/"
		wy-grade -H samples/house.yaml -b --by $key --no-header | sed "s/^/$key	/"
	done >"$T/out"
	awk -F'\t' '
		$1 == "all" { share[$2, $3] = $6; next }
		$4 == 3 { next } # its shares do not differ by more than chance
		{
			k = $5; n = $6; z = 1.959963984540054
			p = k / n; mid = p + z * z / (2 * n); half = z * sqrt(p * (1 - p) / n + z * z / (4 * n * n)); by = 1 + z * z / n
			p = share[$3, $4]
			rows[$1]++; held[$1] += p >= $8 && p <= $9; plain[$1] += p >= (mid - half) / by && p <= (mid + half) / by
		}
		END {
			for (key in rows) {
				print key, rows[key], held[key], plain[key]
				bad += !(rows[key] >= 64 && held[key] / rows[key] > 0.93 && plain[key] / rows[key] < 0.65)
			}
			exit bad
		}' "$T/out"
}

@test "grade: graded again, and what it was" {
	bad=0
	counts --regrades --by was,lot <<-'END' || bad=1
	3 L2 2027 3 3 6        # the scheme of 2027 has 3 above 2
	3 L2 2027 2 2 6
	3 L2 2027 culled 1 6
	2 L1 2024 1 1 6
	2 L1 2024 2 3 6
	2 L1 2024 3 2 6
	END
	counts --regrades --to 2026-12-31 --by grader <<-'END' || bad=1
	jo 1 1 6
	jo 2 3 6
	jo 3 2 6
	END
	[ "$bad" = 0 ]
}

@test "grade: days, and the months before at the ends of months" {
	bad=0
	while read -r from to want; do
		status 0 wy-grade -H "$H" --from "$from" --to "$to" --wide --no-header "$C" || bad=1
		[ "$(cut -f 1 "$T/out")" = "$want" ] || { echo "$from to $to: $(cut -f 1 "$T/out"), not $want"; bad=1; }
	done <<-'END'
	2026-05-31 2026-05-31 71
	2026-06-01 2026-06-30 9
	2026-05-31 2026-07-31 110
	2026-10-31 2026-12-31 50
	END
	while read -r from months want; do
		status 0 wy-grade -H "$H" --from "$from" --baseline "$months" "$C" || bad=1
		got=$(awk -F'\t' 'NR == 2 { print $9 }' "$T/out")
		[ "$got" = "$want" ] || { echo "$months before $from: $got, not $want"; bad=1; }
	done <<-'END'
	2026-08-31 1 70
	2026-08-31 2 79
	2026-08-31 3 150
	2026-08-01 2 39
	2026-09-30 1 30
	2026-09-30 3 109
	2026-10-31 1 20
	2026-10-31 1200 200
	END
	# the baseline's share is of its own blades, and a grade that only it has is shown with none now
	status 0 wy-grade -H "$H" --from 2026-09-30 --to 2026-09-30 --baseline 1 --no-header "$C" || bad=1
	cut -f 1-4,9,10 "$T/out" | tr '\t' ' ' >"$T/got"
	diff - "$T/got" <<-'END' || bad=1
	1 0 20 0 30 0.06666666666666667
	2 5 20 0.25 30 0.9
	3 15 20 0.75 30 0
	culled 0 20 0 30 0.03333333333333333
	END
	[ "$bad" = 0 ]
}

@test "grade: wide rows have a column for each grade, of the baseline too" {
	status 0 wy-grade -H "$H" --wide --from 2026-08-31 --baseline 2 --by type "$C"
	head -n 1 "$T/out" | tr '\t' '\n' >"$T/names"
	printf '%s\n' type of share_A1 share_1 share_2 share_3 share_culled \
		baseline_of baseline_share_A1 baseline_share_1 baseline_share_2 baseline_share_3 baseline_share_culled | diff - "$T/names"
	# S6: 7 of 7, all 2, and none before; SH: 93, and 79 before
	[ "$(sed -n 2p "$T/out" | tr '\t' ' ')" = 'S6 7 0 0 1 0 0 0     ' ]
	[ "$(sed -n 3p "$T/out" | cut -f 1,2,8)" = "$(printf 'SH\t93\t79')" ]
}

@test "grade: a grade of the works' that is called culled is not what was culled" {
	printf 'grades: [{scheme: x, from: 2024-01-01, list: [culled, "2"]}]\n' >"$T/house.yaml"
	printf '2026-01-01 tally L1 at=bench form=blade type=SH count=9 found=9\n2026-01-02 grade L1 at=bench count=culled:5,2:3 cull=knot:1\n' >"$T/b.wy"
	status 0 wy-grade -H "$T/house.yaml" --no-header "$T/b.wy"
	[ "$(cut -f 1,2 "$T/out" | tr '\t\n' ': ')" = 'culled:5 2:3 culled:1 ' ]
}

@test "grade: without a house file grades go by their names" {
	cd "$T"
	wy-grade --no-header - <"$BATS_TEST_DIRNAME/cases/grade/book.wy" >out 2>err || { cat err; false; }
	# a word with a letter is then a type, so one blade has no grade, and is not lost from sight
	[ "$(cut -f 1,2 out | tr '\t\n' ': ')" = '1:18 2:114 3:112 ungraded:1 culled:5 ' ] || { cat out; false; }
}

@test "grade: the order of lines and of files does not show" {
	bad=0
	for keys in charge,tree,month supplier,grader; do
		wy-grade -H "$H" --by "$keys" "$C" >"$T/want"
		for seed in 1 2 3 4 5; do
			awk -v seed="$seed" 'BEGIN { srand(seed) } { print rand() "\t" $0 }' "$C" | sort | cut -f 2- >"$T/mixed"
			split -n l/3 "$T/mixed" "$T/part."
			wy-grade -H "$H" --by "$keys" "$T"/part.* | cmp "$T/want" - || bad=1
		done
	done
	[ "$bad" = 0 ]
}

@test "grade: order of lines and of files does not show in the samples" {
	cat samples/book/*.wy >"$T/book.wy"
	bad=0
	for by in supplier,charge,month lot,tree,grader; do
		wy-grade -H samples/house.yaml --by=$by "$T/book.wy" >"$T/want"
		for seed in 1 2 3; do
			awk -v seed=$seed 'BEGIN { srand(seed) } { print rand() "\t" $0 }' "$T/book.wy" | LC_ALL=C sort | cut -f2- |
				wy-grade -H samples/house.yaml --by=$by | cmp - "$T/want" || { echo "$by, $seed"; bad=1; }
		done
		wy-grade -H samples/house.yaml --by=$by $(ls -r samples/book/*.wy) | cmp - "$T/want" || bad=1
	done
	[ "$bad" = 0 ]
}

@test "grade: every form" {
	status 0 wy-grade -H "$H" --as json --by lot --from 2026-09-30 --to 2026-09-30 "$C"
	head -n 2 "$T/out" | grep -q '"lot": *"M2", *"grade": *"2", *"count": *5, *"of": *20, *"share": *0.25,'
	bad=0
	while read -r form want; do
		status 0 wy-grade -H "$H" --as "$form" "$C" || bad=1
		grep -q -F -- "$want" "$T/out" || { echo "$form: no $want"; cat "$T/out"; bad=1; }
	done <<-'END'
	text 114  250   45.6      16.3     78.2
	text they allow for the differences between lots
	text Of 250 blades graded up to 2026-10-31, 1 
	csv 2,114,250,0.456,
	md | 2 |
	html <td class="num">114</td>
	tsv share_low
	END
	status 0 wy-grade -H "$H" --no-header "$C"
	[ "$(wc -l <"$T/out")" = 5 ]
	[ "$bad" = 0 ]
}

@test "grade: wrong use is 2, and says why" {
	bad=0
	while IFS='|' read -r arguments why; do
		eval "status 2 wy-grade -H $H $arguments $C" || bad=1
		grep -q -e "$why" "$T/err" || { echo "$arguments:"; cat "$T/err"; bad=1; }
		[ ! -s "$T/out" ] || { echo "$arguments: an answer"; bad=1; }
	done <<-'END'
	--by colour|colour
	--by lot,lot|twice
	--by lot,|--by
	--by was|--regrades
	--from 2026-02-30|2026-02-30
	--from 2026-05-02 --to 2026-05-01|no day lies between
	--baseline 12|--from
	--baseline 0 --from 2026-05-01|baseline
	--baseline 1201 --from 2026-05-01|baseline
	--baseline 2 --from 2026-05-01 --by month|leave one out
	--shift|--baseline
	--shift --wide --from 2026-05-01 --baseline 2|choose one
	--drift --by lot|leave one out
	--drift --baseline 2|--from
	--drift --measures --partial|leave out --partial
	--measures --from 2026-05-01 --baseline 2|leave one out
	--claims --drift --from 2026-05-01 --baseline 2|--claims cannot be used with
	--as pdf|pdf
	--nonsense|nonsense
	no-such-file.wy|no-such-file
	tests|directory
	END
	printf 'works: [\n' >"$T/bad.yaml"
	status 2 wy-grade -H "$T/bad.yaml" "$C" || bad=1
	status 2 wy-grade -H "$T/none.yaml" "$C" || bad=1
	[ "$bad" = 0 ]
}

@test "grade: nothing graded, bad lines, and a book that does not add up are 1" {
	bad=0
	status 1 wy-grade -H "$H" --from 2030-01-01 "$C" || bad=1
	[ "$(wc -l <"$T/out")" = 1 ] || bad=1
	: >"$T/empty"
	status 1 wy-grade -H "$H" "$T/empty" || bad=1
	{ cat "$C"; echo '2026-11-01 grade L1 at=bench count=two'; } >"$T/b.wy"
	status 1 wy-grade -H "$H" "$T/b.wy" || bad=1
	[ ! -s "$T/out" ] || { echo "an answer over a bad line"; bad=1; }
	grep -q ':42:36: error:' "$T/err" || { cat "$T/err"; bad=1; }
	status 1 wy-grade -H "$H" --without-bad "$T/b.wy" || bad=1
	wy-grade -H "$H" "$C" | cmp - "$T/out" || bad=1
	{ cat "$C"; echo '2026-11-01 grade L9 at=bench count=1:3'; } >"$T/b.wy"
	status 1 wy-grade -H "$H" "$T/b.wy" || bad=1
	grep -q ':42:18: error:.*L9.* -- ' "$T/err" || { cat "$T/err"; bad=1; }
	# what comes after --to is not looked at
	status 0 wy-grade -H "$H" --to 2026-10-31 "$T/b.wy" || bad=1
	{ cat "$C"; echo '#! incomplete'; } >"$T/b.wy"
	status 1 wy-grade -H "$H" "$T/b.wy" || bad=1
	[ "$bad" = 0 ]
}

@test "grade: odd input neither crashes nor hangs, and a full disk is seen" {
	bad=0
	printf '2026-01-01 grade L1\0 count=1:1\n' >"$T/nul"
	printf '2026-01-01 grade L\377 count=1:1\n' >"$T/latin"
	head -c 3000000 /dev/zero | tr '\0' x >"$T/long"
	for f in nul latin long; do
		status 1 timeout 20 wy-grade "$T/$f" || bad=1
		[ ! -s "$T/out" ] || { echo "$f: an answer"; bad=1; }
	done
	mkfifo "$T/fifo"
	cat "$C" >"$T/fifo" &
	status 0 timeout 20 wy-grade -H "$H" "$T/fifo" || bad=1
	wy-grade -H "$H" "$C" | cmp - "$T/out" || bad=1
	for to in /dev/full; do
		got=0
		wy-grade -H "$H" "$C" >"$to" 2>"$T/err" || got=$?
		[ "$got" = 2 ] || { echo "full disk: $got"; bad=1; }
	done
	got=0
	wy-grade -H "$H" "$C" >&- 2>"$T/err" || got=$?
	[ "$got" = 2 ] || { echo "closed output: $got"; bad=1; }
	# counts of the greatest size
	graded L1 4611686018427387904 1:4611686018427387903,2:1 >"$T/b.wy"
	got=0
	wy-grade -H "$H" --no-header "$T/b.wy" >"$T/out" 2>"$T/err" || got=$?
	[ "$got" -le 1 ] || { echo "great counts: $got"; bad=1; }
	[ "$bad" = 0 ]
}

@test "grade: every answer fits a terminal of 80 columns, in one table" {
	n=0
	for by in "" type kiln,scheme supplier lot,grader tree,parcel,supplier charge,lot,type,month supplier,charge,lot,type,grader,month; do
		for how in "" --wide --regrades "--shift --from=2027-10-01 --baseline=6" "--from=2027-10-01 --baseline=6" "--wide --from=2027-10-01 --baseline=6"; do
			case $by$how in *month*baseline*) continue ;; esac
			# shellcheck disable=SC2086
			on_terminal 80 wy-grade -H samples/house.yaml -b ${by:+--by=$by} $how || fail "$by $how: status $?"
			fits 80 "$by $how"
			n=$((n + 1))
		done
	done
	[ $n = 42 ] || fail "$n modes"
	on_terminal 80 wy-grade -H samples/house.yaml -b --regrades --by=was,supplier,charge,lot,type,grader,month
	fits 80 "regrades by what they were"
	report
}

# finding ARGUMENTS...: the sentences above the table, on one line
finding() { wy-grade "$@" --as=text | sed '/^$/,$d' | tr '\n' ' ' | sed 's/ $//'; }

@test "grade: the finding has the best grade, and only differences that chance does not explain" {
	is() {
		local want=$1
		shift
		[ "$(finding "$@")" = "$want" ] || fail "$*: $(finding "$@")"
	}
	{
		graded LA 263 1:81,2:182
		graded LB 263 1:78,2:185
	} >"$T/b.wy"
	all="Of 526 blades graded up to 2026-01-02, 159 (30 %, 95 % interval 26 to 34 %) got grade 1, the best among them."
	is "$all" -H "$H" "$T/b.wy"
	is "$all No row differs from the rest by more than chance explains." -H "$H" --by lot "$T/b.wy"
	graded LC 148 1:15,2:133 >>"$T/b.wy"
	# rows of three keys are not compared
	is "Of 674 blades graded up to 2026-01-02, 174 (26 %, 95 % interval 23 to 29 %) got grade 1, the best among them." -H "$H" --by tree,lot,type "$T/b.wy"
	is "No blade was graded on these days." -H "$H" --from 2030-01-01 "$T/b.wy"
	is "No blade was graded again on these days." -H "$H" --regrades "$T/b.wy"
	graded LE 10 2:10 >"$T/two.wy"
	is "Of 10 blades graded up to 2026-01-02, 10 (100 %, 95 % interval 72 to 100 %) got grade 2, the best among them." -H "$H" "$T/two.wy"
	is "Of 10 blades graded up to 2026-01-02, 10 (100 %, 95 % interval 72 to 100 %) got grade 2." "$T/two.wy"
	# 15 of 148 is 10 %, the others have 30 %; LA's 31 % are within chance of the 23 % of LB and LC
	finding -H "$H" --by lot "$T/b.wy" | grep -q 'the best among them\. Lowest: LC with 10 % (15 of 148)\. It differs from the rest' || fail "$(finding -H "$H" --by lot "$T/b.wy")"
	graded LD 148 1:75,2:73 >>"$T/b.wy"
	finding -H "$H" --by lot "$T/b.wy" | grep -q 'Highest: LD with 51 % (75 of 148)\. Lowest: LC with 10 % (15 of 148)\. Both differ' || fail "$(finding -H "$H" --by lot "$T/b.wy")"
	# 56 of 70 and 48 of 80: R's chisq.test(matrix(c(56, 14, 48, 32), 2), correct = FALSE) has 7.0234, p 0.0080; of 52: 3.4286, 0.0641
	for now in 56 52; do
		printf '2026-01-02 tally %s at=bench form=blade type=SH count=%s found=%s\n2026-%s grade %s at=bench count=%s into=store\n' \
			L1 80 80 01-03 L1 1:48,2:32 L2 70 70 02-03 L2 1:$now,2:$((70 - now)) >"$T/n$now.wy"
	done
	is "Of 70 blades graded from 2026-02-01 to 2026-02-03, 56 (80 %, 95 % interval 69 to 88 %) got grade 1, the best among them. Against the months before, grade 1 rose from 60 % to 80 %, grade 2 fell from 40 % to 20 %: more than chance explains (chi-squared 7.0, p 0.008)." \
		-H "$H" --from 2026-02-01 --baseline 1 "$T/n56.wy"
	is "Of 70 blades graded from 2026-02-01 to 2026-02-03, 52 (74 %, 95 % interval 63 to 83 %) got grade 1, the best among them. No grade's share differs from the months before by more than chance explains (chi-squared 3.4, p 0.064)." \
		-H "$H" --from 2026-02-01 --baseline 1 "$T/n52.wy"
	report
}

# judged DAY GRADER GRADES...: a judge line for each grade, of the pieces L1/1, L1/2 and so on
judged() {
	local day=$1 by=$2 n=0
	shift 2
	for grade; do
		n=$((n + 1))
		echo "$day judge L1/$n grade=$grade by=$by"
	done
}

# table KEY: the rows of one table of the answer, tabs as blanks and an empty cell as `.`
table() {
	awk -F'\t' -v OFS=' ' -v key="$1" '
		/^# / { on = index($0, "# " key) == 1; head = 1; next }
		on && NF { if (head) { head = 0; next } for (i = 1; i <= NF; i++) if ($i == "") $i = "."; $1 = $1; print }' "$T/out"
}

# The table 0 4 1, 0 8 0, 0 1 5 has plain kappa 0.4841629 with the error 0.1380136, and linear kappa 0.4701195, as
# published software has them (tests/outside/kappa.c); 6 of 19 differ, of which 5 are worse by mk: 2 * (1 + 6) / 64.
@test "grade: two graders, by hand" {
	{
		judged 2026-05-01 jo 1 1 1 1 1 2 2 2 2 2 2 2 2 3 3 3 3 3 3
		judged 2026-05-02 mk 2 2 2 2 3 2 2 2 2 2 2 2 2 2 3 3 3 3 3
	} >"$T/two.wy"
	want="judge 2024 jo mk 19 0.68 0.47 0.14 0.70 0.48 1 5 0.21875"
	status 0 wy-grade -H "$H" --agreement "$T/two.wy"
	table Agreement | awk '{ printf "%s %s %s %s %s %.2f %.2f %.2f %.2f %.2f %s %s %.5f\n", $1, $2, $3, $4, $5, $6, $9, $10, $11, $15, $18, $19, $20 }' >"$T/got"
	[ "$(cat "$T/got")" = "$want" ] || fail "$(cat "$T/got"), not $want"
	[ "$(table Rows | tr '\n' ';')" = "judge 2024 jo mk 1 0 0 4 1;judge 2024 jo mk 2 0 0 8 0;judge 2024 jo mk 3 0 0 1 5;" ] || fail "$(table Rows)"
	[ "$(table Pieces | head -n 2 | tr '\n' ';')" = "L1/5 2024 2 jo:1,mk:3;L1/1 2024 1 jo:1,mk:2;" ] || fail "$(table Pieces)"
	[ "$(table Pieces | wc -l)" = 6 ] || fail "$(table Pieces)"
	[ -z "$(table All)" ] || fail "Fleiss of one pair"
	[ "$(finding --agreement -H "$H" "$T/two.wy")" = "jo and mk agree on 68 % of 19 pieces that both judged; weighted kappa 0.47 (95 % interval 0.14 to 0.70): moderate, in Landis and Koch's word. Neither gives the better grades by more than chance explains." ] ||
		fail "$(finding --agreement -H "$H" "$T/two.wy")"
	# the order of lines and a second opinion of the same grader change nothing; ten more on one side are beyond chance
	wy-grade -H "$H" --agreement "$T/two.wy" >"$T/straight"
	{ echo "2026-05-03 judge L1/1 grade=1 by=mk"; tac "$T/two.wy"; } | wy-grade -H "$H" --agreement | cmp - "$T/straight" || fail "the order of lines"
	{ cat "$T/two.wy"; judged 2026-05-01 jo 1 1 1 1 1 1 1 1 1 1 | sed s/L1/L2/; judged 2026-05-02 mk 2 2 2 2 2 2 2 2 2 2 | sed s/L1/L2/; } >"$T/ten.wy"
	finding --agreement -H "$H" "$T/ten.wy" | grep -q 'mk is stricter than jo: of 16 pieces on which they differ, 15 got the worse grade\. That is' || fail "$(finding --agreement -H "$H" "$T/ten.wy")"
	report
}

# Fleiss (1971), 30 patients of six psychiatrists; the rater columns of his data are in the order of the diagnoses.
@test "grade: several graders, as Fleiss (1971) has them" {
	awk '{ for (j = 1; j <= 5; j++) for (i = 1; i <= $j; i++) g = g " " j; n = split(g, w); for (i = 1; i <= n; i++) print "2026-05-01 judge P/" NR " grade=" w[i] " by=r" i; g = "" }' \
		tests/cases/grade/fleiss1971.txt >"$T/fleiss.wy"
	status 0 wy-grade --agreement "$T/fleiss.wy"
	[ "$(table All | cut -d' ' -f2,3,4,7 | sed 's/\(0\.430244520\)[0-9]*/\1/')" = "15 30 0.430244520 moderate" ] || fail "$(table All)"
	[ "$(table Agreement | wc -l)" = 15 ] || fail "pairs"
	report
}

@test "grade: graders who cannot be compared, and schemes that are never mixed" {
	nothing() {
		wy-grade --agreement --as=text "${@:2}" "$T/b.wy" >"$T/out" 2>"$T/err" && fail "$1: status"
		grep -q '^No piece was graded by two graders under one scheme' "$T/out" || fail "$1: $(cat "$T/out")"
	}
	: >"$T/b.wy"
	nothing empty
	judged 2026-05-01 jo 1 2 3 >"$T/b.wy"
	nothing "one grader"
	grep -q '^3 pieces were judged by one grader only' "$T/out" || fail "one grader: $(cat "$T/out")"
	judged 2026-05-02 mk 1 2 3 | sed 's/ by=mk//' >>"$T/b.wy"
	nothing "nameless"
	grep -q '^3 judge lines were left out: they have a grade and no by=' "$T/out" || fail "nameless: $(cat "$T/out")"
	{ judged 2026-12-31 jo 1 2 3; judged 2027-01-01 mk 1 2 3; } >"$T/b.wy"
	nothing "two schemes" -H "$H"
	status 0 wy-grade --agreement "$T/b.wy"   # without a house file there is no scheme
	{ judged 2026-05-01 jo 1 2 Z; judged 2026-05-02 mk 1 2 Z; } >"$T/b.wy"
	wy-grade -H "$H" --agreement --as=text "$T/b.wy" | grep -q '^2 opinions were left out: the scheme of their day lacks the grade' || fail "a grade that the scheme lacks"
	# both always agree, in one grade: no kappa; in two: 1, without an interval
	{ judged 2026-05-01 jo 2 2 2; judged 2026-05-02 mk 2 2 2; } >"$T/b.wy"
	finding --agreement -H "$H" "$T/b.wy" | grep -q 'agree on 100 % of 3 pieces that both judged; weighted kappa is not known, because one of them gave one grade only\.' || fail "$(finding --agreement -H "$H" "$T/b.wy")"
	{ judged 2026-05-01 jo 1 2 2; judged 2026-05-02 mk 1 2 2; } >"$T/b.wy"
	finding --agreement -H "$H" "$T/b.wy" | grep -q 'weighted kappa 1.00: almost perfect' || fail "$(finding --agreement -H "$H" "$T/b.wy")"
	# the days that count
	{ judged 2026-05-01 jo 1 2 3; judged 2026-05-02 mk 1 2 2; } >"$T/b.wy"
	nothing "another day" -H "$H" --from 2026-05-02
	for option in --by=lot --regrades --wide "--from=2026-01-01 --baseline=3"; do
		# shellcheck disable=SC2086
		status 2 wy-grade --agreement $option "$T/b.wy"
		grep -q 'cannot be used with' "$T/err" || fail "$option: $(cat "$T/err")"
	done
	report
}

@test "grade: a grading of graded blades compares graders, if one person had graded all of the heap" {
	{
		echo "2026-01-01 tally L1 at=bench form=blade type=SH count=40 found=40"
		echo "2026-01-02 grade L1 at=bench count=1:10,2:10 into=store by=jo"
		echo "2026-01-03 grade L1 at=bench count=3:20 into=store by=mk"
		echo "2026-01-04 grade L1 at=store grade=1 count=1:7,2:3 by=mk"
		echo "2026-01-04 grade L1 at=store grade=3 count=2:4,3:2 cull=knot:1 by=jo"
	} >"$T/b.wy"
	status 0 wy-grade -H "$H" --agreement "$T/b.wy"
	[ "$(table Agreement | cut -d' ' -f1-5,18,19 | tr '\n' ';')" = "grade 2024 jo mk 10 0 3;grade 2024 mk jo 6 4 0;" ] || fail "$(table Agreement)"
	[ "$(table Rows | tr '\n' ';')" = "grade 2024 jo mk 1 0 7 3 0;grade 2024 mk jo 3 0 0 4 2;" ] || fail "$(table Rows)"
	# the 2s of the store are then by jo and by both, so that nobody's grade is set against another's
	echo "2026-01-05 grade L1 at=store grade=2 count=3:5 by=hn" >>"$T/b.wy"
	status 0 wy-grade -H "$H" --agreement "$T/b.wy"
	[ "$(table Agreement | wc -l)" = 2 ] || fail "$(table Agreement)"
	report
}

# several_fit ARGUMENTS...: the tables of the samples have no line over 80 cells, and are in as many parts as on a wide terminal
several_fit() {
	on_terminal 300 wy-grade -H samples/house.yaml -b "$@" || fail "$*: status"
	parts=$(grep -c '^$' "$T/screen")
	on_terminal 80 wy-grade -H samples/house.yaml -b "$@" || fail "$*: status"
	[ "$(grep -c '^$' "$T/screen")" = "$parts" ] || fail "$*: a table in parts"
	[ "$(wc -L <"$T/screen")" -le 80 ] || fail "$*: a line is too wide"
}

@test "grade: the agreement of the samples' graders is found again, and fits the terminal" {
	for option in --to=2027-12-31 --from=2027-07-01; do
		several_fit --agreement "$option"
	done
	# the generator's second eye says the same with 0.78 (samples/truth/parameters.tsv)
	status 0 wy-grade -H samples/house.yaml -b --agreement
	table Agreement | awk '$1 == "judge" { n += $5; k += $5 * $6 } END { s = k / n; e = 1.96 * sqrt(.78 * .22 / n); exit !(n > 100 && s > .78 - e && s < .78 + e) }' || fail "$(table Agreement)"
	report
}

# A house with promises, and a lot: 10, 6 and 4 of 20 claimed; 4, 6 and 8 graded, and 2 culled.
claims_house() {
	cat >"$T/h.yaml" <<-'END'
	works: Little Mill
	currency: EUR
	grades:
	  - {scheme: "2024", from: 2024-01-01, list: ["1", "2", "3"], worth: [10, 6, 2]}
	  - {scheme: "2027", from: 2027-01-01, list: ["1", "2"], worth: [10, 6]}
	claims: {brook: [A, B, C], ford: [I, II]}
	promises: {brook: ["1", "2", "3"]}
	END
	bought C1 >"$T/c.wy"
}

# bought LOT: the lot's two lines
bought() {
	echo "2026-02-02 buy $1 form=blade count=SH:20 claimed=A:10,B:6,C:4 price=200.00EUR from=brook into=bench"
	echo "2026-03-02 grade $1 at=bench count=1:4,2:6,3:8 cull=knot:2 into=store"
}

# P(X <= 10 of 20 at 0.8) = 0.0025948 and P(X <= 4 of 20 at 0.5) = 0.0059090 (R's pbinom), each for two comparisons. Worth: 92 of 144.
@test "grade: claimed against graded, by hand" {
	claims_house
	status 0 wy-grade -H "$T/h.yaml" --claims "$T/c.wy"
	round() { awk '{ for (i = 1; i <= NF; i++) if ($i ~ /\.[0-9]+$/) $i = sprintf("%.4f", $i); print }'; }
	[ "$(table Claimed | round | tr '\n' ';')" = "brook . 20 20 B 0.8000 0.5000 6 0.0052 0.3611 72.2200 EUR;brook C1 20 20 B 0.8000 0.5000 6 0.0052 0.3611 72.2200 EUR;" ] ||
		fail "$(table Claimed | round)"
	[ "$(table By | grep C1 | round | tr '\n' ';')" = "brook C1 A 1 0.5000 10 4 -6;brook C1 B 2 0.3000 6 6 0;brook C1 C 3 0.2000 4 8 4;brook C1 below . 0 0 2 2;" ] || fail "$(table By)"
	want="brook falls short of its claim: of 20 graded blades 50 % are B or better, where 80 % were claimed: 6 too few. Sampling alone explains that in one case of 193. By worth 36 % is missing, 72.22 EUR of the price."
	[ "$(finding --claims -H "$T/h.yaml" "$T/c.wy")" = "$want" ] || fail "$(finding --claims -H "$T/h.yaml" "$T/c.wy")"
	wy-grade -H "$T/h.yaml" --claims "$T/c.wy" >"$T/straight"
	tac "$T/c.wy" | wy-grade -H "$T/h.yaml" --claims | cmp - "$T/straight" || fail "the order of lines"
	# graded again: the first grade counts; of other days: nothing
	{ cat "$T/c.wy"; echo "2026-04-02 grade C1 at=store grade=3 count=1:8"; } | wy-grade -H "$T/h.yaml" --claims | cmp - "$T/straight" || fail "graded again"
	status 1 wy-grade -H "$T/h.yaml" --claims --from 2026-03-03 "$T/c.wy"
	# two lots are surer than one; of two currencies no price is said
	{ cat "$T/c.wy"; bought C2 | sed 's/EUR/GBP/'; } >"$T/two.wy"
	status 0 wy-grade -H "$T/h.yaml" --claims "$T/two.wy"
	[ "$(table Claimed | head -n 1 | round)" = "brook . 40 40 B 0.8000 0.5000 12 0.0000 0.3611" ] || [ "$(table Claimed | head -n 1 | round)" = "brook . 40 40 B 0.8000 0.5000 12 0.0000 0.3611 . ." ] ||
		fail "$(table Claimed | round)"
	report
}

@test "grade: claims that cannot be compared" {
	claims_house
	says() {
		wy-grade -H "$T/h.yaml" --claims --as=text "$T/b.wy" >"$T/out" 2>"$T/err" || [ "$1" = 1 ] || fail "$2: status"
		tr '\n' ' ' <"$T/out" | grep -qF "$2" || fail "$2: $(cat "$T/out" "$T/err")"
	}
	: >"$T/b.wy"
	says 1 "No lot with claimed= was graded on these days."
	sed 1q "$T/c.wy" >"$T/b.wy"
	says 1 "1 lot with a claim has no graded blade"
	{ cat "$T/c.wy"; echo "2026-02-03 buy C1 form=blade count=SH:5 from=brook into=bench"; } >"$T/b.wy"
	says 1 "1 lot was left out: it has pieces without a claim"
	# a supplier without promises is said, and shown with what was counted
	sed 's/A:10,B:6,C:4/I:12,II:8/; s/brook/ford/' "$T/c.wy" >"$T/b.wy"
	says 0 "ford cannot be compared: claims and promises in the house file do not say"
	# from 2027 on the scheme lacks the grade 3 that C promises
	sed 's/^2026-03-02.*/2027-03-02 grade C1 at=bench count=1:4,2:16 into=store/' "$T/c.wy" >"$T/b.wy"
	says 1 "20 blades were left out: the scheme of their day lacks their grade or a promised one"
	# as claimed, and better
	sed 's/count=1:4.*/count=1:10,2:6,3:4 into=store/' "$T/c.wy" >"$T/b.wy"
	says 0 "No supplier or lot falls short of its claim by more than sampling explains."
	# no house, and options that do not go together
	(cd "$T" && mkdir none && cd none && status 2 wy-grade --claims ../c.wy) || fail "without a house file"
	for option in --by=lot --shift --wide; do
		status 2 wy-grade -H "$T/h.yaml" --claims "$option" "$T/c.wy"
	done
	# the house file's own mistakes
	for wrong in 'brook: ["1", "2"]' 'brook: ["1", "2", "9"]' 'hale: ["1"]'; do
		sed "s/^promises:.*/promises: {$wrong}/" "$T/h.yaml" >"$T/w.yaml"
		status 2 wy-grade -H "$T/w.yaml" --claims "$T/c.wy"
		grep -Eq 'w.yaml:7:.*(promises: does not have one grade|is not a grade of the works)' "$T/err" || fail "$wrong: $(cat "$T/err")"
	done
	report
}

@test "grade: the samples' false claims are found, and no others" {
	several_fit --claims
	got=$(finding -H samples/house.yaml -b --claims)
	[ "$(grep -o '[^ ]* falls short' <<<"$got" | tr '\n' ';')" = "koethe falls short;alder falls short;" ] || fail "$got"
	grep -q 'C014 of alder falls short' <<<"$got" || fail "$got"
	report
}

# Seven shares that hold together: the counts of Sison and Glaz (1995), with Goodman's intervals as May and Johnson (2000, J. Statist.
# Software 5(6)) print them. The seventh are the culled.
@test "grade: the intervals of a row hold together" {
	printf 'grades: [{scheme: x, from: 2024-01-01, list: [A, B, C, D, E, F]}]\n' >"$T/h.yaml"
	{
		echo '2026-01-01 tally L1 at=bench form=blade type=SH count=467 found=467'
		echo '2026-01-02 grade L1 at=bench count=A:56,B:72,C:73,D:59,E:62,F:87 cull=knot:58 into=store'
	} >"$T/b.wy"
	wy-grade -H "$T/h.yaml" --no-header --columns=grade,together_low,together_high "$T/b.wy" | awk '{ printf "%s %.3f %.3f\n", $1, $2, $3 }' >"$T/got"
	diff - "$T/got" <<-'END'
	A 0.085 0.166
	B 0.115 0.204
	C 0.116 0.207
	D 0.091 0.173
	E 0.096 0.181
	F 0.143 0.239
	culled 0.089 0.171
	END
}

@test "grade: blades of two schemes are counted together only if the house says how" {
	schemes() { printf 'grades:\n  - {scheme: old, from: 2024-01-01, list: ["1", "2", "3"]}\n  - {scheme: new, from: 2026-06-01, list: [A, "2"]%s}\n' "$1" >"$T/h.yaml"; }
	{
		graded L1 100 1:20,2:50,3:30
		graded L2 50 A:10,2:40 | sed 's/2026-01-02/2026-06-02/'
	} >"$T/b.wy"
	rows() { wy-grade -H "$T/h.yaml" --no-header "$@" "$T/b.wy" | cut -f 1-"${cells:-3}" | tr '\t\n' ' ;'; }
	schemes ""
	[ "$(rows)" = "old 1 20;old 2 50;old 3 30;new A 10;new 2 40;" ] || fail "apart: $(rows)"
	finding -H "$T/h.yaml" "$T/b.wy" | grep -q '^Of 50 blades graded by scheme new .* The 100 blades of scheme old are counted apart\.$' || fail "$(finding -H "$T/h.yaml" "$T/b.wy")"
	finding -H "$T/h.yaml" --from 2026-06-01 --baseline 12 "$T/b.wy" | grep -q 'The months before have no blade of this scheme, so they are not compared\.$' ||
		fail "$(finding -H "$T/h.yaml" --from 2026-06-01 --baseline 12 "$T/b.wy")"
	wy-grade -H "$T/h.yaml" --shift --from 2026-06-01 --baseline 12 --as text "$T/b.wy" | tr '\n' ' ' | grep -q '2 rows were left out: no blades of one scheme in both periods' || fail "shift"
	schemes ', former: [A, "2", "2"]'
	[ "$(rows)" = "A 30 150;2 120 150;" ] || fail "joined: $(rows)"
	[ "$(rows --to 2026-05-31)" = "1 20 100;2 50 100;3 30 100;" ] || fail "joined before its day: $(rows --to 2026-05-31)"
	[ "$(cells=4 rows --by scheme)" = "new A 30 150;new 2 120 150;" ] || fail "joined, by scheme: $(rows --by scheme)"
	finding -H "$T/h.yaml" --from 2026-06-01 --baseline 12 "$T/b.wy" | grep -q 'No grade.s share differs from the months before' || fail "joined: not compared"
	# each wrong mapping is said
	for wrong in '[A, "2"]' '[A, "2", "3"]'; do
		schemes ", former: $wrong"
		status 2 wy-grade -H "$T/h.yaml" "$T/b.wy"
		grep -q 'former:' "$T/err" || fail "$wrong: $(cat "$T/err")"
	done
	report
}

@test "grade: the samples' new scheme does not mix with the older one" {
	wy-grade -H samples/house.yaml -b --no-header --columns=scheme,count >"$T/got"
	cat samples/book/*.wy | awk '$1 >= "2027-07-01" { s = "2027" } $1 < "2027-07-01" { s = "2024" }
		{ e = $2 ~ /^[0-9]/ ? 3 : 2 } $e == "grade" && !/ grade=/ { sub(/#.*/, ""); for (i = e + 2; i <= NF; i++) { split($i, v, "="); if (v[1] == "count" || v[1] == "cull") { m = split(v[2], part, ","); for (j = 1; j <= m; j++) { split(part[j], p, ":"); n[s] += p[2] } } } }
		END { print "2024 " n["2024"]; print "2027 " n["2027"] }' >"$T/want"
	awk '{ n[$1] += $2 } END { print "2024 " n["2024"]; print "2027 " n["2027"] }' "$T/got" | diff "$T/want" - || fail "sums"
	finding -H samples/house.yaml -b --from 2027-07-01 --baseline 12 | grep -q 'not compared' || fail "$(finding -H samples/house.yaml -b --from 2027-07-01 --baseline 12)"
	report
}

@test "grade: by kiln, and a charge that two kilns are said of" {
	{
		echo '2026-01-01 cleave L1 tree=T1 count=SH:90 into=yard'
		echo '2026-02-01 load K1 kiln=north lot=L1 at=yard count=30'
		echo '2026-02-01 load K2 kiln=south lot=L1 at=yard count=20'
		echo '2026-02-02 load K2 kiln=north lot=L1 at=yard count=10'
		for k in 1 2; do
			echo "2026-03-0$k unload K$k count=30 into=b$k"
			echo "2026-03-0$k plane L1 at=b$k count=30"
			echo "2026-03-0$k grade L1 at=b$k count=1:30"
		done
		echo '2026-03-08 move L1 at=yard count=30 into=b3'
		echo '2026-03-09 plane L1 at=b3 count=30'
		echo '2026-03-10 grade L1 at=b3 count=2:30'
	} >"$T/b.wy"
	want=" 2 30;north 1 30;several 1 30;"
	[ "$(wy-grade --by kiln --no-header "$T/b.wy" | cut -f 1-3 | tr '\t\n' ' ;')" = "$want" ] || fail "$(wy-grade --by kiln "$T/b.wy")"
	tac "$T/b.wy" | wy-grade --by kiln >"$T/back"
	wy-grade --by kiln "$T/b.wy" | cmp - "$T/back" || fail "the order of lines"
	report
}

# shifted LOT BEFORE NOW: a book with these counts in January and in February
shifted() {
	local n lot=$1 month=01
	for counts in "$2" "$3"; do
		n=$(tr ',' '\n' <<<"$counts" | awk -F: '{ n += $2 } END { print n }')
		printf '2026-%s-01 tally %s at=bench form=blade type=SH count=%s found=%s\n2026-%s-02 grade %s at=bench count=%s into=store\n' $month "$lot" "$n" "$n" $month "$lot" "$counts"
		month=02
		lot=${1}b
	done
}

# Agresti (2007), An Introduction to Categorical Data Analysis, 2nd edition, tables 2.5 and 2.6: chi-squared 30.1, residuals 4.50, 0.70,
# -5.32 (from memory). The small table 3,1 beside 1,3: of its 70 tables 34 are as far, p 0.486.
@test "grade: which grade moved since the baseline, as published" {
	shifted L 1:484,2:239,3:477 1:762,2:327,3:468 >"$T/b.wy"
	status 0 wy-grade -H "$H" --shift --from 2026-02-01 --baseline 1 --no-header --columns=grade,baseline_of,of,residual,moved,chi2,df,method "$T/b.wy"
	awk -F'\t' '{ printf "%s %s %s %.2f %s %.1f %s %s\n", $1, $2, $3, $4, $5 == "" ? "-" : $5, $6, $7, $8 }' "$T/out" >"$T/got"
	diff - "$T/got" <<-'END' || fail residuals
	1 1200 1557 4.50 rose 30.1 2 chi2
	2 1200 1557 0.70 - 30.1 2 chi2
	3 1200 1557 -5.32 fell 30.1 2 chi2
	END
	finding -H "$H" --shift --from 2026-02-01 --baseline 1 "$T/b.wy" |
		grep -q 'Against the months before, grade 1 rose from 40 % to 49 %, grade 3 fell from 40 % to 30 %: more than chance explains (chi-squared 30.1, p under 0.001)\.' ||
		fail "$(finding -H "$H" --shift --from 2026-02-01 --baseline 1 "$T/b.wy")"
	# of two rows, the one that moved
	{ shifted L 1:50,2:50 1:80,2:20; shifted K 1:50,2:50 1:50,2:50 | sed 's/type=SH/type=S6/'; } >"$T/rows.wy"
	finding -H "$H" --shift --by type --from 2026-02-01 --baseline 1 "$T/rows.wy" | grep -q 'Of the rows, SH moved most: grade 1 rose from 50 % to 80 %\.$' ||
		fail "$(finding -H "$H" --shift --by type --from 2026-02-01 --baseline 1 "$T/rows.wy")"
	finding -H "$H" --shift --by grader --from 2026-02-01 --baseline 1 "$T/b.wy" | grep -q 'Of the rows' && fail "one row"
	shifted L 1:3,2:1 1:1,2:3 >"$T/small.wy"
	for workers in 1 7; do
		OMP_NUM_THREADS=$workers wy-grade -H "$H" --shift --from 2026-02-01 --baseline 1 --no-header --columns=method,p "$T/small.wy" >"$T/small.$workers"
	done
	cmp "$T/small.1" "$T/small.7" || fail "not the same again"
	awk -F'\t' '!($1 == "trials" && $2 > 0.47 && $2 < 0.5) { bad = 1 } END { exit bad || NR != 2 }' "$T/small.1" || fail "$(cat "$T/small.1")"
	# lots that differ anyway: five each with shares of 1 between 20 % and 60 %, and no grade moved
	for i in 1 2 3 4 5; do shifted "M$i" 1:$((i * 20)),2:$((120 - i * 20)) 1:$((i * 20 + 20)),2:$((100 - i * 20)); done >"$T/lots.wy"
	wy-grade -H "$H" --shift --from 2026-02-01 --baseline 1 --no-header --columns=moved,method,p "$T/lots.wy" | awk -F'\t' '!($1 == "" && $2 == "f" && $3 > 0.05) { bad = 1 } END { exit bad }' ||
		fail "$(wy-grade -H "$H" --shift --from 2026-02-01 --baseline 1 "$T/lots.wy")"
	report
}

@test "grade: several answers from one reading are as each alone" {
	each="agreement drift measures claims"
	for a in $each; do
		wy-grade -H samples/house.yaml -b --"$a" --as json >"$T/$a" || fail "$a"
	done
	node -e '
		const { readFileSync } = require("fs");
		const read = (name) => JSON.parse(readFileSync(name, "utf8"));
		const [all, folder, ...each] = process.argv.slice(1);
		let want = {};
		for (const a of each) want = { ...want, ...(Array.isArray(read(folder + a)) ? { [a]: read(folder + a) } : read(folder + a)) };
		if (each.length !== 4 || Object.keys(want).length < 9 || JSON.stringify(read(all)) !== JSON.stringify(want)) process.exit(1);
	' <(wy-grade -H samples/house.yaml -b --claims --measures --drift --agreement --as json) "$T/" $each || fail "not the same"
	wy-grade -H samples/house.yaml -b --claims --agreement --as text >"$T/text"
	for a in agreement claims; do
		wy-grade -H samples/house.yaml -b --"$a" --as text | head -1 | grep -qxFf - "$T/text" || fail "no finding of $a"
	done
	# status 1 where one has no answer
	printf '%s\n' '2026-01-01 buy L1 form=blade count=SH:9 from=ada into=bench' '2026-01-02 grade L1 at=bench count=1:9 into=store by=jo' >"$T/b.wy"
	status 1 wy-grade --agreement --measures "$T/b.wy"
	report
}

# The samples' graders do not change (their odds are one table); a book in which jo gets stricter, and the wood of mk worse.
@test "grade: a grader who changed is found, and one whose wood changed is not" {
	finding -H samples/house.yaml -b --drift | grep -q "^No grader's grades moved by more than chance" || fail "$(finding -H samples/house.yaml -b --drift)"
	several_fit --drift
	# good and bad wood from two sellers, many lots; jo has both alike in both halves, mk first good and then bad wood
	bought_lot() {
		echo "2026-01-01 buy $1 form=blade count=SH:100 from=$2 into=bench"
		echo "2026-$3 grade $1 at=bench count=$4 into=store by=$5"
	}
	for i in 1 2 3; do
		bought_lot J${i}a hale 02-0$i 1:$((38 + i)),2:$((62 - i)) jo
		bought_lot J${i}b brook 02-0$i 2:$((48 + i)),3:$((52 - i)) jo
		bought_lot J${i}c hale 06-0$i 1:$((18 + i)),2:$((82 - i)) jo
		bought_lot J${i}d brook 06-0$i 2:$((28 + i)),3:$((72 - i)) jo
		bought_lot K${i}a hale 02-0$i 1:$((38 + i)),2:$((62 - i)) mk
		bought_lot K${i}b hale 02-1$i 1:$((39 + i)),2:$((61 - i)) mk
		bought_lot K${i}c hale 06-0$i 1:$((40 - i)),2:$((60 + i)) mk
		bought_lot K${i}d brook 06-0$i 2:$((48 + i)),3:$((52 - i)) mk
	done >"$T/b.wy"
	status 0 wy-grade -H "$H" --drift "$T/b.wy"
	table Graders | awk '{ printf "%s %s %s %s %s %.3f %.3f\n", $1, $2, $3, $6, $9, $10, $14 }' >"$T/got"
	diff - "$T/got" <<-'END' || fail "rows"
	2024 jo 2026-06-01 600 2 0.200 0.200
	2024 mk 2026-06-01 600 1 0.025 0.465
	END
	got=$(finding -H "$H" --drift "$T/b.wy")
	[[ $got == "jo is stricter since 2026-06-01: in wood of the same origin the grades are 0.20 steps worse than before (95 % interval "*"Lots of one origin do not differ so much." && $got != *mk* ]] || fail "$got"
	tac "$T/b.wy" | wy-grade -H "$H" --drift | cmp - "$T/out" || fail "the order of lines"
	# the periods that are asked for; by nobody; of no origin
	status 0 wy-grade -H "$H" --drift --from 2026-03-01 --baseline 2 "$T/b.wy"
	[ "$(table Graders | awk '{ print $2, $3 }' | tr '\n' ';')" = "jo 2026-03-01;mk 2026-03-01;" ] || fail "$(cat "$T/out")"
	sed 's/ by=.*//' "$T/b.wy" | wy-grade -H "$H" --drift --as text >"$T/out" && fail "by nobody"
	grep -q '^2400 blades were left out: their grade lines have no by=' "$T/out" || fail "by nobody: $(cat "$T/out")"
	sed 's/ from=[a-z]*//' "$T/b.wy" | wy-grade -H "$H" --drift --as text >"$T/out" && fail "of no origin"
	grep -q '^No grader graded wood of one origin in both periods' "$T/out" || fail "no origin: $(cat "$T/out")"
	report
}

@test "grade: grains, mass and moisture by grade, by hand" {
	{
		echo '2026-05-01 judge L1/1 grade=1 grains=9 mass=1500g by=jo'
		echo '2026-05-02 judge L1/1 grade=2 grains=4 mc=9% by=mk'     # the first grade and grains count
		echo '2026-05-01 judge L1/2 grade=2 grains=7 mass=1.4kg by=jo'
		echo '2026-05-01 judge L2/1 grains=8 by=jo'
		echo '2026-05-03 judge L2/1 grade=2 mc=30%+ by=mk'            # an end of the scale does not count
		echo '2026-05-01 judge L2/2 grains=8 by=jo'                   # never graded
		echo '2027-05-01 judge L2/3 grade=2 grains=6 by=jo'           # another scheme
	} >"$T/b.wy"
	status 0 wy-grade -H "$H" --measures --no-header --columns=scheme,grade,measure,pieces,lots,mean,least,most "$T/b.wy"
	diff - <(tr '\t' ' ' <"$T/out") <<-'END' || fail rows
	2024 1 grains 1 1 9 9 9
	2024 1 mass_g 1 1 1500 1500 1500
	2024 1 mc_pct 1 1 9 9 9
	2024 2 grains 2 2 7.5 7 8
	2024 2 mass_g 1 1 1400 1400 1400
	2027 2 grains 1 1 6 6 6
	END
	wy-grade -H "$H" --measures --as text "$T/b.wy" >"$T/text"
	grep -q '^1 piece was left out: no judge line gives a grade' "$T/text" || fail "$(cat "$T/text")"
	wy-grade -H "$H" --measures "$T/b.wy" >"$T/straight"
	tac "$T/b.wy" | wy-grade -H "$H" --measures | cmp - "$T/straight" || fail "the order of lines"
	: >"$T/none.wy"
	status 1 wy-grade -H "$H" --measures "$T/none.wy"
	# the generator gives better grades more grains; the moisture is that of the meter's line
	finding -H samples/house.yaml -b --measures | grep -q '^Grade 1 of scheme 2024 has more grains than the other pieces of its lots' || fail "$(finding -H samples/house.yaml -b --measures)"
	several_fit --measures
	report
}

@test "grade: the samples' lot that grades like the other supplier's is found by one command" {
	status 0 wy-grade -H samples/house.yaml -b --claims
	[ "$(table Each | awk '$12 == "unlike" { print $1, $2, $13 }')" = "alder C014 koethe" ] || fail "$(table Each)"
	finding -H samples/house.yaml -b --claims | grep -q 'C014 was graded unlike the other lots of alder: grade 4 is 39 %, theirs 22 %; it does not differ from the lots of koethe\.$' ||
		fail "$(finding -H samples/house.yaml -b --claims)"
	# without it no lot is odd, and a single other lot is not enough
	sed '/ C014 /d; s/lot=C014//' samples/book/*.wy | wy-grade -H samples/house.yaml --claims 2>/dev/null >"$T/out" || true
	table Each | grep unlike && fail "$(table Each)"
	claims_house
	for lot in C2 C3 C4; do bought $lot | sed 's/1:4,2:6,3:8/1:5,2:6,3:7/'; done >>"$T/c.wy"
	bought C5 | sed 's/grade C5 .*/grade C5 at=bench count=1:20 into=store/' >>"$T/c.wy"
	status 0 wy-grade -H "$T/h.yaml" --claims "$T/c.wy"
	[ "$(table Each | awk '{ print $2, $12 }' | tr '\n' ';')" = "C1 as;C2 as;C3 as;C4 as;C5 unlike;" ] || fail "$(table Each)"
	sed '/ C[345] /d' "$T/c.wy" | wy-grade -H "$T/h.yaml" --claims >"$T/out"
	[ "$(table Each | awk '{ print $2, $10 }' | tr '\n' ';')" = "C1 .;C2 .;" ] || fail "$(table Each)"
	report
}

@test "grade: the page's examples come out, it is clean, and it has every option" {
	mandoc -T lint -W warning tools/wy-grade.1
	sed -n '/^\$ cat mix.wy/,/^\$ wy-grade/p' tools/wy-grade.1 | grep '^2026' >"$T/mix.wy"
	sed -n '/^\$ cat six.wy/,/^\$ wy-grade/p' tools/wy-grade.1 | grep '^2026' >"$T/six.wy"
	sed -n '/^\$ wy-grade/,/^\.Ed/p' tools/wy-grade.1 | grep -v '^\.Ed' >"$T/page"
	[ "$(grep -c '^\$' "$T/page")" = 5 ]
	(cd "$T" && sed -n 's/^\$ //p' page | while read -r call; do echo "\$ $call"; sh -c "$call"; done) >"$T/got"
	cmp "$T/page" "$T/got" || diff "$T/page" "$T/got"
	wy-grade --help-options | cut -f 1 | sed 's/^--//' >"$T/options"
	[ "$(wc -l <"$T/options")" -ge 12 ]
	while read -r name; do
		grep -q "Fl -$name" tools/wy-grade.1 || fail "no --$name on the page"
	done <"$T/options"
	report
}

@test "grade: the page's examples for a works' own book give an answer on the sample book" {
	page_calls tools/wy-grade.1
	[ $calls -ge 2 ] || fail "$calls calls"
	report
}
