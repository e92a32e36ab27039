#include <math.h>

#include "weigh/line_checks.h"
#include "weigh/scale_drift.h"
#include "weigh/weigh_parts.h"
#include "weigh/weigh_view_internal.h"

static const double UNLIKELY = 0.05;

/* ---- residuals */

static void say_held(const struct weigh_view *v, const struct line_checks *c, struct buf *b)
{
	if (!c->judged) {
		buf_str(b, c->nresiduals ? "Every bat is on its line." : "Too few pairs for a line.");
		return;
	}
	buf_count(b, (int64_t)c->judged, "bat");
	buf_printf(b, " foretold by the others: %zu landed in the range for %.0f %% of them (%.1f expected).", c->held, 100 * v->sure,
		v->sure * (double)c->judged);
}

static void say_furthest(const struct weigh_view *v, const struct line_checks *c, struct buf *b)
{
	const struct line_residual *r;

	if (!(c->furthest_p < UNLIKELY))
		return;
	r = &c->residual[c->furthest];
	buf_char(b, ' ');
	buf_add(b, r->pair->bat->name);
	buf_str(b, " of ");
	buf_add(b, r->pair->blank->name);
	buf_str(b, " is ");
	weigh_say_off(v, b, WEIGH_BAT, fabs(r->off.residual) / (1 - r->off.leverage), false);
	buf_printf(b, " too %s for what the others foretell (p ", r->off.residual > 0 ? "heavy" : "light");
	weigh_say_p(b, c->furthest_p);
	buf_str(b, " that one of so many is so far off); look at its masses.");
}

static void say_found(const struct line_checks *c, struct buf *b)
{
	size_t found = 0;

	for (size_t i = 0; i < c->n; i++)
		found += c->row[i].adjusted <= UNLIKELY;
	buf_char(b, ' ');
	buf_count(b, (int64_t)c->n, "check");
	if (!found) {
		buf_str(b, " of the differences from the line; chance explains them all.");
		return;
	}
	buf_str(b, " of the differences from the line; more than chance shows by ");
	for (size_t i = 0; i < found; i++)
		buf_printf(b, "%s%s", i ? ", " : "", c->row[i].what);
	buf_char(b, '.');
}

/* "+1.2 (error 0.6) g a mm" */
static void put_effect(struct table *t, const struct line_check *c)
{
	struct buf b = BUF_INIT;

	if (isnan(c->effect))
		table_absent(t);
	else {
		buf_printf(&b, "%+.3g (error %.2g) %s", c->effect, c->error, c->unit);
		table_text(t, buf_slice(&b));
	}
	buf_release(&b);
}

static void put_check(struct table *t, const struct line_check *c)
{
	table_cstr(t, c->what);
	table_int(t, (int64_t)c->n);
	table_int(t, (int64_t)c->df);
	put_effect(t, c);
	table_real(t, c->effect);
	table_real(t, c->error);
	table_cstr(t, c->unit);
	weigh_put_p(t, c->p);
	weigh_put_p(t, c->adjusted);
}

void weigh_view_checks(const struct weigh_view *v, const struct line_checks *c, struct table *t)
{
	static const struct table_column columns[] = {
		{ "what", TABLE_TEXT, 0, "what" }, { "pairs", TABLE_INT, 0, "pairs" }, { "df", TABLE_INT, 0, NULL }, { "effect", TABLE_TEXT, 0, "effect" },
		{ "effect_value", TABLE_REAL, 3, NULL }, { "effect_error", TABLE_REAL, 3, NULL }, { "effect_unit", TABLE_TEXT, 0, NULL },
		{ "p", TABLE_REAL, 3, "p" }, { "p_adjusted", TABLE_REAL, 3, "adjusted p" },
	};
	struct buf b = BUF_INIT;

	table_init(t, columns, sizeof columns / sizeof *columns);
	table_title(t, SLICE("What the differences from the line go with"), "residuals");
	say_held(v, c, &b);
	say_furthest(v, c, &b);
	if (c->n)
		say_found(c, &b);
	table_finding(t, buf_slice(&b));
	for (size_t i = 0; i < c->n; i++)
		put_check(t, &c->row[i]);
	table_note(t, SLICE("adjusted p: for false discoveries among these checks; what goes together, such as depth and edge, shows together"));
	buf_release(&b);
}

/* ---- the pairs */

static void put_pair(const struct weigh_view *v, const struct line_residual *r, struct table *t)
{
	const struct mass_pair *p = r->pair;

	table_text(t, p->bat->name);
	table_text(t, p->blank->name);
	for (int i = 0; i < MASS_KEYS; i++)
		stock_cell_word(t, stock_text(v->stock, p->key[i]));
	stock_cell_day(t, p->bat->when.day);
	weigh_put_mass(v, t, WEIGH_BLANK, p->blank_g);
	weigh_put_mass(v, t, WEIGH_BAT, p->finished_g);
	weigh_put_mass(v, t, WEIGH_BAT, r->at.value);
	weigh_put_off(v, t, WEIGH_BAT, r->off.residual, true);
	table_real(t, r->off.deleted);
	table_real(t, p->blank_g);
	table_real(t, p->finished_g);
	table_real(t, r->at.value);
	table_real(t, r->off.residual);
	table_real(t, r->off.leverage);
}

void weigh_view_pairs(const struct weigh_view *v, const struct line_checks *c, struct table *t)
{
	static const struct table_column columns[] = {
		{ "bat", TABLE_TEXT, 0, "bat" }, { "piece", TABLE_TEXT, 0, "blank" }, { "type", TABLE_TEXT, 0, "type" }, { "class", TABLE_TEXT, 0, NULL },
		{ "shape", TABLE_TEXT, 0, NULL }, { "day", TABLE_DATE, 0, "finished on" }, { "blank", TABLE_TEXT, 0, "weighed" },
		{ "finished", TABLE_TEXT, 0, "finished" }, { "foretold", TABLE_TEXT, 0, "foretold" }, { "off", TABLE_TEXT, 0, "off" },
		{ "t", TABLE_REAL, 1, "t" }, { "blank_g", TABLE_REAL, 0, NULL }, { "finished_g", TABLE_REAL, 0, NULL }, { "foretold_g", TABLE_REAL, 0, NULL },
		{ "off_g", TABLE_REAL, 0, NULL }, { "leverage", TABLE_REAL, 3, NULL },
	};
	struct buf b = BUF_INIT;

	table_init(t, columns, sizeof columns / sizeof *columns);
	table_title(t, SLICE("Pairs"), "pairs");
	say_held(v, c, &b);
	table_finding(t, buf_slice(&b));
	for (size_t i = 0; i < c->nresiduals; i++)
		put_pair(v, &c->residual[i], t);
	table_note(t, SLICE("t: the difference by its standard error, from a line without this bat; beyond 3.5 is rare among 50"));
	buf_release(&b);
}

/* ---- balances */

static void say_scale(const struct weigh_view *v, const struct scale_row *r, struct buf *b)
{
	buf_add(b, r->balance);
	buf_printf(b, " at %.0f g drifts by %+.2f g a year (%.0f %% interval %+.2f to %+.2f) and is off by %+.2f g now (%+.2f to %+.2f).", r->weight_g, r->year_g,
		100 * v->sure, r->year_low_g, r->year_high_g, r->now_g, r->now_low_g, r->now_high_g);
}

static void say_scales(const struct weigh_view *v, const struct scale_drift *d, struct buf *b)
{
	size_t drifts = 0, known = 0;

	if (!d->n) {
		buf_str(b, "No line checks a balance against a known mass; write it as meter scale1 true=1000g read=1001g.");
		return;
	}
	for (size_t i = 0; i < d->n; i++) {
		if (!isnan(d->row[i].year_g))
			known++;
		if (!(d->row[i].p < SCALE_DRIFT_UNLIKELY))
			continue;
		buf_str(b, drifts++ ? " " : "");
		say_scale(v, &d->row[i], b);
	}
	if (!known)
		buf_printf(b, "No check weight was weighed on %d days, which a drift needs.", SCALE_CHECKS_LEAST);
	else if (!drifts)
		buf_str(b, "No drift shows that chance does not explain.");
}

static void put_scale(struct table *t, const struct scale_row *r)
{
	table_text(t, r->balance);
	table_real_shown(t, r->weight_g, 0);
	table_int(t, (int64_t)r->n);
	stock_cell_day(t, r->first);
	stock_cell_day(t, r->last);
	table_real(t, r->mean_g);
	table_real(t, r->sd_g);
	table_real(t, r->last_g);
	table_real(t, r->year_g);
	table_real(t, r->year_low_g);
	table_real(t, r->year_high_g);
	weigh_put_p(t, r->p);
	table_real(t, r->now_g);
	table_real(t, r->now_low_g);
	table_real(t, r->now_high_g);
	table_real(t, r->within_g);
}

void weigh_view_scales(const struct weigh_view *v, const struct scale_drift *d, struct table *t)
{
	static const struct table_column columns[] = {
		{ "balance", TABLE_TEXT, 0, "balance" }, { "weight_g", TABLE_REAL, 0, "weight, g" }, { "checks", TABLE_INT, 0, "checks" },
		{ "first_day", TABLE_DATE, 0, NULL }, { "last_day", TABLE_DATE, 0, "last" }, { "mean_error_g", TABLE_REAL, 2, "mean error, g" },
		{ "sd_g", TABLE_REAL, 2, "sd, g" }, { "last_error_g", TABLE_REAL, 2, NULL }, { "year_g", TABLE_REAL, 2, "drift, g a year" },
		{ "year_low_g", TABLE_REAL, 2, NULL }, { "year_high_g", TABLE_REAL, 2, NULL }, { "p", TABLE_REAL, 3, "p" },
		{ "now_g", TABLE_REAL, 2, "error now, g" }, { "now_low_g", TABLE_REAL, 2, NULL }, { "now_high_g", TABLE_REAL, 2, NULL },
		{ "within_g", TABLE_REAL, 2, NULL },
	};
	struct buf b = BUF_INIT;

	table_init(t, columns, sizeof columns / sizeof *columns);
	table_title(t, SLICE("Balances"), "scales");
	say_scales(v, d, &b);
	table_finding(t, buf_slice(&b));
	for (size_t i = 0; i < d->n; i++)
		put_scale(t, &d->row[i]);
	table_note(t, SLICE("error: what was read less the mass of the weight; the lines of bats are not corrected for it"));
	buf_release(&b);
}
