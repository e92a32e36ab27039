#include "house/house_keys_internal.h"

#define SLICE_ROW(literal) { literal, sizeof(literal) - 1 }

#include "house_tables.h"

static void read_record(struct house_loader *l, const struct house_record *record, const struct yaml *node, struct slice name, char *out);
static void set_defaults(const struct house_record *record, char *out);

static void set_default(const struct house_key *key, void *out)
{
	if (key->is != IS_RECORD)
		house_value_default(key, out);
	else if (key->as == AS_ONE)
		set_defaults(&RECORDS[key->record], out);
}

static void set_defaults(const struct house_record *record, char *out)
{
	for (size_t i = 0; i < record->nkeys; i++)
		set_default(&record->key[i], out + record->key[i].at);
}

/* The start of every row, whatever its struct is; rows are written by offset, as bytes are. */
struct house_row {
	HOUSE_ROW;
};

static void set_id(char *row, struct slice id)
{
	memcpy(row + offsetof(struct house_row, id), &id, sizeof id);
}

static void begin_row(const struct house_record *record, char *row, const struct yaml *at, const struct yaml *node)
{
	set_defaults(record, row);
	memcpy(row + offsetof(struct house_row, at), &at, sizeof at);
	memcpy(row + offsetof(struct house_row, node), &node, sizeof node);
}

static void read_value(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out);

/* A single value where a list is wanted: one row with that key alone. */
static void read_short(struct house_loader *l, const struct house_key *key, const struct yaml *node, char *at, size_t *n)
{
	const struct house_record *record = &RECORDS[key->record];
	struct house_key one = record->key[record->short_key];
	char *row = house_take(l->house, 1, record->size);

	one.name = key->name;
	memcpy(at, &row, sizeof row);
	*n = 1;
	begin_row(record, row, NULL, node);
	read_value(l, &one, node, row + one.at);
}

static void read_rows_of_list(struct house_loader *l, const struct house_key *key, const struct yaml *node, char *at, size_t *n)
{
	const struct house_record *record = &RECORDS[key->record];
	char *row;

	if (record->short_key >= 0 && node->kind == YAML_SCALAR) {
		read_short(l, key, node, at, n);
		return;
	}
	if (!house_want_kind(l, node, YAML_LIST, key->name))
		return;
	*n = node->n;
	row = house_take(l->house, node->n, record->size);
	memcpy(at, &row, sizeof row);
	for (size_t i = 0; i < node->n; i++, row += record->size) {
		begin_row(record, row, NULL, &node->item[i]);
		read_record(l, record, &node->item[i], key->name, row);
	}
}

static bool check_place_id(struct house_loader *l, const struct yaml *at)
{
	size_t stroke = slice_find(at->text, '/');

	if (house_is_id(slice_upto(at->text, stroke)) && (stroke == at->text.n || house_is_id(slice_from(at->text, stroke + 1))))
		return true;
	HOUSE_WRONG(l, PROBLEM_ID, at, "'$1' is not a valid place", "use only ASCII letters, digits, - and _, and one slash before a bay", at->text);
	return false;
}

static bool has_letter(struct slice s)
{
	for (size_t i = 0; i < s.n; i++)
		if ((unsigned char)((s.p[i] | 32) - 'a') < 26)
			return true;
	return false;
}

static bool check_type_id(struct house_loader *l, const struct yaml *at)
{
	if (!house_check_id(l, at))
		return false;
	if (!has_letter(at->text))
		HOUSE_WRONG(l, PROBLEM_TYPE_LETTER, at, "the type '$1' has no letter, so it looks like a count", "add a letter, as in S$1", at->text);
	return true;
}

static bool check_word_id(struct house_loader *l, const struct house_key *key, const struct yaml *at)
{
	if (house_word_index(key->words, key->nwords, at->text) >= 0)
		return true;
	house_wrong_word(l, at, key->words, key->nwords, key->name);
	return false;
}

static bool check_row_id(struct house_loader *l, const struct house_key *key, const struct yaml *at)
{
	struct slice form;

	switch (key->id) {
	case ID_FORM:
		return house_read_form(l, key, at, &form);
	case ID_WORDS:
		return check_word_id(l, key, at);
	case ID_LABEL:
		return at->text.n == 0 || (house_check_quoted(l, key, at) && house_check_id(l, at));
	case ID_PLACE:
		return house_check_quoted(l, key, at) && check_place_id(l, at);
	case ID_TYPE:
		return house_check_quoted(l, key, at) && check_type_id(l, at);
	default:
		return house_check_quoted(l, key, at) && house_check_id(l, at);
	}
}

static void read_bare(struct house_loader *l, const struct house_record *record, const struct yaml *at, const struct yaml *node, char *row)
{
	struct house_key key = record->key[0];

	key.name = at->text;
	read_value(l, &key, node, row + key.at);
}

static void read_rows_of_map(struct house_loader *l, const struct house_key *key, const struct yaml *node, char *at, size_t *n)
{
	const struct house_record *record = &RECORDS[key->record];
	char *row;

	if (!house_want_kind(l, node, YAML_MAP, key->name))
		return;
	row = house_take(l->house, node->n, record->size);
	memcpy(at, &row, sizeof row);
	for (size_t i = 0; i < node->n; i++) {
		bool good = check_row_id(l, key, &node->key[i]);

		begin_row(record, row, &node->key[i], &node->item[i]);
		set_id(row, node->key[i].text);
		if (record->bare)
			read_bare(l, record, &node->key[i], &node->item[i], row);
		else
			read_record(l, record, &node->item[i], node->key[i].text, row);
		if (good) {
			*n += 1;
			row += record->size;
		} else {
			memset(row, 0, record->size);
		}
	}
}

static void read_one_record(struct house_loader *l, const struct house_key *key, const struct yaml *node, char *out)
{
	if (node->kind == YAML_MAP)
		memcpy(out, &node, sizeof node); /* the first member of such a struct */
	read_record(l, &RECORDS[key->record], node, key->name, out);
}

static void read_value(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	if (key->is == IS_RECORD)
		read_one_record(l, key, node, out);
	else
		house_value_read(l, key, node, out);
}

static void read_key(struct house_loader *l, const struct house_key *key, const struct yaml *node, char *row)
{
	char *at = row + key->at;
	void *count = row + key->count_at;

	if (house_is_nothing(node))
		return;
	if (key->as == AS_LIST)
		read_rows_of_list(l, key, node, at, count);
	else if (key->as == AS_MAP)
		read_rows_of_map(l, key, node, at, count);
	else
		read_value(l, key, node, at);
}

static const struct house_key *key_named(const struct house_record *record, struct slice name)
{
	for (size_t i = 0; i < record->nkeys; i++)
		if (slice_eq(record->key[i].name, name))
			return &record->key[i];
	return NULL;
}

/* The root has no name. */
static const char *in_what(struct slice name, const char *text)
{
	return name.n ? text : "'$1' is not a key of the house file";
}

static void wrong_key(struct house_loader *l, const struct house_record *record, const struct yaml *at, struct slice name)
{
	struct nearest near = nearest_to(at->text);

	if (l->told > HOUSE_PROBLEMS_MOST)
		return;
	for (size_t i = 0; i < record->nkeys; i++)
		nearest_try(&near, record->key[i].name);
	if (near.best.n)
		HOUSE_WRONG(l, PROBLEM_KEY_UNKNOWN, at, in_what(name, "'$1' is not a key of '$2'"), "perhaps '$3'?", at->text, name, near.best);
	else
		HOUSE_WRONG(l, PROBLEM_KEY_UNKNOWN, at, in_what(name, "'$1' is not a key of '$2'"),
			"remove it, or make it a comment; house(5) lists the keys", at->text, name);
}

static void check_needed(struct house_loader *l, const struct house_record *record, const struct yaml *node, struct slice name)
{
	for (size_t i = 0; i < record->nkeys; i++) {
		const struct house_key *key = &record->key[i];
		bool stands = false;

		for (size_t k = 0; key->needed && k < node->n; k++)
			stands |= slice_eq(node->key[k].text, key->name) && !house_is_nothing(&node->item[k]);
		if (key->needed && !stands)
			HOUSE_WRONG(l, PROBLEM_KEY_MISSING, node, "'$2' is missing in '$1'", "add $2: with its value", name, key->name);
	}
}

/* `out` has its defaults already. */
static void read_record(struct house_loader *l, const struct house_record *record, const struct yaml *node, struct slice name, char *out)
{
	if (!house_want_kind(l, node, YAML_MAP, name))
		return;
	for (size_t i = 0; i < node->n; i++) {
		const struct house_key *key = key_named(record, node->key[i].text);

		if (key)
			read_key(l, key, &node->item[i], out);
		else
			wrong_key(l, record, &node->key[i], name);
	}
	check_needed(l, record, node, name);
}

void house_fill(struct house_loader *l, const struct yaml *root)
{
	char *house = (void *)l->house;

	set_defaults(&RECORDS[0], house);
	l->house->node = root;
	if (root && root->kind == YAML_MAP)
		read_record(l, &RECORDS[0], root, SLICE(""), house);
	else if (root)
		HOUSE_WRONG(l, PROBLEM_KIND, root, "the file is $1", "write a mapping, such as works: NAME", slice_of(house_kind_word(root)));
}

int house_ids_kind(struct slice word)
{
	return house_word_index(WORDS_HOUSE_IDS, HOUSE_IDS_END, word);
}
