#include "jot/jot_verdict.h"

#include <stdlib.h>

#include "book/diag.h"

struct key {
	uint64_t line;
	uint32_t file;
	int rule;
};

struct compare {
	const struct jot_change *change;
	struct key *key;           /* of the diagnostics before, in order */
	bool *used;
	size_t n;
};

#define BY(a, b) do { if ((a) != (b)) return (a) < (b) ? -1 : 1; } while (0)

static int by_key(const void *a, const void *b)
{
	const struct key *x = a, *y = b;

	BY(x->file, y->file);
	BY(x->line, y->line);
	BY(x->rule, y->rule);
	return 0;
}

static struct key key_of(const struct diag *row)
{
	return (struct key){ row->place.line, row->place.file, row->rule };
}

/* Whether such a diagnostic was there before; each counts once. */
static bool was_there(struct compare *c, struct key key)
{
	size_t low = 0, high = c->n;

	while (low < high) {
		size_t middle = low + (high - low) / 2;

		if (by_key(&c->key[middle], &key) < 0)
			low = middle + 1;
		else
			high = middle;
	}
	while (low < c->n && by_key(&c->key[low], &key) == 0 && c->used[low])
		low++;
	if (low == c->n || by_key(&c->key[low], &key) != 0)
		return false;
	c->used[low] = true;
	return true;
}

static bool is_new(void *context, const struct diag *row)
{
	struct compare *c = context;
	const struct jot_change *change = c->change;
	struct key key = key_of(row);

	if (key.file == change->file && key.line >= change->from) {
		if (change->added > 0)
			return true;
		key.line++;
	}
	return !was_there(c, key) && row->level >= LEVEL_WARNING;
}

void jot_verdict(struct diags *after, const struct diags *before, const struct jot_change *change)
{
	struct compare c = { change, mem_array(before->n, sizeof *c.key), mem_zeroed(before->n, sizeof *c.used), before->n };

	for (size_t i = 0; i < before->n; i++)
		c.key[i] = key_of(&before->row[i]);
	if (c.n)
		qsort(c.key, c.n, sizeof *c.key, by_key);
	diags_filter(after, is_new, &c);
	free(c.key);
	free(c.used);
}
