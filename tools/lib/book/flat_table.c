#include "book/flat_table.h"

/* Of items, the columns that a person reads; an event's table is shown whole. */
static const char *heading_of(enum flat_source source)
{
	switch (source) {
	case FLAT_DATE:
		return "date";
	case FLAT_EVENT:
		return "event";
	case FLAT_SUBJECT:
		return "subject";
	case FLAT_ITEM_FIELD:
		return "field";
	case FLAT_ITEM_LABEL:
		return "label";
	case FLAT_ITEM_WRITTEN:
		return "value as written";
	default:
		return NULL;
	}
}

const char *flat_table_init(struct flat_table *t, const struct event_def *event, unsigned with)
{
	*t = (struct flat_table){ .items = !event };
	if (event)
		flat_of_event(&t->flat, event, with);
	else
		flat_of_items(&t->flat, with);
	table_init(&t->table, NULL, 0);
	for (size_t i = 0; i < t->flat.n; i++) {
		table_add_column(&t->table, t->flat.column[i].name, t->flat.column[i].type, TABLE_EXACT);
		table_heading(&t->table, t->items ? heading_of(t->flat.column[i].source) : NULL);
	}
	return flat_clash(&t->flat);
}

void flat_table_release(struct flat_table *t)
{
	table_release(&t->table);
	flat_release(&t->flat);
}

void flat_table_begin(struct flat_table *t, struct buf *out)
{
	table_begin(&t->table, t->style, out);
}

static void put_cell(struct table *t, struct flat_cell cell)
{
	if (cell.absent)
		table_absent(t);
	else if (cell.type == TABLE_INT)
		table_int(t, cell.number);
	else if (cell.type == TABLE_FIXED)
		table_fixed(t, cell.number, (unsigned)cell.places);
	else if (cell.type == TABLE_DATE)
		table_date(t, cell.text);
	else
		table_text(t, cell.text);
}

struct target {
	struct flat_table *t;
	struct buf *out;
};

static void put_row(struct flat_row *row, void *arg)
{
	struct target *target = arg;
	struct flat_table *t = target->t;

	for (size_t i = 0; i < t->flat.n; i++)
		put_cell(&t->table, flat_cell(&t->flat.column[i], row));
	if (++t->rows % FLAT_TABLE_HELD == 0)
		table_flush(&t->table, t->style, target->out);
}

void flat_table_add(struct flat_table *t, struct flat_row *row, struct buf *out)
{
	struct target target = { t, out };

	if (t->items)
		flat_each_item(row, put_row, &target);
	else
		put_row(row, &target);
}

void flat_table_end(struct flat_table *t, struct buf *out)
{
	table_end(&t->table, t->style, out);
}
