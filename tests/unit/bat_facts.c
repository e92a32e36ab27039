/*
 * What the lines say of bats, in whichever order they come: the mass of the last `finish` that has
 * one, of two at once the greater; a bat is back from a later `return` until it is finished once more.
 */
#include "base/intern.h"
#include "book/diag.h"
#include "book/parse.h"
#include "stock/bat_facts.h"
#include "check.h"

enum { LINES = 7 };

static const char *const BOOK[LINES] = {
	"2026-03-02 finish B1 mass=1170g",
	"2026-03-05 10:00 finish B1 mass=1160g",
	"2026-03-05 10:00 finish B1 mass=1165g",
	"2026-03-06 finish B1",
	"2026-03-09 return B1 into=shop cause=handle",
	"2026-03-04 finish B2 mass=1200g",
	"2026-03-04 return B2 into=shop cause=handle",
};

static struct vocab vocab;

/* The lines in turn from the first-th on, `step` apart; all where the step and LINES have no common factor. */
static void add_book(struct bat_facts *facts, int first, int step, int n)
{
	struct diags diags;
	struct parser parser;

	diags_init(&diags);
	parser_init(&parser, &vocab, &diags);
	for (int i = 0; i < n; i++) {
		const struct line *l = parse_line(&parser, slice_of(BOOK[(first + i * step) % LINES]), 1, 0);

		CHECK(l->kind == LINE_EVENT);
		bat_facts_add(facts, l);
	}
	parser_release(&parser);
	diags_release(&diags);
}

static void check_any_order(void)
{
	for (int first = 0; first < LINES; first++)
		for (int step = 1; step < LINES; step++) {
			struct intern ids;
			struct bat_facts facts;
			uint32_t b1, b2;

			intern_init(&ids);
			bat_facts_init(&facts, &ids);
			add_book(&facts, first, step, LINES);
			b1 = intern_find(&ids, SLICE("B1"));
			b2 = intern_find(&ids, SLICE("B2"));
			CHECK_CASE(first * LINES + step);
			CHECK_INT(bat_facts_mass(&facts, b1), 1165000000);
			CHECK(bat_facts_is_back(&facts, b1));
			CHECK_INT(bat_facts_mass(&facts, b2), 1200000000);
			CHECK(!bat_facts_is_back(&facts, b2)); /* finished on the day that it came back */
			bat_facts_release(&facts);
			intern_release(&ids);
		}
	CHECK_CASE(-1);
}

static void check_unknown(void)
{
	struct intern ids;
	struct bat_facts facts;

	intern_init(&ids);
	bat_facts_init(&facts, &ids);
	CHECK_INT(bat_facts_mass(&facts, 900), 0);
	CHECK(!bat_facts_is_back(&facts, 900));
	add_book(&facts, 3, 1, 1); /* finished, and never weighed */
	CHECK_INT(bat_facts_mass(&facts, intern_find(&ids, SLICE("B1"))), 0);
	CHECK(!bat_facts_is_back(&facts, intern_find(&ids, SLICE("B1"))));
	bat_facts_release(&facts);
	intern_release(&ids);
}

int main(void)
{
	vocab_init(&vocab);
	check_any_order();
	check_unknown();
	return check_end();
}
