#include "jot/jot_making.h"

#include "base/utf8.h"

enum { QUOTED_MOST = 60 };

void jot_making_quote(struct buf *out, struct slice typed)
{
	buf_char(out, '\'');
	utf8_add_shown(out, typed, QUOTED_MOST);
	buf_char(out, '\'');
}

struct jot_field *jot_making_field(struct jot_making *m, int field)
{
	for (size_t i = 0; i < m->nfields; i++)
		if (m->field[i].use->field->id == field)
			return &m->field[i];
	return NULL;
}

const struct field_use *jot_making_use(const struct jot_making *m, int field)
{
	for (int i = 0; i < m->event->nuses; i++)
		if (m->event->uses[i].field->id == field)
			return &m->event->uses[i];
	return NULL;
}

struct jot_field *jot_making_add(struct jot_making *m, const struct field_use *use)
{
	if (m->nfields == sizeof m->field / sizeof *m->field)
		return NULL;
	m->field[m->nfields] = (struct jot_field){ use, BUF_INIT, false };
	return &m->field[m->nfields++];
}

/* Each thing once, also where several lines get it. */
static void report(struct buf *filled, struct buf *what)
{
	if (!filled->n || !strstr(buf_cstr(filled), buf_cstr(what))) {
		buf_str(filled, filled->n ? ", " : "");
		buf_add(filled, buf_slice(what));
	}
}

void jot_making_fill(struct jot_making *m, const struct field_use *use, struct slice value, struct slice why)
{
	struct jot_field *field = jot_making_add(m, use);
	struct buf what = BUF_INIT;

	if (!field)
		return;
	buf_add(&field->value, value);
	buf_add(&what, use->field->name);
	buf_char(&what, '=');
	buf_add(&what, value);
	buf_str(&what, " (");
	buf_add(&what, why);
	buf_char(&what, ')');
	report(&m->entry->filled, &what);
	buf_release(&what);
}
