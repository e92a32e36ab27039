/*
 * csv.c - rows of exports: what RFC 4180 says of well-formed files (its section 2, rules 1 to 7,
 * each with its example), and that no line of a broken one is ever lost.
 */
#include <stdio.h>
#include <unistd.h>

#include "base/csv.h"

static int failures;

/* Writes the bytes to a temporary file and gives a descriptor at its start. */
static int file_of(struct slice bytes)
{
	FILE *f = tmpfile();
	int fd;

	fwrite(bytes.p, 1, bytes.n, f);
	fflush(f);
	fd = dup(fileno(f));
	fclose(f);
	lseek(fd, 0, SEEK_SET);
	return fd;
}

static void show(struct buf *out, struct slice s)
{
	for (size_t i = 0; i < s.n; i++)
		if (s.p[i] == '\n')
			buf_str(out, "\\n");
		else if (s.p[i] == '\0')
			buf_str(out, "\\0");
		else
			buf_char(out, s.p[i]);
}

/* Rows as `line:[cell][cell]`, one behind another. */
static void rows_of(struct slice bytes, const struct csv_style *style, size_t expect, struct buf *out)
{
	struct csv c;
	const struct csv_row *row;
	int fd = file_of(bytes);

	csv_init(&c, fd, style);
	c.expect = expect;
	while ((row = csv_next(&c))) {
		buf_int(out, (int64_t)row->line);
		if (row->last > row->line)
			buf_printf(out, "-%llu", (unsigned long long)row->last);
		buf_char(out, ':');
		if (row->fault)
			buf_printf(out, "fault%d", row->fault);
		for (size_t i = 0; i < row->n; i++) {
			buf_char(out, '[');
			show(out, row->cell[i].text);
			buf_char(out, ']');
		}
	}
	csv_release(&c);
	close(fd);
}

static void expect_rows(const char *what, struct slice bytes, struct csv_style style, size_t n, const char *wanted)
{
	struct buf out = BUF_INIT;

	rows_of(bytes, &style, n, &out);
	if (!slice_eq(buf_slice(&out), slice_of(wanted))) {
		failures++;
		printf("failed: %s\n  wanted %s\n  got    %s\n", what, wanted, buf_cstr(&out));
	}
	buf_release(&out);
}

static const struct csv_style comma = { ",", 1, '"', CSV_UTF8 };
static const struct csv_style semi = { ";", 1, '"', CSV_UTF8 };

/* RFC 4180, section 2. */
static void rfc4180(void)
{
	expect_rows("rule 1", SLICE("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n"), comma, 3, "1:[aaa][bbb][ccc]2:[zzz][yyy][xxx]");
	expect_rows("rule 2", SLICE("aaa,bbb,ccc\r\nzzz,yyy,xxx"), comma, 3, "1:[aaa][bbb][ccc]2:[zzz][yyy][xxx]");
	expect_rows("rule 4", SLICE("aaa, bb b,ccc"), comma, 3, "1:[aaa][ bb b][ccc]");
	expect_rows("rule 5", SLICE("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx"), comma, 3, "1:[aaa][bbb][ccc]2:[zzz][yyy][xxx]");
	expect_rows("rule 6", SLICE("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx"), comma, 3,
		"1-2:[aaa][b\r\\nbb][ccc]3:[zzz][yyy][xxx]");
	expect_rows("rule 7", SLICE("\"aaa\",\"b\"\"bb\",\"ccc\""), comma, 3, "1:[aaa][b\"bb][ccc]");
	expect_rows("line ends in two cells", SLICE("\"a\nb\",\"c\r\nd\",\"e\"\nf,g,h\n"), comma, 3, "1-3:[a\\nb][c\r\\nd][e]4:[f][g][h]");
	expect_rows("a separator in quotes", SLICE("\"a,b\",c"), comma, 2, "1:[a,b][c]");
	expect_rows("empty cells", SLICE(",,\n\"\",,\n"), comma, 3, "1:[][][]2:[][][]");
}

static void broken_quotes(void)
{
	expect_rows("a stray quote takes no other row", SLICE("\"north;23.5;81\n\"south\";24.0;80\nwest;1;2\n"), semi, 3,
		"1:[\"north][23.5][81]2:[south][24.0][80]3:[west][1][2]");
	expect_rows("nor one in the last cell", SLICE("a;b;\"c\nd;e;f\n"), semi, 3, "1:[a][b][\"c]2:[d][e][f]");
	expect_rows("a quote in the midst of a cell", SLICE("5\" nail;2\n"), semi, 2, "1:[5\" nail][2]");
	expect_rows("a quote not doubled", SLICE("\"a \"b\" c\";2\n"), semi, 2, "1:[a \"b\" c][2]");
	expect_rows("words behind the closing quote", SLICE("\"a\"x;2\n"), semi, 2, "1:[\"a\"x][2]");
	expect_rows("blanks around quotes", SLICE(" \"a\" ; \"b\" \n"), semi, 2, "1:[a][b]");
	expect_rows("a quote alone at the end", SLICE("a;\""), semi, 2, "1:[a][\"]");
	expect_rows("many lines open", SLICE("\"a\nb\nc\nd\ne\nf\ng\nh\ni\nj\nk\nl\nm\nn\no\np\nq\nr\ns\nt\nu\nv\nw\";1\n"), semi, 2,
		"1:[\"a]2:[b]3:[c]4:[d]5:[e]6:[f]7:[g]8:[h]9:[i]10:[j]11:[k]12:[l]13:[m]14:[n]15:[o]16:[p]17:[q]18:[r]19:[s]"
		"20:[t]21:[u]22:[v]23:[w\"][1]");
	expect_rows("no quoting", SLICE("\"a;b\"\n"), (struct csv_style){ ";", 1, '\0', CSV_UTF8 }, 2, "1:[\"a][b\"]");
}

static void line_ends(void)
{
	expect_rows("CR alone", SLICE("a,b\rc,d\r"), comma, 2, "1:[a][b]2:[c][d]");
	expect_rows("CR CR LF", SLICE("a,b\r\r\nc,d\r\r\n"), comma, 2, "1:[a][b]2:[c][d]");
	expect_rows("blank lines", SLICE("\na\n\r\nb"), comma, 1, "1:[]2:[a]3:[]4:[b]");
	expect_rows("nothing", SLICE(""), comma, 0, "");
	expect_rows("a line end alone", SLICE("\n"), comma, 0, "1:[]");
}

static void separators(void)
{
	expect_rows("two bytes", SLICE("a\xc2\xa6" "b\xc2\xa6" "\xc2 c\n"), (struct csv_style){ "\xc2\xa6", 2, '"', CSV_UTF8 }, 3,
		"1:[a][b][\xc2 c]");
	expect_rows("blanks", SLICE("  a  b\tc  \n"), (struct csv_style){ "", 0, '"', CSV_UTF8 }, 3, "1:[a][b][c]");
	expect_rows("tabs", SLICE("a\t\tb c\t\n"), (struct csv_style){ "\t", 1, '"', CSV_UTF8 }, 3, "1:[a][][b c][]");
	expect_rows("a table in one column", SLICE("\"2026-06-09,\"\"23.5\"\",81\"\na,b,c\n"), comma, 3,
		"1:[2026-06-09][23.5][81]2:[a][b][c]");
}

static void encodings(void)
{
	expect_rows("UTF-8 mark", SLICE("\xef\xbb\xbf" "a,b"), comma, 2, "1:[a][b]");
	expect_rows("UTF-16 little end first", SLICE("\xff\xfe" "a\0,\0\xb0\0\n\0" "\x3d\xd8\x00\xde,\0b\0"), comma, 2,
		"1:[a][\xc2\xb0]2:[\xf0\x9f\x98\x80][b]");
	expect_rows("UTF-16 big end first", SLICE("\xfe\xff" "\0a\0,\0\xb0"), comma, 2, "1:[a][\xc2\xb0]");
	expect_rows("UTF-16 without a mark", SLICE("t\0e\0m\0p\0,\0r\0h\0\n\0" "1\0,\0" "2\0"), comma, 2, "1:[temp][rh]2:[1][2]");
	expect_rows("UTF-16 cut in a unit", SLICE("\xff\xfe" "a\0b"), comma, 1, "1:[a\xef\xbf\xbd]");
	expect_rows("a lone half of a pair", SLICE("\xff\xfe" "\x3d\xd8" "a\0"), comma, 1, "1:[\xef\xbf\xbd" "a]");
	expect_rows("NULs are bytes like others", SLICE("a\0b,c"), comma, 2, "1:[a\\0b][c]");
}

static void turned(void)
{
	struct buf room = BUF_INIT;

	if (!slice_eq(csv_utf8(CSV_CP1252, SLICE("\x80\xb0"), &room), SLICE("\xe2\x82\xac\xc2\xb0")) ||
	    !slice_eq(csv_utf8(CSV_LATIN1, SLICE("\xb0" "C"), &room), SLICE("\xc2\xb0" "C")) ||
	    !slice_eq(csv_utf8(CSV_UTF8, SLICE("\xb0"), &room), SLICE("\xb0"))) {
		failures++;
		printf("failed: bytes turned into UTF-8\n");
	}
	buf_release(&room);
}

/* Lines of every length about the buffer's size, and one that is too long. */
static void long_lines(void)
{
	struct buf in = BUF_INIT, out = BUF_INIT;
	struct csv c;
	const struct csv_row *row;
	uint64_t rows = 0;
	int fd;

	for (size_t n = CSV_BLOCK / 2 - 3; n < CSV_BLOCK / 2 + 3; n++) {
		buf_fill(&in, 'x', n);
		buf_str(&in, ",y\n");
	}
	buf_fill(&in, 'z', 3 * CSV_LONGEST);
	buf_str(&in, "\nlast,1\n");
	fd = file_of(buf_slice(&in));
	csv_init(&c, fd, &comma);
	while ((row = csv_next(&c))) {
		size_t n = CSV_BLOCK / 2 - 3 + (size_t)rows;

		rows++;
		if (row->line != rows || (rows <= 6 && (row->n != 2 || row->cell[0].text.n != n)) ||
		    (rows == 7) != (row->fault == CSV_TOO_LONG) || (rows == 8 && !slice_eq(row->cell[0].text, SLICE("last")))) {
			failures++;
			printf("failed: long line %llu\n", (unsigned long long)rows);
		}
	}
	if (rows != 8) {
		failures++;
		printf("failed: %llu long lines instead of 8\n", (unsigned long long)rows);
	}
	csv_release(&c);
	close(fd);
	in.n = 0;
	buf_fill(&in, ',', CSV_CELLS);
	buf_str(&in, "\na,b\n");
	rows_of(buf_slice(&in), &comma, 2, &out);
	if (!slice_eq(buf_slice(&out), SLICE("1:fault22:[a][b]"))) {
		failures++;
		printf("failed: too many cells: %s\n", buf_cstr(&out));
	}
	buf_release(&in);
	buf_release(&out);
}

/* A xorshift generator: the same bytes on every machine. */
static uint64_t state = 88172645463325252u;

static uint64_t random_bits(void)
{
	state ^= state << 13;
	state ^= state >> 7;
	state ^= state << 17;
	return state;
}

/* Random bytes from a nasty alphabet: every line of the file is in exactly one row. */
static void never_lost(void)
{
	static const char alphabet[] = "a1\"\";;\n\n\r ,\t\"";
	struct buf out = BUF_INIT;

	for (int round = 0; round < 4000; round++) {
		char bytes[60];
		size_t n = random_bits() % sizeof bytes, ends = 0;
		struct csv c;
		const struct csv_row *row;
		uint64_t last = 0;
		bool lf, fine = true;
		int fd;

		for (size_t i = 0; i < n; i++)
			bytes[i] = alphabet[random_bits() % (sizeof alphabet - 1)];
		lf = memchr(bytes, '\n', n) != NULL;
		for (size_t i = 0; i < n; i++)
			ends += bytes[i] == (lf ? '\n' : '\r');
		if (n && bytes[n - 1] != (lf ? '\n' : '\r'))
			ends++;
		fd = file_of((struct slice){ bytes, n });
		csv_init(&c, fd, round % 2 ? &comma : &semi);
		c.expect = (size_t)round % 4;
		while ((row = csv_next(&c))) {
			fine = fine && row->line == last + 1 && row->last >= row->line && row->n > 0;
			last = row->last;
		}
		csv_release(&c);
		close(fd);
		if (!fine || last != ends) {
			failures++;
			printf("failed: round %d: %zu lines, rows up to %llu\n", round, ends, (unsigned long long)last);
		}
	}
	buf_release(&out);
}

static void sep_lines(void)
{
	static const struct { const char *line; bool is; const char *separator; } row[] = {
		{ "sep=;", true, ";" }, { "\"sep=,\"", true, "," }, { "sep=\t", true, "\t" }, { "sep=", false, "" },
		{ "Sep=;", false, "" }, { "sep=\xc2\xa6", true, "\xc2\xa6" }, { "", false, "" }, { "sep=0123456789", false, "" },
	};

	for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
		struct csv_style style = { "", 0, '"', CSV_UTF8 };
		bool is = csv_sep_line(slice_of(row[i].line), &style);

		if (is != row[i].is || !slice_eq((struct slice){ style.separator, style.separator_n }, slice_of(row[i].separator))) {
			failures++;
			printf("failed: the line `%s`\n", row[i].line);
		}
	}
}

int main(void)
{
	rfc4180();
	broken_quotes();
	line_ends();
	separators();
	encodings();
	turned();
	long_lines();
	never_lost();
	sep_lines();
	return failures != 0;
}
