# shuffle.awk - writes the lines that it reads `times` times over, in orders drawn with `seed`, to
# OUT.1, OUT.2 ... :  awk -v seed=1 -v times=300 -v out=OUT -f tests/lib/shuffle.awk BOOK

function rnd(n) { state = (state * 16807) % 2147483647; return int(state / 2147483647 * n) }
{ line[NR] = $0 }
END {
	state = seed * 7919 % 2147483646 + 1
	for (t = 1; t <= times; t++) {
		for (i = NR; i > 1; i--) { k = 1 + rnd(i); was = line[i]; line[i] = line[k]; line[k] = was }
		for (i = 1; i <= NR; i++) print line[i] > (out "." t)
		close(out "." t)
	}
}
