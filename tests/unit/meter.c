/* meter.c: fixed points, what stays uncorrected, open ranges of trust. */
#include <math.h>
#include <stdio.h>

#include "book/diag.h"
#include "book/parse.h"
#include "house/house_open.h"
#include "wood/meter.h"

static int failures;

#define CHECK(what) do { if (!(what)) { failures++; printf("%d: %s\n", __LINE__, #what); } } while (0)

static const char house_text[] =
	"meters:\n"
	"  pin: {kind: pin, trust: 8%.., reference: 20C, per10C: 0.9}\n"
	"  bare: {kind: pin}\n"
	"  half: {kind: pin, per10C: 0.9}\n"
	"  set: {kind: pin, reference: 20C, per10C: 0, settings: {oak: oak}}\n"
	"  line: {kind: pin, own: [{date: 2026-05-01, a: -0.5, b: 0.9, pairs: 12, sd: 0.3}]}\n"
	"  balance: {kind: balance}\n";

static struct house *house;

static enum meter_fault look(const char *id, struct meter_use *use)
{
	return meter_use_on(house, slice_of(id), day_of(2026, 6, 1), use);
}

static void faults(void)
{
	struct meter_use use;

	CHECK(look("none", &use) == METER_UNKNOWN && !use.meter);
	CHECK(look("", &use) == METER_UNKNOWN);
	CHECK(look("balance", &use) == METER_NOT_OF_WOOD && !use.meter);
	CHECK(look("pin/oak", &use) == METER_NO_SETTING && !use.meter);
	CHECK(look("set/oak", &use) == METER_OK);
	CHECK(look("set", &use) == METER_OK);
	CHECK(look("pin/", &use) == METER_OK);
}

static void corrected(const char *id, int64_t reading, int64_t wood, bool want, int64_t mc_want)
{
	struct meter_use use;
	int64_t mc = -1;

	CHECK(look(id, &use) == METER_OK);
	if (meter_correct(&use, reading, wood, &mc) != want || mc != mc_want) {
		failures++;
		printf("%s: %lld, not %lld\n", id, (long long)mc, (long long)mc_want);
	}
}

static void corrections(void)
{
	corrected("pin", 120000, 300000, true, 111000);
	corrected("pin", 120000, 200001, true, 120000);   /* 0.00009 points: rounds away */
	corrected("pin", 120000, HOUSE_NONE, false, 120000);
	corrected("bare", 120000, 300000, false, 120000);
	corrected("half", 120000, 300000, false, 120000); /* per10C without its reference is no rule */
	corrected("set", 120000, 300000, true, 120000);
	corrected("line", 120000, HOUSE_NONE, true, 103000);
	corrected("line", 120000, 300000, true, 103000);
}

static void trust(void)
{
	struct meter_use use;

	CHECK(look("pin", &use) == METER_OK);
	CHECK(use.rule.trust_low_pct == 8 && isinf(use.rule.trust_high_pct));
	CHECK(look("bare", &use) == METER_OK);
	CHECK(use.rule.trust_low_pct == METER_TRUST_LOW_PCT && use.rule.trust_high_pct == METER_TRUST_HIGH_PCT);
}

static void no_rule_changes_nothing(void)
{
	struct meter_rule rule = meter_rule_none();

	CHECK(reading_corrected_pct(&rule, 12.3, 35) == 12.3);
	CHECK(reading_is_doubtful(&rule, NAN));
}

/* The first reading of a line, by the meter and the wood temperature that the line names. */
static void of_line(const struct house *by, const char *text, int64_t mc, bool is_corrected, bool doubtful)
{
	static struct vocab vocab;
	static struct parser parser;
	struct diags diags;
	const struct line *l;
	struct meter_use use;
	struct meter_reading got;

	vocab_init(&vocab);
	diags_init(&diags);
	parser_init(&parser, &vocab, &diags);
	l = parse_line(&parser, slice_of(text), 1, 0);
	use = meter_use_of_line(by, l);
	got = meter_reading_of(&use, l, line_item(l, FIELD_MC));
	if (got.mc != mc || got.corrected != is_corrected || got.doubtful != doubtful) {
		failures++;
		printf("%s: %lld %d %d\n", text, (long long)got.mc, got.corrected, got.doubtful);
	}
	parser_release(&parser);
	diags_release(&diags);
}

static void readings_of_lines(void)
{
	of_line(house, "2026-06-01 10:00 probe K1 mc=12% meter=pin wood=30C", 111000, true, false);
	of_line(house, "2026-06-01 10:00 probe K1 mc=12% meter=pin", 120000, false, false);       /* how warm is not said */
	of_line(house, "2026-06-01 10:00 probe K1 mc=7% meter=pin wood=20C", 70000, true, true);  /* below its trust */
	of_line(house, "2026-06-01 10:00 probe K1 mc=12% meter=line wood=30C", 103000, true, false);
	of_line(house, "2026-04-01 10:00 probe K1 mc=12% meter=line wood=30C", 120000, false, false); /* before its line */
	of_line(house, "2026-06-01 10:00 probe K1 mc=30%+ meter=pin wood=30C", 291000, true, false);  /* the end of the scale */
	of_line(house, "2026-06-01 10:00 probe K1 mc=12% wood=30C", 120000, false, false);
	of_line(NULL, "2026-06-01 10:00 probe K1 mc=12% meter=pin wood=30C", 120000, false, false);
}

static void check_words(const char *id, const char *want)
{
	struct meter_use use;
	struct buf words = BUF_INIT;

	look(id, &use);
	meter_use_write(&words, &use);
	if (!slice_eq(buf_slice(&words), slice_of(want))) {
		failures++;
		printf("%s: '%s', not '%s'\n", id, buf_cstr(&words), want);
	}
	buf_release(&words);
}

int main(void)
{
	house = house_read(slice_of(house_text), NULL, NULL);
	faults();
	corrections();
	trust();
	no_rule_changes_nothing();
	readings_of_lines();
	check_words("pin", "0.9 points per 10 C above 20 C");
	check_words("line", "-0.5 + 0.9 x reading");
	check_words("bare", "uncorrected");
	house_free(house);
	return failures > 0;
}
