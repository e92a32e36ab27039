#include "check/slips.h"

#include <stdlib.h>

#include "base/int128.h"
#include "house/house_open.h"

struct slips_rate {
	int currency;
	int64_t is;
	struct occurrence mark;
};

struct slips_weight {
	size_t id, id_n;            /* what was weighed, in `texts` */
	size_t text, n;             /* its mass, there too */
	struct occurrence mark;
};

static struct house_plausible limits_of(const struct house *house)
{
	struct house *plain = house ? NULL : house_read(SLICE(""), NULL, NULL);
	struct house_plausible limits = house ? house->plausible : plain->plausible;

	if (plain)
		house_free(plain);
	return limits;
}

void slips_init(struct slips *p, const struct house *house, struct references *references, struct diags *diags)
{
	*p = (struct slips){ .house = house, .limits = limits_of(house), .references = references, .diags = diags };
}

void slips_release(struct slips *p)
{
	free(p->year);
	free(p->rate);
	free(p->weight);
	buf_release(&p->texts);
	memset(p, 0, sizeof *p);
}

/* ---- one value */

/* What a limit is of, and its key in the house file. */
struct limit {
	struct house_range range;
	const char *what, *key;
};

static void add_end(struct buf *out, int type, int64_t fix)
{
	value_write_fix(out, fix, vocab_type(type)->places);
	buf_add(out, vocab_type(type)->base);
}

static void add_range(struct buf *out, int type, struct house_range range)
{
	if (range.low != INT64_MIN)
		add_end(out, type, range.low);
	buf_str(out, "..");
	if (range.high != INT64_MAX)
		add_end(out, type, range.high);
}

/* The same number with another unit, if that is within the limits: 1410g for 1410kg. */
static bool add_other_unit(struct buf *out, int type, struct slice text, struct house_range range)
{
	const struct type_def *def = vocab_type(type);
	struct slice number = text;
	size_t start = out->n;
	struct value v;

	while (number.n && (number.p[number.n - 1] < '0' || number.p[number.n - 1] > '9'))
		number.n--;
	for (int unit = def->first_unit; unit < def->first_unit + def->nunits; unit++) {
		buf_add(out, number);
		buf_add(out, vocab_unit(unit)->name);
		if (!value_read(type, 0, slice_from(buf_slice(out), start), &v) && house_range_holds(range, v.fix))
			return true;
		out->n = start;
	}
	return false;
}

/* A range is outside if one of its ends is. */
static bool is_within(struct house_range range, const struct value *v)
{
	if (v->mark == VALUE_RANGE)
		return (v->fix == INT64_MIN || house_range_holds(range, v->fix)) && (v->high == INT64_MAX || house_range_holds(range, v->high));
	return v->mark != VALUE_EXACT || house_range_holds(range, v->fix);
}

static void report(struct slips *p, struct place place, struct slice key, int type, struct slice text, const struct limit *limit)
{
	struct buf range = BUF_INIT, mend = BUF_INIT;

	add_range(&range, type, limit->range);
	buf_str(&mend, "perhaps ");
	if (add_other_unit(&mend, type, text, limit->range))
		buf_str(&mend, "? Otherwise ");
	else
		mend.n = 0;
	buf_printf(&mend, "correct the value; if it is right, widen %s in the house file", limit->key);
	DIAG(p->diags, RULE_IMPLAUSIBLE, place, key, text, slice_of(limit->what), buf_slice(&range), buf_slice(&mend));
	buf_release(&range);
	buf_release(&mend);
}

/* Reports the first value of the field that is outside; false if there is none. */
static bool judge_items(struct slips *p, const struct line *l, int field, const struct limit *limit)
{
	const struct field *f = line_field(l, field);
	const struct item *item = NULL;

	for (size_t i = 0; f && !item && i < f->n; i++)
		if (!is_within(limit->range, &l->item[f->first + i].v))
			item = &l->item[f->first + i];
	if (!item)
		return false;
	report(p, line_place(l, item->text), f->key, f->use->type, item->text, limit);
	return true;
}

/* ---- masses */

static const struct house_type *type_of(const struct slips *p, const struct line *l)
{
	return p->house && line_field(l, FIELD_TYPE) ? house_type(p->house, line_word(l, FIELD_TYPE)) : NULL;
}

static bool is_bat(const struct line *l)
{
	bool ordered = l->event->id == EVENT_ORDER && !line_field(l, FIELD_FORM);   /* an order is for bats by default */

	return l->event->id == EVENT_FINISH || ordered || slice_eq(line_word(l, FIELD_FORM), SLICE("bat"));
}

static struct limit bat_limit(const struct slips *p)
{
	return (struct limit){ p->limits.bat, "a bat", "plausible: bat" };
}

/*
 * Of the pieces that the line weighs: a bat, one of a type that has its own masses, or any. The masses of
 * a type are those of its blades or handles; a cleft of the type, which a line without form= may weigh, has
 * several times as much.
 */
static struct limit mass_limit(const struct slips *p, const struct line *l)
{
	const struct house_type *type = type_of(p, l);
	bool blade = slice_eq(line_word(l, FIELD_FORM), SLICE("blade"));

	if (is_bat(l))
		return bat_limit(p);
	if (type && house_range_given(type->mass) && (blade || type->form == HOUSE_TYPE_FORM_HANDLE))
		return (struct limit){ type->mass, "a piece of that type", "the mass of the type" };
	return (struct limit){ p->limits.piece, "a piece of wood", "plausible: piece" };
}

/* A mass without a label is that of a whole charge or place, or of any number of pieces of a lot. */
static bool weighs_pieces(const struct line *l)
{
	const struct field *f = line_field(l, FIELD_MASS);

	return l->event->id != EVENT_WEIGH || (f->n && l->item[f->first].label.n) || is_bat(l);
}

static void judge_class(struct slips *p, const struct line *l)
{
	const struct item *mass = line_item(l, FIELD_MASS);
	int row = p->house ? house_index(p->house, HOUSE_CLASS, line_word(l, FIELD_CLASS)) : -1;
	struct buf range = BUF_INIT;

	if (row < 0 || !mass || mass->v.mark != VALUE_EXACT || house_range_holds(p->house->classes[row].mass, mass->v.fix))
		return;
	add_range(&range, TYPE_MASS, p->house->classes[row].mass);
	DIAG(p->diags, RULE_CLASS_MASS, line_place(l, mass->text), mass->text, p->house->classes[row].id, buf_slice(&range));
	buf_release(&range);
}

static void judge_masses(struct slips *p, const struct line *l)
{
	struct limit limit;

	switch (l->event->id) {
	case EVENT_JUDGE:
	case EVENT_FINISH:
	case EVENT_WEIGH:
		limit = mass_limit(p, l);
		if (line_field(l, FIELD_MASS) && weighs_pieces(l) && judge_items(p, l, FIELD_MASS, &limit))
			break;
		if (l->event->id == EVENT_JUDGE && line_field(l, FIELD_CLASS))
			judge_class(p, l);
		break;
	case EVENT_ORDER:
		limit = mass_limit(p, l);
		judge_items(p, l, FIELD_MASS, &limit);
		break;
	case EVENT_OVEN:
		limit = (struct limit){ p->limits.piece, "a piece of wood", "plausible: piece" };
		/* both are mostly wrong by the same slip */
		if (!judge_items(p, l, FIELD_WET, &limit))
			judge_items(p, l, FIELD_DRY, &limit);
		break;
	}
}

/* ---- air and trees */

static void judge_air(struct slips *p, const struct line *l)
{
	const struct house_place *place = p->house ? house_place(p->house, l->subject) : NULL;
	bool room = place && place->kind != HOUSE_PLACE_KIND_KILN;
	struct limit temp = { room ? p->limits.room_temp : p->limits.kiln_temp, room ? "the air of a room" : "the air of a kiln",
		room ? "plausible: room-temp" : "plausible: kiln-temp" };
	struct limit rh = { p->limits.rh, room ? "the air of a room" : "the air of a kiln", "plausible: rh" };

	judge_items(p, l, FIELD_TEMP, &temp);
	judge_items(p, l, FIELD_WETBULB, &temp);
	judge_items(p, l, FIELD_RH, &rh);
}

void slips_line(struct slips *p, const struct line *l)
{
	struct limit girth = { p->limits.girth, "the girth of a tree", "plausible: girth" };

	if (l->event->id == EVENT_AIR)
		judge_air(p, l);
	else if (l->event->id == EVENT_FELL)
		judge_items(p, l, FIELD_GIRTH, &girth);
	else
		judge_masses(p, l);
}

/* ---- years */

static int32_t year_of(int32_t day)
{
	struct buf text = BUF_INIT;
	int32_t year;

	day_write(&text, day);
	year = (int32_t)strtol(buf_cstr(&text), NULL, 10);
	buf_release(&text);
	return year;
}

/* The row of a year, made where there is none; a book has few. */
static struct slips_year *year_row(struct slips *p, int32_t year)
{
	size_t i = 0;

	while (i < p->nyears && p->year[i].year != year)
		i++;
	if (i == p->nyears) {
		p->year = mem_grow(p->year, &p->years_cap, p->nyears + 1, sizeof *p->year);
		p->year[p->nyears++] = (struct slips_year){ .year = year };
	}
	return &p->year[i];
}

static void keep_year(struct slips *p, const struct line *l)
{
	struct slips_year *row;
	struct occurrence mark;

	if (l->stamp.day != p->day || !p->nyears) {
		p->day = l->stamp.day;
		p->last_year = (size_t)(year_row(p, year_of(p->day)) - p->year);
	}
	row = &p->year[p->last_year];
	if (row->lines++ && l->stamp.day > row->first.day)
		return;
	mark = occurrence_of(l, l->date);
	if (row->lines == 1 || occurrence_cmp(&mark, &row->first) < 0)
		row->first = mark;
}

static int by_year(const void *a, const void *b)
{
	const struct slips_year *x = a, *y = b;

	return (x->year > y->year) - (x->year < y->year);
}

/* The rows from `i` on that no gap parts. */
static size_t run_end(const struct slips *p, size_t i)
{
	while (i + 1 < p->nyears && p->year[i + 1].year - p->year[i].year <= p->limits.years)
		i++;
	return i + 1;
}

static uint64_t lines_of(const struct slips *p, size_t from, size_t to)
{
	uint64_t lines = 0;

	for (; from < to; from++)
		lines += p->year[from].lines;
	return lines;
}

/* The first year of the run that has the most lines: the book's own time. */
static size_t main_run(const struct slips *p)
{
	uint64_t most = 0;
	size_t main = 0;

	for (size_t i = 0, k; i < p->nyears; i = k) {
		k = run_end(p, i);
		if (lines_of(p, i, k) > most) {
			most = lines_of(p, i, k);
			main = i;
		}
	}
	return main;
}

static void report_years(struct slips *p, size_t i, size_t main)
{
	const struct slips_year *near = &p->year[i > main ? run_end(p, main) - 1 : main];
	int32_t apart = abs(p->year[i].year - near->year);
	struct buf far = BUF_INIT, year = BUF_INIT;

	buf_printf(&far, "%ld years %s", (long)apart, i > main ? "after" : "before");
	buf_int(&year, near->year);
	DIAG(p->diags, RULE_DATE_FAR, occurrence_place(&p->year[i].first), buf_slice(&far), buf_slice(&year));
	buf_release(&far);
	buf_release(&year);
}

static void judge_years(struct slips *p)
{
	size_t main;

	if (p->nyears)
		qsort(p->year, p->nyears, sizeof *p->year, by_year);
	main = main_run(p);
	for (size_t i = 0; i < p->nyears; i = run_end(p, i))
		if (i != main)
			report_years(p, i, main);
}

/* ---- rates */

static void keep_rate(struct slips *p, const struct line *l)
{
	const struct item *is = line_item(l, FIELD_IS);

	p->rate = mem_grow(p->rate, &p->rates_cap, p->nrates + 1, sizeof *p->rate);
	p->rate[p->nrates++] = (struct slips_rate){ vocab_currency(l->subject.p) * 256 + is->v.unit, is->v.fix, occurrence_of(l, is->text) };
}

static int by_rate(const void *a, const void *b)
{
	const struct slips_rate *x = a, *y = b;

	return x->currency != y->currency ? x->currency - y->currency : occurrence_cmp(&x->mark, &y->mark);
}

static bool are_far(const struct slips *p, const struct slips_rate *a, const struct slips_rate *b)
{
	return (int128)a->is > (int128)b->is * p->limits.rate || (int128)b->is > (int128)a->is * p->limits.rate;
}

/* The rate of the same currency that is so many rows away, or NULL. */
static const struct slips_rate *rate_beside(const struct slips *p, size_t i, long away)
{
	size_t at = i + (size_t)away;

	return at < p->nrates && p->rate[at].currency == p->rate[i].currency ? &p->rate[at] : NULL;
}

/* A rate is wrong if it is far from the rates on both sides; the first and the last have two on one side. */
static void judge_rate(struct slips *p, size_t i)
{
	const struct slips_rate *r = &p->rate[i], *before = rate_beside(p, i, -1), *after = rate_beside(p, i, 1);
	const struct slips_rate *near = before ? before : after;
	const struct slips_rate *other_side = before && after ? after : rate_beside(p, i, before ? -2 : 2);
	struct buf is = BUF_INIT, other = BUF_INIT;

	if (!near || !are_far(p, r, near) || (other_side ? !are_far(p, r, other_side) : !before))
		return;
	value_write_fix(&is, r->is, vocab_type(TYPE_RATE)->places);
	value_write_fix(&other, near->is, vocab_type(TYPE_RATE)->places);
	DIAG(p->diags, RULE_RATE_FAR, occurrence_place(&r->mark), vocab_currency_code(r->currency / 256), buf_slice(&is), buf_slice(&other));
	buf_release(&is);
	buf_release(&other);
}

/* ---- weights of bats */

/* A mass that is no bat's, without a label: of a load, of pieces of a lot, or a slip for that of a bat. */
static void keep_weight(struct slips *p, const struct line *l)
{
	const struct field *f = line_field(l, FIELD_MASS);
	const struct item *mass = NULL;

	for (size_t i = 0; f && !mass && i < f->n; i++)
		if (!is_within(p->limits.bat, &l->item[f->first + i].v))
			mass = &l->item[f->first + i];
	if (!mass || weighs_pieces(l))
		return;
	p->weight = mem_grow(p->weight, &p->weights_cap, p->nweights + 1, sizeof *p->weight);
	p->weight[p->nweights++] = (struct slips_weight){ p->texts.n, l->subject.n, p->texts.n + l->subject.n, mass->text.n, occurrence_of(l, mass->text) };
	buf_add(&p->texts, l->subject);
	buf_add(&p->texts, mass->text);
}

static void judge_weights(struct slips *p)
{
	struct limit limit = bat_limit(p);

	for (size_t i = 0; i < p->nweights; i++) {
		const struct slips_weight *w = &p->weight[i];
		struct slice id = slice_upto(slice_from(buf_slice(&p->texts), w->id), w->id_n), mass = slice_upto(slice_from(buf_slice(&p->texts), w->text), w->n);

		if (references_is(p->references, intern_find(p->references->symbols->ids, id), SUBJECT_BAT))
			report(p, occurrence_place(&w->mark), SLICE("mass"), TYPE_MASS, mass, &limit);
	}
}

void slips_keep(struct slips *p, const struct line *l)
{
	keep_year(p, l);
	if (l->event->id == EVENT_WEIGH)
		keep_weight(p, l);
	if (l->event->id == EVENT_RATE)
		keep_rate(p, l);
}

void slips_end(struct slips *p)
{
	judge_years(p);
	judge_weights(p);
	if (p->nrates)
		qsort(p->rate, p->nrates, sizeof *p->rate, by_rate);
	for (size_t i = 0; i < p->nrates; i++)
		judge_rate(p, i);
}
