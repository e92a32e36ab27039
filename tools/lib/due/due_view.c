#include "due/due_view.h"

#include "base/utf8.h"
#include "due/due.h"
#include "table/table.h"
#include "time/stamp.h"

size_t due_count(const struct due *d, unsigned urgency)
{
	size_t n = 0;

	for (size_t i = 0; i < d->n; i++)
		n += due_urgency(d, &d->item[i]) == urgency;
	return n;
}

const char *due_caution(const struct due *d)
{
	for (size_t i = 0; i < d->n; i++)
		if (d->item[i].kind == DUE_CHARGE || d->item[i].kind == DUE_PROBE || d->item[i].kind == DUE_KILN)
			return due_kiln_caution;
	return "";
}

/* ---- the finding */

/* "3 things are overdue", then "2 are due today". */
static void write_count(struct buf *out, size_t n, bool first, const char *rest)
{
	if (n)
		buf_printf(out, "%s%zu %s%s", first ? "" : ", ", n, PLURAL(n, first ? "thing is " : "is ", first ? "things are " : "are "), rest);
}

void due_write_finding(const struct due_view *v, struct buf *out)
{
	const struct due *d = v->due;
	int32_t days = d->days.until - d->days.today;
	struct buf soon = BUF_INIT;
	size_t start;

	buf_str(out, "On ");
	day_write(out, d->days.today);
	buf_str(out, ", ");
	start = out->n;
	buf_printf(&soon, "due within %d day%s", days, PLURAL(days, "", "s"));
	write_count(out, due_count(d, DUE_OVERDUE), out->n == start, "overdue");
	write_count(out, due_count(d, DUE_TODAY), out->n == start, "due today");
	write_count(out, due_count(d, DUE_SOON), out->n == start, buf_cstr(&soon));
	write_count(out, due_count(d, DUE_LATER), out->n == start, "to be decided before it is late");
	buf_str(out, out->n == start ? "nothing is due." : ".");
	buf_release(&soon);
}

/* ---- notes */

static void write_notes(const struct due_view *v, void put(void *to, struct slice note), void *to)
{
	struct buf text = BUF_INIT;

	if (v->nobody) {
		buf_printf(&text, "%zu more %s left out: the house file names nobody who looks after %s (care:).", v->nobody, PLURAL(v->nobody, "is", "are"),
			PLURAL(v->nobody, "it", "them"));
		put(to, buf_slice(&text));
	}
	text.n = 0;
	if (v->later_lines) {
		buf_printf(&text, "%lld entr%s dated after this day and not counted.", (long long)v->later_lines, PLURAL(v->later_lines, "y is", "ies are"));
		put(to, buf_slice(&text));
	}
	if (!v->cautioned && *due_caution(v->due))
		put(to, slice_of(due_caution(v->due)));
	buf_release(&text);
}

/* ---- the table */

static const struct table_column COLUMNS[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "urgency", TABLE_TEXT, 0, "urgency" }, { "day", TABLE_DATE, 0, "day" }, { "last_day", TABLE_DATE, 0, NULL },
	{ "days", TABLE_INT, 0, NULL }, { "kind", TABLE_TEXT, 0, NULL }, { "finding", TABLE_TEXT, 0, NULL }, { "subject", TABLE_TEXT, 0, "subject" },
	{ "place", TABLE_TEXT, 0, NULL }, { "party", TABLE_TEXT, 0, NULL }, { "who", TABLE_TEXT, 0, NULL }, { "file", TABLE_TEXT, 0, NULL },
	{ "line", TABLE_INT, 0, NULL }, { "action", TABLE_TEXT, 0, "what to do" }, { "reason", TABLE_TEXT, 0, "why" }, { "fill", TABLE_TEXT, 0, NULL }
};

static void put_word(struct table *t, struct slice word)
{
	if (word.n)
		table_text(t, word);
	else
		table_absent(t);
}

static void put_day(struct table *t, int32_t day)
{
	struct buf text = BUF_INIT;

	if (day == INT32_MAX) {
		table_absent(t);
		return;
	}
	day_write(&text, day);
	table_date(t, buf_slice(&text));
	buf_release(&text);
}

static void write_who(struct buf *out, const struct due_item *item)
{
	for (size_t i = 0; item->who && i < item->who->n; i++) {
		buf_str(out, i ? "," : "");
		buf_add(out, item->who->word[i]);
	}
}

static void put_where(const struct due_view *v, struct table *t, const struct due_item *item)
{
	if (item->line.number) {
		table_text(t, slice_of(v->name[item->line.file]));
		table_int(t, (int64_t)item->line.number);
	} else {
		table_absent(t);
		table_absent(t);
	}
}

static void put_item(const struct due_view *v, struct table *t, const struct due_item *item)
{
	const struct due *d = v->due;
	struct buf who = BUF_INIT;

	put_day(t, d->days.today);
	table_cstr(t, due_urgency_words[due_urgency(d, item)]);
	put_day(t, item->day);
	put_day(t, item->last);
	if (item->day == INT32_MAX)
		table_absent(t);
	else
		table_int(t, (int64_t)item->day - d->days.today);
	table_cstr(t, due_kind_words[item->kind]);
	put_word(t, item->sign);
	put_word(t, item->subject);
	put_word(t, item->place);
	put_word(t, item->party);
	write_who(&who, item);
	put_word(t, buf_slice(&who));
	put_where(v, t, item);
	put_word(t, item->action);
	put_word(t, item->reason);
	put_word(t, item->fill);
	buf_release(&who);
}

static void put_note(void *to, struct slice note)
{
	table_note(to, note);
}

void due_view_table(const struct due_view *v, struct table *t)
{
	struct buf finding = BUF_INIT;

	table_init(t, COLUMNS, sizeof COLUMNS / sizeof *COLUMNS);
	for (size_t i = 0; i < v->due->n; i++)
		put_item(v, t, &v->due->item[i]);
	due_write_finding(v, &finding);
	table_finding(t, buf_slice(&finding));
	write_notes(v, put_note, t);
	buf_release(&finding);
}

/* ---- the page of text */

struct page {
	struct buf *out;
	size_t width;
};

/* A line that goes on under its first word after `indent` cells, of which `used` are filled. */
static void put_line(const struct page *p, struct slice words, size_t indent, size_t used)
{
	struct buf shown = BUF_INIT;

	utf8_add_visible(&shown, words);
	buf_fill(p->out, ' ', indent - used);
	utf8_add_folded(p->out, buf_slice(&shown), indent, p->width);
	buf_char(p->out, '\n');
	buf_release(&shown);
}

enum { DATE_AT = 2, WORDS_AT = 14, DATE_CELLS = 10 };

static void add_head(struct buf *text, const struct due_item *item)
{
	buf_add(text, item->subject);
	if (item->party.n) {
		buf_str(text, " for ");
		buf_add(text, item->party);
	}
	if (item->place.n && !slice_eq(item->place, item->subject)) {
		buf_str(text, " in ");
		buf_add(text, item->place);
	}
	buf_str(text, ": ");
	buf_add(text, item->action);
}

/* "mk; book/2027b.wy:2101" */
static void add_source(const struct due_view *v, struct buf *text, const struct due_item *item)
{
	write_who(text, item);
	if (!item->line.number)
		return;
	buf_str(text, text->n ? "; " : "");
	buf_printf(text, "%s:%llu", v->name[item->line.file], (unsigned long long)item->line.number);
}

static void put_row(const struct due_view *v, const struct page *p, const struct due_item *item)
{
	struct buf text = BUF_INIT;
	size_t used = 0;

	add_head(&text, item);
	if (item->day != INT32_MAX) {
		buf_fill(p->out, ' ', DATE_AT);
		day_write(p->out, item->day);
		used = DATE_AT + DATE_CELLS;
	}
	put_line(p, buf_slice(&text), WORDS_AT, used);
	text.n = 0;
	buf_add(&text, item->reason);
	if (item->fill.n) {
		buf_str(&text, "; ");
		buf_add(&text, item->fill);
	}
	put_line(p, buf_slice(&text), WORDS_AT, 0);
	text.n = 0;
	add_source(v, &text, item);
	if (text.n)
		put_line(p, buf_slice(&text), WORDS_AT, 0);
	buf_release(&text);
}

static void put_group(const struct due_view *v, const struct page *p, enum due_urgency urgency, const char *title)
{
	if (!due_count(v->due, urgency))
		return;
	buf_char(p->out, '\n');
	buf_str(p->out, title);
	buf_char(p->out, '\n');
	for (size_t i = 0; i < v->due->n; i++)
		if (due_urgency(v->due, &v->due->item[i]) == urgency)
			put_row(v, p, &v->due->item[i]);
}

static void put_note_line(void *to, struct slice note)
{
	const struct page *p = to;

	buf_char(p->out, '\n');
	put_line(p, note, 0, 0);
}

void due_view_text(const struct due_view *v, size_t width, struct buf *out)
{
	struct page page = { out, width };
	struct buf text = BUF_INIT;

	due_write_finding(v, &text);
	put_line(&page, buf_slice(&text), 0, 0);
	text.n = 0;
	buf_printf(&text, "Within %d days", v->due->days.until - v->due->days.today);
	put_group(v, &page, DUE_OVERDUE, "Overdue");
	put_group(v, &page, DUE_TODAY, "Today");
	put_group(v, &page, DUE_SOON, buf_cstr(&text));
	put_group(v, &page, DUE_LATER, "To decide before it is late");
	write_notes(v, put_note_line, &page);
	buf_release(&text);
}
