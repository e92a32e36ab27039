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

/* The slot that holds `s`, or the free one where it belongs. */
static uint32_t *slot_of(const struct intern *t, struct slice s)
{
	size_t at = slice_hash(s) & (t->slots - 1);

	while (t->slot[at] && !slice_eq(t->text[t->slot[at]], s))
		at = (at + 1) & (t->slots - 1);
	return &t->slot[at];
}

static void widen(struct intern *t)
{
	free(t->slot);
	t->slots *= 2;
	t->slot = mem_zeroed(t->slots, sizeof *t->slot);
	for (uint32_t i = 1; i < t->n; i++)
		*slot_of(t, t->text[i]) = i;
}

uint32_t intern_id(struct intern *t, struct slice s)
{
	uint32_t *slot;

	if (!s.n)
		return 0;
	slot = slot_of(t, s);
	if (*slot)
		return *slot;
	t->text = mem_grow(t->text, &t->cap, t->n + 1u, sizeof *t->text);
	t->text[t->n] = keep(t, s);
	*slot = t->n++;
	if (t->n * 2u > t->slots)
		widen(t);
	return t->n - 1;
}

uint32_t intern_find(const struct intern *t, struct slice s)
{
	return s.n ? *slot_of(t, s) : 0;
}
