#include "base/marks.h"

#include <stdlib.h>

#if defined __x86_64__
#include <tmmintrin.h>
#elif defined __aarch64__
#include <arm_neon.h>
#endif

#include "book/parse_internal.h"

/*
 * A shape is where a line has its marks (marks.h) and what its other bytes may be. The marks say which bytes are of ids, so
 * two lines of one shape have the same words in the same places, and differ in digits, in ids and in words alone.
 */

/* Words of eight bytes are taken apart by shifting. */
#define LOW_BYTE_FIRST (__BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__)

enum { SLOT_BITS = 11, SHAPES_MOST = 1024, STEP = 16, LONGEST = 64 * MARKS_WORDS /* bytes of a line, and more */ };

#define INLINE static inline __attribute__((always_inline))

/* What a byte may be, for some in turn: xor `expect` it is at most `limit`. */
struct limits {
	uint8_t expect[STEP], limit[STEP];
};

/* A number of up to eight bytes before its unit, and what the last digit is worth in fix; below 0 for a minus. */
struct number {
	uint8_t at;               /* of its text in the line */
	uint8_t lift;             /* bits that bring the last digit to the last byte */
	uint16_t item;
	union {
		struct {
			uint64_t whole, part; /* the digits before the point, and those after it moved up one byte */
			int64_t scale;
		} digits;
		struct {          /* the same as factors: */
			int8_t byte[8];   /* what a byte is worth in its pair, */
			int16_t pair[4];  /* a pair in its four bytes, */
			int64_t four[2];  /* and four bytes in fix */
		} worth;
	} by;
	int64_t least;
	uint64_t range;           /* the most is so much more */
};

/* How another item is read whose value is more than its text. */
enum other_kind {
	OTHER_NUMBER,             /* in full; or a date */
	OTHER_WORD,               /* one of a field's own words */
	OTHER_LABELS              /* the labels of several items, which must differ: `n` from `item` on */
};

struct other {
	uint8_t kind, at, n;      /* at: of its text in the line; n: bytes */
	uint16_t item;
	const struct field_use *use;
	uint64_t word, mask;      /* of OTHER_WORD: the last that was here, where it has up to eight bytes */
};

/* A value that was read in full, by its text. Such come again: masses in pounds and ounces, days of orders. */
struct full_value {
	uint64_t text[2];
	size_t n;                 /* bytes */
	const struct field_use *use;
	struct value v;
};

enum { FULL_BITS = 7, FULL_MOST = 16 /* bytes of its text */ };

/* A shape is in one piece with its limits, numbers, other items, fields and items, for few bytes of it are looked at in each line. */
struct shape {
	struct shape *next;       /* of the same slot */
	struct shape *after;      /* of the line that came after the last one of this shape */
	struct marks_line marks;
	bool odd;                 /* lines of it are not read here */
	uint8_t date, time, time_n; /* where; time_n: bytes of HH:MM or HH:MM:SS, or 0 */
	uint16_t nnumbers, nothers;
	uint64_t time_mask;       /* of as many bytes */
	const struct number *number;
	struct other *other;
	struct line line;
	struct limits limits[];
};

/* A shape while it is made: what the bytes of its line may be, and how its items are read. */
struct making {
	uint8_t expect[LONGEST], limit[LONGEST];
	struct number number[LONGEST];
	struct other other[LONGEST];
	uint16_t nnumbers, nothers;
};

struct parse_alike {
	struct shape *slot[1 << SLOT_BITS];
	uint32_t seen[1 << SLOT_BITS]; /* of the last line that was of no shape */
	size_t nshapes;
	struct shape *last;       /* of the last line; `none` before the first */
	struct shape *none;
	uint64_t clock;           /* the last HH:MM or HH:MM:SS, and the second of the day that it is */
	int32_t second;
	struct full_value full[1 << FULL_BITS]; /* by a hash of its text */
	const char *missed;       /* a line that was of no shape, or NULL, */
	struct marks_line marks;  /* and its marks */
	char text[LONGEST + PARSE_PADDING]; /* of the line that was given out */
	struct making making;
};

/*
 * How the processor does what it does for every line: whether bytes are within limits, copying them; a number out of its digits.
 */
typedef bool fits_fn(const struct limits *limits, const char *p, size_t n, char *text);
typedef int64_t number_fn(const struct number *number, const char *p);

INLINE uint64_t word_at(const char *p)
{
	uint64_t word;

	memcpy(&word, p, 8);
	return word;
}

INLINE uint64_t hash_of(const struct marks_line *m)
{
	return (m->bit[0] + (m->bit[1] ^ m->bit[2] << 7 ^ m->bit[3] << 3) * UINT64_C(0xc2b2ae3d27d4eb4f)) * UINT64_C(0x9e3779b97f4a7c15);
}

INLINE size_t slot_of(uint64_t hash)
{
	return hash >> (64 - SLOT_BITS);
}

/* ---- reading */

INLINE bool fits_each(const struct limits *limits, const char *p, size_t n, char *text)
{
	unsigned wrong = 0;

	for (size_t i = 0; i < n; i++) {
		const struct limits *l = &limits[i / STEP];

		text[i] = p[i];
		wrong |= ((unsigned char)p[i] ^ l->expect[i % STEP]) > l->limit[i % STEP];
	}
	return !wrong;
}

/* Eight digits as values, the first in the lowest byte, as a number: pairs, then fours, then all. */
INLINE uint32_t number_of_digits(uint64_t digits)
{
	const uint64_t ends = 0x000000ff000000ffu;

	digits = digits * 10 + (digits >> 8);
	return (uint32_t)(((digits & ends) * (100 + (1000000ull << 32)) + ((digits >> 16) & ends) * (1 + (10000ull << 32))) >> 32);
}

INLINE int64_t number_at(const struct number *number, const char *p)
{
	const uint64_t digits = word_at(p + number->at) & UINT64_C(0x0f0f0f0f0f0f0f0f);

	return (int64_t)number_of_digits(((digits & number->by.digits.whole) | (digits >> 8 & number->by.digits.part)) << number->lift)
		* number->by.digits.scale;
}

#if defined __x86_64__

/* What of 16 bytes is beyond its limits. */
INLINE __m128i beyond_16(const struct limits *l, const char *p, char *text)
{
	const __m128i bytes = _mm_loadu_si128((const __m128i *)(const void *)p);
	const __m128i expect = _mm_loadu_si128((const __m128i *)(const void *)l->expect);
	const __m128i limit = _mm_loadu_si128((const __m128i *)(const void *)l->limit);

	_mm_storeu_si128((__m128i *)(void *)text, bytes);
	return _mm_subs_epu8(_mm_xor_si128(bytes, expect), limit);
}

INLINE bool fits_16(const struct limits *limits, const char *p, size_t n, char *text)
{
	__m128i wrong = _mm_or_si128(beyond_16(limits, p, text), beyond_16(limits + 1, p + 16, text + 16));

	for (size_t i = 32; i < n; i += 32) {
		const struct limits *l = &limits[i / STEP];

		wrong = _mm_or_si128(wrong, _mm_or_si128(beyond_16(l, p + i, text + i), beyond_16(l + 1, p + i + 16, text + i + 16)));
	}
	return _mm_movemask_epi8(_mm_cmpeq_epi8(wrong, _mm_setzero_si128())) == 0xffff;
}

/*
 * No vectors of 32 bytes: where the code around them has others, each change from one to the other waits for a hundred
 * cycles or more.
 */
#define BMI2 __attribute__((target("ssse3,bmi,bmi2")))

/* The digits of two bytes, of four, and of all eight, each times what it is worth. */
BMI2 INLINE int64_t number_by_worth(const struct number *number, const char *p)
{
	const __m128i digits = _mm_and_si128(_mm_loadl_epi64((const __m128i *)(const void *)(p + number->at)), _mm_set1_epi8(15));
	const __m128i pairs = _mm_maddubs_epi16(digits, _mm_loadl_epi64((const __m128i *)(const void *)number->by.worth.byte));
	const __m128i fours = _mm_madd_epi16(pairs, _mm_loadl_epi64((const __m128i *)(const void *)number->by.worth.pair));
	const uint64_t both = (uint64_t)_mm_cvtsi128_si64(fours);

	return (int64_t)(both & 0xffffffff) * number->by.worth.four[0] + (int64_t)(both >> 32) * number->by.worth.four[1];
}

#elif defined __aarch64__

INLINE bool fits_16(const struct limits *limits, const char *p, size_t n, char *text)
{
	uint8x16_t wrong = vdupq_n_u8(0);

	for (size_t i = 0; i < n; i += 16) {
		const struct limits *l = &limits[i / STEP];
		const uint8x16_t bytes = vld1q_u8((const uint8_t *)p + i);

		vst1q_u8((uint8_t *)text + i, bytes);
		wrong = vorrq_u8(wrong, vqsubq_u8(veorq_u8(bytes, vld1q_u8(l->expect)), vld1q_u8(l->limit)));
	}
	return vmaxvq_u8(wrong) == 0;
}

#else

#define fits_16 fits_each

#endif

static bool scan_in_full(const struct other *o, const char *p, struct value *v)
{
	enum value_fault fault;
	const char *stop = p + o->at + o->n;

	return value_scan(o->use->type, o->use->shape, p + o->at, stop, v, &fault) == stop && fault == VALUE_OK;
}

static bool in_full(struct parse_alike *a, const struct other *o, const char *p, struct value *v)
{
	uint64_t text[2] = { 0, 0 };
	struct full_value *known;

	if (o->n > FULL_MOST)
		return scan_in_full(o, p, v);
	memcpy(text, p + o->at, o->n);
	known = &a->full[(text[0] ^ text[1] << 7 ^ text[1] >> 9) * UINT64_C(0x9e3779b97f4a7c15) >> (64 - FULL_BITS)];
	if (known->n == o->n && known->use == o->use && known->text[0] == text[0] && known->text[1] == text[1]) {
		*v = known->v;
		return true;
	}
	if (!scan_in_full(o, p, v))
		return false;
	*known = (struct full_value){ { text[0], text[1] }, o->n, o->use, *v };
	return true;
}

static bool is_allowed(struct other *o, const char *p)
{
	const struct slice word = { p + o->at, o->n };
	const struct field_def *field = o->use->field;

	for (int i = 0; i < field->nwords; i++)
		if (slice_eq(field->words[i], word)) {
			o->mask = o->n > 8 ? 0 : UINT64_MAX >> (64 - 8 * o->n);
			o->word = word_at(word.p) & o->mask;
			return true;
		}
	return false;
}

/* Whether the labels of the line in `text` differ. */
static bool labels_differ(const struct item *item, size_t n)
{
	for (size_t i = 1; i < n; i++)
		for (size_t k = 0; k < i; k++)
			if (item[i].label.n && slice_eq(item[i].label, item[k].label))
				return false;
	return true;
}

static bool read_other(struct parse_alike *a, struct shape *s, struct other *o, const char *p)
{
	switch (o->kind) {
	case OTHER_WORD:
		return is_allowed(o, p);
	case OTHER_LABELS:
		return labels_differ(s->line.item + o->item, o->n);
	default:
		return in_full(a, o, p, &s->line.item[o->item].v);
	}
}

/* The values of the items of the line at p; false when one is wrong. */
INLINE bool read_values(struct parse_alike *a, struct shape *s, const char *p, number_fn number_of)
{
	const struct number *number = s->number, *last = number + s->nnumbers;
	struct item *item = s->line.item;

	for (; number < last; number++) {
		const int64_t fix = number_of(number, p);

		if ((uint64_t)fix - (uint64_t)number->least > number->range)
			return false;
		item[number->item].v.fix = item[number->item].v.high = fix;
	}
	for (struct other *o = s->other, *end = o + s->nothers; o < end; o++)
		if (!(o->mask && (word_at(p + o->at) & o->mask) == o->word) && !read_other(a, s, o, p))
			return false;
	return true;
}

static bool read_date(struct parser *ps, const char *p)
{
	if (date_read((struct slice){ p, sizeof ps->date }, &ps->day) != DATE_OK) {
		memset(ps->date, 0, sizeof ps->date);
		return false;
	}
	memcpy(ps->date, p, sizeof ps->date);
	return true;
}

/* Of HH:MM or HH:MM:SS, of which the digits are some; false for none of a clock. */
static bool read_clock(struct parse_alike *a, uint64_t clock)
{
	const uint64_t digits = clock & UINT64_C(0x0f0f000f0f000f0f), pairs = digits * 10 + (digits >> 8);
	const unsigned hours = pairs & 0xff, minutes = pairs >> 24 & 0xff, seconds = pairs >> 48 & 0xff;

	if (hours > 23 || minutes > 59 || seconds > 59)
		return false;
	a->clock = clock;
	a->second = (int32_t)(hours * 3600 + minutes * 60 + seconds);
	return true;
}

/* The date and the time of the line at p; false for one that no calendar or clock has. */
INLINE bool read_stamp(struct parser *ps, struct parse_alike *a, struct shape *s, const char *p)
{
	uint64_t clock;

	if (!bytes_eq(p + s->date, ps->date, sizeof ps->date) && !read_date(ps, p + s->date))
		return false;
	s->line.stamp.day = ps->day;
	if (!s->time_n)
		return true;
	clock = word_at(p + s->time) & s->time_mask;
	if (clock != a->clock && !read_clock(a, clock))
		return false;
	s->line.stamp.second = a->second;
	return true;
}

/* Whether the marks and all other bytes of the line at p are as the shape has them; copies the line. */
INLINE bool is_of(const struct shape *s, const struct marks_line *m, fits_fn fits, const char *p, char *text)
{
	const uint64_t *a = m->bit, *b = s->marks.bit;

	return !((a[0] ^ b[0]) | (a[1] ^ b[1]) | (a[2] ^ b[2]) | (a[3] ^ b[3])) && fits(s->limits, p, m->n, text);
}

INLINE const struct line *read_alike(struct parser *ps, const char *p, const char *end, uint64_t number, uint32_t file, fits_fn fits,
	number_fn number_of)
{
	struct parse_alike *a = ps->alike;
	struct marks_line m;
	struct shape *s;

	a->missed = NULL;
	if (p >= end || !marks_have(ps->marks, p, end) || !marks_line(ps->marks, p, &m))
		return NULL;
	ps->length = m.n;
	s = a->last->after;
	if (!is_of(s, &m, fits, p, a->text))
		for (s = a->slot[slot_of(hash_of(&m))]; s && !is_of(s, &m, fits, p, a->text);)
			s = s->next;
	if (s) {
		a->last->after = s;
		a->last = s;
		if (s->odd || !read_stamp(ps, a, s, p) || !read_values(a, s, p, number_of))
			return NULL;
		s->line.number = number;
		s->line.file = file;
		return &s->line;
	}
	a->missed = p;
	a->marks = m;
	return NULL;
}

static const struct line *read_plain(struct parser *ps, const char *p, const char *end, uint64_t number, uint32_t file)
{
	return read_alike(ps, p, end, number, file, fits_each, number_at);
}

static const struct line *read_16(struct parser *ps, const char *p, const char *end, uint64_t number, uint32_t file)
{
	return read_alike(ps, p, end, number, file, fits_16, number_at);
}

#if defined __x86_64__

BMI2 static const struct line *read_bmi2(struct parser *ps, const char *p, const char *end, uint64_t number, uint32_t file)
{
	return read_alike(ps, p, end, number, file, fits_16, number_by_worth);
}

#else

#define read_bmi2 read_16

#endif

static const struct line *read_none(struct parser *ps, const char *p, const char *end, uint64_t number, uint32_t file)
{
	(void)ps, (void)p, (void)end, (void)number, (void)file;
	return NULL;
}

void parse_alike_init(struct parser *ps)
{
	ps->read_alike = read_none;
}

/* ---- learning */

static void forget_all(struct parse_alike *a)
{
	for (size_t i = 0; i < sizeof a->slot / sizeof *a->slot; i++) {
		for (struct shape *s = a->slot[i], *next; s; s = next) {
			next = s->next;
			free(s);
		}
		a->slot[i] = NULL;
	}
	a->nshapes = 0;
	a->last = a->none->after = a->none;
}

void parse_alike_release(struct parser *ps)
{
	if (ps->alike) {
		forget_all(ps->alike);
		free(ps->alike->none);
	}
	free(ps->alike);
	ps->alike = NULL;
}

/* Any bytes of ids in the place of such. */
static void allow_any(struct making *b, const struct line *l, struct slice text)
{
	const size_t at = (size_t)(text.p - l->text.p);

	for (size_t i = at; i < at + text.n; i++)
		if (TOKEN_CLASS[b->expect[i]] & TOKEN_ID)
			b->limit[i] = 0xff;
}

/* The same, but for a minus at the start. */
static void allow_id(struct making *b, const struct line *l, struct slice id)
{
	const size_t at = (size_t)(id.p - l->text.p);

	allow_any(b, l, id);
	if (b->limit[at]) {
		b->expect[at] = '-' ^ 0xff;
		b->limit[at] = 0xfe;
	}
}

static void allow_digits(struct making *b, const struct line *l, struct slice text)
{
	const size_t at = (size_t)(text.p - l->text.p);

	for (size_t i = at; i < at + text.n; i++)
		if ((unsigned)b->expect[i] - '0' <= 9) {
			b->expect[i] = '0';
			b->limit[i] = 9;
		}
}

/* Whether a whole number of the value's unit is a whole number of steps; *step is what one of so many decimals is. */
static bool step_of(const struct field_use *use, const struct value *v, int places, int64_t *step)
{
	const struct type_def *type = vocab_type(use->type);
	const struct unit_def *unit = type->nunits ? vocab_unit(v->unit) : NULL;
	int most = use->type == TYPE_MONEY ? vocab_currency_places(v->unit) : type->places;

	if (use->type == TYPE_RATE || (unit && (unit->over != 1 || unit->plus || unit->times_places)))
		return false;
	*step = unit ? unit->times : 1;
	for (; places < most; places++)
		*step *= 10;
	return places == most;
}

/* Sets how the digits of the number of n bytes at p are taken together; the bytes before its unit, or 0 where there are too many. */
static size_t set_digits(struct number *number, const char *p, size_t n, int *places)
{
	const bool minus = *p == '-';
	bool point = false;
	size_t i = minus, last = 0;

	for (*places = 0; i < n && ((unsigned)p[i] - '0' <= 9 || (p[i] == '.' && !point)); i++) {
		if (i == 8)
			return 0;
		point |= p[i] == '.';
		if (p[i] == '.')
			continue;
		number->by.digits.whole |= point ? 0 : 0xffull << (8 * i);
		number->by.digits.part |= point ? 0xffull << (8 * i - 8) : 0;
		last = i - point;
		*places += point;
	}
	number->lift = (uint8_t)(8 * (7 - last));
	return i;
}

/* Turns it into what each of its n bytes is worth. */
static void set_worth(struct number *number, size_t n)
{
	const uint64_t digits = number->by.digits.whole | number->by.digits.part << 8;
	const int64_t scale = number->by.digits.scale;
	int64_t worth[2] = { 1, 1 }, in_pair = 1;

	memset(&number->by, 0, sizeof number->by);
	for (size_t i = n; i-- > 0; ) {
		if (i % 2)
			in_pair = 1;
		if (!(digits >> (8 * i) & 0xff))
			continue;
		number->by.worth.byte[i] = (int8_t)in_pair;
		if (in_pair == 1)
			number->by.worth.pair[i / 2] = (int16_t)worth[i / 4];
		in_pair *= 10;
		worth[i / 4] *= 10;
	}
	number->by.worth.four[1] = scale;
	number->by.worth.four[0] = scale * worth[1];
}

/* Whether the item is a number that is read by its digits alone. */
static bool learn_number(const struct parser *ps, struct number *number, const struct field_use *use, const struct item *item)
{
	const struct type_def *type = vocab_type(use->type);
	const struct unit_def *unit = type->nunits ? vocab_unit(item->v.unit) : NULL;
	int places;
	size_t n = item->v.mark == VALUE_EXACT && use->type != TYPE_DATE ? set_digits(number, item->text.p, item->text.n, &places) : 0;

	if (!n || !step_of(use, &item->v, places, &number->by.digits.scale))
		return false;
	number->by.digits.scale *= *item->text.p == '-' ? -1 : 1;
	number->least = unit ? unit->least : type->least;
	number->range = (uint64_t)(unit ? unit->most : type->most) - (uint64_t)number->least;
	if (number_at(number, item->text.p - number->at) != item->v.fix || item->v.high != item->v.fix)
		return false;
	if (ps->marks->use == MARKS_USE_BMI2)
		set_worth(number, n);
	return true;
}

static void learn_value(const struct parser *ps, struct making *b, const struct line *l, const struct field_use *use, size_t i)
{
	const struct item *item = &l->item[i];
	const uint8_t at = (uint8_t)(item->text.p - l->text.p);
	struct number number = { .at = at, .item = (uint16_t)i };

	if (learn_number(ps, &number, use, item)) {
		allow_digits(b, l, item->text);
		b->number[b->nnumbers++] = number;
	} else {
		allow_any(b, l, item->text);
		b->other[b->nothers++] = (struct other){ .kind = OTHER_NUMBER, .at = at, .n = (uint8_t)item->text.n, .item = (uint16_t)i, .use = use };
	}
}

/* How the item is read; false for one that is read in another way. */
static bool learn_item(const struct parser *ps, struct making *b, const struct line *l, const struct field_use *use, size_t i)
{
	const struct item *item = &l->item[i];
	struct other o = { .kind = OTHER_WORD, .at = (uint8_t)(item->text.p - l->text.p), .n = (uint8_t)item->text.n, .use = use };

	if (value_is_number(use->type)) {
		learn_value(ps, b, l, use, i);
		return true;
	}
	if (item->v.mark != VALUE_EXACT || !item->text.n)
		return false;
	allow_id(b, l, item->text);
	if (use->type == TYPE_TEXT || !use->field->nwords)
		return true;
	if (!is_allowed(&o, l->text.p))
		return false;
	b->other[b->nothers++] = o;
	return true;
}

/* Few labels of a letter or two are always the same; others are read. */
enum { LABEL_KEPT = 2 };

static void learn_labels(struct making *b, const struct line *l, const struct field *f)
{
	bool read = false;

	for (size_t i = 0; i < f->n; i++) {
		const struct slice label = l->item[f->first + i].label;

		if (label.n > LABEL_KEPT) {
			allow_id(b, l, label);
			read = true;
		}
	}
	if (read && f->n > 1)
		b->other[b->nothers++] = (struct other){ .kind = OTHER_LABELS, .item = (uint16_t)f->first, .n = (uint8_t)f->n };
}

/* A slice of the line as one of the same place in `text`. */
static void move(struct slice *s, const struct line *l, const char *text)
{
	if (s->n)
		s->p = text + (s->p - l->text.p);
	else
		s->p = text;
}

/* `place`: of the fields and then the items. */
static void copy_line(struct line *to, void *place, const struct line *l, size_t nitems, const char *text)
{
	*to = *l;
	to->field = place;
	to->item = (struct item *)(to->field + l->nfields);
	memcpy(to->field, l->field, l->nfields * sizeof *to->field);
	memcpy(to->item, l->item, nitems * sizeof *to->item);
	for (size_t i = 0; i < l->nfields; i++) {
		move(&to->field[i].key, l, text);
		move(&to->field[i].text, l, text);
	}
	for (size_t i = 0; i < nitems; i++) {
		move(&to->item[i].label, l, text);
		move(&to->item[i].text, l, text);
	}
	move(&to->text, l, text);
	move(&to->date, l, text);
	move(&to->time, l, text);
	move(&to->word, l, text);
	move(&to->subject, l, text);
	to->remark = (struct slice){ text + l->text.n, 0 };
}

/* Sets how the line's date, time, subject and items are read, and what its bytes may be; false for a line that is read in another way. */
static bool learn_line(const struct parser *ps, struct shape *s, struct making *b)
{
	const struct line *l = &ps->line;

	s->date = (uint8_t)(l->date.p - l->text.p);
	allow_digits(b, l, l->date);
	if (l->time.n) {
		s->time = (uint8_t)(l->time.p - l->text.p);
		s->time_n = l->time.n >= 8 && l->time.p[5] == ':' ? 8 : 5;
		s->time_mask = s->time_n == 8 ? UINT64_MAX : UINT64_C(0xffffffffff);
		allow_digits(b, l, slice_upto(l->time, s->time_n));
	}
	if (l->event->subjects != SUBJECT_CURRENCY)
		allow_id(b, l, l->subject);
	for (size_t i = 0; i < l->nfields; i++) {
		learn_labels(b, l, &l->field[i]);
		for (size_t k = 0; k < l->field[i].n; k++)
			if (!learn_item(ps, b, l, l->field[i].use, l->field[i].first + k))
				return false;
	}
	return true;
}

/* Puts what was made of the line and of `head` in one piece. */
static struct shape *put_together(const struct parser *ps, const struct parse_alike *a, const struct shape *head, const struct making *b)
{
	const struct line *l = &ps->line;
	const size_t steps = (l->text.n + 2 * STEP - 1) / (2 * STEP) * 2; /* looked at two at a time */
	struct shape *s = mem_zeroed(1, sizeof *s + steps * sizeof *s->limits + b->nnumbers * sizeof *b->number + b->nothers * sizeof *b->other
		+ l->nfields * sizeof *l->field + ps->nitems * sizeof *l->item);
	struct number *number = (struct number *)(void *)(s->limits + steps);

	*s = *head;
	for (size_t i = 0; i < steps; i++) {
		memcpy(s->limits[i].expect, b->expect + i * STEP, STEP);
		memcpy(s->limits[i].limit, b->limit + i * STEP, STEP);
	}
	s->number = number;
	s->nnumbers = b->nnumbers;
	memcpy(number, b->number, b->nnumbers * sizeof *number);
	s->other = (struct other *)(number + b->nnumbers);
	s->nothers = b->nothers;
	memcpy(s->other, b->other, b->nothers * sizeof *b->other);
	copy_line(&s->line, s->other + b->nothers, l, ps->nitems, a->text);
	return s;
}

static struct shape *make_shape(const struct parser *ps, struct parse_alike *a)
{
	const struct slice text = ps->line.text;
	struct making *b = &a->making;
	struct shape head = { .marks = a->marks, .after = a->none };

	memcpy(b->expect, text.p, text.n);
	memset(b->limit, 0, text.n);
	memset(b->expect + text.n, 0, sizeof b->expect - text.n);
	memset(b->limit + text.n, 0xff, sizeof b->limit - text.n);
	b->nnumbers = b->nothers = 0;
	head.odd = !learn_line(ps, &head, b);
	return put_together(ps, a, &head, b);
}

static void start(struct parser *ps)
{
	if (!LOW_BYTE_FIRST)
		return;
	ps->alike = mem_zeroed(1, sizeof *ps->alike);
	ps->alike->none = ps->alike->last = mem_zeroed(1, sizeof *ps->alike->none);
	ps->alike->none->after = ps->alike->none; /* no line has no marks */
	ps->read_alike = ps->marks->use == MARKS_USE_BMI2 ? read_bmi2 : ps->marks->use == MARKS_USE_16 ? read_16 : read_plain;
}

void parse_alike_learn(struct parser *ps)
{
	const struct line *l = &ps->line;
	struct parse_alike *a = ps->alike;
	uint64_t hash;
	size_t slot;

	if (!a) {
		start(ps);
		return;
	}
	if (!a->missed || l->text.p != a->missed || l->text.n != a->marks.n || l->remark.n)
		return;
	a->missed = NULL;
	if (slice_find(l->text, '"') < l->text.n)
		return;
	hash = hash_of(&a->marks);
	slot = slot_of(hash);
	if (a->seen[slot] != (uint32_t)hash) {
		a->seen[slot] = (uint32_t)hash;
		return;
	}
	if (a->nshapes == SHAPES_MOST)
		forget_all(a);
	a->nshapes++;
	struct shape *s = make_shape(ps, a);
	s->next = a->slot[slot];
	a->slot[slot] = s;
}
