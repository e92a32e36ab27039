/*
 * wy-grade - what blades were graded as: counts, and shares with their intervals.
 */
#include "text.h"
#include "vocab_words.h"
#include "vocab.h"
#include "value.h"
#include "stamp.h"
#include "diag.h"
#include "parse.h"
#include "reader.h"
#include "opt.h"
#include "table.h"
#include "tool.h"
#include "tool_book.h"
#include "house_words.h"
#include "house.h"
#include "intern.h"
#include "stock.h"
#include "origin.h"
#include "wide.h"
#include "stats.h"

#include <stdlib.h>

#include "mem.h"

enum { KEY_TREE, KEY_PARCEL, KEY_SUPPLIER, KEY_CHARGE, KEY_LOT, KEY_TYPE, KEY_GRADER, KEY_MONTH, KEY_WAS, KEYS };

static const char *const KEY_WORDS[] = { "tree", "parcel", "supplier", "charge", "lot", "type", "grader", "month", "was", NULL };

static const char *by_text = "", *from_text, *to_text;
static int64_t baseline_months;
static bool wide_rows, regrades;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &by_text, "KEY,...", "rows for each of these: some of tree, parcel, supplier, charge,\nlot, type, grader, month"),
	OPT_DATE(0, "from", &from_text, "only gradings of this day and later"),
	OPT_DATE(0, "to", &to_text, "only gradings of this day and before"),
	OPT_INT(0, "baseline", &baseline_months, "MONTHS", 1, 1200, "beside it the shares of so many months before --from"),
	OPT_FLAG(0, "regrades", &regrades, "of blades that were graded again, what they became; the key\n`was` is their grade before"),
	OPT_FLAG(0, "wide", &wide_rows, "one row for each, a column of shares for each grade"),
	OPT_PART(tool_house_options),
	OPT_PART(tool_form_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-grade",
	.purpose = "what blades were graded as, with the interval of each share",
	.usage = "[--by KEY,...] [options] [FILE...]",
	.options = options,
	.exits = "0  done\n1  nothing was graded, or the book does not add up\n2  wrong use, or something could not be read or written",
	.example = "wy-grade --by supplier --wide book.wy    the mix of grades that each supplier's wood gave",
};

/* The blades of one row's keys. */
struct group {
	struct slice key[KEYS];
	int64_t of, before;        /* looked at in the period, and in the baseline before it */
};

/* Those of them that got one grade, or were culled. */
struct cell {
	int64_t now, before;
};

struct answer {
	struct book book;
	struct stock stock;
	struct origins origins;
	struct intern months, groups, grades, cells; /* of the last three, number - 1 is the index below */
	struct group *group;
	struct cell *cell;
	size_t groups_cap, cells_cap;
	uint32_t *charge;          /* by lot id: the last charge that it came out of, or ORIGIN_MIXED */
	int key[KEYS];             /* chosen, in the order given */
	size_t nkeys;
	int32_t from, to, baseline;
};

enum { CULLED = 1 };               /* the number of that word in `grades` */

/* ---- the keys of a piece */

static struct slice id_text(const struct answer *a, uint32_t id)
{
	return id == ORIGIN_MIXED ? SLICE("several") : stock_text(&a->stock, id);
}

static struct slice origin_text(const struct answer *a, uint32_t lot, enum origin_key key)
{
	return id_text(a, origins_key(&a->origins, lot, key));
}

static struct slice month_text(struct answer *a, int32_t day)
{
	struct buf text = BUF_INIT;
	uint32_t id;

	day_write(&text, day);
	id = intern_id(&a->months, slice_upto(buf_slice(&text), 7));
	buf_release(&text);
	return intern_text(&a->months, id);
}

static struct slice key_text(struct answer *a, int key, const struct stock_flow *f)
{
	switch (key) {
	case KEY_TREE:
		return origin_text(a, f->from.lot, ORIGIN_TREE);
	case KEY_PARCEL:
		return origin_text(a, f->from.lot, ORIGIN_PARCEL);
	case KEY_SUPPLIER:
		return origin_text(a, f->from.lot, ORIGIN_SUPPLIER);
	case KEY_CHARGE:
		return id_text(a, a->charge[f->from.lot]);
	case KEY_LOT:
		return stock_text(&a->stock, f->from.lot);
	case KEY_TYPE:
		return stock_text(&a->stock, f->from.type);
	case KEY_GRADER:
		return stock_text(&a->stock, f->op->by);
	case KEY_MONTH:
		return month_text(a, f->op->day);
	default:
		return stock_text(&a->stock, f->from.grade);
	}
}

static size_t group_of(struct answer *a, const struct stock_flow *f)
{
	struct buf joined = BUF_INIT;
	struct group g = { .of = 0 };
	uint32_t had = a->groups.n, id;

	buf_char(&joined, '\n');
	for (size_t i = 0; i < a->nkeys; i++) {
		g.key[i] = key_text(a, a->key[i], f);
		buf_add(&joined, g.key[i]);
		buf_char(&joined, '\n');
	}
	id = intern_id(&a->groups, buf_slice(&joined));
	buf_release(&joined);
	if (id == had) {
		a->group = mem_grow(a->group, &a->groups_cap, id, sizeof *a->group);
		a->group[id - 1] = g;
	}
	return id - 1;
}

static struct cell *cell_of(struct answer *a, size_t group, uint32_t grade)
{
	uint64_t both = (uint64_t)group << 32 | grade;
	uint32_t had = a->cells.n, id = intern_id(&a->cells, (struct slice){ (const char *)&both, sizeof both });

	if (id == had) {
		a->cell = mem_grow(a->cell, &a->cells_cap, id, sizeof *a->cell);
		a->cell[id - 1] = (struct cell){ 0, 0 };
	}
	return &a->cell[id - 1];
}

/* ---- what is counted */

static void count_grade(struct answer *a, const struct stock_flow *f)
{
	bool now = f->op->day >= a->from && f->op->day <= a->to;
	bool before = f->op->day >= a->baseline && f->op->day < a->from;
	bool again = f->from.grade != 0;
	size_t group;
	struct cell *cell;

	if ((!now && !before) || again != regrades)
		return;
	group = group_of(a, f);
	cell = cell_of(a, group, f->change == STOCK_LOST ? (uint32_t)CULLED : intern_id(&a->grades, stock_text(&a->stock, f->to.grade)));
	*(now ? &cell->now : &cell->before) += f->n;
	*(now ? &a->group[group].of : &a->group[group].before) += f->n;
}

/* A lot's charge is the one that it came out of last; a pool's, its parents' if that is one. */
static void follow_charge(struct answer *a, const struct stock_flow *f)
{
	uint32_t *to = &a->charge[f->to.lot];

	if (f->op->event->id == EVENT_UNLOAD)
		a->charge[f->from.lot] = f->from.place;
	else if (f->change == STOCK_GONE_ON && f->from.lot != f->to.lot)
		*to = *to == 0 || *to == a->charge[f->from.lot] ? a->charge[f->from.lot] : ORIGIN_MIXED;
}

static void take_flow(void *context, const struct stock_flow *f)
{
	struct answer *a = context;

	follow_charge(a, f);
	if (f->op->event->id == EVENT_GRADE && (f->change == STOCK_GONE_ON || f->change == STOCK_LOST))
		count_grade(a, f);
}

/* ---- the order of rows */

static const struct answer *sorting; /* qsort() hands no context through */

static int by_key(const void *x, const void *y)
{
	const struct group *a = &sorting->group[*(const size_t *)x], *b = &sorting->group[*(const size_t *)y];
	int order = 0;

	for (size_t i = 0; !order && i < sorting->nkeys; i++)
		order = slice_cmp(a->key[i], b->key[i]);
	return order;
}

/* Best first by the scheme of the last day, then words that it does not have, then what was culled. */
static int rank_of(const struct answer *a, uint32_t grade)
{
	int rank = a->book.house ? house_grade_rank(a->book.house, a->to == INT32_MAX ? book_today(&a->book) : a->to,
		intern_text(&a->grades, grade)) : -1;

	if (grade == CULLED)
		return INT32_MAX;
	return rank < 0 ? INT32_MAX - 1 : rank;
}

static int by_rank(const void *x, const void *y)
{
	uint32_t a = *(const uint32_t *)x, b = *(const uint32_t *)y;
	int rank_a = rank_of(sorting, a), rank_b = rank_of(sorting, b);

	if (rank_a != rank_b)
		return rank_a < rank_b ? -1 : 1;
	return slice_cmp(intern_text(&sorting->grades, a), intern_text(&sorting->grades, b));
}

static size_t *ordered_groups(const struct answer *a, size_t *n)
{
	size_t *order = mem_array(a->groups.n, sizeof *order);

	*n = a->groups.n - 1;
	for (size_t i = 0; i < *n; i++)
		order[i] = i;
	sorting = a;
	if (*n)
		qsort(order, *n, sizeof *order, by_key);
	return order;
}

static uint32_t *ordered_grades(const struct answer *a, size_t *n)
{
	uint32_t *order = mem_array(a->grades.n, sizeof *order);

	*n = a->grades.n - 1;
	for (uint32_t i = 0; i < *n; i++)
		order[i] = i + 1;
	sorting = a;
	qsort(order, *n, sizeof *order, by_rank);
	return order;
}

/* ---- printing */

static const struct cell *cell_there(const struct answer *a, size_t group, uint32_t grade)
{
	static const struct cell none = { 0, 0 };
	uint64_t both = (uint64_t)group << 32 | grade;
	uint32_t id = intern_find(&a->cells, (struct slice){ (const char *)&both, sizeof both });

	return id ? &a->cell[id - 1] : &none;
}

static void put_keys(const struct answer *a, struct table *t, const struct group *g)
{
	for (size_t i = 0; i < a->nkeys; i++)
		if (g->key[i].n)
			table_text(t, g->key[i]);
		else
			table_absent(t);
}

static void put_share(struct table *t, int64_t k, int64_t n)
{
	if (n)
		table_real(t, (double)k / (double)n);
	else
		table_absent(t);
}

static void put_interval(struct table *t, int64_t k, int64_t n)
{
	double low, high;

	put_share(t, k, n);
	if (wilson_interval(k, n, NORMAL_975, &low, &high)) {
		table_real(t, low);
		table_real(t, high);
	} else {
		table_absent(t);
		table_absent(t);
	}
}

static void add_key_columns(const struct answer *a, struct table *t)
{
	for (size_t i = 0; i < a->nkeys; i++)
		table_add_column(t, KEY_WORDS[a->key[i]], TABLE_TEXT, 0);
}

static void long_columns(const struct answer *a, struct table *t)
{
	add_key_columns(a, t);
	table_add_column(t, "grade", TABLE_TEXT, 0);
	table_add_column(t, "count", TABLE_INT, 0);
	table_add_column(t, "of", TABLE_INT, 0);
	table_add_column(t, "share", TABLE_REAL, 3);
	table_add_column(t, "share_low", TABLE_REAL, 3);
	table_add_column(t, "share_high", TABLE_REAL, 3);
	if (!baseline_months)
		return;
	table_add_column(t, "baseline_of", TABLE_INT, 0);
	table_add_column(t, "baseline_share", TABLE_REAL, 3);
}

static void put_long(const struct answer *a, struct table *t, size_t group, const uint32_t *grade, size_t ngrades)
{
	const struct group *g = &a->group[group];

	for (size_t i = 0; i < ngrades; i++) {
		const struct cell *c = cell_there(a, group, grade[i]);

		if (!c->now && !c->before)
			continue;
		put_keys(a, t, g);
		table_text(t, intern_text(&a->grades, grade[i]));
		table_int(t, c->now);
		table_int(t, g->of);
		put_interval(t, c->now, g->of);
		if (baseline_months) {
			table_int(t, g->before);
			put_share(t, c->before, g->before);
		}
	}
}

static void wide_columns(const struct answer *a, struct table *t, const uint32_t *grade, size_t ngrades)
{
	struct buf name = BUF_INIT;

	add_key_columns(a, t);
	table_add_column(t, "of", TABLE_INT, 0);
	for (int base = 0; base < (baseline_months ? 2 : 1); base++) {
		if (base)
			table_add_column(t, "baseline_of", TABLE_INT, 0);
		for (size_t i = 0; i < ngrades; i++) {
			name.n = 0;
			buf_str(&name, base ? "baseline_share_" : "share_");
			buf_add(&name, intern_text(&a->grades, grade[i]));
			table_add_column(t, buf_cstr(&name), TABLE_REAL, 3);
		}
	}
	buf_release(&name);
}

static void put_wide(const struct answer *a, struct table *t, size_t group, const uint32_t *grade, size_t ngrades)
{
	const struct group *g = &a->group[group];

	put_keys(a, t, g);
	table_int(t, g->of);
	for (size_t i = 0; i < ngrades; i++)
		put_share(t, cell_there(a, group, grade[i])->now, g->of);
	if (!baseline_months)
		return;
	table_int(t, g->before);
	for (size_t i = 0; i < ngrades; i++)
		put_share(t, cell_there(a, group, grade[i])->before, g->before);
}

static size_t print_answer(const struct answer *a)
{
	size_t n, ngrades;
	size_t *order = ordered_groups(a, &n);
	uint32_t *grade = ordered_grades(a, &ngrades);
	struct table t;

	table_init(&t, NULL, 0);
	if (wide_rows)
		wide_columns(a, &t, grade, ngrades);
	else
		long_columns(a, &t);
	for (size_t i = 0; i < n; i++)
		if (wide_rows)
			put_wide(a, &t, order[i], grade, ngrades);
		else
			put_long(a, &t, order[i], grade, ngrades);
	if (!wide_rows)
		table_note(&t, SLICE("share_low to share_high: 95 % interval (Wilson), if the blades are a fair sample of such wood"));
	tool_print_table(&t);
	table_release(&t);
	free(order);
	free(grade);
	return n;
}

/* ---- the run */

static void choose_keys(struct answer *a)
{
	struct slice left = slice_of(by_text);

	while (left.n) {
		size_t end = slice_find(left, ',');
		struct slice word = slice_upto(left, end);
		int key = 0;

		while (KEY_WORDS[key] && !slice_eq(slice_of(KEY_WORDS[key]), word))
			key++;
		if (!KEY_WORDS[key] || a->nkeys == KEYS)
			tool_misused("--by %.*s: a key is one of tree, parcel, supplier, charge, lot, type, grader, month, was; each once",
				(int)word.n, word.p);
		for (size_t i = 0; i < a->nkeys; i++)
			if (a->key[i] == key)
				tool_misused("--by: %.*s stands twice", (int)word.n, word.p);
		a->key[a->nkeys++] = key;
		left = end < left.n ? slice_from(left, end + 1) : slice_from(left, end);
	}
}

/* The day so many months before; where that month is shorter, its last. */
static int32_t months_before(int32_t day, int64_t months)
{
	int year, month, date, length;
	int64_t all;

	day_split(day, &year, &month, &date);
	all = (int64_t)year * 12 + month - 1 - months;
	if (all < 12)
		return INT32_MIN;
	length = month_length((int)(all / 12), (int)(all % 12) + 1);
	return day_of((int)(all / 12), (int)(all % 12) + 1, date < length ? date : length);
}

static void choose_days(struct answer *a)
{
	a->from = INT32_MIN;
	a->to = INT32_MAX;
	if (from_text)
		date_read(slice_of(from_text), &a->from);
	if (to_text)
		date_read(slice_of(to_text), &a->to);
	if (baseline_months && !from_text)
		tool_misused("--baseline counts back from --from: give both");
	a->baseline = baseline_months ? months_before(a->from, baseline_months) : a->from;
}

static void start(struct answer *a)
{
	book_start(&a->book, 0);
	book_stock_init(&a->book, &a->stock);
	origins_init(&a->origins, &a->stock.ids);
	intern_init(&a->months);
	intern_init(&a->groups);
	intern_init(&a->grades);
	intern_init(&a->cells);
	intern_id(&a->grades, SLICE("culled"));
}

static void read_book(struct answer *a)
{
	const struct line *l;

	while ((l = book_next(&a->book))) {
		if (l->kind != LINE_EVENT)
			continue;
		origins_add(&a->origins, l);
		book_stock_add(&a->book, &a->stock, l);
	}
}

int main(int argc, char **argv)
{
	static struct answer a;
	int status, adds_up;
	size_t rows;

	tool_start(&page, argc, argv);
	choose_keys(&a);
	choose_days(&a);
	start(&a);
	read_book(&a);
	status = book_end(&a.book);
	origins_end(&a.origins);
	a.charge = mem_zeroed(a.stock.ids.n, sizeof *a.charge);
	stock_run(&a.stock, INT32_MAX, take_flow, &a);
	adds_up = book_stock_tell(&a.book, &a.stock);
	rows = print_answer(&a);
	return tool_finish(rows && !status && !adds_up ? TOOL_DONE : TOOL_NO);
}
