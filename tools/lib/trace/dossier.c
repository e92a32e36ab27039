#include "trace/dossier.h"

#include "house/house.h"
#include "stock/stock_cells.h"
#include "trace/sources.h"
#include "trace/trace.h"

/* The species of a form by the house file; empty where it does not say. A blade is of the clefts' wood. */
static struct slice species_of(const struct trace *t, int32_t form)
{
	struct slice word = form == FORM_HANDLE ? vocab_form(FORM_HANDLE) : vocab_form(FORM_CLEFT);

	for (size_t i = 0; t->house && i < t->house->nspecies; i++)
		if (slice_eq(t->house->species[i].id, word))
			return t->house->species[i].name;
	return SLICE("");
}

static void lack(struct buf *b, bool lacks, const char *what)
{
	if (!lacks)
		return;
	buf_str(b, b->n ? ", " : "");
	buf_str(b, what);
}

/* Own trees are asked for their licence and the place where they grew, bought wood for its country and its paper. */
static void missing(const struct trace *t, const struct source *s, struct buf *b)
{
	const struct stated_source *stated = s->stated;
	bool tree = s->tree != 0;

	lack(b, !species_of(t, s->form).n, "species");
	lack(b, !stated || !stated->from, "supplier");
	lack(b, tree && (!stated || !stated->licence), "licence");
	lack(b, tree && (!stated || (!stated->parcel && !stated->site)), "parcel or site");
	lack(b, tree && (!stated || stated->event != EVENT_FELL), "felling date");
	lack(b, !tree && (!stated || !stated->origin), "origin");
	lack(b, !tree && (!stated || !stated->doc), "paper");
}

static void put_id(const struct trace *t, struct table *table, uint32_t id)
{
	stock_cell_word(table, trace_text(t, id));
}

/* Whether something is missing. */
static bool put_source(const struct trace *t, struct table *table, const struct source *s)
{
	const struct stated_source *stated = s->stated;
	struct buf b = BUF_INIT;
	bool lacks;

	missing(t, s, &b);
	put_id(t, table, s->lot);
	put_id(t, table, s->tree);
	table_text(table, vocab_form(s->form));
	stock_cell_word(table, species_of(t, s->form));
	table_int(table, s->n);
	put_id(t, table, stated ? stated->from : 0);
	put_id(t, table, !stated ? 0 : stated->origin ? stated->origin : stated->parcel ? stated->parcel : stated->site);
	put_id(t, table, stated ? stated->origin : 0);
	put_id(t, table, stated ? stated->parcel : 0);
	put_id(t, table, stated ? stated->site : 0);
	put_id(t, table, stated ? stated->licence : 0);
	put_id(t, table, stated ? stated->doc : 0);
	if (s->tree && stated && stated->event == EVENT_FELL)
		stock_cell_day(table, stated->day);
	else
		table_absent(table);
	stock_cell_day(table, s->first);
	stock_cell_day(table, s->last);
	stock_cell_word(table, buf_slice(&b));
	lacks = b.n > 0;
	buf_release(&b);
	return lacks;
}

static void say(const struct sources *s, struct table *table, size_t lacking)
{
	struct buf b = BUF_INIT;
	int64_t pieces = 0;

	for (size_t i = 0; i < s->n; i++)
		pieces += s->row[i].n;
	buf_count(&b, (int64_t)s->n, "source");
	buf_str(&b, " of wood, ");
	buf_count(&b, pieces, "piece");
	if (lacking)
		buf_printf(&b, "; of %zu something that buyers are commonly asked to keep is missing.", lacking);
	else
		buf_str(&b, s->n ? "; nothing that buyers are commonly asked to keep is missing." : ".");
	table_finding(table, buf_slice(&b));
	buf_release(&b);
}

/* The species once, rather than in every row. */
static void note_species(const struct trace *t, const struct sources *s, struct table *table)
{
	struct buf b = BUF_INIT;
	int32_t last = -1;

	for (size_t i = 0; i < s->n; i++) {
		if (s->row[i].form == last)
			continue;
		last = s->row[i].form;
		buf_str(&b, b.n ? "; " : "species: ");
		buf_add(&b, vocab_form(last));
		buf_char(&b, ' ');
		buf_add(&b, species_of(t, last).n ? species_of(t, last) : SLICE("not said in the house file"));
	}
	if (b.n)
		table_note(table, buf_slice(&b));
	buf_release(&b);
}

static void view(const struct trace *t, const struct sources *s, struct table *table)
{
	static const struct table_column columns[] = {
		{ "lot", TABLE_TEXT, 0, "lot" }, { "tree", TABLE_TEXT, 0, "tree" }, { "part", TABLE_TEXT, 0, NULL }, { "species", TABLE_TEXT, 0, NULL },
		{ "pieces", TABLE_INT, 0, "pieces" }, { "supplier", TABLE_TEXT, 0, "supplier" }, { "grew_in", TABLE_TEXT, 0, "grew in" },
		{ "origin", TABLE_TEXT, 0, NULL }, { "parcel", TABLE_TEXT, 0, NULL }, { "site", TABLE_TEXT, 0, NULL }, { "licence", TABLE_TEXT, 0, "licence" }, { "doc", TABLE_TEXT, 0, NULL },
		{ "felled", TABLE_DATE, 0, NULL }, { "came_in", TABLE_DATE, 0, "came in" }, { "came_in_last", TABLE_DATE, 0, NULL },
		{ "missing", TABLE_TEXT, 0, "missing" },
	};
	struct buf b = BUF_INIT;
	size_t lacking = 0, n = sizeof columns / sizeof *columns;

	for (size_t i = 0; i < s->n; i++)
		missing(t, &s->row[i], &b);
	table_init(table, columns, n - (b.n == 0));
	if (!b.n)
		table_add_column(table, columns[n - 1].name, columns[n - 1].type, 0);
	buf_release(&b);
	for (size_t i = 0; i < s->n; i++)
		lacking += put_source(t, table, &s->row[i]);
	say(s, table, lacking);
	note_species(t, s, table);
	table_note(table, SLICE("Caution: which wood, which facts and for how many years is decided by local law, and this list is only common practice. "
		"Ask your forestry authority, and keep the papers themselves."));
}

void dossier_view(const struct trace *t, struct table *table)
{
	struct sources s = { .n = 0 };

	sources_add(&s, t, &t->wood);
	sources_add(&s, t, &t->handle);
	sources_sort(&s, t);
	view(t, &s, table);
	sources_release(&s);
}

void dossier_view_every(const struct trace *t, int32_t from, int32_t to, struct table *table)
{
	struct sources s = { .n = 0 };

	sources_add_all(&s, t, from, to);
	sources_sort(&s, t);
	view(t, &s, table);
	sources_release(&s);
}
