/*
 * What the lines say of blanks and bats, in whichever order they come: masses at the moisture of issue, the first opinion,
 * the first finishing, the bat of a blank, and the step in which bats are weighed.
 */
#include <math.h>

#include "base/intern.h"
#include "book/diag.h"
#include "book/parse.h"
#include "house/house.h"
#include "weigh/blanks.h"
#include "weigh/weigh_book.h"
#include "check.h"

enum { LINES = 11 };

static const char *const BOOK[LINES] = {
	"2026-03-02 judge L1/01 mass=1090g mc=9.0% grade=1 class=heavy",
	"2026-03-03 judge L1/01 mass=1200g grade=2 class=light",
	"2026-03-05 judge L1/01 mass=1120g mc=12.0%",
	"2026-03-02 judge L1/02 mass=1100g",
	"2026-03-02 judge L2/01 mass=1000g",
	"2026-03-02 judge L1/03 grade=1",
	"2026-04-02 make B1 blade=L1/01 handle=H1 at=shop",
	"2026-04-03 make B2 blade=L1/01 handle=H1 at=shop",
	"2026-05-05 finish B1 mass=1180g depth=62mm",
	"2026-05-04 finish B1 mass=1170g edge=38mm",
	"2026-06-01 meter s1 true=1kg read=1001.5g",
};

static struct vocab vocab;

/* The lines in turn from the first-th on, `step` apart. */
static void read_book(struct weigh_book *b, struct intern *ids, int first, int step)
{
	struct diags diags;
	struct parser parser;

	intern_init(ids);
	diags_init(&diags);
	parser_init(&parser, &vocab, &diags);
	weigh_book_init(b, NULL, ids);
	for (int i = 0; i < LINES; i++) {
		const struct line *l = parse_line(&parser, slice_of(BOOK[(first + i * step) % LINES]), 1, 0);

		CHECK(l->kind == LINE_EVENT);
		weigh_book_take(b, l);
	}
	weigh_book_end(b);
	parser_release(&parser);
	diags_release(&diags);
}

static void check_blanks(const struct weigh_book *book, struct intern *ids)
{
	struct blanks blanks;

	blanks_find(&blanks, book, 10);
	CHECK_INT(blanks.n, 3); /* L1/03 was not weighed */
	CHECK_TEXT(blanks.row[0].name, "L1/01");
	/* 1000 g oven-dry at both readings, so 1100 g at 10 %; the weighing without one does not count */
	CHECK_NEAR(blanks.row[0].mass_g, 1100, 1e-9);
	CHECK_INT(blanks.row[0].weighings, 2);
	CHECK_INT(blanks.row[0].moisture, BLANK_READ);
	CHECK_TEXT(intern_text(ids, blanks.row[0].grade), "1");
	CHECK_TEXT(intern_text(ids, blanks.row[0].class), "heavy");
	CHECK_TEXT(intern_text(ids, blanks.row[0].bat), "B1");
	/* the mean of its lot is 10.5 % */
	CHECK_NEAR(blanks.row[1].mass_g, 1100 * 110 / 110.5, 1e-9);
	CHECK_INT(blanks.row[1].moisture, BLANK_READ_OF_LOT);
	CHECK_NEAR(blanks.row[2].mass_g, 1000, 0);
	CHECK_INT(blanks.row[2].moisture, BLANK_NOT_READ);
	CHECK(isnan(blanks.row[2].mc_pct));
	CHECK_INT(blanks.row[2].bat, 0);
	blanks_release(&blanks);
	blanks_find(&blanks, book, NAN); /* without a house: the mean of all readings */
	CHECK_NEAR(blanks.issue_pct, 10.5, 1e-12);
	blanks_release(&blanks);
}

static void check_book(const struct weigh_book *b)
{
	const struct weigh_finished *bat = weigh_book_finished(b, SLICE("B1"));

	CHECK_INT(b->nfinished, 1);
	CHECK(bat && bat->mass == 1170000000);
	CHECK(bat && bat->edge_mm == 38 && isnan(bat->depth_mm));
	CHECK(!weigh_book_finished(b, SLICE("B2")));
	CHECK_INT(b->nchecks, 1);
	CHECK_INT(b->check[0].read - b->check[0].is, 15000);
}

static void check_any_order(void)
{
	for (int first = 0; first < LINES; first++)
		for (int step = 1; step < LINES; step++) {
			struct weigh_book book;
			struct intern ids;

			CHECK_CASE(first * LINES + step);
			read_book(&book, &ids, first, step);
			check_book(&book);
			check_blanks(&book, &ids);
			weigh_book_release(&book);
			intern_release(&ids);
		}
	CHECK_CASE(-1);
}

/* Eight bats of so many micrograms each, and the step that they show. */
static int64_t step_of(const int64_t mass[8], size_t n)
{
	struct weigh_book book = { .finished = mem_zeroed(n, sizeof *book.finished), .nfinished = n };
	int64_t step;

	for (size_t i = 0; i < n; i++) {
		book.finished[i].bat = (uint32_t)i + 1;
		book.finished[i].mass = mass[i];
	}
	weigh_book_end(&book);
	step = weigh_book_step(&book);
	weigh_book_release(&book);
	return step;
}

static void check_steps(void)
{
	static const int64_t half[] = { 992233309, 1006408071, 1020582833, 1034757594, 1048932356, 1063107117, 1077281879, 1091456641 };
	static const int64_t grams[] = { 1000000000, 1001000000, 1002000000, 1003000000, 1004000000, 1005000000, 1006000000, 1007000000 };
	static const int64_t tens[] = { 1000000000, 1010000000, 1020000000, 1030000000, 1040000000, 1050000000, 1060000000, 1070000000 };
	static const int64_t odd[] = { 1000000000, 1001300000, 1002000000, 1003000000, 1004000000, 1005000000, 1006000000, 1007000000 };

	CHECK_INT(step_of(half, 8), 14174762); /* 35 to 38.5 oz */
	CHECK_INT(step_of(half, 7), 0);
	CHECK_INT(step_of(grams, 8), 1000000);
	CHECK_INT(step_of(tens, 8), 10000000);
	CHECK_INT(step_of(odd, 8), 0);
}

int main(void)
{
	vocab_init(&vocab);
	check_any_order();
	check_steps();
	return check_end();
}
