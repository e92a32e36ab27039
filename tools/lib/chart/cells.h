/*
 * cells.h - a scene in the cells of a terminal: lines in braille, areas in shades, texts as they are.
 *
 * A cell has 2 by 4 dots. Areas lie below lines, lines below texts. In ASCII a line is drawn with . : ' and areas with
 * letters of their pattern. No line has blanks at its end.
 */
#ifndef WITHY_CELLS_H
#define WITHY_CELLS_H

struct buf;
struct scene;

void cells_write(const struct scene *s, struct buf *out);

#endif
