#include "jot/jot_verdict.h"

#include "book/diag.h"
#include "check.h"

/* A diagnostic without args: line-end-missing is one of a line alone. */
static void add(struct diags *d, uint32_t file, uint64_t line)
{
	DIAG0(d, RULE_LINE_END_MISSING, ((struct place){ file, 1, 1, line }));
}

static void check_left(const struct diags *before, const struct diags *from, struct jot_change change, size_t want, uint64_t line)
{
	struct diags after;

	diags_init(&after);
	diags_set_level(&after, RULE_LINE_END_MISSING, LEVEL_ERROR);
	for (size_t i = 0; i < from->n; i++)
		add(&after, from->row[i].place.file, from->row[i].place.line);
	jot_verdict(&after, before, &change);
	CHECK(after.n == want);
	CHECK(after.count[LEVEL_ERROR] == want);
	CHECK(!want || after.row[0].place.line == line);
	diags_release(&after);
}

int main(void)
{
	struct diags before, after;

	diags_init(&before);
	diags_init(&after);
	diags_set_level(&before, RULE_LINE_END_MISSING, LEVEL_ERROR);
	diags_set_level(&after, RULE_LINE_END_MISSING, LEVEL_ERROR);
	add(&before, 0, 5);
	add(&before, 1, 7);
	add(&after, 0, 5);
	add(&after, 1, 7);
	check_left(&before, &after, (struct jot_change){ 1, 9, 1 }, 0, 0);
	add(&after, 1, 9);
	check_left(&before, &after, (struct jot_change){ 1, 9, 1 }, 1, 9);
	/* the same rule once more at a line that had it */
	add(&after, 0, 5);
	check_left(&before, &after, (struct jot_change){ 1, 9, 1 }, 2, 9);
	after.n = 0;
	add(&after, 0, 6);
	check_left(&before, &after, (struct jot_change){ 1, 9, 1 }, 1, 6);
	/* line 3 of file 1 was taken out: what was at 7 is at 6 */
	after.n = 0;
	add(&after, 0, 5);
	add(&after, 1, 6);
	check_left(&before, &after, (struct jot_change){ 1, 3, -1 }, 0, 0);
	add(&after, 1, 7);
	check_left(&before, &after, (struct jot_change){ 1, 3, -1 }, 1, 7);
	diags_release(&before);
	diags_release(&after);
	return check_end();
}
