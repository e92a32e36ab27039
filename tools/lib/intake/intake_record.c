#include "intake/intake_internal.h"

struct record *intake_record_new(struct intake *run)
{
	struct record *rec = run->nspare ? run->spare[--run->nspare] : mem_zeroed(1, sizeof *rec);

	rec->words.n = rec->subject_n = rec->nfields = 0;
	return rec;
}

void intake_record_drop(struct intake *run, struct record *rec)
{
	run->spare = mem_grow(run->spare, &run->spare_cap, run->nspare + 1, sizeof *run->spare);
	run->spare[run->nspare++] = rec;
}

struct slice intake_record_subject(const struct record *rec)
{
	return slice_upto(buf_slice(&rec->words), rec->subject_n);
}

struct slice intake_record_value(const struct record *rec, size_t i)
{
	return (struct slice){ rec->words.p + rec->field[i].at, rec->field[i].n };
}

void intake_record_write(const struct record *rec, const struct stamp *stamp, struct buf *out)
{
	intake_stamp_text(out, stamp);
	buf_char(out, ' ');
	buf_add(out, rec->entry->event->name);
	buf_char(out, ' ');
	buf_add(out, intake_record_subject(rec));
	for (size_t i = 0; i < rec->nfields; i++) {
		buf_char(out, ' ');
		buf_add(out, rec->field[i].use->field->name);
		buf_char(out, '=');
		buf_add(out, intake_record_value(rec, i));
	}
	buf_char(out, '\n');
}

void intake_records_free(struct record **rec, size_t n)
{
	for (size_t i = 0; i < n; i++) {
		buf_release(&rec[i]->words);
		free(rec[i]);
	}
	free(rec);
}
