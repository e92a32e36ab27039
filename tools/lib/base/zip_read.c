#include "base/zip_read.h"

#include <minizip/unzip.h>

/*
 * Deflate packs one byte into a thousandth at most; sheets of readings unpack to 5 to 40 times their
 * size (measured). A file may unpack to LARGE whatever its size, and to GROWTH times its size.
 */
enum { LARGE = 64 << 20, GROWTH = 250 };

struct zip_read {
	struct slice bytes;
	size_t at;
	unzFile file;
	bool open;
	uint64_t packed, unpacked;
	const char *error;
};

/* --- the archive's bytes as a file -------------------------------------------------------------- */

static voidpf open_bytes(voidpf z, const void *name, int mode)
{
	(void)name;
	(void)mode;
	return z;
}

static uLong read_bytes(voidpf opaque, voidpf stream, void *into, uLong n)
{
	struct zip_read *z = stream;
	size_t left = z->bytes.n - z->at, take = n < left ? n : left;

	(void)opaque;
	memcpy(into, z->bytes.p + z->at, take);
	z->at += take;
	return (uLong)take;
}

static uLong write_none(voidpf opaque, voidpf stream, const void *from, uLong n)
{
	(void)opaque;
	(void)stream;
	(void)from;
	(void)n;
	return 0;
}

static ZPOS64_T tell_bytes(voidpf opaque, voidpf stream)
{
	const struct zip_read *z = stream;

	(void)opaque;
	return z->at;
}

static long seek_bytes(voidpf opaque, voidpf stream, ZPOS64_T offset, int origin)
{
	struct zip_read *z = stream;
	ZPOS64_T from = origin == ZLIB_FILEFUNC_SEEK_CUR ? z->at : origin == ZLIB_FILEFUNC_SEEK_END ? z->bytes.n : 0;

	(void)opaque;
	if (offset > z->bytes.n || from + offset > z->bytes.n)
		return -1;
	z->at = (size_t)(from + offset);
	return 0;
}

static int no_error(voidpf opaque, voidpf stream)
{
	(void)opaque;
	(void)stream;
	return 0;
}

struct zip_read *zip_open(struct slice bytes)
{
	struct zip_read *z = mem_zeroed(1, sizeof *z);
	zlib_filefunc64_def io = { open_bytes, read_bytes, write_none, tell_bytes, seek_bytes, no_error, no_error, z };

	z->bytes = bytes;
	z->file = unzOpen2_64("", &io);
	if (z->file)
		return z;
	free(z);
	return NULL;
}

static void stop(struct zip_read *z)
{
	if (z->open)
		unzCloseCurrentFile(z->file);
	z->open = false;
}

void zip_close(struct zip_read *z)
{
	if (!z)
		return;
	stop(z);
	unzClose(z->file);
	free(z);
}

/* --- a file of it --------------------------------------------------------------------------------- */

static bool fail(struct zip_read *z, const char *why)
{
	z->error = why;
	stop(z);
	return false;
}

static long fail_read(struct zip_read *z, const char *why)
{
	fail(z, why);
	return -1;
}

bool zip_has(struct zip_read *z, struct slice name)
{
	char *path = mem_copy(name.p, name.n);
	bool found;

	stop(z);
	found = !memchr(name.p, '\0', name.n) && unzLocateFile(z->file, path, 1) == UNZ_OK;
	free(path);
	return found;
}

bool zip_start(struct zip_read *z, struct slice name)
{
	unz_file_info64 info;

	if (!zip_has(z, name))
		return fail(z, "it is missing");
	if (unzGetCurrentFileInfo64(z->file, &info, NULL, 0, NULL, 0, NULL, 0) != UNZ_OK)
		return fail(z, "the archive is damaged");
	if (info.flag & 1)
		return fail(z, "it is encrypted");
	if (unzOpenCurrentFile(z->file) != UNZ_OK)
		return fail(z, "it is packed in a way that is not known, or damaged");
	z->open = true;
	z->packed = info.compressed_size;
	z->unpacked = 0;
	z->error = NULL;
	return true;
}

long zip_next(struct zip_read *z, char *into, size_t n)
{
	int got = z->open ? unzReadCurrentFile(z->file, into, (unsigned)n) : -1;

	if (got < 0)
		return fail_read(z, z->error ? z->error : "it is damaged");
	z->unpacked += (uint64_t)got;
	if (z->unpacked > LARGE && z->unpacked / GROWTH > z->packed)
		return fail_read(z, "it unpacks to more than 250 times its size, which no table of readings does");
	if (got == 0) {
		z->open = false;
		if (unzCloseCurrentFile(z->file) != UNZ_OK)
			return fail_read(z, "its checksum is wrong: it is damaged");
	}
	return got;
}

const char *zip_error(const struct zip_read *z)
{
	return z->error;
}
