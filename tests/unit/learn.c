/* What past charges teach the next one's prior. */
#include "dry/learn.h"
#include "dry/prior.h"
#include "charge_made.h"
#include "check.h"

/* Three charges of a works that dries half as fast again: the next one's prior knows. */
static void learning(void)
{
	struct dry_reading kept[3][PIECES][DAYS];
	struct dry_probe probes[3][PIECES];
	struct dry_charge past[3];
	const struct dry_charge *list[3];
	struct dry_prior none, prior;

	for (int c = 0; c < 3; c++) {
		past[c] = charge_made(0.18, 10 + (uint64_t)c);
		memcpy(kept[c], reading, sizeof reading);
		for (int p = 0; p < PIECES; p++) {
			probes[c][p] = probe[p];
			probes[c][p].reading = kept[c][p];
		}
		past[c].probe = probes[c];
		past[c].end = DAYS - 1;
		list[c] = &past[c];
	}
	dry_prior_init(&none);
	dry_prior_init(&prior);
	dry_learn(&prior, list, 3);
	CHECK_INT(prior.ncharges, 3);
	CHECK_NEAR(exp(prior.mean[DRY_LNK] + prior.kiln.group[0].shift + prior.season.group[0].shift), 0.18, 0.03);
	CHECK(prior.covariance[0] < none.covariance[0]);
	CHECK_NEAR(prior.scatter, 0.2, 0.04);
	dry_prior_release(&prior);
	dry_prior_release(&none);
}

int main(void)
{
	learning();
	return check_end();
}
