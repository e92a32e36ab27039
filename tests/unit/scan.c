/*
 * scan.c: however a file is cut and however many read it, the lines and the diagnostics are those
 * of one reader going through it.
 */
#include <stdlib.h>
#include <unistd.h>

#include "book/scan.h"
#include "check.h"

static struct vocab vocab;

/* What a scan makes of lines: sums that no order shows in. */
struct dedup {
	uint64_t events, bytes, mix, unread, lines;
	struct buf told;
};

static void *begin(void *arg)
{
	(void)arg;
	return calloc(1, sizeof(struct dedup));
}

static void lines(void *state, struct reader *r)
{
	struct dedup *s = state;
	const struct line *l;

	while ((l = reader_next(r))) {
		s->bytes += l->text.n;
		s->mix += slice_hash(l->text);
		s->events += l->kind == LINE_EVENT;
	}
}

static void end(void *arg, void *state)
{
	struct dedup *all = arg, *s = state;

	all->events += s->events;
	all->bytes += s->bytes;
	all->mix += s->mix;
	free(s);
}

static int scan(struct dedup *all, const char *const *path, size_t npaths, size_t jobs, int64_t chunk)
{
	struct diags diags;
	struct scan s = { .vocab = &vocab, .path = path, .npaths = npaths, .jobs = jobs, .chunk = chunk, .diags = &diags };
	const struct scan_work work = { all, begin, lines, end };
	int error;

	memset(all, 0, sizeof *all);
	diags_init(&diags);
	error = scan_run(&s, &work);
	all->lines = s.lines;
	all->unread = s.unread;
	for (size_t i = 0; i < diags.n; i++)
		diag_write(&all->told, &diags, &diags.row[i], slice_of(path[diags.row[i].place.file]));
	diags_release(&diags);
	return error;
}

static void write_file(const char *path, struct slice text)
{
	FILE *f = fopen(path, "wb");

	CHECK(f && fwrite(text.p, 1, text.n, f) == text.n);
	if (f)
		fclose(f);
}

static const char *const BOOK =
	"\xef\xbb\xbf# withy 1\n"
	"2026-03-02 air store/r1 temp=19.5C rh=54%\n"
	"\n"
	"2026-03-02 10:00 air store/r1 temp=19.5C rh=54%\n"
	"2026-03-02 10:00 air store/r1 temp=19.5 rh=54%\n"
	"# withy 9\n"
	"2026-03-02 10:05 air store/r1 temp=19.6C rh=54%\r\n"
	"2026-03-02 10:10 air store/r1 temp=19.6C rh=154%\n"
	"\xff\n"
	"\n\n"
	"2026-03-02 10:15 air store/r1 temp=19.7C rh=53%\r\n"
	"# withy 8\n"
	"2026-02-30 air store/r1 temp=19.7C rh=53%\n"
	"2026-03-03 10:15 air store/r1 temp=19.7C rh=53% wut=1";

/* The book alone, and with a line among its own that is longer than may be, and than a block. */
static void make_book(struct buf *book, size_t longest)
{
	book->n = 0;
	buf_str(book, BOOK);
	if (!longest)
		return;
	buf_str(book, "\n# ");
	buf_fill(book, 'x', longest);
	buf_str(book, "\n");
	buf_str(book, BOOK + 3);
}

static void same(const struct dedup *got, const struct dedup *want)
{
	CHECK_INT(got->events, want->events);
	CHECK_INT(got->bytes, want->bytes);
	CHECK_INT(got->mix, want->mix);
	CHECK_INT(got->lines, want->lines);
	CHECK_INT(got->unread, want->unread);
	CHECK_SLICE(buf_slice(&got->told), buf_slice(&want->told));
}

static void cut_everywhere(const char *path, size_t longest, int64_t first, int64_t step)
{
	const char *const paths[] = { path, path };
	struct buf book = BUF_INIT;
	struct dedup want, got;

	make_book(&book, longest);
	write_file(path, buf_slice(&book));
	CHECK_INT(scan(&want, paths, 2, 1, 0), 0);
	CHECK(want.unread >= 10 && want.told.n > 500);
	for (int64_t chunk = first; chunk <= (int64_t)book.n; chunk += step) {
		CHECK_CASE(chunk);
		CHECK_INT(scan(&got, paths, 2, 3, chunk), 0);
		same(&got, &want);
		buf_release(&got.told);
	}
	CHECK_CASE(-1);
	buf_release(&want.told);
	buf_release(&book);
}

static void what_cannot_be_read(const char *path)
{
	const char *const gone[] = { path, "/nonexistent/book.wy" }, *const folder[] = { "/" };
	struct dedup got;

	CHECK(scan(&got, gone, 2, 2, 16) > 0);
	CHECK_INT(got.lines, 0);
	CHECK_INT(scan(&got, folder, 1, 2, 0), READER_DIRECTORY);
	CHECK_INT(scan(&got, gone, 0, 2, 0), 0);
}

int main(void)
{
	char path[] = "/tmp/withy-scan-XXXXXX";
	int fd = mkstemp(path);

	vocab_init(&vocab);
	CHECK(fd >= 0);
	cut_everywhere(path, 0, 1, 1);
	cut_everywhere(path, 70000, 1001, 3001);
	cut_everywhere(path, 600000, 50021, 50021);
	what_cannot_be_read(path);
	close(fd);
	unlink(path);
	return check_end();
}
