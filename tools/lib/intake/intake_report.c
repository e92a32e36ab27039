#include "intake/intake_report.h"

#include "base/escape.h"
#include "intake/workbook.h"

void intake_report_release(struct intake_report *r)
{
	buf_release(&r->out);
	buf_release(&r->words);
}

static void line_text(struct intake_report *r)
{
	const struct intake_note *n = &r->held;

	utf8_add_visible(&r->out, slice_of(r->name(r->path[n->file])));
	buf_char(&r->out, ':');
	if (n->sheet.n) {
		utf8_add_visible(&r->out, n->sheet);
		buf_char(&r->out, '!');
		workbook_cell_name(n->line, n->col ? n->col : 1, &r->out);
		buf_str(&r->out, ": ");
	} else {
		buf_printf(&r->out, "%llu:%u: ", (unsigned long long)n->line, n->col ? n->col : 1);
	}
	buf_add(&r->out, diag_level_word((int)n->level));
	buf_str(&r->out, ": ");
	utf8_add_visible(&r->out, n->text);
	if (n->last > n->line)
		buf_printf(&r->out, " (%llu row%s, to line %llu)", (unsigned long long)r->rows, r->rows == 1 ? "" : "s",
			(unsigned long long)n->last);
	buf_printf(&r->out, " -- %s\n", note_words[n->kind]);
}

static void tsv_head(struct intake_report *r)
{
	if (!r->begun)
		buf_str(&r->out, "file\tline\tlast\tcol\tlevel\tkind\trows\ttext\n");
	r->begun = true;
}

static void line_tsv(struct intake_report *r)
{
	const struct intake_note *n = &r->held;

	tsv_head(r);
	buf_tsv(&r->out, slice_of(r->name(r->path[n->file])));
	buf_printf(&r->out, "\t%llu\t%llu\t%u\t", (unsigned long long)n->line, (unsigned long long)n->last, n->col ? n->col : 1);
	buf_add(&r->out, diag_level_word((int)n->level));
	buf_printf(&r->out, "\t%s\t%llu\t", note_words[n->kind], (unsigned long long)r->rows);
	buf_tsv(&r->out, n->text);
	buf_char(&r->out, '\n');
}

static void flush(struct intake_report *r)
{
	enum note_kind kind = r->held.kind;

	if (!r->rows)
		return;
	if (r->quiet && r->held.level == LEVEL_NOTE) {
		r->rows = 0;
		return;
	}
	r->held.text = buf_slice(&r->words);
	if (!r->each && r->shown[kind] >= INTAKE_REPORT_MOST)
		r->hidden[kind]++;
	else if (r->tsv)
		line_tsv(r);
	else
		line_text(r);
	r->shown[kind]++;
	r->rows = 0;
}

static bool goes_on(const struct intake_report *r, const struct intake_note *n)
{
	const struct intake_note *h = &r->held;

	return r->rows && !r->each && n->kind < NOTE_ROWS && n->kind == h->kind && n->file == h->file && n->line == h->last + 1 &&
		slice_eq(n->text, buf_slice(&r->words));
}

void intake_report_add(void *report, const struct intake_note *n)
{
	struct intake_report *r = report;

	if (goes_on(r, n)) {
		r->held.last = n->last;
		r->rows++;
		return;
	}
	flush(r);
	r->held = *n;
	r->words.n = 0;
	buf_add(&r->words, n->text);
	r->rows = 1;
}

static void hidden_lines(struct intake_report *r)
{
	for (int k = 0; k < NOTE_KINDS; k++) {
		if (!r->hidden[k])
			continue;
		if (r->tsv)
			buf_printf(&r->out, "\t\t\t\tnote\t%s\t\t%llu more like these; --each lists them all\n", note_words[k],
				(unsigned long long)r->hidden[k]);
		else
			buf_printf(&r->out, "%llu more like these; --each lists them all -- %s\n", (unsigned long long)r->hidden[k],
				note_words[k]);
	}
}

static void total(struct intake_report *r, const char *kind, uint64_t n)
{
	buf_printf(&r->out, "\t\t\t\ttotal\t%s\t%llu\t\n", kind, (unsigned long long)n);
}

static void totals_tsv(struct intake_report *r, const struct intake_counts *c)
{
	tsv_head(r);
	total(r, "rows", c->rows);
	total(r, "with-entry", c->with_entry);
	total(r, "entries", c->entries);
	for (int k = 0; k < NOTE_KINDS; k++)
		if (c->notes[k])
			total(r, note_words[k], c->notes[k]);
}

static void totals_text(struct intake_report *r, const struct intake_counts *c)
{
	uint64_t told = 0;
	const char *sep = " (";

	for (int k = 0; k < NOTE_ROWS; k++)
		told += c->notes[k];
	buf_printf(&r->out, "%llu rows = %llu %s + %llu skipped", (unsigned long long)c->rows,
		(unsigned long long)c->with_entry, c->entries == c->with_entry ? "entries" : "rows with entries",
		(unsigned long long)told);
	for (int k = 0; k < NOTE_ROWS; k++)
		if (c->notes[k]) {
			buf_printf(&r->out, "%s%s %llu", sep, note_words[k], (unsigned long long)c->notes[k]);
			sep = ", ";
		}
	buf_str(&r->out, told ? ")" : "");
	if (c->entries != c->with_entry)
		buf_printf(&r->out, "; %llu entries", (unsigned long long)c->entries);
	if (c->notes[NOTE_CELL])
		buf_printf(&r->out, "; %llu rows with a cell not read", (unsigned long long)c->notes[NOTE_CELL]);
	buf_char(&r->out, '\n');
}

void intake_report_end(struct intake_report *r, const struct intake_counts *counts)
{
	flush(r);
	hidden_lines(r);
	if (r->tsv)
		totals_tsv(r, counts);
	else
		totals_text(r, counts);
}
