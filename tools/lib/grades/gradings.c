#include "grades/gradings.h"

#include "house/house.h"
#include "stock/stock_whole.h"
#include "time/stamp.h"

/* The keys of a row; those from K_TREE on are the keys of --by that are stored, in the order of STORED. */
enum { K_DAY, K_GOT, K_WAS, K_TREE };

static const enum grade_by STORED[] = { GRADE_BY_TREE, GRADE_BY_PARCEL, GRADE_BY_SUPPLIER, GRADE_BY_CHARGE, GRADE_BY_KILN, GRADE_BY_LOT,
	GRADE_BY_TYPE, GRADE_BY_GRADER };

enum { NSTORED = sizeof STORED / sizeof *STORED, KEYS = K_TREE + NSTORED };
_Static_assert((int)KEYS <= (int)GROUP_KEYS_MOST, "a state has space for the keys of a grading");

static const char *const COUNTS[] = { "n" };
static const struct groups_plan ROWS = { .name = "graded", .nkeys = KEYS, .ncounts = 1, .counts = COUNTS };

/* What a blade got: no grade begins so. */
#define CULLED "/culled"

void gradings_init(struct gradings *g)
{
	*g = (struct gradings){ .ask = { .from = INT32_MIN, .to = INT32_MAX, .baseline = INT32_MIN } };
	groups_init(&g->rows, &ROWS);
	groups_init(&g->whole, &stock_whole_plan);
	g->set[0] = &g->rows;
	g->set[1] = &g->whole;
	for (size_t i = 0; i < NSTORED; i++)
		g->ask.by[g->ask.nby++] = STORED[i];
}

void gradings_release(struct gradings *g)
{
	if (g->mix.ask)
		grade_mix_release(&g->mix);
	groups_release(&g->rows);
	groups_release(&g->whole);
}

static void add_words(struct buf *out, const struct house_words *words)
{
	for (size_t i = 0; i < words->n; i++) {
		buf_char(out, i ? ',' : '(');
		buf_add(out, words->word[i]);
	}
	buf_str(out, words->n ? ")" : "()");
}

void gradings_settings(const struct house *house, struct buf *out)
{
	buf_str(out, "schemes=");
	for (size_t i = 0; house && i < house->nschemes; i++) {
		const struct house_scheme *scheme = &house->schemes[i];

		buf_str(out, i ? ";" : "");
		if (scheme->from == HOUSE_NO_DAY)
			buf_char(out, '-');
		else
			day_write(out, scheme->from);
		buf_char(out, ':');
		buf_add(out, scheme->id);
		add_words(out, &scheme->list);
		add_words(out, &scheme->former);
	}
	if (!house || !house->nschemes)
		buf_char(out, '-');
}

/* ---- to a state */

void gradings_start(struct gradings *g, const struct stock *s, const struct provenance *origins, const struct charge_kiln *kilns)
{
	grade_mix_init(&g->mix, &g->ask, s, origins);
	g->mix.kilns = kilns;
	stock_whole_find(s, &g->whole);
}

void gradings_flow(void *context, const struct stock_flow *f)
{
	struct gradings *g = context;
	struct slice key[KEYS];
	struct buf day = BUF_INIT;
	struct grading graded;

	if (grade_mix_grading(&g->mix, f, &graded)) {
		day_write(&day, graded.day);
		key[K_DAY] = buf_slice(&day);
		key[K_GOT] = graded.culled ? SLICE(CULLED) : graded.got;
		key[K_WAS] = graded.was;
		for (size_t i = 0; i < NSTORED; i++)
			key[K_TREE + i] = graded.key[STORED[i]];
		groups_at(&g->rows, key)->count[0] += graded.n;
	}
	last_charge_follow(&g->mix.charges, f);
	buf_release(&day);
}

/* ---- from states */

int32_t gradings_last_day(const struct gradings *g, int32_t to)
{
	int32_t last = INT32_MIN, day;

	for (size_t i = 0; i < g->rows.n; i++)
		if (date_read(g->rows.list[i]->key[K_DAY], &day) == DATE_OK && day <= to && day > last)
			last = day;
	return last;
}

static bool count_row(const struct group *row, struct intern *ids, struct grade_mix *m)
{
	struct grading g = { .was = row->key[K_WAS], .got = row->key[K_GOT], .n = row->count[0] };

	if (date_read(row->key[K_DAY], &g.day) != DATE_OK)
		return false;
	for (size_t i = 0; i < NSTORED; i++)
		g.key[STORED[i]] = row->key[K_TREE + i];
	if (!g.key[GRADE_BY_LOT].n)
		return false;
	g.lot = intern_id(ids, g.key[GRADE_BY_LOT]);
	g.culled = slice_eq(g.got, SLICE(CULLED));
	if (g.culled)
		g.got = SLICE("");
	grade_mix_add(m, &g);
	return true;
}

bool gradings_count(struct gradings *g, struct intern *ids, struct grade_mix *m)
{
	groups_sort(&g->rows);
	for (size_t i = 0; i < g->rows.n; i++)
		if (!count_row(g->rows.list[i], ids, m))
			return false;
	return true;
}
