#include "weigh/mass_bins.h"

#include <math.h>
#include <stdlib.h>

#include "weigh/weigh_wanted.h"

static const double OUNCE_G = 28.349523125;

double mass_bins_step_g(int64_t micrograms, bool ounces)
{
	return ounces ? nearbyint((double)micrograms / OUNCE_G / 1e3) / 1e3 * OUNCE_G : (double)micrograms / 1e6;
}

void mass_bins_release(struct mass_bins *b)
{
	free(b->row);
	memset(b, 0, sizeof *b);
}

static void add_row(struct mass_bins *b, struct mass_bin row)
{
	b->row = mem_grow(b->row, &b->cap, b->n + 1, sizeof *b->row);
	b->row[b->n++] = row;
}

static bool is_asked(const struct weigh_ask *ask, struct blade_made made)
{
	const struct order_item *item = ask->item;

	return !ask->nitems || ((item->type == STOCK_ANY || item->type == made.type) && (item->grade == STOCK_ANY || item->grade == made.grade) &&
		(item->class == STOCK_ANY || item->class == made.class));
}

/* A row for each bat. Masses are rounded to a microgram, which must not take one off its step. */
static void add_bats(struct mass_bins *b, const struct weigh_parts *parts, const struct weigh_ask *ask)
{
	for (size_t i = 0; i < parts->book.nfinished; i++) {
		const struct weigh_finished *bat = &parts->book.finished[i];
		struct blade_made made = blade_stock_made(&parts->blades, bat->bat);

		if (is_asked(ask, made))
			add_row(b, (struct mass_bin){ .type = stock_text(parts->stock, made.type), .id = made.type, .low = (int64_t)floor(((double)bat->mass + 1) / 1e6 / b->step_g), .bats = 1 });
	}
}

static int by_bin(const void *a, const void *b)
{
	const struct mass_bin *x = a, *y = b;
	int order = slice_cmp(x->type, y->type);

	return order ? order : (x->low > y->low) - (x->low < y->low);
}

static bool same_type(const struct mass_bin *a, const struct mass_bin *b)
{
	return slice_eq(a->type, b->type);
}

/* One row a step, with the empty ones between. */
static void join(struct mass_bins *b)
{
	struct mass_bins joined = { .step_g = b->step_g };

	for (size_t i = 0; i < b->n && joined.n <= MASS_BINS_MOST; i++) {
		struct mass_bin *last = joined.n ? &joined.row[joined.n - 1] : NULL;

		for (int64_t low = last && same_type(last, &b->row[i]) ? last->low + 1 : b->row[i].low; low <= b->row[i].low && joined.n <= MASS_BINS_MOST; low++)
			add_row(&joined, (struct mass_bin){ .type = b->row[i].type, .id = b->row[i].id, .low = low });
		joined.row[joined.n - 1].bats++;
		joined.bats++;
		if (joined.row[joined.n - 1].bats > joined.most)
			joined.most = joined.row[joined.n - 1].bats;
	}
	free(b->row);
	*b = joined;
}

/* Each piece's chance of each step of the type that it most likely is. */
static void expect(struct mass_bins *b, const struct weigh_parts *parts, const struct weigh_ask *ask, const struct wanted *w)
{
	double half_g = (double)w->step / 2e6;

	for (size_t i = 0; i < b->n; i++)
		for (size_t k = 0; k < w->npieces; k++) {
			const struct wanted_piece *p = &w->piece[k];
			double low_g = (double)b->row[i].low * b->step_g - half_g, chance;

			if (p->kind->type != b->row[i].id)
				continue;
			chance = landing_of_blank(parts, ask, p->blank, p->kind->type, p->blank->class ? p->blank->class : p->kind->class, low_g, low_g + b->step_g);
			b->row[i].expected += isnan(chance) ? 0 : p->there * chance;
		}
}

void mass_bins_find(struct mass_bins *b, const struct weigh_parts *parts, const struct weigh_ask *ask, const struct wanted *w, double step_g)
{
	*b = (struct mass_bins){ .step_g = step_g };
	add_bats(b, parts, ask);
	if (b->n)
		qsort(b->row, b->n, sizeof *b->row, by_bin);
	join(b);
	if (b->n > MASS_BINS_MOST)
		mass_bins_release(b);
	expect(b, parts, ask, w);
}
