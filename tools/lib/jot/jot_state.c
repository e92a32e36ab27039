#include "jot/jot_state.h"

#include <stdlib.h>

#include "book/line.h"
#include "check/check.h"
#include "check/probes.h"
#include "check/words.h"
#include "stock/stock.h"

enum { ID_MOST = 256 };  /* bytes of an id that tell it from others here */

void jot_state_init(struct jot_state *s, const struct vocab *vocab, const struct house *house, struct check *check, int32_t today)
{
	*s = (struct jot_state){ .vocab = vocab, .house = house, .check = check, .today = today };
	intern_init(&s->ids);
}

void jot_state_release(struct jot_state *s)
{
	intern_release(&s->ids);
	buf_release(&s->lines);
	free(s->id);
}

/* ---- the lines */

/* The text of an id of one kind in `ids`. */
static struct slice key_of(char *key, size_t size, struct slice id, unsigned kind)
{
	int bit = 0;

	while (kind >> bit > 1)
		bit++;
	key[0] = (char)('a' + bit);
	id = slice_upto(id, id.n < size ? id.n : size - 1);
	memcpy(key + 1, id.p, id.n);
	return (struct slice){ key, id.n + 1 };
}

static void note_id(struct jot_state *s, struct slice text, unsigned kind, int32_t day)
{
	char key[ID_MOST];
	uint32_t number = intern_id(&s->ids, key_of(key, sizeof key, text, kind));
	struct jot_id *id;

	if (number > s->nids) {
		s->id = mem_grow(s->id, &s->id_cap, s->nids + 1, sizeof *s->id);
		s->id[s->nids++] = (struct jot_id){ slice_from(intern_text(&s->ids, number), 1), kind, day };
	}
	id = &s->id[number - 1];
	if (day < id->day)
		id->day = day;
}

void jot_state_line(struct jot_state *s, const struct line *l)
{
	unsigned kind;

	check_line(s->check, l);
	if (l->kind != LINE_EVENT)
		return;
	kind = words_start(l);
	if (kind)
		note_id(s, l->subject, kind, l->stamp.day);
	if (line_field(l, FIELD_PARCEL))
		note_id(s, line_word(l, FIELD_PARCEL), SUBJECT_PARCEL, l->stamp.day);
	if (l->stamp.day != s->today)
		return;
	buf_add(&s->lines, l->text);
	buf_char(&s->lines, '\n');
}

void jot_state_end(struct jot_state *s)
{
	check_end(s->check);
	s->stock = check_stock(s->check);
}

/* ---- ids */

unsigned jot_state_kinds(const struct jot_state *s, struct slice id)
{
	char key[ID_MOST];
	unsigned kinds = 0;

	for (unsigned kind = 1; kind <= SUBJECT_PARCEL; kind <<= 1)
		if (intern_find(&s->ids, key_of(key, sizeof key, id, kind)))
			kinds |= kind;
	return kinds;
}

/* Which lots have pieces here (1) or sold (2), by number of the engine; and which places hold some. */
struct presence {
	uint8_t *lot, *place;
	size_t n;
};

static struct presence presence_of(const struct jot_state *s, int form)
{
	size_t n;
	const struct stock_bucket *bucket = stock_buckets(s->stock, &n);
	struct presence p = { mem_zeroed(s->stock->ids.n, 1), mem_zeroed(s->stock->ids.n, 1), s->stock->ids.n };

	for (size_t i = 0; i < n; i++) {
		const struct stock_kind *kind = &bucket[i].kind;

		if (bucket[i].n <= 0 || kind->place == s->stock->culled || (form >= 0 && kind->form != form))
			continue;
		p.lot[kind->lot] |= kind->place == s->stock->sold ? 2 : 1;
		p.place[kind->place] = 1;
	}
	return p;
}

static bool is_there(const struct jot_state *s, const struct presence *p, const struct jot_id *id, bool sold)
{
	uint32_t number = intern_find(&s->stock->ids, id->id);

	if (id->kind & (SUBJECT_LOT | SUBJECT_BAT))
		return number && p->lot[number] & (sold ? 2 : 1);
	return !(id->kind & SUBJECT_CHARGE) || (number && p->place[number]);
}

/* Charges first, and of each kind the latest first. */
static int by_use(const void *a, const void *b)
{
	const struct jot_id *x = *(const struct jot_id *const *)a, *y = *(const struct jot_id *const *)b;

	if (x->kind != y->kind)
		return x->kind == SUBJECT_CHARGE || (y->kind != SUBJECT_CHARGE && x->kind < y->kind) ? -1 : 1;
	if (x->day != y->day)
		return x->day > y->day ? -1 : 1;
	return slice_cmp(y->id, x->id);
}

void jot_state_ids(const struct jot_state *s, unsigned kinds, bool sold, int form, struct jot_choices *out)
{
	struct presence p = presence_of(s, form);
	const struct jot_id **id = mem_array(s->nids, sizeof *id);
	size_t n = 0;

	for (size_t i = 0; i < s->nids; i++)
		if (s->id[i].kind & kinds && is_there(s, &p, &s->id[i], sold))
			id[n++] = &s->id[i];
	if (n)
		qsort(id, n, sizeof *id, by_use);
	for (size_t i = 0; i < n; i++)
		jot_choices_add(out, id[i]->id, vocab_subject(id[i]->kind));
	free(id);
	free(p.lot);
	free(p.place);
}

void jot_state_all(const struct jot_state *s, struct jot_choices *out)
{
	for (size_t i = 0; i < s->nids; i++)
		jot_choices_add(out, s->id[i].id, vocab_subject(s->id[i].kind));
}

/* ---- pieces */

static bool is_or_any(const struct jot_state *s, struct slice want, uint32_t word)
{
	return !want.n || slice_eq(stock_text(s->stock, word), want);
}

static bool is_picked(const struct jot_state *s, const struct jot_pick *pick, const struct stock_bucket *b)
{
	const struct stock_kind *kind = &b->kind;

	return b->n > 0 && kind->place != s->stock->sold && kind->place != s->stock->culled
		&& slice_eq(stock_text(s->stock, kind->lot), pick->lot) && (pick->form < 0 || kind->form == pick->form)
		&& (!pick->ungraded || !kind->grade) && is_or_any(s, pick->type, kind->type) && is_or_any(s, pick->grade, kind->grade);
}

struct slice jot_state_place(const struct jot_state *s, const struct jot_pick *pick)
{
	size_t n;
	const struct stock_bucket *bucket = stock_buckets(s->stock, &n);
	uint32_t place = 0;

	for (size_t i = 0; i < n; i++) {
		if (!is_picked(s, pick, &bucket[i]))
			continue;
		if (place && place != bucket[i].kind.place)
			return SLICE("");
		place = bucket[i].kind.place;
	}
	return stock_text(s->stock, place);
}

/* ---- probes */

static bool is_number(struct slice s)
{
	for (size_t i = 0; i < s.n; i++)
		if (s.p[i] < '0' || s.p[i] > '9')
			return false;
	return s.n > 0;
}

static int by_label(const void *a, const void *b)
{
	struct slice x = ((const struct jot_choice *)a)->word, y = ((const struct jot_choice *)b)->word;

	if (is_number(x) && is_number(y) && x.n != y.n)
		return x.n < y.n ? -1 : 1;
	return slice_cmp(x, y);
}

void jot_state_probes(const struct jot_state *s, struct slice subject, int32_t day, struct jot_choices *out)
{
	const struct probes *probes = check_probes(s->check);
	uint32_t number = intern_find(&s->stock->ids, subject);

	for (size_t i = 0; number && i < probes->nseries; i++) {
		const struct probe_series *series = &probes->series[i];

		if (series->subject == number && series->in_day <= day && series->out_day > day)
			jot_choices_add(out, intern_text(&s->stock->ids, series->label), intern_text(&s->stock->ids, series->lot));
	}
	if (out->n)
		qsort(out->at, out->n, sizeof *out->at, by_label);
}

/* ---- the next id */

static const struct jot_id *latest(const struct jot_state *s, unsigned kinds)
{
	const struct jot_id *last = NULL;

	for (size_t i = 0; i < s->nids; i++) {
		const struct jot_id *id = &s->id[i];

		if (id->kind & kinds && (!last || id->day > last->day || (id->day == last->day && slice_cmp(id->id, last->id) > 0)))
			last = id;
	}
	return last;
}

bool jot_state_next(const struct jot_state *s, unsigned kinds, struct buf *out)
{
	const struct jot_id *last = latest(s, kinds);
	size_t start = out->n, at;

	if (!last)
		return false;
	buf_add(out, last->id);
	for (at = out->n; at > start && out->p[at - 1] == '9'; at--)
		out->p[at - 1] = '0';
	if (at == start || out->p[at - 1] < '0' || out->p[at - 1] > '8') {
		out->n = start;
		return false;
	}
	out->p[at - 1]++;
	return true;
}
