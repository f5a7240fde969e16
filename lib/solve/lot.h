/* lib/solve/lot.h: a case solved for eight sets of moved parameters at once, as far as only one
   reading is wanted.

   A way is what moves next in one moment after another: from the first condition on, until all
   relays and solenoids are settled in the last. A plan is what there is to do along a way: stage
   after stage, each a state of all of them in a condition. A lot takes eight samples along a plan,
   one in each lane: laws, factor, Newton, parts that adjust themselves, and at each stage the
   question which part moves next. A sample that goes another way leaves the lot, and is taken along
   the plan of its own way, if there is one; if there is none, or too little is left of its reading,
   it is to be solved whole.

   There are plans for the ways that the case with every value as it is takes, and that some samples
   took which were drawn beforehand to see. So whether there is a plan for a sample, and what comes
   out of its lane, depend on that sample alone, to the last bit. It agrees with the whole solve to
   1e-9 of the reading, as far as more is left of it than 1e-18 of the terms that it is the
   difference of; less is nothing. */
#ifndef SL_SOLVE_LOT_H
#define SL_SOLVE_LOT_H

#include "numeric/counter.h"
#include "solve/solve.h"

typedef struct sl__plan sl__plan;
typedef struct sl__lot sl__lot;
typedef struct sl__plans sl__plans;
typedef struct sl__lots sl__lots;

/* What moves next, as an index among the parts with states, and the state it moves to; mover -1:
   all are content. */
typedef struct sl__move {
    int32_t mover, to;
} sl__move;

/* A way longer than this is no way to follow, but a chatter. */
enum { SL__STAGES_MOST = 48 };

typedef struct sl__way {
    int32_t count;
    sl__move move[SL__STAGES_MOST];
} sl__way;

/* The way that a case takes with the values it has. *found: false where there is none. Its answers
   are not those of a solve afterwards. */
sl_status sl__way_find(sl_case *cs, sl__way *way, bool *found);

/* Makes a plan of a case along a way, for what may vary and a reading. *out is NULL, and the status
   SL_OK, where samples that go that way are to be solved whole. The case must stay as it is and
   outlive the plan. */
sl_status sl__plan_new(const sl_alloc *al, const sl_case *cs, const sl__vary *vary,
                       const sl_reading *of, const sl__way *way, sl__plan **out);
void sl__plan_free(sl__plan *plan);

/* Another variant, 1 to sl__lane_kernels() (lanes.h), not the last of them: to compare them. */
void sl__plan_use(sl__plan *plan, int32_t kernel);

/* States in which all parts end: [parts]. */
const int32_t *sl__plan_ends(const sl__plan *plan);

/* What one thread needs to work by a plan, which must outlive it. SL_OK or SL_E_NOMEM. */
sl_status sl__lot_new(const sl_alloc *al, const sl__plan *plan, sl__lot **out);
void sl__lot_free(sl__lot *lot);

/* Finds where samples had best begin, by a lot of the plan, which is used until then by nobody
   else. SL_OK or SL_E_NOMEM. */
sl_status sl__plan_learn(sl__plan *plan, sl__lot *lot);

/* Draws for sample[SL__LANES]. The z of it is the lot's, [items + 1][SL__LANES], the temperature
   last, until the next draw. */
const double *sl__lot_draw(sl__lot *lot, uint64_t seed, const int64_t *sample, sl_shape shape);

/* Solves some lanes, as bits, for z as above. Returns those that are answered in value[SL__LANES].
   Allocates nothing. */
unsigned sl__lot_solve(sl__lot *lot, unsigned lanes, const double *z, double *value);

/* How far a lane that was not answered went along the way, and how it left it. False: not by going
   another way. */
bool sl__lot_left(const sl__lot *lot, int32_t lane, int32_t *stage, sl__move *move);

/* Finds the ways that samples take and makes a plan of each, as far as there are not too many. */
sl_status sl__plans_new(const sl_alloc *al, const sl_case *cs, const sl__vary *vary,
                        const sl_reading *of, sl__plans **out);
void sl__plans_free(sl__plans *plans);
int32_t sl__plans_count(const sl__plans *plans);
const sl__plan *sl__plans_at(const sl__plans *plans, int32_t k);

/* What one thread needs to work by plans, which must outlive it. SL_OK or SL_E_NOMEM. */
sl_status sl__lots_new(const sl_alloc *al, const sl__plans *plans, sl__lots **out);
void sl__lots_free(sl__lots *lots);

/* Solves `count` samples from `first` on, at most SL__LOTS_MOST, those that go one way together.
   plan[k] is the plan along which value[k] was found; -1: the sample is to be solved whole.
   Allocates nothing. */
enum { SL__LOTS_MOST = 1024 };
void sl__lots_solve(sl__lots *lots, uint64_t seed, sl_shape shape, int64_t first, int32_t count,
                    double *value, int32_t *plan);

#endif
