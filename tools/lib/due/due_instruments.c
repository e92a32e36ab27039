#include "due/due_instruments.h"

#include "check/instruments.h"
#include "due/due_lines.h"

static void find_meter(struct due *d, struct due_lines *lines, const struct house_meter *meter)
{
	struct due_line check = due_lines_last(lines, "meter", meter->id, SLICE("")), first = due_lines_first(lines, "meter=", meter->id, SLICE(""));
	bool checked = check.number;
	struct due_item *item;

	if (!checked && !first.number)
		return;
	buf_str(&d->text, checked ? "was last checked on " : "was never checked; first read on ");
	day_write(&d->text, checked ? check.day : first.day);
	buf_printf(&d->text, ", and a check is valid for %d days", instruments_valid_until(meter, 0));
	item = due_add(d, DUE_INSTRUMENT, checked ? "check" : "never", meter->id, "check it against a reference");
	item->who = meter->care.n ? &meter->care : NULL;
	item->line = checked ? check : first;
	item->day = item->last = instruments_valid_until(meter, checked ? check.day : first.day);
	item->overdue = item->day < d->days.today;
	item->ahead = !checked;
}

void due_instruments_find(struct due *d, struct due_lines *lines)
{
	for (size_t i = 0; d->house && i < d->house->nmeters; i++)
		if (d->house->meters[i].check_every != HOUSE_NONE)
			find_meter(d, lines, &d->house->meters[i]);
}
