#include "due/due_charges.h"

#include <math.h>
#include <stdlib.h>

#include "book/value.h"
#include "due/due_book.h"
#include "due/due_reasons.h"
#include "due/due_wood.h"
#include "table/table_read.h"

#define HOURS_A_DAY 24.0

/* What to do about a warning or doubt of wy-dry, by its word there. */
static const struct {
	const char *sign, *action;
	enum due_kind kind;
} ACTIONS[] = {
	{ "stall", "look after the kiln: the wood has stopped drying", DUE_CHARGE },
	{ "settles", "change the kiln's air", DUE_CHARGE },
	{ "too-fast", "slow the drying down", DUE_CHARGE },
	{ "stuck", "check the probe's wire and pins", DUE_PROBE },
	{ "parts", "check the piece of the probe", DUE_PROBE },
	{ "jump", "read the probe again", DUE_PROBE },
	{ "floor", "check the driest pieces", DUE_CHARGE },
	{ "spread-grows", "read the wettest and the driest piece again", DUE_CHARGE },
	{ "equalize", "start to equalize", DUE_CHARGE },
	{ "rests-off", "check the meter and the hygrometer", DUE_CHARGE },
	{ "overdue", "read the probes", DUE_PROBE },
	{ "oven-differs", "check the meter's correction", DUE_CHARGE },
	{ "hand-differs", "read more pieces by hand", DUE_CHARGE },
	{ "left-band", "read the probes before you empty it", DUE_PROBE },
	{ "out-early", "read that piece again", DUE_PROBE },
	{ "no-wood", "read again, and write the wood's temperature", DUE_PROBE },
	{ "too-close", "read the probes once more", DUE_PROBE },
	{ "never", "change the kiln's air, or look at the ready rule", DUE_CHARGE }
};

enum { ACTIONS_N = sizeof ACTIONS / sizeof *ACTIONS };

/* The index of a word; ACTIONS_N for one that is not listed. */
static size_t action_of(struct slice sign)
{
	size_t i = 0;

	while (i < ACTIONS_N - 1 && !slice_eq(sign, slice_of(ACTIONS[i].sign)))
		i++;
	return slice_eq(sign, slice_of(ACTIONS[i].sign)) ? i : ACTIONS_N;
}

/* Puts in where the charge is, who looks after it, and the last line with its moisture. */
static void place_charge(struct due *d, struct due_book *b, struct due_item *item, struct slice charge)
{
	const struct dry_case *c = charges_case(&b->supply.under_way.charges, charge);

	if (c) {
		item->place = due_text(d, c->kiln);
		item->who = due_care_of(d->house, c->kiln);
	}
	item->line = due_lines_last(&b->lines, "probe", charge, SLICE(""));
	if (!item->line.number)
		item->line = due_lines_first(&b->lines, "load", charge, SLICE(""));
}

/* ---- open charges */

static void write_tenths(struct buf *out, const struct table *t, size_t row, const char *column)
{
	buf_printf(out, "%.1f", table_figure(t, row, column));
}

/* "11.2 to 12.3 % on 2027-12-23"; one figure where both would be written alike. */
static void write_readings(const struct table *t, size_t i, struct buf *out)
{
	int64_t probes = table_count(t, i, "probes");
	struct buf most = BUF_INIT;
	size_t start;

	if (!table_has(t, i, "wettest_pct"))
		return;
	buf_printf(out, "; %lld probe%s in it: ", (long long)probes, PLURAL(probes, "", "s"));
	start = out->n;
	write_tenths(out, t, i, "driest_pct");
	write_tenths(&most, t, i, "wettest_pct");
	if (!slice_eq(slice_from(buf_slice(out), start), buf_slice(&most))) {
		buf_str(out, " to ");
		buf_add(out, buf_slice(&most));
	}
	buf_str(out, " % on ");
	buf_add(out, table_word(t, i, "read_on"));
	buf_release(&most);
}

static void write_range(const struct table *t, size_t i, struct buf *out)
{
	struct slice from = table_word(t, i, "ready_90_from"), to = table_word(t, i, "ready_90_to");

	if (!from.n)
		return;
	buf_str(out, to.n && !slice_eq(from, to) ? "; ready between " : "; ready on ");
	buf_add(out, from);
	if (!to.n)
		buf_str(out, " at the earliest");
	else if (!slice_eq(from, to))
		buf_printf(out, " and %.*s", (int)to.n, to.p);
	buf_str(out, " (90 %)");
}

static const char *action_for(struct slice verdict)
{
	if (slice_eq(verdict, SLICE("ready")))
		return "decide whether to empty it";
	if (slice_eq(verdict, SLICE("doubtful")))
		return "settle the doubts before you empty it";
	if (slice_eq(verdict, SLICE("unknown")))
		return "read its probes, or give it probes and a ready rule";
	return "plan its emptying";
}

/* A day of the answer; one without is INT32_MAX. */
static int32_t day_at(const struct table *t, size_t i, const char *column)
{
	int32_t day;

	return date_read(table_word(t, i, column), &day) == DATE_OK ? day : INT32_MAX;
}

static void find_open(struct due *d, struct due_book *b, const struct table *t, size_t i)
{
	struct slice charge = table_word(t, i, "charge"), verdict = table_word(t, i, "verdict");
	struct due_item *item;

	buf_add(&d->text, verdict);
	write_readings(t, i, &d->text);
	write_range(t, i, &d->text);
	item = due_add(d, DUE_CHARGE, "verdict", charge, action_for(verdict));
	place_charge(d, b, item, charge);
	if (!slice_eq(verdict, SLICE("not ready")))
		return;
	item->day = day_at(t, i, "ready_90_from");
	item->last = day_at(t, i, "ready_90_to");
	if (item->day == INT32_MAX)
		item->of = DUE_OF_MONTH; /* a warning says so where it is never ready */
}

/* ---- readings of probes */

/* The instant at which a probe is to be read; INT64_MAX for none. */
static int64_t read_by(const struct dry_case *c, const struct dry_probe *probe, double now, double every)
{
	size_t n = dry_read_by(probe, now);
	double day = (n ? probe->reading[n - 1].day : probe->from) + every;

	return dry_probe_counts(probe, now) && isfinite(day) ? c->load_s + llround(day * DAY_S) : INT64_MAX;
}

/* Days after which a probe is to be read again. */
static double every_days(const struct due_book *b)
{
	int64_t every = b->supply.under_way.charges.house->intervals.probe;

	return every == HOUSE_NONE ? NAN : (double)every / (HOURS_A_DAY * VALUE_STEPS);
}

/* The instant by which the first probe of a charge is to be read. What falls due in the course of today is due today. */
static int64_t first_reading(const struct due_book *b, const struct dry_case *c)
{
	double now = dry_case_day(c, due_book_end_of(b, b->days.today));
	int64_t first = INT64_MAX;

	for (size_t p = 0; p < c->charge.nprobes; p++) {
		int64_t by = read_by(c, &c->charge.probe[p], now, every_days(b));

		first = by < first ? by : first;
	}
	return first;
}

/* A reading that is not overdue falls due on a day from tomorrow on: today is not over. */
static void find_next_reading(struct due *d, struct due_book *b, const struct dry_case *c)
{
	int64_t by = first_reading(b, c);
	struct due_item *item;

	if (by == INT64_MAX || by < due_book_end_of(b, b->days.today))
		return;
	buf_printf(&d->text, "the first of its probes was last read %.3g days before", every_days(b));
	item = due_add(d, DUE_PROBE, "read", c->id, "read the probes");
	place_charge(d, b, item, c->id);
	item->day = item->last = charges_day(&b->supply.under_way.charges, by);
	item->of = DUE_OF_DAY;
}

/* ---- warnings and doubts */

/* The room that a warning is of, "the four-week EMC of store/r1 is ...": a store of the house; NULL for none. */
static const struct house_place *room_of(const struct due *d, struct slice text)
{
	const struct slice head = SLICE("the four-week EMC of ");

	for (size_t i = 0; d->house && slice_starts(text, head) && i < d->house->nplaces; i++) {
		struct slice id = d->house->places[i].id, rest = slice_from(text, head.n);

		if (slice_starts(rest, id) && slice_starts(slice_from(rest, id.n), SLICE(" ")))
			return &d->house->places[i];
	}
	return NULL;
}

/* In the day's list this is one item of the room, even if several charges have the warning. */
static void find_room(struct due *d, struct due_book *b, const struct house_place *room, struct due_item *of_charge)
{
	struct slice reason = of_charge->reason;
	const char *action = "change the air there before blades come";
	struct due_item *item;

	of_charge->of = DUE_OF_MONTH;
	for (size_t i = 0; i < d->n; i++)
		if (slice_eq(d->item[i].subject, room->id) && slice_eq(d->item[i].reason, reason))
			return;
	buf_add(&d->text, reason);
	item = due_add(d, DUE_ROOM, "store", room->id, action);
	item->of = DUE_OF_DAY;
	item->place = item->subject;
	item->who = room->care.n ? &room->care : NULL;
	item->line = due_lines_last(&b->lines, "air", room->id, SLICE(""));
}

static void find_reason(struct due *d, struct due_book *b, struct due_reason *r, size_t n, size_t i)
{
	size_t action = action_of(r[i].what);
	struct due_item *item;

	due_reason_write(r, n, i, &d->text);
	item = due_add(d, action < ACTIONS_N ? ACTIONS[action].kind : DUE_CHARGE, action < ACTIONS_N ? ACTIONS[action].sign : "warning", r[i].charge,
		action < ACTIONS_N ? ACTIONS[action].action : "look at it");
	place_charge(d, b, item, r[i].charge);
	if (slice_eq(r[i].what, SLICE("overdue"))) {
		item->day = item->last = charges_day(&b->supply.under_way.charges, first_reading(b, charges_case(&b->supply.under_way.charges, r[i].charge)));
		item->overdue = item->day < d->days.today;
	}
	if (room_of(d, r[i].text))
		find_room(d, b, room_of(d, r[i].text), item);
}

static void find_reasons(struct due *d, struct due_book *b, const char *side)
{
	size_t n;
	struct due_reason *r = due_reasons_of(&b->is.reasons, side, &n);

	for (size_t i = 0; i < n; i++)
		if (!r[i].said)
			find_reason(d, b, r, n, i);
	free(r);
}

/* ---- emptied charges */

static void find_emptied(struct due *d, struct due_book *b, const struct dry_case *c)
{
	size_t read = due_row_of(&b->is.moist, "charge", c->id);
	bool was_read = read < table_rows(&b->is.moist);
	struct due_item *item;

	if (was_read && !due_is_out_of_band(&b->is.moist, read))
		return;
	if (was_read) {
		buf_str(&d->text, "emptied with ");
		due_write_out_of(&d->text, &b->is.moist, read, "probes out of the band");
	} else {
		buf_str(&d->text, "emptied without a reading in the book");
	}
	item = due_add(d, DUE_CHARGE, "emptied", c->id, was_read ? "read its pieces before they are planed" : "read some of its pieces");
	place_charge(d, b, item, c->id);
	item->line = due_lines_last(&b->lines, "unload", c->id, SLICE(""));
}

static bool was_emptied(const struct due_book *b, const struct dry_case *c)
{
	int32_t day = c->end_s == INT64_MAX ? INT32_MIN : charges_day(&b->supply.under_way.charges, c->end_s);

	return day >= b->days.from && day <= b->days.today;
}

void due_charges_find(struct due *d, struct due_book *b)
{
	for (size_t i = 0; i < table_rows(&b->is.charges); i++)
		find_open(d, b, &b->is.charges, i);
	find_reasons(d, b, "doubt");
	find_reasons(d, b, "warning");
	for (size_t i = 0; i < b->supply.under_way.charges.n; i++)
		if (b->supply.under_way.charges.cases[i].end_s == INT64_MAX)
			find_next_reading(d, b, &b->supply.under_way.charges.cases[i]);
	for (size_t i = 0; i < b->supply.under_way.charges.n; i++)
		if (was_emptied(b, &b->supply.under_way.charges.cases[i]))
			find_emptied(d, b, &b->supply.under_way.charges.cases[i]);
}
