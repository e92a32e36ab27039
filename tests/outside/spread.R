# Shares that differ from lot to lot, for spread.h. "fit correlation df n", then n lines "k n": the correlation at
# which the dispersion that R's glm() finds is 1. UCBAdmissions (R): men and women admitted, by department. The
# litters are those of Weil (1970), control group, as in Williams (1975); from memory.
dispersion <- function(k, n, r) summary(glm(cbind(k, n - k) ~ 1, family = quasibinomial, weights = 1 / (1 + (n - 1) * r), control = list(epsilon = 1e-13, maxit = 100)))$dispersion
fit <- function(k, n) {
	r <- if (dispersion(k, n, 0) <= 1) 0 else uniroot(function(r) dispersion(k, n, r) - 1, c(0, 0.98), tol = 1e-12)$root
	cat(sprintf("fit\t%.12g\t%d\t%d\n", r, length(k) - 1, length(k)))
	cat(sprintf("%d\t%d\n", k, n), sep = "")
}
admitted <- apply(UCBAdmissions, c(1, 3), sum)
fit(admitted[1, ], colSums(admitted))
fit(c(13, 12, 9, 9, 8, 8, 12, 11, 9, 9, 8, 11, 4, 5, 7, 7), c(13, 12, 9, 9, 8, 8, 13, 12, 10, 10, 9, 13, 5, 7, 10, 10))
fit(c(5, 5, 5, 6, 5, 5), rep(10, 6))
# Lots of beta-binomial pieces: "cover correlation p answers lots", then k and n of each; an interval should hold p.
set.seed(20261130)
for (r in c(0, 0.01, 0.05)) for (p in c(0.1, 0.5)) {
	cat(sprintf("cover\t%g\t%g\t300\t23\n", r, p))
	n <- rep(c(40, 150, 700, 1100, 300), length.out = 23)
	for (i in 1:300) {
		q <- if (r > 0) rbeta(23, p * (1 / r - 1), (1 - p) * (1 / r - 1)) else rep(p, 23)
		cat(sprintf("%d\t%d\n", rbinom(23, n, q), n), sep = "")
	}
}
