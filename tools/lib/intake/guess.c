#include "intake/guess.h"

#include "intake/guess_internal.h"

enum {
	HEAD_LINES = 200,      /* lines that the separators are tried on: enough to outweigh a front of GUESS_FRONT */
	HEAD_WHOLE = 3,        /* after so many lines the last one, which the block may have cut, is left out */
	HEADER_MOST = 3,       /* rows of headings: name, unit, and one more */
	CUT_CHARACTER = 4,     /* bytes at the end of the block that may be a character cut in two */
	CELLS_MOST = 64,       /* lines with as many cells or more are counted together */
	VALUE_PCT = 70,        /* of a cell's bytes are digits and marks: a value, perhaps with a unit */
	HEADING_PCT = 50,      /* of the first reading's cells have a heading: else the row is a title */
	DECIMALS_MOST = 3      /* that instruments write; more are not tried to divide a row */
};

/* Fitness of a separator, from 0 to 1, by trial: the best one of the tests' exports is 0.2 once, else 0.43 or more. */
static const double FIT_LEAST = 0.15;    /* below it the file is not a table */
static const double FIT_TEXT = 0.2;      /* what lines alike in cells are worth though no cell is a value */
static const double FIT_BLANKS = 0.6;    /* blanks are in all texts: they must fit so much better */

/* --- encoding --------------------------------------------------------------------------------------- */

/* By the first block: bytes that are not UTF-8 count as Windows-1252, which has ISO-8859-1's letters too. */
static void find_encoding(struct guess *g, struct slice head)
{
	size_t bad = 0;

	g->ascii = true;
	for (size_t i = 0; i < head.n; i++) {
		g->ascii = g->ascii && (unsigned char)head.p[i] < 0x80;
		g->high_controls = g->high_controls || ((unsigned char)head.p[i] >= 0x80 && (unsigned char)head.p[i] < 0xa0);
	}
	if (g->csv.style.encoding == CSV_UTF8 && !g->csv.bom && !g->ascii && !utf8_check(head, &bad) && head.n - bad > CUT_CHARACTER)
		g->csv.style.encoding = CSV_CP1252;
}

/* --- separator -------------------------------------------------------------------------------------- */

static const char *const separators[] = { ";", "\t", ",", "|", "" };

static bool is_value_like(struct slice s)
{
	size_t good = 0;

	s = cell_number_trim(s);
	if (!s.n || missing_is(s))
		return true;
	for (size_t i = 0; i < s.n; i++)
		good += (s.p[i] >= '0' && s.p[i] <= '9') || memchr(".,:-+/ ", s.p[i], 7) != NULL;
	return guess_share(good, s.n, VALUE_PCT) && !memchr(s.p, ';', s.n) && !memchr(s.p, '\t', s.n);
}

/* How well a separator fits the lines: how alike they are in number of cells, and how much of that is values. */
struct fitness {
	size_t cells, lines[CELLS_MOST];
	size_t seen, values, all;
};

static void try_line(struct csv *c, struct slice line, struct fitness *f)
{
	const struct csv_row *row = csv_split(c, line);
	size_t n = row->n;

	while (n > 1 && !cell_number_trim(row->cell[n - 1].text).n)
		n--;
	if (!n || (n == 1 && !cell_number_trim(row->cell[0].text).n))
		return;
	f->seen++;
	f->lines[n < CELLS_MOST ? n : CELLS_MOST - 1]++;
	for (size_t i = 0; i < n && n > 1; i++) {
		f->values += is_value_like(row->cell[i].text);
		f->all++;
	}
}

/* Lines with the commonest number of cells and one more or less, as a share, times the share of values. */
static double fitness_of(struct fitness *f)
{
	size_t best = 0, most = 0;

	for (size_t n = 2; n < CELLS_MOST; n++) {
		size_t near = f->lines[n] * 2 + f->lines[n - 1] * (n > 2) + (n + 1 < CELLS_MOST ? f->lines[n + 1] : 0);

		if (f->lines[n] && near > most) {
			most = near;
			best = n;
		}
	}
	f->cells = best;
	if (!best || !f->all)
		return 0;
	return (double)most / (2 * (double)f->seen) * (FIT_TEXT + (1 - FIT_TEXT) * (double)f->values / (double)f->all);
}

static double try_separator(struct guess *g, struct slice head, const char *separator)
{
	struct csv c;
	struct csv_style style = g->csv.style;
	struct fitness f = { 0 };
	size_t lines = 0;

	style.separator_n = strlen(separator);
	memcpy(style.separator, separator, style.separator_n);
	csv_init(&c, -1, &style);
	while (head.n && lines++ < HEAD_LINES) {
		size_t n = slice_find(head, g->csv.lone_cr ? '\r' : '\n');

		if (n == head.n && lines > HEAD_WHOLE)
			break;
		try_line(&c, slice_upto(head, n && head.p[n - 1] == '\r' ? n - 1 : n), &f);
		head = slice_from(head, n < head.n ? n + 1 : n);
	}
	csv_release(&c);
	return fitness_of(&f) * (style.separator_n ? 1 : FIT_BLANKS);
}

static bool find_separator(struct guess *g, struct slice head)
{
	struct slice first = slice_upto(head, slice_find(head, '\n'));
	double best = FIT_LEAST;
	size_t which = SIZE_MAX;

	if (first.n && first.p[first.n - 1] == '\r')
		first.n--;
	g->sep_line = csv_sep_line(first, &g->csv.style);
	for (size_t i = 0; i < sizeof separators / sizeof *separators && !g->sep_line; i++) {
		double fit = try_separator(g, head, separators[i]);

		if (fit > best) {
			best = fit;
			which = i;
		}
	}
	if (g->sep_line)
		return true;
	g->separator_share = best;
	if (which == SIZE_MAX)
		return false;
	g->csv.style.separator_n = strlen(separators[which]);
	memcpy(g->csv.style.separator, separators[which], g->csv.style.separator_n);
	return true;
}

/* --- the first rows --------------------------------------------------------------------------------- */

static void keep_row(struct guess *g, const struct csv_row *row)
{
	struct guess_row *kept;
	struct buf bytes = BUF_INIT, scratch = BUF_INIT;
	size_t *end = mem_array(row->n, sizeof *end);

	g->row = mem_grow(g->row, &g->rows_cap, g->nrows + 1, sizeof *g->row);
	kept = &g->row[g->nrows++];
	*kept = (struct guess_row){ mem_array(row->n, sizeof *kept->cell), row->n, 0, row->line, NULL };
	for (size_t i = 0; i < row->n; i++) {
		buf_add(&bytes, csv_utf8(g->csv.style.encoding, row->cell[i].text, &scratch));
		end[i] = bytes.n;
	}
	kept->bytes = bytes.p;
	for (size_t i = 0; i < row->n; i++) {
		size_t start = i ? end[i - 1] : 0;

		kept->cell[i] = (struct slice){ bytes.p ? bytes.p + start : "", end[i] - start };
		if (cell_number_trim(kept->cell[i]).n)
			kept->used = i + 1;
	}
	free(end);
	buf_release(&scratch);
}

static void keep_first_rows(struct guess *g)
{
	const struct csv_row *row;

	while (g->nrows < GUESS_ROWS && (row = csv_next(&g->csv)))
		if (!row->fault && !(g->sep_line && row->line == 1))
			keep_row(g, row);
}

/* The first row with a time that rows after it have too. */
static bool find_first(struct guess *g)
{
	for (g->first = 0; g->first < g->nrows && g->first < GUESS_FRONT; g->first++)
		if (g->row[g->first].used > 1 && guess_find_time(g, g->first))
			return true;
	return false;
}

/* --- headings --------------------------------------------------------------------------------------- */

static bool is_heading_row(const struct guess *g, const struct guess_row *row)
{
	size_t named = 0;

	for (size_t i = 0; i < row->used; i++) {
		struct slice s = cell_number_trim(row->cell[i]);

		named += s.n > 0;
		if (s.n && is_value_like(s) && s.p[0] >= '0' && s.p[0] <= '9')
			return false;
	}
	return named >= 2 && guess_share(named, g->row[g->first].used, HEADING_PCT);
}

static void find_header(struct guess *g)
{
	while (g->header < HEADER_MOST && g->header < g->first && is_heading_row(g, &g->row[g->first - g->header - 1]))
		g->header++;
	g->skip = g->first - g->header;
	for (size_t r = g->skip; r < g->first; r++)
		g->ncols = g->row[r].used > g->ncols ? g->row[r].used : g->ncols;
	if (!g->header)
		g->ncols = g->row[g->first].n;
	g->ncols = g->ncols < GUESS_COLUMNS ? g->ncols : GUESS_COLUMNS;
}

static void name_columns(struct guess *g)
{
	for (size_t c = 0; c < g->ncols; c++)
		for (size_t r = g->skip; r < g->first; r++) {
			struct slice s = c < g->row[r].n ? cell_number_trim(g->row[r].cell[c]) : (struct slice){ "", 0 };
			struct buf *out = &g->column[c].heading;

			if (s.n && out->n)
				buf_char(out, ' ');
			for (size_t i = 0; i < s.n; i++)
				buf_char(out, s.p[i] == '\n' || s.p[i] == '\r' ? ' ' : s.p[i]);
		}
	for (size_t i = 0; i < g->time.ncolumns; i++)
		if (g->time.column[i] < g->ncols)
			g->column[g->time.column[i]].role = ROLE_TIME;
}

static void find_front_offset(struct guess *g)
{
	int32_t offset_s;

	for (size_t r = 0; r < g->first; r++)
		for (size_t c = 0; c < g->row[r].n; c++)
			g->offset_in_front = g->offset_in_front || time_format_find_offset(g->row[r].cell[c], &offset_s);
}

/* --- numbers ---------------------------------------------------------------------------------------- */

static bool is_time_column(const struct guess *g, size_t c)
{
	return c < g->ncols && g->column[c].role == ROLE_TIME;
}

/* Whether a cell is a number with this decimal mark, perhaps with a unit. */
static bool has_decimal(struct slice s, char mark)
{
	struct cell_style style = { mark, { "", 0 } };
	struct cell_number r;

	return !cell_number_read(cell_number_trim(s), &style, &r) && r.decimals > 0 && (!r.unit.n || cell_number_unit(r.unit).n);
}

static void find_decimal(struct guess *g)
{
	size_t points = 0, commas = 0;
	struct cell_style style = { ',', SLICE(".") };

	for (size_t r = g->first; r < g->nrows; r++)
		for (size_t c = 0; c < g->row[r].used; c++) {
			struct slice s = cell_number_trim(g->row[r].cell[c]);
			struct cell_number num;

			if (is_time_column(g, c))
				continue;
			points += has_decimal(s, '.');
			commas += has_decimal(s, ',');
			if (slice_find(s, '.') < slice_find(s, ',') && slice_find(s, ',') < s.n && !cell_number_read(s, &style, &num) && num.decimals) {
				commas++;
				g->thousands = SLICE(".");
			}
		}
	g->decimal = commas > points ? ',' : '.';
}

/* The comma is the separator, and rows have more cells than headings. */
static void find_comma_mess(struct guess *g)
{
	size_t wider = 0, rows = 0;

	if (g->csv.style.separator_n != 1 || g->csv.style.separator[0] != ',' || !g->header)
		return;
	for (size_t r = g->first; r < g->nrows; r++) {
		rows += g->row[r].used > 0;
		wider += g->row[r].used > g->ncols;
	}
	g->comma_mess = wider * 2 > rows && rows;
	if (g->comma_mess)
		g->decimal = ',';
}

static void set_fit(struct guess *g, int decimals)
{
	g->decimals = decimals;
	for (size_t i = 0; i < g->ncols; i++)
		g->commas_column[i] = (struct decimal_comma_column){ decimals, is_time_column(g, i) };
}

static size_t rows_fitting(struct guess *g)
{
	size_t fitting = 0;

	for (size_t r = g->first; r < g->nrows; r++) {
		struct csv_cell cell[2 * DECIMAL_COMMA_COLUMNS];

		if (!g->row[r].used || g->row[r].used > 2 * DECIMAL_COMMA_COLUMNS)
			continue;
		for (size_t i = 0; i < g->row[r].used; i++)
			cell[i] = (struct csv_cell){ g->row[r].cell[i], 1, false };
		fitting += decimal_comma_row(&g->fit, g->commas_column, g->ncols, cell, g->row[r].used) == 1;
	}
	return fitting;
}

/* How many decimals make every row fit in one way; -1 when it needs no saying. */
static void find_decimals(struct guess *g)
{
	size_t best;
	int which = -1;

	set_fit(g, -1);
	best = rows_fitting(g);
	for (int d = 1; d <= DECIMALS_MOST; d++) {
		size_t n;

		set_fit(g, d);
		n = rows_fitting(g);
		if (n > best) {
			best = n;
			which = d;
		}
	}
	set_fit(g, which);
}

/* --- all rows --------------------------------------------------------------------------------------- */

/* The row among the first ones that this one is again; SIZE_MAX: none. */
static size_t front_again(const struct guess *g, const struct slice *cell, size_t n)
{
	for (size_t r = 0; r < g->first; r++) {
		size_t same = 0;

		for (size_t i = 0; i < n && i < g->row[r].n; i++)
			same += slice_eq(cell[i], g->row[r].cell[i]);
		if (same == n && n == g->row[r].used)
			return r;
	}
	return SIZE_MAX;
}

/* The first text of a row up to a digit or a colon. */
static struct slice beginning(const struct slice *cell, size_t n)
{
	for (size_t i = 0; i < n; i++) {
		struct slice s = cell_number_trim(cell[i]);
		size_t k = 0;

		if (!s.n)
			continue;
		while (k < s.n && !(s.p[k] >= '0' && s.p[k] <= '9') && s.p[k] != ':' && s.p[k] != '*')
			k++;
		return cell_number_trim(slice_upto(s, k));
	}
	return (struct slice){ "", 0 };
}

static bool is_known_heading(const struct guess *g, struct slice s)
{
	for (size_t r = g->skip; r < g->first; r++)
		for (size_t i = 0; i < g->row[r].used; i++)
			if (slice_eq(cell_number_trim(g->row[r].cell[i]), s))
				return true;
	return false;
}

/* Texts alone, of which one is a heading or has a unit, or which fill every column: another header row. */
static bool is_other_header(const struct guess *g, const struct slice *cell, size_t n)
{
	size_t texts = 0, known = 0;
	struct slice s = { "", 0 };

	for (size_t i = 0; i < g->time.ncolumns && i < 1 && g->time.column[0] < n; i++)
		s = cell_number_trim(cell[g->time.column[0]]);
	if (s.n && is_known_heading(g, s))
		return true;
	for (size_t i = 0; i < n; i++) {
		s = cell_number_trim(cell[i]);
		if (!s.n)
			continue;
		if (is_value_like(s))
			return false;
		texts++;
		known += is_known_heading(g, s) || cell_number_heading_unit(s).n;
	}
	return texts >= 2 && (known || texts >= g->ncols);
}

/* Rows without a time that readings follow, or the end: they may be trailers. */
static void keep_pending(struct guess *g)
{
	for (size_t i = 0; i < g->pending.n; i++)
		guess_word_add(&g->trailers, buf_slice(&g->pending.word[i].text));
	guess_words_release(&g->pending);
	g->pending_line = 0;
	g->front_seen = 0;
}

/* The first header row again: what was before it were lines of another export. */
static void take_front(struct guess *g, size_t r)
{
	g->front_seen += r < g->skip;
	if (r != g->skip)
		return;
	if (g->pending_line && g->skip && g->front_seen < g->skip && !g->other_front)
		g->other_front = g->pending_line;
	if (g->skip)
		guess_words_release(&g->pending);
	keep_pending(g);
	g->foreign = false;
	for (size_t i = 0; i < g->time.nforms; i++)
		g->time.form[i].fresh = true;
}

static void take_cells(struct guess *g, const struct slice *cell, size_t n, uint64_t line)
{
	size_t front = n ? front_again(g, cell, n) : SIZE_MAX;

	if (!n)
		return;
	if (front != SIZE_MAX) {
		take_front(g, front);
	} else if (!g->foreign && guess_take_time(g, cell, n)) {
		keep_pending(g);
		guess_word_add(&g->firsts, beginning(cell, n));
		guess_take_columns(g, cell, n);
	} else if (is_other_header(g, cell, n)) {
		g->foreign = true;
		g->other_header = g->other_header ? g->other_header : line;
		guess_words_release(&g->pending);
	} else if (!g->foreign) {
		guess_word_add(&g->pending, beginning(cell, n));
		g->pending_line = g->pending_line ? g->pending_line : line;
	}
}

/* A row whose commas separate and are decimal marks: its columns' cells. */
static void take_messy(struct guess *g, const struct slice *cell, size_t n, uint64_t line)
{
	struct csv_cell in[2 * DECIMAL_COMMA_COLUMNS];
	struct slice out[DECIMAL_COMMA_COLUMNS];

	if (n < g->ncols || n > 2 * DECIMAL_COMMA_COLUMNS) {
		take_cells(g, cell, n, line);
		return;
	}
	for (size_t i = 0; i < n; i++)
		in[i] = (struct csv_cell){ cell[i], 1, false };
	if (decimal_comma_row(&g->fit, g->commas_column, g->ncols, in, n) != 1) {
		g->unfit++;
		return;
	}
	for (size_t i = 0; i < g->ncols; i++)
		out[i] = g->fit.cell[i].text;
	take_cells(g, out, g->ncols, line);
}

static void take_row(struct guess *g, const struct guess_row *row)
{
	if (g->comma_mess)
		take_messy(g, row->cell, row->used, row->line);
	else
		take_cells(g, row->cell, row->used, row->line);
}

static void free_row(struct guess_row *row)
{
	free(row->cell);
	free(row->bytes);
}

static void take_all(struct guess *g)
{
	const struct csv_row *row;

	for (size_t r = g->first; r < g->nrows; r++)
		take_row(g, &g->row[r]);
	while ((row = csv_next(&g->csv))) {
		if (row->fault)
			continue;
		keep_row(g, row);
		take_row(g, &g->row[--g->nrows]);
		free_row(&g->row[g->nrows]);
	}
	keep_pending(g);
}

/* A later header row, or later first lines, that are not those at the start. */
static void ask_sections(struct guess *g)
{
	if (g->other_header)
		guess_ask(g, "line %llu has another header row: this proposal is made from the rows before it; split the file there if the "
			"columns or their units differ", (unsigned long long)g->other_header);
	if (g->other_front)
		guess_ask(g, "from line %llu on another export follows, with other first lines: if it is another instrument's, split the file there",
			(unsigned long long)g->other_front);
}

/* No row has a time: the file may have headings alone. */
static void ask_time(struct guess *g)
{
	size_t named = 0;

	for (size_t r = 0; r < g->nrows; r++)
		for (size_t i = 0; i < g->row[r].used; i++) {
			struct slice s = cell_number_trim(g->row[r].cell[i]);

			if (s.n && s.p[0] >= '0' && s.p[0] <= '9') {
				guess_ask(g, "no column with dates was found: give the column and its form in the mapping (`time`)");
				return;
			}
			named += s.n > 0;
		}
	guess_ask(g, named ? "the file has headings, but no row with a reading: take an export that has some" :
		"the file has blank lines alone: take an export that has readings");
}

/* --- the flow --------------------------------------------------------------------------------------- */

static void look_through(struct guess *g)
{
	struct slice head = csv_peek(&g->csv);

	if (!head.n) {
		guess_ask(g, "the file is empty");
		return;
	}
	find_encoding(g, head);
	if (!find_separator(g, head)) {
		guess_ask(g, "no separator gives all lines the same number of cells: is this a table?");
		return;
	}
	keep_first_rows(g);
	if (!find_first(g)) {
		ask_time(g);
		return;
	}
	find_header(g);
	name_columns(g);
	find_front_offset(g);
	find_decimal(g);
	find_comma_mess(g);
	if (g->comma_mess)
		find_decimals(g);
	g->csv.expect = g->header && !g->comma_mess ? g->ncols : 0;
	take_all(g);
	guess_settle_forms(g);
	guess_settle_columns(g);
	guess_write(g);
	ask_sections(g);
}

static void release(struct guess *g)
{
	for (size_t i = 0; i < g->nrows; i++)
		free_row(&g->row[i]);
	free(g->row);
	for (size_t i = 0; i < GUESS_COLUMNS; i++) {
		buf_release(&g->column[i].heading);
		buf_release(&g->column[i].rest_text);
		guess_words_release(&g->column[i].texts);
		guess_words_release(&g->column[i].odd);
		guess_words_release(&g->column[i].units);
		guess_words_release(&g->column[i].values);
	}
	for (size_t i = 0; i < g->time.nforms; i++)
		buf_release(&g->time.form[i].first_text);
	for (size_t i = 0; i < g->time.nzones; i++)
		buf_release(&g->time.zone_text[i]);
	guess_words_release(&g->trailers);
	guess_words_release(&g->firsts);
	guess_words_release(&g->pending);
	guess_words_release(&g->quantity_unit);
	decimal_comma_release(&g->fit);
	csv_release(&g->csv);
}

int guess_mapping(int fd, const struct vocab *vocab, const struct guess_wish *wish, struct buf *out, struct buf *questions)
{
	struct guess *g = mem_zeroed(1, sizeof *g);
	static const struct csv_style style = { ",", 1, '"', CSV_UTF8 };
	int status;

	g->vocab = vocab;
	g->wish = wish;
	g->out = out;
	g->questions = questions;
	g->decimals = -1;
	g->sensor = g->quantity = g->value = g->unit = SIZE_MAX;
	csv_init(&g->csv, fd, &style);
	look_through(g);
	status = g->csv.error ? -g->csv.error : g->open ? 1 : 0;
	release(g);
	free(g);
	return status;
}
