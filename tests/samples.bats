# The sample works: its bytes, its sums, its reach, and whether the book is what the truth says.

bats_require_minimum_version 1.5.0

setup() {
	cd "$BATS_TEST_DIRNAME/.." || return
	B=${B:-build}
	PATH="$PWD/$B/bin:$PATH"
	unset WITHY_HOUSE
	T=$BATS_TEST_TMPDIR
}

made="book/2026a.wy book/2026b.wy book/2027a.wy book/2027b.wy exports/kiln-north.csv
	exports/cane-room.csv exports/yard.tsv truth/parameters.tsv truth/stock.tsv"

# The events or the fields of the vocabulary.
words() { awk -v part="$1:" '/^[a-z]/ { on = $1 == part } on && /^  ["a-z-]+:/ { gsub(/[":]/, "", $1); print $1 }' spec/vocabulary.yaml; }

# The entries without their stamps and remarks: EVENT SUBJECT FIELDS, a blank between.
entries() { sed -E '/^#/d; s/ +# .*//; s/^.{10} +([0-9:]+([+-][0-9:]+)? +)?//; s/ +/ /g' samples/book/*.wy; }

@test "samples: generating them anew gives the committed bytes" {
	"$B/samples/generate" "$T"
	bad=0
	for f in $made; do
		cmp "$T/$f" "samples/$f" || bad=1
	done
	[ "$(cd "$T" && find . -type f | wc -l)" = "$(echo $made | wc -w)" ] || bad=1
	[ $bad = 0 ]
}

@test "samples: another compiler and no optimisation give the same bytes" {
	cc=clang
	command -v clang >/dev/null || cc=cc
	$cc -O0 -std=c11 -D_XOPEN_SOURCE=700 -include tools/lib/banned.h -Itools/lib -I"$B/gen" -Isamples/gen \
		-o "$T/generate" samples/gen/*.c tools/lib/mem.c tools/lib/text.c tools/lib/vocab.c
	"$T/generate" "$T"
	for f in $made; do cmp "$T/$f" "samples/$f" || return 1; done
}

@test "samples: generate refuses a missing operand and a folder that cannot be" {
	run -2 "$B/samples/generate"
	: >"$T/file"
	run -2 "$B/samples/generate" "$T/file"
	[ -n "$output" ]
}

@test "samples: two years, a few hundred kilobytes" {
	bytes=$(cat samples/book/*.wy | wc -c)
	[ "$bytes" -gt 300000 ]
	[ "$bytes" -lt 900000 ]
	[ "$(cat samples/book/*.wy | grep -v '^#' | cut -c1-10 | sort | sed -n 1p)" = 2026-01-01 ]
	[ "$(cat samples/book/*.wy | grep -v '^#' | cut -c1-10 | sort | sed -n '$p')" = 2027-12-31 ]
}

@test "samples: every event and every field of the vocabulary is used, and no line stands twice" {
	entries >"$T/entries"
	bad=0
	[ "$(words events | wc -l)" -gt 20 ]
	[ "$(words fields | wc -l)" -gt 40 ]
	for e in $(words events); do
		grep -q "^$e " "$T/entries" || { echo "no entry of $e"; bad=1; }
	done
	for f in $(words fields); do
		grep -q " $f=" "$T/entries" || { echo "no field $f"; bad=1; }
	done
	[ -z "$(cat samples/book/*.wy | grep -v '^#' | sort | uniq -d)" ] || bad=1
	[ $bad = 0 ]
}

# Conservation, counted from the text alone by another hand than the generator's: what came in,
# less what went out, is what the truth says is there at the end of each half year.
@test "samples: in = out + still there, by awk" {
	awk '
	function total(s,   n, i, a, b) { split(s, a, ","); for (i in a) { n = split(a[i], b, ":"); sum += b[n] } }
	function field(name,   i) { for (i = 1; i <= NF; i++) if (index($i, name "=") == 1) return substr($i, length(name) + 2); return "" }
	function items(s) { sum = 0; if (s != "") total(s); return sum }
	/^#/ { next }
	{ sub(/ +# .*/, ""); day = $1; k = $2 ~ /^[0-9][0-9]:/ ? 3 : 2; ev = $k; subj = $(k + 1) }
	ev == "cleave" || ev == "buy" { n += items(field("count")) }
	ev == "tally" { n += field("found") - items(field("cull")) }
	ev == "return" { n++ }
	ev == "make" { n-- }
	ev == "sell" && subj != "firewood" { n -= subj ~ /^B/ ? 1 : field("count") }
	ev ~ /^(move|scrap|load|unload|oven|plane|grade|issue)$/ { n -= items(field("cull")) }
	day ~ /-(06-30|12-31)$/ { at[day] = n }
	END { for (d in at) print d, at[d] }' samples/book/*.wy | sort >"$T/counted"
	awk -F'\t' 'NR > 1 { n[$1] += $7 } END { for (d in n) print d, n[d] }' samples/truth/stock.tsv | sort >"$T/truth"
	[ "$(wc -l <"$T/truth")" = 4 ]
	diff "$T/truth" "$T/counted"
}

# The meter's line from the oven tests, by least squares in awk, against the truth (30 and more pairs,
# scatter 0.22 points: the means must agree within 0.2, the slopes within 0.05).
@test "samples: the oven tests show the meter that the truth describes" {
	entries | awk -v FS='[ =]' '
	FILENAME != "-" { split($0, c, "\t"); if (c[2] == "pin2") v[c[3]] = c[4]; next }
	/^oven / { for (i = 1; i < NF; i++) f[$i] = $(i + 1) + 0
		x = f["mc"] - v["per10C"] * (f["wood"] - 20) / 10; y = 100 * (f["wet"] - f["dry"]) / f["dry"]
		n++; sx += x; sy += y; sxx += x * x; sxy += x * y }
	END { b = (sxy - sx * sy / n) / (sxx - sx * sx / n); off = sy / n - v["a"] - v["b"] * sx / n
		print n, b, off
		exit !(n >= 30 && b - v["b"] < 0.05 && v["b"] - b < 0.05 && off < 0.2 && off > -0.2) }
	' samples/truth/parameters.tsv -
}

# Shares of first gradings against the odds, grade by grade, within four standard errors.
@test "samples: the grades fall as the odds of their sources say" {
	entries | awk -v FS='[ =]' '
	FILENAME != "-" { split($0, c, "\t"); if (c[1] == "grade") odds[c[2], c[3]] = c[4]; next }
	function source(lot) {
		if (lot ~ /^C0(09|1[0-3])$/) return "alder"
		return lot ~ /^(D00[4-6]|C014)$/ ? "koethe" : lot == "M26-07" || lot == "N26-07" ? "P12" : lot == "M26-08" || lot == "N26-08" ? "P13" : "" }
	/^grade / && !/ grade=/ { s = source($2); if (s == "") next
		for (i = 1; i < NF; i++) if ($i == "count") { m = split($(i + 1), it, ",")
			for (j = 1; j <= m; j++) { split(it[j], p, ":"); got[s, p[1]] += p[2]; all[s] += p[2] } } }
	END { for (s in all) for (g = 1; g <= 4; g++) { o = odds[s, g]; se = sqrt(o * (1 - o) / all[s]); d = got[s, g] / all[s] - o
			cells++; if (d > 4 * se || d < -4 * se) { print s, g, got[s, g] / all[s], o; bad = 1 } }
		exit bad || cells != 16 }
	' samples/truth/parameters.tsv -
}

# The generator kept its own count; wy-stock has to read the same out of the text.
@test "samples: wy-stock comes to the generator's own count, lot by lot, on four days" {
	for day in 2026-06-30 2026-12-31 2027-06-30 2027-12-31; do
		wy-stock -H samples/house.yaml -b --on "$day" --by lot,form,type,grade,place --as=tsv --no-header
	done | awk -F'\t' -v OFS='\t' '{ print $1, $6, $3, $4, $5 == "" ? "-" : $5, $2, $7 }' | sort >"$T/stock"
	[ "$(wc -l <"$T/stock")" -gt 300 ]
	sed 1d samples/truth/stock.tsv | sort | diff - "$T/stock"
	wy-stock -H samples/house.yaml -b --on 2027-12-31 --audit --as=tsv --no-header >"$T/audit"
	[ "$(wc -l <"$T/audit")" -gt 300 ]
	[ -z "$(awk -F'\t' '$NF != "yes"' "$T/audit")" ]
}

@test "samples: the book is in canonical form" {
	wy-tidy -H samples/house.yaml --check samples/book/*.wy
}
