#include "due/due_ics.h"

#include <stdlib.h>

#include "base/utf8.h"
#include "due/due.h"
#include "time/stamp.h"

enum { OCTETS_MOST = 75 };

/* ---- content lines (RFC 5545, 3.1 and 3.3.11) */

static void put_folded(struct buf *out, struct slice line)
{
	size_t room = OCTETS_MOST;

	while (line.n > room) {
		size_t end = room;

		while (end > 1 && ((unsigned char)line.p[end] & 0xc0) == 0x80)
			end--;
		buf_add(out, slice_upto(line, end));
		buf_str(out, "\r\n ");
		line = slice_from(line, end);
		room = OCTETS_MOST - 1;     /* the blank is one of them */
	}
	buf_add(out, line);
	buf_str(out, "\r\n");
}

/* Controls were made visible before, but for line ends. */
static void add_escaped(struct buf *out, struct slice value)
{
	for (size_t i = 0; i < value.n; i++) {
		if (value.p[i] == '\n') {
			buf_str(out, "\\n");
			continue;
		}
		if (value.p[i] == '\\' || value.p[i] == ';' || value.p[i] == ',')
			buf_char(out, '\\');
		buf_char(out, value.p[i]);
	}
}

/* The lines of the value, each made visible. */
static void add_visible_lines(struct buf *out, struct slice value)
{
	while (value.n) {
		size_t end = slice_find(value, '\n');

		utf8_add_visible(out, slice_upto(value, end));
		if (end < value.n)
			buf_char(out, '\n');
		value = slice_from(value, end < value.n ? end + 1 : end);
	}
}

void due_ics_text(struct buf *out, const char *property, struct slice value)
{
	struct buf line = BUF_INIT, shown = BUF_INIT;

	add_visible_lines(&shown, value);
	buf_str(&line, property);
	buf_char(&line, ':');
	add_escaped(&line, buf_slice(&shown));
	put_folded(out, buf_slice(&line));
	buf_release(&line);
	buf_release(&shown);
}

static void put_date(struct buf *out, const char *property, int32_t day, const char *time)
{
	int year, month, date;

	day_split(day, &year, &month, &date);
	buf_printf(out, "%s:%04d%02d%02d%s\r\n", property, year, month, date, time);
}

/* ---- an item */

/* How many events there were of each matter: a matter may have several. */
struct matters {
	struct intern key;
	int *n;                    /* by key */
	size_t cap;
};

/* What stays the same while a matter lasts: not its day, nor its figures. */
static void write_key(struct buf *key, const struct due *d, const struct due_item *item)
{
	const struct slice parts[] = { slice_of(due_kind_words[item->kind]), item->sign, item->subject, item->place,
		d->house ? d->house->works : SLICE("") };

	for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
		buf_add(key, parts[i]);
		buf_char(key, '\n');
	}
}

static void put_uid(struct buf *out, struct matters *m, const struct due *d, const struct due_item *item)
{
	struct buf key = BUF_INIT;
	uint32_t before = m->key.n, id;

	write_key(&key, d, item);
	id = intern_id(&m->key, buf_slice(&key));
	m->n = mem_grow(m->n, &m->cap, id + 1u, sizeof *m->n);
	m->n[id] = id < before ? m->n[id] + 1 : 0;
	buf_printf(out, "UID:%016llx-%d-due@withy.invalid\r\n", (unsigned long long)slice_hash(buf_slice(&key)), m->n[id]);
	buf_release(&key);
}

static void put_days(struct buf *out, const struct due *d, const struct due_item *item)
{
	int32_t first = item->day < d->days.today ? d->days.today : item->day, last = item->last == INT32_MAX || item->last < first ? first : item->last;

	put_date(out, "DTSTART;VALUE=DATE", first, "");
	put_date(out, "DTEND;VALUE=DATE", last + 1, "");
}

static void put_summary(struct buf *out, const struct due_item *item)
{
	struct buf text = BUF_INIT;

	if (item->overdue)
		buf_str(&text, "Overdue: ");
	buf_add(&text, item->subject);
	buf_str(&text, ": ");
	buf_add(&text, item->action);
	due_ics_text(out, "SUMMARY", buf_slice(&text));
	buf_release(&text);
}

static void put_description(const struct due_view *v, struct buf *out, const struct due_item *item)
{
	struct buf text = BUF_INIT;

	buf_add(&text, item->reason);
	if (item->fill.n) {
		buf_char(&text, '\n');
		buf_add(&text, item->fill);
	}
	if (item->overdue) {
		buf_str(&text, "\nDue since ");
		day_write(&text, item->day);
	}
	if (item->line.number)
		buf_printf(&text, "\n%s:%llu", v->name[item->line.file], (unsigned long long)item->line.number);
	if (item->kind == DUE_CHARGE || item->kind == DUE_PROBE || item->kind == DUE_KILN)
		buf_printf(&text, "\n%s", due_kiln_caution);
	due_ics_text(out, "DESCRIPTION", buf_slice(&text));
	buf_release(&text);
}

static void put_event(const struct due_view *v, struct buf *out, struct matters *m, const struct due_item *item)
{
	buf_str(out, "BEGIN:VEVENT\r\n");
	put_uid(out, m, v->due, item);
	put_date(out, "DTSTAMP", v->due->days.today, "T000000Z");
	put_days(out, v->due, item);
	put_summary(out, item);
	put_description(v, out, item);
	due_ics_text(out, "CATEGORIES", slice_of(due_kind_words[item->kind]));
	if (item->place.n)
		due_ics_text(out, "LOCATION", item->place);
	buf_str(out, item->overdue ? "PRIORITY:1\r\n" : "PRIORITY:5\r\n");
	buf_str(out, "TRANSP:TRANSPARENT\r\nEND:VEVENT\r\n");
}

void due_ics_write(const struct due_view *v, struct buf *out)
{
	struct matters m = { .n = NULL };

	intern_init(&m.key);
	buf_str(out, "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Withy//wy-due//EN\r\nCALSCALE:GREGORIAN\r\nMETHOD:PUBLISH\r\n");
	for (size_t i = 0; i < v->due->n; i++)
		if (v->due->item[i].day != INT32_MAX)
			put_event(v, out, &m, &v->due->item[i]);
	buf_str(out, "END:VCALENDAR\r\n");
	intern_release(&m.key);
	free(m.n);
}
