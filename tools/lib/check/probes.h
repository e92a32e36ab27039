/*
 * probes.h - fixed probes: when each is in a piece and when it is not.
 *
 * A label is a probe of its charge or lot. `in=` starts a series and says which piece, `out=` ends
 * it. Of one line an `out=` with an `in=` of the same label comes first, then the reading; an `out=`
 * alone comes after the reading. Untimed lines of a day are placed where they fit among its timed ones.
 */
#ifndef WITHY_PROBES_H
#define WITHY_PROBES_H

#include <stddef.h>
#include <stdint.h>

#include "base/spill_sort.h"
#include "book/diag.h"

struct line;
struct probe_kept;
struct references;
struct symbols;

/* From an in= to its out=. Numbers are of symbols.h. */
struct probe_series {
	uint32_t subject, label;
	uint32_t lot, type;        /* which piece; type 0: any */
	int32_t in_day, out_day;   /* out_day: INT32_MAX while it is in */
	struct place in;
};

struct probes {
	struct symbols *symbols;
	struct references *references;
	struct diags *diags;
	struct spill_sort kept;    /* what every line says of every label, by subject; until probes_end() */
	uint64_t nkept;
	struct probe_kept *line;   /* the same of the line in hand */
	size_t nline, line_cap;
	uint64_t *of_label;        /* by number of a label: which of them was kept last, + 1 */
	size_t nlabels;
	struct probe_series *series; /* by subject; after probes_end() */
	size_t nseries, series_cap;
};

void probes_init(struct probes *p, struct symbols *symbols, struct references *references, struct diags *diags);
void probes_release(struct probes *p);

/* Keeps what a probe line says of its labels. */
void probes_keep(struct probes *p, const struct line *l);

/* After the last line: judges every label and makes the series. */
void probes_end(struct probes *p);

#endif
