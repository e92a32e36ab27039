# A meter's own line beside R: "line pairs", then the pairs; "at reading fit error" by predict.lm(interval = "confidence"),
# the error from its half width; "sum n error", then n lines "c reading": of the sum of c x moisture, by vcov().
# cars: Ezekiel (1930); women: The World Almanac (1975); faithful: Azzalini and Bowman (1990), all of R's datasets.
line <- function(x, y, at) {
	fit <- lm(y ~ x)
	cat(sprintf("line\t%d\n", length(x)))
	cat(sprintf("%.17g\t%.17g\n", x, y), sep = "")
	p <- predict(fit, data.frame(x = at), interval = "confidence", level = 0.9)
	cat(sprintf("at\t%.12g\t%.12g\t%.12g\n", at, p[, "fit"], p[, "upr"] - p[, "fit"]), sep = "")
	combine <- function(c, x) {
		w <- c(sum(c), sum(c * x))
		cat(sprintf("sum\t%d\t%.12g\n", length(c), sqrt(drop(t(w) %*% vcov(fit) %*% w))))
		cat(sprintf("%.17g\t%.17g\n", c, x), sep = "")
	}
	combine(rep(1 / 5, 5), quantile(x, c(0.1, 0.2, 0.3, 0.8, 0.9)))
	combine(c(0.5, 0.5, -1 / 3, -1 / 3, -1 / 3), c(max(x) + 3, max(x), min(x), min(x) - 2, mean(x)))
	combine(c(1, -1), c(mean(x), mean(x)))
}
line(cars$speed, cars$dist, c(4, 15.4, 25, 40))
line(women$height, women$weight, c(50, 65, 72, 80))
line(faithful$eruptions, faithful$waiting, c(1, 3.4877830882352938, 6))
# Degrees of freedom of a sum of two variances, by t.test() of two samples (Welch): "welch sd n error df half", the half
# width of the interval of the mean of n pieces by a line without slope error, which is a mean of its own.
sleep1 <- sleep$extra[sleep$group == 1]; few <- c(12.1, 11.7, 12.9, 12.4)
w <- t.test(few, sleep1, conf.level = 0.9)
cat(sprintf("welch\t%.12g\t%d\t%.12g\t%d\t%.12g\n", sd(few), 4, sd(sleep1) / sqrt(10), 9, diff(w$conf.int) / 2))
# Meters with a line of their own, and lots read by them: true = a + b x + e about the line, sd 0.3. The pairs lie between 9
# and 18 %; "cover pairs pieces middle sets", then for each "a b sd b_error middle", the mean of the lot, its sd, and readings.
set.seed(20261202)
for (pairs in c(10, 16)) for (pieces in c(5, 25)) for (middle in c(8, 13)) {
	sets <- 200
	cat(sprintf("cover\t%d\t%d\t%g\t%d\n", pairs, pieces, middle, sets))
	for (i in 1:sets) {
		a <- rnorm(1, 0.5, 0.3); b <- rnorm(1, 0.95, 0.03); x <- runif(pairs, 9, 18)
		fit <- lm(a + b * x + rnorm(pairs, 0, 0.3) ~ x); s <- summary(fit)
		cat(sprintf("%.9g\t%.9g\t%.9g\t%.9g\t%.9g\t%.9g\t%.9g\n", coef(fit)[1], coef(fit)[2], s$sigma, s$coefficients[2, 2], mean(x), a + b * middle, sqrt((b * 0.6)^2 + 0.3^2)))
		cat(sprintf("%.9g\n", rnorm(pieces, middle, 0.6)), sep = "")
	}
}
