#include "serve/session_internal.h"

#include "base/escape.h"

void session_answer(struct session *s, const struct json_tree *id, struct slice result)
{
	struct buf text = BUF_INIT;

	buf_str(&text, "{\"jsonrpc\":\"2.0\",\"id\":");
	json_tree_write(&text, id);
	buf_str(&text, ",\"result\":");
	buf_add(&text, result);
	buf_char(&text, '}');
	frames_write(s->out, buf_slice(&text));
	buf_release(&text);
}

void session_refuse(struct session *s, const struct json_tree *id, int code, struct slice why)
{
	struct buf text = BUF_INIT;

	buf_str(&text, "{\"jsonrpc\":\"2.0\",\"id\":");
	json_tree_write(&text, id);
	buf_printf(&text, ",\"error\":{\"code\":%d,\"message\":", code);
	buf_json(&text, why);
	buf_str(&text, "}}");
	frames_write(s->out, buf_slice(&text));
	buf_release(&text);
}

void session_notify(struct session *s, const char *method, struct slice params)
{
	struct buf text = BUF_INIT;

	buf_printf(&text, "{\"jsonrpc\":\"2.0\",\"method\":\"%s\",\"params\":", method);
	buf_add(&text, params);
	buf_char(&text, '}');
	frames_write(s->out, buf_slice(&text));
	buf_release(&text);
}
