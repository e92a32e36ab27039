#include "book/tidy_file.h"

#include <stdlib.h>

#include "base/atomic_write.h"
#include "book/line_fix.h"
#include "book/parse.h"
#include "book/unified_diff.h"

void tidy_file_init(struct tidy_file *f, struct parser *parser, bool keep_order)
{
	*f = (struct tidy_file){ .parser = parser, .keep_order = keep_order };
	tidy_init(&f->tidy);
}

void tidy_file_release(struct tidy_file *f)
{
	tidy_release(&f->tidy);
}

static struct slice strip(struct slice text, bool first)
{
	if (first && slice_starts(text, SLICE("\xef\xbb\xbf")))
		text = slice_from(text, 3);
	if (text.n && text.p[text.n - 1] == '\n')
		text.n--;
	if (text.n && text.p[text.n - 1] == '\r')
		text.n--;
	return text;
}

static void tell_cut_off(struct diags *diags, uint32_t file, uint64_t number, struct slice text)
{
	uint32_t col = (uint32_t)text.n + 1;

	DIAG0(diags, RULE_LINE_END_MISSING, ((struct place){ file, col, col + 1, number }));
}

/* The line with its corrections, and with its byte-order mark and carriage return unless they are to go. */
static void add_fixed(struct tidy_file *f, struct slice was, uint64_t number, uint32_t file)
{
	struct slice text = strip(was, number == 1), end = slice_between(text.p + text.n, was.p + was.n);
	struct buf now = BUF_INIT, line = BUF_INIT;
	const struct line *l = line_fix(&line, f->parser, text, number, file, f->fix);

	if (!f->fix[RULE_BYTE_ORDER_MARK])
		buf_add(&now, slice_between(was.p, text.p));
	buf_add(&now, buf_slice(&line));
	if (end.n && f->fix[RULE_CARRIAGE_RETURN] && end.p[0] == '\r')
		end = slice_from(end, 1);
	buf_add(&now, end);
	tidy_add_as(&f->tidy, l, buf_slice(&now), was);
	f->unread += l->kind == LINE_BAD;
	buf_release(&now);
	buf_release(&line);
}

static void add_tidy(struct tidy_file *f, struct slice was, uint64_t number, uint32_t file)
{
	const struct line *l = parse_line(f->parser, strip(was, number == 1), number, file);

	f->unread += l->kind == LINE_BAD;
	tidy_add(&f->tidy, l, was);
}

void tidy_file_add(struct tidy_file *f, struct slice bytes, uint32_t file)
{
	for (uint64_t number = 1; bytes.n; number++) {
		size_t n = slice_find(bytes, '\n');
		struct slice was = slice_upto(bytes, n < bytes.n ? n + 1 : n);

		if (n == bytes.n)
			tell_cut_off(f->parser->diags, file, number, strip(was, number == 1));
		if (f->fix)
			add_fixed(f, was, number, file);
		else
			add_tidy(f, was, number, file);
		bytes = slice_from(bytes, was.n);
	}
}

void tidy_file_arrange(struct tidy_file *f, struct slice bytes, uint32_t file)
{
	tidy_clear(&f->tidy);
	tidy_file_add(f, bytes, file);
	if (!f->keep_order && !f->fix)
		tidy_sort(&f->tidy);
}

void tidy_file_diff(const struct tidy_file *f, struct slice name, struct buf *out)
{
	const struct tidy *t = &f->tidy;
	struct unified_diff_line *now = mem_array(t->n, sizeof *now);
	struct slice *was = mem_array(t->n, sizeof *was);
	size_t nwas = 0;

	for (size_t i = 0; i < t->n; i++) {
		now[i] = (struct unified_diff_line){ tidy_text(t, i), t->row[i].index };
		if (t->row[i].index == SIZE_MAX)
			continue;
		was[t->row[i].index] = t->row[i].was;
		nwas++;
	}
	unified_diff_write(out, name, was, nwas, now, t->n);
	free(was);
	free(now);
}

static int commit_rows(const struct tidy *t, struct atomic_write *target)
{
	struct buf out = BUF_INIT;
	int error;

	if (tidy_first_change(t) == t->n)
		return 0;
	for (size_t i = 0; i < t->n; i++)
		buf_add(&out, tidy_text(t, i));
	error = atomic_write_commit(target, buf_slice(&out));
	buf_release(&out);
	return error;
}

int tidy_file_replace(struct tidy_file *f, const char *path, uint32_t file)
{
	struct buf bytes = BUF_INIT;
	struct atomic_write target;
	int error = atomic_write_open(&target, path);

	if (!error)
		error = atomic_write_read(&target, &bytes);
	if (!error) {
		tidy_file_arrange(f, buf_slice(&bytes), file);
		error = commit_rows(&f->tidy, &target);
	}
	atomic_write_close(&target);
	tidy_clear(&f->tidy);
	buf_release(&bytes);
	return error;
}
