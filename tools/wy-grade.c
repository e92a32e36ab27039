/* wy-grade - the grades that blades got: counts, and proportions with their intervals; wy-grade(1). */
#include "cli/tool_book.h"
#include "grades/agreement.h"
#include "grades/agreement_view.h"
#include "grades/charge_kiln.h"
#include "grades/claims.h"
#include "grades/claims_view.h"
#include "grades/grade_mix.h"
#include "grades/grade_view.h"

/* ---- options */

static const char *by_text = "";
static struct opt_day from_day = { .day = INT32_MIN }, to_day = { .day = INT32_MAX };
static int64_t baseline_months;
static bool want_shift, want_agreement, want_claims;

static struct grade_ask ask;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &by_text, "KEY,...", "the rows: some of tree, parcel, supplier, charge, kiln, lot,\ntype, grader, month, scheme; with --regrades also was"),
	OPT_DAY(0, "from", &from_day, "only blades graded on this day or later"),
	OPT_DAY(0, "to", &to_day, "only blades graded on this day or before; later lines do not count"),
	OPT_INT(0, "baseline", &baseline_months, "MONTHS", 1, 1200, "also the shares in that many months before --from"),
	OPT_FLAG(0, "shift", &want_shift, "which grade moved since the baseline, and how far"),
	OPT_FLAG(0, "regrades", &ask.regrades, "only blades that were graded again; `--by was` is their grade before"),
	OPT_FLAG(0, "wide", &ask.wide, "a column of shares for each grade, not a row"),
	OPT_FLAG(0, "agreement", &want_agreement, "whether graders agree: kappa, who is stricter,\nand the pieces to look at again"),
	OPT_FLAG(0, "claims", &want_claims, "what suppliers claimed against what their lots were graded as"),
	OPT_PART(tool_house_options),
	OPT_PART(tool_form_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-grade",
	.purpose = "the grades that blades got, with the interval of each share",
	.usage = "[--by KEY,...] [options] [FILE...]\n--agreement [options] [FILE...]\n--claims [options] [FILE...]",
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

/* The answers about graders have their own tables. */
static void check_alone(const char *option)
{
	if (ask.nby || ask.regrades || ask.wide || want_shift || baseline_months)
		tool_misused("%s cannot be used with --by, --regrades, --wide, --shift or --baseline; leave one out", option);
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

/* ---- the answer */

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

static int run_mix(int status)
{
	grade_mix_init(&mix, &ask, &stock, &origins);
	mix.kilns = &kilns;
	stock_run(&stock, ask.to, grade_mix_flow, &mix);
	return book_stock_tell(&book, &stock) ? TOOL_NO : status;
}

/* ---- whether graders agree */

/* `several` and `again` are printed for reading only if they have a row. */
static void print_agreement(struct table *t)
{
	const struct table *shown[AGREEMENT_TABLES];
	size_t n = 0;
	bool reading = tool_form() == TABLE_AS_TEXT || tool_form() == TABLE_AS_MD || tool_form() == TABLE_AS_HTML;

	for (size_t i = 0; i < AGREEMENT_TABLES; i++)
		if (!i || !reading || table_rows(&t[i]))
			shown[n++] = &t[i];
	tool_print_tables(shown, n);
}

static int answer_agreement(void)
{
	struct agreement agreement;
	struct table t[AGREEMENT_TABLES];
	int status;

	agreement_init(&agreement, &stock, ask.from, ask.to);
	status = book_stock_read(&book, &stock, INT32_MAX, agreement_take, &agreement);
	stock_run(&stock, ask.to, agreement_flow, &agreement);
	status = book_stock_tell(&book, &stock) ? TOOL_NO : status;
	agreement_end(&agreement);
	agreement_view(&agreement, t);
	print_agreement(t);
	if (!agreement.npairs)
		status = TOOL_NO;
	for (size_t i = 0; i < AGREEMENT_TABLES; i++)
		table_release(&t[i]);
	agreement_release(&agreement);
	return status;
}

/* ---- what suppliers claimed */

static int answer_claims(void)
{
	struct claims claims;
	struct table t[CLAIMS_TABLES];
	int status;

	claims_init(&claims, &stock, ask.from, ask.to);
	status = book_stock_read(&book, &stock, INT32_MAX, claims_take, &claims);
	stock_run(&stock, ask.to, claims_flow, &claims);
	status = book_stock_tell(&book, &stock) ? TOOL_NO : status;
	claims_end(&claims);
	claims_view(&claims, t);
	tool_print_tables((const struct table *const[]){ &t[0], &t[1] }, claims.n ? 2 : 1);
	if (!claims.n)
		status = TOOL_NO;
	for (size_t i = 0; i < CLAIMS_TABLES; i++)
		table_release(&t[i]);
	claims_release(&claims);
	return status;
}

/* ---- the shares of the grades */

static void print(void)
{
	struct table t;

	(want_shift ? grade_view_shift : grade_view)(&mix, book.house, &t);
	tool_print_table(&t);
	table_release(&t);
}

static int answer_mix(void)
{
	int status;

	provenance_init(&origins, &stock.ids);
	status = book_stock_read(&book, &stock, INT32_MAX, take_line, NULL);
	provenance_end(&origins);
	status = run_mix(status);
	print();
	if (!grade_mix_groups(&mix))
		status = TOOL_NO;
	grade_mix_release(&mix);
	charge_kiln_release(&kilns);
	provenance_release(&origins);
	return status;
}

int main(int argc, char **argv)
{
	int status;

	tool_start(&page, argc, argv);
	choose_keys();
	if (want_agreement || want_claims)
		check_alone(want_claims ? "--claims" : "--agreement");
	if (want_agreement && want_claims)
		tool_misused("--agreement and --claims cannot be combined; choose one");
	choose_days();
	book_start(&book, want_claims ? BOOK_HOUSE : 0);
	book_stock_init(&book, &stock);
	status = want_agreement ? answer_agreement() : want_claims ? answer_claims() : answer_mix();
	stock_release(&stock);
	return tool_finish(status);
}
