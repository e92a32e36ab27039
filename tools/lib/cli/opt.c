#include "cli/opt.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/nearest.h"
#include "base/utf8.h"
#include "time/stamp.h"

static const char usual_exits[] =
	"0  done\n"
	"1  a negative answer, nothing found, or the book has errors\n"
	"2  usage error, an input that cannot be read, or output not written in full";

/* In every tool. They set nothing; the parser returns which of them was given. */
enum { OWN_HELP, OWN_VERSION };
static const struct opt own_options[] = {
	[OWN_HELP] = OPT_FLAG('h', "help", NULL, "print this page"),
	[OWN_VERSION] = OPT_FLAG(0, "version", NULL, "print the version"),
	OPT_END
};

static const struct opt hidden_options[] = {
	OPT_FLAG(0, "help-options", NULL, "print the options for a machine"),
	OPT_END
};

/* The option or word that was perhaps meant. */

static void try_options(struct nearest *near, const struct opt *options)
{
	for (; options->kind != OPT_IS_END; options++) {
		if (options->kind == OPT_IS_PART)
			try_options(near, options->to.part);
		else
			nearest_try(near, slice_of(options->name));
	}
}

/* Finding */

/* The option called `name`, or with the letter when `name` is empty. */
static const struct opt *find_in(const struct opt *options, struct slice name, char letter)
{
	for (; options->kind != OPT_IS_END; options++) {
		if (options->kind == OPT_IS_PART) {
			const struct opt *found = find_in(options->to.part, name, letter);

			if (found)
				return found;
		} else if (name.n ? slice_eq(slice_of(options->name), name) : options->letter == letter) {
			return options;
		}
	}
	return NULL;
}

static const struct opt *find(const struct opt *options, struct slice name, char letter)
{
	const struct opt *found = find_in(options, name, letter);

	if (!found)
		found = find_in(own_options, name, letter);
	if (!found && name.n)
		found = find_in(hidden_options, name, letter);
	return found;
}

/* Parsing */

struct parse {
	const struct opt *options;
	int argc, at;         /* argv[at] is being read */
	char **argv;
	struct opt_result result;
};

static bool __attribute__((format(printf, 2, 3))) wrong(struct parse *p, const char *fmt, ...)
{
	va_list ap;

	va_start(ap, fmt);
	vsnprintf(p->result.error, sizeof p->result.error, fmt, ap);
	va_end(ap);
	p->result.outcome = OPT_WRONG;
	return false;
}

static void join_words(const struct opt *opt, struct buf *b)
{
	for (size_t i = 0; opt->words[i]; i++) {
		if (i)
			buf_char(b, '|');
		buf_str(b, opt->words[i]);
	}
}

static bool wrong_word(struct parse *p, const struct opt *opt, const char *value)
{
	struct slice near = nearest_cstr(slice_of(value), opt->words);
	struct buf words = BUF_INIT;

	join_words(opt, &words);
	wrong(p, "--%s=%.60s is not one of %s%s%.*s%s", opt->name, value, buf_cstr(&words),
		near.n ? "; perhaps " : "", (int)near.n, near.p, near.n ? "?" : "");
	buf_release(&words);
	return false;
}

static bool set_word(struct parse *p, const struct opt *opt, const char *value)
{
	for (int i = 0; opt->words[i]; i++) {
		if (strcmp(opt->words[i], value) == 0) {
			*opt->to.word = i;
			return true;
		}
	}
	return wrong_word(p, opt, value);
}

/* A whole number with nothing around it; false also where it does not fit. */
static bool read_int(const char *text, int64_t *v)
{
	bool minus = *text == '-';

	text += minus;
	*v = 0;
	if (!*text)
		return false;
	for (; *text; text++) {
		int digit = *text - '0';

		if (digit < 0 || digit > 9 || __builtin_mul_overflow(*v, 10, v)
				|| __builtin_sub_overflow(*v, digit, v))
			return false;
	}
	return minus || !__builtin_sub_overflow(0, *v, v);
}

static bool set_int(struct parse *p, const struct opt *opt, const char *value)
{
	int64_t v;

	if (!read_int(value, &v) || v < opt->least || v > opt->most)
		return wrong(p, "--%s=%.60s is not a whole number from %lld to %lld", opt->name, value,
			(long long)opt->least, (long long)opt->most);
	*opt->to.number = v;
	return true;
}

static bool set_day(struct parse *p, const struct opt *opt, const char *value)
{
	int32_t day;

	if (date_read(slice_of(value), &day) != DATE_OK)
		return wrong(p, "--%s=%.60s is not a valid date; write it as YYYY-MM-DD", opt->name, value);
	*opt->to.day = (struct opt_day){ value, day };
	return true;
}

static void add_to_list(struct opt_list *list, const char *value)
{
	list->v = mem_grow((void *)list->v, &list->cap, list->n + 1, sizeof *list->v);
	list->v[list->n++] = value;
}

static bool set_value(struct parse *p, const struct opt *opt, const char *value)
{
	switch (opt->kind) {
	case OPT_IS_INT:
		return set_int(p, opt, value);
	case OPT_IS_WORD:
		return set_word(p, opt, value);
	case OPT_IS_LIST:
		add_to_list(opt->to.list, value);
		return true;
	case OPT_IS_DAY:
		return set_day(p, opt, value);
	default:
		*opt->to.text = value;
		return true;
	}
}

/* Sets a flag. False when the reading stops here: help and the like. */
static bool set_flag(struct parse *p, const struct opt *opt)
{
	if (opt == &own_options[OWN_HELP])
		p->result.outcome = OPT_HELP;
	else if (opt == &own_options[OWN_VERSION])
		p->result.outcome = OPT_VERSION;
	else if (opt == hidden_options)
		p->result.outcome = OPT_OPTIONS;
	else
		*opt->to.flag = true;
	return p->result.outcome == OPT_GO;
}

static const char *value_name(const struct opt *opt)
{
	return opt->value ? opt->value : "WORD";
}

/* The value from the next argument. */
static bool set_from_next(struct parse *p, const struct opt *opt)
{
	if (p->at + 1 >= p->argc)
		return wrong(p, "--%s requires a value: --%s=%s", opt->name, opt->name, value_name(opt));
	return set_value(p, opt, p->argv[++p->at]);
}

static bool wrong_name(struct parse *p, struct slice name)
{
	struct nearest near = nearest_to(name);

	try_options(&near, p->options);
	try_options(&near, own_options);
	return wrong(p, "unknown option --%.*s%s%.*s%s", (int)(name.n < 60 ? name.n : 60), name.p,
		near.best.n ? "; perhaps --" : "", (int)near.best.n, near.best.p, near.best.n ? "?" : "");
}

static bool read_long(struct parse *p, struct slice arg)
{
	size_t n = slice_find(arg, '=');
	struct slice name = slice_upto(arg, n);
	const struct opt *opt = n ? find(p->options, name, 0) : NULL;

	if (!opt)
		return wrong_name(p, name);
	if (opt->kind != OPT_IS_FLAG)
		return n < arg.n ? set_value(p, opt, arg.p + n + 1) : set_from_next(p, opt);
	if (n < arg.n)
		return wrong(p, "--%s takes no value", opt->name);
	return set_flag(p, opt);
}

static bool wrong_letter(struct parse *p, struct slice bundle, struct slice at)
{
	struct slice name = slice_upto(bundle, slice_find(bundle, '='));
	uint32_t point;
	size_t n = utf8_decode(at, &point);

	if (find(p->options, name, 0))
		return wrong(p, "unknown option -%.*s; perhaps --%.*s?", (int)name.n, name.p, (int)name.n, name.p);
	return wrong(p, "unknown option -%.*s", (int)(n ? n : 1), at.p);
}

/* What follows one dash: flags, of which the last may be an option with a value. */
static bool read_letters(struct parse *p, struct slice bundle)
{
	for (struct slice left = bundle; left.n; left = slice_from(left, 1)) {
		const struct opt *opt = find(p->options, (struct slice){ "", 0 }, left.p[0]);

		if (!opt)
			return wrong_letter(p, bundle, left);
		if (opt->kind != OPT_IS_FLAG)
			return left.n > 1 ? set_value(p, opt, left.p + 1) : set_from_next(p, opt);
		if (!set_flag(p, opt))
			return false;
	}
	return true;
}

static bool is_option(const char *arg)
{
	return arg[0] == '-' && arg[1];
}

static bool read_option(struct parse *p)
{
	struct slice arg = slice_of(p->argv[p->at]);

	if (slice_starts(arg, SLICE("--")))
		return read_long(p, slice_from(arg, 2));
	return read_letters(p, slice_from(arg, 1));
}

/*
 * Reads up to the end or to what stops it, gathering the operands and closing the gaps that they
 * leave in argv. The result is how many there are.
 */
static int read_all(struct parse *p, char **operands)
{
	int n = 0, kept = 1;
	bool ended = false, go = true;

	for (p->at = 1; go && p->at < p->argc; p->at++) {
		int from = p->at;

		if (ended || !is_option(p->argv[p->at])) {
			operands[n++] = p->argv[p->at];
			continue;
		}
		ended = strcmp(p->argv[p->at], "--") == 0;
		go = ended || read_option(p);
		for (; from <= p->at; from++)
			p->argv[kept++] = p->argv[from];
	}
	p->result.first = kept;
	return n;
}

struct opt_result opt_parse(const struct opt *options, int argc, char **argv)
{
	struct parse p = { .options = options, .argc = argc, .argv = argv, .result = { .first = 1 } };
	char **operands = mem_array(argc > 0 ? (size_t)argc : 0, sizeof *operands);
	int n = read_all(&p, operands);

	if (p.result.outcome == OPT_GO)
		for (int i = 0; i < n; i++)
			argv[p.result.first + i] = operands[i];
	free(operands);
	return p.result;
}

/* Help */

enum { PAGE_WIDTH = 80, LEFT_MOST = 28, LEFT_INDENT = 2 };

/* "-H, --house=FILE" */
static void add_left(const struct opt *opt, struct buf *b)
{
	if (opt->letter)
		buf_printf(b, "-%c, ", opt->letter);
	else
		buf_str(b, "    ");
	buf_printf(b, "--%s", opt->name);
	if (opt->kind == OPT_IS_FLAG)
		return;
	buf_char(b, '=');
	if (opt->value || opt->kind != OPT_IS_WORD)
		buf_str(b, value_name(opt));
	else
		join_words(opt, b);
}

/* The width of the widest left side that does not get a line of its own. */
static size_t left_width(const struct opt *options, size_t width)
{
	struct buf left = BUF_INIT;

	for (; options->kind != OPT_IS_END; options++) {
		if (options->kind == OPT_IS_PART) {
			width = left_width(options->to.part, width);
			continue;
		}
		left.n = 0;
		add_left(options, &left);
		if (left.n > width && left.n <= LEFT_MOST)
			width = left.n;
	}
	buf_release(&left);
	return width;
}

/* How much of `s` fits in `width`: up to a line end, else to the last blank before it. */
static size_t fitting(struct slice s, size_t width)
{
	size_t line = slice_find(s, '\n'), n;

	if (line <= width)
		return line;
	for (n = width; n && s.p[n] != ' '; n--)
		;
	return n ? n : slice_find(slice_upto(s, line), ' ');
}

/* Adds `s`: its first line at the page's present column `at`, the further lines from column `indent`. */
static void add_hanging(struct slice s, size_t at, size_t indent, struct buf *out)
{
	for (bool first = true; first || s.n; first = false) {
		size_t n = fitting(s, PAGE_WIDTH - (first ? at : indent));

		if (!first)
			buf_fill(out, ' ', indent);
		buf_add(out, slice_upto(s, n));
		buf_char(out, '\n');
		s = slice_from(s, n < s.n ? n + 1 : n);
	}
}

/* Adds `s` from column `indent`; the page is now in column `at`. */
static void add_wrapped(struct slice s, size_t at, size_t indent, struct buf *out)
{
	buf_fill(out, ' ', indent - at);
	add_hanging(s, indent, indent, out);
}

static void add_option(const struct opt *opt, size_t width, struct buf *out)
{
	size_t start = out->n + LEFT_INDENT, indent = LEFT_INDENT + width + 2;

	buf_fill(out, ' ', LEFT_INDENT);
	add_left(opt, out);
	if (out->n - start > width) {
		buf_char(out, '\n');
		add_wrapped(slice_of(opt->help), 0, indent, out);
		return;
	}
	add_wrapped(slice_of(opt->help), LEFT_INDENT + out->n - start, indent, out);
}

static void add_options(const struct opt *options, size_t width, struct buf *out)
{
	for (; options->kind != OPT_IS_END; options++) {
		if (options->kind == OPT_IS_PART)
			add_options(options->to.part, width, out);
		else
			add_option(options, width, out);
	}
}

/* Where a line that is too wide goes on: below the text after its last gap, as in "0  done". */
static size_t hang_of(struct slice line)
{
	size_t n = line.n;

	while (n > 1 && !(line.p[n - 1] == ' ' && line.p[n - 2] == ' '))
		n--;
	return n > 1 ? n : 0;
}

/* Lines of `text`, each behind a head, which is another from the second on. */
static void add_lines(const char *head, const char *next, const char *text, struct buf *out)
{
	struct slice left = slice_of(text);

	while (left.n) {
		struct slice line = slice_upto(left, slice_find(left, '\n'));
		size_t at = strlen(head);

		buf_str(out, head);
		add_hanging(line, at, at + hang_of(line), out);
		left = slice_from(left, line.n < left.n ? line.n + 1 : line.n);
		head = next;
	}
}

static void add_purpose(const struct opt_page *page, struct buf *out)
{
	struct buf head = BUF_INIT;

	buf_printf(&head, "%s - ", page->name);
	add_lines(buf_cstr(&head), "", page->purpose, out);
	buf_release(&head);
}

static void add_usage(const struct opt_page *page, struct buf *out)
{
	struct buf head = BUF_INIT, next = BUF_INIT;

	buf_printf(&head, "usage: %s ", page->name);
	buf_printf(&next, "       %s ", page->name);
	add_lines(buf_cstr(&head), buf_cstr(&next), page->usage, out);
	buf_release(&head);
	buf_release(&next);
}

void opt_help(const struct opt_page *page, struct buf *out)
{
	size_t width = left_width(own_options, left_width(page->options, 0));

	add_purpose(page, out);
	buf_char(out, '\n');
	add_usage(page, out);
	buf_str(out, "\noptions:\n");
	add_options(page->options, width, out);
	add_options(own_options, width, out);
	buf_str(out, "\nexit status:\n");
	add_lines("  ", "  ", page->exits ? page->exits : usual_exits, out);
	if (page->example) {
		buf_str(out, "\nexample:\n");
		add_lines("  ", "  ", page->example, out);
	}
}

static const char *kind_name(const struct opt *opt)
{
	switch (opt->kind) {
	case OPT_IS_FLAG: return "flag";
	case OPT_IS_DAY: return "date";
	case OPT_IS_INT: return "int";
	case OPT_IS_WORD: return "word";
	case OPT_IS_LIST: return "list";
	default: return "text";
	}
}

static void describe_one(const struct opt *opt, struct buf *out)
{
	struct slice help = slice_of(opt->help);

	buf_printf(out, "--%s\t", opt->name);
	if (opt->letter)
		buf_printf(out, "-%c", opt->letter);
	buf_printf(out, "\t%s\t", kind_name(opt));
	if (opt->kind == OPT_IS_WORD)
		join_words(opt, out);
	else if (opt->kind != OPT_IS_FLAG)
		buf_str(out, value_name(opt));
	buf_char(out, '\t');
	buf_add(out, slice_upto(help, slice_find(help, '\n')));
	buf_char(out, '\n');
}

static void describe_all(const struct opt *options, struct buf *out)
{
	for (; options->kind != OPT_IS_END; options++) {
		if (options->kind == OPT_IS_PART)
			describe_all(options->to.part, out);
		else
			describe_one(options, out);
	}
}

void opt_describe(const struct opt *options, struct buf *out)
{
	describe_all(options, out);
	describe_all(own_options, out);
}
