#include <math.h>
#include <stdlib.h>

#include "air/air_finding.h"
#include "air/air_view_internal.h"
#include "table/group.h"

struct row {
	int64_t n;
	struct air_sum sum[AIR_QUANTITIES];
};

static void add_row(struct view *v, struct groups *rows, const struct air_period *p)
{
	const struct air_ask *ask = v->ask;
	struct slice key[GROUP_KEYS_MOST];
	struct row *row;

	v->text.n = 0;
	day_write(&v->text, p->day);
	for (size_t k = 0; k < ask->nby; k++)
		key[k] = ask->by[k] == AIR_BY_PLACE ? v->in->id : slice_upto(buf_slice(&v->text), ask->by[k] == AIR_BY_MONTH ? 7 : 10);
	row = groups_at(rows, key)->extra;
	row->n += p->n;
	for (int q = 0; q < AIR_QUANTITIES; q++)
		air_sum_merge(&row->sum[q], &p->sum[q]);
}

static void add_record(struct view *v, struct groups *rows, const struct air_record *in)
{
	const struct air_ask *ask = v->ask;
	struct air_period *period;
	int key = AIR_BY_PLACE;
	size_t n;

	for (size_t k = 0; k < ask->nby; k++)
		key = (int)ask->by[k] > key ? (int)ask->by[k] : key;
	view_open(v, in, ask->wants[AIR_EMC] ? AIR_WITH_EMC : 0);
	period = view_periods(v, key, &n);
	for (int q = 0; q < AIR_QUANTITIES; q++)
		if (ask->wants[q])
			view_sum_periods(v, q, period, n);
	for (size_t i = 0; i < n; i++)
		add_row(v, rows, &period[i]);
	free(period);
}

enum { TIMED = 9 };

/* The columns of a quantity: its name goes in front. NULL: not for reading. */
struct timed_column {
	const char *name, *heading, *heading_alone;
	unsigned places;
};

static const struct timed_column TEMP[TIMED] = {
	{ "covered_h", NULL, NULL, 1 }, { "gap_h", NULL, "gaps, h", 1 }, { "mean_c", "mean temp, C", "mean temp, C", 2 },
	{ "raw_mean_c", NULL, NULL, 2 }, { "min_c", NULL, "lowest, C", 1 }, { "max_c", NULL, "highest, C", 1 },
	{ "in_band_h", NULL, NULL, 1 }, { "out_of_band_h", NULL, "out of band, h", 1 }, { "in_band_share", NULL, "in band", 3 },
};

static const struct timed_column RH[TIMED] = {
	{ "covered_h", "known, h", NULL, 1 }, { "gap_h", "gaps, h", "gaps, h", 1 }, { "mean_pct", "mean RH, %", "mean RH, %", 2 },
	{ "raw_mean_pct", NULL, NULL, 2 }, { "min_pct", NULL, "lowest, %", 1 }, { "max_pct", NULL, "highest, %", 1 },
	{ "in_band_h", NULL, NULL, 1 }, { "out_of_band_h", NULL, "out of band, h", 1 },
	{ "in_band_share", "RH in band", "in band", 3 },
};

static const struct timed_column EMC[TIMED] = {
	{ "covered_h", NULL, NULL, 1 }, { "gap_h", NULL, "gaps, h", 1 }, { "mean_pct", "mean EMC, %", "mean EMC, %", 2 },
	{ "raw_mean_pct", NULL, NULL, 2 }, { "min_pct", NULL, "lowest, %", 1 }, { "max_pct", NULL, "highest, %", 1 },
	{ "in_target_h", NULL, NULL, 1 }, { "out_of_target_h", NULL, "out of target, h", 1 },
	{ "in_target_share", "EMC in target", "in target", 3 },
};

static const struct timed_column *const COLUMNS[AIR_QUANTITIES] = { TEMP, RH, EMC };

static void add_column(struct table *t, int quantity, const struct timed_column *c, bool alone)
{
	struct buf name = BUF_INIT;

	buf_printf(&name, "%s_%s", air_words[quantity], c->name);
	table_add_column(t, buf_cstr(&name), TABLE_REAL, c->places);
	table_heading(t, alone ? c->heading_alone : c->heading);
	buf_release(&name);
}

static void add_timed_columns(const struct air_ask *ask, struct table *t)
{
	bool alone = ask->wants[AIR_TEMP] + ask->wants[AIR_RH] + ask->wants[AIR_EMC] == 1;

	air_ask_keys(ask, t);
	table_add_column(t, "n", TABLE_INT, 0);
	for (int q = 0; q < AIR_QUANTITIES; q++)
		for (int i = 0; ask->wants[q] && i < TIMED; i++)
			add_column(t, q, &COLUMNS[q][i], alone);
	if (ask->wants[AIR_EMC]) {
		table_add_column(t, "kiln_target_pct", TABLE_REAL, 1);
		table_add_column(t, "emc_less_kiln_target_pct", TABLE_REAL, 2);
	}
}

static void put_sum(struct table *t, const struct air_sum *s)
{
	bool covered = s->covered_h > 0, judged = s->judged_h > 0;

	table_real(t, s->covered_h);
	table_real(t, s->gap_h);
	table_real(t, air_sum_mean(s));
	table_real(t, air_sum_raw_mean(s));
	table_real(t, covered ? s->least : NAN);
	table_real(t, covered ? s->most : NAN);
	table_real(t, judged ? s->in_h : NAN);
	table_real(t, judged ? s->judged_h - s->in_h : NAN);
	table_real(t, judged ? s->in_h / s->judged_h : NAN);
}

static void put_timed_row(const struct air_ask *ask, struct table *t, const struct group *g)
{
	const struct row *row = g->extra;

	for (size_t k = 0; k < ask->nby; k++)
		table_text(t, g->key[k]);
	table_int(t, row->n);
	for (int q = 0; q < AIR_QUANTITIES; q++)
		if (ask->wants[q])
			put_sum(t, &row->sum[q]);
	if (ask->wants[AIR_EMC]) {
		table_real(t, view_kiln_target(ask));
		table_real(t, air_sum_mean(&row->sum[AIR_EMC]) - view_kiln_target(ask));
	}
}

/* How much of the time each place was in its band. */
static void find_shares(const struct air_ask *ask, struct table *t, const struct groups *rows, int quantity, const char *band)
{
	struct air_shares shares = { NULL, 0, 0 };

	for (size_t i = 0; ask->wants[quantity] && i < rows->n; i++) {
		const struct air_sum *sum = &((const struct row *)rows->list[i]->extra)->sum[quantity];

		air_shares_add(&shares, air_ask_place_key(ask, rows->list[i]->key), sum->judged_h, sum->in_h);
	}
	air_shares_find(&shares, t, band, "of the time");
	air_shares_release(&shares);
}

void air_view_timed(const struct air_ask *ask, struct table *t)
{
	const struct groups_plan plan = { .name = "air", .nkeys = ask->nby, .extra = sizeof(struct row) };
	struct groups rows;
	struct view v;

	table_init(t, NULL, 0);
	add_timed_columns(ask, t);
	view_init(&v, ask, t);
	groups_init(&rows, &plan);
	for (size_t i = 0; i < ask->book->nrecords; i++)
		add_record(&v, &rows, &ask->book->record[i]);
	groups_sort(&rows);
	find_shares(ask, t, &rows, AIR_RH, "its humidity band");
	find_shares(ask, t, &rows, AIR_EMC, "air that keeps wood in its target");
	for (size_t i = 0; i < rows.n; i++) {
		put_timed_row(ask, t, rows.list[i]);
		view_some(ask, t);
	}
	groups_release(&rows);
	table_note(t, SLICE("Means are over time, in straight lines between readings. Gaps are left out. RH: relative humidity."));
	if (ask->wants[AIR_EMC])
		table_note(t, SLICE("EMC (equilibrium moisture content): the moisture at which wood equilibrates in this air, good to about 1 point either way."));
	view_note_gaps(&v);
	view_note_offsets(&v, ask->to);
	view_release(&v);
}
