# probes.awk - a charge with many probes, one reading a day of each on a line of its own; `probes` and `days`.
# Each piece loses its part of what it is above 9 %, 0.09 a day but for a tenth either way.
BEGIN {
	print "2026-01-01 buy L1 form=cleft count=SH:2000 into=yd"
	print "2026-01-02 08:00 load K1 kiln=k lot=L1 at=yd count=2000"
	print "2026-01-02 09:00 air k temp=30C rh=40%"
	for (i = 0; i < probes; i++)
		print "2026-01-02 10:00 probe K1 in=p" i ":L1/SH"
	for (d = 2; d <= days; d++)
		for (i = 0; i < probes; i++)
			printf "2026-01-%02d 12:00 probe K1 mc=p%d:%.1f%% wood=20C meter=pin\n", d, i, \
				9 + 14 * exp(-0.09 * (d - 1) * (1 + 0.1 * sin(i))) + 0.3 * sin(i * 7 + d)
}
