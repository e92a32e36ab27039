#include <stdio.h>

#include "book/value.h"
#include "house/house_internal.h"
#include "math/tolerance.h"

enum { ONE_POINT = 10000, FEW_PAIRS = 10 };

/* The position of a key's value in a record; that of the record when the key is missing. */
static const struct yaml *place_of(const struct yaml *node, const char *key)
{
	const struct yaml *value = yaml_get(node, key);

	return value ? value : node;
}

static bool stands(const struct yaml *node, const char *key)
{
	const struct yaml *value = yaml_get(node, key);

	return value && !(value->kind == YAML_SCALAR && !value->quoted && value->text.n == 0);
}

/* The position of the i-th word of a list. */
static const struct yaml *word_at(const struct house_words *list, size_t i)
{
	const struct yaml *node = list->node;

	if (node->kind != YAML_LIST)
		return node;
	for (size_t k = 0; k < node->n; k++)
		if (slice_eq(node->item[k].text, list->word[i]))
			return &node->item[k];
	return node;
}

static void unknown_id(struct house_loader *l, enum house_kind kind, const struct yaml *at, struct slice id, const char *what)
{
	struct slice near = house_near(l->house, kind, id);

	if (near.n)
		HOUSE_WRONG(l, PROBLEM_ID_UNKNOWN, at, "'$1' is not a known $2", "perhaps '$3'?", id, slice_of(what), near);
	else
		HOUSE_WRONG(l, PROBLEM_ID_UNKNOWN, at, "'$1' is not a known $2", "correct the name, or define it in its list of the house file", id, slice_of(what));
}

/* ---- ids in one namespace */

static const enum house_kind shared[] = { HOUSE_PLACE, HOUSE_PERSON, HOUSE_PARTY, HOUSE_METER, HOUSE_BYPRODUCT };
static const char *const shared_word[] = { "a place", "a person", "a party", "a meter", "a by-product" };

enum { SHARED = sizeof shared / sizeof *shared };

static void id_twice(struct house_loader *l, const struct house_entry *a, const char *a_word, const struct house_entry *b,
	const char *b_word)
{
	const struct yaml *late = a->at > b->at ? a->at : b->at;

	if (a->at->line != b->at->line)
		late = a->at->line > b->at->line ? a->at : b->at;
	HOUSE_WRONG(l, PROBLEM_ID_TWICE, late, "'$1' is both $2 and $3", "give one of the two another id", a->id, slice_of(a_word), slice_of(b_word));
}

static void check_shared_kind(struct house_loader *l, size_t k)
{
	const struct house_private *private = l->house->private;

	for (size_t e = private->first[shared[k]]; e < private->first[shared[k] + 1]; e++) {
		const struct house_entry *entry = &private->entry[e], *other;

		for (size_t j = k + 1; j < SHARED; j++) {
			other = house_entry_of(l->house, shared[j], entry->id);
			if (other)
				id_twice(l, entry, shared_word[k], other, shared_word[j]);
		}
		other = k ? house_entry_of(l->house, HOUSE_KINDS, entry->id) : NULL;
		if (other)
			id_twice(l, entry, shared_word[k], other, "the place of a bay");
	}
}

static void check_namespace(struct house_loader *l)
{
	for (size_t k = 0; k < SHARED; k++)
		check_shared_kind(l, k);
}

/* ---- places, types, grades */

/* Bands that touch are as they are meant; two of what no other is of overlap. */
static bool overlap(const struct house_rate *a, const struct house_rate *b)
{
	bool a_given = house_range_given(a->band), b_given = house_range_given(b->band);

	if (!a_given || !b_given)
		return !a_given && !b_given && !stands(a->node, "of") && !stands(b->node, "of");
	return a->band.low < b->band.high && b->band.low < a->band.high;
}

static void check_rates(struct house_loader *l, const struct house_place *p)
{
	for (size_t i = 0; i < p->nrates; i++) {
		const struct house_rate *r = &p->rates[i];

		if (r->most != HOUSE_NONE && r->most <= 0)
			HOUSE_WRONG(l, PROBLEM_FIGURE, place_of(r->node, "most"), "the drying limit of '$1' is not above 0", "write a limit above 0, such as 1%", p->id);
		for (size_t k = 0; k < i; k++)
			if (overlap(r, &p->rates[k])) {
				HOUSE_WRONG(l, PROBLEM_RANGE, place_of(r->node, "of"), "this limit of '$1' and an earlier one cover the same moistures",
					"start one band where the other ends", p->id);
				break;
			}
	}
}

/* Where the house file has people, whoever looks after something is one of them. */
static void check_care(struct house_loader *l, const struct house_words *care)
{
	for (size_t i = 0; l->house->npeople && i < care->n; i++)
		if (house_index(l->house, HOUSE_PERSON, care->word[i]) < 0)
			unknown_id(l, HOUSE_PERSON, word_at(care, i), care->word[i], "person");
}

static void check_cares(struct house_loader *l)
{
	const struct house *h = l->house;

	for (size_t i = 0; i < h->nplaces; i++)
		check_care(l, &h->places[i].care);
	for (size_t i = 0; i < h->nmeters; i++)
		check_care(l, &h->meters[i].care);
	check_care(l, &h->care.orders);
	check_care(l, &h->care.stock);
	check_care(l, &h->care.book);
}

static void check_places(struct house_loader *l)
{
	struct house_place *places = HOUSE_ROWS(house_place, l->house->places);

	for (size_t i = 0; i < l->house->nplaces; i++) {
		struct house_place *p = &places[i];

		if (p->kind == HOUSE_PLACE_KIND_KILN && !stands(p->node, "capacity"))
			HOUSE_WRONG(l, PROBLEM_CAPACITY, p->at, "the kiln '$1' has no capacity", "add capacity: with the number of pieces it holds", p->id);
		check_rates(l, p);
		if (p->air_every == HOUSE_NONE)
			p->air_every = l->house->intervals.air;
		if (p->count_every == HOUSE_NONE)
			p->count_every = l->house->intervals.count;
	}
}

static void check_fit(struct house_loader *l, const struct house_type *handle, size_t i)
{
	struct slice id = handle->fits.word[i];
	const struct house_type *blade = house_type(l->house, id);

	if (!blade)
		unknown_id(l, HOUSE_TYPE, word_at(&handle->fits, i), id, "type");
	else if (blade->form != HOUSE_TYPE_FORM_BLADE)
		HOUSE_WRONG(l, PROBLEM_FITS, word_at(&handle->fits, i), "'$1' fits '$2', which is not a blade type", "list only blade types in fits", handle->id, id);
}

static void check_types(struct house_loader *l)
{
	const struct house *h = l->house;

	for (size_t i = 0; i < h->ntypes; i++) {
		const struct house_type *t = &h->types[i];

		if (house_index(h, HOUSE_GRADE, t->id) >= 0)
			HOUSE_WRONG(l, PROBLEM_TYPE_GRADE, t->at, "'$1' is both a type and a grade", "rename one of them, because a label of count= could mean either",
				t->id);
		if (t->fits.n && t->form != HOUSE_TYPE_FORM_HANDLE)
			HOUSE_WRONG(l, PROBLEM_FITS, place_of(t->node, "fits"), "the type '$1' has fits, but is not a handle type",
				"add form: handle, or remove fits", t->id);
		for (size_t k = 0; k < t->fits.n && t->form == HOUSE_TYPE_FORM_HANDLE; k++)
			check_fit(l, t, k);
	}
}

static int by_day(const void *a, const void *b)
{
	const struct house_scheme *x = a, *y = b;

	if (x->from != y->from)
		return x->from < y->from ? -1 : 1;
	return x->node < y->node ? -1 : 1;
}

static void check_worth(struct house_loader *l, const struct house_scheme *s)
{
	for (size_t i = 0; i < s->worth.n; i++)
		if (!(s->worth.number[i] >= 0))
			HOUSE_WRONG(l, PROBLEM_FIGURE, place_of(s->node, "worth"), "a worth in '$1' is below 0", "write 0 or more", s->id);
	if (s->worth.n && s->list.n && s->worth.n != s->list.n)
		HOUSE_WRONG(l, PROBLEM_SCHEME, place_of(s->node, "worth"), "the scheme '$1' does not have one worth for each grade",
			"write one number for each grade, best first", s->id);
}

static bool has_grade(const struct house_scheme *s, struct slice grade)
{
	for (size_t i = 0; i < s->list.n; i++)
		if (slice_eq(s->list.word[i], grade))
			return true;
	return false;
}

/* `before`: NULL for the first scheme. */
static void check_former(struct house_loader *l, const struct house_scheme *before, const struct house_scheme *s)
{
	const struct yaml *at = place_of(s->node, "former");

	if (s->former.n && (!before || (before->list.n && before->list.n != s->former.n)))
		HOUSE_WRONG(l, PROBLEM_SCHEME, at, "former: of the scheme '$1' does not have one grade for each grade of the scheme before it",
			before ? "write as many grades as that scheme has, in its order" : "leave it out, because no scheme is before it", s->id);
	for (size_t i = 0; i < s->former.n && s->list.n; i++)
		if (!has_grade(s, s->former.word[i]))
			HOUSE_WRONG(l, PROBLEM_SCHEME, at, "'$1' under former: is not a grade of the scheme '$2'", "write one of the grades in its list", s->former.word[i], s->id);
}

/* A day that could not be read was reported already. */
static bool is_unread(const struct house_scheme *s)
{
	return s->from == HOUSE_NO_DAY && yaml_get(s->node, "from");
}

static void check_schemes(struct house_loader *l)
{
	struct house_scheme *s = HOUSE_ROWS(house_scheme, l->house->schemes);
	size_t n = l->house->nschemes;

	if (n)
		qsort(s, n, sizeof *s, by_day);
	for (size_t i = 0; i < n; i++) {
		check_worth(l, &s[i]);
		check_former(l, i ? &s[i - 1] : NULL, &s[i]);
		if (i && s[i].from == s[i - 1].from && !is_unread(&s[i]) && !is_unread(&s[i - 1]))
			HOUSE_WRONG(l, PROBLEM_SCHEME, place_of(s[i].node, "from"), "the schemes '$1' and '$2' start on the same day",
				"change one from:, because only one scheme can be in force", s[i - 1].id, s[i].id);
	}
}

static void check_claims(struct house_loader *l)
{
	for (size_t i = 0; i < l->house->nclaims; i++) {
		const struct house_claim *c = &l->house->claims[i];

		if (l->house->nparties && house_index(l->house, HOUSE_PARTY, c->id) < 0)
			unknown_id(l, HOUSE_PARTY, c->at, c->id, "party");
	}
}

static bool is_graded(const struct house *house, struct slice grade)
{
	return !house_has(house, HOUSE_GRADE) || house_index(house, HOUSE_GRADE, grade) >= 0;
}

static void check_promises(struct house_loader *l)
{
	for (size_t i = 0; i < l->house->npromises; i++) {
		const struct house_claim *p = &l->house->promises[i], *c = house_claim(l->house, p->id);

		if (!c || (c->list.n && p->list.n && c->list.n != p->list.n))
			HOUSE_WRONG(l, PROBLEM_SCHEME, p->at, "promises: does not have one grade for each grade that '$1' has under claims:",
				"write as many grades of the works as the supplier has there", p->id);
		for (size_t k = 0; k < p->list.n; k++)
			if (!is_graded(l->house, p->list.word[k]))
				HOUSE_WRONG(l, PROBLEM_SCHEME, p->at, "'$1' is not a grade of the works", "write one of the grades under grades:", p->list.word[k]);
	}
}

/* A place, or one that has bays. */
static bool is_place(const struct house *house, struct slice id)
{
	return house_place(house, id) || house_entry_of(house, HOUSE_KINDS, id);
}

static void check_rest(struct house_loader *l, const struct house_rest *r)
{
	for (size_t i = 0; i < r->types.n; i++)
		if (house_index(l->house, HOUSE_TYPE, r->types.word[i]) < 0)
			unknown_id(l, HOUSE_TYPE, word_at(&r->types, i), r->types.word[i], "type");
	for (size_t i = 0; i < r->places.n; i++)
		if (!is_place(l->house, r->places.word[i]))
			unknown_id(l, HOUSE_PLACE, word_at(&r->places, i), r->places.word[i], "place");
	if (r->span != HOUSE_NONE && r->span <= 0)
		HOUSE_WRONG(l, PROBLEM_FIGURE, place_of(r->node, "for"), "the rest of a $1 is not above 0", "write how long, such as 4w",
			vocab_form(r->form));
}

static void check_ages(struct house_loader *l)
{
	const struct house_numbers *ages = &l->house->age_bands;

	for (size_t i = 0; i < l->house->nrests; i++)
		check_rest(l, &l->house->rests[i]);
	for (size_t i = 0; i < ages->n; i++)
		if (!(ages->number[i] > (i ? ages->number[i - 1] : 0))) {
			HOUSE_WRONG(l, PROBLEM_FIGURE, place_of(l->house->node, "age-bands"), "the weeks of $1 do not rise from one to the next",
				"write them in rising order, such as [13, 26, 52]", SLICE("age-bands"));
			return;
		}
}

/* ---- meters and woods */

static void check_settings(struct house_loader *l, const struct house_meter *m)
{
	for (size_t i = 0; i < m->nsettings; i++) {
		const struct house_setting *s = &m->settings[i];
		struct slice near;

		if (!l->house->nwoods || !s->wood.n || house_wood(l->house, s->wood))
			continue;
		near = house_near(l->house, HOUSE_WOOD, s->wood);
		HOUSE_WRONG(l, PROBLEM_METER, s->node, "the setting is for '$1', which is not in 'wood'",
			near.n ? "perhaps '$2'?" : "add it there, or correct the name", s->wood, near);
	}
}

static void check_calibration(struct house_loader *l, const struct house_meter *m, struct house_calibration *c)
{
	if (c->from == HOUSE_NO_DAY)
		c->from = c->date;
	if (c->b <= 0)
		HOUSE_WRONG0(l, PROBLEM_FIGURE, place_of(c->node, "b"), "the slope b is not above 0", "fit the pairs again: true = a + b reading");
	if (c->sd < 0)
		HOUSE_WRONG0(l, PROBLEM_FIGURE, place_of(c->node, "sd"), "the standard deviation is below 0", "write 0 or more");
	if (c->b_error < 0)
		HOUSE_WRONG0(l, PROBLEM_FIGURE, place_of(c->node, "b-error"), "the standard error of b is below 0", "write 0 or more");
	if (c->middle != HOUSE_NONE && house_range_given(c->span) && !house_range_holds(c->span, c->middle))
		HOUSE_WRONG0(l, PROBLEM_FIGURE, place_of(c->node, "middle"), "the middle of the pairs is outside their span", "write the mean reading of the pairs");
	if (c->pairs != HOUSE_NONE && c->pairs < FEW_PAIRS)
		HOUSE_WRONG0(l, PROBLEM_METER, place_of(c->node, "pairs"), "the line is fitted to fewer than ten pairs", "measure more pieces");
	if ((m->nsettings || c->setting.n) && !house_setting(m, c->setting))
		HOUSE_WRONG(l, PROBLEM_METER, place_of(c->node, "setting"), "the meter '$1' has no setting '$2'", "use one of its settings", m->id,
			c->setting);
}

static void check_meter(struct house_loader *l, struct house_meter *m)
{
	struct house_calibration *own = HOUSE_ROWS(house_calibration, m->own);

	if (m->kind == HOUSE_METER_KIND_PIN && !house_range_given(m->trust))
		m->trust = (struct house_range){ 7 * ONE_POINT, 28 * ONE_POINT };
	if (stands(m->node, "per10C") && !stands(m->node, "reference"))
		HOUSE_WRONG(l, PROBLEM_METER, place_of(m->node, "per10C"), "the meter '$1' has per10C, but no reference", "add its reference, such as reference: 20C", m->id);
	if (stands(m->node, "reference") && !stands(m->node, "per10C") && m->kind <= HOUSE_METER_KIND_CAPACITANCE)
		HOUSE_WRONG(l, PROBLEM_METER, place_of(m->node, "reference"), "the meter '$1' has a reference, but no per10C",
			"add per10C:, and its source as rule:", m->id);
	if (m->weighs.n && m->kind != HOUSE_METER_KIND_BALANCE)
		HOUSE_WRONG(l, PROBLEM_METER, place_of(m->node, "weighs"), "the meter '$1' weighs pieces, but is no balance", "set its kind to balance, or remove weighs:",
			m->id);
	check_settings(l, m);
	for (size_t i = 0; i < m->nown; i++)
		check_calibration(l, m, &own[i]);
}

static void check_meters(struct house_loader *l)
{
	struct house_meter *meters = HOUSE_ROWS(house_meter, l->house->meters);

	for (size_t i = 0; i < l->house->nmeters; i++)
		check_meter(l, &meters[i]);
}

static void check_logger(struct house_loader *l, const struct house_logger *g)
{
	struct slice meter = slice_upto(g->meter, slice_find(g->meter, '/'));

	if (g->place.n && !house_place(l->house, g->place))
		unknown_id(l, HOUSE_PLACE, place_of(g->node, "place"), g->place, "place");
	if (g->meter.n && !house_meter(l->house, meter))
		unknown_id(l, HOUSE_METER, place_of(g->node, "meter"), meter, "meter");
	if (stands(g->node, "serial") && g->serial.n < 2)
		HOUSE_WRONG(l, PROBLEM_VALUE, place_of(g->node, "serial"), "'$1' is too short to find a logger by", "give its serial number, or a heading of its exports",
			g->serial);
}

static void check_loggers(struct house_loader *l)
{
	for (size_t i = 0; i < l->house->nloggers; i++) {
		const struct house_logger *g = &l->house->loggers[i];

		check_logger(l, g);
		for (size_t k = 0; k < i && g->serial.n; k++)
			if (slice_eq(l->house->loggers[k].serial, g->serial)) {
				HOUSE_WRONG(l, PROBLEM_ID_TWICE, place_of(g->node, "serial"), "the logger '$1' is listed twice", "remove one of the two", g->serial);
				break;
			}
	}
}

static void check_forms(struct house_loader *l, const struct house_wood *w)
{
	for (size_t i = 0; i < w->forms.n; i++) {
		const struct house_wood *first = house_wood_of_form(l->house, w->forms.word[i]);

		if (first && first != w)
			HOUSE_WRONG(l, PROBLEM_ID_TWICE, word_at(&w->forms, i), "the form '$1' is listed for both '$2' and '$3'", "keep it in one of the two",
				w->forms.word[i], first->id, w->id);
	}
}

static void check_woods(struct house_loader *l)
{
	for (size_t i = 0; i < l->house->nwoods; i++) {
		const struct house_wood *w = &l->house->woods[i];

		check_forms(l, w);
		for (size_t k = 0; k < w->nconstants; k++)
			if (w->constants[k].value <= 0)
				HOUSE_WRONG0(l, PROBLEM_FIGURE, place_of(w->constants[k].node, "value"), "the value is not above 0",
					"correct the figure or its of:");
	}
}

/* ---- the rule for readiness */

static void check_band(struct house_loader *l, struct house_ready *r)
{
	if (!house_range_holds(r->band, r->target))
		HOUSE_WRONG0(l, PROBLEM_READY, place_of(r->node, "target"), "the target is outside the band", "correct the target or the band");
	if (r->spread != HOUSE_NONE && r->band.low != INT64_MIN && r->band.high != INT64_MAX && r->spread > r->band.high - r->band.low)
		HOUSE_WRONG0(l, PROBLEM_READY, place_of(r->node, "spread"), "the spread is wider than the band, so it has no effect",
			"make it smaller, or remove it");
}

/* Points: readings of pieces of one kind of wood spread by no less, at a meter's best (handbooks: 0.3 to 0.5). */
static const double SPREAD_LEAST = 0.3;

static double fraction(int64_t per_cent)
{
	return (double)per_cent / VALUE_STEPS / 100;
}

/* Whether as many probes as a charge has can show the share that is asked for. */
static void check_share(struct house_loader *l, const struct house_ready *r)
{
	double width = (double)(r->band.high - r->band.low) / VALUE_STEPS;
	char enough[24];
	int64_t n;

	if (r->share == HOUSE_NONE || r->probes == HOUSE_NONE || r->share <= 0 || r->band.low == INT64_MIN || r->band.high == INT64_MAX)
		return;
	n = tolerance_pieces(fraction(r->share), fraction(r->sure), width / 2 / SPREAD_LEAST);
	if (n > 0 && n <= r->probes)
		return;
	snprintf(enough, sizeof enough, "%lld", (long long)n);
	HOUSE_WRONG(l, PROBLEM_READY_PROBES, place_of(r->node, "share"), r->probes == 1 ? "$1 probe can never show this proportion of the pieces" : "$1 probes can never show this proportion of the pieces",
		n > 0 ? "put $2 or more in and write probes: $2, or lower share: or sure:" : "no number of probes can; lower share: or sure:",
		yaml_get(r->node, "probes")->text, slice_of(enough));
}

static void check_ready(struct house_loader *l)
{
	struct house_ready *r = &l->house->ready;
	bool band = house_range_given(r->band);

	if (band && r->target == HOUSE_NONE) {
		if (!stands(r->node, "target"))
			HOUSE_WRONG0(l, PROBLEM_READY, place_of(r->node, "band"), "the band has no target",
				"add target:; the default is the middle of the band, or the end of an open band");
		r->target = r->band.low == INT64_MIN ? r->band.high : r->band.high == INT64_MAX ? r->band.low
			: r->band.low + (r->band.high - r->band.low) / 2;
	}
	if (!band && !stands(r->node, "band") && r->target != HOUSE_NONE)
		r->band = (struct house_range){ r->target - ONE_POINT, r->target + ONE_POINT };
	if (band)
		check_band(l, r);
	if (r->readings == 0)
		HOUSE_WRONG0(l, PROBLEM_FIGURE, place_of(r->node, "readings"), "zero readings cannot show that a charge is ready", "write 1 or more");
	check_share(l, r);
}

/* ---- what the works adds, and rules */

static const struct house_field *own_field(const struct house *h, struct slice id)
{
	int row = house_index(h, HOUSE_FIELD, id);

	return row < 0 ? NULL : &h->fields[row];
}

static void unknown_word(struct house_loader *l, const struct yaml *at, struct slice id, struct slice near, const char *what)
{
	if (near.n)
		HOUSE_WRONG(l, PROBLEM_OWN, at, "'$1' is not a known $2", "perhaps '$3'?", id, slice_of(what), near);
	else
		HOUSE_WRONG(l, PROBLEM_OWN, at, "'$1' is not a known $2", "see withy-events(7), or add it to $2s: in the house file", id, slice_of(what));
}

static void check_own_fields(struct house_loader *l, const struct vocab *v)
{
	for (size_t i = 0; i < l->house->nfields; i++) {
		const struct house_field *f = &l->house->fields[i];

		if (vocab_field(v, f->id))
			HOUSE_WRONG(l, PROBLEM_OWN, f->at, "'$1' is already a field of Withy", "choose another name", f->id);
		for (size_t k = 0; k < f->events.n; k++)
			if (!vocab_event(v, f->events.word[k]))
				unknown_word(l, word_at(&f->events, k), f->events.word[k], vocab_near_event(v, f->events.word[k]), "event");
		if (f->words.n && f->type != TYPE_ID)
			HOUSE_WRONG(l, PROBLEM_OWN, place_of(f->node, "words"), "'$1' has words, but its type is not id", "write type: id", f->id);
	}
}

static void check_uses(struct house_loader *l, const struct vocab *v, const struct house_words *list)
{
	for (size_t i = 0; i < list->n; i++)
		if (!vocab_field(v, list->word[i]) && !own_field(l->house, list->word[i]))
			unknown_word(l, word_at(list, i), list->word[i], house_near(l->house, HOUSE_FIELD, list->word[i]), "field");
}

static bool has_word(const struct house_words *list, struct slice word)
{
	for (size_t i = 0; i < list->n; i++)
		if (slice_eq(list->word[i], word))
			return true;
	return false;
}

static void check_own_events(struct house_loader *l, const struct vocab *v)
{
	for (size_t i = 0; i < l->house->nevents; i++) {
		const struct house_event *e = &l->house->events[i];

		if (vocab_event(v, e->id))
			HOUSE_WRONG(l, PROBLEM_OWN, e->at, "'$1' is already an event of Withy", "choose another name", e->id);
		check_uses(l, v, &e->needs);
		check_uses(l, v, &e->takes);
		for (size_t k = 0; k < e->takes.n; k++)
			if (has_word(&e->needs, e->takes.word[k]))
				HOUSE_WRONG(l, PROBLEM_ID_TWICE, word_at(&e->takes, k), "'$1' is in both needs and takes", "remove it from one of them", e->takes.word[k]);
	}
}

static void check_own(struct house_loader *l)
{
	struct vocab v;

	if (!l->house->nfields && !l->house->nevents)
		return;
	vocab_init(&v);
	check_own_fields(l, &v);
	check_own_events(l, &v);
}

static void check_rules(struct house_loader *l)
{
	for (size_t i = 0; i < l->house->nrules; i++) {
		const struct house_rule *r = &l->house->rules[i];
		struct slice near;

		if (diag_rule_named(r->id) >= 0)
			continue;
		near = diag_rule_near(r->id);
		HOUSE_WRONG(l, PROBLEM_RULE, r->at, "'$1' is not a known rule", near.n ? "perhaps '$2'?" : "see withy-rules(7) for the rules", r->id, near);
	}
}

void house_check(struct house_loader *l)
{
	check_namespace(l);
	check_places(l);
	check_cares(l);
	check_types(l);
	check_schemes(l);
	check_claims(l);
	check_promises(l);
	check_ages(l);
	check_meters(l);
	check_loggers(l);
	check_woods(l);
	check_ready(l);
	check_own(l);
	check_rules(l);
}
