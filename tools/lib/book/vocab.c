#include "book/vocab.h"

#include "base/nearest.h"

#define SLICE_ROW(literal) { literal, sizeof(literal) - 1 }

struct currency_def {
	char code[4];
	int places;
};

#include "vocab_tables.h"

enum { NAME_MOST = 64, CURRENCY_COUNT = sizeof CURRENCIES / sizeof *CURRENCIES };

static const char *const SUBJECT_WORDS[] = { "tree", "lot", "piece", "charge", "bat", "kiln", "place",
	"order", "meter", "currency", "by-product", "parcel" };

/*
 * The tables are small arrays of bytes inside the struct, so that a vocabulary is copied whole and needs no
 * release: too small and too fixed for a hash_index.
 */
static uint8_t *slot_of(uint8_t *table, size_t size, struct slice name)
{
	return &table[slice_hash(name) & (size - 1)];
}

static void put(uint8_t *table, size_t size, struct slice name, int index)
{
	uint8_t *at = slot_of(table, size, name);

	while (*at)
		at = at + 1 == table + size ? table : at + 1;
	*at = (uint8_t)(index + 1);
}

static bool push_field(struct vocab *v, const struct field_def *field)
{
	if (v->nfields == FIELD_MOST || vocab_field(v, field->name))
		return false;
	v->fields[v->nfields] = field;
	put(v->field_at, sizeof v->field_at, field->name, v->nfields++);
	return true;
}

static bool push_event(struct vocab *v, const struct event_def *event)
{
	if (v->nevents == EVENT_MOST || vocab_event(v, event->name))
		return false;
	v->events[v->nevents] = event;
	put(v->event_at, sizeof v->event_at, event->name, v->nevents++);
	return true;
}

void vocab_init(struct vocab *v)
{
	memset(v, 0, sizeof *v);
	v->own = (struct vocab_own){ vocab_currency("NZD"), SLICE("SH"), SLICE("split") };
	for (int i = 0; i < FIELDS_END; i++)
		push_field(v, &FIELDS[i]);
	for (int i = 0; i < EVENTS_END; i++)
		push_event(v, &EVENTS[i]);
}

bool vocab_add_field(struct vocab *v, struct field_def *field)
{
	field->id = v->nfields;
	return push_field(v, field);
}

bool vocab_add_event(struct vocab *v, struct event_def *event)
{
	event->id = v->nevents;
	return push_event(v, event);
}

const struct event_def *vocab_event(const struct vocab *v, struct slice name)
{
	size_t at = slice_hash(name) & (sizeof v->event_at - 1);

	for (; v->event_at[at]; at = (at + 1) & (sizeof v->event_at - 1))
		if (slice_eq(v->events[v->event_at[at] - 1]->name, name))
			return v->events[v->event_at[at] - 1];
	return NULL;
}

const struct field_def *vocab_field(const struct vocab *v, struct slice name)
{
	size_t at = slice_hash(name) & (sizeof v->field_at - 1);

	for (; v->field_at[at]; at = (at + 1) & (sizeof v->field_at - 1))
		if (slice_eq(v->fields[v->field_at[at] - 1]->name, name))
			return v->fields[v->field_at[at] - 1];
	return NULL;
}

const struct field_use *vocab_use(const struct event_def *event, struct slice name)
{
	for (int i = 0; i < event->nuses; i++)
		if (slice_eq(event->uses[i].field->name, name))
			return &event->uses[i];
	return NULL;
}

/* The name in small letters, as all words of the vocabulary are: capitals do not count as a difference. Cut to fit. */
static struct slice small_letters(struct slice name, char out[NAME_MOST])
{
	size_t n = name.n < NAME_MOST ? name.n : NAME_MOST;

	for (size_t i = 0; i < n; i++)
		out[i] = name.p[i] >= 'A' && name.p[i] <= 'Z' ? (char)(name.p[i] + ('a' - 'A')) : name.p[i];
	return (struct slice){ out, n };
}

struct slice vocab_near_event(const struct vocab *v, struct slice name)
{
	char small[NAME_MOST];
	struct nearest near = nearest_to(small_letters(name, small));

	for (int i = 0; i < v->nevents; i++)
		nearest_try(&near, v->events[i]->name);
	return near.best;
}

struct slice vocab_near_use(const struct event_def *event, struct slice name)
{
	char small[NAME_MOST];
	struct nearest near = nearest_to(small_letters(name, small));

	for (int i = 0; i < event->nuses; i++)
		nearest_try(&near, event->uses[i].field->name);
	return near.best;
}

const struct type_def *vocab_type(int type)
{
	return &TYPES[type];
}

int vocab_type_named(struct slice name)
{
	for (int i = 0; i < TYPES_END; i++)
		if (slice_eq(TYPES[i].name, name))
			return i;
	return -1;
}

bool vocab_type_slash(int type)
{
	return type == TYPE_PLACE || type == TYPE_PIECE || type == TYPE_SETTING || type == TYPE_PICK;
}

const struct unit_def *vocab_unit(int unit)
{
	return &UNITS[unit];
}

struct slice vocab_form(int form)
{
	return FORMS[form];
}

int vocab_form_named(struct slice name)
{
	for (int i = 0; i < FORMS_END; i++)
		if (slice_eq(FORMS[i], name))
			return i;
	return -1;
}

int vocab_currency(const char *three_letters)
{
	for (int i = 0; i < CURRENCY_COUNT; i++)
		if (memcmp(CURRENCIES[i].code, three_letters, 3) == 0)
			return i;
	return -1;
}

struct slice vocab_currency_code(int currency)
{
	return (struct slice){ CURRENCIES[currency].code, 3 };
}

int vocab_currency_places(int currency)
{
	return CURRENCIES[currency].places;
}

struct slice vocab_subject(unsigned bit)
{
	return slice_of(SUBJECT_WORDS[__builtin_ctz(bit)]);
}

unsigned vocab_subject_named(struct slice name)
{
	for (unsigned i = 0; i < sizeof SUBJECT_WORDS / sizeof *SUBJECT_WORDS; i++)
		if (slice_eq(slice_of(SUBJECT_WORDS[i]), name))
			return 1u << i;
	return 0;
}
