/*
 * What the lines say of numbered pieces, in whichever order they come: of each thing the latest counts, of two at one moment the
 * greater; a piece in a bat is in that one; whole lots are no pieces.
 */
#include "base/intern.h"
#include "book/diag.h"
#include "book/parse.h"
#include "pair/piece_notes.h"
#include "check.h"

enum { LINES = 11 };

static const char *const BOOK[LINES] = {
	"2026-03-02 judge C1/01 grade=1 class=light mass=1500g",
	"2026-03-03 09:00 judge C1/01 grade=2",
	"2026-03-03 09:00 judge C1/01 grade=3",
	"2026-03-03 judge C1/01 grade=4",                /* without a time: before the timed ones */
	"2026-03-04 judge C1/01 mass=1490g grains=7",
	"2026-03-05 judge C1/01 class=- grains=8",
	"2026-03-06 make B2 blade=C1/02 handle=H1 at=shop",
	"2026-03-01 judge C1/02 mass=1400g",
	"2026-03-01 judge C1/02 mass=1401g",
	"2026-03-06 rehandle B3 handle=H1/05 at=shop cull=broken:1",
	"2026-03-02 judge C1 grade=1",
};

static struct vocab vocab;

static void add_book(struct piece_notes *notes, int first, int step)
{
	struct diags diags;
	struct parser parser;

	diags_init(&diags);
	parser_init(&parser, &vocab, &diags);
	for (int i = 0; i < LINES; i++) {
		const struct line *l = parse_line(&parser, slice_of(BOOK[(first + i * step) % LINES]), 1, 0);

		if (l->kind == LINE_EVENT)
			piece_notes_take(notes, l);
	}
	parser_release(&parser);
	diags_release(&diags);
}

static const struct piece_note *note(const struct piece_notes *notes, const char *piece)
{
	return piece_note_of(notes, intern_find(notes->ids, slice_of(piece)));
}

static void check_notes(struct piece_notes *notes)
{
	const struct piece_note *one = note(notes, "C1/01"), *two = note(notes, "C1/02"), *handle = note(notes, "H1/05"), *list;
	size_t n;

	if (!CHECK(one && two && handle))
		return;
	CHECK_TEXT(intern_text(notes->ids, one->grade), "3");
	CHECK_TEXT(intern_text(notes->ids, one->class), "light");
	CHECK_INT(one->mass, 1490000000);
	CHECK_INT(one->bat, 0);
	CHECK_INT(two->grade, 0);
	CHECK_INT(two->mass, 1401000000);
	CHECK_TEXT(intern_text(notes->ids, two->bat), "B2");
	CHECK_TEXT(intern_text(notes->ids, handle->bat), "B3");
	CHECK(!note(notes, "C1") && !note(notes, "H1") && !note(notes, "C1/03"));
	list = piece_notes_of_lot(notes, one->lot, &n);
	CHECK_INT(n, 2);
	CHECK(list == one && list + 1 == two);
	piece_notes_of_lot(notes, 900, &n);
	CHECK_INT(n, 0);
}

int main(void)
{
	vocab_init(&vocab);
	for (int first = 0; first < LINES; first++)
		for (int step = 1; step < LINES; step++) {
			struct intern ids;
			struct piece_notes notes;

			CHECK_CASE(first * LINES + step);
			intern_init(&ids);
			piece_notes_init(&notes, &ids);
			add_book(&notes, first, step);
			piece_notes_sort(&notes);
			check_notes(&notes);
			piece_notes_release(&notes);
			intern_release(&ids);
		}
	return check_end();
}
