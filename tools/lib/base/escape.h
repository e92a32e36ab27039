/*
 * escape.h - text written so that it is safe and whole in the form it goes into.
 *
 * Any bytes may be given. But for json, whose readers get the text back exactly, what could act on
 * a terminal is made visible first (utf8_add_visible).
 */
#ifndef WITHY_ESCAPE_H
#define WITHY_ESCAPE_H

#include "base/utf8.h"

/* A JSON string (RFC 8259) with its quotes; bytes that are not UTF-8 become U+FFFD. */
void buf_json(struct buf *b, struct slice s);

/* A cell of TSV: made visible, and a backslash is doubled, so that every text can be read back. */
void buf_tsv(struct buf *b, struct slice s);

/*
 * A field of CSV (RFC 4180), in quotes where it has to be. Line ends are kept, other controls made
 * visible. What a spreadsheet would take for a formula gets a ' first: text that starts with
 * = + - @, their full-width forms, a line end or a tab.
 */
void buf_csv(struct buf *b, struct slice s);

/* Text of HTML, or of an attribute's value in quotes of either kind. */
void buf_html(struct buf *b, struct slice s);

/*
 * Text of Markdown, also within a table's cell: what is markup is escaped. A name keeps its
 * underscores, which within a word are none.
 */
void buf_md(struct buf *b, struct slice s);
void buf_md_name(struct buf *b, struct slice s);

#endif
