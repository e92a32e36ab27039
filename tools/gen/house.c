/*
 * house - reads spec/house-keys.yaml (and spec/vocabulary.yaml, for the value types) and writes
 * what holds the keys of a house file: `house words FILE` the enums of house_words.h, `house tables
 * FILE` the keys that house_read.c includes, `house problems FILE` the problems that house_loader.c
 * includes, `house schema FILE` the JSON Schema, `house page FILE <house.5` that page with its
 * generated clauses renewed.
 */
#include <ctype.h>

#include "base/yaml.h"
#include "gen.h"

static const char *const KEYS[] = { "is", "as", "id", "keys", "range", "words", "of", "needed", "default", "plain",
	"c", "rows", "help", NULL };
static const char *const LISTS[] = { "ids", "grades", "texts", "numbers", "forms", "subjects", NULL };
static const char *const AS[] = { "one", "list", "map", NULL };
static const char *const REFERENCE_KINDS[] = { "id", "place", "type", "party", "form", "label", "rule", "words", NULL };
static const char *const LEVELS[] = { "none", "note", "warning", "error", NULL };

/* Indices of AS and REFERENCE_KINDS. */
enum { AS_ONE, AS_LIST, AS_MAP };
enum { ID_FORM = 4, ID_WORDS = 7 };

static const struct yaml *vocabulary, *records, *problems;

static const struct yaml *open_both(int argc, char **argv)
{
	char *first[] = { argv[0], "tables", "spec/vocabulary.yaml" };
	const struct yaml *root;

	vocabulary = gen_open(3, first);
	root = gen_open(argc, argv);
	records = gen_need(root, "records");
	problems = gen_need(root, "problems");
	return root;
}

static bool has_word(const char *const *words, struct slice s)
{
	for (; *words; words++)
		if (slice_eq(s, slice_of(*words)))
			return true;
	return false;
}

static const struct yaml *record_of(const struct yaml *key)
{
	const struct yaml *is = gen_need(key, "is");

	for (size_t i = 0; i < records->n; i++)
		if (slice_eq(records->key[i].text, is->text))
			return &records->item[i];
	return NULL;
}

static int record_index(const struct yaml *record)
{
	return record ? (int)(record - records->item) : -1;
}

static bool is_bare(const struct yaml *record)
{
	const struct yaml *bare = yaml_get(record, "bare");

	return bare && gen_yes(bare);
}

/* The key that stands alone for a list of one such record: its index, or -1. */
static int short_key(const struct yaml *record)
{
	const struct yaml *name = yaml_get(record, "short"), *keys = gen_need(record, "keys");

	for (size_t k = 0; name && k < keys->n; k++)
		if (slice_eq(keys->key[k].text, name->text))
			return (int)k;
	if (name)
		gen_fail(name, "`short` names no key");
	return -1;
}

static bool is_yes(const struct yaml *key, const char *what)
{
	const struct yaml *y = yaml_get(key, what);

	return y && gen_yes(y);
}

static int as_of(const struct yaml *key)
{
	const struct yaml *as = yaml_get(key, "as");

	return as ? gen_word(as, AS) : 0;
}

static int id_kind(const struct yaml *key)
{
	const struct yaml *id = yaml_get(key, "id");

	if (yaml_get(key, "keys"))
		return ID_WORDS;
	return id ? gen_word(id, REFERENCE_KINDS) : 0;
}

/* The row of the vocabulary's types that `is` (or `of`) names, or NULL. */
static const struct yaml *measure_of(const struct yaml *key, const char *what)
{
	const struct yaml *y = yaml_get(key, what), *type = yaml_get(vocabulary, "types");
	const struct yaml *m = y ? yaml_get(type, gen_cstr(y->text)) : NULL;

	return m && yaml_get(m, "units") ? m : NULL;
}

static struct slice measure_name(const struct yaml *m)
{
	const struct yaml *types = yaml_get(vocabulary, "types");

	return types->key[m - types->item].text;
}

/* The name of a member of a struct: `-` is `_`. */
static const char *member(struct slice key, const struct yaml *c)
{
	static struct buf out[4];
	static int at;
	struct buf *b = &out[at = (at + 1) % 4];
	struct slice s = c ? c->text : key;

	b->n = 0;
	for (size_t i = 0; i < s.n; i++)
		buf_char(b, s.p[i] == '-' ? '_' : s.p[i]);
	return buf_cstr(b);
}

/* ---- words: enums of house_words.h */

static const struct yaml *words_of(const struct yaml *key)
{
	const struct yaml *words = yaml_get(key, "words");

	return words ? words : yaml_get(key, "keys");
}

static void print_word(struct slice record, struct slice name, struct slice word)
{
	printf("\tHOUSE_");
	if (!slice_eq(record, records->key[0].text))
		printf("%s_", gen_upper(record));
	printf("%s_", gen_upper(name));
	printf("%s,\n", gen_upper(word));
}

static void print_enum(struct slice record, struct slice name, const struct yaml *words)
{
	printf("enum {\n");
	for (size_t i = 0; i < words->n; i++)
		print_word(record, name, words->item[i].text);
	print_word(record, name, SLICE("END"));
	printf("};\n\n");
}

/* house-key-unknown is PROBLEM_KEY_UNKNOWN. */
static void print_problem_enum(void)
{
	printf("enum {\n");
	for (size_t i = 0; i < problems->n; i++)
		printf("\tPROBLEM_%s,\n", gen_upper(slice_from(problems->key[i].text, strlen("house-"))));
	printf("\tPROBLEMS_END\n};\n\n");
}

static void print_words(void)
{
	printf("/* Generated from spec/house-keys.yaml. */\n#ifndef HOUSE_WORDS_H\n#define HOUSE_WORDS_H\n\n");
	for (size_t r = 0; r < records->n; r++) {
		const struct yaml *keys = gen_need(&records->item[r], "keys");

		for (size_t k = 0; k < keys->n; k++)
			if (words_of(&keys->item[k]))
				print_enum(records->key[r].text, keys->key[k].text, words_of(&keys->item[k]));
	}
	print_problem_enum();
	printf("#endif\n");
}

/* ---- tables: the keys, for house_read.c, and the problems, for house_loader.c */

static void print_word_list(const char *prefix, struct slice record, struct slice name, const struct yaml *words)
{
	printf("static const struct slice %s_%s_", prefix, gen_upper(record));
	printf("%s[] = { ", gen_upper(name));
	for (size_t i = 0; i < words->n; i++)
		printf("SLICE_ROW(%s), ", gen_quote(words->item[i].text));
	printf("};\n");
}

static void print_word_lists(struct slice record, const struct yaml *keys)
{
	for (size_t k = 0; k < keys->n; k++) {
		if (words_of(&keys->item[k]))
			print_word_list("WORDS", record, keys->key[k].text, words_of(&keys->item[k]));
		if (yaml_get(&keys->item[k], "plain"))
			print_word_list("WORDS", record, keys->key[k].text, yaml_get(&keys->item[k], "plain"));
	}
}

static const char *is_name(const struct yaml *key)
{
	if (record_of(key))
		return "RECORD";
	if (measure_of(key, "is"))
		return is_yes(key, "range") ? "RANGE" : "MEASURE";
	return gen_upper(gen_need(key, "is")->text);
}

static void print_type(const struct yaml *key)
{
	const struct yaml *m = measure_of(key, "is");

	if (!m)
		m = measure_of(key, "of");
	if (m)
		printf("TYPE_%s, ", gen_upper(measure_name(m)));
	else
		printf("-1, ");
}

static void print_offsets(const struct yaml *record, struct slice name, const struct yaml *key)
{
	const char *c = gen_cstr(gen_need(record, "c")->text);
	const char *m = member(name, as_of(key) ? yaml_get(key, "rows") : yaml_get(key, "c"));

	printf("offsetof(struct %s, %s), ", c, m);
	if (as_of(key))
		printf("offsetof(struct %s, n%s), ", c, m);
	else
		printf("0, ");
}

static void print_key(const struct yaml *record, struct slice record_name, struct slice name, const struct yaml *key)
{
	const struct yaml *words = words_of(key) ? words_of(key) : yaml_get(key, "plain");
	const struct yaml *otherwise = yaml_get(key, "default");

	gen_known(key, KEYS);
	printf("\t{ SLICE_ROW(%s), IS_%s, ", gen_quote(name), is_name(key));
	printf("AS_%s, ", gen_upper(slice_of(AS[as_of(key)])));
	printf("ID_%s, %d, ", gen_upper(slice_of(REFERENCE_KINDS[id_kind(key)])), is_yes(key, "needed"));
	print_type(key);
	printf("%d,\n\t  ", record_index(record_of(key)));
	print_offsets(record, name, key);
	if (words) {
		printf("WORDS_%s_", gen_upper(record_name));
		printf("%s, %zu, ", gen_upper(name), words->n);
	} else
		printf("NULL, 0, ");
	printf("SLICE_ROW(%s) },\n", otherwise ? gen_quote(otherwise->text) : "\"\"");
}

static void print_record(struct slice name, const struct yaml *record)
{
	const struct yaml *keys = gen_need(record, "keys");

	gen_known(record, (const char *const[]){ "c", "bare", "short", "keys", NULL });
	if (is_bare(record) && keys->n != 1)
		gen_fail(record, "a bare record has one key");
	print_word_lists(name, keys);
	printf("static const struct house_key KEYS_%s[] = {\n", gen_upper(name));
	for (size_t k = 0; k < keys->n; k++)
		print_key(record, name, keys->key[k].text, &keys->item[k]);
	printf("};\n\n");
}

static void print_records(void)
{
	for (size_t r = 0; r < records->n; r++)
		print_record(records->key[r].text, &records->item[r]);
	printf("static const struct house_record RECORDS[] = {\n");
	for (size_t r = 0; r < records->n; r++) {
		const struct yaml *record = &records->item[r];

		printf("\t{ KEYS_%s, %zu, ", gen_upper(records->key[r].text), gen_need(record, "keys")->n);
		printf("sizeof(struct %s), %d, %d },\n", gen_cstr(gen_need(record, "c")->text), is_bare(record), short_key(record));
	}
	printf("};\n\n");
}

static void print_problems(void)
{
	printf("/* Generated from spec/house-keys.yaml. */\n");
	printf("static const struct problem_def PROBLEMS[] = {\n");
	for (size_t i = 0; i < problems->n; i++) {
		gen_need(&problems->item[i], "help");
		printf("\t{ SLICE_ROW(%s), %d },\n", gen_quote(problems->key[i].text),
			gen_word(gen_need(&problems->item[i], "level"), LEVELS));
	}
	printf("};\n");
}

static void print_tables(void)
{
	printf("/* Generated from spec/house-keys.yaml. */\n");
	print_records();
}

/* ---- schema */

static void json(struct slice s)
{
	putchar('"');
	for (size_t i = 0; i < s.n; i++) {
		if (s.p[i] == '"' || s.p[i] == '\\')
			putchar('\\');
		putchar(s.p[i]);
	}
	putchar('"');
}

#define ID "(?!-$)[A-Za-z0-9_-]+"

static const char *id_pattern(int kind)
{
	static const char *const pattern[] = { "^" ID "$", "^[A-Za-z0-9_-]+(/[A-Za-z0-9_-]+)?$", "^(?=.*[A-Za-z])" ID "$",
		"^" ID "$", NULL, "^[A-Za-z0-9_-]*$", "^[a-z0-9-]+$", NULL };

	return pattern[kind];
}

#define NUMBER "[0-9]+(\\.[0-9]+)?"

/* A number with one of the type's units, and with the smaller unit behind it where there is one. */
static void measure_pattern(struct buf *b, const struct yaml *m)
{
	const struct yaml *units = gen_need(m, "units"), *then;

	buf_str(b, "-?" NUMBER "(");
	for (size_t i = 0; i < units->n; i++) {
		if (i)
			buf_char(b, '|');
		buf_add(b, units->key[i].text);
		then = yaml_get(&units->item[i], "then");
		if (then)
			buf_printf(b, "(" NUMBER "%s)?", gen_cstr(then->text));
	}
	buf_char(b, ')');
}

static void print_measure(const struct yaml *key, const struct yaml *m)
{
	struct buf one = BUF_INIT, all = BUF_INIT;
	const char *c;

	measure_pattern(&one, m);
	c = buf_cstr(&one);
	if (is_yes(key, "range"))
		buf_printf(&all, "^((%s|-?" NUMBER ")\\.\\.%s|%s\\.\\.|\\.\\.%s)$", c, c, c, c);
	else
		buf_printf(&all, "^%s$", c);
	printf("{\"type\": \"string\", \"pattern\": ");
	json(buf_slice(&all));
	printf("}");
	buf_release(&one);
	buf_release(&all);
}

static void print_choice(const struct yaml *list, bool of_keys)
{
	const struct yaml *word = of_keys ? list->key : list->item;

	printf("{\"enum\": [");
	for (size_t i = 0; i < list->n; i++) {
		printf("%s", i ? ", " : "");
		json(word[i].text);
	}
	printf("]}");
}

/* The kinds of subject that the vocabulary's events have, each once. */
static void print_subjects(void)
{
	const struct yaml *events = gen_need(vocabulary, "events");
	struct slice seen[32];
	size_t n = 0, at;

	for (size_t e = 0; e < events->n; e++) {
		const struct yaml *list = gen_need(&events->item[e], "subject");

		for (size_t i = 0; i < list->n; i++) {
			for (at = 0; at < n && !slice_eq(seen[at], list->item[i].text); at++)
				;
			if (at == n && n < 32)
				seen[n++] = list->item[i].text;
		}
	}
	printf("{\"enum\": [");
	for (at = 0; at < n; at++) {
		printf("%s", at ? ", " : "");
		json(seen[at]);
	}
	printf("]}");
}

static void print_pattern(const char *pattern)
{
	printf("{\"type\": \"string\", \"pattern\": ");
	json(slice_of(pattern));
	printf("}");
}

/* One value, or one item of a list, that is named by `is`. */
static void print_scalar(struct slice is, const struct yaml *key)
{
	if (slice_eq(is, SLICE("id")) || slice_eq(is, SLICE("grade")))
		print_pattern(id_pattern(0));
	else if (slice_eq(is, SLICE("label")))
		print_pattern(id_pattern(5));
	else if (slice_eq(is, SLICE("word")))
		print_choice(gen_need(key, "words"), false);
	else if (slice_eq(is, SLICE("count")))
		printf("{\"anyOf\": [{\"type\": \"integer\", \"minimum\": 0}, {\"type\": \"string\", \"pattern\": \"^[0-9]+$\"}]}");
	else if (slice_eq(is, SLICE("number")))
		printf("{\"anyOf\": [{\"type\": \"number\"}, {\"type\": \"string\", \"pattern\": \"^-?[0-9]+(\\\\.[0-9]+)?$\"}]}");
	else if (slice_eq(is, SLICE("date")))
		print_pattern("^[0-9]{4}-[0-9]{2}-[0-9]{2}$");
	else if (slice_eq(is, SLICE("boolean")))
		printf("{\"enum\": [\"yes\", \"no\", true, false]}");
	else if (slice_eq(is, SLICE("unit")))
		print_choice(gen_need(measure_of(key, "of"), "units"), true);
	else if (slice_eq(is, SLICE("currency")))
		print_pattern("^[A-Z]{3}$");
	else if (slice_eq(is, SLICE("value-type")))
		print_choice(gen_need(vocabulary, "types"), true);
	else if (slice_eq(is, SLICE("form")))
		print_choice(gen_need(vocabulary, "forms"), true);
	else if (slice_eq(is, SLICE("subject")))
		print_subjects();
	else if (has_word((const char *const[]){ "text", "clock", "pattern", NULL }, is))
		printf("{\"type\": \"string\", \"minLength\": 1}");
	else
		gen_fail(key, "`is` is not known");
}

static void print_value(const struct yaml *key)
{
	struct slice is = gen_need(key, "is")->text;
	const struct yaml *m = measure_of(key, "is");

	if (m) {
		print_measure(key, m);
	} else if (has_word(LISTS, is)) {
		printf("{\"anyOf\": [");
		print_scalar(slice_upto(is, is.n - 1), key);
		printf(", {\"type\": \"array\", \"items\": ");
		print_scalar(slice_upto(is, is.n - 1), key);
		printf("%s}]}", slice_eq(is, SLICE("numbers")) || slice_eq(is, SLICE("grades")) ? "" : ", \"uniqueItems\": true");
	} else {
		print_scalar(is, key);
	}
}

static void print_ref(const struct yaml *record)
{
	printf("{\"$ref\": \"#/definitions/%s\"}", gen_cstr(records->key[record_index(record)].text));
}

static void print_key_schema(const struct yaml *key)
{
	const struct yaml *record = record_of(key);

	if (!record)
		print_value(key);
	else if (as_of(key) == AS_ONE)
		print_ref(record);
	else if (as_of(key) == AS_LIST) {
		if (short_key(record) >= 0) {
			print_value(&gen_need(record, "keys")->item[short_key(record)]);
			printf(", ");
		}
		printf("{\"type\": \"array\", \"items\": ");
		print_ref(record);
		printf("}");
	} else {
		printf("{\"type\": \"object\", \"additionalProperties\": ");
		print_ref(record);
		printf(", \"propertyNames\": ");
		if (id_kind(key) == ID_WORDS)
			print_choice(gen_need(key, "keys"), false);
		else if (id_kind(key) == ID_FORM)
			print_choice(gen_need(vocabulary, "forms"), true);
		else
			print_pattern(id_pattern(id_kind(key)));
		printf("}");
	}
}

static void print_property(struct slice name, const struct yaml *key, const char *indent, bool last)
{
	const struct yaml *otherwise = yaml_get(key, "default");

	printf("%s", indent);
	json(name);
	printf(": {\"description\": ");
	json(gen_need(key, "help")->text);
	if (otherwise) {
		printf(", \"default\": ");
		json(otherwise->text);
	}
	printf(",\n%s\t\"anyOf\": [", indent);
	print_key_schema(key);
	printf("%s]}%s\n", is_yes(key, "needed") ? "" : ", {\"type\": \"null\"}", last ? "" : ",");
}

static void print_needed(const struct yaml *keys, const char *indent)
{
	bool first = true;

	for (size_t k = 0; k < keys->n; k++) {
		if (!is_yes(&keys->item[k], "needed"))
			continue;
		printf("%s", first ? "" : ", ");
		if (first)
			printf("%s\"required\": [", indent);
		json(keys->key[k].text);
		first = false;
	}
	if (!first)
		printf("],\n");
}

static void print_object(const struct yaml *record, const char *indent)
{
	const struct yaml *keys = gen_need(record, "keys");
	char deeper[16];

	snprintf(deeper, sizeof deeper, "%s\t", indent);
	printf("%s\"type\": \"object\",\n%s\"additionalProperties\": false,\n", indent, indent);
	print_needed(keys, indent);
	printf("%s\"properties\": {\n", indent);
	for (size_t k = 0; k < keys->n; k++)
		print_property(keys->key[k].text, &keys->item[k], deeper, k + 1 == keys->n);
	printf("%s}\n", indent);
}

static void print_definition(size_t r)
{
	const struct yaml *record = &records->item[r];

	printf("\t\t");
	json(records->key[r].text);
	if (is_bare(record)) {
		printf(": ");
		print_value(&gen_need(record, "keys")->item[0]);
	} else {
		printf(": {\n");
		print_object(record, "\t\t\t");
		printf("\t\t}");
	}
	printf("%s\n", r + 1 == records->n ? "" : ",");
}

static void print_schema(void)
{
	printf("{\n\t\"$schema\": \"http://json-schema.org/draft-07/schema#\",\n\t\"title\": \"The house file of a works\",\n");
	printf("\t\"$comment\": \"Generated from spec/house-keys.yaml.\",\n");
	print_object(&records->item[0], "\t");
	printf("\t,\"definitions\": {\n");
	for (size_t r = 1; r < records->n; r++)
		print_definition(r);
	printf("\t}\n}\n");
}

/* ---- page: clauses of house.5 */

/* One character of mdoc; what stands between two ` is bold. */
static void mdoc_char(char c, bool *bold)
{
	if (c == '`') {
		*bold = !*bold;
		printf("%s", *bold ? "\\fB" : "\\fR");
	} else if (c == '\\') {
		printf("\\e");
	} else {
		putchar(c);
	}
}

/* A sentence a line. A line that would start with a dot or an apostrophe is kept from being a request. */
static void mdoc(struct slice s)
{
	bool start = true, bold = false;

	for (size_t i = 0; i < s.n; i++) {
		if (start && (s.p[i] == '.' || s.p[i] == '\''))
			printf("\\&");
		mdoc_char(s.p[i], &bold);
		start = (s.p[i] == '.' || s.p[i] == '?') && i + 1 < s.n && s.p[i + 1] == ' ';
		if (start) {
			putchar('\n');
			i++;
		}
	}
	putchar('\n');
}

static void print_words_of(const struct yaml *words)
{
	for (size_t i = 0; i < words->n; i++)
		printf("%s%s", i ? i + 1 == words->n ? " or " : ", " : "", gen_cstr(words->item[i].text));
}

static void print_value_kind(const struct yaml *key)
{
	const struct yaml *m = measure_of(key, "is");
	struct slice is = gen_need(key, "is")->text;

	if (m && is_yes(key, "range"))
		printf("a range of %s", gen_cstr(is));
	else if (slice_eq(is, SLICE("word")))
		print_words_of(gen_need(key, "words"));
	else if (slice_eq(is, SLICE("unit")))
		printf("a unit of %s", gen_cstr(gen_need(key, "of")->text));
	else
		printf("%s", gen_cstr(is));
}

static void print_kind(const struct yaml *key)
{
	static const char *const ids[] = { "ids", "places", "types", "parties", "forms", "labels", "rules", "words" };
	const struct yaml *record = record_of(key);

	if (!record)
		print_value_kind(key);
	else {
		if (as_of(key) == AS_LIST && short_key(record) >= 0) {
			print_value_kind(&gen_need(record, "keys")->item[short_key(record)]);
			printf(", or ");
		}
		if (as_of(key) == AS_LIST)
			printf("a list of ");
		if (as_of(key) == AS_MAP && id_kind(key) == ID_WORDS) {
			printf("a mapping from ");
			print_words_of(gen_need(key, "keys"));
			printf(" to ");
		} else if (as_of(key) == AS_MAP)
			printf("a mapping from %s to ", ids[id_kind(key)]);
		if (is_bare(record))
			print_value_kind(&gen_need(record, "keys")->item[0]);
		else
			printf("%s", as_of(key) ? "mappings" : "a mapping");
	}
}

static void print_clause(const char *clause, struct slice name, const struct yaml *key)
{
	const struct yaml *otherwise = yaml_get(key, "default");

	printf(".It %s Cm %s No : ", clause, gen_cstr(name));
	print_kind(key);
	if (is_yes(key, "needed"))
		printf("; required");
	else if (otherwise)
		printf("; default %s", otherwise->text.n ? gen_cstr(otherwise->text) : "\\(dq\\(dq");
	printf("\n");
	mdoc(gen_need(key, "help")->text);
}

static void print_inner_clauses(const char *clause, const struct yaml *record)
{
	const struct yaml *keys = gen_need(record, "keys");
	char inner[32];

	if (is_bare(record)) {
		if (yaml_get(&keys->item[0], "help"))
			mdoc(gen_need(&keys->item[0], "help")->text);
		return;
	}
	printf(".Bl -tag -width Ds\n");
	for (size_t k = 0; k < keys->n; k++) {
		const struct yaml *key = &keys->item[k], *deeper = record_of(key);

		snprintf(inner, sizeof inner, "%s.%zu", clause, k + 1);
		print_clause(inner, keys->key[k].text, key);
		if (deeper)
			print_inner_clauses(inner, deeper);
	}
	printf(".El\n");
}

static void print_clauses(void)
{
	const struct yaml *keys = gen_need(&records->item[0], "keys");
	char clause[32];

	printf(".Bl -tag -width Ds\n");
	for (size_t k = 0; k < keys->n; k++) {
		const struct yaml *record = record_of(&keys->item[k]);

		snprintf(clause, sizeof clause, "4.%zu", k + 1);
		print_clause(clause, keys->key[k].text, &keys->item[k]);
		if (record)
			print_inner_clauses(clause, record);
	}
	printf(".El\n");
}

static void print_problem_list(void)
{
	printf(".Bl -tag -width Ds\n");
	for (size_t i = 0; i < problems->n; i++) {
		printf(".It 6.%zu Sy %s No : ", i + 1, gen_cstr(problems->key[i].text));
		printf("%s\n", gen_cstr(gen_need(&problems->item[i], "level")->text));
		mdoc(gen_need(&problems->item[i], "help")->text);
	}
	printf(".El\n");
}

/* The example, as literal text. */
static void print_example(void)
{
	FILE *in = fopen("spec/house.example.yaml", "rb");
	int c;

	if (!in)
		gen_fail(NULL, "spec/house.example.yaml cannot be read");
	while ((c = getc(in)) != EOF)
		if (c == '\\')
			printf("\\e");
		else
			putchar(c);
	fclose(in);
}

/* Copies the page but for what stands between `.\" made: WHAT` and `.\" made: end`. */
static void print_page(void)
{
	char line[2048];
	bool made = false;

	while (fgets(line, sizeof line, stdin)) {
		bool mark = strncmp(line, ".\\\" made: ", 10) == 0;

		if (!made || mark)
			fputs(line, stdout);
		if (!mark)
			continue;
		made = strcmp(line + 10, "end\n") != 0;
		if (strcmp(line + 10, "keys\n") == 0)
			print_clauses();
		else if (strcmp(line + 10, "problems\n") == 0)
			print_problem_list();
		else if (strcmp(line + 10, "example\n") == 0)
			print_example();
	}
}

int main(int argc, char **argv)
{
	const struct yaml *root = open_both(argc, argv);

	gen_known(root, (const char *const[]){ "format", "records", "problems", NULL });
	if (strcmp(argv[1], "words") == 0)
		print_words();
	else if (strcmp(argv[1], "tables") == 0)
		print_tables();
	else if (strcmp(argv[1], "problems") == 0)
		print_problems();
	else if (strcmp(argv[1], "schema") == 0)
		print_schema();
	else
		print_page();
	return gen_close();
}
