# bench.awk - a book with a bench of n numbered blades and n numbered handles in the shop, each judged by itself:
# awk -v n=500 -f bench.awk. Moistures are 8.0 to 11.9 %, masses 1400 to 1699 g and 250 to 349 g, in no order.
function roll(below) { seed = (seed * 16807) % 2147483647; return seed % below }
BEGIN {
	if (seed == 0) seed = 20261130
	day = "2026-03-02"
	for (lot = 0; lot * 50 < n; lot++) {
		m = n - lot * 50 < 50 ? n - lot * 50 : 50
		printf "%s buy C%03d form=blade count=SH:%d into=shop\n", day, lot, m
		printf "%s 08:00 grade C%03d at=shop count=1:%d\n", day, lot, m
		printf "%s buy H%03d form=handle count=HS:%d into=shop\n", day, lot, m
		for (i = 1; i <= m; i++) {
			printf "%s 09:00 judge C%03d/%02d grade=1 mass=%dg mc=%.1f%%\n", day, lot, i, 1400 + roll(300), 8 + roll(40) / 10
			printf "%s 09:00 judge H%03d/%02d mass=%dg mc=%.1f%%\n", day, lot, i, 250 + roll(100), 8 + roll(40) / 10
		}
	}
}
