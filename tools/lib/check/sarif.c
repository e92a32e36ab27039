#include "check/sarif.h"

#include <stdlib.h>

#include "base/escape.h"
#include "book/diag.h"

void sarif_init(struct sarif *s)
{
	memset(s, 0, sizeof *s);
}

void sarif_release(struct sarif *s)
{
	free(s->line);
	buf_release(&s->text);
	memset(s, 0, sizeof *s);
}

static bool is_ascii(struct slice s)
{
	unsigned char all = 0;

	for (size_t i = 0; i < s.n; i++)
		all |= (unsigned char)s.p[i];
	return all < 0x80;
}

void sarif_keep(struct sarif *s, uint32_t file, uint64_t line, struct slice text)
{
	if (is_ascii(text))
		return;
	s->line = mem_grow(s->line, &s->cap, s->n + 1, sizeof *s->line);
	s->line[s->n++] = (struct sarif_line){ file, line, s->text.n, text.n };
	buf_add(&s->text, text);
}

/* The line's index among those kept, or the index where it belongs. */
static size_t find(const struct sarif *s, struct place place)
{
	size_t low = 0, high = s->n;

	while (low < high) {
		size_t mid = low + (high - low) / 2;
		const struct sarif_line *l = &s->line[mid];

		if (l->file < place.file || (l->file == place.file && l->line < place.line))
			low = mid + 1;
		else
			high = mid;
	}
	return low;
}

/* The line's text; empty when its columns are its bytes. */
static struct slice text_of(const struct sarif *s, struct place place)
{
	size_t at = find(s, place);

	if (at == s->n || s->line[at].file != place.file || s->line[at].line != place.line)
		return SLICE("");
	return slice_upto(slice_from(buf_slice(&s->text), s->line[at].at), s->line[at].n);
}

/* The line is kept where its columns are not its bytes; without it `text` is empty. */
static size_t column(struct slice text, uint32_t col)
{
	return (text.n ? utf8_units_before(text, col - 1u) : col - 1u) + 1;
}

static bool is_unreserved(unsigned char c)
{
	return (c >= '0' && c <= '9') || ((c | 32) >= 'a' && (c | 32) <= 'z') || c == '-' || c == '.' || c == '_' || c == '~' || c == '/';
}

/* A URI reference (RFC 3986). */
static void add_uri(struct buf *out, const char *path)
{
	struct buf uri = BUF_INIT;

	if (strcmp(path, "-") == 0)
		buf_str(&uri, "stdin");
	else if (path[0] == '/')
		buf_str(&uri, "file://");
	for (const char *p = path; *p && strcmp(path, "-") != 0; p++) {
		if (is_unreserved((unsigned char)*p))
			buf_char(&uri, *p);
		else
			buf_printf(&uri, "%%%02X", (unsigned char)*p);
	}
	buf_json(out, buf_slice(&uri));
	buf_release(&uri);
}

static void add_text(struct buf *out, const char *key, struct slice text)
{
	buf_printf(out, "\"%s\":{\"text\":", key);
	buf_json(out, text);
	buf_char(out, '}');
}

static void add_rule(struct buf *out, const struct diags *d, int rule)
{
	const struct rule_def *def = diag_rule(rule);
	struct buf text = BUF_INIT;

	buf_str(out, "{\"id\":");
	buf_json(out, def->id);
	buf_char(out, ',');
	diag_shape(&text, rule, def->text);
	add_text(out, "shortDescription", buf_slice(&text));
	buf_char(out, ',');
	text.n = 0;
	buf_str(&text, "To fix it: ");
	diag_shape(&text, rule, def->mend);
	buf_str(&text, ". Clause ");
	buf_add(&text, def->clause);
	buf_str(&text, " of book(5). Wrong:\n");
	buf_add(&text, def->wrong);
	buf_str(&text, "Right:\n");
	buf_add(&text, def->right);
	add_text(out, "help", buf_slice(&text));
	buf_str(out, ",\"defaultConfiguration\":{\"level\":");
	buf_json(out, diag_level_word(d->level[rule]));
	buf_str(out, "}}");
	buf_release(&text);
}

static void add_message(struct buf *out, const struct diags *d, const struct diag *row)
{
	struct buf text = BUF_INIT;

	buf_add(&text, diag_text(d, row));
	if (row->mend_n) {
		buf_str(&text, "; ");
		buf_add(&text, diag_mend(d, row));
	}
	add_text(out, "message", buf_slice(&text));
	buf_release(&text);
}

static void add_result(struct buf *out, const struct sarif *s, const struct diags *d, const struct diag *row, const char *path)
{
	struct slice text = text_of(s, row->place);

	buf_str(out, "{\"ruleId\":");
	buf_json(out, diag_rule(row->rule)->id);
	buf_printf(out, ",\"ruleIndex\":%d,\"level\":", row->rule);
	buf_json(out, diag_level_word(row->level));
	buf_char(out, ',');
	add_message(out, d, row);
	buf_str(out, ",\"locations\":[{\"physicalLocation\":{\"artifactLocation\":{\"uri\":");
	add_uri(out, path);
	buf_printf(out, "},\"region\":{\"startLine\":%llu,\"startColumn\":%zu,\"endColumn\":%zu}}}]}",
		(unsigned long long)row->place.line, column(text, row->place.col), column(text, row->place.end));
}

void sarif_write(struct buf *out, const struct sarif *s, const struct diags *d, const char *const *path, const char *version)
{
	buf_str(out, "{\"$schema\":\"https://json.schemastore.org/sarif-2.1.0.json\",\"version\":\"2.1.0\",\"runs\":[{\n");
	buf_str(out, "\"tool\":{\"driver\":{\"name\":\"wy-check\",\"version\":");
	buf_json(out, slice_of(version));
	buf_str(out, ",\"rules\":[\n");
	for (int i = 0; i < RULES_END; i++) {
		buf_str(out, i ? ",\n" : "");
		add_rule(out, d, i);
	}
	buf_str(out, "]}},\n\"columnKind\":\"utf16CodeUnits\",\n\"results\":[");
	for (size_t i = 0; i < d->n; i++) {
		buf_str(out, i ? ",\n" : "\n");
		add_result(out, s, d, &d->row[i], path[d->row[i].place.file]);
	}
	buf_str(out, "]}]}\n");
}
