/*
 * zip_read.h - the files in a zip archive that is in memory, each unpacked piece by piece.
 *
 * This is the only file that sees the zip library. Memory does not follow what a file unpacks to, and
 * a file that unpacks to very much more than it should is an error.
 */
#ifndef WITHY_ZIP_READ_H
#define WITHY_ZIP_READ_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

struct zip_read;

/* `bytes` must outlive it. NULL when it is not a whole archive. */
struct zip_read *zip_open(struct slice bytes);
void zip_close(struct zip_read *z);      /* NULL does nothing */

/* Starts to read a file of the archive. False when there is none of that name, or it cannot be read. */
bool zip_has(struct zip_read *z, struct slice name);
bool zip_start(struct zip_read *z, struct slice name);

/*
 * The next piece of it: the number of bytes, 0 at its end, -1 when it is damaged or too large;
 * zip_error() then says why.
 */
long zip_next(struct zip_read *z, char *into, size_t n);
const char *zip_error(const struct zip_read *z);

#endif
