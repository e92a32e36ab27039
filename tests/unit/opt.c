/* opt.c: what is understood, what is refused and with which words, the help, the machine's list. */
#include <stdlib.h>

#include "cli/opt.h"
#include "check.h"

static bool all, by_lot, long_only;
static const char *file;
static struct opt_day day;
static int64_t days;
static int form;
static struct opt_list keys;

static const char *const forms[] = { "text", "tsv", "json", NULL };

static const struct opt common[] = {
	OPT_TEXT('H', "house", &file, "FILE", "the house file"),
	OPT_WORD(0, "as", &form, forms, "form of the answer"),
	OPT_DAY(0, "on", &day, "the day"),
	OPT_END
};

static const struct opt options[] = {
	OPT_FLAG('a', "all", &all, "all of them"),
	OPT_FLAG('l', "by-lot", &by_lot, "a row for each lot"),
	OPT_FLAG(0, "long-only", &long_only, "has no letter"),
	OPT_INT('d', "days", &days, "N", -5, 3660, "look back N days (7)"),
	OPT_LIST('k', "key", &keys, "NAME", "group by NAME; may be given again"),
	OPT_PART(common),
	OPT_END
};

enum { MOST_ARGS = 12 };

static char *args[MOST_ARGS + 2];
static int n_args;

static void reset(void)
{
	all = by_lot = long_only = false;
	file = NULL;
	day = (struct opt_day){ .day = INT32_MIN };
	days = 7;
	form = -1;
	free(keys.v);
	keys = (struct opt_list){ 0 };
}

/* Parses the words of `line`, parted by blanks; "''" stands for an empty word. */
static struct opt_result parse(const char *line)
{
	static char words[400];
	char *at = words;

	reset();
	memcpy(words, line, strlen(line) + 1);
	args[0] = (char[]){ "wy-test" };
	for (n_args = 1; *at && n_args <= MOST_ARGS; n_args++) {
		args[n_args] = at;
		at += strcspn(at, " ");
		if (*at)
			*at++ = '\0';
		if (strcmp(args[n_args], "''") == 0)
			args[n_args][0] = '\0';
	}
	args[n_args] = NULL;
	return opt_parse(options, n_args, args);
}

static const char *operands(const struct opt_result *result)
{
	static char joined[400];
	size_t n = 0;

	joined[0] = '\0';
	for (int i = result->first; i < n_args; i++)
		n += (size_t)snprintf(joined + n, sizeof joined - n, "%s;", args[i]);
	return joined;
}

#define IS(got, want) CHECK_TEXT(slice_of(got), want)

static void understood(void)
{
	struct opt_result r = parse("");

	CHECK_INT(r.outcome, OPT_GO);
	CHECK_INT(r.first, 1);
	CHECK(!all && !by_lot && !file && days == 7 && form == -1 && !keys.n);

	r = parse("-a --by-lot --days=30 -H h.yaml --as json --on=2028-02-29 b.wy");
	CHECK_INT(r.outcome, OPT_GO);
	CHECK(all && by_lot && !long_only);
	CHECK_INT(days, 30);
	IS(file, "h.yaml");
	CHECK_INT(form, 2);
	IS(day.text, "2028-02-29");
	IS(operands(&r), "b.wy;");

	r = parse("-ald30 -Hh.yaml");
	CHECK(r.outcome == OPT_GO && all && by_lot);
	CHECK_INT(days, 30);
	IS(file, "h.yaml");

	r = parse("--days -5 --house= -k x --key=y -ky=z");
	CHECK_INT(r.outcome, OPT_GO);
	CHECK_INT(days, -5);
	IS(file, "");
	CHECK_INT(keys.n, 3);
	IS(keys.v[0], "x");
	IS(keys.v[1], "y");
	IS(keys.v[2], "y=z");

	r = parse("--days=1 --days=2 --house=a=b");
	CHECK_INT(days, 2);
	IS(file, "a=b");
}

/* Operands may stand among the options and keep their order; -- ends options, - is an operand. */
static void among(void)
{
	struct opt_result r = parse("emc temp=20C rh=55% --as=tsv - -a");

	CHECK_INT(r.outcome, OPT_GO);
	CHECK(all && form == 1);
	IS(operands(&r), "emc;temp=20C;rh=55%;-;");

	r = parse("x -H f y -- -a --by-lot -- z");
	CHECK_INT(r.outcome, OPT_GO);
	CHECK(!all && !by_lot);
	IS(file, "f");
	IS(operands(&r), "x;y;-a;--by-lot;--;z;");

	r = parse("-H -- x --");   /* a value may look like anything */
	IS(file, "--");
	IS(operands(&r), "x;");

	r = parse("'' -a ''");
	CHECK(r.outcome == OPT_GO && all);
	IS(operands(&r), ";;");
}

static void asked(void)
{
	CHECK_INT(parse("--help").outcome, OPT_HELP);
	CHECK_INT(parse("-h").outcome, OPT_HELP);
	CHECK_INT(parse("-ah").outcome, OPT_HELP);
	CHECK_INT(parse("--version").outcome, OPT_VERSION);
	CHECK_INT(parse("--help-options").outcome, OPT_OPTIONS);
	CHECK_INT(parse("x --help --nonsense").outcome, OPT_HELP);
	CHECK_INT(parse("--nonsense --help").outcome, OPT_WRONG);
	CHECK_INT(parse("-- --help").outcome, OPT_GO);
	CHECK_INT(parse("-H --help").outcome, OPT_GO);
}

static void refused(void)
{
	static const struct { const char *line, *error; } list[] = {
		{ "--al", "unknown option --al; perhaps --all?" },
		{ "--by_lot", "unknown option --by_lot; perhaps --by-lot?" },
		{ "--huose=x", "unknown option --huose; perhaps --house?" },
		{ "--hlep", "unknown option --hlep; perhaps --help?" },
		{ "--quite-else", "unknown option --quite-else" },
		{ "--=x", "unknown option --" },
		{ "-x", "unknown option -x" },
		{ "-ax", "unknown option -x" },
		{ "-as=tsv", "unknown option -as; perhaps --as?" },
		{ "-by-lot", "unknown option -by-lot; perhaps --by-lot?" },
		{ "-\xc5\xab", "unknown option -\xc5\xab" },
		{ "-\xff", "unknown option -\xff" },
		{ "--all=yes", "--all takes no value" },
		{ "--help=x", "--help takes no value" },
		{ "--house", "--house requires a value: --house=FILE" },
		{ "-aH", "--house requires a value: --house=FILE" },
		{ "--as", "--as requires a value: --as=WORD" },
		{ "--as=tvs", "--as=tvs is not one of text|tsv|json; perhaps tsv?" },
		{ "--as=xml", "--as=xml is not one of text|tsv|json" },
		{ "--as=", "--as= is not one of text|tsv|json" },
		{ "--as=TSV", "--as=TSV is not one of text|tsv|json; perhaps tsv?" },
		{ "--days=x", "--days=x is not a whole number from -5 to 3660" },
		{ "--days=", "--days= is not a whole number from -5 to 3660" },
		{ "--days=-", "--days=- is not a whole number from -5 to 3660" },
		{ "--days=1.5", "--days=1.5 is not a whole number from -5 to 3660" },
		{ "--days=+1", "--days=+1 is not a whole number from -5 to 3660" },
		{ "--days=3661", "--days=3661 is not a whole number from -5 to 3660" },
		{ "-d-6", "--days=-6 is not a whole number from -5 to 3660" },
		{ "--days=18446744073709551617", "--days=18446744073709551617 is not a whole number from -5 to 3660" },
		{ "--on=2026-02-29", "--on=2026-02-29 is not a valid date; write it as YYYY-MM-DD" },
		{ "--on=today", "--on=today is not a valid date; write it as YYYY-MM-DD" },
	};

	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		struct opt_result r = parse(list[i].line);

		CHECK_CASE(i);
		CHECK_INT(r.outcome, OPT_WRONG);
		IS(r.error, list[i].error);
	}
	CHECK_CASE(-1);
}

/* The longest words there can be: nothing overflows, and the text ends. */
static void very_long(void)
{
	static const char *const heads[] = { "--", "--as=", "--days=", "--on=", "-", "-as", "--all=" };
	char *word = malloc(100000);
	char *argv[] = { (char[]){ "wy-test" }, word, NULL };

	for (size_t i = 0; i < sizeof heads / sizeof *heads; i++) {
		struct opt_result r;

		memset(word, 'x', 99999);
		word[99999] = '\0';
		memcpy(word, heads[i], strlen(heads[i]));
		reset();
		r = opt_parse(options, 2, argv);
		CHECK_CASE(i);
		CHECK_INT(r.outcome, OPT_WRONG);
		CHECK(strlen(r.error) < sizeof r.error);
	}
	CHECK_CASE(-1);
	CHECK_INT(opt_parse(options, 0, argv + 2).outcome, OPT_GO);
	free(word);
}

static void whole_numbers(void)
{
	static int64_t v;
	static const struct opt any[] = { OPT_INT(0, "n", &v, "N", INT64_MIN, INT64_MAX, "any"), OPT_END };
	static const struct { const char *word; int64_t v; bool fits; } list[] = {
		{ "--n=9223372036854775807", INT64_MAX, true },
		{ "--n=-9223372036854775808", INT64_MIN, true },
		{ "--n=9223372036854775808", 0, false },
		{ "--n=-9223372036854775809", 0, false },
		{ "--n=007", 7, true },
		{ "--n=-0", 0, true },
	};

	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		char word[40], *argv[] = { (char[]){ "wy-test" }, word, NULL };

		snprintf(word, sizeof word, "%s", list[i].word);
		v = 99;
		CHECK_CASE(i);
		CHECK_INT(opt_parse(any, 2, argv).outcome, list[i].fits ? OPT_GO : OPT_WRONG);
		CHECK_INT(v, list[i].fits ? list[i].v : 99);
	}
	CHECK_CASE(-1);
}

static struct opt_result parse_day(const char *text)
{
	static char word[60];
	char *argv[] = { (char[]){ "wy-test" }, word, NULL };

	reset();
	snprintf(word, sizeof word, "--on=%s", text);
	return opt_parse(options, 2, argv);
}

/* Days since 1970-01-01, from `date -u -d TEXT +%s` by 86400. */
static void days_of_the_calendar(void)
{
	static const struct {
		const char *text;
		int32_t day;
	} good[] = { { "2026-01-01", 20454 }, { "2024-02-29", 19782 }, { "2000-02-29", 11016 }, { "0001-01-01", -719162 },
		{ "9999-12-31", 2932896 } };
	static const char *const bad[] = {
		"", "2026", "2026-01", "2026-1-1", "2026-00-10", "2026-13-01", "2026-01-00", "2026-01-32", "2026-04-31",
		"2026-02-29", "1900-02-29", "0000-01-01", "2026-01-01 ", " 2026-01-01", "2026-01-011", "2026/01/01",
		"20260101", "2026-01-0d", "dddd-dd-dd", "2026-01-0", "-026-01-01", "2026-01-01T10:00",
	};

	for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
		CHECK_CASE(i);
		CHECK_INT(parse_day(good[i].text).outcome, OPT_GO);
		CHECK_INT(day.day, good[i].day);
		IS(day.text, good[i].text);
	}
	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
		CHECK_CASE(i);
		CHECK_INT(parse_day(bad[i]).outcome, OPT_WRONG);
		CHECK_INT(day.day, INT32_MIN);
		CHECK(!day.text);
	}
	CHECK_CASE(-1);
}

static const struct opt_page page = {
	.name = "wy-test",
	.purpose = "tests the options",
	.usage = "[options] [FILE...]\n--all",
	.options = options,
	.example = "wy-test -a house.yaml   all of them",
};

static const char help_want[] =
	"wy-test - tests the options\n"
	"\n"
	"usage: wy-test [options] [FILE...]\n"
	"       wy-test --all\n"
	"\n"
	"options:\n"
	"  -a, --all               all of them\n"
	"  -l, --by-lot            a row for each lot\n"
	"      --long-only         has no letter\n"
	"  -d, --days=N            look back N days (7)\n"
	"  -k, --key=NAME          group by NAME; may be given again\n"
	"  -H, --house=FILE        the house file\n"
	"      --as=text|tsv|json  form of the answer\n"
	"      --on=DATE           the day\n"
	"  -h, --help              print this page\n"
	"      --version           print the version\n"
	"\n"
	"exit status:\n"
	"  0  done\n"
	"  1  a negative answer, nothing found, or the book has errors\n"
	"  2  usage error, an input that cannot be read, or output not written in full\n"
	"\n"
	"example:\n"
	"  wy-test -a house.yaml   all of them\n";

static const char list_want[] =
	"--all\t-a\tflag\t\tall of them\n"
	"--by-lot\t-l\tflag\t\ta row for each lot\n"
	"--long-only\t\tflag\t\thas no letter\n"
	"--days\t-d\tint\tN\tlook back N days (7)\n"
	"--key\t-k\tlist\tNAME\tgroup by NAME; may be given again\n"
	"--house\t-H\ttext\tFILE\tthe house file\n"
	"--as\t\tword\ttext|tsv|json\tform of the answer\n"
	"--on\t\tdate\tDATE\tthe day\n"
	"--help\t-h\tflag\t\tprint this page\n"
	"--version\t\tflag\t\tprint the version\n";

static void pages(void)
{
	struct buf b = BUF_INIT;

	opt_help(&page, &b);
	CHECK_TEXT(buf_slice(&b), help_want);
	b.n = 0;
	opt_describe(options, &b);
	CHECK_TEXT(buf_slice(&b), list_want);
	buf_release(&b);
}

/* Long help is broken at blanks and where it says so; a long left side has a line of its own. */
static void wrapped(void)
{
	static const struct opt wide[] = {
		OPT_FLAG('x', "x", &all,
			"one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen"
			" sixteen\nand a line of its own"),
		OPT_TEXT(0, "a-name-that-is-far-too-long", &file, "VALUE", "its help"),
		OPT_FLAG('y', "y", &all,
			"https://example.org/a/word/that/is/longer/than/what/is/left/of/the/line/and/cannot/be/broken/at/all ok"),
		OPT_END
	};
	static const struct opt_page of = { .name = "wy-w", .purpose = "wraps", .usage = "[options]", .options = wide, .exits = "0  always" };
	static const char want[] =
		"wy-w - wraps\n"
		"\n"
		"usage: wy-w [options]\n"
		"\n"
		"options:\n"
		"  -x, --x        one two three four five six seven eight nine ten eleven twelve\n"
		"                 thirteen fourteen fifteen sixteen\n"
		"                 and a line of its own\n"
		"      --a-name-that-is-far-too-long=VALUE\n"
		"                 its help\n"
		"  -y, --y        https://example.org/a/word/that/is/longer/than/what/is/left/of/the/line/and/cannot/be/broken/at/all\n"
		"                 ok\n"
		"  -h, --help     print this page\n"
		"      --version  print the version\n"
		"\n"
		"exit status:\n"
		"  0  always\n";
	struct buf b = BUF_INIT;

	opt_help(&of, &b);
	CHECK_TEXT(buf_slice(&b), want);
	buf_release(&b);
}

int main(void)
{
	understood();
	among();
	asked();
	refused();
	very_long();
	whole_numbers();
	days_of_the_calendar();
	pages();
	wrapped();
	reset();
	return check_end();
}
