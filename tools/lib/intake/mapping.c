#include "intake/mapping.h"

#include <stdarg.h>
#include <stdio.h>

#include "base/mem.h"
#include "base/utf8.h"
#include "base/yaml.h"
#include "book/diag.h"
#include "book/parse.h"
#include "time/zone.h"

/* What reading a mapping hands from step to step. */
struct map_reader {
	struct mapping *m;
	const struct vocab *vocab;
	struct yaml_error *error;
	bool failed;
};

static bool fail(struct map_reader *r, const struct yaml *at, const char *fmt, ...)
	__attribute__((format(printf, 3, 4)));

/* Keeps the first fault. Always false. */
static bool fail(struct map_reader *r, const struct yaml *at, const char *fmt, ...)
{
	va_list ap;

	if (r->failed)
		return false;
	r->failed = true;
	r->error->line = at->line;
	r->error->col = at->col;
	va_start(ap, fmt);
	vsnprintf(r->error->text, sizeof r->error->text, fmt, ap);
	va_end(ap);
	return false;
}

/* Texts in messages are cut, so that the mend always fits. */
#define SHOWN(s) (int)((s).n < 60 ? (s).n : 60), (s).p

static void *own(struct map_reader *r, void *p)
{
	r->m->owned = mem_grow(r->m->owned, &r->m->owned_cap, r->m->nowned + 1, sizeof *r->m->owned);
	r->m->owned[r->m->nowned++] = p;
	return p;
}

/* --- keys and scalars ------------------------------------------------------------------------ */

static const char *nearest_key(struct slice key, const char *const *keys)
{
	const char *best = NULL;
	size_t least = 3;

	for (; *keys; keys++) {
		size_t d = slice_distance(key, slice_of(*keys), least);

		if (d < least) {
			least = d;
			best = *keys;
		}
	}
	return best;
}

static bool has_key(const char *const *keys, struct slice key)
{
	for (; *keys; keys++)
		if (slice_eq(key, slice_of(*keys)))
			return true;
	return false;
}

/* A mapping with no keys but these. */
static bool only_keys(struct map_reader *r, const struct yaml *map, const char *what, const char *const *keys)
{
	if (map->kind != YAML_MAP)
		return fail(r, map, "%s must hold keys with values", what);
	for (size_t i = 0; i < map->n; i++) {
		struct slice key = map->key[i].text;
		const char *near;

		if (has_key(keys, key))
			continue;
		near = nearest_key(key, keys);
		return fail(r, &map->key[i], "unknown key `%.*s` in %s%s%s%s", SHOWN(key), what,
			near ? "; did you mean `" : "", near ? near : "", near ? "`?" : "");
	}
	return true;
}

static bool scalar(struct map_reader *r, const struct yaml *node, const char *what, struct slice *out)
{
	*out = (struct slice){ "", 0 };
	if (node->kind != YAML_SCALAR)
		return fail(r, node, "%s must be a single text", what);
	*out = node->text;
	return true;
}

static bool number(struct map_reader *r, const struct yaml *node, const char *what, size_t most, size_t *out)
{
	*out = 0;
	if (node->kind != YAML_SCALAR || !node->text.n || node->text.n > 6)
		return fail(r, node, "%s must be a whole number", what);
	for (size_t i = 0; i < node->text.n; i++) {
		char c = node->text.p[i];

		if (c < '0' || c > '9')
			return fail(r, node, "%s must be a whole number", what);
		*out = *out * 10 + (size_t)(c - '0');
	}
	return *out <= most || fail(r, node, "%s must be at most %zu", what, most);
}

/* One text or a list of texts. NULL gives an empty list. */
static bool list(struct map_reader *r, const struct yaml *node, const char *what, struct map_list *out)
{
	*out = (struct map_list){ NULL, 0 };
	if (!node)
		return true;
	out->n = node->kind == YAML_LIST ? node->n : 1;
	out->v = own(r, mem_array(out->n, sizeof *out->v));
	if (node->kind != YAML_LIST)
		return scalar(r, node, what, &out->v[0]);
	for (size_t i = 0; i < node->n; i++)
		if (!scalar(r, &node->item[i], what, &out->v[i]))
			return false;
	return true;
}

/* The index of a word among some, or -1 with the fault told. */
static int word(struct map_reader *r, const struct yaml *node, const char *what, const char *const *words)
{
	struct buf all = BUF_INIT;

	for (int i = 0; node->kind == YAML_SCALAR && words[i]; i++)
		if (slice_eq(node->text, slice_of(words[i])))
			return i;
	for (int i = 0; words[i]; i++)
		buf_printf(&all, "%s%s", i ? ", " : "", words[i]);
	fail(r, node, "%s must be one of %s", what, buf_cstr(&all));
	buf_release(&all);
	return -1;
}

/* --- columns and cells ----------------------------------------------------------------------- */

/* Adds a column to the table; the same one twice is one row. */
static bool column(struct map_reader *r, const struct yaml *node, int *out)
{
	struct mapping *m = r->m;
	struct map_column c = { .line = node->line, .col = node->col };
	bool digits = node->kind == YAML_SCALAR && !node->quoted && node->text.n > 0;

	for (size_t i = 0; digits && i < node->text.n; i++)
		digits = node->text.p[i] >= '0' && node->text.p[i] <= '9';
	if (digits) {
		if (!number(r, node, "the number of a column", CSV_CELLS, &c.number))
			return false;
		if (!c.number)
			return fail(r, node, "columns count from 1");
	} else if (!scalar(r, node, "a column", &c.name) || !c.name.n) {
		return fail(r, node, "a column must be given by its heading or its number");
	}
	for (size_t i = 0; i < m->ncolumns; i++)
		if (m->column[i].number == c.number && slice_eq(m->column[i].name, c.name)) {
			*out = (int)i;
			return true;
		}
	m->column = mem_grow(m->column, &m->column_cap, m->ncolumns + 1, sizeof *m->column);
	m->column[m->ncolumns] = c;
	*out = (int)m->ncolumns++;
	return true;
}

static bool pairs(struct map_reader *r, const struct yaml *node, struct map_cell *cell)
{
	if (node->kind != YAML_MAP)
		return fail(r, node, "`words` must map cells to values: {CELL: VALUE}");
	cell->nwords = node->n;
	cell->word = own(r, mem_array(node->n, sizeof *cell->word));
	for (size_t i = 0; i < node->n; i++) {
		cell->word[i].from = node->key[i].text;
		if (!scalar(r, &node->item[i], "the value of a cell", &cell->word[i].to))
			return false;
	}
	return true;
}

static bool unit(struct map_reader *r, const struct yaml *node, int type, int *out)
{
	const struct type_def *def = vocab_type(type);
	struct buf all = BUF_INIT;

	for (int i = def->first_unit; i < def->first_unit + def->nunits; i++)
		if (node->kind == YAML_SCALAR && slice_eq(vocab_unit(i)->name, node->text)) {
			*out = i;
			return true;
		}
	if (def->nunits)
		value_units(&all, type);
	fail(r, node, def->nunits ? "the unit is not valid here; use one of %s" : "a unit is not allowed here%s", buf_cstr(&all));
	buf_release(&all);
	return false;
}

static const char *const cell_keys[] = { "column", "unit", "words", "missing", "decimals", NULL };

/* `type` is TYPE_..., or -1 where the cell is text. */
static bool cell(struct map_reader *r, const struct yaml *node, int type, struct map_cell *out)
{
	const struct yaml *part;
	size_t decimals;

	*out = (struct map_cell){ .unit = -1, .decimals = -1 };
	if (!only_keys(r, node, "a cell", cell_keys))
		return false;
	part = yaml_get(node, "column");
	if (!part)
		return fail(r, node, "`column` is missing");
	if (!column(r, part, &out->column) || !list(r, yaml_get(node, "missing"), "`missing`", &out->missing))
		return false;
	if ((part = yaml_get(node, "words")) && !pairs(r, part, out))
		return false;
	if ((part = yaml_get(node, "unit"))) {
		if (type < 0 || !value_is_number(type))
			return fail(r, part, "a unit is not allowed here");
		if (!unit(r, part, type, &out->unit))
			return false;
	}
	if ((part = yaml_get(node, "decimals"))) {
		if (!number(r, part, "`decimals`", 9, &decimals))
			return false;
		out->decimals = (int)decimals;
	}
	return true;
}

static bool is_cell(const struct yaml *node)
{
	return node->kind == YAML_MAP && yaml_get(node, "column");
}

static bool item(struct map_reader *r, const struct yaml *node, int type, const char *what, struct map_item *out)
{
	out->fed = is_cell(node);
	if (out->fed)
		return cell(r, node, type, &out->cell);
	if (node->kind == YAML_MAP)
		return fail(r, node, "%s: `column` is missing", what);
	return scalar(r, node, what, &out->text);
}

/* --- entries --------------------------------------------------------------------------------- */

/* A cell whose column was forgotten, and no list of labels. */
static bool all_cell_keys(const struct yaml *map)
{
	for (size_t i = 0; i < map->n; i++)
		if (!has_key(cell_keys, map->key[i].text))
			return false;
	return map->n > 0;
}

/* A field's value: a text, a cell, a list of both, or labels with both. */
static bool field_items(struct map_reader *r, const struct yaml *node, struct map_field *f)
{
	bool labelled = node->kind == YAML_MAP && !is_cell(node);
	int type = f->use->type;

	if (labelled && all_cell_keys(node))
		return fail(r, node, "`column` is missing");
	f->n = labelled || node->kind == YAML_LIST ? node->n : 1;
	if (!f->n)
		return fail(r, node, "the list is empty");
	f->item = own(r, mem_zeroed(f->n, sizeof *f->item));
	for (size_t i = 0; i < f->n; i++) {
		const struct yaml *one = labelled || node->kind == YAML_LIST ? &node->item[i] : node;

		if (labelled)
			f->item[i].label = node->key[i].text;
		if (!item(r, one, type, "a value", &f->item[i]))
			return false;
		f->fed = f->fed || f->item[i].fed;
	}
	return true;
}

static const char *const entry_keys[] = { "event", "subject", "when", NULL };

static bool entry_field(struct map_reader *r, const struct yaml *key, const struct yaml *value, struct map_entry *e)
{
	struct map_field *f = &e->field[e->nfields];
	struct slice near;

	f->use = vocab_use(e->event, key->text);
	if (f->use) {
		e->nfields++;
		return field_items(r, value, f);
	}
	near = vocab_near_use(e->event, key->text);
	return fail(r, key, "`%.*s` has no field `%.*s`%s%.*s%s", SHOWN(e->event->name), SHOWN(key->text),
		near.n ? "; did you mean `" : "", SHOWN(near), near.n ? "`?" : "");
}

static const char *const when_keys[] = { "column", "is", NULL };

static bool entry_when(struct map_reader *r, const struct yaml *node, struct map_when *w)
{
	const struct yaml *of;

	if (!only_keys(r, node, "`when`", when_keys))
		return false;
	of = yaml_get(node, "column");
	if (!of || !yaml_get(node, "is"))
		return fail(r, node, "`when` requires `column` and `is`");
	return column(r, of, &w->column) && list(r, yaml_get(node, "is"), "`is`", &w->is);
}

static bool entry_whens(struct map_reader *r, const struct yaml *node, struct map_entry *e)
{
	bool many = node && node->kind == YAML_LIST;

	if (!node)
		return true;
	e->nwhen = many ? node->n : 1;
	e->when = own(r, mem_zeroed(e->nwhen, sizeof *e->when));
	for (size_t i = 0; i < e->nwhen; i++)
		if (!entry_when(r, many ? &node->item[i] : node, &e->when[i]))
			return false;
	return true;
}

static void sample_value(struct buf *out, const struct map_field *f, const struct map_item *it)
{
	const struct type_def *type = vocab_type(f->use->type);

	if (!it->fed)
		buf_add(out, it->text);
	else if (f->use->field->nwords)
		buf_add(out, f->use->field->words[0]);
	else if (f->use->type == TYPE_DATE)
		buf_str(out, "2026-01-01");
	else if (value_is_number(f->use->type))
		buf_char(out, '1');
	else
		buf_char(out, 'x');
	if (it->fed && type->nunits)
		buf_add(out, vocab_unit(it->cell.unit < 0 ? type->first_unit : it->cell.unit)->name);
}

/* The entry as a line of the book, with something fitting for every cell. */
static void sample_line(struct buf *out, const struct map_entry *e)
{
	buf_str(out, "2026-01-01 12:00 ");
	buf_add(out, e->event->name);
	buf_char(out, ' ');
	buf_add(out, e->subject.fed ? SLICE("x") : e->subject.text);
	for (size_t i = 0; i < e->nfields; i++) {
		const struct map_field *f = &e->field[i];

		buf_char(out, ' ');
		buf_add(out, f->use->field->name);
		for (size_t k = 0; k < f->n; k++) {
			buf_char(out, k ? ',' : '=');
			buf_add(out, f->item[k].label);
			if (f->item[k].label.n)
				buf_char(out, ':');
			sample_value(out, f, &f->item[k]);
		}
	}
}

/* Whether the book's own reader would take the entry; what it says is the mapping's fault. */
static bool entry_sane(struct map_reader *r, const struct yaml *node, const struct map_entry *e)
{
	struct buf text = BUF_INIT;
	struct diags diags;
	struct parser parser;

	sample_line(&text, e);
	diags_init(&diags);
	parser_init(&parser, r->vocab, &diags);
	if (parse_line(&parser, buf_slice(&text), 1, 0)->kind != LINE_EVENT && diags.n) {
		struct slice why = diag_text(&diags, &diags.row[0]);

		fail(r, node, "the book does not accept this entry: %.*s", (int)why.n, why.p);
	}
	parser_release(&parser);
	diags_release(&diags);
	buf_release(&text);
	return !r->failed;
}

static bool entry_event(struct map_reader *r, const struct yaml *node, struct map_entry *e)
{
	const struct yaml *event = yaml_get(node, "event"), *subject = yaml_get(node, "subject");
	struct slice name, near;

	if (!event || !subject)
		return fail(r, node, "an entry requires `event` and `subject`");
	if (!scalar(r, event, "`event`", &name))
		return false;
	e->event = vocab_event(r->vocab, name);
	if (!e->event) {
		near = vocab_near_event(r->vocab, name);
		return fail(r, event, "`%.*s` is not a known event%s%.*s%s", SHOWN(name), near.n ? "; did you mean `" : "",
			SHOWN(near), near.n ? "`?" : "");
	}
	return item(r, subject, -1, "`subject`", &e->subject);
}

static bool entry(struct map_reader *r, const struct yaml *node, struct map_entry *e)
{
	bool fed = false;

	if (node->kind != YAML_MAP)
		return fail(r, node, "an entry must hold keys with values");
	e->line = node->line;
	e->col = node->col;
	if (!entry_event(r, node, e) || !entry_whens(r, yaml_get(node, "when"), e))
		return false;
	e->field = own(r, mem_zeroed(node->n, sizeof *e->field));
	for (size_t i = 0; i < node->n; i++)
		if (!has_key(entry_keys, node->key[i].text) && !entry_field(r, &node->key[i], &node->item[i], e))
			return false;
	for (size_t i = 0; i < e->nfields; i++)
		fed = fed || e->field[i].fed;
	if (!fed)
		return fail(r, node, "no field of this entry is read from a column");
	return entry_sane(r, node, e);
}

static bool entries(struct map_reader *r, const struct yaml *root)
{
	const struct yaml *node = yaml_get(root, "entries");

	if (!node || node->kind != YAML_LIST || !node->n)
		return fail(r, node ? node : root, "`entries` must list the entries that a row becomes");
	if (node->n > MAP_ENTRIES)
		return fail(r, node, "the mapping has more than %d entries", MAP_ENTRIES);
	r->m->nentries = node->n;
	r->m->entry = own(r, mem_zeroed(node->n, sizeof *r->m->entry));
	for (size_t i = 0; i < node->n; i++)
		if (!entry(r, &node->item[i], &r->m->entry[i]))
			return false;
	return true;
}

/* --- the file -------------------------------------------------------------------------------- */

static bool separator(struct map_reader *r, const struct yaml *node)
{
	struct csv_style *style = &r->m->style;
	struct slice s;

	if (!node)
		return true;
	if (!scalar(r, node, "`separator`", &s))
		return false;
	if (slice_eq(s, SLICE("tab")))
		s = SLICE("\t");
	if (slice_eq(s, SLICE("blanks")))
		s = SLICE("");
	else if (!s.n || s.n > sizeof style->separator)
		return fail(r, node, "`separator` must be the character between cells, or `tab` or `blanks`");
	memcpy(style->separator, s.p, s.n);
	style->separator_n = s.n;
	return true;
}

/* A separator that is not ASCII stands in a file of one-byte characters as one byte. */
static void separator_bytes(struct csv_style *style)
{
	struct slice s = { style->separator, style->separator_n };
	uint32_t point = 0;

	if ((style->encoding == CSV_CP1252 || style->encoding == CSV_LATIN1) && s.n == 2 &&
	    utf8_decode(s, &point) == 2 && point >= 0xa0 && point <= 0xff) {
		style->separator[0] = (char)point;
		style->separator_n = 1;
	}
}

static bool quote(struct map_reader *r, const struct yaml *node)
{
	struct slice s;

	if (!node)
		return true;
	if (!scalar(r, node, "`quote`", &s))
		return false;
	if (slice_eq(s, SLICE("none")))
		s = SLICE("");
	if (s.n > 1)
		return fail(r, node, "`quote` must be one character, or `none`");
	r->m->style.quote = s.n ? s.p[0] : '\0';
	return true;
}

static bool decimal(struct map_reader *r, const struct yaml *node, const struct yaml *thousands)
{
	struct cell_style *numbers = &r->m->numbers;
	struct slice s;

	if (node) {
		if (!scalar(r, node, "`decimal`", &s) || s.n != 1 || (s.p[0] != '.' && s.p[0] != ','))
			return fail(r, node, "`decimal` must be \".\" or \",\"");
		numbers->decimal = s.p[0];
	}
	if (!thousands)
		return true;
	if (!scalar(r, thousands, "`thousands`", &numbers->thousands))
		return false;
	if (numbers->thousands.n > 4 || slice_eq(numbers->thousands, (struct slice){ &numbers->decimal, 1 }))
		return fail(r, thousands, "`thousands` must be the mark between groups of three digits, and not the decimal mark");
	return true;
}

static const char *const file_keys[] = {
	"separator", "quote", "encoding", "decimal", "thousands", "skip", "header-has", "header", "missing", "trailer", NULL
};

static bool file_lines(struct map_reader *r, const struct yaml *node)
{
	struct mapping *m = r->m;
	const struct yaml *skip = yaml_get(node, "skip"), *has = yaml_get(node, "header-has"), *header = yaml_get(node, "header");

	if (skip && has)
		return fail(r, has, "`skip` and `header-has` give the same thing twice; keep one");
	if (skip && !number(r, skip, "`skip`", 10000, &m->skip))
		return false;
	if (has && (!scalar(r, has, "`header-has`", &m->header_has) || !m->header_has.n))
		return fail(r, has, "`header-has` must be the text of a heading");
	if (header && !number(r, header, "`header`", 20, &m->header))
		return false;
	if (has && !m->header)
		return fail(r, has, "`header-has` requires a header row");
	return list(r, yaml_get(node, "missing"), "`missing`", &m->missing) &&
		list(r, yaml_get(node, "trailer"), "`trailer`", &m->trailer);
}

static bool file(struct map_reader *r, const struct yaml *node)
{
	struct mapping *m = r->m;
	const struct yaml *encoding;

	if (!node)
		return true;
	if (!only_keys(r, node, "`file`", file_keys))
		return false;
	encoding = yaml_get(node, "encoding");
	if (encoding) {
		int which = word(r, encoding, "`encoding`", csv_encoding_words);

		if (which < 0)
			return false;
		m->style.encoding = (enum csv_encoding)which;
	}
	if (!separator(r, yaml_get(node, "separator")))
		return false;
	separator_bytes(&m->style);
	return quote(r, yaml_get(node, "quote")) &&
		decimal(r, yaml_get(node, "decimal"), yaml_get(node, "thousands")) && file_lines(r, node);
}

/* --- time ------------------------------------------------------------------------------------ */

static bool time_columns(struct map_reader *r, const struct yaml *node)
{
	struct mapping *m = r->m;
	const struct yaml *one = yaml_get(node, "column"), *many = yaml_get(node, "columns");

	if (!one == !many)
		return fail(r, node, "`time` requires `column`, or `columns` for date and time in the order of `form`");
	if (one) {
		m->ntime = 1;
		return column(r, one, &m->time_column[0]);
	}
	if (many->kind != YAML_LIST || !many->n || many->n > MAP_TIME_COLUMNS)
		return fail(r, many, "`columns` must list at most %d columns", MAP_TIME_COLUMNS);
	for (m->ntime = 0; m->ntime < many->n; m->ntime++)
		if (!column(r, &many->item[m->ntime], &m->time_column[m->ntime]))
			return false;
	return true;
}

static bool time_form(struct map_reader *r, const struct yaml *node, const struct yaml *form)
{
	const char *why;
	struct slice s;

	if (!form)
		return fail(r, node, "`form` is missing; write the form of the time, such as \"DD.MM.YYYY hh:mm\"");
	if (!scalar(r, form, "`form`", &s))
		return false;
	return time_format_compile(&r->m->form, s, &why) || fail(r, form, "the form is not valid: %s", why);
}

static bool time_clock(struct map_reader *r, const struct yaml *node)
{
	struct mapping *m = r->m;
	struct zone_error why;
	struct slice s;

	m->clock = m->form.offset ? CLOCK_STAMP : CLOCK_WALL;
	if (!node)
		return true;
	if (!scalar(r, node, "`clock`", &s))
		return false;
	if (m->form.offset)
		return fail(r, node, "the form of the time already gives the offset; remove `clock`");
	if (slice_eq(s, SLICE("wall")))
		return true;
	m->clock = slice_eq(s, SLICE("header")) ? CLOCK_HEADER : CLOCK_ZONE;
	if (m->clock == CLOCK_HEADER)
		return true;
	m->zone = zone_load(s, &why);
	return m->zone || fail(r, node, "%s", why.text);
}

static const char *const offset_keys[] = { "column", "in", NULL };
static const char *const offset_words[] = { "quarter-hours", "hours", "minutes", "seconds", "text", NULL };

static bool time_offset(struct map_reader *r, const struct yaml *node)
{
	struct mapping *m = r->m;
	int in;

	if (!node)
		return true;
	if (m->clock != CLOCK_WALL || !only_keys(r, node, "`offset`", offset_keys))
		return fail(r, node, "the offset is given twice; keep `clock` or `offset`");
	if (!yaml_get(node, "column") || !yaml_get(node, "in"))
		return fail(r, node, "`offset` requires `column` and its unit `in`");
	in = word(r, yaml_get(node, "in"), "`in`", offset_words);
	if (in < 0)
		return false;
	m->clock = CLOCK_COLUMN;
	m->offset_in = (enum map_offset)in;
	return column(r, yaml_get(node, "column"), &m->offset_column);
}

/* 10min, 30s, 1h, 1d, none. */
static bool time_interval(struct map_reader *r, const struct yaml *node)
{
	static const struct { const char *unit; int64_t s; } units[] = { { "s", 1 }, { "min", 60 }, { "h", 3600 }, { "d", 86400 } };
	struct slice s;
	int64_t n = 0;

	if (!node)
		return true;
	if (!scalar(r, node, "`interval`", &s))
		return false;
	if (slice_eq(s, SLICE("none"))) {
		r->m->interval_s = -1;
		return true;
	}
	while (s.n && s.p[0] >= '0' && s.p[0] <= '9' && n < 100000) {
		n = n * 10 + (s.p[0] - '0');
		s = slice_from(s, 1);
	}
	for (size_t i = 0; i < sizeof units / sizeof *units; i++)
		if (n > 0 && slice_eq(slice_trim(s), slice_of(units[i].unit)))
			r->m->interval_s = n * units[i].s;
	return r->m->interval_s || fail(r, node, "`interval` must be a time such as 30s, 10min, 1h or 1d, or `none`");
}

static bool time_words(struct map_reader *r, const struct yaml *node)
{
	struct time_words *w = &r->m->words;
	struct map_list am, pm, months;

	if (!list(r, yaml_get(node, "am"), "`am`", &am) || !list(r, yaml_get(node, "pm"), "`pm`", &pm) ||
	    !list(r, yaml_get(node, "months"), "`months`", &months))
		return false;
	if (months.n && months.n != 12)
		return fail(r, yaml_get(node, "months"), "`months` must list twelve names");
	*w = (struct time_words){ am.v, pm.v, months.v, am.n, pm.n, months.n };
	return true;
}

static const char *const time_keys[] = {
	"column", "columns", "form", "clock", "offset", "am", "pm", "months", "interval", NULL
};

static bool times(struct map_reader *r, const struct yaml *root)
{
	const struct yaml *node = yaml_get(root, "time");

	if (!node)
		return fail(r, root, "`time` is missing; write its `column` and `form`");
	return only_keys(r, node, "`time`", time_keys) && time_columns(r, node) &&
		time_form(r, node, yaml_get(node, "form")) && time_clock(r, yaml_get(node, "clock")) &&
		time_offset(r, yaml_get(node, "offset")) && time_words(r, node) && time_interval(r, yaml_get(node, "interval"));
}

/* --- the whole ------------------------------------------------------------------------------- */

static const char *const root_keys[] = { "file", "time", "entries", NULL };

bool mapping_read(struct mapping *m, struct slice bytes, const struct vocab *vocab, struct yaml_error *error)
{
	struct map_reader r = { m, vocab, error, false };
	const struct yaml *root;

	*m = (struct mapping){ .style = { ",", 1, '"', CSV_UTF8 }, .numbers = { '.', { "", 0 } }, .header = 1 };
	m->doc = yaml_read(bytes, error);
	if (!m->doc)
		return false;
	root = yaml_root(m->doc);
	if (only_keys(&r, root, "a mapping", root_keys) && file(&r, yaml_get(root, "file")) && times(&r, root) &&
	    entries(&r, root))
		return true;
	mapping_release(m);
	return false;
}

void mapping_release(struct mapping *m)
{
	for (size_t i = 0; i < m->nowned; i++)
		free(m->owned[i]);
	free(m->owned);
	free(m->column);
	zone_free(m->zone);
	yaml_doc_free(m->doc);
	*m = (struct mapping){ 0 };
}

bool map_glob(struct slice glob, struct slice text)
{
	size_t g = 0, t = 0, star = glob.n, mark = 0;

	while (t < text.n) {
		if (g < glob.n && glob.p[g] == '*') {
			star = g++;
			mark = t;
		} else if (g < glob.n && glob.p[g] == text.p[t]) {
			g++;
			t++;
		} else if (star < glob.n) {
			g = star + 1;
			t = ++mark;
		} else {
			return false;
		}
	}
	while (g < glob.n && glob.p[g] == '*')
		g++;
	return g == glob.n;
}

bool map_list_has(const struct map_list *list, struct slice text)
{
	for (size_t i = 0; i < list->n; i++)
		if (slice_eq(list->v[i], text))
			return true;
	return false;
}
