#include "cli/progress.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

static const double FIRST_S = 1;   /* work as short as that shows nothing */
static const double AGAIN_S = 0.2; /* the line changes no faster */

enum { BYTES_A_MB = 1000000, LINE_MOST = 80 };

static enum { NOT_KNOWN, WANTED, UNWANTED } wanted;
static double start_s, shown_s;
static size_t shown;               /* bytes of the line that is on the terminal */

static double clock_s(void)
{
	struct timespec now;

	clock_gettime(CLOCK_MONOTONIC, &now);
	return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

static bool is_pipe(int fd)
{
	struct stat st;

	return fstat(fd, &st) == 0 && (S_ISFIFO(st.st_mode) || S_ISSOCK(st.st_mode));
}

bool progress_is_wanted(void)
{
	if (wanted == NOT_KNOWN) {
		wanted = isatty(STDERR_FILENO) && !is_pipe(STDOUT_FILENO) ? WANTED : UNWANTED;
		start_s = clock_s();
	}
	return wanted == WANTED;
}

/* Whether it is time for a line. */
static bool is_due(void)
{
	double now_s;

	if (!progress_is_wanted())
		return false;
	now_s = clock_s();
	if (now_s - start_s < FIRST_S || now_s - shown_s < AGAIN_S)
		return false;
	shown_s = now_s;
	return true;
}

/* Writes over the line before; blanks cover what was longer. */
static void show(const char *line)
{
	size_t n = strlen(line);
	int blanks = shown > n ? (int)(shown - n) : 0;

	fprintf(stderr, "\r%s%*s", line, blanks, "");
	fflush(stderr);
	shown = n;
}

void progress_bytes(uint64_t done, uint64_t all)
{
	char line[LINE_MOST];

	if (!is_due())
		return;
	if (all)
		snprintf(line, sizeof line, "reading the book: %.0f %%", 100 * (double)(done < all ? done : all) / (double)all);
	else
		snprintf(line, sizeof line, "reading: %llu MB", (unsigned long long)(done / BYTES_A_MB));
	show(line);
}

void progress_count(const char *things, size_t done, size_t all)
{
	char line[LINE_MOST];

	if (!is_due())
		return;
	snprintf(line, sizeof line, "%s: %zu of %zu done", things, done, all);
	show(line);
}

void progress_clear(void)
{
	if (shown)
		fprintf(stderr, "\r%*s\r", (int)shown, "");
	shown = 0;
}

void progress_output(void)
{
	progress_clear();
	if (isatty(STDOUT_FILENO))
		wanted = UNWANTED;
}
