#include "base/git_head.h"

#include <fcntl.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

enum { HASH_LEAST = 40, FILE_MOST = 1 << 20 };

/* All of a file of moderate size; false where it cannot be read. */
static bool read_file(struct buf *path, struct buf *into)
{
	int fd = open(buf_cstr(path), O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
	ssize_t got = 1;

	into->n = 0;
	while (fd >= 0 && got > 0 && into->n < FILE_MOST) {
		into->p = mem_grow(into->p, &into->cap, into->n + 4096, 1);
		got = read(fd, into->p + into->n, 4096);
		into->n += got > 0 ? (size_t)got : 0;
	}
	if (fd >= 0)
		close(fd);
	return fd >= 0 && got == 0;
}

static bool read_in(struct slice folder, const char *name, struct slice rest, struct buf *into)
{
	struct buf path = BUF_INIT;
	bool done;

	buf_add(&path, folder);
	buf_str(&path, name);
	buf_add(&path, rest);
	done = read_file(&path, into);
	buf_release(&path);
	return done;
}

static struct slice first_line(const struct buf *b)
{
	return slice_trim(slice_upto(buf_slice(b), slice_find(buf_slice(b), '\n')));
}

static bool is_hash(struct slice s)
{
	for (size_t i = 0; i < s.n; i++)
		if (!((s.p[i] >= '0' && s.p[i] <= '9') || (s.p[i] >= 'a' && s.p[i] <= 'f')))
			return false;
	return s.n >= HASH_LEAST;
}

/* ---- where the repository is */

/* A .git file names the folder, seen from its own. */
static bool follow(struct buf *folder, const struct buf *file, size_t parent)
{
	struct slice line = first_line(file);

	if (!slice_starts(line, SLICE("gitdir: ")))
		return false;
	line = slice_from(line, strlen("gitdir: "));
	folder->n = line.n && line.p[0] == '/' ? 0 : parent;
	buf_add(folder, line);
	return true;
}

/* Makes `folder`, an absolute one that ends in a slash, the repository's; false where it has none. */
static bool is_repository(struct buf *folder)
{
	size_t parent = folder->n;
	struct buf file = BUF_INIT;
	struct stat st;
	bool is;

	buf_str(folder, ".git");
	is = stat(buf_cstr(folder), &st) == 0;
	if (is && !S_ISDIR(st.st_mode))
		is = read_file(folder, &file) && follow(folder, &file, parent);
	if (!is)
		folder->n = parent;
	buf_release(&file);
	return is;
}

static bool find_repository(const char *path, struct buf *folder)
{
	char *real = realpath(path, NULL);
	size_t n = real ? strlen(real) : 0;
	bool found = false;

	while (n && !found) {
		while (n && real[n - 1] != '/')
			n--;
		folder->n = 0;
		buf_add(folder, (struct slice){ real, n });
		found = n && is_repository(folder);
		n -= n > 0;
	}
	free(real);
	return found;
}

/* ---- its commit */

/* The line of packed-refs that ends in the name. */
static bool find_packed(struct slice packed, struct slice name, struct buf *commit)
{
	while (packed.n) {
		struct slice line = slice_upto(packed, slice_find(packed, '\n'));
		size_t blank = slice_find(line, ' ');

		if (blank < line.n && slice_eq(slice_from(line, blank + 1), name) && is_hash(slice_upto(line, blank))) {
			buf_add(commit, slice_upto(line, blank));
			return true;
		}
		packed = slice_from(packed, line.n + (line.n < packed.n));
	}
	return false;
}

/* A branch in the folder of the worktree, or in that which it shares. */
static bool find_branch(struct slice folder, struct slice name, struct buf *commit)
{
	struct buf file = BUF_INIT;
	bool found = read_in(folder, "/", name, &file) && is_hash(first_line(&file));

	if (found)
		buf_add(commit, first_line(&file));
	else
		found = read_in(folder, "/packed-refs", SLICE(""), &file) && find_packed(buf_slice(&file), name, commit);
	buf_release(&file);
	return found;
}

static bool find_shared(struct buf *folder, struct slice name, struct buf *commit)
{
	struct buf shared = BUF_INIT;
	struct slice line;

	if (find_branch(buf_slice(folder), name, commit))
		return true;
	if (!read_in(buf_slice(folder), "/commondir", SLICE(""), &shared)) {
		buf_release(&shared);
		return false;
	}
	line = first_line(&shared);
	folder->n = line.n && line.p[0] == '/' ? 0 : folder->n;
	if (folder->n)
		buf_char(folder, '/');
	buf_add(folder, line);
	buf_release(&shared);
	return find_branch(buf_slice(folder), name, commit);
}

bool git_head(const char *path, struct buf *commit)
{
	struct buf folder = BUF_INIT, head = BUF_INIT;
	bool found = false;

	if (find_repository(path, &folder) && read_in(buf_slice(&folder), "/HEAD", SLICE(""), &head)) {
		struct slice line = first_line(&head);

		if (slice_starts(line, SLICE("ref: ")))
			found = find_shared(&folder, slice_trim(slice_from(line, strlen("ref: "))), commit);
		else if (is_hash(line)) {
			buf_add(commit, line);
			found = true;
		}
	}
	buf_release(&folder);
	buf_release(&head);
	return found;
}
