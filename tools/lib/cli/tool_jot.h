/*
 * tool_jot.h - what wy-jot does with the book: it writes out entries, has them checked with the whole book, and
 * appends them under a lock, all of them or none; and it takes the last own entry out again.
 *
 * Like tool.h this prints and may end the process.
 */
#ifndef WITHY_TOOL_JOT_H
#define WITHY_TOOL_JOT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "cli/tool_book.h"

struct jot_defaults;
struct jot_state;

struct tool_jot {
	/* the caller's */
	struct book *book;
	const char *into;          /* the file to append to; NULL: the last one of the book */
	const char *by;            /* the person; NULL: $WITHY_PERSON, or the login name where the house has it */
	bool dry;                  /* nothing is written */
	bool no_time;              /* no time is filled in */
	bool preview;              /* nothing is written, and nothing is said of that */
	bool shown;                /* the entry was shown already */
	/* its own, after tool_jot_start() */
	const char *path;
	uint32_t target;           /* its number among the book's files */
	struct slice person, known;
	struct buf date, time;
	int32_t today;
	struct jot_defaults *defaults;
};

/* What is to be written: the words of one entry, or lines of text. */
struct tool_jot_input {
	const struct slice *word;
	size_t n;
	struct slice text;
	const char *name;          /* of the text in messages; NULL: the words count */
};

/* Finds the house, the book, the file to append to, and the person's defaults. */
void tool_jot_start(struct tool_jot *t);

/*
 * Writes it out, checks it and appends it. Lines go to standard output, and what was filled in to standard error. The
 * result is the exit status: TOOL_DONE, or TOOL_NO where it was refused and nothing was written.
 */
int tool_jot_write(const struct tool_jot *t, const struct tool_jot_input *input);

/*
 * Whether an answer of a form is valid, which is the last of the words EVENT SUBJECT [FIELD=VALUE]: a value by itself, a
 * subject also as an id that the book has. If not, the reason goes to standard error. What depends on other answers is
 * judged with the whole entry.
 */
bool tool_jot_answer(const struct tool_jot *t, const struct jot_state *state, const struct slice *word, size_t n);

/* Takes the person's last entry of the day out of the file, unless other lines need it. The same statuses. */
int tool_jot_undo(const struct tool_jot *t);

/* The book as it is now, for choices; to be released by tool_jot_forget(). */
struct jot_state *tool_jot_look(const struct tool_jot *t);
void tool_jot_forget(struct jot_state *s);

/* Prints what may follow the words (jot_complete.h), a line each with its help after a tab. `what`: entry, ids, dates or a field. */
int tool_jot_complete(const struct tool_jot *t, const char *what, const struct slice *word, size_t n);

#endif
