#include "base/utf8.h"

#include <utf8proc.h>

static unsigned char byte_at(struct slice s, size_t i)
{
	return (unsigned char)s.p[i];
}

/* A bit set in the high bit of some byte of the result when one of `w` is NUL or above 127. */
static uint64_t odd_bytes(uint64_t w)
{
	return (w | (w - 0x0101010101010101u)) & 0x8080808080808080u;
}

/* How many bytes from `at` are surely plain ASCII without a NUL, in whole words. */
static size_t plain_run(struct slice s, size_t at)
{
	size_t from = at;
	uint64_t w[4];

	while (s.n - at >= sizeof w) {
		memcpy(w, s.p + at, sizeof w);
		if (odd_bytes(w[0]) | odd_bytes(w[1]) | odd_bytes(w[2]) | odd_bytes(w[3]))
			break;
		at += sizeof w;
	}
	while (s.n - at >= sizeof w[0]) {
		memcpy(w, s.p + at, sizeof w[0]);
		if (odd_bytes(w[0]))
			break;
		at += sizeof w[0];
	}
	return at - from;
}

/* The bytes of a character that starts with `lead`, and the least code point that needs them. */
static size_t length_of(unsigned char lead, uint32_t *least)
{
	if (lead < 0xc2)
		return 0;
	if (lead < 0xe0)
		return *least = 0x80, 2;
	if (lead < 0xf0)
		return *least = 0x800, 3;
	if (lead < 0xf5)
		return *least = 0x10000, 4;
	return 0;
}

static bool is_scalar(uint32_t point)
{
	return point < 0xd800 || (point > 0xdfff && point <= 0x10ffff);
}

size_t utf8_decode(struct slice s, uint32_t *point)
{
	uint32_t least, c;
	size_t n;

	if (!s.n)
		return 0;
	c = byte_at(s, 0);
	if (c < 0x80)
		return *point = c, 1;
	n = length_of((unsigned char)c, &least);
	if (!n || n > s.n)
		return 0;
	c &= 0x7fu >> n;
	for (size_t i = 1; i < n; i++) {
		if ((byte_at(s, i) & 0xc0) != 0x80)
			return 0;
		c = c << 6 | (byte_at(s, i) & 0x3f);
	}
	if (c < least || !is_scalar(c))
		return 0;
	*point = c;
	return n;
}

bool utf8_check(struct slice s, size_t *bad_at)
{
	size_t at = 0;

	while (at < s.n) {
		uint32_t point;
		size_t n = plain_run(s, at);

		if (!n) {
			n = utf8_decode(slice_from(s, at), &point);
			if (!n || !point) {
				if (bad_at)
					*bad_at = at;
				return false;
			}
		}
		at += n;
	}
	return true;
}

void utf8_add(struct buf *b, uint32_t point)
{
	utf8proc_uint8_t bytes[4];
	utf8proc_ssize_t n = utf8proc_encode_char((utf8proc_int32_t)(is_scalar(point) ? point : 0xfffd), bytes);

	buf_add(b, (struct slice){ (const char *)bytes, (size_t)n });
}

/* The next character of any bytes: its length, at least 1; a stray byte is U+FFFD. */
static size_t next_point(struct slice s, uint32_t *point)
{
	size_t n = utf8_decode(s, point);

	if (n)
		return n;
	*point = 0xfffd;
	return 1;
}

static size_t cells_of(uint32_t point)
{
	int cells = utf8proc_charwidth((utf8proc_int32_t)point);

	return cells > 0 ? (size_t)cells : 0;
}

static int class_of(uint32_t point)
{
	return utf8proc_get_property((utf8proc_int32_t)point)->boundclass;
}

enum { PICTURE_SELECTOR = 0xfe0f };

/* Whether `point` asks for the character before it as a picture that is two cells wide. */
static bool asks_picture(uint32_t point, uint32_t before)
{
	bool of_keys = (before >= '0' && before <= '9') || before == '#' || before == '*';

	return point == PICTURE_SELECTOR && (of_keys || class_of(before) == UTF8PROC_BOUNDCLASS_EXTENDED_PICTOGRAPHIC);
}

static bool is_skin(uint32_t point)
{
	return point >= 0x1f3fb && point <= 0x1f3ff;
}

/*
 * The cells of a cluster when `point` is joined to it after `before`. It is as wide as its widest
 * character, but two for a flag (a pair of regional letters) and for a sign shown as a picture;
 * a mark that takes room of its own (Thai sara am, the sound marks of half-width kana) adds it.
 */
static size_t join_cells(size_t cells, uint32_t before, uint32_t point)
{
	switch (class_of(point)) {
	case UTF8PROC_BOUNDCLASS_REGIONAL_INDICATOR:
		return 2;
	case UTF8PROC_BOUNDCLASS_EXTEND:
	case UTF8PROC_BOUNDCLASS_SPACINGMARK:
		if (asks_picture(point, before))
			return 2;
		return is_skin(point) ? cells : cells + cells_of(point);
	default:
		return cells_of(point) > cells ? cells_of(point) : cells;
	}
}

/* The grapheme cluster at the start of `s`: its bytes as the result, its cells in *cells. */
static size_t next_cluster(struct slice s, size_t *cells)
{
	uint32_t point, before;
	utf8proc_int32_t state = 0;
	size_t at = next_point(s, &before);

	*cells = cells_of(before);
	while (at < s.n) {
		size_t n = next_point(slice_from(s, at), &point);

		if (utf8proc_grapheme_break_stateful((utf8proc_int32_t)before, (utf8proc_int32_t)point, &state))
			break;
		*cells = join_cells(*cells, before, point);
		before = point;
		at += n;
	}
	return at;
}

/* Printable ASCII at the start of `s`, each a cluster of one cell unless a mark follows the last. */
static size_t printable_run(struct slice s)
{
	size_t n = 0;

	while (n < s.n && s.p[n] >= 0x20 && s.p[n] < 0x7f)
		n++;
	return n && n < s.n ? n - 1 : n;
}

size_t utf8_width(struct slice s)
{
	size_t width = 0, cells, n;

	while (s.n) {
		n = cells = printable_run(s);
		if (!n)
			n = next_cluster(s, &cells);
		width += cells;
		s = slice_from(s, n);
	}
	return width;
}

static size_t units_of(uint32_t point)
{
	return point > 0xffff ? 2 : 1;
}

size_t utf8_units(struct slice s)
{
	size_t count = 0;
	uint32_t point;

	while (s.n) {
		s = slice_from(s, next_point(s, &point));
		count += units_of(point);
	}
	return count;
}

size_t utf8_units_before(struct slice s, size_t byte)
{
	return byte <= s.n ? utf8_units(slice_upto(s, byte)) : utf8_units(s) + byte - s.n;
}

size_t utf8_byte_at_unit(struct slice s, size_t units)
{
	size_t at = 0, n, count = 0;
	uint32_t point;

	while (at < s.n) {
		n = next_point(slice_from(s, at), &point);
		count += units_of(point);
		if (count > units)
			break;
		at += n;
	}
	return at;
}

bool utf8_is_unsafe(uint32_t point)
{
	return point < 0x20 || (point >= 0x7f && point < 0xa0)  /* C0, DEL, C1 */
		|| point == 0x061c || point == 0x200e || point == 0x200f /* marks of direction */
		|| point == 0x2028 || point == 0x2029            /* line and paragraph separator */
		|| (point >= 0x202a && point <= 0x202e)          /* embeddings and overrides */
		|| (point >= 0x2066 && point <= 0x2069)          /* isolates */
		|| point == 0xfeff                               /* a mark of byte order within text */
		|| (point >= 0xfff9 && point <= 0xfffb);         /* interlinear annotation */
}

static void add_escaped(struct buf *b, uint32_t point)
{
	if (point == '\t')
		buf_str(b, "\\t");
	else if (point == '\n')
		buf_str(b, "\\n");
	else if (point == '\r')
		buf_str(b, "\\r");
	else
		buf_printf(b, point < 0x80 ? "\\x%02x" : "\\u%04x", (unsigned)point);
}

static size_t safe_run(struct slice s)
{
	size_t n = 0;

	while (n < s.n && s.p[n] >= 0x20 && s.p[n] < 0x7f)
		n++;
	return n;
}

void utf8_add_visible(struct buf *b, struct slice s)
{
	while (s.n) {
		uint32_t point;
		size_t n = safe_run(s);

		if (n) {
			buf_add(b, slice_upto(s, n));
		} else if (!(n = utf8_decode(s, &point))) {
			n = 1;
			buf_printf(b, "\\x%02x", (unsigned)byte_at(s, 0));
		} else if (utf8_is_unsafe(point)) {
			add_escaped(b, point);
		} else {
			buf_add(b, slice_upto(s, n));
		}
		s = slice_from(s, n);
	}
}

void utf8_add_shown(struct buf *b, struct slice s, size_t most)
{
	size_t n = s.n;

	if (n > most)
		for (n = most; n && ((unsigned char)s.p[n] & 0xc0) == 0x80;)
			n--;
	utf8_add_visible(b, slice_upto(s, n));
	if (n < s.n)
		buf_str(b, "...");
}

void utf8_add_latin1(struct buf *b, struct slice s)
{
	for (size_t i = 0; i < s.n; i++)
		utf8_add(b, byte_at(s, i));
}

void utf8_add_wrapped(struct buf *out, struct slice words, size_t used, size_t width)
{
	enum { INDENT = 4 };

	while (words.n) {
		size_t n = slice_find(words, ' ');
		struct slice word = slice_upto(words, n);
		size_t cells = utf8_width(word);

		if (used > INDENT && used + 1 + cells > width) {
			buf_char(out, '\n');
			buf_fill(out, ' ', INDENT);
			used = INDENT;
		} else {
			buf_char(out, ' ');
			used++;
		}
		buf_add(out, word);
		used += cells;
		words = slice_from(words, n < words.n ? n + 1 : n);
	}
}

void utf8_add_folded(struct buf *out, struct slice words, size_t indent, size_t width)
{
	size_t used = indent;

	for (bool first = true; words.n; first = false) {
		size_t end = slice_find(words, ' ');
		struct slice word = slice_upto(words, end);
		size_t cells = utf8_width(word);

		if (!first && used + 1 + cells > width) {
			buf_char(out, '\n');
			buf_fill(out, ' ', indent);
			used = indent;
		} else if (!first) {
			buf_char(out, ' ');
			used++;
		}
		buf_add(out, word);
		used += cells;
		words = slice_from(words, end < words.n ? end + 1 : end);
	}
}

/* Windows-1252, bytes 80 to 9f: the Unicode mapping table of the vendor (cp1252.txt); 0: undefined. */
static const uint16_t cp1252_high[32] = {
	0x20ac, 0,      0x201a, 0x0192, 0x201e, 0x2026, 0x2020, 0x2021,
	0x02c6, 0x2030, 0x0160, 0x2039, 0x0152, 0,      0x017d, 0,
	0,      0x2018, 0x2019, 0x201c, 0x201d, 0x2022, 0x2013, 0x2014,
	0x02dc, 0x2122, 0x0161, 0x203a, 0x0153, 0,      0x017e, 0x0178,
};

size_t utf8_add_cp1252(struct buf *b, struct slice s)
{
	size_t undefined = 0;

	for (size_t i = 0; i < s.n; i++) {
		uint32_t point = byte_at(s, i);

		if (point >= 0x80 && point < 0xa0)
			point = cp1252_high[point - 0x80];
		if (!point && s.p[i]) {
			undefined++;
			point = 0xfffd;
		}
		utf8_add(b, point);
	}
	return undefined;
}
