/*
 * generate DIR [SEED] - writes the sample works into DIR: book/, exports/ and truth/.
 * The same bytes come out on every machine and every day. Another seed than that of the samples gives another two years of the
 * same works, for tests that ask how often an answer is right.
 */
#include <stdio.h>
#include <stdlib.h>

#include "day.h"
#include "file.h"
#include "works.h"

static void works_init(struct works *w)
{
	w->page.shelf = &w->shelf;
	w->charges = mem_zeroed(plans_n, sizeof *w->charges);
	for (size_t i = 0; i < plans_n; i++)
		w->charges[i].plan = &plans[i];
	w->kilns[0].id = "north";
	w->kilns[1].id = "south";
	w->kilns[0].temp_c = w->kilns[1].temp_c = 20;
	w->kilns[0].rh_pct = w->kilns[1].rh_pct = 70;
	w->air_log = mem_zeroed(DAYS, sizeof *w->air_log);
	w->order_no = 301;
	w->bat_no = 401;
	w->invoice_no = 2041;
	w->yard_rng = rng_named("yard");
	w->climate_rng = rng_named("climate");
	w->bench_rng = rng_named("bench");
	w->store_rng = rng_named("store");
	w->shop_rng = rng_named("shop");
	w->office_rng = rng_named("office");
	w->sales_rng = rng_named("sales");
}

static void works_day(struct works *w)
{
	bool work = day_works(w->day);

	climate_day(w);
	climate_entries(w);
	kiln_night(w);
	if (work)
		kiln_day(w);
	yard_day(w);
	if (work && !counting_day(w->day))
		bench_day(w);
	store_day(w);
	if (work && !counting_day(w->day))
		shop_day(w);
	office_day(w);
	kiln_evening(w);
	if (counting_day(w->day) && !work)
		store_tally(w, 0.06, 0.03);
}

/* The book is kept a file for each half year. */
static const struct half {
	const char *name;
	int month, year;
} halves[] = {
	{ "book/2026a.wy", 6, 2026 },
	{ "book/2026b.wy", 12, 2026 },
	{ "book/2027a.wy", 6, 2027 },
	{ "book/2027b.wy", 12, 2027 },
};

static bool half_ends(const struct half *h, int day)
{
	return day_year(day) == h->year && day_month(day) == h->month
		&& day_dom(day) == (h->month == 6 ? 30 : 31);
}

static void years(struct works *w, const char *dir)
{
	const struct half *h = halves;
	struct buf text = BUF_INIT;

	buf_str(&text, "# withy 1\n# The timber book of an invented works. mk and hn write times, jo and fz only dates.\n");
	for (w->day = 0; w->day < DAYS; w->day++) {
		page_open(&w->page, w->day);
		if (w->day == 0) {
			yard_open(w);
			shop_open(w);
		}
		works_day(w);
		page_close(&w->page, &text);
		if (!half_ends(h, w->day))
			continue;
		truth_stock(w);
		file_write(dir, h->name, &text);
		buf_release(&text);
		text = (struct buf)BUF_INIT;
		buf_str(&text, "# withy 1\n");
		h++;
	}
	buf_release(&text);
}

static void works_release(struct works *w)
{
	for (size_t i = 0; i < w->lots_n; i++)
		free(w->lots[i]);
	for (size_t i = 0; i < w->judged_n; i++)
		free(w->judged[i]);
	for (size_t i = 0; i < w->orders_n; i++)
		free(w->orders[i]);
	for (size_t i = 0; i < w->bats_n; i++)
		free(w->bats[i]);
	free(w->lots);
	free(w->judged);
	free(w->orders);
	free(w->bats);
	free(w->charges);
	free(w->air_log);
	buf_release(&w->truth);
	buf_release(&w->shelf_truth);
	page_release(&w->page);
	shelf_release(&w->shelf);
}

static bool seed_read(const char *text, uint64_t *seed)
{
	char *end;

	*seed = strtoull(text, &end, 10);
	return *text && !*end;
}

int main(int argc, char **argv)
{
	struct works *w;

	uint64_t seed = SAMPLE_SEED;

	if ((argc != 2 && argc != 3) || (argc == 3 && !seed_read(argv[2], &seed))) {
		fputs("usage: generate DIR [SEED]\n", stderr);
		return 2;
	}
	rng_seed(seed);
	w = mem_zeroed(1, sizeof *w);
	folder_make(argv[1], "book");
	folder_make(argv[1], "exports");
	folder_make(argv[1], "truth");
	works_init(w);
	buf_str(&w->truth, "about\tof\tfigure\tvalue\tunit\n");
	buf_printf(&w->truth, "seed\t-\t-\t%llu\t-\n", (unsigned long long)seed);
	truth_constants(w);
	buf_str(&w->shelf_truth, "as_of\tlot\tform\ttype\tgrade\tat\tcount\n");
	years(w, argv[1]);
	exports_write(w, argv[1]);
	file_write(argv[1], "truth/parameters.tsv", &w->truth);
	file_write(argv[1], "truth/stock.tsv", &w->shelf_truth);
	works_release(w);
	free(w);
	return 0;
}
