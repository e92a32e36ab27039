#include <stdio.h>

#include "intake/guess_internal.h"

/* Beyond these a number is not a reading but the instrument's mark for a fault: no field of the book holds it. */
enum {
	TEMP_LEAST = -60,      /* C or F: colder than any yard */
	TEMP_C_MOST = 250,     /* hotter than any kiln for wood */
	TEMP_F_MOST = 482,     /* the same */
	RH_MOST_PCT = 110,     /* saturated air may be read a little above 100 */
	MC_MOST_PCT = 400,     /* the lightest woods, soaked, hold about so much water (from memory) */
	KELVIN_LEAST = 223,    /* -50 C */
	KELVIN_MOST = 423,     /* 150 C */
	KELVIN_PCT = 50,       /* of a column's numbers are of that size: the column may be in kelvins */
	SENTINELS_MOST = 3     /* marks of one column; more of them are readings of another unit */
};

enum {
	LONG_PLACES = 9,       /* to which a number with too many digits is read */
	NOISE_PLACES = 5       /* a number that needs more after the point was not rounded by the instrument */
};

/* Per cent: how much of a column must be so, and limits of what a column may be. */
enum {
	NUMBERS_PCT = 50,      /* numbers to texts: a column of numbers has words of its own for faults */
	CHOICE_FILLED_PCT = 95, /* of the rows have a text: a sensor's name is hardly ever left out */
	CHOICE_NUMBERS_PCT = 25, /* of the cells are numbers: else the texts are faults of an instrument */
	CHOICE_REPEATS = 2,    /* rows for each text, at the least: names come again */
	QUANTITIES_PCT = 50,   /* of the texts name a quantity that is known */
	OFFSET_NUMBERS_PCT = 75, /* of the cells of a column of offsets are numbers */
	OFFSET_LEAST = -56,    /* quarter hours: 14 h west, farther than any zone */
	OFFSET_MOST = 900,     /* minutes: 15 h east, likewise */
	UNIT_WORDS_MOST = 7,   /* units in one column: an instrument measures few quantities */
	SHORT_WORD = 3,        /* letters: a shorter word is part of too many others */
	SCALE_MOST = 100       /* a percentage above it, or below 0, may be a word for "no reading" */
};

/* --- taking rows in ------------------------------------------------------------------------------- */

static void take_number(struct guess_column *c, const struct cell_number *r)
{
	double v = cell_number_value((struct slice){ r->text, r->n });

	c->least = !c->numbers || v < c->least ? v : c->least;
	c->most = !c->numbers || v > c->most ? v : c->most;
	c->decimals_least = !c->numbers || r->decimals < c->decimals_least ? r->decimals : c->decimals_least;
	c->decimals_most = r->decimals > c->decimals_most ? r->decimals : c->decimals_most;
	c->numbers++;
	c->in_one += v > 0 && v <= 1;
	c->above_one += v > 1 && v <= SCALE_MOST;
	c->kelvin += v >= KELVIN_LEAST && v <= KELVIN_MOST;
	if (v < 0 || v > SCALE_MOST)
		guess_word_add(&c->odd, (struct slice){ r->text, r->n });
	if (r->unit.n)
		guess_word_add(&c->units, r->unit);
}

/* A number with more digits than the book keeps, as programs print that do not round: what matters of it. */
static bool take_long(struct guess_column *c, struct slice text, const struct cell_style *style)
{
	static const struct cell_change shorter = { 0, true, LONG_PLACES };
	struct cell_number r;

	if (cell_number_change(text, style, &shorter, &r) || (r.unit.n && !cell_number_unit(r.unit).n))
		return false;
	while (r.decimals && r.text[r.n - 1] == '0') {
		r.n--;
		r.decimals--;
	}
	r.n -= r.n && r.text[r.n - 1] == '.';
	c->long_numbers++;
	c->places = r.decimals > c->places ? r.decimals : c->places;
	take_number(c, &r);
	return true;
}

static void take_cell(struct guess *g, struct guess_column *c, struct slice text)
{
	struct cell_style style = { g->decimal, g->thousands };
	struct cell_number r;
	enum reading_fault fault;

	if (!text.n)
		return;
	c->filled++;
	if (!c->values.more)
		guess_word_add(&c->values, text);
	if (missing_is(text))
		c->missing++;
	else if (!(fault = cell_number_read(text, &style, &r)) && (!r.unit.n || cell_number_unit(r.unit).n))
		take_number(c, &r);
	else if (fault != CELL_TOO_LONG || !take_long(c, text, &style))
		guess_word_add(&c->texts, text);
}

void guess_take_columns(struct guess *g, const struct slice *cell, size_t n)
{
	g->data_rows++;
	for (size_t i = 0; i < n && i < g->ncols; i++)
		if (g->column[i].role != ROLE_TIME)
			take_cell(g, &g->column[i], cell_number_trim(cell[i]));
}

/* --- what a column is ----------------------------------------------------------------------------- */

/* Words of headings in several languages (from memory), in small letters. */
static const char *const dew_words[] = { "dew", "taupunkt", "ros\xc3\xa9" "e", "rosee", "roc\xc3\xad" "o", "rocio", "rugiada",
	"orvalho", "dauw", "daggp", "dugp", NULL };
static const char *const wet_words[] = { "wet", "feuchtkugel", "bulbo", "bulbe", NULL };
static const char *const wood_words[] = { "wood", "holz", "core", "bois", "legno", "madera", "hout", "tr\xc3\xa4", NULL };
static const char *const mc_words[] = { "moist", "mc", "holzfeuchte", "feuchtegehalt", "fsp", "humidit\xc3\xa9 du bois",
	"humedad de la madera", "houtvocht", "fuktkvot", NULL };
/* A percentage of these may be either the wood's moisture or the air's. */
static const char *const probe_words[] = { "probe", NULL };
/* Words that name the air's humidity and nothing else. */
static const char *const air_words[] = { "rh", "r.h", "humid", "rf", "hr", "ur", NULL };
static const char *const rh_words[] = { "rh", "r.h", "humid", "hum", "lf", "rlf", "feucht", "rf", "hr", "ur", "vocht", "fukt", "fugt", "humed",
	"umid", "kosteus", "vlhkost", "wilgotno", NULL };
static const char *const temp_words[] = { "temp", "tmp", "l\xc3\xa4mp", "teplot", NULL };
static const char *const date_words[] = { "date", "datum", "dato", "data", "fecha", "jour", "day", "tag", "time", "zeit", "tid",
	"heure", "hora", "ora", NULL };
static const char *const sensor_words[] = { "sensor", "channel", "kanal", "canal", "canale", "logger", "station", "name",
	"f\xc3\xbchler", "capteur", "location", "ort", "messstelle", "probe", "device", "id", NULL };
static const char *const quantity_words[] = { "quantity", "parameter", "type", "typ", "gr\xc3\xb6\xc3\x9f" "e", "measure", "grandeur",
	"messgr\xc3\xb6\xc3\x9f" "e", "variable", "magnitud", "grandezza", NULL };
static const char *const unit_words[] = { "unit", "einheit", "unit\xc3\xa9", "unidad", "unit\xc3\xa0", "eenheid", "enhet", NULL };
static const char *const offset_words[] = { "zone", "tz", "utc", "gmt", "offset", "zeitzone", NULL };
static const char *const other_words[] = { "batt", "akku", "volt", "signal", "rssi", "serial", "index", "count", "press", "druck",
	"co2", "lux", NULL };

static char lower(char c)
{
	return c >= 'A' && c <= 'Z' ? (char)(c + 32) : c;
}

static bool is_ascii_letter(char c)
{
	return lower(c) >= 'a' && lower(c) <= 'z';
}

/*
 * The place of a word in a heading: a short one (rh, ur, mc) only as a word of its own, a longer
 * one also as the start of another or in it. SIZE_MAX when it does not.
 */
static size_t word_at(struct slice s, struct slice word)
{
	for (size_t i = 0; i + word.n <= s.n; i++) {
		size_t k = 0;

		while (k < word.n && lower(s.p[i + k]) == word.p[k])
			k++;
		if (k < word.n)
			continue;
		if (word.n > SHORT_WORD || ((i == 0 || !is_ascii_letter(s.p[i - 1])) && (i + k == s.n || !is_ascii_letter(s.p[i + k]))))
			return i;
	}
	return SIZE_MAX;
}

static bool names(struct slice s, const char *const *words)
{
	for (; *words; words++)
		if (word_at(s, slice_of(*words)) != SIZE_MAX)
			return true;
	return false;
}

static bool is_unit(struct slice unit, const char *what)
{
	return slice_eq(unit, slice_of(what));
}

/* The unit of most numbers of the column; empty if they have none. */
static struct slice glued_unit(const struct guess_column *c)
{
	uint64_t most = 0;
	struct slice unit = { "", 0 };

	for (size_t i = 0; i < c->units.n; i++)
		if (c->units.word[i].n > most) {
			most = c->units.word[i].n;
			unit = cell_number_unit(buf_slice(&c->units.word[i].text));
		}
	return unit;
}

static void find_unit(struct guess_column *c)
{
	c->unit = glued_unit(c);
	c->why_unit = "sure: it follows the numbers";
	if (c->unit.n)
		return;
	c->unit = cell_number_heading_unit(buf_slice(&c->heading));
	c->why_unit = "sure: the heading says so";
}

static enum guess_role temperature_role(struct slice heading)
{
	if (names(heading, dew_words))
		return ROLE_DEWPOINT;
	if (names(heading, wet_words))
		return ROLE_WETBULB;
	return names(heading, wood_words) ? ROLE_WOOD : ROLE_TEMP;
}

static enum guess_role percent_role(const struct guess *g, struct slice heading)
{
	if (slice_eq(g->wish->event, SLICE("probe")))
		return ROLE_MC;
	if (names(heading, air_words) && !names(heading, wood_words))
		return ROLE_RH;
	if (names(heading, mc_words) || (names(heading, probe_words) && !names(heading, rh_words)))
		return ROLE_MC;
	return ROLE_RH;
}

static enum guess_role role_of(struct guess *g, struct guess_column *c)
{
	struct slice heading = buf_slice(&c->heading);

	find_unit(c);
	if (names(heading, other_words))
		return ROLE_NONE;
	if (is_unit(c->unit, "C") || is_unit(c->unit, "F"))
		return temperature_role(heading);
	if (is_unit(c->unit, "g") || is_unit(c->unit, "kg") || is_unit(c->unit, "lb") || is_unit(c->unit, "oz"))
		return ROLE_MASS;
	if (is_unit(c->unit, "%"))
		return percent_role(g, heading);
	if (c->unit.n)
		return ROLE_NONE;
	if (names(heading, temp_words) || names(heading, dew_words))
		return temperature_role(heading);
	if (names(heading, rh_words) || names(heading, mc_words)) {
		c->unit = SLICE("%");
		c->why_unit = "likely: the heading names a quantity that has no other unit";
		return percent_role(g, heading);
	}
	return ROLE_NONE;
}

static bool is_numeric(const struct guess_column *c)
{
	uint64_t texts = 0;

	for (size_t i = 0; i < c->texts.n; i++)
		texts += c->texts.word[i].n;
	return c->numbers > 0 && guess_share(c->numbers, texts, NUMBERS_PCT);
}

static bool all_units(const struct guess_words *words)
{
	for (size_t i = 0; i < words->n; i++)
		if (!cell_number_unit(buf_slice(&words->word[i].text)).n)
			return false;
	return words->n > 0;
}

/* A text in nearly every row, with few values, or units alone. */
static bool is_choice(const struct guess *g, const struct guess_column *c)
{
	return !c->texts.more && c->texts.n >= 1 && !guess_share(c->numbers, c->filled, CHOICE_NUMBERS_PCT) &&
		guess_share(c->filled, g->data_rows, CHOICE_FILLED_PCT) && (c->texts.n * CHOICE_REPEATS <= g->data_rows || all_units(&c->texts));
}

static bool all_quantities(const struct guess_words *words)
{
	size_t known = 0;

	for (size_t i = 0; i < words->n; i++) {
		struct slice s = buf_slice(&words->word[i].text);

		known += names(s, temp_words) || names(s, rh_words) || names(s, mc_words) || names(s, dew_words);
	}
	return known > 0 && guess_share(known, words->n, QUANTITIES_PCT) && words->n > 1;
}

static bool all_offsets(const struct guess_words *words)
{
	int32_t offset_s;

	for (size_t i = 0; i < words->n; i++) {
		struct slice s = buf_slice(&words->word[i].text);

		if (time_format_offset(s, &offset_s) != s.n)
			return false;
	}
	return words->n > 0;
}

static void choice_role(struct guess *g, size_t i)
{
	struct guess_column *c = &g->column[i];
	struct slice heading = buf_slice(&c->heading);

	if (all_offsets(&c->texts))
		c->role = ROLE_OFFSET;
	else if (g->unit == SIZE_MAX && (all_units(&c->texts) || (names(heading, unit_words) && c->texts.n <= UNIT_WORDS_MOST)))
		g->unit = i;
	else if (g->quantity == SIZE_MAX && (all_quantities(&c->texts) || (names(heading, quantity_words) && c->texts.n > 1)))
		g->quantity = i;
	else if (g->sensor == SIZE_MAX && c->texts.n > 1)
		g->sensor = i;
	else if (g->sensor == SIZE_MAX && names(heading, sensor_words) && !names(heading, other_words))
		g->sensor = i;
}

/* A column of whole numbers, each a sensor: few values, and a heading that says so. */
static bool is_number_choice(const struct guess_column *c)
{
	return names(buf_slice(&c->heading), sensor_words) && c->decimals_most == 0 && !c->values.more && !c->unit.n &&
		!names(buf_slice(&c->heading), mc_words);
}

static bool is_offset(const struct guess_column *c)
{
	return names(buf_slice(&c->heading), offset_words) && c->decimals_most == 0 && !c->unit.n && guess_share(c->numbers, c->filled, OFFSET_NUMBERS_PCT) &&
		c->least >= OFFSET_LEAST && c->most <= OFFSET_MOST;
}

/* The quantity of a long table's row with the unit beside it. */
static void pair_units(struct guess *g)
{
	struct buf pair = BUF_INIT;

	for (size_t r = g->first; r < g->nrows; r++) {
		const struct guess_row *row = &g->row[r];

		if (g->quantity >= row->n || (g->unit != SIZE_MAX && g->unit >= row->n))
			continue;
		pair.n = 0;
		buf_add(&pair, cell_number_trim(row->cell[g->quantity]));
		buf_char(&pair, '\t');
		if (g->unit != SIZE_MAX)
			buf_add(&pair, cell_number_trim(row->cell[g->unit]));
		guess_word_add(&g->quantity_unit, buf_slice(&pair));
	}
	buf_release(&pair);
}

/* A long table: one column of numbers, and one that says what they are. */
static void find_long(struct guess *g)
{
	if (g->quantity == SIZE_MAX)
		return;
	for (size_t i = 0; i < g->ncols; i++)
		if (is_numeric(&g->column[i]) && g->column[i].role != ROLE_TIME && g->column[i].role != ROLE_OFFSET &&
		    (g->value == SIZE_MAX || g->column[i].decimals_most > g->column[g->value].decimals_most))
			g->value = i;
	if (g->value == SIZE_MAX) {
		g->quantity = SIZE_MAX;
		return;
	}
	for (size_t i = 0; i < g->ncols; i++)
		if (g->column[i].role != ROLE_TIME && g->column[i].role != ROLE_OFFSET)
			g->column[i].role = ROLE_NONE;
	g->column[g->value].role = ROLE_VALUE;
	pair_units(g);
}

/* Takes a unit off the end: the last word, if it is one. */
static void drop_unit(struct buf *b)
{
	size_t at;

	b->n = cell_number_trim(buf_slice(b)).n;
	for (at = b->n; at && b->p[at - 1] != ' ' && b->p[at - 1] != '_' && b->p[at - 1] != ','; at--)
		;
	if (at && cell_number_unit(slice_from(buf_slice(b), at)).n)
		b->n = at;
}

/* What is left of a heading without its unit and the words for the quantity: the sensor's name. */
static void find_rest(struct guess_column *c)
{
	static const char *const *const all[] = { wet_words, mc_words, rh_words, temp_words };
	struct buf *b = &c->rest_text;
	struct slice s = buf_slice(&c->heading);

	for (size_t i = 0; i < s.n && s.p[i] != '(' && s.p[i] != '['; i++)
		buf_char(b, s.p[i]);
	drop_unit(b);
	for (size_t k = 0; k < sizeof all / sizeof *all; k++)
		for (size_t w = 0; all[k][w]; w++) {
			size_t at = word_at(buf_slice(b), slice_of(all[k][w])), end;

			if (at == SIZE_MAX)
				continue;
			for (end = at; end < b->n && (is_ascii_letter(b->p[end]) || (unsigned char)b->p[end] >= 0x80); end++)
				;
			memmove(b->p + at, b->p + end, b->n - end);
			b->n -= end - at;
		}
	c->rest = cell_number_trim(buf_slice(b));
	while (c->rest.n && memchr(",;:-_/.%", c->rest.p[c->rest.n - 1], 8))
		c->rest = cell_number_trim(slice_upto(c->rest, c->rest.n - 1));
	while (c->rest.n && memchr(",;:-_/.%", c->rest.p[0], 8))
		c->rest = cell_number_trim(slice_from(c->rest, 1));
}

/* --- what is in doubt ------------------------------------------------------------------------------- */

bool guess_names_date(struct slice heading)
{
	return names(heading, date_words);
}

bool guess_names_zone(struct slice heading)
{
	return names(heading, offset_words);
}

bool guess_is_sentinel(const struct guess_column *c, struct slice number)
{
	bool fahrenheit = slice_eq(c->unit, SLICE("F"));
	double v = cell_number_value(number);

	switch (c->role) {
	case ROLE_TEMP: case ROLE_WETBULB: case ROLE_WOOD: case ROLE_VALUE:
		return v < TEMP_LEAST || (fahrenheit ? v > TEMP_F_MOST : v > TEMP_C_MOST && v > KELVIN_MOST);
	case ROLE_RH:
		return v < 0 || v > RH_MOST_PCT;
	case ROLE_MC:
		return v < 0 || v > MC_MOST_PCT;
	case ROLE_MASS:
		return v < 0;
	default:
		return false;
	}
}

static const char *number_doubt(const struct guess_column *c, struct buf *text)
{
	size_t sentinels = 0;

	for (size_t i = 0; i < c->odd.n; i++)
		sentinels += guess_is_sentinel(c, buf_slice(&c->odd.word[i].text));
	if (c->odd.more || sentinels > SENTINELS_MOST)
		sentinels = SENTINELS_MOST + 1;
	text->n = 0;
	if ((c->role == ROLE_RH || c->role == ROLE_MC) && c->in_one && !c->above_one && c->decimals_most)
		buf_printf(text, "its numbers are not above 1: if they are fractions of 1, add `power: 2`");
	else if ((c->role == ROLE_TEMP || c->role == ROLE_WETBULB || c->role == ROLE_WOOD) && !slice_eq(c->unit, SLICE("F")) &&
		guess_share(c->kelvin, c->numbers, KELVIN_PCT))
		buf_str(text, "its numbers may be kelvins, which the book does not have; set the instrument's program to C");
	else if (sentinels > SENTINELS_MOST && c->role != ROLE_VALUE)
		buf_str(text, "many of its numbers are not possible in this unit; look at them");
	return text->n ? buf_cstr(text) : NULL;
}

const char *guess_column_doubt(const struct guess *g, const struct guess_column *c, struct buf *text)
{
	struct slice heading = buf_slice(&c->heading);
	const char *why = number_doubt(c, text);

	if (why || g->wish->event.n || c->role == ROLE_VALUE)
		return why;
	if (c->role == ROLE_RH && !names(heading, rh_words) && word_at(heading, SLICE("h")) == SIZE_MAX)
		return "the heading does not say that it is the air's humidity";
	if (c->role == ROLE_MC && !names(heading, mc_words))
		return "a probe may measure the wood's moisture or the air's humidity";
	return NULL;
}

void guess_settle_columns(struct guess *g)
{
	for (size_t i = 0; i < g->ncols; i++) {
		struct guess_column *c = &g->column[i];

		if (c->role == ROLE_TIME)
			continue;
		if (is_numeric(c)) {
			c->role = role_of(g, c);
			if (c->role == ROLE_NONE && g->sensor == SIZE_MAX && is_number_choice(c))
				g->sensor = i;
			else if (c->role == ROLE_NONE && is_offset(c))
				c->role = ROLE_OFFSET;
		} else if (is_choice(g, c)) {
			choice_role(g, i);
		}
		find_rest(c);
	}
	find_long(g);
}
