/*
 * guess_internal.h - what the parts of the guess share; for guess*.c alone.
 *
 * guess.c           the flow: separator, where the rows begin, looking through them
 * guess_time.c      which columns hold the time, and in which forms it may be written
 * guess_columns.c   what the other columns are
 * guess_write.c     the proposal: its entries, and the whole
 * guess_write_file.c, guess_write_time.c    its other parts
 * guess_yaml.c      how they are written
 * guess_words.c     texts and how often each was seen
 * guess_question.c  what the data leave open
 */
#ifndef WITHY_GUESS_INTERNAL_H
#define WITHY_GUESS_INTERNAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/csv.h"
#include "base/utf8.h"
#include "intake/decimal_comma.h"
#include "intake/guess.h"
#include "intake/missing.h"
#include "time/time_format.h"

struct guess_wish;
struct vocab;

enum {
	GUESS_FORMS = 8,       /* readings of one date: three orders, with and without a time */
	GUESS_WORDS = 64,      /* texts kept of a column; a column with more is not a choice among words */
	GUESS_ROWS = 300,      /* first rows that are kept, to look for the time and the decimal mark */
	GUESS_ZONES = 8,       /* words for offsets; a clock has two */
	GUESS_FRONT = 60,      /* of them, how many may be before the first reading */
	GUESS_COLUMNS = 128,   /* as many as decimal commas are sought in */
	GUESS_FORM_TEXT = 96,  /* bytes of a form: longer than the time that it is made of */
	GUESS_TIME_TEXT = 60,  /* bytes of a time; a longer text is a sentence */
	GUESS_QUOTED = 60      /* bytes of a heading that a question quotes */
};

/* Whether `part` is at least `pct` per cent of `whole`. */
static inline bool guess_share(uint64_t part, uint64_t whole, unsigned pct)
{
	return part * 100 >= whole * pct;
}

/* A row that is kept, with its cells as UTF-8. */
struct guess_row {
	struct slice *cell;
	size_t n, used;              /* used: without empty cells at the end */
	uint64_t line;
	char *bytes;
};

/* One way to read the time, and what comes of it. */
struct guess_form {
	char text[GUESS_FORM_TEXT];
	struct time_format form;
	uint64_t read;               /* rows that it reads */
	bool have, fresh;            /* fresh: the next row is the first of another export in the file */
	int64_t last_s, least_s, most_s, step_s;
	int64_t inner_s;             /* the last step within a day */
	bool inner, even;            /* the last step was one; two after each other were alike */
	uint64_t midnights;          /* that the readings go on over without a pause */
	bool late;                   /* an hour is 0 or past 12 */
	uint64_t never, twice;       /* by the works' clock: rows in an hour it skipped, in one it repeated */
	bool back_there;             /* the hour repeats where the works' clock repeats it */
	double way_s;                /* the sum of all steps, forth and back */
	uint64_t back, hour_back;    /* steps back; of those of one hour */
	struct time_reading first;
	struct buf first_text;
};

struct guess_time {
	size_t column[3], ncolumns;
	struct guess_form form[GUESS_FORMS];
	size_t nforms;
	uint64_t rows, unread;
	bool several, by_days;       /* there was a choice; midnights made it */
	struct slice zone[GUESS_ZONES]; /* words for offsets, as they came */
	int32_t zone_s[GUESS_ZONES]; /* by the works' clock; 0 at first */
	uint8_t zone_how[GUESS_ZONES]; /* 0: not seen at a certain hour; 1: one offset; 2: several */
	size_t nzones;
	struct buf zone_text[GUESS_ZONES];
	bool midnights;              /* the time is left out at midnight */
};

struct guess_word {
	struct buf text;
	uint64_t n;
};

struct guess_words {
	struct guess_word word[GUESS_WORDS];
	size_t n;
	bool more;                   /* there were others */
};

enum guess_role {
	ROLE_NONE, ROLE_TIME, ROLE_TEMP, ROLE_RH, ROLE_WETBULB, ROLE_DEWPOINT, ROLE_MC, ROLE_WOOD, ROLE_MASS, ROLE_OFFSET,
	ROLE_SENSOR, ROLE_QUANTITY, ROLE_VALUE, ROLE_UNIT
};

struct guess_column {
	struct buf heading;
	uint64_t filled, numbers, missing, points, commas, wholes;
	size_t decimals_least, decimals_most;
	uint64_t long_numbers;       /* with more digits than the book can keep */
	size_t places;               /* after the point, that matter in those */
	uint64_t in_one, above_one;  /* numbers above 0 up to 1, and up to 100 */
	uint64_t kelvin;             /* numbers of the size of kelvins */
	double least, most;          /* of the numbers */
	struct guess_words texts;    /* texts that are not numbers and do not mean "no reading" */
	struct guess_words odd;      /* numbers below 0 or above 100 */
	struct guess_words units;    /* after numbers */
	struct guess_words values;   /* all texts of the column, if they are few */
	enum guess_role role;
	struct slice unit;           /* the book's unit, or empty */
	const char *why_unit;
	struct slice rest;           /* of the heading, without the words for the quantity */
	struct buf rest_text;
};

struct guess {
	struct csv csv;
	const struct vocab *vocab;
	const struct guess_wish *wish;
	struct buf *out, *questions;
	bool open;
	bool sep_line, ascii, high_controls;
	struct guess_row *row;       /* the first rows */
	size_t nrows, rows_cap;
	size_t skip, header, first;  /* lines before the headings, rows of them, index of the first data row */
	size_t ncols;
	char decimal;
	struct slice thousands;
	bool comma_mess, offset_in_front;
	int decimals;                /* with comma_mess: what each number has, or -1 */
	struct decimal_comma fit;
	struct decimal_comma_column commas_column[DECIMAL_COMMA_COLUMNS];
	uint64_t data_rows, unfit;
	struct guess_time time;
	struct guess_column column[GUESS_COLUMNS];
	struct guess_words trailers, firsts; /* beginnings of rows without a time, and of those with one */
	struct guess_words pending;  /* rows without a time since the last reading */
	uint64_t pending_line;
	size_t front_seen;
	bool foreign;                /* after another header row */
	uint64_t other_header, other_front; /* line of a header row, of lines before one, that are not the first ones */
	double separator_share;
	/* long form: which unit goes with which quantity */
	size_t sensor, quantity, value, unit;  /* columns, SIZE_MAX none */
	bool has_degrees;            /* the unit's column has C and F, for temperatures without a unit */
	bool unit_of_all;            /* the cell in hand takes its unit from the unit's column */
	struct guess_words quantity_unit;      /* "QUANTITY\tUNIT" */
};

/* guess_words.c: counts the texts of a column. */
void guess_word_add(struct guess_words *words, struct slice text);
void guess_words_release(struct guess_words *words);

/* guess_question.c: adds a question; something is open then. */
void guess_ask(struct guess *g, const char *fmt, ...) __attribute__((format(printf, 2, 3)));

/* guess_time.c: looks for the time in row `at` and those after it. False when there is none. */
bool guess_find_time(struct guess *g, size_t at);
/* Takes a row's time under every form. False when none reads it. */
bool guess_take_time(struct guess *g, const struct slice *cell, size_t n);
/* Drops the forms that the rows rule out. */
void guess_settle_forms(struct guess *g);

/* The words that times of this file may hold. */
struct time_words guess_time_words(const struct guess *g);

/* guess_columns.c */
/* Why a column is not written as a choice, or NULL: there is none. It may use `text`. */
const char *guess_column_doubt(const struct guess *g, const struct guess_column *c, struct buf *text);
/* Whether no reading can be this number of the column's. */
bool guess_is_sentinel(const struct guess_column *c, struct slice number);
bool guess_names_date(struct slice heading);
bool guess_names_zone(struct slice heading);
void guess_take_columns(struct guess *g, const struct slice *cell, size_t n);
void guess_settle_columns(struct guess *g);

/*
 * guess_yaml.c: a text in double quotes, with escapes for what could act on a terminal or break the
 * line; a remark after what was written since out->n was `start`; a column by its heading or number.
 */
void guess_put_quoted(struct buf *out, struct slice s);
void guess_put_remark(struct buf *out, size_t start, const char *text);
void guess_put_column(struct guess *g, size_t c);

/* guess_write_file.c, guess_write_time.c: the parts `file` and `time` of the proposal. */
void guess_put_file(struct guess *g);
void guess_put_time(struct guess *g);

/* guess_write.c: the proposal. */
void guess_write(struct guess *g);

#endif
