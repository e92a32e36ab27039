#include "cli/tool_book.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/crew.h"
#include "cli/progress.h"
#include "house/house_open.h"
#include "house/own_vocab.h"
#include "stock/provenance.h"
#include "time/zone.h"

static int64_t workers;

const struct opt book_worker_options[] = {
	OPT_INT('w', "workers", &workers, "N", 1, SCAN_JOBS_MOST, "read with at most N workers; default one per core; does not change the answer"),
	OPT_END
};

void book_add(struct book *b, const char *path)
{
	b->path = mem_grow(b->path, &b->paths_cap, b->npaths + 1, sizeof *b->path);
	b->path[b->npaths++] = path;
}

/* ---- the house */

static void tell_house(void *arg, const struct house_problem *p)
{
	struct buf out = BUF_INIT;

	buf_str(&out, arg);
	buf_printf(&out, ":%zu:%zu: %s: ", p->line, p->col, p->error ? "error" : "warning");
	buf_add(&out, p->text);
	buf_str(&out, "; ");
	buf_add(&out, p->mend);
	buf_str(&out, " -- ");
	buf_add(&out, p->rule);
	tool_tell(buf_slice(&out));
	buf_release(&out);
}

static void set_levels(struct book *b)
{
	for (size_t i = 0; i < b->house->nrules; i++) {
		int rule = diag_rule_named(b->house->rules[i].id);

		if (rule < 0)
			tool_fail("%s: the house file names an unknown rule '%.*s'; wy-check --rules lists the rules",
				b->house_path, (int)b->house->rules[i].id.n, b->house->rules[i].id.p);
		diags_set_level(&b->diags, rule, b->house->rules[i].level);
	}
}

static void set_clock(struct book *b)
{
	struct zone_error error;

	zone_free(b->zone);
	b->zone = zone_load(b->house->clock, &error);
	if (!b->zone)
		tool_fail("%s: clock: %s", b->house_path, error.text);
}

static void open_house(struct book *b)
{
	struct buf text = BUF_INIT;
	struct house *house;

	b->house_path = house_find(tool.house, NULL);
	if (!b->house_path && (b->flags & BOOK_HOUSE || tool.book))
		tool_fail("no house file: name one with -H FILE or WITHY_HOUSE, or change to the directory of house.yaml");
	if (!b->house_path)
		return;
	tool_must_read(b->house_path, &text);
	house = house_read(buf_slice(&text), tell_house, b->house_path);
	buf_release(&text);
	if (b->flags & BOOK_PATTERNS)
		house_compile(house, tell_house, b->house_path);
	if (house->errors)
		tool_fail("%s: correct the house file first", b->house_path);
	b->house = house;
	set_levels(b);
	set_clock(b);
	if (!own_vocab_words(&b->vocab, house))
		tool_fail("%s: the works' own events or fields are too many", b->house_path);
}

/* ---- the files */

static void add_files(struct book *b)
{
	for (size_t i = 0; tool.book && i < b->house->book.n; i++) {
		struct buf path = BUF_INIT;

		house_beside(&path, b->house_path, b->house->book.word[i]);
		book_add(b, buf_cstr(&path));
	}
	if (tool.book && b->house->book.n == 0)
		tool_fail("%s: it names no book files; add them as book:, such as book: [book.wy]", b->house_path);
	for (size_t i = 0; i < tool.n_operands; i++)
		book_add(b, tool.operands[i]);
	if (b->npaths == 0)
		book_add(b, "-");
}

/* The bytes of all files, or 0 where one of them is a pipe. */
static uint64_t bytes_to_read(const struct book *b)
{
	uint64_t bytes = 0;
	struct stat st;

	for (size_t i = 0; i < b->npaths; i++) {
		if (strcmp(b->path[i], "-") == 0 || stat(b->path[i], &st) || !S_ISREG(st.st_mode))
			return 0;
		bytes += (uint64_t)st.st_size;
	}
	return bytes;
}

/* A book of so many bytes is worth a heap of so many. */
enum { BYTES_FOR_HEAP = 256 * 1024, HEAP = 8 * 1024 * 1024 };

static void expect_memory(const struct book *b)
{
	if (bytes_to_read(b) >= BYTES_FOR_HEAP)
		mem_expect(HEAP);
}

void book_start(struct book *b, unsigned flags)
{
	memset(b, 0, sizeof *b);
	b->flags = flags;
	progress_is_wanted(); /* its clock starts */
	if (flags & BOOK_HALVES && crew_cores() > 1)
		crew_ready(1);
	vocab_init(&b->vocab);
	diags_init(&b->diags);
	b->zone = zone_fixed(0);
	b->memo = mem_zeroed(1, sizeof *b->memo);
	open_house(b);
	add_files(b);
	expect_memory(b);
	reader_init(&b->reader, &b->vocab, &b->diags);
	b->at = (size_t)-1;
}

/* ---- how far it is */

enum { LINES_A_LOOK = 512 }; /* a look at the clock costs as much as a line */

static void show_reading(struct book *b)
{
	if (!progress_is_wanted())
		return;
	if (!b->bytes_known) {
		b->bytes_known = true;
		b->bytes = bytes_to_read(b);
	}
	progress_bytes(b->read_before + (uint64_t)reader_used(&b->reader), b->bytes);
}

void book_cannot_read(const struct book *b, size_t path, int error, int64_t at)
{
	struct buf why = BUF_INIT;

	reader_error_write(&why, error, at);
	tool_fail("cannot read %s: %s", tool_path_name(b->path[path]), buf_cstr(&why));
}

static bool open_next(struct book *b)
{
	const char *path;

	if (b->at != (size_t)-1)
		b->read_before += (uint64_t)reader_used(&b->reader);
	if (++b->at >= b->npaths)
		return false;
	path = b->path[b->at];
	if (strcmp(path, "-") == 0)
		tool_hint();
	if (reader_open(&b->reader, path, (uint32_t)b->at))
		book_cannot_read(b, b->at, b->reader.error, 0);
	return true;
}

const struct line *book_next(struct book *b)
{
	const struct line *l = NULL;

	if (b->at == (size_t)-1 && !open_next(b))
		return NULL;
	while (b->at < b->npaths && !(l = reader_next(&b->reader))) {
		if (b->reader.error)
			book_cannot_read(b, b->at, b->reader.error, reader_used(&b->reader));
		if (!open_next(b))
			return NULL;
	}
	if (l && l->kind == LINE_BAD)
		b->unread++;
	if (l && ++b->lines % LINES_A_LOOK == 0)
		show_reading(b);
	return l;
}

/* ---- two halves */

/* The same lines once more, on another thread: what is found in them is reported by book_next() alone. */
struct twin {
	const struct book *book;
	const struct book_half *half;
	struct zone_memo memo;
	struct reader reader;
	struct diags found;  /* and forgotten */
	size_t at;           /* which path is being read */
	int error;           /* of the reader: it stopped there */
};

/* False where the book cannot be read twice, as from standard input, or there is one core; then nothing is set. */
static bool twin_init(struct twin *t, const struct book *b, const struct book_half *half)
{
	if (crew_cores() == 1 || !bytes_to_read(b))
		return false;
	*t = (struct twin){ .book = b, .half = half };
	diags_init(&t->found);
	reader_init(&t->reader, &b->vocab, &t->found);
	t->error = reader_open(&t->reader, b->path[0], 0);
	return true;
}

static const struct line *twin_next(struct twin *t)
{
	const struct line *l = NULL;

	while (!t->error && !(l = reader_next(&t->reader))) {
		t->error = t->reader.error;
		if (t->error || t->at + 1 == t->book->npaths)
			return NULL;
		t->at++;
		t->error = reader_open(&t->reader, t->book->path[t->at], (uint32_t)t->at);
	}
	return l;
}

static void twin_end(struct twin *t)
{
	if (t->error)
		book_cannot_read(t->book, t->at, t->error, reader_used(&t->reader));
	reader_release(&t->reader);
	diags_release(&t->found);
}

static int64_t instant_of(const struct book *b, struct zone_memo *memo, const struct line *l)
{
	enum zone_kind kind;

	return l->kind == LINE_EVENT ? zone_stamp(b->zone, memo, &l->stamp, &kind) : 0;
}

static void end_half(const struct book_half *half)
{
	if (half->end)
		half->end(half->context);
}

static void read_beside(void *context)
{
	struct twin *t = context;
	const struct line *l;

	while ((l = twin_next(t)))
		t->half->take(t->half->context, l, instant_of(t->book, &t->memo, l));
	end_half(t->half);
}

/* `beside`, or NULL, takes turns. */
static void read_here(struct book *b, const struct book_half *beside, const struct book_half *here)
{
	const struct line *l;

	while ((l = book_next(b))) {
		int64_t utc_s = instant_of(b, b->memo, l);

		if (beside)
			beside->take(beside->context, l, utc_s);
		here->take(here->context, l, utc_s);
	}
	if (beside)
		end_half(beside);
	end_half(here);
}

void book_read_halves(struct book *b, const struct book_half *beside, const struct book_half *here)
{
	struct twin twin;
	struct errand other = { .work = read_beside, .context = &twin };

	if (!twin_init(&twin, b, beside)) {
		read_here(b, beside, here);
		return;
	}
	crew_send(&other);
	read_here(b, NULL, here);
	crew_await(&other);
	twin_end(&twin);
}

/* What the workers of a scan share, to say how far they are. */
static struct {
	void (*lines)(void *state, struct reader *r);
	pthread_t main;
	atomic_uint_fast64_t read;
	uint64_t bytes;
} scanning;

/* A chunk's lines; the main thread shows what all have read when one of its own is over. */
static void scan_lines(void *state, struct reader *r)
{
	int64_t from = reader_used(r);

	scanning.lines(state, r);
	atomic_fetch_add(&scanning.read, (uint64_t)(reader_used(r) - from));
	if (pthread_equal(pthread_self(), scanning.main))
		progress_bytes(atomic_load(&scanning.read), scanning.bytes);
}

/* The same work, watched where somebody can see it. */
static struct scan_work watched(const struct book *b, const struct scan_work *work)
{
	struct scan_work w = *work;

	if (!progress_is_wanted())
		return w;
	scanning.lines = work->lines;
	scanning.main = pthread_self();
	scanning.bytes = bytes_to_read(b);
	w.lines = scan_lines;
	return w;
}

size_t book_workers(void)
{
	return (size_t)workers;
}

void book_scan(struct book *b, const struct scan_work *work)
{
	struct scan_work watched_work = watched(b, work);
	struct scan scan = { .vocab = &b->vocab, .path = b->path, .npaths = b->npaths, .jobs = (size_t)workers, .diags = &b->diags };
	int error;

	for (size_t i = 0; i < b->npaths; i++)
		if (strcmp(b->path[i], "-") == 0)
			tool_hint();
	error = scan_run(&scan, &watched_work);
	if (error)
		book_cannot_read(b, scan.failed, error, scan.failed_at);
	b->unread = scan.unread;
}

void book_tell(struct book *b)
{
	struct buf out = BUF_INIT;

	for (size_t i = 0; i < b->diags.n; i++) {
		const struct diag *row = &b->diags.row[i];

		out.n = 0;
		diag_write(&out, &b->diags, row, slice_of(tool_path_name(b->path[row->place.file])));
		tool_tell(slice_upto(buf_slice(&out), out.n - 1));
	}
	buf_release(&out);
	diags_clear(&b->diags);
}

int book_end(struct book *b)
{
	diags_sort(&b->diags);
	if (!(b->flags & BOOK_QUIET))
		book_tell(b);
	if (!b->unread)
		return TOOL_DONE;
	if (!tool.without_bad) {
		tool_warn("%llu line%s could not be read, so nothing is printed; correct the errors%s",
			(unsigned long long)b->unread, PLURAL(b->unread, "", "s"), b->flags & BOOK_WHOLE ? "" : ", or use --without-bad");
		exit(tool_finish(TOOL_NO));
	}
	tool_warn("%llu line%s skipped", (unsigned long long)b->unread, PLURAL(b->unread, "", "s"));
	return TOOL_NO;
}

/* ---- days */

void book_period(const struct opt_day *from_day, const struct opt_day *to_day, int32_t *from, int32_t *to)
{
	*from = from_day->day;
	*to = to_day->day;
	if (*from > *to)
		tool_misused("--from %s --to %s: no day lies between them", from_day->text, to_day->text);
}

int32_t book_since(const struct opt_day *since, int32_t today)
{
	if (since->day > today)
		tool_misused("--since %s is after the day of the answer, which --on names", since->text);
	return since->day;
}

static int64_t offset_now(int64_t utc_s, const void *clock)
{
	return zone_offset(clock, utc_s);
}

int32_t book_today(const struct book *b)
{
	return tool_today(offset_now, b->zone);
}

bool book_instant(struct book *b, const struct stamp *stamp, int64_t *utc_s)
{
	enum zone_kind kind;

	*utc_s = zone_stamp(b->zone, b->memo, stamp, &kind);
	return kind != ZONE_NEVER;
}

/* ---- stock */

void book_stock_init(const struct book *b, struct stock *s)
{
	stock_init(s, b->house);
}

void book_stock_add(struct book *b, struct stock *s, const struct line *l)
{
	int64_t utc_s = 0;

	if (!l->event->stock.moves)
		return;
	if (l->stamp.second != STAMP_NO_TIME)
		book_instant(b, &l->stamp, &utc_s);
	stock_add(s, l, utc_s);
}

void book_stock_start(struct book *b, struct stock *s, const struct opt_day *since_day, int32_t *today, int32_t *since)
{
	book_start(b, 0);
	book_stock_init(b, s);
	*today = book_today(b);
	*since = book_since(since_day, *today);
}

int book_stock_read(struct book *b, struct stock *s, int32_t last_day, book_line *take, void *context)
{
	const struct line *l;

	while ((l = book_next(b))) {
		if (l->kind != LINE_EVENT || l->stamp.day > last_day)
			continue;
		if (take)
			take(context, l);
		book_stock_add(b, s, l);
	}
	return book_end(b);
}

static void add_origin(void *context, const struct line *l)
{
	provenance_add(context, l);
}

int book_origins_read(struct book *b, struct stock *s, int32_t last_day, struct provenance *origins)
{
	int status;

	provenance_init(origins, &s->ids);
	status = book_stock_read(b, s, last_day, add_origin, origins);
	provenance_end(origins);
	return status;
}

int book_stock_tell(struct book *b, struct stock *s)
{
	diags_clear(&b->diags);
	b->faults = stock_tell(s, &b->diags);
	if (!b->faults)
		return TOOL_DONE;
	diags_sort(&b->diags);
	book_tell(b);
	return TOOL_NO;
}
