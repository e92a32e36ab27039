#include "house/house_internal.h"

static void enter(struct house *house, unsigned kind, struct slice id, size_t row, const struct yaml *at)
{
	struct house_private *private = house->private;

	private->entry = mem_grow(private->entry, &private->entries_cap, private->nentries + 1, sizeof *private->entry);
	private->entry[private->nentries++] = (struct house_entry){ id, (uint16_t)kind, (int)row, at };
}

#define ENTER_ROWS(house, kind, rows, n) do { \
	(house)->private->first[kind] = (house)->private->nentries; \
	for (size_t enter_i = 0; enter_i < (n); enter_i++) \
		enter((house), (kind), (rows)[enter_i].id, enter_i, (rows)[enter_i].at); \
} while (0)

static void enter_words(struct house *house, unsigned kind, const struct house_words *list)
{
	house->private->first[kind] = house->private->nentries;
	for (size_t i = 0; i < list->n; i++)
		enter(house, kind, list->word[i], i, list->node->kind == YAML_LIST ? &list->node->item[i] : list->node);
}

static void enter_grades(struct house *house)
{
	house->private->first[HOUSE_GRADE] = house->private->nentries;
	for (size_t s = 0; s < house->nschemes; s++)
		for (size_t i = 0; i < house->schemes[s].list.n; i++)
			enter(house, HOUSE_GRADE, house->schemes[s].list.word[i], i, house->schemes[s].node);
}

/* Pieces cannot be at the place of a bay, but nothing else may have its name. */
static void enter_bays(struct house *house)
{
	house->private->first[HOUSE_KINDS] = house->private->nentries;
	for (size_t i = 0; i < house->nplaces; i++) {
		struct slice id = house->places[i].id;
		size_t stroke = slice_find(id, '/');

		if (stroke < id.n)
			enter(house, HOUSE_KINDS, slice_upto(id, stroke), i, house->places[i].at);
	}
	house->private->first[HOUSE_KINDS + 1] = house->private->nentries;
}

static uint64_t hash_of(unsigned kind, struct slice id)
{
	return slice_hash(id) + kind * 0x9e3779b97f4a7c15u;
}

static const struct house_entry *find(const struct house_private *private, unsigned kind, struct slice id, uint64_t hash)
{
	struct hash_probe p = hash_probe_of(&private->index, hash);

	while (hash_probe_next(&private->index, &p)) {
		const struct house_entry *e = &private->entry[p.row];

		if (e->kind == kind && slice_eq(e->id, id))
			return e;
	}
	return NULL;
}

static void make_index(struct house_private *private)
{
	hash_index_expect(&private->index, private->nentries);
	for (uint32_t i = 0; i < private->nentries; i++) {
		uint64_t hash = hash_of(private->entry[i].kind, private->entry[i].id);

		if (!find(private, private->entry[i].kind, private->entry[i].id, hash))
			hash_index_add(&private->index, hash, i);
	}
}

void house_enter_all(struct house *house)
{
	ENTER_ROWS(house, HOUSE_PLACE, house->places, house->nplaces);
	ENTER_ROWS(house, HOUSE_TYPE, house->types, house->ntypes);
	enter_grades(house);
	ENTER_ROWS(house, HOUSE_CLAIM, house->claims, house->nclaims);
	ENTER_ROWS(house, HOUSE_PERSON, house->people, house->npeople);
	ENTER_ROWS(house, HOUSE_PARTY, house->parties, house->nparties);
	enter_words(house, HOUSE_CULL, &house->causes.cull);
	enter_words(house, HOUSE_RETURN, &house->causes.give_back);
	ENTER_ROWS(house, HOUSE_COST, house->costs, house->ncosts);
	enter_words(house, HOUSE_BYPRODUCT, &house->byproducts);
	enter_words(house, HOUSE_STAGE, &house->stages);
	ENTER_ROWS(house, HOUSE_METER, house->meters, house->nmeters);
	ENTER_ROWS(house, HOUSE_WOOD, house->woods, house->nwoods);
	ENTER_ROWS(house, HOUSE_SPECIES, house->species, house->nspecies);
	ENTER_ROWS(house, HOUSE_FIELD, house->fields, house->nfields);
	ENTER_ROWS(house, HOUSE_EVENT, house->events, house->nevents);
	ENTER_ROWS(house, HOUSE_CLASS, house->classes, house->nclasses);
	enter_bays(house);
	make_index(house->private);
}

const struct house_entry *house_entry_of(const struct house *house, unsigned kind, struct slice id)
{
	return find(house->private, kind, id, hash_of(kind, id));
}
