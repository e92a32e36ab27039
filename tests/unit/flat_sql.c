/* flat_sql.c: tables and rows of SQL for an event, for items, and names that would clash. */
#include "book/diag.h"
#include "book/flat_sql.h"
#include "book/parse.h"
#include "check.h"

static struct vocab vocab;
static struct diags diags;
static struct parser parser;

static const struct line *read_line(const char *text)
{
	return parse_line(&parser, slice_of(text), 7, 0);
}

static bool has(struct buf *out, const char *words)
{
	return strstr(buf_cstr(out), words) != NULL;
}

static void tables_of_all_events(void)
{
	struct buf out = BUF_INIT;
	struct flat_sql s;
	size_t tables = 0;

	flat_sql_init(&s, &vocab, NULL, false);
	CHECK(!flat_sql_create(&s, &out));
	for (size_t i = 0; i + 6 < out.n; i++)
		tables += memcmp(out.p + i, "CREATE", 6) == 0;
	CHECK_INT(tables, vocab.nevents + 1);
	CHECK(has(&out, "CREATE TABLE \"items\" ("));
	CHECK(has(&out, "\"entry\" INTEGER NOT NULL PRIMARY KEY"));
	CHECK(!flat_sql_tables_clash(&s, &out));
	flat_sql_release(&s);
	buf_release(&out);
}

/* A quote in a text is doubled; what is absent has no column; the items follow unless one event is asked. */
static void rows(void)
{
	struct buf out = BUF_INIT, words = BUF_INIT;
	const struct line *l = read_line("2026-06-01 fell T061 girth=900mm doc=D-1 # at nine o'clock");
	struct flat_row row = { .line = l, .entry = 3, .file = SLICE("b.wy"), .words = &words };
	struct flat_sql s;

	CHECK_INT(l->kind, LINE_EVENT);
	flat_sql_init(&s, &vocab, l->event, false);
	CHECK(!flat_sql_insert(&s, &row, &out));
	CHECK(slice_starts(buf_slice(&out), SLICE("INSERT INTO \"fell\" (\"entry\",")));
	CHECK(has(&out, "'at nine o''clock'") && has(&out, "900") && !has(&out, "\"by\"") && !has(&out, "items"));
	flat_sql_release(&s);
	out.n = 0;
	flat_sql_init(&s, &vocab, NULL, true);
	CHECK(!flat_sql_insert(&s, &row, &out));
	CHECK(!has(&out, "\"fell\"") && has(&out, "INSERT INTO \"items\"") && has(&out, "'girth'") && has(&out, "'doc'"));
	flat_sql_release(&s);
	buf_release(&words);
	buf_release(&out);
}

/* An event of the works' own whose table would have the name of the items'. */
static void names_that_clash(void)
{
	struct vocab own = vocab;
	struct event_def event = *vocab.events[0];
	struct buf name = BUF_INIT;
	struct flat_sql s;

	event.name = SLICE("Items");
	own.events[own.nevents++] = &event;
	flat_sql_init(&s, &own, NULL, false);
	CHECK(flat_sql_tables_clash(&s, &name));
	CHECK(name.n == 5);
	flat_sql_release(&s);
	buf_release(&name);
}

int main(void)
{
	vocab_init(&vocab);
	diags_init(&diags);
	parser_init(&parser, &vocab, &diags);
	tables_of_all_events();
	rows();
	names_that_clash();
	parser_release(&parser);
	diags_release(&diags);
	return check_end();
}
