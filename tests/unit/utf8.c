/*
 * utf8.c: validity against the table of well-formed byte sequences of The Unicode Standard
 * (version 15, table 3-7), widths, columns, what is made visible, the older encodings.
 */
#include <iconv.h>
#include <stdlib.h>

#include "base/utf8.h"
#include "check.h"

#define OF(bytes, count) ((struct slice){ (const char *)(bytes), (count) })

/* Table 3-7: the lead byte's range, the second byte's, and how many bytes there are. */
static const struct {
	unsigned char lead_from, lead_to, second_from, second_to;
	size_t n;
} well_formed[] = {
	{ 0xc2, 0xdf, 0x80, 0xbf, 2 },
	{ 0xe0, 0xe0, 0xa0, 0xbf, 3 },
	{ 0xe1, 0xec, 0x80, 0xbf, 3 },
	{ 0xed, 0xed, 0x80, 0x9f, 3 },
	{ 0xee, 0xef, 0x80, 0xbf, 3 },
	{ 0xf0, 0xf0, 0x90, 0xbf, 4 },
	{ 0xf1, 0xf3, 0x80, 0xbf, 4 },
	{ 0xf4, 0xf4, 0x80, 0x8f, 4 },
};

/* The length of the character that starts b[0..n), by the table; 0 when there is none. */
static size_t by_the_table(const unsigned char *b, size_t n)
{
	if (b[0] < 0x80)
		return 1;
	for (size_t row = 0; row < sizeof well_formed / sizeof *well_formed; row++) {
		if (b[0] < well_formed[row].lead_from || b[0] > well_formed[row].lead_to)
			continue;
		if (n < well_formed[row].n || b[1] < well_formed[row].second_from || b[1] > well_formed[row].second_to)
			return 0;
		for (size_t i = 2; i < well_formed[row].n; i++)
			if (b[i] < 0x80 || b[i] > 0xbf)
				return 0;
		return well_formed[row].n;
	}
	return 0;
}

/* Whether the decoder and the table say the same of b[0..n). */
static bool agrees(const unsigned char *b, size_t n)
{
	uint32_t point;

	return utf8_decode(OF(b, n), &point) == by_the_table(b, n);
}

/* All sequences of up to three bytes, and of four with the edges of every range behind the second. */
static void every_sequence(void)
{
	static const unsigned char edges[] = { 0x00, 0x41, 0x7f, 0x80, 0x9f, 0xa0, 0xbf, 0xc0, 0xff };
	unsigned long wrong = 0;
	unsigned char b[4];

	for (unsigned a = 0; a < 0x10000; a++) {
		b[0] = (unsigned char)(a >> 8);
		b[1] = (unsigned char)a;
		wrong += !agrees(b, 1);
		wrong += !agrees(b, 2);
		for (unsigned c = 0; c < 0x100; c++) {
			b[2] = (unsigned char)c;
			wrong += !agrees(b, 3);
		}
		for (size_t c = 0; c < sizeof edges; c++) {
			for (size_t d = 0; d < sizeof edges; d++) {
				b[2] = edges[c];
				b[3] = edges[d];
				wrong += !agrees(b, 4);
			}
		}
	}
	CHECK_INT(wrong, 0);
}

/* Every character comes back from its bytes. */
static void every_character(void)
{
	struct buf b = BUF_INIT;
	unsigned long wrong = 0;

	for (uint32_t point = 0; point <= 0x10ffff; point++) {
		uint32_t back = 0;

		if (point == 0xd800)
			point = 0xe000;
		b.n = 0;
		utf8_add(&b, point);
		wrong += utf8_decode(buf_slice(&b), &back) != b.n || back != point;
	}
	CHECK_INT(wrong, 0);
	b.n = 0;
	utf8_add(&b, 0xd800);
	utf8_add(&b, 0xdfff);
	utf8_add(&b, 0x110000);
	utf8_add(&b, UINT32_MAX);
	CHECK_TEXT(buf_slice(&b), "\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd");
	buf_release(&b);
}

static void bad_places(void)
{
	static const struct { struct slice s; size_t at; } list[] = {
		{ { "\xc0\x80", 2 }, 0 },             /* NUL in two bytes */
		{ { "a\xc1\xbf", 3 }, 1 },            /* DEL in two bytes */
		{ { "\xe0\x9f\xbf", 3 }, 0 },
		{ { "ab\xed\xa0\x80", 5 }, 2 },       /* a surrogate */
		{ { "\xf4\x90\x80\x80", 4 }, 0 },     /* beyond U+10FFFF */
		{ { "\xf5\x80\x80\x80", 4 }, 0 },
		{ { "\xff", 1 }, 0 },
		{ { "\x80", 1 }, 0 },
		{ { "\xc5\xab\xc5", 3 }, 2 },         /* cut short at the end */
		{ { "\xf0\x9f\x98", 3 }, 0 },
		{ { "\xe6\x9c", 2 }, 0 },
		{ { "\xc5\xab\0", 3 }, 2 },           /* a NUL */
		{ { "\xc5" "a", 2 }, 0 },
	};

	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		size_t at = 99;

		CHECK_CASE(i);
		CHECK(!utf8_check(list[i].s, &at));
		CHECK_INT(at, list[i].at);
		CHECK(!utf8_check(list[i].s, NULL));
	}
	CHECK_CASE(-1);
}

static void good_texts(void)
{
	size_t at = 99;

	CHECK(utf8_check(SLICE(""), &at));
	CHECK(utf8_check((struct slice){ NULL, 0 }, &at));
	CHECK(utf8_check(SLICE("M\xc4\x81ia Kerr, J\xc3\xbcrgen Ott, T\xc5\xab\xc4\xab Cartage, \xe6\x9c\xa8, \xf0\x9f\x8f\x8f"), &at));
	CHECK(utf8_check(SLICE("\x01\x1b\x7f\t\r\n"), &at));  /* controls are valid; only NUL is refused */
	CHECK(utf8_check(SLICE("\xf4\x8f\xbf\xbf\xed\x9f\xbf\xee\x80\x80\xef\xbf\xbf"), &at));
	CHECK_INT(at, 99);
}

/* The quick way for plain ASCII sees each bad byte wherever it stands, and no other. */
static void every_place(void)
{
	enum { LENGTH = 83 };
	static const unsigned char bad[] = { 0x00, 0x80, 0xc5, 0xff };
	static const unsigned char good[] = { 0x01, 0x02, 0x7f, 0x20 };
	char *line = malloc(LENGTH);
	size_t at;

	for (size_t fill = 0; fill < sizeof good; fill++) {
		memset(line, good[fill], LENGTH);
		CHECK(utf8_check(OF(line, LENGTH), NULL));
		for (size_t place = 0; place < LENGTH; place++) {
			for (size_t i = 0; i < sizeof bad; i++) {
				line[place] = (char)bad[i];
				at = LENGTH;
				CHECK(!utf8_check(OF(line, LENGTH), &at));
				CHECK_INT(at, place);
				CHECK(utf8_check(OF(line, place), NULL)); /* what lies behind the end is not read */
			}
			line[place] = (char)good[fill];
		}
	}
	free(line);
}

static const struct {
	const char *text;
	size_t width, units;
} shown[] = {
	/* text, cells, UTF-16 units */
	{ "", 0, 0 },
	{ "L061", 4, 4 },
	{ "T\xc5\xab\xc4\xab", 3, 3 },
	{ "e\xcc\x81t\xc3\xa9", 3, 4 },                                   /* a combining accent */
	{ "\xe6\x9c\xa8\xe6\x9d\x91", 4, 2 },                             /* two Han letters */
	{ "\xef\xbd\xb6\xef\xbe\x9e", 2, 2 },                             /* half-width kana */
	{ "\xed\x95\x9c\xea\xb8\x80", 4, 2 },                             /* Hangul syllables */
	{ "\xe1\x84\x92\xe1\x85\xa1\xe1\x86\xab", 2, 3 },                 /* one, from its three letters */
	{ "\xe0\xb8\x81\xe0\xb8\xb3", 2, 2 },                             /* Thai with sara am */
	{ "\xe0\xa4\x95\xe0\xa4\xbf", 1, 2 },                             /* Devanagari with a vowel sign */
	{ "\xf0\x9f\x8f\x8f", 2, 2 },                                     /* bat and ball */
	{ "\xf0\x9f\x87\xb3\xf0\x9f\x87\xbf", 2, 4 },                     /* a flag */
	{ "\xf0\x9f\x87\xb3\xf0\x9f\x87\xbf\xf0\x9f\x87\xac\xf0\x9f\x87\xa7", 4, 8 },
	{ "\xf0\x9f\x91\xa8\xe2\x80\x8d\xf0\x9f\x91\xa9\xe2\x80\x8d\xf0\x9f\x91\xa7", 2, 8 }, /* a family */
	{ "\xf0\x9f\x91\x8d\xf0\x9f\x8f\xbd", 2, 4 },                     /* a thumb with its skin's colour */
	{ "\xe2\x9d\xa4", 1, 1 },                                         /* a heart as a sign */
	{ "\xe2\x9d\xa4\xef\xb8\x8f", 2, 2 },                             /* ... as a picture */
	{ "1\xef\xb8\x8f\xe2\x83\xa3", 2, 3 },                            /* a key */
	{ "a\xef\xb8\x8f", 1, 2 },                                        /* nothing to be made a picture */
	{ "18\xc2\xb0" "C \xc2\xbd", 6, 6 },
	{ "a\xff\xfe" "b", 4, 4 },                                        /* stray bytes, one cell each */
	{ "\xf0\x9f\x8f", 3, 3 },
};

static void columns(void)
{
	for (size_t i = 0; i < sizeof shown / sizeof *shown; i++) {
		struct slice s = slice_of(shown[i].text);

		CHECK_CASE(i);
		CHECK_INT(utf8_width(s), shown[i].width);
		CHECK_INT(utf8_units(s), shown[i].units);
		CHECK_INT(utf8_units_before(s, s.n), shown[i].units);
		CHECK_INT(utf8_units_before(s, s.n + 2), shown[i].units + 2);
		CHECK_INT(utf8_byte_at_unit(s, (size_t)shown[i].units), s.n);
		CHECK_INT(utf8_byte_at_unit(s, 1000), s.n);
	}
	CHECK_CASE(-1);
}

static void made_visible(void)
{
	static const struct { struct slice s; const char *want; } list[] = {
		{ { "", 0 }, "" },
		{ { "T\xc5\xab\xc4\xab \\ 5%", 10 }, "T\xc5\xab\xc4\xab \\ 5%" },
		{ { "a\tb\nc\rd", 7 }, "a\\tb\\nc\\rd" },
		{ { "\x1b[31mred\x07\0", 10 }, "\\x1b[31mred\\x07\\x00" },
		{ { "\x7f", 1 }, "\\x7f" },
		{ { "\xc2\x9b" "2J\xc2\x85\xc2\xa0", 8 }, "\\u009b2J\\u0085\xc2\xa0" },     /* C1, but not the no-break space */
		{ { "\xe2\x80\xae" "gpj\xe2\x80\xac", 9 }, "\\u202egpj\\u202c" },           /* the direction of writing */
		{ { "\xe2\x81\xa6x\xe2\x81\xa9", 7 }, "\\u2066x\\u2069" },
		{ { "\xe2\x80\xa8\xe2\x80\xa9", 6 }, "\\u2028\\u2029" },
		{ { "\xef\xbb\xbfx", 4 }, "\\ufeffx" },
		{ { "\xe2\x80\x8d\xe2\x80\x8e\xd8\x9c", 8 }, "\xe2\x80\x8d\\u200e\\u061c" },     /* a joiner; marks of direction */
		{ { "a\xff\xc5", 3 }, "a\\xff\\xc5" },
		{ { "\xed\xa0\x80", 3 }, "\\xed\\xa0\\x80" },
	};
	struct buf b = BUF_INIT;

	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		CHECK_CASE(i);
		b.n = 0;
		utf8_add_visible(&b, list[i].s);
		CHECK_TEXT(buf_slice(&b), list[i].want);
		CHECK(utf8_check(buf_slice(&b), NULL));
	}
	CHECK_CASE(-1);
	buf_release(&b);
}

/* Whatever goes in, what comes out is valid and holds nothing unsafe. */
static void always_visible(void)
{
	uint32_t state = 7;
	struct buf raw = BUF_INIT, b = BUF_INIT;
	unsigned long unsafe = 0, invalid = 0;

	for (int round = 0; round < 3000; round++) {
		raw.n = b.n = 0;
		for (int i = 0; i < 40; i++) {
			state = state * 1664525u + 1013904223u;
			if (state & 1u << 20)
				utf8_add(&raw, (state >> 8) % 0x3000);
			else
				buf_char(&raw, (char)(state >> 24));
		}
		utf8_add_visible(&b, buf_slice(&raw));
		invalid += !utf8_check(buf_slice(&b), NULL);
		for (struct slice s = buf_slice(&b); s.n;) {
			uint32_t point = 0;
			size_t n = utf8_decode(s, &point);

			unsafe += utf8_is_unsafe(point);
			s = slice_from(s, n ? n : 1);
		}
	}
	CHECK_INT(invalid, 0);
	CHECK_INT(unsafe, 0);
	buf_release(&raw);
	buf_release(&b);
}

/* The degree sign and friends. */
static void older_encodings(void)
{
	struct buf b = BUF_INIT;

	utf8_add_latin1(&b, SLICE("23,5 \xb0" "C M\xe4rz \x80"));
	CHECK_TEXT(buf_slice(&b), "23,5 \xc2\xb0" "C M\xc3\xa4rz \xc2\x80");
	b.n = 0;
	CHECK_INT(utf8_add_cp1252(&b, SLICE("23,5 \xb0" "C \x80 \x93x\x94 \x9f\xff")), 0);
	CHECK_TEXT(buf_slice(&b), "23,5 \xc2\xb0" "C \xe2\x82\xac \xe2\x80\x9cx\xe2\x80\x9d \xc5\xb8\xc3\xbf");
	b.n = 0;
	CHECK_INT(utf8_add_cp1252(&b, SLICE("\x81\x8d\x8f\x90\x9d\0x")), 5);
	CHECK_SLICE(buf_slice(&b), SLICE("\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd\0x"));
	buf_release(&b);
}

/* Byte `c` as the C library's iconv reads it in `encoding`: U+FFFD where it does not. */
static void by_iconv(iconv_t way, unsigned char c, struct buf *b)
{
	char in[1] = { (char)c }, out[8], *from = in, *to = out;
	size_t left = 1, room = sizeof out;

	if (iconv(way, &from, &left, &to, &room) == (size_t)-1)
		utf8_add(b, 0xfffd);
	else
		buf_add(b, (struct slice){ out, sizeof out - room });
	iconv(way, NULL, NULL, NULL, NULL);
}

/* All bytes of both encodings as the C library (an outside source) has them. */
static void encodings_by_iconv(void)
{
	iconv_t latin1 = iconv_open("UTF-8", "ISO-8859-1"), cp1252 = iconv_open("UTF-8", "CP1252");
	struct buf want = BUF_INIT, got = BUF_INIT;

	CHECK(latin1 != (iconv_t)-1 && cp1252 != (iconv_t)-1);
	for (int c = 0; c < 256; c++) {
		char byte = (char)c;

		CHECK_CASE(c);
		want.n = got.n = 0;
		by_iconv(latin1, (unsigned char)c, &want);
		by_iconv(cp1252, (unsigned char)c, &want);
		utf8_add_latin1(&got, OF(&byte, 1));
		utf8_add_cp1252(&got, OF(&byte, 1));
		CHECK_SLICE(buf_slice(&got), buf_slice(&want));
	}
	CHECK_CASE(-1);
	iconv_close(latin1);
	iconv_close(cp1252);
	buf_release(&want);
	buf_release(&got);
}

int main(void)
{
	every_sequence();
	every_character();
	bad_places();
	good_texts();
	every_place();
	columns();
	made_visible();
	always_visible();
	older_encodings();
	encodings_by_iconv();
	return check_end();
}
