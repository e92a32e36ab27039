#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

#include "book/vocab.h"
#include "day.h"
#include "page.h"

void page_open(struct page *p, int day)
{
	p->day = day;
	shelf_new_day(p->shelf);
}

struct line *page_say(struct page *p, int minute, const char *event, const char *subject)
{
	struct line *l = mem_zeroed(1, sizeof *l);

	l->minute = minute;
	buf_printf(&l->head, "%-7s %s", event, subject);
	for (size_t i = strlen(subject); i < 6; i++)
		buf_char(&l->head, ' ');
	p->lines = mem_grow(p->lines, &p->cap, p->n + 1, sizeof *p->lines);
	return p->lines[p->n++] = l;
}

static void buf_vadd(struct buf *b, const char *fmt, va_list ap)
{
	char text[1024];
	int n = vsnprintf(text, sizeof text, fmt, ap);

	if (n < 0 || (size_t)n >= sizeof text)
		stop("a field of more than %zu bytes", sizeof text);
	buf_add(b, (struct slice){ text, (size_t)n });
}

/* As wy-tidy has it: as the vocabulary lists them, the works' own, the paper, the writer. */
static int field_order(const char *name)
{
	struct vocab v;
	const struct field_def *f;

	if (strcmp(name, "doc") == 0)
		return FIELD_MOST + 1;
	if (strcmp(name, "by") == 0)
		return FIELD_MOST + 2;
	vocab_init(&v);
	f = vocab_field(&v, slice_of(name));
	return f ? f->id : FIELD_MOST;
}

void line_add(struct line *l, const char *name, const char *fmt, ...)
{
	struct buf b = BUF_INIT;
	va_list ap;

	buf_printf(&b, "%s=", name);
	va_start(ap, fmt);
	buf_vadd(&b, fmt, ap);
	va_end(ap);
	l->fields = mem_grow(l->fields, &l->cap, l->n + 1, sizeof *l->fields);
	l->fields[l->n++] = (struct field_text){ field_order(name), mem_copy(b.p, b.n) };
	buf_release(&b);
}

void line_remark(struct line *l, const char *fmt, ...)
{
	va_list ap;

	buf_str(&l->remark, "   # ");
	va_start(ap, fmt);
	buf_vadd(&l->remark, fmt, ap);
	va_end(ap);
}

void line_pick(struct line *l, struct key k, unsigned said, unsigned wanted)
{
	l->picks = true;
	l->pick = k;
	l->said = said;
	l->wanted = wanted;
}

static void page_effect(struct page *p, struct key k, int n)
{
	p->effects = mem_grow(p->effects, &p->effects_cap, p->effects_n + 1, sizeof *p->effects);
	p->effects[p->effects_n++] = (struct effect){ p->n - 1, k, n };
}

void page_take(struct page *p, struct key k, int n)
{
	shelf_take(p->shelf, k, n);
	page_effect(p, k, -n);
}

void page_give(struct page *p, struct key k, int n)
{
	shelf_give(p->shelf, k, n);
	page_effect(p, k, n);
}

/* ---- as few words as name one bucket ---- */

static bool fits(struct key want, struct key have, unsigned words)
{
	return (!(words & W_LOT) || want.lot == have.lot)
		&& (!(words & W_FORM) || want.form == have.form)
		&& (!(words & W_TYPE) || want.type == have.type)
		&& (!(words & W_GRADE) || want.grade == have.grade)
		&& (!(words & W_AT) || want.at == have.at);
}

/* What came into a bucket today by other entries than `l`. */
static int given_else(const struct page *p, const struct line *l, struct key k)
{
	int n = 0;

	for (size_t i = 0; i < p->effects_n; i++)
		if (p->lines[p->effects[i].line] != l && p->effects[i].n > 0 && key_same(p->effects[i].key, k))
			n += p->effects[i].n;
	return n;
}

/* How many buckets the words fit, of those that held pieces at any moment but for `l` itself. */
static int fitting(const struct page *p, const struct line *l, unsigned words)
{
	const struct shelf *s = p->shelf;
	int n = 0;

	for (size_t i = 0; i < s->n; i++) {
		const struct bucket *b = &s->v[i];

		if ((b->start || b->given) && fits(l->pick, b->key, words)
			&& (b->start || given_else(p, l, b->key)))
			n++;
	}
	return n;
}

static int words_count(unsigned words)
{
	int n = 0;

	for (; words; words &= words - 1)
		n++;
	return n;
}

static unsigned words_needed(const struct page *p, const struct line *l)
{
	unsigned base = l->said | l->wanted, best = W_ALL;

	if (fitting(p, l, W_ALL) != 1)
		stop("nothing of %s %s %s %s at %s to pick", l->pick.lot, l->pick.form, l->pick.type,
			l->pick.grade, l->pick.at);
	for (unsigned more = 0; more <= W_ALL; more++)
		if (words_count(base | more) < words_count(best)
			&& fitting(p, l, base | more) == 1)
			best = base | more;
	return (best | l->wanted) & ~l->said;
}

static void word_add(struct line *l, unsigned words, unsigned word, const char *name, const char *value)
{
	if (words & word)
		line_add(l, name, "%s", *value ? value : "-");
}

static void pick_add(const struct page *p, struct line *l)
{
	unsigned words = words_needed(p, l);

	word_add(l, words, W_LOT, "lot", l->pick.lot);
	word_add(l, words, W_AT, "at", l->pick.at);
	word_add(l, words, W_FORM, "form", l->pick.form);
	word_add(l, words, W_TYPE, "type", l->pick.type);
	word_add(l, words, W_GRADE, "grade", l->pick.grade);
}

/* ---- any order of the day ---- */

struct day_sum {
	int taken, timed_taken, untimed_given, untimed_taken;
	bool untimed;
};

static struct day_sum day_sum_of(const struct page *p, struct key k)
{
	struct day_sum d = { 0 };

	for (size_t i = 0; i < p->effects_n; i++) {
		const struct effect *e = &p->effects[i];
		bool untimed = p->lines[e->line]->minute == UNTIMED;

		if (!key_same(e->key, k))
			continue;
		d.untimed |= untimed;
		if (e->n < 0)
			*(untimed ? &d.untimed_taken : &d.timed_taken) -= e->n;
		else if (untimed)
			d.untimed_given += e->n;
	}
	d.taken = d.timed_taken + d.untimed_taken;
	return d;
}

static void day_prove(struct page *p)
{
	char date[11];

	for (size_t i = 0; i < p->shelf->n; i++) {
		const struct bucket *b = &p->shelf->v[i];
		struct day_sum d;

		if (!b->taken && !b->given)
			continue;
		d = day_sum_of(p, b->key);
		if (!d.untimed || d.taken <= b->start)
			continue;
		p->plain++;
		if (d.untimed_given && d.untimed_taken)
			stop("%s: %s %s %s at %s comes and goes untimed", day_text(date, p->day),
				b->key.lot, b->key.type, b->key.grade, b->key.at);
	}
}

/* For one bucket, timed entries must have been said in their order. */
static bool out_of_order(const struct page *p, const struct effect *a, const struct effect *b)
{
	int early = p->lines[a->line]->minute, late = p->lines[b->line]->minute;

	if (a->line == b->line || !key_same(a->key, b->key) || early == UNTIMED || late == UNTIMED)
		return false;
	return late < early || (late == early && (a->n < 0) != (b->n < 0));
}

/* A bucket that is counted must have the day to itself. */
static void tallies_prove(const struct page *p)
{
	for (size_t i = 0; i < p->effects_n; i++) {
		const struct effect *a = &p->effects[i];

		if (!slice_starts(buf_slice(&p->lines[a->line]->head), SLICE("tally")))
			continue;
		for (size_t j = 0; j < p->effects_n; j++)
			if (p->effects[j].line != a->line && key_same(p->effects[j].key, a->key))
				stop("%s is counted and moved on one day", a->key.lot);
	}
}

static void times_prove(const struct page *p)
{
	char date[11];

	for (size_t i = 0; i < p->effects_n; i++)
		for (size_t j = 0; j < i; j++)
			if (out_of_order(p, &p->effects[j], &p->effects[i]))
				stop("%s: %s is said too late", day_text(date, p->day),
					buf_cstr(&p->lines[p->effects[i].line]->head));
}

static int field_cmp(const void *a, const void *b)
{
	return ((const struct field_text *)a)->order - ((const struct field_text *)b)->order;
}

static void line_write(const struct page *p, struct line *l, struct buf *out)
{
	char date[11];

	buf_str(out, day_text(date, p->day));
	if (l->minute == UNTIMED)
		buf_str(out, "       ");
	else
		buf_printf(out, " %02d:%02d%s ", l->minute / 60, l->minute % 60, l->offset ? l->offset : "");
	buf_add(out, buf_slice(&l->head));
	if (l->picks)
		pick_add(p, l);
	if (l->n)
		qsort(l->fields, l->n, sizeof *l->fields, field_cmp);
	for (size_t i = 0; i < l->n; i++)
		buf_printf(out, " %s", l->fields[i].text);
	buf_add(out, buf_slice(&l->remark));
	buf_char(out, '\n');
}

static void line_free(struct line *l)
{
	buf_release(&l->head);
	for (size_t i = 0; i < l->n; i++)
		free(l->fields[i].text);
	free(l->fields);
	buf_release(&l->remark);
	free(l);
}

/* Untimed entries first, then by time; otherwise as they were said. */
static void lines_write(const struct page *p, struct buf *out)
{
	for (int minute = UNTIMED; minute < 1440; minute++)
		for (size_t i = 0; i < p->n; i++)
			if (p->lines[i]->minute == minute)
				line_write(p, p->lines[i], out);
}

void page_close(struct page *p, struct buf *out)
{
	day_prove(p);
	times_prove(p);
	tallies_prove(p);
	lines_write(p, out);
	for (size_t i = 0; i < p->n; i++)
		line_free(p->lines[i]);
	p->n = p->effects_n = 0;
}

void page_release(struct page *p)
{
	free(p->lines);
	free(p->effects);
}

void items_add(struct items *it, const char *label, int n)
{
	size_t used = strlen(it->text);

	if (n == 0)
		return;
	if (snprintf(it->text + used, sizeof it->text - used, "%s%s:%d", used ? "," : "", label, n)
		>= (int)(sizeof it->text - used))
		stop("too many items after %s", label);
	it->sum += n;
}
