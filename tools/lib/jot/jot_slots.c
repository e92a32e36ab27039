#include "jot/jot_slots.h"

#include "jot/jot_making.h"

enum { SLOTS_MOST = 8 };

/* Of events that require no field, or for which others are as usual. */
static const struct {
	int event, field[SLOTS_MOST];
	size_t n;
} own_slots[] = {
	{ EVENT_ORDER, { FIELD_COUNT, FIELD_TO, FIELD_DUE }, 3 },
	{ EVENT_PROBE, { FIELD_MC }, 1 },
	{ EVENT_AIR, { FIELD_TEMP, FIELD_RH }, 2 },
	{ EVENT_SET, { FIELD_STAGE, FIELD_TEMP, FIELD_RH }, 3 },
	{ EVENT_SEAL, { FIELD_WITH }, 1 },
	{ EVENT_JUDGE, { FIELD_GRADE, FIELD_GRAINS, FIELD_MASS }, 3 },
	{ EVENT_FINISH, { FIELD_MASS, FIELD_LENGTH, FIELD_WIDTH, FIELD_DEPTH, FIELD_EDGE }, 5 },
};

struct slots {
	const struct field_use *use[USE_MOST];
	size_t n;
};

static const struct field_use *use_of(const struct event_def *event, int field)
{
	for (int i = 0; i < event->nuses; i++)
		if (event->uses[i].field->id == field)
			return &event->uses[i];
	return NULL;
}

static struct slots slots_of(const struct event_def *event)
{
	struct slots s = { .n = 0 };

	for (size_t i = 0; i < sizeof own_slots / sizeof *own_slots; i++)
		for (size_t k = 0; own_slots[i].event == event->id && k < own_slots[i].n; k++)
			s.use[s.n++] = use_of(event, own_slots[i].field[k]);
	if (s.n)
		return s;
	for (int i = 0; i < event->nuses && s.n < USE_MOST; i++)
		if (event->uses[i].shape & USE_NEEDED)
			s.use[s.n++] = &event->uses[i];
	return s;
}

void jot_slots_fields(const struct event_def *event, struct jot_choices *out)
{
	struct slots s = slots_of(event);

	for (size_t i = 0; i < s.n; i++)
		jot_choices_add(out, s.use[i]->field->name, s.use[i]->field->help);
}

/* ---- which can take it */

static bool takes_number(const struct jot_making *m, const struct field_use *use, struct slice word)
{
	size_t colon = slice_find(word, ':');
	struct buf full = BUF_INIT;
	struct value value;
	bool good;

	if (colon < word.n ? !(use->shape & (USE_LABEL_MAY | USE_LABEL_MUST)) : use->shape & USE_LABEL_MUST)
		return false;
	jot_values_number(m->now->state, use, m->bat, slice_from(word, colon < word.n ? colon + 1 : 0), &full);
	good = value_read(use->type, use->shape, buf_slice(&full), &value) == VALUE_OK;
	buf_release(&full);
	return good;
}

static bool takes(const struct jot_making *m, const struct field_use *use, struct slice word)
{
	bool digit = word.p[0] >= '0' && word.p[0] <= '9';

	if (use->type == TYPE_DATE && word.p[0] == '+')
		return true;
	if (value_is_number(use->type))
		return takes_number(m, use, word);
	if (use->type == TYPE_TEXT)
		return true;
	if (word.p[0] == '-')
		return word.n == 1 && use->shape & USE_ABSENT;
	return (use->type == TYPE_WHAT || !digit) && (slice_find(word, ':') == word.n || use->shape & USE_LABEL_MUST);
}

/* Whether all of a comma list can be taken. */
static bool takes_all(const struct jot_making *m, const struct field_use *use, struct slice words)
{
	if (use->type == TYPE_TEXT)
		return true;
	while (words.n) {
		size_t comma = slice_find(words, ',');

		if (comma == 0 || !takes(m, use, slice_upto(words, comma)))
			return false;
		words = slice_from(words, comma < words.n ? comma + 1 : comma);
	}
	return true;
}

/* The cull= of the event, where the label of the item is a cause and not a type or a grade. */
static const struct field_use *cull_of(const struct jot_making *m, struct slice word)
{
	struct slice label = slice_upto(word, slice_find(word, ':')), found;
	const struct field_use *cull = jot_making_use(m, FIELD_CULL), *count = jot_making_use(m, FIELD_COUNT);
	struct jot_choices causes = { .n = 0 }, kinds = { .n = 0 };
	bool is_cause;

	if (!cull || label.n == word.n || !takes_all(m, cull, word))
		return NULL;
	jot_values_labels(m->now->state, cull, m->day, &causes);
	if (count)
		jot_values_labels(m->now->state, count, m->day, &kinds);
	is_cause = jot_choices_find(&causes, label, &found) != JOT_NONE && jot_choices_find(&kinds, label, &found) == JOT_NONE;
	jot_choices_release(&causes);
	jot_choices_release(&kinds);
	return is_cause ? cull : NULL;
}

/* Whether the field has a list of the house that the first of the words is not on, or ids and the book does not know it. */
static bool lacks(const struct jot_making *m, const struct field_use *use, struct slice words)
{
	struct slice word = slice_upto(words, slice_find(words, ',')), found;
	struct jot_choices values = { .n = 0 };
	bool dotted = word.n && word.p[word.n - 1] == '.', none;

	if (value_is_number(use->type) || use->type == TYPE_TEXT || slice_find(word, ':') < word.n)
		return false;
	jot_values_of(m->now->state, use, m->day, &values);
	none = values.n > 0 && jot_choices_find(&values, slice_upto(word, word.n - dotted), &found) == JOT_NONE;
	none = none && !(values.ids && jot_state_kinds(m->now->state, word));
	jot_choices_release(&values);
	return none;
}

/* The first field that can take it and whose list, if it has one, has it; else the first that can take it. */
static const struct field_use *slot_for(struct jot_making *m, const struct slots *s, struct slice word)
{
	const struct field_use *first = NULL, *more = NULL;

	for (size_t i = 0; i < s->n; i++) {
		struct jot_field *given = jot_making_field(m, s->use[i]->field->id);

		if (!takes_all(m, s->use[i], word) || (given && !given->bare))
			continue;
		if (!given && !lacks(m, s->use[i], word))
			return s->use[i];
		if (!given && !first)
			first = s->use[i];
		if (given && (s->use[i]->shape & USE_MANY || s->use[i]->type == TYPE_TEXT))
			more = s->use[i];
	}
	return first ? first : more;
}

/* ---- readings of probes */

static void add_reading(struct jot_making *m, const struct field_use *use, struct slice label, struct slice reading, struct buf *out)
{
	if (out->n)
		buf_char(out, ',');
	buf_add(out, label);
	buf_char(out, ':');
	jot_values_number(m->now->state, use, m->bat, reading, out);
}

static size_t count_items(struct slice list)
{
	size_t n = 1;

	for (size_t i = 0; i < list.n; i++)
		n += list.p[i] == ',';
	return n;
}

static bool wrong_number(struct jot_making *m, const struct jot_choices *probes, size_t n)
{
	struct buf *error = &m->entry->error;

	buf_printf(error, "%.*s has %zu probe%s in it: ", (int)m->subject.n, m->subject.p, probes->n, PLURAL(probes->n, "", "s"));
	for (size_t i = 0; i < probes->n; i++) {
		buf_str(error, i ? " " : "");
		buf_add(error, probes->at[i].word);
	}
	buf_printf(error, "; give %zu reading%s in that order, not %zu, and - for one that could not be taken", probes->n,
		PLURAL(probes->n, "", "s"), n);
	return false;
}

/* Gives the readings to the probes that are in, a label each. */
static bool lay_out(struct jot_making *m)
{
	struct jot_field *mc = jot_making_field(m, FIELD_MC);
	struct jot_choices probes = { .n = 0 };
	struct buf out = BUF_INIT;
	bool good = true;

	if (!mc || !mc->bare || m->event->id != EVENT_PROBE || slice_find(buf_slice(&mc->value), ':') < mc->value.n)
		return true;
	jot_state_probes(m->now->state, m->subject, m->day, &probes);
	if (probes.n && count_items(buf_slice(&mc->value)) != probes.n)
		good = wrong_number(m, &probes, count_items(buf_slice(&mc->value)));
	else if (probes.n) {
		struct slice rest = buf_slice(&mc->value);

		for (size_t i = 0; i < probes.n; i++) {
			size_t n = slice_find(rest, ',');

			add_reading(m, mc->use, probes.at[i].word, slice_upto(rest, n), &out);
			rest = slice_from(rest, n < rest.n ? n + 1 : n);
		}
		mc->value.n = 0;
		buf_add(&mc->value, buf_slice(&out));
	} else if (jot_state_kinds(m->now->state, m->subject) & SUBJECT_CHARGE) {
		buf_printf(&m->entry->error, "no probe is in %.*s on that day; write in=a:LOT/TYPE mc=a:24.5%% for each", (int)m->subject.n, m->subject.p);
		good = false;
	}
	buf_release(&out);
	jot_choices_release(&probes);
	return good;
}

/* ---- all words */

/* Whether the field cannot be meant of a bat: which of its pieces, or how many, is not asked of one piece. */
static bool is_idle_for_bat(const struct jot_making *m, const struct field_use *use)
{
	switch (use->field->id) {
	case FIELD_COUNT:
	case FIELD_FORM:
	case FIELD_TYPE:
	case FIELD_GRADE:
	case FIELD_CLASS:
		return m->bat && (m->event->stock.take == TAKE_PICK || m->event->stock.take == TAKE_SOLD);
	default:
		return false;
	}
}

/* Whether the field takes numbers and this is one as it is, or with the works' currency; or has a list with the word on it. */
static bool is_of(const struct jot_making *m, const struct field_use *use, struct slice word)
{
	struct jot_choices values = { .n = 0 };
	struct value value;
	struct slice found;
	bool listed;

	if (!takes_all(m, use, word) || use->type == TYPE_TEXT || is_idle_for_bat(m, use))
		return false;
	if (value_is_number(use->type))
		return use->type == TYPE_MONEY || value_read(use->type, use->shape, word, &value) == VALUE_OK;
	jot_values_of(m->now->state, use, m->day, &values);
	listed = jot_choices_find(&values, word, &found) != JOT_NONE;
	jot_choices_release(&values);
	return listed;
}

/* "write count=12 or FIELD=VALUE", of the fields that it may be meant for, if they are few. */
static void say_field(struct jot_making *m, struct slice word, struct buf *out)
{
	enum { FEW = 3 };
	const struct field_use *may[FEW];
	size_t n = 0;

	for (int i = 0; i < m->event->nuses && n <= FEW; i++) {
		const struct field_use *use = &m->event->uses[i];

		if (jot_making_field(m, use->field->id) || !is_of(m, use, word))
			continue;
		if (n < FEW)
			may[n] = use;
		n++;
	}
	buf_str(out, "write ");
	for (size_t i = 0; i < n && n <= FEW; i++)
		buf_printf(out, "%s%.*s=%.*s", i == 0 ? "" : i + 1 < n ? ", " : " or ", (int)may[i]->field->name.n, may[i]->field->name.p, (int)word.n, word.p);
	if (n == 0 || n > FEW)
		buf_str(out, "FIELD=VALUE");
}

static bool no_slot(struct jot_making *m, const struct slots *s, struct slice word)
{
	struct buf *error = &m->entry->error;

	jot_making_quote(error, word);
	buf_str(error, " has no field: ");
	for (size_t i = 0; i < s->n; i++)
		buf_printf(error, "%s%.*s=", i == 0 ? "" : i + 1 < s->n ? ", " : " and ", (int)s->use[i]->field->name.n, s->use[i]->field->name.p);
	if (s->n)
		buf_printf(error, " of %.*s can go without %s, and each takes one value that fits it; ", (int)m->event->name.n,
			m->event->name.p, PLURAL(s->n, "its name", "their names"));
	say_field(m, word, error);
	return false;
}

static void add_word(struct jot_field *field, struct slice word)
{
	if (field->value.n)
		buf_char(&field->value, field->use->type == TYPE_TEXT ? ' ' : ',');
	buf_add(&field->value, word);
}

bool jot_slots_fill(struct jot_making *m, const struct slice *word, size_t n)
{
	struct slots s = slots_of(m->event);

	for (size_t i = 0; i < n; i++) {
		const struct field_use *cull = cull_of(m, word[i]), *use = cull || !word[i].n ? cull : slot_for(m, &s, word[i]);
		struct jot_field *field = use ? jot_making_field(m, use->field->id) : NULL;

		if (use && !field) {
			field = jot_making_add(m, use);
			field->bare = true;
		}
		if (!field)
			return no_slot(m, &s, word[i]);
		add_word(field, word[i]);
	}
	return lay_out(m);
}
