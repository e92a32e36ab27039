#include "weigh/class_odds.h"

#include <math.h>
#include <stdlib.h>

#include "house/house.h"
#include "math/spread.h"
#include "weigh/weigh_parts.h"

void class_odds_release(struct class_odds *o)
{
	free(o->seen);
	*o = (struct class_odds){ NULL, 0, 0, 0 };
}

/* ---- what was seen */

/* Kinds and blanks of one lot come one after another. */
static void add(struct class_odds *o, uint32_t type, uint32_t grade, uint32_t class, uint32_t lot, int64_t n)
{
	for (size_t i = o->n; i-- > 0 && o->seen[i].lot == lot;) {
		struct class_seen *s = &o->seen[i];

		if (s->type == type && s->grade == grade && s->class == class) {
			s->n += n;
			return;
		}
	}
	o->seen = mem_grow(o->seen, &o->cap, o->n + 1, sizeof *o->seen);
	o->seen[o->n++] = (struct class_seen){ type, grade, class, lot, n };
}

static bool is_classed(const struct weigh_parts *parts, uint32_t lot)
{
	size_t n;
	const struct blade_kind *k = blade_stock_of(&parts->blades, lot, &n);

	for (size_t i = 0; i < n; i++)
		if (k[i].class)
			return true;
	return false;
}

static void count_classes(struct class_odds *o, const struct house *house, const struct intern *ids)
{
	o->classes = house ? house->nclasses : 0;
	for (size_t i = 0; i < o->n; i++) {
		bool is_new = !house || house_class_order(house, intern_text(ids, o->seen[i].class)) < 0;

		for (size_t k = 0; k < i && is_new; k++)
			is_new = o->seen[k].class != o->seen[i].class;
		o->classes += is_new;
	}
}

void class_odds_find(struct class_odds *o, const struct weigh_parts *parts)
{
	*o = (struct class_odds){ NULL, 0, 0, 0 };
	for (size_t i = 0; i < parts->blades.n; i++) {
		const struct blade_kind *k = &parts->blades.kind[i];
		int64_t ever = k->here + k->left + k->changed;

		if (k->class && k->grade && ever > 0)
			add(o, k->type, k->grade, k->class, k->lot, ever);
	}
	for (size_t i = 0; i < parts->blanks.n; i++) {
		const struct blank *b = &parts->blanks.row[i];

		if (b->class && b->grade && !is_classed(parts, b->lot))
			add(o, b->type, b->grade, b->class, b->lot, 1);
	}
	count_classes(o, parts->book.house, &parts->stock->ids);
}

/* ---- the odds */

struct count {
	double k, n;
};

static bool fits(uint32_t asked, uint32_t is)
{
	return asked == STOCK_ANY || asked == is;
}

static struct count count_of(const struct class_odds *o, uint32_t type, uint32_t grade, uint32_t class)
{
	struct count c = { 0, 0 };

	for (size_t i = 0; i < o->n; i++)
		if (fits(type, o->seen[i].type) && fits(grade, o->seen[i].grade)) {
			c.n += (double)o->seen[i].n;
			c.k += o->seen[i].class == class ? (double)o->seen[i].n : 0;
		}
	return c;
}

int64_t class_odds_seen(const struct class_odds *o, uint32_t type, uint32_t grade)
{
	return (int64_t)count_of(o, type, grade, 0).n;
}

/* A mean, and of how many pieces it is. */
struct mean {
	double p, n;
};

/* The counted pieces, and some more of what is usual. */
static struct mean with_usual(struct count c, struct mean usual)
{
	double prior = fmin(CLASS_ODDS_PRIOR, usual.n);

	return (struct mean){ (c.k + prior * usual.p) / (c.n + prior), c.n + prior };
}

/* The first piece seen of a type and grade; o->n: none. */
static size_t row_of(const struct class_odds *o, uint32_t type, uint32_t grade)
{
	size_t i = 0;

	while (i < o->n && (o->seen[i].type != type || o->seen[i].grade != grade))
		i++;
	return i;
}

/* How alike pieces of a lot are, and as how many of different lots one of a type and grade counts. */
struct alike {
	double correlation, design;
};

static struct alike alike_of(const struct class_odds *o, uint32_t type, uint32_t grade, uint32_t class)
{
	struct spread s = { .n = 0 };
	size_t row = row_of(o, type, grade);
	struct alike alike = { 0, 1 };

	if (!o->n)
		return alike;
	for (size_t i = 0; i < o->n; i++)
		spread_add(&s, row_of(o, o->seen[i].type, o->seen[i].grade), o->seen[i].lot, o->seen[i].class == class ? o->seen[i].n : 0, o->seen[i].n);
	spread_end(&s, o->n, true);
	if (row < o->n)
		alike = (struct alike){ s.rows.correlation, s.design[row] };
	else
		alike = (struct alike){ s.all.correlation, s.design_all };
	spread_release(&s);
	return alike;
}

struct beta class_odds_of(const struct class_odds *o, uint32_t type, uint32_t grade, uint32_t class, double lots)
{
	struct count all = count_of(o, STOCK_ANY, STOCK_ANY, class), here = count_of(o, type, grade, class);
	struct alike alike = alike_of(o, type, grade, class);
	double half = 0.5 * fmax((double)o->classes, 2), correlation = alike.correlation / lots;
	struct mean works = { (all.k + 0.5) / (all.n + half), all.n + half };
	struct mean usual = with_usual(count_of(o, type, STOCK_ANY, class), works), mean = with_usual(here, usual);
	double worth = mean.n - here.n + here.n / alike.design;

	return beta_of(mean.p, sqrt(mean.p * (1 - mean.p) * (correlation + (1 - correlation) / (worth + 1))));
}
