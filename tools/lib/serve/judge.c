#include "serve/judge.h"

#include <stdlib.h>

#include "check/check.h"
#include "serve/left.h"
#include "serve/works.h"

/* ---- lines by themselves */

static void judge_text(const struct works *w, struct slice text, bool within, struct diags *d)
{
	const char *path[1] = { "" };
	struct reader reader;
	struct check *check;
	const struct line *l;

	diags_init(d);
	memcpy(d->level, w->level, sizeof d->level);
	check = check_new(&w->vocab, w->house, w->zone, d, (struct check_files){ 1, CHECK_NO_FILE, path }, CHECK_BY_LINE);
	reader_init(&reader, &w->vocab, d);
	reader_open_bytes(&reader, text, 0, within);
	while ((l = reader_next(&reader)))
		check_line(check, l);
	reader_release(&reader);
	check_end(check);
	check_free(check);
}

/* How many lines of the book end before a line of the document. */
static size_t book_lines_before(const struct document *d, size_t line)
{
	size_t n = line;

	for (size_t i = 0; d->returns && i < line; i++) {
		struct slice s = document_whole(d, i);

		n -= s.p[s.n - 1] == '\r';
	}
	return n;
}

void judge_lines(struct works *w, struct works_file *f, const struct document_change *c)
{
	struct findings fresh = { NULL, 0, 0 };
	size_t first = c->first, before;
	struct buf text = BUF_INIT;
	struct diags d;

	while (first && f->text.returns && document_whole(&f->text, first - 1).p[document_whole(&f->text, first - 1).n - 1] == '\r')
		first--;
	before = book_lines_before(&f->text, first);
	document_add(&text, &f->text, first, c->first + c->now);
	judge_text(w, buf_slice(&text), first > 0, &d);
	for (size_t i = 0; i < d.n; i++)
		findings_take(&fresh, &f->text, &d, &d.row[i], before);
	findings_merge(&f->found, &fresh);
	findings_release(&fresh);
	diags_release(&d);
	buf_release(&text);
}

size_t judge_one(const struct works *w, struct slice text, struct judge_found *found)
{
	struct diags d;
	size_t n;

	judge_text(w, text, true, &d);
	for (n = 0; n < d.n && n < JUDGE_FOUND_MOST; n++)
		found[n] = (struct judge_found){ d.row[n].rule, d.row[n].place.col };
	diags_release(&d);
	return n;
}

/* ---- the whole book */

struct head {
	size_t size, files, ndiags, words, nleft, left_text, nstays, stay_text;
};

struct left_sent {
	uint32_t file, at, n;
	uint64_t line;
};

static void read_book(const struct works *w, struct check *check, struct diags *d)
{
	struct reader reader;
	const struct line *l;

	reader_init(&reader, &w->vocab, d);
	for (size_t i = 0; i < w->n; i++) {
		struct buf text = BUF_INIT;

		document_add(&text, &w->file[i]->text, 0, w->file[i]->text.n);
		reader_open_bytes(&reader, buf_slice(&text), (uint32_t)i, false);
		while ((l = reader_next(&reader)))
			check_line(check, l);
		buf_release(&text);
	}
	reader_release(&reader);
}

/* "17 left at yard/b1", "83 left in K26-05" */
static struct slice say_left(const struct works *w, const struct stock *stock, uint32_t place, int64_t n, struct buf *out)
{
	struct slice word = stock_text(stock, place);
	const struct id_row *row = id_list_find(&w->ids, word);
	bool charge = row && id_list_kinds(row) & SUBJECT_CHARGE;
	size_t start = out->n;

	buf_printf(out, "%lld left %s %.*s", (long long)n, charge ? "in" : "at", (int)word.n, word.p);
	return slice_from(buf_slice(out), start);
}

static size_t send_left(const struct works *w, const struct left *left, struct buf *rows, struct buf *text)
{
	size_t n = 0;

	for (size_t i = 0; i < left->nrows; i++) {
		const struct left_row *row = &left->row[i];
		struct left_sent sent = { row->file, (uint32_t)text->n, 0, row->line };

		if (!row->place || row->place == left->stock->sold)
			continue;
		sent.n = (uint32_t)say_left(w, left->stock, row->place, row->n, text).n;
		buf_add(rows, (struct slice){ (const char *)&sent, sizeof sent });
		n++;
	}
	return n;
}

static size_t send_stays(const struct left *left, struct buf *rows, struct buf *text)
{
	size_t n = 0;

	for (size_t i = 0; i < left->ncounts; i++) {
		const struct left_count *count = &left->count[i];
		struct slice lot = stock_text(left->stock, count->lot), place = stock_text(left->stock, count->place);
		struct works_stay row = { (uint32_t)text->n, (uint32_t)lot.n, 0, 0 };

		if (!count->lot || !count->n)
			continue;
		buf_add(text, lot);
		row.at = (uint32_t)text->n;
		if (count->place == left->stock->sold || count->place == left->stock->culled)
			buf_printf(text, "%lld %s", (long long)count->n, count->place == left->stock->sold ? "sold" : "culled");
		else
			buf_printf(text, "%lld at %.*s", (long long)count->n, (int)place.n, place.p);
		row.n = (uint32_t)(text->n - row.at);
		buf_add(rows, (struct slice){ (const char *)&row, sizeof row });
		n++;
	}
	return n;
}

static void send(const struct works *w, const struct diags *d, const struct left *left, struct buf *result)
{
	struct buf rows = BUF_INIT, words = BUF_INIT, stays = BUF_INIT, stay_words = BUF_INIT;
	struct head head = { .files = w->n, .ndiags = d->n, .words = d->words.n };

	head.nleft = send_left(w, left, &rows, &words);
	head.nstays = send_stays(left, &stays, &stay_words);
	head.left_text = words.n;
	head.stay_text = stay_words.n;
	head.size = sizeof head + d->n * sizeof *d->row + d->words.n + rows.n + words.n + stays.n + stay_words.n;
	buf_add(result, (struct slice){ (const char *)&head, sizeof head });
	if (d->n)
		buf_add(result, (struct slice){ (const char *)d->row, d->n * sizeof *d->row });
	buf_add(result, buf_slice(&d->words));
	buf_add(result, buf_slice(&rows));
	buf_add(result, buf_slice(&words));
	buf_add(result, buf_slice(&stays));
	buf_add(result, buf_slice(&stay_words));
	buf_release(&rows);
	buf_release(&words);
	buf_release(&stays);
	buf_release(&stay_words);
}

void judge_book(const struct works *w, struct buf *result)
{
	const char **name = mem_array(w->n + 1, sizeof *name);
	struct check *check;
	struct left left;
	struct diags d;

	for (size_t i = 0; i < w->n; i++)
		name[i] = w->file[i]->name;
	diags_init(&d);
	memcpy(d.level, w->level, sizeof d.level);
	check = check_new(&w->vocab, w->house, w->zone, &d, (struct check_files){ (uint32_t)w->n, CHECK_NO_FILE, name }, 0);
	left_init(&left, check_stock(check));
	check_follow(check, left_flow, &left);
	read_book(w, check, &d);
	check_end(check);
	send(w, &d, &left, result);
	left_release(&left);
	check_free(check);
	diags_release(&d);
	free(name);
}

/* ---- taking a result in */

static struct slice cut(struct slice *s, size_t n)
{
	struct slice head = slice_upto(*s, n);

	*s = slice_from(*s, n);
	return head;
}

static void take_diags(struct works *w, const struct head *head, struct slice rows, struct slice words)
{
	struct diags d;

	diags_init(&d);
	buf_add(&d.words, words);
	for (size_t i = 0; i < w->n; i++)
		findings_clear(&w->file[i]->found);
	for (size_t i = 0; i < head->ndiags; i++) {
		struct works_file *f;
		struct diag row;

		memcpy(&row, rows.p + i * sizeof row, sizeof row);
		f = w->file[row.place.file];
		findings_take(&f->found, &f->text, &d, &row, 0);
	}
	diags_release(&d);
}

static int by_line(const void *a, const void *b)
{
	const struct works_left *x = a, *y = b;

	return (x->line > y->line) - (x->line < y->line);
}

static void take_left(struct works *w, const struct head *head, struct slice rows, struct slice words)
{
	size_t *n = mem_zeroed(w->n + 1, sizeof *n);
	struct left_sent sent;

	for (size_t i = 0; i < head->nleft; i++) {
		memcpy(&sent, rows.p + i * sizeof sent, sizeof sent);
		n[sent.file]++;
	}
	for (size_t i = 0; i < w->n; i++) {
		struct works_file *f = w->file[i];

		free(f->left);
		f->left = mem_array(n[i], sizeof *f->left);
		f->nleft = 0;
		f->left_text.n = 0;
	}
	for (size_t i = 0; i < head->nleft; i++) {
		struct works_file *f;
		size_t line, byte = 0;

		memcpy(&sent, rows.p + i * sizeof sent, sizeof sent);
		f = w->file[sent.file];
		document_book_line(&f->text, sent.line, &line, &byte);
		f->left[f->nleft++] = (struct works_left){ line, (uint32_t)f->left_text.n, sent.n };
		buf_add(&f->left_text, slice_upto(slice_from(words, sent.at), sent.n));
	}
	for (size_t i = 0; i < w->n; i++)
		if (w->file[i]->nleft)
			qsort(w->file[i]->left, w->file[i]->nleft, sizeof *w->file[i]->left, by_line);
	free(n);
}

static void take_stays(struct works *w, const struct head *head, struct slice rows, struct slice words)
{
	free(w->stay);
	w->stay = mem_array(head->nstays, sizeof *w->stay);
	w->nstays = head->nstays;
	if (rows.n)
		memcpy(w->stay, rows.p, rows.n);
	w->stay_text.n = 0;
	buf_add(&w->stay_text, words);
}

bool judge_take(struct works *w, struct slice result)
{
	struct slice rows, words;
	struct head head;

	if (result.n < sizeof head)
		return false;
	memcpy(&head, cut(&result, sizeof head).p, sizeof head);
	if (head.size != result.n + sizeof head || head.files != w->n)
		return false;
	rows = cut(&result, head.ndiags * sizeof(struct diag));
	words = cut(&result, head.words);
	take_diags(w, &head, rows, words);
	rows = cut(&result, head.nleft * sizeof(struct left_sent));
	words = cut(&result, head.left_text);
	take_left(w, &head, rows, words);
	rows = cut(&result, head.nstays * sizeof(struct works_stay));
	take_stays(w, &head, rows, result);
	w->checked = w->changes;
	return true;
}
