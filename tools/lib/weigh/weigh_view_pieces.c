#include <math.h>

#include "weigh/weigh_view_internal.h"
#include "weigh/weigh_wanted.h"

enum { BRIEF_PIECES = 24, BRIEF_LOTS = 12 };

/* ---- findings */

/* "within 2lb8oz..2lb10oz", "at 2lb8oz or more". */
static void say_range(const struct weigh_view *v, const struct weigh_ask *ask, struct buf *b)
{
	bool low = ask->low != INT64_MIN, high = ask->high != INT64_MAX, one = ask->low == ask->high;

	buf_str(b, low && high && !one ? "within " : "at ");
	if (low)
		weigh_say_mass(v, b, WEIGH_BAT, (double)ask->low / 1e6);
	buf_str(b, one ? "" : low && high ? ".." : low ? " or more" : "");
	if (high && !one)
		weigh_say_mass(v, b, WEIGH_BAT, (double)ask->high / 1e6);
	buf_str(b, low || !high ? "" : " or less");
}

static void say_order(const struct weigh_view *v, struct buf *b)
{
	if (!v->order)
		return;
	buf_printf(b, " Order %s wants ", v->order);
	buf_count(b, v->wanted, "piece");
	buf_char(b, '.');
}

/* "about 47", "about 0.7": expected numbers of pieces are not whole. */
static void say_about(struct buf *b, const char *before, double n, const char *after)
{
	buf_printf(b, n < 10 ? "%sbout %.2g%s" : "%sbout %.0f%s", before, n, after);
}

static void say_wanted(const struct weigh_view *v, const struct weigh_ask *ask, const struct wanted *w, struct buf *b)
{
	buf_count(b, (int64_t)w->npieces, "weighed blade");
	if (w->npieces) {
		say_about(b, " may be in stock; by the counts of their lots a", w->there, " are.");
		say_about(b, " A", w->expected, " should finish ");
	} else {
		buf_str(b, " in stock that could finish ");
	}
	say_range(v, ask, b);
	buf_char(b, '.');
	if (w->lots_pieces > 0) {
		say_about(b, " Of the others, which were not weighed (a", w->lots_pieces, "),");
		say_about(b, " a", w->lots_expected, " should.");
	}
	if (w->unknown > 0)
		say_about(b, " For a", w->unknown, " no chance can be given: too few pairs.");
	say_order(v, b);
}

static void say_all(const struct weigh_view *v, const struct wanted *w, struct buf *b)
{
	double low_g = INFINITY, high_g = -INFINITY;

	for (size_t i = 0; i < w->npieces; i++) {
		low_g = fmin(low_g, w->piece[i].blank->mass_g);
		high_g = fmax(high_g, w->piece[i].blank->mass_g);
	}
	buf_count(b, (int64_t)w->npieces, "weighed blade");
	say_about(b, " may be in stock; by the counts of their lots a", w->there, " are. They weigh ");
	weigh_say_mass(v, b, WEIGH_BLANK, low_g);
	buf_str(b, " to ");
	weigh_say_mass(v, b, WEIGH_BLANK, high_g);
	buf_char(b, '.');
}

/* ---- pieces */

static void put_places(const struct weigh_parts *parts, struct table *t, const struct blade_kind *k)
{
	struct buf b = BUF_INIT;

	for (size_t i = 0; i < k->nplaces; i++) {
		buf_str(&b, i ? " or " : "");
		buf_add(&b, stock_text(parts->stock, parts->blades.place[k->place + i]));
	}
	table_text(t, buf_slice(&b));
	buf_release(&b);
}

static void put_words(const struct weigh_parts *parts, struct table *t, const struct blade_kind *k, uint32_t class)
{
	stock_cell_word(t, stock_text(parts->stock, k->type));
	stock_cell_word(t, stock_text(parts->stock, k->grade));
	stock_cell_word(t, stock_text(parts->stock, class));
}

static void put_piece(const struct weigh_view *v, const struct weigh_parts *parts, const struct wanted_piece *p, struct table *t)
{
	const struct blank *blank = p->blank;
	double tail = (1 - v->sure) / 2, low_g = prediction_bound(&p->at, tail), high_g = prediction_bound(&p->at, 1 - tail);

	table_text(t, blank->name);
	put_words(parts, t, p->kind, blank->class ? blank->class : p->kind->class);
	weigh_put_mass(v, t, WEIGH_BLANK, blank->mass_g);
	weigh_put_mass(v, t, WEIGH_BAT, p->at.value);
	weigh_put_off(v, t, WEIGH_BAT, high_g - p->at.value, false);
	table_real(t, v->ranged ? p->chance : NAN);
	table_real(t, p->there);
	put_places(parts, t, p->kind);
	table_real(t, blank->mass_g);
	table_real(t, blank->weighed_g);
	table_real(t, blank->mc_pct);
	table_cstr(t, blank_moisture_words[blank->moisture]);
	stock_cell_day(t, blank->day);
	table_cstr(t, mass_use_words[p->use]);
	table_real(t, p->at.value);
	table_real(t, low_g);
	table_real(t, high_g);
	table_real(t, v->ranged ? p->there * p->chance : NAN);
	stock_cell_day(t, v->today);
}

static void note_pieces(const struct weigh_parts *parts, const struct wanted *w, bool ranged, struct table *t)
{
	struct buf b = BUF_INIT;

	table_note(t, SLICE("nine in ten: such pieces finish within so much of it, above or below; chance: that it lands in the range; there: that it is still in "
		"stock, as it is asked for"));
	weigh_note_moisture(t, parts);
	weigh_note_corrected(t, parts);
	if (ranged && w->step) {
		buf_printf(&b, "bats are weighed in steps of %.4g g, so what rounds into the range is within it", (double)w->step / 1e6);
		table_note(t, buf_slice(&b));
	}
	buf_release(&b);
}

void weigh_view_pieces(const struct weigh_view *v, const struct weigh_parts *parts, const struct weigh_ask *ask, const struct wanted *w, struct table *t)
{
	const struct table_column columns[] = {
		{ "piece", TABLE_TEXT, 0, "piece" }, { "type", TABLE_TEXT, 0, "type" }, { "grade", TABLE_TEXT, 0, "grade" }, { "class", TABLE_TEXT, 0, NULL },
		{ "blank", TABLE_TEXT, 0, "blank" }, { "finished", TABLE_TEXT, 0, "finished" }, { "nine_in_ten", TABLE_TEXT, 0, "nine in ten" },
		{ "chance", TABLE_REAL, TABLE_PERCENT + 0, v->ranged ? "chance, %" : NULL }, { "there", TABLE_REAL, TABLE_PERCENT + 0, "there, %" },
		{ "where", TABLE_TEXT, 0, "where" }, { "blank_g", TABLE_REAL, 0, NULL }, { "weighed_g", TABLE_REAL, 0, NULL }, { "mc_pct", TABLE_REAL, 1, NULL },
		{ "mc_of", TABLE_TEXT, 0, NULL }, { "weighed", TABLE_DATE, 0, NULL }, { "by", TABLE_TEXT, 0, NULL }, { "finished_g", TABLE_REAL, 0, NULL },
		{ "low_g", TABLE_REAL, 0, NULL }, { "high_g", TABLE_REAL, 0, NULL }, { "expected", TABLE_REAL, 2, NULL }, { "as_of", TABLE_DATE, 0, NULL },
	};
	size_t n = v->brief && w->npieces > BRIEF_PIECES ? BRIEF_PIECES : w->npieces;
	struct buf b = BUF_INIT;

	table_init(t, columns, sizeof columns / sizeof *columns);
	table_title(t, SLICE("Weighed pieces"), "pieces");
	if (v->ranged)
		say_wanted(v, ask, w, &b);
	else if (w->npieces)
		say_all(v, w, &b);
	else
		buf_str(&b, "No weighed blade is in stock.");
	table_finding(t, buf_slice(&b));
	for (size_t i = 0; i < n; i++)
		put_piece(v, parts, &w->piece[i], t);
	weigh_note_more(t, w->npieces - n, "piece");
	note_pieces(parts, w, v->ranged, t);
	buf_release(&b);
}

/* ---- the others */

/* "of 41 blanks": what the chance is of. */
static void put_basis(struct table *t, const struct wanted_lot *lot)
{
	struct buf b = BUF_INIT;

	if (lot->landing.basis == WANTED_UNKNOWN)
		table_absent(t);
	else {
		buf_printf(&b, "%zu %s", lot->landing.of, wanted_basis_words[lot->landing.basis]);
		table_text(t, buf_slice(&b));
	}
	buf_release(&b);
}

static void put_lot(const struct weigh_view *v, const struct weigh_parts *parts, const struct wanted_lot *lot, struct table *t)
{
	table_text(t, lot->name);
	put_words(parts, t, lot->kind, lot->kind->class);
	table_real(t, lot->pieces);
	table_real(t, lot->landing.chance);
	table_real(t, lot->pieces * lot->landing.chance);
	put_basis(t, lot);
	put_places(parts, t, lot->kind);
	table_cstr(t, wanted_basis_words[lot->landing.basis]);
	table_int(t, (int64_t)lot->landing.of);
	stock_cell_day(t, v->today);
}

void weigh_view_lots(const struct weigh_view *v, const struct weigh_parts *parts, const struct wanted *w, struct table *t)
{
	static const struct table_column columns[] = {
		{ "lot", TABLE_TEXT, 0, "lot" }, { "type", TABLE_TEXT, 0, "type" }, { "grade", TABLE_TEXT, 0, "grade" }, { "class", TABLE_TEXT, 0, "class" },
		{ "pieces", TABLE_REAL, 0, "pieces" }, { "chance", TABLE_REAL, TABLE_PERCENT + 0, "chance, %" }, { "expected", TABLE_REAL, 0, "expected" },
		{ "basis", TABLE_TEXT, 0, "by the mass of" }, { "where", TABLE_TEXT, 0, "where" }, { "basis_kind", TABLE_TEXT, 0, NULL },
		{ "basis_n", TABLE_INT, 0, NULL }, { "as_of", TABLE_DATE, 0, NULL },
	};
	size_t n = v->brief && w->nlots > BRIEF_LOTS ? BRIEF_LOTS : w->nlots;

	table_init(t, columns, sizeof columns / sizeof *columns);
	table_title(t, SLICE("Pieces without a mass of their own"), "lots");
	for (size_t i = 0; i < n; i++)
		put_lot(v, parts, &w->lot[i], t);
	weigh_note_more(t, w->nlots - n, "row");
	table_note(t, SLICE("chance: the mean of the blanks of that type and class that were weighed; with fewer than 8, of its finished bats"));
}
