/*
 * charges SCENARIO WORKS SEED DIR [DRAWS] - simulates whole works: their past charges, new charges, and the book that
 * such a works would write. It is written from the physics of drying and from book(5), not from the fitted
 * model, so that the model meets wood that it does not know.
 *
 * Three kinds of wood: pieces that each lose a fraction of the distance to the EMC (first); a slab in which
 * moisture diffuses, faster where it is wetter, with a resistance at its surface (slab); a shell that trades
 * with the air and a core that trades with the shell (two). Around them: sorption with hysteresis, pieces that
 * differ, wet pockets, an air that wanders, set points changed both ways, sensors that are off or drift, probes
 * that die, readings that are noisy, missed and sometimes wild.
 *
 * DIR gets WORKS books (wN.wy) and house files (wN.yaml), and asks.tsv: a line for each new charge and each
 * day on which wy-dry is to be asked, with the truth (head[] below names the columns).
 *
 * With DRAWS it gets known.tsv, too: what one would answer who knew each piece of wood, the kiln, the faults to come and this
 * simulator, but not the chance of the days to come. They are simulated DRAWS times over from each asking on. No forecast
 * can be sharper and right, so that honest can tell what is too much to ask.
 */
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "math/day_odds.h"

enum { DAYS = 121, PER_DAY = 4, CELLS = 10, PROBES = 8, OTHERS = 24, PIECES = PROBES + OTHERS, ASKS = 5, KILNS = 4 };
enum law { FIRST, SLAB, TWO, LAWS };
static const char *const law_name[] = {"first", "slab", "two"};
#define NEVER 999
#define PI 3.14159265358979323846

static const char head[] = "scenario\tworks\ton\task\tcharge\tday\tlaw\tgroup\tpast\tpast_mean\tread_day\ttrue_day\tseen_day\tshare\tflat\tcauses\n";

struct scenario {
	const char *name;
	int law;           /* LAWS: any */
	int past;
	int probes;        /* 0: any */
	double step;       /* EMC points from day 10 on */
	bool season, no_wood, never, life;
};

static const struct scenario scenarios[] = {
	{"mixed", LAWS, 12, 0, 0, false, false, false, true},
	{"slab", SLAB, 12, 0, 0, false, false, false, false},
	{"first", FIRST, 12, 0, 0, false, false, false, false},
	{"two", TWO, 12, 0, 0, false, false, false, false},
	{"one-probe", LAWS, 12, 1, 0, false, false, false, false},
	{"lower", LAWS, 12, 0, -2, false, false, false, false},
	{"higher", LAWS, 12, 0, 2, false, false, false, false},
	{"past-0", LAWS, 0, 0, 0, false, false, false, false},
	{"past-1", LAWS, 1, 0, 0, false, false, false, false},
	{"past-2", LAWS, 2, 0, 0, false, false, false, false},
	{"past-20", LAWS, 20, 0, 0, false, false, false, false},
	{"season", LAWS, 12, 0, 0, true, false, false, false},
	{"no-wood", LAWS, 12, 0, 0, false, true, false, false},
	{"never", LAWS, 12, 0, 0, false, false, true, false},
};

/* -- chance ----------------------------------------------------------------------------------------- */

static uint64_t dice;

static double uniform(void)
{
	dice += 0x9e3779b97f4a7c15u;
	uint64_t z = dice;
	z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
	z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
	return (double)((z ^ (z >> 31)) >> 11) / 9007199254740992.0;
}

static double between(double low, double high) { return low + (high - low) * uniform(); }
static int whole(int low, int high) { return low + (int)(uniform() * (high - low + 1)); }
static bool chance(double p) { return uniform() < p; }

static double normal(double mean, double sd)
{
	double u = 1 - uniform();
	return mean + sd * sqrt(-2 * log(u)) * cos(2 * PI * uniform());
}

/* -- air and dates ---------------------------------------------------------------------------------- */

/* Hailwood and Horrobin, Wood Handbook FPL-GTR-282, equation 4-5. */
static double emc(double t, double rh)
{
	double h = fmin(fmax(rh, 3), 99) / 100;
	double w = 349 + 1.29 * t + 0.0135 * t * t;
	double k = 0.805 + 0.000736 * t - 0.00000273 * t * t;
	double k1 = 6.27 - 0.00938 * t - 0.000303 * t * t;
	double k2 = 1.91 + 0.0407 * t - 0.000293 * t * t;
	double kh = k * h;
	return 1800 / w * (kh / (1 - kh) + (k1 * kh + 2 * k1 * k2 * kh * kh) / (1 + k1 * kh + k1 * k2 * kh * kh));
}

static double humidity(double t, double mc)
{
	double low = 3, high = 99;
	for (int i = 0; i < 40; i++) {
		double mid = (low + high) / 2;
		if (emc(t, mid) < mc) low = mid;
		else high = mid;
	}
	return (low + high) / 2;
}

/* The day number is from 2024-01-01. */
static void date(int day, char out[48])
{
	static const int length[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
	int year = 2024, month = 0;
	for (;; year++) {
		int n = year % 4 == 0 ? 366 : 365;
		if (day < n) break;
		day -= n;
	}
	for (;; month++) {
		int n = length[month] + (month == 1 && year % 4 == 0);
		if (day < n) break;
		day -= n;
	}
	snprintf(out, 48, "%04d-%02d-%02d", year, month + 1, day + 1);
}

/* 1 in the middle of the cold season, -1 in that of the warm one. */
static double cold(int day) { return cos(2 * PI * day / 365.25); }

/* -- works, kilns, charges -------------------------------------------------------------------------- */

struct kiln {
	double pace;            /* a factor of the rate */
	double off;             /* the air is off its set point, points of RH */
	double sensor, drift;   /* the hygrometer's error, its growth in 100 days, points of RH */
	int free;               /* the first day on which it is empty */
};

struct works {
	const struct scenario *as;
	int number;
	enum law law;
	int kilns;
	struct kiln kiln[KILNS];
	double k, piece_k, start, piece_start, season_start, season_t;
	double final, final_t;   /* the EMC that the wood feels at the end, and the temperature */
	double felt, hysteresis; /* felt EMC less that of the air; adsorption less desorption */
	double biot, slope, shell, noise, contact, per10, bias;
	double target, low, high, spread;
	int readings, probes, gap;
	double air_share, missed;
	bool by_time, writes_set, writes_wood, feels_seen;
	bool walk[9000];         /* the days on which the probes are read */
	FILE *book;
	double past_sum;
	int pasts;
	int ask[ASKS], asks;     /* days of a new charge on which wy-dry is asked */
};

struct piece {
	double k, depth, contact, z_start, z_k;
	bool pocket;
	double u[CELLS];         /* the moisture: one value, a core and a shell, or cells from the surface inwards */
	int dead, kind;          /* the day on which its probe fails; 0 stuck, 1 open */
	double stuck;
};

struct charge {
	struct works *w;
	struct kiln *kiln;
	char id[16];
	int load, count, probes, out;  /* day of loading; pieces; probes put in; the day from which a dead one is out */
	bool test, wood;
	double pace, felt, sensor;
	struct piece piece[PIECES];
	double rh[DAYS * PER_DAY], t[DAYS * PER_DAY], me[DAYS * PER_DAY];
	double true_mc[PIECES][DAYS], read[PROBES][DAYS], raw[PROBES][DAYS];
	double shown[PROBES][DAYS];  /* the corrected reading in the book, NAN without one */
	int wood_t[DAYS], stage[DAYS];
	double set_t[DAYS], set_rh[DAYS];
	int shock_from, shock_to;
	double shock;
	int read_day, true_day, seen_day, last, wild;
};

/* Every other three works, so that each law is in both halves. */
static bool half(const struct works *w) { return w->number / 3 % 2 == 0; }

/* -- wood ------------------------------------------------------------------------------------------- */

/* The moisture to which wood of m dries or wets in an air of me: between the branches it stays. */
static double settles(const struct works *w, double m, double me)
{
	if (m > me) return me;
	if (m < me - w->hysteresis) return me - w->hysteresis;
	return m;
}

static void step_first(const struct works *w, struct piece *p, double k, double me)
{
	double m = p->u[0];
	p->u[0] = m - (1 - exp(-k / PER_DAY)) * (fmin(m, 30) - settles(w, fmin(m, 30), me));
}

static void step_two(const struct works *w, struct piece *p, double k, double me)
{
	double inner = 1.5 * k, outer = 5 * k;
	for (int i = 0; i < 2; i++) {
		double dt = 0.5 / PER_DAY;
		double flow = inner * (fmin(p->u[0], 30) - fmin(p->u[1], 30));
		double loss = (1 - exp(-outer * dt)) * (fmin(p->u[1], 30) - settles(w, fmin(p->u[1], 30), me));
		p->u[0] -= flow * dt;
		p->u[1] += flow * dt * (1 - w->shell) / w->shell - loss;
	}
}

/* Half a slab in cells of 1/CELLS; one implicit step. The diffusivity is exponential in the moisture. */
static void step_slab(const struct works *w, struct piece *p, double k, double me)
{
	double d[CELLS], b[CELLS], c[CELLS], r[CELLS], dx = 1.0 / CELLS, dt = 1.0 / PER_DAY;
	double d0 = k / (PI * PI / 4) * (1 + 2 / w->biot);
	for (int i = 0; i < CELLS; i++) d[i] = d0 * exp(w->slope * (fmin(p->u[i], 30) - 13));
	double film = 1 / (1 / (w->biot * d0) + dx / 2 / d[0]);
	double face = settles(w, p->u[0], me);
	for (int i = 0; i < CELLS; i++) {
		double up = i == 0 ? film : 2 * d[i] * d[i - 1] / (d[i] + d[i - 1]) / dx;
		double down = i == CELLS - 1 ? 0 : 2 * d[i] * d[i + 1] / (d[i] + d[i + 1]) / dx;
		double a = i == 0 ? 0 : -dt / dx * up;
		b[i] = 1 + dt / dx * (up + down);
		c[i] = -dt / dx * down;
		r[i] = p->u[i] + (i == 0 ? dt / dx * film * face : 0);
		if (i > 0) {
			double f = a / b[i - 1];
			b[i] -= f * c[i - 1];
			r[i] -= f * r[i - 1];
		}
	}
	for (int i = CELLS - 1; i >= 0; i--) p->u[i] = (r[i] - (i < CELLS - 1 ? c[i] * p->u[i + 1] : 0)) / b[i];
}

/* What the pins feel. */
static double felt_by_pins(const struct works *w, const struct piece *p)
{
	if (w->law == FIRST) return p->u[0];
	if (w->law == TWO) return 0.75 * p->u[0] + 0.25 * p->u[1];
	double at = p->depth * CELLS - 0.5;
	int i = (int)at;
	return p->u[i] + (at - i) * (p->u[i + 1] - p->u[i]);
}

static void new_piece(const struct charge *c, struct piece *p, double start)
{
	const struct works *w = c->w;
	p->z_start = normal(0, 1);
	p->z_k = normal(0, 1);
	p->pocket = chance(0.025);
	p->k = w->k * c->kiln->pace * c->pace * exp(w->piece_k * p->z_k) * (p->pocket ? 0.65 : 1);
	p->depth = between(0.3, 0.5);
	p->contact = normal(0, w->contact);
	p->dead = chance(0.025) ? whole(2, 40) : NEVER;
	p->kind = chance(0.5);
	double m = fmax(start + w->piece_start * p->z_start + (p->pocket ? between(4, 9) : 0), w->target + 3);
	double fall = between(1, 5);
	for (int i = 0; i < CELLS; i++) {
		double x = 1 - (i + 0.5) / CELLS;
		p->u[i] = w->law == FIRST ? m : w->law == TWO ? (i == 0 ? m + 0.25 * fall : m - 0.75 * fall)
		          : m + fall * (0.4 - x * x);
	}
}

/* -- one charge ------------------------------------------------------------------------------------- */

static void stage_air(const struct charge *c, int stage, double start, double *t, double *me)
{
	const struct works *w = c->w;
	double warm = w->final_t - 3 * w->season_t * cold(c->load);
	double wet = fmin(fmax(start * 0.62, w->final + 2.5), 15);
	*t = warm - 4 * (2 - stage);
	*me = stage == 2 ? w->final : stage == 1 ? (wet + w->final) / 2 : wet;
	if (w->as->never && c->test && stage == 2) *me = w->high + 0.4 + 1.6 * (c->pace > 1 ? 1 : 0.4);
}

/* The set point and the air of day d. A works sets what it has found to give the EMC that it wants. */
static void air_day(struct charge *c, int d, int stage, double start, double wander[4])
{
	const struct works *w = c->w;
	double t, me;
	stage_air(c, stage, start, &t, &me);
	bool unseen_never = w->as->never && c->test && stage == 2 && !w->feels_seen;
	double step = c->test && d >= 10 ? w->as->step : 0;
	double shown = unseen_never ? w->final : me;
	c->stage[d] = stage;
	c->set_t[d] = t;
	c->set_rh[d] = humidity(t, shown - w->felt + (w->feels_seen ? step : 0)) - c->kiln->off;
	if (d >= c->shock_from && d < c->shock_to) c->set_rh[d] += c->shock;
	/* Slow: the air itself, and what no sensor of the air shows. */
	wander[2] = 0.93 * wander[2] + normal(0, 1.5 * 0.37);
	wander[3] = 0.95 * wander[3] + normal(0, 0.25 * 0.31);
	for (int q = 0; q < PER_DAY; q++) {
		int i = d * PER_DAY + q;
		wander[0] = 0.88 * wander[0] + normal(0, 2.2 * 0.475);
		wander[1] = 0.88 * wander[1] + normal(0, 0.7 * 0.475);
		c->t[i] = c->set_t[d] + wander[1] + (q == 1 || q == 2 ? 0.5 : -0.5);
		c->rh[i] = fmin(c->set_rh[d] + c->kiln->off + wander[0] + wander[2], 97);
		c->me[i] = emc(c->t[i], c->rh[i]) + w->felt + c->felt + wander[3] + (unseen_never ? me - shown : 0)
		         + (w->feels_seen ? 0 : step);
	}
}

static int pieces(const struct charge *c) { return c->test && c->w->as->life ? PIECES : c->probes; }
static bool alive(const struct charge *c, int p, int d) { return d < c->piece[p].dead; }

/* What the instrument shows of a true moisture m at wood temperature t, and the corrected figure. */
static double instrument(const struct works *w, double m, double t, int said, double *raw)
{
	*raw = round((m + w->per10 * (t - 20) / 10) * 10) / 10;
	return *raw - 0.09 * (said - 20);
}

static void measure(struct charge *c, int d)
{
	const struct works *w = c->w;
	double t = d == 0 ? 14 - 5 * cold(c->load) + normal(0, 1) : c->t[(d - 1) * PER_DAY + 3];
	c->wood_t[d] = (int)lround(t + normal(0, 1));
	for (int p = 0; p < PIECES; p++) {
		if (p >= c->probes && p < PROBES) continue;
		if (p >= PROBES && !(c->test && w->as->life)) break;
		struct piece *x = &c->piece[p];
		double m = felt_by_pins(w, x);
		c->true_mc[p][d] = m;
		if (p >= c->probes) continue;
		double noisy = m + w->bias + x->contact + normal(0, m > 25 ? 2.5 * w->noise : w->noise);
		c->read[p][d] = instrument(w, noisy, t, c->wood_t[d], &c->raw[p][d]);
		if (x->dead == d) x->stuck = c->raw[p][d];
	}
}

static double mean_read(const struct charge *c, int d)
{
	double sum = 0;
	int n = 0;
	for (int p = 0; p < c->probes; p++)
		if (alive(c, p, d)) sum += c->read[p][d], n++;
	return sum / n;
}

/* What goes on in a kiln from day to day beside the wood. */
struct course {
	double start, wander[4], last;
	int stage;
};

static void dry_day(struct charge *c, struct course *r, int d)
{
	const struct works *w = c->w;
	measure(c, d);
	if (d == 0 || w->walk[c->load + d]) r->last = mean_read(c, d);
	int want = w->by_time ? (d >= 5) + (d >= 12) : (r->last < w->target + 7.5) + (r->last < w->target + 4);
	if (want > r->stage) r->stage = want;
	air_day(c, d, r->stage, r->start, r->wander);
	for (int q = 0; q < PER_DAY; q++)
		for (int p = 0; p < PIECES; p++) {
			if (p >= c->probes && (p < PROBES || pieces(c) < PIECES)) continue;
			struct piece *x = &c->piece[p];
			int i = d * PER_DAY + q;
			double k = x->k * exp(0.025 * (c->t[i] - 33));
			if (w->law == FIRST) step_first(w, x, k, c->me[i]);
			else if (w->law == TWO) step_two(w, x, k, c->me[i]);
			else step_slab(w, x, k, c->me[i]);
		}
}

/* A new charge at the end of a day of asking. */
struct moment {
	struct charge charge;
	struct course course;
};

static struct moment moments[ASKS];

static void dry(struct charge *c, double start)
{
	const struct works *w = c->w;
	struct course r = {start, {normal(0, 2), normal(0, 0.7), normal(0, 1.5), normal(0, 0.25)}, 99, 0};
	for (int d = 0; d < DAYS; d++) {
		for (int i = 0; c->test && i < w->asks; i++)
			if (d == w->ask[i] + 1) moments[i] = (struct moment){*c, r};
		dry_day(c, &r, d);
	}
}

/* -- the rule --------------------------------------------------------------------------------------- */

static bool in_band(const struct works *w, const double *m, int n)
{
	double low = INFINITY, high = -INFINITY;
	for (int i = 0; i < n; i++) low = fmin(low, m[i]), high = fmax(high, m[i]);
	return n > 0 && low >= w->low - 1e-9 && high <= w->high + 1e-9 && high - low <= w->spread + 1e-9;
}

/* What = 0: the daily readings; 1: the wood itself; 2: what the book shows. */
static bool holds_on(const struct charge *c, int what, int d)
{
	double m[PROBES];
	int n = 0;
	for (int p = 0; p < c->probes; p++) {
		if (what < 2 && !alive(c, p, d)) continue;
		if (what == 2 && c->piece[p].dead != NEVER && d >= c->out) continue;
		double v = what == 0 ? c->read[p][d] : what == 1 ? c->true_mc[p][d] : c->shown[p][d];
		if (isnan(v)) return false;
		m[n++] = v;
	}
	return in_band(c->w, m, n);
}

/* Whether daily readings hold the rule on day D or on a later one. */
static bool holds_later(const struct charge *c, int d)
{
	int run = 0;
	for (int e = 0; e < DAYS; e++) {
		run = holds_on(c, 0, e) ? run + 1 : 0;
		if (e >= d && run >= c->w->readings) return true;
	}
	return false;
}

static int first_holds(const struct charge *c, int what)
{
	int run = 0;
	for (int d = 0; d < DAYS; d++) {
		run = holds_on(c, what, d) ? run + 1 : 0;
		if (run >= c->w->readings) return d;
	}
	return NEVER;
}

/* -- the book --------------------------------------------------------------------------------------- */

static void line(const struct charge *c, int d, const char *time, const char *event, const char *subject)
{
	char day[48];
	date(c->load + d, day);
	fprintf(c->w->book, "%s %s %-6s %s", day, time, event, subject);
}

static void kiln_id(const struct charge *c, char out[3])
{
	out[0] = 'k';
	out[1] = (char)('1' + (c->kiln - c->w->kiln));
	out[2] = '\0';
}

static void write_load(const struct charge *c)
{
	char day[48], kiln[8];
	FILE *f = c->w->book;
	date(c->load - whole(1, 30), day);
	fprintf(f, "%s       buy    D%s form=cleft count=SH:%d into=yard from=hale\n", day, c->id, c->count);
	kiln_id(c, kiln);
	line(c, 0, "08:30", "load", c->id);
	fprintf(f, " kiln=%s lot=D%s at=yard type=SH count=%d\n", kiln, c->id, c->count);
	line(c, 0, "09:00", "probe", c->id);
	fprintf(f, " in=");
	for (int p = 0; p < c->probes; p++) fprintf(f, "%s%c:D%s/SH", p ? "," : "", 'a' + p, c->id);
}

static void write_value(FILE *f, double raw)
{
	if (raw > 30) fprintf(f, "30%%+");
	else if (raw < 6) fprintf(f, "6%%-");
	else fprintf(f, "%.1f%%", raw);
}

/* The readings of day d, with the faults of a works: a probe that failed, a figure that is wildly off. */
static void write_probes(struct charge *c, int d)
{
	FILE *f = c->w->book;
	if (d > 0) line(c, d, "08:00", "probe", c->id);
	bool first = true;
	for (int p = 0; p < c->probes; p++) {
		struct piece *x = &c->piece[p];
		if (x->dead != NEVER && d >= c->out) continue;
		fprintf(f, "%s%c:", first ? " mc=" : ",", 'a' + p);
		first = false;
		if (d >= x->dead && x->kind == 1) {
			fprintf(f, "-");
			continue;
		}
		double raw = d >= x->dead ? x->stuck : c->raw[p][d];
		if (d > 0 && chance(0.006)) {
			raw += chance(0.5) ? between(2.5, 5) : -between(2.5, 5);
			if (c->wild == 0) c->wild = d;
		}
		write_value(f, raw);
		c->shown[p][d] = raw - 0.09 * (c->wood_t[d] - 20);
	}
	if (d > 1 && c->test && chance(0.02))
		for (int i = whole(2, 4); i > 0; i--) write_value((fprintf(f, ","), f), c->raw[0][d] + normal(0, 0.8));
	if (c->wood) fprintf(f, " wood=%dC", c->wood_t[d]);
	fprintf(f, " meter=pin\n");
}

/* A sensor drifts from one yearly adjustment to the next. */
static double sensor_off(const struct charge *c, int d)
{
	return c->sensor + c->kiln->sensor + c->kiln->drift * ((c->load + d) % 365) / 100;
}

static void write_air(const struct charge *c, int d)
{
	const struct works *w = c->w;
	char kiln[3];
	kiln_id(c, kiln);
	bool new_set = d == 0 || fabs(c->set_rh[d] - c->set_rh[d - 1]) > 0.5 || fabs(c->set_t[d] - c->set_t[d - 1]) > 0.5;
	if (w->writes_set && new_set && (d == 0 || chance(0.9))) {
		line(c, d, "10:00", "set", kiln);
		fprintf(w->book, " temp=%.0fC rh=%.0f%%\n", c->set_t[d], fmin(fmax(c->set_rh[d], 10), 99));
	}
	if (!chance(w->air_share)) return;
	int q = whole(0, 3), i = d * PER_DAY + q;
	static const char *const time[] = {"11:00", "15:00", "19:00", "23:00"};
	double off = sensor_off(c, d);
	line(c, d, time[q], "air", kiln);
	fprintf(w->book, " temp=%.1fC rh=%.1f%% meter=hyg%s\n", c->t[i] + normal(0, 0.3),
	        fmin(fmax(c->rh[i] + off + normal(0, 0.8), 5), 99), kiln);
}


/* The third walk after a probe failed, it is taken out. */
static void write_out(struct charge *c, int d, int *since)
{
	for (int p = 0; p < c->probes; p++)
		if (c->piece[p].dead <= d && c->out == NEVER && ++*since == 3) {
			line(c, d, "08:20", "probe", c->id);
			fprintf(c->w->book, " out=%c\n", 'a' + p);
			c->out = d + 1;
		}
}

/* Writes day by day until the rule is seen to hold, and to a day UNTIL at least. */
static int write_days(struct charge *c, int until, int delay)
{
	int run = 0, since = 0, d = 0;
	c->seen_day = NEVER;
	write_load(c);
	for (; d < DAYS - 1; d++) {
		if (d == 0 || c->w->walk[c->load + d]) {
			write_probes(c, d);
			write_out(c, d, &since);
			run = holds_on(c, 2, d) ? run + 1 : 0;
			if (run >= c->w->readings && c->seen_day == NEVER) c->seen_day = d;
		}
		write_air(c, d);
		if (d >= until && (d >= c->seen_day + delay || (!c->test && d >= 100))) break;
	}
	return d;
}

/* -- a charge from loading to unloading ------------------------------------------------------------- */

static void begin_faults(struct charge *c)
{
	c->pace = exp(normal(0, 0.12));
	c->felt = normal(0, 0.2);
	c->sensor = c->test && chance(0.08) ? normal(0, 4) : 0;
	c->shock_from = chance(0.2) ? whole(2, 25) : NEVER;
	c->shock_to = c->shock_from + (chance(0.3) ? NEVER : whole(2, 6));
	c->shock = (chance(0.5) ? 1 : -1) * between(4, 10);
	if (c->shock_to > NEVER + 26) c->shock /= 2;
	for (int p = 0; p < PROBES; p++)
		for (int d = 0; d < DAYS; d++) c->shown[p][d] = NAN;
}

static void begin(struct charge *c, struct works *w, int kiln, int load, bool test, int number)
{
	memset(c, 0, sizeof *c);
	c->w = w;
	c->kiln = &w->kiln[kiln];
	c->load = load;
	c->count = whole(200, 900);
	c->test = test;
	c->out = NEVER;
	snprintf(c->id, sizeof c->id, "%c%02d", test ? 'N' : 'P', number % 100);
	bool alone = w->as->probes > 0 && (test || half(w));
	c->probes = alone ? 1 : w->probes;
	c->wood = w->writes_wood && !(w->as->no_wood && test);
	begin_faults(c);
	double start = w->start + w->season_start * cold(load) + normal(0, 1.5);
	bool one_dead = c->probes == 1;
	for (int p = 0; p < PIECES; p++) {
		new_piece(c, &c->piece[p], start);
		if (p >= c->probes || one_dead) c->piece[p].dead = NEVER;
		one_dead = one_dead || c->piece[p].dead != NEVER;
	}
	dry(c, start);
	c->read_day = first_holds(c, 0);
	c->true_day = first_holds(c, 1);
}

static void past_charge(struct works *w, int kiln, int load, int number)
{
	static struct charge c;
	begin(&c, w, kiln, load, false, number);
	int end = write_days(&c, 0, whole(0, 3));
	line(&c, end, "16:00", "probe", c.id);
	for (int p = 0, first = 1; p < c.probes; p++) {
		if (c.piece[p].dead != NEVER && c.out != NEVER) continue;
		fprintf(w->book, "%s%c", first ? " out=" : ",", 'a' + p);
		first = 0;
	}
	fprintf(w->book, "\n");
	line(&c, end, "16:30", "unload", c.id);
	fprintf(w->book, " count=%d into=bench\n", c.count);
	w->kiln[kiln].free = load + end + whole(1, 9);
	w->past_sum += end;
	w->pasts++;
}

/* -- what a warning would be right about ------------------------------------------------------------ */

static double felt_mean(const struct charge *c, int from, int to)
{
	double sum = 0;
	for (int i = from * PER_DAY; i < to * PER_DAY; i++) sum += c->me[i] - emc(c->t[i], c->rh[i]);
	return sum / ((to - from) * PER_DAY);
}

static double true_mean(const struct charge *c, int d)
{
	double sum = 0;
	for (int p = 0; p < c->probes; p++) sum += c->true_mc[p][d];
	return sum / c->probes;
}

static double true_spread(const struct charge *c, int d, double *low, double *high)
{
	*low = INFINITY, *high = -INFINITY;
	for (int p = 0; p < c->probes; p++)
		*low = fmin(*low, c->true_mc[p][d]), *high = fmax(*high, c->true_mc[p][d]);
	return *high - *low;
}

/* The sensor's part in how far the wood is from the EMC that is measured, in points. */
static bool sensor_is_off(const struct charge *c, int d)
{
	double rh = c->set_rh[d] + c->kiln->off, off = sensor_off(c, d) - c->kiln->sensor;
	double points = emc(c->set_t[d], rh + off) - emc(c->set_t[d], rh);
	return fabs(felt_mean(c, d > 5 ? d - 5 : 0, d) - c->w->felt - points) > 0.6;
}

/* Over two to six days up to day D, or up to one of the two before, the wood lost next to nothing, or under a
 * third of what it had lost in as many days before, or its air had become a point more humid. */
static bool stands(const struct charge *c, int d)
{
	for (int to = d > 2 ? d - 2 : 0; to <= d; to++)
		for (int n = 2; n <= 6 && to - n >= 0; n++) {
			double loss = true_mean(c, to - n) - true_mean(c, to);
			double before = to - 2 * n >= 0 ? true_mean(c, to - 2 * n) - true_mean(c, to - n) : 0;
			double more = 0;
			for (int q = 0; q < PER_DAY; q++) more += c->me[to * PER_DAY + q] - c->me[(to - n) * PER_DAY + q];
			if (loss < 0.12 * n || loss < before / 3 || more > PER_DAY) return true;
		}
	return false;
}

/* Lists the warnings that the truth bears out on day d, generously: with half of what would count as a fault. */
static void causes(const struct charge *c, int d, double share, FILE *f)
{
	const struct works *w = c->w;
	bool stuck = false, odd = false, floor_hit = false, fast = false, left = false;
	double low, high, was = true_spread(c, d > 5 ? d - 5 : 0, &low, &high), now;
	for (int p = 0; p < c->probes; p++) {
		const struct piece *x = &c->piece[p];
		stuck = stuck || x->dead <= d;
		odd = odd || x->pocket || fabs(x->z_start) > 2 || fabs(x->z_k) > 2 || fabs(x->contact) > 2 * w->contact;
		double shows = c->true_mc[p][d] + w->bias + x->contact;
		left = left || shows > w->high - 0.1 || shows < w->low + 0.1;
		for (int e = 0; e <= d; e++) {
			floor_hit = floor_hit || c->true_mc[p][e] + w->bias + x->contact < w->low + 0.3;
			fast = fast || (e > 0 && c->true_mc[p][e - 1] - c->true_mc[p][e] > 2.2);
		}
	}
	now = true_spread(c, d, &low, &high);
	double moved = d >= 10 ? true_mean(c, d - 10) - true_mean(c, d) : 99, mean = true_mean(c, d);
	bool settled = fabs(moved) < 0.6 && (mean > w->high - 0.3 || mean < w->low + 0.3);
	fprintf(f, "-%s%s%s%s%s%s%s%s%s%s%s%s%s%s", left ? ",left-band" : "", settled ? ",settles" : "", share < 0.9 ? ",share" : "", stuck ? ",stuck,jump,parts,overdue,out-early" : "", odd ? ",parts,hand-differs" : "",
	        floor_hit ? ",floor" : "", fast ? ",too-fast" : "", now - was > 0.6 ? ",spread-grows" : "",
	        low < w->target - 1.5 && high > w->high - 0.4 ? ",equalize" : "", stands(c, d) ? ",stall" : "",
	        c->wild > 0 && c->wild <= d ? ",jump,too-fast,stall,spread-grows,parts,floor" : "",
	        sensor_is_off(c, d) ? ",rests-off" : "", d - c->last > 7 ? ",overdue" : "", w->as->no_wood ? ",no-wood" : "");
	if (!holds_later(c, d)) fprintf(f, ",never");
}

/* -- a works ---------------------------------------------------------------------------------------- */

static void new_kilns(struct works *w)
{
	static const int kilns[] = {1, 2, 2, 3, 3, 3, 4, 4};
	bool wrong = chance(0.2);
	w->kilns = kilns[whole(0, 7)];
	for (int i = 0; i < w->kilns; i++)
		w->kiln[i] = (struct kiln){exp(normal(0, 0.1)), normal(0, 2.5), normal(0, wrong ? 6 : 2.5), normal(0, 0.7), whole(0, 20)};
}

static void new_wood(struct works *w)
{
	w->law = w->as->law == LAWS ? (enum law)(w->number % 3) : (enum law)w->as->law;
	/* A step on day 10 is only of use in charges that are not ready soon after. */
	w->k = (w->as->step == 0 ? 0.1 : 0.075) * exp(normal(0, 0.22));
	w->piece_k = between(0.08, 0.22);
	w->start = between(17, 25);
	w->piece_start = between(0.8, 2.2);
	w->season_start = between(0.5, 2.5);
	w->season_t = between(0, 1);
	w->target = whole(9, 12);
	w->low = w->target - between(1, 1.3);
	w->high = w->target + between(1, 1.3);
	w->low = round(w->low * 10) / 10, w->high = round(w->high * 10) / 10;
	w->spread = chance(0.5) ? 2 : 99;
	/* Two points more leave hardly a charge in the band. */
	w->final = w->target - (w->as->step > 0 ? between(0, 0.5) : between(0.2, 0.9));
	w->final_t = between(28, 42);
	w->felt = normal(0.4, 0.5);
	w->hysteresis = between(0.8, 1.6);
	w->biot = between(2, 8);
	w->slope = between(0.03, 0.1);
	w->shell = between(0.25, 0.45);
}

static void new_habits(struct works *w)
{
	static const int gaps[] = {1, 2, 2, 3, 3, 4}, probes[] = {1, 2, 3, 3, 4, 4, 4, 5, 6, 8};
	w->noise = between(0.15, 0.4);
	w->contact = between(0, 0.3);
	w->per10 = between(0.8, 1.1);
	w->bias = normal(0, 0.25);
	w->readings = whole(1, 2);
	w->probes = probes[whole(0, 9)];
	w->gap = gaps[whole(0, 5)];
	w->air_share = chance(0.1) ? 0 : between(0.25, 1);
	w->missed = between(0, 0.2);
	w->by_time = chance(0.35);
	w->writes_set = w->air_share == 0 || chance(0.75);
	w->writes_wood = !(w->as->no_wood && half(w));
	w->feels_seen = half(w);
	for (int d = whole(0, 2); d < (int)sizeof w->walk; d += w->gap + (chance(0.25) ? whole(0, 2) : 0))
		w->walk[d] = !chance(w->missed);
}

static void write_house(const struct works *w, const char *path)
{
	FILE *f = fopen(path, "w");
	if (f == NULL) exit(2);
	fprintf(f, "places:\n  yard: {kind: yard}\n  bench: {kind: bench}\n");
	for (int i = 0; i < w->kilns; i++) fprintf(f, "  k%d: {kind: kiln, capacity: 1000, most-rate: 2.5%%}\n", i + 1);
	fprintf(f, "types: {SH: {form: blade}}\nmeters:\n  pin: {kind: pin, trust: 6..30%%, reference: 20C, per10C: 0.9}\n");
	for (int i = 0; i < w->kilns; i++) fprintf(f, "  hygk%d: {kind: hygrometer}\n", i + 1);
	fprintf(f, "ready: {target: %.0f%%, band: %.1f..%.1f%%, readings: %d", w->target, w->low, w->high, w->readings);
	if (w->spread < 99) fprintf(f, ", spread: %.0f%%", w->spread);
	fprintf(f, "}\nintervals: {probe: 8d}\n");
	fclose(f);
}

/* The days to ask: 3, 7, 14; after a step at day 10, from the fourth walk on; of charges that never arrive, late. */
static void new_asks(struct works *w, int load)
{
	static const int early[] = {3, 7, 14}, late[] = {14, 21, 28, 35, 42};
	w->asks = w->as->never ? 5 : 3;
	for (int i = 0; i < w->asks; i++) w->ask[i] = w->as->never ? late[i] : early[i];
	if (w->as->step == 0) return;
	int d = 10;
	for (int n = 0; n < 4; d++) n += w->walk[load + d];
	for (int i = 0; i < 3; i++) w->ask[i] = d - 1 + (int[]){0, 4, 10}[i];
}

static const char *const ask_name[2][ASKS] = {{"d3", "d7", "d14"}, {"fourth", "fourth+4", "fourth+10"}};

static void write_ask(struct charge *c, int day, const char *name, FILE *asks)
{
	const struct works *w = c->w;
	char on[48];
	date(c->load + day, on);
	int in = 0;
	for (int p = PROBES; p < PIECES; p++) in += c->true_mc[p][day] >= w->low && c->true_mc[p][day] <= w->high;
	c->last = 0;
	for (int d = 0; d <= day; d++)
		if (w->walk[c->load + d]) c->last = d;
	double moved = day > 10 ? true_mean(c, day - 10) - true_mean(c, day) : 99;
	fprintf(asks, "%s\t%d\t%s\t%s\t%s\t%d\t%s\t%s\t%d\t%.2f\t%d\t%d\t%d\t%.3f\t%d\t", w->as->name, w->number, on, name, c->id,
	        day, law_name[w->law], w->as->step != 0 || w->as->never ? (w->feels_seen ? "measured" : "unmeasured")
	        : w->as->no_wood ? (w->writes_wood ? "left-out-now" : "left-out-always") : "-",
	        w->pasts, w->pasts ? w->past_sum / w->pasts : -1, c->read_day, c->true_day, c->seen_day,
	        w->as->life ? (double)in / OTHERS : -1, fabs(moved) < 0.3);
	causes(c, day, (double)in / OTHERS, asks);
	fprintf(asks, "\n");
}

/* -- one who knows ---------------------------------------------------------------------------------- */

static long draws;
static FILE *known;

static const char known_head[] = "charge\tloaded\tverdict\tready_on\tready_50_from\tready_50_to\tready_80_from\tready_80_to\tready_90_from\tready_90_to\tnever_pct\n";

static void write_known_day(const struct charge *c, int day)
{
	char on[48] = "";
	if (day < DAYS) date(c->load + day, on);
	fprintf(known, "\t%s", on);
}

/* The answer on a day, in the form of wy-dry's; share[] is of the days after it, the last of never. */
static void write_known(const struct charge *c, int day, const double *share)
{
	static const double holds[] = {0.5, 0.8, 0.9};
	const struct day_odds odds = {share, DAYS - 1 - day};
	double median = day_odds_median(&odds);
	write_known_day(c, isfinite(median) ? day + (int)ceil(median - 0.5) : DAYS);
	for (int i = 0; i < 3; i++) {
		struct day_range range = day_odds_range(&odds, holds[i]);
		write_known_day(c, day + range.first);
		write_known_day(c, day + range.last);
	}
	fprintf(known, "\t%.2f", 100 * share[odds.days + 1]);
}

static void begin_known(const struct charge *c, int day)
{
	char on[48], loaded[48];
	date(c->load + day, on);
	date(c->load, loaded);
	fprintf(known, "\n\n@\t%d\t%s\n# charges\n%s%s\t%s\t", c->w->number, on, known_head, c->id, loaded);
}

/* Simulates what may come of the charge after each asking. The chance of all else stays as it was. */
static void foretell(const struct charge *c)
{
	static struct moment m;
	uint64_t was = dice;
	for (int i = 0; i < c->w->asks; i++) {
		double share[DAYS + 1] = {0};
		int day = c->w->ask[i];
		begin_known(c, day);
		if (c->read_day <= day) continue;
		for (long k = 0; k < draws; k++) {
			m = moments[i];
			dice = was * 31 + (uint64_t)(k * ASKS + i) * 1000003u;
			for (int d = day + 1; d < DAYS; d++) dry_day(&m.charge, &m.course, d);
			int held = first_holds(&m.charge, 0);
			share[held == NEVER ? DAYS - day : held - day] += 1.0 / (double)draws;
		}
		write_known(c, day, share);
	}
	dice = was;
}

static void new_charge(struct works *w, int kiln, int load, FILE *asks)
{
	static struct charge c;
	static const char *const late[] = {"d14", "d21", "d28", "d35", "d42"};
	begin(&c, w, kiln, load, true, kiln + 1);
	if (draws) foretell(&c);
	write_days(&c, w->ask[w->asks - 1], 0);
	for (int i = 0; i < w->asks; i++)
		write_ask(&c, w->ask[i], w->as->never ? late[i] : ask_name[w->as->step != 0][i], asks);
	if (w->as->life && c.seen_day != NEVER) write_ask(&c, c.seen_day, "seen", asks);
}

static void simulate(const struct scenario *as, int number, const char *dir, FILE *asks)
{
	static struct works w;
	char path[4096];
	memset(&w, 0, sizeof w);
	w.as = as;
	w.number = number;
	new_wood(&w);
	new_habits(&w);
	new_kilns(&w);
	snprintf(path, sizeof path, "%s/w%d.yaml", dir, number);
	write_house(&w, path);
	snprintf(path, sizeof path, "%s/w%d.wy", dir, number);
	w.book = fopen(path, "w");
	if (w.book == NULL) exit(2);
	int now = 40;
	for (int i = 0; i < w.kilns; i++) w.kiln[i].free += now;
	for (int i = 0; i < as->past; i++) {
		struct kiln *k = &w.kiln[i % w.kilns];
		while (as->season && cold(k->free) < 0.2) k->free++;
		past_charge(&w, i % w.kilns, k->free, i + 1);
	}
	for (int i = 0; i < w.kilns; i++) now = now > w.kiln[i].free ? now : w.kiln[i].free;
	while (as->season && cold(now) > -0.6) now++;
	new_asks(&w, now);
	for (int i = 0; i < w.kilns; i++) new_charge(&w, i, now, asks);
	fclose(w.book);
}

/* The simulators against what is known of them: the mean of a slab after a Fourier number of 0.5, and of a
 * piece of first order after a day at 0.1 a day; what two compartments hold together without air. */
static int check(void)
{
	struct works w = {.biot = 1e6, .slope = 0, .hysteresis = 0, .shell = 0.3};
	struct piece p = {.k = 0};
	double k = PI * PI / 4 * 0.02, mean = 0;
	for (int i = 0; i < CELLS; i++) p.u[i] = 20;
	for (int i = 0; i < 25 * PER_DAY; i++) step_slab(&w, &p, k, 10);
	for (int i = 0; i < CELLS; i++) mean += p.u[i] / CELLS;
	printf("emc %.4f %.4f\nslab %.4f\n", emc(20, 55), humidity(20, 9), (mean - 10) / 10);
	p.u[0] = 20;
	for (int i = 0; i < PER_DAY; i++) step_first(&w, &p, 0.1, 10);
	printf("first %.4f\n", (p.u[0] - 10) / 10);
	p.u[0] = 20, p.u[1] = 12;
	w.hysteresis = 100;
	for (int i = 0; i < PER_DAY; i++) step_two(&w, &p, 0.1, 50);
	double held = 0.7 * p.u[0] + 0.3 * p.u[1];
	w.hysteresis = 0;
	p.u[0] = 20, p.u[1] = 20;
	for (int i = 0; i < 400 * PER_DAY; i++) step_two(&w, &p, 0.1, 10);
	printf("two %.4f %.4f\n", held, p.u[0]);
	return 0;
}

int main(int argc, char **argv)
{
	if (argc == 2 && strcmp(argv[1], "check") == 0) return check();
	if (argc != 5 && argc != 6) {
		fprintf(stderr, "usage: charges SCENARIO WORKS SEED DIR [DRAWS]\n");
		return 2;
	}
	char path[4096];
	if (argc == 6) {
		draws = strtol(argv[5], NULL, 10);
		snprintf(path, sizeof path, "%s/known.tsv", argv[4]);
		known = fopen(path, "w");
		if (known == NULL || draws <= 0) return 2;
	}
	snprintf(path, sizeof path, "%s/asks.tsv", argv[4]);
	for (size_t s = 0; s < sizeof scenarios / sizeof *scenarios; s++) {
		if (strcmp(scenarios[s].name, argv[1]) != 0) continue;
		FILE *asks = fopen(path, "w");
		if (asks == NULL) return 2;
		fputs(head, asks);
		for (int i = 0; i < (int)strtol(argv[2], NULL, 10); i++) {
			dice = (uint64_t)strtol(argv[3], NULL, 10) * 1000003u + (uint64_t)i * 7919u + s * 104729u;
			simulate(&scenarios[s], i + 1, argv[4], asks);
		}
		return fclose(asks) == 0 && (!known || fclose(known) == 0) ? 0 : 2;
	}
	fprintf(stderr, "charges: no scenario %s\n", argv[1]);
	return 2;
}
