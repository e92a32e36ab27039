#include "check/check.h"

#include <stdlib.h>

#include "base/mem.h"
#include "check/bats.h"
#include "check/duplicates.h"
#include "check/instruments.h"
#include "check/kilns.h"
#include "check/probes.h"
#include "check/references.h"
#include "check/sales.h"
#include "check/suppress.h"
#include "check/symbols.h"
#include "check/words.h"
#include "house/house.h"
#include "stock/stock.h"
#include "time/zone.h"

struct check {
	const struct house *house;
	const struct zone *zone;
	struct zone_memo memo;
	struct diags *diags;
	struct check_files files;
	unsigned flags;
	bool fixed_clock;
	uint64_t unread;
	struct symbols names;
	struct references ids;
	struct check_words words;
	struct duplicates twice;
	struct duplicates_lines closed_now, closed_then; /* lines of closed days, with --before */
	struct instruments meters;
	struct sales office;
	struct probes probes;
	struct kilns kilns;
	struct suppress allows;
	struct stock stock;
};

static bool is_grade(const void *context, struct slice word, int32_t day)
{
	(void)day;
	return house_index(context, HOUSE_GRADE, word) >= 0;
}

static void start_stock(struct check *c)
{
	stock_init(&c->stock);
	if (c->house && house_has(c->house, HOUSE_GRADE)) {
		c->stock.is_grade = is_grade;
		c->stock.is_grade_context = c->house;
	}
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
	start_stock(c);
	symbols_init(&c->names, &c->stock.ids, house);
	references_init(&c->ids, &c->names, diags);
	words_init(&c->words, vocab, &c->names, &c->ids, diags);
	duplicates_init(&c->twice);
	instruments_init(&c->meters, house, diags);
	sales_init(&c->office, &c->names, diags);
	probes_init(&c->probes, &c->names, &c->ids, diags);
	kilns_init(&c->kilns, &c->names, &c->ids, diags);
	suppress_init(&c->allows, diags);
	return c;
}

void check_free(struct check *c)
{
	stock_release(&c->stock);
	suppress_release(&c->allows);
	kilns_release(&c->kilns);
	probes_release(&c->probes);
	sales_release(&c->office);
	instruments_release(&c->meters);
	free(c->closed_now.line);
	free(c->closed_then.line);
	duplicates_release(&c->twice);
	references_release(&c->ids);
	symbols_release(&c->names);
	free(c);
}

/* ---- one line */

/* Whether a wrong word of this rule leaves it open which pieces the line means. */
static bool blurs_stock(int rule)
{
	return rule == RULE_FORM_UNKNOWN || rule == RULE_TYPE_UNKNOWN || rule == RULE_GRADE_UNKNOWN || rule == RULE_PLACE_UNKNOWN;
}

static void doubt_word(struct check *c, struct slice word)
{
	if (word.n)
		symbols_at(&c->names, slice_upto(word, slice_find(word, '/')))->doubtful = true;
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

/* The instant of a timed line; an hour that the clock skipped is told. */
static int64_t instant(struct check *c, const struct line *l)
{
	enum zone_kind kind;
	int64_t utc_s = zone_stamp(c->zone, &c->memo, &l->stamp, &kind);

	if (kind != ZONE_NEVER)
		return utc_s;
	DIAG(c->diags, RULE_TIME_SKIPPED, line_place(l, l->time), l->time);
	if (l->event->stock.moves)
		doubt_lots(c, l);
	return utc_s;
}

static void judge_words(struct check *c, const struct line *l)
{
	size_t before = c->diags->n;
	bool blurred = false;

	words_line(&c->words, l);
	for (size_t i = before; i < c->diags->n; i++)
		blurred |= blurs_stock(c->diags->row[i].rule);
	if (blurred && l->event->stock.moves)
		doubt_lots(c, l);
}

static bool is_byproduct(const struct check *c, const struct line *l)
{
	return l->event->id == EVENT_SELL && c->house && house_index(c->house, HOUSE_BYPRODUCT, l->subject) >= 0;
}

/* What the line shows by itself. */
static void judge_line(struct check *c, const struct line *l)
{
	judge_words(c, l);
	instruments_line(&c->meters, l);
	sales_line(&c->office, l);
	bats_line(c->diags, c->house, l);
}

/* The engine numbers words alike, so it is told which those of the line are. */
static void add_to_stock(struct check *c, const struct line *l, int64_t utc_s)
{
	c->stock.memo[FIELDS_END] = c->names.memo[SYMBOLS_SUBJECT(l->event)];
	c->stock.memo[FIELD_LOT] = c->names.memo[FIELD_LOT];
	stock_add(&c->stock, l, utc_s);
}

/* What is judged with the rest of the book. */
static void keep_line(struct check *c, const struct line *l, int64_t utc_s)
{
	sales_keep(&c->office, l);
	if (l->event->id == EVENT_PROBE)
		probes_keep(&c->probes, l);
	kilns_keep(&c->kilns, l);
	if (l->event->stock.moves && !is_byproduct(c, l))
		add_to_stock(c, l, utc_s);
}

/* A line of the book as it was: only what it says of closed days counts. */
static void keep_before(struct check *c, const struct line *l)
{
	if (l->kind == LINE_EVENT && l->stamp.day <= c->house->closed)
		duplicates_keep(&c->closed_then, l, entry_hash(l));
}

static void add_hash(struct check *c, const struct line *l)
{
	struct entry_hash hash = { 0, 0 };

	if (l->kind == LINE_EVENT)
		hash = entry_hash(l);
	duplicates_add(&c->twice, l, hash);
	if (hash.a && c->files.before != CHECK_NO_FILE && l->stamp.day <= c->house->closed)
		duplicates_keep(&c->closed_now, l, hash);
}

void check_expect(struct check *c, uint64_t bytes)
{
	if (!(c->flags & CHECK_BY_LINE))
		stock_expect(&c->stock, bytes);
}

void check_line(struct check *c, const struct line *l)
{
	int64_t utc_s = 0;

	if (l->file >= c->files.before) {
		keep_before(c, l);
		return;
	}
	if (!(c->flags & CHECK_BY_LINE))
		add_hash(c, l);
	if (l->kind == LINE_BAD) {
		c->unread += l->file >= c->files.against;
		words_doubt(&c->words, l->text);
	}
	if (l->kind != LINE_EVENT)
		return;
	if (l->stamp.second != STAMP_NO_TIME && (!c->fixed_clock || l->event->stock.moves))
		utc_s = instant(c, l);
	judge_line(c, l);
	if (l->remark.n)
		suppress_keep(&c->allows, l);
	if (!(c->flags & CHECK_BY_LINE))
		keep_line(c, l, utc_s);
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

static void tell_twice(struct check *c, const struct duplicates_line *first, const struct duplicates_line *again)
{
	struct place place = line_start(again);
	struct buf where = BUF_INIT;

	if (first->file == again->file)
		buf_printf(&where, "line %llu", (unsigned long long)first->line);
	else
		buf_printf(&where, "%s:%llu", c->files.path[first->file], (unsigned long long)first->line);
	DIAG(c->diags, RULE_LINE_TWICE, place, buf_slice(&where));
	if (c->diags->level[RULE_LINE_TWICE] != LEVEL_NONE && !suppress_pass(&c->allows, RULE_LINE_TWICE, place))
		stock_skip(&c->stock, again->file, again->line);
	buf_release(&where);
}

/* Lines that say the same: all but the first are told, a context's before the others. */
static void judge_twice(struct check *c)
{
	struct duplicates_lines pairs = duplicates_find(&c->twice);

	for (size_t i = 0, k, first; i < pairs.n; i = k) {
		for (k = first = i; k < pairs.n && duplicates_alike(&pairs.line[k], &pairs.line[i]); k++)
			if (pairs.line[k].file >= c->files.against && pairs.line[first].file < c->files.against)
				first = k;
		for (size_t at = i; at < k; at++)
			if (at != first)
				tell_twice(c, &pairs.line[first], &pairs.line[at]);
	}
	free(pairs.line);
}

/* Tells each of `these` that says what none of `those` says. Both are sorted. */
static void tell_missing(struct check *c, const struct duplicates_lines *these, const struct duplicates_lines *those, const char *what)
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
	tell_missing(c, &c->closed_now, &c->closed_then, "was not in the book before");
	tell_missing(c, &c->closed_then, &c->closed_now, "is no longer in the book");
}

static void doubt_stock(struct check *c)
{
	for (uint32_t i = 1; i < c->names.n; i++)
		if (c->names.name[i].doubtful)
			stock_doubt(&c->stock, i);
}

static void judge_stock(struct check *c)
{
	doubt_stock(c);
	kilns_begin(&c->kilns, &c->stock, &c->probes);
	stock_run(&c->stock, INT32_MAX, kilns_flow, &c->kilns);
	kilns_end(&c->kilns);
	stock_tell(&c->stock, c->diags);
}

static void judge_book(struct check *c)
{
	judge_twice(c);
	if (c->files.before != CHECK_NO_FILE)
		judge_closed(c);
	references_end(&c->ids);
	instruments_end(&c->meters);
	sales_end(&c->office);
	probes_end(&c->probes);
	judge_stock(c);
}

/* What is told of the files that others are only judged by is not the caller's. */
static void drop_context(struct check *c)
{
	struct diags *d = c->diags;
	size_t n = 0;

	for (size_t i = 0; i < d->n; i++) {
		uint32_t file = d->row[i].place.file;

		if (file >= c->files.against && (file < c->files.before || d->row[i].rule != RULE_CLOSED_CHANGED))
			d->count[d->row[i].level]--;
		else
			d->row[n++] = d->row[i];
	}
	d->n = n;
}

void check_end(struct check *c)
{
	if (!(c->flags & CHECK_BY_LINE)) {
		judge_book(c);
		suppress_end(&c->allows);
	}
	drop_context(c);
	diags_sort(c->diags);
}
