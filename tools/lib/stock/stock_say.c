#include "stock/stock_say.h"

#include "table/number_text.h"
#include "time/stamp.h"

enum { LINE = 80 };

void stock_say_count(struct buf *b, int64_t n, struct slice noun)
{
	buf_int(b, n);
	buf_char(b, ' ');
	buf_add(b, noun);
	if (n != 1)
		buf_char(b, 's');
}

static void add_per_cent(struct buf *b, double share)
{
	double pct = share * 100;

	buf_real_shown(b, pct, pct > 0 && pct < 9.95 ? 1 : 0);
}

void stock_say_percent(struct buf *b, double share)
{
	add_per_cent(b, share);
	buf_str(b, " %");
}

void stock_say_chance(struct buf *b, double chance)
{
	buf_real_down(b, 100 * chance, 0);
	buf_str(b, " %");
}

void stock_say_interval(struct buf *b, double share, double low, double high)
{
	stock_say_percent(b, share);
	buf_str(b, ", 95 % interval ");
	add_per_cent(b, low);
	buf_str(b, " to ");
	stock_say_percent(b, high);
}

void stock_say_day(struct buf *b, int32_t day)
{
	day_write(b, day);
}

size_t stock_say_room(size_t used, size_t cells)
{
	size_t room = used < LINE ? (LINE - used) / cells : 0;

	return room ? room : 1;
}

const char *stock_say_heading(const char *heading, size_t rank, size_t room)
{
	return rank < room ? heading : NULL;
}
