#include <stdarg.h>
#include <stdio.h>

#include "intake/guess_internal.h"

enum { QUESTION_MOST = 400 }; /* bytes: a sentence, and what it quotes (GUESS_QUOTED) */

void guess_ask(struct guess *g, const char *fmt, ...)
{
	char text[QUESTION_MOST];
	va_list ap;

	va_start(ap, fmt);
	vsnprintf(text, sizeof text, fmt, ap);
	va_end(ap);
	buf_str(g->questions, text);
	buf_char(g->questions, '\n');
	g->open = true;
}
