#include "jot/jot_subjects.h"

#include <stdlib.h>

#include "jot/jot_making.h"

void jot_subjects_release(struct jot_subjects *s)
{
	for (size_t i = 0; i < s->n; i++)
		buf_release(&s->id[i]);
	free(s->id);
}

static bool wrong(struct jot_making *m, struct slice typed, const char *why)
{
	buf_str(&m->entry->error, "subject: ");
	jot_making_quote(&m->entry->error, typed);
	buf_printf(&m->entry->error, " %s", why);
	return false;
}

static struct buf *more(struct jot_subjects *s)
{
	s->id = mem_grow(s->id, &s->cap, s->n + 1, sizeof *s->id);
	s->id[s->n] = (struct buf)BUF_INIT;
	return &s->id[s->n++];
}

/* What the event brings into the book, as a SUBJECT_ bit (check/words.h says it of a line). */
static unsigned brought_in(const struct event_def *event)
{
	switch (event->id) {
	case EVENT_FELL:
	case EVENT_CLEAVE:
	case EVENT_BUY:
	case EVENT_POOL:
	case EVENT_LOAD:
	case EVENT_MAKE:
	case EVENT_ORDER:
		return event->subjects;
	default:
		return 0;
	}
}

static bool add_next(struct jot_subjects *s, struct jot_making *m, struct slice typed)
{
	unsigned kind = brought_in(m->event);

	if (!kind)
		return wrong(m, typed, "is the next id, which only an event that brings it in can have; write the id");
	return jot_state_next(m->now->state, kind, more(s)) || wrong(m, typed, "is the next id, but there is none to count on from; write the first one in full");
}

/* A word of the house where that is meant, else an id. */
static bool add_one(struct jot_subjects *s, struct jot_making *m, struct slice typed)
{
	struct jot_choices ids = { .n = 0 }, words = { .n = 0 };
	struct buf *out = more(s);
	bool known = jot_state_kinds(m->now->state, typed) != 0, good = true;
	struct slice word;

	jot_values_subjects(m->now->state, m->event, &ids, &words);
	if (known)
		buf_add(out, typed);
	else if (words.n && jot_choices_find(&words, typed, &word) != JOT_NONE)
		good = jot_values_word(&words, typed, SLICE("subject"), out, &m->entry->error);
	else
		good = jot_values_word(&ids, typed, SLICE("subject"), out, &m->entry->error);
	jot_choices_release(&ids);
	jot_choices_release(&words);
	return good;
}

/* ---- from one to another */

static size_t digits_at_end(struct slice id)
{
	size_t n = 0;

	while (n < id.n && id.p[id.n - n - 1] >= '0' && id.p[id.n - n - 1] <= '9')
		n++;
	return n;
}

static unsigned long long number_of(struct slice digits)
{
	unsigned long long n = 0;

	for (size_t i = 0; i < digits.n; i++)
		n = n * 10 + (unsigned)(digits.p[i] - '0');
	return n;
}

static bool add_range(struct jot_subjects *s, struct jot_making *m, struct slice typed, size_t dots)
{
	struct slice from = slice_upto(typed, dots), to = slice_from(typed, dots + 2);
	size_t digits = digits_at_end(from), head = from.n - digits;
	char end[JOT_SUBJECTS_MOST];
	unsigned long long first, last;

	/* B0204..07: the end of an id like the first */
	if (to.n < from.n && to.n == digits_at_end(to) && to.n <= digits && from.n < sizeof end) {
		memcpy(end, from.p, from.n);
		memcpy(end + from.n - to.n, to.p, to.n);
		to = (struct slice){ end, from.n };
	}
	if (to.n != from.n || digits_at_end(to) != digits || !slice_eq(slice_upto(from, head), slice_upto(to, head)))
		return wrong(m, typed, "is not a range of ids; write it as B0204..B0207");
	first = number_of(slice_from(from, head));
	last = number_of(slice_from(to, head));
	if (!digits || digits > 15 || last < first || last - first >= JOT_SUBJECTS_MOST)
		return wrong(m, typed, "is not a range of ids from one to a later one, 200 at the most; write it as B0204..B0207");
	for (; first <= last; first++) {
		struct buf *id = more(s);

		buf_add(id, slice_upto(from, from.n - digits));
		buf_printf(id, "%0*llu", (int)digits, first);
	}
	return true;
}

static size_t find_dots(struct slice typed)
{
	for (size_t i = 1; i + 2 < typed.n; i++)
		if (typed.p[i] == '.' && typed.p[i + 1] == '.')
			return i;
	return 0;
}

static bool add(struct jot_subjects *s, struct jot_making *m, struct slice typed)
{
	size_t dots = find_dots(typed);

	if (!typed.n)
		return wrong(m, typed, "is empty; write the subjects with a comma between them");
	if (slice_eq(typed, SLICE("+")))
		return add_next(s, m, typed);
	return dots ? add_range(s, m, typed, dots) : add_one(s, m, typed);
}

bool jot_subjects_read(struct jot_subjects *s, struct jot_making *m, struct slice typed)
{
	bool good = true, more_follow = true;

	*s = (struct jot_subjects){ .n = 0 };
	while (good && more_follow) {
		size_t n = slice_find(typed, ',');

		good = add(s, m, slice_upto(typed, n));
		if (good && s->n > JOT_SUBJECTS_MOST)
			good = wrong(m, typed, "is too much: 200 subjects at the most");
		more_follow = n < typed.n;
		typed = slice_from(typed, more_follow ? n + 1 : n);
	}
	return good;
}
