/*
 * Which charge pieces were in last: known for all of what comes out of a kiln, several where pieces
 * of two charges came together, and one again when the place was empty in between.
 */
#include "grades/last_charge.h"
#include "book_made.h"

static const char *const BOOK[] = {
	"2026-01-02 tally L1 at=yard form=cleft type=SH count=30 found=30",
	"2026-01-03 load C1 kiln=north lot=L1 at=yard count=10",
	"2026-01-04 unload C1 into=bench count=10",
	"2026-01-05 plane L1 at=bench count=SH:4",
	"2026-01-06 load C2 kiln=north lot=L1 at=yard count=10",
	"2026-01-07 unload C2 into=bench count=10",
	"2026-01-08 plane L1 at=bench count=SH:16",
	"2026-01-09 load C3 kiln=north lot=L1 at=yard count=10",
	"2026-01-10 unload C3 into=bench count=10",
	"2026-01-11 plane L1 at=bench count=SH:10",
};

/* The last charge of what is planed, in the order of the days. */
static const char *const WANT[] = { "C1", "several", "C3" };

enum { LINES = sizeof BOOK / sizeof *BOOK, PLANED = sizeof WANT / sizeof *WANT };

struct followed {
	const struct stock *stock;
	struct last_charge charges;
	struct slice planed[PLANED];
	size_t n;
};

static void follow(void *context, const struct stock_flow *f)
{
	struct followed *d = context;

	if (f->op->event->id == EVENT_PLANE && CHECK(d->n < PLANED)) {
		uint32_t id = last_charge_of(&d->charges, f);

		d->planed[d->n++] = id == PROVENANCE_MIXED ? SLICE("several") : stock_text(d->stock, id);
	}
	last_charge_follow(&d->charges, f);
}

int main(void)
{
	static struct book_made made;
	struct followed d = { .stock = &made.stock };

	book_made_init(&made);
	for (int i = 0; i < LINES; i++) {
		const struct line *l;

		CHECK_CASE(i);
		if ((l = book_made_line(&made, slice_of(BOOK[i]))))
			stock_add(&made.stock, l, 0);
	}
	last_charge_init(&d.charges);
	stock_run(&made.stock, INT32_MAX, follow, &d);
	CHECK_INT(stock_tell(&made.stock, &made.diags), 0);
	CHECK_INT(d.n, PLANED);
	for (size_t i = 0; i < d.n; i++) {
		CHECK_CASE(i);
		CHECK_TEXT(d.planed[i], WANT[i]);
	}
	last_charge_release(&d.charges);
	book_made_release(&made);
	return check_end();
}
