/* lib/analysis/graph.c: the ways of the current. */
#include "analysis/graph.h"

#include <math.h>

#include "base/memory.h"

/* Less is not a current that anyone follows. */
static const double LEAST_A = 1e-9;

/* What a way costs. With the current it is minus the logarithm of the part of the current that goes
   there, so the cheapest way is the one that carries most. What follows is worse than any of those,
   each far more than the one before. */
static const double STEP = 1e-9; /* of two equal ways the one with fewer steps */
static const double THROUGH_SOURCE = 50.0;
static const double UNKNOWN = 5.0; /* in a loop without resistance */
static const double IDLE = 10.0, IDLE_PER_OHM = 1e4, IDLE_MOST = 2e3; /* the way of least ohms */
static const double BACKWARDS = 3e3;
static const double OPEN = 1e6;
static const double IDLE_SOURCE = 3e6; /* an open beside it says more than a way through it */

static bool is_open(const sl__law *law)
{
    return law->form == SL__ABSENT;
}

/* Turns an edge the way its current goes. */
static void point(sl__edge *edge)
{
    if (edge->amps < 0.0) {
        const sl_node tail = edge->tail;
        edge->tail = edge->head;
        edge->head = tail;
        edge->amps = -edge->amps;
        edge->drop_v = -edge->drop_v;
    }
    if (edge->amps < LEAST_A || edge->open) {
        edge->amps = 0.0;
    }
}

static void add_edges(sl__graph *g, const sl__answer *answer, sl_part p)
{
    const sl_case *cs = g->cs;
    const sl_kind *kind = &sl__case_part(cs, p)->kind->about;
    const int32_t first = g->edges;
    double sources_w = 0.0;
    sl__law law[SL__ELEMENTS_MOST];
    sl__laws_at(cs, p, answer->state[p], law);
    for (int32_t e = 0; e < kind->element_count; e++) {
        sl__edge *edge = &g->edge[g->edges];
        *edge = (sl__edge){.part = p, .element = e, .use = kind->uses[e], .open = is_open(&law[e])};
        edge->open_v = law[e].form == SL__OHMIC ? law[e].open_v : 0.0;
        edge->ohm = law[e].form == SL__OHMIC ? law[e].ohm : SL__NAN;
        edge->tail = sl__case_terminal(cs, p, kind->elements[e].from);
        edge->head = sl__case_terminal(cs, p, kind->elements[e].to);
        sl_case_element(cs, p, e, &edge->amps, &edge->drop_v);
        point(edge);
        sources_w += edge->use == SL_GIVES && edge->amps > 0.0 ? edge->amps * edge->drop_v : 0.0;
        g->edges += edge->tail != edge->head ? 1 : 0;
    }
    for (int32_t k = first; k < g->edges; k++) {
        g->edge[k].sources_w = sources_w;
    }
}

/* Lists edges by node, and sums their currents. */
static void index_edges(sl__graph *g)
{
    for (int32_t k = 0; k < g->edges; k++) {
        g->at[g->edge[k].tail + 1]++;
        g->at[g->edge[k].head + 1]++;
        const double amps = isnan(g->edge[k].amps) ? 0.0 : g->edge[k].amps;
        g->out[g->edge[k].tail] += amps;
        g->in[g->edge[k].head] += amps;
    }
    for (int32_t n = 0; n < g->nodes; n++) {
        g->at[n + 1] += g->at[n];
        g->via[n] = g->at[n];
    }
    for (int32_t k = 0; k < g->edges; k++) {
        g->list[g->via[g->edge[k].tail]++] = k;
        g->list[g->via[g->edge[k].head]++] = k;
    }
}

sl_status sl__graph_make(const sl_case *cs, sl__graph *g)
{
    *g = (sl__graph){.cs = cs, .idle_load = SL__IDLE_LOAD, .without_part = SL_NONE};
    g->nodes = cs->circuit->nodes.count + cs->extra_nodes.count;
    const size_t nodes = (size_t)g->nodes, elements = (size_t)cs->elements;
    g->edge = sl__new(&cs->al, elements, sizeof *g->edge);
    g->in = sl__new(&cs->al, nodes, sizeof *g->in);
    g->out = sl__new(&cs->al, nodes, sizeof *g->out);
    g->cost = sl__new(&cs->al, nodes, sizeof *g->cost);
    g->via = sl__new(&cs->al, nodes, sizeof *g->via);
    g->heap = sl__new(&cs->al, nodes, sizeof *g->heap);
    g->place = sl__new(&cs->al, nodes, sizeof *g->place);
    g->at = sl__new(&cs->al, nodes + 1, sizeof *g->at);
    g->list = sl__new(&cs->al, 2 * elements, sizeof *g->list);
    if (!g->edge || !g->in || !g->out || !g->cost || !g->via || !g->heap || !g->place || !g->at ||
        !g->list) {
        sl__graph_free(g);
        return SL_E_NOMEM;
    }
    for (sl_part p = 0; p < cs->parts; p++) {
        add_edges(g, &cs->answer[cs->view], p);
    }
    index_edges(g);
    return SL_OK;
}

void sl__graph_free(sl__graph *g)
{
    const size_t nodes = (size_t)g->nodes, elements = (size_t)g->cs->elements;
    const sl_alloc *al = &g->cs->al;
    sl__free(al, g->edge, elements, sizeof *g->edge);
    sl__free(al, g->in, nodes, sizeof *g->in);
    sl__free(al, g->out, nodes, sizeof *g->out);
    sl__free(al, g->cost, nodes, sizeof *g->cost);
    sl__free(al, g->via, nodes, sizeof *g->via);
    sl__free(al, g->heap, nodes, sizeof *g->heap);
    sl__free(al, g->place, nodes, sizeof *g->place);
    sl__free(al, g->at, nodes + 1, sizeof *g->at);
    sl__free(al, g->list, 2 * elements, sizeof *g->list);
}

int32_t sl__graph_main_element(const sl__graph *g, sl_part part)
{
    int32_t best = -1;
    double most = -1.0;
    for (int32_t k = 0; k < g->edges; k++) {
        const sl__edge *edge = &g->edge[k];
        if (edge->part != part) {
            continue;
        }
        /* Of paths without power, one the current is there for. */
        const double power = edge->amps > 0.0 ? edge->amps * edge->drop_v : 0.0;
        const double worth = power > 0.0 ? power : edge->use >= SL_LOAD_STARTER ? 0.0 : -0.5;
        if (worth > most || (worth == most && edge->use == SL_LOAD_STARTER)) {
            most = worth;
            best = edge->element;
        }
    }
    return best;
}

const sl__edge *sl__graph_edge(const sl__graph *g, sl_part part, int32_t element)
{
    for (int32_t k = 0; k < g->edges; k++) {
        if (g->edge[k].part == part && g->edge[k].element == element) {
            return &g->edge[k];
        }
    }
    return NULL;
}

/* Nothing flows: the way that would carry most is that of least resistance. */
static double idle_cost(const sl__edge *edge)
{
    return IDLE + (isnan(edge->ohm) ? 0.0 : fmin(IDLE_PER_OHM * edge->ohm, IDLE_MOST));
}

bool sl__graph_is_charged(const sl__graph *g, const sl__edge *edge)
{
    return edge->use == SL_GIVES && edge->amps > 0.0 && edge->sources_w > 0.0 &&
           sl__case_part(g->cs, edge->part)->kind->about.negative_post >= 0;
}

/* The cost of an edge from a node onwards; up: against the current. */
static double edge_cost(const sl__graph *g, const sl__edge *edge, sl_node node, bool up)
{
    const bool load = edge->use >= SL_LOAD_STARTER;
    if (edge->part == g->without_part && edge->element == g->without_element) {
        return INFINITY;
    }
    if (load && g->idle) {
        return g->idle_load;
    }
    if (edge->open) {
        return load ? g->idle_load : OPEN;
    }
    if (isnan(edge->amps)) {
        return UNKNOWN;
    }
    if (!(edge->amps > 0.0) && edge->use == SL_GIVES) {
        return IDLE_SOURCE;
    }
    if (!(edge->amps > 0.0)) {
        return load || edge->use == SL_LEAK ? g->idle_load : idle_cost(edge);
    }
    if ((up ? edge->head : edge->tail) != node) {
        return load ? g->idle_load : BACKWARDS + (edge->use == SL_GIVES ? g->live_load : 0.0);
    }
    const double all = up ? g->in[node] : g->out[node];
    const bool passes = sl__graph_is_charged(g, edge) && !g->from_lead;
    const double source = edge->use == SL_GIVES && !passes ? THROUGH_SOURCE : 0.0;
    const double through = load ? g->live_load : source;
    return -log(fmin(1.0, edge->amps / all)) + through;
}

/* Of nodes that cost the same, the first of the circuit: the same way each time. */
static bool goes_first(const sl__graph *g, sl_node a, sl_node b)
{
    const double cost_a = g->cost[a], cost_b = g->cost[b];
    return cost_a < cost_b || (cost_a == cost_b && a < b);
}

static void put_at(sl__graph *g, int32_t at, sl_node node)
{
    g->heap[at] = node;
    g->place[node] = at;
}

/* A node that has become cheaper goes up in the heap; one that is not in it comes in. */
static void rise(sl__graph *g, sl_node node)
{
    int32_t at = g->place[node] >= 0 ? g->place[node] : g->waiting++;
    for (int32_t up = (at - 1) / 2; at > 0 && goes_first(g, node, g->heap[up]); up = (at - 1) / 2) {
        put_at(g, at, g->heap[up]);
        at = up;
    }
    put_at(g, at, node);
}

/* Takes the cheapest node out of the heap; SL_NONE when all that can be reached are done. */
static sl_node take_cheapest(sl__graph *g)
{
    if (g->waiting == 0) {
        return SL_NONE;
    }
    const sl_node best = g->heap[0], last = g->heap[--g->waiting];
    int32_t at = 0;
    for (int32_t down = 1; down < g->waiting; down = 2 * at + 1) {
        if (down + 1 < g->waiting && goes_first(g, g->heap[down + 1], g->heap[down])) {
            down++;
        }
        if (!goes_first(g, g->heap[down], last)) {
            break;
        }
        put_at(g, at, g->heap[down]);
        at = down;
    }
    put_at(g, at, last);
    g->place[best] = -1;
    return best;
}

static void start(sl__graph *g, sl_node from)
{
    for (sl_node n = 0; n < g->nodes; n++) {
        g->cost[n] = n == from ? 0.0 : INFINITY;
        g->via[n] = -1;
        g->place[n] = -1;
    }
    g->waiting = 0;
    rise(g, from);
}

/* Looks at what lies next to a node. */
static void reach(sl__graph *g, sl_node node, bool up)
{
    for (int32_t a = g->at[node]; a < g->at[node + 1]; a++) {
        const int32_t k = g->list[a];
        const sl_node next = sl__edge_other(&g->edge[k], node);
        if (up && g->edge[k].use == SL_GIVES && !sl__graph_is_charged(g, &g->edge[k])) {
            continue; /* a source that gives is an end */
        }
        const double cost = g->cost[node] + edge_cost(g, &g->edge[k], node, up) + STEP;
        if (cost < g->cost[next]) {
            g->cost[next] = cost;
            g->via[next] = k;
            rise(g, next);
        }
    }
}

/* What it costs to end at a source whose edge is at a node: it gives there, or could. */
static double source_cost(const sl__graph *g, const sl__edge *edge, sl_node node)
{
    if (edge->part == g->without_part || edge->use != SL_GIVES || edge->open) {
        return INFINITY;
    }
    if (edge->amps > 0.0 && edge->head == node) {
        /* A battery that is charged sends current out of its negative post. */
        return edge->sources_w < 0.0 ? -log(fmin(1.0, edge->amps / g->in[node])) : INFINITY;
    }
    if (edge->open_v == 0.0) {
        return INFINITY; /* an alternator at rest */
    }
    const double here_v = edge->tail == node ? edge->drop_v : -edge->drop_v;
    return here_v > 0.0 ? (edge->amps > 0.0 ? BACKWARDS : IDLE) : INFINITY;
}

int32_t sl__graph_up(sl__graph *g, sl_node from, sl_node *end)
{
    int32_t found = -1;
    double best = INFINITY;
    start(g, from);
    for (sl_node n = take_cheapest(g); n >= 0 && g->cost[n] < best; n = take_cheapest(g)) {
        for (int32_t a = g->at[n]; a < g->at[n + 1]; a++) {
            const double cost = g->cost[n] + source_cost(g, &g->edge[g->list[a]], n);
            if (cost < best) {
                best = cost;
                found = g->list[a];
                *end = n;
            }
        }
        reach(g, n, true);
    }
    return found;
}

bool sl__graph_down(sl__graph *g, sl_node from, sl_node to)
{
    start(g, from);
    for (sl_node n = take_cheapest(g); n >= 0; n = take_cheapest(g)) {
        if (n == to) {
            return true;
        }
        reach(g, n, false);
    }
    return false;
}
