/*
 * kept_snapshots.h - the snapshots of charges as of one instant, each worked out once for all answers of a run.
 */
#ifndef WITHY_KEPT_SNAPSHOTS_H
#define WITHY_KEPT_SNAPSHOTS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct dry_case;
struct dry_snapshot;
struct history;
struct kept_snapshot;

struct kept_snapshots {
	struct history *history;
	struct kept_snapshot *of;  /* each case of the history's charges, as it was last asked about */
	size_t n;
};

/* Of a history that lasts. */
void kept_snapshots_init(struct kept_snapshots *k, struct history *history);
void kept_snapshots_release(struct kept_snapshots *k);

/*
 * The snapshot of a case of the history's charges; with its forecast, if that is asked for (snapshot.h). It is kept until the same case
 * is asked about at another instant.
 */
const struct dry_snapshot *kept_snapshots_at(struct kept_snapshots *k, const struct dry_case *c, int64_t now_s, bool forecast);

/* Works out on every core what will be asked next, if that is many: of charges that are not over at that instant, their forecasts too. */
void kept_snapshots_expect(struct kept_snapshots *k, const struct dry_case *const *c, size_t n, int64_t now_s);

#endif
