#include "base/nameless_file.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "base/hold_signals.h"
#include "base/text.h"

int nameless_file(void)
{
	const char *folder = getenv("TMPDIR");
	struct buf name = BUF_INIT;
	sigset_t was;
	int fd, error;

	buf_str(&name, folder && *folder ? folder : P_tmpdir);
	buf_str(&name, "/wy-XXXXXX");
	buf_cstr(&name);
	hold_signals(&was);
	fd = mkstemp(name.p);
	error = errno;
	if (fd >= 0)
		unlink(name.p);
	let_signals(&was);
	buf_release(&name);
	errno = error;
	return fd;
}
