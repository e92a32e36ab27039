# book.awk - a consistent book of LINES lines or a few more (awk -v lines=1000000 -f book.awk | sort -s -k 1,1).
# Every lot is cleft, dried, planed, graded and partly sold; eight lots share a charge.

function day(k,    n, era, y, m) { # the date of day k after 2000-01-01, from 0000-03-01 on
	n = k + 730425
	era = int(n / 146097); n %= 146097
	y = int((n - int(n / 1460) + int(n / 36524) - int(n / 146096)) / 365)
	n -= 365 * y + int(y / 4) - int(y / 100)
	m = int((5 * n + 2) / 153)
	y += 400 * era + (m >= 10)
	return sprintf("%04d-%02d-%02d", y, m < 10 ? m + 3 : m - 9, n - int((153 * m + 2) / 5) + 1)
}

function put(k, text) { print day(start + k) " " text; count++ }

BEGIN {
	for (i = 1; count < lines; i++) {
		start = int(i / 40)
		tree = sprintf("T%06d", i); lot = sprintf("L%06d", i); charge = sprintf("K%06d", i / 8); kiln = "n" int(i / 8) % 400
		probe = "a" i % 8
		put(0, "fell " tree " parcel=P" int(i / 10) " site=weir girth=1420mm age=17 from=hale")
		put(1, "cleave " lot " tree=" tree " rolls=4 count=SH:30,S6:8 cull=knot:1 into=yard/b1 by=mk")
		put(1, "seal " lot " with=wax by=jo")
		put(30, "08:30 move " lot " at=yard/b1 type=SH count=30 into=yard/b3 by=mk")
		put(60, "load " charge " kiln=" kiln " lot=" lot " at=yard/b3 count=30 by=mk")
		put(61, "load " charge " kiln=" kiln " lot=" lot " at=yard/b1 type=S6 count=8 by=mk")
		put(62, "07:45 probe " charge " in=" probe ":" lot "/SH mc=" probe ":24.5% wood=26C meter=pin2 by=mk")
		for (k = 63; k < 83; k += 4) {
			put(k, "07:45 probe " charge " mc=" probe ":" 85 - k ".5% wood=26C meter=pin2 by=mk")
			if (i % 8 == 0)
				put(k, sprintf("%02d:%02d", 9 + (k - 63) / 4, int(i / 8) % 60) " air " kiln " temp=28.5C rh=7" k % 10 ".5% meter=hyg1")
		}
		put(90, "probe " charge " out=" probe " by=jo")
		put(90, "unload " charge " lot=" lot " type=SH count=29 cull=split:1 into=bench by=jo")
		put(90, "unload " charge " lot=" lot " type=S6 count=8 into=bench by=jo")
		put(91, "15:00 plane " lot " at=bench type=SH count=28 cull=honeycomb:1 by=mk")
		put(91, "plane " lot " at=bench type=S6 count=8 by=mk")
		put(92, "14:00 grade " lot " at=bench type=SH count=1:4,2:10,3:11,4:3 into=store/r1 by=mk")
		put(92, "grade " lot " at=bench type=S6 count=2:8 into=store/r1 by=mk")
		put(93, "judge " lot "/01 grade=1 grains=9 mass=1640g mc=9.3% wood=19C meter=pin2 handle-end=butt by=mk")
		put(120, "issue " lot " at=store/r1 type=SH grade=1 count=4 into=shop by=jo")
		put(150, "sell " lot " at=store/r1 type=SH grade=3 count=11 price=120.00NZD to=lund-bats doc=I-" i)
	}
}
