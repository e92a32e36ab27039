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
# R's noncentral t is off beyond a noncentrality of 37.62, so the grid ends before it.
for (n in c(2, 3, 4, 6, 10, 30, 120)) for (cover in c(0.5, 0.75, 0.9, 0.99, 0.999)) for (sure in c(0.1, 0.5, 0.9, 0.95, 0.99))
	if (qnorm(cover) * sqrt(n) < 37) line("tolerance_one", c(n, cover, sure), qt(sure, n - 1, qnorm(cover) * sqrt(n)) / sqrt(n))
# Two-sided, over s and not over the mean: given s, how far the mean may be off until less is covered.
reach <- function(r, cover) if (2 * pnorm(r) - 1 <= cover) 0 else
	uniroot(function(x) pnorm(x + r) - pnorm(x - r) - cover, c(0, r + 10), tol = 1e-13)$root
sure_of <- function(k, n, cover) {
	nu <- n - 1
	inner <- function(q) sapply(q, function(p) {
		s <- sqrt(qchisq(p, nu) / nu)
		2 * pnorm(reach(k * s, cover) * sqrt(n)) - 1
	})
	from <- pchisq(nu * (qnorm((1 + cover) / 2) / k)^2, nu)
	integrate(inner, from, 1, rel.tol = 1e-8, subdivisions = 500)$value
}
for (n in c(3, 4, 8, 12, 40)) for (cover in c(0.5, 0.9, 0.99)) for (k in c(1.5, 3, 6))
	line("two_sure", c(k, n, cover), sure_of(k, n, cover))
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
