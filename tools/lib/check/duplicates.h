/*
 * duplicates.h - the same entry twice, and what changed on days that are closed.
 *
 * Two lines are the same entry when they say the same: date, time, event, subject and fields in
 * whatever order, by value (24C and 24.0C are one), without the remark. Each entry is kept as 96 bits of
 * a hash; among 2^32 lines the odds that two unlike ones fall together are below 1 in 10^9. Of the hashes some megabytes
 * are in memory, and the others in a file (spill.h).
 */
#ifndef WITHY_DUPLICATES_H
#define WITHY_DUPLICATES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/spill.h"

struct line;

struct entry_hash {
	uint64_t a, b;     /* both 0: the line is not an entry */
};

/* The first line of a file, as a number of all lines. */
struct duplicates_file {
	uint32_t file;
	size_t first;
};

struct duplicates {
	struct spill hashes;
	size_t n, nentries; /* lines of the input; those that are entries */
	uint32_t gap;       /* the lines after the last entry */
	size_t part_most;   /* entries to look at together; 0: two million */
	struct duplicates_file *file;
	size_t nfiles, files_cap;
};

struct duplicates_line {
	struct entry_hash hash;
	uint32_t file;
	uint64_t line;
};

/* An array of such lines. */
struct duplicates_lines {
	struct duplicates_line *line;
	size_t n, cap;
};

void duplicates_init(struct duplicates *t);
void duplicates_release(struct duplicates *t);

/* What the line says, as a hash. */
struct entry_hash entry_hash(const struct line *l);

/*
 * What of the air an instrument is read for at a written time, whatever it shows: place, instrument, and the
 * first of the quantities. {0, 0} for any other line.
 */
struct entry_hash reading_hash(const struct line *l);

/* The next line of the input, of any kind: {0, 0} when it is not an entry. */
void duplicates_add(struct duplicates *t, const struct line *l, struct entry_hash hash);

/*
 * All lines of the input that say what another line says, in order of their hashes and within
 * those of the input. The caller frees the array.
 */
struct duplicates_lines duplicates_find(const struct duplicates *t);

/* The order of two lines by their hashes; whether both say the same. */
int duplicates_order(const struct duplicates_line *a, const struct duplicates_line *b);
bool duplicates_alike(const struct duplicates_line *a, const struct duplicates_line *b);

/* Adds to an array, and puts one in order of hash, file and line. */
void duplicates_keep(struct duplicates_lines *lines, const struct line *l, struct entry_hash hash);
void duplicates_sort(struct duplicates_lines *lines);

#endif
