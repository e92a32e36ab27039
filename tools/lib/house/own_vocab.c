#include "house/own_vocab.h"

#include "book/vocab.h"
#include "house/house.h"

static unsigned label_shape(int label)
{
	switch (label) {
	case HOUSE_FIELD_LABEL_MAY:
		return USE_LABEL_MAY;
	case HOUSE_FIELD_LABEL_MUST:
		return USE_LABEL_MUST;
	default:
		return 0;
	}
}

static unsigned shape_of(const struct house_field *f)
{
	return (f->many ? USE_MANY : 0u) | (f->range ? USE_RANGE : 0u) | (f->beyond ? USE_BEYOND : 0u) |
		(f->absent ? USE_ABSENT : 0u) | label_shape(f->label);
}

static bool add_field(struct vocab *v, const struct house_field *f)
{
	struct field_def *field = mem_zeroed(1, sizeof *field);

	field->name = f->id;
	field->help = f->help;
	field->type = f->type;
	field->shape = shape_of(f);
	field->of = (enum of_list)f->of;
	field->words = f->words.word;
	field->nwords = (int)f->words.n;
	return vocab_add_field(v, field);
}

static void free_event(const struct event_def *event)
{
	free((struct field_use *)(uintptr_t)event->uses);
	free((struct event_def *)(uintptr_t)event);
}

/* Gives a built-in event one more field that it may have. */
static bool widen(struct vocab *v, const struct vocab *plain, struct slice name, const struct field_def *field)
{
	const struct event_def *event = vocab_event(v, name);
	struct event_def *wider;
	struct field_use *uses;

	if (!event || vocab_use(event, field->name))
		return true;
	if (event->nuses + 1 >= USE_MOST)
		return false;
	wider = mem_zeroed(1, sizeof *wider);
	uses = mem_array((size_t)event->nuses + 1, sizeof *uses);
	memcpy(uses, event->uses, (size_t)event->nuses * sizeof *uses);
	uses[event->nuses] = (struct field_use){ field, field->type, field->shape };
	*wider = *event;
	wider->uses = uses;
	wider->nuses++;
	v->events[event->id] = wider;
	if (event != plain->events[event->id])
		free_event(event);
	return true;
}

static bool widen_events(struct vocab *v, const struct vocab *plain, const struct house_field *f)
{
	const struct field_def *field = vocab_field(v, f->id);

	for (size_t i = 0; i < f->events.n; i++)
		if (!widen(v, plain, f->events.word[i], field))
			return false;
	return true;
}

static int add_uses(const struct vocab *v, struct field_use *uses, int n, const struct house_words *names, unsigned needed)
{
	for (size_t i = 0; i < names->n && n < USE_MOST - 3; i++) {
		const struct field_def *field = vocab_field(v, names->word[i]);

		if (field)
			uses[n++] = (struct field_use){ field, field->type, field->shape | needed };
	}
	return n;
}

static bool add_event(struct vocab *v, const struct house_event *e)
{
	static const struct slice anywhere[] = { { "by", 2 }, { "doc", 3 } };
	const struct house_words always = { anywhere, NULL, 2 };
	struct event_def *event = mem_zeroed(1, sizeof *event);
	struct field_use *uses = mem_zeroed(USE_MOST, sizeof *uses);
	int n = 0;

	n = add_uses(v, uses, n, &e->needs, USE_NEEDED);
	n = add_uses(v, uses, n, &e->takes, 0);
	n = add_uses(v, uses, n, &always, 0);
	event->name = e->id;
	event->about = SLICE("own");
	event->help = e->help;
	event->subjects = e->subject;
	event->uses = uses;
	event->nuses = n;
	event->stock.form = event->stock.makes = -1;
	return vocab_add_event(v, event);
}

/* A works without a currency, a type or a cause has those of the examples. */
static void take_own(struct vocab_own *own, const struct house *house)
{
	if (house->currency >= 0)
		own->currency = house->currency;
	if (house->ntypes)
		own->type = house->types[0].id;
	if (house->causes.cull.n)
		own->cause = house->causes.cull.word[0];
}

bool own_vocab_words(struct vocab *v, const struct house *house)
{
	struct vocab plain;

	vocab_init(&plain);
	take_own(&v->own, house);
	for (size_t i = 0; i < house->nfields; i++)
		if (!add_field(v, &house->fields[i]))
			return false;
	for (size_t i = 0; i < house->nfields; i++)
		if (!widen_events(v, &plain, &house->fields[i]))
			return false;
	for (size_t i = 0; i < house->nevents; i++)
		if (!add_event(v, &house->events[i]))
			return false;
	return true;
}

void own_vocab_release(struct vocab *v)
{
	struct vocab plain;

	vocab_init(&plain);
	for (int i = 0; i < v->nevents; i++)
		if (i >= plain.nevents || v->events[i] != plain.events[i])
			free_event(v->events[i]);
	for (int i = plain.nfields; i < v->nfields; i++)
		free((struct field_def *)(uintptr_t)v->fields[i]);
	vocab_init(v);
}
