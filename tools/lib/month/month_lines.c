#include "month/month_lines.h"

#include <stdlib.h>

#include "base/utf8.h"
#include "book/diag.h"
#include "book/line.h"

enum { ERRORS_MOST = 12 };

enum { NO_DAY = INT32_MIN, BAD_LINE, NO_METER = -1 };

/* What is kept of a line. */
struct month_note {
	int32_t day;               /* NO_DAY or BAD_LINE where it has none */
	int32_t meter;             /* row of house.meters, or NO_METER */
};

void month_lines_init(struct month_lines *m, const struct house *house, struct month_days days)
{
	*m = (struct month_lines){ .house = house, .days = days, .first = INT32_MAX, .last = INT32_MIN };
	if (!house)
		return;
	m->checked = mem_array(house->nmeters, sizeof *m->checked);
	for (size_t i = 0; i < house->nmeters; i++)
		m->checked[i] = NO_DAY;
}

void month_lines_release(struct month_lines *m)
{
	for (size_t i = 0; i < m->nfiles; i++)
		free(m->file[i].note);
	free(m->file);
	free(m->checked);
}

/* ---- taking in */

static struct month_note *note_of(struct month_lines *m, const struct line *l)
{
	struct month_file *f;

	while (m->nfiles <= l->file) {
		m->file = mem_grow(m->file, &m->files_cap, m->nfiles + 1, sizeof *m->file);
		m->file[m->nfiles++] = (struct month_file){ NULL, 0, 0 };
	}
	f = &m->file[l->file];
	f->note = mem_grow(f->note, &f->cap, l->number + 1, sizeof *f->note);
	while (f->n <= l->number)
		f->note[f->n++] = (struct month_note){ NO_DAY, NO_METER };
	return &f->note[l->number];
}

/* The row of a meter, its setting left off. */
static int32_t meter_row(const struct month_lines *m, struct slice word)
{
	return m->house && word.n ? (int32_t)house_index(m->house, HOUSE_METER, slice_upto(word, slice_find(word, '/'))) : NO_METER;
}

static void take_check(struct month_lines *m, const struct line *l)
{
	int32_t row = meter_row(m, l->subject);

	if (row >= 0 && l->stamp.day <= m->days.last && l->stamp.day > m->checked[row])
		m->checked[row] = l->stamp.day;
}

void month_lines_take(struct month_lines *m, const struct line *l)
{
	struct month_note *note = note_of(m, l);

	if (l->kind == LINE_BAD)
		note->day = BAD_LINE;
	if (l->kind != LINE_EVENT)
		return;
	note->day = l->stamp.day;
	note->meter = meter_row(m, line_word(l, FIELD_METER));
	m->entries++;
	m->entries_here += l->stamp.day >= m->days.first && l->stamp.day <= m->days.last;
	m->first = l->stamp.day < m->first ? l->stamp.day : m->first;
	m->last = l->stamp.day > m->last ? l->stamp.day : m->last;
	if (l->event->id == EVENT_METER)
		take_check(m, l);
}

static struct month_note noted(const struct month_lines *m, uint32_t file, uint64_t line)
{
	if (file >= m->nfiles || line >= m->file[file].n)
		return (struct month_note){ NO_DAY, NO_METER };
	return m->file[file].note[line];
}

bool month_lines_is_bad(const struct month_lines *m, uint32_t file, uint64_t line)
{
	return noted(m, file, line).day == BAD_LINE;
}

/* ---- what must be seen */

struct shown {
	const struct diag *row;
	int32_t day;
	size_t at;                 /* in the order of the diagnostics */
};

static bool is_dated(struct month_note note)
{
	return note.day != NO_DAY && note.day != BAD_LINE;
}

/* A warning of any day: somebody may be hurt, or reads a wrong figure still. */
static bool lasts(const struct month_lines *m, const struct diag *row, struct month_note note)
{
	if (!is_dated(note) || note.day > m->days.last)
		return false;
	if (row->rule == RULE_PROBE_LEFT_IN)
		return true;
	return row->rule == RULE_METER_OVERDUE && note.meter >= 0 && m->checked[note.meter] < note.day;
}

static bool is_shown(const struct month_lines *m, const struct diag *row, struct month_note note)
{
	bool here = !is_dated(note) || (note.day >= m->days.first && note.day <= m->days.last);

	if (row->level != LEVEL_WARNING)
		return false;
	if (row->rule == RULE_METER_OVERDUE && note.meter >= 0 && m->checked[note.meter] >= note.day)
		return false;
	return here || lasts(m, row, note);
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
		const struct month_note note = noted(m, d->row[i].place.file, d->row[i].place.line);

		if (is_shown(m, &d->row[i], note))
			shown[n++] = (struct shown){ &d->row[i], note.day, i };
	}
	qsort(shown, n, sizeof *shown, by_day);
	for (size_t i = 0; i < n; i++)
		say(d, shown[i].row, name, out);
	free(shown);
}
