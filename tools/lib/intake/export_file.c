#include "intake/export_file.h"

#include <errno.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

int export_open(const char *path, const char **why)
{
	struct stat st;
	int fd = strcmp(path, "-") == 0 ? STDIN_FILENO : open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY);

	if (fd < 0 || fstat(fd, &st) < 0)
		*why = strerror(errno);
	else if (S_ISDIR(st.st_mode))
		*why = "it is a directory";
	else
		return fd;
	if (fd >= 0)
		export_close(fd);
	return -1;
}

void export_close(int fd)
{
	if (fd != STDIN_FILENO)
		close(fd);
}
