#include "check/check_report.h"

#include "base/utf8.h"
#include "book/diag.h"
#include "book/value.h"
#include "book/vocab.h"
#include "table/table.h"

/* ---- one diagnostic */

/* Codes of ECMA-48: an error is in reverse video, a warning is underlined, a note is plain. */
static const char *const MARKS[] = { "", "", "\x1b[4m", "\x1b[7m" };

static void add_level(struct buf *out, int level, bool marked)
{
	marked = marked && *MARKS[level];
	if (marked)
		buf_str(out, MARKS[level]);
	buf_add(out, diag_level_word(level));
	if (marked)
		buf_str(out, "\x1b[0m");
}

void check_report_diag(struct buf *out, const struct diags *d, const struct diag *row, const char *file, bool marked, unsigned width)
{
	struct buf head = BUF_INIT, words = BUF_INIT;

	utf8_add_visible(&head, slice_of(file));
	buf_printf(&head, ":%llu:%u:", (unsigned long long)row->place.line, row->place.col);
	diag_add_words(&words, d, row);
	words.n -= words.n && words.p[words.n - 1] == '\n';
	buf_add(out, buf_slice(&head));
	buf_char(out, ' ');
	add_level(out, row->level, marked);
	buf_char(out, ':');
	utf8_add_wrapped(out, buf_slice(&words), utf8_width(buf_slice(&head)) + 2 + diag_level_word(row->level).n, width ? width : SIZE_MAX);
	buf_char(out, '\n');
	buf_release(&head);
	buf_release(&words);
}

void check_report_diags(struct table *t, const struct diags *d, const char *const *path)
{
	static const struct table_column columns[] = { { "file", TABLE_TEXT, 0, "file" }, { "line", TABLE_INT, 0, "line" },
		{ "column", TABLE_INT, 0, "column" }, { "end_column", TABLE_INT, 0, NULL }, { "level", TABLE_TEXT, 0, "level" },
		{ "rule", TABLE_TEXT, 0, "rule" }, { "text", TABLE_TEXT, 0, "problem" }, { "mend", TABLE_TEXT, 0, "correction" } };

	table_init(t, columns, sizeof columns / sizeof *columns);
	for (size_t i = 0; i < d->n; i++) {
		const struct diag *row = &d->row[i];

		table_cstr(t, path[row->place.file]);
		table_int(t, (int64_t)row->place.line);
		table_int(t, row->place.col);
		table_int(t, row->place.end);
		table_text(t, diag_level_word(row->level));
		table_text(t, diag_rule(row->rule)->id);
		table_text(t, diag_text(d, row));
		table_text(t, diag_mend(d, row));
	}
}

/* ---- the rules */

static void add_example(struct buf *out, const char *title, struct slice book)
{
	buf_printf(out, "  %s:\n", title);
	if (slice_starts(book, SLICE("\\LONG")))
		book = SLICE("(a line longer than 65536 bytes)\n");
	while (book.n) {
		size_t end = slice_find(book, '\n');

		buf_str(out, "    ");
		buf_add(out, slice_upto(book, end));
		buf_char(out, '\n');
		book = slice_from(book, end < book.n ? end + 1 : end);
	}
}

/* A sentence of a rule after `head`, in lines of `width` cells. */
static void add_sentence(struct buf *out, const char *head, int rule, struct slice text, size_t width)
{
	struct buf words = BUF_INIT;

	diag_shape(&words, rule, text);
	buf_str(out, head);
	utf8_add_wrapped(out, buf_slice(&words), strlen(head), width);
	buf_char(out, '\n');
	buf_release(&words);
}

void check_report_about_rule(struct buf *out, const struct diags *d, int rule, unsigned width)
{
	const struct rule_def *def = diag_rule(rule);
	size_t cells = width ? width : SIZE_MAX;

	if (out->n)
		buf_char(out, '\n');
	buf_add(out, def->id);
	buf_str(out, ": ");
	buf_add(out, diag_level_word(d->level[rule]));
	buf_str(out, ", clause ");
	buf_add(out, def->clause);
	buf_str(out, " of book(5)\n");
	add_sentence(out, " ", rule, def->text, cells);
	add_sentence(out, "  To fix it:", rule, def->mend, cells);
	if (def->fix.n)
		add_sentence(out, "  wy-tidy --fix:", rule, def->fix, cells);
	add_example(out, "Wrong", def->wrong);
	add_example(out, "Right", def->right);
}

static void add_rule(struct table *t, const struct diags *d, int rule)
{
	const struct rule_def *def = diag_rule(rule);
	struct buf text = BUF_INIT;

	table_text(t, def->id);
	table_text(t, def->clause);
	table_text(t, diag_level_word(d->level[rule]));
	table_text(t, diag_level_word(def->level));
	diag_shape(&text, rule, def->text);
	table_text(t, buf_slice(&text));
	text.n = 0;
	diag_shape(&text, rule, def->mend);
	table_text(t, buf_slice(&text));
	buf_release(&text);
}

bool check_report_rules(struct table *t, const struct diags *d, char *const *names, struct slice *bad)
{
	static const struct table_column columns[] = { { "rule", TABLE_TEXT, 0, "rule" }, { "clause", TABLE_TEXT, 0, "clause" },
		{ "level", TABLE_TEXT, 0, "level here" }, { "default_level", TABLE_TEXT, 0, NULL }, { "text", TABLE_TEXT, 0, "problem" },
		{ "mend", TABLE_TEXT, 0, NULL } };

	table_init(t, columns, sizeof columns / sizeof *columns);
	for (int rule = 0; !*names && rule < RULES_END; rule++)
		add_rule(t, d, rule);
	for (; *names; names++) {
		*bad = slice_of(*names);
		if (diag_rule_named(*bad) < 0)
			return false;
		add_rule(t, d, diag_rule_named(*bad));
	}
	return true;
}

/* ---- the vocabulary */

static const char *use_word(unsigned shape)
{
	return shape & USE_NEEDED ? "needs" : shape & USE_ONE_OF ? "one of" : "takes";
}

/* How the value is written: "list, label:, a..b, +, -". */
static void add_shape(struct buf *out, unsigned shape)
{
	static const struct {
		unsigned bit;
		const char *word;
	} WORDS[] = { { USE_MANY, "list" }, { USE_LABEL_MAY, "[LABEL:]" }, { USE_LABEL_MUST, "LABEL:" },
		{ USE_RANGE, "A..B" }, { USE_BEYOND, "N+ N-" }, { USE_ABSENT, "-" } };

	for (size_t i = 0; i < sizeof WORDS / sizeof *WORDS; i++) {
		if (!(shape & WORDS[i].bit))
			continue;
		if (out->n)
			buf_str(out, ", ");
		buf_str(out, WORDS[i].word);
	}
}

/* The units, or the words that a field is limited to. */
static void add_words(struct buf *out, const struct field_use *use)
{
	for (int i = 0; i < use->field->nwords; i++) {
		buf_str(out, i ? ", " : "");
		buf_add(out, use->field->words[i]);
	}
	if (vocab_type(use->type)->nunits)
		value_units(out, use->type);
}

static void add_subjects(struct buf *out, unsigned subjects)
{
	for (unsigned left = subjects; left; left &= left - 1) {
		buf_str(out, out->n ? ", " : "");
		buf_add(out, vocab_subject(left & (0 - left)));
	}
}

static void add_event_row(struct table *t, const struct event_def *e, struct slice field, const char *use, struct slice type,
	struct slice shape, struct slice words, struct slice help)
{
	table_text(t, e->name);
	table_text(t, field);
	table_cstr(t, use);
	table_text(t, type);
	table_text(t, shape);
	table_text(t, words);
	table_text(t, help);
}

static void add_event(struct table *t, const struct event_def *e)
{
	struct buf shape = BUF_INIT, words = BUF_INIT;

	add_subjects(&words, e->subjects);
	add_event_row(t, e, SLICE(""), "about", SLICE("id"), SLICE(""), buf_slice(&words), e->help);
	for (int i = 0; i < e->nuses; i++) {
		const struct field_use *use = &e->uses[i];

		shape.n = words.n = 0;
		add_shape(&shape, use->shape);
		add_words(&words, use);
		add_event_row(t, e, use->field->name, use_word(use->shape), vocab_type(use->type)->name, buf_slice(&shape),
			buf_slice(&words), use->field->help);
	}
	buf_release(&shape);
	buf_release(&words);
}

bool check_report_events(struct table *t, const struct vocab *v, char *const *names, struct slice *bad)
{
	static const struct table_column columns[] = { { "event", TABLE_TEXT, 0, "event" }, { "field", TABLE_TEXT, 0, "field" },
		{ "use", TABLE_TEXT, 0, "use" }, { "type", TABLE_TEXT, 0, "type of value" }, { "form", TABLE_TEXT, 0, NULL }, { "words", TABLE_TEXT, 0, NULL },
		{ "help", TABLE_TEXT, 0, "meaning" } };

	table_init(t, columns, sizeof columns / sizeof *columns);
	for (int i = 0; !*names && i < v->nevents; i++)
		add_event(t, v->events[i]);
	for (; *names; names++) {
		*bad = slice_of(*names);
		if (!vocab_event(v, *bad))
			return false;
		add_event(t, vocab_event(v, *bad));
	}
	return true;
}
