#include "time/stamp.h"

#include <stdio.h>

static const char *const MONTHS[] = { "January", "February", "March", "April", "May", "June", "July",
	"August", "September", "October", "November", "December" };

static bool digits(const char *p, int n, int *v)
{
	*v = 0;
	for (int i = 0; i < n; i++) {
		unsigned d = (unsigned char)p[i] - (unsigned)'0';

		if (d > 9)
			return false;
		*v = *v * 10 + (int)d;
	}
	return true;
}

static bool split(struct slice s, int *year, int *month, int *date)
{
	return s.n == 10 && s.p[4] == '-' && s.p[7] == '-' && digits(s.p, 4, year) && digits(s.p + 5, 2, month) &&
		digits(s.p + 8, 2, date);
}

enum date_fault date_read(struct slice s, int32_t *day)
{
	int year, month, date;

	if (!split(s, &year, &month, &date))
		return DATE_MALFORMED;
	if (year < 1 || month < 1 || month > 12 || date < 1 || date > month_length(year, month))
		return DATE_IMPOSSIBLE;
	*day = day_of(year, month, date);
	return DATE_OK;
}

void date_why(struct slice s, char *why, size_t size)
{
	int year = 0, month = 0, date = 0;

	split(s, &year, &month, &date);
	if (year < 1)
		snprintf(why, size, "years start at 0001");
	else if (month < 1 || month > 12)
		snprintf(why, size, "there are twelve months");
	else if (date < 1)
		snprintf(why, size, "days start at 01");
	else
		snprintf(why, size, "%s %d has %d days", MONTHS[month - 1], year, month_length(year, month));
}

static bool offset_read(struct slice s, struct stamp *stamp)
{
	int h, m;

	if (s.n == 1 && s.p[0] == 'Z') {
		stamp->offset = 0;
		return true;
	}
	if (s.n != 6 || (s.p[0] != '+' && s.p[0] != '-') || s.p[3] != ':')
		return false;
	if (!digits(s.p + 1, 2, &h) || !digits(s.p + 4, 2, &m) || m > 59 || h * 60 + m > STAMP_OFFSET_MOST)
		return false;
	stamp->offset = (int16_t)(s.p[0] == '-' ? -(h * 60 + m) : h * 60 + m);
	return true;
}

bool time_read(struct slice s, struct stamp *stamp)
{
	int h, m, sec = 0;

	if (s.n < 5 || s.p[2] != ':' || !digits(s.p, 2, &h) || !digits(s.p + 3, 2, &m) || h > 23 || m > 59)
		return false;
	s = slice_from(s, 5);
	if (s.n >= 3 && s.p[0] == ':') {
		if (!digits(s.p + 1, 2, &sec) || sec > 59)
			return false;
		s = slice_from(s, 3);
	}
	stamp->second = h * HOUR_S + m * MINUTE_S + sec;
	stamp->offset = STAMP_NO_OFFSET;
	return s.n == 0 || offset_read(s, stamp);
}

static void two(struct buf *out, int v)
{
	buf_char(out, (char)('0' + v / 10));
	buf_char(out, (char)('0' + v % 10));
}

void day_write(struct buf *out, int32_t day)
{
	int year, month, date;

	day_split(day, &year, &month, &date);
	two(out, year / 100);
	two(out, year % 100);
	buf_char(out, '-');
	two(out, month);
	buf_char(out, '-');
	two(out, date);
}

static void offset_write(struct buf *out, int offset)
{
	int minutes = offset < 0 ? -offset : offset;

	if (offset == 0) {
		buf_char(out, 'Z');
		return;
	}
	buf_char(out, offset < 0 ? '-' : '+');
	two(out, minutes / 60);
	buf_char(out, ':');
	two(out, minutes % 60);
}

void time_write(struct buf *out, const struct stamp *stamp)
{
	two(out, stamp->second / HOUR_S);
	buf_char(out, ':');
	two(out, stamp->second / MINUTE_S % 60);
	if (stamp->second % 60) {
		buf_char(out, ':');
		two(out, stamp->second % 60);
	}
	if (stamp->offset != STAMP_NO_OFFSET)
		offset_write(out, stamp->offset);
}
