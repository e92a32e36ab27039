/* session_internal.h - what session.c and the modules that answer its requests share. */
#ifndef WITHY_SESSION_INTERNAL_H
#define WITHY_SESSION_INTERNAL_H

#include "serve/frames.h"
#include "serve/json_tree.h"

struct works;
struct works_file;
struct zone;

/* Codes of errors of JSON-RPC 2.0 and of the protocol. */
enum {
	RPC_PARSE = -32700, RPC_INVALID = -32600, RPC_NO_METHOD = -32601, RPC_PARAMS = -32602, RPC_NOT_STARTED = -32002,
	RPC_CANCELLED = -32800, RPC_FAILED = -32803
};

/* A request for the findings of a file, which waits until its book has been checked. */
struct session_wait {
	struct json_tree *message;
	struct works_file *file;
};

struct session {
	const char *house, *version;
	int32_t (*today)(const struct zone *zone);
	struct frames frames;
	struct json_tree **queue;     /* messages that were read and not yet answered */
	size_t nqueue, queue_cap;
	struct works **works;
	size_t nworks, works_cap;
	struct session_wait *wait;
	size_t nwait, wait_cap;
	bool started, shut, over, pulls, refreshes, watches, watching;
	int64_t asked;                /* requests that the server sent */
	struct buf *out;
};

/* session_out.c: a response, an error, a notification. `result` is JSON. */
void session_answer(struct session *s, const struct json_tree *id, struct slice result);
void session_refuse(struct session *s, const struct json_tree *id, int code, struct slice why);
void session_notify(struct session *s, const char *method, struct slice params);

/* session_files.c: the works that a path belongs to, read now where it is not yet known. */
struct works *session_works(struct session *s, const char *path);

/* The file of params.textDocument that is open, with its works; NULL for none. */
struct works_file *session_file(struct session *s, const struct json_tree *params, struct works **works);

/* Sends the findings of every file of a works that differ from those that were sent. */
void session_publish(struct session *s, struct works *w);

/* Answers those who wait for the findings of a works that was checked. */
void session_answer_waits(struct session *s, const struct works *w);

/* Opened, changed, saved, closed, changed on disk. False: the method is none of these. */
bool session_note(struct session *s, struct slice method, const struct json_tree *params);

/* session_requests.c: what is asked about a file. False: the method is none of these. */
bool session_request(struct session *s, struct slice method, const struct json_tree *id, const struct json_tree *message);

#endif
