/*
 * select.h - conditions on entries, written much as the entries are.
 *
 *	event=probe,oven          one of several
 *	date=2026-06..2026-08     a year, a month or a day means all of it; so do the ends of a range
 *	mass=2lb8oz..2lb10oz      numbers are compared across units
 *	mc=a:10%..                the item with that label, and its value
 *	cull=knot                 a word in the place of a number is a label
 *	at=yard/                  yard, and all of its bays
 *	by~^m                     a pattern
 *	except:lot=L061            the opposite
 *
 * Names are the fields of the vocabulary and `event subject date time remark line has touches`.
 * With =, a comma separates alternatives, any of which will do. In a text and a remark it is a plain
 * comma. An item fits a number or a range when it can lie in it: 30%+ (off the scale) fits 35%..,
 * and a range fits one that it meets. 30%+ as a condition means just that reading, and - none.
 * A condition on a field is one on any item of it, and does not hold where the field is left out.
 *
 * A struct select is one worker's, for its patterns need scratch to match in.
 */
#ifndef WITHY_SELECT_H
#define WITHY_SELECT_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

struct condition;
struct line;
struct pattern_scratch;
struct vocab;

struct select {
	const struct vocab *vocab;
	struct condition *condition;
	size_t n, cap;
	struct pattern_scratch *scratch;
	struct buf words;      /* of a quoted text, while it is compared */
	bool any;              /* one of the conditions will do */
};

enum select_result { SELECT_NO, SELECT_YES, SELECT_FAILED };

void select_init(struct select *s, const struct vocab *vocab);
void select_release(struct select *s);

/* Whether a word of the command line looks like a condition (a name and a = or ~) and not like a file. */
bool select_is_condition(struct slice word);

/* Adds a condition; `word` must outlive `s`. False when it is wrong, and `error` says how. */
bool select_add(struct select *s, struct slice word, struct buf *error);

/*
 * Whether an entry (LINE_EVENT) fits: all conditions, or any; without a condition every entry does.
 * SELECT_FAILED when a pattern gave up, and `error` says why.
 */
enum select_result select_match(struct select *s, const struct line *l, struct buf *error);

#endif
