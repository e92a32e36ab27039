# Lines, analysis of covariance, residual checks and drift by R's own lm(), predict(), anova(), rstudent() and confint(),
# a line each: name, then numbers.
line <- function(name, ...) { cat(name, sprintf("%.17g", c(...)), sep = "\t"); cat("\n") }
set.seed(11)

# NIST's sets, read as strd_fit.c does; the intervals are R's.
strd <- function(file) read.table(file, skip = 60, col.names = c("y", "x"))
folder <- commandArgs(TRUE)[1]

predicted <- function(x, y, at, sure, low, high) {
	f <- lm(y ~ x); d <- data.frame(x = at)
	p <- predict(f, d, interval = "prediction", level = sure, se.fit = TRUE)
	k <- predict(f, d, interval = "confidence", level = sure)
	s <- sqrt(p$se.fit^2 + p$residual.scale^2)
	chance <- pt((high - p$fit[1]) / s, p$df) - pt((low - p$fit[1]) / s, p$df)
	line("line", length(x), x, y, at, sure, low, high, p$fit[1, ], k[1, 2:3], p$se.fit, chance, hatvalues(f), rstudent(f))
}
for (set in c("Norris", "Pontius")) {
	d <- strd(sprintf("%s/strd/%s.dat", folder, set))
	for (at in range(d$x) * c(0.9, 1.2)) {
		m <- predict(lm(y ~ x, d), data.frame(x = at))
		predicted(d$x, d$y, at, 0.95, m - sd(d$y) / 1e4, m + sd(d$y) / 2e4)
	}
}
for (turn in 1:60) {
	n <- sample(3:40, 1); x <- rnorm(n, 1600, 90); y <- 372 + 0.505 * x + rnorm(n, 0, 20)
	predicted(x, y, runif(1, 1200, 2000), sample(c(0.5, 0.9, 0.95, 0.999), 1), 1134, 1191)
}

for (turn in 1:60) {
	k <- sample(2:4, 1); n <- k * 8 + sample(0:20, 1)
	g <- c(rep(1:k, each = 8), sample(k, n - k * 8, TRUE)); x <- rnorm(n, 1600 - 150 * g, 70)
	y <- 372 + 0.505 * x + sample(c(0, 15), 1) * g + sample(c(0, 0.15), 1) * g * (x - 1400) + rnorm(n, 0, 20)
	f <- factor(g); one <- lm(y ~ x); levels <- lm(y ~ x + f); own <- lm(y ~ x * f)
	s <- anova(levels, own); l <- anova(one, levels)
	chosen <- if (s[2, 6] < 0.05) own else if (l[2, 6] < 0.05) levels else one
	model <- if (s[2, 6] < 0.05) 3 else if (l[2, 6] < 0.05) 2 else 1
	p <- predict(chosen, data.frame(x = 1500, f = factor(1:k, levels = 1:k)), interval = "prediction", level = 0.9)
	line("covariance", n, k, g, x, y, s[2, 5], s[2, 6], l[2, 5], l[2, 6], model, t(p), rstudent(chosen),
		sum(abs(rstudent(chosen)) <= qt(0.95, chosen$df.residual - 1)), min(1, 2 * n * pt(-max(abs(rstudent(chosen))), chosen$df.residual - 1)))
}

for (turn in 1:40) {
	n <- sample(10:60, 1); x <- round(rnorm(n, 1600, 90), 3); depth <- 60 + sample(0:6, n, TRUE); edge <- 36 + sample(0:4, n, TRUE)
	day <- sample(600, n); by <- sample(2, n, TRUE)
	y <- 372 + 0.505 * x + sample(c(0, 4), 1) * depth + rnorm(n, 0, 20) * (1 + sample(c(0, 1), 1) * (x > 1600))
	f <- lm(y ~ x); p <- function(more) anova(f, more)[2, 6]; more <- lm(y ~ x + depth)
	spread <- summary(lm(residuals(f)^2 ~ fitted(f)))$r.squared
	line("checks", n, x, y, depth, edge, day, by, p(lm(y ~ x + depth)), p(lm(y ~ x + edge)), p(lm(y ~ x + day)), p(lm(y ~ x + I(x^2))), p(lm(y ~ x + factor(by))),
		pchisq(n * spread, 1, lower.tail = FALSE), coef(summary(more))[3, 1:2])
}

for (turn in 1:40) {
	n <- sample(4:30, 1); day <- sort(sample(20000:20800, n)); e <- round(rnorm(n, 0.4, 0.3) + runif(1, -2, 2) * (day - 20400) / 365.25, 1); today <- 20850
	t <- (day - today) / 365.25; f <- lm(e ~ t); k <- confint(f)
	line("drift", n, day, e, today, mean(e), sd(e), coef(f)[2], k[2, ], coef(summary(f))[2, 4], coef(f)[1], k[1, ])
}
