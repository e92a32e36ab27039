#include "air/air_ask.h"

#include "house/house.h"
#include "time/stamp.h"

const char *const air_by_words[] = { "place", "month", "day", NULL };
const char *const air_words[AIR_QUANTITIES + 1] = { "temp", "rh", "emc", NULL };

bool air_ask_reference(struct air_ask *ask, struct slice text)
{
	size_t dots = slice_find(text, '.');

	return slice_starts(slice_from(text, dots), SLICE(".."))
		&& date_read(slice_upto(text, dots), &ask->base_from) == DATE_OK
		&& date_read(slice_from(text, dots + 2), &ask->base_to) == DATE_OK && ask->base_from <= ask->base_to;
}

void air_ask_keys(const struct air_ask *ask, struct table *t)
{
	for (size_t k = 0; k < ask->nby; k++) {
		table_add_column(t, air_by_words[ask->by[k]], TABLE_TEXT, 0);
		table_heading(t, air_by_words[ask->by[k]]);
	}
}

struct slice air_ask_place_key(const struct air_ask *ask, const struct slice *key)
{
	for (size_t k = 0; k < ask->nby; k++)
		if (ask->by[k] == AIR_BY_PLACE)
			return key[k];
	return SLICE("");
}

/* What was judged by other bands, or was not looked at, does not add up. */
void air_ask_settings(const struct air_ask *ask, struct buf *out)
{
	struct buf bands = BUF_INIT;

	for (size_t i = 0; ask->house && i < ask->house->nplaces; i++) {
		const struct house_place *p = &ask->house->places[i];

		if (!house_range_given(p->rh) && !house_range_given(p->target))
			continue;
		buf_add(&bands, p->id);
		buf_printf(&bands, " %lld %lld %lld %lld\n", (long long)p->rh.low, (long long)p->rh.high,
			(long long)p->target.low, (long long)p->target.high);
	}
	for (size_t i = 0; i < ask->nplaces; i++)
		buf_printf(out, " place=%s", ask->place[i]);
	buf_printf(out, " of=%d%d%d bands=%016llx", ask->wants[AIR_TEMP], ask->wants[AIR_RH], ask->wants[AIR_EMC],
		(unsigned long long)slice_hash(buf_slice(&bands)));
	buf_release(&bands);
}
