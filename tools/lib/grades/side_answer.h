/*
 * side_answer.h - the answers of wy-grade(1) that have their own tables: --agreement, --drift, --measures, --claims.
 *
 * A kind says what an answer needs; a caller hands it the lines, then, if it has `flow`, the flows of the
 * stock, and gets its tables:
 *
 *	state = kind->start(&with);
 *	... kind->take(state, line) for each event of the book ...
 *	kind->stocked(state), stock_run(stock, to, kind->flow, state)   (kind->flow only)
 *	any = kind->finish(state, t);   (kind->ntables tables, the caller's)
 */
#ifndef WITHY_SIDE_ANSWER_H
#define WITHY_SIDE_ANSWER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct house;
struct line;
struct stock;
struct stock_flow;
struct table;

enum { SIDE_ANSWERS = 4, SIDE_ANSWER_TABLES_MOST = 4 };

/* The days `from` to `to` count; a baseline, where there is one, begins on `baseline` and ends before `from`. */
struct side_answer_with {
	struct stock *stock;
	const struct house *house;  /* NULL only where the kind does without */
	int32_t from, to, baseline;
	bool has_baseline;
};

struct side_answer {
	const char *option;
	bool with_house, with_baseline;
	size_t ntables;
	void *(*start)(const struct side_answer_with *with);
	void (*take)(void *state, const struct line *l);
	void (*stocked)(void *state);                         /* or NULL */
	void (*flow)(void *state, const struct stock_flow *f); /* or NULL: it needs no flows */
	bool (*finish)(void *state, struct table *t);         /* frees the state; whether there is an answer */
};

extern const struct side_answer side_answers[SIDE_ANSWERS];

#endif
