/*
 * yaml.h - a YAML document as a tree of text, read strictly; the only file that sees libyaml.
 *
 * Scalars are text and keep their place; what they mean is for the reader of the key to say.
 * Refused, with line and column: anchors, aliases, tags, merge keys, a key twice in one
 * mapping, a key that is not a scalar, more than YAML_DEEPEST levels, a second document,
 * bytes that are not UTF-8 or a NUL.
 */
#ifndef WITHY_YAML_H
#define WITHY_YAML_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

struct yaml_doc;

enum { YAML_DEEPEST = 24 };

enum yaml_kind { YAML_SCALAR, YAML_LIST, YAML_MAP };

struct yaml {
	enum yaml_kind kind;
	bool quoted;           /* a scalar written in quotes or as a block */
	struct slice text;     /* a scalar's text; empty for others */
	size_t line, col;      /* where it starts, from 1; col counts bytes */
	size_t n;              /* how many items or pairs */
	const struct yaml *key;  /* n keys of a mapping, in the order written; else NULL */
	const struct yaml *item; /* n items of a list or values of a mapping */
};

struct yaml_error {
	size_t line, col;
	char text[240];
};

struct yaml_doc; /* owns the tree */

/*
 * Reads one document from `bytes`. NULL on error, with *error filled. An empty document is a
 * mapping of no pairs. The tree does not point into `bytes`. A byte order mark is passed over
 * and does not count; lines end at LF, CRLF or a lone CR.
 */
struct yaml_doc *yaml_read(struct slice bytes, struct yaml_error *error);
const struct yaml *yaml_root(const struct yaml_doc *doc);

/* Frees the document and its tree; NULL is fine. (libyaml has a yaml_free of its own.) */
void yaml_doc_free(struct yaml_doc *doc);

/* The value of `key` in a mapping, or NULL (also when `map` is NULL or no mapping). */
const struct yaml *yaml_get(const struct yaml *map, const char *key);

/*
 * Whether another YAML reader (1.1 or 1.2 core) would take this unquoted scalar for a number,
 * a truth value, a null or a date, so that an id written so has to be quoted.
 */
bool yaml_ambiguous(const struct yaml *scalar);

#endif
