/*
 * Which charge pieces were in last: known for all of what comes out of a kiln, several where pieces
 * of two charges came together, and one again when the place was empty in between.
 */
#include "book/diag.h"
#include "book/parse.h"
#include "grades/last_charge.h"
#include "check.h"

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
	static struct vocab vocab;
	struct diags diags;
	struct parser parser;
	struct stock stock;
	struct followed d = { .stock = &stock };

	vocab_init(&vocab);
	diags_init(&diags);
	parser_init(&parser, &vocab, &diags);
	stock_init(&stock, NULL);
	for (int i = 0; i < LINES; i++) {
		const struct line *l = parse_line(&parser, slice_of(BOOK[i]), (uint64_t)i + 1, 0);

		CHECK_CASE(i);
		CHECK(l->kind == LINE_EVENT);
		stock_add(&stock, l, 0);
	}
	last_charge_init(&d.charges);
	stock_run(&stock, INT32_MAX, follow, &d);
	CHECK_INT(stock_tell(&stock, &diags), 0);
	CHECK_INT(d.n, PLANED);
	for (size_t i = 0; i < d.n; i++) {
		CHECK_CASE(i);
		CHECK_TEXT(d.planed[i], WANT[i]);
	}
	last_charge_release(&d.charges);
	stock_release(&stock);
	parser_release(&parser);
	diags_release(&diags);
	return check_end();
}
