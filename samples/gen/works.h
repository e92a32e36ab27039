/*
 * works.h - the sample works: its parts (plan.c) and its state on a day.
 *
 * A day runs: night in the kilns; what is read, loaded and emptied; the bench; the store;
 * the shop; the office; the rest of the day in the kilns. Moisture is always the true one,
 * in per cent dry basis, until a meter shows it.
 */
#ifndef SAMPLE_WORKS_H
#define SAMPLE_WORKS_H

#include "num.h"
#include "page.h"

enum { TYPES = 4, GRADES = 4, STEPS = 8, KILN_DAYS = 60, PARTS = 10, PROBES = 4 };

/* ---- what does not change ---- */

struct kind { /* a type of blade */
	const char *id;
	double k;      /* how much faster than a full-size cleft it dries */
	double mass_g; /* a blank at 10 % */
	const char *handle;
};

/* Where wood comes from: a standing parcel or a supplier. */
struct source {
	const char *id, *party, *site, *origin, *currency;
	bool bought;
	double grade[GRADES]; /* under the scheme of 2024 */
	double k;             /* how fast it dries against the others */
	double cleave_cull;   /* a tree's clefts: lost at cleaving */
	double kiln_cull, plane_cull, grade_cull;
	double claim[3];      /* the supplier's own grades A, B, C */
	double price;         /* a cleft, in its currency */
};

struct felling {
	int year, month, day;
	const char *source;
	int trees;
};

struct buying {
	int year, month, day;
	const char *lot, *source, *at;
	int count[TYPES];
	double start_mc;
	const char *grade_like; /* a lot that turned out like another source; NULL: as usual */
};

struct want { /* what a charge is to hold: a lot or all lots of a source, a type or all, n or all */
	const char *from, *type;
	int n;
};

enum trouble { TR_NONE, TR_TRIP, TR_DEAD_WIRE, TR_FROZEN, TR_WET_POCKET, TR_WET_STAY };

struct plan {
	const char *id, *kiln;
	int year, month, day;
	struct want want[6];
	enum trouble trouble[2];
};

extern const struct kind kinds[TYPES];
extern const char *const grades[GRADES];
extern const struct source sources[];
extern const size_t sources_n;
extern const struct felling fellings[];
extern const size_t fellings_n;
extern const struct buying buyings[];
extern const size_t buyings_n;
extern const struct plan plans[];
extern const size_t plans_n;

/* The meter: true = PIN_A + PIN_B (reading - PIN_PER10C (wood - 20 C) / 10), and scatter. */
#define PIN_A 0.35
#define PIN_B 0.945
#define PIN_PER10C 0.9
#define PIN_SD 0.22
/* The hand hygrometer shows this much less than there is. */
#define HYG_BIAS 1.7
#define K_CHARGE_SD 0.10
#define K_PIECE_SD 0.12
#define K_BASE 0.112
#define STORE_K 0.030
#define HANDLE_K 0.022
#define YARD_K 0.0125
/* From 2027-07-01 the scheme lets this share of the old 1s go to the 2s. */
#define STRICTER 0.30
/* A second grader: the same, one worse, one better. */
#define JUDGE_SAME 0.78
#define JUDGE_WORSE 0.15
/* finished mass = FINISH_A + FINISH_B * blank, and scatter */
#define FINISH_A 372.0
#define FINISH_B 0.505
#define FINISH_SD 20.0
#define BLANK_SD 62.0
#define RETURN_P 0.015
#define RETURN_WET_P 0.30

int kind_index(const char *type);
const struct source *source_of(const char *id);

/* ---- what changes ---- */

struct lot {
	const char *id;
	const struct source *source;
	const struct source *graded_like;
	double cleft_mc, cleft_sd; /* in the yard */
	double blade_mc, blade_sd; /* once dried */
	int judged;                /* pieces numbered so far */
	bool handle, fresh;        /* a lot of handles; just out of the kiln */
	int born;
};

struct part { /* one lot and type of a charge */
	struct lot *lot;
	const char *type;
	int n;
	double k_med, start_mc, start_sd, end_mc, end_sd;
};

struct probe {
	int part;
	double k, start_mc;
	bool in;
	int frozen_from; /* days from loading; 0 never */
	double frozen_raw;
};

enum charge_state { CH_PLANNED, CH_DRYING, CH_EMPTYING, CH_DONE };

struct charge {
	const struct plan *plan;
	enum charge_state state;
	int load_day, next_read, ready_reads, empty_day;
	bool swapped; /* a probe was put into another piece */
	double me[KILN_DAYS * STEPS]; /* the kiln's true EMC, a value for each 3 hours */
	struct part part[PARTS];
	int parts;
	struct probe probe[PROBES];
	int trip_from, trip_days;
	int stage;
	double mean_seen, wettest_seen, driest_seen;
	int oven_tests;
	struct rng rng;
};

struct kiln {
	const char *id;
	double temp_c, rh_pct;         /* true air now */
	double set_temp_c, set_rh_pct; /* set point; temp 0 = off */
	double day_temp[DAYS * STEPS], day_rh[DAYS * STEPS];
	double err_rh;
	struct charge *charge;
};

enum room { ROOM_YARD, ROOM_R1, ROOM_R2, ROOM_CANE, ROOMS };

struct air {
	double temp_c, rh_pct;
};

struct judged { /* a numbered piece that a grader has seen */
	struct lot *lot;
	int number, kind, grade;
	double mass_g;
	bool used, again;
	int day;
	const char *by;
};

struct order {
	char id[12];
	const char *to;
	bool bats, closed, restated;
	int placed, due;
	int want[TYPES][GRADES], sent[TYPES][GRADES], issued[TYPES][GRADES];
	int mass_lo, mass_hi; /* half ounces */
	int next_try, deadline;
};

enum bat_state { BAT_BLADE, BAT_MADE, BAT_FINISHED, BAT_SOLD, BAT_BACK, BAT_GONE };

struct bat { /* a blade issued to the shop, and what became of it */
	char id[12];
	enum bat_state state;
	struct order *order;
	struct lot *lot;
	const struct lot *handle;
	struct judged *piece;
	int kind, grade, since, finish_day, return_day;
	double mass_g, blade_mc, handle_mc;
	int half_oz;
	const char *to, *cause;
};

struct works {
	int day;
	struct shelf shelf;
	struct page page;
	struct lot **lots;
	size_t lots_n, lots_cap;
	struct charge *charges;
	struct kiln kilns[2];
	struct air air[ROOMS];
	double air_err[ROOMS];
	struct air (*air_log)[ROOMS]; /* by day */
	struct judged **judged;
	size_t judged_n, judged_cap;
	struct order **orders;
	size_t orders_n, orders_cap;
	struct bat **bats;
	size_t bats_n, bats_cap;
	int order_no, bat_no, invoice_no;
	bool rehandled;
	int press_day; /* when the last blade split in the press: one a day */
	double rate[3]; /* NZD for one GBP, EUR, AUD */
	struct rng yard_rng, climate_rng, bench_rng, store_rng, shop_rng, office_rng, sales_rng;
	struct buf truth, shelf_truth; /* parameters; stock on certain days */
};

struct lot *lot_new(struct works *w, const char *id, const struct source *src);
struct lot *lot_find(struct works *w, const char *id);
struct key key_of(struct works *w, const struct lot *lot, const char *form, const char *type,
	const char *grade, const char *at);

/* Days on which pieces are counted and nothing else is moved. */
bool counting_day(int day);

/* A line of truth: what, of whom, which figure, its value and unit. */
void truth_add(struct works *w, const char *what, const char *whom, const char *name,
	double value, int places, const char *unit);

/* What the pin meter shows in wood of that true moisture and temperature. */
double meter_raw(struct rng *r, double mc, double wood_c);

/* A reading as it is written: 12.4%, or 30%+ beyond the scale. Returns out (24 bytes). */
char *reading_text(char *out, double raw);

/* The day in its parts, each in the file of that name. */
void climate_day(struct works *w);
void climate_entries(struct works *w);
void yard_open(struct works *w);
void yard_day(struct works *w);
void kiln_night(struct works *w);
void kiln_day(struct works *w);
void kiln_evening(struct works *w);
void bench_day(struct works *w);
void store_open(struct works *w);
void store_day(struct works *w);
void store_tally(struct works *w, double missing, double found);
void shop_open(struct works *w);
void shop_day(struct works *w);
void office_day(struct works *w);
void truth_constants(struct works *w);
void truth_stock(struct works *w);

/* The instrument exports, written once the two years are over. */
void exports_write(const struct works *w, const char *dir);

#endif
