/*
 * vocab - reads spec/vocabulary.yaml and writes C: `vocab words FILE` the enums,
 * `vocab tables FILE` the rows that tools/lib/book/vocab.c includes. Problems end it with
 * status 1 and the place in the file.
 */
#include <ctype.h>
#include <stdarg.h>

#include "base/yaml.h"
#include "gen.h"

static const char *const SUBJECTS[] = { "tree", "lot", "piece", "charge", "bat", "kiln", "place",
	"order", "meter", "currency", "byproduct", "parcel", NULL };
static const char *const SHAPES[] = { "many", "range", "beyond", "absent", NULL };
static const char *const OFS[] = { "nothing", "form", "type", "grade", "what", "place", "kiln", "person",
	"party", "cull", "return", "cost", "stage", "meter", "class", NULL };

static const struct yaml *events, *fields, *types, *forms;

/* A decimal as an integer and its number of places. */
static int64_t decimal(const struct yaml *y, int *places)
{
	int64_t v = 0;
	bool minus = false;

	*places = -1;
	for (size_t i = 0; i < y->text.n; i++) {
		char c = y->text.p[i];

		if (c == '-' && i == 0)
			minus = true;
		else if (c == '.' && *places < 0)
			*places = 0;
		else if (isdigit((unsigned char)c)) {
			v = v * 10 + (c - '0');
			*places += *places >= 0;
		} else
			gen_fail(y, "not a decimal number");
	}
	if (*places < 0)
		*places = 0;
	return minus ? -v : v;
}

static int64_t scaled(const struct yaml *y, int to_places)
{
	int places;
	int64_t v = decimal(y, &places);

	for (; places < to_places; places++)
		v *= 10;
	return v;
}

static int64_t number_of(const struct yaml *map, const char *key, int64_t otherwise)
{
	const struct yaml *y = yaml_get(map, key);
	int places;

	return y ? decimal(y, &places) : otherwise;
}

static void print_enum(const char *prefix, const struct yaml *map)
{
	printf("enum {\n");
	for (size_t i = 0; i < map->n; i++)
		printf("\t%s_%s,\n", prefix, gen_upper(map->key[i].text));
	printf("\t%sS_END\n};\n\n", prefix);
}

static void print_unit_enum(void)
{
	printf("enum {\n");
	for (size_t t = 0; t < types->n; t++) {
		const struct yaml *units = yaml_get(&types->item[t], "units");

		for (size_t u = 0; units && u < units->n; u++) {
			printf("\tUNIT_%s_", gen_upper(types->key[t].text));
			printf("%s,\n", slice_eq(units->key[u].text, SLICE("%")) ? "PCT" : gen_upper(units->key[u].text));
		}
	}
	printf("\tUNITS_END\n};\n\n");
}

static void print_words(void)
{
	printf("/* Generated from spec/vocabulary.yaml. */\n#ifndef VOCAB_WORDS_H\n#define VOCAB_WORDS_H\n\n");
	print_enum("TYPE", types);
	print_unit_enum();
	print_enum("FORM", forms);
	print_enum("FIELD", fields);
	print_enum("EVENT", events);
	printf("#endif\n");
}

static int then_of(const struct yaml *unit, const struct yaml *units, int first)
{
	const struct yaml *then = yaml_get(unit, "then");

	if (!then)
		return -1;
	for (size_t u = 0; u < units->n; u++)
		if (slice_eq(units->key[u].text, then->text))
			return first + (int)u;
	gen_fail(then, "no such unit");
}

/* Of the unit, or else of its type, in steps of the type; 0 for none. */
static int64_t bound_of(const struct yaml *unit, const struct yaml *type, const char *key)
{
	const struct yaml *bound = unit ? yaml_get(unit, key) : NULL;

	bound = bound ? bound : yaml_get(type, key);
	return bound ? scaled(bound, (int)number_of(type, "places", 0)) : 0;
}

static void print_units(void)
{
	int first = 0;

	printf("static const struct unit_def UNITS[] = {\n");
	for (size_t t = 0; t < types->n; t++) {
		const struct yaml *units = yaml_get(&types->item[t], "units");

		for (size_t u = 0; units && u < units->n; u++) {
			const struct yaml *unit = &units->item[u];
			int places;
			int64_t times = decimal(gen_need(unit, "times"), &places);

			printf("\t{ SLICE_ROW(%s), %lld, %lld, %lld, %d, %d, ", gen_quote(units->key[u].text),
				(long long)times, (long long)number_of(unit, "over", 1), (long long)number_of(unit, "plus", 0),
				places, then_of(unit, units, first));
			printf("%lld, %lld },\n", (long long)bound_of(unit, &types->item[t], "least"),
				(long long)bound_of(unit, &types->item[t], "most"));
		}
		first += units ? (int)units->n : 0;
	}
	printf("};\n\n");
}

static void print_types(void)
{
	int first = 0;

	printf("static const struct type_def TYPES[] = {\n");
	for (size_t t = 0; t < types->n; t++) {
		const struct yaml *type = &types->item[t], *units = yaml_get(type, "units"), *base = yaml_get(type, "base");
		int places = (int)number_of(type, "places", 0);
		int count = units ? (int)units->n : 0;

		printf("\t{ SLICE_ROW(%s), ", gen_quote(types->key[t].text));
		printf("SLICE_ROW(%s), ", gen_quote(gen_need(type, "help")->text));
		printf("SLICE_ROW(%s), %d, ", base ? gen_quote(base->text) : "\"\"", places);
		printf("%lld, %lld, %d, %d },\n",
			(long long)bound_of(NULL, type, "least"), (long long)bound_of(NULL, type, "most"), first, count);
		first += count;
	}
	printf("};\n\n");
}

static void print_currencies(const struct yaml *by_places)
{
	printf("static const struct currency_def CURRENCIES[] = {\n");
	for (size_t i = 0; i < by_places->n; i++)
		for (size_t k = 0; k < by_places->item[i].n; k++)
			printf("\t{ %s, %.*s },\n", gen_quote(by_places->item[i].item[k].text),
				(int)by_places->key[i].text.n, by_places->key[i].text.p);
	printf("};\n\n");
}

static void print_forms(void)
{
	printf("static const struct slice FORMS[] = {\n");
	for (size_t i = 0; i < forms->n; i++)
		printf("\tSLICE_ROW(%s),\n", gen_quote(forms->key[i].text));
	printf("};\n\n");
}

/* The shape bits that `map` changes, on top of `shape`. */
static unsigned shape_of(const struct yaml *map, unsigned shape)
{
	static const unsigned BITS[] = { 1, 8, 16, 32 };
	const struct yaml *label = yaml_get(map, "label");

	for (int i = 0; SHAPES[i]; i++) {
		const struct yaml *on = yaml_get(map, SHAPES[i]);

		if (on)
			shape = gen_yes(on) ? shape | BITS[i] : shape & ~BITS[i];
	}
	if (label) {
		shape &= ~6u;
		if (slice_eq(label->text, SLICE("may")))
			shape |= 2;
		else if (slice_eq(label->text, SLICE("must")))
			shape |= 4;
		else if (!slice_eq(label->text, SLICE("no")))
			gen_fail(label, "label is no, may or must");
	}
	return shape;
}

static int type_of(const struct yaml *map, int otherwise)
{
	const struct yaml *type = yaml_get(map, "type");

	return type ? gen_index(types, type) : otherwise;
}

static void print_word_lists(void)
{
	for (size_t i = 0; i < fields->n; i++) {
		const struct yaml *words = yaml_get(&fields->item[i], "words");

		if (!words)
			continue;
		printf("static const struct slice WORDS_%s[] = { ", gen_upper(fields->key[i].text));
		for (size_t k = 0; k < words->n; k++)
			printf("SLICE_ROW(%s), ", gen_quote(words->item[k].text));
		printf("};\n");
	}
	printf("\n");
}

static int list_of(const struct yaml *field, const char *key)
{
	const struct yaml *of = yaml_get(field, key);

	return of ? gen_word(of, OFS) : 0;
}

static void print_fields(void)
{
	print_word_lists();
	printf("static const struct field_def FIELDS[] = {\n");
	for (size_t i = 0; i < fields->n; i++) {
		const struct yaml *f = &fields->item[i], *words = yaml_get(f, "words");

		gen_known(f, (const char *const[]){ "type", "many", "label", "range", "beyond", "absent", "of",
			"label-of", "words", "help", NULL });
		printf("\t{ %zu, SLICE_ROW(%s), ", i, gen_quote(fields->key[i].text));
		printf("SLICE_ROW(%s), %d, %u, %d, %d, ", gen_quote(gen_need(f, "help")->text), type_of(f, -1), shape_of(f, 0),
			list_of(f, "of"), list_of(f, "label-of"));
		if (words)
			printf("WORDS_%s, %zu },\n", gen_upper(fields->key[i].text), words->n);
		else
			printf("NULL, 0 },\n");
	}
	printf("};\n\n");
}

static bool lists(const struct yaml *list, struct slice word)
{
	for (size_t i = 0; list && i < list->n; i++)
		if (slice_eq(list->item[i].text, word))
			return true;
	return false;
}

static void print_use(const struct yaml *event, const struct yaml *name, unsigned needed)
{
	int f = gen_index(fields, name);
	const struct yaml *field = &fields->item[f], *here = yaml_get(yaml_get(event, "here"), gen_cstr(name->text));
	unsigned shape = shape_of(here, shape_of(field, 0)) | needed;

	if (lists(yaml_get(event, "one-of"), name->text))
		shape |= 128;
	printf("\t{ &FIELDS[%d], %d, %u },\n", f, type_of(here, type_of(field, -1)), shape);
}

static void print_uses(const struct yaml *event, struct slice name, const struct yaml *anywhere)
{
	const struct yaml *needs = yaml_get(event, "needs"), *takes = yaml_get(event, "takes");

	printf("static const struct field_use USES_%s[] = {\n", gen_upper(name));
	for (size_t i = 0; needs && i < needs->n; i++)
		print_use(event, &needs->item[i], 64);
	for (size_t i = 0; takes && i < takes->n; i++)
		print_use(event, &takes->item[i], 0);
	for (size_t i = 0; i < anywhere->n; i++)
		if (!lists(needs, anywhere->item[i].text) && !lists(takes, anywhere->item[i].text))
			print_use(event, &anywhere->item[i], 0);
	printf("};\n");
}

static int choice(const struct yaml *map, const char *key, int otherwise, const char *const *words)
{
	const struct yaml *y = yaml_get(map, key);

	return y ? gen_word(y, words) : otherwise;
}

static void print_stock(const struct yaml *event)
{
	const struct yaml *s = yaml_get(event, "stock"), *form = yaml_get(s, "form"), *makes = yaml_get(s, "makes");

	if (!s) {
		printf("{ .moves = false, .form = -1, .makes = -1 } },\n");
		return;
	}
	gen_known(s, (const char *const[]){ "take", "lot", "at", "form", "grade", "number", "makes", "give", NULL });
	printf("{ true, %d, %d, %d, %d, %d, %d, %s, %d } },\n",
		choice(s, "take", 0, (const char *const[]){ "none", "pick", "lots", "pair", "sold", NULL }),
		choice(s, "lot", 0, (const char *const[]){ "subject", "lot", NULL }),
		choice(s, "at", 1, (const char *const[]){ "subject", "at", NULL }),
		choice(s, "number", 0, (const char *const[]){ "sum", "cull", "one", "tally", NULL }),
		choice(s, "give", 2, (const char *const[]){ "into", "subject", "stay", "sold", NULL }),
		form ? gen_index(forms, form) : -1, yaml_get(s, "grade") ? "true" : "false",
		makes ? gen_index(forms, makes) : -1);
}

static unsigned subjects_of(const struct yaml *event)
{
	const struct yaml *list = gen_need(event, "subject");
	unsigned bits = 0;

	for (size_t i = 0; i < list->n; i++)
		bits |= 1u << gen_word(&list->item[i], SUBJECTS);
	return bits;
}

static void print_events(const struct yaml *anywhere)
{
	for (size_t i = 0; i < events->n; i++)
		print_uses(&events->item[i], events->key[i].text, anywhere);
	printf("\nstatic const struct event_def EVENTS[] = {\n");
	for (size_t i = 0; i < events->n; i++) {
		const struct yaml *e = &events->item[i];
		const char *upper;

		gen_known(e, (const char *const[]){ "about", "subject", "help", "needs", "takes", "one-of", "here", "stock", NULL });
		printf("\t{ %zu, SLICE_ROW(%s), ", i, gen_quote(events->key[i].text));
		printf("SLICE_ROW(%s), ", gen_quote(gen_need(e, "about")->text));
		printf("SLICE_ROW(%s), %u, ", gen_quote(gen_need(e, "help")->text), subjects_of(e));
		upper = gen_upper(events->key[i].text);
		printf("USES_%s, sizeof USES_%s / sizeof *USES_%s,\n\t  ", upper, upper, upper);
		print_stock(e);
	}
	printf("};\n");
}

static void print_tables(const struct yaml *root)
{
	printf("/* Generated from spec/vocabulary.yaml. */\n");
	print_units();
	print_types();
	print_currencies(gen_need(root, "currencies"));
	print_forms();
	print_fields();
	print_events(gen_need(root, "anywhere"));
}

int main(int argc, char **argv)
{
	const struct yaml *root = gen_open(argc, argv);

	types = gen_need(root, "types");
	forms = gen_need(root, "forms");
	fields = gen_need(root, "fields");
	events = gen_need(root, "events");
	if (strcmp(argv[1], "words") == 0)
		print_words();
	else
		print_tables(root);
	return gen_close();
}
