# For random_effect.h. "fit mean error low high between n", then n lines "value variance": the variance between is found
# by uniroot(), the rest is that of lm() with weights and its confint() at 90 %, which is the interval of Hartung and
# Knapp. "anova mean between n", then lines: the one-way analysis of variance by aov().
fit <- function(y, v) {
	q <- function(b) { w <- 1 / (b + v); sum(w * (y - weighted.mean(y, w))^2) - (length(y) - 1) }
	b <- if (q(0) <= 0) 0 else uniroot(q, c(0, 100 * var(y)), tol = 1e-14 * var(y))$root
	l <- lm(y ~ 1, weights = 1 / (b + v))
	ci <- confint(l, level = 0.9)
	cat(sprintf("fit\t%.12g\t%.12g\t%.12g\t%.12g\t%.12g\t%d\n", coef(l), summary(l)$coefficients[2], ci[1], ci[2], b, length(y)))
	cat(sprintf("%.17g\t%.17g\n", y, v), sep = "")
}
# BCG vaccine against tuberculosis, log relative risks (Colditz and others 1994); the counts from memory
tp <- c(4, 6, 3, 62, 33, 180, 8, 505, 29, 17, 186, 5, 27); tn <- c(119, 300, 228, 13536, 5036, 1361, 2537, 87886, 7470, 1699, 50448, 2493, 16886)
cp <- c(11, 29, 11, 248, 47, 372, 10, 499, 45, 65, 141, 3, 29); cn <- c(128, 274, 209, 12619, 5761, 1079, 619, 87892, 7232, 1600, 27197, 2338, 17825)
fit(log(tp / (tp + tn) / (cp / (cp + cn))), 1 / tp - 1 / (tp + tn) + 1 / cp - 1 / (cp + cn))
fit(c(1.1, 1.2), c(0.04, 0.01))
fit(c(5.1, 5.0, 5.2, 5.1), c(0.2, 0.3, 0.1, 0.2))
set.seed(20261130)
for (n in c(2, 3, 7, 40)) fit(rnorm(n, 5, 0.3), rgamma(n, 3, 60))
# Yields of dyestuff in grams (Davies and Goldsmith 1972, table 6.3; from memory): six batches, five samples of each
yield <- c(1545, 1440, 1440, 1520, 1580, 1540, 1555, 1490, 1560, 1495, 1595, 1550, 1605, 1510, 1560,
	1445, 1440, 1595, 1465, 1545, 1595, 1630, 1515, 1635, 1625, 1520, 1455, 1450, 1480, 1445)
batch <- gl(6, 5)
ms <- summary(aov(yield ~ batch))[[1]][["Mean Sq"]]
cat(sprintf("anova\t%.12g\t%.12g\t%.12g\t6\n", mean(yield), sqrt(ms[1] / 30), (ms[1] - ms[2]) / 5))
cat(sprintf("%.17g\t%.17g\n", tapply(yield, batch, mean), ms[2] / 5), sep = "")
