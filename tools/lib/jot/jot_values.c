#include "jot/jot_values.h"

#include "jot/jot_making.h"

enum { DAYS_AHEAD_MOST = 3660 };

/* ---- events and fields */

void jot_values_events(const struct vocab *v, struct jot_choices *out)
{
	for (int i = 0; i < v->nevents; i++)
		jot_choices_add(out, v->events[i]->name, v->events[i]->help);
}

void jot_values_fields(const struct event_def *event, bool needed, struct jot_choices *out)
{
	for (int i = 0; i < event->nuses; i++)
		if (!needed || event->uses[i].shape & USE_NEEDED)
			jot_choices_add(out, event->uses[i].field->name, event->uses[i].field->help);
}

/* ---- words of the house */

static void add_words(struct house_words words, struct jot_choices *out)
{
	for (size_t i = 0; i < words.n; i++)
		jot_choices_add(out, words.word[i], SLICE(""));
}

static void add_places(const struct house *house, bool kilns, struct jot_choices *out)
{
	for (size_t i = 0; i < house->nplaces; i++)
		if (!kilns || house->places[i].kind == HOUSE_PLACE_KIND_KILN)
			jot_choices_add(out, house->places[i].id, house->places[i].name);
}

static void add_types(const struct house *house, struct jot_choices *out)
{
	for (size_t i = 0; i < house->ntypes; i++)
		jot_choices_add(out, house->types[i].id, house->types[i].name);
}

static void add_grades(const struct house *house, int32_t day, struct jot_choices *out)
{
	const struct house_scheme *scheme = house_scheme_on(house, day);

	if (scheme)
		add_words(scheme->list, out);
}

static void add_meters(const struct house *house, struct jot_choices *out)
{
	for (size_t i = 0; i < house->nmeters; i++)
		jot_choices_add(out, house->meters[i].id, house->meters[i].name);
}

static void add_names(const struct house_name *name, size_t n, struct jot_choices *out)
{
	for (size_t i = 0; i < n; i++)
		jot_choices_add(out, name[i].id, name[i].name);
}

static void add_rest(const struct house *house, enum of_list of, struct jot_choices *out)
{
	for (size_t i = 0; of == OF_COST && i < house->ncosts; i++)
		jot_choices_add(out, house->costs[i].id, SLICE(""));
	for (size_t i = 0; of == OF_CLASS && i < house->nclasses; i++)
		jot_choices_add(out, house->classes[i].id, house->classes[i].name);
}

static void add_list(const struct house *house, enum of_list of, int32_t day, struct jot_choices *out)
{
	switch (of) {
	case OF_TYPE:
	case OF_WHAT:
		add_types(house, out);
		if (of == OF_TYPE)
			break;
		/* fall through */
	case OF_GRADE:
		add_grades(house, day, out);
		break;
	case OF_PLACE:
	case OF_KILN:
		add_places(house, of == OF_KILN, out);
		break;
	case OF_PERSON:
		add_names(house->people, house->npeople, out);
		break;
	case OF_PARTY:
		add_names(house->parties, house->nparties, out);
		break;
	case OF_CULL:
		add_words(house->causes.cull, out);
		break;
	case OF_RETURN:
		add_words(house->causes.give_back, out);
		break;
	case OF_STAGE:
		add_words(house->stages, out);
		break;
	case OF_METER:
		add_meters(house, out);
		break;
	default:
		add_rest(house, of, out);
	}
}

/* ---- values */

void jot_values_subjects(const struct jot_state *s, const struct event_def *event, struct jot_choices *ids, struct jot_choices *words)
{
	unsigned kinds = event->subjects;

	ids->ids = true;
	jot_state_ids(s, kinds & SUBJECT_PIECE ? kinds | SUBJECT_LOT : kinds, event->stock.take == TAKE_SOLD, -1, ids);
	if (!s->house)
		return;
	if (kinds & (SUBJECT_PLACE | SUBJECT_KILN))
		add_places(s->house, !(kinds & SUBJECT_PLACE), words);
	if (kinds & SUBJECT_METER)
		add_meters(s->house, words);
	if (kinds & SUBJECT_BYPRODUCT)
		add_words(s->house->byproducts, words);
}

/* The fields whose ids are of the book. */
static void add_ids(const struct jot_state *s, const struct field_use *use, struct jot_choices *out)
{
	static const struct {
		int field;
		unsigned kinds;
		int form;
	} of[] = {
		{ FIELD_LOT, SUBJECT_LOT, -1 }, { FIELD_TREE, SUBJECT_TREE, -1 }, { FIELD_FOR, SUBJECT_ORDER, -1 },
		{ FIELD_PARCEL, SUBJECT_PARCEL, -1 }, { FIELD_BLADE, SUBJECT_LOT, FORM_BLADE }, { FIELD_HANDLE, SUBJECT_LOT, FORM_HANDLE },
	};

	for (size_t i = 0; i < sizeof of / sizeof *of; i++)
		if (use->field->id == of[i].field) {
			out->ids = true;
			jot_state_ids(s, of[i].kinds, false, of[i].form, out);
		}
}

void jot_values_of(const struct jot_state *s, const struct field_use *use, int32_t day, struct jot_choices *out)
{
	for (int i = 0; i < use->field->nwords; i++)
		jot_choices_add(out, use->field->words[i], SLICE(""));
	if (use->field->of == OF_FORM)
		for (int form = 0; form < FORMS_END; form++)
			jot_choices_add(out, vocab_form(form), SLICE(""));
	else if (use->field->of != OF_NOTHING && s->house)
		add_list(s->house, use->field->of, day, out);
	else
		add_ids(s, use, out);
}

void jot_values_labels(const struct jot_state *s, const struct field_use *use, int32_t day, struct jot_choices *out)
{
	if (use->shape & (USE_LABEL_MAY | USE_LABEL_MUST) && use->field->label_of != OF_NOTHING && s->house)
		add_list(s->house, use->field->label_of, day, out);
	if (use->field->id == FIELD_LOT && use->shape & USE_LABEL_MUST)
		add_ids(s, use, out);
}

/* ---- in full */

bool jot_values_word(const struct jot_choices *choices, struct slice typed, struct slice what, struct buf *out, struct buf *error)
{
	bool dotted = typed.n > 1 && typed.p[typed.n - 1] == '.';
	struct slice head = dotted ? slice_upto(typed, typed.n - 1) : typed, word = typed;
	enum jot_found found = JOT_NONE;

	if (dotted || !choices->ids)
		found = jot_choices_find(choices, head, &word);
	if (found == JOT_NONE && dotted && !choices->n) {
		buf_add(error, what);
		buf_str(error, ": nothing in stock, in a kiln or in the house file begins with ");
		jot_making_quote(error, head);
		buf_str(error, "; write it in full");
		return false;
	}
	if (found == JOT_MANY || (found == JOT_NONE && dotted)) {
		buf_printf(error, "%.*s: ", (int)what.n, what.p);
		jot_making_quote(error, typed);
		buf_str(error, found == JOT_MANY ? " may be " : " begins none of ");
		jot_choices_list(choices, found == JOT_MANY ? head : SLICE(""), error);
		buf_str(error, found == JOT_MANY ? "; write more of it" : "; write it in full");
		return false;
	}
	buf_add(out, found == JOT_ONE ? word : typed);
	return true;
}

void jot_values_text(struct slice typed, struct buf *out)
{
	bool bare = typed.n > 0 && !(typed.n == 1 && typed.p[0] == '-');

	for (size_t i = 0; i < typed.n; i++)
		bare = bare && token_is_bare(typed.p[i]);
	if (bare || (typed.n >= 2 && typed.p[0] == '"')) {
		buf_add(out, typed);
		return;
	}
	buf_char(out, '"');
	for (size_t i = 0; i < typed.n; i++) {
		if (typed.p[i] == '"' || typed.p[i] == '\\')
			buf_char(out, '\\');
		buf_char(out, typed.p[i]);
	}
	buf_char(out, '"');
}

/* Whether it is digits with a decimal point at most, and how many digits follow the point. */
static bool is_plain(struct slice s, size_t *places)
{
	size_t point = slice_find(s, '.');

	*places = point < s.n ? s.n - point - 1 : 0;
	if (!s.n || point == 0 || point + 1 == s.n)
		return false;
	for (size_t i = 0; i < s.n; i++)
		if (i != point && (s.p[i] < '0' || s.p[i] > '9'))
			return false;
	return true;
}

/* The unit that a bare number of the field has; -1 for none. In pounds or feet a number has two parts: those are typed. */
static int unit_of(const struct jot_state *s, const struct field_use *use, bool bat)
{
	const struct type_def *type = vocab_type(use->type);
	int unit = -1;

	if (type->nunits == 1)
		return type->first_unit;
	if (s->house && use->type == TYPE_MASS)
		unit = bat ? s->house->units.bat_mass : s->house->units.mass;
	else if (s->house && use->type == TYPE_LENGTH)
		unit = s->house->units.length;
	else if (s->house && use->type == TYPE_TEMPERATURE)
		unit = s->house->units.temperature;
	return unit >= 0 && vocab_unit(unit)->then >= 0 ? -1 : unit;
}

static void add_money(const struct house *house, struct slice typed, size_t places, struct buf *out)
{
	size_t want = (size_t)vocab_currency_places(house->currency);

	buf_add(out, typed);
	if (places < want && places == 0)
		buf_char(out, '.');
	buf_fill(out, '0', places < want ? want - places : 0);
	buf_add(out, vocab_currency_code(house->currency));
}

/* Adds the day that is so many days or weeks after `day`: +30d, +6w. False where it is not written so. */
static bool add_date(int32_t day, struct slice typed, struct buf *out)
{
	struct value span;

	if (typed.n < 3 || typed.p[0] != '+' || value_read(TYPE_SPAN, 0, slice_from(typed, 1), &span) != VALUE_OK
		|| span.fix % HOUSE_SPAN_DAY || span.fix / HOUSE_SPAN_DAY > DAYS_AHEAD_MOST)
		return false;
	day_write(out, day + (int32_t)(span.fix / HOUSE_SPAN_DAY));
	return true;
}

void jot_values_number(const struct jot_state *s, const struct field_use *use, bool bat, struct slice typed, struct buf *out)
{
	bool beyond = use->shape & USE_BEYOND && typed.n > 1 && (typed.p[typed.n - 1] == '+' || typed.p[typed.n - 1] == '-');
	struct slice number = slice_upto(typed, typed.n - beyond);
	int unit = unit_of(s, use, bat);
	size_t places;

	if (!is_plain(slice_from(number, number.n && number.p[0] == '-'), &places))
		buf_add(out, typed);
	else if (use->type == TYPE_MONEY && s->house && s->house->currency >= 0)
		add_money(s->house, number, places, out);
	else if (unit >= 0) {
		buf_add(out, number);
		buf_add(out, vocab_unit(unit)->name);
		buf_add(out, slice_from(typed, number.n));
	} else
		buf_add(out, typed);
}

/* A label: its parts between slashes are words. */
static bool add_label(const struct jot_choices *labels, struct slice label, struct buf *out, struct buf *error)
{
	while (label.n) {
		size_t n = slice_find(label, '/');

		if (!jot_values_word(labels, slice_upto(label, n), SLICE("label"), out, error))
			return false;
		if (n < label.n)
			buf_char(out, '/');
		label = slice_from(label, n < label.n ? n + 1 : n);
	}
	return true;
}

/* The piece of in=: a lot, and a type. */
static bool add_item(const struct jot_state *s, const struct field_use *use, bool bat, const struct jot_choices *values, struct slice item,
	struct buf *out, struct buf *error)
{
	size_t slash = slice_find(item, '/');
	struct slice what = use->field->name;

	if (vocab_type(use->type)->nunits || use->type == TYPE_MONEY) {
		jot_values_number(s, use, bat, item, out);
		return true;
	}
	if (!values->ids || slash == item.n)
		return jot_values_word(values, item, what, out, error);
	if (!jot_values_word(values, slice_upto(item, slash), what, out, error))
		return false;
	buf_add(out, slice_from(item, slash));
	return true;
}

bool jot_values_expand(const struct jot_state *s, const struct field_use *use, int32_t day, bool bat, struct slice typed,
	struct buf *out, struct buf *error)
{
	struct jot_choices values = { .n = 0 }, labels = { .n = 0 };
	bool good = true;

	if (use->type == TYPE_TEXT) {
		jot_values_text(typed, out);
		return true;
	}
	jot_values_of(s, use, day, &values);
	jot_values_labels(s, use, day, &labels);
	while (good && typed.n) {
		struct slice item = slice_upto(typed, slice_find(typed, ','));
		size_t colon = slice_find(item, ':');

		typed = slice_from(typed, item.n);
		if (colon < item.n) {
			good = add_label(&labels, slice_upto(item, colon), out, error);
			buf_char(out, ':');
			item = slice_from(item, colon + 1);
		}
		if (good && use->type == TYPE_DATE && add_date(day, item, out))
			item.n = 0;
		else
			good = good && add_item(s, use, bat, &values, item, out, error);
		if (typed.n) {
			buf_char(out, ',');
			typed = slice_from(typed, 1);
		}
	}
	jot_choices_release(&values);
	jot_choices_release(&labels);
	return good;
}
