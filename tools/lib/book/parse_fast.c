#include <stdlib.h>

#include "base/marks.h"
#include "book/parse_internal.h"

/*
 * A line is taken apart from mark to mark (marks.h). `base` is the line, `m` the first mark at or
 * behind what is read next, and a function returns the mark behind what it has read, or NULL for what it does not know.
 * As a line end is a mark, and no function goes past a mark that it does not know, none goes past the line.
 */

/* Words of eight bytes are taken apart by shifting. */
#define LOW_BYTE_FIRST (__BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__)

#define BLANKS UINT64_C(0x2020202020202020)

enum { SLOTS = 256, EVENTS_MOST = 120, DATE_LENGTH = 10 };

/* How a field's value is read here. */
enum fast_kind { FAST_ID, FAST_NUMBER, FAST_DATE, FAST_WORDS, FAST_TEXT };

/* A unit of which a whole number is a whole number of steps, and the currency of money. */
struct fast_unit {
	uint64_t word, mask;      /* its name; no value fits `word` 1 with `mask` 0 */
	int64_t least, most;
	int64_t steps[9];         /* that the last digit is worth, by decimals; 0 where so many are not allowed */
	uint8_t n, unit, sign;    /* bytes; which; sign: 1 for %, which is no byte of an id */
};

/* Longer lists are read in full. */
enum { LIST_MOST = 32 };

/* One field of an event: its key with the = as two words to compare, and how its value is read. */
struct fast_field {
	uint64_t key[2], mask[2];
	const struct field_use *use;
	struct fast_field *next;  /* the field that came next when it came last; NULL: none yet */
	uint8_t key_n, id;        /* key_n: without the = */
	uint8_t kind;
	uint8_t met;              /* what it adds to the line's needs: MET_NEEDED, MET_ONE_OF */
	bool list;                /* it may have labels or several items */
	bool label, label_must, what, slash, many;
	struct fast_unit unit;    /* the last one that was there */
	struct slice word;        /* the last of the words that alone are allowed */
};

/* Needs that are met are counted in one number. */
enum { MET_NEEDED = 1, MET_ONE_OF = USE_MOST + 1 };

struct fast_event {
	uint64_t word;            /* its name, of up to eight bytes */
	const struct event_def *event;
	struct fast_field *field;
	struct fast_field *first; /* of its last line; NULL: none yet */
	uint8_t n, needed;
	bool one_of, slash, slash_must;
};

/* A number or a date that was read in full, of up to sixteen bytes. */
struct known_number {
	uint64_t word[2];
	const struct field_use *use; /* NULL: none */
	struct value v;
};

enum { KNOWN = 64 };

struct parse_fast {
	const char *base;         /* the line in hand */
	uint8_t nevents;
	uint8_t slot[SLOTS];      /* of an event's name: its index + 1 */
	struct fast_event event[EVENTS_MOST];
	struct known_number known[KNOWN];
};

static inline uint64_t word_at(const char *p)
{
	uint64_t word;

	memcpy(&word, p, 8);
	return word;
}

/* The first n bytes of a word, of up to eight. */
static inline uint64_t first_bytes(unsigned n)
{
	return n >= 8 ? UINT64_MAX : (UINT64_C(1) << (8 * n)) - 1;
}

/* ---- what is known of the events */

static inline unsigned slot_of(uint64_t word)
{
	return (unsigned)(word * UINT64_C(0x9e3779b97f4a7c15) >> 56);
}

static enum fast_kind kind_of(const struct field_use *use)
{
	if (use->type == TYPE_TEXT)
		return FAST_TEXT;
	if (use->type == TYPE_DATE)
		return FAST_DATE;
	if (value_is_number(use->type))
		return FAST_NUMBER;
	return use->field->nwords ? FAST_WORDS : FAST_ID;
}

static void learn_key(struct fast_field *f, struct slice name)
{
	char bytes[16] = { 0 }, mask[16] = { 0 };

	f->key[0] = 1; /* nothing fits it */
	if (name.n >= sizeof bytes)
		return;
	memcpy(bytes, name.p, name.n);
	bytes[name.n] = '=';
	memset(mask, 0xff, name.n + 1);
	memcpy(f->key, bytes, sizeof bytes);
	memcpy(f->mask, mask, sizeof mask);
	f->key_n = (uint8_t)name.n;
}

static void learn_field(struct fast_field *f, const struct field_use *use)
{
	const struct type_def *type = vocab_type(use->type);

	*f = (struct fast_field){ .use = use, .id = (uint8_t)use->field->id, .kind = (uint8_t)kind_of(use) };
	learn_key(f, use->field->name);
	f->label = (use->shape & (USE_LABEL_MAY | USE_LABEL_MUST)) != 0 && use->type != TYPE_TEXT;
	f->label_must = (use->shape & USE_LABEL_MUST) != 0;
	f->what = use->field->label_of == OF_WHAT;
	f->many = (use->shape & USE_MANY) != 0;
	f->met = (uint8_t)((use->shape & USE_NEEDED ? MET_NEEDED : 0) + (use->shape & USE_ONE_OF ? MET_ONE_OF : 0));
	f->list = f->label || f->many;
	f->slash = vocab_type_slash(use->type);
	f->unit = (struct fast_unit){ .word = 1 };
	if (use->type == TYPE_COUNT)
		f->unit = (struct fast_unit){ .steps = { 1 }, .least = type->least, .most = type->most };
}

void parse_fast_learn(struct parser *ps)
{
	const struct event_def *def = ps->line.event;
	struct parse_fast *fast = ps->fast;
	struct fast_event *e;
	char bytes[8] = { 0 };
	unsigned slot;

	ps->cache[def->id].learnt = true;
	if (!LOW_BYTE_FIRST || def->name.n > sizeof bytes || !(def->subjects & ~(unsigned)SUBJECT_CURRENCY))
		return;
	if (!fast)
		fast = ps->fast = mem_zeroed(1, sizeof *fast);
	if (fast->nevents == EVENTS_MOST)
		return;
	e = &fast->event[fast->nevents++];
	memcpy(bytes, def->name.p, def->name.n);
	*e = (struct fast_event){ .word = word_at(bytes), .event = def, .n = (uint8_t)def->nuses,
		.needed = ps->cache[def->id].needed, .one_of = ps->cache[def->id].one_of,
		.slash = (def->subjects & SUBJECT_SLASHED) != 0, .slash_must = def->subjects == SUBJECT_PIECE };
	e->field = mem_zeroed((size_t)def->nuses, sizeof *e->field);
	for (int i = 0; i < def->nuses; i++)
		learn_field(&e->field[i], &def->uses[i]);
	for (slot = slot_of(e->word); fast->slot[slot]; slot = (slot + 1) % SLOTS)
		;
	fast->slot[slot] = fast->nevents;
}

void parse_fast_release(struct parser *ps)
{
	if (ps->fast)
		for (size_t i = 0; i < ps->fast->nevents; i++)
			free(ps->fast->event[i].field);
	free(ps->fast);
	ps->fast = NULL;
}

/* ---- numbers */

/* Eight digits as values, the first in the lowest byte, as a number: pairs, then fours, then all. */
static inline uint32_t number_of_digits(uint64_t digits)
{
	const uint64_t ends = 0x000000ff000000ffu;

	digits = digits * 10 + (digits >> 8);
	return (uint32_t)(((digits & ends) * (100 + (1000000ull << 32)) + ((digits >> 16) & ends) * (1 + (10000ull << 32))) >> 32);
}

/* How many digits are at p, 8 for more than seven; *bytes begins with them as values. */
static inline unsigned digits_at(const char *p, uint64_t *bytes)
{
	const uint64_t word = word_at(p) ^ UINT64_C(0x3030303030303030);
	const uint64_t others = ((word + UINT64_C(0x7676767676767676)) | word) & UINT64_C(0x8080808080808080);

	*bytes = word;
	return others ? (unsigned)__builtin_ctzll(others) / 8 : 8;
}

/* What the last digit is worth, by decimals. */
static void set_steps(struct fast_unit *unit, int64_t times, int places, bool all)
{
	for (int i = places; i >= 0; i--) {
		if (!all || i == 0 || i == places)
			unit->steps[i] = times;
		times *= 10;
	}
}

/* Keeps the unit of a number that was read in full, if numbers of it can be read quickly. */
static void learn_unit(struct fast_field *f, const struct value *v)
{
	const struct type_def *type = vocab_type(f->use->type);
	const bool money = f->use->type == TYPE_MONEY;
	const struct unit_def *unit = money ? NULL : vocab_unit(v->unit);
	struct slice name = money ? vocab_currency_code(v->unit) : unit->name;
	struct fast_unit new = { .least = unit ? unit->least : type->least, .most = unit ? unit->most : type->most,
		.unit = v->unit, .n = (uint8_t)name.n, .sign = name.p[0] == '%', .mask = first_bytes((unsigned)name.n) };

	if (v->mark != VALUE_EXACT || name.n > 7 || (unit && (unit->over != 1 || unit->plus || unit->times_places)))
		return;
	set_steps(&new, unit ? unit->times : 1, money ? vocab_currency_places(v->unit) : type->places, money);
	memcpy(&new.word, name.p, name.n);
	f->unit = new;
}

/* A number or a date in full, from p up to `stop`. */
static bool number_in_full(struct fast_field *f, const char *p, const char *stop, struct value *v)
{
	enum value_fault fault;
	const char *end = value_scan(f->use->type, f->use->shape, p, stop, v, &fault);

	if (fault || end != stop)
		return false;
	if (f->kind == FAST_NUMBER && f->use->type != TYPE_COUNT && f->use->type != TYPE_RATE)
		learn_unit(f, v);
	return true;
}

/* Any other number, or a date: mostly one that was there not long ago. */
static const uint16_t *number_other(struct parse_fast *fast, struct fast_field *f, const char *p, const uint16_t *m, struct value *v)
{
	struct known_number *known, new;
	const char *base = fast->base;
	size_t n;

	while (TOKEN_CLASS[(unsigned char)base[*m]] & TOKEN_BARE)
		m++;
	n = (size_t)(base + *m - p);
	if (n == 0 || n > 16)
		return number_in_full(f, p, base + *m, v) ? m : NULL;
	new.word[0] = word_at(p) & first_bytes((unsigned)n);
	new.word[1] = n > 8 ? word_at(p + 8) & first_bytes((unsigned)n - 8) : 0;
	known = &fast->known[(new.word[0] ^ new.word[1] << 7) * UINT64_C(0x9e3779b97f4a7c15) >> 58];
	if (known->use != f->use || known->word[0] != new.word[0] || known->word[1] != new.word[1]) {
		if (!number_in_full(f, p, base + *m, v))
			return NULL;
		new.use = f->use;
		new.v = *v;
		*known = new;
	}
	*v = known->v;
	return m;
}

/* A number, most often of the last one's unit. */
static inline const uint16_t *number_at(struct parse_fast *fast, struct fast_field *f, const char *p, const uint16_t *first,
	struct value *v)
{
	const struct fast_unit *unit = &f->unit;
	const uint16_t *m = first + unit->sign;
	const bool minus = *p == '-';
	const char *stop = p + minus;
	uint64_t digits, part;
	unsigned n = digits_at(stop, &digits), places = 0;
	int64_t number;

	stop += n;
	if (*stop == '.') {
		places = digits_at(++stop, &part);
		stop += places;
		digits = (digits & first_bytes(n)) | part << (8 * n & 63);
		m++;
		if (places == 0)
			return number_other(fast, f, p, first, v);
	}
	if (n == 0 || n + places > 8 || unit->steps[places] == 0 || ((word_at(stop) ^ unit->word) & unit->mask) != 0
		|| fast->base + *m != stop + unit->n)
		return number_other(fast, f, p, first, v);
	number = (int64_t)number_of_digits(digits << (64 - 8 * (n + places))) * unit->steps[places];
	number = minus ? -number : number;
	if (number < unit->least || number > unit->most)
		return NULL;
	*v = (struct value){ .fix = number, .high = number, .mark = VALUE_EXACT, .unit = unit->unit };
	return m;
}

/* ---- ids, words and texts */

/* The mark behind the id at p. */
static inline const uint16_t *id_at(const char *base, const char *p, const uint16_t *m, bool slash)
{
	if (*p == '-' || base + *m == p)
		return NULL;
	if (base[*m] == '/' && slash) {
		if (m[1] == *m + 1)
			return NULL;
		m++;
	}
	return m;
}

static bool is_allowed(struct fast_field *f, struct slice word)
{
	const struct field_def *field = f->use->field;

	for (int i = 0; i < field->nwords; i++)
		if (slice_eq(field->words[i], word)) {
			f->word = field->words[i];
			return true;
		}
	return false;
}

static inline const uint16_t *allowed_word_at(struct fast_field *f, const char *base, const char *p, const uint16_t *m)
{
	struct slice word;

	m = id_at(base, p, m, f->slash);
	if (!m)
		return NULL;
	word = slice_between(p, base + *m);
	return slice_eq(word, f->word) || is_allowed(f, word) ? m : NULL;
}

static inline const uint16_t *text_at(const char *base, const char *p, const uint16_t *m)
{
	while (TOKEN_CLASS[(unsigned char)base[*m]] & TOKEN_BARE)
		m++;
	return base + *m == p ? NULL : m;
}

/* A value that is neither a plain id nor a number. */
static const uint16_t *value_other(struct parse_fast *fast, struct fast_field *f, const char *p, const uint16_t *m, struct value *v)
{
	if (f->kind == FAST_DATE)
		return number_other(fast, f, p, m, v);
	*v = (struct value){ .mark = VALUE_EXACT };
	return f->kind == FAST_WORDS ? allowed_word_at(f, fast->base, p, m) : text_at(fast->base, p, m);
}

static inline const uint16_t *value_at(struct parse_fast *fast, struct fast_field *f, const char *p, const uint16_t *m, struct value *v)
{
	if (f->kind == FAST_NUMBER)
		return number_at(fast, f, p, m, v);
	if (f->kind != FAST_ID)
		return value_other(fast, f, p, m, v);
	*v = (struct value){ .mark = VALUE_EXACT };
	return id_at(fast->base, p, m, f->slash);
}

/* ---- items */

/* The colon behind the label at p, or NULL. */
static inline const uint16_t *label_at(const struct fast_field *f, const char *base, const char *p, const uint16_t *m)
{
	if (*p == '-' || base + *m == p)
		return NULL;
	for (int slashes = 1 + f->what; slashes && base[*m] == '/' && m[1] > *m + 1; slashes--)
		m++;
	return base[*m] == ':' ? m : NULL;
}

/* The item at p; the mark behind it, or NULL. */
static inline const uint16_t *item_at(struct parse_fast *fast, struct fast_field *f, const char *p, const uint16_t *m, struct item *item)
{
	const char *base = fast->base;
	const uint16_t *colon = f->label ? label_at(f, base, p, m) : NULL;

	item->label = (struct slice){ "", 0 };
	if (colon) {
		item->label = slice_between(p, base + *colon);
		p = base + *colon + 1;
		m = colon + 1;
	} else if (f->label_must)
		return NULL;
	m = value_at(fast, f, p, m, &item->v);
	if (m)
		item->text = slice_between(p, base + *m);
	return m;
}

/* Whether some label is there twice, or more than one item of pieces has none. */
static bool labels_wrong(const struct fast_field *f, const struct item *item, size_t n)
{
	size_t bare = 0;

	for (size_t i = 0; i < n; i++) {
		bare += !item[i].label.n;
		for (size_t j = 0; j < i && item[i].label.n; j++)
			if (slice_eq(item[i].label, item[j].label))
				return true;
	}
	return f->what && bare > 1;
}

/* The items at p, of a field that may have several or labels; the mark behind them, or NULL. */
static const uint16_t *items_at(struct parser *ps, struct fast_field *f, const char *p, const uint16_t *m, struct item *item, size_t *count)
{
	const char *base = ps->fast->base;
	size_t n = 0;

	if ((size_t)(item - ps->line.item) + LIST_MOST + USE_MOST > ps->item_cap)
		return NULL;
	for (;; p = base + *m++ + 1) {
		m = item_at(ps->fast, f, p, m, &item[n++]);
		if (!m)
			return NULL;
		if (base[*m] != ',' || !f->many || n == LIST_MOST)
			break;
	}
	*count = n;
	return n > 1 && f->label && labels_wrong(f, item, n) ? NULL : m;
}

/* ---- the line */

static inline bool is_key(const struct fast_field *f, const char *p)
{
	return (((word_at(p) & f->mask[0]) ^ f->key[0]) | ((word_at(p + 8) & f->mask[1]) ^ f->key[1])) == 0;
}

/* The field at p that is not the expected one, or NULL. */
static struct fast_field *find_field(const struct fast_event *e, const char *p)
{
	for (uint8_t i = 0; i < e->n; i++)
		if (is_key(&e->field[i], p))
			return &e->field[i];
	return NULL;
}

/* The value of the field at p, mostly one item without a label; the mark behind it, or NULL. */
static inline const uint16_t *field_value_at(struct parser *ps, struct fast_field *f, const char *p, const uint16_t *m,
	struct item *item, size_t *n)
{
	if (f->list)
		return items_at(ps, f, p, m, item, n);
	item->label = (struct slice){ "", 0 };
	m = value_at(ps->fast, f, p, m, &item->v);
	if (!m)
		return NULL;
	item->text = slice_between(p, ps->fast->base + *m);
	*n = 1;
	return m;
}

static bool is_printable(const char *p, const char *end)
{
	bool wrong = false;

	for (; p < end; p++)
		wrong |= (unsigned char)(*p - ' ') >= 0x7f - ' ';
	return !wrong;
}

/* Takes the remark behind the blanks from p on, of which m is the first; the line end's mark, or NULL. */
static const uint16_t *remark_at(struct line *l, const char *base, const char *p, const uint16_t *m)
{
	while (*p == ' ')
		p++;
	if (*p != '#')
		return NULL;
	while (base[*m] != '\n')
		m++;
	l->remark = slice_between(p, base + *m);
	return is_printable(p, base + *m) ? m : NULL;
}

/* The fields from the mark m on, which is a blank or the line end; the line end's, or NULL. */
static inline const uint16_t *fields_at(struct parser *ps, struct fast_event *e, const char *base, const uint16_t *m)
{
	struct line *l = &ps->line;
	struct fast_field **next = &e->first, *f;
	struct field *field = l->field;
	struct item *item = l->item;
	unsigned met = 0;
	size_t nitems = 0;
	const char *p = base + *m;

	for (; *p == ' '; field++) {
		f = *next;
		if (!f || !is_key(f, p + 1)) {
			*next = f = find_field(e, p + 1);
			if (!f) {
				m = remark_at(l, base, p, m);
				break;
			}
		}
		if (l->slot[f->id])
			return NULL;
		next = &f->next;
		l->slot[f->id] = (uint8_t)++l->nfields;
		met += f->met;
		field->use = f->use;
		field->key = (struct slice){ p + 1, f->key_n };
		field->first = nitems;
		p += f->key_n + 2;
		m = field_value_at(ps, f, p, m + 2, item, &field->n);
		if (!m)
			return NULL;
		field->text = slice_between(p, base + *m);
		p = base + *m;
		nitems += field->n;
		item += field->n;
	}
	ps->nitems = nitems;
	return m && base[*m] == '\n' && met % MET_ONE_OF == e->needed && (met >= MET_ONE_OF) == e->one_of ? m : NULL;
}

/* The mark behind the blanks of which m is the first. */
static inline const uint16_t *blanks_end(const char *base, const uint16_t *m)
{
	uint64_t others = word_at(base + *m) ^ BLANKS;

	if (others)
		return m + __builtin_ctzll(others) / 8;
	while (base[*m] == ' ' && m[1] == *m + 1)
		m++;
	return base[*m] == ' ' ? m + 1 : m;
}

static bool read_date(struct parser *ps, const char *p)
{
	if (date_read((struct slice){ p, DATE_LENGTH }, &ps->day) != DATE_OK) {
		memset(ps->date, 0, sizeof ps->date);
		return false;
	}
	memcpy(ps->date, p, DATE_LENGTH);
	return true;
}

/* The second of the day at which HH:MM is, or STAMP_NO_TIME for none of a clock. */
static inline int32_t clock_at(const char *p)
{
	unsigned h1 = (unsigned char)p[0] - '0', h2 = (unsigned char)p[1] - '0';
	unsigned m1 = (unsigned char)p[3] - '0', m2 = (unsigned char)p[4] - '0';
	unsigned hours = h1 * 10 + h2;

	return ((h1 > 2) | (h2 > 9) | (hours > 23) | (m1 > 5) | (m2 > 9)) ? STAMP_NO_TIME : (int32_t)(hours * 3600 + (m1 * 10 + m2) * 60);
}

/* The date and the time of day at the line's start; the mark before the event, or NULL. */
static inline const uint16_t *stamp_at(struct parser *ps, const char *base, const char *p, const uint16_t *m)
{
	struct line *l = &ps->line;

	if (base + *m != p + DATE_LENGTH || p[DATE_LENGTH] != ' ')
		return NULL;
	if (!bytes_eq(p, ps->date, DATE_LENGTH) && !read_date(ps, p))
		return NULL;
	l->date = (struct slice){ p, DATE_LENGTH };
	l->stamp = (struct stamp){ ps->day, STAMP_NO_TIME, STAMP_NO_OFFSET };
	l->time = (struct slice){ "", 0 };
	m = blanks_end(base, m);
	p = base + m[-1] + 1;
	if ((unsigned char)(*p - '0') > 9)
		return m;
	if (base + *m != p + 2 || p[2] != ':' || base + m[1] != p + 5 || p[5] != ' ')
		return NULL;
	l->stamp.second = clock_at(p);
	if (l->stamp.second == STAMP_NO_TIME)
		return NULL;
	l->time = (struct slice){ p, 5 };
	return blanks_end(base, m + 1);
}

static inline struct fast_event *find_event(struct parse_fast *fast, const char *p, size_t n)
{
	uint64_t word = word_at(p) & first_bytes((unsigned)n);
	unsigned slot = slot_of(word);

	if (n > 8)
		return NULL;
	for (; fast->slot[slot]; slot = (slot + 1) % SLOTS)
		if (fast->event[fast->slot[slot] - 1].word == word)
			return &fast->event[fast->slot[slot] - 1];
	return NULL;
}

static void reset_line(struct line *l)
{
	for (size_t i = 0; i < l->nfields; i++)
		l->slot[l->field[i].use->field->id] = 0;
	l->nfields = 0;
	l->remark.n = 0;
}

/* The event and its subject, and all behind them; the line end's mark, or NULL. */
static inline const uint16_t *entry_at(struct parser *ps, const char *base, const uint16_t *m)
{
	struct line *l = &ps->line;
	const char *p = base + m[-1] + 1;
	struct fast_event *e = find_event(ps->fast, p, (size_t)(base + *m - p));
	const uint16_t *stop;

	if (!e || base[*m] != ' ')
		return NULL;
	l->event = e->event;
	l->word = slice_between(p, base + *m);
	m = blanks_end(base, m);
	p = base + m[-1] + 1;
	stop = id_at(base, p, m, e->slash);
	if (!stop || (e->slash_must && stop == m) || (base[*stop] != ' ' && base[*stop] != '\n'))
		return NULL;
	l->subject = slice_between(p, base + *stop);
	if (base[*stop] == ' ')
		stop = blanks_end(base, stop) - 1;
	return fields_at(ps, e, base, stop);
}

const struct line *parse_fast(struct parser *ps, const char *p, const char *end, uint64_t number, uint32_t file)
{
	struct parse_fast *fast = ps->fast;
	struct line *l = &ps->line;
	const uint16_t *m;

	if (!fast || p >= end || !marks_have(ps->marks, p, end))
		return NULL;
	marks_places(ps->marks, p);
	fast->base = p;
	reset_line(l);
	m = stamp_at(ps, p, p, ps->marks->at);
	m = m ? entry_at(ps, p, m) : NULL;
	if (!m)
		return NULL;
	l->kind = LINE_EVENT;
	l->number = number;
	l->file = file;
	l->text = slice_between(p, p + *m);
	if (!l->remark.n)
		l->remark = (struct slice){ p + *m, 0 };
	parse_alike_learn(ps);
	return l;
}
