#include <math.h>

#include "pair/pair_view_internal.h"
#include "pair/pairing.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"
#include "wood/climate.h"

static const struct table_column left_columns[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "part", TABLE_TEXT, 0, NULL }, { "piece", TABLE_TEXT, 0, "left over" }, { "count", TABLE_INT, 0, "pieces" },
	{ "at", TABLE_TEXT, 0, "at" }, { "type", TABLE_TEXT, 0, "type" }, { "grade", TABLE_TEXT, 0, NULL }, { "class", TABLE_TEXT, 0, NULL },
	{ "mc_pct", TABLE_FIXED, 1, "%" }, { "read", TABLE_DATE, 0, NULL }, { "source", TABLE_TEXT, 0, NULL }, { "why", TABLE_TEXT, 0, NULL },
	{ "nearest", TABLE_TEXT, 0, NULL }, { "apart_pct", TABLE_FIXED, 1, NULL }, { "gap_mm", TABLE_FIXED, 2, NULL }, { "rest_days", TABLE_INT, 0, NULL },
	{ "rest_at", TABLE_TEXT, 0, NULL }, { "advice", TABLE_TEXT, 0, "why" }
};

static struct slice text_of(const struct pairing *p, uint32_t id)
{
	return stock_text(p->bench->stock, id);
}

static const struct bench_row *row_of(const struct pairing *p, const struct pair_left *left)
{
	return &p->bench->side[left->part].row[left->row];
}

static const struct bench_row *nearest_of(const struct pairing *p, const struct pair_left *left)
{
	return left->nearest == SIZE_MAX ? NULL : &p->bench->side[!left->part].row[left->nearest];
}

/* How much wetter the handle is than the blade. */
static double apart_of(const struct pairing *p, const struct pair_left *left)
{
	double more = row_of(p, left)->mc_pct - nearest_of(p, left)->mc_pct;

	return left->part == PAIR_HANDLE ? more : -more;
}

static double gap_of(const struct pairing *p, const struct pair_left *left)
{
	const struct bench_row *row = row_of(p, left), *other = nearest_of(p, left);

	return left->part == PAIR_BLADE ? pair_gap_mm(&p->limits, row->mc_pct, other->mc_pct) : pair_gap_mm(&p->limits, other->mc_pct, row->mc_pct);
}

static const char *word_of(const struct pairing *p, const struct pair_left *left)
{
	static const char *const BENCH[] = { NULL, "in bat", "not there", "type unknown", "not read", "old reading", "off scale" };
	static const char *const LEFT[] = { NULL, NULL, "spare", "enough", "none to pair", "no type fits", "none to pair", NULL, "gap", "not weighed", "mass", "mass" };

	if (left->why == LEFT_BENCH)
		return BENCH[row_of(p, left)->why];
	if (left->why != LEFT_APART)
		return LEFT[left->why];
	return row_of(p, left)->mc_pct > nearest_of(p, left)->mc_pct ? "too wet" : "too dry";
}

/* ---- in words */

static void say_old(const struct pairing *p, const struct bench_row *row, struct buf *text)
{
	int32_t days = p->bench->ask->today - row->read->day;

	buf_str(text, row->own ? "last read on " : "its lot was last read on ");
	stock_say_day(text, row->read->day);
	buf_str(text, ", ");
	stock_say_count(text, days, SLICE("day"));
	buf_str(text, " ago; measure it");
}

static void say_bench(const struct pairing *p, const struct pair_left *left, const struct bench_row *row, struct buf *text)
{
	const struct piece_note *note;

	switch (row->why) {
	case BENCH_GOOD:
		break;
	case BENCH_IN_BAT:
		note = piece_note_of(&p->bench->notes, row->piece);
		buf_str(text, "it is in ");
		buf_add(text, text_of(p, note->bat));
		break;
	case BENCH_NOT_THERE:
		buf_str(text, "the stock of that day has no such piece left; check the number, or correct the grade in its judge line");
		break;
	case BENCH_TYPE_UNKNOWN:
		buf_str(text, "its lot has pieces of several types or grades, and the book does not say which this is; a judge line with grade= would");
		break;
	case BENCH_UNREAD:
		buf_printf(text, "not read as a %s outside a kiln; measure it", pair_part_words[left->part]);
		break;
	case BENCH_OLD:
		say_old(p, row, text);
		break;
	case BENCH_OFF_SCALE:
		buf_str(text, "a last reading is off the meter's scale; rest it, and measure it again");
		break;
	}
}

/* Whose air brings the two together: the handle's, where it is known. */
static const struct pair_room *rest_room(const struct pairing *p, const struct pair_left *left)
{
	const struct bench_row *handle = left->part == PAIR_HANDLE ? row_of(p, left) : nearest_of(p, left);
	const struct bench_row *blade = left->part == PAIR_HANDLE ? nearest_of(p, left) : row_of(p, left);

	return handle->room ? handle->room : blade->room;
}

/* The air does not do it: where it leads to, and the humidity that would. */
static void say_never(const struct pairing *p, const struct pair_left *left, struct buf *text)
{
	const struct pair_room *room = rest_room(p, left);
	double blade_pct = left->part == PAIR_BLADE ? row_of(p, left)->mc_pct : nearest_of(p, left)->mc_pct;
	struct slice at;

	if (!room || isnan(room->emc_pct)) {
		buf_str(text, "; rest both in one room, and measure them again");
		return;
	}
	at = text_of(p, room->place);
	buf_printf(text, "; the air of %.*s, at %.1f %%, does not bring them together in a year", (int)at.n, at.p, room->emc_pct);
	if (isfinite(rh_for_emc_pct(room->temp_c, blade_pct)))
		buf_printf(text, ": keep it at about %.0f %% RH", rh_for_emc_pct(room->temp_c, blade_pct));
}

static void say_rest(const struct pairing *p, const struct pair_left *left, struct buf *text)
{
	const struct pair_room *room = rest_room(p, left);
	struct slice at;

	if (left->rest_days < 0 || !room) {
		say_never(p, left, text);
		return;
	}
	at = text_of(p, room->place);
	buf_printf(text, "; rest %s about ", left->part == PAIR_HANDLE ? "it" : "the handle");
	stock_say_count(text, left->rest_days, SLICE("day"));
	buf_printf(text, " %s %.*s", left->part == PAIR_HANDLE && row_of(p, left)->kind.place != room->place ? "in the air of" : "at", (int)at.n, at.p);
}

/* "2.1 points above C013", with one more place where the limit is near. */
static void say_apart(const struct pairing *p, const struct pair_left *left, struct buf *text)
{
	double more = row_of(p, left)->mc_pct - nearest_of(p, left)->mc_pct, over = fabs(more) - p->limits.most_apart_pct;
	struct slice name = bench_name(p->bench, nearest_of(p, left));

	buf_printf(text, "%.*f points %s %.*s, the nearest %s", over > 0 && over < 0.05 ? 2 : 1, fabs(more), more > 0 ? "above" : "below", (int)name.n, name.p,
		pair_part_words[!left->part]);
}

static void say_mass(const struct pairing *p, const struct pair_left *left, struct buf *text)
{
	const struct bench_row *row = row_of(p, left), *other = nearest_of(p, left);
	struct slice name = bench_name(p->bench, other);

	if (left->why == LEFT_MASS)
		buf_printf(text, "%.0f g together with %.*s, which is out of the range", (double)(row->mass + other->mass) / 1e6, (int)name.n, name.p);
	else if (!row->mass)
		buf_str(text, "it was not weighed by itself; weigh it and give it a number in a judge line");
	else
		buf_printf(text, "no %s that would do was weighed by itself", pair_part_words[!left->part]);
}

/* What would bring it into the range: the handle, or the blade. */
static void say_mend(const struct pairing *p, size_t blade, size_t handle, struct buf *text)
{
	const struct pair_forecast *f = p->forecast;
	double off = pair_forecast_off(f, blade, handle), low_g, high_g;
	bool any = !isnan(f->handle_g) && p->bench->side[PAIR_HANDLE].row[handle].mass;

	if (any)
		buf_printf(text, "; a handle about %.0f g %s would do", ceil(fabs(off)), off > 0 ? "lighter" : "heavier");
	if (!pair_forecast_blades(f, blade, handle, &low_g, &high_g))
		return;
	buf_str(text, any ? ", or a blade of " : "; a blade of ");
	if (isfinite(low_g))
		buf_printf(text, "%.0f", low_g);
	buf_str(text, isfinite(low_g) && isfinite(high_g) ? " to " : isfinite(low_g) ? " g or more" : "up to ");
	if (isfinite(high_g))
		buf_printf(text, "%.0f g", high_g);
	buf_str(text, any ? "" : " would do");
}

/* "a bat of it and H3 would weigh about 1210 g, and at least 1190 g: too heavy" */
static void say_lands(const struct pairing *p, const struct pair_left *left, struct buf *text)
{
	size_t blade = left->part == PAIR_BLADE ? left->row : left->nearest, handle = left->part == PAIR_HANDLE ? left->row : left->nearest;
	struct prediction at = pair_forecast_of(p->forecast, blade, handle);
	double off = pair_forecast_off(p->forecast, blade, handle), half = pair_forecast_half(&at);
	struct slice name = bench_name(p->bench, nearest_of(p, left));

	buf_printf(text, "a bat of it and %.*s would weigh about %.0f g, and hardly %s %.0f g: %s for ", (int)name.n, name.p, at.value,
		off > 0 ? "less than" : "more than", off > 0 ? at.value - half : at.value + half, off > 0 ? "too heavy" : "too light");
	order_say_mass(p->bench->wanted->order, p->bench->stock, text);
	say_mend(p, blade, handle, text);
}

static void say_why(const struct pairing *p, const struct pair_left *left, struct buf *text)
{
	const char *other = pair_part_words[!left->part];

	switch (left->why) {
	case LEFT_NO_FAULT:
		break;
	case LEFT_BENCH:
		say_bench(p, left, row_of(p, left), text);
		break;
	case LEFT_SPARE:
		buf_printf(text, "it would do, but no %s is left for it", other);
		break;
	case LEFT_ENOUGH:
		buf_str(text, "it would do, but no more are asked for");
		break;
	case LEFT_NO_OTHER:
		buf_printf(text, "there is no %s with a good reading", other);
		break;
	case LEFT_NO_FIT:
		buf_printf(text, left->part == PAIR_BLADE ? "no %s here fits its type" : "no %s here is of a type that it fits", other);
		break;
	case LEFT_UNREAD:
		buf_printf(text, "no %s that %s has a good reading; measure those", other, left->part == PAIR_BLADE ? "fits its type" : "it fits");
		break;
	case LEFT_APART:
		say_apart(p, left, text);
		say_rest(p, left, text);
		break;
	case LEFT_GAP:
		say_apart(p, left, text);
		buf_printf(text, ": the joint would open by %.2f mm", gap_of(p, left));
		say_rest(p, left, text);
		break;
	case LEFT_NO_MASS:
	case LEFT_MASS:
		say_mass(p, left, text);
		break;
	case LEFT_LANDS:
		say_lands(p, left, text);
		break;
	}
}

/* ---- cells */

static void put_nearest(const struct pairing *p, const struct pair_left *left, struct table *t)
{
	bool rests = left->rest_days >= 0;

	if (left->nearest == SIZE_MAX) {
		for (int i = 0; i < 5; i++)
			table_absent(t);
		return;
	}
	table_text(t, bench_name(p->bench, nearest_of(p, left)));
	pair_view_figure(t, apart_of(p, left));
	pair_view_figure(t, gap_of(p, left));
	if (rests)
		table_int(t, left->rest_days);
	else
		table_absent(t);
	if (rests && rest_room(p, left))
		table_text(t, text_of(p, rest_room(p, left)->place));
	else
		table_absent(t);
}

static void put_left(const struct pairing *p, const struct pair_left *left, struct table *t)
{
	const struct bench_row *row = row_of(p, left);
	struct buf text = BUF_INIT;

	stock_cell_day(t, p->bench->ask->today);
	table_cstr(t, pair_part_words[left->part]);
	table_text(t, bench_name(p->bench, row));
	table_int(t, left->n);
	stock_cell_word(t, text_of(p, row->kind.place));
	stock_cell_word(t, text_of(p, row->kind.type));
	stock_cell_word(t, text_of(p, row->kind.grade));
	stock_cell_word(t, text_of(p, row->kind.class));
	pair_view_figure(t, row->mc_pct);
	if (row->read)
		stock_cell_day(t, row->read->day);
	else
		table_absent(t);
	table_cstr(t, row->read ? row->own ? "piece" : "lot" : NULL);
	table_cstr(t, word_of(p, left));
	put_nearest(p, left, t);
	say_why(p, left, &text);
	table_text(t, buf_slice(&text));
	buf_release(&text);
}

void pair_view_left(const struct pairing *p, struct table *t)
{
	table_init(t, left_columns, sizeof left_columns / sizeof *left_columns);
	table_title(t, SLICE("Left over"), "left");
	for (size_t i = 0; i < p->nleft; i++)
		put_left(p, &p->left[i], t);
}
