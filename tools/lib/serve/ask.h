/*
 * ask.h - where a request of the Language Server Protocol points: shared by the modules that answer one.
 */
#ifndef WITHY_ASK_H
#define WITHY_ASK_H

#include <stddef.h>
#include <stdint.h>

struct works;
struct works_file;

struct ask {
	struct works *works;
	struct works_file *file;
	size_t line, byte;     /* within the file; byte is in the line's text */
	int32_t today;
};

#endif
