/* The canonical form of a line and the order of lines, on worked cases and on random books. */
#include <stdlib.h>

#include "book/diag.h"
#include "book/parse.h"
#include "book/tidy.h"
#include "book/unified_diff.h"
#include "check.h"
#include "thrown.h"

static struct vocab vocab;
static struct diags diags;
static struct parser parser, other;

static const struct line *read_line(struct parser *p, struct slice text)
{
	diags_clear(&diags);
	return parse_line(p, text, 2, 0);
}

static const char *one_of(const char *const *words, size_t n)
{
	return words[thrown_below(n)];
}

#define ONE_OF(...) one_of((const char *const[]){ __VA_ARGS__ }, sizeof((const char *const[]){ __VA_ARGS__ }) / sizeof(char *))

/* ---- random lines that can be read */

static void add_blanks(struct buf *b)
{
	buf_str(b, ONE_OF(" ", " ", " ", "  ", "\t", " \t  "));
}

static const char *number_of(int type)
{
	switch (type) {
	case TYPE_COUNT:
		return ONE_OF("0", "7", "0012", "35");
	case TYPE_MOISTURE:
	case TYPE_HUMIDITY:
		return ONE_OF("9%", "9.30%", "24.5%", "0%");
	case TYPE_TEMPERATURE:
		return ONE_OF("16C", "-3.50C", "68F");
	case TYPE_MASS:
		return ONE_OF("1640g", "2lb9.5oz", "0.4kg", "41oz");
	case TYPE_LENGTH:
		return ONE_OF("850mm", "1.42m", "38in", "4ft8in");
	case TYPE_VOLUME:
		return "2.40m3";
	case TYPE_ENERGY:
		return "1140kWh";
	case TYPE_SPAN:
		return ONE_OF("3d", "2w", "36h");
	case TYPE_READING:
		return ONE_OF("12.0%", "20C", "68F");
	case TYPE_MONEY:
		return ONE_OF("480.00NZD", "96GBP", "12000JPY");
	case TYPE_RATE:
		return ONE_OF("2.2140NZD", "0.5GBP");
	case TYPE_DATE:
		return ONE_OF("2026-10-15", "2028-02-29");
	default:
		return NULL;
	}
}

static const char *word_of(const struct field_use *use)
{
	switch (use->type) {
	case TYPE_PLACE:
		return ONE_OF("yard/b1", "cane");
	case TYPE_PIECE:
		return ONE_OF("M26-05/01", "L061");
	case TYPE_SETTING:
		return ONE_OF("pin2/cane", "pin2");
	case TYPE_PICK:
		return ONE_OF("L061/SH", "C014");
	case TYPE_TEXT:
		return ONE_OF("\"a b\"", "\"ab\"", "\"\"", "\"-\"", "-", "ab,", "\"say \\\"so\\\"\"", "\"a\\\\b\"", "r\xc3\xa9""d", "\"r\xc3\xa9""d\"", "\"#x\"", "\"a,b\"", "\"a=b\"", "50%");
	default:
		return ONE_OF("L061", "mk", "1", "A-b_c", "7");
	}
}

static void add_value(struct buf *b, const struct field_use *use)
{
	const char *number = number_of(use->type);

	if (use->shape & USE_ABSENT && !thrown_below(6)) {
		buf_char(b, '-');
		return;
	}
	if (use->field->nwords) {
		buf_add(b, use->field->words[thrown_below((size_t)use->field->nwords)]);
		return;
	}
	if (use->shape & USE_RANGE && !thrown_below(4)) {
		buf_str(b, use->type == TYPE_DATE ? ONE_OF("2026-10-01..2026-10-31", "2026-10-01..", "..2026-10-31")
			: ONE_OF("2lb8oz..2lb10oz", "1..2kg", "..2kg", "1kg.."));
		return;
	}
	buf_str(b, number ? number : word_of(use));
	if (use->shape & USE_BEYOND && !thrown_below(5))
		buf_char(b, thrown_below(2) ? '+' : '-');
}

static void add_item(struct buf *b, const struct field_use *use, size_t i)
{
	if (use->shape & USE_LABEL_MUST || (use->shape & USE_LABEL_MAY && thrown_below(2)))
		buf_printf(b, "%c%zu:", 'z' - (int)thrown_below(3), i);
	add_value(b, use);
}

static void add_field(struct buf *b, const struct field_use *use)
{
	size_t items = use->shape & USE_MANY ? 1 + thrown_below(4) : 1;

	add_blanks(b);
	buf_add(b, use->field->name);
	buf_char(b, '=');
	for (size_t i = 0; i < items; i++) {
		if (i)
			buf_char(b, ',');
		add_item(b, use, i);
	}
}

static const char *subject_of(unsigned subjects)
{
	if (subjects == SUBJECT_CURRENCY)
		return ONE_OF("GBP", "NZD");
	if (subjects == SUBJECT_PIECE)
		return ONE_OF("M26-05/01", "L1/2");
	if (subjects & (SUBJECT_PLACE | SUBJECT_KILN | SUBJECT_METER))
		return ONE_OF("north", "store/r1", "pin2");
	return ONE_OF("L061", "K26-05", "firewood", "x");
}

static void add_fields(struct buf *b, const struct event_def *event)
{
	int turn = (int)thrown_below((size_t)event->nuses), back = (int)thrown_below(2);

	for (int i = 0; i < event->nuses; i++) {
		const struct field_use *use = &event->uses[((back ? event->nuses - i : i) + turn) % event->nuses];

		if (use->shape & USE_NEEDED || thrown_below(3) == 0)
			add_field(b, use);
	}
}

static void add_stamp(struct buf *b)
{
	buf_printf(b, "2026-0%u", 1 + thrown_below(2));
	buf_printf(b, "-0%u", 1 + thrown_below(3));
	if (thrown_below(2))
		return;
	add_blanks(b);
	buf_str(b, ONE_OF("08:10", "08:10:00", "23:59:59", "02:30+13:00", "00:00Z", "07:45", "15:00"));
}

static void add_entry(struct buf *b)
{
	const struct event_def *event = vocab.events[thrown_below((size_t)vocab.nevents)];

	if (!thrown_below(8))
		add_blanks(b);
	add_stamp(b);
	add_blanks(b);
	buf_add(b, event->name);
	add_blanks(b);
	buf_str(b, subject_of(event->subjects));
	add_fields(b, event);
	if (!thrown_below(3)) {
		add_blanks(b);
		buf_str(b, ONE_OF("# \"as seen", "#", "#x  ", "# r\xc3\xa9""d =\t"));
	} else if (!thrown_below(4))
		add_blanks(b);
}

/* ---- what a line says, as text that does not depend on how it was laid out */

static int by_bytes(const void *a, const void *b)
{
	return slice_cmp(*(const struct slice *)a, *(const struct slice *)b);
}

static void say_field(struct buf *out, const struct line *l, const struct field *f)
{
	buf_add(out, f->key);
	for (size_t i = 0; i < f->n; i++) {
		const struct item *item = &l->item[f->first + i];

		buf_printf(out, " %zu[", item->label.n);
		buf_add(out, item->label);
		buf_str(out, "|");
		item_text(out, item->text);
		buf_printf(out, "|%d", item->v.mark);
		if (value_is_number(f->use->type))
			buf_printf(out, " %d %lld %lld", item->v.unit, (long long)item->v.fix, (long long)item->v.high);
		buf_char(out, ']');
	}
	buf_char(out, '\n');
}

static void say_line(struct buf *out, const struct line *l)
{
	struct buf words = BUF_INIT;
	struct slice field[USE_MOST];
	size_t at[USE_MOST + 1];

	buf_printf(out, "%d %d %d %d ", l->kind, l->stamp.day, l->stamp.second, l->stamp.offset);
	buf_add(out, l->date);
	buf_add(out, l->time);
	buf_add(out, l->event->name);
	buf_add(out, l->subject);
	buf_add(out, slice_trim(l->remark));
	for (size_t i = 0; i < l->nfields; i++) {
		at[i] = words.n;
		say_field(&words, l, &l->field[i]);
	}
	at[l->nfields] = words.n;
	for (size_t i = 0; i < l->nfields; i++)
		field[i] = (struct slice){ words.p + at[i], at[i + 1] - at[i] };
	if (l->nfields)
		qsort(field, l->nfields, sizeof *field, by_bytes);
	for (size_t i = 0; i < l->nfields; i++)
		buf_add(out, field[i]);
	buf_release(&words);
}

static void check_same_content(struct slice text)
{
	struct buf tidy = BUF_INIT, again = BUF_INIT, was = BUF_INIT, is = BUF_INIT;
	const struct line *l = read_line(&parser, text);

	say_line(&was, l);
	tidy_line(&tidy, l);
	l = read_line(&other, buf_slice(&tidy));
	CHECK_INT(l->kind, LINE_EVENT);
	if (l->kind == LINE_EVENT) {
		say_line(&is, l);
		tidy_line(&again, l);
		CHECK_SLICE(buf_slice(&is), buf_slice(&was));
		CHECK_SLICE(buf_slice(&again), buf_slice(&tidy));
	}
	buf_release(&tidy);
	buf_release(&again);
	buf_release(&was);
	buf_release(&is);
}

static void check_random_lines(void)
{
	struct buf b = BUF_INIT;
	long good = 0;

	for (int i = 0; i < 20000; i++) {
		CHECK_CASE(i);
		b.n = 0;
		add_entry(&b);
		if (read_line(&parser, buf_slice(&b))->kind != LINE_EVENT)
			continue;
		good++;
		check_same_content(buf_slice(&b));
	}
	CHECK_CASE(-1);
	CHECK(good > 10000);
	buf_release(&b);
}

/* ---- worked lines */

static void check_worked_lines(void)
{
	static const char *const CASES[][2] = {
		{ "2026-03-05 seal L061 by=jo with=wax", "2026-03-05       seal    L061   with=wax by=jo" },
		{ " 2026-03-05\tseal  L061", "2026-03-05       seal    L061" },
		{ "2026-03-05 seal L061 # x ", "2026-03-05       seal    L061   # x" },
		{ "2026-03-05 10:20 seal L061 with=wax #x", "2026-03-05 10:20 seal    L061   with=wax   #x" },
		{ "2026-03-05 10:20:30+13:00 seal L061 with=wax", "2026-03-05 10:20:30+13:00 seal    L061   with=wax" },
		{ "2026-07-20 air store/r1 rh=54% temp=19.50C", "2026-07-20       air     store/r1 temp=19.50C rh=54%" },
		{ "2028-02-29 note store/r1 text=\"dry\"", "2028-02-29       note    store/r1 text=dry" },
		{ "2028-02-29 note store/r1 text=\"\"", "2028-02-29       note    store/r1 text=\"\"" },
		{ "2028-02-29 note store/r1 text=\"-\"", "2028-02-29       note    store/r1 text=\"-\"" },
		{ "2028-02-29 note store/r1 text=\"re-lined, dry\"", "2028-02-29       note    store/r1 text=\"re-lined, dry\"" },
		{ "2026-06-09 probe K26-05 wood=16C meter=pin2 mc=b:26.0%,a:024.5%,c:-,d:30%+ doc=7",
		  "2026-06-09       probe   K26-05 mc=b:26.0%,a:024.5%,c:-,d:30%+ wood=16C meter=pin2 doc=7" },
		{ "  # a remark\t", "# a remark" },
		{ " \t", "" },
		{ "2026-03-05 seel  L061", "2026-03-05 seel  L061" },
		{ "2026-02-30  seal  L061  ", "2026-02-30  seal  L061  " },
	};
	struct buf out = BUF_INIT;

	for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
		CHECK_CASE(i);
		out.n = 0;
		tidy_line(&out, read_line(&parser, slice_of(CASES[i][0])));
		CHECK_TEXT(buf_slice(&out), CASES[i][1]);
	}
	CHECK_CASE(-1);
	buf_release(&out);
}

/* A line that is as long as a line may be stays readable. */
static void check_longest_line(void)
{
	struct buf b = BUF_INIT, out = BUF_INIT;

	for (size_t short_of = 0; short_of < 40; short_of++) {
		CHECK_CASE(short_of);
		b.n = out.n = 0;
		buf_str(&b, "2026-03-05 seal L1 #");
		buf_fill(&b, 'x', LINE_LONGEST - b.n - short_of);
		tidy_line(&out, read_line(&parser, buf_slice(&b)));
		CHECK(out.n <= LINE_LONGEST);
		CHECK(slice_starts(buf_slice(&out), SLICE("2026-03-05 ")));
		check_same_content(buf_slice(&b));
	}
	CHECK_CASE(-1);
	buf_release(&b);
	buf_release(&out);
}

/* ---- order */

static void arrange(struct tidy *t, struct slice text)
{
	tidy_clear(t);
	for (uint64_t number = 1; text.n; number++) {
		size_t n = slice_find(text, '\n');
		struct slice was = slice_upto(text, n < text.n ? n + 1 : n);

		tidy_add(t, parse_line(&parser, slice_upto(was, n), number, 0), was);
		text = slice_from(text, was.n);
	}
	diags_clear(&diags);
	tidy_sort(t);
}

static void write_rows(struct buf *out, const struct tidy *t)
{
	out->n = 0;
	for (size_t i = 0; i < t->n; i++)
		buf_add(out, tidy_text(t, i));
}

/* Words a line: an entry is a day, perhaps with an hour, and a name; `r` a remark, `.` a blank, `x` an unreadable line. */
static void write_short(struct buf *out, const char *p)
{
	for (; *p; p++) {
		if (*p == 'r' || *p == '.' || *p == 'x')
			buf_printf(out, "%s\n", *p == 'r' ? "# r" : *p == 'x' ? "x" : "");
		else if (p[1] == '@') {
			buf_printf(out, "2026-01-0%c 0%c:00 seal    %c\n", p[0], p[2], p[3]);
			p += 3;
		} else {
			buf_printf(out, "2026-01-0%c       seal    %c\n", p[0], p[1]);
			p++;
		}
	}
}

static void check_worked_orders(void)
{
	static const char *const CASES[][2] = {
		{ "2a1b3c", "1b2a3c" },
		{ "1a1b1c", "1a1b1c" },
		{ "1@9a1b1@7c", "1@7c1@9a1b" },         /* b was written behind a */
		{ "1a1@9b1@7c1d", "1a1@7c1d1@9b" },
		{ "1a1@7b1c1@9d2e1@8f", "1a1@7b1c1@8f1@9d2e" },
		{ "2a1@9b2c1d", "1@9b1d2a2c" },         /* d is behind b, for its day */
		{ "2ar1b", "r1b2a" },                   /* a remark goes with the entry below it */
		{ "2a.1b", ".1b2a" },
		{ "2a.r1b", "2a.r1b" },                 /* a blank line above makes it a heading too */
		{ "2a.r4b3c", "2a.r3c4b" },             /* it stays above its section, whichever entry is first */
		{ "2a.r4brr3c", "2a.rrr3c4b" },
		{ "2ar.1b", "2ar.1b" },                 /* a heading stays, and nothing crosses it */
		{ "4a3br.2c1d", "3b4ar.1d2c" },
		{ "2a.rr.r1b1c", "2a.rr.r1b1c" },
		{ "2ax1b", "2ax1b" },
		{ "3a2brx.2c1d", "2b3arx1d.2c" },
		{ "r2a1b", "r1b2a" },                   /* the head stays */
		{ "r.r2a1b", "r.r1b2a" },
		{ "rxr2a1b", "rx1br2a" },               /* it ends at an unreadable line */
		{ "rx.r2a1b", "rx.r1b2a" },
		{ "2a1br..r", "1b2ar..r" },             /* and so does the tail */
		{ "1@5a1@5b1@4c", "1@4c1@5a1@5b" },
		{ "", "" }, { "r", "r" }, { ".", "." }, { "x", "x" },
	};
	struct buf text = BUF_INIT, want = BUF_INIT, out = BUF_INIT;
	struct tidy t;

	tidy_init(&t);
	for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
		CHECK_CASE(i);
		text.n = want.n = 0;
		write_short(&text, CASES[i][0]);
		write_short(&want, CASES[i][1]);
		arrange(&t, buf_slice(&text));
		write_rows(&out, &t);
		CHECK_SLICE(buf_slice(&out), buf_slice(&want));
		CHECK_INT(tidy_first_change(&t) == t.n, strcmp(CASES[i][0], CASES[i][1]) == 0);
	}
	CHECK_CASE(-1);
	tidy_release(&t);
	buf_release(&text);
	buf_release(&want);
	buf_release(&out);
}

static void check_version_guard(void)
{
	struct buf out = BUF_INIT;
	struct tidy t;

	tidy_init(&t);
	arrange(&t, SLICE("2026-01-02       seal    a\n# withy 2\n2026-01-01       seal    b\n"));
	write_rows(&out, &t);
	CHECK_TEXT(buf_slice(&out), "# withy 1\n# withy 2\n2026-01-01       seal    b\n2026-01-02       seal    a\n");
	arrange(&t, SLICE("2026-01-02       seal    a\n# withy 1\n2026-01-01       seal    b\n"));
	write_rows(&out, &t);
	CHECK_TEXT(buf_slice(&out), "# withy 1\n2026-01-01       seal    b\n2026-01-02       seal    a\n");
	tidy_release(&t);
	buf_release(&out);
}

static size_t split(struct slice text, struct slice *line, size_t most)
{
	size_t n = 0;

	while (text.n && n < most) {
		size_t end = slice_find(text, '\n');

		line[n++] = slice_upto(text, end < text.n ? end + 1 : end);
		text = slice_from(text, line[n - 1].n);
	}
	return n;
}

enum { MOST_LINES = 64 };

/* The same lines as in `text`, each in its canonical form: sorted by their bytes they are alike. */
static void check_nothing_lost(const struct tidy *t, struct slice text)
{
	struct slice is[MOST_LINES], want[MOST_LINES], line[MOST_LINES];
	size_t n = split(text, line, MOST_LINES);
	struct buf canon = BUF_INIT;

	CHECK_INT(t->n, n);
	for (size_t i = 0; i < n; i++) {
		tidy_line(&canon, read_line(&other, slice_upto(line[i], line[i].n - 1)));
		buf_char(&canon, '\n');
	}
	split(buf_slice(&canon), want, MOST_LINES);
	for (size_t i = 0; i < n; i++)
		is[i] = tidy_text(t, i);
	if (n) {
		qsort(is, n, sizeof *is, by_bytes);
		qsort(want, n, sizeof *want, by_bytes);
	}
	for (size_t i = 0; i < n; i++)
		CHECK_SLICE(is[i], want[i]);
	buf_release(&canon);
}

/* Applies a diff: the old lines that it keeps and the new ones that it adds. */
static void check_diff(const struct tidy *t, struct slice text)
{
	struct slice was[MOST_LINES], line[4 * MOST_LINES];
	struct unified_diff_line now[MOST_LINES];
	size_t nwas = split(text, was, MOST_LINES), at = 0, n;
	struct buf diff = BUF_INIT, out = BUF_INIT, want = BUF_INIT;

	for (size_t i = 0; i < t->n; i++)
		now[i] = (struct unified_diff_line){ tidy_text(t, i), t->row[i].index };
	unified_diff_write(&diff, SLICE("b"), was, nwas, now, t->n);
	n = split(buf_slice(&diff), line, 4 * MOST_LINES);
	for (size_t i = 2; i < n; i++) {
		if (line[i].p[0] == '@') {
			size_t from = (size_t)strtoul(line[i].p + 4, NULL, 10), count = slice_find(line[i], ',');

			from -= !(slice_starts(slice_from(line[i], count), SLICE(",0 +")) && count < slice_find(line[i], '+'));
			for (; at < from; at++)
				buf_add(&out, was[at]);
		} else if (line[i].p[0] == '+')
			buf_add(&out, slice_from(line[i], 1));
		else if (line[i].p[0] != '\\') {
			CHECK_SLICE(slice_from(line[i], 1), was[at]);
			if (line[i].p[0] == ' ')
				buf_add(&out, was[at]);
			at++;
		}
	}
	for (; at < nwas; at++)
		buf_add(&out, was[at]);
	write_rows(&want, t);
	CHECK_SLICE(buf_slice(&out), buf_slice(&want));
	CHECK_INT(diff.n == 0, tidy_first_change(t) == t->n);
	buf_release(&diff);
	buf_release(&out);
	buf_release(&want);
}

/* The whole text of a diff: ranges of nothing, of one line, hunks that meet and hunks that do not. */
static void check_diff_text(void)
{
	struct slice was[20] = { { NULL, 0 } };
	struct unified_diff_line now[20] = { { { NULL, 0 }, 0 } };
	struct buf out = BUF_INIT;

	now[0] = (struct unified_diff_line){ SLICE("x\n"), SIZE_MAX };
	unified_diff_write(&out, SLICE("b"), was, 0, now, 1);
	CHECK_TEXT(buf_slice(&out), "--- b\n+++ b\n@@ -0,0 +1 @@\n+x\n");
	out.n = 0;
	was[0] = SLICE("x\n");
	unified_diff_write(&out, SLICE("b"), was, 1, now, 0);
	CHECK_TEXT(buf_slice(&out), "--- b\n+++ b\n@@ -1 +0,0 @@\n-x\n");
	for (size_t i = 0; i < 20; i++) {
		was[i] = SLICE("=\n");
		now[i] = (struct unified_diff_line){ i == 0 || i == 7 || i == 15 ? SLICE("+\n") : was[i], i };
	}
	was[19] = now[19].text = SLICE("no end");
	out.n = 0;
	unified_diff_write(&out, SLICE("b"), was, 20, now, 20);
	CHECK_TEXT(buf_slice(&out), "--- b\n+++ b\n"
		"@@ -1,11 +1,11 @@\n-=\n++\n =\n =\n =\n =\n =\n =\n-=\n++\n =\n =\n =\n"
		"@@ -13,7 +13,7 @@\n =\n =\n =\n-=\n++\n =\n =\n =\n");
	out.n = 0;
	unified_diff_write(&out, SLICE("b"), was + 17, 3, (struct unified_diff_line[]){ { was[17], 0 }, { was[18], 1 }, { SLICE("end\n"), 2 } }, 3);
	CHECK_TEXT(buf_slice(&out), "--- b\n+++ b\n@@ -1,3 +1,3 @@\n =\n =\n-no end\n\\ No newline at end of file\n+end\n");
	buf_release(&out);
}

static void add_random_book(struct buf *b)
{
	size_t lines = thrown_below(30);

	b->n = 0;
	for (size_t i = 0; i < lines; i++) {
		switch (thrown_below(10)) {
		case 0:
			buf_str(b, ONE_OF("# r", "  # r ", "#"));
			break;
		case 1:
			buf_str(b, ONE_OF("", " "));
			break;
		case 2:
			if (!thrown_below(4))
				buf_str(b, ONE_OF("x", "2026-02-30 seal a", "2026-01-01 seal"));
			break;
		default:
			add_entry(b);
		}
		buf_char(b, '\n');
	}
}

static void check_random_books(void)
{
	struct buf b = BUF_INIT, once = BUF_INIT, twice = BUF_INIT;
	struct tidy t, u;

	tidy_init(&t);
	tidy_init(&u);
	for (int i = 0; i < 5000; i++) {
		CHECK_CASE(i);
		add_random_book(&b);
		arrange(&t, buf_slice(&b));
		write_rows(&once, &t);
		check_nothing_lost(&t, buf_slice(&b));
		check_diff(&t, buf_slice(&b));
		arrange(&u, buf_slice(&once));
		write_rows(&twice, &u);
		CHECK_SLICE(buf_slice(&twice), buf_slice(&once));
		CHECK_INT(tidy_first_change(&u), u.n);
	}
	CHECK_CASE(-1);
	tidy_release(&t);
	tidy_release(&u);
	buf_release(&b);
	buf_release(&once);
	buf_release(&twice);
}

int main(void)
{
	thrown_seed = 20260609;
	vocab_init(&vocab);
	diags_init(&diags);
	parser_init(&parser, &vocab, &diags);
	parser_init(&other, &vocab, &diags);
	check_worked_lines();
	check_longest_line();
	check_random_lines();
	check_worked_orders();
	check_version_guard();
	check_diff_text();
	check_random_books();
	parser_release(&parser);
	parser_release(&other);
	diags_release(&diags);
	return check_end();
}
