#include "jot/jot_own.h"

#include "book/reader.h"

struct slice jot_own_next(struct slice *bytes)
{
	size_t n = slice_find(*bytes, '\n');
	struct slice line = slice_upto(*bytes, n < bytes->n ? n + 1 : n);

	*bytes = slice_from(*bytes, line.n);
	return line;
}

struct slice jot_own_text(struct slice line, bool first)
{
	if (first && slice_starts(line, SLICE("\xef\xbb\xbf")))
		line = slice_from(line, 3);
	if (line.n && line.p[line.n - 1] == '\n')
		line.n--;
	if (line.n && line.p[line.n - 1] == '\r')
		line.n--;
	return line;
}

bool jot_own_find(struct jot_own *own, const struct vocab *vocab, struct slice bytes, struct slice person, int32_t day)
{
	struct diags diags;
	struct parser parser;

	*own = (struct jot_own){ { "", 0 }, 0 };
	diags_init(&diags);
	parser_init(&parser, vocab, &diags);
	for (uint64_t number = 1; bytes.n; number++) {
		struct slice line = jot_own_next(&bytes);
		const struct line *l = parse_line(&parser, jot_own_text(line, number == 1), number, 0);

		if (l->kind == LINE_EVENT && l->stamp.day == day && slice_eq(line_word(l, FIELD_BY), person))
			*own = (struct jot_own){ line, number };
	}
	parser_release(&parser);
	diags_release(&diags);
	return own->number != 0;
}
