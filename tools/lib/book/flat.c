#include "book/flat.h"

#include <stdlib.h>
#include <strings.h>

#include "base/escape.h"
#include "book/line.h"
#include "book/tidy.h"

enum { RATE_PLACES = 8, MONEY_PLACES = 3 };

static const char *const MARKS[] = { "exact", "absent", "above", "below", "range" };

/* ---- what a value is in figures */

static int places_of(int type, const struct value *v)
{
	return type == TYPE_MONEY ? vocab_currency_places(v->unit) : vocab_type(type)->places;
}

static struct slice unit_of(int type, const struct value *v)
{
	if (type == TYPE_MONEY || type == TYPE_RATE)
		return vocab_currency_code(v->unit);
	if (type == TYPE_READING)
		return value_reading_base(v->unit);
	return vocab_type(type)->base;
}

static bool is_figure(int type)
{
	return value_is_number(type) && type != TYPE_DATE;
}

static bool has_own_unit(int type)
{
	return type == TYPE_MONEY || type == TYPE_RATE || type == TYPE_READING;
}

/* ---- columns */

void flat_name(struct buf *out, struct slice word)
{
	for (size_t i = 0; i < word.n; i++)
		buf_char(out, word.p[i] == '-' ? '_' : word.p[i]);
}

/* The base unit in small letters, except for values that have their unit in a column of their own. */
static void add_suffix(struct buf *name, int type)
{
	struct slice base = vocab_type(type)->base;

	if (has_own_unit(type) || !base.n)
		return;
	buf_char(name, '_');
	if (slice_eq(base, SLICE("%")))
		base = SLICE("pct");
	for (size_t i = 0; i < base.n; i++)
		buf_char(name, base.p[i] >= 'A' && base.p[i] <= 'Z' ? (char)(base.p[i] | 32) : base.p[i]);
}

static struct flat_column *add_column(struct flat *f, const char *name, enum flat_source source, enum table_type type)
{
	struct flat_column *c;

	f->column = mem_grow(f->column, &f->cap, f->n + 1, sizeof *f->column);
	c = &f->column[f->n++];
	*c = (struct flat_column){ .name = mem_copy(name, strlen(name)), .source = source, .type = type };
	return c;
}

static int most_places(int type)
{
	return type == TYPE_MONEY ? MONEY_PLACES : type == TYPE_RATE ? RATE_PLACES : vocab_type(type)->places;
}

/* A column of a field: NAME, then `part`, then the unit where it holds the value itself. */
static void add_part(struct flat *f, const struct field_use *use, const char *part, enum flat_source source, enum table_type type)
{
	struct buf name = BUF_INIT;
	struct flat_column *c;

	flat_name(&name, use->field->name);
	buf_str(&name, part);
	if (source == FLAT_NUMBER || source == FLAT_LOW || source == FLAT_HIGH)
		add_suffix(&name, use->type);
	c = add_column(f, buf_cstr(&name), source, type);
	c->use = use;
	c->places = type == TABLE_FIXED ? most_places(use->type) : 0;
	buf_release(&name);
}

static enum table_type column_type(int type)
{
	return type == TYPE_DATE ? TABLE_DATE : type == TYPE_COUNT ? TABLE_INT : TABLE_FIXED;
}

/* A field of one number or date. */
static void add_figure(struct flat *f, const struct field_use *use)
{
	enum table_type type = column_type(use->type);

	if (use->shape & USE_RANGE) {
		add_part(f, use, "_low", FLAT_LOW, type);
		add_part(f, use, "_high", FLAT_HIGH, type);
	} else
		add_part(f, use, "", FLAT_NUMBER, type);
	if (use->type == TYPE_READING)
		add_part(f, use, "_unit", FLAT_UNIT, TABLE_TEXT);
	else if (has_own_unit(use->type))
		add_part(f, use, "_currency", FLAT_UNIT, TABLE_TEXT);
	if (use->shape & (USE_RANGE | USE_BEYOND | USE_ABSENT))
		add_part(f, use, "_written", FLAT_UNUSUAL, TABLE_TEXT);
}

static void add_list(struct flat *f, const struct field_use *use)
{
	if (use->type == TYPE_COUNT)
		add_part(f, use, "_total", FLAT_TOTAL, TABLE_INT);
	else if (is_figure(use->type)) {
		add_part(f, use, "", FLAT_NUMBER, TABLE_FIXED);
		if (has_own_unit(use->type))
			add_part(f, use, "_unit", FLAT_UNIT, TABLE_TEXT);
	}
	add_part(f, use, "_items", FLAT_ITEMS, TABLE_INT);
	add_part(f, use, "_written", FLAT_WRITTEN, TABLE_TEXT);
}

static void add_field(struct flat *f, const struct field_use *use)
{
	if (use->shape & USE_MANY)
		add_list(f, use);
	else if (value_is_number(use->type))
		add_figure(f, use);
	else
		add_part(f, use, "", FLAT_WORDS, TABLE_TEXT);
}

static void begin(struct flat *f, unsigned with)
{
	memset(f, 0, sizeof *f);
	if (with & FLAT_WITH_ENTRY)
		add_column(f, "entry", FLAT_ENTRY, TABLE_INT)->always = true;
	add_column(f, "date", FLAT_DATE, TABLE_DATE)->always = true;
	add_column(f, "time", FLAT_TIME, TABLE_TEXT);
	add_column(f, "utc_offset_min", FLAT_OFFSET, TABLE_INT);
	add_column(f, "event", FLAT_EVENT, TABLE_TEXT)->always = true;
	add_column(f, "subject", FLAT_SUBJECT, TABLE_TEXT)->always = true;
}

static void finish(struct flat *f, unsigned with)
{
	add_column(f, "remark", FLAT_REMARK, TABLE_TEXT);
	if (with & FLAT_WITH_FILE)
		add_column(f, "file", FLAT_FILE, TABLE_TEXT)->always = true;
	add_column(f, "line", FLAT_LINE, TABLE_INT)->always = true;
}

static int by_rank(const void *a, const void *b)
{
	const struct field_use *const *x = a, *const *y = b;

	return tidy_rank((*x)->field->id) - tidy_rank((*y)->field->id);
}

void flat_of_event(struct flat *f, const struct event_def *event, unsigned with)
{
	const struct field_use *use[USE_MOST];
	size_t n = 0;

	begin(f, with);
	for (int i = 0; i < event->nuses; i++)
		use[n++] = &event->uses[i];
	if (n)
		qsort(use, n, sizeof *use, by_rank);
	for (size_t i = 0; i < n; i++)
		add_field(f, use[i]);
	finish(f, with);
}

void flat_of_items(struct flat *f, unsigned with)
{
	begin(f, with);
	add_column(f, "field", FLAT_ITEM_FIELD, TABLE_TEXT);
	add_column(f, "item", FLAT_ITEM_INDEX, TABLE_INT);
	add_column(f, "label", FLAT_ITEM_LABEL, TABLE_TEXT);
	add_column(f, "mark", FLAT_ITEM_MARK, TABLE_TEXT);
	add_column(f, "value", FLAT_ITEM_VALUE, TABLE_FIXED)->places = RATE_PLACES;
	add_column(f, "low", FLAT_ITEM_LOW, TABLE_FIXED)->places = RATE_PLACES;
	add_column(f, "high", FLAT_ITEM_HIGH, TABLE_FIXED)->places = RATE_PLACES;
	add_column(f, "unit", FLAT_ITEM_UNIT, TABLE_TEXT);
	add_column(f, "words", FLAT_ITEM_WORDS, TABLE_TEXT);
	add_column(f, "written", FLAT_ITEM_WRITTEN, TABLE_TEXT);
	finish(f, with);
}

void flat_release(struct flat *f)
{
	for (size_t i = 0; i < f->n; i++)
		free(f->column[i].name);
	free(f->column);
	memset(f, 0, sizeof *f);
}

const char *flat_clash(const struct flat *f)
{
	for (size_t i = 0; i < f->n; i++)
		for (size_t k = 0; k < i; k++)
			if (strcasecmp(f->column[i].name, f->column[k].name) == 0)
				return f->column[i].name;
	return NULL;
}

/* ---- cells */

static const struct flat_cell ABSENT = { .absent = true };

static struct flat_cell text_cell(struct slice text)
{
	return (struct flat_cell){ .type = TABLE_TEXT, .text = text };
}

static struct flat_cell int_cell(int64_t v)
{
	return (struct flat_cell){ .type = TABLE_INT, .number = v };
}

/* Without the zeros that only fill the type's decimal places. */
static struct flat_cell fixed_cell(int64_t v, int places)
{
	for (; places > 0 && v % 10 == 0; places--)
		v /= 10;
	return (struct flat_cell){ .type = TABLE_FIXED, .number = v, .places = places };
}

static struct flat_cell words_cell(struct flat_row *row)
{
	return text_cell(buf_slice(row->words));
}

static struct flat_cell figure_cell(struct flat_row *row, int type, const struct value *v, int64_t fix)
{
	if (type != TYPE_DATE)
		return fixed_cell(fix, places_of(type, v));
	row->words->n = 0;
	day_write(row->words, (int32_t)fix);
	return (struct flat_cell){ .type = TABLE_DATE, .text = buf_slice(row->words) };
}

static struct flat_cell low_cell(struct flat_row *row, int type, const struct value *v)
{
	if (v->mark != VALUE_EXACT && (v->mark != VALUE_RANGE || v->fix == INT64_MIN))
		return ABSENT;
	return figure_cell(row, type, v, v->fix);
}

static struct flat_cell high_cell(struct flat_row *row, int type, const struct value *v)
{
	if (v->mark != VALUE_EXACT && (v->mark != VALUE_RANGE || v->high == INT64_MAX))
		return ABSENT;
	return figure_cell(row, type, v, v->high);
}

/* HH:MM:SS, whatever was written. */
static void write_clock(struct buf *out, int32_t second)
{
	buf_printf(out, "%02d:%02d:%02d", (int)(second / 3600), (int)(second / 60 % 60), (int)(second % 60));
}

static struct flat_cell time_cell(struct flat_row *row)
{
	if (row->line->stamp.second == STAMP_NO_TIME)
		return ABSENT;
	row->words->n = 0;
	write_clock(row->words, row->line->stamp.second);
	return words_cell(row);
}

static struct slice remark_words(const struct line *l)
{
	return slice_trim(slice_from(l->remark, l->remark.n > 0));
}

static struct flat_cell entry_cell(enum flat_source source, struct flat_row *row)
{
	const struct line *l = row->line;

	switch (source) {
	case FLAT_ENTRY:
		return int_cell((int64_t)row->entry);
	case FLAT_DATE:
		return (struct flat_cell){ .type = TABLE_DATE, .text = l->date };
	case FLAT_TIME:
		return time_cell(row);
	case FLAT_OFFSET:
		return l->stamp.offset == STAMP_NO_OFFSET ? ABSENT : int_cell(l->stamp.offset);
	case FLAT_EVENT:
		return text_cell(l->event->name);
	case FLAT_SUBJECT:
		return text_cell(l->subject);
	case FLAT_REMARK:
		return l->remark.n ? text_cell(remark_words(l)) : ABSENT;
	case FLAT_FILE:
		return text_cell(row->file);
	default:
		return int_cell((int64_t)l->number);
	}
}

static struct flat_cell total_cell(const struct line *l, const struct field *f)
{
	int64_t total = 0;

	for (size_t i = 0; i < f->n; i++) {
		const struct item *item = &l->item[f->first + i];

		if (item->v.mark != VALUE_EXACT)
			return ABSENT;
		total += item->v.fix;
	}
	return int_cell(total);
}

static struct flat_cell word_cell(struct flat_row *row, int type, const struct item *item)
{
	if (type != TYPE_TEXT)
		return text_cell(item->text);
	row->words->n = 0;
	item_text(row->words, item->text);
	return words_cell(row);
}

static struct flat_cell field_cell(const struct flat_column *c, struct flat_row *row)
{
	const struct line *l = row->line;
	const struct field *f = line_field(l, c->use->field->id);
	const struct item *item;
	int type = c->use->type;

	if (!f)
		return ABSENT;
	item = &l->item[f->first];
	switch (c->source) {
	case FLAT_NUMBER:
		return f->n == 1 && item->v.mark == VALUE_EXACT ? figure_cell(row, type, &item->v, item->v.fix) : ABSENT;
	case FLAT_LOW:
		return low_cell(row, type, &item->v);
	case FLAT_HIGH:
		return high_cell(row, type, &item->v);
	case FLAT_UNIT:
		return f->n == 1 && item->v.mark != VALUE_ABSENT ? text_cell(unit_of(type, &item->v)) : ABSENT;
	case FLAT_WORDS:
		return word_cell(row, type, item);
	case FLAT_TOTAL:
		return total_cell(l, f);
	case FLAT_ITEMS:
		return int_cell((int64_t)f->n);
	case FLAT_UNUSUAL:
		return item->v.mark == VALUE_EXACT ? ABSENT : text_cell(f->text);
	default:
		return text_cell(f->text);
	}
}

static struct flat_cell item_value_cell(struct flat_row *row, const struct item *item)
{
	int type = row->field->use->type;

	if (!is_figure(type) || item->v.mark == VALUE_ABSENT || item->v.mark == VALUE_RANGE)
		return ABSENT;
	return figure_cell(row, type, &item->v, item->v.fix);
}

static struct flat_cell item_words_cell(struct flat_row *row, const struct item *item)
{
	int type = row->field->use->type;

	if (is_figure(type) || item->v.mark == VALUE_ABSENT)
		return ABSENT;
	return word_cell(row, type, item);
}

static struct flat_cell item_cell(enum flat_source source, struct flat_row *row)
{
	const struct item *item;
	int type;

	if (!row->field)
		return ABSENT;
	item = &row->line->item[row->field->first + row->item];
	type = row->field->use->type;
	switch (source) {
	case FLAT_ITEM_FIELD:
		return text_cell(row->field->key);
	case FLAT_ITEM_INDEX:
		return int_cell((int64_t)row->item + 1);
	case FLAT_ITEM_LABEL:
		return item->label.n ? text_cell(item->label) : ABSENT;
	case FLAT_ITEM_MARK:
		return text_cell(slice_of(MARKS[item->v.mark]));
	case FLAT_ITEM_VALUE:
		return item_value_cell(row, item);
	case FLAT_ITEM_LOW:
		return is_figure(type) && item->v.mark == VALUE_RANGE ? low_cell(row, type, &item->v) : ABSENT;
	case FLAT_ITEM_HIGH:
		return is_figure(type) && item->v.mark == VALUE_RANGE ? high_cell(row, type, &item->v) : ABSENT;
	case FLAT_ITEM_UNIT:
		if (!is_figure(type) || item->v.mark == VALUE_ABSENT || !unit_of(type, &item->v).n)
			return ABSENT;
		return text_cell(unit_of(type, &item->v));
	case FLAT_ITEM_WORDS:
		return item_words_cell(row, item);
	default:
		return text_cell(item->text);
	}
}

struct flat_cell flat_cell(const struct flat_column *column, struct flat_row *row)
{
	if (column->source >= FLAT_ITEM_FIELD)
		return item_cell(column->source, row);
	if (column->source >= FLAT_NUMBER)
		return field_cell(column, row);
	return entry_cell(column->source, row);
}

void flat_each_item(struct flat_row *row, void (*take)(struct flat_row *row, void *arg), void *arg)
{
	const struct line *l = row->line;
	uint8_t order[USE_MOST];
	size_t n = tidy_order(l, order);

	if (!n)
		take(row, arg);
	for (size_t i = 0; i < n; i++) {
		row->field = &l->field[order[i]];
		for (row->item = 0; row->item < row->field->n; row->item++)
			take(row, arg);
	}
}

/* ---- the normalised form */

/* The next member's name; the first of an object has no comma before it. */
static void member(struct buf *out, const char *name)
{
	if (out->p[out->n - 1] != '{')
		buf_char(out, ',');
	buf_char(out, '"');
	buf_str(out, name);
	buf_str(out, "\":");
}

static void text_member(struct buf *out, const char *name, struct slice text)
{
	member(out, name);
	buf_json(out, text);
}

static void figure_member(struct buf *out, const char *name, int type, const struct value *v, int64_t fix)
{
	member(out, name);
	if (type != TYPE_DATE)
		value_write_fix(out, fix, places_of(type, v));
	else {
		buf_char(out, '"');
		day_write(out, (int32_t)fix);
		buf_char(out, '"');
	}
}

static void write_figures(struct buf *out, int type, const struct value *v)
{
	if (v->mark == VALUE_ABSENT)
		return;
	if (v->mark != VALUE_RANGE)
		figure_member(out, "value", type, v, v->fix);
	else {
		if (v->fix != INT64_MIN)
			figure_member(out, "low", type, v, v->fix);
		if (v->high != INT64_MAX)
			figure_member(out, "high", type, v, v->high);
	}
	if (type != TYPE_DATE && unit_of(type, v).n)
		text_member(out, "unit", unit_of(type, v));
}

static void write_word(struct buf *out, int type, const struct item *item)
{
	struct buf words = BUF_INIT;

	if (item->v.mark == VALUE_ABSENT)
		return;
	if (type == TYPE_TEXT)
		item_text(&words, item->text);
	text_member(out, "value", type == TYPE_TEXT ? buf_slice(&words) : item->text);
	buf_release(&words);
}

static void write_item(struct buf *out, int type, const struct item *item)
{
	buf_char(out, '{');
	if (item->label.n)
		text_member(out, "label", item->label);
	text_member(out, "written", item->text);
	text_member(out, "mark", slice_of(MARKS[item->v.mark]));
	if (value_is_number(type))
		write_figures(out, type, &item->v);
	else
		write_word(out, type, item);
	buf_char(out, '}');
}

static void write_fields(struct buf *out, const struct line *l)
{
	uint8_t order[USE_MOST];
	size_t n = tidy_order(l, order);

	member(out, "fields");
	buf_char(out, '{');
	for (size_t i = 0; i < n; i++) {
		const struct field *f = &l->field[order[i]];

		if (i)
			buf_char(out, ',');
		buf_json(out, f->key);
		buf_str(out, ":[");
		for (size_t k = 0; k < f->n; k++) {
			if (k)
				buf_char(out, ',');
			write_item(out, f->use->type, &l->item[f->first + k]);
		}
		buf_char(out, ']');
	}
	buf_char(out, '}');
}

void flat_json(struct buf *out, const struct line *l, struct slice file)
{
	buf_char(out, '{');
	if (file.n)
		text_member(out, "file", file);
	member(out, "line");
	buf_int(out, (int64_t)l->number);
	text_member(out, "date", l->date);
	if (l->stamp.second != STAMP_NO_TIME) {
		member(out, "time");
		buf_char(out, '"');
		write_clock(out, l->stamp.second);
		buf_char(out, '"');
	}
	if (l->stamp.offset != STAMP_NO_OFFSET) {
		member(out, "utc_offset_min");
		buf_int(out, l->stamp.offset);
	}
	text_member(out, "event", l->event->name);
	text_member(out, "subject", l->subject);
	write_fields(out, l);
	if (l->remark.n)
		text_member(out, "remark", remark_words(l));
	buf_str(out, "}\n");
}
