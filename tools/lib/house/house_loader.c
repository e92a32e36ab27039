#include "base/utf8.h"
#include "house/house_internal.h"

struct problem_def {
	struct slice rule;
	int level;
};

#define SLICE_ROW(literal) { literal, sizeof(literal) - 1 }

#include "house_problems.h"

enum { SHOWN_MOST = 60 };

void *house_take(struct house *house, size_t n, size_t size)
{
	struct house_private *private = house->private;

	private->block = mem_grow(private->block, &private->blocks_cap, private->nblocks + 1, sizeof *private->block);
	return private->block[private->nblocks++] = mem_zeroed(n, size);
}

static void add_shown(struct buf *b, struct slice s)
{
	size_t n = s.n;

	if (n > SHOWN_MOST) {
		n = SHOWN_MOST;
		while (n && ((unsigned char)s.p[n] & 0xc0) == 0x80)
			n--;
	}
	utf8_add_visible(b, slice_upto(s, n));
	if (n < s.n)
		buf_str(b, "...");
}

static void add_template(struct buf *b, const char *words, const struct slice *args, size_t nargs)
{
	for (; *words; words++) {
		size_t arg = (size_t)(words[1] - '1');

		if (*words == '$' && words[1] && arg < nargs) {
			add_shown(b, args[arg]);
			words++;
		} else {
			buf_char(b, *words);
		}
	}
}

static void hand_over(struct house_loader *l, int problem, size_t line, size_t col)
{
	struct house_problem p = { line, col, PROBLEMS[problem].level == LEVEL_ERROR, PROBLEMS[problem].rule,
		buf_slice(&l->text), buf_slice(&l->mend) };

	*(p.error ? &l->house->errors : &l->house->warnings) += 1;
	l->told++;
	if (l->tell)
		l->tell(l->arg, &p);
}

void house_wrong(struct house_loader *l, int problem, const struct yaml *at, const char *text, const char *mend,
	const struct slice *args, size_t nargs)
{
	if (l->told > HOUSE_PROBLEMS_MOST)
		return;
	l->text.n = l->mend.n = 0;
	if (l->told == HOUSE_PROBLEMS_MOST) {
		problem = PROBLEM_MANY;
		text = "the file has more problems than the 200 reported";
		mend = "correct those first";
	}
	add_template(&l->text, text, args, nargs);
	add_template(&l->mend, mend, args, nargs);
	hand_over(l, problem, at->line, at->col);
}

void house_fail(struct house_loader *l, size_t line, size_t col, struct slice why)
{
	l->text.n = l->mend.n = 0;
	utf8_add_visible(&l->text, why);
	buf_str(&l->mend, "the rest of the file is not checked until this is corrected");
	hand_over(l, PROBLEM_YAML, line, col);
}
