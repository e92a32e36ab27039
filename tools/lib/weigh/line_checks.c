#include "weigh/line_checks.h"

#include <math.h>
#include <stdlib.h>

#include "math/distributions.h"
#include "math/false_discovery.h"
#include "weigh/weigh_parts.h"

enum { WORDS_MOST = 8, WORD_LEAST = 3 };

static const double DAYS_A_YEAR = 365.25, MOST_INFLATION = 1e8;

/* Less is rounding. */
static const double LEAST_SD_G = 1e-6;

void line_checks_release(struct line_checks *c)
{
	free(c->residual);
	memset(c, 0, sizeof *c);
}

/* ---- what can be added: a figure, or words */

static double square_of(const struct mass_pair *p)
{
	return p->blank_g * p->blank_g / 1e4; /* of 100 g */
}

static double year_of(const struct mass_pair *p)
{
	return p->bat->when.day / DAYS_A_YEAR;
}

static double moisture_of(const struct mass_pair *p)
{
	return p->blank->mc_pct;
}

static double length_of(const struct mass_pair *p)
{
	return p->bat->length_mm;
}

static double width_of(const struct mass_pair *p)
{
	return p->bat->width_mm;
}

static double depth_of(const struct mass_pair *p)
{
	return p->bat->depth_mm;
}

static double edge_of(const struct mass_pair *p)
{
	return p->bat->edge_mm;
}

static uint32_t person_of(const struct mass_pair *p)
{
	return p->bat->by;
}

static uint32_t grade_of(const struct mass_pair *p)
{
	return p->blank->grade;
}

static uint32_t lot_of(const struct mass_pair *p)
{
	return p->blank->lot;
}

static uint32_t class_of(const struct mass_pair *p)
{
	return p->key[MASS_BY_CLASS];
}

static uint32_t shape_of(const struct mass_pair *p)
{
	return p->key[MASS_BY_SHAPE];
}

static const struct question {
	const char *what, *unit;
	double (*figure)(const struct mass_pair *p);
	uint32_t (*word)(const struct mass_pair *p);
} QUESTIONS[] = {
	{ "blank, squared", "g a (100 g)2", square_of, NULL },
	{ "day of finishing", "g a year", year_of, NULL },
	{ "moisture of the blank", "g a point", moisture_of, NULL },
	{ "length", "g a mm", length_of, NULL },
	{ "width", "g a mm", width_of, NULL },
	{ "depth", "g a mm", depth_of, NULL },
	{ "edge", "g a mm", edge_of, NULL },
	{ "person who finished it", NULL, NULL, person_of },
	{ "grade of the blank", NULL, NULL, grade_of },
	{ "class of the blank", NULL, NULL, class_of },
	{ "lot of the blank", NULL, NULL, lot_of },
	{ "shape", NULL, NULL, shape_of },
};

/* ---- a larger fit */

/* The words that enough pairs have, of which the first is what the others are compared with. */
struct words {
	uint32_t id[WORDS_MOST];
	size_t pairs[WORDS_MOST];
	size_t n;
};

static void words_add(struct words *w, uint32_t id)
{
	for (size_t i = 0; i < w->n; i++)
		if (w->id[i] == id) {
			w->pairs[i]++;
			return;
		}
	if (w->n < WORDS_MOST) {
		w->id[w->n] = id;
		w->pairs[w->n++] = 1;
	}
}

/* Pairs with a rarer word are left out. The pairs are in an order of their own, so this does not depend on ids. */
static struct words words_of(const struct question *q, const struct line_checks *c)
{
	struct words all = { .n = 0 }, some = { .n = 0 };

	for (size_t i = 0; q->word && i < c->nresiduals; i++)
		if (q->word(c->residual[i].pair))
			words_add(&all, q->word(c->residual[i].pair));
	for (size_t i = 0; i < all.n; i++)
		if (all.pairs[i] >= WORD_LEAST) {
			some.id[some.n] = all.id[i];
			some.pairs[some.n++] = all.pairs[i];
		}
	return some;
}

/* Adds what a question is about to the row; false where it is not known of the pair. */
static bool add_to_row(const struct question *q, const struct words *w, const struct mass_pair *pair, double middle, double *x)
{
	bool known = false;

	if (q->figure) {
		x[0] = q->figure(pair) - middle;
		return isfinite(x[0]);
	}
	for (size_t i = 0; i < w->n; i++) {
		if (i)
			x[i - 1] = q->word(pair) == w->id[i];
		known |= q->word(pair) == w->id[i];
	}
	return known;
}

static double middle_of(const struct question *q, const struct line_checks *c)
{
	double sum = 0;
	size_t n = 0;

	for (size_t i = 0; q->figure && i < c->nresiduals; i++) {
		double v = q->figure(c->residual[i].pair);

		if (!isfinite(v))
			continue;
		sum += v;
		n++;
	}
	return n ? sum / (double)n : 0;
}

/* The rows of both fits; those of the larger one begin with those of the smaller. */
struct rows {
	double *small, *large, *y;
	size_t n, p, q;
};

static void rows_release(struct rows *r)
{
	free(r->small);
	free(r->large);
	free(r->y);
}

static struct rows rows_of(const struct question *q, const struct words *w, const struct line_checks *c, const struct mass_lines *m)
{
	const struct fit *fit = m->model == MASS_ONE ? &m->one : &m->several;
	struct rows r = { .p = fit->p, .q = q->figure ? 1 : w->n - 1 };
	double middle = middle_of(q, c), x[FIT_PARAMETERS_MOST + WORDS_MOST];

	r.small = mem_array(c->nresiduals * r.p, sizeof *r.small);
	r.large = mem_array(c->nresiduals * (r.p + r.q), sizeof *r.large);
	r.y = mem_array(c->nresiduals, sizeof *r.y);
	for (size_t i = 0; i < c->nresiduals; i++) {
		const struct mass_pair *pair = c->residual[i].pair;

		if (!mass_lines_has(m, pair->key[m->by]) || !add_to_row(q, w, pair, middle, x + r.p))
			continue;
		mass_lines_row(m, pair->key[m->by], pair->blank_g, x);
		memcpy(r.small + r.n * r.p, x, r.p * sizeof *x);
		memcpy(r.large + r.n * (r.p + r.q), x, (r.p + r.q) * sizeof *x);
		r.y[r.n++] = pair->finished_g;
	}
	return r;
}

/*
 * Whether what is added is settled by itself: not, but for rounding, a combination of what the fit has already. The variance of
 * a parameter against that of one alone is the inflation by the others.
 */
static bool is_settled(const struct rows *r, const struct fit *large)
{
	for (size_t k = r->p; k < r->p + r->q; k++) {
		double squares = 0;

		for (size_t i = 0; i < r->n; i++)
			squares += r->large[i * (r->p + r->q) + k] * r->large[i * (r->p + r->q) + k];
		if (!(large->error[k] * large->error[k] * squares < MOST_INFLATION * large->sd * large->sd))
			return false;
	}
	return true;
}

static void ask(struct line_checks *c, const struct question *q, const struct mass_lines *m)
{
	struct words w = words_of(q, c);
	struct line_check check = { .what = q->what, .unit = q->unit, .effect = NAN, .error = NAN };
	struct fit small, large;
	struct rows r;

	if (q->word && w.n < 2)
		return;
	r = rows_of(q, &w, c, m);
	if (r.p + r.q <= FIT_PARAMETERS_MOST) {
		fit_line(r.small, r.y, r.n, r.p, &small);
		fit_line(r.large, r.y, r.n, r.p + r.q, &large);
		check.p = fit_gain_of(&small, &large).p;
		check.n = r.n;
		check.df = r.q;
		check.effect = q->figure ? large.parameter[r.p] : NAN;
		check.error = q->figure ? large.error[r.p] : NAN;
		if (isfinite(check.p) && is_settled(&r, &large))
			c->row[c->n++] = check;
	}
	rows_release(&r);
}

/* ---- the residuals */

static void find_residuals(struct line_checks *c, const struct mass_lines *m, const struct mass_pairs *pairs)
{
	c->residual = mem_zeroed(pairs->n, sizeof *c->residual);
	for (size_t i = 0; i < pairs->n; i++) {
		const struct mass_pair *pair = &pairs->row[i];
		double x[FIT_PARAMETERS_MOST];
		const struct fit *fit = mass_lines_row(m, pair->key[m->by], pair->blank_g, x);

		if (fit)
			c->residual[c->nresiduals++] = (struct line_residual){ pair, prediction_at(fit, x), fit_residual_at(fit, x, pair->finished_g) };
	}
}

/* The deleted residual is Student's t with a degree less: within its range, the bat is within that foretold without it. */
static void judge_range(struct line_checks *c, double sure)
{
	double most = 0;

	c->furthest_p = NAN;
	for (size_t i = 0; i < c->nresiduals; i++) {
		double t = fabs(c->residual[i].off.deleted), df = c->residual[i].at.df - 1;

		if (isnan(t))
			continue;
		c->judged++;
		c->held += t <= dist_t_q((1 + sure) / 2, df);
		if (t > most) {
			most = t;
			c->furthest = i;
			c->furthest_p = 2 * dist_t_p(-t, df);
		}
	}
	c->furthest_p = fmin(c->furthest_p * (double)c->judged, 1);
}

static void judge_spread(struct line_checks *c)
{
	double *x = mem_array(2 * c->nresiduals, sizeof *x), *y = mem_array(c->nresiduals, sizeof *y), mean = 0, all = 0;
	struct line_check check = { .what = "spread by mass", .unit = "g2 a g", .n = c->nresiduals, .df = 1, .effect = NAN, .error = NAN };
	struct fit fit;

	for (size_t i = 0; i < c->nresiduals; i++) {
		x[2 * i] = 1;
		x[2 * i + 1] = c->residual[i].at.value;
		y[i] = c->residual[i].off.residual * c->residual[i].off.residual;
		mean += y[i] / (double)c->nresiduals;
	}
	for (size_t i = 0; i < c->nresiduals; i++)
		all += (y[i] - mean) * (y[i] - mean);
	fit_line(x, y, c->nresiduals, 2, &fit);
	if (fit.outcome == FIT_GOOD && all > 1e-12 * mean * mean * (double)c->nresiduals) {
		check.effect = fit.parameter[1];
		check.error = fit.error[1];
		check.p = dist_chi2_upper_p((double)check.n * (1 - fit.rss / all), 1);
		c->row[c->n++] = check;
	}
	free(x);
	free(y);
}

static int by_p(const void *a, const void *b)
{
	const struct line_check *x = a, *y = b;

	return (x->p > y->p) - (x->p < y->p);
}

static void adjust(struct line_checks *c)
{
	double p[LINE_CHECKS_MOST];

	qsort(c->row, c->n, sizeof *c->row, by_p);
	for (size_t i = 0; i < c->n; i++)
		p[i] = c->row[i].p;
	false_discovery_adjust(p, c->n, p);
	for (size_t i = 0; i < c->n; i++)
		c->row[i].adjusted = p[i];
}

void line_checks_find(struct line_checks *c, const struct mass_lines *m, const struct mass_pairs *pairs, double sure)
{
	memset(c, 0, sizeof *c);
	c->furthest_p = NAN;
	find_residuals(c, m, pairs);
	if (!c->nresiduals || m->one.sd < LEAST_SD_G)
		return;
	judge_range(c, sure);
	for (size_t i = 0; i < sizeof QUESTIONS / sizeof *QUESTIONS; i++)
		if (QUESTIONS[i].word != class_of || m->by != MASS_BY_CLASS)
			ask(c, &QUESTIONS[i], m);
	judge_spread(c);
	adjust(c);
}
