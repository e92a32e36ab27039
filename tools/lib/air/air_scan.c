#include "air/air_scan.h"

#include <stdlib.h>

#include "air/air_ask.h"
#include "air/air_book.h"
#include "air/kiln_stays.h"
#include "book/scan.h"

struct worker {
	const struct air_ask *ask;
	struct air_book book;
	struct kiln_stays stays;
	bool wants_stays;
	struct zone_memo memo;
};

static void *begin(void *arg)
{
	const struct air_scan *scan = arg;
	struct worker *w = mem_zeroed(1, sizeof *w);

	w->ask = scan->ask;
	air_book_init(&w->book, scan->into->zone, scan->into->house);
	kiln_stays_init(&w->stays);
	w->wants_stays = scan->stays != NULL;
	return w;
}

static void take_stay(struct worker *w, const struct line *l)
{
	enum zone_kind kind;

	kiln_stays_take(&w->stays, l, zone_stamp(w->book.zone, &w->memo, &l->stamp, &kind));
}

static void lines(void *state, struct reader *r)
{
	struct worker *w = state;
	const struct line *l;

	while ((l = reader_next(r))) {
		if (l->kind != LINE_EVENT)
			continue;
		if (w->wants_stays && l->event->stock.moves)
			take_stay(w, l);
		if (l->event->id != EVENT_AIR)
			air_book_take(&w->book, l); /* the checks of all instruments, and what was found of wood */
		else if (air_ask_place(w->ask, l->subject))
			air_book_take_air(&w->book, l);
	}
}

static void end(void *arg, void *state)
{
	struct air_scan *scan = arg;
	struct worker *w = state;

	air_book_merge(scan->into, &w->book);
	if (scan->stays)
		kiln_stays_merge(scan->stays, &w->stays);
	air_book_release(&w->book);
	kiln_stays_release(&w->stays);
	free(w);
}

struct scan_work air_scan_work(struct air_scan *scan)
{
	return (struct scan_work){ scan, begin, lines, end };
}
