#include "grades/claims_view.h"

#include <math.h>

#include "book/vocab.h"
#include "grades/claims.h"
#include "stock/stock_say.h"
#include "table/table.h"

static void column(struct table *t, const char *name, enum table_type type, unsigned places, const char *heading)
{
	table_add_column(t, name, type, places);
	table_heading(t, heading);
}

static bool is_judged(const struct claim_lot *lot)
{
	return !isnan(lot->p);
}

static double short_by(const struct claim_lot *lot)
{
	return claim_expected(lot, lot->worst) - (double)claim_met(lot, lot->worst);
}

/* The part of the claimed worth that is missing. */
static double worth_short(const struct claim_lot *lot)
{
	return lot->worth_claimed > 0 ? 1 - lot->worth_met / lot->worth_claimed : NAN;
}

static bool has_price(const struct claim_lot *lot)
{
	return lot->currency >= 0 && !isnan(lot->price_short);
}

/* ---- suppliers and lots */

static void put_lot(const struct claim_lot *lot, struct table *t)
{
	table_text(t, lot->supplier);
	if (lot->lot.n)
		table_text(t, lot->lot);
	else
		table_absent(t);
}

static void put_price(const struct claim_lot *lot, struct table *t)
{
	if (!has_price(lot)) {
		table_absent(t);
		table_absent(t);
		return;
	}
	table_fixed(t, llround(lot->price_short), (unsigned)vocab_currency_places(lot->currency));
	table_text(t, vocab_currency_code(lot->currency));
}

static void put_claim(const struct claim_lot *lot, struct table *t)
{
	put_lot(lot, t);
	table_int(t, lot->pieces);
	table_int(t, lot->graded);
	if (!is_judged(lot)) {
		table_rest_absent(t);
		return;
	}
	table_text(t, lot->claim->list.word[lot->worst]);
	table_real(t, claim_expected(lot, lot->worst) / (double)lot->graded);
	table_real(t, (double)claim_met(lot, lot->worst) / (double)lot->graded);
	table_real(t, short_by(lot));
	table_real(t, lot->p);
	table_real(t, worth_short(lot));
	put_price(lot, t);
}

static void view_claims(const struct claims *c, struct table *t)
{
	table_init(t, NULL, 0);
	table_title(t, SLICE("Claimed and delivered"), "claims");
	column(t, "supplier", TABLE_TEXT, 0, "supplier");
	column(t, "lot", TABLE_TEXT, 0, "lot");
	column(t, "bought", TABLE_INT, 0, NULL);
	column(t, "graded", TABLE_INT, 0, "graded");
	column(t, "grade", TABLE_TEXT, 0, "grade");
	column(t, "claimed", TABLE_REAL, TABLE_PERCENT + 0, "claimed");
	column(t, "met", TABLE_REAL, TABLE_PERCENT + 0, "met");
	column(t, "short", TABLE_REAL, 0, "short");
	column(t, "p", TABLE_REAL, 3, "p");
	column(t, "worth_short", TABLE_REAL, TABLE_PERCENT + 0, "worth");
	column(t, "price_short", TABLE_FIXED, TABLE_EXACT, "of price");
	column(t, "currency", TABLE_TEXT, 0, "");
	for (size_t i = 0; i < c->nsuppliers; i++)
		put_claim(&c->supplier[i], t);
	for (size_t i = 0; i < c->n; i++)
		put_claim(&c->lot[i], t);
}

/* ---- each claimed grade */

static void put_grades(const struct claim_lot *lot, struct table *t)
{
	double n = (double)lot->graded;

	for (size_t i = 0; lot->promise && i < lot->promise->list.n && i < CLAIM_GRADES; i++) {
		put_lot(lot, t);
		table_text(t, lot->claim->list.word[i]);
		table_text(t, lot->promise->list.word[i]);
		table_real(t, lot->expected[i] / n);
		table_real(t, lot->expected[i]);
		table_int(t, lot->met[i]);
		table_real(t, (double)lot->met[i] - lot->expected[i]);
	}
	if (!lot->promise)
		return;
	put_lot(lot, t);
	table_text(t, SLICE("below"));
	table_absent(t);
	table_real(t, 0);
	table_real(t, 0);
	table_int(t, lot->below);
	table_real(t, (double)lot->below);
}

static void view_grades(const struct claims *c, struct table *t)
{
	table_init(t, NULL, 0);
	table_title(t, SLICE("By the supplier's grades"), "grades");
	column(t, "supplier", TABLE_TEXT, 0, "supplier");
	column(t, "lot", TABLE_TEXT, 0, "lot");
	column(t, "grade", TABLE_TEXT, 0, "grade");
	column(t, "promises", TABLE_TEXT, 0, "promises");
	column(t, "claimed", TABLE_REAL, TABLE_PERCENT + 1, "claimed, %");
	column(t, "expected", TABLE_REAL, 0, "expected");
	column(t, "delivered", TABLE_INT, 0, "delivered");
	column(t, "difference", TABLE_REAL, 0, "difference");
	for (size_t i = 0; i < c->nsuppliers; i++)
		put_grades(&c->supplier[i], t);
	for (size_t i = 0; i < c->n; i++)
		put_grades(&c->lot[i], t);
}

/* ---- lots beside the others of their supplier */

static struct slice odd_grade(const struct odd_lot *lot)
{
	return lot->grade < lot->scheme->list.n ? lot->scheme->list.word[lot->grade] : SLICE("culled");
}

static void put_odd(const struct odd_lot *lot, struct table *t)
{
	table_text(t, lot->supplier);
	table_text(t, lot->lot);
	table_text(t, lot->scheme->id);
	table_int(t, lot->graded);
	table_int(t, lot->others);
	if (isnan(lot->p)) {
		table_rest_absent(t);
		return;
	}
	table_text(t, odd_grade(lot));
	table_real(t, (double)lot->count[lot->grade] / (double)lot->graded);
	table_real(t, (double)lot->other[lot->grade] / (double)lot->others);
	table_real(t, lot->residual);
	table_real(t, lot->p);
	table_real(t, lot->adjusted);
	table_cstr(t, lot->is_odd ? "unlike" : "as others");
	if (lot->like.n)
		table_text(t, lot->like);
	else
		table_absent(t);
}

static void view_odd(const struct odd_lots *o, struct table *t)
{
	table_init(t, NULL, 0);
	table_title(t, SLICE("Each lot beside its supplier's other lots"), "lots");
	column(t, "supplier", TABLE_TEXT, 0, "supplier");
	column(t, "lot", TABLE_TEXT, 0, "lot");
	column(t, "scheme", TABLE_TEXT, 0, NULL);
	column(t, "graded", TABLE_INT, 0, NULL);
	column(t, "others", TABLE_INT, 0, NULL);
	column(t, "grade", TABLE_TEXT, 0, "grade");
	column(t, "share", TABLE_REAL, TABLE_PERCENT + 1, "lot, %");
	column(t, "others_share", TABLE_REAL, TABLE_PERCENT + 1, "others, %");
	column(t, "residual", TABLE_REAL, 1, "residual");
	column(t, "p", TABLE_REAL, 3, NULL);
	column(t, "p_adjusted", TABLE_REAL, 3, "p");
	column(t, "verdict", TABLE_TEXT, 0, "graded");
	column(t, "like", TABLE_TEXT, 0, "like");
	for (size_t i = 0; i < o->n; i++)
		put_odd(&o->lot[i], t);
	if (o->n) {
		table_note(t, SLICE("grade: at which the lot differs most; residual: by how many standard errors; p: how likely chance alone makes the grades differ so much, for all lots together"));
		table_note(t, SLICE("like: another supplier whose lots it does not differ from"));
	}
}

static void say_odd(const struct odd_lot *lot, struct buf *text)
{
	buf_str(text, text->n ? " " : "");
	buf_add(text, lot->lot);
	buf_str(text, " was graded unlike the other lots of ");
	buf_add(text, lot->supplier);
	buf_str(text, lot->grade < lot->scheme->list.n ? ": grade " : ": ");
	buf_add(text, odd_grade(lot));
	buf_str(text, " is ");
	stock_say_percent(text, (double)lot->count[lot->grade] / (double)lot->graded);
	buf_str(text, ", theirs ");
	stock_say_percent(text, (double)lot->other[lot->grade] / (double)lot->others);
	if (lot->like.n) {
		buf_str(text, "; it does not differ from the lots of ");
		buf_add(text, lot->like);
	}
	buf_char(text, '.');
}

/* ---- the finding */

static void say_chance(double p, struct buf *text)
{
	if (p < 1e-6)
		buf_str(text, " Sampling alone explains that in less than one case of a million.");
	else
		buf_printf(text, " Sampling alone explains that in one case of %.0f.", 1 / p);
}

static void say_worth(const struct claim_lot *lot, struct buf *text)
{
	if (!(worth_short(lot) > 0))
		return;
	buf_str(text, " By worth ");
	stock_say_percent(text, worth_short(lot));
	buf_str(text, " is missing");
	if (has_price(lot)) {
		buf_printf(text, ", %.*f ", vocab_currency_places(lot->currency), lot->price_short / pow(10, vocab_currency_places(lot->currency)));
		buf_add(text, vocab_currency_code(lot->currency));
		buf_str(text, " of the price");
	}
	buf_char(text, '.');
}

static void say_short(const struct claim_lot *lot, struct buf *text)
{
	double n = (double)lot->graded;

	buf_str(text, text->n ? " " : "");
	if (lot->lot.n) {
		buf_add(text, lot->lot);
		buf_str(text, " of ");
	}
	buf_add(text, lot->supplier);
	buf_printf(text, " falls short of its claim: of %lld graded blades ", (long long)lot->graded);
	stock_say_percent(text, (double)claim_met(lot, lot->worst) / n);
	buf_str(text, " are ");
	buf_add(text, lot->claim->list.word[lot->worst]);
	buf_str(text, lot->worst ? " or better, where " : ", where ");
	stock_say_percent(text, claim_expected(lot, lot->worst) / n);
	buf_printf(text, " were claimed: %.0f too few.", short_by(lot));
	say_chance(lot->p, text);
	say_worth(lot, text);
}

/* Whether the lot's supplier is named, so that the lot need not be. */
static bool is_named(const struct claims *c, const struct claim_lot *lot)
{
	for (size_t i = 0; i < c->nsuppliers; i++)
		if (slice_eq(c->supplier[i].supplier, lot->supplier))
			return c->supplier[i].is_short && !c->supplier[i].by_lots;
	return false;
}

static void say_unknown(const struct claims *c, struct buf *text)
{
	for (size_t i = 0; i < c->nsuppliers; i++) {
		if (is_judged(&c->supplier[i]))
			continue;
		buf_str(text, text->n ? " " : "");
		buf_add(text, c->supplier[i].supplier);
		buf_str(text, " cannot be compared: claims and promises in the house file do not say what two of its grades or more promise.");
	}
}

static void find(const struct claims *c, struct table *t)
{
	struct buf text = BUF_INIT;
	bool any = false;

	for (size_t i = 0; i < c->nsuppliers; i++) {
		any |= is_judged(&c->supplier[i]);
		if (c->supplier[i].is_short && !c->supplier[i].by_lots)
			say_short(&c->supplier[i], &text);
	}
	for (size_t i = 0; i < c->n; i++)
		if (c->lot[i].is_short && !is_named(c, &c->lot[i]))
			say_short(&c->lot[i], &text);
	if (!c->n)
		buf_str(&text, "No lot with claimed= was graded on these days.");
	else if (!text.n && any)
		buf_str(&text, "No supplier or lot falls short of its claim by more than sampling explains.");
	for (size_t i = 0; i < c->odd.n; i++)
		if (c->odd.lot[i].is_odd)
			say_odd(&c->odd.lot[i], &text);
	say_unknown(c, &text);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

static void note(struct table *t, long long n, const char *one, const char *more)
{
	struct buf text = BUF_INIT;

	if (!n)
		return;
	buf_printf(&text, "%lld %s", n, PLURAL(n, one, more));
	table_note(t, buf_slice(&text));
	buf_release(&text);
}

static void add_notes(const struct claims *c, struct table *t)
{
	if (c->n) {
		table_note(t, SLICE("claimed, met: per cent of the graded blades that are of this grade or better; short: how many are missing"));
		table_note(t, SLICE("p: how likely sampling alone explains that; worth: per cent of the claimed worth that is missing; of price: that part of these blades' price; below 0: delivered more"));
	}
	note(t, (long long)c->ungraded, "lot with a claim has no graded blade", "lots with a claim have no graded blade");
	note(t, (long long)c->unclaimed, "lot was left out: it has pieces without a claim, or of another supplier", "lots were left out: they have pieces without a claim, or of another supplier");
	note(t, c->strange, "blade was left out: the scheme of its day lacks its grade or a promised one", "blades were left out: the scheme of their day lacks their grade or a promised one");
}

void claims_view(const struct claims *c, struct table *t)
{
	view_claims(c, &t[0]);
	find(c, &t[0]);
	add_notes(c, &t[0]);
	view_grades(c, &t[1]);
	view_odd(&c->odd, &t[2]);
}
