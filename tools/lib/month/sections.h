/*
 * sections.h - the tables of the month's page, out of the month's answers.
 *
 * Each function initializes its table, which then belongs to the caller. Every column has a heading.
 * Figures are those of the answers, rounded for reading; a proportion is in per cent.
 */
#ifndef WITHY_SECTIONS_H
#define WITHY_SECTIONS_H

struct month;
struct table;

void section_pieces(const struct month *m, struct table *t);     /* that came and went */
void section_charges(const struct month *m, struct table *t);    /* pieces of the charges in a kiln */
void section_moisture(const struct month *m, struct table *t);   /* of these charges */
void section_open(const struct month *m, struct table *t);       /* charges in the kilns on the last day */
void section_grades(const struct month *m, struct table *t);     /* this month and before */
void section_stock(const struct month *m, struct table *t);      /* by form and type, a column for each grade */
void section_orders(const struct month *m, struct table *t);
void section_rooms(const struct month *m, struct table *t);      /* their air */
void section_wood(const struct month *m, struct table *t);       /* read in the rooms */

#endif
