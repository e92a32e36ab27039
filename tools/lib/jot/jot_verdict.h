/*
 * jot_verdict.h - what a change of the book has brought about: the diagnostics after it that were not there before.
 */
#ifndef WITHY_JOT_VERDICT_H
#define WITHY_JOT_VERDICT_H

#include <stdint.h>

struct diags;

/* The change: in file `file`, lines were added from number `from` on (the file's last), or line `from` was taken out. */
struct jot_change {
	uint32_t file;
	uint64_t from;
	int added;                 /* how many lines, or -1 for the one that was taken out */
};

/*
 * Keeps of `after` what the change has caused: everything of the added lines, and of other lines the errors and warnings
 * of a rule that they did not break before. A message whose figures alone are others is not a new one.
 */
void jot_verdict(struct diags *after, const struct diags *before, const struct jot_change *change);

#endif
