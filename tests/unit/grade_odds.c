/*
 * What pieces will be graded as, from those before: worked by hand on a book of one type; a type without a past has the
 * works' mean; wood that is further on has fewer steps before it; two lots that differ make the number less sure; a source has its
 * own odds around those of the type.
 */
#include <math.h>

#include "grades/grade_odds.h"
#include "book_made.h"

/* SH: 100 loaded, 90 out, 80 planed (5 became S6), 75 looked at: 30 of grade 1, 40 of grade 2, 5 culled. */
static const char *const ONE[] = {
	"2026-01-02 tally L1 at=yard form=cleft type=SH count=100 found=100",
	"2026-01-03 load C1 kiln=north lot=L1 at=yard count=100",
	"2026-01-14 unload C1 into=bench count=90 cull=split:10",
	"2026-01-15 plane L1 at=bench count=SH:75,S6:5 cull=knot:10",
	"2026-01-16 grade L1 at=bench type=SH count=1:30,2:40 cull=speck:5 into=store",
	"2026-01-17 tally L9 at=yard form=cleft type=HA count=3 found=3",
	NULL
};

/* Ten lots of 20 blades; of the even ones nearly all are 1, of the odd ones nearly none; or all of them half and half. */
static const char *const APART[] = { "1:18,2:2", "1:2,2:18" }, *const ALIKE[] = { "1:10,2:10", "1:10,2:10" };

struct bench {
	struct book_made made;
	struct provenance origins;
	struct grade_odds odds;
};

static void hand_in(struct bench *b, const char *text)
{
	const struct line *l = book_made_line(&b->made, slice_of(text));

	if (!l)
		return;
	provenance_add(&b->origins, l);
	stock_add(&b->made.stock, l, 0);
}

static void bench_init(struct bench *b)
{
	book_made_init(&b->made);
	provenance_init(&b->origins, &b->made.stock.ids);
}

static void bench_run(struct bench *b)
{
	provenance_end(&b->origins);
	grade_odds_init(&b->odds, NULL, &b->made.stock, &b->origins, 100000);
	stock_run(&b->made.stock, 100000, grade_odds_flow, &b->odds);
	grade_odds_end(&b->odds);
}

static void bench_release(struct bench *b)
{
	grade_odds_release(&b->odds);
	provenance_release(&b->origins);
	book_made_release(&b->made);
}

static double mean_of(struct bench *b, const char *type, const char *grade, enum grade_odds_step step)
{
	struct beta odds = grade_odds_of(&b->odds, (struct grade_odds_wood){ intern_id(&b->made.stock.ids, slice_of(type)), 0 },
		grade ? intern_id(&b->made.stock.ids, slice_of(grade)) : STOCK_ANY, step);

	return odds.a / (odds.a + odds.b);
}

/* (k + 10 works) / (n + 10), where works is (k + 1/2) / (n + outcomes / 2): of grade 1, 2 or culled there are three. */
static double shrunk(double k, double n, double outcomes)
{
	double works = (k + 0.5) / (n + outcomes / 2);

	return (k + 10 * works) / (n + 10);
}

static void check_one(void)
{
	struct bench b;
	double kiln = shrunk(90, 100, 2), plane = shrunk(75, 90, 2), first = shrunk(30, 75, 3), any = shrunk(70, 75, 2);

	bench_init(&b);
	for (size_t i = 0; ONE[i]; i++)
		hand_in(&b, ONE[i]);
	bench_run(&b);
	CHECK(grade_odds_known(&b.odds));
	CHECK_NEAR(mean_of(&b, "SH", "1", GRADE_ODDS_GRADE), first, 1e-9);
	CHECK_NEAR(mean_of(&b, "SH", NULL, GRADE_ODDS_GRADE), any, 1e-9);
	CHECK_NEAR(mean_of(&b, "SH", "1", GRADE_ODDS_PLANE), first * plane, 1e-9);
	CHECK_NEAR(mean_of(&b, "SH", "1", GRADE_ODDS_KILN), first * plane * kiln, 1e-9);
	/* a type that was never graded: the works' means */
	CHECK_NEAR(mean_of(&b, "HA", "1", GRADE_ODDS_GRADE), 30.5 / 76.5, 1e-9);
	CHECK_NEAR(mean_of(&b, "HA", "1", GRADE_ODDS_KILN), 30.5 / 76.5 * (75.5 / 91) * (90.5 / 101), 1e-9);
	/* a grade that none got */
	CHECK(mean_of(&b, "SH", "7", GRADE_ODDS_GRADE) == 0);
	bench_release(&b);
}

/* The standard deviation of the proportion of grade 1. */
static double sd_of(const char *const *grades)
{
	struct bench b;
	struct beta odds;
	double sum;

	bench_init(&b);
	for (int i = 0; i < 10; i++) {
		char text[128];

		snprintf(text, sizeof text, "2026-01-02 tally L%d at=bench form=blade type=SH count=20 found=20", i);
		hand_in(&b, text);
		snprintf(text, sizeof text, "2026-01-03 grade L%d at=bench count=%s", i, grades[i % 2]);
		hand_in(&b, text);
	}
	bench_run(&b);
	odds = grade_odds_of(&b.odds, (struct grade_odds_wood){ STOCK_ANY, 0 }, intern_id(&b.made.stock.ids, SLICE("1")), GRADE_ODDS_GRADE);
	sum = odds.a + odds.b;
	bench_release(&b);
	return sqrt(odds.a * odds.b / (sum * sum * (sum + 1)));
}

/* Lots that do not differ leave what 210 pieces do; of those that do, a new one is as any of them: the sd of 0.1 and 0.9 is 0.4. */
static void check_lots(void)
{
	CHECK_NEAR(sd_of(ALIKE), sqrt(0.25 / 211), 1e-6);
	CHECK(sd_of(APART) > 0.36 && sd_of(APART) < 0.46);
}

/* Of alder 36 of 40 are 1, of koethe 4 of 40. */
static const char *const SOURCES[] = {
	"2026-01-02 buy C1 form=cleft count=SH:40 into=bench from=alder",
	"2026-01-02 buy D1 form=cleft count=SH:40 into=bench from=koethe",
	"2026-01-03 plane C1 at=bench count=40",
	"2026-01-03 plane D1 at=bench count=40",
	"2026-01-04 grade C1 at=bench count=1:36,2:4",
	"2026-01-04 grade D1 at=bench count=1:4,2:36",
	NULL
};

static double mean_from(struct bench *b, const char *source)
{
	struct beta odds = grade_odds_of(&b->odds, (struct grade_odds_wood){ intern_id(&b->made.stock.ids, SLICE("SH")), intern_id(&b->made.stock.ids, slice_of(source)) },
		intern_id(&b->made.stock.ids, SLICE("1")), GRADE_ODDS_GRADE);

	return odds.a / (odds.a + odds.b);
}

static void check_sources(void)
{
	struct bench b;
	double type = shrunk(40, 80, 3);

	bench_init(&b);
	for (size_t i = 0; SOURCES[i]; i++)
		hand_in(&b, SOURCES[i]);
	bench_run(&b);
	CHECK_INT(grade_odds_source(&b.odds, intern_id(&b.made.stock.ids, SLICE("C1"))), intern_id(&b.made.stock.ids, SLICE("alder")));
	CHECK_NEAR(mean_from(&b, "alder"), (36 + 10 * type) / 50, 1e-9);
	CHECK_NEAR(mean_from(&b, "koethe"), (4 + 10 * type) / 50, 1e-9);
	CHECK_NEAR(mean_from(&b, "hale"), type, 1e-9);
	bench_release(&b);
}

/* Before the first grading nothing is known. */
static void check_none(void)
{
	struct bench b;

	bench_init(&b);
	hand_in(&b, ONE[0]);
	bench_run(&b);
	CHECK(!grade_odds_known(&b.odds));
	bench_release(&b);
}

int main(void)
{
	check_one();
	check_lots();
	check_sources();
	check_none();
	return check_end();
}
