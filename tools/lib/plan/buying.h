/*
 * buying.h - how much wood to buy for the next season, from each source that the book knows.
 *
 * Wanted of a type and grade are the blades that the last 52 weeks used (cover.h) and those that open orders are short of, less those in
 * stock that no order has. What is under way and in the yard comes with its odds (grade_odds.h), and so do the
 * pieces that are bought, in lots as large as those of the source so far; their number is the least with which each grade is enough
 * with the chance asked for, if all come from that source. Grades come together: the grade that needs most pieces decides, and the others are left over.
 *
 * What an order is short of in one class, or at a mass, is wanted apart too: of the blades of that grade so many must be of the class, or land
 * (order_match.h).
 *
 * Besides all of one source a mix of several is looked for (buying_mix.h).
 *
 * A source is asked only for types of which it gave clefts.
 * What a piece of a source costs is what was paid for its timber so far (cost_book.h), over the pieces that came in.
 */
#ifndef WITHY_BUYING_H
#define WITHY_BUYING_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>


struct order_need;
struct plan;

enum { BUYING_MOST = 20000 };  /* pieces of a type; if more are needed, there is no answer */

/* A type and a grade that are wanted. */
struct buying_want {
	uint32_t type, grade;      /* ids */
	const struct order_need *need; /* what an order is short of, if it asks for a class or a mass; else NULL */
	size_t at;                 /* its number among the needs of the orders, from 1; else 0 */
	int64_t used, short_of, free; /* blades: in 52 weeks, missing to orders, in stock for none */
	int64_t wanted;            /* of these: used + short_of - free, 0 at the least */
	int64_t most;              /* `wanted`, but no more than all wood and BUYING_MOST pieces can be, and one */
	double *coming;            /* masses 0 to `most` of what is under way and in the yard, the last of as many or more */
	double chance;             /* that these are enough */
};

/* What to buy of a type from a source. */
struct buying_row {
	uint32_t type, source;     /* ids */
	size_t past;               /* pieces of the source that came in so far */
	int64_t count;             /* to buy; BUYING_MOST + 1: even that many would not be enough */
	size_t decides;            /* the want that needs them */
	double expected;           /* blades of any grade that they become, in the mean */
	double price;              /* of a piece, in minor units of the works' currency; NAN: not known */
	bool cheapest;             /* of the rows of the type with an answer and a price */
};

/* What a mix is chosen for. */
enum buying_goal { BUYING_CHEAPEST, BUYING_LEAST_LEFT };

/* Of one source in a mix. */
struct buying_part {
	uint32_t source;
	int64_t count;
	double expected, price;    /* blades in the mean; of a piece, in minor units, or NAN */
};

/* What to buy of a type from several sources together. */
struct buying_mix {
	uint32_t type;
	enum buying_goal goal;
	bool complete;             /* nothing is better; else no exchange between two sources is */
	size_t first, n;           /* in buying.part */
	size_t decides;            /* the want with the least chance */
	double chance;             /* of that */
	double total, expected;    /* money, or NAN; blades of any grade in the mean */
	double single_total, single_expected; /* the same of the best single source for that goal; NAN: none is enough */
};

struct buying {
	struct buying_want *want;  /* by type, then in the order of the grades */
	size_t nwants, wants_cap;
	struct buying_row *row;    /* by type, then by source */
	size_t n, cap;
	struct buying_mix *mix;    /* by type and goal: those that are better than any single source */
	struct buying_part *part;  /* in the order of the sources */
	size_t nmixes, mixes_cap, nparts, parts_cap;
};

/* After plan_end(). */
void buying_find(struct buying *b, struct plan *p);
void buying_release(struct buying *b);

enum { BUYING_TABLES = 3, BUYING_MIXES = 1 };

struct table;

/* Initializes BUYING_TABLES tables, which then belong to the caller: what to buy, with the finding; the mixes; and what is wanted. */
void buying_view(const struct buying *b, const struct plan *p, struct table *t);

#endif
