# Judges wy-dry's answers (made by honest) against asks.tsv (made by charges.c). Dates are compared as days of
# the charge. A range with an open end holds every day from its start on, and never.
# column=NAME judges the columns NAME_on, NAME_50_from ... (ready) by the column against=NAME (read_day) of asks.tsv.

function day(date,    y, m, d) {
	y = substr(date, 1, 4); m = substr(date, 6, 2) + 0; d = substr(date, 9, 2) + 0
	if (m < 3) { y--; m += 12 }
	return 365 * y + int(y / 4) - int(y / 100) + int(y / 400) + int((153 * (m - 3) + 2) / 5) + d
}

function cell(name) { return name in col ? $col[name] : "" }
function ratio(a, b) { return b > 0 ? a / b : "-" }
function pct(a, b) { return b > 0 ? sprintf("%.0f", 100 * a / b) : "-" }
function one(a, b) { return b > 0 ? sprintf("%.1f", a / b) : "-" }

# Does the range FROM..TO of the answer hold the truth?
function holds(from, to, truth) {
	if (from == "" && to == "") return truth == 999
	if (from != "" && truth < from) return 0
	return to == "" || truth <= to
}

BEGIN {
	FS = "\t"
	if (column == "") column = "ready"
	if (against == "") against = "read_day"
}
FNR == 1 { file++ }

file == 1 {
	if (FNR == 1) { for (i = 1; i <= NF; i++) ask[$i] = i; next }
	scenario = $1
	key = $2 " " $3 " " $5
	asked[++asks] = key
	line[asks] = $0
	next
}

/^@failed/ { failed++; next }
/^@/ { works = $2; on = $3; next }
/^# / { table = substr($0, 3); header = 1; next }
/^$/ { next }
header { split("", col); for (i = 1; i <= NF; i++) col[$i] = i; header = 0; eighty = eighty || (column "_80_from" in col); next }
table == "charges" {
	key = works " " on " " cell("charge")
	start = day(cell("loaded"))
	answered[key] = 1
	verdict[key] = cell("verdict")
	median[key] = cell(column "_on") == "" ? "" : day(cell(column "_on")) - start
	for (w = 50; w <= 90; w += w == 50 ? 30 : 10) {
		from[key, w] = cell(column "_" w "_from") == "" ? "" : day(cell(column "_" w "_from")) - start
		to[key, w] = cell(column "_" w "_to") == "" ? "" : day(cell(column "_" w "_to")) - start
	}
	forecast[key] = cell("never_pct") != ""
	never[key] = cell("never_pct")
	next
}
table == "reasons" && cell("side") ~ /^(warning|doubt)$/ { warned[works " " on " " cell("charge")] = warned[works " " on " " cell("charge")] "," cell("what") }

function add(row) {
	if (!(row in n)) { order[++rows] = row }
	n[row]++
	if (!forecast[key]) { none[row]++; return }
	for (w = 50; w <= 90; w += w == 50 ? 30 : 10) {
		if (holds(from[key, w], to[key, w], truth)) held[row, w]++
	}
	if (truth < 999) {
		arrive[row]++
		if (to[key, 90] == "") open[row]++
		m = median[key] == "" ? 120 : median[key]
		error[row] += m > truth ? m - truth : truth - m
		if (past > 0) { pasts[row]++; rival[row] += past > truth ? past - truth : truth - past }
		if (median[key] == "") blank[row]++
		width[row] += (to[key, 90] == "" ? 120 : to[key, 90]) - (from[key, 90] == "" ? 120 : from[key, 90])
	} else {
		nevers[row]++
		if (to[key, 90] != "") closed[row]++
	}
	said[row] += never[key]
	if (index(warned[key] ",", ",never,")) told[row]++
}

END {
	FS = "\t"
	for (a = 1; a <= asks; a++) {
		split(line[a], f, "\t")
		key = asked[a]
		name = f[ask["ask"]]
		truth = f[ask[against]] + 0
		past = f[ask["past_mean"]] + 0
		charge = f[2] " " f[5]
		if (!(key in answered)) { missing++; continue }
		judge_warnings()
		if (name == "seen") { judge_verdict(); continue }
		if (scenario == "never") judge_promise()
		if (truth <= f[ask["day"]]) { held_already++; continue }
		add(name " all")
		if (f[ask["law"]] != "" && scenario ~ /^(mixed|one-probe)$/) add(name " " f[ask["law"]])
		if (f[ask["group"]] != "-") add(name " " f[ask["group"]])
	}
	table_out()
	warnings_out()
}

function judge_warnings(    i, k, w) {
	if (!((charge) in charge_seen)) { charge_seen[charge] = 1; charges++ }
	k = split(substr(warned[key], 2), w, ",")
	for (i = 1; i <= k; i++) {
		if (!(w[i] in kind)) { kind[w[i]] = 1; kinds[++kind_n] = w[i] }
		if (!((charge, w[i]) in any)) { any[charge, w[i]] = 1; given[w[i]]++ }
		if (index("," f[ask["causes"]] ",", "," w[i] ",") == 0 && !((charge, w[i]) in lie)) { lie[charge, w[i]] = 1; false_[w[i]]++ }
	}
}

function judge_verdict() {
	seen_n++
	v = verdict[key]
	words[v]++
	share[v] += f[ask["share"]]
	if (f[ask["share"]] < 0.9) poor[v]++
}

# A charge that never arrives and has not moved for ten days: is a day still promised? The same day as before,
# or a later one?
function judge_promise() {
	if (truth < 999) return
	if (f[ask["flat"]] == 1) {
		flat++
		if (to[key, 90] != "") promised++
		if (median[key] != "") middle++
		if (median[key] != "" && charge in before && before[charge] != "" && median[key] > before[charge] + 2) recede[charge] = 1
		flats[charge] = 1
	}
	before[charge] = median[key]
}

function table_out(    r, row, w) {
	printf "%s: %d charges, %d answers missing, %d calls failed; the rule held before in %d of %d askings\n", scenario, charges, missing, failed, held_already, asks
	printf "%-22s %5s %5s %5s %5s %6s %6s %6s %6s %6s %6s %6s %6s %6s\n", "  asked", "n", "h50", "h80", "h90", "open90", "ours", "past", "width", "blank", "never", "said", "warned", "closed"
	for (r = 1; r <= rows; r++) {
		row = order[r]
		w = n[row] - none[row]
		printf "  %-20s %5d %5s %5s %5s %6s %6s %6s %6s %6s %6s %6s %6s %6s\n", row, n[row], pct(held[row, 50], w), eighty ? pct(held[row, 80], w) : "-",
			pct(held[row, 90], w), pct(open[row], arrive[row]), one(error[row], arrive[row]), one(rival[row], pasts[row]),
			one(width[row], arrive[row]), pct(blank[row], arrive[row]), pct(nevers[row], n[row]), one(said[row], w), pct(told[row], w), pct(closed[row], nevers[row])
	}
}

function warnings_out(    i, x, c, fc, rc) {
	printf "  warnings, %% of charges, given/false:"
	for (i = 1; i <= kind_n; i++) printf " %s %s/%s", kinds[i], pct(given[kinds[i]], charges), pct(false_[kinds[i]], charges)
	printf "\n"
	if (seen_n > 0) {
		printf "  on the day on which the rule is seen to hold (%d):", seen_n
		for (x in words) printf " %s %s %%, under 90 %% of pieces in band %s %%;", x, pct(words[x], seen_n), pct(poor[x], words[x])
		printf "\n"
	}
	if (scenario == "never") {
		for (c in flats) fc++
		for (c in recede) rc++
		printf "  after ten flat days (%d answers, %d charges): a last day promised in %s %%, a median in %s %%; receding in %s %% of the charges\n", flat, fc, pct(promised, flat), pct(middle, flat), pct(rc, fc)
	}
}
