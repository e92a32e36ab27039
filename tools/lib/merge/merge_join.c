#include "merge/merge_join.h"

#include <stdlib.h>
#include <string.h>

#include "book/line.h"
#include "book/tidy_file.h"
#include "merge/merge_keys.h"
#include "merge/merge_place.h"
#include "merge/merge_verdict.h"

static const char *const REASONS[] = {
	[MERGE_EDITED] = "edited on both sides",
	[MERGE_REMOVED] = "removed on one side and edited on the other",
	[MERGE_REWORDED] = "the same entry added on both sides in other words",
	[MERGE_UNSURE] = "changed on both sides, and it is not clear which line became which",
};

/* The merge under way. */
struct joining {
	struct merged *out;
	const struct merge_verdicts *v;
	struct tidy rows;         /* of the result; they point into the books and `blocks` */
	struct buf blocks;        /* the conflicts' lines; it has all its space before rows point into it */
	bool *written;            /* by number */
	bool *shown;              /* by set with a conflict */
	size_t mark_size;
};

/* ---- rows of the result */

static void put_row(struct joining *j, struct slice text, enum line_kind kind, int32_t day, int32_t second)
{
	struct tidy *t = &j->rows;

	t->row = mem_grow(t->row, &t->cap, t->n + 1, sizeof *t->row);
	t->row[t->n] = (struct tidy_row){ .was = text, .index = t->n, .day = day, .second = second, .kind = (uint8_t)kind };
	t->n++;
}

static void put_blanks(struct joining *j, size_t n)
{
	for (; n; n--)
		put_row(j, SLICE("\n"), LINE_BLANK, 0, 0);
}

static void put_unit(struct joining *j, const struct merge_unit *u, size_t above, size_t below)
{
	struct slice text = u->text;

	put_blanks(j, above);
	while (text.n) {
		struct slice line = slice_upto(text, slice_find(text, '\n') + 1);

		if (u->kind == MERGE_UNREAD)
			put_row(j, line, LINE_BAD, 0, 0);
		else if (u->kind == MERGE_ENTRY && line.n == text.n)
			put_row(j, line, LINE_EVENT, u->day, u->second);
		else
			put_row(j, line, LINE_REMARK, 0, 0);
		text = slice_from(text, line.n);
	}
	put_blanks(j, below);
}

/* What a count of blank lines becomes: a change beats none, and of two the larger is taken. */
static size_t three_way(size_t base, size_t a, size_t b)
{
	if (a == base)
		return b;
	return b == base || a > b ? a : b;
}

static void put_kept(struct joining *j, size_t base)
{
	const struct merge_side *a = j->v->a, *b = j->v->b;
	const struct merge_unit *was = &a->base->unit[base], *in_a = &a->book->unit[a->base_at[base]],
		*in_b = &b->book->unit[b->base_at[base]];

	put_unit(j, was, three_way(was->above, in_a->above, in_b->above), three_way(was->below, in_a->below, in_b->below));
}

static void put_new(struct joining *j, size_t number)
{
	size_t twin = j->v->twin[number];
	const struct merge_unit *u = merge_unit_of(j->v, number), *other = twin == SIZE_MAX ? u : merge_unit_of(j->v, twin);

	if (j->written[number] || (twin != SIZE_MAX && j->written[twin]))
		return;
	j->written[number] = true;
	put_unit(j, u, three_way(0, u->above, other->above), three_way(0, u->below, other->below));
}

/* The edit of one unit of the base that a version made, in the unit's place. */
static void put_edit(struct joining *j, const struct merge_side *s, size_t base)
{
	if (s->gone[base] && s->base_at[base] != SIZE_MAX)
		put_new(j, s->first + s->base_at[base]);
}

/* ---- conflicts */

static void add_mark(struct buf *out, char c, size_t size, const char *label, const char *more)
{
	buf_fill(out, c, size);
	buf_printf(out, "%s%s%s\n", *label ? " " : "", label, more);
}

/* What a version has of the set: what it left of the base, and its new units. */
static void add_version(struct joining *j, const struct merge_set *set, const struct merge_side *s, size_t from, size_t to)
{
	for (size_t i = set->from; i < set->a; i++)
		if (!s->gone[j->v->member[i]])
			buf_add(&j->blocks, merge_text(j->v, j->v->member[i]));
	for (size_t i = from; i < to; i++)
		buf_add(&j->blocks, merge_text(j->v, j->v->member[i]));
}

/* The earliest day and time of the set's entries; false where it has none. */
static bool first_moment(const struct joining *j, const struct merge_set *set, int32_t *day, int32_t *second)
{
	bool found = false;

	for (size_t i = set->from; i < set->to; i++) {
		const struct merge_unit *u = merge_unit_of(j->v, j->v->member[i]);

		if (u->kind != MERGE_ENTRY || (found && (u->day > *day || (u->day == *day && u->second >= *second))))
			continue;
		*day = u->day;
		*second = u->second;
		found = true;
	}
	return found;
}

static void put_conflict(struct joining *j, const struct merge_set *set)
{
	size_t start = j->blocks.n;
	int32_t day = 0, second = 0;
	bool dated = first_moment(j, set, &day, &second);

	add_mark(&j->blocks, '<', j->mark_size, "ours: ", REASONS[set->verdict]);
	add_version(j, set, j->v->a, set->a, set->b);
	add_mark(&j->blocks, '|', j->mark_size, "base", "");
	for (size_t i = set->from; i < set->a; i++)
		buf_add(&j->blocks, merge_text(j->v, j->v->member[i]));
	add_mark(&j->blocks, '=', j->mark_size, "", "");
	add_version(j, set, j->v->b, set->b, set->to);
	add_mark(&j->blocks, '>', j->mark_size, "theirs", "");
	put_row(j, slice_from(buf_slice(&j->blocks), start), dated ? LINE_EVENT : LINE_BAD, day, second);
	j->out->conflicts++;
}

static size_t blocks_size(const struct joining *j)
{
	size_t size = 0;

	for (size_t i = 0; i < j->v->nset; i++) {
		const struct merge_set *set = &j->v->set[i];

		if (set->verdict == MERGE_TAKEN)
			continue;
		size += 4 * j->mark_size + 200;
		for (size_t k = set->from; k < set->to; k++)
			size += 3 * merge_text(j->v, j->v->member[k]).n;
	}
	return size;
}

/* ---- all units in their order */

static void put_number(struct joining *j, size_t number)
{
	const struct merge_verdicts *v = j->v;
	size_t set = v->set_of[number];

	if (set == SIZE_MAX) {
		if (!j->written[number])
			put_kept(j, number);
		j->written[number] = true;
		return;
	}
	if (v->set[set].verdict != MERGE_TAKEN) {
		if (!j->shown[set])
			put_conflict(j, &v->set[set]);
		j->shown[set] = true;
		return;
	}
	if (merge_whose(v, number) != MERGE_OF_BASE) {
		put_new(j, number);
		return;
	}
	put_edit(j, v->a, number);
	put_edit(j, v->b, number);
}

static void write_rows(struct joining *j, const struct merge_order *order, struct buf *text)
{
	buf_fill(&j->blocks, ' ', blocks_size(j));
	j->blocks.n = 0;
	for (size_t i = 0; i < order->n; i++)
		put_number(j, order->number[i]);
	tidy_sort(&j->rows);
	for (size_t i = 0; i < j->rows.n; i++)
		buf_add(text, tidy_text(&j->rows, i));
}

/* ---- notes */

static void add_note(struct merged *m, enum merge_note_kind kind, struct slice entry)
{
	m->note = mem_grow(m->note, &m->notes_cap, m->nnotes + 1, sizeof *m->note);
	m->note[m->nnotes++] = (struct merge_note){ kind, slice_upto(entry, entry.n - 1) };
}

/* Entries that are new in both, or edited to the same. */
static void note_twins(struct joining *j)
{
	for (size_t i = j->v->a->first; i < j->v->b->first; i++)
		if (j->v->twin[i] != SIZE_MAX && merge_unit_of(j->v, i)->kind == MERGE_ENTRY)
			add_note(j->out, MERGE_NOTE_ONCE, merge_unit_of(j->v, i)->entry);
}

static void add_heads(struct merge_keys *k, const struct merge_verdicts *v, const struct merge_side *s, unsigned of)
{
	for (size_t i = 0; i < s->book->n; i++) {
		const struct merge_unit *u = &s->book->unit[i];
		size_t number = s->first + i;

		if (s->same[i] || s->linked[i] || u->kind != MERGE_ENTRY || v->twin[number] != SIZE_MAX ||
			v->set[v->set_of[number]].verdict != MERGE_TAKEN)
			continue;
		merge_key_add(k, merge_words(merge_words(merge_words(merge_words(1, u->date), u->time), u->event), u->subject), of, number);
	}
}

/* Entries that both added of one date, time, event and subject. */
static void note_heads(struct joining *j)
{
	struct merge_keys keys = { NULL, 0, 0 };
	struct merge_run run = { 0, 0, 0 };

	add_heads(&keys, j->v, j->v->a, MERGE_OF_A);
	add_heads(&keys, j->v, j->v->b, MERGE_OF_B);
	merge_keys_sort(&keys);
	while (merge_run_next(&keys, MERGE_OF_A, &run))
		add_note(j->out, MERGE_NOTE_BOTH, merge_unit_of(j->v, keys.row[run.from].unit)->entry);
	free(keys.row);
}

/* The books go: the notes keep copies of their lines. */
static void keep_words(struct merged *m)
{
	size_t at = 0;

	for (size_t i = 0; i < m->nnotes; i++)
		buf_add(&m->words, m->note[i].line);
	for (size_t i = 0; i < m->nnotes; i++) {
		m->note[i].line.p = m->words.p + at;
		at += m->note[i].line.n;
	}
}

/* ---- the merge */

static void join(struct merged *m, const struct merge_verdicts *v, size_t numbers, size_t mark_size, struct buf *text)
{
	struct joining j = { .out = m, .v = v, .mark_size = mark_size };
	struct merge_order order;

	tidy_init(&j.rows);
	j.written = mem_zeroed(numbers, sizeof *j.written);
	j.shown = mem_zeroed(v->nset, sizeof *j.shown);
	merge_order_init(&order, v);
	write_rows(&j, &order, text);
	note_twins(&j);
	note_heads(&j);
	keep_words(m);
	merge_order_release(&order);
	tidy_release(&j.rows);
	buf_release(&j.blocks);
	free(j.written);
	free(j.shown);
}

static void join_books(struct merged *m, const struct merge_book book[3], size_t mark_size, struct buf *text)
{
	size_t first_a = book[0].n, first_b = first_a + book[1].n, numbers = first_b + book[2].n;
	struct merge_sets sets;
	struct merge_side a, b;
	struct merge_verdicts v;

	merge_sets_init(&sets, numbers);
	merge_side_init(&a, &book[0], &book[1], first_a, &sets);
	merge_side_init(&b, &book[0], &book[2], first_b, &sets);
	merge_sides_link(&a, &b, &sets);
	merge_verdicts_init(&v, &a, &b, &sets);
	join(m, &v, numbers, mark_size, text);
	merge_verdicts_release(&v);
	merge_side_release(&a);
	merge_side_release(&b);
	merge_sets_release(&sets);
}

void merge_join(struct merged *m, struct parser *parser, struct slice base, struct slice ours, struct slice theirs, size_t mark_size)
{
	const struct slice bytes[3] = { base, ours, theirs };
	struct merge_book book[3];
	struct buf text = BUF_INIT;

	memset(m, 0, sizeof *m);
	for (size_t i = 0; i < 3; i++)
		merge_book_read(&book[i], parser, bytes[i]);
	merge_book_part_tail(&book[1], &book[0]);
	merge_book_part_tail(&book[2], &book[0]);
	join_books(m, book, mark_size, &text);
	merge_write_tidy(&m->text, parser, buf_slice(&text));
	buf_release(&text);
	for (size_t i = 0; i < 3; i++)
		merge_book_release(&book[i]);
}

void merged_release(struct merged *m)
{
	buf_release(&m->text);
	buf_release(&m->words);
	free(m->note);
	memset(m, 0, sizeof *m);
}

/* ---- what a person is shown of the conflicts */

static bool is_first_mark(struct slice line, size_t mark_size)
{
	for (size_t i = 0; i < mark_size; i++)
		if (i >= line.n || line.p[i] != '<')
			return false;
	return slice_starts(slice_from(line, mark_size), SLICE(" ours: "));
}

static bool is_entry(struct slice line)
{
	return line.n && line.p[0] >= '0' && line.p[0] <= '9';
}

static struct slice next_line(struct slice text, size_t *at)
{
	struct slice rest = slice_from(text, *at), line = slice_upto(rest, slice_find(rest, '\n'));

	*at += line.n + (line.n < rest.n);
	return line;
}

static bool is_mark(struct slice line, size_t mark_size)
{
	for (size_t i = 0; i < mark_size; i++)
		if (i >= line.n || line.p[i] != line.p[0])
			return false;
	return strchr("|=>", line.p[0]) != NULL;
}

/* The first entry of the conflict whose lines begin here, else its first line that is not blank. */
static struct slice first_within(struct slice text, size_t mark_size)
{
	struct slice first = { "", 0 };
	size_t at = 0;

	while (at < text.n) {
		struct slice line = next_line(text, &at);
		bool mark = is_mark(line, mark_size);

		if (is_entry(line))
			return line;
		if (mark && line.p[0] == '>')
			break;
		if (!mark && !first.n)
			first = line;
	}
	return first;
}

bool merged_conflict(const struct merged *m, size_t mark_size, size_t *at, size_t *line, struct slice *reason, struct slice *first)
{
	struct slice text = buf_slice(&m->text);

	while (*at < text.n) {
		struct slice mark = next_line(text, at);
		size_t below = *at;

		++*line;
		if (!is_first_mark(mark, mark_size))
			continue;
		*reason = slice_from(mark, mark_size + sizeof " ours: " - 1);
		*first = first_within(slice_from(text, below), mark_size);
		return true;
	}
	return false;
}
