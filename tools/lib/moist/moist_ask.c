#include "moist/moist_ask.h"

#include "book/value.h"
#include "book/vocab.h"
#include "house/house.h"

const char *const moist_by_words[] = { "place", "charge", "lot", "part", "month", "day", NULL };

enum { WHOLE = 100 * VALUE_STEPS };

void moist_ask_house_share(int64_t given, double *share)
{
	if (given > 0 && given < WHOLE)
		*share = (double)given / WHOLE;
}

enum moist_share_fault moist_ask_share(struct slice text, double *share)
{
	struct value v;

	if (value_read(TYPE_HUMIDITY, 0, text, &v) != VALUE_OK)
		return MOIST_SHARE_MALFORMED;
	if (v.fix <= 0 || v.fix >= WHOLE)
		return MOIST_SHARE_END;
	*share = (double)v.fix / WHOLE;
	return MOIST_SHARE_OK;
}

bool moist_ask_target(struct moist_ask *ask, struct slice text)
{
	struct value v;

	if (value_read(TYPE_MOISTURE, 0, text, &v) != VALUE_OK || v.fix <= 0)
		return false;
	ask->target = v.fix;
	return true;
}

static void add_meter(struct buf *out, const struct house_meter *m)
{
	buf_add(out, m->id);
	buf_printf(out, " %d %lld %.17g %lld %lld", m->kind, (long long)m->reference, m->per10c,
		(long long)m->trust.low, (long long)m->trust.high);
	for (size_t k = 0; k < m->nown; k++) {
		buf_printf(out, " %d %.17g %.17g ", (int)m->own[k].from, m->own[k].a, m->own[k].b);
		buf_add(out, m->own[k].setting);
	}
	buf_char(out, '\n');
}

void moist_ask_settings(const struct house *house, struct buf *out)
{
	struct buf rules = BUF_INIT;

	for (size_t i = 0; house && i < house->nmeters; i++)
		add_meter(&rules, &house->meters[i]);
	buf_str(out, "clock=");
	buf_add(out, house ? house->clock : SLICE("Z"));
	buf_printf(out, " meters=%016llx", (unsigned long long)slice_hash(buf_slice(&rules)));
	buf_release(&rules);
}
