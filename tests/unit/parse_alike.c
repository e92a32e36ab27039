/*
 * parse_alike.c: what parse_alike() and parse_fast() read is what parse_line() reads in full, for lines of the
 * shape of earlier ones, for lines that nearly are, and for lines with a byte gone wrong; in every way that this processor has.
 */
#include <stdlib.h>

#include "base/marks.h"
#include "book/diag.h"
#include "book/parse.h"
#include "check.h"
#include "same_line.h"

static struct vocab vocab;
static struct diags lane_told, full_told;
static struct parser lane, full;
static unsigned long alike, at_a_glance;
static uint32_t seed = 20260302;

static uint32_t dice(uint32_t sides)
{
	seed = seed * 1664525u + 1013904223u;
	return (uint32_t)((uint64_t)(seed >> 8) * sides >> 24);
}

static const char *pick(const char *const *of)
{
	uint32_t n = 0;

	while (of[n])
		n++;
	return of[dice(n)];
}

/* Values that are plain, odd, at a bound, beyond it, or none. */
static const char *const TEMPS[] = { "19.5C", "9.5C", "19C", "-3.25C", "19.50C", "0C", "00019C", "250C", "250.0001C", "-60C",
	"-60.1C", "19.5F", "19.5", "19.C", ".5C", "-.5C", "--5C", "19.12345C", "19.5CC", "1234567890C", "19,5C", "123456C", "-12.345C",
	"19.5c", "1.9.5C", "19.5C/", "+19C", "", "0019.25C", NULL };
static const char *const RHS[] = { "54%", "54.1%", "100%", "100.0%", "100.0001%", "0%", "-1%", "7.25%", "54", "54%%", "5O%", "99.9999%", NULL };
static const char *const COUNTS[] = { "4", "12", "007", "1000000000", "1000000001", "0", "-1", "4.0", "4x", "12345678", "123456789", NULL };
static const char *const PLACES[] = { "north", "south", "store/r1", "store/bats", "a", "cane", "a-long-place-name/b1", "st/ore/r1",
	"store/", "/r1", "-x", "yard/b1", "exactly-15bytes", "exactly-16-bytes", "b\xc3\xa4", NULL };
static const char *const LOTS[] = { "L061", "L062", "C014", "M26-05", "store/r1", "L", NULL };
static const char *const METERS[] = { "hyg1", "pin2/cane", "hyg10", "a-long-meter", "hyg1,hyg2", "h/y/g", "-", NULL };
static const char *const DAYS[] = { "2026-03-02", "2026-03-02", "2026-03-02", "2026-03-03", "2026-02-30", "2026-3-02", NULL };
static const char *const TIMES[] = { " 10:00", " 10:00", " 10:05", " 23:59", " 24:00", " 1:00", " 10:00Z", "", NULL };
static const char *const GAPS[] = { "      ", "      ", " 10:00", " 10:00  ", "", "       ", "         ", "     \t", NULL };
static const char *const PADS[] = { "    ", "    ", " ", "     ", "   \t", "", NULL };
static const char *const ENDS[] = { "", "", "", "", "", "", " ", " # dry", " by=mk", " by=mk temp=1C", "\r", NULL };

static void make_air(struct buf *b)
{
	buf_printf(b, "%s%s air %s", pick(DAYS), pick(TIMES), pick(PLACES));
	if (dice(8))
		buf_printf(b, " temp=%s", pick(TEMPS));
	if (dice(8))
		buf_printf(b, "%s rh=%s", dice(10) ? "" : " ", pick(RHS));
	if (dice(8))
		buf_printf(b, " meter=%s", pick(METERS));
}

static void make_line(struct buf *b, int steadiness)
{
	static const char *const STEADY[] = { "19.5C", "19.6C", "20.1C", "9.9C", "-3.1C", "-4.2C", NULL };
	static const char *const WET[] = { "54.3%", "61.9%", "100.0%", "100.1%", NULL };

	b->n = 0;
	if (dice(10) < (uint32_t)steadiness)
		buf_printf(b, "2026-03-02 10:%02u air %s temp=%s rh=%s meter=hyg1", dice(60), dice(2) ? "north" : "store/r1",
			pick(STEADY), pick(WET));
	else if (dice(10) < (uint32_t)steadiness)
		buf_printf(b, "2026-03-02%s move%s%s%sat=store/r1 count=%u into=yard/b%u", pick(GAPS), pick(PADS), pick(LOTS), pick(PADS), dice(40), dice(3));
	else if (dice(3))
		make_air(b);
	else
		buf_printf(b, "%s%s move %s at=%s count=%s into=yard/b%u", pick(DAYS), pick(TIMES), pick(LOTS), pick(PLACES), pick(COUNTS), dice(3));
	buf_str(b, dice(10) < (uint32_t)steadiness ? "" : pick(ENDS));
	if (b->n && !dice(20))
		b->p[dice((uint32_t)b->n)] = (char)dice(256);
	if (b->n && !dice(8))
		b->p[dice((uint32_t)b->n)] ^= (char)(1 << dice(8));
	for (size_t i = 0; i < b->n; i++)
		if (b->p[i] == '\n')
			b->p[i] = ' ';
}

static void same_told(void)
{
	struct buf a = BUF_INIT, b = BUF_INIT;

	for (size_t i = 0; i < lane_told.n; i++)
		diag_write(&a, &lane_told, &lane_told.row[i], SLICE("book"));
	for (size_t i = 0; i < full_told.n; i++)
		diag_write(&b, &full_told, &full_told.row[i], SLICE("book"));
	CHECK_SLICE(buf_slice(&a), buf_slice(&b));
	buf_release(&a);
	buf_release(&b);
	diags_clear(&lane_told);
	diags_clear(&full_told);
}

static void read_both(struct buf *b, uint64_t number)
{
	size_t n = b->n;
	const struct line *quick;
	struct slice text;

	buf_char(b, '\n');
	buf_fill(b, 'x', PARSE_PADDING);
	text = (struct slice){ b->p, n };
	parse_forget(&lane);
	quick = parse_alike(&lane, b->p, b->p + n + 1, number, 0);
	alike += quick != NULL;
	if (!quick)
		quick = parse_fast(&lane, b->p, b->p + n + 1, number, 0);
	at_a_glance += quick != NULL;
	if (quick)
		CHECK_INT(quick->text.n, n);
	else
		quick = parse_line(&lane, text, number, 0);
	same_line(quick, parse_line(&full, text, number, 0));
	same_told();
}

/* Lines with all that a shape has: no time and three forms of it, columns, tabs, lists, labels, dates, money, two units, absences. */
static const char *const SHAPES[] = {
	"2026-03-02 10:05 air store/r1 temp=-19.5C rh=54.1% meter=hyg1",
	"2026-03-02 10:05:30 air     north\ttemp=19C rh=54%",
	"2026-03-02 10:05+12:00 air north temp=19.25C wetbulb=12.5C",
	"2026-03-02       issue   C01009   at=store/r1 grade=2 count=1 into=shop for=O-318 by=jo",
	"2026-03-02 11:00 probe K26-05 mc=a:10.7%,b:-,c:30%+,d:9.5% wood=32C meter=pin2",
	"2026-03-02 order O-330 form=blade count=S6/1:10,S6/2:30,SH/3:25 due=2026-10-18 to=tervane",
	"2026-03-02 sell B0123 price=460.00NZD to=ostrin-cc for=O-372 doc=I-2188",
	"2026-03-02 finish B0123 mass=2lb11.5oz length=849mm width=10.7cm",
	"2026-03-02 judge C01009/12 grade=4 class=heavy grains=4 straight=slight fault=knot,speck mass=1.636kg",
	"2026-03-02 unload K26-02 type=SH count=667 cull=split:11,warp:7,honeycomb:2 into=bench",
	"2026-03-02 rate EUR is=1.8844NZD",
	"2026-03-02 pool M26-01 lot=L04031:25,L04032:32,L04033:30 at=store/r1 type=SH",
	"2026-03-02 note L061 text=I-20.41:b by=jo",
	"2026-03-02 note L061 text=\"two words\" by=jo",
	"2026-03-02 note L061 text=b\xc3\xa4h.7 by=jo   ",
	NULL
};

static uint64_t line_number;

/* The line as it is, often enough for its shape to be known, and then with one other byte or cut off there. */
static void read_changed(struct buf *b, struct slice line, size_t at, int byte)
{
	b->n = 0;
	if (byte < 0)
		buf_add(b, slice_upto(line, at));
	else {
		buf_add(b, line);
		b->p[at] = (char)byte;
	}
	read_both(b, ++line_number);
}

static void check_changes(struct buf *b, const char *text)
{
	struct slice line = slice_of(text);

	for (int i = 0; i < 4; i++)
		read_changed(b, line, line.n, -1);
	for (size_t at = 0; at < line.n; at++) {
		CHECK_CASE(at);
		read_changed(b, line, at, -1);
		for (int byte = (int)(at % 3); byte < 256; byte += 3)
			if (byte != '\n')
				read_changed(b, line, at, byte);
		for (const char *sign = " \t,:=/.%+-\"#09aZ_"; *sign; sign++)
			read_changed(b, line, at, *sign);
		read_changed(b, line, line.n, -1);
	}
}

/* More shapes than are kept. */
static void check_many(struct buf *b)
{
	for (int turn = 0; turn < 5000; turn++) {
		b->n = 0;
		buf_printf(b, "2026-03-02 make B%.*s handle=H%.*s at=shop by=%.*s", 1 + turn / 2 % 40, "1234567890123456789012345678901234567890",
			1 + turn / 80 % 40, "1234567890123456789012345678901234567890", 1 + turn % 2, "jo");
		read_both(b, ++line_number);
		read_both(b, ++line_number);
	}
}

static void check_random(struct buf *b)
{
	alike = at_a_glance = 0;
	for (int steadiness = 0; steadiness <= 10; steadiness += 5)
		for (uint64_t i = 1; i <= 40000; i++) {
			CHECK_CASE(i);
			make_line(b, steadiness);
			read_both(b, i);
		}
	CHECK_CASE(-1);
	CHECK(at_a_glance > 37000);
	CHECK(alike > 30000);
}

/* The ways are those of the marks: the plainest is the first. */
static int check_way(struct buf *b, int way)
{
	int ways;

	parser_init(&lane, &vocab, &lane_told);
	parser_init(&full, &vocab, &full_told);
	ways = marks_init_way(lane.marks, way);
	check_random(b);
	for (size_t i = 0; SHAPES[i]; i++)
		check_changes(b, SHAPES[i]);
	check_many(b);
	parser_release(&lane);
	parser_release(&full);
	return ways;
}

int main(void)
{
	struct buf b = BUF_INIT;

	vocab_init(&vocab);
	diags_init(&lane_told);
	diags_init(&full_told);
	for (int way = 0, ways = 1; way < ways; way++)
		ways = check_way(&b, way);
	buf_release(&b);
	return check_end();
}
