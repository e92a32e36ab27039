#include "intake/intake_internal.h"

/* --- series ----------------------------------------------------------------------------------- */

/* The number of the record's series: those of one entry of one mapping about one subject. */
static uint32_t series_of(struct source *s, const struct record *rec)
{
	struct intake *run = s->run;
	struct buf *name = &s->line_text;
	uint32_t id;

	name->n = 0;
	buf_printf(name, "%u %zu ", rec->map, (size_t)(rec->entry - s->m->entry));
	buf_add(name, intake_record_subject(rec));
	id = intern_id(&run->ids, buf_slice(name));
	if (id < run->nseries && run->series[id])
		return id;
	run->series = mem_grow(run->series, &run->series_cap, id + 1, sizeof *run->series);
	while (run->nseries <= id)
		run->series[run->nseries++] = NULL;
	run->series[id] = mem_zeroed(1, sizeof **run->series);
	cadence_init(&run->series[id]->cadence, s->m->interval_s);
	run->series[id]->subject = intern_id(&run->ids, intake_record_subject(rec));
	run->series[id]->known = intake_known_times(run, rec);
	return id;
}

static uint64_t hash_values(const struct record *rec)
{
	uint64_t h = 0;

	for (size_t i = 0; i < rec->nfields; i++)
		h = (h ^ intake_text_hash(rec->field[i].use, intake_record_value(rec, i)) ^ (uint64_t)rec->field[i].use->field->id) * HASH_FACTOR;
	return h >> 32;
}

/* Another export begins: its span is the next one. */
static void begin_span(struct series *series, struct cadence_mark mark)
{
	series->span = mem_grow(series->span, &series->spans_cap, series->nspans + 1, sizeof *series->span);
	series->span[series->nspans++] = (struct span){ mark, mark, 0 };
	series->among_noted = false;
}

/* A new reading that lies among those of another export: the two may be of two instruments. */
static void look_among(struct source *s, struct series *series, const struct record *rec, struct cadence_mark mark, bool known)
{
	struct span *now = &series->span[series->nspans - 1];

	now->n++;
	now->from = mark.t_s < now->from.t_s ? mark : now->from;
	now->to = mark.t_s > now->to.t_s ? mark : now->to;
	for (size_t i = 0; i + 1 < series->nspans && !known && !series->among_noted; i++)
		if (rec->t_s > series->span[i].from.t_s && rec->t_s < series->span[i].to.t_s) {
			series->among_noted = true;
			buf_add(&s->run->text, intake_record_subject(rec));
			buf_str(&s->run->text, " has a reading here among those of the export before, which does not have it; "
				"if the two are of different instruments, take them in apart");
			intake_say(s->run, NOTE_SECTION, LEVEL_WARNING, rec->place);
		}
}

static void add_mark(struct intake *run, struct series *series, struct cadence_mark mark, bool again)
{
	if (series->way < 0)
		mark.t_s = -mark.t_s;
	cadence_add(&series->cadence, mark, again, &run->finds);
}

/* Gives on the first marks, now that the way is known. */
static void release_early(struct intake *run, struct series *series)
{
	for (size_t i = 0; i < series->nearly; i++)
		add_mark(run, series, series->early[i], false);
	series->nearly = 0;
}

/* Two steps back at the start mean that the newest row comes first; the marks wait until that is known. */
static void watch_mark(struct source *s, struct series *series, struct cadence_mark mark, bool again)
{
	struct intake *run = s->run;
	int64_t first, second;

	if (!series->way && series->nearly < 2) {
		series->early[series->nearly++] = mark;
		if (series->nearly == 2 && series->early[1].t_s >= series->early[0].t_s) {
			series->way = 1;
			release_early(run, series);
		}
		return;
	}
	if (!series->way) {
		first = series->early[1].t_s - series->early[0].t_s;
		second = mark.t_s - series->early[1].t_s;
		series->way = first < 0 && second < 0 ? -1 : 1;
		if (series->way < 0 && !s->order_noted) {
			s->order_noted = true;
			buf_str(&run->text, "the newest row comes first");
			intake_say(run, NOTE_ORDER, LEVEL_NOTE, (struct row_place){ series->early[0].file, 0, series->early[0].line, series->early[0].line });
		}
		release_early(run, series);
	}
	add_mark(run, series, mark, again);
}

/* Marks the finds from `before` on as the series'. Those of a file that is read backwards are turned round. */
static void own_finds(struct intake *run, struct series *series, size_t before)
{
	run->find_subject = mem_grow(run->find_subject, &run->find_cap, run->finds.n, sizeof *run->find_subject);
	for (size_t i = before; i < run->finds.n; i++) {
		struct cadence_find *f = &run->finds.row[i];
		struct cadence_mark from = f->from;

		run->find_subject[i] = series->subject;
		if (series->way >= 0)
			continue;
		f->from = f->to;
		f->to = from;
		f->from.t_s = -f->from.t_s;
		f->to.t_s = -f->to.t_s;
		f->by_s = f->kind == CADENCE_SHIFT ? -f->by_s : f->by_s;
	}
}

/* Watches the series' times. What is found is kept with its subject until the row is through. */
static void watch(struct source *s, struct series *series, const struct record *rec, bool same)
{
	struct intake *run = s->run;
	struct cadence_mark mark = { rec->t_s, rec->place.line, rec->place.file };
	size_t before = run->finds.n;
	bool again = series->epoch != s->epoch;

	if (again)
		begin_span(series, mark);
	look_among(s, series, rec, mark, same);
	watch_mark(s, series, mark, same || again);
	series->epoch = s->epoch;
	own_finds(run, series, before);
}

static void moment_text(struct source *s, int64_t t_s, int32_t offset_s, bool timed, struct buf *out)
{
	struct stamp stamp = intake_stamp_at(s, t_s, offset_s);

	if (!timed)
		stamp.second = STAMP_NO_TIME;
	intake_stamp_text(out, &stamp);
}

static void find_text(struct source *s, const struct cadence_find *f, struct buf *out)
{
	bool timed = s->m->form.timed;
	int32_t offset_s = s->last_offset;

	if (f->kind == CADENCE_GAP)
		intake_span_text(out, f->by_s);
	switch (f->kind) {
	case CADENCE_GAP:
		buf_str(out, " without a reading");
		if (f->missing)
			buf_printf(out, " (%lld missing)", (long long)f->missing);
		break;
	case CADENCE_BACK:
		buf_str(out, "the clock goes back by ");
		intake_span_text(out, f->by_s);
		break;
	case CADENCE_SHIFT:
		buf_str(out, "from here on the readings are ");
		intake_span_text(out, f->by_s);
		buf_printf(out, " %s: the clock was set, or the instrument restarted", f->by_s < 0 ? "earlier" : "later");
		break;
	case CADENCE_INTERVAL:
		buf_str(out, "from here on readings come every ");
		intake_span_text(out, f->by_s);
		buf_str(out, " instead of every ");
		intake_span_text(out, f->interval_s);
		break;
	}
	buf_str(out, ", from ");
	moment_text(s, f->from.t_s, offset_s, timed, out);
	if (f->from.line)
		buf_printf(out, " (line %llu) to ", (unsigned long long)f->from.line);
	else
		buf_str(out, " (in the book) to ");
	moment_text(s, f->to.t_s, offset_s, timed, out);
	if (!f->to.line)
		buf_str(out, " (in the book)");
}

static bool alike(const struct cadence_find *a, const struct cadence_find *b)
{
	return a->kind == b->kind && a->from.t_s == b->from.t_s && a->to.t_s == b->to.t_s && a->to.line == b->to.line;
}

static void tell_find(struct source *s, size_t i)
{
	static const enum note_kind kinds[] = { NOTE_GAP, NOTE_BACK, NOTE_SHIFT, NOTE_INTERVAL };
	struct intake *run = s->run;
	const struct cadence_find *f = &run->finds.row[i];
	uint64_t line = f->to.line ? f->to.line : f->from.line;
	struct row_place place = { f->to.file, 0, line, line };
	struct buf *out = &run->text;
	const char *sep = "";

	for (size_t k = i; k < run->finds.n; k++)
		if (alike(f, &run->finds.row[k]) && run->find_subject[k]) {
			buf_str(out, sep);
			buf_add(out, intern_text(&run->ids, run->find_subject[k]));
			run->find_subject[k] = 0;
			sep = ", ";
		}
	buf_str(out, ": ");
	find_text(s, f, out);
	if (f->kind == CADENCE_BACK && (f->by_s == HOUR_S || f->by_s + f->interval_s == HOUR_S) && s->m->clock == CLOCK_WALL && !s->zone)
		buf_str(out, "; if summer time ended, name the zone, such as `clock: Pacific/Auckland`");
	intake_say(run, kinds[f->kind], f->kind == CADENCE_BACK ? LEVEL_WARNING : LEVEL_NOTE, place);
}

static void tell_finds(struct source *s)
{
	struct intake *run = s->run;

	for (size_t i = 0; i < run->finds.n; i++)
		if (run->find_subject[i])
			tell_find(s, i);
	run->finds.n = 0;
}

/* --- rows given out --------------------------------------------------------------------------- */

static void enqueue(struct source *s, struct record *rec)
{
	if (s->first && s->first == s->nready)
		s->first = s->nready = 0;
	s->ready = mem_grow(s->ready, &s->ready_cap, s->nready + 1, sizeof *s->ready);
	s->ready[s->nready++] = rec;
}

static void unlike(struct source *s, const struct record *rec)
{
	buf_add(&s->run->text, intake_record_subject(rec));
	buf_str(&s->run->text, " has two different readings at ");
	intake_stamp_text(&s->run->text, &rec->stamp);
	buf_str(&s->run->text, "; both are written");
	intake_say(s->run, NOTE_UNLIKE, LEVEL_WARNING, rec->place);
}

enum taken { TAKEN_NEW, TAKEN_REPEAT, TAKEN_KNOWN };

static enum taken take_record(struct source *s, struct record *rec)
{
	struct intake *run = s->run;
	uint32_t id = series_of(s, rec);
	enum seen_how how = DEDUP_NEW;

	if (id < DEDUP_SERIES_MOST) {
		how = dedup_add(&run->seen, id, rec->t_s, hash_values(rec));
		watch(s, run->series[id], rec, how == DEDUP_SAME);
	}
	if (how == DEDUP_SAME)
		return TAKEN_REPEAT;
	if (intake_drop_known(s, rec))
		return TAKEN_KNOWN;
	if (how == DEDUP_UNLIKE)
		unlike(s, rec);
	if (id < DEDUP_SERIES_MOST)
		intake_watch_record(s, run->series[id], rec);
	return TAKEN_NEW;
}

void intake_row_deliver(struct source *s, struct row_records *row)
{
	struct intake *run = s->run;
	size_t n[3] = { 0, 0, 0 };

	for (size_t i = 0; i < row->n; i++) {
		enum taken how = take_record(s, row->rec[i]);

		n[how]++;
		if (how == TAKEN_NEW)
			enqueue(s, row->rec[i]);
		else
			intake_record_drop(run, row->rec[i]);
	}
	tell_finds(s);
	if (n[TAKEN_NEW]) {
		run->counts.with_entry++;
		return;
	}
	buf_str(&run->text, n[TAKEN_KNOWN] ? "the reading is already in the book" : "the reading is a repeat, so it counts once");
	intake_say(run, n[TAKEN_KNOWN] ? NOTE_KNOWN : NOTE_REPEAT, LEVEL_NOTE, row->place);
}

/* --- one moment ------------------------------------------------------------------------------- */

static bool same_words(const struct record *a, const struct record *b)
{
	return a->entry->event == b->entry->event && slice_eq(intake_record_subject(a), intake_record_subject(b)) &&
		a->stamp.day == b->stamp.day && a->stamp.second == b->stamp.second && a->stamp.offset == b->stamp.offset;
}

/* The field of `rec` of that use, or its number of fields. */
static size_t field_at(const struct record *rec, const struct field_use *use)
{
	size_t i = 0;

	while (i < rec->nfields && rec->field[i].use != use)
		i++;
	return i;
}

/* Whether two records of one moment fit in one line: no field of both that differs. */
static bool may_join(const struct record *a, const struct record *b)
{
	bool adds = false;

	if (!same_words(a, b))
		return false;
	for (size_t i = 0; i < b->nfields; i++) {
		size_t k = field_at(a, b->field[i].use);

		if (k < a->nfields && !slice_eq(intake_record_value(a, k), intake_record_value(b, i)))
			return false;
		adds = adds || k == a->nfields;
	}
	return adds;
}

/* Fields go in the order that the event's own list has. */
static void join(struct record *a, const struct record *b)
{
	for (size_t i = 0; i < b->nfields; i++) {
		size_t k = field_at(a, b->field[i].use), at = a->words.n;

		if (k < a->nfields)
			continue;
		buf_add(&a->words, intake_record_value(b, i));
		for (k = a->nfields++; k > 0 && a->field[k - 1].use > b->field[i].use; k--)
			a->field[k] = a->field[k - 1];
		a->field[k].use = b->field[i].use;
		a->field[k].at = at;
		a->field[k].n = b->field[i].n;
	}
}

void intake_gather_flush(struct intake *run, struct buf *out)
{
	for (size_t i = 0; i < run->ngathered; i++) {
		intake_record_write(run->gathered[i], &run->gathered[i]->stamp, out);
		intake_record_drop(run, run->gathered[i]);
		run->counts.entries++;
	}
	run->ngathered = 0;
}

enum { GATHERED_MOST = 4096 }; /* records of one moment that are joined; joining compares all of them */

void intake_gather(struct intake *run, struct record *rec, struct buf *out)
{
	if (run->ngathered && (run->gathered[0]->t_s != rec->t_s || run->ngathered == GATHERED_MOST))
		intake_gather_flush(run, out);
	for (size_t i = 0; i < run->ngathered; i++)
		if (may_join(run->gathered[i], rec)) {
			join(run->gathered[i], rec);
			intake_record_drop(run, rec);
			return;
		}
	run->gathered = mem_grow(run->gathered, &run->gathered_cap, run->ngathered + 1, sizeof *run->gathered);
	run->gathered[run->ngathered++] = rec;
}

/* The usual interval, or the mean one of few readings; 0 if it is not known or not watched. */
static int64_t usual_interval(const struct series *series, const struct span *span)
{
	if (series->cadence.interval_s)
		return series->cadence.interval_s > 0 ? series->cadence.interval_s : 0;
	return span->n > 1 ? (span->to.t_s - span->from.t_s) / (int64_t)(span->n - 1) : 0;
}

/* The end of a span that is new, and the book's reading beside it. */
static void gap_to_book(struct source *s, struct series *series, const struct span *span, bool before)
{
	const struct cadence *c = &series->cadence;
	struct cadence_mark here = before ? span->from : span->to, there = { 0, 0, here.file };
	int64_t by_s, interval_s = usual_interval(series, span), least_s = c->irregular ? 5 * interval_s : interval_s + interval_s / 2;

	if (!interval_s || !intake_known_beside(series->known, here.t_s, before, &there.t_s))
		return;
	for (size_t i = 0; i < series->nspans; i++)
		if (before ? series->span[i].to.t_s < here.t_s && series->span[i].to.t_s > there.t_s :
		    series->span[i].from.t_s > here.t_s && series->span[i].from.t_s < there.t_s)
			return;
	by_s = before ? here.t_s - there.t_s : there.t_s - here.t_s;
	if (by_s <= least_s)
		return;
	s->run->finds.row = mem_grow(s->run->finds.row, &s->run->finds.cap, s->run->finds.n + 1, sizeof *s->run->finds.row);
	s->run->finds.row[s->run->finds.n++] = (struct cadence_find){ CADENCE_GAP, before ? there : here, before ? here : there, by_s,
		c->irregular ? 0 : (by_s + interval_s / 2) / interval_s - 1, interval_s };
}

static void gaps_to_book(struct source *s, struct series *series)
{
	for (size_t i = 0; series->known && i < series->nspans; i++) {
		gap_to_book(s, series, &series->span[i], true);
		gap_to_book(s, series, &series->span[i], false);
	}
}

void intake_series_end(struct source *s)
{
	struct intake *run = s->run;

	for (size_t i = 0; i < run->nseries; i++) {
		size_t before = run->finds.n;

		if (!run->series[i])
			continue;
		release_early(run, run->series[i]);
		cadence_end(&run->series[i]->cadence, &run->finds);
		own_finds(run, run->series[i], before);
		before = run->finds.n;
		gaps_to_book(s, run->series[i]);
		run->find_subject = mem_grow(run->find_subject, &run->find_cap, run->finds.n, sizeof *run->find_subject);
		for (size_t k = before; k < run->finds.n; k++)
			run->find_subject[k] = run->series[i]->subject;
	}
	tell_finds(s);
}
