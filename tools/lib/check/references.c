#include "check/references.h"

#include <stdlib.h>

#include "base/nearest.h"
#include "base/pattern.h"
#include "check/occurrence.h"
#include "house/house_open.h"

struct reference_start {
	uint32_t next;
	unsigned kind;
	struct occurrence mark; /* the earliest */
};

struct reference_use {
	uint32_t next;
	uint16_t kinds, flags;
	uint64_t lines;
	struct occurrence earliest; /* by date */
};

/* How many comparisons are spent in all on looking for what may have been meant. */
enum { EFFORT_MOST = 20 * 1000 * 1000, COMPARING = 20 };

void references_init(struct references *t, struct symbols *symbols, struct diags *diags)
{
	memset(t, 0, sizeof *t);
	t->symbols = symbols;
	t->diags = diags;
	t->scratch = pattern_scratch_new();
}

void references_release(struct references *t)
{
	free(t->start);
	free(t->use);
	pattern_scratch_free(t->scratch);
	memset(t, 0, sizeof *t);
}

static struct slice text_of(const struct references *t, uint32_t name)
{
	return intern_text(t->symbols->ids, name);
}

/* ---- while reading */

static void tell_again(struct references *t, uint32_t name, unsigned kind, const struct occurrence *later)
{
	if (kind == SUBJECT_TREE)
		DIAG(t->diags, RULE_TREE_AGAIN, occurrence_place(later), text_of(t, name));
}

void references_start(struct references *t, uint32_t name, unsigned kind, const struct line *l, struct slice part)
{
	struct symbol *id = &t->symbols->symbol[name];
	struct occurrence mark = occurrence_of(l, part);

	for (uint32_t i = id->start; i; i = t->start[i - 1].next) {
		struct reference_start *s = &t->start[i - 1];
		bool sooner;

		if (s->kind != kind)
			continue;
		sooner = occurrence_cmp(&mark, &s->mark) < 0;
		tell_again(t, name, kind, sooner ? &s->mark : &mark);
		if (sooner)
			s->mark = mark;
		return;
	}
	t->start = mem_grow(t->start, &t->starts_cap, t->nstarts + 1, sizeof *t->start);
	t->start[t->nstarts] = (struct reference_start){ id->start, kind, mark };
	id->start = (uint32_t)++t->nstarts;
}

static void use_again(struct reference_use *u, const struct line *l, struct slice part)
{
	struct occurrence mark;

	u->lines++;
	if (l->stamp.day > u->earliest.day || (l->stamp.day == u->earliest.day && l->stamp.second > u->earliest.second))
		return;
	mark = occurrence_of(l, part);
	if (occurrence_cmp(&mark, &u->earliest) < 0)
		u->earliest = mark;
}

void references_name(struct references *t, uint32_t name, unsigned kinds, unsigned flags, const struct line *l, struct slice part)
{
	struct symbol *id = &t->symbols->symbol[name];
	struct occurrence mark;

	for (uint32_t i = id->use; i; i = t->use[i - 1].next)
		if (t->use[i - 1].kinds == kinds && t->use[i - 1].flags == flags) {
			use_again(&t->use[i - 1], l, part);
			return;
		}
	mark = occurrence_of(l, part);
	t->use = mem_grow(t->use, &t->uses_cap, t->nuses + 1, sizeof *t->use);
	t->use[t->nuses] = (struct reference_use){ id->use, (uint16_t)kinds, (uint16_t)flags, 1, mark };
	id->use = (uint32_t)++t->nuses;
}

/* ---- patterns of the house */

static void judge_pattern(struct references *t, uint32_t name, int kind, struct place place)
{
	const struct house *house = t->symbols->house;
	const struct pattern *pattern = house ? house_pattern(house, kind) : NULL;

	enum pattern_result result = pattern ? pattern_match(pattern, t->scratch, text_of(t, name)) : PATTERN_YES;
	struct buf shown = BUF_INIT;

	if (result == PATTERN_YES)
		return;
	t->symbols->symbol[name].pattern_told = t->diags->level[RULE_ID_PATTERN] != LEVEL_NONE;
	buf_add(&shown, house_pattern_source(house, kind));
	buf_str(&shown, result == PATTERN_LIMIT ? " (the search takes too many steps; make the pattern simpler)" : "");
	DIAG(t->diags, RULE_ID_PATTERN, place, text_of(t, name), buf_slice(&shown));
	buf_release(&shown);
}

void references_paper(struct references *t, uint32_t name, int kind, const struct line *l, struct slice part)
{
	struct symbol *id = &t->symbols->symbol[name];
	bool *judged = kind == HOUSE_IDS_DOC ? &id->doc_judged : &id->licence_judged;

	if (*judged)
		return;
	*judged = true;
	judge_pattern(t, name, kind, line_place(l, part));
}

static void judge_starts(struct references *t, uint32_t name)
{
	static const struct {
		unsigned kind;
		int ids;
	} KINDS[] = { { SUBJECT_TREE, HOUSE_IDS_TREE }, { SUBJECT_LOT, HOUSE_IDS_LOT }, { SUBJECT_CHARGE, HOUSE_IDS_CHARGE },
		{ SUBJECT_BAT, HOUSE_IDS_BAT }, { SUBJECT_ORDER, HOUSE_IDS_ORDER }, { SUBJECT_PARCEL, HOUSE_IDS_PARCEL } };

	for (uint32_t i = t->symbols->symbol[name].start; i; i = t->start[i - 1].next)
		for (size_t k = 0; k < sizeof KINDS / sizeof *KINDS; k++)
			if (KINDS[k].kind == t->start[i - 1].kind)
				judge_pattern(t, name, KINDS[k].ids, occurrence_place(&t->start[i - 1].mark));
}

/* ---- words for messages */

static void add_kinds(struct buf *out, unsigned kinds)
{
	for (unsigned left = kinds; left; left &= left - 1) {
		if (out->n)
			buf_str(out, (left & (left - 1)) ? ", " : " or ");
		buf_add(out, vocab_subject(left & (0 - left)));
	}
}

/* How things of the kinds come in; a tally comes last, once. */
static void add_how(struct buf *out, unsigned kinds)
{
	static const struct {
		unsigned kinds;
		const char *how;
	} WAYS[] = { { SUBJECT_TREE, "fell" }, { SUBJECT_LOT, "cleave" }, { SUBJECT_LOT, "buy" }, { SUBJECT_LOT, "pool" }, { SUBJECT_CHARGE, "load" },
		{ SUBJECT_BAT, "make" }, { SUBJECT_ORDER, "order" }, { SUBJECT_PARCEL, "a fell with parcel=" },
		{ SUBJECT_LOT | SUBJECT_BAT, "a tally with found=" } };
	size_t left = 0, said = 0;

	for (size_t i = 0; i < sizeof WAYS / sizeof *WAYS; i++)
		left += (WAYS[i].kinds & kinds) != 0;
	buf_str(out, "add the line that brings it in: ");
	for (size_t i = 0; i < sizeof WAYS / sizeof *WAYS; i++) {
		if (!(WAYS[i].kinds & kinds))
			continue;
		left--;
		buf_str(out, !said++ ? "" : left ? ", " : " or ");
		buf_str(out, WAYS[i].how);
	}
}

static const struct reference_start *start_as(const struct references *t, uint32_t name, unsigned kinds)
{
	for (uint32_t i = t->symbols->symbol[name].start; i; i = t->start[i - 1].next)
		if (t->start[i - 1].kind & kinds)
			return &t->start[i - 1];
	return NULL;
}

bool references_is(const struct references *t, uint32_t name, unsigned kinds)
{
	return start_as(t, name, kinds) != NULL;
}

/* An id that may have been meant. */
struct candidate {
	struct slice text;
	size_t distance;
	int32_t day;
};

/* Nearer by letters; of those alike, what came in last before the day; then by the alphabet. */
static bool is_nearer(const struct candidate *a, const struct candidate *b, int32_t day)
{
	bool a_known = a->day <= day, b_known = b->day <= day;

	if (a->distance != b->distance)
		return a->distance < b->distance;
	if (a_known != b_known)
		return a_known;
	if (a->day != b->day)
		return (a->day > b->day) == a_known;
	return slice_cmp(a->text, b->text) < 0;
}

/* The id of one of these kinds that may have been meant. */
static struct slice near_id(struct references *t, struct slice word, unsigned kinds, int32_t day)
{
	struct candidate best = { SLICE(""), SIZE_MAX, 0 };

	for (uint32_t i = 1; i < t->symbols->n && t->effort < EFFORT_MOST; i++) {
		const struct reference_start *start = start_as(t, i, kinds);
		struct candidate other = { text_of(t, i), 0, start ? start->mark.day : 0 };

		t->effort++;
		if (!start || !nearest_lengths(word, other.text))
			continue;
		t->effort += COMPARING;
		if (nearest_is_near(word, other.text, &other.distance) && is_nearer(&other, &best, day))
			best = other;
	}
	return best.text;
}

static void add_near(struct buf *out, struct slice near)
{
	buf_str(out, "perhaps ");
	buf_add(out, near);
	buf_str(out, "? Otherwise ");
}

/* ---- at the end */

static void tell_unknown_place(struct references *t, uint32_t name, const struct reference_use *u)
{
	struct buf mend = BUF_INIT;
	struct slice near = near_id(t, text_of(t, name), SUBJECT_CHARGE, u->earliest.day);
	struct slice place = house_near(t->symbols->house, HOUSE_PLACE, text_of(t, name));

	if (place.n || near.n)
		add_near(&mend, place.n ? place : near);
	buf_str(&mend, "add it to places: in the house file");
	DIAG(t->diags, RULE_PLACE_UNKNOWN, occurrence_place(&u->earliest), text_of(t, name), buf_slice(&mend));
	buf_release(&mend);
}

/* Of two ways in which an id is named, the earlier by date; at one moment their position does not decide. */
static bool is_sooner(const struct reference_use *a, const struct reference_use *b)
{
	if (a->earliest.day != b->earliest.day)
		return a->earliest.day < b->earliest.day;
	if (a->earliest.second != b->earliest.second)
		return a->earliest.second < b->earliest.second;
	return a->kinds != b->kinds ? a->kinds < b->kinds : a->flags < b->flags;
}

/* Of all ways in which an unknown id is named, the earliest. */
static const struct reference_use *first_use(const struct references *t, uint32_t name, uint64_t *lines)
{
	const struct reference_use *first = NULL;

	*lines = 0;
	for (uint32_t i = t->symbols->symbol[name].use; i; i = t->use[i - 1].next) {
		const struct reference_use *u = &t->use[i - 1];

		if (u->flags & REFERENCE_INTO)
			continue;
		*lines += u->lines;
		if (!first || is_sooner(u, first))
			first = u;
	}
	return first;
}

/* Whether an id that is not written as the works writes its ids is one slip away from this one. */
static bool is_told_by_pattern(const struct references *t, struct slice word, unsigned kinds)
{
	for (uint32_t i = 1; i < t->symbols->n; i++)
		if (t->symbols->symbol[i].pattern_told && start_as(t, i, kinds) && nearest_distance(word, text_of(t, i), 1) == 1)
			return true;
	return false;
}

/* All that an unknown id may be a slip for: no line about them is certain to be missing. */
static void mark_meant(struct references *t, struct slice word, struct slice near, unsigned kinds)
{
	size_t least, distance;

	nearest_is_near(word, near, &least);
	symbols_at(t->symbols, near)->meant = true;
	for (uint32_t i = 1; i < t->symbols->n && t->effort < EFFORT_MOST; i++) {
		t->effort++;
		if (!start_as(t, i, kinds) || !nearest_lengths(word, text_of(t, i)))
			continue;
		t->effort += COMPARING;
		if (nearest_is_near(word, text_of(t, i), &distance) && distance <= least)
			t->symbols->symbol[i].meant = true;
	}
}

/* An id that no line brings in; false where it is only the name of a place. */
static bool tell_unknown(struct references *t, uint32_t name)
{
	uint64_t lines;
	const struct reference_use *u = first_use(t, name, &lines);
	struct buf kinds = BUF_INIT, mend = BUF_INIT;
	struct slice near;

	if (!u)
		return false;
	if (u->flags & REFERENCE_AS_PLACE) {
		tell_unknown_place(t, name, u);
		return true;
	}
	if (t->patterns_told && is_told_by_pattern(t, text_of(t, name), u->kinds))
		return true;
	near = near_id(t, text_of(t, name), u->kinds, u->earliest.day);
	if (near.n) {
		buf_printf(&mend, "perhaps %.*s?", (int)near.n, near.p);
		mark_meant(t, text_of(t, name), near, u->kinds);
	} else
		add_how(&mend, u->kinds);
	if (lines > 1)
		buf_printf(&mend, "%s named %llu times", near.n ? " It is" : "; it is", (unsigned long long)lines);
	add_kinds(&kinds, u->kinds);
	DIAG(t->diags, RULE_ID_UNKNOWN, occurrence_place(&u->earliest), text_of(t, name), buf_slice(&kinds), buf_slice(&mend));
	buf_release(&kinds);
	buf_release(&mend);
	return true;
}

/* The earliest way in which it is named as what it is not, or NULL. */
static const struct reference_use *other_use(const struct references *t, uint32_t name)
{
	const struct reference_use *other = NULL;

	for (uint32_t i = t->symbols->symbol[name].use; i; i = t->use[i - 1].next) {
		const struct reference_use *u = &t->use[i - 1];

		if (!start_as(t, name, u->kinds) && (!other || is_sooner(u, other)))
			other = u;
	}
	return other;
}

static bool tell_other(struct references *t, uint32_t name)
{
	const struct reference_use *u = other_use(t, name);
	struct buf kinds = BUF_INIT;

	if (!u)
		return false;
	if (u->flags & (REFERENCE_AS_PLACE | REFERENCE_INTO))
		buf_str(&kinds, "place");
	add_kinds(&kinds, u->kinds);
	DIAG(t->diags, RULE_ID_OTHER, occurrence_place(&u->earliest), text_of(t, name), vocab_subject(t->start[t->symbols->symbol[name].start - 1].kind), buf_slice(&kinds));
	buf_release(&kinds);
	return true;
}

static void tell_early(struct references *t, uint32_t name, const struct reference_use *u, const struct reference_start *start)
{
	struct buf day = BUF_INIT;

	day_write(&day, start->mark.day);
	DIAG(t->diags, RULE_ID_TOO_EARLY, occurrence_place(&u->earliest), text_of(t, name), buf_slice(&day));
	buf_release(&day);
}

/* The earliest day on which it is named though it is not there yet; NULL when there is none. */
static const struct reference_use *early_use(const struct references *t, uint32_t name, const struct reference_start **start)
{
	const struct reference_use *early = NULL;

	for (uint32_t i = t->symbols->symbol[name].use; i; i = t->use[i - 1].next) {
		const struct reference_use *u = &t->use[i - 1];
		const struct reference_start *s = start_as(t, name, u->kinds);

		if (!s || t->symbols->symbol[name].half_read || u->flags & REFERENCE_ANY_TIME || s->kind == SUBJECT_PARCEL || u->earliest.day >= s->mark.day)
			continue;
		if (!early || is_sooner(u, early)) {
			early = u;
			*start = s;
		}
	}
	return early;
}

static struct slice house_kind(uint32_t lists)
{
	if (lists & LIST_OF(OF_KILN))
		return SLICE("kiln of the house file");
	if (lists & LIST_OF(OF_PLACE))
		return SLICE("place of the house file");
	if (lists & LIST_OF(OF_METER))
		return SLICE("meter of the house file");
	if (lists & LIST_BYPRODUCT)
		return SLICE("by-product of the house file");
	return SLICE("");
}

/* Of one moment, what comes first among the kinds does so here. */
static bool starts_sooner(const struct reference_start *a, const struct reference_start *b)
{
	if (a->mark.day != b->mark.day)
		return a->mark.day < b->mark.day;
	return a->mark.second != b->mark.second ? a->mark.second < b->mark.second : a->kind < b->kind;
}

/* Whether one id was brought in as two kinds of thing; the later is reported. */
static bool tell_kinds(struct references *t, uint32_t name)
{
	const struct reference_start *first = &t->start[t->symbols->symbol[name].start - 1], *later = NULL;
	struct slice in_house = house_kind(t->symbols->symbol[name].lists);

	if (in_house.n) {
		DIAG(t->diags, RULE_ID_KIND, occurrence_place(&first->mark), text_of(t, name), vocab_subject(first->kind), in_house);
		return true;
	}
	for (uint32_t i = t->symbols->symbol[name].start; i; i = t->start[i - 1].next) {
		const struct reference_start *s = &t->start[i - 1];

		if (starts_sooner(s, first))
			first = s;
		if (!later || starts_sooner(later, s))
			later = s;
	}
	if (first == later)
		return false;
	DIAG(t->diags, RULE_ID_KIND, occurrence_place(&later->mark), text_of(t, name), vocab_subject(later->kind), vocab_subject(first->kind));
	return true;
}

/* Judges an id that some line brings in; whether something was wrong. */
static bool judge_known(struct references *t, uint32_t name)
{
	const struct reference_start *start = NULL;
	const struct reference_use *early;
	bool wrong = tell_kinds(t, name) || tell_other(t, name);

	early = wrong ? NULL : early_use(t, name, &start);
	if (early)
		tell_early(t, name, early, start);
	if (!wrong)
		judge_starts(t, name);
	return wrong || early;
}

void references_end(struct references *t)
{
	for (uint32_t i = 1; i < t->symbols->n; i++) {
		struct symbol *id = &t->symbols->symbol[i];

		if (!id->doubtful && id->start)
			id->doubtful = judge_known(t, i);
		t->patterns_told |= id->pattern_told;
	}
	for (uint32_t i = 1; i < t->symbols->n; i++) {
		struct symbol *id = &t->symbols->symbol[i];
		bool doubtful;

		if (id->doubtful || id->start || !id->use || id->half_read)
			continue;
		doubtful = tell_unknown(t, i);
		t->symbols->symbol[i].doubtful = doubtful; /* the symbols may have moved */
	}
}
