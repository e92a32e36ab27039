/*
 * qr.h - a text as a QR code (ISO/IEC 18004), by libqrencode.
 */
#ifndef WITHY_QR_H
#define WITHY_QR_H

#include <stdbool.h>

#include "base/text.h"

/* Light modules that a reader needs around the code (ISO/IEC 18004, clause 6.3.8). */
enum { QR_QUIET = 4 };

struct qr {
	int side;                  /* modules */
	unsigned char *dark;       /* by row: whether each is dark */
};

/* False where the text is empty, is not printable ASCII, or is too long for a code. Level M: up to 15 % of it may be damaged. */
bool qr_make(struct qr *q, struct slice text);
void qr_release(struct qr *q);

#endif
