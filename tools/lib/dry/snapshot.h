/*
 * snapshot.h - the state of a charge at an instant: the facts known by then, the verdict, the forecast.
 *
 * Nothing that came later has a part in it. A charge that was over by then is taken as it was when it
 * was emptied.
 */
#ifndef WITHY_SNAPSHOT_H
#define WITHY_SNAPSHOT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "dry/forecast.h"
#include "dry/model.h"
#include "dry/warnings.h"

struct dry_case;
struct dry_place;
struct history;

enum { DRY_WARNINGS_MOST = 64 };

/*
 * Doubtful: the rule holds by the last readings, but one of the warnings doubts them, or they hold it only if those
 * count that are too close to each other. Unknown: there is no rule, no probe, a probe without a reading where the
 * others do not show that the rule fails, a rule that so few probes can never satisfy, or one that fails by readings that are stale.
 */
enum dry_verdict { DRY_READY, DRY_NOT_READY, DRY_DOUBTFUL, DRY_UNKNOWN, DRY_EMPTIED, DRY_VERDICTS };

struct dry_snapshot {
	const struct dry_case *c;
	int64_t now_s;                /* of a past charge when it was emptied */
	double now;                   /* days since loading */
	bool open;                    /* it still held pieces */
	struct dry_charge charge;     /* what there was of it */
	struct dry_probe *known;      /* its probes, */
	struct dry_place *place;      /* and where they are */
	const struct dry_prior *prior;
	struct dry_fit fit;
	size_t *probe, n;             /* those in it that the rule looks at, as indexes of `known` */
	struct dry_run *run;          /* of each of them */
	struct dry_limits limits;
	/* where the house has a rule: */
	const struct dry_rule *rule;  /* NULL where it has none */
	unsigned fails;               /* readiness.h */
	double assures;               /* the share of pieces in the band; NAN where it cannot be said */
	size_t needed;                /* how many probes at the least could assure the share that the rule asks (dry_rule_probes) */
	bool never;                   /* it has fewer: no readings of theirs can satisfy the rule */
	bool stale;                   /* the last reading of its probes was over DRY_HORIZON days before: it foretells nothing of what comes */
	enum dry_verdict verdict;
	struct dry_warning warning[DRY_WARNINGS_MOST];
	size_t nwarnings;
	struct dry_forecast forecast; /* its `never` is NAN where there is none: not asked for, ready, over, not read, or stale */
	struct dry_forecast seen;     /* the same, of when it will be seen that the rule holds */
};

void dry_snapshot_init(struct dry_snapshot *s, struct history *history, const struct dry_case *c, int64_t now_s);

/* Works out the forecast, which takes longer than all the rest. */
void dry_snapshot_forecast(struct dry_snapshot *s);

/* The trials of that forecast; false, and none, where there is nothing to simulate. The caller releases them. */
bool dry_snapshot_trials(const struct dry_snapshot *s, struct dry_trials *trials);

void dry_snapshot_release(struct dry_snapshot *s);

/* Days after loading, of a forecast of `s`. Each is inside the date that it represents; without such a date it is infinite. */
struct dry_ready_days {
	double median, low50, high50, low80, high80, low90, high90;
};

struct dry_ready_days dry_ready_days(const struct dry_snapshot *s, const struct dry_forecast *f);

/* Whether a ruled probe came out before the others did. */
bool dry_snapshot_out_early(const struct dry_snapshot *s, const struct dry_probe *probe);

/* The verdict in words: "ready", "not ready", "doubtful", "unknown", "emptied". */
const char *dry_snapshot_verdict(const struct dry_snapshot *s);

#endif
