# By place and month: readings, and the means of temperature and humidity.
$3 == "air" || $2 == "air" {
	at = $2 == "air" ? 3 : 4
	split($(at + 1), t, "="); split($(at + 2), r, "="); k = $at "\t" substr($1, 1, 7)
	n[k]++; temp[k] += t[2] + 0; rh[k] += r[2] + 0
}
END { for (k in n) printf "%s\t%d\t%.12g\t%.12g\n", k, n[k], temp[k] / n[k], rh[k] / n[k] }
