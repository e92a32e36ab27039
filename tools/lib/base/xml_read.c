#include "base/xml_read.h"

#include <expat.h>

struct xml_read {
	XML_Parser parser;
	struct xml_calls calls;
	void *arg;
	int depth;
	const char *error;
	size_t line;
};

static struct slice local_name(const char *name)
{
	const char *colon = strrchr(name, ':');

	return slice_of(colon ? colon + 1 : name);
}

static void fail(struct xml_read *x, const char *why)
{
	if (x->error)
		return;
	x->error = why;
	x->line = XML_GetCurrentLineNumber(x->parser);
	XML_StopParser(x->parser, XML_FALSE);
}

static void on_start(void *arg, const char *name, const char **attributes)
{
	struct xml_read *x = arg;

	if (++x->depth > XML_DEPTH)
		fail(x, "its elements are nested too deeply");
	else if (x->calls.start)
		x->calls.start(x->arg, local_name(name), (const char *const *)attributes);
}

static void on_end(void *arg, const char *name)
{
	struct xml_read *x = arg;

	x->depth--;
	if (x->calls.end && !x->error)
		x->calls.end(x->arg, local_name(name));
}

static void on_text(void *arg, const char *p, int n)
{
	struct xml_read *x = arg;

	if (x->calls.text && !x->error)
		x->calls.text(x->arg, (struct slice){ p, (size_t)n });
}

static void on_doctype(void *arg, const char *name, const char *system, const char *public, int internal)
{
	(void)name;
	(void)system;
	(void)public;
	(void)internal;
	fail(arg, "it has a document type, which such a file must not have");
}

static void no_memory(void)
{
	mem_array((size_t)-1, 2); /* does not return */
}

struct xml_read *xml_open(const struct xml_calls *calls, void *arg)
{
	struct xml_read *x = mem_zeroed(1, sizeof *x);

	x->calls = *calls;
	x->arg = arg;
	x->parser = XML_ParserCreate(NULL);
	if (!x->parser)
		no_memory();
	XML_SetUserData(x->parser, x);
	XML_SetElementHandler(x->parser, on_start, on_end);
	XML_SetCharacterDataHandler(x->parser, on_text);
	XML_SetStartDoctypeDeclHandler(x->parser, on_doctype);
	return x;
}

void xml_close(struct xml_read *x)
{
	if (!x)
		return;
	XML_ParserFree(x->parser);
	free(x);
}

bool xml_add(struct xml_read *x, struct slice piece, bool last)
{
	if (x->error)
		return false;
	if (XML_Parse(x->parser, piece.p, (int)piece.n, last) == XML_STATUS_OK)
		return true;
	if (!x->error) {
		if (XML_GetErrorCode(x->parser) == XML_ERROR_NO_MEMORY)
			no_memory();
		x->line = XML_GetCurrentLineNumber(x->parser);
		x->error = XML_ErrorString(XML_GetErrorCode(x->parser));
	}
	return false;
}

const char *xml_error(const struct xml_read *x, size_t *line)
{
	*line = x->line;
	return x->error;
}

struct slice xml_attribute(const char *const *attributes, const char *name)
{
	for (size_t i = 0; attributes[i]; i += 2)
		if (slice_eq(local_name(attributes[i]), slice_of(name)))
			return slice_of(attributes[i + 1]);
	return (struct slice){ "", 0 };
}
