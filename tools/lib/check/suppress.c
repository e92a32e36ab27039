#include "check/suppress.h"

#include <stdlib.h>

#include "book/line.h"

void suppress_init(struct suppress *s, struct diags *diags)
{
	memset(s, 0, sizeof *s);
	s->diags = diags;
}

void suppress_release(struct suppress *s)
{
	free(s->intended);
	memset(s, 0, sizeof *s);
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

/* What follows "# intended ", or an empty slice. */
static struct slice after_intended(struct slice remark)
{
	if (!remark.n)
		return remark;
	remark = slice_trim(slice_from(remark, 1));
	if (!slice_starts(remark, SLICE("intended ")))
		return SLICE("");
	return slice_trim(slice_from(remark, 9));
}

/* The next rule of the list, taken off it with its comma; empty when there is none. */
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

static void keep(struct suppress *s, const struct line *l, struct slice word)
{
	struct slice near = diag_rule_near(word);
	struct buf mend = BUF_INIT;
	int rule = diag_rule_named(word);

	if (rule >= 0 && can_pass(rule)) {
		s->intended = mem_grow(s->intended, &s->cap, s->n + 1, sizeof *s->intended);
		s->intended[s->n++] = (struct suppress_comment){ rule, false, line_place(l, word) };
		return;
	}
	if (rule >= 0)
		buf_str(&mend, "correct the line: syntax errors and wrong suppressions cannot be suppressed");
	else if (near.n) {
		buf_str(&mend, "perhaps ");
		buf_add(&mend, near);
		buf_char(&mend, '?');
	} else
		buf_str(&mend, "run wy-check --rules for a list of the rules");
	DIAG(s->diags, RULE_SUPPRESSION_UNKNOWN, line_place(l, word), word, buf_slice(&mend));
	buf_release(&mend);
}

void suppress_keep(struct suppress *s, const struct line *l)
{
	struct slice list = after_intended(l->remark);
	bool reasoned;

	if (!list.n || !is_list(list, &reasoned))
		return;
	if (!reasoned) {
		DIAG0(s->diags, RULE_SUPPRESSION_REASON, line_place(l, list));
		return;
	}
	do
		keep(s, l, next_rule(&list));
	while (take_comma(&list));
}

/* ---- letting pass */

bool suppress_pass(struct suppress *s, int rule, struct place place)
{
	size_t low = 0, high = s->n;
	bool pass = false;

	while (low < high) {
		size_t mid = low + (high - low) / 2;
		const struct place *p = &s->intended[mid].place;

		if (p->file < place.file || (p->file == place.file && p->line < place.line))
			low = mid + 1;
		else
			high = mid;
	}
	for (; low < s->n && s->intended[low].place.file == place.file && s->intended[low].place.line == place.line; low++)
		if (s->intended[low].rule == rule)
			pass = s->intended[low].used = true;
	return pass;
}

static bool is_left(void *context, const struct diag *row)
{
	return !suppress_pass(context, row->rule, row->place);
}

/* Rules that need the whole book: where a line is wrong, what follows from it is not reported, so it may only seem that nothing breaks them. */
static bool is_of_book(int rule)
{
	struct slice clause = diag_rule(rule)->clause;

	return clause.p[1] == '.' ? clause.p[0] >= '6' : slice_starts(clause, SLICE("10."));
}

void suppress_end(struct suppress *s)
{
	struct diags *d = s->diags;
	bool certain;

	if (s->n)
		diags_filter(d, is_left, s);
	certain = d->count[LEVEL_ERROR] == 0;
	for (size_t i = 0; i < s->n; i++)
		if (!s->intended[i].used && (certain || !is_of_book(s->intended[i].rule)) && d->level[s->intended[i].rule] != LEVEL_NONE)
			DIAG(d, RULE_SUPPRESSION_UNUSED, s->intended[i].place, diag_rule(s->intended[i].rule)->id);
}
