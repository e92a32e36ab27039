# Rates, trends, many comparisons and ranks by R's own functions, a line each: name, then numbers.
put <- function(name, ...) cat(name, sprintf("%.17g", c(...)), sep = "\t", fill = FALSE)
line <- function(...) { put(...); cat("\n") }
set.seed(7)
options(warn = -1) # equal values, of which wilcox.test() warns, are meant
for (k in c(0, 1, 2, 5, 10, 137, 4000)) for (t in c(0.7, 24.19893, 5000)) for (sure in c(0.5, 0.9, 0.95, 0.999)) {
	i <- poisson.test(k, t, conf.level = sure)$conf.int
	line("rate", k, t, sure, i[1], i[2])
}
for (k1 in c(0, 1, 2, 11, 60)) for (k2 in c(0, 1, 3, 21, 300)) for (t1 in c(0.5, 40, 800)) for (t2 in c(3.25, 900, 3011)) if (k1 + k2 > 0)
	line("differs", k1, t1, k2, t2, poisson.test(c(k1, k2), c(t1, t2))$p.value)
for (turn in 1:60) {
	m <- sample(2:7, 1); n <- rpois(m, 40) + 1; k <- rbinom(m, n, runif(1, 0.05, 0.9)); s <- sort(rnorm(m))
	if (sum(k) > 0 && sum(k) < sum(n)) {
		r <- prop.trend.test(k, n, s)
		line("trend", m, k, n, s, r$statistic, r$p.value)
	}
}
for (turn in 1:40) {
	m <- sample(1:60, 1); p <- round(runif(m)^3, sample(2:9, 1))
	line("adjust", m, p, p.adjust(p, "BH"))
}
# Without equal values R has the exact chance; with them, by all ways in which the ranks could fall.
for (turn in 1:40) {
	m <- sample(1:8, 1); o <- sample(1:40, 1); v <- sample(1000, m + o)
	line("rank_exact", m, o, v, wilcox.test(v[1:m], v[-(1:m)], exact = TRUE)$p.value)
}
for (turn in 1:40) {
	m <- sample(1:4, 1); o <- sample(2:9, 1); v <- sample(5, m + o, TRUE); r <- rank(v)
	all <- colSums(matrix(combn(r, m), nrow = m)); got <- sum(r[1:m])
	line("rank_exact", m, o, v, min(1, 2 * min(mean(all <= got + 1e-9), mean(all >= got - 1e-9))))
}
for (turn in 1:20) {
	m <- sample(150:400, 1); o <- sample(300:900, 1); v <- sample(60, m + o, TRUE)
	v[1:m] <- v[1:m] + sample(0:4, 1)
	line("rank_normal", m, o, v, wilcox.test(v[1:m], v[-(1:m)], exact = FALSE)$p.value)
}
