#include "weigh/scale_correction.h"

#include <math.h>

#include "book/vocab.h"
#include "house/house.h"
#include "weigh/scale_drift.h"
#include "weigh/weigh_book.h"

static const double DAYS_A_YEAR = 365.25, SURE = 0.95;

static bool weighs(const struct house_meter *meter, int32_t form)
{
	for (size_t i = 0; meter->kind == HOUSE_METER_KIND_BALANCE && i < meter->weighs.n; i++)
		if (slice_eq(meter->weighs.word[i], vocab_form(form)))
			return true;
	return false;
}

/* The one balance that a form is weighed on; NULL: none, or several. */
static const struct house_meter *balance_of(const struct house *house, int32_t form)
{
	const struct house_meter *found = NULL;

	for (size_t i = 0; house && i < house->nmeters; i++) {
		if (!weighs(&house->meters[i], form))
			continue;
		if (found)
			return NULL;
		found = &house->meters[i];
	}
	return found;
}

/* The checks of the weight nearest in mass of those with a drift; NULL: none has. */
static const struct scale_row *row_for(const struct scale_drift *d, struct slice balance, double mass_g)
{
	const struct scale_row *best = NULL;

	for (size_t i = 0; i < d->n; i++) {
		const struct scale_row *r = &d->row[i];

		if (slice_eq(r->balance, balance) && r->p < SCALE_DRIFT_UNLIKELY &&
			(!best || fabs(r->weight_g - mass_g) < fabs(best->weight_g - mass_g)))
			best = r;
	}
	return best;
}

/* The error at the weight on a day, in part of the weight. */
static double error_on(const struct scale_row *r, int32_t day, int32_t today)
{
	int32_t at = day < r->first ? r->first : day > r->last ? r->last : day;

	return (r->now_g + r->year_g * (at - today) / DAYS_A_YEAR) / r->weight_g;
}

/* One mass, in micrograms. */
static void correct(struct scale_corrected *c, const struct scale_drift *d, const struct house_meter *balance, int64_t *mass, int32_t day, int32_t today)
{
	double mass_g = (double)*mass / 1e6, more_g;
	const struct scale_row *r = *mass ? row_for(d, balance->id, mass_g) : NULL;

	if (!r)
		return;
	more_g = mass_g / (1 + error_on(r, day, today)) - mass_g;
	*mass += llround(more_g * 1e6);
	c->least_g = c->n ? fmin(c->least_g, more_g) : more_g;
	c->most_g = c->n ? fmax(c->most_g, more_g) : more_g;
	c->balance = balance->id;
	c->n++;
}

void scale_correction_apply(struct scale_correction *c, struct weigh_book *book, int32_t today)
{
	const struct house_meter *blades = balance_of(book->house, FORM_BLADE), *bats = balance_of(book->house, FORM_BAT);
	struct scale_drift d;

	*c = (struct scale_correction){ 0 };
	if (!blades && !bats)
		return;
	scale_drift_find(&d, book, today, SURE);
	for (size_t i = 0; blades && i < book->njudged; i++)
		correct(&c->form[SCALE_BLADES], &d, blades, &book->judged[i].mass, book->judged[i].when.day, today);
	for (size_t i = 0; bats && i < book->nfinished; i++)
		correct(&c->form[SCALE_BATS], &d, bats, &book->finished[i].mass, book->finished[i].when.day, today);
	scale_drift_release(&d);
}
