#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/mem.h"
#include "shelf.h"

void stop(const char *fmt, ...)
{
	va_list ap;

	fputs("generate: ", stderr);
	va_start(ap, fmt);
	vfprintf(stderr, fmt, ap);
	va_end(ap);
	fputc('\n', stderr);
	exit(2);
}

const char *shelf_name(struct shelf *s, const char *text)
{
	if (!text)
		text = "";
	for (size_t i = 0; i < s->names_n; i++)
		if (strcmp(s->names[i], text) == 0)
			return s->names[i];
	s->names = mem_grow(s->names, &s->names_cap, s->names_n + 1, sizeof *s->names);
	return s->names[s->names_n++] = mem_copy(text, strlen(text));
}

struct key shelf_key(struct shelf *s, const char *lot, const char *form, const char *type,
	const char *grade, const char *at)
{
	return (struct key){ shelf_name(s, lot), shelf_name(s, form), shelf_name(s, type),
		shelf_name(s, grade), shelf_name(s, at) };
}

bool key_same(struct key a, struct key b)
{
	return a.lot == b.lot && a.form == b.form && a.type == b.type && a.grade == b.grade
		&& a.at == b.at;
}

struct bucket *shelf_at(struct shelf *s, struct key k)
{
	for (size_t i = 0; i < s->n; i++)
		if (key_same(s->v[i].key, k))
			return &s->v[i];
	s->v = mem_grow(s->v, &s->cap, s->n + 1, sizeof *s->v);
	s->v[s->n] = (struct bucket){ .key = k };
	return &s->v[s->n++];
}

void shelf_give(struct shelf *s, struct key k, int n)
{
	struct bucket *b = shelf_at(s, k);

	b->n += n;
	b->given += n;
}

void shelf_take(struct shelf *s, struct key k, int n)
{
	struct bucket *b = shelf_at(s, k);

	if (n < 0 || n > b->n)
		stop("%d pieces of %s %s %s %s at %s, and %d are there", n, k.lot, k.form, k.type,
			k.grade, k.at, b->n);
	b->n -= n;
	b->taken += n;
}

int shelf_free(const struct bucket *b)
{
	int n = b->start - b->taken;

	return n < 0 ? 0 : n;
}

void shelf_new_day(struct shelf *s)
{
	for (size_t i = 0; i < s->n; i++) {
		s->v[i].start = s->v[i].n;
		s->v[i].taken = s->v[i].given = 0;
	}
}

int shelf_sum(const struct shelf *s, const char *lot, const char *form, const char *at)
{
	int sum = 0;

	for (size_t i = 0; i < s->n; i++) {
		const struct bucket *b = &s->v[i];

		if (b->key.lot == lot && (!*form || strcmp(b->key.form, form) == 0)
			&& (!*at || strcmp(b->key.at, at) == 0))
			sum += b->n;
	}
	return sum;
}

void shelf_release(struct shelf *s)
{
	for (size_t i = 0; i < s->names_n; i++)
		free(s->names[i]);
	free(s->names);
	free(s->v);
}
