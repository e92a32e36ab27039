#include "label/label.h"

#include "base/escape.h"
#include "chart/text_width.h"
#include "label/qr.h"
#include "page/page.h"

/* Millimetres. */
enum { SHEET_WIDTH = 210, SHEET_HEIGHT = 297, EDGE = 8, PAD = 4, LINE_SIZE = 4, ID_SIZE_MOST = 11, ID_SIZE_LEAST = 3 };

struct box {
	double x, y, width, height;
};

size_t label_sheets(const struct label_sheets *s, size_t n)
{
	size_t a_sheet = (size_t)(s->across * s->down);

	return (n + (size_t)s->skip + a_sheet - 1) / a_sheet;
}

static struct box box_of(const struct label_sheets *s, size_t place)
{
	double width = (double)(SHEET_WIDTH - 2 * EDGE) / s->across, height = (double)(SHEET_HEIGHT - 2 * EDGE) / s->down;

	return (struct box){ EDGE + width * (double)(place % (size_t)s->across), EDGE + height * (double)(place / (size_t)s->across), width, height };
}

/* The code, with its quiet zone, fills the height of the box. */
static double put_code(struct slice id, struct box box, struct buf *out, bool *done)
{
	struct qr qr;
	double side = box.height - PAD < box.width / 2 ? box.height - PAD : box.width / 2, module;

	*done = qr_make(&qr, id);
	if (!*done)
		return 0;
	module = side / (qr.side + 2 * QR_QUIET);
	buf_printf(out, "<path fill=\"#000\" shape-rendering=\"crispEdges\" transform=\"translate(%.3f %.3f) scale(%.5f)\" d=\"",
		box.x + QR_QUIET * module, box.y + (box.height - side) / 2 + QR_QUIET * module, module);
	for (int row = 0; row < qr.side; row++)
		for (int col = 0, end; col < qr.side; col = end) {
			for (end = col + 1; end < qr.side && qr.dark[row * qr.side + end] == qr.dark[row * qr.side + col];)
				end++;
			if (qr.dark[row * qr.side + col])
				buf_printf(out, "M%d %dh%dv1h-%dz", col, row, end - col, end - col);
		}
	buf_str(out, "\"/>\n");
	qr_release(&qr);
	return side;
}

/* A text in a size at which it fits; one that fits at none is cut. */
static void put_text(struct slice text, double x, double y, double size, double least, double width, bool bold, struct buf *out)
{
	while (size > least && text_width(text, size, bold) > width)
		size -= 0.25;
	text = slice_upto(text, text_fitting(text, size, bold, width));
	buf_printf(out, "<text x=\"%.2f\" y=\"%.2f\" font-size=\"%.2f\"%s>", x, y, size, bold ? " font-weight=\"bold\"" : "");
	buf_html(out, text);
	buf_str(out, "</text>\n");
}

/* In how many lines of that width. */
static size_t id_lines(struct slice id, double size, double width)
{
	size_t n = 0;

	for (size_t at = 0; at < id.n; n++) {
		size_t fits = text_fitting(slice_from(id, at), size, true, width);

		at += fits ? fits : 1;
	}
	return n;
}

/* In one line, the last at y; an id that is too long for one is in several, in the size at which they fit into the height. */
static void put_id(struct slice id, double x, double y, double width, double height, struct buf *out)
{
	double size = ID_SIZE_LEAST, line;
	size_t n = id_lines(id, size, width);

	if (n < 2) {
		put_text(id, x, y, ID_SIZE_MOST, size, width, true, out);
		return;
	}
	while (size > 0.5 && 1.2 * size * (double)(n = id_lines(id, size, width)) > height)
		size -= 0.25;
	line = 1.2 * size;
	for (size_t i = 0; i < n; i++) {
		size_t fits = text_fitting(id, size, true, width);

		put_text(slice_upto(id, fits), x, y - line * (double)(n - 1 - i), size, size, width, true, out);
		id = slice_from(id, fits);
	}
}

static bool put_label(const struct label *label, struct box box, struct buf *out)
{
	double side, x, y, width;
	bool done;

	buf_printf(out, "<rect x=\"%.2f\" y=\"%.2f\" width=\"%.2f\" height=\"%.2f\" fill=\"#fff\" stroke=\"#999\" stroke-width=\".2\" stroke-dasharray=\"1 1.5\"/>\n", box.x,
		box.y, box.width, box.height);
	side = put_code(label->id, box, out, &done);
	x = box.x + side;
	width = box.width - side - PAD;
	y = box.y + box.height / 2 - 0.7 * LINE_SIZE * (double)label->n + ID_SIZE_LEAST;
	put_id(label->id, x, y, width, y - box.y - PAD / 2.0, out);
	for (size_t i = 0; i < label->n; i++)
		put_text(label->line[i], x, y + 1.5 * LINE_SIZE * (double)(i + 1), LINE_SIZE, 0.6 * LINE_SIZE, width, false, out);
	return done;
}

bool label_sheet_svg(const struct label_sheets *s, const struct label *label, size_t n, size_t sheet, struct buf *out, size_t *bad)
{
	size_t a_sheet = (size_t)(s->across * s->down);
	bool done = true;

	buf_printf(out, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%dmm\" height=\"%dmm\" viewBox=\"0 0 %d %d\" role=\"img\""
		" font-family=\"DejaVu Sans, sans-serif\" fill=\"#000\">\n<title>Labels, sheet %zu</title>\n", SHEET_WIDTH, SHEET_HEIGHT, SHEET_WIDTH, SHEET_HEIGHT,
		sheet + 1);
	for (size_t place = 0; place < a_sheet && done; place++) {
		size_t at = sheet * a_sheet + place;

		if (at < (size_t)s->skip || at - (size_t)s->skip >= n)
			continue;
		*bad = at - (size_t)s->skip;
		done = put_label(&label[*bad], box_of(s, place), out);
	}
	buf_str(out, "</svg>\n");
	return done;
}

bool label_sheets_html(const struct label_sheets *s, const struct label *label, size_t n, struct buf *out, size_t *bad)
{
	static const char style[] = "@page{size:A4;margin:0}body{margin:0;background:#fff}h1{position:absolute;width:1px;height:1px;overflow:hidden;"
		"clip-path:inset(50%)}svg{display:block;width:210mm;max-width:100%;height:auto;break-after:page}svg:last-child{break-after:auto}";
	bool done = true;

	buf_str(out, "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
	page_policy(slice_of(style), NULL, out);
	buf_str(out, "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>Labels</title>\n<style>");
	buf_str(out, style);
	buf_str(out, "</style>\n</head>\n<body>\n<main>\n<h1>Labels</h1>\n");
	for (size_t i = 0; i < label_sheets(s, n) && done; i++)
		done = label_sheet_svg(s, label, n, i, out, bad);
	buf_str(out, "</main>\n</body>\n</html>\n");
	return done;
}
