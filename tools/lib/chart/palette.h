/*
 * palette.h - the tones of the pictures and their patterns, in light and in dark.
 *
 * A tone has a meaning, never a row: water is wood or air that is wet, bark is what is wrong, willow what is well, cane what is
 * expected, plum what was spoken of beforehand. Steps are an order, from the best (dark) to the least (light), and
 * are the same in dark. Nothing is said by a tone alone: a dash, a sign, a pattern or a text says it too. Tones that
 * lie beside each other are apart by PALETTE_APART in CIEDE2000, also for eyes without one kind of cones
 * (tests/outside/colours.c).
 */
#ifndef WITHY_PALETTE_H
#define WITHY_PALETTE_H

enum tone {
	TONE_INK, TONE_SOFT, TONE_HAIR, TONE_PAPER, TONE_BAND, TONE_WATER, TONE_WILLOW, TONE_CANE, TONE_BARK, TONE_PLUM,
	TONE_STEP1, TONE_STEP2, TONE_STEP3, TONE_STEP4, TONE_STEP5,
	TONE_ON_DARK, TONE_ON_LIGHT, /* texts on steps */
	TONES
};

enum pattern { PATTERN_NONE, PATTERN_FULL, PATTERN_PALE, PATTERN_HATCH, PATTERN_CROSS, PATTERN_DOTS, PATTERNS };

enum { PALETTE_APART = 10 };

struct palette_tone {
	const char *name;          /* of the class and the custom property: "ink" in --wy-ink */
	const char *light, *dark;  /* #rrggbb */
};

extern const struct palette_tone palette[TONES];

#endif
