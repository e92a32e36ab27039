# How good forecasts are, for day_odds.h, turnbull.h and cluster_mean.h: a line a case, tab-separated.
#
# normal mu sigma y value: the CRPS of a normal distribution, Gneiting and Raftery 2007 ("Strictly proper scoring rules,
# prediction, and estimation", JASA 102), section 4.2; and as the integral that defines it. members y value x...: that of an
# ensemble, by the same section: half the mean distance of two members less. censored mu sigma after by value: the two integrals of Avati et al.
# 2020 (by: NA where it was not seen).
line <- function(...) cat(paste(c(...), collapse = "\t"), "\n", sep = "")
number <- function(x) sprintf("%.12g", x)
normal <- function(mu, sigma, y) { z <- (y - mu) / sigma; sigma * (z * (2 * pnorm(z) - 1) + 2 * dnorm(z) - 1 / sqrt(pi)) }
below <- function(mu, sigma, to) integrate(function(x) pnorm(x, mu, sigma)^2, mu - 30 * sigma, to, rel.tol = 1e-11, subdivisions = 1000L)$value
above <- function(mu, sigma, from) integrate(function(x) pnorm(x, mu, sigma, lower.tail = FALSE)^2, from, mu + 30 * sigma, rel.tol = 1e-11, subdivisions = 1000L)$value
for (case in list(c(50, 5, 50), c(50, 5, 58), c(40, 2, 33), c(60, 10, 95))) {
	line("normal", number(case), number(normal(case[1], case[2], case[3])))
	line("normal", number(case), number(below(case[1], case[2], case[3]) + above(case[1], case[2], case[3])))
}
for (case in list(c(50, 5, 45, 52), c(50, 5, 60, 70), c(50, 5, 20, 30), c(50, 5, 47, NA)))
	line("censored", number(case), number(below(case[1], case[2], case[3]) + if (is.na(case[4])) 0 else above(case[1], case[2], case[4])))
set.seed(20090901)
for (i in 1:6) {
	x <- rpois(7, 20) + 1
	y <- rpois(1, 20) + 1
	line("members", y, number(mean(abs(x - y)) - mean(abs(outer(x, x, "-"))) / 2), x)
}
# pit n bins..., then n lines "lambda after by": counts of a Poisson distribution, the nonrandomized histogram as Czado, Gneiting and
# Held 2009 define it; some are known only between two counts, some only from below.
for (scale in c(1, 1.4)) {
	lambda <- runif(60, 2, 30)
	y <- rpois(60, lambda) + 1
	after <- y - 1 - rpois(60, 0.7)
	after[after < 0] <- 0
	by <- y + rpois(60, 0.7)
	by[1:10] <- NA
	low <- ppois(after - 1, lambda * scale)
	high <- ifelse(is.na(by), 1, ppois(by - 1, lambda * scale))
	u <- (0:10) / 10
	F <- sapply(u, function(u) mean(pmin(1, pmax(0, (u - low) / (high - low)))))
	line("pit", 60, number(60 * diff(F)))
	for (i in 1:60) line(number(lambda[i] * scale), after[i], by[i])
}
# turnbull cases checks, then the cases "after by" and the checks "day chance to have come by it": survfit() of the package survival.
# Its intervals have days of 0.8, so that those of two cases never touch at an end.
suppressMessages(library(survival))
innermost <- function(first, last) {
	ends <- sort(unique(last))
	keep <- sapply(ends, function(e) { f <- max(first[first <= e]); !any(ends < e & ends >= f) })
	ends[keep]
}
for (n in c(6, 12, 24, 24)) {
	took <- round(rgamma(n, 20, 0.7))
	gap <- sample(1:7, n, TRUE)
	after <- pmax(took - sample(1:7, n, TRUE), 0)
	by <- took + gap - 1
	by[runif(n) < 0.25] <- NA
	by[which.max(after)] <- max(after) + 3
	fit <- survfit(Surv(after + 1 - 0.4, by + 0.4, type = "interval2") ~ 1)
	days <- innermost(after + 1, ifelse(is.na(by), 1e6, by))
	days <- days[days < 1e6]
	come <- 1 - summary(fit, times = days + 0.5, extend = TRUE)$surv
	line("turnbull", n, length(days))
	for (i in 1:n) line(after[i], by[i])
	for (i in seq_along(days)) line(days[i], number(come[i]))
}
# share k n low high: prop.test() without correction is Wilson's interval; mean mean low high clusters, then a line a cluster: t.test()
# for single values; else the ratio estimator, as the regression through the origin of sums on sizes has it, weighted by 1 / size.
for (case in list(c(3, 10), c(0, 7), c(14, 15), c(80, 120))) line("share", case, number(suppressWarnings(prop.test(case[1], case[2], correct = FALSE))$conf.int))
x <- round(rgamma(9, 2, 0.4), 2)
line("mean", number(c(mean(x), t.test(x)$conf.int)), 9)
for (v in x) line(v)
x <- lapply(sample(2:9, 8, TRUE), function(k) round(rgamma(k, 2, 0.4), 2))
s <- sapply(x, sum)
n <- lengths(x)
r <- coef(lm(s ~ 0 + n, weights = 1 / n))
half <- qt(0.975, 7) * sqrt(8) * sd(s - r * n) / sum(n)
line("mean", number(c(r, r - half, r + half)), 8)
for (v in x) line(v)
