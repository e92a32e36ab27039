#include "chart/scale.h"

#include <math.h>

#include "base/text.h"
#include "table/number_text.h"
#include "time/calendar.h"

/* The least nice number that is not below `step`. */
static double nice_step(double step)
{
	double ten = pow(10, floor(log10(step))), times = step / ten;

	return ten * (times <= 1 ? 1 : times <= 2 ? 2 : times <= 5 ? 5 : 10);
}

/* Numbers so great that their difference is none are moved apart by their own size. */
static void move_apart(double *low, double *high)
{
	double by = fmax(fabs(*high), fabs(*low)) * 1e-9;

	if (!isfinite(*low) || !isfinite(*high)) {
		*low = 0;
		*high = 1;
	} else if (*high - *low <= by) {
		by = *high == 0 ? 1 : fabs(*high) * 0.1;
		*low -= by;
		*high += by;
	}
}

struct scale scale_nice(double low, double high, size_t ticks)
{
	enum { MOST = 300 };   /* as a power of ten */
	struct scale s = { 0 };

	if (isfinite(low) && isfinite(high)) {
		low = fmax(-pow(10, MOST), fmin(pow(10, MOST), low));
		high = fmax(-pow(10, MOST), fmin(pow(10, MOST), high));
	}
	move_apart(&low, &high);
	s.step = nice_step((high - low) / (double)(ticks ? ticks : 1));
	s.from = floor(low / s.step + 1e-9) * s.step;
	s.to = ceil(high / s.step - 1e-9) * s.step;
	return s;
}

struct scale scale_days(double from, double to)
{
	const double first = day_of(1, 1, 1), last = day_of(9999, 12, 31);
	struct scale s = { .dates = true };

	s.from = isfinite(from) ? fmax(first, fmin(last - 1, from)) : 0;
	s.to = isfinite(to) ? fmin(last, to) : s.from + 1;
	if (s.to < s.from + 1)
		s.to = s.from + 1;
	return s;
}

struct scale scale_between(struct scale s, double at, double end)
{
	s.at = at;
	s.end = end;
	return s;
}

double scale_at(const struct scale *s, double value)
{
	return s->at + (value - s->from) / (s->to - s->from) * (s->end - s->at);
}

unsigned scale_places(double step)
{
	unsigned places = 0;

	while (places < 6 && fabs(step - nearbyint(step)) > 1e-6 * fabs(step)) {
		step *= 10;
		places++;
	}
	return places;
}

static void write_text(char *to, struct buf *text)
{
	size_t n = text->n < SCALE_TICK_TEXT ? text->n : SCALE_TICK_TEXT - 1;

	memcpy(to, text->p, n);
	to[n] = '\0';
	text->n = 0;
}

static size_t linear_ticks(const struct scale *s, struct scale_tick *tick)
{
	struct buf text = BUF_INIT;
	unsigned places = scale_places(s->step);
	size_t n = 0;

	for (double i = nearbyint(s->from / s->step); n < SCALE_TICKS_MOST; i++) {
		if (i * s->step > s->to + s->step * 1e-6)
			break;
		tick[n].value = i * s->step;
		tick[n].major = true;
		if (fabs(tick[n].value) >= 1e15)
			buf_printf(&text, "%.2g", tick[n].value);
		else
			buf_real_shown(&text, tick[n].value, places);
		write_text(tick[n++].text, &text);
	}
	buf_release(&text);
	return n;
}

/* ---- dates: days, weeks, months, quarters or years, by the space */

const char *scale_month(int month)
{
	static const char *const names[] = { "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec" };

	return names[month - 1];
}

/* How ticks of dates follow each other: by so many days from the Monday of a week, or by so many months or years. */
struct date_step {
	int days, months;
};

static struct date_step choose_step(const struct scale *s, double apart)
{
	static const struct date_step steps[] = { { 1, 0 }, { 2, 0 }, { 7, 0 }, { 14, 0 }, { 0, 1 }, { 0, 2 }, { 0, 3 }, { 0, 6 },
		{ 0, 12 }, { 0, 24 }, { 0, 60 }, { 0, 120 }, { 0, 600 }, { 0, 1200 }, { 0, 6000 }, { 0, 24000 } };
	double px_a_day = fabs(s->end - s->at) / (s->to - s->from);
	size_t i = 0, last = sizeof steps / sizeof *steps - 1;

	while (i < last && px_a_day * (steps[i].months ? 30.0 * steps[i].months : steps[i].days) < apart)
		i++;
	return steps[i];
}

static int32_t first_day(const struct scale *s, struct date_step step)
{
	int32_t day = (int32_t)ceil(s->from - 1e-9);
	int year, month, date;

	if (step.days)
		return step.days < 7 ? day : day + (7 - day_weekday(day)) % 7;
	day_split(day, &year, &month, &date);
	month--;
	if (date > 1)
		month++;
	if (step.months >= 12) {
		year += month > 0;
		month = 0;
		year += (step.months / 12 - year % (step.months / 12)) % (step.months / 12);
	} else {
		month += (step.months - month % step.months) % step.months;
	}
	year += month / 12;
	return year > 9999 ? INT32_MAX : day_of(year, month % 12 + 1, 1);
}

static int32_t next_day(int32_t day, struct date_step step)
{
	int year, month, date;

	if (step.days)
		return day + step.days;
	day_split(day, &year, &month, &date);
	month += step.months - 1;
	year += month / 12;
	return year > 9999 ? INT32_MAX : day_of(year, month % 12 + 1, 1);
}

static void date_text(struct buf *text, int32_t day, struct date_step step, int *year_said)
{
	int year, month, date;

	day_split(day, &year, &month, &date);
	if (step.months >= 12) {
		buf_printf(text, "%d", year);
		return;
	}
	if (step.days)
		buf_printf(text, "%d ", date);
	buf_str(text, scale_month(month));
	if (year != *year_said)
		buf_printf(text, " %d", year);
	*year_said = year;
}

static size_t date_ticks(const struct scale *s, double apart, struct scale_tick *tick)
{
	struct date_step step = choose_step(s, apart);
	struct buf text = BUF_INIT;
	int year_said = 0;
	size_t n = 0;

	for (int32_t day = first_day(s, step); day != INT32_MAX && day <= s->to + 1e-9 && n < SCALE_TICKS_MOST; day = next_day(day, step)) {
		tick[n].value = day;
		tick[n].major = true;
		date_text(&text, day, step, &year_said);
		write_text(tick[n++].text, &text);
	}
	buf_release(&text);
	return n;
}

size_t scale_ticks(const struct scale *s, double apart, struct scale_tick *tick)
{
	return s->dates ? date_ticks(s, apart, tick) : linear_ticks(s, tick);
}
