#include "check/symbols.h"

#include <stdlib.h>

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
	{ HOUSE_CLASS, LIST_OF(OF_CLASS) },
	{ HOUSE_BYPRODUCT, LIST_BYPRODUCT },
};

/* ---- the words of the house */

static void put(struct symbols *t, struct slice word, uint32_t list)
{
	symbols_at(t, word)->lists |= list;
}

#define PUT_ROWS(t, list, rows, n) do { \
	for (size_t put_i = 0; put_i < (n); put_i++) \
		put((t), (rows)[put_i].id, (list)); \
} while (0)

static void put_words(struct symbols *t, uint32_t list, const struct house_words *words)
{
	for (size_t i = 0; i < words->n; i++)
		put(t, words->word[i], list);
}

static void put_places(struct symbols *t, const struct house *house)
{
	for (size_t i = 0; i < house->nplaces; i++) {
		bool kiln = house->places[i].kind == HOUSE_PLACE_KIND_KILN;

		put(t, house->places[i].id, LIST_OF(OF_PLACE) | (kiln ? LIST_OF(OF_KILN) : 0));
	}
}

static void put_grades(struct symbols *t, const struct house *house)
{
	for (size_t i = 0; i < house->nschemes; i++)
		for (size_t k = 0; k < house->schemes[i].list.n; k++) {
			struct symbol *symbol = symbols_at(t, house->schemes[i].list.word[k]);

			symbol->lists |= LIST_OF(OF_GRADE);
			symbol->schemes |= symbols_scheme_bit(i);
		}
}

static void put_house(struct symbols *t, const struct house *house)
{
	put_places(t, house);
	put_grades(t, house);
	PUT_ROWS(t, LIST_OF(OF_TYPE), house->types, house->ntypes);
	PUT_ROWS(t, LIST_OF(OF_PERSON), house->people, house->npeople);
	PUT_ROWS(t, LIST_OF(OF_PARTY), house->parties, house->nparties);
	PUT_ROWS(t, LIST_OF(OF_COST), house->costs, house->ncosts);
	PUT_ROWS(t, LIST_OF(OF_METER), house->meters, house->nmeters);
	PUT_ROWS(t, LIST_OF(OF_CLASS), house->classes, house->nclasses);
	put_words(t, LIST_OF(OF_CULL), &house->causes.cull);
	put_words(t, LIST_OF(OF_RETURN), &house->causes.give_back);
	put_words(t, LIST_OF(OF_STAGE), &house->stages);
	put_words(t, LIST_BYPRODUCT, &house->byproducts);
}

void symbols_init(struct symbols *t, struct intern *ids, const struct house *house)
{
	memset(t, 0, sizeof *t);
	t->ids = ids;
	t->house = house;
	for (size_t i = 0; i < sizeof LISTS / sizeof *LISTS; i++)
		if (!house || !house_has(house, LISTS[i].kind))
			t->open |= LISTS[i].list;
	for (int i = 0; i < FORMS_END; i++)
		put(t, vocab_form(i), LIST_OF(OF_FORM));
	if (house)
		put_house(t, house);
}

void symbols_release(struct symbols *t)
{
	free(t->symbol);
	memset(t, 0, sizeof *t);
}

/* ---- other words */

/* A meter's word includes its setting: pin2/cane. */
static bool is_meter(const struct house *house, struct slice word)
{
	size_t slash = slice_find(word, '/');
	const struct house_meter *meter = slash < word.n ? house_meter(house, slice_upto(word, slash)) : NULL;

	return meter && (meter->nsettings == 0 || house_setting(meter, slice_from(word, slash + 1)));
}

/* Takes in all words met since the last time, up to this one. */
static void catch_up(struct symbols *t, uint32_t id)
{
	t->symbol = mem_grow(t->symbol, &t->cap, id + 1u, sizeof *t->symbol);
	for (; t->n <= id; t->n++)
		t->symbol[t->n] = (struct symbol){ .lists = t->house && is_meter(t->house, intern_text(t->ids, (uint32_t)t->n)) ? LIST_OF(OF_METER) : 0 };
}

void symbols_settle(struct symbols *t)
{
	if (t->ids->n > t->n)
		catch_up(t, t->ids->n - 1);
}

uint32_t symbols_id(struct symbols *t, struct slice word)
{
	uint32_t id = intern_id(t->ids, word);

	if (id >= t->n)
		catch_up(t, id);
	return id;
}

uint32_t symbols_id_at(struct symbols *t, size_t slot, struct slice word)
{
	uint32_t id = intern_memo(t->ids, &t->memo[slot], word);

	if (id >= t->n)
		catch_up(t, id);
	return id;
}
