#include "jot/jot_defaults.h"

#include <stdio.h>
#include <stdlib.h>

#include "jot/jot_making.h"

struct jot_defaults {
	struct yaml_doc *doc;
};

static const struct yaml *find(const struct yaml *map, struct slice key)
{
	for (size_t i = 0; map && map->kind == YAML_MAP && i < map->n; i++)
		if (slice_eq(map->key[i].text, key))
			return &map->item[i];
	return NULL;
}

static bool wrong(struct yaml_error *error, const struct yaml *at, const char *why, const char *mend)
{
	*error = (struct yaml_error){ .line = at->line, .col = at->col };
	snprintf(error->text, sizeof error->text, "'%.*s' %s; %s", (int)(at->text.n < 60 ? at->text.n : 60), at->text.p, why, mend);
	return false;
}

static bool check_field(const struct vocab *vocab, const struct event_def *event, const struct yaml *key, const struct yaml *value,
	struct yaml_error *error)
{
	const struct field_def *field = vocab_field(vocab, key->text);

	if (!field || (event && !vocab_use(event, key->text)))
		return wrong(error, key, event ? "is not a field of this event" : "is not a known field", "wy-check --events lists the fields");
	if (field->id == FIELD_BY)
		return wrong(error, key, "is the person already", "leave it out");
	if (value_is_number(field->type) || field->type == TYPE_TEXT)
		return wrong(error, key, "changes from line to line", "give here only words that stay the same, such as meter: or at:");
	if (value->kind != YAML_SCALAR || !value->text.n)
		return wrong(error, key, "needs one word", "write it as meter: pin2");
	return true;
}

static bool check_event(const struct vocab *vocab, const struct yaml *key, const struct yaml *fields, struct yaml_error *error)
{
	const struct event_def *event = vocab_event(vocab, key->text);
	bool good = true;

	if (!event && !slice_eq(key->text, SLICE("any")))
		return wrong(error, key, "is not a known event", "write an event of withy-events(7), or any");
	if (fields->kind != YAML_MAP)
		return wrong(error, key, "has no fields", "write them as probe: {meter: pin2}");
	for (size_t i = 0; good && i < fields->n; i++)
		good = check_field(vocab, event, &fields->key[i], &fields->item[i], error);
	return good;
}

static bool check_person(const struct vocab *vocab, const struct house *house, const struct yaml *key, const struct yaml *events,
	struct yaml_error *error)
{
	bool good = true;

	if (house && house_has(house, HOUSE_PERSON) && house_index(house, HOUSE_PERSON, key->text) < 0)
		return wrong(error, key, "is not in people: of the house file", "write a person's short name, such as mk");
	if (events->kind != YAML_MAP)
		return wrong(error, key, "has no events", "write them as mk: {probe: {meter: pin2}}");
	for (size_t i = 0; good && i < events->n; i++)
		good = check_event(vocab, &events->key[i], &events->item[i], error);
	return good;
}

static bool check_file(const struct vocab *vocab, const struct house *house, const struct yaml *root, struct yaml_error *error)
{
	bool good = true;

	if (root->kind != YAML_MAP)
		return wrong(error, root, "is not a list of people", "write it as mk: {probe: {meter: pin2}}");
	for (size_t i = 0; good && i < root->n; i++)
		good = check_person(vocab, house, &root->key[i], &root->item[i], error);
	return good;
}

struct jot_defaults *jot_defaults_read(struct slice bytes, const struct vocab *vocab, const struct house *house, struct yaml_error *error)
{
	struct yaml_doc *doc = yaml_read(bytes, error);
	struct jot_defaults *d;

	if (!doc)
		return NULL;
	if (!check_file(vocab, house, yaml_root(doc), error)) {
		yaml_doc_free(doc);
		return NULL;
	}
	d = mem_zeroed(1, sizeof *d);
	d->doc = doc;
	return d;
}

void jot_defaults_free(struct jot_defaults *d)
{
	if (d)
		yaml_doc_free(d->doc);
	free(d);
}

struct slice jot_defaults_value(const struct jot_defaults *d, struct slice person, const struct event_def *event, struct slice field)
{
	const struct yaml *mine = d ? find(yaml_root(d->doc), person) : NULL;
	const struct yaml *value = find(find(mine, event->name), field);

	if (!value)
		value = find(find(mine, SLICE("any")), field);
	return value ? value->text : SLICE("");
}
