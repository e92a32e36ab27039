#include "grades/agreement.h"

#include <stdlib.h>

#include "book/line.h"
#include "house/house.h"

void agreement_init(struct agreement *a, struct stock *s, int32_t from, int32_t to)
{
	*a = (struct agreement){ .stock = s, .from = from, .to = to };
	intern_init(&a->words);
	intern_init(&a->marks);
	last_charge_init(&a->graders);
}

void agreement_release(struct agreement *a)
{
	for (size_t i = 0; i < a->nschemes; i++) {
		free(a->scheme[i].grade);
		free(a->scheme[i].count);
	}
	for (size_t i = 0; i < a->npairs; i++)
		free(a->pair[i].cell);
	free(a->scheme);
	free(a->pair);
	free(a->piece);
	free(a->opinion);
	free(a->arrival);
	last_charge_release(&a->graders);
	intern_release(&a->marks);
	intern_release(&a->words);
	*a = (struct agreement){ .nopinions = 0 };
}

/* ---- taking in */

static size_t scheme_on(struct agreement *a, int32_t day)
{
	const struct house_scheme *of = a->stock->house ? house_scheme_on(a->stock->house, day) : NULL;

	for (size_t i = 0; i < a->nschemes; i++)
		if (a->scheme[i].of == of)
			return i;
	a->scheme = mem_grow(a->scheme, &a->schemes_cap, a->nschemes + 1, sizeof *a->scheme);
	a->scheme[a->nschemes] = (struct agreement_scheme){ .of = of };
	return a->nschemes++;
}

static void add(struct agreement *a, struct opinion opinion)
{
	if (opinion.day < a->from || opinion.day > a->to)
		return;
	a->opinion = mem_grow(a->opinion, &a->opinions_cap, a->nopinions + 1, sizeof *a->opinion);
	a->opinion[a->nopinions++] = opinion;
}

void agreement_take(void *context, const struct line *l)
{
	struct agreement *a = context;
	struct slice by;

	if (l->event->id != EVENT_JUDGE || !line_field(l, FIELD_GRADE) || line_item(l, FIELD_GRADE)->v.mark == VALUE_ABSENT)
		return;
	by = line_word(l, FIELD_BY);
	if (!by.n) {
		a->nameless += l->stamp.day >= a->from && l->stamp.day <= a->to;
		return;
	}
	add(a, (struct opinion){ .piece = intern_id(&a->words, l->subject), .by = intern_id(&a->words, by), .grade = intern_id(&a->words, line_word(l, FIELD_GRADE)),
		.day = l->stamp.day, .second = l->stamp.second, .n = 1, .scheme = scheme_on(a, l->stamp.day) });
}

/* Who gave a grade, and under which scheme. */
struct mark {
	uint32_t by, scheme;
};

static uint32_t word_of(struct agreement *a, uint32_t id)
{
	return intern_id(&a->words, stock_text(a->stock, id));
}

/* What a line gives as a mark, as a number in `marks`. */
static uint32_t mark_of(struct agreement *a, const struct stock_op *op)
{
	struct mark mark = { word_of(a, op->by), (uint32_t)scheme_on(a, op->day) };

	return intern_id(&a->marks, (struct slice){ (const char *)&mark, sizeof mark });
}

static struct mark read_mark(const struct agreement *a, uint32_t number)
{
	struct mark mark;

	memcpy(&mark, intern_text(&a->marks, number).p, sizeof mark);
	return mark;
}

static void add_regrading(struct agreement *a, const struct stock_flow *f)
{
	uint32_t had = last_mark_of(&a->graders, f);
	struct mark before, now;

	if (!had || had == PROVENANCE_MIXED || !f->from.grade || !f->to.grade)
		return;
	before = read_mark(a, had);
	now = read_mark(a, a->given);
	if (before.by && now.by && before.by != now.by && before.scheme == now.scheme)
		add(a, (struct opinion){ .by = now.by, .grade = word_of(a, f->to.grade), .before = before.by, .grade_before = word_of(a, f->from.grade),
			.day = f->op->day, .n = f->n, .scheme = now.scheme });
}

/* Pieces on their way by the flows of one line, which happen at once. */
struct arrival {
	struct stock_kind to;
	int64_t n;
	uint32_t mark;
};

static void arrive(struct agreement *a)
{
	for (size_t i = 0; i < a->narrivals; i++)
		last_mark_give(&a->graders, &a->arrival[i].to, a->arrival[i].n, a->arrival[i].mark);
	a->narrivals = 0;
}

/* Only blades are graded, and nothing that a blade becomes is a blade again: other heaps have no mark and need none. */
static void leave(struct agreement *a, const struct stock_flow *f)
{
	if (f->from.form == FORM_BLADE)
		last_mark_take(&a->graders, f);
}

static void depart(struct agreement *a, const struct stock_flow *f, uint32_t mark)
{
	leave(a, f);
	if (f->to.form != FORM_BLADE)
		return;
	a->arrival = mem_grow(a->arrival, &a->arrivals_cap, a->narrivals + 1, sizeof *a->arrival);
	a->arrival[a->narrivals++] = (struct arrival){ f->to, f->n, mark };
}

void agreement_flow(void *context, const struct stock_flow *f)
{
	struct agreement *a = context;

	if (f->op != a->op)
		arrive(a);
	a->given = f->op == a->op ? a->given : 0;
	a->op = f->op;
	if (f->change != STOCK_GONE_ON && f->change != STOCK_FOUND && f->change != STOCK_BORN) {
		leave(a, f);
		return;
	}
	if (f->op->event->id != EVENT_GRADE || f->change != STOCK_GONE_ON) {
		depart(a, f, f->change == STOCK_GONE_ON && f->from.form == FORM_BLADE ? last_mark_of(&a->graders, f) : 0);
		return;
	}
	if (!a->given)
		a->given = mark_of(a, f->op);
	add_regrading(a, f);
	depart(a, f, a->given);
}

/* ---- the grades of each scheme */

int agreement_rank(const struct agreement_scheme *scheme, uint32_t grade)
{
	for (size_t i = 0; i < scheme->k; i++)
		if (scheme->grade[i] == grade)
			return (int)i;
	return -1;
}

static void list_grade(struct agreement_scheme *scheme, uint32_t grade, size_t *cap)
{
	if (agreement_rank(scheme, grade) >= 0)
		return;
	scheme->grade = mem_grow(scheme->grade, cap, scheme->k + 1, sizeof *scheme->grade);
	scheme->grade[scheme->k++] = grade;
}

/* Few enough to be sorted by exchange; qsort() hands no context through. */
static void sort_grades(const struct intern *words, struct agreement_scheme *scheme)
{
	for (size_t i = 1; i < scheme->k; i++)
		for (size_t j = i; j && slice_cmp(intern_text(words, scheme->grade[j - 1]), intern_text(words, scheme->grade[j])) > 0; j--) {
			uint32_t grade = scheme->grade[j];

			scheme->grade[j] = scheme->grade[j - 1];
			scheme->grade[j - 1] = grade;
		}
}

static void list_grades(struct agreement *a, size_t of)
{
	struct agreement_scheme *scheme = &a->scheme[of];
	size_t cap = 0;

	if (scheme->of) {
		for (size_t i = 0; i < scheme->of->list.n; i++)
			list_grade(scheme, intern_id(&a->words, scheme->of->list.word[i]), &cap);
		return;
	}
	for (size_t i = 0; i < a->nopinions; i++) {
		if (a->opinion[i].scheme != of)
			continue;
		list_grade(scheme, a->opinion[i].grade, &cap);
		if (!a->opinion[i].piece)
			list_grade(scheme, a->opinion[i].grade_before, &cap);
	}
	sort_grades(&a->words, scheme);
}

/* ---- pairs */

static struct agreement_pair *pair_of(struct agreement *a, struct agreement_pair want)
{
	size_t k = a->scheme[want.scheme].k;

	for (size_t i = 0; i < a->npairs; i++)
		if (a->pair[i].source == want.source && a->pair[i].scheme == want.scheme && a->pair[i].a == want.a && a->pair[i].b == want.b)
			return &a->pair[i];
	a->pair = mem_grow(a->pair, &a->pairs_cap, a->npairs + 1, sizeof *a->pair);
	a->pair[a->npairs] = want;
	a->pair[a->npairs].cell = mem_zeroed(k * k + 1, sizeof *want.cell);
	return &a->pair[a->npairs++];
}

/* `x` and `y` are the ranks that the pair's graders gave. */
static void add_pair(struct agreement *a, struct agreement_pair want, int x, int y, int64_t n)
{
	struct agreement_pair *pair = pair_of(a, want);

	pair->cell[(size_t)x * a->scheme[want.scheme].k + (size_t)y] += n;
	pair->n += n;
	*(y < x ? &pair->better : y > x ? &pair->worse : &pair->same) += n;
}

static void add_regraded(struct agreement *a, const struct opinion *o)
{
	const struct agreement_scheme *scheme = &a->scheme[o->scheme];
	int before = agreement_rank(scheme, o->grade_before), now = agreement_rank(scheme, o->grade);

	if (before < 0 || now < 0)
		a->strange++;
	else
		add_pair(a, (struct agreement_pair){ .source = AGREEMENT_REGRADED, .scheme = o->scheme, .a = o->before, .b = o->by }, before, now, o->n);
}

/* ---- pieces */

static const struct intern *sorted_words; /* of by_piece(); qsort() hands no context through */

static int by_word(uint32_t a, uint32_t b)
{
	return a == b ? 0 : slice_cmp(intern_text(sorted_words, a), intern_text(sorted_words, b));
}

static int order(int64_t a, int64_t b)
{
	return (a > b) - (a < b);
}

/* Piece, scheme (numbered by its first day), grader, time; at one time the grade's name. */
static int by_piece(const void *x, const void *y)
{
	const struct opinion *a = x, *b = y;
	int d = by_word(a->piece, b->piece);

	d = d ? d : order((int64_t)a->scheme, (int64_t)b->scheme);
	d = d ? d : by_word(a->by, b->by);
	d = d ? d : order(a->day, b->day);
	d = d ? d : order(a->second, b->second);
	return d ? d : by_word(a->grade, b->grade);
}

/* Whether two opinions are of one piece under one scheme. */
static bool is_alike(const struct opinion *a, const struct opinion *b)
{
	return a->piece == b->piece && a->scheme == b->scheme;
}

/* Leaves out regradings, which are counted, grades that their scheme lacks, and what a grader said again. */
static void sift(struct agreement *a)
{
	size_t kept = 0;

	for (size_t i = 0; i < a->nopinions; i++) {
		const struct opinion *o = &a->opinion[i], *last = kept ? &a->opinion[kept - 1] : NULL;

		if (!o->piece)
			add_regraded(a, o);
		else if (agreement_rank(&a->scheme[o->scheme], o->grade) < 0)
			a->strange++;
		else if (last && is_alike(last, o) && last->by == o->by)
			a->repeated++;
		else
			a->opinion[kept++] = *o;
	}
	a->nopinions = kept;
}

/* The row of counts of a piece. */
static int64_t *row_of(struct agreement_scheme *scheme)
{
	int64_t *row;

	scheme->count = mem_grow(scheme->count, &scheme->count_cap, (scheme->pieces + 1) * scheme->k, sizeof *scheme->count);
	row = scheme->count + scheme->pieces++ * scheme->k;
	memset(row, 0, scheme->k * sizeof *row);
	return row;
}

/* The opinions `first` to `end` - 1 are of one piece, each by another grader. */
static void add_piece(struct agreement *a, size_t first, size_t end)
{
	const struct opinion *o = a->opinion;
	size_t of = o[first].scheme;
	int64_t *row = row_of(&a->scheme[of]);
	int best = INT32_MAX, worst = 0;

	for (size_t i = first; i < end; i++) {
		int x = agreement_rank(&a->scheme[of], o[i].grade);

		row[x]++;
		best = x < best ? x : best;
		worst = x > worst ? x : worst;
		for (size_t j = i + 1; j < end; j++)
			add_pair(a, (struct agreement_pair){ .source = AGREEMENT_JUDGED, .scheme = of, .a = o[i].by, .b = o[j].by }, x,
				agreement_rank(&a->scheme[of], o[j].grade), 1);
	}
	if (worst == best)
		return;
	a->piece = mem_grow(a->piece, &a->pieces_cap, a->npieces + 1, sizeof *a->piece);
	a->piece[a->npieces++] = (struct agreement_piece){ first, end - first, of, worst - best };
}

static void add_pieces(struct agreement *a)
{
	for (size_t first = 0, end; first < a->nopinions; first = end) {
		for (end = first + 1; end < a->nopinions && is_alike(&a->opinion[first], &a->opinion[end]);)
			end++;
		if (end - first > 1)
			add_piece(a, first, end);
		else
			a->once++;
	}
}

/* ---- in order */

static int64_t first_day(const struct agreement_scheme *scheme)
{
	return scheme->of ? scheme->of->from : INT64_MIN;
}

/* Numbers the schemes by their first days. */
static void sort_schemes(struct agreement *a)
{
	size_t *place = mem_array(a->nschemes + 1, sizeof *place);
	struct agreement_scheme *sorted = mem_array(a->nschemes + 1, sizeof *sorted);

	for (size_t i = 0; i < a->nschemes; i++) {
		place[i] = 0;
		for (size_t j = 0; j < a->nschemes; j++)
			place[i] += first_day(&a->scheme[j]) < first_day(&a->scheme[i]);
		sorted[place[i]] = a->scheme[i];
	}
	for (size_t i = 0; i < a->nopinions; i++)
		a->opinion[i].scheme = place[a->opinion[i].scheme];
	free(a->scheme);
	free(place);
	a->scheme = sorted;
	a->schemes_cap = a->nschemes + 1;
}

static int by_pair(const void *x, const void *y)
{
	const struct agreement_pair *a = x, *b = y;
	int d = order((int64_t)a->source, (int64_t)b->source);

	d = d ? d : order((int64_t)a->scheme, (int64_t)b->scheme);
	d = d ? d : by_word(a->a, b->a);
	return d ? d : by_word(a->b, b->b);
}

/* The farthest apart first; then as they are, in the order of their names. */
static int by_distance(const void *x, const void *y)
{
	const struct agreement_piece *a = x, *b = y;

	return a->apart != b->apart ? b->apart - a->apart : order((int64_t)a->first, (int64_t)b->first);
}

static void count_graders(struct agreement *a)
{
	for (size_t i = 0; i < a->npairs; i++) {
		const struct agreement_pair *pair = &a->pair[i];

		if (pair->source == AGREEMENT_JUDGED)
			a->scheme[pair->scheme].pairs++;
	}
}

void agreement_end(struct agreement *a)
{
	sort_schemes(a);
	for (size_t i = 0; i < a->nschemes; i++)
		list_grades(a, i);
	sorted_words = &a->words;
	if (a->nopinions)
		qsort(a->opinion, a->nopinions, sizeof *a->opinion, by_piece);
	sift(a);
	add_pieces(a);
	if (a->npairs)
		qsort(a->pair, a->npairs, sizeof *a->pair, by_pair);
	if (a->npieces)
		qsort(a->piece, a->npieces, sizeof *a->piece, by_distance);
	count_graders(a);
}
