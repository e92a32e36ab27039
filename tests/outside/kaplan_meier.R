# For kaplan_meier.h. Each block is "fit NAME cases steps median low high p90 p90_low p90_high", then the cases as
# "from to ended batch n", then the steps as "day at_risk ended share error low high": survfit() of the package survival,
# intervals by log-log at 95 %, the error by cluster where batches have several pieces.
suppressPackageStartupMessages(library(survival))
block <- function(name, from, to, ended, batch, n) {
	single <- all(n == 1) && !anyDuplicated(batch)
	f <- if (single && all(from == -1)) survfit(Surv(to, ended) ~ 1, conf.type = "log-log")
		else survfit(Surv(from, to, ended) ~ 1, weights = n, cluster = batch, robust = TRUE, conf.type = "log-log")
	s <- summary(f)
	q <- quantile(f, c(0.5, 0.9))
	cat(sprintf("fit\t%s\t%d\t%d", name, length(to), length(s$time)), sprintf("%.12g", c(rbind(q$quantile, q$lower, q$upper))), sep = "\t")
	cat("\n")
	cat(sprintf("%d\t%d\t%d\t%d\t%d\n", from, to, ended, batch, n), sep = "")
	cat(sprintf("%d\t%d\t%d\t%.12g\t%.12g\t%.12g\t%.12g\n", as.integer(s$time), as.integer(s$n.risk), as.integer(s$n.event), s$surv, s$std.err, s$lower, s$upper), sep = "")
}
one <- function(name, to, ended) block(name, rep(-1L, length(to)), as.integer(to), as.integer(ended), seq_along(to), rep(1L, length(to)))
# Weeks of remission of 21 children on 6-mercaptopurine and 21 on placebo (Freireich and others 1963, as in Cox and Oakes 1984, table 1.1; from memory)
one("6-MP", c(6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35), c(1, 1, 1, 0, 1, 0, 1, 0, 0, 1, 1, 0, 0, 0, 1, 1, 0, 0, 0, 0, 0))
one("placebo", c(1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23), rep(1, 21))
# The example of Kaplan and Meier (1958), section 1, in tenths of a month (from memory)
one("1958", c(8, 10, 27, 31, 54, 70, 92, 121), c(1, 0, 0, 1, 1, 0, 1, 0))
one("level", c(2, 4, 6, 9), c(1, 1, 1, 1))
# Built into the package: remission of acute myelogenous leukaemia, survival with lung cancer
one("aml", aml$time, aml$status)
one("lung", lung$time, lung$status == 2)
# Late entry, and batches that go together
set.seed(20261130)
for (k in 1:12) {
	n <- 5 * k
	from <- if (k %% 2) rep(-1L, n) else as.integer(sample(c(-1L, 0:6), n, TRUE))
	to <- as.integer(from + 1L + rpois(n, 9))
	ended <- as.integer(runif(n) < 0.75)
	# someone who is at risk to the end, so that the share is never 0 before it
	from <- c(from, -1L); to <- c(to, max(to) + 3L); ended <- c(ended, 0L)
	if (k %% 3) block(paste0("batches", k), from, to, ended, c(sample(1:(2 + k), n, TRUE), 99L), c(sample(1:40, n, TRUE), 25L))
	else block(paste0("single", k), from, to, ended, 1:(n + 1L), rep(1L, n + 1L))
}
