#include "book/diag.h"
#include "book/parse.h"
#include "intake/mapping_internal.h"

static bool pairs(struct map_reader *r, const struct yaml *node, struct map_cell *cell)
{
	if (node->kind != YAML_MAP)
		return map_fail(r, node, "`words` must map cells to values: {CELL: VALUE}");
	cell->nwords = node->n;
	cell->word = map_own(r, mem_array(node->n, sizeof *cell->word));
	for (size_t i = 0; i < node->n; i++) {
		cell->word[i].from = node->key[i].text;
		if (!map_scalar(r, &node->item[i], "the value of a cell", &cell->word[i].to))
			return false;
	}
	return true;
}

static bool unit(struct map_reader *r, const struct yaml *node, int type, int *out)
{
	const struct type_def *def = vocab_type(type);
	struct buf all = BUF_INIT;

	for (int i = def->first_unit; i < def->first_unit + def->nunits; i++)
		if (node->kind == YAML_SCALAR && slice_eq(vocab_unit(i)->name, node->text)) {
			*out = i;
			return true;
		}
	if (def->nunits)
		value_units(&all, type);
	map_fail(r, node, def->nunits ? "the unit is not valid here; use one of %s" : "a unit is not allowed here%s", buf_cstr(&all));
	buf_release(&all);
	return false;
}

static const char *const cell_keys[] = { "column", "unit", "words", "missing", "decimals", "power", "round", NULL };
static const char *const unit_keys[] = { "column", NULL };

/* The unit of a column's numbers: the book's, or the column that has it. */
static bool cell_unit(struct map_reader *r, const struct yaml *node, int type, struct map_cell *out)
{
	if (type < 0 || !value_is_number(type))
		return map_fail(r, node, "a unit is not allowed here");
	if (node->kind != YAML_MAP)
		return unit(r, node, type, &out->unit);
	if (!map_only_keys(r, node, "`unit`", unit_keys))
		return false;
	if (!yaml_get(node, "column"))
		return map_fail(r, node, "`column` is missing");
	if (!vocab_type(type)->nunits)
		return map_fail(r, node, "a unit is not allowed here");
	return map_add_column(r, yaml_get(node, "column"), &out->unit_column);
}

/* `power` and `round`: the numbers are changed before they are entered. */
static bool cell_change(struct map_reader *r, const struct yaml *node, int type, struct cell_change *out)
{
	const struct yaml *power = yaml_get(node, "power"), *places = yaml_get(node, "round");
	bool minus;

	if ((power || places) && (type < 0 || !value_is_number(type)))
		return map_fail(r, power ? power : places, "`%s` is only allowed for numbers", power ? "power" : "round");
	if (power) {
		struct yaml plain = *power;
		size_t n;

		minus = power->kind == YAML_SCALAR && slice_starts(power->text, SLICE("-"));
		plain.text = minus ? slice_from(power->text, 1) : power->text;
		if (!map_number(r, &plain, "`power`", 9, &n))
			return false;
		out->power = minus ? -(int)n : (int)n;
	}
	out->rounds = places != NULL;
	return !places || map_number(r, places, "`round`", 9, &out->places);
}

/* `type` is TYPE_..., or -1 where the cell is text. */
static bool cell(struct map_reader *r, const struct yaml *node, int type, struct map_cell *out)
{
	const struct yaml *part;
	size_t decimals;

	*out = (struct map_cell){ .unit = -1, .unit_column = -1, .decimals = -1 };
	if (!map_only_keys(r, node, "a cell", cell_keys))
		return false;
	part = yaml_get(node, "column");
	if (!part)
		return map_fail(r, node, "`column` is missing");
	if (!map_add_column(r, part, &out->column) || !map_texts(r, yaml_get(node, "missing"), "`missing`", &out->missing))
		return false;
	if ((part = yaml_get(node, "words")) && !pairs(r, part, out))
		return false;
	if ((part = yaml_get(node, "unit")) && !cell_unit(r, part, type, out))
		return false;
	if (!cell_change(r, node, type, &out->change))
		return false;
	if ((part = yaml_get(node, "decimals"))) {
		if (!map_number(r, part, "`decimals`", 9, &decimals))
			return false;
		out->decimals = (int)decimals;
	}
	return true;
}

static bool is_cell(const struct yaml *node)
{
	return node->kind == YAML_MAP && yaml_get(node, "column");
}

static bool item(struct map_reader *r, const struct yaml *node, int type, const char *what, struct map_item *out)
{
	out->fed = is_cell(node);
	if (out->fed)
		return cell(r, node, type, &out->cell);
	if (node->kind == YAML_MAP)
		return map_fail(r, node, "%s: `column` is missing", what);
	return map_scalar(r, node, what, &out->text);
}

/* --- entries --------------------------------------------------------------------------------- */

/* A cell whose column was forgotten, and no list of labels. */
static bool all_cell_keys(const struct yaml *map)
{
	for (size_t i = 0; i < map->n; i++)
		if (!map_has_key(cell_keys, map->key[i].text))
			return false;
	return map->n > 0;
}

/* A field's value: a text, a cell, a list of both, or labels with both. */
static bool field_items(struct map_reader *r, const struct yaml *node, struct map_field *f)
{
	bool labelled = node->kind == YAML_MAP && !is_cell(node);
	int type = f->use->type;

	if (labelled && all_cell_keys(node))
		return map_fail(r, node, "`column` is missing");
	f->n = labelled || node->kind == YAML_LIST ? node->n : 1;
	if (!f->n)
		return map_fail(r, node, "the list is empty");
	f->item = map_own(r, mem_zeroed(f->n, sizeof *f->item));
	for (size_t i = 0; i < f->n; i++) {
		const struct yaml *one = labelled || node->kind == YAML_LIST ? &node->item[i] : node;

		if (labelled)
			f->item[i].label = node->key[i].text;
		if (!item(r, one, type, "a value", &f->item[i]))
			return false;
		f->fed = f->fed || f->item[i].fed;
	}
	return true;
}

static const char *const entry_keys[] = { "event", "subject", "when", NULL };

static bool entry_field(struct map_reader *r, const struct yaml *key, const struct yaml *value, struct map_entry *e)
{
	struct map_field *f = &e->field[e->nfields];
	struct slice near;

	f->use = vocab_use(e->event, key->text);
	if (f->use) {
		e->nfields++;
		return field_items(r, value, f);
	}
	near = vocab_near_use(e->event, key->text);
	return map_fail(r, key, "`%.*s` has no field `%.*s`%s%.*s%s", MAP_SHOWN(e->event->name), MAP_SHOWN(key->text),
		near.n ? "; perhaps `" : "", MAP_SHOWN(near), near.n ? "`?" : "");
}

static const char *const when_keys[] = { "column", "is", NULL };

static bool entry_when(struct map_reader *r, const struct yaml *node, struct map_when *w)
{
	const struct yaml *of;

	if (!map_only_keys(r, node, "`when`", when_keys))
		return false;
	of = yaml_get(node, "column");
	if (!of || !yaml_get(node, "is"))
		return map_fail(r, node, "`when` requires `column` and `is`");
	return map_add_column(r, of, &w->column) && map_texts(r, yaml_get(node, "is"), "`is`", &w->is);
}

static bool entry_whens(struct map_reader *r, const struct yaml *node, struct map_entry *e)
{
	bool many = node && node->kind == YAML_LIST;

	if (!node)
		return true;
	e->nwhen = many ? node->n : 1;
	e->when = map_own(r, mem_zeroed(e->nwhen, sizeof *e->when));
	for (size_t i = 0; i < e->nwhen; i++)
		if (!entry_when(r, many ? &node->item[i] : node, &e->when[i]))
			return false;
	return true;
}

static void sample_value(struct buf *out, const struct map_field *f, const struct map_item *it)
{
	const struct type_def *type = vocab_type(f->use->type);

	if (!it->fed)
		buf_add(out, it->text);
	else if (f->use->field->nwords)
		buf_add(out, f->use->field->words[0]);
	else if (f->use->type == TYPE_DATE)
		buf_str(out, "2026-01-01");
	else if (value_is_number(f->use->type))
		buf_char(out, '1');
	else
		buf_char(out, 'x');
	if (it->fed && type->nunits)
		buf_add(out, vocab_unit(it->cell.unit < 0 ? type->first_unit : it->cell.unit)->name);
}

/* The entry as a line of the book, with something fitting for every cell. */
static void sample_line(struct buf *out, const struct map_entry *e)
{
	buf_str(out, "2026-01-01 12:00 ");
	buf_add(out, e->event->name);
	buf_char(out, ' ');
	buf_add(out, e->subject.fed || e->open ? SLICE("x") : e->subject.text);
	for (size_t i = 0; i < e->nfields; i++) {
		const struct map_field *f = &e->field[i];

		buf_char(out, ' ');
		buf_add(out, f->use->field->name);
		for (size_t k = 0; k < f->n; k++) {
			buf_char(out, k ? ',' : '=');
			buf_add(out, f->item[k].label);
			if (f->item[k].label.n)
				buf_char(out, ':');
			sample_value(out, f, &f->item[k]);
		}
	}
}

/* Whether the book's own reader would take the entry; what it says is the mapping's fault. */
static bool entry_sane(struct map_reader *r, const struct yaml *node, const struct map_entry *e)
{
	struct buf text = BUF_INIT;
	struct diags diags;
	struct parser parser;

	sample_line(&text, e);
	diags_init(&diags);
	parser_init(&parser, r->vocab, &diags);
	if (parse_line(&parser, buf_slice(&text), 1, 0)->kind != LINE_EVENT && diags.n) {
		struct slice why = diag_text(&diags, &diags.row[0]);

		map_fail(r, node, "the book does not accept this entry: %.*s", (int)why.n, why.p);
	}
	parser_release(&parser);
	diags_release(&diags);
	buf_release(&text);
	return !r->failed;
}

static bool entry_event(struct map_reader *r, const struct yaml *node, struct map_entry *e)
{
	const struct yaml *event = yaml_get(node, "event"), *subject = yaml_get(node, "subject");
	struct slice name, near;

	if (!event)
		return map_fail(r, node, "an entry requires `event`, such as `event: air`");
	if (!map_scalar(r, event, "`event`", &name))
		return false;
	e->event = vocab_event(r->vocab, name);
	if (!e->event) {
		near = vocab_near_event(r->vocab, name);
		return map_fail(r, event, "`%.*s` is not a known event%s%.*s%s", MAP_SHOWN(name), near.n ? "; perhaps `" : "",
			MAP_SHOWN(near), near.n ? "`?" : "");
	}
	e->open = !subject;
	return !subject || item(r, subject, -1, "`subject`", &e->subject);
}

static bool entry(struct map_reader *r, const struct yaml *node, struct map_entry *e)
{
	bool fed = false;

	if (node->kind != YAML_MAP)
		return map_fail(r, node, "an entry must hold keys with values");
	e->line = node->line;
	e->col = node->col;
	if (!entry_event(r, node, e) || !entry_whens(r, yaml_get(node, "when"), e))
		return false;
	e->field = map_own(r, mem_zeroed(node->n, sizeof *e->field));
	for (size_t i = 0; i < node->n; i++)
		if (!map_has_key(entry_keys, node->key[i].text) && !entry_field(r, &node->key[i], &node->item[i], e))
			return false;
	for (size_t i = 0; i < e->nfields; i++)
		fed = fed || e->field[i].fed;
	if (!fed)
		return map_fail(r, node, "no field of this entry is read from a column");
	return entry_sane(r, node, e);
}

bool map_read_entries(struct map_reader *r, const struct yaml *root)
{
	const struct yaml *node = yaml_get(root, "entries");

	if (!node || node->kind != YAML_LIST || !node->n)
		return map_fail(r, node ? node : root, "`entries` must list the entries that a row becomes");
	if (node->n > MAP_ENTRIES)
		return map_fail(r, node, "the mapping has more than %d entries", MAP_ENTRIES);
	r->m->nentries = node->n;
	r->m->entry = map_own(r, mem_zeroed(node->n, sizeof *r->m->entry));
	for (size_t i = 0; i < node->n; i++)
		if (!entry(r, &node->item[i], &r->m->entry[i]))
			return false;
	return true;
}
