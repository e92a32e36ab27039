#include "jot/jot_entry.h"

#include <stdlib.h>

#include "jot/jot_fill.h"
#include "jot/jot_making.h"
#include "jot/jot_slots.h"
#include "jot/jot_subjects.h"

void jot_entry_init(struct jot_entry *e)
{
	*e = (struct jot_entry){ BUF_INIT, BUF_INIT, BUF_INIT };
}

void jot_entry_release(struct jot_entry *e)
{
	buf_release(&e->lines);
	buf_release(&e->filled);
	buf_release(&e->error);
}

/* The words of an entry, by what they are. */
struct words {
	struct slice *named, *bare;  /* NAME=VALUE, and others */
	size_t nnamed, nbare;
	struct buf comment;
};

static bool fails(struct jot_entry *e, const char *why, struct slice word)
{
	jot_making_quote(&e->error, word);
	buf_printf(&e->error, " %s", why);
	return false;
}

/* ---- the head */

static bool looks_dated(struct slice word)
{
	return word.n > 4 && word.p[0] >= '0' && word.p[0] <= '9' && word.p[4] == '-';
}

static bool looks_timed(struct slice word)
{
	return word.n > 2 && word.p[0] >= '0' && word.p[0] <= '9' && slice_find(word, ':') < word.n;
}

/* The date and the time, where they are typed; returns how many words they take. */
static size_t take_stamp(struct jot_making *m, const struct slice *word, size_t n)
{
	size_t at = 0;

	m->date = m->now->date;
	m->time = m->now->time;
	if (at < n && looks_dated(word[at])) {
		m->date = word[at++];
		m->time = SLICE("");
	}
	if (at < n && looks_timed(word[at]))
		m->time = word[at++];
	return at;
}

static bool take_event(struct jot_making *m, struct slice word)
{
	struct jot_choices events = { .n = 0 };
	struct slice name = word, near;
	struct buf *error = &m->entry->error;
	enum jot_found found;

	jot_values_events(m->now->state->vocab, &events);
	found = jot_choices_find(&events, word, &name);
	if (found == JOT_MANY) {
		buf_str(error, "event: ");
		jot_making_quote(error, word);
		buf_str(error, " may be ");
		jot_choices_list(&events, word, error);
		buf_str(error, "; write more of it");
	} else if (found == JOT_NONE) {
		near = vocab_near_event(m->now->state->vocab, word);
		jot_making_quote(error, word);
		buf_str(error, " is not a known event");
		if (near.n)
			buf_printf(error, "; perhaps %.*s?", (int)near.n, near.p);
		else
			buf_str(error, "; wy-check --events lists the events");
	} else
		m->event = vocab_event(m->now->state->vocab, name);
	jot_choices_release(&events);
	return found == JOT_ONE;
}

static void needs_subject(struct jot_making *m)
{
	struct buf *error = &m->entry->error;
	const char *glue = ": ";

	buf_add(error, m->event->name);
	buf_str(error, " needs a subject");
	for (unsigned bit = 1; bit <= SUBJECT_PARCEL; bit <<= 1) {
		if (!(m->event->subjects & bit))
			continue;
		buf_str(error, glue);
		buf_add(error, vocab_subject(bit));
		glue = " or ";
	}
}

/* ---- the fields */

static size_t name_length(struct slice word)
{
	size_t n = 0;

	while (n < word.n && (token_is(word.p + n, word.p + word.n, TOKEN_ID) || word.p[n] == '-'))
		n++;
	return n && n < word.n && word.p[n] == '=' ? n : 0;
}

static void sort_words(struct words *w, const struct slice *word, size_t n)
{
	*w = (struct words){ .named = mem_array(n, sizeof *w->named), .bare = mem_array(n, sizeof *w->bare), .comment = BUF_INIT };
	for (size_t i = 0; i < n; i++) {
		if (w->comment.n || (word[i].n && word[i].p[0] == '#')) {
			buf_str(&w->comment, w->comment.n ? " " : "");
			buf_add(&w->comment, word[i]);
		} else if (name_length(word[i]))
			w->named[w->nnamed++] = word[i];
		else
			w->bare[w->nbare++] = word[i];
	}
}

static void release_words(struct words *w)
{
	free(w->named);
	free(w->bare);
	buf_release(&w->comment);
}

static bool add_named(struct jot_making *m, const struct jot_choices *fields, struct slice word)
{
	size_t n = name_length(word);
	struct slice typed = slice_upto(word, n), name = typed;
	enum jot_found found = jot_choices_find(fields, typed, &name);
	struct jot_field *field;

	if (found != JOT_ONE) {
		struct buf *error = &m->entry->error;

		jot_making_quote(error, slice_upto(word, n + 1));
		buf_printf(error, " %s ", found == JOT_MANY ? "may be" : "is not a field here; write one of");
		jot_choices_list(fields, found == JOT_MANY ? typed : SLICE(""), error);
		buf_str(error, found == JOT_MANY ? "; write more of it" : "");
		return false;
	}
	field = jot_making_add(m, vocab_use(m->event, name));
	if (!field)
		return fails(m->entry, "is one field too many", word);
	buf_add(&field->value, slice_from(word, n + 1));
	return true;
}

static bool add_all_named(struct jot_making *m, const struct words *w)
{
	struct jot_choices fields = { .n = 0 };
	bool good = true;

	jot_values_fields(m->event, false, &fields);
	for (size_t i = 0; good && i < w->nnamed; i++)
		good = add_named(m, &fields, w->named[i]);
	jot_choices_release(&fields);
	return good;
}

static bool expand_all(struct jot_making *m)
{
	for (size_t i = 0; i < m->nfields; i++) {
		struct jot_field *field = &m->field[i];
		struct buf full = BUF_INIT;
		bool good = jot_values_expand(m->now->state, field->use, m->day, m->bat, buf_slice(&field->value), &full, &m->entry->error);

		buf_release(&field->value);
		field->value = full;
		if (!good)
			return false;
	}
	return true;
}

/* ---- a line */

static void put(struct buf *out, struct slice word)
{
	if (word.n)
		buf_char(out, ' ');
	buf_add(out, word);
}

static void write_line(const struct jot_making *m, const struct words *w)
{
	struct buf *out = &m->entry->lines;

	buf_add(out, m->date);
	put(out, m->time);
	put(out, m->event->name);
	put(out, m->subject);
	for (size_t i = 0; i < m->nfields; i++) {
		put(out, m->field[i].use->field->name);
		buf_char(out, '=');
		buf_add(out, buf_slice(&m->field[i].value));
	}
	put(out, buf_slice(&w->comment));
	buf_char(out, '\n');
}

static void forget_fields(struct jot_making *m)
{
	for (size_t i = 0; i < m->nfields; i++)
		buf_release(&m->field[i].value);
	m->nfields = 0;
}

static bool add_line(struct jot_making *m, const struct words *w, struct slice subject)
{
	bool good;

	m->subject = subject;
	m->bat = jot_state_kinds(m->now->state, subject) & SUBJECT_BAT || (m->event->subjects & SUBJECT_BAT && !(m->event->subjects & ~(unsigned)SUBJECT_BAT));
	good = add_all_named(m, w) && jot_slots_fill(m, w->bare, w->nbare) && expand_all(m) && jot_fill(m);
	if (good)
		write_line(m, w);
	forget_fields(m);
	return good;
}

static bool add_lines(struct jot_making *m, const struct slice *word, size_t n)
{
	struct jot_subjects subjects;
	struct words w;
	bool good = jot_subjects_read(&subjects, m, word[0]);

	sort_words(&w, word + 1, n - 1);
	for (size_t i = 0; good && i < subjects.n; i++)
		good = add_line(m, &w, buf_slice(&subjects.id[i]));
	release_words(&w);
	jot_subjects_release(&subjects);
	return good;
}

bool jot_entry_add(struct jot_entry *e, const struct jot_now *now, const struct slice *word, size_t n)
{
	struct jot_making *m = mem_zeroed(1, sizeof *m);
	size_t at;
	bool good = false;

	m->now = now;
	m->entry = e;
	at = take_stamp(m, word, n);
	m->day = now->state->today;
	if (date_read(m->date, &m->day) != DATE_OK)
		fails(e, "is not a valid date; write it as YYYY-MM-DD", m->date);
	else if (at == n)
		buf_str(&e->error, "the event is missing; write it as seal L061 with=wax");
	else if (take_event(m, word[at]) && at + 1 == n)
		needs_subject(m);
	else if (m->event)
		good = add_lines(m, word + at + 1, n - at - 1);
	free(m);
	return good;
}

/* ---- a line of text */

static size_t split(struct slice line, struct slice **word)
{
	const char *p = line.p, *end = line.p + line.n;
	size_t n = 0, cap = 0;

	*word = NULL;
	for (p = token_skip_blanks(p, end); p < end; p = token_skip_blanks(p, end)) {
		const char *stop = *p == '#' ? end : token_value_end(p, end);

		if (stop == p)
			stop = token_word_end(p, end);
		*word = mem_grow(*word, &cap, n + 1, sizeof **word);
		(*word)[n++] = slice_between(p, stop);
		p = stop;
	}
	return n;
}

bool jot_entry_line(struct jot_entry *e, const struct jot_now *now, struct slice line)
{
	struct slice *word;
	size_t n = split(line, &word);
	bool good = true;

	if (n && word[0].p[0] == '#') {
		buf_add(&e->lines, line);
		buf_char(&e->lines, '\n');
	} else if (n)
		good = jot_entry_add(e, now, word, n);
	free(word);
	return good;
}
