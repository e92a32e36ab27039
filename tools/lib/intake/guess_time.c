#include <stdio.h>

#include "intake/guess_internal.h"
#include "time/calendar.h"
#include "time/zone.h"

enum {
	LOOK_ROWS = 50,        /* rows that must agree before a column is taken for the time */
	READ_TENTHS = 6,       /* of them a form must read: titles and trailers may be among them */
	RISING_PCT = 90,       /* of them are not less than the one before: clocks are set back now and then */
	ZONE_LEAST = 3,        /* letters of a word for an offset: CET */
	ZONE_MOST = 5,
	SERIAL_LEAST = 20000,  /* a spreadsheet's days: 1954 */
	SERIAL_MOST = 80000    /* and 2119 */
};

/* Seconds since 1970 of instruments: 1985 to 2096. */
static const double UNIX_LEAST_S = 5e8, UNIX_MOST_S = 4e9;

/* --- from a text to the forms that it may have ---------------------------------------------------- */

/* An unfinished form: \1 \2 \3 are the parts of the date. */
struct sketch {
	char text[GUESS_FORM_TEXT];
	size_t n;
	size_t digits[3];            /* of each part of the date; 0: a month's name */
	int ndate, ntime;
	bool failed;
	struct slice zone;           /* a word that may mean an offset */
};

static void put(struct sketch *k, const char *s)
{
	for (; *s; s++) {
		if (k->n + 1 >= sizeof k->text)
			k->failed = true;
		else
			k->text[k->n++] = *s;
	}
	k->text[k->n] = '\0';
}

static bool is_digit(char c)
{
	return c >= '0' && c <= '9';
}

static size_t digits(struct slice s)
{
	size_t n = 0;

	while (n < s.n && is_digit(s.p[n]))
		n++;
	return n;
}

static bool is_letter(char c)
{
	return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || (unsigned char)c >= 0x80;
}

static size_t letters(struct slice s)
{
	size_t n = 0;

	while (n < s.n && is_letter(s.p[n]) && !time_format_blanks(slice_from(s, n)))
		n++;
	return n;
}

static void put_date(struct sketch *k, size_t ndigits)
{
	const char mark[] = { (char)('\1' + k->ndate), '\0' };

	if (k->ndate == 3) {
		k->failed = true;
		return;
	}
	k->digits[k->ndate++] = ndigits;
	put(k, mark);
}

static void put_time(struct sketch *k)
{
	static const char *const part[] = { "hh", "mm", "ss" };

	if (k->ntime == 3)
		k->failed = true;
	else
		put(k, part[k->ntime++]);
}

/* A number before or after a colon is part of the time of day. */
static bool is_time_number(const struct sketch *k, struct slice behind)
{
	if (k->ndate == 3 || (k->ntime && k->ntime < 3 && k->n && k->text[k->n - 1] == ':'))
		return true;
	return behind.n && behind.p[0] == ':';
}

/* 20260609140500 and its shorter kin. */
static void put_compact(struct sketch *k, size_t n)
{
	if (n == 14 || n == 12 || n == 8) {
		put(k, n == 8 ? "YYYYMMDD" : n == 12 ? "YYYYMMDDhhmm" : "YYYYMMDDhhmmss");
		k->ndate = 3;
		k->digits[0] = 8;
		k->ntime = n == 8 ? 0 : n == 12 ? 2 : 3;
	} else if (n == 6 && k->ndate == 0) {
		for (int i = 0; i < 3; i++)
			put_date(k, 2);
	} else if (k->ndate == 3 && (n == 4 || n == 6)) {
		put(k, n == 4 ? "hhmm" : "hhmmss");
		k->ntime = n == 4 ? 2 : 3;
	} else {
		k->failed = true;
	}
}

static size_t take_number(struct sketch *k, struct slice s)
{
	size_t n = digits(s);
	struct slice behind = slice_from(s, n);

	if (n > 4 || (n == 4 && k->ndate == 3 && !(behind.n && behind.p[0] == ':')))
		put_compact(k, n);
	else if (n <= 2 && is_time_number(k, behind))
		put_time(k);
	else if (n == 3)
		k->failed = true;
	else
		put_date(k, n);
	/* a fraction of a second is not part of the form */
	if (k->ntime == 3 && behind.n > 1 && (behind.p[0] == '.' || behind.p[0] == ',') && is_digit(behind.p[1]))
		n += 1 + digits(slice_from(behind, 1));
	return n;
}

/* Three to five capitals after the time may be a zone: CET, NZDT. */
static bool is_zone_word(const struct sketch *k, struct slice word)
{
	if (k->ntime < 2 || k->zone.n || word.n < ZONE_LEAST || word.n > ZONE_MOST)
		return false;
	for (size_t i = 0; i < word.n; i++)
		if (word.p[i] < 'A' || word.p[i] > 'Z')
			return false;
	return true;
}

static size_t take_word(struct sketch *k, struct slice s)
{
	size_t n = letters(s), len;
	int32_t offset_s;
	int which;

	if (k->ntime && (len = time_format_offset(s, &offset_s))) {
		put(k, "OFFSET");
		return len;
	}
	if ((len = time_format_half(NULL, s, &which)) && (k->ntime || digits(slice_from(s, len + time_format_blanks(slice_from(s, len)))))) {
		put(k, "HALF");
		return len;
	}
	if (k->ndate < 3 && (len = time_format_month(NULL, s, &which))) {
		put_date(k, 0);
		return len;
	}
	if (!k->ndate && !k->ntime) {
		put(k, "WEEKDAY");
		return n + (n < s.n && (s.p[n] == '.' || s.p[n] == ','));
	}
	if (is_zone_word(k, slice_upto(s, n))) {
		k->zone = slice_upto(s, n);
		put(k, "OFFSET");
		return n;
	}
	put(k, "'");
	for (size_t i = 0; i < n; i++)
		put(k, (const char[]){ s.p[i], '\0' });
	put(k, "'");
	return n;
}

/* One piece of the text. Returns its bytes. */
static size_t take_piece(struct sketch *k, struct slice s)
{
	size_t blanks = time_format_blanks(s);
	int32_t offset_s;
	size_t n;

	if (blanks) {
		put(k, " ");
		return blanks;
	}
	if (is_digit(s.p[0]))
		return take_number(k, s);
	if (is_letter(s.p[0]))
		return take_word(k, s);
	if (k->ntime >= 2 && (s.p[0] == '+' || s.p[0] == '-') && (n = time_format_offset(s, &offset_s))) {
		put(k, "OFFSET");
		return n;
	}
	if (s.p[0] == '[' || s.p[0] == ']' || s.p[0] == '\'')
		k->failed = true;
	put(k, (const char[]){ s.p[0], '\0' });
	return 1;
}

static bool sketch(struct slice text, struct sketch *k)
{
	*k = (struct sketch){ .n = 0 };
	text = cell_number_trim(text);
	if (!text.n || text.n > GUESS_TIME_TEXT)
		return false;
	while (text.n && !k->failed)
		text = slice_from(text, take_piece(k, text));
	return !k->failed && (k->ndate == 3 || (k->ndate == 0 && k->ntime >= 2));
}

/* The possible orders of the parts of a date: y, m, d. */
static const char *const orders_year_first[] = { "ymd", NULL };
static const char *const orders_year_last[] = { "dmy", "mdy", NULL };
static const char *const orders_short[] = { "ymd", "dmy", "mdy", NULL };
static const char *const orders_word_1[] = { "mdy", NULL };
static const char *const orders_word_2_first[] = { "ymd", NULL };
static const char *const orders_word_2_last[] = { "dmy", NULL };
static const char *const orders_word_2[] = { "dmy", "ymd", NULL };
static const char *const orders_word_3[] = { "ydm", NULL };

static const char *const *orders_of(const struct sketch *k)
{
	if (!k->digits[0])
		return orders_word_1;
	if (!k->digits[1])
		return k->digits[0] == 4 ? orders_word_2_first : k->digits[2] == 4 ? orders_word_2_last : orders_word_2;
	if (!k->digits[2])
		return orders_word_3;
	if (k->digits[0] == 4)
		return orders_year_first;
	return k->digits[2] == 4 ? orders_year_last : orders_short;
}

static const char *part_of(const struct sketch *k, int i, char role)
{
	if (role == 'y')
		return k->digits[i] == 4 ? "YYYY" : "YY";
	if (role == 'd')
		return "DD";
	return k->digits[i] ? "MM" : "MONTH";
}

/* The sketch with its date in one order; false if that is not a form. */
static bool form_of(const struct sketch *k, const char *order, struct guess_form *f)
{
	const char *why;
	size_t n = 0;

	*f = (struct guess_form){ .read = 0 };
	for (size_t i = 0; i < k->n && n + 8 < sizeof f->text; i++) {
		const char c = k->text[i];

		if (c >= '\1' && c <= '\3')
			n += (size_t)snprintf(f->text + n, sizeof f->text - n, "%s", part_of(k, c - '\1', order[c - '\1']));
		else
			f->text[n++] = c;
	}
	f->text[n] = '\0';
	return time_format_compile(&f->form, slice_of(f->text), &why);
}

static bool has_form(const struct guess_time *t, const struct guess_form *f)
{
	for (size_t i = 0; i < t->nforms; i++)
		if (strcmp(t->form[i].text, f->text) == 0)
			return true;
	return false;
}

/* Keeps a word for an offset, whose offset is not known yet. */
static void add_zone(struct guess_time *t, struct slice word)
{
	for (size_t i = 0; i < t->nzones; i++)
		if (slice_eq(buf_slice(&t->zone_text[i]), word))
			return;
	if (!word.n || t->nzones == GUESS_ZONES)
		return;
	buf_add(&t->zone_text[t->nzones], word);
	t->zone[t->nzones] = buf_slice(&t->zone_text[t->nzones]);
	t->nzones++;
}

static struct time_words words_of(const struct guess_time *t)
{
	/* the offsets are only read */
	return (struct time_words){ .zone = (struct slice *)(uintptr_t)t->zone, .zone_s = (int32_t *)(uintptr_t)t->zone_s, .nzone = t->nzones };
}

struct time_words guess_time_words(const struct guess *g)
{
	return words_of(&g->time);
}

static void release_zones(struct guess_time *t)
{
	for (size_t i = 0; i < t->nzones; i++)
		buf_release(&t->zone_text[i]);
	t->nzones = 0;
}

/* Adds the forms that a text may have. */
static void add_forms(struct guess_time *t, struct slice text)
{
	struct sketch k;
	const char *const *order;

	if (!sketch(text, &k) || k.ndate != 3)
		return;
	add_zone(t, k.zone);
	for (order = orders_of(&k); *order && t->nforms < GUESS_FORMS; order++) {
		struct guess_form *f = &t->form[t->nforms];

		if (form_of(&k, *order, f) && !has_form(t, f))
			t->nforms++;
	}
}

/* --- the columns of the time ---------------------------------------------------------------------- */

static void join_cells(const struct guess_time *t, const struct slice *cell, size_t n, struct buf *out)
{
	out->n = 0;
	for (size_t i = 0; i < t->ncolumns; i++) {
		if (i)
			buf_char(out, ' ');
		if (t->column[i] < n)
			buf_add(out, cell_number_trim(cell[t->column[i]]));
	}
}

static bool reads(const struct guess_time *t, struct slice text)
{
	struct time_words words = words_of(t);
	struct time_reading read;

	for (size_t i = 0; i < t->nforms; i++)
		if (!time_format_read(&t->form[i].form, &words, text, &read, NULL))
			return true;
	return false;
}

/* How many of the rows from `at` on the forms read, in tenths; forms are added from the first ones. */
static int tenths_read(struct guess *g, struct guess_time *t, size_t at)
{
	struct buf text = BUF_INIT;
	int seen = 0, read = 0;

	for (size_t r = at; r < g->nrows && seen < LOOK_ROWS; r++) {
		if (!g->row[r].used)
			continue;
		seen++;
		join_cells(t, g->row[r].cell, g->row[r].n, &text);
		if (!reads(t, buf_slice(&text)) && (read + 1) * 2 > seen)
			add_forms(t, buf_slice(&text));
		read += reads(t, buf_slice(&text));
	}
	buf_release(&text);
	return seen ? read * 10 / seen : 0;
}

static bool has_date(struct slice text)
{
	struct sketch k;

	return sketch(text, &k) && k.ndate == 3;
}

static bool is_clock_time(struct slice text)
{
	struct sketch k;

	return sketch(text, &k) && k.ndate == 0;
}

static bool is_half(struct slice text)
{
	int half;

	text = cell_number_trim(text);
	return text.n > 1 && time_format_half(NULL, text, &half) == text.n;
}

static bool has_clock_time(struct slice text)
{
	struct sketch k;

	return sketch(text, &k) && k.ntime >= 2;
}

static bool is_a_or_p(struct slice s)
{
	return s.n == 1 && strchr("aApP", s.p[0]) != NULL;
}

/* A column of `a` and `p` alone. */
static bool is_half_column(const struct guess *g, size_t at, size_t c)
{
	size_t seen = 0;

	for (size_t r = at; r < g->nrows && seen < LOOK_ROWS; r++) {
		if (!g->row[r].used)
			continue;
		if (c >= g->row[r].n || !is_a_or_p(cell_number_trim(g->row[r].cell[c])))
			return false;
		seen++;
	}
	return seen > 0;
}

/* A zone's word under a heading that says so. */
static bool is_zone_cell(const struct guess *g, size_t at, size_t c)
{
	struct sketch k = { .ntime = 2 };

	return at > 0 && c < g->row[at - 1].n && guess_names_zone(g->row[at - 1].cell[c]) && is_zone_word(&k, cell_number_trim(g->row[at].cell[c]));
}

/* The columns of a time whose date is in column c: alone, or with the time of day beside it. */
static void columns_of(const struct guess *g, size_t at, size_t c, struct guess_time *t)
{
	const struct guess_row *row = &g->row[at];
	size_t next;

	*t = (struct guess_time){ .column = { c }, .ncolumns = 1 };
	if (has_clock_time(row->cell[c])) {
		if (c + 1 < row->n && (is_half_column(g, at, c + 1) || is_zone_cell(g, at, c + 1)))
			t->column[t->ncolumns++] = c + 1;
		return;
	}
	if (c + 1 < row->n && is_clock_time(row->cell[c + 1]))
		t->column[t->ncolumns++] = c + 1;
	else if (c > 0 && is_clock_time(row->cell[c - 1]))
		*t = (struct guess_time){ .column = { c - 1, c }, .ncolumns = 2 };
	next = t->column[0] + t->ncolumns;
	if (t->ncolumns == 2 && next < row->n && (is_half(row->cell[next]) || is_half_column(g, at, next) || is_zone_cell(g, at, next)))
		t->column[t->ncolumns++] = next;
}

/* --- numbers that count days or seconds ----------------------------------------------------------- */

/* A number without a sign and a unit, however long; *whole: without a fraction. */
static bool number_of(struct slice s, double *v, bool *whole)
{
	size_t n, more = 0;

	s = cell_number_trim(s);
	n = digits(s);
	if (n < s.n && (s.p[n] == '.' || s.p[n] == ','))
		more = 1 + digits(slice_from(s, n + 1));
	*whole = more <= 1;
	*v = cell_number_value(slice_upto(s, n));
	return n > 0 && n + more == s.n;
}

/* Whether the row before names the column a date or a time. */
static bool is_dated(const struct guess *g, size_t at, size_t c)
{
	return at > 0 && c < g->row[at - 1].n && guess_names_date(g->row[at - 1].cell[c]);
}

/* Which count the column may hold: numbers of the size of today's dates, that rise, or fall. */
static const char *counted(const struct guess *g, size_t at, size_t c)
{
	double last = 0, v;
	size_t seen = 0, rising = 0, falling = 0, parts = 0;
	bool whole;

	for (size_t r = at; r < g->nrows && seen < LOOK_ROWS; r++) {
		if (!g->row[r].used)
			continue;
		if (c >= g->row[r].n || !number_of(g->row[r].cell[c], &v, &whole))
			return NULL;
		rising += seen && v >= last;
		falling += seen && v <= last;
		seen++;
		parts += !whole;
		last = v;
	}
	if (seen < 2 || (!guess_share(rising, seen - 1, RISING_PCT) && !guess_share(falling, seen - 1, RISING_PCT)))
		return NULL;
	if (last > SERIAL_LEAST && last < SERIAL_MOST)
		return parts * 3 > seen || is_dated(g, at, c) ? "serial" : NULL;
	if (last > UNIX_LEAST_S && last < UNIX_MOST_S)
		return "unix";
	return last > 1000 * UNIX_LEAST_S && last < 1000 * UNIX_MOST_S ? "unix-ms" : NULL;
}

static bool add_count(struct guess_time *t, const char *word)
{
	struct guess_form *f = &t->form[t->nforms++];
	const char *why;

	snprintf(f->text, sizeof f->text, "%s", word);
	return time_format_compile(&f->form, slice_of(word), &why);
}

static bool find_count(struct guess *g, size_t at)
{
	for (size_t c = 0; c < g->row[at].n; c++) {
		const char *word = counted(g, at, c);

		if (!word)
			continue;
		g->time = (struct guess_time){ .column = { c }, .ncolumns = 1 };
		/* a spreadsheet may count from either day */
		return add_count(&g->time, word) && (strcmp(word, "serial") != 0 || add_count(&g->time, "serial-1904"));
	}
	return false;
}

bool guess_find_time(struct guess *g, size_t at)
{
	const struct guess_row *row = &g->row[at];
	struct guess_time best = { .nforms = 0 };

	for (size_t c = 0; c < row->n && c < GUESS_COLUMNS; c++) {
		struct guess_time t;

		if (!has_date(row->cell[c]))
			continue;
		columns_of(g, at, c, &t);
		if (tenths_read(g, &t, at) >= READ_TENTHS && t.nforms &&
		    (!best.nforms || (t.form[0].form.timed && !best.form[0].form.timed))) {
			release_zones(&best);
			best = t;
		} else {
			release_zones(&t);
		}
	}
	if (best.nforms) {
		g->time = best;
		return true;
	}
	return find_count(g, at);
}

/* --- looking through the rows --------------------------------------------------------------------- */

/*
 * Whether the readings go on from one day into the next with the step that they have within the day. It
 * counts where a day has three that are even: two a day may be of any two days.
 */
static void look_midnight(struct guess_form *f, int64_t t_s, int64_t step)
{
	int64_t by = step < 0 ? -step : step;

	if (seconds_day(t_s) != seconds_day(f->last_s)) {
		f->midnights += f->inner_s && 2 * by <= 3 * f->inner_s;
		f->inner = false;
		return;
	}
	f->even = f->even || (f->inner && by && by == f->inner_s);
	f->inner = true;
	f->inner_s = by ? by : f->inner_s;
}

static void take_step(struct guess_form *f, int64_t t_s)
{
	int64_t step = t_s - f->last_s;

	if (!f->have || t_s < f->least_s)
		f->least_s = t_s;
	if (!f->have || t_s > f->most_s)
		f->most_s = t_s;
	if (f->have && !f->fresh) {
		f->way_s += (double)(step < 0 ? -step : step);
		f->back += step < 0;
		f->hour_back += step < 0 && f->step_s && f->step_s <= HOUR_S && step == f->step_s - HOUR_S;
		look_midnight(f, t_s, step);
	}
	if (step > 0 && f->have && !f->step_s)
		f->step_s = step;
	f->have = true;
	f->fresh = false;
	f->last_s = t_s;
}

/* What the works' clock says of a wall time, and of the word beside it. */
static void take_works(struct guess *g, struct guess_form *f, const struct time_reading *t, struct slice text, int64_t last_s)
{
	struct zone_memo memo = { 0 };
	int64_t wall_s = day_seconds(t->day) + t->second;
	struct zone_wall w = zone_wall(g->wish->works, &memo, wall_s);

	f->never += w.kind == ZONE_NEVER;
	f->twice += w.kind == ZONE_TWICE;
	f->back_there = f->back_there || (w.kind == ZONE_TWICE && f->have && last_s != wall_s &&
		zone_wall(g->wish->works, &memo, last_s).kind == ZONE_TWICE && ((wall_s < last_s) != (f->back * 2 > f->read)));
	for (size_t i = 0; i < g->time.nzones && w.kind == ZONE_ONCE && t->has_offset; i++) {
		struct slice word = g->time.zone[i];

		if (text.n < word.n || !slice_eq(slice_from(text, text.n - word.n), word) ||
		    (text.n > word.n && is_letter(text.p[text.n - word.n - 1])))
			continue;
		g->time.zone_how[i] = !g->time.zone_how[i] || g->time.zone_s[i] == w.offset_s[0] ? (g->time.zone_how[i] == 2 ? 2 : 1) : 2;
		g->time.zone_s[i] = w.offset_s[0];
	}
}

bool guess_take_time(struct guess *g, const struct slice *cell, size_t n)
{
	struct buf text = BUF_INIT;
	struct time_words words = { 0 };
	int32_t no_offsets[GUESS_ZONES] = { 0 };
	bool any = false;

	join_cells(&g->time, cell, n, &text);
	words = words_of(&g->time);
	words.zone_s = no_offsets;
	for (size_t i = 0; i < g->time.nforms; i++) {
		struct guess_form *f = &g->time.form[i];
		struct time_reading t;

		if (time_format_read(&f->form, &words, buf_slice(&text), &t, NULL))
			continue;
		if (!f->have) {
			f->first = t;
			buf_add(&f->first_text, buf_slice(&text));
		}
		f->read++;
		f->late = f->late || t.second < HOUR_S || t.second >= 13 * HOUR_S;
		if (g->wish->works && f->form.timed && (!f->form.offset || g->time.nzones))
			take_works(g, f, &t, buf_slice(&text), f->last_s);
		take_step(f, day_seconds(t.day) + t.second - (t.has_offset ? t.offset_s : 0));
		any = true;
	}
	g->time.rows++;
	g->time.unread += !any;
	if (!any)
		add_forms(&g->time, buf_slice(&text));
	buf_release(&text);
	return any;
}

static void drop_form(struct guess_time *t, size_t i)
{
	buf_release(&t->form[i].first_text);
	for (; i + 1 < t->nforms; i++)
		t->form[i] = t->form[i + 1];
	t->nforms--;
}

/* Spreadsheets leave out the time at midnight: such a form and the whole one become one. */
static void join_midnights(struct guess_time *t)
{
	for (size_t i = 0; i < t->nforms; i++)
		for (size_t k = t->nforms; k-- > 0;) {
			struct guess_form *whole = &t->form[i], *date = &t->form[k];
			size_t n = strlen(date->text);
			char text[sizeof whole->text];
			const char *why;

			if (!whole->form.timed || date->form.timed || strncmp(whole->text, date->text, n) != 0 ||
			    is_letter(whole->text[n]) || strlen(whole->text) + 3 > sizeof text)
				continue;
			snprintf(text, sizeof text, "%.*s[%s]", (int)n, whole->text, whole->text + n);
			whole->read += date->read;
			t->midnights = true;
			memcpy(whole->text, text, sizeof text);
			time_format_compile(&whole->form, slice_of(text), &why);
			drop_form(t, k);
			i -= k < i;
		}
}

/*
 * A form goes that reads fewer rows than another; then, if the readings go on over a midnight in one form,
 * one in which they never do.
 */
void guess_settle_forms(struct guess *g)
{
	struct guess_time *t = &g->time;
	uint64_t most = 0, midnights = 0;

	join_midnights(t);
	t->several = t->nforms > 1;
	for (size_t i = 0; i < t->nforms; i++)
		most = t->form[i].read > most ? t->form[i].read : most;
	for (size_t i = t->nforms; i-- > 0;)
		if (t->form[i].read < most)
			drop_form(t, i);
	for (size_t i = 0; i < t->nforms; i++)
		midnights += t->form[i].even ? t->form[i].midnights : 0;
	for (size_t i = t->nforms; i-- > 0 && midnights;)
		if (!t->form[i].midnights && !t->form[i].form.number) {
			drop_form(t, i);
			t->by_days = true;
		}
}
