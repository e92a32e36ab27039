#include "month/month_days.h"

#include "time/stamp.h"

struct month_days month_days_of(int32_t day)
{
	int year, month, date;

	day_split(day, &year, &month, &date);
	return (struct month_days){ day - date + 1, day - date + month_length(year, month), false };
}

struct month_days month_days_so_far(int32_t day)
{
	return (struct month_days){ month_days_of(day).first, day, false };
}

/* The day that a text with an end is. */
static bool read_day(const char *text, const char *end, int32_t *day)
{
	struct buf all = BUF_INIT;
	bool is_day;

	buf_printf(&all, "%s%s", text, end);
	is_day = date_read(buf_slice(&all), day) == DATE_OK;
	buf_release(&all);
	return is_day;
}

bool month_days_named(const char *month, struct month_days *days)
{
	int32_t first;

	if (!read_day(month, "-01", &first))
		return false;
	*days = month_days_of(first);
	return true;
}

bool month_days_of_year(const char *year, int32_t today, struct month_days *days)
{
	*days = (struct month_days){ .is_year = true };
	if (!read_day(year, "-01-01", &days->first) || !read_day(year, "-12-31", &days->last))
		return false;
	if (today > days->first && today < days->last)
		days->last = today;
	return true;
}
