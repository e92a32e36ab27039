/*
 * occurrence.h - when and where something of a line stands, for rules that are judged at the end.
 */
#ifndef WITHY_OCCURRENCE_H
#define WITHY_OCCURRENCE_H

#include <stdint.h>

#include "book/diag.h"
#include "book/line.h"

struct occurrence {
	int32_t day, second;   /* second: -1 when untimed, before all times of its day */
	struct place place;
};

static inline struct occurrence occurrence_of(const struct line *l, struct slice part)
{
	return (struct occurrence){ l->stamp.day, l->stamp.second, line_place(l, part) };
}

/* Where in the input: by file, line and column. */
static inline int place_cmp(const struct place *a, const struct place *b)
{
	if (a->file != b->file)
		return a->file < b->file ? -1 : 1;
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
	return place_cmp(&a->place, &b->place);
}

#endif
