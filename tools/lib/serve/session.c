#include "serve/session.h"

#include <stdlib.h>

#include "serve/judge.h"
#include "serve/session_internal.h"
#include "serve/works.h"

struct session *session_new(const char *house, int32_t (*today)(const struct zone *zone), const char *version)
{
	struct session *s = mem_zeroed(1, sizeof *s);

	s->house = house;
	s->today = today;
	s->version = version;
	return s;
}

void session_free(struct session *s)
{
	for (size_t i = 0; i < s->nqueue; i++)
		json_tree_free(s->queue[i]);
	for (size_t i = 0; i < s->nwait; i++)
		json_tree_free(s->wait[i].message);
	for (size_t i = 0; i < s->nworks; i++)
		works_free(s->works[i]);
	frames_release(&s->frames);
	free(s->queue);
	free(s->wait);
	free(s->works);
	free(s);
}

/* ---- messages out */

static void ask_client(struct session *s, const char *method, const char *params)
{
	struct buf text = BUF_INIT;

	buf_printf(&text, "{\"jsonrpc\":\"2.0\",\"id\":\"withy-%lld\",\"method\":\"%s\",\"params\":%s}",
		(long long)++s->asked, method, params);
	frames_write(s->out, buf_slice(&text));
	buf_release(&text);
}

/* ---- start and end */

static const char CAPABILITIES[] = "{\"capabilities\":{\"positionEncoding\":\"utf-16\","
	"\"textDocumentSync\":{\"openClose\":true,\"change\":2,\"save\":{\"includeText\":false}},"
	"\"completionProvider\":{\"triggerCharacters\":[\" \",\"=\",\",\",\":\",\"/\"]},"
	"\"hoverProvider\":true,\"definitionProvider\":true,\"referencesProvider\":true,"
	"\"renameProvider\":%s,\"documentFormattingProvider\":true,\"documentRangeFormattingProvider\":true,"
	"\"codeActionProvider\":%s,\"inlayHintProvider\":true,\"foldingRangeProvider\":true,"
	"\"documentSymbolProvider\":true,\"workspaceSymbolProvider\":true%s},"
	"\"serverInfo\":{\"name\":\"wy-serve\",\"version\":\"%s\"}}";

static void initialize(struct session *s, const struct json_tree *id, const struct json_tree *params)
{
	const struct json_tree *can = json_tree_get(params, "capabilities"), *text = json_tree_get(can, "textDocument");
	const struct json_tree *space = json_tree_get(can, "workspace");
	bool prepares = json_tree_true(json_tree_get(json_tree_get(text, "rename"), "prepareSupport"));
	bool literal = json_tree_is_object(json_tree_get(json_tree_get(text, "codeAction"), "codeActionLiteralSupport"));
	struct buf result = BUF_INIT;

	s->started = true;
	s->pulls = json_tree_is_object(json_tree_get(text, "diagnostic"));
	s->refreshes = json_tree_true(json_tree_get(json_tree_get(space, "inlayHint"), "refreshSupport"));
	s->watches = json_tree_true(json_tree_get(json_tree_get(space, "didChangeWatchedFiles"), "dynamicRegistration"));
	buf_printf(&result, CAPABILITIES, prepares ? "{\"prepareProvider\":true}" : "true",
		literal ? "{\"codeActionKinds\":[\"quickfix\"]}" : "true",
		s->pulls ? ",\"diagnosticProvider\":{\"interFileDependencies\":true,\"workspaceDiagnostics\":false}" : "", s->version);
	session_answer(s, id, buf_slice(&result));
	buf_release(&result);
}

static void watch(struct session *s)
{
	if (s->watches && !s->watching)
		ask_client(s, "client/registerCapability",
			"{\"registrations\":[{\"id\":\"withy-files\",\"method\":\"workspace/didChangeWatchedFiles\","
			"\"registerOptions\":{\"watchers\":[{\"globPattern\":\"**/*.wy\"},{\"globPattern\":\"**/house.yaml\"}]}}]}");
	s->watching = true;
}

bool session_is_over(const struct session *s, int *status)
{
	*status = s->shut ? 0 : 1;
	return s->over;
}

/* ---- messages in */

static void do_request(struct session *s, struct slice method, const struct json_tree *id, const struct json_tree *message)
{
	struct buf why = BUF_INIT;

	if (slice_eq(method, SLICE("initialize"))) {
		if (s->started)
			session_refuse(s, id, RPC_INVALID, SLICE("initialize was sent already"));
		else
			initialize(s, id, json_tree_get(message, "params"));
	} else if (!s->started)
		session_refuse(s, id, RPC_NOT_STARTED, SLICE("send initialize first"));
	else if (s->shut)
		session_refuse(s, id, RPC_INVALID, SLICE("the server was shut down; send exit"));
	else if (slice_eq(method, SLICE("shutdown"))) {
		s->shut = true;
		session_answer(s, id, SLICE("null"));
	} else if (!session_request(s, method, id, message)) {
		buf_str(&why, "unknown method ");
		buf_add(&why, method);
		session_refuse(s, id, RPC_NO_METHOD, buf_slice(&why));
	}
	buf_release(&why);
}

static void do_note(struct session *s, struct slice method, const struct json_tree *params)
{
	if (slice_eq(method, SLICE("exit")))
		s->over = true;
	else if (!s->started || s->shut)
		return;
	else if (slice_eq(method, SLICE("initialized")))
		watch(s);
	else
		session_note(s, method, params);
}

static bool is_id(const struct json_tree *id)
{
	return json_tree_is_text(id) || json_tree_is_integer(id);
}

/* One message. A response to what the server asked needs nothing. */
static void do_message(struct session *s, const struct json_tree *m)
{
	const struct json_tree *id = json_tree_get(m, "id"), *method = json_tree_get(m, "method");

	if (!json_tree_is_object(m))
		session_refuse(s, NULL, RPC_INVALID, SLICE("a message is one JSON object"));
	else if (!json_tree_is_text(method) && (json_tree_get(m, "result") || json_tree_get(m, "error")))
		return;
	else if (!json_tree_is_text(method) || (id && !is_id(id)))
		session_refuse(s, is_id(id) ? id : NULL, RPC_INVALID,
			SLICE("a request has a method, and a string or a number as its id"));
	else if (id)
		do_request(s, json_tree_text(method), id, m);
	else
		do_note(s, json_tree_text(method), json_tree_get(m, "params"));
}

static bool same_id(const struct json_tree *a, const struct json_tree *b)
{
	if (json_tree_is_text(a) && json_tree_is_text(b))
		return slice_eq(json_tree_text(a), json_tree_text(b));
	return json_tree_is_integer(a) && json_tree_is_integer(b) && json_tree_integer(a, 0) == json_tree_integer(b, 0);
}

/* Takes a request out of a list of messages that wait, and refuses it. */
static bool cancel_queued(struct session *s, const struct json_tree *id)
{
	for (size_t i = 0; i < s->nqueue; i++) {
		if (!json_tree_get(s->queue[i], "method") || !same_id(json_tree_get(s->queue[i], "id"), id))
			continue;
		session_refuse(s, id, RPC_CANCELLED, SLICE("cancelled"));
		json_tree_free(s->queue[i]);
		memmove(s->queue + i, s->queue + i + 1, (--s->nqueue - i) * sizeof *s->queue);
		return true;
	}
	return false;
}

static void cancel(struct session *s, const struct json_tree *id)
{
	if (cancel_queued(s, id))
		return;
	for (size_t i = 0; i < s->nwait; i++) {
		if (!same_id(json_tree_get(s->wait[i].message, "id"), id))
			continue;
		session_refuse(s, id, RPC_CANCELLED, SLICE("cancelled"));
		json_tree_free(s->wait[i].message);
		memmove(s->wait + i, s->wait + i + 1, (--s->nwait - i) * sizeof *s->wait);
		return;
	}
}

static void queue_message(struct session *s, struct slice text)
{
	struct json_tree *m = json_tree_read(text);

	if (!m)
		session_refuse(s, NULL, RPC_PARSE, SLICE("the message is not JSON in UTF-8"));
	else if (slice_eq(json_tree_text(json_tree_get(m, "method")), SLICE("$/cancelRequest"))) {
		cancel(s, json_tree_get(json_tree_get(m, "params"), "id"));
		json_tree_free(m);
	} else {
		s->queue = mem_grow(s->queue, &s->queue_cap, s->nqueue + 1, sizeof *s->queue);
		s->queue[s->nqueue++] = m;
	}
}

static void read_messages(struct session *s)
{
	enum frame_kind kind;
	struct slice text;

	while ((kind = frames_next(&s->frames, &text)) != FRAME_NONE) {
		if (kind == FRAME_GOOD)
			queue_message(s, text);
		else if (kind == FRAME_LONG)
			session_refuse(s, NULL, RPC_INVALID, SLICE("the message is longer than 1 GiB"));
		else
			session_refuse(s, NULL, RPC_PARSE, SLICE("a message starts with Content-Length: and a number"));
	}
}

void session_take(struct session *s, struct slice bytes, struct buf *out)
{
	s->out = out;
	frames_add(&s->frames, bytes);
	read_messages(s);
	for (size_t i = 0; i < s->nqueue; i++) {
		if (!s->over)
			do_message(s, s->queue[i]);
		json_tree_free(s->queue[i]);
	}
	s->nqueue = 0;
}

/* ---- the whole book */

const struct works *session_due(const struct session *s, uint64_t *state)
{
	for (size_t i = 0; i < s->nworks; i++) {
		*state = s->works[i]->changes;
		if (s->works[i]->changes != s->works[i]->checked)
			return s->works[i];
	}
	return NULL;
}

uint64_t session_state(const struct works *w)
{
	return w->changes;
}

void session_judged(struct session *s, const struct works *judged, struct slice result, struct buf *out)
{
	struct works *w = NULL;

	s->out = out;
	for (size_t i = 0; i < s->nworks; i++)
		w = s->works[i] == judged ? s->works[i] : w;
	if (!w)
		return;
	if (!judge_take(w, result))
		w->checked = w->changes;   /* it could not be checked; the findings of the lines stay */
	session_publish(s, w);
	session_answer_waits(s, w);
	if (s->refreshes)
		ask_client(s, "workspace/inlayHint/refresh", "null");
}
