/*
 * guess.h - proposes a mapping for an export by looking through all of it.
 *
 * The proposal is YAML as in mapping(5). Each choice has its certainty and the reason: "sure" (the
 * data allow nothing else), "likely" (something else would also fit), "not sure" (check it).
 * An open question, such as whether 05/04/2026 is in April or May, is not answered: the proposal
 * lists its possible answers as comments, and they are also reported as questions.
 */
#ifndef WITHY_GUESS_H
#define WITHY_GUESS_H

#include <stdbool.h>

#include "base/text.h"

struct vocab;
struct zone;

/* What the user already knows; empty: not known. `file` is the file's name. */
struct guess_wish {
	struct slice event, subject, meter, file;
	bool json;               /* the table was made from JSON Lines, */
	struct slice sheet;      /* or from this sheet of a workbook (export_table.h) */
	const struct zone *works;    /* the works' clock; NULL: not known */
};

/*
 * Reads `fd` to its end and adds the proposal to `out`. 0 when all is decided; 1 when something is
 * open, with a line for each question in `questions`; a negative errno when reading failed.
 */
int guess_mapping(int fd, const struct vocab *vocab, const struct guess_wish *wish, struct buf *out, struct buf *questions);

#endif
