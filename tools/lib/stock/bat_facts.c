#include "stock/bat_facts.h"

#include <stdlib.h>

#include "base/intern.h"
#include "book/parse.h"

/* Days are INT32_MIN where no line says. */
struct bat_fact {
	int64_t micrograms;            /* 0: not weighed */
	int32_t weighed_day, weighed_second; /* of the line that says its mass */
	int32_t finished, back;        /* the last day that it was finished, that it came back */
};

void bat_facts_init(struct bat_facts *b, struct intern *ids)
{
	*b = (struct bat_facts){ .ids = ids };
}

void bat_facts_release(struct bat_facts *b)
{
	free(b->bat);
	memset(b, 0, sizeof *b);
}

static struct bat_fact *bat_of(struct bat_facts *b, struct slice name)
{
	uint32_t id = intern_id(b->ids, name);
	size_t had = b->cap;

	b->bat = mem_grow(b->bat, &b->cap, id + 1u, sizeof *b->bat);
	for (size_t i = had; i < b->cap; i++)
		b->bat[i] = (struct bat_fact){ 0, INT32_MIN, 0, INT32_MIN, INT32_MIN };
	return &b->bat[id];
}

static void take_mass(struct bat_fact *known, const struct line *l)
{
	int64_t micrograms = line_field(l, FIELD_MASS) ? line_item(l, FIELD_MASS)->v.fix : 0;
	int32_t day = l->stamp.day, second = l->stamp.second;

	if (!micrograms)
		return;
	if (day > known->weighed_day || (day == known->weighed_day && (second > known->weighed_second ||
	    (second == known->weighed_second && micrograms > known->micrograms)))) {
		known->micrograms = micrograms;
		known->weighed_day = day;
		known->weighed_second = second;
	}
}

void bat_facts_add(struct bat_facts *b, const struct line *l)
{
	bool finish = l->event->id == EVENT_FINISH;
	struct bat_fact *bat;
	int32_t *last;

	if (!finish && l->event->id != EVENT_RETURN)
		return;
	bat = bat_of(b, l->subject);
	last = finish ? &bat->finished : &bat->back;
	if (l->stamp.day > *last)
		*last = l->stamp.day;
	if (finish)
		take_mass(bat, l);
}

int64_t bat_facts_mass(const struct bat_facts *b, uint32_t id)
{
	return id < b->cap ? b->bat[id].micrograms : 0;
}

bool bat_facts_is_back(const struct bat_facts *b, uint32_t id)
{
	return id < b->cap && b->bat[id].back > b->bat[id].finished;
}
