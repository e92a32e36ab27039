#include "house/house.h"

#include <limits.h>
#include <sys/stat.h>

#include "book/parse.h"
#include "house/house_internal.h"

int house_index(const struct house *house, enum house_kind kind, struct slice id)
{
	const struct house_entry *e = house_entry_of(house, kind, id);

	return e ? e->row : -1;
}

bool house_has(const struct house *house, enum house_kind kind)
{
	return house->private->first[kind] < house->private->first[kind + 1];
}

struct slice house_near(const struct house *house, enum house_kind kind, struct slice id)
{
	const struct house_private *private = house->private;
	struct nearest near = nearest_to(id);

	for (size_t i = private->first[kind]; i < private->first[kind + 1]; i++)
		if (!slice_eq(private->entry[i].id, id))
			nearest_try(&near, private->entry[i].id);
	return near.best;
}

#define FOUND(house, kind, rows, id) \
	(house_index(house, kind, id) < 0 ? NULL : &(house)->rows[house_index(house, kind, id)])

const struct house_place *house_place(const struct house *house, struct slice id)
{
	return FOUND(house, HOUSE_PLACE, places, id);
}

const struct house_type *house_type(const struct house *house, struct slice id)
{
	return FOUND(house, HOUSE_TYPE, types, id);
}

bool house_handle_fits(const struct house *house, struct slice handle, struct slice blade)
{
	const struct house_type *type = house ? house_type(house, handle) : NULL;

	for (size_t i = 0; type && i < type->fits.n; i++)
		if (slice_eq(type->fits.word[i], blade))
			return true;
	return !type || !type->fits.n;
}

const struct house_meter *house_meter(const struct house *house, struct slice id)
{
	return FOUND(house, HOUSE_METER, meters, id);
}

const struct house_wood *house_wood(const struct house *house, struct slice id)
{
	return FOUND(house, HOUSE_WOOD, woods, id);
}

static int rank_in(const struct house_words *list, struct slice word)
{
	for (size_t i = 0; i < list->n; i++)
		if (slice_eq(list->word[i], word))
			return (int)i;
	return -1;
}

const struct house_scheme *house_scheme_on(const struct house *house, int32_t day)
{
	const struct house_scheme *found = NULL;

	for (size_t i = 0; i < house->nschemes && house->schemes[i].from <= day; i++)
		found = &house->schemes[i];
	return found;
}

int house_grade_rank(const struct house *house, int32_t day, struct slice grade)
{
	const struct house_scheme *scheme = house_scheme_on(house, day);

	return scheme ? rank_in(&scheme->list, grade) : -1;
}

/* Whether `scheme` has a next one, in force by `last`, that says what its grades count as. */
static bool is_joined(const struct house *house, const struct house_scheme *scheme, int32_t last)
{
	const struct house_scheme *next = scheme + 1;

	return next < house->schemes + house->nschemes && next->from <= last && next->former.n;
}

const struct house_scheme *house_scheme_joined(const struct house *house, int32_t day, int32_t last)
{
	const struct house_scheme *scheme = house_scheme_on(house, day);

	while (scheme && is_joined(house, scheme, last))
		scheme++;
	return scheme;
}

struct slice house_grade_joined(const struct house *house, int32_t day, int32_t last, struct slice grade)
{
	const struct house_scheme *scheme = house_scheme_on(house, day);

	for (; scheme && is_joined(house, scheme, last); scheme++) {
		int rank = rank_in(&scheme->list, grade);

		if (rank >= 0 && (size_t)rank < scheme[1].former.n)
			grade = scheme[1].former.word[rank];
	}
	return grade;
}

int house_grade_order(const struct house *house, int32_t day, struct slice grade)
{
	const struct house_scheme *now = house ? house_scheme_on(house, day) : NULL;
	int before = now ? (int)now->list.n : 0, rank = now ? rank_in(&now->list, grade) : -1;

	if (rank >= 0)
		return rank;
	for (size_t i = house ? house->nschemes : 0; i-- > 0; before += (int)house->schemes[i].list.n) {
		rank = rank_in(&house->schemes[i].list, grade);
		if (rank >= 0)
			return before + rank;
	}
	return INT_MAX;
}

int house_class_order(const struct house *house, struct slice class)
{
	int row = house ? house_index(house, HOUSE_CLASS, class) : -1;

	return row < 0 ? INT_MAX : row;
}

static bool has_letter(struct slice s)
{
	for (size_t i = 0; i < s.n; i++)
		if ((unsigned char)((s.p[i] | 32) - 'a') < 26)
			return true;
	return false;
}

bool house_is_grade(const struct house *house, struct slice word)
{
	if (!house || !house_has(house, HOUSE_GRADE))
		return !has_letter(word);
	return house_index(house, HOUSE_GRADE, word) >= 0;
}

bool house_is_byproduct(const struct house *house, const struct line *l)
{
	if (l->event->id != EVENT_SELL)
		return false;
	if (!line_field(l, FIELD_COUNT) && (line_field(l, FIELD_VOLUME) || line_field(l, FIELD_MASS)))
		return true;
	return house && house_index(house, HOUSE_BYPRODUCT, l->subject) >= 0;
}

static bool has_word(const struct house_words *list, struct slice word)
{
	for (size_t i = 0; i < list->n; i++)
		if (slice_eq(list->word[i], word))
			return true;
	return list->n == 0;
}

/* A place is in the list itself, or the place that it is a bay of. */
static bool has_place(const struct house_words *list, struct slice place)
{
	const char *slash = memchr(place.p, '/', place.n);

	return has_word(list, place) || (slash && has_word(list, slice_upto(place, (size_t)(slash - place.p))));
}

const struct house_rest *house_rest_of(const struct house *house, int form, struct slice type, struct slice place)
{
	for (size_t i = 0; house && i < house->nrests; i++) {
		const struct house_rest *r = &house->rests[i];

		if (r->form == form && has_word(&r->types, type) && has_place(&r->places, place))
			return r;
	}
	return NULL;
}

const struct house_claim *house_claim(const struct house *house, struct slice supplier)
{
	return FOUND(house, HOUSE_CLAIM, claims, supplier);
}

const struct house_claim *house_promise(const struct house *house, struct slice supplier)
{
	for (size_t i = 0; i < house->npromises; i++)
		if (slice_eq(house->promises[i].id, supplier))
			return &house->promises[i];
	return NULL;
}

int house_claim_rank(const struct house *house, struct slice supplier, struct slice grade)
{
	const struct house_claim *claim = house_claim(house, supplier);

	return claim ? rank_in(&claim->list, grade) : -1;
}

const struct house_setting *house_setting(const struct house_meter *meter, struct slice label)
{
	for (size_t i = 0; i < meter->nsettings; i++)
		if (slice_eq(meter->settings[i].id, label))
			return &meter->settings[i];
	return NULL;
}

const struct house_calibration *house_calibration(const struct house_meter *meter, struct slice label, int32_t day)
{
	const struct house_calibration *found = NULL;

	for (size_t i = 0; i < meter->nown; i++) {
		const struct house_calibration *c = &meter->own[i];

		if (slice_eq(c->setting, label) && c->from <= day && (!found || c->from >= found->from))
			found = c;
	}
	return found;
}

const struct house_wood *house_wood_of_form(const struct house *house, struct slice form)
{
	for (size_t i = 0; i < house->nwoods; i++)
		if (rank_in(&house->woods[i].forms, form) >= 0)
			return &house->woods[i];
	return NULL;
}

/* HOUSE_CONSTANT_BY_OWN is the smaller number. */
static bool goes_before(const struct house_constant *a, const struct house_constant *b)
{
	return a->by != b->by ? a->by < b->by : a->date > b->date;
}

const struct house_constant *house_constant(const struct house_wood *wood, int of)
{
	const struct house_constant *found = NULL;

	for (size_t i = 0; i < wood->nconstants; i++) {
		const struct house_constant *c = &wood->constants[i];

		if (c->of == of && (!found || goes_before(c, found)))
			found = c;
	}
	return found;
}

const struct pattern *house_pattern(const struct house *house, int kind)
{
	return house->private->compiled[kind];
}
