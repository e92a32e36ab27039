#include "serve/json_tree.h"

#include <jansson.h>

#include "base/escape.h"

/* A node is jansson's own; the name only hides it. */
static const json_t *node(const struct json_tree *t)
{
	return (const json_t *)(const void *)t;
}

static const struct json_tree *tree(const json_t *j)
{
	return (const struct json_tree *)(const void *)j;
}

struct json_tree *json_tree_read(struct slice text)
{
	return (struct json_tree *)(void *)json_loadb(text.p, text.n, JSON_DECODE_ANY | JSON_ALLOW_NUL, NULL);
}

void json_tree_free(struct json_tree *t)
{
	if (t)
		json_decref((json_t *)(void *)t);
}

struct json_tree *json_tree_share(const struct json_tree *t)
{
	return (struct json_tree *)(void *)json_incref((json_t *)(void *)(uintptr_t)t);
}

const struct json_tree *json_tree_get(const struct json_tree *t, const char *key)
{
	return t ? tree(json_object_get(node(t), key)) : NULL;
}

const struct json_tree *json_tree_item(const struct json_tree *t, size_t i)
{
	return t ? tree(json_array_get(node(t), i)) : NULL;
}

size_t json_tree_items(const struct json_tree *t)
{
	return t ? json_array_size(node(t)) : 0;
}

bool json_tree_is_object(const struct json_tree *t)
{
	return t && json_is_object(node(t));
}

bool json_tree_is_array(const struct json_tree *t)
{
	return t && json_is_array(node(t));
}

bool json_tree_is_text(const struct json_tree *t)
{
	return t && json_is_string(node(t));
}

bool json_tree_is_integer(const struct json_tree *t)
{
	return t && json_is_integer(node(t));
}

struct slice json_tree_text(const struct json_tree *t)
{
	if (!json_tree_is_text(t))
		return SLICE("");
	return (struct slice){ json_string_value(node(t)), json_string_length(node(t)) };
}

int64_t json_tree_integer(const struct json_tree *t, int64_t otherwise)
{
	return json_tree_is_integer(t) ? json_integer_value(node(t)) : otherwise;
}

bool json_tree_true(const struct json_tree *t)
{
	return t && json_is_true(node(t));
}

void json_tree_write(struct buf *out, const struct json_tree *t)
{
	if (json_tree_is_text(t))
		buf_json(out, json_tree_text(t));
	else if (json_tree_is_integer(t))
		buf_int(out, json_tree_integer(t, 0));
	else if (t && json_is_real(node(t)))
		buf_printf(out, "%.17g", json_real_value(node(t)));
	else
		buf_str(out, "null");
}
