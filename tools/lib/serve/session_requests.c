#include "serve/session_internal.h"

#include <stdlib.h>

#include "serve/arrange.h"
#include "serve/complete.h"
#include "serve/lines_of.h"
#include "serve/story.h"
#include "serve/works.h"

/* One request about an open file. False from an answerer: `out` says in plain text why there is no answer. */
struct request {
	struct session *session;
	const struct json_tree *params;
	struct ask ask;
	size_t from, to;       /* lines of params.range */
	struct buf *out;
};

static bool answer_completion(struct request *r)
{
	complete(r->out, &r->ask);
	return true;
}

static bool answer_hover(struct request *r)
{
	story_hover(r->out, &r->ask);
	return true;
}

static bool answer_definition(struct request *r)
{
	lines_of_definition(r->out, &r->ask);
	return true;
}

static bool answer_references(struct request *r)
{
	const struct json_tree *with = json_tree_get(json_tree_get(r->params, "context"), "includeDeclaration");

	lines_of_references(r->out, &r->ask, !with || json_tree_true(with));
	return true;
}

static bool answer_prepare(struct request *r)
{
	return lines_of_prepare(r->out, &r->ask);
}

static bool answer_rename(struct request *r)
{
	return lines_of_rename(r->out, &r->ask, json_tree_text(json_tree_get(r->params, "newName")));
}

static bool answer_formatting(struct request *r)
{
	arrange_format(r->out, r->ask.works, r->ask.file);
	return true;
}

static bool answer_lines(struct request *r)
{
	arrange_lines(r->out, r->ask.works, r->ask.file, r->from, r->to);
	return true;
}

static bool answer_fixes(struct request *r)
{
	arrange_fixes(r->out, r->ask.works, r->ask.file, r->from, r->to);
	return true;
}

static bool answer_left(struct request *r)
{
	story_left(r->out, r->ask.file, r->from, r->to);
	return true;
}

static bool answer_folding(struct request *r)
{
	arrange_folding(r->out, r->ask.file);
	return true;
}

static bool answer_symbols(struct request *r)
{
	lines_of_symbols(r->out, r->ask.works, r->ask.file);
	return true;
}

static const struct {
	const char *method;
	bool (*answer)(struct request *r);
} ANSWERS[] = {
	{ "textDocument/completion", answer_completion }, { "textDocument/hover", answer_hover },
	{ "textDocument/definition", answer_definition }, { "textDocument/references", answer_references },
	{ "textDocument/prepareRename", answer_prepare }, { "textDocument/rename", answer_rename },
	{ "textDocument/formatting", answer_formatting }, { "textDocument/rangeFormatting", answer_lines },
	{ "textDocument/codeAction", answer_fixes }, { "textDocument/inlayHint", answer_left },
	{ "textDocument/foldingRange", answer_folding }, { "textDocument/documentSymbol", answer_symbols },
};

static struct document_spot spot_of(const struct json_tree *t)
{
	return (struct document_spot){ json_tree_integer(json_tree_get(t, "line"), 0),
		json_tree_integer(json_tree_get(t, "character"), 0) };
}

static size_t line_in(const struct document *d, int64_t line)
{
	return line < 0 ? 0 : (uint64_t)line < d->n ? (size_t)line : d->n - 1;
}

/* A range's last line counts unless the range ends before its first character. */
static void take_range(struct request *r)
{
	const struct json_tree *range = json_tree_get(r->params, "range");
	struct document_spot from = spot_of(json_tree_get(range, "start")), to = spot_of(json_tree_get(range, "end"));
	const struct document *d = &r->ask.file->text;

	r->from = line_in(d, from.line);
	r->to = line_in(d, to.unit == 0 && to.line > from.line ? to.line - 1 : to.line);
}

static void answer_one(struct session *s, size_t which, const struct json_tree *id, const struct json_tree *params)
{
	struct buf out = BUF_INIT;
	struct request r = { .session = s, .params = params, .out = &out };
	struct document_spot spot = spot_of(json_tree_get(params, "position"));

	r.ask.file = session_file(s, params, &r.ask.works);
	if (!r.ask.file) {
		session_refuse(s, id, RPC_PARAMS, SLICE("this file is not open"));
		return;
	}
	r.ask.line = line_in(&r.ask.file->text, spot.line);
	r.ask.byte = document_byte(&r.ask.file->text, spot);
	r.ask.today = s->today(r.ask.works->zone);
	take_range(&r);
	if (ANSWERS[which].answer(&r))
		session_answer(s, id, buf_slice(&out));
	else
		session_refuse(s, id, RPC_FAILED, buf_slice(&out));
	buf_release(&out);
}

static void search(struct session *s, const struct json_tree *id, const struct json_tree *params)
{
	struct buf out = BUF_INIT;
	size_t n = 0;

	buf_char(&out, '[');
	for (size_t i = 0; i < s->nworks; i++)
		lines_of_search(&out, s->works[i], json_tree_text(json_tree_get(params, "query")), 200, &n);
	buf_char(&out, ']');
	session_answer(s, id, buf_slice(&out));
	buf_release(&out);
}

/* The findings of a file, when its book has been checked as a whole: answered by session_judged(). */
static void wait_for(struct session *s, const struct json_tree *id, const struct json_tree *message)
{
	struct works *w;
	struct works_file *f = session_file(s, json_tree_get(message, "params"), &w);

	if (!f) {
		session_refuse(s, id, RPC_PARAMS, SLICE("this file is not open"));
		return;
	}
	w->checked = w->changes - 1;   /* it is due */
	s->wait = mem_grow(s->wait, &s->wait_cap, s->nwait + 1, sizeof *s->wait);
	s->wait[s->nwait++] = (struct session_wait){ json_tree_share(message), f };
}

bool session_request(struct session *s, struct slice method, const struct json_tree *id, const struct json_tree *message)
{
	const struct json_tree *params = json_tree_get(message, "params");

	if (slice_eq(method, SLICE("workspace/symbol"))) {
		search(s, id, params);
		return true;
	}
	if (slice_eq(method, SLICE("textDocument/diagnostic"))) {
		wait_for(s, id, message);
		return true;
	}
	for (size_t i = 0; i < sizeof ANSWERS / sizeof *ANSWERS; i++)
		if (slice_eq(method, slice_of(ANSWERS[i].method))) {
			answer_one(s, i, id, params);
			return true;
		}
	return false;
}
