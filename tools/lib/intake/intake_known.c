#include "intake/intake_internal.h"

/*
 * A reading of the book is known by its event, subject, field, instrument and instant. An entry without
 * an instrument may be any one's. Of one reading the book may hold several values (VALUES_MOST are kept).
 */
enum { VALUES_MOST = 4 };

static const struct slice no_meter = { "", 0 }, any_meter = { "*", 1 };

/* --- values ----------------------------------------------------------------------------------- */

static uint64_t item_hash(const struct field_use *use, struct slice text)
{
	struct value v;
	uint64_t h;

	if (!value_is_number(use->type) || value_read(use->type, use->shape, text, &v))
		return slice_hash(text);
	h = ((uint64_t)v.fix ^ (uint64_t)v.mark << 56) * HASH_FACTOR;
	if (v.mark == VALUE_RANGE)
		h = (h ^ (uint64_t)v.high) * HASH_FACTOR;
	return use->type == TYPE_READING || use->type == TYPE_MONEY ? h ^ v.unit : h;
}

uint64_t intake_value_hash(const struct field_use *use, struct slice text)
{
	uint64_t h = 0;

	if (!value_is_number(use->type))
		return slice_hash(text);
	for (;;) {
		size_t n = slice_find(text, ',');
		struct slice item = slice_upto(text, n);
		size_t colon = slice_find(item, ':');
		struct slice label = colon < item.n ? slice_upto(item, colon) : (struct slice){ "", 0 };

		h += hash_mix(item_hash(use, label.n ? slice_from(item, colon + 1) : item) ^ slice_hash(label));
		if (n >= text.n)
			return h;
		text = slice_from(text, n + 1);
	}
}

/* The digits that matter, without zeros at the end of a fraction; *unit: where the unit begins. */
static size_t digits_end(struct slice s, size_t *unit)
{
	const char *point = memchr(s.p, '.', s.n);
	size_t n = s.n;

	while (n && !(s.p[n - 1] >= '0' && s.p[n - 1] <= '9'))
		n--;
	*unit = n;
	while (point && n && s.p[n - 1] == '0')
		n--;
	return point && n && s.p[n - 1] == '.' ? n - 1 : n;
}

uint64_t intake_text_hash(const struct field_use *use, struct slice text)
{
	size_t end, unit;

	if (!value_is_number(use->type))
		return slice_hash(text);
	if (memchr(text.p, ',', text.n) || memchr(text.p, ':', text.n))
		return intake_value_hash(use, text);
	end = digits_end(text, &unit);
	return slice_hash(slice_upto(text, end)) * HASH_FACTOR ^ slice_hash(slice_from(text, unit));
}

/* --- the book's readings ------------------------------------------------------------------------ */

/* The number of a reading's name; `which` of its values. */
static uint32_t known_id(struct intake *run, struct slice event, struct slice subject, struct slice field, struct slice meter, int which)
{
	struct buf name = BUF_INIT;
	uint32_t id;

	buf_printf(&name, "%d ", which);
	buf_add(&name, event);
	buf_char(&name, ' ');
	buf_add(&name, subject);
	buf_char(&name, ' ');
	buf_add(&name, field);
	buf_char(&name, ' ');
	buf_add(&name, meter);
	id = intern_id(&run->ids, buf_slice(&name));
	buf_release(&name);
	return id;
}

static void know_value(struct intake *run, const struct line *l, const struct field *f, struct slice meter, int64_t t_s)
{
	uint64_t hash = intake_value_hash(f->use, f->text);

	for (int which = 0; which < VALUES_MOST; which++) {
		uint32_t id = known_id(run, l->event->name, l->subject, f->use->field->name, meter, which);

		if (id >= DEDUP_SERIES_MOST || dedup_add(&run->known, id, t_s, hash) != DEDUP_UNLIKE)
			return;
	}
}

static uint32_t times_id(struct intake *run, struct slice event, struct slice subject)
{
	return known_id(run, event, subject, no_meter, no_meter, VALUES_MOST);
}

static struct known_times *find_times(const struct intake *run, uint32_t id)
{
	return id < run->ntimes ? run->times[id] : NULL;
}

static void know_time(struct intake *run, const struct line *l, int64_t t_s)
{
	uint32_t id = times_id(run, l->event->name, l->subject);
	struct known_times *t = find_times(run, id);

	if (!t) {
		t = mem_zeroed(1, sizeof *t);
		run->times = mem_grow(run->times, &run->times_cap, id + 1, sizeof *run->times);
		while (run->ntimes <= id)
			run->times[run->ntimes++] = NULL;
		run->times[id] = t;
	}
	t->t_s = mem_grow(t->t_s, &t->cap, t->n + 1, sizeof *t->t_s);
	t->t_s[t->n++] = t_s;
}

void intake_know(struct intake *run, const struct line *line, const struct mapping *m)
{
	int64_t t_s = intake_stamp_instant(&line->stamp, intake_works_clock(run->works, m), &run->known_memo);
	struct slice meter = line_word(line, FIELD_METER);
	bool any = false;

	for (size_t i = 0; i < line->nfields; i++) {
		const struct field *f = &line->field[i];

		if (!value_is_number(f->use->type))
			continue;
		know_value(run, line, f, meter, t_s);
		know_value(run, line, f, any_meter, t_s);
		any = true;
	}
	if (any)
		know_time(run, line, t_s);
}

/* --- what the book lacks ------------------------------------------------------------------------ */

static enum seen_how find_value(struct intake *run, const struct record *rec, size_t i, struct slice meter)
{
	uint64_t hash = intake_value_hash(rec->field[i].use, intake_record_value(rec, i));
	enum seen_how how = DEDUP_NEW;

	for (int which = 0; which < VALUES_MOST; which++) {
		uint32_t id = known_id(run, rec->entry->event->name, intake_record_subject(rec), rec->field[i].use->field->name, meter, which);
		enum seen_how one = id < DEDUP_SERIES_MOST ? dedup_find(&run->known, id, rec->t_s, hash) : DEDUP_NEW;

		if (one == DEDUP_SAME)
			return one;
		if (one == DEDUP_NEW)
			break;
		how = one;
	}
	return how;
}

static struct slice meter_of(const struct record *rec)
{
	for (size_t i = 0; i < rec->nfields; i++)
		if (rec->field[i].use->field->id == FIELD_METER)
			return intake_record_value(rec, i);
	return no_meter;
}

/* The book's value: of the same instrument, or of none; an equal one may be of any. */
static enum seen_how how_known(struct intake *run, const struct record *rec, size_t i, struct slice meter)
{
	enum seen_how how = find_value(run, rec, i, meter.n ? meter : any_meter);

	if (how == DEDUP_NEW && meter.n)
		how = find_value(run, rec, i, no_meter);
	if (how != DEDUP_SAME && meter.n && find_value(run, rec, i, any_meter) == DEDUP_SAME)
		how = DEDUP_SAME;
	return how;
}

static void say_differs(struct source *s, const struct record *rec, size_t i)
{
	struct buf *out = &s->run->text;

	buf_str(out, "the book has another ");
	buf_add(out, rec->field[i].use->field->name);
	buf_str(out, " of ");
	buf_add(out, intake_record_subject(rec));
	buf_str(out, " at ");
	intake_stamp_text(out, &rec->stamp);
	buf_printf(out, " than %.*s; the book's stays", SHOWN(intake_record_value(rec, i)));
	intake_say(s->run, NOTE_DIFFERS, LEVEL_WARNING, rec->place);
}

static void say_lacks(struct source *s, const struct record *rec)
{
	struct buf *out = &s->run->text;

	buf_str(out, "the book's entry of ");
	buf_add(out, intake_record_subject(rec));
	buf_str(out, " at ");
	intake_stamp_text(out, &rec->stamp);
	buf_str(out, " lacks");
	for (size_t i = 0; i < rec->nfields; i++)
		if (value_is_number(rec->field[i].use->type)) {
			buf_printf(out, " %.*s=", SHOWN(rec->field[i].use->field->name));
			buf_add(out, intake_record_value(rec, i));
		}
	buf_str(out, ", which is not an entry alone; add it to that entry");
	intake_say(s->run, NOTE_DIFFERS, LEVEL_WARNING, rec->place);
}

static void drop_field(struct record *rec, size_t i)
{
	for (rec->nfields--; i < rec->nfields; i++)
		rec->field[i] = rec->field[i + 1];
}

bool intake_drop_known(struct source *s, struct record *rec)
{
	struct slice meter = meter_of(rec);
	size_t numbers = 0, known = 0;

	for (size_t i = s->run->known.n ? rec->nfields : 0; i-- > 0;) {
		enum seen_how how;

		if (!value_is_number(rec->field[i].use->type))
			continue;
		numbers++;
		how = how_known(s->run, rec, i, meter);
		if (how == DEDUP_UNLIKE)
			say_differs(s, rec, i);
		if (how == DEDUP_NEW)
			continue;
		known++;
		drop_field(rec, i);
	}
	if (!known || known == numbers)
		return known > 0;
	if (intake_is_complete(rec))
		return false;
	say_lacks(s, rec);
	return true;
}

/* --- times -------------------------------------------------------------------------------------- */

struct known_times *intake_known_times(struct intake *run, const struct record *rec)
{
	return run->ntimes ? find_times(run, times_id(run, rec->entry->event->name, intake_record_subject(rec))) : NULL;
}

static int by_time(const void *a, const void *b)
{
	int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;

	return (x > y) - (x < y);
}

bool intake_known_beside(struct known_times *times, int64_t t_s, bool before, int64_t *out_s)
{
	size_t low = 0, high = times->n;

	if (!times->sorted)
		qsort(times->t_s, times->n, sizeof *times->t_s, by_time);
	times->sorted = true;
	while (low < high) {
		size_t mid = low + (high - low) / 2;

		if (times->t_s[mid] < t_s)
			low = mid + 1;
		else
			high = mid;
	}
	if ((low < times->n && times->t_s[low] == t_s) || (before ? low == 0 : low == times->n))
		return false;
	*out_s = times->t_s[before ? low - 1 : low];
	return true;
}

void intake_known_release(struct intake *run)
{
	for (size_t i = 0; i < run->ntimes; i++) {
		if (run->times[i])
			free(run->times[i]->t_s);
		free(run->times[i]);
	}
	free(run->times);
}
