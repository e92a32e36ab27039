# works.awk - judges the answers that `works` asked for: works.awk PARAMETERS ANSWERS...
#
# A row is a figure: n, how often it was asked; held, the per cent of the 95 % intervals that hold the true value; below and
# above, the per cent that lie wholly below or above it; width, their mean width; value, the mean of the answers; truth.
# Of findings, `held` is the per cent of the books (or lots) in which it was made.
#
# The true values are those of the generator: samples/truth/parameters.tsv for grades and culls. How two graders judge depends on the pieces
# that both saw, so the true agreement is that of all books together.

BEGIN {
	FS = "\t"
	split("knot shake stain honeycomb", cause["plane"], " "); split(".40 .22 .25 .13", part["plane"], " ")   # samples/gen/bench.c
	split("speck butterfly knot", cause["grade"], " "); split(".50 .30 .20", part["grade"], " ")
}

function count(row, held, low, high, true, value) {
	if (!(row in n)) order[++rows] = row
	n[row]++
	hold[row] += held
	below[row] += high < true
	above[row] += low > true
	width[row] += high - low
	sum[row] += value
	truth[row] += true
}

function interval(row, low, high, true, value) { count(row, low <= true && true <= high, low, high, true, value) }
function finding(row, made) { if (!(row in n)) { order[++rows] = row; is_finding[row] = 1 } n[row]++; hold[row] += made }
function cell(name) { return $at[name] }

function header(   i) { split("", at); for (i = 1; i <= NF; i++) at[$i] = i }

# ---- the first file: what is true

FNR == NR { if ($1 == "grade" || $1 == "cull") known[$1, $2, $3] = $4; next }

# ---- answers

$1 == "@failed" { failed++; next }
$1 == "@" { book = $2; answer = $3; table = ""; head = 1; books += answer == "source"; next }
/^# / { table = substr($0, 3); head = 1; next }
NF < 2 { next }
head { header(); head = 0; next }
answer == "stock" { same += cell("same"); differ += cell("differ"); next }

answer == "source" {
	wood = cell("parcel") != "" ? cell("parcel") : cell("supplier")
	if (!(("cull", wood, "grade") in known) || cell("of") < 30) next
	culled = known["cull", wood, "grade"]
	# alder has one lot that is graded like the other supplier's
	if (wood != "alder") interval("share of a grade, " wood, cell("share_low"), cell("share_high"), \
		cell("grade") == "culled" ? culled : known["grade", wood, cell("grade")] * (1 - culled), cell("share"))
}

answer == "claims" && table == "Claimed and delivered" && cell("lot") != "" {
	bad = cell("supplier") == "koethe" || cell("lot") == "C014"
	finding(bad ? "claims: a lot that is worse than its claim is found" : "claims: a lot that keeps its claim is found short", cell("p") != "" && cell("p") < 0.05 / 12)
	if (cell("supplier") == "koethe" && cell("grade") == "B") {
		culled = known["cull", "koethe", "grade"]
		true = (1 - culled) * (known["grade", "koethe", 1] + known["grade", "koethe", 2] + known["grade", "koethe", 3])
		size = sqrt(true * (1 - true) / cell("graded"))
		count("claims: met of koethe's B, within 1.96 se", (cell("met") - true) ^ 2 <= (1.96 * size) ^ 2, true, true, true, cell("met"))
	}
}

answer == "graders" && table ~ /^Agreement/ && cell("source") == "judge" {
	if (cell("pieces") < 20) next
	for (kind in kinds) {
		if (cell(kinds[kind]) == "") continue
		k = ++asked[kind]
		value[kind, k] = cell(kinds[kind]); low[kind, k] = cell(kind "_low"); high[kind, k] = cell(kind "_high")
		all[kind] += cell("pieces") * value[kind, k]; pieces[kind] += cell("pieces")
	}
}
BEGIN { kinds["same"] = "same"; kinds["plain"] = "kappa_plain"; kinds["linear"] = "kappa_linear"; kinds["quadratic"] = "kappa_quadratic" }

answer == "returns" && table ~ /^What those/ {
	if (cell("what") == "handle lot" && cell("value") == "H034" && cell("came_back") >= 4) finding("returns: the wet handles are found, with 4 back or more", cell("p_adjusted") != "" && cell("p_adjusted") <= 0.05)
	if (cell("p_without") != "" && cell("p_adjusted") != "" && cell("p_adjusted") <= 0.05) finding("returns: another difference remains without them", cell("p_without") <= 0.05 / 8)
}

answer == "culls" && (cell("supplier") == "koethe" || cell("supplier") == "alder") && cell("step") in cause && cell("parents") == "" {
	for (i in cause[cell("step")])
		if (cause[cell("step")][i] == cell("cause")) interval("culled at the " cell("step") " step, " cell("supplier"), cell("share_low"), cell("share_high"), known["cull", cell("supplier"), cell("step")] * part[cell("step")][i], cell("share"))
}

END {
	for (kind in kinds)
		for (k = 1; k <= asked[kind]; k++)
			interval("agreement of two graders, " kinds[kind], low[kind, k], high[kind, k], all[kind] / pieces[kind], value[kind, k])
	printf "%-58s %6s %6s %6s %6s %7s %7s %7s\n", "", "n", "held", "below", "above", "width", "value", "truth"
	for (i = 1; i <= rows; i++) {
		row = order[i]
		printf "%-58s %6d %6.1f", row, n[row], 100 * hold[row] / n[row]
		if (!(row in is_finding)) printf " %6.1f %6.1f %7.4f %7.4f %7.4f", 100 * below[row] / n[row], 100 * above[row] / n[row], width[row] / n[row], sum[row] / n[row], truth[row] / n[row]
		print ""
	}
	print same + 0 " rows of stock are as the generator counted, " differ + 0 " are not"
	print books + 0 " books, " failed + 0 " calls failed"
}
