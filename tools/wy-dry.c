/* wy-dry - which charges are ready, why, and when the others will be; wy-dry(1). */
#include <stdlib.h>

#include "base/nearest.h"
#include "cli/progress.h"
#include "cli/tool_book.h"
#include "dry/charge_stock.h"
#include "dry/charges.h"
#include "dry/history.h"
#include "dry/warnings.h"
#include "house/house_open.h"
#include "stock/stock.h"

/* ---- options */

static bool all, curve, score, each, rates, next_reading;
static struct opt_list wanted;

static const struct opt options[] = {
	OPT_LIST('c', "charge", &wanted, "ID", "this charge, open or past; may be repeated (default: the open ones)"),
	OPT_FLAG('a', "all", &all, "also the past charges"),
	OPT_FLAG(0, "curve", &curve, "readings and the model's moisture content, for plotting"),
	OPT_FLAG(0, "rates", &rates, "how fast each probe's piece dries"),
	OPT_FLAG(0, "next-reading", &next_reading, "what to read next, and how far that narrows the ready range"),
	OPT_FLAG(0, "score", &score, "backtest: how good the forecasts of past charges were"),
	OPT_FLAG(0, "each", &each, "with --score: every forecast"),
	OPT_PART(tool_answer_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-dry",
	.purpose = "which charges are ready, why, and when the others will be",
	.usage = "[--all | --charge ID...] [--curve | --rates | --next-reading] [options] [FILE...]\n--score [--each] [options] [FILE...]",
	.options = options,
	.exits = "0  done\n1  no charge, or the book has errors\n2  usage error, an unknown charge, or a file could not be read or written",
	.example = "wy-dry --on 2026-07-20 -b\nthe charges in the kilns, each with its verdict, reasons and ready date",
};

static void check_options(void)
{
	if (score && (curve || rates || next_reading || all || wanted.n))
		tool_misused("--score always covers all past charges; leave out --curve, --rates, --next-reading, --all and --charge");
	if (curve + rates + next_reading > 1)
		tool_misused("--curve, --rates and --next-reading cannot be combined; choose one");
	if (next_reading && all)
		tool_misused("--next-reading covers the open charges only; leave out --all");
}

/* ---- reading */

static struct book book;
static struct stock stock;
static struct charges charges;
static struct history history;
static struct house *no_house;     /* an empty one, where there is none */
static int32_t today;
static int64_t now_s;              /* the end of that day */

static void start(void)
{
	book_start(&book, 0);
	book_stock_init(&book, &stock);
	no_house = book.house ? NULL : house_read(SLICE(""), NULL, NULL);
	charges_init(&charges, book.house ? book.house : no_house, book.zone);
	today = book_today(&book);
	now_s = charges_day_end(&charges, today);
}

static void read_book(void)
{
	const struct line *l;
	int64_t utc_s;

	while ((l = book_next(&book))) {
		if (l->kind != LINE_EVENT || l->stamp.day > today)
			continue;
		book_instant(&book, &l->stamp, &utc_s);
		charges_add(&charges, l, utc_s);
		book_stock_add(&book, &stock, l);
	}
}

static void settle(void)
{
	struct charge_stock held;

	charge_stock_init(&held, &charges, &stock);
	stock_run(&stock, today, charge_stock_flow, &held);
	charge_stock_end(&held);
	history_init(&history, &charges);
}

/* ---- the answer */

static struct slice near_charge(struct slice id)
{
	struct nearest near = nearest_to(id);

	for (size_t i = 0; i < charges.n; i++)
		nearest_try(&near, charges.cases[i].id);
	return near.best;
}

_Noreturn static void no_charge(const char *id)
{
	struct buf why = BUF_INIT;

	buf_printf(&why, "no charge '%s' was loaded by ", id);
	day_write(&why, today);
	buf_str(&why, "; ");
	nearest_say(&why, near_charge(slice_of(id)), "--on");
	tool_misused("%s", buf_cstr(&why));
}

/* A charge that is not known is a slip of the pen, so there is no table. */
static void check_charges(void)
{
	for (size_t i = 0; i < wanted.n; i++)
		if (!charges_case(&charges, slice_of(wanted.v[i])))
			no_charge(wanted.v[i]);
}

enum { CARD_WIDTH_MOST = 80 };

/* Whether the answer is for reading, and no column was asked for. */
static bool wants_cards(void)
{
	return tool_form() == TABLE_AS_TEXT && !tool.columns && !tool.all_columns;
}

static bool print_cards(const struct dry_ask *ask)
{
	struct buf cards = BUF_INIT;
	unsigned width = tool_width();
	size_t n = dry_view_cards(ask, width && width < CARD_WIDTH_MOST ? width : CARD_WIDTH_MOST, &cards);

	tool_put_buf(&cards);
	buf_release(&cards);
	return n > 0;
}

static bool print_charges(const struct dry_ask *ask)
{
	struct table rows, reasons;
	size_t n = dry_view_charges(ask, &rows, &reasons);

	tool_print_tables((const struct table *const[]){ &rows, &reasons }, 2);
	table_release(&rows);
	table_release(&reasons);
	return n > 0;
}

static bool print_score(const struct dry_ask *ask)
{
	struct table t[DRY_SCORE_TABLES];   /* of --each there are fewer */
	const struct table *to_print[sizeof t / sizeof *t];
	size_t n = each ? DRY_EACH_TABLES : DRY_SCORE_TABLES;
	bool any = each ? dry_view_score_each(ask, t) : dry_view_score(ask, t);

	for (size_t i = 0; i < n; i++)
		to_print[i] = &t[i];
	tool_print_tables(to_print, n);
	for (size_t i = 0; i < n; i++)
		table_release(&t[i]);
	return any;
}

static void show_done(size_t n, size_t n_all)
{
	progress_count("charges", n, n_all);
}

static void show_forecasts_done(size_t n, size_t n_all)
{
	progress_count("forecasts", n, n_all);
}

/* Whether there is an answer. */
static bool answer(void)
{
	const struct dry_ask ask = { .charges = &charges, .history = &history, .today = today, .now_s = now_s, .all = all,
		.done = score ? show_forecasts_done : show_done, .wanted = wanted.v, .nwanted = wanted.n };
	struct table t;
	bool any;

	if (score)
		return print_score(&ask);
	if (curve)
		any = dry_view_curve(&ask, &t) > 0;
	else if (next_reading)
		any = dry_view_next(&ask, &t) > 0;
	else if (rates)
		any = dry_view_rates(&ask, &t) > 0;
	else
		return wants_cards() ? print_cards(&ask) : print_charges(&ask);
	tool_print_table(&t);
	table_release(&t);
	return any;
}

int main(int argc, char **argv)
{
	int bad;
	bool any;

	tool_start(&page, argc, argv);
	check_options();
	start();
	read_book();
	bad = book_end(&book);
	settle();
	bad |= book_stock_tell(&book, &stock);
	check_charges();
	any = answer();
	history_release(&history);
	charges_release(&charges);
	house_free(no_house);
	return tool_finish(any && !bad ? TOOL_DONE : TOOL_NO);
}
