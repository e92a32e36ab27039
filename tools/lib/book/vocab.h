/*
 * vocab.h - the vocabulary: events, fields, value types and units as tables.
 *
 * All of it is generated from spec/vocabulary.yaml (vocab_words.h has the enums EVENT_,
 * FIELD_, TYPE_, UNIT_, FORM_; vocab_tables.h the rows); a works may add events and fields of
 * its own, which get ids after the built-in ones. A `struct vocab` is read-only once it is
 * set up, so any number of readers can share one.
 */
#ifndef WITHY_VOCAB_H
#define WITHY_VOCAB_H

#include <stdbool.h>
#include <stdint.h>

#include "base/text.h"
#include "vocab_words.h"

enum { EVENT_MOST = 128, FIELD_MOST = 192, USE_MOST = 48 };

struct unit_def {
	struct slice name;
	int64_t times, over;  /* value in the base unit, scaled: (number + plus) * times / over */
	int64_t plus;
	int times_places;     /* `times` is an integer over 10^times_places */
	int then;             /* the unit of a second number after it (lb, then oz), or -1 */
	int64_t least, most;  /* bounds of value.fix */
};

struct type_def {
	struct slice name, help, base;
	int places;           /* decimals of the base unit kept in value.fix */
	int64_t least, most;  /* the same, but for units that have their own */
	int first_unit, nunits; /* rows that vocab_unit() gives; 0 units: a bare number or no number */
};

/* How a field is written; USE_NEEDED belongs to an event's use of it. */
enum {
	USE_MANY = 1,       /* a comma list */
	USE_LABEL_MAY = 2,  /* items may carry `label:` */
	USE_LABEL_MUST = 4,
	USE_RANGE = 8,      /* a..b */
	USE_BEYOND = 16,    /* 30%+ and 6%- */
	USE_ABSENT = 32,    /* - */
	USE_NEEDED = 64,
	USE_ONE_OF = 128    /* at least one of the event's fields so marked is required */
};

/* Which list of the house file a value or a label must be in. */
enum of_list {
	OF_NOTHING, OF_FORM, OF_TYPE, OF_GRADE, OF_WHAT, OF_PLACE, OF_KILN, OF_PERSON,
	OF_PARTY, OF_CULL, OF_RETURN, OF_COST, OF_STAGE, OF_METER, OF_CLASS
};

struct field_def {
	int id;               /* FIELD_..., or FIELDS_END and more for the works' own */
	struct slice name, help;
	int type;             /* TYPE_... */
	unsigned shape;       /* USE_... */
	enum of_list of, label_of;
	const struct slice *words; /* the only words allowed, or NULL */
	int nwords;
};

struct field_use {
	const struct field_def *field;
	int type;
	unsigned shape;
};

/* Kinds of subject, as bits of event_def.subjects. */
enum {
	SUBJECT_TREE = 1, SUBJECT_LOT = 2, SUBJECT_PIECE = 4, SUBJECT_CHARGE = 8,
	SUBJECT_BAT = 16, SUBJECT_KILN = 32, SUBJECT_PLACE = 64, SUBJECT_ORDER = 128,
	SUBJECT_METER = 256, SUBJECT_CURRENCY = 512, SUBJECT_BYPRODUCT = 1024,
	SUBJECT_PARCEL = 2048,
	SUBJECT_SLASHED = SUBJECT_PIECE | SUBJECT_PLACE | SUBJECT_KILN | SUBJECT_METER /* may have a slash */
};

enum stock_take { TAKE_NONE, TAKE_PICK, TAKE_LOTS, TAKE_PAIR, TAKE_SOLD };
enum stock_from { FROM_SUBJECT, FROM_FIELD };
enum stock_number { NUMBER_SUM, NUMBER_CULL, NUMBER_ONE, NUMBER_TALLY };
enum stock_give { GIVE_INTO, GIVE_SUBJECT, GIVE_STAY, GIVE_SOLD };

/* What an event does to the pieces; see the head of `events` in spec/vocabulary.yaml. */
struct stock_effect {
	bool moves;            /* false: the event does nothing to stock */
	enum stock_take take;
	enum stock_from lot, at;
	enum stock_number number;
	enum stock_give give;
	int form;              /* FORM_..., picked when not typed; -1 any */
	bool ungraded;         /* without grade= it picks pieces that have no grade */
	int makes;             /* FORM_... that the pieces become; -1 unchanged */
};

struct event_def {
	int id;               /* EVENT_..., or EVENTS_END and more for the works' own */
	struct slice name, about, help;
	unsigned subjects;
	const struct field_use *uses;
	int nuses;
	struct stock_effect stock;
};

/* Words of the works for the examples in messages. */
struct vocab_own {
	int currency;             /* index */
	struct slice type, cause; /* a type, and a cause for culling */
};

struct vocab {
	struct vocab_own own;
	const struct event_def *events[EVENT_MOST];
	const struct field_def *fields[FIELD_MOST];
	int nevents, nfields;
	uint8_t event_at[256], field_at[512]; /* open-addressed by name: index + 1 */
};

/* The built-in vocabulary alone, and words of an invented works. */
void vocab_init(struct vocab *v);

/*
 * Adds a field or an event of the works' own, which must outlive `v`; its id is set. False
 * when the name is taken or no space is left.
 */
bool vocab_add_field(struct vocab *v, struct field_def *field);
bool vocab_add_event(struct vocab *v, struct event_def *event);

const struct event_def *vocab_event(const struct vocab *v, struct slice name); /* or NULL */
const struct field_def *vocab_field(const struct vocab *v, struct slice name); /* or NULL */

/* How `event` uses the field of that name, or NULL where it does not. */
const struct field_use *vocab_use(const struct event_def *event, struct slice name);

/* The word nearest to `name` among the events / the event's fields; empty when none is near. */
struct slice vocab_near_event(const struct vocab *v, struct slice name);
struct slice vocab_near_use(const struct event_def *event, struct slice name);

/* The tables of types, units, forms and currencies. */
const struct type_def *vocab_type(int type);
int vocab_type_named(struct slice name);     /* TYPE_... or -1 */
bool vocab_type_slash(int type);             /* whether an id of that type may have a slash */
const struct unit_def *vocab_unit(int unit);
struct slice vocab_form(int form);
int vocab_form_named(struct slice name);     /* FORM_... or -1 */
int vocab_currency(const char *three_letters); /* index, or -1 */
struct slice vocab_currency_code(int currency);
int vocab_currency_places(int currency);
struct slice vocab_subject(unsigned bit);    /* the word of one SUBJECT_ bit */
unsigned vocab_subject_named(struct slice name); /* its bit, or 0 */

#endif
