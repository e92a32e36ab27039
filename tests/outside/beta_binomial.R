# The beta-binomial distribution by R's beta and choose functions, a line each: what, a, b, n, then numbers.
put <- function(name, ...) cat(paste(c(name, sprintf("%.17g", c(...))), collapse = "\t"), "\n", sep = "")
for (a in c(0.5, 1, 7.25, 90)) for (b in c(0.3, 2, 41.5)) for (n in c(1, 5, 60, 900)) {
	k <- 0:n
	mass <- exp(lchoose(n, k) + lbeta(k + a, n - k + b) - lbeta(a, b))
	at <- unique(round(c(0, n / 7, n / 2, n)))
	for (i in at) put("mass", a, b, n, i, mass[i + 1])
	for (i in at) put("upper", a, b, n, i, sum(mass[k >= i]))
	for (p in c(0.05, 0.1, 0.5, 0.8, 0.95)) put("quantile", a, b, n, p, k[which(cumsum(mass) >= p - 1e-9)[1]])
	put("moments", a, b, n, 0, sum(mass * k), sum(mass * k^2))
}
# A uniform proportion makes every number as likely: 1 / (n + 1), and R's integral of the binomial agrees.
for (n in c(3, 20)) for (k in c(0, 2)) put("mass", 1, 1, n, k, integrate(function(p) dbinom(k, n, p), 0, 1, rel.tol = 1e-12)$value)
# Two independent numbers together.
x <- dbinom(0:6, 6, 0.3); y <- dbinom(0:6, 6, 0.3)
z <- dbinom(0:12, 12, 0.3)
for (k in c(0, 3, 12)) put("sum", 6, 0.3, 6, k, z[k + 1])
