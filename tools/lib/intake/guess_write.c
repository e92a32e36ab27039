#include "intake/guess_internal.h"

enum {
	ID_MOST = 30,          /* letters of an id that is made of a heading or a file's name */
	ROUND_MOST = 5,        /* places after the point that an instrument may show; more is not noise */
	QUANTITIES_MOST = 32   /* entries of a long table that are proposed; more would hide the rest */
};

/* --- entries ---------------------------------------------------------------------------------------- */

/* Letters, digits, - and _ of a text as an id; empty when none are left. */
static void put_id(struct slice s, struct buf *out)
{
	size_t start = out->n;

	for (size_t i = 0; i < s.n && out->n - start < ID_MOST; i++) {
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
	guess_put_remark(g->out, start, g->wish->event.n ? "as you said" : "likely: by the quantities");
}

static void put_words(struct guess *g, const struct guess_words *words)
{
	buf_str(g->out, ", words: {");
	for (size_t i = 0; i < words->n; i++) {
		struct buf id = BUF_INIT;

		put_id(buf_slice(&words->word[i].text), &id);
		buf_str(g->out, i ? ", " : "");
		guess_put_quoted(g->out, buf_slice(&words->word[i].text));
		buf_str(g->out, ": ");
		guess_put_quoted(g->out, id.n ? buf_slice(&id) : SLICE("place"));
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
		guess_put_column(g, g->sensor);
		put_words(g, &g->column[g->sensor].values);
		buf_char(g->out, '}');
		guess_put_remark(g->out, start, "not sure: write the place of the house file for each sensor");
		return;
	}
	if (number)
		put_id(name, &id);
	if (!id.n) {
		default_subject(g, &id);
		if (number)
			buf_printf(&id, "-%zu", number);
	}
	guess_put_quoted(g->out, buf_slice(&id));
	guess_put_remark(g->out, start, g->wish->subject.n && !number ? "as you said" : "not sure: the place, charge or lot");
	buf_release(&id);
}

static void put_meter(struct guess *g)
{
	buf_str(g->out, "    ");
	if (g->wish->meter.n) {
		buf_str(g->out, "meter: ");
		guess_put_quoted(g->out, g->wish->meter);
		buf_char(g->out, '\n');
	} else {
		buf_str(g->out, "#meter: hyg1    the instrument's id in the house file\n");
	}
}

/* The numbers that no reading of the column can be. */
static void put_sentinels(struct guess *g, const struct guess_column *col)
{
	size_t n = 0;

	for (size_t i = 0; i < col->odd.n; i++) {
		if (!guess_is_sentinel(col, buf_slice(&col->odd.word[i].text)))
			continue;
		buf_str(g->out, n++ ? ", " : ", missing: [");
		guess_put_quoted(g->out, buf_slice(&col->odd.word[i].text));
	}
	if (n)
		buf_char(g->out, ']');
}

/* Digits that a program did not round are noise, if few after the point matter. */
static bool is_noise(const struct guess_column *col)
{
	return col->long_numbers && col->places <= ROUND_MOST && col->decimals_most <= ROUND_MOST;
}

static void put_cell_text(struct guess *g, const struct guess_column *col, size_t c)
{
	buf_str(g->out, "{column: ");
	guess_put_column(g, c);
	if (col->unit.n || g->unit_of_all) {
		buf_str(g->out, ", unit: ");
		if (g->unit_of_all) {
			buf_str(g->out, "{column: ");
			guess_put_column(g, g->unit);
			buf_char(g->out, '}');
		} else {
			guess_put_quoted(g->out, col->unit);
		}
	}
	put_sentinels(g, col);
	if (is_noise(col))
		buf_printf(g->out, ", round: %zu", col->decimals_most > col->places ? col->decimals_most : col->places);
	if (g->decimals >= 0)
		buf_printf(g->out, ", decimals: %d", g->decimals);
	buf_char(g->out, '}');
}

static void ask_column(struct guess *g, size_t c, const char *why)
{
	struct guess_column *col = &g->column[c];

	guess_ask(g, "column %zu (%.*s): %s", c + 1, (int)(col->heading.n < GUESS_QUOTED ? col->heading.n : GUESS_QUOTED),
		col->heading.n ? col->heading.p : "", why);
}

/* A cell of an entry. One that is in doubt is written as a remark, which does nothing. */
static void put_cell(struct guess *g, int indent, const char *key, size_t c)
{
	struct guess_column *col = &g->column[c];
	size_t start = g->out->n;
	struct buf why = BUF_INIT, remark = BUF_INIT;
	const char *doubt = guess_column_doubt(g, col, &why);
	bool whole = g->unit_of_all;

	if (g->has_degrees && !col->unit.n) {
		g->unit_of_all = true;
		col->why_unit = "sure: the column beside it says so";
	}
	buf_fill(g->out, ' ', (size_t)indent);
	buf_printf(g->out, "%s%s: ", doubt ? "#" : "", key);
	put_cell_text(g, col, c);
	if (doubt)
		buf_printf(&remark, "OPEN: %s; remove the # if it is right", doubt);
	else if (col->unit.n || g->unit_of_all)
		buf_str(&remark, col->why_unit);
	else
		buf_str(&remark, "OPEN: its unit; add `unit: C` or `unit: F`");
	guess_put_remark(g->out, start, buf_cstr(&remark));
	if (doubt)
		ask_column(g, c, doubt);
	else if (!col->unit.n && !g->unit_of_all)
		guess_ask(g, "column %zu (%.*s) does not say its unit: C or F?", c + 1, (int)(col->heading.n < GUESS_QUOTED ? col->heading.n : GUESS_QUOTED),
			col->heading.n ? col->heading.p : "");
	if (col->long_numbers && !is_noise(col))
		ask_column(g, c, "its numbers have more than 15 digits; write how many to keep after the point, such as `round: 2`");
	g->unit_of_all = whole;
	buf_release(&why);
	buf_release(&remark);
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
		buf_char(&head, '"');
		buf_add(&head, buf_slice(&label));
		buf_char(&head, '"');
		put_cell(g, 6, buf_cstr(&head), column[i]);
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
		put_cell(g, 4, "temp", r->temp[i]);
	if (i < r->nrh)
		put_cell(g, 4, "rh", r->rh[i]);
	if (i < r->nwet)
		put_cell(g, 4, "wetbulb", r->wet[i]);
	put_meter(g);
}

static void put_probe(struct guess *g, const struct by_role *r)
{
	put_event(g, "probe");
	put_subject(g, (struct slice){ "", 0 }, 0);
	if (r->nmc == 1)
		put_cell(g, 4, "mc", r->mc[0]);
	else
		put_labelled(g, "mc", r->mc, r->nmc);
	if (r->nwood)
		put_cell(g, 4, "wood", r->wood[0]);
	put_meter(g);
}

static void put_weigh(struct guess *g, const struct by_role *r)
{
	put_event(g, "weigh");
	put_subject(g, (struct slice){ "", 0 }, 0);
	if (r->nmass == 1)
		put_cell(g, 4, "mass", r->mass[0]);
	else
		put_labelled(g, "mass", r->mass, r->nmass);
}

static size_t larger(size_t a, size_t b)
{
	return a > b ? a : b;
}

/* A column of units beside a temperature that has none: C, F. */
static bool is_degrees(const struct guess *g)
{
	const struct guess_words *words = &g->column[g->unit].values;

	for (size_t i = 0; i < words->n; i++) {
		struct slice unit = cell_number_unit(buf_slice(&words->word[i].text));

		if (!slice_eq(unit, SLICE("C")) && !slice_eq(unit, SLICE("F")))
			return false;
	}
	return words->n > 0 && !words->more;
}

static bool put_wide(struct guess *g)
{
	struct by_role r;
	size_t airs;

	sort_roles(g, &r);
	g->has_degrees = g->unit != SIZE_MAX && is_degrees(g);
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

/* The role of a quantity by its name and its unit, as for a column with that heading. */
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
	guess_put_column(g, g->quantity);
	buf_str(g->out, ", is: ");
	guess_put_quoted(g->out, name);
	buf_str(g->out, "}\n");
	g->unit_of_all = g->unit != SIZE_MAX && value->unit.n;
	put_cell(g, 4, role == ROLE_TEMP ? "temp" : role == ROLE_MC ? "mc" : "rh", g->value);
	g->unit_of_all = false;
	put_meter(g);
	return true;
}

/* Whether the quantity came with another unit before: the unit's column is in its entry. */
static bool is_quantity_again(const struct guess *g, size_t i)
{
	struct slice name = buf_slice(&g->quantity_unit.word[i].text);

	name = slice_upto(name, slice_find(name, '\t'));
	for (size_t k = 0; k < i; k++) {
		struct slice other = buf_slice(&g->quantity_unit.word[k].text);

		if (slice_eq(slice_upto(other, slice_find(other, '\t')), name) && cell_number_unit(slice_from(other, name.n + 1)).n)
			return true;
	}
	return false;
}

static bool put_long(struct guess *g)
{
	bool any = false;

	for (size_t i = 0; i < g->quantity_unit.n && i < QUANTITIES_MOST; i++)
		if (!is_quantity_again(g, i))
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
		guess_put_column(g, i);
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
	guess_put_file(g);
	guess_put_time(g);
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
