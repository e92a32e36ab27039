#include "check/bats.h"

#include <stdlib.h>

#include "book/diag.h"
#include "book/line.h"
#include "house/house.h"
#include "stock/stock.h"

/* ---- one line */

/* Laws of Cricket, Law 5 and Appendix B: 96.52, 10.8, 6.7 and 4.0 cm. */
static const int64_t LAW_LENGTH = 9652000, LAW_WIDTH = 1080000, LAW_DEPTH = 670000, LAW_EDGE = 400000;

static void judge_size(struct diags *d, const struct line *l, int field, int64_t most)
{
	const struct item *item = line_item(l, field);
	struct buf limit = BUF_INIT;

	if (!item || item->v.mark != VALUE_EXACT || item->v.fix <= most)
		return;
	value_write_fix(&limit, most, vocab_type(TYPE_LENGTH)->places);
	buf_str(&limit, "mm");
	DIAG(d, RULE_BAT_OVER_LAW, line_place(l, item->text), item->text, line_field(l, field)->key, buf_slice(&limit));
	buf_release(&limit);
}

static void judge_sizes(struct diags *d, const struct house *house, const struct line *l)
{
	judge_size(d, l, FIELD_LENGTH, house ? house->laws.length : LAW_LENGTH);
	judge_size(d, l, FIELD_WIDTH, house ? house->laws.width : LAW_WIDTH);
	judge_size(d, l, FIELD_DEPTH, house ? house->laws.depth : LAW_DEPTH);
	judge_size(d, l, FIELD_EDGE, house ? house->laws.edge : LAW_EDGE);
}

static const struct item *labelled(const struct line *l, const struct field *f, struct slice label)
{
	for (size_t i = f->first; i < f->first + f->n; i++)
		if (slice_eq(l->item[i].label, label))
			return l->item[i].v.mark == VALUE_EXACT ? &l->item[i] : NULL;
	return NULL;
}

static void judge_moisture(struct diags *d, const struct house *house, const struct line *l)
{
	const struct field *mc = line_field(l, FIELD_MC);
	const struct item *blade = mc ? labelled(l, mc, SLICE("blade")) : NULL, *handle = mc ? labelled(l, mc, SLICE("handle")) : NULL;
	struct buf most = BUF_INIT;

	if (!blade || !handle || !house || house->splice.most_apart == HOUSE_NONE)
		return;
	if (llabs(blade->v.fix - handle->v.fix) <= house->splice.most_apart)
		return;
	value_write_fix(&most, house->splice.most_apart, vocab_type(TYPE_MOISTURE)->places);
	DIAG(d, RULE_MAKE_MOISTURE, line_place(l, mc->text), handle->text, blade->text, buf_slice(&most));
	buf_release(&most);
}

/* A moisture at the bench is of the blade or of the handle. */
static void judge_labels(struct diags *d, const struct line *l)
{
	const struct field *mc = line_field(l, FIELD_MC);

	for (size_t i = 0; mc && i < mc->n; i++) {
		const struct item *item = &l->item[mc->first + i];
		struct slice word = item->label.n ? item->label : item->text;

		if (slice_eq(item->label, SLICE("blade")) || slice_eq(item->label, SLICE("handle")))
			continue;
		DIAG(d, RULE_MAKE_LABEL, line_place(l, word), word);
		return;
	}
}

/* A bat has one handle. */
static void judge_old_handle(struct diags *d, const struct line *l)
{
	const struct item *cull = line_item(l, FIELD_CULL);

	if (cull && cull->v.fix != 1)
		DIAG(d, RULE_REHANDLE_CULL, line_place(l, line_field(l, FIELD_CULL)->key), cull->text);
}

void bats_line(struct diags *d, const struct house *house, const struct line *l)
{
	if (l->event->id == EVENT_FINISH)
		judge_sizes(d, house, l);
	else if (l->event->id == EVENT_MAKE || l->event->id == EVENT_REHANDLE) {
		judge_labels(d, l);
		judge_moisture(d, house, l);
	}
	if (l->event->id == EVENT_REHANDLE)
		judge_old_handle(d, l);
}

/* ---- what goes into a bat */

/* The types of handle that fit the blade: "type HJ or HK". */
static void add_fitting(struct buf *out, const struct house *house, struct slice blade)
{
	for (size_t i = 0; i < house->ntypes; i++) {
		const struct house_type *type = &house->types[i];

		if (type->form != HOUSE_TYPE_FORM_HANDLE || !house_handle_fits(house, type->id, blade))
			continue;
		buf_str(out, out->n ? " or " : "type ");
		buf_add(out, type->id);
	}
}

void bats_flow(struct diags *d, const struct house *house, const struct stock *s, const struct stock_flow *flow)
{
	bool handle = flow->change == STOCK_JOINED && flow->from.form == FORM_HANDLE;
	struct place place = { flow->op->file, flow->op->whose_col, flow->op->whose_end, stock_op_line(flow->op) };
	struct slice type = stock_text(s, flow->from.type), blade = stock_text(s, flow->to.type);
	struct buf mend = BUF_INIT;

	if (!handle || house_handle_fits(house, type, blade))
		return;
	add_fitting(&mend, house, blade);
	if (!mend.n)
		buf_str(&mend, "another type");
	DIAG(d, RULE_MAKE_FITS, place, type, blade, buf_slice(&mend));
	buf_release(&mend);
}
