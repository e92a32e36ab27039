# planned.awk - carries out a plan with the true odds: planned.awk -v runs=N -v seed=N -v day=DAY PARAMETERS BOOK... STOCK PLAN
#
# A line for each need that the plan meets with its chance, in time or late: order, sort, the chance stated (on whichever day), and in
# what part of the runs it was met. The generator's rules are in samples/gen: a piece is lost in the kiln, in planing and in
# grading with the odds of its source, and gets a grade; from 1 July 2027 three of ten 1s are 2s.

function draw() { state = (state * 16807) % 2147483647; return state / 2147483647 }
BEGIN { state = seed * 7919 + 1; for (i = 0; i < 20; i++) draw(); FS = "\t" }

FILENAME ~ /parameters.tsv$/ { if ($1 == "grade" || $1 == "cull") known[$1, $2, $3] = $4; next }

FILENAME ~ /[.]wy$/ {
	$0 = $0
	n = split($0, word, " ")
	at = word[2] ~ /^[0-9]/ ? 3 : 2
	for (i = at + 2; i <= n; i++) { if (word[i] ~ /^parcel=/) parcel[word[at + 1]] = substr(word[i], 8); if (word[at] == "cleave" && word[i] ~ /^tree=/) source[word[at + 1]] = parcel[substr(word[i], 6)]
		if (word[at] == "buy" && word[i] ~ /^from=/) source[word[at + 1]] = substr(word[i], 6) }
	next
}

function source_of(lot) { return lot == "C014" ? "koethe" : lot in source ? source[lot] : "OLD" }

# Pieces that are to become graded blades: step 1 in a kiln, 2 to be planed, 3 to be graded.
function add(lot, type, step, n,   k) { k = ++heaps; heap_source[k] = source_of(lot); heap_type[k] = type; heap_step[k] = step; heap_n[k] = n }

FILENAME ~ /stock$/ {
	if ($2 ~ /^K[0-9]/) add($5, $4, 1, $7)
	else if ($2 == "bench" && $3 == "cleft") add($5, $4, 2, $7)
	else if ($2 == "bench" && $3 == "blade" && $6 == "") add($5, $4, 3, $7)
	next
}

/^# / { table = $0; head = 1; next }
NF < 2 { next }
head { split("", col); for (i = 1; i <= NF; i++) col[$i] = i; head = 0; next }
table ~ /What to load/ { add($col["lot"], $col["type"], 1, $col["count"]); next }
# What lands in a mass is not simulated; those pieces are only taken.
$col["mass"] != "" { total[$col["type"] "/" $col["grade"]] += $col["short"]; next }
{
	k = ++needs
	sort_of[k] = $col["type"] "/" $col["grade"]; order[k] = $col["order"]
	demand[k] = total[sort_of[k]] += $col["short"]
	stated[k] = $col["chance_ever"]; result[k] = $col["result"]
}

function one_run(   k, i, p, g, got) {
	split("", got)
	for (k = 1; k <= heaps; k++) {
		s = heap_source[k]
		pass = (heap_step[k] < 2 ? 1 - known["cull", s, "unload"] : 1) * (heap_step[k] < 3 ? 1 - known["cull", s, "plane"] : 1) * (1 - known["cull", s, "grade"])
		one = known["grade", s, 1]; two = known["grade", s, 2]; three = known["grade", s, 3]
		if (day >= "2027-05-20") { two += 0.3 * one; one -= 0.3 * one }
		for (i = heap_n[k]; i > 0; i--) {
			p = draw()
			if (p >= pass) continue
			p /= pass
			g = p < one ? 1 : p < one + two ? 2 : p < one + two + three ? 3 : 4
			got[heap_type[k] "/" g]++
		}
	}
	for (k = 1; k <= needs; k++) met[k] += got[sort_of[k]] + 0 >= demand[k]
}

END {
	for (run = 0; run < runs; run++) one_run()
	for (k = 1; k <= needs; k++)
		if (result[k] == "in time" || result[k] == "late" || result[k] == "covered") printf "%s %s %.4f %.4f\n", order[k], sort_of[k], stated[k], met[k] / runs
}
