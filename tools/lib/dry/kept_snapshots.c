#include "dry/kept_snapshots.h"

#include <stdlib.h>

#include "base/parallel.h"
#include "dry/history.h"
#include "dry/snapshot.h"

struct kept_snapshot {
	struct dry_snapshot *snapshot; /* NULL: none yet */
	int64_t now_s;                 /* that was asked about; that of the snapshot is earlier where the charge was over */
	bool forecast;
};

void kept_snapshots_init(struct kept_snapshots *k, struct history *history)
{
	*k = (struct kept_snapshots){ .history = history, .n = history->charges->n };
	k->of = mem_zeroed(k->n, sizeof *k->of);
}

static void drop(struct kept_snapshot *kept)
{
	if (kept->snapshot)
		dry_snapshot_release(kept->snapshot);
	free(kept->snapshot);
	*kept = (struct kept_snapshot){ NULL, 0, false };
}

void kept_snapshots_release(struct kept_snapshots *k)
{
	for (size_t i = 0; i < k->n; i++)
		drop(&k->of[i]);
	free(k->of);
	*k = (struct kept_snapshots){ 0 };
}

const struct dry_snapshot *kept_snapshots_at(struct kept_snapshots *k, const struct dry_case *c, int64_t now_s, bool forecast)
{
	struct kept_snapshot *kept = &k->of[c - k->history->charges->cases];

	if (!kept->snapshot || kept->now_s != now_s) {
		drop(kept);
		kept->snapshot = mem_array(1, sizeof *kept->snapshot);
		kept->now_s = now_s;
		dry_snapshot_init(kept->snapshot, k->history, c, now_s);
	}
	if (forecast && !kept->forecast)
		dry_snapshot_forecast(kept->snapshot);
	kept->forecast |= forecast;
	return kept->snapshot;
}

struct expected {
	struct kept_snapshots *kept;
	const struct dry_case *const *c;
	int64_t now_s;
};

static void work_out(void *context, size_t i)
{
	const struct expected *e = context;

	kept_snapshots_at(e->kept, e->c[i], e->now_s, true);
}

/* So few charges are left to who asks for them: the forecast of each takes all cores by itself. */
enum { FEW = 8 };

/* All have one prior, which is learned before the threads ask for it. */
void kept_snapshots_expect(struct kept_snapshots *k, const struct dry_case *const *c, size_t n, int64_t now_s)
{
	struct expected e = { k, c, now_s };

	if (n <= FEW)
		return;
	history_prior_at(k->history, now_s);
	parallel_run(&(struct parallel){ .work = work_out, .context = &e }, n, 0);
}
