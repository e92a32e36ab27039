/* concerned.c: a trace that takes in only what concerns one thing finds what one of the whole book finds. */
#include <stdlib.h>

#include "book/reader.h"
#include "check.h"
#include "stock/stock.h"
#include "time/zone.h"
#include "trace/pedigree_dot.h"
#include "trace/read_wood.h"
#include "trace/ties.h"
#include "trace/trace.h"

static struct vocab vocab;
static struct zone *zone;

struct traced {
	struct stock stock;
	struct trace trace;
};

/* `only`: the thing, or empty for the whole book. Times of a day are taken as UTC. */
static void read_book(struct traced *x, struct slice text, struct slice only)
{
	struct diags diags;
	struct reader reader;
	const struct line *l;

	stock_init(&x->stock, NULL);
	trace_init(&x->trace, NULL, zone, &x->stock, 30000); /* in 2052 */
	x->trace.airs = false;
	if (only.n)
		trace_only(&x->trace, only, &vocab);
	diags_init(&diags);
	reader_init(&reader, &vocab, &diags);
	reader_open_bytes(&reader, text, 0, false);
	while ((l = reader_next(&reader)))
		if (l->kind == LINE_EVENT) {
			trace_take(&x->trace, l);
			stock_add(&x->stock, l, l->stamp.second == STAMP_NO_TIME ? 0 : (int64_t)l->stamp.day * 86400 + l->stamp.second);
		}
	reader_release(&reader);
	diags_release(&diags);
	trace_end(&x->trace);
}

static void release(struct traced *x)
{
	trace_release(&x->trace);
	stock_release(&x->stock);
}

/* All that is found of a thing, as text; how it cannot be found, where it cannot. */
static void write_found(struct traced *x, struct slice thing, enum trace_kind kind, struct buf *out)
{
	struct trace *t = &x->trace;
	struct read_wood read;
	struct ties ties;

	if (trace_find(t, thing, (int)kind, out) != TRACE_FOUND)
		return;
	ties_find(&ties, t);
	pedigree_dot_write(t, &ties, out);
	for (size_t i = 0; i < ties.n; i++) {
		const struct tie_counts *c = &ties.tie[i].counts;

		buf_add(out, trace_text(t, ties.tie[i].id));
		buf_printf(out, " %.9f: %.9f %.9f %.9f, bats %.9f %.9f %.9f %.9f %.9f\n", ties.tie[i].share, c->stock, c->sold, c->culled, c->bats_stock,
			c->bats_sold, c->bats_culled, c->bats_refit, c->bats_back);
	}
	read_wood_find(&read, t, &ties);
	for (size_t i = 0; i < read.n; i++)
		buf_printf(out, "%d: %lld readings, %lld to %lld\n", read.row[i].of, (long long)read.row[i].n, (long long)read.row[i].driest.mc,
			(long long)read.row[i].wettest.mc);
	read_wood_release(&read);
	ties_release(&ties);
}

/* Readings are given out once, so that the whole book is read for each thing. Returns how many flows it has. */
static size_t compare(struct slice text, struct slice thing)
{
	struct traced whole, part;
	struct buf want = BUF_INIT, got = BUF_INIT;
	size_t flows;

	read_book(&whole, text, SLICE(""));
	read_book(&part, text, thing);
	CHECK_INT(trace_kinds(&part.trace, thing), trace_kinds(&whole.trace, thing));
	for (int kind = 0; kind < TRACE_KINDS; kind++) {
		write_found(&whole, thing, (enum trace_kind)kind, &want);
		write_found(&part, thing, (enum trace_kind)kind, &got);
	}
	CHECK_TEXT(buf_slice(&got), buf_cstr(&want));
	flows = whole.trace.log.n;
	release(&whole);
	release(&part);
	buf_release(&want);
	buf_release(&got);
	return flows;
}

/* Few flows are kept of a thing that shares little. */
static void check_less(struct slice text, struct slice thing, size_t flows)
{
	struct traced part;

	read_book(&part, text, thing);
	CHECK(part.trace.log.n > 0 && part.trace.log.n < flows / 2);
	release(&part);
}

/* Every so many ids of a book, whatever they are, and pieces. */
static void check_book(const char *path, size_t step)
{
	struct buf text = BUF_INIT;
	struct traced whole;
	FILE *f = fopen(path, "rb");

	if (!CHECK(f != NULL))
		return;
	for (int c; (c = getc(f)) != EOF;)
		buf_char(&text, (char)c);
	fclose(f);
	read_book(&whole, buf_slice(&text), SLICE(""));
	for (uint32_t id = 1; id < whole.stock.ids.n; id += (uint32_t)step) {
		CHECK_CASE(id);
		compare(buf_slice(&text), stock_text(&whole.stock, id));
	}
	CHECK_CASE(-1);
	check_less(buf_slice(&text), SLICE("L031"), compare(buf_slice(&text), SLICE("no such id")));
	release(&whole);
	buf_release(&text);
}

int main(void)
{
	vocab_init(&vocab);
	zone = zone_fixed(0);
	check_book("samples/book/2026a.wy", 5);
	zone_free(zone);
	return check_end();
}
