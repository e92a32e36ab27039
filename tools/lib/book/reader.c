#include "book/reader.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/packed.h"

/* Bytes that are read of the line at the end of a part: most have fewer. */
enum { TAIL = 4096 };

void reader_init(struct reader *r, const struct vocab *vocab, struct diags *diags)
{
	memset(r, 0, sizeof *r);
	parser_init(&r->parser, vocab, diags);
	r->block = mem_zeroed(READER_BLOCK + PARSE_PADDING + 1, 1);
	r->fd = -1;
}

void reader_release(struct reader *r)
{
	reader_close(r);
	parser_release(&r->parser);
	free(r->block);
	r->block = NULL;
}

void reader_error_write(struct buf *out, int error, int64_t at)
{
	if (error == READER_SHRANK)
		buf_str(out, "the file became shorter while it was read");
	else if (error == READER_DIRECTORY)
		buf_str(out, "it is a directory, not a file");
	else
		packed_error_write(out, error, at);
}

int64_t reader_used(const struct reader *r)
{
	return r->packed ? packed_at(r->packed) : r->line_offset;
}

bool reader_is_packed(int fd)
{
	char start[PACKED_MAGIC];
	ssize_t got = pread(fd, start, sizeof start, 0);

	return got > 0 && packed_kind((struct slice){ start, (size_t)got }) != PACKED_NOT;
}

static void start(struct reader *r, uint32_t file, int64_t from, int64_t to)
{
	parse_forget(&r->parser);
	r->at = r->end = 0;
	r->block[0] = '\n';
	r->finished = r->crlf_told = r->skipping = false;
	r->error = 0;
	r->file = file;
	r->number = r->bad = 0;
	r->crlf = (struct place){ 0 };
	r->in_memory = false;
	r->offset = r->line_offset = from;
	r->stop = to;
}

static int open_file(struct reader *r, const char *path)
{
	struct stat st;

	r->fd = strcmp(path, "-") == 0 ? dup(STDIN_FILENO) : open(path, O_RDONLY | O_CLOEXEC);
	if (r->fd < 0)
		return errno;
	if (fstat(r->fd, &st) < 0)
		return errno;
	if (S_ISDIR(st.st_mode))
		return READER_DIRECTORY;
	r->regular = S_ISREG(st.st_mode) && strcmp(path, "-") != 0;
	r->size = r->regular ? (int64_t)st.st_size : -1;
	return 0;
}

int reader_open(struct reader *r, const char *path, uint32_t file)
{
	reader_close(r);
	start(r, file, 0, INT64_MAX);
	r->partial = r->parser.within = false;
	r->error = open_file(r, path);
	return r->error;
}

static ssize_t take_bytes(struct reader *r, char *into, size_t n)
{
	size_t taken = r->bytes.n < n ? r->bytes.n : n;

	memcpy(into, r->bytes.p, taken);
	r->bytes = slice_from(r->bytes, taken);
	return (ssize_t)taken;
}

/* Bytes as they are in the file; -1 and r->error when it cannot be read. */
static ssize_t read_plain(struct reader *r, char *into, size_t n)
{
	ssize_t got;

	if (r->in_memory)
		return take_bytes(r, into, n);
	do
		got = r->regular ? pread(r->fd, into, n, (off_t)r->offset) : read(r->fd, into, n);
	while (got < 0 && errno == EINTR);
	if (got < 0)
		r->error = errno;
	else if (got == 0 && r->offset < r->size)
		r->error = READER_SHRANK;
	return got;
}

static ssize_t read_packed(struct reader *r, char *into, size_t n)
{
	long got = packed_next(r->packed, into, n);

	if (got < 0)
		r->error = packed_error(r->packed);
	return got;
}

/* The first bytes of a file, as many as show whether it is packed: a pipe may give them one by one. */
static ssize_t read_start(struct reader *r, char *into, size_t n)
{
	ssize_t got = read_plain(r, into, n), more = got;

	while (more > 0 && got < PACKED_MAGIC && packed_may_start((unsigned char)*into) && !r->regular) {
		more = read_plain(r, into + got, n - (size_t)got);
		got = more < 0 ? more : got + more;
	}
	if (got <= 0 || packed_kind((struct slice){ into, (size_t)got }) == PACKED_NOT)
		return got;
	if (r->regular && lseek(r->fd, (off_t)got, SEEK_SET) < 0) {
		r->error = errno;
		return -1;
	}
	r->packed = packed_open(r->fd, (struct slice){ into, (size_t)got });
	r->size = -1;
	return read_packed(r, into, n);
}

/* How much more to read into so much space: of a part, not far behind where the last of its lines starts. */
static size_t wanted(const struct reader *r, size_t space)
{
	const int64_t left = r->stop - r->offset;

	if (!r->partial || left >= (int64_t)space)
		return space;
	return left > 0 && (size_t)left + TAIL < space ? (size_t)left + TAIL : space < TAIL ? space : TAIL;
}

/* Takes in the next block; what is left of the last one moves to the front. */
static void refill(struct reader *r)
{
	ssize_t got;
	char *into;
	size_t space;

	parse_forget(&r->parser);
	memmove(r->block, r->block + r->at, r->end - r->at);
	r->end -= r->at;
	r->at = 0;
	into = r->block + r->end;
	space = wanted(r, READER_BLOCK - r->end);
	got = r->packed ? read_packed(r, into, space) : r->offset == 0 && !r->in_memory ? read_start(r, into, space) : read_plain(r, into, space);
	if (got <= 0) {
		r->finished = true;
		return;
	}
	r->end += (size_t)got;
	r->block[r->end] = '\n';
	r->offset += got;
}

/* The next line end at or behind r->at, reading on as needed; NULL when there is none. */
static const char *find_end(struct reader *r)
{
	size_t seen = 0;
	const char *lf;

	for (;;) {
		lf = r->end > r->at + seen ? memchr(r->block + r->at + seen, '\n', r->end - r->at - seen) : NULL;
		if (lf || r->finished)
			return lf;
		seen = r->end - r->at;
		if (seen == READER_BLOCK)
			return NULL;
		refill(r);
	}
}

/* Throws away the rest of a line that is too long. */
static void skip_line(struct reader *r)
{
	const char *lf;

	while (!(lf = find_end(r)) && !r->finished) {
		r->line_offset += (int64_t)(r->end - r->at);
		r->at = r->end;
	}
	if (lf) {
		r->line_offset += lf + 1 - (r->block + r->at);
		r->at = (size_t)(lf + 1 - r->block);
	} else
		r->at = r->end;
	r->skipping = false;
}

static struct place place_at(const struct reader *r, uint32_t col)
{
	return (struct place){ r->file, col, col + 1, r->number };
}

static struct slice strip(struct reader *r, struct slice text)
{
	if (r->number == 1 && r->line_offset == 0 && slice_starts(text, SLICE("\xef\xbb\xbf"))) {
		DIAG0(r->parser.diags, RULE_BYTE_ORDER_MARK, place_at(r, 1));
		text = slice_from(text, 3);
	}
	if (!text.n || text.p[text.n - 1] != '\r')
		return text;
	text.n--;
	if (!r->crlf_told && r->partial)
		r->crlf = place_at(r, (uint32_t)text.n + 1);
	else if (!r->crlf_told)
		DIAG0(r->parser.diags, RULE_CARRIAGE_RETURN, place_at(r, (uint32_t)text.n + 1));
	r->crlf_told = true;
	return text;
}

static const struct line *give(struct reader *r, struct slice text)
{
	const struct line *l;

	r->number++;
	l = parse_line(&r->parser, strip(r, text), r->number, r->file);
	r->bad += l->kind == LINE_BAD;
	return l;
}

/* The last line of a file, which has no line end. */
static const struct line *give_last(struct reader *r)
{
	struct slice text = { r->block + r->at, r->end - r->at };
	const struct line *l;

	if (!text.n || r->error)
		return NULL;
	r->at = r->end;
	l = give(r, text);
	DIAG0(r->parser.diags, RULE_LINE_END_MISSING, place_at(r, (uint32_t)l->text.n + 1));
	return l;
}

/* The next line when it is as most are and all in the block. */
static const struct line *next_quick(struct reader *r)
{
	const char *p = r->block + r->at, *end = r->block + r->end;
	const struct line *l = parse_alike(&r->parser, p, end, r->number + 1, r->file);
	size_t n = r->parser.length;

	if (!l) {
		l = parse_fast(&r->parser, p, end, r->number + 1, r->file);
		if (!l)
			return NULL;
		n = l->text.n;
	}
	r->number++;
	r->line_offset += (int64_t)n + 1;
	r->at += n + 1;
	return l;
}

const struct line *reader_next(struct reader *r)
{
	const char *lf;
	struct slice text;
	const struct line *l;

	if (r->line_offset < r->stop && (l = next_quick(r)))
		return l;
	if (r->error || (r->fd < 0 && !r->in_memory))
		return NULL;
	if (r->skipping)
		skip_line(r);
	if (r->line_offset >= r->stop)
		return NULL;
	lf = find_end(r);
	if (!lf && r->finished)
		return give_last(r);
	text = (struct slice){ r->block + r->at, lf ? (size_t)(lf - (r->block + r->at)) : r->end - r->at };
	l = give(r, text);
	if (!lf) {
		r->skipping = true;
		return l;
	}
	r->line_offset += (int64_t)text.n + 1;
	r->at += text.n + 1;
	return l;
}

int reader_open_part(struct reader *r, const char *path, uint32_t file, int64_t from, int64_t to)
{
	reader_close(r);
	start(r, file, from > 0 ? from - 1 : 0, to);
	r->partial = true;
	r->parser.within = from > 0;
	r->error = open_file(r, path);
	if (!r->error && from > 0)
		skip_line(r);
	return r->error;
}

void reader_open_bytes(struct reader *r, struct slice bytes, uint32_t file, bool within)
{
	reader_close(r);
	start(r, file, within, INT64_MAX);
	r->partial = r->parser.within = within;
	r->bytes = bytes.n ? bytes : SLICE("");
	r->in_memory = true;
	r->size = -1;
	r->regular = false;
}

void reader_close(struct reader *r)
{
	packed_close(r->packed);
	r->packed = NULL;
	if (r->fd >= 0)
		close(r->fd);
	r->fd = -1;
}
