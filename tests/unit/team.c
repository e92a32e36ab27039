/* Threads that stay: each piece of each round is done once, whatever their number, and its work is seen before the next round. */
#include "base/team.h"

#include "check.h"

enum { ROUNDS = 400, PIECES_MOST = 40 };

struct rounds {
	int at, times[PIECES_MOST];
	long sum[PIECES_MOST];
};

static void take(void *context, size_t i)
{
	struct rounds *r = context;

	r->times[i]++;
	r->sum[i] += r->at;
}

/* Rounds of different lengths, also of none; the caller's own writes between them are seen. */
static void check_team(size_t jobs)
{
	struct team *team = team_new(jobs);
	struct rounds r = { 0 };
	long sum[PIECES_MOST] = { 0 };
	int times[PIECES_MOST] = { 0 };

	for (r.at = 0; r.at < ROUNDS; r.at++) {
		size_t n = (size_t)(r.at * 7) % (PIECES_MOST + 1);

		team_run(team, take, &r, n);
		for (size_t i = 0; i < n; i++) {
			times[i]++;
			sum[i] += r.at;
		}
		CHECK(memcmp(times, r.times, sizeof times) == 0);
	}
	CHECK(memcmp(sum, r.sum, sizeof sum) == 0);
	team_free(team);
}

int main(void)
{
	static const size_t jobs[] = { 1, 0, 2, 7 };

	for (size_t k = 0; k < sizeof jobs / sizeof *jobs; k++) {
		CHECK_CASE(k);
		check_team(jobs[k]);
	}
	team_free(team_new(3));
	return check_end();
}
