# By type: blades of each grade, and culled ones.
$2 == "grade" || $3 == "grade" {
	type = ""
	for (i = 4; i <= NF; i++) {
		if ($i ~ /^type=/) type = substr($i, 6)
		else if ($i ~ /^count=/) list = substr($i, 7)
		else if ($i ~ /^cull=/) { m = split(substr($i, 6), item, ","); for (j = 1; j <= m; j++) { split(item[j], x, ":"); n[type "\tculled"] += x[2] } }
	}
	m = split(list, item, ",")
	for (j = 1; j <= m; j++) { split(item[j], x, ":"); n[type "\t" x[1]] += x[2] }
}
END { for (k in n) print k "\t" n[k] }
