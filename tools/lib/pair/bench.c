#include "pair/bench.h"

#include <math.h>
#include <stdlib.h>

#include "air/place_lag.h"
#include "base/nearest.h"
#include "book/value.h"
#include "house/house.h"
#include "moist/readings.h"

const char *const pair_part_words[] = { "blade", "handle", NULL };

static const int FORM_OF[PAIR_PARTS] = { FORM_BLADE, FORM_HANDLE };

void bench_init(struct bench *b, const struct bench_ask *ask, struct stock *stock)
{
	*b = (struct bench){ .ask = ask, .stock = stock };
	piece_notes_init(&b->notes, &stock->ids);
}

void bench_release(struct bench *b)
{
	piece_notes_release(&b->notes);
	read_days_release(&b->days);
	pair_rooms_release(&b->rooms);
	free(b->is_handle);
	for (int part = 0; part < PAIR_PARTS; part++)
		free(b->side[part].row);
}

void bench_take(struct bench *b, const struct line *l)
{
	piece_notes_take(&b->notes, l);
}

struct slice bench_name(const struct bench *b, const struct bench_row *row)
{
	return stock_text(b->stock, row->piece ? row->piece : row->kind.lot);
}

/* ---- what is asked for */

/* Whether a place is `word` or one of its bays. */
static bool is_at(struct slice place, struct slice word)
{
	return slice_starts(place, word) && (place.n == word.n || place.p[word.n] == '/');
}

static bool is_kind(const struct bench *b, struct slice place, int kind)
{
	const struct house_place *known = b->ask->house ? house_place(b->ask->house, place) : NULL;

	return known && known->kind == kind;
}

static bool has_shop(const struct bench *b)
{
	for (size_t i = 0; b->ask->house && i < b->ask->house->nplaces; i++)
		if (b->ask->house->places[i].kind == HOUSE_PLACE_KIND_SHOP)
			return true;
	return false;
}

static bool is_asked(const struct bench *b, enum pair_part part, const struct stock_kind *k)
{
	struct slice place = stock_text(b->stock, k->place), lot = stock_text(b->stock, k->lot);

	for (size_t i = 0; i < b->ask->nwhere[part]; i++)
		if (is_at(place, b->ask->where[part][i]) || slice_eq(lot, b->ask->where[part][i]))
			return true;
	return !b->ask->nwhere[part] && (!has_shop(b) || is_kind(b, place, HOUSE_PLACE_KIND_SHOP));
}

/* In the stock and not in a kiln, and of a form that is paired; a blade only when it was graded. */
static bool is_here(const struct bench *b, enum pair_part part, const struct stock_bucket *bucket)
{
	const struct stock_kind *k = &bucket->kind;

	if (bucket->n <= 0 || !k->lot || k->form != FORM_OF[part] || k->place == b->stock->sold || k->place == b->stock->culled)
		return false;
	return part == PAIR_HANDLE || k->grade;
}

enum word_kind { WORD_NONE, WORD_BATCH, WORD_PIECE };

/* A place or a lot is a batch. */
static enum word_kind word_kind(const struct bench *b, struct slice word)
{
	size_t n, slash = slice_find(word, '/');
	const struct stock_bucket *bucket = stock_buckets(b->stock, &n);
	uint32_t lot = slash < word.n ? intern_find(&b->stock->ids, slice_upto(word, slash)) : 0;
	bool of_lot = false;

	if (b->ask->house && house_place(b->ask->house, word))
		return WORD_BATCH;
	for (size_t i = 0; i < n; i++) {
		if (!bucket[i].kind.lot)
			continue;
		if (is_at(stock_text(b->stock, bucket[i].kind.place), word) || slice_eq(stock_text(b->stock, bucket[i].kind.lot), word))
			return WORD_BATCH;
		of_lot |= lot && bucket[i].kind.lot == lot;
	}
	return of_lot || piece_note_of(&b->notes, intern_find(&b->stock->ids, word)) ? WORD_PIECE : WORD_NONE;
}

static void say_no_word(const struct bench *b, enum pair_part part, struct slice word, struct buf *why)
{
	struct nearest near = nearest_to(word);
	size_t n;
	const struct stock_bucket *bucket = stock_buckets(b->stock, &n);
	struct slice best;

	for (size_t i = 0; b->ask->house && i < b->ask->house->nplaces; i++)
		nearest_try(&near, slice_upto(b->ask->house->places[i].id, slice_find(b->ask->house->places[i].id, '/')));
	for (size_t i = 0; b->ask->house && i < b->ask->house->nplaces; i++)
		nearest_try(&near, b->ask->house->places[i].id);
	best = near.best;
	for (size_t i = 0; i < n; i++) {
		struct slice lot = stock_text(b->stock, bucket[i].kind.lot);
		size_t far;

		if (lot.n && nearest_is_near(word, lot, &far) && (far < near.distance || (far == near.distance && slice_cmp(lot, best) < 0))) {
			near.distance = far;
			best = lot;
		}
	}
	buf_printf(why, "--%ss: '%.*s' is not a place, a lot or a piece in the stock of that day", pair_part_words[part], (int)word.n, word.p);
	if (best.n)
		buf_printf(why, "; perhaps %.*s?", (int)best.n, best.p);
}

/* ---- rows */

static struct bench_row *add_row(struct bench_side *side, const struct stock_kind *kind, uint32_t piece, int64_t n)
{
	side->row = mem_grow(side->row, &side->cap, side->n + 1, sizeof *side->row);
	side->row[side->n] = (struct bench_row){ .kind = *kind, .piece = piece, .n = n, .mc_pct = NAN };
	return &side->row[side->n++];
}

/* Whether a numbered piece can be one of a bucket. A blade needs the grade; a class that was never said fits any. */
static bool note_fits(const struct piece_note *note, const struct stock_kind *k)
{
	return !note->bat && note->lot == k->lot && (k->form == FORM_HANDLE || note->grade == k->grade) && (!note->class || !k->class || note->class == k->class);
}

static size_t notes_that_fit(const struct bench *b, const struct stock_kind *k)
{
	size_t n, fit = 0;
	const struct piece_note *note = piece_notes_of_lot(&b->notes, k->lot, &n);

	for (size_t i = 0; i < n; i++)
		fit += note_fits(&note[i], k);
	return fit;
}

/* How many pieces of the stock could have the numbers of those in a bucket: the bucket itself, and what is like it elsewhere. */
static int64_t like_it(const struct bench *b, const struct stock_kind *k)
{
	size_t n;
	const struct stock_bucket *bucket = stock_buckets(b->stock, &n);
	int64_t sum = 0;

	for (size_t i = 0; i < n; i++) {
		const struct stock_kind *o = &bucket[i].kind;

		if (bucket[i].n > 0 && o->lot == k->lot && o->form == k->form && (o->grade == k->grade || k->form == FORM_HANDLE) &&
			(!o->class || !k->class || o->class == k->class))
			sum += bucket[i].n;
	}
	return sum;
}

static struct bench_row *row_of_piece(struct bench_side *side, uint32_t piece)
{
	for (size_t i = 0; piece && i < side->n; i++)
		if (side->row[i].piece == piece)
			return &side->row[i];
	return NULL;
}

/* Those of a row of which a piece was named already. */
static int64_t named_of(const struct bench_side *side, const struct stock_kind *k)
{
	int64_t named = 0;

	for (size_t i = 0; i < side->n; i++)
		named += side->row[i].piece && side->row[i].why == BENCH_GOOD && !memcmp(&side->row[i].kind, k, sizeof *k);
	return named;
}

static void add_bucket(struct bench *b, struct bench_side *side, const struct stock_bucket *bucket)
{
	const struct stock_kind *k = &bucket->kind;
	size_t n, fit = notes_that_fit(b, k);
	const struct piece_note *note = piece_notes_of_lot(&b->notes, k->lot, &n);
	int64_t rest = bucket->n - named_of(side, k);

	if (fit && (int64_t)fit == bucket->n && like_it(b, k) == bucket->n) {
		for (size_t i = 0; i < n; i++)
			if (note_fits(&note[i], k) && !row_of_piece(side, note[i].piece))
				add_row(side, k, note[i].piece, 1)->mass = note[i].mass;
	} else if (rest > 0) {
		side->numbered += fit > 0;
		add_row(side, k, 0, rest);
	}
}

/* Below 0 where `a` goes before `b`: what is in a shop goes first, then by the place. */
static int place_order(const struct bench *b, uint32_t a, uint32_t c)
{
	struct slice x = stock_text(b->stock, a), y = stock_text(b->stock, c);
	bool shop_x = is_kind(b, x, HOUSE_PLACE_KIND_SHOP), shop_y = is_kind(b, y, HOUSE_PLACE_KIND_SHOP);

	return shop_x != shop_y ? shop_y - shop_x : slice_cmp(x, y);
}

/*
 * The bucket that a named piece is in: who names a piece has it at hand, so one in the first place there is. Sets `several`
 * where that place has pieces of other types or grades that it could be.
 */
static const struct stock_bucket *bucket_of_piece(const struct bench *b, enum pair_part part, uint32_t lot, const struct piece_note *note, bool *several)
{
	size_t n;
	const struct stock_bucket *bucket = stock_buckets(b->stock, &n), *best = NULL;

	*several = false;
	for (size_t i = 0; i < n; i++) {
		const struct stock_kind *k = &bucket[i].kind;
		int order;

		if (!is_here(b, part, &bucket[i]) || k->lot != lot || (note && !note->bat && note->grade && !note_fits(note, k)))
			continue;
		order = best ? place_order(b, k->place, best->kind.place) : -1;
		*several = order < 0 ? false : *several || !order;
		if (order < 0)
			best = &bucket[i];
	}
	return best;
}

static void add_named(struct bench *b, enum pair_part part, struct slice word)
{
	struct bench_side *side = &b->side[part];
	uint32_t piece = intern_id(&b->stock->ids, word), lot = intern_id(&b->stock->ids, slice_upto(word, slice_find(word, '/')));
	const struct piece_note *note = piece_note_of(&b->notes, piece);
	const struct stock_bucket *bucket;
	struct bench_row *row;
	bool several;

	if (row_of_piece(side, piece))
		return;
	bucket = bucket_of_piece(b, part, lot, note, &several);
	row = add_row(side, bucket ? &bucket->kind : &(struct stock_kind){ .lot = lot, .form = FORM_OF[part] }, piece, 1);
	row->mass = note ? note->mass : 0;
	if (note && note->bat)
		row->why = BENCH_IN_BAT;
	else if (!bucket || named_of(side, &row->kind) > bucket->n)
		row->why = BENCH_NOT_THERE;
	else if (several)
		row->why = BENCH_TYPE_UNKNOWN;
}

static void count_elsewhere(struct bench *b, struct bench_side *side, const struct stock_bucket *bucket, int64_t *at)
{
	uint32_t place = bucket->kind.place;

	if (is_kind(b, stock_text(b->stock, place), HOUSE_PLACE_KIND_KILN))
		return;
	side->elsewhere += bucket->n;
	at[place] += bucket->n;
	if (!side->most_at || at[place] > at[side->most_at] ||
		(at[place] == at[side->most_at] && slice_cmp(stock_text(b->stock, place), stock_text(b->stock, side->most_at)) < 0))
		side->most_at = place;
}

/* Pieces that the book has go first, so that a wrong number takes no place of theirs. */
static bool add_words(struct bench *b, enum pair_part part, struct buf *why)
{
	for (int noted = 1; noted >= 0; noted--)
		for (size_t i = 0; i < b->ask->nwhere[part]; i++) {
			struct slice word = b->ask->where[part][i];
			enum word_kind kind = word_kind(b, word);

			if (kind == WORD_NONE) {
				say_no_word(b, part, word, why);
				return false;
			}
			if (kind == WORD_PIECE && noted == (piece_note_of(&b->notes, intern_find(&b->stock->ids, word)) != NULL))
				add_named(b, part, word);
		}
	return true;
}

static void add_buckets(struct bench *b, enum pair_part part)
{
	size_t n;
	const struct stock_bucket *bucket = stock_buckets(b->stock, &n);
	int64_t *at = mem_zeroed(b->stock->ids.n, sizeof *at);

	for (size_t i = 0; i < n; i++) {
		if (!is_here(b, part, &bucket[i]))
			continue;
		if (is_asked(b, part, &bucket[i].kind))
			add_bucket(b, &b->side[part], &bucket[i]);
		else if (part == PAIR_HANDLE || wanted_item_of(b->wanted, &bucket[i].kind) < b->wanted->n)
			count_elsewhere(b, &b->side[part], &bucket[i], at);
	}
	free(at);
}

/* ---- in order */

struct sorted {
	struct bench_row row;
	struct slice lot, piece, type, grade, class, place;
	int rank;
};

static int by_text(const void *a, const void *b)
{
	const struct sorted *x = a, *y = b;
	int order = slice_cmp(x->lot, y->lot);

	order = order ? order : slice_cmp(x->piece, y->piece);
	order = order ? order : slice_cmp(x->type, y->type);
	order = order ? order : (x->rank > y->rank) - (x->rank < y->rank);
	order = order ? order : slice_cmp(x->grade, y->grade);
	order = order ? order : slice_cmp(x->class, y->class);
	return order ? order : slice_cmp(x->place, y->place);
}

static void sort_side(const struct bench *b, struct bench_side *side)
{
	const struct stock *s = b->stock;
	struct sorted *all = mem_array(side->n, sizeof *all);

	for (size_t i = 0; i < side->n; i++) {
		const struct stock_kind *k = &side->row[i].kind;

		all[i] = (struct sorted){ side->row[i], stock_text(s, k->lot), stock_text(s, side->row[i].piece), stock_text(s, k->type), stock_text(s, k->grade),
			stock_text(s, k->class), stock_text(s, k->place), house_grade_order(b->ask->house, b->ask->today, stock_text(s, k->grade)) };
	}
	if (side->n)
		qsort(all, side->n, sizeof *all, by_text);
	for (size_t i = 0; i < side->n; i++) {
		side->row[i] = all[i].row;
		side->row[i].fetch = !is_kind(b, all[i].place, HOUSE_PLACE_KIND_SHOP);
	}
	free(all);
}

/* Blades that are not wanted are not on the bench. */
static void keep_wanted(struct bench *b)
{
	struct bench_side *side = &b->side[PAIR_BLADE];
	size_t kept = 0;

	for (size_t i = 0; i < side->n; i++) {
		struct bench_row *row = &side->row[i];

		row->item = wanted_item_of(b->wanted, &row->kind);
		if (row->item < b->wanted->n || row->why != BENCH_GOOD)
			side->row[kept++] = *row;
	}
	side->n = kept;
}

/* ---- moisture */

static const struct pair_room *room_for(struct bench *b, const struct bench_row *row, const struct read_day *read)
{
	bool handles = row->kind.form == FORM_HANDLE;
	const struct pair_room *room = pair_room_of(&b->rooms, row->kind.place, handles);

	return room ? room : pair_room_of(&b->rooms, read->place, handles);
}

/* Whether a reading is too old to say anything of today. */
static bool is_old(const struct bench *b, const struct read_day *read, const struct pair_room *room)
{
	int64_t days = (int64_t)b->ask->today - read->day;

	if (b->ask->read_within >= 0)
		return days > b->ask->read_within;
	return (double)days > place_recent_h(room ? room->lag.lag_h : AIR_LAG_USUAL_H) / 24;
}

static bool is_good(struct bench *b, const struct bench_row *row, const struct read_day *read)
{
	return read && !read->off && read->n && !is_old(b, read, room_for(b, row, read));
}

/* Its own reading if that is good, else its lot's; where neither is, the later one, to say why. */
static const struct read_day *reading_for(struct bench *b, const struct bench_row *row, bool *own)
{
	const struct read_day *mine = row->piece ? read_days_last(&b->days, row->piece, 0) : NULL;
	const struct read_day *lots = read_days_last(&b->days, row->kind.lot, row->kind.place);

	*own = is_good(b, row, mine) || (mine && !is_good(b, row, lots) && (!lots || mine->day >= lots->day));
	return *own ? mine : lots;
}

/* As the book has moistures, so that no digits beyond decide. */
static double in_steps(double mc_pct)
{
	return (double)llround(mc_pct * VALUE_STEPS) / VALUE_STEPS;
}

static void find_moisture(struct bench *b, struct bench_row *row)
{
	const struct read_day *read = reading_for(b, row, &row->own);
	const struct pair_room *room = read ? room_for(b, row, read) : NULL;

	row->read = read;
	if (!read) {
		row->why = BENCH_UNREAD;
	} else if (is_old(b, read, room)) {
		row->why = BENCH_OLD;
	} else if (read->off || !read->n) {
		row->why = BENCH_OFF_SCALE;
	} else {
		row->room = room;
		row->mc_pct = in_steps(room ? pair_room_now(room, b->rooms.now_s, read->utc_s, read_day_mean(read)) : read_day_mean(read));
	}
}

static void mark_handles(struct bench *b)
{
	size_t n;
	const struct stock_bucket *bucket = stock_buckets(b->stock, &n);
	struct stock_walk walk = { .stock = b->stock };
	const struct stock_op *op;

	b->is_handle = mem_zeroed(b->stock->ids.n, sizeof *b->is_handle);
	while ((op = stock_walk_next(&walk)))
		if (op->handle && op->handle != STOCK_ANY)
			b->is_handle[op->handle] = true;
	stock_walk_release(&walk);
	for (size_t i = 0; i < n; i++)
		if (bucket[i].kind.form == FORM_HANDLE)
			b->is_handle[bucket[i].kind.lot] = true;
}

bool bench_find(struct bench *b, struct readings *readings, const struct air_book *air, const struct wanted *wanted, int64_t now_s, struct buf *why)
{
	struct reading_facts facts = readings_resolve(readings);

	b->wanted = wanted;
	piece_notes_sort(&b->notes);
	read_days_find(&b->days, readings, &facts, &b->stock->ids);
	for (int part = 0; part < PAIR_PARTS; part++) {
		if (!add_words(b, (enum pair_part)part, why))
			return false;
		add_buckets(b, (enum pair_part)part);
		sort_side(b, &b->side[part]);
	}
	keep_wanted(b);
	mark_handles(b);
	b->rooms = (struct pair_rooms){ .house = b->ask->house, .air = air, .days = &b->days, .ids = &b->stock->ids, .is_handle = b->is_handle, .now_s = now_s };
	for (int part = 0; part < PAIR_PARTS; part++)
		for (size_t i = 0; i < b->side[part].n; i++)
			if (b->side[part].row[i].why == BENCH_GOOD)
				find_moisture(b, &b->side[part].row[i]);
	return true;
}
