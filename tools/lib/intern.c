#include "text.h"
#include "intern.h"

#include <stdlib.h>

#include "mem.h"

enum { ROOM = 64 * 1024, FIRST_SLOTS = 256 };

void intern_init(struct intern *t)
{
	memset(t, 0, sizeof *t);
	t->slots = FIRST_SLOTS;
	t->slot = mem_zeroed(t->slots, sizeof *t->slot);
	t->text = mem_grow(NULL, &t->cap, 64, sizeof *t->text);
	t->text[t->n++] = SLICE("");
}

void intern_release(struct intern *t)
{
	for (size_t i = 0; i < t->nrooms; i++)
		free(t->rooms[i]);
	free(t->rooms);
	free(t->slot);
	free(t->text);
	memset(t, 0, sizeof *t);
}

/* A copy of the text in a room that never moves. */
static struct slice keep(struct intern *t, struct slice s)
{
	char *p;

	if (t->room_n + s.n > t->room_cap) {
		t->room_cap = s.n > ROOM ? s.n : ROOM;
		t->room = mem_array(t->room_cap, 1);
		t->room_n = 0;
		t->rooms = mem_grow(t->rooms, &t->rooms_cap, t->nrooms + 1, sizeof *t->rooms);
		t->rooms[t->nrooms++] = t->room;
	}
	p = t->room + t->room_n;
	memcpy(p, s.p, s.n);
	t->room_n += s.n;
	return (struct slice){ p, s.n };
}

static uint16_t tag_of(uint64_t hash)
{
	return (uint16_t)(hash >> 48);
}

static bool holds(const struct intern *t, const struct intern_slot *slot, struct slice s, uint16_t tag)
{
	if (slot->tag != tag || slot->n != (uint16_t)s.n)
		return false;
	return bytes_eq(slot->p, s.p, s.n < UINT16_MAX ? s.n : 0) && (s.n < UINT16_MAX || slice_eq(t->text[slot->id], s));
}

/* The slot that holds `s`, or the free one where it belongs. */
static struct intern_slot *slot_of(const struct intern *t, struct slice s, uint64_t hash)
{
	size_t at = hash & (t->slots - 1);

	while (t->slot[at].id && !holds(t, &t->slot[at], s, tag_of(hash)))
		at = (at + 1) & (t->slots - 1);
	return &t->slot[at];
}

static void fill_slot(struct intern_slot *slot, uint32_t id, struct slice text, uint64_t hash)
{
	*slot = (struct intern_slot){ text.p, id, (uint16_t)text.n, tag_of(hash) };
}

static void widen(struct intern *t)
{
	free(t->slot);
	t->slots *= 2;
	t->slot = mem_zeroed(t->slots, sizeof *t->slot);
	for (uint32_t i = 1; i < t->n; i++) {
		uint64_t hash = slice_hash(t->text[i]);

		fill_slot(slot_of(t, t->text[i], hash), i, t->text[i], hash);
	}
}

uint32_t intern_id(struct intern *t, struct slice s)
{
	struct intern_slot *slot;
	uint64_t hash;

	if (!s.n)
		return 0;
	hash = slice_hash(s);
	slot = slot_of(t, s, hash);
	if (slot->id)
		return slot->id;
	t->text = mem_grow(t->text, &t->cap, t->n + 1u, sizeof *t->text);
	t->text[t->n] = keep(t, s);
	fill_slot(slot, t->n, t->text[t->n], hash);
	t->n++;
	if (t->n * 2u > t->slots)
		widen(t);
	return t->n - 1;
}

uint32_t intern_find(const struct intern *t, struct slice s)
{
	return s.n ? slot_of(t, s, slice_hash(s))->id : 0;
}
