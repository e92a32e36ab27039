/*
 * same_line.h - two lines that parsers gave out are the same, to the last value. Include it after check.h.
 */
#ifndef WITHY_SAME_LINE_H
#define WITHY_SAME_LINE_H

#include "book/line.h"

static inline void same_item(const struct field_use *use, const struct item *a, const struct item *b)
{
	CHECK_SLICE(a->label, b->label);
	CHECK_SLICE(a->text, b->text);
	CHECK_INT(a->v.mark, b->v.mark);
	if (!value_is_number(use->type) || a->v.mark == VALUE_ABSENT)
		return;
	CHECK_INT(a->v.fix, b->v.fix);
	CHECK_INT(a->v.unit, b->v.unit);
	CHECK(a->v.mark != VALUE_EXACT || a->v.high == b->v.high);
}

static inline void same_fields(const struct line *a, const struct line *b)
{
	CHECK_INT(a->nfields, b->nfields);
	CHECK(memcmp(a->slot, b->slot, sizeof a->slot) == 0);
	for (size_t i = 0; i < a->nfields && a->nfields == b->nfields; i++) {
		CHECK(a->field[i].use == b->field[i].use);
		CHECK_SLICE(a->field[i].key, b->field[i].key);
		CHECK_SLICE(a->field[i].text, b->field[i].text);
		CHECK_INT(a->field[i].first, b->field[i].first);
		CHECK_INT(a->field[i].n, b->field[i].n);
		for (size_t j = 0; j < a->field[i].n && a->field[i].n == b->field[i].n; j++)
			same_item(a->field[i].use, &a->item[a->field[i].first + j], &b->item[b->field[i].first + j]);
	}
}

static inline void same_line(const struct line *a, const struct line *b)
{
	CHECK_INT(a->kind, b->kind);
	CHECK_INT(a->number, b->number);
	CHECK_SLICE(a->text, b->text);
	CHECK_SLICE(a->remark, b->remark);
	if (a->kind != LINE_EVENT || b->kind != LINE_EVENT)
		return;
	CHECK(a->event == b->event);
	CHECK_INT(a->stamp.day, b->stamp.day);
	CHECK_INT(a->stamp.second, b->stamp.second);
	CHECK_INT(a->stamp.offset, b->stamp.offset);
	CHECK_SLICE(a->date, b->date);
	CHECK_SLICE(a->time, b->time);
	CHECK_SLICE(a->word, b->word);
	CHECK_SLICE(a->subject, b->subject);
	same_fields(a, b);
}

#endif
