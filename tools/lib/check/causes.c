#include "check/causes.h"

#include "book/diag.h"

/* Of a cause, each of its line is kept. What follows is kept where no cause is, and of each rule the first. */
enum role { CAUSE = 1, FOLLOWS = 2, FIRST_ONLY = 4 };

static const unsigned char ROLES[RULES_END] = {
	[RULE_ID_UNKNOWN] = CAUSE, [RULE_ID_OTHER] = CAUSE, [RULE_ID_KIND] = CAUSE, [RULE_ID_TOO_EARLY] = CAUSE | FIRST_ONLY,
	[RULE_TREE_AGAIN] = CAUSE, [RULE_LINE_TWICE] = CAUSE, [RULE_TIME_SKIPPED] = CAUSE, [RULE_PLACE_UNKNOWN] = CAUSE,
	[RULE_KILN_UNKNOWN] = CAUSE, [RULE_TYPE_UNKNOWN] = CAUSE, [RULE_GRADE_UNKNOWN] = CAUSE, [RULE_FORM_UNKNOWN] = CAUSE,
	[RULE_PARTY_UNKNOWN] = CAUSE, [RULE_METER_UNKNOWN] = CAUSE, [RULE_BYPRODUCT_UNKNOWN] = CAUSE,
	[RULE_STOCK_SHORT] = FOLLOWS, [RULE_STOCK_ABSENT] = FOLLOWS, [RULE_STOCK_AMBIGUOUS] = FOLLOWS, [RULE_STOCK_ORDER] = FOLLOWS,
	[RULE_TALLY_SUM] = FOLLOWS, [RULE_TALLY_UNKNOWN] = FOLLOWS, [RULE_LOT_AGAIN] = FOLLOWS, [RULE_BAT_NOT_SOLD] = FOLLOWS,
	[RULE_KILN_OTHER] = FOLLOWS, [RULE_KILN_FULL] = FOLLOWS, [RULE_KILN_NOT_EMPTY] = FOLLOWS,
	[RULE_KILN_OFF_FULL] = FOLLOWS | FIRST_ONLY, [RULE_PROBE_NOT_IN] = FOLLOWS | FIRST_ONLY, [RULE_PROBE_LEFT_IN] = FOLLOWS | FIRST_ONLY,
	[RULE_PROBE_IN_AGAIN] = FOLLOWS | FIRST_ONLY, [RULE_PROBE_WHAT] = FOLLOWS | FIRST_ONLY, [RULE_METER_OVERDUE] = FOLLOWS,
	[RULE_ORDER_PARTY] = FOLLOWS, [RULE_ORDER_MASS] = FOLLOWS, [RULE_ORDER_OVERSOLD] = FOLLOWS, [RULE_ORDER_OVERISSUED] = FOLLOWS,
	[RULE_RATE_MISSING] = FOLLOWS
};

static bool of_one_line(const struct diag *a, const struct diag *b)
{
	return a->place.file == b->place.file && a->place.line == b->place.line;
}

/* What the first of is kept: one mistake in a label breaks more than one rule of probes. */
static int group_of(int rule)
{
	return rule == RULE_PROBE_IN_AGAIN || rule == RULE_PROBE_WHAT ? RULE_PROBE_NOT_IN : rule;
}

/* Whether it is reported. `met` has the rules of the line so far. */
static bool is_kept(const struct diag *row, bool cause, bool *met)
{
	unsigned role = ROLES[row->rule];
	bool again = met[group_of(row->rule)];

	met[group_of(row->rule)] = true;
	return !(role & FOLLOWS && cause) && !(role & FIRST_ONLY && again);
}

struct line_causes {
	const struct diags *d;
	size_t at, end;        /* the row in hand, and the end of its line's */
	bool cause;
	bool met[RULES_END];
};

static void start_line(struct line_causes *l)
{
	const struct diag *first = &l->d->row[l->at];

	memset(l->met, 0, sizeof l->met);
	l->cause = false;
	for (l->end = l->at; l->end < l->d->n && of_one_line(&l->d->row[l->end], first); l->end++)
		l->cause |= (ROLES[l->d->row[l->end].rule] & CAUSE) != 0;
}

/* Rows are asked for in their order, and kept ones move only to places that were passed. */
static bool keep_row(void *context, const struct diag *row)
{
	struct line_causes *l = context;

	if (l->at == l->end)
		start_line(l);
	l->at++;
	return is_kept(row, l->cause, l->met);
}

void causes_keep(struct diags *d)
{
	struct line_causes l = { .d = d };

	diags_sort(d);
	diags_filter(d, keep_row, &l);
}
