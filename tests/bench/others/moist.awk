# By charge: readings, and their mean, least and most.
($2 == "probe" || $3 == "probe") && match($0, / mc=[a-z0-9]+:[0-9.]+%/) {
	charge = $2 == "probe" ? $3 : $4
	v = substr($0, RSTART, RLENGTH); sub(/.*:/, "", v); v += 0
	if (!n[charge]++ || v < least[charge]) least[charge] = v
	if (n[charge] == 1 || v > most[charge]) most[charge] = v
	sum[charge] += v
}
END { for (c in n) printf "%s\t%d\t%.12g\t%.12g\t%.12g\n", c, n[c], sum[c] / n[c], least[c], most[c] }
