#include "book/diag.h"

#include <stdlib.h>

#include "base/nearest.h"
#include "base/utf8.h"

#define SLICE_ROW(literal) { literal, sizeof(literal) - 1 }

#include "rules_tables.h"

static const char *const LEVEL_WORDS[] = { "none", "note", "warning", "error" };

const struct rule_def *diag_rule(int rule)
{
	return &RULES[rule];
}

int diag_rule_named(struct slice id)
{
	for (int i = 0; i < RULES_END; i++)
		if (slice_eq(RULES[i].id, id))
			return i;
	return -1;
}

struct slice diag_rule_near(struct slice id)
{
	struct nearest near = nearest_to(id);

	for (int i = 0; i < RULES_END; i++)
		nearest_try(&near, RULES[i].id);
	return near.best;
}

struct slice diag_level_word(int level)
{
	return slice_of(LEVEL_WORDS[level]);
}

int diag_level_named(struct slice word)
{
	for (int i = 0; i < 4; i++)
		if (slice_eq(slice_of(LEVEL_WORDS[i]), word))
			return i;
	return -1;
}

void diags_init(struct diags *d)
{
	memset(d, 0, sizeof *d);
	for (int i = 0; i < RULES_END; i++)
		d->level[i] = (uint8_t)RULES[i].level;
}

void diags_init_alike(struct diags *d, const struct diags *other)
{
	memset(d, 0, sizeof *d);
	memcpy(d->level, other->level, sizeof d->level);
}

void diags_release(struct diags *d)
{
	free(d->row);
	buf_release(&d->words);
	memset(d, 0, sizeof *d);
}

void diags_clear(struct diags *d)
{
	d->n = 0;
	d->words.n = 0;
	memset(d->count, 0, sizeof d->count);
}

void diags_set_level(struct diags *d, int rule, int level)
{
	d->level[rule] = (uint8_t)level;
}

enum { ARG_SHOWN_MOST = 300 };

static void fill(struct buf *out, struct slice template, const struct slice *args, size_t nargs)
{
	for (size_t i = 0; i < template.n; i++) {
		unsigned char c = (unsigned char)template.p[i];

		if (c >= 1 && c <= nargs && c != '\n')
			utf8_add_shown(out, args[c - 1], ARG_SHOWN_MOST);
		else
			buf_char(out, (char)c);
	}
	if (out->n >= 2 && out->p[out->n - 2] == ';' && out->p[out->n - 1] == ' ')
		out->n -= 2; /* of a last part that there is nothing to say in */
}

static struct diag *push(struct diags *d, struct diag row)
{
	d->row = mem_grow(d->row, &d->cap, d->n + 1, sizeof *d->row);
	d->count[row.level]++;
	d->row[d->n] = row;
	return &d->row[d->n++];
}

void diag_add(struct diags *d, int rule, struct place place, const struct slice *args, size_t nargs)
{
	struct diag row = { .rule = rule, .level = d->level[rule], .place = place };

	if (row.level == LEVEL_NONE)
		return;
	if (row.place.end < row.place.col)
		row.place.end = row.place.col;
	row.text = d->words.n;
	fill(&d->words, RULES[rule].text, args, nargs);
	row.text_n = d->words.n - row.text;
	row.mend = d->words.n;
	fill(&d->words, RULES[rule].mend, args, nargs);
	row.mend_n = d->words.n - row.mend;
	push(d, row);
}

void diag_fix(struct diags *d, int rule, uint32_t col, uint32_t end, struct slice text)
{
	struct diag *row = d->n ? &d->row[d->n - 1] : NULL;

	if (!row || row->rule != rule)
		return;
	row->fix_col = col;
	row->fix_end = end;
	row->fix = d->words.n;
	row->fix_n = text.n;
	buf_add(&d->words, text);
}

struct slice diag_fixed(const struct diags *d, const struct diag *row)
{
	return slice_upto(slice_from(buf_slice(&d->words), row->fix), row->fix_n);
}

struct slice diag_text(const struct diags *d, const struct diag *row)
{
	return slice_upto(slice_from(buf_slice(&d->words), row->text), row->text_n);
}

struct slice diag_mend(const struct diags *d, const struct diag *row)
{
	return slice_upto(slice_from(buf_slice(&d->words), row->mend), row->mend_n);
}

/* The name of arg `i`, counted from 1. */
static struct slice arg_name(const struct rule_def *rule, unsigned i)
{
	struct slice rest = rule->args;

	while (--i)
		rest = slice_from(rest, slice_find(rest, ' ') + 1);
	return slice_upto(rest, slice_find(rest, ' '));
}

void diag_shape(struct buf *out, int rule, struct slice template)
{
	for (size_t i = 0; i < template.n; i++) {
		unsigned char c = (unsigned char)template.p[i];
		struct slice name = c >= 1 && c <= RULES[rule].nargs ? arg_name(&RULES[rule], c) : SLICE("");

		for (size_t k = 0; k < name.n; k++)
			buf_char(out, (char)(name.p[k] & ~32));
		if (!name.n)
			buf_char(out, (char)c);
	}
}

void diags_take(struct diags *to, struct diags *from, uint64_t lines_before)
{
	size_t shift = to->words.n;

	buf_add(&to->words, buf_slice(&from->words));
	for (size_t i = 0; i < from->n; i++) {
		struct diag *row = push(to, from->row[i]);

		row->place.line += lines_before;
		row->text += shift;
		row->mend += shift;
		row->fix += shift;
	}
	diags_clear(from);
}

static int order(const void *a, const void *b)
{
	const struct diag *x = a, *y = b;

	if (x->place.file != y->place.file)
		return x->place.file < y->place.file ? -1 : 1;
	if (x->place.line != y->place.line)
		return x->place.line < y->place.line ? -1 : 1;
	if (x->place.col != y->place.col)
		return x->place.col < y->place.col ? -1 : 1;
	if (x->rule != y->rule)
		return x->rule < y->rule ? -1 : 1;
	return (x->text > y->text) - (x->text < y->text);
}

void diags_sort(struct diags *d)
{
	if (d->n)
		qsort(d->row, d->n, sizeof *d->row, order);
}

void diags_filter(struct diags *d, diags_keep *keep, void *context)
{
	size_t n = 0;

	for (size_t i = 0; i < d->n; i++) {
		if (keep(context, &d->row[i]))
			d->row[n++] = d->row[i];
		else
			d->count[d->row[i].level]--;
	}
	d->n = n;
}

void diag_add_words(struct buf *out, const struct diags *d, const struct diag *row)
{
	buf_add(out, diag_text(d, row));
	if (row->mend_n) {
		buf_str(out, "; ");
		buf_add(out, diag_mend(d, row));
	}
	buf_str(out, " -- ");
	buf_add(out, RULES[row->rule].id);
	buf_char(out, '\n');
}

void diag_write(struct buf *out, const struct diags *d, const struct diag *row, struct slice file)
{
	buf_add(out, file);
	buf_printf(out, ":%llu:%u: ", (unsigned long long)row->place.line, row->place.col);
	buf_add(out, diag_level_word(row->level));
	buf_str(out, ": ");
	diag_add_words(out, d, row);
}
