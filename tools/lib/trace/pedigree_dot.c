#include "trace/pedigree_dot.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "base/utf8.h"
#include "stock/stock_say.h"
#include "trace/sources.h"
#include "trace/ties.h"
#include "trace/trace.h"

enum node_kind { NODE_SUPPLIER, NODE_PARCEL, NODE_TREE, NODE_LOT, NODE_HANDLES, NODE_CHARGE, NODE_BAT };

static const char *const NODE_WORDS[] = { "supplier", "parcel", "tree", "lot", "handle lot", "charge", "bat" };
static const char *const NODE_SHAPES[] = { "house", "folder", "ellipse", "box", "box", "box3d", "box" };

struct node {
	enum node_kind kind;
	uint32_t id;
};

struct edge {
	struct node from, to;
	double share;
	bool dashed;
};

/* A graph has few nodes and edges: those of one thing's pedigree. */
struct graph {
	const struct trace *trace;
	struct node *node;
	size_t nnodes, nodes_cap;
	struct edge *edge;
	size_t nedges, edges_cap;
};

/* ---- collecting */

static bool same(struct node x, struct node y)
{
	return x.kind == y.kind && x.id == y.id;
}

static void add_node(struct graph *g, struct node node)
{
	for (size_t i = 0; i < g->nnodes; i++)
		if (same(g->node[i], node))
			return;
	g->node = mem_grow(g->node, &g->nodes_cap, g->nnodes + 1, sizeof *g->node);
	g->node[g->nnodes++] = node;
}

static void add_edge(struct graph *g, struct node from, struct node to, double share, bool dashed)
{
	if (!from.id || !to.id)
		return;
	add_node(g, from);
	add_node(g, to);
	for (size_t i = 0; i < g->nedges; i++)
		if (same(g->edge[i].from, from) && same(g->edge[i].to, to)) {
			g->edge[i].share += share;
			return;
		}
	g->edge = mem_grow(g->edge, &g->edges_cap, g->nedges + 1, sizeof *g->edge);
	g->edge[g->nedges++] = (struct edge){ from, to, share, dashed };
}

static struct node piece_node(const struct stock_kind *kind)
{
	return (struct node){ kind->form == FORM_BAT ? NODE_BAT : kind->form == FORM_HANDLE ? NODE_HANDLES : NODE_LOT, kind->lot };
}

static void add_steps(struct graph *g, const struct lineage *way)
{
	for (size_t i = way->n; i-- > 0;) {
		const struct log_flow *f = &g->trace->log.flow[way->step[i].flow];
		struct stock_kind from = flow_log_kind(&g->trace->log, f->from), to = flow_log_kind(&g->trace->log, f->to);

		if (from.lot && from.lot != to.lot)
			add_edge(g, piece_node(&from), piece_node(&to), way->step[i].share, false);
		if (flow_log_op(&g->trace->log, f)->event->id == EVENT_LOAD && from.place != to.place)
			add_edge(g, piece_node(&to), (struct node){ NODE_CHARGE, to.place }, way->step[i].share, true);
	}
}

static void add_sources(struct graph *g)
{
	struct sources s = { .n = 0 };

	sources_add(&s, g->trace, &g->trace->wood);
	sources_add(&s, g->trace, &g->trace->handle);
	sources_sort(&s, g->trace);
	for (size_t i = 0; i < s.n; i++) {
		const struct source *r = &s.row[i];
		struct node lot = { r->form == FORM_HANDLE ? NODE_HANDLES : r->form == FORM_BAT ? NODE_BAT : NODE_LOT, r->lot };
		struct node tree = { NODE_TREE, r->tree }, supplier = { NODE_SUPPLIER, r->stated ? r->stated->from : 0 };
		struct node parcel = { NODE_PARCEL, r->stated ? r->stated->parcel : 0 };

		add_node(g, lot);
		add_edge(g, tree, lot, r->share, false);
		add_edge(g, parcel, r->tree ? tree : lot, r->share, false);
		add_edge(g, supplier, parcel.id ? parcel : r->tree ? tree : lot, r->share, false);
	}
	sources_release(&s);
}

/* ---- order: there are few */

static int by_node(const struct graph *g, struct node x, struct node y)
{
	if (x.kind != y.kind)
		return x.kind < y.kind ? -1 : 1;
	return slice_cmp(trace_text(g->trace, x.id), trace_text(g->trace, y.id));
}

static int by_edge(const struct graph *g, const struct edge *x, const struct edge *y)
{
	int order = by_node(g, x->from, y->from);

	return order ? order : by_node(g, x->to, y->to);
}

static void sort(struct graph *g)
{
	for (size_t i = 1; i < g->nnodes; i++)
		for (size_t k = i; k && by_node(g, g->node[k - 1], g->node[k]) > 0; k--) {
			struct node other = g->node[k];

			g->node[k] = g->node[k - 1];
			g->node[k - 1] = other;
		}
	for (size_t i = 1; i < g->nedges; i++)
		for (size_t k = i; k && by_edge(g, &g->edge[k - 1], &g->edge[k]) > 0; k--) {
			struct edge other = g->edge[k];

			g->edge[k] = g->edge[k - 1];
			g->edge[k - 1] = other;
		}
}

/* ---- writing */

/* A quoted string of the language: only a quotation mark and a backslash mean anything in it. */
static void quoted(struct buf *b, struct slice text)
{
	struct buf seen = BUF_INIT;

	utf8_add_visible(&seen, text);
	for (size_t i = 0; i < seen.n; i++) {
		if (seen.p[i] == '"' || seen.p[i] == '\\')
			buf_char(b, '\\');
		buf_char(b, seen.p[i]);
	}
	buf_release(&seen);
}

static void put_node_name(const struct graph *g, struct buf *b, struct node node)
{
	buf_printf(b, "\"%s ", NODE_WORDS[node.kind]);
	quoted(b, trace_text(g->trace, node.id));
	buf_char(b, '"');
}

static void put_day(struct buf *b, int32_t day)
{
	day_write(b, day);
}

/* A second line of a node: what else is known of it. */
static void put_details(const struct graph *g, struct buf *b, struct node node)
{
	const struct stated *stated = &g->trace->stated;
	const struct stated_source *source = stated_source_of(stated, node.id);
	size_t n;
	const struct stated_return *back = stated_returns_of(stated, node.id, &n);

	if (node.kind == NODE_TREE && source && source->licence) {
		buf_str(b, "\\nlicence ");
		quoted(b, trace_text(g->trace, source->licence));
	}
	if (node.kind == NODE_CHARGE && stated_kiln_of(stated, node.id)) {
		buf_str(b, "\\nin ");
		quoted(b, trace_text(g->trace, stated_kiln_of(stated, node.id)));
	}
	if ((node.kind == NODE_LOT || node.kind == NODE_HANDLES) && source) {
		buf_str(b, "\\n");
		put_day(b, source->day);
	}
	if (node.kind == NODE_BAT && n) {
		buf_str(b, "\\ncame back ");
		put_day(b, back[n - 1].day);
		buf_str(b, ", ");
		quoted(b, trace_text(g->trace, back[n - 1].cause));
	}
}

static void put_node(const struct graph *g, struct buf *b, struct node node)
{
	bool subject = node.id == g->trace->id && node.kind != NODE_SUPPLIER && node.kind != NODE_PARCEL;

	buf_char(b, '\t');
	put_node_name(g, b, node);
	buf_printf(b, " [shape=%s, label=\"%s ", NODE_SHAPES[node.kind], NODE_WORDS[node.kind]);
	quoted(b, trace_text(g->trace, node.id));
	put_details(g, b, node);
	buf_printf(b, "\"%s];\n", subject ? ", penwidth=2" : "");
}

static void put_edge(const struct graph *g, struct buf *b, const struct edge *e)
{
	buf_char(b, '\t');
	put_node_name(g, b, e->from);
	buf_str(b, " -> ");
	put_node_name(g, b, e->to);
	buf_printf(b, " [style=%s", e->dashed ? "dashed" : "solid");
	if (tie_round(e->share) < 1) {
		buf_str(b, ", label=\"");
		stock_say_percent(b, tie_round(e->share));
		buf_char(b, '"');
	}
	buf_str(b, "];\n");
}

static void put_kin(const struct graph *g, struct buf *b, const struct tie *tie)
{
	static const enum node_kind KINDS[] = { NODE_HANDLES, NODE_LOT, NODE_CHARGE, NODE_TREE };
	struct node node = { KINDS[tie->kind], tie->id };
	const struct tie_counts *c = &tie->counts;

	buf_printf(b, "\t\"all of %s ", tie_words[tie->kind]);
	quoted(b, trace_text(g->trace, tie->id));
	buf_str(b, "\" [shape=note, label=\"in stock: ");
	tie_say_number(b, c->stock);
	buf_str(b, ", sold: ");
	tie_say_number(b, c->sold);
	buf_str(b, ", culled: ");
	tie_say_number(b, c->culled);
	buf_str(b, "\\nbats: ");
	tie_say_number(b, tie_bats(c));
	buf_str(b, ", came back: ");
	tie_say_number(b, c->bats_back);
	buf_str(b, "\"];\n");
	buf_char(b, '\t');
	put_node_name(g, b, node);
	buf_printf(b, " -> \"all of %s ", tie_words[tie->kind]);
	quoted(b, trace_text(g->trace, tie->id));
	buf_str(b, "\" [style=dotted, dir=none];\n");
}

void pedigree_dot_write(const struct trace *t, const struct ties *ties, struct buf *out)
{
	struct graph g = { .trace = t };
	struct node own = { t->kind == TRACE_BAT ? NODE_BAT : t->kind == TRACE_CHARGE ? NODE_CHARGE : t->kind == TRACE_TREE ? NODE_TREE
		: ties->n && ties->tie[0].kind == TIE_HANDLE && ties->tie[0].id == t->id ? NODE_HANDLES : NODE_LOT, t->id };

	add_sources(&g);
	add_steps(&g, &t->wood);
	add_steps(&g, &t->handle);
	add_node(&g, own);
	sort(&g);
	buf_str(out, "digraph pedigree {\n\trankdir=LR;\n\tnode [fontsize=11];\n\tedge [fontsize=9];\n");
	for (size_t i = 0; i < g.nnodes; i++)
		put_node(&g, out, g.node[i]);
	for (size_t i = 0; i < g.nedges; i++)
		put_edge(&g, out, &g.edge[i]);
	for (size_t i = 0; i < ties->n; i++)
		put_kin(&g, out, &ties->tie[i]);
	buf_str(out, "}\n");
	free(g.node);
	free(g.edge);
}
