#include "weigh/blanks.h"

#include <math.h>
#include <stdlib.h>

#include "book/value.h"
#include "weigh/weigh_parts.h"
#include "wood/moisture.h"

const char *const blank_moisture_words[] = { "piece", "lot", "none" };

/* Of the readings of a lot, or of all: whole numbers, so that the order does not matter. */
struct mc_sum {
	int64_t sum, n;
};

static void mc_add(struct mc_sum *s, int64_t mc)
{
	s->sum += mc;
	s->n++;
}

static double mc_mean_pct(const struct mc_sum *s)
{
	return s->n ? (double)s->sum / (double)s->n / VALUE_STEPS : NAN;
}

void blanks_release(struct blanks *blanks)
{
	free(blanks->row);
	memset(blanks, 0, sizeof *blanks);
}

/* By lot, and under 0 of all. */
static struct mc_sum *sums_of(const struct weigh_book *book)
{
	struct mc_sum *sums = mem_zeroed(book->ids->n, sizeof *sums);

	for (size_t i = 0; i < book->njudged; i++)
		if (book->judged[i].mc != HOUSE_NONE) {
			mc_add(&sums[book->judged[i].lot], book->judged[i].mc);
			mc_add(&sums[0], book->judged[i].mc);
		}
	return sums;
}

static double issue_of(const struct weigh_book *book, double asked_pct, const struct mc_sum *all)
{
	if (!isnan(asked_pct))
		return asked_pct;
	if (book->house && book->house->ready.node && book->house->ready.target != HOUSE_NONE)
		return (double)book->house->ready.target / VALUE_STEPS;
	return mc_mean_pct(all);
}

/* What it would weigh at the moisture of issue, where both moistures are known. */
static double at_issue_g(double mass_g, double mc_pct, double issue_pct)
{
	return isnan(mc_pct) || isnan(issue_pct) ? mass_g : mass_at_mc_g(mass_g, mc_pct, issue_pct);
}

/* Whether a weighing counts: with its own moisture, if any of the piece has one. */
static bool counts(const struct weigh_judged *j, bool any_read)
{
	return j->mass && (j->mc != HOUSE_NONE || !any_read);
}

static void add_weighing(struct blank *blank, const struct weigh_judged *j, double lot_pct, double issue_pct)
{
	blank->weighed_g = (double)j->as_weighed / 1e6;
	blank->mc_pct = j->mc != HOUSE_NONE ? (double)j->mc / VALUE_STEPS : lot_pct;
	blank->day = j->when.day;
	blank->mass_g += at_issue_g((double)j->mass / 1e6, blank->mc_pct, issue_pct);
	blank->weighings++;
}

/* The rows of one piece, in the order of their days. */
static void add_piece(struct blanks *blanks, const struct weigh_judged *j, size_t n, double lot_pct)
{
	struct blank blank = { .name = j->name, .piece = j->piece, .lot = j->lot };
	bool any_read = false;

	for (size_t i = 0; i < n; i++) {
		any_read |= j[i].mass && j[i].mc != HOUSE_NONE;
		blank.class = blank.class ? blank.class : j[i].class;
		blank.grade = blank.grade ? blank.grade : j[i].grade;
	}
	for (size_t i = 0; i < n; i++)
		if (counts(&j[i], any_read))
			add_weighing(&blank, &j[i], lot_pct, blanks->issue_pct);
	if (!blank.weighings)
		return;
	blank.mass_g /= (double)blank.weighings;
	blank.moisture = any_read ? BLANK_READ : isnan(lot_pct) ? BLANK_NOT_READ : BLANK_READ_OF_LOT;
	blanks->row = mem_grow(blanks->row, &blanks->cap, blanks->n + 1, sizeof *blanks->row);
	blanks->row[blanks->n++] = blank;
}

/* Whether a bat was made before another, on one day by its name. */
static bool is_before(const struct weigh_book *book, const struct stated_bat *a, const struct stated_bat *b)
{
	return a->day != b->day ? a->day < b->day : slice_cmp(intern_text(book->ids, a->id), intern_text(book->ids, b->id)) < 0;
}

/* A bat says which blade is in it; if two say the same, the first has it. */
static void set_bats(struct blanks *blanks, const struct weigh_book *book)
{
	const struct stated_bat **made = mem_zeroed(book->ids->n, sizeof *made);
	const struct stated_bat *row = book->stated.bat;

	for (size_t i = 0; i < book->stated.nbats; i++)
		if (row[i].blade && (!made[row[i].blade] || is_before(book, &row[i], made[row[i].blade])))
			made[row[i].blade] = &row[i];
	for (size_t i = 0; i < blanks->n; i++)
		blanks->row[i].bat = made[blanks->row[i].piece] ? made[blanks->row[i].piece]->id : 0;
	free(made);
}

void blanks_find(struct blanks *blanks, const struct weigh_book *book, double issue_pct)
{
	struct mc_sum *sums = sums_of(book);

	*blanks = (struct blanks){ .issue_pct = issue_of(book, issue_pct, &sums[0]) };
	for (size_t i = 0, n; i < book->njudged; i += n) {
		for (n = 1; i + n < book->njudged && book->judged[i + n].piece == book->judged[i].piece;)
			n++;
		add_piece(blanks, &book->judged[i], n, mc_mean_pct(&sums[book->judged[i].lot]));
	}
	set_bats(blanks, book);
	free(sums);
}
