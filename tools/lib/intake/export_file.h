/*
 * export_file.h - opens the file of an instrument's export.
 */
#ifndef WITHY_EXPORT_FILE_H
#define WITHY_EXPORT_FILE_H

/*
 * A descriptor to read `path` ("-" is standard input): a regular file, a FIFO, a device. -1 when it
 * cannot be opened or is a directory; *why is then the reason, valid until the next call.
 */
int export_open(const char *path, const char **why);

/* Closes it, unless it is standard input. */
void export_close(int fd);

#endif
