#include "page/page_folder.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/hold_signals.h"
#include "base/intern.h"

enum { PIECE = 1 << 16 };

static const char list_name[] = ".pages";

void page_folder_init(struct page_folder *f, const char *path)
{
	*f = (struct page_folder){ .path = path };
}

void page_folder_release(struct page_folder *f)
{
	for (size_t i = 0; i < f->n; i++) {
		free(f->file[i].name);
		buf_release(&f->file[i].bytes);
	}
	free(f->file);
}

void page_folder_add(struct page_folder *f, const char *name, struct buf *bytes)
{
	f->file = mem_grow(f->file, &f->cap, f->n + 1, sizeof *f->file);
	f->file[f->n++] = (struct page_file){ mem_copy(name, strlen(name)), *bytes };
	*bytes = (struct buf)BUF_INIT;
}

static bool fail(const struct page_folder *f, const char *name, const char *what, int error, struct buf *why)
{
	buf_printf(why, "cannot %s %s%s%s: %s", what, f->path, *name ? "/" : "", name, strerror(error));
	return false;
}

/* ---- reading */

/* Reads a regular file of the folder: 0, or an errno. */
static int read_file(int folder, const char *name, struct buf *into)
{
	int fd = openat(folder, name, O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK), error = 0;
	ssize_t got = 1;

	into->n = 0;
	if (fd < 0)
		return errno;
	while (got > 0) {
		if (into->cap - into->n < PIECE)
			into->p = mem_grow(into->p, &into->cap, into->n + PIECE, 1);
		got = read(fd, into->p + into->n, PIECE);
		into->n += got > 0 ? (size_t)got : 0;
	}
	if (got < 0)
		error = errno;
	close(fd);
	return error;
}

/* The next line of a list, without its end. */
static struct slice next_name(struct slice *list)
{
	size_t end = slice_find(*list, '\n');
	struct slice name = slice_upto(*list, end);

	*list = slice_from(*list, end < list->n ? end + 1 : end);
	return name;
}

static void take_names(struct intern *names, struct slice list)
{
	intern_init(names);
	while (list.n)
		intern_id(names, next_name(&list));
}

static bool has(const struct intern *names, struct slice name)
{
	return intern_find(names, name) != 0;
}

/* ---- writing */

static int write_all(int fd, struct slice s)
{
	while (s.n) {
		ssize_t done = write(fd, s.p, s.n);

		if (done < 0 && errno != EINTR)
			return errno;
		s = slice_from(s, done > 0 ? (size_t)done : 0);
	}
	return 0;
}

/* By way of a file beside it, with the rights that any new file has. */
static int replace(int folder, const char *name, struct slice bytes)
{
	static const char temporary[] = ".wy-new";
	int fd = openat(folder, temporary, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0666), error;

	if (fd < 0)
		return errno;
	error = write_all(fd, bytes);
	if (close(fd) < 0 && !error)
		error = errno;
	if (!error && renameat(folder, temporary, folder, name) < 0)
		error = errno;
	if (error)
		unlinkat(folder, temporary, 0);
	return error;
}

/* Writes a page unless it is there already. */
static bool put(struct page_folder *f, int folder, const struct page_file *page, struct buf *old, struct buf *why)
{
	int error = read_file(folder, page->name, old);

	if (!error && slice_eq(buf_slice(old), buf_slice(&page->bytes))) {
		f->same++;
		return true;
	}
	f->written++;
	error = replace(folder, page->name, buf_slice(&page->bytes));
	return error ? fail(f, page->name, "write", error, why) : true;
}

/* A file that is not listed is somebody else's, unless it is the very page. */
static bool is_free(const struct page_folder *f, int folder, const struct page_file *page, const struct intern *listed, struct buf *old, struct buf *why)
{
	int error;

	if (has(listed, slice_of(page->name)))
		return true;
	error = read_file(folder, page->name, old);
	if (error == ENOENT || (!error && slice_eq(buf_slice(old), buf_slice(&page->bytes))))
		return true;
	buf_printf(why, "%s/%s is there and was not written by this command; move it away, or name another folder", f->path, page->name);
	return false;
}

/* A line of the list that can be the name of a page: it stays in the folder. */
static bool is_page(struct slice name)
{
	return name.n && name.p[0] != '.' && slice_find(name, '/') == name.n;
}

static bool remove_old(struct page_folder *f, int folder, struct slice list, const struct intern *now, struct buf *why)
{
	struct buf name = BUF_INIT;
	bool done = true;

	while (list.n && done) {
		struct slice line = next_name(&list);

		if (!is_page(line) || has(now, line))
			continue;
		name.n = 0;
		buf_add(&name, line);
		if (unlinkat(folder, buf_cstr(&name), 0) == 0)
			f->removed++;
		else if (errno != ENOENT && errno != ENAMETOOLONG)
			done = fail(f, buf_cstr(&name), "remove", errno, why);
	}
	buf_release(&name);
	return done;
}

/* The pages of the list that are not among the new ones: with all, the list grows while one cannot be removed. */
static void write_old(const struct intern *now, struct slice list, struct buf *old)
{
	while (list.n) {
		struct slice line = next_name(&list);

		if (!is_page(line) || has(now, line))
			continue;
		buf_add(old, line);
		buf_char(old, '\n');
	}
}

static bool put_list(const struct page_folder *f, int folder, struct slice now, struct slice before, struct buf *why)
{
	struct buf list = BUF_INIT;
	int error;

	buf_add(&list, now);
	buf_add(&list, before);
	error = replace(folder, list_name, buf_slice(&list));
	buf_release(&list);
	return error ? fail(f, list_name, "write", error, why) : true;
}

static void write_list(const struct page_folder *f, struct buf *list)
{
	for (size_t i = 0; i < f->n; i++) {
		buf_str(list, f->file[i].name);
		buf_char(list, '\n');
	}
}

/* What is listed before and after. */
struct lists {
	struct slice before;
	struct buf now;
	struct intern was, is;     /* their names */
};

static void lists_init(struct lists *l, const struct page_folder *f, struct slice before)
{
	*l = (struct lists){ .before = before, .now = BUF_INIT };
	write_list(f, &l->now);
	take_names(&l->was, before);
	take_names(&l->is, buf_slice(&l->now));
}

static void lists_release(struct lists *l)
{
	buf_release(&l->now);
	intern_release(&l->was);
	intern_release(&l->is);
}

/* The list with the new names and the old ones, before a page is written. */
static bool put_both(const struct page_folder *f, int folder, const struct lists *l, struct buf *why)
{
	struct buf old = BUF_INIT;
	bool done;

	write_old(&l->is, l->before, &old);
	done = put_list(f, folder, buf_slice(&l->now), buf_slice(&old), why);
	buf_release(&old);
	return done;
}

/* The list is written before the pages, with the new names and the old ones, and after them, with the new ones. */
static bool bring_up_to_date(struct page_folder *f, int folder, struct slice list, struct buf *why)
{
	struct buf old = BUF_INIT;
	struct lists l;
	bool done = true, changed;

	lists_init(&l, f, list);
	changed = !slice_eq(list, buf_slice(&l.now));
	for (size_t i = 0; i < f->n && done; i++)
		done = is_free(f, folder, &f->file[i], &l.was, &old, why);
	if (done && changed)
		done = put_both(f, folder, &l, why);
	for (size_t i = 0; i < f->n && done; i++)
		done = put(f, folder, &f->file[i], &old, why);
	if (done && changed)
		done = remove_old(f, folder, list, &l.is, why) && put_list(f, folder, buf_slice(&l.now), SLICE(""), why);
	lists_release(&l);
	buf_release(&old);
	return done;
}

static bool write_folder(struct page_folder *f, int folder, struct buf *why)
{
	struct buf list = BUF_INIT;
	int error = read_file(folder, list_name, &list);
	bool done;

	if (error && error != ENOENT)
		done = fail(f, list_name, "read", error, why);
	else
		done = bring_up_to_date(f, folder, buf_slice(&list), why);
	buf_release(&list);
	return done;
}

bool page_folder_write(struct page_folder *f, struct buf *why)
{
	sigset_t was;
	bool done;
	int folder;

	if (mkdir(f->path, 0777) < 0 && errno != EEXIST)
		return fail(f, "", "make the folder", errno, why);
	folder = open(f->path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
	if (folder < 0)
		return fail(f, "", "open the folder", errno, why);
	while (flock(folder, LOCK_EX) < 0 && errno == EINTR)
		continue;
	hold_signals(&was);
	done = write_folder(f, folder, why);
	let_signals(&was);
	close(folder);
	return done;
}
