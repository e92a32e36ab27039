/*
 * What customers want: the last line of an order counts, in whichever order the lines come; what is
 * sold meets it; pieces go to the orders as they fall due, and none twice.
 */
#include "stock/orders.h"
#include "book_made.h"

enum { MOST = 8 };

struct desk {
	struct book_made made;
	struct orders orders;
};

static void desk_init(struct desk *d)
{
	book_made_init(&d->made);
	orders_init(&d->orders);
}

static void desk_release(struct desk *d)
{
	orders_release(&d->orders);
	book_made_release(&d->made);
}

static int32_t day(const char *text)
{
	int32_t number = 0;

	CHECK(date_read(slice_of(text), &number) == DATE_OK);
	return number;
}

static void hand_in(struct desk *d, const char *text, const char *last_day)
{
	const struct line *l = book_made_line(&d->made, slice_of(text));

	if (l)
		orders_add(&d->orders, &d->made.stock, l, day(last_day));
}

static uint32_t id(struct desk *d, const char *word)
{
	return intern_id(&d->made.stock.ids, slice_of(word));
}

/* ---- restating */

static const char *const RESTATED[] = {
	"2026-02-01 order O-1 count=SH/1:6 due=2026-05-01 to=lund",
	"2026-02-03 order O-1 count=SH/1:5 due=2026-05-02 to=lund",
	"2026-02-03 08:00 order O-1 count=SH/1:4 due=2026-05-03 to=lund",
	"2026-02-03 09:00 order O-1 count=SH/1:3 due=2026-05-04 to=lund",
	"2026-02-04 order O-1 count=SH/1:2 due=2026-05-05 to=lund",
	"2026-02-04 order O-1 count=SH/1:2 due=2026-05-06 to=lund",
};

enum { RESTATINGS = sizeof RESTATED / sizeof *RESTATED };

static int64_t wanted_on(const int *order, const char *last_day, int32_t *due)
{
	struct desk d;
	struct order *o;
	int64_t wanted = -1;

	desk_init(&d);
	for (int i = 0; i < RESTATINGS; i++)
		hand_in(&d, RESTATED[order[i]], last_day);
	o = orders_find(&d.orders, id(&d, "O-1"));
	if (o) {
		CHECK_INT(o->nitems, 1);
		CHECK_INT(d.orders.n, 1);
		wanted = o->item[0].wanted;
		*due = o->due;
	}
	desk_release(&d);
	return wanted;
}

/* Every order of the lines (Heap's way through the permutations). */
static void each_order(int *order, int n, void (*what)(const int *order))
{
	if (n == 1) {
		what(order);
		return;
	}
	for (int i = 0; i < n; i++) {
		int k = n % 2 ? 0 : i, was;

		each_order(order, n - 1, what);
		was = order[k];
		order[k] = order[n - 1];
		order[n - 1] = was;
	}
}

static void check_restating(const int *order)
{
	int32_t due = 0;

	CHECK_INT(wanted_on(order, "2026-01-31", &due), -1);
	CHECK_INT(wanted_on(order, "2026-02-02", &due), 6);
	CHECK_INT(wanted_on(order, "2026-02-03", &due), 3);
	CHECK_INT(due, day("2026-05-04"));
	CHECK_INT(wanted_on(order, "2026-02-04", &due), 2);
	CHECK_INT(due, day("2026-05-06"));
}

/* ---- meeting */

static void check_meeting(void)
{
	struct desk d;
	struct order *o;
	struct stock_kind sh1, sh2, s61;

	desk_init(&d);
	hand_in(&d, "2026-02-01 order O-1 count=SH/1:4,1:3,SH:2 to=lund", "2026-12-31");
	o = orders_find(&d.orders, id(&d, "O-1"));
	CHECK(o && o->nitems == 3 && o->due == INT32_MAX && o->form == FORM_BAT);
	CHECK(o->item[1].type == STOCK_ANY && o->item[2].grade == STOCK_ANY);
	sh1 = (struct stock_kind){ .type = id(&d, "SH"), .grade = id(&d, "1"), .form = FORM_BAT };
	sh2 = (struct stock_kind){ .type = id(&d, "SH"), .grade = id(&d, "2"), .form = FORM_BAT };
	s61 = (struct stock_kind){ .type = id(&d, "S6"), .grade = id(&d, "1"), .form = FORM_BAT };
	order_meet(o, &s61, 1);       /* only "1" */
	order_meet(o, &sh1, 5);       /* four SH/1, one 1 */
	order_meet(o, &sh2, 1);       /* only SH */
	CHECK_INT(o->item[0].met, 4);
	CHECK_INT(o->item[1].met, 2);
	CHECK_INT(o->item[2].met, 1);
	order_meet(o, &sh1, 4);       /* one 1, one SH, and two more than were asked for */
	CHECK_INT(o->item[0].met, 6);
	CHECK_INT(o->item[1].met, 3);
	CHECK_INT(o->item[2].met, 2);
	s61.grade = id(&d, "4");
	order_meet(o, &s61, 7);       /* nobody asked for these */
	CHECK_INT(o->item[0].met + o->item[1].met + o->item[2].met, 11);
	desk_release(&d);
}

/* ---- what is due first */

static void check_due(void)
{
	static const char *const LINES[] = { "2026-02-01 order O-4 count=SH/1:1 to=lund", "2026-02-01 order O-3 count=SH/1:1 due=2026-06-01",
		"2026-02-01 order O-2 count=SH/1:1 due=2026-05-01", "2026-02-01 order O-1 count=SH/1:1 due=2026-06-01" };
	static const char *const WANT[] = { "O-2", "O-1", "O-3", "O-4" };
	struct desk d;

	desk_init(&d);
	for (int i = 0; i < 4; i++)
		hand_in(&d, LINES[i], "2026-12-31");
	orders_sort(&d.orders, &d.made.stock);
	for (int i = 0; i < 4; i++) {
		CHECK_CASE(i);
		CHECK_TEXT(stock_text(&d.made.stock, d.orders.row[i].id), WANT[i]);
		CHECK(orders_find(&d.orders, d.orders.row[i].id) == &d.orders.row[i]);
	}
	CHECK_CASE(-1);
	CHECK(!orders_find(&d.orders, id(&d, "O-5")));
	CHECK(!orders_find(&d.orders, 0));
	desk_release(&d);
}

/* ---- what a piece is good for */

#define LB INT64_C(453592370)

static void check_use(void)
{
	static const struct {
		const char *order;
		int form;
		const char *grade;
		int64_t mass;
		enum order_use want;
	} CASES[] = {
		{ "count=SH/1:1", FORM_BAT, "1", 0, ORDER_AS_IT_IS },
		{ "count=SH/1:1", FORM_BAT, "2", 0, ORDER_NO_USE },
		{ "count=SH/1:1", FORM_BLADE, "1", 0, ORDER_TO_MAKE },
		{ "count=SH:1", FORM_BLADE, "", 0, ORDER_NO_USE },
		{ "count=SH/1:1", FORM_CLEFT, "1", 0, ORDER_NO_USE },
		{ "count=SH/1:1", FORM_HANDLE, "1", 0, ORDER_NO_USE },
		{ "count=SH/1:1 mass=2lb..3lb", FORM_BAT, "1", 2 * LB, ORDER_AS_IT_IS },
		{ "count=SH/1:1 mass=2lb..3lb", FORM_BAT, "1", 3 * LB, ORDER_AS_IT_IS },
		{ "count=SH/1:1 mass=2lb..3lb", FORM_BAT, "1", 2 * LB - 1, ORDER_NO_USE },
		{ "count=SH/1:1 mass=2lb..3lb", FORM_BAT, "1", 3 * LB + 1, ORDER_NO_USE },
		{ "count=SH/1:1 mass=2lb..3lb", FORM_BAT, "1", 0, ORDER_TO_MAKE },
		{ "count=SH/1:1 mass=..3lb", FORM_BAT, "1", 1, ORDER_AS_IT_IS },
		{ "count=SH/1:1 mass=2lb..", FORM_BAT, "1", 90 * LB, ORDER_AS_IT_IS },
		{ "count=SH/1:1 mass=2lb", FORM_BAT, "1", 2 * LB, ORDER_AS_IT_IS },
		{ "count=SH/1:1 mass=2lb", FORM_BAT, "1", 2 * LB + 1, ORDER_NO_USE },
		{ "form=blade count=SH/1:1", FORM_BLADE, "1", 0, ORDER_AS_IT_IS },
		{ "form=blade count=SH/1:1", FORM_BAT, "1", 0, ORDER_NO_USE },
		{ "form=blade count=SH:1", FORM_BLADE, "", 0, ORDER_NO_USE },
		{ "form=blade count=1", FORM_BLADE, "3", 0, ORDER_AS_IT_IS },
		{ "form=cleft count=SH:1", FORM_CLEFT, "", 0, ORDER_AS_IT_IS },
	};

	for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
		struct desk d;
		struct buf line = BUF_INIT;
		struct order *o;

		CHECK_CASE(i);
		desk_init(&d);
		buf_printf(&line, "2026-02-01 order O-1 %s to=lund", CASES[i].order);
		hand_in(&d, buf_cstr(&line), "2026-12-31");
		o = orders_find(&d.orders, id(&d, "O-1"));
		if (CHECK(o != NULL)) {
			struct order_piece piece = { { .type = id(&d, "SH"), .grade = id(&d, CASES[i].grade), .form = CASES[i].form }, 1, CASES[i].mass,
				{ "", 0 }, { "", 0 }, { "", 0 }, { "", 0 }, 0, 1 };

			CHECK_INT(order_use(o, &o->item[0], &piece), CASES[i].want);
		}
		buf_release(&line);
		desk_release(&d);
	}
	CHECK_CASE(-1);
}

/* ---- taking: no piece twice, the last grades first */

static struct order_piece piece_of(struct desk *d, int form, const char *lot, const char *grade, int64_t n)
{
	return (struct order_piece){ { .lot = id(d, lot), .type = id(d, "SH"), .grade = id(d, grade), .form = form }, n, 0, slice_of(lot), SLICE("SH"), slice_of(grade),
		SLICE("store"), 0, n };
}

static void check_taking(void)
{
	struct desk d;
	struct order *any, *first;
	struct order_piece piece[4];

	desk_init(&d);
	hand_in(&d, "2026-02-01 order O-1 form=blade count=4", "2026-12-31");
	hand_in(&d, "2026-02-01 order O-2 form=blade count=1:5", "2026-12-31");
	any = orders_find(&d.orders, id(&d, "O-1"));
	first = orders_find(&d.orders, id(&d, "O-2"));
	piece[0] = piece_of(&d, FORM_BLADE, "L1", "1", 3);
	piece[1] = piece_of(&d, FORM_BLADE, "L2", "2", 2);
	piece[2] = piece_of(&d, FORM_BLADE, "L2", "1", 1);
	piece[3] = piece_of(&d, FORM_BAT, "B1", "1", 1);
	orders_queue(piece, 4);
	CHECK_INT(piece[0].kind.form, FORM_BAT);
	CHECK_TEXT(piece[1].grade, "2");
	CHECK_TEXT(piece[2].lot, "L1");
	CHECK_INT(order_take(any, &any->item[0], ORDER_AS_IT_IS, piece, 4, 4), 4);
	CHECK_INT(piece[1].n, 0);
	CHECK_INT(piece[2].n, 1);
	CHECK_INT(order_take(first, &first->item[0], ORDER_AS_IT_IS, piece, 4, 5), 2);
	CHECK_INT(order_take(first, &first->item[0], ORDER_AS_IT_IS, piece, 4, 5), 0);
	CHECK_INT(order_take(first, &first->item[0], ORDER_TO_MAKE, piece, 4, 5), 0);
	CHECK_INT(piece[0].n, 1);
	desk_release(&d);
}

int main(void)
{
	int order[RESTATINGS];

	for (int i = 0; i < RESTATINGS; i++)
		order[i] = i;
	each_order(order, RESTATINGS, check_restating);
	check_meeting();
	check_due();
	check_use();
	check_taking();
	return check_end();
}
