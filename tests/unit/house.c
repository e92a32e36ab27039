/*
 * house.c and its parts. With files as operands: reads each and prints its problems, one a line, as
 * tests/house.bats wants them. --time FILE tells how long a reading takes, --mutants FILE N reads N
 * damaged copies.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include "base/pattern.h"
#include "book/diag.h"
#include "book/parse.h"
#include "house/house.h"
#include "house/house_open.h"

static int failures;

#define CHECK(what) do { if (!(what)) { failures++; printf("%d: %s\n", __LINE__, #what); } } while (0)

/* ---- the command */

static void print_problem(void *arg, const struct house_problem *p)
{
	printf("%s:%zu:%zu: %s: %.*s; %.*s -- %.*s\n", (const char *)arg, p->line, p->col, p->error ? "error" : "warning",
		(int)p->text.n, p->text.p, (int)p->mend.n, p->mend.p, (int)p->rule.n, p->rule.p);
}

static struct buf read_file(const char *path)
{
	struct buf text = BUF_INIT;
	char block[65536];
	size_t n;
	FILE *in = fopen(path, "rb");

	if (!in) {
		perror(path);
		exit(2);
	}
	while ((n = fread(block, 1, sizeof block, in)) > 0)
		buf_add(&text, (struct slice){ block, n });
	fclose(in);
	return text;
}

static const char *base_of(const char *path)
{
	const char *last = strrchr(path, '/');

	return last ? last + 1 : path;
}

static int print_problems_of(const char *path)
{
	struct buf text = read_file(path);
	const char *name = base_of(path);
	struct house *house = house_read(buf_slice(&text), print_problem, (void *)(uintptr_t)name);
	size_t errors;

	house_compile(house, print_problem, (void *)(uintptr_t)name);
	errors = house->errors;
	house_free(house);
	buf_release(&text);
	return errors > 0;
}

/* Reads the file `rounds` times with a few bytes changed, put in or cut out, by a seed that is told. */
static int read_mutants(const char *path, unsigned long rounds)
{
	static const char bytes[] = "{}[]:,-\"'#&*!|>%@\\ \n\t\r0Zx~.\xc4\x81\xff\x1b";
	struct buf text = read_file(path), mutant = BUF_INIT;
	uint64_t seed = 20261125;

	for (unsigned long i = 0; i < rounds; i++) {
		struct house *house;

		mutant.n = 0;
		buf_add(&mutant, buf_slice(&text));
		for (int k = 0; k < 3; k++) {
			seed = seed * 6364136223846793005u + 1442695040888963407u;
			mutant.p[(seed >> 33) % mutant.n] = bytes[(seed >> 20) % (sizeof bytes - 1)];
		}
		if (seed >> 62 == 0)
			mutant.n = (seed >> 33) % mutant.n;
		house = house_read(buf_slice(&mutant), NULL, NULL);
		house_compile(house, NULL, NULL);
		house_free(house);
	}
	buf_release(&mutant);
	buf_release(&text);
	return 0;
}

static double ms_now(void)
{
	struct timespec now;

	clock_gettime(CLOCK_MONOTONIC, &now);
	return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static int time_reading(const char *path)
{
	struct buf text = read_file(path);
	double best = 1e9, first = 0;

	for (int i = 0; i < 300; i++) {
		double start = ms_now(), took;

		house_free(house_read(buf_slice(&text), NULL, NULL));
		took = ms_now() - start;
		first = i ? first : took;
		best = took < best ? took : best;
	}
	printf("%zu bytes: first %.3f ms, best %.3f ms\n", text.n, first, best);
	buf_release(&text);
	return 0;
}

/* ---- the tests */

static struct house *read_text(const char *text)
{
	return house_read(slice_of(text), NULL, NULL);
}

static bool is(struct slice s, const char *word)
{
	return slice_eq(s, slice_of(word));
}

static int32_t day(int y, int m, int d)
{
	return day_of(y, m, d);
}

static void nothing_gives_the_defaults(void)
{
	struct house *h = read_text("");

	CHECK(h->errors == 0 && h->warnings == 0 && h->works.n == 0 && h->book.n == 0 && is(h->clock, "Z"));
	CHECK(h->currency == -1 && h->closed == HOUSE_NO_DAY);
	CHECK(h->units.mass == UNIT_MASS_G && h->units.bat_mass == UNIT_MASS_G && h->units.length == UNIT_LENGTH_MM);
	CHECK(h->units.temperature == UNIT_TEMPERATURE_C);
	CHECK(!h->ready.node && h->ready.target == HOUSE_NONE && !house_range_given(h->ready.band));
	CHECK(h->ready.readings == 1 && h->ready.hold == 0 && h->ready.sure == 900000 && h->ready.share == HOUSE_NONE);
	CHECK(h->splice.most_apart == HOUSE_NONE && h->splice.width == 380000);
	CHECK(h->laws.length == 9652000 && h->laws.width == 1080000 && h->laws.depth == 670000 && h->laws.edge == 400000);
	CHECK(h->intervals.air == HOUSE_NONE && h->nplaces == 0 && !house_place(h, SLICE("north")));
	CHECK(!house_has(h, HOUSE_PERSON) && house_grade_rank(h, 0, SLICE("1")) == -1 && !house_scheme_on(h, 0));
	CHECK(!house_pattern(h, HOUSE_IDS_TREE));
	house_free(h);
	house_free(NULL);
}

/* `key:` with nothing behind it is a key that does not stand. */
static void an_empty_key_is_none(void)
{
	struct house *h = read_text("works:\nplaces:\nready:\ngrades:\nclock:\nstages:\n");

	CHECK(h->errors == 0 && !h->ready.node && is(h->clock, "Z") && h->stages.n == 0);
	house_free(h);
}

static void rates_by_band(void)
{
	struct house *h = read_text("places:\n  k: {kind: kiln, capacity: 9, most-rate: [{of: 30%.., most: 4%}, {of: 20..30%, most: 2.5%}, {most: 1.25%}]}\n"
		"  l: {kind: kiln, capacity: 9, most-rate: []}\n");
	const struct house_place *k = house_place(h, SLICE("k"));

	CHECK(h->errors == 0 && k && k->nrates == 3 && house_place(h, SLICE("l"))->nrates == 0);
	CHECK(k->rates[0].band.low == 300000 && k->rates[0].band.high == INT64_MAX && k->rates[0].most == 40000);
	CHECK(k->rates[1].band.low == 200000 && k->rates[1].band.high == 300000 && k->rates[1].most == 25000);
	CHECK(!house_range_given(k->rates[2].band) && k->rates[2].most == 12500);
	house_free(h);
}

static void measures_are_exact(void)
{
	struct house *h = read_text(
		"places: {s/a: {kind: store, target: 8..10%, rh: ..55.5%, temp: 50F..20C, most-rate: 0.25%, air-every: 1d}}\n"
		"types: {SH: {length: 28in, mass: 2lb8oz..1400g}}\n"
		"ready: {target: 9%, band: 8%.., hold: 2d}\nsplice: {most-gap: 0.2mm}\n");
	const struct house_place *s = house_place(h, SLICE("s/a"));

	CHECK(h->errors == 0 && s && s->kind == HOUSE_PLACE_KIND_STORE);
	CHECK(s->target.low == 80000 && s->target.high == 100000);
	CHECK(s->rh.low == INT64_MIN && s->rh.high == 555000);
	CHECK(s->temp.low == 100000 && s->temp.high == 200000); /* 50 F is 10 C */
	CHECK(s->nrates == 1 && s->rates[0].most == 2500 && !house_range_given(s->rates[0].band) && s->air_every == 240000);
	CHECK(house_type(h, SLICE("SH"))->length == 7112000); /* 28 × 25.4 mm */
	CHECK(house_type(h, SLICE("SH"))->mass.low == 1133980925); /* 40 × 28.349523125 g, micrograms */
	CHECK(h->ready.target == 90000 && h->ready.band.low == 80000 && h->ready.band.high == INT64_MAX && h->ready.hold == 480000);
	CHECK(h->splice.most_gap == 2000);
	CHECK(house_range_holds(s->rh, 0) && house_range_holds(s->rh, 555000) && !house_range_holds(s->rh, 555001));
	CHECK(!house_range_holds((struct house_range){ HOUSE_NONE, HOUSE_NONE }, 0));
	house_free(h);
}

static void defaults_come_from_other_keys(void)
{
	struct house *h = read_text(
		"intervals: {air: 2d}\nplaces: {a: {kind: yard}, b: {kind: yard, air-every: 1h}}\n"
		"ready: {target: 9%}\n"
		"meters: {p: {kind: pin}, q: {kind: pin, trust: 5..25%}, h: {kind: hygrometer},\n"
		"  r: {kind: pin, own: [{date: 2026-05-01, a: 0.4, b: 0.95, pairs: 12, sd: 0.3}]}}\n");

	CHECK(h->errors == 0);
	CHECK(house_place(h, SLICE("a"))->air_every == 480000 && house_place(h, SLICE("b"))->air_every == 10000);
	CHECK(h->ready.band.low == 80000 && h->ready.band.high == 100000);
	CHECK(house_meter(h, SLICE("p"))->trust.low == 70000 && house_meter(h, SLICE("p"))->trust.high == 280000);
	CHECK(house_meter(h, SLICE("q"))->trust.low == 50000 && !house_range_given(house_meter(h, SLICE("h"))->trust));
	CHECK(house_meter(h, SLICE("r"))->own[0].from == day(2026, 5, 1));
	CHECK(isnan(house_meter(h, SLICE("p"))->per10c));
	house_free(h);
}

static void ids_are_found(void)
{
	struct house *h = read_text(
		"places: {north: {kind: kiln, capacity: 9}, store/r1: {kind: store}}\n"
		"people: {mk: Māia Kellowen, jo: Jürgen Osterlock}\nparties: {hale: Halverrick timber}\n"
		"causes: {cull: [knot, split], return: [broken]}\ncosts: {power: by-piece-day, refund: none}\n"
		"byproducts: firewood\nstages: [warm, off]\nmeters: {pin2: {kind: pin, settings: {\"\": willow, cane: cane}}}\n"
		"species: {cleft: Salix alba, handle: cane}\n");

	CHECK(h->errors == 0 && h->warnings == 0);
	CHECK(house_place(h, SLICE("north"))->capacity == 9 && house_place(h, SLICE("store/r1")));
	CHECK(!house_place(h, SLICE("store")) && !house_place(h, SLICE("North")) && !house_place(h, SLICE("")));
	CHECK(house_index(h, HOUSE_PERSON, SLICE("mk")) == 0 && is(h->people[0].name, "Māia Kellowen") && house_index(h, HOUSE_PERSON, SLICE("x")) == -1);
	CHECK(is(h->parties[house_index(h, HOUSE_PARTY, SLICE("hale"))].name, "Halverrick timber"));
	CHECK(house_index(h, HOUSE_CULL, SLICE("split")) == 1 && house_index(h, HOUSE_RETURN, SLICE("split")) == -1);
	CHECK(h->costs[house_index(h, HOUSE_COST, SLICE("power"))].spread == HOUSE_COST_SPREAD_BY_PIECE_DAY);
	CHECK(house_index(h, HOUSE_BYPRODUCT, SLICE("firewood")) == 0 && house_index(h, HOUSE_STAGE, SLICE("off")) == 1);
	CHECK(is(house_setting(house_meter(h, SLICE("pin2")), SLICE(""))->wood, "willow"));
	CHECK(is(house_setting(house_meter(h, SLICE("pin2")), SLICE("cane"))->wood, "cane"));
	CHECK(!house_setting(house_meter(h, SLICE("pin2")), SLICE("oak")));
	CHECK(h->nspecies == 2 && is(h->species[0].name, "Salix alba") && is(h->species[1].id, "handle"));
	CHECK(house_has(h, HOUSE_PLACE) && !house_has(h, HOUSE_TYPE));
	CHECK(is(house_near(h, HOUSE_PLACE, SLICE("nort")), "north") && house_near(h, HOUSE_PLACE, SLICE("bench")).n == 0);
	CHECK(is(house_near(h, HOUSE_CULL, SLICE("knto")), "knot"));
	house_free(h);
}

static bool is_byproduct(const struct house *h, const char *text)
{
	static struct vocab vocab;
	struct diags diags;
	struct parser parser;
	const struct line *l;
	bool answer;

	vocab_init(&vocab);
	diags_init(&diags);
	parser_init(&parser, &vocab, &diags);
	l = parse_line(&parser, slice_of(text), 1, 0);
	CHECK(l->kind == LINE_EVENT);
	answer = house_is_byproduct(h, l);
	parser_release(&parser);
	diags_release(&diags);
	return answer;
}

static void byproducts_are_by_name_or_by_measure(void)
{
	struct house *h = read_text("byproducts: firewood\n");

	CHECK(is_byproduct(h, "2026-03-02 sell firewood to=lund price=90.00NZD"));
	CHECK(!is_byproduct(NULL, "2026-03-02 sell firewood to=lund price=90.00NZD"));
	CHECK(is_byproduct(NULL, "2026-03-02 sell shavings volume=2.4m3 to=lund"));
	CHECK(is_byproduct(h, "2026-03-02 sell shavings mass=310kg to=lund"));
	CHECK(!is_byproduct(h, "2026-03-02 sell L014 at=shop count=8 to=lund"));
	CHECK(!is_byproduct(h, "2026-03-02 sell L014 at=shop count=2 mass=5kg to=lund"));
	CHECK(is_byproduct(h, "2026-03-02 sell firewood count=2 mass=5kg to=lund"));
	CHECK(!is_byproduct(h, "2026-03-02 fell firewood parcel=P1"));
	house_free(h);
}

static void a_grade_is_of_any_scheme(void)
{
	struct house *h = read_text("grades:\n- {scheme: later, from: 2027-07-01, list: [A, \"1\"]}\n- {scheme: first, list: [\"1\", \"2\"]}\n");

	CHECK(house_is_grade(h, SLICE("A")) && house_is_grade(h, SLICE("2")) && !house_is_grade(h, SLICE("3")));
	house_free(h);
	h = read_text("works: W\n");
	CHECK(house_is_grade(h, SLICE("3")) && !house_is_grade(h, SLICE("A")));
	CHECK(house_is_grade(NULL, SLICE("3+")) && !house_is_grade(NULL, SLICE("S6")));
	house_free(h);
}

static void grades_go_by_the_scheme_of_the_day(void)
{
	struct house *h = read_text(
		"grades:\n- {scheme: later, from: 2027-07-01, list: [A, \"1\"], worth: [5, 2.5]}\n- {scheme: first, list: [\"1\", \"2\"]}\n"
		"claims: {brook: [A, B, C]}\nparties: {brook: Brook}\n");

	CHECK(h->errors == 0 && h->nschemes == 2 && is(h->schemes[0].id, "first"));
	CHECK(house_grade_rank(h, day(2027, 6, 30), SLICE("1")) == 0 && house_grade_rank(h, day(2027, 7, 1), SLICE("1")) == 1);
	CHECK(house_grade_rank(h, day(2027, 6, 30), SLICE("A")) == -1 && house_grade_rank(h, day(2027, 7, 1), SLICE("A")) == 0);
	CHECK(h->schemes[1].worth.n == 2 && h->schemes[1].worth.number[1] == 2.5);
	CHECK(house_index(h, HOUSE_GRADE, SLICE("2")) >= 0 && house_index(h, HOUSE_GRADE, SLICE("3")) == -1);
	CHECK(house_claim_rank(h, SLICE("brook"), SLICE("C")) == 2 && house_claim_rank(h, SLICE("hale"), SLICE("C")) == -1);
	house_free(h);
	h = read_text("grades: [{scheme: x, from: 2024-01-01, list: [A]}]\n");
	CHECK(!house_scheme_on(h, day(2023, 12, 31)) && house_scheme_on(h, day(2024, 1, 1)));
	house_free(h);
}

/* Three schemes: the second says what the first's grades are, the third does not. */
static void schemes_mix_only_where_the_file_says_how(void)
{
	struct house *h = read_text("grades:\n- {scheme: first, list: [\"1\", \"2\", \"3\"]}\n- {scheme: middle, from: 2027-07-01, list: [A, B], former: [A, B, B]}\n"
		"- {scheme: last, from: 2028-01-01, list: [X, Z]}\n");
	const int32_t before = day(2027, 6, 30), after = day(2027, 7, 1), late = day(2028, 1, 1);

	CHECK(h->errors == 0);
	CHECK(is(house_scheme_joined(h, before, late)->id, "middle") && is(house_scheme_joined(h, before, before)->id, "first"));
	CHECK(is(house_scheme_joined(h, after, late)->id, "middle") && is(house_scheme_joined(h, late, late)->id, "last"));
	CHECK(is(house_grade_joined(h, before, late, SLICE("3")), "B") && is(house_grade_joined(h, before, before, SLICE("3")), "3"));
	CHECK(is(house_grade_joined(h, after, late, SLICE("B")), "B") && is(house_grade_joined(h, before, late, SLICE("9")), "9"));
	house_free(h);
	h = read_text("works: W\n");
	CHECK(!house_scheme_joined(h, before, late) && is(house_grade_joined(h, before, late, SLICE("9")), "9"));
	house_free(h);
}

static void handles_fit_blades(void)
{
	struct house *h = read_text("types: {SH: {}, S6: {form: blade}, HS: {form: handle, fits: SH}, HA: {form: handle}}\n");

	CHECK(h->errors == 0);
	CHECK(house_type(h, SLICE("HS"))->fits.n == 1 && is(house_type(h, SLICE("HS"))->fits.word[0], "SH"));
	CHECK(house_type(h, SLICE("HA"))->fits.n == 0);
	house_free(h);
}

static void lines_of_a_meter_go_by_day(void)
{
	struct house *h = read_text(
		"meters: {p: {kind: pin, settings: {\"\": willow, cane: cane}, own: [\n"
		"  {date: 2026-05-01, a: 0.1, b: 1, pairs: 12, sd: 0.3}, {date: 2026-08-01, from: 2026-06-01, a: 0.2, b: 1, pairs: 12, sd: 0.3},\n"
		"  {setting: cane, date: 2026-02-01, a: -0.3, b: 1.02, pairs: 10, sd: 0.3, span: 6..20%}]}}\n");
	const struct house_meter *p = house_meter(h, SLICE("p"));

	CHECK(h->errors == 0 && h->warnings == 0);
	CHECK(!house_calibration(p, SLICE(""), day(2026, 4, 30)));
	CHECK(house_calibration(p, SLICE(""), day(2026, 5, 31))->a == 0.1 && house_calibration(p, SLICE(""), day(2026, 6, 1))->a == 0.2);
	CHECK(house_calibration(p, SLICE("cane"), day(2026, 6, 1))->a == -0.3 && house_calibration(p, SLICE("cane"), day(2026, 6, 1))->b == 1.02);
	CHECK(house_calibration(p, SLICE("cane"), day(2026, 6, 1))->span.high == 200000);
	CHECK(!house_calibration(p, SLICE("oak"), day(2026, 6, 1)));
	house_free(h);
}

/* Wood Handbook (FPL-GTR-282, 2021), table 13-5: black willow, radial 0.00112. */
static void own_constants_go_before_a_handbook(void)
{
	struct house *h = read_text(
		"wood: {willow: {forms: [cleft, blade], constants: [\n"
		"  {of: radial, value: 0.00112, by: handbook, date: 2099-01-01, source: Wood Handbook 2021 table 13-5},\n"
		"  {of: radial, value: 0.00105, by: own, date: 2025-01-01, source: book of trials p. 3},\n"
		"  {of: radial, value: 0.00107, by: own, date: 2026-01-01, pieces: 12, sd: 0.00004, source: book of trials p. 9},\n"
		"  {of: saturation, value: 28, by: handbook, source: the same}]}}\n");
	const struct house_wood *w = house_wood_of_form(h, SLICE("blade"));

	CHECK(h->errors == 0 && w == house_wood(h, SLICE("willow")) && !house_wood_of_form(h, SLICE("handle")));
	CHECK(house_constant(w, HOUSE_CONSTANT_OF_RADIAL)->value == 0.00107 && house_constant(w, HOUSE_CONSTANT_OF_RADIAL)->pieces == 12);
	CHECK(house_constant(w, HOUSE_CONSTANT_OF_SATURATION)->value == 28.0 && !house_constant(w, HOUSE_CONSTANT_OF_TANGENTIAL));
	CHECK(isnan(house_constant(w, HOUSE_CONSTANT_OF_SATURATION)->sd) && house_constant(w, HOUSE_CONSTANT_OF_SATURATION)->pieces == HOUSE_NONE);
	house_free(h);
}

static void patterns_match_whole_ids(void)
{
	struct house *h = read_text("ids: {tree: 'T\\d{3}', lot: '[LCHM]\\d+(-\\d+)?'}\n");
	struct pattern_scratch *scratch = pattern_scratch_new();

	CHECK(!house_pattern(h, HOUSE_IDS_TREE));
	house_compile(h, NULL, NULL);
	CHECK(h->errors == 0 && house_pattern(h, HOUSE_IDS_TREE) && !house_pattern(h, HOUSE_IDS_BAT));
	CHECK(pattern_match(house_pattern(h, HOUSE_IDS_TREE), scratch, SLICE("T061")) == PATTERN_YES);
	CHECK(pattern_match(house_pattern(h, HOUSE_IDS_TREE), scratch, SLICE("T0611")) == PATTERN_NO);
	CHECK(is(house_pattern_source(h, HOUSE_IDS_TREE), "T\\d{3}") && house_pattern_source(h, HOUSE_IDS_BAT).n == 0);
	pattern_scratch_free(scratch);
	house_free(h);
}

static void the_works_adds_events_and_fields(void)
{
	struct house *h = read_text(
		"fields: {moon: {type: id, help: phase, events: [fell], words: [new, full], many: yes, label: may}, wind: {type: count, help: x}}\n"
		"events: {storm: {subject: [place, kiln], help: h, needs: wind, takes: [text]}}\nrules: {bad-utf8: warning}\n");

	CHECK(h->errors == 0 && h->nfields == 2 && h->nevents == 1);
	CHECK(h->fields[0].type == TYPE_ID && h->fields[0].words.n == 2 && h->fields[0].many && !h->fields[0].range);
	CHECK(h->fields[0].label == HOUSE_FIELD_LABEL_MAY && h->fields[0].of == OF_NOTHING && h->fields[1].label == HOUSE_FIELD_LABEL_NO);
	CHECK(h->events[0].subject == (SUBJECT_PLACE | SUBJECT_KILN) && is(h->events[0].needs.word[0], "wind"));
	CHECK(h->nrules == 1 && h->rules[0].level == LEVEL_WARNING);
	house_free(h);
}

/* The words of the key table stand in the order of the enums that they become. */
static void words_are_in_order(void)
{
	CHECK((int)HOUSE_FIELD_OF_NOTHING == OF_NOTHING && (int)HOUSE_FIELD_OF_FORM == OF_FORM && (int)HOUSE_FIELD_OF_TYPE == OF_TYPE);
	CHECK((int)HOUSE_FIELD_OF_GRADE == OF_GRADE && (int)HOUSE_FIELD_OF_WHAT == OF_WHAT && (int)HOUSE_FIELD_OF_PLACE == OF_PLACE);
	CHECK((int)HOUSE_FIELD_OF_KILN == OF_KILN && (int)HOUSE_FIELD_OF_PERSON == OF_PERSON && (int)HOUSE_FIELD_OF_PARTY == OF_PARTY);
	CHECK((int)HOUSE_FIELD_OF_CULL == OF_CULL && (int)HOUSE_FIELD_OF_RETURN == OF_RETURN && (int)HOUSE_FIELD_OF_COST == OF_COST);
	CHECK((int)HOUSE_FIELD_OF_STAGE == OF_STAGE && (int)HOUSE_FIELD_OF_METER == OF_METER && (int)HOUSE_FIELD_OF_CLASS == OF_CLASS && (int)HOUSE_FIELD_OF_END == OF_CLASS + 1);
	CHECK((int)HOUSE_LEVEL_LEVEL_NONE == LEVEL_NONE && (int)HOUSE_LEVEL_LEVEL_NOTE == LEVEL_NOTE);
	CHECK((int)HOUSE_LEVEL_LEVEL_WARNING == LEVEL_WARNING && (int)HOUSE_LEVEL_LEVEL_ERROR == LEVEL_ERROR);
	CHECK(HOUSE_CONSTANT_BY_OWN < HOUSE_CONSTANT_BY_HANDBOOK);
}

/* ---- what is wrong is told, all of it */

static void keep(void *arg, const struct house_problem *p)
{
	buf_printf(arg, "%zu:%zu %.*s\n", p->line, p->col, (int)p->rule.n, p->rule.p);
}

static void expect(int line, const char *text, const char *wanted)
{
	struct buf told = BUF_INIT;
	struct house *h = house_read(slice_of(text), keep, &told);

	house_compile(h, keep, &told);
	if (!slice_eq(buf_slice(&told), slice_of(wanted))) {
		failures++;
		printf("%d: wanted\n%sgot\n%s", line, wanted, buf_cstr(&told));
	}
	house_free(h);
	buf_release(&told);
}

#define EXPECT(text, wanted) expect(__LINE__, text, wanted)

static void all_problems_are_told(void)
{
	EXPECT("werks: x\nclosed: 2026-02-30\nplaces:\n  north: {kind: kil}\n  b 1: {kind: yard}\nready: {band: 10..8%}\n",
		"1:1 house-key-unknown\n2:9 house-date\n4:17 house-word\n5:3 house-id\n6:15 house-range\n");
	EXPECT("- a\n- b\n", "1:1 house-kind\n");
	EXPECT("just words\n", "1:1 house-kind\n");
	EXPECT("places: [a]\npeople: x\nbook: {a: b}\nworks: [a]\n", "1:9 house-kind\n2:9 house-kind\n3:7 house-kind\n4:8 house-kind\n");
	EXPECT("places: {north: , south: {}}\n", "1:17 house-kind\n1:26 house-key-missing\n");
	EXPECT("clock: +12:00\n", "1:8 house-unquoted\n");
	EXPECT("clock: \"+99:00\"\n", "1:8 house-value\n");
	EXPECT("people: {no: N., y: Y}\n", "1:10 house-unquoted\n1:18 house-unquoted\n1:21 house-unquoted\n");
}

/* A wrong value leaves the default; the rest of the file is read. */
static void the_rest_is_read(void)
{
	struct house *h = read_text("works: [x]\ncurrency: NZ\nclock: Pacific/Auckland\nready: {readings: -3, target: 9%}\nlaws: {edge: 4}\n"
		"units: {mass: stone, length: in}\n");

	CHECK(h->errors == 5 && h->works.n == 0 && h->currency == -1 && is(h->clock, "Pacific/Auckland"));
	CHECK(h->ready.readings == 1 && h->ready.target == 90000 && h->laws.edge == 400000);
	CHECK(h->units.mass == UNIT_MASS_G && h->units.length == UNIT_LENGTH_IN);
	house_free(h);
}

static void count_problems(void *arg, const struct house_problem *p)
{
	size_t *n = arg;

	*n += p->line > 0 && p->col > 0;
}

/* Ten megabytes that are wrong from end to end, or nested, or one mapping of many rows: read in bounded time. */
static void big_files_end(void)
{
	struct buf text = BUF_INIT;
	struct house *h;
	size_t n = 0;

	for (int64_t i = 0; i < 700000; i++) {
		buf_str(&text, "kay");
		buf_int(&text, i);
		buf_str(&text, ": 1\n");
	}
	h = house_read(buf_slice(&text), count_problems, &n);
	CHECK(n == HOUSE_PROBLEMS_MOST + 1 && h->errors == n);
	house_free(h);
	text.n = 0;
	buf_str(&text, "causes: {cull: [");
	for (int i = 0; i < 900000; i++)
		buf_str(&text, "knot, ");
	buf_str(&text, "]}\nparties:\n");
	for (int64_t i = 0; i < 300000; i++) {
		buf_str(&text, "  p");
		buf_int(&text, i);
		buf_str(&text, ": \"x\"\n");
	}
	n = 0;
	h = house_read(buf_slice(&text), count_problems, &n);
	CHECK(n == HOUSE_PROBLEMS_MOST + 1 && h->nparties == 300000 && house_index(h, HOUSE_PARTY, SLICE("p299999")) == 299999);
	house_free(h);
	text.n = 0;
	buf_fill(&text, '[', 5000000);
	h = house_read(buf_slice(&text), count_problems, &n);
	CHECK(h->errors == 1);
	house_free(h);
	buf_release(&text);
}

static void make_file(const char *path)
{
	FILE *out = fopen(path, "w");

	CHECK(out && fputs("works: x\n", out) >= 0 && fclose(out) == 0);
}

static void check_found(const char *option, const char *near, const char *wanted)
{
	char *path = house_find(option, near);

	if (!path || strcmp(path, wanted) != 0) {
		failures++;
		printf("found %s, not %s\n", path ? path : "nothing", wanted);
	}
	free(path);
}

/* In a folder of its own: the option, then the environment, then this folder and those above. */
static void the_file_is_found(void)
{
	char folder[] = P_tmpdir "/wy-house-XXXXXX", here[4096];
	char *path;

	CHECK(getcwd(here, sizeof here) && mkdtemp(folder) && chdir(folder) == 0);
	CHECK(system("mkdir -p a/b/house.yaml") == 0);
	make_file("a/house.yaml");
	CHECK(chdir("a/b/house.yaml") == 0 && unsetenv("WITHY_HOUSE") == 0);
	check_found(NULL, NULL, "../../house.yaml"); /* a folder of that name is passed over */
	check_found("x.yaml", NULL, "x.yaml");
	CHECK(setenv("WITHY_HOUSE", "/y.yaml", 1) == 0);
	check_found(NULL, NULL, "/y.yaml");
	check_found("x.yaml", NULL, "x.yaml");
	CHECK(setenv("WITHY_HOUSE", "", 1) == 0);
	check_found(NULL, NULL, "../../house.yaml");
	CHECK(chdir("../..") == 0);
	check_found(NULL, NULL, "house.yaml");
	check_found(NULL, "b/house.yaml/book.wy", "b/house.yaml/../../house.yaml");
	check_found(NULL, "book.wy", "house.yaml");
	check_found("x.yaml", "b/book.wy", "x.yaml");
	CHECK(chdir("/") == 0);
	path = house_find(NULL, NULL);
	CHECK(access("/house.yaml", F_OK) == 0 ? path != NULL : path == NULL);
	free(path);
	CHECK(chdir(folder) == 0 && system("rm -r a") == 0 && chdir(here) == 0 && rmdir(folder) == 0);
}

static void files_stand_beside_the_house(void)
{
	struct buf path = BUF_INIT;

	house_beside(&path, "house.yaml", SLICE("book.wy"));
	buf_char(&path, ' ');
	house_beside(&path, "../../house.yaml", SLICE("2026/book.wy"));
	buf_char(&path, ' ');
	house_beside(&path, "/w/house.yaml", SLICE("/b/book.wy"));
	CHECK(is(buf_slice(&path), "book.wy ../../2026/book.wy /b/book.wy"));
	buf_release(&path);
}

static int run_tests(void)
{
	nothing_gives_the_defaults();
	an_empty_key_is_none();
	rates_by_band();
	measures_are_exact();
	defaults_come_from_other_keys();
	ids_are_found();
	byproducts_are_by_name_or_by_measure();
	a_grade_is_of_any_scheme();
	grades_go_by_the_scheme_of_the_day();
	schemes_mix_only_where_the_file_says_how();
	handles_fit_blades();
	lines_of_a_meter_go_by_day();
	own_constants_go_before_a_handbook();
	patterns_match_whole_ids();
	the_works_adds_events_and_fields();
	words_are_in_order();
	all_problems_are_told();
	the_rest_is_read();
	big_files_end();
	the_file_is_found();
	files_stand_beside_the_house();
	return failures != 0;
}

int main(int argc, char **argv)
{
	int status = 0;

	if (argc == 1)
		return run_tests();
	if (argc == 3 && strcmp(argv[1], "--time") == 0)
		return time_reading(argv[2]);
	if (argc == 4 && strcmp(argv[1], "--mutants") == 0)
		return read_mutants(argv[2], strtoul(argv[3], NULL, 10));
	for (int i = 1; i < argc; i++)
		status |= print_problems_of(argv[i]);
	return status;
}
