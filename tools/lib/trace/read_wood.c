#include "trace/read_wood.h"

#include <stdlib.h>

#include "book/value.h"
#include "trace/ties.h"
#include "trace/trace.h"

const char *const read_of_words[] = { "itself", "its lot", "handle lot" };

void read_wood_release(struct read_wood *r)
{
	free(r->row);
	*r = (struct read_wood){ .n = 0 };
}

/* ---- ends */

/* Of two that are alike the earlier, then by the names of what was read. */
static bool is_earlier(const struct readings *r, const struct reading *x, const struct reading_of *of, const struct read_end *end)
{
	int order = slice_cmp(readings_name(r, of->a), readings_name(r, end->a));

	if (x->day != end->day)
		return x->day < end->day;
	return (order ? order : slice_cmp(readings_name(r, of->b), readings_name(r, end->b))) < 0;
}

/* Off the scale is beyond every reading on it. */
static bool is_drier(const struct readings *r, const struct reading *x, const struct reading_of *of, const struct read_end *end)
{
	if ((x->mark == VALUE_BELOW) != (end->mark == VALUE_BELOW))
		return x->mark == VALUE_BELOW;
	return x->mc < end->mc || (x->mc == end->mc && is_earlier(r, x, of, end));
}

static bool is_wetter(const struct readings *r, const struct reading *x, const struct reading_of *of, const struct read_end *end)
{
	if ((x->mark == VALUE_ABOVE) != (end->mark == VALUE_ABOVE))
		return x->mark == VALUE_ABOVE;
	return x->mc > end->mc || (x->mc == end->mc && is_earlier(r, x, of, end));
}

static struct read_end end_of(const struct reading *x, const struct reading_of *of)
{
	return (struct read_end){ x->mc, x->day, of->a, of->b, of->at_random, x->mark };
}

void read_row_add(const struct readings *r, struct read_row *row, const struct reading *x, const struct reading_of *of)
{
	if (!row->n || is_drier(r, x, of, &row->driest))
		row->driest = end_of(x, of);
	if (!row->n || is_wetter(r, x, of, &row->wettest))
		row->wettest = end_of(x, of);
	if (!row->n || x->day < row->first)
		row->first = x->day;
	if (!row->n || x->day > row->last) {
		row->last = x->day;
		row->latest_sum = row->latest_n = 0;
	}
	if (x->day == row->last && x->mark == VALUE_EXACT) {
		row->latest_sum += x->mc * x->n;
		row->latest_n += x->n;
	}
	row->n += x->n;
}

/* ---- whose a reading is */

/* Names of the subject and of its ties, in numbers of the readings. */
struct names {
	uint8_t *is_lot;           /* by id of the stock: 1 a lot, 2 a handle lot, 4 a charge */
	uint32_t itself, piece;    /* names, 0 where the readings have none */
	int32_t until;             /* of the handles: the day on which the last was put in; they are not read after */
	uint32_t charge;           /* a name that was met last, */
	bool held;                 /* and whether it is a charge of the subject */
};

static struct names names_of(const struct trace *t, const struct ties *ties)
{
	struct names n = { .is_lot = mem_zeroed(t->stock->ids.n, 1), .until = INT32_MAX };

	for (size_t i = 0; i < ties->n; i++)
		if (ties->tie[i].kind == TIE_LOT || ties->tie[i].kind == TIE_HANDLE)
			n.is_lot[ties->tie[i].id] |= ties->tie[i].kind == TIE_LOT ? 1 : 2;
		else if (ties->tie[i].kind == TIE_CHARGE)
			n.is_lot[ties->tie[i].id] |= 4;
	n.itself = intern_compact_find(&t->readings.names, trace_text(t, t->id));
	n.piece = t->piece ? intern_compact_find(&t->readings.names, trace_text(t, t->piece)) : 0;
	for (size_t i = t->handle.n; i-- > 0;)
		if (t->log.flow[t->handle.step[i].flow].is_handle)
			n.until = flow_log_op(&t->log, &t->log.flow[t->handle.step[i].flow])->day;
	return n;
}

/* A piece of its lot that was in a charge in which it cannot have been. */
static bool is_elsewhere(const struct trace *t, struct names *n, const struct reading_of *of)
{
	if (of->charge != n->charge) {
		n->charge = of->charge;
		n->held = n->is_lot[intern_find(&t->stock->ids, readings_name(&t->readings, of->charge))] & 4;
	}
	return of->charge && !n->held;
}

/* READ_OFS for none. */
static enum read_of whose(struct trace *t, struct names *n, const struct reading *x, const struct reading_of *of)
{
	uint32_t lot;

	if (t->kind == TRACE_CHARGE)
		return of->charge == n->itself && n->itself ? READ_ITSELF : READ_OFS;
	if ((n->piece && (x->subject == n->piece || of->a == n->piece)) || (t->kind == TRACE_BAT && n->itself && x->subject == n->itself))
		return READ_ITSELF;
	if (is_elsewhere(t, n, of))
		return READ_OFS;
	lot = trace_lot(t, of);
	if (!lot || !(n->is_lot[lot] & 3) || (n->is_lot[lot] == 2 && x->day > n->until))
		return READ_OFS;
	if (t->kind == TRACE_LOT && lot == t->id)
		return READ_ITSELF;
	return n->is_lot[lot] & 2 ? READ_HANDLES : READ_LOT;
}

static struct read_row *row_of(struct read_wood *r, enum read_of of, uint32_t part, uint32_t place)
{
	for (size_t i = 0; i < r->n; i++)
		if (r->row[i].of == of && r->row[i].part == part && r->row[i].place == place)
			return &r->row[i];
	r->row = mem_grow(r->row, &r->cap, r->n + 1, sizeof *r->row);
	r->row[r->n] = (struct read_row){ .of = of, .part = part, .place = place };
	return &r->row[r->n++];
}

static int by_whose(const struct trace *t, const struct read_row *x, const struct read_row *y)
{
	int order;

	if (x->of != y->of)
		return x->of < y->of ? -1 : 1;
	if (x->first != y->first)
		return x->first < y->first ? -1 : 1;
	order = slice_cmp(readings_name(&t->readings, x->place), readings_name(&t->readings, y->place));
	return order ? order : slice_cmp(readings_name(&t->readings, x->part), readings_name(&t->readings, y->part));
}

/* There are few. */
static void sort(struct read_wood *r, const struct trace *t)
{
	for (size_t i = 1; i < r->n; i++)
		for (size_t k = i; k && by_whose(t, &r->row[k - 1], &r->row[k]) > 0; k--) {
			struct read_row other = r->row[k];

			r->row[k] = r->row[k - 1];
			r->row[k - 1] = other;
		}
}

void read_wood_find(struct read_wood *r, struct trace *t, const struct ties *ties)
{
	struct names names = names_of(t, ties);
	struct reading x;

	*r = (struct read_wood){ .n = 0 };
	readings_again(&t->readings);
	while (readings_next(&t->readings, &x)) {
		struct reading_of of;
		enum read_of is;

		if (x.mark == VALUE_ABSENT)
			continue;
		of = reading_of(&t->facts, &x);
		is = whose(t, &names, &x, &of);
		if (is != READ_OFS)
			read_row_add(&t->readings, row_of(r, is, of.part, of.place), &x, &of);
	}
	sort(r, t);
	free(names.is_lot);
}
