#include "intake/intake_files.h"

#include "intake/export_file.h"
#include "intake/mapping.h"

static bool open_next(struct intake_files *f, struct intake *run)
{
	f->to = f->join ? f->n : f->from + 1;
	for (size_t i = f->from; i < f->to; i++) {
		uint32_t map = f->join ? (uint32_t)i : f->map_of ? f->map_of[i] : 0;
		int fd = export_open(f->path[i], &f->why);

		if (fd < 0) {
			f->failed = i;
			return false;
		}
		intake_add(run, &f->map[map], map, fd, (uint32_t)i);
	}
	return true;
}

enum intake_state intake_files_step(struct intake_files *f, struct intake *run, struct buf *out)
{
	enum intake_state state;

	if (f->from == f->to && !open_next(f, run))
		return INTAKE_NO_OPEN;
	state = intake_step(run, out);
	if (state == INTAKE_NO_READ) {
		f->failed = intake_file(run);
		f->why = csv_error(intake_errno(run));
	}
	if (state != INTAKE_DONE)
		return state;
	f->from = f->to;
	intake_close(run, f->to == f->n);
	return f->to == f->n ? INTAKE_DONE : INTAKE_MORE;
}
