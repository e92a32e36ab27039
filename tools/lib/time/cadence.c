#include "time/cadence.h"

#include "base/mem.h"

enum { ALIKE = 3 };          /* so many steps alike are an interval */

void cadence_init(struct cadence *c, int64_t interval_s)
{
	*c = (struct cadence){ .interval_s = interval_s, .told = interval_s != 0 };
}

static void tell(struct cadence_finds *out, struct cadence_find find)
{
	out->row = mem_grow(out->row, &out->cap, out->n + 1, sizeof *out->row);
	out->row[out->n++] = find;
}

/* How far a step may be off its interval and still be it. */
static int64_t tolerance(int64_t interval_s)
{
	int64_t t = interval_s / 20;

	return t < 2 ? 2 : t > 60 ? 60 : t;
}

static int64_t distance(int64_t a, int64_t b)
{
	return a > b ? a - b : b - a;
}

/* The whole number of intervals nearest to a step. */
static int64_t intervals(int64_t step_s, int64_t interval_s)
{
	return (step_s + interval_s / 2) / interval_s;
}

static bool on_time(const struct cadence *c, int64_t step_s)
{
	int64_t k = intervals(step_s, c->interval_s);

	return k >= 1 && distance(step_s, k * c->interval_s) <= tolerance(c->interval_s);
}

static void release_held(struct cadence *c, struct cadence_finds *out)
{
	for (size_t i = 0; i < c->nheld; i++)
		tell(out, c->held[i]);
	c->nheld = 0;
}

/* A gap is held until it is clear that it is not a new, longer interval. */
static void hold_gap(struct cadence *c, struct cadence_mark from, struct cadence_mark to, struct cadence_finds *out)
{
	int64_t step_s = to.t_s - from.t_s;

	if (2 * step_s <= 3 * c->interval_s)
		return;
	if (c->nheld == sizeof c->held / sizeof *c->held)
		release_held(c, out);
	c->held[c->nheld++] = (struct cadence_find){ CADENCE_GAP, from, to, step_s,
		intervals(step_s, c->interval_s) - 1, c->interval_s };
}

static void shifted(struct cadence *c, struct cadence_mark from, struct cadence_mark to, struct cadence_finds *out)
{
	int64_t step_s = to.t_s - from.t_s, k = intervals(step_s, c->interval_s);

	release_held(c, out);
	hold_gap(c, from, to, out);
	release_held(c, out);
	tell(out, (struct cadence_find){ CADENCE_SHIFT, from, to, step_s - (k ? k : 1) * c->interval_s, 0, c->interval_s });
}

/* Counts steps alike; true when they have become a new interval. */
static bool new_interval(struct cadence *c, struct cadence_mark at, struct cadence_finds *out)
{
	int64_t step_s = at.t_s - c->last.t_s;

	if (c->run && distance(step_s, c->run_s) <= 1 + tolerance(c->run_s) / 4) {
		c->run++;
	} else {
		release_held(c, out);
		c->run = 1;
		c->run_s = step_s;
		c->run_from = c->last;
	}
	if (c->run != ALIKE || c->told || distance(c->run_s, c->interval_s) <= tolerance(c->interval_s))
		return false;
	c->nheld = 0;
	tell(out, (struct cadence_find){ CADENCE_INTERVAL, c->run_from, at, c->run_s, 0, c->interval_s });
	c->interval_s = c->run_s;
	c->anchor = at;
	c->has_odd = false;
	return true;
}

/* A reading that is not on the times of the last ones. */
static void off_time(struct cadence *c, struct cadence_mark at, struct cadence_finds *out)
{
	if (!c->has_odd) {
		c->odd = at;
		c->has_odd = true;
	} else if (on_time(c, at.t_s - c->odd.t_s)) {
		shifted(c, c->anchor, c->odd, out);
		hold_gap(c, c->odd, at, out);
		c->anchor = at;
		c->has_odd = false;
	} else {
		if (at.t_s - c->anchor.t_s > c->interval_s) {
			hold_gap(c, c->anchor, c->odd, out);
			c->anchor = c->odd;
		}
		c->odd = at;
	}
}

static void judge_regular(struct cadence *c, struct cadence_mark at, struct cadence_finds *out)
{
	if (new_interval(c, at, out))
		return;
	if (!on_time(c, at.t_s - c->anchor.t_s)) {
		off_time(c, at, out);
		return;
	}
	hold_gap(c, c->anchor, at, out);
	c->anchor = at;
	c->has_odd = false;
}

static void judge(struct cadence *c, struct cadence_mark at, struct cadence_finds *out)
{
	int64_t step_s = at.t_s - c->last.t_s;

	if (!c->irregular)
		judge_regular(c, at, out);
	else if (step_s > 5 * c->interval_s)
		tell(out, (struct cadence_find){ CADENCE_GAP, c->last, at, step_s, 0, 0 });
}

static void start_at(struct cadence *c, struct cadence_mark at)
{
	c->have = true;
	c->last = c->anchor = at;
	c->has_odd = false;
	c->run = 0;
}

/* --- learning ------------------------------------------------------------------------------- */

static void sort_steps(int64_t *step, size_t n)
{
	for (size_t i = 1; i < n; i++)
		for (size_t j = i; j && step[j] < step[j - 1]; j--) {
			int64_t held = step[j];

			step[j] = step[j - 1];
			step[j - 1] = held;
		}
}

/* The step that most are alike to; *alike is how many. */
static int64_t usual(const int64_t *step, size_t n, size_t *alike)
{
	int64_t best = 0;

	*alike = 0;
	for (size_t i = 0; i < n; i++) {
		size_t same = 0;

		for (size_t j = 0; j < n; j++)
			same += distance(step[i], step[j]) <= 1 + tolerance(step[i]) / 4;
		if (same > *alike) {
			*alike = same;
			best = step[i];
		}
	}
	return best;
}

static void learned(struct cadence *c, struct cadence_finds *out)
{
	int64_t step[CADENCE_LEARN];
	size_t n = 0, alike, count = c->nlearn;

	for (size_t i = 1; i < count; i++)
		if (c->learn[i].t_s > c->learn[i - 1].t_s)
			step[n++] = c->learn[i].t_s - c->learn[i - 1].t_s;
	c->nlearn = 0;
	if (n < ALIKE)
		return;
	sort_steps(step, n);
	c->interval_s = usual(step, n, &alike);
	c->irregular = alike * 10 < n * 6;
	if (c->irregular)
		c->interval_s = step[n / 2];
	start_at(c, c->learn[0]);
	for (size_t i = 1; i < count; i++) {
		if (c->learn[i].t_s > c->last.t_s)
			judge(c, c->learn[i], out);
		else
			start_at(c, c->learn[i]);
		c->last = c->learn[i];
	}
}

/* --- the series ----------------------------------------------------------------------------- */

static void step_back(struct cadence *c, struct cadence_mark at, bool again, struct cadence_finds *out)
{
	if (!again && c->interval_s >= 0)
		tell(out, (struct cadence_find){ CADENCE_BACK, c->last, at, c->last.t_s - at.t_s, 0, c->step_s });
	if (c->interval_s > 0)
		release_held(c, out);
	start_at(c, at);
}

void cadence_add(struct cadence *c, struct cadence_mark at, bool again, struct cadence_finds *out)
{
	bool forward = c->have && at.t_s > c->last.t_s;

	if (c->have && at.t_s == c->last.t_s)
		return;
	if (c->interval_s == 0)
		c->learn[c->nlearn++] = at;
	if (!c->have)
		start_at(c, at);
	else if (forward)
		c->step_s = at.t_s - c->last.t_s;
	if (c->have && !forward && at.t_s != c->last.t_s)
		step_back(c, at, again, out);
	else if (forward && c->interval_s > 0)
		judge(c, at, out);
	c->last = at;
	if (c->interval_s == 0 && c->nlearn == CADENCE_LEARN + 1)
		learned(c, out);
}

void cadence_end(struct cadence *c, struct cadence_finds *out)
{
	if (c->interval_s == 0)
		learned(c, out);
	if (c->interval_s <= 0 || c->irregular)
		return;
	release_held(c, out);
	if (c->has_odd)
		hold_gap(c, c->anchor, c->odd, out);
	release_held(c, out);
	c->has_odd = false;
}
