/*
 * dry_view_internal.h - private to the files of dry_view.h.
 */
#ifndef WITHY_DRY_VIEW_INTERNAL_H
#define WITHY_DRY_VIEW_INTERNAL_H

#include <stddef.h>
#include <stdint.h>

#include "dry/prior.h"
#include "dry/rate.h"
#include "dry/snapshot.h"

struct backtest;
struct dry_ask;
struct dry_case;
struct dry_rate_limit;
struct dry_snapshot;
struct table;

typedef void dry_view_put(const struct dry_ask *ask, const struct dry_snapshot *s, void *to);

/* Calls `put` with the snapshot of each charge that `ask` selects, and with `to`. Returns how many. */
size_t dry_view_each(const struct dry_ask *ask, bool forecast, dry_view_put *put, void *to);

/* ---- cells */

void dry_put_day(struct table *t, int32_t day);
void dry_put_word(struct table *t, struct slice word); /* absent where it is empty */

/* The day on which so many days after loading fall; absent for never. */
void dry_put_day_of(const struct dry_ask *ask, struct table *t, const struct dry_case *c, double days);

/* The day of the answer and the charge, with which rows begin. */
void dry_put_key(const struct dry_ask *ask, struct table *t, const struct dry_snapshot *s);

/* The two ends of the band of the rule of ready wood; absent without one. */
void dry_put_band(struct table *t, const struct dry_snapshot *s);

/* A band of moisture as the house file writes it: "20..30%". */
void dry_write_band(struct buf *text, const struct dry_rate_limit *limit);

/* The last readings of the probes that count. NAN or infinite where there are none. */
struct dry_readings_now {
	size_t n;
	double mean, driest, wettest, last_day;
};

struct dry_readings_now dry_readings_now(const struct dry_snapshot *s);

/* Writes "1 day" or "2.5 days". */
void dry_write_days(struct buf *text, double days);

/* Writes "not within 120 days: 38 %", which a range without an end has in it. */
void dry_write_beyond(struct buf *text, const struct dry_forecast *f);

/* ---- scores */

/* The finding: how far off, how often the ranges held, and beside the best rival; or why there is nothing to score. */
void dry_view_score_finding(const struct dry_ask *ask, const struct backtest *b, struct table *t);

/* ---- reasons */

/* The reasons of one charge, and what becomes of them. */
struct dry_reasons {
	const struct dry_ask *ask;
	const struct dry_snapshot *s;
	void (*put)(struct dry_reasons *r, const char *side, const char *what); /* takes `text`, */
	void *to;                  /* for it */
	struct buf text;           /* of the reason being written */
	size_t warnings;           /* how many of them are warnings or doubts */
};

/* Hands over the reason that was written, of the side "for", "against", "doubt", "warning" or "note", and begins a new one. */
void dry_put_reason(struct dry_reasons *r, const char *side, const char *what);

/* The label of a probe, by its index in the charge. */
struct slice dry_label_of(const struct dry_snapshot *s, size_t probe);

/* Each part adds its reasons: the rule and the verdict put all parts in their order. */
void dry_put_reasons(struct dry_reasons *r);
void dry_put_forecast(struct dry_reasons *r);
void dry_put_kiln_air(struct dry_reasons *r);
void dry_put_warnings(struct dry_reasons *r);

/* The word of a warning or doubt in the column `what`. */
const char *dry_sign_word(enum dry_sign sign);

/* Writes a warning of doubts.h to `text`. */
void dry_write_doubt(struct dry_reasons *r, const struct dry_warning *w);

/* Writes "; lower the RH to 47 % ...": what leads wood that settles at `level` in the air of the last `days` to the target. */
void dry_write_remedy(struct dry_reasons *r, double level, double days);

#endif
