#include "intake/mapping_internal.h"

static const char *const root_keys[] = { "file", "time", "entries", NULL };

bool mapping_read(struct mapping *m, struct slice bytes, const struct vocab *vocab, struct yaml_error *error)
{
	struct map_reader r = { m, vocab, error, false };
	const struct yaml *root;

	*m = (struct mapping){ .style = { ",", 1, '"', CSV_UTF8 }, .numbers = { '.', { "", 0 } }, .header = 1,
		.first_row = 1, .first_col = 1 };
	m->doc = yaml_read(bytes, error);
	if (!m->doc)
		return false;
	root = yaml_root(m->doc);
	if (map_only_keys(&r, root, "a mapping", root_keys) && map_read_file(&r, yaml_get(root, "file")) && map_read_time(&r, root) &&
	    map_read_entries(&r, root))
		return true;
	mapping_release(m);
	return false;
}
