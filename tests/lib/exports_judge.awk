# Compares entries with the truth of an export: awk -f exports_judge.awk NAME.truth NAME.out
# prints `wrong N lost N`: fields that are not true, and true ones that are absent. 20.0C is 20C.

function plain(field,    at, value, unit) {
	at = index(field, "=")
	value = substr(field, at + 1)
	unit = value
	sub(/^[-0-9.]*/, "", unit)
	value = substr(value, 1, length(value) - length(unit))
	if (value ~ /\./) sub(/\.?0+$/, "", value)
	return substr(field, 1, at) value unit
}

function take(when, from,    i) {
	for (i = from; i <= NF && $i != "#"; i++)
		if ($i ~ /^(temp|rh|mc|wetbulb)=/) {
			if (FILENAME == ARGV[1]) true[when " " plain($i)]++
			else if (true[when " " plain($i)]-- <= 0) wrong++
		}
}

/^#!/ { next }
$2 ~ /^[0-9][0-9]:/ { take($1 " " $2, 3); next }
{ take($1, 2) }

END {
	for (key in true) if (true[key] > 0) lost += true[key]
	print "wrong " wrong + 0 " lost " lost + 0
}
