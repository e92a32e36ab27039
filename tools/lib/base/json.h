/*
 * json.h - one JSON text (RFC 8259) taken apart into its leaves, with their places.
 *
 * Numbers are given as they are written, so that no digit is lost or added; that, and columns for
 * messages, is why no JSON library is used. A leaf has the keys that lead to it, joined with
 * points; items of an array count from 1: {"air":{"temp":[20.5]}} has the leaf air.temp.1.
 */
#ifndef WITHY_JSON_H
#define WITHY_JSON_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

enum { JSON_DEPTH = 32 };

enum json_kind { JSON_STRING, JSON_NUMBER, JSON_TRUE, JSON_FALSE, JSON_NULL };

struct json_leaf {
	struct slice key;         /* its keys, joined; valid during the call, as is the text */
	struct slice text;        /* a string without its escapes, else as written */
	enum json_kind kind;
	size_t col;               /* of its value, in bytes from 1 */
};

typedef void json_leaf_fn(void *arg, const struct json_leaf *leaf);

struct json_error {
	size_t col;
	const char *text;         /* what is wrong there */
};

/* Reads one object. `take` gets its leaves in their order, also those before a mistake. */
bool json_read(struct slice text, json_leaf_fn *take, void *arg, struct json_error *error);

#endif
