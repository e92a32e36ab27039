/*
 * table.c: a table whose cells try to break out, in the form given as the argument; `cells` gives
 * what was put in (a line a row: the text in hexadecimal, the number's bits), and `reals` doubles
 * with what is written for them. tests/oracles/table.js reads them with programs that know nothing of ours.
 */
#include <math.h>
#include <stdio.h>

#include "table/number_text.h"
#include "table/table.h"

enum { ROWS = 4000, REALS = 100000 };

static uint64_t next(uint64_t *state)
{
	*state ^= *state << 13;
	*state ^= *state >> 7;
	*state ^= *state << 17;
	return *state;
}

/* A number with any exponent, or one such as measurements give. */
static double a_real(uint64_t *state)
{
	uint64_t bits = next(state);
	double v;

	if (bits >> 63)
		return (double)(int64_t)(next(state) % 2000000) / (double)(1 + next(state) % 1000);
	bits = next(state);
	memcpy(&v, &bits, sizeof v);
	return isfinite(v) ? v : 0.5;
}

/* A text of valid UTF-8 of what means something to one form or another. */
static void a_text(struct buf *b, uint64_t *state)
{
	static const char *const pieces[] = {
		"=", "+", "-", "@", ",", "\"", "'", "|", "\\", "*", "_", "[", "]", "<", ">", "&", "~", "$", "#", "`", "!", "(", ")",
		"{", "}", ":", ";", "%", "/", "a", "bc", "1", "2", " ", ".", "\n", "\r", "\r\n", "\t", "\x1b[31m", "\x7f",
		"\xc2\x9b", "\xe2\x80\xae", "\xe2\x80\xa8", "\xef\xbb\xbf", "\xc5\xab", "\xe6\x9c\xa8", "\xf0\x9f\x8f\x8f",
		"\xef\xbc\x9d", "<!--", "-->", "</td>", "<b>", "&amp;", "&#65;", "](x)", "http://example.org", "**", "``",
	};
	size_t n = next(state) % 8;

	b->n = 0;
	while (n--)
		buf_str(b, pieces[next(state) % (sizeof pieces / sizeof *pieces)]);
}

static void tell_cell(struct slice text, double v)
{
	uint64_t bits;

	memcpy(&bits, &v, sizeof bits);
	for (size_t i = 0; i < text.n; i++)
		printf("%02x", (unsigned char)text.p[i]);
	printf("\t%016llx\n", (unsigned long long)bits);
}

static void fill(struct table *t, bool tell)
{
	static const struct table_column columns[] = {
		{ "some_text", TABLE_TEXT, 0, NULL }, { "value_pct", TABLE_REAL, TABLE_EXACT, NULL }, { "end", TABLE_INT, 0, NULL },
	};
	uint64_t state = 88172645463325252u;
	struct buf text = BUF_INIT;

	table_init(t, columns, 3);
	for (int64_t i = 0; i < ROWS; i++) {
		double v = a_real(&state);

		a_text(&text, &state);
		if (tell)
			tell_cell(buf_slice(&text), v);
		table_text(t, buf_slice(&text));
		table_real(t, v);
		table_int(t, i);
	}
	buf_release(&text);
}

static void reals(void)
{
	uint64_t state = 1234567, bits;
	struct buf b = BUF_INIT;

	for (int i = 0; i < REALS; i++) {
		double v = a_real(&state);

		b.n = 0;
		buf_real(&b, v);
		memcpy(&bits, &v, sizeof bits);
		printf("%016llx\t%s\n", (unsigned long long)bits, buf_cstr(&b));
	}
	buf_release(&b);
}

static int form_of(const char *word)
{
	for (int i = 0; table_form_words[i]; i++)
		if (strcmp(table_form_words[i], word) == 0)
			return i;
	return -1;
}

int main(int argc, char **argv)
{
	struct table t;
	struct buf b = BUF_INIT;
	int form = argc > 1 ? form_of(argv[1]) : -1;

	if (argc > 1 && strcmp(argv[1], "reals") == 0) {
		reals();
		return 0;
	}
	fill(&t, form < 0);
	if (form >= 0) {
		table_write(&t, (struct table_style){ .form = (enum table_form)form, .no_header = false }, &b);
		fwrite(b.p, 1, b.n, stdout);
	}
	buf_release(&b);
	table_release(&t);
	return 0;
}
