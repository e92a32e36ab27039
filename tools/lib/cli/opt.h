/*
 * opt.h - options, read from one table that also prints the help.
 *
 * A table is an array of `struct opt` ended by OPT_END, written with the macros below, each of
 * which checks the type of what it sets. Tables nest with OPT_PART, so that what every answer has
 * is said once (tool.h). `--name=value`, `--name value`, `-nvalue`, `-n value` and bundles of
 * flags `-abc` are understood; operands may be among options; `--` ends them and a lone `-` is
 * an operand. Given twice, the later counts, except OPT_LIST, which keeps all. Long names must be
 * written in full. --help, --version and (hidden, for the completions) --help-options are always
 * there. Nothing is printed here: tool.c does that.
 *
 *	static bool by_lot;
 *	static int64_t days = 7;
 *	static const struct opt options[] = {
 *		OPT_FLAG('l', "by-lot", &by_lot, "a row for each lot"),
 *		OPT_INT(0, "days", &days, "N", 1, 3660, "look back N days (7)"),
 *		OPT_PART(tool_answer_options),
 *		OPT_END
 *	};
 */
#ifndef WITHY_OPT_H
#define WITHY_OPT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

enum opt_kind {
	OPT_IS_END,
	OPT_IS_FLAG, /* sets a bool */
	OPT_IS_TEXT, /* any text, into a const char * that points into argv */
	OPT_IS_DAY,  /* a day YYYY-MM-DD of the calendar, into a struct opt_day */
	OPT_IS_INT,  /* a whole number from least to most */
	OPT_IS_WORD, /* one of some words, its index into an int */
	OPT_IS_LIST, /* text that may be given many times */
	OPT_IS_PART, /* another table */
};

/* The values of an OPT_LIST in the order given. The array goes with the process, like argv. */
struct opt_list {
	const char **v;
	size_t n, cap;
};

/* A day; before the options are read, `day` is what it is when the option is not given. */
struct opt_day {
	const char *text; /* as written, or NULL when it was not given */
	int32_t day;      /* its number, as in stamp.h */
};

struct opt {
	enum opt_kind kind;
	char letter;       /* 0: none */
	const char *name;  /* the long one, without dashes; never NULL but in PART and END */
	const char *value; /* how help calls the value, in capitals; of WORD NULL: the words */
	const char *help;  /* one line without a full stop; '\n' starts another */
	int64_t least, most;
	const char *const *words; /* ended by NULL */
	union {
		bool *flag;
		const char **text;
		struct opt_day *day;
		int64_t *number;
		int *word;
		struct opt_list *list;
		const struct opt *part;
	} to;
};

#define OPT_FLAG(l, n, to_, h) \
	{ .kind = OPT_IS_FLAG, .letter = l, .name = n, .help = h, .to = { .flag = to_ } }
#define OPT_TEXT(l, n, to_, v, h) \
	{ .kind = OPT_IS_TEXT, .letter = l, .name = n, .value = v, .help = h, .to = { .text = to_ } }
#define OPT_DAY(l, n, to_, h) \
	{ .kind = OPT_IS_DAY, .letter = l, .name = n, .value = "DATE", .help = h, .to = { .day = to_ } }
#define OPT_INT(l, n, to_, v, least_, most_, h) \
	{ .kind = OPT_IS_INT, .letter = l, .name = n, .value = v, .help = h, .least = least_, \
	  .most = most_, .to = { .number = to_ } }
#define OPT_WORD(l, n, to_, words_, h) \
	{ .kind = OPT_IS_WORD, .letter = l, .name = n, .help = h, .words = words_, .to = { .word = to_ } }
#define OPT_LIST(l, n, to_, v, h) \
	{ .kind = OPT_IS_LIST, .letter = l, .name = n, .value = v, .help = h, .to = { .list = to_ } }
#define OPT_PART(table) { .kind = OPT_IS_PART, .to = { .part = table } }
#define OPT_END { .kind = OPT_IS_END }

/* All that --help says. Texts of several lines hold '\n' between them. */
struct opt_page {
	const char *name;    /* of the tool: "wy-moist" */
	const char *purpose; /* one line: "moisture by charge, lot, place or month" */
	const char *usage;   /* what follows the name, a line each: "[options] [FILE...]" */
	const struct opt *options;
	const char *exits;   /* "0  done\n1  ..."; NULL: those of most tools */
	const char *example; /* a command that works, and what it does */
};

enum opt_outcome {
	OPT_GO,      /* options are set; operands are argv[first] and after */
	OPT_HELP,    /* --help was asked */
	OPT_VERSION, /* --version was asked */
	OPT_OPTIONS, /* --help-options was asked */
	OPT_WRONG,   /* `error` has the mistake and how to mend it */
};

struct opt_result {
	enum opt_outcome outcome;
	int first;
	char error[400];
};

/*
 * Reads argv[1..argc-1]. The pointers in argv are put in a new order: options first, then the
 * operands in theirs. Stops at the first thing wrong; what was set before it stays set.
 */
struct opt_result opt_parse(const struct opt *options, int argc, char **argv);

/* Adds the help page, at most 80 columns wide as long as the words let it. */
void opt_help(const struct opt_page *page, struct buf *out);

/*
 * Adds the options for a machine, a line each with tabs between: the long option, the short one
 * or nothing, the kind (flag text date int word list), the words with | between or the value's
 * name, the first line of help.
 */
void opt_describe(const struct opt *options, struct buf *out);


#endif
