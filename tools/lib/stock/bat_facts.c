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
	free(b->of);
	memset(b, 0, sizeof *b);
}

static struct bat_fact *bat_of(struct bat_facts *b, struct slice name)
{
	uint32_t id = intern_memo(b->ids, &b->met, name);
	size_t had = b->ids_cap;

	b->of = mem_grow(b->of, &b->ids_cap, id + (size_t)1, sizeof *b->of);
	if (b->ids_cap > had)
		memset(b->of + had, 0, (b->ids_cap - had) * sizeof *b->of);
	if (!b->of[id]) {
		b->bat = mem_grow(b->bat, &b->bats_cap, b->n + (size_t)1, sizeof *b->bat);
		b->bat[b->n++] = (struct bat_fact){ 0, INT32_MIN, 0, INT32_MIN, INT32_MIN };
		b->of[id] = b->n;
	}
	return &b->bat[b->of[id] - 1];
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

bool bat_facts_add(struct bat_facts *b, const struct line *l)
{
	bool finish = l->event->id == EVENT_FINISH;
	struct bat_fact *bat;
	int32_t *last;

	if (!finish && l->event->id != EVENT_RETURN)
		return false;
	bat = bat_of(b, l->subject);
	last = finish ? &bat->finished : &bat->back;
	if (l->stamp.day > *last)
		*last = l->stamp.day;
	if (finish)
		take_mass(bat, l);
	return true;
}

/* NULL where no line says anything. */
static const struct bat_fact *fact_of(const struct bat_facts *b, uint32_t id)
{
	return id < b->ids_cap && b->of[id] ? &b->bat[b->of[id] - 1] : NULL;
}

int64_t bat_facts_mass(const struct bat_facts *b, uint32_t id)
{
	const struct bat_fact *bat = fact_of(b, id);

	return bat ? bat->micrograms : 0;
}

bool bat_facts_is_back(const struct bat_facts *b, uint32_t id)
{
	const struct bat_fact *bat = fact_of(b, id);

	return bat && bat->back > bat->finished;
}
