/*
 * parse.h: the quick way and the thorough way read the same. Random runs of lines, alike and not,
 * good and bad, go through parse_alike() and parse_fast() with parse_line() behind them, and through parse_line()
 * alone; what both say must be equal to the last slice and the last diagnostic.
 */
#include "book/diag.h"
#include "book/parse.h"
#include "check.h"
#include "thrown.h"

static const char *const PLACES[] = { "north", "south", "store/r1", "store/bats", "cane", "a/", "/b", "c/d/e", "-x", "9" };
static const char *const NUMBERS[] = { "20", "20.5", "9", "-3.25", "100", "101", "250.0001", "0.00001", "1e3", ".5", "5.", "",
	"-", "000", "123456789", "1234567890", "12345678901234567890", "--1", "7..8" };
static const char *const UNITS[] = { "C", "C", "C", "F", "%", "", "K", "C+", "C," };
static const char *const DAYS[] = { "2026-06-09", "2026-06-09", "2026-06-09", "2026-06-10", "2026-02-30" };
static const char *const TIMES[] = { "14:00 ", "14:00 ", "14:10 ", "24:00 ", "9:30 ", "", "14:00:30 ", "14:00+12:00 ", "1x:00 " };
static const char *const ENDS[] = { "", "", "", "", " ", " # remark", "#x", "\t", "\xc3\xbc", "\x01", " meter=hyg1", " meter=pin2/cane",
	" by=mk,jo", " by=mk" };

#define ANY(list) list[thrown_below(sizeof list / sizeof *list)]
#define FIRST(list, odds) (thrown_below(odds) ? list[0] : ANY(list))

static void make_line(struct buf *out)
{
	buf_str(out, FIRST(DAYS, 12));
	buf_char(out, ' ');
	buf_str(out, FIRST(TIMES, 6));
	buf_str(out, thrown_below(20) ? "air " : thrown_below(2) ? "probe " : "count ");
	buf_str(out, PLACES[thrown_below(thrown_below(4) ? 5 : 10)]);
	buf_str(out, thrown_below(30) ? " temp=" : "  tempo=");
	buf_str(out, NUMBERS[thrown_below(thrown_below(4) ? 5 : sizeof NUMBERS / sizeof *NUMBERS)]);
	buf_str(out, FIRST(UNITS, 8));
	if (thrown_below(10)) {
		buf_str(out, " rh=");
		buf_str(out, NUMBERS[thrown_below(thrown_below(4) ? 3 : sizeof NUMBERS / sizeof *NUMBERS)]);
		buf_str(out, thrown_below(12) ? "%" : "");
	}
	buf_str(out, FIRST(ENDS, 5));
}

/* A part of one line and of the other: the same bytes at the same place. */
static bool same_slice(const struct line *x, struct slice a, const struct line *y, struct slice b)
{
	return slice_eq(a, b) && (a.n == 0 || a.p - x->text.p == b.p - y->text.p);
}

static bool same_field(const struct line *a, const struct line *b, size_t i)
{
	const struct field *x = &a->field[i], *y = &b->field[i];

	if (x->use != y->use || !same_slice(a, x->key, b, y->key) || !same_slice(a, x->text, b, y->text) || x->n != y->n || x->first != y->first)
		return false;
	for (size_t k = x->first; k < x->first + x->n; k++) {
		const struct item *p = &a->item[k], *q = &b->item[k];

		if (!same_slice(a, p->label, b, q->label) || !same_slice(a, p->text, b, q->text))
			return false;
		if (p->v.mark != q->v.mark || p->v.fix != q->v.fix || p->v.high != q->v.high || p->v.unit != q->v.unit)
			return false;
	}
	return true;
}

static bool same_line(const struct line *a, const struct line *b)
{
	if (a->kind != b->kind || a->number != b->number || !same_slice(a, a->text, b, b->text))
		return false;
	if (a->kind != LINE_EVENT)
		return true;
	if (a->event != b->event || a->stamp.day != b->stamp.day || a->stamp.second != b->stamp.second || a->stamp.offset != b->stamp.offset)
		return false;
	if (!same_slice(a, a->date, b, b->date) || !same_slice(a, a->time, b, b->time) || !same_slice(a, a->word, b, b->word))
		return false;
	if (!same_slice(a, a->subject, b, b->subject) || !same_slice(a, a->remark, b, b->remark) || a->nfields != b->nfields)
		return false;
	for (size_t i = 0; i < a->nfields; i++)
		if (!same_field(a, b, i) || a->slot[a->field[i].use->field->id] != i + 1)
			return false;
	return memcmp(a->slot, b->slot, sizeof a->slot) == 0;
}

/* The way a reader goes: at a glance if it can, else thoroughly. */
static const struct line *either(struct parser *ps, struct slice text, uint64_t number, unsigned *quick)
{
	const struct line *l;

	parse_forget(ps);
	l = parse_alike(ps, text.p, text.p + text.n + 1, number, 0);
	if (!l)
		l = parse_fast(ps, text.p, text.p + text.n + 1, number, 0);
	*quick += l != NULL;
	return l ? l : parse_line(ps, text, number, 0);
}

int main(void)
{
	static struct vocab vocab;
	static struct parser one, two;
	struct diags d1, d2;
	struct buf text = BUF_INIT;
	unsigned quick = 0, good = 0;

	thrown_seed = 7;
	vocab_init(&vocab);
	diags_init(&d1);
	diags_init(&d2);
	parser_init(&one, &vocab, &d1);
	parser_init(&two, &vocab, &d2);
	for (unsigned i = 1; i <= 200000; i++) {
		const struct line *a, *b;
		struct slice s;

		text.n = 0;
		make_line(&text);
		s.n = text.n;
		buf_char(&text, '\n');
		buf_fill(&text, '\0', PARSE_PADDING);
		s.p = text.p;
		a = either(&one, s, i, &quick);
		b = parse_line(&two, s, i, 0);
		good += b->kind == LINE_EVENT;
		if (!CHECK(same_line(a, b)))
			printf("\t%.*s\n", (int)s.n, s.p);
	}
	CHECK_INT(d1.n, d2.n);
	CHECK_SLICE(buf_slice(&d1.words), buf_slice(&d2.words));
	CHECK(quick > 20000 && good > quick);
	printf("%u of %u good lines at a glance\n", quick, good);
	buf_release(&text);
	parser_release(&one);
	parser_release(&two);
	diags_release(&d1);
	diags_release(&d2);
	return check_end();
}
