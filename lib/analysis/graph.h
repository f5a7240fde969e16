/* lib/analysis/graph.h: a solved case as edges that point the way the current goes. */
#ifndef SL_ANALYSIS_GRAPH_H
#define SL_ANALYSIS_GRAPH_H

#include "solve/solve.h"
#include "strapline/path.h"

typedef struct sl__edge {
    sl_part part;
    int32_t element;
    sl_node tail, head; /* the current goes from tail to head; without current, as described */
    double amps;        /* > 0, or 0; NaN in a loop without resistance */
    double drop_v;      /* tail against head */
    double open_v; /* without current, first end against second as described; 0: no such source */
    double ohm;    /* of an ohmic law; NaN for others */
    double sources_w; /* power that all sources of its part take; below 0: they give */
    sl_use use;
    bool open;
} sl__edge;

typedef struct sl__graph {
    const sl_case *cs;
    int32_t edges, nodes;
    sl__edge *edge;
    double *in, *out; /* [nodes] sum of currents that come and go */
    double *cost;     /* [nodes] of a search */
    int32_t *via;     /* [nodes] the edge a search came by, -1 */
    sl_node *heap;    /* [nodes] `waiting` nodes that a search has reached, the cheapest on top */
    int32_t *place;   /* [nodes] where each is in the heap, -1: not in it */
    int32_t waiting;
    int32_t *at, *list;   /* [nodes + 1], [2 edges] edges at each node */
    double idle_load;     /* what it costs to go through a load without current */
    double live_load;     /* what it costs to go through a load that is on, beside its share */
    bool idle;            /* of a load that is off: no way through other loads, working or not */
    bool from_lead;       /* a battery on charge is a way only where no load is one */
    sl_part without_part; /* the element that no search goes through */
    int32_t without_element;
} sl__graph;

/* Costs of a load without current: of a way round by one, worse than any open place; and of a way
   from a lead, which may well be one, as much as an open place. There what goes on through a load
   that is on, or back through a source, is the worse way. */
#define SL__IDLE_LOAD 1e7
#define SL__IDLE_LOAD_FROM_LEAD 1e6
#define SL__LIVE_LOAD_FROM_LEAD 1e5

sl_status sl__graph_make(const sl_case *cs, sl__graph *g);
void sl__graph_free(sl__graph *g);

/* Is an edge that of a battery on charge? What flows through it has come from further on. */
bool sl__graph_is_charged(const sl__graph *g, const sl__edge *edge);

/* The element of a part that takes most power. */
int32_t sl__graph_main_element(const sl__graph *g, sl_part part);
const sl__edge *sl__graph_edge(const sl__graph *g, sl_part part, int32_t element);

/* Searches from a node against the current (up) to the source that gives most of what comes there:
   the edge of the source that ends at the node *end, or -1. Then g->via leads from *end back. */
int32_t sl__graph_up(sl__graph *g, sl_node from, sl_node *end);

/* Searches with the current from one node to another; false when there is no way. */
bool sl__graph_down(sl__graph *g, sl_node from, sl_node to);

/* The far end of an edge, seen from a node. */
static inline sl_node sl__edge_other(const sl__edge *edge, sl_node node)
{
    return edge->tail == node ? edge->head : edge->tail;
}

#endif
