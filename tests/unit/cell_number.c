/* cell_number.c - numbers and units in cells: what was written stays, what the book cannot hold goes. */
#include <stdio.h>

#include "intake/cell_number.h"

static int failures;

static const struct {
	const char *cell;
	char decimal;
	const char *thousands, *number;
	enum reading_mark mark;
	const char *unit;
} good[] = {
	{ "23.5", '.', "", "23.5", CELL_EXACT, "" },
	{ "23,50", ',', "", "23.50", CELL_EXACT, "" },
	{ "-0.0", '.', "", "-0.0", CELL_EXACT, "" },
	{ "+23.5", '.', "", "23.5", CELL_EXACT, "" },
	{ "\xe2\x88\x92" "3,5", ',', "", "-3.5", CELL_EXACT, "" },
	{ ".5", '.', "", "0.5", CELL_EXACT, "" },
	{ "5.", '.', "", "5", CELL_EXACT, "" },
	{ "007", '.', "", "7", CELL_EXACT, "" },
	{ "00.50", '.', "", "0.50", CELL_EXACT, "" },
	{ "1.234,5", ',', ".", "1234.5", CELL_EXACT, "" },
	{ "1'234'567", '.', "'", "1234567", CELL_EXACT, "" },
	{ "1\xc2\xa0" "234,5", ',', "\xc2\xa0", "1234.5", CELL_EXACT, "" },
	{ "2.35E+01", '.', "", "23.5", CELL_EXACT, "" },
	{ "2.35e-3", '.', "", "0.00235", CELL_EXACT, "" },
	{ "235e-1", '.', "", "23.5", CELL_EXACT, "" },
	{ "2.5e3", '.', "", "2500", CELL_EXACT, "" },
	{ "23.5\xc2\xb0" "C", '.', "", "23.5", CELL_EXACT, "\xc2\xb0" "C" },
	{ "81 % rF", '.', "", "81", CELL_EXACT, "% rF" },
	{ ">30", '.', "", "30", CELL_ABOVE, "" },
	{ "30%+", '.', "", "30", CELL_ABOVE, "%" },
	{ "< 6 %", '.', "", "6", CELL_BELOW, "%" },
	{ "23 5", '.', "", "23", CELL_EXACT, "5" },
	{ "123456789012345", '.', "", "123456789012345", CELL_EXACT, "" },
};

static const struct {
	const char *cell;
	char decimal;
	enum reading_fault fault;
} bad[] = {
	{ "", '.', CELL_NO_NUMBER }, { "-", '.', CELL_NO_NUMBER }, { "NA", '.', CELL_NO_NUMBER },
	{ ".", '.', CELL_NO_NUMBER }, { ",5", '.', CELL_NO_NUMBER }, { "e5", '.', CELL_NO_NUMBER },
	{ "23,5", '.', CELL_OTHER_DECIMAL }, { "23.5", ',', CELL_OTHER_DECIMAL },
	{ "1234567890123456", '.', CELL_TOO_LONG }, { "1e300", '.', CELL_TOO_LONG },
	{ "123456789012345e1", '.', CELL_TOO_LONG }, { "1e-20", '.', CELL_TOO_LONG },
};

static const struct { const char *spelled, *unit; } unit_rows[] = {
	{ "\xc2\xb0" "C", "C" }, { "\xc2\xb0 C", "C" }, { "\xe2\x84\x83", "C" }, { "deg. C", "C" }, { "\xc2\xb0" "F", "F" },
	{ "% rF", "%" }, { "%RH", "%" }, { "% r.H.", "%" }, { "RH%", "%" }, { "%", "%" }, { "lbs", "lb" }, { "kWh", "kWh" },
	{ "\xc2\xb0", "" }, { "K", "" }, { "", "" }, { "%%", "" }, { "hPa", "" }, { "a very long unit with many words", "" },
};

static const struct { const char *heading, *unit; } headings[] = {
	{ "Temp (\xc2\xb0" "C)", "C" }, { "Temperature [\xc2\xb0" "F]", "F" }, { "Damp air, %", "%" }, { "Shelf air, \xc2\xb0" "C (post 4, upper shelf)", "C" },
	{ "Feuchte/%rF", "%" }, { "Temperatur \xc2\xb0" "C", "C" }, { "T_degC", "C" }, { "Humidity(%)", "%" }, { "Masse g", "" },
	{ "Masse (g)", "g" }, { "Channel C", "" }, { "Kanal F", "" }, { "Temperature", "" }, { "", "" }, { "\xc2\xb0" "C", "C" },
	{ "Warmth (door) (\xc2\xb0" "C)", "C" }, { "RH", "%" }, { "Probe 1 (%)", "%" }, { "Sensor in", "" },
	{ "temp_c", "C" }, { "Temp F", "F" }, { "T C", "C" }, { "Tank C", "" }, { "b1 temp C", "C" }, { "left tank C", "" }, { "rh_pct", "%" },
};

static void numbers(void)
{
	struct cell_number r;

	for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
		struct cell_style style = { good[i].decimal, slice_of(good[i].thousands) };
		enum reading_fault fault = cell_number_read(slice_of(good[i].cell), &style, &r);

		if (fault || !slice_eq((struct slice){ r.text, r.n }, slice_of(good[i].number)) || r.mark != good[i].mark ||
		    !slice_eq(r.unit, slice_of(good[i].unit))) {
			failures++;
			printf("failed: `%s`: fault %d, %.*s, unit `%.*s`\n", good[i].cell, fault, (int)r.n, r.text, (int)r.unit.n, r.unit.p);
		}
	}
	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
		struct cell_style style = { bad[i].decimal, { "", 0 } };
		enum reading_fault fault = cell_number_read(slice_of(bad[i].cell), &style, &r);

		if (fault != bad[i].fault) {
			failures++;
			printf("failed: `%s`: fault %d\n", bad[i].cell, fault);
		}
	}
}

/* The point is moved, then a half is rounded away from zero. Worked out by hand. */
static void changes(void)
{
	static const struct {
		const char *cell;
		int power, places;   /* places -1: not rounded */
		const char *number;  /* "": too many digits */
	} row[] = {
		{ "0.59", 2, -1, "59" }, { "0.5", 2, -1, "50" }, { "235", -1, -1, "23.5" }, { "-5", -2, -1, "-0.05" }, { "1e1", 1, -1, "100" },
		{ "64.400000000000006", 0, 1, "64.4" }, { "64.400000000000006", 0, 2, "64.40" }, { "64.400000000000006", 0, -1, "" },
		{ "22.25", 0, 1, "22.3" }, { "-22.25", 0, 1, "-22.3" }, { "22.249", 0, 1, "22.2" }, { "99.96", 0, 1, "100.0" }, { "0.04", 0, 1, "0.0" },
		{ "-0.04", 0, 1, "0.0" }, { "9.5", 0, 0, "10" }, { ".5", 0, 0, "1" }, { ".4", 0, 0, "0" }, { "22", 0, 1, "22" },
		{ "0.59000000000000008", 2, 1, "59.0" }, { "12345678901234567890", 0, 2, "" },
		{ "1234567890123456789012345678901234567890.1", 0, 1, "" },
	};
	static const struct cell_style style = { '.', { "", 0 } };
	struct cell_number r;

	for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
		struct cell_change change = { row[i].power, row[i].places >= 0, row[i].places >= 0 ? (size_t)row[i].places : 0 };
		enum reading_fault fault = cell_number_change(slice_of(row[i].cell), &style, &change, &r);

		if (row[i].number[0] ? fault || !slice_eq((struct slice){ r.text, r.n }, slice_of(row[i].number)) : fault != CELL_TOO_LONG) {
			failures++;
			printf("failed: `%s` by 10^%d to %d places: fault %d, %.*s\n", row[i].cell, row[i].power, row[i].places, fault, (int)r.n, r.text);
		}
	}
}

/* The value of what was read: whole, with a point, negative, nothing. */
static void values(void)
{
	static const struct {
		const char *text;
		double value;
	} row[] = { { "0", 0 }, { "20.5", 20.5 }, { "-0.25", -0.25 }, { "-200", -200 }, { "45000.50", 45000.5 }, { "0.007", 0.007 }, { "", 0 } };

	for (size_t i = 0; i < sizeof row / sizeof *row; i++)
		if (cell_number_value(slice_of(row[i].text)) != row[i].value) {
			failures++;
			printf("failed: the value of `%s`: %.17g\n", row[i].text, cell_number_value(slice_of(row[i].text)));
		}
}

int main(void)
{
	numbers();
	changes();
	values();
	for (size_t i = 0; i < sizeof unit_rows / sizeof *unit_rows; i++)
		if (!slice_eq(cell_number_unit(slice_of(unit_rows[i].spelled)), slice_of(unit_rows[i].unit))) {
			failures++;
			printf("failed: the unit `%s`\n", unit_rows[i].spelled);
		}
	for (size_t i = 0; i < sizeof headings / sizeof *headings; i++) {
		struct slice unit = cell_number_heading_unit(slice_of(headings[i].heading));

		if (!slice_eq(unit, slice_of(headings[i].unit))) {
			failures++;
			printf("failed: the heading `%s`: `%.*s`\n", headings[i].heading, (int)unit.n, unit.p);
		}
	}
	return failures != 0;
}
