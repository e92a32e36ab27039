/*
 * wy-reckon - the bench calculator.
 *
 * wood/reckon.h has the quantities and their formulas; wood/reckon_words.h chooses the way by the words.
 * Here the answer is printed. A word with the value @COLUMN makes it a filter of tables.
 */
#include <unistd.h>

#include "base/csv.h"
#include "cli/tool_book.h"
#include "wood/reckon_rows.h"
#include "wood/reckon_view.h"
#include "wood/reckon_words.h"

enum { HELD_MOST = 1 << 16 };

#define EXITS "0  done\n1  rows of a table have no answer\n2  usage error, a question without an answer, output not written in full"

static bool list_asked;
static const char *prefix;

static const struct opt options[] = {
	OPT_TEXT('H', "house", &tool.house, "FILE", "the house file with meters and wood constants"),
	OPT_FLAG(0, "list", &list_asked, "list the quantities and the words of each"),
	OPT_TEXT(0, "prefix", &prefix, "TEXT", "put TEXT before the names of the new columns of a table"),
	OPT_PART(tool_on_options),
	OPT_PART(tool_form_options),
	OPT_END
};

/* ---- answering */

/* Each complaint in a message; after a usage error the last one names the help. */
static _Noreturn void fail(const struct reckon_complaints *wrong)
{
	const char *end = wrong->text.p + wrong->text.n;

	for (const char *p = wrong->text.p; p && p < end; p += strlen(p) + 1) {
		if (wrong->misused && p + strlen(p) + 1 == end)
			tool_misused("%s", p);
		tool_warn("%s", p);
	}
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

/* A caution goes below the table if that form has notes, else to standard error. */
static void print_answer(const struct reckoned *r)
{
	int form = tool_form();
	bool shown = form != TABLE_AS_TSV && form != TABLE_AS_CSV && form != TABLE_AS_JSON;
	struct table t;

	reckon_view_answer(r, shown, &t);
	for (size_t i = 0; i < r->ntexts && !shown; i++)
		if (r->text[i].kind == RECKONED_CAUTION)
			tool_warn("%.*s", (int)reckoned_text(r, i).n, reckoned_text(r, i).p);
	tool_print_table(&t);
	table_release(&t);
}

static void answer(const struct reckon_way *w, const struct reckon_words *words)
{
	struct reckon_input in[RECKON_ARGS] = { { .given = false } };
	struct reckon_house house;
	struct reckon_complaints wrong = { .misused = false };
	struct reckoned r = { .n = 0 };

	if (!reckon_words_read(words, w, in, &wrong))
		fail(&wrong);
	house = house_for(w);
	if (!reckon_run(w, in, &house, &r))
		tool_fail("%s", buf_cstr(&r.refusal));
	print_answer(&r);
	reckoned_release(&r);
}

/* ---- tables */

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
		tool_fail("standard input has no table: the header row is missing");
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

static void report_rows(const struct reckon_rows *f, struct reckon_report *t, const char *one, const char *many)
{
	if (t->rows)
		tool_warn("%llu of %llu rows %s line %llu: %s", (unsigned long long)t->rows, (unsigned long long)f->rows,
			t->rows == 1 ? one : many, (unsigned long long)t->line, buf_cstr(&t->reason));
}

static int filter(const struct reckon_way *w, const struct reckon_words *words)
{
	struct reckon_house house;
	struct reckon_complaints wrong = { .misused = false };
	struct reckon_rows f;
	struct csv_style style = { .separator_n = 0 };
	struct csv c;
	struct buf out = BUF_INIT;
	int status;

	if (tool.form >= 0)
		tool_misused("a table keeps its form; leave out --as");
	reckon_rows_init(&f, w, &house);
	if (!reckon_words_bind(words, w, &f, &wrong))
		fail(&wrong);
	house = house_for(w);
	tool_hint();
	csv_init(&c, STDIN_FILENO, &style);
	pass_names(&f, &c, &out);
	pass_rows(&f, &c, &out);
	report_rows(&f, &f.cautions, "needs caution:", "need caution; the first is");
	report_rows(&f, &f.unanswered, "has no answer:", "have no answer; the first is");
	status = f.unanswered.rows ? TOOL_NO : TOOL_DONE;
	csv_release(&c);
	buf_release(&out);
	reckon_rows_release(&f);
	return status;
}

/* ---- the question */

/* The quantity that the command line names, anywhere among the options, or NULL. */
static const struct reckon_way *way_in(int argc, char **argv)
{
	const struct reckon_way *w = NULL;

	for (int i = 1; i < argc && !w; i++)
		w = reckon_first(slice_of(argv[i]));
	return w;
}

static _Noreturn void no_quantity(const char *word)
{
	struct slice near;

	if (!word)
		tool_misused("name a quantity; --list prints all of them");
	if (strchr(word, '='))
		tool_misused("name a quantity before %s, as in emc temp=20C rh=55%%", word);
	near = reckon_near_quantity(slice_of(word));
	tool_misused("'%s' is not a quantity%s%.*s%s", word,
		near.n ? "; perhaps " : "", (int)near.n, near.p, near.n ? "?" : "");
}

static int reckon_operands(void)
{
	const struct reckon_way *w = tool.n_operands ? reckon_first(slice_of(tool.operands[0])) : NULL;
	struct reckon_complaints wrong = { .misused = false };
	struct reckon_words words;

	if (!w)
		no_quantity(tool.operands[0]);
	w = reckon_words_take(&words, w, tool.operands + 1, tool.n_operands - 1, &wrong);
	if (!w)
		fail(&wrong);
	if (reckon_words_any_column(&words))
		return filter(w, &words);
	if (prefix)
		tool_misused("--prefix needs a table, as in temp=@COLUMN");
	answer(w, &words);
	return TOOL_DONE;
}

static int print_list(void)
{
	struct table t;

	reckon_view_list(&t);
	tool_print_table(&t);
	table_release(&t);
	return TOOL_DONE;
}

int main(int argc, char **argv)
{
	struct reckon_help help;
	struct opt_page page = { .options = options, .exits = EXITS };
	int status;

	reckon_help_init(&help, way_in(argc, argv));
	page.name = buf_cstr(&help.name);
	page.purpose = buf_cstr(&help.purpose);
	page.usage = buf_cstr(&help.usage);
	page.example = buf_cstr(&help.example);
	tool_start(&page, argc, argv);
	status = tool_finish(list_asked ? print_list() : reckon_operands());
	reckon_help_release(&help);
	return status;
}
