/*
 * trace.h - a book read so that anything in it can be followed back and forth, and the thing that is asked
 * about.
 *
 * Every good line is handed in once, in any order, and after the last one trace_end() runs the stock. Then
 * trace_find() makes the thing of an id the subject: its ways back are in `wood` and `handle`.
 */
#ifndef WITHY_TRACE_H
#define WITHY_TRACE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "air/air_book.h"
#include "moist/readings.h"
#include "trace/concerned.h"
#include "trace/flow_log.h"
#include "trace/kept_lines.h"
#include "trace/kin.h"
#include "trace/lineage.h"
#include "trace/stated.h"

struct house;
struct line;
struct stock;
struct stock_flow;
struct vocab;
struct zone;

enum trace_kind { TRACE_BAT, TRACE_LOT, TRACE_PIECE, TRACE_CHARGE, TRACE_TREE, TRACE_KINDS };

/* "bat", "lot", "piece", "charge", "tree"; NULL at the end. */
extern const char *const trace_kind_words[];

struct trace {
	const struct house *house; /* or NULL */
	const struct zone *zone;
	struct stock *stock;
	int32_t today;
	bool reads, airs, kins;    /* whether readings of moisture and of air are kept, and kin is asked; the caller's to clear after trace_init() */
	struct slice only;         /* see trace_only() */
	const struct vocab *vocab;
	struct kept_lines kept;
	struct concerned concerned;
	struct stated stated;
	struct readings readings;  /* see readings.error */
	struct reading_facts facts;
	uint32_t *lot_of;          /* by a name of the readings: its number in the stock + 1; 0: not looked up */
	size_t lots_of;
	struct air_book air;
	struct flow_log log;
	struct lineage wood, handle; /* of the subject; for a lot, a charge or a tree `handle` has no steps */
	struct kin kin;

	enum trace_kind kind;      /* of the subject: not TRACE_PIECE where the piece is in a bat */
	uint32_t id;               /* the bat, the lot (of a piece), the charge or the tree */
	uint32_t piece;            /* the blade, as it was numbered: of TRACE_PIECE, and of a bat if the book says; else 0 */
	uint32_t asked;            /* the id that was asked about */
};

/* `stock` is initialized for the same house and empty; lines of `today` and before are handed in. All must last. */
void trace_init(struct trace *t, const struct house *house, const struct zone *zone, struct stock *stock, int32_t today);
void trace_release(struct trace *t);

/*
 * Before the first line: only this id will be asked about, by trace_find(). Then lines and flows that do not concern it are not
 * taken in, which is quicker and takes less memory. The vocabulary is that of the lines; trace_end() is called.
 */
void trace_only(struct trace *t, struct slice id, const struct vocab *vocab);

/* Takes a good line in; the caller gives it to the stock too. */
void trace_take(struct trace *t, const struct line *l);

/* Says that the line, which comes to the stock next, is about a bat or lot of this id: it need not look the word up again. */
void trace_guess(struct trace *t, const struct line *l, uint32_t subject);

/* After the last line: carries out the stock. Nothing may be taken after. */
void trace_end(struct trace *t);

/*
 * In its place, for who runs the stock for others too: trace_flow() is the stock_sink, its context the `struct trace`,
 * and trace_settle() comes after the run.
 */
void trace_flow(void *context, const struct stock_flow *flow);
void trace_settle(struct trace *t);

enum trace_search {
	TRACE_FOUND,
	TRACE_UNKNOWN,             /* the book does not have it by that day, or not as this kind */
	TRACE_SEVERAL              /* it is several things, and `kind` does not say which */
};

/*
 * Makes that the subject. `kind` is an enum trace_kind, or -1 for whatever it is. Unless it is found, `why` says why not
 * and what to write.
 */
enum trace_search trace_find(struct trace *t, struct slice id, int kind, struct buf *why);

/* What an id is in the book: a bit 1 << enum trace_kind for each kind. */
unsigned trace_kinds(const struct trace *t, struct slice id);

/* The lot of a reading, as an id of the stock; 0 where it has none. */
uint32_t trace_lot(struct trace *t, const struct reading_of *of);

struct slice trace_text(const struct trace *t, uint32_t id);

#endif
