/*
 * tool_book.h - what every filter that reads a book does: find the house file, set up the
 * vocabulary with the works' own words, open the operands (or standard input, or with -b the
 * book that the house names), read them one after another, and say what could not be read.
 *
 * Like tool.h this is the shared half of every main: it prints and may end the process.
 *
 *	struct book book;
 *	const struct line *l;
 *
 *	book_start(&book, BOOK_HOUSE);
 *	while ((l = book_next(&book)))
 *		if (l->kind == LINE_EVENT && l->event->id == EVENT_AIR)
 *			...
 *	status = book_end(&book);     (reports mistakes; does not return when no answer may be printed)
 */
#ifndef WITHY_TOOL_BOOK_H
#define WITHY_TOOL_BOOK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "book/scan.h"
#include "cli/tool.h"
#include "house/house.h"

struct house;
struct line;
struct provenance;
struct scan_work;
struct stock;
struct zone;
struct zone_memo;

enum {
	BOOK_HOUSE = 1,     /* a house file must be found; without this flag one is used if there is one */
	BOOK_QUIET = 2,     /* book_end() reports no mistakes (wy-check does that itself) */
	BOOK_PATTERNS = 4,  /* the house's patterns of ids are compiled */
	BOOK_WHOLE = 8,     /* every line counts: the tool has no --without-bad */
	BOOK_HALVES = 16    /* book_read_halves() will be called: its threads are started before the house is read */
};

struct book {
	struct vocab vocab;          /* the built-in words and the works' own */
	struct diags diags;          /* of the house's levels */
	const struct house *house;   /* NULL when there is none */
	char *house_path;            /* or NULL */
	struct zone *zone;           /* the works' clock; UTC without a house */
	struct zone_memo *memo;      /* of book_instant() */
	const char **path;           /* what is read, "-" for standard input; diag files index it */
	size_t npaths, paths_cap;
	size_t at;                   /* which path is being read */
	struct reader reader;
	uint64_t unread;             /* lines that could not be read, so far */
	uint64_t faults;             /* set by book_stock_tell(): lines that did not add up */
	uint64_t lines, read_before; /* lines so far, and the bytes of the files before this one */
	uint64_t bytes;              /* of all files, where bytes_known */
	bool bytes_known;
	unsigned flags;
};

/*
 * Uses tool.house, tool.book and tool.operands (a tool that takes other operands off sets
 * tool.n_operands to what is left). Ends the process with 2, and the reason, when the
 * house file is missing (and needed) or wrong.
 */
void book_start(struct book *b, unsigned flags);

/* Adds a file to be read, before the first book_next(). */
void book_add(struct book *b, const char *path);

/*
 * The next line of any kind of all files, valid until the next call; NULL at the end. A file that
 * cannot be read ends the process with 2. Lines of kind LINE_BAD have been counted and reported.
 */
const struct line *book_next(struct book *b);

/*
 * Two halves of a work that have nothing to do with each other: each takes every line, with the instant of an event, and
 * then ends. Where there are two cores and the book can be read twice, `beside` does so on another thread, else they take
 * turns. What is found in the lines is reported once, and only `here` may look at the book.
 */
struct book_half {
	void (*take)(void *context, const struct line *l, int64_t utc_s);
	void (*end)(void *context);  /* or NULL */
	void *context;
};

void book_read_halves(struct book *b, const struct book_half *beside, const struct book_half *here);

/*
 * Prints the diagnostics so far to standard error and forgets them: for filters that pass lines on
 * and report mistakes at once.
 */
void book_tell(struct book *b);

/*
 * After the last line: prints the diagnostics of what was read to standard error. Where lines could
 * not be read and --without-bad was not given, it ends the process with 1 and no answer; with it,
 * says how many were left out and returns 1. Returns 0 when all was read.
 */
int book_end(struct book *b);

/*
 * For answers that do not depend on the order of lines: reads all of the book on --workers workers
 * (scan.h says what the functions of `work` do) instead of the loop over book_next(). book_end()
 * is then called as ever. A filter that uses it has book_worker_options among its own.
 */
void book_scan(struct book *b, const struct scan_work *work);
extern const struct opt book_worker_options[];

/* What --workers says, for the work after the lines; 0: as many as there are cores. */
size_t book_workers(void);

/* Ends the process: the file with that index cannot be read. `at` is reader_used() when the error came. */
_Noreturn void book_cannot_read(const struct book *b, size_t path, int error, int64_t at);

/* The day that the answer is as of: --on, $WITHY_TODAY or today on the works' clock. */
int32_t book_today(const struct book *b);

/*
 * The days of --from and --to, and the day of --since. Days in the wrong order end the process as
 * wrong use.
 */
void book_period(const struct opt_day *from_day, const struct opt_day *to_day, int32_t *from, int32_t *to);
int32_t book_since(const struct opt_day *since, int32_t today);

/*
 * The instant of a stamp in seconds since 1970 UTC by the works' clock: an untimed one is noon.
 * A doubled hour is its second pass. False for an hour that the clock skipped; then *utc_s is the
 * instant that the clock was set.
 */
bool book_instant(struct book *b, const struct stamp *stamp, int64_t *utc_s);

/*
 * Sets a stock engine up for this book's house, and hands it a good line with its instant by the
 * works' clock.
 */
void book_stock_init(const struct book *b, struct stock *s);
void book_stock_add(struct book *b, struct stock *s, const struct line *l);

/*
 * The start of an answer about pieces: book_start() without flags, the stock engine, the day of the answer and the first day of
 * --since (INT32_MIN without it).
 */
void book_stock_start(struct book *b, struct stock *s, const struct opt_day *since_day, int32_t *today, int32_t *since);

/*
 * Reads the book: hands every event of `last_day` or before to `take` (may be NULL), then to the stock
 * engine. Ends with book_end(), whose status it returns.
 */
typedef void book_line(void *context, const struct line *l);
int book_stock_read(struct book *b, struct stock *s, int32_t last_day, book_line *take, void *context);

/* The same, taking in where the lots' pieces come from: initializes `origins`, which can be asked afterwards. */
int book_origins_read(struct book *b, struct stock *s, int32_t last_day, struct provenance *origins);

/* What --help says of exit statuses where the book has to add up; `nothing`, a literal, is what makes it 1 too. */
#define BOOK_STOCK_EXITS(nothing) \
	"0  done\n1  " nothing ", or the book does not add up\n2  wrong use, or something could not be read or written"

/*
 * After book_end() and stock_run(): reports on standard error what did not add up. Returns TOOL_DONE,
 * or TOOL_NO when something did not.
 */
int book_stock_tell(struct book *b, struct stock *s);

#endif
