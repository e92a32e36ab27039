#include "base/text.h"
#include "base/intern_compact.h"

#include <stdlib.h>

#include "base/mem.h"

/* Where a text begins is a room's number and 14 bits: texts begin at every fourth byte. */
enum { ROOM = 64 * 1024, STEP = 4, STEP_BITS = 14, FIRST_SLOTS = 64, LONG = 255 };

void intern_small_init(struct intern_small *t)
{
	memset(t, 0, sizeof *t);
	t->slots = FIRST_SLOTS;
	t->slot = mem_zeroed(t->slots, sizeof *t->slot);
	t->at = mem_grow(NULL, &t->cap, FIRST_SLOTS, sizeof *t->at);
	t->at[t->n++] = 0;
}

void intern_small_release(struct intern_small *t)
{
	for (size_t i = 0; i < t->nrooms; i++)
		free(t->room[i]);
	free(t->room);
	free(t->at);
	free(t->slot);
	memset(t, 0, sizeof *t);
}

struct slice intern_small_text(const struct intern_small *t, uint32_t id)
{
	const char *p;
	size_t n;

	if (!id)
		return SLICE("");
	p = t->room[t->at[id] >> STEP_BITS] + (size_t)(t->at[id] & ((1u << STEP_BITS) - 1)) * STEP;
	n = (unsigned char)*p++;
	if (n == LONG) {
		memcpy(&n, p, sizeof n);
		p += sizeof n;
	}
	return (struct slice){ p, n };
}

static void open_room(struct intern_small *t, size_t need)
{
	t->room_cap = need > ROOM ? need : ROOM;
	t->room_n = 0;
	t->room = mem_grow(t->room, &t->rooms_cap, t->nrooms + 1, sizeof *t->room);
	t->room[t->nrooms++] = mem_array(t->room_cap, 1);
}

/* A copy of the text behind its length; returns where it is. */
static uint32_t keep(struct intern_small *t, struct slice s)
{
	size_t need = 1 + (s.n >= LONG ? sizeof s.n : 0) + s.n;
	uint32_t at;
	char *p;

	if (!t->nrooms || t->room_n + need > t->room_cap || t->room_n >= ROOM)
		open_room(t, need);
	at = (uint32_t)(t->nrooms - 1) << STEP_BITS | (uint32_t)(t->room_n / STEP);
	p = t->room[t->nrooms - 1] + t->room_n;
	*p++ = (char)(s.n >= LONG ? LONG : s.n);
	if (s.n >= LONG) {
		memcpy(p, &s.n, sizeof s.n);
		p += sizeof s.n;
	}
	memcpy(p, s.p, s.n);
	t->room_n += (need + STEP - 1) / STEP * STEP;
	return at;
}

/* The slot that holds `s`, or the free one where it belongs. */
static uint32_t *slot_of(const struct intern_small *t, struct slice s)
{
	size_t at = (size_t)slice_hash(s) & (t->slots - 1);

	while (t->slot[at] && !slice_eq(intern_small_text(t, t->slot[at]), s))
		at = (at + 1) & (t->slots - 1);
	return &t->slot[at];
}

static void widen(struct intern_small *t)
{
	free(t->slot);
	t->slots *= 2;
	t->slot = mem_zeroed(t->slots, sizeof *t->slot);
	for (uint32_t id = 1; id < t->n; id++) {
		size_t at = (size_t)slice_hash(intern_small_text(t, id)) & (t->slots - 1);

		while (t->slot[at])
			at = (at + 1) & (t->slots - 1);
		t->slot[at] = id;
	}
}

uint32_t intern_small_id(struct intern_small *t, struct slice s)
{
	uint32_t *slot;

	if (!s.n)
		return 0;
	slot = slot_of(t, s);
	if (*slot)
		return *slot;
	t->at = mem_grow(t->at, &t->cap, t->n + 1u, sizeof *t->at);
	t->at[t->n] = keep(t, s);
	*slot = t->n++;
	if (t->n * (size_t)4 > t->slots * 3)
		widen(t);
	return t->n - 1;
}

uint32_t intern_small_find(const struct intern_small *t, struct slice s)
{
	return s.n ? *slot_of(t, s) : 0;
}
