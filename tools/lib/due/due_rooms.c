#include "due/due_rooms.h"

#include <math.h>
#include <stdlib.h>

#include "air/air_view.h"
#include "due/due_book.h"
#include "table/table_read.h"

/* Air that is in the target for less of the time than this needs attention. */
static const double AIR_SHARE = 0.9;

/* A spell that reached into so many days up to today is taken to go on. */
enum { SPELL_DAYS = 2, DATE_LENGTH = 10 };

static bool is_word(const struct table *t, size_t row, const char *column, const char *word)
{
	return slice_eq(table_word(t, row, column), slice_of(word));
}

static struct due_item *add(struct due *d, struct due_book *b, const char *sign, struct slice place, const char *action)
{
	struct due_item *item = due_add(d, DUE_ROOM, sign, place, action);

	item->place = item->subject;
	item->who = due_care_of(d->house, place);
	item->line = due_lines_last(&b->lines, "air", place, SLICE(""));
	return item;
}

/* The line of the reading at a moment of an answer; else that of the place's last reading. */
static struct due_line line_at(struct due_book *b, struct slice place, struct slice moment)
{
	struct due_line line = due_lines_last(&b->lines, "air", place, moment);

	if (!line.number)
		line = due_lines_last(&b->lines, "air", place, slice_upto(moment, moment.n < DATE_LENGTH ? moment.n : DATE_LENGTH));
	return line.number ? line : due_lines_last(&b->lines, "air", place, SLICE(""));
}

/* ---- the target of the wood */

static void find_share(struct due *d, struct due_book *b, const struct table *t, size_t i)
{
	buf_printf(&d->text, "the air was in the target for %.0f %% of the known hours; wood equilibrates at ", 100 * table_figure(t, i, "emc_in_target_share"));
	buf_printf(&d->text, "%.1f %% there (%.1f to %.1f)", table_figure(t, i, "emc_mean_pct"), table_figure(t, i, "emc_min_pct"), table_figure(t, i, "emc_max_pct"));
	add(d, b, "off-target", table_word(t, i, "place"), "bring the air back");
}

/* A reading out of the target with a gap on both sides: it is in no hour that is known. */
static bool is_lone(const struct table *t, size_t i, struct slice place)
{
	return slice_eq(table_word(t, i, "place"), place) && is_word(t, i, "quantity", "emc") && is_word(t, i, "open", "both")
		&& table_figure(t, i, "hours") <= 0;
}

static bool find_lone(struct due *d, struct due_book *b, struct slice place)
{
	const struct table *t = &b->is.spells;
	size_t n = 0, last = 0;

	for (size_t i = 0; i < table_rows(t); i++)
		if (is_lone(t, i, place)) {
			last = i;
			n++;
		}
	if (!n)
		return false;
	buf_printf(&d->text, "%zu reading%s of the air out of the target, with no other near; wood equilibrates at ", n, PLURAL(n, "", "s"));
	buf_printf(&d->text, "%.1f", table_figure(t, last, "worst"));
	buf_str(&d->text, PLURAL(n, " % there (", " % there (the last, "));
	buf_add(&d->text, table_word(t, last, "from"));
	buf_char(&d->text, ')');
	add(d, b, "lone", place, "read the air more often")->line = line_at(b, place, table_word(t, last, "from"));
	return true;
}

/* ---- the bands of the air */

/* Writes the day before which a spell is over. */
static void write_recent(const struct due *d, struct buf *out)
{
	day_write(out, d->days.today - SPELL_DAYS + 1);
}

struct spells {
	size_t n, worst;           /* how many, and the row of the worst */
	double hours;
};

static bool is_worse(const struct table *t, size_t a, size_t b)
{
	return is_word(t, a, "side", "above") ? table_figure(t, a, "worst") > table_figure(t, b, "worst") : table_figure(t, a, "worst") < table_figure(t, b, "worst");
}

/* The spells of a quantity and side that reach into the last days. */
static struct spells spells_of(const struct table *t, struct slice place, const char *quantity, const char *side, struct slice recent)
{
	struct spells s = { 0, 0, 0 };

	for (size_t i = 0; i < table_rows(t); i++) {
		if (!slice_eq(table_word(t, i, "place"), place) || !is_word(t, i, "quantity", quantity) || !is_word(t, i, "side", side)
			|| slice_cmp(table_word(t, i, "to"), recent) < 0)
			continue;
		s.worst = !s.n || is_worse(t, i, s.worst) ? i : s.worst;
		s.hours += table_figure(t, i, "hours");
		s.n++;
	}
	return s;
}

static void write_spells(struct due *d, const struct table *t, const struct spells *s, const char *name)
{
	bool above = is_word(t, s->worst, "side", "above");

	buf_printf(&d->text, "%s was %s %.3g %.*s", name, above ? "above" : "below", table_figure(t, s->worst, "limit"),
		(int)table_word(t, s->worst, "unit").n, table_word(t, s->worst, "unit").p);
	if (s->hours > 0)
		buf_printf(&d->text, " for %.1f h", s->hours);
	buf_printf(&d->text, "; %s %.1f, on ", above ? "highest" : "lowest", table_figure(t, s->worst, "worst"));
	buf_add(&d->text, table_word(t, s->worst, "worst_at"));
}

static void find_spells(struct due *d, struct due_book *b, struct slice place, bool with_emc)
{
	static const struct {
		const char *quantity, *name;
	} OF[] = { { "rh", "the humidity" }, { "temp", "the temperature" }, { "emc", "the EMC" } };
	const struct table *t = &b->is.spells;
	struct buf recent = BUF_INIT;

	write_recent(d, &recent);
	for (size_t q = 0; q < (with_emc ? 3 : 2); q++)
		for (int side = 0; side < 2; side++) {
			struct spells s = spells_of(t, place, OF[q].quantity, side ? "above" : "below", buf_slice(&recent));
			struct due_item *item;

			if (!s.n)
				continue;
			write_spells(d, t, &s, OF[q].name);
			item = add(d, b, OF[q].quantity, place, side ? "bring the air down into its band" : "bring the air up into its band");
			item->line = line_at(b, place, table_word(t, s.worst, "worst_at"));
			item->of = DUE_OF_DAY;
		}
	buf_release(&recent);
}

/* ---- where the wood is heading */

/* Verdicts of wood that is out of the target and stays so, or that leaves it. */
static bool heads_out(struct slice verdict)
{
	return slice_starts(verdict, SLICE("leaves target")) || slice_starts(verdict, SLICE("stays too")) || slice_starts(verdict, SLICE("too "));
}

static void find_outlook(struct due *d, struct due_book *b, struct slice place)
{
	const struct table *t = &b->is.outlook;
	size_t i = due_row_of(t, "place", place);

	if (i == table_rows(t) || !heads_out(table_word(t, i, "verdict")))
		return;
	buf_add(&d->text, table_word(t, i, "verdict"));
	buf_printf(&d->text, ": the wood is at %.1f %%, and is heading for %.1f %%", table_figure(t, i, "wood_now_pct"), table_figure(t, i, "wood_12w_pct"));
	if (table_has(t, i, "rh_for_middle_pct"))
		buf_printf(&d->text, "; %.0f %% RH would bring it to the middle of the target", table_figure(t, i, "rh_for_middle_pct"));
	add(d, b, "outlook", place, "change the room's air")->of = DUE_OF_DAY;
}

/* ---- air that is to be read */

static bool is_watched(const struct house_place *p)
{
	return p && (house_range_given(p->target) || house_range_given(p->rh) || house_range_given(p->temp));
}

/* Whether the kiln holds an open charge. */
static bool is_running(const struct due_book *b, struct slice place)
{
	for (size_t i = 0; i < b->supply.under_way.charges.n; i++)
		if (b->supply.under_way.charges.cases[i].end_s == INT64_MAX && slice_eq(b->supply.under_way.charges.cases[i].kiln, place))
			return true;
	return false;
}

/* The last reading up to the end of today; INT64_MIN for none. */
static int64_t last_reading(const struct due_book *b, const struct air_record *record)
{
	int64_t end_s = due_book_end_of(b, b->days.today), last = INT64_MIN;

	for (size_t i = 0; i < record->n; i++) {
		int64_t utc_s = air_row(record, i)->utc_s;

		last = utc_s < end_s && utc_s > last ? utc_s : last;
	}
	return last;
}

static void find_reading(struct due *d, struct due_book *b, const struct air_record *record)
{
	const struct house_place *p = house_place(d->house, record->id);
	double limit_h = air_view_limit_h(d->house, p);
	int64_t last = last_reading(b, record), by = last + llround(limit_h * HOUR_S);
	struct due_item *item;

	if (last == INT64_MIN || by >= due_book_end_of(b, b->days.today))
		return;
	buf_str(&d->text, "last read on ");
	day_write(&d->text, charges_day(&b->supply.under_way.charges, last));
	buf_printf(&d->text, "; the limit is %.3g hours", limit_h);
	item = add(d, b, "unread", record->id, "read the air");
	item->day = item->last = charges_day(&b->supply.under_way.charges, by);
	item->kind = due_book_is_kiln(b, record->id) ? DUE_KILN : DUE_ROOM;
	item->overdue = item->day < d->days.today;
	item->of = DUE_OF_DAY;
}

/* ---- all */

static bool was_read(const struct due_book *b, const struct air_record *record)
{
	return last_reading(b, record) != INT64_MIN;
}

/* Kilns are left out: their air goes from damp to dry; see their charges. */
static void find_room(struct due *d, struct due_book *b, const struct air_record *record, bool targeted)
{
	const struct table *t = &b->is.air;
	size_t i = due_row_of(t, "place", record->id);
	bool read = i < table_rows(t) && table_count(t, i, "n"), found = false;

	if (targeted && !read) {
		buf_str(&d->text, "no air reading this month");
		add(d, b, "silent", record->id, "read the air")->of = DUE_OF_MONTH;
	} else if (targeted && table_figure(t, i, "emc_in_target_share") < AIR_SHARE) {
		find_share(d, b, t, i);
		found = true;
	} else if (targeted) {
		found = find_lone(d, b, record->id);
	}
	find_spells(d, b, record->id, !found);
	find_outlook(d, b, record->id);
	find_reading(d, b, record);
}

void due_rooms_find(struct due *d, struct due_book *b)
{
	for (size_t k = 0; d->house && k < b->air.nrecords; k++) {
		const struct air_record *record = &b->air.record[k];
		const struct house_place *p = house_place(d->house, record->id);

		if (!was_read(b, record))
			continue;
		if (!due_book_is_kiln(b, record->id)) {
			if (is_watched(p))
				find_room(d, b, record, house_range_given(p->target));
		} else if (is_running(b, record->id)) {
			find_reading(d, b, record);
		}
	}
}
