/*
 * file.h - the files and folders that the generator writes. What cannot be written in full stops it,
 * with the path and the reason.
 */
#ifndef SAMPLE_FILE_H
#define SAMPLE_FILE_H

struct buf;

/* Writes `text` to the file `name` in the folder `dir`, in place of what was there. */
void file_write(const char *dir, const char *name, const struct buf *text);

/* Makes the folder `name` in `dir`, unless it is there. */
void folder_make(const char *dir, const char *name);

#endif
