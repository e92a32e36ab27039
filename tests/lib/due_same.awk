# due_same.awk - what the filters report on a day is in wy-due's list, and nothing else is.
#
#	awk -v dir=DIR -v day=YYYY-MM-DD -v last=YYYY-MM-DD -v recent=YYYY-MM-DD -v watched=' store/r1 ...' -f due_same.awk
#
# DIR/NAME.tsv are the answers: due (wy-due), orders (wy-stock --orders), charges and reasons (wy-dry), check (wy-check), spells and
# outlook (wy-air), all of the book up to `day`. `last` is the last of the days ahead, `recent` the day before `day`; `watched`:
# places with a band that are not kilns. Prints the failures, then how many things were compared; the status is 1 after one.

function fail(text) { print day ": " text; bad = 1 }

function load(name,   file, line, n, i, cell, head) {
	file = dir "/" name ".tsv"
	rows[name] = 0
	if ((getline line <file) <= 0) return
	n = split(line, head, "\t")
	while ((getline line <file) > 0) {
		split(line, cell, "\t")
		rows[name]++
		for (i = 1; i <= n; i++) is[name, rows[name], head[i]] = cell[i]
	}
	close(file)
}

function due(i, column) { return is["due", i, column] }

# the row of wy-due with these; marks it as explained
function claim(kind, finding, subject, text,   i) {
	for (i = 1; i <= rows["due"]; i++)
		if ((kind == "" || due(i, "kind") == kind) && (finding == "" || due(i, "finding") == finding) && (subject == "" || due(i, "subject") == subject) && index(due(i, "reason"), text)) {
			told[i] = 1
			compared++
			return i
		}
	return 0
}

function orders(   i, id, wanted, row) {
	for (i = 1; i <= rows["orders"]; i++) {
		id = is["orders", i, "order"]
		wanted = (is["orders", i, "due"] != "" && is["orders", i, "due"] <= last) || is["orders", i, "short"] > 0
		if (!wanted) continue
		row = claim("order", "", id, is["orders", i, "open"] " ")
		if (!row) { fail("order " id " is not listed"); continue }
		if (is["orders", i, "due"] < day && is["orders", i, "due"] != "" && due(row, "urgency") != "overdue") fail("order " id " is late")
		if (due(row, "day") != is["orders", i, "due"]) fail("order " id ": another day")
		if (is["orders", i, "short"] > 0 && is["orders", i, "form"] != "handle" && !index(due(row, "fill"), is["orders", i, "type"])) fail("order " id ": nothing that would fill it")
	}
}

function charges(   i, id, row, verdict) {
	for (i = 1; i <= rows["charges"]; i++) {
		id = is["charges", i, "charge"]
		verdict = is["charges", i, "verdict"]
		if (verdict == "not ready" && (is["charges", i, "ready_90_from"] == "" || is["charges", i, "ready_90_from"] > last)) continue
		row = claim("charge", "verdict", id, verdict)
		if (!row) { fail(id ": " verdict " is not listed"); continue }
		if (verdict == "not ready" && (due(row, "day") != is["charges", i, "ready_90_from"] || due(row, "last_day") != is["charges", i, "ready_90_to"])) fail(id ": another range")
	}
}

function reasons(   i, id, text, label, row) {
	for (i = 1; i <= rows["reasons"]; i++) {
		if (is["reasons", i, "side"] != "doubt" && is["reasons", i, "side"] != "warning") continue
		id = is["reasons", i, "charge"]
		text = is["reasons", i, "text"]
		label = ""
		if (match(text, /^probe [^ ]+ /)) {
			label = substr(text, 7, RLENGTH - 7)
			text = substr(text, RLENGTH + 1)
		}
		row = is["reasons", i, "what"] == "store" ? claim("room", "store", "", text) : claim("", is["reasons", i, "what"], id, text)
		if (!row) fail(id ": '" text "' is not listed")
		else if (label != "" && due(row, "reason") !~ ("probes?( [^ ]+,)* " label "[, ]")) fail(id ": probe " label " is not named")
	}
}

function air(   i, place, name, side) {
	for (i = 1; i <= rows["spells"]; i++) {
		place = is["spells", i, "place"]
		if (!index(watched, " " place " ") || is["spells", i, "to"] < recent) continue
		if (is["spells", i, "quantity"] == "emc" && (claim("room", "off-target", place, "") || claim("room", "lone", place, ""))) continue
		if (!claim("room", is["spells", i, "quantity"], place, "was " is["spells", i, "side"])) fail(place ": " is["spells", i, "quantity"] " is " is["spells", i, "side"] ", not listed")
	}
	for (i = 1; i <= rows["outlook"]; i++)
		if (is["outlook", i, "verdict"] ~ /^(leaves|stays too|too )/ && !claim("room", "outlook", is["outlook", i, "place"], is["outlook", i, "verdict"]))
			fail(is["outlook", i, "place"] ": the outlook is not listed")
}

# A kiln that was off or over-full needs nothing more once its charge is out.
function is_over(text,   k) {
	for (k = 1; k <= rows["charges"]; k++)
		if (index(text, is["charges", k, "charge"])) return 0
	return 1
}

function checks(   i) {
	for (i = 1; i <= rows["check"]; i++) {
		if (is["check", i, "level"] == "note") continue
		if (is["check", i, "rule"] == "meter-overdue") { claim("instrument", "", "", ""); continue }
		if (is["check", i, "rule"] ~ /^kiln-(off|not|full)/ && is_over(is["check", i, "text"])) continue
		if (!claim("", is["check", i, "rule"], "", is["check", i, "text"])) fail("wy-check: '" is["check", i, "text"] "' is not listed")
	}
}

# What no filter says: it is judged by the house's rules for rests, ages, counts, readings to come and the like.
function rest(   i) {
	for (i = 1; i <= rows["due"]; i++)
		if (!(i in told) && due(i, "finding") !~ /^(read|emptied|unread|off-target|lone|out-of-target|early|in-shop|rested|old|count|check|never)$/)
			fail("not from a filter: " due(i, "kind") " " due(i, "finding") " " due(i, "subject"))
}

BEGIN {
	n = split("due orders charges reasons spells outlook check", names, " ")
	for (k = 1; k <= n; k++) load(names[k])
	orders(); charges(); reasons(); air(); checks(); rest()
	print compared " things compared"
	exit bad
}
