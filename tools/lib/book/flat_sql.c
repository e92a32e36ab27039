#include "book/flat_sql.h"

#include <stdio.h>
#include <stdlib.h>

#include "book/parse.h"
#include "table/number_text.h"

static const struct slice ITEMS_TABLE = { "items", 5 };

static const unsigned WITH = FLAT_WITH_ENTRY | FLAT_WITH_FILE;

/* Digits of a number: of an item's value, which has the places of any type, and of others. */
enum { ITEM_DIGITS = 24, DIGITS = 18 };

void flat_sql_init(struct flat_sql *s, const struct vocab *vocab, const struct event_def *event, bool items_alone)
{
	*s = (struct flat_sql){ .vocab = vocab, .event = event, .items_alone = items_alone };
	s->of_event = mem_zeroed(EVENT_MOST, sizeof *s->of_event);
	flat_of_items(&s->items, WITH);
}

void flat_sql_release(struct flat_sql *s)
{
	for (size_t i = 0; i < EVENT_MOST; i++)
		flat_release(&s->of_event[i]);
	free(s->of_event);
	flat_release(&s->items);
	memset(s, 0, sizeof *s);
}

bool flat_sql_tables_clash(const struct flat_sql *s, struct buf *name)
{
	size_t nevents = (size_t)s->vocab->nevents;
	struct flat names = { .column = mem_zeroed(nevents + 1, sizeof *names.column) };
	const char *clash;

	for (size_t i = 0; i <= nevents; i++) {
		struct buf one = BUF_INIT;

		flat_name(&one, i < nevents ? s->vocab->events[i]->name : ITEMS_TABLE);
		names.column[names.n++].name = mem_copy(one.p, one.n);
		buf_release(&one);
	}
	clash = flat_clash(&names);
	if (clash)
		buf_str(name, clash);
	flat_release(&names);
	return clash != NULL;
}

static bool has_items(const struct flat_sql *s)
{
	return s->items_alone || !s->event;
}

/* Makes the event's columns, once; the name that two of them would share, or NULL. */
static const char *prepare(struct flat_sql *s, const struct event_def *event)
{
	struct flat *f = &s->of_event[event->id];

	if (f->n)
		return NULL;
	flat_of_event(f, event, WITH);
	return flat_clash(f);
}

static void write_name(struct buf *out, struct slice word)
{
	buf_char(out, '"');
	flat_name(out, word);
	buf_char(out, '"');
}

/* ---- the tables */

static const char *sql_type(const struct flat_column *c, char scratch[32])
{
	switch (c->type) {
	case TABLE_INT:
		return "INTEGER";
	case TABLE_DATE:
		return "DATE";
	case TABLE_FIXED:
		snprintf(scratch, 32, "NUMERIC(%d,%d)", c->source == FLAT_ITEM_VALUE || c->source == FLAT_ITEM_LOW
			|| c->source == FLAT_ITEM_HIGH ? ITEM_DIGITS : DIGITS, c->places);
		return scratch;
	default:
		if (c->source == FLAT_TIME)
			return "TIME";
		snprintf(scratch, 32, "VARCHAR(%d)", LINE_LONGEST);
		return scratch;
	}
}

static void create(const struct flat *f, struct buf *out, struct slice table, bool keyed)
{
	char scratch[32];

	buf_str(out, "CREATE TABLE ");
	write_name(out, table);
	buf_str(out, " (");
	for (size_t i = 0; i < f->n; i++) {
		const struct flat_column *c = &f->column[i];

		buf_printf(out, "%s\n\t\"%s\" %s", i ? "," : "", c->name, sql_type(c, scratch));
		if (c->always)
			buf_str(out, " NOT NULL");
		if (c->source == FLAT_ENTRY && keyed)
			buf_str(out, " PRIMARY KEY");
	}
	buf_str(out, "\n);\n");
}

const char *flat_sql_create(struct flat_sql *s, struct buf *out)
{
	for (int i = 0; i < s->vocab->nevents && !s->items_alone; i++) {
		const struct event_def *event = s->vocab->events[i];
		const char *clash;

		if (s->event && event != s->event)
			continue;
		clash = prepare(s, event);
		if (clash)
			return clash;
		create(&s->of_event[event->id], out, event->name, true);
	}
	if (has_items(s))
		create(&s->items, out, ITEMS_TABLE, false);
	return NULL;
}

/* ---- the rows */

static void write_string(struct buf *out, struct slice text)
{
	buf_char(out, '\'');
	for (size_t i = 0; i < text.n; i++) {
		if (text.p[i] == '\'')
			buf_char(out, '\'');
		buf_char(out, text.p[i]);
	}
	buf_char(out, '\'');
}

static void write_cell(struct buf *out, const struct flat_cell *cell)
{
	if (cell->type == TABLE_INT)
		buf_int(out, cell->number);
	else if (cell->type == TABLE_FIXED)
		buf_fixed(out, cell->number, (unsigned)cell->places);
	else
		write_string(out, cell->text);
}

/* INSERT INTO "table" ("column",...) VALUES (...); with the cells that are not absent. */
static void insert(const struct flat *f, struct buf *out, struct slice table, struct flat_row *row)
{
	const char *comma = "";

	buf_str(out, "INSERT INTO ");
	write_name(out, table);
	buf_str(out, " (");
	for (size_t i = 0; i < f->n; i++) {
		if (flat_cell(&f->column[i], row).absent)
			continue;
		buf_printf(out, "%s\"%s\"", comma, f->column[i].name);
		comma = ",";
	}
	buf_str(out, ") VALUES (");
	comma = "";
	for (size_t i = 0; i < f->n; i++) {
		struct flat_cell cell = flat_cell(&f->column[i], row);

		if (cell.absent)
			continue;
		buf_str(out, comma);
		write_cell(out, &cell);
		comma = ",";
	}
	buf_str(out, ");\n");
}

struct target {
	const struct flat *items;
	struct buf *out;
};

static void insert_item(struct flat_row *row, void *arg)
{
	const struct target *target = arg;

	insert(target->items, target->out, ITEMS_TABLE, row);
}

const char *flat_sql_insert(struct flat_sql *s, struct flat_row *row, struct buf *out)
{
	const struct event_def *event = row->line->event;

	if (!s->items_alone) {
		const char *clash = prepare(s, event);

		if (clash)
			return clash;
		insert(&s->of_event[event->id], out, event->name, row);
	}
	if (has_items(s))
		flat_each_item(row, insert_item, &(struct target){ &s->items, out });
	return NULL;
}
