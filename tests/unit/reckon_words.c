/* reckon_words.h: words that are wrong, the way that they choose, what is missing. */
#include "wood/reckon.h"
#include "wood/reckon_words.h"
#include "check.h"

static struct reckon_complaints wrong;
static struct reckon_words words;

static const struct reckon_way *take(const char *quantity, char *a, char *b, char *c)
{
	char *operands[] = { a, b, c };
	size_t n = 0;

	while (n < 3 && operands[n])
		n++;
	wrong.text.n = 0;
	wrong.misused = false;
	return reckon_words_take(&words, reckon_first(slice_of(quantity)), operands, n, &wrong);
}

/* The complaints one after another, with a bar behind each. */
static void check_complaints(const char *want)
{
	for (size_t i = 0; i < wrong.text.n; i++)
		if (!wrong.text.p[i])
			wrong.text.p[i] = '|';
	CHECK_TEXT(buf_slice(&wrong.text), want);
}

static char t[] = "temp=20C", r[] = "rh=55%", bulb[] = "wetbulb=15C", bare[] = "20C", none[] = "tmp=20C", at[] = "temp=@t", bad[] = "rh=x";

static void ways(void)
{
	const struct reckon_way *first = reckon_first(SLICE("emc"));

	CHECK(take("emc", t, r, NULL) == first);
	CHECK(take("emc", bulb, t, NULL) == reckon_next(first));
	CHECK(!take("emc", t, NULL, NULL) && wrong.misused);
	check_complaints("missing: rh, as in rh=55%; or wetbulb, as in wetbulb=15C|");
	CHECK(!take("emc", t, r, bulb) && wrong.misused);
	check_complaints("these words do not go together; see wy-reckon emc --help|");
}

static void wrong_words(void)
{
	CHECK(!take("emc", none, t, t) && !wrong.misused);
	check_complaints("'tmp' is not a word of emc; perhaps temp?|temp is given twice|");
	CHECK(!take("emc", none, bare, NULL) && wrong.misused);
	check_complaints("'tmp' is not a word of emc; perhaps temp?|'20C' has no name; write temp=20C, for example|");
}

static void values(void)
{
	struct reckon_input in[RECKON_ARGS] = { { .given = false } };
	const struct reckon_way *way = take("emc", t, r, NULL);

	CHECK(reckon_words_read(&words, way, in, &wrong));
	CHECK(in[0].given && in[0].v == 20 && in[1].v == 55);
	CHECK(!reckon_words_any_column(&words));
	way = take("emc", t, bad, NULL);
	CHECK(way && !reckon_words_read(&words, way, in, &wrong) && wrong.text.n > 0);
	CHECK(take("emc", at, r, NULL) && reckon_words_any_column(&words));
}

int main(void)
{
	ways();
	wrong_words();
	values();
	buf_release(&wrong.text);
	return check_end();
}
