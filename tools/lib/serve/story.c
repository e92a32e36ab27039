#include "serve/story.h"

#include "serve/answer_parts.h"
#include "serve/cursor.h"
#include "serve/lines_of.h"
#include "serve/works.h"

enum { STORY_LINES = 8 };   /* shown of an id: its first, and the last ones */

static void add_text(struct buf *out, const struct lines_of_row *row)
{
	struct slice text = slice_trim(document_text(&row->file->text, row->line));

	buf_char(out, '\n');
	utf8_add_visible(out, text);
}

/* The lines by their dates: the first, and those at the end. */
static void add_lines(struct buf *out, struct lines_of *found)
{
	size_t shown = 0, lines = 0;
	const struct lines_of_row *last = NULL;

	lines_of_sort(found);
	for (size_t i = 0; i < found->n; i++) {
		lines += !last || last->file != found->row[i].file || last->line != found->row[i].line;
		last = &found->row[i];
	}
	last = NULL;
	for (size_t i = 0; i < found->n; i++) {
		const struct lines_of_row *row = &found->row[i];

		if (last && last->file == row->file && last->line == row->line)
			continue;
		last = row;
		shown++;
		if (shown == 1 || lines - shown < STORY_LINES - 1)
			add_text(out, row);
		else if (shown == 2)
			buf_printf(out, "\n... %zu more ...", lines - STORY_LINES);
	}
}

static void add_stays(struct buf *out, const struct works *w, struct slice id)
{
	bool some = false;

	for (size_t i = 0; i < w->nstays; i++) {
		const struct works_stay *s = &w->stay[i];

		if (!slice_eq((struct slice){ w->stay_text.p + s->lot, s->lot_n }, id))
			continue;
		buf_str(out, some ? ", " : "\nnow: ");
		buf_add(out, (struct slice){ w->stay_text.p + s->at, s->n });
		some = true;
	}
}

static void add_kinds(struct buf *out, unsigned kinds)
{
	bool some = false;

	for (unsigned bit = 1; bit && bit <= kinds; bit <<= 1) {
		if (!(kinds & bit))
			continue;
		buf_str(out, some ? ", " : ": ");
		buf_add(out, vocab_subject(bit));
		some = true;
	}
}

static void tell_id(struct buf *out, const struct ask *ask, struct slice id)
{
	const struct id_row *row = id_list_find(&ask->works->ids, id);
	struct lines_of found = lines_of(ask->works, id);

	buf_add(out, id);
	add_kinds(out, id_list_kinds(row));
	buf_printf(out, ", in %lld line%s", (long long)row->lines, PLURAL(row->lines, "", "s"));
	add_stays(out, ask->works, id);
	buf_char(out, '\n');
	add_lines(out, &found);
	lines_of_release(&found);
}

/* ---- words of the house file */

static void tell_place(struct buf *out, const struct house_place *p)
{
	static const char *const kinds[] = { "yard", "kiln", "bench", "store", "shop" };

	if (p->kind >= 0 && (size_t)p->kind < sizeof kinds / sizeof *kinds)
		buf_printf(out, ": a place of the house file, %s", kinds[p->kind]);
	if (p->name.n)
		buf_printf(out, ", %.*s", (int)p->name.n, p->name.p);
}

static bool tell_name(struct buf *out, const struct house_name *rows, size_t n, struct slice word, const char *what)
{
	for (size_t i = 0; i < n; i++) {
		if (!slice_eq(rows[i].id, word))
			continue;
		buf_printf(out, ": %.*s, %s of the house file", (int)rows[i].name.n, rows[i].name.p, what);
		return true;
	}
	return false;
}

/* What the house file says of a word. */
static void tell_house_word(struct buf *out, const struct house *h, enum of_list of, struct slice word)
{
	const struct house_place *place = house_place(h, word);
	const struct house_type *type = house_type(h, word);
	const struct house_meter *meter = house_meter(h, slice_upto(word, slice_find(word, '/')));

	if ((of == OF_PERSON && tell_name(out, h->people, h->npeople, word, "a person")) ||
	    (of == OF_PARTY && tell_name(out, h->parties, h->nparties, word, "a party")))
		return;
	if (place && (of == OF_PLACE || of == OF_KILN || of == OF_NOTHING))
		tell_place(out, place);
	else if (type && (of == OF_TYPE || of == OF_WHAT))
		buf_printf(out, ": type %.*s of the house file", (int)type->name.n, type->name.p);
	else if (meter && (of == OF_METER || of == OF_NOTHING))
		buf_printf(out, ": an instrument of the house file, %.*s", (int)meter->name.n, meter->name.p);
}

/* ---- values */

static void tell_number(struct buf *out, const struct field_use *use, struct slice text)
{
	const struct type_def *type = vocab_type(use->type);
	struct value v;

	if (!value_is_number(use->type) || value_read(use->type, use->shape, text, &v) != VALUE_OK)
		return;
	if (v.mark == VALUE_ABSENT)
		buf_str(out, ": no reading could be taken");
	else if (v.mark == VALUE_ABOVE)
		buf_str(out, ": at least this, off the scale");
	else if (v.mark == VALUE_BELOW)
		buf_str(out, ": at most this, off the scale");
	else if (v.mark == VALUE_EXACT && type->nunits > 1 && use->type != TYPE_READING) {
		buf_str(out, " = ");
		buf_printf(out, "%.6g", value_number(use->type, v.fix));
		buf_add(out, type->base);
	}
}

static void tell_day(struct buf *out, struct slice word, int32_t today)
{
	static const char *const names[] = { "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday" };
	int32_t day;

	if (date_read(word, &day) != DATE_OK)
		return;
	buf_add(out, word);
	buf_printf(out, ": %s, ", names[day_weekday(day)]);
	if (day == today)
		buf_str(out, "today");
	else {
		buf_count(out, day < today ? today - day : day - today, "day");
		buf_str(out, day < today ? " ago" : " from today");
	}
}

static void tell_field(struct buf *out, const struct cursor *c)
{
	const struct field_use *use = c->use;

	buf_add(out, use->field->name);
	buf_str(out, "=: ");
	buf_add(out, use->field->help);
	buf_str(out, "\n");
	buf_add(out, vocab_type(use->type)->help);
	if (use->shape & USE_MANY)
		buf_str(out, "; a list with commas is allowed");
	if (use->shape & USE_ABSENT)
		buf_str(out, "; - where there is none");
}

static void tell_event(struct buf *out, const struct event_def *event)
{
	buf_add(out, event->name);
	buf_str(out, ": ");
	buf_add(out, event->help);
	for (int needed = 1; needed >= 0; needed--) {
		bool some = false;

		for (int i = 0; i < event->nuses; i++) {
			if (((event->uses[i].shape & USE_NEEDED) != 0) != (needed == 1))
				continue;
			buf_str(out, some ? " " : needed ? "\nneeds: " : "\ntakes: ");
			buf_add(out, event->uses[i].field->name);
			buf_char(out, '=');
			some = true;
		}
	}
}

static void tell_value(struct buf *out, const struct ask *ask, const struct cursor *c)
{
	enum of_list of = c->part == CURSOR_LABEL ? c->use->field->label_of : c->use->field->of;
	const struct house *h = ask->works->house;

	if (c->use->type == TYPE_DATE && c->part == CURSOR_VALUE && slice_find(c->word, '.') == c->word.n)
		tell_day(out, c->word, ask->today);
	else {
		buf_add(out, c->word);
		if (h)
			tell_house_word(out, h, of, c->word);
		if (c->part == CURSOR_VALUE)
			tell_number(out, c->use, c->word);
	}
	buf_char(out, '\n');
	tell_field(out, c);
}

static void tell(struct buf *out, const struct ask *ask, const struct cursor *c)
{
	struct slice id = lines_of_id(ask);

	if (id.n && (c->part == CURSOR_SUBJECT || c->part == CURSOR_VALUE || c->part == CURSOR_LABEL))
		tell_id(out, ask, id);
	else if (c->part == CURSOR_DATE)
		tell_day(out, c->word, ask->today);
	else if ((c->part == CURSOR_EVENT || c->part == CURSOR_TIME_OR_EVENT) && c->event)
		tell_event(out, c->event);
	else if (c->part == CURSOR_SUBJECT && c->word.n && ask->works->house) {
		buf_add(out, c->word);
		tell_house_word(out, ask->works->house, OF_NOTHING, c->word);
	} else if (c->part == CURSOR_KEY && c->use)
		tell_field(out, c);
	else if ((c->part == CURSOR_VALUE || c->part == CURSOR_LABEL) && c->use)
		tell_value(out, ask, c);
}

void story_hover(struct buf *out, const struct ask *ask)
{
	struct slice text = document_text(&ask->file->text, ask->line);
	struct cursor c = cursor_at(&ask->works->vocab, text, ask->byte);
	size_t col = (size_t)(c.word.p - text.p);
	struct buf words = BUF_INIT;

	tell(&words, ask, &c);
	if (words.n) {
		buf_str(out, "{\"contents\":{\"kind\":\"plaintext\",\"value\":");
		buf_json(out, buf_slice(&words));
		buf_str(out, "},\"range\":");
		say_range(out, ask->file, ask->line, col, col + c.word.n);
		buf_char(out, '}');
	} else
		buf_str(out, "null");
	buf_release(&words);
}

void story_left(struct buf *out, const struct works_file *f, size_t from, size_t to)
{
	size_t low = 0, high = f->nleft;
	bool some = false;

	while (low < high) {
		size_t mid = low + (high - low) / 2;

		if (f->left[mid].line < from)
			low = mid + 1;
		else
			high = mid;
	}
	buf_char(out, '[');
	for (size_t i = low; i < f->nleft && f->left[i].line <= to; i++) {
		size_t line = f->left[i].line, end = document_unit(&f->text, line, SIZE_MAX);

		buf_printf(out, "%s{\"position\":{\"line\":%zu,\"character\":%zu},\"paddingLeft\":true,\"label\":",
			some ? ",\n" : "", line, end);
		buf_json(out, (struct slice){ f->left_text.p + f->left[i].at, f->left[i].n });
		buf_char(out, '}');
		some = true;
	}
	buf_char(out, ']');
}
