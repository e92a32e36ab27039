#include "moist/moist_rows.h"

#include <stdlib.h>

#include "base/parallel.h"
#include "moist/moist_rows_internal.h"

/* Readings that are worth a thread. */
enum { SHARE_LEAST = 32 * 1024 };

void moist_rows_init(struct moist_rows *m, const struct moist_ask *ask, const struct reading_facts *facts)
{
	*m = (struct moist_rows){ .ask = ask, .facts = facts };
}

void moist_rows_release(struct moist_rows *m)
{
	for (size_t i = 0; i < m->nshares; i++)
		moist_share_release(&m->share[i]);
	free(m->share);
	free(m->rule);
	free(m->part);
	free(m->first);
	free(m->value);
}

/* ---- keys and ends in words */

static void day_of_period(size_t by, uint32_t period, struct buf *out)
{
	if (by == MOIST_BY_DAY)
		day_write(out, (int32_t)((int64_t)period - MOIST_DAY_BIAS));
	else
		buf_printf(out, "%04u-%02u", period / 12, period % 12 + 1);
}

void moist_row_key(const struct moist_rows *m, const struct moist_row *row, size_t k, struct buf *out)
{
	if (m->ask->by[k] >= MOIST_BY_MONTH)
		day_of_period(m->ask->by[k], row->key[k], out);
	else
		buf_add(out, readings_name(m->facts->readings, row->key[k]));
}

void moist_row_end_write(const struct moist_rows *m, const struct moist_end *end, struct buf *out)
{
	moist_end_write(m->facts->readings, end, out);
}

/* ---- the shares */

static void fill_share(void *rows, size_t i)
{
	moist_share_fill(&((struct moist_rows *)rows)->share[i]);
}

static void start_shares(struct moist_rows *m, uint64_t readings, size_t jobs)
{
	size_t most = parallel_jobs(jobs);

	m->nshares = readings / SHARE_LEAST < most ? (size_t)(readings / SHARE_LEAST) : most;
	m->nshares = m->nshares ? m->nshares : 1;
	m->share = mem_array(m->nshares, sizeof *m->share);
	for (size_t i = 0; i < m->nshares; i++)
		moist_share_init(&m->share[i], m, i, m->nshares);
}

/* ---- their rows as one */

struct ranked {
	const struct moist_rows *m;
	struct moist_row *row;
};

static int row_order(const void *a, const void *b)
{
	const struct ranked *x = a, *y = b;
	const struct moist_rows *m = x->m;
	int order = 0;

	for (size_t k = 0; k < m->ask->nby && !order; k++) {
		uint32_t p = x->row->key[k], q = y->row->key[k];

		if (m->ask->by[k] >= MOIST_BY_MONTH)
			order = (p > q) - (p < q);
		else if (p != q)
			order = slice_cmp(readings_name(m->facts->readings, p), readings_name(m->facts->readings, q));
	}
	return order;
}

/* The rows of all shares in order. */
static size_t sort_parts(struct moist_rows *m)
{
	struct ranked *ranked;
	size_t n = 0;

	for (size_t i = 0; i < m->nshares; i++)
		n += m->share[i].n;
	ranked = mem_array(n, sizeof *ranked);
	n = 0;
	for (size_t i = 0; i < m->nshares; i++)
		for (size_t k = 0; k < m->share[i].n; k++)
			ranked[n++] = (struct ranked){ m, &m->share[i].row[k] };
	if (n)
		qsort(ranked, n, sizeof *ranked, row_order);
	m->part = mem_array(n, sizeof *m->part);
	for (size_t i = 0; i < n; i++)
		m->part[i] = ranked[i].row;
	free(ranked);
	return n;
}

/* Those of one key become the first of them. */
static void join_rows(struct moist_rows *m)
{
	size_t n = sort_parts(m);

	m->first = mem_array(n + 1, sizeof *m->first);
	for (size_t i = 0; i < n; i++) {
		struct moist_row *row = m->part[i], *held = m->n ? m->part[m->first[m->n - 1]] : NULL;

		if (held && !memcmp(held->key, row->key, m->ask->nby * sizeof *row->key)) {
			moist_share_add_row(&m->share[0], held, row);
			continue;
		}
		row->at = (uint32_t)m->n;
		m->first[m->n++] = (uint32_t)i;
	}
	m->first[m->n] = (uint32_t)n;
}

struct named_rule {
	struct slice meter;
	struct moist_rule rule;
};

static int rule_order(const void *a, const void *b)
{
	const struct named_rule *x = a, *y = b;
	int32_t p = x->rule.line ? x->rule.line->from : INT32_MIN, q = y->rule.line ? y->rule.line->from : INT32_MIN;
	int order = slice_cmp(x->meter, y->meter);

	return order ? order : (p > q) - (p < q);
}

static void sort_rules(struct moist_rows *m)
{
	struct named_rule *list = mem_array(m->nrules, sizeof *list);

	for (size_t i = 0; i < m->nrules; i++)
		list[i] = (struct named_rule){ readings_name(m->facts->readings, m->rule[i].meter), m->rule[i] };
	if (m->nrules)
		qsort(list, m->nrules, sizeof *list, rule_order);
	for (size_t i = 0; i < m->nrules; i++)
		m->rule[i] = list[i].rule;
	free(list);
}

static void add_rule(struct moist_rows *m, const struct moist_rule *rule)
{
	size_t i = 0;

	while (i < m->nrules && (m->rule[i].meter != rule->meter || m->rule[i].line != rule->line))
		i++;
	if (i == m->nrules) {
		m->rule = mem_grow(m->rule, &m->rules_cap, m->nrules + 1, sizeof *m->rule);
		m->rule[m->nrules++] = *rule;
		return;
	}
	m->rule[i].beyond += rule->beyond;
	m->rule[i].least_pct = rule->least_pct < m->rule[i].least_pct ? rule->least_pct : m->rule[i].least_pct;
	m->rule[i].most_pct = rule->most_pct > m->rule[i].most_pct ? rule->most_pct : m->rule[i].most_pct;
}

static void join_rules(struct moist_rows *m)
{
	for (size_t i = 0; i < m->nshares; i++)
		for (size_t k = 0; k < m->share[i].nrules; k++)
			add_rule(m, &m->share[i].rule[k]);
	sort_rules(m);
}

void moist_rows_fill(struct moist_rows *m, struct readings *readings, size_t jobs)
{
	const struct parallel p = { fill_share, NULL, m };

	readings_settle(readings);
	start_shares(m, readings->notes, jobs);
	parallel_run(&p, m->nshares, m->nshares);
	for (size_t i = 0; i < m->nshares; i++)
		readings->error = readings->error ? readings->error : m->share[i].error;
	join_rules(m);
	join_rows(m);
}

const struct moist_row *moist_row_at(const struct moist_rows *m, size_t i)
{
	return m->part[m->first[i]];
}

static int text_order(const void *a, const void *b)
{
	return slice_cmp(*(const struct slice *)a, *(const struct slice *)b);
}

/* The rules of all parts of a row, in the order of their texts; some are there more than once. */
static size_t rules_of_parts(const struct moist_rows *m, const struct moist_row *row, struct slice **text)
{
	size_t n = 0, cap = 0;

	*text = NULL;
	for (uint32_t i = m->first[row->at]; i < m->first[row->at + 1]; i++) {
		const struct moist_share *share = &m->share[m->part[i]->share];
		const char *rules;
		size_t more = moist_share_rules(share, m->part[i], &rules);

		*text = mem_grow(*text, &cap, n + more, sizeof **text);
		for (size_t k = 0; k < more; k++)
			(*text)[n++] = moist_share_rule(share, rules, k);
	}
	if (n)
		qsort(*text, n, sizeof **text, text_order);
	return n;
}

void moist_row_rules_write(const struct moist_rows *m, const struct moist_row *row, struct buf *out)
{
	struct slice *text;
	size_t n = rules_of_parts(m, row, &text);

	for (size_t i = 0; i < n; i++) {
		if (i && slice_eq(text[i - 1], text[i]))
			continue;
		if (i)
			buf_str(out, "; ");
		buf_add(out, text[i]);
	}
	free(text);
}

/* ---- what the views see */

static void add_values(struct moist_rows *m, struct moist_share *share, const struct reading *r, uint32_t piece, uint16_t n)
{
	const struct moist_value value = moist_share_value(share, r, piece);

	m->value = mem_grow(m->value, &m->values_cap, m->nvalues + n, sizeof *m->value);
	for (uint16_t i = 0; i < n; i++)
		m->value[m->nvalues++] = value;
}

static int value_order(const void *a, const void *b)
{
	const struct moist_value *x = a, *y = b;

	if (x->depth != y->depth)
		return x->depth < y->depth ? -1 : 1;
	if (x->form != y->form)
		return x->form < y->form ? -1 : 1;
	return (x->mc > y->mc) - (x->mc < y->mc);
}

/* A source in the order of its words, so that what is reckoned of pieces in turn is always the same. */
struct worded {
	struct moist_share *share;
	const struct moist_source *source;
};

static int word_order(const void *a, const void *b)
{
	const struct worded *x = a, *y = b;
	const struct readings *r = x->share->facts->readings;
	int order = slice_cmp(readings_name(r, x->source->a), readings_name(r, y->source->a));

	return order ? order : slice_cmp(readings_name(r, x->source->b), readings_name(r, y->source->b));
}

/* The sources of a row's parts. */
static struct worded *worded_sources(const struct moist_rows *m, size_t row, size_t *n)
{
	struct worded *list;

	*n = 0;
	for (uint32_t i = m->first[row]; i < m->first[row + 1]; i++)
		*n += m->part[i]->items;
	list = mem_array(*n, sizeof *list);
	*n = 0;
	for (uint32_t i = m->first[row]; i < m->first[row + 1]; i++) {
		struct moist_share *share = &m->share[m->part[i]->share];

		for (uint32_t k = 0; k < m->part[i]->items; k++)
			list[(*n)++] = (struct worded){ share, &share->source[share->item[m->part[i]->first + k]] };
	}
	if (m->ask->by_depth && *n)
		qsort(list, *n, sizeof *list, word_order);
	return list;
}

struct moist_run moist_row_values(struct moist_rows *m, size_t i)
{
	size_t n;
	struct worded *list = worded_sources(m, i, &n);
	uint32_t piece = 0;

	m->nvalues = 0;
	for (size_t k = 0; k < n; k++) {
		struct moist_share *share = list[k].share;
		const struct moist_source *s = list[k].source;

		piece += !k || word_order(&list[k - 1], &list[k]);
		for (uint32_t at = moist_first_counted(s); at != MOIST_NONE; at = moist_after_counted(share, s, at))
			add_values(m, share, moist_counted_at(share, s, at), s->at_random ? 0 : piece, moist_times_counted(share, s, at));
	}
	free(list);
	if (m->nvalues)
		qsort(m->value, m->nvalues, sizeof *m->value, value_order);
	return (struct moist_run){ m->value, m->nvalues };
}

bool moist_rows_beyond(const struct moist_rows *m, size_t i, struct moist_beyond *beyond)
{
	const struct moist_rule *rule;

	if (i >= m->nrules)
		return false;
	rule = &m->rule[i];
	*beyond = (struct moist_beyond){ readings_name(m->facts->readings, rule->meter), rule->line, rule->beyond, rule->least_pct, rule->most_pct };
	return true;
}

struct sums moist_run_sums(struct moist_run run)
{
	struct sums sums = { 0 };

	for (size_t i = 0; i < run.n; i++)
		if (run.v[i].mark == VALUE_EXACT)
			sums_add(&sums, run.v[i].mc);
	return sums;
}
