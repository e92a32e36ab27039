# Assignments and transports by lpSolve's solver of linear programs, a line each: kind, rows, columns, supplies, demands,
# costs by row, and the least total cost. First the examples of its manual, of which that of transports is from a textbook.
suppressMessages(library(lpSolve))
line <- function(kind, row_n, col_n, cost, value)
	cat(kind, length(row_n), length(col_n), row_n, col_n, t(cost), sprintf("%.0f", value), sep = "\t", fill = FALSE, "\n")
assign_line <- function(cost) line("assign", rep(1, nrow(cost)), rep(1, ncol(cost)), cost, lp.assign(cost)$objval)
assign_line(matrix(c(2, 7, 7, 2, 7, 7, 3, 2, 7, 2, 8, 10, 1, 9, 8, 2), 4, 4))
set.seed(20261130)
for (turn in 1:60) {
	n <- sample(2:25, 1); most <- sample(c(3, 20, 1000), 1)
	assign_line(matrix(sample(0:most, n * n, TRUE), n, n))
}
# What is there and what is wanted are as many, so that all of it goes.
transport_line <- function(cost, row_n, col_n) {
	same <- if (sum(row_n) <= sum(col_n)) c("=", "<=") else c("<=", "=")
	got <- lp.transport(cost, "min", rep(same[1], nrow(cost)), row_n, rep(same[2], ncol(cost)), col_n)
	stopifnot(got$status == 0)
	line("transport", row_n, col_n, cost, got$objval)
}
for (turn in 1:60) {
	r <- sample(1:9, 1); c <- sample(1:9, 1)
	transport_line(matrix(sample(0:sample(c(4, 300), 1), r * c, TRUE), r, c), sample(1:12, r, TRUE), sample(1:12, c, TRUE))
}
