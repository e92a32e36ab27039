#include "serve/lines_of.h"

#include <stdlib.h>

#include "base/pattern.h"
#include "book/token.h"
#include "serve/answer_parts.h"
#include "serve/line_ids.h"
#include "serve/works.h"

/* ---- gathering */

struct gathering {
	struct lines_of *found;
	struct slice id, text;
	struct lines_of_row row;
};

static void take_place(void *context, const struct line_id *id)
{
	struct gathering *g = context;
	struct lines_of_row row = g->row;

	if (!slice_eq(id->text, g->id))
		return;
	row.col = (uint32_t)(id->text.p - g->text.p);
	row.end = row.col + (uint32_t)id->text.n;
	row.starts = id->starts;
	g->found->row = mem_grow(g->found->row, &g->found->cap, g->found->n + 1, sizeof *g->found->row);
	g->found->row[g->found->n++] = row;
}

/* A quick look: most lines do not have the word at all. */
static bool may_name(struct slice text, struct slice id)
{
	for (const char *p = text.p, *end = text.p + text.n; (size_t)(end - p) >= id.n; p++) {
		p = memchr(p, id.p[0], (size_t)(end - p) - id.n + 1);
		if (!p)
			return false;
		if (memcmp(p, id.p, id.n) == 0)
			return true;
	}
	return false;
}

static void gather_line(struct works *w, const struct works_file *f, size_t line, struct gathering *g)
{
	const struct line *l;

	g->text = document_text(&f->text, line);
	if (!may_name(g->text, g->id))
		return;
	l = works_line(w, g->text);
	g->row = (struct lines_of_row){ .file = f, .line = line, .day = INT32_MAX };
	if (l->kind == LINE_EVENT) {
		g->row.day = l->stamp.day;
		g->row.second = l->stamp.second;
		line_ids(l, take_place, g);
	} else if (l->kind == LINE_BAD)
		line_ids_broken(g->text, g->id, take_place, g);
}

static int by_place(const void *a, const void *b)
{
	const struct lines_of_row *x = a, *y = b;

	if (x->line != y->line)
		return x->line < y->line ? -1 : 1;
	return (x->col > y->col) - (x->col < y->col);
}

struct lines_of lines_of(struct works *w, struct slice id)
{
	struct lines_of found = { NULL, 0, 0 };
	struct gathering g = { .found = &found, .id = id };

	for (size_t i = 0; id.n && i < w->n; i++) {
		size_t before = found.n;

		for (size_t line = 0; line < w->file[i]->text.n; line++)
			gather_line(w, w->file[i], line, &g);
		if (found.n > before)
			qsort(found.row + before, found.n - before, sizeof *found.row, by_place);
	}
	return found;
}

void lines_of_release(struct lines_of *t)
{
	free(t->row);
	memset(t, 0, sizeof *t);
}

static int by_time(const void *a, const void *b)
{
	const struct lines_of_row *x = a, *y = b;

	if (x->day != y->day)
		return x->day < y->day ? -1 : 1;
	if (x->second != y->second)
		return x->second < y->second ? -1 : 1;
	return x->file != y->file ? strcmp(x->file->path, y->file->path) : by_place(a, b);
}

void lines_of_sort(struct lines_of *t)
{
	if (t->n)
		qsort(t->row, t->n, sizeof *t->row, by_time);
}

const struct lines_of_row *lines_of_start(const struct lines_of *t)
{
	const struct lines_of_row *best = NULL;

	for (size_t i = 0; i < t->n; i++)
		if (t->row[i].starts && (!best || by_time(&t->row[i], best) < 0))
			best = &t->row[i];
	return best;
}

/* ---- the id at a place */

struct looking {
	const char *place;
	struct slice found;
};

static void look(void *context, const struct line_id *id)
{
	struct looking *l = context;

	if (id->text.p <= l->place && l->place <= id->text.p + id->text.n)
		l->found = id->text;
}

struct slice lines_of_id(const struct ask *ask)
{
	struct slice text = document_text(&ask->file->text, ask->line);
	struct looking looking = { text.p + ask->byte, SLICE("") };
	const char *start = looking.place, *end = looking.place;
	const struct line *l = works_line(ask->works, text);

	if (l->kind == LINE_EVENT)
		line_ids(l, look, &looking);
	else if (l->kind == LINE_BAD) {
		while (start > text.p && token_is(start - 1, end, TOKEN_ID))
			start--;
		while (token_is(end, text.p + text.n, TOKEN_ID))
			end++;
		looking.found = slice_between(start, end);
	}
	if (!looking.found.n || works_is_house_word(ask->works, looking.found) || !id_list_find(&ask->works->ids, looking.found))
		return SLICE("");
	return looking.found;
}

/* ---- answers */

static void say_row(struct buf *out, const struct lines_of_row *row)
{
	say_location(out, row->file, row->line, row->col, row->end);
}

void lines_of_definition(struct buf *out, const struct ask *ask)
{
	struct lines_of found = lines_of(ask->works, lines_of_id(ask));
	const struct lines_of_row *start = lines_of_start(&found);

	if (start)
		say_row(out, start);
	else
		buf_str(out, "null");
	lines_of_release(&found);
}

void lines_of_references(struct buf *out, const struct ask *ask, bool with_start)
{
	struct lines_of found = lines_of(ask->works, lines_of_id(ask));
	bool some = false;

	buf_char(out, '[');
	for (size_t i = 0; i < found.n; i++) {
		if (!with_start && found.row[i].starts)
			continue;
		buf_str(out, some ? ",\n" : "");
		say_row(out, &found.row[i]);
		some = true;
	}
	buf_char(out, ']');
	lines_of_release(&found);
}

bool lines_of_prepare(struct buf *out, const struct ask *ask)
{
	struct slice text = document_text(&ask->file->text, ask->line), id = lines_of_id(ask);

	if (!id.n) {
		buf_str(out, "there is nothing to rename here: put the cursor on the id of a tree, lot, charge, bat, order or parcel");
		return false;
	}
	say_range(out, ask->file, ask->line, (size_t)(id.p - text.p), (size_t)(id.p - text.p) + id.n);
	return true;
}

static bool is_id(struct slice name)
{
	return name.n && name.p[0] != '-' && token_id_end(name.p, name.p + name.n, false) == name.p + name.n;
}

/* The pattern that the house file asks of such an id, and that the name does not fit; or -1. */
static int misfit(const struct works *w, unsigned kinds, struct slice name)
{
	static const struct { unsigned kind; int ids; } PATTERNS[] = { { SUBJECT_TREE, HOUSE_IDS_TREE }, { SUBJECT_LOT, HOUSE_IDS_LOT },
		{ SUBJECT_CHARGE, HOUSE_IDS_CHARGE }, { SUBJECT_BAT, HOUSE_IDS_BAT }, { SUBJECT_ORDER, HOUSE_IDS_ORDER } };

	for (size_t i = 0; w->house && i < sizeof PATTERNS / sizeof *PATTERNS; i++) {
		const struct pattern *p = kinds & PATTERNS[i].kind ? house_pattern(w->house, PATTERNS[i].ids) : NULL;
		struct pattern_scratch *scratch = p ? pattern_scratch_new() : NULL;
		bool fits = !p || pattern_match(p, scratch, name) == PATTERN_YES;

		pattern_scratch_free(scratch);
		if (!fits)
			return PATTERNS[i].ids;
	}
	return -1;
}

/* The pattern as the house file has it. */
static struct slice pattern_of(const struct house *house, int kind)
{
	static const char *const names[] = { [HOUSE_IDS_TREE] = "tree", [HOUSE_IDS_LOT] = "lot", [HOUSE_IDS_CHARGE] = "charge", [HOUSE_IDS_BAT] = "bat",
		[HOUSE_IDS_ORDER] = "order" };

	for (size_t i = 0; i < house->nids; i++)
		if (slice_eq(house->ids[i].id, slice_of(names[kind])))
			return house->ids[i].source;
	return SLICE("");
}

static bool may_be_called(struct buf *why, const struct ask *ask, struct slice id, struct slice name)
{
	const struct id_row *row = id_list_find(&ask->works->ids, id);
	int pattern = row ? misfit(ask->works, id_list_kinds(row), name) : -1;

	if (!is_id(name))
		buf_printf(why, "'%.*s' cannot be an id: use letters, digits, - and _", (int)name.n, name.p);
	else if (slice_eq(id, name))
		return true;
	else if (works_is_house_word(ask->works, name))
		buf_printf(why, "%.*s is already a word of the house file", (int)name.n, name.p);
	else if (id_list_find(&ask->works->ids, name))
		buf_printf(why, "%.*s is already in the book: two things would become one", (int)name.n, name.p);
	else if (pattern >= 0) {
		buf_printf(why, "'%.*s' does not fit the pattern that the house file has for such ids: ", (int)name.n, name.p);
		buf_add(why, pattern_of(ask->works->house, pattern));
	} else
		return true;
	return false;
}

static void say_changes(struct buf *out, const struct lines_of *found, struct slice name)
{
	const struct works_file *last = NULL;

	buf_str(out, "{\"changes\":{");
	for (size_t i = 0; i < found->n; i++) {
		const struct lines_of_row *row = &found->row[i];

		if (row->file != last) {
			buf_str(out, last ? "],\n" : "");
			say_file(out, row->file);
			buf_str(out, ":[");
		} else
			buf_str(out, ",\n");
		last = row->file;
		say_edit(out, row->file, row->line, row->col, row->end, name);
	}
	buf_str(out, last ? "]}}" : "}}");
}

bool lines_of_rename(struct buf *out, const struct ask *ask, struct slice name)
{
	struct slice id = lines_of_id(ask);
	struct lines_of found;

	if (!id.n)
		return lines_of_prepare(out, ask);
	if (!may_be_called(out, ask, id, name))
		return false;
	found = lines_of(ask->works, id);
	say_changes(out, &found, name);
	lines_of_release(&found);
	return true;
}

/* ---- symbols */

struct naming {
	struct buf *out;
	const struct works_file *file;
	struct slice text, query;
	const struct line *line;
	size_t number, n, most;
	bool with_file;
};

static void say_symbol(void *context, const struct line_id *id)
{
	struct naming *s = context;
	size_t col = (size_t)(id->text.p - s->text.p);

	if (!id->starts || s->n == s->most || !may_name(id->text, s->query.n ? s->query : slice_upto(id->text, 1)))
		return;
	buf_str(s->out, s->n++ ? ",\n{\"name\":" : "{\"name\":");
	buf_json(s->out, id->text);
	buf_str(s->out, ",\"kind\":19,");
	if (s->with_file) {
		buf_str(s->out, "\"location\":");
		say_location(s->out, s->file, s->number, col, col + id->text.n);
	} else {
		buf_str(s->out, "\"detail\":");
		buf_json(s->out, s->line->event->name);
		buf_str(s->out, ",\"range\":");
		say_range(s->out, s->file, s->number, 0, s->text.n);
		buf_str(s->out, ",\"selectionRange\":");
		say_range(s->out, s->file, s->number, col, col + id->text.n);
	}
	buf_char(s->out, '}');
}

static void name_lines(struct naming *s, struct works *w, const struct works_file *f)
{
	s->file = f;
	for (s->number = 0; s->number < f->text.n; s->number++) {
		s->text = document_text(&f->text, s->number);
		if (s->query.n && !may_name(s->text, s->query))
			continue;
		s->line = works_line(w, s->text);
		line_ids(s->line, say_symbol, s);
	}
}

void lines_of_symbols(struct buf *out, struct works *w, const struct works_file *f)
{
	struct naming s = { .out = out, .query = SLICE(""), .most = SIZE_MAX };

	buf_char(out, '[');
	name_lines(&s, w, f);
	buf_char(out, ']');
}

void lines_of_search(struct buf *out, struct works *w, struct slice query, size_t most, size_t *n)
{
	struct naming s = { .out = out, .query = query, .most = most, .n = *n, .with_file = true };

	for (size_t i = 0; i < w->n; i++)
		name_lines(&s, w, w->file[i]);
	*n = s.n;
}
