/*
 * colours - the palette of the pictures: whether neighbouring tones are apart, also for eyes that lack one kind of cones.
 *  CIEDE2000 against the 34 pairs of Sharma, Wu and Dalal (2005), Color Research and Application 30, 21, Table 1: to 0.0001.
 *  Deficiencies: the matrices of severity 1 of Machado, Oliveira and Fernandes (2009), IEEE Transactions on Visualization and
 *  Computer Graphics 15, 1291, Table 1, on linear RGB.
 *  sRGB: IEC 61966-2-1. Contrast: the ratio of WCAG 2.1, 1.4.3, of at least 4.5 for text.
 */
#include "chart/palette.h"
#include "expect.h"

struct colour {
	double v[3];
};

/* ---- CIEDE2000 */

static double degrees(double rad)
{
	return rad * 180 / acos(-1);
}

static double radians(double deg)
{
	return deg * acos(-1) / 180;
}

static double hue(double b, double a)
{
	double h = a == 0 && b == 0 ? 0 : degrees(atan2(b, a));

	return h < 0 ? h + 360 : h;
}

static double hue_difference(double c1, double c2, double h1, double h2)
{
	double d = h2 - h1;

	if (c1 * c2 == 0)
		return 0;
	return d > 180 ? d - 360 : d < -180 ? d + 360 : d;
}

static double hue_mean(double c1, double c2, double h1, double h2)
{
	double sum = h1 + h2;

	if (c1 * c2 == 0)
		return sum;
	if (fabs(h1 - h2) <= 180)
		return sum / 2;
	return sum < 360 ? (sum + 360) / 2 : (sum - 360) / 2;
}

static double seventh(double c)
{
	return sqrt(pow(c, 7) / (pow(c, 7) + pow(25, 7)));
}

/* Equations 2 to 22, with all weights 1. */
static double ciede2000(struct colour x, struct colour y)
{
	double g = 0.5 * (1 - seventh((hypot(x.v[1], x.v[2]) + hypot(y.v[1], y.v[2])) / 2));
	double a1 = (1 + g) * x.v[1], a2 = (1 + g) * y.v[1], c1 = hypot(a1, x.v[2]), c2 = hypot(a2, y.v[2]);
	double h1 = hue(x.v[2], a1), h2 = hue(y.v[2], a2), c = (c1 + c2) / 2, l = (x.v[0] + y.v[0]) / 2 - 50;
	double dl = y.v[0] - x.v[0], dc = c2 - c1, dh = 2 * sqrt(c1 * c2) * sin(radians(hue_difference(c1, c2, h1, h2) / 2));
	double h = hue_mean(c1, c2, h1, h2);
	double t = 1 - 0.17 * cos(radians(h - 30)) + 0.24 * cos(radians(2 * h)) + 0.32 * cos(radians(3 * h + 6)) - 0.2 * cos(radians(4 * h - 63));
	double sl = 1 + 0.015 * l * l / sqrt(20 + l * l), sc = 1 + 0.045 * c, sh = 1 + 0.015 * c * t;
	double rt = -2 * seventh(c) * sin(radians(60 * exp(-pow((h - 275) / 25, 2))));

	return sqrt(pow(dl / sl, 2) + pow(dc / sc, 2) + pow(dh / sh, 2) + rt * dc / sc * dh / sh);
}

static void published_pairs(void)
{
	static const double pairs[][7] = {
		{ 50, 2.6772, -79.7751, 50, 0, -82.7485, 2.0425 }, { 50, 3.1571, -77.2803, 50, 0, -82.7485, 2.8615 }, { 50, 2.8361, -74.02, 50, 0, -82.7485, 3.4412 },
		{ 50, -1.3802, -84.2814, 50, 0, -82.7485, 1 }, { 50, -1.1848, -84.8006, 50, 0, -82.7485, 1 }, { 50, -0.9009, -85.5211, 50, 0, -82.7485, 1 },
		{ 50, 0, 0, 50, -1, 2, 2.3669 }, { 50, -1, 2, 50, 0, 0, 2.3669 }, { 50, 2.49, -0.001, 50, -2.49, 0.0009, 7.1792 },
		{ 50, 2.49, -0.001, 50, -2.49, 0.001, 7.1792 }, { 50, 2.49, -0.001, 50, -2.49, 0.0011, 7.2195 }, { 50, 2.49, -0.001, 50, -2.49, 0.0012, 7.2195 },
		{ 50, -0.001, 2.49, 50, 0.0009, -2.49, 4.8045 }, { 50, -0.001, 2.49, 50, 0.001, -2.49, 4.8045 }, { 50, -0.001, 2.49, 50, 0.0011, -2.49, 4.7461 },
		{ 50, 2.5, 0, 50, 0, -2.5, 4.3065 }, { 50, 2.5, 0, 73, 25, -18, 27.1492 }, { 50, 2.5, 0, 61, -5, 29, 22.8977 }, { 50, 2.5, 0, 56, -27, -3, 31.903 },
		{ 50, 2.5, 0, 58, 24, 15, 19.4535 }, { 50, 2.5, 0, 50, 3.1736, 0.5854, 1 }, { 50, 2.5, 0, 50, 3.2972, 0, 1 }, { 50, 2.5, 0, 50, 1.8634, 0.5757, 1 },
		{ 50, 2.5, 0, 50, 3.2592, 0.335, 1 }, { 60.2574, -34.0099, 36.2677, 60.4626, -34.1751, 39.4387, 1.2644 },
		{ 63.0109, -31.0961, -5.8663, 62.8187, -29.7946, -4.0864, 1.263 }, { 61.2901, 3.7196, -5.3901, 61.4292, 2.248, -4.962, 1.8731 },
		{ 35.0831, -44.1164, 3.7933, 35.0232, -40.0716, 1.5901, 1.8645 }, { 22.7233, 20.0904, -46.694, 23.0331, 14.973, -42.5619, 2.0373 },
		{ 36.4612, 47.858, 18.3852, 36.2715, 50.5065, 21.2231, 1.4146 }, { 90.8027, -2.0831, 1.441, 91.1528, -1.6435, 0.0447, 1.4441 },
		{ 90.9257, -0.5406, -0.9208, 88.6381, -0.8985, -0.7239, 1.5381 }, { 6.7747, -0.2908, -2.4247, 5.8714, -0.0985, -2.2286, 0.6377 },
		{ 2.0776, 0.0795, -1.135, 0.9033, -0.0636, -0.5514, 0.9082 },
	};

	for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
		const double *p = pairs[i];
		char what[32];

		snprintf(what, sizeof what, "pair %zu", i + 1);
		expect_near(what, ciede2000((struct colour){ { p[0], p[1], p[2] } }, (struct colour){ { p[3], p[4], p[5] } }), p[6], 0.0001);
	}
}

/* ---- tones as they are seen */

static const double eyes[][3][3] = {
	{ { 1, 0, 0 }, { 0, 1, 0 }, { 0, 0, 1 } },
	{ { 0.152286, 1.052583, -0.204868 }, { 0.114503, 0.786281, 0.099216 }, { -0.003882, -0.048116, 1.051998 } },
	{ { 0.367322, 0.860646, -0.227968 }, { 0.280085, 0.672501, 0.047413 }, { -0.01182, 0.04294, 0.968881 } },
	{ { 1.255528, -0.076749, -0.178779 }, { -0.078411, 0.930809, 0.147602 }, { 0.004733, 0.691367, 0.3039 } },
};

static const char *const eye_words[] = { "all cones", "without red cones", "without green cones", "without blue cones" };

static struct colour linear(const char *hex)
{
	unsigned long all = strtoul(hex + 1, NULL, 16);
	struct colour c;

	for (int i = 0; i < 3; i++) {
		double v = (double)(all >> (16 - 8 * i) & 0xff) / 255;

		c.v[i] = v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4);
	}
	return c;
}

static struct colour seen(struct colour c, const double eye[3][3])
{
	struct colour to;

	for (int i = 0; i < 3; i++)
		to.v[i] = fmax(0, fmin(1, eye[i][0] * c.v[0] + eye[i][1] * c.v[1] + eye[i][2] * c.v[2]));
	return to;
}

static double lab_f(double t)
{
	return t > 216.0 / 24389 ? cbrt(t) : (24389.0 / 27 * t + 16) / 116;
}

/* By the white of D65. */
static struct colour lab(struct colour c)
{
	double x = lab_f((0.4124564 * c.v[0] + 0.3575761 * c.v[1] + 0.1804375 * c.v[2]) / 0.95047);
	double y = lab_f(0.2126729 * c.v[0] + 0.7151522 * c.v[1] + 0.072175 * c.v[2]);
	double z = lab_f((0.0193339 * c.v[0] + 0.119192 * c.v[1] + 0.9503041 * c.v[2]) / 1.08883);

	return (struct colour){ { 116 * y - 16, 500 * (x - y), 200 * (y - z) } };
}

static const char *hex_of(int tone, int dark)
{
	return dark ? palette[tone].dark : palette[tone].light;
}

/* Tones that lie beside or over each other in some picture. */
static const int neighbours[][2] = {
	{ TONE_STEP1, TONE_STEP2 }, { TONE_STEP2, TONE_STEP3 }, { TONE_STEP3, TONE_STEP4 }, { TONE_STEP4, TONE_STEP5 },
	{ TONE_STEP3, TONE_BARK }, { TONE_STEP4, TONE_BARK }, { TONE_STEP5, TONE_BARK },
	{ TONE_WILLOW, TONE_WATER }, { TONE_WATER, TONE_PLUM }, { TONE_PLUM, TONE_BARK }, { TONE_CANE, TONE_WILLOW }, { TONE_WILLOW, TONE_BARK },
	{ TONE_CANE, TONE_BARK }, { TONE_INK, TONE_BARK }, { TONE_INK, TONE_WATER }, { TONE_WATER, TONE_BARK }, { TONE_CANE, TONE_INK },
	{ TONE_BAND, TONE_WATER }, { TONE_BAND, TONE_INK }, { TONE_BAND, TONE_BARK }, { TONE_BAND, TONE_CANE }, { TONE_BAND, TONE_PLUM }, { TONE_BAND, TONE_WILLOW },
	{ TONE_PAPER, TONE_WATER }, { TONE_PAPER, TONE_WILLOW }, { TONE_PAPER, TONE_CANE }, { TONE_PAPER, TONE_BARK }, { TONE_PAPER, TONE_PLUM },
	{ TONE_PAPER, TONE_INK }, { TONE_PAPER, TONE_SOFT },
};

static void neighbours_apart(void)
{
	double least = 1000;

	for (int dark = 0; dark < 2; dark++)
		for (size_t e = 0; e < sizeof eyes / sizeof *eyes; e++)
			for (size_t i = 0; i < sizeof neighbours / sizeof *neighbours; i++) {
				int a = neighbours[i][0], b = neighbours[i][1];
				double d = ciede2000(lab(seen(linear(hex_of(a, dark)), eyes[e])), lab(seen(linear(hex_of(b, dark)), eyes[e])));
				char what[120];

				snprintf(what, sizeof what, "%s and %s (%s, %s) are %.1f apart, %d or more", palette[a].name, palette[b].name, dark ? "dark" : "light", eye_words[e], d, PALETTE_APART);
				expect_true(what, d >= PALETTE_APART);
				least = fmin(least, d);
			}
	expect_true("the least distance is one that could fail", least < 3 * PALETTE_APART);
}

/* ---- texts */

static double luminance(const char *hex)
{
	struct colour c = linear(hex);

	return 0.2126 * c.v[0] + 0.7152 * c.v[1] + 0.0722 * c.v[2];
}

static void texts_read(void)
{
	static const int on[][2] = { { TONE_INK, TONE_PAPER }, { TONE_SOFT, TONE_PAPER }, { TONE_WATER, TONE_PAPER }, { TONE_WILLOW, TONE_PAPER }, { TONE_BARK, TONE_PAPER },
		{ TONE_PLUM, TONE_PAPER }, { TONE_ON_DARK, TONE_STEP1 }, { TONE_ON_DARK, TONE_STEP2 }, { TONE_ON_LIGHT, TONE_STEP3 },
		{ TONE_ON_LIGHT, TONE_STEP4 }, { TONE_ON_LIGHT, TONE_STEP5 } };

	for (int dark = 0; dark < 2; dark++)
		for (size_t i = 0; i < sizeof on / sizeof *on; i++) {
			double a = luminance(hex_of(on[i][0], dark)), b = luminance(hex_of(on[i][1], dark)), ratio = (fmax(a, b) + 0.05) / (fmin(a, b) + 0.05);
			char what[100];

			snprintf(what, sizeof what, "%s on %s (%s) has a contrast of %.2f, 4.5 or more", palette[on[i][0]].name, palette[on[i][1]].name, dark ? "dark" : "light", ratio);
			expect_true(what, ratio >= 4.5);
		}
}

int main(void)
{
	published_pairs();
	neighbours_apart();
	texts_read();
	return expect_verdict(34 + 2 * 4 * 30 + 22);
}
