#include "day.h"
#include "works.h"

const struct kind kinds[TYPES] = {
	{ "SH", 1.00, 1640, "HS" },
	{ "HA", 1.08, 1450, "HS" },
	{ "S6", 1.18, 1180, "HJ" },
	{ "S5", 1.25, 1020, "HJ" },
};

const char *const grades[GRADES] = { "1", "2", "3", "4" };

/* OLD is what stood in the yard and the store when the book begins. */
const struct source sources[] = {
	{ "OLD", "", "", "", "NZD", false, { .08, .26, .40, .26 }, 1.00, .10, .020, .030, .030, { 0 }, 0 },
	{ "P12", "hale", "weir-paddock", "", "NZD", false, { .11, .29, .36, .24 }, 1.00, .09, .018, .025, .025, { 0 }, 0 },
	{ "P13", "hale", "mill-road", "", "NZD", false, { .03, .15, .37, .45 }, 0.97, .17, .022, .060, .045, { 0 }, 0 },
	{ "P14", "ranui", "ford-bend", "", "NZD", false, { .09, .28, .38, .25 }, 1.02, .10, .018, .030, .030, { 0 }, 0 },
	{ "P15", "ranui", "long-acre", "", "NZD", false, { .07, .24, .40, .29 }, 1.00, .12, .020, .035, .030, { 0 }, 0 },
	{ "alder", "alder", "", "GB", "GBP", true, { .10, .30, .38, .22 }, 1.04, 0, .014, .022, .022, { .25, .50, .25 }, 7.40 },
	{ "koethe", "koethe", "", "DE", "EUR", true, { .04, .18, .40, .38 }, 0.92, 0, .030, .050, .050, { .40, .45, .15 }, 6.80 },
};
const size_t sources_n = sizeof sources / sizeof sources[0];

const struct felling fellings[] = {
	{ 2026, 6, 8, "P12", 12 },
	{ 2026, 7, 13, "P13", 10 },
	{ 2027, 6, 8, "P14", 12 },
	{ 2027, 7, 19, "P15", 10 },
};
const size_t fellings_n = sizeof fellings / sizeof fellings[0];

const struct buying buyings[] = {
	{ 2026, 2, 16, "C010", "alder", "yard/b2", { 900, 120, 140, 0 }, 31, NULL },
	{ 2026, 3, 23, "D005", "koethe", "yard/b4", { 640, 0, 90, 0 }, 29, NULL },
	{ 2026, 5, 18, "C011", "alder", "yard/b2", { 980, 100, 0, 100 }, 30, NULL },
	{ 2026, 8, 10, "D006", "koethe", "yard/b4", { 700, 0, 0, 80 }, 28, NULL },
	{ 2026, 8, 31, "C012", "alder", "yard/b2", { 820, 120, 110, 0 }, 30, NULL },
	{ 2026, 11, 30, "C013", "alder", "yard/b5", { 960, 110, 120, 0 }, 29, NULL },
	{ 2026, 12, 14, "D007", "koethe", "yard/b4", { 690, 0, 110, 0 }, 30, NULL },
	{ 2027, 3, 8, "C014", "alder", "yard/b2", { 1240, 120, 140, 0 }, 28, "koethe" },
	{ 2027, 5, 10, "D008", "koethe", "yard/b4", { 620, 0, 60, 70 }, 29, NULL },
	{ 2027, 5, 31, "C015", "alder", "yard/b2", { 1010, 140, 130, 90 }, 30, NULL },
	{ 2027, 8, 30, "C016", "alder", "yard/b5", { 980, 90, 130, 0 }, 29, NULL },
	{ 2027, 10, 11, "D009", "koethe", "yard/b4", { 830, 0, 110, 60 }, 29, NULL },
};
const size_t buyings_n = sizeof buyings / sizeof buyings[0];

const struct plan plans[] = {
	{ "K26-01", "south", 2026, 1, 13, { { "OLD", NULL, 0 }, { "C009", "SH", 0 } }, { TR_NONE } },
	{ "K26-02", "north", 2026, 2, 3, { { "D004", NULL, 0 }, { "C009", "S6", 0 } }, { TR_WET_POCKET } },
	{ "K26-03", "south", 2026, 4, 8, { { "C010", NULL, 0 } }, { TR_DEAD_WIRE } },
	{ "K26-04", "north", 2026, 5, 5, { { "D005", NULL, 0 } }, { TR_WET_STAY } },
	{ "K26-05", "south", 2026, 6, 30, { { "C011", "SH", 0 }, { "C011", "S5", 0 } }, { TR_TRIP } },
	{ "K26-06", "north", 2026, 9, 15, { { "D006", NULL, 0 }, { "C011", "HA", 0 } }, { TR_NONE } },
	{ "K26-07", "south", 2026, 10, 13, { { "P12", NULL, 0 }, { "C012", "SH", 560 } }, { TR_WET_POCKET } },
	{ "K26-08", "north", 2026, 11, 3, { { "P13", NULL, 0 }, { "C012", NULL, 0 } }, { TR_FROZEN } },
	{ "K27-01", "south", 2027, 1, 19, { { "C013", NULL, 0 } }, { TR_NONE } },
	{ "K27-02", "north", 2027, 2, 9, { { "D007", NULL, 0 } }, { TR_WET_POCKET } },
	{ "K27-03", "south", 2027, 4, 20, { { "C014", NULL, 0 } }, { TR_NONE } },
	{ "K27-04", "north", 2027, 6, 22, { { "D008", NULL, 0 } }, { TR_DEAD_WIRE } },
	{ "K27-05", "south", 2027, 7, 13, { { "C015", "SH", 0 }, { "C015", "HA", 0 } }, { TR_NONE } },
	{ "K27-06", "north", 2027, 8, 24, { { "C015", NULL, 0 } }, { TR_NONE } },
	{ "K27-07", "south", 2027, 10, 5, { { "P14", NULL, 0 }, { "C016", "SH", 900 } }, { TR_WET_POCKET } },
	{ "K27-08", "north", 2027, 10, 19, { { "P15", NULL, 0 }, { "C016", NULL, 0 } }, { TR_WET_STAY } },
	{ "K27-09", "south", 2027, 12, 7, { { "D009", NULL, 0 } }, { TR_NONE } },
};
const size_t plans_n = sizeof plans / sizeof plans[0];

int kind_index(const char *type)
{
	for (int i = 0; i < TYPES; i++)
		if (strcmp(kinds[i].id, type) == 0)
			return i;
	stop("no type %s", type);
}

const struct source *source_of(const char *id)
{
	for (size_t i = 0; i < sources_n; i++)
		if (strcmp(sources[i].id, id) == 0)
			return &sources[i];
	stop("no source %s", id);
}
