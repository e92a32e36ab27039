/*
 * team.h - threads that stay for many short rounds of work, where starting them for each would take longer than the round.
 *
 *	struct team *team = team_new(0);
 *	... team_run(team, work, context, n), as often as needed
 *	team_free(team);
 *
 * As in parallel.h the pieces of a round may be done in any order and at the same time, so each writes only what is its own.
 * What the caller wrote before a round the pieces see, and what they wrote the caller sees after it.
 */
#ifndef WITHY_TEAM_H
#define WITHY_TEAM_H

#include <stddef.h>

struct team;

enum { TEAM_PIECES_MOST = 0xffffff };

/* `jobs`: threads at most, the calling one among them; 0: as many as there are cores. A thread that cannot be started is done without. */
struct team *team_new(size_t jobs);
void team_free(struct team *team);

/* Does the pieces 0 to n - 1, of TEAM_PIECES_MOST at the most. For the thread that made the team. */
void team_run(struct team *team, void (*work)(void *context, size_t i), void *context, size_t n);

#endif
