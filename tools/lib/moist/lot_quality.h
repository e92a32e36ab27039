/*
 * lot_quality.h - the drying quality of a lot, and what a sample of it assures.
 *
 * Moisture is in per cent of the oven-dry mass; proportions and confidence are fractions of 1. The n is
 * always of pieces. What has no answer (no piece, a standard deviation of one) is NAN.
 *
 * The limits are those that are quoted of EN 14298 (Sawn timber: assessment of drying quality):
 * for a target of 8, 12 or 16 % the mean of the lot lies in 7.0-9.0, 10.5-13.5 or 13.5-18.0, and
 * 93.5 % of the pieces lie in 0.7 to 1.3 times the target. Those of the mean for other targets (7-9:
 * 1.0 to either side; 10-12: 1.5; 13-15: 2.0; 16-18: 2.5 below and 2.0 above) are from memory, and
 * `remembered` says so. The standard's sample size could not be found, so the answer has the number
 * of pieces.
 */
#ifndef WITHY_LOT_QUALITY_H
#define WITHY_LOT_QUALITY_H

#include <stdbool.h>
#include <stdint.h>

/* The proportion of the pieces that must lie within their limits. */
#define MOIST_PIECES_SHARE 0.935 /* moist_fails() counts it in thousandths */

struct moist_limits {
	double target_pct;
	double mean_low_pct, mean_high_pct;    /* of the lot's mean */
	double piece_low_pct, piece_high_pct;  /* of 93.5 % of the pieces */
	bool remembered;                       /* those of the mean are from memory */
};

/* False, and no limits, for a target that rounds to no whole point from 7 to 18. */
bool moist_limits_of(double target_pct, struct moist_limits *limits);

enum moist_place { MOIST_LOW = -1, MOIST_WITHIN, MOIST_HIGH };

/* Whether a piece of `mc`, in 0.0001 %, is below 0.7, or above 1.3, times `target`; exact. */
enum moist_place moist_piece(int64_t mc, int64_t target);

/* The readings of a lot: `n` on the scale with their mean and sd; `within` the limits of `judged` pieces. */
struct moist_sample {
	int64_t n, judged, within;
	int64_t off_scale;        /* pieces off the meter's scale: the mean of the rest is not the lot's */
	double mean_pct, sd_pct;
	double line_pct, line_df; /* standard error of the mean by the meters' lines, and its degrees of freedom; 0 without a line */
	double residual_pct;      /* the sd of pieces about their lines; 0 without */
};

enum { MOIST_MEAN_LOW = 1, MOIST_MEAN_HIGH = 2, MOIST_PIECES_OUT = 4, MOIST_OFF_SCALE = 8, MOIST_NO_PIECE = 16 };

/* The parts of the sample outside the limits, as bits; 0: all is within. */
unsigned moist_fails(const struct moist_limits *limits, const struct moist_sample *s);

/* What a sample assures of the lot, if its pieces were taken at random. */
struct moist_assured {
	double mean_low_pct, mean_high_pct;  /* of the mean, Student's t */
	double above_pct, below_pct;         /* `cover` lies above the one; `cover` lies below the other */
	double low_pct, high_pct;            /* `cover` lies within */
	double share;                        /* lies within the limits of pieces, if normal */
	double free_sure;                    /* confidence that driest and wettest have `cover` between them, whatever the distribution */
};

/*
 * A meter's own line is off for all pieces alike (line_error.h). It comes to the error of the mean, with degrees of freedom
 * by Satterthwaite. Pieces differ by their readings and by the residuals of the line, and their mean is as good as one of
 * fewer pieces: the factors are those of that number, and of the degrees of freedom of that spread.
 *
 * Off-scale pieces count for free_sure alone, and leave the rest NAN. The sd counts as no less than
 * METER_SPREAD_PCT (meter.h): two readings that agree say that the meter is coarse, not that all
 * pieces are alike.
 */
struct moist_assured moist_assures(const struct moist_limits *limits, const struct moist_sample *s, double cover, double sure);

/* ---- a sample after the kiln */

enum moist_shown { MOIST_SHOWN, MOIST_NOT_SHOWN, MOIST_REFUTED };

/* The verdict on `out` of `n` pieces out of the band, where at least `cover` should conform, at `sure`. */
struct moist_taken {
	enum moist_shown shown;  /* REFUTED: it is shown that fewer conform */
	double out_low, out_high; /* one-sided Clopper-Pearson bounds of the share out, each at `sure` */
	int64_t more;             /* to be read, none of them out, until it is shown; 0 when it is; -1: no number would do */
};

struct moist_taken moist_taken_of(int64_t out, int64_t n, double cover, double sure);

#endif
