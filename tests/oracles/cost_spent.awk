# cost_spent.awk - what a book spends by kind, from its raw lines: price= of fell, buy and tally, cost, credit.
#
#	awk -v own=NZD -f tests/oracles/cost_spent.awk BOOK...
#
# A second way to the column `spent` of wy-cost --kinds. Amounts are converted at the latest rate on or before
# the day and rounded half to even to two decimals. Prints kind and amount with a tab, then `all`.

function field(name,    i) {
	for (i = 1; i <= NF; i++)
		if (index($i, name "=") == 1) return substr($i, length(name) + 2)
	return ""
}
function even(x,    whole, part) { # x in cents, half to even; x is exact to far below a cent
	if (x < 0) return -even(-x)
	whole = int(x); part = x - whole
	if (part > 0.5 + 1e-7 || (part > 0.5 - 1e-7 && whole % 2)) whole++
	return whole
}
/^[0-9]/ {
	sub(/[ \t]#.*/, "")
	event = $2 ~ /^[0-9]/ ? $3 : $2
	if (event == "rate") { c = $2 ~ /^[0-9]/ ? $4 : $3; is = field("is"); if (is ~ own "$") { n[c]++; day[c, n[c]] = $1; rate[c, n[c]] = is + 0 } }
	price = field("price")
	if (price != "" && event ~ /^(fell|buy|tally|cost|credit)$/) {
		entries++
		on[entries] = $1; paid[entries] = event == "credit" ? -(price + 0) : price + 0; code[entries] = substr(price, length(price) - 2)
		kind[entries] = event == "cost" ? field("kind") : event == "credit" ? "credit" : field("form") == "handle" ? "handle" : "timber"
	}
}
END {
	for (i = 1; i <= entries; i++) {
		c = code[i]; at = 0
		for (k = 1; k <= n[c]; k++) if (day[c, k] <= on[i] && (!at || day[c, k] >= day[c, at])) at = k
		cents = c == own ? even(paid[i] * 100) : even(paid[i] * rate[c, at] * 100)
		sum[kind[i]] += cents; all += cents
	}
	for (k in sum) printf "%s\t%.2f\n", k, sum[k] / 100 | "LC_ALL=C sort"
	close("LC_ALL=C sort")
	printf "all\t%.2f\n", all / 100
}
