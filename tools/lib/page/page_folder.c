#include "page/page_folder.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/hold_signals.h"

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

/* Whether the list has the name, as a line. */
static bool is_listed(struct slice list, struct slice name)
{
	while (list.n) {
		size_t end = slice_find(list, '\n');

		if (slice_eq(slice_upto(list, end), name))
			return true;
		list = slice_from(list, end < list.n ? end + 1 : end);
	}
	return false;
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
static bool is_free(const struct page_folder *f, int folder, const struct page_file *page, struct slice list, struct buf *old, struct buf *why)
{
	int error;

	if (is_listed(list, slice_of(page->name)))
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

static bool is_new(const struct page_folder *f, struct slice name)
{
	for (size_t i = 0; i < f->n; i++)
		if (slice_eq(slice_of(f->file[i].name), name))
			return true;
	return false;
}

static bool remove_old(struct page_folder *f, int folder, struct slice list, struct buf *why)
{
	struct buf name = BUF_INIT;
	bool done = true;

	while (list.n && done) {
		size_t end = slice_find(list, '\n');
		struct slice line = slice_upto(list, end);

		list = slice_from(list, end < list.n ? end + 1 : end);
		if (!is_page(line) || is_new(f, line))
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
static void write_old(const struct page_folder *f, struct slice list, struct buf *old)
{
	while (list.n) {
		size_t end = slice_find(list, '\n');
		struct slice line = slice_upto(list, end);

		list = slice_from(list, end < list.n ? end + 1 : end);
		if (!is_page(line) || is_new(f, line))
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

/* The list is written before the pages, with the new names and the old ones, and after them, with the new ones. */
static bool bring_up_to_date(struct page_folder *f, int folder, struct slice list, struct buf *why)
{
	struct buf now = BUF_INIT, before = BUF_INIT, old = BUF_INIT;
	bool done = true, changed;

	write_list(f, &now);
	changed = !slice_eq(list, buf_slice(&now));
	for (size_t i = 0; i < f->n && done; i++)
		done = is_free(f, folder, &f->file[i], list, &old, why);
	if (done && changed) {
		write_old(f, list, &before);
		done = put_list(f, folder, buf_slice(&now), buf_slice(&before), why);
	}
	for (size_t i = 0; i < f->n && done; i++)
		done = put(f, folder, &f->file[i], &old, why);
	if (done && changed)
		done = remove_old(f, folder, list, why) && put_list(f, folder, buf_slice(&now), SLICE(""), why);
	buf_release(&now);
	buf_release(&before);
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
