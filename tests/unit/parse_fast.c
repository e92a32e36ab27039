/*
 * parse_fast.c on books: what a reader gives out, most of it read by parse_fast(), is what parse_line() makes of the same
 * lines. The books are the sample works' and invented ones, with every event and field of the vocabulary and with values of
 * every type, good, at a bound and wrong; and the same again with bytes gone wrong.
 */
#include <stdlib.h>

#include "book/diag.h"
#include "book/reader.h"
#include "check.h"
#include "same_line.h"

static struct vocab vocab;
static struct diags reader_told, parser_told;
static struct reader reader;
static struct parser parser;
static uint32_t seed = 20261130;

static uint32_t dice(uint32_t sides)
{
	seed = seed * 1664525u + 1013904223u;
	return (uint32_t)((uint64_t)(seed >> 8) * sides >> 24);
}

/* ---- invented books */

static bool wild; /* the entry in hand has anything anywhere */

/* One of a list, of which the first ones are good. */
static const char *pick(const char *const *of, uint32_t good)
{
	uint32_t n = 0;

	while (of[n])
		n++;
	return of[dice(wild && dice(2) ? n : good)];
}

static const char *const NUMBERS[] = { "1", "7", "12", "007", "25", "1", "2", "19.5", "9.25", "100", "99.9999", "123456", "1234567", "12345678",
	"123456789", "1.2345678", "1234.56789", "-3.5", "-0", ".5", "5.", "1,5", "8..10", "8..", "..9", "-", "30+", "--1", "1e3",
	"100000000000000", "1234567890123456", NULL };
static const char *const IDS[] = { "a", "b", "L061", "C00010", "M26-05", "SH", "S6", "HA", "1", "2", "3", "4", "split", "knot", "jo", "mk", "x-", "_",
	"a-name-of-sixteen", "store/r1", "store/bats", "L061/SH", "-x", "/r1", "r1/", "a/b/c", "SH/1/heavy", "-",
	"b\xc3\xa4", "what?", NULL };
static const char *const TEXTS[] = { "I-2041", "wax", "a.b/c:d+e%@f", "\"two words\"", "\"say \\\"no\\\"\"", "\"open", "b\xc3\xa4h",
	"b\xffh", "(x)", "", NULL };
static const char *const DATES[] = { "2026-03-02", "2026-03-02", "2026-12-31", "2026-02-30", "2026-3-2", "2026-03-02..2026-04-01",
	"0000-01-01", "9999-12-31", "2026-03-02+", NULL };
static const char *const DAYS[] = { "2026-03-02", "2026-03-02", "2026-03-02", "2026-03-02", "2026-03-03", "2026-02-29", "26-03-02", NULL };
static const char *const TIMES[] = { " 10:00 ", " 23:59 ", "       ", " ", "  08:05   ", " 24:00 ", " 10:00:30 ", " 10:00Z ", "\t", " 10.00 ", NULL };
static const char *const GAPS[] = { " ", " ", " ", "    ", "         ", "  \t ", NULL };
static const char *const ENDS[] = { "", "", "", "", "", " ", "  ", " # a remark", "\r", " x", " by=jo by=mk", "\t", " # caf\xc3\xa9", " # \x01", "\t# x", "   #", NULL };

static void make_number(struct buf *out, int type)
{
	static const char *const CODES[] = { "GBP", "EUR", "NZD", "JPY", "KWD", "XXX", "gbp", "", NULL };
	const struct type_def *def = vocab_type(type);

	buf_str(out, pick(NUMBERS, type == TYPE_COUNT ? 7 : 10));
	if (type == TYPE_MONEY || type == TYPE_RATE)
		buf_str(out, pick(CODES, 3));
	else if (def->nunits && (!wild || dice(20)))
		buf_add(out, vocab_unit(def->first_unit + (int)dice((uint32_t)def->nunits))->name);
	if (wild && !dice(9))
		buf_str(out, dice(2) ? "+" : "-");
}

static void make_item(struct buf *out, const struct field_use *use)
{
	bool label = wild && !dice(9) ? dice(2) != 0 : use->shape & USE_LABEL_MUST || (use->shape & USE_LABEL_MAY && dice(2));

	if (label) {
		buf_str(out, pick(IDS, 20));
		buf_char(out, ':');
	}
	if (use->type == TYPE_TEXT)
		buf_str(out, pick(TEXTS, 5));
	else if (use->type == TYPE_DATE)
		buf_str(out, pick(DATES, 3));
	else if (value_is_number(use->type))
		make_number(out, use->type);
	else if (use->field->nwords && (!wild || dice(8)))
		buf_add(out, use->field->words[dice((uint32_t)use->field->nwords)]);
	else
		buf_str(out, pick(IDS, vocab_type_slash(use->type) ? 20 : 17));
}

static void make_field(struct buf *out, const struct field_use *use)
{
	uint32_t n = !(use->shape & USE_MANY) ? 1u + (wild && !dice(20)) : dice(200) ? 1 + dice(3) : 20 + dice(30);

	buf_str(out, dice(60) ? " " : "  ");
	buf_add(out, use->field->name);
	buf_char(out, '=');
	for (uint32_t i = 0; i < n; i++) {
		buf_str(out, i ? "," : "");
		make_item(out, use);
	}
}

/* An entry with the fields that it must have, and with some that it may have, mostly in the vocabulary's order. */
static void make_entry(struct buf *out)
{
	const struct event_def *event = vocab.events[dice((uint32_t)vocab.nevents)];
	uint32_t often = 1 + dice(8);

	wild = !dice(3);
	buf_str(out, pick(DAYS, 5));
	buf_str(out, pick(TIMES, 5));
	buf_add(out, event->name);
	buf_str(out, pick(GAPS, 6));
	buf_str(out, event->subjects == SUBJECT_CURRENCY ? "GBP" : event->subjects == SUBJECT_PIECE ? "L061/07" : pick(IDS, 17));
	buf_str(out, dice(20) ? "" : "   ");
	for (int i = 0; i < event->nuses; i++)
		if (!dice(often) || (event->uses[i].shape & (USE_NEEDED | USE_ONE_OF) && (!wild || dice(9))))
			make_field(out, &event->uses[!wild || dice(20) ? i : (int)dice((uint32_t)event->nuses)]);
	buf_str(out, pick(ENDS, 8));
	buf_char(out, '\n');
}

/* A book, now and then with a line longer than a block of marks, a blank one or a remark. */
static void make_book(struct buf *out, int entries)
{
	for (int i = 0; i < entries; i++) {
		make_entry(out);
		if (dice(300))
			continue;
		buf_str(out, dice(2) ? "# a remark" : "2026-03-02 note store/r1 text=\"");
		buf_fill(out, 'x', dice(2) ? 3 : 5000 + dice(9000));
		buf_str(out, "\"\n\n");
	}
}

/* ---- both ways */

static void same_told(void)
{
	struct buf a = BUF_INIT, b = BUF_INIT;

	for (size_t i = 0; i < reader_told.n; i++)
		diag_write(&a, &reader_told, &reader_told.row[i], SLICE("book"));
	for (size_t i = 0; i < parser_told.n; i++)
		diag_write(&b, &parser_told, &parser_told.row[i], SLICE("book"));
	CHECK_SLICE(buf_slice(&a), buf_slice(&b));
	buf_release(&a);
	buf_release(&b);
	diags_clear(&reader_told);
	diags_clear(&parser_told);
}

/* Every line of a text, which ends with a line end and has no carriage returns before one; how many are entries. */
static unsigned read_both(struct slice text)
{
	unsigned entries = 0;
	uint64_t number = 0;
	const struct line *l;

	reader_open_bytes(&reader, text, 0, false);
	while (text.n) {
		size_t n = slice_find(text, '\n');

		number++;
		CHECK_CASE(number);
		l = reader_next(&reader);
		if (!CHECK(l != NULL))
			return entries;
		same_line(l, parse_line(&parser, slice_upto(text, n), number, 0));
		same_told();
		entries += l->kind == LINE_EVENT;
		text = slice_from(text, n + 1);
	}
	CHECK(!reader_next(&reader));
	reader_close(&reader);
	return entries;
}

static void spoil(struct buf *text, uint32_t every)
{
	static const char SIGNS[] = " \t,:=/.%+-\"#0aZ_\x7f\x01\xc3";

	for (size_t at = dice(every); at < text->n; at += 1 + dice(every))
		if (text->p[at] != '\n')
			text->p[at] = dice(4) ? SIGNS[dice(sizeof SIGNS - 1)] : (char)dice(256);
	for (size_t i = 0; i < text->n; i++)
		if (text->p[i] == '\r' || (text->p[i] == '\n' && i && text->p[i - 1] == '\r'))
			text->p[i] = text->p[i] == '\r' ? 'r' : '\n';
}

static void read_file(struct buf *text, const char *path)
{
	FILE *in = fopen(path, "r");
	char block[4096];
	size_t n;

	text->n = 0;
	if (!CHECK(in != NULL))
		return;
	while ((n = fread(block, 1, sizeof block, in)))
		buf_add(text, (struct slice){ block, n });
	fclose(in);
}

/* The text as it is, and spoilt more and more. */
static void check_book(struct buf *text, unsigned least)
{
	CHECK(read_both(buf_slice(text)) >= least);
	for (uint32_t every = 5000; every > 20; every /= 6) {
		spoil(text, every);
		read_both(buf_slice(text));
	}
}

int main(void)
{
	static const char *const BOOKS[] = { "samples/book/2026a.wy", "samples/book/2026b.wy", "samples/book/2027a.wy", "samples/book/2027b.wy", NULL };
	struct buf text = BUF_INIT;

	vocab_init(&vocab);
	diags_init(&reader_told);
	diags_init(&parser_told);
	reader_init(&reader, &vocab, &reader_told);
	parser_init(&parser, &vocab, &parser_told);
	for (size_t i = 0; BOOKS[i]; i++) {
		read_file(&text, BOOKS[i]);
		check_book(&text, 1500);
	}
	for (int i = 0; i < 6; i++) {
		text.n = 0;
		make_book(&text, 4000);
		spoil(&text, 1u << 30);
		check_book(&text, 2000);
	}
	buf_release(&text);
	reader_release(&reader);
	parser_release(&parser);
	return check_end();
}
