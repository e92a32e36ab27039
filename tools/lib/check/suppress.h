/*
 * suppress.h - rules that a comment of a line suppresses, with the reason.
 *
 *     # intended RULE: reason
 *     # intended RULE, RULE: reason
 *
 * It silences the reports of these rules on that line, and nothing else. The parser's reports on a
 * line's letters, words and values (clauses 2 to 5) and of suppressions themselves (clause 14)
 * cannot be suppressed. A remark that does not have this shape is an ordinary remark.
 */
#ifndef WITHY_SUPPRESS_H
#define WITHY_SUPPRESS_H

#include <stdbool.h>
#include <stddef.h>

#include "book/diag.h"

struct line;

struct suppress_comment {
	int rule;
	bool used;
	struct place place;   /* where the rule is named */
};

struct suppress {
	struct diags *diags;
	struct suppress_comment *intended;  /* in the order of their lines */
	size_t n, cap;
};

void suppress_init(struct suppress *s, struct diags *diags);
void suppress_release(struct suppress *s);

/* Reads the remark of a good line, if it has one. */
void suppress_keep(struct suppress *s, const struct line *l);

/* Whether a rule is suppressed on a line; if so the remark counts as used. */
bool suppress_pass(struct suppress *s, int rule, struct place place);

/* After all rules: removes the suppressed diagnostics, then reports remarks that suppressed nothing. */
void suppress_end(struct suppress *s);

#endif
