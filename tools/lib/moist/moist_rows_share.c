#include "moist/moist_rows_internal.h"

#include <stdlib.h>

#include "wood/meter.h"

#define NONE MOIST_NONE

void moist_share_init(struct moist_share *m, const struct moist_rows *rows, size_t number, size_t of)
{
	*m = (struct moist_share){ .ask = rows->ask, .facts = rows->facts, .free_node = NONE, .number = number, .of = of };
	intern_compact_init(&m->rules);
	intern_compact_init(&m->sets);
	intern_compact_init(&m->depths);
}

void moist_share_release(struct moist_share *m)
{
	for (size_t i = 0; i < m->n; i++)
		free(m->row[i].off);
	free(m->row);
	hash_index_release(&m->row_index);
	free(m->source);
	hash_index_release(&m->source_index);
	free(m->node);
	free(m->rule);
	free(m->item);
	intern_compact_release(&m->rules);
	intern_compact_release(&m->sets);
	intern_compact_release(&m->depths);
	buf_release(&m->text[0]);
	buf_release(&m->text[1]);
}

/* ---- finding rows and sources */

static uint64_t hash_of(const uint32_t *key, size_t n)
{
	uint64_t h = n;

	for (size_t i = 0; i < n; i++) {
		h = (h ^ key[i]) * 0x9e3779b97f4a7c15u;
		h ^= h >> 29;
	}
	return h ^ h >> 32;
}

static struct moist_row *add_row(struct moist_share *m, const uint32_t *key, uint64_t hash)
{
	struct moist_row *row;

	hash_index_add(&m->row_index, hash, (uint32_t)m->n);
	m->row = mem_grow(m->row, &m->rows_cap, m->n + 1, sizeof *m->row);
	row = &m->row[m->n++];
	*row = (struct moist_row){ .last = INT32_MIN, .share = (uint32_t)m->number };
	memcpy(row->key, key, m->ask->nby * sizeof *key);
	return row;
}

static struct moist_row *row_of(struct moist_share *m, const uint32_t *key)
{
	size_t n = m->ask->nby;
	uint64_t hash = hash_of(key, n);
	struct hash_probe p = hash_probe_of(&m->row_index, hash);

	while (hash_probe_next(&m->row_index, &p))
		if (!memcmp(m->row[p.row].key, key, n * sizeof *key))
			return &m->row[p.row];
	return add_row(m, key, hash);
}

/* The month or the day that a row is of; 0 when it is of neither. */
static uint32_t period_of_row(const struct moist_share *m, const struct moist_row *row)
{
	for (size_t k = 0; k < m->ask->nby; k++)
		if (m->ask->by[k] >= MOIST_BY_MONTH)
			return row->key[k];
	return 0;
}

static bool are_of_one_period(const struct moist_share *m, uint32_t x, uint32_t y)
{
	return x == y || period_of_row(m, &m->row[x]) == period_of_row(m, &m->row[y]);
}

/* The source of that key in the period of its row; *made is set when it is new, and then nothing but the key is. */
static struct moist_source *source_of(struct moist_share *m, const struct moist_source *key, bool *made)
{
	const uint32_t words[] = { period_of_row(m, &m->row[key->row]), key->a, key->b, (uint32_t)key->side << 1 | key->at_random };
	uint64_t hash = hash_of(words, 4);
	struct hash_probe p = hash_probe_of(&m->source_index, hash);
	struct moist_source *s;

	*made = false;
	while (hash_probe_next(&m->source_index, &p)) {
		s = &m->source[p.row];
		if (s->a == key->a && s->b == key->b && s->side == key->side && s->at_random == key->at_random && are_of_one_period(m, s->row, key->row))
			return s;
	}
	*made = true;
	hash_index_add(&m->source_index, hash, (uint32_t)m->nsources);
	m->source = mem_grow(m->source, &m->sources_cap, m->nsources + 1, sizeof *m->source);
	s = &m->source[m->nsources++];
	*s = *key;
	return s;
}

/* ---- the keys of a row */

static uint32_t period_of(size_t by, int32_t day)
{
	int year, month, date;

	if (by == MOIST_BY_DAY)
		return (uint32_t)(day + MOIST_DAY_BIAS);
	day_split(day, &year, &month, &date);
	return (uint32_t)(year * 12 + month - 1);
}

static uint32_t key_of(size_t by, const struct reading_of *of, int32_t day)
{
	switch (by) {
	case MOIST_BY_PLACE:
		return of->place;
	case MOIST_BY_CHARGE:
		return of->charge;
	case MOIST_BY_LOT:
		return of->lot_name;
	case MOIST_BY_PART:
		return of->part;
	default:
		return period_of(by, day);
	}
}

static struct moist_row *row_of_reading(struct moist_share *m, const struct reading_of *of, int32_t day)
{
	uint32_t key[MOIST_BYS];

	for (size_t k = 0; k < m->ask->nby; k++)
		key[k] = key_of(m->ask->by[k], of, day);
	return row_of(m, key);
}

/* ---- what a reading is held against */

static const struct house_place *place_of(const struct moist_share *m, const struct reading_of *of)
{
	return m->ask->house ? house_place(m->ask->house, readings_name(m->facts->readings, of->place)) : NULL;
}

/* Whether what the house says of being ready is for it. */
static bool is_to_be_ready(const struct moist_share *m, const struct reading_of *of)
{
	return m->ask->house && (of->charge || (of->single && of->part == m->facts->blade));
}

static struct house_range band_of(const struct moist_share *m, const struct reading_of *of)
{
	const struct house_place *place = place_of(m, of);
	const struct house_range none = { HOUSE_NONE, HOUSE_NONE };

	if (place && house_range_given(place->target))
		return place->target;
	return is_to_be_ready(m, of) ? m->ask->house->ready.band : none;
}

/* The middle of a range that has two ends, or HOUSE_NONE. */
static int64_t middle_of(struct house_range r)
{
	if (!house_range_given(r) || r.low == INT64_MIN || r.high == INT64_MAX)
		return HOUSE_NONE;
	return r.low + (r.high - r.low) / 2;
}

/* What the piece is to be dried to: the place's, of charges and blades that of `ready`. */
static int64_t target_of(const struct moist_share *m, const struct reading_of *of)
{
	const struct house_place *place = place_of(m, of);

	if (m->ask->target != HOUSE_NONE)
		return m->ask->target;
	if (place && middle_of(place->target) != HOUSE_NONE)
		return middle_of(place->target);
	if (!is_to_be_ready(m, of))
		return HOUSE_NONE;
	return m->ask->house->ready.target != HOUSE_NONE ? m->ask->house->ready.target : middle_of(m->ask->house->ready.band);
}

/* A charge is of clefts; elsewhere the line has to say what was read, or it is a blade that was judged. */
static uint8_t form_of(const struct moist_share *m, const struct reading_of *of)
{
	if (of->form == m->facts->blade)
		return MOIST_AFTER;
	if (of->form == m->facts->cleft)
		return MOIST_BEFORE;
	return of->charge && !of->form ? MOIST_BEFORE : MOIST_UNSAID;
}

/* ---- counting a reading in its row */

/* An off-scale reading is judged only where the scale's end lies outside the band already. `off`: the error of the line, in steps. */
static void judge(struct moist_row *row, const struct reading *r, struct house_range band, int64_t n, int64_t off)
{
	if (!house_range_given(band))
		return;
	if ((r->mark == VALUE_ABOVE && r->mc < band.high) || (r->mark == VALUE_BELOW && r->mc > band.low))
		return;
	row->count[MOIST_JUDGED] += n;
	if (r->mark != VALUE_EXACT)
		return;
	row->count[MOIST_IN] += house_range_holds(band, r->mc) ? n : 0;
	row->count[MOIST_IN_DRIER] += house_range_holds(band, r->mc - off) ? n : 0;
	row->count[MOIST_IN_WETTER] += house_range_holds(band, r->mc + off) ? n : 0;
}

void moist_end_write(const struct readings *r, const struct moist_end *end, struct buf *out)
{
	reading_source_write(r, out, end->a, end->b, end->at_random);
	buf_char(out, ' ');
	day_write(out, end->day);
	if (end->mark != VALUE_EXACT)
		buf_str(out, end->mark == VALUE_ABOVE ? " or above" : " or below");
}

/* Of two as far out the one whose words come first is named. */
static bool is_named_before(struct moist_share *m, const struct moist_end *x, const struct moist_end *y)
{
	if (x->a == y->a && x->b == y->b && x->at_random == y->at_random && x->mark == y->mark)
		return x->day < y->day;
	m->text[0].n = m->text[1].n = 0;
	moist_end_write(m->facts->readings, x, &m->text[0]);
	moist_end_write(m->facts->readings, y, &m->text[1]);
	return slice_cmp(buf_slice(&m->text[0]), buf_slice(&m->text[1])) < 0;
}

/* `further` is below 0 when `come` lies further out. */
static void keep_end(struct moist_share *m, struct moist_end *held, const struct moist_end *come, int further)
{
	if (!held->held || further < 0 || (further == 0 && is_named_before(m, come, held)))
		*held = *come;
}

static struct moist_ends *ends_of(struct moist_row *row, const struct reading *r)
{
	if (r->mark != VALUE_ABOVE && r->mark != VALUE_BELOW)
		return &row->ends;
	if (!row->off)
		row->off = mem_zeroed(MOIST_OFFS, sizeof *row->off);
	return &row->off[r->mark == VALUE_ABOVE ? MOIST_OVER : MOIST_UNDER];
}

static void count_ends(struct moist_share *m, struct moist_row *row, const struct reading *r, const struct reading_of *of)
{
	const struct moist_end end = { r->mc, r->day, of->a, of->b, of->at_random, true, r->mark };
	struct moist_ends *ends = ends_of(row, r);

	keep_end(m, &ends->least, &end, (end.mc > ends->least.mc) - (end.mc < ends->least.mc));
	keep_end(m, &ends->most, &end, (end.mc < ends->most.mc) - (end.mc > ends->most.mc));
}

#define NO_RULE SIZE_MAX

static void add_rule(struct moist_share *m, uint32_t meter, const struct meter_use *use)
{
	struct moist_rule rule = { .meter = meter, .line = use->line, .error = line_error_of(use->line) };

	m->text[0].n = 0;
	buf_add(&m->text[0], readings_name(m->facts->readings, meter));
	buf_str(&m->text[0], ": ");
	meter_use_write(&m->text[0], use);
	rule.text = intern_compact_id(&m->rules, buf_slice(&m->text[0]));
	rule.point = line_doubt_half((struct line_doubt){ 1, rule.error.df }, 0.95);
	m->rule = mem_grow(m->rule, &m->rules_cap, m->nrules + 1, sizeof *m->rule);
	m->rule[m->nrules++] = rule;
}

/* Its index, or NO_RULE. */
static size_t find_rule(struct moist_share *m, uint32_t meter, int32_t day)
{
	struct meter_use use;
	size_t i = 0;

	if (!m->ask->house || meter_use_on(m->ask->house, readings_name(m->facts->readings, meter), day, &use) != METER_OK)
		return NO_RULE;
	while (i < m->nrules && (m->rule[i].meter != meter || m->rule[i].line != use.line))
		i++;
	if (i == m->nrules)
		add_rule(m, meter, &use);
	return i;
}

/* The rule that the house has for a meter on a day, until the next call; NULL where it has none. Mostly it is the last one. */
static struct moist_rule *rule_of_meter(struct moist_share *m, uint32_t meter, int32_t day)
{
	struct moist_met *met = &m->met;

	if (!met->known || met->meter != meter || met->day != day)
		*met = (struct moist_met){ true, meter, day, find_rule(m, meter, day) };
	return met->rule == NO_RULE ? NULL : &m->rule[met->rule];
}

/* The rule by which a reading was corrected, or NULL. */
static struct moist_rule *rule_of_reading(struct moist_share *m, const struct reading *r, const struct reading_of *of)
{
	return r->mark == VALUE_EXACT && !(r->flags & (READING_OVEN | READING_UNCORRECTED)) ? rule_of_meter(m, of->meter, r->day) : NULL;
}

static size_t rules_of(const struct moist_share *m, uint32_t set, const char **rules)
{
	struct slice held = intern_compact_text(&m->sets, set);

	*rules = held.p;
	return held.n / sizeof(uint32_t);
}

static uint32_t rule_in(const char *rules, size_t i)
{
	uint32_t rule;

	memcpy(&rule, rules + i * sizeof rule, sizeof rule);
	return rule;
}

size_t moist_share_rules(const struct moist_share *m, const struct moist_row *row, const char **rules)
{
	return rules_of(m, row->rules, rules);
}

struct slice moist_share_rule(const struct moist_share *m, const char *rules, size_t i)
{
	return intern_compact_text(&m->rules, rule_in(rules, i));
}

/* The set with a rule more; it is in the order of its numbers. */
static uint32_t set_with(struct moist_share *m, uint32_t set, uint32_t rule)
{
	struct slice text = { (const char *)&rule, sizeof rule };
	struct buf next = BUF_INIT;
	const char *rules;
	size_t n = rules_of(m, set, &rules), i = 0;

	while (i < n && rule_in(rules, i) < rule)
		i++;
	if (i < n && rule_in(rules, i) == rule)
		return set;
	buf_add(&next, (struct slice){ rules, i * sizeof rule });
	buf_add(&next, text);
	buf_add(&next, (struct slice){ rules + i * sizeof rule, (n - i) * sizeof rule });
	set = intern_compact_id(&m->sets, buf_slice(&next));
	buf_release(&next);
	return set;
}

static void count_rule(struct moist_share *m, struct moist_row *row, const struct reading *r, const struct moist_rule *of)
{
	uint32_t rule = of ? of->text : 0;

	if (r->flags & READING_OVEN)
		rule = intern_compact_id(&m->rules, SLICE("oven"));
	else if (r->mark == VALUE_EXACT && (r->flags & READING_UNCORRECTED || !m->ask->house))
		rule = intern_compact_id(&m->rules, SLICE("uncorrected"));
	if (rule)
		row->rules = set_with(m, row->rules, rule);
}

/* Counts a reading beyond the pairs of its line. */
static void count_beyond(struct moist_row *row, struct moist_rule *rule, const struct reading *r, int64_t n)
{
	double beyond = rule ? line_error_beyond(&rule->error, (double)r->mc / VALUE_STEPS) : 0;

	if (!(beyond < 0 || beyond > 0))
		return;
	row->count[MOIST_BEYOND] += n;
	rule->beyond += n;
	rule->least_pct = beyond < rule->least_pct ? beyond : rule->least_pct;
	rule->most_pct = beyond > rule->most_pct ? beyond : rule->most_pct;
}

/* The half of the interval of the line at a reading, in steps. */
static int64_t off_by_line(const struct moist_rule *rule, const struct reading *r)
{
	return rule && rule->line ? fixed_of(rule->point * line_error_at(&rule->error, (double)r->mc / VALUE_STEPS), VALUE_STEPS) : 0;
}

/* `n` readings that are all alike. */
static void count(struct moist_share *m, struct moist_row *row, const struct reading *r, const struct reading_of *of, int64_t n)
{
	const struct sums sums = { n, (int128)n * r->mc, (int128)n * r->mc * r->mc, r->mc, r->mc };
	struct moist_rule *rule = rule_of_reading(m, r, of);

	row->count[MOIST_ABOVE] += r->mark == VALUE_ABOVE ? n : 0;
	row->count[MOIST_BELOW] += r->mark == VALUE_BELOW ? n : 0;
	row->count[MOIST_UNCORRECTED] += r->flags & READING_UNCORRECTED ? n : 0;
	row->count[MOIST_DOUBTFUL] += r->flags & READING_DOUBTFUL ? n : 0;
	if (r->mark != VALUE_ABOVE && r->mark != VALUE_BELOW)
		sums_merge(&row->sums, &sums);
	count_ends(m, row, r, of);
	row->last = r->day > row->last ? r->day : row->last;
	judge(row, r, band_of(m, of), n, off_by_line(rule, r));
	count_beyond(row, rule, r, n);
	count_rule(m, row, r, rule);
}

/* ---- taking a reading */

static void free_nodes(struct moist_share *m, uint32_t first)
{
	uint32_t last = first;

	if (first == NONE)
		return;
	while (m->node[last].next != NONE)
		last = m->node[last].next;
	m->node[last].next = m->free_node;
	m->free_node = first;
}

static uint32_t new_node(struct moist_share *m, const struct reading *r, uint32_t next)
{
	uint32_t i = m->free_node;

	if (i == NONE) {
		m->node = mem_grow(m->node, &m->nodes_cap, m->nnodes + 1, sizeof *m->node);
		i = (uint32_t)m->nnodes++;
	} else
		m->free_node = m->node[i].next;
	m->node[i] = (struct moist_node){ *r, next };
	return i;
}

/* A reading at random is held with those of its moment, and drops those of an earlier one. */
static void take_at_random(struct moist_share *m, const struct moist_source *key, const struct reading *r)
{
	bool made;
	struct moist_source *s = source_of(m, key, &made);

	if (made) {
		s->sample.utc_s = r->utc_s;
		s->sample.first = NONE;
	}
	if (r->utc_s < s->sample.utc_s)
		return;
	if (r->utc_s > s->sample.utc_s) {
		free_nodes(m, s->sample.first);
		s->sample.utc_s = r->utc_s;
		s->sample.first = NONE;
	}
	s->sample.first = new_node(m, r, s->sample.first);
}

/* A piece is in the row of its last reading: a probe may go on to another lot, and a bat to another place. */
static void take_last(struct moist_share *m, const struct moist_source *key, const struct reading *r)
{
	bool made;
	struct moist_source *s = source_of(m, key, &made);

	if (!made && !reading_is_before(m->facts->readings, r, &s->last))
		return;
	s->last = *r;
	s->row = key->row;
}

static uint32_t depth_or_form(struct moist_share *m, const struct reading_of *of)
{
	if (m->ask->by_form)
		return of->form;
	return m->ask->by_depth ? intern_compact_id(&m->depths, (struct slice){ (const char *)&of->depth, sizeof of->depth }) : 0;
}

/* What parts sources beside their names. Those at random are of one part: a sample of handles is none of blades. */
static uint32_t side_of(struct moist_share *m, const struct reading_of *of)
{
	uint32_t side = depth_or_form(m, of);

	return of->at_random ? side << 1 | (of->part == m->facts->handle) : side;
}

/* One piece at random is counted with each reading, one in the oven for itself, and others at the end. */
static void take_alike(struct moist_share *m, const struct moist_source *key, const struct reading *r, const struct reading_of *of)
{
	struct moist_row *row = &m->row[key->row];

	count(m, row, r, of, r->n);
	if (of->at_random || r->flags & READING_OVEN)
		row->count[MOIST_PIECES] += r->n;
	else
		take_last(m, key, r);
}

static void take(struct moist_share *m, const struct reading *r)
{
	struct reading_of of = reading_of(m->facts, r);
	struct moist_row *row = row_of_reading(m, &of, r->day);
	struct moist_source key = { .row = (uint32_t)(row - m->row), .a = of.a, .b = of.b, .at_random = of.at_random };

	row->count[r->mark == VALUE_ABSENT ? MOIST_UNREAD : MOIST_READINGS] += r->n;
	if (r->mark == VALUE_ABSENT)
		return;
	if (m->ask->all) {
		take_alike(m, &key, r, &of);
		return;
	}
	if (r->flags & READING_OVEN)
		return;
	key.side = side_of(m, &of) & 0x7fffffffu;
	if (of.at_random)
		take_at_random(m, &key, r);
	else
		take_last(m, &key, r);
}

/* Whether the share has the reading. */
static bool is_own(const struct moist_share *m, const struct reading *r)
{
	return m->of == 1 || ((hash_mix(reading_root(m->facts, r)) >> 32) * m->of) >> 32 == m->number;
}

static void take_all(struct moist_share *m)
{
	struct readings_walk walk = { .readings = m->facts->readings };
	struct reading r;

	while (readings_walk_next(&walk, &r))
		if (is_own(m, &r))
			take(m, &r);
	m->error = walk.spool.error;
	readings_walk_release(&walk);
	hash_index_release(&m->source_index);
	hash_index_release(&m->row_index);
}

/* ---- samples that are past */

/* When the probes of a charge that has samples were last read, in a month or day. */
struct probed {
	uint32_t charge, period;
	int64_t utc_s;
};

struct probed_list {
	struct probed *list;
	size_t n, cap;
};

static int probed_order(const void *a, const void *b)
{
	const struct probed *x = a, *y = b;

	if (x->charge != y->charge)
		return x->charge < y->charge ? -1 : 1;
	return (x->period > y->period) - (x->period < y->period);
}

static struct probed key_of_probed(const struct moist_share *m, const struct moist_source *s, uint32_t charge)
{
	return (struct probed){ charge, period_of_row(m, &m->row[s->row]), INT64_MIN };
}

/* The charges of which there are samples. */
static struct probed_list sampled_charges(const struct moist_share *m)
{
	struct probed_list p = { NULL, 0, 0 };
	size_t n = 0;

	for (size_t i = 0; i < m->nsources; i++) {
		const struct moist_source *s = &m->source[i];
		uint32_t charge = s->at_random ? reading_of(m->facts, &m->node[s->sample.first].reading).charge : 0;

		if (!charge)
			continue;
		p.list = mem_grow(p.list, &p.cap, p.n + 1, sizeof *p.list);
		p.list[p.n++] = key_of_probed(m, s, charge);
	}
	if (p.n)
		qsort(p.list, p.n, sizeof *p.list, probed_order);
	for (size_t i = 0; i < p.n; i++)
		if (!n || probed_order(&p.list[n - 1], &p.list[i]))
			p.list[n++] = p.list[i];
	p.n = n;
	return p;
}

static struct probed *find_probed(const struct probed_list *p, struct probed key)
{
	return p->n ? bsearch(&key, p->list, p->n, sizeof key, probed_order) : NULL;
}

static void keep_probed(const struct moist_share *m, struct probed_list *p)
{
	for (size_t i = 0; p->n && i < m->nsources; i++) {
		const struct moist_source *s = &m->source[i];
		uint32_t charge = s->at_random ? 0 : reading_of(m->facts, &s->last).charge;
		struct probed *found = charge ? find_probed(p, key_of_probed(m, s, charge)) : NULL;

		if (found && s->last.utc_s > found->utc_s)
			found->utc_s = s->last.utc_s;
	}
}

/* A sample of a charge at random is past when its probes were read later. */
static void drop_past(struct moist_share *m)
{
	struct probed_list p = sampled_charges(m);

	keep_probed(m, &p);
	for (size_t i = 0; p.n && i < m->nsources; i++) {
		struct moist_source *s = &m->source[i];
		uint32_t charge = s->at_random ? reading_of(m->facts, &m->node[s->sample.first].reading).charge : 0;

		if (charge && s->sample.utc_s < find_probed(&p, key_of_probed(m, s, charge))->utc_s) {
			free_nodes(m, s->sample.first);
			s->sample.first = NONE;
		}
	}
	free(p.list);
}

/* ---- counting what is last */

static void count_piece(struct moist_share *m, struct moist_row *row, const struct reading *r, int64_t n)
{
	struct reading_of of = reading_of(m->facts, r);

	count(m, row, r, &of, n);
	row->count[MOIST_PIECES] += n;
}

static void count_source(struct moist_share *m, const struct moist_source *s)
{
	struct moist_row *row = &m->row[s->row];

	row->items++;
	for (uint32_t at = moist_first_counted(s); at != NONE; at = moist_after_counted(m, s, at))
		count_piece(m, row, moist_counted_at(m, s, at), moist_times_counted(m, s, at));
}

/* The sources of a row, one after another. */
static void sort_sources(struct moist_share *m)
{
	uint32_t at = 0;

	for (size_t i = 0; i < m->n; i++) {
		m->row[i].first = at;
		at += m->row[i].items;
		m->row[i].items = 0;
	}
	m->item = mem_array(m->nsources, sizeof *m->item);
	for (size_t i = 0; i < m->nsources; i++) {
		struct moist_row *row = &m->row[m->source[i].row];

		m->item[row->first + row->items++] = (uint32_t)i;
	}
}

void moist_share_fill(struct moist_share *m)
{
	take_all(m);
	if (m->ask->all) {
		for (size_t i = 0; i < m->nsources; i++)
			m->row[m->source[i].row].count[MOIST_PIECES]++;
		return;
	}
	drop_past(m);
	for (size_t i = 0; i < m->nsources; i++)
		count_source(m, &m->source[i]);
	sort_sources(m);
}

/* ---- for the whole */

static void add_ends(struct moist_share *m, struct moist_ends *into, const struct moist_ends *from)
{
	const struct moist_end *least = &from->least, *most = &from->most;

	if (least->held)
		keep_end(m, &into->least, least, (least->mc > into->least.mc) - (least->mc < into->least.mc));
	if (most->held)
		keep_end(m, &into->most, most, (most->mc < into->most.mc) - (most->mc > into->most.mc));
}

void moist_share_add_row(struct moist_share *m, struct moist_row *into, const struct moist_row *from)
{
	for (size_t i = 0; i < MOIST_COUNTS; i++)
		into->count[i] += from->count[i];
	sums_merge(&into->sums, &from->sums);
	into->last = from->last > into->last ? from->last : into->last;
	add_ends(m, &into->ends, &from->ends);
	if (from->off && !into->off)
		into->off = mem_zeroed(MOIST_OFFS, sizeof *into->off);
	for (size_t i = 0; from->off && i < MOIST_OFFS; i++)
		add_ends(m, &into->off[i], &from->off[i]);
}

struct moist_value moist_share_value(struct moist_share *m, const struct reading *r, uint32_t piece)
{
	const struct reading_of of = reading_of(m->facts, r);
	const struct moist_rule *rule = rule_of_reading(m, r, &of);

	return (struct moist_value){ .line = rule ? rule->line : NULL, .piece = piece, .day = r->day, .mc = r->mc, .target = target_of(m, &of),
		.depth = of.depth, .band = band_of(m, &of), .mark = r->mark, .form = form_of(m, &of) };
}
