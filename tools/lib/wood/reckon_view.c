#include "wood/reckon_view.h"

#include "table/table.h"
#include "wood/reckoned.h"

/* ---- tables */

/* A note as it is, a caution as such. */
static void add_note(struct table *t, struct slice text, bool caution)
{
	struct buf note = BUF_INIT;

	buf_printf(&note, caution ? "Caution: %.*s." : "%.*s", (int)text.n, text.p);
	table_note(t, buf_slice(&note));
	buf_release(&note);
}

void reckon_view_answer(const struct reckoned *r, bool cautions, struct table *t)
{
	static const struct table_column columns[] = {
		{ "quantity", TABLE_TEXT, 0, "quantity" }, { "value", TABLE_REAL, TABLE_EXACT, "value" }, { "unit", TABLE_TEXT, 0, "unit" },
	};

	table_init(t, columns, sizeof columns / sizeof *columns);
	for (size_t i = 0; i < r->n; i++) {
		table_text(t, r->row[i].name);
		table_real_shown(t, r->row[i].value, r->row[i].places);
		table_text(t, r->row[i].unit);
	}
	for (size_t i = 0; i < r->ntexts; i++)
		if (r->text[i].kind == RECKONED_FINDING)
			table_finding(t, reckoned_text(r, i));
		else if (cautions || r->text[i].kind == RECKONED_NOTE)
			add_note(t, reckoned_text(r, i), r->text[i].kind == RECKONED_CAUTION);
}

/* The words of a way as they are written; those that can be left out in brackets. */
static void add_usage(const struct reckon_way *w, struct buf *out)
{
	for (int i = 0; i < reckon_nargs(w); i++) {
		const struct reckon_arg *arg = &w->arg[i];

		buf_printf(out, arg->may ? "%s[%s=%s]" : "%s%s=%s", i ? " " : "", arg->name, arg->sample);
	}
}

void reckon_view_list(struct table *t)
{
	static const struct table_column columns[] = {
		{ "quantity", TABLE_TEXT, 0, "quantity" }, { "words", TABLE_TEXT, 0, "words" }, { "says", TABLE_TEXT, 0, NULL },
	};
	struct buf usage = BUF_INIT;

	table_init(t, columns, sizeof columns / sizeof *columns);
	for (const struct reckon_way *w = reckon_ways; w->quantity; w++) {
		usage.n = 0;
		add_usage(w, &usage);
		table_cstr(t, w->quantity);
		table_text(t, buf_slice(&usage));
		table_cstr(t, w->says);
	}
	table_note(t, SLICE("Words in brackets are optional. wy-reckon QUANTITY --help explains them."));
	buf_release(&usage);
}

/* ---- help */

static void add_quantities(struct buf *out)
{
	for (const struct reckon_way *w = reckon_ways; w->quantity; w++)
		if (w == reckon_first(slice_of(w->quantity)))
			buf_printf(out, "\n  %-11s %s", w->quantity, w->says);
}

static void add_arg(const struct reckon_arg *arg, struct buf *out)
{
	struct buf units = BUF_INIT;

	buf_printf(out, "\n  %-12s %s", arg->name, arg->help);
	reckon_units(arg, &units);
	if (units.n)
		buf_printf(out, " (%s)", buf_cstr(&units));
	buf_release(&units);
}

static void add_args(const struct reckon_way *w, struct buf *out)
{
	const struct reckon_way *first = w;

	for (; w; w = reckon_next(w))
		for (int i = 0; i < reckon_nargs(w); i++) {
			const struct reckon_arg *arg = &w->arg[i];
			const struct reckon_way *before = first;

			while (before < w && reckon_arg_at(before, slice_of(arg->name)) < 0)
				before++;
			if (before == w)
				add_arg(arg, out);
		}
}

static void help_of_quantity(struct reckon_help *h, const struct reckon_way *w)
{
	buf_printf(&h->name, "wy-reckon %s", w->quantity);
	buf_printf(&h->purpose, "%s\n\nwords:", w->says);
	add_args(w, &h->purpose);
	buf_printf(&h->example, "wy-reckon %s ", w->quantity);
	for (int i = 0; i < reckon_nargs(w); i++)
		if (!w->arg[i].may)
			buf_printf(&h->example, "%s%s=%s", i ? " " : "", w->arg[i].name, w->arg[i].sample);
	for (; w; w = reckon_next(w)) {
		if (h->usage.n)
			buf_char(&h->usage, '\n');
		add_usage(w, &h->usage);
	}
}

static void help_of_all(struct reckon_help *h)
{
	buf_str(&h->name, "wy-reckon");
	buf_str(&h->purpose, "the bench calculator: air, moisture, masses, meters, units\n\nquantities:");
	add_quantities(&h->purpose);
	buf_str(&h->usage, "QUANTITY NAME=VALUE... [options]\nQUANTITY NAME=@COLUMN... [NAME=VALUE...] <TABLE\nQUANTITY --help\n--list");
	buf_str(&h->example, "wy-reckon emc temp=20C rh=55%\nthe moisture at which wood equilibrates in a room of 20 C and 55 % humidity");
}

void reckon_help_init(struct reckon_help *h, const struct reckon_way *way)
{
	*h = (struct reckon_help){ BUF_INIT, BUF_INIT, BUF_INIT, BUF_INIT };
	if (way)
		help_of_quantity(h, way);
	else
		help_of_all(h);
}

void reckon_help_release(struct reckon_help *h)
{
	buf_release(&h->name);
	buf_release(&h->purpose);
	buf_release(&h->usage);
	buf_release(&h->example);
}
