/*
 * svg.h - a scene as one <svg> element: texts as texts, classes for the tones, the same bytes for the same scene.
 *
 * Places have one decimal. Ids begin with `ids`, so several pictures can be in one page. A <style> has the tones in light
 * and dark; in print it is always light. Each tone is a custom property (--wy-ink) that a page may set; a reader that does
 * not know these takes the light one.
 */
#ifndef WITHY_SVG_H
#define WITHY_SVG_H

#include <stdbool.h>

struct buf;
struct scene;

void svg_write(const struct scene *s, const char *ids, bool unstyled, struct buf *out);

/* The rules of every picture, without <style>. */
void svg_css(struct buf *out);

#endif
