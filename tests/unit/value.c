/*
 * Ranges that are read, and masses as a reader sees them. Every tenth of an ounce from nothing to 8 lb, and what rounds to it from both sides, has
 * fewer than 16 oz after its pounds and reads back as itself.
 */
#include "book/value.h"
#include "book/vocab.h"
#include "check.h"

static const double TENTH = 2834952.3125;

static void check_write(int unit, int64_t micrograms, const char *want)
{
	struct buf b = BUF_INIT;

	value_write_mass(&b, unit, micrograms);
	CHECK_TEXT(buf_slice(&b), want);
	buf_release(&b);
}

static void check_carry(void)
{
	for (int tenths = 0; tenths <= 1280; tenths++)
		for (int off = -4; off <= 4; off += 4) {
			int64_t micrograms = (int64_t)(TENTH * (tenths + off / 10.0));
			struct buf b = BUF_INIT;
			struct value v;

			CHECK_CASE(tenths);
			if (micrograms < 0)
				continue;
			value_write_mass(&b, UNIT_MASS_LB, micrograms);
			CHECK_INT(value_read(TYPE_MASS, 0, buf_slice(&b), &v), VALUE_OK);
			CHECK_NEAR((double)v.fix, TENTH * tenths, 1.5);
			buf_release(&b);
		}
	CHECK_CASE(-1);
}

/* A lower end has the unit of the upper one, also where the upper one is too large to be read. */
static void check_ranges(void)
{
	static const struct {
		const char *text;
		enum value_fault fault;
	} range[] = {
		{ "8..10%", VALUE_OK }, { "..10%", VALUE_OK }, { "8..", VALUE_NO_UNIT }, { "8..10", VALUE_NO_UNIT }, { "8..10x", VALUE_NO_UNIT },
		{ "8..500%", VALUE_OUT_OF_RANGE }, { "500..600%", VALUE_OUT_OF_RANGE }, { "8..-1%", VALUE_OUT_OF_RANGE },
		{ "8..999999999999999999999%", VALUE_TOO_LONG }, { "8..9.00000000000000001%", VALUE_TOO_LONG },
	};
	struct value v;

	for (size_t i = 0; i < sizeof range / sizeof *range; i++) {
		CHECK_CASE((int)i);
		CHECK_INT(value_read(TYPE_MOISTURE, USE_RANGE, slice_of(range[i].text), &v), range[i].fault);
	}
	CHECK_CASE(-1);
	CHECK_INT(value_read(TYPE_MASS, USE_RANGE, SLICE("1..2lb3oz"), &v), VALUE_OK);
	CHECK_INT(v.fix, 453592370);
}

int main(void)
{
	check_write(UNIT_MASS_G, 1176400000, "1176g");
	check_write(UNIT_MASS_LB, 1176505210, "2lb9.5oz");
	check_write(UNIT_MASS_LB, 1360700000, "3lb0oz"); /* 2 lb 15.998 oz */
	check_write(UNIT_MASS_OZ, 453592370, "1lb0oz");
	check_carry();
	check_ranges();
	CHECK_TEXT(value_reading_base(UNIT_READING_OZ), "g");
	CHECK_TEXT(value_reading_base(UNIT_READING_F), "C");
	CHECK_TEXT(value_reading_base(UNIT_READING_PCT), "%");
	return check_end();
}
