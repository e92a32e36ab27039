#include "serve/session_internal.h"

#include <stdlib.h>
#include <unistd.h>

#include "serve/answer_parts.h"
#include "serve/judge.h"
#include "serve/works.h"

/* ---- which works a file belongs to */

/* house.yaml in the folder of the file or the nearest one above; NULL where there is none. */
static char *house_above(const char *path)
{
	struct buf at = BUF_INIT;
	char *found = NULL;

	buf_str(&at, path[0] == '/' ? path : "");
	while (at.n && !found) {
		while (at.n && at.p[at.n - 1] != '/')
			at.n--;
		buf_str(&at, "house.yaml");
		if (access(buf_cstr(&at), R_OK) == 0)
			found = mem_copy(at.p, at.n);
		at.n -= strlen("house.yaml");
		at.n -= at.n > 0;
	}
	buf_release(&at);
	return found;
}

static char *house_of(const struct session *s, const char *path)
{
	const char *named = s->house ? s->house : getenv("WITHY_HOUSE");

	return named && *named ? mem_copy(named, strlen(named)) : house_above(path);
}

struct works *session_works(struct session *s, const char *path)
{
	char *house = house_of(s, path);
	struct works *w = NULL;

	for (size_t i = 0; i < s->nworks && !w; i++) {
		const char *of = s->works[i]->house_path;

		if (house ? of && strcmp(of, house) == 0 : !of && works_find(s->works[i], path))
			w = s->works[i];
	}
	if (!w) {
		w = works_new(house);
		s->works = mem_grow(s->works, &s->works_cap, s->nworks + 1, sizeof *s->works);
		s->works[s->nworks++] = w;
	}
	free(house);
	return w;
}

static struct works_file *find(struct session *s, const char *path, struct works **works)
{
	for (size_t i = 0; i < s->nworks; i++) {
		struct works_file *f = works_find(s->works[i], path);

		*works = s->works[i];
		if (f)
			return f;
	}
	return NULL;
}

struct works_file *session_file(struct session *s, const struct json_tree *params, struct works **works)
{
	char *path = say_path(json_tree_text(json_tree_get(json_tree_get(params, "textDocument"), "uri")));
	struct works_file *f = find(s, path, works);

	free(path);
	return f && f->open ? f : NULL;
}

/* ---- findings */

static void publish_file(struct session *s, struct works_file *f)
{
	struct buf params = BUF_INIT;

	f->to_publish = false;
	findings_copy(&f->published, &f->found);
	buf_str(&params, "{\"uri\":");
	say_file(&params, f);
	if (f->open)
		buf_printf(&params, ",\"version\":%lld", (long long)f->version);
	buf_str(&params, ",\"diagnostics\":");
	say_findings(&params, f, &f->found);
	buf_char(&params, '}');
	session_notify(s, "textDocument/publishDiagnostics", buf_slice(&params));
	buf_release(&params);
}

static void publish_house(struct session *s, struct works *w)
{
	struct buf params = BUF_INIT;

	w->house_to_publish = false;
	buf_str(&params, "{\"uri\":");
	say_uri(&params, w->house_path);
	buf_str(&params, ",\"diagnostics\":");
	say_findings(&params, NULL, &w->house_found);
	buf_char(&params, '}');
	session_notify(s, "textDocument/publishDiagnostics", buf_slice(&params));
	buf_release(&params);
}

void session_publish(struct session *s, struct works *w)
{
	if (w->house_to_publish)
		publish_house(s, w);
	for (size_t i = 0; i < w->n && !s->pulls; i++)
		if (w->file[i]->to_publish || !findings_alike(&w->file[i]->found, &w->file[i]->published))
			publish_file(s, w->file[i]);
}

void session_answer_waits(struct session *s, const struct works *w)
{
	size_t kept = 0;

	for (size_t i = 0; i < s->nwait; i++) {
		const struct works_file *f = s->wait[i].file;
		struct buf result = BUF_INIT;

		if (works_index(w, f) == w->n) {
			s->wait[kept++] = s->wait[i];
			continue;
		}
		buf_str(&result, "{\"kind\":\"full\",\"items\":");
		say_findings(&result, f, &f->found);
		buf_char(&result, '}');
		session_answer(s, json_tree_get(s->wait[i].message, "id"), buf_slice(&result));
		json_tree_free(s->wait[i].message);
		buf_release(&result);
	}
	s->nwait = kept;
}

/* ---- what the editor reports */

static struct document_spot spot_of(const struct json_tree *t)
{
	return (struct document_spot){ json_tree_integer(json_tree_get(t, "line"), 0),
		json_tree_integer(json_tree_get(t, "character"), 0) };
}

static void open_file(struct session *s, const struct json_tree *params)
{
	const struct json_tree *text = json_tree_get(params, "textDocument");
	struct slice uri = json_tree_text(json_tree_get(text, "uri"));
	char *path = say_path(uri);
	struct works *w = uri.n ? session_works(s, path) : NULL;
	struct works_file *f;

	if (w && (!w->house_path || strcmp(w->house_path, path) != 0)) {
		f = works_add(w, path);
		free(f->uri);
		f->uri = mem_copy(uri.p, uri.n);
		f->version = json_tree_integer(json_tree_get(text, "version"), 0);
		works_open(w, f, json_tree_text(json_tree_get(text, "text")));
		f->to_publish = true;
	}
	free(path);
}

static void change_part(struct works *w, struct works_file *f, const struct json_tree *change)
{
	const struct json_tree *range = json_tree_get(change, "range");
	struct slice text = json_tree_text(json_tree_get(change, "text"));
	struct document_change c;

	if (!json_tree_is_object(range)) {
		works_open(w, f, text);
		findings_clear(&f->found);
		return;
	}
	c = works_change(w, f, spot_of(json_tree_get(range, "start")), spot_of(json_tree_get(range, "end")), text);
	judge_lines(w, f, &c);
}

static void change_file(struct session *s, const struct json_tree *params)
{
	const struct json_tree *changes = json_tree_get(params, "contentChanges");
	struct works *w;
	struct works_file *f = session_file(s, params, &w);

	if (!f)
		return;
	f->version = json_tree_integer(json_tree_get(json_tree_get(params, "textDocument"), "version"), f->version);
	for (size_t i = 0; i < json_tree_items(changes); i++)
		change_part(w, f, json_tree_item(changes, i));
	session_publish(s, w);
}

static void drop_waits(struct session *s, const struct works_file *f)
{
	size_t kept = 0;

	for (size_t i = 0; i < s->nwait; i++) {
		if (s->wait[i].file != f) {
			s->wait[kept++] = s->wait[i];
			continue;
		}
		session_refuse(s, json_tree_get(s->wait[i].message, "id"), RPC_CANCELLED, SLICE("the file was closed"));
		json_tree_free(s->wait[i].message);
	}
	s->nwait = kept;
}

static void close_file(struct session *s, const struct json_tree *params)
{
	struct works *w;
	struct works_file *f = session_file(s, params, &w);

	if (!f)
		return;
	drop_waits(s, f);
	if (!f->listed) {
		findings_clear(&f->found);
		session_publish(s, w);
		findings_clear(&f->published);
		f->to_publish = false;
	}
	works_close(w, f);
}

static void look_at_all(struct session *s)
{
	for (size_t i = 0; i < s->nworks; i++)
		works_look(s->works[i]);
}

bool session_note(struct session *s, struct slice method, const struct json_tree *params)
{
	if (slice_eq(method, SLICE("textDocument/didOpen")))
		open_file(s, params);
	else if (slice_eq(method, SLICE("textDocument/didChange")))
		change_file(s, params);
	else if (slice_eq(method, SLICE("textDocument/didClose")))
		close_file(s, params);
	else if (slice_eq(method, SLICE("textDocument/didSave")) || slice_eq(method, SLICE("workspace/didChangeWatchedFiles")))
		look_at_all(s);
	else
		return false;
	return true;
}
