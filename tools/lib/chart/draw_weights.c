#include "chart/kinds_internal.h"

#include "chart/given.h"
#include "chart/scene.h"

bool draw_weights(struct scene *s, const struct given *g)
{
	(void)s;
	return given_nothing(g, "x");
}
