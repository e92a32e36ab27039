/*
 * sha256.h - the SHA-256 of bytes (FIPS 180-4), as a page's content policy names a style or a script, and so that a file can be
 * known again.
 */
#ifndef WITHY_SHA256_H
#define WITHY_SHA256_H

#include "base/text.h"

enum { SHA256_BYTES = 32 };

void sha256(struct slice s, unsigned char digest[SHA256_BYTES]);

/* Adds bytes in Base64 (RFC 4648, clause 4). */
void buf_base64(struct buf *b, struct slice s);

#endif
