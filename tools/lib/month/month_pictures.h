/*
 * month_pictures.h - the pictures of a month's pages, out of its answers (chart/picture.h).
 */
#ifndef WITHY_MONTH_PICTURES_H
#define WITHY_MONTH_PICTURES_H

#include "month/month_parts.h"
#include "month/month_sparks.h"

/* Empty where there is nothing to draw. */
struct month_picture {
	struct buf key;            /* an id */
	struct buf svg;
	struct buf finding;        /* what it shows, as a sentence */
	struct buf commands;       /* that draw it, a line each */
};

void month_picture_release(struct month_picture *picture);

/* How a charge dries: `curve` is wy-dry --curve, `row` is wy-dry. */
void month_picture_drying(const struct month_page *p, const char *id, const struct table *curve, const struct table *row,
	struct month_picture *picture);

/*
 * Draws those of a part of the page, in order, and hands each to `take`: with `all` every charge in a kiln and every room, else at most
 * three charges and the room that was out of its target for longest.
 */
void month_pictures(const struct month_page *p, enum month_about about, bool all, void take(void *context, const struct month_picture *), void *context);

/* The styles of them all. */
void month_picture_styles(struct buf *css);

#endif
