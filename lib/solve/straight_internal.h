/* lib/solve/straight_internal.h: what straight.c makes and straight_run.c asks. */
#ifndef SL_SOLVE_STRAIGHT_INTERNAL_H
#define SL_SOLVE_STRAIGHT_INTERNAL_H

#include <float.h>

#include "numeric/whatif.h"
#include "solve/near.h"
#include "solve/straight.h"

/* Rounding of a change in a reading, relative, apart from that of the share of the rest. */
#define SL__ROUNDING (12.0 * DBL_EPSILON)
/* Of an answer this much may be in doubt, relative, and in V or A. */
#define SL__DOUBT 3e-10
#define SL__DOUBT_LEAST 3e-13

/* Degrees worked out together. */
enum { SL__STRAIGHT_CHUNK = 64 };

/* A base, and what 1 A sent into any of its rows does to what is to be known: volts across the
   elements of parts with states, after the readings in the last base, in which they are taken. */
typedef struct sl__straight_base {
    sl__base *base;
    sl__columns *columns;
    double *rest, *error; /* [elements] known better than the base does, see effective.h; rest 0:
                             not yet */
    int32_t readings, outputs, stride; /* stride: outputs and room, see whatif.h */
    double *high, *low; /* [rows + 1][stride] sums high + low; the reference first, then row 0 */
} sl__straight_base;

/* An element whose current is part of a reading. */
typedef struct sl__straight_share {
    int32_t reading, next; /* next one of the same element, or -1 */
    double sign;           /* 1 or -1 */
    bool alone;            /* no other element of the reading is a conductance: */
    double others;         /* what they carry */
} sl__straight_share;

/* Where a fault is, in a base. */
typedef struct sl__place {
    int32_t element;                              /* -1: a leak */
    int32_t a, b;                                 /* rows */
    double amp, siemens, rest, error, ohm, apart; /* of a leak: siemens 0, rest 1 */
} sl__place;

/* Where a fault is in the last base, once it has been looked for. */
typedef struct sl__kept_place {
    enum { SL__NOT_LOOKED_FOR, SL__FOUND, SL__NOT_FOUND } is;
    sl__place at;
} sl__kept_place;

/* The later faults of pairs: columns of some that follow each other, lane by lane, and the w of
   one. */
typedef struct sl__later {
    int32_t first, end; /* the faults with columns */
    double *into, *high, *low;
    int32_t of; /* the fault whose w it is, or -1 */
    double *w;
} sl__later;

struct sl__straight {
    sl_case *cs;
    sl__arena arena;
    int32_t kernel;        /* of vectors, see lanes.h */
    sl__straight_base *at; /* [bases], the last one that of the readings */
    int32_t bases;
    double **value;  /* [bases] every parameter, as in the condition of the base */
    double *celsius; /* [bases] */
    int32_t readings, watched;
    int32_t *watch;    /* [watched] elements of parts with states, in their order */
    double *good;      /* [readings], and room for vectors */
    double *w;         /* [outputs of any base], and room for vectors */
    int32_t *which;    /* [readings] */
    int32_t *share_of; /* [elements] the first of its shares, or -1 */
    sl__straight_share *share;
    int32_t faults;
    const sl__straight_fault *fault; /* [faults] */
    sl__kept_place *place;           /* [faults] */
    sl__later later;                 /* there are no pairs: without room */
};

/* What becomes of the place in one degree. */
typedef struct sl__change {
    enum { SL__NOTHING, SL__SERIES, SL__OPENED, SL__STRAIGHT, SL__FED } form;
    double ohm, open_v, amp;
} sl__change;

/* What it comes to: the current on top of what was, and that of the element itself. */
typedef struct sl__point {
    double t, amp, doubt; /* doubt: of t, relative */
} sl__point;

/* What 1 A into a row does to the outputs from number `first` on. */
static inline sl__whatif_row sl__straight_row(const sl__straight_base *at, int32_t row,
                                              int32_t first)
{
    const ptrdiff_t from = ((ptrdiff_t)row + 1) * at->stride + first;
    return (sl__whatif_row){at->high + from, at->low + from};
}

/* Doubles with room for vectors, where none lies across two lines of a cache. */
double *sl__straight_vectors(sl__arena *a, int64_t doubles);

/* s->w of a place in a base. */
void sl__straight_find_w(const sl__straight *s, int32_t b, const sl__place *p, double *w);

/* Where a fault is in a base. False: not for closed forms to say. */
bool sl__straight_find(const sl__straight *s, int32_t b, const sl__straight_fault *fault,
                       sl__place *p);

/* Where one of the faults is in the last base, or NULL. */
const sl__place *sl__straight_place(sl__straight *s, int32_t number);

/* What the fault comes to there in one degree; w: of the watched elements. False: it cannot be
   told. */
bool sl__straight_point(const sl__straight *s, int32_t b, const sl__straight_fault *fault,
                        double degree, const sl__place *p, const double *w, sl__point *is);

/* The same for a resistance in series with a conductance, or a leak. */
bool sl__straight_grown(const sl__place *p, double ohm, sl__point *is);

#endif
