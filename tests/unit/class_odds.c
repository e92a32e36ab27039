/*
 * Of which class blades are, and which land in a mass: worked by hand on small books. The Dirichlet odds of three classes, with the type's and the works'
 * means before them; judged pieces where the lines of a lot give no class; few pieces leave it wide, lots that differ too. The chance of landing is
 * that of finished bats by Student's t, and of blanks as from so many pieces.
 */
#include <math.h>

#include "weigh/class_odds.h"
#include "weigh/landing.h"
#include "weigh/weigh_wanted.h"
#include "book_made.h"

enum { DAY = 100000 };

struct bench {
	struct book_made made;
	struct weigh_parts parts;
	struct class_odds odds;
};

static void hand_in(struct bench *b, const char *text)
{
	const struct line *l = book_made_line(&b->made, slice_of(text));

	if (!l)
		return;
	weigh_parts_take(&b->parts, l);
	stock_add(&b->made.stock, l, 0);
}

static void bench_init(struct bench *b)
{
	book_made_init(&b->made);
	weigh_parts_init(&b->parts, NULL, &b->made.stock, DAY);
}

static void bench_run(struct bench *b)
{
	weigh_parts_run(&b->parts);
	weigh_parts_fit(&b->parts, NAN, MASS_BY_TYPE, 0);
	class_odds_find(&b->odds, &b->parts);
}

static void bench_release(struct bench *b)
{
	class_odds_release(&b->odds);
	weigh_parts_release(&b->parts);
	book_made_release(&b->made);
}

static uint32_t id(struct bench *b, const char *word)
{
	return word ? intern_id(&b->made.stock.ids, slice_of(word)) : STOCK_ANY;
}

static struct beta odds_of(struct bench *b, const char *type, const char *grade, const char *class)
{
	return class_odds_of(&b->odds, id(b, type), id(b, grade), id(b, class), 1);
}

static double mean_of(struct beta b)
{
	return b.a / (b.a + b.b);
}

/* SH/1: 6 light, 14 heavy; SH/2: 3 middle; HA/1: 4 light. Blades of L3 have no class but for two that were judged. */
static const char *const BOOK[] = {
	"2026-01-02 tally L1 at=store form=blade type=SH count=23 found=23",
	"2026-01-03 grade L1 at=store count=SH/1/light:6,SH/1/heavy:14,SH/2/middle:3",
	"2026-01-02 tally L2 at=store form=blade type=HA count=9 found=9",
	"2026-01-03 grade L2 at=store count=HA/1/light:4,HA/1:5",
	"2026-01-02 tally L3 at=store form=blade type=S6 count=9 found=9",
	"2026-01-03 grade L3 at=store count=S6/1:9",
	"2026-01-04 judge L3/01 grade=1 class=heavy mass=1200g",
	"2026-01-05 judge L3/02 grade=1 class=light mass=1000g",
	"2026-01-06 judge L3/02 grade=1 class=heavy",
	"2026-01-06 judge L1/02 grade=1 class=light mass=1000g",
	NULL
};

static void check_means(void)
{
	/* Of 29 pieces 11 are light: L1 6, L2 4, L3 1. Three classes were seen. */
	const double works = (11 + 0.5) / (29 + 1.5), sh = (6 + 10 * works) / (23 + 10), ha = (4 + 10 * works) / (4 + 10), s6 = (1 + 10 * works) / (2 + 10);
	struct bench b;
	struct beta light, middle, heavy;

	bench_init(&b);
	for (size_t i = 0; BOOK[i]; i++)
		hand_in(&b, BOOK[i]);
	bench_run(&b);
	CHECK_INT((int64_t)b.odds.classes, 3);
	CHECK_INT(class_odds_seen(&b.odds, id(&b, "SH"), id(&b, "1")), 20);
	CHECK_INT(class_odds_seen(&b.odds, id(&b, "S6"), STOCK_ANY), 2);
	light = odds_of(&b, "SH", "1", "light");
	CHECK_NEAR(mean_of(light), (6 + 10 * sh) / 30, 1e-9);
	CHECK_NEAR(light.a + light.b, 30, 1e-6);
	CHECK_NEAR(mean_of(odds_of(&b, "HA", "1", "light")), (4 + 10 * ha) / 14, 1e-9);
	CHECK_NEAR(mean_of(odds_of(&b, "S6", "1", "light")), (1 + 10 * s6) / 12, 1e-9);
	CHECK_NEAR(mean_of(odds_of(&b, "SH", NULL, "light")), (6 + 10 * sh) / 33, 1e-9);
	/* a type that nothing was seen of: the works' mean */
	CHECK_NEAR(mean_of(odds_of(&b, "S5", "1", "light")), works, 1e-9);
	/* the classes of a grade are all there is */
	middle = odds_of(&b, "SH", "1", "middle");
	heavy = odds_of(&b, "SH", "1", "heavy");
	CHECK_NEAR(mean_of(light) + mean_of(middle) + mean_of(heavy), 1, 1e-9);
	bench_release(&b);
}

/* Nothing seen: Jeffreys of two classes, which is as wide as can be. With one piece seen it is worth a few. */
static void check_few(void)
{
	struct bench b;
	struct beta odds;

	bench_init(&b);
	hand_in(&b, "2026-01-02 tally L1 at=store form=blade type=SH count=3 found=3");
	bench_run(&b);
	odds = odds_of(&b, "SH", "1", "light");
	CHECK_NEAR(odds.a, 0.5, 1e-9);
	CHECK_NEAR(odds.b, 0.5, 1e-9);
	bench_release(&b);
	bench_init(&b);
	hand_in(&b, "2026-01-02 tally L1 at=store form=blade type=SH count=3 found=3");
	hand_in(&b, "2026-01-03 grade L1 at=store count=SH/1/light:1");
	bench_run(&b);
	odds = odds_of(&b, "SH", "1", "light");
	/* 1 of 1; the type's 1 of 1 with two more of the works' 1.5 of 2; that of the type with three more */
	CHECK_NEAR(mean_of(odds), (1 + 3 * ((1 + 2 * 0.75) / 3)) / 4, 1e-9);
	CHECK_NEAR(odds.a + odds.b, 4, 1e-6);
	bench_release(&b);
}

/* The standard deviation of the proportion in a new lot: ten lots of 20. */
static double sd_of(const char *even, const char *odd)
{
	struct bench b;
	struct beta odds;
	double sum;

	bench_init(&b);
	for (int i = 0; i < 10; i++) {
		char text[128];

		snprintf(text, sizeof text, "2026-01-02 tally L%d at=store form=blade type=SH count=20 found=20", i);
		hand_in(&b, text);
		snprintf(text, sizeof text, "2026-01-03 grade L%d at=store count=%s", i, i % 2 ? odd : even);
		hand_in(&b, text);
	}
	bench_run(&b);
	odds = odds_of(&b, "SH", "1", "light");
	sum = odds.a + odds.b;
	bench_release(&b);
	return sqrt(odds.a * odds.b / (sum * sum * (sum + 1)));
}

static void check_lots(void)
{
	CHECK_NEAR(sd_of("SH/1/light:10,SH/1/heavy:10", "SH/1/light:10,SH/1/heavy:10"), sqrt(0.25 / 211), 1e-6);
	CHECK(sd_of("SH/1/light:18,SH/1/heavy:2", "SH/1/light:2,SH/1/heavy:18") > 0.36);
}

/* ---- landing */

/* Ten bats of unweighed blades, of 1100 to 1190 g; blades that were weighed have no pairs. */
static void check_bats(void)
{
	const struct weigh_ask ask = { .nitems = 0 };
	struct bench b;
	struct landing l;
	struct beta odds;
	double t;

	bench_init(&b);
	hand_in(&b, "2026-01-02 tally L1 at=shop form=blade type=SH count=20 found=20");
	hand_in(&b, "2026-01-03 grade L1 at=shop count=1:20");
	hand_in(&b, "2026-01-02 tally H1 at=shop form=handle type=HS count=20 found=20");
	for (int i = 0; i < 10; i++) {
		char text[128];

		snprintf(text, sizeof text, "2026-02-02 make B%d blade=L1 handle=H1 at=shop", i);
		hand_in(&b, text);
		snprintf(text, sizeof text, "2026-02-03 finish B%d mass=%dg", i, 1100 + 10 * i);
		hand_in(&b, text);
	}
	bench_run(&b);
	l = landing_of(&b.parts, &ask, id(&b, "SH"), 0, -INFINITY, 1145);
	CHECK(l.basis == WANTED_OF_BATS && l.of == 10);
	CHECK_NEAR(l.chance, 0.5, 1e-9);
	odds = landing_odds(&l, 1);
	CHECK_NEAR(odds.a, 5.5, 1e-6);
	CHECK_NEAR(odds.b, 5.5, 1e-6);
	/* mean 1145, sd 30.2765, one more: 31.7543; 55 g above is t = 1.73205 with 9 df, beyond which is 0.0586534 (R: pt(-sqrt(3), 9)) */
	t = landing_of(&b.parts, &ask, id(&b, "SH"), 0, 1200, INFINITY).chance;
	CHECK_NEAR(t, 0.0586534, 1e-7);
	CHECK(landing_of(&b.parts, &ask, id(&b, "HA"), 0, 1100, 1200).basis == WANTED_UNKNOWN);
	l = landing_of(&b.parts, &ask, id(&b, "HA"), 0, 1100, 1200);
	odds = landing_odds(&l, 1);
	CHECK(odds.b == 0);
	bench_release(&b);
}

int main(void)
{
	check_means();
	check_few();
	check_lots();
	check_bats();
	return check_end();
}
