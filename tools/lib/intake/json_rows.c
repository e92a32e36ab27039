#include "intake/json_rows.h"

#include "intake/mapping.h"

bool json_rows_is(struct slice head)
{
	if (slice_starts(head, SLICE("\xef\xbb\xbf")))
		head = slice_from(head, 3);
	for (int wanted = 0; head.n; head = slice_from(head, 1)) {
		char c = head.p[0];

		if (c == ' ' || c == '\t' || c == '\r' || c == '\n')
			continue;
		if (wanted)
			return c == '"' || c == '}';
		if (c != '{')
			return false;
		wanted++;
	}
	return false;
}

void json_rows_init(struct json_rows *j, const struct mapping *m)
{
	*j = (struct json_rows){ .m = m };
	j->cell = mem_zeroed(m->ncolumns, sizeof *j->cell);
	j->at = mem_zeroed(m->ncolumns, sizeof *j->at);
	j->seen = mem_zeroed(m->ncolumns, sizeof *j->seen);
}

void json_rows_release(struct json_rows *j)
{
	free(j->cell);
	free(j->at);
	free(j->seen);
	buf_release(&j->text);
}

static bool is_time(const struct mapping *m, size_t column)
{
	for (size_t i = 0; i < m->ntime; i++)
		if (m->time_column[i] == (int)column)
			return true;
	return false;
}

/* Numbers get the decimal mark of the mapping's other numbers. */
static void add_leaf(struct json_rows *j, size_t i, const struct json_leaf *leaf)
{
	size_t at = j->text.n;

	if (leaf->kind != JSON_NULL)
		buf_add(&j->text, leaf->text);
	for (size_t k = at; leaf->kind == JSON_NUMBER && !is_time(j->m, i) && k < j->text.n; k++)
		if (j->text.p[k] == '.')
			j->text.p[k] = j->m->numbers.decimal;
	j->at[i] = at;
	j->cell[i] = (struct csv_cell){ { NULL, j->text.n - at }, (uint32_t)leaf->col, leaf->kind == JSON_STRING };
	j->seen[i] = true;
}

static void take_leaf(void *arg, const struct json_leaf *leaf)
{
	struct json_rows *j = arg;

	for (size_t i = 0; i < j->m->ncolumns; i++) {
		if (!slice_eq(j->m->column[i].name, leaf->key))
			continue;
		if (j->at[i] != SIZE_MAX && j->twice == SIZE_MAX)
			j->twice = i;
		add_leaf(j, i, leaf);
	}
}

bool json_rows_read(struct json_rows *j, struct slice line, struct json_error *error)
{
	j->text.n = 0;
	j->twice = SIZE_MAX;
	for (size_t i = 0; i < j->m->ncolumns; i++) {
		j->at[i] = SIZE_MAX;
		j->cell[i] = (struct csv_cell){ { "", 0 }, 1, false };
	}
	if (!json_read(line, take_leaf, j, error))
		return false;
	for (size_t i = 0; i < j->m->ncolumns; i++)
		j->cell[i].text.p = j->at[i] == SIZE_MAX || !j->cell[i].text.n ? "" : j->text.p + j->at[i];
	j->objects++;
	if (j->twice == SIZE_MAX)
		return true;
	*error = (struct json_error){ j->cell[j->twice].col, "the key of this value is in the line twice" };
	return false;
}

size_t json_rows_missing(const struct json_rows *j)
{
	for (size_t i = 0; j->objects && i < j->m->ncolumns; i++)
		if (!j->seen[i])
			return i;
	return SIZE_MAX;
}
