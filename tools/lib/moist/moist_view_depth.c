#include "moist/moist_view_depth.h"

#include <math.h>
#include <stdlib.h>

#include "moist/gradient.h"
#include "moist/line_error.h"
#include "moist/moist_view_internal.h"

/* ---- shell and core */

static const struct table_column DEPTHS[] = {
	{ "depth_mm", TABLE_REAL, 1, "depth, mm" }, { "n_pieces", TABLE_INT, 0, "pieces" }, { "n_off_scale", TABLE_INT, 0, NULL },
	{ "mc_mean_pct", TABLE_REAL, 1, "mean, %" }, { "mc_sd_pct", TABLE_REAL, 2, NULL },
	{ "less_shell_pct", TABLE_REAL, 2, "less shell, %" }, { "less_shell_low_pct", TABLE_REAL, 2, "from, %" }, { "less_shell_high_pct", TABLE_REAL, 2, "to, %" },
	{ "n_pairs", TABLE_INT, 0, NULL }, { "meaning", TABLE_TEXT, 0, "meaning" },
};

static struct gradient_depth *points_of(struct moist_run r, size_t *n)
{
	struct gradient_depth *list = mem_array(r.n + 1, sizeof *list);

	*n = 0;
	for (size_t i = 0; i < r.n; i++)
		if (r.v[i].mark == VALUE_EXACT)
			list[(*n)++] = (struct gradient_depth){ r.v[i].piece, r.v[i].day, (double)r.v[i].mc / VALUE_STEPS };
	return list;
}

/* Adds the mean of a run, or takes it off. */
static void add_mean(struct line_sum *sum, struct moist_run r, double sign)
{
	double n = (double)moist_run_sums(r).n;

	for (size_t i = 0; i < r.n; i++)
		if (r.v[i].mark == VALUE_EXACT)
			line_sum_add(sum, r.v[i].line, sign / n, (double)r.v[i].mc / VALUE_STEPS);
}

/* Both means by one line are off by its slope alone; by different lines, by both of them. The errors have nothing to do with that of the pieces. */
static void widen(struct gradient *d, const struct moist_ask *ask, struct moist_run shallow, struct moist_run deep)
{
	struct line_sum sum = { 0 };
	double line;

	add_mean(&sum, shallow, -1);
	add_mean(&sum, deep, 1);
	line = line_doubt_half(line_sum_doubt(&sum), ask->sure);
	d->low = d->points - hypot(d->points - d->low, line);
	d->high = d->points + hypot(d->high - d->points, line);
	line_sum_release(&sum);
}

static struct gradient difference_of(const struct moist_ask *ask, struct moist_run shallow, struct moist_run deep)
{
	size_t m, n;
	struct gradient_depth *a = points_of(shallow, &m), *b = points_of(deep, &n);
	struct gradient d = gradient_of(a, m, b, n, ask->sure);

	widen(&d, ask, shallow, deep);
	free(a);
	free(b);
	return d;
}

static const char *meaning_of(const struct gradient *d)
{
	if (isnan(d->points))
		return NULL;
	if (isnan(d->low))
		return "too few pieces to decide";
	if (d->low > 0)
		return "core wetter: it still dries inside";
	return d->high < 0 ? "shell wetter: it has taken up water, or was conditioned" : "no difference shown";
}

static void put_difference(struct table *t, const struct gradient *d)
{
	table_real(t, d->points);
	table_real(t, d->low);
	table_real(t, d->high);
}

/* Comparisons of a depth with the shell, and those in which it is wetter. */
struct compared {
	size_t n, wetter;
};

/* Those of the i-th row that were read at one depth. */
static void put_depth(struct table *t, const struct moist_view *v, size_t i, struct moist_run shell, struct moist_run r, struct compared *all)
{
	struct sums sums = moist_run_sums(r);
	struct gradient d;

	moist_view_keys(v, t, i);
	table_real(t, (double)r.v[0].depth / VALUE_STEPS);
	table_int(t, (int64_t)r.n);
	table_int(t, (int64_t)r.n - sums.n);
	table_real(t, sums_mean(&sums, VALUE_STEPS));
	table_real(t, sums_sd(&sums, VALUE_STEPS));
	if (r.v == shell.v) {
		table_rest_absent(t);
		return;
	}
	d = difference_of(v->ask, shell, r);
	all->n += isnan(d.low) ? 0 : 1;
	all->wetter += d.low > 0;
	put_difference(t, &d);
	table_int(t, (int64_t)d.pairs);
	table_cstr(t, meaning_of(&d));
}

/* Rows by depth. The result: how many readings have no depth. */
static size_t put_depths(struct table *t, const struct moist_view *v, size_t row, struct compared *all)
{
	struct moist_run all_of = moist_row_values(v->rows, row);
	struct moist_run shell = { NULL, 0 };
	size_t from = 0, to;

	while (from < all_of.n && all_of.v[from].depth == HOUSE_NONE)
		from++;
	for (size_t i = from; i < all_of.n; i = to) {
		for (to = i + 1; to < all_of.n && all_of.v[to].depth == all_of.v[i].depth; to++)
			;
		if (i == from)
			shell = (struct moist_run){ all_of.v + i, to - i };
		put_depth(t, v, row, shell, (struct moist_run){ all_of.v + i, to - i }, all);
		moist_view_row_done(v, t);
	}
	return from;
}

/* How many depths were compared with the shell, and in how many the core was wetter. */
static void find_wetter(struct table *t, size_t wetter, size_t compared)
{
	struct buf text = BUF_INIT;

	if (!compared)
		return;
	buf_printf(&text, "The core is wetter than the shell in %zu of %zu comparison%s.", wetter, compared, PLURAL(compared, "", "s"));
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

bool moist_view_depth(const struct moist_view *v, struct table *t)
{
	struct buf note = BUF_INIT;
	struct compared all = { 0, 0 };
	size_t unsaid = 0, values = 0;

	MOIST_VIEW_START(v, t, DEPTHS);
	for (size_t i = 0; i < v->rows->n; i++) {
		unsaid += put_depths(t, v, i, &all);
		values += v->rows->nvalues;
	}
	find_wetter(t, all.wetter, all.n);
	buf_printf(&note, "Less shell: the mean at this depth less that at the shallowest, with its %.6g %% interval. It is of the differences within pieces read at both depths on one day, else of two samples.", 100 * v->ask->sure);
	table_note(t, buf_slice(&note));
	note.n = 0;
	buf_printf(&note, "Left out because they have no depth: %zu.", unsaid);
	table_note(t, buf_slice(&note));
	buf_release(&note);
	return values > unsaid;
}

/* ---- before and after planing */

static const struct table_column PLANED[] = {
	{ "n_clefts", TABLE_INT, 0, "clefts" }, { "clefts_mean_pct", TABLE_REAL, 1, "mean, %" }, { "clefts_sd_pct", TABLE_REAL, 2, NULL },
	{ "n_blades", TABLE_INT, 0, "blades" }, { "blades_mean_pct", TABLE_REAL, 1, "mean, %" }, { "blades_sd_pct", TABLE_REAL, 2, NULL },
	{ "change_pct", TABLE_REAL, 2, "change, %" }, { "change_low_pct", TABLE_REAL, 2, "from, %" }, { "change_high_pct", TABLE_REAL, 2, "to, %" },
	{ "n_unsaid", TABLE_INT, 0, NULL }, { "n_off_scale", TABLE_INT, 0, NULL },
};

/* Clefts compared with their blades. */
struct changed {
	size_t n, wetter, drier;
};

static void find_changed(struct table *t, const struct changed *all)
{
	struct buf text = BUF_INIT;

	if (all->n)
		buf_printf(&text, "Blades are wetter than their clefts in %zu of %zu comparison%s, drier in %zu.", all->wetter, all->n,
			PLURAL(all->n, "", "s"), all->drier);
	else
		buf_str(&text, "No row has enough clefts and blades to compare.");
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

/* The values of one form, taken off those of a row into a list of their own. */
static struct moist_run run_of_form(struct moist_run r, uint8_t form, struct moist_value *into)
{
	struct moist_run of = { into, 0 };

	for (size_t i = 0; i < r.n; i++)
		if (r.v[i].form == form) {
			into[of.n] = r.v[i];
			into[of.n++].piece = 0;
		}
	return of;
}

static void put_planing(struct table *t, const struct moist_view *v, size_t row, struct changed *all)
{
	struct moist_run r = moist_row_values(v->rows, row);
	struct moist_value *kept = mem_array(2 * r.n + 1, sizeof *kept);
	struct moist_run of[] = { run_of_form(r, MOIST_BEFORE, kept), run_of_form(r, MOIST_AFTER, kept + r.n) };
	struct gradient d = difference_of(v->ask, of[0], of[1]);
	struct sums sums[] = { moist_run_sums(of[0]), moist_run_sums(of[1]) }, every = moist_run_sums(r);

	moist_view_keys(v, t, row);
	for (int i = 0; i < 2; i++) {
		table_int(t, (int64_t)of[i].n);
		table_real(t, sums_mean(&sums[i], VALUE_STEPS));
		table_real(t, sums_sd(&sums[i], VALUE_STEPS));
	}
	all->n += isnan(d.low) ? 0 : 1;
	all->wetter += d.low > 0;
	all->drier += d.high < 0;
	put_difference(t, &d);
	table_int(t, (int64_t)(r.n - of[0].n - of[1].n));
	table_int(t, (int64_t)r.n - every.n);
	free(kept);
}

bool moist_view_planing(const struct moist_view *v, struct table *t)
{
	struct changed all = { 0, 0, 0 };
	struct buf note = BUF_INIT;

	MOIST_VIEW_START(v, t, PLANED);
	for (size_t i = 0; i < v->rows->n; i++) {
		put_planing(t, v, i, &all);
		moist_view_row_done(v, t);
	}
	find_changed(t, &all);
	buf_printf(&note, "Change: blades less clefts, with its %.6g %% interval. Planing removes the shell and so shows the core; time passed too.", 100 * v->ask->sure);
	table_note(t, buf_slice(&note));
	table_note(t, SLICE("Clefts: readings with form=cleft and pieces in a charge. Blades: readings with form=blade, judged pieces and bats."));
	table_note(t, MOIST_AT_RANDOM);
	buf_release(&note);
	return v->rows->n > 0;
}
