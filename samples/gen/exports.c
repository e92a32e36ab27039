#include <stdio.h>

#include "day.h"
#include "file.h"
#include "works.h"

/*
 * Three instruments, three dialects, and what goes wrong with each of them. What is in the
 * files is what the instruments stored; the true air is that of the simulation.
 */

struct clock {
	int day, minute;
};

static struct clock later(struct clock c, int minutes)
{
	c.minute += minutes;
	c.day += c.minute / 1440;
	c.minute %= 1440;
	return c;
}

static double degrees_f(double c)
{
	return c * 9 / 5 + 32;
}

/* ---- the kiln's own recorder: semicolons, decimal commas, day first, Windows-1252 ---- */

static char *comma(char *text)
{
	char *point = strchr(text, '.');

	if (point)
		*point = ',';
	return text;
}

/* Between two steps of the simulation, which are three hours apart. */
static double between(const double *steps, struct clock c)
{
	int at = c.day * STEPS + c.minute / 180;
	double part = (double)(c.minute % 180) / 180;

	return steps[at] + part * (steps[at + 1] - steps[at]);
}

static void kiln_row(struct buf *b, struct rng *r, const struct kiln *k, struct clock c)
{
	char temp[24], rh[24];
	double door = c.minute == 480 && day_works(c.day) ? 1 : 0;

	if (door > 0)
		buf_printf(b, "%02d.%02d.%04d;07:52:10;;;T\xfcr offen;\r\n", day_dom(c.day), day_month(c.day),
			day_year(c.day));
	num_text(temp, between(k->day_temp, c) - 2 * door + 0.1 * rng_normal(r), 1);
	num_text(rh, between(k->day_rh, c) - 4 * door + 0.3 * rng_normal(r), 1);
	buf_printf(b, "%02d.%02d.%04d;%02d:%02d:00;%s;%s;;\r\n", day_dom(c.day), day_month(c.day),
		day_year(c.day), c.minute / 60, c.minute % 60, comma(temp), comma(rh));
}

static void kiln_export(const struct works *w, const char *dir)
{
	struct rng r = rng_named("export/kiln");
	struct buf b = BUF_INIT;
	struct clock c = { day_of(2026, 5, 6), 0 }, end = { day_of(2026, 5, 18), 0 };

	buf_str(&b, "sep=;\r\n");
	buf_str(&b, "Datum;Uhrzeit;Temperatur [\xb0" "C];Feuchte [%];Ereignis;\r\n");
	for (; c.day < end.day; c = later(c, 30))
		kiln_row(&b, &r, &w->kilns[0], c);
	buf_str(&b, "Ende der Aufzeichnung;;;;;\r\n");
	file_write(dir, "exports/kiln-north.csv", &b);
	buf_release(&b);
}

/* ---- the cane room's logger: titles, month first, 12-hour clock, Fahrenheit ---- */

static void cane_row(struct buf *b, struct rng *r, const struct works *w, int no, struct clock c)
{
	const struct air *a = &w->air_log[c.day][ROOM_CANE];
	double warm = c.minute > 600 && c.minute < 1200 ? 0.6 : -0.4;
	char temp[24], rh[24];
	int hour = c.minute / 60;

	num_text(temp, degrees_f(a->temp_c + warm + 0.1 * rng_normal(r)), 1);
	num_text(rh, a->rh_pct + 0.2 - warm + 0.3 * rng_normal(r), 1);
	if (no % 97 == 41)
		snprintf(rh, sizeof rh, "NA");
	buf_printf(b, "%d,%02d/%02d/%02d,%02d:%02d:00 %s,%s,%s\n", no, day_month(c.day), day_dom(c.day),
		day_year(c.day) % 100, hour % 12 ? hour % 12 : 12, c.minute % 60, hour < 12 ? "AM" : "PM",
		temp, rh);
}

/* It was read out on the 16th and on the 25th; the second file began three hours before the first ended. */
static void cane_export(const struct works *w, const char *dir)
{
	struct buf b = BUF_INIT;
	int no = 1;

	buf_str(&b, "\xef\xbb\xbf" "Cane room\nLogger 3, one reading an hour\n\n");
	buf_str(&b, "row,day,clock,air temperature \xc2\xb0" "F,relative humidity %\n");
	for (int part = 0; part < 2; part++) {
		struct clock c = { part ? day_of(2027, 1, 15) : day_of(2027, 1, 5), part ? 21 * 60 : 15 * 60 };
		int last = part ? day_of(2027, 1, 25) : day_of(2027, 1, 16);

		for (; c.day < last; c = later(c, 60)) {
			char name[40];
			struct rng r;

			snprintf(name, sizeof name, "export/cane/%d/%d", c.day, c.minute);
			r = rng_named(name);
			cane_row(&b, &r, w, no++, c);
		}
	}
	file_write(dir, "exports/cane-room.csv", &b);
	buf_release(&b);
}

/* ---- the yard's logger: tabs and quotes, the wall clock through the end of summer time ---- */

static bool battery_out(struct clock c)
{
	return c.day == day_of(2027, 4, 6) && c.minute >= 200 && c.minute < 640;
}

static void yard_value(struct buf *b, double value, bool lost, bool last)
{
	char text[24];

	buf_printf(b, "\"%s\"%s", lost ? "-200" : num_text(text, value, 2), last ? "\n" : "\t");
}

static void yard_row(struct buf *b, struct rng *r, const struct works *w, struct clock c, struct clock shown)
{
	const struct air *a = &w->air_log[c.day][ROOM_YARD];
	int from_noon = c.minute > 840 ? c.minute - 840 : 840 - c.minute;
	/* warmest at two, coldest twelve hours from it */
	double swing = 3.5 - (double)(from_noon > 720 ? 1440 - from_noon : from_noon) / 120;
	char date[11];
	bool lost = c.day == day_of(2027, 4, 2) && c.minute % 200 == 0;

	buf_printf(b, "\"%s %02d:%02d\"\t", day_text(date, shown.day), shown.minute / 60, shown.minute % 60);
	yard_value(b, a->temp_c + swing + 0.1 * rng_normal(r), lost, false);
	yard_value(b, a->rh_pct - 2 * swing + 0.4 * rng_normal(r), lost, false);
	yard_value(b, a->temp_c + 0.8 * swing + 0.1 * rng_normal(r), false, false);
	yard_value(b, a->rh_pct - 1.5 * swing - 2 + 0.4 * rng_normal(r), false, true);
}

static struct clock hour_back(struct clock c)
{
	c.day--;
	return later(c, 1440 - 60);
}

/* c runs on summer time; from 03:00 of 4 April the wall clock is an hour behind it. */
static void yard_export(const struct works *w, const char *dir)
{
	struct rng r = rng_named("export/yard");
	struct buf b = BUF_INIT;
	struct clock c = { day_of(2027, 4, 1), 0 };
	int turn = day_of(2027, 4, 4);

	buf_str(&b, "\"time\"\t\"b1 temp C\"\t\"b1 rh %\"\t\"b3 temp C\"\t\"b3 rh %\"\n");
	for (; c.day < day_of(2027, 4, 8); c = later(c, 20)) {
		bool winter = c.day > turn || (c.day == turn && c.minute >= 180);

		if (!battery_out(c))
			yard_row(&b, &r, w, c, winter ? hour_back(c) : c);
	}
	file_write(dir, "exports/yard.tsv", &b);
	buf_release(&b);
}

void exports_write(const struct works *w, const char *dir)
{
	kiln_export(w, dir);
	cane_export(w, dir);
	yard_export(w, dir);
}
