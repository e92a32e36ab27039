#include "book/select_count.h"

#include <stdlib.h>

#include "book/scan.h"
#include "book/select.h"

struct worker {
	struct select conditions;
	struct buf error;
	bool others, failed;
	uint64_t found;
};

static void *begin(void *arg)
{
	const struct select_count *count = arg;
	struct worker *w = mem_zeroed(1, sizeof *w);

	w->others = count->others;
	select_init(&w->conditions, count->vocab);
	w->conditions.any = count->any;
	for (size_t i = 0; i < count->nwords; i++)
		select_add(&w->conditions, slice_of(count->word[i]), &w->error);
	return w;
}

static void lines(void *state, struct reader *r)
{
	struct worker *w = state;
	const struct line *l;

	while ((l = reader_next(r))) {
		enum select_result is;

		if (l->kind != LINE_EVENT)
			continue;
		is = select_match(&w->conditions, l, &w->error);
		w->failed |= is == SELECT_FAILED;
		w->found += (is == SELECT_YES) != w->others;
	}
}

static void end(void *arg, void *state)
{
	struct select_count *count = arg;
	struct worker *w = state;

	count->found += w->found;
	count->failed |= w->failed;
	select_release(&w->conditions);
	buf_release(&w->error);
	free(w);
}

struct scan_work select_count_work(struct select_count *count)
{
	return (struct scan_work){ count, begin, lines, end };
}
