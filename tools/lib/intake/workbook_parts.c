#include "intake/workbook_internal.h"

enum { PIECE = 1 << 16, STRINGS_MOST = 256 << 20 };

bool package_fail(struct package *p, struct slice path, const char *why, size_t line)
{
	if (p->error.n)
		return false;
	buf_str(&p->error, "the workbook's part ");
	buf_add(&p->error, path);
	if (line)
		buf_printf(&p->error, " is damaged in line %zu: %s", line, why);
	else
		buf_printf(&p->error, " cannot be read: %s", why);
	return false;
}

bool package_part(struct package *p, struct slice path, const struct xml_calls *calls, void *arg)
{
	struct xml_read *xml;
	char *piece;
	long got = 1;

	if (!zip_start(p->zip, path))
		return package_fail(p, path, zip_error(p->zip), 0);
	xml = xml_open(calls, arg);
	piece = mem_array(PIECE, 1);
	while (got > 0 && !p->error.n) {
		size_t line;
		const char *why;

		got = zip_next(p->zip, piece, PIECE);
		if (got < 0)
			package_fail(p, path, zip_error(p->zip), 0);
		else if (!xml_add(xml, (struct slice){ piece, (size_t)got }, got == 0)) {
			why = xml_error(xml, &line);
			package_fail(p, path, why, line);
		}
	}
	free(piece);
	xml_close(xml);
	return !p->error.n;
}

void package_release(struct package *p)
{
	zip_close(p->zip);
	buf_release(&p->error);
	buf_release(&p->book_path);
	buf_release(&p->sheet_path);
	buf_release(&p->strings_path);
	buf_release(&p->styles_path);
	buf_release(&p->sheet_name);
	buf_release(&p->text);
	free(p->string);
	free(p->format);
	free(p->style);
}

/* --- relationships: from a part to others --------------------------------------------------------- */

/* The path of a target, which is written from the part's own folder, or from the root. */
static void target_path(struct slice from, struct slice target, struct buf *out)
{
	size_t folder = from.n;

	while (folder && from.p[folder - 1] != '/')
		folder--;
	out->n = 0;
	if (target.n && target.p[0] == '/') {
		target = slice_from(target, 1);
	} else {
		buf_add(out, slice_upto(from, folder));
		while (slice_starts(target, SLICE("../")) && out->n) {
			target = slice_from(target, 3);
			for (out->n--; out->n && out->p[out->n - 1] != '/';)
				out->n--;
		}
	}
	buf_add(out, target);
}

struct relations {
	struct package *p;
	struct slice from, sheet_id;
	bool sheet;
};

static bool type_is(struct slice type, const char *last)
{
	struct slice word = slice_of(last);

	return type.n > word.n && slice_eq(slice_from(type, type.n - word.n), word) && type.p[type.n - word.n - 1] == '/';
}

static void on_relation(void *arg, struct slice name, const char *const *attributes)
{
	struct relations *r = arg;
	struct slice type = xml_attribute(attributes, "Type"), target = xml_attribute(attributes, "Target");

	if (!slice_eq(name, SLICE("Relationship")) || slice_eq(xml_attribute(attributes, "TargetMode"), SLICE("External")))
		return;
	if (type_is(type, "officeDocument"))
		target_path(r->from, target, &r->p->book_path);
	else if (type_is(type, "sharedStrings"))
		target_path(r->from, target, &r->p->strings_path);
	else if (type_is(type, "styles"))
		target_path(r->from, target, &r->p->styles_path);
	else if (r->sheet_id.n && slice_eq(xml_attribute(attributes, "Id"), r->sheet_id) && type_is(type, "worksheet"))
		target_path(r->from, target, &r->p->sheet_path);
}

/* Reads the relationships of a part: of xl/workbook.xml they are in xl/_rels/workbook.xml.rels. */
static bool read_relations(struct package *p, struct slice from, struct slice sheet_id)
{
	static const struct xml_calls calls = { on_relation, NULL, NULL };
	struct relations r = { p, from, sheet_id, true };
	struct buf path = BUF_INIT;
	size_t folder = from.n;
	bool good;

	while (folder && from.p[folder - 1] != '/')
		folder--;
	buf_add(&path, slice_upto(from, folder));
	buf_str(&path, "_rels/");
	buf_add(&path, slice_from(from, folder));
	buf_str(&path, ".rels");
	good = package_part(p, buf_slice(&path), &calls, &r);
	buf_release(&path);
	return good;
}

/* --- the sheets ----------------------------------------------------------------------------------- */

enum { LISTED_MOST = 400 };

struct sheets {
	struct package *p;
	struct slice wanted;
	struct buf id, names;        /* of the sheet wanted; of all that are not hidden */
	size_t shown, found;
};

static void on_sheet(void *arg, struct slice name, const char *const *attributes)
{
	struct sheets *s = arg;
	struct slice title = xml_attribute(attributes, "name"), state = xml_attribute(attributes, "state");
	bool shown = !state.n || slice_eq(state, SLICE("visible"));

	if (slice_eq(name, SLICE("workbookPr")))
		s->p->days_1904 = slice_eq(xml_attribute(attributes, "date1904"), SLICE("1")) ||
			slice_eq(xml_attribute(attributes, "date1904"), SLICE("true"));
	if (!slice_eq(name, SLICE("sheet")))
		return;
	if (shown) {
		if (s->names.n < LISTED_MOST) {
			buf_str(&s->names, s->shown ? ", `" : "`");
			buf_add(&s->names, title);
			buf_char(&s->names, '`');
		}
		s->shown++;
	}
	if (s->wanted.n ? !slice_eq(title, s->wanted) : !shown)
		return;
	s->found++;
	s->id.n = s->p->sheet_name.n = 0;
	buf_add(&s->id, xml_attribute(attributes, "id"));
	buf_add(&s->p->sheet_name, title);
}

static bool choose_sheet(struct package *p, struct sheets *s)
{
	if (s->wanted.n && !s->found)
		buf_printf(&p->error, "the workbook has no sheet `%.*s`; it has %.*s", (int)s->wanted.n, s->wanted.p, (int)s->names.n, s->names.p);
	else if (!s->found)
		buf_str(&p->error, "the workbook has no sheet that is not hidden; name one, such as `sheet: NAME` in `file`");
	else if (s->found > 1)
		buf_printf(&p->error, "the workbook has %zu sheets: %.*s; name one of them as `sheet` in `file` of the mapping, or with --guess as --sheet", s->found, (int)s->names.n,
			s->names.p);
	return !p->error.n;
}

static bool read_sheets(struct package *p, struct slice wanted)
{
	static const struct xml_calls calls = { on_sheet, NULL, NULL };
	struct sheets s = { .p = p, .wanted = wanted };
	bool good = package_part(p, buf_slice(&p->book_path), &calls, &s) && choose_sheet(p, &s) &&
		read_relations(p, buf_slice(&p->book_path), buf_slice(&s.id));

	if (good && !p->sheet_path.n) {
		buf_printf(&p->error, "the sheet `%.*s` has no cells: it is a chart; name another as `sheet` in `file`",
			(int)p->sheet_name.n, p->sheet_name.p);
		good = false;
	}
	buf_release(&s.id);
	buf_release(&s.names);
	return good;
}

/* --- shared texts --------------------------------------------------------------------------------- */

struct strings {
	struct package *p;
	bool in_item, in_text, in_sound;   /* si, t; rPh, which says how a text sounds */
};

static void string_start(void *arg, struct slice name, const char *const *attributes)
{
	struct strings *s = arg;
	struct package *p = s->p;

	(void)attributes;
	if (slice_eq(name, SLICE("si"))) {
		p->string = mem_grow(p->string, &p->strings_cap, p->nstrings + 1, sizeof *p->string);
		p->string[p->nstrings++] = (struct part_text){ p->text.n, 0 };
		s->in_item = true;
	}
	s->in_sound = s->in_sound || slice_eq(name, SLICE("rPh"));
	s->in_text = s->in_item && !s->in_sound && slice_eq(name, SLICE("t"));
}

static void string_text(void *arg, struct slice text)
{
	struct strings *s = arg;

	if (!s->in_text)
		return;
	buf_add(&s->p->text, text);
	if (s->p->text.n > STRINGS_MOST)
		package_fail(s->p, buf_slice(&s->p->strings_path), "its texts are longer than 256 MiB", 0);
}

static void string_end(void *arg, struct slice name)
{
	struct strings *s = arg;
	struct package *p = s->p;

	s->in_text = false;
	if (slice_eq(name, SLICE("rPh")))
		s->in_sound = false;
	if (!slice_eq(name, SLICE("si")) || !s->in_item)
		return;
	s->in_item = false;
	p->string[p->nstrings - 1].n = p->text.n - p->string[p->nstrings - 1].at;
}

/* --- number formats ------------------------------------------------------------------------------- */

struct styles {
	struct package *p;
	bool in_cells;               /* cellXfs */
};

static unsigned shows_of(const struct package *p, uint32_t id)
{
	for (size_t i = 0; i < p->nformats; i++)
		if (p->format[i].id == id)
			return p->format[i].shows;
	return format_known(id);
}

static void style_start(void *arg, struct slice name, const char *const *attributes)
{
	struct styles *s = arg;
	struct package *p = s->p;
	uint32_t id = whole_number(xml_attribute(attributes, "numFmtId"));

	if (slice_eq(name, SLICE("numFmt"))) {
		p->format = mem_grow(p->format, &p->formats_cap, p->nformats + 1, sizeof *p->format);
		p->format[p->nformats++] = (struct format){ id, format_shows(xml_attribute(attributes, "formatCode")) };
	} else if (slice_eq(name, SLICE("cellXfs"))) {
		s->in_cells = true;
	} else if (s->in_cells && slice_eq(name, SLICE("xf"))) {
		p->style = mem_grow(p->style, &p->styles_cap, p->nstyles + 1, sizeof *p->style);
		p->style[p->nstyles++] = shows_of(p, id);
	}
}

static void style_end(void *arg, struct slice name)
{
	struct styles *s = arg;

	if (slice_eq(name, SLICE("cellXfs")))
		s->in_cells = false;
}

bool package_read(struct package *p, struct slice sheet)
{
	static const struct xml_calls string_calls = { string_start, string_text, string_end };
	static const struct xml_calls style_calls = { style_start, NULL, style_end };
	struct strings strings = { .p = p };
	struct styles styles = { .p = p };

	if (!zip_has(p->zip, SLICE("_rels/.rels"))) {
		buf_str(&p->error, "it is a zip archive, but not an .xlsx workbook; unpack it first");
		return false;
	}
	if (!read_relations(p, SLICE(""), SLICE("")))
		return false;
	if (!p->book_path.n) {
		buf_str(&p->error, "it is a zip archive, but not an .xlsx workbook; unpack it first");
		return false;
	}
	return read_sheets(p, sheet) &&
		(!p->strings_path.n || package_part(p, buf_slice(&p->strings_path), &string_calls, &strings)) &&
		(!p->styles_path.n || package_part(p, buf_slice(&p->styles_path), &style_calls, &styles));
}
