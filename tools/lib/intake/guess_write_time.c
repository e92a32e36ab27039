#include "intake/guess_internal.h"
#include "time/stamp.h"

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

	if (slice_eq(slice_of(f->text), SLICE("serial")))
		return "likely: rising numbers of the size of a spreadsheet's days; serial-1904 counts from 1904";
	if (slice_starts(slice_of(f->text), SLICE("unix")))
		return "likely: rising numbers of the size of seconds since 1970";
	if (g->time.by_days)
		return "likely: in this form the days follow one another";
	if (g->time.midnights)
		return "likely: the time is left out at midnight";
	if (f->read < g->time.rows)
		return "likely: most rows are written this way";
	return g->time.several ? "sure: no other order fits all rows" : "sure: no other form fits";
}

/* Words beside the time that are not the same in every row may be the halves of the day. */
static void ask_halves(struct guess *g)
{
	const struct guess_form *f = &g->time.form[0];

	if (g->time.nforms != 1 || !strchr(f->text, '\'') || guess_share(f->read, g->time.rows, READ_PCT))
		return;
	buf_str(g->out, "  # OPEN: the words beside the time differ; if they are the halves of the day, write HALF for them in\n"
		"  # the form, and list them: am: [WORD], pm: [WORD]\n");
	guess_ask(g, "the words beside the time differ from row to row (%.60s): if they are the halves of the day, list them as `am` and `pm`", f->text);
}

static void put_form(struct guess *g)
{
	struct guess_time *t = &g->time;
	struct buf when = BUF_INIT;

	for (size_t i = 0; i < t->nforms; i++) {
		size_t start = g->out->n;

		buf_str(g->out, t->nforms == 1 ? "  form: " : "  #form: ");
		guess_put_quoted(g->out, slice_of(t->form[i].text));
		when.n = 0;
		utf8_add_visible(&when, buf_slice(&t->form[i].first_text));
		buf_str(&when, " is ");
		moment(&t->form[i].first, t->form[i].form.timed, &when);
		if (t->nforms == 1)
			buf_printf(&when, "; %s", why_form(g));
		guess_put_remark(g->out, start, buf_cstr(&when));
		if (t->nforms > 1)
			guess_ask(g, "the data do not decide the form of the date: %s with form \"%s\"", buf_cstr(&when), t->form[i].text);
	}
	if (t->nforms > 1)
		buf_str(g->out, "  # OPEN: the data fit all of these; remove the # of the right one\n");
	buf_release(&when);
	ask_halves(g);
}

static const char *offset_unit(const struct guess_column *c)
{
	double most = c->most > -c->least ? c->most : -c->least;

	if (!c->numbers)
		return "text";
	return most <= HOURS_MOST ? "hours" : most <= QUARTERS_MOST ? "quarter-hours" : "minutes";
}

static bool put_offset_column(struct guess *g)
{
	for (size_t i = 0; i < g->ncols; i++) {
		size_t start = g->out->n;

		if (g->column[i].role != ROLE_OFFSET)
			continue;
		buf_str(g->out, "  offset: {column: ");
		guess_put_column(g, i);
		buf_printf(g->out, ", in: %s}", offset_unit(&g->column[i]));
		guess_put_remark(g->out, start, "likely: by the heading and the cells");
		return true;
	}
	return false;
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
		return;
	}
	buf_str(g->out, "  clock: wall");
	guess_put_remark(g->out, start, f->hour_back ? "not sure: an hour repeats, as when summer time ends; name the zone, such as Pacific/Auckland" :
		"not sure: the file does not say; the works' own clock. If it ignores summer time, write an offset, such as \"+12:00\"");
}

void guess_put_time(struct guess *g)
{
	buf_str(g->out, "time:\n");
	put_time_columns(g);
	put_form(g);
	put_clock(g);
}
