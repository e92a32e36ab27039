# A grid of figures by R's own functions, a line each: name, up to four arguments, the value.
# Where R has no function for it, it is integrated here another way than tolerance.c does.
line <- function(name, args, value) {
	args <- c(args, rep(0, 4 - length(args)))
	cat(name, sprintf("%.17g", c(args, value)), sep = "\t")
	cat("\n")
}
P <- c(1e-7, 1e-4, 0.01, 0.1, 0.3, 0.5, 0.8, 0.95, 0.975, 0.999, 1 - 1e-7)
NU <- c(1, 2, 3, 5, 11.5, 30, 200, 5000)
for (p in P) {
	line("normal_q", p, qnorm(p))
	line("normal_p", qnorm(p) + 0.1, pnorm(qnorm(p) + 0.1))
	for (nu in NU) {
		line("t_q", c(p, nu), qt(p, nu))
		line("chi2_q", c(p, nu), qchisq(p, nu))
		for (b in c(0.5, 2, 40)) line("beta_q", c(p, nu, b), qbeta(p, nu, b))
	}
}
for (n in c(1, 4, 20, 200, 3500)) for (share in c(0.001, 0.1, 0.5, 0.93)) for (k in unique(floor(n * c(0, 0.05, 0.1, 0.5, 0.95))))
	line("binomial_p", c(k, share, n), pbinom(k, n, share))
for (all in c(34, 900, 3500)) for (bad in unique(floor(all * c(0.01, 0.1, 0.5)))) for (n in unique(floor(all * c(0.1, 0.4)))) for (k in unique(c(0, 1, 3, floor(n * bad / all))))
	line("hypergeometric_p", c(k, bad, all, n), phyper(k, bad, all - bad, n))
for (n in c(1, 4, 12, 50, 400, 5000, 40000)) for (k in unique(floor(n * c(0, 0.02, 0.1, 0.5, 0.9, 1)))) for (sure in c(0.5, 0.9, 0.95, 0.999)) {
	i <- binom.test(k, n, conf.level = sure)$conf.int
	line("share_low", c(k, n, sure), i[1])
	line("share_high", c(k, n, sure), i[2])
	w <- suppressWarnings(prop.test(k, n, conf.level = sure, correct = FALSE))$conf.int
	line("wilson_low", c(k, n, sure), w[1])
	line("wilson_high", c(k, n, sure), w[2])
}
# R's noncentral t is off beyond a noncentrality of 37.62, so the grid ends before it; n = 2 at high
# confidence is in it, where k is hundreds.
SURE <- c(0.1, 0.5, 0.9, 0.95, 0.99, 0.998, 0.999)
for (n in c(2, 3, 4, 6, 10, 30, 120)) for (cover in c(0.5, 0.75, 0.9, 0.99, 0.999)) for (sure in SURE)
	if (qnorm(cover) * sqrt(n) < 37) line("tolerance_one", c(n, cover, sure), qt(sure, n - 1, qnorm(cover) * sqrt(n)) / sqrt(n))
# The same where the mean is as good as one of n pieces, which may be under 1, and the sd has other degrees of freedom
for (n in c(0.4, 1.7, 12)) for (nu in c(3, 11.5, 60)) for (cover in c(0.75, 0.9, 0.99)) for (sure in c(0.5, 0.9, 0.99))
	line("one_pooled", c(n, nu, cover, sure), qt(sure, nu, qnorm(cover) * sqrt(n)) / sqrt(n))
# Both factors over log(s/sigma), where tolerance.c goes over the mean: the chance that k covers too little.
# Given s, one-sided: the normal tail; two-sided: how far the mean may be off until less is covered.
reach <- function(r, cover) if (2 * pnorm(r) - 1 <= cover) 0 else
	uniroot(function(x) pnorm(x + r) - pnorm(x - r) - cover, c(0, r + 10), tol = 1e-14)$root
one_short <- function(s, k, n, cover) pnorm(sqrt(n) * (qnorm(cover) - k * s))
two_short <- function(s, k, n, cover) sapply(s, function(v) 2 * pnorm(-reach(k * v, cover) * sqrt(n)))
fail_of <- function(short, k, n, cover, z) {
	nu <- n - 1
	f <- function(x) short(exp(x), k, n, cover) * 2 * nu * exp(2 * x) * dchisq(nu * exp(2 * x), nu)
	middle <- log(max(z / k, 1e-9)); wide <- 1 / (max(z, 1) * sqrt(n))
	ends <- log(sqrt(qchisq(1e-18, nu) / nu)); top <- log(sqrt(qchisq(1e-18, nu, lower.tail = FALSE) / nu))
	cut <- sort(unique(pmin(pmax(c(ends, middle + wide * c(-12, -4, -1, 0, 1, 4, 12), c(-5, -1, 1, 5) / sqrt(2 * nu), top), ends), top)))
	sum(sapply(seq_along(cut[-1]), function(i) integrate(f, cut[i], cut[i + 1], rel.tol = 1e-9, abs.tol = 1e-15, subdivisions = 500)$value))
}
COVER <- c(0.5, 0.75, 0.9, 0.99, 0.9999)
for (n in c(2, 3, 5, 20, 300, 10000)) for (cover in COVER) for (sure in c(0.5, 0.9, 0.99, 0.999, 0.9999)) {
	z <- qnorm(cover)
	# near the factor that is asked (Natrella's approximation, e-Handbook 7.2.6.3, for many pieces); what it
	# assures exactly is the integral's
	zs <- qnorm(sure); a <- 1 - zs^2 / (2 * (n - 1))
	k <- if (n < 20) suppressWarnings(qt(sure, n - 1, z * sqrt(n))) / sqrt(n) else (z + sqrt(z^2 - a * (z^2 - zs^2 / n))) / a
	if (k > 0.01) line("one_short", c(k, n, cover), fail_of(one_short, k, n, cover, z))
}
for (n in c(2, 3, 8, 40, 10000)) for (cover in c(0.5, 0.9, 0.9999)) for (sure in c(0.5, 0.95, 0.9999)) {
	z <- qnorm((1 + cover) / 2)
	k <- z * sqrt((1 + 1 / n) * (n - 1) / qchisq(1 - sure, n - 1))
	line("two_short", c(k, n, cover), fail_of(two_short, k, n, cover, z))
}
for (n in c(2, 4, 9, 50)) for (sure in c(0.5, 0.9, 0.95, 0.999)) {
	line("mean_of", c(n, sure), qt((1 + sure) / 2, n - 1) / sqrt(n))
}
least <- function(enough, from) { n <- from; while (!enough(n)) n <- n + 1; n }
for (cover in c(0.5, 0.8, 0.9, 0.95, 0.99)) for (sure in c(0.5, 0.9, 0.95, 0.99)) {
	line("free_one", c(cover, sure), least(function(n) 1 - cover^n >= sure - 1e-12, 1))
	line("free_two", c(cover, sure), least(function(n) pbeta(cover, n - 1, 2, lower.tail = FALSE) >= sure - 1e-12, 2))
	for (bad in c(0, 1, 4)) line("sample", c(cover, sure, bad), least(function(n) pbinom(bad, n, 1 - cover) <= 1 - sure + 1e-12, bad + 1))
	for (all in c(34, 500)) for (bad in 0:1) {
		out <- floor(all * (1 - cover) + 1e-9) + 1
		if (bad < out) line("sample_of", c(all, cover, sure, bad), least(function(n) phyper(bad, out, all - out, n) <= 1 - sure + 1e-12, bad + 1))
	}
}
# A plan that is read on: rows of at most 0..5 out share the risk. The chances between two rows are binomial.
for (cover in c(0.5, 0.8, 0.9, 0.95)) for (sure in c(0.9, 0.95)) {
	at <- 1; n <- 0; stopped <- 0
	for (bad in 0:5) {
		after <- function(m) sapply(0:5, function(k) sum(at * dbinom(k - (seq_along(at) - 1), m - n, 1 - cover)))
		m <- least(function(m) stopped + sum(after(m)[1:(bad + 1)]) <= (1 - sure) * (bad + 1) / 6 + 1e-15, max(n, bad) + 1)
		at <- after(m); stopped <- stopped + sum(at[1:(bad + 1)]); at[1:(bad + 1)] <- 0; n <- m
		line("read_on", c(cover, sure, bad), m)
	}
}
