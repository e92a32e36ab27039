#include "base/utf8.h"
#include "intake/mapping_internal.h"
#include "intake/workbook.h"

static bool separator(struct map_reader *r, const struct yaml *node)
{
	struct csv_style *style = &r->m->style;
	struct slice s;

	if (!node)
		return true;
	if (!map_scalar(r, node, "`separator`", &s))
		return false;
	if (slice_eq(s, SLICE("tab")))
		s = SLICE("\t");
	if (slice_eq(s, SLICE("blanks")))
		s = SLICE("");
	else if (!s.n || s.n > sizeof style->separator)
		return map_fail(r, node, "`separator` must be the character between cells, or `tab` or `blanks`");
	memcpy(style->separator, s.p, s.n);
	style->separator_n = s.n;
	return true;
}

/* A separator that is not ASCII is one byte in a file of one-byte characters. */
static void separator_bytes(struct csv_style *style)
{
	struct slice s = { style->separator, style->separator_n };
	uint32_t point = 0;

	if ((style->encoding == CSV_CP1252 || style->encoding == CSV_LATIN1) && s.n == 2 &&
	    utf8_decode(s, &point) == 2 && point >= 0xa0 && point <= 0xff) {
		style->separator[0] = (char)point;
		style->separator_n = 1;
	}
}

static bool quote(struct map_reader *r, const struct yaml *node)
{
	struct slice s;

	if (!node)
		return true;
	if (!map_scalar(r, node, "`quote`", &s))
		return false;
	if (slice_eq(s, SLICE("none")))
		s = SLICE("");
	if (s.n > 1)
		return map_fail(r, node, "`quote` must be one character, or `none`");
	r->m->style.quote = s.n ? s.p[0] : '\0';
	return true;
}

static bool decimal(struct map_reader *r, const struct yaml *node, const struct yaml *thousands)
{
	struct cell_style *numbers = &r->m->numbers;
	struct slice s;

	if (node) {
		if (!map_scalar(r, node, "`decimal-mark`", &s) || s.n != 1 || (s.p[0] != '.' && s.p[0] != ','))
			return map_fail(r, node, "`decimal-mark` must be \".\" or \",\"");
		numbers->decimal = s.p[0];
	}
	if (!thousands)
		return true;
	if (!map_scalar(r, thousands, "`thousands-mark`", &numbers->thousands))
		return false;
	if (numbers->thousands.n > 4 || slice_eq(numbers->thousands, (struct slice){ &numbers->decimal, 1 }))
		return map_fail(r, thousands, "`thousands-mark` must be the mark between groups of three digits, and not the decimal mark");
	return true;
}

static const char *const file_keys[] = {
	"separator", "quote", "encoding", "decimal-mark", "thousands-mark", "lines-before", "header-has",
	"header-rows", "missing", "trailer", "sheet", "first-cell", NULL
};

static bool file_lines(struct map_reader *r, const struct yaml *node)
{
	struct mapping *m = r->m;
	const struct yaml *skip = yaml_get(node, "lines-before"), *has = yaml_get(node, "header-has");
	const struct yaml *header = yaml_get(node, "header-rows");

	if (skip && has)
		return map_fail(r, has, "`lines-before` and `header-has` give the same thing twice; keep one");
	if (skip && !map_number(r, skip, "`lines-before`", 10000, &m->skip))
		return false;
	if (has && (!map_scalar(r, has, "`header-has`", &m->header_has) || !m->header_has.n))
		return map_fail(r, has, "`header-has` must be the text of a heading");
	if (header && !map_number(r, header, "`header-rows`", 20, &m->header))
		return false;
	if (has && !m->header)
		return map_fail(r, has, "`header-has` requires a header row");
	return map_texts(r, yaml_get(node, "missing"), "`missing`", &m->missing) &&
		map_texts(r, yaml_get(node, "trailer"), "`trailer`", &m->trailer);
}

/* Where the table is in a workbook. */
static bool file_sheet(struct map_reader *r, const struct yaml *sheet, const struct yaml *first)
{
	struct mapping *m = r->m;
	struct slice s;

	if (sheet && (!map_scalar(r, sheet, "`sheet`", &m->sheet) || !m->sheet.n))
		return map_fail(r, sheet, "`sheet` must be the name of a sheet of the workbook");
	if (!first)
		return true;
	return (map_scalar(r, first, "`first-cell`", &s) && workbook_cell_read(s, &m->first_row, &m->first_col)) ||
		map_fail(r, first, "`first-cell` must be the table's first cell at the top left, such as A1");
}

bool map_read_file(struct map_reader *r, const struct yaml *node)
{
	struct mapping *m = r->m;
	const struct yaml *encoding;

	if (!node)
		return true;
	if (!map_only_keys(r, node, "`file`", file_keys))
		return false;
	encoding = yaml_get(node, "encoding");
	if (encoding) {
		int which = map_word(r, encoding, "`encoding`", csv_encoding_words);

		if (which < 0)
			return false;
		m->style.encoding = (enum csv_encoding)which;
	}
	if (!separator(r, yaml_get(node, "separator")))
		return false;
	separator_bytes(&m->style);
	return quote(r, yaml_get(node, "quote")) &&
		decimal(r, yaml_get(node, "decimal-mark"), yaml_get(node, "thousands-mark")) && file_lines(r, node) &&
		file_sheet(r, yaml_get(node, "sheet"), yaml_get(node, "first-cell"));
}
