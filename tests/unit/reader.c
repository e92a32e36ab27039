/*
 * reader.h: parts of a file read as the whole does, a file that shrinks is an error, lines that
 * are longer than a block are told once and passed over, pipes read as files do.
 */
#include <fcntl.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <unistd.h>

#include "book/reader.h"
#include "check.h"

static struct vocab vocab;
static struct reader reader;
static struct diags diags;
static char path[] = "/tmp/withy-reader-XXXXXX";

static void put_file(const char *bytes, size_t n)
{
	FILE *out = fopen(path, "wb");

	CHECK(out && fwrite(bytes, 1, n, out) == n);
	if (out)
		fclose(out);
}

/* What was read, as one text: kinds and lines. */
static void read_to(struct buf *out)
{
	const struct line *l;

	while ((l = reader_next(&reader))) {
		buf_char(out, (char)('0' + l->kind));
		buf_add(out, l->text.n > 200 ? slice_upto(l->text, 200) : l->text);
		buf_char(out, '\n');
	}
}

static void make_book(struct buf *out, int lines)
{
	for (int i = 0; i < lines; i++)
		if (i % 97 == 5)
			buf_str(out, "# a remark that is a little longer than the rest, for the cuts to fall elsewhere\n");
		else if (i % 501 == 7)
			buf_str(out, "not a line\n");
		else
			buf_printf(out, "2026-06-09 %02d:%02d air %s temp=%d.5C rh=%d%% meter=hyg1\n", i / 60 % 24, i % 60,
				i % 2 ? "north" : "store/r1", 10 + i % 20, 40 + i % 50);
}

/* A line belongs to the part in which it starts. */
static void parts(void)
{
	struct buf book = BUF_INIT, whole = BUF_INIT, cut = BUF_INIT;
	int64_t at = 0;

	make_book(&book, 20000);
	put_file(book.p, book.n);
	CHECK_INT(reader_open(&reader, path, 0), 0);
	read_to(&whole);
	CHECK_INT(reader.error, 0);
	for (int64_t step = 1; at < (int64_t)book.n; step = step * 3 % 100003 + 1) {
		CHECK_INT(reader_open_part(&reader, path, 0, at, at + step), 0);
		read_to(&cut);
		at += step;
	}
	CHECK(slice_eq(buf_slice(&whole), buf_slice(&cut)));
	buf_release(&book);
	buf_release(&whole);
	buf_release(&cut);
}

static void shrinking(void)
{
	struct buf book = BUF_INIT, why = BUF_INIT;

	make_book(&book, 20000);
	put_file(book.p, book.n);
	CHECK_INT(reader_open(&reader, path, 0), 0);
	CHECK(reader_next(&reader) != NULL);
	CHECK_INT(truncate(path, 300 * 1024), 0);
	while (reader_next(&reader))
		;
	CHECK_INT(reader.error, READER_SHRANK);
	reader_error_write(&why, reader.error, 0);
	CHECK_TEXT(buf_slice(&why), "the file became shorter while it was read");
	buf_release(&why);
	buf_release(&book);
}

static void long_lines(void)
{
	static const size_t lengths[] = { LINE_LONGEST, LINE_LONGEST + 1, READER_BLOCK - 1, READER_BLOCK, READER_BLOCK + 1,
		5 * READER_BLOCK };
	struct buf book = BUF_INIT;
	int bad = 0, events = 0;
	const struct line *l;

	for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++) {
		buf_char(&book, '#');
		buf_fill(&book, 'x', lengths[i] - 1);
		buf_str(&book, "\n2026-06-09 seal L061 with=wax\n");
	}
	put_file(book.p, book.n);
	diags_clear(&diags);
	CHECK_INT(reader_open(&reader, path, 0), 0);
	while ((l = reader_next(&reader))) {
		bad += l->kind == LINE_BAD;
		events += l->kind == LINE_EVENT;
		CHECK(l->kind != LINE_EVENT || l->number % 2 == 0);
	}
	CHECK_INT(events, 6);
	CHECK_INT(bad, 5);
	CHECK_INT(diags.n, 5);
	for (size_t i = 0; i < diags.n; i++)
		CHECK_INT(diags.row[i].rule, RULE_LINE_OVER_LIMIT);
	buf_release(&book);
}

/* The same bytes through a pipe, in dribs of any size. */
static void through_a_pipe(void)
{
	struct buf book = BUF_INIT, whole = BUF_INIT, piped = BUF_INIT;
	int ends[2], was = dup(STDIN_FILENO);

	make_book(&book, 3000);
	put_file(book.p, book.n);
	CHECK_INT(reader_open(&reader, path, 0), 0);
	read_to(&whole);
	CHECK_INT(pipe(ends), 0);
	fflush(stdout);
	if (fork() == 0) {
		for (size_t at = 0, n = 1; at < book.n; at += n, n = n * 7 % 4099 + 1)
			if (write(ends[1], book.p + at, at + n < book.n ? n : book.n - at) < 0)
				_exit(1);
		_exit(0);
	}
	close(ends[1]);
	dup2(ends[0], STDIN_FILENO);
	close(ends[0]);
	CHECK_INT(reader_open(&reader, "-", 0), 0);
	read_to(&piped);
	wait(NULL);
	dup2(was, STDIN_FILENO);
	close(was);
	CHECK(slice_eq(buf_slice(&whole), buf_slice(&piped)));
	buf_release(&book);
	buf_release(&whole);
	buf_release(&piped);
}

/* Bytes in memory are read as a file of them is; a part reports no carriage return. */
static void from_memory(void)
{
	struct buf book = BUF_INIT, whole = BUF_INIT, got = BUF_INIT;
	size_t found;

	diags_clear(&diags);
	make_book(&book, 20000);
	buf_str(&book, "2026-03-05 seal L061\r\n2026-03-05 seal L0");
	put_file(book.p, book.n);
	CHECK_INT(reader_open(&reader, path, 0), 0);
	read_to(&whole);
	found = diags.n;
	CHECK(found >= 2);
	diags_clear(&diags);
	reader_open_bytes(&reader, buf_slice(&book), 0, false);
	read_to(&got);
	CHECK_SLICE(buf_slice(&got), buf_slice(&whole));
	CHECK_INT(diags.n, found);
	diags_clear(&diags);
	reader_open_bytes(&reader, buf_slice(&book), 0, true);
	got.n = 0;
	read_to(&got);
	CHECK_SLICE(buf_slice(&got), buf_slice(&whole));
	CHECK_INT(diags.n, found - 1);
	diags_clear(&diags);
	reader_open_bytes(&reader, SLICE(""), 0, false);
	CHECK(!reader_next(&reader));
	buf_release(&book);
	buf_release(&whole);
	buf_release(&got);
}

int main(void)
{
	int fd = mkstemp(path);

	CHECK(fd >= 0);
	close(fd);
	vocab_init(&vocab);
	diags_init(&diags);
	reader_init(&reader, &vocab, &diags);
	parts();
	shrinking();
	long_lines();
	through_a_pipe();
	from_memory();
	CHECK_INT(reader_open(&reader, "/", 0), READER_DIRECTORY);
	reader_release(&reader);
	unlink(path);
	return check_end();
}
