#include <math.h>

#include "base/utf8.h"
#include "dry/dry_view_internal.h"

/* The columns of a card: labels begin at the first, their texts at the second. */
enum { LABEL_AT = 2, TEXT_AT = 13, SET_IN = 2, CARD_LEAST = 40 };

/* Read every day from now on, where the charge may be ready so soon. */
static const double SOON_DAYS = 1.5;

/* Reasons of one charge, a line each. */
struct card {
	struct buf against, holding, doubts, warnings, notes, by_hand, share;
	struct buf *told;        /* where the last warning about a probe goes, */
	struct buf probes, said; /* the labels so far, and the rest of its text */
	size_t nprobes;
};

/* What all cards add up to. */
struct cards {
	struct buf *out;
	size_t width, open, ready;
	struct slice next;     /* the charge that is expected first */
	int32_t next_day;
};

/* ---- lines */

/* The part of `text` that fits `width` cells, cut at a space where there is one; at least a word. */
static struct slice fitting(struct slice text, size_t width)
{
	size_t end = slice_find(text, ' '), next;

	while (end < text.n) {
		next = end + 1 + slice_find(slice_from(text, end + 1), ' ');
		if (utf8_width(slice_upto(text, next)) > width)
			break;
		end = next;
	}
	return slice_upto(text, end);
}

/* One text in lines, from the column `at` on; later lines are set in, but for those at the margin. */
static void add_wrapped(const struct cards *k, struct slice text, size_t at)
{
	size_t in = at;

	while (text.n) {
		struct slice line = fitting(text, k->width - in);

		buf_add(k->out, line);
		buf_char(k->out, '\n');
		text = slice_from(text, line.n < text.n ? line.n + 1 : line.n);
		in = at ? at + SET_IN : 0;
		if (text.n)
			buf_fill(k->out, ' ', in);
	}
}

/* A sentence of a card: visible, and with a capital. */
static void add_sentence(const struct cards *k, struct slice text, size_t at)
{
	struct buf shown = BUF_INIT;

	utf8_add_visible(&shown, text);
	if (shown.n && shown.p[0] >= 'a' && shown.p[0] <= 'z')
		shown.p[0] = (char)(shown.p[0] - 'a' + 'A');
	add_wrapped(k, buf_slice(&shown), at);
	buf_release(&shown);
}

/* A label and its texts, one on a line of `lines`; nothing where there are none. */
static void add_part(const struct cards *k, const char *label, struct buf *lines)
{
	struct slice left = buf_slice(lines);
	size_t named = strlen(label);

	for (bool first = true; left.n; first = false) {
		size_t n = slice_find(left, '\n');

		buf_fill(k->out, ' ', LABEL_AT);
		if (first)
			buf_str(k->out, label);
		buf_fill(k->out, ' ', TEXT_AT - LABEL_AT - (first ? named : 0));
		add_sentence(k, slice_upto(left, n), TEXT_AT);
		left = slice_from(left, n < left.n ? n + 1 : n);
	}
	lines->n = 0;
}

/* ---- reasons */

static bool is(const char *a, const char *b)
{
	return strcmp(a, b) == 0;
}

/* Where a reason goes; the forecast and the caution have parts of their own. */
static struct buf *part_of(struct card *c, const char *side, const char *what)
{
	if (is(what, "forecast") || is(what, "caution"))
		return NULL;
	if (is(what, "by-hand"))
		return &c->by_hand;
	if (is(what, "share") && is(side, "note"))
		return &c->share;
	if (is(side, "doubt"))
		return &c->doubts;
	return is(side, "against") ? &c->against : is(side, "for") ? &c->holding : is(side, "warning") ? &c->warnings : &c->notes;
}

/* Writes the warning about some probes that waited for more of them. */
static void end_probes(struct card *c)
{
	if (c->nprobes) {
		buf_str(c->told, c->nprobes > 1 ? "each of probes " : "probe ");
		buf_add(c->told, buf_slice(&c->probes));
		buf_add(c->told, buf_slice(&c->said));
		buf_char(c->told, '\n');
	}
	c->probes.n = c->said.n = c->nprobes = 0;
}

/* A warning "probe b was ..."; of several that say the same one is made. False: it begins otherwise. */
static bool take_probe(struct card *c, struct buf *part, struct slice text)
{
	static const char HEAD[] = "probe ";
	struct slice label, said;

	if (!slice_starts(text, slice_of(HEAD)))
		return false;
	text = slice_from(text, sizeof HEAD - 1);
	label = slice_upto(text, slice_find(text, ' '));
	said = slice_from(text, label.n);
	if (!slice_eq(said, buf_slice(&c->said)) || part != c->told)
		end_probes(c);
	c->told = part;
	if (c->nprobes++)
		buf_str(&c->probes, ", ");
	else
		buf_add(&c->said, said);
	buf_add(&c->probes, label);
	return true;
}

static void take_reason(struct dry_reasons *r, const char *side, const char *what)
{
	struct buf *part = part_of(r->to, side, what);
	struct card *c = r->to;

	if (!part || ((part == &c->warnings || part == &c->doubts) && take_probe(c, part, buf_slice(&r->text))))
		return;
	end_probes(c);
	buf_add(part, buf_slice(&r->text));
	buf_char(part, '\n');
}

static void card_release(struct card *c)
{
	buf_release(&c->against);
	buf_release(&c->holding);
	buf_release(&c->doubts);
	buf_release(&c->warnings);
	buf_release(&c->notes);
	buf_release(&c->by_hand);
	buf_release(&c->share);
	buf_release(&c->probes);
	buf_release(&c->said);
}

/* ---- the head */

static void write_date(struct buf *out, const struct dry_reasons *r, double days)
{
	day_write(out, charges_day(r->ask->charges, r->s->c->load_s + llround(days * DAY_S)));
}

static void write_count(struct buf *out, long long n, const char *thing)
{
	buf_printf(out, "%lld %s%s", n, thing, PLURAL(n, "", "s"));
}

/* What stands against a verdict of ready, in a few words. */
static const char *main_reason(const struct dry_snapshot *s)
{
	static const struct {
		unsigned fails;
		const char *words;
	} REASONS[] = { { DRY_TOO_WET, "A probe is too wet" }, { DRY_TOO_DRY, "A probe is too dry" }, { DRY_TOO_WIDE, "The probes differ too much" },
		{ DRY_TOO_QUICK, "The wood still dries too fast" }, { DRY_TOO_FEW, "The probes have to be in the band at more readings" },
		{ DRY_TOO_SHORT, "The probes have to be in the band for longer" }, { DRY_UNSURE, "The probes do not show enough about the other pieces" } };

	for (size_t i = 0; i < sizeof REASONS / sizeof *REASONS; i++)
		if (s->fails & REASONS[i].fails)
			return REASONS[i].words;
	return "";
}

static const char *reason_of(const struct dry_snapshot *s)
{
	switch (s->verdict) {
	case DRY_READY:
		return "The ready rule holds";
	case DRY_NOT_READY:
		return main_reason(s);
	case DRY_DOUBTFUL:
		return "The ready rule holds, if the readings can be relied on";
	case DRY_UNKNOWN:
		return !s->rule ? "The house file has no ready rule" : s->n == 0 ? "No probe is in the charge" : s->fails & DRY_UNREAD ? "A probe has no reading" :
			"The ready rule cannot hold with so few probes";
	default:
		return "";
	}
}

static void put_head(const struct cards *k, const struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;
	struct buf line = BUF_INIT;

	utf8_add_visible(&line, s->c->id);
	if (s->c->kiln.n) {
		buf_str(&line, " in ");
		utf8_add_visible(&line, s->c->kiln);
	}
	buf_printf(&line, ": %s", dry_snapshot_verdict(s));
	if (*reason_of(s))
		buf_printf(&line, ". %s.", reason_of(s));
	add_wrapped(k, buf_slice(&line), 0);
	buf_release(&line);
}

/* The pieces, and what the last reading of each probe was. */
static void put_state(const struct cards *k, const struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;
	struct dry_readings_now now = dry_readings_now(s);
	struct buf line = BUF_INIT;

	write_count(&line, s->open ? s->c->held : s->c->pieces, "piece");
	buf_str(&line, ", loaded on ");
	write_date(&line, r, 0);
	buf_printf(&line, ", day %d\n", charges_day(r->ask->charges, s->now_s - 1) - charges_day(r->ask->charges, s->c->load_s));
	add_part(k, "Charge", &line);
	if (now.n > 1)
		buf_printf(&line, "mean %.1f %%, from %.1f to %.1f %%; ", now.mean, now.driest, now.wettest);
	else if (now.n)
		buf_printf(&line, "%.1f %%; ", now.mean);
	if (now.n) {
		write_count(&line, (long long)now.n, "probe");
		buf_str(&line, ", last read on ");
		write_date(&line, r, now.last_day);
		buf_char(&line, '\n');
	}
	add_part(k, "Moisture", &line);
	buf_release(&line);
}

/* ---- when, and how sure */

static void write_when(struct buf *line, const struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;
	const struct dry_forecast *f = &s->forecast;
	struct dry_ready_days days = dry_ready_days(s, f);

	if (!s->open) {
		buf_str(line, "emptied on ");
		write_date(line, r, s->now);
	} else if (s->verdict == DRY_READY)
		buf_str(line, "now");
	else if (s->verdict == DRY_DOUBTFUL && !s->fails)
		buf_str(line, "now, if the readings can be relied on");
	else if (s->never)
		buf_str(line, "no forecast while the rule cannot hold");
	else if (!(f->never >= 0))
		buf_str(line, "no forecast");
	else if (!isfinite(f->median))
		buf_printf(line, "not expected within %d days", DRY_HORIZON);
	else {
		buf_str(line, "about ");
		write_date(line, r, days.median);
		buf_str(line, ", in ");
		dry_write_days(line, f->median - s->now);
		buf_str(line, " with daily readings");
	}
	buf_char(line, '\n');
}

/* "50 %: 2028-01-04 to 2028-01-05". */
static void write_range(struct buf *line, const struct dry_reasons *r, const char *share, double from, double to)
{
	buf_printf(line, "%s: ", share);
	if (!isfinite(from)) {
		buf_printf(line, "not within %d days", DRY_HORIZON);
		return;
	}
	write_date(line, r, from);
	if (to - from < 0.5)
		return;
	if (!isfinite(to)) {
		buf_str(line, " or later");
		return;
	}
	buf_str(line, " to ");
	write_date(line, r, to);
}

static void write_ranges(struct buf *line, const struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;
	struct dry_ready_days days = dry_ready_days(s, &s->forecast);

	write_range(line, r, "50 %", days.low50, days.high50);
	write_range(line, r, "; 90 %", days.low90, days.high90);
	if (!isfinite(days.high90)) {
		buf_char(line, '\n');
		dry_write_beyond(line, &s->forecast);
	}
	buf_str(line, "\nbased on ");
	write_count(line, (long long)s->prior->ncharges, "earlier charge");
	buf_str(line, " and ");
	write_count(line, (long long)s->n, "probe");
	buf_char(line, '\n');
}

/* When the rule will be seen to hold. */
static void write_seen(struct buf *line, const struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;
	struct dry_ready_days days = dry_ready_days(s, &s->seen);

	if (isfinite(days.median))
		write_date(line, r, days.median);
	else
		buf_printf(line, "not expected within %d days", DRY_HORIZON);
	buf_str(line, " by your reading days (");
	if (isfinite(days.low90))
		write_range(line, r, "90 %", days.low90, days.high90);
	if (!isfinite(days.high90)) {
		buf_str(line, isfinite(days.low90) ? "; " : "");
		dry_write_beyond(line, &s->seen);
	}
	buf_str(line, ")\n");
}

static void put_when(const struct cards *k, const struct dry_reasons *r, struct card *c)
{
	struct buf line = BUF_INIT;

	write_when(&line, r);
	add_part(k, r->s->open ? "Ready" : "Over", &line);
	if (r->s->forecast.never >= 0 && !r->s->never) {
		write_seen(&line, r);
		add_part(k, "Seen", &line);
		write_ranges(&line, r);
	} else if (r->s->open && !r->s->fails)
		buf_add(&line, buf_slice(&c->share));
	add_part(k, "How sure", &line);
	buf_release(&line);
}

/* ---- the next step */

static void write_unread(struct buf *line, const struct dry_reasons *r)
{
	struct buf labels = BUF_INIT;
	size_t n = 0;

	for (size_t i = 0; i < r->s->n; i++)
		if (!r->s->run[i].read) {
			buf_str(&labels, n++ ? ", " : "");
			buf_add(&labels, dry_label_of(r->s, r->s->probe[i]));
		}
	buf_str(line, PLURAL(n, "read probe ", "read probes "));
	buf_add(line, buf_slice(&labels));
	buf_char(line, '\n');
	buf_release(&labels);
}

static void write_drying(struct buf *line, const struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;
	double from = dry_ready_days(s, &s->forecast).low90;

	if (s->fails & DRY_TOO_DRY)
		buf_str(line, "hold an EMC inside the band, so that the driest pieces come back into it\n");
	if (s->fails & DRY_TOO_WET)
		buf_str(line, "dry on");
	else if (s->fails & DRY_TOO_WIDE)
		buf_str(line, "equalize until the probes are close enough");
	else
		buf_str(line, "keep the kiln's air as it is");
	buf_str(line, "; read every probe each day");
	if (isfinite(from) && from - s->now > SOON_DAYS) {
		buf_str(line, " from ");
		write_date(line, r, from);
	}
	buf_char(line, '\n');
}

static bool has_sign(const struct dry_snapshot *s, enum dry_sign sign)
{
	for (size_t i = 0; i < s->nwarnings; i++)
		if (s->warning[i].sign == sign)
			return true;
	return false;
}

static void write_ready(struct buf *line, const struct dry_snapshot *s, const struct card *c)
{
	if (s->verdict == DRY_DOUBTFUL) {
		buf_str(line, "settle the doubts first\n");
		return;
	}
	buf_add(line, buf_slice(&c->by_hand));
	buf_str(line, "take the probes out before the pieces are planed, and record them with out=\n");
}

static void write_next(struct buf *line, const struct dry_reasons *r, const struct card *c)
{
	const struct dry_snapshot *s = r->s;
	unsigned drying = s->fails & ~(unsigned)DRY_UNSURE;

	if (!s->rule)
		buf_str(line, "add a ready rule to the house file; see house(5)\n");
	else if (s->n == 0)
		buf_str(line, "put probes in, then read them\n");
	else if (s->fails & DRY_UNREAD)
		write_unread(line, r);
	else if (!s->fails)
		write_ready(line, s, c);
	else if (has_sign(s, DRY_LOST))
		buf_str(line, "read the overdue probes now\n");
	else if (s->verdict == DRY_DOUBTFUL)
		buf_str(line, "read every probe again when the readings are far enough apart\n");
	if (s->rule && s->n && !(s->fails & DRY_UNREAD) && drying && s->verdict != DRY_DOUBTFUL)
		write_drying(line, r);
	else if (s->fails & DRY_UNSURE && !(s->fails & DRY_UNREAD))
		buf_add(line, buf_slice(&c->by_hand));
}

/* ---- the card */

static void put_card(const struct cards *k, const struct dry_reasons *r, struct card *c)
{
	struct buf next = BUF_INIT;

	put_head(k, r);
	add_part(k, "Why not", &c->against);
	add_part(k, "Doubts", &c->doubts);
	put_when(k, r, c);
	if (r->s->open)
		write_next(&next, r, c);
	add_part(k, "Do next", &next);
	put_state(k, r);
	add_part(k, "Met", &c->holding);
	add_part(k, "Warnings", &c->warnings);
	add_part(k, "Notes", &c->notes);
	buf_char(k->out, '\n');
	buf_release(&next);
}

static void count_card(struct cards *k, const struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;
	double median = dry_ready_days(s, &s->forecast).median;
	int32_t day;

	k->open += s->open;
	k->ready += s->verdict == DRY_READY;
	if (!isfinite(median))
		return;
	day = charges_day(r->ask->charges, s->c->load_s + llround(median * DAY_S));
	if (!k->next.n || day < k->next_day) {
		k->next = s->c->id;
		k->next_day = day;
	}
}

static void put(const struct dry_ask *ask, const struct dry_snapshot *s, void *to)
{
	struct cards *k = to;
	struct card card = { 0 };
	struct dry_reasons reasons = { .ask = ask, .s = s, .put = take_reason, .to = &card, .text = BUF_INIT };

	dry_put_reasons(&reasons);
	end_probes(&card);
	put_card(k, &reasons, &card);
	count_card(k, &reasons);
	buf_release(&reasons.text);
	card_release(&card);
}

/* The answer in a sentence, above several cards. */
static void put_finding(const struct cards *k)
{
	struct buf text = BUF_INIT;

	if (k->ready)
		buf_printf(&text, "%zu of %zu charges %s ready.", k->ready, k->open, PLURAL(k->ready, "is", "are"));
	else
		buf_printf(&text, "None of %zu charges is ready.", k->open);
	if (k->next.n) {
		buf_char(&text, ' ');
		buf_add(&text, k->next);
		buf_str(&text, " is expected on ");
		day_write(&text, k->next_day);
		buf_char(&text, '.');
	}
	add_sentence(k, buf_slice(&text), 0);
	buf_char(k->out, '\n');
	buf_release(&text);
}

static void put_notes(const struct cards *k)
{
	add_wrapped(k, SLICE("The verdict is about moisture only. When you open or enter a kiln, follow the maker's instructions and local rules."), 0);
}

size_t dry_view_cards(const struct dry_ask *ask, size_t width, struct buf *out)
{
	struct buf texts = BUF_INIT;
	struct cards k = { .out = &texts, .width = width > CARD_LEAST ? width : CARD_LEAST };
	size_t n = dry_view_each(ask, true, put, &k);

	k.out = out;
	if (n == 0)
		buf_str(out, "No charge is in a kiln.\n");
	else if (k.open > 1)
		put_finding(&k);
	buf_add(out, buf_slice(&texts));
	if (n)
		put_notes(&k);
	buf_release(&texts);
	return n;
}
