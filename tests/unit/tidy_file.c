/* tidy_file.c: files read, compared and replaced; what cannot be read stays, and is counted. */
#include <stdlib.h>
#include <unistd.h>

#include "base/atomic_write.h"
#include "book/diag.h"
#include "book/parse.h"
#include "book/tidy_file.h"
#include "check.h"

static struct vocab vocab;
static struct diags diags;
static struct parser parser;

#define FIRST "2026-06-01       fell    T061   girth=900mm\n"
#define SECOND "2026-06-02       move    L1     count=3 into=yard\n"
#define MIXED "2026-06-02 move L1 into=yard count=3\r\n2026-06-01 fell T061 girth=900mm"

static void write_file(const char *path, const char *text)
{
	FILE *f = fopen(path, "wb");

	CHECK(f && fwrite(text, 1, strlen(text), f) == strlen(text));
	CHECK(f && fclose(f) == 0);
}

static void check_file(const char *path, const char *want)
{
	char text[400];
	FILE *f = fopen(path, "rb");
	size_t n = f ? fread(text, 1, sizeof text, f) : 0;

	CHECK_TEXT(((struct slice){ text, n }), want);
	if (f)
		fclose(f);
}

static void files_are_replaced(const char *path)
{
	struct tidy_file f;

	tidy_file_init(&f, &parser, false);
	write_file(path, MIXED);
	CHECK_INT(tidy_file_replace(&f, path, 0), 0);
	check_file(path, FIRST SECOND);
	CHECK_INT(f.unread, 0);
	CHECK_INT(diags.n, 1); /* the last line has no end */
	write_file(path, "2026-06-02 move\n2026-06-01 fell T061 girth=900mm\n");
	CHECK_INT(tidy_file_replace(&f, path, 0), 0);
	check_file(path, "2026-06-02 move\n" FIRST);
	CHECK_INT(f.unread, 1);
	unlink(path);
	CHECK(tidy_file_replace(&f, path, 0) != 0);
	CHECK(tidy_file_replace(&f, "/", 0) == ATOMIC_WRITE_NOT_REGULAR);
	tidy_file_release(&f);
}

static void order_is_kept_when_asked(const char *path)
{
	struct tidy_file f;

	tidy_file_init(&f, &parser, true);
	write_file(path, MIXED);
	CHECK_INT(tidy_file_replace(&f, path, 0), 0);
	check_file(path, SECOND FIRST);
	unlink(path);
	tidy_file_release(&f);
}

static void a_diff_has_what_changes(void)
{
	struct buf out = BUF_INIT;
	struct tidy_file f;

	tidy_file_init(&f, &parser, false);
	tidy_file_arrange(&f, SLICE(FIRST SECOND), 0);
	tidy_file_diff(&f, SLICE("b.wy"), &out);
	CHECK_TEXT(buf_slice(&out), "");
	tidy_file_arrange(&f, SLICE(SECOND FIRST), 0);
	tidy_file_diff(&f, SLICE("b.wy"), &out);
	CHECK_TEXT(buf_slice(&out), "--- b.wy\n+++ b.wy\n@@ -1,2 +1,2 @@\n+" FIRST " " SECOND "-" FIRST);
	buf_release(&out);
	tidy_file_release(&f);
}

int main(void)
{
	const char *tmp = getenv("TMPDIR");
	char folder[150], path[200];

	snprintf(folder, sizeof folder, "%s/withy-unit-XXXXXX", tmp && *tmp ? tmp : P_tmpdir);
	if (!mkdtemp(folder)) {
		perror("mkdtemp");
		return 1;
	}
	snprintf(path, sizeof path, "%s/book.wy", folder);
	vocab_init(&vocab);
	diags_init(&diags);
	parser_init(&parser, &vocab, &diags);
	files_are_replaced(path);
	order_is_kept_when_asked(path);
	a_diff_has_what_changes();
	rmdir(folder);
	parser_release(&parser);
	diags_release(&diags);
	return check_end();
}
