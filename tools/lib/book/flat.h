/*
 * flat.h - entries laid flat: typed columns, made from the vocabulary; and the normalised form.
 *
 * An event's columns have one row an entry, `items` one row an item of any event. wy-flat(1)
 * lists the columns and their contents, and defines the normalised form. A number is an
 * exact decimal in the base unit of its type, which its column's name ends in.
 */
#ifndef WITHY_FLAT_H
#define WITHY_FLAT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "table/table.h"

struct event_def;
struct field;
struct field_use;
struct line;

enum flat_source {
	/* of the entry */
	FLAT_ENTRY, FLAT_DATE, FLAT_TIME, FLAT_OFFSET, FLAT_EVENT, FLAT_SUBJECT, FLAT_REMARK, FLAT_FILE, FLAT_LINE,
	/* of one of its fields */
	FLAT_NUMBER, FLAT_LOW, FLAT_HIGH, FLAT_UNIT, FLAT_WORDS, FLAT_TOTAL, FLAT_ITEMS, FLAT_WRITTEN, FLAT_UNUSUAL,
	/* of one item */
	FLAT_ITEM_FIELD, FLAT_ITEM_INDEX, FLAT_ITEM_LABEL, FLAT_ITEM_MARK, FLAT_ITEM_VALUE, FLAT_ITEM_LOW, FLAT_ITEM_HIGH,
	FLAT_ITEM_UNIT, FLAT_ITEM_WORDS, FLAT_ITEM_WRITTEN
};

struct flat_column {
	char *name;
	enum flat_source source;
	const struct field_use *use; /* of a field's column */
	enum table_type type;
	int places;                  /* TABLE_FIXED: at most so many */
	bool always;                 /* never absent */
};

struct flat {
	struct flat_column *column;
	size_t n, cap;
};

enum { FLAT_WITH_ENTRY = 1, FLAT_WITH_FILE = 2 };

/* The columns of an event, or of items, with the running number of the entry and with the file. */
void flat_of_event(struct flat *f, const struct event_def *event, unsigned with);
void flat_of_items(struct flat *f, unsigned with);
void flat_release(struct flat *f);

/*
 * The name that two columns would share, capitals and small letters alike, or NULL: it comes from
 * the works' own words.
 */
const char *flat_clash(const struct flat *f);

/* A word of the vocabulary as a name of tables and columns: added to `out` with _ for -. */
void flat_name(struct buf *out, struct slice word);

/* One row: an entry, and for items one of them. */
struct flat_row {
	const struct line *line;
	const struct field *field;  /* NULL for an entry without fields */
	size_t item;                /* of the field, from 0 */
	uint64_t entry;             /* running number, from 1 */
	struct slice file;
	struct buf *words;          /* space for words that are not in the line as they are */
};

struct flat_cell {
	bool absent;
	enum table_type type;       /* TEXT and DATE: text; INT: number; FIXED: number / 10^places */
	struct slice text;          /* valid until the next cell */
	int64_t number;
	int places;
};

struct flat_cell flat_cell(const struct flat_column *column, struct flat_row *row);

/* Takes the items of the row's entry one after another; an entry without fields is one row. */
void flat_each_item(struct flat_row *row, void (*take)(struct flat_row *row, void *arg), void *arg);

/* Adds an entry in the normalised form, one line with its end; `file` is left out when empty. */
void flat_json(struct buf *out, const struct line *l, struct slice file);

#endif
