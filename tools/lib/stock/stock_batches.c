#include "stock/stock_batches.h"

#include <stdlib.h>

#include "time/stamp.h"

enum { K_LOT, K_PLACE, K_FORM, K_TYPE, K_GRADE, K_CLASS, K_SINCE, KEYS };

static const char *const COUNTS[] = { "n" };
static const struct groups_plan ROWS = { .name = "stock", .nkeys = KEYS, .ncounts = 1, .counts = COUNTS };

void stock_batches_init(struct stock_batches *b)
{
	groups_init(&b->rows, &ROWS);
	groups_init(&b->whole, &stock_whole_plan);
	b->set[0] = &b->rows;
	b->set[1] = &b->whole;
}

void stock_batches_release(struct stock_batches *b)
{
	groups_release(&b->rows);
	groups_release(&b->whole);
}

void stock_batches_settings(int32_t today, struct buf *out)
{
	buf_str(out, "on=");
	day_write(out, today);
}

/* ---- to a state */

static void take(struct stock_batches *b, const struct stock *s, const struct stock_bucket *is)
{
	const struct stock_kind *k = &is->kind;
	struct buf since = BUF_INIT;
	struct slice key[KEYS] = { [K_LOT] = stock_text(s, k->lot), [K_PLACE] = stock_text(s, k->place), [K_FORM] = vocab_form(k->form),
		[K_TYPE] = stock_text(s, k->type), [K_GRADE] = stock_text(s, k->grade), [K_CLASS] = stock_text(s, k->class) };

	day_write(&since, is->since);
	key[K_SINCE] = buf_slice(&since);
	groups_at(&b->rows, key)->count[0] += is->n;
	buf_release(&since);
}

void stock_batches_take(struct stock_batches *b, const struct stock *s)
{
	size_t n;
	const struct stock_bucket *bucket = stock_buckets(s, &n);

	for (size_t i = 0; i < n; i++)
		if (bucket[i].n > 0 && bucket[i].kind.place != s->sold)
			take(b, s, &bucket[i]);
}

/* ---- from states */

static uint32_t id_of(struct stock *s, struct slice word)
{
	return word.n ? intern_id(&s->ids, word) : 0;
}

static bool give(struct stock *s, const struct group *row, struct stock_bucket *is)
{
	*is = (struct stock_bucket){ .n = row->count[0] };
	is->kind.form = vocab_form_named(row->key[K_FORM]);
	is->kind.lot = id_of(s, row->key[K_LOT]);
	is->kind.place = id_of(s, row->key[K_PLACE]);
	is->kind.type = id_of(s, row->key[K_TYPE]);
	is->kind.grade = id_of(s, row->key[K_GRADE]);
	is->kind.class = id_of(s, row->key[K_CLASS]);
	return is->n > 0 && is->kind.form >= 0 && is->kind.lot && is->kind.place && date_read(row->key[K_SINCE], &is->since) == DATE_OK;
}

bool stock_batches_give(const struct stock_batches *b, struct stock *s)
{
	struct stock_bucket *bucket = mem_array(b->rows.n, sizeof *bucket);
	bool good = true;

	for (size_t i = 0; i < b->rows.n && good; i++)
		good = give(s, b->rows.list[i], &bucket[i]);
	stock_restore(s, bucket, good ? b->rows.n : 0);
	free(bucket);
	return good;
}
