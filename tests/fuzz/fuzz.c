/*
 * fuzz.c - makes mutants of good and bad input, hands each to a tool, and judges how it ends.
 *
 *	fuzz SECONDS SEED MUTANTS FOLDER MEGABYTES SOURCES CALLS
 *
 * SOURCES has a line `KIND FILE MATE` for each file that mutants are made of, CALLS a line
 * `KIND COMMAND` for each way to call a tool, to be run by sh with the mutant as "$1" and the mate
 * of its source as "$2". Mutant number i follows from SEED and i alone; after MUTANTS of them it ends,
 * if that is not 0. What fails is kept in FOLDER, and the command that repeats it is printed. MEGABYTES
 * is the most memory, 0 for no limit. Status 1 when something failed.
 */
#include <ctype.h>
#include <fcntl.h>
#include <signal.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { WINDOW = 20000, MUTANT_MOST = 400000, FAILURES_MOST = 20, CPU_SECONDS = 10, WALL_SECONDS = 30, OUTPUT_MOST = 64 << 20 };

struct text {
	char *p;
	size_t n, cap;
};

struct source {
	char *kind, *path, *mate;
	struct text text;
};

struct call {
	char *kind, *command;
};

static struct source *sources;
static struct call *calls;
static size_t nsources, ncalls;
static uint64_t state;
static const char *folder;
static rlim_t memory;

static void stop(const char *what)
{
	perror(what);
	exit(2);
}

/* ---- chance */

static uint64_t next(void)
{
	uint64_t z = state += 0x9e3779b97f4a7c15u;

	z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9u;
	z = (z ^ z >> 27) * 0x94d049bb133111ebu;
	return z ^ z >> 31;
}

static size_t below(size_t n) { return n ? (size_t)(next() % n) : 0; }
static bool one_in(size_t n) { return below(n) == 0; }

/* ---- texts */

static void *grown(void *p, size_t n)
{
	p = realloc(p, n);
	if (!p)
		stop("memory");
	return p;
}

/* Puts `n` bytes in the place of `cut` at `at`. `p` is not of the text. */
static void put(struct text *t, size_t at, size_t cut, const char *p, size_t n)
{
	if (t->n + n > MUTANT_MOST)
		return;
	if (t->n + n + 1 > t->cap)
		t->p = grown(t->p, t->cap = 2 * (t->n + n) + 64);
	memmove(t->p + at + n, t->p + at + cut, t->n - at - cut);
	if (n)
		memcpy(t->p + at, p, n);
	t->n += n - cut;
}

static struct text copy_of(const char *p, size_t n)
{
	struct text t = { grown(NULL, n + 64), n, n + 64 };

	memcpy(t.p, p, n);
	return t;
}

static bool read_file(const char *path, struct text *t)
{
	FILE *f = fopen(path, "rb");
	char block[65536];

	t->n = 0;
	if (!f)
		return false;
	for (size_t n; (n = fread(block, 1, sizeof block, f)) > 0;) {
		if (t->n + n + 1 > t->cap)
			t->p = grown(t->p, t->cap = 2 * (t->n + n) + 64);
		memcpy(t->p + t->n, block, n);
		t->n += n;
	}
	fclose(f);
	return true;
}

static void write_file(const char *path, const struct text *t)
{
	FILE *f = fopen(path, "wb");

	if (!f || fwrite(t->p, 1, t->n, f) != t->n || fclose(f) != 0)
		stop(path);
}

struct span {
	size_t at, n;
};

static struct span line_at(const struct text *t, size_t at)
{
	struct span s = { at, 0 };

	while (s.at > 0 && t->p[s.at - 1] != '\n')
		s.at--;
	while (s.at + s.n < t->n && t->p[s.at + s.n] != '\n')
		s.n++;
	s.n += s.at + s.n < t->n;
	return s;
}

static struct span some_line(const struct text *t) { return line_at(t, below(t->n)); }

/* A run of bytes without those of `stops`, where there is one near some byte. */
static struct span some_token(const struct text *t, const char *stops)
{
	size_t at = below(t->n);
	struct span s;

	while (at < t->n && strchr(stops, t->p[at]))
		at++;
	s = (struct span){ at, 0 };
	while (s.at > 0 && !strchr(stops, t->p[s.at - 1]))
		s.at--;
	while (s.at + s.n < t->n && !strchr(stops, t->p[s.at + s.n]))
		s.n++;
	return s;
}

/* Words, values, or items, from coarse to fine. strchr() finds the NUL too, which so stops. */
static const char *some_stops(void)
{
	static const char *const STOPS[] = { " \t\n", " \t\n=,;", " \t\n=,;:/", " \t\n=,;:/.-%+\"" };

	return STOPS[below(4)];
}

static const struct source *some_source(const char *kind)
{
	size_t n = 0, k;

	for (size_t i = 0; i < nsources; i++)
		n += strcmp(sources[i].kind, kind) == 0;
	k = below(n);
	for (size_t i = 0; i < nsources; i++)
		if (strcmp(sources[i].kind, kind) == 0 && k-- == 0)
			return &sources[i];
	fprintf(stderr, "fuzz: no source is a %s\n", kind);
	exit(2);
}

/* ---- mutations */

static const char *const EXTREMES[] = { "0", "-0", "-1", "1", "00", "0.0", "999999999", "1000000000", "1000000001", "2147483647",
	"2147483648", "-2147483649", "4294967295", "4294967296", "9223372036854775807", "9223372036854775808", "18446744073709551616",
	"99999999999999999999999999", "999999999999999", "0.000000000000001", "0.0001", "0.00005", "1e308", "1e-400", "-200", "1.", ".5",
	"nan", "inf", "0x10", "100%", "1000%", "0%", "30%+", "6%-", "-", "..", "10%..", "..10%", "20%..10%", "-273.16C", "10000C", "2lb16oz",
	"999999999kg", "999999999999.99NZD", "-5NZD", "0001-01-01", "9999-12-31", "0000-00-00", "2026-02-30", "2024-02-29", "1900-02-29",
	"1969-12-31", "23:59:60", "24:00", "23:59:59", "00:00+14:00", "00:00-99:99", "12:00Z", "\"", "\"\"", "\"\\\"\"", "\\", "#",
	"#! incomplete", "# withy 1", "# withy 2", "a/b/c/d/e/f/g/h", "a:b:c:d", ",", ",,", "=", "==", "a=b=c", "\xef\xbb\xbf", "\xff", "\xc3",
	"\xed\xa0\x80", "\xf4\x90\x80\x80", "\xcc\x81", "\xe2\x80\xae", "\r", "\r\n", "\n\n", "\x1b[31m", "null", "true", "~", "*a", "&a",
	"!!x", "<<: *a", "---", "...", "{", "}", "[", "]", "- ", "? ", "|", ">", "'", "%", "`", "@", "(", "(a|a)*$", "(a+)+b", "[[:x:]]", "\\1",
	"=1+1", "sep=;", "1/2/3", "1.234,56", "1,234.56", "12/31/99", "31.12.99", "1 PM", "NA", "NaN", "-200.00", "\xb0""C", "\xc2\xb0""F" };

static void put_extreme(struct text *t)
{
	const char *word = EXTREMES[below(sizeof EXTREMES / sizeof *EXTREMES)];
	struct span s = some_token(t, some_stops());

	put(t, s.at, one_in(4) ? 0 : s.n, word, strlen(word));
}

/* Some number becomes a little or much larger or smaller. */
static void put_number(struct text *t)
{
	size_t at = below(t->n), n = 0;
	char digits[32];

	while (at < t->n && !isdigit((unsigned char)t->p[at]))
		at++;
	while (at + n < t->n && n < 15 && isdigit((unsigned char)t->p[at + n]))
		n++;
	if (!n)
		return;
	snprintf(digits, sizeof digits, "%.*s", (int)n, t->p + at);
	switch (below(5)) {
	case 0: snprintf(digits, sizeof digits, "%llu", strtoull(digits, NULL, 10) + 1); break;
	case 1: snprintf(digits, sizeof digits, "%llu", strtoull(digits, NULL, 10) * 10); break;
	case 2: snprintf(digits, sizeof digits, "%llu", strtoull(digits, NULL, 10) / 2); break;
	case 3: snprintf(digits, sizeof digits, "%0*u", (int)n, (unsigned)below(100)); break;
	default: memset(digits, '9', n);
	}
	put(t, at, n, digits, strlen(digits));
}

static void put_byte(struct text *t)
{
	static const char BYTES[] = "\0\xff\xc3\"',=#\r\n\\:/;.-%+ \t|[]{}~<>&*!0";
	char c = one_in(2) ? BYTES[below(sizeof BYTES - 1)] : (char)below(256);

	put(t, below(t->n), below(2), &c, 1);
}

static void flip_bit(struct text *t) { t->p[below(t->n)] ^= (char)(1 << below(8)); }

/* A token takes the place of another, or stands beside it; it may come from another source. */
static void put_token(struct text *t, const struct source *other)
{
	const char *stops = some_stops();
	const struct text *from = one_in(2) ? &other->text : t;
	struct span s = some_token(from, stops), d = some_token(t, stops);
	struct text token;

	if (!s.n || from->n == 0)
		return;
	token = copy_of(from->p + s.at, s.n < 200 ? s.n : 200);
	if (one_in(4)) /* beside it, with what parts them */
		put(t, d.at, 0, d.at + d.n < t->n ? t->p + d.at + d.n : " ", 1), put(t, d.at, 0, token.p, token.n);
	else
		put(t, d.at, d.n, token.p, token.n);
	free(token.p);
}

static void swap_tokens(struct text *t)
{
	const char *stops = some_stops();
	struct span a = some_token(t, stops), b = some_token(t, stops);
	struct text x, y;

	if (a.at > b.at) {
		struct span c = a;

		a = b;
		b = c;
	}
	if (a.at + a.n >= b.at)
		return;
	x = copy_of(t->p + a.at, a.n);
	y = copy_of(t->p + b.at, b.n);
	put(t, b.at, b.n, x.p, x.n);
	put(t, a.at, a.n, y.p, y.n);
	free(x.p);
	free(y.p);
}

/* A line, or some in a row, of this or another source, goes somewhere; may be cut out where it was. */
static void put_lines(struct text *t, const struct source *other)
{
	const struct text *from = one_in(2) ? &other->text : t;
	struct span s = some_line(from), e = line_at(from, s.at + s.n < from->n ? s.at + s.n + below(300) % (from->n - s.at - s.n) : s.at);
	struct text lines = copy_of(from->p + s.at, one_in(3) ? e.at + e.n - s.at : s.n);

	if (from == t && one_in(2))
		put(t, s.at, s.n, NULL, 0);
	put(t, t->n ? some_line(t).at : 0, 0, lines.p, lines.n);
	free(lines.p);
}

static void cut(struct text *t)
{
	struct span s = one_in(2) ? some_line(t) : some_token(t, some_stops());

	if (one_in(8))
		t->n = below(t->n); /* the rest of the file */
	else if (one_in(4))
		put(t, s.at, s.n ? below(s.n) : 0, NULL, 0);
	else
		put(t, s.at, s.n, NULL, 0);
}

/* A token with what stands behind it, a line, or one byte, many times over. */
static void repeat(struct text *t)
{
	struct span s = one_in(3) ? some_line(t) : some_token(t, some_stops());
	size_t times = one_in(8) ? below(20000) : one_in(3) ? below(400) : 1 + below(4);
	struct text piece, all = { 0 };

	s.n += s.at + s.n < t->n && t->p[s.at + s.n] != '\n';
	if (one_in(4))
		s = (struct span){ below(t->n), 1 };
	piece = copy_of(t->p + s.at, s.n);
	for (size_t i = 0; i < times && all.n < 70000; i++)
		put(&all, all.n, 0, piece.p, piece.n);
	put(t, s.at, 0, all.p, all.n);
	free(piece.p);
	free(all.p);
}

static void shuffle_lines(struct text *t)
{
	for (int i = 0; i < 20; i++) {
		struct span s = some_line(t);
		struct text line = copy_of(t->p + s.at, s.n);

		put(t, s.at, s.n, NULL, 0);
		put(t, t->n ? some_line(t).at : 0, 0, line.p, line.n);
		free(line.p);
	}
}

/* Gentle ones leave most lines readable, so that the rooms behind the reader see something. */
static void mutate(struct text *t, const struct source *other, bool gentle)
{
	if (t->n == 0)
		put(t, 0, 0, "\n", 1);
	switch (below(gentle ? 8 : 13)) {
	case 0: case 1: put_number(t); break;
	case 2: put_token(t, other); break;
	case 3: swap_tokens(t); break;
	case 4: case 5: put_lines(t, other); break;
	case 6: shuffle_lines(t); break;
	case 7: case 8: put_extreme(t); break;
	case 9: put_byte(t); break;
	case 10: flip_bit(t); break;
	case 11: cut(t); break;
	default: repeat(t);
	}
}

/* Of a long source, its head or some lines in a row. */
static struct text window(const struct source *s)
{
	size_t at = 0, n = s->text.n;

	if (n > WINDOW) {
		at = one_in(2) ? 0 : some_line(&s->text).at;
		n = s->text.n - at < WINDOW ? s->text.n - at : WINDOW;
	}
	return copy_of(s->text.p + at, n);
}

static struct text mutant_of(const struct source *s)
{
	struct text t = window(s);
	bool gentle = one_in(2);

	for (size_t i = 1 + below(one_in(3) ? 30 : 6); i > 0; i--)
		mutate(&t, some_source(s->kind), gentle);
	return t;
}

/* ---- running a tool */

static char *in_folder(const char *name)
{
	size_t n = strlen(folder) + strlen(name) + 2;
	char *path = grown(NULL, n);

	snprintf(path, n, "%s/%s", folder, name);
	return path;
}

static void limit(int what, rlim_t most)
{
	struct rlimit r = { most, most };

	setrlimit(what, &r);
}

static void become(const char *command, const char *mutant, const char *mate)
{
	int in = open("/dev/null", O_RDONLY), out = open(in_folder("out"), O_WRONLY | O_CREAT | O_TRUNC, 0666);
	int err = open(in_folder("err"), O_WRONLY | O_CREAT | O_TRUNC, 0666);

	if (in < 0 || out < 0 || err < 0 || dup2(in, 0) < 0 || dup2(out, 1) < 0 || dup2(err, 2) < 0)
		_exit(98);
	limit(RLIMIT_CPU, CPU_SECONDS);
	limit(RLIMIT_FSIZE, OUTPUT_MOST);
	limit(RLIMIT_CORE, 0);
	if (memory)
		limit(RLIMIT_AS, memory);
	setpgid(0, 0);
	alarm(WALL_SECONDS);
	execl("/bin/sh", "sh", "-c", command, "sh", mutant, mate, (char *)NULL);
	_exit(98);
}

/* The status that waitpid() gives. */
static int run(const char *command, const char *mutant, const char *mate)
{
	pid_t pid = fork();
	int status;

	if (pid < 0)
		stop("fork");
	if (pid == 0)
		become(command, mutant, mate);
	while (waitpid(pid, &status, 0) < 0)
		;
	return status;
}

static bool holds(const struct text *t, const char *words)
{
	size_t n = strlen(words);

	for (size_t i = 0; i + n <= t->n; i++)
		if (t->p[i] == *words && memcmp(t->p + i, words, n) == 0)
			return true;
	return false;
}

/* What is wrong with how it ended, or NULL. */
static const char *judge(int status)
{
	static const char END[] = "#! incomplete\n";
	static struct text out, err;
	static char words[64];

	if (!read_file(in_folder("out"), &out) || !read_file(in_folder("err"), &err))
		stop(folder);
	if (WIFSIGNALED(status)) {
		bool late = WTERMSIG(status) == SIGALRM || WTERMSIG(status) == SIGXCPU || WTERMSIG(status) == SIGKILL;

		snprintf(words, sizeof words, late ? "takes too long (signal %d)" : "ended by signal %d", WTERMSIG(status));
		return words;
	}
	if (holds(&err, "Sanitizer") || holds(&err, "runtime error:"))
		return "the sanitizer";
	if (WEXITSTATUS(status) > 2) {
		snprintf(words, sizeof words, "status %d", WEXITSTATUS(status));
		return words;
	}
	if (WEXITSTATUS(status) == 2 && out.n && (out.n < sizeof END - 1 || memcmp(out.p + out.n - (sizeof END - 1), END, sizeof END - 1) != 0))
		return "status 2 and an output without its end mark";
	return NULL;
}

static void print_command(const char *command, const char *mutant, const char *mate)
{
	printf("bin=%s ", getenv("bin"));
	for (const char *p = command + (strncmp(command, "exec ", 5) ? 0 : 5); *p; p++) {
		if (strncmp(p, "$1", 2) == 0 || strncmp(p, "$2", 2) == 0)
			fputs(*++p == '1' ? mutant : mate, stdout);
		else if (strncmp(p, "$bin", 4) == 0) {
			fputs(getenv("bin"), stdout);
			p += 3;
		} else
			putchar(*p);
	}
}

/* One mutant, one call. Whether it went well. */
static bool try(uint64_t seed, uint64_t i)
{
	const struct call *call;
	const struct source *s;
	struct text t;
	const char *wrong;
	char name[64], *path = in_folder("mutant");

	state = seed * 0x2545f4914f6cdd1du + i;
	call = &calls[below(ncalls)];
	s = some_source(call->kind);
	t = mutant_of(s);
	write_file(path, &t);
	wrong = judge(run(call->command, path, s->mate));
	if (wrong) {
		snprintf(name, sizeof name, "%llu-%llu.%s", (unsigned long long)seed, (unsigned long long)i, call->kind);
		write_file(in_folder(name), &t);
		printf("%s: ", wrong);
		print_command(call->command, in_folder(name), s->mate);
		printf("\n");
		fflush(stdout);
	}
	free(path);
	free(t.p);
	return !wrong;
}

/* ---- what there is */

/* The next word of a line, which is cut off; the rest for the last one. */
static char *word(char **rest, bool last)
{
	char *p = *rest + strspn(*rest, " \t"), *end = p + strcspn(p, last ? "\n" : " \t\n");

	*rest = end + (*end != '\0');
	*end = '\0';
	return strcpy(grown(NULL, strlen(p) + 1), p);
}

/* Hands on every line of a file but remarks and empty ones. */
static void each_line(const char *path, void (*take)(char *line))
{
	FILE *f = fopen(path, "r");
	char line[4096];

	if (!f)
		stop(path);
	while (fgets(line, sizeof line, f))
		if (*line != '#' && *line != '\n')
			take(line);
	fclose(f);
}

static void add_source(char *line)
{
	struct source s = { 0 };

	s.kind = word(&line, false);
	s.path = word(&line, false);
	s.mate = word(&line, true);
	if (!read_file(s.path, &s.text))
		stop(s.path);
	sources = grown(sources, (nsources + 1) * sizeof *sources);
	sources[nsources++] = s;
}

static void add_call(char *line)
{
	calls = grown(calls, (ncalls + 1) * sizeof *calls);
	calls[ncalls].kind = word(&line, false);
	calls[ncalls++].command = word(&line, true);
}

static double seconds_now(void)
{
	struct timespec t;

	clock_gettime(CLOCK_MONOTONIC, &t);
	return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

int main(int argc, char **argv)
{
	uint64_t seed, most, i = 0, failed = 0;
	double end;

	if (argc != 8 || !getenv("bin")) {
		fputs("usage: fuzz SECONDS SEED MUTANTS FOLDER MEGABYTES SOURCES CALLS (and $bin)\n", stderr);
		return 2;
	}
	seed = strtoull(argv[2], NULL, 10);
	most = strtoull(argv[3], NULL, 10);
	folder = argv[4];
	memory = (rlim_t)strtoull(argv[5], NULL, 10) << 20;
	each_line(argv[6], add_source);
	each_line(argv[7], add_call);
	end = seconds_now() + strtod(argv[1], NULL);
	for (; seconds_now() < end && failed < FAILURES_MOST && (!most || i < most); i++)
		failed += !try(seed, i);
	printf("%llu mutants, %llu failed\n", (unsigned long long)i, (unsigned long long)failed);
	return failed > 0;
}
