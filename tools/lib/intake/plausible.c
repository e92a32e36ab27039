#include "intake/plausible.h"

enum { JUMP_WITHIN_S = 3600 };

static int64_t apart(int64_t a, int64_t b)
{
	return a < b ? b - a : a - b;
}

static bool is_outside(const struct plausible_limits *limits, int64_t value)
{
	return value < limits->low || value > limits->high;
}

unsigned plausible_add(struct plausible_sensor *s, const struct plausible_limits *limits, int64_t t_s, int64_t value, uint64_t line,
	struct plausible_sensor *before)
{
	unsigned found = 0;
	bool outside = is_outside(limits, value), same = s->have && value == s->value;

	*before = *s;
	if (outside && !s->outside)
		found |= PLAUSIBLE_OUTSIDE;
	if (s->have && apart(t_s, s->t_s) <= JUMP_WITHIN_S && (double)apart(value, s->value) > limits->jump)
		found |= PLAUSIBLE_JUMP;
	if (!same) {
		s->since_s = t_s;
		s->since_line = line;
		s->same = 1;
		s->stuck = false;
	} else if (!s->stuck && ++s->same >= PLAUSIBLE_STUCK_LEAST && apart(t_s, s->since_s) > limits->stuck_s) {
		found |= PLAUSIBLE_STUCK;
		s->stuck = true;
	}
	s->have = true;
	s->outside = outside;
	s->t_s = t_s;
	s->value = value;
	return found;
}
