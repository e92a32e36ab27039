#include "month/month_pictures.h"

#include "chart/picture.h"
#include "table/table_read.h"

enum { WIDTH = 420, CHARGES_MOST = 3, DAYS_OF_YEAR = 365 };

typedef void take_picture(void *context, const struct month_picture *);

void month_picture_release(struct month_picture *picture)
{
	buf_release(&picture->key);
	buf_release(&picture->svg);
	buf_release(&picture->finding);
	buf_release(&picture->commands);
}

void month_picture_styles(struct buf *css)
{
	picture_css(css);
}

/* An id is a key of lower-case letters, digits and hyphens. */
static void add_key(const char *kind, struct slice name, struct buf *key)
{
	buf_str(key, kind);
	for (size_t i = 0; i < name.n; i++)
		buf_printf(key, i ? "%02x" : "-%02x", (unsigned char)name.p[i]);
}

/* Its key is set. What cannot be drawn leaves the picture empty: the tables beside it say that they have no rows. */
static void draw(enum picture_kind kind, const struct table *const *tables, size_t n, struct month_picture *picture)
{
	const struct picture_style style = { .medium = PICTURE_SVG, .width = WIDTH, .ids = buf_cstr(&picture->key), .untitled = true, .unstyled = true };
	struct buf error = BUF_INIT;

	if (!picture_draw(kind, tables, n, &style, &picture->svg, &picture->finding, &error))
		picture->svg.n = picture->finding.n = 0;
	buf_release(&error);
}

/* ---- charges */

void month_picture_drying(const struct month_page *p, const char *id, const struct table *curve, const struct table *row,
	struct month_picture *picture)
{
	add_key("dries", slice_of(id), &picture->key);
	draw(PICTURE_DRYING, (const struct table *const[]){ curve, row }, 2, picture);
	month_words(p, "wy-chart drying <(wy-dry{book} --curve --charge=", &picture->commands);
	buf_str(&picture->commands, id);
	month_words(p, " --on={last}) <(wy-dry{book} --charge=", &picture->commands);
	buf_str(&picture->commands, id);
	month_words(p, " --on={last})", &picture->commands);
}

static void draw_charge(const struct month_page *p, size_t at, take_picture *take, void *context)
{
	struct month_picture picture = { .key = BUF_INIT };
	struct table row, reasons, curve;
	struct buf name = BUF_INIT;
	struct dry_ask ask;
	const char *id;

	buf_add(&name, table_word(&p->month->book.is.charges, at, "charge"));
	id = buf_cstr(&name);
	ask = month_dry_ask(p->month, &id);
	dry_view_charges(&ask, &row, &reasons);
	dry_view_curve(&ask, &curve);
	month_picture_drying(p, id, &curve, &row, &picture);
	take(context, &picture);
	table_release(&row);
	table_release(&reasons);
	table_release(&curve);
	buf_release(&name);
	month_picture_release(&picture);
}

/* ---- stock, grades */

static void draw_answers(const struct month_page *p, enum picture_kind kind, const struct table *const *tables, size_t n, const char *commands,
	take_picture *take, void *context)
{
	struct month_picture picture = { .key = BUF_INIT };

	buf_str(&picture.key, "drawn-");
	buf_str(&picture.key, picture_words[kind]);
	draw(kind, tables, n, &picture);
	month_words(p, commands, &picture.commands);
	take(context, &picture);
	month_picture_release(&picture);
}

static void draw_orders(const struct month_page *p, take_picture *take, void *context)
{
	draw_answers(p, PICTURE_ORDERS, (const struct table *const[]){ &p->month->book.is.orders, &p->month->is.stock }, 2,
		"wy-chart orders <(wy-stock{book} --orders --on={last}) <(wy-stock{book} --by=form,type,grade --on={last})", take, context);
}

static void draw_steps(const struct month_page *p, take_picture *take, void *context)
{
	draw_answers(p, PICTURE_STEPS, (const struct table *const[]){ &p->month->is.steps, &p->month->history.losses }, 2,
		"wy-chart steps <(wy-yield{book} --since={first} --on={last}) <(wy-yield{book} --losses --baseline=12 --since={first} --on={last})", take,
		context);
}

static void draw_grades(const struct month_page *p, take_picture *take, void *context)
{
	draw_answers(p, PICTURE_GRADES, (const struct table *const[]){ &p->month->is.suppliers }, 1,
		"wy-grade{book} --by=supplier --from={from} --to={last} | wy-chart grades", take, context);
}

/* ---- rooms */

/* The air of one place by day, over a year. */
static void draw_room(const struct month_page *p, struct slice place, take_picture *take, void *context)
{
	struct month_picture picture = { .key = BUF_INIT };
	int32_t first = p->month->days.last - DAYS_OF_YEAR + 1;
	struct buf command = BUF_INIT;
	struct table days;

	month_air_by_day(p->month, place, first, p->month->days.last, &days);
	add_key("air", place, &picture.key);
	draw(PICTURE_STORE, (const struct table *const[]){ &days, &p->month->book.is.outlook }, 2, &picture);
	buf_str(&command, "wy-chart store <(wy-air{book} --timed --by=place,day --place=");
	buf_add(&command, place);
	buf_str(&command, " --from=");
	day_write(&command, first);
	buf_str(&command, " --to={last}) <(wy-air{book} --outlook --on={last})");
	month_words(p, buf_cstr(&command), &picture.commands);
	take(context, &picture);
	table_release(&days);
	buf_release(&command);
	month_picture_release(&picture);
}

/* Rooms that should keep the wood in a target; a kiln's air must change. */
static bool is_room(const struct month_page *p, size_t row)
{
	struct slice place = table_word(&p->month->book.is.air, row, "place");
	const struct house_place *of = p->month->house ? house_place(p->month->house, place) : NULL;

	return of && house_range_given(of->target) && table_count(&p->month->book.is.air, row, "n") && !due_book_is_kiln(&p->month->book, place);
}

/* The room that was in its target for the least part of the days. */
static size_t worst_room(const struct month_page *p)
{
	const struct table *air = &p->month->book.is.air;
	size_t worst = table_rows(air);

	for (size_t row = 0; row < table_rows(air); row++)
		if (is_room(p, row) && (worst == table_rows(air)
				|| table_figure(air, row, "emc_in_target_share") < table_figure(air, worst, "emc_in_target_share")))
			worst = row;
	return worst;
}

static void draw_rooms(const struct month_page *p, bool all, take_picture *take, void *context)
{
	const struct table *air = &p->month->book.is.air;
	size_t worst = worst_room(p);

	for (size_t row = 0; row < table_rows(air); row++)
		if (row == worst || (all && is_room(p, row)))
			draw_room(p, table_word(air, row, "place"), take, context);
}

void month_pictures(const struct month_page *p, enum month_about about, bool all, take_picture *take, void *context)
{
	switch (about) {
	case MONTH_KILNS:
		for (size_t i = 0; i < table_rows(&p->month->book.is.charges) && i < (all ? SIZE_MAX : CHARGES_MOST); i++)
			draw_charge(p, i, take, context);
		break;
	case MONTH_STOCK:
		draw_orders(p, take, context);
		break;
	case MONTH_GRADES:
		draw_grades(p, take, context);
		draw_steps(p, take, context);
		break;
	case MONTH_ROOMS:
		draw_rooms(p, all, take, context);
		break;
	case MONTH_ABOUTS:
		break;
	}
}
