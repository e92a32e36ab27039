#include "check/probes.h"

#include <stdlib.h>

#include "check/occurrence.h"

enum { SAYS_IN = 1, SAYS_OUT = 2, SAYS_READ = 4 };

/* Which piece an in= means. */
struct probe_seat {
	uint64_t piece;        /* a hash of its text, which sorts what is of one moment */
	uint32_t lot, type;
};

/* What one line says of one label, as it is kept: a book may have as many as it has lines. */
struct probe_kept {
	uint32_t subject, label;
	int32_t day, second;   /* second: -1 when untimed */
	uint32_t line;         /* its low bits */
	uint32_t file : 24, line_high : 8;
	uint32_t col : 17;     /* the label's column: in in=, else in out=, else in mc= */
	uint32_t says : 3;
	struct probe_seat seat; /* of in= */
};

/* The same as it is judged. */
struct probe_item {
	int32_t day, second;
	uint32_t label;
	unsigned says;
	struct probe_seat seat;
	struct place place;
};

static int by_subject(const void *a, const void *b)
{
	const struct probe_kept *x = a, *y = b;

	return (x->subject > y->subject) - (x->subject < y->subject);
}

void probes_init(struct probes *p, struct symbols *symbols, struct references *references, struct diags *diags)
{
	memset(p, 0, sizeof *p);
	p->symbols = symbols;
	p->references = references;
	p->diags = diags;
	p->kept.order = by_subject;
}

static void release_kept(struct probes *p)
{
	spill_sort_release(&p->kept);
	free(p->line);
	free(p->of_label);
	p->line = NULL;
	p->of_label = NULL;
	p->nline = p->line_cap = p->nlabels = 0;
}

void probes_release(struct probes *p)
{
	release_kept(p);
	free(p->series);
	memset(p, 0, sizeof *p);
}

/* ---- keeping */

/* The cell of a number in an array that grows with the numbers. */
static uint64_t *cell(uint64_t **array, size_t *n, uint32_t number)
{
	size_t cap = *n;

	if (number >= *n) {
		*array = mem_grow(*array, &cap, number + 1u, sizeof **array);
		memset(*array + *n, 0, (cap - *n) * sizeof **array);
		*n = cap;
	}
	return &(*array)[number];
}

/* What is kept of that label on the line in hand. */
static struct probe_kept *kept_of(struct probes *p, const struct line *l, struct slice label)
{
	enum { COL_MASK = (1 << 17) - 1, FILE_MASK = (1 << 24) - 1 };
	uint32_t name = symbols_id(p->symbols, label);
	uint64_t *of_label = cell(&p->of_label, &p->nlabels, name);

	if (*of_label > p->nkept)
		return &p->line[*of_label - p->nkept - 1];
	p->line = mem_grow(p->line, &p->line_cap, p->nline + 1, sizeof *p->line);
	p->line[p->nline] = (struct probe_kept){ .subject = symbols_id_at(p->symbols, SYMBOLS_SUBJECT(l->event), l->subject), .label = name,
		.day = l->stamp.day, .second = l->stamp.second, .line = (uint32_t)l->number, .file = l->file & FILE_MASK,
		.line_high = l->number >> 32 & 0xff, .col = line_col(l, label) & COL_MASK };
	*of_label = p->nkept + p->nline + 1;
	return &p->line[p->nline++];
}

static void keep_in(struct probes *p, const struct line *l, const struct item *from)
{
	size_t slash = slice_find(from->text, '/');
	struct probe_seat seat = { slice_hash(from->text), symbols_id_at(p->symbols, FIELD_IN, slice_upto(from->text, slash)), 0 };
	struct probe_kept *kept;

	if (slash < from->text.n)
		seat.type = symbols_id_at(p->symbols, FIELD_TYPE, slice_from(from->text, slash + 1));
	kept = kept_of(p, l, from->label);
	kept->says |= SAYS_IN;
	kept->seat = seat;
}

static void keep_field(struct probes *p, const struct line *l, int field, unsigned says)
{
	const struct field *f = line_field(l, field);

	for (size_t i = 0; f && i < f->n; i++) {
		const struct item *from = &l->item[f->first + i];

		if (says == SAYS_IN)
			keep_in(p, l, from);
		else if (says == SAYS_OUT)
			kept_of(p, l, from->text)->says |= SAYS_OUT;
		else if (from->label.n)
			kept_of(p, l, from->label)->says |= SAYS_READ;
	}
}

static bool bears_labels(const struct line *l)
{
	const struct field *mc = line_field(l, FIELD_MC);

	if (line_field(l, FIELD_IN) || line_field(l, FIELD_OUT))
		return true;
	for (size_t i = 0; mc && i < mc->n; i++)
		if (l->item[mc->first + i].label.n)
			return true;
	return false;
}

void probes_keep(struct probes *p, const struct line *l)
{
	if (!bears_labels(l))
		return;
	keep_field(p, l, FIELD_IN, SAYS_IN);
	keep_field(p, l, FIELD_OUT, SAYS_OUT);
	keep_field(p, l, FIELD_MC, SAYS_READ);
	for (size_t i = 0; i < p->nline; i++)
		memcpy(spill_sort_add(&p->kept, sizeof *p->line), &p->line[i], sizeof *p->line);
	p->nkept += p->nline;
	p->nline = 0;
}

/* ---- judging one label */

/* What is in hand while one label's items are gone through. */
struct walk {
	struct probes *p;
	uint32_t subject;
	bool in;
	bool guessed;          /* it is in because it was read, though no line put it in: reported once */
	size_t open;           /* the series that is open: index + 1 */
	const struct probe_item *item; /* of the subject: all of every label, and where this label's are */
	size_t n, first, end;
};

/* Whether the probe must be in before the line, and whether it is in behind it. */
static bool starts_in(const struct probe_item *item)
{
	return !(item->says & SAYS_IN) || item->says & SAYS_OUT;
}

static bool ends_in(const struct probe_item *item)
{
	return item->says & SAYS_IN || !(item->says & SAYS_OUT);
}

static void close_series(struct walk *w, int32_t day)
{
	if (w->open)
		w->p->series[w->open - 1].out_day = day;
	w->in = w->guessed = false;
	w->open = 0;
}

static void open_series(struct walk *w, const struct probe_item *item)
{
	struct probes *p = w->p;

	p->series = mem_grow(p->series, &p->series_cap, p->nseries + 1, sizeof *p->series);
	p->series[p->nseries++] = (struct probe_series){ w->subject, item->label, item->seat.lot, item->seat.type, item->day,
		INT32_MAX, item->place };
	w->in = true;
	w->open = p->nseries;
}

/* L061/SH, of the line that puts a probe in. */
static void add_seat(const struct walk *w, struct buf *out, const struct probe_item *in)
{
	buf_add(out, intern_text(w->p->symbols->ids, in->seat.lot));
	if (in->seat.type) {
		buf_char(out, '/');
		buf_add(out, intern_text(w->p->symbols->ids, in->seat.type));
	}
}

/* Of the subject's lines that put a probe in, the last of this label before the day, or else any label's; NULL: none. */
static const struct probe_item *last_in(const struct walk *w, int32_t day)
{
	const struct probe_item *last = NULL;

	for (size_t i = w->first; i < w->end; i++)
		if (w->item[i].says & SAYS_IN && (w->item[i].day <= day || !last))
			last = &w->item[i];
	for (size_t i = 0; i < w->n && !last; i++)
		if (w->item[i].says & SAYS_IN)
			last = &w->item[i];
	return last;
}

/* Adds when the label goes in next, or else when it came out last; false where neither is in the book. */
static bool add_days(const struct walk *w, struct buf *out, const struct probe_item *at)
{
	const struct probe_item *before = NULL, *after = NULL;

	for (size_t i = w->first; i < w->end; i++) {
		const struct probe_item *other = &w->item[i];

		if (other->says & SAYS_OUT && other->day <= at->day && other != at)
			before = other;
		if (other->says & SAYS_IN && other->day > at->day && !after)
			after = other;
	}
	if (!before && !after)
		return false;
	buf_str(out, before ? "it was taken out on " : "it is put in on ");
	day_write(out, before ? before->day : after->day);
	buf_str(out, "; correct one of the dates, or ");
	return true;
}

/* The labels that the subject's lines put in: "a, b and c". */
static void add_labels(const struct walk *w, struct buf *out)
{
	size_t n = 0, left;
	uint32_t last = 0;

	for (size_t i = 0; i < w->n; i++)
		if (w->item[i].says & SAYS_IN && w->item[i].label != last) {
			last = w->item[i].label;
			n++;
		}
	last = 0;
	left = n;
	for (size_t i = 0; i < w->n; i++)
		if (w->item[i].says & SAYS_IN && w->item[i].label != last) {
			last = w->item[i].label;
			buf_str(out, left == n ? "" : left == 1 ? " and " : ", ");
			buf_add(out, intern_text(w->p->symbols->ids, last));
			left--;
		}
}

/* What to write for a probe that is used but is not in. */
static void add_not_in(const struct walk *w, struct buf *out, const struct probe_item *item)
{
	const struct probe_item *in = last_in(w, item->day);
	struct slice label = intern_text(w->p->symbols->ids, item->label);

	if (!add_days(w, out, item)) {
		if (in) {
			buf_str(out, "its probes are ");
			add_labels(w, out);
			buf_str(out, "; ");
		}
		buf_str(out, "correct the label, or ");
	}
	buf_printf(out, "write in=%.*s:", (int)label.n, label.p);
	if (in)
		add_seat(w, out, in);
	else
		buf_str(out, "LOT/TYPE");
	buf_str(out, " to put it in that day");
}

static void tell(const struct walk *w, int rule, const struct probe_item *item)
{
	struct probes *p = w->p;
	struct symbol *id = &p->symbols->symbol[w->subject];
	struct buf how = BUF_INIT;

	id->probes_told = true;
	if (id->doubtful || id->meant || id->half_probed)
		return;
	if (rule == RULE_PROBE_NOT_IN) {
		add_not_in(w, &how, item);
		DIAG(p->diags, rule, item->place, intern_text(p->symbols->ids, item->label), intern_text(p->symbols->ids, w->subject), buf_slice(&how));
	} else
		DIAG(p->diags, rule, item->place, intern_text(p->symbols->ids, item->label), intern_text(p->symbols->ids, w->subject));
	buf_release(&how);
}

/* Goes on to the state that the line leaves; one that starts from the other state is reported. */
static void take(struct walk *w, const struct probe_item *item)
{
	if (starts_in(item) != w->in && !(w->in && w->guessed))
		tell(w, w->in ? RULE_PROBE_IN_AGAIN : RULE_PROBE_NOT_IN, item);
	if (item->says & (SAYS_IN | SAYS_OUT))
		close_series(w, item->day);
	else if (!w->in)
		w->in = w->guessed = true;
	if (item->says & SAYS_IN)
		open_series(w, item);
}

/* The untimed lines of a day, each of which is taken once; what was looked at is not looked at again. */
struct untimed {
	const struct probe_item *item;
	size_t n;
	bool *done;
	size_t looked[3];      /* for lines that put it in, that take it out, and that put it elsewhere */
};

/* The first left that starts and ends so. Which is asked for decides the cell of `looked`. */
static const struct probe_item *next_untimed(struct untimed *u, bool starts, bool ends)
{
	for (size_t *i = &u->looked[starts + (starts && ends)]; *i < u->n; ++*i) {
		const struct probe_item *item = &u->item[*i];

		if (!u->done[*i] && starts_in(item) == starts && ends_in(item) == ends && (!ends || item->says & SAYS_IN)) {
			u->done[(*i)++] = true;
			return item;
		}
	}
	return NULL;
}

/* Takes the first untimed line left that turns the state round; false when there is none. */
static bool turn(struct walk *w, struct untimed *u)
{
	const struct probe_item *item = next_untimed(u, w->in, !w->in);

	if (item)
		take(w, item);
	return item;
}

/* Untimed lines that move a probe which is in. */
static void reseat(struct walk *w, struct untimed *u)
{
	const struct probe_item *item;

	while (w->in && (item = next_untimed(u, true, true)))
		take(w, item);
}

/* What is left of the untimed lines: a reading is good if the probe was in at some moment of the day. */
static void take_rest(struct walk *w, const struct untimed *u, bool ever_in)
{
	for (size_t i = 0; i < u->n; i++)
		if (!u->done[i] && (u->item[i].says & (SAYS_IN | SAYS_OUT) || !(ever_in || w->in)))
			take(w, &u->item[i]);
}

/* One label on one day: the untimed lines first in the array, then the timed ones in order. */
static void walk_day(struct walk *w, const struct probe_item *item, size_t untimed, size_t n)
{
	struct untimed u = { item, untimed, mem_zeroed(untimed, sizeof *u.done), { 0, 0, 0 } };
	bool ever_in = w->in;

	for (size_t i = untimed; i < n; i++) {
		if (starts_in(&item[i]) != w->in)
			turn(w, &u);
		ever_in |= w->in;
		take(w, &item[i]);
		ever_in |= w->in;
	}
	reseat(w, &u);
	while (turn(w, &u)) {
		ever_in |= w->in;
		reseat(w, &u);
	}
	take_rest(w, &u, ever_in);
	free(u.done);
}

/* The label's items are those from `first` up to `end` of its subject's. */
static void walk_label(struct probes *p, uint32_t subject, const struct probe_item *all, size_t n, size_t first, size_t end)
{
	struct walk w = { .p = p, .subject = subject, .item = all, .n = n, .first = first, .end = end };

	for (size_t i = first, k, untimed; i < end; i = k) {
		untimed = 0;
		for (k = i; k < end && all[k].day == all[i].day; k++)
			untimed += all[k].second < 0;
		walk_day(&w, all + i, untimed, k - i);
	}
}

/* ---- all labels */

#define BY(a, b) do { if ((a) != (b)) return (a) < (b) ? -1 : 1; } while (0)

static int by_label(const void *a, const void *b)
{
	const struct probe_item *x = a, *y = b;

	BY(x->label, y->label);
	BY(x->day, y->day);
	BY(x->second, y->second);
	BY(x->says, y->says);
	BY(x->seat.piece, y->seat.piece);
	BY(x->place.file, y->place.file);
	BY(x->place.line, y->place.line);
	return 0;
}

/* Labels of a bat are its blade and handle; a lot's are probes only where some are put in. */
static bool has_probes(struct probes *p, uint32_t subject, const struct probe_item *item, size_t n)
{
	if (references_is(p->references, subject, SUBJECT_CHARGE))
		return true;
	for (size_t i = 0; i < n; i++)
		if (item[i].says & SAYS_IN)
			return true;
	return false;
}

static void walk_subject(struct probes *p, uint32_t subject, struct probe_item *item, size_t n)
{
	if (!has_probes(p, subject, item, n))
		return;
	qsort(item, n, sizeof *item, by_label);
	for (size_t i = 0, k; i < n; i = k) {
		for (k = i; k < n && item[k].label == item[i].label; k++)
			;
		walk_label(p, subject, item, n, i, k);
	}
}

static struct probe_item item_of(const struct probes *p, const struct probe_kept *kept)
{
	return (struct probe_item){ kept->day, kept->second, kept->label, kept->says, kept->seat,
		{ kept->file, kept->col, kept->col + (uint32_t)intern_text(p->symbols->ids, kept->label).n,
		(uint64_t)kept->line_high << 32 | kept->line } };
}

void probes_end(struct probes *p)
{
	const struct probe_kept *kept = spill_sort_next(&p->kept);
	struct probe_item *item = NULL;
	size_t cap = 0;

	while (kept) {
		uint32_t subject = kept->subject;
		size_t n = 0;

		for (; kept && kept->subject == subject; kept = spill_sort_next(&p->kept)) {
			item = mem_grow(item, &cap, n + 1, sizeof *item);
			item[n++] = item_of(p, kept);
		}
		walk_subject(p, subject, item, n);
	}
	free(item);
	release_kept(p);
}
