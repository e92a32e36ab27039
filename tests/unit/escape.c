/* escape.c: text in JSON, TSV, CSV, HTML and Markdown. */
#include <stdlib.h>

#include "base/escape.h"
#include "check.h"

typedef void quoter(struct buf *b, struct slice s);

struct quote_case {
	struct slice s;
	const char *want;
};

static void all(quoter *quote, const struct quote_case *list, size_t n)
{
	struct buf b = BUF_INIT;

	for (size_t i = 0; i < n; i++) {
		CHECK_CASE(i);
		b.n = 0;
		quote(&b, list[i].s);
		CHECK_TEXT(buf_slice(&b), list[i].want);
	}
	CHECK_CASE(-1);
	buf_release(&b);
}

#define LENGTH(list) (sizeof(list) / sizeof *(list))

static void json(void)
{
	static const struct quote_case list[] = {
		{ { "", 0 }, "\"\"" },
		{ { NULL, 0 }, "\"\"" },
		{ { "L061", 4 }, "\"L061\"" },
		{ { "a\"b\\c/", 6 }, "\"a\\\"b\\\\c/\"" },
		{ { "\b\f\n\r\t", 5 }, "\"\\b\\f\\n\\r\\t\"" },
		{ { "\0\x01\x1f\x7f", 4 }, "\"\\u0000\\u0001\\u001f\\u007f\"" },
		{ { "\xc2\x9b\xe2\x80\xae\xe2\x80\xa8", 8 }, "\"\\u009b\\u202e\\u2028\"" },
		{ { "T\xc5\xab\xc4\xab \xf0\x9f\x8f\x8f", 10 }, "\"T\xc5\xab\xc4\xab \xf0\x9f\x8f\x8f\"" },
		{ { "a\xff\xc5", 3 }, "\"a\xef\xbf\xbd\xef\xbf\xbd\"" },
	};

	all(buf_json, list, LENGTH(list));
}

static void tsv(void)
{
	static const struct quote_case list[] = {
		{ { "", 0 }, "" },
		{ { NULL, 0 }, "" },
		{ { "a b", 3 }, "a b" },
		{ { "a\tb\nc\rd\\e", 9 }, "a\\tb\\nc\\rd\\\\e" },
		{ { "\\t", 2 }, "\\\\t" },                /* is not a tab when read back */
		{ { "\\", 1 }, "\\\\" },
		{ { "\x1b[0m\0\xff", 6 }, "\\x1b[0m\\x00\\xff" },
		{ { "\\\xc5\xab\\", 4 }, "\\\\\xc5\xab\\\\" },
	};

	all(buf_tsv, list, LENGTH(list));
}

static void csv(void)
{
	static const struct quote_case list[] = {
		{ { "", 0 }, "" },
		{ { "a b", 3 }, "a b" },
		{ { "a,b", 3 }, "\"a,b\"" },
		{ { "a\"b", 3 }, "\"a\"\"b\"" },
		{ { "\"", 1 }, "\"\"\"\"" },
		{ { "a\nb", 3 }, "\"a\nb\"" },
		{ { "a\r\nb", 4 }, "\"a\r\nb\"" },
		{ { "a\tb", 3 }, "a\\tb" },
		{ { "\x1b[0m\xff", 5 }, "\\x1b[0m\\xff" },
		{ { "=1+2", 4 }, "'=1+2" },
		{ { "=1,2", 4 }, "\"'=1,2\"" },
		{ { "+1", 2 }, "'+1" },
		{ { "-", 1 }, "'-" },
		{ { "-1", 2 }, "'-1" },                   /* a text that looks so; numbers never come here */
		{ { "@SUM(A1)", 8 }, "'@SUM(A1)" },
		{ { "\t=1", 3 }, "'\\t=1" },
		{ { "\r=1", 3 }, "\"'\r=1\"" },
		{ { "\n=1", 3 }, "\"'\n=1\"" },
		{ { "\xef\xbc\x9d" "1", 4 }, "'\xef\xbc\x9d" "1" },
		{ { "\xef\xbc\xa0x", 4 }, "'\xef\xbc\xa0x" },
		{ { "a=1", 3 }, "a=1" },
		{ { "30%+", 4 }, "30%+" },
		{ { "'=1", 3 }, "'=1" },
	};

	all(buf_csv, list, LENGTH(list));
}

static void html(void)
{
	static const struct quote_case list[] = {
		{ { "", 0 }, "" },
		{ { "a < b & c > \"d\" 'e'", 19 }, "a &lt; b &amp; c &gt; &quot;d&quot; &#39;e&#39;" },
		{ { "<script>", 8 }, "&lt;script&gt;" },
		{ { "&amp;", 5 }, "&amp;amp;" },
		{ { "\x1b\0\xff", 3 }, "\\x1b\\x00\\xff" },
		{ { "T\xc5\xab\xc4\xab", 5 }, "T\xc5\xab\xc4\xab" },
	};

	all(buf_html, list, LENGTH(list));
}

static void md(void)
{
	static const struct quote_case list[] = {
		{ { "", 0 }, "" },
		{ { "a|b", 3 }, "a\\|b" },
		{ { "a\\|b", 4 }, "a\\\\\\|b" },
		{ { "*a* _b_ `c` [d](e) ~f~ $g$", 26 }, "\\*a\\* \\_b\\_ \\`c\\` \\[d\\](e) \\~f\\~ \\$g\\$" },
		{ { "<b>&amp;", 8 }, "&lt;b>&amp;amp;" },
		{ { "a\nb", 3 }, "a\\nb" },
	};
	static const struct quote_case names[] = {
		{ { "mc_mean_pct", 11 }, "mc_mean_pct" },
		{ { "a|b", 3 }, "a\\|b" },
	};

	all(buf_md, list, LENGTH(list));
	all(buf_md_name, names, LENGTH(names));
}

/* What TSV's escapes say, read back by their definition. */
static void read_back(struct slice s, struct buf *b)
{
	while (s.n) {
		if (s.p[0] != '\\') {
			buf_char(b, s.p[0]);
			s = slice_from(s, 1);
			continue;
		}
		switch (s.p[1]) {
		case '\\': buf_char(b, '\\'); break;
		case 't': buf_char(b, '\t'); break;
		case 'n': buf_char(b, '\n'); break;
		case 'r': buf_char(b, '\r'); break;
		case 'x': buf_char(b, (char)strtol((char[3]){ s.p[2], s.p[3], 0 }, NULL, 16)); break;
		default: utf8_add(b, (uint32_t)strtol((char[5]){ s.p[2], s.p[3], s.p[4], s.p[5], 0 }, NULL, 16)); break;
		}
		s = slice_from(s, s.p[1] == 'x' ? 4 : s.p[1] == 'u' ? 6 : 2);
	}
}

static void tsv_reads_back(void)
{
	static const char *const pieces[] = {
		"\\", "t", "n", "x41", "u202e", "\t", "\n", "\r", "\x1b", "\xff", "\xc5", "\xab", "\xc2\x9b", "\xe2\x80\xae", "a", " ",
	};
	struct buf raw = BUF_INIT, quoted = BUF_INIT, back = BUF_INIT;
	uint32_t state = 3;

	for (int round = 0; round < 5000; round++) {
		raw.n = quoted.n = back.n = 0;
		for (int i = 0; i < 12; i++) {
			state = state * 1664525u + 1013904223u;
			buf_str(&raw, pieces[state >> 28]);
		}
		buf_tsv(&quoted, buf_slice(&raw));
		read_back(buf_slice(&quoted), &back);
		CHECK_CASE(round);
		CHECK_SLICE(buf_slice(&back), buf_slice(&raw));
	}
	CHECK_CASE(-1);
	buf_release(&raw);
	buf_release(&quoted);
	buf_release(&back);
}

int main(void)
{
	json();
	tsv();
	csv();
	html();
	md();
	tsv_reads_back();
	return check_end();
}
