/*
 * gen.h - what the generators of tools/gen share: reading a YAML source, and C text.
 * They run at build time only; a problem is printed with its place and ends the program.
 */
#ifndef WITHY_GEN_H
#define WITHY_GEN_H

#include <stdbool.h>

#include "base/text.h"

struct yaml;

/* A whole file, to be released; a file that cannot be read ends the program. */
struct buf gen_read(const char *path);

/* Reads argv[2], whatever argv[1] asks for; returns the root. */
const struct yaml *gen_open(int argc, char **argv);

/* 0 when all of standard output was written, else 1. */
int gen_close(void);

/* Ends the program with the place of `at`. */
_Noreturn void gen_fail(const struct yaml *at, const char *why);

/* The value of a key that must be there. */
const struct yaml *gen_need(const struct yaml *map, const char *key);

/* Fails at a key of `map` that is not in the NULL-ended list. */
void gen_known(const struct yaml *map, const char *const *keys);

bool gen_yes(const struct yaml *scalar);                             /* yes or no */
int gen_index(const struct yaml *map, const struct yaml *name);      /* which key it is */
int gen_word(const struct yaml *scalar, const char *const *words);   /* which word it is */

/* Text for C, each valid until the eighth call after it: in capitals, quoted, as C string. */
const char *gen_upper(struct slice s);
const char *gen_quote(struct slice s);
const char *gen_cstr(struct slice s);

#endif
