/*
 * page_folder.h - a folder of pages that is kept up to date.
 *
 *	page_folder_init(&f, "/srv/works");
 *	page_folder_add(&f, "index.html", &bytes);
 *	error = page_folder_write(&f, &why);
 *
 * A page is put in its place by a rename, so that a reader finds the old one or the new one in full. One whose bytes are the same is left
 * alone and keeps its time. Pages that were written earlier and are not among the new ones are removed. The names of the pages are in
 * the file `.pages` of the folder: only files named there are ever replaced or removed. One writer at a time: the
 * others wait. Nothing is brought to the disk by force: after a crash of the machine the next run writes again what is missing.
 */
#ifndef WITHY_PAGE_FOLDER_H
#define WITHY_PAGE_FOLDER_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

struct page_file {
	char *name;
	struct buf bytes;
};

struct page_folder {
	const char *path;
	struct page_file *file;
	size_t n, cap;
	size_t written, same, removed; /* after page_folder_write() */
};

void page_folder_init(struct page_folder *f, const char *path);
void page_folder_release(struct page_folder *f);

/* Takes the bytes over: `bytes` is empty afterwards. A name has no slash, does not begin with a dot, and comes once. */
void page_folder_add(struct page_folder *f, const char *name, struct buf *bytes);

/* Makes the folder if need be, and brings it up to date. False when something went wrong: `why` says what, and what to do. */
bool page_folder_write(struct page_folder *f, struct buf *why);

#endif
