#include "check/duplicates.h"

#include <stdlib.h>

#include "book/line.h"

void duplicates_init(struct duplicates *t)
{
	memset(t, 0, sizeof *t);
}

void duplicates_release(struct duplicates *t)
{
	spill_release(&t->hashes);
	free(t->file);
	memset(t, 0, sizeof *t);
}

/* ---- the hash of an entry */

static const uint64_t K1 = 0x9e3779b97f4a7c15u, K2 = 0x94d049bb133111ebu;

/* Two lanes that are mixed unlike each other; high bits are brought down before and after. */
static inline void stir(struct entry_hash *h, uint64_t word)
{
	word ^= word >> 32;
	h->a = (h->a ^ word) * K1;
	h->a ^= h->a >> 29;
	h->b = (h->b + word) * K2;
	h->b ^= h->b >> 32;
}

/* The first eight bytes of a text, or all of it. */
static inline uint64_t head_of(struct slice s)
{
	uint64_t word = 0;
	uint32_t low, high;

	if (s.n >= 8)
		memcpy(&word, s.p, 8);
	else if (s.n >= 4) {
		memcpy(&low, s.p, 4);
		memcpy(&high, s.p + s.n - 4, 4);
		word = (uint64_t)high << 32 | low;
	} else if (s.n)
		word = (uint64_t)(unsigned char)s.p[0] | (uint64_t)(unsigned char)s.p[s.n / 2] << 8 |
			(uint64_t)(unsigned char)s.p[s.n - 1] << 16;
	return word;
}

static void stir_rest(struct entry_hash *h, struct slice s)
{
	do {
		s = slice_from(s, 8);
		stir(h, head_of(s));
	} while (s.n > 8);
}

/* A text whose length is in the hash already. */
static inline void stir_text(struct entry_hash *h, struct slice s)
{
	stir(h, head_of(s));
	if (s.n > 8)
		stir_rest(h, s);
}

static struct slice unquoted(struct slice s)
{
	return s.n >= 2 && s.p[0] == '"' ? slice_upto(slice_from(s, 1), s.n - 2) : s;
}

static bool has_units(int type)
{
	return type == TYPE_MONEY || type == TYPE_RATE || type == TYPE_READING;
}

/* What the items of a field have in common, for their hashes. */
struct item_sort {
	uint64_t field;
	bool number, text, units, by_place;
};

/* Masses without labels belong together by their place in the list; all other items may be in any order. */
static struct item_sort item_sort_of(const struct field_use *use)
{
	const int id = use->field->id;

	return (struct item_sort){ .field = (uint64_t)(id + 1) << 40, .number = value_is_number(use->type), .text = use->type == TYPE_TEXT,
		.units = has_units(use->type), .by_place = id == FIELD_WET || id == FIELD_DRY };
}

static inline struct entry_hash item_hash(const struct item_sort *sort, const struct item *item)
{
	struct slice text = sort->text ? unquoted(item->text) : item->text;
	uint64_t shape = sort->field | (uint64_t)item->label.n << 20 | (sort->number ? 0 : text.n);
	struct entry_hash h = { (shape + item->v.mark) * K2, (shape ^ item->v.mark) * K1 };

	if (item->label.n)
		stir_text(&h, item->label);
	if (!sort->number) {
		stir_text(&h, text);
		return h;
	}
	stir(&h, (uint64_t)item->v.fix);
	if (item->v.mark == VALUE_RANGE)
		stir(&h, (uint64_t)item->v.high);
	if (sort->units)
		stir(&h, item->v.unit);
	return h;
}

struct entry_hash entry_hash(const struct line *l)
{
	struct entry_hash sum = { (uint64_t)l->event->id, l->subject.n };

	stir(&sum, (uint32_t)l->stamp.day);
	stir(&sum, (uint64_t)(uint32_t)l->stamp.second << 16 | (uint16_t)l->stamp.offset);
	stir_text(&sum, l->subject);
	for (const struct field *f = l->field; f < l->field + l->nfields; f++) {
		const struct item_sort sort = item_sort_of(f->use);

		for (size_t i = 0; i < f->n; i++) {
			const struct item *item = &l->item[f->first + i];
			struct entry_hash h = item_hash(&sort, item);

			if (sort.by_place && !item->label.n)
				stir(&h, i);
			sum.a += h.a;
			sum.b += h.b;
		}
	}
	sum.a |= !sum.a;
	return sum;
}

struct entry_hash reading_hash(const struct line *l)
{
	static const int QUANTITIES[] = { FIELD_TEMP, FIELD_RH, FIELD_WETBULB };
	struct slice meter = line_word(l, FIELD_METER);
	size_t i = 0;
	struct entry_hash h;

	if (l->event->id != EVENT_AIR || !meter.n || l->stamp.second == STAMP_NO_TIME)
		return (struct entry_hash){ 0, 0 };
	while (!line_field(l, QUANTITIES[i]))
		i++;
	h = (struct entry_hash){ i + 1, l->subject.n << 8 | meter.n };
	stir(&h, (uint32_t)l->stamp.day);
	stir(&h, (uint64_t)(uint32_t)l->stamp.second << 16 | (uint16_t)l->stamp.offset);
	stir_text(&h, l->subject);
	stir_text(&h, meter);
	h.a |= !h.a;
	return h;
}

/* ---- keeping them */

/* What is kept of a hash: all of a, and half of b. With a of 0, that so many lines (b) are not entries. */
struct kept {
	uint32_t a_low, a_high, b;
};

static void put(struct duplicates *t, struct kept kept)
{
	memcpy(spill_space(&t->hashes, sizeof kept), &kept, sizeof kept);
	spill_took(&t->hashes, sizeof kept);
}

static void end_gap(struct duplicates *t)
{
	if (t->gap)
		put(t, (struct kept){ 0, 0, t->gap });
	t->gap = 0;
}

void duplicates_add(struct duplicates *t, const struct line *l, struct entry_hash hash)
{
	if (t->nfiles == 0 || t->file[t->nfiles - 1].file != l->file) {
		t->file = mem_grow(t->file, &t->files_cap, t->nfiles + 1, sizeof *t->file);
		t->file[t->nfiles++] = (struct duplicates_file){ l->file, t->n };
	}
	t->n++;
	if (!hash.a) {
		t->gap++;
		if (t->gap == UINT32_MAX)
			end_gap(t);
		return;
	}
	end_gap(t);
	put(t, (struct kept){ (uint32_t)hash.a, (uint32_t)(hash.a >> 32), (uint32_t)(hash.b >> 32) });
	t->nentries++;
}

/* Goes through the entries: which line of the input, and its hash. */
struct entries {
	const struct duplicates *of;
	struct spill_view view;
	size_t at, next;
	size_t line;
	struct entry_hash hash;
};

static bool next_entry(struct entries *e)
{
	struct kept kept;

	while (e->at < spill_size(&e->of->hashes)) {
		memcpy(&kept, spill_read(&e->of->hashes, &e->view, e->at, sizeof kept), sizeof kept);
		e->at += sizeof kept;
		e->hash = (struct entry_hash){ (uint64_t)kept.a_high << 32 | kept.a_low, kept.b };
		e->line = e->next;
		e->next += e->hash.a ? 1 : kept.b;
		if (e->hash.a)
			return true;
	}
	spill_view_release(&e->view);
	return false;
}

static void keep(struct duplicates_lines *lines, struct duplicates_line line)
{
	lines->line = mem_grow(lines->line, &lines->cap, lines->n + 1, sizeof *lines->line);
	lines->line[lines->n++] = line;
}

void duplicates_keep(struct duplicates_lines *lines, const struct line *l, struct entry_hash hash)
{
	keep(lines, (struct duplicates_line){ hash, l->file, l->number });
}

/*
 * ---- finding pairs: only lines that share a bit of a wide bitmap are sorted
 *
 * Of very many lines a part is looked at at a time: those whose hashes begin alike, so that they stay in order.
 */

enum { PART_MOST = 2 * 1024 * 1024, PART_BITS_MOST = 16 };

/* How many bits of a hash say of which part it is. */
static int part_bits(const struct duplicates *t)
{
	size_t most = t->part_most ? t->part_most : PART_MOST;
	int bits = 0;

	while (bits < PART_BITS_MOST && t->nentries >> bits > most)
		bits++;
	return bits;
}

static inline uint64_t part_of(struct entry_hash hash, int bits)
{
	return bits ? hash.a >> (64 - bits) : 0;
}

static bool test_bit(const uint64_t *bits, uint64_t at)
{
	return bits[at / 64] >> (at % 64) & 1;
}

static void set_bit(uint64_t *bits, uint64_t at)
{
	bits[at / 64] |= (uint64_t)1 << (at % 64);
}

static uint64_t bitmap_size(size_t n)
{
	uint64_t size = 4096;

	while (size < (uint64_t)n * 16)
		size *= 2;
	return size;
}

/* The bits that more than one line of the part has. */
static uint64_t *shared_bits(const struct duplicates *t, uint64_t part, int bits, uint64_t size)
{
	uint64_t *once = mem_table((size_t)(size / 64), sizeof *once);
	uint64_t *more = mem_table((size_t)(size / 64), sizeof *more);
	struct entries e = { .of = t };

	while (next_entry(&e)) {
		if (part_of(e.hash, bits) != part)
			continue;
		if (test_bit(once, e.hash.a & (size - 1)))
			set_bit(more, e.hash.a & (size - 1));
		set_bit(once, e.hash.a & (size - 1));
	}
	free(once);
	return more;
}

int duplicates_order(const struct duplicates_line *a, const struct duplicates_line *b)
{
	if (a->hash.a != b->hash.a)
		return a->hash.a < b->hash.a ? -1 : 1;
	return (a->hash.b > b->hash.b) - (a->hash.b < b->hash.b);
}

bool duplicates_alike(const struct duplicates_line *a, const struct duplicates_line *b)
{
	return duplicates_order(a, b) == 0;
}

static int by_hash(const void *a, const void *b)
{
	const struct duplicates_line *x = a, *y = b;

	if (duplicates_order(x, y))
		return duplicates_order(x, y);
	if (x->file != y->file)
		return x->file < y->file ? -1 : 1;
	return (x->line > y->line) - (x->line < y->line);
}

void duplicates_sort(struct duplicates_lines *lines)
{
	if (lines->n)
		qsort(lines->line, lines->n, sizeof *lines->line, by_hash);
}

/* Adds the lines that are like another of them. */
static void keep_pairs(struct duplicates_lines *found, const struct duplicates_lines *some)
{
	for (size_t i = 0; i < some->n; i++) {
		bool before = i > 0 && duplicates_alike(&some->line[i - 1], &some->line[i]);
		bool behind = i + 1 < some->n && duplicates_alike(&some->line[i + 1], &some->line[i]);

		if (before || behind)
			keep(found, some->line[i]);
	}
}

static void find_in_part(const struct duplicates *t, uint64_t part, int bits, struct duplicates_lines *found)
{
	uint64_t size = bitmap_size(t->nentries >> bits);
	uint64_t *shared = shared_bits(t, part, bits, size);
	struct duplicates_lines some = { NULL, 0, 0 };
	struct entries e = { .of = t };
	size_t file = 0;

	while (next_entry(&e)) {
		while (file + 1 < t->nfiles && t->file[file + 1].first <= e.line)
			file++;
		if (part_of(e.hash, bits) == part && test_bit(shared, e.hash.a & (size - 1)))
			keep(&some, (struct duplicates_line){ e.hash, t->file[file].file, e.line - t->file[file].first + 1 });
	}
	free(shared);
	duplicates_sort(&some);
	keep_pairs(found, &some);
	free(some.line);
}

struct duplicates_lines duplicates_find(const struct duplicates *t)
{
	struct duplicates_lines found = { NULL, 0, 0 };
	int bits = part_bits(t);

	for (uint64_t part = 0; part < UINT64_C(1) << bits; part++)
		find_in_part(t, part, bits, &found);
	return found;
}
