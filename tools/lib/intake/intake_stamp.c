#include "intake/intake_internal.h"

struct stamp intake_stamp_wall(int64_t wall_s)
{
	return (struct stamp){ seconds_day(wall_s), seconds_in_day(wall_s), STAMP_NO_OFFSET };
}

const struct zone *intake_works_clock(const struct zone *works, const struct mapping *m)
{
	if (works)
		return works;
	return m->clock == CLOCK_ZONE && !zone_is_fixed(m->zone) ? m->zone : NULL;
}

int64_t intake_stamp_instant(const struct stamp *stamp, const struct zone *clock, struct zone_memo *memo)
{
	int64_t wall_s = day_seconds(stamp->day);

	if (stamp->second == STAMP_NO_TIME)
		return wall_s;
	wall_s += stamp->second;
	if (stamp->offset != STAMP_NO_OFFSET)
		return wall_s - stamp->offset * MINUTE_S;
	return clock ? zone_wall(clock, memo, wall_s).utc_s[1] : wall_s;
}

/*
 * How the book writes an instant: on the works' clock, with the offset where its hour passes
 * twice. Where that clock is not known, as the export has it, with its offset if it has one.
 */
struct stamp intake_stamp_at(struct source *s, int64_t t_s, int32_t offset_s)
{
	const struct zone *works = intake_works_clock(s->run->works, s->m);
	struct stamp stamp;
	int32_t off = works ? zone_offset(works, t_s) : offset_s;

	stamp = intake_stamp_wall(t_s + off);
	if (off % MINUTE_S)
		return stamp;
	if (works ? zone_wall(works, &s->works_memo, t_s + off).kind == ZONE_TWICE : s->m->clock != CLOCK_WALL)
		stamp.offset = (int16_t)(off / MINUTE_S);
	return stamp;
}

void intake_stamp_text(struct buf *out, const struct stamp *stamp)
{
	day_write(out, stamp->day);
	if (stamp->second == STAMP_NO_TIME)
		return;
	buf_char(out, ' ');
	time_write(out, stamp);
}

/* 3 h 20 min. */
void intake_span_text(struct buf *out, int64_t s)
{
	static const struct { int64_t s; const char *unit; } units[] = { { DAY_S, "d" }, { HOUR_S, "h" }, { MINUTE_S, "min" }, { 1, "s" } };
	bool any = false;

	s = s < 0 ? -s : s;
	for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
		if (s < units[i].s)
			continue;
		buf_printf(out, "%s%lld %s", any ? " " : "", (long long)(s / units[i].s), units[i].unit);
		s %= units[i].s;
		any = true;
	}
	if (!any)
		buf_str(out, "0 s");
}
