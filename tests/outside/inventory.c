/*
 * First-in, first-out and the weighted mean of holdings.c, against a worked example of a text book and
 * the definitions of IAS 2 Inventories.
 *
 * Openstax: Principles of Accounting, Volume 1: Financial Accounting, OpenStax 2019, section 10.3,
 *	perpetual system: 150 units at 21, 120 sold; 225 at 27, 180 sold; 210 at 33. First-in, first-out: cost of
 *	goods sold 7,200, ending inventory 8,955. Weighted average, after each purchase: 7,253 and 8,902 (to the
 *	dollar). From memory; the sums were done again by hand.
 * Ias2: paragraph 27: the items bought first are sold first; "the average may be calculated on a periodic basis, or
 *	as each additional shipment is received" (from memory). The figures are of an example on a page about the
 *	standard (2020): 1,000 at 10, 300 at 9.5, 200 at 9.7, 400 at 9.6, and 1,400 sold. By the definition 500 are left,
 *	100 x 9.7 + 400 x 9.6 = 4,810.00 or 500 x 18,630 / 1,900 = 4,902.63.
 */
#include "cost/cost_book.h"
#include "cost/holdings.h"
#include "expect.h"

enum { CENTS = 100 };

struct shop {
	struct stock stock;
	struct cost_book book;
	struct holdings holdings;
	struct cost_hand hand;
	uint32_t batch;
	int32_t day;
};

static void open_shop(struct shop *s, bool mean)
{
	struct stock_kind kind = { .form = FORM_HANDLE };

	memset(s, 0, sizeof *s);
	stock_init(&s->stock, NULL);
	kind.lot = intern_id(&s->stock.ids, SLICE("M1"));
	kind.place = intern_id(&s->stock.ids, SLICE("cane"));
	cost_book_init(&s->book, NULL, &s->stock.ids);
	s->book.nelements = 1;
	holdings_init(&s->holdings, &s->stock, &s->book, mean);
	s->batch = holdings_batch(&s->holdings, &kind);
}

static void close_shop(struct shop *s)
{
	free(s->hand.part);
	free(s->hand.money);
	holdings_release(&s->holdings);
	cost_book_release(&s->book);
	stock_release(&s->stock);
}

static void buy(struct shop *s, int64_t n, int64_t each)
{
	const int64_t money[] = { n * each, 0 };
	struct layer_facts is = { .since = ++s->day, .here = s->day, .ready = INT32_MAX };

	is.cohort = holdings_cohort(&s->holdings, (struct cohort_key){ s->holdings.batch[s->batch].kind.lot, 0, 0 });
	holdings_put(&s->holdings, s->batch, &is, n, money, ACCOUNT_OUTSIDE);
}

/* Returns what the sold pieces had cost. */
static double sell(struct shop *s, int64_t n)
{
	int64_t sum = 0;

	holdings_take(&s->holdings, s->batch, n, ++s->day, &s->hand);
	for (size_t i = 0; i < s->hand.n; i++)
		sum += hand_money(&s->holdings, &s->hand, i)[0];
	return (double)sum / CENTS;
}

static double left(const struct shop *s)
{
	size_t n;
	int64_t *money = holdings_money(&s->holdings, s->batch, &n), sum = 0;

	for (size_t i = 0; i < n; i++)
		sum += money[2 * i];
	free(money);
	return (double)sum / CENTS;
}

static void openstax(bool mean, double sold, double ending, double tol)
{
	struct shop s;
	double cost;

	open_shop(&s, mean);
	buy(&s, 150, 21 * CENTS);
	cost = sell(&s, 120);
	buy(&s, 225, 27 * CENTS);
	cost += sell(&s, 180);
	buy(&s, 210, 33 * CENTS);
	expect_near(mean ? "weighted average, sold" : "first-in, first-out, sold", cost, sold, tol);
	expect_near(mean ? "weighted average, ending" : "first-in, first-out, ending", left(&s), ending, tol);
	expect_near("both together are what was bought", cost + left(&s), 150 * 21 + 225 * 27 + 210 * 33, 0.001);
	close_shop(&s);
}

static void ias2(bool mean, double ending)
{
	struct shop s;

	open_shop(&s, mean);
	buy(&s, 1000, 1000);
	buy(&s, 300, 950);
	buy(&s, 200, 970);
	buy(&s, 400, 960);
	expect_near("sold and left", sell(&s, 1400) + left(&s), 18630, 0.001);
	expect_near(mean ? "IAS 2, weighted average" : "IAS 2, first-in, first-out", left(&s), ending, 0.001);
	close_shop(&s);
}

int main(void)
{
	openstax(false, 7200, 8955, 0.001);
	openstax(true, 7253, 8902, 0.5);
	openstax(true, 7252.94, 8902.06, 0.011);
	ias2(false, 4810.00);
	ias2(true, 4902.63);
	return expect_verdict(13);
}
