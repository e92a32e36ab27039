/*
 * time_format.h - dates and times as instruments and spreadsheets write them.
 *
 * A form is a pattern of tokens and of the characters between them:
 *
 *	YYYY YY   the year; two digits are 1970 to 2069
 *	MM MONTH  the month as a number, or as a word of many languages
 *	DD        the day of the month
 *	WEEKDAY   a word to pass over: the day of the week
 *	hh mm ss  a fraction of a second after ss or mm is dropped; 24:00 ends a day
 *	HALF      the half of the day: AM, p. m., nachm. and so on; hh is then 1 to 12
 *	OFFSET    an offset: Z, +12:00, +1200, GMT+12, or a word of the caller's own
 *	[ ... ]   may be left out; hh, mm, ss left out are 0
 *	' ... '   these characters as they are
 *
 * or one of the words `serial`, `serial-1904` (days of a spreadsheet), `unix`, `unix-ms`.
 * A number has one or two digits, and exactly two directly beside another. A blank
 * matches any blanks, no-break spaces and writing-direction marks among them.
 */
#ifndef WITHY_TIME_FORMAT_H
#define WITHY_TIME_FORMAT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { TIME_FORMAT_MOST = 80 };

struct time_format {
	struct {
		uint8_t kind;
		char literal;
		uint8_t close;   /* of `[`: where its `]` is */
	} op[TIME_FORMAT_MOST];
	size_t n;
	uint8_t number;      /* NUMBER_...: a count of days or seconds, or 0 */
	bool timed, seconds; /* it has hh; it has ss, or counts in seconds */
	bool offset;         /* it has OFFSET, or is Unix time */
};

/* Words of a mapping's own, looked at before the built-in ones. `month` has 12 or 0 rows. */
struct time_words {
	struct slice *am, *pm, *month;
	size_t nam, npm, nmonth;
	struct slice *zone;          /* words that OFFSET may be: CET */
	int32_t *zone_s;             /* the offset of each */
	size_t nzone;
};

struct time_reading {
	int32_t day;         /* days since 1970-01-01 */
	int32_t second;      /* of the day; 0 where the form has no time */
	bool has_offset;
	int32_t offset_s;    /* east of Greenwich */
};

enum timeform_fault {
	TIME_FORMAT_OK,
	TIME_FORMAT_MALFORMED,  /* does not look like the form */
	TIME_FORMAT_NO_DAY,     /* the day does not exist */
	TIME_FORMAT_NO_TIME,    /* the time of day does not exist */
};

/* False with *why filled when the form is none, or has no full date. */
bool time_format_compile(struct time_format *f, struct slice form, const char **why);

/*
 * Reads all of `text` (UTF-8). On a fault *at (may be NULL) is how far it was understood. A
 * serial number may have a decimal comma.
 */
enum timeform_fault time_format_read(const struct time_format *f, const struct time_words *words,
	struct slice text, struct time_reading *t, size_t *at);

/* How many bytes of `s` are blanks of any kind. */
size_t time_format_blanks(struct slice s);

/* A word for the half of the day at the start of `s`: its bytes, and 0 or 12 in *half; or 0. */
size_t time_format_half(const struct time_words *words, struct slice s, int *half);

/* The name of a month at the start of `s`: its bytes, and 1 to 12 in *month; or 0. */
size_t time_format_month(const struct time_words *words, struct slice s, int *month);

/* Z, UTC, GMT+12, +1200, -03:30 at the start of `s`: how many bytes; 0 where there is none. */
size_t time_format_offset(struct slice s, int32_t *offset_s);

/* Looks for GMT or UTC and an offset anywhere in `s`. */
bool time_format_find_offset(struct slice s, int32_t *offset_s);

#endif
