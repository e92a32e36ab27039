/*
 * house.h - the house file of a works, read into plain tables.
 *
 * What the keys mean, with their types and defaults, is said in spec/house-keys.yaml and shown by
 * house(5); the enums HOUSE_... of the words, and the rows that read them, are generated from it.
 *
 * A house is read-only once it is read, and any number of threads may share it. It owns all that
 * its slices and pointers point to. It is always whole: a key that is missing or wrong has its
 * default, so no filter fails for want of one; whether the file was good is what the problems say.
 * house_open.h reads one.
 *
 * Measures are integers in the steps of value.h: moisture and humidity 0.0001 %, temperatures
 * 0.0001 C, lengths 0.0001 mm, spans 0.0001 h, masses micrograms. What is not given is HOUSE_NONE,
 * HOUSE_NO_DAY, a NAN, an empty slice or a list of nothing. A range that is given has a `high`
 * that is not HOUSE_NONE; an open end is INT64_MIN or INT64_MAX, so `low <= x && x <= high` is
 * right for every one of them, and false for a range that is not given.
 */
#ifndef WITHY_HOUSE_H
#define WITHY_HOUSE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"
#include "house_words.h"

struct house_private;
struct line;
struct pattern;
struct yaml;

#define HOUSE_NONE INT64_MIN
#define HOUSE_NO_DAY INT32_MIN

struct house_range {
	int64_t low, high;
};

static inline bool house_range_given(struct house_range r)
{
	return r.high != HOUSE_NONE;
}

static inline bool house_range_holds(struct house_range r, int64_t value)
{
	return r.low <= value && value <= r.high;
}

struct house_words {
	const struct slice *word;
	const struct yaml *node;   /* the list as written, or NULL */
	size_t n;
};

struct house_numbers {
	const double *number;
	size_t n;
};

/* Whole days of a span. */
enum { HOUSE_SPAN_DAY = 240000 };

static inline int64_t house_span_days(int64_t span)
{
	return span / HOUSE_SPAN_DAY;
}

/*
 * Every row of a table starts alike: its id (empty in a list of nameless rows), where the id
 * is (NULL in a list), and what was written for it.
 */
#define HOUSE_ROW struct slice id; const struct yaml *at, *node

struct house_name {
	HOUSE_ROW;
	struct slice name;
};

struct house_rate {
	HOUSE_ROW;
	struct house_range band;      /* moisture; not given: what no other row is of */
	int64_t most;                 /* moisture, points a day */
};

struct house_place {
	HOUSE_ROW;
	int kind;                     /* HOUSE_PLACE_KIND_... */
	struct slice name;
	int64_t capacity;             /* pieces */
	struct house_range target;    /* moisture */
	struct house_range rh, temp;
	const struct house_rate *rates; size_t nrates; /* how fast wood here may dry */
	int64_t air_every;            /* span; intervals.air already put in where it was not given */
	int64_t count_every;          /* span; intervals.count already put in where it was not given */
	struct house_words care;      /* people */
	int64_t lag;                  /* span; how long the wood here takes to follow its air */
};

struct house_type {
	HOUSE_ROW;
	struct slice name;
	int form;                     /* HOUSE_TYPE_FORM_BLADE or _HANDLE */
	int64_t length;
	struct house_range mass;
	struct house_words fits;      /* types of blade; none: all */
};

struct house_scheme {
	HOUSE_ROW;
	int32_t from;                 /* HOUSE_NO_DAY: since ever */
	struct house_words list;      /* best first */
	struct house_numbers worth;   /* as many as grades, or none */
	struct house_words former;    /* what the grades of the scheme before count as in this one; none: they do not mix */
	struct slice name;
};

struct house_class {
	HOUSE_ROW;
	struct house_range mass;
	struct slice name;
};

struct house_rest {
	HOUSE_ROW;
	int form;                     /* HOUSE_REST_FORM_..., in the order of the work */
	struct house_words types, places; /* none: all */
	int64_t span;
};

struct house_claim {
	HOUSE_ROW;                    /* the supplier */
	struct house_words list;      /* best first */
};

struct house_cost {
	HOUSE_ROW;
	int spread;                   /* HOUSE_COST_SPREAD_... */
};

struct house_setting {
	HOUSE_ROW;                    /* the label; empty for the meter without one */
	struct slice wood;
};

struct house_calibration {
	HOUSE_ROW;
	struct slice setting;
	int32_t from, date;           /* `from` is `date` where it was not given */
	double a, b, sd;              /* true = a + b reading, points */
	int64_t pairs;
	struct house_range span;      /* moisture */
	int64_t middle;               /* moisture */
	double b_error;
	struct slice source;
};

struct house_logger {
	HOUSE_ROW;
	struct slice serial, mapping; /* the mapping's path is relative to the house file */
	struct slice place, meter;    /* empty: the mapping's */
};

struct house_plausible {
	const struct yaml *node;
	struct house_range piece, bat; /* mass */
	struct house_range girth;     /* length */
	struct house_range room_temp, kiln_temp, rh;
	double temp_jump, rh_jump;    /* degrees Celsius, points */
	int64_t stuck;                /* span */
	int64_t years, rate;
};

struct house_meter {
	HOUSE_ROW;
	int kind;                     /* HOUSE_METER_KIND_... */
	struct slice name;
	struct house_range trust;     /* reading */
	int64_t check_every;          /* span */
	struct house_words care;      /* people */
	int64_t within;               /* reading */
	struct house_words weighs;    /* of a balance: forms */
	int64_t reference;            /* temperature of the wood */
	double per10c;                /* points for 10 degrees above the reference */
	struct slice rule;            /* where per10c is from */
	const struct house_setting *settings;
	size_t nsettings;
	const struct house_calibration *own;
	size_t nown;
};

struct house_constant {
	HOUSE_ROW;
	int of;                       /* HOUSE_CONSTANT_OF_... */
	double value;
	int by;                       /* HOUSE_CONSTANT_BY_OWN or _HANDBOOK */
	int64_t pieces;
	double sd;
	int32_t date;
	struct slice source;
};

struct house_wood {
	HOUSE_ROW;
	struct slice name;
	struct house_words forms;
	const struct house_constant *constants;
	size_t nconstants;
};

struct house_pattern {
	HOUSE_ROW;                    /* what kind of id: tree, lot ... (HOUSE_IDS_...) */
	struct slice source;
};

struct house_units {
	const struct yaml *node;
	int mass, bat_mass, length, temperature; /* UNIT_... */
};

struct house_causes {
	const struct yaml *node;
	struct house_words cull, give_back; /* cull and return */
};

struct house_ready {
	const struct yaml *node;      /* NULL: the file has no such rule */
	int64_t target;               /* moisture */
	struct house_range band;
	int64_t readings;
	int64_t hold, apart;          /* spans */
	int64_t spread, rate;         /* moisture; moisture a day */
	int64_t share, sure;          /* per cent */
	int64_t probes;
};

struct house_load {
	const struct yaml *node;
	int64_t most_apart;           /* moisture */
};

struct house_splice {
	const struct yaml *node;
	int64_t most_apart;           /* moisture */
	int64_t most_gap, width;      /* length */
};

struct house_laws {
	const struct yaml *node;
	int64_t length, width, depth, edge;
};

struct house_intervals {
	const struct yaml *node;
	int64_t air, kiln_air, probe, count; /* spans */
};

struct house_oldest {
	const struct yaml *node;
	int64_t cleft, blade, handle, bat; /* spans */
};

struct house_care {
	const struct yaml *node;
	struct house_words orders, stock, book; /* people */
};

struct house_field {
	HOUSE_ROW;
	int type;                     /* TYPE_... */
	struct slice help;
	struct house_words events;    /* built-in events that may have it */
	bool many, range, beyond, absent;
	int label;                    /* HOUSE_FIELD_LABEL_... */
	struct house_words words;
	int of;                       /* HOUSE_FIELD_OF_..., in the order of enum of_list */
};

struct house_event {
	HOUSE_ROW;
	unsigned subject;             /* SUBJECT_... bits */
	struct slice help;
	struct house_words needs, takes;
};

struct house_rule {
	HOUSE_ROW;
	int level;                    /* HOUSE_LEVEL_LEVEL_..., in the order of enum diag_level */
};

struct house {
	const struct yaml *node;
	struct slice works;
	struct house_words book;
	struct slice clock;           /* for zone_load() */
	int currency;                 /* index of vocab.h, or -1 */
	int32_t closed;               /* day */
	struct house_units units;
	const struct house_name *species;       size_t nspecies;
	const struct house_place *places;       size_t nplaces;
	const struct house_type *types;         size_t ntypes;
	const struct house_scheme *schemes;     size_t nschemes;  /* by day, the first in force first */
	const struct house_class *classes;      size_t nclasses;  /* as listed */
	const struct house_claim *claims;       size_t nclaims;
	const struct house_claim *promises;     size_t npromises; /* list: grades of the works, one for each of the claim's */
	const struct house_name *people;        size_t npeople;
	const struct house_name *parties;       size_t nparties;
	struct house_causes causes;
	const struct house_cost *costs;         size_t ncosts;
	struct house_words byproducts, stages;
	const struct house_meter *meters;       size_t nmeters;
	const struct house_logger *loggers;     size_t nloggers;
	struct house_plausible plausible;
	const struct house_wood *woods;         size_t nwoods;
	const struct house_pattern *ids;        size_t nids;
	struct house_ready ready;
	struct house_load load;
	struct house_splice splice;
	struct house_laws laws;
	struct house_intervals intervals;
	struct house_oldest oldest;
	struct house_care care;
	const struct house_rest *rests;         size_t nrests;
	struct house_numbers age_bands;         /* weeks, rising; or none */
	const struct house_field *fields;       size_t nfields;
	const struct house_event *events;       size_t nevents;
	const struct house_rule *rules;         size_t nrules;
	size_t errors, warnings;      /* how many problems were found, of each kind */
	struct house_private *private; /* see house_internal.h */
};

/* ---- looking up; a slice that is not known gives NULL, -1 or an empty slice */

enum house_kind {
	HOUSE_PLACE, HOUSE_TYPE, HOUSE_GRADE, HOUSE_CLAIM, HOUSE_PERSON, HOUSE_PARTY, HOUSE_CULL, HOUSE_RETURN,
	HOUSE_COST, HOUSE_BYPRODUCT, HOUSE_STAGE, HOUSE_METER, HOUSE_WOOD, HOUSE_SPECIES, HOUSE_FIELD, HOUSE_EVENT,
	HOUSE_CLASS,
	HOUSE_KINDS
};

/*
 * The row that `id` has in the table of that kind, or -1. For HOUSE_GRADE it only says whether any
 * scheme has such a grade.
 */
int house_index(const struct house *house, enum house_kind kind, struct slice id);

/* Whether the file has such a table at all. Where it has none, any id has to be taken for good. */
bool house_has(const struct house *house, enum house_kind kind);

/* The id of that kind that is nearest to `id`; empty when none is near. */
struct slice house_near(const struct house *house, enum house_kind kind, struct slice id);

const struct house_place *house_place(const struct house *house, struct slice id);
const struct house_type *house_type(const struct house *house, struct slice id);

/* Whether a type of handle goes with a type of blade: one that the house does not know, or that lists none, goes with all. `house` may be NULL. */
bool house_handle_fits(const struct house *house, struct slice handle, struct slice blade);

const struct house_meter *house_meter(const struct house *house, struct slice id); /* without the setting */
const struct house_wood *house_wood(const struct house *house, struct slice id);

/* The scheme in force on a day (see stamp.h), or NULL; and a grade's rank in it, 0 the best, or -1. */
const struct house_scheme *house_scheme_on(const struct house *house, int32_t day);
int house_grade_rank(const struct house *house, int32_t day, struct slice grade);

/*
 * The scheme as which a grading of `day` counts among gradings up to `last`: the one in force, or the latest that
 * `former` leads to from it; NULL before the first. And what the grade is in it: the word itself where its scheme lacks it.
 */
const struct house_scheme *house_scheme_joined(const struct house *house, int32_t day, int32_t last);
struct slice house_grade_joined(const struct house *house, int32_t day, int32_t last, struct slice grade);

/*
 * Where a grade comes among all grades: those of the scheme in force on the day first, best first, then those
 * of the other schemes, the latest first. An unknown one comes last, as INT_MAX; all do where `house` is NULL.
 */
int house_grade_order(const struct house *house, int32_t day, struct slice grade);

/* The same for a weight class, as the house file lists them. */
int house_class_order(const struct house *house, struct slice class);

/*
 * Whether a word that can be a type or a grade is a grade: one of any scheme; where the file has no
 * scheme, or `house` is NULL, a word without a letter.
 */
bool house_is_grade(const struct house *house, struct slice word);

/*
 * Whether the line sells a by-product, so that no pieces of the book go: one of `byproducts`, or
 * anything sold by volume or mass without a count. `house` may be NULL.
 */
bool house_is_byproduct(const struct house *house, const struct line *l);

/* The rest that a piece needs in a place, the first in the file that fits, or NULL. `house` may be NULL. */
const struct house_rest *house_rest_of(const struct house *house, int form, struct slice type, struct slice place);

/* A supplier's own grade: its rank, 0 the best, or -1. */
int house_claim_rank(const struct house *house, struct slice supplier, struct slice grade);

/*
 * The claim's row of a supplier in `claims`, and that in `promises`; NULL for none. The lists of the two are as long.
 */
const struct house_claim *house_claim(const struct house *house, struct slice supplier);
const struct house_claim *house_promise(const struct house *house, struct slice supplier);

/* A meter's setting by its label, or NULL; and the line in force for it on a day, or NULL. */
const struct house_setting *house_setting(const struct house_meter *meter, struct slice label);
const struct house_calibration *house_calibration(const struct house_meter *meter, struct slice label, int32_t day);

/* The wood that a form is of, or NULL; and what is known of it, the works' own before a handbook's. */
const struct house_wood *house_wood_of_form(const struct house *house, struct slice form);
const struct house_constant *house_constant(const struct house_wood *wood, int of);

/* The compiled pattern for ids of the kind HOUSE_IDS_..., or NULL: any id will do. */
const struct pattern *house_pattern(const struct house *house, int kind);

#endif
