#include "weigh/mass_pairs.h"

#include <stdlib.h>

#include "house/house.h"
#include "weigh/weigh_parts.h"

const char *const mass_key_words[] = { "type", "class", "shape", NULL };

void mass_pairs_release(struct mass_pairs *p)
{
	free(p->row);
	memset(p, 0, sizeof *p);
}

static int by_bat(const void *a, const void *b)
{
	return slice_cmp(((const struct mass_pair *)a)->bat->name, ((const struct mass_pair *)b)->bat->name);
}

/* The class that was judged, or else the one under which the blade was in stock. */
static uint32_t class_of(const struct blank *blank, const struct blade_stock *stock)
{
	return blank->class ? blank->class : blade_stock_made(stock, blank->bat).class;
}

static void add_pair(struct mass_pairs *p, const struct blank *blank, const struct weigh_finished *bat, uint32_t class)
{
	p->row = mem_grow(p->row, &p->cap, p->n + 1, sizeof *p->row);
	p->row[p->n++] = (struct mass_pair){ .blank = blank, .bat = bat, .key = { blank->type, class, bat->shape },
		.blank_g = blank->mass_g, .finished_g = (double)bat->mass / 1e6 };
}

static bool can_be(const struct house *house, const struct blade_stock *stock, const struct blank *blank, const struct weigh_finished *bat)
{
	const struct house_range bats = house ? house->plausible.bat : (struct house_range){ INT64_MIN, INT64_MAX };

	return blade_stock_has_mass_of(stock, blank->type, blank->weighed_g) && (!house_range_given(bats) || house_range_holds(bats, bat->mass));
}

void mass_pairs_find(struct mass_pairs *p, const struct blanks *blanks, const struct weigh_book *book, const struct blade_stock *stock,
	uint32_t type)
{
	*p = (struct mass_pairs){ .n = 0 };
	for (size_t i = 0; i < blanks->n; i++) {
		const struct blank *blank = &blanks->row[i];
		const struct weigh_finished *bat = blank->bat ? weigh_book_finished(book, intern_text(book->ids, blank->bat)) : NULL;

		if (!bat || (type && blank->type != type))
			continue;
		if (!can_be(book->house, stock, blank, bat))
			p->left_out++;
		else
			add_pair(p, blank, bat, class_of(blank, stock));
	}
	if (p->n)
		qsort(p->row, p->n, sizeof *p->row, by_bat);
}
