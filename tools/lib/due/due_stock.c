#include "due/due_stock.h"

#include <stdlib.h>

#include "due/due_book.h"

/* Pieces of one form and type in one place. */
struct pile {
	uint32_t place, type, oldest; /* oldest: the lot of the oldest */
	int32_t form, since;
	int64_t n;                 /* that are too old, or all where a count is due */
};

struct piles {
	struct pile *pile;
	size_t n, cap;
};

static bool is_in_stock(const struct stock *s, const struct stock_bucket *b)
{
	return b->n > 0 && b->kind.lot && b->kind.place != s->sold && b->kind.place != s->culled;
}

static struct pile *pile_of(struct piles *p, uint32_t place, int32_t form, uint32_t type)
{
	for (size_t i = 0; i < p->n; i++)
		if (p->pile[i].place == place && p->pile[i].form == form && p->pile[i].type == type)
			return &p->pile[i];
	p->pile = mem_grow(p->pile, &p->cap, p->n + 1, sizeof *p->pile);
	p->pile[p->n] = (struct pile){ .place = place, .form = form, .type = type, .since = INT32_MAX };
	return &p->pile[p->n++];
}

/* Of lots of one day the first by name counts: the order of buckets must not show. */
static void pile_add(struct pile *pile, const struct stock *s, const struct stock_bucket *b)
{
	pile->n += b->n;
	if (b->since > pile->since)
		return;
	if (b->since == pile->since && slice_cmp(stock_text(s, b->kind.lot), stock_text(s, pile->oldest)) >= 0)
		return;
	pile->since = b->since;
	pile->oldest = b->kind.lot;
}

static const struct house_words *care_of(const struct due *d, struct slice place)
{
	const struct house_words *who = due_care_of(d->house, place);

	return who ? who : d->house->care.stock.n ? &d->house->care.stock : NULL;
}

/* ---- ages */

/* In days; INT64_MAX where the house says nothing. */
static int64_t oldest_days(const struct house *house, int32_t form)
{
	const struct house_oldest *o = &house->oldest;
	int64_t span = form == FORM_CLEFT ? o->cleft : form == FORM_BLADE ? o->blade : form == FORM_HANDLE ? o->handle : form == FORM_BAT ? o->bat : HOUSE_NONE;

	return span == HOUSE_NONE ? INT64_MAX : house_span_days(span);
}

static void add_old(struct due *d, struct due_book *b, const struct pile *p)
{
	struct slice lot = stock_text(b->stock, p->oldest), place = stock_text(b->stock, p->place), type = stock_text(b->stock, p->type);
	int64_t limit = oldest_days(d->house, p->form);
	struct due_item *item;

	buf_printf(&d->text, "%lld ", (long long)p->n);
	buf_add(&d->text, type);
	buf_str(&d->text, type.n ? " " : "");
	buf_add(&d->text, vocab_form(p->form));
	buf_printf(&d->text, "%s older than %lld days; the oldest, of %.*s, since ", PLURAL(p->n, " is", "s are"), (long long)limit, (int)lot.n, lot.p);
	day_write(&d->text, p->since);
	item = due_add(d, DUE_STOCK, "old", place, "use them, sell them, or grade them again");
	item->place = item->subject;
	item->who = care_of(d, place);
	item->line = due_lines_first(&b->lines, "", lot, SLICE(""));
	item->of = DUE_OF_DAY;
}

static void find_old(struct due *d, struct due_book *b)
{
	struct piles piles = { NULL, 0, 0 };
	size_t n;
	const struct stock_bucket *bucket = stock_buckets(b->stock, &n);

	for (size_t i = 0; i < n; i++)
		if (is_in_stock(b->stock, &bucket[i]) && d->days.today - bucket[i].since > oldest_days(d->house, bucket[i].kind.form))
			pile_add(pile_of(&piles, bucket[i].kind.place, bucket[i].kind.form, bucket[i].kind.type), b->stock, &bucket[i]);
	for (size_t i = 0; i < piles.n; i++)
		add_old(d, b, &piles.pile[i]);
	free(piles.pile);
}

/* ---- counts */

/* A span, or HOUSE_NONE. */
static int64_t count_every(const struct house *house, struct slice place)
{
	const struct house_place *p = house_place(house, place);

	return p ? p->count_every : house->intervals.count;
}

/* A place that was empty since it was counted is to be counted from the day on which pieces came in. */
static void add_count(struct due *d, struct due_book *b, const struct pile *p, int64_t every)
{
	struct slice place = stock_text(b->stock, p->place);
	struct due_line last = due_lines_last(&b->lines, "tally at", place, SLICE(""));
	int32_t since = due_filled_since(&b->filled, p->place);
	bool counted = last.number && last.day >= since;
	struct due_item *item;

	if (every == HOUSE_NONE || since == INT32_MIN)
		return;
	buf_printf(&d->text, "%lld piece%s there; %s ", (long long)p->n, PLURAL(p->n, "", "s"), counted ? "last counted on" : "not counted since they came in on");
	day_write(&d->text, counted ? last.day : since);
	item = due_add(d, DUE_COUNT, "count", place, "count the pieces there");
	item->place = item->subject;
	item->who = care_of(d, place);
	item->line = counted ? last : due_lines_last(&b->lines, "into", place, SLICE(""));
	item->day = item->last = (int32_t)((counted ? last.day : since) + house_span_days(every));
	item->overdue = item->day < d->days.today;
	item->of = DUE_OF_DAY;
}

static void find_counts(struct due *d, struct due_book *b)
{
	struct piles piles = { NULL, 0, 0 };
	size_t n;
	const struct stock_bucket *bucket = stock_buckets(b->stock, &n);

	for (size_t i = 0; i < n; i++)
		if (is_in_stock(b->stock, &bucket[i]) && !due_book_is_charge(b, stock_text(b->stock, bucket[i].kind.place)))
			pile_add(pile_of(&piles, bucket[i].kind.place, 0, 0), b->stock, &bucket[i]);
	for (size_t i = 0; i < piles.n; i++)
		add_count(d, b, &piles.pile[i], count_every(d->house, stock_text(b->stock, piles.pile[i].place)));
	free(piles.pile);
}

void due_stock_find(struct due *d, struct due_book *b)
{
	if (!d->house)
		return;
	find_old(d, b);
	find_counts(d, b);
}
