/*
 * words - fills a template with the words of the vocabulary, the rules and the tools' pages:
 * `words TEMPLATE [tools/wy-NAME.1 ...]`, run at the root; what it makes goes to standard output.
 * Whatever holds words and is not C (editor files, completions, reference pages) is a template.
 *
 * In a template everything stands for itself but
 *   @NAME@  @NAME:GLUE@   the words called NAME, with GLUE (or a blank) between them
 *   @more:GLUE@           GLUE, but not in the last round of the loop
 *   @for NAME@ .. @end@   lines of their own: what is between, once for each of the words
 *   @escape LANGUAGE@     a line of its own: from here on words are written safely for it
 * Everywhere NAME may be events, fields, types, units, forms, currencies, anywhere, rules, tools.
 * In a loop it may also be one of the names below (ROW_NAMES): a key as it stands in the YAML, or
 *   name    the word itself
 *   fields  of an event: all that it takes; of a type: those of the type
 *   uses    of a field: the events that take it
 *   shape   of a field: what its value looks like; of an event: of its fields that differ there
 *   stock   of an event: what it does to pieces
 * A line with a NAME of which there are no words is left out. Units come the longest first.
 */
#include <ctype.h>
#include <stdlib.h>

#include "base/yaml.h"
#include "gen.h"

/* What loops can be about, and what is known of each of its words. */
enum set { EVENTS, FIELDS, TYPES, FORMS, RULES, TOOLS, OTHER };

static const char *const SETS[] = { "events", "fields", "types", "forms", "rules", "tools", NULL };

/* The NAMEs of a loop over each of them; there they mean nothing else, also where they are empty. */
static const char *const EVENT_NAMES[] = { "name", "help", "about", "subject", "needs", "takes", "one-of", "fields",
	"shape", "stock", NULL };
static const char *const FIELD_NAMES[] = { "name", "help", "type", "words", "of", "uses", "shape", NULL };
static const char *const TYPE_NAMES[] = { "name", "help", "units", "base", "least", "most", "fields", NULL };
static const char *const RULE_NAMES[] = { "name", "clause", "level", "text", "mend", "fix", "at", "wrong", "right", NULL };
static const char *const HELP_NAMES[] = { "name", "help", NULL };
static const char *const WORD_NAMES[] = { "name", NULL };
static const char *const *const ROW_NAMES[] = { EVENT_NAMES, FIELD_NAMES, TYPE_NAMES, HELP_NAMES, RULE_NAMES, HELP_NAMES,
	WORD_NAMES };

struct escape {
	const char *language, *from, *to[4]; /* each byte of `from` is written as its `to` */
};

static const struct escape ESCAPES[] = {
	{ "plain", "", { NULL } },
	{ "mdoc", "\\", { "\\e" } },
	{ "vim", "'", { "''" } },                   /* in '...' */
	{ "json", "\"\\\n", { "\\\"", "\\\\", "\\n" } },
	{ "xml", "&<>\"", { "&amp;", "&lt;", "&gt;", "&quot;" } },
	{ "sh", "'", { "'\\''" } },                 /* in '...' */
	{ NULL, NULL, { NULL } }
};

struct list {
	struct slice *item;
	size_t n, cap;
	struct buf text;          /* of an item that was composed */
};

/* One round of a loop; NULL is outside of loops. */
struct row {
	const struct row *outer;
	enum set set;
	struct slice name;
	const struct yaml *map;   /* what the YAML says of it, or NULL */
	bool last;
};

static const struct yaml *vocabulary, *rules;
static struct { struct slice name, help; } tools[64];
static size_t ntools;
static const char *template_file;
static size_t line_number;
static const struct escape *escape = ESCAPES;

static _Noreturn void fail(const char *why, struct slice what)
{
	fprintf(stderr, "%s:%zu: error: %s '%.*s'\n", template_file, line_number, why, (int)what.n, what.p);
	exit(1);
}

static void list_add(struct list *l, struct slice item)
{
	for (size_t i = 0; i < l->n; i++)
		if (slice_eq(l->item[i], item))
			return;
	l->item = mem_grow(l->item, &l->cap, l->n + 1, sizeof *l->item);
	l->item[l->n++] = item;
}

static void list_release(struct list *l)
{
	free(l->item);
	buf_release(&l->text);
}

/* A scalar, the items of a list, the keys of a mapping. */
static void list_add_yaml(struct list *l, const struct yaml *y)
{
	if (y && y->kind == YAML_SCALAR)
		list_add(l, y->text);
	else if (y)
		for (size_t i = 0; i < y->n; i++)
			list_add(l, y->kind == YAML_MAP ? y->key[i].text : y->item[i].text);
}

static bool holds(const struct yaml *list, struct slice word)
{
	for (size_t i = 0; list && i < list->n; i++)
		if (slice_eq(list->item[i].text, word))
			return true;
	return false;
}

static bool one_of(const char *const *words, struct slice s)
{
	for (; *words; words++)
		if (slice_eq(slice_of(*words), s))
			return true;
	return false;
}

/* ---- what the YAML says between the lines */

static const struct yaml *key_of(const struct yaml *here, const struct yaml *field, const char *key)
{
	const struct yaml *y = yaml_get(here, key);

	return y ? y : yaml_get(field, key);
}

static bool is_yes(const struct yaml *here, const struct yaml *field, const char *key)
{
	const struct yaml *y = key_of(here, field, key);

	return y && gen_yes(y);
}

/* How the lists of the house file are called when one thing of them is meant. */
static const char *thing_of(const struct yaml *of)
{
	static const char *const words[] = { "form", "type", "grade", "what", "place", "kiln", "person", "party", "cull",
		"return", "cost", "stage", "meter", "class", NULL };
	static const char *const things[] = { "a form", "a type", "a grade", "a type, a grade or a class", "a place", "a kiln",
		"a person", "a party", "a cause of culling", "a cause of return", "a kind of cost", "a stage", "a meter", "a class" };

	return things[gen_word(of, words)];
}

static void add_label(struct buf *b, const struct yaml *here, const struct yaml *field)
{
	const struct yaml *label = key_of(here, field, "label"), *of = yaml_get(field, "label-of");

	if (!label || slice_eq(label->text, SLICE("no")))
		return;
	buf_str(b, slice_eq(label->text, SLICE("must")) ? ", each item labelled" : ", items may be labelled");
	if (of)
		buf_printf(b, " with %s", thing_of(of));
}

/* What the value of a field looks like; `here` is what an event says otherwise, or NULL. */
static void add_shape(struct buf *b, const struct yaml *here, const struct yaml *field)
{
	const struct yaml *of = yaml_get(field, "of"), *words = yaml_get(field, "words");

	buf_add(b, key_of(here, field, "type")->text);
	if (of)
		buf_printf(b, ", %s", thing_of(of));
	for (size_t i = 0; words && i < words->n; i++) {
		buf_str(b, i == 0 ? ": " : i + 1 < words->n ? ", " : " or ");
		buf_add(b, words->item[i].text);
	}
	buf_str(b, is_yes(here, field, "many") ? ", a list" : "");
	add_label(b, here, field);
	buf_str(b, is_yes(here, field, "range") ? ", or a range" : "");
	buf_str(b, is_yes(here, field, "beyond") ? ", or off the scale" : "");
	buf_str(b, is_yes(here, field, "absent") ? ", or -" : "");
}

static void add_shapes(struct buf *b, const struct yaml *event)
{
	const struct yaml *here = yaml_get(event, "here");

	for (size_t i = 0; here && i < here->n; i++) {
		buf_str(b, i ? "; " : "");
		buf_add(b, here->key[i].text);
		buf_str(b, ": ");
		add_shape(b, &here->item[i], gen_need(gen_need(vocabulary, "fields"), gen_cstr(here->key[i].text)));
	}
}

/* take pick, lot subject, ... */
static void add_stock(struct buf *b, const struct yaml *event)
{
	const struct yaml *stock = yaml_get(event, "stock");

	for (size_t i = 0; stock && i < stock->n; i++) {
		buf_str(b, i ? ", " : "");
		buf_add(b, stock->key[i].text);
		buf_char(b, ' ');
		buf_add(b, stock->item[i].text);
	}
}

static void list_event_fields(struct list *l, const struct yaml *event)
{
	list_add_yaml(l, yaml_get(event, "needs"));
	list_add_yaml(l, yaml_get(event, "takes"));
	list_add_yaml(l, yaml_get(vocabulary, "anywhere"));
}

static void list_type_fields(struct list *l, struct slice type)
{
	const struct yaml *fields = gen_need(vocabulary, "fields");

	for (size_t i = 0; i < fields->n; i++)
		if (slice_eq(gen_need(&fields->item[i], "type")->text, type))
			list_add(l, fields->key[i].text);
}

static void list_uses(struct list *l, struct slice field)
{
	const struct yaml *events = gen_need(vocabulary, "events");

	for (size_t i = 0; i < events->n; i++)
		if (holds(yaml_get(&events->item[i], "needs"), field) || holds(yaml_get(&events->item[i], "takes"), field))
			list_add(l, events->key[i].text);
}

static int longer_first(const void *a, const void *b)
{
	const struct slice *x = a, *y = b;

	return x->n != y->n ? (x->n < y->n) - (x->n > y->n) : slice_cmp(*x, *y);
}

static void list_units(struct list *l)
{
	const struct yaml *types = gen_need(vocabulary, "types");

	for (size_t i = 0; i < types->n; i++)
		list_add_yaml(l, yaml_get(&types->item[i], "units"));
	qsort(l->item, l->n, sizeof *l->item, longer_first);
}

static void list_currencies(struct list *l)
{
	const struct yaml *by_places = gen_need(vocabulary, "currencies");

	for (size_t i = 0; i < by_places->n; i++)
		list_add_yaml(l, &by_places->item[i]);
}

/* ---- names */

static void list_tool_help(struct list *l, struct slice tool)
{
	for (size_t i = 0; i < ntools; i++)
		if (slice_eq(tools[i].name, tool))
			list_add(l, tools[i].help);
}

static void find_in_row(struct list *l, const struct row *row, struct slice name)
{
	bool help = slice_eq(name, SLICE("help")), fields = slice_eq(name, SLICE("fields"));

	if (slice_eq(name, SLICE("name")))
		list_add(l, row->name);
	else if (row->set == TOOLS && help)
		list_tool_help(l, row->name);
	else if (row->set == FORMS && help)
		list_add_yaml(l, row->map);
	else if (row->set == EVENTS && fields)
		list_event_fields(l, row->map);
	else if (row->set == TYPES && fields)
		list_type_fields(l, row->name);
	else if (slice_eq(name, SLICE("uses")))
		list_uses(l, row->name);
	else if (slice_eq(name, SLICE("shape")) && row->set == FIELDS)
		add_shape(&l->text, NULL, row->map);
	else if (slice_eq(name, SLICE("shape")))
		add_shapes(&l->text, row->map);
	else if (slice_eq(name, SLICE("stock")) && row->set == EVENTS)
		add_stock(&l->text, row->map);
	else
		list_add_yaml(l, yaml_get(row->map, gen_cstr(name)));
	if (l->text.n)
		list_add(l, buf_slice(&l->text));
}

static void find_anywhere(struct list *l, struct slice name)
{
	if (slice_eq(name, SLICE("units")))
		list_units(l);
	else if (slice_eq(name, SLICE("currencies")))
		list_currencies(l);
	else if (slice_eq(name, SLICE("rules")))
		list_add_yaml(l, rules);
	else if (slice_eq(name, SLICE("tools")))
		for (size_t i = 0; i < ntools; i++)
			list_add(l, tools[i].name);
	else if (one_of((const char *const[]){ "events", "fields", "types", "forms", "anywhere", NULL }, name))
		list_add_yaml(l, gen_need(vocabulary, gen_cstr(name)));
	else
		fail("there are no words called", name);
}

/* The words called `name` where `row` is. */
static struct list find(const struct row *row, struct slice name)
{
	struct list l = { .text = BUF_INIT };

	while (row && !one_of(ROW_NAMES[row->set], name))
		row = row->outer;
	if (row)
		find_in_row(&l, row, name);
	else
		find_anywhere(&l, name);
	return l;
}

static const struct yaml *map_of(enum set set, struct slice name)
{
	if (set == RULES)
		return yaml_get(rules, gen_cstr(name));
	return set < RULES ? yaml_get(gen_need(vocabulary, SETS[set]), gen_cstr(name)) : NULL;
}

static enum set set_of(struct slice name)
{
	int set = 0;

	if (one_of((const char *const[]){ "needs", "takes", "one-of", "anywhere", NULL }, name))
		return FIELDS;
	while (SETS[set] && !slice_eq(slice_of(SETS[set]), name))
		set++;
	return slice_eq(name, SLICE("uses")) ? EVENTS : (enum set)set;
}

/* ---- writing */

static const char *escaped(char c)
{
	const char *at = c ? strchr(escape->from, c) : NULL;

	return at ? escape->to[at - escape->from] : NULL;
}

/* In mdoc a line must not start with what would be a request. */
static void add_escaped(struct buf *out, struct slice s)
{
	bool mdoc = strcmp(escape->language, "mdoc") == 0;

	while (s.n && s.p[s.n - 1] == '\n')
		s.n--;
	for (size_t i = 0; i < s.n; i++) {
		const char *safe = escaped(s.p[i]);

		if (mdoc && (s.p[i] == '.' || s.p[i] == '\'') && (out->n == 0 || out->p[out->n - 1] == '\n'))
			buf_str(out, "\\&");
		if (safe)
			buf_str(out, safe);
		else
			buf_char(out, s.p[i]);
	}
}

/* The mark that `s` starts with: its name, and its glue if it has one. Returns its length, or 0. */
static size_t mark_in(struct slice s, struct slice *name, struct slice *glue)
{
	size_t n = 1, end;

	while (n < s.n && (islower((unsigned char)s.p[n]) || s.p[n] == '-'))
		n++;
	if (s.p[0] != '@' || n == 1 || n == s.n || (s.p[n] != '@' && s.p[n] != ':'))
		return 0;
	*name = slice_upto(slice_from(s, 1), n - 1);
	*glue = SLICE(" ");
	if (s.p[n] == '@')
		return n + 1;
	end = slice_find(slice_from(s, n), '@');
	if (n + end == s.n)
		return 0;
	*glue = slice_upto(slice_from(s, n + 1), end - 1);
	return n + end + 1;
}

/* False when there are no words. */
static bool add_words(struct buf *out, const struct row *row, struct slice name, struct slice glue)
{
	struct list l = { .text = BUF_INIT };
	bool some;

	if (slice_eq(name, SLICE("more"))) {
		if (row && !row->last)
			buf_add(out, glue);
		return true;
	}
	l = find(row, name);
	some = l.n > 0;
	for (size_t i = 0; i < l.n; i++) {
		if (i)
			buf_add(out, glue);
		add_escaped(out, l.item[i]);
	}
	list_release(&l);
	return some;
}

static void write_line(const struct row *row, struct slice line)
{
	struct buf out = BUF_INIT;
	struct slice name, glue;
	bool whole = true;

	while (line.n) {
		size_t n = mark_in(line, &name, &glue);

		if (n)
			whole &= add_words(&out, row, name, glue);
		else
			buf_char(&out, line.p[0]);
		line = slice_from(line, n ? n : 1);
	}
	buf_char(&out, '\n');
	if (whole)
		fwrite(out.p, 1, out.n, stdout);
	buf_release(&out);
}

/* ---- lines of their own */

static struct slice take_line(struct slice *s)
{
	size_t n = slice_find(*s, '\n');
	struct slice line = slice_upto(*s, n);

	*s = slice_from(*s, n < s->n ? n + 1 : n);
	line_number++;
	return line;
}

/* What stands behind `@WORD ` on a line of its own; n is 0 when the line is none. */
static struct slice directive(struct slice line, const char *word)
{
	struct slice s = slice_trim(line), head = slice_of(word);

	if (!slice_starts(s, head) || s.p[s.n - 1] != '@')
		return SLICE("");
	return slice_upto(slice_from(s, head.n), s.n - head.n - 1);
}

static bool is_end(struct slice line)
{
	return slice_eq(slice_trim(line), SLICE("@end@"));
}

/* The lines up to the @end@ of the loop, which is taken as well. */
static struct slice take_body(struct slice *s, struct slice loop)
{
	const char *start = s->p;
	size_t depth = 1;

	while (s->n) {
		struct slice line = take_line(s);

		if (is_end(line) && --depth == 0)
			return (struct slice){ start, (size_t)(line.p - start) };
		depth += directive(line, "@for ").n > 0;
	}
	fail("no @end@ for the loop over", loop);
}

static void set_escape(struct slice language)
{
	for (escape = ESCAPES; escape->language; escape++)
		if (slice_eq(slice_of(escape->language), language))
			return;
	fail("there is no escaping for", language);
}

static void fill(const struct row *outer, struct slice text);

static void fill_loop(const struct row *outer, struct slice name, struct slice body, size_t first_line)
{
	size_t after = line_number;
	struct list l;

	line_number = first_line;
	l = find(outer, name);
	for (size_t i = 0; i < l.n; i++) {
		struct row row = { outer, set_of(name), l.item[i], map_of(set_of(name), l.item[i]), i + 1 == l.n };

		line_number = first_line;
		fill(&row, body);
	}
	line_number = after;
	list_release(&l);
}

static void fill(const struct row *outer, struct slice text)
{
	while (text.n) {
		struct slice line = take_line(&text), loop = directive(line, "@for "), language = directive(line, "@escape ");
		size_t at = line_number;

		if (loop.n)
			fill_loop(outer, loop, take_body(&text, loop), at);
		else if (language.n)
			set_escape(language);
		else if (is_end(line))
			fail("without a loop:", slice_trim(line));
		else
			write_line(outer, line);
	}
}

/* ---- files */

/* tools/wy-NAME.1: the name is the file's, the help what .Nd says. */
static void add_tool(const char *path)
{
	static struct buf pages[sizeof tools / sizeof *tools]; /* kept, for the help */
	struct slice s, name = slice_of(path);

	line_number = 0;
	template_file = path;
	if (ntools == sizeof tools / sizeof *tools || !slice_starts(name, SLICE("tools/")))
		fail("no page of a tool:", name);
	pages[ntools] = gen_read(path);
	for (s = buf_slice(&pages[ntools]); s.n;) {
		struct slice line = take_line(&s);

		if (!slice_starts(line, SLICE(".Nd ")))
			continue;
		name = slice_from(name, strlen("tools/"));
		tools[ntools].name = slice_upto(name, slice_find(name, '.'));
		tools[ntools++].help = slice_trim(slice_from(line, 4));
		return;
	}
	fail("no .Nd in", name);
}

int main(int argc, char **argv)
{
	struct buf text;

	if (argc < 2) {
		fprintf(stderr, "usage: %s TEMPLATE [PAGE...]\n", argv[0]);
		return 1;
	}
	vocabulary = gen_open(3, (char *[]){ argv[0], "words", "spec/vocabulary.yaml" });
	rules = gen_need(gen_open(3, (char *[]){ argv[0], "words", "spec/rules.yaml" }), "rules");
	for (int i = 2; i < argc; i++)
		add_tool(argv[i]);
	template_file = argv[1];
	line_number = 0;
	text = gen_read(argv[1]);
	fill(NULL, buf_slice(&text));
	buf_release(&text);
	return gen_close();
}
