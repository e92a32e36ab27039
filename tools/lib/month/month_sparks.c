#include "month/month_sparks.h"

#include <math.h>
#include <stdlib.h>

#include "air/air_view.h"
#include "base/utf8.h"
#include "month/month.h"
#include "table/table_read.h"

enum { NAME_CELLS = 12, DAYS_MOST = 60 };

static void air_by_day(const struct month *m, int32_t from, int32_t to, struct table *t)
{
	static const size_t by[] = { AIR_BY_PLACE, AIR_BY_DAY };
	const struct air_ask ask = { .house = m->house, .wants = { true, true, true }, .by = by, .nby = 2, .from = from, .to = to,
		.as_of = m->days.last, .book = &m->book.air };

	air_view_timed(&ask, t);
}

void month_air_by_day(const struct month *m, struct slice place, int32_t from, int32_t to, struct table *t)
{
	struct table all;

	air_by_day(m, from, to, &all);
	table_init(t, NULL, 0);
	for (size_t i = 0; i < all.n_columns; i++)
		table_add_column(t, all.columns[i].name, all.columns[i].type, all.columns[i].places);
	for (size_t row = 0; row < table_rows(&all); row++)
		for (size_t i = 0; i < all.n_columns && slice_eq(table_word(&all, row, "place"), place); i++)
			table_copy_cell(t, &all, row, all.columns[i].name);
	table_release(&all);
}

struct dry_ask month_dry_ask(struct month *m, const char *const *charge)
{
	struct under_way *u = &m->book.supply.under_way;

	return (struct dry_ask){ .charges = &u->charges, .history = &u->history, .kept = &u->kept, .today = m->days.last,
		.now_s = charges_day_end(&u->charges, m->days.last), .wanted = charge, .nwanted = 1 };
}

/* ---- a line */

struct spark {
	double v[DAYS_MOST];       /* NAN: not known */
	size_t n;
};

static void write_line(const struct spark *s, double low, double high, struct buf *out)
{
	for (size_t i = 0; i < s->n; i++) {
		uint32_t eighth = high > low ? (uint32_t)lround(7 * (s->v[i] - low) / (high - low)) : 3;

		if (isnan(s->v[i]))
			buf_str(out, "\xc2\xb7");
		else
			utf8_add(out, 0x2581 + eighth);
	}
}

/* "store/r1      8.7 LINE 10.0": the name, the lowest, the line, the highest. */
static void write_spark(struct slice name, const struct spark *s, struct buf *out)
{
	double low = INFINITY, high = -INFINITY;
	size_t width;

	for (size_t i = 0; i < s->n; i++) {
		low = s->v[i] < low ? s->v[i] : low;
		high = s->v[i] > high ? s->v[i] : high;
	}
	if (!(low <= high))
		return;
	utf8_add_visible(out, name);
	width = utf8_width(name);
	buf_fill(out, ' ', width < NAME_CELLS ? NAME_CELLS - width : 1);
	buf_printf(out, "%5.1f ", low);
	write_line(s, low, high, out);
	buf_printf(out, " %.1f\n", high);
}

/* ---- the air */

static void take_day(const struct month *m, struct spark *s, const struct table *t, size_t row)
{
	int32_t day;

	if (date_read(table_word(t, row, "day"), &day) != DATE_OK)
		return;
	while (s->n < DAYS_MOST && s->n < (size_t)(day - m->days.first))
		s->v[s->n++] = NAN;
	if (s->n < DAYS_MOST)
		s->v[s->n++] = table_figure(t, row, "emc_mean_pct");
}

void month_sparks_air(struct month *m, struct buf *out)
{
	struct spark s = { .n = 0 };
	struct slice place = SLICE("");
	struct table t;

	air_by_day(m, m->days.first, m->days.last, &t);
	for (size_t row = 0; row < table_rows(&t); row++) {
		if (!slice_eq(table_word(&t, row, "place"), place)) {
			write_spark(place, &s, out);
			s.n = 0;
			place = table_word(&t, row, "place");
		}
		take_day(m, &s, &t, row);
	}
	write_spark(place, &s, out);
	table_release(&t);
}

/* ---- the charges */

struct mean {
	double sum;
	size_t n;
};

static int by_date(const void *a, const void *b)
{
	return slice_cmp(*(const struct slice *)a, *(const struct slice *)b);
}

/* The days of readings, each once, and the mean of the probes of each. */
static void spark_curve(const struct table *t, struct spark *s)
{
	size_t rows = table_rows(t), n = 0;
	struct slice *date = mem_array(rows, sizeof *date);

	for (size_t row = 0; row < rows; row++)
		if (slice_eq(table_word(t, row, "kind"), SLICE("at")))
			date[n++] = slice_upto(table_word(t, row, "date"), strlen("2027-12-31"));
	if (n)
		qsort(date, n, sizeof *date, by_date);
	for (size_t i = 0; i < n && s->n < DAYS_MOST; i++) {
		struct mean mean = { 0, 0 };

		if (i && slice_eq(date[i], date[i - 1]))
			continue;
		for (size_t row = 0; row < rows; row++)
			if (slice_eq(table_word(t, row, "kind"), SLICE("at")) && slice_starts(table_word(t, row, "date"), date[i])) {
				mean.sum += table_figure(t, row, "mc_pct");
				mean.n++;
			}
		s->v[s->n++] = mean.sum / (double)mean.n;
	}
	free(date);
}

void month_sparks_charges(struct month *m, struct buf *out)
{
	const struct table *open = &m->book.is.charges;
	struct buf name = BUF_INIT;

	for (size_t row = 0; row < table_rows(open); row++) {
		struct spark s = { .n = 0 };
		struct dry_ask ask;
		struct table t;
		const char *id;

		name.n = 0;
		buf_add(&name, table_word(open, row, "charge"));
		id = buf_cstr(&name);
		ask = month_dry_ask(m, &id);
		dry_view_curve(&ask, &t);
		spark_curve(&t, &s);
		write_spark(buf_slice(&name), &s, out);
		table_release(&t);
	}
	buf_release(&name);
}
