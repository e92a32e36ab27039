#include "stock/stock_view.h"

#include <stdlib.h>

#include "book/value.h"
#include "house/house.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"
#include "table/number_text.h"

const char *const stock_by_words[] = { "place", "form", "type", "grade", "class", "lot", "age", NULL };

struct row {
	struct slice key[STOCK_KEYS];  /* in the order of `by` */
	int rank[STOCK_KEYS];          /* of a form: as it goes through the works; of a grade and a class: as the house lists them */
	struct stock_part sum;
};

static int by_keys(const void *a, const void *b)
{
	const struct row *x = a, *y = b;
	int order = 0;

	for (int i = 0; !order && i < STOCK_KEYS; i++) {
		order = (x->rank[i] > y->rank[i]) - (x->rank[i] < y->rank[i]);
		order = order ? order : slice_cmp(x->key[i], y->key[i]);
	}
	return order;
}

static struct slice key_of(const struct stock *s, const struct stock_ask *ask, const struct stock_part *p, size_t by)
{
	const struct stock_kind *k = &p->kind;
	const uint32_t id[STOCK_KEYS] = { [STOCK_BY_PLACE] = k->place, [STOCK_BY_TYPE] = k->type, [STOCK_BY_GRADE] = k->grade,
		[STOCK_BY_CLASS] = k->class, [STOCK_BY_LOT] = k->lot };

	if (by == STOCK_BY_AGE)
		return ask->facts ? ask->facts->band[p->band] : SLICE("");
	return by == STOCK_BY_FORM ? vocab_form(k->form) : stock_text(s, id[by]);
}

/* Pieces without a grade or a class come before those with one. */
static int rank_of(const struct stock *s, const struct stock_ask *ask, const struct stock_part *p, size_t by)
{
	const struct stock_kind *k = &p->kind;

	switch (by) {
	case STOCK_BY_FORM:
		return k->form;
	case STOCK_BY_GRADE:
		return k->grade ? house_grade_order(s->house, ask->today, stock_text(s, k->grade)) : -1;
	case STOCK_BY_CLASS:
		return k->class ? house_class_order(s->house, stock_text(s, k->class)) : -1;
	case STOCK_BY_AGE:
		return -(int)p->band;   /* the oldest first */
	default:
		return 0;
	}
}

static struct row row_of(const struct stock *s, const struct stock_ask *ask, const struct stock_part *p)
{
	struct row row = { .sum = *p };

	for (size_t i = 0; i < ask->nby; i++) {
		row.key[i] = key_of(s, ask, p, ask->by[i]);
		row.rank[i] = rank_of(s, ask, p, ask->by[i]);
	}
	return row;
}

static struct row *rows_of_facts(const struct stock *s, const struct stock_ask *ask, size_t *n)
{
	const struct stock_facts *facts = ask->facts;
	struct row *rows = mem_array(facts->nparts, sizeof *rows);

	*n = facts->nparts;
	for (size_t i = 0; i < *n; i++)
		rows[i] = row_of(s, ask, &facts->part[i]);
	return rows;
}

static void add_part(struct stock_part *to, const struct stock_part *p)
{
	to->n += p->n;
	to->since = p->since < to->since ? p->since : to->since;
	to->must_rest += p->must_rest;
	to->resting += p->resting;
	to->rested = p->rested > to->rested ? p->rested : to->rested;
	to->value += p->value;
	to->read += p->read;
	to->airy += p->airy;
	to->mc += p->mc;
	to->air += p->air;
	to->read_day = p->read_day > to->read_day ? p->read_day : to->read_day;
}

/* A text that comes from one place is the same text; those that are only alike become one row later. */
static uint64_t hash_of(const struct row *row, size_t nby)
{
	uint64_t hash = 0;

	for (size_t i = 0; i < nby; i++)
		hash = hash_mix(hash ^ (uint64_t)(uintptr_t)row->key[i].p) + (uint64_t)row->rank[i];
	return hash_mix(hash);
}

static bool same_keys(const struct row *x, const struct row *y, size_t nby)
{
	for (size_t i = 0; i < nby; i++)
		if (x->key[i].p != y->key[i].p || x->key[i].n != y->key[i].n || x->rank[i] != y->rank[i])
			return false;
	return true;
}

/* Puts the pieces into the row of their keys; a new one is `n`. */
static bool add_to_row(struct row *rows, struct hash_index *index, const struct row *row, size_t nby, size_t n)
{
	uint64_t hash = hash_of(row, nby);
	struct hash_probe p = hash_probe_of(index, hash);

	while (hash_probe_next(index, &p))
		if (same_keys(&rows[p.row], row, nby)) {
			add_part(&rows[p.row].sum, &row->sum);
			return false;
		}
	hash_index_add(index, hash, (uint32_t)n);
	return true;
}

static struct row *rows_of_buckets(const struct stock *s, const struct stock_ask *ask, size_t *n)
{
	size_t nbuckets, cap = 0;
	const struct stock_bucket *b = stock_buckets(s, &nbuckets);
	struct hash_index index = { .n = 0 };
	struct row *rows = mem_grow(NULL, &cap, 1, sizeof *rows);

	*n = 0;
	for (size_t i = 0; i < nbuckets; i++) {
		struct row row;

		if (b[i].n <= 0 || b[i].kind.place == s->sold)
			continue;
		row = row_of(s, ask, &(struct stock_part){ .kind = b[i].kind, .n = b[i].n, .since = b[i].since });
		if (!add_to_row(rows, &index, &row, ask->nby, *n))
			continue;
		rows = mem_grow(rows, &cap, *n + 1, sizeof *rows);
		rows[(*n)++] = row;
	}
	hash_index_release(&index);
	return rows;
}

/* The rows, sorted, one for each set of keys; the caller frees them. */
static struct row *rows_of(const struct stock *s, const struct stock_ask *ask, size_t *n)
{
	size_t all, kept = 0;
	struct row *rows = ask->facts ? rows_of_facts(s, ask, &all) : rows_of_buckets(s, ask, &all);

	if (all)
		qsort(rows, all, sizeof *rows, by_keys);
	for (size_t i = 0; i < all; i++)
		if (kept && by_keys(&rows[kept - 1], &rows[i]) == 0)
			add_part(&rows[kept - 1].sum, &rows[i].sum);
		else
			rows[kept++] = rows[i];
	*n = kept;
	return rows;
}

/* ---- the finding: how many pieces, where most of them are, and the oldest */

static int by_age(const struct stock *s, const struct stock_bucket *x, const struct stock_bucket *y)
{
	int order = (x->since > y->since) - (x->since < y->since);

	order = order ? order : (x->kind.form > y->kind.form) - (x->kind.form < y->kind.form);
	order = order ? order : slice_cmp(stock_text(s, x->kind.place), stock_text(s, y->kind.place));
	return order ? order : slice_cmp(stock_text(s, x->kind.type), stock_text(s, y->kind.type));
}

static void say_oldest(const struct stock *s, int32_t today, const struct stock_bucket *b, struct buf *text)
{
	buf_str(text, " The oldest has been a ");
	buf_add(text, vocab_form(b->kind.form));
	buf_str(text, " for ");
	stock_say_count(text, today - b->since, SLICE("day"));
	buf_str(text, ", and is at ");
	buf_add(text, stock_text(s, b->kind.place));
	buf_char(text, '.');
}

/* Where most of the pieces are: " in 9 places; the most, 1589, are at store/r1". */
static void say_places(const struct stock *s, const int64_t *at, struct buf *text)
{
	uint32_t most = 0, places = 0;

	for (uint32_t id = 1; id < s->ids.n; id++) {
		places += at[id] > 0;
		if (at[id] > at[most] || (at[id] && at[id] == at[most] && slice_cmp(stock_text(s, id), stock_text(s, most)) < 0))
			most = id;
	}
	if (places > 1) {
		buf_str(text, " in ");
		stock_say_count(text, places, SLICE("place"));
		buf_printf(text, "; the most, %lld, are", (long long)at[most]);
	}
	buf_str(text, " at ");
	buf_add(text, stock_text(s, most));
	buf_char(text, '.');
}

/* How many are in the oldest band, where the rows go by age. */
static void say_old(const struct stock_ask *ask, const struct row *rows, size_t n, struct buf *text)
{
	int64_t old = 0;

	for (size_t i = 0; i < n; i++)
		old += rows[i].sum.band + 1 == ask->facts->nbands ? rows[i].sum.n : 0;
	if (stock_ask_has(ask, STOCK_BY_AGE)) {
		struct slice last = ask->facts->band[ask->facts->nbands - 1];

		buf_printf(text, " %lld %s had that form for ", (long long)old, PLURAL(old, "has", "have"));
		buf_add(text, slice_upto(last, last.n - 2)); /* without ".." */
		buf_str(text, " weeks or more.");
	}
}

/* What is asked of the facts, of all rows together. */
static void say_facts(const struct stock_ask *ask, const struct row *rows, size_t n, struct buf *text)
{
	struct stock_part all = { .since = INT32_MAX, .rested = INT32_MIN, .read_day = INT32_MIN };

	for (size_t i = 0; i < n; i++)
		add_part(&all, &rows[i].sum);
	say_old(ask, rows, n, text);
	if (ask->facts->rest && all.must_rest)
		buf_printf(text, " %lld of the %lld that must rest have not rested long enough.", (long long)all.resting, (long long)all.must_rest);
	else if (ask->facts->rest)
		buf_str(text, " The house file has no rest for any of them.");
	if (ask->facts->moisture && all.read)
		buf_printf(text, " Of %lld a moisture is known, %.1f %% in the mean.", (long long)all.read, (double)all.mc / (double)all.read / VALUE_STEPS);
	if (ask->facts->value) {
		buf_str(text, " They are worth ");
		buf_fixed(text, all.value, ask->facts->places);
		buf_char(text, ' ');
		buf_add(text, ask->facts->currency);
		buf_str(text, " at cost.");
	}
}

static void say_stock(const struct stock *s, const struct stock_ask *ask, const struct row *rows, size_t nrows, struct table *t)
{
	size_t n;
	const struct stock_bucket *b = stock_buckets(s, &n), *oldest = NULL;
	int64_t *at = mem_zeroed(s->ids.n, sizeof *at), total = 0;
	struct buf text = BUF_INIT;

	for (size_t i = 0; i < n; i++)
		if (b[i].n > 0 && b[i].kind.place != s->sold) {
			total += b[i].n;
			at[b[i].kind.place] += b[i].n;
			oldest = !oldest || by_age(s, &b[i], oldest) < 0 ? &b[i] : oldest;
		}
	buf_str(&text, "On ");
	stock_say_day(&text, ask->today);
	buf_str(&text, PLURAL(total, " there is ", " there are "));
	stock_say_count(&text, total, SLICE("piece"));
	if (oldest) {
		say_places(s, at, &text);
		say_oldest(s, ask->today, oldest, &text);
	} else {
		buf_str(&text, " in stock.");
	}
	if (ask->facts)
		say_facts(ask, rows, nrows, &text);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
	free(at);
}

/* ---- the table */

static void column(struct table *t, const char *name, enum table_type type, unsigned places, const char *heading)
{
	table_add_column(t, name, type, places);
	table_heading(t, heading);
}

static void start_table(const struct stock_ask *ask, struct table *t)
{
	const struct stock_facts *f = ask->facts;

	table_init(t, (const struct table_column[]){ { "as_of", TABLE_DATE, 0, NULL } }, 1);
	for (size_t i = 0; i < ask->nby; i++)
		column(t, stock_by_words[ask->by[i]], TABLE_TEXT, 0, ask->by[i] == STOCK_BY_AGE ? "age, weeks" : stock_by_words[ask->by[i]]);
	column(t, "count", TABLE_INT, 0, "pieces");
	column(t, "oldest_days", TABLE_INT, 0, "oldest, days");
	if (f && f->rest) {
		column(t, "must_rest", TABLE_INT, 0, NULL);
		column(t, "resting", TABLE_INT, 0, "resting");
		column(t, "rested_on", TABLE_DATE, 0, "until");
	}
	if (f && f->moisture) {
		column(t, "read", TABLE_INT, 0, NULL);
		column(t, "mc_mean_pct", TABLE_REAL, 1, "MC, %");
		column(t, "read_on", TABLE_DATE, 0, "read on");
		column(t, "air_emc_pct", TABLE_REAL, 1, "air, %");
	}
	if (f && f->value) {
		column(t, "currency", TABLE_TEXT, 0, NULL);
		column(t, "value", TABLE_FIXED, f->places, "value");
	}
}

static void put_day(struct table *t, int32_t day)
{
	if (day == INT32_MIN)
		table_absent(t);
	else
		stock_cell_day(t, day);
}

static void put_mean(struct table *t, int64_t sum, int64_t n)
{
	if (n)
		table_real(t, (double)sum / (double)n / VALUE_STEPS);
	else
		table_absent(t);
}

static void put_rest(struct table *t, const struct stock_part *p)
{
	table_int(t, p->must_rest);
	if (p->must_rest)
		table_int(t, p->resting);
	else
		table_absent(t);
	put_day(t, p->rested);
}

static void put_facts(const struct stock_facts *f, struct table *t, const struct stock_part *p)
{
	if (f->rest)
		put_rest(t, p);
	if (f->moisture) {
		table_int(t, p->read);
		put_mean(t, p->mc, p->read);
		put_day(t, p->read_day);
		put_mean(t, p->air, p->airy);
	}
	if (f->value) {
		stock_cell_word(t, f->currency);
		table_fixed(t, p->value, f->places);
	}
}

static void note_facts(const struct stock_facts *f, struct table *t)
{
	table_note(t, SLICE("ages: of pieces that are alike, those that came first are taken to have left first"));
	if (f->rest)
		table_note(t, SLICE("resting: not yet as long in this place as the house file asks (rests:); until: when the last of them is done"));
	if (f->moisture)
		table_note(t, SLICE("MC: the mean of all readings of the pieces' lots on the last day read; air: the mean EMC of the place over the last 28 days, where the wood is heading"));
	if (f->value)
		table_note(t, SLICE("value: at cost, first-in, first-out, as in wy-cost"));
}

void stock_view(const struct stock *s, const struct stock_ask *ask, struct table *t)
{
	size_t n;
	struct row *rows = rows_of(s, ask, &n);

	start_table(ask, t);
	for (size_t i = 0; i < n; i++) {
		stock_cell_day(t, ask->today);
		for (size_t k = 0; k < ask->nby; k++)
			stock_cell_word(t, rows[i].key[k]);
		table_int(t, rows[i].sum.n);
		table_int(t, ask->today - rows[i].sum.since);
		if (ask->facts)
			put_facts(ask->facts, t, &rows[i].sum);
	}
	say_stock(s, ask, rows, n, t);
	table_note(t, ask->facts ? SLICE("oldest: days since the oldest piece of the row took its form (was cleft, planed or made)") :
		SLICE("oldest: days since the first piece of a batch took its form (was cleft, planed or made); with --by age, what came first has left first"));
	if (ask->facts)
		note_facts(ask->facts, t);
	free(rows);
}
