/*
 * mapping.h - what a mapping file says of an instrument's export: how it is written, and which of
 * its columns become which entries of the book. The file is described by mapping(5).
 *
 * A mapping is read-only once it is read; several readers may share it. It owns all that its
 * slices point to. Columns are collected in one table, so that a reader resolves each once, when
 * it has seen the headings.
 */
#ifndef WITHY_MAPPING_H
#define WITHY_MAPPING_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/csv.h"
#include "intake/cell_number.h"
#include "time/time_format.h"

struct event_def;
struct field_use;
struct vocab;
struct yaml_doc;
struct yaml_error;
struct zone;

struct map_column {
	struct slice name;           /* its heading; empty if it is given by number */
	size_t number;               /* from 1; 0 if it is given by its heading */
	size_t line, col;            /* where the mapping names it */
};

struct map_pair {
	struct slice from, to;
};

struct map_list {
	struct slice *v;
	size_t n;
};

/* What is read from a cell. */
struct map_cell {
	int column;                  /* in mapping.column */
	int unit;                    /* UNIT_..., or -1: the cell says it */
	int unit_column;             /* in mapping.column, or -1: the cell of this column says it */
	struct cell_change change;   /* the point moves, rounding */
	int decimals;                /* digits after the decimal mark, or -1 */
	struct map_list missing;     /* also means: no reading */
	struct map_pair *word;       /* the meaning of some cells */
	size_t nwords;
};

/* One item of a value: from a cell, or written in the mapping. */
struct map_item {
	struct slice label, text;
	bool fed;
	struct map_cell cell;
};

struct map_field {
	const struct field_use *use;
	struct map_item *item;
	size_t n;
	bool fed;                    /* an item of it is */
};

/* A row is for the entry when the cell is one of these. */
struct map_when {
	int column;
	struct map_list is;
};

struct map_entry {
	const struct event_def *event;
	struct map_item subject;
	bool open;                   /* it has no subject until mapping_settle() */
	struct map_when *when;
	size_t nwhen;
	struct map_field *field;
	size_t nfields;
	size_t line, col;
};

enum map_clock {
	CLOCK_WALL,                  /* the works' own clock */
	CLOCK_ZONE,                  /* mapping.zone, one offset or a zone with summer time */
	CLOCK_HEADER,                /* the offset is in the lines before the rows */
	CLOCK_COLUMN,                /* the offset is in a column */
	CLOCK_STAMP,                 /* the time's own form holds it */
};

enum map_offset { OFFSET_QUARTERS, OFFSET_HOURS, OFFSET_MINUTES, OFFSET_SECONDS, OFFSET_TEXT };

enum { MAP_TIME_COLUMNS = 3, MAP_ENTRIES = 64 };

struct mapping {
	struct csv_style style;
	struct cell_style numbers;
	size_t skip;                 /* lines before the headings */
	struct slice header_has;     /* instead of it: the headings are the first row with this cell */
	size_t header;               /* rows of headings */
	struct map_list missing, trailer;
	struct slice sheet;          /* of a workbook; empty: its only one */
	uint32_t first_row, first_col; /* of a sheet: the table's first cell, from 1 */

	int time_column[MAP_TIME_COLUMNS];
	size_t ntime;
	struct time_format form;
	struct time_words words;
	enum map_clock clock;
	struct zone *zone;
	int offset_column;
	enum map_offset offset_in;
	int64_t interval_s;          /* 0: learn it; -1: do not watch */

	struct map_entry *entry;
	size_t nentries;
	struct map_column *column;
	size_t ncolumns, column_cap;

	struct yaml_doc *doc;
	void **owned;                /* what mapping_release() frees */
	size_t nowned, owned_cap;
};

/*
 * Reads a mapping from the bytes of its file; events and fields are those of `vocab`, which must
 * outlive it. False with *error filled; then nothing has to be released.
 */
bool mapping_read(struct mapping *m, struct slice bytes, const struct vocab *vocab, struct yaml_error *error);
void mapping_release(struct mapping *m);

/*
 * Gives the entries without a subject this one, and those that may have a meter and have none this meter;
 * both may be empty. Both must outlive the mapping. False with *error filled when an entry still has no
 * subject, or all had one although `place` is given.
 */
bool mapping_settle(struct mapping *m, struct slice place, struct slice meter, struct yaml_error *error);

/* Whether `text` fits `glob`, in which each * matches any characters. */
bool map_glob(struct slice glob, struct slice text);

bool map_list_has(const struct map_list *list, struct slice text);

/* The meaning of the cell's text by the mapping's `words`, or NULL. */
const struct map_pair *map_cell_word(const struct map_cell *c, struct slice text);

#endif
