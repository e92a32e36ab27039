#include "stock/orders.h"

#include <stdlib.h>

#include "book/line.h"
#include "house/house.h"

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
	free(o->at);
	memset(o, 0, sizeof *o);
}

struct order *orders_find(struct orders *o, uint32_t id)
{
	return id < o->at_cap && o->at[id] ? &o->row[o->at[id] - 1] : NULL;
}

static void set_at(struct orders *o, uint32_t id, size_t row)
{
	size_t had = o->at_cap;

	o->at = mem_grow(o->at, &o->at_cap, id + 1u, sizeof *o->at);
	if (o->at_cap > had)
		memset(o->at + had, 0, (o->at_cap - had) * sizeof *o->at);
	o->at[id] = (uint32_t)row + 1;
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
		set_at(o, id, o->n - 1);
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

		struct stock_item what;

		stock_what(s, from->label, &what);
		row->item[i] = (struct order_item){ .type = what.type, .grade = what.grade, .class = what.class, .wanted = from->v.fix };
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
	for (size_t i = 0; i < o->n; i++) {
		o->row[i] = rows[i].order;
		set_at(o, o->row[i].id, i);
	}
	free(rows);
}

/* ---- against the stock */

static bool fits(uint32_t asked, uint32_t is)
{
	return asked == STOCK_ANY || asked == is;
}

static bool fits_item(const struct order_item *item, const struct stock_kind *k)
{
	return fits(item->type, k->type) && fits(item->grade, k->grade) && fits(item->class, k->class);
}

void order_meet(struct order *o, const struct stock_kind *k, int64_t n)
{
	struct order_item *over = NULL;

	for (size_t i = 0; i < o->nitems && n; i++) {
		struct order_item *item = &o->item[i];
		int64_t open = item->wanted - item->met;

		if (!fits_item(item, k))
			continue;
		over = over ? over : item;
		open = open < 0 ? 0 : open < n ? open : n;
		item->met += open;
		n -= open;
	}
	if (over)
		over->met += n;
}

bool order_has_mass(const struct order *o)
{
	return o->form == FORM_BAT && (o->mass_least != INT64_MIN || o->mass_most != INT64_MAX);
}

void order_say_mass(const struct order *o, const struct stock *s, struct buf *out)
{
	int unit = s->house ? s->house->units.bat_mass : UNIT_MASS_G;

	if (!order_has_mass(o))
		return;
	if (o->mass_least != INT64_MIN)
		value_write_mass(out, unit, o->mass_least);
	if (o->mass_least == o->mass_most)
		return;
	buf_str(out, "..");
	if (o->mass_most != INT64_MAX)
		value_write_mass(out, unit, o->mass_most);
}

enum order_use order_use(const struct order *o, const struct order_item *item, const struct order_piece *piece)
{
	const struct stock_kind *k = &piece->kind;

	if (!fits_item(item, k))
		return ORDER_NO_USE;
	if (k->form == FORM_BLADE && !k->grade)
		return ORDER_NO_USE;
	if (o->form == FORM_BAT && k->form == FORM_BLADE)
		return ORDER_TO_MAKE;
	if (k->form != o->form)
		return ORDER_NO_USE;
	if (!order_has_mass(o))
		return ORDER_AS_IT_IS;
	if (!piece->mass)
		return ORDER_TO_MAKE;
	return piece->mass >= o->mass_least && piece->mass <= o->mass_most ? ORDER_AS_IT_IS : ORDER_NO_USE;
}

static int by_turn(const void *a, const void *b)
{
	const struct order_piece *x = a, *y = b;
	int order = (y->kind.form > x->kind.form) - (y->kind.form < x->kind.form);

	order = order ? order : (y->rank > x->rank) - (y->rank < x->rank);
	order = order ? order : slice_cmp(y->grade, x->grade);
	order = order ? order : slice_cmp(x->type, y->type);
	order = order ? order : slice_cmp(x->lot, y->lot);
	return order ? order : slice_cmp(x->place, y->place);
}

void orders_queue(struct order_piece *piece, size_t n)
{
	if (n)
		qsort(piece, n, sizeof *piece, by_turn);
}

size_t orders_first_of(const struct order_piece *piece, size_t n, int32_t form)
{
	size_t low = 0, high = n;

	while (low < high) {
		size_t middle = low + (high - low) / 2;

		if (piece[middle].kind.form > form)
			low = middle + 1;
		else
			high = middle;
	}
	return low;
}

int64_t order_take(const struct order *o, const struct order_item *item, enum order_use use, struct order_piece *piece, size_t n,
	int64_t want)
{
	bool made = use == ORDER_TO_MAKE;
	size_t end = orders_first_of(piece, n, (made ? FORM_BLADE : o->form) - 1);
	int64_t got = 0;

	if (made && o->form != FORM_BAT)
		return 0;
	for (size_t i = orders_first_of(piece, n, o->form); i < end && got < want; i++) {
		int64_t take = piece[i].n < want - got ? piece[i].n : want - got;

		if (take <= 0 || order_use(o, item, &piece[i]) != use)
			continue;
		piece[i].n -= take;
		got += take;
	}
	return got;
}
