/*
 * mapping_internal.h - private to the files that read a mapping.
 *
 * mapping_keys.c     keys, texts, numbers, columns
 * mapping_entries.c  the part `entries`
 * mapping_file.c     the part `file`
 * mapping_time.c     the part `time`
 * mapping_read.c     the whole
 */
#ifndef WITHY_MAPPING_INTERNAL_H
#define WITHY_MAPPING_INTERNAL_H

#include "base/yaml.h"
#include "intake/mapping.h"

/* What reading a mapping hands from step to step. */
struct map_reader {
	struct mapping *m;
	const struct vocab *vocab;
	struct yaml_error *error;
	bool failed;
};

/* For messages: the length and the bytes of a slice, cut so that the correction always fits. */
enum { MAP_SHOWN_MOST = 60 };
#define MAP_SHOWN(s) (int)((s).n < MAP_SHOWN_MOST ? (s).n : MAP_SHOWN_MOST), (s).p

/* Keeps the first fault. Always false, as is every function below after a fault. */
bool map_fail(struct map_reader *r, const struct yaml *at, const char *fmt, ...) __attribute__((format(printf, 3, 4)));
/* The mapping owns `p` from now on. Returns it. */
void *map_own(struct map_reader *r, void *p);

bool map_has_key(const char *const *keys, struct slice key);
bool map_only_keys(struct map_reader *r, const struct yaml *map, const char *what, const char *const *keys);
bool map_scalar(struct map_reader *r, const struct yaml *node, const char *what, struct slice *out);
bool map_number(struct map_reader *r, const struct yaml *node, const char *what, size_t most, size_t *out);
/* One text or a list of texts. NULL gives an empty list. */
bool map_texts(struct map_reader *r, const struct yaml *node, const char *what, struct map_list *out);
/* The index of a word among some, or -1. */
int map_word(struct map_reader *r, const struct yaml *node, const char *what, const char *const *words);
/* Adds a column to the table; the same one twice is one row. *out is its index. */
bool map_add_column(struct map_reader *r, const struct yaml *node, int *out);

bool map_read_entries(struct map_reader *r, const struct yaml *root);
bool map_read_file(struct map_reader *r, const struct yaml *node);    /* NULL: nothing is said of it */
bool map_read_time(struct map_reader *r, const struct yaml *root);

#endif
