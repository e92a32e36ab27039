/*
 * due_ics.h - the list as an iCalendar (RFC 5545), so that a calendar can show it: an event of whole days an item.
 *
 * The same matter has the same UID on every day, so that a calendar that takes the list each morning
 * changes its entry and adds none. What is overdue is shown on the day of the answer. Nothing depends on the clock:
 * DTSTAMP is the beginning of that day, UTC.
 *
 * Lines end in CR LF and are folded so that none has more than 75 octets; no character is cut in two.
 */
#ifndef WITHY_DUE_ICS_H
#define WITHY_DUE_ICS_H

#include "base/text.h"
#include "due/due_view.h"

void due_ics_write(const struct due_view *v, struct buf *out);

/* Adds a content line, its value escaped as TEXT and folded. */
void due_ics_text(struct buf *out, const char *property, struct slice value);

#endif
