/*
 * The rules' own examples. Without an argument: every rule is whole. With a folder: its wrong and
 * right books are written there as RULE.wrong.wy and RULE.right.wy, and a line is printed for each
 * rule: id, clause, level, place of the diagnostic, the id between blanks in shell's way.
 */
#include "book/diag.h"
#include "check.h"

static int hex(char c)
{
	return c >= '0' && c <= '9' ? c - '0' : c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

/* \xHH stands for a byte, \LONG for a line that is too long. */
static void write_book(FILE *f, struct slice book)
{
	for (int i = 0; slice_starts(book, SLICE("\\LONG")) && i < 65537; i++)
		putc('#', f);
	if (slice_starts(book, SLICE("\\LONG"))) {
		putc('\n', f);
		return;
	}
	for (size_t i = 0; i < book.n; i++) {
		if (i + 3 < book.n && book.p[i] == '\\' && book.p[i + 1] == 'x' && hex(book.p[i + 2]) >= 0 && hex(book.p[i + 3]) >= 0) {
			putc(hex(book.p[i + 2]) * 16 + hex(book.p[i + 3]), f);
			i += 3;
		} else
			putc(book.p[i], f);
	}
}

static bool save(const char *folder, struct slice id, const char *kind, struct slice book)
{
	char path[4096];
	FILE *f;

	snprintf(path, sizeof path, "%s/%.*s.%s.wy", folder, (int)id.n, id.p, kind);
	f = fopen(path, "wb");
	if (!f)
		return false;
	write_book(f, book);
	return fclose(f) == 0;
}

static int write_examples(const char *folder)
{
	for (int i = 0; i < RULES_END; i++) {
		const struct rule_def *rule = diag_rule(i);
		struct slice level = diag_level_word(rule->level);

		if (!save(folder, rule->id, "wrong", rule->wrong) || !save(folder, rule->id, "right", rule->right))
			return 1;
		printf("%.*s\t%.*s\t%.*s\t%.*s\n", (int)rule->id.n, rule->id.p, (int)rule->clause.n, rule->clause.p,
			(int)level.n, level.p, (int)rule->at.n, rule->at.p);
	}
	return 0;
}

static void check_rule(int i)
{
	const struct rule_def *rule = diag_rule(i);

	CHECK_CASE(i);
	CHECK_INT(diag_rule_named(rule->id), i);
	CHECK(rule->text.n && rule->mend.n && rule->wrong.n && rule->right.n);
	CHECK(!slice_eq(rule->wrong, rule->right));
	CHECK(rule->level > LEVEL_NONE && rule->level <= LEVEL_ERROR);
	CHECK(rule->nargs < 8);
}

int main(int argc, char **argv)
{
	if (argc > 1)
		return write_examples(argv[1]);
	CHECK(RULES_END < 256); /* struct diags keeps a level for each in 256 bytes */
	for (int i = 0; i < RULES_END; i++)
		check_rule(i);
	CHECK_SLICE(diag_rule_near(SLICE("stok-short")), SLICE("stock-short"));
	return check_end();
}
