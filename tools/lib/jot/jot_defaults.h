/*
 * jot_defaults.h - what each person always writes: the file jot.yaml beside the house file.
 *
 *	mk:                        # a person of the house file
 *	  any: {at: bench}         # for every event that takes the field
 *	  probe: {meter: pin2}     # for one event; goes before `any`
 *
 * Only words that stay the same may be in it: no number, date or text, and not `by`, which is the person.
 */
#ifndef WITHY_JOT_DEFAULTS_H
#define WITHY_JOT_DEFAULTS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/yaml.h"

struct event_def;
struct house;
struct jot_defaults;
struct vocab;

/* Reads the file. NULL where something in it is wrong, and *error says what. `house` may be NULL. */
struct jot_defaults *jot_defaults_read(struct slice bytes, const struct vocab *vocab, const struct house *house, struct yaml_error *error);
void jot_defaults_free(struct jot_defaults *d);

/* The person's value of a field in an event; empty where there is none. `d` may be NULL. */
struct slice jot_defaults_value(const struct jot_defaults *d, struct slice person, const struct event_def *event, struct slice field);

#endif
