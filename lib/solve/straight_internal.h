/* lib/solve/straight_internal.h: what straight.c makes and straight_run.c asks. */
#ifndef SL_SOLVE_STRAIGHT_INTERNAL_H
#define SL_SOLVE_STRAIGHT_INTERNAL_H

#include "numeric/effective.h"
#include "solve/near.h"
#include "solve/straight.h"

/* With more than this the share of the rest, as a multiple of it, is had from a column. */
#define SL__REST_ERROR_MOST 1e-14

/* Degrees worked out together. */
enum { SL__STRAIGHT_CHUNK = 64 };

/* A base, and what 1 A sent into any of its rows does to what is to be known: volts across the
   elements of parts with states, after the readings in the last base, in which they are taken. */
typedef struct sl__straight_base {
    sl__base *base;
    sl__columns *columns; /* to know the share of the rest better, of eight elements at a time */
    double *volt;         /* [rows][SL__LANES] what comes with it */
    sl__effective *effective;
    double *ohm, *rest,
        *error; /* [elements], see effective.h; rest and error get better with use */
    int32_t readings, outputs;
    double *high, *low; /* [rows + 1][outputs] sums high + low; the reference first, then row 0 */
} sl__straight_base;

/* An element whose current is part of a reading. */
typedef struct sl__straight_share {
    int32_t reading, next; /* next one of the same element, or -1 */
    double sign;           /* 1 or -1 */
    bool alone;            /* no other element of the reading is a conductance: */
    double others;         /* what they carry */
} sl__straight_share;

struct sl__straight {
    sl_case *cs;
    sl__arena arena;
    sl__straight_base *at; /* [bases], the last one that of the readings */
    int32_t bases;
    double **value;  /* [bases] every parameter, as in the condition of the base */
    double *celsius; /* [bases] */
    int32_t readings, watched;
    int32_t *watch;    /* [watched] elements of parts with states, in their order */
    double *good, *w;  /* [readings], [outputs of the last] */
    int32_t *share_of; /* [elements] the first of its shares, or -1 */
    int32_t expected;  /* leaks of which the last base has told the resistance between their rows */
    int32_t from[SL__EXPECTED_MOST], to[SL__EXPECTED_MOST];
    double between_ohm[SL__EXPECTED_MOST];
    sl__straight_share *share;
};

/* Where a fault is, in a base. */
typedef struct sl__place {
    int32_t element;                              /* -1: a leak */
    int32_t a, b;                                 /* rows */
    double amp, siemens, rest, error, ohm, apart; /* of a leak: siemens 0, rest 1 */
} sl__place;

/* What becomes of the place in one degree. */
typedef struct sl__change {
    enum { SL__NOTHING, SL__SERIES, SL__OPENED, SL__STRAIGHT, SL__FED } form;
    double ohm, open_v, amp;
} sl__change;

/* What it comes to: the current on top of what was, and that of the element itself. */
typedef struct sl__point {
    double t, amp, doubt; /* doubt: of t, relative */
} sl__point;

/* What 1 A out of one row into another does to an output, to the last places. */
static inline double sl__straight_w(const sl__straight_base *at, const sl__place *p, int32_t output)
{
    const ptrdiff_t a = (ptrdiff_t)(p->a + 1) * at->outputs + output;
    const ptrdiff_t b = (ptrdiff_t)(p->b + 1) * at->outputs + output;
    return (at->high[a] - at->high[b]) + (at->low[a] - at->low[b]);
}

/* Where a fault is in a base, and s->w. False: not for closed forms to say. */
bool sl__straight_place(sl__straight *s, int32_t b, const sl__straight_fault *fault, sl__place *p);

/* The points there; known[c] becomes false where there is none. */
void sl__straight_points(const sl__straight *s, int32_t b, const sl__straight_fault *fault,
                         int32_t count, const double *degree, const sl__place *p, sl__point *is,
                         bool *known);

/* The point of a resistance that comes in series with a conductance, or of a leak. False: it cannot
   be told. */
bool sl__straight_grown(const sl__place *p, double ohm, sl__point *is);

#endif
