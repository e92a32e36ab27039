#include "due/due_check.h"

#include "book/diag.h"
#include "due/due_book.h"

static bool is_of_kiln(int rule)
{
	return rule == RULE_KILN_OFF_FULL || rule == RULE_KILN_NOT_EMPTY || rule == RULE_KILN_FULL;
}

static bool is_line(const struct due_line *line, const struct diag *row)
{
	return line->number == row->place.line && line->file == row->place.file;
}

/* Whether a charge is open in the kiln. */
static const struct dry_case *open_charge(const struct due_book *b, struct slice kiln)
{
	for (size_t i = 0; i < b->supply.under_way.charges.n; i++)
		if (b->supply.under_way.charges.cases[i].end_s == INT64_MAX && slice_eq(b->supply.under_way.charges.cases[i].kiln, kiln))
			return &b->supply.under_way.charges.cases[i];
	return NULL;
}

/* Whether what the line says was put right since. */
static bool is_over(struct due_book *b, const struct diag *row, const struct due_note *note)
{
	struct slice subject = note ? due_lines_subject(&b->lines, note) : SLICE("");
	const struct dry_case *c = charges_case(&b->supply.under_way.charges, subject);
	struct due_line last;

	switch (row->rule) {
	case RULE_KILN_OFF_FULL:
		last = due_lines_last(&b->lines, "set", subject, SLICE(""));
		return !is_line(&last, row) || !open_charge(b, subject);
	case RULE_KILN_NOT_EMPTY:
	case RULE_KILN_FULL:
		return c && c->end_s != INT64_MAX;
	case RULE_METER_OFF:
		last = due_lines_last(&b->lines, "meter", subject, SLICE(""));
		return !is_line(&last, row) && note && last.day > note->stamp.day;
	case RULE_METER_OVERDUE:
	case RULE_METER_UNCHECKED:
		return true;
	default:
		return false;
	}
}

static enum due_kind kind_of(int rule)
{
	if (is_of_kiln(rule))
		return DUE_KILN;
	if (rule == RULE_PROBE_LEFT_IN)
		return DUE_PROBE;
	return rule == RULE_METER_OFF ? DUE_INSTRUMENT : DUE_BOOK;
}

static const struct house_words *care_of(const struct due *d, enum due_kind kind, struct slice subject)
{
	const struct house_meter *meter = d->house ? house_meter(d->house, subject) : NULL;

	if (kind == DUE_INSTRUMENT)
		return meter && meter->care.n ? &meter->care : NULL;
	if (kind == DUE_BOOK)
		return d->house && d->house->care.book.n ? &d->house->care.book : NULL;
	return due_care_of(d->house, subject);
}

static void find_row(struct due *d, struct due_book *b, const struct diags *diags, const struct diag *row)
{
	const struct due_note *note = due_lines_at(&b->lines, &row->place);
	struct slice subject = note ? due_lines_subject(&b->lines, note) : SLICE("");
	const struct dry_case *c = charges_case(&b->supply.under_way.charges, subject);
	enum due_kind kind = kind_of(row->rule);
	struct buf mend = BUF_INIT;
	struct due_item *item;

	buf_add(&mend, diag_mend(diags, row));
	buf_add(&d->text, diag_text(diags, row));
	item = due_add(d, kind, "", subject.n ? subject : SLICE("the book"), buf_cstr(&mend));
	item->sign = diag_rule(row->rule)->id;
	item->place = c ? due_text(d, c->kiln) : kind == DUE_KILN ? item->subject : SLICE("");
	item->who = care_of(d, kind, item->place.n ? item->place : item->subject);
	item->line = (struct due_line){ note && note->event ? note->stamp.day : d->days.today, -1, row->place.file, row->place.line };
	item->overdue = row->level == LEVEL_ERROR || row->rule == RULE_PROBE_LEFT_IN || kind == DUE_KILN;
	item->day = item->last = item->line.day;
	item->of = DUE_OF_DAY;
	buf_release(&mend);
}

void due_check_find(struct due *d, struct due_book *b, const struct diags *diags)
{
	for (size_t i = 0; i < diags->n; i++) {
		const struct diag *row = &diags->row[i];

		if (row->level >= LEVEL_WARNING && !is_over(b, row, due_lines_at(&b->lines, &row->place)))
			find_row(d, b, diags, row);
	}
}
