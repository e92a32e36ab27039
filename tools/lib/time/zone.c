#include "time/zone.h"

#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <sys/stat.h>
#include <unistd.h>

#include "time/stamp.h"

#define FOLDER "/usr/share/zoneinfo"

#define CYCLE_S ((int64_t)CYCLE_DAYS * DAY_S)
#define FARTHEST ((int64_t)1 << 59) /* RFC 9636: no earlier instant is useful */

enum {
	FILE_MOST = 1 << 20,
	NAME_MOST = 200,
	HEAD_SIZE = 44,
	TYPE_SIZE = 6,
	SHIFT_MOST = 26 * HOUR_S,  /* more than any offset a file may hold */
	OFFSET_MOST_WEST_S = 25 * HOUR_S, /* RFC 9636, 3.2: an offset should be above -25 h */
	OFFSET_MOST_EAST_S = 26 * HOUR_S, /* and below 26 h */
};

/* From `from_s` (UTC) on, until the next one begins, the offset is offset_s. */
struct span {
	int64_t from_s;
	int32_t offset_s;
};

/*
 * Spans in order of time; the first begins at INT64_MIN and neighbours differ in offset. With
 * `cycles`, instants from `limit_s` on are looked up a number of 400-year cycles earlier.
 */
struct zone {
	struct span *span;
	size_t n, cap;
	int64_t last_s; /* the last change that the file lists, also one that keeps the offset */
	bool cycles;
	int64_t limit_s;
};

static void wrong(struct zone_error *error, const char *fmt, ...)
	__attribute__((format(printf, 2, 3)));

static void wrong(struct zone_error *error, const char *fmt, ...)
{
	va_list ap;

	va_start(ap, fmt);
	vsnprintf(error->text, sizeof error->text, fmt, ap);
	va_end(ap);
}

/*
 * The day number of the first of a month. A file may list instants far beyond year 9999 and before
 * year 1: the day is taken from the first cycle of the calendar, and moved by whole cycles.
 */
static int64_t month_day(int64_t year, int month)
{
	int64_t from_1 = year - 1, cycles = from_1 / CYCLE_YEARS - (from_1 % CYCLE_YEARS < 0);

	return day_of((int)(year - cycles * CYCLE_YEARS), month, 1) + cycles * CYCLE_DAYS;
}

static int64_t year_day(int64_t year)
{
	return month_day(year, 1);
}

static int64_t year_of(int64_t utc_s)
{
	int64_t year = 1970 + utc_s / (CYCLE_S / CYCLE_YEARS);

	while (year_day(year) * DAY_S > utc_s)
		year--;
	while (year_day(year + 1) * DAY_S <= utc_s)
		year++;
	return year;
}

static void span_add(struct zone *z, int64_t from_s, int32_t offset_s)
{
	if (z->n && z->span[z->n - 1].from_s >= from_s)
		z->n--;
	if (z->n && z->span[z->n - 1].offset_s == offset_s)
		return;
	z->span = mem_grow(z->span, &z->cap, z->n + 1, sizeof *z->span);
	z->span[z->n++] = (struct span){ from_s, offset_s };
}

struct zone *zone_fixed(int32_t offset_s)
{
	struct zone *z = mem_zeroed(1, sizeof *z);

	span_add(z, INT64_MIN, offset_s);
	return z;
}

void zone_free(struct zone *z)
{
	if (!z)
		return;
	free(z->span);
	free(z);
}

bool zone_is_fixed(const struct zone *z)
{
	return z->n == 1;
}

/* --- the rule at the end of a file ------------------------------------------------------ */

/* A day of the year on which the clock is set, and the wall time of it. */
struct rule_day {
	char form;                 /* 'M' month/week/weekday, 'J' 1..365 without leap day, '0' 0..365 */
	int32_t month, week, day;
	int32_t time_s;
};

struct rule {
	int32_t std_s, dst_s;
	bool has_dst;
	struct rule_day start, end;
};

static bool eat(struct slice *s, char c)
{
	if (!s->n || s->p[0] != c)
		return false;
	*s = slice_from(*s, 1);
	return true;
}

static bool is_digit(char c)
{
	return c >= '0' && c <= '9';
}

static bool is_letter(char c)
{
	return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

static bool eat_number(struct slice *s, size_t digits_most, int32_t most, int32_t *value)
{
	size_t n = 0;

	*value = 0;
	while (n < s->n && n < digits_most && is_digit(s->p[n]))
		*value = *value * 10 + (s->p[n++] - '0');
	*s = slice_from(*s, n);
	return n > 0 && *value <= most;
}

/* [+-]h[:mm[:ss]] as seconds. */
static bool eat_clock(struct slice *s, int32_t hours_most, int32_t *seconds)
{
	int32_t sign = 1, h, m = 0, sec = 0;

	if (eat(s, '-'))
		sign = -1;
	else
		eat(s, '+');
	if (!eat_number(s, 3, hours_most, &h))
		return false;
	if (eat(s, ':')) {
		if (!eat_number(s, 2, 59, &m))
			return false;
		if (eat(s, ':') && !eat_number(s, 2, 59, &sec))
			return false;
	}
	*seconds = sign * (h * HOUR_S + m * MINUTE_S + sec);
	return true;
}

/* The name of a zone's time: letters, or between angle brackets also digits and signs. */
static bool eat_name(struct slice *s)
{
	bool bracket = eat(s, '<');
	size_t n = 0;

	while (n < s->n && (is_letter(s->p[n]) ||
	       (bracket && (is_digit(s->p[n]) || s->p[n] == '+' || s->p[n] == '-'))))
		n++;
	*s = slice_from(*s, n);
	return n >= 3 && (!bracket || eat(s, '>'));
}

static bool eat_day_form(struct slice *s, struct rule_day *d)
{
	if (eat(s, 'M')) {
		d->form = 'M';
		return eat_number(s, 2, 12, &d->month) && d->month >= 1 && eat(s, '.') &&
			eat_number(s, 1, 5, &d->week) && d->week >= 1 && eat(s, '.') &&
			eat_number(s, 1, 6, &d->day);
	}
	if (eat(s, 'J')) {
		d->form = 'J';
		return eat_number(s, 3, 365, &d->day) && d->day >= 1;
	}
	d->form = '0';
	return eat_number(s, 3, 365, &d->day);
}

static bool eat_day(struct slice *s, struct rule_day *d)
{
	d->time_s = 2 * HOUR_S;
	if (!eat(s, ',') || !eat_day_form(s, d))
		return false;
	return !eat(s, '/') || eat_clock(s, 167, &d->time_s);
}

/* POSIX writes offsets west of Greenwich as positive. */
static bool rule_parse(struct slice s, struct rule *r)
{
	int32_t west;

	if (!eat_name(&s) || !eat_clock(&s, 24, &west))
		return false;
	r->std_s = -west;
	r->has_dst = s.n > 0;
	if (!r->has_dst)
		return true;
	if (!eat_name(&s))
		return false;
	r->dst_s = r->std_s + HOUR_S;
	if (s.n && s.p[0] != ',') {
		if (!eat_clock(&s, 24, &west))
			return false;
		r->dst_s = -west;
	}
	return eat_day(&s, &r->start) && eat_day(&s, &r->end) && s.n == 0;
}

/* The day number of the rule's day in `year`. 1970-01-01 was a Thursday. */
static int64_t rule_day_in(const struct rule_day *d, int64_t year)
{
	int64_t first = year_day(year), leap = year_day(year + 1) - first - 365, month, next, day;

	if (d->form == '0')
		return first + d->day;
	if (d->form == 'J')
		return first + d->day - 1 + (d->day >= 60 ? leap : 0);
	month = month_day(year, d->month);
	next = d->month == 12 ? year_day(year + 1) : month_day(year, d->month + 1);
	day = month + (d->day - (month + 4) % 7 + 14) % 7 + 7 * (int64_t)(d->week - 1);
	while (day >= next)
		day -= 7;
	return day;
}

/*
 * Appends what the rule says for `year`. Where both fall on one instant (summer time all the
 * year), the later word is the start's.
 */
static void rule_year(struct zone *z, const struct rule *r, int64_t year, int64_t after_s)
{
	int64_t start = rule_day_in(&r->start, year) * DAY_S + r->start.time_s - r->std_s;
	int64_t end = rule_day_in(&r->end, year) * DAY_S + r->end.time_s - r->dst_s;

	if (start > after_s && start < end)
		span_add(z, start, r->dst_s);
	if (end > after_s)
		span_add(z, end, r->std_s);
	if (start > after_s && start >= end)
		span_add(z, start, r->dst_s);
}

/*
 * The table is carried on for a whole cycle of the calendar, and a little more on both sides so
 * that a look-up near the seam sees its neighbours.
 */
static void rule_expand(struct zone *z, const struct rule *r)
{
	bool bare = z->last_s == INT64_MIN;
	int64_t year = bare ? 1 : year_of(z->last_s);

	if (!r->has_dst) {
		if (bare)
			z->span[0].offset_s = r->std_s;
		return;
	}
	for (int64_t y = year; y < year + CYCLE_YEARS + 4; y++)
		rule_year(z, r, y, z->last_s);
	z->cycles = true;
	z->limit_s = year_day(year + CYCLE_YEARS + 2) * DAY_S;
	while (z->span[z->n - 1].from_s > z->limit_s + 400 * DAY_S)
		z->n--;
}

/* --- the file --------------------------------------------------------------------------- */

/* The counts of a header, and where the parts of its block begin. */
struct block {
	uint32_t isut, isstd, leap, time, type, chars;
	size_t size; /* of all parts together */
};

static uint64_t bits(const char *p, size_t n)
{
	uint64_t v = 0;

	for (size_t i = 0; i < n; i++)
		v = v << 8 | (unsigned char)p[i];
	return v;
}

static int64_t whole(const char *p, size_t n)
{
	return n == 4 ? (int32_t)(uint32_t)bits(p, 4) : (int64_t)bits(p, 8);
}

/* Reads a header at the start of *s and takes it off. `time_size` is 4 or 8. */
static bool block_head(struct slice *s, size_t time_size, struct block *b)
{
	if (s->n < HEAD_SIZE || !slice_starts(*s, SLICE("TZif")))
		return false;
	b->isut = (uint32_t)bits(s->p + 20, 4);
	b->isstd = (uint32_t)bits(s->p + 24, 4);
	b->leap = (uint32_t)bits(s->p + 28, 4);
	b->time = (uint32_t)bits(s->p + 32, 4);
	b->type = (uint32_t)bits(s->p + 36, 4);
	b->chars = (uint32_t)bits(s->p + 40, 4);
	b->size = (size_t)b->time * (time_size + 1) + (size_t)b->type * TYPE_SIZE + b->chars +
		(size_t)b->leap * (time_size + 4) + b->isstd + b->isut;
	*s = slice_from(*s, HEAD_SIZE);
	return b->size <= s->n;
}

static bool block_sane(const struct block *b)
{
	return b->type >= 1 && b->type <= 256 && b->chars >= 1 &&
		(b->isut == 0 || b->isut == b->type) && (b->isstd == 0 || b->isstd == b->type);
}

static bool type_sane(const char *type, uint32_t chars)
{
	int64_t offset_s = whole(type, 4);

	return offset_s > -OFFSET_MOST_WEST_S && offset_s < OFFSET_MOST_EAST_S && (unsigned char)type[4] <= 1 &&
		(unsigned char)type[5] < chars;
}

static bool block_spans(struct zone *z, const char *p, size_t time_size, const struct block *b)
{
	const char *index = p + b->time * time_size;
	const char *type = index + b->time;

	for (uint32_t i = 0; i < b->type; i++)
		if (!type_sane(type + i * TYPE_SIZE, b->chars))
			return false;
	z->last_s = INT64_MIN;
	span_add(z, INT64_MIN, (int32_t)whole(type, 4));
	for (uint32_t i = 0; i < b->time; i++) {
		int64_t at = whole(p + i * time_size, time_size);
		uint32_t which = (unsigned char)index[i];

		if (at <= z->last_s || at < -FARTHEST || at > FARTHEST || which >= b->type)
			return false;
		z->last_s = at;
		span_add(z, at, (int32_t)whole(type + which * TYPE_SIZE, 4));
	}
	return true;
}

static bool footer(struct zone *z, struct slice s, struct zone_error *error)
{
	struct rule r = { 0 };
	size_t end;

	if (!eat(&s, '\n') || (end = slice_find(s, '\n')) == s.n) {
		wrong(error, "the rule at the end of the file is cut off");
		return false;
	}
	s = slice_upto(s, end);
	if (!s.n)
		return true;
	if (!rule_parse(s, &r)) {
		wrong(error, "the rule at its end, `%.*s`, cannot be read", (int)(s.n < 60 ? s.n : 60), s.p);
		return false;
	}
	rule_expand(z, &r);
	return true;
}

static bool tzif(struct zone *z, struct slice s, struct zone_error *error)
{
	struct block b;
	char version = s.n > 4 ? s.p[4] : '\0';
	size_t time_size = 4;

	if (!block_head(&s, 4, &b))
		goto bad;
	if (version != '\0') {
		if (version < '2' || version > '4') {
			wrong(error, "its version of the format is not supported");
			return false;
		}
		s = slice_from(s, b.size);
		time_size = 8;
		if (!block_head(&s, 8, &b))
			goto bad;
	}
	if (b.leap) {
		wrong(error, "it counts leap seconds; write the zone's name without `right/`");
		return false;
	}
	if (!block_sane(&b) || !block_spans(z, s.p, time_size, &b))
		goto bad;
	return version == '\0' || footer(z, slice_from(s, b.size), error);
bad:
	wrong(error, "it is not a time-zone file, or it is damaged");
	return false;
}

/* Names in messages are cut, so that the reason always fits. */
static int shown(struct slice s)
{
	return (int)(s.n < 60 ? s.n : 60);
}

struct zone *zone_read(struct slice name, struct slice bytes, struct zone_error *error)
{
	struct zone *z = mem_zeroed(1, sizeof *z);
	struct zone_error why;

	if (tzif(z, bytes, &why))
		return z;
	zone_free(z);
	wrong(error, "zone `%.*s`: %.120s", shown(name), name.p, why.text);
	return NULL;
}

static bool name_part_sane(struct slice part)
{
	if (!part.n || slice_eq(part, SLICE(".")) || slice_eq(part, SLICE("..")))
		return false;
	for (size_t i = 0; i < part.n; i++)
		if (!is_letter(part.p[i]) && !is_digit(part.p[i]) && !memchr("+-_.", part.p[i], 4))
			return false;
	return true;
}

static bool name_sane(struct slice name)
{
	if (!name.n || name.n > NAME_MOST || slice_eq(name, SLICE("localtime")) ||
	    slice_eq(name, SLICE("posixrules")))
		return false;
	for (;;) {
		size_t n = slice_find(name, '/');

		if (!name_part_sane(slice_upto(name, n)))
			return false;
		if (n == name.n)
			return true;
		name = slice_from(name, n + 1);
	}
}

/* The whole of a regular file of at most FILE_MOST bytes; false with errno set. */
static bool file_read(const char *path, struct buf *out)
{
	int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
	struct stat st;
	char block[8192];
	ssize_t got = 0;

	if (fd < 0)
		return false;
	if (fstat(fd, &st) != 0 || !S_ISREG(st.st_mode)) {
		close(fd);
		errno = EINVAL;
		return false;
	}
	while (out->n <= FILE_MOST && (got = read(fd, block, sizeof block)) > 0)
		buf_add(out, (struct slice){ block, (size_t)got });
	close(fd);
	return got == 0;
}

static void not_found(struct slice name, struct zone_error *error)
{
	if (access(FOLDER, R_OK) != 0)
		wrong(error, "zone `%.*s`: this system has no time-zone database in " FOLDER
		      " (install tzdata), or write an offset like +12:00", shown(name), name.p);
	else
		wrong(error, "zone `%.*s` is not in " FOLDER
		      "; names look like Pacific/Auckland, offsets like +12:00", shown(name), name.p);
}

struct zone *zone_load(struct slice name, struct zone_error *error)
{
	struct buf path = BUF_INIT, bytes = BUF_INIT;
	struct zone *z = NULL;
	int32_t offset_s;

	if (zone_offset_parse(name, &offset_s))
		return zone_fixed(offset_s);
	if (!name_sane(name)) {
		wrong(error, "`%.*s` is not a valid time zone; names look like Pacific/Auckland, "
		      "offsets like +12:00", shown(name), name.p);
		return NULL;
	}
	buf_str(&path, FOLDER "/");
	buf_add(&path, name);
	if (file_read(buf_cstr(&path), &bytes))
		z = zone_read(name, buf_slice(&bytes), error);
	else
		not_found(name, error);
	buf_release(&path);
	buf_release(&bytes);
	return z;
}

/* --- offsets ---------------------------------------------------------------------------- */

bool zone_offset_parse(struct slice s, int32_t *offset_s)
{
	int32_t sign, h, m = 0;

	*offset_s = 0;
	if (slice_eq(s, SLICE("Z")))
		return true;
	if (eat(&s, '-'))
		sign = -1;
	else if (eat(&s, '+'))
		sign = 1;
	else
		return false;
	if (s.n < 2 || !is_digit(s.p[1]) || !eat_number(&s, 2, 23, &h))
		return false;
	if (s.n) {
		eat(&s, ':');
		if (s.n != 2 || !is_digit(s.p[1]) || !eat_number(&s, 2, 59, &m))
			return false;
	}
	*offset_s = sign * (h * HOUR_S + m * MINUTE_S);
	return h * 60 + m <= STAMP_OFFSET_MOST;
}

/* --- looking up -------------------------------------------------------------------------- */

/* How many seconds of whole cycles to go back so that the table holds the instant. */
static int64_t cycles_back(const struct zone *z, int64_t utc_s)
{
	if (!z->cycles || utc_s < z->limit_s)
		return 0;
	return ((utc_s - z->limit_s) / CYCLE_S + 1) * CYCLE_S;
}

/* The span that holds an instant. */
static size_t span_at(const struct zone *z, int64_t utc_s)
{
	size_t low = 0, high = z->n;

	while (high - low > 1) {
		size_t mid = low + (high - low) / 2;

		if (z->span[mid].from_s <= utc_s)
			low = mid;
		else
			high = mid;
	}
	return low;
}

int32_t zone_offset(const struct zone *z, int64_t utc_s)
{
	return z->span[span_at(z, utc_s - cycles_back(z, utc_s))].offset_s;
}

int64_t zone_next_change(const struct zone *z, int64_t utc_s, int32_t *shift_s)
{
	int64_t back = cycles_back(z, utc_s);
	size_t i = span_at(z, utc_s - back) + 1;

	if (shift_s)
		*shift_s = 0;
	if (i >= z->n)
		return INT64_MAX;
	if (shift_s)
		*shift_s = z->span[i].offset_s - z->span[i - 1].offset_s;
	return z->span[i].from_s + back;
}

static int64_t span_end(const struct zone *z, size_t i)
{
	return i + 1 < z->n ? z->span[i + 1].from_s : INT64_MAX;
}

static bool span_shows(const struct zone *z, size_t i, int64_t wall_s)
{
	int64_t utc_s = wall_s - z->span[i].offset_s;

	return utc_s >= z->span[i].from_s && utc_s < span_end(z, i);
}

/* Remembers the inner part of a span: far enough from both ends to be met only once. */
static void memo_set(const struct zone *z, size_t i, int64_t back, struct zone_memo *memo)
{
	int64_t from_s = z->span[i].from_s, to_s = span_end(z, i);

	if (z->cycles && to_s > z->limit_s)
		return;
	from_s = from_s < -FARTHEST ? -FARTHEST : from_s;
	to_s = to_s > FARTHEST ? FARTHEST : to_s;
	if (to_s - from_s <= (int64_t)4 * SHIFT_MOST)
		return;
	*memo = (struct zone_memo){ from_s + back + 2 * SHIFT_MOST, to_s + back - 2 * SHIFT_MOST,
		z->span[i].offset_s };
}

/* A wall time that no span shows lies between two of them. */
static struct zone_wall never(const struct zone *z, size_t first, int64_t wall_s, int64_t back)
{
	size_t i = first;
	int32_t before, after;

	while (i + 1 < z->n && wall_s - z->span[i].offset_s >= z->span[i + 1].from_s &&
	       wall_s - z->span[i + 1].offset_s >= z->span[i + 1].from_s)
		i++;
	before = z->span[i].offset_s;
	after = i + 1 < z->n ? z->span[i + 1].offset_s : before;
	return (struct zone_wall){ ZONE_NEVER, { wall_s + back - before, wall_s + back - after },
		{ before, after }, i + 1 < z->n ? z->span[i + 1].from_s + back : 0 };
}

struct zone_wall zone_wall_find(const struct zone *z, struct zone_memo *memo, int64_t wall_s)
{
	int64_t back = cycles_back(z, wall_s), near = wall_s - back;
	size_t from = span_at(z, near - SHIFT_MOST), to = span_at(z, near + SHIFT_MOST);
	size_t first = z->n, last = z->n;
	int32_t a, b;

	for (size_t i = from; i <= to; i++)
		if (span_shows(z, i, near)) {
			first = first == z->n ? i : first;
			last = i;
		}
	if (first == z->n)
		return never(z, from, near, back);
	a = z->span[first].offset_s;
	b = z->span[last].offset_s;
	if (from == to)
		memo_set(z, first, back, memo);
	return (struct zone_wall){ first == last ? ZONE_ONCE : ZONE_TWICE,
		{ wall_s - a, wall_s - b }, { a, b }, first == last ? 0 : z->span[last].from_s + back };
}

/* ---- the instant of a stamp */

enum { NOON_S = DAY_S / 2 };

int64_t zone_stamp(const struct zone *z, struct zone_memo *memo, const struct stamp *stamp, enum zone_kind *kind)
{
	int64_t wall_s = day_seconds(stamp->day) + (stamp->second == STAMP_NO_TIME ? NOON_S : stamp->second);
	struct zone_wall found;

	*kind = ZONE_ONCE;
	if (stamp->offset != STAMP_NO_OFFSET)
		return wall_s - stamp->offset * MINUTE_S;
	found = zone_wall(z, memo, wall_s);
	*kind = found.kind;
	return found.kind == ZONE_NEVER ? found.change_s : found.utc_s[1];
}

int64_t zone_day_end(const struct zone *z, int32_t day)
{
	const struct stamp midnight = { day + 1, 0, STAMP_NO_OFFSET };
	struct zone_memo memo = { 0 };
	enum zone_kind kind;

	return zone_stamp(z, &memo, &midnight, &kind);
}
