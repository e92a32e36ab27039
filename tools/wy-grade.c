/* wy-grade - the grades that blades got: counts, and proportions with their intervals; wy-grade(1). */
#include "cli/tool_book.h"
#include "grades/agreement.h"
#include "grades/agreement_view.h"
#include "grades/claims.h"
#include "grades/claims_view.h"
#include "grades/drift.h"
#include "grades/drift_view.h"
#include "grades/grade_mix.h"
#include "grades/grade_view.h"
#include "grades/measures.h"
#include "grades/measures_view.h"

/* ---- options */

static const char *by_text = "";
static struct opt_day from_day = { .day = INT32_MIN }, to_day = { .day = INT32_MAX };
static int64_t baseline_months;
static bool want_shift, want_agreement, want_drift, want_measures, want_claims;

static struct grade_ask ask;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &by_text, "KEY,...", "the rows: some of tree, parcel, supplier, charge, kiln, lot, type, grader, month, scheme; with --regrades also was"),
	OPT_DAY(0, "from", &from_day, "only blades graded on this day or later"),
	OPT_DAY(0, "to", &to_day, "only blades graded on this day or before; later lines do not count"),
	OPT_INT(0, "baseline", &baseline_months, "MONTHS", 1, 1200, "also the shares in that many months before --from"),
	OPT_FLAG(0, "shift", &want_shift, "which grade moved since the baseline, and how far"),
	OPT_FLAG(0, "regrades", &ask.regrades, "only blades that were graded again; `--by was` is their grade before"),
	OPT_FLAG(0, "wide", &ask.wide, "a column of shares for each grade, not a row"),
	OPT_FLAG(0, "agreement", &want_agreement, "whether graders agree: kappa, who is stricter, and the pieces to look at again"),
	OPT_FLAG(0, "drift", &want_drift, "whether a grader's grades moved over time, in wood of the same origin"),
	OPT_FLAG(0, "measures", &want_measures, "grains, mass and moisture of judged pieces, by grade"),
	OPT_FLAG(0, "claims", &want_claims, "what suppliers claimed against what their lots were graded as"),
	OPT_PART(tool_house_options),
	OPT_PART(tool_form_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-grade",
	.purpose = "the grades that blades got, with the interval of each share",
	.usage = "[--by KEY,...] [options] [FILE...]\n--agreement [options] [FILE...]\n--drift [options] [FILE...]\n--measures [options] [FILE...]\n--claims [options] [FILE...]",
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

/* Prints the tables and releases them. For reading, later ones only if they have a row. */
static void print_tables(struct table *t, size_t n)
{
	const struct table *shown[AGREEMENT_TABLES];
	size_t k = 0;
	bool reading = tool_form() == TABLE_AS_TEXT || tool_form() == TABLE_AS_MD || tool_form() == TABLE_AS_HTML;

	for (size_t i = 0; i < n; i++)
		if (!i || !reading || table_rows(&t[i]))
			shown[k++] = &t[i];
	tool_print_tables(shown, k);
	for (size_t i = 0; i < n; i++)
		table_release(&t[i]);
}

static void print_table(struct table *t)
{
	tool_print_table(t);
	table_release(t);
}

static int answer_agreement(void)
{
	struct agreement agreement;
	struct table t[AGREEMENT_TABLES];
	int status;

	agreement_init(&agreement, &stock, ask.from, ask.to);
	status = book_stock_read(&book, &stock, INT32_MAX, agreement_take, &agreement);
	status = run_stock(status, agreement_flow, &agreement);
	agreement_end(&agreement);
	agreement_view(&agreement, t);
	print_tables(t, AGREEMENT_TABLES);
	status = agreement.npairs ? status : TOOL_NO;
	agreement_release(&agreement);
	return status;
}

/* The days of the baseline are the first period. */
static int answer_drift(void)
{
	struct drift drift;
	struct table t[DRIFT_TABLES];
	int status = book_origins_read(&book, &stock, INT32_MAX, &origins);

	drift_init(&drift, &stock, &origins, ask.baseline, ask.to, ask.has_baseline ? ask.from : DRIFT_NO_CUT);
	status = run_stock(status, drift_flow, &drift);
	drift_end(&drift);
	drift_view(&drift, t);
	status = table_rows(&t[1]) ? status : TOOL_NO;
	print_tables(t, DRIFT_TABLES);
	drift_release(&drift);
	provenance_release(&origins);
	return status;
}

static int answer_measures(void)
{
	struct measures measures;
	struct table t;
	int status;

	measures_init(&measures, book.house, ask.from, ask.to);
	status = book_stock_read(&book, &stock, INT32_MAX, measures_take, &measures);
	measures_end(&measures);
	measures_view(&measures, &t);
	status = table_rows(&t) ? status : TOOL_NO;
	print_table(&t);
	measures_release(&measures);
	return status;
}

static int answer_claims(void)
{
	struct claims claims;
	struct table t[CLAIMS_TABLES];
	int status;

	claims_init(&claims, &stock, ask.from, ask.to);
	status = book_stock_read(&book, &stock, INT32_MAX, claims_take, &claims);
	status = run_stock(status, claims_flow, &claims);
	claims_end(&claims);
	claims_view(&claims, t);
	print_tables(t, CLAIMS_TABLES);
	status = claims.n ? status : TOOL_NO;
	claims_release(&claims);
	return status;
}

static int answer_mix(void)
{
	struct table t;
	int status;

	provenance_init(&origins, &stock.ids);
	status = book_stock_read(&book, &stock, INT32_MAX, take_line, NULL);
	provenance_end(&origins);
	grade_mix_init(&mix, &ask, &stock, &origins);
	mix.kilns = &kilns;
	status = run_stock(status, grade_mix_flow, &mix);
	(want_shift ? grade_view_shift : grade_view)(&mix, book.house, &t);
	print_table(&t);
	status = grade_mix_groups(&mix) ? status : TOOL_NO;
	grade_mix_release(&mix);
	charge_kiln_release(&kilns);
	provenance_release(&origins);
	return status;
}

/* The answers that have their own tables, with the option that asks for each. Only that of --drift has a baseline. */
static const struct answer {
	const char *option;
	const bool *wanted;
	int (*give)(void);
	bool with_house, with_baseline;
} ANSWERS[] = {
	{ "--agreement", &want_agreement, answer_agreement, false, false }, { "--drift", &want_drift, answer_drift, true, true },
	{ "--measures", &want_measures, answer_measures, false, false }, { "--claims", &want_claims, answer_claims, true, false },
};

/* The one that was asked for; NULL: the shares of the grades. */
static const struct answer *choose_answer(void)
{
	const struct answer *found = NULL;

	for (size_t i = 0; i < sizeof ANSWERS / sizeof *ANSWERS; i++) {
		if (!*ANSWERS[i].wanted)
			continue;
		if (found)
			tool_misused("%s and %s cannot be combined; choose one", found->option, ANSWERS[i].option);
		found = &ANSWERS[i];
	}
	if (found && (ask.nby || ask.regrades || ask.wide || want_shift || (baseline_months && !found->with_baseline)))
		tool_misused("%s cannot be used with --by, --regrades, --wide, --shift%s; leave one out", found->option, found->with_baseline ? "" : " or --baseline");
	return found;
}

int main(int argc, char **argv)
{
	const struct answer *answer;
	int status;

	tool_start(&page, argc, argv);
	choose_keys();
	answer = choose_answer();
	choose_days();
	book_start(&book, answer && answer->with_house ? BOOK_HOUSE : 0);
	book_stock_init(&book, &stock);
	status = answer ? answer->give() : answer_mix();
	stock_release(&stock);
	return tool_finish(status);
}
