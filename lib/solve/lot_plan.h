/* lib/solve/lot_plan.h: how a plan is held. */
#ifndef SL_SOLVE_LOT_PLAN_H
#define SL_SOLVE_LOT_PLAN_H

#include "numeric/factor_along.h"
#include "numeric/lane_kernels.h"
#include "numeric/lane_power.h"
#include "solve/lot.h"
#include "solve/lot_kernels.h"

/* With less than this share left of the terms that it is the difference of, a reading needs pairs:
   of 16 digits 9 are wanted. */
#define SL__LOT_COARSE 1e-5

/* A polynomial that a number of a law is to be multiplied by: of one variable. */
typedef struct sl__plan_poly {
    int32_t x, count;
    double middle, scale;
    double *c; /* [count] */
} sl__plan_poly;

/* A number of a law that varies. */
typedef struct sl__plan_number {
    int32_t element; /* of its part */
    int32_t which;   /* SL__NUMBER_OHM ... */
    double base;
    int32_t polys;
    sl__plan_poly *poly;
} sl__plan_number;

enum { SL__NUMBER_OHM, SL__NUMBER_OPEN_V, SL__NUMBER_AMP, SL__NUMBER_K }; /* k[0] and on */
enum { SL__NUMBERS = SL__NUMBER_K + SL__CURVE_ROOM };

/* A part whose laws or decisions are not the same in all samples. */
typedef struct sl__plan_part {
    sl_part part;
    const sl__kind *kind;
    int32_t item, items;   /* of what varies: its own */
    int32_t branch, count; /* its elements */
    int32_t trim;          /* among the parts that adjust themselves, or -1 */
    bool stateful;
    bool warm;        /* its laws depend on the temperature, which varies */
    bool full;        /* some stage wants its values lane by lane */
    int32_t value_at; /* of those, in lot->value */
    int32_t flow_at;  /* its elements among the flows of a stage, where it is asked */
} sl__plan_part;

/* The same at a stage. */
typedef struct sl__plan_work {
    bool fresh;          /* not as at the stage before */
    bool direct;         /* its laws are asked of the kind, lane by lane */
    const double *given; /* [parameters] */
    const double *value;
    int32_t numbers;
    sl__plan_number *number;
    bool plain; /* one number, done by the kernel */
} sl__plan_work;

/* The branches around what hangs on a link, and how each counts. */
typedef struct sl__plan_around {
    int32_t link, count;
    int32_t *branch;
    double *sign;
} sl__plan_around;

typedef struct sl__stage {
    sl_condition condition;
    bool begins; /* a condition */
    double celsius;
    int32_t *state;      /* [parts] */
    sl__move move;       /* what moves after it */
    const double *value; /* of all parts, in the condition */

    int32_t rows;
    int32_t *from, *to; /* [branches] rows; in a made plan in the order of elimination */
    int32_t *run;       /* [branches] the one that stands for all in series with it; SL_NONE: no
                           current flows in it */
    bool *alone;        /* [branches] it stands for itself only, and nothing moves it */
    int32_t *shape_from, *shape_to; /* [branches] rows of what is factored: runs */
    double *offset; /* [branches + 1] of the ends' offsets, V; the last one is the reading's */
    bool *joined;   /* [branches] its ends are of one island */
    sl__law *law;   /* [branches] */
    bool *link;     /* [branches] */
    int32_t factor; /* of the plan's: the one that it shares with stages of the same shape */
    int32_t islands;
    int32_t *need; /* [needs] rows that are read */
    int32_t needs;

    sl__along *along; /* the factor, where currents come in and voltages are read */
    int32_t used;
    int32_t *use; /* [used] rows that it goes through, and the reference's */

    int32_t settings;
    int32_t *setting;    /* branches to be set anew when a sample comes here */
    sl__plan_work *work; /* [plan->parts] */
    int32_t busy;
    int32_t *at_work; /* [busy] parts of which more is to be done than the kernels do */
    int32_t values, ohmics;
    sl__lanes_spread *spread, *ohmic; /* what the kernels do */

    int32_t *up_node, *up_link; /* [nodes] as in the network */
    bool *loop;                 /* [branches] */
    int32_t lifts, sums;
    sl__plan_around *lift; /* links whose source may vary */
    sl__plan_around *sum;  /* links whose current is wanted */

    int32_t curves, driven, fixed;
    int32_t *curve, *drive, *fix; /* branches */
    int32_t *slot;                /* [curves] among the plan's curves */
    double *curve_v;              /* [curves] in the nominal answer */
    bool *follows;                /* [curves] it was there at the stage before */
    double *curve_rise;           /* [curves] by as much as it then rose in the nominal answer */
    double *trim;                 /* [trims] in the nominal answer */

    int32_t starts;
    int32_t *start_at;    /* [curves + trims + 1] in the next */
    sl__lot_start *start; /* [starts] by what a sample begins off the nominal answer; NULL: none */

    sl__lot_flow *flow; /* [plan->flows] the elements of parts that are asked */

    int32_t red, black; /* rows of a voltage */
    bool *given;        /* [branches] of the last one, where the reading is fine */
} sl__stage;

struct sl__plan {
    sl_alloc al;
    sl__arena arena;
    sl_case *cs; /* a twin, whose answers are not needed any more */
    const sl__vary *vary;
    sl_reading of;
    int32_t kernel; /* variant */
    const sl__lanes_kernels *kernels;
    const sl__lot_kernels *loops;
    const sl__lanes_powers *powers;
    bool fine;                   /* so little is left of the reading that it takes pairs */
    int32_t branches, variables; /* items + 1, the temperature last */
    int32_t stages;
    sl__stage *stage;
    int32_t factors;
    sl__factor **factor; /* [factors] while it is made */
    int32_t parts;
    sl__plan_part *part;
    bool *open;              /* [branches] taken away by a fault */
    int32_t *part_of;        /* [all parts] among these, or -1 */
    int32_t *slot;           /* [branches] among the curves, or -1 */
    sl__lanes_spread *plain; /* [branches] what the kernels do of each alone; to: SL_NONE, or it */
    int32_t slots, most_rows, value_room, along_room;
    int32_t trims;
    int32_t *trim;             /* [trims] plan parts that adjust themselves */
    int32_t flows, trim_flows; /* elements of parts that are asked; first those that adjust */
    int32_t statefuls;
    int32_t *stateful; /* [statefuls] parts with states, as the case has them */
    void *room;        /* while numbers are looked for */
};

/* Finds the numbers of the laws of a part at a stage as products of polynomials; direct where that
   does not do. */
sl_status sl__plan_numbers(sl__plan *plan, sl__stage *stage, int32_t part);

/* May a number of a branch's law be another one in some sample? which: SL__NUMBER_...; -1: any. */
bool sl__plan_moves(const sl__plan *plan, const sl__stage *stage, int32_t branch, int32_t which);

/* Finds the links of a stage whose sources may vary. False: it cannot be followed. */
bool sl__plan_links(sl__plan *plan, sl__stage *stage);

/* Makes the current of a link known. False: it has none of its own. */
bool sl__plan_sum(sl__plan *plan, sl__stage *stage, int32_t link);

/* What a part that adjusts itself came to in the nominal answer. */
double sl__plan_trim(const sl__plan *plan, const sl__stage *stage, int32_t t);

/* Numbers the elements of parts that are asked what they do: first of those that adjust themselves.
 */
void sl__plan_number_flows(sl__plan *plan);

/* Lists what drives currents at a stage, and the rows that decisions, and at the last stage the
   reading, are taken from. False: a current that is wanted is not defined. */
bool sl__plan_wants(sl__plan *plan, sl__stage *stage, bool last);

/* Does the reading take pairs to have its digits? All rows are then needed, and which branches do
   not follow Ohm's law. *found: false where pairs are not enough. SL_OK or SL_E_NOMEM. */
sl_status sl__plan_fine(sl__plan *plan, bool *found);

/* Takes dead ends, and rows between resistances, out of a stage's network: one branch then stands
   for all of a run. SL_OK or SL_E_NOMEM. */
sl_status sl__plan_runs(sl__plan *plan, sl__stage *stage);

/* Lists the conductances of runs that are to be worked out at a stage; those before it are done. */
sl_status sl__plan_sums(sl__plan *plan, sl__stage *stage);

/* Lists what else is to be set because other runs were there before; all stages are done. */
sl_status sl__plan_settings(sl__plan *plan);

/* Finds where a solve of a stage has to go, and numbers its rows as they are eliminated. */
sl_status sl__plan_ways(sl__plan *plan, sl__stage *stage);

/* The parameters of a plan's part with x[items] in place of those that vary. */
bool sl__plan_complete(const sl__plan *plan, const sl__plan_part *part, const sl__plan_work *work,
                       const double *x, int32_t stride, double *value);

/* The law of each element, faults that open one applied. */
void sl__plan_laws(const sl__plan *plan, const sl__plan_part *part, const double *value,
                   double celsius, int32_t state, sl__law *law);

/* Takes the case along a way and writes down every stage. *found: false where it cannot go. */
sl_status sl__plan_follow(sl__plan *plan, const sl__way *way, bool *found);

/* A copy of an array, in the arena; NULL when memory runs out. */
void *sl__plan_copy(sl__plan *plan, const void *from, int32_t count, size_t size);

#endif
