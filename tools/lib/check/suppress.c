#include "check/suppress.h"

#include <stdlib.h>

#include "base/mem.h"
#include "book/parse.h"

void suppress_init(struct suppress *a, struct diags *diags)
{
	memset(a, 0, sizeof *a);
	a->diags = diags;
}

void suppress_release(struct suppress *a)
{
	free(a->allow);
	memset(a, 0, sizeof *a);
}

/* ---- reading remarks */

static bool is_rule_char(char c)
{
	return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-';
}

static bool can_pass(int rule)
{
	struct slice clause = diag_rule(rule)->clause;
	char first = clause.p[0];

	return clause.p[1] == '.' ? first >= '6' : !slice_starts(clause, SLICE("14."));
}

/* What follows "# allow ", or an empty slice. */
static struct slice behind_allow(struct slice remark)
{
	if (!remark.n)
		return remark;
	remark = slice_trim(slice_from(remark, 1));
	if (!slice_starts(remark, SLICE("allow ")))
		return SLICE("");
	return slice_trim(slice_from(remark, 6));
}

/* The next rule of the list, taken off it with its comma; empty when none stands there. */
static struct slice next_rule(struct slice *list)
{
	struct slice rule = slice_upto(*list, 0);

	while (rule.n < list->n && is_rule_char(list->p[rule.n]))
		rule.n++;
	*list = slice_trim(slice_from(*list, rule.n));
	return rule;
}

static bool take_comma(struct slice *list)
{
	if (!list->n || list->p[0] != ',')
		return false;
	*list = slice_trim(slice_from(*list, 1));
	return true;
}

/*
 * Whether this is a list of rules with a colon and a reason behind it. Without the colon it is one
 * all the same when it names nothing but rules: then the reason has been forgotten.
 */
static bool is_list(struct slice text, bool *reasoned)
{
	bool known = true;

	do {
		struct slice rule = next_rule(&text);

		if (!rule.n)
			return false;
		known &= diag_rule_named(rule) >= 0;
	} while (take_comma(&text));
	*reasoned = text.n > 1 && text.p[0] == ':' && slice_trim(slice_from(text, 1)).n > 0;
	return (text.n && text.p[0] == ':') || (!text.n && known);
}

static void keep(struct suppress *a, const struct line *l, struct slice word)
{
	struct slice near = diag_rule_near(word);
	struct buf mend = BUF_INIT;
	int rule = diag_rule_named(word);

	if (rule >= 0 && can_pass(rule)) {
		a->allow = mem_grow(a->allow, &a->cap, a->n + 1, sizeof *a->allow);
		a->allow[a->n++] = (struct suppress_comment){ rule, false, line_place(l, word) };
		return;
	}
	if (rule >= 0)
		buf_str(&mend, "correct the line: syntax errors and wrong suppressions cannot be suppressed");
	else if (near.n) {
		buf_str(&mend, "did you mean ");
		buf_add(&mend, near);
		buf_char(&mend, '?');
	} else
		buf_str(&mend, "run wy-check --rules for a list of the rules");
	DIAG(a->diags, RULE_SUPPRESSION_UNKNOWN, line_place(l, word), word, buf_slice(&mend));
	buf_release(&mend);
}

void suppress_keep(struct suppress *a, const struct line *l)
{
	struct slice list = behind_allow(l->remark);
	bool reasoned;

	if (!list.n || !is_list(list, &reasoned))
		return;
	if (!reasoned) {
		DIAG0(a->diags, RULE_SUPPRESSION_REASON, line_place(l, list));
		return;
	}
	do
		keep(a, l, next_rule(&list));
	while (take_comma(&list));
}

/* ---- letting pass */

bool suppress_pass(struct suppress *a, int rule, struct place place)
{
	size_t low = 0, high = a->n;
	bool pass = false;

	while (low < high) {
		size_t mid = low + (high - low) / 2;
		const struct place *p = &a->allow[mid].place;

		if (p->file < place.file || (p->file == place.file && p->line < place.line))
			low = mid + 1;
		else
			high = mid;
	}
	for (; low < a->n && a->allow[low].place.file == place.file && a->allow[low].place.line == place.line; low++)
		if (a->allow[low].rule == rule)
			pass = a->allow[low].used = true;
	return pass;
}

void suppress_end(struct suppress *a)
{
	struct diags *d = a->diags;
	size_t n = 0;

	for (size_t i = 0; a->n && i < d->n; i++) {
		if (suppress_pass(a, d->row[i].rule, d->row[i].place))
			d->count[d->row[i].level]--;
		else
			d->row[n++] = d->row[i];
	}
	if (a->n)
		d->n = n;
	for (size_t i = 0; i < a->n; i++)
		if (!a->allow[i].used && d->level[a->allow[i].rule] != LEVEL_NONE)
			DIAG(d, RULE_SUPPRESSION_UNUSED, a->allow[i].place, diag_rule(a->allow[i].rule)->id);
}
