# limits.awk - books that are far from any works', to see that no tool takes a square of their size.
#
#	awk -v kind=KIND -v n=N -f tests/lib/limits.awk
#
# writes about N lines to standard output.

function date(i) { return sprintf("%04d-%02d-%02d", 2000 + int(i / 336), int(i / 28) % 12 + 1, i % 28 + 1) }
function turn(i) { return date(1 + i % 30000) sprintf(" %02d:%02d:%02d", int(i / 30000) / 60, int(i / 30000) % 60, 0) }
function bought(lot, count, place) { print date(0) " buy " lot " form=cleft count=SH:" count " into=" place " from=x" }

function lines(i) {
	if (kind == "sorts-of-a-place") { # one lot of many types, each picked by its type
		if (i < n / 2) print date(0) " 08:00 cleave L1 tree=T1 count=S" i ":2 into=a"
		else print date(i) " move L1 at=a type=S" int(i - n / 2) " form=cleft count=1 into=b"
	} else if (kind == "sorts-of-a-lot") {
		if (i < n / 2) print date(0) " 08:00 cleave L1 tree=T1 count=S" i ":2 into=a"
		else print date(i) " move L1 type=S" int(i - n / 2) " count=1 into=b"
	} else if (kind == "places-of-a-lot") {
		if (i == 0) bought("L1", 5, "p")
		print turn(i) " move L1 count=5 into=p" i
	} else if (kind == "lots-through-a-charge") {
		print date(i) " 08:00 buy L" i " form=cleft count=SH:5 into=a from=x"
		print date(i) " 09:00 load K1 kiln=north lot=L" i " at=a count=5"
		print date(i) " 10:00 unload K1 count=5 into=b"
	} else if (kind == "grades-of-a-lot") {
		if (i == 0) print date(0) " tally L1 at=a form=blade type=SH count=" n " found=" n
		print turn(i) " grade L1 at=a grade=- count=" i ":1"
	} else if (kind == "day-without-pieces") { # no order of so many lines does
		if (i == 0) bought("L1", 5, "a")
		print date(1) (i % 2 ? sprintf(" %02d:%02d:%02d", int(i / 3600) % 24, int(i / 60) % 60, i % 60) : "") " move L1 at=a count=1 into=b by=p" i
	} else if (kind == "day-the-wrong-way-round") {
		if (i == 0) bought("L1", 5, "p" n)
		print date(1) " move L1 at=p" n - i " count=5 into=p" n - i - 1
	} else if (kind == "days-that-never-add-up") { # twenty lines a lot, and no order of them does
		if (i % 20 == 0) bought("L" int(i / 20), 9, "a")
		print date(1) " move L" int(i / 20) " at=" (i % 2 ? "a" : "b") " count=" (i % 20 == 7 ? 11 : 1) " into=" (i % 2 ? "b" : "a") " by=p" i
	} else if (kind == "loads-of-a-charge") {
		bought("L" i, 5, "a")
		print date(1) " load K1 kiln=north lot=L" i " at=a count=5"
		print date(2) " unload K1 lot=L" i " count=5 into=b"
	} else if (kind == "pools-of-pools") {
		if (i == 0) bought("Q0", 5, "a")
		print turn(i) " pool Q" i + 1 " lot=Q" i ":5 at=a"
	} else if (kind == "orders-stated-anew")
		print turn(i) " order O-1 to=c count=SH/" i ":2 due=2030-01-01"
	else if (kind == "orders") {
		if (i % 2) print date(0) " order O-" i " to=c form=blade count=SH/1:1 due=2030-01-01"
		else print date(0) " tally L" i " at=s form=blade type=SH grade=1 count=1 found=1"
	} else if (kind == "series-of-probes") {
		if (i == 0) bought("L1", n * 100, "a")
		if (i == 0) print date(0) " load K1 kiln=north lot=L1 at=a count=" n * 100
		if (i % 2) print date(i) " probe K1 mc=" labels(100, "p" i - 1 "_", ":9%") " wood=20C meter=pin2"
		else print date(i) " probe K1 in=" labels(100, "p" i "_", ":L1/SH")
	} else if (kind == "probes-in-lots") { # a lot and its probe come out one a day
		bought("L" i, 5, "a")
		print date(1) " load K1 kiln=north lot=L" i " at=a count=5"
		print date(2) " probe K1 in=p" i ":L" i "/SH"
		print date(3 + i) " unload K1 lot=L" i " count=5 into=b"
	} else if (kind == "probes-of-a-day") {
		print date(2) " probe K1 " (i % 2 ? "in=a:L1/SH" : "out=a") " by=p" i
		print date(2) sprintf(" %02d:%02d:%02d", int(i / 3600) % 24, int(i / 60) % 60, i % 60) " probe K1 " (i % 2 ? "out=a" : "in=a:L1/SH") " by=p" i
	} else if (kind == "pools-of-two-pools") { # the ways through them are more than can be walked
		if (i < 2) { bought("Q" i, 4, "a"); print date(1) " load K1 kiln=north lot=Q" i " at=a count=4" }
		if (i == 1) print date(1) " probe K1 in=a:Q0/SH,b:Q1/SH"
		if (i > 1) print date(i) " pool Q" i " lot=Q" i - 2 ":2,Q" i - 1 ":2 at=K1"
		if (i == n - 1) print date(n) " unload K1 lot=Q" i " count=4 into=b"
	} else if (kind == "charges-left") { # each leaves its pieces in the kiln
		bought("L" i, 5, "a")
		print turn(i) " load K" i " kiln=north lot=L" i " at=a count=5"
	} else if (kind == "kilns") {
		bought("L" i, 5, "a")
		print date(1) " load K" i " kiln=k" i " lot=L" i " at=a count=5"
		print date(2) " set k" i " stage=off"
	} else if (kind == "settings-of-a-day") {
		if (i == 0) { bought("L1", 5, "a"); print date(1) " load K1 kiln=north lot=L1 at=a count=5" }
		print date(2) " set north stage=" (i % 3 ? "dry" : "off") " by=p" i
	} else if (kind == "lots-of-a-pool") {
		bought("L" i, 5, "a")
		pooled = pooled (i % 500 ? "," : "") "L" i ":5"
		if (i % 500 == 499) { print date(1) " pool Q" i " lot=" pooled " at=a"; pooled = ""; pools = pools (pools ? "," : "") "Q" i ":2500" }
		if (i == n - 1) print date(2) " pool R lot=" pools " at=a"
		print turn(i + 2) " move R at=a count=1 into=b"
	} else if (kind == "labels")
		print date(i) " cleave L" i " tree=T count=" labels(6000, "S", ":1") " into=a"
	else if (kind == "items")
		print date(i) " probe L1 mc=9%" twice(6000, ",9%") " wood=20C meter=pin2"
	else if (kind == "fields")
		print date(i) " note L1" twice(13000, " by=1")
	else
		exit 2
}
function labels(k, before, after,    j, s) {
	for (j = 1; j <= k; j++) s = s (j > 1 ? "," : "") before j after
	return s
}
function twice(k, text,    j, s) { for (j = 0; j < k; j++) s = s text; return s }

BEGIN { for (i = 0; i < n; i++) lines(i) }
