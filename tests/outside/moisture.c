/*
 * moisture - moisture of wood against its definition and worked examples.
 *  EN 13183-1: u = 100 (m1 - m0) / m0.
 *  Kiln samples: the method of USDA Agriculture Handbook 188 as Wengert's extension notes work
 *  it: OD = W0 / (100 + MC0) x 100, MC = (W / OD - 1) x 100.
 *  Wood Handbook FPL-GTR-282 (2021): p. 13-3, 0.5 points per 10 F; chapter 13, movement.
 *  SP technical note PX21326 (2012): 1.0 to 1.5 points per 10 C; 1.6 quoted there.
 */
#include "wood/moisture.h"
#include "expect.h"

static void definition(void)
{
	expect_near("section 182.4 to 80.0 g", mc_of_masses_pct(182.4, 80.0), 128.0, 1e-12);
	expect_near("section 176.1 to 78.2 g", mc_of_masses_pct(176.1, 78.2), 125.2, 0.05);
	expect_near("as heavy as oven-dry", mc_of_masses_pct(80, 80), 0, 0);
	expect_true("no oven-dry mass, no moisture", isnan(mc_of_masses_pct(80, 0)));
	expect_true("lighter than oven-dry is refused", isnan(mc_of_masses_pct(79.9, 80)));
}

static void kiln_sample(void)
{
	double mc0 = (mc_of_masses_pct(182.4, 80.0) + mc_of_masses_pct(176.1, 78.2)) / 2;
	double od_kg = mass_oven_dry_g(4230, mc0) / 1000;

	expect_near("mean of the two sections", mc0, 126.6, 0.05);
	expect_near("oven-dry mass, 4.230 kg", od_kg, 1.867, 0.0005);
	expect_near("at 2.614 kg", mc_of_masses_pct(2.614, od_kg), 40.0, 0.05);
	expect_near("at 2.054 kg", mc_of_masses_pct(2.054, od_kg), 10.0, 0.05);
}

/* Exact: mass at M2 = mass at M1 (100 + M2) / (100 + M1); u = w / (1 - w). */
static void masses(void)
{
	expect_near("a point on 1800 g at 10 %", mass_at_mc_g(1800, 10, 11) - 1800, 16, 0.5);
	expect_near("110 g at 10 % oven-dry", mass_oven_dry_g(110, 10), 100, 1e-12);
	expect_near("there and back", mass_at_mc_g(mass_at_mc_g(1234.5, 24, 9), 9, 24), 1234.5, 1e-9);
	expect_near("half water is 100 %", mc_of_wet_basis_pct(50), 100, 0);
	expect_near("20 % of the whole is 25 %", mc_of_wet_basis_pct(20), 25, 1e-12);
	expect_near("25 % is 20 % of the whole", wet_basis_of_mc_pct(25), 20, 1e-12);
}

static double at(double per10, double a, double b, double reading, double wood_c)
{
	struct meter_rule rule = meter_rule_none();

	rule.reference_c = 20;
	rule.per10_pct = per10;
	rule.line_a = a;
	rule.line_b = b;
	return reading_corrected_pct(&rule, reading, wood_c);
}

/* Hot wood reads high, cold wood low: by each published rule. */
static void meter(void)
{
	expect_near("0.9 a 10 C, wood at 30 C", at(0.9, 0, 1, 12, 30), 11.1, 1e-12);
	expect_near("0.5 a 10 F is 0.9 a 10 C", at(0.5 * 1.8, 0, 1, 12, 5), 13.35, 1e-12);
	expect_near("1.0 a 10 C, wood at 0 C", at(1.0, 0, 1, 12, 0), 14, 1e-12);
	expect_near("1.5 a 10 C, wood at 26 C", at(1.5, 0, 1, 12, 26), 11.1, 1e-12);
	expect_near("1.6 a 10 C, wood at 20 C", at(1.6, 0, 1, 12, 20), 12, 0);
	expect_near("own line after it", at(0.9, 0.4, 0.95, 12, 30), 0.4 + 0.95 * 11.1, 1e-12);
}

/* EN 13183-2: resistance meters serve from about 7 to 30 %; unreliable over 25 to 30 and under 6 to 7. */
static void trust(void)
{
	struct meter_rule rule = meter_rule_none();

	expect_true("6.9 % is doubtful", reading_is_doubtful(&rule, 6.9));
	expect_true("7 % is not", !reading_is_doubtful(&rule, 7));
	expect_true("28 % is not", !reading_is_doubtful(&rule, 28));
	expect_true("30.1 % is doubtful", reading_is_doubtful(&rule, 30.1));
}

/* Black willow, Wood Handbook tables 4-3 and 13-5: 3.3 % radial; C_R 0.00112. */
static void movement(void)
{
	expect_near("C from S, black willow radial", movement_per_point(3.3), 0.00112, 0.000005);
	expect_near("C from S, 8.7 % tangential", movement_per_point(8.7), 0.003079, 0.0000005);
	expect_near("38 mm, 12 to 9 %, C 0.0020", movement_mm(38, 0.0020, 12, 9), -0.228, 1e-12);
	expect_true("9 to 12 % is in the range", !movement_extrapolates(9, 12));
	expect_true("5.9 to 9 % is not", movement_extrapolates(9, 5.9));
	expect_true("9 to 14.1 % is not", movement_extrapolates(9, 14.1));
}

int main(void)
{
	definition();
	kiln_sample();
	masses();
	meter();
	trust();
	movement();
	return expect_verdict(31);
}
