/* lib/solve/lot_kernels.h: what is done to all branches of a stage in eight samples side by side,
   for every width of vector that processors have. An array of lanes is double[count][SL__LANES].
   Threads: any. */
#ifndef SL_SOLVE_LOT_KERNELS_H
#define SL_SOLVE_LOT_KERNELS_H

#include "numeric/lanes.h"

/* A stage and the numbers of a lot at it. Rows and branches are entries of the arrays; the row of
   the reference is one like any other, of which nobody reads what flows into it. */
typedef struct sl__lot_net {
    const int32_t *from, *to; /* [branches] rows */
    int32_t used, curves, driven, fixed, needs;
    const int32_t *use;          /* [used] rows that a solve goes through, and the reference's */
    const int32_t *curve, *slot; /* [curves] branches, and where what belongs to each is */
    const int32_t *drive, *fix;  /* branches */
    const int32_t *need;         /* rows */
    const double *g, *open_v, *offset, *amp; /* [branches] */
    double *v, *i, *slope, *aim, *port;      /* [slots] */
    double *y, *out;                         /* [rows] */
} sl__lot_net;

/* A branch whose voltage and current are asked for, and the curve of it, if it is one. */
typedef struct sl__lot_flow {
    int32_t branch, slot;
    enum { SL__LOT_NO_FLOW, SL__LOT_STRAIGHT, SL__LOT_CURVED, SL__LOT_FIXED } by;
} sl__lot_flow;

/* What a parameter moves something by, below its value and above it, for each 1 of z. */
typedef struct sl__lot_start {
    int32_t z;
    double below, above;
} sl__lot_start;

/* Some lanes: all bits of theirs are 1, of others 0. */
typedef struct sl__lot_mask {
    int64_t lane[SL__LANES];
} sl__lot_mask;

typedef struct sl__lot_kernels {
    /* to[LANES] += what each parameter adds, z[z][LANES] being where it is. */
    void (*start)(int32_t count, const sl__lot_start *from, const double *z, double *to);

    /* What would flow into each row if every row were at 0 V, to y. */
    void (*drive)(const sl__lot_net *net);

    /* The voltages that the curves come to where the rows are at y, to aim; size[SL__LANES]: the
       greatest step of any of them, as a share of it or of 1 V. */
    void (*aim)(const sl__lot_net *net, double *size);

    /* Moves the curves of some lanes there, or share[SL__LANES] of the way. Currents go all the way
       along their slopes; port is what the rest of the network carries where the curves then are.
     */
    void (*go)(const sl__lot_net *net, const sl__lot_mask *lanes, const double *share);

    /* Keeps what is needed of some lanes: y to out. */
    void (*keep)(const sl__lot_net *net, const sl__lot_mask *lanes);

    /* Volts between the ends of some branches, and amperes through them, by what was kept. Branches
       that are neither straight, curved nor of a fixed current carry none. */
    void (*flows)(const sl__lot_net *net, int32_t count, const sl__lot_flow *flow, double *volts,
                  double *amps);
} sl__lot_kernels;

/* Those of variant 1 to sl__lane_kernels(). */
const sl__lot_kernels *sl__lot_kernels_of(int32_t kernel);

#endif
