#include "cost/cost_book.h"

#include <stdlib.h>

#include "book/line.h"
#include "cost/money.h"
#include "house/house.h"
#include "table/number_text.h"

const char *const cost_use_words[] = { "timber", "handles", "drying", "other", NULL };

enum { YEAR = 365, PERIOD_MOST = 100 * 366 };

/* Minor units. */
#define SUM_MOST ((int64_t)100000000000000000)

/* What the book says of a word. */
struct cost_word {
	unsigned role;
	uint32_t kiln, parcel;     /* of a charge, of a tree */
	int32_t born, found, out;  /* the last day on which pieces of a lot came in, were found, of a charge came out; INT32_MIN */
	uint32_t window;           /* its first entry: index + 1 */
	uint32_t first, next;      /* of a kiln or a parcel its first charge or tree; the next of these */
	uint32_t clefts;           /* of a tree: index + 1 */
	int64_t cleft;             /* pieces of a lot that came in from trees */
};

/* Pieces of one grade that were sold. */
struct cost_sale {
	uint32_t grade;
	int32_t day;
	int unit;
	int64_t n, paid;
};

void cost_book_init(struct cost_book *c, const struct house *house, struct intern *ids)
{
	*c = (struct cost_book){ .house = house, .ids = ids, .own = house ? house->currency : -1 };
}

void cost_book_release(struct cost_book *c)
{
	rates_release(&c->rates);
	free(c->entry);
	free(c->element);
	free(c->word);
	free(c->cleft);
	free(c->sale);
	free(c->worth);
	free(c->wrong);
	*c = (struct cost_book){ .house = NULL };
}

/* ---- entries */

bool cost_entry_is_spread(const struct cost_entry *e)
{
	return e->spread != HOUSE_COST_SPREAD_NONE;
}

/* ---- words */

static struct cost_word *word_of(struct cost_book *c, uint32_t id)
{
	size_t had = c->words_cap;

	c->word = mem_grow(c->word, &c->words_cap, id + 1u, sizeof *c->word);
	for (size_t i = had; i < c->words_cap; i++)
		c->word[i] = (struct cost_word){ .born = INT32_MIN, .found = INT32_MIN, .out = INT32_MIN };
	return &c->word[id];
}

static uint32_t mark(struct cost_book *c, struct slice name, unsigned role)
{
	uint32_t *memo = &c->memo[role & COST_MEMOS];
	uint32_t id = intern_memo(c->ids, memo, name);

	if (id)
		word_of(c, id)->role |= role;
	return id;
}

unsigned cost_book_role(const struct cost_book *c, uint32_t id)
{
	return id < c->words_cap ? c->word[id].role : 0;
}

uint32_t cost_book_kiln(const struct cost_book *c, uint32_t charge)
{
	return cost_book_role(c, charge) & COST_CHARGE ? c->word[charge].kiln : 0;
}

uint32_t cost_book_first(const struct cost_book *c, uint32_t kiln_or_parcel)
{
	return kiln_or_parcel < c->words_cap ? c->word[kiln_or_parcel].first : 0;
}

uint32_t cost_book_next(const struct cost_book *c, uint32_t charge_or_tree)
{
	return c->word[charge_or_tree].next;
}

uint32_t cost_book_clefts(const struct cost_book *c, uint32_t tree)
{
	return tree < c->words_cap ? c->word[tree].clefts : 0;
}

int64_t cost_book_cleft(const struct cost_book *c, uint32_t lot)
{
	return lot < c->words_cap ? c->word[lot].cleft : 0;
}

uint32_t cost_book_window(const struct cost_book *c, uint32_t id)
{
	return id < c->words_cap ? c->word[id].window : 0;
}

uint32_t cost_book_windows(const struct cost_book *c, uint32_t id, uint32_t *kiln)
{
	*kiln = cost_book_role(c, id) & COST_CHARGE ? cost_book_window(c, c->word[id].kiln) : 0;
	return cost_book_window(c, id);
}

static bool is_of_handles(const struct line *l)
{
	return slice_eq(line_word(l, FIELD_FORM), vocab_form(FORM_HANDLE));
}

static unsigned handles_of(const struct line *l)
{
	return is_of_handles(l) ? COST_HANDLES : 0u;
}

/* A lot came in, which is something else too. */
static uint32_t mark_born(struct cost_book *c, const struct line *l, unsigned role)
{
	uint32_t id = mark(c, l->subject, COST_LOT | role);
	struct cost_word *lot = word_of(c, id);

	lot->born = l->stamp.day > lot->born ? l->stamp.day : lot->born;
	return id;
}

/* Pieces that a tally finds of a lot that came in otherwise do not make its costs wait. */
static void mark_found(struct cost_book *c, const struct line *l)
{
	struct cost_word *lot = word_of(c, mark(c, l->subject, COST_LOT | handles_of(l)));

	lot->found = l->stamp.day > lot->found ? l->stamp.day : lot->found;
}

static void mark_tree(struct cost_book *c, const struct line *l)
{
	uint32_t parcel = mark(c, line_word(l, FIELD_PARCEL), COST_PARCEL), tree = mark(c, l->subject, COST_TREE);

	if (parcel)
		c->word[tree].parcel = parcel;
}

static void mark_cleft(struct cost_book *c, const struct line *l)
{
	uint32_t tree = mark(c, line_word(l, FIELD_TREE), COST_TREE), lot;
	int64_t n = line_sum(l, FIELD_COUNT) + line_sum(l, FIELD_CULL);

	lot = mark_born(c, l, 0);
	c->cleft = mem_grow(c->cleft, &c->clefts_cap, c->nclefts + 1, sizeof *c->cleft);
	c->cleft[c->nclefts++] = (struct cost_cleft){ lot, tree, n, c->word[tree].clefts };
	c->word[tree].clefts = (uint32_t)c->nclefts;
	c->word[lot].cleft += n;
}

static void mark_charge(struct cost_book *c, const struct line *l)
{
	uint32_t kiln = mark(c, line_word(l, FIELD_KILN), COST_KILN), charge = mark(c, l->subject, COST_CHARGE);

	c->word[charge].kiln = kiln;
}

static void mark_unloaded(struct cost_book *c, const struct line *l)
{
	struct cost_word *charge = word_of(c, mark(c, l->subject, COST_CHARGE));

	charge->out = l->stamp.day > charge->out ? l->stamp.day : charge->out;
}

/* What the words of a line are. */
static void mark_words(struct cost_book *c, const struct line *l)
{
	switch (l->event->id) {
	case EVENT_FELL:
		mark_tree(c, l);
		break;
	case EVENT_CLEAVE:
		mark_cleft(c, l);
		break;
	case EVENT_BUY:
		mark_born(c, l, handles_of(l));
		break;
	case EVENT_TALLY:
		if (line_sum(l, FIELD_FOUND))
			mark_found(c, l);
		break;
	case EVENT_POOL:
		mark(c, l->subject, COST_LOT | COST_POOL);
		break;
	case EVENT_MAKE:
		mark_born(c, l, COST_BAT);
		break;
	case EVENT_LOAD:
		mark_charge(c, l);
		break;
	case EVENT_UNLOAD:
		mark_unloaded(c, l);
		break;
	case EVENT_ORDER:
		mark(c, l->subject, COST_ORDER);
		break;
	}
	if (l->event->stock.moves && !(c->house && c->house->nplaces) && line_field(l, FIELD_INTO))
		mark(c, line_word(l, FIELD_INTO), COST_PLACE);
}

/* ---- money */

static void set_window(struct cost_entry *e, const struct line *l)
{
	const struct item *over = line_item(l, FIELD_OVER);

	e->from = e->day - (YEAR - 1);
	e->to = e->day;
	e->has_over = over != NULL;
	if (!over)
		return;
	e->from = (int32_t)over->v.fix;
	e->to = (int32_t)over->v.fix;
	if (over->v.mark != VALUE_RANGE)
		return;
	e->from = over->v.fix == INT64_MIN ? e->day - (YEAR - 1) : (int32_t)over->v.fix;
	e->to = over->v.high == INT64_MAX ? e->day : (int32_t)over->v.high;
	if (e->to < e->from)
		e->to = e->from;
}

static uint32_t kind_of(struct cost_book *c, const struct line *l)
{
	if (l->event->id == EVENT_COST)
		return intern_memo(c->ids, &c->memo[0], line_word(l, FIELD_KIND));
	if (l->event->id == EVENT_CREDIT)
		return intern_id(c->ids, SLICE("credit"));
	return intern_id(c->ids, is_of_handles(l) ? SLICE("handle") : SLICE("timber"));
}

static void add_entry(struct cost_book *c, const struct line *l, const struct item *price)
{
	const struct item *energy = line_item(l, FIELD_ENERGY);
	int64_t paid = l->event->id == EVENT_CREDIT ? -price->v.fix : price->v.fix;
	struct cost_entry e = { .day = l->stamp.day, .event = l->event->id, .file = l->file, .line = l->number, .col = line_col(l, price->text),
		.subject = intern_id(c->ids, l->subject), .kind = kind_of(c, l), .unit = price->v.unit, .paid = paid,
		.energy = energy ? energy->v.fix : -1 };

	e.event_name = l->event->name;
	e.name = intern_text(c->ids, e.subject);
	e.kind_name = intern_text(c->ids, e.kind);
	set_window(&e, l);
	e.whole_from = e.from;
	e.whole_to = e.to;
	c->entry = mem_grow(c->entry, &c->cap, c->n + 1, sizeof *c->entry);
	c->entry[c->n++] = e;
}

/* A sale of pieces of one grade that the line names. */
static void add_sale(struct cost_book *c, const struct line *l, const struct item *price)
{
	struct slice grade = line_word(l, FIELD_GRADE);
	int64_t n = line_sum(l, FIELD_COUNT);

	if (!c->by_sales || !grade.n || grade.p[0] == '-' || n < 1)
		return;
	c->sale = mem_grow(c->sale, &c->sales_cap, c->nsales + 1, sizeof *c->sale);
	c->sale[c->nsales++] = (struct cost_sale){ intern_id(c->ids, grade), l->stamp.day, price->v.unit, n, price->v.fix };
}

void cost_book_add(struct cost_book *c, const struct line *l)
{
	const struct item *price = line_item(l, FIELD_PRICE);

	mark_words(c, l);
	if (l->event->id == EVENT_RATE)
		rates_add(&c->rates, l);
	if (!price)
		return;
	if (l->event->id == EVENT_SELL)
		add_sale(c, l, price);
	else if (l->event->id != EVENT_ORDER)
		add_entry(c, l, price);
}

/* ---- at the end: what each entry is for */

static void mark_places(struct cost_book *c)
{
	for (size_t i = 0; c->house && i < c->house->nplaces; i++) {
		struct cost_word *w = word_of(c, mark(c, c->house->places[i].id, 0));

		w->role = (w->role & ~(unsigned)(COST_PLACE | COST_KILN)) | (c->house->places[i].kind == HOUSE_PLACE_KIND_KILN ? COST_KILN : COST_PLACE);
	}
}

/* The one of its subject's roles that counts. */
static unsigned role_of(const struct cost_book *c, uint32_t subject)
{
	static const unsigned ORDER[] = { COST_KILN, COST_TREE, COST_PARCEL, COST_CHARGE, COST_BAT, COST_POOL, COST_LOT, COST_ORDER, COST_PLACE };
	unsigned role = cost_book_role(c, subject);

	for (size_t i = 0; i < sizeof ORDER / sizeof *ORDER; i++)
		if (role & ORDER[i])
			return ORDER[i];
	return 0;
}

static enum cost_use use_of(const struct cost_book *c, const struct cost_entry *e)
{
	if (e->role & (COST_CHARGE | COST_KILN))
		return COST_FOR_DRYING;
	if (cost_book_role(c, e->subject) & COST_HANDLES)
		return COST_FOR_HANDLES;
	return e->role & (COST_TREE | COST_PARCEL | COST_LOT | COST_POOL) ? COST_FOR_TIMBER : COST_FOR_OTHER;
}

static int spread_of(const struct cost_book *c, const struct cost_entry *e)
{
	struct slice kind = intern_text(c->ids, e->kind);
	bool timber = e->event == EVENT_CREDIT || slice_eq(kind, SLICE("timber"));
	int row = c->house ? house_index(c->house, HOUSE_COST, e->event == EVENT_CREDIT ? SLICE("timber") : kind) : -1;

	if (e->role == COST_ORDER)
		return HOUSE_COST_SPREAD_NONE;
	if (e->event != EVENT_COST && cost_book_role(c, e->subject) & COST_HANDLES && slice_eq(kind, SLICE("credit")))
		return HOUSE_COST_SPREAD_BY_PIECE;
	if (row >= 0 && c->house->costs[row].spread >= 0 && c->house->costs[row].spread < HOUSE_COST_SPREAD_END)
		return c->house->costs[row].spread;
	return timber ? HOUSE_COST_SPREAD_BY_WORTH : HOUSE_COST_SPREAD_BY_PIECE;
}

static uint32_t element_of(struct cost_book *c, const struct cost_entry *e)
{
	enum cost_use use = use_of(c, e);
	bool by_worth = e->spread == HOUSE_COST_SPREAD_BY_WORTH;
	uint32_t i = 0;

	while (i < c->nelements && (c->element[i].use != use || c->element[i].kind != e->kind || c->element[i].by_worth != by_worth))
		i++;
	if (i == c->nelements) {
		c->element = mem_grow(c->element, &c->elements_cap, c->nelements + 1, sizeof *c->element);
		c->element[c->nelements++] = (struct cost_element){ use, e->kind, by_worth };
	}
	return i;
}

/* ---- when it is put on its pieces */

/* The last day on which pieces of a tree came in. */
static int32_t born_of_tree(const struct cost_book *c, uint32_t tree)
{
	int32_t last = INT32_MIN;

	for (uint32_t k = cost_book_clefts(c, tree); k; k = c->cleft[k - 1].next)
		if (c->word[c->cleft[k - 1].lot].born > last)
			last = c->word[c->cleft[k - 1].lot].born;
	return last;
}

static int32_t born_of_parcel(const struct cost_book *c, uint32_t parcel)
{
	int32_t last = INT32_MIN;

	for (uint32_t tree = cost_book_first(c, parcel); tree; tree = cost_book_next(c, tree)) {
		int32_t born = born_of_tree(c, tree);

		last = born > last ? born : last;
	}
	return last;
}

static int32_t ready_of(const struct cost_book *c, const struct cost_entry *e, int32_t today)
{
	const struct cost_word *w = e->subject < c->words_cap ? &c->word[e->subject] : NULL;

	switch (e->role) {
	case COST_TREE:
		return born_of_tree(c, e->subject);
	case COST_PARCEL:
		return born_of_parcel(c, e->subject);
	case COST_LOT:
	case COST_BAT:
		return w->born == INT32_MIN ? w->found : w->born;
	case COST_CHARGE:
		return w->out == INT32_MIN ? today : w->out;
	case COST_KILN:
	case COST_PLACE:
		return e->to;
	default:
		return INT32_MIN;
	}
}

static void set_apply(const struct cost_book *c, struct cost_entry *e, int32_t today)
{
	int32_t ready = ready_of(c, e, today);

	e->apply = ready > e->day ? ready : e->day;
	if (e->apply > today)
		e->apply = today;
}

/* The charges of each kiln and the trees of each parcel. A charge is no tree, so that one chain serves both. */
static void link_words(struct cost_book *c)
{
	for (uint32_t id = 1; id < c->ids->n; id++) {
		struct cost_word *w = &c->word[id];
		uint32_t to = w->role & COST_CHARGE ? w->kiln : w->role & COST_TREE ? w->parcel : 0;

		if (!to)
			continue;
		w->next = c->word[to].first;
		c->word[to].first = id;
	}
}

/* Whether the pieces are those that were at a place in a time. */
static bool has_window(const struct cost_entry *e)
{
	return e->role & (COST_CHARGE | COST_KILN | COST_PLACE) && cost_entry_is_spread(e);
}

static void settle(struct cost_book *c)
{
	for (size_t i = 0; i < c->n; i++) {
		struct cost_entry *e = &c->entry[i];

		e->role = role_of(c, e->subject);
		e->spread = spread_of(c, e);
		e->element = element_of(c, e);
	}
}

static void link_windows(struct cost_book *c)
{
	for (size_t i = c->n; i-- > 0;) {
		struct cost_entry *e = &c->entry[i];

		if (!has_window(e))
			continue;
		e->next_window = c->word[e->subject].window;
		c->word[e->subject].window = (uint32_t)i + 1;
	}
}

/* The entries of one line, which follow each other. */
static void link_parts(struct cost_book *c)
{
	for (size_t i = 0, k; i < c->n; i = k) {
		for (k = i; k < c->n && c->entry[k].file == c->entry[i].file && c->entry[k].line == c->entry[i].line; k++)
			;
		for (size_t m = i; m < k; m++) {
			c->entry[m].first_part = (uint32_t)i;
			c->entry[m].nparts = (uint32_t)(k - i);
		}
	}
}

/* ---- periods */

/* The last day of the month that a day is in. */
static int32_t month_end(int32_t day)
{
	int year, month, date;

	day_split(day, &year, &month, &date);
	return day + month_length(year, month) - date;
}

/* Cuts an entry at the ends of the months of its period. */
static void cut_entry(struct cost_book *c, size_t at)
{
	struct cost_entry whole = c->entry[at];
	int64_t done = 0, days = (int64_t)whole.to - whole.from + 1;

	for (int32_t from = whole.from, to; from <= whole.to; from = to + 1) {
		struct cost_entry part = whole;

		to = month_end(from);
		to = to > whole.to ? whole.to : to;
		part.from = from;
		part.to = to;
		part.amount = money_part(whole.amount, (int64_t)to - whole.from + 1, days) - done;
		done += part.amount;
		part.energy = whole.energy < 0 ? -1 : money_part(whole.energy, (int64_t)to - from + 1, days);
		c->entry = mem_grow(c->entry, &c->cap, c->n + 1, sizeof *c->entry);
		if (from == whole.from)
			c->entry[at] = part;
		else
			c->entry[c->n++] = part;
	}
}

static void cut_periods(struct cost_book *c)
{
	size_t n = c->n;

	for (size_t i = 0; i < n; i++) {
		const struct cost_entry *e = &c->entry[i];

		if (e->has_over && e->role & (COST_KILN | COST_PLACE) && cost_entry_is_spread(e) && e->to > month_end(e->from) && e->to - e->from < PERIOD_MOST)
			cut_entry(c, i);
	}
}

/* ---- in the works' currency */

static void add_wrong(struct cost_book *c, size_t entry, enum cost_fault fault)
{
	c->wrong = mem_grow(c->wrong, &c->wrong_cap, c->nwrong + 1, sizeof *c->wrong);
	c->wrong[c->nwrong++] = (struct cost_wrong){ entry, fault };
}

/* A book of one currency needs no house file to say which. */
static void find_own(struct cost_book *c)
{
	if (c->own < 0 && c->n)
		c->own = c->entry[0].unit;
	else
		return;
	for (size_t i = 1; i < c->n; i++)
		if (c->entry[i].unit != c->own) {
			add_wrong(c, i, COST_NO_CURRENCY);
			return;
		}
}

static void convert(struct cost_book *c, size_t i)
{
	struct cost_entry *e = &c->entry[i];
	const struct rate *rate;

	e->amount = e->paid;
	e->rate_day = e->day;
	if (e->unit == c->own)
		return;
	rate = rates_on(&c->rates, e->unit, c->own, e->day);
	e->amount = 0;
	if (!rate) {
		add_wrong(c, i, COST_NO_RATE);
		return;
	}
	e->rate = rate->is;
	e->rate_day = rate->day;
	if (!money_convert(e->paid, vocab_currency_places(e->unit), rate->is, c->places, &e->amount))
		add_wrong(c, i, COST_TOO_LARGE);
}

/* All amounts together must stay far below 2^63, for sums of them are made. */
static void check_sizes(struct cost_book *c)
{
	int64_t sum = 0;

	for (size_t i = 0; i < c->n; i++) {
		int64_t size = c->entry[i].amount < 0 ? -c->entry[i].amount : c->entry[i].amount;

		if (size > SUM_MOST || (sum += size) > SUM_MOST) {
			add_wrong(c, i, COST_TOO_LARGE);
			return;
		}
	}
}

static void set_sales(struct cost_book *c)
{
	int64_t *n = mem_zeroed(c->ids->n, sizeof *n);

	c->nworth = c->ids->n;
	c->worth = mem_zeroed(c->nworth, sizeof *c->worth);
	for (size_t i = 0; i < c->nsales; i++) {
		const struct cost_sale *s = &c->sale[i];
		const struct rate *rate = s->unit == c->own ? NULL : rates_on(&c->rates, s->unit, c->own, s->day);
		int64_t amount = s->paid;

		if (s->unit != c->own && !(rate && money_convert(s->paid, vocab_currency_places(s->unit), rate->is, c->places, &amount)))
			continue;
		c->worth[s->grade] += amount;
		n[s->grade] += s->n;
	}
	for (size_t i = 0; i < c->nworth; i++)
		c->worth[i] = n[i] ? money_part(c->worth[i], 1, n[i]) : 0;
	free(n);
}

/* ---- the order of the entries, which must not depend on that of the files */

static int by_content(const void *a, const void *b)
{
	const struct cost_entry *x = a, *y = b;
	int order;

#define BY(f) do { if (x->f != y->f) return x->f < y->f ? -1 : 1; } while (0)
	BY(day);
	BY(event);
	order = slice_cmp(x->name, y->name);
	order = order ? order : slice_cmp(x->kind_name, y->kind_name);
	order = order ? order : slice_cmp(vocab_currency_code(x->unit), vocab_currency_code(y->unit));
	if (order)
		return order;
	BY(paid);
	BY(whole_from);
	BY(whole_to);
	BY(file);
	BY(line);
	BY(from);
#undef BY
	return 0;
}

static void sort_entries(struct cost_book *c)
{
	if (c->n)
		qsort(c->entry, c->n, sizeof *c->entry, by_content);
}

void cost_book_end(struct cost_book *c, int32_t today)
{
	word_of(c, c->ids->n);
	mark_places(c);
	link_words(c);
	sort_entries(c);
	settle(c);
	find_own(c);
	c->places = c->own < 0 ? 2 : vocab_currency_places(c->own);
	if (c->nwrong)
		return;
	for (size_t i = 0; i < c->n; i++)
		convert(c, i);
	if (!c->nwrong)
		check_sizes(c);
	if (c->nwrong)
		return;
	cut_periods(c);
	sort_entries(c);
	link_windows(c);
	link_parts(c);
	for (size_t i = 0; i < c->n; i++)
		set_apply(c, &c->entry[i], today);
	if (c->by_sales)
		set_sales(c);
}

/* ---- asking */

int64_t cost_book_worth(const struct cost_book *c, int32_t day, uint32_t grade)
{
	const struct house_scheme *scheme;
	struct slice name = intern_text(c->ids, grade);

	if (c->by_sales)
		return grade < c->nworth && c->worth[grade] > 0 ? c->worth[grade] : -1;
	scheme = c->house && grade ? house_scheme_on(c->house, day) : NULL;
	for (size_t i = 0; scheme && i < scheme->list.n && i < scheme->worth.n; i++)
		if (slice_eq(scheme->list.word[i], name))
			return (int64_t)(scheme->worth.number[i] * 10000 + 0.5);
	return -1;
}

void cost_book_money(const struct cost_book *c, int64_t amount, struct buf *out)
{
	buf_fixed(out, amount, (unsigned)c->places);
	if (c->own >= 0) {
		buf_char(out, ' ');
		buf_add(out, vocab_currency_code(c->own));
	}
}

static void say_no_rate(const struct cost_book *c, const struct cost_entry *e, struct buf *out)
{
	struct slice code = vocab_currency_code(e->unit), own = vocab_currency_code(c->own);

	buf_printf(out, "the price in %.*s cannot be converted: no %.*s rate in %.*s on or before ", (int)code.n, code.p, (int)code.n, code.p,
		(int)own.n, own.p);
	day_write(out, e->day);
	buf_str(out, "; add a line with the right rate, such as ");
	day_write(out, e->day);
	buf_printf(out, " rate %.*s is=1.25%.*s", (int)code.n, code.p, (int)own.n, own.p);
}

bool cost_book_say_wrong(const struct cost_book *c, size_t i, struct buf *out)
{
	const struct cost_entry *e = &c->entry[c->wrong[i].entry];
	struct slice code = vocab_currency_code(e->unit);

	for (size_t k = 0; k < i; k++)
		if (c->wrong[k].fault == c->wrong[i].fault && c->entry[c->wrong[k].entry].unit == e->unit)
			return false;
	switch (c->wrong[i].fault) {
	case COST_NO_RATE:
		say_no_rate(c, e, out);
		break;
	case COST_NO_CURRENCY:
		buf_printf(out, "the book has prices in several currencies, and no house file says which is the works' own; add it there, such as currency: %.*s",
			(int)code.n, code.p);
		break;
	case COST_TOO_LARGE:
		buf_printf(out, "with this price in %.*s the costs of the book add up to more than 10^17 minor units; correct the price or the rate", (int)code.n, code.p);
		break;
	}
	return true;
}

void cost_book_say_all_wrong(const struct cost_book *c, const char *const *path, struct buf *out)
{
	for (size_t i = 0; i < c->nwrong; i++) {
		const struct cost_entry *e = &c->entry[c->wrong[i].entry];
		struct buf text = BUF_INIT;

		if (cost_book_say_wrong(c, i, &text))
			buf_printf(out, "%s:%llu:%u: error: %s\n", strcmp(path[e->file], "-") == 0 ? "standard input" : path[e->file],
				(unsigned long long)e->line, e->col, buf_cstr(&text));
		buf_release(&text);
	}
}
