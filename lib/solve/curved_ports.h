/* lib/solve/curved_ports.h: the small systems of eight cases, one in each lane.

   The ports of near.h: the curves, which are the same in all lanes, and after them slots, in which
   each lane has something of its own that has changed. A lane with fewer of them has slots that
   carry nothing. An array of lanes is double[count][SL__LANES]. */
#ifndef SL_SOLVE_CURVED_PORTS_H
#define SL_SOLVE_CURVED_PORTS_H

#include "numeric/lane_power.h"
#include "solve/solve.h"

enum { SL__SLOTS_MOST = 8 };

/* A curve as it stands in the base. */
typedef struct sl__lane_curve {
    int32_t element;
    const sl__law *law;
    double amp, volt, slope;   /* where the line touches it */
    double siemens, ohm, rest; /* of the line, and of the network between its ends */
    sl__lanes_bent bent;       /* of the law, where law->bent > 0 */
} sl__lane_curve;

/* What has changed, an entry a lane. Its own current is fixed + steep u, or that of a curve. */
typedef struct sl__lane_slot {
    double amp[SL__LANES], apart[SL__LANES]; /* before the change; volts less the law's own */
    double siemens[SL__LANES], ohm[SL__LANES], rest[SL__LANES];
    double series_ohm[SL__LANES];
    double fixed[SL__LANES], steep[SL__LANES];
    const sl__law *curve[SL__LANES]; /* NULL: straight */
} sl__lane_slot;

typedef struct sl__lane_ports {
    int32_t curves, slots;
    const sl__lane_curve *curve; /* [curves] */
    const double *z;             /* [curves][curves] what 1 A through one puts across another */
    sl__lane_slot *slot;         /* [SL__SLOTS_MOST] */
    double *across;              /* [slots][curves] lanes: the same between slots and curves */
    double *between;             /* [SLOTS_MOST][SLOTS_MOST] lanes: between slots */
    uint8_t *off;                /* [curves] lanes in which the curve is not there, but its line */
    bool any_off;
    /* Of each port: across itself, less the law's own volts; through it; beyond the line. */
    double *u, *i, *slope, *beyond, *bends;     /* [curves + slots] lanes */
    double *end_u, *end_i, *end_beyond;         /* the same, of lanes that have an answer */
    double *f, *step, *left, *right, *own, *by; /* scratch, the same */
    double *matrix;                             /* [SLOTS_MOST][SLOTS_MOST] lanes */
    double *dense, *one; /* [curves + slots][the same] and [3][curves + slots]
                            of a lane */
    int32_t *pivot;      /* [curves + slots] */
} sl__lane_ports;

typedef struct sl__lane_steps {
    /* How far the equations are from holding, to p->f; most[l]: the greatest. */
    void (*imbalance)(sl__lane_ports *p, double *most);

    /* Newton's step in the lanes `takes`, from there. Returns those in which there is one by way of
       the slots; of them
       `*small` has those in which it is the last one: they have their end values then. */
    unsigned (*aim)(sl__lane_ports *p, unsigned takes, const double *most, unsigned *small);

    /* u += share[l] * step. */
    void (*move)(sl__lane_ports *p, const double *share);

    /* After that: lanes whose equations are dominated by their diagonal, which is positive. */
    unsigned (*dominated)(const sl__lane_ports *p);

    /* value[o] = of[o] less what the ports make of it, sum over p of beyond_p w_p; size[o]: the sum
       of the sizes of the terms. curve_w[outputs][curves], slot_w[slots][outputs] lanes. */
    void (*spread)(const sl__lane_ports *p, int32_t outputs, const double *of,
                   const double *curve_w, const double *slot_w, double *value, double *size);
} sl__lane_steps;

/* Those of variant 1 to sl__lane_kernels(), the last of them the fastest. */
const sl__lane_steps *sl__lane_steps_of(int32_t kernel);

/* Solves some lanes from where the curves touch their lines. Returns those that have an answer. */
unsigned sl__lane_ports_solve(int32_t kernel, sl__lane_ports *p, unsigned lanes);

#endif
