/*
 * books [SHUFFLES] <BOOKS - the stock of many small books, for comparing it with that of tests/oracles/book_stock.py.
 *
 * Books are separated by lines of `%%`. For each it prints `book N`, then `error LINE` for each line that is
 * reported, then the stock, a batch a line: `LOT FORM TYPE GRADE CLASS PLACE N`, and what was sold:
 * `sold LOT FORM TYPE GRADE CLASS PARTY N`. Each book is run again in SHUFFLES (20) other orders of its lines. Those
 * must give the same; where one does not, a line `shuffle` follows, and the status is 1.
 */
#include <stdio.h>
#include <stdlib.h>

#include "book/diag.h"
#include "book/parse.h"
#include "stock/stock.h"

enum { LINES_MOST = 64, DAY_SECONDS = 86400 };

static uint64_t seed = 1;

static unsigned dice(unsigned most)
{
	seed = seed * 6364136223846793005u + 1442695040888963407u;
	return (unsigned)(seed >> 33) % most;
}

/* ---- one run of a book */

static void add_line(struct stock *s, struct parser *ps, struct slice text, uint64_t number)
{
	const struct line *l = parse_line(ps, text, number, 0);
	int64_t minutes_east = 0;

	if (l->kind != LINE_EVENT)
		return;
	if (l->stamp.offset != STAMP_NO_OFFSET)
		minutes_east = l->stamp.offset;
	stock_add(s, l, (int64_t)l->stamp.day * DAY_SECONDS + l->stamp.second - minutes_east * 60);
}

static void add_word(struct buf *out, struct slice word)
{
	buf_add(out, word.n ? word : SLICE("-"));
	buf_char(out, ' ');
}

static int by_text(const void *a, const void *b)
{
	return slice_cmp(*(const struct slice *)a, *(const struct slice *)b);
}

/* Adds the lines of `text`, sorted by their bytes. */
static void add_sorted(struct buf *out, struct slice text)
{
	static struct slice line[4096];
	size_t n = 0;

	while (text.n && n < sizeof line / sizeof *line) {
		line[n] = slice_upto(text, slice_find(text, '\n') + 1);
		text = slice_from(text, line[n++].n);
	}
	if (n)
		qsort(line, n, sizeof *line, by_text);
	for (size_t i = 0; i < n; i++)
		buf_add(out, line[i]);
}

static void add_batch(struct buf *out, const struct stock *s, const struct stock_bucket *b)
{
	bool sold = b->kind.place == s->sold;

	if (sold)
		buf_str(out, "sold ");
	add_word(out, stock_text(s, b->kind.lot));
	add_word(out, vocab_form(b->kind.form));
	add_word(out, stock_text(s, b->kind.type));
	add_word(out, stock_text(s, b->kind.grade));
	add_word(out, stock_text(s, b->kind.class));
	add_word(out, stock_text(s, sold ? b->kind.party : b->kind.place));
	buf_printf(out, "%lld\n", (long long)b->n);
}

static void add_batches(struct buf *out, const struct stock *s)
{
	struct buf here = BUF_INIT, sold = BUF_INIT;
	size_t n;
	const struct stock_bucket *b = stock_buckets(s, &n);

	for (size_t i = 0; i < n; i++)
		if (b[i].n)
			add_batch(b[i].kind.place == s->sold ? &sold : &here, s, &b[i]);
	add_sorted(out, buf_slice(&here));
	add_sorted(out, buf_slice(&sold));
	buf_release(&here);
	buf_release(&sold);
}

static void add_errors(struct buf *out, struct diags *d)
{
	diags_sort(d);
	for (size_t i = 0; i < d->n; i++)
		buf_printf(out, "error %llu\n", (unsigned long long)d->row[i].place.line);
}

/* Runs the lines in an order; each keeps its number. */
static void run(struct buf *out, const struct slice *line, const unsigned *order, unsigned n)
{
	static struct vocab vocab;
	struct diags diags;
	struct parser ps;
	struct stock s;

	vocab_init(&vocab);
	diags_init(&diags);
	parser_init(&ps, &vocab, &diags);
	stock_init(&s, NULL);
	for (unsigned i = 0; i < n; i++)
		add_line(&s, &ps, line[order[i]], order[i] + 1);
	stock_run(&s, INT32_MAX, NULL, NULL);
	stock_tell(&s, &diags);
	add_errors(out, &diags);
	add_batches(out, &s);
	stock_release(&s);
	parser_release(&ps);
	diags_release(&diags);
}

/* ---- books */

static unsigned split(struct slice book, struct slice *line)
{
	unsigned n = 0;

	while (book.n && n < LINES_MOST) {
		size_t end = slice_find(book, '\n');

		line[n++] = slice_upto(book, end);
		book = slice_from(book, end < book.n ? end + 1 : end);
	}
	return n;
}

static void shuffle(unsigned *order, unsigned n)
{
	for (unsigned i = n; i > 1; i--) {
		unsigned k = dice(i), was = order[i - 1];

		order[i - 1] = order[k];
		order[k] = was;
	}
}

static bool judge(struct slice book, unsigned number, unsigned shuffles)
{
	struct slice line[LINES_MOST];
	unsigned order[LINES_MOST], n = split(book, line);
	struct buf first = BUF_INIT, other = BUF_INIT;
	bool same = true;

	for (unsigned i = 0; i < n; i++)
		order[i] = i;
	run(&first, line, order, n);
	printf("book %u\n%.*s", number, (int)first.n, first.n ? first.p : "");
	for (unsigned i = 0; i < shuffles && same; i++) {
		shuffle(order, n);
		other.n = 0;
		run(&other, line, order, n);
		same = slice_eq(buf_slice(&first), buf_slice(&other));
	}
	if (!same)
		printf("shuffle\n%.*s", (int)other.n, other.n ? other.p : "");
	buf_release(&first);
	buf_release(&other);
	return same;
}

static size_t end_of_book(struct slice text)
{
	size_t at = 0;

	while (at < text.n && !(text.n - at >= 3 && memcmp(text.p + at, "%%\n", 3) == 0))
		at += slice_find(slice_from(text, at), '\n') + 1;
	return at < text.n ? at : text.n;
}

static void read_all(struct buf *all)
{
	char block[65536];
	size_t n;

	while ((n = fread(block, 1, sizeof block, stdin)))
		buf_add(all, (struct slice){ block, n });
}

int main(int argc, char **argv)
{
	unsigned shuffles = argc > 1 ? (unsigned)strtoul(argv[1], NULL, 10) : 20, number = 0;
	struct buf all = BUF_INIT;
	bool same = true;

	read_all(&all);
	for (struct slice left = buf_slice(&all); left.n;) {
		size_t n = end_of_book(left);

		same &= judge(slice_upto(left, n), ++number, shuffles);
		left = slice_from(left, n < left.n ? n + 3 : n);
	}
	buf_release(&all);
	return !same;
}
