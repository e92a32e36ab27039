#include "house/house_open.h"

#include <stdlib.h>
#include <sys/stat.h>

#include "base/pattern.h"
#include "house/house_internal.h"

enum { FOLDERS_MOST = 100 };

/* ---- reading */

struct house *house_read(struct slice text, house_tell *tell, void *arg)
{
	struct house *house = mem_zeroed(1, sizeof *house);
	struct house_loader l = { .house = house, .tell = tell, .arg = arg };
	struct yaml_error error;

	house->private = mem_zeroed(1, sizeof *house->private);
	house->private->doc = yaml_read(text, &error);
	if (!house->private->doc)
		house_fail(&l, error.line, error.col, slice_of(error.text));
	house_fill(&l, house->private->doc ? yaml_root(house->private->doc) : NULL);
	house_enter_all(house);
	house_check(&l);
	buf_release(&l.text);
	buf_release(&l.mend);
	return house;
}

void house_free(struct house *house)
{
	struct house_private *private;

	if (!house)
		return;
	private = house->private;
	for (size_t i = 0; i < private->nblocks; i++)
		free(private->block[i]);
	for (int i = 0; i < HOUSE_IDS_END; i++)
		pattern_free(private->compiled[i]);
	yaml_doc_free(private->doc);
	free(private->block);
	free(private->entry);
	hash_index_release(&private->index);
	free(private);
	free(house);
}

/* ---- patterns of ids */

static void compile_one(struct house_loader *l, const struct house_pattern *p, struct pattern **compiled)
{
	struct pattern_error error;
	struct slice from;

	if (*compiled || !p->source.n)
		return;
	*compiled = pattern_compile(p->source, PATTERN_WHOLE, &error);
	if (*compiled)
		return;
	from = slice_from(p->source, error.at < p->source.n ? error.at : p->source.n);
	if (from.n)
		HOUSE_WRONG(l, PROBLEM_PATTERN, p->node, "the pattern has an error at '$1': $2", "correct it; see pcre2pattern(3)", from, slice_of(error.text));
	else
		HOUSE_WRONG(l, PROBLEM_PATTERN, p->node, "the pattern has an error at its end: $1", "correct it; see pcre2pattern(3)", slice_of(error.text));
}

void house_compile(struct house *house, house_tell *tell, void *arg)
{
	struct house_loader l = { .house = house, .tell = tell, .arg = arg };

	for (size_t i = 0; i < house->nids; i++)
		compile_one(&l, &house->ids[i], &house->private->compiled[house_ids_kind(house->ids[i].id)]);
	buf_release(&l.text);
	buf_release(&l.mend);
}

struct slice house_pattern_source(const struct house *house, int kind)
{
	for (size_t i = 0; i < house->nids; i++)
		if (house_ids_kind(house->ids[i].id) == kind)
			return house->ids[i].source;
	return SLICE("");
}

/* ---- finding the file */

static bool is_file(const char *path)
{
	struct stat st;

	return stat(path, &st) == 0 && !S_ISDIR(st.st_mode);
}

static bool is_same_folder(const char *a, const char *b)
{
	struct stat x, y;

	return stat(a, &x) != 0 || stat(b, &y) != 0 || (x.st_dev == y.st_dev && x.st_ino == y.st_ino);
}

/* From the folder that `up` holds it goes up by ../ until that leads nowhere: at the root, `..` is the root itself. */
static char *find_above(struct slice folder)
{
	struct buf up = BUF_INIT, path = BUF_INIT, next = BUF_INIT;
	char *found = NULL;

	buf_add(&up, folder);
	for (int i = 0; !found && i < FOLDERS_MOST; i++) {
		path.n = next.n = 0;
		buf_printf(&path, "%shouse.yaml", buf_cstr(&up));
		if (is_file(buf_cstr(&path)))
			found = mem_copy(path.p, path.n);
		buf_printf(&next, "%s../", buf_cstr(&up));
		if (is_same_folder(up.n ? buf_cstr(&up) : ".", buf_cstr(&next)))
			break;
		buf_str(&up, "../");
	}
	buf_release(&up);
	buf_release(&path);
	buf_release(&next);
	return found;
}

char *house_find(const char *option, const char *near)
{
	const char *named = option ? option : getenv("WITHY_HOUSE"), *last = near ? strrchr(near, '/') : NULL;

	if (named && (option || *named))
		return mem_copy(named, strlen(named));
	return find_above(last ? slice_between(near, last + 1) : SLICE(""));
}

void house_beside(struct buf *path, const char *house_path, struct slice file)
{
	const char *last = strrchr(house_path, '/');

	if (last && !slice_starts(file, SLICE("/")))
		buf_add(path, (struct slice){ house_path, (size_t)(last - house_path) + 1 });
	buf_add(path, file);
}
