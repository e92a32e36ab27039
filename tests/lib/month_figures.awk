# month_figures.awk - every figure of a month's page is the one that a filter gives.
#
#	awk -v dir=DIR -v last=YYYY-MM-DD [-v span=4] -f month_figures.awk PAGE
#
# span: 4 for the page of a year. DIR/NAME.tsv are the answers that month.h names, as tsv; DIR/check.tsv is wy-check's. Each section of the page has
# its answer here, each of its columns a column of that answer, and each sentence of the list the
# answer and the row that its figures are from. What has no rule here is a failure, and so is a row of an
# answer that the page leaves out. Two answers that say the same thing are compared as well. Prints the failures, then how many figures were compared; the status is 1 after a failure.

function fail(text) { print FILENAME ":" FNR ": " text; bad = 1 }

function load(name,   file, line, n, i, cell, head) {
	file = dir "/" name ".tsv"
	rows[name] = 0
	if ((getline line <file) <= 0) { fail("no answer " file); return }
	n = split(line, head, "\t")
	for (i = 1; i <= n; i++) has[name, head[i]] = 1
	while ((getline line <file) > 0) {
		split(line, cell, "\t")
		rows[name]++
		for (i = 1; i <= n; i++) is[name, rows[name], head[i]] = cell[i]
	}
	close(file)
}

# value(NAME, ROW, COLUMN): COLUMN may be a sum, "in+found"
function value(name, row, column,   part, n, i, sum) {
	n = split(column, part, "+")
	for (i = 1; i <= n; i++) if (!((name, part[i]) in has)) fail("the answer " name " has no column " part[i])
	if (n == 1) return is[name, row, column]
	for (i = 1; i <= n; i++) sum += is[name, row, part[i]]
	return sum
}

# compare(SHOWN, VALUE, SCALE, PLACES, WHAT): the figure on the page, rounded from the value
function compare(shown, val, scale, places, what,   off) {
	figures++
	if (val == "") {
		if (shown != "-") fail(what ": " shown " on the page, and no figure in the answer")
		return
	}
	if (shown !~ /^-?[0-9]+([.][0-9]+)?$/) { fail(what ": '" shown "' on the page, " val " in the answer"); return }
	if (index(shown, ".") ? length(shown) - index(shown, ".") != places : places) fail(what ": " shown " has not " places " places")
	off = shown - val * scale
	if ((off < 0 ? -off : off) > 0.5 / 10 ^ places + 1e-9) fail(what ": " shown " on the page, " val " in the answer")
}

function same_word(shown, val, what) {
	if (shown != (val == "" ? "-" : val)) fail(what ": '" shown "' on the page, '" val "' in the answer")
}

function range(shown, low, high, scale, places, what,   end) {
	if (low == "") { same_word(shown, "", what); return }
	if (split(shown, end, /[.][.]/) != 2) { fail(what ": '" shown "' is no range"); return }
	compare(end[1], low, scale, places, what)
	compare(end[2], high, scale, places, what)
}

function short(day, ready) { return ready ~ /^[0-9]/ ? substr(day, 6) : day }

function days(shown, from, to, ready, what) {
	figures++
	if (from == "") same_word(shown, "", what)
	else same_word(shown, from == to ? short(from, ready) : short(from, ready) ".." short(to, ready), what)
}

# find(NAME, "COLUMN=VALUE\tCOLUMN=VALUE"): the only row that has them, or 0
function find(name, want,   part, n, i, row, at, fits, found) {
	n = split(want, part, "\t")
	for (row = 1; row <= rows[name]; row++) {
		fits = 1
		for (i = 1; i <= n && fits; i++) {
			at = index(part[i], "=")
			if (value(name, row, substr(part[i], 1, at - 1)) != substr(part[i], at + 1)) fits = 0
		}
		if (!fits) continue
		if (found) { fail(name " has two rows of " want); return 0 }
		found = row
	}
	if (!found) fail(name " has no row of " want)
	return found
}

function word_of(cell) { return cell == "-" ? "" : cell }

# ---- sections: rule[SECTION, COLUMN] is KIND:COLUMN of the answer

function section(title, name, first, columns,   part, n, i) {
	n = split(columns, part, " ")
	answer[title] = name
	heading[title] = first
	width[title] = n
	for (i = 1; i <= n; i++) rule[title, i] = part[i]
}

function is_charge(id,   row) {
	for (row = 1; row <= rows["moist"]; row++) if (id != "" && is["moist", row, "charge"] == id) return 1
	for (row = 1; row <= rows["charges"]; row++) if (is["charges", row, "charge"] == id) return 1
	return 0
}

function was_dried(id,   row) {
	for (row = 1; row <= rows["kilns"]; row++) if (id != "" && is["kilns", row, "charge"] == id && is["kilns", row, "step"] == "kiln") return 1
	return 0
}

# Whether the page shows a row of the answer.
function is_shown(title, name, row) {
	if (title ~ /^Pieces of the charges/) return is[name, row, "step"] == "kiln" && is[name, row, "charge"] != "" && is[name, row, "charge"] != "all"
	if (title ~ /^Their/) return was_dried(is[name, row, "charge"])
	if (title ~ /^Grades/) return is[name, row, "of"] > 0
	if (title ~ /^Culled/) return is[name, row, "count"] > 0 || is[name, row, "moved"] != ""
	if (title ~ /^Lots graded/) return of_month(name, row)
	if (title ~ /^Bats/) return came_back_now(row)
	if (title ~ /^Rooms/) return is[name, row, "n"] > 0
	if (title ~ /^Wood/) return is[name, row, "place"] != "" && !is_charge(is[name, row, "place"])
	return 1
}

# Whether blades of the lot, or of the supplier, were graded this month.
function of_month(name, row,   at) {
	for (at = 1; at <= rows["claims_now"]; at++)
		if (is["claims_now", at, "supplier"] == is[name, row, "supplier"] && is["claims_now", at, "lot"] == is[name, row, "lot"]) return 1
	return 0
}

function came_back_now(row) { return is["bats", row, "came_back"] && substr(is["bats", row, "until"], 1, span) == substr(last, 1, span) }

# "2 of 20": how many bats with the same handle lot, or of the same charge, came back
function shared(shown, key, word, what,   row, part) {
	if (word == "") { same_word(shown, "", what); return }
	row = find("by_" key, key "=" word)
	split(shown, part, " of ")
	compare(part[1], value("by_" key, row, "came_back"), 1, 0, what)
	compare(part[2], value("by_" key, row, "bats"), 1, 0, what)
}

function before_of(supplier,   at) {
	for (at = 1; at <= rows["cost_before"]; at++) if (is["cost_before", at, "supplier"] == supplier) return is["cost_before", at, "each"]
	return ""
}

function end_section(   row, n) {
	if (now == "" || !(now in answer)) return
	for (row = 1; row <= rows[answer[now]]; row++) n += is_shown(now, answer[now], row)
	if (now ~ /^Stock/) n = kinds()
	if (n + 0 != shown_rows + 0) fail(now ": " shown_rows + 0 " rows on the page, " n + 0 " in the answer")
}

# What identifies the row: the leading words.
function key_of(cell, title,   i, part, want, extra) {
	for (i = 1; i <= width[title]; i++) {
		split(rule[title, i], part, ":")
		if (part[1] == "key") want = want (want == "" ? "" : "\t") part[2] "=" word_of(cell[i])
	}
	extra = title ~ /^Pieces of the charges/ ? "\tstep=kiln" : ""
	return want extra
}

function check_row(cell, n, title,   name, row, i, part, what) {
	name = answer[title]
	shown_rows++
	if (title ~ /^Stock/) { check_stock(cell, n); return }
	if (!(row = find(name, key_of(cell, title)))) return
	if ((title, row) in taken) fail("two rows of " key_of(cell, title))
	taken[title, row] = 1
	if (!is_shown(title, name, row)) fail("a row of " name " that should not be shown: " cell[1])
	for (i = 1; i <= width[title]; i++) {
		split(rule[title, i], part, ":")
		what = title ", " key_of(cell, title) ", column " i
		if (part[1] == "key") continue
		if (part[1] == "word") same_word(cell[i], value(name, row, part[2]), what)
		else if (part[1] == "count") compare(cell[i], value(name, row, part[2]), 1, 0, what)
		else if (part[1] == "whole") compare(cell[i], value(name, row, part[2]), 1, 0, what)
		else if (part[1] == "tenths") compare(cell[i], value(name, row, part[2]), 1, 1, what)
		else if (part[1] == "percent") compare(cell[i], value(name, row, part[2]), 100, part[3], what)
		else if (part[1] == "interval") range(cell[i], value(name, row, "share_low"), value(name, row, "share_high"), 100, part[2], what)
		else if (part[1] == "ends") range(cell[i], value(name, row, "driest_pct"), value(name, row, "wettest_pct"), 1, 1, what)
		else if (part[1] == "expected") range(cell[i], value(name, row, "expected_low"), value(name, row, "expected_high"), 1, 0, what)
		else if (part[1] == "days") days(cell[i], value(name, row, part[2] "_from"), value(name, row, part[2] "_to"), value(name, row, "ready_on"), what)
		else if (part[1] == "hundredths") compare(cell[i], value(name, row, part[2]), 1, 2, what)
		else if (part[1] == "before") compare(cell[i], before_of(is[name, row, "supplier"]), 1, 2, what)
		else if (part[1] == "shared") shared(cell[i], part[2], is[name, row, part[2]], what)
		else if (part[1] == "state") same_word(cell[i], value("kilns", find("kilns", "charge=" cell[1] "\tstep=kiln"), "still") > 0 ? "in kiln" : "emptied", what)
		else if (part[1] == "moved") same_word(cell[i] == "" ? "-" : cell[i], moved(row), what)
		else fail("no rule for column " i " of " title)
	}
	if (n > width[title]) fail(title ": " n " cells in a row, and rules for " width[title])
}

# The stock: a column for each grade, whose names are the heading.
function kinds(   row, n, seen, key) {
	for (row = 1; row <= rows["stock"]; row++) { key = is["stock", row, "form"] "\t" is["stock", row, "type"]; if (!(key in seen)) { seen[key] = 1; n++ } }
	return n
}

function check_stock(cell, n,   row, sum, all, oldest, i) {
	for (row = 1; row <= rows["stock"]; row++) {
		if (is["stock", row, "form"] != cell[1] || is["stock", row, "type"] != word_of(cell[2])) continue
		sum[is["stock", row, "grade"] == "" ? "no grade" : is["stock", row, "grade"]] += is["stock", row, "count"]
		all += is["stock", row, "count"]
		if (is["stock", row, "oldest_days"] > oldest + 0) oldest = is["stock", row, "oldest_days"]
	}
	for (i = 3; i <= n - 2; i++) { compare(cell[i], (stock_head[i] in sum) ? sum[stock_head[i]] : "", 1, 0, "stock of " cell[1] " " cell[2] " " stock_head[i]); delete sum[stock_head[i]] }
	for (i in sum) fail("stock of " cell[1] " " cell[2] ": the page has no column " i)
	compare(cell[n - 1], all + 0, 1, 0, "all stock of " cell[1] " " cell[2])
	compare(cell[n], oldest + 0, 1, 0, "oldest of " cell[1] " " cell[2])
}

# ---- sentences

# "rose" or "fell" by wy-grade --shift, of the same type, grade and blades
function moved(row,   k) {
	for (k = 1; k <= rows["shift"]; k++)
		if (is["shift", k, "type"] == is["grades", row, "type"] && is["shift", k, "grade"] == is["grades", row, "grade"] && is["shift", k, "of"] == is["grades", row, "of"] && is["shift", k, "scheme"] == is["grades", row, "scheme"])
			return is["shift", k, "moved"]
	return ""
}

# Takes `head` off the sentence in hand; between(TAIL) takes what is before TAIL, and TAIL.
function skip(head) { if (index(left, head) == 1) { left = substr(left, length(head) + 1); return 1 } return 0 }
function between(tail,   at, got) {
	at = tail == "" ? length(left) + 1 : index(left, tail)
	if (!at) { fail("no '" tail "' in: " left); return "" }
	got = substr(left, 1, at - 1)
	left = substr(left, at + length(tail))
	return got
}

function judged_out(name, row) { return int(is[name, row, "n_judged"] * (1 - is[name, row, "share_in_band"]) + 0.5) }

function check_out_of(name, row, words) {
	compare(between(" of "), judged_out(name, row), 1, 0, "out of the band")
	compare(between(words), value(name, row, "n_judged"), 1, 0, "judged")
	compare(between(" % ("), value(name, row, "wettest_pct"), 1, 1, "wettest")
	same_word(between("), driest "), value(name, row, "wettest"), "wettest")
	compare(between(" % ("), value(name, row, "driest_pct"), 1, 1, "driest")
	same_word(between(")"), value(name, row, "driest"), "driest")
	if (judged_out(name, row) < 1) fail("none is out of the band")
}

function check_open(charge, row) {
	row = find("charges", "charge=" charge)
	if (is["charges", row, "wettest_pct"] != "") {
		same_word(between("; "), is["charges", row, "verdict"], "verdict")
		compare(between(is["charges", row, "probes"] == 1 ? " probe in it: " : " probes in it: "), value("charges", row, "probes"), 1, 0, "probes")
		compare(between(" to "), value("charges", row, "driest_pct"), 1, 1, "driest")
		compare(between(" % on "), value("charges", row, "wettest_pct"), 1, 1, "wettest")
		same_word(substr(left, 1, 10), value("charges", row, "read_on"), "read on"); left = substr(left, 11)
	} else skip(is["charges", row, "verdict"])
	if (skip("; ready between ")) { same_word(between(" and "), value("charges", row, "ready_90_from"), "ready"); same_word(between(" (90 %)"), value("charges", row, "ready_90_to"), "ready") }
	else if (skip("; ready on ")) { same_word(between(" at the earliest (90 %)"), value("charges", row, "ready_90_from"), "ready"); same_word("-", value("charges", row, "ready_90_to"), "ready") }
	else same_word("-", value("charges", row, "ready_90_from"), "ready")
	if (left != "") fail("not compared: " left)
	open_seen[charge] = 1
}

# The reasons of a charge; probes of which the same is said share a line.
function check_reason(charge, side,   label, n, i) {
	n = 1
	if (skip("each of probes ")) {
		match(left, /^[^ ,]+(, [^ ,]+)+ /)
		n = split(substr(left, 1, RLENGTH - 1), label, ", ")
		left = substr(left, RLENGTH + 1)
		for (i = 1; i <= n; i++) { find("reasons", "charge=" charge "\tside=" side "\ttext=probe " label[i] " " left); figures++ }
	} else { find("reasons", "charge=" charge "\tside=" side "\ttext=" left); figures++ }
	reasons_seen[side] += n
}

function is_reason(charge, text, side,   row) {
	sub(/^each of probes [^ ,]+(, [^ ,]+)+ /, "", text)
	for (row = 1; row <= rows["reasons"]; row++)
		if (is["reasons", row, "charge"] == charge && is["reasons", row, "side"] == side && index(is["reasons", row, "text"], text)) return 1
	return 0
}

function check_order(head,   part, item, n, i, order, due, row, open, what) {
	split(head, part, /, (WAS DUE|due) /)
	order = part[1]; sub(/ for .*/, "", order)
	due = part[2]
	for (;;) {
		open = left; sub(/ .*/, "", open); sub(/^[0-9]+ /, "", left)
		what = between(" ("); item = between(")")
		row = 0
		for (i = 1; i <= rows["orders"]; i++)
			if (is["orders", i, "order"] == order && what == (is["orders", i, "type"] == "" ? "" : is["orders", i, "type"] " ") (is["orders", i, "grade"] == "" ? "" : "grade " is["orders", i, "grade"] " ") is["orders", i, "form"] (open == 1 ? "" : "s")) row = i
		if (!row) { fail("no order " order " of " what); return }
		compare(open, value("orders", row, "open"), 1, 0, order)
		same_word(due == "" ? "-" : due, value("orders", row, "due"), order " due")
		if (index(head, "WAS DUE") ? !(due < last) : due != "" && due < last) fail(order ": late or not? " head)
		if (item == "all in stock") item = open " in stock"
		if (item == "none in stock") item = open " short"
		n = split(item, part, ", ")
		rest["in_stock"] = value("orders", row, "in_stock"); rest["to_make"] = value("orders", row, "to_make"); rest["short"] = value("orders", row, "short")
		for (i = 1; i <= n; i++) {
			open = part[i]; sub(/ .*/, "", open); sub(/^[0-9]+ /, "", part[i]); gsub(/ /, "_", part[i])
			compare(open, rest[part[i]], 1, 0, order " " part[i])
			rest[part[i]] = 0
		}
		if (rest["in_stock"] + rest["to_make"] + rest["short"]) fail(order ": pieces that are not named: " item)
		listed[order]++
		if (!skip(", ")) break
	}
	if (left != "") fail("not compared: " left)
}

function check_air(place,   row) {
	row = find("air", "place=" place)
	compare(between(" % of the known hours; wood equilibrates at "), value("air", row, "emc_in_target_share"), 100, 0, place)
	compare(between(" % there ("), value("air", row, "emc_mean_pct"), 1, 1, place)
	compare(between(" to "), value("air", row, "emc_min_pct"), 1, 1, place)
	compare(between(")"), value("air", row, "emc_max_pct"), 1, 1, place)
	if (is["air", row, "emc_in_target_share"] >= 0.9) fail(place ": the air was in the target")
	if (left != "") fail("not compared: " left)
	air_seen[place] = 1
}

function check_lone(place, n,   row, many, at) {
	for (row = 1; row <= rows["spells"]; row++)
		if (is["spells", row, "place"] == place && is["spells", row, "quantity"] == "emc" && is["spells", row, "hours"] == 0 && is["spells", row, "open"] == "both") { many++; at = row }
	compare(n, many + 0, 1, 0, place ", lone readings")
	compare(between(" % there ("), value("spells", at, "worst"), 1, 1, place)
	skip("the last, ")
	same_word(between(")"), value("spells", at, "from"), place)
}

function check_grade(type, grade,   row) {
	row = find("grades", "type=" type "\tgrade=" grade)
	if (moved(row) == "") fail(type " " grade ": the share did not move")
	compare(between(" % of the "), value("grades", row, "share"), 100, 1, type)
	compare(between(" blades (95 % interval "), value("grades", row, "of"), 1, 0, type)
	compare(between(" to "), value("grades", row, "share_low"), 100, 1, type)
	compare(between("), but "), value("grades", row, "share_high"), 100, 1, type)
	compare(between(" % in the twelve months before"), value("grades", row, "baseline_share"), 100, 1, type)
	if (left != "") fail("not compared: " left)
	grades_seen[type, grade] = 1
}

function check_diagnostic(text,   row, part) {
	for (row = 1; row <= rows["check"]; row++)
		if (text == is["check", row, "file"] ":" is["check", row, "line"] ": " is["check", row, "text"] "; " is["check", row, "mend"]) { figures++; return 1 }
	return 0
}

function check_losses(   cause, row) {
	cause = between(" in the step ")
	row = find("losses", "step=" between(": ") "\tcause=" cause)
	compare(left + 0, value("losses", row, "count"), 1, 0, cause)
	between(" lead to expect ")
	compare(between(" to "), value("losses", row, "expected_low"), 1, 0, cause)
	compare(left, value("losses", row, "expected_high"), 1, 0, cause)
	same_word("more", value("losses", row, "moved"), cause)
	more_seen++
}

function check_claim(head,   part, row) {
	split(head, part, " of ")
	row = find("claims", part[2] == "" ? "supplier=" part[1] "\tlot=" : "supplier=" part[2] "\tlot=" part[1])
	compare(between(" % of "), value("claims", row, "met"), 100, 0, head)
	compare(between(" "), value("claims", row, "graded"), 1, 0, head)
	between(" are ")
	same_word(between(" or better, where "), value("claims", row, "grade"), head)
	compare(between(" % were claimed"), value("claims", row, "claimed"), 100, 0, head)
	if (is["claims", row, "p"] > 0.05) fail(head ": chance alone explains it")
	if (!of_month("claims", row)) fail(head ": no blade of it was graded this month")
}

function check_shared(head,   key, row) {
	key = head ~ /^handle/ ? "handle" : "charge"
	sub(/^(handle lot|charge) /, "", head)
	row = find("by_" key, key "=" head)
	compare(between(" of its "), value("by_" key, row, "came_back"), 1, 0, head)
	compare(between(" bats came back, more than chance explains; see wy-trace --sharing"), value("by_" key, row, "bats"), 1, 0, head)
	if (is["by_" key, row, "p_adjusted"] == "" || is["by_" key, row, "p_adjusted"] > 0.05) fail(head ": chance alone explains it")
	shared_seen[key, head] = 1
}

# an instrument that is overdue: wy-due's text and line
function check_instrument(text,   row) {
	for (row = 1; row <= rows["due"]; row++)
		if (is["due", row, "kind"] == "instrument" && text == is["due", row, "file"] ":" is["due", row, "line"] ": " is["due", row, "subject"] " " is["due", row, "reason"] "; " is["due", row, "action"]) { figures++; return 1 }
}

function check_point(text,   head, part) {
	left = text
	if (check_diagnostic(text) || check_instrument(text)) return
	if (text ~ /^and [0-9]+ more errors; wy-check lists all of them$/) return
	if (text ~ /^the book has no entries/) return
	if (match(text, / (culled|grade [^ ]+): [0-9.]+ % of the /)) {
		head = between(": ")
		split(head, part, " ")
		check_grade(part[1], part[2] == "culled" ? "culled" : part[3])
		return
	}
	if (text ~ /: no air reading this month$/) { head = between(": "); for (row = 1; row <= rows["air"]; row++) if (is["air", row, "place"] == head && is["air", row, "n"] > 0) fail(head " was read"); return }
	if (match(text, /^[^ ]+, wood for (blade|handle)s: [0-9]/)) {
		head = between("s: ")
		split(head, part, ", wood for ")
		check_out_of("wood", find("wood", "place=" part[1] "\tpart=" part[2]), " pieces read out of the target; wettest ")
		wood_seen[part[1], part[2]] = 1
		return
	}
	if (text ~ / in the step [a-z]+: [0-9]+ pieces? culled, where /) { check_losses(); return }
	if (text ~ / graded blades? are .* or better, where /) { check_claim(between(": ")); return }
	if (match(text, /^(handle lot|charge) [^ ]+: [0-9]+ of its /)) { check_shared(between(": ")); return }
	head = between(": ")
	if (skip("the air was in the target for ")) { check_air(head); return }
	if (match(left, /^[0-9]+ readings? of the air out of the target, with no other near; wood equilibrates at /)) {
		part[1] = left + 0
		left = substr(left, RLENGTH + 1)
		check_lone(head, part[1])
		return
	}
	if (skip("emptied without a reading")) return
	if (skip("emptied with ")) { check_out_of("moist", find("moist", "charge=" head), " probes out of the band; wettest "); return }
	if (is_charge(head) && is_reason(head, left, "doubt")) { check_reason(head, "doubt"); return }
	if (is_charge(head) && is_reason(head, left, "warning")) { check_reason(head, "warning"); return }
	if (is_charge(head)) { check_open(head); return }
	if (left ~ /^[0-9]+ /) { check_order(head); return }
	fail("no rule for: " text)
}

# What the list must not leave out.
function check_list(   row, want, at, n) {
	for (row = 1; row <= rows["charges"]; row++) if (!(is["charges", row, "charge"] in open_seen)) fail("not in the list: " is["charges", row, "charge"])
	for (row = 1; row <= rows["grades"]; row++) if (moved(row) != "" && !((is["grades", row, "type"], is["grades", row, "grade"]) in grades_seen)) fail("not in the list: grade " is["grades", row, "grade"])
	for (row = 1; row <= rows["orders"]; row++)
		if ((is["orders", row, "short"] > 0 || is["orders", row, "due"] != "" && is["orders", row, "due"] <= last) && listed[is["orders", row, "order"]]-- < 1) fail("not in the list: " is["orders", row, "order"])
	for (row = 1; row <= rows["wood"]; row++)
		if (is_shown("Wood", "wood", row) && is["wood", row, "n_judged"] > 0 && judged_out("wood", row) > 0 && !((is["wood", row, "place"], is["wood", row, "part"]) in wood_seen)) fail("not in the list: wood in " is["wood", row, "place"])
	for (row = 1; row <= rows["air"]; row++)
		if (is["air", row, "emc_in_target_share"] != "" && is["air", row, "emc_in_target_share"] < 0.9 && !(is["air", row, "place"] in air_seen) && !index(kilns, " " is["air", row, "place"] " ")) fail("not in the list: the air of " is["air", row, "place"])
	for (row = 1; row <= rows["reasons"]; row++) want += is["reasons", row, "side"] == "warning"
	if (want + 0 != reasons_seen["warning"] + 0) fail(reasons_seen["warning"] + 0 " of " want " warnings are in the list")
	for (row = 1; row <= rows["bats"]; row++) {
		if (!came_back_now(row) || (at = is["bats", row, "handle"]) == "") continue
		n = find("by_handle", "handle=" at)
		if (is["by_handle", n, "p_adjusted"] != "" && is["by_handle", n, "p_adjusted"] <= 0.05 && !(("handle", at) in shared_seen)) fail("not in the list: handle lot " at)
	}
	want = 0
	for (row = 1; row <= rows["losses"]; row++) want += is["losses", row, "moved"] == "more"
	if (want + 0 != more_seen + 0) fail(more_seen + 0 " of " want " causes that moved are in the list")
	want = 0
	for (row = 1; row <= rows["reasons"]; row++) want += is["reasons", row, "side"] == "against"
	if (want + 0 != reasons_seen["against"] + 0) fail(reasons_seen["against"] + 0 " of " want " reasons are below the charges")
}

# What two answers say of the same thing.
function check_twice(   row, all, kind, charge, held, at) {
	for (row = 1; row <= rows["stock"]; row++) all[is["stock", row, "form"] " " is["stock", row, "type"]] += is["stock", row, "count"]
	for (row = 1; row <= rows["flow"]; row++) {
		kind = is["flow", row, "form"] " " is["flow", row, "type"]
		if (is["flow", row, "end"] != all[kind] + 0) fail(kind ": " is["flow", row, "end"] " at the end of the month, but " all[kind] + 0 " in stock")
		delete all[kind]
		twice++
	}
	for (kind in all) if (all[kind]) fail(kind ": " all[kind] " in stock, but not among the pieces of the month")
	for (row = 1; row <= rows["kilns"]; row++)
		if (is_shown("Pieces of the charges", "kilns", row) && is["kilns", row, "still"] > 0) held[is["kilns", row, "charge"]] = is["kilns", row, "still"]
	for (row = 1; row <= rows["charges"]; row++) {
		charge = is["charges", row, "charge"]
		if (held[charge] != is["charges", row, "pieces"]) fail(charge ": " is["charges", row, "pieces"] " pieces in its kiln, but " held[charge] + 0 " in the step kiln")
		delete held[charge]
		twice++
		for (at = 1; at <= rows["moist"]; at++) {
			if (is["moist", at, "charge"] != charge || is["moist", at, "n_pieces"] != is["charges", row, "probes"]) continue
			if (is["moist", at, "driest_pct"] != is["charges", row, "driest_pct"] || is["moist", at, "wettest_pct"] != is["charges", row, "wettest_pct"])
				fail(charge ": the probes read " is["charges", row, "driest_pct"] ".." is["charges", row, "wettest_pct"] ", or " is["moist", at, "driest_pct"] ".." is["moist", at, "wettest_pct"])
			twice++
		}
	}
	for (charge in held) fail(charge ": it holds pieces, but is none of the charges in the kilns")
}

function end_point() {
	if (point == "") return
	if (now ~ /^Needs attention/) check_point(point)
	else { left = point; head = between(": "); check_reason(head, "against") }
	point = ""
}

BEGIN {
	if (!span) span = 7
	n = split("flow stock orders kilns losses charges reasons moist wood grades shift air spells check cost cost_before claims claims_now bats by_handle by_charge due", names, " ")
	for (i = 1; i <= n; i++) load(names[i])
	section("Pieces this month", "flow", "form", "key:form key:type count:start count:in count:found count:returned count:made count:culled count:sold count:used count:end")
	section("Pieces of the charges in a kiln this month", "kilns", "charge", "key:charge count:start count:in+back+crossed+found count:out count:culled count:still tenths:median_days")
	section("Their moisture content, %: the last reading of each probe", "moist", "charge", "key:charge state count:n_pieces tenths:mc_mean_pct tenths:mc_sd_pct ends percent:share_in_band:0 interval:0 word:last")
	section("Charges in the kilns on " last, "charges", "charge", "key:charge word:kiln count:day count:pieces word:verdict word:ready_on days:ready_50 days:ready_90")
	section("Grades: this month, and the twelve months before", "grades", "type", "key:type key:grade count:count count:of percent:share:1 interval:1 percent:baseline_share:1 count:baseline_of moved")
	section("Culled pieces, by step and cause, against the twelve months before", "losses", "step", "key:step key:cause count:count percent:share:1 percent:baseline_share:1 expected word:moved hundredths:cost word:currency")
	section("What a usable blade cost: graded this month, and in the twelve months before", "cost", "supplier", "key:supplier count:blades hundredths:each word:currency percent:timber_share:0 percent:drying_share:0 percent:losses_share:0 before")
	section("Lots graded this month against their claim, with the twelve months before", "claims", "supplier", "key:supplier key:lot count:graded word:grade percent:claimed:0 percent:met:0 whole:short hundredths:price_short word:currency")
	section("Bats that came back, and how many of all with the same handle or charge did", "bats", "bat", "key:bat key:until word:cause tenths:bat_months word:handle shared:handle word:charge shared:charge")
	section("Stock at the end of the month", "stock", "form", "key:form key:type")
	section("Open orders", "orders", "due", "key:due key:order key:to key:form key:type key:grade count:open count:in_stock count:to_make count:short")
	section("Rooms: their air, and the moisture content at which wood equilibrates (EMC)", "air", "place", "key:place count:n whole:rh_covered_h tenths:temp_mean_c tenths:rh_mean_pct percent:rh_in_band_share:1 tenths:emc_mean_pct tenths:emc_min_pct tenths:emc_max_pct percent:emc_in_target_share:1")
	section("Wood read in the rooms: moisture content, %", "wood", "place", "key:place key:part count:n_pieces tenths:mc_mean_pct tenths:driest_pct tenths:wettest_pct percent:share_in_band:1 interval:1")
}

FNR == 1 { next }
/^$/ { end_point(); end_section(); now = ""; next }
/^[^ ]/ {
	now = $0; shown_rows = headed = 0
	if (now == "Needs attention" || now in answer) seen[now] = 1
	else if (now !~ /^(EMC is good|Before you open|makers' instructions)/) fail("no rule for the section: " now)
	next
}
/^  - [^ ]/ { end_point(); point = substr($0, 5); next }
/^    / && point != "" { point = point " " substr($0, 5); next }
$0 == "  nothing" { next }
{
	line = substr($0, 3)
	# of a year with two schemes, the scheme is a column
	if (!headed && now ~ /^Grades/ && line ~ /^type +scheme/) section(now, "grades", "type", "key:type key:scheme key:grade count:count count:of percent:share:1 interval:1 percent:baseline_share:1 count:baseline_of moved")
	if (!headed && index(line, heading[now]) == 1) { headed = 1; n = split(line, stock_head, /   */); next }
	if (!headed) next
	n = split(line, cell, /   */)
	if (n >= 3) check_row(cell, n, now)
	for (i in cell) delete cell[i]
}
END {
	end_point(); end_section()
	check_list()
	check_twice()
	for (title in answer) if (!(title in seen)) fail("no section " title)
	print figures + 0 " figures, " twice + 0 " of them twice"
	exit bad
}
