/*
 * month_parts.h - the sections of a month's page in their order, for every form of it: titles, tables, remarks, and the commands that print
 * the same figures.
 */
#ifndef WITHY_MONTH_PARTS_H
#define WITHY_MONTH_PARTS_H

#include "month/month_lines.h"

/* A month, answered, with all that a page of it says. */
struct month_page {
	struct month *month;             /* asked about charges it learns, and its answers stay the same */
	const struct month_lines *lines;
	const struct diags *diags;       /* of wy-check, in order */
	const char *const *name;         /* what each file is called */
	struct slice book;               /* the options and files of every command: " -b" */
};

/* What a section is about: the order of the parts of a page with pictures. */
enum month_about { MONTH_KILNS, MONTH_STOCK, MONTH_GRADES, MONTH_ROOMS, MONTH_ABOUTS };

extern const struct month_about_words {
	const char *key, *title;
} month_about_words[];

struct month_part {
	enum month_about about;
	const char *key, *title;         /* see month_words() */
	void (*table)(const struct month *m, struct table *t);
	const char *commands;            /* a line each, without the book; see month_words() */
	void (*points)(const struct month *m, struct buf *out); /* what is to be said of its rows, a line each; or NULL */
	void (*notes)(const struct month *m, struct buf *out);  /* likewise, of the table */
};

enum { MONTH_PARTS = 13 };
extern const struct month_part month_parts[MONTH_PARTS];

/*
 * Adds words in which {span} is month or year, {name} is 2027-12 or 2027, {first} and {last} are the days of the month, {from} is the first day of the twelve months
 * before, {to} the last, and {book} are the options of the book.
 */
void month_words(const struct month_page *p, const char *words, struct buf *out);

/* The works and the month: "Ōkelvar Bats", "December 2027" or "2027"; "2027, up to 2027-06-30" where that is not its last day. */
struct slice month_works(const struct month *m);
void month_title(const struct month *m, struct buf *out);

/* What needs attention, a line each; none where all is well. */
void month_attention(const struct month_page *p, struct buf *out);

/* What the reader of any page must know, a line each. */
void month_cautions(struct buf *out);

#endif
