#include "air/air_view_internal.h"

static const struct table_column spell_columns[] = {
	{ "place", TABLE_TEXT, 0, "place" }, { "quantity", TABLE_TEXT, 0, "of" }, { "side", TABLE_TEXT, 0, "side" }, { "from", TABLE_DATE, 0, "from" },
	{ "to", TABLE_DATE, 0, NULL }, { "hours", TABLE_REAL, 1, "hours" }, { "limit", TABLE_REAL, 1, "limit" }, { "worst", TABLE_REAL, 1, "worst" },
	{ "worst_at", TABLE_DATE, 0, NULL }, { "unit", TABLE_TEXT, 0, "unit" }, { "open", TABLE_TEXT, 0, "cut off at" }
};

/* How many spells, and the longest of them. */
struct longest {
	size_t n;
	struct slice place;
	const char *quantity;
	double hours;
};

static void add_spell(struct longest *all, const struct view *v, int q, const struct air_spell *s)
{
	double hours = (s->to_s - s->from_s) / HOUR_S;

	if (all->n++ && hours <= all->hours)
		return;
	all->hours = hours;
	all->place = v->in->id;
	all->quantity = AIR_NAMES[q];
}

static void find_spells(struct table *t, const struct longest *all, bool judged)
{
	struct buf text = BUF_INIT;

	if (!judged)
		buf_str(&text, "No place with readings has a band in the house file.");
	else if (!all->n)
		buf_str(&text, "No place was out of its band.");
	else
		buf_printf(&text, "The air was out of band %zu time%s; the longest spell lasted %.1f h (%s at %.*s).", all->n, PLURAL(all->n, "", "s"),
			all->hours, all->quantity, (int)all->place.n, all->place.p);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

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

static void put_spells(struct view *v, int q, struct longest *all)
{
	struct air_spell s;
	int64_t from_s, to_s;

	view_window(v, &from_s, &to_s);
	for (size_t at = 0; air_next_spell(&v->track, q, v->band[q], &at, &s);)
		if (s.to_s >= (double)from_s && s.from_s < (double)to_s) {
			add_spell(all, v, q, &s);
			put_spell(v, q, &s);
		}
}

void air_view_spells(const struct air_ask *ask, struct table *t)
{
	struct longest all = { .n = 0 };
	bool judged = false;
	struct view v;

	table_init(t, spell_columns, sizeof spell_columns / sizeof *spell_columns);
	view_init(&v, ask, t);
	for (size_t i = 0; i < ask->book->nrecords; i++) {
		view_open(&v, &ask->book->record[i], ask->wants[AIR_EMC] ? AIR_WITH_EMC : 0);
		for (int q = 0; q < AIR_QUANTITIES; q++)
			if (ask->wants[q] && air_band_given(v.band[q])) {
				judged = true;
				put_spells(&v, q, &all);
			}
	}
	find_spells(t, &all, judged);
	table_note(t, SLICE("A spell that a gap or the end of the readings cuts off may have been longer and worse."));
	view_note_gaps(&v);
	view_note_offsets(&v, ask->to);
	view_release(&v);
}
