#include "chart/picture_say.h"

#include <math.h>

#include "chart/scale.h"
#include "table/number_text.h"
#include "time/calendar.h"

static void add_day(struct buf *b, double day, bool with_year)
{
	int year, month, date;

	if (!(fabs(day) < 3e6) || day < day_of(1, 1, 1) || day > day_of(9999, 12, 31))
		return;
	day_split((int32_t)floor(day), &year, &month, &date);
	buf_printf(b, "%d %s", date, scale_month(month));
	if (with_year)
		buf_printf(b, " %d", year);
}

void say_day(struct buf *b, double day)
{
	add_day(b, day, false);
}

void say_day_year(struct buf *b, double day)
{
	add_day(b, day, true);
}

void say_number(struct buf *b, double v, unsigned places)
{
	if (isfinite(v))
		buf_real_shown(b, v, places);
	else
		buf_char(b, '-');
}

void say_whole(struct buf *b, double v)
{
	enum { IN_FULL = 5 };
	struct buf digits = BUF_INIT;
	size_t sign;

	say_number(&digits, v, 0);
	sign = digits.n && digits.p[0] == '-';
	for (size_t i = 0; i < digits.n; i++) {
		if (digits.n - sign > IN_FULL && i > sign && (digits.n - i) % 3 == 0 && fabs(v) < 1e15)
			buf_char(b, ' ');
		buf_char(b, digits.p[i]);
	}
	buf_release(&digits);
}

void say_percent(struct buf *b, double share)
{
	double percent = 100 * share;

	if (percent > 0 && percent < 1)
		buf_str(b, "<1");
	else if (percent < 100 && percent > 99)
		buf_str(b, ">99");
	else
		say_number(b, percent, 0);
}

void say_count(struct buf *b, double n, const char *thing)
{
	say_whole(b, n);
	buf_printf(b, " %s%s", thing, n >= 0.5 && n < 1.5 ? "" : "s");
}
