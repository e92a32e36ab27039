# wy-grade: what it counts, where a blade is from, the interval, its options and how it ends.

bats_require_minimum_version 1.5.0

setup() {
	cd "$BATS_TEST_DIRNAME/.." || return
	bin=${WITHY_BIN:-$PWD/build/bin}
	PATH="$bin:$PATH"
	T=$BATS_TEST_TMPDIR
	C=tests/cases/example/book.wy
	export WITHY_HOUSE=tests/cases/example/house.yaml
	export WITHY_TODAY=2028-12-31
}

status() {
	want=$1
	shift
	got=0
	"$@" >"$T/out" 2>"$T/err" || got=$?
	[ "$got" = "$want" ] || { echo "$*: status $got, not $want"; cat "$T/err"; return 1; }
}

# counts N: the first N cells of each row behind the header
counts() {
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

@test "grade: counts are those that the grade lines say" {
	cat samples/book/*.wy >"$T/book.wy"
	bad=0
	for key in month lot grader; do
		first_gradings $key "$C" >"$T/want"
		status 0 wy-grade --by=$key "$C" || bad=1
		tail -n +2 "$T/out" | cut -f1-3 | tr '\t' ' ' | LC_ALL=C sort | cmp - "$T/want" || { echo "$key, example"; bad=1; }
		first_gradings $key "$T/book.wy" >"$T/want"
		[ "$(wc -l <"$T/want")" -gt 9 ] || bad=1
		wy-grade -H samples/house.yaml --by=$key "$T/book.wy" | tail -n +2 | cut -f1-3 | tr '\t' ' ' | LC_ALL=C sort | cmp - "$T/want" || { echo "$key, samples"; bad=1; }
	done
	[ "$bad" = 0 ]
	status 0 wy-grade "$C"
	[ "$(counts 3)" = "1 14 261;2 74 261;3 110 261;4 48 261;culled 15 261;" ]
}

@test "grade: tree, parcel, supplier, charge and type of a blade" {
	bad=0
	while IFS="|" read -r key answer; do
		status 0 wy-grade --by="$key" --wide "$C" || bad=1
		n=$(($(echo "$key" | tr -dc , | wc -c) + 2))
		[ "$(counts $n)" = "$answer" ] || { echo "$key: $(counts $n)"; bad=1; }
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

# Wilson's interval is where |share - p| = z sqrt(p (1 - p) / n) (Wilson 1927; NIST/SEMATECH e-Handbook
# 7.2.4.1), z the normal's 97.5 % point.
@test "grade: the interval solves Wilson's equation" {
	status 0 wy-grade --by=lot,type "$C"
	awk -F'\t' '
		NR == 1 { for (i = 1; i <= NF; i++) at[$i] = i; next }
		{
			k = $at["count"]; n = $at["of"]; s = $at["share"]
			if (s - k / n > 1e-12 || k / n - s > 1e-12) { print "share: " $0; bad = 1 }
			for (e = 1; e <= 2; e++) {
				p = $at[e == 1 ? "share_low" : "share_high"]
				off = (s - p) ^ 2 - 1.959963984540054 ^ 2 * p * (1 - p) / n
				if (off > 1e-12 || off < -1e-12 || (e == 1 ? p > s : p < s)) { print "end " e ": " $0; bad = 1 }
			}
			rows++
		}
		END { exit bad || rows < 20 }' "$T/out"
}

@test "grade: regrades, wide rows, a baseline, days" {
	status 0 wy-grade --regrades --by=was,lot "$C"
	[ "$(counts 5)" = "2 M26-05 1 1 6;2 M26-05 2 3 6;2 M26-05 3 2 6;3 M26-05 2 2 23;3 M26-05 3 19 23;3 M26-05 4 2 23;4 C014 3 1 1;" ]
	status 0 wy-grade --wide "$C"
	[ "$(head -n 1 "$T/out" | tr '\t' ' ')" = "of share_1 share_2 share_3 share_4 share_culled" ]
	[ "$(sed -n 2p "$T/out" | awk -F'\t' '{ printf "%d %.6f %.6f", $1, $2, $2 + $3 + $4 + $5 + $6 }')" = "261 0.053640 1.000000" ]
	status 0 wy-grade --from=2026-07-04 --to=2026-07-06 --by=grader "$C"
	[ "$(counts 4)" = "jo 1 1 23;jo 2 6 23;jo 3 11 23;jo 4 4 23;jo culled 1 23;" ]
	status 0 wy-grade --from=2026-11-01 --to=2026-11-30 --baseline=12 "$C"
	[ "$(cut -f1-3,7 "$T/out" | tail -n +2 | tr '\t\n' ' ;')" = "1 5 80 181;2 23 80 181;3 33 80 181;4 16 80 181;culled 3 80 181;" ]
	# of the baseline too: 9 of 181 were grade 1
	[ "$(sed -n 2p "$T/out" | awk -F'\t' '{ printf "%.6f", $8 }')" = "$(awk 'BEGIN { printf "%.6f", 9 / 181 }')" ]
	status 1 wy-grade --from=2029-01-01 "$C"
	[ "$(wc -l <"$T/out")" = 1 ]
}

@test "grade: order of lines and of files does not show" {
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

@test "grade: every form of the answer" {
	for form in text tsv csv json md html; do
		status 0 wy-grade --by=supplier --as=$form "$C"
		grep -q 'brook' "$T/out"
	done
	[ "$(wy-grade --as=json "$C" | jq -c '[.[] | [.grade, .count]]')" = '[["1",14],["2",74],["3",110],["4",48],["culled",15]]' ]
}

@test "grade: wrong use, bad lines, a book that does not add up" {
	bad=0
	while IFS='|' read -r words said; do
		# shellcheck disable=SC2086
		status 2 wy-grade $words "$C" || bad=1
		grep -qF -- "$said" "$T/err" || { echo "$words: $(cat "$T/err")"; bad=1; }
		[ ! -s "$T/out" ] || { echo "$words: an answer"; bad=1; }
	done <<-'END'
	--by=colour|a key is one of tree, parcel, supplier, charge, lot, type, grader, month, was
	--by=lot,lot|lot stands twice
	--baseline=3|--baseline counts back from --from
	--from=soon|--from
	END
	{ cat "$C"; echo '2026-12-04 grade C014 at=store/r1 count=1'; } >"$T/bad.wy"
	sed 's/count=1:4,2:10,3:11,4:3 cull=speck:2/count=1:400/' "$C" >"$T/short.wy"
	sed 's/ cull=speck:2 into=store/ cull=speck:x into=store/' "$C" >"$T/unread.wy"
	status 1 wy-grade "$T/short.wy" || bad=1
	grep -q 'short.wy:[0-9]*:[0-9]*: error' "$T/err" || bad=1
	status 1 wy-grade "$T/unread.wy" || bad=1
	[ ! -s "$T/out" ] || bad=1
	[ "$bad" = 0 ]
}

@test "grade: the examples of the page run" {
	mkdir "$T/works"
	cp "$C" "$WITHY_HOUSE" "$T/works"
	grep '^\.Dl ' tools/wy-grade.1 | sed 's/^\.Dl //' >"$T/examples"
	[ "$(wc -l <"$T/examples")" = 4 ]
	bad=0
	while IFS= read -r example; do
		(unset WITHY_HOUSE && cd "$T/works" && bash -o pipefail -c "$example") >"$T/out" 2>"$T/err" || { echo "$example: $(cat "$T/err")"; bad=1; }
		[ "$(wc -l <"$T/out")" -gt 1 ] || { echo "$example: no answer"; bad=1; }
	done <"$T/examples"
	[ "$bad" = 0 ]
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
	status 0 wy-grade --by=lot,charge,parcel,tree "$T/pools.wy"
	[ "$(counts 6)" = "M1 K1 P1 several 1 10;M2 several P1 several 1 10;" ] || { counts 6; false; }
}
