/*
 * shelf.h - the generator's own count of every piece, kept apart from anything that Withy
 * computes, so that it can serve as an outside check of the stock engine.
 *
 * A bucket holds the pieces that no book can distinguish: same lot, form, type, grade and
 * place. Names are interned: two equal names are one pointer; "" is none. Whatever would
 * make a bucket go below nothing stops the generator with a message: a sample book that
 * does not add up is never written.
 */
#ifndef SAMPLE_SHELF_H
#define SAMPLE_SHELF_H

#include <stdbool.h>
#include <stddef.h>

struct key {
	const char *lot, *form, *type, *grade, *at;
};

struct bucket {
	struct key key;
	int n;     /* pieces now */
	int start; /* pieces when the day began */
	int taken; /* pieces taken since then */
	int given; /* pieces given since then */
};

struct shelf {
	struct bucket *v;
	size_t n, cap;
	char **names;
	size_t names_n, names_cap;
};

/* Ends the generator: the story asks for what cannot be. printf's way. */
void stop(const char *fmt, ...) __attribute__((noreturn, format(printf, 1, 2)));

const char *shelf_name(struct shelf *s, const char *text);

/* A key of interned names. NULL counts as "". */
struct key shelf_key(struct shelf *s, const char *lot, const char *form, const char *type,
	const char *grade, const char *at);

bool key_same(struct key a, struct key b);

/* The bucket of a key, made empty if there is none. Valid until the next call. */
struct bucket *shelf_at(struct shelf *s, struct key k);

void shelf_give(struct shelf *s, struct key k, int n);
void shelf_take(struct shelf *s, struct key k, int n);

/* What was there when the day began and has not been taken since. */
int shelf_free(const struct bucket *b);

void shelf_new_day(struct shelf *s);

/* All pieces in a lot's buckets of that form ("" = any) in a place ("" = any). */
int shelf_sum(const struct shelf *s, const char *lot, const char *form, const char *at);

void shelf_release(struct shelf *s);

#endif
