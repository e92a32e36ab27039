#include "due/due_find.h"

#include "due/due_book.h"
#include "due/due_charges.h"
#include "due/due_check.h"
#include "due/due_instruments.h"
#include "due/due_orders.h"
#include "due/due_rooms.h"
#include "due/due_stock.h"
#include "due/due_wood.h"

void due_find_answers(struct due *d, struct due_book *b)
{
	due_charges_find(d, b);
	due_orders_find(d, b);
	due_rooms_find(d, b);
	due_wood_find(d, b);
	due_handles_find(d, &b->handles, &b->lines);
	due_stock_find(d, b);
	due_instruments_find(d, &b->lines);
}

void due_find(struct due *d, struct due_book *b, const struct diags *diags)
{
	due_find_answers(d, b);
	due_check_find(d, b, diags);
}
