# Shares of grades and scores of graders beside R. Lines: name, numbers.
#  chi2   k, a, b, then chisq.test()'s statistic, p and standardized residuals
#  trials k, a, b, then the exact chance of so high a statistic over all tables with the same sums, and R's simulated one
#  f      x, nu1, nu2, upper tail
#  shift  rows, then "stratum after n sum squares" of each lot, then coin's statistic and p without lots, the correlation of lots
#  null   books, rows of each; then books of lots that differ and graders who do not change
suppressMessages(library(coin))
line <- function(name, ...) { cat(name, sprintf("%.17g", c(...)), sep = "\t"); cat("\n") }
set.seed(20270701)
options(warn = -1)

for (turn in 1:40) {
	k <- sample(2:6, 1); p <- rgamma(k, 2); m <- rbind(rmultinom(1, sample(60:4000, 1), p)[, 1], rmultinom(1, sample(60:4000, 1), p * runif(k, 0.8, 1.2))[, 1]) + 6
	r <- chisq.test(m, correct = FALSE)
	if (min(r$expected) < 5) next
	line("chi2", k, m[1, ], m[2, ], r$statistic, r$p.value, r$stdres[1, ])
}

# All tables of two rows with these sums: the first row takes what it can of each column.
tables <- function(sums, n) {
	if (length(sums) == 1) return(if (n <= sums) matrix(n, 1, 1) else NULL)
	do.call(rbind, lapply(0:min(n, sums[1]), function(x) { rest <- tables(sums[-1], n - x); if (length(rest)) cbind(x, rest) else NULL }))
}
exact <- function(m) {
	sums <- colSums(m); n <- sum(m[1, ]); all <- tables(sums, n)
	expected <- sums * n / sum(m); other <- sums - expected
	chi2 <- apply(all, 1, function(x) sum((x - expected)^2 * (1 / expected + 1 / other)))
	chance <- exp(rowSums(apply(all, 1, function(x) lchoose(sums, x)) |> t()) - lchoose(sum(m), n))
	sum(chance[chi2 >= sum((m[1, ] - expected)^2 * (1 / expected + 1 / other)) * (1 - 1e-9)])
}
for (turn in 1:12) {
	k <- sample(3:5, 1); m <- rbind(rmultinom(1, sample(8:20, 1), rgamma(k, 1))[, 1], rmultinom(1, sample(10:40, 1), rgamma(k, 1))[, 1])
	m <- m[, colSums(m) > 0]
	if (ncol(m) < 2) next
	line("trials", ncol(m), m[1, ], m[2, ], exact(m), chisq.test(m, simulate.p.value = TRUE, B = 40000)$p.value)
}
for (x in c(0.3, 1, 4.2)) for (a in c(1, 4)) for (b in c(4, 37.5)) line("f", x, a, b, pf(x, a, b, lower.tail = FALSE))

lots <- function(d) {
	r <- aggregate(cbind(n = 1, y = d$y, y2 = d$y^2), list(lot = d$lot, t = d$t, s = d$s), sum)
	r[r$n > 0, ]
}
book <- function(strata, each, sd, drift) {
	d <- do.call(rbind, lapply(1:strata, function(s) do.call(rbind, lapply(0:1, function(t) do.call(rbind, lapply(1:each, function(l) {
		n <- sample(5:60, 1); data.frame(s = s, t = t, lot = paste(s, t, l), y = pmin(4, pmax(0, round(rnorm(n, 1.5 + s / 3 + drift * t + rnorm(1, 0, sd))))))
	}))))))
	d
}
for (turn in 1:15) {
	d <- book(sample(1:4, 1), sample(2:4, 1), sample(c(0, 0.4), 1), sample(c(0, 0.2), 1)); r <- lots(d)
	d$f <- factor(d$s); cell <- y ~ paste(s, t)
	test <- if (length(unique(d$s)) > 1) lbl_test(ordered(y) ~ ordered(t) | f, data = d, scores = list("ordered(y)" = sort(unique(d$y)))) else
		lbl_test(ordered(y) ~ ordered(t), data = d, scores = list("ordered(y)" = sort(unique(d$y))))
	table <- anova(lm(cell, d), lm(y ~ lot, d))
	between <- table[2, 4] / table[2, 3]; within <- table[2, 2] / table[2, 1]
	size <- (nrow(d) - sum(tapply(r$n^2, paste(r$s, r$t), sum) / tapply(r$n, paste(r$s, r$t), sum))) / table[2, 3]
	line("shift", nrow(r), t(as.matrix(r[, c("s", "t", "n", "y", "y2")])), abs(statistic(test)), pvalue(test),
		min(1, max(0, (between - within) / (between + (size - 1) * within))))
}
books <- 250
for (sd in c(0, 0.4)) {
	line("null", books, 24)
	for (turn in 1:books) {
		r <- lots(book(3, 4, sd, 0))
		line("book", t(as.matrix(r[, c("s", "t", "n", "y", "y2")])))
	}
}
