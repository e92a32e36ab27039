/*
 * charges_internal.h - private to the files of charges.h.
 */
#ifndef WITHY_CHARGES_INTERNAL_H
#define WITHY_CHARGES_INTERNAL_H

#include <stdbool.h>
#include <stdint.h>

#include "dry/charges.h"
#include "wood/moisture.h"

struct charges;
struct dry_case;

/* What a line says of a charge, item by item. */
enum raw_kind { RAW_OUT, RAW_IN, RAW_READ, RAW_OVEN, RAW_RANDOM, RAW_MASS, RAW_LOAD_MASS };

struct dry_raw {
	int64_t utc_s;
	enum raw_kind kind;
	uint32_t label, piece;    /* ids */
	struct slice label_text, piece_text; /* while it is settled */
	double mc, noise, mass;
	enum dry_mark mark;
	int64_t raw;
	bool corrected, lacks_wood;
	struct meter_rule rule;   /* of the meter, where it lacks the temperature of the wood */
};

void dry_case_release(struct dry_case *c);

/* The i-th case is found by its id from now on. */
void charges_index(struct charges *b, size_t i);

/* The same text, as long as the charges last. */
struct slice charges_keep(struct charges *b, struct slice s);

#endif
