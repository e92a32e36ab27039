#include "air/as_written.h"

#include <math.h>

#include "air/air_book.h"
#include "book/line.h"
#include "math/stats.h"

enum { K_METER, K_QUANTITY, K_DAY, CHECK_KEYS };

/* Temperatures and humidities; an EMC is read by no instrument. */
enum { READ = AIR_RH + 1 };

static const char *const WORDS[READ] = { "temp", "rh" };
static const char *const OFF[] = { "off" };
static const struct groups_plan READ_PLAN = { .name = "instrument", .nkeys = 1, .nsums = READ, .sums = WORDS };
static const struct groups_plan CHECKS_PLAN = { .name = "check", .nkeys = CHECK_KEYS, .nsums = 1, .sums = OFF };

void as_written_init(struct as_written *a)
{
	groups_init(&a->read, &READ_PLAN);
	groups_init(&a->checks, &CHECKS_PLAN);
}

void as_written_release(struct as_written *a)
{
	groups_release(&a->read);
	groups_release(&a->checks);
}

static void merge(struct groups *into, const struct groups *from)
{
	for (size_t i = 0; i < from->n; i++)
		group_merge(into->plan, groups_at(into, from->list[i]->key), from->list[i]);
}

void as_written_merge(struct as_written *into, const struct as_written *from)
{
	merge(&into->read, &from->read);
	merge(&into->checks, &from->checks);
}

/* ---- lines */

void as_written_take_check(struct as_written *a, const struct line *l)
{
	struct buf day = BUF_INIT;
	int64_t off;
	int quantity = air_book_check(l, &off);

	if (quantity < 0)
		return;
	day_write(&day, l->stamp.day);
	sums_add(&groups_at(&a->checks, (const struct slice[CHECK_KEYS]){ l->subject, slice_of(WORDS[quantity]), buf_slice(&day) })->sums[0], off);
	buf_release(&day);
}

struct group *as_written_take_air(struct as_written *a, struct group *last, const struct line *l)
{
	const struct item *meter = line_item(l, FIELD_METER);
	struct group *g = last;

	if (!meter)
		return last;
	if (!g || !slice_eq(g->key[0], meter->text))
		g = groups_at(&a->read, &meter->text);
	if (line_item(l, FIELD_TEMP))
		sums_add(&g->sums[AIR_TEMP], l->stamp.day);
	if (line_item(l, FIELD_RH))
		sums_add(&g->sums[AIR_RH], l->stamp.day);
	return g;
}

/* ---- how far off an instrument was on the days of its readings */

struct off {
	double least, most;  /* 0.0001: true less read; least above most: not off */
};

/* The checks of one name and quantity, in the order of their days; what is past is taken off its end. */
struct run {
	struct group *const *check;
	size_t n;
};

/* How many checks go before those of a name and quantity, or, with `after`, before what follows these. */
static size_t bound(const struct groups *checks, struct slice name, struct slice quantity, bool after)
{
	size_t low = 0, high = checks->n;

	while (low < high) {
		size_t mid = low + (high - low) / 2;
		const struct slice *key = checks->list[mid]->key;
		int order = slice_cmp(key[K_METER], name);

		order = order ? order : slice_cmp(key[K_QUANTITY], quantity);
		if (order < 0 || (after && order == 0))
			low = mid + 1;
		else
			high = mid;
	}
	return low;
}

static struct run run_of(const struct groups *checks, struct slice name, int quantity)
{
	struct slice word = slice_of(WORDS[quantity]);
	size_t first = bound(checks, name, word, false);

	return (struct run){ checks->list + first, bound(checks, name, word, true) - first };
}

/* The day of the last check of a run up to `to`; INT32_MIN where there is none. */
static int32_t last_day(struct run *run, int32_t to)
{
	int32_t day;

	for (; run->n; run->n--)
		if (date_read(run->check[run->n - 1]->key[K_DAY], &day) == DATE_OK && day <= to)
			return day;
	return INT32_MIN;
}

/* What the checks of the last day up to `to` found, of both names together; NAN where there is none. That day goes to *day. */
static double last_off(struct run run[2], int32_t to, int32_t *day)
{
	int32_t last[2] = { last_day(&run[0], to), last_day(&run[1], to) };
	struct sums sums = { 0 };

	*day = last[0] > last[1] ? last[0] : last[1];
	for (int i = 0; i < 2; i++)
		if (run[i].n && last[i] == *day)
			sums_merge(&sums, &run[i].check[run[i].n - 1]->sums[0]);
	return sums_mean(&sums, 1);
}

/* From the last day back: the check that holds there, the one that held before that, and so on to the first day. */
static struct off off_of(const struct groups *checks, struct slice meter, int quantity, const struct sums *days)
{
	size_t stroke = slice_find(meter, '/'); /* with `pin2/cane` also the checks of `pin2` */
	struct run run[2] = { run_of(checks, meter, quantity) };
	struct off off = { HUGE_VAL, -HUGE_VAL };
	int32_t to = (int32_t)days->most;

	if (stroke < meter.n)
		run[1] = run_of(checks, slice_upto(meter, stroke), quantity);
	while (days->n && to >= days->least) {
		int32_t day;
		double found = last_off(run, to, &day);

		if (isnan(found))
			break;
		if (fabs(found) > 0) {
			off.least = fmin(off.least, found);
			off.most = fmax(off.most, found);
		}
		to = day - 1;
	}
	return off;
}

/* ---- in words: "reads 0.50 to 1.60 % RH high" */

static void add_off(struct buf *b, const struct off *off, int quantity)
{
	const char *unit = quantity == AIR_RH ? "% RH" : "C";
	double least = fabs(off->most) / VALUE_STEPS, most = fabs(off->least) / VALUE_STEPS;

	if (off->most > 0 && off->least < 0) {
		buf_printf(b, " between %.2f %s low and %.2f %s high", least, unit, most, unit);
		return;
	}
	if (off->most > 0) {
		double turned = least;

		least = most;
		most = turned;
	}
	if (off->least < off->most)
		buf_printf(b, " %.2f to", least);
	buf_printf(b, " %.2f %s %s", most, unit, off->most > 0 ? "low" : "high");
}

void as_written_say(struct as_written *a, struct buf *out, bool temps, bool humidities)
{
	const bool asked[READ] = { [AIR_TEMP] = temps, [AIR_RH] = humidities };
	size_t before = out->n;

	groups_sort(&a->read);
	groups_sort(&a->checks);
	for (size_t i = 0; i < a->read.n; i++)
		for (int q = 0; q < READ; q++) {
			const struct group *g = a->read.list[i];
			struct off off = asked[q] ? off_of(&a->checks, g->key[0], q, &g->sums[q]) : (struct off){ 1, 0 };

			if (off.least > off.most)
				continue;
			buf_str(out, out->n > before ? ", " : "Readings are as written, but by the checks ");
			buf_add(out, g->key[0]);
			buf_str(out, " reads");
			add_off(out, &off, q);
		}
	if (out->n > before)
		buf_str(out, ". --timed gives the corrected means.");
}
