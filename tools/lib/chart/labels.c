#include "chart/labels.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"

static const double TOUCH_PX = 0.01; /* what rounding may add */

void labels_release(struct labels *l)
{
	free(l->box);
	*l = (struct labels){ 0 };
}

bool labels_overlap(const struct label_box *a, const struct label_box *b)
{
	return a->x < b->x + b->w - TOUCH_PX && b->x < a->x + a->w - TOUCH_PX && a->y < b->y + b->h - TOUCH_PX && b->y < a->y + a->h - TOUCH_PX;
}

static bool is_free(const struct labels *l, const struct label_box *box)
{
	if (box->y < -TOUCH_PX || box->y + box->h > l->height + TOUCH_PX)
		return false;
	for (size_t i = 0; i < l->n; i++)
		if (labels_overlap(&l->box[i], box))
			return false;
	return true;
}

static double on_grid(double v, double cell)
{
	return cell > 0 ? nearbyint(v / cell) * cell : v;
}

/* Sideways into the bounds; false when it is wider than they are. */
static bool move_in(const struct labels *l, struct label_box *box)
{
	if (!(box->w <= l->width) || !isfinite(box->x) || !isfinite(box->y))
		return false;
	box->x = on_grid(fmax(0, fmin(box->x, l->width - box->w)), l->cell_w);
	if (box->x + box->w > l->width)
		box->x -= l->cell_w;
	box->y = on_grid(box->y, l->cell_h);
	return box->x >= 0;
}

bool labels_place(struct labels *l, struct label_box *want, double slide)
{
	double step = l->cell_h > 0 ? l->cell_h : fmax(1, want->h / 4);
	struct label_box box = *want;
	double y;

	if (!move_in(l, &box))
		return false;
	y = box.y;
	for (double by = 0; by <= slide; by = by > 0 ? -by : -by + step) {
		box.y = y + by;
		if (is_free(l, &box)) {
			l->box = mem_grow(l->box, &l->cap, l->n + 1, sizeof *l->box);
			l->box[l->n++] = *want = box;
			return true;
		}
	}
	return false;
}
