#include "serve/works.h"

#include <stdlib.h>
#include <sys/stat.h>

#include "base/yaml.h"
#include "house/house_open.h"
#include "house/own_vocab.h"
#include "time/zone.h"

/* ---- files on disk */

static struct works_seen look_at(const char *path)
{
	struct stat st;

	if (stat(path, &st) || !S_ISREG(st.st_mode))
		return (struct works_seen){ 0, 0, -1 };
	return (struct works_seen){ (int64_t)st.st_mtim.tv_sec, (int64_t)st.st_mtim.tv_nsec, (int64_t)st.st_size };
}

static bool is_alike(const struct works_seen *a, const struct works_seen *b)
{
	return a->seconds == b->seconds && a->nanoseconds == b->nanoseconds && a->bytes == b->bytes;
}

static bool read_file(const char *path, struct buf *out)
{
	FILE *in = fopen(path, "rb");
	size_t got;
	bool good;

	if (!in)
		return false;
	do {
		char block[65536];

		got = fread(block, 1, sizeof block, in);
		buf_add(out, (struct slice){ block, got });
	} while (got);
	good = !ferror(in);
	fclose(in);
	return good;
}

/* ---- the ids of lines */

const struct line *works_line(struct works *w, struct slice text)
{
	const struct line *l;

	if (slice_starts(text, SLICE("\xef\xbb\xbf")))
		text = slice_from(text, 3);
	l = parse_line(&w->parser, text, 2, 0);
	if (w->scratch.n)
		diags_clear(&w->scratch);
	return l;
}

static void count_lines(struct works *w, const struct works_file *f, size_t from, size_t to, int by)
{
	for (size_t i = from; i < to && i < f->text.n; i++)
		id_list_count(&w->ids, works_line(w, document_text(&f->text, i)), by);
}

static void set_text(struct works *w, struct works_file *f, struct slice text)
{
	count_lines(w, f, 0, f->text.n, -1);
	document_set(&f->text, text);
	count_lines(w, f, 0, f->text.n, 1);
	f->nleft = 0;
	w->changes++;
}

static void read_again(struct works *w, struct works_file *f)
{
	struct buf text = BUF_INIT;

	f->seen = look_at(f->path);
	f->unread = !read_file(f->path, &text);
	if (f->unread)
		text.n = 0;
	set_text(w, f, buf_slice(&text));
	buf_release(&text);
}

/* ---- the house file */

struct house_taking {
	struct findings *found;
};

static void take_problem(void *arg, const struct house_problem *p)
{
	struct house_taking *t = arg;
	struct finding one = { .line = p->line ? p->line - 1 : 0, .col = (uint32_t)(p->col ? p->col - 1 : 0), .rule = p->rule };

	one.end = one.col;
	one.level = p->error ? LEVEL_ERROR : LEVEL_WARNING;
	findings_add(t->found, &one, p->text, p->mend);
}

static void set_levels(struct works *w)
{
	struct diags d;

	diags_init(&d);
	for (size_t i = 0; w->house && i < w->house->nrules; i++) {
		int rule = diag_rule_named(w->house->rules[i].id);

		if (rule >= 0)
			diags_set_level(&d, rule, w->house->rules[i].level);
	}
	memcpy(w->level, d.level, sizeof w->level);
	diags_release(&d);
}

static void read_house(struct works *w)
{
	struct house_taking taking = { &w->house_found };
	struct zone_error error;
	struct buf text = BUF_INIT;

	findings_clear(&w->house_found);
	w->house_seen = look_at(w->house_path);
	w->house_to_publish = true;
	if (read_file(w->house_path, &text)) {
		w->house = house_read(buf_slice(&text), take_problem, &taking);
		house_compile(w->house, take_problem, &taking);
		w->zone = zone_load(w->house->clock, &error);
		own_vocab_words(&w->vocab, w->house);
	}
	buf_release(&text);
}

static void set_up(struct works *w)
{
	vocab_init(&w->vocab);
	if (w->house_path)
		read_house(w);
	if (!w->zone)
		w->zone = zone_fixed(0);
	set_levels(w);
	diags_init(&w->scratch);
	parser_init(&w->parser, &w->vocab, &w->scratch);
	w->parser.within = true;
	id_list_init(&w->ids);
}

static void tear_down(struct works *w)
{
	id_list_release(&w->ids);
	parser_release(&w->parser);
	diags_release(&w->scratch);
	own_vocab_release(&w->vocab);
	zone_free(w->zone);
	house_free(w->house);
	w->zone = NULL;
	w->house = NULL;
}

bool works_is_house_word(const struct works *w, struct slice word)
{
	for (int kind = 0; w->house && kind < HOUSE_KINDS; kind++)
		if (house_index(w->house, (enum house_kind)kind, word) >= 0)
			return true;
	return false;
}

/* ---- the list of files */

size_t works_index(const struct works *w, const struct works_file *f)
{
	size_t i = 0;

	while (i < w->n && w->file[i] != f)
		i++;
	return i;
}

struct works_file *works_find(const struct works *w, const char *path)
{
	for (size_t i = 0; i < w->n; i++)
		if (strcmp(w->file[i]->path, path) == 0)
			return w->file[i];
	return NULL;
}

/* Its path from the house file's folder, as wy-check -b calls it when it is run there; else the whole path. */
static char *name_of(const struct works *w, const char *path)
{
	const char *slash = w->house_path ? strrchr(w->house_path, '/') : NULL;
	size_t n = slash ? (size_t)(slash - w->house_path) + 1 : 0;

	if (n && strncmp(path, w->house_path, n) == 0)
		path += n;
	return mem_copy(path, strlen(path));
}

static struct works_file *insert(struct works *w, const char *path, size_t at)
{
	struct works_file *f = mem_zeroed(1, sizeof *f);

	f->path = mem_copy(path, strlen(path));
	f->name = name_of(w, path);
	document_init(&f->text);
	w->file = mem_grow(w->file, &w->cap, w->n + 1, sizeof *w->file);
	memmove(w->file + at + 1, w->file + at, (w->n - at) * sizeof *w->file);
	w->file[at] = f;
	w->n++;
	return f;
}

struct works_file *works_add(struct works *w, const char *path)
{
	struct works_file *f = works_find(w, path);

	return f ? f : insert(w, path, w->n);
}

static void free_file(struct works_file *f)
{
	document_release(&f->text);
	findings_release(&f->found);
	findings_release(&f->published);
	buf_release(&f->left_text);
	free(f->left);
	free(f->path);
	free(f->name);
	free(f->uri);
	free(f);
}

static void move_to(struct works *w, struct works_file *f, size_t at)
{
	size_t from = works_index(w, f);

	memmove(w->file + from, w->file + from + 1, (w->n - from - 1) * sizeof *w->file);
	memmove(w->file + at + 1, w->file + at, (w->n - at - 1) * sizeof *w->file);
	w->file[at] = f;
}

/* The files that the house names first and in its order, then those that are open. */
static void list_files(struct works *w)
{
	size_t nbook = w->house ? w->house->book.n : 0;

	for (size_t i = 0; i < w->n; i++)
		w->file[i]->listed = false;
	for (size_t i = 0, at = 0; i < nbook; i++) {
		struct buf path = BUF_INIT;
		struct works_file *f;

		house_beside(&path, w->house_path, w->house->book.word[i]);
		f = works_find(w, buf_cstr(&path));
		if (!f)
			f = insert(w, buf_cstr(&path), w->n);
		if (!f->listed)
			move_to(w, f, at++);
		f->listed = true;
		buf_release(&path);
	}
}

/* Those that are neither listed nor open go. */
static void drop_files(struct works *w)
{
	size_t kept = 0;

	for (size_t i = 0; i < w->n; i++) {
		struct works_file *f = w->file[i];

		if (f->listed || f->open || f->published.n || f->to_publish)
			w->file[kept++] = f;
		else {
			count_lines(w, f, 0, f->text.n, -1);
			free_file(f);
		}
	}
	w->n = kept;
}

static void read_files(struct works *w)
{
	for (size_t i = 0; i < w->n; i++) {
		struct works_file *f = w->file[i];

		if (f->open)
			count_lines(w, f, 0, f->text.n, 1);
		else if (f->listed)
			read_again(w, f);
	}
	w->changes++;
}

/* A file that the house file names and that cannot be read: wy-check ends there; here it is reported in the house file. */
static void tell_unread(struct works *w)
{
	struct slice rule = SLICE("book-unread");
	size_t kept = 0;

	for (size_t i = 0; i < w->house_found.n; i++) {
		if (slice_eq(w->house_found.row[i].rule, rule)) {
			free(w->house_found.row[i].text);
			w->house_to_publish = true;
		} else
			w->house_found.row[kept++] = w->house_found.row[i];
	}
	w->house_found.n = kept;
	for (size_t i = 0; i < w->n; i++) {
		const struct yaml *at = w->house ? w->house->book.node : NULL;
		struct finding one = { .line = at ? at->line - 1 : 0, .level = LEVEL_ERROR, .rule = rule };
		struct buf text = BUF_INIT;

		if (!w->file[i]->listed || w->file[i]->open || !w->file[i]->unread)
			continue;
		one.col = one.end = at ? (uint32_t)at->col - 1 : 0;
		buf_printf(&text, "cannot read %s", w->file[i]->name);
		findings_add(&w->house_found, &one, buf_slice(&text), SLICE("make the file, or correct book:"));
		w->house_to_publish = true;
		buf_release(&text);
	}
}

struct works *works_new(const char *house_path)
{
	struct works *w = mem_zeroed(1, sizeof *w);

	w->house_path = house_path ? mem_copy(house_path, strlen(house_path)) : NULL;
	set_up(w);
	list_files(w);
	read_files(w);
	tell_unread(w);
	return w;
}

void works_free(struct works *w)
{
	for (size_t i = 0; i < w->n; i++)
		free_file(w->file[i]);
	tear_down(w);
	findings_release(&w->house_found);
	buf_release(&w->stay_text);
	free(w->stay);
	free(w->file);
	free(w->house_path);
	free(w);
}

/* ---- what the editor does */

void works_open(struct works *w, struct works_file *f, struct slice text)
{
	f->open = true;
	f->unread = false;
	set_text(w, f, text);
}

static void move_left(struct works_file *f, const struct document_change *c)
{
	size_t kept = 0;

	if (c->old == c->now && !f->nleft)
		return;
	for (size_t i = 0; i < f->nleft; i++) {
		struct works_left row = f->left[i];

		if (row.line >= c->first && row.line < c->first + c->old)
			continue;
		if (row.line >= c->first + c->old)
			row.line = row.line - c->old + c->now;
		f->left[kept++] = row;
	}
	f->nleft = kept;
}

struct document_change works_change(struct works *w, struct works_file *f, struct document_spot from,
	struct document_spot to, struct slice text)
{
	struct document_change c = document_touched(&f->text, from, to);
	size_t first = c.first ? c.first - 1 : 0;   /* the line before may become part of it */

	count_lines(w, f, first, c.first + c.old, -1);
	c = document_replace(&f->text, from, to, text);
	count_lines(w, f, first, c.first + c.now, 1);
	findings_move(&f->found, &c);
	move_left(f, &c);
	w->changes++;
	return c;
}

void works_close(struct works *w, struct works_file *f)
{
	f->open = false;
	free(f->uri);
	f->uri = NULL;
	if (f->listed)
		read_again(w, f);
	else {
		set_text(w, f, SLICE(""));
		findings_clear(&f->found);
		f->to_publish = f->published.n > 0;
	}
	drop_files(w);
}

void works_look(struct works *w)
{
	struct works_seen now;

	if (w->house_path) {
		now = look_at(w->house_path);
		if (!is_alike(&now, &w->house_seen)) {
			tear_down(w);
			set_up(w);
			list_files(w);
			read_files(w);
			drop_files(w);
			tell_unread(w);
			return;
		}
	}
	for (size_t i = 0; i < w->n; i++) {
		now = look_at(w->file[i]->path);
		if (!w->file[i]->open && w->file[i]->listed && !is_alike(&now, &w->file[i]->seen))
			read_again(w, w->file[i]);
	}
	tell_unread(w);
}
