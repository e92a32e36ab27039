#include "cli/tool_jot_ask.h"

#include <stdio.h>
#include <stdlib.h>

#include "base/utf8.h"
#include "cli/prompt.h"
#include "jot/jot_complete.h"
#include "jot/jot_slots.h"
#include "jot/jot_values.h"

enum { ANSWERS_MOST = 2 * USE_MOST, LABEL_MOST = 200 };

/* What was answered: a word of the entry, after `before`, such as "at=". */
struct answer {
	struct buf before, text;
};

struct form {
	struct tool_jot *tool;
	struct jot_state *state;
	const struct event_def *event;
	struct intern store;       /* texts of choices */
	struct answer answer[ANSWERS_MOST];
	size_t n;                  /* answers of this round; those after it are of the last round, to be edited */
};

static void say(const char *text)
{
	tool_put(slice_of(text));
	tool_put(SLICE("\n"));
	tool_flush();
}

/* ---- one question */

/* What the questions are completed by: choices that are there already. */
static void offer(void *context, struct slice so_far, struct jot_choices *out)
{
	const struct jot_choices *from = context;

	(void)so_far;
	for (size_t i = 0; i < from->n; i++)
		jot_choices_add(out, from->at[i].word, from->at[i].help);
}

/* Adds what the reading of a probe begins with: mc=a: */
static void add_probe(struct buf *out, const struct event_def *event, struct slice label)
{
	for (int i = 0; i < event->nuses; i++)
		if (event->uses[i].field->id == FIELD_MC)
			buf_add(out, event->uses[i].field->name);
	buf_printf(out, "=%.*s:", (int)label.n, label.p);
}

/* Whether the answer to a question after that for the event can stand; an empty one can. */
static bool stands(const struct form *f, struct slice before, struct slice text)
{
	struct buf field = BUF_INIT;
	struct slice word[3] = { f->n ? f->event->name : text, f->n > 1 ? buf_slice(&f->answer[1].text) : text };
	bool good;

	if (!f->n || !text.n)
		return true;
	if (slice_starts(before, SLICE("probe ")))
		add_probe(&field, f->event, slice_from(before, sizeof "probe " - 1));
	else if (before.n && before.p[before.n - 1] == '=')
		buf_add(&field, before);
	buf_add(&field, text);
	word[2] = buf_slice(&field);
	good = (slice_eq(before, SLICE("more")) && slice_find(text, '=') == text.n) || tool_jot_answer(f->tool, f->state, word, f->n > 1 ? 3 : 2);
	buf_release(&field);
	return good;
}

/*
 * Asks for the next answer, with what was answered in the last round where it was the same question; again where it
 * cannot stand.
 */
static bool ask(struct form *f, const char *label, const char *before, prompt_complete *complete, void *context)
{
	struct answer *a = &f->answer[f->n];
	struct buf first = BUF_INIT;
	bool goes_on;

	if (!slice_eq(buf_slice(&a->before), slice_of(before)))
		a->text.n = 0;
	do {
		first.n = 0;
		buf_add(&first, buf_slice(&a->text));
		goes_on = prompt_ask(label, buf_slice(&first), complete, context, &a->text);
	} while (goes_on && !stands(f, slice_of(before), buf_slice(&a->text)));
	a->before.n = 0;
	buf_str(&a->before, before);
	buf_release(&first);
	f->n += goes_on && f->n + 1 < ANSWERS_MOST;
	return goes_on;
}

static void show_choices(const struct jot_choices *choices)
{
	struct buf words = BUF_INIT, out = BUF_INIT;

	if (!choices->n)
		return;
	jot_choices_list(choices, SLICE(""), &words);
	buf_char(&out, ' ');
	utf8_add_wrapped(&out, buf_slice(&words), 1, tool_width() ? tool_width() : SIZE_MAX);
	say(buf_cstr(&out));
	buf_release(&words);
	buf_release(&out);
}

static bool ask_event(struct form *f)
{
	struct jot_choices events = { .n = 0 };
	struct slice name = SLICE("");
	bool goes_on;

	jot_values_events(f->state->vocab, &events);
	do {
		f->n = 0;
		show_choices(&events);
		goes_on = ask(f, "event: ", "", offer, &events);
	} while (goes_on && jot_choices_find(&events, buf_slice(&f->answer[0].text), &name) != JOT_ONE);
	f->event = vocab_event(f->state->vocab, name);
	jot_choices_release(&events);
	return goes_on;
}

static bool ask_subject(struct form *f)
{
	struct jot_choices ids = { .n = 0 }, words = { .n = 0 };
	bool goes_on;

	jot_values_subjects(f->state, f->event, &ids, &words);
	for (size_t i = 0; i < ids.n; i++)
		jot_choices_add(&words, ids.at[i].word, ids.at[i].help);
	do {
		f->n = 1;
		show_choices(&words);
		goes_on = ask(f, "about: ", "", offer, &words);
	} while (goes_on && !f->answer[1].text.n);
	jot_choices_release(&ids);
	jot_choices_release(&words);
	return goes_on;
}

/* ---- fields */

static bool ask_field(struct form *f, const struct field_use *use)
{
	struct jot_choices values = { .n = 0 };
	struct buf label = BUF_INIT, before = BUF_INIT;
	bool goes_on;

	jot_values_of(f->state, use, f->tool->today, &values);
	jot_values_labels(f->state, use, f->tool->today, &values);
	show_choices(&values);
	buf_printf(&label, "%.*s, %.*s: ", (int)use->field->name.n, use->field->name.p, (int)use->field->help.n, use->field->help.p);
	buf_printf(&before, "%.*s=", (int)use->field->name.n, use->field->name.p);
	goes_on = ask(f, buf_cstr(&label), buf_cstr(&before), offer, &values);
	buf_release(&label);
	buf_release(&before);
	jot_choices_release(&values);
	return goes_on;
}

/* A reading for each probe that is in; an empty answer is one that was not taken. */
static bool ask_probes(struct form *f, const struct jot_choices *probes)
{
	bool goes_on = true;

	for (size_t i = 0; goes_on && i < probes->n; i++) {
		struct slice probe = probes->at[i].word, lot = probes->at[i].help;
		char label[LABEL_MOST], before[LABEL_MOST];

		snprintf(label, sizeof label, "reading of probe %.*s in %.*s, - for none: ", (int)probe.n, probe.p, (int)lot.n, lot.p);
		snprintf(before, sizeof before, "probe %.*s", (int)probe.n, probe.p);
		goes_on = ask(f, label, before, NULL, NULL);
	}
	return goes_on;
}

static bool ask_fields(struct form *f)
{
	struct jot_choices fields = { .n = 0 }, probes = { .n = 0 };
	bool goes_on = true;

	jot_slots_fields(f->event, &fields);
	if (f->event->id == EVENT_PROBE)
		jot_state_probes(f->state, buf_slice(&f->answer[1].text), f->tool->today, &probes);
	if (probes.n)
		goes_on = ask_probes(f, &probes);
	for (size_t i = 0; goes_on && i < fields.n && !probes.n; i++)
		goes_on = ask_field(f, vocab_use(f->event, fields.at[i].word));
	jot_choices_release(&fields);
	jot_choices_release(&probes);
	return goes_on;
}

/* Completes NAME=VALUE of the event that was answered. */
static void offer_more(void *context, struct slice so_far, struct jot_choices *out)
{
	struct form *f = context;
	struct slice word[3] = { f->event->name, buf_slice(&f->answer[1].text), so_far };

	jot_complete_entry(f->state, word, 3, &f->store, out);
}

/* Other fields, until the answer is empty. */
static bool ask_more(struct form *f)
{
	bool goes_on;

	do
		goes_on = ask(f, "more, as FIELD=VALUE, or nothing: ", "more", offer_more, f);
	while (goes_on && f->answer[f->n - 1].text.n && f->n + 1 < ANSWERS_MOST);
	return goes_on;
}

/* ---- the entry */

/* The answers as the words of an entry, composed in `texts`. Returns how many. */
static size_t write_words(const struct form *f, struct buf *texts, struct slice *word)
{
	size_t n = 0;

	for (size_t i = 0; i < f->n; i++) {
		struct slice before = buf_slice(&f->answer[i].before), text = buf_slice(&f->answer[i].text);

		if (!text.n)
			continue;
		if (before.n && before.p[before.n - 1] == '=')
			buf_add(&texts[i], before);
		buf_add(&texts[i], text);
		word[n++] = buf_slice(&texts[i]);
	}
	return n;
}

static int write_entry(const struct form *f, bool dry)
{
	struct buf texts[ANSWERS_MOST] = { BUF_INIT };
	struct slice word[ANSWERS_MOST];
	struct tool_jot tool_now = *f->tool;
	struct tool_jot_input input = { .word = word };
	int status;

	input.n = write_words(f, texts, word);
	tool_now.preview = dry;
	tool_now.shown = !dry;
	status = tool_jot_write(&tool_now, &input);
	tool_flush();
	for (size_t i = 0; i < ANSWERS_MOST; i++)
		buf_release(&texts[i]);
	return status;
}

static bool ask_all(struct form *f)
{
	return ask_event(f) && ask_subject(f) && ask_fields(f) && ask_more(f);
}

static bool ask_yes(bool *yes)
{
	struct jot_choices words = { .n = 0 };
	struct buf answer = BUF_INIT;
	bool goes_on;

	jot_choices_add(&words, SLICE("yes"), SLICE(""));
	jot_choices_add(&words, SLICE("no"), SLICE(""));
	do
		goes_on = prompt_ask("write it, yes or no: ", SLICE(""), offer, &words, &answer);
	while (goes_on && !(answer.n && (answer.p[0] == 'y' || answer.p[0] == 'n')));
	*yes = goes_on && answer.p[0] == 'y';
	buf_release(&answer);
	jot_choices_release(&words);
	return goes_on;
}

/* Round after round, each with the answers of the one before, until the entry is written or the person leaves. */
static int go_on(struct form *f)
{
	bool yes = false;

	while (ask_all(f))
		if (write_entry(f, true) == TOOL_DONE) {
			if (!ask_yes(&yes))
				break;
			if (yes)
				return write_entry(f, false);
		}
	tool_warn("nothing was written");
	return TOOL_NO;
}

int tool_jot_ask(struct tool_jot *t)
{
	struct form *f;
	int status;

	if (!prompt_is_possible())
		tool_fail("--ask needs a terminal for its questions; elsewhere write the entry as words");
	f = mem_zeroed(1, sizeof *f);
	f->tool = t;
	f->state = tool_jot_look(t);
	intern_init(&f->store);
	say("Tab completes an answer or shows the choices. Esc leaves and writes nothing.");
	status = go_on(f);
	tool_jot_forget(f->state);
	intern_release(&f->store);
	for (size_t i = 0; i < ANSWERS_MOST; i++) {
		buf_release(&f->answer[i].before);
		buf_release(&f->answer[i].text);
	}
	free(f);
	return status;
}
