#include "day.h"
#include "works.h"

static const double yard_temp[12] = { 19.5, 20, 18.5, 16, 13.5, 11.3, 10.5, 11.2, 12.8, 14.3, 16, 18 };
static const double yard_rh[12] = { 74, 76, 77, 79, 82, 85, 85, 82, 78, 76, 75, 74 };
static const double store_temp[12] = { 21.5, 21.5, 20.5, 19.5, 18.5, 17.8, 17.5, 17.8, 18.4, 19, 20, 21 };
static const double store_rh[12] = { 50, 50.5, 51, 51, 52, 53, 53, 52.5, 51.5, 51, 50.5, 50 };

/* What every logger adds to the humidity that there is. */
static const double log_bias[ROOMS] = { 0, 0.4, -0.6, 0.2 };
static const char *const log_name[ROOMS] = { "", "log1", "log2", "log3" };
static const char *const room_name[ROOMS] = { "yard/b1", "store/r1", "store/r2", "cane" };

static const struct spell {
	enum room room;
	int from_year, from_month, from_day, days;
	double rh;
} spells[] = {
	{ ROOM_R1, 2026, 2, 9, 12, 9 },
	{ ROOM_R2, 2026, 2, 9, 12, 11 },
	{ ROOM_R1, 2026, 7, 4, 23, 8 },
	{ ROOM_R2, 2026, 7, 4, 16, 7 },
	{ ROOM_CANE, 2026, 12, 19, 58, -11 },
	{ ROOM_CANE, 2027, 4, 12, 30, 8 },
	{ ROOM_R1, 2027, 6, 12, 28, 11 },
};

/* A spell comes and goes over two days. */
static double spell_rh(enum room room, int day)
{
	double sum = 0;

	for (size_t i = 0; i < sizeof spells / sizeof spells[0]; i++) {
		const struct spell *s = &spells[i];
		int since = day - day_of(s->from_year, s->from_month, s->from_day);
		double part = 1;

		if (s->room != room || since < 0 || since >= s->days)
			continue;
		if (since < 2)
			part = (double)(since + 1) / 3;
		if (s->days - since < 3)
			part = (double)(s->days - since) / 3;
		sum += s->rh * part;
	}
	return sum;
}

static double keep(double x, double lo, double hi)
{
	return x < lo ? lo : x > hi ? hi : x;
}

static struct air room_air(struct works *w, enum room room)
{
	bool yard = room == ROOM_YARD;
	double sd = yard ? 4.0 : 1.0, *err = &w->air_err[room];
	struct air a;

	*err = 0.8 * *err + sd * rng_normal(&w->climate_rng);
	a.temp_c = day_seasonal(yard ? yard_temp : store_temp, w->day)
		+ (yard ? 1.5 : 0.5) * rng_normal(&w->climate_rng);
	a.rh_pct = keep(day_seasonal(yard ? yard_rh : store_rh, w->day) + *err
		+ spell_rh(room, w->day), 25, 97);
	return a;
}

void climate_day(struct works *w)
{
	for (int room = 0; room < ROOMS; room++)
		w->air[room] = w->air_log[w->day][room] = room_air(w, (enum room)room);
}

static void air_entry(struct works *w, int minute, enum room room, struct air a, const char *meter)
{
	struct line *l = page_say(&w->page, minute, "air", room_name[room]);
	char t[24], rh[24];

	line_add(l, "temp", "%sC", num_text(t, a.temp_c, 1));
	line_add(l, "rh", "%s%%", num_text(rh, a.rh_pct, meter[0] == 'l'));
	line_add(l, "meter", "%s", meter);
}

static void logged(struct works *w, int minute, enum room room, double warmer)
{
	struct air a = w->air[room];

	a.temp_c += warmer + 0.2 * rng_normal(&w->climate_rng);
	a.rh_pct += log_bias[room] - warmer + 0.5 * rng_normal(&w->climate_rng);
	air_entry(w, minute, room, a, log_name[room]);
}

static void by_hand(struct works *w, int minute, enum room room)
{
	struct air a = w->air[room];

	a.rh_pct += -HYG_BIAS + 0.5 * rng_normal(&w->climate_rng);
	air_entry(w, minute, room, a, "hyg1");
	line_add(w->page.lines[w->page.n - 1], "by", "mk");
}

/* Ten past two came twice on the night that summer time ended. */
static void twice_ten_past_two(struct works *w)
{
	static const char *const offset[2] = { "+13:00", "+12:00" };

	for (int i = 0; i < 2; i++) {
		logged(w, 130, ROOM_R1, -0.5);
		w->page.lines[w->page.n - 1]->offset = offset[i];
	}
}

/* The loggers of the second room and the cane room came later. */
void climate_entries(struct works *w)
{
	if (w->day == day_of(2027, 4, 4))
		twice_ten_past_two(w);
	logged(w, 480, ROOM_R1, -0.3);
	logged(w, 960, ROOM_R1, 0.3);
	if (w->day >= day_of(2026, 1, 20) && w->day % 2)
		logged(w, 485, ROOM_R2, 0);
	if (w->day >= day_of(2026, 1, 20))
		logged(w, 490, ROOM_CANE, 0);
	if (day_works(w->day) && day_weekday(w->day) == 0)
		by_hand(w, 545, ROOM_R1);
	if (day_works(w->day) && day_weekday(w->day) == 3 && day_dom(w->day) <= 14)
		by_hand(w, 550, ROOM_YARD);
}

void truth_constants(struct works *w)
{
	truth_add(w, "meter", "pin2", "a", PIN_A, 3, "%");
	truth_add(w, "meter", "pin2", "b", PIN_B, 3, "");
	truth_add(w, "meter", "pin2", "per10C", PIN_PER10C, 2, "%");
	truth_add(w, "meter", "pin2", "sd", PIN_SD, 2, "%");
	truth_add(w, "meter", "hyg1", "bias", -HYG_BIAS, 1, "%rh");
	for (int i = ROOM_R1; i < ROOMS; i++)
		truth_add(w, "meter", log_name[i], "bias", log_bias[i], 1, "%rh");
	truth_add(w, "drying", "-", "k_piece_log_sd", K_PIECE_SD, 2, "");
	truth_add(w, "drying", "-", "k_charge_log_sd", K_CHARGE_SD, 2, "");
	truth_add(w, "store", "-", "k_blade", STORE_K, 4, "1/d");
	truth_add(w, "store", "cane", "k_handle", HANDLE_K, 4, "1/d");
	truth_add(w, "yard", "-", "k_cleft", YARD_K, 4, "1/d");
	truth_add(w, "judge", "-", "second_same", JUDGE_SAME, 2, "");
	truth_add(w, "judge", "-", "second_worse", JUDGE_WORSE, 2, "");
	truth_add(w, "grade", "2027", "ones_to_twos", STRICTER, 2, "");
	truth_add(w, "finish", "-", "a", FINISH_A, 1, "g");
	truth_add(w, "finish", "-", "b", FINISH_B, 3, "");
	truth_add(w, "finish", "-", "sd", FINISH_SD, 1, "g");
	truth_add(w, "return", "-", "usual", RETURN_P, 3, "");
	truth_add(w, "return", "H034", "handle_still_wet", RETURN_WET_P, 3, "");
	for (size_t i = 0; i < sources_n; i++) {
		const struct source *s = &sources[i];

		for (int g = 0; g < GRADES; g++)
			truth_add(w, "grade", s->id, grades[g], s->grade[g], 3, "");
		truth_add(w, "cull", s->id, "cleave", s->cleave_cull, 3, "");
		truth_add(w, "cull", s->id, "unload", s->kiln_cull, 3, "");
		truth_add(w, "cull", s->id, "plane", s->plane_cull, 3, "");
		truth_add(w, "cull", s->id, "grade", s->grade_cull, 3, "");
		truth_add(w, "drying", s->id, "k_factor", s->k, 2, "");
	}
	for (int i = 0; i < TYPES; i++)
		truth_add(w, "drying", kinds[i].id, "k_factor", kinds[i].k, 2, "");
}
