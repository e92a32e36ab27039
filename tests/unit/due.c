/* The list: what is shown on a day, in which order, for whom, and how urgent it is. */
#include "due/due.h"
#include "house/house.h"
#include "check.h"

enum { TODAY = 20000 };

static const struct slice MK[] = { { "mk", 2 } }, BOTH[] = { { "jo", 2 }, { "mk", 2 } };
static const struct house_words OF_MK = { MK, NULL, 1 }, OF_BOTH = { BOTH, NULL, 2 }, OF_NOBODY = { NULL, NULL, 0 };

static void add(struct due *d, enum due_kind kind, const char *subject, int32_t day, bool overdue)
{
	struct due_item *item;

	buf_str(&d->text, "why");
	item = due_add(d, kind, "sign", slice_of(subject), "do it");
	item->day = item->last = day;
	item->overdue = overdue;
}

static void fill(struct due *d)
{
	due_init(d, NULL, (struct due_days){ TODAY - 6, TODAY, TODAY + 7 });
	add(d, DUE_BOOK, "b", TODAY, false);
	add(d, DUE_ORDER, "far", TODAY + 8, false);
	d->item[d->n - 1].ahead = true;
	d->item[d->n - 1].who = &OF_BOTH;
	add(d, DUE_ORDER, "without a day", INT32_MAX, false);
	d->item[d->n - 1].ahead = true;
	add(d, DUE_ORDER, "too far", TODAY + 8, false);
	add(d, DUE_ROOM, "soon", TODAY + 7, false);
	d->item[d->n - 1].who = &OF_NOBODY;
	add(d, DUE_CHARGE, "c", TODAY, false);
	d->item[d->n - 1].who = &OF_MK;
	add(d, DUE_BOOK, "a", TODAY, false);
	add(d, DUE_INSTRUMENT, "of today, overdue", TODAY, true);
	add(d, DUE_PROBE, "late", TODAY - 9, true);
	add(d, DUE_ROOM, "of the month", TODAY, false);
	d->item[d->n - 1].of = DUE_OF_MONTH;
}

static void check_order(void)
{
	static const struct {
		const char *subject;
		enum due_urgency urgency;
	} WANT[] = { { "late", DUE_OVERDUE }, { "of today, overdue", DUE_OVERDUE }, { "c", DUE_TODAY }, { "a", DUE_TODAY }, { "b", DUE_TODAY },
		{ "soon", DUE_SOON }, { "far", DUE_LATER }, { "without a day", DUE_LATER } };
	struct due d;

	fill(&d);
	CHECK_INT(due_close(&d, SLICE("")), 0);
	CHECK_INT(d.n, sizeof WANT / sizeof *WANT);
	for (size_t i = 0; i < d.n && i < sizeof WANT / sizeof *WANT; i++) {
		CHECK_CASE(i);
		CHECK_TEXT(d.item[i].subject, WANT[i].subject);
		CHECK_TEXT(d.item[i].reason, "why");
		CHECK_INT(due_urgency(&d, &d.item[i]), WANT[i].urgency);
	}
	CHECK_CASE(-1);
	due_release(&d);
}

/* Those that nobody looks after are counted: of 8 that are shown 2 are mk's and 6 nobody's. */
static void check_who(void)
{
	struct due d;

	fill(&d);
	CHECK_INT(due_close(&d, SLICE("mk")), 6);
	CHECK_INT(d.n, 2);
	CHECK_TEXT(d.item[0].subject, "c");
	CHECK_TEXT(d.item[1].subject, "far");
	due_release(&d);
	fill(&d);
	CHECK_INT(due_close(&d, SLICE("jo")), 6);
	CHECK_INT(d.n, 1);
	due_release(&d);
}

int main(void)
{
	check_order();
	check_who();
	return check_end();
}
