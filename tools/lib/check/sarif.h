/*
 * sarif.h - diagnostics in SARIF 2.1.0 (OASIS, 2020), for code hosts and editors.
 *
 * SARIF counts columns in UTF-16 units from 1 and Withy in bytes, so the text of a line is needed
 * to say where something is. Most lines are ASCII, where both agree; sarif_keep() is handed every
 * line while it is read and keeps those that are not.
 */
#ifndef WITHY_SARIF_H
#define WITHY_SARIF_H

#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

struct diags;

struct sarif_line {
	uint32_t file;
	uint64_t line;
	size_t at, n;      /* in `text` */
};

struct sarif {
	struct sarif_line *line;
	size_t n, cap;
	struct buf text;
};

void sarif_init(struct sarif *s);
void sarif_release(struct sarif *s);

/* Keeps the text of a line if its columns are not its bytes. Lines come in order, file by file. */
void sarif_keep(struct sarif *s, uint32_t file, uint64_t line, struct slice text);

/*
 * One log of one run: all rules with their help, and the diagnostics in the order of `d`. Paths
 * become URIs: a relative one stays relative to where the tool ran, "-" is called stdin.
 */
void sarif_write(struct buf *out, const struct sarif *s, const struct diags *d, const char *const *path,
	const char *version);

#endif
