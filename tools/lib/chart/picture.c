#include "chart/picture.h"

#include "chart/cells.h"
#include "chart/given.h"
#include "chart/draw.h"
#include "chart/scene.h"
#include "chart/svg.h"

const char *const picture_words[] = { "drying", "orders", "store", "steps", "grades", "ends", "weights", "ages", "readings", "origin",
	"cost", "forecasts", NULL };

static const struct kind {
	const char *question, *command;
	draw_kind *draw;
} kinds[PICTURE_KINDS] = {
	[PICTURE_DRYING] = { "how a charge dries, and when it will be ready", "wy-dry -b --curve --charge ID", draw_drying },
	[PICTURE_ORDERS] = { "whether the stock is enough for the orders", "wy-stock -b --orders", draw_orders },
	[PICTURE_STORE] = { "whether a store kept its air", "wy-air -b --by place,day --place ID", draw_store },
	[PICTURE_STEPS] = { "where pieces were lost from tree to bat", "wy-yield -b", draw_steps },
	[PICTURE_GRADES] = { "what grades the wood gives", "wy-grade -b --by supplier", draw_grades },
	[PICTURE_ENDS] = { "how evenly the charges end", "wy-dry -b --all", draw_ends },
	[PICTURE_WEIGHTS] = { "what the bats weigh", "wy-weigh -b --histogram", draw_weights },
	[PICTURE_AGES] = { "how old the stock is", "wy-stock -b --by age,form --value", draw_ages },
	[PICTURE_READINGS] = { "on which days readings were made, missed, or out of band", "wy-air -b --by place,day --place ID", draw_readings },
	[PICTURE_ORIGIN] = { "what one bat is made of, and what happened to it", "wy-trace -b ID", draw_origin },
	[PICTURE_COST] = { "where the cost of a blade comes from", "wy-cost -b --by supplier", draw_cost },
	[PICTURE_FORECASTS] = { "what was forecast, and what happened", "wy-dry -b --score --each", draw_forecasts },
};

const char *picture_question(enum picture_kind kind)
{
	return kinds[kind].question;
}

const char *picture_command(enum picture_kind kind)
{
	return kinds[kind].command;
}

static double width_px(const struct picture_style *style)
{
	bool svg = style->medium == PICTURE_SVG;
	unsigned least = svg ? PICTURE_PX_LEAST : PICTURE_CELLS_LEAST, most = svg ? PICTURE_PX_MOST : PICTURE_CELLS_MOST;
	unsigned width = style->width < least ? least : style->width > most ? most : style->width;

	return svg ? width : (double)width * SCENE_CELL_W;
}

bool picture_draw(enum picture_kind kind, const struct table *const *tables, size_t n, const struct picture_style *style,
	struct buf *out, struct buf *sentence, struct buf *error)
{
	const struct given given = { tables, n, picture_words[kind], error };
	struct scene s;
	bool drawn;

	scene_init(&s, style->medium, width_px(style));
	s.untitled = style->untitled;
	drawn = kinds[kind].draw(&s, &given);
	if (drawn) {
		if (style->medium == PICTURE_SVG)
			svg_write(&s, style->ids, style->unstyled, out);
		else
			cells_write(&s, out);
		buf_add(sentence, buf_slice(&s.desc));
	}
	scene_release(&s);
	return drawn;
}

void picture_css(struct buf *out)
{
	svg_css(out);
}
