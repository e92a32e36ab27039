#include "check/causes.h"

#include "book/diag.h"

/*
 * The rules of which one on a line is enough: a wrong date makes all ids of its line come too early, and a
 * wrong line about probes is wrong for all its labels. A mass that is off by a thousand makes a moisture that
 * no wood has. A group is named by one of its rules.
 */
static int group_of(int rule)
{
	switch (rule) {
	case RULE_ID_TOO_EARLY:
	case RULE_RATE_MISSING:
		return RULE_ID_TOO_EARLY;
	case RULE_PROBE_NOT_IN:
	case RULE_PROBE_IN_AGAIN:
	case RULE_PROBE_WHAT:
		return RULE_PROBE_NOT_IN;
	case RULE_IMPLAUSIBLE:
	case RULE_OVEN_MASSES:
	case RULE_OVEN_MC:
		return RULE_IMPLAUSIBLE;
	default:
		return -1;
	}
}

/* The line in hand, and the groups that it has had. */
struct line_causes {
	struct place place;
	bool met[RULES_END];
};

/* Rows are asked for in their order. */
static bool keep_row(void *context, const struct diag *row)
{
	struct line_causes *l = context;
	int group = group_of(row->rule);
	bool again;

	if (l->place.file != row->place.file || l->place.line != row->place.line) {
		memset(l->met, 0, sizeof l->met);
		l->place = row->place;
	}
	if (group < 0)
		return true;
	again = row->rule == RULE_IMPLAUSIBLE ? l->met[RULE_OVEN_MASSES] || l->met[RULE_OVEN_MC] : l->met[group];
	l->met[group] = l->met[row->rule] = true;
	return !again;
}

void causes_keep(struct diags *d)
{
	struct line_causes l = { .place = { .line = 0 } };

	diags_sort(d);
	diags_filter(d, keep_row, &l);
}
