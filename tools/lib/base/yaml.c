#include "base/yaml.h"

#include <stdarg.h>
#include <stdlib.h>
#include <yaml.h>

#include "base/hash_index.h"
#include "base/utf8.h"

enum { CHUNK = 8192, QUOTED_MOST = 48, FEW_KEYS = 12 };

struct chunk {
	struct chunk *next;
	size_t n, cap;
	_Alignas(16) char bytes[];
};

struct yaml_doc {
	struct chunk *chunk;
	struct yaml root;
};

/* A place in the text: libyaml's marks count characters, and our places count lines and bytes. */
struct yaml_place {
	size_t chars, at, line, line_at;
};

struct yaml_reader {
	yaml_parser_t parser;
	yaml_event_t event;
	struct yaml_doc *doc;
	struct yaml_error *error;
	struct slice bytes;
	struct yaml_place place;
	struct yaml *node; /* read, and waiting for the end of their parent */
	size_t n, cap;
};

static void *arena_take(struct yaml_doc *doc, size_t n)
{
	struct chunk *c = doc->chunk;
	size_t need = (n + 15) & ~(size_t)15;

	if (!c || c->cap - c->n < need) {
		size_t cap = need > CHUNK ? need : CHUNK;

		c = mem_array(1, sizeof *c + cap);
		*c = (struct chunk){ doc->chunk, 0, cap };
		doc->chunk = c;
	}
	c->n += need;
	return c->bytes + c->n - need;
}

static struct slice arena_text(struct yaml_doc *doc, const void *bytes, size_t n)
{
	char *copy = arena_take(doc, n + 1);

	memcpy(copy, bytes, n);
	copy[n] = '\0';
	return (struct slice){ copy, n };
}

static size_t char_width(unsigned char lead)
{
	return lead < 0x80 ? 1 : lead < 0xe0 ? 2 : lead < 0xf0 ? 3 : 4;
}

static bool ends_line(struct slice bytes, size_t at)
{
	return bytes.p[at] == '\n' || (bytes.p[at] == '\r' && (at + 1 == bytes.n || bytes.p[at + 1] != '\n'));
}

static void place_step(struct yaml_place *place, struct slice bytes)
{
	bool last = ends_line(bytes, place->at);

	place->at += char_width((unsigned char)bytes.p[place->at]);
	place->chars++;
	if (last) {
		place->line++;
		place->line_at = place->at;
	}
}

/* Marks come in order but for a few, so the way to the next one is short. */
static void place_char(struct yaml_place *place, struct slice bytes, size_t chars)
{
	if (chars < place->chars)
		*place = (struct yaml_place){ 0, 0, 1, 0 };
	while (place->chars < chars && place->at < bytes.n)
		place_step(place, bytes);
}

static void place_byte(struct yaml_place *place, struct slice bytes, size_t at)
{
	*place = (struct yaml_place){ 0, 0, 1, 0 };
	while (place->at < at && place->at < bytes.n)
		place_step(place, bytes);
}

__attribute__((format(printf, 4, 5)))
static bool fail(struct yaml_reader *r, size_t line, size_t col, const char *fmt, ...)
{
	va_list ap;

	r->error->line = line;
	r->error->col = col;
	va_start(ap, fmt);
	vsnprintf(r->error->text, sizeof r->error->text, fmt, ap);
	va_end(ap);
	return false;
}

static size_t place_col(const struct yaml_place *place)
{
	return place->at - place->line_at + 1;
}

#define fail_here(r, ...) fail((r), (r)->place.line, place_col(&(r)->place), __VA_ARGS__)

/* A key for a message, at most QUOTED_MOST bytes of it and no half characters. */
static int shown(struct slice text)
{
	size_t n = text.n;

	if (n > QUOTED_MOST) {
		n = QUOTED_MOST;
		while (n && ((unsigned char)text.p[n] & 0xc0) == 0x80)
			n--;
	}
	return (int)n;
}

/* The first byte below `n` that is a control character other than tab and line ends; else n. */
static size_t find_control(struct slice bytes, size_t n)
{
	size_t at = 0;

	for (; at < n; at++) {
		unsigned char c = (unsigned char)bytes.p[at];

		if ((c < 0x20 && c != '\t' && c != '\n' && c != '\r') || c == 0x7f)
			break;
	}
	return at;
}

static bool check_bytes(struct yaml_reader *r)
{
	size_t bad, control;
	bool fine = utf8_check(r->bytes, &bad);

	if (fine)
		bad = r->bytes.n;
	control = find_control(r->bytes, bad);
	if (control == r->bytes.n)
		return true;
	place_byte(&r->place, r->bytes, control);
	if (control < bad)
		return fail_here(r, "a control character is not allowed; remove it");
	if (r->bytes.p[bad] == '\0')
		return fail_here(r, "a NUL byte is not allowed; the file must be text");
	return fail_here(r, "the file has a byte that is not UTF-8; save it as UTF-8");
}

static bool is_tab(const struct yaml_reader *r)
{
	return r->place.at < r->bytes.n && r->bytes.p[r->place.at] == '\t';
}

/* What a person can do about some of libyaml's problems. */
static const char *hint_of(const char *problem)
{
	static const char *const hint[][2] = {
		{ "mapping values are not allowed in this context", "the line has a second ': '; quote the text, or correct the indent" },
		{ "found character that cannot start any token", "a text that starts with this character requires quotes" },
		{ "found undefined tag handle", "a tag (!) is not allowed; remove it, because the key decides the type" },
	};

	for (size_t i = 0; i < sizeof hint / sizeof *hint; i++)
		if (strcmp(problem, hint[i][0]) == 0)
			return hint[i][1];
	return NULL;
}

/* libyaml could not go on: a hint or its words, at our place. */
static bool fail_parser(struct yaml_reader *r)
{
	const yaml_parser_t *p = &r->parser;
	const char *problem = p->problem ? p->problem : "it cannot be read";

	if (p->error == YAML_MEMORY_ERROR)
		return fail(r, 1, 1, "out of memory");
	if (p->error == YAML_READER_ERROR) {
		place_byte(&r->place, r->bytes, p->problem_offset);
		return fail_here(r, "%s", problem);
	}
	place_char(&r->place, r->bytes, p->problem_mark.index);
	if (is_tab(r))
		return fail_here(r, "a tab is not allowed as indent; use spaces");
	if (hint_of(problem))
		return fail_here(r, "%s", hint_of(problem));
	if (p->context)
		return fail_here(r, "%s: %s", p->context, problem);
	return fail_here(r, "%s", problem);
}

static bool next(struct yaml_reader *r)
{
	yaml_event_delete(&r->event);
	if (!yaml_parser_parse(&r->parser, &r->event))
		return fail_parser(r);
	place_char(&r->place, r->bytes, r->event.start_mark.index);
	return true;
}

static void push(struct yaml_reader *r, struct yaml node)
{
	r->node = mem_grow(r->node, &r->cap, r->n + 1, sizeof *r->node);
	r->node[r->n++] = node;
}

static bool refuse_extras(struct yaml_reader *r, const yaml_char_t *anchor, const yaml_char_t *tag)
{
	if (anchor)
		return fail_here(r, "an anchor (&) is not allowed; write the value in full at each place");
	if (tag)
		return fail_here(r, "a tag (!) is not allowed; remove it, because the key decides the type");
	return true;
}

static struct yaml node_here(const struct yaml_reader *r, enum yaml_kind kind)
{
	return (struct yaml){ .kind = kind, .text = { "", 0 }, .line = r->place.line, .col = place_col(&r->place) };
}

static bool read_scalar(struct yaml_reader *r)
{
	struct yaml node = node_here(r, YAML_SCALAR);

	if (!refuse_extras(r, r->event.data.scalar.anchor, r->event.data.scalar.tag))
		return false;
	node.quoted = r->event.data.scalar.style != YAML_PLAIN_SCALAR_STYLE;
	node.text = arena_text(r->doc, r->event.data.scalar.value, r->event.data.scalar.length);
	push(r, node);
	return true;
}

static bool read_node(struct yaml_reader *r, unsigned depth);

/* The last `n` nodes, every `step`th from `first`, as an array of the document. */
static const struct yaml *settle(struct yaml_reader *r, size_t first, size_t step, size_t n)
{
	struct yaml *array = arena_take(r->doc, (n ? n : 1) * sizeof *array);

	for (size_t i = 0; i < n; i++)
		array[i] = r->node[first + i * step];
	return array;
}

static bool read_list(struct yaml_reader *r, unsigned depth)
{
	struct yaml node = node_here(r, YAML_LIST);
	size_t base = r->n;

	if (!refuse_extras(r, r->event.data.sequence_start.anchor, r->event.data.sequence_start.tag))
		return false;
	for (;;) {
		if (!next(r))
			return false;
		if (r->event.type == YAML_SEQUENCE_END_EVENT)
			break;
		if (!read_node(r, depth + 1))
			return false;
	}
	node.n = r->n - base;
	node.item = settle(r, base, 1, node.n);
	r->n = base;
	push(r, node);
	return true;
}

static bool check_key(struct yaml_reader *r)
{
	const yaml_event_t *e = &r->event;

	if (e->type == YAML_SEQUENCE_START_EVENT || e->type == YAML_MAPPING_START_EVENT)
		return fail_here(r, "a key must be a word, not a list or a mapping");
	if (e->type == YAML_SCALAR_EVENT && e->data.scalar.style == YAML_PLAIN_SCALAR_STYLE &&
	    e->data.scalar.length == 2 && memcmp(e->data.scalar.value, "<<", 2) == 0)
		return fail_here(r, "a merge key (<<) is not allowed; write the keys in full");
	return true;
}

static bool fail_twice(struct yaml_reader *r, const struct yaml *first, const struct yaml *again)
{
	return fail(r, again->line, again->col, "the key '%.*s' is in this mapping twice (first on line %zu)",
		shown(again->text), again->text.p, first->line);
}

static bool check_few_keys(struct yaml_reader *r, const struct yaml *key, size_t n)
{
	for (size_t i = 1; i < n; i++)
		for (size_t j = 0; j < i; j++)
			if (slice_eq(key[i].text, key[j].text))
				return fail_twice(r, &key[j], &key[i]);
	return true;
}

static bool check_many_keys(struct yaml_reader *r, const struct yaml *key, size_t n)
{
	struct hash_index seen = { 0 };
	bool fine = true;

	for (uint32_t i = 0; fine && i < n; i++) {
		uint64_t hash = slice_hash(key[i].text);
		struct hash_probe p = hash_probe_of(&seen, hash);

		while (fine && hash_probe_next(&seen, &p))
			if (slice_eq(key[p.row].text, key[i].text))
				fine = fail_twice(r, &key[p.row], &key[i]);
		hash_index_add(&seen, hash, i);
	}
	hash_index_release(&seen);
	return fine;
}

static bool read_map(struct yaml_reader *r, unsigned depth)
{
	struct yaml node = node_here(r, YAML_MAP);
	size_t base = r->n;

	if (!refuse_extras(r, r->event.data.mapping_start.anchor, r->event.data.mapping_start.tag))
		return false;
	for (;;) {
		if (!next(r))
			return false;
		if (r->event.type == YAML_MAPPING_END_EVENT)
			break;
		if (!check_key(r) || !read_node(r, depth + 1) || !next(r) || !read_node(r, depth + 1))
			return false;
	}
	node.n = (r->n - base) / 2;
	node.key = settle(r, base, 2, node.n);
	node.item = settle(r, base + 1, 2, node.n);
	r->n = base;
	push(r, node);
	return node.n > FEW_KEYS ? check_many_keys(r, node.key, node.n) : check_few_keys(r, node.key, node.n);
}

static bool read_node(struct yaml_reader *r, unsigned depth)
{
	if (depth > YAML_DEEPEST)
		return fail_here(r, "the nesting is more than %d levels deep", YAML_DEEPEST);
	switch (r->event.type) {
	case YAML_SCALAR_EVENT:
		return read_scalar(r);
	case YAML_SEQUENCE_START_EVENT:
		return read_list(r, depth);
	case YAML_MAPPING_START_EVENT:
		return read_map(r, depth);
	default:
		return fail_here(r, "an alias (*) is not allowed; write the value in full");
	}
}

static bool is_nothing(const struct yaml *node)
{
	return node->kind == YAML_SCALAR && !node->quoted && node->text.n == 0;
}

static bool read_document(struct yaml_reader *r)
{
	r->doc->root = node_here(r, YAML_MAP);
	if (!next(r) || !next(r)) /* the stream starts; a document starts, or the stream ends */
		return false;
	if (r->event.type == YAML_STREAM_END_EVENT)
		return true;
	if (!next(r) || !read_node(r, 1))
		return false;
	if (!is_nothing(&r->node[0]))
		r->doc->root = r->node[0];
	if (!next(r) || !next(r))
		return false;
	if (r->event.type != YAML_STREAM_END_EVENT)
		return fail_here(r, "a second document (---) is not allowed; keep one in the file");
	return true;
}

static struct slice without_bom(struct slice bytes)
{
	return slice_starts(bytes, SLICE("\xef\xbb\xbf")) ? slice_from(bytes, 3) : bytes;
}

struct yaml_doc *yaml_read(struct slice bytes, struct yaml_error *error)
{
	struct yaml_reader r = { .bytes = without_bom(bytes), .error = error, .place = { 0, 0, 1, 0 } };
	bool fine = false;

	r.doc = mem_zeroed(1, sizeof *r.doc);
	if (!yaml_parser_initialize(&r.parser)) {
		fail(&r, 1, 1, "out of memory");
	} else {
		yaml_parser_set_encoding(&r.parser, YAML_UTF8_ENCODING);
		yaml_parser_set_input_string(&r.parser, (const unsigned char *)r.bytes.p, r.bytes.n);
		fine = check_bytes(&r) && (place_char(&r.place, r.bytes, 0), read_document(&r));
		yaml_event_delete(&r.event);
		yaml_parser_delete(&r.parser);
	}
	free(r.node);
	if (!fine) {
		yaml_doc_free(r.doc);
		return NULL;
	}
	return r.doc;
}

const struct yaml *yaml_root(const struct yaml_doc *doc)
{
	return &doc->root;
}

void yaml_doc_free(struct yaml_doc *doc)
{
	struct chunk *next_one;

	if (!doc)
		return;
	for (struct chunk *c = doc->chunk; c; c = next_one) {
		next_one = c->next;
		free(c);
	}
	free(doc);
}

const struct yaml *yaml_get(const struct yaml *map, const char *key)
{
	struct slice word = slice_of(key);

	if (!map || map->kind != YAML_MAP)
		return NULL;
	for (size_t i = 0; i < map->n; i++)
		if (slice_eq(map->key[i].text, word))
			return &map->item[i];
	return NULL;
}

/*
 * What an unquoted scalar is to other readers. The patterns are those of the YAML 1.1 type
 * repository (bool, int, float, null, timestamp) and of the core schema in YAML 1.2, ch. 10.3.
 * Each of the functions below takes from the front of `*s` what it knows.
 */
static bool is_digit(char c)
{
	return c >= '0' && c <= '9';
}

static bool take(struct slice *s, const char *set)
{
	if (!s->n || s->p[0] == '\0' || !strchr(set, s->p[0]))
		return false;
	*s = slice_from(*s, 1);
	return true;
}

static size_t take_all(struct slice *s, const char *set)
{
	size_t n = 0;

	while (take(s, set))
		n++;
	return n;
}

static bool is_word_of(struct slice s, const char *const *word)
{
	for (; *word; word++)
		if (slice_eq(s, slice_of(*word)))
			return true;
	return false;
}

static bool is_named_value(struct slice s)
{
	static const char *const word[] = {
		"", "~", "null", "Null", "NULL", "y", "Y", "n", "N", "yes", "Yes", "YES", "no", "No", "NO",
		"true", "True", "TRUE", "false", "False", "FALSE", "on", "On", "ON", "off", "Off", "OFF",
		".nan", ".NaN", ".NAN", NULL
	};
	static const char *const endless[] = { ".inf", ".Inf", ".INF", NULL };

	if (is_word_of(s, word))
		return true;
	take(&s, "+-");
	return is_word_of(s, endless);
}

/* 0b101, 0o17, 0x1f; a leading 0 alone is covered by the decimal rule. */
static bool is_based_number(struct slice s)
{
	const char *set;

	take(&s, "+-");
	if (s.n < 3 || s.p[0] != '0')
		return false;
	set = s.p[1] == 'b' ? "01_" : s.p[1] == 'o' ? "01234567" : s.p[1] == 'x' ? "0123456789abcdefABCDEF_" : NULL;
	if (!set)
		return false;
	s = slice_from(s, 2);
	take_all(&s, set);
	return s.n == 0;
}

static bool is_decimal_number(struct slice s)
{
	size_t whole, part = 0;

	take(&s, "+-");
	whole = s.n && is_digit(s.p[0]) ? take_all(&s, "0123456789_") : 0;
	if (take(&s, "."))
		part = take_all(&s, "0123456789_.");
	if (!whole && !part)
		return false;
	if (take(&s, "eE")) {
		take(&s, "+-");
		if (!take_all(&s, "0123456789"))
			return false;
	}
	return s.n == 0;
}

/* 1:30 is 90 to YAML 1.1: base sixty. */
static bool is_base_sixty(struct slice s)
{
	size_t groups = 0;

	take(&s, "+-");
	if (!s.n || !is_digit(s.p[0]))
		return false;
	take_all(&s, "0123456789_");
	while (take(&s, ":")) {
		size_t digits = take(&s, "012345") ? 1 + (size_t)take(&s, "0123456789") : (size_t)take(&s, "6789");

		if (!digits)
			return false;
		groups++;
	}
	if (take(&s, "."))
		take_all(&s, "0123456789_");
	return groups && s.n == 0;
}

static bool take_digits(struct slice *s, size_t least, size_t most)
{
	size_t n = 0;

	while (n < most && take(s, "0123456789"))
		n++;
	return n >= least;
}

static bool is_date(struct slice s)
{
	if (!take_digits(&s, 4, 4) || !take(&s, "-") || !take_digits(&s, 1, 2) || !take(&s, "-") || !take_digits(&s, 1, 2))
		return false;
	if (s.n == 0)
		return true;
	if (!take(&s, "Tt") && !take_all(&s, " \t"))
		return false;
	return take_digits(&s, 1, 2) && take(&s, ":") && take_digits(&s, 2, 2) && take(&s, ":") && take_digits(&s, 2, 2);
}

bool yaml_ambiguous(const struct yaml *scalar)
{
	struct slice s = scalar->text;

	if (scalar->kind != YAML_SCALAR || scalar->quoted)
		return false;
	return is_named_value(s) || is_based_number(s) || is_decimal_number(s) || is_base_sixty(s) || is_date(s);
}
