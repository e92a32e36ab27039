#include "pair/pair_lines.h"

#include <stdlib.h>

#include "book/tidy.h"
#include "house/house.h"
#include "pair/pairing.h"

/* An id in two: what is before its last digits, and their number. */
struct numbered {
	struct slice head;
	int width;
	int64_t number;
};

enum { DIGITS_MOST = 17 };

static bool number_of(struct slice id, struct numbered *n)
{
	size_t at = id.n;

	while (at && id.n - at < DIGITS_MOST && id.p[at - 1] >= '0' && id.p[at - 1] <= '9')
		at--;
	*n = (struct numbered){ slice_upto(id, at), (int)(id.n - at), 0 };
	for (size_t i = at; i < id.n; i++)
		n->number = n->number * 10 + (id.p[i] - '0');
	return at < id.n;
}

static bool is_later(const struct stock *s, const struct stock_op *a, const struct stock_op *b)
{
	if (a->day != b->day)
		return a->day > b->day;
	if (a->second != b->second)
		return a->second > b->second;
	return slice_cmp(stock_text(s, a->subject), stock_text(s, b->subject)) > 0;
}

static bool makes_bat(const struct stock_op *op)
{
	return op->event->id == EVENT_MAKE;
}

/* The line that made the last bat; false when there is none. */
static bool last_made(const struct stock *s, struct stock_op *last)
{
	struct stock_walk walk = { .stock = s };
	const struct stock_op *op;
	bool any = false;

	while ((op = stock_walk_next(&walk)))
		if (makes_bat(op) && (!any || is_later(s, op, last))) {
			*last = *op;
			any = true;
		}
	stock_walk_release(&walk);
	return any;
}

/* The id after those named like the bat that was made last: one more than the highest number, and as wide as the widest. */
static bool next_bat(const struct stock *s, struct numbered *next)
{
	struct stock_walk walk = { .stock = s };
	const struct stock_op *op;
	struct stock_op last;
	struct numbered n;

	if (!last_made(s, &last) || !number_of(stock_text(s, last.subject), next))
		return false;
	while ((op = stock_walk_next(&walk)))
		if (makes_bat(op) && number_of(stock_text(s, op->subject), &n) && slice_eq(n.head, next->head)) {
			next->number = n.number > next->number ? n.number : next->number;
			next->width = n.width > next->width ? n.width : next->width;
		}
	stock_walk_release(&walk);
	next->number++;
	return true;
}

static bool find_first(const struct pairing *p, const struct pair_lines_ask *ask, struct numbered *first, struct buf *why)
{
	if (ask->first.n && number_of(ask->first, first))
		return true;
	if (ask->first.n)
		buf_printf(why, "--first: '%.*s' does not end in a number; write it as B0901", (int)ask->first.n, ask->first.p);
	else if (next_bat(p->bench->stock, first))
		return true;
	else
		buf_str(why, "the book has no bat to count on from; write the first one's id as --first=B0001");
	return false;
}

static bool find_shop(const struct pairing *p, const struct pair_lines_ask *ask, struct slice *shop, struct buf *why)
{
	const struct house *house = p->bench->ask->house;

	*shop = ask->shop;
	for (size_t i = 0; !shop->n && house && i < house->nplaces; i++)
		if (house->places[i].kind == HOUSE_PLACE_KIND_SHOP)
			*shop = house->places[i].id;
	if (!shop->n)
		buf_str(why, "no place is known to be a shop; write --shop=PLACE");
	return shop->n > 0;
}

/* ---- lines */

static void start_line(const struct pairing *p, const char *event, struct slice subject, struct buf *out)
{
	struct buf day = BUF_INIT;

	day_write(&day, p->bench->ask->today);
	tidy_head(out, buf_slice(&day), SLICE(""), slice_of(event), subject);
	buf_release(&day);
}

static void put_field(struct buf *out, const char *field, struct slice value)
{
	if (value.n)
		buf_printf(out, " %s=%.*s", field, (int)value.n, value.p);
}

static void put_kind(const struct pairing *p, const struct stock_kind *k, struct buf *out)
{
	const struct stock *s = p->bench->stock;

	put_field(out, "type", stock_text(s, k->type));
	put_field(out, "grade", stock_text(s, k->grade));
	put_field(out, "class", stock_text(s, k->class));
}

static void end_line(const struct pairing *p, const struct pair_lines_ask *ask, bool for_order, struct buf *out)
{
	if (for_order && p->bench->wanted->order)
		put_field(out, "for", stock_text(p->bench->stock, p->bench->wanted->order->id));
	put_field(out, "by", ask->by);
	buf_char(out, '\n');
}

/* How many of each row are in pairs. */
static int64_t *used_of(const struct pairing *p, enum pair_part part)
{
	int64_t *used = mem_zeroed(p->bench->side[part].n, sizeof *used);

	for (size_t i = 0; i < p->npairs; i++)
		used[part == PAIR_BLADE ? p->pair[i].blade : p->pair[i].handle] += p->pair[i].n;
	return used;
}

/* Rows that are alike but for the piece's number are one line, that of the first. */
static void gather(const struct bench_side *side, int64_t *used)
{
	for (size_t i = 0; i < side->n; i++)
		for (size_t j = i + 1; used[i] && j < side->n; j++)
			if (used[j] && !memcmp(&side->row[i].kind, &side->row[j].kind, sizeof side->row[i].kind)) {
				used[i] += used[j];
				used[j] = 0;
			}
}

static void put_moves(const struct pairing *p, const struct pair_lines_ask *ask, enum pair_part part, struct slice shop, struct buf *out)
{
	const struct bench_side *side = &p->bench->side[part];
	const struct stock *s = p->bench->stock;
	int64_t *used = used_of(p, part);

	gather(side, used);
	for (size_t i = 0; i < side->n; i++) {
		const struct stock_kind *k = &side->row[i].kind;

		if (!used[i] || slice_eq(stock_text(s, k->place), shop))
			continue;
		start_line(p, part == PAIR_BLADE ? "issue" : "move", stock_text(s, k->lot), out);
		put_field(out, "at", stock_text(s, k->place));
		put_kind(p, k, out);
		buf_printf(out, " count=%lld", (long long)used[i]);
		put_field(out, "into", shop);
		end_line(p, ask, part == PAIR_BLADE, out);
	}
	free(used);
}

static void put_bat(const struct pairing *p, const struct pair_lines_ask *ask, const struct pair *pair, const struct numbered *bat, struct slice shop, struct buf *out)
{
	const struct bench_row *blade = &p->bench->side[PAIR_BLADE].row[pair->blade], *handle = &p->bench->side[PAIR_HANDLE].row[pair->handle];
	struct buf id = BUF_INIT;

	buf_printf(&id, "%.*s%0*lld", (int)bat->head.n, bat->head.p, bat->width, (long long)bat->number);
	start_line(p, "make", buf_slice(&id), out);
	put_field(out, "blade", bench_name(p->bench, blade));
	put_field(out, "handle", bench_name(p->bench, handle));
	put_field(out, "at", shop);
	put_kind(p, &blade->kind, out);
	end_line(p, ask, true, out);
	buf_release(&id);
}

bool pair_lines_write(const struct pairing *p, const struct pair_lines_ask *ask, struct buf *out, struct buf *why)
{
	struct numbered bat;
	struct slice shop;

	if (!find_shop(p, ask, &shop, why) || !find_first(p, ask, &bat, why))
		return false;
	put_moves(p, ask, PAIR_BLADE, shop, out);
	put_moves(p, ask, PAIR_HANDLE, shop, out);
	for (size_t i = 0; i < p->npairs; i++)
		for (int64_t k = 0; k < p->pair[i].n; k++, bat.number++)
			put_bat(p, ask, &p->pair[i], &bat, shop, out);
	return true;
}
