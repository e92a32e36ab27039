#include "weigh/landing.h"

#include <math.h>
#include <stdlib.h>

#include "math/spread.h"
#include "weigh/weigh_wanted.h"

const char *const wanted_basis_words[] = { "blanks", "bats", "none" };

uint32_t landing_key(const struct weigh_parts *parts, const struct weigh_ask *ask, uint32_t type, uint32_t class)
{
	return parts->lines.by == MASS_BY_TYPE ? type : parts->lines.by == MASS_BY_CLASS ? class : ask->shape;
}

double landing_of_blank(const struct weigh_parts *parts, const struct weigh_ask *ask, const struct blank *blank, uint32_t type, uint32_t class,
	double low_g, double high_g)
{
	struct prediction at;

	mass_lines_at(&parts->lines, landing_key(parts, ask, type, class), blank->mass_g, &at);
	return prediction_chance(&at, low_g, high_g);
}

/* ---- blanks */

/* Sums for the analysis of variance; blanks are in the order of their names, and so those of a lot follow each other. */
struct by_lot {
	uint32_t lot;
	double n, sum;             /* of the lot in hand */
	double lots, all, total, squares, between, sizes; /* between: of lots that are over, sum^2 / n; sizes: n^2 */
};

static void end_lot(struct by_lot *b)
{
	if (!(b->n > 0))
		return;
	b->lots++;
	b->between += b->sum * b->sum / b->n;
	b->sizes += b->n * b->n;
	b->n = b->sum = 0;
}

static void add_chance(struct by_lot *b, uint32_t lot, double chance)
{
	if (lot != b->lot)
		end_lot(b);
	b->lot = lot;
	b->n++;
	b->sum += chance;
	b->all++;
	b->total += chance;
	b->squares += chance * chance;
}

/* What lots differ by, as part of the variance of one piece that lands or not. */
static double correlation_of(const struct by_lot *b, double mean)
{
	double within, between, size;

	if (b->lots < SPREAD_LOTS_LEAST || b->all <= b->lots || !(mean > 0 && mean < 1))
		return 0;
	within = (b->squares - b->between) / (b->all - b->lots);
	between = (b->between - b->total * mean) / (b->lots - 1);
	size = (b->all - b->sizes / b->all) / (b->lots - 1);
	return fmin(fmax((between - within) / size / (mean * (1 - mean)), 0), SPREAD_MOST);
}

static struct landing of_blanks(const struct weigh_parts *parts, const struct weigh_ask *ask, uint32_t type, uint32_t class, double low_g, double high_g)
{
	struct landing l = { .basis = WANTED_OF_BLANKS, .chance = NAN };
	struct by_lot b = { .lot = 0 };

	for (size_t i = 0; i < parts->blanks.n; i++) {
		const struct blank *blank = &parts->blanks.row[i];
		double chance;

		if (blank->type != type || (class && blank->class != class))
			continue;
		chance = landing_of_blank(parts, ask, blank, type, blank->class, low_g, high_g);
		if (!isnan(chance))
			add_chance(&b, blank->lot, chance);
	}
	end_lot(&b);
	l.of = (size_t)b.all;
	if (!l.of)
		return l;
	l.chance = b.total / b.all;
	l.correlation = correlation_of(&b, l.chance);
	l.worth = b.all / (1 + (b.sizes / b.all - 1) * l.correlation);
	return l;
}

/* ---- finished bats */

/* As one more of them: Student's t about their mean. */
static struct landing of_bats(const struct weigh_parts *parts, uint32_t type, uint32_t class, double low_g, double high_g)
{
	struct landing l = { .basis = WANTED_OF_BATS };
	double sum = 0, squares = 0, n;
	struct prediction at;

	for (size_t i = 0; i < parts->book.nfinished; i++) {
		struct blade_made made = blade_stock_made(&parts->blades, parts->book.finished[i].bat);
		double mass_g = (double)parts->book.finished[i].mass / 1e6;

		if (!made.known || made.type != type || (class && made.class != class))
			continue;
		sum += mass_g;
		squares += mass_g * mass_g;
		l.of++;
	}
	n = (double)l.of;
	if (l.of < MASS_PAIRS_LEAST)
		return (struct landing){ .basis = WANTED_UNKNOWN, .of = l.of, .chance = NAN };
	at.value = sum / n;
	at.df = n - 1;
	at.line_error = sqrt(fmax(squares - sum * at.value, 0) / at.df / n);
	at.error = at.line_error * sqrt(n + 1);
	l.chance = prediction_chance(&at, low_g, high_g);
	l.worth = n;
	return l;
}

/* ---- what was asked before */

struct landing_found {
	uint32_t key, type, class;
	double low_g, high_g;
	struct landing landing;
};

void landings_release(struct landings *l)
{
	free(l->row);
	hash_index_release(&l->index);
	memset(l, 0, sizeof *l);
}

static uint64_t double_bits(double x)
{
	uint64_t bits;

	memcpy(&bits, &x, sizeof bits);
	return bits;
}

static uint64_t found_hash(const struct landing_found *f)
{
	return hash_mix(hash_pair(f->type, f->class) ^ hash_mix(f->key ^ hash_mix(double_bits(f->low_g) ^ hash_mix(double_bits(f->high_g)))));
}

static bool same_asked(const struct landing_found *a, const struct landing_found *b)
{
	return a->key == b->key && a->type == b->type && a->class == b->class && a->low_g == b->low_g && a->high_g == b->high_g;
}

static const struct landing_found *find(const struct landings *l, const struct landing_found *asked, uint64_t hash)
{
	struct hash_probe p = hash_probe_of(&l->index, hash);

	while (hash_probe_next(&l->index, &p))
		if (same_asked(&l->row[p.row], asked))
			return &l->row[p.row];
	return NULL;
}

static struct landing work_out(const struct weigh_parts *parts, const struct weigh_ask *ask, uint32_t type, uint32_t class, double low_g, double high_g)
{
	struct landing l = of_blanks(parts, ask, type, class, low_g, high_g);

	return l.of < MASS_PAIRS_LEAST ? of_bats(parts, type, class, low_g, high_g) : l;
}

struct landing landing_of(const struct weigh_parts *parts, const struct weigh_ask *ask, uint32_t type, uint32_t class, double low_g, double high_g)
{
	const struct landing_found f = { landing_key(parts, ask, type, class), type, class, low_g, high_g, { .of = 0 } };
	const struct landing_found *found = find(&parts->landings, &f, found_hash(&f));

	return found ? found->landing : work_out(parts, ask, type, class, low_g, high_g);
}

struct landing landing_kept(struct weigh_parts *parts, const struct weigh_ask *ask, uint32_t type, uint32_t class, double low_g, double high_g)
{
	struct landings *l = &parts->landings;
	struct landing_found f = { landing_key(parts, ask, type, class), type, class, low_g, high_g, { .of = 0 } };
	uint64_t hash = found_hash(&f);
	const struct landing_found *found = find(l, &f, hash);

	if (found)
		return found->landing;
	f.landing = work_out(parts, ask, type, class, low_g, high_g);
	hash_index_add(&l->index, hash, (uint32_t)l->n);
	l->row = mem_grow(l->row, &l->cap, l->n + 1, sizeof *l->row);
	l->row[l->n++] = f;
	return f.landing;
}

struct beta landing_odds(const struct landing *l, double lots)
{
	double n = (double)l->of, mean = (n * l->chance + 0.5) / (n + 1), alike = l->correlation / lots;

	if (isnan(l->chance))
		return (struct beta){ 1, 0 };
	return beta_of(mean, sqrt(mean * (1 - mean) * (alike + (1 - alike) / (l->worth + 2))));
}
