/* oven.h: pieces by their labels, and by their places where there are none. */
#include "book/diag.h"
#include "book/parse.h"
#include "moist/oven.h"
#include "check.h"

static struct vocab vocab;
static struct parser parser;

/* The text of the dry mass beside the i-th reading, which has that label; "" for none. */
static struct slice dry_beside(const char *line, size_t i, const char *label)
{
	const struct line *l = parse_line(&parser, slice_of(line), 1, 0);
	const struct item *found = oven_beside(l, FIELD_DRY, i, slice_of(label));

	return found ? found->text : SLICE("");
}

int main(void)
{
	static const char labelled[] = "2026-05-01 oven K1 mc=a:10%,b:11% wet=a:30g,b:40g dry=b:36g,a:27g";
	static const char placed[] = "2026-05-01 oven K1 mc=10%,11% wet=30g,40g dry=27g,36g";
	struct diags diags;

	vocab_init(&vocab);
	diags_init(&diags);
	parser_init(&parser, &vocab, &diags);
	CHECK_TEXT(dry_beside(labelled, 0, "a"), "27g");
	CHECK_TEXT(dry_beside(labelled, 1, "b"), "36g");
	CHECK_TEXT(dry_beside(labelled, 0, "c"), "");
	CHECK_TEXT(dry_beside(labelled, 0, ""), ""); /* a labelled mass belongs to its label alone */
	CHECK_TEXT(dry_beside(placed, 1, ""), "36g");
	CHECK_TEXT(dry_beside(placed, 2, ""), "");
	CHECK_TEXT(dry_beside(placed, 1, "a"), "");
	CHECK_TEXT(dry_beside("2026-05-01 oven K1 mc=10% wet=30g", 0, ""), "");
	parser_release(&parser);
	diags_release(&diags);
	return check_end();
}
