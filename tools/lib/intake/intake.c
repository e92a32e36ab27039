#include "intake/intake.h"

#include "intake/intake_internal.h"

enum { OUT_ENOUGH = 1 << 15 }; /* bytes that one step adds, so that the output flows */

struct intake *intake_new(const struct vocab *vocab, const struct zone *works, intake_note_fn *note, void *arg)
{
	struct intake *run = mem_zeroed(1, sizeof *run);

	run->vocab = vocab;
	run->works = works;
	run->note = note;
	run->arg = arg;
	intern_init(&run->ids);
	diags_init(&run->diags);
	parser_init(&run->parser, vocab, &run->diags);
	return run;
}

void intake_add(struct intake *run, const struct mapping *m, uint32_t map, int fd, uint32_t file)
{
	struct source *s = mem_zeroed(1, sizeof *s);

	s->run = run;
	s->m = m;
	s->map = map;
	s->file = file;
	s->epoch = ++run->epochs;
	s->zone = m->clock == CLOCK_ZONE ? m->zone : m->clock == CLOCK_WALL ? run->works : NULL;
	s->at = mem_zeroed(m->ncolumns, sizeof *s->at);
	s->unit_noted = mem_zeroed(m->ncolumns, sizeof *s->unit_noted);
	s->missing_noted = mem_zeroed(m->ncolumns, sizeof *s->missing_noted);
	csv_init(&s->csv, fd, &m->style);
	run->source = mem_grow(run->source, &run->sources_cap, run->nsources + 1, sizeof *run->source);
	run->source[run->nsources++] = s;
}

/* The next record of a source, left in its queue; NULL at its end. */
static struct record *head(struct source *s)
{
	while (s->first == s->nready && !s->ended && !s->failed)
		intake_source_row(s);
	return s->first < s->nready ? s->ready[s->first] : NULL;
}

/* The source whose next record is the earliest; of equals the first. */
static struct source *earliest(struct intake *run)
{
	struct source *best = NULL;
	int64_t t_s = 0;

	for (size_t i = 0; i < run->nsources; i++) {
		struct record *rec = head(run->source[i]);

		if (rec && (!best || rec->t_s < t_s)) {
			best = run->source[i];
			t_s = rec->t_s;
		}
	}
	return best;
}

static enum intake_state trouble(struct intake *run)
{
	for (size_t i = 0; i < run->nsources; i++) {
		if (run->source[i]->failed)
			return INTAKE_NO_FIT;
		if (run->source[i]->csv.error) {
			run->error = run->source[i]->csv.error;
			run->error_file = run->source[i]->file;
			return INTAKE_NO_READ;
		}
	}
	return INTAKE_MORE;
}

static void drop_sources(struct intake *run)
{
	for (size_t i = 0; i < run->nsources; i++) {
		intake_source_release(run->source[i]);
		free(run->source[i]);
	}
	run->nsources = 0;
}

enum intake_state intake_step(struct intake *run, struct buf *out)
{
	size_t start = out->n;

	while (out->n - start < OUT_ENOUGH) {
		struct source *s = earliest(run);
		enum intake_state state = trouble(run);

		if (state != INTAKE_MORE)
			return state;
		if (!s) {
			intake_gather_flush(run, out);
			return INTAKE_DONE;
		}
		intake_gather(run, s->ready[s->first++], out);
	}
	return INTAKE_MORE;
}

void intake_close(struct intake *run, bool last)
{
	if (last && run->nsources)
		intake_series_end(run->source[run->nsources - 1]);
	drop_sources(run);
}

int intake_errno(const struct intake *run)
{
	return run->error;
}

uint32_t intake_file(const struct intake *run)
{
	return run->error_file;
}

const struct intake_counts *intake_counts(const struct intake *run)
{
	return &run->counts;
}

uint64_t intake_unread(const struct intake_counts *counts)
{
	return counts->notes[NOTE_UNREADABLE] + counts->notes[NOTE_CELL] + counts->notes[NOTE_FILE];
}

bool intake_is_whole(const struct intake_counts *counts)
{
	return counts->entries && !intake_unread(counts);
}

void intake_free(struct intake *run)
{
	if (!run)
		return;
	drop_sources(run);
	free(run->source);
	for (size_t i = 0; i < run->nseries; i++) {
		if (run->series[i])
			free(run->series[i]->span);
		free(run->series[i]);
	}
	free(run->series);
	intern_release(&run->ids);
	for (size_t i = 0; i < run->nsheets; i++)
		buf_release(&run->sheet[i].name);
	free(run->sheet);
	dedup_release(&run->seen);
	dedup_release(&run->known);
	intake_known_release(run);
	free(run->finds.row);
	free(run->find_subject);
	intake_records_free(run->spare, run->nspare);
	intake_records_free(run->gathered, run->ngathered);
	parser_release(&run->parser);
	diags_release(&run->diags);
	buf_release(&run->text);
	free(run);
}
