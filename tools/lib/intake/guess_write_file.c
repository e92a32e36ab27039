#include <stdio.h>

#include "intake/guess_internal.h"

enum {
	MISSING_TEXTS_MOST = 8,  /* texts among numbers; more of them are notes */
	TRAILERS_MOST = 12,      /* beginnings of rows without a time; more of them are readings of another form */
	TRAILER_LEAST = 2,       /* letters: a shorter one fits too much */
	WHY_MOST = 100           /* bytes of a remark */
};

static const double SURE_SHARE = 0.8;  /* fitness from which a separator is sure */

static void put_separator(struct guess *g)
{
	struct slice s = { g->csv.style.separator, g->csv.style.separator_n };
	size_t start = g->out->n;
	char why[WHY_MOST];

	buf_str(g->out, "  separator: ");
	if (!s.n)
		buf_str(g->out, "blanks");
	else if (slice_eq(s, SLICE("\t")))
		buf_str(g->out, "tab");
	else
		guess_put_quoted(g->out, s);
	if (g->sep_line)
		guess_put_remark(g->out, start, "sure: the first line names it");
	else {
		snprintf(why, sizeof why, "%s: it gives the rows the same number of cells", g->separator_share > SURE_SHARE ? "sure" : "likely");
		guess_put_remark(g->out, start, why);
	}
}

static void put_encoding(struct guess *g)
{
	size_t start = g->out->n;
	enum csv_encoding e = g->csv.style.encoding;

	buf_printf(g->out, "  encoding: %s", csv_encoding_words[e]);
	if (g->csv.bom)
		guess_put_remark(g->out, start, "sure: the byte-order mark says so");
	else if (e == CSV_UTF16LE || e == CSV_UTF16BE)
		guess_put_remark(g->out, start, "sure: every other byte is a NUL");
	else if (e == CSV_CP1252)
		guess_put_remark(g->out, start, g->high_controls ? "likely: it is not UTF-8, and has bytes that ISO-8859-1 does not have" :
			"likely: it is not UTF-8; iso-8859-1 gives the same text");
	else
		guess_put_remark(g->out, start, g->ascii ? "sure so far: all bytes are ASCII" : "sure: its letters are valid UTF-8");
}

static void put_decimal(struct guess *g)
{
	uint64_t commas = 0, points = 0;
	size_t start = g->out->n;

	for (size_t i = 0; i < g->ncols; i++) {
		commas += g->decimal == ',' && g->column[i].decimals_most;
		points += g->decimal == '.' && g->column[i].decimals_most;
	}
	buf_printf(g->out, "  decimal-mark: \"%c\"", g->decimal);
	if (g->comma_mess)
		guess_put_remark(g->out, start, "likely: rows have more cells than the header row, as if commas were also decimal marks");
	else if (commas || points)
		guess_put_remark(g->out, start, "sure: the numbers are written this way");
	else
		guess_put_remark(g->out, start, "not sure: no number has decimals");
	if (!g->thousands.n)
		return;
	start = g->out->n;
	buf_str(g->out, "  thousands-mark: ");
	guess_put_quoted(g->out, g->thousands);
	guess_put_remark(g->out, start, "likely: numbers have this mark before the decimal one");
}

static void put_lines(struct guess *g)
{
	size_t start = g->out->n;
	char why[WHY_MOST];

	if (g->skip) {
		buf_printf(g->out, "  lines-before: %zu", g->skip);
		guess_put_remark(g->out, start, "likely: lines before the header row");
		start = g->out->n;
	}
	buf_printf(g->out, "  header-rows: %zu", g->header);
	snprintf(why, sizeof why, g->header ? "likely: the first reading is on line %llu" :
		"sure: readings begin on line %llu, without a header row", (unsigned long long)g->row[g->first].line);
	guess_put_remark(g->out, start, why);
}

/* A text with a digit in it may be a number written otherwise: not for a list of words. */
static bool has_digit(struct slice s)
{
	for (size_t i = 0; i < s.n; i++)
		if (s.p[i] >= '0' && s.p[i] <= '9')
			return true;
	return false;
}

static void collect_missing(struct guess *g, struct guess_words *words)
{
	for (size_t i = 0; i < g->ncols; i++) {
		struct guess_column *c = &g->column[i];

		if (c->role < ROLE_TEMP || c->role == ROLE_OFFSET || c->role == ROLE_DEWPOINT || (c->role > ROLE_MASS && c->role != ROLE_VALUE))
			continue;
		for (size_t k = 0; k < c->texts.n && c->texts.n <= MISSING_TEXTS_MOST; k++)
			if (!has_digit(buf_slice(&c->texts.word[k].text)))
				guess_word_add(words, buf_slice(&c->texts.word[k].text));
	}
}

static void put_list(struct guess *g, const char *key, const struct guess_words *words, const char *tail, const char *why)
{
	size_t start = g->out->n;

	if (!words->n)
		return;
	buf_printf(g->out, "  %s: [", key);
	for (size_t i = 0; i < words->n; i++) {
		struct buf item = BUF_INIT;

		buf_add(&item, buf_slice(&words->word[i].text));
		buf_str(&item, tail);
		buf_str(g->out, i ? ", " : "");
		guess_put_quoted(g->out, buf_slice(&item));
		buf_release(&item);
	}
	buf_char(g->out, ']');
	guess_put_remark(g->out, start, why);
}

/* Words among numbers mean no reading, or off the scale; only the user knows. */
static void put_missing(struct guess *g)
{
	struct guess_words words = { .n = 0 };

	collect_missing(g, &words);
	put_list(g, "#missing", &words, "", "OPEN: if these words mean no reading, remove the #; if off the scale, see `words` in mapping(5)");
	for (size_t i = 0; i < words.n; i++)
		guess_ask(g, "does `%.*s` among the numbers mean no reading, or off the scale?",
			(int)(words.word[i].text.n < GUESS_QUOTED ? words.word[i].text.n : GUESS_QUOTED), words.word[i].text.p);
	guess_words_release(&words);
}

/* Whether rows with a time may begin so too: then it would take them. */
static bool is_among_firsts(const struct guess *g, struct slice s)
{
	for (size_t i = 0; i < g->firsts.n; i++) {
		struct slice first = buf_slice(&g->firsts.word[i].text);

		if (first.n && (slice_starts(first, s) || slice_starts(s, first)))
			return true;
	}
	return g->firsts.more;
}

static void put_trailer(struct guess *g)
{
	struct guess_words kept = { .n = 0 };

	for (size_t i = 0; i < g->trailers.n && g->trailers.n <= TRAILERS_MOST; i++) {
		struct slice s = buf_slice(&g->trailers.word[i].text);

		if (s.n >= TRAILER_LEAST && !is_among_firsts(g, s))
			guess_word_add(&kept, s);
	}
	put_list(g, "trailer", &kept, "*", "sure: rows that begin like this have no time");
	guess_words_release(&kept);
}

static void put_sheet(struct guess *g)
{
	buf_str(g->out, "  sheet: ");
	guess_put_quoted(g->out, g->wish->sheet);
	buf_char(g->out, '\n');
}

void guess_put_file(struct guess *g)
{
	buf_str(g->out, "file:\n");
	if (g->wish->sheet.n)
		put_sheet(g);
	if (!g->wish->sheet.n && !g->wish->json) {
		put_separator(g);
		put_encoding(g);
	}
	put_decimal(g);
	if (!g->wish->json)
		put_lines(g);
	put_missing(g);
	put_trailer(g);
}
