#include "serve/findings.h"

#include <stdlib.h>

#include "book/diag.h"
#include "serve/document.h"

void findings_clear(struct findings *f)
{
	for (size_t i = 0; i < f->n; i++)
		free(f->row[i].text);
	f->n = 0;
}

void findings_release(struct findings *f)
{
	findings_clear(f);
	free(f->row);
	memset(f, 0, sizeof *f);
}

static void push(struct findings *f, const struct finding *row)
{
	f->row = mem_grow(f->row, &f->cap, f->n + 1, sizeof *f->row);
	f->row[f->n++] = *row;
}

void findings_add(struct findings *f, const struct finding *row, struct slice text, struct slice mend)
{
	struct finding one = *row;
	struct buf words = BUF_INIT;

	buf_add(&words, text);
	if (mend.n)
		buf_str(&words, "; ");
	one.mend = words.n;
	buf_add(&words, mend);
	one.text = mem_copy(words.p, words.n);
	push(f, &one);
	buf_release(&words);
}

void findings_take(struct findings *f, const struct document *d, const struct diags *from, const struct diag *row,
	size_t line_before)
{
	struct finding one = { .level = row->level, .rule = diag_rule(row->rule)->id };
	size_t col = row->place.col - 1u, n = row->place.end - row->place.col;

	document_book_line(d, row->place.line + line_before, &one.line, &col);
	one.col = (uint32_t)col;
	one.end = (uint32_t)(col + n);
	findings_add(f, &one, diag_text(from, row), diag_mend(from, row));
}

void findings_move(struct findings *f, const struct document_change *c)
{
	size_t kept = 0;

	for (size_t i = 0; i < f->n; i++) {
		struct finding *row = &f->row[i];

		if (row->line >= c->first && row->line < c->first + c->old) {
			free(row->text);
			continue;
		}
		if (row->line >= c->first + c->old)
			row->line = row->line - c->old + c->now;
		f->row[kept++] = *row;
	}
	f->n = kept;
}

static int by_place(const void *a, const void *b)
{
	const struct finding *x = a, *y = b;

	if (x->line != y->line)
		return x->line < y->line ? -1 : 1;
	if (x->col != y->col)
		return x->col < y->col ? -1 : 1;
	return slice_cmp(x->rule, y->rule);
}

void findings_merge(struct findings *f, struct findings *fresh)
{
	for (size_t i = 0; i < fresh->n; i++)
		push(f, &fresh->row[i]);
	fresh->n = 0;
	if (f->n)
		qsort(f->row, f->n, sizeof *f->row, by_place);
}

void findings_copy(struct findings *to, const struct findings *from)
{
	findings_clear(to);
	for (size_t i = 0; i < from->n; i++) {
		push(to, &from->row[i]);
		to->row[i].text = mem_copy(from->row[i].text, strlen(from->row[i].text));
	}
}

bool findings_alike(const struct findings *a, const struct findings *b)
{
	if (a->n != b->n)
		return false;
	for (size_t i = 0; i < a->n; i++) {
		const struct finding *x = &a->row[i], *y = &b->row[i];

		if (by_place(x, y) || x->end != y->end || x->level != y->level || strcmp(x->text, y->text) != 0)
			return false;
	}
	return true;
}
