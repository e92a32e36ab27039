#include "intake/append.h"

#include "book/parse.h"
#include "intake/intake.h"

int append_open(struct append *a, const char *path)
{
	int error = atomic_write_open(&a->file, path);

	a->bytes = (struct buf)BUF_INIT;
	if (!error)
		error = atomic_write_read(&a->file, &a->bytes);
	a->old_n = a->bytes.n;
	return error;
}

static struct slice line_at(struct slice bytes, bool first, size_t *whole)
{
	size_t n = slice_find(bytes, '\n');
	struct slice line = slice_upto(bytes, n);

	*whole = n < bytes.n ? n + 1 : n;
	if (first && slice_starts(line, SLICE("\xef\xbb\xbf")))
		line = slice_from(line, 3);
	if (line.n && line.p[line.n - 1] == '\r')
		line.n--;
	return line;
}

uint64_t append_know(struct append *a, struct intake *run, const struct mapping *m, const struct vocab *vocab,
	struct diags *diags, uint32_t file)
{
	struct slice bytes = buf_slice(&a->bytes);
	struct parser parser;
	uint64_t bad = 0;

	parser_init(&parser, vocab, diags);
	for (uint64_t number = 1; bytes.n; number++) {
		size_t whole;
		struct slice text = line_at(bytes, number == 1, &whole);
		const struct line *line = parse_line(&parser, text, number, file);

		if (line->kind == LINE_EVENT)
			intake_know(run, line, m);
		bad += line->kind == LINE_BAD;
		bytes = slice_from(bytes, whole);
	}
	parser_release(&parser);
	return bad;
}

void append_add(struct append *a, struct buf *out)
{
	if (out->n && a->bytes.n == a->old_n && a->old_n && a->bytes.p[a->old_n - 1] != '\n')
		buf_char(&a->bytes, '\n');
	buf_add(&a->bytes, buf_slice(out));
	out->n = 0;
}

int append_commit(struct append *a)
{
	return a->bytes.n == a->old_n ? 0 : atomic_write_commit(&a->file, buf_slice(&a->bytes));
}

void append_close(struct append *a)
{
	atomic_write_close(&a->file);
	buf_release(&a->bytes);
}
