/* yaml.c: the tree, its places, and everything that is refused. */
#include <stdio.h>
#include <stdlib.h>

#include "base/yaml.h"

static int failures;

#define CHECK(what) do { if (!(what)) { failures++; printf("%d: %s\n", __LINE__, #what); } } while (0)

static struct yaml_doc *read_text(const char *text, struct yaml_error *error)
{
	return yaml_read(slice_of(text), error);
}

static void tree_keeps_text_and_place(void)
{
	struct yaml_error error;
	struct yaml_doc *doc = read_text("works: Waiora\n\"māori\": [ā, 'b c', 2.50]\nempty:\nmap: {ē: 1, x: |\n  }\n", &error);

	CHECK(!doc); /* a block scalar cannot stand in a flow mapping */
	doc = read_text("works: Waiora\n\"māori\": [ā, 'b c', 2.50]\nempty:\nmap: {ē: 1, x: 08}\nlong: |\n  a\n  b\n", &error);
	CHECK(doc);
	if (!doc) {
		printf("%zu:%zu: %s\n", error.line, error.col, error.text);
		return;
	}
	const struct yaml *root = yaml_root(doc), *list = yaml_get(root, "māori"), *map = yaml_get(root, "map");

	CHECK(root->kind == YAML_MAP && root->n == 5 && root->line == 1 && root->col == 1);
	CHECK(slice_eq(yaml_get(root, "works")->text, SLICE("Waiora")) && !yaml_get(root, "works")->quoted);
	CHECK(yaml_get(root, "works")->col == 8);
	CHECK(root->key[1].quoted && root->key[1].line == 2 && root->key[1].col == 1);
	CHECK(list->kind == YAML_LIST && list->n == 3 && !list->key);
	CHECK(list->item[0].col == 12); /* byte columns: the a with a macron before it is two bytes */
	CHECK(list->item[1].col == 16 && list->item[1].quoted && slice_eq(list->item[1].text, SLICE("b c")));
	CHECK(list->item[2].col == 23 && slice_eq(list->item[2].text, SLICE("2.50")));
	CHECK(yaml_get(root, "empty")->kind == YAML_SCALAR && yaml_get(root, "empty")->text.n == 0);
	CHECK(map->line == 4 && map->col == 6 && map->key[1].col == 14 && map->item[1].col == 17);
	CHECK(yaml_get(root, "long")->quoted && slice_eq(yaml_get(root, "long")->text, SLICE("a\nb\n")));
	CHECK(!yaml_get(root, "absent") && !yaml_get(NULL, "x") && !yaml_get(list, "x"));
	yaml_doc_free(doc);
}

static void nothing_is_an_empty_mapping(void)
{
	static const char *const text[] = { "", "\n", "# only a remark", "---\n", "---\n...\n", "\xef\xbb\xbf" };
	struct yaml_error error;

	for (size_t i = 0; i < sizeof text / sizeof *text; i++) {
		struct yaml_doc *doc = read_text(text[i], &error);

		CHECK(doc && yaml_root(doc)->kind == YAML_MAP && yaml_root(doc)->n == 0);
		yaml_doc_free(doc);
	}
	yaml_doc_free(NULL);
}

static void lines_end_in_three_ways(void)
{
	struct yaml_error error;
	struct yaml_doc *doc = read_text("\xef\xbb\xbf" "a: 1\r\nb: 2\rc: 3\n", &error);

	CHECK(doc);
	if (!doc)
		return;
	CHECK(yaml_get(yaml_root(doc), "a")->line == 1 && yaml_get(yaml_root(doc), "a")->col == 4);
	CHECK(yaml_get(yaml_root(doc), "b")->line == 2 && yaml_get(yaml_root(doc), "b")->col == 4);
	CHECK(yaml_get(yaml_root(doc), "c")->line == 3 && yaml_get(yaml_root(doc), "c")->col == 4);
	yaml_doc_free(doc);
}

static void a_list_may_be_the_root(void)
{
	struct yaml_error error;
	struct yaml_doc *doc = read_text("- a\n- b\n", &error);

	CHECK(doc && yaml_root(doc)->kind == YAML_LIST && yaml_root(doc)->n == 2);
	yaml_doc_free(doc);
}

struct refusal {
	const char *text;
	size_t line, col;
	const char *words; /* that the message holds */
};

static void refusals_have_a_place(void)
{
	static const struct refusal bad[] = {
		{ "ā: &x 1\n", 1, 5, "anchor" },
		{ "a: &x [1]\n", 1, 4, "anchor" },
		{ "a: &x {b: 1}\n", 1, 4, "anchor" },
		{ "a: 1\nb: *a\n", 2, 4, "alias" },
		{ "*a : 1\n", 1, 1, "alias" },
		{ "a: !!str 1\n", 1, 4, "tag" },
		{ "a: ! 1\n", 1, 4, "tag" },
		{ "a: !x [1]\n", 1, 4, "tag" },
		{ "a: !x {b: 1}\n", 1, 4, "tag" },
		{ "a: {}\nb:\n  <<: 1\n", 3, 3, "merge" },
		{ "a: 1\nb: 2\na: 3\n", 3, 1, "'a' is in this mapping twice (first on line 1)" },
		{ "x: {é: 1, é: 2}\n", 1, 12, "twice" },
		{ "? [a]\n: 1\n", 1, 3, "key" },
		{ "? {a: b}\n: 1\n", 1, 3, "key" },
		{ "a: 1\n---\nb: 2\n", 2, 1, "second document" },
		{ "a: 1\n\tb: 2\n", 2, 1, "tab" },
		{ "a: \xff\n", 1, 4, "UTF-8" },
		{ "ā: \xc3(\n", 1, 5, "UTF-8" },
		{ "a: \xed\xa0\x80\n", 1, 4, "UTF-8" },
		{ "a: \xc0\xaf\n", 1, 4, "UTF-8" },
		{ "a: b\n\xe2\x82", 2, 1, "UTF-8" },
		{ "a: \x1b[0m\n", 1, 4, "control" },
		{ "a: \x7f\n", 1, 4, "control" },
		{ "a: \xc2\x9b\n", 1, 4, "control" },
		{ "a: [1, 2\n", 2, 1, "flow sequence" },
		{ "a: 'x\n", 2, 1, "quoted scalar" },
		{ "ü: b: c\n", 1, 6, "': '" },
		{ "a: b\n c: d\n", 2, 3, "': '" },
		{ "a: @x\n", 1, 4, "requires quotes" },
		{ "a: !x!y z\n", 1, 4, "tag" },
		{ "\xff\xfe" "a\0:\0", 1, 1, "UTF-8" },
	};

	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
		struct yaml_error error = { 0 };
		struct yaml_doc *doc = read_text(bad[i].text, &error);

		if (doc || error.line != bad[i].line || error.col != bad[i].col || !strstr(error.text, bad[i].words)) {
			failures++;
			printf("case %zu: %s%zu:%zu: %s\n", i, doc ? "read! " : "", error.line, error.col, error.text);
		}
		yaml_doc_free(doc);
	}
}

static void a_nul_is_refused(void)
{
	struct yaml_error error;
	struct slice text = SLICE("a: 1\nb: x\0y\n");

	CHECK(!yaml_read(text, &error) && error.line == 2 && error.col == 5 && strstr(error.text, "NUL"));
}

static struct yaml_doc *nested(size_t levels, char open, char shut, struct yaml_error *error)
{
	struct buf text = BUF_INIT;
	struct yaml_doc *doc;

	buf_fill(&text, open, levels);
	buf_fill(&text, shut, levels);
	doc = yaml_read(buf_slice(&text), error);
	buf_release(&text);
	return doc;
}

static void depth_is_capped(void)
{
	struct yaml_error error;
	struct yaml_doc *doc = nested(YAML_DEEPEST, '[', ']', &error);

	CHECK(doc);
	yaml_doc_free(doc);
	CHECK(!nested(YAML_DEEPEST + 1, '[', ']', &error) && error.line == 1 && error.col == YAML_DEEPEST + 1);
	CHECK(strstr(error.text, "24 levels"));
	CHECK(!nested(1000000, '[', ']', &error));
	CHECK(!nested(1000000, '{', '}', &error));
}

/* Ten megabytes of short keys, of one line, and of one word: read, in bounded time. */
static void big_files_are_read(void)
{
	struct buf text = BUF_INIT;
	struct yaml_error error;
	struct yaml_doc *doc;

	for (int64_t i = 0; i < 700000; i++) {
		buf_str(&text, "key");
		buf_int(&text, i);
		buf_str(&text, ": 1\n");
	}
	doc = yaml_read(buf_slice(&text), &error);
	CHECK(doc && yaml_root(doc)->n == 700000 && yaml_root(doc)->item[699999].line == 700000);
	yaml_doc_free(doc);
	buf_str(&text, "key5: 1\n");
	CHECK(!yaml_read(buf_slice(&text), &error) && error.line == 700001 && strstr(error.text, "first on line 6"));

	text.n = 0;
	buf_str(&text, "a: [");
	for (int i = 0; i < 2000000; i++)
		buf_str(&text, "é, ");
	buf_str(&text, "é]");
	doc = yaml_read(buf_slice(&text), &error);
	CHECK(doc && yaml_get(yaml_root(doc), "a")->item[2000000].col == 5 + 4 * 2000000);
	yaml_doc_free(doc);

	text.n = 0;
	buf_str(&text, "a: ");
	buf_fill(&text, 'x', 10000000);
	doc = yaml_read(buf_slice(&text), &error);
	CHECK(doc && yaml_get(yaml_root(doc), "a")->text.n == 10000000);
	yaml_doc_free(doc);
	buf_release(&text);
}

static void long_keys_are_shortened_in_messages(void)
{
	struct buf text = BUF_INIT;
	struct yaml_error error;

	for (int i = 0; i < 2; i++) {
		for (int k = 0; k < 200; k++)
			buf_str(&text, "é");
		buf_str(&text, ": 1\n");
	}
	CHECK(!yaml_read(buf_slice(&text), &error));
	CHECK(error.line == 2 && strstr(error.text, "é' is in this mapping twice"));
	buf_release(&text);
}

/* As others read them: YAML 1.1 type repository, and YAML 1.2 core schema (ch. 10.3.2). */
static void others_would_read_these_otherwise(void)
{
	static const char *const yes[] = {
		"~", "null", "NULL", "y", "N", "yes", "No", "on", "OFF", "true", "FALSE",
		"1", "0", "-12", "+3", "1_000", "010", "0b101", "0o17", "0x1F", "-0x1f", "0x1_f",
		"1.5", ".5", "1.", "-.5e3", "6.02E+23", "12e5", "1e5", ".inf", "-.INF", ".NaN",
		"1:30", "+12:00", "12:30:45", "190:20:30.15", "2024-01-01", "2001-1-1",
		"2001-12-14t21:59:43.10-05:00", "2001-12-14 21:59:43.10 -5", "2001-12-15 2:59:43",
	};
	static const char *const no[] = {
		"SH", "S6", "12-", "a1", "1a", "K26-05", "L061", "2026-03", "e5", "12e", "0xg", "yes-but", "nope",
		"--1", "1:75", "store/r1", "Nan", "inf", "26w", "8..10%", "20C", "12:30-", "truth", "0b2", "-", "<",
		"x2024-01-01", "2024-01-01x",
	};

	for (size_t i = 0; i < sizeof yes / sizeof *yes; i++) {
		struct yaml plain = { .kind = YAML_SCALAR, .text = slice_of(yes[i]) };
		struct yaml quoted = plain;

		quoted.quoted = true;
		if (!yaml_ambiguous(&plain) || yaml_ambiguous(&quoted)) {
			failures++;
			printf("%s: is ambiguous, and is not when quoted\n", yes[i]);
		}
	}
	for (size_t i = 0; i < sizeof no / sizeof *no; i++) {
		struct yaml plain = { .kind = YAML_SCALAR, .text = slice_of(no[i]) };

		if (yaml_ambiguous(&plain)) {
			failures++;
			printf("%s: is not ambiguous\n", no[i]);
		}
	}
}

int main(void)
{
	tree_keeps_text_and_place();
	nothing_is_an_empty_mapping();
	lines_end_in_three_ways();
	a_list_may_be_the_root();
	refusals_have_a_place();
	a_nul_is_refused();
	depth_is_capped();
	big_files_are_read();
	long_keys_are_shortened_in_messages();
	others_would_read_these_otherwise();
	return failures != 0;
}
