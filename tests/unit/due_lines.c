/* Where each matter was last written of: names, first and last, lines of one moment, and lines that cannot be read. */
#include "book/diag.h"
#include "book/parse.h"
#include "due/due_lines.h"
#include "check.h"

static const char *const BOOK[] = {
	"2026-03-02 air store/r1 temp=20C rh=50% meter=hyg1",
	"2026-03-01 10:00 air store/r1 temp=20C rh=50% meter=hyg1/dry",
	"2026-03-02 08:00 air store/r1 temp=20C rh=51% meter=hyg2",
	"2026-03-03 probe K1 in=a:L1/SH mc=a:20%,b:22% wood=20C meter=pin2/cane",
	"2026-03-05 prob K1 mc=a:20%",
	"2026-03-04 tally L1 at=store/r1 form=blade count=7",
	"# a comment",
	"2026-03-04 probe K1 mc=b:21% wood=20C meter=pin2",
	"2026-03-06 move L1 at=store/r1 count=3 into=shop",
	"2026-03-02 08:00 air store/r1 temp=21C rh=51% meter=hyg2",
};

enum { LINES = sizeof BOOK / sizeof *BOOK };

static const struct {
	const char *word, *a, *b;
	uint64_t first, last;
} NAMES[] = {
	{ "air", "store/r1", "", 2, 10 },
	{ "air", "store/r1", "2026-03-02", 1, 10 },      /* an untimed line comes before the times of its day */
	{ "air", "store/r1", "2026-03-02 08:00", 3, 10 }, /* of one moment the later one in the input is the last */
	{ "air", "store/r1", "2026-03-03", 0, 0 },
	{ "air", "store/r1", "2026-03-02 09:00", 0, 0 },
	{ "air", "store/r1", "2026-03-2", 0, 0 },        /* not a day */
	{ "air", "store/r1", "some day in March", 0, 0 },
	{ "air", "store", "", 0, 0 },
	{ "", "store/r1", "2026-03-01", 2, 2 },
	{ "meter=", "hyg1", "", 2, 1 },
	{ "meter=", "hyg1/dry", "", 0, 0 },
	{ "meter=", "pin2", "", 4, 8 },
	{ "probe", "K1", "", 4, 8 },
	{ "probe", "K1", "2026-03-04", 8, 8 },
	{ "mc", "K1", "2026-03-04", 8, 8 },
	{ "mc", "store/r1", "2026-03-02", 0, 0 },
	{ "", "L1", "", 6, 9 },
	{ "", "K1", "", 4, 8 },                          /* not the line that cannot be read */
	{ "tally at", "store/r1", "", 6, 6 },
	{ "into", "shop", "", 9, 9 },
	{ "order", "O-1", "", 0, 0 },
};

static void take(struct due_lines *lines, struct parser *parser, size_t i)
{
	due_lines_take(lines, parse_line(parser, slice_of(BOOK[i]), i + 1, 0));
}

static void check_names(struct due_lines *lines)
{
	for (size_t i = 0; i < sizeof NAMES / sizeof *NAMES; i++) {
		CHECK_CASE(i);
		CHECK_INT(due_lines_first(lines, NAMES[i].word, slice_of(NAMES[i].a), slice_of(NAMES[i].b)).number, NAMES[i].first);
		CHECK_INT(due_lines_last(lines, NAMES[i].word, slice_of(NAMES[i].a), slice_of(NAMES[i].b)).number, NAMES[i].last);
	}
	CHECK_CASE(-1);
}

static void check_notes(const struct due_lines *lines)
{
	const struct place tally = { .line = 6 }, bad = { .line = 5 }, comment = { .line = 7 }, other = { .file = 1, .line = 6 };
	const struct due_note *note = due_lines_at(lines, &tally);

	CHECK(note && note->event && note->event->id == EVENT_TALLY && note->stamp.day != INT32_MIN);
	CHECK(note && slice_eq(due_lines_subject(lines, note), SLICE("L1")));
	note = due_lines_at(lines, &bad);
	CHECK(note && note->stamp.day == INT32_MIN && !note->event && due_lines_subject(lines, note).n == 0);
	CHECK(!due_lines_at(lines, &comment));
	CHECK(!due_lines_at(lines, &other));
}

int main(void)
{
	static struct vocab vocab;
	struct diags diags;
	struct parser parser;
	struct due_lines lines;

	vocab_init(&vocab);
	diags_init(&diags);
	parser_init(&parser, &vocab, &diags);
	due_lines_init(&lines);
	for (size_t i = 0; i < LINES; i++)
		take(&lines, &parser, i);
	check_names(&lines);
	check_notes(&lines);
	due_lines_release(&lines);
	parser_release(&parser);
	diags_release(&diags);
	return check_end();
}
