/* table.c: every form byte for byte, rows in pieces, several tables, widths, allocations. */
#include <math.h>
#include <stdlib.h>

#include "table/table.h"
#include "check.h"

static const struct table_column columns[] = {
	{ "lot", TABLE_TEXT, 0, NULL },
	{ "as_of", TABLE_DATE, 0, NULL },
	{ "count", TABLE_INT, 0, NULL },
	{ "mc_mean_pct", TABLE_REAL, 1, NULL },
	{ "price_nzd", TABLE_FIXED, 1, NULL },
	{ "supplier", TABLE_TEXT, 0, NULL },
};

enum { COLUMNS = sizeof columns / sizeof *columns };

static void put_row(struct table *t, const char *lot, int64_t count, double mc_pct, int64_t price, const char *supplier)
{
	table_cstr(t, lot);
	table_date(t, SLICE("2026-12-31"));
	table_int(t, count);
	table_real(t, mc_pct);
	table_fixed(t, price, 2);
	table_cstr(t, supplier);
}

static void fill(struct table *t)
{
	table_init(t, columns, COLUMNS);
	put_row(t, "L061", 34, 9.3125, 12345, "T\xc5\xab\xc4\xab Cartage");
	put_row(t, "=1+2", -5, -0.04, -5, "a|b, \"<c>\"\t\x1b[31m");
	put_row(t, "", 0, NAN, INT64_MIN, NULL);
	table_cstr(t, "\xe6\x9c\xa8");
	table_rest_absent(t);
}

static struct slice written(const struct table *t, enum table_form form, bool no_header, struct buf *b)
{
	b->n = 0;
	table_write(t, (struct table_style){ .form = form, .no_header = no_header }, b);
	return buf_slice(b);
}

static const char as_text[] =
	"lot   as_of       count  mc_mean_pct             price_nzd  supplier\n"
	"L061  2026-12-31     34          9.3                 123.4  T\xc5\xab\xc4\xab Cartage\n"
	"=1+2  2026-12-31     -5          0.0                   0.0  a|b, \"<c>\"\\t\\x1b[31m\n"
	"      2026-12-31      0            -  -92233720368547758.1  -\n"
	"\xe6\x9c\xa8    -               -            -                     -  -\n";

static const char as_tsv[] =
	"lot\tas_of\tcount\tmc_mean_pct\tprice_nzd\tsupplier\n"
	"L061\t2026-12-31\t34\t9.3125\t123.45\tT\xc5\xab\xc4\xab Cartage\n"
	"=1+2\t2026-12-31\t-5\t-0.04\t-0.05\ta|b, \"<c>\"\\t\\x1b[31m\n"
	"\t2026-12-31\t0\t\t-92233720368547758.08\t\n"
	"\xe6\x9c\xa8\t\t\t\t\t\n";

static const char as_csv[] =
	"lot,as_of,count,mc_mean_pct,price_nzd,supplier\r\n"
	"L061,2026-12-31,34,9.3125,123.45,T\xc5\xab\xc4\xab Cartage\r\n"
	"'=1+2,2026-12-31,-5,-0.04,-0.05,\"a|b, \"\"<c>\"\"\\t\\x1b[31m\"\r\n"
	",2026-12-31,0,,-92233720368547758.08,\r\n"
	"\xe6\x9c\xa8,,,,,\r\n";

static const char as_json[] =
	"[\n"
	"{\"lot\":\"L061\",\"as_of\":\"2026-12-31\",\"count\":34,\"mc_mean_pct\":9.3125,\"price_nzd\":123.45,"
	"\"supplier\":\"T\xc5\xab\xc4\xab Cartage\"},\n"
	"{\"lot\":\"=1+2\",\"as_of\":\"2026-12-31\",\"count\":-5,\"mc_mean_pct\":-0.04,\"price_nzd\":-0.05,"
	"\"supplier\":\"a|b, \\\"<c>\\\"\\t\\u001b[31m\"},\n"
	"{\"lot\":\"\",\"as_of\":\"2026-12-31\",\"count\":0,\"mc_mean_pct\":null,\"price_nzd\":-92233720368547758.08,"
	"\"supplier\":null},\n"
	"{\"lot\":\"\xe6\x9c\xa8\",\"as_of\":null,\"count\":null,\"mc_mean_pct\":null,\"price_nzd\":null,\"supplier\":null}\n"
	"]\n";

static const char as_md[] =
	"| lot | as_of | count | mc_mean_pct | price_nzd | supplier |\n"
	"|---|---|---:|---:|---:|---|\n"
	"| L061 | 2026-12-31 | 34 | 9.3 | 123.4 | T\xc5\xab\xc4\xab Cartage |\n"
	"| =1+2 | 2026-12-31 | -5 | 0.0 | 0.0 | a\\|b, \"&lt;c>\"\\t\\x1b\\[31m |\n"
	"|  | 2026-12-31 | 0 |  | -92233720368547758.1 |  |\n"
	"| \xe6\x9c\xa8 |  |  |  |  |  |\n";

#define TH "<th scope=\"col\">"
#define TH_NUM "<th scope=\"col\" class=\"num\">"
#define NUM "<td class=\"num\">"

static const char as_html[] =
	"<table>\n<thead>\n"
	"<tr>" TH "lot</th>" TH "as_of</th>" TH_NUM "count</th>" TH_NUM "mc_mean_pct</th>" TH_NUM "price_nzd</th>"
	TH "supplier</th></tr>\n"
	"</thead>\n<tbody>\n"
	"<tr><td>L061</td><td>2026-12-31</td>" NUM "34</td>" NUM "9.3</td>" NUM "123.4</td><td>T\xc5\xab\xc4\xab Cartage</td></tr>\n"
	"<tr><td>=1+2</td><td>2026-12-31</td>" NUM "-5</td>" NUM "0.0</td>" NUM "0.0</td>"
	"<td>a|b, &quot;&lt;c&gt;&quot;\\t\\x1b[31m</td></tr>\n"
	"<tr><td></td><td>2026-12-31</td>" NUM "0</td>" NUM "</td>" NUM "-92233720368547758.1</td><td></td></tr>\n"
	"<tr><td>\xe6\x9c\xa8</td><td></td>" NUM "</td>" NUM "</td>" NUM "</td><td></td></tr>\n"
	"</tbody>\n</table>\n";

static const char *const whole[] = { as_text, as_tsv, as_csv, as_json, as_md, as_html };

enum { FORMS = sizeof whole / sizeof *whole };

static void every_form(void)
{
	struct table t;
	struct buf b = BUF_INIT;

	fill(&t);
	CHECK_INT(table_rows(&t), 4);
	for (int form = 0; form < FORMS; form++) {
		CHECK_CASE(form);
		CHECK(table_form_words[form] != NULL);
		CHECK_TEXT(written(&t, (enum table_form)form, false, &b), whole[form]);
		CHECK_TEXT(written(&t, (enum table_form)form, false, &b), whole[form]); /* writing changes nothing */
	}
	CHECK_CASE(-1);
	CHECK(table_form_words[FORMS] == NULL);
	buf_release(&b);
	table_release(&t);
}

/* Without a header the widths are those of the rows; json and md, which need names, keep them. */
static void headless(void)
{
	struct table t;
	struct buf b = BUF_INIT;

	table_init(&t, (const struct table_column[]){ { "quantity", TABLE_TEXT, 0, NULL }, { "value", TABLE_REAL, 2, NULL } }, 2);
	table_cstr(&t, "emc");
	table_real(&t, 10.1013);
	CHECK_TEXT(written(&t, TABLE_AS_TEXT, true, &b), "emc  10.10\n");
	CHECK_TEXT(written(&t, TABLE_AS_TSV, true, &b), "emc\t10.1013\n");
	CHECK_TEXT(written(&t, TABLE_AS_CSV, true, &b), "emc,10.1013\r\n");
	CHECK_TEXT(written(&t, TABLE_AS_JSON, true, &b), "[\n{\"quantity\":\"emc\",\"value\":10.1013}\n]\n");
	CHECK_TEXT(written(&t, TABLE_AS_MD, true, &b), "| quantity | value |\n|---|---:|\n| emc | 10.10 |\n");
	CHECK_TEXT(written(&t, TABLE_AS_HTML, true, &b),
		"<table>\n<tbody>\n<tr><td>emc</td>" NUM "10.10</td></tr>\n</tbody>\n</table>\n");
	buf_release(&b);
	table_release(&t);
}

static void no_rows(void)
{
	struct table t;
	struct buf b = BUF_INIT;

	table_init(&t, (const struct table_column[]){ { "lot", TABLE_TEXT, 0, NULL }, { "count", TABLE_INT, 0, NULL } }, 2);
	CHECK_TEXT(written(&t, TABLE_AS_TEXT, false, &b), "lot  count\n");
	CHECK_TEXT(written(&t, TABLE_AS_TEXT, true, &b), "");
	CHECK_TEXT(written(&t, TABLE_AS_TSV, false, &b), "lot\tcount\n");
	CHECK_TEXT(written(&t, TABLE_AS_CSV, false, &b), "lot,count\r\n");
	CHECK_TEXT(written(&t, TABLE_AS_JSON, false, &b), "[\n]\n");
	CHECK_TEXT(written(&t, TABLE_AS_MD, false, &b), "| lot | count |\n|---|---:|\n");
	buf_release(&b);
	table_release(&t);
}

/* One column: an empty line would be no record of CSV. */
static void one_column(void)
{
	struct table t;
	struct buf b = BUF_INIT;

	table_init(&t, (const struct table_column[]){ { "remark", TABLE_TEXT, 0, NULL } }, 1);
	table_absent(&t);
	table_cstr(&t, "");
	table_cstr(&t, "x");
	CHECK_TEXT(written(&t, TABLE_AS_CSV, false, &b), "remark\r\n\"\"\r\n\"\"\r\nx\r\n");
	CHECK_TEXT(written(&t, TABLE_AS_TSV, false, &b), "remark\n\n\nx\n");
	CHECK_TEXT(written(&t, TABLE_AS_TEXT, false, &b), "remark\n-\n\nx\n");
	buf_release(&b);
	table_release(&t);
}

/* Cells stand under each other whatever their letters are made of; no line ends in a blank. */
static void widths(void)
{
	static const char *const names[] = { "Kerr", "\xe6\x9c\xa8\xe6\x9d\x91", "e\xcc\x81", "\xf0\x9f\x87\xb3\xf0\x9f\x87\xbf", "\x1b" };
	struct table t;
	struct buf b = BUF_INIT;

	table_init(&t, (const struct table_column[]){ { "by", TABLE_TEXT, 0, NULL }, { "n", TABLE_INT, 0, NULL }, { "x", TABLE_TEXT, 0, NULL } }, 3);
	for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
		table_cstr(&t, names[i]);
		table_int(&t, (int64_t)i * 7);
		table_cstr(&t, i % 2 ? "" : "y");
	}
	CHECK_TEXT(written(&t, TABLE_AS_TEXT, false, &b),
		"by     n  x\n"
		"Kerr   0  y\n"
		"\xe6\x9c\xa8\xe6\x9d\x91   7\n"
		"e\xcc\x81     14  y\n"
		"\xf0\x9f\x87\xb3\xf0\x9f\x87\xbf    21\n"
		"\\x1b  28  y\n");
	buf_release(&b);
	table_release(&t);
}

/* What is too wide for the terminal stands in parts, each with the words that tell its rows apart. */
static void parts(void)
{
	static const struct { unsigned width; const char *want; } cases[] = {
		{ 0, "at    lot  n_pieces  mean_pct  why\nyard  L1         12      10.5  a long word of the reason\n" },
		{ 61, "at    lot  n_pieces  mean_pct  why\nyard  L1         12      10.5  a long word of the reason\n" },
		{ 40, "at    lot  n_pieces  mean_pct\nyard  L1         12      10.5\n\n"
			"at    lot  why\nyard  L1   a long word of the reason\n" },
		{ 36, "at    lot  n_pieces  mean_pct\nyard  L1         12      10.5\n\n"
			"at    lot  why\nyard  L1   a long word of the reason\n" },
		/* the reason is wrapped in a part of its own */
		{ 30, "at    lot  n_pieces  mean_pct\nyard  L1         12      10.5\n\n"
			"at    lot  why\nyard  L1   a long word of the\n           reason\n" },
		{ 20, "at    lot  n_pieces\nyard  L1         12\n\n"
			"at    mean_pct\nyard      10.5\n\nat    why\nyard  a long word of\n      the reason\n" },
		/* and is not where there is no space to wrap it in */
		{ 1, "at\nyard\n\nlot\nL1\n\nn_pieces\n      12\n\nmean_pct\n    10.5\n\nwhy\na long word of the reason\n" },
	};
	struct table t;
	struct buf b = BUF_INIT;

	table_init(&t, (const struct table_column[]){ { "at", TABLE_TEXT, 0, NULL }, { "lot", TABLE_TEXT, 0, NULL }, { "n_pieces", TABLE_INT, 0, NULL },
		{ "mean_pct", TABLE_REAL, 1, NULL }, { "why", TABLE_TEXT, 0, NULL } }, 5);
	table_cstr(&t, "yard");
	table_cstr(&t, "L1");
	table_int(&t, 12);
	table_real(&t, 10.5);
	table_cstr(&t, "a long word of the reason");
	for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
		CHECK_CASE(i);
		b.n = 0;
		table_write(&t, (struct table_style){ .form = TABLE_AS_TEXT, .width = cases[i].width }, &b);
		CHECK_TEXT(buf_slice(&b), cases[i].want);
	}
	b.n = 0;
	table_write(&t, (struct table_style){ .form = TABLE_AS_TSV, .width = 20 }, &b);
	CHECK_TEXT(buf_slice(&b), "at\tlot\tn_pieces\tmean_pct\twhy\nyard\tL1\t12\t10.5\ta long word of the reason\n");
	buf_release(&b);
	table_release(&t);
}

/* For reading: the finding, the columns with a heading under it, in lines where space is short. */
static void for_reading(void)
{
	const struct { struct table_style style; const char *want; } cases[] = {
		{ { .form = TABLE_AS_TEXT }, "All is well. Two pieces are not.\n\nlot  moisture content, %  reason\n"
			"L1                  10.5  it was read too early\n" },
		{ { .form = TABLE_AS_TEXT, .width = 36 }, "All is well. Two pieces are not.\n\n       moisture\nlot  content, %  reason\n"
			"L1         10.5  it was read too\n                 early\n" },
		{ { .form = TABLE_AS_TEXT, .all_columns = true }, "All is well. Two pieces are not.\n\n"
			"lot  n_pieces  moisture content, %  reason\nL1         12                 10.5  it was read too early\n" },
		{ { .form = TABLE_AS_TSV }, "lot\tn_pieces\tmc_pct\treason\nL1\t12\t10.5\tit was read too early\n" },
		{ { .form = TABLE_AS_TSV, .columns = (const char *const[]){ "reason", "lot" }, .n_columns = 2 },
			"reason\tlot\nit was read too early\tL1\n" },
		{ { .form = TABLE_AS_JSON, .columns = (const char *const[]){ "n_pieces" }, .n_columns = 1 }, "[\n{\"n_pieces\":12}\n]\n" },
		{ { .form = TABLE_AS_TEXT, .columns = (const char *const[]){ "n_pieces", "lot" }, .n_columns = 2 },
			"All is well. Two pieces are not.\n\nn_pieces  lot\n      12  L1\n" },
		{ { .form = TABLE_AS_MD, .no_header = false }, "All is well. Two pieces are not.\n\n"
			"| lot | moisture content, % | reason |\n|---|---:|---|\n| L1 | 10.5 | it was read too early |\n" },
		{ { .form = TABLE_AS_HTML, .columns = (const char *const[]){ "lot" }, .n_columns = 1 },
			"<p class=\"finding\">All is well. Two pieces are not.</p>\n<table>\n<thead>\n<tr><th scope=\"col\">lot</th></tr>\n</thead>\n"
			"<tbody>\n<tr><td>L1</td></tr>\n</tbody>\n</table>\n" },
	};
	struct table t;
	struct buf b = BUF_INIT;

	table_init(&t, (const struct table_column[]){ { "lot", TABLE_TEXT, 0, "lot" }, { "n_pieces", TABLE_INT, 0, NULL },
		{ "mc_pct", TABLE_REAL, 1, "moisture content, %" }, { "reason", TABLE_TEXT, 0, "reason" } }, 4);
	table_finding(&t, SLICE("All is well."));
	table_finding(&t, SLICE("Two pieces are not."));
	table_cstr(&t, "L1");
	table_int(&t, 12);
	table_real(&t, 10.5);
	table_cstr(&t, "it was read too early");
	for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
		CHECK_CASE(i);
		b.n = 0;
		table_write(&t, cases[i].style, &b);
		CHECK_TEXT(buf_slice(&b), cases[i].want);
	}
	buf_release(&b);
	table_release(&t);
}

/* A text's own blanks at its end stay: they are content. */
static void own_blanks(void)
{
	struct table t;
	struct buf b = BUF_INIT;

	table_init(&t, (const struct table_column[]){ { "a", TABLE_TEXT, 0, NULL }, { "b", TABLE_TEXT, 0, NULL } }, 2);
	table_cstr(&t, "x ");
	table_cstr(&t, "y ");
	CHECK_TEXT(written(&t, TABLE_AS_TEXT, true, &b), "x   y \n");
	buf_release(&b);
	table_release(&t);
}

static void shown_places(void)
{
	struct table t;
	struct buf b = BUF_INIT;

	table_init(&t, (const struct table_column[]){ { "value", TABLE_REAL, 1, NULL } }, 1);
	table_add_column(&t, "exact", TABLE_FIXED, TABLE_EXACT);
	table_real_shown(&t, 10.10134, 4);
	table_fixed(&t, 22140, 4);
	table_real(&t, 10.10134);
	table_fixed(&t, 1710, 0);
	table_real(&t, HUGE_VAL);
	table_fixed(&t, 5, 1);
	table_int(&t, 7); /* a whole number among reals */
	CHECK_TEXT(written(&t, TABLE_AS_TEXT, false, &b),
		"  value   exact\n"
		"10.1013  2.2140\n"
		"   10.1    1710\n"
		"      -     0.5\n"
		"      7       -\n");
	CHECK_TEXT(written(&t, TABLE_AS_JSON, false, &b),
		"[\n{\"value\":10.10134,\"exact\":2.2140},\n{\"value\":10.10134,\"exact\":1710},\n"
		"{\"value\":null,\"exact\":0.5},\n{\"value\":7,\"exact\":null}\n]\n");
	buf_release(&b);
	table_release(&t);
}

/* Rows written in pieces give the bytes of the whole, wherever the pieces are cut. */
static void in_pieces(void)
{
	struct buf b = BUF_INIT;

	for (int form = 0; form < FORMS; form++) {
		for (size_t cut = 0; cut <= 4; cut++) {
			struct table t;
			struct table_style style = { .form = (enum table_form)form };

			CHECK_CASE(form * 10 + (int)cut);
			fill(&t);
			b.n = 0;
			t.n_cells = cut * COLUMNS;
			table_begin(&t, style, &b);
			table_flush(&t, style, &b);
			for (size_t row = cut; row < 4; row++) {
				if (row == 0)
					put_row(&t, "L061", 34, 9.3125, 12345, "T\xc5\xab\xc4\xab Cartage");
				if (row == 1)
					put_row(&t, "=1+2", -5, -0.04, -5, "a|b, \"<c>\"\t\x1b[31m");
				if (row == 2)
					put_row(&t, "", 0, NAN, INT64_MIN, NULL);
				if (row == 3)
					table_cstr(&t, "\xe6\x9c\xa8");
				if (row % 2)
					table_flush(&t, style, &b);
			}
			table_flush(&t, style, &b);
			table_end(&t, style, &b);
			CHECK_TEXT(buf_slice(&b), whole[form]);
			CHECK_INT(table_rows(&t), 0);
			table_release(&t);
		}
	}
	CHECK_CASE(-1);
	buf_release(&b);
}

static const char two_text[] =
	"Stock\nlot   count\nL061     34\n\nCounted on the last day.\n\nOrders\norder  count\nO-311      4\n";
static const char two_tsv[] = "# Stock\nlot\tcount\nL061\t34\n\n# Orders\norder\tcount\nO-311\t4\n";
static const char two_csv[] = "# Stock\r\nlot,count\r\nL061,34\r\n\r\n# Orders\r\norder,count\r\nO-311,4\r\n";
static const char two_json[] = "{\n\"stock\":[\n{\"lot\":\"L061\",\"count\":34}\n],\n\"orders\":[\n{\"order\":\"O-311\",\"count\":4}\n]\n}\n";
static const char two_md[] =
	"## Stock\n\n| lot | count |\n|---|---:|\n| L061 | 34 |\n\nCounted on the last day.\n\n"
	"## Orders\n\n| order | count |\n|---|---:|\n| O-311 | 4 |\n";
static const char two_html[] =
	"<table>\n<caption>Stock</caption>\n<thead>\n<tr>" TH "lot</th>" TH_NUM "count</th></tr>\n</thead>\n<tbody>\n"
	"<tr><td>L061</td>" NUM "34</td></tr>\n</tbody>\n</table>\n<p class=\"note\">Counted on the last day.</p>\n"
	"<table>\n<caption>Orders</caption>\n<thead>\n<tr>" TH "order</th>" TH_NUM "count</th></tr>\n</thead>\n<tbody>\n"
	"<tr><td>O-311</td>" NUM "4</td></tr>\n</tbody>\n</table>\n";

/* Cells of few kinds, so that many are what stands above them, or nearly. */
static void put_cell(struct table *t, unsigned what)
{
	static const char *const texts[] = { "", "a", "=a", "a,\"b\"", "words of more than two and thirty bytes" };
	static const double reals[] = { 0.5, 0.25, 0, -0.0, 1.0 / 3, NAN };

	switch (what % 4) {
	case 0:
		table_cstr(t, texts[what / 4 % 5]);
		break;
	case 1:
		table_real(t, reals[what / 4 % 6]);
		break;
	case 2:
		table_int(t, what / 4 % 2);
		break;
	default:
		table_fixed(t, 5, what / 4 % 2);
	}
}

/* What is copied from the row above is what would have been written: rows together are the rows alone. */
static void said_again(void)
{
	static const enum table_form forms[] = { TABLE_AS_TSV, TABLE_AS_CSV };
	struct buf together = BUF_INIT, alone = BUF_INIT;

	for (int f = 0; f < 2; f++) {
		struct table_style style = { .form = forms[f] };
		struct table all, one;
		unsigned state = 7;

		together.n = alone.n = 0;
		table_init(&all, columns, COLUMNS);
		table_init(&one, columns, COLUMNS);
		table_begin(&one, style, &alone);
		for (int row = 0; row < 2000; row++) {
			for (int i = 0; i < COLUMNS; i++) {
				state = state * 1103515245u + 12345u;
				put_cell(&all, state >> 16 & 31);
				put_cell(&one, state >> 16 & 31);
			}
			table_flush(&one, style, &alone);
		}
		table_end(&one, style, &alone);
		table_write(&all, style, &together);
		CHECK(together.n > 20000 && slice_eq(buf_slice(&together), buf_slice(&alone)));
		table_release(&all);
		table_release(&one);
	}
	buf_release(&together);
	buf_release(&alone);
}

static void several(void)
{
	static const char *const want[] = { two_text, two_tsv, two_csv, two_json, two_md, two_html };
	struct table stock, orders;
	const struct table *both[] = { &stock, &orders };
	struct buf b = BUF_INIT;

	table_init(&stock, (const struct table_column[]){ { "lot", TABLE_TEXT, 0, NULL }, { "count", TABLE_INT, 0, NULL } }, 2);
	table_title(&stock, SLICE("Stock"), "stock");
	table_note(&stock, SLICE("Counted on the last day."));
	table_cstr(&stock, "L061");
	table_int(&stock, 34);
	table_init(&orders, (const struct table_column[]){ { "order", TABLE_TEXT, 0, NULL }, { "count", TABLE_INT, 0, NULL } }, 2);
	table_title(&orders, SLICE("Orders"), "orders");
	table_cstr(&orders, "O-311");
	table_int(&orders, 4);
	for (int form = 0; form < FORMS; form++) {
		CHECK_CASE(form);
		b.n = 0;
		tables_write(both, 2, (struct table_style){ .form = (enum table_form)form, .no_header = false }, &b);
		CHECK_TEXT(buf_slice(&b), want[form]);
		b.n = 0;
		tables_write(both, 0, (struct table_style){ .form = (enum table_form)form, .no_header = false }, &b);
		CHECK_TEXT(buf_slice(&b), form == TABLE_AS_JSON ? "{\n}\n" : "");
	}
	CHECK_CASE(-1);
	CHECK_TEXT(written(&stock, TABLE_AS_TSV, false, &b), "lot\tcount\nL061\t34\n"); /* alone: rows and nothing else */
	CHECK_TEXT(written(&stock, TABLE_AS_JSON, false, &b), "[\n{\"lot\":\"L061\",\"count\":34}\n]\n");
	table_release(&stock);
	table_release(&orders);
	buf_release(&b);
}

/* Titles and notes cannot break out of their line, tag or comment. */
static void hostile_titles(void)
{
	struct table t;
	const struct table *one[] = { &t };
	struct buf b = BUF_INIT;

	table_init(&t, (const struct table_column[]){ { "a<b>\t\"", TABLE_TEXT, 0, NULL } }, 1);
	table_title(&t, SLICE("x\ny, \"<z>\" \x1b"), "k\"");
	table_note(&t, SLICE("one\ntwo <b>"));
	b.n = 0;
	tables_write(one, 1, (struct table_style){ .form = TABLE_AS_TSV, .no_header = false }, &b);
	CHECK_TEXT(buf_slice(&b), "# x\\ny, \"<z>\" \\x1b\na<b>\\t\"\n");
	b.n = 0;
	tables_write(one, 1, (struct table_style){ .form = TABLE_AS_CSV, .no_header = false }, &b);
	CHECK_TEXT(buf_slice(&b), "\"# x\\ny, \"\"<z>\"\" \\x1b\"\r\n\"a<b>\\t\"\"\"\r\n");
	b.n = 0;
	tables_write(one, 1, (struct table_style){ .form = TABLE_AS_JSON, .no_header = false }, &b);
	CHECK_TEXT(buf_slice(&b), "{\n\"k\\\"\":[\n]\n}\n");
	table_note(&t, SLICE("*three*"));
	CHECK_TEXT(written(&t, TABLE_AS_MD, false, &b),
		"## x\\ny, \"&lt;z>\" \\x1b\n\n| a&lt;b>\\t\" |\n|---|\n\none\\\\ntwo &lt;b>\n\n\\*three\\*\n");
	CHECK_TEXT(written(&t, TABLE_AS_TEXT, false, &b), "x\\ny, \"<z>\" \\x1b\na<b>\\t\"\n\none\\ntwo <b>\n*three*\n");
	CHECK_TEXT(written(&t, TABLE_AS_HTML, false, &b),
		"<table>\n<caption>x\\ny, &quot;&lt;z&gt;&quot; \\x1b</caption>\n<thead>\n"
		"<tr>" TH "a&lt;b&gt;\\t&quot;</th></tr>\n</thead>\n<tbody>\n</tbody>\n</table>\n"
		"<p class=\"note\">one\\ntwo &lt;b&gt;</p>\n<p class=\"note\">*three*</p>\n");
	table_release(&t);
	buf_release(&b);
}

/* Many cells take few moves of the arrays that hold them. */
static void few_allocations(void)
{
	struct table t;
	size_t moves = 0, cells_cap, texts_cap;

	table_init(&t, columns, COLUMNS);
	for (int i = 0; i < 50000; i++) {
		cells_cap = t.cells_cap;
		texts_cap = t.texts.cap;
		put_row(&t, "L061", i, i / 7.0, i, "brook");
		moves += cells_cap != t.cells_cap;
		moves += texts_cap != t.texts.cap;
	}
	CHECK_INT(table_rows(&t), 50000);
	CHECK(moves < 80);
	table_release(&t);
	CHECK(t.cells == NULL && t.columns == NULL);
}

int main(void)
{
	every_form();
	headless();
	no_rows();
	one_column();
	widths();
	parts();
	for_reading();
	own_blanks();
	shown_places();
	in_pieces();
	said_again();
	several();
	hostile_titles();
	few_allocations();
	return check_end();
}
