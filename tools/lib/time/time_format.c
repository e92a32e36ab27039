#include "time/time_format.h"

#include "time/stamp.h"

enum kind {
	OP_LITERAL, OP_BLANK, OP_YEAR4, OP_YEAR2, OP_MONTH, OP_MONTH_WORD, OP_DAY, OP_WORD,
	OP_HOUR, OP_MINUTE, OP_SECOND, OP_HALF, OP_OFFSET, OP_OPEN, OP_CLOSE,
};

enum { NUMBER_NONE, NUMBER_SERIAL, NUMBER_SERIAL_1904, NUMBER_UNIX, NUMBER_UNIX_MS };

/* Day number of serial 0: the spreadsheets' first system counts from 1899-12-30 for every day
   after February 1900, the other from 1904-01-01. */
enum { SERIAL_0 = -25567 - 2, SERIAL_1904_0 = -24107, SERIAL_LAST = 2958465 };

static const struct {
	struct slice word;
	uint8_t kind;
} tokens[] = {
	{ { "YYYY", 4 }, OP_YEAR4 }, { { "YY", 2 }, OP_YEAR2 }, { { "MONTH", 5 }, OP_MONTH_WORD },
	{ { "MM", 2 }, OP_MONTH }, { { "DD", 2 }, OP_DAY }, { { "WEEKDAY", 7 }, OP_WORD },
	{ { "hh", 2 }, OP_HOUR }, { { "mm", 2 }, OP_MINUTE }, { { "ss", 2 }, OP_SECOND },
	{ { "HALF", 4 }, OP_HALF }, { { "OFFSET", 6 }, OP_OFFSET },
};

static const struct {
	struct slice word;
	uint8_t number;
} numbers[] = {
	{ { "serial", 6 }, NUMBER_SERIAL }, { { "serial-1904", 11 }, NUMBER_SERIAL_1904 },
	{ { "unix", 4 }, NUMBER_UNIX }, { { "unix-ms", 7 }, NUMBER_UNIX_MS },
};

/*
 * The halves of the day as instruments and spreadsheets write them, without points and blanks
 * (from memory). Letters A to Z are compared without case.
 */
static const char *const am_words[] = {
	"am", "a", "vorm", "vormittags", "matin", "fm", "dop", "de", "ap", "\xc3\xb6\xc3\xb6", "sa",
	"\xcf\x80\xce\xbc", "\xcf\x80\xce\xbc", "\xce\xa0\xce\x9c", "\xd0\xb4\xd0\xbf", "\xd0\x94\xd0\x9f",
	"\xd0\xbf\xd1\x80\xd0\xbe\xd0\xb1", "\xe4\xb8\x8a\xe5\x8d\x88", "\xe5\x8d\x88\xe5\x89\x8d",
	"\xec\x98\xa4\xec\xa0\x84", "\xd8\xb5", "\xd9\x82\xd8\xb8", NULL
};
static const char *const pm_words[] = {
	"pm", "p", "nachm", "nachmittags", "soir", "em", "odp", "du", "ip", "\xc3\xb6s", "ch",
	"\xce\xbc\xce\xbc", "\xce\x9c\xce\x9c", "\xd0\xbf\xd0\xbf", "\xd0\x9f\xd0\x9f",
	"\xd1\x81\xd0\xbb\xd0\xbe\xd0\xb1", "\xe4\xb8\x8b\xe5\x8d\x88", "\xe5\x8d\x88\xe5\xbe\x8c",
	"\xec\x98\xa4\xed\x9b\x84", "\xd9\x85", "\xd8\xa8\xd8\xb8", NULL
};

/* Beginnings of the months' names in the languages of western and northern Europe (from memory). */
static const char *const month_stems[12][9] = {
	{ "jan", "gen", "ene", "j\xc3\xa4n" }, { "feb", "f\xc3\xa9v", "fev" },
	{ "mar", "m\xc3\xa4r", "mrt", "maa" }, { "apr", "avr", "abr", "huh" },
	{ "may", "mai", "mei", "mag", "maj", "tou" }, { "jun", "juin", "giu", "kes" },
	{ "jul", "juil", "lug", "hei" }, { "aug", "ao\xc3\xbb", "aou", "ago", "elo" },
	{ "sep", "set", "syy" }, { "oct", "okt", "ott", "out", "lok" }, { "nov", "marras" },
	{ "dec", "d\xc3\xa9" "c", "dez", "des", "dic", "jou" },
};

static bool is_digit(char c)
{
	return c >= '0' && c <= '9';
}

static bool is_letter(char c)
{
	return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || (unsigned char)c >= 0x80;
}

static char lower(char c)
{
	return c >= 'A' && c <= 'Z' ? (char)(c + 32) : c;
}

/* --- compiling ---------------------------------------------------------------------------- */

static bool add_op(struct time_format *f, uint8_t kind, char literal)
{
	if (f->n == TIME_FORMAT_MOST)
		return false;
	f->op[f->n].kind = kind;
	f->op[f->n].literal = literal;
	f->op[f->n++].close = 0;
	return true;
}

/* The length of the token that `s` starts with; 0 where it starts with another character. */
static size_t token_at(struct slice s, uint8_t *kind)
{
	for (size_t i = 0; i < sizeof tokens / sizeof *tokens; i++)
		if (slice_starts(s, tokens[i].word)) {
			*kind = tokens[i].kind;
			return tokens[i].word.n;
		}
	return 0;
}

static bool add_quoted(struct time_format *f, struct slice *s)
{
	*s = slice_from(*s, 1);
	while (s->n && s->p[0] != '\'') {
		if (!add_op(f, OP_LITERAL, s->p[0]))
			return false;
		*s = slice_from(*s, 1);
	}
	if (!s->n)
		return false;
	*s = slice_from(*s, 1);
	return true;
}

static bool add_next(struct time_format *f, struct slice *s)
{
	uint8_t kind = OP_LITERAL;
	size_t n = token_at(*s, &kind), blanks = time_format_blanks(*s);
	char c = s->p[0];

	if (c == '\'')
		return add_quoted(f, s);
	if (n || blanks) {
		*s = slice_from(*s, n ? n : blanks);
		return add_op(f, n ? kind : (uint8_t)OP_BLANK, 0);
	}
	*s = slice_from(*s, 1);
	return add_op(f, c == '[' ? OP_OPEN : c == ']' ? OP_CLOSE : OP_LITERAL, c);
}

static bool pair_brackets(struct time_format *f)
{
	size_t open[8], depth = 0;

	for (size_t i = 0; i < f->n; i++) {
		if (f->op[i].kind == OP_OPEN) {
			if (depth == sizeof open / sizeof *open)
				return false;
			open[depth++] = i;
		} else if (f->op[i].kind == OP_CLOSE) {
			if (!depth)
				return false;
			f->op[open[--depth]].close = (uint8_t)i;
		}
	}
	return depth == 0;
}

static size_t count_op(const struct time_format *f, uint8_t kind)
{
	size_t n = 0;

	for (size_t i = 0; i < f->n; i++)
		n += f->op[i].kind == kind;
	return n;
}

static const char *form_fault(struct time_format *f)
{
	size_t hours = count_op(f, OP_HOUR), minutes = count_op(f, OP_MINUTE), seconds = count_op(f, OP_SECOND);

	if (!pair_brackets(f))
		return "its brackets are not paired";
	if (count_op(f, OP_YEAR4) + count_op(f, OP_YEAR2) != 1 || count_op(f, OP_DAY) != 1 ||
	    count_op(f, OP_MONTH) + count_op(f, OP_MONTH_WORD) != 1)
		return "it needs one year (YYYY or YY), one month (MM or MONTH) and one day (DD)";
	if (hours > 1 || minutes > 1 || seconds > 1 || minutes < seconds || hours < minutes ||
	    count_op(f, OP_HALF) > hours || count_op(f, OP_OFFSET) > hours)
		return "hh, mm, ss, HALF and OFFSET are allowed once each; mm, HALF and OFFSET require hh, and ss requires mm";
	f->timed = hours > 0;
	f->seconds = seconds > 0;
	f->offset = count_op(f, OP_OFFSET) > 0;
	return NULL;
}

bool time_format_compile(struct time_format *f, struct slice form, const char **why)
{
	*f = (struct time_format){ 0 };
	for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
		if (slice_eq(form, numbers[i].word)) {
			f->number = numbers[i].number;
			f->timed = f->seconds = true;
			f->offset = f->number >= NUMBER_UNIX;
			return true;
		}
	while (form.n)
		if (!add_next(f, &form)) {
			*why = f->n == TIME_FORMAT_MOST ? "it is too long" : "a ' is not closed";
			return false;
		}
	*why = form_fault(f);
	return !*why;
}

/* --- words --------------------------------------------------------------------------------- */

/* Blank, tab, no-break spaces (U+00A0, U+202F) and the marks U+200E, U+200F. */
size_t time_format_blanks(struct slice s)
{
	size_t n = 0;

	while (n < s.n) {
		const char *p = s.p + n;
		size_t left = s.n - n;

		if (*p == ' ' || *p == '\t')
			n++;
		else if ((unsigned char)*p < 0x80)
			break;
		else if (left >= 2 && memcmp(p, "\xc2\xa0", 2) == 0)
			n += 2;
		else if (left >= 3 && memcmp(p, "\xe2\x80", 2) == 0 && (p[2] == '\xaf' || p[2] == '\x8e' || p[2] == '\x8f'))
			n += 3;
		else
			break;
	}
	return n;
}

/* Passes points and blanks. */
static size_t gap(struct slice s)
{
	size_t n = 0, more;

	do {
		more = time_format_blanks(slice_from(s, n));
		if (n + more < s.n && s.p[n + more] == '.')
			more++;
		n += more;
	} while (more);
	return n;
}

/*
 * How many bytes of `s` spell `word`, with points and blanks allowed among the letters of the
 * written one; a point behind the last letter belongs to it. 0 where it does not, or goes on.
 */
static size_t spelled(struct slice s, struct slice word)
{
	size_t at = 0;

	for (size_t i = 0; i < word.n; i++) {
		if (word.p[i] == '.' || word.p[i] == ' ')
			continue;
		if (at)
			at += gap(slice_from(s, at));
		if (at >= s.n || lower(s.p[at]) != lower(word.p[i]))
			return 0;
		at++;
	}
	if (at && at < s.n && s.p[at] == '.')
		at++;
	else if (at < s.n && is_letter(s.p[at]) && time_format_blanks(slice_from(s, at)) == 0)
		return 0;
	return at;
}

static size_t own_word(const struct slice *word, size_t n, struct slice s)
{
	size_t best = 0;

	for (size_t i = 0; i < n; i++) {
		size_t len = spelled(s, word[i]);

		best = len > best ? len : best;
	}
	return best;
}

static size_t built_in_word(const char *const *word, struct slice s)
{
	for (; *word; word++) {
		size_t len = spelled(s, slice_of(*word));

		if (len)
			return len;
	}
	return 0;
}

size_t time_format_half(const struct time_words *words, struct slice s, int *half)
{
	size_t n;

	*half = 0;
	if (words && (n = own_word(words->am, words->nam, s)))
		return n;
	*half = 12;
	if (words && (n = own_word(words->pm, words->npm, s)))
		return n;
	if ((n = built_in_word(pm_words, s)))
		return n;
	*half = 0;
	return built_in_word(am_words, s);
}

static size_t word_length(struct slice s)
{
	size_t n = 0;

	while (n < s.n && is_letter(s.p[n]) && time_format_blanks(slice_from(s, n)) == 0)
		n++;
	return n;
}

static bool starts_with(struct slice s, struct slice stem)
{
	for (size_t i = 0; i < stem.n; i++)
		if (i >= s.n || lower(s.p[i]) != lower(stem.p[i]))
			return false;
	return stem.n > 0;
}

/* The longest beginning that fits decides. */
size_t time_format_month(const struct time_words *words, struct slice s, int *month)
{
	size_t n = word_length(s), best = 0;

	s = slice_upto(s, n);
	*month = 0;
	if (words && words->nmonth == 12)
		for (int m = 0; m < 12; m++)
			if (words->month[m].n > best && starts_with(s, words->month[m])) {
				best = words->month[m].n;
				*month = m + 1;
			}
	for (int m = 0; !best && m < 12; m++)
		for (size_t i = 0; i < 9 && month_stems[m][i]; i++) {
			struct slice stem = slice_of(month_stems[m][i]);

			if (stem.n > best && starts_with(s, stem)) {
				best = stem.n;
				*month = m + 1;
			}
		}
	return best ? n : 0;
}

static size_t digits(struct slice s, size_t most, int32_t *value)
{
	size_t n = 0;

	*value = 0;
	while (n < s.n && n < most && is_digit(s.p[n]))
		*value = *value * 10 + (s.p[n++] - '0');
	return n;
}

/* +12, +1200, +12:00 behind the sign at s.p[0]. */
static size_t signed_offset(struct slice s, int32_t *offset_s)
{
	int32_t h, m = 0;
	size_t n = digits(slice_from(s, 1), 2, &h), more;
	bool colon;

	if (!n)
		return 0;
	n++;
	colon = n < s.n && s.p[n] == ':';
	more = digits(slice_from(s, n + colon), 2, &m);
	if (more == 2 && m < 60)
		n += colon + more;
	else
		m = 0;
	*offset_s = (s.p[0] == '-' ? -1 : 1) * (h * HOUR_S + m * MINUTE_S);
	return h * 60 + m <= STAMP_OFFSET_MOST ? n : 0;
}

size_t time_format_offset(struct slice s, int32_t *offset_s)
{
	size_t n = 0, sign;

	*offset_s = 0;
	if (s.n && s.p[0] == 'Z')
		return 1;
	if (slice_starts(s, SLICE("GMT")) || slice_starts(s, SLICE("UTC")))
		n = 3;
	sign = n;
	while (n && sign < s.n && s.p[sign] == ' ')
		sign++;
	if (sign < s.n && (s.p[sign] == '+' || s.p[sign] == '-')) {
		size_t more = signed_offset(slice_from(s, sign), offset_s);

		if (more)
			return sign + more;
	}
	return n;
}

bool time_format_find_offset(struct slice s, int32_t *offset_s)
{
	for (size_t i = 0; i + 3 <= s.n; i++) {
		struct slice here = slice_from(s, i);

		if (!slice_starts(here, SLICE("GMT")) && !slice_starts(here, SLICE("UTC")))
			continue;
		if ((i == 0 || !is_letter(s.p[i - 1])) && time_format_offset(here, offset_s) > 3)
			return true;
	}
	return false;
}

/* --- reading -------------------------------------------------------------------------------- */

struct fields {
	int32_t year, month, day, hour, minute, second;
	int half;                /* 0, 12, or -1 where none is written */
	bool has_offset;
	int32_t offset_s;
};

static bool is_number_op(uint8_t kind)
{
	return (kind >= OP_YEAR4 && kind <= OP_MONTH) || kind == OP_DAY || (kind >= OP_HOUR && kind <= OP_SECOND);
}

static size_t read_number(const struct time_format *f, size_t op, struct slice s, int32_t *value)
{
	uint8_t kind = f->op[op].kind;
	bool tight = (op + 1 < f->n && is_number_op(f->op[op + 1].kind)) || (op > 0 && is_number_op(f->op[op - 1].kind));
	size_t want = kind == OP_YEAR4 ? 4 : 2, n = digits(s, want, value);

	if (kind == OP_YEAR4 || kind == OP_YEAR2 || tight)
		return n == want ? n : 0;
	return n;
}

/* A zone's word of the caller's own, whole, in its letters; else an offset. */
static size_t read_offset(const struct time_words *words, struct slice s, int32_t *offset_s)
{
	size_t n = word_length(s);

	for (size_t i = 0; words && n && i < words->nzone; i++)
		if (slice_eq(slice_upto(s, n), words->zone[i])) {
			*offset_s = words->zone_s[i];
			return n;
		}
	return time_format_offset(s, offset_s);
}

/* A fraction of a second or a minute is passed over. */
static size_t fraction(struct slice s)
{
	size_t n = 1;

	if (s.n < 2 || (s.p[0] != '.' && s.p[0] != ',') || !is_digit(s.p[1]))
		return 0;
	while (n < s.n && is_digit(s.p[n]))
		n++;
	return n;
}

static size_t read_year(const struct time_format *f, size_t op, struct slice s, struct fields *t)
{
	size_t n = read_number(f, op, s, &t->year);

	if (f->op[op].kind == OP_YEAR2)
		t->year += t->year < 70 ? 2000 : 1900;
	return n;
}

static size_t read_literal(const struct time_format *f, size_t op, struct slice s, bool *fits)
{
	size_t n = time_format_blanks(s);
	uint8_t next = op + 1 < f->n ? f->op[op + 1].kind : OP_LITERAL;

	if (f->op[op].kind == OP_BLANK) {
		*fits = n > 0 || next == OP_HALF || next == OP_OFFSET || next == OP_WORD;
		return n;
	}
	*fits = s.n && s.p[0] == f->op[op].literal;
	return *fits;
}

/* One token; *fits false where the text has something else. Returns the bytes taken. */
static size_t read_op(const struct time_format *f, const struct time_words *words, size_t op, struct slice s,
	struct fields *t, bool *fits)
{
	size_t n = 0;
	int month;

	switch (f->op[op].kind) {
	case OP_LITERAL: case OP_BLANK:
		return read_literal(f, op, s, fits);
	case OP_YEAR4: case OP_YEAR2: n = read_year(f, op, s, t); break;
	case OP_MONTH: n = read_number(f, op, s, &t->month); break;
	case OP_MONTH_WORD:
		n = time_format_month(words, s, &month);
		t->month = month;
		n += n && n < s.n && s.p[n] == '.' && !(op + 1 < f->n && f->op[op + 1].literal == '.');
		break;
	case OP_DAY: n = read_number(f, op, s, &t->day); break;
	case OP_WORD:
		n = word_length(s);
		n += n && n < s.n && (s.p[n] == '.' || s.p[n] == ',');
		break;
	case OP_HOUR: n = read_number(f, op, s, &t->hour); break;
	case OP_MINUTE: case OP_SECOND:
		n = read_number(f, op, s, f->op[op].kind == OP_MINUTE ? &t->minute : &t->second);
		n += n ? fraction(slice_from(s, n)) : 0;
		break;
	case OP_HALF: n = time_format_half(words, s, &t->half); break;
	case OP_OFFSET:
		n = read_offset(words, s, &t->offset_s);
		t->has_offset = true;
		break;
	default:
		return 0;
	}
	*fits = n > 0;
	return n;
}

/* Reads the tokens [from, to); a bracket that does not fit is passed over. */
static bool read_ops(const struct time_format *f, const struct time_words *words, size_t from, size_t to,
	struct slice text, size_t *at, struct fields *t)
{
	for (size_t op = from; op < to; op++) {
		bool fits = true;

		if (f->op[op].kind == OP_OPEN) {
			struct fields before = *t;
			size_t start = *at;

			if (!read_ops(f, words, op + 1, f->op[op].close, text, at, t)) {
				*t = before;
				*at = start;
			}
			op = f->op[op].close;
			continue;
		}
		*at += read_op(f, words, op, slice_from(text, *at), t, &fits);
		if (!fits)
			return false;
	}
	return true;
}

static enum timeform_fault settle(const struct fields *t, struct time_reading *out)
{
	int32_t hour = t->hour;

	if (t->year < 1 || t->month < 1 || t->month > 12 || t->day < 1 || t->day > month_length(t->year, t->month))
		return TIME_FORMAT_NO_DAY;
	if (t->half >= 0) {
		if (hour < 1 || hour > 12)
			return TIME_FORMAT_NO_TIME;
		hour = hour % 12 + t->half;
	}
	if (t->minute > 59 || t->second > 59 || hour > 24 || (hour == 24 && (t->minute || t->second)))
		return TIME_FORMAT_NO_TIME;
	out->day = day_of(t->year, t->month, t->day) + (hour == 24);
	out->second = hour % 24 * HOUR_S + t->minute * MINUTE_S + t->second;
	out->has_offset = t->has_offset;
	out->offset_s = t->offset_s;
	return TIME_FORMAT_OK;
}

/* --- numbers of days or seconds ------------------------------------------------------------- */

/* Digits with a decimal point or comma: the whole part, and the fraction in 1e-9. */
static bool read_decimal(struct slice s, int64_t *whole, int64_t *nano, int *places)
{
	size_t n = 0;

	*whole = *nano = 0;
	*places = 0;
	while (n < s.n && n < 15 && is_digit(s.p[n]))
		*whole = *whole * 10 + (s.p[n++] - '0');
	if (!n)
		return false;
	if (n < s.n && (s.p[n] == '.' || s.p[n] == ','))
		for (n++; n < s.n && is_digit(s.p[n]); n++)
			if (*places < 9) {
				*nano = *nano * 10 + (s.p[n] - '0');
				++*places;
			}
	for (int i = *places; i < 9; i++)
		*nano *= 10;
	return n == s.n;
}

/* Five decimals of a day are good to a second; with fewer only the minute can be meant. */
static int64_t day_fraction_s(int64_t nano, int places)
{
	int64_t unit = places < 5 ? MINUTE_S : 1, parts = DAY_S / unit;

	return (nano * parts + 500000000) / 1000000000 * unit;
}

static enum timeform_fault read_count(const struct time_format *f, struct slice s, struct time_reading *out, size_t *at)
{
	int64_t whole, nano, total;
	int places;

	*at = 0;
	if (!read_decimal(s, &whole, &nano, &places))
		return TIME_FORMAT_MALFORMED;
	if (f->number == NUMBER_SERIAL || f->number == NUMBER_SERIAL_1904) {
		if (whole > SERIAL_LAST || (f->number == NUMBER_SERIAL && whole < 61))
			return TIME_FORMAT_NO_DAY;
		total = (whole + (f->number == NUMBER_SERIAL ? SERIAL_0 : SERIAL_1904_0)) * DAY_S + day_fraction_s(nano, places);
	} else {
		total = f->number == NUMBER_UNIX_MS ? whole / 1000 : whole;
		if (total > day_seconds(SERIAL_LAST))
			return TIME_FORMAT_NO_DAY;
		out->has_offset = true;
	}
	out->day = seconds_day(total);
	out->second = seconds_in_day(total);
	return TIME_FORMAT_OK;
}

enum timeform_fault time_format_read(const struct time_format *f, const struct time_words *words,
	struct slice text, struct time_reading *t, size_t *at)
{
	struct fields fields = { .half = -1 };
	size_t here = time_format_blanks(text);
	enum timeform_fault fault = TIME_FORMAT_MALFORMED;

	*t = (struct time_reading){ 0 };
	if (f->number) {
		fault = read_count(f, slice_trim(text), t, &here);
	} else if (read_ops(f, words, 0, f->n, text, &here, &fields)) {
		here += time_format_blanks(slice_from(text, here));
		if (here == text.n)
			fault = settle(&fields, t);
	}
	if (at)
		*at = here;
	return fault;
}
