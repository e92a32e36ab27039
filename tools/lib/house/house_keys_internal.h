/*
 * house_keys_internal.h - the keys of a house file as rows, and how a single value is read.
 *
 * The rows are generated from spec/house-keys.yaml (house_tables.h). house_value.c reads single
 * values and lists of them, house_read.c the records that they are in.
 */
#ifndef WITHY_HOUSE_KEYS_INTERNAL_H
#define WITHY_HOUSE_KEYS_INTERNAL_H

#include <stdbool.h>
#include <stddef.h>

#include "house/house_internal.h"

struct house_loader;

/* What the value of a key is, how many, and what the ids of its rows are. */
enum house_is {
	IS_TEXT, IS_ID, IS_LABEL, IS_WORD, IS_COUNT, IS_NUMBER, IS_MEASURE, IS_RANGE, IS_DATE, IS_BOOLEAN, IS_UNIT,
	IS_CLOCK, IS_CURRENCY, IS_PATTERN, IS_VALUE_TYPE, IS_IDS, IS_GRADES, IS_TEXTS, IS_NUMBERS, IS_FORMS, IS_SUBJECTS, IS_RECORD
};

enum house_as { AS_ONE, AS_LIST, AS_MAP };

enum house_id { ID_ID, ID_PLACE, ID_TYPE, ID_PARTY, ID_FORM, ID_LABEL, ID_RULE, ID_WORDS };

/* A key of a record: what its value is, and where it goes in the struct of the record. */
struct house_key {
	struct slice name;
	int is, as, id;
	bool needed;
	int type;                    /* TYPE_... of a measure, a range or a unit */
	int record;                  /* row of RECORDS, for IS_RECORD */
	size_t at, count_at;         /* offsets of the member, and of the one that counts its rows */
	const struct slice *words;
	size_t nwords;
	struct slice otherwise;      /* the default, as it would be written */
};

/* A record: a mapping in the file, a struct here. */
struct house_record {
	const struct house_key *key;
	size_t nkeys, size;
	bool bare;
	int short_key;               /* the one that a single value sets, where a list is wanted; or -1 */
};

/*
 * Reads the value at `node` into `out`, a member of a row, and leaves it alone when it cannot; what
 * is wrong is reported. For every key but of IS_RECORD.
 */
void house_value_read(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out);

/* Puts the default of a key into `out`, which is all zero before; for the same keys. */
void house_value_default(const struct house_key *key, void *out);

/* A kind of node in words. */
const char *house_kind_word(const struct yaml *node);

/* Whether it has no value at all, and no quotes. */
bool house_is_nothing(const struct yaml *node);

/* Whether it is an id, and of a place the part before or after its slash. */
bool house_is_id(struct slice s);

/* Where a word is among others, or -1. */
int house_word_index(const struct slice *word, size_t n, struct slice s);

/* These report mistakes. False when there are any. */
bool house_want_kind(struct house_loader *l, const struct yaml *node, enum yaml_kind kind, struct slice name);
bool house_check_quoted(struct house_loader *l, const struct house_key *key, const struct yaml *node);
bool house_check_id(struct house_loader *l, const struct yaml *node);
bool house_read_form(struct house_loader *l, const struct house_key *key, const struct yaml *node, struct slice *out);

/* Reports a word that is none of `word`; `what` is the key that it is the value of. */
void house_wrong_word(struct house_loader *l, const struct yaml *node, const struct slice *word, size_t n, struct slice what);

#endif
