/* wy-air - the climate of kilns and rooms by place and month; wy-air(1). */
#include "air/air_book.h"
#include "air/air_counts.h"
#include "air/air_scan.h"
#include "air/air_view.h"
#include "air/kiln_stays.h"
#include "cli/tool_group.h"

/* ---- options */

static const char *of = "temp,rh,emc", *reference;
static bool by_time, want_spells, want_gaps, want_outlook, want_chart, raw;
static struct opt_list want_places;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &tool_group_by, "KEY,...", "a row for each place, month or day, in this order (place,month)"),
	OPT_TEXT(0, "of", &of, "WHAT,...", "only these of temp, rh and emc; faster without emc"),
	OPT_FLAG(0, "timed", &by_time, "means over time, and hours in and out of band"),
	OPT_FLAG(0, "spells", &want_spells, "each stretch out of band: from, to, how far"),
	OPT_FLAG(0, "gaps", &want_gaps, "gaps, repeated times, and clocks that were set back"),
	OPT_FLAG(0, "outlook", &want_outlook, "the moisture of the wood in each place with a target, now and in 1, 4 and 12 weeks"),
	OPT_FLAG(0, "chart", &want_chart, "control chart of the daily means; needs --reference"),
	OPT_TEXT(0, "reference", &reference, "FROM..TO", "the days from which --chart calculates its limits"),
	OPT_LIST(0, "place", &want_places, "ID", "only this place; may be repeated (all)"),
	OPT_FLAG(0, "raw", &raw, "do not correct readings by the checks of the instruments"),
	OPT_PART(tool_group_options),
	OPT_PART(tool_house_options),
	OPT_PART(tool_form_options),
	OPT_PART(tool_on_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-air",
	.purpose = "the climate of kilns and rooms: temperature, humidity, and the moisture at which wood equilibrates",
	.usage = "[options] [FILE...]\n--merge [options] [STATE...]\n--timed | --spells | --gaps | --outlook | --chart --reference=FROM..TO [options] [FILE...]",
	.options = options,
	.example = "wy-air --by=place,month book.wy\na row for each place and month",
};

/* ---- what is asked */

static struct book book;

static bool is_timed(void)
{
	return by_time || want_spells || want_gaps || want_outlook || want_chart;
}

/* The views by time need the readings: a state has only counts and sums. */
static void check_views(void)
{
	int views = by_time + want_spells + want_gaps + want_outlook + want_chart;

	if (views > 1)
		tool_misused("--timed, --spells, --gaps, --outlook and --chart exclude one another; choose one");
	if (views && (tool_state.partial || tool_state.merge))
		tool_misused("a view by time has no state; leave out --partial and --merge");
	if (raw && (!views || want_gaps))
		tool_misused("--raw needs --timed, --spells, --outlook or --chart; only these correct readings");
	if (tool_group_by && views && !by_time)
		tool_misused("--by needs the means by reading, or --timed");
	if (want_chart != (reference != NULL))
		tool_misused("--chart and --reference need each other, as in --chart --reference=2026-01-01..2026-01-31");
	if (tool.on.text && !want_outlook)
		tool_misused("--on needs --outlook");
}

static void choose(struct air_ask *ask)
{
	size_t chosen[AIR_QUANTITIES], n = tool_group_list("--of", of, air_words, chosen);

	for (size_t i = 0; i < n; i++)
		ask->wants[chosen[i]] = true;
	tool_group_start(air_by_words, "place,month");
	if (tool_group_has(AIR_BY_MONTH) && tool_group_has(AIR_BY_DAY))
		tool_misused("--by accepts month or day, but not both");
	ask->by = tool_group.by;
	ask->nby = tool_group.nby;
	ask->from = tool_group.from;
	ask->to = tool_group.to;
	ask->place = want_places.v;
	ask->nplaces = want_places.n;
	ask->raw = raw;
}

/* A place that the house file does not list is a slip of the pen; without a list any may have readings. */
static void check_places(void)
{
	for (size_t i = 0; book.house && house_has(book.house, HOUSE_PLACE) && i < want_places.n; i++) {
		struct slice place = slice_of(want_places.v[i]), near;

		if (house_place(book.house, place))
			continue;
		near = house_near(book.house, HOUSE_PLACE, place);
		tool_misused(near.n ? "--place=%s is not a place of the house file; perhaps %.*s?" : "--place=%s is not a place of the house file%.*s",
			want_places.v[i], (int)near.n, near.p);
	}
}

static void warn_of_nothing(void)
{
	if (want_places.n)
		tool_warn("the book has no readings of the air at %s%s; --by=place without --place lists the places that it has", want_places.v[0],
			want_places.n > 1 ? " or the other places" : "");
}

/* ---- by reading */

/* Whether the form begins with a finding and ends with notes. */
static bool is_for_reading(void)
{
	return tool_form() != TABLE_AS_TSV && tool_form() != TABLE_AS_CSV && tool_form() != TABLE_AS_JSON;
}

/* The table has it as a note; where the form has no notes it is a warning. */
static void print_counts(struct air_counts *counts)
{
	struct table t;
	bool guessed = air_counts_table(counts, &t);

	if (guessed && !is_for_reading())
		tool_warn("%s", AIR_COUNTS_GUESSED);
	tool_print_table(&t);
	table_release(&t);
}

static int answer_by_reading(const struct air_ask *ask)
{
	struct air_counts counts;
	struct groups *sets[] = { &counts.groups, &counts.written.read, &counts.written.checks };
	struct partial state = { .tool = "wy-air", .set = sets, .nsets = 3 };
	const struct scan_work work = air_counts_work(&counts);
	int status;

	air_counts_init(&counts, ask);
	counts.noted = is_for_reading() || tool_state.partial;
	air_ask_settings(ask, &tool_group.settings);
	status = tool_group_read(&book, &work, &state);
	if (!tool_state.partial) {
		if (!counts.groups.n)
			warn_of_nothing();
		print_counts(&counts);
		status = counts.groups.n ? status : TOOL_NO;
	}
	air_counts_release(&counts);
	return status;
}

/* ---- what goes by time */

static struct air_book readings;

static bool any;

/* Rows as they come: there may be many thousands of them. A finding comes before them, so then they wait. */
static void print_some(struct table *t)
{
	any |= table_rows(t) > 0;
	if (!is_for_reading())
		tool_print_rows(t);
}

static void print_view(const struct air_ask *ask)
{
	struct table t;

	(by_time ? air_view_timed : want_spells ? air_view_spells : want_gaps ? air_view_gaps
		: want_outlook ? air_view_outlook : air_view_chart)(ask, &t);
	print_some(&t);
	tool_print_rest(&t);
	table_release(&t);
}

/* An empty list of spells or gaps is an answer; an outlook or a chart without rows is not. */
static bool is_answered(void)
{
	if (any || (!want_outlook && !want_chart))
		return readings.nrecords > 0;
	if (readings.nrecords)
		tool_warn(want_outlook ? "no place with readings up to that day has a target in the house file"
			: "no place has 10 known days in the reference period that differ, so there are no limits");
	return false;
}

static int answer_in_time(struct air_ask *ask)
{
	struct kiln_stays stays;
	struct air_scan scan = { ask, &readings, want_gaps ? &stays : NULL };
	const struct scan_work work = air_scan_work(&scan);
	int status;

	if (want_chart && !air_ask_reference(ask, slice_of(reference)))
		tool_misused("--reference=%s is not a range of days; write --reference=2026-01-01..2026-01-31", reference);
	if (want_outlook)
		ask->as_of = book_today(&book);
	ask->some = print_some;
	ask->book = &readings;
	kiln_stays_init(&stays);
	air_book_init(&readings, book.zone, want_outlook ? book.house : NULL);
	book_scan(&book, &work);
	status = book_end(&book);
	readings.jobs = book_workers();
	air_book_settle(&readings);
	kiln_stays_settle(&stays);
	ask->stays = &stays;
	if (!readings.nrecords)
		warn_of_nothing();
	print_view(ask);
	status = is_answered() ? status : TOOL_NO;
	air_book_release(&readings);
	kiln_stays_release(&stays);
	return status;
}

int main(int argc, char **argv)
{
	struct air_ask ask = { .house = NULL };

	tool_start(&page, argc, argv);
	check_views();
	choose(&ask);
	book_start(&book, 0);
	ask.house = book.house;
	check_places();
	return tool_finish(is_timed() ? answer_in_time(&ask) : answer_by_reading(&ask));
}
