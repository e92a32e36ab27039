#include "text.h"
#include "vocab_words.h"
#include "vocab.h"
#include "value.h"
#include "stamp.h"
#include "diag.h"
#include "parse.h"
#include "zone.h"
#include "intern.h"
#include "climate.h"
#include "air_track.h"
#include "air_book.h"

#include <math.h>
#include <stdlib.h>

#include "mem.h"

#define STEPS 10000.0

enum { NO_READING = INT32_MIN };

void air_book_init(struct air_book *b, const struct zone *zone)
{
	*b = (struct air_book){ .zone = zone };
	intern_init(&b->ids);
}

void air_book_release(struct air_book *b)
{
	for (size_t i = 0; i < b->nrooms; i++)
		free(b->room[i].row);
	free(b->room);
	free(b->check);
	free(b->weighing);
	intern_release(&b->ids);
}

/* ---- taking lines in */

static struct air_room *room_of(struct air_book *b, struct slice id)
{
	for (size_t i = 0; i < b->nrooms; i++) {
		size_t at = (b->last + 1 + i) % b->nrooms;

		if (slice_eq(b->room[at].id, id)) {
			b->last = at;
			return &b->room[at];
		}
	}
	b->room = mem_grow(b->room, &b->rooms_cap, b->nrooms + 1, sizeof *b->room);
	b->last = b->nrooms++;
	b->room[b->last] = (struct air_room){ .id = intern_text(&b->ids, intern_id(&b->ids, id)) };
	return &b->room[b->last];
}

static int64_t instant_of(struct air_book *b, const struct stamp *stamp, unsigned *flags)
{
	int64_t wall = (int64_t)stamp->day * 86400 + (stamp->second == STAMP_NO_TIME ? 43200 : stamp->second);
	struct zone_wall found;

	if (stamp->second == STAMP_NO_TIME)
		*flags |= AIR_UNTIMED;
	if (stamp->offset != STAMP_NO_OFFSET)
		return wall - stamp->offset * 60;
	found = zone_wall(b->zone, &b->memo, wall);
	if (found.kind == ZONE_TWICE)
		*flags |= AIR_DOUBLED;
	if (found.kind != ZONE_NEVER)
		return found.utc_s[1];
	*flags |= AIR_SKIPPED;
	return found.change_s;
}

static int32_t figure_of(const struct item *item)
{
	return item && item->v.mark == VALUE_EXACT ? (int32_t)item->v.fix : NO_READING;
}

static int32_t rh_of_wet_bulb(int32_t temp, int32_t wet)
{
	double pct = NAN;

	if (temp != NO_READING && wet != NO_READING)
		pct = rh_from_wet_bulb_pct(temp / STEPS, wet / STEPS, AIR_PRESSURE_PA);
	return isnan(pct) ? NO_READING : (int32_t)lrint(pct * STEPS);
}

static void take_air(struct air_book *b, const struct line *l)
{
	struct air_room *room = room_of(b, l->subject);
	struct air_reading row = { .temp = figure_of(line_item(l, FIELD_TEMP)), .rh = figure_of(line_item(l, FIELD_RH)), .day = l->stamp.day };
	unsigned flags = 0;

	if (row.rh == NO_READING) {
		row.rh = rh_of_wet_bulb(row.temp, figure_of(line_item(l, FIELD_WETBULB)));
		flags |= row.rh == NO_READING ? 0 : AIR_WET;
	}
	row.utc_s = instant_of(b, &l->stamp, &flags);
	row.meter = intern_id(&b->ids, line_word(l, FIELD_METER)) & 0xfffffff;
	row.flags = flags & 15;
	room->row = mem_grow(room->row, &room->cap, room->n + 1, sizeof *room->row);
	room->row[room->n++] = row;
}

static void add_check(struct air_book *b, struct air_check check)
{
	b->check = mem_grow(b->check, &b->checks_cap, b->nchecks + 1, sizeof *b->check);
	b->check[b->nchecks++] = check;
}

static void take_check(struct air_book *b, const struct line *l)
{
	const struct item *known = line_item(l, FIELD_TRUE), *read = line_item(l, FIELD_READ);
	bool degrees;

	if (!known || !read || known->v.mark != VALUE_EXACT || read->v.mark != VALUE_EXACT)
		return;
	degrees = known->text.p[known->text.n - 1] != '%';
	if (degrees != (read->text.p[read->text.n - 1] != '%'))
		return;
	add_check(b, (struct air_check){ l->stamp.day, intern_id(&b->ids, l->subject), degrees ? AIR_TEMP : AIR_RH, known->v.fix - read->v.fix });
}

static void add_weighing(struct air_book *b, struct air_weighing w)
{
	b->weighing = mem_grow(b->weighing, &b->weighings_cap, b->nweighings + 1, sizeof *b->weighing);
	b->weighing[b->nweighings++] = w;
}

static void take_weights(struct air_book *b, const struct line *l)
{
	const struct field *f = line_field(l, FIELD_MASS);
	unsigned flags = 0;

	for (size_t i = 0; f && i < f->n; i++) {
		const struct item *item = &l->item[f->first + i];

		if (item->label.n && item->v.mark == VALUE_EXACT && item->v.fix > 0)
			add_weighing(b, (struct air_weighing){ intern_id(&b->ids, l->subject), intern_id(&b->ids, item->label),
				instant_of(b, &l->stamp, &flags), item->v.fix });
	}
}

void air_book_take(struct air_book *b, const struct line *l)
{
	switch (l->event->id) {
	case EVENT_AIR:
		take_air(b, l);
		break;
	case EVENT_METER:
		take_check(b, l);
		break;
	case EVENT_WEIGH:
		take_weights(b, l);
		break;
	default:
		break;
	}
}

/* ---- bringing collections together */

static uint32_t moved(struct air_book *b, const struct air_book *from, uint32_t id)
{
	return intern_id(&b->ids, intern_text(&from->ids, id));
}

static void merge_room(struct air_book *b, const struct air_room *add, const uint32_t *number)
{
	struct air_room *room = room_of(b, add->id);

	room->row = mem_grow(room->row, &room->cap, room->n + add->n, sizeof *room->row);
	for (size_t i = 0; i < add->n; i++) {
		room->row[room->n] = add->row[i];
		room->row[room->n++].meter = number[add->row[i].meter] & 0xfffffff;
	}
}

void air_book_merge(struct air_book *b, struct air_book *from)
{
	uint32_t *number;

	if (b->ids.n == 1 && !b->nrooms) {
		struct air_book kept = *b;

		*b = *from;
		*from = kept;
		return;
	}
	number = mem_array(from->ids.n, sizeof *number);
	for (uint32_t i = 0; i < from->ids.n; i++)
		number[i] = moved(b, from, i);
	for (size_t i = 0; i < from->nrooms; i++)
		merge_room(b, &from->room[i], number);
	for (size_t i = 0; i < from->nchecks; i++) {
		from->check[i].meter = number[from->check[i].meter];
		add_check(b, from->check[i]);
	}
	for (size_t i = 0; i < from->nweighings; i++) {
		from->weighing[i].place = number[from->weighing[i].place];
		from->weighing[i].label = number[from->weighing[i].label];
		add_weighing(b, from->weighing[i]);
	}
	free(number);
}

static int by_reading(const void *a, const void *b)
{
	const struct air_reading *x = a, *y = b;

	if (x->utc_s != y->utc_s)
		return x->utc_s < y->utc_s ? -1 : 1;
	if (x->temp != y->temp)
		return x->temp < y->temp ? -1 : 1;
	return (x->rh > y->rh) - (x->rh < y->rh);
}

static int by_id(const void *a, const void *b)
{
	return slice_cmp(((const struct air_room *)a)->id, ((const struct air_room *)b)->id);
}

static void sort_room(struct air_room *room)
{
	for (size_t i = 1; i < room->n; i++)
		if (by_reading(&room->row[i - 1], &room->row[i]) > 0) {
			qsort(room->row, room->n, sizeof *room->row, by_reading);
			return;
		}
}

static int by_day(const void *a, const void *b)
{
	const struct air_check *x = a, *y = b;

	return (x->day > y->day) - (x->day < y->day);
}

void air_book_settle(struct air_book *b)
{
	for (size_t i = 0; i < b->nrooms; i++)
		sort_room(&b->room[i]);
	if (b->nrooms)
		qsort(b->room, b->nrooms, sizeof *b->room, by_id);
	if (b->nchecks)
		qsort(b->check, b->nchecks, sizeof *b->check, by_day);
}

/* ---- instruments */

/* `hyg1` is checked for `hyg1/room` too. */
static bool is_of(const struct air_book *b, uint32_t checked, uint32_t meter)
{
	struct slice name = intern_text(&b->ids, meter), of = intern_text(&b->ids, checked);

	return checked == meter || slice_eq(of, slice_upto(name, slice_find(name, '/')));
}

double air_book_offset(const struct air_book *b, uint32_t meter, int quantity, int32_t day)
{
	int64_t sum = 0, n = 0;
	int32_t of = 0;

	for (size_t i = 0; meter && i < b->nchecks && b->check[i].day <= day; i++) {
		const struct air_check *c = &b->check[i];

		if (c->quantity != quantity || !is_of(b, c->meter, meter))
			continue;
		if (n && c->day != of)
			sum = n = 0;
		of = c->day;
		sum += c->off;
		n++;
	}
	return n ? (double)sum / (double)n / STEPS : 0;
}

/* ---- points */

/* The offsets of the meter and day of the last reading: readings come in long runs of them. */
struct offsets {
	uint32_t meter;
	int32_t day;
	double off[2];
};

static void look_up(const struct air_book *b, struct offsets *o, const struct air_reading *row)
{
	if (o->meter == row->meter && o->day == row->day)
		return;
	o->meter = row->meter;
	o->day = row->day;
	o->off[AIR_TEMP] = air_book_offset(b, row->meter, AIR_TEMP, row->day);
	o->off[AIR_RH] = air_book_offset(b, row->meter, AIR_RH, row->day);
}

/* Sums while the readings of one moment come. */
struct moment {
	double raw[2], v[2], low[2], high[2];
	uint32_t n[2], readings;
};

static void add_figure(struct moment *m, int quantity, int32_t figure, double off)
{
	double raw = figure / STEPS, v = raw + off;

	if (figure == NO_READING)
		return;
	if (quantity == AIR_RH)
		v = fmin(fmax(v, 0), 100);
	m->low[quantity] = m->n[quantity] ? fmin(m->low[quantity], raw) : raw;
	m->high[quantity] = m->n[quantity] ? fmax(m->high[quantity], raw) : raw;
	m->raw[quantity] += raw;
	m->v[quantity] += v;
	m->n[quantity]++;
}

static struct air_point point_of(const struct moment *m, int64_t utc_s)
{
	struct air_point p = { .utc_s = utc_s, .n = m->readings };

	for (int q = AIR_TEMP; q <= AIR_RH; q++) {
		p.v[q] = m->n[q] ? m->v[q] / m->n[q] : NAN;
		p.raw[q] = m->n[q] ? m->raw[q] / m->n[q] : NAN;
		p.low[q] = m->n[q] ? m->low[q] : NAN;
		p.high[q] = m->n[q] ? m->high[q] : NAN;
	}
	p.v[AIR_EMC] = m->n[AIR_TEMP] && m->n[AIR_RH] ? emc_pct(p.v[AIR_TEMP], p.v[AIR_RH]) : NAN;
	p.raw[AIR_EMC] = p.v[AIR_EMC];
	if (p.v[AIR_TEMP] != p.raw[AIR_TEMP] || p.v[AIR_RH] != p.raw[AIR_RH])
		p.raw[AIR_EMC] = isnan(p.v[AIR_EMC]) ? NAN : emc_pct(p.raw[AIR_TEMP], p.raw[AIR_RH]);
	return p;
}

struct air_point *air_book_points(const struct air_book *b, const struct air_room *room, bool raw, size_t *n)
{
	struct air_point *point = mem_array(room->n, sizeof *point);
	struct offsets o = { 0 };

	*n = 0;
	for (size_t i = 0; i < room->n;) {
		int64_t now = room->row[i].utc_s;
		struct moment m = { 0 };

		for (; i < room->n && room->row[i].utc_s == now; i++) {
			const struct air_reading *row = &room->row[i];

			if (!raw)
				look_up(b, &o, row);
			add_figure(&m, AIR_TEMP, row->temp, o.off[AIR_TEMP]);
			add_figure(&m, AIR_RH, row->rh, row->flags & AIR_WET ? 0 : o.off[AIR_RH]);
			m.readings++;
		}
		point[(*n)++] = point_of(&m, now);
	}
	return point;
}
