#include <math.h>

#include "wood/reckon_internal.h"

/* What weights and lengths look like on an old scale: 2lb9.5oz, to a hundredth of the smaller. */
static void compound_note(struct reckoned *r, long double base, const struct unit_def *u)
{
	const struct unit_def *then = vocab_unit(u->then);
	long long each = llroundl(reckon_worth(u) / reckon_worth(then)) * 100;
	long long all = llroundl(base / reckon_worth(then) * 100);
	struct buf text = BUF_INIT;

	if (all < each)
		return;
	buf_printf(&text, "That is %lld%.*s", all / each, (int)u->name.n, u->name.p);
	value_write_fix(&text, all % each, 2);
	buf_add(&text, then->name);
	reckoned_note(r, "%s", buf_cstr(&text));
	buf_release(&text);
}

/* `in` holds value, to. */
RECKON_FUNCTION(reckon_convert)
{
	int unit, type = reckon_type_of_unit(in[1].text, &unit);
	const struct unit_def *to = vocab_unit(unit);
	struct reckon_arg arg = { "value", type, "", "", false };
	struct reckon_input value;
	struct buf scratch = BUF_INIT;
	long double base;
	bool good = reckon_read_cell(&arg, in[0].text, -1, &scratch, &value, &r->refusal);

	(void)house;
	buf_release(&scratch);
	if (!good)
		return false;
	base = reckon_exact(in[0].text, vocab_unit(value.unit));
	reckoned_give(r, (double)(base / reckon_worth(to) - (long double)to->plus));
	if (to->then >= 0)
		compound_note(r, base, to);
	return true;
}
