/*
 * check_report.h - what wy-check shows: diagnostics, the rules and the vocabulary, as lines and tables.
 */
#ifndef WITHY_CHECK_REPORT_H
#define WITHY_CHECK_REPORT_H

#include <stdbool.h>

struct buf;
struct diag;
struct diags;
struct slice;
struct table;
struct vocab;

/*
 * `FILE:LINE:COL: LEVEL: TEXT; MEND -- RULE` and a line end. `marked`: the level reversed or underlined, for a
 * terminal; `width`: the cells of its lines, where a longer diagnostic goes on, indented; 0 for one line.
 */
void check_report_diag(struct buf *out, const struct diags *d, const struct diag *row, const char *file, bool marked, unsigned width);

/* A rule in full: its level, clause, text and mend, an example that breaks it and one that keeps it. Width as above. */
void check_report_about_rule(struct buf *out, const struct diags *d, int rule, unsigned width);

/* The diagnostics as a table; `path` names the files. */
void check_report_diags(struct table *t, const struct diags *d, const char *const *path);

/*
 * The rules, or the events with their fields, that are named (NULL at the end), or all. False when
 * there is none of a name, which *bad then is.
 */
bool check_report_rules(struct table *t, const struct diags *d, char *const *names, struct slice *bad);
bool check_report_events(struct table *t, const struct vocab *v, char *const *names, struct slice *bad);

#endif
