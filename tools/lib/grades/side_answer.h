/*
 * side_answer.h - the answers of wy-grade(1) that have their own tables: --agreement, --drift, --measures, --claims.
 *
 * A kind says what an answer needs. A caller hands the kinds that are wanted the lines of the book, then the flows of the
 * stock if one of them needs those, and gets their tables:
 *
 *	struct side_answers a = { .want = { true } };
 *
 *	side_answers_start(&a, &with);
 *	... side_answers_take(&a, line) for each event of the book ...
 *	if (side_answers_read(&a))
 *		stock_run(stock, to, side_answers_flow, &a);
 *	all = side_answers_finish(&a, t, n);
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

enum { SIDE_ANSWERS = 4, SIDE_ANSWER_TABLES_MOST = 16 }; /* tables of all kinds together */

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
};

extern const struct side_answer side_answers[SIDE_ANSWERS];

/* The wanted ones, as side_answers has them; all are set by the caller. */
struct side_answers {
	bool want[SIDE_ANSWERS];
	void *state[SIDE_ANSWERS];
};

void side_answers_start(struct side_answers *a, const struct side_answer_with *with);
void side_answers_take(void *a, const struct line *l);

/* After the last line: whether the flows of the stock are needed. */
bool side_answers_read(struct side_answers *a);
void side_answers_flow(void *a, const struct stock_flow *f);

/*
 * Fills in the tables of each wanted kind in turn, which are the caller's, and how many each kind has, and frees all else.
 * Whether every one has an answer.
 */
bool side_answers_finish(struct side_answers *a, struct table *t, size_t n[SIDE_ANSWERS]);

#endif
