#include "intake/guess_internal.h"
#include "time/stamp.h"
#include "time/zone.h"

enum {
	READ_PCT = 97,         /* of the rows are read: then the words beside the time are alike */
	HOURS_MOST = 14,       /* an offset in hours: no zone is farther */
	QUARTERS_MOST = 56     /* the same in quarter hours */
};

static void put_time_columns(struct guess *g)
{
	size_t start = g->out->n;

	buf_str(g->out, g->time.ncolumns == 1 ? "  column: " : "  columns: [");
	for (size_t i = 0; i < g->time.ncolumns; i++) {
		buf_str(g->out, i ? ", " : "");
		guess_put_column(g, g->time.column[i]);
	}
	buf_str(g->out, g->time.ncolumns == 1 ? "" : "]");
	guess_put_remark(g->out, start, g->time.unread ? "likely: nearly all rows have a time there" : "sure: every row has a time there");
}

static void moment(const struct time_reading *t, bool timed, struct buf *out)
{
	struct stamp stamp = { t->day, t->second, STAMP_NO_OFFSET };

	day_write(out, t->day);
	if (!timed)
		return;
	buf_char(out, ' ');
	time_write(out, &stamp);
}

static const char *why_form(const struct guess *g)
{
	const struct guess_form *f = &g->time.form[0];

	if (slice_starts(slice_of(f->text), SLICE("unix")))
		return "sure: numbers of the size of seconds since 1970";
	if (g->time.by_days)
		return "sure: only in this form the readings go on over midnight";
	if (g->time.midnights)
		return "likely: the time is left out at midnight";
	if (f->read < g->time.rows)
		return "likely: most rows are written this way";
	return g->time.several ? "sure: no other order fits all rows" : "sure: no other form fits";
}

/* A column of one or two words beside the time, that is nothing else. */
static const struct guess_column *words_beside(const struct guess *g)
{
	size_t c = g->time.column[g->time.ncolumns - 1] + 1;
	const struct guess_column *col = c < g->ncols ? &g->column[c] : NULL;

	if (!col || col->role != ROLE_NONE || c == g->unit || c == g->quantity || c == g->sensor || col->numbers || col->missing || !col->texts.n ||
	    col->texts.n > 2 || col->texts.more)
		return NULL;
	return col;
}

/*
 * Why the hours may be of halves of the day, that the form does not have: no hour is past 12 or before 1,
 * and there are words beside the time, or it goes back without a reason.
 */
static const char *halves_doubt(const struct guess *g)
{
	const struct guess_form *f = &g->time.form[0];
	bool words = strchr(f->text, '\'') != NULL;

	if (!f->form.timed || f->form.number || strstr(f->text, "HALF"))
		return NULL;
	if (words && !guess_share(f->read, g->time.rows, READ_PCT))
		return "the words beside the time differ from row to row";
	if (f->late)
		return NULL;
	if (words || words_beside(g))
		return "there are words beside the time, and no hour is past 12";
	return f->back && f->back * 2 < f->read && !f->hour_back ? "no hour is past 12, and the time goes back" : NULL;
}

static void ask_words(struct guess *g, const char *doubt)
{
	buf_str(g->out, "  # OPEN: if the hours are of halves of the day, write HALF for their word in the form, and list the words:\n"
		"  # am: [WORD], pm: [WORD]. If they go to 24, remove the # of the form\n");
	guess_ask(g, "%s: are the hours (%.60s) of halves of the day? If so, list their words as `am` and `pm`", doubt, g->time.form[0].text);
}

/* The form in which the days are nearest to each other, if there is one: a hint, and no more. */
static const struct guess_form *nearest_days(const struct guess_time *t)
{
	const struct guess_form *best = &t->form[0];
	size_t same = 0;

	for (size_t i = 1; i < t->nforms; i++)
		if (t->form[i].way_s < best->way_s)
			best = &t->form[i];
	for (size_t i = 0; i < t->nforms; i++)
		same += t->form[i].way_s <= best->way_s;
	return same == 1 ? best : NULL;
}

static void put_form(struct guess *g)
{
	struct guess_time *t = &g->time;
	const char *doubt = t->nforms == 1 ? halves_doubt(g) : NULL;
	bool open = doubt || t->nforms > 1;
	const struct guess_form *near = nearest_days(t);
	struct buf when = BUF_INIT;

	for (size_t i = 0; i < t->nforms; i++) {
		size_t start = g->out->n;

		buf_str(g->out, open ? "  #form: " : "  form: ");
		guess_put_quoted(g->out, slice_of(t->form[i].text));
		when.n = 0;
		utf8_add_visible(&when, buf_slice(&t->form[i].first_text));
		buf_str(&when, " is ");
		moment(&t->form[i].first, t->form[i].form.timed, &when);
		if (!open)
			buf_printf(&when, "; %s", why_form(g));
		else if (near == &t->form[i] && !doubt)
			buf_str(&when, "; the days are nearest to each other in this form");
		guess_put_remark(g->out, start, buf_cstr(&when));
		if (t->nforms > 1)
			guess_ask(g, "the data do not decide the form of the date: %s with form \"%s\"", buf_cstr(&when), t->form[i].text);
	}
	if (t->nforms > 1)
		buf_str(g->out, "  # OPEN: the data fit all of these; remove the # of the right one\n");
	if (doubt)
		ask_words(g, doubt);
	buf_release(&when);
}

static void put_offset(struct buf *out, int32_t offset_s)
{
	int32_t minutes = (offset_s < 0 ? -offset_s : offset_s) / MINUTE_S;

	buf_printf(out, "\"%c%02d:%02d\"", offset_s < 0 ? '-' : '+', (int)(minutes / 60), (int)(minutes % 60));
}

/* Whether the works' clock shows what each word means: two words or more, each with an offset of its own. */
static bool zones_sure(const struct guess_time *t)
{
	for (size_t i = 0; i < t->nzones; i++) {
		if (t->zone_how[i] != 1)
			return false;
		for (size_t k = 0; k < i; k++)
			if (t->zone_s[k] == t->zone_s[i])
				return false;
	}
	return t->nzones > 1;
}

/* The words for offsets in the time. */
static void put_zones(struct guess *g)
{
	struct guess_time *t = &g->time;
	bool sure = zones_sure(t);
	size_t start = g->out->n;

	if (!t->nzones || !t->form[0].form.offset)
		return;
	buf_str(g->out, sure ? "  zones: {" : "  #zones: {");
	for (size_t i = 0; i < t->nzones; i++) {
		buf_str(g->out, i ? ", " : "");
		buf_add(g->out, t->zone[i]);
		buf_str(g->out, ": ");
		if (t->zone_how[i] == 1)
			put_offset(g->out, t->zone_s[i]);
		else
			buf_str(g->out, "\"+hh:mm\"");
	}
	buf_char(g->out, '}');
	guess_put_remark(g->out, start, sure ? "sure: the works' clock has these offsets at these times" :
		"OPEN: write the offset of each word, and remove the #");
	if (!sure)
		for (size_t i = 0; i < t->nzones; i++)
			guess_ask(g, "which offset from UTC is `%.*s`? write it in `zones`", (int)t->zone[i].n, t->zone[i].p);
}

static const struct {
	const char *word;
	int32_t s, most, step;  /* seconds; the largest number; every one is a multiple of the step */
} offset_units[] = { { "hours", HOUR_S, HOURS_MOST, 1 }, { "quarter-hours", HOUR_S / 4, QUARTERS_MOST, 1 }, { "minutes", MINUTE_S, 900, 15 } };

enum { OFFSET_UNITS = sizeof offset_units / sizeof *offset_units };

/* Whether numbers from the least to the most may count this unit. */
static bool fits_unit(const struct guess_column *c, int unit)
{
	return c->most <= offset_units[unit].most && -c->least <= offset_units[unit].most && (int32_t)c->least % offset_units[unit].step == 0 &&
		(int32_t)c->most % offset_units[unit].step == 0;
}

/* Whether they are the offsets of the works' clock then. */
static bool fits_works(const struct guess *g, const struct guess_column *c, int unit)
{
	const struct guess_form *f = &g->time.form[0];
	int32_t first, last, least = (int32_t)c->least * offset_units[unit].s, most = (int32_t)c->most * offset_units[unit].s;

	if (!g->wish->works)
		return false;
	first = zone_offset(g->wish->works, f->least_s - least);
	last = zone_offset(g->wish->works, f->most_s - most);
	return (least == first || least == last) && (most == first || most == last);
}

/* The unit of a column of offsets; -1 if several fit. Offsets of 0 are the same in each. */
static int offset_unit(const struct guess *g, const struct guess_column *c, const char **why)
{
	int fits = 0, works = 0, which = -1, by_works = -1;

	for (int i = 0; i < OFFSET_UNITS; i++) {
		if (!fits_unit(c, i))
			continue;
		which = fits++ ? which : i;
		if (fits_works(g, c, i))
			by_works = works++ ? by_works : i;
	}
	*why = works == 1 ? "sure: these are the offsets of the works' clock" : "sure: only this unit fits the numbers";
	if (works == 1)
		return by_works;
	return fits == 1 || (c->least == 0 && c->most == 0) ? which : -1;
}

static void put_offset_line(struct guess *g, size_t column, const char *head, const char *unit, const char *why)
{
	size_t start = g->out->n;

	buf_printf(g->out, "  %soffset: {column: ", head);
	guess_put_column(g, column);
	buf_printf(g->out, ", in: %s}", unit);
	guess_put_remark(g->out, start, why);
}

/* Several units fit the numbers: an empty `clock` stops the mapping until one is chosen. */
static void ask_offset(struct guess *g, size_t column)
{
	size_t start = g->out->n;

	buf_str(g->out, "  clock:");
	guess_put_remark(g->out, start, "OPEN: write one of these in its place");
	for (int i = 0; i < OFFSET_UNITS; i++)
		if (fits_unit(&g->column[column], i))
			put_offset_line(g, column, "#", offset_units[i].word, "the numbers may count this unit");
	guess_ask(g, "column %zu has offsets from UTC, in an unknown unit: give it in the mapping (`offset`)", column + 1);
}

static bool put_offset_column(struct guess *g)
{
	for (size_t i = 0; i < g->ncols; i++) {
		const char *why;
		int unit;

		if (g->column[i].role != ROLE_OFFSET)
			continue;
		unit = g->column[i].numbers ? offset_unit(g, &g->column[i], &why) : 0;
		if (!g->column[i].numbers)
			put_offset_line(g, i, "", "text", "sure: every cell is an offset");
		else if (unit < 0)
			ask_offset(g, i);
		else
			put_offset_line(g, i, "", offset_units[unit].word, why);
		return true;
	}
	return false;
}

/* Whether the works' clock changes between the first reading and the last. */
static bool spans_change(const struct guess *g)
{
	const struct guess_form *f = &g->time.form[0];

	return g->wish->works && zone_next_change(g->wish->works, f->least_s - zone_offset(g->wish->works, f->least_s), NULL) <
		f->most_s - zone_offset(g->wish->works, f->most_s);
}

static void put_open_clock(struct guess *g, const char *why)
{
	size_t start = g->out->n;

	buf_str(g->out, "  clock:");
	guess_put_remark(g->out, start, "OPEN: write one of these in its place");
	for (int i = 0; i < 2; i++) {
		int64_t t_s = i ? g->time.form[0].most_s : g->time.form[0].least_s;

		start = g->out->n;
		buf_str(g->out, "  #clock: ");
		put_offset(g->out, zone_offset(g->wish->works, t_s - zone_offset(g->wish->works, t_s)));
		guess_put_remark(g->out, start, i ? "the offset of the last reading" : "the instrument's clock ignores summer time: the offset of the first reading");
	}
	buf_str(g->out, "  #clock: wall\n");
	guess_ask(g, "%s: give the instrument's clock in the mapping (`clock`)", why);
}

static void put_clock(struct guess *g)
{
	const struct guess_form *f = &g->time.form[0];
	size_t start = g->out->n;

	if (f->form.offset || put_offset_column(g))
		return;
	if (g->offset_in_front) {
		buf_str(g->out, "  clock: header");
		guess_put_remark(g->out, start, "likely: the lines before the rows name an offset");
	} else if (f->never) {
		put_open_clock(g, "some readings are in an hour that the works' clock skipped");
	} else if (f->twice && !f->back_there) {
		put_open_clock(g, "the hour that the works' clock repeated comes once here");
	} else {
		buf_str(g->out, "  clock: wall");
		guess_put_remark(g->out, start, f->back_there ? "sure: the hour repeats where the works' clock repeats it" :
			f->hour_back ? "not sure: an hour repeats, as when summer time ends; name the zone, such as Pacific/Auckland" :
			spans_change(g) ? "likely: no reading is in an hour that the works' clock skipped" :
			"not sure: the file does not say; the works' own clock. If it ignores summer time, write an offset, such as \"+12:00\"");
	}
}

void guess_put_time(struct guess *g)
{
	buf_str(g->out, "time:\n");
	put_time_columns(g);
	put_form(g);
	put_zones(g);
	put_clock(g);
}
