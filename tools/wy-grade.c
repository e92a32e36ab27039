/* wy-grade - the grades that blades got: counts, and proportions with their intervals; wy-grade(1). */
#include "cli/tool_book.h"
#include "cli/tool_state.h"
#include "grades/grade_view.h"
#include "grades/gradings.h"
#include "grades/side_answer.h"

/* ---- options */

static const char *by_text = "";
static struct opt_day from_day = { .day = INT32_MIN }, to_day = { .day = INT32_MAX };
static int64_t baseline_months;
static bool want_shift;
static struct side_answers beside;

static struct grade_ask ask;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &by_text, "KEY,...", "the rows: some of tree, parcel, supplier, charge, kiln, lot, type, grader, month, scheme; with --regrades also was"),
	OPT_DAY(0, "from", &from_day, "only blades graded on this day or later"),
	OPT_DAY(0, "to", &to_day, "only blades graded on this day or before; later lines do not count"),
	OPT_INT(0, "baseline", &baseline_months, "MONTHS", 1, 1200, "also the shares in that many months before --from"),
	OPT_FLAG(0, "shift", &want_shift, "which grade moved since the baseline, and how far"),
	OPT_FLAG(0, "regrades", &ask.regrades, "only blades that were graded again; `--by was` is their grade before"),
	OPT_FLAG(0, "wide", &ask.wide, "a column of shares for each grade, not a row"),
	OPT_FLAG(0, "agreement", &beside.want[0], "whether graders agree: kappa, who is stricter, and the pieces to look at again"),
	OPT_FLAG(0, "drift", &beside.want[1], "whether a grader's grades moved over time, in wood of the same origin"),
	OPT_FLAG(0, "measures", &beside.want[2], "grains, mass and moisture of judged pieces, by grade"),
	OPT_FLAG(0, "claims", &beside.want[3], "what suppliers claimed against what their lots were graded as"),
	OPT_PART(tool_state_options),
	OPT_PART(tool_house_options),
	OPT_PART(tool_form_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-grade",
	.purpose = "the grades that blades got, with the interval of each share",
	.usage = "[--by KEY,...] [options] [FILE...]\n[--agreement] [--drift] [--measures] [--claims] [options] [FILE...]\n--merge [options] [STATE...]",
	.options = options,
	.exits = BOOK_STOCK_EXITS("nothing was graded"),
	.example = "wy-grade --by supplier --wide book.wy\nthe proportion of each grade in each supplier's wood",
};

static void choose_keys(void)
{
	ask.nby = tool_words("--by", by_text, grade_by_words, ask.by);
	for (size_t i = 0; i < ask.nby; i++)
		if (ask.by[i] == GRADE_BY_WAS && !ask.regrades)
			tool_misused("--by was needs --regrades: a first grade has no grade before it");
		else if (ask.by[i] == GRADE_BY_MONTH && baseline_months)
			tool_misused("--by month and --baseline cannot be used together; leave one out");
}

static void choose_days(void)
{
	book_period(&from_day, &to_day, &ask.from, &ask.to);
	if (baseline_months && !from_day.text)
		tool_misused("--baseline needs --from: the months end before that day");
	if (want_shift && !baseline_months)
		tool_misused("--shift needs --baseline MONTHS: the shares are compared with those of these months");
	if (want_shift && ask.wide)
		tool_misused("--shift and --wide cannot be combined; choose one");
	ask.has_baseline = baseline_months > 0;
	ask.baseline = ask.has_baseline ? day_months_before(ask.from, baseline_months) : ask.from;
}

/* ---- the answers */

static struct book book;
static struct stock stock;
static struct provenance origins;
static struct charge_kiln kilns;
static struct grade_mix mix;

static void take_line(void *context, const struct line *l)
{
	(void)context;
	provenance_add(&origins, l);
	charge_kiln_add(&kilns, &stock.ids, l);
}

/* Runs the stock, and says what did not add up. Returns `status`, or what is worse. */
static int run_stock(int status, stock_sink *sink, void *context)
{
	stock_run(&stock, ask.to, sink, context);
	return book_stock_tell(&book, &stock) ? TOOL_NO : status;
}

/* Prints the tables of one answer or several and releases them. For reading, later ones of an answer only if they have a row. */
static void print_tables(struct table *t, const size_t *n, size_t nanswers)
{
	const struct table *shown[SIDE_ANSWER_TABLES_MOST];
	bool reading = tool_form() == TABLE_AS_TEXT || tool_form() == TABLE_AS_MD || tool_form() == TABLE_AS_HTML;
	size_t k = 0, all = 0;

	for (size_t i = 0; i < nanswers; all += n[i++])
		for (size_t j = 0; j < n[i]; j++)
			if (!j || !reading || table_rows(&t[all + j]))
				shown[k++] = &t[all + j];
	if (all == 1)
		tool_print_table(t);
	else
		tool_print_tables(shown, k);
	for (size_t i = 0; i < all; i++)
		table_release(&t[i]);
}

static int answer_beside(void)
{
	const struct side_answer_with with = { &stock, book.house, ask.from, ask.to, ask.baseline, ask.has_baseline };
	struct table t[SIDE_ANSWER_TABLES_MOST];
	size_t n[SIDE_ANSWERS];
	int status;

	side_answers_start(&beside, &with);
	status = book_stock_read(&book, &stock, INT32_MAX, side_answers_take, &beside);
	if (side_answers_read(&beside))
		status = run_stock(status, side_answers_flow, &beside);
	if (!side_answers_finish(&beside, t, n))
		status = TOOL_NO;
	print_tables(t, n, SIDE_ANSWERS);
	return status;
}

static int print_mix(int status)
{
	struct table t;

	(want_shift ? grade_view_shift : grade_view)(&mix, book.house, &t);
	print_tables(&t, &(size_t){ 1 }, 1);
	status = grade_mix_groups(&mix) ? status : TOOL_NO;
	grade_mix_release(&mix);
	return status;
}

static int read_mix(void)
{
	int status;

	provenance_init(&origins, &stock.ids);
	status = book_stock_read(&book, &stock, INT32_MAX, take_line, NULL);
	provenance_end(&origins);
	return status;
}

static void release_mix(void)
{
	charge_kiln_release(&kilns);
	provenance_release(&origins);
}

static int answer_mix(void)
{
	int status = read_mix();

	grade_mix_init(&mix, &ask, &stock, &origins);
	mix.kilns = &kilns;
	status = print_mix(run_stock(status, grade_mix_flow, &mix));
	release_mix();
	return status;
}

/* ---- states */

static int merge_states(struct gradings *g, struct partial *state)
{
	int status = tool_state_merge(state);

	grade_mix_init(&mix, &ask, &stock, NULL);
	mix.end = gradings_last_day(g, ask.to);
	if (!gradings_count(g, &stock.ids, &mix))
		tool_fail("a row of a state is not one that wy-grade writes; make the state again");
	if (!tool_state.partial)
		return print_mix(status);
	grade_mix_release(&mix);
	return status;
}

/* What a line that does not add up would have graded is missing, as what could not be read. */
static int make_state(struct gradings *g, struct partial *state)
{
	int status = read_mix();

	ask.to = INT32_MAX;
	gradings_start(g, &stock, &origins, &kilns);
	status = run_stock(status, gradings_flow, g);
	state->left_out = book.unread + book.faults;
	release_mix();
	return status;
}

static int answer_states(void)
{
	struct gradings gradings;
	struct buf settings = BUF_INIT;
	struct partial state = { .tool = "wy-grade", .set = gradings.set, .nsets = GRADINGS_SETS, .once = &gradings.whole };
	int status;

	gradings_init(&gradings);
	gradings_settings(book.house, &settings);
	state.settings = buf_slice(&settings);
	status = tool_state.merge ? merge_states(&gradings, &state) : make_state(&gradings, &state);
	if (tool_state.partial)
		tool_state_print(&state);
	gradings_release(&gradings);
	buf_release(&settings);
	return status;
}

/* Whether there are such, in place of the shares of the grades; and whether one of them needs a house file. */
static bool check_beside(bool *with_house)
{
	bool any = false;

	for (size_t i = 0; i < SIDE_ANSWERS; i++) {
		const struct side_answer *a = &side_answers[i];

		if (!beside.want[i])
			continue;
		any = true;
		*with_house |= a->with_house;
		if (tool_state.partial || tool_state.merge)
			tool_misused("%s has no state; leave out --partial and --merge", a->option);
		if (ask.nby || ask.regrades || ask.wide || want_shift || (baseline_months && !a->with_baseline))
			tool_misused("%s cannot be used with --by, --regrades, --wide, --shift%s; leave one out", a->option, a->with_baseline ? "" : " or --baseline");
	}
	return any;
}

int main(int argc, char **argv)
{
	bool any_beside, with_house = false;
	int status;

	tool_start(&page, argc, argv);
	choose_keys();
	any_beside = check_beside(&with_house);
	choose_days();
	tool_state_check();
	book_start(&book, with_house ? BOOK_HOUSE : 0);
	book_stock_init(&book, &stock);
	if (any_beside)
		status = answer_beside();
	else
		status = tool_state.partial || tool_state.merge ? answer_states() : answer_mix();
	stock_release(&stock);
	return tool_finish(status);
}
