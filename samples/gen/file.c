#include <stdio.h>
#include <sys/stat.h>

#include "base/text.h"
#include "shelf.h"

void file_write(const char *dir, const char *name, const struct buf *text)
{
	char path[4096];
	FILE *f;

	if (snprintf(path, sizeof path, "%s/%s", dir, name) >= (int)sizeof path)
		stop("%s: too long a name", dir);
	f = fopen(path, "wb");
	if (!f)
		stop("%s: cannot be written", path);
	if (fwrite(text->p, 1, text->n, f) != text->n || fclose(f) != 0)
		stop("%s: was not written in full", path);
}

void folder_make(const char *dir, const char *name)
{
	char path[4096];
	struct stat st;

	if (snprintf(path, sizeof path, "%s/%s", dir, name) >= (int)sizeof path)
		stop("%s: too long a name", dir);
	mkdir(path, 0777);
	if (stat(path, &st) != 0 || !S_ISDIR(st.st_mode))
		stop("%s: no such folder, and it cannot be made", path);
}
