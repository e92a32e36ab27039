/*
 * The order of a day against brute force: on random days of up to seven lines, stock_run() finds
 * an order exactly when some order of the untimed lines among the timed ones leaves none short;
 * and no order of the file shows in the stock.
 */
#include "stock/stock.h"
#include "book_made.h"
#include "thrown.h"

enum { LINES = 7, DAYS = 20000, PLACES = 3, BUCKETS = PLACES * 2 };

struct move {
	int event;      /* 0 move, 1 tally, 2 scrap */
	int from, into, type, n, found;
	int second;     /* -1: untimed */
};

/* ---- the plain model: what is at each place of each type */

static bool carry(int *there, const struct move *m)
{
	int at = m->from * 2 + m->type;

	if (m->event == 1 && m->n != there[at] + m->found)
		return false;
	if (m->event != 1 && m->n > there[at])
		return false;
	if (m->event == 1)
		there[at] = m->n;
	else
		there[at] -= m->n;
	if (m->event == 0)
		there[m->into * 2 + m->type] += m->n;
	return true;
}

static bool brute(const int *there, const struct move *m, int n, unsigned done)
{
	int first = 86400;

	if (done == (1u << n) - 1)
		return true;
	for (int i = 0; i < n; i++)
		if (!(done & 1u << i) && m[i].second >= 0 && m[i].second < first)
			first = m[i].second;
	for (int i = 0; i < n; i++) {
		int now[BUCKETS];

		if (done & 1u << i || (m[i].second >= 0 && m[i].second != first))
			continue;
		memcpy(now, there, sizeof now);
		if (carry(now, &m[i]) && brute(now, m, n, done | 1u << i))
			return true;
	}
	return false;
}

/* ---- the same in the book's words */

static const char *const TYPES[] = { "SH", "S6" };

static void write_move(struct buf *out, const struct move *m)
{
	buf_str(out, "2026-03-02 ");
	if (m->second >= 0)
		buf_printf(out, "%02d:%02d ", m->second / 3600, m->second / 60 % 60);
	if (m->event == 0)
		buf_printf(out, "move L1 at=p%d type=%s count=%d into=p%d", m->from, TYPES[m->type], m->n, m->into);
	else if (m->event == 1)
		buf_printf(out, "tally L1 at=p%d form=blade type=%s count=%d found=%d", m->from, TYPES[m->type], m->n, m->found);
	else
		buf_printf(out, "scrap L1 at=p%d type=%s cull=split:%d", m->from, TYPES[m->type], m->n);
	buf_char(out, '\n');
}

static void add_line(struct book_made *m, struct slice text)
{
	const struct line *l = book_made_line(m, text);

	if (l)
		stock_add(&m->stock, l, (int64_t)l->stamp.day * 86400 + l->stamp.second);
}

static void add_book(struct book_made *m, struct slice book, const int *order, int n)
{
	struct slice line[LINES + BUCKETS];
	int count = 0;

	while (book.n) {
		size_t end = slice_find(book, '\n');

		line[count++] = slice_upto(book, end);
		book = slice_from(book, end + 1);
	}
	CHECK(count == n);
	for (int i = 0; i < n; i++) {
		m->lines = (uint64_t)order[i];
		add_line(m, line[order[i]]);
	}
}

static size_t faults_of(struct slice book, const int *order, int n, struct buf *stock)
{
	static struct book_made m;
	size_t faults, nbuckets;
	const struct stock_bucket *b;

	book_made_init(&m);
	add_book(&m, book, order, n);
	stock_run(&m.stock, INT32_MAX, NULL, NULL);
	faults = stock_tell(&m.stock, &m.diags);
	b = stock_buckets(&m.stock, &nbuckets);
	for (int p = 0; p < BUCKETS; p++)
		for (size_t i = 0; i < nbuckets; i++)
			if (slice_eq(stock_text(&m.stock, b[i].kind.type), slice_of(TYPES[p % 2])) &&
			    stock_text(&m.stock, b[i].kind.place).p[1] - '0' == p / 2)
				buf_printf(stock, "%d:%lld ", p, (long long)b[i].n);
	book_made_release(&m);
	return faults;
}

static int make_day(struct move *m, int *there, struct buf *book)
{
	int lines = 0, n = 2 + (int)thrown_below(LINES - 1);

	for (int i = 0; i < BUCKETS; i++) {
		there[i] = (int)thrown_below(6);
		if (!there[i])
			continue;
		buf_printf(book, "2026-03-01 tally L1 at=p%d form=blade type=%s count=%d found=%d\n", i / 2, TYPES[i % 2],
			there[i], there[i]);
		lines++;
	}
	for (int i = 0; i < n; i++) {
		unsigned kind = thrown_below(8);

		m[i] = (struct move){ .event = kind < 6 ? 0 : kind == 6 ? 1 : 2, .second = -1 };
		m[i].from = (int)thrown_below(PLACES);
		m[i].type = (int)thrown_below(2);
		m[i].n = 1 + (int)thrown_below(5);
		if (thrown_below(2))
			m[i].second = (int)(8 + thrown_below(6)) * 3600;
		m[i].into = (m[i].from + 1 + (int)thrown_below(PLACES - 1)) % PLACES;
		if (m[i].event == 1)
			m[i].found = (int)thrown_below(2);
		write_move(book, &m[i]);
	}
	return lines * 100 + n;
}

static void shuffle(int *order, int n)
{
	for (int i = n - 1; i > 0; i--) {
		int k = (int)thrown_below((unsigned)i + 1), was = order[i];

		order[i] = order[k];
		order[k] = was;
	}
}

/*
 * After 1 and 4 pieces b has as many as after 2 and 3, and only the second leads on to nine; the
 * lines' places in the file add up to the same too. The two are not one state.
 */
static void sums(void)
{
	static const char book[] =
		"2026-03-01 tally L1 at=p0 form=blade type=SH count=10 found=10\n"
		"2026-03-02 move L1 at=p0 count=1 into=p1\n"
		"2026-03-02 move L1 at=p0 count=2 into=p1\n"
		"2026-03-02 move L1 at=p0 count=3 into=p1\n"
		"2026-03-02 move L1 at=p0 count=4 into=p1\n"
		"2026-03-02 tally L1 at=p1 count=5\n"
		"2026-03-02 tally L1 at=p1 count=9\n";
	static const int order[] = { 0, 1, 2, 3, 4, 5, 6 };
	struct buf stock = BUF_INIT;

	CHECK(faults_of(slice_of(book), order, 7, &stock) == 0);
	buf_release(&stock);
}

/* What is gone takes no space: a lot is cleft, moved and scrapped on three days in a row, ten a day for four weeks. */
static void check_let_go(void)
{
	static const char *const LINES_OF[] = { "cleave L%d tree=T1 count=SH:30 into=p1", "move L%d at=p1 type=SH count=30 into=p2",
		"scrap L%d at=p2 type=SH cull=split:30" };
	static struct book_made m;
	struct buf text = BUF_INIT;
	size_t nbuckets;
	const struct stock_bucket *b;

	book_made_init(&m);
	for (int day = 1; day <= 28; day++)
		for (int i = 0; i < 30 && (day > 2 || i < day * 10); i++) {
			text.n = 0;
			buf_printf(&text, "2026-02-%02d ", day);
			buf_printf(&text, LINES_OF[i / 10], (day - i / 10) * 10 + i % 10);
			add_line(&m, buf_slice(&text));
		}
	stock_run(&m.stock, INT32_MAX, NULL, NULL);
	CHECK_INT(stock_tell(&m.stock, &m.diags), 0);
	b = stock_buckets(&m.stock, &nbuckets);
	CHECK(nbuckets <= 60);
	for (size_t i = 0; i < nbuckets; i++)
		if (b[i].n)
			CHECK_INT(b[i].n, 30);
	book_made_release(&m);
	buf_release(&text);
}

/* ---- pieces of a lot that only lines about its charge move, after the last line that names it */

static void check_unnamed(void)
{
	static const char *const LINES_OF[] = {
		"2026-02-01 tally L1 at=yard form=cleft type=SH count=9 found=9", "2026-02-01 load K1 kiln=north lot=L1 at=yard count=5",
		"2026-02-03 unload K1 count=2 into=yard", "2026-02-04 unload K1 count=3 into=yard",
	};
	static struct book_made m;
	size_t nbuckets;
	const struct stock_bucket *b;

	book_made_init(&m);
	for (size_t i = 0; i < sizeof LINES_OF / sizeof *LINES_OF; i++)
		add_line(&m, slice_of(LINES_OF[i]));
	stock_run(&m.stock, INT32_MAX, NULL, NULL);
	CHECK_INT(stock_tell(&m.stock, &m.diags), 0);
	b = stock_buckets(&m.stock, &nbuckets);
	CHECK_INT(nbuckets, 1);
	CHECK_INT(nbuckets ? b[0].n : 0, 9);
	book_made_release(&m);
}

/* ---- a lot at many places, all but one of which are given back while a charge still has some of it */

static void add_each(struct book_made *m, const char *line, int first, int last)
{
	struct buf text = BUF_INIT;

	for (int place = first; place <= last; place++) {
		text.n = 0;
		buf_printf(&text, line, place);
		add_line(m, buf_slice(&text));
	}
	buf_release(&text);
}

static void check_many_places(void)
{
	static struct book_made m;
	size_t nbuckets;
	const struct stock_bucket *b;
	int64_t n = 0;

	book_made_init(&m);
	add_line(&m, SLICE("2026-02-01 tally L1 at=p1 form=cleft type=SH count=110 found=110"));
	add_each(&m, "2026-02-02 move L1 at=p1 count=10 into=p%d", 2, 10);
	add_line(&m, SLICE("2026-02-02 load K1 kiln=north lot=L1 at=p1 count=20"));
	add_each(&m, "2026-02-03 move L1 at=p%d count=4 into=p11", 2, 10);
	add_each(&m, "2026-02-04 scrap L1 at=p%d cull=split:6", 2, 10);
	add_line(&m, SLICE("2026-02-04 scrap L1 at=p11 cull=split:36"));
	add_each(&m, "2026-02-05 tally L2 at=p%d form=blade type=SH count=7 found=7", 2, 2);
	add_each(&m, "2026-02-06 move L2 at=p2 count=1 into=p%d", 3, 9);
	add_line(&m, SLICE("2026-02-07 unload K1 count=5 into=yard"));
	add_line(&m, SLICE("2026-02-08 unload K1 count=15 into=yard"));
	add_each(&m, "2026-02-09 tally L2 at=p%d count=1 found=0", 3, 9);
	stock_run(&m.stock, INT32_MAX, NULL, NULL);
	CHECK_INT(stock_tell(&m.stock, &m.diags), 0);
	b = stock_buckets(&m.stock, &nbuckets);
	for (size_t i = 0; i < nbuckets; i++)
		n += b[i].n;
	CHECK_INT(n, 27);
	CHECK_INT(nbuckets, 8);
	book_made_release(&m);
}

int main(void)
{
	thrown_seed = 42;
	check_let_go();
	check_unnamed();
	check_many_places();
	int missed = 0, invented = 0, possible = 0, untimed_days = 0;

	for (int day = 0; day < DAYS; day++) {
		struct move m[LINES];
		struct buf book = BUF_INIT, stock = BUF_INIT, other = BUF_INIT;
		int there[BUCKETS], order[LINES + BUCKETS], made = make_day(m, there, &book);
		int n = made % 100, lines = made / 100 + n;
		bool would = brute(there, m, n, 0);
		size_t faults;

		for (int i = 0; i < lines; i++)
			order[i] = i;
		faults = faults_of(buf_slice(&book), order, lines, &stock);
		missed += would && faults;
		invented += !would && !faults;
		possible += would;
		for (int i = 0; i < n; i++)
			untimed_days += i == 0 && m[i].second < 0;
		shuffle(order, lines);
		CHECK(faults_of(buf_slice(&book), order, lines, &other) == faults);
		CHECK(slice_eq(buf_slice(&stock), buf_slice(&other)));
		buf_release(&book);
		buf_release(&stock);
		buf_release(&other);
	}
	printf("%d days, %d possible, %d missed, %d invented\n", DAYS, possible, missed, invented);
	CHECK(missed == 0);
	CHECK(invented == 0);
	CHECK(possible > DAYS / 20 && possible < DAYS);
	CHECK(untimed_days > 0);
	sums();
	return check_end();
}
