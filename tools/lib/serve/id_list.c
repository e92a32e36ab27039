#include "serve/id_list.h"

#include <stdlib.h>

#include "serve/line_ids.h"

static const unsigned KINDS[ID_LIST_KINDS] = { SUBJECT_TREE, SUBJECT_LOT, SUBJECT_CHARGE, SUBJECT_BAT, SUBJECT_ORDER,
	SUBJECT_PARCEL };

void id_list_init(struct id_list *t)
{
	memset(t, 0, sizeof *t);
	intern_init(&t->names);
}

void id_list_release(struct id_list *t)
{
	intern_release(&t->names);
	hash_index_release(&t->index);
	free(t->row);
	memset(t, 0, sizeof *t);
}

static uint64_t key_hash(uint32_t name, unsigned slot)
{
	uint64_t x = ((uint64_t)name << 16 | slot) * 0x9e3779b97f4a7c15u;

	return x ^ x >> 29;
}

static struct id_row *find(const struct id_list *t, uint32_t name, unsigned slot)
{
	struct hash_probe p = hash_probe_of(&t->index, key_hash(name, slot));

	while (hash_probe_next(&t->index, &p))
		if (t->row[p.row].name == name && t->row[p.row].slot == slot)
			return &t->row[p.row];
	return NULL;
}

static struct id_row *row_of(struct id_list *t, struct slice word, unsigned slot)
{
	uint32_t name = intern_id(&t->names, word);
	struct id_row *row = find(t, name, slot);

	if (row)
		return row;
	t->row = mem_grow(t->row, &t->cap, t->n + 1, sizeof *t->row);
	hash_index_add(&t->index, key_hash(name, slot), (uint32_t)t->n);
	row = &t->row[t->n++];
	*row = (struct id_row){ .name = name, .slot = (uint16_t)slot, .last_day = INT32_MIN };
	return row;
}

struct counting {
	struct id_list *list;
	const struct line *line;
	int by;
};

static void count_row(const struct counting *c, struct id_row *row)
{
	row->lines += c->by;
	if (c->by > 0 && c->line->stamp.day > row->last_day)
		row->last_day = c->line->stamp.day;
}

static void count_id(void *context, const struct line_id *id)
{
	const struct counting *c = context;
	struct id_row *row = row_of(c->list, id->text, 0);

	count_row(c, row);
	for (int i = 0; id->starts && i < ID_LIST_KINDS; i++)
		if (id->kinds == KINDS[i])
			row->starts[i] += c->by;
}

/* Values that are words: places, people, sealants; no ids of the book, numbers or texts. */
static bool is_word(const struct field_def *f)
{
	return !value_is_number(f->type) && f->type != TYPE_TEXT && f->id != FIELD_LOT && f->id != FIELD_TREE && f->id != FIELD_FOR;
}

void id_list_count(struct id_list *t, const struct line *l, int by)
{
	struct counting c = { t, l, by };

	if (l->kind != LINE_EVENT)
		return;
	line_ids(l, count_id, &c);
	count_row(&c, row_of(t, l->event->name, ID_LIST_EVENTS));
	for (size_t i = 0; i < l->nfields; i++) {
		const struct field_def *f = l->field[i].use->field;

		count_row(&c, row_of(t, f->name, ID_LIST_FIELDS + (unsigned)l->event->id));
		if (is_word(f))
			count_row(&c, row_of(t, l->item[l->field[i].first].text, ID_LIST_VALUES + (unsigned)f->id));
	}
}

int32_t id_list_lines(const struct id_list *t, struct slice word, unsigned slot)
{
	uint32_t name = intern_find(&t->names, word);
	const struct id_row *row = name ? find(t, name, slot) : NULL;

	return row ? row->lines : 0;
}

const struct id_row *id_list_find(const struct id_list *t, struct slice id)
{
	uint32_t name = intern_find(&t->names, id);
	const struct id_row *row = name ? find(t, name, 0) : NULL;

	return row && row->lines > 0 ? row : NULL;
}

unsigned id_list_kinds(const struct id_row *row)
{
	unsigned kinds = 0;

	for (int i = 0; i < ID_LIST_KINDS; i++)
		kinds |= row->starts[i] > 0 ? KINDS[i] : 0;
	return kinds;
}
