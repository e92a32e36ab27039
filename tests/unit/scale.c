/* Scales: nice ends and ticks, and ticks of dates by the calendar. Worked out by hand. */
#include "chart/scale.h"

#include <math.h>

#include "check.h"
#include "time/calendar.h"

static struct scale_tick tick[SCALE_TICKS_MOST];

/* All texts of a scale of 600 px with commas between. */
static void check_texts(struct scale s, double apart, const char *want)
{
	struct buf text = BUF_INIT;
	size_t n;

	s = scale_between(s, 0, 600);
	n = scale_ticks(&s, apart, tick);
	for (size_t i = 0; i < n; i++) {
		buf_printf(&text, "%s%s", i ? "," : "", tick[i].text);
		CHECK(tick[i].value >= s.from - 1e-6 * fabs(s.from) - 1e-9 && scale_at(&s, tick[i].value) <= 600.01);
	}
	CHECK_TEXT(buf_slice(&text), want);
	buf_release(&text);
}

static void check_linear(void)
{
	check_texts(scale_nice(0, 100, 5), 0, "0,20,40,60,80,100");
	check_texts(scale_nice(7.2, 24.6, 5), 0, "5,10,15,20,25");
	check_texts(scale_nice(8.31, 8.84, 5), 0, "8.2,8.4,8.6,8.8,9.0");
	check_texts(scale_nice(-3, 4, 4), 0, "-4,-2,0,2,4");
	check_texts(scale_nice(0, 0, 2), 0, "-1,0,1");
	check_texts(scale_nice(NAN, 3, 1), 0, "0,1");
	check_texts(scale_nice(0, 2e18, 2), 0, "0,1e+18,2e+18");
}

static void check_dates(void)
{
	check_texts(scale_days(day_of(2027, 12, 30), day_of(2028, 1, 3)), 100, "30 Dec 2027,31 Dec,1 Jan 2028,2 Jan,3 Jan");
	check_texts(scale_days(day_of(2027, 12, 7), day_of(2028, 1, 4)), 72, "13 Dec 2027,20 Dec,27 Dec,3 Jan 2028");
	check_texts(scale_days(day_of(2027, 1, 1), day_of(2027, 12, 31)), 90, "Jan 2027,Mar,May,Jul,Sep,Nov");
	check_texts(scale_days(day_of(2024, 2, 29), day_of(2027, 3, 1)), 150, "2025,2026,2027");
	check_texts(scale_days(day_of(1, 1, 1), day_of(9999, 12, 31)), 72, "2000,4000,6000,8000");
	CHECK_INT(day_weekday(day_of(2027, 12, 13)), 0);
}

int main(void)
{
	check_linear();
	check_dates();
	return check_end();
}
