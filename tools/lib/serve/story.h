/*
 * story.h - what is known of a place in a line, in words: the event, the field, what a value means, who or where a
 * word of the house file is; of an id of the book its story, from the line where it began.
 */
#ifndef WITHY_STORY_H
#define WITHY_STORY_H

#include <stddef.h>

struct ask;
struct buf;
struct works_file;

/* Adds a Hover, or null. */
void story_hover(struct buf *out, const struct ask *ask);

/* Adds the InlayHint array of the lines [from, to]: what is left after each, as of the last whole check. */
void story_left(struct buf *out, const struct works_file *f, size_t from, size_t to);

#endif
