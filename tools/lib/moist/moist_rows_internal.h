/*
 * moist_rows_internal.h - private to the files of moist_rows.h: the rows of a share of the readings, which a thread makes alone.
 *
 * All readings of one source are of one share (reading_root()), and so are those of a charge; a row may be in several. A thread
 * walks over all readings and takes its own.
 */
#ifndef WITHY_MOIST_ROWS_INTERNAL_H
#define WITHY_MOIST_ROWS_INTERNAL_H

#include "base/intern_compact.h"
#include "moist/line_error.h"
#include "moist/moist_rows.h"
#include "moist/readings.h"

#define MOIST_NONE UINT32_MAX /* no reading: the end of a list, and of a source that is past */

/* Of the number of a day: years before 0 would be below it. */
#define MOIST_DAY_BIAS ((int64_t)1 << 30)

/* What is read again and again; its last reading, or the list of those of its last moment, and the row that this is in. */
struct moist_source {
	uint32_t row, a, b;
	uint32_t side : 31, at_random : 1; /* side: depth or form, where these part sources, and the part of one at random */
	union {
		struct reading last;
		struct {
			int64_t utc_s;
			uint32_t first;
		} sample;
	};
};

struct moist_node {
	struct reading reading;
	uint32_t next;
};

struct moist_rule {
	uint32_t meter, text;
	const struct house_calibration *line;
	struct line_error error;
	double point;                 /* Student's, of an interval of 95 % */
	int64_t beyond;               /* readings that count beyond its pairs, and how far */
	double least_pct, most_pct;
};

/* The rule of a meter on a day, as it was looked up last. */
struct moist_met {
	bool known;
	uint32_t meter;
	int32_t day;
	size_t rule;
};

struct moist_share {
	const struct moist_ask *ask;
	const struct reading_facts *facts;
	size_t number, of;              /* which share, of how many */
	struct moist_row *row;
	struct hash_index row_index;    /* by key */
	size_t n, rows_cap;
	struct moist_source *source;
	struct hash_index source_index; /* by month or day and what parts sources there */
	size_t nsources, sources_cap;
	struct moist_node *node;        /* readings at random of a last moment */
	size_t nnodes, nodes_cap;
	uint32_t free_node;
	struct moist_rule *rule;        /* how readings were corrected, by meter and line */
	size_t nrules, rules_cap;
	struct moist_met met;
	struct intern_compact rules, sets, depths; /* texts of corrections; sets of them, as their numbers; depths */
	uint32_t *item;                 /* sources by row */
	struct buf text[2];
	int error;                      /* the errno of why readings cannot be read back, or 0 */
};

void moist_share_init(struct moist_share *m, const struct moist_rows *rows, size_t number, size_t of);
void moist_share_release(struct moist_share *m);

/* Takes the share's readings and counts what is last. */
void moist_share_fill(struct moist_share *m);

/* Adds what a row of the same key comes to. */
void moist_share_add_row(struct moist_share *m, struct moist_row *into, const struct moist_row *from);

/*
 * The readings of a source that count: its last one, or those of its last moment. `at` goes from
 * moist_first_counted() to MOIST_NONE.
 */
static inline uint32_t moist_first_counted(const struct moist_source *s)
{
	return s->at_random ? s->sample.first : 0;
}

static inline uint32_t moist_after_counted(const struct moist_share *m, const struct moist_source *s, uint32_t at)
{
	return s->at_random ? m->node[at].next : MOIST_NONE;
}

static inline const struct reading *moist_counted_at(const struct moist_share *m, const struct moist_source *s, uint32_t at)
{
	return s->at_random ? &m->node[at].reading : &s->last;
}

static inline uint16_t moist_times_counted(const struct moist_share *m, const struct moist_source *s, uint32_t at)
{
	return s->at_random ? m->node[at].reading.n : 1;
}

/* As the views see a reading. */
struct moist_value moist_share_value(struct moist_share *m, const struct reading *r, uint32_t piece);

/* The rules of a row, and how many; the text of the i-th. */
size_t moist_share_rules(const struct moist_share *m, const struct moist_row *row, const char **rules);
struct slice moist_share_rule(const struct moist_share *m, const char *rules, size_t i);

#endif
