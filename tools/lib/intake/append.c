#include "intake/append.h"

#include "base/hash_index.h"
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

/* --- lines that the book has ---------------------------------------------------------------------- */

struct lines {
	struct hash_index index;
	struct slice *line;
	size_t n, cap;
};

static struct slice next_line(struct slice *rest)
{
	size_t n = slice_find(*rest, '\n');
	struct slice line = slice_upto(*rest, n);

	*rest = slice_from(*rest, n < rest->n ? n + 1 : n);
	return line;
}

static bool has_line(const struct lines *lines, struct slice line)
{
	struct hash_probe p = hash_probe_of(&lines->index, slice_hash(line));

	while (hash_probe_next(&lines->index, &p))
		if (slice_eq(lines->line[p.row], line))
			return true;
	return false;
}

static void note_lines(struct lines *lines, struct slice bytes)
{
	while (bytes.n) {
		struct slice line = next_line(&bytes);

		if (has_line(lines, line))
			continue;
		lines->line = mem_grow(lines->line, &lines->cap, lines->n + 1, sizeof *lines->line);
		lines->line[lines->n] = line;
		hash_index_add(&lines->index, slice_hash(line), (uint32_t)lines->n++);
	}
}

/* Moves the lines that are new together. */
static void keep_new(struct append *a)
{
	struct lines lines = { .n = 0 };
	struct slice rest = slice_from(buf_slice(&a->bytes), a->old_n);
	size_t to = a->old_n;

	note_lines(&lines, slice_upto(buf_slice(&a->bytes), a->old_n));
	if (rest.n && rest.p[0] == '\n') {
		rest = slice_from(rest, 1); /* the end of the old last line */
		to++;
	}
	while (rest.n) {
		struct slice line = next_line(&rest);

		if (has_line(&lines, line))
			continue;
		memmove(a->bytes.p + to, line.p, line.n + 1);
		to += line.n + 1;
		a->lines++;
	}
	a->bytes.n = to;
	hash_index_release(&lines.index);
	free(lines.line);
}

int append_commit(struct append *a)
{
	a->lines = 0;
	if (a->bytes.n > a->old_n)
		keep_new(a);
	return a->lines ? atomic_write_commit(&a->file, buf_slice(&a->bytes)) : 0;
}

void append_close(struct append *a)
{
	atomic_write_close(&a->file);
	buf_release(&a->bytes);
}
