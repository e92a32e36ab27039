#include "air/air_view_internal.h"

static const struct table_column spell_columns[] = {
	{ "place", TABLE_TEXT, 0, NULL }, { "quantity", TABLE_TEXT, 0, NULL }, { "side", TABLE_TEXT, 0, NULL }, { "from", TABLE_DATE, 0, NULL },
	{ "to", TABLE_DATE, 0, NULL }, { "hours", TABLE_REAL, 1, NULL }, { "limit", TABLE_REAL, 1, NULL }, { "worst", TABLE_REAL, 1, NULL },
	{ "worst_at", TABLE_DATE, 0, NULL }, { "unit", TABLE_TEXT, 0, NULL }, { "open", TABLE_TEXT, 0, NULL }
};

static void put_spell(struct view *v, int q, const struct air_spell *s)
{
	struct table *t = v->t;

	table_text(t, v->in->id);
	table_cstr(t, air_words[q]);
	table_cstr(t, s->side > 0 ? "above" : "below");
	view_put_instant(v, s->from_s);
	view_put_instant(v, s->to_s);
	table_real(t, (s->to_s - s->from_s) / HOUR_S);
	table_real(t, s->side > 0 ? v->band[q].high : v->band[q].low);
	table_real(t, s->worst);
	view_put_instant(v, (double)s->worst_s);
	table_cstr(t, AIR_UNITS[q]);
	table_cstr(t, s->cut_before && s->cut_after ? "both" : s->cut_before ? "start" : s->cut_after ? "end" : "no");
	view_some(v->ask, t);
}

static void put_spells(struct view *v, int q)
{
	struct air_spell s;
	int64_t from_s, to_s;

	view_window(v, &from_s, &to_s);
	for (size_t at = 0; air_next_spell(&v->track, q, v->band[q], &at, &s);)
		if (s.to_s >= (double)from_s && s.from_s < (double)to_s)
			put_spell(v, q, &s);
}

void air_view_spells(const struct air_ask *ask, struct table *t)
{
	struct view v;

	table_init(t, spell_columns, sizeof spell_columns / sizeof *spell_columns);
	view_init(&v, ask, t);
	for (size_t i = 0; i < ask->book->nrecords; i++) {
		view_open(&v, &ask->book->record[i], ask->wants[AIR_EMC] ? AIR_WITH_EMC : 0);
		for (int q = 0; q < AIR_QUANTITIES; q++)
			if (ask->wants[q] && air_band_given(v.band[q]))
				put_spells(&v, q);
	}
	table_note(t, SLICE("A spell that a gap or the end of the readings cuts off is open there, and may have been longer and worse."));
	view_note_gaps(&v);
	view_note_offsets(&v, ask->to);
	view_release(&v);
}
