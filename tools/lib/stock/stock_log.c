#include "stock/stock_log.h"

#include <stdlib.h>

#include "stock/stock.h"

/* In a shape: the same as the subject; a lot that the record has. */
enum { OF_SUBJECT = -2, IN_RECORD = -3 };

struct stock_shape {
	const struct event_def *event;
	uint32_t lot, at, into;
	uint32_t type, grade, class, by;
	int32_t form;
	uint32_t parts;            /* PART_... that its records have */
	bool counted, measured, uncounted;
};

/* A record: this, then the parts that its shape has, in their order; then its items, and the rest. */
struct head {
	uint32_t shape, subject, line;
	int32_t day;
	uint8_t column[4];         /* where the lot is named and where the count is: columns and lengths */
	uint16_t rest;
	uint8_t counts, culls;
};

enum { PART_SECOND = 1, PART_LOT = 2, PART_ORDER = 4, PART_PARTY = 8, PART_PAIR = 16, PART_FOUND = 32, PART_FILE = 64, PART_WIDE = 128 };

/* In place of those of the head, where one of them does not go in there. */
struct wide {
	uint32_t column[4], rest, counts, culls;
};

struct part_item {
	uint32_t what;             /* in stock_log.what */
	int32_t n;
};

enum { PARTS_MOST = 10 * sizeof(uint32_t) + sizeof(struct wide) };

void stock_log_release(struct stock_log *log)
{
	spill_release(&log->records);
	free(log->shape);
	free(log->what);
	hash_index_release(&log->shapes);
	hash_index_release(&log->whats);
	*log = (struct stock_log){ .nshapes = 0 };
}

static inline void put(unsigned char **to, const void *from, size_t n)
{
	memcpy(*to, from, n);
	*to += n;
}

static inline void take(const unsigned char **from, void *to, size_t n)
{
	memcpy(to, *from, n);
	*from += n;
}

/* ---- shapes */

static uint32_t related(uint32_t id, const struct stock_op *op)
{
	return id == op->subject ? (uint32_t)OF_SUBJECT : id;
}

static bool is_wide(const struct stock_op *op)
{
	return (op->whose_col | (op->whose_end - op->whose_col) | op->count_col | (op->count_end - op->count_col) | op->ncounts | op->nculls) > UINT8_MAX ||
		op->nrest > UINT16_MAX;
}

static uint32_t parts_of(const struct stock_op *op)
{
	return (op->second != STOCK_UNTIMED ? PART_SECOND : 0u) | (op->lot != op->subject && op->lot != STOCK_ANY ? PART_LOT : 0u) |
		(op->order ? PART_ORDER : 0u) | (op->party ? PART_PARTY : 0u) | (op->blade | op->handle ? PART_PAIR : 0u) |
		(op->found || op->since != op->day ? PART_FOUND : 0u) | (op->file || op->line > UINT32_MAX ? PART_FILE : 0u) | (is_wide(op) ? PART_WIDE : 0u);
}

static struct stock_shape shape_of(const struct stock_op *op)
{
	struct stock_shape s;

	memset(&s, 0, sizeof s);
	s.event = op->event;
	s.lot = op->lot == op->subject ? (uint32_t)OF_SUBJECT : op->lot == STOCK_ANY ? STOCK_ANY : (uint32_t)IN_RECORD;
	s.at = related(op->at, op);
	s.into = related(op->into, op);
	s.type = op->type;
	s.grade = op->grade;
	s.class = op->class;
	s.by = op->by;
	s.form = op->form;
	s.parts = parts_of(op);
	s.counted = op->counted;
	s.measured = op->measured;
	s.uncounted = op->uncounted;
	return s;
}

static uint64_t hash_of(const struct stock_shape *s)
{
	uint64_t hash = hash_pair(s->at, s->into) * 0x9e3779b97f4a7c15u ^ hash_pair(s->type, s->grade);

	hash = (hash ^ hash >> 32) * 0xbf58476d1ce4e5b9u ^ hash_pair(s->class, s->by);
	hash = (hash ^ hash >> 29) * 0x9e3779b97f4a7c15u ^ hash_pair((uint32_t)s->form, (uint32_t)s->event->id << 8 ^ s->lot ^ s->parts << 16);
	return hash_mix(hash);
}

static uint32_t shape_number(struct stock_log *log, const struct stock_op *op)
{
	struct stock_shape s = shape_of(op);
	uint32_t *last = &log->last[(unsigned)op->event->id % (sizeof log->last / sizeof *log->last)];
	struct hash_probe p;
	uint64_t hash;

	if (*last < log->nshapes && memcmp(&log->shape[*last], &s, sizeof s) == 0)
		return *last;
	hash = hash_of(&s);
	p = hash_probe_of(&log->shapes, hash);
	while (hash_probe_next(&log->shapes, &p))
		if (memcmp(&log->shape[p.row], &s, sizeof s) == 0)
			return *last = p.row;
	log->shape = mem_grow(log->shape, &log->shapes_cap, log->nshapes + 1, sizeof *log->shape);
	log->shape[log->nshapes] = s;
	hash_index_add(&log->shapes, hash, (uint32_t)log->nshapes);
	return *last = (uint32_t)log->nshapes++;
}

/* ---- items */

static uint32_t find_what(struct stock_log *log, const struct stock_item *item)
{
	uint64_t hash = hash_mix(hash_pair(item->type, item->grade) ^ hash_mix(item->class));
	struct hash_probe p = hash_probe_of(&log->whats, hash);

	while (hash_probe_next(&log->whats, &p))
		if (log->what[p.row].type == item->type && log->what[p.row].grade == item->grade && log->what[p.row].class == item->class)
			return p.row;
	log->what = mem_grow(log->what, &log->whats_cap, log->nwhats + 1, sizeof *log->what);
	log->what[log->nwhats] = *item;
	hash_index_add(&log->whats, hash, (uint32_t)log->nwhats);
	return (uint32_t)log->nwhats++;
}

static inline void put_items(struct stock_log *log, unsigned char **to, const struct stock_item *item, uint32_t n)
{
	for (uint32_t i = 0; i < n; i++) {
		const struct part_item part = { find_what(log, &item[i]), item[i].n };

		put(to, &part, sizeof part);
	}
}

static inline void take_items(const struct stock_log *log, const unsigned char **p, struct stock_items *items, uint32_t n)
{
	if (!n)
		return;
	items->v = mem_grow(items->v, &items->cap, items->n + n, sizeof *items->v);
	for (uint32_t i = 0; i < n; i++) {
		struct part_item part;

		take(p, &part, sizeof part);
		items->v[items->n] = log->what[part.what];
		items->v[items->n++].n = part.n;
	}
}

/* ---- records */

static struct head head_of(const struct stock_op *op)
{
	return (struct head){ .subject = op->subject, .line = (uint32_t)op->line, .day = op->day,
		.column = { op->whose_col & 0xff, (op->whose_end - op->whose_col) & 0xff, op->count_col & 0xff, (op->count_end - op->count_col) & 0xff },
		.rest = op->nrest & 0xffff, .counts = op->ncounts & 0xff, .culls = op->nculls & 0xff };
}

static struct wide wide_of(const struct stock_op *op)
{
	return (struct wide){ .column = { op->whose_col, op->whose_end - op->whose_col, op->count_col, op->count_end - op->count_col },
		.rest = op->nrest, .counts = op->ncounts, .culls = op->nculls };
}

static void put_parts(unsigned char **to, const struct stock_op *op, uint32_t parts)
{
	const uint32_t file[] = { op->file, (uint32_t)(op->line >> 32) };
	struct wide wide;

	if (parts & PART_SECOND)
		put(to, &op->second, sizeof op->second);
	if (parts & PART_LOT)
		put(to, &op->lot, sizeof op->lot);
	if (parts & PART_ORDER)
		put(to, &op->order, sizeof op->order);
	if (parts & PART_PARTY)
		put(to, &op->party, sizeof op->party);
	if (parts & PART_PAIR) {
		put(to, &op->blade, sizeof op->blade);
		put(to, &op->handle, sizeof op->handle);
	}
	if (parts & PART_FOUND) {
		put(to, &op->found, sizeof op->found);
		put(to, &op->since, sizeof op->since);
	}
	if (parts & PART_FILE)
		put(to, file, sizeof file);
	if (parts & PART_WIDE) {
		wide = wide_of(op);
		put(to, &wide, sizeof wide);
	}
}

size_t stock_log_add(struct stock_log *log, const struct stock_op *op, const struct stock_item *item, const char *rest)
{
	size_t most = sizeof(struct head) + PARTS_MOST + ((size_t)op->ncounts + op->nculls) * sizeof(struct part_item) + op->nrest;
	unsigned char *from = spill_space(&log->records, most), *to = from;
	size_t at = spill_size(&log->records);
	struct head head = head_of(op);

	head.shape = shape_number(log, op);
	put(&to, &head, sizeof head);
	put_parts(&to, op, log->shape[head.shape].parts);
	put_items(log, &to, item + op->counts, op->ncounts);
	put_items(log, &to, item + op->culls, op->nculls);
	put(&to, rest, op->nrest);
	spill_took(&log->records, (size_t)(to - from));
	return at;
}

/* ---- reading */

static void set_shape(struct stock_op *op, const struct stock_shape *s)
{
	op->event = s->event;
	op->lot = s->lot == (uint32_t)OF_SUBJECT ? op->subject : s->lot;
	op->at = s->at == (uint32_t)OF_SUBJECT ? op->subject : s->at;
	op->into = s->into == (uint32_t)OF_SUBJECT ? op->subject : s->into;
	op->type = s->type;
	op->grade = s->grade;
	op->class = s->class;
	op->by = s->by;
	op->form = s->form;
	op->counted = s->counted;
	op->measured = s->measured;
	op->uncounted = s->uncounted;
}

static void set_head(struct stock_op *op, const struct head *head)
{
	op->subject = head->subject;
	op->day = op->since = head->day;
	op->line = head->line;
	op->whose_col = head->column[0];
	op->whose_end = op->whose_col + head->column[1];
	op->count_col = head->column[2];
	op->count_end = op->count_col + head->column[3];
	op->nrest = head->rest;
	op->ncounts = head->counts;
	op->nculls = head->culls;
}

static void set_wide(struct stock_op *op, const struct wide *wide)
{
	op->whose_col = wide->column[0];
	op->whose_end = op->whose_col + wide->column[1];
	op->count_col = wide->column[2];
	op->count_end = op->count_col + wide->column[3];
	op->nrest = wide->rest;
	op->ncounts = wide->counts;
	op->nculls = wide->culls;
}

static void take_file(const unsigned char **p, struct stock_op *op)
{
	uint32_t file[2];

	take(p, file, sizeof file);
	op->file = file[0];
	op->line |= (uint64_t)file[1] << 32;
}

/* Those that it has not were cleared before. */
static void take_parts(const unsigned char **p, struct stock_op *op, uint32_t parts)
{
	struct wide wide;

	if (parts & PART_SECOND)
		take(p, &op->second, sizeof op->second);
	if (parts & PART_LOT)
		take(p, &op->lot, sizeof op->lot);
	if (parts & PART_ORDER)
		take(p, &op->order, sizeof op->order);
	if (parts & PART_PARTY)
		take(p, &op->party, sizeof op->party);
	if (parts & PART_PAIR) {
		take(p, &op->blade, sizeof op->blade);
		take(p, &op->handle, sizeof op->handle);
	}
	if (parts & PART_FOUND) {
		take(p, &op->found, sizeof op->found);
		take(p, &op->since, sizeof op->since);
	}
	if (parts & PART_FILE)
		take_file(p, op);
	if (parts & PART_WIDE) {
		take(p, &wide, sizeof wide);
		set_wide(op, &wide);
	}
}

/* Reads the part of a record before its items; returns how many bytes that is. */
static inline size_t read_start(const struct stock_log *log, const unsigned char *record, struct stock_op *op)
{
	const unsigned char *p = record;
	struct head head;

	take(&p, &head, sizeof head);
	*op = (struct stock_op){ .second = STOCK_UNTIMED };
	set_head(op, &head);
	set_shape(op, &log->shape[head.shape]);
	if (log->shape[head.shape].parts)
		take_parts(&p, op, log->shape[head.shape].parts);
	return (size_t)(p - record);
}

static inline size_t bytes_of_items(const struct stock_op *op)
{
	return ((size_t)op->ncounts + op->nculls) * sizeof(struct part_item);
}

static inline void read_items(const struct stock_log *log, const unsigned char *p, struct stock_op *op, struct stock_items *items)
{
	op->counts = (uint32_t)items->n;
	take_items(log, &p, items, op->ncounts);
	op->culls = (uint32_t)items->n;
	take_items(log, &p, items, op->nculls);
}

enum { START_MOST = sizeof(struct head) + PARTS_MOST };

size_t stock_log_read(const struct stock_log *log, struct spill_view *view, size_t at, struct stock_op *op, struct stock_items *items)
{
	size_t start = read_start(log, spill_read(&log->records, view, at, START_MOST), op), n = start + bytes_of_items(op);

	read_items(log, spill_read(&log->records, view, at, n) + start, op, items);
	op->at_log = at;
	return at + n + op->nrest;
}

struct slice stock_log_rest(const struct stock_log *log, struct spill_view *view, size_t at)
{
	struct stock_op op;
	size_t before = read_start(log, spill_read(&log->records, view, at, START_MOST), &op) + bytes_of_items(&op);

	return (struct slice){ (const char *)spill_read(&log->records, view, at, before + op.nrest) + before, op.nrest };
}

const unsigned char *stock_log_record(const struct stock_log *log, struct spill_view *view, size_t *at, size_t *n)
{
	size_t from = *at;
	struct stock_op op;

	*n = read_start(log, spill_read(&log->records, view, from, START_MOST), &op) + bytes_of_items(&op);
	*at = from + *n + op.nrest;
	return spill_read(&log->records, view, from, *n);
}

void stock_log_unpack(const struct stock_log *log, const unsigned char *record, struct stock_op *op, struct stock_items *items)
{
	size_t start = read_start(log, record, op);

	read_items(log, record + start, op, items);
}

int32_t stock_log_day(const struct stock_log *log, struct spill_view *view, size_t at)
{
	struct head head;

	memcpy(&head, spill_read(&log->records, view, at, sizeof head), sizeof head);
	return head.day;
}
