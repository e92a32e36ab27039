/*
 * line_fix.h - a line with its exact corrections made: those of diag_fix(), of the rules that are wanted.
 */
#ifndef WITHY_LINE_FIX_H
#define WITHY_LINE_FIX_H

#include <stdbool.h>

#include "book/diag.h"

struct parser;

/*
 * Adds the line with the corrections. It is read again after each, for a mistake can hide others. Returns the
 * line as it then is, whose slices are valid until `out` changes; what is still wrong with it is in the parser's
 * diagnostics. `wanted` is by rule.
 */
const struct line *line_fix(struct buf *out, struct parser *parser, struct slice text, uint64_t number, uint32_t file,
	const bool wanted[RULES_END]);

#endif
