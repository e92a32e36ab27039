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
	bool counted, measured, uncounted;
};

/* The numbers of a record, in fours: of the rare ones whole fours are mostly zero, and then they take no bytes. */
enum {
	AT_DAY, AT_SHAPE, AT_LINE, AT_SUBJECT,
	AT_SECOND, AT_LOT, AT_COUNTS, AT_WHOSE_COL,
	AT_WHOSE_LENGTH, AT_COUNT_COL, AT_COUNT_LENGTH, AT_REST,
	AT_ORDER, AT_PARTY, AT_CULLS, AT_FILE,
	AT_BLADE, AT_HANDLE, AT_FOUND, AT_SINCE,
	NUMBERS
};
enum { FOURS = NUMBERS / 4, FOUR_MOST = 17, SLACK = 4 }; /* a four takes a byte of widths and up to 16; a number is moved as four bytes */

void stock_log_release(struct stock_log *log)
{
	free(log->bytes);
	free(log->shape);
	hash_index_release(&log->shapes);
	*log = (struct stock_log){ .n = 0 };
}

/* ---- numbers */

/* Numbers near 0, below it too, as small ones. */
static uint32_t folded(int32_t n)
{
	return (uint32_t)n << 1 ^ (n < 0 ? UINT32_MAX : 0);
}

static int32_t unfolded(uint32_t n)
{
	return (int32_t)(n >> 1 ^ (n & 1 ? UINT32_MAX : 0u));
}

/* A whole minute is a smaller number; 0 is none. */
static uint32_t second_number(int32_t second)
{
	if (second == STOCK_UNTIMED)
		return 0;
	return second % 60 == 0 ? (folded(second / 60) + 1) << 1 | 1u : (folded(second) + 1) << 1;
}

static int32_t second_of(uint32_t number)
{
	if (!number)
		return STOCK_UNTIMED;
	return number & 1 ? unfolded((number >> 1) - 1) * 60 : unfolded((number >> 1) - 1);
}

/* The first byte of a number is its lowest. */
static inline uint32_t lowest_first(uint32_t n)
{
#if __BYTE_ORDER__ == __ORDER_BIG_ENDIAN__
	return __builtin_bswap32(n);
#else
	return n;
#endif
}

/* Puts a number down in 0, 1, 2 or 4 bytes, though it writes over four; what its width is, as two bits. */
static inline unsigned put_number(unsigned char **to, uint32_t n)
{
	unsigned width = (unsigned)(n > 0) + (n > 0xff) + (n > 0xffff);

	n = lowest_first(n);
	memcpy(*to, &n, sizeof n);
	*to += width + (width == 3);
	return width;
}

static inline uint32_t take_number(const unsigned char **p, unsigned width)
{
	static const uint32_t mask[4] = { 0, 0xff, 0xffff, UINT32_MAX };
	uint32_t n;

	memcpy(&n, *p, sizeof n);
	*p += width + (width == 3);
	return lowest_first(n) & mask[width];
}

/* Four numbers behind a byte with their widths. */
static inline unsigned char *put_four(unsigned char *to, const uint32_t *v)
{
	unsigned char *widths = to++;
	unsigned all;

	if (!(v[0] | v[1] | v[2] | v[3])) {
		*widths = 0;
		return to;
	}
	all = put_number(&to, v[0]);
	all |= put_number(&to, v[1]) << 2;
	all |= put_number(&to, v[2]) << 4;
	all |= put_number(&to, v[3]) << 6;
	*widths = (unsigned char)all;
	return to;
}

static inline const unsigned char *take_four(const unsigned char *p, uint32_t *v)
{
	unsigned widths = *p++;

	if (!widths) {
		memset(v, 0, 4 * sizeof *v);
		return p;
	}
	v[0] = take_number(&p, widths & 3);
	v[1] = take_number(&p, widths >> 2 & 3);
	v[2] = take_number(&p, widths >> 4 & 3);
	v[3] = take_number(&p, widths >> 6);
	return p;
}

/* ---- shapes */

static uint32_t related(uint32_t id, const struct stock_op *op)
{
	return id == op->subject ? (uint32_t)OF_SUBJECT : id;
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
	s.counted = op->counted;
	s.measured = op->measured;
	s.uncounted = op->uncounted;
	return s;
}

static uint64_t hash_of(const struct stock_shape *s)
{
	uint64_t hash = hash_pair(s->at, s->into) * 0x9e3779b97f4a7c15u ^ hash_pair(s->type, s->grade);

	hash = (hash ^ hash >> 32) * 0xbf58476d1ce4e5b9u ^ hash_pair(s->class, s->by);
	hash = (hash ^ hash >> 29) * 0x9e3779b97f4a7c15u ^ hash_pair((uint32_t)s->form, (uint32_t)s->event->id << 8 ^ s->lot);
	return hash_mix(hash);
}

static uint32_t shape_number(struct stock_log *log, const struct stock_op *op)
{
	struct stock_shape s = shape_of(op);
	uint64_t hash = hash_of(&s);
	struct hash_probe p = hash_probe_of(&log->shapes, hash);

	while (hash_probe_next(&log->shapes, &p))
		if (memcmp(&log->shape[p.row], &s, sizeof s) == 0)
			return p.row;
	log->shape = mem_grow(log->shape, &log->shapes_cap, log->nshapes + 1, sizeof *log->shape);
	log->shape[log->nshapes] = s;
	hash_index_add(&log->shapes, hash, (uint32_t)log->nshapes);
	return (uint32_t)log->nshapes++;
}

/* ---- records */

static void set_numbers(uint32_t *v, const struct stock_op *op)
{
	v[AT_DAY] = folded(op->day);
	v[AT_LINE] = (uint32_t)op->line;
	v[AT_SUBJECT] = op->subject;
	v[AT_SECOND] = second_number(op->second);
	v[AT_LOT] = op->lot == op->subject || op->lot == STOCK_ANY ? 0 : op->lot;
	v[AT_COUNTS] = op->ncounts;
	v[AT_WHOSE_COL] = op->whose_col;
	v[AT_WHOSE_LENGTH] = op->whose_end - op->whose_col;
	v[AT_COUNT_COL] = op->count_col;
	v[AT_COUNT_LENGTH] = op->count_end - op->count_col;
	v[AT_REST] = (uint32_t)op->rest.n;
	v[AT_ORDER] = op->order;
	v[AT_PARTY] = op->party;
	v[AT_CULLS] = op->nculls;
	v[AT_FILE] = (op->file & 0xffffff) | (uint32_t)(op->line >> 32) << 24;
	v[AT_BLADE] = op->blade;
	v[AT_HANDLE] = op->handle;
	v[AT_FOUND] = folded(op->found);
	v[AT_SINCE] = folded((int32_t)((uint32_t)op->day - (uint32_t)op->since));
}

/* What is left out is STOCK_ANY, so that it becomes 0. */
static unsigned char *put_items(unsigned char *to, const struct stock_item *item, uint32_t n)
{
	for (uint32_t i = 0; i < n; i++) {
		const uint32_t v[] = { (uint32_t)item[i].n, item[i].type + 1, item[i].grade + 1, item[i].class + 1 };

		to = put_four(to, v);
	}
	return to;
}

static const unsigned char *take_items(const unsigned char *p, struct stock_items *items, uint32_t n)
{
	items->v = mem_grow(items->v, &items->cap, items->n + n, sizeof *items->v);
	for (uint32_t i = 0; i < n; i++) {
		uint32_t v[4];

		p = take_four(p, v);
		items->v[items->n++] = (struct stock_item){ .type = v[1] - 1, .grade = v[2] - 1, .class = v[3] - 1, .n = (int32_t)v[0] };
	}
	return p;
}

void stock_log_add(struct stock_log *log, const struct stock_op *op, const struct stock_item *item)
{
	size_t most = ((size_t)FOURS + op->ncounts + op->nculls) * FOUR_MOST + op->rest.n + SLACK;
	uint32_t v[NUMBERS];
	unsigned char *to;

	log->bytes = mem_grow(log->bytes, &log->cap, log->n + most, 1);
	to = log->bytes + log->n;
	set_numbers(v, op);
	v[AT_SHAPE] = shape_number(log, op);
	for (size_t i = 0; i < FOURS; i++)
		to = put_four(to, v + 4 * i);
	to = put_items(to, item + op->counts, op->ncounts);
	to = put_items(to, item + op->culls, op->nculls);
	memcpy(to, op->rest.p, op->rest.n);
	log->n = (size_t)(to - log->bytes) + op->rest.n;
}

static void set_shape(struct stock_op *op, const struct stock_shape *s, const uint32_t *v)
{
	op->event = s->event;
	op->subject = v[AT_SUBJECT];
	op->lot = s->lot == (uint32_t)OF_SUBJECT ? op->subject : s->lot == (uint32_t)IN_RECORD ? v[AT_LOT] : s->lot;
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

static void set_own(struct stock_op *op, const uint32_t *v)
{
	op->day = unfolded(v[AT_DAY]);
	op->second = second_of(v[AT_SECOND]);
	op->line = hash_pair(v[AT_FILE] >> 24, v[AT_LINE]);
	op->file = v[AT_FILE] & 0xffffff;
	op->ncounts = v[AT_COUNTS];
	op->nculls = v[AT_CULLS];
	op->whose_col = v[AT_WHOSE_COL];
	op->whose_end = v[AT_WHOSE_COL] + v[AT_WHOSE_LENGTH];
	op->count_col = v[AT_COUNT_COL];
	op->count_end = v[AT_COUNT_COL] + v[AT_COUNT_LENGTH];
	op->order = v[AT_ORDER];
	op->party = v[AT_PARTY];
	op->blade = v[AT_BLADE];
	op->handle = v[AT_HANDLE];
	op->found = unfolded(v[AT_FOUND]);
	op->since = (int32_t)((uint32_t)op->day - (uint32_t)unfolded(v[AT_SINCE]));
}

size_t stock_log_read(const struct stock_log *log, size_t at, struct stock_op *op, struct stock_items *items)
{
	const unsigned char *p = log->bytes + at;
	uint32_t v[NUMBERS];

	for (size_t i = 0; i < FOURS; i++)
		p = take_four(p, v + 4 * i);
	op->at_log = at;
	set_shape(op, &log->shape[v[AT_SHAPE]], v);
	set_own(op, v);
	op->counts = (uint32_t)items->n;
	p = take_items(p, items, op->ncounts);
	op->culls = (uint32_t)items->n;
	p = take_items(p, items, op->nculls);
	op->rest = (struct slice){ (const char *)p, v[AT_REST] };
	return (size_t)(p - log->bytes) + op->rest.n;
}

int32_t stock_log_day(const struct stock_log *log, size_t at)
{
	const unsigned char *p = log->bytes + at + 1;

	return unfolded(take_number(&p, p[-1] & 3));
}
