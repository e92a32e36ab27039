#include "book/parse_internal.h"

/* Words of eight bytes are taken apart by shifting. */
#define LOW_BYTE_FIRST (__BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__)


#define BLANKS UINT64_C(0x2020202020202020)

static uint64_t word_at(const char *p)
{
	uint64_t word;

	memcpy(&word, p, 8);
	return word;
}

/* Up to seven bytes and one behind them as a word, and the mask that keeps them. */
static uint64_t word_of(struct slice s, char last, uint64_t *mask)
{
	char bytes[8] = { 0 }, keep[8] = { 0 };

	memcpy(bytes, s.p, s.n);
	bytes[s.n] = last;
	memset(keep, 0xff, s.n + 1);
	*mask = word_at(keep);
	return word_at(bytes);
}

static bool learn_number(struct shape_field *f, const struct field_use *use, const struct item *item)
{
	const struct type_def *type = vocab_type(use->type);
	const struct unit_def *unit;

	f->places = (uint8_t)type->places;
	f->least = type->least;
	f->most = type->most;
	if (use->type == TYPE_COUNT)
		return true;
	if (!type->nunits)
		return false;
	unit = vocab_unit(item->v.unit);
	f->least = unit->least;
	f->most = unit->most;
	if (f->unit != unit->name.p[0])
		memset(f->like, 0, sizeof f->like);
	f->unit = unit->name.p[0];
	return unit->name.n == 1 && unit->times == 1 && unit->over == 1 && !unit->plus && unit->then < 0;
}

static bool learn_field(struct parser *ps, struct shape_field *f, const struct field *field)
{
	const struct field_use *use = field->use;
	const struct item *item = &ps->line.item[field->first];
	uint64_t key, mask;

	if (field->n != 1 || item->label.n || item->v.mark != VALUE_EXACT || use->shape & USE_LABEL_MUST)
		return false;
	if (field->key.n > 7 || use->type == TYPE_TEXT || use->field->nwords)
		return false;
	key = word_of(field->key, '=', &mask);
	if (key != f->key || mask != f->mask)
		*f = (struct shape_field){ .key = key, .mask = mask, .key_n = (uint8_t)(field->key.n + 1) };
	f->number = value_is_number(use->type);
	if (f->number)
		return learn_number(f, use, item);
	f->slash = vocab_type_slash(use->type);
	return true;
}

static bool is_blank(const char *p, const char *stop)
{
	while (p < stop && *p == ' ')
		p++;
	return p == stop;
}

/* The blanks before the event, and the event with those behind it: a book may be in columns. */
static bool learn_word(struct line_shape *shape, const struct line *l)
{
	const char *from = l->date.p + 11 + (l->time.n ? 6 : 0), *stop = l->word.p + l->word.n;
	char bytes[8] = { 0 }, keep[8] = { 0 };
	size_t n = (size_t)(l->subject.p - l->word.p);

	if (l->date.p != l->text.p || from > l->word.p || l->word.p - from > 8 || stop >= l->subject.p || n > sizeof bytes)
		return false;
	if (!is_blank(from, l->word.p) || !is_blank(stop, l->subject.p))
		return false;
	memset(keep, 0xff, (size_t)(l->word.p - from));
	shape->gap = (uint8_t)(l->word.p - from);
	shape->gap_mask = word_at(keep);
	memcpy(bytes, l->word.p, n);
	memset(keep, 0xff, n);
	memset(keep + n, 0, sizeof keep - n);
	shape->word = word_at(bytes);
	shape->word_mask = word_at(keep);
	shape->word_n = (uint8_t)n;
	return true;
}

void parse_alike_learn(struct parser *ps)
{
	struct line *l = &ps->line;
	struct line_shape *shape = &ps->cache[l->event->id].shape;

	shape->event = NULL;
	if (l->remark.n || l->nfields > SHAPE_MOST || l->nfields == 0 || l->nfields != ps->nitems)
		return;
	if ((l->time.n != 0 && l->time.n != 5) || !(l->event->subjects & ~(unsigned)(SUBJECT_CURRENCY | SUBJECT_PIECE)))
		return;
	if (!learn_word(shape, l))
		return;
	for (size_t i = 0; i < l->nfields; i++)
		if (!learn_field(ps, &shape->field[i], &l->field[i]))
			return;
	shape->n = (uint8_t)l->nfields;
	shape->timed = l->time.n != 0;
	shape->slash = (l->event->subjects & SUBJECT_SLASHED) != 0;
	shape->event = l->event;
	shape->clock = 0;
	ps->shape = shape;
}

static inline bool clock_at(struct line_shape *shape, const char *p)
{
	static const char SIX[9] = "\xff\xff\xff\xff\xff\xff\0\0";
	const uint64_t clock = word_at(p) & word_at(SIX);
	unsigned h1 = (unsigned char)p[0] - '0', h2 = (unsigned char)p[1] - '0';
	unsigned m1 = (unsigned char)p[3] - '0', m2 = (unsigned char)p[4] - '0';
	unsigned hours = h1 * 10 + h2;

	if (clock == shape->clock)
		return true;
	if (h1 > 2 || h2 > 9 || hours > 23 || m1 > 5 || m2 > 9 || p[2] != ':' || p[5] != ' ')
		return false;
	shape->clock = clock;
	shape->second = (int32_t)(hours * 3600 + (m1 * 10 + m2) * 60);
	return true;
}

static const int64_t SCALE[] = { 1, 10, 100, 1000, 10000, 100000, 1000000, 10000000, 100000000 };

/* A number written plainly, with the shape's unit; NULL for any other. */
static const char *number_plain(const struct shape_field *f, const char *p, struct value *v)
{
	bool minus = *p == '-';
	unsigned digit;
	int64_t fix;
	int left = 9, places = f->places;

	p += minus;
	digit = (unsigned char)*p - '0';
	if (digit > 9)
		return NULL;
	fix = digit;
	for (p++; (digit = (unsigned char)*p - '0') <= 9; p++) {
		if (!--left)
			return NULL;
		fix = fix * 10 + digit;
	}
	if (*p == '.') {
		const char *start = ++p;

		for (; (digit = (unsigned char)*p - '0') <= 9; p++) {
			if (!places--)
				return NULL;
			fix = fix * 10 + digit;
		}
		if (p == start)
			return NULL;
	}
	fix *= SCALE[places];
	fix = minus ? -fix : fix;
	if (fix < f->least || fix > f->most || (f->unit && *p++ != f->unit))
		return NULL;
	v->fix = v->high = fix;
	return p;
}

/* Eight digits as values, the first in the lowest byte, as a number: pairs, then fours, then all. */
static inline uint32_t number_of_digits(uint64_t digits)
{
	const uint64_t ends = 0x000000ff000000ffu;

	digits = digits * 10 + (digits >> 8);
	return (uint32_t)(((digits & ends) * (100 + (1000000ull << 32)) + ((digits >> 16) & ends) * (1 + (10000ull << 32))) >> 32);
}

/* Keeps how the number in [p, stop) is written, which number_plain() has read. */
static void learn_like(struct shape_number *like, const struct shape_field *f, const char *p, const char *stop)
{
	unsigned last = 0, places = 0;
	bool point = false;

	*like = (struct shape_number){ .n = (uint8_t)(stop - p) };
	for (unsigned i = 0; i < like->n; i++) {
		uint64_t here = 0xffull << (8 * i);
		bool digit = (unsigned char)(p[i] - '0') <= 9;

		like->expect |= (uint64_t)(digit ? '0' : (unsigned char)p[i]) << (8 * i);
		like->mask |= here;
		like->add |= (digit ? 0x76ull : 0x7full) << (8 * i);
		point |= p[i] == '.';
		if (!digit)
			continue;
		like->whole |= point ? 0 : here;
		like->part |= point ? here >> 8 : 0;
		last = point ? i - 1 : i;
		places += point;
	}
	like->lift = (uint8_t)(8 * (7 - last));
	like->scale = SCALE[f->places - places] * (*p == '-' ? -1 : 1);
}

static const char *number_other(struct shape_field *f, const char *p, struct value *v)
{
	const char *stop = number_plain(f, p, v);

	if (stop && stop - p <= 8 && LOW_BYTE_FIRST)
		learn_like(&f->like[f->oldest++ % SHAPE_NUMBERS], f, p, stop);
	return stop;
}

/* The same, at a glance when it is written like one before it. */
static inline const char *number_alike(struct shape_field *f, const char *p, struct value *v)
{
	uint64_t word = word_at(p), bytes;

	for (int i = 0; i < SHAPE_NUMBERS; i++) {
		const struct shape_number *like = &f->like[i];

		bytes = (word ^ like->expect) & like->mask;
		if (!like->n || ((bytes + like->add) | bytes) & 0x8080808080808080u)
			continue;
		bytes = (bytes & like->whole) | (bytes >> 8 & like->part);
		v->fix = v->high = (int64_t)number_of_digits(bytes << like->lift) * like->scale;
		return v->fix < f->least || v->fix > f->most ? NULL : p + like->n;
	}
	return number_other(f, p, v);
}

/* The same day as the last line's, and a blank behind it. */
static inline bool date_alike(const char *date, const char *p)
{
	uint16_t a, b;

	memcpy(&a, date + 8, 2);
	memcpy(&b, p + 8, 2);
	return word_at(date) == word_at(p) && a == b && p[10] == ' ';
}

/* An id or a place, up to where it stops. */
static inline const char *id_alike(const char *p, bool slash)
{
	const char *start = p;

	if (*p == '-')
		return NULL;
	while (TOKEN_CLASS[(unsigned char)*p] & TOKEN_ID)
		p++;
	if (*p == '/' && slash && p > start && TOKEN_CLASS[(unsigned char)p[1]] & TOKEN_ID)
		for (p++; TOKEN_CLASS[(unsigned char)*p] & TOKEN_ID;)
			p++;
	return p == start ? NULL : p;
}

/* Whether the subject at p is that one. */
static inline bool is_subject(const struct shape_subject *kept, const struct line_shape *shape, const char *p)
{
	return ((word_at(p) ^ kept->word[0]) & kept->mask[0]) == 0 && ((word_at(p + 8) ^ kept->word[1]) & kept->mask[1]) == 0
		&& kept->n && kept->slash <= shape->slash;
}

/* Puts an id of up to fifteen bytes and the blank behind it in place of the one kept longest. */
static uint8_t keep_subject(struct parser *ps, const char *p, size_t n)
{
	uint8_t at = (uint8_t)(ps->oldest++ % SHAPE_SUBJECTS);
	struct shape_subject *kept = &ps->subject[at];
	char bytes[16] = { 0 }, mask[16] = { 0 };

	memcpy(bytes, p, n + 1);
	memset(mask, 0xff, n + 1);
	memcpy(kept->word, bytes, sizeof bytes);
	memcpy(kept->mask, mask, sizeof mask);
	kept->n = n;
	kept->slash = memchr(p, '/', n) != NULL;
	return at;
}

/* Finds the subject that comes after the last one this time. */
static const char *subject_other(struct parser *ps, struct line_shape *shape, const char *p)
{
	const char *stop;
	uint8_t at = 0;

	while (at < SHAPE_SUBJECTS && !is_subject(&ps->subject[at], shape, p))
		at++;
	stop = at < SHAPE_SUBJECTS ? p + ps->subject[at].n : id_alike(p, shape->slash);
	if (!stop || *stop != ' ' || stop - p > 15)
		return stop;
	if (at == SHAPE_SUBJECTS)
		at = keep_subject(ps, p, (size_t)(stop - p));
	ps->subject[ps->subject_at].after = at;
	ps->subject_at = at;
	return stop;
}

/* A subject; lines mostly go through some subjects in the same turn again and again. */
static inline const char *subject_alike(struct parser *ps, struct line_shape *shape, const char *p)
{
	uint8_t after = ps->subject[ps->subject_at].after;

	if (!is_subject(&ps->subject[after], shape, p))
		return subject_other(ps, shape, p);
	ps->subject_at = after;
	return p + ps->subject[after].n;
}

static inline bool is_word(const struct shape_word *kept, const char *p)
{
	return (word_at(p) & kept->mask) == kept->word && kept->n;
}

/* Finds the id that comes after the last one this time. */
static const char *word_other(struct shape_field *f, const char *p)
{
	const char *stop;
	uint8_t at = 0;

	while (at < SHAPE_WORDS && !is_word(&f->word[at], p))
		at++;
	stop = at < SHAPE_WORDS ? p + f->word[at].n : id_alike(p, f->slash);
	if (!stop || stop - p > 7)
		return stop;
	if (at == SHAPE_WORDS) {
		at = f->oldest++ % SHAPE_WORDS;
		f->word[at].word = word_of(slice_between(p, stop), *stop, &f->word[at].mask);
		f->word[at].n = (uint8_t)(stop - p);
	}
	f->word[f->word_at].after = at;
	f->word_at = at;
	return stop;
}

/* An id, most often one that an earlier line had here. */
static inline const char *word_alike(struct shape_field *f, const char *p)
{
	uint8_t after = f->word[f->word_at].after;

	if (!is_word(&f->word[after], p))
		return word_other(f, p);
	f->word_at = after;
	return p + f->word[after].n;
}

/* The fields behind the subject; the LF that ends the line, or NULL. */
static inline const char *fields_alike(struct line *l, struct line_shape *shape, const char *p)
{
	for (size_t i = 0; i < shape->n; i++) {
		struct shape_field *f = &shape->field[i];
		struct field *field = &l->field[i];
		struct item *item = &l->item[i];
		const char *value = p + 1 + f->key_n, *stop;

		if (*p != ' ' || (word_at(p + 1) & f->mask) != f->key)
			return NULL;
		stop = f->number ? number_alike(f, value, &item->v) : word_alike(f, value);
		if (!stop || (*stop != ' ' && *stop != '\n'))
			return NULL;
		field->key.p = p + 1;
		field->text.p = item->text.p = value;
		field->text.n = item->text.n = (size_t)(stop - value);
		p = stop;
	}
	return *p == '\n' ? p : NULL;
}

const struct line *parse_alike(struct parser *ps, const char *start, uint64_t number)
{
	struct line_shape *shape = ps->shape;
	struct line *l = &ps->line;
	const char *p = start, *stop;

	if (!shape)
		return NULL;
	if (!date_alike(ps->date, p))
		goto other;
	p += 11;
	if (shape->timed) {
		if (!clock_at(shape, p))
			goto other;
		l->stamp.second = shape->second;
		p += 6;
	}
	if ((word_at(p) ^ BLANKS) & shape->gap_mask)
		goto other;
	p += shape->gap;
	if ((word_at(p) & shape->word_mask) != shape->word)
		goto other;
	stop = subject_alike(ps, shape, p + shape->word_n);
	if (!stop)
		goto other;
	l->subject.p = p + shape->word_n;
	l->subject.n = (size_t)(stop - l->subject.p);
	l->word.p = p;
	while (stop[0] == ' ' && stop[1] == ' ')
		stop++;
	p = fields_alike(l, shape, stop);
	if (!p)
		goto other;
	l->text.p = start;
	l->text.n = (size_t)(p - start);
	l->number = number;
	l->date.p = start;
	l->time.p = start + 11;
	l->remark.p = p;
	return l;
other:
	parse_alike_forget(ps);
	return NULL;
}
