#include <math.h>

#include "dry/dry_view_internal.h"

static void write_date(struct dry_reasons *r, double days)
{
	day_write(&r->text, charges_day(r->ask->charges, r->s->c->load_s + llround(days * DAY_S)));
}

static void write_probe(struct dry_reasons *r, size_t probe)
{
	buf_str(&r->text, "probe ");
	buf_add(&r->text, dry_label_of(r->s, probe));
}

static void write_left(struct dry_reasons *r, const struct dry_warning *w)
{
	const struct dry_snapshot *s = r->s;
	const struct dry_run run = dry_run_of(s->rule, &s->known[w->probe], s->now);

	buf_str(&r->text, "by the model ");
	write_probe(r, w->probe);
	buf_printf(&r->text, " is at %.1f %% now, %s the band; its last reading was %.1f %% on ", w->value, w->value > s->rule->high ? "above" : "below", run.last);
	write_date(r, w->days);
	if (w->limit > 1)
		buf_printf(&r->text, "; %.0f of %zu probes have left the band", w->limit, s->n);
	buf_str(&r->text, "; read the probes again");
}

static void write_out(struct dry_reasons *r, const struct dry_warning *w)
{
	const struct dry_rule *rule = r->s->rule;
	struct slice label = dry_label_of(r->s, w->probe);

	write_probe(r, w->probe);
	buf_str(&r->text, " came out on ");
	write_date(r, w->days);
	buf_printf(&r->text, " at %.1f %%, ", w->value);
	if (w->limit > 0)
		buf_printf(&r->text, "after %.0f of the %d consecutive readings needed", w->limit, rule->readings);
	else
		buf_str(&r->text, "outside the band");
	buf_printf(&r->text, "; put it in again, or read its piece and write mc=%.*s: with the reading", (int)label.n, label.p);
}

void dry_write_doubt(struct dry_reasons *r, const struct dry_warning *w)
{
	switch (w->sign) {
	case DRY_LEFT_BAND:
		write_left(r, w);
		break;
	case DRY_OUT_WET:
		write_out(r, w);
		break;
	case DRY_NO_WOOD:
		write_probe(r, w->probe);
		buf_str(&r->text, " was read on ");
		write_date(r, w->days);
		buf_str(&r->text, " without wood=, the temperature of the wood, which its meter's correction needs; add it to that line");
		break;
	default:
		write_probe(r, w->probe);
		buf_printf(&r->text, " was last read %.1f hours after a reading that counts; readings must be %.3g hours apart to count as two", w->value, w->limit);
		break;
	}
}
