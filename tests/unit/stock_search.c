/*
 * stock_search.c where lines choose, against brute force: on random days of moves of handles and of makes, stock_run() gives every
 * bat a handle that fits exactly when some order of the lines does; and no order of the file shows in the stock.
 */
#include "stock/stock.h"
#include "house/house_open.h"
#include "book_made.h"
#include "thrown.h"

enum { LINES = 6, DAYS = 4000, PLACES = 2, SORTS = 3 };

/* In the order of the house file, which is not that of their words. */
static const char *const HANDLES[SORTS] = { "HS", "HX", "HJ" }, *const BLADES[] = { "SH", "S6" };

static const char HOUSE[] = "works: W\nclock: UTC\ntypes:\n  SH: {}\n  S6: {}\n  HS: {form: handle, fits: [SH]}\n"
	"  HX: {form: handle, fits: [S6, SH]}\n  HJ: {form: handle, fits: [S6]}\n";

/* A move of n handles of a sort from one place to the other, or n 0: a bat, at `from`, of a type of blade. */
struct job {
	int from, sort, n;
};

static bool fits(int handle, int blade)
{
	return handle == 1 || (handle == 0) == (blade == 0);
}

/* ---- the plain model */

static bool carry(int there[PLACES][SORTS], const struct job *j)
{
	int sort = 0;

	if (j->n) {
		there[j->from][j->sort] -= j->n;
		there[!j->from][j->sort] += j->n;
		return there[j->from][j->sort] >= 0;
	}
	while (sort < SORTS && !(there[j->from][sort] && fits(sort, j->sort)))
		sort++;
	if (sort < SORTS)
		there[j->from][sort]--;
	return sort < SORTS;
}

static bool brute(int there[PLACES][SORTS], const struct job *j, int n, unsigned done)
{
	for (int i = 0; i < n; i++) {
		int now[PLACES][SORTS];

		if (done & 1u << i)
			continue;
		memcpy(now, there, sizeof now);
		if (carry(now, &j[i]) && brute(now, j, n, done | 1u << i))
			return true;
	}
	return done == (1u << n) - 1;
}

/* ---- the same in the book's words */

static void count_misfits(void *context, const struct stock_flow *f)
{
	const struct stock *s = ((void **)context)[0];
	int *misfits = ((void **)context)[1];

	if (f->change == STOCK_JOINED && f->from.form == FORM_HANDLE)
		*misfits += !fits(slice_eq(stock_text(s, f->from.type), SLICE("HX")) ? 1 : slice_eq(stock_text(s, f->from.type), SLICE("HS")) ? 0 : 2,
			slice_eq(stock_text(s, f->to.type), SLICE("SH")) ? 0 : 1);
}

static void add_text(struct book_made *m, const struct buf *text)
{
	const struct line *l = book_made_line(m, buf_slice(text));

	if (l)
		stock_add(&m->stock, l, (int64_t)l->stamp.day * 86400);
}

static void add_start(struct book_made *m, int there[PLACES][SORTS])
{
	struct buf text = BUF_INIT;

	for (int i = 0; i < PLACES * SORTS + PLACES * 2; i++) {
		int place = i % PLACES, what = i / PLACES, n = what < SORTS ? there[place][what] : LINES;

		text.n = 0;
		buf_printf(&text, "2026-03-01 tally %s at=p%d form=%s type=%s count=%d found=%d", what < SORTS ? "H1" : "L1", place,
			what < SORTS ? "handle" : "blade", what < SORTS ? HANDLES[what] : BLADES[what - SORTS], n, n);
		if (n)
			add_text(m, &text);
	}
	buf_release(&text);
}

static void add_job(struct book_made *m, const struct job *j, int i)
{
	struct buf text = BUF_INIT;

	if (j->n)
		buf_printf(&text, "2026-03-02 move H1 at=p%d type=%s count=%d into=p%d", j->from, HANDLES[j->sort], j->n, !j->from);
	else
		buf_printf(&text, "2026-03-02 make B%d blade=L1 handle=H1 at=p%d type=%s", i, j->from, BLADES[j->sort]);
	add_text(m, &text);
	buf_release(&text);
}

/* Faults and misfits of the day, its lines in that order or backwards; what is left of each sort is added to `left`. */
static int wrong_in(const struct house *house, int there[PLACES][SORTS], const struct job *j, int n, bool backwards, struct buf *left)
{
	static struct book_made m;
	int misfits = 0, faults;
	void *context[] = { &m.stock, &misfits };

	book_made_init(&m);
	m.stock.house = house;
	add_start(&m, there);
	for (int i = 0; i < n; i++)
		add_job(&m, &j[backwards ? n - 1 - i : i], backwards ? n - 1 - i : i);
	stock_run(&m.stock, INT32_MAX, count_misfits, context);
	faults = (int)stock_tell(&m.stock, &m.diags);
	for (int i = 0; i < PLACES * SORTS; i++) {
		size_t nbuckets;
		const struct stock_bucket *b = stock_buckets(&m.stock, &nbuckets);

		for (size_t k = 0; k < nbuckets; k++)
			if (b[k].kind.form == FORM_HANDLE && slice_eq(stock_text(&m.stock, b[k].kind.type), slice_of(HANDLES[i / PLACES]))
				&& stock_text(&m.stock, b[k].kind.place).p[1] == '0' + i % PLACES)
				buf_printf(left, "%d:%lld ", i, (long long)b[k].n);
	}
	book_made_release(&m);
	return faults + misfits;
}

int main(void)
{
	struct house *house = house_read(slice_of(HOUSE), NULL, NULL);
	int possible = 0, missed = 0, invented = 0;

	thrown_seed = 7;
	for (int day = 0; day < DAYS; day++) {
		int there[PLACES][SORTS], n = 2 + (int)thrown_below(LINES - 1), wrong;
		struct job job[LINES];
		struct buf left = BUF_INIT, again = BUF_INIT;
		bool would;

		for (int i = 0; i < PLACES * SORTS; i++)
			there[i / SORTS][i % SORTS] = (int)thrown_below(3);
		for (int i = 0; i < n; i++) {
			job[i].n = (int)thrown_below(3);
			job[i].from = (int)thrown_below(PLACES);
			job[i].sort = (int)thrown_below(job[i].n ? SORTS : 2);
		}
		would = brute(there, job, n, 0);
		wrong = wrong_in(house, there, job, n, false, &left);
		possible += would;
		missed += would && wrong;
		invented += !would && !wrong;
		CHECK_INT(wrong_in(house, there, job, n, true, &again), wrong);
		CHECK(slice_eq(buf_slice(&left), buf_slice(&again)));
		buf_release(&left);
		buf_release(&again);
	}
	printf("%d days, %d possible, %d missed, %d invented\n", DAYS, possible, missed, invented);
	CHECK_INT(missed, 0);
	CHECK_INT(invented, 0);
	CHECK(possible > DAYS / 20 && possible < DAYS);
	house_free(house);
	return check_end();
}
