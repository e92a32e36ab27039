#include "book/parse.h"
#include "house/house.h"
#include "stock/stock.h"

/* No column of a line is beyond the one behind its longest, and an item takes two bytes. */
enum { COLUMN_MASK = (1 << 17) - 1, ITEMS_MASK = (1 << 15) - 1 };

_Static_assert(LINE_LONGEST + 1 <= COLUMN_MASK && LINE_LONGEST / 2 <= ITEMS_MASK + 1, "an op has space for every column and item");
_Static_assert(sizeof(struct stock_op) == 112, "an op has no gaps");

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

static struct stock_item *next_item(struct stock *s)
{
	s->item = mem_grow(s->item, &s->items_cap, s->nitems + 1, sizeof *s->item);
	return &s->item[s->nitems++];
}

/* What a picking field says: an id, 0 for "-", or what it means to leave it out. */
static uint32_t picked(struct stock *s, const struct line *l, int field, uint32_t left_out)
{
	const struct item *item = line_item(l, field);

	if (!item)
		return left_out;
	return item->v.mark == VALUE_ABSENT ? 0 : intern_memo(&s->ids, &s->memo[field], item->text);
}

static uint32_t lot_of_piece(struct stock *s, struct slice piece)
{
	return piece.n ? intern_id(&s->ids, slice_upto(piece, slice_find(piece, '/'))) : 0;
}

static void set_count_place(struct stock_op *op, const struct line *l, const struct field *f)
{
	op->count_col = line_col(l, f->key) & COLUMN_MASK;
	op->count_end = (line_col(l, f->text) + (uint32_t)f->text.n) & COLUMN_MASK;
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
			stock_what(s, from->label, &item);
		*next_item(s) = item;
	}
	op->ncounts = (s->nitems - op->counts) & ITEMS_MASK;
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
	op->nculls = (s->nitems - op->culls) & ITEMS_MASK;
	if (f && !op->count_col)
		set_count_place(op, l, f);
}

/* Where the line names the lot, or else its subject. */
static void set_whose_place(struct stock_op *op, const struct line *l, struct slice name)
{
	op->whose_col = line_col(l, name) & COLUMN_MASK;
	op->whose_end = (op->whose_col + (uint32_t)name.n) & COLUMN_MASK;
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
	op->form = (int8_t)(line_field(l, FIELD_FORM) ? vocab_form_named(line_word(l, FIELD_FORM)) : e->form);
	op->blade = stock_op_refits(op) ? op->subject : lot_of_piece(s, line_word(l, FIELD_BLADE));
	op->handle = lot_of_piece(s, line_word(l, FIELD_HANDLE));
	if (e->take == TAKE_SOLD || e->give == GIVE_SOLD)
		op->party = picked(s, l, e->take == TAKE_SOLD ? FIELD_FROM : FIELD_TO, STOCK_ANY);
	else
		op->tree = intern_memo(&s->ids, &s->memo[FIELD_TREE], line_word(l, FIELD_TREE));
	op->found = line_field(l, FIELD_FOUND) ? (int32_t)line_item(l, FIELD_FOUND)->v.fix : 0;
	op->since = since_of(l);
}

/* ---- the rest of the sort key */

static bool in_key(int field)
{
	switch (field) {
	case FIELD_LOT:
	case FIELD_AT:
	case FIELD_INTO:
	case FIELD_FORM:
	case FIELD_TYPE:
	case FIELD_GRADE:
	case FIELD_BLADE:
	case FIELD_HANDLE:
	case FIELD_TREE:
	case FIELD_FOUND:
	case FIELD_COUNT:
	case FIELD_CULL:
		return true;
	default:
		return false;
	}
}

static struct slice whole_field(const struct field *f)
{
	return (struct slice){ f->key.p, (size_t)(f->text.p + f->text.n - f->key.p) };
}

/* By name; there are few, and lines mostly have them in an order of their own. */
static void sort_parts(struct slice *part, size_t n)
{
	for (size_t i = 1; i < n; i++)
		for (size_t k = i; k && slice_cmp(part[k - 1], part[k]) > 0; k--) {
			struct slice other = part[k - 1];

			part[k - 1] = part[k];
			part[k] = other;
		}
}

/*
 * Keeps what was added to the rests from `begin` on, or finds it there: the same person writes many lines. Returns its
 * place + 1. Most are met once, so that they are not looked for among all.
 */
static uint64_t keep_rest(struct stock *s, size_t begin)
{
	const char *made = s->rests.p + begin;
	size_t n = s->rests.n - begin;
	uint64_t *memo = &s->rest_memo[(n + (unsigned char)made[n - 1]) % (sizeof s->rest_memo / sizeof *s->rest_memo)];

	buf_char(&s->rests, '\n');
	if (*memo && memcmp(s->rests.p + *memo - 1, s->rests.p + begin, n + 1) == 0)
		s->rests.n = begin;
	else
		*memo = begin + 1;
	return *memo;
}

/* The fields that the other parts of the key leave out; mostly there are none or one. */
static uint64_t rest_of(struct stock *s, const struct line *l)
{
	struct slice part[FIELD_MOST];
	size_t n = 0, begin = s->rests.n;

	for (size_t i = 0; i < l->nfields; i++)
		if (!in_key(l->field[i].use->field->id))
			part[n++] = whole_field(&l->field[i]);
	if (n == 0)
		return 0;
	sort_parts(part, n);
	for (size_t i = 0; i < n; i++) {
		if (i)
			buf_char(&s->rests, ' ');
		buf_add(&s->rests, part[i]);
	}
	return keep_rest(s, begin);
}

struct slice stock_rest(const struct stock *s, const struct stock_op *op)
{
	uint64_t place = (uint64_t)op->rest_high << 32 | op->rest;
	struct slice rests;

	if (!place)
		return SLICE("");
	rests = slice_from(buf_slice(&s->rests), place - 1);
	return slice_upto(rests, slice_find(rests, '\n'));
}

static void set_rest(struct stock_op *op, uint64_t place)
{
	op->rest = (uint32_t)place;
	op->rest_high = place >> 32 & 0xff;
}

void stock_guess(struct stock *s, uint32_t subject, uint32_t lot)
{
	s->memo[FIELDS_END] = subject;
	s->memo[FIELD_LOT] = lot;
}

void stock_add(struct stock *s, const struct line *l, int64_t utc_s)
{
	struct stock_op op = { .event = l->event, .day = l->stamp.day, .second = STOCK_UNTIMED, .line = (uint32_t)l->number,
		.line_high = l->number >> 32 & 0xff, .file = l->file & 0xffffff };

	if (!l->event->stock.moves)
		return;
	op.measured = house_is_byproduct(s->house, l);
	if (l->stamp.second != STAMP_NO_TIME)
		op.second = (int32_t)(utc_s - (int64_t)op.day * DAY_S);
	op.subject = intern_memo(&s->ids, &s->memo[FIELDS_END], l->subject);
	set_whose(s, &op, l);
	set_into(s, &op, l);
	set_picks(s, &op, l);
	op.order = intern_memo(&s->ids, &s->memo[FIELD_FOR], line_word(l, FIELD_FOR));
	op.by = intern_memo(&s->ids, &s->memo[FIELD_BY], line_word(l, FIELD_BY));
	add_counts(s, &op, l);
	add_culls(s, &op, l);
	s->nrefits += stock_op_refits(&op);
	op.uncounted = (op.event->stock.take == TAKE_PICK || op.event->stock.take == TAKE_SOLD) && op.event->stock.number == NUMBER_SUM && !op.counted;
	if (op.uncounted && op.form < 0)
		op.form = FORM_BAT;
	set_rest(&op, rest_of(s, l));
	s->op = mem_grow(s->op, &s->ops_cap, s->nops + 1, sizeof *s->op);
	s->op[s->nops++] = op;
}

size_t stock_touches(const struct stock_op *op, uint32_t *ids)
{
	size_t n = 0;

	ids[n++] = op->subject;
	if (op->lot != STOCK_ANY && op->lot != op->subject)
		ids[n++] = op->lot;
	if (op->event->stock.take == TAKE_PAIR) {
		ids[n++] = op->blade;
		ids[n++] = op->handle;
	}
	return n;
}
