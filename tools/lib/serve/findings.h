/*
 * findings.h - the diagnostics of one file, each with its words, in the order of the lines; they move with the lines.
 */
#ifndef WITHY_FINDINGS_H
#define WITHY_FINDINGS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

struct document;
struct document_change;
struct diag;
struct diags;

struct finding {
	size_t line;              /* of the document, from 0 */
	uint32_t col, end;        /* bytes from 0; end: behind the last byte meant */
	int level;                /* LEVEL_... */
	struct slice rule;        /* its id, which outlives this */
	char *text;               /* the mistake, and how to correct it */
	size_t mend;              /* where in `text` the correction starts */
};

struct findings {
	struct finding *row;
	size_t n, cap;
};

void findings_clear(struct findings *f);
void findings_release(struct findings *f);

/* One more, at the end: the words are copied. `mend` may be empty. */
void findings_add(struct findings *f, const struct finding *row, struct slice text, struct slice mend);

/* The same of a diagnostic of the book, whose place is found in `d`. `line_before` is added to its line. */
void findings_take(struct findings *f, const struct document *d, const struct diags *from, const struct diag *row,
	size_t line_before);

/* After a change: what is on the touched lines is dropped, what is below moves. Then puts `fresh` in, in order; it is emptied. */
void findings_move(struct findings *f, const struct document_change *c);
void findings_merge(struct findings *f, struct findings *fresh);

/* Makes `to` a copy; whether both say the same. */
void findings_copy(struct findings *to, const struct findings *from);
bool findings_alike(const struct findings *a, const struct findings *b);

#endif
