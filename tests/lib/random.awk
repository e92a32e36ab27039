# random.awk - a random book that adds up, and what must come of it, counted here by itself.
#
#	awk -v seed=7 -v events=300 -v out=FOLDER -f tests/lib/random.awk
#
# writes FOLDER/book.wy, in the order of its days, and three tables with tabs, unsorted:
#	stock    place form type grade lot count
#	steps    step in found crossed back out culled still (of the wood)
#	losses   step cause count (of the wood)
#
# Every event that moves pieces is in it. Lines say in full which pieces they mean; about half bear a
# time. A tally has its day to itself, so that no order of a day's lines changes what comes out.
# Clefts that come out of a kiln go to the bench. The house file is tests/cases/stock/random.yaml.

function rnd(n) { state = (state * 16807) % 2147483647; return int(state / 2147483647 * n) }
function upto(n) { return 1 + rnd(n) }
function one(list,    part, k) { k = split(list, part, " "); return part[upto(k)] }

# ---- days and lines

function date(k,    n, era, y, m) { # of day k after 2000-01-01, from 0000-03-01 on
	n = k + 730425; era = int(n / 146097); n %= 146097
	y = int((n - int(n / 1460) + int(n / 36524) - int(n / 146096)) / 365)
	n -= 365 * y + int(y / 4) - int(y / 100); m = int((5 * n + 2) / 153); y += 400 * era + (m >= 10)
	return sprintf("%04d-%02d-%02d", y, m < 10 ? m + 3 : m - 9, n - int((153 * m + 2) / 5) + 1)
}
function next_day(k) { day += k; minute = 420 }
function say(text,    time, zone) {
	if (rnd(2) && minute < 1380) {
		minute += upto(25)
		zone = rnd(8) ? "" : one("Z +00:00")
		time = sprintf(" %02d:%02d%s", int(minute / 60), minute % 60, zone)
	}
	print date(day) time " " text > book
}

# ---- the pieces: n[key], key = lot, place, form, type, grade

function key(l, p, f, t, g) { return l SUBSEP p SUBSEP f SUBSEP t SUBSEP g }
function open(k) { split(k, part, SUBSEP); lot = part[1]; place = part[2]; form = part[3]; type = part[4]; grade = part[5] }
function add(k, count) {
	if (!(k in n)) { n[k] = 0; name[++names] = k }
	n[k] += count
}
# a random heap of that form whose place and grade fit the patterns, opened; 0 when there is none
function pick(f, places, grades,    i, k, found) {
	found = 0
	for (i = 1; i <= names; i++) {
		k = name[i]
		if (n[k] > 0) {
			open(k)
			if (form ~ f && place ~ places && grade ~ grades && rnd(++found) == 0) chosen = k
		}
	}
	if (found) open(chosen)
	return found
}
function picks() { return " form=" form " type=" type (form == "blade" || form == "bat" ? " grade=" (grade == "" ? "-" : grade) : "") }

# ---- the steps, counted

function step(p, f, g) {
	if (p == "sold") return 9
	if (f == "bat") return 8
	if (p ~ /^K/) return 3
	if (f == "cleft") return p == "bench" ? 4 : 2
	return p == "shop" ? 7 : g == "" ? 5 : 6
}
function count(s, what, k) { tally[s, what] += k }
function pass(f, from, to, k) {
	if (f == "handle" || from == to) return
	if (from < to) { count(from, "out", k); count(to, "in", k) }
	else { count(from, "back", -k); count(to, "back", k) }
	if (to == 9) count(10, "out", k)
	if (from == 9) count(10, "back", k)
}
function lose(f, s, cause, k) {
	if (f == "handle" || !k) return
	count(s, "culled", k); count(10, "culled", k); lost[s, cause] += k
}
function born(f, s, k) {
	if (f == "handle") return
	count(s, "in", k); count(10, "in", k)
}
# k pieces of the opened heap become another sort
function turn(k, p, f, t, g) {
	add(chosen, -k); add(key(lot, p, f, t, g), k)
	pass(form, step(place, form, grade), step(p, f, g), k)
}
function cull(cause, k) {
	if (!k) return ""
	add(chosen, -k); lose(form, step(place, form, grade), cause, k)
	return " cull=" cause ":" k
}

# ---- the events

function cleave(    l, i, k, c, t) {
	if (rnd(3) || !lots) { l = sprintf("L%03d", ++lots); tree[l] = sprintf("T%03d", ++trees); say("fell " tree[l] " parcel=P" int(trees / 3) " girth=1420mm from=hale") }
	else {
		l = sprintf("L%03d", upto(lots))
		if (rnd(4) == 0) { tree[l] = sprintf("T%03d", ++trees); say("fell " tree[l] " parcel=P" int(trees / 3) " from=rangi") }
	}
	k = rnd(20) ? 5 + rnd(40) : 0; c = k ? rnd(4) : 3; t = one("SH SH HA"); i = one("yard/a yard/b")
	say("cleave " l " tree=" tree[l] " rolls=" upto(4) " count=" (k ? t ":" k : 0) (c ? " cull=knot:" c : "") (k ? " into=" i : ""))
	born("cleft", 0, k + c); lose("cleft", 0, "knot", c)
	if (k) { add(key(l, i, "cleft", t, ""), k); count(0, "out", k); count(2, "in", k) }
}
function buy(    l, f, k, c, t, i, g) {
	f = one("cleft cleft handle handle blade"); l = sprintf("C%03d", ++buys); c = rnd(3); k = 10 + rnd(80); g = ""
	t = f == "handle" ? "HS" : one("SH S6"); i = f == "cleft" ? one("yard/a yard/b bench") : f == "handle" ? "cane" : "store/r1"
	if (f == "blade" && rnd(2)) g = one("1 2 3")
	say("buy " l " form=" f " count=" t (g == "" ? "" : "/" g) ":" k (c ? " cull=split:" c : "") " price=10.00NZD from=brook into=" i)
	add(key(l, i, f, t, g), k)
	born(f, 1, k + c); lose(f, 1, "split", c)
	if (f != "handle") { count(1, "out", k); count(step(i, f, g), "in", k) }
}
function move(    k, i, c) {
	if (!pick("cleft|blade|handle", "^(yard|store|shop|cane)", ".*")) return
	i = form == "cleft" ? one("yard/a yard/b bench") : form == "handle" ? one("cane shop") : one("store/r1 store/r2 shop")
	k = upto(n[chosen]); c = rnd(6) || k < 2 ? 0 : 1
	if (i == place) return
	say("move " lot " at=" place picks() " count=" k - c cull("split", c) " into=" i)
	turn(k - c, i, form, type, grade)
}
function stocktake(    k, f, there) {
	if (!pick(".*", "^(yard|store|shop|bench|cane|K)", ".*")) return
	next_day(1); k = rnd(3) ? 0 : upto(n[chosen]); f = k || rnd(2) || form == "bat" ? 0 : upto(3)
	if (form == "bat") k = 0
	there = n[chosen] + f - k
	say("tally " lot " at=" place picks() " count=" there cull("missing", k) (f ? " found=" f : ""))
	if (f) { add(chosen, f); if (form != "handle") { count(step(place, form, grade), "found", f); count(10, "found", f) } }
	next_day(1)
}
function opening(    l, g, k) { # pieces that no line brought in
	l = sprintf("D%03d", ++openings); g = one("1 2 3"); k = upto(30); next_day(1)
	say("tally " l " at=store/r2 form=blade type=SH grade=" g " count=" k " found=" k)
	add(key(l, "store/r2", "blade", "SH", g), k); count(6, "found", k); count(10, "found", k); next_day(1)
}
function scrap() {
	if (!pick(".*", "^(yard|store|shop|bench|cane|K)", ".*")) return
	say("scrap " lot " at=" place picks() cull("shake", upto(n[chosen] > 3 ? 3 : n[chosen])))
}
function sell(    k) {
	if (!pick("cleft|blade", "^(yard|store)", ".*")) return
	k = upto(n[chosen])
	say("sell " lot " at=" place picks() " count=" k " price=" k ".00NZD to=lund doc=I-" ++docs)
	turn(k, "sold", form, type, grade)
}
function pool(    i, k, l, p, f, t, g, m, list, all) {
	if (!pick("cleft|blade", "^(yard|bench|store|K)", ".*")) return
	p = place; f = form; t = type; g = grade; l = sprintf("M%03d", ++pools); m = 0
	for (i = 1; i <= names && m < 4; i++) {
		open(name[i])
		if (n[name[i]] > 0 && place == p && form == f && type == t && grade == g) {
			k = upto(n[name[i]]); list = list (m++ ? "," : "") lot ":" k; add(name[i], -k); all += k
		}
	}
	say("pool " l " lot=" list " at=" p " form=" f " type=" t (f == "blade" ? " grade=" (g == "" ? "-" : g) : ""))
	add(key(l, p, f, t, g), all)
}
function load(    k, c) {
	if (!pick("cleft", "^(yard|bench)", ".*")) return
	if (charge == "" || rnd(6) == 0) charge = sprintf("K%03d", ++charges)
	k = upto(n[chosen]); c = rnd(3) || k < 3 ? 0 : upto(2)
	say("load " charge " kiln=north lot=" lot " at=" place picks() " count=" k - c cull("split", c))
	turn(k - c, charge, form, type, grade)
}
function oven() {
	if (!pick("cleft", "^K", ".*")) return
	say("oven " place " lot=" lot picks() " wet=182.4g dry=161.9g" cull("test", 1))
}
function unload(    k, c) {
	if (!pick("cleft", "^K", ".*")) return
	k = rnd(2) ? n[chosen] : upto(n[chosen]); c = rnd(2) || k < 4 ? 0 : upto(3)
	say("unload " place " lot=" lot picks() " count=" k - c cull("warp", c) " into=bench")
	turn(k - c, "bench", form, type, grade)
}
function plane(    k, c, down, i) {
	if (!pick("cleft", "^bench", ".*")) return
	k = rnd(2) ? n[chosen] : upto(n[chosen]); c = rnd(2) || k < 4 ? 0 : upto(3); k -= c
	down = k > 3 && type != "S6" ? rnd(3) : 0; i = rnd(3) ? "" : " into=store/r1"
	say("plane " lot " at=bench form=cleft type=" type " count=" type ":" k - down (down ? ",S6:" down : "") cull("honeycomb", c) i)
	i = i == "" ? "bench" : "store/r1"
	turn(k - down, i, "blade", type, ""); if (down) turn(down, i, "blade", "S6", "")
}
function regrade(again,    k, c, g, a, b, i) {
	if (!pick("blade", "^(bench|store)", again ? "." : "^$")) return
	k = rnd(2) ? n[chosen] : upto(n[chosen]); c = rnd(2) || k < 4 ? 0 : upto(3); k -= c
	a = rnd(k + 1); b = k - a; g = again ? grade : "-"; i = rnd(4) ? "store/r1" : "store/r2"
	say("grade " lot " at=" place " form=blade type=" type " grade=" g " count=1:" a ",2:" b cull("speck", c) " into=" i)
	turn(a, i, "blade", type, 1); turn(b, i, "blade", type, 2)
}
function issue(    k) {
	if (!pick("blade", "^store", ".")) return
	k = upto(n[chosen] > 6 ? 6 : n[chosen])
	say("issue " lot " at=" place picks() " count=" k " into=shop for=O-1")
	turn(k, "shop", form, type, grade)
}
function make(    h, b, hl) {
	if (!pick("handle", "^shop", ".*")) return
	h = chosen; hl = lot
	if (!pick("blade", "^shop", ".*")) return
	b = sprintf("B%04d", ++bats)
	say("make " b " blade=" lot (rnd(2) ? "/01" : "") " handle=" hl " at=shop type=" type " grade=" (grade == "" ? "-" : grade))
	add(h, -1); add(chosen, -1); add(key(b, "shop", "bat", type, grade), 1)
	pass("blade", step(place, form, grade), 8, 1)
}
function finish() {
	if (!pick("bat", "^shop", ".*")) return
	say("finish " lot " mass=2lb" upto(15) "oz length=850mm into=store/bats")
	turn(1, "store/bats", form, type, grade)
}
function sell_bat() {
	if (!pick("bat", "^(shop|store)", ".*")) return
	say("sell " lot " price=400.00NZD to=harbour doc=I-" ++docs)
	turn(1, "sold", form, type, grade)
}
function give_back() {
	if (!pick("bat", "^sold", ".*")) return
	say("return " lot " cause=broken from=harbour into=shop")
	turn(1, "shop", form, type, grade)
}
function seal() { if (lots) say(sprintf("seal L%03d with=wax", upto(lots))) }
function air() { say("air store/r1 temp=20." rnd(10) "C rh=5" rnd(10) "%") }

function happen(what) {
	if (what < 3) cleave()
	else if (what < 5) buy()
	else if (what < 9) move()
	else if (what < 10) stocktake()
	else if (what < 11) opening()
	else if (what < 13) scrap()
	else if (what < 16) sell()
	else if (what < 18) pool()
	else if (what < 23) load()
	else if (what < 24) oven()
	else if (what < 29) unload()
	else if (what < 33) plane()
	else if (what < 37) regrade(0)
	else if (what < 39) regrade(1)
	else if (what < 42) issue()
	else if (what < 46) make()
	else if (what < 48) finish()
	else if (what < 50) sell_bat()
	else if (what < 51) give_back()
	else if (what < 52) seal()
	else air()
}

BEGIN {
	state = seed * 7919 % 2147483646 + 1
	book = out "/book.wy"; printf "" > book
	for (i = 0; i < 10; i++) rnd(2)
	next_day(9500)
	for (e = 0; e < events; e++) {
		happen(rnd(53))
		if (rnd(3) == 0) next_day(upto(4))
	}
	printf "" > (out "/stock"); printf "" > (out "/steps"); printf "" > (out "/losses")
	for (i = 1; i <= names; i++) {
		k = name[i]; open(k)
		if (n[k] > 0 && place != "sold") {
			print place "\t" form "\t" type "\t" grade "\t" lot "\t" n[k] > (out "/stock")
			if (form != "handle") { count(step(place, form, grade), "still", n[k]); count(10, "still", n[k]) }
		}
	}
	split("cleave buy yard kiln plane grade store shop bat sold all", word, " ")
	split("in found crossed back out culled still", what, " ")
	for (s = 0; s <= 10; s++) {
		line = word[s + 1]; any = 0
		for (i = 1; i <= 7; i++) { line = line "\t" (tally[s, what[i]] + 0); any = any || tally[s, what[i]] }
		if (any && s != 9) print line > (out "/steps")
	}
	for (k in lost) { split(k, part, SUBSEP); print word[part[1] + 1] "\t" part[2] "\t" lost[k] > (out "/losses") }
}
