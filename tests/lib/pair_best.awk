# pair_best.awk - the worth of the best pairs of a small bench, by trying all: the number of pairs, the sum of the squared
# differences in steps of 0.1 points, and the grams from the middle of the range. Reads lines `blade|handle LOT MC MASS`.
# awk -v apart=1 -v least=G -v most=G -v count=N; least and most 0: any mass; count 0: any number.
function round(x) { return int(x + 0.5) }
function abs(x) { return x < 0 ? -x : x }
function cost_of(i, j,   d) { d = round(abs(h[j] - b[i]) * 10); return d * d }
function off_of(i, j) { return most ? int(abs(bm[i] + hm[j] - (least + most) / 2)) : 0 }
function may(i, j) {
	if (round(abs(h[j] - b[i]) * 10000) > apart * 10000) return 0
	return !most || (bm[i] + hm[j] >= least && bm[i] + hm[j] <= most)
}
function try(i, n, squares, off,   j) {
	if (i > nb) {
		if (count && n > count) return
		if (n > best_n || (n == best_n && (squares < best_squares || (squares == best_squares && off < best_off)))) {
			best_n = n; best_squares = squares; best_off = off
		}
		return
	}
	try(i + 1, n, squares, off)
	for (j = 1; j <= nh; j++)
		if (!used[j] && may(i, j)) {
			used[j] = 1
			try(i + 1, n + 1, squares + cost_of(i, j), off + off_of(i, j))
			used[j] = 0
		}
}
$1 == "blade" { b[++nb] = $3; bm[nb] = $4 }
$1 == "handle" { h[++nh] = $3; hm[nh] = $4 }
END { best_n = -1; try(1, 0, 0, 0); print best_n, best_squares, best_off }
