/*
 * scene.h - a drawing: marks in px, which each renderer draws in its own way (svg.h, cells.h).
 *
 * Coordinates grow to the right and down. For a terminal a cell is SCENE_CELL_W by SCENE_CELL_H px, and texts are as wide
 * as their cells, so a kind of picture lays out the same scene for both. Marks lie over those that were added before;
 * texts lie over all. Every text goes through labels.h: it is shortened to its `most`, and refused where there is no
 * room. A mark with a coordinate that is not finite is left out.
 */
#ifndef WITHY_SCENE_H
#define WITHY_SCENE_H

#include "chart/labels.h"
#include "chart/palette.h"
#include "chart/picture.h"
#include "base/text.h"

enum { SCENE_CELL_W = 8, SCENE_CELL_H = 16, SCENE_MARGIN = 12 };

enum mark_kind { MARK_LINE, MARK_AREA, MARK_RECT, MARK_SIGN, MARK_TEXT };
enum dash { DASH_NONE, DASH_LONG, DASH_SHORT, DASH_DOT, DASH_MIXED, DASHES };
enum sign { SIGN_ROUND, SIGN_SQUARE, SIGN_DIAMOND, SIGN_UP, SIGN_DOWN, SIGN_CROSS, SIGN_RING, SIGN_BAR, SIGNS };
enum text_size { TEXT_TITLE, TEXT_LABEL, TEXT_SMALL };

struct point {
	double x, y;
};

/* How a mark looks; what its kind does not have is not looked at. */
struct look {
	enum tone tone;
	enum dash dash;
	enum pattern pattern;
	enum sign sign;
	double width;              /* of a line in px; of a sign its size; 0: 1.5, and 7 */
};

struct mark {
	enum mark_kind kind;
	struct look look;
	size_t at, n;              /* of its points; of a text its bytes */
	struct label_box box;      /* of a rectangle or a text */
	enum text_size size;
	signed char side;
};

struct scene {
	enum picture_medium medium;
	double width, height;
	struct mark *mark;
	size_t n, cap;
	struct point *point;
	size_t npoints, points_cap;
	struct buf texts;
	struct buf title, desc;     /* the finding, and the alternative text */
	bool untitled;             /* the finding is not drawn */
	struct labels labels;
};

/* `width` in px; for a terminal a multiple of SCENE_CELL_W. */
void scene_init(struct scene *s, enum picture_medium medium, double width);
void scene_release(struct scene *s);

/* Sets the height, so far unknown; more where a label is below it. Labels added after that stay above it. */
void scene_set_height(struct scene *s, double height);

void scene_line(struct scene *s, struct look look, const struct point *p, size_t n);
void scene_area(struct scene *s, struct look look, const struct point *p, size_t n);
void scene_segment(struct scene *s, struct look look, double x1, double y1, double x2, double y2);
void scene_rect(struct scene *s, struct look look, double x, double y, double w, double h);
void scene_sign(struct scene *s, struct look look, double x, double y);

/* A label: where its line of text is to be. */
struct label {
	double x, y;               /* y is the middle of the line */
	int side;                  /* -1: it ends at x, 0: it is about x, 1: it begins at x */
	enum text_size size;
	enum tone tone;
	double most;               /* px that it may have; more is cut with an ellipsis. 0: the width of the picture */
	double slide;              /* how far it may be moved up or down, px */
	bool whole;                /* it is left out rather than cut */
};

/* True when it has found its place. */
bool scene_label(struct scene *s, struct label l, struct slice text);
bool scene_label_cstr(struct scene *s, struct label l, const char *text);

/* Words in lines from (x, y = the upper edge) on, `most` px wide and at most `lines`; returns the lower edge. */
double scene_words(struct scene *s, double x, double y, double most, enum text_size size, enum tone tone, size_t lines, struct slice text);

/* How wide a text is, and how high a line of it, in px. */
double scene_text_width(const struct scene *s, enum text_size size, struct slice text);
double scene_line_height(const struct scene *s, enum text_size size);
double scene_font_px(enum text_size size);
bool scene_in_cells(const struct scene *s);

#endif
