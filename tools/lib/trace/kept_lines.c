#include "trace/kept_lines.h"

#include "book/diag.h"
#include "book/parse.h"

/* What is before a line's text in a block; at a block's end, or before it, n is 0. */
struct kept_head {
	uint32_t hash, n;
};

_Static_assert(KEPT_BLOCK > LINE_LONGEST + 2 * sizeof(struct kept_head), "a block has space for the longest line");

void kept_lines_release(struct kept_lines *k)
{
	spool_release(&k->log);
	buf_release(&k->block);
}

static uint32_t hash_of(struct slice subject)
{
	return (uint32_t)(slice_hash(slice_upto(subject, slice_find(subject, '/'))) >> 32);
}

/* ---- keeping */

static void close_block(struct kept_lines *k)
{
	static const char zeros[256];

	while (k->block.n < KEPT_BLOCK) {
		size_t rest = KEPT_BLOCK - k->block.n;

		buf_add(&k->block, (struct slice){ zeros, rest < sizeof zeros ? rest : sizeof zeros });
	}
	k->log.most = KEPT_BLOCK;
	if (!k->log.error)
		spool_add(&k->log, &k->block);
	k->block.n = 0;
}

void kept_lines_add(struct kept_lines *k, const struct line *l)
{
	struct kept_head head = { hash_of(l->subject), (uint32_t)l->text.n };

	if (k->block.n + 2 * sizeof head + l->text.n > KEPT_BLOCK)
		close_block(k);
	buf_add(&k->block, (struct slice){ (const char *)&head, sizeof head });
	buf_add(&k->block, l->text);
}

/* ---- giving out */

static const uint32_t BITS = KEPT_WANTED * 8u;

void kept_lines_want(struct kept_wanted *wanted, struct slice subject)
{
	uint32_t bit = hash_of(subject) % BITS;

	wanted->bits[bit / 8] = (uint8_t)(wanted->bits[bit / 8] | 1u << bit % 8);
}

static bool is_wanted(const struct kept_wanted *wanted, uint32_t hash)
{
	return !wanted || (wanted->bits[hash % BITS / 8] & 1u << hash % BITS % 8);
}

/* The next line of a block that is wanted; false when there is none. */
static bool next_line(struct slice *block, const struct kept_wanted *wanted, struct slice *text)
{
	struct kept_head head;

	while (block->n >= sizeof head) {
		memcpy(&head, block->p, sizeof head);
		if (!head.n)
			return false;
		*text = slice_upto(slice_from(*block, sizeof head), head.n);
		*block = slice_from(*block, sizeof head + head.n);
		if (is_wanted(wanted, head.hash))
			return true;
	}
	return false;
}

void kept_lines_each(struct kept_lines *k, const struct vocab *vocab, const struct kept_wanted *wanted,
	void (*take)(void *context, const struct line *l), void *context)
{
	struct parser parser;
	struct diags diags;
	struct slice block, text;

	if (k->block.n)
		close_block(k);
	diags_init(&diags);
	parser_init(&parser, vocab, &diags);
	spool_again(&k->log);
	while ((block = spool_next(&k->log)).n)
		while (next_line(&block, wanted, &text)) {
			const struct line *l = parse_line(&parser, text, 1, 0);

			if (l->kind == LINE_EVENT)
				take(context, l);
		}
	parser_release(&parser);
	diags_release(&diags);
}
