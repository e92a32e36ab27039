/*
 * page.h - the entries of one day, and how they are written.
 *
 * Entries are said in the order in which things happened. At the day's end the page is
 * proved and written:
 *   - every pick gets as few words as name one bucket among all that held pieces at any
 *     moment of that day, so that no reading of the day finds two;
 *   - for every bucket with an entry without a time: whichever order a reader gives the
 *     day, nothing may go short, or there must be one plain reading (untimed arrivals
 *     early, untimed departures late).
 * A page that fails stops the generator.
 */
#ifndef SAMPLE_PAGE_H
#define SAMPLE_PAGE_H

#include "shelf.h"
#include "base/text.h"

/* The words that pick a bucket. */
enum {
	W_LOT = 1,
	W_FORM = 2,
	W_TYPE = 4,
	W_GRADE = 8,
	W_AT = 16,
	W_ALL = 31
};

struct field_text {
	int order;  /* where the vocabulary lists it */
	char *text; /* name=value */
};

struct line {
	int minute;            /* UNTIMED or from midnight */
	const char *offset;    /* "+12:00" after the time; NULL: none */
	struct buf head;       /* EVENT SUBJECT */
	struct field_text *fields;
	size_t n, cap;
	bool picks;
	struct key pick;
	unsigned said;         /* what the event or its subject says already */
	unsigned wanted;       /* what this writer always writes */
	struct buf remark;
};

struct effect {
	size_t line;
	struct key key;
	int n; /* below 0: taken */
};

struct page {
	int day;
	struct shelf *shelf;
	struct line **lines;
	size_t n, cap;
	struct effect *effects;
	size_t effects_n, effects_cap;
	size_t plain; /* buckets that needed the plain reading, all days together */
};

void page_open(struct page *p, int day);

/* A new entry. Valid until the page is closed. */
struct line *page_say(struct page *p, int minute, const char *event, const char *subject);

/* A field; those of a line are written in the order in which the vocabulary lists them. */
void line_add(struct line *l, const char *name, const char *fmt, ...)
	__attribute__((format(printf, 3, 4)));

void line_remark(struct line *l, const char *fmt, ...) __attribute__((format(printf, 2, 3)));

/* The line picks `k`. */
void line_pick(struct line *l, struct key k, unsigned said, unsigned wanted);

/* What the newest entry does to the stock. */
void page_take(struct page *p, struct key k, int n);
void page_give(struct page *p, struct key k, int n);

/* Proves the day and adds its text to `out`. */
void page_close(struct page *p, struct buf *out);

void page_release(struct page *p);

/* "LABEL:n" items joined by commas; an item of nothing is left out. */
struct items {
	char text[160];
	int sum;
};

void items_add(struct items *it, const char *label, int n);

#endif
