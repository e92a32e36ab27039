#include <stdio.h>

#include "day.h"
#include "works.h"

void truth_add(struct works *w, const char *what, const char *whom, const char *name,
	double value, int places, const char *unit)
{
	char text[24];

	buf_printf(&w->truth, "%s\t%s\t%s\t%s\t%s\n", what, whom, name,
		num_text(text, value, places), *unit ? unit : "-");
}

static const char *or_none(const char *s)
{
	return *s ? s : "-";
}

/* What is where when the day ends. */
void truth_stock(struct works *w)
{
	char date[11];

	day_text(date, w->day);
	for (size_t i = 0; i < w->shelf.n; i++) {
		const struct bucket *b = &w->shelf.v[i];

		if (b->n)
			buf_printf(&w->shelf_truth, "%s\t%s\t%s\t%s\t%s\t%s\t%d\n", date, b->key.lot,
				b->key.form, or_none(b->key.type), or_none(b->key.grade), b->key.at, b->n);
	}
}

double meter_raw(struct rng *r, double mc, double wood_c)
{
	return (mc + PIN_SD * rng_normal(r) - PIN_A) / PIN_B + PIN_PER10C * (wood_c - 20) / 10;
}

char *reading_text(char *out, double raw)
{
	char number[24];

	if (raw > 30)
		snprintf(out, 24, "30%%+");
	else if (raw < 6)
		snprintf(out, 24, "6%%-");
	else
		snprintf(out, 24, "%.20s%%", num_text(number, raw, 1));
	return out;
}

struct lot *lot_new(struct works *w, const char *id, const struct source *src)
{
	struct lot *l = mem_zeroed(1, sizeof *l);

	l->id = shelf_name(&w->shelf, id);
	l->source = l->graded_like = src;
	l->born = w->day;
	w->lots = mem_grow(w->lots, &w->lots_cap, w->lots_n + 1, sizeof *w->lots);
	return w->lots[w->lots_n++] = l;
}

struct lot *lot_find(struct works *w, const char *id)
{
	for (size_t i = 0; i < w->lots_n; i++)
		if (strcmp(w->lots[i]->id, id) == 0)
			return w->lots[i];
	stop("no lot %s", id);
}

struct key key_of(struct works *w, const struct lot *lot, const char *form, const char *type,
	const char *grade, const char *at)
{
	return shelf_key(&w->shelf, lot->id, form, type, grade, at);
}
