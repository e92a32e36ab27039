/*
 * nameless_file.h - a file for what goes beyond memory: it has no name, so it is gone when the program ends in whatever way.
 */
#ifndef WITHY_NAMELESS_FILE_H
#define WITHY_NAMELESS_FILE_H

/* Opens one in $TMPDIR, or else in the system's temporary folder, for reading and writing; -1 with errno when it cannot. */
int nameless_file(void);

#endif
