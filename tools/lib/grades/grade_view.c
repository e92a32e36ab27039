#include "grades/grade_view.h"

#include <stdlib.h>

#include "grades/grade_mix.h"
#include "grades/grade_view_internal.h"
#include "house/house.h"
#include "math/stats.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"

/* ---- the order of rows and of grades */

/* A group with the places of its keys: of the grade that blades had before, the house's; else 0. */
struct ranked_group {
	const struct grade_group *group;
	int rank[GRADE_KEYS];
};

static int by_key(const void *a, const void *b)
{
	const struct ranked_group *x = a, *y = b;
	int order = 0;

	for (int i = 0; !order && i < GRADE_KEYS; i++) {
		order = (x->rank[i] > y->rank[i]) - (x->rank[i] < y->rank[i]);
		order = order ? order : slice_cmp(x->group->key[i], y->group->key[i]);
	}
	return order;
}

static int by_rank(const void *a, const void *b)
{
	const struct grade_column *x = a, *y = b;

	if (x->rank != y->rank)
		return x->rank < y->rank ? -1 : 1;
	return slice_cmp(x->word, y->word);
}

static int rank_of(const struct grade_mix *m, const struct house *house, uint32_t grade)
{
	int rank = -1;

	if (grade <= GRADE_NONE)
		return grade == GRADE_CULLED ? INT32_MAX : INT32_MAX - 1;
	if (house)
		rank = house_grade_order(house, m->last, intern_text(&m->grades, grade));
	return rank < 0 || rank > GRADE_RANKS ? GRADE_RANKS : rank;
}

/* Without the space in front, which no grade has. */
static struct slice grade_word(const struct grade_mix *m, uint32_t grade)
{
	struct slice word = intern_text(&m->grades, grade);

	return grade <= GRADE_NONE ? slice_from(word, 1) : word;
}

static struct grade_order grades_in_order(const struct grade_mix *m, const struct house *house)
{
	struct grade_order order = { mem_array(m->grades.n, sizeof *order.column), 0 };

	for (uint32_t i = 1; i < m->grades.n; i++)
		if (i != GRADE_NONE || m->ungraded)
			order.column[order.n++] = (struct grade_column){ .grade = i, .rank = rank_of(m, house, i), .word = grade_word(m, i) };
	qsort(order.column, order.n, sizeof *order.column, by_rank);
	return order;
}

/* Where the wood is from: a lot is then in one row, and rows may differ by more than lots of one row do. */
static bool by_origin(const struct grade_ask *ask)
{
	for (size_t i = 0; i < ask->nby; i++)
		if (ask->by[i] != GRADE_BY_TREE && ask->by[i] != GRADE_BY_PARCEL && ask->by[i] != GRADE_BY_SUPPLIER)
			return false;
	return true;
}

static void find_spread(const struct grade_mix *m, struct grade_column *column)
{
	size_t groups = grade_mix_groups(m);

	for (size_t i = 0; i < grade_mix_lots(m); i++) {
		struct grade_count c = grade_mix_lot_count(m, i, column->grade);

		spread_add(&column->spread, m->lot[i].group, m->lot[i].lot, c.now, m->lot[i].now);
		spread_add(&column->before, m->lot[i].group, m->lot[i].lot, c.before, m->lot[i].before);
	}
	spread_end(&column->spread, groups, by_origin(m->ask));
	spread_end(&column->before, groups, by_origin(m->ask));
}

static void release_grades(struct grade_order *grades)
{
	for (size_t i = 0; i < grades->n; i++) {
		spread_release(&grades->column[i].spread);
		spread_release(&grades->column[i].before);
	}
	free(grades->column);
}

/* The groups by their keys; the caller frees them. */
static const struct grade_group **groups_in_order(const struct grade_mix *m, const struct house *house)
{
	size_t n = grade_mix_groups(m);
	const struct grade_group **group = mem_array(n, sizeof *group);
	struct ranked_group *ranked = mem_zeroed(n, sizeof *ranked);

	for (size_t i = 0; i < n; i++) {
		ranked[i].group = &m->group[i];
		for (size_t k = 0; k < m->ask->nby; k++)
			if (m->ask->by[k] == GRADE_BY_WAS)
				ranked[i].rank[k] = house_grade_order(house, m->last, m->group[i].key[k]);
	}
	if (n)
		qsort(ranked, n, sizeof *ranked, by_key);
	for (size_t i = 0; i < n; i++)
		group[i] = ranked[i].group;
	free(ranked);
	return group;
}

/* ---- cells */

static struct grade_count count_of(const struct grade_mix *m, const struct grade_group *g, uint32_t grade)
{
	return grade_mix_count(m, (size_t)(g - m->group), grade);
}

static void add_key_columns(const struct grade_ask *ask, struct table *t)
{
	for (size_t i = 0; i < ask->nby; i++) {
		table_add_column(t, grade_by_words[ask->by[i]], TABLE_TEXT, 0);
		table_heading(t, grade_by_words[ask->by[i]]);
	}
}

/* The cells that the keys take, as ids commonly are. */
static size_t key_cells(const struct grade_ask *ask)
{
	static const unsigned char CELLS[GRADE_KEYS] = { [GRADE_BY_TREE] = 9, [GRADE_BY_PARCEL] = 8, [GRADE_BY_SUPPLIER] = 10, [GRADE_BY_CHARGE] = 9,
		[GRADE_BY_LOT] = 8, [GRADE_BY_TYPE] = 6, [GRADE_BY_GRADER] = 8, [GRADE_BY_MONTH] = 9, [GRADE_BY_WAS] = 5 };
	size_t cells = 0;

	for (size_t i = 0; i < ask->nby; i++)
		cells += CELLS[ask->by[i]];
	return cells;
}

static void put_keys(const struct grade_ask *ask, struct table *t, const struct grade_group *g)
{
	for (size_t i = 0; i < ask->nby; i++)
		stock_cell_word(t, g->key[i]);
}

static void put_share(struct table *t, int64_t k, int64_t n)
{
	if (n)
		table_real(t, (double)k / (double)n);
	else
		table_absent(t);
}

static void put_interval(struct table *t, int64_t k, int64_t n, const struct spread *spread, size_t group)
{
	double low, high;

	put_share(t, k, n);
	if (n <= 0) {
		table_absent(t);
		table_absent(t);
		return;
	}
	wilson_share((double)k / (double)n, (double)n / spread->design[group], spread_point(&spread->rows, 0.975), &low, &high);
	table_real(t, low);
	table_real(t, high);
}

/* ---- a row for each grade */

struct figure {
	const char *name;
	enum table_type type;
	unsigned char places, rank; /* on a narrow line the last ranks are hidden */
	const char *heading;
};

static void add_figure(struct table *t, struct figure f, size_t room)
{
	table_add_column(t, f.name, f.type, f.places);
	table_heading(t, stock_say_heading(f.heading, f.rank, room));
}

static void add_long_columns(const struct grade_ask *ask, struct table *t)
{
	enum { GRADE = 8, FIGURES = 7, NOW = 5, BOTH = 7 };
	static const struct figure FIGURE[BOTH] = { { "count", TABLE_INT, 0, 1, "blades" }, { "of", TABLE_INT, 0, 2, "of" },
		{ "share", TABLE_REAL, TABLE_PERCENT + 1, 0, "share" }, { "share_low", TABLE_REAL, TABLE_PERCENT + 1, 5, "at least" }, { "share_high", TABLE_REAL, TABLE_PERCENT + 1, 5, "at most" },
		{ "baseline_of", TABLE_INT, 0, 6, "before, of" }, { "baseline_share", TABLE_REAL, TABLE_PERCENT + 1, 3, "share before" } };
	size_t room = stock_say_room(key_cells(ask) + GRADE, FIGURES);

	add_key_columns(ask, t);
	table_add_column(t, "grade", TABLE_TEXT, 0);
	table_heading(t, "grade");
	/* without the share before, which has rank 3, there is room for one more of the later ranks */
	for (size_t i = 0; i < (ask->has_baseline ? BOTH : NOW); i++)
		add_figure(t, FIGURE[i], room + (!ask->has_baseline && FIGURE[i].rank > 3));
}

static void put_long(const struct grade_mix *m, struct table *t, const struct grade_group *g, const struct grade_order *grades)
{
	for (size_t i = 0; i < grades->n; i++) {
		struct grade_count c = count_of(m, g, grades->column[i].grade);

		if (!c.now && !c.before)
			continue;
		put_keys(m->ask, t, g);
		table_text(t, grades->column[i].word);
		table_int(t, c.now);
		table_int(t, g->now);
		put_interval(t, c.now, g->now, &grades->column[i].spread, (size_t)(g - m->group));
		if (m->ask->has_baseline) {
			table_int(t, g->before);
			put_share(t, c.before, g->before);
		}
	}
}

/* ---- a column of shares for each grade */

/* How a set of shares is called and shown; `rank` is that of the first share. */
struct share_columns {
	const char *of, *share, *of_heading, *before;
	size_t of_rank, rank;
	unsigned places;
};

static void add_share_columns(struct table *t, struct share_columns c, const struct grade_order *grades, size_t room)
{
	struct buf text = BUF_INIT;

	add_figure(t, (struct figure){ c.of, TABLE_INT, 0, (unsigned char)c.of_rank, c.of_heading }, room);
	for (size_t i = 0; i < grades->n; i++) {
		text.n = 0;
		buf_str(&text, c.share);
		buf_add(&text, grades->column[i].word);
		table_add_column(t, buf_cstr(&text), TABLE_REAL, TABLE_PERCENT + c.places);
		text.n = 0;
		buf_str(&text, c.before);
		buf_add(&text, grades->column[i].grade == GRADE_CULLED ? SLICE("cull") : grades->column[i].word);
		table_heading(t, stock_say_heading(buf_cstr(&text), c.rank + i, room));
	}
	buf_release(&text);
}

/* The shares of the period come first; beside a baseline all are whole per cent, so that both fit a line. */
static void add_wide_columns(const struct grade_ask *ask, struct table *t, const struct grade_order *grades)
{
	enum { BLADES = 2, GAP = 4 }; /* the count of blades is wider than a share; a share has two digits, a point and a gap beside its places */
	unsigned places = ask->has_baseline ? 0 : 1;
	size_t room = stock_say_room(key_cells(ask) + BLADES, places + 2 + GAP);

	add_key_columns(ask, t);
	add_share_columns(t, (struct share_columns){ "of", "share_", "blades", "", 0, 1, places }, grades, room);
	if (ask->has_baseline)
		add_share_columns(t, (struct share_columns){ "baseline_of", "baseline_share_", "then of", "then ", 1 + 2 * grades->n, 1 + grades->n, places }, grades,
			room);
}

static void put_wide(const struct grade_mix *m, struct table *t, const struct grade_group *g, const struct grade_order *grades)
{
	put_keys(m->ask, t, g);
	table_int(t, g->now);
	for (size_t i = 0; i < grades->n; i++)
		put_share(t, count_of(m, g, grades->column[i].grade).now, g->now);
	if (!m->ask->has_baseline)
		return;
	table_int(t, g->before);
	for (size_t i = 0; i < grades->n; i++)
		put_share(t, count_of(m, g, grades->column[i].grade).before, g->before);
}

/* What the intervals allow for. */
static void note_interval(const struct grade_order *grades, struct table *t)
{
	if (!grades->n || grades->column[0].spread.all.known)
		table_note(t, SLICE("at least, at most: the 95 % interval for such wood; it allows for the differences between lots"));
	else
		table_note(t, SLICE("at least, at most: the 95 % interval (Wilson), if the blades are a fair sample of such wood; it needs 5 lots to allow for the differences between lots"));
}

void grade_view(const struct grade_mix *m, const struct house *house, struct table *t)
{
	struct grade_order grades = grades_in_order(m, house);
	const struct grade_group **group = groups_in_order(m, house);

	for (size_t i = 0; i < grades.n; i++)
		find_spread(m, &grades.column[i]);
	table_init(t, NULL, 0);
	if (m->ask->wide)
		add_wide_columns(m->ask, t, &grades);
	else
		add_long_columns(m->ask, t);
	for (size_t i = 0; i < grade_mix_groups(m); i++)
		(m->ask->wide ? put_wide : put_long)(m, t, group[i], &grades);
	grade_view_say(m, group, &grades, t);
	if (m->ask->wide)
		table_note(t, SLICE("under each grade: its per cent of the blades that were graded, culled ones included"));
	else
		table_note(t, SLICE("share: the per cent of the blades that were graded, culled ones included"));
	if (m->ask->has_baseline)
		table_note(t, SLICE("then, before: in the months of the baseline"));
	if (!m->ask->wide)
		note_interval(&grades, t);
	free(group);
	release_grades(&grades);
}
