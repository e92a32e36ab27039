#include "table/partial.h"

#include "math/stats.h"
#include "table/group.h"
#include "table/table.h"

/* So many readings of 2^23 at most keep every product in 128 bits. */
#define PARTIAL_READINGS_MOST ((int64_t)1 << 40)

enum { COL_SET, COL_KEY, COL_WHAT, COL_N, COL_SUM, COL_SQUARES, COL_LEAST, COL_MOST, COL_LEAST_WHO, COL_MOST_WHO, COLS };

static const struct table_column COLUMNS[COLS] = {
	{ "set", TABLE_TEXT, 0, NULL }, { "key", TABLE_TEXT, 0, NULL }, { "what", TABLE_TEXT, 0, NULL }, { "n", TABLE_INT, 0, NULL },
	{ "sum", TABLE_TEXT, 0, NULL }, { "squares", TABLE_TEXT, 0, NULL }, { "least", TABLE_INT, 0, NULL }, { "most", TABLE_INT, 0, NULL },
	{ "least_who", TABLE_TEXT, 0, NULL }, { "most_who", TABLE_TEXT, 0, NULL },
};

/* ---- writing */

static void add_int128(struct buf *out, int128 v)
{
	char digits[40];
	size_t at = sizeof digits;
	bool minus = v < 0;

	do {
		int digit = (int)(v % 10);

		digits[--at] = (char)('0' + (digit < 0 ? -digit : digit));
		v /= 10;
	} while (v);
	if (minus)
		buf_char(out, '-');
	buf_add(out, (struct slice){ digits + at, sizeof digits - at });
}

static void put_int128(struct table *t, int128 v)
{
	struct buf text = BUF_INIT;

	add_int128(&text, v);
	table_text(t, buf_slice(&text));
	buf_release(&text);
}

static void put_head(struct table *t, const char *set, struct slice key, struct slice what)
{
	table_cstr(t, set);
	table_text(t, key);
	table_text(t, what);
}

static void put_count(struct table *t, const char *set, struct slice key, struct slice what, int64_t n)
{
	put_head(t, set, key, what);
	table_int(t, n);
	table_rest_absent(t);
}

static void put_sums(struct table *t, const struct groups_plan *plan, const struct group *g, struct slice key, size_t i)
{
	const struct sums *s = &g->sums[i];

	put_head(t, plan->name, key, slice_of(plan->sums[i]));
	table_int(t, s->n);
	put_int128(t, s->sum);
	put_int128(t, s->squares);
	table_int(t, s->least);
	table_int(t, s->most);
	if (i < plan->nnamed) {
		table_text(t, buf_slice(&g->ends[i].least));
		table_text(t, buf_slice(&g->ends[i].most));
	} else
		table_rest_absent(t);
}

static void join_keys(struct buf *out, const struct group *g, size_t n)
{
	out->n = 0;
	for (size_t i = 0; i < n; i++) {
		if (i)
			buf_char(out, ' ');
		buf_add(out, g->key[i].n ? g->key[i] : SLICE("-"));
	}
	if (!n)
		buf_char(out, '-');
}

static void put_group(struct table *t, const struct groups_plan *plan, const struct group *g, struct buf *key)
{
	join_keys(key, g, plan->nkeys);
	for (size_t i = 0; i < plan->ncounts; i++)
		if (g->count[i])
			put_count(t, plan->name, buf_slice(key), slice_of(plan->counts[i]), g->count[i]);
	for (size_t i = 0; i < plan->nsums; i++)
		if (g->sums[i].n)
			put_sums(t, plan, g, buf_slice(key), i);
}

void partial_write(const struct partial *s, struct table *t)
{
	struct buf key = BUF_INIT;

	if (s->pack)
		s->pack();
	table_init(t, COLUMNS, COLS);
	buf_int(&key, PARTIAL_VERSION);
	put_head(t, "state", slice_of(s->tool), buf_slice(&key));
	table_rest_absent(t);
	put_head(t, "settings", SLICE("-"), s->settings);
	table_rest_absent(t);
	for (size_t i = 0; i < s->nsets; i++) {
		groups_sort(s->set[i]);
		for (size_t j = 0; j < s->set[i]->n; j++)
			put_group(t, s->set[i]->plan, s->set[i]->list[j], &key);
	}
	put_count(t, "left-out", SLICE("-"), SLICE("-"), (int64_t)s->left_out);
	put_count(t, "end", SLICE("-"), SLICE("-"), (int64_t)table_rows(t) - 1);
	buf_release(&key);
}

/* ---- reading */

struct reading {
	struct partial *state;
	struct slice cell[COLS];
	uint64_t line, rows;      /* rows: since the state's first */
	bool open;                /* within a state */
	struct buf *error;
};

static const char NO_STATE[] = "this is not a state; --merge reads the tsv output of --partial";

static bool wrong(struct reading *r, const char *what)
{
	if (r->line)
		buf_printf(r->error, "line %llu: ", (unsigned long long)r->line);
	buf_str(r->error, what);
	return false;
}

static bool read_int128(struct slice s, int128 *v)
{
	const int128 most = (int128)1 << 122;
	bool minus = s.n && s.p[0] == '-';

	s = slice_from(s, minus);
	*v = 0;
	for (size_t i = 0; i < s.n; i++) {
		if ((unsigned char)(s.p[i] - '0') > 9 || *v > most)
			return false;
		*v = *v * 10 + (s.p[i] - '0');
	}
	if (minus)
		*v = -*v;
	return s.n > 0;
}

bool partial_int(struct slice s, int64_t *v)
{
	int128 w;

	if (!read_int128(s, &w) || w > INT64_MAX || w < INT64_MIN)
		return false;
	*v = (int64_t)w;
	return true;
}

static bool split(struct reading *r, struct slice line)
{
	size_t n = 0;

	for (;; n++) {
		size_t tab = slice_find(line, '\t');

		if (n == COLS)
			return wrong(r, r->open ? "too many cells for a row of a state" : NO_STATE);
		r->cell[n] = slice_upto(line, tab);
		if (tab == line.n)
			break;
		line = slice_from(line, tab + 1);
	}
	return n == COLS - 1 ? true : wrong(r, r->open ? "too few cells for a row of a state" : NO_STATE);
}

static bool is_cell(const struct reading *r, int col, const char *text)
{
	return slice_eq(r->cell[col], slice_of(text));
}

static bool start_state(struct reading *r)
{
	int64_t version;

	if (!is_cell(r, COL_SET, "state"))
		return wrong(r, NO_STATE);
	if (!is_cell(r, COL_KEY, r->state->tool))
		return wrong(r, "this is a state of another filter");
	if (!partial_int(r->cell[COL_WHAT], &version) || version != PARTIAL_VERSION)
		return wrong(r, "this state was written by another version of the filter; make it again");
	r->open = true;
	r->rows = 0;
	return true;
}

static bool check_settings(struct reading *r)
{
	if (slice_eq(r->cell[COL_WHAT], r->state->settings))
		return true;
	buf_printf(r->error, "line %llu: this state was made with ", (unsigned long long)r->line);
	buf_add(r->error, r->cell[COL_WHAT]);
	buf_str(r->error, " and not with ");
	buf_add(r->error, r->state->settings);
	buf_str(r->error, "; use the same options and house file");
	return false;
}

static int named(const char *const *names, size_t n, struct slice name)
{
	for (size_t i = 0; i < n; i++)
		if (slice_eq(name, slice_of(names[i])))
			return (int)i;
	return -1;
}

static bool split_keys(struct reading *r, size_t nkeys, struct slice *key)
{
	struct slice rest = r->cell[COL_KEY];

	if (!nkeys)
		return true;
	for (size_t i = 0; i < nkeys; i++) {
		size_t blank = slice_find(rest, ' ');

		if ((blank == rest.n) != (i + 1 == nkeys))
			return wrong(r, "a row of this state has another number of keys");
		key[i] = slice_upto(rest, blank);
		if (slice_eq(key[i], SLICE("-")))
			key[i].n = 0;
		rest = slice_from(rest, blank + (blank < rest.n));
	}
	return true;
}

/*
 * Numbers that no readings could have given are refused: they are damage, and keep what is reckoned
 * from them within its bounds.
 */
static bool are_sums(const struct sums *s)
{
	const int64_t far = (int64_t)1 << 23;

	return s->n > 0 && s->n <= PARTIAL_READINGS_MOST && s->least <= s->most && s->least >= -far && s->most <= far
		&& s->sum >= (int128)s->n * s->least && s->sum <= (int128)s->n * s->most
		&& s->squares >= 0 && s->squares <= (int128)s->n * far * far;
}

static bool read_sums(struct reading *r, const struct groups_plan *plan, struct group *g, size_t i)
{
	struct sums s;

	if (!partial_int(r->cell[COL_N], &s.n) || !read_int128(r->cell[COL_SUM], &s.sum)
			|| !read_int128(r->cell[COL_SQUARES], &s.squares) || !partial_int(r->cell[COL_LEAST], &s.least)
			|| !partial_int(r->cell[COL_MOST], &s.most) || !are_sums(&s))
		return wrong(r, "the numbers of this row are damaged");
	if (g->sums[i].n > PARTIAL_READINGS_MOST - s.n)
		return wrong(r, "more readings than can be summed exactly");
	group_add_sums(plan, g, i, &s, r->cell[COL_LEAST_WHO], r->cell[COL_MOST_WHO]);
	return true;
}

static bool read_count(struct reading *r, int64_t *into)
{
	int64_t n;

	if (!partial_int(r->cell[COL_N], &n) || n < 0)
		return wrong(r, "the number of this row is damaged");
	if (*into > PARTIAL_READINGS_MOST - n)
		return wrong(r, "more than can be counted");
	*into += n;
	return true;
}

/* A row for whoever takes them instead of the set. */
static bool give_row(struct reading *r, const struct groups *set, const struct slice *key)
{
	int64_t n = 0;

	if (named(set->plan->counts, set->plan->ncounts, r->cell[COL_WHAT]) < 0)
		return wrong(r, "this row is of nothing that the filter counts");
	if (!read_count(r, &n))
		return false;
	return r->state->take(set, key, n) ? true : wrong(r, "no filter wrote this row; make the state again");
}

/* Of the set of what only one state may have. */
static bool read_once(struct reading *r, struct group *g)
{
	if (!read_count(r, &g->count[0]))
		return false;
	if (g->count[0] == 1)
		return true;
	buf_printf(r->error, "line %llu: ", (unsigned long long)r->line);
	buf_add(r->error, r->cell[COL_KEY]);
	buf_str(r->error, " is in two of the states; put all its lines into one part, and give each state once");
	return false;
}

static bool read_group(struct reading *r, struct groups *set)
{
	const struct groups_plan *plan = set->plan;
	struct slice key[GROUP_KEYS_MOST];
	struct group *g;
	int i;

	if (!split_keys(r, plan->nkeys, key))
		return false;
	if (r->state->take)
		return give_row(r, set, key);
	g = groups_at(set, key);
	i = named(plan->counts, plan->ncounts, r->cell[COL_WHAT]);
	if (i >= 0)
		return set == r->state->once ? read_once(r, g) : read_count(r, &g->count[i]);
	i = named(plan->sums, plan->nsums, r->cell[COL_WHAT]);
	if (i >= 0)
		return read_sums(r, plan, g, (size_t)i);
	return wrong(r, "this row is of nothing that the filter counts");
}

static bool read_end(struct reading *r)
{
	int64_t rows;

	if (!partial_int(r->cell[COL_N], &rows) || rows < 0 || (uint64_t)rows != r->rows)
		return wrong(r, "rows of this state are missing, or there are too many");
	r->open = false;
	return true;
}

static bool read_left_out(struct reading *r)
{
	int64_t n = (int64_t)r->state->left_out;

	if (!read_count(r, &n))
		return false;
	r->state->left_out = (uint64_t)n;
	return true;
}

static bool read_row(struct reading *r)
{
	if (!r->open)
		return start_state(r);
	if (is_cell(r, COL_SET, "end"))
		return read_end(r);
	r->rows++;
	if (r->rows == 1)
		return is_cell(r, COL_SET, "settings") ? check_settings(r) : wrong(r, "the settings of the state are missing here");
	if (is_cell(r, COL_SET, "left-out"))
		return read_left_out(r);
	for (size_t i = 0; i < r->state->nsets; i++)
		if (is_cell(r, COL_SET, r->state->set[i]->plan->name))
			return read_group(r, r->state->set[i]);
	return wrong(r, "this row is of nothing that the filter counts");
}

static bool is_header(const struct reading *r)
{
	for (int i = 0; i < COLS; i++)
		if (!is_cell(r, i, COLUMNS[i].name))
			return false;
	return true;
}

bool partial_read(struct partial *s, struct slice text, struct buf *error)
{
	struct reading r = { .state = s, .error = error };

	while (text.n) {
		size_t end = slice_find(text, '\n');

		r.line++;
		if (!split(&r, slice_upto(text, end)))
			return false;
		if (!(is_header(&r) && !r.open) && !read_row(&r))
			return false;
		text = slice_from(text, end + (end < text.n));
	}
	if (r.line == 0)
		return wrong(&r, "this is empty, not a state");
	return r.open ? wrong(&r, "the state ends here without its last row, so part of it is missing") : true;
}
