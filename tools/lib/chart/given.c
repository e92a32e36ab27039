#include "chart/given.h"

#include <math.h>
#include <stdlib.h>

#include "table/table.h"
#include "table/table_read.h"
#include "time/stamp.h"

/* ---- finding tables */

/* The next name of a list with blanks between; empty at its end. */
static struct slice next_name(const char **list)
{
	struct slice name;

	while (**list == ' ')
		(*list)++;
	name = (struct slice){ *list, strcspn(*list, " ") };
	*list += name.n;
	return name;
}

static bool has(const struct table *t, struct slice name)
{
	for (size_t i = 0; i < t->n_columns; i++)
		if (slice_eq(slice_of(t->columns[i].name), name))
			return true;
	return false;
}

/* How many of the columns it has, and the first that it lacks (empty: none). */
static size_t count_columns(const struct table *t, const char *columns, struct slice *lacks)
{
	struct slice name;
	size_t n = 0;

	*lacks = SLICE("");
	while ((name = next_name(&columns)).n)
		if (has(t, name))
			n++;
		else if (!lacks->n)
			*lacks = name;
	return n;
}

const struct table *given_table(const struct given *g, const char *columns)
{
	struct slice lacks;

	for (size_t i = 0; i < g->n; i++) {
		count_columns(g->tables[i], columns, &lacks);
		if (!lacks.n)
			return g->tables[i];
	}
	return NULL;
}

/* The first column that the table most like it lacks; the first of all where there is no table. */
static struct slice missing_column(const struct given *g, const char *columns)
{
	const char *list = columns;
	struct slice missing = next_name(&list), lacks;
	size_t most = 0;

	for (size_t i = 0; i < g->n; i++) {
		size_t n = count_columns(g->tables[i], columns, &lacks);

		if (n > most) {
			most = n;
			missing = lacks;
		}
	}
	return missing;
}

const struct table *given_need(const struct given *g, const char *columns, const char *command)
{
	const struct table *t = given_table(g, columns);
	struct slice missing;

	if (t && table_rows(t))
		return t;
	if (t) {
		buf_printf(g->error, "the table for '%s' has no row; look at what '%s' prints", g->kind, command);
		return NULL;
	}
	missing = missing_column(g, columns);
	buf_printf(g->error, "'%s' needs a column %.*s, which no table here has; '%s' prints one", g->kind, (int)missing.n, missing.p, command);
	return NULL;
}

bool given_nothing(const struct given *g, const char *what)
{
	buf_printf(g->error, "'%s' has nothing to draw: %s", g->kind, what);
	return false;
}

/* ---- cells */

size_t given_rows(const struct table *t)
{
	return table_rows(t);
}

bool given_has(const struct table *t, const char *column)
{
	return table_has_column(t, column);
}

static double number_of(struct slice text)
{
	enum { LONGEST = 40 };
	char copy[LONGEST + 1], *end;
	double v;

	if (!text.n || text.n > LONGEST)
		return NAN;
	memcpy(copy, text.p, text.n);
	copy[text.n] = '\0';
	if (strspn(copy, "+-.0123456789eE") < text.n)
		return NAN;
	v = strtod(copy, &end);
	return *end || !isfinite(v) ? NAN : v;
}

double given_number(const struct table *t, size_t row, const char *column)
{
	struct slice word = table_word(t, row, column);
	double v = word.n ? number_of(word) : table_figure(t, row, column);

	return isfinite(v) ? v : NAN;
}

double given_count(const struct table *t, size_t row, const char *column)
{
	double v = given_number(t, row, column);

	return isnan(v) ? 0 : v;
}

struct slice given_word(const struct table *t, size_t row, const char *column)
{
	return table_word(t, row, column);
}

bool given_is(const struct table *t, size_t row, const char *column, const char *word)
{
	return slice_eq(table_word(t, row, column), slice_of(word));
}

double given_day(const struct table *t, size_t row, const char *column)
{
	struct slice word = table_word(t, row, column);
	struct stamp stamp = { .second = 0 };
	int32_t day;

	if (word.n < 10 || date_read(slice_upto(word, 10), &day) != DATE_OK)
		return NAN;
	if (word.n > 11 && !time_read(slice_from(word, 11), &stamp))
		return NAN;
	return day + (double)stamp.second / DAY_S;
}

/* ---- words */

size_t given_words_find(const struct given_words *w, struct slice word)
{
	size_t i = 0;

	while (i < w->n && !slice_eq(w->word[i], word))
		i++;
	return i;
}

size_t given_words_at(struct given_words *w, struct slice word)
{
	size_t i = given_words_find(w, word);

	if (i == w->n) {
		w->word = mem_grow(w->word, &w->cap, i + 1, sizeof *w->word);
		w->word[w->n++] = word;
	}
	return i;
}

void given_words_release(struct given_words *w)
{
	free(w->word);
	*w = (struct given_words){ 0 };
}
