#include "grades/agreement_view.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "grades/agreement.h"
#include "house/house.h"
#include "math/distributions.h"
#include "math/kappa.h"
#include "math/stats.h"
#include "stock/stock_say.h"
#include "table/table.h"

/* A pair with what its table comes to. */
struct compared {
	const struct agreement_pair *pair;
	struct kappa plain, linear, quadratic;
	double p;  /* of the sign test: whether one of them gives the better grades */
};

/* Dixon and Mood (1946): of the pieces on which they differ, either is as likely to give the better grade. Two-sided. */
static double sign_test(int64_t better, int64_t worse)
{
	int64_t least = better < worse ? better : worse;

	return better + worse ? fmin(1, 2 * dist_binomial_p(least, 0.5, better + worse)) : NAN;
}

/* Whether one of them gave a single grade: then kappa is 0 however they agree, which says nothing. */
static bool has_one_grade(const struct agreement_pair *pair, size_t k)
{
	size_t rows = 0, columns = 0;

	for (size_t i = 0; i < k; i++) {
		bool row = false, column = false;

		for (size_t j = 0; j < k; j++) {
			row |= pair->cell[i * k + j] > 0;
			column |= pair->cell[j * k + i] > 0;
		}
		rows += row;
		columns += column;
	}
	return rows < 2 || columns < 2;
}

static struct compared compare(const struct agreement *a, const struct agreement_pair *pair)
{
	static const struct kappa NONE = { NAN, NAN, NAN, NAN };
	size_t k = a->scheme[pair->scheme].k;

	if (has_one_grade(pair, k))
		return (struct compared){ pair, NONE, NONE, NONE, sign_test(pair->better, pair->worse) };
	return (struct compared){ pair, kappa_of_two(pair->cell, k, KAPPA_PLAIN), kappa_of_two(pair->cell, k, KAPPA_LINEAR),
		kappa_of_two(pair->cell, k, KAPPA_QUADRATIC), sign_test(pair->better, pair->worse) };
}

/* ---- which columns a reader needs */

static bool has_schemes(const struct agreement *a)
{
	for (size_t i = 1; i < a->npairs; i++)
		if (a->pair[i].scheme != a->pair[0].scheme)
			return true;
	return false;
}

static bool has_sources(const struct agreement *a)
{
	return a->npairs && a->pair[0].source != a->pair[a->npairs - 1].source;
}

static void column(struct table *t, const char *name, enum table_type type, unsigned places, const char *heading)
{
	table_add_column(t, name, type, places);
	table_heading(t, heading);
}

static void put_scheme(const struct agreement *a, size_t scheme, struct table *t)
{
	if (a->scheme[scheme].of)
		table_text(t, a->scheme[scheme].of->id);
	else
		table_absent(t);
}

static void add_pair_columns(const struct agreement *a, struct table *t)
{
	column(t, "source", TABLE_TEXT, 0, has_sources(a) ? "source" : NULL);
	column(t, "scheme", TABLE_TEXT, 0, has_schemes(a) ? "scheme" : NULL);
	column(t, "grader", TABLE_TEXT, 0, "grader");
	column(t, "other", TABLE_TEXT, 0, "other");
}

static void put_pair(const struct agreement *a, const struct agreement_pair *pair, struct table *t)
{
	table_cstr(t, pair->source == AGREEMENT_JUDGED ? "judge" : "grade");
	put_scheme(a, pair->scheme, t);
	table_text(t, intern_text(&a->words, pair->a));
	table_text(t, intern_text(&a->words, pair->b));
}

static void put_kappa(struct table *t, struct kappa kappa)
{
	table_real(t, kappa.value);
	table_real(t, kappa.low);
	table_real(t, kappa.high);
}

/* ---- pairs */

static void view_pairs(const struct agreement *a, const struct compared *compared, struct table *t)
{
	bool roomy = !has_sources(a); /* else the line has no room for the columns that a reader needs least */

	table_init(t, NULL, 0);
	table_title(t, SLICE("Agreement of two graders"), "agreement");
	add_pair_columns(a, t);
	column(t, "pieces", TABLE_INT, 0, "pieces");
	column(t, "same", TABLE_REAL, TABLE_PERCENT + 0, "same");
	column(t, "same_low", TABLE_REAL, TABLE_PERCENT + 0, NULL);
	column(t, "same_high", TABLE_REAL, TABLE_PERCENT + 0, NULL);
	column(t, "kappa_linear", TABLE_REAL, 2, "kappa");
	column(t, "linear_low", TABLE_REAL, 2, "at least");
	column(t, "linear_high", TABLE_REAL, 2, "at most");
	column(t, "kappa_quadratic", TABLE_REAL, 2, roomy && !has_schemes(a) ? "quadratic" : NULL);
	column(t, "quadratic_low", TABLE_REAL, 2, NULL);
	column(t, "quadratic_high", TABLE_REAL, 2, NULL);
	column(t, "kappa_plain", TABLE_REAL, 2, NULL);
	column(t, "plain_low", TABLE_REAL, 2, NULL);
	column(t, "plain_high", TABLE_REAL, 2, NULL);
	column(t, "other_better", TABLE_INT, 0, "better");
	column(t, "other_worse", TABLE_INT, 0, "worse");
	column(t, "p", TABLE_REAL, 3, NULL);
	for (size_t i = 0; i < a->npairs; i++) {
		const struct agreement_pair *pair = compared[i].pair;
		double low, high;

		put_pair(a, pair, t);
		table_int(t, pair->n);
		table_real(t, (double)pair->same / (double)pair->n);
		wilson_interval(pair->same, pair->n, NORMAL_975, &low, &high);
		table_real(t, low);
		table_real(t, high);
		put_kappa(t, compared[i].linear);
		put_kappa(t, compared[i].quadratic);
		put_kappa(t, compared[i].plain);
		table_int(t, pair->better);
		table_int(t, pair->worse);
		table_real(t, compared[i].p);
	}
}

static void note_pairs(const struct agreement *a, struct table *t)
{
	if (!a->npairs)
		return;
	table_note(t, SLICE("same: per cent; kappa: with linear weights, and its 95 % interval"));
	table_note(t, SLICE("better, worse: pieces to which the other gave the better or the worse grade"));
	if (a->pair[a->npairs - 1].source == AGREEMENT_REGRADED)
		table_note(t, SLICE("source grade: the other graded again what the grader had graded; such pieces are chosen, and the first grade is known"));
}

/* ---- several graders */

static struct kappa kappa_of_scheme(const struct agreement_scheme *scheme)
{
	return kappa_of_many(scheme->count, scheme->pieces, scheme->k);
}

static void view_several(const struct agreement *a, struct table *t)
{
	table_init(t, NULL, 0);
	table_title(t, SLICE("All graders of a scheme together"), "several");
	column(t, "scheme", TABLE_TEXT, 0, "scheme");
	column(t, "pairs", TABLE_INT, 0, "pairs");
	column(t, "pieces", TABLE_INT, 0, "pieces");
	column(t, "kappa_fleiss", TABLE_REAL, 2, "Fleiss' kappa");
	column(t, "fleiss_low", TABLE_REAL, 2, "at least");
	column(t, "fleiss_high", TABLE_REAL, 2, "at most");
	column(t, "word", TABLE_TEXT, 0, "in words");
	for (size_t i = 0; i < a->nschemes; i++) {
		struct kappa kappa;

		if (a->scheme[i].pairs < 2)
			continue;
		kappa = kappa_of_scheme(&a->scheme[i]);
		put_scheme(a, i, t);
		table_int(t, (int64_t)a->scheme[i].pairs);
		table_int(t, (int64_t)a->scheme[i].pieces);
		put_kappa(t, kappa);
		table_cstr(t, isnan(kappa.value) ? NULL : kappa_word(kappa.value));
	}
}

/* ---- the confusion table */

/* The grades of all schemes that have a pair, in the order of the last such scheme. */
static size_t all_grades(const struct agreement *a, uint32_t *grade)
{
	size_t n = 0;

	for (size_t s = a->nschemes; s-- > 0;)
		for (size_t i = 0; i < a->scheme[s].k; i++) {
			size_t at = 0;

			while (at < n && grade[at] != a->scheme[s].grade[i])
				at++;
			if (at == n)
				grade[n++] = a->scheme[s].grade[i];
		}
	return n;
}

static int64_t row_sum(const struct agreement *a, const struct agreement_pair *pair, size_t row)
{
	size_t k = a->scheme[pair->scheme].k;
	int64_t sum = 0;

	for (size_t j = 0; j < k; j++)
		sum += pair->cell[row * k + j];
	return sum;
}

static void put_cells(const struct agreement *a, const struct agreement_pair *pair, size_t row, const uint32_t *grade, size_t n, struct table *t)
{
	const struct agreement_scheme *scheme = &a->scheme[pair->scheme];

	for (size_t j = 0; j < n; j++) {
		int rank = agreement_rank(scheme, grade[j]);

		if (rank < 0)
			table_absent(t);
		else
			table_int(t, pair->cell[row * scheme->k + (size_t)rank]);
	}
}

static void view_confusion(const struct agreement *a, struct table *t)
{
	uint32_t *grade = mem_array(a->words.n, sizeof *grade);
	size_t n = all_grades(a, grade);
	struct buf name = BUF_INIT;

	table_init(t, NULL, 0);
	table_title(t, SLICE("Rows: the grader's grade. Columns: the other's grade"), "confusion");
	add_pair_columns(a, t);
	column(t, "grade", TABLE_TEXT, 0, "grade");
	for (size_t i = 0; i < n; i++) {
		name.n = 0;
		buf_str(&name, "other_");
		buf_add(&name, intern_text(&a->words, grade[i]));
		column(t, buf_cstr(&name), TABLE_INT, 0, buf_cstr(&name) + sizeof "other_" - 1);
	}
	for (size_t i = 0; i < a->npairs; i++)
		for (size_t row = 0; row < a->scheme[a->pair[i].scheme].k; row++) {
			if (!row_sum(a, &a->pair[i], row))
				continue;
			put_pair(a, &a->pair[i], t);
			table_text(t, intern_text(&a->words, a->scheme[a->pair[i].scheme].grade[row]));
			put_cells(a, &a->pair[i], row, grade, n, t);
		}
	buf_release(&name);
	free(grade);
}

/* ---- the pieces to look at again */

static void view_again(const struct agreement *a, struct table *t)
{
	struct buf said = BUF_INIT;

	table_init(t, NULL, 0);
	table_title(t, SLICE("Pieces to look at again"), "again");
	column(t, "piece", TABLE_TEXT, 0, "piece");
	column(t, "scheme", TABLE_TEXT, 0, has_schemes(a) ? "scheme" : NULL);
	column(t, "apart", TABLE_INT, 0, "grades apart");
	column(t, "said", TABLE_TEXT, 0, "grader:grade");
	for (size_t i = 0; i < a->npieces; i++) {
		const struct agreement_piece *piece = &a->piece[i];

		said.n = 0;
		for (size_t j = 0; j < piece->n; j++) {
			buf_str(&said, j ? "," : "");
			buf_add(&said, intern_text(&a->words, a->opinion[piece->first + j].by));
			buf_char(&said, ':');
			buf_add(&said, intern_text(&a->words, a->opinion[piece->first + j].grade));
		}
		table_text(t, intern_text(&a->words, a->opinion[piece->first].piece));
		put_scheme(a, piece->scheme, t);
		table_int(t, piece->apart);
		table_text(t, buf_slice(&said));
	}
	buf_release(&said);
}

/* ---- the finding */

static void say_kappa(struct buf *text, const char *what, struct kappa kappa)
{
	if (isnan(kappa.value)) {
		buf_printf(text, "; %s is not known, because one of them gave one grade only.", what);
		return;
	}
	buf_printf(text, "; %s %.2f", what, kappa.value);
	if (!isnan(kappa.low))
		buf_printf(text, " (95 %% interval %.2f to %.2f)", kappa.low, kappa.high);
	buf_printf(text, ": %s, in Landis and Koch's word.", kappa_word(kappa.value));
}

static void say_pair(const struct agreement *a, const struct compared *c, struct buf *text)
{
	buf_add(text, intern_text(&a->words, c->pair->a));
	buf_str(text, " and ");
	buf_add(text, intern_text(&a->words, c->pair->b));
	buf_str(text, " agree on ");
	stock_say_percent(text, (double)c->pair->same / (double)c->pair->n);
	buf_str(text, " of ");
	buf_count(text, c->pair->n, "piece");
	buf_str(text, c->pair->source == AGREEMENT_JUDGED ? " that both judged" : " that the second graded again");
	say_kappa(text, "weighted kappa", c->linear);
}

/* The pair with the least weighted kappa, of `least` pieces or more, judged ones before regraded ones; NULL for none. */
static const struct compared *least_agreed(const struct agreement *a, const struct compared *compared, int64_t least)
{
	const struct compared *found = NULL;

	for (size_t i = 0; i < a->npairs; i++)
		if (compared[i].pair->source == a->pair[0].source && compared[i].pair->n >= least &&
			!isnan(compared[i].linear.value) && (!found || compared[i].linear.value < found->linear.value))
			found = &compared[i];
	return found;
}

/* The pair whose differences are the most uneven, if that is beyond chance for all pairs together (Bonferroni). */
static void say_strict(const struct agreement *a, const struct compared *compared, struct buf *text)
{
	const struct compared *found = NULL;
	uint32_t strict, other;
	long long worse, differ;

	for (size_t i = 0; i < a->npairs; i++)
		if (compared[i].p * (double)a->npairs < 0.05 && (!found || compared[i].p < found->p))
			found = &compared[i];
	if (!found) {
		buf_str(text, a->npairs == 1 ? " Neither gives the better grades by more than chance explains." : " No grader of a pair gives the better grades by more than chance explains.");
		return;
	}
	strict = found->pair->better < found->pair->worse ? found->pair->b : found->pair->a;
	other = strict == found->pair->a ? found->pair->b : found->pair->a;
	worse = found->pair->better < found->pair->worse ? found->pair->worse : found->pair->better;
	differ = found->pair->better + found->pair->worse;
	buf_char(text, ' ');
	buf_add(text, intern_text(&a->words, strict));
	buf_str(text, " is stricter than ");
	buf_add(text, intern_text(&a->words, other));
	buf_printf(text, ": of %lld pieces on which they differ, %lld got the worse grade. That is more than chance explains.", differ, worse);
}

/* Of several pairs: all together under the scheme with the most pieces, and the pair that agrees least. */
static void say_many(const struct agreement *a, const struct compared *compared, struct buf *text)
{
	enum { ENOUGH = 20 }; /* of fewer pieces a kappa says little */
	const struct agreement_scheme *most = NULL;
	const struct compared *least = least_agreed(a, compared, ENOUGH);

	for (size_t i = 0; i < a->nschemes; i++)
		if (a->scheme[i].pairs > 1 && (!most || a->scheme[i].pieces >= most->pieces))
			most = &a->scheme[i];
	if (most) {
		buf_printf(text, "%zu pieces were judged by two graders or more", most->pieces);
		if (has_schemes(a) && most->of) {
			buf_str(text, " under scheme ");
			buf_add(text, most->of->id);
		}
		say_kappa(text, "Fleiss' kappa", kappa_of_scheme(most));
		buf_str(text, least ? " The pair that agrees least: " : "");
	}
	if (least || !most)
		say_pair(a, least ? least : compared, text);
}

static void find(const struct agreement *a, const struct compared *compared, struct table *t)
{
	struct buf text = BUF_INIT;

	if (!a->npairs)
		buf_str(&text, "No piece was graded by two graders under one scheme.");
	else {
		if (a->npairs == 1)
			say_pair(a, compared, &text);
		else
			say_many(a, compared, &text);
		say_strict(a, compared, &text);
	}
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

/* ---- what was left out */

static void note(struct table *t, size_t n, const char *one, const char *more)
{
	struct buf text = BUF_INIT;

	if (!n)
		return;
	buf_printf(&text, "%zu %s", n, PLURAL(n, one, more));
	table_note(t, buf_slice(&text));
	buf_release(&text);
}

static void note_left_out(const struct agreement *a, struct table *t)
{
	note(t, a->once, "piece was judged by one grader only under its scheme", "pieces were judged by one grader only under their scheme");
	note(t, a->repeated, "opinion was left out: its grader had judged the piece before", "opinions were left out: their graders had judged the pieces before");
	note(t, a->nameless, "judge line was left out: it has a grade and no by=", "judge lines were left out: they have a grade and no by=");
	note(t, a->strange, "opinion was left out: the scheme of its day lacks the grade", "opinions were left out: the scheme of their day lacks the grade");
}

void agreement_view(const struct agreement *a, struct table *t)
{
	struct compared *compared = mem_array(a->npairs + 1, sizeof *compared);

	for (size_t i = 0; i < a->npairs; i++)
		compared[i] = compare(a, &a->pair[i]);
	view_pairs(a, compared, &t[0]);
	find(a, compared, &t[0]);
	note_pairs(a, &t[0]);
	note_left_out(a, &t[0]);
	view_several(a, &t[1]);
	view_confusion(a, &t[2]);
	view_again(a, &t[3]);
	free(compared);
}
