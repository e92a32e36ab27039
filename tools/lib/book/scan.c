#include "book/scan.h"

#include <errno.h>
#include <fcntl.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/crew.h"

/* Many chunks, so that the last one to be done is soon done. */
enum { CHUNK = 1024 * 1024, CHUNKS_A_WORKER = 128 };

/* A whole file (to is 0) or a chunk of one, and what came of it. */
struct part {
	size_t file;
	int64_t from, to, promised; /* promised: bytes of the file when it was cut */
	bool stream;                /* to be read by the calling thread */
	int error;
	int64_t used;               /* bytes of the file, when there was an error */
	uint64_t lines, unread;
	struct place crlf;
	struct diags *told;         /* NULL when nothing is wrong */
};

struct pool {
	const struct scan *scan;
	const struct scan_work *work;
	struct part *part;
	size_t nparts, cap;
	atomic_size_t next;
	atomic_bool stop;
};

struct worker {
	struct pool *pool;
	struct errand errand;
	bool main;
	void *state;
	struct reader reader;
	struct diags diags;
};

/* ---- the plan */

static void add_part(struct pool *p, struct part part)
{
	p->part = mem_grow(p->part, &p->cap, p->nparts + 1, sizeof *p->part);
	p->part[p->nparts++] = part;
}

static void cut(struct pool *p, size_t file, int64_t size, size_t jobs)
{
	int64_t least = p->scan->chunk > 0 ? p->scan->chunk : CHUNK;
	int64_t n = size / least, most = (int64_t)jobs * CHUNKS_A_WORKER;

	if (p->scan->chunk <= 0 && n > most)
		n = most;
	if (jobs == 1 || n < 2) {
		add_part(p, (struct part){ .file = file });
		return;
	}
	for (int64_t i = 0; i < n; i++)
		add_part(p, (struct part){ .file = file, .promised = size,
			.from = size / n * i, .to = i + 1 < n ? size / n * (i + 1) : INT64_MAX });
}

/* Whether a file can be opened at all, before anything is read, and whether it is packed. */
static int look(const char *path, struct stat *st, bool *packed)
{
	int fd;

	if (stat(path, st) < 0)
		return errno;
	if (S_ISDIR(st->st_mode))
		return READER_DIRECTORY;
	if (!S_ISREG(st->st_mode))
		return 0;
	fd = open(path, O_RDONLY | O_CLOEXEC);
	if (fd < 0)
		return errno;
	*packed = reader_is_packed(fd);
	close(fd);
	return 0;
}

static int plan(struct pool *p, size_t jobs, size_t *failed)
{
	struct stat st;
	bool packed = false;
	int error;

	for (size_t i = 0; i < p->scan->npaths; i++) {
		const char *path = p->scan->path[i];
		bool input = strcmp(path, "-") == 0;

		*failed = i;
		error = input ? 0 : look(path, &st, &packed);
		if (error)
			return error;
		if (input || !S_ISREG(st.st_mode))
			add_part(p, (struct part){ .file = i, .stream = true });
		else
			cut(p, i, (int64_t)st.st_size, packed ? 1 : jobs);
	}
	return 0;
}

/* ---- the work */

static int open_part(struct reader *r, const char *path, const struct part *part)
{
	int error;

	if (!part->to)
		return reader_open(r, path, (uint32_t)part->file);
	error = reader_open_part(r, path, (uint32_t)part->file, part->from, part->to);
	if (!error && r->size < part->promised)
		error = READER_SHRANK;
	return error;
}

static void keep_told(struct worker *w, struct part *part)
{
	if (!w->diags.n)
		return;
	part->told = mem_zeroed(1, sizeof *part->told);
	diags_init(part->told);
	diags_take(part->told, &w->diags, 0);
}

static void read_part(struct worker *w, struct part *part)
{
	struct pool *p = w->pool;

	part->error = open_part(&w->reader, p->scan->path[part->file], part);
	if (!part->error) {
		if (!w->state)
			w->state = p->work->begin(p->work->arg);
		p->work->lines(w->state, &w->reader);
		part->error = w->reader.error;
	}
	part->used = reader_used(&w->reader);
	part->lines = w->reader.number;
	part->unread = w->reader.bad;
	part->crlf = w->reader.crlf;
	keep_told(w, part);
	reader_close(&w->reader);
	if (part->error)
		atomic_store(&p->stop, true);
}

static void read_streams(struct worker *w)
{
	struct pool *p = w->pool;

	for (size_t i = 0; i < p->nparts && !atomic_load(&p->stop); i++)
		if (p->part[i].stream)
			read_part(w, &p->part[i]);
}

static void run(void *arg)
{
	struct worker *w = arg;
	struct pool *p = w->pool;
	size_t i;

	diags_init(&w->diags);
	memcpy(w->diags.level, p->scan->diags->level, sizeof w->diags.level);
	reader_init(&w->reader, p->scan->vocab, &w->diags);
	if (w->main)
		read_streams(w);
	while (!atomic_load(&p->stop) && (i = atomic_fetch_add(&p->next, 1)) < p->nparts)
		if (!p->part[i].stream)
			read_part(w, &p->part[i]);
	reader_release(&w->reader);
	diags_release(&w->diags);
}

/* The calling thread is the first worker; another that is not there in time is done without. */
static void run_all(struct pool *p, size_t jobs)
{
	struct worker *worker = mem_zeroed(jobs, sizeof *worker);

	worker[0].main = true;
	for (size_t i = 0; i < jobs; i++) {
		worker[i].pool = p;
		worker[i].errand = (struct errand){ .work = run, .context = &worker[i] };
	}
	for (size_t i = 1; i < jobs; i++)
		crew_send(&worker[i].errand);
	run(&worker[0]);
	for (size_t i = 1; i < jobs; i++)
		crew_recall(&worker[i].errand);
	for (size_t i = 0; i < jobs; i++)
		if (worker[i].state)
			p->work->end(p->work->arg, worker[i].state);
	free(worker);
}

/* ---- what came of it */

/* One warning a file, at its first carriage return. */
static void tell_crlf(struct scan *s, const struct part *part, uint64_t before, bool *told)
{
	struct place place = part->crlf;

	if (!part->from)
		*told = false;
	if (!place.line || *told)
		return;
	place.line += before;
	DIAG0(s->diags, RULE_CARRIAGE_RETURN, place);
	*told = true;
}

static int gather(struct scan *s, struct pool *p)
{
	uint64_t before = 0;
	bool crlf = false;
	int error = 0;

	for (size_t i = 0; i < p->nparts; i++) {
		struct part *part = &p->part[i];

		if (!part->from)
			before = 0;
		tell_crlf(s, part, before, &crlf);
		if (part->told) {
			diags_take(s->diags, part->told, before);
			diags_release(part->told);
			free(part->told);
		}
		before += part->lines;
		s->lines += part->lines;
		s->unread += part->unread;
		if (part->error && !error) {
			error = part->error;
			s->failed = part->file;
			s->failed_at = part->used;
		}
	}
	diags_sort(s->diags);
	return error;
}

int scan_run(struct scan *s, const struct scan_work *work)
{
	struct pool p = { .scan = s, .work = work };
	size_t jobs = s->jobs ? s->jobs : crew_cores();
	int error;

	s->lines = s->unread = 0;
	error = plan(&p, jobs, &s->failed);
	if (!error) {
		run_all(&p, jobs < p.nparts ? jobs : p.nparts ? p.nparts : 1);
		error = gather(s, &p);
	}
	free(p.part);
	return error;
}
