/*
 * occurrence.h - the time and place of something on a line, for rules that are judged at the end.
 */
#ifndef WITHY_OCCURRENCE_H
#define WITHY_OCCURRENCE_H

#include <stdint.h>

#include "book/diag.h"
#include "book/line.h"
#include "check/references.h"
#include "check/symbols.h"

/* Kept for every id and kind of use of it, so that it is small: 24 bytes. */
struct occurrence {
	int32_t day, second;   /* second: -1 when untimed, before all times of its day */
	uint32_t line;         /* its low bits: see occurrence_place() */
	uint32_t file : 24, line_high : 8;
	uint32_t col : 17, end : 17;
};

enum { OCCURRENCE_COL_MASK = (1 << 17) - 1, OCCURRENCE_FILE_MASK = (1 << 24) - 1 };

static inline struct occurrence occurrence_of(const struct line *l, struct slice part)
{
	uint32_t col = line_col(l, part);

	return (struct occurrence){ l->stamp.day, l->stamp.second, (uint32_t)l->number, l->file & OCCURRENCE_FILE_MASK,
		l->number >> 32 & 0xff, col & OCCURRENCE_COL_MASK, (col + (uint32_t)part.n) & OCCURRENCE_COL_MASK };
}

static inline struct place occurrence_place(const struct occurrence *o)
{
	return (struct place){ o->file, o->col, o->end, (uint64_t)o->line_high << 32 | o->line };
}

/* Where in the input: by file, line and column. */
static inline int occurrence_place_cmp(const struct occurrence *a, const struct occurrence *b)
{
	if (a->file != b->file)
		return a->file < b->file ? -1 : 1;
	if (a->line_high != b->line_high)
		return a->line_high < b->line_high ? -1 : 1;
	if (a->line != b->line)
		return a->line < b->line ? -1 : 1;
	return (a->col > b->col) - (a->col < b->col);
}

/* By day and time, then by place. */
static inline int occurrence_cmp(const struct occurrence *a, const struct occurrence *b)
{
	if (a->day != b->day)
		return a->day < b->day ? -1 : 1;
	if (a->second != b->second)
		return a->second < b->second ? -1 : 1;
	return occurrence_place_cmp(a, b);
}

#endif
