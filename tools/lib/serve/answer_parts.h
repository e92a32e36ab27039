/*
 * answer_parts.h - the pieces that answers are made of, as JSON of the Language Server Protocol: addresses, places, findings.
 */
#ifndef WITHY_ANSWER_PARTS_H
#define WITHY_ANSWER_PARTS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/escape.h"

struct findings;
struct works_file;

/* The path of a file: address, to be freed; an address of another kind is itself. And the address of a path. */
char *say_path(struct slice uri);
void say_uri(struct buf *out, const char *path);

/* The file's address as a string: the editor's own words for it if it has it open. */
void say_file(struct buf *out, const struct works_file *f);

/* {"start":...,"end":...} of bytes [col, end) of a line. Of two spots that are counted in units already. */
void say_range(struct buf *out, const struct works_file *f, size_t line, size_t col, size_t end);
void say_lines(struct buf *out, size_t line, size_t unit, size_t end_line, size_t end_unit);

/* {"uri":...,"range":...} */
void say_location(struct buf *out, const struct works_file *f, size_t line, size_t col, size_t end);

/* {"range":...,"newText":...} of a part of the line. */
void say_edit(struct buf *out, const struct works_file *f, size_t line, size_t col, size_t end, struct slice text);

/* An array of diagnostics. `f` may be NULL: then columns are taken as they are. */
void say_findings(struct buf *out, const struct works_file *f, const struct findings *found);
void say_finding(struct buf *out, const struct works_file *f, const struct findings *found, size_t i);

#endif
