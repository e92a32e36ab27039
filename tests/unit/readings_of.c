/* readings_of.c: what readings are of, where the book has no facts. */
#include "moist/readings.h"
#include "check.h"

int main(void)
{
	struct readings r;
	struct reading_facts f;

	readings_init(&r, NULL, NULL, (struct readings_want){ 0 });
	f = readings_resolve(&r);
	CHECK(f.nstarts == 0 && f.nbats == 0);
	CHECK(f.start && f.bat); /* empty parts of something: C has no sum of NULL and 0 */
	readings_release(&r);
	return check_end();
}
