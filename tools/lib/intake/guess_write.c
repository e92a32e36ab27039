#include <stdio.h>

#include "base/utf8.h"
#include "intake/cell_number.h"
#include "intake/guess.h"
#include "intake/guess_internal.h"
#include "time/stamp.h"

/* --- YAML ------------------------------------------------------------------------------------------- */

/* A text in double quotes; what could act on a terminal or break the line is escaped. */
static void put_quoted(struct buf *out, struct slice s)
{
	buf_char(out, '"');
	while (s.n) {
		uint32_t point;
		size_t n = utf8_decode(s, &point);

		if (!n)
			buf_str(out, "\\uFFFD");
		else if (point == '"' || point == '\\')
			buf_printf(out, "\\%c", (char)point);
		else if (utf8_is_unsafe(point))
			buf_printf(out, point < 0x10000 ? "\\u%04X" : "\\U%08X", (unsigned)point);
		else
			buf_add(out, slice_upto(s, n));
		s = slice_from(s, n ? n : 1);
	}
	buf_char(out, '"');
}

enum { REMARK_COLUMN = 40 };

/* A remark behind what was written since `start`, at a column that they share. */
static void put_remark(struct buf *out, size_t start, const char *text)
{
	size_t width = utf8_width(slice_from(buf_slice(out), start));

	buf_fill(out, ' ', width < REMARK_COLUMN ? REMARK_COLUMN - width : 2);
	buf_printf(out, "# %s\n", text);
}

/* Text that a mapping can hold as it is. */
static bool is_plain(struct slice s)
{
	while (s.n) {
		uint32_t point;
		size_t n = utf8_decode(s, &point);

		if (!n || utf8_is_unsafe(point) || point == 0xfffd)
			return false;
		s = slice_from(s, n);
	}
	return true;
}

static bool is_own_heading(const struct guess *g, size_t c)
{
	struct slice name = buf_slice(&g->column[c].heading);

	if (!g->header || !name.n || name.n > 100 || !is_plain(name))
		return false;
	for (size_t i = 0; i < g->ncols; i++)
		if (i != c && slice_eq(buf_slice(&g->column[i].heading), name))
			return false;
	for (size_t i = 0; g->header > 1 && i < g->ncols; i++)
		for (size_t r = g->skip; r < g->first; r++)
			if (i != c && i < g->row[r].n && slice_eq(cell_number_trim(g->row[r].cell[i]), name))
				return false;
	return true;
}

static void put_column(struct guess *g, size_t c)
{
	if (is_own_heading(g, c))
		put_quoted(g->out, buf_slice(&g->column[c].heading));
	else
		buf_printf(g->out, "%zu", c + 1);
}

/* --- the file --------------------------------------------------------------------------------------- */

static void put_separator(struct guess *g)
{
	struct slice s = { g->csv.style.separator, g->csv.style.separator_n };
	size_t start = g->out->n;
	char why[100];

	buf_str(g->out, "  separator: ");
	if (!s.n)
		buf_str(g->out, "blanks");
	else if (slice_eq(s, SLICE("\t")))
		buf_str(g->out, "tab");
	else
		put_quoted(g->out, s);
	if (g->sep_line)
		put_remark(g->out, start, "sure: the first line names it");
	else {
		snprintf(why, sizeof why, "%s: it gives the rows the same number of cells", g->separator_share > 0.8 ? "sure" : "likely");
		put_remark(g->out, start, why);
	}
}

static void put_encoding(struct guess *g)
{
	size_t start = g->out->n;
	enum csv_encoding e = g->csv.style.encoding;

	buf_printf(g->out, "  encoding: %s", csv_encoding_words[e]);
	if (g->csv.bom)
		put_remark(g->out, start, "sure: the byte-order mark says so");
	else if (e == CSV_UTF16LE || e == CSV_UTF16BE)
		put_remark(g->out, start, "sure: every other byte is a NUL");
	else if (e == CSV_CP1252)
		put_remark(g->out, start, g->high_controls ? "likely: it is not UTF-8, and has bytes that ISO-8859-1 does not have" :
			"likely: it is not UTF-8; iso-8859-1 gives the same text");
	else
		put_remark(g->out, start, g->ascii ? "sure so far: all bytes are ASCII" : "sure: its letters are valid UTF-8");
}

static void put_decimal(struct guess *g)
{
	uint64_t commas = 0, points = 0;
	size_t start = g->out->n;

	for (size_t i = 0; i < g->ncols; i++) {
		commas += g->decimal == ',' && g->column[i].decimals_most;
		points += g->decimal == '.' && g->column[i].decimals_most;
	}
	buf_printf(g->out, "  decimal: \"%c\"", g->decimal);
	if (g->comma_mess)
		put_remark(g->out, start, "likely: rows have more cells than the header row, as if commas were also decimal marks");
	else if (commas || points)
		put_remark(g->out, start, "sure: the numbers are written this way");
	else
		put_remark(g->out, start, "not sure: no number has decimals");
	if (!g->thousands.n)
		return;
	start = g->out->n;
	buf_str(g->out, "  thousands: ");
	put_quoted(g->out, g->thousands);
	put_remark(g->out, start, "likely: numbers have this mark before the decimal one");
}

static void put_lines(struct guess *g)
{
	size_t start = g->out->n;
	char why[100];

	if (g->skip) {
		buf_printf(g->out, "  skip: %zu", g->skip);
		put_remark(g->out, start, "likely: lines before the header row");
		start = g->out->n;
	}
	buf_printf(g->out, "  header: %zu", g->header);
	snprintf(why, sizeof why, g->header ? "likely: the first reading is on line %llu" :
		"sure: readings begin on line %llu, without a header row", (unsigned long long)g->row[g->first].line);
	put_remark(g->out, start, why);
}

static bool is_sentinel(const struct guess_column *c, double v)
{
	switch (c->role) {
	case ROLE_TEMP: case ROLE_WETBULB: case ROLE_WOOD: case ROLE_VALUE:
		return v < -60 || v > (slice_eq(c->unit, SLICE("F")) ? 482 : 250);
	case ROLE_RH:
		return v < 0 || v > 110;
	case ROLE_MC:
		return v < 0 || v > 400;
	case ROLE_MASS:
		return v < 0;
	default:
		return false;
	}
}

static double number(struct slice s)
{
	double v = 0, scale = 0;

	for (size_t i = 0; i < s.n; i++) {
		if (s.p[i] == '.')
			scale = 1;
		else if (s.p[i] != '-') {
			v = v * 10 + (s.p[i] - '0');
			scale *= 10;
		}
	}
	v = scale > 0 ? v / scale : v;
	return s.n && s.p[0] == '-' ? -v : v;
}

/* A text with a digit in it may be a number written otherwise: not for a list of words. */
static bool has_digit(struct slice s)
{
	for (size_t i = 0; i < s.n; i++)
		if (s.p[i] >= '0' && s.p[i] <= '9')
			return true;
	return false;
}

static void collect_missing(struct guess *g, struct guess_words *numbers, struct guess_words *words)
{
	for (size_t i = 0; i < g->ncols; i++) {
		struct guess_column *c = &g->column[i];

		if (c->role < ROLE_TEMP || c->role == ROLE_OFFSET || c->role == ROLE_DEWPOINT || (c->role > ROLE_MASS && c->role != ROLE_VALUE))
			continue;
		for (size_t k = 0; k < c->odd.n; k++)
			if (is_sentinel(c, number(buf_slice(&c->odd.word[k].text))))
				guess_word_add(numbers, buf_slice(&c->odd.word[k].text));
		for (size_t k = 0; k < c->texts.n && c->texts.n <= 8; k++)
			if (!has_digit(buf_slice(&c->texts.word[k].text)))
				guess_word_add(words, buf_slice(&c->texts.word[k].text));
	}
}

static void put_list(struct guess *g, const char *key, const struct guess_words *a, const struct guess_words *b, const char *tail, const char *why)
{
	size_t start = g->out->n, n = 0;

	if (a->n + (b ? b->n : 0) == 0)
		return;
	buf_printf(g->out, "  %s: [", key);
	for (size_t i = 0; i < a->n + (b ? b->n : 0); i++) {
		struct buf item = BUF_INIT;

		buf_add(&item, buf_slice(i < a->n ? &a->word[i].text : &b->word[i - a->n].text));
		buf_str(&item, tail);
		buf_str(g->out, n++ ? ", " : "");
		put_quoted(g->out, buf_slice(&item));
		buf_release(&item);
	}
	buf_char(g->out, ']');
	put_remark(g->out, start, why);
}

static void put_missing(struct guess *g)
{
	struct guess_words numbers = { .n = 0 }, words = { .n = 0 };

	collect_missing(g, &numbers, &words);
	put_list(g, "missing", &numbers, &words, "", words.n ? "not sure: check whether these words mean no reading, or off the scale" :
		"likely: no reading can have this value; also -, NA and the like");
	guess_words_release(&numbers);
	guess_words_release(&words);
}

static void put_trailer(struct guess *g)
{
	struct guess_words kept = { .n = 0 };

	for (size_t i = 0; i < g->trailers.n && g->trailers.n <= 12; i++) {
		struct slice s = buf_slice(&g->trailers.word[i].text);

		if (s.n >= 2)
			guess_word_add(&kept, s);
	}
	put_list(g, "trailer", &kept, NULL, "*", "likely: rows without a time begin like this");
	guess_words_release(&kept);
}

static void put_file(struct guess *g)
{
	buf_str(g->out, "file:\n");
	put_separator(g);
	put_encoding(g);
	put_decimal(g);
	put_lines(g);
	put_missing(g);
	put_trailer(g);
}

/* --- time ------------------------------------------------------------------------------------------- */

static void put_time_columns(struct guess *g)
{
	size_t start = g->out->n;

	buf_str(g->out, g->time.ncolumns == 1 ? "  column: " : "  columns: [");
	for (size_t i = 0; i < g->time.ncolumns; i++) {
		buf_str(g->out, i ? ", " : "");
		put_column(g, g->time.column[i]);
	}
	buf_str(g->out, g->time.ncolumns == 1 ? "" : "]");
	put_remark(g->out, start, g->time.unread ? "likely: nearly all rows have a time there" : "sure: every row has a time there");
}

static void moment(const struct time_reading *t, bool timed, struct buf *out)
{
	struct stamp stamp = { t->day, t->second, STAMP_NO_OFFSET };

	day_write(out, t->day);
	if (!timed)
		return;
	buf_char(out, ' ');
	time_write(out, &stamp);
}

static const char *why_form(const struct guess *g)
{
	const struct guess_form *f = &g->time.form[0];

	if (slice_eq(slice_of(f->text), SLICE("serial")))
		return "likely: rising numbers of the size of a spreadsheet's days; serial-1904 counts from 1904";
	if (slice_starts(slice_of(f->text), SLICE("unix")))
		return "likely: rising numbers of the size of seconds since 1970";
	if (g->time.by_days)
		return "likely: in this form the days follow one another";
	if (g->time.midnights)
		return "likely: the time is left out at midnight";
	if (f->read < g->time.rows)
		return "likely: most rows are written this way";
	return g->time.several ? "sure: no other order fits all rows" : "sure: no other form fits";
}

/* Words beside the time that are not the same in every row may be the halves of the day. */
static void ask_halves(struct guess *g)
{
	const struct guess_form *f = &g->time.form[0];

	if (g->time.nforms != 1 || !strchr(f->text, '\'') || f->read * 100 >= g->time.rows * 97)
		return;
	buf_str(g->out, "  # OPEN: the words beside the time differ; if they are the halves of the day, write AP for them in\n"
		"  # the form, and list them: am: [WORD], pm: [WORD]\n");
	guess_ask(g, "the words beside the time differ from row to row (%.60s): if they are the halves of the day, list them as `am` and `pm`", f->text);
}

static void put_form(struct guess *g)
{
	struct guess_time *t = &g->time;
	struct buf when = BUF_INIT;

	for (size_t i = 0; i < t->nforms; i++) {
		size_t start = g->out->n;

		buf_str(g->out, t->nforms == 1 ? "  form: " : "  #form: ");
		put_quoted(g->out, slice_of(t->form[i].text));
		when.n = 0;
		utf8_add_visible(&when, buf_slice(&t->form[i].first_text));
		buf_str(&when, " is ");
		moment(&t->form[i].first, t->form[i].form.timed, &when);
		if (t->nforms == 1)
			buf_printf(&when, "; %s", why_form(g));
		put_remark(g->out, start, buf_cstr(&when));
		if (t->nforms > 1)
			guess_ask(g, "the data do not decide the form of the date: %s with form \"%s\"", buf_cstr(&when), t->form[i].text);
	}
	if (t->nforms > 1)
		buf_str(g->out, "  # OPEN: the data fit all of these; remove the # of the right one\n");
	buf_release(&when);
	ask_halves(g);
}

static const char *offset_unit(const struct guess_column *c)
{
	double most = c->most > -c->least ? c->most : -c->least;

	if (!c->numbers)
		return "text";
	return most <= 14 ? "hours" : most <= 56 ? "quarter-hours" : "minutes";
}

static bool put_offset_column(struct guess *g)
{
	for (size_t i = 0; i < g->ncols; i++) {
		size_t start = g->out->n;

		if (g->column[i].role != ROLE_OFFSET)
			continue;
		buf_str(g->out, "  offset: {column: ");
		put_column(g, i);
		buf_printf(g->out, ", in: %s}", offset_unit(&g->column[i]));
		put_remark(g->out, start, "likely: by the heading and the cells");
		return true;
	}
	return false;
}

static void put_clock(struct guess *g)
{
	const struct guess_form *f = &g->time.form[0];
	size_t start = g->out->n;

	if (f->form.offset || put_offset_column(g))
		return;
	if (g->offset_in_front) {
		buf_str(g->out, "  clock: header");
		put_remark(g->out, start, "likely: the lines before the rows name an offset");
		return;
	}
	buf_str(g->out, "  clock: wall");
	put_remark(g->out, start, f->hour_back ? "not sure: an hour repeats, as when summer time ends; name the zone, such as Pacific/Auckland" :
		"not sure: the file does not say; the works' own clock. If it ignores summer time, write an offset, such as \"+12:00\"");
}

static void put_time(struct guess *g)
{
	buf_str(g->out, "time:\n");
	put_time_columns(g);
	put_form(g);
	put_clock(g);
}

/* --- entries ---------------------------------------------------------------------------------------- */

/* Letters, digits, - and _ of a text as an id; empty when none are left. */
static void put_id(struct slice s, struct buf *out)
{
	size_t start = out->n;

	for (size_t i = 0; i < s.n && out->n - start < 30; i++) {
		char c = s.p[i];
		bool fine = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');

		if (fine || (c == '-' && out->n > start))
			buf_char(out, c);
		else if (out->n > start && out->p[out->n - 1] != '-')
			buf_char(out, '-');
	}
	while (out->n > start && out->p[out->n - 1] == '-')
		out->n--;
}

/* The file's name without folder and ending. */
static struct slice stem(struct slice path)
{
	for (size_t i = path.n; i-- > 0;)
		if (path.p[i] == '/') {
			path = slice_from(path, i + 1);
			break;
		}
	return slice_upto(path, slice_find(path, '.'));
}

static void default_subject(const struct guess *g, struct buf *out)
{
	out->n = 0;
	if (g->wish->subject.n)
		buf_add(out, g->wish->subject);
	else
		put_id(stem(g->wish->file), out);
	if (!out->n)
		buf_str(out, "place");
}

static void put_event(struct guess *g, const char *event)
{
	size_t start = g->out->n;

	buf_str(g->out, "  - event: ");
	if (g->wish->event.n)
		buf_add(g->out, g->wish->event);
	else
		buf_str(g->out, event);
	put_remark(g->out, start, g->wish->event.n ? "as you said" : "likely: by the quantities");
}

static void put_words(struct guess *g, const struct guess_words *words)
{
	buf_str(g->out, ", words: {");
	for (size_t i = 0; i < words->n; i++) {
		struct buf id = BUF_INIT;

		put_id(buf_slice(&words->word[i].text), &id);
		buf_str(g->out, i ? ", " : "");
		put_quoted(g->out, buf_slice(&words->word[i].text));
		buf_str(g->out, ": ");
		put_quoted(g->out, id.n ? buf_slice(&id) : SLICE("place"));
		buf_release(&id);
	}
	buf_char(g->out, '}');
}

/* The subject: from the sensor's column, by what the headings call it, or one name. */
static void put_subject(struct guess *g, struct slice name, size_t number)
{
	size_t start = g->out->n;
	struct buf id = BUF_INIT;

	buf_str(g->out, "    subject: ");
	if (g->sensor != SIZE_MAX) {
		buf_str(g->out, "{column: ");
		put_column(g, g->sensor);
		put_words(g, &g->column[g->sensor].values);
		buf_char(g->out, '}');
		put_remark(g->out, start, "not sure: write the place of the house file for each sensor");
		return;
	}
	if (number)
		put_id(name, &id);
	if (!id.n) {
		default_subject(g, &id);
		if (number)
			buf_printf(&id, "-%zu", number);
	}
	put_quoted(g->out, buf_slice(&id));
	put_remark(g->out, start, g->wish->subject.n && !number ? "as you said" : "not sure: the place, charge or lot");
	buf_release(&id);
}

static void put_meter(struct guess *g)
{
	buf_str(g->out, "    ");
	if (g->wish->meter.n) {
		buf_str(g->out, "meter: ");
		put_quoted(g->out, g->wish->meter);
		buf_char(g->out, '\n');
	} else {
		buf_str(g->out, "#meter: hyg1    the instrument's id in the house file\n");
	}
}

static void put_cell(struct guess *g, const char *head, size_t c)
{
	struct guess_column *col = &g->column[c];
	size_t start = g->out->n;

	buf_str(g->out, head);
	buf_str(g->out, "{column: ");
	put_column(g, c);
	if (col->unit.n) {
		buf_str(g->out, ", unit: ");
		put_quoted(g->out, col->unit);
	}
	if (g->decimals >= 0)
		buf_printf(g->out, ", decimals: %d", g->decimals);
	buf_char(g->out, '}');
	put_remark(g->out, start, col->unit.n ? col->why_unit : "OPEN: its unit; add `unit: C` or `unit: F`");
	if (!col->unit.n)
		guess_ask(g, "column %zu (%.*s) does not say its unit: C or F?", c + 1, (int)(col->heading.n < 60 ? col->heading.n : 60),
			col->heading.n ? col->heading.p : "");
}

/* The columns of a role, in order. */
static size_t columns_with(const struct guess *g, enum guess_role role, size_t *out)
{
	size_t n = 0;

	for (size_t i = 0; i < g->ncols; i++)
		if (g->column[i].role == role)
			out[n++] = i;
	return n;
}

struct by_role {
	size_t temp[GUESS_COLUMNS], rh[GUESS_COLUMNS], wet[GUESS_COLUMNS], mc[GUESS_COLUMNS], wood[GUESS_COLUMNS], mass[GUESS_COLUMNS];
	size_t ntemp, nrh, nwet, nmc, nwood, nmass;
};

static void sort_roles(const struct guess *g, struct by_role *r)
{
	r->ntemp = columns_with(g, ROLE_TEMP, r->temp);
	r->nrh = columns_with(g, ROLE_RH, r->rh);
	r->nwet = columns_with(g, ROLE_WETBULB, r->wet);
	r->nmc = columns_with(g, ROLE_MC, r->mc);
	r->nwood = columns_with(g, ROLE_WOOD, r->wood);
	r->nmass = columns_with(g, ROLE_MASS, r->mass);
	if (r->nmc && !r->nwood && r->ntemp == 1 && !r->nrh) {
		r->wood[r->nwood++] = r->temp[0];
		r->ntemp = 0;
	}
}

static void put_labelled(struct guess *g, const char *field, const size_t *column, size_t n)
{
	struct buf head = BUF_INIT;

	buf_printf(g->out, "    %s:\n", field);
	for (size_t i = 0; i < n; i++) {
		struct buf label = BUF_INIT;

		put_id(g->column[column[i]].rest, &label);
		for (size_t k = 0; k < i; k++)
			if (slice_eq(g->column[column[k]].rest, g->column[column[i]].rest))
				label.n = 0;
		if (!label.n)
			buf_char(&label, (char)('a' + i % 26));
		head.n = 0;
		buf_str(&head, "      \"");
		buf_add(&head, buf_slice(&label));
		buf_str(&head, "\": ");
		put_cell(g, buf_cstr(&head), column[i]);
		buf_release(&label);
	}
	buf_release(&head);
}

static void put_air(struct guess *g, const struct by_role *r, size_t i, size_t of)
{
	size_t any = i < r->ntemp ? r->temp[i] : i < r->nrh ? r->rh[i] : r->wet[i];

	put_event(g, "air");
	put_subject(g, g->column[any].rest, of > 1 ? i + 1 : 0);
	if (i < r->ntemp)
		put_cell(g, "    temp: ", r->temp[i]);
	if (i < r->nrh)
		put_cell(g, "    rh: ", r->rh[i]);
	if (i < r->nwet)
		put_cell(g, "    wetbulb: ", r->wet[i]);
	put_meter(g);
}

static void put_probe(struct guess *g, const struct by_role *r)
{
	put_event(g, "probe");
	put_subject(g, (struct slice){ "", 0 }, 0);
	if (r->nmc == 1)
		put_cell(g, "    mc: ", r->mc[0]);
	else
		put_labelled(g, "mc", r->mc, r->nmc);
	if (r->nwood)
		put_cell(g, "    wood: ", r->wood[0]);
	put_meter(g);
}

static void put_weigh(struct guess *g, const struct by_role *r)
{
	put_event(g, "weigh");
	put_subject(g, (struct slice){ "", 0 }, 0);
	if (r->nmass == 1)
		put_cell(g, "    mass: ", r->mass[0]);
	else
		put_labelled(g, "mass", r->mass, r->nmass);
}

static size_t larger(size_t a, size_t b)
{
	return a > b ? a : b;
}

static bool put_wide(struct guess *g)
{
	struct by_role r;
	size_t airs;

	sort_roles(g, &r);
	airs = larger(larger(r.ntemp, r.nrh), r.nwet);
	for (size_t i = 0; i < airs; i++)
		put_air(g, &r, i, airs);
	if (r.nmc)
		put_probe(g, &r);
	if (r.nmass)
		put_weigh(g, &r);
	return airs || r.nmc || r.nmass;
}

/* --- long tables -------------------------------------------------------------------------------------- */

/* The role of a quantity told by its name and its unit, as a column with that heading would have. */
static enum guess_role quantity_role(struct slice name, struct slice unit)
{
	static const char *const temps[] = { "temp", "tmp", NULL };
	bool warm = slice_eq(unit, SLICE("C")) || slice_eq(unit, SLICE("F"));

	for (size_t i = 0; temps[i]; i++)
		if (name.n >= 3 && strncasecmp(name.p, temps[i], 3) == 0)
			return ROLE_TEMP;
	if (warm)
		return ROLE_TEMP;
	if (slice_eq(unit, SLICE("%")) || (name.n >= 2 && (strncasecmp(name.p, "rh", 2) == 0 || strncasecmp(name.p, "rf", 2) == 0)) ||
	    (name.n >= 5 && (strncasecmp(name.p, "humid", 5) == 0 || strncasecmp(name.p, "feuch", 5) == 0)))
		return name.n >= 2 && (strncasecmp(name.p, "mc", 2) == 0 || strncasecmp(name.p, "mo", 2) == 0) ? ROLE_MC : ROLE_RH;
	return ROLE_NONE;
}

static bool is_dew(struct slice name)
{
	return name.n >= 3 && (strncasecmp(name.p, "dew", 3) == 0 || strncasecmp(name.p, "tau", 3) == 0);
}

static bool put_quantity(struct guess *g, const struct guess_word *pair)
{
	struct slice text = buf_slice(&pair->text), name = slice_upto(text, slice_find(text, '\t'));
	struct guess_column *value = &g->column[g->value];
	enum guess_role role;

	value->unit = cell_number_unit(slice_from(text, name.n + 1));
	value->why_unit = "sure: it is beside the numbers";
	role = quantity_role(name, value->unit);
	if (role == ROLE_NONE || is_dew(name) || (role == ROLE_TEMP && slice_eq(value->unit, SLICE("%"))))
		return false;
	if (!value->unit.n && role != ROLE_TEMP) {
		value->unit = SLICE("%");
		value->why_unit = "likely: the quantity has no other unit";
	}
	put_event(g, role == ROLE_MC ? "probe" : "air");
	put_subject(g, (struct slice){ "", 0 }, 0);
	buf_str(g->out, "    when: {column: ");
	put_column(g, g->quantity);
	buf_str(g->out, ", is: ");
	put_quoted(g->out, name);
	buf_str(g->out, "}\n");
	put_cell(g, role == ROLE_TEMP ? "    temp: " : role == ROLE_MC ? "    mc: " : "    rh: ", g->value);
	put_meter(g);
	return true;
}

static bool put_long(struct guess *g)
{
	bool any = false;

	for (size_t i = 0; i < g->quantity_unit.n && i < 32; i++)
		any = put_quantity(g, &g->quantity_unit.word[i]) || any;
	return any;
}

/* --- the whole ------------------------------------------------------------------------------------------ */

static void put_unused(struct guess *g)
{
	bool first = true;

	for (size_t i = 0; i < g->ncols; i++) {
		enum guess_role role = g->column[i].role;

		if ((role != ROLE_NONE && role != ROLE_DEWPOINT) || !g->column[i].filled || i == g->sensor || i == g->quantity || i == g->unit)
			continue;
		buf_str(g->out, first ? "# Not used: column " : ", ");
		put_column(g, i);
		first = false;
	}
	if (!first)
		buf_char(g->out, '\n');
}

void guess_write(struct guess *g)
{
	bool any;

	buf_str(g->out, "# A mapping that wy-intake --guess proposes for ");
	utf8_add_visible(g->out, g->wish->file);
	buf_printf(g->out, ", by %llu rows with a time.\n", (unsigned long long)g->data_rows);
	buf_str(g->out, "# Check it: \"sure\" means that the data leave no choice; mapping(5) explains each line.\n");
	put_file(g);
	put_time(g);
	buf_str(g->out, "entries:\n");
	any = g->quantity != SIZE_MAX ? put_long(g) : put_wide(g);
	if (!any) {
		buf_str(g->out, "  # OPEN: no heading and no numbers show a temperature, a humidity, a moisture or a mass;\n"
			"  # write an entry as mapping(5) shows\n");
		guess_ask(g, "no column could be identified as a temperature, a humidity, a moisture or a mass");
	}
	put_unused(g);
	if (g->unfit)
		guess_ask(g, "%llu rows can be split into cells in more than one way, because the comma is also the decimal mark",
			(unsigned long long)g->unfit);
}
