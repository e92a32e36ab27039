#include <unistd.h>

#include "base/spool.h"
#include "book/flat_sql.h"
#include "book/flat_table.h"
#include "cli/tool_book.h"

/* The forms of a table, in the order of enum table_form, and two more. */
enum { AS_JSONL = TABLE_AS_HTML + 1, AS_SQL };

static const char *const forms[] = { "text", "tsv", "csv", "json", "md", "html", "jsonl", "sql", NULL };

static int form = -1;
static bool items, schema, locate, number;

static const struct opt options[] = {
	OPT_FLAG(0, "long", &items, "a row for each item of each field, of all events or of one"),
	OPT_FLAG(0, "schema", &schema, "print the SQL tables that --as=sql fills"),
	OPT_FLAG('l', "locate", &locate, "print the file too"),
	OPT_FLAG(0, "entry", &number, "print the number of the entry too; with --locate, a table has the columns of --schema"),
	OPT_WORD(0, "as", &form, forms, "form of the output (jsonl; for a table text on\na terminal, tsv elsewhere)"),
	OPT_FLAG(0, "no-header", &tool.no_header, "leave out the header row"),
	OPT_PART(tool_column_options),
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
		"--schema [--long] [EVENT]           the SQL tables",
	.options = options,
	.exits = "0  done\n"
		"1  some lines could not be read: nothing is printed, or with --without-bad the others\n"
		"2  usage error, a file that cannot be read, incomplete output",
	.example = "wy-flat air --as=csv book.wy >air.csv\nthe climate, for a spreadsheet",
};

static struct book book;
static const struct event_def *event;  /* the one asked for, or NULL */
static struct spool spool = SPOOL_INIT;
static struct buf out, words;
static uint64_t entries;

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

static void refuse_clash(const char *name)
{
	if (name)
		tool_fail("two columns would be called %s; rename one of the works' own fields", name);
}

/* Takes each entry that is asked for; what that adds to `out` is spooled by the block. */
static void each_entry(void (*take)(struct flat_row *row, void *arg), void *arg)
{
	const struct line *l;

	while ((l = book_next(&book))) {
		struct flat_row row;

		if (!wanted(l))
			continue;
		row = row_of(l);
		take(&row, arg);
		if (out.n > READER_BLOCK)
			put();
	}
}

/* ---- tables */

static void add_to_table(struct flat_row *row, void *table)
{
	flat_table_add(table, row, &out);
}

static void write_table(void)
{
	struct flat_table table;
	const struct table *one = &table.table;

	tool.form = form;
	refuse_clash(flat_table_init(&table, items ? NULL : event, (locate ? FLAT_WITH_FILE : 0) | (number ? FLAT_WITH_ENTRY : 0)));
	table.style = tool_style(&one, 1);
	table.style.fit = true;
	flat_table_begin(&table, &out);
	each_entry(add_to_table, &table);
	flat_table_end(&table, &out);
	flat_table_release(&table);
}

/* ---- lines of JSON */

static void add_json(struct flat_row *row, void *arg)
{
	(void)arg;
	flat_json(&out, row->line, locate ? row->file : SLICE(""));
}

/* ---- SQL */

static void check_tables(const struct flat_sql *sql)
{
	struct buf name = BUF_INIT;

	if (flat_sql_tables_clash(sql, &name))
		tool_fail("two tables would be called %s; rename one of the works' own events", buf_cstr(&name));
	buf_release(&name);
}

static void insert_entry(struct flat_row *row, void *sql)
{
	refuse_clash(flat_sql_insert(sql, row, &out));
}

static void write_sql(void)
{
	struct flat_sql sql;

	flat_sql_init(&sql, &book.vocab, event, items);
	check_tables(&sql);
	if (schema)
		refuse_clash(flat_sql_create(&sql, &out));
	else {
		buf_str(&out, "BEGIN;\n");
		each_entry(insert_entry, &sql);
		buf_str(&out, "COMMIT;\n");
	}
	flat_sql_release(&sql);
}

/* ---- use */

/* Takes the first operand off the files, which follow those that the house file names. */
static void drop_operand(void)
{
	size_t at = book.npaths - tool.n_operands--;

	memmove(book.path + at, book.path + at + 1, (--book.npaths - at) * sizeof *book.path);
	if (!book.npaths)
		book_add(&book, "-");
}

/* A word that is not an event and not a file was probably meant as an event. */
static void check_operand(const char *name)
{
	struct slice near = vocab_near_event(&book.vocab, slice_of(name));

	if (near.n && strcmp(name, "-") != 0 && access(name, F_OK) != 0)
		tool_misused("'%s' is not an event and not a file; perhaps %.*s?", name, (int)near.n, near.p);
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
		tool_warn("'%s' is read as the event; for the file, write ./%s", tool.operands[0], tool.operands[0]);
	drop_operand();
}

static void choose_form(void)
{
	bool table = event || items;

	if (form < 0)
		form = schema ? AS_SQL : !table ? AS_JSONL : isatty(STDOUT_FILENO) ? TABLE_AS_TEXT : TABLE_AS_TSV;
	if (schema && form != AS_SQL)
		tool_misused("--schema prints SQL only; leave out --as");
	if (form == AS_JSONL && items)
		tool_misused("jsonl has whole entries; leave out --long, or use --as=json");
	if (number && form >= AS_JSONL)
		tool_misused("--entry is for tables; SQL has it anyway, and jsonl has none");
	if (form < AS_JSONL && !table)
		tool_misused("the events have no common columns; name an event, or use --long or --as=jsonl");
}

int main(int argc, char **argv)
{
	int status = TOOL_DONE;

	tool_start(&page, argc, argv);
	book_start(&book, 0);
	take_event();
	choose_form();
	if (schema && (tool.n_operands || tool.book))
		tool_misused("--schema reads no book; leave out the files");
	if (form == AS_SQL)
		write_sql();
	else if (form == AS_JSONL)
		each_entry(add_json, NULL);
	else
		write_table();
	put();
	if (!schema)
		status = book_end(&book);
	print_spool();
	return tool_finish(status);
}
