/*
 * month_pictures.h - the pictures of a month's pages, out of its answers.
 *
 * Each function adds an SVG element to `svg` and its finding to `finding`; nothing to either where there is nothing to draw. `key`
 * begins every id in the picture: lower-case letters and hyphens, unique in a page.
 */
#ifndef WITHY_MONTH_PICTURES_H
#define WITHY_MONTH_PICTURES_H

struct buf;
struct month;
struct table;

/* Of the tables of wy-dry --curve and of wy-dry. */
void month_picture_drying(const struct month *m, const struct table *curve, const struct table *charge, const char *key, struct buf *svg,
	struct buf *finding);

#endif
