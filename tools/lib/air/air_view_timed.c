#include <math.h>
#include <stdlib.h>

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

static void add_column(struct table *t, const char *quantity, const char *what, unsigned places)
{
	struct buf name = BUF_INIT;

	buf_printf(&name, "%s_%s", quantity, what);
	table_add_column(t, buf_cstr(&name), TABLE_REAL, places);
	buf_release(&name);
}

static void add_timed_columns(const struct air_ask *ask, struct table *t)
{
	static const char *const c[] = { "mean_c", "raw_mean_c", "min_c", "max_c" }, *const pct[] = { "mean_pct", "raw_mean_pct", "min_pct", "max_pct" };

	for (size_t k = 0; k < ask->nby; k++)
		table_add_column(t, air_by_words[ask->by[k]], TABLE_TEXT, 0);
	table_add_column(t, "n", TABLE_INT, 0);
	for (int q = 0; q < AIR_QUANTITIES; q++) {
		if (!ask->wants[q])
			continue;
		add_column(t, air_words[q], "covered_h", 1);
		add_column(t, air_words[q], "gap_h", 1);
		for (int i = 0; i < 4; i++)
			add_column(t, air_words[q], q == AIR_TEMP ? c[i] : pct[i], i < 2 ? 2 : 1);
		add_column(t, air_words[q], q == AIR_EMC ? "in_target_h" : "in_band_h", 1);
		add_column(t, air_words[q], q == AIR_EMC ? "out_of_target_h" : "out_of_band_h", 1);
		add_column(t, air_words[q], q == AIR_EMC ? "in_target_share" : "in_band_share", 3);
	}
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
	for (size_t i = 0; i < rows.n; i++) {
		put_timed_row(ask, t, rows.list[i]);
		view_some(ask, t);
	}
	groups_release(&rows);
	table_note(t, SLICE("Means are over time, in straight lines between readings; gaps are left out."));
	if (ask->wants[AIR_EMC])
		table_note(t, SLICE("EMC is good to about 1 point either way."));
	view_note_gaps(&v);
	view_note_offsets(&v, ask->to);
	view_release(&v);
}
