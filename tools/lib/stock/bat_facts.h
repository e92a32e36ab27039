/*
 * bat_facts.h - what the lines say of a bat besides where it is: its mass, and whether it came back.
 */
#ifndef WITHY_BAT_FACTS_H
#define WITHY_BAT_FACTS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct bat_fact;
struct intern;
struct line;

struct bat_facts {
	struct intern *ids;
	struct bat_fact *bat;
	uint32_t n, *of;           /* by id: its index in `bat` + 1 */
	size_t bats_cap, ids_cap;
	uint32_t met;              /* the bat of the last line */
};

/* Bats are known by the ids of this table, for instance a stock engine's. */
void bat_facts_init(struct bat_facts *b, struct intern *ids);
void bat_facts_release(struct bat_facts *b);

/* Takes a `finish` or `return` line in; other lines are passed over, and it returns false. */
bool bat_facts_add(struct bat_facts *b, const struct line *l);

/* The mass in micrograms by the last `finish` line that has one, of two at once the greater; 0 when it was not weighed. */
int64_t bat_facts_mass(const struct bat_facts *b, uint32_t id);

/* Whether it came back on a later day than it was last finished. */
bool bat_facts_is_back(const struct bat_facts *b, uint32_t id);

#endif
