# Kappa in base R, by other ways than the library: the error of two graders by the delta method with numeric derivatives,
# of several by leaving out a piece at a time. A line each: name, k, the counts, then weights or pieces, then the values.
line <- function(name, ...) { cat(name, sprintf("%.17g", c(...)), sep = "\t"); cat("\n") }
set.seed(11)
two <- function(p, w) {
	e <- sum(w * outer(rowSums(p), colSums(p))); (sum(w * p) - e) / (1 - e)
}
weights <- function(k, kind) {
	d <- abs(outer(1:k, 1:k, "-")) / (k - 1)
	if (kind == 0) diag(k) else if (kind == 1) 1 - d else 1 - d^2
}
# The proportions need not add up to 1 for the derivative: two() of p / sum(p) is a function of all cells.
delta <- function(x, w) {
	n <- sum(x); p <- x / n
	f <- function(v) { q <- matrix(v, nrow(x)); two(q / sum(q), w) }
	h <- 1e-6
	g <- sapply(seq_along(p), function(i) { a <- b <- as.vector(p); a[i] <- a[i] + h; b[i] <- b[i] - h; (f(a) - f(b)) / (2 * h) })
	v <- as.vector(p)
	sqrt((sum(v * g^2) - sum(v * g)^2) / n)
}
for (turn in 1:80) {
	k <- sample(2:6, 1); n <- sample(20:400, 1)
	a <- sample(k, n, TRUE); b <- ifelse(runif(n) < runif(1), a, sample(k, n, TRUE))
	x <- matrix(table(factor(a, 1:k), factor(b, 1:k)), k)
	for (kind in 0:2) line("two", k, as.vector(t(x)), kind, two(x / n, weights(k, kind)), delta(x, weights(k, kind)))
}
many <- function(m) {
	r <- rowSums(m); e <- sum(colMeans(m / r)^2)
	(mean(rowSums(m * (m - 1)) / (r * (r - 1))) - e) / (1 - e)
}
for (turn in 1:60) {
	k <- sample(2:5, 1); n <- sample(6:60, 1)
	m <- t(sapply(1:n, function(i) rmultinom(1, sample(2:6, 1), rexp(k))))
	if (k == 1) next
	left <- sapply(1:n, function(i) many(m[-i, , drop = FALSE]))
	line("many", k, as.vector(t(m)), n, many(m), sqrt((n - 1) / n * sum((left - mean(left))^2)))
}
