/* token.c and line.c: where ids, items and values end, and what a quoted text says. */
#include "book/line.h"
#include "book/token.h"
#include "check.h"

static void ids_end(void)
{
	static const struct { const char *text; size_t plain, slashed; } list[] = {
		{ "L061", 4, 4 }, { "L061 x", 4, 4 }, { "store/r1", 5, 8 }, { "a/b/c", 1, 3 },
		{ "a/", 1, 1 }, { "/a", 0, 0 }, { "-a", 0, 0 }, { "a-b_c=1", 5, 5 }, { "", 0, 0 }, { "\xc4\x81", 0, 0 },
	};

	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		const char *p = list[i].text, *end = p + strlen(p);

		CHECK_CASE(i);
		CHECK_INT(token_id_end(p, end, false) - p, list[i].plain);
		CHECK_INT(token_id_end(p, end, true) - p, list[i].slashed);
	}
	CHECK_CASE(-1);
}

static void items_and_values_end(void)
{
	static const struct { const char *text; size_t item, value; } list[] = {
		{ "a,b c", 1, 3 }, { "a", 1, 1 }, { "\"x, y\",z\tw", 6, 8 }, { "\"a\\\"b c\" d", 8, 8 },
		{ "\"open, ended", 12, 12 }, { ",a", 0, 2 }, { " a", 0, 0 }, { "", 0, 0 }, { "a,,b", 1, 4 },
	};

	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		const char *p = list[i].text, *end = p + strlen(p);

		CHECK_CASE(i);
		CHECK_INT(token_item_end(p, end) - p, list[i].item);
		CHECK_INT(token_value_end(p, end) - p, list[i].value);
	}
	CHECK_CASE(-1);
}

static void bare_bytes(void)
{
	static const char bare[] = "aZ09-_./:+%@\x80\xff", quoted[] = " \t,=\"#\\'\x7f";

	for (size_t i = 0; i + 1 < sizeof bare; i++)
		CHECK(token_is_bare(bare[i]));
	for (size_t i = 0; i + 1 < sizeof quoted; i++)
		CHECK(!token_is_bare(quoted[i]));
}

static void texts(void)
{
	static const struct { const char *written, *said; } list[] = {
		{ "dry", "dry" }, { "\"re-lined, dry\"", "re-lined, dry" }, { "\"a \\\"b\\\" \\\\c\"", "a \"b\" \\c" },
		{ "\"\"", "" }, { "", "" },
	};
	struct buf out = BUF_INIT;

	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		CHECK_CASE(i);
		out.n = 0;
		item_text(&out, slice_of(list[i].written));
		CHECK_TEXT(buf_slice(&out), list[i].said);
	}
	CHECK_CASE(-1);
	buf_release(&out);
}

int main(void)
{
	ids_end();
	items_and_values_end();
	bare_bytes();
	texts();
	return check_end();
}
