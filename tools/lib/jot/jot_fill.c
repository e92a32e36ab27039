#include "jot/jot_fill.h"

#include "jot/jot_defaults.h"
#include "jot/jot_making.h"

static bool lacks(struct jot_making *m, int field)
{
	return jot_making_use(m, field) && !jot_making_field(m, field);
}

static struct slice value_of(struct jot_making *m, int field)
{
	struct jot_field *given = jot_making_field(m, field);

	return given ? buf_slice(&given->value) : SLICE("");
}

/* ---- the person and the defaults */

/* Who writes: by= as typed, else the person. */
static struct slice writer(struct jot_making *m)
{
	struct slice by = value_of(m, FIELD_BY);

	return by.n ? by : m->now->person;
}

/* A meter belongs to a reading. */
static bool is_reading(struct jot_making *m)
{
	return jot_making_field(m, FIELD_MC) || jot_making_field(m, FIELD_TEMP) || jot_making_field(m, FIELD_RH)
		|| jot_making_field(m, FIELD_WETBULB);
}

static bool add_default(struct jot_making *m, const struct field_use *use, struct slice value)
{
	struct buf full = BUF_INIT;
	bool good = jot_values_expand(m->now->state, use, m->day, m->bat, value, &full, &m->entry->error);

	if (good)
		jot_making_fill(m, use, buf_slice(&full), SLICE("jot.yaml"));
	buf_release(&full);
	return good;
}

static bool add_defaults(struct jot_making *m)
{
	for (int i = 0; i < m->event->nuses; i++) {
		const struct field_use *use = &m->event->uses[i];
		struct slice value = jot_defaults_value(m->now->defaults, writer(m), m->event, use->field->name);

		if (!value.n || jot_making_field(m, use->field->id) || (use->field->id == FIELD_METER && !is_reading(m)))
			continue;
		if (!add_default(m, use, value))
			return false;
	}
	return true;
}

/* ---- the day's lines */

static bool same_place(struct jot_making *m, const struct line *l)
{
	struct slice at = value_of(m, FIELD_AT);

	return slice_eq(l->subject, m->subject) || (at.n && slice_eq(line_word(l, FIELD_AT), at));
}

/* What the latest such line has for each of the fields, which are slices of today's lines. */
static void find_latest(struct jot_making *m, const int *field, size_t n, struct slice *value, struct slice *when)
{
	struct slice rest = buf_slice(&m->now->state->lines);
	struct diags diags;
	struct parser parser;

	diags_init(&diags);
	parser_init(&parser, m->now->state->vocab, &diags);
	for (uint64_t number = 1; rest.n; number++) {
		struct slice text = slice_upto(rest, slice_find(rest, '\n'));
		const struct line *l = parse_line(&parser, text, number, 0);

		rest = slice_from(rest, text.n + 1);
		if (l->kind != LINE_EVENT || l->event != m->event || !slice_eq(line_word(l, FIELD_BY), writer(m)) || !same_place(m, l))
			continue;
		for (size_t i = 0; i < n; i++)
			if (line_field(l, field[i])) {
				value[i] = line_field(l, field[i])->text;
				when[i] = l->time;
			}
	}
	parser_release(&parser);
	diags_release(&diags);
}

static void carry(struct jot_making *m)
{
	static const int fields[] = { FIELD_WOOD, FIELD_METER };
	struct slice value[2] = { { "", 0 }, { "", 0 } }, when[2] = { { "", 0 }, { "", 0 } };

	if (m->day != m->now->state->today || !writer(m).n || !is_reading(m))
		return;
	find_latest(m, fields, 2, value, when);
	for (size_t i = 0; i < 2; i++) {
		struct buf why = BUF_INIT;

		buf_str(&why, "your line of ");
		buf_add(&why, when[i].n ? when[i] : SLICE("today"));
		if (value[i].n && lacks(m, fields[i]))
			jot_making_fill(m, jot_making_use(m, fields[i]), value[i], buf_slice(&why));
		buf_release(&why);
	}
}

/* ---- the place */

static struct jot_pick pick_of(struct jot_making *m)
{
	struct slice lot = m->subject, form = value_of(m, FIELD_FORM);
	struct jot_pick pick = { .type = value_of(m, FIELD_TYPE), .grade = value_of(m, FIELD_GRADE), .form = m->event->stock.form,
		.ungraded = m->event->stock.ungraded && !jot_making_field(m, FIELD_GRADE) };

	if (m->event->stock.take == TAKE_PAIR && m->event->stock.makes >= 0) {
		lot = value_of(m, FIELD_BLADE);
		pick.form = FORM_BLADE;
	} else if (m->event->stock.lot == FROM_FIELD)
		lot = value_of(m, FIELD_LOT);
	if (form.n)
		pick.form = vocab_form_named(form);
	pick.lot = slice_upto(lot, slice_find(lot, '/'));
	return pick;
}

static void add_place(struct jot_making *m)
{
	const struct field_use *use = jot_making_use(m, FIELD_AT);
	struct jot_pick pick = pick_of(m);
	struct slice place;
	struct buf why = BUF_INIT;

	if (!lacks(m, FIELD_AT) || !(use->shape & USE_NEEDED) || m->event->id == EVENT_TALLY || !pick.lot.n)
		return;
	place = jot_state_place(m->now->state, &pick);
	buf_printf(&why, "all of %.*s", (int)pick.lot.n, pick.lot.p);
	if (pick.type.n)
		buf_printf(&why, " %.*s", (int)pick.type.n, pick.type.p);
	buf_str(&why, " is there");
	if (place.n)
		jot_making_fill(m, use, place, buf_slice(&why));
	buf_release(&why);
}

bool jot_fill(struct jot_making *m)
{
	if (!add_defaults(m))
		return false;
	add_place(m);
	carry(m);
	if (m->now->person.n && lacks(m, FIELD_BY))
		jot_making_fill(m, jot_making_use(m, FIELD_BY), m->now->person, m->now->known);
	return true;
}
