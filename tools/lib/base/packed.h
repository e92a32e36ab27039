/*
 * packed.h - the bytes of a gzip or zstd file, unpacked as they are read.
 *
 * What a file is follows from its first bytes and not from its name. Files of several members or
 * frames, one after another, are read to the last. Memory does not follow the size of the file: it is a
 * block of input and the window of the format (32 KiB for gzip, at most 128 MiB for zstd).
 *
 * Data that ends too early, does not fit its checksum, or is followed by something else is an error.
 * zstd can leave the checksum out (its command writes one); then only damage to its structure shows.
 *
 * The sources: RFC 1952 (gzip), RFC 8878 (zstd). packed_gzip.c alone sees zlib, packed_zstd.c alone libzstd.
 */
#ifndef WITHY_PACKED_H
#define WITHY_PACKED_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

struct packed;

enum packed_kind { PACKED_NOT, PACKED_GZIP, PACKED_ZSTD };

/* So many first bytes decide. */
enum { PACKED_MAGIC = 4 };

/* Errors besides errnos. */
enum { PACKED_CUT = -11, PACKED_DAMAGED = -12, PACKED_TRAILING = -13, PACKED_WINDOW = -14, PACKED_MEMORY = -15 };

enum packed_kind packed_kind(struct slice start);

/* Whether a byte can be the first of a packed file, so that the next ones have to be waited for. */
bool packed_may_start(unsigned char first);

/*
 * Reads on from `fd`, which stays the caller's, behind the bytes `start`, which were read from it
 * already and are copied. The kind is that of `start`.
 */
struct packed *packed_open(int fd, struct slice start);
void packed_close(struct packed *p);     /* NULL does nothing */

/* The next unpacked bytes, at most n: how many, 0 at the end, -1 after an error. */
long packed_next(struct packed *p, char *into, size_t n);

/* The error, or 0; and how many bytes of the packed file have been used. */
int packed_error(const struct packed *p);
int64_t packed_at(const struct packed *p);

/* Adds what an error at that byte means, in words; an errno too. */
void packed_error_write(struct buf *out, int error, int64_t at);

#endif
