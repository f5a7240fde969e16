/* lib/solve/curved_internal.h: what curved.c makes, curved_case.c asks for and curved_run.c works
   with. */
#ifndef SL_SOLVE_CURVED_INTERNAL_H
#define SL_SOLVE_CURVED_INTERNAL_H

#include "numeric/column.h"
#include "numeric/effective.h"
#include "solve/curved.h"
#include "solve/curved_ports.h"
#include "solve/near.h"

/* What is known of a case: volts between two rows, or the current of some elements together. */
typedef struct sl__curved_output {
    int32_t a, b; /* rows of a voltage, and its nodes: */
    sl_node red, black;
    bool is_current; /* else volts */
    bool constant;   /* nothing changes it: a state, or what is not defined */
    double base;     /* in the healthy circuit */
    int32_t elements;
    int32_t element[SL__ELEMENTS_MOST]; /* of a current: of these elements, each with its sign, */
    double sign[SL__ELEMENTS_MOST];
    double *hang; /* [nodes] and of links: what hangs[from] - hangs[to] adds to the sign of an
                     element between two nodes; NULL: of none */
} sl__curved_output;

/* The healthy circuit in a state that it passes through. */
typedef struct sl__curved_base {
    sl__base *base;
    const double *value; /* every parameter, as in its condition */
    double celsius;
    const int32_t *wish;       /* [stateful] what its parts want */
    int32_t readings, outputs; /* readings first, then what is watched */
    sl__curved_output *output; /* [outputs] */
    double *of;                /* [outputs] their values */
    int32_t stride;            /* outputs and curves, and room for vectors */
    double *high, *low;        /* [rows + 1][stride] sums high + low of what 1 A into a row does */
    int32_t curves;
    sl__lane_curve *curve;
    int32_t *curve_of; /* [elements] among the curves, or -1 */
    double *z;         /* [curves][curves] */
    double *curve_w;   /* [outputs][curves] */
    sl__columns *columns;
} sl__curved_base;

/* Parts of a lane whose parameters are not those of the base, and parts that adjust themselves. */
enum { SL__OWNS_MOST = 4, SL__TRIMS_MOST = 4, SL__LIFTS_MOST = 4 };

/* A source without resistance that gives another voltage than in the base lifts what hangs on it.
 */
typedef struct sl__curved_lift {
    int32_t link;
    double volt, lift; /* what it gives more, and what the nodes there are lifted by */
} sl__curved_lift;

typedef struct sl__curved_own {
    sl_part part;
    double value[SL__PARAMS_ROOM];
} sl__curved_own;

struct sl__curved {
    sl_case *cs;
    sl__arena arena;
    sl__curved_base *at; /* [bases], the last one that of the readings */
    int32_t bases, readings;
    int32_t watched, watched_last; /* in every base; in the last one, where all may be noticed */
    int32_t *watch;    /* [watched_last] elements of parts with states or that adjust themselves,
                          then others */
    int32_t *watch_of; /* [elements] among those, or -1 */
    sl__lane_ports ports;
    double *slot_w;                             /* [SLOTS_MOST][outputs] lanes */
    double *way;                                /* [outputs + curves] what 1 A on one way does */
    double *value, *size;                       /* [outputs] lanes */
    int32_t element[SL__SLOTS_MOST][SL__LANES]; /* of a slot, -1: a leak, or nothing */
    int32_t from[SL__SLOTS_MOST][SL__LANES], to[SL__SLOTS_MOST][SL__LANES]; /* its rows */
    sl_node node[SL__SLOTS_MOST][SL__LANES][2];                             /* and nodes */
    double doubt[SL__LANES];   /* of what slots do, relative */
    bool takes_off[SL__LANES]; /* some curve, whose slot it has */
    sl__law law[SL__SLOTS_MOST][SL__LANES];
    double origin[SL__SLOTS_MOST][SL__LANES]; /* the law's own volts */
    int32_t lifts[SL__LANES];
    sl__curved_lift lift[SL__LANES][SL__LIFTS_MOST];
    int32_t owns[SL__LANES];
    sl__curved_own own[SL__LANES][SL__OWNS_MOST];
    /* Of the base's parts that adjust themselves: what each has come to, and how it got there. */
    double x[SL__LANES][SL__TRIMS_MOST], error[SL__LANES][SL__TRIMS_MOST],
        step[SL__LANES][SL__TRIMS_MOST];
    int32_t close[SL__LANES]; /* how often all of them have been close */
};

/* What 1 A from one row to another does: way[outputs + curves]. */
void sl__curved_way(const sl__curved_base *at, int32_t a, int32_t b, double *way);

/* Knows the share of the rest of an element, base->rest, to the last places. False: it is too small
   for that. */
bool sl__curved_rest(const sl__curved_base *at, int32_t element);

/* An element that something is wrong with. */
typedef struct sl__touched {
    int32_t element;
    bool open;
    double series_ohm;
    double lift;        /* V more between its ends, by a source that one of them hangs on */
    const sl__law *law; /* another one in place of its own, or NULL */
} sl__touched;

typedef struct sl__touches {
    int32_t count;
    sl__touched at[SL__SLOTS_MOST];
} sl__touches;

/* Fills the slots of a lane with what a case changes in a base. *used: how many. False: not for
   this to say. */
bool sl__curved_fill(sl__curved *c, int32_t b, int32_t lane, const sl__curved_case *of,
                     int32_t *used);

/* The same with the elements that are changed, their lifts and their laws known. */
bool sl__curved_slots(sl__curved *c, const sl__curved_base *at, int32_t lane,
                      const sl__curved_case *of, const sl__touches *all, int32_t *used);

/* A slot of a lane that carries nothing. */
void sl__curved_idle(sl__curved *c, const sl__curved_base *at, int32_t slot, int32_t lane);

/* What sources lift one node by over another in a lane. */
double sl__curved_lifted(const sl__curved *c, const sl__curved_base *at, int32_t lane, sl_node red,
                         sl_node black);

/* Does a node hang on a link? */
bool sl__curved_hangs(const sl__network *net, sl_node node, int32_t link);

/* The parameters of a part in a lane. */
const double *sl__curved_values(const sl__curved *c, const sl__curved_base *at, sl_part part,
                                int32_t lane);

/* By what sign the current of an element, or of a leak (element < 0) between two nodes, counts in a
   reading. */
double sl__curved_sign(const sl__curved_output *output, int32_t element, sl_node from, sl_node to);

#endif
