/*
 * wy-grade - what blades were graded as: counts, and shares with their intervals; wy-grade(1).
 *
 * The stock engine tells every flow of pieces in its order. Those of grade lines are counted by the
 * keys asked for (`group`) and by what became of them (`cell`). All flows are followed for one thing:
 * which charge the pieces of a heap were in.
 */
#include <stdlib.h>

#include "base/mem.h"
#include "cli/tool.h"
#include "cli/tool_book.h"
#include "house/house.h"
#include "math/stats.h"
#include "stock/provenance.h"
#include "stock/stock.h"
#include "table/table.h"

enum { KEY_TREE, KEY_PARCEL, KEY_SUPPLIER, KEY_CHARGE, KEY_LOT, KEY_TYPE, KEY_GRADER, KEY_MONTH, KEY_WAS, KEYS };

static const char *const KEY_WORDS[] = { "tree", "parcel", "supplier", "charge", "lot", "type", "grader", "month", "was", NULL };

static const char *by_text = "";
static struct opt_day from_day = { .day = INT32_MIN }, to_day = { .day = INT32_MAX };
static int64_t baseline_months;
static bool wide_rows, regrades;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &by_text, "KEY,...", "rows for each of these: some of tree, parcel, supplier, charge,\nlot, type, grader, month; with --regrades also was"),
	OPT_DAY(0, "from", &from_day, "only gradings of this day and later"),
	OPT_DAY(0, "to", &to_day, "only gradings of this day and before; later lines do not count"),
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
	.example = "wy-grade --by supplier --wide book.wy\nthe mix of grades that each supplier's wood gave",
};

/* Pieces that cannot be told apart. */
struct heap {
	int64_t n;
	uint32_t charge;           /* the last that they were in, 0 for none, or PROVENANCE_MIXED */
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
	struct provenance origins;
	struct intern months, grades;
	struct intern groups, cells, heaps; /* their number - 1 is the index below; of cells and heaps the bytes */
	struct group *group;
	struct cell *cell;
	struct heap *heap;
	size_t groups_cap, cells_cap, heaps_cap;
	size_t key[KEYS];          /* chosen, in the order given */
	size_t nkeys;
	int32_t from, to, baseline;
	int32_t last;              /* the last day of what was counted */
	bool ungraded;             /* whether a grade line gave none */
};

/* Numbers in `grades` of words that no grade can be. UNGRADED: a grade line that gives none. */
enum { CULLED = 1, UNGRADED };

/* ---- which charge pieces were in */

static struct heap *heap_of(struct answer *a, const struct stock_kind *kind)
{
	uint32_t had = a->heaps.n, id = intern_id(&a->heaps, (struct slice){ (const char *)kind, sizeof *kind });

	if (id == had) {
		a->heap = mem_grow(a->heap, &a->heaps_cap, id, sizeof *a->heap);
		a->heap[id - 1] = (struct heap){ 0, 0 };
	}
	return &a->heap[id - 1];
}

/* The last charge that a flow's pieces were in: 0 for none, PROVENANCE_MIXED where they may be of several. */
static uint32_t charge_of(struct answer *a, const struct stock_flow *f)
{
	return f->op->event->id == EVENT_UNLOAD ? f->from.place : heap_of(a, &f->from)->charge;
}

static void heap_take(struct heap *h, int64_t n)
{
	h->n = h->n > n ? h->n - n : 0;
}

static void heap_give(struct heap *h, int64_t n, uint32_t charge)
{
	h->charge = h->n == 0 || h->charge == charge ? charge : PROVENANCE_MIXED;
	h->n += n;
}

static void follow_charge(struct answer *a, const struct stock_flow *f)
{
	uint32_t charge = f->change == STOCK_GONE_ON ? charge_of(a, f) : 0;

	if (f->from.lot)
		heap_take(heap_of(a, &f->from), f->n);
	heap_give(heap_of(a, &f->to), f->n, charge);
}

/* ---- the keys of a piece */

static struct slice id_text(const struct answer *a, uint32_t id)
{
	return id == PROVENANCE_MIXED ? SLICE("several") : stock_text(&a->stock, id);
}

static struct slice origin_text(const struct answer *a, uint32_t lot, enum origin_key key)
{
	return id_text(a, provenance_key(&a->origins, lot, key));
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

static struct slice key_text(struct answer *a, size_t key, const struct stock_flow *f)
{
	switch (key) {
	case KEY_TREE:
		return origin_text(a, f->from.lot, PROVENANCE_TREE);
	case KEY_PARCEL:
		return origin_text(a, f->from.lot, PROVENANCE_PARCEL);
	case KEY_SUPPLIER:
		return origin_text(a, f->from.lot, PROVENANCE_SUPPLIER);
	case KEY_CHARGE:
		return id_text(a, charge_of(a, f));
	case KEY_LOT:
		return stock_text(&a->stock, f->from.lot);
	case KEY_TYPE:
		return stock_text(&a->stock, f->change == STOCK_LOST ? f->from.type : f->to.type);
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

static uint32_t outcome_of(struct answer *a, const struct stock_flow *f)
{
	if (f->change == STOCK_LOST)
		return CULLED;
	if (f->to.grade)
		return intern_id(&a->grades, stock_text(&a->stock, f->to.grade));
	a->ungraded = true;
	return UNGRADED;
}

static void count_grade(struct answer *a, const struct stock_flow *f)
{
	int32_t day = f->op->day;
	bool before = day < a->from, again = f->from.grade != 0;
	size_t group;
	struct cell *cell;

	if (day < a->baseline || day > a->to || again != regrades)
		return;
	group = group_of(a, f);
	cell = cell_of(a, group, outcome_of(a, f));
	*(before ? &cell->before : &cell->now) += f->n;
	*(before ? &a->group[group].before : &a->group[group].of) += f->n;
	if (day > a->last)
		a->last = day;
}

static void take_flow(void *context, const struct stock_flow *f)
{
	struct answer *a = context;

	if (f->op->event->id == EVENT_GRADE && (f->change == STOCK_GONE_ON || f->change == STOCK_LOST))
		count_grade(a, f);
	follow_charge(a, f);
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

/* Best first by the scheme of the last day counted, then words that it lacks, then what was culled. */
static int rank_of(const struct answer *a, uint32_t grade)
{
	int rank = -1;

	if (grade <= UNGRADED)
		return grade == CULLED ? INT32_MAX : INT32_MAX - 1;
	if (a->book.house)
		rank = house_grade_rank(a->book.house, a->last, intern_text(&a->grades, grade));
	return rank < 0 ? INT32_MAX - 2 : rank;
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

	*n = 0;
	for (uint32_t i = 1; i < a->grades.n; i++)
		if (i != UNGRADED || a->ungraded)
			order[(*n)++] = i;
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

static struct slice grade_word(const struct answer *a, uint32_t grade)
{
	struct slice word = intern_text(&a->grades, grade);

	return grade <= UNGRADED ? slice_from(word, 1) : word;
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
		table_text(t, grade_word(a, grade[i]));
		table_int(t, c->now);
		table_int(t, g->of);
		put_interval(t, c->now, g->of);
		if (baseline_months) {
			table_int(t, g->before);
			put_share(t, c->before, g->before);
		}
	}
}

static void share_columns(const struct answer *a, struct table *t, const char *of, const char *share,
	const uint32_t *grade, size_t ngrades)
{
	struct buf name = BUF_INIT;

	table_add_column(t, of, TABLE_INT, 0);
	for (size_t i = 0; i < ngrades; i++) {
		name.n = 0;
		buf_str(&name, share);
		buf_add(&name, grade_word(a, grade[i]));
		table_add_column(t, buf_cstr(&name), TABLE_REAL, 3);
	}
	buf_release(&name);
}

static void wide_columns(const struct answer *a, struct table *t, const uint32_t *grade, size_t ngrades)
{
	add_key_columns(a, t);
	share_columns(a, t, "of", "share_", grade, ngrades);
	if (baseline_months)
		share_columns(a, t, "baseline_of", "baseline_share_", grade, ngrades);
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

static void put_rows(const struct answer *a, struct table *t, const size_t *order, size_t n)
{
	size_t ngrades;
	uint32_t *grade = ordered_grades(a, &ngrades);

	if (wide_rows)
		wide_columns(a, t, grade, ngrades);
	else
		long_columns(a, t);
	for (size_t i = 0; i < n; i++)
		(wide_rows ? put_wide : put_long)(a, t, order[i], grade, ngrades);
	free(grade);
}

static size_t print_answer(const struct answer *a)
{
	size_t n, *order = ordered_groups(a, &n);
	struct table t;

	table_init(&t, NULL, 0);
	put_rows(a, &t, order, n);
	if (!wide_rows)
		table_note(&t, SLICE("share_low to share_high: 95 % interval (Wilson), if the blades are a fair sample of such wood"));
	tool_print_table(&t);
	table_release(&t);
	free(order);
	return n;
}

/* ---- the run */

static void choose_keys(struct answer *a)
{
	a->nkeys = tool_words("--by", by_text, KEY_WORDS, a->key);
	for (size_t i = 0; i < a->nkeys; i++)
		if (a->key[i] == KEY_WAS && !regrades)
			tool_misused("--by was: a blade's first grade has none before it; give --regrades too");
		else if (a->key[i] == KEY_MONTH && baseline_months)
			tool_misused("--by month --baseline: no month is in both; leave one out");
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
	a->from = from_day.day;
	a->to = to_day.day;
	if (a->from > a->to)
		tool_misused("--from %s --to %s: no day lies between them", from_day.text, to_day.text);
	if (baseline_months && !from_day.text)
		tool_misused("--baseline counts back from --from: give both");
	a->baseline = baseline_months ? months_before(a->from, baseline_months) : a->from;
}

static void start(struct answer *a)
{
	book_start(&a->book, 0);
	book_stock_init(&a->book, &a->stock);
	provenance_init(&a->origins, &a->stock.ids);
	intern_init(&a->months);
	intern_init(&a->groups);
	intern_init(&a->grades);
	intern_init(&a->cells);
	intern_init(&a->heaps);
	intern_id(&a->grades, SLICE(" culled"));
	intern_id(&a->grades, SLICE(" ungraded"));
	a->last = INT32_MIN;
}

static void read_book(struct answer *a)
{
	const struct line *l;

	while ((l = book_next(&a->book))) {
		if (l->kind != LINE_EVENT)
			continue;
		provenance_add(&a->origins, l);
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
	provenance_end(&a.origins);
	stock_run(&a.stock, a.to, take_flow, &a);
	adds_up = book_stock_tell(&a.book, &a.stock);
	rows = print_answer(&a);
	return tool_finish(rows && !status && !adds_up ? TOOL_DONE : TOOL_NO);
}
