#include "weigh/weigh_view_internal.h"

#include <math.h>

#include "book/line.h"
#include "house/house.h"
#include "weigh/weigh_parts.h"

static const double OUNCE_G = 28.349523125;

static int unit_of(const struct weigh_view *v, enum weigh_of of)
{
	return !v->house ? UNIT_MASS_G : of == WEIGH_BAT ? v->house->units.bat_mass : v->house->units.mass;
}

void weigh_say_mass(const struct weigh_view *v, struct buf *b, enum weigh_of of, double mass_g)
{
	value_write_mass(b, unit_of(v, of), (int64_t)nearbyint(fmax(mass_g, 0) * 1e6));
}

void weigh_say_off(const struct weigh_view *v, struct buf *b, enum weigh_of of, double off_g, bool sign)
{
	int unit = unit_of(v, of);
	bool ounces = unit == UNIT_MASS_LB || unit == UNIT_MASS_OZ;
	double shown = ounces ? nearbyint(off_g / OUNCE_G * 10) / 10 : nearbyint(off_g);

	shown = shown == 0 ? 0 : shown;
	buf_printf(b, sign && shown > 0 ? "+%.*f%s" : "%.*f%s", ounces ? 1 : 0, shown, ounces ? "oz" : "g");
}

static void put_text(struct table *t, struct buf *b)
{
	table_text(t, buf_slice(b));
	buf_release(b);
}

void weigh_put_mass(const struct weigh_view *v, struct table *t, enum weigh_of of, double mass_g)
{
	struct buf b = BUF_INIT;

	if (isnan(mass_g)) {
		table_absent(t);
		return;
	}
	weigh_say_mass(v, &b, of, mass_g);
	put_text(t, &b);
}

void weigh_put_off(const struct weigh_view *v, struct table *t, enum weigh_of of, double off_g, bool sign)
{
	struct buf b = BUF_INIT;

	if (isnan(off_g)) {
		table_absent(t);
		return;
	}
	weigh_say_off(v, &b, of, off_g, sign);
	put_text(t, &b);
}

static int places_of(double p)
{
	return p < 0.0005 ? 5 : p < 0.005 ? 4 : 3;
}

void weigh_say_p(struct buf *b, double p)
{
	buf_printf(b, "%.*f", places_of(p), p);
}

void weigh_put_p(struct table *t, double p)
{
	table_real_shown(t, p, (unsigned)places_of(p));
}

/* "1421 weighings of bats by -0.3 to -1.2 g (s1)" */
static void say_corrected(struct buf *b, const struct scale_corrected *c, const char *things)
{
	if (!c->n)
		return;
	buf_str(b, b->n ? "; " : "corrected by the drift of their balance: ");
	buf_count(b, (int64_t)c->n, "weighing");
	buf_printf(b, " of %s by %+.1f to %+.1f g (", things, c->least_g, c->most_g);
	buf_add(b, c->balance);
	buf_char(b, ')');
}

void weigh_note_corrected(struct table *t, const struct weigh_parts *parts)
{
	struct buf b = BUF_INIT;

	say_corrected(&b, &parts->corrected.form[SCALE_BLADES], "blades");
	say_corrected(&b, &parts->corrected.form[SCALE_BATS], "bats");
	if (b.n) {
		buf_str(&b, "; --as-weighed leaves it out");
		table_note(t, buf_slice(&b));
	}
	buf_release(&b);
}

void weigh_note_more(struct table *t, size_t left_out, const char *thing)
{
	struct buf b = BUF_INIT;

	if (!left_out)
		return;
	buf_count(&b, (int64_t)left_out, thing);
	buf_str(&b, " more: --as tsv prints all");
	table_note(t, buf_slice(&b));
	buf_release(&b);
}
