# Daily means for control_chart.h beside R's own fits: a line "fit correlation centre variance n", then n lines
# "day mean". lh and LakeHuron are the examples of R's help page of arima() (Venables and Ripley, 2002, 14.2).
row <- function(x) {
	f <- arima(x, order = c(1, 0, 0), method = "ML", optim.control = list(reltol = 1e-14))
	days <- which(!is.na(x))
	cat(sprintf("fit\t%.12g\t%.12g\t%.12g\t%d\n", f$coef[1], f$coef[2], f$sigma2, length(days)))
	cat(sprintf("%d\t%.17g\n", days, x[days]), sep = "")
}
row(as.numeric(lh))
row(as.numeric(LakeHuron))
gaps <- as.numeric(lh); gaps[c(10, 11, 30)] <- NA
row(gaps)
# The variance of the exponentially weighted mean out of its weights and the correlations: "ewma correlation variance".
for (f in c(0, 0.3, 0.8, 0.95)) {
	w <- 0.3 * 0.7^(0:400)
	cat(sprintf("ewma\t%g\t%.15g\n", f, sum(outer(w, w) * f^abs(outer(0:400, 0:400, "-")))))
}
# Good days: 400 rows of 59 days for the limits and 30 after them; "good correlation rows days", then the means.
set.seed(20261129)
for (f in c(0.5, 0.9)) {
	cat(sprintf("good\t%g\t400\t89\n", f))
	for (i in 1:400) cat(sprintf("%.9g\n", arima.sim(list(ar = f), n = 89, n.start = 200)), sep = "")
}
