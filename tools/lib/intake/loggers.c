#include "intake/loggers.h"

#include "house/house.h"
#include "intake/export_file.h"
#include "intake/export_head.h"
#include "intake/mapping.h"

/* --- words ---------------------------------------------------------------------------------------- */

/* Bytes of letters beyond ASCII count as letters. */
static bool is_letter(char c)
{
	return (c >= '0' && c <= '9') || (unsigned char)((c | 32) - 'a') < 26 || (unsigned char)c >= 0x80;
}

bool logger_has_word(struct slice text, struct slice word)
{
	for (size_t i = 0; word.n && i + word.n <= text.n; i++) {
		if (!slice_eq((struct slice){ text.p + i, word.n }, word))
			continue;
		if ((i == 0 || !is_letter(text.p[i - 1]) || !is_letter(word.p[0])) &&
		    (i + word.n == text.n || !is_letter(text.p[i + word.n]) || !is_letter(word.p[word.n - 1])))
			return true;
	}
	return false;
}

/* The file's name without its folder and its last ending. */
static struct slice stem(const char *path)
{
	const char *slash = strrchr(path, '/');
	struct slice s = slice_of(slash ? slash + 1 : path);
	size_t n = s.n;

	while (n && s.p[n - 1] != '.')
		n--;
	return n > 1 ? slice_upto(s, n - 1) : s;
}

/* --- what to write of a logger that is not known ---------------------------------------------------- */

static bool is_id(char c)
{
	return (is_letter(c) && (unsigned char)c < 0x80) || c == '-' || c == '_';
}

/* The first word with a digit after a word that announces a serial number. */
static struct slice announced(struct slice line)
{
	static const char *const signs[] = { "Serial", "serial", "SERIAL", "S/N", "s/n", "SN", "Logger", "logger", "Device", "device" };

	for (size_t k = 0; k < sizeof signs / sizeof *signs; k++)
		for (size_t i = 0, n = strlen(signs[k]); i + n <= line.n; i++) {
			if (memcmp(line.p + i, signs[k], n) != 0)
				continue;
			for (size_t from = i + n; from < line.n;) {
				size_t to = from;
				bool digit = false;

				for (; to < line.n && is_id(line.p[to]); to++)
					digit = digit || (line.p[to] >= '0' && line.p[to] <= '9');
				if (digit && to - from > 1)
					return (struct slice){ line.p + from, to - from };
				from = to + 1;
			}
		}
	return (struct slice){ "", 0 };
}

static struct slice likely_serial(const struct export_head *h, const char *path)
{
	for (size_t i = 0; i < h->n; i++) {
		struct slice s = announced(export_head_line(h, i));

		if (s.n)
			return s;
	}
	return stem(path);
}

/* A place that has no logger yet, else any. */
static struct slice free_place(const struct house *house)
{
	for (size_t i = 0; i < house->nplaces; i++) {
		bool taken = house->places[i].kind == HOUSE_PLACE_KIND_YARD;

		for (size_t k = 0; k < house->nloggers; k++)
			taken = taken || slice_eq(house->loggers[k].place, house->places[i].id);
		if (!taken)
			return house->places[i].id;
	}
	return house->nplaces ? house->places[0].id : (struct slice){ "", 0 };
}

static void add_quoted(struct buf *out, struct slice s)
{
	buf_char(out, '"');
	for (size_t i = 0; i < s.n; i++) {
		if (s.p[i] == '"' || s.p[i] == '\\')
			buf_char(out, '\\');
		buf_char(out, s.p[i]);
	}
	buf_char(out, '"');
}

static void unknown(const struct house *house, const char *house_path, const struct export_head *h, const char *path, struct buf *why)
{
	const struct house_logger *like = &house->loggers[0];

	buf_printf(why, "no logger of %s is named in it; add this line to `loggers`, with its own place and mapping: - {serial: ", house_path);
	add_quoted(why, likely_serial(h, path));
	buf_str(why, ", mapping: ");
	add_quoted(why, like->mapping);
	if (like->place.n) {
		buf_str(why, ", place: ");
		buf_add(why, free_place(house));
	}
	buf_char(why, '}');
}

/* --- finding ---------------------------------------------------------------------------------------- */

static bool is_named(const struct export_head *h, const char *path, struct slice serial)
{
	if (logger_has_word(stem(path), serial))
		return true;
	for (size_t i = 0; i < h->n; i++)
		if (logger_has_word(export_head_line(h, i), serial))
			return true;
	return false;
}

/* A serial number within another that is found too (7 in `room 7`) says nothing. */
static bool says_more(const struct house *house, int than, int other)
{
	struct slice a = house->loggers[than].serial, b = house->loggers[other].serial;

	return b.n > a.n && logger_has_word(b, a);
}

static int choose(const struct house *house, int found, int i, struct buf *why)
{
	if (found == LOGGER_NONE || says_more(house, found, i))
		return i;
	if (!says_more(house, i, found) && !why->n)
		buf_printf(why, "two loggers are named in it: `%.*s` and `%.*s`; take it in alone, with its --map", (int)house->loggers[found].serial.n,
			house->loggers[found].serial.p, (int)house->loggers[i].serial.n, house->loggers[i].serial.p);
	return found;
}

static bool is_there(const char *path, struct buf *why)
{
	const char *text;
	int fd = export_open(path, &text);

	why->n = 0;
	if (fd >= 0)
		export_close(fd);
	else
		buf_printf(why, "it cannot be read: %s", text);
	return fd >= 0;
}

int logger_find(const struct house *house, const struct mapping *map, const char *house_path, const char *path, struct buf *why)
{
	struct export_head head = { .n = 0 };
	int found = LOGGER_NONE;

	if (!is_there(path, why))
		return LOGGER_NONE;
	for (size_t i = 0; i < house->nloggers; i++) {
		struct buf error = BUF_INIT;

		export_head_release(&head);
		/* a workbook may have no such sheet: then it is of another logger */
		export_head_read(&head, path, &map[i], &error);
		if (is_named(&head, path, house->loggers[i].serial))
			found = choose(house, found, (int)i, why);
		buf_release(&error);
	}
	if (found == LOGGER_NONE)
		unknown(house, house_path, &head, path, why);
	export_head_release(&head);
	return why->n ? LOGGER_NONE : found;
}
