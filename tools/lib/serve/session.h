/*
 * session.h - one conversation with an editor by the Language Server Protocol 3.17, over JSON-RPC 2.0.
 *
 * The caller hands in the bytes that come and writes those that go (`out`, which it empties). Findings of changed
 * lines are in `out` at once. The whole book is due for checking when session_due() says so: the caller waits a
 * little after the last change, lets judge_book() judge the works, and hands the result to session_judged().
 */
#ifndef WITHY_SESSION_H
#define WITHY_SESSION_H

#include <stdbool.h>
#include <stdint.h>

struct buf;
struct session;
struct slice;
struct works;
struct zone;

/* `house`: the path of -H, or NULL. `today` gives the day by a works' clock. */
struct session *session_new(const char *house, int32_t (*today)(const struct zone *zone), const char *version);
void session_free(struct session *s);

/* Bytes from the editor. What there is to answer is added to `out`. */
void session_take(struct session *s, struct slice bytes, struct buf *out);

/* Whether `exit` came: then nothing more is read, and *status is 0 after a shutdown, or 1. */
bool session_is_over(const struct session *s, int *status);

/* A works whose book changed since it was last checked as a whole, or NULL; `state` is what it is now. */
const struct works *session_due(const struct session *s, uint64_t *state);

/* The state of that works now, to see whether it changed meanwhile. */
uint64_t session_state(const struct works *w);

/* The result of judge_book() for a works in the state that it is in. */
void session_judged(struct session *s, const struct works *w, struct slice result, struct buf *out);

#endif
