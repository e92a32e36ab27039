/*
 * intake_files.h - the files of an intake: one after the other by one mapping, or all side by side,
 * each by its own.
 */
#ifndef WITHY_INTAKE_FILES_H
#define WITHY_INTAKE_FILES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "intake/intake.h"

struct intake_files {
	const char *const *path; /* n of them; "-" is standard input */
	size_t n;
	const struct mapping *map; /* with `join` n of them, else one */
	bool join;               /* side by side */
	const uint32_t *map_of;  /* by file, one after the other: which of the mappings; NULL: the first */
	/* its own */
	size_t from, to;         /* the files being read; empty before and between */
	size_t failed;           /* after INTAKE_NO_OPEN and INTAKE_NO_READ: which file, */
	const char *why;         /* and the reason */
};

/* As intake_step(), for all files; INTAKE_NO_OPEN when one cannot be opened. */
enum intake_state intake_files_step(struct intake_files *f, struct intake *run, struct buf *out);

#endif
