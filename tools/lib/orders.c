#include "text.h"
#include "vocab_words.h"
#include "vocab.h"
#include "value.h"
#include "stamp.h"
#include "diag.h"
#include "parse.h"
#include "intern.h"
#include "stock.h"
#include "orders.h"

#include <stdlib.h>

#include "mem.h"

void orders_init(struct orders *o)
{
	memset(o, 0, sizeof *o);
}

void orders_release(struct orders *o)
{
	for (size_t i = 0; i < o->n; i++) {
		free(o->row[i].item);
		free((char *)(uintptr_t)o->row[i].text.p);
	}
	free(o->row);
	memset(o, 0, sizeof *o);
}

struct order *orders_find(struct orders *o, uint32_t id)
{
	for (size_t i = 0; i < o->n; i++)
		if (o->row[i].id == id)
			return &o->row[i];
	return NULL;
}

/* Whether line `l` restates `known` rather than the other way round. */
static bool is_later(const struct order *known, const struct line *l)
{
	if (l->stamp.day != known->stamp.day)
		return l->stamp.day > known->stamp.day;
	if (l->stamp.second != known->stamp.second)
		return l->stamp.second > known->stamp.second;
	return slice_cmp(l->text, known->text) > 0;
}

static struct order *row_for(struct orders *o, uint32_t id, const struct line *l)
{
	struct order *row = orders_find(o, id);

	if (row && !is_later(row, l))
		return NULL;
	if (!row) {
		o->row = mem_grow(o->row, &o->cap, o->n + 1, sizeof *o->row);
		row = &o->row[o->n++];
		*row = (struct order){ .id = id };
	}
	free(row->item);
	free((char *)(uintptr_t)row->text.p);
	row->text = (struct slice){ mem_copy(l->text.p, l->text.n), l->text.n };
	row->stamp = l->stamp;
	return row;
}

static void set_mass(struct order *row, const struct line *l)
{
	const struct item *mass = line_item(l, FIELD_MASS);

	row->mass_least = mass ? mass->v.fix : INT64_MIN;
	row->mass_most = mass ? mass->v.high : INT64_MAX;
}

void orders_add(struct orders *o, struct stock *s, const struct line *l, int32_t last_day)
{
	const struct field *count = line_field(l, FIELD_COUNT);
	struct order *row = l->stamp.day > last_day ? NULL : row_for(o, intern_id(&s->ids, l->subject), l);

	if (!row)
		return;
	row->to = intern_id(&s->ids, line_word(l, FIELD_TO));
	row->form = line_field(l, FIELD_FORM) ? vocab_form_named(line_word(l, FIELD_FORM)) : FORM_BAT;
	row->due = line_field(l, FIELD_DUE) ? (int32_t)line_item(l, FIELD_DUE)->v.fix : INT32_MAX;
	set_mass(row, l);
	row->nitems = count->n;
	row->item = mem_zeroed(count->n, sizeof *row->item);
	for (size_t i = 0; i < count->n; i++) {
		const struct item *from = &l->item[count->first + i];

		stock_what(s, from->label, l->stamp.day, &row->item[i].type, &row->item[i].grade);
		row->item[i].wanted = from->v.fix;
	}
}

/* qsort() hands no context through, so the texts are looked up before. */
struct sort_row {
	struct order order;
	struct slice id;
};

static int by_due(const void *a, const void *b)
{
	const struct sort_row *x = a, *y = b;

	if (x->order.due != y->order.due)
		return x->order.due < y->order.due ? -1 : 1;
	return slice_cmp(x->id, y->id);
}

void orders_sort(struct orders *o, const struct stock *s)
{
	struct sort_row *rows = mem_array(o->n, sizeof *rows);

	for (size_t i = 0; i < o->n; i++)
		rows[i] = (struct sort_row){ o->row[i], stock_text(s, o->row[i].id) };
	if (o->n)
		qsort(rows, o->n, sizeof *rows, by_due);
	for (size_t i = 0; i < o->n; i++)
		o->row[i] = rows[i].order;
	free(rows);
}
