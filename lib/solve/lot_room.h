/* lib/solve/lot_room.h: how a lot is held while it follows a plan. */
#ifndef SL_SOLVE_LOT_ROOM_H
#define SL_SOLVE_LOT_ROOM_H

#include "solve/lot_plan.h"

#define SL__LANES_ALL ((1U << SL__LANES) - 1U)

struct sl__lot {
    sl_alloc al;
    sl__arena arena;
    const sl__plan *plan;
    const sl__stage *stage;     /* where the lanes are */
    unsigned alive;             /* lanes that are still on the way */
    int32_t left_at[SL__LANES]; /* the stage at which a lane went another way, or -1 */
    sl__move left_by[SL__LANES];
    double *z, *drawn;        /* [variables] where what varies lies, and scratch */
    double *x;                /* [variables] values of what varies, the temperature last */
    double *g, *open_v, *amp; /* [branches] */
    double *offset;           /* [branches + 1], the last one is the reading's */
    double *k;                /* [slots][SL__CURVE_ROOM] the numbers of curves' laws */
    double *curve_v, *curve_i, *curve_s; /* [slots] */
    double *curve_aim, *curve_port;      /* [slots] as in lot_kernels.h */
    unsigned stale;                      /* lanes whose slopes are not those in the factor */
    double *value;           /* [plan->value_room] of full parts, by lanes: [LANES] of each part */
    double *along;           /* room for factors */
    double *flow_v, *flow_i; /* [plan->flows] */
    double *y;               /* [rows] the last one is the reference's */
    double *out;             /* [rows] what is read */
    bool fine;               /* what that is off by is known, and counts */
    double *off, *room;      /* [rows] that, and scratch */
    double *trim, *error, *last, *step; /* [trims] */
    int64_t *timer;                     /* [statefuls] */
    int32_t *want;                      /* [statefuls] */
};

static inline double *sl__lanes_of(double *array, int32_t k)
{
    return array + (ptrdiff_t)k * SL__LANES;
}

static inline void sl__set_lanes(double *array, double value)
{
    for (int32_t l = 0; l < SL__LANES; l++) {
        array[l] = value;
    }
}

/* The numbers of a curve's law: lane by lane, but of a bent one, whose lanes are worked out
   together, number by number. */
static inline double *sl__curve_numbers(const sl__lot *lot, int32_t slot)
{
    return lot->k + (ptrdiff_t)slot * SL__CURVE_ROOM * SL__LANES;
}

static inline ptrdiff_t sl__curve_number_at(const sl__law *law, int32_t n, int32_t l)
{
    return law->bent > 0.0 ? n * SL__LANES + l : l * SL__CURVE_ROOM + n;
}

static inline bool sl__has(unsigned lanes, int32_t l)
{
    return (lanes >> l & 1U) != 0;
}

/* A full part's values in a lane. */
static inline double *sl__values_of(const sl__lot *lot, const sl__plan_part *part, int32_t l)
{
    const ptrdiff_t params = part->kind->about.param_count;
    return lot->value + (ptrdiff_t)part->value_at * SL__LANES + l * params;
}

/* The stage as the kernels have it. */
sl__lot_net sl__lot_net_of(const sl__lot *lot);

/* A branch gets the same law in all lanes. */
void sl__lot_set_branch(sl__lot *lot, const sl__stage *stage, int32_t k);

/* All laws of the stage but those of parts that adjust themselves, for z as in sl__lot_solve. */
void sl__lot_set_laws(sl__lot *lot, const double *z);

/* Asks the kind for the laws of a part in some lanes; those that cannot stand leave. */
void sl__lot_ask_laws(sl__lot *lot, const sl__plan_part *part, unsigned lanes);

/* Solves some lanes with the laws they have. Lanes that find no answer leave. Each is done by
   itself: what it has then is kept, whatever the others still need. */
void sl__lot_step(sl__lot *lot, unsigned lanes);

/* Current and slope of curve c of the stage at v, in a lane. */
void sl__lot_curve(const sl__lot *lot, int32_t c, int32_t l, double v, double *i, double *slope);

/* Currents of the curves where they are, in some lanes, and in some of those new slopes, which
   stand as conductances from then on. */
void sl__lot_bend(sl__lot *lot, unsigned lanes, unsigned slopes);

/* How far to go along the steps of some lanes: share[SL__LANES]. */
void sl__lot_search(const sl__lot *lot, unsigned lanes, double *share);

/* Lanes set out on the way. */
void sl__lot_begin(sl__lot *lot, unsigned lanes);

/* Solves a stage for all that are on the way, for z as in sl__lot_solve. */
void sl__lot_stage(sl__lot *lot, int32_t s, const double *z);

/* Where Newton's steps, and those of parts that adjust themselves, begin at the stage. */
void sl__lot_start_at(sl__lot *lot, const double *z);

/* The same for all that are on the way, with all parts content that adjust themselves. */
void sl__lot_trimmed(sl__lot *lot);

/* Lanes in which another part moves next than in the plan leave. */
void sl__lot_settle(sl__lot *lot);

/* Works out what the elements of parts carry that adjust themselves, or `all` that are asked. */
void sl__lot_find_flows(sl__lot *lot, bool all);

/* What the elements of such a part carry in a lane. */
void sl__lot_flows(const sl__lot *lot, const sl__plan_part *part, int32_t l, sl__flow *flow);

/* What the voltages of all rows are off by, from what their currents leave over in pairs. */
void sl__lot_refine(sl__lot *lot);

/* Reads a lane. False: it is to be solved whole. */
bool sl__lot_read(const sl__lot *lot, int32_t l, double *value);

#endif
