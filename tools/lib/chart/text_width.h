/*
 * text_width.h - how wide a text is in a sans-serif font, at least.
 *
 * The reader's font is not known, so the widths are those of a wide one: the advances of DejaVu Sans and DejaVu Sans
 * Bold 2.37, in hundredths of the font's size, rounded up. Letters beyond U+017F count as the widest of
 * their block. A character that takes two cells of a terminal counts as 1.4 times the size; a combining one takes none.
 */
#ifndef WITHY_TEXT_WIDTH_H
#define WITHY_TEXT_WIDTH_H

#include <stdbool.h>

#include "base/text.h"

/* In px, of a font of `size` px. */
double text_width(struct slice s, double size, bool bold);

/* How many bytes of `s` fit `most` px, in whole characters with their combining marks. */
size_t text_fitting(struct slice s, double size, bool bold, double most);

#endif
