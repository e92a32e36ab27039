/*
 * intake_internal.h - private to intake_*.c.
 *
 * intake_stamp.c     instants as the book writes them
 * intake_record.c    entries in the making
 * intake_message.c   notes and faults
 * intake_cells.c     a row's cells, decimal commas among them
 * intake_values.c    cells to values
 * intake_entries.c   values to records
 * intake_headings.c  what is before the rows, and which column is which
 * intake_watch.c     warnings of readings that are not plausible
 * intake_sections.c  header rows among the rows
 * intake_known.c     what the book has
 * intake_series.c    records to series: repeats, gaps; gathering and writing
 * intake_formats.c   rows that are not those of a text file: workbooks, JSON Lines
 * intake_clock.c     wall times to instants, by the sequence of rows where need be
 * intake_rows.c      one row after the other
 * intake.c           the run
 */
#ifndef WITHY_INTAKE_INTERNAL_H
#define WITHY_INTAKE_INTERNAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/intern.h"
#include "book/parse.h"
#include "intake/dedup.h"
#include "intake/intake.h"
#include "intake/mapping.h"
#include "intake/plausible.h"
#include "time/cadence.h"
#include "time/zone.h"

struct decimal_comma;
struct json_rows;
struct workbook;
struct decimal_comma_column;

/* The place of a row. */
struct row_place {
	uint32_t file, col;
	uint64_t line, last;
};

/* An unfinished entry. The subject is first in `words`, the fields' values after it. */
struct record {
	int64_t t_s;                 /* the instant; of an untimed one the midnight of its wall clock */
	struct stamp stamp;
	const struct map_entry *entry;
	struct buf words;
	size_t subject_n, nfields;
	struct {
		const struct field_use *use;
		size_t at, n;        /* in words */
	} field[USE_MOST];
	uint32_t map;
	struct row_place place;
};

/* The records of one row, before their moment is known. */
struct row_records {
	struct record *rec[MAP_ENTRIES];
	size_t n;
	struct row_place place;
	int64_t wall_s;
};

/* Rows that follow each other in time: those about one sensor. */
struct sequence {
	uint64_t key;
	bool have;
	int64_t last_t, last_wall, step_s; /* step_s < 0: the newest row comes first */
	/* in an hour that passes twice */
	int64_t change_s;            /* when the clock was set; 0: not in one */
	struct row_records *held;    /* its rows */
	size_t nheld, held_cap;
};

/* From the first to the last reading of a series in one export. */
struct span {
	struct cadence_mark from, to;
	size_t n;
};

/* When the book has readings of one event about one subject. */
struct known_times {
	int64_t *t_s;
	size_t n, cap;
	bool sorted;
};

struct series {
	struct cadence cadence;
	struct plausible_sensor sensor[PLAUSIBLE_SENSORS];
	uint32_t subject;            /* in run->ids */
	uint64_t epoch;
	struct span *span;           /* by export; the last one is being read */
	size_t nspans, spans_cap;
	struct known_times *known;   /* the book's; NULL: none */
	bool among_noted;            /* a reading of this export is among those of another */
	/* a file whose newest row is first is watched backwards */
	struct cadence_mark early[2];
	size_t nearly;
	int way;                     /* 0: not known yet; -1: backwards */
};

enum phase { PHASE_TITLE, PHASE_HEADING, PHASE_ROWS };

struct source {
	struct intake *run;
	const struct mapping *m;
	uint32_t map, file;
	struct csv csv;
	bool looked;                 /* what the file is has been found out: */
	struct workbook *workbook;   /* a workbook, or NULL */
	struct json_rows *json;      /* JSON Lines, or NULL */
	struct buf bytes;            /* of the workbook */
	enum phase phase;
	size_t nskipped, nheading;
	/* headings: of each row, and joined */
	struct buf heading_text;
	struct heading { size_t at, n, row, col; } *heading;
	size_t nheadings, headings_cap;
	uint64_t *front;             /* hashes of the lines before the rows */
	size_t nfront, front_cap;
	uint64_t first_heading;      /* hash of the first header row */
	uint64_t foreign_line;       /* of a later one that the mapping does not fit; 0: none */
	uint64_t loose_line;         /* since the last reading: a row that is none, and was not met before the first */
	size_t front_seen;           /* since then: lines that were */
	size_t ncols;                /* columns that have a heading; 0 when there are none */
	size_t *at;                  /* by mapping column: index of the cell */
	bool *unit_noted, *missing_noted; /* by mapping column */
	bool has_offset;             /* CLOCK_HEADER: found */
	int32_t offset_s;
	const struct zone *zone;     /* by which wall times are resolved, or NULL */
	struct zone_memo memo, works_memo;
	uint64_t epoch;
	int64_t change_noted;
	bool order_noted;
	int32_t last_offset;         /* of the last row that bore one */
	/* the row in hand */
	const struct csv_cell *cell;
	size_t ncells;
	struct decimal_comma *fit;             /* where the comma is decimal mark too */
	struct decimal_comma_column *commas_column;
	struct buf scratch, time_text, line_text, unit_text;
	struct row_place place;
	bool row_wrong;              /* something of it could not be read; `wrong` says what */
	uint32_t wrong_col;
	struct buf wrong;            /* what is wrong with its first bad cell */
	struct sequence **sequence;  /* in the order in which they came */
	size_t nsequences, sequences_cap;
	struct hash_index sequence_index; /* by key */
	/* records whose moment is known, first in first out */
	struct record **ready;
	size_t first, nready, ready_cap;
	bool ended, failed;
};

struct intake {
	const struct vocab *vocab;
	const struct zone *works;
	intake_note_fn *note;
	void *arg;
	struct intake_counts counts;
	struct source **source;
	size_t nsources, sources_cap;
	struct intern ids;
	struct { struct buf name; uint32_t col; } *sheet; /* by file: of a workbook its sheet, and the table's first column */
	size_t nsheets, sheet_cap;
	struct series **series;      /* by id of its name in ids; NULL where it is another's */
	size_t nseries, series_cap;
	struct dedup seen;            /* by series and instant */
	struct dedup known;           /* of the book: by event, subject, field and instrument, and instant */
	struct known_times **times;  /* by id of event and subject in ids; NULL: none */
	size_t ntimes, times_cap;
	struct zone_memo known_memo;
	const struct house *house;   /* what is plausible; NULL: nothing is watched */
	struct cadence_finds finds;
	uint32_t *find_subject;      /* of each find */
	size_t find_cap;
	uint64_t epochs;
	struct record **spare;
	size_t nspare, spare_cap;
	struct record **gathered;    /* records of one moment */
	size_t ngathered, gathered_cap;
	struct diags diags;
	struct parser parser;
	struct buf text;             /* of the note in hand */
	int error;
	uint32_t error_file;
};

/* --- the modules, from the lowest to the highest --- */

/* 2^64 over the golden ratio: a product with it spreads keys (Knuth, volume 3, 6.4). */
#define HASH_FACTOR UINT64_C(0x9e3779b97f4a7c15)

/* For messages: the length and the bytes of a slice, cut so that the reason always fits. */
enum { SHOWN_MOST = 40 };
#define SHOWN(s) (int)((s).n < SHOWN_MOST ? (s).n : SHOWN_MOST), (s).p

/* intake_stamp.c: the stamp of a wall time, and how the book writes an instant. */
struct stamp intake_stamp_wall(int64_t wall_s);
struct stamp intake_stamp_at(struct source *s, int64_t t_s, int32_t offset_s);
void intake_stamp_text(struct buf *out, const struct stamp *stamp);
/*
 * The works' clock, which is that of the mapping's zone where no house says it; NULL: not known. The
 * instant of a stamp by it (NULL: the wall time); an untimed stamp is its midnight, a doubled hour its
 * second pass.
 */
const struct zone *intake_works_clock(const struct zone *works, const struct mapping *m);
int64_t intake_stamp_instant(const struct stamp *stamp, const struct zone *clock, struct zone_memo *memo);
void intake_span_text(struct buf *out, int64_t seconds);    /* 3 h 20 min; without a sign */

/* intake_record.c: records are used again; all of a run are freed with it. */
struct record *intake_record_new(struct intake *run);
void intake_record_drop(struct intake *run, struct record *rec);
void intake_records_free(struct record **rec, size_t n);
struct slice intake_record_subject(const struct record *rec);
struct slice intake_record_value(const struct record *rec, size_t i);
void intake_record_write(const struct record *rec, const struct stamp *stamp, struct buf *out);

/* intake_message.c: gives a note about a place, with the text in run->text, which is emptied. */
void intake_say(struct intake *run, enum note_kind kind, enum diag_level level, struct row_place place);
/* The same about the row in hand. Always true. */
bool intake_say_row(struct source *s, enum note_kind kind, const char *text);
/* Where to write what is wrong with a cell of the row in hand (SIZE_MAX: with the row). The first is kept. */
struct buf *intake_fault(struct source *s, size_t index);
/* Gives the fault that was kept: of a whole row, or of a cell of a row that could else be read. */
void intake_say_fault(struct source *s, enum note_kind kind);
bool intake_say_unreadable(struct source *s);               /* the row; always true */
void intake_column_name(const struct source *s, int column, struct buf *out);

/* intake_cells.c: a cell as UTF-8 without blanks at its ends; empty where the row has no such cell. */
struct slice intake_cell_text(struct source *s, size_t index, struct buf *scratch);
struct slice intake_column_text(struct source *s, int column);
/* The time: its one cell, or those of date and time with a blank between. */
struct slice intake_time_text(struct source *s);
size_t intake_used_cells(const struct csv_row *row);        /* without empty cells at the end */
/* Takes the row's cells. False with the fault noted if they cannot be separated. */
bool intake_take_cells(struct source *s, const struct csv_row *row);

/* intake_values.c: adds a field to the record, unless no cell of it holds anything. True if one does. */
bool intake_add_field(struct source *s, struct record *rec, const struct map_field *f);

/* intake_entries.c: makes the row's records. Returns the key of its sequence; *wanted: an entry is for it. */
uint64_t intake_make_records(struct source *s, const struct time_reading *t, struct row_records *row, bool *wanted);

/* intake_headings.c: lines before the headings, and headings. False when the row is neither. */
bool intake_title_row(struct source *s, const struct csv_row *row);
bool intake_heading_row(struct source *s, const struct csv_row *row);
/* Whether a row repeats one of them: two exports are in one file. */
bool intake_is_front(const struct source *s, const struct csv_row *row);
/* Finds the columns by a later header row. False with *wrong filled, and nothing changed, if it lacks one. */
bool intake_headings_again(struct source *s, const struct csv_row *row, struct buf *wrong);
/* Whether the text is one of the headings, or that of the mapping's column. */
bool intake_is_heading(const struct source *s, struct slice text);
bool intake_is_heading_of(const struct source *s, int column, struct slice text);

/* intake_sections.c: a header row among the rows, the first one or another. False when the row is none. */
bool intake_section_row(struct source *s, const struct csv_row *row, bool trailer);

/* intake_entries.c: whether the record has all that its event needs. */
bool intake_is_complete(const struct record *rec);

/* intake_known.c: a hash of a value, the same for 18.4C and 18.40C. */
uint64_t intake_value_hash(const struct field_use *use, struct slice text);
/* The same by the text alone, which is faster: of two units it does not know that they are equal. */
uint64_t intake_text_hash(const struct field_use *use, struct slice text);
/* Takes the fields off that the book has. True if nothing is left to enter; what differs is reported. */
bool intake_drop_known(struct source *s, struct record *rec);
/* The book's times of the record's event and subject, or NULL; the next one before or after an instant that the book lacks. */
struct known_times *intake_known_times(struct intake *run, const struct record *rec);
bool intake_known_beside(struct known_times *times, int64_t t_s, bool before, int64_t *out_s);
void intake_known_release(struct intake *run);

/* intake_watch.c: warns of what is not plausible in a record of a series. */
void intake_watch_record(struct source *s, struct series *series, const struct record *rec);

/* intake_series.c: the records of a row, whose moments are known: repeats, or put into the queue. */
void intake_row_deliver(struct source *s, struct row_records *row);
/* Adds a record to those of its moment; writes out what was gathered when the moment is another. */
void intake_gather(struct intake *run, struct record *rec, struct buf *out);
void intake_gather_flush(struct intake *run, struct buf *out);
/* The last reading was taken: gives the notes that were held back, in the words of `s`. */
void intake_series_end(struct source *s);

/* intake_clock.c: gives the records their moment, now or when a later row shows it. */
void intake_row_time(struct source *s, struct row_records *row, uint64_t key, const struct time_reading *t);
/* The source has ended, or starts again: rows held are settled. */
void intake_sequences_settle(struct source *s);
void intake_sequences_release(struct source *s);

/*
 * intake_formats.c: the next row of a source; NULL at its end, and with s->failed or csv.error set when it
 * cannot be read. A row of JSON Lines is its line: intake_json_cells() gives its cells, or false with the fault
 * noted.
 */
const struct csv_row *intake_next_row(struct source *s);
bool intake_json_cells(struct source *s, const struct csv_row *row, struct csv_row *cells);
void intake_formats_release(struct source *s);

/* intake_rows.c: the next row of a source. False at its end. */
bool intake_source_row(struct source *s);
void intake_source_release(struct source *s);

#endif
