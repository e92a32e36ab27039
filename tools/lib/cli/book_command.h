/*
 * book_command.h - how the book that a tool reads is named: in another command, in messages, and by its git commit.
 */
#ifndef WITHY_BOOK_COMMAND_H
#define WITHY_BOOK_COMMAND_H

#include <stdbool.h>

struct book;
struct buf;

/*
 * Adds the options and files by which another command reads the same book, each with a blank before it, as a shell takes
 * them: " -H works/house.yaml -b".
 */
void book_command(struct buf *out);

/* Adds a word as a shell takes it: in quotes where it must be. */
void book_command_word(const char *word, struct buf *out);

/* Adds the commit of the book's git repository (git_head.h); nothing where it is in none. */
void book_commit(const struct book *b, struct buf *out);

/* What each file is called in messages; the caller frees the array. */
const char **book_names(const struct book *b);

/* Whether the environment says that a terminal shows UTF-8. */
bool book_shows_utf8(void);

#endif
