#include "dry/history.h"

#include <stdlib.h>

#include "dry/charges.h"
#include "dry/learn.h"
#include "dry/prior.h"

/* How many of the last charges are learned from, as wy-dry(1) says. */
enum { CHARGES_MOST = 24 };

bool history_teaches(const struct dry_case *c)
{
	return c->end_s != INT64_MAX && c->charge.nprobes > 0;
}

static int by_end(const void *a, const void *b)
{
	const struct dry_case *x = *(const struct dry_case *const *)a, *y = *(const struct dry_case *const *)b;

	if (x->end_s != y->end_s)
		return x->end_s < y->end_s ? -1 : 1;
	return slice_cmp(x->id, y->id);
}

void history_init(struct history *h, const struct charges *charges)
{
	*h = (struct history){ .charges = charges, .ended = mem_array(charges->n, sizeof *h->ended) };
	for (size_t i = 0; i < charges->n; i++)
		if (history_teaches(&charges->cases[i]))
			h->ended[h->n++] = &charges->cases[i];
	if (h->n)
		qsort(h->ended, h->n, sizeof *h->ended, by_end);
	h->prior = mem_zeroed(h->n + 1, sizeof *h->prior);
}

void history_release(struct history *h)
{
	for (size_t i = 0; h->prior && i <= h->n; i++)
		if (h->prior[i]) {
			dry_prior_release(h->prior[i]);
			free(h->prior[i]);
		}
	free(h->prior);
	free(h->ended);
	*h = (struct history){ 0 };
}

static struct dry_prior *learn(struct history *h, size_t ended)
{
	struct dry_prior *prior = mem_array(1, sizeof *prior);
	const struct dry_charge *past[CHARGES_MOST];
	size_t n = 0;

	for (size_t i = ended > CHARGES_MOST ? ended - CHARGES_MOST : 0; i < ended; i++)
		past[n++] = &h->ended[i]->charge;
	dry_prior_init(prior);
	dry_learn(prior, past, n);
	return prior;
}

const struct dry_prior *history_prior_at(struct history *h, int64_t now_s)
{
	size_t ended = 0;

	while (ended < h->n && h->ended[ended]->end_s < now_s)
		ended++;
	if (!h->prior[ended])
		h->prior[ended] = learn(h, ended);
	return h->prior[ended];
}
