#include "serve/arrange.h"

#include <stdlib.h>

#include "book/tidy_file.h"
#include "serve/answer_parts.h"
#include "serve/judge.h"
#include "serve/works.h"

/* ---- canonical form */

static void say_block(struct buf *out, const struct works_file *f, size_t from, size_t to, struct slice text)
{
	bool past = to >= f->text.n;   /* the last line has no end: then up to its end */

	buf_str(out, "{\"range\":");
	if (past)
		say_lines(out, from, 0, f->text.n - 1, document_unit(&f->text, f->text.n - 1, SIZE_MAX));
	else
		say_lines(out, from, 0, to, 0);
	buf_str(out, ",\"newText\":");
	buf_json(out, text);
	buf_char(out, '}');
}

/* Without lone CRs a row of the book is a line of the document. */
static bool same_row(const struct tidy *t, size_t row, const struct document *d, size_t line)
{
	return slice_eq(tidy_text(t, row), document_whole(d, line));
}

void arrange_format(struct buf *out, struct works *w, const struct works_file *f)
{
	const struct document *d = &f->text;
	size_t lines = d->n - (document_whole(d, d->n - 1).n == 0), first = 0, last = 0;
	struct buf bytes = BUF_INIT, text = BUF_INIT;
	struct tidy_file tidy;

	document_add(&bytes, d, 0, d->n);
	w->parser.within = false;
	tidy_file_init(&tidy, &w->parser, false);
	tidy_file_arrange(&tidy, buf_slice(&bytes), 0);
	w->parser.within = true;
	diags_clear(&w->scratch);
	while (!d->returns && first < lines && first < tidy.tidy.n && same_row(&tidy.tidy, first, d, first))
		first++;
	while (!d->returns && last < lines - first && last < tidy.tidy.n - first
		&& same_row(&tidy.tidy, tidy.tidy.n - 1 - last, d, lines - 1 - last))
		last++;
	for (size_t i = first; i < tidy.tidy.n - last; i++)
		buf_add(&text, tidy_text(&tidy.tidy, i));
	buf_char(out, '[');
	if (first + last < lines || first + last < tidy.tidy.n)
		say_block(out, f, first, lines - last, buf_slice(&text));
	buf_char(out, ']');
	tidy_file_release(&tidy);
	buf_release(&bytes);
	buf_release(&text);
}

void arrange_lines(struct buf *out, struct works *w, const struct works_file *f, size_t from, size_t to)
{
	struct buf text = BUF_INIT;
	bool some = false;

	buf_char(out, '[');
	for (size_t i = from; i <= to && i < f->text.n; i++) {
		struct slice was = document_text(&f->text, i);

		text.n = 0;
		tidy_line(&text, works_line(w, was));
		if (slice_eq(buf_slice(&text), was))
			continue;
		buf_str(out, some ? ",\n" : "");
		say_edit(out, f, i, 0, was.n, buf_slice(&text));
		some = true;
	}
	buf_char(out, ']');
	buf_release(&text);
}

/* ---- folding */

/* What keeps lines together: the day of an entry, a comment; nothing of a blank line. */
static struct slice fold_key(struct slice text)
{
	text = slice_trim(text);
	if (slice_starts(text, SLICE("#")))
		return SLICE("#");
	return text.n >= 10 && text.p[4] == '-' && text.p[7] == '-' ? slice_upto(text, 10) : SLICE("");
}

void arrange_folding(struct buf *out, const struct works_file *f)
{
	bool some = false;

	buf_char(out, '[');
	for (size_t i = 0, end; i < f->text.n; i = end) {
		struct slice key = fold_key(document_text(&f->text, i));

		for (end = i + 1; end < f->text.n && key.n && slice_eq(fold_key(document_text(&f->text, end)), key);)
			end++;
		if (end - i < 2)
			continue;
		buf_printf(out, "%s{\"startLine\":%zu,\"endLine\":%zu%s}", some ? "," : "", i, end - 1,
			key.n == 1 ? ",\"kind\":\"comment\"" : "");
		some = true;
	}
	buf_char(out, ']');
}

/* ---- corrections */

enum { CHOICES_MOST = 16 };

/* A text that a correction names, at `at`: in quotes, or up to a blank or a sign that no value ends with. */
static struct slice text_at(const char *at)
{
	bool quoted = *at == '\'' || *at == '`';
	size_t n = strcspn(at + quoted, quoted ? "'`" : " ?;')");

	at += quoted;
	if (!quoted && n && at[n - 1] == ',')
		n--;
	return (struct slice){ at, n };
}

/* The texts that a correction names: after "perhaps ", "write " or a colon, then after a comma or "or". */
static size_t texts_in(const char *mend, struct slice *text)
{
	static const char *const heads[] = { "perhaps ", "write ", ": ", NULL };
	size_t n = 0;

	for (const char *const *head = heads; *head; head++) {
		const char *at = strstr(mend, *head);

		for (at = at ? at + strlen(*head) : NULL; at && n < CHOICES_MOST; n++) {
			text[n] = text_at(at);
			at = text[n].p + text[n].n;
			at = strncmp(at, ", ", 2) == 0 ? at + 2 : strncmp(at, " or ", 4) == 0 ? at + 4 : NULL;
		}
	}
	return n;
}

/* Whether the line, changed so, lacks this finding and has no other one of its own. */
static bool settles(const struct works *w, struct slice was, const struct finding *row, struct slice now)
{
	struct judge_found before[JUDGE_FOUND_MOST], after[JUDGE_FOUND_MOST];
	size_t nbefore = judge_one(w, was, before), nafter = judge_one(w, now, after);
	int rule = diag_rule_named(row->rule);
	bool seen = false;

	for (size_t i = 0; i < nbefore; i++)
		seen |= before[i].rule == rule && before[i].col == row->col + 1;
	for (size_t i = 0; i < nafter; i++)
		if (after[i].rule == rule && after[i].col == row->col + 1)
			return false;
	return seen ? nafter < nbefore : nafter <= nbefore;
}

static void say_fix(struct buf *out, const struct works_file *f, size_t i, struct slice fix, bool only)
{
	const struct finding *row = &f->found.row[i];
	struct buf title = BUF_INIT;

	buf_str(&title, "write ");
	buf_add(&title, fix);
	buf_str(out, "{\"title\":");
	buf_json(out, buf_slice(&title));
	buf_printf(out, ",\"kind\":\"quickfix\",\"isPreferred\":%s,\"diagnostics\":[", only ? "true" : "false");
	say_finding(out, f, &f->found, i);
	buf_str(out, "],\"edit\":{\"changes\":{");
	say_file(out, f);
	buf_str(out, ":[");
	say_edit(out, f, row->line, row->col, row->end, fix);
	buf_str(out, "]}}}");
	buf_release(&title);
}

static bool is_fix(const struct works *w, struct slice was, const struct finding *row, struct slice fix)
{
	struct buf now = BUF_INIT, old = BUF_INIT;
	bool good;

	buf_add(&now, slice_upto(was, row->col));
	buf_add(&now, fix);
	buf_add(&now, slice_from(was, row->end));
	buf_char(&now, '\n');
	buf_add(&old, was);
	buf_char(&old, '\n');
	good = fix.n && settles(w, buf_slice(&old), row, buf_slice(&now));
	buf_release(&now);
	buf_release(&old);
	return good;
}

/* Those of the texts that settle the finding; each once. */
static size_t fixes_of(const struct works *w, const struct works_file *f, const struct finding *row, struct slice *fix)
{
	struct slice was = document_text(&f->text, row->line), text[CHOICES_MOST];
	size_t n = row->end > was.n || row->col >= row->end ? 0 : texts_in(row->text + row->mend, text), kept = 0;

	for (size_t i = 0; i < n; i++) {
		bool again = false;

		for (size_t k = 0; k < kept; k++)
			again |= slice_eq(fix[k], text[i]);
		if (!again && is_fix(w, was, row, text[i]))
			fix[kept++] = text[i];
	}
	return kept;
}

void arrange_fixes(struct buf *out, const struct works *w, const struct works_file *f, size_t from, size_t to)
{
	struct slice fix[CHOICES_MOST];
	bool some = false;

	buf_char(out, '[');
	for (size_t i = 0; i < f->found.n; i++) {
		const struct finding *row = &f->found.row[i];
		size_t n = row->line < from || row->line > to ? 0 : fixes_of(w, f, row, fix);

		for (size_t k = 0; k < n; k++) {
			buf_str(out, some ? ",\n" : "");
			say_fix(out, f, i, fix[k], n == 1);
			some = true;
		}
	}
	buf_char(out, ']');
}
