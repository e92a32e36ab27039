/*
 * json.c - what RFC 8259 says of a JSON text: its grammar (sections 2 to 7), its own examples (section
 * 13), and what is not in it.
 */
#include <stdio.h>

#include "base/json.h"
#include "check.h"

static void show(void *arg, const struct json_leaf *leaf)
{
	static const char kinds[] = "snTF0";
	struct buf *out = arg;

	buf_add(out, leaf->key);
	buf_printf(out, "%c@%zu=", kinds[leaf->kind], leaf->col);
	buf_add(out, leaf->text);
	buf_char(out, ';');
}

static void leaves(const char *text, const char *want)
{
	struct buf out = BUF_INIT;
	struct json_error error;

	if (!CHECK(json_read(slice_of(text), show, &out, &error)))
		printf("\t%s: column %zu: %s\n", text, error.col, error.text);
	CHECK_TEXT(buf_slice(&out), want);
	buf_release(&out);
}

static void refused(const char *text, size_t n, size_t col)
{
	struct buf out = BUF_INIT;
	struct json_error error;

	if (!CHECK(!json_read((struct slice){ text, n }, show, &out, &error) && error.text))
		printf("\t%s: it was read\n", text);
	CHECK_INT(error.col, col);
	buf_release(&out);
}

/* Section 13: both objects of the example array's kind, in one line each. */
static void examples(void)
{
	leaves("{\"Image\":{\"Width\":800,\"Animated\":false,\"IDs\":[116,943,234]}}",
		"Image.Widthn@19=800;Image.AnimatedF@34=false;Image.IDs.1n@47=116;Image.IDs.2n@51=943;Image.IDs.3n@55=234;");
	leaves(" {\t\"Latitude\" : -122.026020 , \"Zip\":\"94085\" , \"x\":null,\"y\":true} ",
		"Latituden@17=-122.026020;Zips@37=94085;x0@51=null;yT@60=true;");
}

static void grammar(void)
{
	leaves("{}", "");
	leaves("{\"a\":{},\"b\":[]}", "");
	leaves("{\"a\":0,\"b\":-0,\"c\":10.50,\"d\":1e5,\"e\":1E+2,\"f\":-0.0e-07}",
		"an@6=0;bn@12=-0;cn@19=10.50;dn@29=1e5;en@37=1E+2;fn@46=-0.0e-07;");
	/* section 7: escapes, and a pair of surrogates for G clef (U+1D11E) */
	leaves("{\"\\u0061\\/\":\"\\\"\\\\\\b\\f\\n\\r\\t\\u00e9\\uD834\\udd1e\"}", "a/s@13=\"\\\b\f\n\r\t\xc3\xa9\xf0\x9d\x84\x9e;");
	leaves("{\"a\":\"\\ud834x\"}", "as@6=\xef\xbf\xbdx;");
	leaves("{\"a\":[[1],[{\"b\":2}]]}", "a.1.1n@8=1;a.2.1.bn@17=2;");
}

static void mistakes(void)
{
	static const struct { const char *text; size_t col; } cases[] = {
		{ "", 1 }, { "[1]", 1 }, { "1", 1 }, { "\"a\"", 1 }, { "{", 2 }, { "{\"a\"}", 5 }, { "{\"a\":}", 6 }, { "{\"a\":1,}", 8 },
		{ "{\"a\":1 \"b\":2}", 8 }, { "{a:1}", 2 }, { "{'a':1}", 2 }, { "{\"a\":01}", 6 }, { "{\"a\":+1}", 6 }, { "{\"a\":.5}", 6 },
		{ "{\"a\":5.}", 6 }, { "{\"a\":1e}", 6 }, { "{\"a\":-}", 6 }, { "{\"a\":NaN}", 6 }, { "{\"a\":Infinity}", 6 }, { "{\"a\":True}", 6 },
		{ "{\"a\":\"b}", 6 }, { "{\"a\":\"\\x\"}", 7 }, { "{\"a\":\"\\u12g4\"}", 7 }, { "{\"a\":\"\t\"}", 7 }, { "{\"a\":[1,]}", 9 },
		{ "{\"a\":[1}", 8 }, { "{\"a\":1}}", 8 }, { "{\"a\":1} x", 9 }, { "{\"a\":1}{}", 8 }, { "{\"a\":\"\xff\"}", 7 }, { "{\"a\":1,\"b\":tru", 12 },
	};

	for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
		CHECK_CASE(i);
		refused(cases[i].text, strlen(cases[i].text), cases[i].col);
	}
	CHECK_CASE(-1);
	refused("{\"a\":\"\0\"}", 9, 7);
}

static void deep(void)
{
	struct buf text = BUF_INIT, out = BUF_INIT;
	struct json_error error;

	buf_str(&text, "{\"a\":");
	buf_fill(&text, '[', 1000000);
	CHECK(!json_read(buf_slice(&text), show, &out, &error) && error.col == 5 + JSON_DEPTH);
	buf_release(&text);
	buf_release(&out);
}

int main(void)
{
	examples();
	grammar();
	mistakes();
	deep();
	return check_end();
}
