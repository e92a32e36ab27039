#include "cli/tool_jot.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <time.h>

#include "base/atomic_write.h"
#include "base/utf8.h"
#include "book/tidy.h"
#include "book/token.h"
#include "check/check.h"
#include "house/house_open.h"
#include "jot/jot_complete.h"
#include "jot/jot_defaults.h"
#include "jot/jot_entry.h"
#include "jot/jot_own.h"
#include "jot/jot_verdict.h"
#include "time/zone.h"

enum { FEW_LINES = 8,    /* so many refused lines are all shown */
	LINE_SHOWN_MOST = 300 };

/* ---- starting */

static bool same_file(const char *a, const char *b)
{
	struct stat x, y;

	return stat(a, &x) == 0 && stat(b, &y) == 0 && x.st_ino == y.st_ino && x.st_dev == y.st_dev;
}

/* The files of the house's book but `into`. */
static void add_others(struct book *b, const char *into)
{
	for (size_t i = 0; b->house && i < b->house->book.n; i++) {
		struct buf path = BUF_INIT;

		house_beside(&path, b->house_path, b->house->book.word[i]);
		if (!same_file(buf_cstr(&path), into))
			book_add(b, buf_cstr(&path)); /* lasts as long as the book */
		else
			buf_release(&path);
	}
}

/* The house's book, and the file to append to as its last, which may be none of it. */
static void open_book(struct tool_jot *t)
{
	struct book *b = t->book;
	char *house = house_find(tool.house, NULL);
	char *into[] = { (char *)t->into, NULL };

	if (!house && !t->into)
		tool_fail("no house file: name one with -H FILE or WITHY_HOUSE, or a book with --into=FILE");
	free(house);
	tool.book = !t->into;
	tool.operands = into;
	tool.n_operands = t->into ? 1 : 0;
	book_start(b, BOOK_QUIET | BOOK_PATTERNS);
	if (t->into) {
		add_others(b, t->into);
		memmove(b->path, b->path + 1, (b->npaths - 1) * sizeof *b->path);
		b->path[b->npaths - 1] = t->into;
	}
	t->target = (uint32_t)(b->npaths - 1);
	t->path = b->path[t->target];
	if (strcmp(t->path, "-") == 0)
		tool_misused("--into takes a file, not standard input");
}

static void read_defaults(struct tool_jot *t)
{
	struct buf path = BUF_INIT, bytes = BUF_INIT;
	struct yaml_error error;
	struct stat st;

	if (!t->book->house_path)
		return;
	house_beside(&path, t->book->house_path, SLICE("jot.yaml"));
	if (stat(buf_cstr(&path), &st) == 0 || errno != ENOENT) {
		tool_must_read(buf_cstr(&path), &bytes);
		t->defaults = jot_defaults_read(buf_slice(&bytes), &t->book->vocab, t->book->house, &error);
		if (!t->defaults)
			tool_fail("%s:%zu:%zu: error: %s", buf_cstr(&path), error.line, error.col, error.text);
	}
	buf_release(&path);
	buf_release(&bytes);
}

static void find_person(struct tool_jot *t)
{
	const char *person = getenv("WITHY_PERSON"), *login = getenv("LOGNAME");

	t->person = t->known = SLICE("");
	if (t->by || (person && *person)) {
		t->person = slice_of(t->by ? t->by : person);
		t->known = t->by ? SLICE("--by") : SLICE("WITHY_PERSON");
	} else if (login && t->book->house && house_index(t->book->house, HOUSE_PERSON, slice_of(login)) >= 0) {
		t->person = slice_of(login);
		t->known = SLICE("your login name");
	}
}

/* The time on the works' clock; of an hour that comes twice with its offset, where the clock shows it the first time. */
static void write_now(struct tool_jot *t)
{
	int64_t utc_s = (int64_t)time(NULL), wall_s = utc_s + zone_offset(t->book->zone, utc_s);
	struct stamp stamp = { (int32_t)(wall_s / 86400), (int32_t)(wall_s % 86400 / 60 * 60), STAMP_NO_OFFSET };
	struct zone_memo memo = { 0, 0, 0 };
	enum zone_kind kind;

	if (zone_stamp(t->book->zone, &memo, &stamp, &kind) / 60 != utc_s / 60)
		stamp.offset = (int16_t)(zone_offset(t->book->zone, utc_s) / 60);
	time_write(&t->time, &stamp);
}

void tool_jot_start(struct tool_jot *t)
{
	const char *today = getenv("WITHY_TODAY");

	open_book(t);
	read_defaults(t);
	find_person(t);
	t->today = book_today(t->book);
	day_write(&t->date, t->today);
	if (!t->no_time && !tool.on.text && !(today && *today))
		write_now(t);
}

/* ---- reading and checking the book */

typedef void take_line(void *to, const struct line *l);

static void read_bytes(const struct tool_jot *t, struct diags *diags, struct slice bytes, take_line *take, void *to)
{
	struct parser parser;

	parser_init(&parser, &t->book->vocab, diags);
	for (uint64_t number = 1; bytes.n; number++) {
		struct slice line = jot_own_next(&bytes);

		take(to, parse_line(&parser, jot_own_text(line, number == 1), number, t->target));
	}
	parser_release(&parser);
}

static void read_file(const struct tool_jot *t, struct diags *diags, uint32_t file, take_line *take, void *to)
{
	struct reader reader;
	const struct line *l;

	reader_init(&reader, &t->book->vocab, diags);
	if (!reader_open(&reader, t->book->path[file], file))
		while ((l = reader_next(&reader)))
			take(to, l);
	if (reader.error)
		book_cannot_read(t->book, file, reader.error, reader_used(&reader));
	reader_close(&reader);
	reader_release(&reader);
}

/* All lines of the book, with `bytes` for the file that is written to. */
static void read_all(const struct tool_jot *t, struct diags *diags, struct slice bytes, take_line *take, void *to)
{
	for (size_t i = 0; i < t->book->npaths; i++) {
		if (i == t->target)
			read_bytes(t, diags, bytes, take, to);
		else
			read_file(t, diags, (uint32_t)i, take, to);
	}
}

static struct check *start_check(const struct tool_jot *t, struct diags *diags, unsigned flags)
{
	struct check_files files = { (uint32_t)t->book->npaths, CHECK_NO_FILE, t->book->path };

	diags_init(diags);
	memcpy(diags->level, t->book->diags.level, sizeof diags->level);
	return check_new(&t->book->vocab, t->book->house, t->book->zone, diags, files, flags);
}

static void take_checked(void *to, const struct line *l)
{
	check_line(to, l);
}

static void check_bytes(const struct tool_jot *t, struct diags *diags, struct slice bytes)
{
	struct check *check = start_check(t, diags, 0);

	read_all(t, diags, bytes, take_checked, check);
	check_end(check);
	check_free(check);
}

static void take_state(void *to, const struct line *l)
{
	jot_state_line(to, l);
}

/* The state has the diagnostics of its checker at its end. */
struct look {
	struct jot_state state;
	struct diags diags;
};

static struct look *look_at(const struct tool_jot *t, struct slice bytes)
{
	struct look *look = mem_zeroed(1, sizeof *look);
	struct check *check = start_check(t, &look->diags, 0);

	jot_state_init(&look->state, &t->book->vocab, t->book->house, check, t->today);
	read_all(t, &look->diags, bytes, take_state, &look->state);
	jot_state_end(&look->state);
	return look;
}

struct jot_state *tool_jot_look(const struct tool_jot *t)
{
	struct buf bytes = BUF_INIT;
	struct look *look;

	tool_must_read(t->path, &bytes);
	look = look_at(t, buf_slice(&bytes));
	buf_release(&bytes);
	return &look->state;
}

void tool_jot_forget(struct jot_state *s)
{
	struct look *look = (struct look *)(void *)s;

	check_free(s->check);
	jot_state_release(s);
	diags_release(&look->diags);
	free(look);
}

/* ---- the file */

struct target {
	struct atomic_write file;
	struct buf bytes;
	bool dry;
};

static void open_target(const struct tool_jot *t, struct target *target)
{
	int error;

	*target = (struct target){ .bytes = BUF_INIT, .dry = t->dry || t->preview };
	if (target->dry) {
		tool_must_read(t->path, &target->bytes);
		return;
	}
	error = atomic_write_open(&target->file, t->path);
	if (error == ENOENT)
		tool_fail("%s: it does not exist; for a new book create it first: touch %s", t->path, t->path);
	if (!error)
		error = atomic_write_read(&target->file, &target->bytes);
	if (error)
		tool_fail("%s: nothing was written: %s", t->path, atomic_write_error(error));
}

static void commit(const struct tool_jot *t, struct target *target, struct slice bytes)
{
	int error = target->dry ? 0 : atomic_write_commit(&target->file, bytes);

	if (error)
		tool_fail("%s: nothing was written: %s", t->path, atomic_write_error(error));
}

static void close_target(struct target *target)
{
	if (!target->dry)
		atomic_write_close(&target->file);
	buf_release(&target->bytes);
}

/* ---- saying */

/* Diagnostics: those of the new lines, which are from number `from` on, as of "entry". */
static void tell_diags(const struct tool_jot *t, const struct diags *d, uint64_t from)
{
	struct buf out = BUF_INIT;

	for (size_t i = 0; i < d->n; i++) {
		struct diag row = d->row[i];
		bool new = row.place.file == t->target && row.place.line >= from;

		if (new)
			row.place.line -= from - 1;
		out.n = 0;
		diag_write(&out, d, &row, new ? SLICE("entry") : slice_of(t->book->path[row.place.file]));
		tool_tell(slice_upto(buf_slice(&out), out.n - 1));
	}
	buf_release(&out);
}

static void tell_filled(const struct tool_jot *t, struct jot_entry *entry, size_t errors)
{
	if (entry->filled.n)
		tool_warn("filled in: %s", buf_cstr(&entry->filled));
	if (errors)
		tool_warn("the book has %zu error%s already, which may hide others; wy-check -b lists them", errors, PLURAL(errors, "", "s"));
	if (!t->person.n)
		tool_warn("nobody is named: by= is only there where you wrote it; set WITHY_PERSON or give --by=PERSON");
}

/* ---- writing */

static bool make_entries(const struct tool_jot *t, const struct jot_state *state, const struct tool_jot_input *input, struct jot_entry *entry)
{
	struct jot_now now = { state, t->defaults, t->person, t->known, buf_slice(&t->date), buf_slice(&t->time) };
	struct slice rest = input->text;
	uint64_t number = 1;

	if (!input->name) {
		if (jot_entry_add(entry, &now, input->word, input->n))
			return true;
		tool_warn("%s", buf_cstr(&entry->error));
		return false;
	}
	for (; rest.n; number++)
		if (!jot_entry_line(entry, &now, jot_own_text(jot_own_next(&rest), number == 1))) {
			tool_warn("%s:%llu: %s", input->name, (unsigned long long)number, buf_cstr(&entry->error));
			return false;
		}
	return true;
}

/* The lines in their canonical form; returns how many. */
static int write_tidy(const struct tool_jot *t, struct slice lines, struct buf *out)
{
	struct diags diags;
	struct parser parser;
	int n = 0;

	diags_init(&diags);
	parser_init(&parser, &t->book->vocab, &diags);
	while (lines.n) {
		tidy_line(out, parse_line(&parser, jot_own_text(jot_own_next(&lines), false), 2, 0));
		buf_char(out, '\n');
		n++;
	}
	parser_release(&parser);
	diags_release(&diags);
	return n;
}

/* Reports the lines, of which the first is number `from`, that are on closed days. */
static void judge_closed(const struct tool_jot *t, struct slice lines, uint64_t from, const char *what, struct diags *after)
{
	int32_t last = t->book->house ? t->book->house->closed : HOUSE_NO_DAY;
	struct diags diags;
	struct parser parser;
	struct buf closed = BUF_INIT;

	if (last == HOUSE_NO_DAY)
		return;
	day_write(&closed, last);
	diags_init(&diags);
	parser_init(&parser, &t->book->vocab, &diags);
	for (; lines.n; from++) {
		const struct line *l = parse_line(&parser, jot_own_text(jot_own_next(&lines), false), 2, 0);

		if (l->kind == LINE_EVENT && l->stamp.day <= last)
			DIAG(after, RULE_CLOSED_CHANGED, ((struct place){ t->target, 1, 1, from }), buf_slice(&closed), slice_of(what));
	}
	parser_release(&parser);
	diags_release(&diags);
	buf_release(&closed);
}

static uint64_t count_lines(struct slice bytes)
{
	uint64_t n = 0;

	while (bytes.n) {
		jot_own_next(&bytes);
		n++;
	}
	return n;
}

/* Marks those of the `n` lines from number `from` on that something is wrong with. */
static void mark_wrong(const struct tool_jot *t, const struct diags *diags, uint64_t from, uint64_t n, bool *wrong)
{
	for (size_t i = 0; i < diags->n; i++) {
		struct place place = diags->row[i].place;

		if (place.file == t->target && place.line >= from && place.line - from < n)
			wrong[place.line - from] = true;
	}
}

/* The lines as they would be, of many only those that are wrong, and what is wrong with them. */
static void refuse(const struct tool_jot *t, const struct diags *diags, struct slice lines, uint64_t from)
{
	uint64_t n = count_lines(lines);
	bool *wrong = mem_zeroed(n + 1, sizeof *wrong);

	mark_wrong(t, diags, from, n, wrong);
	tool_warn("nothing was written; the checker refuses this:");
	for (size_t i = 0; lines.n; i++) {
		struct buf out = BUF_INIT;

		buf_str(&out, "    ");
		utf8_add_shown(&out, jot_own_text(jot_own_next(&lines), false), LINE_SHOWN_MOST);
		buf_char(&out, '\n');
		if (n <= FEW_LINES || wrong[i])
			fwrite(out.p, 1, out.n, stderr);
		buf_release(&out);
	}
	free(wrong);
	tell_diags(t, diags, from);
}

/* Before it is written, so that what cannot be shown is not written. */
static void show(const struct tool_jot *t, const struct diags *diags, struct jot_entry *entry, struct slice lines, uint64_t from, size_t errors)
{
	tool_put(lines);
	tool_flush();
	tell_filled(t, entry, errors);
	tell_diags(t, diags, from);
}

/* Checks the book with the lines at the end of `target`; appends and reports them, or refuses. */
static int judge(const struct tool_jot *t, struct target *target, const struct diags *before, struct jot_entry *entry)
{
	struct buf lines = BUF_INIT, bytes = BUF_INIT;
	struct diags after;
	struct jot_change change = { t->target, count_lines(buf_slice(&target->bytes)) + 1, write_tidy(t, buf_slice(&entry->lines), &lines) };
	bool refused;

	buf_add(&bytes, buf_slice(&target->bytes));
	if (bytes.n && bytes.p[bytes.n - 1] != '\n')
		buf_char(&bytes, '\n');
	buf_add(&bytes, buf_slice(&lines));
	check_bytes(t, &after, buf_slice(&bytes));
	jot_verdict(&after, before, &change);
	judge_closed(t, buf_slice(&lines), change.from, "was not in the book before", &after);
	refused = after.count[LEVEL_ERROR] > 0;
	if (refused)
		refuse(t, &after, buf_slice(&lines), change.from);
	else {
		if (!t->shown)
			show(t, &after, entry, buf_slice(&lines), change.from, before->count[LEVEL_ERROR]);
		commit(t, target, buf_slice(&bytes));
		if (t->dry)
			tool_warn("--dry: nothing was written to %s", t->path);
		else if (!t->preview)
			tool_warn("%d line%s appended to %s", change.added, PLURAL(change.added, "", "s"), t->path);
	}
	diags_release(&after);
	buf_release(&lines);
	buf_release(&bytes);
	return refused ? TOOL_NO : TOOL_DONE;
}

int tool_jot_write(const struct tool_jot *t, const struct tool_jot_input *input)
{
	struct target target;
	struct jot_entry entry;
	struct look *look;
	int status = TOOL_NO;

	open_target(t, &target);
	look = look_at(t, buf_slice(&target.bytes));
	jot_entry_init(&entry);
	if (!make_entries(t, &look->state, input, &entry))
		tool_warn("nothing was written");
	else if (!entry.lines.n)
		tool_warn("there is nothing to write");
	else
		status = judge(t, &target, &look->diags, &entry);
	jot_entry_release(&entry);
	tool_jot_forget(&look->state);
	close_target(&target);
	return status;
}

/* ---- one answer of a form */

/* Where the answer is in the lines that would be written. */
struct answer_place {
	uint32_t file, from, to;   /* columns */
	uint64_t line;
};

/* Of a line before it is in columns: the date, perhaps a time, the event, the subject, and the field that was asked for. */
static struct answer_place find_answer(const struct tool_jot *t, struct slice line, bool subject)
{
	const char *at = line.p, *end = line.p + line.n;

	for (int skip = (t->time.n > 0) + (subject ? 2 : 3); skip; skip--)
		at = token_word_end(token_skip_blanks(at, end), end);
	at = token_skip_blanks(at, end);
	return (struct answer_place){ t->target, (uint32_t)(at - line.p) + 1, (uint32_t)(token_value_end(at, end) - line.p) + 1, 1 };
}

static bool is_of_answer(void *context, const struct diag *row)
{
	const struct answer_place *place = context;

	return row->level == LEVEL_ERROR && row->place.file == place->file && row->place.line >= place->line && row->place.col >= place->from &&
		row->place.col <= place->to;
}

/* Of a subject: whether the book has it, as what, and by then. What else it shows of it depends on the fields. */
static bool is_of_subject(void *context, const struct diag *row)
{
	const struct answer_place *place = context;

	switch (row->rule) {
	case RULE_ID_UNKNOWN:
	case RULE_ID_OTHER:
	case RULE_ID_KIND:
	case RULE_ID_TOO_EARLY:
		return row->place.col == place->from && is_of_answer(context, row);
	default:
		return false;
	}
}

static void judge_subject(const struct tool_jot *t, struct slice lines, struct answer_place place, struct diags *diags)
{
	struct buf bytes = BUF_INIT;

	tool_must_read(t->path, &bytes);
	if (bytes.n && bytes.p[bytes.n - 1] != '\n')
		buf_char(&bytes, '\n');
	place.line = count_lines(buf_slice(&bytes)) + 1;
	buf_add(&bytes, lines);
	check_bytes(t, diags, buf_slice(&bytes));
	diags_filter(diags, is_of_subject, &place);
	buf_release(&bytes);
}

static void judge_line(const struct tool_jot *t, struct slice line, struct answer_place place, struct diags *diags)
{
	struct check *check = start_check(t, diags, CHECK_BY_LINE);
	struct parser parser;

	parser_init(&parser, &t->book->vocab, diags);
	check_line(check, parse_line(&parser, line, place.line, t->target));
	check_end(check);
	check_free(check);
	parser_release(&parser);
	diags_filter(diags, is_of_answer, &place);
}

static size_t tell_answer(const struct diags *diags)
{
	for (size_t i = 0; i < diags->n; i++) {
		struct buf out = BUF_INIT;

		diag_add_words(&out, diags, &diags->row[i]);
		tool_warn("%.*s", (int)out.n - 1, out.p);
		buf_release(&out);
	}
	return diags->n;
}

bool tool_jot_answer(const struct tool_jot *t, const struct jot_state *state, const struct slice *word, size_t n)
{
	const struct tool_jot_input input = { .word = word, .n = n };
	bool subject = n == 2, good;
	struct jot_entry entry;
	struct slice rest, line;
	struct diags diags;

	jot_entry_init(&entry);
	good = make_entries(t, state, &input, &entry);
	rest = buf_slice(&entry.lines);
	if (good && rest.n) {
		line = jot_own_text(jot_own_next(&rest), false);
		judge_line(t, line, find_answer(t, line, subject), &diags);
		good = tell_answer(&diags) == 0;
		diags_release(&diags);
	}
	if (good && subject) {
		judge_subject(t, buf_slice(&entry.lines), find_answer(t, line, subject), &diags);
		good = tell_answer(&diags) == 0;
		diags_release(&diags);
	}
	jot_entry_release(&entry);
	return good;
}

/* ---- undoing */

/* The file without the line, if no other line then breaks a rule. */
static int take_out(const struct tool_jot *t, struct target *target, const struct jot_own *own)
{
	struct slice bytes = buf_slice(&target->bytes);
	size_t at = (size_t)(own->line.p - bytes.p);
	struct jot_change change = { t->target, own->number, -1 };
	struct buf left = BUF_INIT;
	struct diags before, after;
	int status = TOOL_DONE;

	buf_add(&left, slice_upto(bytes, at));
	buf_add(&left, slice_from(bytes, at + own->line.n));
	check_bytes(t, &before, bytes);
	check_bytes(t, &after, buf_slice(&left));
	jot_verdict(&after, &before, &change);
	for (size_t i = 0; i < after.n; i++)
		after.row[i].place.line += after.row[i].place.file == t->target && after.row[i].place.line >= own->number;
	judge_closed(t, own->line, own->number, "is no longer in the book", &after);
	if (after.count[LEVEL_ERROR]) {
		tool_warn("%s:%llu: this entry is not taken out, for without it the book has an error:", t->path, (unsigned long long)own->number);
		tell_diags(t, &after, UINT64_MAX);
		status = TOOL_NO;
	} else {
		tool_put(jot_own_text(own->line, own->number == 1));
		tool_put(SLICE("\n"));
		tool_flush();
		commit(t, target, buf_slice(&left));
		tool_warn(t->dry ? "--dry: line %llu would be taken out of %s" : "line %llu was taken out of %s", (unsigned long long)own->number, t->path);
	}
	diags_release(&before);
	diags_release(&after);
	buf_release(&left);
	return status;
}

int tool_jot_undo(const struct tool_jot *t)
{
	struct target target;
	struct jot_own own;
	int status = TOOL_NO;

	if (!t->person.n)
		tool_misused("--undo takes out your own last entry of the day: name yourself with --by=PERSON or WITHY_PERSON");
	open_target(t, &target);
	if (jot_own_find(&own, &t->book->vocab, buf_slice(&target.bytes), t->person, t->today))
		status = take_out(t, &target, &own);
	else
		tool_warn("%s has no entry of %.*s with by=%.*s; nothing was taken out", t->path, (int)t->date.n, t->date.p, (int)t->person.n,
			t->person.p);
	close_target(&target);
	return status;
}

/* ---- completion */

int tool_jot_complete(const struct tool_jot *t, const char *what, const struct slice *word, size_t n)
{
	struct jot_state *state = tool_jot_look(t);
	struct jot_choices choices = { .n = 0 };
	struct intern store;
	struct buf out = BUF_INIT;
	bool known = true;

	intern_init(&store);
	if (strcmp(what, "entry") == 0)
		jot_complete_entry(state, word, n, &store, &choices);
	else if (strcmp(what, "ids") == 0)
		jot_state_all(state, &choices);
	else if (strcmp(what, "dates") == 0)
		jot_complete_dates(state, &store, &choices);
	else
		known = jot_complete_field(state, slice_of(what), &choices);
	jot_choices_sort(&choices);
	for (size_t i = 0; i < choices.n; i++) {
		buf_add(&out, choices.at[i].word);
		buf_char(&out, '\t');
		buf_add(&out, choices.at[i].help);
		buf_char(&out, '\n');
	}
	tool_put_buf(&out);
	buf_release(&out);
	jot_choices_release(&choices);
	intern_release(&store);
	tool_jot_forget(state);
	if (!known)
		tool_misused("--complete takes entry, ids, dates or a field, not %s", what);
	return TOOL_DONE;
}
