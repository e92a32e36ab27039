/*
 * diag.h - diagnostics of a book: each reports one mistake and is an instance of a rule.
 *
 * The rules are the rows of spec/rules.yaml (enum RULE_ in the generated rules_words.h).
 * A `struct diags` collects; it never prints. Diagnostics of several workers are gathered in
 * one with diags_take() and put in order with diags_sort(): by file, line, column, rule.
 */
#ifndef WITHY_DIAG_H
#define WITHY_DIAG_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"
#include "rules_words.h"

enum diag_level { LEVEL_NONE, LEVEL_NOTE, LEVEL_WARNING, LEVEL_ERROR };

struct rule_def {
	struct slice id, clause;
	int level;                /* the default */
	size_t nargs;
	struct slice args;        /* their names, with blanks between */
	struct slice text, mend;  /* a byte 1..nargs is replaced by an arg */
	struct slice fix;         /* what diag_fix() does, in words; empty for a rule without it */
	struct slice at;          /* LINE:COLUMN of the diagnostic that `wrong` gets */
	struct slice wrong, right;
};

const struct rule_def *diag_rule(int rule);
int diag_rule_named(struct slice id);              /* RULE_..., or -1 */
struct slice diag_rule_near(struct slice id);      /* the nearest id; empty when none is near */
struct slice diag_level_word(int level);           /* "error" and so on */
int diag_level_named(struct slice word);           /* or -1 */

/* A place in the input: file counts from 0, line and columns from 1, in bytes. */
struct place {
	uint32_t file, col, end;  /* end: the column after the last byte meant; col when unknown */
	uint64_t line;
};

struct diag {
	int rule, level;
	struct place place;
	size_t text, mend, text_n, mend_n; /* in diags.words */
	uint32_t fix_col, fix_end;         /* the columns that are replaced; fix_col is 0 where there is no exact correction */
	size_t fix, fix_n;                 /* by what, in diags.words */
};

struct diags {
	struct diag *row;
	size_t n, cap;
	struct buf words;
	size_t count[4];              /* by level */
	uint8_t level[256];           /* by rule: the house's level */
};

void diags_init(struct diags *d);
void diags_init_alike(struct diags *d, const struct diags *other); /* with its levels */
void diags_release(struct diags *d);

/* Forgets what was collected, keeps the levels. */
void diags_clear(struct diags *d);

/* From here on this rule has that level; LEVEL_NONE drops it. */
void diags_set_level(struct diags *d, int rule, int level);

/* Adds one; `args` are as many as the rule has. Control characters in them are shown as \xHH. */
void diag_add(struct diags *d, int rule, struct place place, const struct slice *args, size_t nargs);

#define DIAG(d, rule, place, ...) \
	diag_add(d, rule, place, (const struct slice[]){ __VA_ARGS__ }, \
		sizeof((const struct slice[]){ __VA_ARGS__ }) / sizeof(struct slice))
#define DIAG0(d, rule, place) diag_add(d, rule, place, NULL, 0)

/*
 * Adds to the diagnostic that was added last, if it is of that rule, its exact correction: the columns from `col`
 * up to `end` of its line are replaced by `text`. Only for what is sure, and loses nothing.
 */
void diag_fix(struct diags *d, int rule, uint32_t col, uint32_t end, struct slice text);

struct slice diag_text(const struct diags *d, const struct diag *row);
struct slice diag_mend(const struct diags *d, const struct diag *row);
struct slice diag_fixed(const struct diags *d, const struct diag *row); /* the text of its diag_fix() */

/* A text or a mend of a rule with the names of its args in capitals: "NEED pieces of WHAT". */
void diag_shape(struct buf *out, int rule, struct slice template);

/* Moves all of `from` to `to`, its lines raised by `lines_before`. */
void diags_take(struct diags *to, struct diags *from, uint64_t lines_before);
void diags_sort(struct diags *d);

/* Takes out those that `keep` says no to. */
typedef bool diags_keep(void *context, const struct diag *row);
void diags_filter(struct diags *d, diags_keep *keep, void *context);

/* `TEXT; MEND -- RULE` and a line end: all that comes after the level. */
void diag_add_words(struct buf *out, const struct diags *d, const struct diag *row);

/* `FILE:LINE:COL: LEVEL: TEXT; MEND -- RULE` and a line end. */
void diag_write(struct buf *out, const struct diags *d, const struct diag *row, struct slice file);

#endif
