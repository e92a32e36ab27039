#include "dry/points_removed.h"

#include <math.h>
#include <stdlib.h>

#include "dry/charges.h"
#include "math/distributions.h"

/* A probe in one piece. */
struct stay {
	const struct dry_probe *probe; /* NULL: it does not count */
	struct slice label;
	double first, last;        /* whole days of its first and its last reading, */
	double until;              /* and of when it came out, of this piece or of later ones in which it was not read */
	struct stay *next;         /* in another piece, after it was moved */
	bool moved;
};

/* What went from one day with readings to the next. */
struct step {
	double sum;                /* over the pieces that were read before and after */
	size_t pieces;
};

/* What the charge lost in the mean. */
struct course {
	struct stay *stay;
	size_t nstays;
	double *day;               /* whole ones on which a probe was read, in order */
	size_t ndays;
	struct step *step;         /* from each day */
	double *before;            /* points that went before each day */
};

/* ---- stays */

static const struct dry_reading *last_of(const struct dry_probe *p)
{
	return &p->reading[p->n - 1];
}

static void add_stay(struct course *k, const struct dry_probe *p, struct slice label)
{
	struct stay *s = &k->stay[k->nstays], *before = NULL;

	for (size_t i = k->nstays; i > 0 && !before; i--)
		if (slice_eq(k->stay[i - 1].label, label))
			before = &k->stay[i - 1];
	if (!p->n) {
		if (before)
			before->until = floor(p->until);
		return;
	}
	if (before)
		before->next = s;
	*s = (struct stay){ p, label, floor(p->reading[0].day), floor(last_of(p)->day), floor(p->until), NULL, before != NULL };
	k->nstays++;
}

/* Leaves out a probe that was read on one day only. */
static void drop_short(struct stay *first)
{
	struct stay *end = first;

	while (end->next)
		end = end->next;
	for (struct stay *s = end->last > first->first ? NULL : first; s; s = s->next)
		s->probe = NULL;
}

static void set_stays(struct course *k, const struct dry_case *c)
{
	k->stay = mem_array(c->charge.nprobes, sizeof *k->stay);
	for (size_t i = 0; i < c->charge.nprobes; i++)
		if (c->place[i].source == DRY_PROBE)
			add_stay(k, &c->probe[i], c->place[i].label);
	for (size_t i = 0; i < k->nstays; i++)
		if (!k->stay[i].moved)
			drop_short(&k->stay[i]);
}

/* ---- the course */

static int by_size(const void *a, const void *b)
{
	const double *x = a, *y = b;

	return (*x > *y) - (*x < *y);
}

static void set_days(struct course *k)
{
	size_t n = 0;

	for (size_t i = 0; i < k->nstays; i++)
		n += k->stay[i].probe ? k->stay[i].probe->n : 0;
	k->day = mem_array(n, sizeof *k->day);
	n = 0;
	for (size_t i = 0; i < k->nstays; i++)
		for (size_t r = 0; k->stay[i].probe && r < k->stay[i].probe->n; r++)
			k->day[n++] = floor(k->stay[i].probe->reading[r].day);
	if (n)
		qsort(k->day, n, sizeof *k->day, by_size);
	for (size_t i = 0; i < n; i++)
		if (!k->ndays || k->day[i] > k->day[k->ndays - 1])
			k->day[k->ndays++] = k->day[i];
}

static size_t index_of(const struct course *k, double day)
{
	const double *at = bsearch(&day, k->day, k->ndays, sizeof *k->day, by_size);

	return (size_t)(at - k->day);
}

/* What a piece lost from one reading to another, in equal parts on the days between. */
static void add_line(struct course *k, const struct dry_reading *from, const struct dry_reading *to)
{
	double first = floor(from->day), last = floor(to->day);

	for (size_t i = index_of(k, first); k->day[i] < last; i++) {
		k->step[i].sum += (from->mc - to->mc) * (k->day[i + 1] - k->day[i]) / (last - first);
		k->step[i].pieces++;
	}
}

/* Of several readings on one day the last counts, but of those on the first day the first. */
static void add_lines(struct course *k, const struct dry_probe *p)
{
	const struct dry_reading *from = &p->reading[0];

	for (size_t r = 1; r < p->n; r++) {
		const struct dry_reading *to = &p->reading[r];
		bool later = r + 1 == p->n || floor(to[1].day) > floor(to->day);

		if (!later || !(floor(to->day) > floor(from->day)))
			continue;
		add_line(k, from, to);
		from = to;
	}
}

/* From a day on which all stays ended to the next on which others begin: what these show less. */
static double between(const struct course *k, size_t i)
{
	double last = 0, first = 0;
	size_t ended = 0, begun = 0;

	for (const struct stay *s = k->stay; s < k->stay + k->nstays; s++) {
		if (s->probe && index_of(k, s->last) == i) {
			last += last_of(s->probe)->mc;
			ended++;
		}
		if (s->probe && index_of(k, s->first) == i + 1) {
			first += s->probe->reading[0].mc;
			begun++;
		}
	}
	return last / (double)ended - first / (double)begun;
}

static void set_course(struct course *k)
{
	set_days(k);
	k->step = mem_zeroed(k->ndays, sizeof *k->step);
	k->before = mem_zeroed(k->ndays, sizeof *k->before);
	for (const struct stay *s = k->stay; s < k->stay + k->nstays; s++)
		if (s->probe)
			add_lines(k, s->probe);
	for (size_t i = 0; i + 1 < k->ndays; i++)
		k->before[i + 1] = k->before[i] + (k->step[i].pieces ? k->step[i].sum / (double)k->step[i].pieces : between(k, i));
}

/* ---- the points */

/* What the charge lost before a day. */
static double went_before(const struct course *k, double day)
{
	size_t i = 0;

	while (i + 1 < k->ndays && k->day[i + 1] <= day)
		i++;
	if (i + 1 == k->ndays || day <= k->day[i])
		return k->before[i];
	return k->before[i] + (k->before[i + 1] - k->before[i]) * (day - k->day[i]) / (k->day[i + 1] - k->day[i]);
}

/* What a probe says: what its pieces lost while it was in them, and what the charge did in the time that this leaves out. */
struct drop {
	double own, rest;
	bool above;
};

static struct drop drop_of(const struct course *k, const struct stay *first)
{
	struct drop d = { 0, went_before(k, first->first), false };

	for (const struct stay *s = first; s; s = s->next) {
		d.own += s->probe->reading[0].mc - last_of(s->probe)->mc;
		d.above |= s->probe->reading[0].mark == DRY_ABOVE;
		d.rest += went_before(k, fmax(s->last, s->next ? s->next->first : s->until)) - went_before(k, s->last);
	}
	return d;
}

/* How much of a drop its probe saw. */
static double seen_of(const struct drop *d)
{
	double own = fabs(d->own), rest = fabs(d->rest);

	return rest > 0 ? own / (own + rest) : 1;
}

static void add_drops(const struct course *k, struct drop *drop, struct points_removed *r)
{
	double sum = 0, seen = 0, squares = 0, n;

	for (size_t i = 0; i < k->nstays; i++) {
		if (k->stay[i].moved || !k->stay[i].probe)
			continue;
		drop[r->probes] = drop_of(k, &k->stay[i]);
		r->above |= drop[r->probes].above;
		sum += drop[r->probes].own + drop[r->probes].rest;
		seen += seen_of(&drop[r->probes++]);
	}
	if (!r->probes || !(sum > 0))
		return;
	r->mean = sum / (double)r->probes;
	for (size_t i = 0; i < r->probes; i++)
		squares += pow(drop[i].own + drop[i].rest - r->mean, 2);
	n = round(seen);
	if (n > 1)
		r->half = dist_t_q(0.975, n - 1) * sqrt(squares / (n - 1) / n);
}

struct points_removed points_removed_of(const struct dry_case *c)
{
	struct points_removed r = { 0, NAN, NAN, false };
	struct course k = { .nstays = 0 };
	struct drop *drop = mem_array(c->charge.nprobes, sizeof *drop);

	set_stays(&k, c);
	set_course(&k);
	add_drops(&k, drop, &r);
	free(drop);
	free(k.stay);
	free(k.day);
	free(k.step);
	free(k.before);
	return r;
}
