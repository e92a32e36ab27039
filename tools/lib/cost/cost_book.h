/*
 * cost_book.h - what a book says of money: every price paid and every cost, in the works' own currency.
 *
 * An entry is one line: `price=` of a fell, buy or tally line, a `cost`, or a `credit`, which is below 0.
 * A price in another currency is converted at the rate of its day or the latest one before; an entry for
 * which there is none is a fault, and nothing may be answered then.
 *
 * What an entry is for, its subject, is found out from the whole book: a tree, a parcel, a lot, a charge, a
 * kiln, a place, a bat or an order. How it is spread is said by the house file for its kind. A price without a
 * kind has the kind `timber`, or `handle` for a lot of handles; what the house says of these counts. Without
 * that, timber and what a supplier gave back are spread by worth, and every other kind by piece. What is for an
 * order is a cost of selling, which no piece carries. The cost of a kiln or a place over a period of several
 * calendar months is an entry for each month, by days.
 *
 * An element is a kind of cost for one use: so much of the timber, of the drying. Amounts on pieces are kept
 * by element, twice: as spent on the pieces themselves, and as taken over from pieces that were culled.
 */
#ifndef WITHY_COST_BOOK_H
#define WITHY_COST_BOOK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/intern.h"
#include "cost/rates.h"

struct house;
struct line;

/* What a word of the book is; a word may be several. */
enum {
	COST_TREE = 1, COST_PARCEL = 2, COST_LOT = 4, COST_CHARGE = 8, COST_KILN = 16, COST_PLACE = 32, COST_BAT = 64, COST_ORDER = 128,
	COST_POOL = 256, COST_HANDLES = 512,
	COST_MEMOS = 63
};

enum cost_use { COST_FOR_TIMBER, COST_FOR_HANDLES, COST_FOR_DRYING, COST_FOR_OTHER, COST_USES };

struct cost_element {
	enum cost_use use;
	uint32_t kind;             /* an id */
	bool by_worth;
};

struct cost_entry {
	int32_t day;
	int event;
	uint32_t file, col;        /* of the price */
	uint64_t line;
	uint32_t subject, kind;    /* ids */
	struct slice event_name, name, kind_name; /* the words of event, subject and kind */
	int unit;                  /* the currency it was paid in */
	int64_t paid, amount;      /* in minor units of that currency, of the works' own */
	int32_t rate_day;          /* of the rate, or the day itself where none was needed */
	int64_t rate;              /* 1e-8, or 0 */
	int64_t energy;            /* 0.0001 kWh, or -1 */
	int32_t from, to;          /* of over=; else the days whose pieces it is for */
	bool has_over;
	int32_t whole_from, whole_to; /* of the line: a period of several months is an entry for each of them */
	uint32_t first_part, nparts; /* the entries of the line, by index */
	int spread;                /* HOUSE_COST_SPREAD_... */
	unsigned role;             /* one of the above, or 0: the book does not know the subject */
	uint32_t element;          /* index */
	int32_t apply;             /* the day at whose end it is put on its pieces */
	uint32_t next_window;      /* of the same place or charge: index + 1 */
};

/* Pieces of a lot that came in from a tree. */
struct cost_cleft {
	uint32_t lot, tree;
	int64_t n;
	uint32_t next;             /* of the tree: index + 1 */
};

enum cost_fault { COST_NO_RATE, COST_NO_CURRENCY, COST_TOO_LARGE };

struct cost_book {
	const struct house *house; /* or NULL */
	struct intern *ids;
	bool by_sales;             /* the worth of a grade is its mean price when sold, not the house's */
	int own, places;           /* the works' currency, -1 as long as none is known; its decimals */
	struct rates rates;
	struct cost_entry *entry;  /* after cost_book_end(): by day, then by what they say */
	size_t n, cap;
	struct cost_element *element;
	size_t nelements, elements_cap;
	struct cost_word *word;    /* by id */
	size_t words_cap;
	struct cost_cleft *cleft;
	size_t nclefts, clefts_cap;
	struct cost_sale *sale;
	size_t nsales, sales_cap;
	int64_t *worth;            /* with by_sales, by id: the mean price of a grade in minor units, or 0 */
	size_t nworth;
	uint32_t memo[64];         /* the last word of each role, for a book names the same ones again and again */
	struct cost_wrong {
		size_t entry;
		enum cost_fault fault;
	} *wrong;
	size_t nwrong, wrong_cap;
};

/* Words get ids of this table, for instance a stock engine's. */
void cost_book_init(struct cost_book *c, const struct house *house, struct intern *ids);
void cost_book_release(struct cost_book *c);

/* Takes a good line in; one that says nothing of money or of what words are is passed over. */
void cost_book_add(struct cost_book *c, const struct line *l);

/* When all lines up to the day are in. What is `wrong` is known after it. */
void cost_book_end(struct cost_book *c, int32_t today);

/*
 * The message about the i-th wrong entry, without its place; one message for each currency and fault. It names
 * the line to write. False when that was already said.
 */
bool cost_book_say_wrong(const struct cost_book *c, size_t i, struct buf *out);

/* All of these messages, a line each, "FILE:LINE:COL: error: ..."; `path` has the names of the book's files. */
void cost_book_say_all_wrong(const struct cost_book *c, const char *const *path, struct buf *out);

/* Whether pieces carry it. */
bool cost_entry_is_spread(const struct cost_entry *e);

/* What the word is, as a set of the roles above; the kiln of a charge, or 0. */
unsigned cost_book_role(const struct cost_book *c, uint32_t id);
uint32_t cost_book_kiln(const struct cost_book *c, uint32_t charge);

/*
 * To go through what belongs together; each function gives the first or the next, 0 after the last: the
 * charges of a kiln, the trees of a parcel, and the clefts of a tree as index + 1.
 */
uint32_t cost_book_first(const struct cost_book *c, uint32_t kiln_or_parcel);
uint32_t cost_book_next(const struct cost_book *c, uint32_t charge_or_tree);
uint32_t cost_book_clefts(const struct cost_book *c, uint32_t tree);

/* How many pieces of the lot came in from all its trees. */
int64_t cost_book_cleft(const struct cost_book *c, uint32_t lot);

/* The first entry of a place, a kiln or a charge: index + 1; 0: there is none. With `kiln`, that of a charge's kiln too. */
uint32_t cost_book_window(const struct cost_book *c, uint32_t id);
uint32_t cost_book_windows(const struct cost_book *c, uint32_t id, uint32_t *kiln);

/* The worth of a blade of the grade on a day, in 1/10000, or -1: nothing says. */
int64_t cost_book_worth(const struct cost_book *c, int32_t day, uint32_t grade);

/* Adds an amount of the works' currency: "24.20 NZD". */
void cost_book_money(const struct cost_book *c, int64_t amount, struct buf *out);

/* What uses are called, in the order of enum cost_use. */
extern const char *const cost_use_words[];

#endif
