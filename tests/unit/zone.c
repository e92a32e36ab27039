/*
 * zone.c - the zone reader against zdump (the time-zone database's own tool, which reads the
 * files with other code), against a few changes known by date, and against damaged files.
 * With the argument `all`, against zdump for every zone that zone1970.tab lists.
 */
#include <stdio.h>

#include "time/zone.h"

static int failures;

static void check(bool ok, const char *what)
{
	if (ok)
		return;
	failures++;
	printf("failed: %s\n", what);
}

/* A second way to count days: by walking the years and months. */
static int64_t walked_day(int year, int month, int day)
{
	static const int length[12] = { 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31 };
	int64_t days = 0;

	for (int y = 1970; y < year; y++)
		days += 365 + ((y % 4 == 0 && y % 100 != 0) || y % 400 == 0);
	for (int y = year; y < 1970; y++)
		days -= 365 + ((y % 4 == 0 && y % 100 != 0) || y % 400 == 0);
	for (int m = 1; m < month; m++)
		days += length[m - 1] + (m == 2 && ((year % 4 == 0 && year % 100 != 0) || year % 400 == 0));
	return days + day - 1;
}

static int64_t at(int year, int month, int day, int h, int m)
{
	return walked_day(year, month, day) * 86400 + h * 3600 + m * 60;
}

static struct zone *load(const char *name)
{
	struct zone_error error = { "" };
	struct zone *z = zone_load(slice_of(name), &error);

	if (!z)
		printf("failed: %s\n", error.text);
	return z;
}

/* --- against zdump ------------------------------------------------------------------------ */

static int month_of(const char *name)
{
	static const char names[] = "JanFebMarAprMayJunJulAugSepOctNovDec";

	for (int m = 0; m < 12; m++)
		if (memcmp(names + 3 * m, name, 3) == 0)
			return m + 1;
	return 0;
}

static void zdump_change(const char *name, const struct zone *z, struct zone_memo *memo,
	int64_t utc_s, long before, long after)
{
	int64_t wall_s = utc_s + (before < after ? before : after);
	struct zone_wall w = zone_wall(z, memo, wall_s);
	int32_t shift = 0;

	if (zone_next_change(z, utc_s - 1, &shift) != utc_s || shift != after - before) {
		failures++;
		printf("failed: %s: the change at %lld by %ld\n", name, (long long)utc_s, after - before);
	}
	if (w.kind != (before < after ? ZONE_NEVER : ZONE_TWICE) || w.change_s != utc_s ||
	    w.utc_s[0] != wall_s - before || w.utc_s[1] != wall_s - after) {
		failures++;
		printf("failed: %s: wall time %lld at its change\n", name, (long long)wall_s);
	}
}

static void zdump_instant(const char *name, const struct zone *z, struct zone_memo *memo,
	int64_t utc_s, long offset)
{
	struct zone_wall w = zone_wall(z, memo, utc_s + offset);

	if (zone_offset(z, utc_s) != offset) {
		failures++;
		printf("failed: %s: offset %d at %lld, zdump says %ld\n", name,
		       zone_offset(z, utc_s), (long long)utc_s, offset);
	}
	if (w.kind == ZONE_NEVER || (w.utc_s[0] != utc_s && w.utc_s[1] != utc_s)) {
		failures++;
		printf("failed: %s: wall time %lld gives other instants\n", name, (long long)(utc_s + offset));
	}
}

/* Every line of zdump is an instant with its offset; pairs a second apart are changes. */
static int zdump_compare(const char *name, const char *years)
{
	char command[200], line[300];
	struct zone *z = load(name);
	struct zone_memo memo = { 0 };
	int64_t last_s = 0;
	long last_offset = 0;
	int lines = 0;
	FILE *f;

	snprintf(command, sizeof command, "zdump -v -c %s %s", years, name);
	f = popen(command, "r");
	if (!z || !f)
		return 0;
	while (fgets(line, sizeof line, f)) {
		char month[4];
		int day, h, m, s, year;
		long offset;
		char *tail = strstr(line, "gmtoff=");
		int64_t utc_s;

		if (!tail || sscanf(line, "%*s %*s %3s %d %d:%d:%d %d UT", month, &day, &h, &m, &s, &year) != 6)
			continue;
		offset = strtol(tail + 7, NULL, 10);
		utc_s = at(year, month_of(month), day, h, m) + s;
		zdump_instant(name, z, &memo, utc_s, offset);
		if (lines && utc_s == last_s + 1 && offset != last_offset)
			zdump_change(name, z, &memo, utc_s, last_offset, offset);
		last_s = utc_s;
		last_offset = offset;
		lines++;
	}
	pclose(f);
	zone_free(z);
	return lines;
}

static void zdump_some(void)
{
	static const char *const names[] = {
		"Pacific/Auckland", "Pacific/Chatham", "Europe/London", "Europe/Dublin", "Asia/Kathmandu",
		"Asia/Kolkata", "America/New_York", "America/St_Johns", "America/Sao_Paulo",
		"Australia/Lord_Howe", "Australia/Adelaide", "Africa/Casablanca", "Asia/Gaza",
		"Asia/Jerusalem", "America/Nuuk", "America/Santiago", "Pacific/Apia",
		"Antarctica/Troll", "Asia/Tehran", "Pacific/Kwajalein",
	};

	for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
		int lines = zdump_compare(names[i], "1850,2060");

		if (lines < 4) {
			failures++;
			printf("failed: zdump said nothing of %s\n", names[i]);
		}
	}
	check(zdump_compare("Pacific/Auckland", "2300,2900") > 2000, "zdump on the far future");
}

static void zdump_all(void)
{
	FILE *f = fopen("/usr/share/zoneinfo/zone1970.tab", "r");
	char line[300], name[100];
	int zones = 0;

	while (f && fgets(line, sizeof line, f))
		if (line[0] != '#' && sscanf(line, "%*s %*s %99s", name) == 1 && zdump_compare(name, "1800,2150") > 0)
			zones++;
	if (f)
		fclose(f);
	check(zones > 250, "zdump was asked about every zone");
}

/* --- known changes ------------------------------------------------------------------------ */

/*
 * New Zealand, from the public record: summer time ended on 5 April 2026 at 03:00 NZDT and
 * begins on 27 September 2026 at 02:00 NZST (first Sunday of April, last of September).
 */
static void auckland(void)
{
	struct zone *z = load("Pacific/Auckland");
	struct zone_memo memo = { 0 };
	struct zone_wall w = zone_wall(z, &memo, at(2026, 4, 5, 2, 30));

	check(w.kind == ZONE_TWICE, "02:30 on 2026-04-05 passes twice");
	check(w.utc_s[0] == at(2026, 4, 4, 13, 30) && w.utc_s[1] == at(2026, 4, 4, 14, 30), "its instants");
	check(w.offset_s[0] == 13 * 3600 && w.offset_s[1] == 12 * 3600, "its offsets");
	check(zone_wall(z, &memo, at(2026, 4, 5, 1, 59)).kind == ZONE_ONCE, "01:59 passes once");
	check(zone_wall(z, &memo, at(2026, 4, 5, 3, 0)).kind == ZONE_ONCE, "03:00 passes once");
	check(zone_wall(z, &memo, at(2026, 9, 27, 2, 0)).kind == ZONE_NEVER, "02:00 on 2026-09-27 is skipped");
	check(zone_wall(z, &memo, at(2026, 9, 27, 2, 59)).kind == ZONE_NEVER, "02:59 is skipped");
	w = zone_wall(z, &memo, at(2026, 9, 27, 3, 0));
	check(w.kind == ZONE_ONCE && w.utc_s[0] == at(2026, 9, 26, 14, 0), "03:00 is not");
	w = zone_wall(z, &memo, at(2026, 7, 1, 12, 0));
	check(w.utc_s[0] == at(2026, 7, 1, 0, 0) && memo.to_s > memo.from_s, "a winter noon fills the memo");
	check(zone_wall(z, &memo, at(2026, 7, 2, 12, 0)).utc_s[1] == at(2026, 7, 2, 0, 0), "and is served by it");
	check(!zone_is_fixed(z), "Auckland is no fixed offset");
	zone_free(z);
}

/* The memo must never change an answer: ask for each half hour of two years, with and without. */
static void memo_is_true(const char *name, int year)
{
	struct zone *z = load(name);
	struct zone_memo memo = { 0 };

	for (int64_t wall_s = at(year, 1, 1, 0, 0); wall_s < at(year + 2, 1, 1, 0, 0); wall_s += 1800) {
		struct zone_memo fresh = { 0 };
		struct zone_wall a = zone_wall(z, &memo, wall_s), b = zone_wall(z, &fresh, wall_s);

		if (a.kind != b.kind || a.utc_s[0] != b.utc_s[0] || a.utc_s[1] != b.utc_s[1]) {
			failures++;
			printf("failed: %s: the memo changes %lld\n", name, (long long)wall_s);
		}
	}
	zone_free(z);
}

/* Samoa left out the whole of 30 December 2011 (public record). */
static void samoa(void)
{
	struct zone *z = load("Pacific/Apia");
	struct zone_memo memo = { 0 };

	check(zone_wall(z, &memo, at(2011, 12, 29, 23, 59)).kind == ZONE_ONCE, "Apia, the last minute of the 29th");
	check(zone_wall(z, &memo, at(2011, 12, 30, 12, 0)).kind == ZONE_NEVER, "Apia had no 30 December 2011");
	check(zone_wall(z, &memo, at(2011, 12, 31, 0, 0)).kind == ZONE_ONCE, "Apia, the first minute of the 31st");
	zone_free(z);
}

/* --- names and offsets -------------------------------------------------------------------- */

static void offsets(void)
{
	static const struct { const char *text; bool ok; int32_t offset_s; } row[] = {
		{ "Z", true, 0 }, { "+12:00", true, 43200 }, { "-03:30", true, -12600 }, { "+1245", true, 45900 },
		{ "+09", true, 32400 }, { "-00:00", true, 0 }, { "12:00", false, 0 }, { "+24:00", false, 0 }, { "+18:00", true, 64800 },
		{ "+18:01", false, 0 }, { "-18:01", false, 0 }, { "+23", false, 0 },
		{ "+1:00", false, 0 }, { "+12:60", false, 0 }, { "+12:", false, 0 }, { "+12:0", false, 0 },
		{ "+12:000", false, 0 }, { "", false, 0 }, { "+", false, 0 }, { "z", false, 0 }, { "+123", false, 0 },
		{ "+1 :00", false, 0 }, { "+12:00x", false, 0 },
	};

	for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
		int32_t offset_s = 0;
		bool ok = zone_offset_parse(slice_of(row[i].text), &offset_s);

		if (ok != row[i].ok || (ok && offset_s != row[i].offset_s)) {
			failures++;
			printf("failed: offset `%s`\n", row[i].text);
		}
	}
}

static void fixed_offset(void)
{
	struct zone *z = load("-03:30");
	struct zone_memo memo = { 0 };

	check(zone_is_fixed(z) && zone_wall(z, &memo, 0).utc_s[0] == 12600, "a fixed offset");
	check(zone_next_change(z, 0, NULL) == INT64_MAX, "that never changes");
	zone_free(z);
}

static void bad_names(void)
{
	static const char *const names[] = {
		"", "/etc/passwd", "../../../etc/passwd", "Pacific/../Pacific/Auckland", "Pacific//Auckland",
		"Pacific/", "Pacific", "Pacific/Nowhere", "localtime", "posixrules", "Pacific/Auck land",
		"right/Pacific/Auckland", "zone.tab", "./Pacific/Auckland", "tzdata.zi", "Pacific/Auckland\n",
	};

	for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
		struct zone_error error = { "" };
		struct zone *z = zone_load(slice_of(names[i]), &error);

		if (z || !error.text[0]) {
			failures++;
			printf("failed: the name `%s` is taken\n", names[i]);
		}
		zone_free(z);
	}
}

/* --- files -------------------------------------------------------------------------------- */

static void put(struct buf *b, uint64_t v, size_t n)
{
	while (n--)
		buf_char(b, (char)(v >> (8 * n) & 255));
}

static void head(struct buf *b, char version, uint32_t leap, uint32_t times, uint32_t types)
{
	buf_str(b, "TZif");
	buf_char(b, version);
	buf_fill(b, '\0', 15);
	put(b, 0, 4);
	put(b, 0, 4);
	put(b, leap, 4);
	put(b, times, 4);
	put(b, types, 4);
	put(b, 4, 4);
}

/* A file without a table, whose rule says all. */
static struct zone *ruled(const char *rule, char version, uint32_t leap)
{
	struct buf b = BUF_INIT;
	struct zone_error error;
	struct zone *z;

	head(&b, version, 0, 0, 1);
	put(&b, 0, 6);
	buf_add(&b, SLICE("ABC\0"));
	head(&b, version, leap, 0, 1);
	put(&b, 0, 6);
	buf_add(&b, SLICE("ABC\0"));
	if (leap)
		buf_fill(&b, '\0', 12);
	buf_str(&b, rule);
	z = zone_read(SLICE("test"), buf_slice(&b), &error);
	buf_release(&b);
	return z;
}

static void rules(void)
{
	struct zone *z = ruled("\nABC-1ABD,J60/2,J300/3\n", '2', 0);
	struct zone_memo memo = { 0 };

	check(z && zone_offset(z, at(2023, 3, 1, 0, 59)) == 3600 && zone_offset(z, at(2023, 3, 1, 1, 0)) == 7200,
	      "J60 is 1 March in a common year");
	check(z && zone_offset(z, at(2024, 3, 1, 0, 59)) == 3600 && zone_offset(z, at(2024, 3, 1, 1, 0)) == 7200,
	      "and in a leap year");
	check(z && zone_wall(z, &memo, at(2424, 3, 1, 2, 30)).kind == ZONE_NEVER, "and after 400 years");
	zone_free(z);
	z = ruled("\nABC-1ABD,59/2,299/3\n", '3', 0);
	check(z && zone_offset(z, at(2024, 2, 29, 1, 0)) == 7200, "day 59 counts the leap day");
	zone_free(z);
	z = ruled("\nEST5EDT,0/0,J365/25\n", '4', 0);
	check(z && zone_offset(z, at(2026, 1, 1, 5, 0)) == -14400 && zone_offset(z, at(2026, 7, 1, 0, 0)) == -14400 &&
	      zone_next_change(z, at(2026, 1, 1, 0, 0), NULL) == INT64_MAX, "summer time all the year");
	zone_free(z);
	z = ruled("\n<+0330>-3:30\n", '2', 0);
	check(z && zone_offset(z, 0) == 12600, "a rule with one offset");
	zone_free(z);
}

static void bad_rules(void)
{
	static const char *const rule[] = {
		"\nABC\n", "ABC-1\n", "\nABC-1", "\nAB-1\n", "\nABC-25\n", "\nABC-1ABD\n", "\nABC-1ABD,M3.5.0\n",
		"\nABC-1ABD,M13.5.0,M10.5.0\n", "\nABC-1ABD,M3.0.0,M10.5.0\n", "\nABC-1ABD,M3.5.7,M10.5.0\n",
		"\nABC-1ABD,M3.5.0,M10.5.0/168\n", "\nABC-1ABD,J0,J5\n", "\nABC-1ABD,J366,J5\n", "\n<ABC-1\n",
		"\nABC-1ABD,M3.5.0,M10.5.0x\n", "\nABC-1:60\n", "",
	};

	for (size_t i = 0; i < sizeof rule / sizeof *rule; i++) {
		struct zone *z = ruled(rule[i], '2', 0);

		if (z) {
			failures++;
			printf("failed: the rule `%s` is taken\n", rule[i]);
		}
		zone_free(z);
	}
	check(!ruled("\nABC-1\n", '5', 0), "a version that is not known is refused");
	check(!ruled("\nABC-1\n", '2', 1), "a file that counts leap seconds is refused");
}

/* Each file cut at each length, and with each byte of its first kilobyte turned: no crash, and
   what is cut is refused. */
static void damaged(const char *name)
{
	struct buf path = BUF_INIT;
	struct zone_error error;
	static char bytes[65536];
	size_t n;
	FILE *f;

	buf_printf(&path, "/usr/share/zoneinfo/%s", name);
	f = fopen(buf_cstr(&path), "rb");
	n = f ? fread(bytes, 1, sizeof bytes, f) : 0;
	check(n > 100, "a zone file to damage");
	for (size_t cut = 0; cut < n; cut++) {
		char *part = mem_copy(bytes, cut);
		struct zone *z = zone_read(SLICE("cut"), (struct slice){ part, cut }, &error);

		if (z) {
			failures++;
			printf("failed: %s cut at %zu is taken\n", name, cut);
		}
		zone_free(z);
		free(part);
	}
	for (size_t i = 0; i < n; i++) {
		struct zone *z;
		struct zone_memo memo = { 0 };

		bytes[i] = (char)(bytes[i] ^ 0xff);
		z = zone_read(SLICE("turned"), (struct slice){ bytes, n }, &error);
		if (z) {
			zone_wall(z, &memo, at(2026, 4, 5, 2, 30));
			zone_next_change(z, at(9999, 1, 1, 0, 0), NULL);
		}
		zone_free(z);
		bytes[i] = (char)(bytes[i] ^ 0xff);
	}
	if (f)
		fclose(f);
	buf_release(&path);
}

int main(int argc, char **argv)
{
	if (argc == 2 && strcmp(argv[1], "all") == 0) {
		zdump_all();
		return failures != 0;
	}
	auckland();
	samoa();
	memo_is_true("Pacific/Auckland", 2026);
	memo_is_true("Australia/Lord_Howe", 2400);
	offsets();
	fixed_offset();
	bad_names();
	rules();
	bad_rules();
	damaged("Pacific/Auckland");
	damaged("Asia/Kathmandu");
	zdump_some();
	return failures != 0;
}
