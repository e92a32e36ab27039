#include <math.h>

#include "weigh/mass_bins.h"
#include "weigh/weigh_view_internal.h"

enum { BAR_MOST = 40 };

static void put_bin(const struct weigh_view *v, const struct mass_bins *bins, const struct mass_bin *bin, struct table *t)
{
	double low_g = (double)bin->low * bins->step_g, high_g = (double)(bin->low + 1) * bins->step_g;
	struct buf bar = BUF_INIT;

	buf_fill(&bar, '#', (size_t)((bin->bats * BAR_MOST + bins->most - 1) / bins->most));
	table_text(t, bin->type.n ? bin->type : SLICE("not known"));
	weigh_put_mass(v, t, WEIGH_BAT, low_g);
	weigh_put_mass(v, t, WEIGH_BAT, high_g);
	table_int(t, bin->bats);
	table_real(t, bin->expected);
	table_text(t, buf_slice(&bar));
	table_real(t, low_g);
	table_real(t, high_g);
	buf_release(&bar);
}

static const struct mass_bin *fullest(const struct mass_bins *bins)
{
	const struct mass_bin *most = bins->row;

	for (size_t i = 1; i < bins->n; i++)
		if (bins->row[i].bats > most->bats)
			most = &bins->row[i];
	return most;
}

static void say_bins(const struct weigh_view *v, const struct mass_bins *bins, struct buf *b)
{
	const struct mass_bin *most;

	if (!bins->n) {
		buf_str(b, "No bat was weighed when it was finished, or the steps are too small.");
		return;
	}
	most = fullest(bins);
	buf_count(b, bins->bats, "finished bat");
	buf_printf(b, " in steps of ");
	weigh_say_off(v, b, WEIGH_BAT, bins->step_g, false);
	buf_str(b, "; most, ");
	buf_int(b, most->bats);
	buf_str(b, " of ");
	buf_add(b, most->type.n ? most->type : SLICE("a type that is not known"));
	buf_str(b, ", from ");
	weigh_say_mass(v, b, WEIGH_BAT, (double)most->low * bins->step_g);
	buf_char(b, '.');
}

void weigh_view_bins(const struct weigh_view *v, const struct mass_bins *bins, struct table *t)
{
	static const struct table_column columns[] = {
		{ "type", TABLE_TEXT, 0, "type" }, { "from", TABLE_TEXT, 0, "from" }, { "to", TABLE_TEXT, 0, "to under" }, { "bats", TABLE_INT, 0, "bats" },
		{ "expected", TABLE_REAL, 1, "of stock" }, { "bar", TABLE_TEXT, 0, "" }, { "low_g", TABLE_REAL, 0, NULL }, { "high_g", TABLE_REAL, 0, NULL },
	};
	struct buf b = BUF_INIT;

	table_init(t, columns, sizeof columns / sizeof *columns);
	table_title(t, SLICE("Finished bats by mass"), "histogram");
	say_bins(v, bins, &b);
	table_finding(t, buf_slice(&b));
	for (size_t i = 0; i < bins->n; i++)
		put_bin(v, bins, &bins->row[i], t);
	table_note(t, SLICE("of stock: how many the weighed blades in stock are expected to add"));
	buf_release(&b);
}
