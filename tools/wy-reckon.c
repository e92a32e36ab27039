/*
 * wy-reckon - the bench calculator.
 *
 * What can be reckoned, and how, is in lib/reckon.h: here the words are read, the way is chosen by
 * them, and the answer is printed. A word whose value is @COLUMN makes it a filter of tables.
 */
#include <stdlib.h>
#include <unistd.h>

#include "base/csv.h"
#include "base/mem.h"
#include "cli/tool.h"
#include "cli/tool_book.h"
#include "table/table.h"
#include "wood/reckon_rows.h"

enum { WORDS_MOST = 64, HELD_MOST = 1 << 16 };

static bool list_asked;
static const char *prefix;

static const struct opt options[] = {
	OPT_TEXT('H', "house", &tool.house, "FILE", "the house file with meters and wood constants"),
	OPT_FLAG(0, "list", &list_asked, "list the quantities and what each needs"),
	OPT_TEXT(0, "prefix", &prefix, "TEXT", "put TEXT before the names of the columns added to a table"),
	OPT_PART(tool_on_options),
	OPT_PART(tool_form_options),
	OPT_END
};

/* ---- the words written */

struct word {
	struct slice name, text;
};

struct words {
	struct word at[WORDS_MOST];
	size_t n;
};

static const struct word *word_named(const struct words *words, const char *name)
{
	for (size_t i = 0; i < words->n; i++)
		if (slice_eq(words->at[i].name, slice_of(name)))
			return &words->at[i];
	return NULL;
}

/* NAME=VALUE; a word without = is the value itself, where the quantity has one. */
static struct word word_split(const struct reckon_way *w, const char *operand)
{
	struct slice all = slice_of(operand);
	size_t at = slice_find(all, '=');

	if (at < all.n)
		return (struct word){ slice_upto(all, at), slice_from(all, at + 1) };
	if (!reckon_any_takes(w, SLICE("value")))
		tool_misused("'%s' has no name; write %s=%s or the like", operand, w->arg[0].name, w->arg[0].sample);
	return (struct word){ SLICE("value"), all };
}

/* Whether the quantity knows this word, and sees it for the first time. */
static bool word_good(const struct reckon_way *w, const struct words *before, const struct word *word)
{
	const char *near = reckon_near_arg(w, word->name);
	int n = (int)word->name.n;

	if (!reckon_any_takes(w, word->name)) {
		tool_warn("'%.*s' is no word of %s%s%s%s", n, word->name.p, w->quantity,
			near ? "; did you mean " : "", near ? near : "", near ? "?" : "");
		return false;
	}
	for (size_t i = 0; i < before->n; i++)
		if (slice_eq(before->at[i].name, word->name)) {
			tool_warn("%.*s is given twice", n, word->name.p);
			return false;
		}
	return true;
}

static void take_words(const struct reckon_way *w, char **operands, size_t n, struct words *words)
{
	bool good = true;

	if (n > WORDS_MOST)
		tool_misused("more than %d words", WORDS_MOST);
	for (size_t i = 0; i < n; i++) {
		struct word word = word_split(w, operands[i]);

		good = word_good(w, words, &word) && good;
		words->at[words->n++] = word;
	}
	if (!good)
		tool_give_up();
}

/* ---- choosing the way */

static bool way_takes_all(const struct reckon_way *w, const struct words *words)
{
	for (size_t i = 0; i < words->n; i++)
		if (reckon_arg_at(w, words->at[i].name) < 0)
			return false;
	return true;
}

/* Adds what the way still lacks, "temp and rh, as in temp=20C rh=55%", to `out`; how many. */
static size_t add_lacking(const struct reckon_way *w, const struct words *words, struct buf *out)
{
	struct buf names = BUF_INIT, samples = BUF_INIT;
	size_t n = 0;

	for (int i = 0; i < reckon_nargs(w); i++) {
		if (w->arg[i].may || word_named(words, w->arg[i].name))
			continue;
		buf_printf(&names, "%s%s", n ? " and " : "", w->arg[i].name);
		buf_printf(&samples, " %s=%s", w->arg[i].name, w->arg[i].sample);
		n++;
	}
	if (n)
		buf_printf(out, "%s%s, as in%s", out->n ? "; or " : "", buf_cstr(&names), buf_cstr(&samples));
	buf_release(&names);
	buf_release(&samples);
	return n;
}

static _Noreturn void no_way(const struct reckon_way *w)
{
	tool_misused("these words do not go together; the ways to reckon %s are in its help", w->quantity);
}

/* The way that takes all the words and lacks none; else the end, with all that is lacking told. */
static const struct reckon_way *way_for(const struct reckon_way *w, const struct words *words)
{
	struct buf lacking = BUF_INIT;
	const struct reckon_way *first = w;

	for (; w; w = reckon_next(w)) {
		if (!way_takes_all(w, words))
			continue;
		if (add_lacking(w, words, &lacking) == 0) {
			buf_release(&lacking);
			return w;
		}
	}
	if (!lacking.n)
		no_way(first);
	tool_misused("lacking: %s", buf_cstr(&lacking));
}

/* ---- answering */

static void read_inputs(const struct reckon_way *w, const struct words *words, struct reckon_input *in)
{
	struct buf error = BUF_INIT;
	bool good = true;

	for (int i = 0; i < reckon_nargs(w); i++) {
		const struct word *word = word_named(words, w->arg[i].name);

		if (!word || reckon_read(&w->arg[i], word->text, &in[i], &error))
			continue;
		tool_warn("%s", buf_cstr(&error));
		good = false;
	}
	buf_release(&error);
	if (!good)
		tool_give_up();
}

/* The house file, where the way asks for one; none of the words is a book to be read. */
static struct reckon_house house_for(const struct reckon_way *w)
{
	static struct book book;

	if (w->house == RECKON_NO_HOUSE)
		return (struct reckon_house){ .house = NULL };
	tool.n_operands = 0;
	book_start(&book, w->house == RECKON_MUST_HOUSE ? BOOK_HOUSE : 0);
	return (struct reckon_house){ book.house, book.house_path, book_today(&book) };
}

/* A caution must be seen: below the table where that form has notes, else on standard error. */
static void put_text(struct table *t, struct slice text, enum reckoned_kind kind)
{
	int form = tool_form();
	struct buf marked = BUF_INIT;

	if (kind == RECKONED_NOTE) {
		table_note(t, text);
		return;
	}
	if (form == TABLE_AS_TSV || form == TABLE_AS_CSV || form == TABLE_AS_JSON) {
		tool_warn("%.*s", (int)text.n, text.p);
		return;
	}
	buf_printf(&marked, "Caution: %.*s.", (int)text.n, text.p);
	table_note(t, buf_slice(&marked));
	buf_release(&marked);
}

static void print_answer(const struct reckoned *r)
{
	static const struct table_column columns[] = {
		{ "quantity", TABLE_TEXT, 0, NULL }, { "value", TABLE_REAL, TABLE_EXACT, NULL }, { "unit", TABLE_TEXT, 0, NULL },
	};
	struct table t;

	table_init(&t, columns, 3);
	for (size_t i = 0; i < r->n; i++) {
		table_text(&t, r->row[i].name);
		table_real_shown(&t, r->row[i].value, r->row[i].places);
		table_text(&t, r->row[i].unit);
	}
	for (size_t i = 0; i < r->ntexts; i++)
		put_text(&t, reckoned_text(r, i), r->text[i].kind);
	tool_print_table(&t);
	table_release(&t);
}

static void answer(const struct reckon_way *w, const struct words *words)
{
	struct reckon_input in[RECKON_ARGS] = { { .given = false } };
	struct reckon_house house;
	struct reckoned r = { .n = 0 };

	read_inputs(w, words, in);
	house = house_for(w);
	if (!reckon_run(w, in, &house, &r))
		tool_fail("%s", buf_cstr(&r.refusal));
	print_answer(&r);
	reckoned_release(&r);
}

/* ---- tables */

static bool is_column(const struct word *word)
{
	return word && word->text.n && word->text.p[0] == '@';
}

static bool any_column(const struct words *words)
{
	for (size_t i = 0; i < words->n; i++)
		if (is_column(&words->at[i]))
			return true;
	return false;
}

static void bind_words(struct reckon_rows *f, const struct reckon_way *w, const struct words *words)
{
	struct reckon_input in[RECKON_ARGS] = { { .given = false } };
	struct words constants = { .n = 0 };

	for (size_t i = 0; i < words->n; i++) {
		if (is_column(&words->at[i]))
			reckon_rows_column(f, reckon_arg_at(w, words->at[i].name), slice_from(words->at[i].text, 1));
		else
			constants.at[constants.n++] = words->at[i];
	}
	read_inputs(w, &constants, in);
	for (int i = 0; i < reckon_nargs(w); i++)
		if (in[i].given)
			reckon_rows_constant(f, i, in[i]);
}

/* Each of its lines is a complaint of its own. */
static _Noreturn void fail_lines(struct slice error)
{
	while (error.n) {
		size_t n = slice_find(error, '\n');

		tool_warn("%.*s", (int)n, error.p);
		error = slice_from(error, n < error.n ? n + 1 : n);
	}
	tool_give_up();
}

static void pass_names(struct reckon_rows *f, struct csv *c, struct buf *out)
{
	const struct csv_row *row;
	struct slice first = csv_peek(c);
	struct csv_style style = reckon_rows_style(f, first);

	style.encoding = c->style.encoding;
	c->style = style;
	row = csv_next(c);
	if (c->error)
		tool_fail("cannot read standard input: %s", strerror(c->error));
	if (!row)
		tool_fail("standard input holds no table: not even a row of names");
	c->expect = row->n;
	if (!reckon_rows_names(f, row, slice_of(prefix), out))
		fail_lines(buf_slice(&f->error));
	if (tool.no_header)
		out->n = 0;
	else if (c->bom && style.encoding == CSV_UTF8)
		tool_put(SLICE("\xef\xbb\xbf"));
}

static void pass_rows(struct reckon_rows *f, struct csv *c, struct buf *out)
{
	const struct csv_row *row;

	while ((row = csv_next(c))) {
		if (!reckon_rows_row(f, row, out)) {
			tool_put_buf(out);
			tool_fail("standard input:%llu: %s", (unsigned long long)row->line, buf_cstr(&f->error));
		}
		if (out->n > HELD_MOST)
			tool_put_buf(out);
	}
	tool_put_buf(out);
	if (c->error)
		tool_fail("cannot read standard input: %s", strerror(c->error));
}

static void tell_rows(const struct reckon_rows *f, struct reckon_report *t, const char *one, const char *many)
{
	if (t->rows)
		tool_warn("%llu of %llu rows %s line %llu: %s", (unsigned long long)t->rows, (unsigned long long)f->rows,
			t->rows == 1 ? one : many, (unsigned long long)t->line, buf_cstr(&t->reason));
}

static int filter(const struct reckon_way *w, const struct words *words)
{
	struct reckon_house house;
	struct reckon_rows f;
	struct csv_style style = { .separator_n = 0 };
	struct csv c;
	struct buf out = BUF_INIT;

	if (tool.form >= 0)
		tool_misused("a table goes out in the form that it came in; leave out --as");
	reckon_rows_init(&f, w, &house);
	bind_words(&f, w, words);
	house = house_for(w);
	tool_hint();
	csv_init(&c, STDIN_FILENO, &style);
	pass_names(&f, &c, &out);
	pass_rows(&f, &c, &out);
	tell_rows(&f, &f.cautions, "calls for caution:", "call for caution; the first is");
	tell_rows(&f, &f.unanswered, "has no answer:", "have no answer; the first is");
	return f.unanswered.rows ? TOOL_NO : TOOL_DONE;
}

/* ---- help and the list, from the same rows */

static void add_usage(const struct reckon_way *w, struct buf *out)
{
	for (int i = 0; i < reckon_nargs(w); i++) {
		const struct reckon_arg *arg = &w->arg[i];

		buf_printf(out, arg->may ? "%s[%s=%s]" : "%s%s=%s", i ? " " : "", arg->name, arg->sample);
	}
}

static void add_quantities(struct buf *out)
{
	for (const struct reckon_way *w = reckon_ways; w->quantity; w++)
		if (w == reckon_first(slice_of(w->quantity)))
			buf_printf(out, "\n  %-11s %s", w->quantity, w->says);
}

static void add_arg(const struct reckon_arg *arg, struct buf *out)
{
	struct buf units = BUF_INIT;

	buf_printf(out, "\n  %-12s %s", arg->name, arg->help);
	reckon_units(arg, &units);
	if (units.n)
		buf_printf(out, " (%s)", buf_cstr(&units));
	buf_release(&units);
}

static void add_args(const struct reckon_way *w, struct buf *out)
{
	const struct reckon_way *first = w;

	for (; w; w = reckon_next(w))
		for (int i = 0; i < reckon_nargs(w); i++) {
			const struct reckon_arg *arg = &w->arg[i];
			const struct reckon_way *before = first;

			while (before < w && reckon_arg_at(before, slice_of(arg->name)) < 0)
				before++;
			if (before == w)
				add_arg(arg, out);
		}
}

#define EXITS "0  done\n1  rows of a table have no answer\n2  wrong use, a question without an answer, output not written in full"

static struct buf page_name, page_purpose, page_usage, page_example;

static struct opt_page page_of_quantity(const struct reckon_way *w)
{
	buf_printf(&page_name, "wy-reckon %s", w->quantity);
	buf_printf(&page_purpose, "%s\n\nwords:", w->says);
	add_args(w, &page_purpose);
	buf_printf(&page_example, "wy-reckon %s ", w->quantity);
	for (int i = 0; i < reckon_nargs(w); i++)
		if (!w->arg[i].may)
			buf_printf(&page_example, "%s%s=%s", i ? " " : "", w->arg[i].name, w->arg[i].sample);
	for (; w; w = reckon_next(w)) {
		if (page_usage.n)
			buf_char(&page_usage, '\n');
		add_usage(w, &page_usage);
	}
	return (struct opt_page){ buf_cstr(&page_name), buf_cstr(&page_purpose), buf_cstr(&page_usage),
		options, EXITS, buf_cstr(&page_example) };
}

static struct opt_page page_of_all(void)
{
	buf_str(&page_purpose, "the bench calculator: air, moisture, masses, meters, units\n\nquantities:");
	add_quantities(&page_purpose);
	return (struct opt_page){ "wy-reckon", buf_cstr(&page_purpose),
		"QUANTITY NAME=VALUE... [options]\nQUANTITY NAME=@COLUMN... [NAME=VALUE...] <TABLE\nQUANTITY --help\n--list",
		options, EXITS,
		"wy-reckon emc temp=20C rh=55%\nwhat wood settles at in a room of 20 C and 55 % humidity" };
}

/* The quantity that the command line names, wherever it stands among the options, or NULL. */
static const struct reckon_way *way_in(int argc, char **argv)
{
	const struct reckon_way *w = NULL;

	for (int i = 1; i < argc && !w; i++)
		w = reckon_first(slice_of(argv[i]));
	return w;
}

static void print_list(void)
{
	static const struct table_column columns[] = {
		{ "quantity", TABLE_TEXT, 0, NULL }, { "words", TABLE_TEXT, 0, NULL }, { "says", TABLE_TEXT, 0, NULL },
	};
	struct buf usage = BUF_INIT;
	struct table t;

	table_init(&t, columns, 3);
	for (const struct reckon_way *w = reckon_ways; w->quantity; w++) {
		usage.n = 0;
		add_usage(w, &usage);
		table_cstr(&t, w->quantity);
		table_text(&t, buf_slice(&usage));
		table_cstr(&t, w->says);
	}
	tool_print_table(&t);
	table_release(&t);
	buf_release(&usage);
}

static _Noreturn void no_quantity(const char *word)
{
	const char **names = mem_array(reckon_nways() + 1, sizeof *names), *near;
	size_t n = 0;

	for (const struct reckon_way *w = reckon_ways; w->quantity; w++)
		names[n++] = w->quantity;
	names[n] = NULL;
	if (!word)
		tool_misused("say what to reckon; --list tells what there is");
	if (strchr(word, '='))
		tool_misused("say first what to reckon, then %s", word);
	near = opt_nearest(slice_of(word), names);
	tool_misused("'%s' is nothing that can be reckoned%s%s%s", word,
		near ? "; did you mean " : "", near ? near : "", near ? "?" : "");
}

int main(int argc, char **argv)
{
	const struct reckon_way *w = way_in(argc, argv);
	struct words words = { .n = 0 };
	struct opt_page page = w ? page_of_quantity(w) : page_of_all();

	tool_start(&page, argc, argv);
	if (list_asked) {
		print_list();
		return tool_finish(TOOL_DONE);
	}
	w = tool.n_operands ? reckon_first(slice_of(tool.operands[0])) : NULL;
	if (!w)
		no_quantity(tool.operands[0]);
	take_words(w, tool.operands + 1, tool.n_operands - 1, &words);
	w = way_for(w, &words);
	if (any_column(&words))
		return tool_finish(filter(w, &words));
	if (prefix)
		tool_misused("--prefix is for tables, where a word's value is @COLUMN");
	answer(w, &words);
	return tool_finish(TOOL_DONE);
}
