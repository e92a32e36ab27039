#include "jot/jot_defaults.h"

#include "book/vocab.h"
#include "check.h"

static struct vocab vocab;

static struct jot_defaults *read_text(const char *text, struct yaml_error *error)
{
	return jot_defaults_read(slice_of(text), &vocab, NULL, error);
}

static void check_value(const struct jot_defaults *d, const char *person, const char *event, const char *field, const char *want)
{
	struct slice got = jot_defaults_value(d, slice_of(person), vocab_event(&vocab, slice_of(event)), slice_of(field));

	CHECK(slice_eq(got, slice_of(want)));
}

int main(void)
{
	struct yaml_error error;
	struct jot_defaults *d;

	vocab_init(&vocab);
	d = read_text("mk: {any: {at: bench, meter: hyg1}, probe: {meter: pin2}}\njo: {sell: {to: tern}}\n", &error);
	CHECK(d);
	check_value(d, "mk", "probe", "meter", "pin2");
	check_value(d, "mk", "air", "meter", "hyg1");
	check_value(d, "mk", "grade", "at", "bench");
	check_value(d, "mk", "sell", "to", "");
	check_value(d, "jo", "sell", "to", "tern");
	check_value(d, "jo", "probe", "meter", "");
	check_value(d, "fz", "probe", "meter", "");
	check_value(NULL, "mk", "probe", "meter", "");
	jot_defaults_free(d);
	d = read_text("", &error);
	CHECK(d);
	jot_defaults_free(d);
	CHECK(!read_text("mk: {any: {count: 4}}", &error) && error.line == 1 && error.col == 12);
	CHECK(!read_text("mk: {\n any: {text: x}}", &error) && error.line == 2);
	CHECK(!read_text("mk: [", &error));
	CHECK(!read_text("[a]", &error));
	jot_defaults_free(NULL);
	return check_end();
}
