/*
 * psychrometry DATA - saturation, dew point, wet bulb. DATA is the folder of data files.
 *  psychrolib (npm, MIT), an implementation of ASHRAE 2017 independent of ours; it stops at
 *  0.001 K where it iterates.
 *  ASHRAE Handbook Fundamentals 2017, chapter 1: tabulated pressures (the equation is within 0.02 %).
 *  WMO (CIMO guide): Magnus formula for the dew point.
 */
#include "wood/climate.h"
#include "expect.h"

static void psychrolib_row(char *at)
{
	const char *name = expect_field(&at);
	double dry = expect_number(&at), arg = expect_number(&at);
	double pressure = expect_number(&at), want = expect_number(&at);
	char what[320];

	snprintf(what, sizeof(what), "psychrolib %s at %g C, %g, %g Pa", name, dry, arg, pressure);
	if (!strcmp(name, "saturation"))
		expect_near(what, saturation_pa(dry), want, want * 1e-8);
	if (!strcmp(name, "pressure"))
		expect_near(what, pressure_at_pa(arg), want, want * 1e-8);
	if (!strcmp(name, "dew")) /* Magnus beside ASHRAE's own curve: they part when hot */
		expect_near(what, dew_point_c(dry, arg), want, dry <= 40 ? 0.05 : 0.1);
	if (!strcmp(name, "wet"))
		expect_near(what, wet_bulb_c(dry, arg, pressure), want, 0.002);
	if (!strcmp(name, "rh"))
		expect_near(what, rh_from_wet_bulb_pct(dry, arg, pressure), want, 1e-6);
}

static void psychrolib(const char *path)
{
	FILE *f = expect_open(path);
	char line[256];

	while (expect_line(f, line, sizeof(line)))
		psychrolib_row(line);
	fclose(f);
}

static void saturation_table(void)
{
	static const struct { double c, pa; } row[] = { { 5, 872.6 }, { 25, 3169.7 }, { 50, 12351.3 } };

	for (size_t i = 0; i < sizeof(row) / sizeof(*row); i++)
		expect_near("ASHRAE table", saturation_pa(row[i].c), row[i].pa, row[i].pa * 2e-4);
}

static void dew_point_wmo(void)
{
	expect_near("dew point, 20 C 55 %", dew_point_c(20, 55), 10.68, 0.005);
	expect_near("dew point, 20 C 50 %", dew_point_c(20, 50), 9.26, 0.005);
}

/*
 * Humidity and EMC by depression: thermodynamic wet bulb at 101325 Pa, computed elsewhere. The
 * psychrometer's equation with A = 0.000662 is within half a point of humidity of it.
 */
static void depression_table(void)
{
	static const struct { double dry, depression, rh, emc; } row[] = {
		{ 20, 5, 58.9, 10.8 }, { 30, 4, 73.1, 13.5 }, { 40, 8, 57.4, 9.8 }, { 50, 10, 54.6, 8.8 },
	};

	for (size_t i = 0; i < sizeof(row) / sizeof(*row); i++) {
		double wet = row[i].dry - row[i].depression;
		double rh = rh_from_wet_bulb_pct(row[i].dry, wet, AIR_PRESSURE_PA);

		expect_near("RH by depression", rh, row[i].rh, 0.05);
		expect_near("EMC by depression", emc_pct(row[i].dry, rh), row[i].emc, 0.05);
		expect_near("psychrometer beside it", psychrometer_rh_pct(row[i].dry, wet,
			AIR_PRESSURE_PA, PSYCHROMETER_ASPIRATED), row[i].rh, 0.5);
	}
}

/* By hand: es(15 C) - 0.000662 * 101325 * 5 over es(20 C), with psychrolib's pressures. */
static void psychrometer_by_hand(void)
{
	double es15 = 1705.44779, es20 = 2338.80357;
	double by_hand = 100 * (es15 - 0.000662 * 101325 * 5) / es20;

	expect_near("psychrometer by hand", psychrometer_rh_pct(20, 15, AIR_PRESSURE_PA,
		PSYCHROMETER_ASPIRATED), by_hand, 1e-5);
	expect_near("and back", psychrometer_wet_c(20, psychrometer_rh_pct(20, 15, AIR_PRESSURE_PA,
		PSYCHROMETER_ASPIRATED), AIR_PRESSURE_PA, PSYCHROMETER_ASPIRATED), 15, 1e-9);
}

int main(int argc, char **argv)
{
	char path[1024];

	if (argc != 2)
		return 2;
	snprintf(path, sizeof(path), "%s/psychrolib.tsv", argv[1]);
	psychrolib(path);
	saturation_table();
	dew_point_wmo();
	depression_table();
	psychrometer_by_hand();
	return expect_verdict(645);
}
