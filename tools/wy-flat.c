#include <stdlib.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/spool.h"
#include "book/flat.h"
#include "book/tidy.h"
#include "cli/tool.h"
#include "cli/tool_book.h"
#include "table/number_text.h"

/* The forms of a table, in the order of enum table_form, and two more. */
enum { AS_JSONL = TABLE_AS_HTML + 1, AS_SQL };

static const char *const forms[] = { "text", "tsv", "csv", "json", "md", "html", "jsonl", "sql", NULL };

static int form = -1;
static bool items, schema, locate;

static const struct opt options[] = {
	OPT_FLAG(0, "long", &items, "a row for each item of each field, of all events or of one"),
	OPT_FLAG(0, "schema", &schema, "print the tables of SQL that --as=sql fills"),
	OPT_FLAG('l', "locate", &locate, "tell the file too"),
	OPT_WORD(0, "as", &form, forms, "form of the output; without it jsonl, and of a\ntable text on a terminal and tsv elsewhere"),
	OPT_FLAG(0, "no-header", &tool.no_header, "leave out the row of names"),
	OPT_PART(tool_house_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-flat",
	.purpose = "a book as flat, typed tables",
	.usage = "[options] [FILE...]                 each entry as JSON or SQL\n"
		"[options] EVENT [FILE...]           an event's entries as a table\n"
		"[options] --long [EVENT] [FILE...]  the items of fields as a table\n"
		"--schema [--long] [EVENT]           the tables of SQL",
	.options = options,
	.exits = "0  done\n"
		"1  some lines could not be read: nothing is printed, or with --without-bad the others\n"
		"2  wrong use, a file that cannot be read, output not written in full",
	.example = "wy-flat air --as=csv book.wy >air.csv\nthe climate, for a spreadsheet",
};

static struct book book;
static const struct event_def *event;  /* the one asked for, or NULL */
static struct spool spool = SPOOL_INIT;
static struct buf out, words;
static uint64_t entries;

enum { ROWS_HELD = 1000 };

static void put(void)
{
	if (!spool_add(&spool, &out))
		tool_fail("cannot hold the output in a temporary file: %s", strerror(spool.error));
}

/* Only here, when all was read, does anything go out. */
static void print_spool(void)
{
	struct slice piece;

	while ((piece = spool_next(&spool)).n)
		tool_put(piece);
	if (spool.error)
		tool_fail("cannot read the output back from a temporary file: %s", strerror(spool.error));
	spool_release(&spool);
}

static bool wanted(const struct line *l)
{
	if (l->kind != LINE_EVENT)
		return false;
	entries++;
	return !event || l->event == event;
}

static struct flat_row row_of(const struct line *l)
{
	return (struct flat_row){ .line = l, .entry = entries, .words = &words,
		.file = slice_of(tool_path_name(book.path[book.at])) };
}

/* The items of an entry one after another; an entry without fields is one row. */
static void each_item(const struct line *l, void (*take)(struct flat_row *row, void *arg), void *arg)
{
	struct flat_row row = row_of(l);
	uint8_t order[USE_MOST];
	size_t n = tidy_order(l, order);

	if (!n)
		take(&row, arg);
	for (size_t i = 0; i < n; i++) {
		row.field = &l->field[order[i]];
		for (row.item = 0; row.item < row.field->n; row.item++)
			take(&row, arg);
	}
}

static void check_clash(const struct flat *f)
{
	const char *name = flat_clash(f);

	if (name)
		tool_fail("two columns would be called %s; rename one of the works' own fields", name);
}

/* ---- tables */

struct sheet {
	struct flat flat;
	struct table table;
	struct table_style style;
	size_t rows;
};

static void put_cell(struct table *t, struct flat_cell cell)
{
	if (cell.absent)
		table_absent(t);
	else if (cell.type == TABLE_INT)
		table_int(t, cell.number);
	else if (cell.type == TABLE_FIXED)
		table_fixed(t, cell.number, (unsigned)cell.places);
	else if (cell.type == TABLE_DATE)
		table_date(t, cell.text);
	else
		table_text(t, cell.text);
}

static void put_row(struct flat_row *row, void *arg)
{
	struct sheet *sheet = arg;

	for (size_t i = 0; i < sheet->flat.n; i++)
		put_cell(&sheet->table, flat_cell(&sheet->flat.column[i], row));
	if (++sheet->rows % ROWS_HELD)
		return;
	table_flush(&sheet->table, sheet->style, &out);
	put();
}

static void sheet_init(struct sheet *sheet)
{
	unsigned with = locate ? FLAT_WITH_FILE : 0;

	if (items)
		flat_of_items(&sheet->flat, with);
	else
		flat_of_event(&sheet->flat, event, with);
	check_clash(&sheet->flat);
	table_init(&sheet->table, NULL, 0);
	for (size_t i = 0; i < sheet->flat.n; i++)
		table_add_column(&sheet->table, sheet->flat.column[i].name, sheet->flat.column[i].type, TABLE_EXACT);
	sheet->style = (struct table_style){ (enum table_form)form, tool.no_header, tool_width() };
	sheet->rows = 0;
}

static void write_table(void)
{
	struct sheet sheet;
	const struct line *l;

	sheet_init(&sheet);
	table_begin(&sheet.table, sheet.style, &out);
	while ((l = book_next(&book))) {
		struct flat_row row;

		if (!wanted(l))
			continue;
		row = row_of(l);
		if (items)
			each_item(l, put_row, &sheet);
		else
			put_row(&row, &sheet);
	}
	table_end(&sheet.table, sheet.style, &out);
	put();
	table_release(&sheet.table);
	flat_release(&sheet.flat);
}

/* ---- lines of JSON */

static void write_json(void)
{
	const struct line *l;

	while ((l = book_next(&book))) {
		if (!wanted(l))
			continue;
		flat_json(&out, l, locate ? row_of(l).file : SLICE(""));
		if (out.n > READER_BLOCK)
			put();
	}
	put();
}

/* ---- SQL */

static const struct slice ITEMS_TABLE = { "items", 5 };

static void write_name(struct slice word)
{
	buf_char(&out, '"');
	flat_name(&out, word);
	buf_char(&out, '"');
}

static void write_string(struct slice text)
{
	buf_char(&out, '\'');
	for (size_t i = 0; i < text.n; i++) {
		if (text.p[i] == '\'')
			buf_char(&out, '\'');
		buf_char(&out, text.p[i]);
	}
	buf_char(&out, '\'');
}

static void write_sql_cell(const struct flat_cell *cell)
{
	if (cell->type == TABLE_INT)
		buf_int(&out, cell->number);
	else if (cell->type == TABLE_FIXED)
		buf_fixed(&out, cell->number, (unsigned)cell->places);
	else
		write_string(cell->text);
}

/* INSERT INTO "table" ("column", ...) VALUES (...): with the cells that are not absent. */
static void insert(const struct flat *f, struct slice table, struct flat_row *row)
{
	const char *comma = "";

	buf_str(&out, "INSERT INTO ");
	write_name(table);
	buf_str(&out, " (");
	for (size_t i = 0; i < f->n; i++) {
		if (flat_cell(&f->column[i], row).absent)
			continue;
		buf_printf(&out, "%s\"%s\"", comma, f->column[i].name);
		comma = ",";
	}
	buf_str(&out, ") VALUES (");
	comma = "";
	for (size_t i = 0; i < f->n; i++) {
		struct flat_cell cell = flat_cell(&f->column[i], row);

		if (cell.absent)
			continue;
		buf_str(&out, comma);
		write_sql_cell(&cell);
		comma = ",";
	}
	buf_str(&out, ");\n");
}

static void insert_item(struct flat_row *row, void *arg)
{
	insert(arg, ITEMS_TABLE, row);
}

static const char *sql_type(const struct flat_column *c, char scratch[32])
{
	switch (c->type) {
	case TABLE_INT:
		return "INTEGER";
	case TABLE_DATE:
		return "DATE";
	case TABLE_FIXED:
		snprintf(scratch, 32, "NUMERIC(%d,%d)", c->source == FLAT_ITEM_VALUE || c->source == FLAT_ITEM_LOW
			|| c->source == FLAT_ITEM_HIGH ? 24 : 18, c->places);
		return scratch;
	default:
		if (c->source == FLAT_TIME)
			return "TIME";
		snprintf(scratch, 32, "VARCHAR(%d)", LINE_LONGEST);
		return scratch;
	}
}

static void create(const struct flat *f, struct slice table, bool keyed)
{
	char scratch[32];

	buf_str(&out, "CREATE TABLE ");
	write_name(table);
	buf_str(&out, " (");
	for (size_t i = 0; i < f->n; i++) {
		const struct flat_column *c = &f->column[i];

		buf_printf(&out, "%s\n\t\"%s\" %s", i ? "," : "", c->name, sql_type(c, scratch));
		if (c->source == FLAT_ENTRY && keyed)
			buf_str(&out, " PRIMARY KEY");
		else if (c->always)
			buf_str(&out, " NOT NULL");
	}
	buf_str(&out, "\n);\n");
}

static const unsigned SQL_WITH = FLAT_WITH_ENTRY | FLAT_WITH_FILE;

/* The columns of each event, by its id, made when it is first met. */
static const struct flat *flat_of(struct flat *flats, const struct event_def *e)
{
	struct flat *f = &flats[e->id];

	if (!f->n) {
		flat_of_event(f, e, SQL_WITH);
		check_clash(f);
	}
	return f;
}

/* No two tables may have one name, and none that of the items. */
static void check_tables(void)
{
	struct flat names;

	memset(&names, 0, sizeof names);
	names.column = mem_zeroed((size_t)book.vocab.nevents + 1, sizeof *names.column);
	for (int i = 0; i <= book.vocab.nevents; i++) {
		struct buf name = BUF_INIT;

		flat_name(&name, i < book.vocab.nevents ? book.vocab.events[i]->name : ITEMS_TABLE);
		names.column[names.n++].name = mem_copy(name.p, name.n);
		buf_release(&name);
	}
	if (flat_clash(&names))
		tool_fail("two tables would be called %s; rename one of the works' own events", flat_clash(&names));
	flat_release(&names);
}

static void write_schema(void)
{
	struct flat *flats = mem_zeroed(EVENT_MOST, sizeof *flats), all;

	check_tables();
	for (int i = 0; i < book.vocab.nevents && !items; i++) {
		const struct event_def *e = book.vocab.events[i];

		if (!event || e == event)
			create(flat_of(flats, e), e->name, true);
	}
	flat_of_items(&all, SQL_WITH);
	if (items || !event)
		create(&all, ITEMS_TABLE, false);
	put();
	flat_release(&all);
	for (size_t i = 0; i < EVENT_MOST; i++)
		flat_release(&flats[i]);
	free(flats);
}

static void write_inserts(void)
{
	struct flat *flats = mem_zeroed(EVENT_MOST, sizeof *flats), all;
	const struct line *l;

	check_tables();
	flat_of_items(&all, SQL_WITH);
	buf_str(&out, "BEGIN;\n");
	while ((l = book_next(&book))) {
		struct flat_row row;

		if (!wanted(l))
			continue;
		row = row_of(l);
		if (!items)
			insert(flat_of(flats, l->event), l->event->name, &row);
		if (items || !event)
			each_item(l, insert_item, &all);
		if (out.n > READER_BLOCK)
			put();
	}
	buf_str(&out, "COMMIT;\n");
	put();
	flat_release(&all);
	for (size_t i = 0; i < EVENT_MOST; i++)
		flat_release(&flats[i]);
	free(flats);
}

/* ---- use */

/* Takes the first operand off the files, which stand behind those that the house names. */
static void drop_operand(void)
{
	size_t at = book.npaths - tool.n_operands--;

	memmove(book.path + at, book.path + at + 1, (--book.npaths - at) * sizeof *book.path);
	if (!book.npaths)
		book_add(&book, "-");
}

/* What is neither an event nor a file was mostly meant for an event. */
static void check_operand(const char *name)
{
	struct slice near = vocab_near_event(&book.vocab, slice_of(name));

	if (near.n && strcmp(name, "-") != 0 && access(name, F_OK) != 0)
		tool_misused("there is neither an event nor a file '%s'; did you mean %.*s?", name, (int)near.n, near.p);
}

/* The first operand names an event, unless there is none of that name; then it is a file. */
static void take_event(void)
{
	if (!tool.n_operands)
		return;
	event = vocab_event(&book.vocab, slice_of(tool.operands[0]));
	if (!event) {
		check_operand(tool.operands[0]);
		return;
	}
	if (access(tool.operands[0], F_OK) == 0)
		tool_warn("'%s' is taken for the event; the file of that name is ./%s", tool.operands[0], tool.operands[0]);
	drop_operand();
}

static void choose_form(void)
{
	bool table = event || items;

	if (form < 0)
		form = schema ? AS_SQL : !table ? AS_JSONL : isatty(STDOUT_FILENO) ? TABLE_AS_TEXT : TABLE_AS_TSV;
	if (schema && form != AS_SQL)
		tool_misused("--schema is SQL and has no other form");
	if (form == AS_JSONL && items)
		tool_misused("lines of JSON hold whole entries; leave out --long, or take --as=json");
	if (form < AS_JSONL && !table)
		tool_misused("entries of all events have no columns in common: name an event, or take --long or --as=jsonl");
}

int main(int argc, char **argv)
{
	int status = TOOL_DONE;

	tool_start(&page, argc, argv);
	book_start(&book, 0);
	take_event();
	choose_form();
	if (schema && (tool.n_operands || tool.book))
		tool_misused("--schema reads no book");
	if (schema)
		write_schema();
	else if (form == AS_SQL)
		write_inserts();
	else if (form == AS_JSONL)
		write_json();
	else
		write_table();
	if (!schema)
		status = book_end(&book);
	print_spool();
	return tool_finish(status);
}
