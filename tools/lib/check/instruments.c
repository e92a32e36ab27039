#include "check/instruments.h"

#include <math.h>
#include <stdlib.h>

#include "check/occurrence.h"

enum { PLACES = 4 };

/* More moisture than any wood holds: the masses are wrong. 0.0001 %. */
static const int64_t MOST_MC = 3000000;

struct meter_day {
	int32_t day;
	int row;               /* of house.meters */
	bool read, checked;
	struct occurrence first; /* the earliest reading of the day */
};

void instruments_init(struct instruments *m, const struct house *house, struct diags *diags)
{
	memset(m, 0, sizeof *m);
	m->diags = diags;
	m->house = house;
	m->memo_row = -1;
}

void instruments_release(struct instruments *m)
{
	free(m->day);
	hash_index_release(&m->index);
	memset(m, 0, sizeof *m);
}

/* ---- which instrument */

/* The row of the meter that a word names, its setting left off; -1 when there is none. */
static int row_of(struct instruments *m, struct slice word)
{
	if (!m->house || !word.n)
		return -1;
	if (word.n == m->memo_n && memcmp(word.p, m->memo, word.n) == 0)
		return m->memo_row;
	m->memo_row = house_index(m->house, HOUSE_METER, slice_upto(word, slice_find(word, '/')));
	m->memo_n = word.n <= sizeof m->memo ? word.n : 0;
	memcpy(m->memo, word.p, m->memo_n);
	return m->memo_row;
}

static const struct house_meter *meter_at(const struct instruments *m, int row)
{
	return row < 0 ? NULL : &m->house->meters[row];
}

/* ---- days on which an instrument was read or checked */

/* The day's index in m->day, made where there is none. */
static uint32_t find_day(struct instruments *m, int row, int32_t day)
{
	uint64_t hash = hash_mix(hash_pair((uint32_t)row, (uint32_t)day));
	struct hash_probe p = hash_probe_of(&m->index, hash);

	while (hash_probe_next(&m->index, &p))
		if (m->day[p.row].row == row && m->day[p.row].day == day)
			return p.row;
	hash_index_add(&m->index, hash, (uint32_t)m->ndays);
	m->day = mem_grow(m->day, &m->days_cap, m->ndays + 1, sizeof *m->day);
	m->day[m->ndays] = (struct meter_day){ .day = day, .row = row };
	return (uint32_t)m->ndays++;
}

static struct meter_day *day_of_meter(struct instruments *m, int row, int32_t day)
{
	if (!m->last || m->day[m->last - 1].row != row || m->day[m->last - 1].day != day)
		m->last = find_day(m, row, day) + 1;
	return &m->day[m->last - 1];
}

static void note_reading(struct instruments *m, int row, const struct line *l, struct slice word)
{
	struct meter_day *d;
	struct occurrence mark;

	if (m->house->meters[row].check_every == HOUSE_NONE)
		return;
	d = day_of_meter(m, row, l->stamp.day);
	if (d->read && l->stamp.second > d->first.second)
		return;
	mark = occurrence_of(l, word);
	if (!d->read || occurrence_cmp(&mark, &d->first) < 0)
		d->first = mark;
	d->read = true;
}

/* ---- one line by itself */

static void add_points(struct buf *out, int64_t fix)
{
	value_write_fix(out, fix, PLACES);
	buf_char(out, '%');
}

static void add_range(struct buf *out, struct house_range r)
{
	if (r.low != INT64_MIN)
		value_write_fix(out, r.low, PLACES);
	buf_str(out, "..");
	if (r.high != INT64_MAX)
		add_points(out, r.high);
}

/* The first reading of the field that the instrument cannot be trusted with; others are counted. */
static void judge_trust(struct instruments *m, const struct house_meter *meter, const struct line *l, int field)
{
	const struct field *f = line_field(l, field);
	const struct item *first = NULL;
	struct buf range = BUF_INIT;
	size_t n = 0;

	if (!f || !house_range_given(meter->trust))
		return;
	for (size_t i = f->first; i < f->first + f->n; i++)
		if (l->item[i].v.mark == VALUE_EXACT && !house_range_holds(meter->trust, l->item[i].v.fix)) {
			first = first ? first : &l->item[i];
			n++;
		}
	if (!first)
		return;
	add_range(&range, meter->trust);
	if (n > 1)
		buf_printf(&range, "; %zu more on this line", n - 1);
	DIAG(m->diags, RULE_READING_UNTRUSTED, line_place(l, first->text), first->text, meter->id, buf_slice(&range));
	buf_release(&range);
}

static bool reads_wood(const struct house_meter *meter)
{
	return meter->kind == HOUSE_METER_KIND_PIN || meter->kind == HOUSE_METER_KIND_CAPACITANCE;
}

/* Whether some item of mc= is a number that a correction would be for. */
static bool has_figure(const struct line *l, const struct field *f)
{
	for (size_t i = f->first; i < f->first + f->n; i++)
		if (l->item[i].v.mark == VALUE_EXACT)
			return true;
	return false;
}

/* A metered moisture without what it would be corrected by. */
static void judge_correction(struct instruments *m, const struct house_meter *meter, const struct line *l)
{
	const struct field *f = line_field(l, FIELD_MC);
	const char *lacks = NULL;

	if (!f || !has_figure(l, f))
		return;
	if (!line_field(l, FIELD_METER))
		lacks = line_field(l, FIELD_WOOD) ? "meter=" : "meter= and wood=";
	else if (!line_field(l, FIELD_WOOD) && meter && reads_wood(meter) && !isnan(meter->per10c))
		lacks = "wood=";
	if (lacks)
		DIAG(m->diags, RULE_UNCORRECTED, line_place(l, f->key), slice_of(lacks));
}

static void judge_wetbulb(struct instruments *m, const struct line *l)
{
	const struct item *dry = line_item(l, FIELD_TEMP), *wet = line_item(l, FIELD_WETBULB);

	if (dry && wet && wet->v.fix > dry->v.fix)
		DIAG(m->diags, RULE_WETBULB_ABOVE_DRY, line_place(l, wet->text), wet->text, dry->text);
}

/* Whether one can be checked against the other: both in per cent, or two temperatures, or two masses. */
static bool are_alike(const struct item *a, const struct item *b)
{
	return slice_eq(value_reading_base(a->v.unit), value_reading_base(b->v.unit));
}

/* How far off the instrument was at a check, against what the house allows. */
static void judge_check(struct instruments *m, const struct line *l)
{
	const struct house_meter *meter = meter_at(m, row_of(m, l->subject));
	const struct item *is = line_item(l, FIELD_TRUE), *read = line_item(l, FIELD_READ);
	struct buf within = BUF_INIT, off = BUF_INIT;

	if (is && read && !are_alike(is, read)) {
		DIAG(m->diags, RULE_METER_UNITS, line_place(l, read->text), is->text, read->text);
		return;
	}
	if (!meter)
		return;
	if (meter->check_every != HOUSE_NONE)
		day_of_meter(m, row_of(m, l->subject), l->stamp.day)->checked = true;
	if (meter->within == HOUSE_NONE || !is || !read || llabs(is->v.fix - read->v.fix) <= meter->within)
		return;
	value_write_fix(&off, llabs(is->v.fix - read->v.fix), PLACES);
	value_write_fix(&within, meter->within, PLACES);
	DIAG(m->diags, RULE_METER_OFF, line_place(l, read->text), meter->id, buf_slice(&off), buf_slice(&within));
	buf_release(&off);
	buf_release(&within);
}

/* The dry mass that belongs to wet item `i`: of the same label, or in the same position. */
static const struct item *dry_of(const struct line *l, const struct field *dry, const struct item *wet, size_t i)
{
	for (size_t k = dry->first; wet->label.n && k < dry->first + dry->n; k++)
		if (slice_eq(l->item[k].label, wet->label))
			return &l->item[k];
	return !wet->label.n && !l->item[dry->first + i].label.n ? &l->item[dry->first + i] : NULL;
}

static void judge_pair(struct instruments *m, const struct line *l, const struct item *wet, const struct item *dry)
{
	struct buf mc = BUF_INIT;

	if (dry->v.fix <= 0 || wet->v.fix < dry->v.fix) {
		DIAG(m->diags, RULE_OVEN_MASSES, line_place(l, dry->text), wet->text, dry->text);
		return;
	}
	/* 100 (wet - dry) / dry > MOST_MC, without a division */
	if ((double)(wet->v.fix - dry->v.fix) * 1e6 <= (double)MOST_MC * (double)dry->v.fix)
		return;
	buf_printf(&mc, "%.0f%%", 100.0 * (double)(wet->v.fix - dry->v.fix) / (double)dry->v.fix);
	DIAG(m->diags, RULE_OVEN_MC, line_place(l, dry->text), wet->text, dry->text, buf_slice(&mc));
	buf_release(&mc);
}

static void judge_oven(struct instruments *m, const struct line *l)
{
	const struct field *wet = line_field(l, FIELD_WET), *dry = line_field(l, FIELD_DRY);

	if (!wet || !dry)
		return;
	for (size_t i = 0; i < wet->n; i++) {
		const struct item *w = &l->item[wet->first + i];
		const struct item *d = wet->n == dry->n ? dry_of(l, dry, w, i) : NULL;

		if (!d) {
			DIAG0(m->diags, RULE_OVEN_PAIRS, line_place(l, dry->text));
			return;
		}
		judge_pair(m, l, w, d);
	}
}

void instruments_line(struct instruments *m, const struct line *l)
{
	struct slice word = line_word(l, FIELD_METER);
	int row = row_of(m, word);

	if (row >= 0) {
		note_reading(m, row, l, word);
		judge_trust(m, &m->house->meters[row], l, reads_wood(&m->house->meters[row]) ? FIELD_MC : FIELD_RH);
	}
	if (line_field(l, FIELD_MC))
		judge_correction(m, meter_at(m, row), l);
	if (line_field(l, FIELD_WETBULB))
		judge_wetbulb(m, l);
	if (l->event->id == EVENT_METER)
		judge_check(m, l);
	else if (l->event->id == EVENT_OVEN)
		judge_oven(m, l);
}

/* ---- overdue instruments */

int32_t instruments_valid_until(const struct house_meter *meter, int32_t checked)
{
	int64_t until = meter->check_every == HOUSE_NONE ? INT32_MAX : checked + house_span_days(meter->check_every);

	return until < INT32_MAX ? (int32_t)until : INT32_MAX;
}

static int by_meter(const void *a, const void *b)
{
	const struct meter_day *x = a, *y = b;

	if (x->row != y->row)
		return x->row < y->row ? -1 : 1;
	return (x->day > y->day) - (x->day < y->day);
}

static void tell_overdue(struct instruments *m, const struct meter_day *d, int32_t since, bool checked)
{
	const struct house_meter *meter = &m->house->meters[d->row];
	struct buf how = BUF_INIT, span = BUF_INIT;

	buf_str(&how, checked ? "was last checked on " : "has not been checked since its first reading on ");
	day_write(&how, since);
	buf_printf(&span, "%d days", instruments_valid_until(meter, 0));
	DIAG(m->diags, RULE_METER_OVERDUE, occurrence_place(&d->first), meter->id, buf_slice(&how), buf_slice(&span));
	buf_release(&how);
	buf_release(&span);
}

/* Whether the line of that reading names what comes in later: its date is wrong, then. */
static bool is_misdated(const struct instruments *m, const struct meter_day *d)
{
	struct place place = occurrence_place(&d->first);

	for (size_t i = 0; i < m->diags->n; i++) {
		const struct diag *row = &m->diags->row[i];

		if (row->rule == RULE_ID_TOO_EARLY && row->place.file == place.file && row->place.line == place.line)
			return true;
	}
	return false;
}

/* An instrument that no line checks, from its first reading on; once it is overdue, that is reported instead. */
static bool tell_unchecked(struct instruments *m, const struct meter_day *d, size_t n)
{
	const struct house_meter *meter = &m->house->meters[d->row];

	for (size_t i = 0; i < n; i++)
		if (d[i].checked)
			return false;
	if (d[n - 1].day > instruments_valid_until(meter, d->day))
		return false;
	DIAG(m->diags, RULE_METER_UNCHECKED, occurrence_place(&d->first), meter->id);
	return true;
}

/* The days of one meter, in order. Until its first check it counts as checked when it was first read. */
static void judge_days(struct instruments *m, const struct meter_day *d, size_t n)
{
	const struct house_meter *meter = &m->house->meters[d->row];
	int32_t since = d->day;
	size_t start = 0;
	bool checked = false, told = false;

	if (tell_unchecked(m, d, n))
		return;
	for (size_t i = 0; i < n; i++) {
		if (d[i].checked) {
			since = d[i].day;
			checked = true;
			told = false;
		} else if (!told && d[i].day > instruments_valid_until(meter, since)) {
			if (!checked && is_misdated(m, &d[start])) {
				since = d[i].day;
				start = i;
				continue;
			}
			tell_overdue(m, &d[i], since, checked);
			told = true;
		}
	}
}

void instruments_end(struct instruments *m, struct symbols *symbols)
{
	const struct symbol *meter;

	if (m->ndays)
		qsort(m->day, m->ndays, sizeof *m->day, by_meter);
	for (size_t i = 0, k; i < m->ndays; i = k) {
		for (k = i; k < m->ndays && m->day[k].row == m->day[i].row; k++)
			;
		meter = symbols_at(symbols, m->house->meters[m->day[i].row].id);
		if (!meter->half_read && !meter->meant)
			judge_days(m, &m->day[i], k - i);
	}
}
