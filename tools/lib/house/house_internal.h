/*
 * house_internal.h - private to house*.c.
 *
 * From the bottom up: house_loader.c gives memory and reports problems, house_value.c reads single
 * values and house_read.c the records that they are in, house_entries.c finds a row by its id, house.c
 * answers questions, house_check.c looks at what no single value can show, and house_open.c calls
 * them all.
 */
#ifndef WITHY_HOUSE_INTERNAL_H
#define WITHY_HOUSE_INTERNAL_H

#include <stddef.h>
#include <stdint.h>

#include "base/hash_index.h"
#include "base/nearest.h"
#include "base/yaml.h"
#include "book/diag.h"
#include "book/vocab.h"
#include "house/house.h"
#include "house/house_open.h"

struct yaml_doc;

/* What one id means. The kind HOUSE_KINDS is the part of a place before its slash. */
struct house_entry {
	struct slice id;
	uint16_t kind;
	int row;
	const struct yaml *at;
};

struct house_private {
	struct yaml_doc *doc;
	void **block;                 /* all memory of rows and lists */
	size_t nblocks, blocks_cap;
	struct house_entry *entry;    /* in the order of kinds, then of rows */
	size_t nentries, entries_cap;
	size_t first[HOUSE_KINDS + 2]; /* where a kind's entries begin */
	struct hash_index index;      /* of the entries, by kind and id; of those alike the first */
	struct pattern *compiled[HOUSE_IDS_END];
};

struct house_loader {
	struct house *house;
	house_tell *tell;
	void *arg;
	size_t told;
	struct buf text, mend;
};

/* Memory that goes with the house, all zero. */
void *house_take(struct house *house, size_t n, size_t size);

/*
 * Reports a problem, PROBLEM_... of house_words.h. In `text` and `mend` $1 is the first of the args,
 * cut short and made visible, $2 the second and so on.
 */
void house_wrong(struct house_loader *l, int problem, const struct yaml *at, const char *text, const char *mend,
	const struct slice *args, size_t nargs);

#define HOUSE_WRONG(l, problem, at, text, mend, ...) \
	house_wrong(l, problem, at, text, mend, (const struct slice[]){ __VA_ARGS__ }, \
		sizeof((const struct slice[]){ __VA_ARGS__ }) / sizeof(struct slice))
#define HOUSE_WRONG0(l, problem, at, text, mend) house_wrong(l, problem, at, text, mend, NULL, 0)

/* HOUSE_IDS_... of its word. */
int house_ids_kind(struct slice word);

/* The rows of a house are const to everyone else; defaults that come from another key are put in here. */
#define HOUSE_ROWS(type, rows) ((struct type *)(uintptr_t)(rows))

/* Reports a file that is not valid YAML. */
void house_fail(struct house_loader *l, size_t line, size_t col, struct slice why);

/* Fills the tables with defaults, and from the root of the file when it is not NULL. */
void house_fill(struct house_loader *l, const struct yaml *root);

/* Puts every id into the index. */
void house_enter_all(struct house *house);

/* The row of that kind and id, or NULL. */
const struct house_entry *house_entry_of(const struct house *house, unsigned kind, struct slice id);

/* The checks that need all of the tables; also puts in what a default takes from another key. */
void house_check(struct house_loader *l);

#endif
