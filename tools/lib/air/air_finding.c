#include "air/air_finding.h"

#include <stdlib.h>

#include "table/table.h"

enum { NAMED_MOST = 4 };

void air_shares_add(struct air_shares *shares, struct slice place, double judged, double in)
{
	size_t i = 0;

	while (i < shares->n && !slice_eq(shares->list[i].place, place))
		i++;
	if (i == shares->n) {
		shares->list = mem_grow(shares->list, &shares->cap, shares->n + 1, sizeof *shares->list);
		shares->list[shares->n++] = (struct air_share){ .place = place };
	}
	shares->list[i].judged += judged;
	shares->list[i].in += in;
}

void air_shares_release(struct air_shares *shares)
{
	free(shares->list);
	*shares = (struct air_shares){ NULL, 0, 0 };
}

static double per_cent(const struct air_share *s)
{
	return 100 * s->in / s->judged;
}

static void add_place(struct buf *out, const struct air_share *s)
{
	if (s->place.n)
		buf_add(out, s->place);
	else
		buf_str(out, "The air");
}

/* Only the worst and the best, where there are many. */
static void add_extremes(struct buf *out, const struct air_shares *shares, size_t judged, const char *band, const char *of)
{
	const struct air_share *low = NULL, *high = NULL;

	for (size_t i = 0; i < shares->n; i++) {
		const struct air_share *s = &shares->list[i];

		if (!(s->judged > 0))
			continue;
		low = !low || per_cent(s) < per_cent(low) ? s : low;
		high = !high || per_cent(s) > per_cent(high) ? s : high;
	}
	add_place(out, low);
	buf_printf(out, " was in %s %.1f %% %s, the least of %zu places; ", band, per_cent(low), of, judged);
	add_place(out, high);
	buf_printf(out, " %.1f %%, the most.", per_cent(high));
}

static void add_each(struct buf *out, const struct air_shares *shares, const char *band, const char *of)
{
	for (size_t i = 0; i < shares->n; i++) {
		const struct air_share *s = &shares->list[i];
		bool first = !out->n;

		if (!(s->judged > 0))
			continue;
		buf_str(out, first ? "" : ", ");
		add_place(out, s);
		if (first)
			buf_printf(out, " was in %s %.1f %% %s", band, per_cent(s), of);
		else
			buf_printf(out, " %.1f %%", per_cent(s));
	}
	buf_char(out, '.');
}

void air_shares_find(const struct air_shares *shares, struct table *t, const char *band, const char *of)
{
	struct buf text = BUF_INIT;
	size_t judged = 0;

	for (size_t i = 0; i < shares->n; i++)
		judged += shares->list[i].judged > 0;
	if (judged > NAMED_MOST)
		add_extremes(&text, shares, judged, band, of);
	else if (judged)
		add_each(&text, shares, band, of);
	if (text.n)
		table_finding(t, buf_slice(&text));
	buf_release(&text);
}
