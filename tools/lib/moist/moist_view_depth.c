#include "moist/moist_view_depth.h"

#include <math.h>
#include <stdlib.h>

#include "moist/gradient.h"
#include "moist/moist_view_internal.h"

/* ---- shell and core */

static const struct table_column DEPTHS[] = {
	{ "depth_mm", TABLE_REAL, 1, NULL }, { "n_pieces", TABLE_INT, 0, NULL }, { "n_off_scale", TABLE_INT, 0, NULL },
	{ "mc_mean_pct", TABLE_REAL, 1, NULL }, { "mc_sd_pct", TABLE_REAL, 2, NULL },
	{ "less_shell_pct", TABLE_REAL, 2, NULL }, { "less_shell_low_pct", TABLE_REAL, 2, NULL }, { "less_shell_high_pct", TABLE_REAL, 2, NULL },
	{ "n_pairs", TABLE_INT, 0, NULL }, { "meaning", TABLE_TEXT, 0, NULL },
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

static struct gradient difference_of(const struct moist_ask *ask, struct moist_run shallow, struct moist_run deep)
{
	size_t m, n;
	struct gradient_depth *a = points_of(shallow, &m), *b = points_of(deep, &n);
	struct gradient d = gradient_of(a, m, b, n, ask->sure);

	free(a);
	free(b);
	return d;
}

static const char *meaning_of(const struct gradient *d)
{
	if (isnan(d->points))
		return NULL;
	if (isnan(d->low))
		return "too few pieces to tell";
	if (d->low > 0)
		return "core wetter: it still dries inside";
	return d->high < 0 ? "shell wetter: it has taken up water, or was conditioned" : "no difference told";
}

static void put_difference(struct table *t, const struct gradient *d)
{
	table_real(t, d->points);
	table_real(t, d->low);
	table_real(t, d->high);
}

/* Those of the i-th row that were read at one depth. */
static void put_depth(struct table *t, const struct moist_view *v, size_t i, struct moist_run shell, struct moist_run r)
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
	put_difference(t, &d);
	table_int(t, (int64_t)d.pairs);
	table_cstr(t, meaning_of(&d));
}

/* Rows by depth; what bears no depth is none of them. */
static size_t put_depths(struct table *t, const struct moist_view *v, size_t row)
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
		put_depth(t, v, row, shell, (struct moist_run){ all_of.v + i, to - i });
		moist_view_row_done(v, t);
	}
	return from;
}

bool moist_view_depth(const struct moist_view *v, struct table *t)
{
	struct buf note = BUF_INIT;
	size_t unsaid = 0, values = 0;

	MOIST_VIEW_START(v, t, DEPTHS);
	for (size_t i = 0; i < v->rows->n; i++) {
		unsaid += put_depths(t, v, i);
		values += v->rows->nvalues;
	}
	buf_printf(&note, "less_shell: this depth less the shallowest, with its interval at %.6g %%: of the differences within pieces read at both on one day (n_pairs), else of two samples.", 100 * v->ask->sure);
	table_note(t, buf_slice(&note));
	note.n = 0;
	buf_printf(&note, "Left out because no depth was written: %zu.", unsaid);
	table_note(t, buf_slice(&note));
	buf_release(&note);
	return values > unsaid;
}

/* ---- before and after planing */

static const struct table_column PLANED[] = {
	{ "n_clefts", TABLE_INT, 0, NULL }, { "clefts_mean_pct", TABLE_REAL, 1, NULL }, { "clefts_sd_pct", TABLE_REAL, 2, NULL },
	{ "n_blades", TABLE_INT, 0, NULL }, { "blades_mean_pct", TABLE_REAL, 1, NULL }, { "blades_sd_pct", TABLE_REAL, 2, NULL },
	{ "change_pct", TABLE_REAL, 2, NULL }, { "change_low_pct", TABLE_REAL, 2, NULL }, { "change_high_pct", TABLE_REAL, 2, NULL },
	{ "n_unsaid", TABLE_INT, 0, NULL }, { "n_off_scale", TABLE_INT, 0, NULL },
};

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

static void put_planing(struct table *t, const struct moist_view *v, size_t row)
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
	put_difference(t, &d);
	table_int(t, (int64_t)(r.n - of[0].n - of[1].n));
	table_int(t, (int64_t)r.n - every.n);
	free(kept);
}

bool moist_view_planing(const struct moist_view *v, struct table *t)
{
	struct buf note = BUF_INIT;

	MOIST_VIEW_START(v, t, PLANED);
	for (size_t i = 0; i < v->rows->n; i++) {
		put_planing(t, v, i);
		moist_view_row_done(v, t);
	}
	buf_printf(&note, "change: blades less clefts, with its interval at %.6g %%; planing takes off the shell, so that it shows what the shell hid, and time passed too.", 100 * v->ask->sure);
	table_note(t, buf_slice(&note));
	table_note(t, SLICE("Clefts are what form= calls so, and pieces in a charge; blades what form= calls so, judged pieces and bats."));
	table_note(t, MOIST_AT_RANDOM);
	buf_release(&note);
	return v->rows->n > 0;
}
