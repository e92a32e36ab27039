#include "merge/merge_units.h"

#include <stdlib.h>

#include "book/parse.h"
#include "book/tidy_file.h"

/* What is known of a row of the canonical text when it is reached again in its order. */
struct reading {
	struct merge_book *book;
	struct parser *parser;
	size_t blanks;            /* that were seen and belong to no unit yet */
	const char *own;          /* where the comment lines start that belong to the next entry; NULL for none */
};

static struct merge_unit *add_unit(struct reading *r, enum merge_kind kind, struct slice text)
{
	struct merge_book *b = r->book;

	b->unit = mem_grow(b->unit, &b->cap, b->n + 1, sizeof *b->unit);
	b->unit[b->n] = (struct merge_unit){ .kind = kind, .text = text, .entry = text, .above = r->blanks };
	r->blanks = 0;
	return &b->unit[b->n++];
}

/* A row without its LF, as the parser takes it. */
static struct slice line_text(struct slice row)
{
	return slice_upto(row, row.n - 1);
}

static void add_entry(struct reading *r, struct slice row)
{
	const struct line *l = parse_line(r->parser, line_text(row), 2, 0);
	struct merge_unit *u = add_unit(r, MERGE_ENTRY, row);

	if (r->own)
		u->text = slice_between(r->own, row.p + row.n);
	r->own = NULL;
	u->date = l->date;
	u->time = l->time;
	u->event = l->word;
	u->subject = l->subject;
	u->fields = slice_trim(slice_between(l->subject.p + l->subject.n, l->remark.n ? l->remark.p : row.p + row.n - 1));
	u->hash = entry_hash(l);
	u->day = l->stamp.day;
	u->second = l->stamp.second;
}

/* A comment line that stays: with the one right above it, it is one unit. */
static void add_comment(struct reading *r, struct slice row)
{
	struct merge_unit *last = r->book->n ? &r->book->unit[r->book->n - 1] : NULL;

	if (last && last->kind == MERGE_COMMENT && !last->below && last->text.p + last->text.n == row.p)
		last->text.n = last->entry.n += row.n;
	else
		add_unit(r, MERGE_COMMENT, row);
}

/* Blank lines below lines that stay belong to those, also where these are moved or removed. */
static void add_blank(struct reading *r)
{
	struct merge_unit *last = r->book->n ? &r->book->unit[r->book->n - 1] : NULL;

	if (last && last->kind != MERGE_ENTRY)
		last->below++;
	else
		r->blanks++;
}

static void add_row(struct reading *r, const struct tidy_row *row, struct slice text)
{
	if (row->kind == LINE_EVENT)
		add_entry(r, text);
	else if (row->kind == LINE_BAD)
		add_unit(r, MERGE_UNREAD, text);
	else if (row->kind == LINE_BLANK)
		add_blank(r);
	else if (row->stays)
		add_comment(r, text);
	else if (!r->own)
		r->own = text.p;
}

void merge_write_tidy(struct buf *out, struct parser *parser, struct slice bytes)
{
	struct tidy_file file;

	tidy_file_init(&file, parser, false);
	tidy_file_arrange(&file, bytes, 0);
	for (size_t i = 0; i < file.tidy.n; i++)
		buf_add(out, tidy_text(&file.tidy, i));
	tidy_file_release(&file);
}

/* Arranged once more, the canonical text keeps its order, and the rows say which of its lines stay. */
void merge_book_read(struct merge_book *b, struct parser *parser, struct slice bytes)
{
	struct reading r = { .book = b, .parser = parser };
	struct tidy_file file;

	memset(b, 0, sizeof *b);
	merge_write_tidy(&b->bytes, parser, bytes);
	tidy_file_init(&file, parser, false);
	tidy_file_arrange(&file, buf_slice(&b->bytes), 0);
	for (size_t i = 0; i < file.tidy.n; i++)
		if (file.tidy.row[i].was.n)
			add_row(&r, &file.tidy.row[i], file.tidy.row[i].was);
	tidy_file_release(&file);
	if (r.blanks && b->n)
		b->unit[b->n - 1].below = r.blanks;
}

void merge_book_release(struct merge_book *b)
{
	buf_release(&b->bytes);
	free(b->unit);
	memset(b, 0, sizeof *b);
}

void merge_book_part_tail(struct merge_book *b, const struct merge_book *base)
{
	const struct merge_unit *tail = base->n > 1 ? &base->unit[base->n - 1] : NULL;
	size_t i = 0;

	if (!tail || tail->kind != MERGE_COMMENT || tail->above || tail->below)
		return;
	while (i < b->n && !(b->unit[i].kind == MERGE_ENTRY && b->unit[i].text.n > b->unit[i].entry.n && slice_starts(b->unit[i].text, tail->text)))
		i++;
	if (i == b->n)
		return;
	b->unit = mem_grow(b->unit, &b->cap, b->n + 1, sizeof *b->unit);
	memmove(b->unit + i + 1, b->unit + i, (b->n++ - i) * sizeof *b->unit);
	b->unit[i] = *tail;
	b->unit[i + 1].text = slice_from(b->unit[i + 1].text, tail->text.n);
}
