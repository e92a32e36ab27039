/*
 * select_count.h - how many entries fit conditions, counted on every core (scan.h).
 */
#ifndef WITHY_SELECT_COUNT_H
#define WITHY_SELECT_COUNT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct scan_work;
struct vocab;

struct select_count {
	const struct vocab *vocab;
	const char *const *word;  /* the conditions, which select_add() takes */
	size_t nwords;
	bool any, others;         /* one condition is enough; count those that do not fit */
	uint64_t found;           /* added to */
	bool failed;              /* set: a pattern gave up, so the number is not known */
};

/* The work of a scan; `count` gets what comes of it. */
struct scan_work select_count_work(struct select_count *count);

#endif
