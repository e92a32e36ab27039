/*
 * plan_coming.h - how many blades the wood under way brings for each need of a plan, in time and whenever.
 *
 * Charges are taken as independent of each other; all of a charge comes in time, or none of it. Needs of one type and grade that ask for
 * no class and no mass get the same blades. What these are is summed once for all of them, and once for each day on which some of them are due; of each
 * need only the chance of its own demand is worked out.
 */
#ifndef WITHY_PLAN_COMING_H
#define WITHY_PLAN_COMING_H

struct plan;

/* Fills in `in_time` and `ever` of planner.need, of which all else is known. */
void plan_coming_find(struct plan *p);

#endif
