/*
 * prompt.h - a line typed on the terminal, with editing and completion; the only file that sees GNU readline.
 *
 * Esc alone, Ctrl-D on an empty line and a closed terminal leave. Arrow keys and the like, which also begin with an
 * escape, work as ever.
 */
#ifndef WITHY_PROMPT_H
#define WITHY_PROMPT_H

#include <stdbool.h>

#include "base/text.h"

struct jot_choices;

/* Fills in what the text so far can become, each choice a whole text. */
typedef void prompt_complete(void *context, struct slice so_far, struct jot_choices *choices);

/* Whether a person is there: standard input and output are a terminal. */
bool prompt_is_possible(void);

/*
 * Asks. `label` ends in a blank; `first` is there already, to be edited. Tab completes by `complete`, which may be NULL. True with the
 * trimmed answer in `out`, which is emptied first; false when the person leaves.
 */
bool prompt_ask(const char *label, struct slice first, prompt_complete *complete, void *context, struct buf *out);

#endif
