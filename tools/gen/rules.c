/*
 * rules - reads spec/rules.yaml and writes C: `rules words FILE` the enum RULE_,
 * `rules tables FILE` the rows that tools/lib/book/diag.c includes.
 */
#include "base/yaml.h"
#include "gen.h"

static const char *const LEVELS[] = { "none", "note", "warning", "error", NULL };
static const char *const KEYS[] = { "clause", "level", "args", "text", "mend", "fix", "at", "wrong", "right", NULL };

static size_t arg_index(const struct yaml *text, const struct yaml *args, struct slice name)
{
	for (size_t i = 0; args && i < args->n; i++)
		if (slice_eq(args->item[i].text, name))
			return i;
	gen_fail(text, "{...} names no arg");
}

/* The text with each {name} as one byte, 1 for the first arg. */
static const char *template(const struct yaml *text, const struct yaml *args)
{
	static struct buf out;

	out.n = 0;
	for (struct slice s = text->text; s.n; s = slice_from(s, 1)) {
		size_t end = s.p[0] == '{' ? slice_find(s, '}') : s.n;

		if (end < s.n) {
			buf_char(&out, (char)(1 + arg_index(text, args, slice_upto(slice_from(s, 1), end - 1))));
			s = slice_from(s, end);
		} else
			buf_char(&out, s.p[0]);
	}
	return gen_quote(buf_slice(&out));
}

static void print_words(const struct yaml *rules)
{
	printf("/* Generated from spec/rules.yaml. */\n#ifndef RULES_WORDS_H\n#define RULES_WORDS_H\n\nenum {\n");
	for (size_t i = 0; i < rules->n; i++)
		printf("\tRULE_%s,\n", gen_upper(rules->key[i].text));
	printf("\tRULES_END\n};\n\n#endif\n");
}

/* The args' names with blanks between. */
static const char *names(const struct yaml *args)
{
	static struct buf out;

	out.n = 0;
	for (size_t i = 0; args && i < args->n; i++) {
		if (i)
			buf_char(&out, ' ');
		buf_add(&out, args->item[i].text);
	}
	return gen_quote(buf_slice(&out));
}

static void print_row(struct slice id, const struct yaml *rule)
{
	const struct yaml *args = yaml_get(rule, "args"), *at = yaml_get(rule, "at"), *fix = yaml_get(rule, "fix");

	gen_known(rule, KEYS);
	printf("\t{ SLICE_ROW(%s), SLICE_ROW(%s), %d, %zu,\n", gen_quote(id), gen_quote(gen_need(rule, "clause")->text),
		gen_word(gen_need(rule, "level"), LEVELS), args ? args->n : 0);
	printf("\t  SLICE_ROW(%s),\n", names(args));
	printf("\t  SLICE_ROW(%s),\n", template(gen_need(rule, "text"), args));
	printf("\t  SLICE_ROW(%s),\n", template(gen_need(rule, "mend"), args));
	printf("\t  SLICE_ROW(%s),\n", gen_quote(fix ? fix->text : SLICE("")));
	printf("\t  SLICE_ROW(%s),\n", gen_quote(at ? at->text : SLICE("1:1")));
	printf("\t  SLICE_ROW(%s), SLICE_ROW(%s) },\n", gen_quote(gen_need(rule, "wrong")->text),
		gen_quote(gen_need(rule, "right")->text));
}

static void print_tables(const struct yaml *rules)
{
	printf("/* Generated from spec/rules.yaml. */\nstatic const struct rule_def RULES[] = {\n");
	for (size_t i = 0; i < rules->n; i++)
		print_row(rules->key[i].text, &rules->item[i]);
	printf("};\n");
}

int main(int argc, char **argv)
{
	const struct yaml *rules = gen_need(gen_open(argc, argv), "rules");

	if (strcmp(argv[1], "words") == 0)
		print_words(rules);
	else
		print_tables(rules);
	return gen_close();
}
