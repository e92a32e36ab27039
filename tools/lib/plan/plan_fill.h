/*
 * plan_fill.h - gives the room that a plan leaves in its charges to the usual demand.
 *
 * Piece by piece the type is loaded whose blades would run out first: those in stock, under way and loaded, over those used in
 * the last 52 weeks (cover.h). So all types that get pieces last equally long, within a piece. Types that nobody
 * used are not loaded.
 */
#ifndef WITHY_PLAN_FILL_H
#define WITHY_PLAN_FILL_H

struct plan;

/* After plan_end(), before the views: adds to planner.take and counts it in `filled`. */
void plan_fill(struct plan *p);

#endif
