# The sample works: its bytes, its sums, its reach, and whether the book is what the truth says.

load lib/common

setup() {
	at_root
	B=${B:-build}
	PATH="$PWD/$B/bin:$PATH"
}

made="book/2026a.wy book/2026b.wy book/2027a.wy book/2027b.wy exports/kiln-north.csv
	exports/cane-room.csv exports/yard.tsv truth/parameters.tsv truth/stock.tsv"

# The events or the fields of the vocabulary.
words() { awk -v part="$1:" '/^[a-z]/ { on = $1 == part } on && /^  ["a-z-]+:/ { gsub(/[":]/, "", $1); print $1 }' spec/vocabulary.yaml; }

# The entries without their stamps and remarks: EVENT SUBJECT FIELDS, a blank between.
entries() { sed -E '/^#/d; s/ +# .*//; s/^.{10} +([0-9:]+([+-][0-9:]+)? +)?//; s/ +/ /g' samples/book/*.wy; }

@test "samples: generating them again gives the committed bytes" {
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
	$cc -O0 -std=c11 -D_XOPEN_SOURCE=700 -include tools/lib/base/banned.h -Itools/lib -I"$B/gen" -Isamples/gen \
		-o "$T/generate" samples/gen/*.c tools/lib/base/mem.c tools/lib/base/text.c tools/lib/base/nearest.c tools/lib/book/vocab.c
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

@test "samples: every event and every field of the vocabulary is used, and no line is repeated" {
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

# Conservation, counted from the text alone: the pieces that came in less those that went out are the
# pieces of the generator's count at the end of each half year.
@test "samples: in = out + still there, by awk" {
	awk '
	function total(s,   n, i, a, b) { split(s, a, ","); for (i in a) { n = split(a[i], b, ":"); sum += b[n] } }
	function field(name,   i) { for (i = 1; i <= NF; i++) if (index($i, name "=") == 1) return substr($i, length(name) + 2); return "" }
	function items(s) { sum = 0; if (s != "") total(s); return sum }
	/^#/ { next }
	{ sub(/ +# .*/, ""); day = $1; k = $2 ~ /^[0-9][0-9]:/ ? 3 : 2; ev = $k; subj = $(k + 1) }
	ev == "cleave" || ev == "buy" { n += items(field("count")) }
	ev == "tally" { n += field("found") - items(field("cull")) }
	ev == "return" { n += subj ~ /^B/ ? 1 : field("count") }
	ev == "make" || ev == "rehandle" { n-- }
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

@test "samples: the house's own meter line is the least-squares line of the oven tests of 2026" {
	own=$(sed -n 's/.*{date: 2026-12-01, a: \([0-9.]*\), b: \([0-9.]*\), pairs: \([0-9]*\), sd: \([0-9.]*\),.*/\3 \1 \2 \4/p' samples/house.yaml)
	fit=$(grep -h '^2026.* oven ' samples/book/*.wy | awk -v FS='[ =]' '
	{ for (i = 1; i < NF; i++) f[$i] = $(i + 1) + 0
		x[++n] = f["mc"] - 0.9 * (f["wood"] - 20) / 10; y[n] = 100 * (f["wet"] - f["dry"]) / f["dry"]
		sx += x[n]; sy += y[n]; sxx += x[n] * x[n]; sxy += x[n] * y[n] }
	END { b = (sxy - sx * sy / n) / (sxx - sx * sx / n); a = sy / n - b * sx / n
		for (i = 1; i <= n; i++) ss += (y[i] - a - b * x[i]) ^ 2
		printf "%d %.2f %.3f %.2f", n, a, b, sqrt(ss / (n - 2)) }')
	[ -n "$own" ]
	[ "$own" = "$fit" ] || { echo "house: $own, oven tests: $fit"; false; }
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

# The generator kept its own count; wy-stock must find the same in the text.
@test "samples: wy-stock comes to the generator's own count, lot by lot, on four days" {
	for day in 2026-06-30 2026-12-31 2027-06-30 2027-12-31; do
		wy-stock -H samples/house.yaml -b --on "$day" --by lot,form,type,grade,place --as=tsv --no-header
	done | awk -F'\t' -v OFS='\t' '{ print $1, $2, $3, $4, $5 == "" ? "-" : $5, $6, $7 }' | sort >"$T/stock"
	[ "$(wc -l <"$T/stock")" -gt 300 ]
	sed 1d samples/truth/stock.tsv | sort | diff - "$T/stock"
	wy-stock -H samples/house.yaml -b --on 2027-12-31 --audit --as=tsv --no-header >"$T/audit"
	[ "$(wc -l <"$T/audit")" -gt 300 ]
	[ -z "$(awk -F'\t' '$NF != "yes"' "$T/audit")" ]
}

@test "samples: the book is in canonical form" {
	wy-tidy -H samples/house.yaml --untidy samples/book/*.wy
}

# The notes: more blades issued than an order asks for, because one split in the press or was too heavy.
@test "samples: the book has no error and no warning, and each note has its reason" {
	wy-check -H samples/house.yaml samples/book/*.wy >"$T/found" 2>"$T/sum"
	grep -q '^0 errors, 0 warnings, ' "$T/sum"
	[ "$(grep -v ' -- order-overissued$' "$T/found" | wc -l)" = 0 ]
	bad=0
	[ -s "$T/found" ]
	for order in $(sed 's/.* are now issued for \(O-[0-9]*\),.*/\1/' "$T/found"); do
		cat samples/book/*.wy | grep -q "# .* for $order$" || { echo "$order: nothing was lost"; bad=1; }
	done
	[ $bad = 0 ]
}

@test "samples: each of the mistakes is reported once, and nothing in the book is" {
	! wy-check -H samples/house.yaml samples/book/*.wy samples/mistakes.wy >"$T/found" 2>"$T/sum" || false
	grep -v ': note: ' "$T/found" | cut -d: -f1,2 >"$T/where"
	awk '!/^#/ { print "samples/mistakes.wy:" NR }' samples/mistakes.wy | diff - "$T/where"
}

# The rows, from the mapping; the readings against the figures of the simulation.
@test "samples: wy-intake reads the three exports by their mappings" {
	for f in kiln-north.csv cane-room.csv yard.tsv; do
		wy-intake -H samples/house.yaml --map "samples/exports/${f%.*}.map.yaml" "samples/exports/$f" \
			>"$T/$f.wy" 2>"$T/$f.messages" || { cat "$T/$f.messages"; return 1; }
		wy-check -H samples/house.yaml "$T/$f.wy" || return 1
	done
	# 12 days by half hours; 225 readings up to the 16th and 219 from then on; 7 days by 20 minutes and
	# an hour, less 22 without a battery, by two sensors of which one was lost eight times
	[ "$(wc -l <"$T/kiln-north.csv.wy")" = 576 ]
	[ "$(wc -l <"$T/cane-room.csv.wy")" = 465 ]
	[ "$(wc -l <"$T/yard.tsv.wy")" = 956 ]
	grep -q '3 rows, .* -- repeat$' "$T/cane-room.csv.messages"
	grep -q '7 h 40 min .* -- gap$' "$T/yard.tsv.messages"
	grep -q ' -- summer-time$' "$T/yard.tsv.messages"
	[ "$(grep -c '2027-04-04 02:[024]0+1[23]:00 air yard/b1' "$T/yard.tsv.wy")" = 6 ]
	# the kiln was set to 24 C and 80 %, later to 28 C and 74 %, within a degree and a few points
	grep -q '^2026-05-06 03:00 air north temp=2[345]\.[0-9]C rh=\(7[7-9]\|8[0-3]\)' "$T/kiln-north.csv.wy"
	awk '/^2027-01-1[0-9] / { sub(/.*temp=/, ""); sub(/F.*/, ""); n++; s += $0 } END { exit !(n > 200 && s / n > 68 && s / n < 74) }' "$T/cane-room.csv.wy"
}
