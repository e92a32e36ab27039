#include "grades/grade_view.h"

#include "grades/grade_view_internal.h"

/* ---- cells */

/* The cells that the keys take, as ids commonly are. */
static size_t key_cells(const struct grade_answer *a)
{
	static const unsigned char CELLS[GRADE_KEYS] = { [GRADE_BY_TREE] = 9, [GRADE_BY_PARCEL] = 8, [GRADE_BY_SUPPLIER] = 10, [GRADE_BY_CHARGE] = 9,
		[GRADE_BY_KILN] = 7, [GRADE_BY_LOT] = 8, [GRADE_BY_TYPE] = 6, [GRADE_BY_GRADER] = 8, [GRADE_BY_MONTH] = 9, [GRADE_BY_SCHEME] = 8,
		[GRADE_BY_WAS] = 5 };
	size_t cells = 0;

	for (size_t i = 0; i < a->nkeys; i++)
		cells += CELLS[a->m->by[i]];
	return cells;
}

static void put_share(struct table *t, int64_t k, int64_t n)
{
	if (n)
		table_real(t, (double)k / (double)n);
	else
		table_absent(t);
}

/* Wilson's, of a share alone, or of one of `among` that hold together: Goodman (1965). */
static void put_interval(struct table *t, int64_t k, int64_t n, const struct spread *spread, size_t group, size_t among)
{
	double low, high;

	if (n <= 0) {
		table_absent(t);
		table_absent(t);
		return;
	}
	wilson_share((double)k / (double)n, (double)n / spread->design[group], spread_point(&spread->rows, 1 - 0.025 / (double)among), &low, &high);
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

static void add_long_columns(const struct grade_answer *a, struct table *t)
{
	enum { GRADE = 8, FIGURES = 7, NOW = 7, BOTH = 9, PERCENT = TABLE_PERCENT + 1, NEVER = 99 };
	static const struct figure FIGURE[BOTH] = { { "count", TABLE_INT, 0, 1, "blades" }, { "of", TABLE_INT, 0, 2, "of" },
		{ "share", TABLE_REAL, PERCENT, 0, "share" }, { "share_low", TABLE_REAL, PERCENT, NEVER, "" }, { "share_high", TABLE_REAL, PERCENT, NEVER, "" },
		{ "together_low", TABLE_REAL, PERCENT, 5, "at least" }, { "together_high", TABLE_REAL, PERCENT, 5, "at most" },
		{ "baseline_of", TABLE_INT, 0, 6, "before, of" }, { "baseline_share", TABLE_REAL, PERCENT, 3, "share before" } };
	bool both = a->m->ask->has_baseline;
	size_t room = stock_say_room(key_cells(a) + GRADE, FIGURES);

	grade_answer_key_columns(a, t);
	table_add_column(t, "grade", TABLE_TEXT, 0);
	table_heading(t, "grade");
	/* without the share before, which has rank 3, there is room for one more of the later ranks */
	for (size_t i = 0; i < (both ? BOTH : NOW); i++)
		add_figure(t, FIGURE[i], room + (!both && FIGURE[i].rank > 3));
}

static void put_long(const struct grade_answer *a, struct table *t, size_t i)
{
	const struct grade_group *g = a->group[i];
	const struct grade_order *order = grade_answer_order(a, i);

	for (size_t k = 0; k < order->n; k++) {
		const struct grade_column *column = &order->column[k];
		struct grade_count c = grade_answer_count(a, i, column->grade);

		if (!c.now && !c.before)
			continue;
		grade_answer_keys(a, i, t);
		table_text(t, column->word);
		table_int(t, c.now);
		table_int(t, g->now);
		put_share(t, c.now, g->now);
		put_interval(t, c.now, g->now, &column->spread, grade_answer_at(a, i), 1);
		put_interval(t, c.now, g->now, &column->spread, grade_answer_at(a, i), order->kinds);
		if (a->m->ask->has_baseline) {
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
static void add_wide_columns(const struct grade_answer *a, struct table *t)
{
	enum { BLADES = 2, GAP = 4 }; /* the count of blades is wider than a share; a share has two digits, a point and a gap beside its places */
	bool both = a->m->ask->has_baseline;
	unsigned places = both ? 0 : 1;
	size_t n = a->all.n, room = stock_say_room(key_cells(a) + BLADES, places + 2 + GAP);

	grade_answer_key_columns(a, t);
	add_share_columns(t, (struct share_columns){ "of", "share_", "blades", "", 0, 1, places }, &a->all, room);
	if (both)
		add_share_columns(t, (struct share_columns){ "baseline_of", "baseline_share_", "then of", "then ", 1 + 2 * n, 1 + n, places }, &a->all, room);
}

static void put_wide(const struct grade_answer *a, struct table *t, size_t i)
{
	const struct grade_group *g = a->group[i];

	grade_answer_keys(a, i, t);
	table_int(t, g->now);
	for (size_t k = 0; k < a->all.n; k++)
		put_share(t, grade_answer_count(a, i, a->all.column[k].grade).now, g->now);
	if (!a->m->ask->has_baseline)
		return;
	table_int(t, g->before);
	for (size_t k = 0; k < a->all.n; k++)
		put_share(t, grade_answer_count(a, i, a->all.column[k].grade).before, g->before);
}

/* ---- notes */

/* What the intervals allow for. */
static void note_interval(const struct grade_answer *a, struct table *t)
{
	bool known = true;

	for (size_t i = 0; i < a->norders; i++)
		known &= a->order[i].column[0].spread.all.known || !a->order[i].now;
	if (known)
		table_note(t, SLICE("at least, at most: all intervals of a row's grades hold together in 95 % of cases (Goodman), for such wood; they allow for the differences between lots"));
	else
		table_note(t, SLICE("at least, at most: all intervals of a row's grades hold together in 95 % of cases (Goodman), if the blades are a fair sample of such wood; 5 lots are needed to allow for the differences between lots"));
}

static void note_schemes(const struct grade_answer *a, struct table *t)
{
	if (a->norders > 1)
		table_note(t, SLICE("scheme: blades of two grading schemes are in separate rows; `former` of a scheme in the house file would say what the older grades count as"));
}

static void add_notes(const struct grade_answer *a, struct table *t)
{
	if (a->m->ask->wide)
		table_note(t, SLICE("under each grade: its per cent of the blades that were graded, culled ones included"));
	else
		table_note(t, SLICE("share: the per cent of the blades that were graded, culled ones included"));
	if (a->m->ask->has_baseline)
		table_note(t, SLICE("then, before: in the months of the baseline"));
	if (!a->m->ask->wide)
		note_interval(a, t);
	note_schemes(a, t);
}

void grade_view(const struct grade_mix *m, const struct house *house, struct table *t)
{
	struct grade_answer a;

	grade_answer_init(&a, m, house);
	table_init(t, NULL, 0);
	if (m->ask->wide)
		add_wide_columns(&a, t);
	else
		add_long_columns(&a, t);
	for (size_t i = 0; i < a.ngroups; i++)
		(m->ask->wide ? put_wide : put_long)(&a, t, i);
	grade_view_say(&a, t);
	add_notes(&a, t);
	grade_answer_release(&a);
}
