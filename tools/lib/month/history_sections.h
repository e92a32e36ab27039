/*
 * history_sections.h - the tables of the month's page about where its wood is from (month_history.h), and what of them needs
 * attention.
 *
 * Each section initializes its table, which then belongs to the caller.
 */
#ifndef WITHY_HISTORY_SECTIONS_H
#define WITHY_HISTORY_SECTIONS_H

struct buf;
struct month;
struct table;

/* What a usable blade cost, by supplier: those graded this month, and those of the twelve months before. */
void section_cost(const struct month *m, struct table *t);

/* The pieces lost this month by step and cause, with what they had cost, against the twelve months before; and causes that were fewer than these explain. */
void section_culls(const struct month *m, struct table *t);

/* Claimed and delivered in twelve months and this one, of the suppliers and lots whose blades were graded this month. */
void section_claims(const struct month *m, struct table *t);

/* The bats that came back this month, and how many others with their handle lot, or of their charge, ever did. */
void section_returns(const struct month *m, struct table *t);

/*
 * Adds a line of text each for: prices without a rate; causes of losses that were more than the months before explain; lots and suppliers of this month that fall short of their claim beyond
 * chance; handle lots and charges of bats that came back this month, if more came back than chance explains.
 */
void history_attention(const struct month *m, struct buf *out);

#endif
