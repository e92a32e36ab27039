#include "book/line.h"
#include "house/house.h"
#include "stock/stock_internal.h"

enum { SHORT = 7 };          /* bytes of a label that is remembered */

static bool is_grade(struct stock *s, uint32_t word)
{
	struct stock_sort *sort = &s->sort[word % (sizeof s->sort / sizeof *s->sort)];

	if (sort->word != word) {
		sort->word = word;
		sort->grade = house_is_grade(s->house, intern_text(&s->ids, word));
	}
	return sort->grade;
}

/* The word up to the next slash; it is cut off. */
static uint32_t next_word(struct stock *s, struct slice *what)
{
	size_t slash = slice_find(*what, '/');
	uint32_t word = intern_id(&s->ids, slice_upto(*what, slash));

	*what = slice_from(*what, slash < what->n ? slash + 1 : slash);
	return word;
}

void stock_what(struct stock *s, struct slice what, struct stock_item *item)
{
	bool one = slice_find(what, '/') == what.n;
	uint32_t word;

	item->type = item->grade = item->class = STOCK_ANY;
	if (!what.n)
		return;
	word = next_word(s, &what);
	*(one && is_grade(s, word) ? &item->grade : &item->type) = word;
	if (what.n)
		item->grade = next_word(s, &what);
	if (what.n)
		item->class = next_word(s, &what);
}

/* The same for a label of a line; short ones come again and again. */
static void what_of(struct stock *s, struct slice label, struct stock_item *item)
{
	uint64_t word = (uint64_t)label.n << 56;
	struct stock_label *known;

	if (!label.n) {
		item->type = item->grade = item->class = STOCK_ANY;
		return;
	}
	if (label.n > SHORT) {
		stock_what(s, label, item);
		return;
	}
	for (size_t i = 0; i < label.n; i++)
		word |= (uint64_t)(unsigned char)label.p[i] << 8 * i;
	known = &s->label[word * 0x9e3779b97f4a7c15u >> 58];
	if (known->word != word) {
		stock_what(s, label, &known->what);
		known->word = word;
	}
	*item = (struct stock_item){ .type = known->what.type, .grade = known->what.grade, .class = known->what.class, .n = item->n };
}

static struct stock_item *next_item(struct stock *s)
{
	s->item = mem_grow(s->item, &s->items_cap, s->nitems + 1, sizeof *s->item);
	return &s->item[s->nitems++];
}

static inline uint32_t *memo_of(struct stock *s, const struct event_def *event, int field)
{
	return &s->memo[(unsigned)event->id % (sizeof s->memo / sizeof *s->memo)][field];
}

/* What a picking field says: an id, 0 for "-", or what it means to leave it out. */
static inline uint32_t picked(struct stock *s, const struct line *l, int field, uint32_t left_out)
{
	const struct item *item = line_item(l, field);

	if (!item)
		return left_out;
	return item->v.mark == VALUE_ABSENT ? 0 : intern_memo(&s->ids, memo_of(s, l->event, field), item->text);
}

/* The id of a field's word; 0 without it. */
static inline uint32_t word_id(struct stock *s, const struct line *l, int field)
{
	return line_field(l, field) ? intern_memo(&s->ids, memo_of(s, l->event, field), line_word(l, field)) : 0;
}

/* The lot of a piece; 0 without the field. */
static inline uint32_t lot_of_piece(struct stock *s, const struct line *l, int field)
{
	struct slice piece;

	if (!line_field(l, field))
		return 0;
	piece = line_word(l, field);
	return intern_memo(&s->ids, memo_of(s, l->event, field), slice_upto(piece, slice_find(piece, '/')));
}

static void set_count_place(struct stock_op *op, const struct line *l, const struct field *f)
{
	op->count_col = line_col(l, f->key);
	op->count_end = line_col(l, f->text) + (uint32_t)f->text.n;
}

static void add_counts(struct stock *s, struct stock_op *op, const struct line *l)
{
	bool pool = op->event->stock.take == TAKE_LOTS;
	const struct field *f = line_field(l, pool ? FIELD_LOT : FIELD_COUNT);

	op->counts = (uint32_t)s->nitems;
	for (size_t i = 0; f && i < f->n; i++) {
		const struct item *from = &l->item[f->first + i];
		struct stock_item item = { .grade = STOCK_ANY, .class = STOCK_ANY, .n = (int32_t)from->v.fix };

		if (pool)
			item.word = intern_id(&s->ids, from->label);
		else
			what_of(s, from->label, &item);
		*next_item(s) = item;
	}
	op->ncounts = (uint32_t)s->nitems - op->counts;
	op->counted = op->ncounts > 0;
	if (f)
		set_count_place(op, l, f);
}

static void add_culls(struct stock *s, struct stock_op *op, const struct line *l)
{
	const struct field *f = line_field(l, FIELD_CULL);

	op->culls = (uint32_t)s->nitems;
	for (size_t i = 0; f && i < f->n; i++) {
		const struct item *from = &l->item[f->first + i];

		*next_item(s) = (struct stock_item){ .word = intern_id(&s->ids, from->label), .grade = STOCK_ANY, .class = STOCK_ANY,
			.n = (int32_t)from->v.fix };
	}
	op->nculls = (uint32_t)s->nitems - op->culls;
	if (f && !op->count_col)
		set_count_place(op, l, f);
}

/* Where the line names the lot, or else its subject. */
static void set_whose_place(struct stock_op *op, const struct line *l, struct slice name)
{
	op->whose_col = line_col(l, name);
	op->whose_end = op->whose_col + (uint32_t)name.n;
}

/* Whose pieces and where: a charge's oven test may name its lot, and a lot's its place. */
static void set_whose(struct stock *s, struct stock_op *op, const struct line *l)
{
	const struct stock_effect *e = &op->event->stock;
	uint32_t at = picked(s, l, FIELD_AT, STOCK_ANY);
	bool by_subject = e->lot == FROM_SUBJECT || (e->at == FROM_SUBJECT && at != STOCK_ANY && !line_field(l, FIELD_LOT));

	op->lot = by_subject ? op->subject : picked(s, l, FIELD_LOT, STOCK_ANY);
	op->at = e->at == FROM_SUBJECT && !by_subject ? op->subject : at;
	if (e->take == TAKE_LOTS)
		op->lot = op->subject;
	set_whose_place(op, l, by_subject || e->take == TAKE_LOTS || !line_field(l, FIELD_LOT) ? l->subject : line_word(l, FIELD_LOT));
}

static void set_into(struct stock *s, struct stock_op *op, const struct line *l)
{
	switch (op->event->stock.give) {
	case GIVE_INTO:
		op->into = picked(s, l, FIELD_INTO, STOCK_ANY);
		break;
	case GIVE_SUBJECT:
		op->into = op->subject;
		break;
	case GIVE_SOLD:
		op->into = s->sold;
		break;
	case GIVE_STAY:
		op->into = STOCK_ANY;
		break;
	}
}

/* No piece has had its form from a later day on than it was found. */
static int32_t since_of(const struct line *l)
{
	int64_t since = line_field(l, FIELD_SINCE) ? line_item(l, FIELD_SINCE)->v.fix : l->stamp.day;

	return since < l->stamp.day ? (int32_t)since : l->stamp.day;
}

static void set_picks(struct stock *s, struct stock_op *op, const struct line *l)
{
	const struct stock_effect *e = &op->event->stock;

	op->type = picked(s, l, FIELD_TYPE, STOCK_ANY);
	op->grade = picked(s, l, FIELD_GRADE, e->ungraded ? 0 : STOCK_ANY);
	op->class = picked(s, l, FIELD_CLASS, STOCK_ANY);
	op->form = line_field(l, FIELD_FORM) ? vocab_form_named(line_word(l, FIELD_FORM)) : e->form;
	op->blade = stock_op_refits(op) ? op->subject : lot_of_piece(s, l, FIELD_BLADE);
	op->handle = lot_of_piece(s, l, FIELD_HANDLE);
	if (e->take == TAKE_SOLD || e->give == GIVE_SOLD)
		op->party = picked(s, l, e->take == TAKE_SOLD ? FIELD_FROM : FIELD_TO, STOCK_ANY);
	else
		op->tree = word_id(s, l, FIELD_TREE);
	op->found = line_field(l, FIELD_FOUND) ? (int32_t)line_item(l, FIELD_FOUND)->v.fix : 0;
	op->since = since_of(l);
}

/* ---- the rest of the sort key */

/* What becomes of a field: the op has its meaning, or its word unless the event has another use for it. */
enum { OTHER, IN_KEY, AS_BUYER, AS_SELLER };

static const uint8_t PART[FIELD_MOST] = {
	[FIELD_LOT] = IN_KEY, [FIELD_AT] = IN_KEY, [FIELD_INTO] = IN_KEY, [FIELD_FORM] = IN_KEY, [FIELD_TYPE] = IN_KEY, [FIELD_GRADE] = IN_KEY,
	[FIELD_BLADE] = IN_KEY, [FIELD_HANDLE] = IN_KEY, [FIELD_TREE] = IN_KEY, [FIELD_FOUND] = IN_KEY, [FIELD_COUNT] = IN_KEY,
	[FIELD_CULL] = IN_KEY, [FIELD_BY] = IN_KEY, [FIELD_FOR] = IN_KEY, [FIELD_TO] = AS_BUYER, [FIELD_FROM] = AS_SELLER,
};

bool stock_field_is_other(const struct event_def *event, const struct field_use *use)
{
	uint8_t part = PART[use->field->id];

	return part == OTHER || (part == AS_BUYER && event->stock.give != GIVE_SOLD) || (part == AS_SELLER && event->stock.take != TAKE_SOLD);
}

/* The line from the first to the last field that the op has no place for; what else is there is left out when it is read. */
static struct slice rest_of(const struct line *l)
{
	size_t first = 0, end = l->nfields;

	while (first < end && !stock_field_is_other(l->event, l->field[first].use))
		first++;
	while (first < end && !stock_field_is_other(l->event, l->field[end - 1].use))
		end--;
	return first == end ? (struct slice){ "", 0 } : slice_between(l->field[first].key.p, l->field[end - 1].text.p + l->field[end - 1].text.n);
}

/* ---- what a line says of the ids that it names */

static void note_day(struct stock *s, uint32_t lot, int32_t day)
{
	struct stock_id *id = &s->id[lot];

	id->last_day = day > id->last_day ? day : id->last_day;
}

/* What the line says of what it names: that it is a charge, or a bat. */
static void note_nature(struct stock *s, const struct stock_op *op)
{
	const struct stock_effect *e = &op->event->stock;
	bool comes_in = e->take == TAKE_NONE || e->number == NUMBER_TALLY;

	if (e->give == GIVE_SUBJECT)
		s->id[op->subject].is_charge = true;
	if (e->take == TAKE_PAIR || (comes_in && op->form == FORM_BAT))
		s->id[op->subject].is_bat = true;
	if (e->take == TAKE_SOLD && op->lot != STOCK_ANY)
		s->id[op->lot].comes_back = true;
	if (op->event->id == EVENT_ISSUE && op->into != STOCK_ANY)
		s->id[op->into].is_issued_to = true;
}

static void note_alone(struct stock_id *place, int32_t day)
{
	place->is_alone = true;
	place->last_any = day > place->last_any ? day : place->last_any;
}

void stock_ids_widen(struct stock *s)
{
	size_t had = s->ids_cap;

	s->id = mem_grow(s->id, &s->ids_cap, s->ids.n, sizeof *s->id);
	memset(s->id + had, 0, (s->ids_cap - had) * sizeof *s->id);
}

static void note_op(struct stock *s, const struct stock_op *op)
{
	if (s->ids.n > s->ids_cap)
		stock_ids_widen(s);
	note_nature(s, op);
	stock_name_lots(s, op, note_day);
	if (op->lot == STOCK_ANY && op->at != STOCK_ANY)
		note_alone(&s->id[op->at], op->day);
	s->disorder |= op->day < s->last_added;
	s->last_added = op->day;
	if (op->event->id == EVENT_GRADE && op->day > s->last_graded)
		s->last_graded = op->day;
	s->nrefits += stock_op_refits(op);
}

/* ---- adding */

void stock_guess(struct stock *s, const struct event_def *event, uint32_t subject, uint32_t lot)
{
	stock_guess_subject(s, event, subject);
	*memo_of(s, event, FIELD_LOT) = lot;
}

void stock_guess_subject(struct stock *s, const struct event_def *event, uint32_t subject)
{
	*memo_of(s, event, FIELDS_END) = subject;
}

void stock_add(struct stock *s, const struct line *l, int64_t utc_s)
{
	struct stock_op op = { .event = l->event, .day = l->stamp.day, .second = STOCK_UNTIMED, .line = l->number,
		.file = l->file };
	struct slice rest;

	if (!l->event->stock.moves)
		return;
	op.measured = house_is_byproduct(s->house, l);
	if (l->stamp.second != STAMP_NO_TIME)
		op.second = (int32_t)(utc_s - (int64_t)op.day * DAY_S);
	op.subject = intern_memo(&s->ids, memo_of(s, l->event, FIELDS_END), l->subject);
	set_whose(s, &op, l);
	set_into(s, &op, l);
	set_picks(s, &op, l);
	op.order = word_id(s, l, FIELD_FOR);
	op.by = word_id(s, l, FIELD_BY);
	s->nitems = 0;
	add_counts(s, &op, l);
	add_culls(s, &op, l);
	op.uncounted = (op.event->stock.take == TAKE_PICK || op.event->stock.take == TAKE_SOLD) && op.event->stock.number == NUMBER_SUM && !op.counted;
	if (op.uncounted && op.form < 0)
		op.form = FORM_BAT;
	rest = rest_of(l);
	op.nrest = (uint32_t)rest.n;
	note_op(s, &op);
	stock_log_add(&s->log, &op, s->item, rest.p);
}

/* ---- what was added */

unsigned stock_said_of(const struct stock *s, uint32_t id)
{
	const struct stock_id *is = id < s->ids_cap ? &s->id[id] : NULL;

	if (!is)
		return 0;
	return (is->is_charge ? STOCK_SAID_CHARGE : 0u) | (is->is_alone ? STOCK_SAID_ALONE : 0u) | (is->is_issued_to ? STOCK_SAID_ISSUED : 0u) |
		(is->comes_back ? STOCK_SAID_BACK : 0u);
}

const struct stock_op *stock_walk_next(struct stock_walk *walk)
{
	if (walk->at == spill_size(&walk->stock->log.records))
		return NULL;
	walk->items.n = 0;
	walk->at = stock_log_read(&walk->stock->log, &walk->view, walk->at, &walk->op, &walk->items);
	return &walk->op;
}

void stock_walk_release(struct stock_walk *walk)
{
	free(walk->items.v);
	walk->items = (struct stock_items){ .n = 0 };
	spill_view_release(&walk->view);
}

void stock_name_lots(struct stock *s, const struct stock_op *op, void (*met)(struct stock *s, uint32_t lot, int32_t day))
{
	uint32_t ids[STOCK_TOUCH_MOST];
	size_t n = stock_touches(op, ids);

	while (n)
		met(s, ids[--n], op->day);
	for (uint32_t i = op->counts; op->event->stock.take == TAKE_LOTS && i < op->counts + op->ncounts; i++)
		met(s, s->item[i].word, op->day);
}
