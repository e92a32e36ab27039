/*
 * xml_read.h - XML as a run of calls: an element starts, its text, it ends.
 *
 * This is the only file that sees the XML library. Names come without their namespace's prefix.
 * A document type (and with it every entity of its own) is an error, and so are more than XML_DEPTH
 * elements within each other.
 */
#ifndef WITHY_XML_READ_H
#define WITHY_XML_READ_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

enum { XML_DEPTH = 64 };

struct xml_read;

/* The calls; any may be NULL. `attributes` are name, value, name, value, ..., NULL. */
struct xml_calls {
	void (*start)(void *arg, struct slice name, const char *const *attributes);
	void (*text)(void *arg, struct slice text);    /* perhaps in several pieces */
	void (*end)(void *arg, struct slice name);
};

struct xml_read *xml_open(const struct xml_calls *calls, void *arg);
void xml_close(struct xml_read *x);      /* NULL does nothing */

/* Reads a piece; the last one may be empty. False on a mistake, now and later. */
bool xml_add(struct xml_read *x, struct slice piece, bool last);

/* What is wrong, and in which line. */
const char *xml_error(const struct xml_read *x, size_t *line);

/* The value of an attribute, whatever its prefix; empty where there is none. */
struct slice xml_attribute(const char *const *attributes, const char *name);

#endif
