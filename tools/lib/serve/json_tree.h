/*
 * json_tree.h - a JSON text (RFC 8259) as a tree; the only module that sees jansson.
 *
 * Every getter takes NULL and a node of another kind, and then gives nothing: NULL, 0, an empty slice, the
 * default. So a message is read without a test at each step. A tree owns its nodes and their texts.
 */
#ifndef WITHY_JSON_TREE_H
#define WITHY_JSON_TREE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

struct json_tree;

/* Reads one value of any kind. NULL where `text` is not JSON, not UTF-8, or nested too deep. The caller frees it. */
struct json_tree *json_tree_read(struct slice text);
void json_tree_free(struct json_tree *tree);

/* A second owner of the whole tree, which must be one that json_tree_read() gave; it is freed as well. */
struct json_tree *json_tree_share(const struct json_tree *tree);

/* The member of an object, the item of an array from 0; how many items an array has. */
const struct json_tree *json_tree_get(const struct json_tree *t, const char *key);
const struct json_tree *json_tree_item(const struct json_tree *t, size_t i);
size_t json_tree_items(const struct json_tree *t);

bool json_tree_is_object(const struct json_tree *t);
bool json_tree_is_array(const struct json_tree *t);
bool json_tree_is_text(const struct json_tree *t);
bool json_tree_is_integer(const struct json_tree *t);

/* A string's text, an integer, a boolean. */
struct slice json_tree_text(const struct json_tree *t);
int64_t json_tree_integer(const struct json_tree *t, int64_t otherwise);
bool json_tree_true(const struct json_tree *t);

/* Adds a string or a number as JSON has it; null for anything else. */
void json_tree_write(struct buf *out, const struct json_tree *t);

#endif
