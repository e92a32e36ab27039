#include "check/check.h"

#include <stdlib.h>

#include "base/crew.h"
#include "check/bats.h"
#include "check/causes.h"
#include "check/duplicates.h"
#include "check/instruments.h"
#include "check/kilns.h"
#include "check/slips.h"
#include "check/probes.h"
#include "check/sales.h"
#include "check/suppress.h"
#include "check/words.h"
#include "time/zone.h"

/* What only one of two threads writes is a cache line and more from what the other writes. */
enum { CACHE_LINE = 64 };

struct check {
	const struct house *house;
	const struct zone *zone;
	struct diags *diags;
	struct check_files files;
	unsigned flags;
	bool fixed_clock;
	/* check_line_alone() */
	uint64_t unread;
	struct slips slips;
	struct duplicates duplicates, readings;
	struct duplicates_lines pairs, reading_pairs; /* of both, when they are done with */
	struct duplicates_lines closed_now, closed_then; /* lines of closed days, with --before */
	struct instruments instruments;
	struct suppress suppress;
	bool alone_ended;
	char between[CACHE_LINE];
	/* check_line_ids() */
	struct zone_memo memo;
	struct symbols symbols;
	struct references references;
	struct words words;
	struct sales sales;
	struct probes probes;
	struct kilns kilns;
	struct stock stock;
	struct diags ids_diags;      /* of check_line_ids(), where another thread calls it */
	struct diags sales_diags;    /* of sales_end(), beside the rest */
	stock_sink *sink;
	void *sink_context;
};

/* Where check_line_ids() reports. */
static void set_ids_diags(struct check *c, struct diags *diags)
{
	c->references.diags = c->words.diags = c->sales.diags = diags;
}

struct check *check_new(const struct vocab *vocab, const struct house *house, const struct zone *zone,
	struct diags *diags, struct check_files files, unsigned flags)
{
	struct check *c = mem_zeroed(1, sizeof *c);

	c->house = house;
	c->zone = zone;
	c->diags = diags;
	c->files = files;
	c->flags = flags;
	c->fixed_clock = zone_is_fixed(zone);
	stock_init(&c->stock, house);
	symbols_init(&c->symbols, &c->stock.ids, house);
	references_init(&c->references, &c->symbols, diags);
	words_init(&c->words, vocab, &c->symbols, &c->references, diags);
	slips_init(&c->slips, house, &c->references, diags);
	duplicates_init(&c->duplicates);
	duplicates_init(&c->readings);
	instruments_init(&c->instruments, house, diags);
	sales_init(&c->sales, &c->symbols, diags);
	probes_init(&c->probes, &c->symbols, &c->references, diags);
	kilns_init(&c->kilns, &c->symbols, &c->suppress, diags);
	suppress_init(&c->suppress, diags);
	diags_init_alike(&c->ids_diags, diags);
	diags_init_alike(&c->sales_diags, diags);
	set_ids_diags(c, flags & CHECK_APART ? &c->ids_diags : diags);
	return c;
}

void check_free(struct check *c)
{
	stock_release(&c->stock);
	diags_release(&c->sales_diags);
	diags_release(&c->ids_diags);
	suppress_release(&c->suppress);
	kilns_release(&c->kilns);
	probes_release(&c->probes);
	sales_release(&c->sales);
	instruments_release(&c->instruments);
	free(c->closed_now.line);
	free(c->closed_then.line);
	duplicates_release(&c->duplicates);
	duplicates_release(&c->readings);
	slips_release(&c->slips);
	references_release(&c->references);
	symbols_release(&c->symbols);
	free(c);
}

/* ---- one line */

static void doubt_word(struct check *c, struct slice word)
{
	if (word.n)
		symbols_at(&c->symbols, slice_upto(word, slice_find(word, '/')))->doubtful = true;
}

/* The lots that the line is about. */
static void doubt_lots(struct check *c, const struct line *l)
{
	const struct field *lots = line_field(l, FIELD_LOT);

	if (l->event->stock.lot == FROM_SUBJECT || !lots)
		doubt_word(c, l->subject);
	for (size_t i = 0; lots && i < lots->n; i++) {
		const struct item *item = &l->item[lots->first + i];

		doubt_word(c, item->label.n ? item->label : item->text);
	}
	doubt_word(c, line_word(l, FIELD_BLADE));
	doubt_word(c, line_word(l, FIELD_HANDLE));
}

/* The instant of a timed line; an hour that the clock skipped is reported. */
static int64_t instant(struct check *c, const struct line *l)
{
	enum zone_kind kind;
	int64_t utc_s = zone_stamp(c->zone, &c->memo, &l->stamp, &kind);

	if (kind != ZONE_NEVER)
		return utc_s;
	DIAG(c->words.diags, RULE_TIME_SKIPPED, line_place(l, l->time), l->time);
	if (l->event->stock.moves)
		doubt_lots(c, l);
	return utc_s;
}

/* What is judged with the rest of the book. */
static void keep_line(struct check *c, const struct line *l, int64_t utc_s)
{
	sales_keep(&c->sales, l);
	if (l->event->id == EVENT_PROBE)
		probes_keep(&c->probes, l);
	kilns_keep(&c->kilns, l);
	if (!l->event->stock.moves)
		return;
	stock_guess(&c->stock, l->event, c->symbols.memo[SYMBOLS_SUBJECT(l->event)], c->symbols.memo[FIELD_LOT]);
	stock_add(&c->stock, l, utc_s);
}

/* A line of the book as it was: only what it says of closed days counts. */
static void keep_before(struct check *c, const struct line *l)
{
	if (l->kind == LINE_EVENT && l->stamp.day <= c->house->closed)
		duplicates_keep(&c->closed_then, l, entry_hash(l));
}

static void add_hash(struct check *c, const struct line *l)
{
	struct entry_hash hash = { 0, 0 }, reading = { 0, 0 };

	if (l->kind == LINE_EVENT) {
		hash = entry_hash(l);
		reading = reading_hash(l);
	}
	duplicates_add(&c->duplicates, l, hash);
	duplicates_add(&c->readings, l, reading);
	if (hash.a && c->files.before != CHECK_NO_FILE && l->stamp.day <= c->house->closed)
		duplicates_keep(&c->closed_now, l, hash);
}

void check_follow(struct check *c, void (*sink)(void *context, const struct stock_flow *flow), void *context)
{
	c->sink = sink;
	c->sink_context = context;
}

void check_line_alone(struct check *c, const struct line *l)
{
	bool of_book = !(c->flags & CHECK_BY_LINE);

	if (l->file >= c->files.before) {
		keep_before(c, l);
		return;
	}
	if (of_book)
		add_hash(c, l);
	if (l->kind != LINE_EVENT) {
		c->unread += l->kind == LINE_BAD && l->file >= c->files.against;
		return;
	}
	instruments_line(&c->instruments, l);
	bats_line(c->diags, c->house, l);
	slips_line(&c->slips, l);
	if (of_book)
		slips_keep(&c->slips, l);
	if (l->remark.n)
		suppress_keep(&c->suppress, l);
}

void check_line_ids(struct check *c, const struct line *l)
{
	int64_t utc_s = 0;

	if (l->file >= c->files.before)
		return;
	if (l->kind == LINE_BAD)
		words_doubt(&c->words, l->text);
	if (l->kind != LINE_EVENT)
		return;
	if (l->stamp.second != STAMP_NO_TIME && (!c->fixed_clock || l->event->stock.moves))
		utc_s = instant(c, l);
	if (words_line(&c->words, l) && l->event->stock.moves)
		doubt_lots(c, l);
	if (!sales_line(&c->sales, l))
		symbols_at(&c->symbols, l->subject)->meant = true;
	if (!(c->flags & CHECK_BY_LINE))
		keep_line(c, l, utc_s);
}

void check_line(struct check *c, const struct line *l)
{
	check_line_alone(c, l);
	check_line_ids(c, l);
}

void check_alone_end(struct check *c)
{
	if (c->alone_ended)
		return;
	c->alone_ended = true;
	c->pairs = duplicates_find(&c->duplicates);
	duplicates_release(&c->duplicates);
	c->reading_pairs = duplicates_find(&c->readings);
	duplicates_release(&c->readings);
}

const struct stock *check_stock(const struct check *c)
{
	return &c->stock;
}

const struct probes *check_probes(const struct check *c)
{
	return &c->probes;
}

uint64_t check_unread(const struct check *c)
{
	return c->unread;
}

/* ---- the whole book */

static struct place line_start(const struct duplicates_line *l)
{
	return (struct place){ l->file, 1, 1, l->line };
}

static void add_line_of(const struct check *c, struct buf *where, const struct duplicates_line *first, uint32_t file)
{
	if (first->file == file)
		buf_printf(where, "line %llu", (unsigned long long)first->line);
	else
		buf_printf(where, "%s:%llu", c->files.path[first->file], (unsigned long long)first->line);
}

static void report_duplicate(struct check *c, const struct duplicates_line *first, const struct duplicates_line *again)
{
	struct place place = line_start(again);
	struct buf where = BUF_INIT;

	add_line_of(c, &where, first, again->file);
	DIAG(c->diags, RULE_LINE_TWICE, place, buf_slice(&where));
	if (c->diags->level[RULE_LINE_TWICE] != LEVEL_NONE && !suppress_pass(&c->suppress, RULE_LINE_TWICE, place))
		stock_skip(&c->stock, again->file, again->line);
	buf_release(&where);
}

/* Another reading at that time; one that says the same is reported as the line twice. */
static void report_reading(struct check *c, const struct duplicates_line *first, const struct duplicates_line *again)
{
	struct place place = line_start(again);
	struct buf where = BUF_INIT;

	for (size_t i = 0; i < c->diags->n; i++) {
		const struct diag *row = &c->diags->row[i];

		if (row->rule == RULE_LINE_TWICE && row->place.file == place.file && row->place.line == place.line)
			return;
	}
	add_line_of(c, &where, first, again->file);
	DIAG(c->diags, RULE_READING_TWICE, place, buf_slice(&where));
	buf_release(&where);
}

typedef void report_pair(struct check *c, const struct duplicates_line *first, const struct duplicates_line *again);

/* Lines that say the same: all but the first are reported, a context's before the others. */
static void judge_pairs(struct check *c, struct duplicates_lines *pairs, report_pair *report)
{
	for (size_t i = 0, k, first; i < pairs->n; i = k) {
		for (k = first = i; k < pairs->n && duplicates_alike(&pairs->line[k], &pairs->line[i]); k++)
			if (pairs->line[k].file >= c->files.against && pairs->line[first].file < c->files.against)
				first = k;
		for (size_t at = i; at < k; at++)
			if (at != first)
				report(c, &pairs->line[first], &pairs->line[at]);
	}
	free(pairs->line);
	*pairs = (struct duplicates_lines){ NULL, 0, 0 };
}

/* Reports each of `these` whose content none of `those` has. Both are sorted. */
static void report_missing(struct check *c, const struct duplicates_lines *these, const struct duplicates_lines *those, const char *what)
{
	size_t k = 0;
	struct buf closed = BUF_INIT;

	day_write(&closed, c->house->closed);
	for (size_t i = 0; i < these->n; i++) {
		while (k < those->n && duplicates_order(&those->line[k], &these->line[i]) < 0)
			k++;
		if (k == those->n || duplicates_order(&those->line[k], &these->line[i]) > 0)
			DIAG(c->diags, RULE_CLOSED_CHANGED, line_start(&these->line[i]), buf_slice(&closed), slice_of(what));
	}
	buf_release(&closed);
}

static void judge_closed(struct check *c)
{
	duplicates_sort(&c->closed_now);
	duplicates_sort(&c->closed_then);
	report_missing(c, &c->closed_now, &c->closed_then, "was not in the book before");
	report_missing(c, &c->closed_then, &c->closed_now, "is no longer in the book");
}

/* Whether a line about it is wrong. Of a place that the house file has, nothing is wrong. */
static bool is_wrong(const struct check *c, uint32_t id)
{
	const struct symbol *symbol = &c->symbols.symbol[id < c->symbols.n ? id : 0];

	return symbol->doubtful && !(symbol->lists & (LIST_OF(OF_PLACE) | LIST_OF(OF_KILN)));
}

/* The lots of a line that names a wrong place, charge or bat: the line says nothing certain of them. */
static void doubt_lots_of(struct check *c, const struct stock_walk *walk)
{
	const struct stock_op *op = &walk->op;

	if ((op->at == STOCK_ANY || !is_wrong(c, op->at)) && !is_wrong(c, op->subject))
		return;
	if (op->lot != STOCK_ANY)
		stock_doubt(&c->stock, op->lot);
	if (op->blade)
		stock_doubt(&c->stock, op->blade);
	if (op->handle)
		stock_doubt(&c->stock, op->handle);
	for (uint32_t i = op->counts; op->event->stock.take == TAKE_LOTS && i < op->counts + op->ncounts; i++)
		stock_doubt(&c->stock, walk->items.v[i].word);
}

/* A line of a charge with a wrong lot: which pieces the charge holds is not certain. */
static void doubt_charge_of(struct check *c, const struct stock_op *op)
{
	bool of_charge = op->event->id == EVENT_LOAD || op->at == op->subject;

	if (of_charge && op->lot != STOCK_ANY && is_wrong(c, op->lot))
		stock_doubt(&c->stock, op->subject);
}

static void doubt_stock(struct check *c)
{
	struct stock_walk walk = { .stock = &c->stock };
	const struct stock_op *op;
	bool wrong = false;

	for (uint32_t i = 1; i < c->symbols.n; i++) {
		wrong |= is_wrong(c, i);
		if (is_wrong(c, i) || c->symbols.symbol[i].meant)
			stock_doubt(&c->stock, i);
	}
	while (wrong && (op = stock_walk_next(&walk))) {
		doubt_lots_of(c, &walk);
		doubt_charge_of(c, op);
	}
	stock_walk_release(&walk);
}

static void take_flow(void *context, const struct stock_flow *flow)
{
	struct check *c = context;

	if (c->sink)
		c->sink(c->sink_context, flow);
	kilns_flow(&c->kilns, flow);
	bats_flow(c->diags, c->house, &c->stock, flow);
}

static void judge_stock(struct check *c)
{
	doubt_stock(c);
	kilns_begin(&c->kilns, &c->stock, &c->probes);
	stock_run(&c->stock, INT32_MAX, take_flow, c);
	kilns_end(&c->kilns);
	stock_tell(&c->stock, c->diags);
}

/* ---- orders and money, which nothing else waits for */

enum { SALES_LEAST = 5 * 1000 }; /* worth a thread */

static void judge_sales(void *context)
{
	struct check *c = context;

	sales_end(&c->sales);
	sales_release(&c->sales);
}

/* Whether it is done on another thread. */
static bool begin_sales(struct check *c, struct errand *apart)
{
	c->sales.diags = &c->sales_diags;
	if (crew_cores() > 1 && sales_size(&c->sales) >= SALES_LEAST) {
		crew_send(apart);
		return true;
	}
	judge_sales(c);
	return false;
}

/* What is done with is let go, for the stock takes as much memory again. */
static void judge_book(struct check *c)
{
	struct errand sales = { .work = judge_sales, .context = c };
	bool apart;

	check_alone_end(c);
	symbols_settle(&c->symbols);
	apart = begin_sales(c, &sales);
	judge_pairs(c, &c->pairs, report_duplicate);
	judge_pairs(c, &c->reading_pairs, report_reading);
	if (c->files.before != CHECK_NO_FILE)
		judge_closed(c);
	references_end(&c->references);
	instruments_end(&c->instruments, &c->symbols);
	instruments_release(&c->instruments);
	slips_end(&c->slips);
	probes_end(&c->probes);
	references_release(&c->references);
	judge_stock(c);
	if (apart)
		crew_await(&sales);
	diags_take(c->diags, &c->sales_diags, 0);
}

/* What is found in the files that others are only judged by is not the caller's. */
static bool is_callers(void *context, const struct diag *row)
{
	const struct check *c = context;
	uint32_t file = row->place.file;

	return file < c->files.against || (file >= c->files.before && row->rule == RULE_CLOSED_CHANGED);
}

void check_end(struct check *c)
{
	set_ids_diags(c, c->diags);
	diags_take(c->diags, &c->ids_diags, 0);
	if (!(c->flags & CHECK_BY_LINE)) {
		judge_book(c);
		suppress_end(&c->suppress);
	}
	diags_filter(c->diags, is_callers, c);
	causes_keep(c->diags);
}
