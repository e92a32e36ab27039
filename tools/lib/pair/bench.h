/*
 * bench.h - the blades and handles that are to be paired, each with its moisture of today.
 *
 * Where they are asked for by places, or not at all, they come lot by lot: so many alike of a lot, type, grade and class in a
 * place. A numbered piece has a row of its own where it is named, or where all that are left of its lot, grade and class are in
 * one place and have numbers that the book says: then none can be another. A piece has its own last reading, else its lot's;
 * neither is guessed. A reading is carried forward in the air of the place that the piece is in, else of the place that it was
 * read in; where neither air was read it stays as it is.
 */
#ifndef WITHY_BENCH_H
#define WITHY_BENCH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "pair/pair_rooms.h"
#include "pair/piece_notes.h"
#include "pair/read_days.h"
#include "pair/wanted.h"

enum pair_part { PAIR_BLADE, PAIR_HANDLE, PAIR_PARTS };

/* "blade", "handle". */
extern const char *const pair_part_words[];

/* Why a piece cannot be paired, whatever it is to be paired with. */
enum bench_why { BENCH_GOOD, BENCH_IN_BAT, BENCH_NOT_THERE, BENCH_TYPE_UNKNOWN, BENCH_UNREAD, BENCH_OLD, BENCH_OFF_SCALE };

struct bench_row {
	struct stock_kind kind;
	uint32_t piece;            /* 0: any of the lot */
	int64_t n;
	int64_t mass;              /* micrograms, as it was weighed last; 0 where it is not known */
	enum bench_why why;
	size_t item;               /* of blades: what it is wanted for */
	bool fetch;                /* it is not in a shop */
	bool own;                  /* it was read itself, and not its lot */
	const struct read_day *read; /* or NULL */
	const struct pair_room *room; /* in whose air the reading was carried forward, or NULL */
	double mc_pct;             /* of today, in steps of 0.0001; NAN where it is not known */
};

struct bench_side {
	struct bench_row *row;     /* by lot, piece, type, grade, class, place */
	size_t n, cap;
	int64_t elsewhere;         /* how many there are in other places, kilns left out */
	uint32_t most_at;          /* where most of those are, or 0 */
	int64_t numbered;          /* how many rows are of lots of which some pieces have numbers */
};

struct bench_ask {
	const struct house *house; /* or NULL */
	const struct slice *where[PAIR_PARTS]; /* places, lots and pieces; none: all shops, or all places where the house has none */
	size_t nwhere[PAIR_PARTS];
	int64_t read_within;       /* days that a reading counts; -1: by the time constant (place_lag.h) */
	int32_t today;
};

struct bench {
	const struct bench_ask *ask;
	struct stock *stock;
	struct piece_notes notes;
	struct read_days days;
	struct pair_rooms rooms;
	const struct wanted *wanted;
	bool *is_handle;           /* by id */
	struct bench_side side[PAIR_PARTS];
};

/* Before the first line. `stock` is initialized; what is handed in must last. */
void bench_init(struct bench *b, const struct bench_ask *ask, struct stock *stock);
void bench_release(struct bench *b);
void bench_take(struct bench *b, const struct line *l);

/*
 * After stock_run(). `air` is settled and `now_s` the end of the day. Uses the readings up. False when a word of `where` is no
 * place, lot or piece; then `why` says so.
 */
bool bench_find(struct bench *b, struct readings *readings, const struct air_book *air, const struct wanted *wanted, int64_t now_s, struct buf *why);

/* "C013/19", or the lot. */
struct slice bench_name(const struct bench *b, const struct bench_row *row);

#endif
