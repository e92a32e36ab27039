#include "wood/reckoned.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

/* A value in the base unit, in another unit of the type. */
static double in_unit(double base, int unit)
{
	const struct unit_def *u = vocab_unit(unit);

	return base * (double)u->over * pow(10, u->times_places) / (double)u->times - (double)u->plus;
}

/* As many places as it has, within reason: for reading. */
static unsigned places_of(double v)
{
	unsigned most = v != 0 && fabs(v) < 1 ? (unsigned)(3 - floor(log10(fabs(v)))) : 4, places = 0;

	while (places < most && fabs(v * pow(10, places) - round(v * pow(10, places))) > 1e-9)
		places++;
	return places;
}

static unsigned places_in(const struct reckon_gives *g, int unit)
{
	if (g->unit)
		return g->places;
	return unit == UNIT_MASS_G ? 1 : g->places;
}

bool reckoned_give(struct reckoned *r, double value)
{
	const struct reckon_gives *g = &r->way->gives[r->n];
	struct reckoned_row *row = &r->row[r->n];

	reckon_row_named(r->way, (int)r->n, r->in, &row->name, &row->unit);
	row->value = g->name && !g->unit ? in_unit(value, r->in[0].unit) : value;
	row->places = g->name ? places_in(g, r->in[0].unit) : places_of(value);
	r->n++;
	return true;
}

static void add_text(struct reckoned *r, enum reckoned_kind kind, const char *fmt, va_list ap)
{
	char line[800];
	size_t at = r->words.n;

	if (r->ntexts == RECKON_TEXTS)
		return;
	vsnprintf(line, sizeof line, fmt, ap);
	buf_str(&r->words, line);
	r->text[r->ntexts].kind = kind;
	r->text[r->ntexts].at = at;
	r->text[r->ntexts++].n = r->words.n - at;
}

void reckoned_finding(struct reckoned *r, const char *fmt, ...)
{
	va_list ap;

	va_start(ap, fmt);
	add_text(r, RECKONED_FINDING, fmt, ap);
	va_end(ap);
}

void reckoned_note(struct reckoned *r, const char *fmt, ...)
{
	va_list ap;

	va_start(ap, fmt);
	add_text(r, RECKONED_NOTE, fmt, ap);
	va_end(ap);
}

void reckoned_caution(struct reckoned *r, const char *fmt, ...)
{
	va_list ap;

	va_start(ap, fmt);
	add_text(r, RECKONED_CAUTION, fmt, ap);
	va_end(ap);
}

bool reckoned_refuse(struct reckoned *r, const char *fmt, ...)
{
	char line[1000];
	va_list ap;

	va_start(ap, fmt);
	vsnprintf(line, sizeof line, fmt, ap);
	va_end(ap);
	r->refusal.n = 0;
	buf_str(&r->refusal, line);
	return false;
}

struct slice reckoned_text(const struct reckoned *r, size_t i)
{
	return (struct slice){ r->words.p + r->text[i].at, r->text[i].n };
}

void reckoned_release(struct reckoned *r)
{
	buf_release(&r->words);
	buf_release(&r->refusal);
}
