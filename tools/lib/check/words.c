#include "check/words.h"

#include "base/nearest.h"
#include "check/occurrence.h"

/* The rule that reports an unknown word of a list, and the key of the house file that it belongs to. */
static const struct {
	int rule;
	enum house_kind kind;
	const char *key;
} LISTS[] = {
	[OF_NOTHING] = { -1, HOUSE_KINDS, "" },
	[OF_FORM] = { RULE_FORM_UNKNOWN, HOUSE_KINDS, "" },
	[OF_TYPE] = { RULE_TYPE_UNKNOWN, HOUSE_TYPE, "types:" },
	[OF_GRADE] = { RULE_GRADE_UNKNOWN, HOUSE_GRADE, "grades:" },
	[OF_WHAT] = { RULE_TYPE_UNKNOWN, HOUSE_TYPE, "types:" },
	[OF_PLACE] = { RULE_PLACE_UNKNOWN, HOUSE_PLACE, "places:" },
	[OF_KILN] = { RULE_KILN_UNKNOWN, HOUSE_PLACE, "places: (kind: kiln)" },
	[OF_PERSON] = { RULE_PERSON_UNKNOWN, HOUSE_PERSON, "people:" },
	[OF_PARTY] = { RULE_PARTY_UNKNOWN, HOUSE_PARTY, "parties:" },
	[OF_CULL] = { RULE_CULL_UNKNOWN, HOUSE_CULL, "causes: (cull)" },
	[OF_RETURN] = { RULE_CAUSE_UNKNOWN, HOUSE_RETURN, "causes: (return)" },
	[OF_COST] = { RULE_COST_KIND_UNKNOWN, HOUSE_COST, "costs:" },
	[OF_STAGE] = { RULE_STAGE_UNKNOWN, HOUSE_STAGE, "stages:" },
	[OF_METER] = { RULE_METER_UNKNOWN, HOUSE_METER, "meters:" },
	[OF_CLASS] = { RULE_CLASS_UNKNOWN, HOUSE_CLASS, "classes:" },
};

/* ---- which fields hold words */

unsigned words_kinds(int field)
{
	switch (field) {
	case FIELD_LOT:
	case FIELD_BLADE:
	case FIELD_HANDLE:
	case FIELD_IN:
		return SUBJECT_LOT;
	case FIELD_TREE:
		return SUBJECT_TREE;
	case FIELD_FOR:
		return SUBJECT_ORDER;
	default:
		return 0;
	}
}

/* No words; ids; words of a list, which are as good on every day; grades, which are not. */
enum { NOT_JUDGED, OF_IDS, OF_LIST, OF_SCHEME };

static bool has_grades(enum of_list of)
{
	return of == OF_GRADE || of == OF_WHAT;
}

static uint8_t kind_of_words(const struct field_def *f)
{
	bool special = f->id == FIELD_PARCEL || f->id == FIELD_DOC || f->id == FIELD_LICENCE || f->id == FIELD_CLAIMED;

	if (words_kinds(f->id) || special)
		return OF_IDS;
	if (f->of == OF_NOTHING && f->label_of == OF_NOTHING)
		return NOT_JUDGED;
	return has_grades(f->of) || has_grades(f->label_of) ? OF_SCHEME : OF_LIST;
}

void words_init(struct words *w, const struct vocab *vocab, struct symbols *symbols, struct references *references, struct diags *diags)
{
	memset(w, 0, sizeof *w);
	w->symbols = symbols;
	w->references = references;
	w->diags = diags;
	w->house = symbols->house;
	w->vocab = vocab;
	w->scheme_day = INT32_MIN;
	for (int i = 0; i < vocab->nfields; i++)
		w->judged[i] = kind_of_words(vocab->fields[i]);
}

/* ---- reporting */

static struct slice near_kiln(const struct house *house, struct slice word)
{
	struct nearest near = nearest_to(word);

	for (size_t i = 0; i < house->nplaces; i++)
		if (house->places[i].kind == HOUSE_PLACE_KIND_KILN)
			nearest_try(&near, house->places[i].id);
	return near.best;
}

static struct slice near_form(struct slice word)
{
	struct nearest near = nearest_to(word);

	for (int i = 0; i < FORMS_END; i++)
		nearest_try(&near, vocab_form(i));
	return near.best;
}

static struct slice near_in(const struct words *w, enum of_list of, struct slice word)
{
	struct slice near;

	if (of == OF_FORM)
		return near_form(word);
	if (of == OF_KILN)
		return near_kiln(w->house, word);
	near = house_near(w->house, LISTS[of].kind, word);
	return near.n || of != OF_WHAT ? near : house_near(w->house, HOUSE_GRADE, word);
}

/* Whether a wrong word of this rule leaves it open which pieces the line means. */
static bool blurs_stock(int rule, const struct event_def *event)
{
	bool names_buyer = event->stock.take == TAKE_SOLD || event->stock.give == GIVE_SOLD;

	return (rule == RULE_PARTY_UNKNOWN && names_buyer) || rule == RULE_FORM_UNKNOWN || rule == RULE_TYPE_UNKNOWN || rule == RULE_GRADE_UNKNOWN || rule == RULE_CLASS_UNKNOWN
		|| rule == RULE_PLACE_UNKNOWN;
}

static void report(struct words *w, int rule, const struct line *l, struct slice word, const struct buf *mend)
{
	DIAG(w->diags, rule, line_place(l, word), word, buf_slice(mend));
	w->plain = false;
	w->blurred |= blurs_stock(rule, l->event) && w->diags->level[rule] != LEVEL_NONE;
}

static void tell(struct words *w, int rule, enum of_list of, const struct line *l, struct slice word)
{
	struct buf mend = BUF_INIT;
	struct slice near = near_in(w, of, word);

	if (near.n) {
		buf_str(&mend, "perhaps ");
		buf_add(&mend, near);
		buf_char(&mend, '?');
		if (of == OF_METER && l->event->id == EVENT_METER)
			symbols_at(w->symbols, near)->meant = true;
	}
	if (of != OF_FORM)
		buf_printf(&mend, "%s %s in the house file", near.n ? " Otherwise add it to" : "add it to", LISTS[of].key);
	else if (!near.n)
		buf_str(&mend, "use cleft, blade, handle or bat");
	report(w, rule, l, word, &mend);
	buf_release(&mend);
}

/* ---- grades */

static void set_schemes(struct words *w, int32_t day)
{
	w->scheme_day = day;
	w->scheme_now = w->scheme_past = 0;
	for (size_t i = 0; i < w->house->nschemes && w->house->schemes[i].from <= day; i++) {
		w->scheme_now = symbols_scheme_bit(i);
		w->scheme_past |= w->scheme_now;
	}
}

/*
 * A grade that pieces get must be of the scheme in force; what picks them may be of an older one,
 * for they keep the grade that they got; an order may be for what a later scheme calls so.
 */
static bool is_grade(struct words *w, const struct line *l, bool picks, uint32_t name)
{
	uint32_t schemes = w->symbols->symbol[name].schemes;

	if (w->symbols->open & LIST_OF(OF_GRADE))
		return true;
	if (l->event->id == EVENT_ORDER)
		return schemes != 0;
	if (l->stamp.day != w->scheme_day)
		set_schemes(w, l->stamp.day);
	return (schemes & (picks ? w->scheme_past : w->scheme_now)) != 0;
}

static void tell_grade(struct words *w, const struct line *l, bool picks, struct slice word)
{
	const struct house_scheme *scheme = house_scheme_on(w->house, l->stamp.day);
	struct buf mend = BUF_INIT;

	if (!scheme)
		buf_str(&mend, "no grading scheme of the house file is in force on that day; correct the date or the scheme's from:");
	else {
		buf_printf(&mend, picks ? "use a grade of the scheme %.*s or of an earlier one" : "use a grade of the scheme in force, %.*s:",
			(int)scheme->id.n, scheme->id.p);
		for (size_t i = 0; !picks && i < scheme->list.n; i++)
			buf_printf(&mend, "%s %.*s", i ? "," : "", (int)scheme->list.word[i].n, scheme->list.word[i].p);
	}
	report(w, RULE_GRADE_UNKNOWN, l, word, &mend);
	buf_release(&mend);
}

static void judge_grade(struct words *w, const struct line *l, bool picks, struct slice word)
{
	if (is_grade(w, l, picks, symbols_id(w->symbols, word)))
		return;
	if (l->event->id == EVENT_ORDER)
		tell(w, RULE_ORDER_WHAT, OF_GRADE, l, word);
	else
		tell_grade(w, l, picks, word);
}

/* ---- words of a list */

static void judge_type(struct words *w, const struct line *l, struct slice word)
{
	if (!symbols_in(w->symbols, symbols_id_at(w->symbols, FIELD_TYPE, word), LIST_OF(OF_TYPE)))
		tell(w, l->event->id == EVENT_ORDER ? RULE_ORDER_WHAT : RULE_TYPE_UNKNOWN, OF_TYPE, l, word);
}

static void judge_class(struct words *w, const struct line *l, struct slice word)
{
	if (!symbols_in(w->symbols, symbols_id_at(w->symbols, FIELD_CLASS, word), LIST_OF(OF_CLASS)))
		tell(w, RULE_CLASS_UNKNOWN, OF_CLASS, l, word);
}

/* WHAT of `count=WHAT:n`: TYPE, GRADE, TYPE/GRADE or TYPE/GRADE/CLASS. */
static void judge_what(struct words *w, const struct line *l, struct slice what)
{
	size_t slash = slice_find(what, '/');
	uint32_t name;

	if (slash < what.n) {
		struct slice rest = slice_from(what, slash + 1);
		size_t second = slice_find(rest, '/');

		judge_type(w, l, slice_upto(what, slash));
		judge_grade(w, l, false, slice_upto(rest, second));
		if (second < rest.n)
			judge_class(w, l, slice_from(rest, second + 1));
		return;
	}
	name = symbols_id(w->symbols, what);
	if (symbols_in(w->symbols, name, LIST_OF(OF_TYPE)) || is_grade(w, l, false, name))
		return;
	if (l->event->id == EVENT_ORDER)
		tell(w, RULE_ORDER_WHAT, OF_WHAT, l, what);
	else if (l->event->id == EVENT_GRADE || w->symbols->symbol[name].schemes)
		tell_grade(w, l, false, what);
	else
		tell(w, RULE_TYPE_UNKNOWN, OF_WHAT, l, what);
}

static void name_place(struct words *w, const struct line *l, uint32_t name, unsigned kinds, unsigned flags, struct slice word)
{
	references_name(w->references, name, kinds, flags, l, word);
	w->plain = false;
}

static void judge_word(struct words *w, const struct line *l, enum of_list of, size_t slot, struct slice word)
{
	uint32_t name;

	if (of == OF_WHAT) {
		judge_what(w, l, word);
		return;
	}
	name = symbols_id_at(w->symbols, slot, word);
	if (of == OF_GRADE) {
		if (!is_grade(w, l, l->event->id != EVENT_JUDGE, name))
			tell_grade(w, l, l->event->id != EVENT_JUDGE, word);
	} else if (symbols_in(w->symbols, name, LIST_OF(of))) {
		if (slot == FIELD_INTO && w->symbols->open & LIST_OF(OF_PLACE))
			name_place(w, l, name, 0, REFERENCE_INTO, word);
	}
	else if (slot == FIELD_AT)
		name_place(w, l, name, SUBJECT_CHARGE, REFERENCE_AS_PLACE, word);
	else
		tell(w, LISTS[of].rule, of, l, word);
}

/* ---- ids of the book */

static unsigned time_flag(const struct line *l)
{
	return l->event->id == EVENT_COST || l->event->id == EVENT_NOTE ? REFERENCE_ANY_TIME : 0;
}

/* L061, of L061/07 and L061/SH too. */
static void name_lot(struct words *w, const struct line *l, size_t slot, unsigned kinds, struct slice word)
{
	struct slice head = slice_upto(word, slice_find(word, '/'));

	references_name(w->references, symbols_id_at(w->symbols, slot, head), kinds, time_flag(l), l, head);
}

static void name_field(struct words *w, const struct line *l, const struct field *f, unsigned kinds)
{
	for (size_t i = 0; i < f->n; i++) {
		const struct item *item = &l->item[f->first + i];
		size_t slash = slice_find(item->text, '/');

		if (l->event->stock.take == TAKE_LOTS && f->use->field->id == FIELD_LOT)
			name_lot(w, l, FIELD_LOT, kinds, item->label);
		else if (item->v.mark != VALUE_ABSENT)
			name_lot(w, l, (size_t)f->use->field->id, kinds, item->text);
		if (f->use->field->id == FIELD_IN && slash < item->text.n)
			judge_type(w, l, slice_from(item->text, slash + 1));
	}
}

/* ---- fields that are like no other */

static void judge_claims(struct words *w, const struct line *l, const struct field *f)
{
	struct slice supplier = line_word(l, FIELD_FROM);
	struct buf mend = BUF_INIT;
	int row = w->house ? house_index(w->house, HOUSE_CLAIM, supplier) : -1;

	for (size_t i = 0; row >= 0 && i < f->n; i++) {
		struct slice label = l->item[f->first + i].label;
		const struct house_claim *claim = &w->house->claims[row];

		if (!label.n || house_claim_rank(w->house, supplier, label) >= 0)
			continue;
		mend.n = 0;
		for (size_t k = 0; k < claim->list.n; k++)
			buf_printf(&mend, "%s%.*s", k ? ", " : "", (int)claim->list.word[k].n, claim->list.word[k].p);
		DIAG(w->diags, RULE_CLAIM_UNKNOWN, line_place(l, label), label, supplier, buf_slice(&mend));
	}
	buf_release(&mend);
}

static void judge_paper(struct words *w, const struct line *l, int field, int kind)
{
	struct slice word = line_word(l, field);

	if (w->house && house_pattern(w->house, kind))
		references_paper(w->references, symbols_id(w->symbols, word), kind, l, word);
}

static void judge_special(struct words *w, const struct line *l, const struct field *f)
{
	switch (f->use->field->id) {
	case FIELD_PARCEL:
		references_start(w->references, symbols_id_at(w->symbols, FIELD_PARCEL, l->item[f->first].text), SUBJECT_PARCEL, l, f->text);
		break;
	case FIELD_CLAIMED:
		judge_claims(w, l, f);
		break;
	case FIELD_DOC:
		judge_paper(w, l, FIELD_DOC, HOUSE_IDS_DOC);
		break;
	case FIELD_LICENCE:
		judge_paper(w, l, FIELD_LICENCE, HOUSE_IDS_LICENCE);
		break;
	}
}

static void judge_ids(struct words *w, const struct line *l, const struct field *f)
{
	unsigned kinds = words_kinds(f->use->field->id);

	if (kinds)
		name_field(w, l, f, kinds);
	else
		judge_special(w, l, f);
}

static void judge_items(struct words *w, const struct line *l, const struct field *f)
{
	const struct field_def *def = f->use->field;

	for (size_t i = 0; i < f->n; i++) {
		const struct item *item = &l->item[f->first + i];

		if (def->of != OF_NOTHING && item->v.mark != VALUE_ABSENT)
			judge_word(w, l, def->of, (size_t)def->id, item->text);
		if (def->label_of != OF_NOTHING && item->label.n)
			judge_word(w, l, def->label_of, (size_t)def->id, item->label);
	}
}

/* ---- values that were good before */

static inline uint64_t eight_at(const char *p)
{
	uint64_t word;

	memcpy(&word, p, sizeof word);
	return word;
}

static inline uint64_t four_at(const char *p)
{
	uint32_t word;

	memcpy(&word, p, sizeof word);
	return word;
}

/* In place of a field's id: the subject. */
enum { SUBJECT = FIELD_MOST };

/* The text of a field as numbers, of which no other has the same; `of` is 0 for a longer one. */
static inline struct words_good as_numbers(const struct line *l, int field, int32_t day, struct slice s)
{
	struct words_good g = { 0, 0, 0 };

	if (!s.n || s.n > 16)
		return g;
	if (s.n >= 8) {
		g.first = eight_at(s.p);
		g.last = eight_at(s.p + s.n - 8);
	} else if (s.n >= 4)
		g.first = four_at(s.p) << 32 | four_at(s.p + s.n - 4);
	else
		g.first = (uint64_t)(unsigned char)s.p[0] | (uint64_t)(unsigned char)s.p[s.n / 2] << 8 | (uint64_t)(unsigned char)s.p[s.n - 1] << 16;
	g.of = (uint64_t)(uint32_t)day << 32 | (uint64_t)l->event->id << 16 | (uint64_t)field << 8 | s.n;
	return g;
}

/* Whether it was good a few lines before: most are, and are then not looked up. *known is where to keep it once it is judged. */
static inline bool was_good(struct words *w, const struct words_good *g, struct words_good **known)
{
	uint64_t hash = (g->first ^ g->last * 3 ^ g->of) * 0x9e3779b97f4a7c15u;

	*known = &w->good[hash >> 32 & (WORDS_GOOD - 1)];
	w->plain = true;
	return g->of && (*known)->first == g->first && (*known)->last == g->last && (*known)->of == g->of;
}

static void judge_list(struct words *w, const struct line *l, const struct field *f)
{
	const int id = f->use->field->id;
	struct words_good g = as_numbers(l, id, w->judged[id] == OF_SCHEME ? l->stamp.day : 0, f->text), *known;

	if (was_good(w, &g, &known))
		return;
	judge_items(w, l, f);
	if (w->plain)
		*known = g;
}

/* ---- the subject */

unsigned words_start(const struct line *l)
{
	switch (l->event->id) {
	case EVENT_FELL:
		return SUBJECT_TREE;
	case EVENT_CLEAVE:
	case EVENT_BUY:
	case EVENT_POOL:
		return SUBJECT_LOT;
	case EVENT_TALLY:
		if (!line_field(l, FIELD_FOUND))
			return 0;
		return slice_eq(line_word(l, FIELD_FORM), SLICE("bat")) ? SUBJECT_BAT : SUBJECT_LOT;
	case EVENT_LOAD:
		return SUBJECT_CHARGE;
	case EVENT_MAKE:
		return SUBJECT_BAT;
	case EVENT_ORDER:
		return SUBJECT_ORDER;
	default:
		return 0;
	}
}

/* The lists of the house file whose words the event can be about. */
static uint32_t lists_of(unsigned subjects)
{
	uint32_t lists = 0;

	lists |= subjects & SUBJECT_KILN ? LIST_OF(OF_KILN) : 0;
	lists |= subjects & SUBJECT_PLACE ? LIST_OF(OF_PLACE) : 0;
	lists |= subjects & SUBJECT_METER ? LIST_OF(OF_METER) : 0;
	lists |= subjects & SUBJECT_BYPRODUCT ? LIST_BYPRODUCT : 0;
	return lists;
}

/* An event that is about things of the house alone: set, air, meter. */
static void judge_house_subject(struct words *w, const struct line *l, size_t slot, uint32_t lists)
{
	enum of_list of = lists & LIST_OF(OF_KILN) ? OF_KILN : lists & LIST_OF(OF_PLACE) ? OF_PLACE : OF_METER;
	struct words_good g = as_numbers(l, SUBJECT, 0, l->subject), *known;

	if (was_good(w, &g, &known))
		return;
	if (!symbols_in(w->symbols, symbols_id_at(w->symbols, slot, l->subject), lists))
		tell(w, LISTS[of].rule, of, l, l->subject);
	if (w->plain)
		*known = g;
}

static void tell_byproduct(struct words *w, const struct line *l)
{
	struct slice near = house_near(w->house, HOUSE_BYPRODUCT, l->subject);
	struct buf mend = BUF_INIT;

	if (near.n) {
		buf_str(&mend, "perhaps ");
		buf_add(&mend, near);
		buf_str(&mend, "? Otherwise ");
	}
	buf_str(&mend, "add it to byproducts: in the house file, or write count= if pieces were sold");
	DIAG(w->diags, RULE_BYPRODUCT_UNKNOWN, line_place(l, l->subject), l->subject, buf_slice(&mend));
	buf_release(&mend);
}

static void judge_mixed_subject(struct words *w, const struct line *l, size_t slot, uint32_t lists)
{
	unsigned kinds = l->event->subjects & REFERENCE_KINDS;
	uint32_t name;

	if (slice_find(l->subject, '/') < l->subject.n && l->event->subjects & SUBJECT_PIECE) {
		if (!lists || !symbols_in(w->symbols, symbols_id(w->symbols, l->subject), lists))
			name_lot(w, l, slot, SUBJECT_LOT, l->subject);
		return;
	}
	name = symbols_id_at(w->symbols, slot, l->subject);
	if (lists && w->symbols->symbol[name].lists & lists)
		return;
	if (house_is_byproduct(w->house, l)) {
		if (!(w->symbols->open & LIST_BYPRODUCT))
			tell_byproduct(w, l);
		return;
	}
	if (w->symbols->open & lists & (LIST_OF(OF_KILN) | LIST_OF(OF_PLACE) | LIST_OF(OF_METER)))
		return;
	references_name(w->references, name, kinds, time_flag(l), l, l->subject);
}

static void judge_subject(struct words *w, const struct line *l)
{
	size_t slot = SYMBOLS_SUBJECT(l->event);
	uint32_t lists = lists_of(l->event->subjects);
	unsigned start = words_start(l);

	if (start)
		references_start(w->references, symbols_id_at(w->symbols, slot, l->subject), start, l, l->subject);
	else if (l->event->subjects & (REFERENCE_KINDS | SUBJECT_PIECE))
		judge_mixed_subject(w, l, slot, lists);
	else if (lists)
		judge_house_subject(w, l, slot, lists);
}

bool words_line(struct words *w, const struct line *l)
{
	w->blurred = false;
	judge_subject(w, l);
	for (size_t i = 0; i < l->nfields; i++) {
		uint8_t kind = w->judged[l->field[i].use->field->id];

		if (kind == OF_IDS)
			judge_ids(w, l, &l->field[i]);
		else if (kind)
			judge_list(w, l, &l->field[i]);
	}
	return w->blurred;
}

/* ---- lines that cannot be read */

static bool is_id_char(char c)
{
	return (c >= '0' && c <= '9') || ((c | 32) >= 'a' && (c | 32) <= 'z') || c == '-' || c == '_';
}

/* The event of the line, if a word in its place is one: behind the date, or behind a time. */
static const struct event_def *event_of(const struct vocab *vocab, struct slice text)
{
	const struct event_def *event = NULL;

	for (int i = 0; i < 3 && !event; i++) {
		size_t end = 0;

		text = slice_trim(text);
		while (end < text.n && text.p[end] != ' ' && text.p[end] != '\t')
			end++;
		event = i ? vocab_event(vocab, slice_upto(text, end)) : NULL;
		text = slice_from(text, end);
	}
	return event;
}

void words_doubt(struct words *w, struct slice text)
{
	enum { LONGEST = 64 };
	const struct event_def *event = event_of(w->vocab, text);

	for (size_t i = 0, start; i < text.n; i++) {
		struct symbol *id;

		for (start = i; i < text.n && is_id_char(text.p[i]);)
			i++;
		if (i == start || i - start > LONGEST)
			continue;
		id = symbols_at(w->symbols, (struct slice){ text.p + start, i - start });
		id->half_read = true;
		id->half_probed |= !event || event->id == EVENT_PROBE;
		id->doubtful |= !event || event->stock.moves;
	}
}
