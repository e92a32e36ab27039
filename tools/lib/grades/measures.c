#include "grades/measures.h"

#include <math.h>
#include <stdlib.h>

#include "math/stratified_shift.h"
#include "book/line.h"

void measures_init(struct measures *m, const struct house *house, int32_t from, int32_t to)
{
	*m = (struct measures){ .house = house, .from = from, .to = to };
	intern_init(&m->words);
}

void measures_release(struct measures *m)
{
	free(m->judged);
	free(m->row);
	free(m->best);
	intern_release(&m->words);
	*m = (struct measures){ .n = 0 };
}

/* ---- taking in */

static double number_of(const struct line *l, int field, int type)
{
	const struct item *item = line_item(l, field);

	return item && item->v.mark == VALUE_EXACT ? value_number(type, item->v.fix) : NAN;
}

static double moisture_of(struct measures *m, const struct line *l)
{
	const struct item *item = line_item(l, FIELD_MC);
	struct meter_use use;
	struct meter_reading reading;

	if (!item || item->v.mark != VALUE_EXACT)
		return NAN;
	use = meter_use_of_line(m->house, l);
	reading = meter_reading_of(&use, l, item);
	m->uncorrected |= !reading.corrected;
	return value_number(TYPE_MOISTURE, reading.mc);
}

static struct slice lot_of(struct slice piece)
{
	size_t n = 0;

	while (n < piece.n && piece.p[n] != '/')
		n++;
	return slice_upto(piece, n);
}

static uint32_t word_of(struct measures *m, const struct line *l, int field)
{
	const struct item *item = line_item(l, field);

	return item && item->v.mark != VALUE_ABSENT ? intern_id(&m->words, item->text) : 0;
}

void measures_take(void *context, const struct line *l)
{
	struct measures *m = context;

	if (l->event->id != EVENT_JUDGE || l->stamp.day < m->from || l->stamp.day > m->to)
		return;
	m->judged = mem_grow(m->judged, &m->cap, m->n + 1, sizeof *m->judged);
	m->judged[m->n++] = (struct judged){ .piece = intern_id(&m->words, l->subject), .lot = intern_id(&m->words, lot_of(l->subject)),
		.grade = word_of(m, l, FIELD_GRADE), .by = word_of(m, l, FIELD_BY), .day = l->stamp.day, .second = l->stamp.second, .scheme = -1,
		.measure = { number_of(l, FIELD_GRAINS, TYPE_COUNT), number_of(l, FIELD_MASS, TYPE_MASS), moisture_of(m, l) } };
}

/* ---- schemes */

static int32_t last_day(const struct measures *m)
{
	int32_t last = INT32_MIN;

	for (size_t i = 0; i < m->n; i++)
		last = m->judged[i].day > last ? m->judged[i].day : last;
	return last;
}

/* Puts each line under the scheme that it counts as. */
static void join_schemes(struct measures *m)
{
	int32_t last = last_day(m);

	for (size_t i = 0; m->house && i < m->n; i++) {
		struct judged *j = &m->judged[i];
		const struct house_scheme *scheme = house_scheme_joined(m->house, j->day, last);

		j->scheme = scheme ? (int)(scheme - m->house->schemes) : -1;
		if (j->grade)
			j->grade = intern_id(&m->words, house_grade_joined(m->house, j->day, last, intern_text(&m->words, j->grade)));
	}
}

/* ---- pieces */

static const struct intern *sorted_words; /* of by_piece(); qsort() hands no context through */

static int by_word(uint32_t a, uint32_t b)
{
	if (a == b || !a || !b)
		return (a > 0) - (b > 0);
	return slice_cmp(intern_text(sorted_words, a), intern_text(sorted_words, b));
}

/* An absent one last. */
static int by_number(double a, double b)
{
	if (isnan(a) || isnan(b))
		return isnan(a) - isnan(b);
	return (a > b) - (a < b);
}

/* Lots together, then pieces; each by scheme and time. Lines of one time are in the order of what they say. */
static int by_piece(const void *x, const void *y)
{
	const struct judged *a = x, *b = y;
	int o = (a->scheme > b->scheme) - (a->scheme < b->scheme);

	o = o ? o : by_word(a->lot, b->lot);
	o = o ? o : by_word(a->piece, b->piece);
	o = o ? o : (a->day > b->day) - (a->day < b->day);
	o = o ? o : (a->second > b->second) - (a->second < b->second);
	o = o ? o : by_word(a->by, b->by);
	o = o ? o : by_word(a->grade, b->grade);
	for (int i = 0; !o && i < MEASURES; i++)
		o = by_number(a->measure[i], b->measure[i]);
	return o;
}

static bool has_measure(const struct judged *j)
{
	return !isnan(j->measure[MEASURE_GRAINS]) || !isnan(j->measure[MEASURE_MASS]) || !isnan(j->measure[MEASURE_MOISTURE]);
}

/* Makes one of the lines of each piece under a scheme; those without a grade are left out. */
static void merge(struct measures *m)
{
	size_t kept = 0;

	for (size_t i = 0, end; i < m->n; i = end) {
		struct judged piece = m->judged[i];

		for (end = i + 1; end < m->n && m->judged[end].piece == piece.piece && m->judged[end].scheme == piece.scheme; end++) {
			piece.grade = piece.grade ? piece.grade : m->judged[end].grade;
			for (int k = 0; k < MEASURES; k++)
				piece.measure[k] = isnan(piece.measure[k]) ? m->judged[end].measure[k] : piece.measure[k];
		}
		m->ungraded += !piece.grade && has_measure(&piece);
		if (piece.grade && has_measure(&piece))
			m->judged[kept++] = piece;
	}
	m->n = kept;
}

/* ---- rows */

static const struct house_scheme *scheme_at(const struct measures *m, int scheme)
{
	return scheme < 0 ? NULL : &m->house->schemes[scheme];
}

/* Its place in the scheme; a grade that the scheme lacks is after all others. */
static int rank_of(const struct measures *m, int scheme, uint32_t grade)
{
	int rank = scheme < 0 ? -1 : house_grade_rank(m->house, m->house->schemes[scheme].from, intern_text(&m->words, grade));

	return rank < 0 ? INT32_MAX : rank;
}

struct ranked {
	uint32_t grade;
	int rank;
};

static int by_rank(const void *x, const void *y)
{
	const struct ranked *a = x, *b = y;

	return a->rank != b->rank ? (a->rank > b->rank) - (a->rank < b->rank) : by_word(a->grade, b->grade);
}

/* The grades of pieces first to end - 1; the caller frees them. */
static struct ranked *list_grades(const struct measures *m, size_t first, size_t end, size_t *n)
{
	struct ranked *list = mem_array(end - first, sizeof *list);
	size_t at;

	*n = 0;
	for (size_t i = first; i < end; i++) {
		uint32_t grade = m->judged[i].grade;

		for (at = 0; at < *n && list[at].grade != grade; at++)
			;
		if (at == *n)
			list[(*n)++] = (struct ranked){ grade, rank_of(m, m->judged[i].scheme, grade) };
	}
	qsort(list, *n, sizeof *list, by_rank);
	return list;
}

static double sd_of(const double *value, size_t n, double mean)
{
	double sum = 0;

	for (size_t i = 0; i < n; i++)
		sum += (value[i] - mean) * (value[i] - mean);
	return n > 1 ? sqrt(sum / (double)(n - 1)) : NAN;
}

static void add_row(struct measures *m, size_t first, size_t end, uint32_t grade, enum measure measure)
{
	struct measure_row row = { .scheme = scheme_at(m, m->judged[first].scheme), .grade = intern_text(&m->words, grade), .measure = measure,
		.least = INFINITY, .most = -INFINITY };
	struct cluster_mean mean = { 0 };
	double *value = mem_array(end - first, sizeof *value);
	size_t n = 0;

	for (size_t i = first; i < end; i++) {
		double x = m->judged[i].measure[measure];

		if (m->judged[i].grade != grade || isnan(x))
			continue;
		cluster_mean_add(&mean, m->judged[i].lot, x);
		row.least = fmin(row.least, x);
		row.most = fmax(row.most, x);
		value[n++] = x;
	}
	row.mean = cluster_mean_end(&mean);
	row.sd = sd_of(value, n, row.mean.mean);
	if (n)
		m->row[m->nrows++] = row;
	cluster_mean_release(&mean);
	free(value);
}

/* The best grade beside the others, in each lot. */
static void add_best(struct measures *m, size_t first, size_t end, uint32_t grade, enum measure measure)
{
	struct stratified_lot *lot = mem_array(2 * (end - first), sizeof *lot);
	struct stratified_shift s;
	uint32_t stratum = 0;

	for (size_t i = first; i < end; i++) {
		const struct judged *j = &m->judged[i];
		double x = isnan(j->measure[measure]) ? 0 : j->measure[measure];

		stratum += i > first && j->lot != j[-1].lot;
		lot[i - first] = (struct stratified_lot){ stratum, j->grade == grade, !isnan(j->measure[measure]), x, x * x };
	}
	s = stratified_shift_of(lot, end - first);
	m->best[m->nbest++] = (struct measure_best){ scheme_at(m, m->judged[first].scheme), intern_text(&m->words, grade), measure, s.shift, s.low, s.high, s.p };
	free(lot);
}

static void add_scheme(struct measures *m, size_t first, size_t end)
{
	size_t n;
	struct ranked *grade = list_grades(m, first, end, &n);

	for (size_t i = 0; i < n; i++)
		for (int k = 0; k < MEASURES; k++)
			add_row(m, first, end, grade[i].grade, (enum measure)k);
	for (int k = 0; k < MEASURES; k++)
		add_best(m, first, end, grade[0].grade, (enum measure)k);
	free(grade);
}

void measures_end(struct measures *m)
{
	join_schemes(m);
	sorted_words = &m->words;
	if (m->n)
		qsort(m->judged, m->n, sizeof *m->judged, by_piece);
	merge(m);
	m->row = mem_zeroed(MEASURES * m->n + 1, sizeof *m->row);
	m->best = mem_zeroed(MEASURES * m->n + 1, sizeof *m->best);
	for (size_t first = 0, end; first < m->n; first = end) {
		for (end = first + 1; end < m->n && m->judged[end].scheme == m->judged[first].scheme;)
			end++;
		add_scheme(m, first, end);
	}
}
