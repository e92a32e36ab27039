# charges.awk - `charges` past charges of one kiln, 42 days apart, four probes each, read every third day until day 39.
# Each piece loses its part of what it is above 8 %, 0.1 a day but for a tenth either way from charge to charge and piece to piece.
function date(day) { return strftime("%Y-%m-%d", 1767268800 + 86400 * day, 1) }
BEGIN {
	for (c = 0; c < charges; c++) {
		day = 42 * c
		id = sprintf("K%03d", c)
		printf "%s buy L%s form=cleft count=SH:100 into=yd\n", date(day), id
		printf "%s 08:00 load %s kiln=k lot=L%s at=yd count=100\n", date(day), id, id
		printf "%s 09:00 air k temp=30C rh=%d%%\n", date(day), 42
		printf "%s 10:00 probe %s in=a:L%s/SH,b:L%s/SH,c:L%s/SH,d:L%s/SH\n", date(day), id, id, id, id, id
		for (d = 0; d <= 39; d += 3) {
			printf "%s 12:00 probe %s mc=", date(day + d), id
			for (p = 0; p < 4; p++)
				printf "%s%c:%.1f%%", p ? "," : "", 97 + p, 8 + 15 * exp(-0.1 * d * (1 + 0.1 * sin(5 * c) + 0.1 * sin(3 * c + p))) + 0.2 * sin(11 * c + 7 * p + d)
			print " wood=20C meter=pin"
		}
		printf "%s 15:00 unload %s count=100 into=b\n", date(day + 39), id
	}
}
