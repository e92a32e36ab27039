#include "month/month_lines.h"

#include <stdlib.h>

#include "base/utf8.h"
#include "book/diag.h"
#include "book/line.h"

enum { ERRORS_MOST = 12 };

enum { NO_DAY = INT32_MIN, BAD_LINE };

void month_lines_init(struct month_lines *m, struct month_days days)
{
	*m = (struct month_lines){ .days = days, .first = INT32_MAX, .last = INT32_MIN, .through = INT32_MIN };
}

void month_lines_release(struct month_lines *m)
{
	for (size_t i = 0; i < m->nfiles; i++)
		free(m->file[i].day);
	free(m->file);
}

/* ---- taking in */

static int32_t *day_of_line(struct month_lines *m, const struct line *l)
{
	struct month_file *f;

	while (m->nfiles <= l->file) {
		m->file = mem_grow(m->file, &m->files_cap, m->nfiles + 1, sizeof *m->file);
		m->file[m->nfiles++] = (struct month_file){ NULL, 0, 0 };
	}
	f = &m->file[l->file];
	f->day = mem_grow(f->day, &f->cap, l->number + 1, sizeof *f->day);
	while (f->n <= l->number)
		f->day[f->n++] = NO_DAY;
	return &f->day[l->number];
}

static void take_through(struct month_lines *m, int32_t day)
{
	struct buf text = BUF_INIT;

	m->through = day;
	day_write(&text, day);
	memcpy(m->through_text, text.p, text.n < sizeof m->through_text ? text.n : sizeof m->through_text - 1);
	buf_release(&text);
}

void month_lines_take(struct month_lines *m, const struct line *l)
{
	int32_t *day = day_of_line(m, l);

	if (l->kind == LINE_BAD)
		*day = BAD_LINE;
	if (l->kind != LINE_EVENT)
		return;
	*day = l->stamp.day;
	m->entries++;
	m->entries_here += l->stamp.day >= m->days.first && l->stamp.day <= m->days.last;
	m->first = l->stamp.day < m->first ? l->stamp.day : m->first;
	m->last = l->stamp.day > m->last ? l->stamp.day : m->last;
	if (l->stamp.day <= m->days.last && l->stamp.day > m->through)
		take_through(m, l->stamp.day);
}

struct slice month_lines_through(const struct month_lines *m)
{
	return slice_of(m->through_text);
}

static int32_t noted(const struct month_lines *m, uint32_t file, uint64_t line)
{
	return file < m->nfiles && line < m->file[file].n ? m->file[file].day[line] : NO_DAY;
}

bool month_lines_is_bad(const struct month_lines *m, uint32_t file, uint64_t line)
{
	return noted(m, file, line) == BAD_LINE;
}

/* ---- what must be seen */

struct shown {
	const struct diag *row;
	int32_t day;
	size_t at;                 /* in the order of the diagnostics */
};

static bool is_dated(int32_t day)
{
	return day != NO_DAY && day != BAD_LINE;
}

/* A warning of the month, or of no day; of any day up to its end where somebody may be hurt. */
static bool is_shown(const struct month_lines *m, const struct diag *row, int32_t day)
{
	bool here = !is_dated(day) || (day >= m->days.first && day <= m->days.last);

	if (row->level != LEVEL_WARNING || row->rule == RULE_METER_OVERDUE)
		return false;
	return here || (row->rule == RULE_PROBE_LEFT_IN && day <= m->days.last);
}

static void say(const struct diags *d, const struct diag *row, const char *const *name, struct buf *out)
{
	utf8_add_visible(out, slice_of(name[row->place.file]));
	buf_printf(out, ":%llu: ", (unsigned long long)row->place.line);
	buf_add(out, diag_text(d, row));
	buf_str(out, "; ");
	buf_add(out, diag_mend(d, row));
	buf_char(out, '\n');
}

static void say_errors(const struct diags *d, const char *const *name, struct buf *out)
{
	size_t n = 0;

	for (size_t i = 0; i < d->n; i++)
		if (d->row[i].level == LEVEL_ERROR && n++ < ERRORS_MOST)
			say(d, &d->row[i], name, out);
	if (n > ERRORS_MOST)
		buf_printf(out, "and %zu more errors; wy-check lists all of them\n", n - ERRORS_MOST);
}

static int by_day(const void *a, const void *b)
{
	const struct shown *x = a, *y = b;

	if (x->day != y->day)
		return x->day < y->day ? -1 : 1;
	return (x->at > y->at) - (x->at < y->at);
}

void month_lines_find(const struct month_lines *m, const struct diags *d, const char *const *name, struct buf *out)
{
	struct shown *shown = mem_array(d->n, sizeof *shown);
	size_t n = 0;

	say_errors(d, name, out);
	for (size_t i = 0; i < d->n; i++) {
		int32_t day = noted(m, d->row[i].place.file, d->row[i].place.line);

		if (is_shown(m, &d->row[i], day))
			shown[n++] = (struct shown){ &d->row[i], day, i };
	}
	qsort(shown, n, sizeof *shown, by_day);
	for (size_t i = 0; i < n; i++)
		say(d, shown[i].row, name, out);
	free(shown);
}
