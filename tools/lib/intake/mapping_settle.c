#include <stdio.h>

#include "base/yaml.h"
#include "book/vocab.h"
#include "intake/mapping.h"

static bool fail(const struct map_entry *e, const char *text, struct yaml_error *error)
{
	error->line = e->line;
	error->col = e->col;
	snprintf(error->text, sizeof error->text, "%s", text);
	return false;
}

static bool has_field(const struct map_entry *e, const struct field_use *use)
{
	for (size_t i = 0; i < e->nfields; i++)
		if (e->field[i].use == use)
			return true;
	return false;
}

static const struct field_use *meter_use(const struct event_def *event)
{
	for (int i = 0; i < event->nuses; i++)
		if (event->uses[i].field->id == FIELD_METER)
			return &event->uses[i];
	return NULL;
}

static void own(struct mapping *m, void *p)
{
	m->owned = mem_grow(m->owned, &m->owned_cap, m->nowned + 1, sizeof *m->owned);
	m->owned[m->nowned++] = p;
}

static void add_meter(struct mapping *m, struct map_entry *e, const struct field_use *use, struct slice meter)
{
	struct map_field *field = mem_array(e->nfields + 1, sizeof *field);
	struct map_item *item = mem_zeroed(1, sizeof *item);

	item->text = meter;
	if (e->nfields)
		memcpy(field, e->field, e->nfields * sizeof *field);
	field[e->nfields++] = (struct map_field){ use, item, 1, false };
	e->field = field;
	own(m, field);
	own(m, item);
}

bool mapping_settle(struct mapping *m, struct slice place, struct slice meter, struct yaml_error *error)
{
	bool used = !place.n;

	for (size_t i = 0; i < m->nentries; i++) {
		struct map_entry *e = &m->entry[i];
		const struct field_use *use = meter_use(e->event);

		if (e->open && !place.n)
			return fail(e, "the entry has no `subject`; add it, such as `subject: store`, or give the logger a `place` in the house file "
				"and use --loggers", error);
		if (e->open) {
			e->subject.text = place;
			e->open = false;
			used = true;
		}
		if (meter.n && use && !has_field(e, use))
			add_meter(m, e, use, meter);
	}
	return used || fail(&m->entry[0], "every entry has its own `subject`; remove it, or remove `place` of the logger in the house file", error);
}
