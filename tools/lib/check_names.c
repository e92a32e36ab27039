#include "text.h"
#include "intern.h"
#include "vocab_words.h"
#include "vocab.h"
#include "house_words.h"
#include "house.h"
#include "check_names.h"

#include <stdlib.h>

#include "mem.h"

static const struct {
	enum house_kind kind;
	uint32_t list;
} LISTS[] = {
	{ HOUSE_PLACE, LIST_OF(OF_PLACE) | LIST_OF(OF_KILN) },
	{ HOUSE_TYPE, LIST_OF(OF_TYPE) },
	{ HOUSE_GRADE, LIST_OF(OF_GRADE) },
	{ HOUSE_PERSON, LIST_OF(OF_PERSON) },
	{ HOUSE_PARTY, LIST_OF(OF_PARTY) },
	{ HOUSE_CULL, LIST_OF(OF_CULL) },
	{ HOUSE_RETURN, LIST_OF(OF_RETURN) },
	{ HOUSE_COST, LIST_OF(OF_COST) },
	{ HOUSE_STAGE, LIST_OF(OF_STAGE) },
	{ HOUSE_METER, LIST_OF(OF_METER) },
	{ HOUSE_BYPRODUCT, LIST_BYPRODUCT },
};

void names_init(struct names *t, struct intern *ids, const struct house *house)
{
	memset(t, 0, sizeof *t);
	t->ids = ids;
	t->house = house;
	for (size_t i = 0; i < sizeof LISTS / sizeof *LISTS; i++)
		if (!house || !house_has(house, LISTS[i].kind))
			t->open |= LISTS[i].list;
}

void names_release(struct names *t)
{
	free(t->name);
	memset(t, 0, sizeof *t);
}

/* A meter's word bears its setting: pin2/cane. */
static bool is_meter(const struct house *house, struct slice word)
{
	size_t slash = slice_find(word, '/');
	const struct house_meter *meter = house_meter(house, slice_upto(word, slash));

	return meter && (slash == word.n || meter->nsettings == 0 || house_setting(meter, slice_from(word, slash + 1)));
}

static uint32_t lists_of(const struct house *house, struct slice word)
{
	const struct house_place *place = house_place(house, word);
	uint32_t lists = 0;

	for (size_t i = 0; i < sizeof LISTS / sizeof *LISTS; i++)
		if (house_index(house, LISTS[i].kind, word) >= 0)
			lists |= LISTS[i].list;
	if (place && place->kind != HOUSE_PLACE_KIND_KILN)
		lists &= ~LIST_OF(OF_KILN);
	if (is_meter(house, word))
		lists |= LIST_OF(OF_METER);
	return lists;
}

static uint32_t schemes_of(const struct house *house, struct slice word)
{
	uint32_t schemes = 0;

	for (size_t i = 0; i < house->nschemes; i++)
		for (size_t k = 0; k < house->schemes[i].list.n; k++)
			if (slice_eq(house->schemes[i].list.word[k], word))
				schemes |= names_scheme_bit(i);
	return schemes;
}

static struct name look_up(const struct names *t, struct slice word)
{
	struct name name = { .lists = 0 };

	if (t->house && word.n) {
		name.lists = lists_of(t->house, word);
		name.schemes = schemes_of(t->house, word);
	}
	if (vocab_form_named(word) >= 0)
		name.lists |= LIST_OF(OF_FORM);
	return name;
}

/* Looks up all words met since the last time, up to this one. */
static void catch_up(struct names *t, uint32_t id)
{
	t->name = mem_grow(t->name, &t->cap, id + 1u, sizeof *t->name);
	for (; t->n <= id; t->n++)
		t->name[t->n] = look_up(t, intern_text(t->ids, (uint32_t)t->n));
}

uint32_t names_id(struct names *t, struct slice word)
{
	uint32_t id = intern_id(t->ids, word);

	if (id >= t->n)
		catch_up(t, id);
	return id;
}

uint32_t names_id_at(struct names *t, size_t slot, struct slice word)
{
	uint32_t id = intern_memo(t->ids, &t->memo[slot], word);

	if (id >= t->n)
		catch_up(t, id);
	return id;
}
