#include "intake/mapping_internal.h"
#include "time/calendar.h"
#include "time/zone.h"

static bool time_columns(struct map_reader *r, const struct yaml *node)
{
	struct mapping *m = r->m;
	const struct yaml *one = yaml_get(node, "column"), *many = yaml_get(node, "columns");

	if (!one == !many)
		return map_fail(r, node, "`time` requires `column`, or `columns` for date and time in the order of `form`");
	if (one) {
		m->ntime = 1;
		return map_add_column(r, one, &m->time_column[0]);
	}
	if (many->kind != YAML_LIST || !many->n || many->n > MAP_TIME_COLUMNS)
		return map_fail(r, many, "`columns` must list at most %d columns", MAP_TIME_COLUMNS);
	for (m->ntime = 0; m->ntime < many->n; m->ntime++)
		if (!map_add_column(r, &many->item[m->ntime], &m->time_column[m->ntime]))
			return false;
	return true;
}

static bool time_form(struct map_reader *r, const struct yaml *node, const struct yaml *form)
{
	const char *why;
	struct slice s;

	if (!form)
		return map_fail(r, node, "`form` is missing; write the form of the time, such as \"DD.MM.YYYY hh:mm\"");
	if (!map_scalar(r, form, "`form`", &s))
		return false;
	return time_format_compile(&r->m->form, s, &why) || map_fail(r, form, "the form is not valid: %s", why);
}

static bool time_clock(struct map_reader *r, const struct yaml *node)
{
	struct mapping *m = r->m;
	struct zone_error why;
	struct slice s;

	m->clock = m->form.offset ? CLOCK_STAMP : CLOCK_WALL;
	if (!node)
		return true;
	if (!map_scalar(r, node, "`clock`", &s))
		return false;
	if (!s.n)
		return map_fail(r, node, "`clock` is empty; write `wall`, an offset such as \"+12:00\", or a zone such as Pacific/Auckland");
	if (m->form.offset)
		return map_fail(r, node, "the form of the time already gives the offset; remove `clock`");
	if (slice_eq(s, SLICE("wall")))
		return true;
	m->clock = slice_eq(s, SLICE("header")) ? CLOCK_HEADER : CLOCK_ZONE;
	if (m->clock == CLOCK_HEADER)
		return true;
	m->zone = zone_load(s, &why);
	return m->zone || map_fail(r, node, "%s", why.text);
}

static const char *const offset_keys[] = { "column", "in", NULL };
static const char *const offset_words[] = { "quarter-hours", "hours", "minutes", "seconds", "text", NULL };

static bool time_offset(struct map_reader *r, const struct yaml *node)
{
	struct mapping *m = r->m;
	int in;

	if (!node)
		return true;
	if (m->clock != CLOCK_WALL || !map_only_keys(r, node, "`offset`", offset_keys))
		return map_fail(r, node, "the offset is given twice; keep `clock` or `offset`");
	if (!yaml_get(node, "column") || !yaml_get(node, "in"))
		return map_fail(r, node, "`offset` requires `column` and its unit `in`");
	in = map_word(r, yaml_get(node, "in"), "`in`", offset_words);
	if (in < 0)
		return false;
	m->clock = CLOCK_COLUMN;
	m->offset_in = (enum map_offset)in;
	return map_add_column(r, yaml_get(node, "column"), &m->offset_column);
}

/* 10min, 30s, 1h, 1d, none. */
static bool time_interval(struct map_reader *r, const struct yaml *node)
{
	static const struct { const char *unit; int64_t s; } units[] = { { "s", 1 }, { "min", MINUTE_S }, { "h", HOUR_S }, { "d", DAY_S } };
	struct slice s;
	int64_t n = 0;

	if (!node)
		return true;
	if (!map_scalar(r, node, "`interval`", &s))
		return false;
	if (slice_eq(s, SLICE("none"))) {
		r->m->interval_s = -1;
		return true;
	}
	while (s.n && s.p[0] >= '0' && s.p[0] <= '9' && n < 100000) {
		n = n * 10 + (s.p[0] - '0');
		s = slice_from(s, 1);
	}
	for (size_t i = 0; i < sizeof units / sizeof *units; i++)
		if (n > 0 && slice_eq(slice_trim(s), slice_of(units[i].unit)))
			r->m->interval_s = n * units[i].s;
	return r->m->interval_s || map_fail(r, node, "`interval` must be a time such as 30s, 10min, 1h or 1d, or `none`");
}

static bool time_words(struct map_reader *r, const struct yaml *node)
{
	struct time_words *w = &r->m->words;
	struct map_list am, pm, months;

	if (!map_texts(r, yaml_get(node, "am"), "`am`", &am) || !map_texts(r, yaml_get(node, "pm"), "`pm`", &pm) ||
	    !map_texts(r, yaml_get(node, "months"), "`months`", &months))
		return false;
	if (months.n && months.n != 12)
		return map_fail(r, yaml_get(node, "months"), "`months` must list twelve names");
	*w = (struct time_words){ am.v, pm.v, months.v, am.n, pm.n, months.n, NULL, NULL, 0 };
	return true;
}

/* Words for offsets: {CET: "+01:00", CEST: "+02:00"}. */
static bool time_zones(struct map_reader *r, const struct yaml *node)
{
	struct time_words *w = &r->m->words;

	if (!node)
		return true;
	if (node->kind != YAML_MAP || !node->n)
		return map_fail(r, node, "`zones` must map the words of the time to offsets, such as {CET: \"+01:00\"}");
	if (!r->m->form.offset || r->m->form.number)
		return map_fail(r, node, "`zones` requires a form with OFFSET, where the words are");
	w->zone = map_own(r, mem_array(node->n, sizeof *w->zone));
	w->zone_s = map_own(r, mem_array(node->n, sizeof *w->zone_s));
	for (size_t i = 0; i < node->n; i++) {
		struct slice text;

		w->zone[i] = node->key[i].text;
		if (!map_scalar(r, &node->item[i], "an offset", &text))
			return false;
		if (!zone_offset_parse(text, &w->zone_s[i]))
			return map_fail(r, &node->item[i], "`%.*s` is not a valid offset; write it as in \"+01:00\"", MAP_SHOWN(text));
	}
	w->nzone = node->n;
	return true;
}

static const char *const time_keys[] = {
	"column", "columns", "form", "clock", "offset", "am", "pm", "months", "zones", "interval", NULL
};

bool map_read_time(struct map_reader *r, const struct yaml *root)
{
	const struct yaml *node = yaml_get(root, "time");

	if (!node)
		return map_fail(r, root, "`time` is missing; write its `column` and `form`");
	return map_only_keys(r, node, "`time`", time_keys) && time_columns(r, node) &&
		time_form(r, node, yaml_get(node, "form")) && time_clock(r, yaml_get(node, "clock")) &&
		time_offset(r, yaml_get(node, "offset")) && time_words(r, node) && time_zones(r, yaml_get(node, "zones")) &&
		time_interval(r, yaml_get(node, "interval"));
}
