/*
 * Where lots are from: own trees and bought lots, pools of pools, bats, lots of several trees,
 * opening stock, pools that go round in a circle; and no order of the lines shows.
 */
#include "book/diag.h"
#include "book/parse.h"
#include "stock/provenance.h"
#include "check.h"
#include "thrown.h"

static const char *const BOOK[] = {
	"2026-03-02 fell T1 parcel=P1 from=hale",
	"2026-03-02 fell T2 parcel=P1 from=hale",
	"2026-03-02 fell T3 parcel=P2 from=hale",
	"2026-04-02 fell T4 from=rangi",
	"2026-03-03 cleave L1 tree=T1 count=SH:18 cull=knot:1 into=yard",
	"2026-04-04 cleave L1 tree=T1 count=SH:17 cull=shake:2 into=yard",
	"2026-03-05 cleave L2 tree=T2 count=SH:22,S6:9 cull=stain:3,knot:1 into=yard",
	"2026-04-05 cleave L3 tree=T3 count=SH:20 into=yard",
	"2026-04-06 cleave L4 tree=T1 count=SH:5 into=yard",
	"2026-04-07 cleave L4 tree=T2 count=SH:7 cull=knot:1 into=yard",
	"2026-05-06 cleave L5 tree=T4 count=SH:5 into=yard",
	"2026-05-07 cleave L6 tree=T9 count=SH:5 into=yard",
	"2026-05-21 buy C1 form=cleft count=SH:30 cull=split:2 into=yard from=brook",
	"2026-05-22 buy C2 form=cleft count=SH:30 into=yard",
	"2026-03-01 tally D1 at=store form=blade type=SH grade=1 count=9 found=9",
	"2026-03-01 tally D2 at=store form=blade type=SH grade=1 count=9",
	"2026-03-01 tally D3 at=store form=blade type=SH grade=1 count=9 found=9 since=2025-06-30 from=hale",
	"2026-06-01 tally L1 at=yard count=34 found=2",
	"2026-06-02 pool M1 lot=L1:30,L2:20 at=K1",      /* one parcel, two trees, one month */
	"2026-06-02 pool M2 lot=L1:1,L3:2 at=K1",        /* one supplier, two parcels, two months */
	"2026-06-02 pool M3 lot=C1:3,L1:1 at=K1",        /* nothing in common */
	"2026-06-03 pool M4 lot=M1:10,L4:2 at=K1",       /* pools of pools */
	"2026-06-03 pool M5 lot=L3:5 at=K1",             /* of one lot */
	"2026-06-03 pool M6 lot=D1:2,D2:3 at=store",     /* of nothing known */
	"2026-06-04 pool X1 lot=X2:1,L1:1 at=store",     /* a circle */
	"2026-06-04 pool X2 lot=X1:1 at=store",
	"2026-06-05 pool M7 lot=N1:1 at=store",          /* of what never came in */
	"2026-07-01 make B1 blade=M1/01 handle=H1 at=shop",
	"2026-07-01 make B2 blade=C1 handle=H1 at=shop",
	"2026-07-01 make B3 blade=L1 handle=H1 at=shop",
	"2026-07-02 seal L1 with=wax",
};

enum { LINES = sizeof BOOK / sizeof *BOOK };

static const struct {
	const char *lot, *root, *tree, *parcel, *supplier, *month, *day, *parents;
	bool pool;
} WANT[] = {
	{ "L1", "L1", "T1", "P1", "hale", "2026-03", "2026-03-03", "T1:38", false },
	{ "L2", "L2", "T2", "P1", "hale", "2026-03", "2026-03-05", "T2:35", false },
	{ "L3", "L3", "T3", "P2", "hale", "2026-04", "2026-04-05", "T3:20", false },
	{ "L4", "L4", "*", "P1", "hale", "2026-04", "2026-04-06", "T1:5,T2:8", false },
	{ "L5", "L5", "T4", "", "rangi", "2026-05", "2026-05-06", "T4:5", false },
	{ "L6", "L6", "T9", "", "", "2026-05", "2026-05-07", "T9:5", false },
	{ "C1", "C1", "", "", "brook", "2026-05", "2026-05-21", "brook:32", false },
	{ "C2", "C2", "", "", "", "2026-05", "2026-05-22", "", false },
	{ "D1", "D1", "", "", "", "2026-03", "2026-03-01", "", false },
	{ "D2", "D2", "", "", "", "", "", "", false },
	{ "D3", "D3", "", "", "hale", "2025-06", "2025-06-30", "hale:9", false },
	{ "M1", "M1", "*", "P1", "hale", "2026-03", "2026-03-03", "L1:30,L2:20", true },
	{ "M2", "M2", "*", "*", "hale", "*", "2026-03-03", "L1:1,L3:2", true },
	{ "M3", "M3", "*", "*", "*", "*", "2026-03-03", "C1:3,L1:1", true },
	{ "M4", "M4", "*", "P1", "hale", "*", "2026-03-03", "L4:2,M1:10", true },
	{ "M5", "M5", "T3", "P2", "hale", "2026-04", "2026-04-05", "L3:5", true },
	{ "M6", "M6", "", "", "", "*", "2026-03-01", "D1:2,D2:3", true },
	{ "B1", "M1", "*", "P1", "hale", "2026-03", "2026-03-03", "L1:30,L2:20", false },
	{ "B2", "C1", "", "", "brook", "2026-05", "2026-05-21", "brook:32", false },
	{ "B3", "L1", "T1", "P1", "hale", "2026-03", "2026-03-03", "T1:38", false },
	{ "M7", "M7", "", "", "", "", "2026-06-05", "N1:1", true },
	{ "N1", "N1", "", "", "", "", "", "", false },
	{ "nobody", "nobody", "", "", "", "", "", "", false },
};

static void hand_in(struct provenance *o, const int *order)
{
	static struct vocab vocab;
	struct diags diags;
	struct parser parser;

	vocab_init(&vocab);
	diags_init(&diags);
	parser_init(&parser, &vocab, &diags);
	for (int i = 0; i < LINES; i++) {
		const struct line *l = parse_line(&parser, slice_of(BOOK[order[i]]), 1, 0);

		if (CHECK(l->kind == LINE_EVENT))
			provenance_add(o, l);
	}
	parser_release(&parser);
	diags_release(&diags);
	provenance_end(o);
}

static const char *key_text(const struct provenance *o, uint32_t lot, enum origin_key key, struct buf *out)
{
	uint32_t id = provenance_key(o, lot, key);

	out->n = 0;
	buf_add(out, id == PROVENANCE_MIXED ? SLICE("*") : intern_text(o->ids, id));
	return buf_cstr(out);
}

static void check_lot(const struct provenance *o, uint32_t lot, size_t i)
{
	struct buf text = BUF_INIT;
	int32_t day = provenance_day(o, lot);

	CHECK_TEXT(slice_of(key_text(o, lot, PROVENANCE_LOT, &text)), WANT[i].root);
	CHECK_TEXT(slice_of(key_text(o, lot, PROVENANCE_TREE, &text)), WANT[i].tree);
	CHECK_TEXT(slice_of(key_text(o, lot, PROVENANCE_PARCEL, &text)), WANT[i].parcel);
	CHECK_TEXT(slice_of(key_text(o, lot, PROVENANCE_SUPPLIER, &text)), WANT[i].supplier);
	CHECK_TEXT(slice_of(key_text(o, lot, PROVENANCE_MONTH, &text)), WANT[i].month);
	CHECK(provenance_is_pool(o, lot) == WANT[i].pool);
	text.n = 0;
	if (day != PROVENANCE_NO_DAY)
		day_write(&text, day);
	CHECK_TEXT(buf_slice(&text), WANT[i].day);
	text.n = 0;
	provenance_parents(o, lot, &text);
	CHECK_TEXT(buf_slice(&text), WANT[i].parents);
	buf_release(&text);
}

/* What a circle comes to need not make sense, but must be the same whatever the order. */
static void note_circle(const struct provenance *o, struct buf *out)
{
	struct buf text = BUF_INIT;

	for (enum origin_key key = PROVENANCE_LOT; key < PROVENANCE_KEYS; key++) {
		buf_str(out, key_text(o, intern_find(o->ids, SLICE("X1")), key, &text));
		buf_char(out, ' ');
		buf_str(out, key_text(o, intern_find(o->ids, SLICE("X2")), key, &text));
		buf_char(out, ' ');
	}
	buf_release(&text);
}

static void check_order(const int *order, struct buf *circle)
{
	struct intern ids;
	struct provenance o;

	intern_init(&ids);
	provenance_init(&o, &ids);
	hand_in(&o, order);
	for (size_t i = 0; i < sizeof WANT / sizeof *WANT; i++) {
		CHECK_CASE(i);
		check_lot(&o, intern_id(&ids, slice_of(WANT[i].lot)), i);
	}
	CHECK_CASE(-1);
	CHECK_TEXT(intern_text(&ids, provenance_tree_key(&o, intern_find(&ids, SLICE("T3")), PROVENANCE_PARCEL)), "P2");
	CHECK_TEXT(intern_text(&ids, provenance_tree_key(&o, intern_find(&ids, SLICE("T3")), PROVENANCE_SUPPLIER)), "hale");
	CHECK_TEXT(intern_text(&ids, provenance_tree_key(&o, intern_find(&ids, SLICE("T9")), PROVENANCE_TREE)), "T9");
	CHECK_INT(provenance_tree_key(&o, intern_find(&ids, SLICE("T9")), PROVENANCE_PARCEL), 0);
	note_circle(&o, circle);
	provenance_release(&o);
	intern_release(&ids);
}

/* A chain of pools as long as a book must not be followed by recursion. */
static void check_chain(void)
{
	enum { LINKS = 300000 };
	static struct vocab vocab;
	struct diags diags;
	struct parser parser;
	struct intern ids;
	struct provenance o;
	struct buf line = BUF_INIT;

	vocab_init(&vocab);
	diags_init(&diags);
	parser_init(&parser, &vocab, &diags);
	intern_init(&ids);
	provenance_init(&o, &ids);
	for (int i = 0; i < LINKS; i++) {
		line.n = 0;
		buf_printf(&line, "2026-03-02 pool M%d lot=M%d:1 at=store", i, i + 1);
		provenance_add(&o, parse_line(&parser, buf_slice(&line), 1, 0));
	}
	line.n = 0;
	buf_printf(&line, "2026-03-01 cleave M%d tree=T1 count=SH:1 into=store", LINKS);
	provenance_add(&o, parse_line(&parser, buf_slice(&line), 1, 0));
	provenance_end(&o);
	CHECK_TEXT(intern_text(&ids, provenance_key(&o, intern_find(&ids, SLICE("M0")), PROVENANCE_TREE)), "T1");
	buf_release(&line);
	provenance_release(&o);
	intern_release(&ids);
	parser_release(&parser);
	diags_release(&diags);
}

int main(void)
{
	struct buf first = BUF_INIT;
	int order[LINES];

	thrown_seed = 9;
	for (int i = 0; i < LINES; i++)
		order[i] = i;
	check_order(order, &first);
	for (int times = 0; times < 300; times++) {
		struct buf circle = BUF_INIT;

		for (int i = LINES - 1; i > 0; i--) {
			int k = (int)thrown_below((unsigned)i + 1), was = order[i];

			order[i] = order[k];
			order[k] = was;
		}
		check_order(order, &circle);
		CHECK_SLICE(buf_slice(&circle), buf_slice(&first));
		buf_release(&circle);
	}
	buf_release(&first);
	check_chain();
	return check_end();
}
