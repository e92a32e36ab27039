#include "house/house.h"

#include <sys/stat.h>

#include "base/mem.h"
#include "base/pattern.h"
#include "base/yaml.h"
#include "house/house_internal.h"

enum { FOLDERS_MOST = 100 };

/* ---- memory */

void *house_take(struct house *house, size_t n, size_t size)
{
	struct house_own *own = house->own;

	own->block = mem_grow(own->block, &own->blocks_cap, own->nblocks + 1, sizeof *own->block);
	return own->block[own->nblocks++] = mem_zeroed(n, size);
}

void house_free(struct house *house)
{
	struct house_own *own;

	if (!house)
		return;
	own = house->own;
	for (size_t i = 0; i < own->nblocks; i++)
		free(own->block[i]);
	for (int i = 0; i < HOUSE_IDS_END; i++)
		pattern_free(own->compiled[i]);
	yaml_doc_free(own->doc);
	free(own->block);
	free(own->entry);
	free(own->slot);
	free(own);
	free(house);
}

/* ---- reading */

struct house *house_read(struct slice text, house_tell *tell, void *arg)
{
	struct house *house = mem_zeroed(1, sizeof *house);
	struct house_loader l = { .house = house, .tell = tell, .arg = arg };
	struct yaml_error error;

	house->own = mem_zeroed(1, sizeof *house->own);
	house->own->doc = yaml_read(text, &error);
	if (!house->own->doc)
		house_fail(&l, error.line, error.col, slice_of(error.text));
	house_fill(&l, house->own->doc ? yaml_root(house->own->doc) : NULL);
	house_enter_all(house);
	house_check(&l);
	buf_release(&l.text);
	buf_release(&l.mend);
	return house;
}

/* ---- the index of ids */

static void enter(struct house *house, unsigned kind, struct slice id, size_t row, const struct yaml *at)
{
	struct house_own *own = house->own;

	own->entry = mem_grow(own->entry, &own->entries_cap, own->nentries + 1, sizeof *own->entry);
	own->entry[own->nentries++] = (struct house_entry){ id, (uint16_t)kind, (int)row, at };
}

#define ENTER_ROWS(house, kind, rows, n) do { \
	(house)->own->first[kind] = (house)->own->nentries; \
	for (size_t enter_i = 0; enter_i < (n); enter_i++) \
		enter((house), (kind), (rows)[enter_i].id, enter_i, (rows)[enter_i].at); \
} while (0)

static void enter_words(struct house *house, unsigned kind, const struct house_words *list)
{
	house->own->first[kind] = house->own->nentries;
	for (size_t i = 0; i < list->n; i++)
		enter(house, kind, list->word[i], i, list->node->kind == YAML_LIST ? &list->node->item[i] : list->node);
}

static void enter_grades(struct house *house)
{
	house->own->first[HOUSE_GRADE] = house->own->nentries;
	for (size_t s = 0; s < house->nschemes; s++)
		for (size_t i = 0; i < house->schemes[s].list.n; i++)
			enter(house, HOUSE_GRADE, house->schemes[s].list.word[i], i, house->schemes[s].node);
}

/* The place of a bay is no place that pieces can be at, but nothing else may be called so. */
static void enter_bays(struct house *house)
{
	house->own->first[HOUSE_KINDS] = house->own->nentries;
	for (size_t i = 0; i < house->nplaces; i++) {
		struct slice id = house->places[i].id;
		size_t stroke = slice_find(id, '/');

		if (stroke < id.n)
			enter(house, HOUSE_KINDS, slice_upto(id, stroke), i, house->places[i].at);
	}
	house->own->first[HOUSE_KINDS + 1] = house->own->nentries;
}

static uint64_t hash_of(unsigned kind, struct slice id)
{
	return slice_hash(id) + kind * 0x9e3779b97f4a7c15u;
}

/* The slot that holds the entry, or the empty one where it would go. */
static size_t slot_of(const struct house_own *own, unsigned kind, struct slice id)
{
	size_t at = hash_of(kind, id) & own->mask;

	while (own->slot[at]) {
		const struct house_entry *e = &own->entry[own->slot[at] - 1];

		if (e->kind == kind && slice_eq(e->id, id))
			break;
		at = (at + 1) & own->mask;
	}
	return at;
}

static void make_slots(struct house_own *own)
{
	size_t n = 64;

	while (n < 2 * own->nentries)
		n *= 2;
	own->slot = mem_zeroed(n, sizeof *own->slot);
	own->mask = n - 1;
	for (size_t i = 0; i < own->nentries; i++) {
		size_t at = slot_of(own, own->entry[i].kind, own->entry[i].id);

		if (!own->slot[at])
			own->slot[at] = (uint32_t)i + 1;
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
	enter_bays(house);
	make_slots(house->own);
}

const struct house_entry *house_entry_of(const struct house *house, unsigned kind, struct slice id)
{
	const struct house_own *own = house->own;
	size_t at = slot_of(own, kind, id);

	return own->slot[at] ? &own->entry[own->slot[at] - 1] : NULL;
}

/* ---- looking up */

int house_index(const struct house *house, enum house_kind kind, struct slice id)
{
	const struct house_entry *e = house_entry_of(house, kind, id);

	return e ? e->row : -1;
}

bool house_has(const struct house *house, enum house_kind kind)
{
	return house->own->first[kind] < house->own->first[kind + 1];
}

struct slice house_near(const struct house *house, enum house_kind kind, struct slice id)
{
	const struct house_own *own = house->own;
	struct slice best = SLICE("");
	size_t least = id.n < 4 ? 1 : 2;

	for (size_t i = own->first[kind]; i < own->first[kind + 1]; i++) {
		size_t far = slice_distance(id, own->entry[i].id, least);

		if (far && far <= least && far < own->entry[i].id.n) {
			best = own->entry[i].id;
			least = far - 1;
		}
	}
	return best;
}

#define FOUND(house, kind, rows, id) \
	(house_index(house, kind, id) < 0 ? NULL : &(house)->rows[house_index(house, kind, id)])

const struct house_place *house_place(const struct house *house, struct slice id)
{
	return FOUND(house, HOUSE_PLACE, places, id);
}

const struct house_type *house_type(const struct house *house, struct slice id)
{
	return FOUND(house, HOUSE_TYPE, types, id);
}

const struct house_meter *house_meter(const struct house *house, struct slice id)
{
	return FOUND(house, HOUSE_METER, meters, id);
}

const struct house_cost *house_cost(const struct house *house, struct slice id)
{
	return FOUND(house, HOUSE_COST, costs, id);
}

const struct house_wood *house_wood(const struct house *house, struct slice id)
{
	return FOUND(house, HOUSE_WOOD, woods, id);
}

static struct slice name_of(const struct house_name *row)
{
	return row ? row->name : SLICE("");
}

struct slice house_person(const struct house *house, struct slice id)
{
	return name_of(FOUND(house, HOUSE_PERSON, people, id));
}

struct slice house_party(const struct house *house, struct slice id)
{
	return name_of(FOUND(house, HOUSE_PARTY, parties, id));
}

static int rank_in(const struct house_words *list, struct slice word)
{
	for (size_t i = 0; i < list->n; i++)
		if (slice_eq(list->word[i], word))
			return (int)i;
	return -1;
}

bool house_fits(const struct house *house, struct slice handle, struct slice blade)
{
	const struct house_type *h = house_type(house, handle), *b = house_type(house, blade);

	if (!h || !b || h->form != HOUSE_TYPE_FORM_HANDLE || b->form != HOUSE_TYPE_FORM_BLADE)
		return false;
	return h->fits.n == 0 || rank_in(&h->fits, blade) >= 0;
}

const struct house_scheme *house_scheme_on(const struct house *house, int32_t day)
{
	const struct house_scheme *found = NULL;

	for (size_t i = 0; i < house->nschemes && house->schemes[i].from <= day; i++)
		found = &house->schemes[i];
	return found;
}

int house_grade_rank(const struct house *house, int32_t day, struct slice grade)
{
	const struct house_scheme *scheme = house_scheme_on(house, day);

	return scheme ? rank_in(&scheme->list, grade) : -1;
}

int house_claim_rank(const struct house *house, struct slice supplier, struct slice grade)
{
	const struct house_claim *claim = FOUND(house, HOUSE_CLAIM, claims, supplier);

	return claim ? rank_in(&claim->list, grade) : -1;
}

const struct house_setting *house_setting(const struct house_meter *meter, struct slice label)
{
	for (size_t i = 0; i < meter->nsettings; i++)
		if (slice_eq(meter->settings[i].id, label))
			return &meter->settings[i];
	return NULL;
}

const struct house_calibration *house_calibration(const struct house_meter *meter, struct slice label, int32_t day)
{
	const struct house_calibration *found = NULL;

	for (size_t i = 0; i < meter->nown; i++) {
		const struct house_calibration *c = &meter->own[i];

		if (slice_eq(c->setting, label) && c->from <= day && (!found || c->from >= found->from))
			found = c;
	}
	return found;
}

const struct house_wood *house_wood_of_form(const struct house *house, struct slice form)
{
	for (size_t i = 0; i < house->nwoods; i++)
		if (rank_in(&house->woods[i].forms, form) >= 0)
			return &house->woods[i];
	return NULL;
}

/* HOUSE_CONSTANT_BY_OWN is the smaller number. */
static bool goes_before(const struct house_constant *a, const struct house_constant *b)
{
	return a->by != b->by ? a->by < b->by : a->date > b->date;
}

const struct house_constant *house_constant(const struct house_wood *wood, int of)
{
	const struct house_constant *found = NULL;

	for (size_t i = 0; i < wood->nconstants; i++) {
		const struct house_constant *c = &wood->constants[i];

		if (c->of == of && (!found || goes_before(c, found)))
			found = c;
	}
	return found;
}

struct slice house_species(const struct house *house, struct slice form)
{
	struct slice name = name_of(FOUND(house, HOUSE_SPECIES, species, form));

	if (!name.n && !slice_eq(form, SLICE("handle")))
		name = name_of(FOUND(house, HOUSE_SPECIES, species, SLICE("cleft")));
	return name;
}

/* ---- patterns of ids */

static void compile_one(struct house_loader *l, const struct house_pattern *p, struct pattern **compiled)
{
	struct pattern_error error;
	struct slice from;

	if (*compiled || !p->source.n)
		return;
	*compiled = pattern_compile(p->source, PATTERN_WHOLE, &error);
	if (*compiled)
		return;
	from = slice_from(p->source, error.at < p->source.n ? error.at : p->source.n);
	if (from.n)
		WRONG(l, PROBLEM_PATTERN, p->node, "the pattern has an error at '$1': $2", "correct it; see pcre2pattern(3)", from, slice_of(error.text));
	else
		WRONG(l, PROBLEM_PATTERN, p->node, "the pattern has an error at its end: $1", "correct it; see pcre2pattern(3)", slice_of(error.text));
}

void house_compile(struct house *house, house_tell *tell, void *arg)
{
	struct house_loader l = { .house = house, .tell = tell, .arg = arg };

	for (size_t i = 0; i < house->nids; i++)
		compile_one(&l, &house->ids[i], &house->own->compiled[house_ids_kind(house->ids[i].id)]);
	buf_release(&l.text);
	buf_release(&l.mend);
}

const struct pattern *house_pattern(const struct house *house, int kind)
{
	return house->own->compiled[kind];
}

struct slice house_pattern_source(const struct house *house, int kind)
{
	for (size_t i = 0; i < house->nids; i++)
		if (house_ids_kind(house->ids[i].id) == kind)
			return house->ids[i].source;
	return SLICE("");
}

/* ---- finding the file */

static bool is_file(const char *path)
{
	struct stat st;

	return stat(path, &st) == 0 && !S_ISDIR(st.st_mode);
}

static bool is_same_folder(const char *a, const char *b)
{
	struct stat x, y;

	return stat(a, &x) != 0 || stat(b, &y) != 0 || (x.st_dev == y.st_dev && x.st_ino == y.st_ino);
}

/* Goes up by ../ until that leads nowhere: at the root, `..` is the root itself. */
static char *find_above(void)
{
	struct buf up = BUF_INIT, path = BUF_INIT, next = BUF_INIT;
	char *found = NULL;

	for (int i = 0; !found && i < FOLDERS_MOST; i++) {
		path.n = next.n = 0;
		buf_printf(&path, "%shouse.yaml", buf_cstr(&up));
		if (is_file(buf_cstr(&path)))
			found = mem_copy(path.p, path.n);
		buf_printf(&next, "%s../", buf_cstr(&up));
		if (is_same_folder(up.n ? buf_cstr(&up) : ".", buf_cstr(&next)))
			break;
		buf_str(&up, "../");
	}
	buf_release(&up);
	buf_release(&path);
	buf_release(&next);
	return found;
}

char *house_find(const char *option)
{
	const char *named = option ? option : getenv("WITHY_HOUSE");

	if (named && (option || *named))
		return mem_copy(named, strlen(named));
	return find_above();
}

void house_beside(struct buf *path, const char *house_path, struct slice file)
{
	const char *last = strrchr(house_path, '/');

	if (last && !slice_starts(file, SLICE("/")))
		buf_add(path, (struct slice){ house_path, (size_t)(last - house_path) + 1 });
	buf_add(path, file);
}
