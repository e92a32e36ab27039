#include "due/due.h"

#include <stdlib.h>

const char *const due_kind_words[] = { "charge", "probe", "kiln", "order", "room", "wood", "handle", "stock", "count", "instrument", "book",
	NULL };
const char *const due_urgency_words[] = { "overdue", "today", "soon", "later", NULL };

const char *const due_kiln_caution = "Before you open or enter a kiln, or machine wood that held probes, follow the makers' instructions,"
	" the local rules and the advice of a qualified person.";

void due_init(struct due *d, const struct house *house, struct due_days days)
{
	*d = (struct due){ .house = house, .days = days };
	intern_init(&d->texts);
}

void due_release(struct due *d)
{
	free(d->item);
	intern_release(&d->texts);
	buf_release(&d->text);
}

struct slice due_text(struct due *d, struct slice text)
{
	return intern_text(&d->texts, intern_id(&d->texts, text));
}

struct due_item *due_add(struct due *d, enum due_kind kind, const char *sign, struct slice subject, const char *action)
{
	d->item = mem_grow(d->item, &d->cap, d->n + 1, sizeof *d->item);
	d->item[d->n] = (struct due_item){ .kind = kind, .day = d->days.today, .last = d->days.today, .of = DUE_OF_DAY | DUE_OF_MONTH,
		.sign = slice_of(sign), .subject = due_text(d, subject), .place = SLICE(""), .party = SLICE(""), .action = due_text(d, slice_of(action)),
		.reason = due_text(d, buf_slice(&d->text)), .fill = SLICE(""), .at = d->n };
	d->text.n = 0;
	return &d->item[d->n++];
}

const struct house_words *due_care_of(const struct house *house, struct slice place)
{
	const struct house_place *p = house ? house_place(house, place) : NULL;

	return p && p->care.n ? &p->care : NULL;
}

/* ---- the day's list */

bool due_is_shown(const struct due *d, const struct due_item *item)
{
	return item->day <= d->days.until || item->ahead;
}

static bool is_for(const struct due_item *item, struct slice who)
{
	for (size_t i = 0; item->who && i < item->who->n; i++)
		if (slice_eq(item->who->word[i], who))
			return true;
	return false;
}

#define BY(a, b) do { if ((a) != (b)) return (a) < (b) ? -1 : 1; } while (0)

static int by_day(const void *a, const void *b)
{
	const struct due_item *x = a, *y = b;
	int order;

	BY(!x->overdue, !y->overdue);
	BY(x->day, y->day);
	BY(x->kind, y->kind);
	order = slice_cmp(x->subject, y->subject);
	if (!order)
		order = slice_cmp(x->sign, y->sign);
	if (!order)
		order = slice_cmp(x->reason, y->reason);
	if (order)
		return order;
	BY(x->at, y->at);
	return 0;
}

size_t due_close(struct due *d, struct slice who)
{
	size_t n = 0, nobody = 0;

	for (size_t i = 0; i < d->n; i++) {
		struct due_item item = d->item[i];

		if (!(item.of & DUE_OF_DAY) || !due_is_shown(d, &item))
			continue;
		if (who.n && !is_for(&item, who)) {
			nobody += !item.who || !item.who->n;
			continue;
		}
		d->item[n++] = item;
	}
	d->n = n;
	if (n)
		qsort(d->item, n, sizeof *d->item, by_day);
	return nobody;
}

enum due_urgency due_urgency(const struct due *d, const struct due_item *item)
{
	if (item->overdue)
		return DUE_OVERDUE;
	if (item->day <= d->days.today)
		return DUE_TODAY;
	return item->day <= d->days.until ? DUE_SOON : DUE_LATER;
}
