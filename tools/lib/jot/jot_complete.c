#include "jot/jot_complete.h"

#include "jot/jot_making.h"

/* Words that are kept, each after `before`, with `after` behind it. */
static void add_composed(struct intern *store, struct slice before, const struct jot_choices *from, const char *after, struct jot_choices *out)
{
	struct buf text = BUF_INIT;

	for (size_t i = 0; i < from->n; i++) {
		text.n = 0;
		buf_add(&text, before);
		buf_add(&text, from->at[i].word);
		buf_str(&text, after);
		jot_choices_add(out, intern_text(store, intern_id(store, buf_slice(&text))), from->at[i].help);
	}
	buf_release(&text);
}

void jot_complete_dates(const struct jot_state *s, struct intern *store, struct jot_choices *out)
{
	static const char *const help[] = { "today", "yesterday" };
	struct buf text = BUF_INIT;

	for (int i = 0; i < 2; i++) {
		text.n = 0;
		day_write(&text, s->today - i);
		jot_choices_add(out, intern_text(store, intern_id(store, buf_slice(&text))), slice_of(help[i]));
	}
	buf_release(&text);
}

bool jot_complete_field(const struct jot_state *s, struct slice name, struct jot_choices *out)
{
	const struct field_def *field = vocab_field(s->vocab, name);
	struct field_use use = { field, field ? field->type : 0, field ? field->shape : 0 };

	if (field)
		jot_values_of(s, &use, s->today, out);
	return field;
}

/* ---- an entry */

static void add_subjects(const struct jot_state *s, const struct event_def *event, struct slice typed, struct intern *store, struct jot_choices *out)
{
	struct jot_choices ids = { .n = 0 }, words = { .n = 0 };
	size_t comma = typed.n;

	while (comma && typed.p[comma - 1] != ',')
		comma--;
	jot_values_subjects(s, event, &ids, &words);
	add_composed(store, slice_upto(typed, comma), &words, "", out);
	add_composed(store, slice_upto(typed, comma), &ids, "", out);
	jot_choices_release(&ids);
	jot_choices_release(&words);
}

static bool is_given(const struct slice *word, size_t n, struct slice name)
{
	for (size_t i = 0; i < n; i++)
		if (slice_starts(word[i], name) && word[i].n > name.n && word[i].p[name.n] == '=')
			return true;
	return false;
}

static void add_names(const struct event_def *event, const struct slice *word, size_t n, struct intern *store, struct jot_choices *out)
{
	struct jot_choices all = { .n = 0 }, left = { .n = 0 };

	jot_values_fields(event, false, &all);
	for (size_t i = 0; i < all.n; i++)
		if (!is_given(word, n, all.at[i].word))
			jot_choices_add(&left, all.at[i].word, all.at[i].help);
	add_composed(store, SLICE(""), &left, "=", out);
	jot_choices_release(&all);
	jot_choices_release(&left);
}

/* Values go after the last comma, and after the label of their item. */
static void add_values(const struct jot_state *s, const struct field_use *use, struct slice typed, struct intern *store, struct jot_choices *out)
{
	struct jot_choices values = { .n = 0 }, labels = { .n = 0 };
	size_t item = typed.n;
	bool labelled;

	while (item && typed.p[item - 1] != ',' && typed.p[item - 1] != '=')
		item--;
	labelled = slice_find(slice_from(typed, item), ':') < typed.n - item;
	if (labelled)
		item += slice_find(slice_from(typed, item), ':') + 1;
	else
		jot_values_labels(s, use, s->today, &labels);
	jot_values_of(s, use, s->today, &values);
	add_composed(store, slice_upto(typed, item), &values, "", out);
	add_composed(store, slice_upto(typed, item), &labels, ":", out);
	jot_choices_release(&values);
	jot_choices_release(&labels);
}

/* Whether the word is a date or a time. */
static bool is_stamp(struct slice word)
{
	return word.n > 2 && word.p[0] >= '0' && word.p[0] <= '9' && (slice_find(word, '-') < word.n || slice_find(word, ':') < word.n);
}

static const struct event_def *event_of(const struct jot_state *s, struct slice typed)
{
	struct jot_choices events = { .n = 0 };
	struct slice name;
	const struct event_def *event = NULL;

	jot_values_events(s->vocab, &events);
	if (jot_choices_find(&events, typed, &name) == JOT_ONE)
		event = vocab_event(s->vocab, name);
	jot_choices_release(&events);
	return event;
}

static void add_field(const struct jot_state *s, const struct event_def *event, const struct slice *word, size_t n, struct intern *store, struct jot_choices *out)
{
	struct slice last = word[n - 1], typed = slice_upto(last, slice_find(last, '=')), name;
	struct jot_choices fields = { .n = 0 };

	jot_values_fields(event, false, &fields);
	if (typed.n == last.n)
		add_names(event, word, n - 1, store, out);
	else if (jot_choices_find(&fields, typed, &name) == JOT_ONE)
		add_values(s, vocab_use(event, name), last, store, out);
	jot_choices_release(&fields);
}

void jot_complete_entry(const struct jot_state *s, const struct slice *word, size_t n, struct intern *store, struct jot_choices *out)
{
	const struct event_def *event;
	bool dated = false;

	while (n > 1 && is_stamp(word[0])) {
		word++;
		n--;
		dated = true;
	}
	if (n == 0)
		return;
	if (n == 1 && !dated)
		jot_complete_dates(s, store, out);
	if (n == 1) {
		jot_values_events(s->vocab, out);
		return;
	}
	event = event_of(s, word[0]);
	if (event && n == 2)
		add_subjects(s, event, word[1], store, out);
	else if (event)
		add_field(s, event, word, n, store, out);
}
