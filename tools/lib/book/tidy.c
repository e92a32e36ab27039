#include "book/tidy.h"

#include <stdlib.h>

#include "book/line.h"
#include "book/token.h"

enum { TIME_WIDTH = 5, EVENT_WIDTH = 7, SUBJECT_WIDTH = 6 };

_Static_assert(FIELD_DOC == FIELDS_END - 2 && FIELD_BY == FIELDS_END - 1, "doc and by end the vocabulary's fields");

/* ---- a line */

int tidy_rank(int field)
{
	return field < FIELD_DOC || field >= FIELDS_END ? field : field + FIELD_MOST;
}

static int rank(const struct field *f)
{
	return tidy_rank(f->use->field->id);
}

size_t tidy_order(const struct line *l, uint8_t order[USE_MOST])
{
	for (size_t i = 0; i < l->nfields; i++) {
		size_t at = i;

		for (; at > 0 && rank(&l->field[order[at - 1]]) > rank(&l->field[i]); at--)
			order[at] = order[at - 1];
		order[at] = (uint8_t)i;
	}
	return l->nfields;
}

/* Whether a text in quotes says the same without them. A lone - would look like "none". */
static bool needs_quotes(struct slice quoted)
{
	if (quoted.n <= 2 || (quoted.n == 3 && quoted.p[1] == '-'))
		return true;
	for (size_t i = 1; i + 1 < quoted.n; i++)
		if (!token_is_bare(quoted.p[i]))
			return true;
	return false;
}

static void write_text(struct buf *out, struct slice text)
{
	if (text.p[0] == '"' && !needs_quotes(text))
		text = (struct slice){ text.p + 1, text.n - 2 };
	buf_add(out, text);
}

static void write_texts(struct buf *out, const struct line *l, const struct field *f)
{
	for (size_t i = 0; i < f->n; i++) {
		if (i)
			buf_char(out, ',');
		write_text(out, l->item[f->first + i].text);
	}
}

static void write_fields(struct buf *out, const struct line *l)
{
	uint8_t order[USE_MOST];
	size_t n = tidy_order(l, order);

	for (size_t i = 0; i < n; i++) {
		const struct field *f = &l->field[order[i]];

		buf_char(out, ' ');
		buf_add(out, f->key);
		buf_char(out, '=');
		if (f->use->type == TYPE_TEXT)
			write_texts(out, l, f);
		else
			buf_add(out, f->text);
	}
}

/* A word and the blanks that fill it up to `width`, and one more. */
static void write_column(struct buf *out, struct slice word, size_t width)
{
	buf_add(out, word);
	if (word.n < width)
		buf_fill(out, ' ', width - word.n);
	buf_char(out, ' ');
}

void tidy_head(struct buf *out, struct slice date, struct slice time, struct slice event, struct slice subject)
{
	write_column(out, date, 0);
	write_column(out, time, TIME_WIDTH);
	write_column(out, event, EVENT_WIDTH);
	buf_add(out, subject);
	if (subject.n < SUBJECT_WIDTH)
		buf_fill(out, ' ', SUBJECT_WIDTH - subject.n);
}

/* The same with single blanks. */
static void write_plain_head(struct buf *out, const struct line *l)
{
	write_column(out, l->date, 0);
	if (l->time.n)
		write_column(out, l->time, 0);
	write_column(out, l->word, 0);
	buf_add(out, l->subject);
}

/* The entry without its remark, each column as wide as it should be, or (`plain`) as it is. */
static void write_entry(struct buf *out, const struct line *l, bool plain)
{
	size_t end;

	if (plain)
		write_plain_head(out, l);
	else
		tidy_head(out, l->date, l->time, l->word, l->subject);
	if (l->nfields) {
		write_fields(out, l);
		return;
	}
	for (end = out->n; end && out->p[end - 1] == ' ';)
		end--;
	out->n = end;
}

static void write_remark(struct buf *out, const struct line *l, const char *gap)
{
	if (!l->remark.n)
		return;
	buf_str(out, gap);
	buf_add(out, slice_trim(l->remark));
}

static void write_event(struct buf *out, const struct line *l)
{
	size_t start = out->n;

	write_entry(out, l, false);
	write_remark(out, l, "   ");
	if (out->n - start <= LINE_LONGEST)
		return;
	out->n = start;
	write_entry(out, l, true);
	write_remark(out, l, " ");
}

/*
 * As it was: a reader takes one carriage return off the end, and of a file one mark off its start, so
 * where there is another the first is put back; else the line would be another one each time.
 */
static void write_bad(struct buf *out, const struct line *l)
{
	if (l->number == 1 && slice_starts(l->text, SLICE("\xef\xbb\xbf")))
		buf_str(out, "\xef\xbb\xbf");
	buf_add(out, l->text);
	if (l->text.n && l->text.p[l->text.n - 1] == '\r')
		buf_char(out, '\r');
}

void tidy_line(struct buf *out, const struct line *l)
{
	switch (l->kind) {
	case LINE_BLANK:
		break;
	case LINE_REMARK:
		buf_add(out, slice_trim(l->text));
		break;
	case LINE_EVENT:
		write_event(out, l);
		break;
	case LINE_BAD:
		write_bad(out, l);
		break;
	}
}

/* ---- a book */

void tidy_init(struct tidy *t)
{
	memset(t, 0, sizeof *t);
}

void tidy_release(struct tidy *t)
{
	free(t->row);
	buf_release(&t->words);
	tidy_init(t);
}

void tidy_clear(struct tidy *t)
{
	t->n = 0;
	t->words.n = 0;
}

/* The row of a line whose words begin at `at`. */
static void add_row(struct tidy *t, const struct line *l, size_t at, struct slice was)
{
	struct tidy_row row = { .was = was, .at = at, .index = t->n, .kind = (uint8_t)l->kind };

	row.n = t->words.n - row.at;
	if (slice_eq(was, slice_from(buf_slice(&t->words), row.at))) {
		t->words.n = row.at;
		row.n = 0;
	}
	if (l->kind == LINE_EVENT) {
		row.day = l->stamp.day;
		row.second = l->stamp.second;
	}
	t->row = mem_grow(t->row, &t->cap, t->n + 1, sizeof *t->row);
	t->row[t->n++] = row;
}

void tidy_add(struct tidy *t, const struct line *l, struct slice was)
{
	size_t at = t->words.n;

	tidy_line(&t->words, l);
	buf_char(&t->words, '\n');
	add_row(t, l, at, was);
}

void tidy_add_as(struct tidy *t, const struct line *l, struct slice now, struct slice was)
{
	size_t at = t->words.n;

	buf_add(&t->words, now);
	add_row(t, l, at, was);
}

struct slice tidy_text(const struct tidy *t, size_t i)
{
	const struct tidy_row *row = &t->row[i];

	return row->n ? (struct slice){ t->words.p + row->at, row->n } : row->was;
}

size_t tidy_first_change(const struct tidy *t)
{
	for (size_t i = 0; i < t->n; i++)
		if (t->row[i].n || t->row[i].index != i)
			return i;
	return t->n;
}

/* ---- its order */

/* Rows [from, to) go where row `to`, an entry, goes; those that stay where they are get a section. */
struct sections {
	struct tidy *t;
	size_t section;
	bool begun;           /* an entry, or a line that cannot be read, is above: what heads the book is over */
};

static void stay(struct sections *s, size_t from, size_t to)
{
	if (from == to)
		return;
	s->section++;
	for (size_t i = from; i < to; i++) {
		s->t->row[i].section = s->section;
		s->t->row[i].stays = true;
	}
	s->section++;
}

/*
 * Where, of the remark and blank lines [from, to) above an entry, those begin that belong to it: remark
 * lines that have a blank line above or below them head what follows.
 */
static size_t heading_end(const struct sections *s, size_t from, size_t to)
{
	bool remark = false, blank = false;

	for (size_t i = from; i < to; i++) {
		remark |= s->t->row[i].kind == LINE_REMARK;
		blank |= s->t->row[i].kind == LINE_BLANK;
	}
	return !s->begun || (remark && blank) ? to : from;
}

static void take_entry(struct sections *s, size_t from, size_t entry)
{
	struct tidy_row *row = s->t->row;
	size_t own = heading_end(s, from, entry);

	stay(s, from, own);
	s->begun = true;
	for (size_t i = own; i <= entry; i++) {
		row[i].section = s->section;
		row[i].day = row[entry].day;
	}
}

static void find_sections(struct tidy *t)
{
	struct sections s = { t, 0, false };
	size_t from = 0;

	for (size_t i = 0; i < t->n; i++) {
		if (t->row[i].kind == LINE_EVENT)
			take_entry(&s, from, i);
		else if (t->row[i].kind == LINE_BAD) {
			stay(&s, from, i + 1);
			s.begun = true;
		} else
			continue;
		from = i + 1;
	}
	stay(&s, from, t->n);
}

#define ORDER(a, b) (((a) > (b)) - ((a) < (b)))

static int by_day(const void *a, const void *b)
{
	const struct tidy_row *x = a, *y = b;
	int order = ORDER(x->section, y->section);

	if (!order)
		order = ORDER(x->day, y->day);
	return order ? order : ORDER(x->index, y->index);
}

static int by_time(const void *a, const void *b)
{
	const struct tidy_row *x = a, *y = b;
	int order = ORDER(x->section, y->section);

	if (!order)
		order = ORDER(x->day, y->day);
	if (!order)
		order = ORDER(x->second, y->second);
	return order ? order : ORDER(x->index, y->index);
}

static void sort(struct tidy *t, int (*order)(const void *, const void *))
{
	for (size_t i = 1; i < t->n; i++)
		if (order(&t->row[i - 1], &t->row[i]) > 0) {
			qsort(t->row, t->n, sizeof *t->row, order);
			return;
		}
}

static bool same_day(const struct tidy_row *a, const struct tidy_row *b)
{
	return a->section == b->section && a->day == b->day;
}

/*
 * Of rows in the order of their days: an untimed entry takes the time of the timed one above it,
 * and the remarks above an entry take the entry's.
 */
static void lend_times(struct tidy *t)
{
	int32_t last = STAMP_NO_TIME;
	size_t from = 0;

	for (size_t i = 0; i < t->n; i++) {
		if (i && !same_day(&t->row[i - 1], &t->row[i]))
			last = STAMP_NO_TIME;
		if (t->row[i].kind != LINE_EVENT)
			continue;
		if (t->row[i].second != STAMP_NO_TIME)
			last = t->row[i].second;
		for (; from <= i; from++)
			t->row[from].second = last;
	}
}

/* Whether a remark at the top of a file names a version other than ours. */
static bool names_version(struct slice text)
{
	struct slice word;

	if (!slice_starts(text, SLICE("# withy ")))
		return false;
	word = slice_trim(slice_upto(slice_from(text, 8), text.n - 9));
	return word.n && (unsigned char)(word.p[0] - '0') <= 9 && !slice_eq(word, SLICE("1"));
}

static void guard_version(struct tidy *t)
{
	struct tidy_row row = { .was = SLICE(""), .at = t->words.n, .index = SIZE_MAX, .kind = LINE_REMARK };

	if (!t->n || t->row[0].index == 0 || t->row[0].kind != LINE_REMARK || !names_version(tidy_text(t, 0)))
		return;
	buf_str(&t->words, "# withy 1\n");
	row.n = t->words.n - row.at;
	t->row = mem_grow(t->row, &t->cap, t->n + 1, sizeof *t->row);
	memmove(t->row + 1, t->row, t->n++ * sizeof *t->row);
	t->row[0] = row;
}

void tidy_sort(struct tidy *t)
{
	find_sections(t);
	sort(t, by_day);
	lend_times(t);
	sort(t, by_time);
	guard_version(t);
}
