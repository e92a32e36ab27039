/*
 * score LEAST - reads the lines of drill from standard input, prints how good the forecasts were, and
 * ends with 1 where they were not as good as is asked, or where fewer than LEAST charges came:
 *
 *	on day 3, 7 and 14 the 50 % range holds in 45 to 62 % of the charges, the 90 % range in 86 to 97 %. (These kilns
 *	never go off by themselves; a forecast allows for kilns that do, so that here its ranges are a little wide);
 *	on day 3 the mean absolute error is not above that of either plain rival, on day 7 and 14 below both.
 *
 * The line through the last two readings of a probe often never comes to the band, or comes there in a
 * year: then it is given the works' mean days, which is kind to it.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { TIMES = 3, FAR = 60 };

static const int DAY[TIMES] = { 3, 7, 14 };

struct sums {
	long n, held50, held90, never;
	double error, line, mean, late;
};

struct row {
	long works;
	int charge;
	double now, ready, median, low50, high50, low90, high90, line, mean;
};

static int read_row(struct row *r)
{
	return scanf("%ld %d %lf %lf %lf %lf %lf %lf %lf %lf %lf", &r->works, &r->charge, &r->now, &r->ready, &r->median, &r->low50, &r->high50,
		&r->low90, &r->high90, &r->line, &r->mean) == 11;
}

static void add(struct sums *s, const struct row *r)
{
	double median = fmin(r->median, r->now + FAR * 2), line = r->line < r->now + FAR ? r->line : r->mean;

	s->n++;
	s->held50 += r->ready >= r->low50 && r->ready <= r->high50;
	s->held90 += r->ready >= r->low90 && r->ready <= r->high90;
	s->never += !isfinite(r->ready);
	if (!isfinite(r->ready))
		return;
	s->error += fabs(median - r->ready);
	s->late += median - r->ready;
	s->line += fabs(line - r->ready);
	s->mean += fabs(r->mean - r->ready);
}

static int asked(const char *what, int day, int holds)
{
	if (!holds)
		printf("day %d: %s\n", day, what);
	return !holds;
}

static int judge(const struct sums *s, int day)
{
	double n = (double)s->n, came = (double)(s->n - s->never), held50 = 100 * (double)s->held50 / n, held90 = 100 * (double)s->held90 / n;
	double error = s->error / came, line = s->line / came, mean = s->mean / came;
	int bad = 0;

	printf("day %d: %ld charges, %ld never ready; 50 %% held %.1f %%, 90 %% held %.1f %%; error %.2f days (late by %.2f), line %.2f, mean days %.2f\n",
		day, s->n, s->never, held50, held90, error, s->late / came, line, mean);
	bad += asked("the 50 % range does not hold in 45 to 62 %", day, held50 >= 45 && held50 <= 62);
	bad += asked("the 90 % range does not hold in 86 to 97 %", day, held90 >= 86 && held90 <= 97);
	bad += asked("the error is above a rival's", day, day == 3 ? error <= line && error <= mean : error < line && error < mean);
	return bad;
}

int main(int argc, char **argv)
{
	struct sums sums[TIMES] = { { 0 } };
	long charges = 0, last_works = -1, least = argc == 2 ? strtol(argv[1], NULL, 10) : -1;
	int bad = 0, last = -1;
	struct row r;

	if (least < 0) {
		fprintf(stderr, "usage: score LEAST\n");
		return 2;
	}
	while (read_row(&r)) {
		charges += r.works != last_works || r.charge != last;
		last_works = r.works;
		last = r.charge;
		for (int i = 0; i < TIMES; i++)
			if (DAY[i] == (int)r.now)
				add(&sums[i], &r);
	}
	printf("%ld charges\n", charges);
	bad += charges < least || !feof(stdin);
	for (int i = 0; i < TIMES; i++)
		bad += judge(&sums[i], DAY[i]);
	return bad ? 1 : 0;
}
