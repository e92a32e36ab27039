#include "chart/palette.h"

const struct palette_tone palette[TONES] = {
	[TONE_INK] = { "ink", "#23291f", "#e9e7dc" },
	[TONE_SOFT] = { "soft", "#5b6255", "#aeb3a5" },
	[TONE_HAIR] = { "hair", "#d5d3c6", "#3d433a" },
	[TONE_PAPER] = { "paper", "#fdfcf8", "#191c17" },
	[TONE_BAND] = { "band", "#dfe8cf", "#2c3a25" },
	[TONE_WATER] = { "water", "#0c67a1", "#68b9f9" },
	[TONE_WILLOW] = { "willow", "#617c2f", "#a5c47c" },
	[TONE_CANE] = { "cane", "#d39a2d", "#f2c13c" },
	[TONE_BARK] = { "bark", "#8c3112", "#eb4f30" },
	[TONE_PLUM] = { "plum", "#684770", "#bb8bc0" },
	[TONE_STEP1] = { "step1", "#1f4a3d", "#1f4a3d" },
	[TONE_STEP2] = { "step2", "#487a54", "#487a54" },
	[TONE_STEP3] = { "step3", "#86a86a", "#86a86a" },
	[TONE_STEP4] = { "step4", "#c1cd8a", "#c1cd8a" },
	[TONE_STEP5] = { "step5", "#f0ecc9", "#f0ecc9" },
	[TONE_ON_DARK] = { "on-dark", "#ffffff", "#ffffff" },
	[TONE_ON_LIGHT] = { "on-light", "#1d211a", "#1d211a" },
};
