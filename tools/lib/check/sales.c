#include "check/sales.h"

#include <stdlib.h>

#include "check/duplicates.h"

/* The longest time over which one cost is spread without a report: two years. */
enum { OVER_MOST = 731 };

struct order_line {
	uint32_t order, party;       /* party: 0 when the line does not say */
	int64_t pieces, mass_low, mass_high;
	struct entry_hash entry;     /* its content, which distinguishes lines of one moment */
	int32_t due;                 /* a day, or INT32_MAX */
	struct occurrence mark, due_mark;
};

struct sales_use {
	uint32_t order, party, bat;  /* bat: the subject */
	bool sold;                   /* or issued */
	struct slice what;           /* the subject's text, to distinguish lines of one stamp */
	int64_t pieces;
	struct occurrence mark;      /* the place of for= */
	struct columns {
		uint32_t col, end;
	} whom, count;               /* those of to= and of the number of pieces, on that line */
};

struct bat_mass {
	uint32_t bat;
	int64_t mass;
	int32_t day;
};

/* Lines of one stamp are distinguished by their content, so that their order in the input does not show. */
#define BY(a, b) do { if ((a) != (b)) return (a) < (b) ? -1 : 1; } while (0)

static int by_use(const void *a, const void *b)
{
	const struct sales_use *x = a, *y = b;
	int order;

	BY(x->order, y->order);
	BY(x->sold, y->sold);
	BY(x->mark.day, y->mark.day);
	BY(x->mark.second, y->mark.second);
	order = slice_cmp(x->what, y->what);
	if (order)
		return order;
	BY(x->pieces, y->pieces);
	return occurrence_cmp(&x->mark, &y->mark);
}

void sales_init(struct sales *s, struct symbols *symbols, struct diags *diags)
{
	memset(s, 0, sizeof *s);
	s->symbols = symbols;
	s->diags = diags;
	s->uses.order = by_use;
	s->currency = symbols->house ? symbols->house->currency : -1;
	for (size_t i = 0; i < sizeof s->money / sizeof *s->money; i++)
		s->money[i].first_rate = INT32_MAX;
}

void sales_release(struct sales *s)
{
	free(s->order);
	spill_sort_release(&s->uses);
	free(s->bat);
	memset(s, 0, sizeof *s);
}

/* ---- one line by itself */

static const char *why_absurd(const struct line *l, const struct value *v)
{
	if (v->mark != VALUE_RANGE)
		return NULL;
	if (v->fix == INT64_MIN || v->high == INT64_MAX)
		return "one of its ends is missing";
	if (v->high - v->fix >= OVER_MOST)
		return "it is longer than two years";
	if (v->fix - l->stamp.day > OVER_MOST || l->stamp.day - v->high > OVER_MOST)
		return "it is more than two years from the date of the line";
	return NULL;
}

static void judge_over(struct sales *s, const struct line *l)
{
	const struct item *over = line_item(l, FIELD_OVER);
	const char *why = over ? why_absurd(l, &over->v) : NULL;

	if (why)
		DIAG(s->diags, RULE_OVER_RANGE, line_place(l, over->text), over->text, slice_of(why));
}

/* What the supplier claims is what came: count and cull. */
static bool judge_claimed(struct sales *s, const struct line *l)
{
	int64_t claimed = line_sum(l, FIELD_CLAIMED), came = line_sum(l, FIELD_COUNT) + line_sum(l, FIELD_CULL);
	struct buf a = BUF_INIT, b = BUF_INIT;

	if (claimed == came)
		return true;
	buf_int(&a, claimed);
	buf_int(&b, came);
	DIAG(s->diags, RULE_CLAIMED_SUM, line_place(l, line_field(l, FIELD_CLAIMED)->key), buf_slice(&a), buf_slice(&b));
	buf_release(&a);
	buf_release(&b);
	return s->diags->level[RULE_CLAIMED_SUM] == LEVEL_NONE;
}

/* Where pieces come from is said of those that a tally finds. */
static void judge_found(struct sales *s, const struct line *l)
{
	static const int OF_FOUND[] = { FIELD_SINCE, FIELD_FROM, FIELD_ORIGIN, FIELD_PRICE };
	const struct item *since = line_item(l, FIELD_SINCE);

	for (size_t i = 0; !line_sum(l, FIELD_FOUND) && i < sizeof OF_FOUND / sizeof *OF_FOUND; i++) {
		const struct field *f = line_field(l, OF_FOUND[i]);

		if (f) {
			DIAG(s->diags, RULE_TALLY_ORIGIN, line_place(l, f->key), f->key);
			return;
		}
	}
	if (since && since->v.fix > l->stamp.day)
		DIAG(s->diags, RULE_SINCE_LATER, line_place(l, since->text), since->text);
}

/* What a supplier gives back is an amount, not a debt. */
static void judge_credit(struct sales *s, const struct line *l)
{
	const struct item *price = line_item(l, FIELD_PRICE);

	if (price && price->v.fix <= 0)
		DIAG(s->diags, RULE_CREDIT_SIGN, line_place(l, price->text), price->text);
}

bool sales_line(struct sales *s, const struct line *l)
{
	if (l->event->id == EVENT_CREDIT)
		judge_credit(s, l);
	if (l->event->id == EVENT_TALLY)
		judge_found(s, l);
	if (line_field(l, FIELD_OVER))
		judge_over(s, l);
	return !line_field(l, FIELD_CLAIMED) || judge_claimed(s, l);
}

/* ---- keeping */

static void keep_order(struct sales *s, const struct line *l)
{
	const struct item *mass = line_item(l, FIELD_MASS), *due = line_item(l, FIELD_DUE);
	struct order_line *order;

	s->order = mem_grow(s->order, &s->orders_cap, s->norders + 1, sizeof *s->order);
	order = &s->order[s->norders++];
	*order = (struct order_line){ .order = symbols_id(s->symbols, l->subject), .party = symbols_id(s->symbols, line_word(l, FIELD_TO)),
		.pieces = line_sum(l, FIELD_COUNT), .mass_low = INT64_MIN, .mass_high = INT64_MAX, .due = due ? (int32_t)due->v.fix : INT32_MAX,
		.entry = entry_hash(l), .mark = occurrence_of(l, l->subject), .due_mark = occurrence_of(l, due ? due->text : l->subject) };
	if (mass) {
		order->mass_low = mass->v.fix;
		order->mass_high = mass->v.high;
	}
}

static struct columns columns_of(const struct line *l, struct slice part)
{
	struct place place = line_place(l, part);

	return (struct columns){ place.col, place.end };
}

static struct place place_at(const struct sales_use *u, struct columns at)
{
	struct place place = occurrence_place(&u->mark);

	place.col = at.col;
	place.end = at.end;
	return place;
}

/* Whom it goes to, when the line says; issue and make name nobody. */
static void keep_use(struct sales *s, const struct line *l)
{
	struct slice to = line_word(l, FIELD_TO), order = line_word(l, FIELD_FOR);
	const struct field *count = line_field(l, FIELD_COUNT);
	uint32_t bat = symbols_id_at(s->symbols, SYMBOLS_SUBJECT(l->event), l->subject);

	*(struct sales_use *)spill_sort_add(&s->uses, sizeof(struct sales_use)) = (struct sales_use){ .order = symbols_id_at(s->symbols, FIELD_FOR, order), .party = symbols_id_at(s->symbols, FIELD_TO, to),
		.bat = bat, .what = intern_text(s->symbols->ids, bat), .sold = l->event->id == EVENT_SELL, .pieces = count ? line_sum(l, FIELD_COUNT) : 1,
		.mark = occurrence_of(l, order), .whom = columns_of(l, to.n ? to : order), .count = columns_of(l, count ? count->text : order) };
}

static void keep_mass(struct sales *s, const struct line *l)
{
	s->bat = mem_grow(s->bat, &s->bats_cap, s->nbats + 1, sizeof *s->bat);
	s->bat[s->nbats++] = (struct bat_mass){ symbols_id(s->symbols, l->subject), line_item(l, FIELD_MASS)->v.fix, l->stamp.day };
}

static void keep_price(struct sales *s, const struct line *l)
{
	const struct item *price = line_item(l, FIELD_PRICE);
	struct currency_days *c = &s->money[price->v.unit];
	struct occurrence mark;

	if (price->v.unit == s->currency)
		return;
	mark = occurrence_of(l, price->text);
	if (!c->priced || occurrence_cmp(&mark, &c->first_price) < 0)
		c->first_price = mark;
	c->priced = true;
}

static void keep_rate(struct sales *s, const struct line *l)
{
	const struct item *is = line_item(l, FIELD_IS);
	struct currency_days *c = &s->money[vocab_currency(l->subject.p)];

	if (is->v.unit == s->currency && l->stamp.day < c->first_rate)
		c->first_rate = l->stamp.day;
}

void sales_keep(struct sales *s, const struct line *l)
{
	if (l->event->id == EVENT_ORDER)
		keep_order(s, l);
	else if (l->event->id == EVENT_RATE)
		keep_rate(s, l);
	else if (l->event->id == EVENT_FINISH && line_field(l, FIELD_MASS))
		keep_mass(s, l);
	if (line_field(l, FIELD_FOR) && (l->event->id == EVENT_SELL || l->event->id == EVENT_ISSUE))
		keep_use(s, l);
	if (line_field(l, FIELD_PRICE) && s->currency >= 0)
		keep_price(s, l);
}

/* ---- at the end */

static int by_order(const void *a, const void *b)
{
	const struct order_line *x = a, *y = b;

	BY(x->order, y->order);
	BY(x->mark.day, y->mark.day);
	BY(x->mark.second, y->mark.second);
	BY(x->pieces, y->pieces);
	BY(x->entry.a, y->entry.a);
	return occurrence_cmp(&x->mark, &y->mark);
}

static int by_bat(const void *a, const void *b)
{
	const struct bat_mass *x = a, *y = b;

	BY(x->bat, y->bat);
	BY(x->day, y->day);
	BY(x->mass, y->mass);
	return 0;
}

/* The order as it was at the end of a day: the last of its lines up to then, or NULL. */
static const struct order_line *order_on(const struct sales *s, uint32_t order, int32_t day)
{
	size_t low = 0, high = s->norders;

	while (low < high) {
		size_t mid = low + (high - low) / 2;
		const struct order_line *l = &s->order[mid];

		if (l->order < order || (l->order == order && l->mark.day <= day))
			low = mid + 1;
		else
			high = mid;
	}
	return low && s->order[low - 1].order == order ? &s->order[low - 1] : NULL;
}

/* What the bat weighed when it was last finished up to that day, or 0. */
static int64_t mass_on(const struct sales *s, uint32_t bat, int32_t day)
{
	size_t low = 0, high = s->nbats;

	while (low < high) {
		size_t mid = low + (high - low) / 2;

		if (s->bat[mid].bat < bat || (s->bat[mid].bat == bat && s->bat[mid].day <= day))
			low = mid + 1;
		else
			high = mid;
	}
	return low && s->bat[low - 1].bat == bat ? s->bat[low - 1].mass : 0;
}

static struct slice text_of(const struct sales *s, uint32_t name)
{
	return intern_text(s->symbols->ids, name);
}

static void judge_party(struct sales *s, const struct sales_use *u, const struct order_line *order)
{
	if (u->party && order->party && u->party != order->party && symbols_in(s->symbols, order->party, LIST_OF(OF_PARTY)) &&
		symbols_in(s->symbols, u->party, LIST_OF(OF_PARTY)))
		DIAG(s->diags, RULE_ORDER_PARTY, place_at(u, u->whom), text_of(s, u->order), text_of(s, order->party), text_of(s, u->party));
}

/* In the unit that the works weighs bats in. */
static void add_mass(const struct sales *s, struct buf *out, int64_t micrograms)
{
	value_write_mass(out, s->symbols->house ? s->symbols->house->units.bat_mass : UNIT_MASS_G, micrograms);
}

static void judge_mass(struct sales *s, const struct sales_use *u, const struct order_line *order)
{
	int64_t mass = u->sold ? mass_on(s, u->bat, u->mark.day) : 0;
	struct buf is = BUF_INIT, low = BUF_INIT;

	if (!mass || (mass >= order->mass_low && mass <= order->mass_high))
		return;
	add_mass(s, &is, mass);
	if (order->mass_low != INT64_MIN)
		add_mass(s, &low, order->mass_low);
	if (order->mass_low != order->mass_high)
		buf_str(&low, "..");
	if (order->mass_low != order->mass_high && order->mass_high != INT64_MAX)
		add_mass(s, &low, order->mass_high);
	DIAG(s->diags, RULE_ORDER_MASS, occurrence_place(&u->mark), text_of(s, u->bat), buf_slice(&is), text_of(s, u->order), buf_slice(&low));
	buf_release(&is);
	buf_release(&low);
}

/* Two lines that restate one order at one moment: which of them holds is not known. The same entry is line-twice. */
static void judge_again(struct sales *s, const struct order_line *first, const struct order_line *again)
{
	struct buf where = BUF_INIT;

	if (first->order != again->order || first->mark.day != again->mark.day || first->mark.second != again->mark.second || first->entry.a == again->entry.a)
		return;
	if (first->mark.file == again->mark.file)
		buf_printf(&where, "line %llu", (unsigned long long)occurrence_place(&first->mark).line);
	else
		buf_str(&where, "in another file");
	DIAG(s->diags, RULE_ORDER_AGAIN, occurrence_place(&again->mark), text_of(s, again->order), buf_slice(&where));
	buf_release(&where);
}

/* More sold (or issued) than is ordered; returns whether that was reported. */
static bool judge_sum(struct sales *s, const struct sales_use *u, const struct order_line *order, int64_t sum)
{
	struct buf have = BUF_INIT, want = BUF_INIT;

	if (sum <= order->pieces)
		return false;
	buf_int(&have, sum);
	buf_int(&want, order->pieces);
	DIAG(s->diags, u->sold ? RULE_ORDER_OVERSOLD : RULE_ORDER_OVERISSUED, place_at(u, u->count), text_of(s, u->order), buf_slice(&have),
		buf_slice(&want));
	buf_release(&have);
	buf_release(&want);
	return true;
}

/* Too many are reported once for each time that the order was stated. */
static void judge_uses(struct sales *s)
{
	const struct order_line *told = NULL;
	const struct sales_use *u;
	int64_t sum = 0;
	uint32_t of = 0;
	bool sold = false;

	for (; (u = spill_sort_next(&s->uses)); of = u->order, sold = u->sold) {
		const struct order_line *order = order_on(s, u->order, u->mark.day);

		if (u->order != of || u->sold != sold) {
			sum = 0;
			told = NULL;
		}
		sum += u->pieces;
		if (!order || s->symbols->symbol[u->order].half_read)
			continue;
		judge_party(s, u, order);
		judge_mass(s, u, order);
		if (order != told && judge_sum(s, u, order, sum))
			told = order;
	}
}

/* An order is not due before it was first made; a line that restates it may be later than that. */
static void judge_due(struct sales *s)
{
	const struct order_line *first = s->order;

	for (size_t i = 0; i < s->norders; i++) {
		const struct order_line *o = &s->order[i];
		struct buf day = BUF_INIT;

		if (o->order != first->order)
			first = o;
		if (o->due >= first->mark.day)
			continue;
		day_write(&day, first->mark.day);
		DIAG(s->diags, RULE_ORDER_DUE, occurrence_place(&o->due_mark), text_of(s, o->order), buf_slice(&day));
		buf_release(&day);
	}
}

static void judge_money(struct sales *s)
{
	for (int i = 0; i < 256; i++) {
		const struct currency_days *c = &s->money[i];

		if (c->priced && c->first_price.day < c->first_rate && !symbols_half_read(s->symbols, vocab_currency_code(i)))
			DIAG(s->diags, RULE_RATE_MISSING, occurrence_place(&c->first_price), vocab_currency_code(i), vocab_currency_code(s->currency));
	}
}

size_t sales_size(const struct sales *s)
{
	return s->norders + s->nbats;
}

void sales_end(struct sales *s)
{
	if (s->norders)
		qsort(s->order, s->norders, sizeof *s->order, by_order);
	for (size_t i = 1; i < s->norders; i++)
		judge_again(s, &s->order[i - 1], &s->order[i]);
	if (s->nbats)
		qsort(s->bat, s->nbats, sizeof *s->bat, by_bat);
	judge_uses(s);
	judge_due(s);
	judge_money(s);
}
