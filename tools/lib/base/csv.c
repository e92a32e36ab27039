#include "base/csv.h"

#include <errno.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/utf8.h"

enum {
	LOOKAHEAD = 64 * 1024,   /* how far a quoted cell may run over line ends */
	START = 512,             /* bytes that show what a file is */
	RAW_SIZE = 64 * 1024,    /* bytes of UTF-16 read at a time */
	SHOWN = 200,             /* what is kept of a line that is too long */
};

const char *const csv_encoding_words[] = {
	"utf-8", "windows-1252", "iso-8859-1", "utf-16le", "utf-16be", NULL
};

void csv_init(struct csv *c, int fd, const struct csv_style *style)
{
	*c = (struct csv){ .fd = fd, .style = *style };
}

void csv_release(struct csv *c)
{
	free(c->block);
	free(c->raw);
	free(c->cell);
	buf_release(&c->text);
	buf_release(&c->unwrapped);
}

/* --- bytes ------------------------------------------------------------------------------- */

const char *csv_error(int error)
{
	return error == CSV_SHRANK ? "it became shorter while it was read" : strerror(error);
}

/* What a regular file has left from where it is read. */
static void take_size(struct csv *c)
{
	struct stat st;
	off_t at;

	c->sized = true;
	if (fstat(c->fd, &st) < 0 || !S_ISREG(st.st_mode))
		return;
	at = lseek(c->fd, 0, SEEK_CUR);
	c->promised = at >= 0 && st.st_size > at ? st.st_size - at : 0;
}

static ssize_t read_some(struct csv *c, char *into, size_t n)
{
	ssize_t got;

	if (!c->sized)
		take_size(c);
	do
		got = read(c->fd, into, n);
	while (got < 0 && errno == EINTR);
	if (got < 0)
		c->error = errno;
	else if (got == 0 && c->promised > 0)
		c->error = CSV_SHRANK;
	else
		c->promised -= got;
	if (got <= 0)
		c->finished = true;
	return got;
}

static void put_point(struct csv *c, uint32_t point)
{
	struct buf out = { c->block, c->end, c->cap };

	utf8_add(&out, point);
	c->block = out.p;
	c->end = out.n;
	c->cap = out.cap;
}

/* One unit of UTF-16; a lone half of a pair becomes U+FFFD. */
static void put_unit(struct csv *c, uint32_t unit)
{
	if (unit >= 0xdc00 && unit <= 0xdfff && c->high) {
		put_point(c, 0x10000 + ((c->high - 0xd800) << 10) + (unit - 0xdc00));
		c->high = 0;
		return;
	}
	if (c->high)
		put_point(c, 0xfffd);
	c->high = unit >= 0xd800 && unit <= 0xdbff ? unit : 0;
	if (!c->high)
		put_point(c, unit);
}

static void put_utf16(struct csv *c, const unsigned char *p, size_t n)
{
	bool big = c->style.encoding == CSV_UTF16BE;

	for (size_t i = 0; i + 1 < n; i += 2)
		put_unit(c, (uint32_t)(big ? p[i] << 8 | p[i + 1] : p[i + 1] << 8 | p[i]));
}

/* An odd byte stays in `raw` until its other half comes; at the end it is U+FFFD. */
static void fill_utf16(struct csv *c)
{
	ssize_t got;

	if (!c->raw)
		c->raw = mem_array(RAW_SIZE, 1);
	got = read_some(c, c->raw + c->raw_n, RAW_SIZE - c->raw_n);
	if (got > 0)
		c->raw_n += (size_t)got;
	put_utf16(c, (const unsigned char *)c->raw, c->raw_n);
	if (c->raw_n & 1)
		c->raw[0] = c->raw[c->raw_n - 1];
	c->raw_n &= 1;
	if (c->finished && (c->raw_n || c->high))
		put_point(c, 0xfffd);
}

static bool is_utf16(const struct csv *c)
{
	return c->style.encoding == CSV_UTF16LE || c->style.encoding == CSV_UTF16BE;
}

/* Adds more bytes behind `end`. False when there are none left. */
static bool fill(struct csv *c)
{
	ssize_t got;

	if (c->finished)
		return false;
	if (c->settled && is_utf16(c)) {
		fill_utf16(c);
		return true;
	}
	c->block = mem_grow(c->block, &c->cap, c->end + CSV_BLOCK, 1);
	got = read_some(c, c->block + c->end, CSV_BLOCK);
	if (got > 0)
		c->end += (size_t)got;
	return got > 0;
}

/* Moves what is not read yet to the front, so that the buffer does not grow with the file. */
static void compact(struct csv *c)
{
	if (!c->at)
		return;
	memmove(c->block, c->block + c->at, c->end - c->at);
	c->end -= c->at;
	c->at = 0;
}

/* Text in UTF-16 without a mark: of plain letters and digits every other byte is a NUL. */
static enum csv_encoding without_mark(const struct csv *c)
{
	size_t n = c->end < 4000 ? c->end : 4000, nul[2] = { 0, 0 };

	for (size_t i = 0; i < n; i++)
		nul[i & 1] += c->block[i] == '\0';
	if (n >= 4 && nul[1] > n / 4 && nul[0] < n / 40 + 1)
		return CSV_UTF16LE;
	if (n >= 4 && nul[0] > n / 4 && nul[1] < n / 40 + 1)
		return CSV_UTF16BE;
	return c->style.encoding;
}

static size_t mark(struct csv *c)
{
	struct slice s = { c->block, c->end };

	if (slice_starts(s, SLICE("\xef\xbb\xbf"))) {
		c->style.encoding = CSV_UTF8;
		return 3;
	}
	if (slice_starts(s, SLICE("\xff\xfe")) || slice_starts(s, SLICE("\xfe\xff"))) {
		c->style.encoding = s.p[0] == '\xff' ? CSV_UTF16LE : CSV_UTF16BE;
		return 2;
	}
	return 0;
}

/* What was read raw before the encoding was known is turned now. */
static void turn_utf16(struct csv *c, size_t from)
{
	char *raw = c->block;
	size_t n = c->end;

	c->block = NULL;
	c->cap = c->end = 0;
	put_utf16(c, (unsigned char *)raw + from, n - from);
	c->raw = mem_array(RAW_SIZE, 1);
	if ((n - from) & 1)
		c->raw[c->raw_n++] = raw[n - 1];
	if (c->finished && (c->raw_n || c->high))
		put_point(c, 0xfffd);
	free(raw);
}

/* Settles the encoding and the line end by the first block. */
static void settle(struct csv *c)
{
	size_t skip;
	bool cr, lf;

	while (c->end < CSV_BLOCK && fill(c))
		;
	skip = c->end ? mark(c) : 0;
	c->bom = skip > 0;
	if (!skip && c->style.encoding == CSV_UTF8)
		c->style.encoding = without_mark(c);
	c->settled = true;
	if (is_utf16(c)) {
		turn_utf16(c, skip);
		skip = 0;
	}
	c->at = skip;
	cr = c->end && memchr(c->block, '\r', c->end) != NULL;
	lf = c->end && memchr(c->block, '\n', c->end) != NULL;
	c->lone_cr = cr && !lf;
}

struct slice csv_start(struct csv *c)
{
	while (c->end < START && fill(c))
		;
	return (struct slice){ c->block ? c->block : "", c->end };
}

bool csv_take_all(struct csv *c, size_t most, struct buf *out)
{
	do {
		buf_add(out, (struct slice){ c->block, c->end });
		c->end = 0;
	} while (out->n <= most && fill(c));
	return !c->error && out->n <= most;
}

struct slice csv_peek(struct csv *c)
{
	size_t n;

	if (!c->settled)
		settle(c);
	n = c->end - c->at;
	return (struct slice){ c->block ? c->block + c->at : "", n < CSV_BLOCK ? n : CSV_BLOCK };
}

/* --- lines ------------------------------------------------------------------------------- */

/* The line that starts at `from`: where it ends, and where the next one starts. */
struct extent {
	size_t end, next;
	bool found, too_long;
};

static struct extent line_extent(struct csv *c, size_t from)
{
	struct extent e = { 0 };
	size_t looked = from;

	for (;;) {
		const char *p = looked < c->end ? memchr(c->block + looked, c->lone_cr ? '\r' : '\n', c->end - looked) : NULL;

		if (p) {
			e.end = (size_t)(p - c->block);
			e.next = e.end + 1;
			break;
		}
		looked = c->end;
		e.too_long = looked - from > CSV_LONGEST;
		if (e.too_long || !fill(c)) {
			e.end = e.next = c->end;
			break;
		}
	}
	e.found = e.next > from;
	while (e.end > from && c->block[e.end - 1] == '\r')
		e.end--;
	return e;
}

/* Lets the rest of a line that is too long go by. */
static void skip_line(struct csv *c)
{
	for (;;) {
		const char *p = memchr(c->block + c->at, c->lone_cr ? '\r' : '\n', c->end - c->at);

		if (p) {
			c->at = (size_t)(p - c->block) + 1;
			return;
		}
		c->at = c->end;
		compact(c);
		if (!fill(c))
			return;
	}
}

/* --- cells ------------------------------------------------------------------------------- */

static bool is_blank(char ch)
{
	return ch == ' ' || ch == '\t';
}

static bool at_separator(const struct csv *c, const char *p, const char *end)
{
	size_t n = c->style.separator_n;

	if (!n)
		return p < end && is_blank(*p);
	return (size_t)(end - p) >= n && memcmp(p, c->style.separator, n) == 0;
}

static const char *past_separator(const struct csv *c, const char *p, const char *end)
{
	if (c->style.separator_n)
		return p + c->style.separator_n;
	while (p < end && is_blank(*p))
		p++;
	return p;
}

static const char *next_separator(const struct csv *c, const char *p, const char *end)
{
	while (p < end) {
		if (c->style.separator_n)
			p = memchr(p, c->style.separator[0], (size_t)(end - p));
		if (!p)
			return end;
		if (at_separator(c, p, end))
			return p;
		p++;
	}
	return end;
}

static void add_cell(struct csv *c, const char *p, const char *end, size_t col, bool quoted)
{
	if (c->ncells == c->cell_cap)
		c->cell = mem_grow(c->cell, &c->cell_cap, c->ncells + 1, sizeof *c->cell);
	c->cell[c->ncells++] = (struct csv_cell){ { p, (size_t)(end - p) },
		(uint32_t)(col > UINT32_MAX ? UINT32_MAX : col), quoted };
}

/*
 * The quote that closes the cell whose first byte after its opening quote is p: one before a
 * separator, a line end or the end, blanks between allowed. A doubled quote closes nothing. NULL
 * where none does.
 */
static const char *closing_quote(const struct csv *c, const char *p, const char *end)
{
	char quote = c->style.quote;

	while (p < end && (p = memchr(p, quote, (size_t)(end - p)))) {
		const char *after = p + 1;

		if (after < end && *after == quote) {
			p += 2;
			continue;
		}
		while (after < end && is_blank(*after) && !at_separator(c, after, end))
			after++;
		if (after == end || *after == '\n' || *after == '\r' || at_separator(c, after, end))
			return p;
		p++;
	}
	return NULL;
}

/*
 * Adds a quoted cell's text with its doubled quotes made one; they are kept in c->text, which
 * split() gave space for the whole row, so that it does not move.
 */
static void add_quoted(struct csv *c, const char *p, const char *end, size_t col)
{
	size_t start = c->text.n;

	if (!memchr(p, c->style.quote, (size_t)(end - p))) {
		add_cell(c, p, end, col, true);
		return;
	}
	for (; p < end; p++) {
		buf_char(&c->text, *p);
		if (*p == c->style.quote && p + 1 < end && p[1] == c->style.quote)
			p++;
	}
	add_cell(c, c->text.p + start, c->text.p + c->text.n, col, true);
}

/* Whether every quote in [p, end) is doubled. */
static bool quotes_doubled(const struct csv *c, const char *p, const char *end)
{
	while ((p = memchr(p, c->style.quote, (size_t)(end - p)))) {
		if (p + 1 >= end || p[1] != c->style.quote)
			return false;
		p += 2;
	}
	return true;
}

/*
 * The end of the line that the quoted cell [open, close) is closed in, at most `whole`. NULL where
 * a cell that runs over line ends holds the quotes of others: then it was never meant to run on.
 */
static const char *row_end(const struct csv *c, const char *open, const char *close, const char *end, const char *whole)
{
	const char *stop;

	if (close < end)
		return end;
	if (!quotes_doubled(c, open, close))
		return NULL;
	stop = memchr(close, c->lone_cr ? '\r' : '\n', (size_t)(whole - close));
	if (!stop)
		return whole;
	while (stop > close && stop[-1] == '\r')
		stop--;
	return stop;
}

/*
 * Takes one cell from `p`; `line` is the row's start. Moves *end when a quote runs over line ends.
 * Returns where the cell stops: at a separator or at *end.
 */
static const char *take_cell(struct csv *c, const char *line, const char *p, const char **end, const char *whole)
{
	const char *start = p, *close = NULL, *to = NULL;

	while (c->style.quote && start < *end && is_blank(*start) && !at_separator(c, start, *end))
		start++;
	if (c->style.quote && start < *end && *start == c->style.quote)
		close = closing_quote(c, start + 1, whole);
	if (close)
		to = row_end(c, start + 1, close, *end, whole);
	if (!to) {
		const char *stop = next_separator(c, p, *end);

		add_cell(c, p, stop, (size_t)(p - line) + 1, false);
		return stop;
	}
	*end = to;
	add_quoted(c, start + 1, close, (size_t)(start - line) + 1);
	return next_separator(c, close + 1, to);
}

static bool has_quote(const struct csv *c, const char *p, const char *end)
{
	return c->style.quote && p < end && memchr(p, c->style.quote, (size_t)(end - p)) != NULL;
}

/*
 * Splits [line, end); a quoted cell may run on to `whole`. Returns where the row ended, or NULL
 * when there are too many cells.
 */
static const char *split(struct csv *c, const char *line, const char *end, const char *whole)
{
	const char *p = c->style.separator_n ? line : past_separator(c, line, end);

	c->ncells = 0;
	c->text.n = 0;
	if (has_quote(c, line, whole))
		c->text.p = mem_grow(c->text.p, &c->text.cap, (size_t)(whole - line), 1);
	for (;;) {
		if (c->ncells >= CSV_CELLS)
			return NULL;
		p = take_cell(c, line, p, &end, whole);
		if (p >= end)
			return end;
		p = past_separator(c, p, end);
		if (!c->style.separator_n && p == end)
			return end;
	}
}

/* Whether a cell begins with a quote that does not close in its line. */
static bool left_open(const struct csv *c)
{
	for (size_t i = 0; i < c->ncells; i++) {
		struct slice s = slice_trim(c->cell[i].text);

		if (!c->cell[i].quoted && s.n && s.p[0] == c->style.quote)
			return true;
	}
	return false;
}

/*
 * A quote is open at the end of the first line: looks for a later line in which it is closed, and
 * takes the row as far as that if it then has the cells expected.
 */
static bool over_lines(struct csv *c, struct extent *e)
{
	struct extent first = *e;

	for (uint64_t lines = 1; lines < CSV_ROW_LINES; lines++) {
		struct extent next = line_extent(c, e->next);
		const char *line = c->block + c->at, *whole = c->block + next.end;

		if (!next.found || next.too_long || next.end - c->at > LOOKAHEAD)
			break;
		*e = next;
		if (split(c, line, c->block + first.end, whole) == whole && !left_open(c) &&
		    (c->ncells == c->expect || !c->expect)) {
			c->row.last = c->row.line + lines;
			return true;
		}
	}
	*e = first;
	return false;
}

/* `"a,""b"",c"`: a whole line that was saved as one cell is split again. */
static bool rewrap(struct csv *c)
{
	struct slice s = c->ncells == 1 ? c->cell[0].text : (struct slice){ "", 0 };

	if (!s.n || !c->cell[0].quoted || c->expect == 1 || !c->style.separator_n ||
	    next_separator(c, s.p, s.p + s.n) == s.p + s.n)
		return true;
	c->unwrapped.n = 0;
	buf_add(&c->unwrapped, s);
	s = buf_slice(&c->unwrapped);
	c->row.rewrapped = true;
	return split(c, s.p, s.p + s.n, s.p + s.n) != NULL;
}

static const struct csv_row *row_done(struct csv *c, bool fits)
{
	fits = fits && rewrap(c);
	if (!fits)
		c->row.fault = CSV_TOO_MANY;
	c->row.cell = c->cell;
	c->row.n = fits ? c->ncells : 0;
	return &c->row;
}

const struct csv_row *csv_split(struct csv *c, struct slice line)
{
	const char *end = line.p + line.n;

	c->row = (struct csv_row){ .line = c->line, .last = c->line, .raw = line };
	return row_done(c, split(c, line.p, end, end) != NULL);
}

/* The row of the line at c->at. */
static const struct csv_row *line_row(struct csv *c, struct extent e)
{
	const char *line = c->block + c->at, *end = c->block + e.end;
	bool fits = split(c, line, end, end) != NULL;

	if (fits && has_quote(c, line, end) && left_open(c)) {
		struct extent over = e;

		if (over_lines(c, &over))
			e = over;
		else
			fits = split(c, c->block + c->at, c->block + e.end, c->block + e.end) != NULL;
	}
	c->row.raw = (struct slice){ c->block + c->at, e.end - c->at };
	c->row.unended = e.next == c->end && c->finished && c->block[e.next - 1] != '\n' && c->block[e.next - 1] != '\r';
	c->line = c->row.last;
	c->at = e.next;
	return row_done(c, fits);
}

static const struct csv_row *long_row(struct csv *c)
{
	c->text.n = 0;
	buf_add(&c->text, (struct slice){ c->block + c->at, SHOWN });
	c->line = c->row.line;
	skip_line(c);
	c->row.fault = CSV_TOO_LONG;
	c->row.raw = buf_slice(&c->text);
	return &c->row;
}

const struct csv_row *csv_next(struct csv *c)
{
	struct extent e;

	if (!c->settled)
		settle(c);
	if (c->end - c->at < CSV_BLOCK / 4)
		compact(c);
	e = line_extent(c, c->at);
	if (!e.found || c->error)
		return NULL;
	c->row = (struct csv_row){ .line = c->line + 1, .last = c->line + 1 };
	return e.too_long || e.end - c->at > CSV_LONGEST ? long_row(c) : line_row(c, e);
}

struct slice csv_utf8(enum csv_encoding encoding, struct slice bytes, struct buf *scratch)
{
	if (encoding != CSV_CP1252 && encoding != CSV_LATIN1)
		return bytes;
	scratch->n = 0;
	if (encoding == CSV_CP1252)
		utf8_add_cp1252(scratch, bytes);
	else
		utf8_add_latin1(scratch, bytes);
	return buf_slice(scratch);
}

bool csv_sep_line(struct slice line, struct csv_style *style)
{
	bool quoted = line.n && line.p[0] == '"';

	if (quoted)
		line = slice_from(line, 1);
	if (line.n < 5 || !slice_starts(line, SLICE("sep=")))
		return false;
	line = slice_from(line, 4);
	if (quoted && line.n && line.p[line.n - 1] == '"')
		line.n--;
	if (!line.n || line.n > sizeof style->separator)
		return false;
	memcpy(style->separator, line.p, line.n);
	style->separator_n = line.n;
	return true;
}
