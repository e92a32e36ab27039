# Reference pieces that follow their air with lags of their own, in an air that wanders: "air n", then n lines of the
# EMC every 12 hours; "cover spread pieces sets weights lag", then the masses in g, piece by piece. The lags of
# pieces are lognormal about 12 days. dM/dt = (EMC - M)/lag, exact for an EMC in straight lines.
set.seed(20261201)
steps <- 240
emc <- 10 + 2 * sin((0:steps) / 31) + as.numeric(arima.sim(list(ar = 0.97), n = steps + 1, n.start = 200, sd = 0.2))
cat(sprintf("air\t%d\n", steps + 1)); cat(sprintf("%.17g\n", emc), sep = "")
lag_days <- 12
moisture <- function(start, lag_h, at) {
	m <- start; out <- matrix(0, length(start), length(at)); fade <- exp(-12 / lag_h)
	for (i in 1:steps) {
		out[, at == i - 1] <- m
		s <- (emc[i + 1] - emc[i]) / 12 * lag_h
		m <- emc[i + 1] - s + (m - emc[i] + s) * fade
	}
	out
}
for (spread in c(0, 0.08, 0.25)) for (pieces in c(2, 3, 5)) for (sd_g in c(1, 4)) {
	sets <- 250; n <- pieces * sets; at <- seq(8, by = 22, length.out = 10)
	lag <- 24 * lag_days * exp(rnorm(n, 0, spread))
	mass <- runif(n, 1300, 1700) * (1 + moisture(runif(n, 9, 14), lag, at) / 100)
	mass <- mass + rnorm(length(mass), 0, sd_g)
	cat(sprintf("cover\t%g\t%d\t%d\t%d\t%d\t%g\n", spread, pieces, sets, length(at), lag_days, sd_g))
	cat(sprintf("%.7g\n", t(mass)), sep = "")
}
