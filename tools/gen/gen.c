#include <ctype.h>

#include "base/yaml.h"
#include "gen.h"

static const char *file;
static struct yaml_doc *open_docs[4]; /* kept until the program ends */

_Noreturn void gen_fail(const struct yaml *at, const char *why)
{
	fprintf(stderr, "%s:%zu:%zu: error: %s\n", file, at ? at->line : 1, at ? at->col : 1, why);
	exit(1);
}

struct buf gen_read(const char *path)
{
	struct buf b = BUF_INIT;
	char block[65536];
	FILE *in = fopen(path, "rb");
	size_t n;

	if (!in) {
		perror(path);
		exit(1);
	}
	while ((n = fread(block, 1, sizeof block, in)) > 0)
		buf_add(&b, (struct slice){ block, n });
	fclose(in);
	return b;
}

const struct yaml *gen_open(int argc, char **argv)
{
	static size_t n;
	struct yaml_error error;
	struct yaml_doc *doc;
	struct buf text;

	if (argc != 3) {
		fprintf(stderr, "usage: %s WHAT FILE\n", argv[0]);
		exit(1);
	}
	file = argv[2];
	text = gen_read(file);
	doc = yaml_read(buf_slice(&text), &error);
	buf_release(&text);
	if (!doc) {
		fprintf(stderr, "%s:%zu:%zu: error: %s\n", file, error.line, error.col, error.text);
		exit(1);
	}
	open_docs[n++ % 4] = doc;
	return yaml_root(doc);
}

int gen_close(void)
{
	return fflush(stdout) || ferror(stdout) ? 1 : 0;
}

const struct yaml *gen_need(const struct yaml *map, const char *key)
{
	const struct yaml *y = yaml_get(map, key);
	char why[100];

	if (!y) {
		snprintf(why, sizeof why, "'%s' is missing", key);
		gen_fail(map, why);
	}
	return y;
}

void gen_known(const struct yaml *map, const char *const *keys)
{
	for (size_t i = 0; i < map->n; i++) {
		int k = 0;

		while (keys[k] && !slice_eq(slice_of(keys[k]), map->key[i].text))
			k++;
		if (!keys[k])
			gen_fail(&map->key[i], "unknown key");
	}
}

bool gen_yes(const struct yaml *scalar)
{
	return gen_word(scalar, (const char *const[]){ "no", "yes", NULL }) == 1;
}

int gen_index(const struct yaml *map, const struct yaml *name)
{
	for (size_t i = 0; i < map->n; i++)
		if (slice_eq(map->key[i].text, name->text))
			return (int)i;
	gen_fail(name, "not defined");
}

int gen_word(const struct yaml *scalar, const char *const *words)
{
	for (int i = 0; words[i]; i++)
		if (slice_eq(slice_of(words[i]), scalar->text))
			return i;
	gen_fail(scalar, "not one of the words allowed here");
}

static struct buf *next_buf(void)
{
	static struct buf ring[8];
	static int at;
	struct buf *b = &ring[at = (at + 1) % 8];

	b->n = 0;
	return b;
}

const char *gen_upper(struct slice s)
{
	struct buf *b = next_buf();

	for (size_t i = 0; i < s.n; i++)
		buf_char(b, s.p[i] == '-' ? '_' : (char)toupper((unsigned char)s.p[i]));
	return buf_cstr(b);
}

const char *gen_quote(struct slice s)
{
	struct buf *b = next_buf();

	buf_char(b, '"');
	for (size_t i = 0; i < s.n; i++) {
		if (s.p[i] == '\n') {
			buf_str(b, "\\n");
			continue;
		}
		if (s.p[i] == '"' || s.p[i] == '\\')
			buf_char(b, '\\');
		buf_char(b, s.p[i]);
	}
	buf_char(b, '"');
	return buf_cstr(b);
}

const char *gen_cstr(struct slice s)
{
	struct buf *b = next_buf();

	buf_add(b, s);
	return buf_cstr(b);
}
