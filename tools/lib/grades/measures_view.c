#include "grades/measures_view.h"

#include <math.h>

#include "grades/measures.h"
#include "table/table.h"

static const struct {
	const char *name, *unit;
	int places;                /* for reading */
} MEASURE[MEASURES] = {
	[MEASURE_GRAINS] = { "grains", "", 1 }, [MEASURE_MASS] = { "mass_g", " g", 0 },
	[MEASURE_MOISTURE] = { "mc_pct", " points", 1 },
};

static void column(struct table *t, const char *name, enum table_type type, unsigned places, const char *heading)
{
	table_add_column(t, name, type, places);
	table_heading(t, heading);
}

static bool has_schemes(const struct measures *m)
{
	return m->nrows && m->row[0].scheme != m->row[m->nrows - 1].scheme;
}

static void add_columns(const struct measures *m, struct table *t)
{
	table_init(t, NULL, 0);
	table_title(t, SLICE("What judged pieces measure"), "measures");
	column(t, "scheme", TABLE_TEXT, 0, has_schemes(m) ? "scheme" : NULL);
	column(t, "grade", TABLE_TEXT, 0, "grade");
	column(t, "measure", TABLE_TEXT, 0, "measure");
	column(t, "pieces", TABLE_INT, 0, "pieces");
	column(t, "lots", TABLE_INT, 0, "lots");
	column(t, "mean", TABLE_REAL, 1, "mean");
	column(t, "mean_low", TABLE_REAL, 1, "at least");
	column(t, "mean_high", TABLE_REAL, 1, "at most");
	column(t, "sd", TABLE_REAL, 1, "sd");
	column(t, "least", TABLE_REAL, 1, "least");
	column(t, "most", TABLE_REAL, 1, "most");
}

static void put_figures(const struct measure_row *row, struct table *t)
{
	const double figure[] = { row->mean.mean, row->mean.low, row->mean.high, row->sd, row->least, row->most };

	for (size_t i = 0; i < sizeof figure / sizeof *figure; i++)
		table_real_shown(t, figure[i], (unsigned)MEASURE[row->measure].places);
}

static void view_rows(const struct measures *m, struct table *t)
{
	for (size_t i = 0; i < m->nrows; i++) {
		const struct measure_row *row = &m->row[i];

		if (row->scheme)
			table_text(t, row->scheme->id);
		else
			table_absent(t);
		table_text(t, row->grade);
		table_cstr(t, MEASURE[row->measure].name);
		table_int(t, (int64_t)row->mean.values);
		table_int(t, (int64_t)row->mean.clusters);
		put_figures(row, t);
	}
}

/* ---- the finding */

static const char *more_word(const struct measure_best *b)
{
	static const char *const WORD[MEASURES][2] = { { "fewer grains", "more grains" }, { "less mass", "more mass" }, { "less moisture", "more moisture" } };

	return WORD[b->measure][b->more > 0];
}

static void say_best(const struct measures *m, const struct measure_best *b, struct buf *text)
{
	int places = b->measure == MEASURE_MASS ? 0 : 1;
	double low = b->more > 0 ? b->low : -b->high, high = b->more > 0 ? b->high : -b->low;

	buf_str(text, text->n ? " Grade " : "Grade ");
	buf_add(text, b->grade);
	if (has_schemes(m) && b->scheme) {
		buf_str(text, " of scheme ");
		buf_add(text, b->scheme->id);
	}
	buf_printf(text, " has %s than the other pieces of its lots: by %.*f%s (95 %% interval %.*f to %.*f).", more_word(b), places, fabs(b->more),
		MEASURE[b->measure].unit, places, low, places, high);
}

static size_t compared(const struct measures *m)
{
	size_t n = 0;

	for (size_t i = 0; i < m->nbest; i++)
		n += (size_t)!isnan(m->best[i].p);
	return n;
}

static void find(const struct measures *m, struct table *t)
{
	struct buf text = BUF_INIT;

	for (size_t i = 0; i < m->nbest; i++)
		if (m->best[i].p * (double)compared(m) < 0.05)
			say_best(m, &m->best[i], &text);
	if (!m->nrows)
		buf_str(&text, "No judged piece has a grade and a measure on these days.");
	else if (!compared(m))
		buf_str(&text, "No lot has judged pieces of the best grade and of others, so the grades are not compared.");
	else if (!text.n)
		buf_str(&text, "In grains, mass and moisture the best grade does not differ from the other pieces of its lots by more than chance explains.");
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

static void add_notes(const struct measures *m, struct table *t)
{
	struct buf text = BUF_INIT;

	if (m->nrows) {
		table_note(t, SLICE("grains: lines across the face; mass in g; mc_pct: moisture in %"));
		table_note(t, SLICE("at least, at most: the 95 % interval of the mean; pieces of one lot are alike, so it counts lots"));
	}
	if (has_schemes(m))
		table_note(t, SLICE("scheme: pieces of two grading schemes are in separate rows"));
	if (m->uncorrected)
		table_note(t, SLICE("some moisture is as the meter showed it: the house has no rule for that meter"));
	if (m->ungraded) {
		buf_printf(&text, "%zu %s left out: no judge line gives a grade", m->ungraded, PLURAL(m->ungraded, "piece was", "pieces were"));
		table_note(t, buf_slice(&text));
	}
	buf_release(&text);
}

void measures_view(const struct measures *m, struct table *t)
{
	add_columns(m, t);
	view_rows(m, t);
	find(m, t);
	add_notes(m, t);
}
